// The flow curve as C++ uses it, without the catalogue: rest, extremes, what is missing, exact slopes, packs.
#include <gtest/gtest.h>

#include <vector>

#include "lutum/rheology/flow_curve.hpp"
#include "support.hpp"

namespace {

using lutum::dual;
using lutum::pack;
using lutum::rheology::FlowCurve;
using lutum::rheology::FlowModel;
using lutum::rheology::parameters_of;
using support::inf;
using support::nan;
using support::near;
using support::same_bits;
using Fluid = FlowCurve<double>;

const std::vector<Fluid> fluids{
    {FlowModel::newtonian, {0.02}},
    {FlowModel::bingham, {5.0, 0.02}},
    {FlowModel::power_law, {1.0, 0.5}},
    {FlowModel::yield_power_law, {5.0, 0.3, 0.7}},
    {FlowModel::casson, {4.0, 0.015}},
    {FlowModel::robertson_stiff, {1.0, 10.0, 0.5}},
    {FlowModel::sisko, {0.01, 2.0, 0.35}},
    {FlowModel::heinz_casson, {3.0, 0.01, 0.6}},
    {FlowModel::cross, {5.0, 0.01, 2.0, 0.8}},
    {FlowModel::carreau, {5.0, 0.01, 2.0, 0.3}},
};

template <class T>
FlowCurve<T> as(const Fluid& f) {
  FlowCurve<T> curve{f.model, {}};
  for (std::size_t i = 0; i < 4; ++i) curve.parameter[i] = T(f.parameter[i]);
  return curve;
}

// Every number a flow curve tells.
template <class T>
std::array<T, 5> all_of(const FlowCurve<T>& f, const T& rate, const T& stress) {
  return {f.stress(rate), f.apparent_viscosity(rate), f.local_index(rate), f.rate(stress), f.yield_stress()};
}

TEST(FlowCurve, KnowsTenModelsAndTheirParameters) {
  ASSERT_EQ(fluids.size(), lutum::rheology::flow_model_choices.size());
  for (std::size_t i = 0; i < fluids.size(); ++i) {
    const auto parameters = parameters_of(fluids[i].model);
    EXPECT_EQ(static_cast<std::size_t>(fluids[i].model), i);
    for (std::size_t k = 0; k < 4; ++k) {
      const double x = fluids[i].parameter[k];
      EXPECT_TRUE(k < parameters.size() ? parameters[k].validated.contain(x) : x == 0.0) << i << ", " << k;
    }
  }
}

TEST(FlowCurve, StartsAtItsYieldStress) {
  const double yields[] = {0.0, 5.0, 0.0, 5.0, 4.0, std::sqrt(10.0), 0.0, 3.0, 0.0, 0.0};
  const double viscosities[] = {0.02, inf, inf, inf, inf, inf, inf, inf, 5.0, 5.0};
  const double indices[] = {1.0, 0.0, 0.5, 0.0, 0.0, 0.0, 0.35, 0.0, 1.0, 1.0};
  for (std::size_t i = 0; i < fluids.size(); ++i) {
    EXPECT_TRUE(near(fluids[i].yield_stress(), yields[i], 1e-15)) << i;
    EXPECT_TRUE(near(fluids[i].stress(0.0), yields[i], 1e-15)) << i;
    EXPECT_EQ(fluids[i].apparent_viscosity(0.0), viscosities[i]) << i;
    EXPECT_EQ(fluids[i].local_index(0.0), indices[i]) << i;
    const double yield = fluids[i].yield_stress();
    for (double stress : {yield, 0.5 * yield, 0.0, -1.0}) EXPECT_EQ(fluids[i].rate(stress), 0.0) << i << ", " << stress;
  }
  EXPECT_EQ((Fluid{FlowModel::power_law, {2.0, 1.0}}.apparent_viscosity(0.0)), 2.0);
  EXPECT_EQ((Fluid{FlowModel::power_law, {2.0, 1.3}}.apparent_viscosity(0.0)), 0.0);
  EXPECT_EQ((Fluid{FlowModel::sisko, {0.01, 0.0, 0.5}}.apparent_viscosity(0.0)), 0.01);
  EXPECT_EQ((Fluid{FlowModel::casson, {0.0, 0.015}}.apparent_viscosity(0.0)), 0.015);
}

// d stress / d rate to the right of rest, and what the parameters do there: nothing infinite spills over to them.
TEST(FlowCurve, HasTheSlopesOfRest) {
  struct Case {
    Fluid fluid;
    double by_rate, by_first;
  };
  const std::vector<Case> cases{
      {fluids[0], 0.02, 0.0},
      {fluids[1], 0.02, 1.0},
      {fluids[2], inf, 0.0},
      {fluids[3], inf, 1.0},
      {{FlowModel::yield_power_law, {5.0, 0.3, 1.0}}, 0.3, 1.0},
      {{FlowModel::yield_power_law, {5.0, 0.3, 1.4}}, 0.0, 1.0},
      {fluids[4], inf, 1.0},
      {{FlowModel::casson, {0.0, 0.015}}, 0.015, 1.0},
      {fluids[5], 0.5 / std::sqrt(10.0), std::sqrt(10.0)},
      {fluids[6], inf, 0.0},
      {{FlowModel::sisko, {0.01, 2.0, 1.5}}, 0.01, 0.0},
      {fluids[7], inf, 1.0},
      {{FlowModel::heinz_casson, {0.0, 0.01, 0.6}}, 0.01, 1.0},
      {fluids[8], 5.0, 0.0},
      {fluids[9], 5.0, 0.0},
  };
  using D = dual<5>;
  for (std::size_t i = 0; i < cases.size(); ++i) {
    auto curve = as<D>(cases[i].fluid);
    for (std::size_t k = 0; k < 4; ++k) curve.parameter[k] = D::seed(cases[i].fluid.parameter[k], static_cast<int>(k));
    const D stress = curve.stress(D::seed(0.0, 4));
    EXPECT_TRUE(stress.slope[4] == cases[i].by_rate || near(stress.slope[4], cases[i].by_rate, 1e-14)) << i << ": " << stress.slope[4];
    EXPECT_TRUE(near(stress.slope[0], cases[i].by_first, 1e-14)) << i << ": " << stress.slope[0];
    for (int k = 1; k < 4; ++k) EXPECT_TRUE(std::isfinite(stress.slope[k])) << i << ", " << k;
    // At no stress nothing flows, and a small stress changes that as the law of slow flow says.
    const D rate = curve.rate(D::seed(0.0, 4));
    EXPECT_EQ(rate.value, 0.0) << i;
    const bool linear = cases[i].fluid.yield_stress() == 0.0 && std::isfinite(cases[i].by_rate) && cases[i].fluid.model != FlowModel::sisko;
    if (cases[i].fluid.model != FlowModel::casson && cases[i].fluid.model != FlowModel::heinz_casson) {
      EXPECT_TRUE(near(rate.slope[4], linear ? 1.0 / cases[i].by_rate : 0.0, 1e-14)) << i << ": " << rate.slope[4];
    }
  }
}

TEST(FlowCurve, NeitherOverflowsNorVanishes) {
  std::vector<Fluid> all = fluids;
  all.push_back({FlowModel::cross, {5.0, 0.0, 2.0, 0.8}});  // no high-shear viscosity that hides what is left of the other
  all.push_back({FlowModel::carreau, {5.0, 0.0, 2.0, 0.3}});
  for (std::size_t i = 0; i < all.size(); ++i) {
    double before = all[i].yield_stress();
    for (double rate = 1e-200; rate < 1e201; rate *= 10.0) {
      const double stress = all[i].stress(rate), index = all[i].local_index(rate);
      ASSERT_TRUE(std::isfinite(stress) && stress >= (1 - 1e-15) * before && stress > 0.0) << i << " at " << rate << ": " << stress;
      ASSERT_TRUE(index >= 0.0 && index <= 1.0 + 1e-15) << i << " at " << rate << ": " << index;
      ASSERT_TRUE(near(all[i].apparent_viscosity(rate) * rate, stress, 1e-14)) << i << " at " << rate;
      // What a last bit of the stress moves the rate by, and the logarithms' last bits.
      if (index > 1e-6) {
        ASSERT_TRUE(near(all[i].rate(stress), rate, 4e-13 + 4 * support::eps / index)) << i << " at " << rate << ": " << all[i].rate(stress);
      }
      before = stress;
    }
  }
}

TEST(FlowCurve, StaysMissingWhereSomethingIs) {
  for (const Fluid& f : fluids) {
    EXPECT_TRUE(std::isnan(f.stress(nan)) && std::isnan(f.rate(nan)));
    for (std::size_t k = 0; k < parameters_of(f.model).size(); ++k) {
      Fluid gap = f;
      gap.parameter[k] = nan;
      EXPECT_TRUE(std::isnan(gap.stress(100.0)) && std::isnan(gap.rate(15.0)) && std::isnan(gap.apparent_viscosity(100.0)))
          << static_cast<int>(f.model) << ", " << k;
    }
  }
}

TEST(FlowCurve, HasNoRateWhereTheStressLevelsOff) {
  const Fluid level{FlowModel::cross, {5.0, 0.0, 2.0, 1.0}};
  EXPECT_TRUE(near(level.rate(2.4), 12.0, 1e-12));  // 5 g/(1 + 2 g) = 2.4
  EXPECT_TRUE(std::isnan(level.rate(2.5)) && std::isnan(level.rate(2.6)));
  EXPECT_TRUE(std::isnan((Fluid{FlowModel::sisko, {0.0, 0.0, 0.5}}.rate(1.0))));
}

TEST(FlowCurve, HasExactSlopes) {
  using D = dual<5>;
  for (std::size_t i = 0; i < fluids.size(); ++i) {
    const Fluid& f = fluids[i];
    const double point[] = {f.parameter[0], f.parameter[1], f.parameter[2], f.parameter[3], 37.0};
    auto exact = as<D>(f);
    for (std::size_t k = 0; k < 4; ++k) exact.parameter[k] = D::seed(point[k], static_cast<int>(k));
    const auto slopes = all_of<D>(exact, D::seed(point[4], 4), D::seed(point[4], 4));
    EXPECT_TRUE(near(slopes[2].value, slopes[0].slope[4] * point[4] / slopes[0].value, 1e-14)) << "index of model " << i;
    for (std::size_t k = 0; k < 5; ++k) {
      if (point[k] == 0.0) continue;
      const double h = 1e-4 * point[k];
      const auto moved = [&](double by) {
        Fluid there = f;
        if (k < 4) there.parameter[k] += by;
        const double x = point[4] + (k == 4 ? by : 0.0);
        return all_of<double>(there, x, x);
      };
      const auto up = moved(h), down = moved(-h), far_up = moved(2 * h), far_down = moved(-2 * h);
      for (std::size_t r = 0; r < slopes.size(); ++r) {
        const double difference = (8.0 * (up[r] - down[r]) - (far_up[r] - far_down[r])) / (12.0 * h);  // error of the fourth order
        EXPECT_TRUE(near(slopes[r].slope[k], difference, 1e-9, 1e-11 * std::fabs(up[r] / point[k])))
            << "model " << i << ", number " << r << " by " << k << ": " << slopes[r].slope[k] << " against " << difference;
      }
    }
  }
}

template <int W>
void expect_lanes_to_be_scalars() {
  using P = pack<W>;
  const double rates[] = {0.0, 1e-3, 5.1, 1e100, 511.0, nan, 1021.0, 1e5}, stresses[] = {15.0, 0.0, 3.0, nan, 1e-9, 40.0, 2.49, 1e6};
  for (const Fluid& f : fluids)
    for (int first = 0; first + W <= 8; ++first) {
      P rate(0.0), stress(0.0);
      auto curve = as<P>(f);
      std::vector<Fluid> alone(W, f);
      for (int i = 0; i < W; ++i) {
        rate.lane[i] = rates[first + i];
        stress.lane[i] = stresses[first + i];
        alone[static_cast<std::size_t>(i)].parameter[0] *= 1.0 + 0.125 * i;
        curve.parameter[0].lane[i] = alone[static_cast<std::size_t>(i)].parameter[0];
      }
      const auto together = all_of<P>(curve, rate, stress);
      for (int i = 0; i < W; ++i) {
        const auto one = all_of<double>(alone[static_cast<std::size_t>(i)], rates[first + i], stresses[first + i]);
        for (std::size_t r = 0; r < one.size(); ++r)
          EXPECT_TRUE(same_bits(together[r].lane[i], one[r]))
              << "model " << static_cast<int>(f.model) << ", number " << r << " at " << rates[first + i];
      }
    }
}

TEST(FlowCurve, PacksHaveTheBitsOfScalars) {
  expect_lanes_to_be_scalars<2>();
#if defined(__AVX2__)
  expect_lanes_to_be_scalars<4>();
#endif
#if defined(__AVX512F__)
  expect_lanes_to_be_scalars<8>();
#endif
}

}  // namespace
