// Budgets by the law of propagation of uncertainty (JCGM 100:2008), against hand work, the guide's own example, and draws.
#include <gtest/gtest.h>

#include "lutum/lutum.hpp"
#include "lutum/uncertainty/budget.hpp"
#include "support.hpp"

namespace {

using lutum::clay::methylene_blue;
using lutum::rheology::viscometer;
using lutum::solids::water_base_retort;
using lutum::uncertainty::budget;
using lutum::uncertainty::propagate;
using support::nan;
using support::near;
using support::Random;

// JCGM 100, eq. 10, for c = N V/v by hand.
TEST(Budget, IsTheSumOfSquaresByHand) {
  const double volume = 8e-6, sample = 2e-6, strength = 10.0, u_volume = 0.25e-6, u_sample = 0.02e-6, u_strength = 0.1;
  const auto b = budget(methylene_blue, {volume, sample, strength}, {u_volume, u_sample, u_strength});
  const double by_volume = strength / sample * u_volume, by_sample = strength * volume / (sample * sample) * u_sample, by_strength = volume / sample * u_strength;
  const double combined = std::sqrt(by_volume * by_volume + by_sample * by_sample + by_strength * by_strength);
  EXPECT_TRUE(near(b.value.capacity, 40.0, 1e-15));
  EXPECT_TRUE(near(b.contributions(0, 0), by_volume, 1e-14));
  EXPECT_TRUE(near(b.contributions(0, 1), by_sample, 1e-14));
  EXPECT_TRUE(near(b.contributions(0, 2), by_strength, 1e-14));
  EXPECT_TRUE(near(b.combined.capacity, combined, 1e-14));
  EXPECT_TRUE(near(b.expanded().capacity, 2 * combined, 1e-14));
  EXPECT_TRUE(near(b.expanded(1.96).bentonite_equivalent, 1.96 * b.combined.bentonite_equivalent, 1e-14));
  // A result that is a constant times another has the same relative uncertainty.
  EXPECT_TRUE(near(b.combined.bentonite_equivalent / b.value.bentonite_equivalent, b.combined.capacity / b.value.capacity, 1e-14));
}

TEST(Budget, AnInputWithoutUncertaintyIsExactlyKnown) {
  const auto b = budget(methylene_blue, {8e-6, 2e-6, 10.0}, {0.25e-6, nan, 0.0});
  EXPECT_EQ(b.contributions(0, 1), 0.0);
  EXPECT_EQ(b.contributions(0, 2), 0.0);
  EXPECT_TRUE(near(b.combined.capacity, b.contributions(0, 0), 1e-15));
  const auto exact = budget(methylene_blue, {8e-6, 2e-6, 10.0}, {nan, nan, nan});
  EXPECT_EQ(exact.combined.capacity, 0.0);
}

TEST(Budget, OfAMissingResultIsMissing) {
  const auto b = budget(water_base_retort, {.mud_density = 1500, .water_fraction = nan, .oil_fraction = 0.03, .chloride = 50.0},
                        {.mud_density = 10, .water_fraction = 0.01, .oil_fraction = 0.005, .chloride = 1.5, .oil_density = nan,
                         .low_gravity_density = nan, .high_gravity_density = nan, .temperature = nan});
  EXPECT_TRUE(std::isnan(b.value.low_gravity_fraction));
  EXPECT_TRUE(std::isfinite(b.value.brine_density));
  EXPECT_TRUE(std::isfinite(b.combined.brine_density));
}

// Plastic viscosity is a difference of two readings, yield point twice one less the other.
TEST(Budget, OfReadingsCountsEachReadingOnce) {
  auto in = lutum::rheology::Viscometer::example();
  lutum::rheology::Viscometer::Input<double> u;
  u.reading[0] = u.reading[1] = 0.5;
  u.rotor_radius = u.bob_radius = u.effective_bob_height = u.spring_constant = 0.0;
  const auto b = budget(viscometer, in, u);
  EXPECT_TRUE(near(b.combined.plastic_viscosity, std::sqrt(2.0) * 0.5e-3, 1e-14));
  const double degree = lutum::find_symbol("0.01 lbf/ft2")->scale();
  EXPECT_TRUE(near(b.combined.yield_point, std::sqrt(4.0 + 1.0) * 0.5 * degree, 1e-14));
  EXPECT_EQ(b.combined.gel_strength_10_s, 0.0);
}

lutum::solids::WaterBaseRetort::Input<double> retort_uncertainty() {
  return {.mud_density = 10, .water_fraction = 0.01, .oil_fraction = 0.005, .chloride = 1.5, .oil_density = nan, .low_gravity_density = nan,
          .high_gravity_density = nan, .temperature = nan};
}

// 1500 kg/m3, water 76 %, oil 3 %, 50 000 mg/L: solids 0.0114, barite 0.0130, low gravity 0.0236 (numerical Jacobian and
// 20 000 draws, derived elsewhere).
TEST(Budget, OfTheRetortAgreesWithAnIndependentDerivation) {
  const auto b = budget(water_base_retort, {.mud_density = 1500, .water_fraction = 0.76, .oil_fraction = 0.03, .chloride = 50.0}, retort_uncertainty());
  EXPECT_NEAR(b.combined.suspended_solids_fraction, 0.01144, 3e-5);
  EXPECT_NEAR(b.combined.high_gravity_fraction, 0.01295, 3e-5);
  EXPECT_NEAR(b.combined.low_gravity_fraction, 0.0236, 3e-5);
}

TEST(Budget, OfTheRetortAgreesWithDraws) {
  const lutum::solids::WaterBaseRetort::Input<double> in{.mud_density = 1500, .water_fraction = 0.76, .oil_fraction = 0.03, .chloride = 50.0};
  const auto b = budget(water_base_retort, in, retort_uncertainty());
  Random random(101);
  const auto normal = [&] {  // the sum of twelve uniforms less six: close enough for a spread
    double sum = -6.0;
    for (int i = 0; i < 12; ++i) sum += random.unit();
    return sum;
  };
  constexpr int draws = 20000;
  double sum = 0.0, squares = 0.0;
  for (int i = 0; i < draws; ++i) {
    auto x = in;
    x.mud_density += 10 * normal(), x.water_fraction += 0.01 * normal(), x.oil_fraction += 0.005 * normal(), x.chloride += 1.5 * normal();
    const double y = water_base_retort(x).low_gravity_fraction - b.value.low_gravity_fraction;
    sum += y, squares += y * y;
  }
  const double spread = std::sqrt((squares - sum * sum / draws) / (draws - 1));
  EXPECT_TRUE(near(b.combined.low_gravity_fraction, spread, 0.02)) << spread;
}

// JCGM 100:2008 Annex H.2: resistance, reactance and impedance from correlated voltage, current and phase. The guide
// works with more digits than it prints, hence the tolerances.
TEST(Propagate, ReproducesTheGuidesCorrelatedExample) {
  const double V = 4.999, I = 0.019661, phi = 1.04446;
  const Eigen::Vector3d u(0.0032, 9.5e-6, 0.00075);
  Eigen::Matrix3d correlation;
  correlation << 1, -0.36, 0.86, -0.36, 1, -0.65, 0.86, -0.65, 1;
  const Eigen::MatrixXd covariance = u.asDiagonal() * correlation * u.asDiagonal();
  Eigen::MatrixXd jacobian(3, 3);  // of R = V/I cos phi, X = V/I sin phi, Z = V/I
  jacobian << std::cos(phi) / I, -V / (I * I) * std::cos(phi), -V / I * std::sin(phi),  //
      std::sin(phi) / I, -V / (I * I) * std::sin(phi), V / I * std::cos(phi),           //
      1 / I, -V / (I * I), 0;
  const Eigen::MatrixXd result = propagate(jacobian, covariance);
  const auto deviation = [&](int i) { return std::sqrt(result(i, i)); };
  EXPECT_NEAR(deviation(0), 0.071, 1.1e-3);
  EXPECT_NEAR(deviation(1), 0.295, 1e-3);
  EXPECT_NEAR(deviation(2), 0.236, 1e-3);
  EXPECT_NEAR(result(0, 1) / (deviation(0) * deviation(1)), -0.588, 6e-3);
  EXPECT_NEAR(result(0, 2) / (deviation(0) * deviation(2)), -0.485, 6e-3);
  EXPECT_NEAR(result(1, 2) / (deviation(1) * deviation(2)), 0.993, 2e-3);
}

TEST(Propagate, WithoutCorrelationIsTheBudget) {
  const lutum::solids::WaterBaseRetort::Input<double> in{.mud_density = 1500, .water_fraction = 0.76, .oil_fraction = 0.03, .chloride = 50.0};
  const auto b = budget(water_base_retort, in, retort_uncertainty());
  const auto slopes = water_base_retort.gradient(in);
  const auto u = lutum::to_slots<double>(retort_uncertainty());
  Eigen::MatrixXd jacobian(9, 8), covariance = Eigen::MatrixXd::Zero(8, 8);
  for (int r = 0; r < 9; ++r)
    for (int i = 0; i < 8; ++i) jacobian(r, i) = slopes[static_cast<std::size_t>(r)][static_cast<std::size_t>(i)];
  for (int i = 0; i < 4; ++i) covariance(i, i) = u[static_cast<std::size_t>(i)] * u[static_cast<std::size_t>(i)];
  const Eigen::MatrixXd result = propagate(jacobian, covariance);
  const auto combined = lutum::to_slots<double>(b.combined);
  for (int r = 0; r < 9; ++r) EXPECT_TRUE(near(std::sqrt(result(r, r)), combined[static_cast<std::size_t>(r)], 1e-13));
  EXPECT_TRUE(near(result(5, 6), result(6, 5), 1e-13));
  EXPECT_LT(result(5, 6), 0.0);  // what is low gravity is not barite
}

TEST(Propagate, FullCorrelationAddsOrCancels) {
  Eigen::MatrixXd sum(1, 2), difference(1, 2), together(2, 2);
  sum << 1, 1;
  difference << 1, -1;
  together << 4, 4, 4, 4;
  EXPECT_DOUBLE_EQ(propagate(sum, together)(0, 0), 16.0);
  EXPECT_DOUBLE_EQ(propagate(difference, together)(0, 0), 0.0);
}

}  // namespace
