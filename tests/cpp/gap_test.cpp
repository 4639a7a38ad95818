// The gap of a viscometer: stress and speed undo each other, limits of thickness, fluid and yield, slopes and packs.
#include "lutum/rheology/gap.hpp"

#include <gtest/gtest.h>

#include "support.hpp"

namespace {

using lutum::rheology::at_bob;
using lutum::rheology::bob_speed;
using lutum::rheology::GapFluid;
using support::near;
namespace standard = lutum::rheology::standard_instrument;

constexpr double s = standard::bob_radius / standard::rotor_radius, rpm = standard::rpm;

// So many points, by symmetry half of them, integrate every power below twice their number.
template <std::size_t half>
void expect_to_integrate_powers(const std::array<lutum::detail::GaussPoint, half>& points) {
  const int highest = static_cast<int>(4 * half) - 2;
  double sum = 0.0, even = 0.0;
  for (const auto& g : points) {
    sum += 2.0 * g.weight;
    even += 2.0 * g.weight * std::pow(g.place, highest);
  }
  EXPECT_TRUE(near(sum, 2.0, 1e-15));
  EXPECT_TRUE(near(even, 2.0 / (highest + 1), 1e-14));
}

TEST(Gap, WeightsIntegrateAPolynomial) {
  expect_to_integrate_powers(lutum::detail::gauss_points);
  expect_to_integrate_powers(lutum::detail::more_gauss_points);
}

// The spring's 386 dyn.cm a degree with the stress of a degree give 40.45 mm; the maker's full scale implies 40.4 mm.
TEST(Gap, TheStandardBobIsLongerThanItsHeight) {
  EXPECT_TRUE(near(standard::effective_bob_height, 0.0404505959862290, 1e-14));
  EXPECT_GT(standard::effective_bob_height, standard::bob_height);
}

// 2 w/(n (1 - s^(2/n))) at the bob.
TEST(Gap, APowerLawHasItsClosedForm) {
  for (double n : {0.05, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0, 1.2, 2.0})
    for (double ratio : {0.468, 0.7, s, 0.98}) {
      const double w = 31.0, closed = 2.0 * w / (n * (1.0 - std::pow(ratio, 2.0 / n)));
      const auto bob = at_bob(GapFluid<double>{0.0, 1.7, n}, w, ratio);
      EXPECT_TRUE(near(bob.rate, closed, 1e-12)) << n << " " << ratio << " " << bob.rate / closed - 1.0;
      EXPECT_TRUE(near(bob.stress, 1.7 * std::pow(closed, n), 1e-12)) << n << " " << ratio;
    }
}

// A Bingham fluid: w = (tau_b - lo - tau_0 ln(tau_b/lo))/(2 mu), lo = max(tau_0, s^2 tau_b).
TEST(Gap, ABinghamFluidHasItsClosedForm) {
  const double yield = 7.5, viscosity = 0.02;
  for (double ratio : {0.34, 0.468, 0.7, s})
    for (double stress : {7.5001, 7.6, 8.0, 8.5526, 8.56, 9.0, 15.0, 60.0, 4000.0}) {
      const double low = std::max(yield, ratio * ratio * stress), excess = stress - low;
      // x - ln(1 + x) loses digits for a thin layer: its series there.
      const double x = excess / low;
      const double series = x * x * (1.0 / 2 - x * (1.0 / 3 - x * (1.0 / 4 - x * (1.0 / 5 - x * (1.0 / 6 - x / 7)))));
      const double closed = (x < 1e-2 && low == yield ? yield * series : excess - yield * std::log(stress / low)) / (2 * viscosity);
      const double speed = bob_speed(GapFluid<double>{yield, viscosity, 1.0}, stress, ratio);
      EXPECT_TRUE(near(speed, closed, 3e-11)) << ratio << " " << stress << " " << speed / closed - 1.0;
    }
}

TEST(Gap, NothingTurnsBelowTheYieldStress) {
  const GapFluid<double> fluid{5.0, 0.3, 0.7};
  EXPECT_EQ(bob_speed(fluid, 5.0, s), 0.0);
  EXPECT_EQ(bob_speed(fluid, 3.0, s), 0.0);
  EXPECT_GT(bob_speed(fluid, 5.0 + 1e-6, s), 0.0);
  EXPECT_TRUE(std::isnan(bob_speed(fluid, support::nan, s)));
  EXPECT_TRUE(std::isnan(at_bob(GapFluid<double>{support::nan, 0.3, 0.7}, 1.0, s).stress));
  EXPECT_TRUE(std::isnan(at_bob(fluid, 1.0, 1.1).stress));
}

TEST(Gap, SpeedAndStressUndoEachOther) {
  for (double yield : {0.0, 1e-3, 1.0, 50.0})
    for (double consistency : {1e-3, 0.3, 20.0})
      for (double n : {0.1, 0.35, 0.7, 1.0, 1.2})
        for (double speed : {0.1, 3.0, 300.0, 600.0})
          for (double ratio : {0.34, s, 0.99}) {
            const GapFluid<double> fluid{yield, consistency, n};
            const auto bob = at_bob(fluid, speed * rpm, ratio);
            ASSERT_TRUE(bob.stress > yield);
            // The stress above yield keeps the digits that the difference of the stresses loses.
            const double lost = 1e-16 * bob.stress / bob.excess / n;
            const double back = bob_speed(fluid, bob.stress, ratio);
            EXPECT_TRUE(near(back, speed * rpm, 1e-12 + 10 * lost)) << yield << " " << consistency << " " << n << " " << speed << " " << ratio;
          }
}

TEST(Gap, SlopesAreThoseOfTheRoot) {
  using D = lutum::dual<4>;
  const double at[] = {5.0, 0.3, 0.7};
  for (double speed : {3.0, 100.0, 600.0}) {
    const auto bob = at_bob(GapFluid<D>{D::seed(at[0], 0), D::seed(at[1], 1), D::seed(at[2], 2)}, D::seed(speed * rpm, 3), D(s));
    EXPECT_EQ(bob.stress.value, at_bob(GapFluid<double>{at[0], at[1], at[2]}, speed * rpm, s).stress);
    for (int i = 0; i < 4; ++i) {
      double x[] = {at[0], at[1], at[2], speed * rpm};
      const double h = 1e-5 * x[i], centre = x[i];
      const auto stress = [&](double value) { x[i] = value; return at_bob(GapFluid<double>{x[0], x[1], x[2]}, x[3], s).stress; };
      const double difference = (stress(centre + h) - stress(centre - h)) / (2 * h);
      EXPECT_TRUE(near(bob.stress.slope[i], difference, 1e-8)) << i << " " << bob.stress.slope[i] << " " << difference;
    }
  }
}

TEST(Gap, LanesHaveTheBitsOfTheRecord) {
  using P = lutum::pack<2>;
  const double yields[] = {0.0, 7.5}, indices[] = {0.4, 1.0};
  P yield(0.0), index(0.0);
  for (int i = 0; i < 2; ++i) yield.lane[i] = yields[i], index.lane[i] = indices[i];
  const auto bob = at_bob(GapFluid<P>{yield, P(0.2), index}, P(6.0 * rpm), P(s));
  const P back = bob_speed(GapFluid<P>{yield, P(0.2), index}, bob.stress, P(s));
  for (int i = 0; i < 2; ++i) {
    const GapFluid<double> fluid{yields[i], 0.2, indices[i]};
    const auto alone = at_bob(fluid, 6.0 * rpm, s);
    EXPECT_EQ(bob.stress.lane[i], alone.stress);
    EXPECT_EQ(bob.rate.lane[i], alone.rate);
    EXPECT_EQ(back.lane[i], bob_speed(fluid, alone.stress, s));
  }
}

}  // namespace
