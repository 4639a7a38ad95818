// Retort analysis against worked examples, and closed by volume and mass.
#include <gtest/gtest.h>

#include "lutum/solids/water_base_retort.hpp"
#include "support.hpp"

namespace {

using lutum::find_symbol;
using lutum::solids::water_base_retort;
using lutum::solids::WaterBaseRetort;
using support::nan;
using support::near;
using support::Random;
using In = WaterBaseRetort::Input<double>;

constexpr double lb_gal = find_symbol("lbm/gal[US]")->scale(), lb_bbl = find_symbol("lbm/bbl")->scale();

std::string_view verdict(const In& in) {
  return WaterBaseRetort::verdicts[static_cast<std::size_t>(WaterBaseRetort::judge(in, water_base_retort(in)))].name;
}

// The chloride of a brine of this density at 20 degC.
double chloride_for(double density) {
  double low = 0.0, high = 200.0;
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    (lutum::brine::sodium_chloride({.chloride = middle}).density < density ? low : high) = middle;
  }
  return low;
}

// 16 lb/gal, 7.5 % oil, 59.2974 % brine of 1.0809: Formulas and Calculations handbook, 2nd ed., ch. 3, from memory. A
// gravity of 1 is 100/12 lb/gal there, the oil 0.84, barite 14.71 lb/bbl a percent; ours gets the brine it names.
TEST(WaterBaseRetort, SplitsTheSolidsOfTheHandbookMud) {
  const double g_cm3 = 100.0 / 12.0 * lb_gal;
  In in{.mud_density = 16 * lb_gal, .oil_fraction = 0.075, .chloride = chloride_for(1.0809 * g_cm3), .oil_density = 0.84 * g_cm3,
        .low_gravity_density = 2.6 * g_cm3, .high_gravity_density = 4.2 * g_cm3};
  in.water_fraction = 0.592974 / lutum::brine::sodium_chloride({.chloride = in.chloride}).volume_ratio;
  const auto r = water_base_retort(in);
  EXPECT_NEAR(r.suspended_solids_fraction, 0.332026, 1e-6);
  EXPECT_NEAR(r.average_solids_density / g_cm3, 3.66252557, 2e-4);
  EXPECT_NEAR(r.low_gravity_fraction, 0.111534624, 2e-5);
  EXPECT_NEAR(r.high_gravity_fraction, 0.220491217, 2e-5);
  EXPECT_NEAR(r.high_gravity_concentration / lb_bbl, 324.342581, 324.342581 * (1 - 14.70 / 14.71));
  EXPECT_EQ(verdict(in), "consistent");
}

// 12 lb/gal, 60 % oil of 7.0, 5 % water of 8.6, 35 % solids: mean density 21.06 lb/gal (teaching page on retort
// analysis). Its water phase holds no salt by volume, so ours is given the same brine.
TEST(WaterBaseRetort, HasTheMeanSolidsDensityOfTheTeachingExample) {
  In in{.mud_density = 12 * lb_gal, .oil_fraction = 0.60, .chloride = chloride_for(8.6 * lb_gal), .oil_density = 7.0 * lb_gal};
  in.water_fraction = 0.05 / lutum::brine::sodium_chloride({.chloride = in.chloride}).volume_ratio;
  EXPECT_NEAR(water_base_retort(in).average_solids_density / lb_gal, 21.0571429, 1e-6);
}

// 12 lb/gal, 6 % oil, 74 % water, 79 000 mg/L: Applied Drilling Engineering (SPE textbook 2), ch. 2, from memory; factor
// from the density table of Poradnik fizykochemiczny (1974).
TEST(WaterBaseRetort, TakesTheSaltOutOfTheTextbookMud) {
  const In in{.mud_density = 12 * lb_gal, .water_fraction = 0.74, .oil_fraction = 0.06, .chloride = 79.0};
  const auto r = water_base_retort(in);
  EXPECT_NEAR(r.brine_fraction / in.water_fraction, 1.04478049, 5e-4);
  EXPECT_NEAR(r.brine_fraction, 0.773137565, 5e-4);
  EXPECT_NEAR(r.suspended_solids_fraction, 0.166862435, 5e-4);
  EXPECT_NEAR(r.retort_solids_fraction, 0.20, 1e-12);
}

// 16 lb/gal fresh-water mud of 35 % solids, 2.6 and 4.2: 12.45 % low gravity, 22.55 % barite (page on weighted muds).
TEST(WaterBaseRetort, SplitsTheWeightedFreshWaterMud) {
  const double g_cm3 = 8.33 * lb_gal;
  const auto r = water_base_retort({.mud_density = 16 * lb_gal, .water_fraction = 0.65, .oil_fraction = 0.0, .chloride = 0.0,
                                    .low_gravity_density = 2.6 * g_cm3, .high_gravity_density = 4.2 * g_cm3});
  EXPECT_NEAR(r.low_gravity_fraction, 0.1245, 2e-4);
  EXPECT_NEAR(r.high_gravity_fraction, 0.2255, 2e-4);
}

// 1500 kg/m3, water 76 %, oil 3 % of 840, 50 000 mg/L: derived elsewhere from the same brine data.
TEST(WaterBaseRetort, AgreesWithAnIndependentDerivation) {
  const auto r = water_base_retort({.mud_density = 1500, .water_fraction = 0.76, .oil_fraction = 0.03, .chloride = 50.0});
  EXPECT_NEAR(r.brine_density, 1054.49, 0.01);
  EXPECT_NEAR(r.suspended_solids_fraction, 0.18956, 3e-5);
  EXPECT_NEAR(r.low_gravity_fraction, 0.0902, 3e-5);
  EXPECT_NEAR(r.high_gravity_fraction, 0.09936, 3e-5);
}

TEST(WaterBaseRetort, ClosesByVolumeAndMass) {
  Random random(81);
  for (int i = 0; i < 5000; ++i) {
    const In in{.mud_density = random.uniform(950, 2500), .water_fraction = random.uniform(0.3, 0.8), .oil_fraction = random.uniform(0.0, 0.15),
                .chloride = random.uniform(0.0, 190.0), .oil_density = random.uniform(750, 950), .low_gravity_density = random.uniform(2300, 2900),
                .high_gravity_density = random.uniform(3900, 5300), .temperature = random.uniform(283.15, 323.15)};
    const auto r = water_base_retort(in);
    ASSERT_NEAR(r.brine_fraction + in.oil_fraction + r.low_gravity_fraction + r.high_gravity_fraction, 1.0, 1e-14);
    const double mass = r.brine_fraction * r.brine_density + in.oil_fraction * in.oil_density + r.low_gravity_concentration + r.high_gravity_concentration;
    ASSERT_TRUE(near(mass, in.mud_density, 1e-13));
    ASSERT_TRUE(near(r.low_gravity_concentration, r.low_gravity_fraction * in.low_gravity_density, 1e-14));
    ASSERT_TRUE(near(r.high_gravity_concentration, r.high_gravity_fraction * in.high_gravity_density, 1e-14));
    ASSERT_TRUE(near(r.suspended_solids_fraction * r.average_solids_density, r.low_gravity_concentration + r.high_gravity_concentration, 1e-11, 1e-10));
    ASSERT_NEAR(r.retort_solids_fraction - r.suspended_solids_fraction, r.brine_fraction - in.water_fraction, 1e-15);
  }
}

TEST(WaterBaseRetort, ReachesEveryVerdictAndClipsNothing) {
  const In sound = WaterBaseRetort::example();
  EXPECT_EQ(verdict(sound), "consistent");
  In in = sound;
  in.water_fraction = 0.95;
  EXPECT_EQ(verdict(in), "over_full");  // 0.95 + 0.06
  in.water_fraction = 0.92;
  EXPECT_EQ(verdict(in), "over_full");  // only as brine: 0.92 x 1.045 + 0.06
  EXPECT_LT(water_base_retort(in).suspended_solids_fraction, 0.0);
  in = sound;
  in.mud_density = 1900.0;
  EXPECT_EQ(verdict(in), "negative_low_gravity");
  EXPECT_LT(water_base_retort(in).low_gravity_fraction, 0.0);
  in.mud_density = 1100.0;
  EXPECT_EQ(verdict(in), "negative_high_gravity");
  EXPECT_LT(water_base_retort(in).high_gravity_fraction, 0.0);
  in.mud_density = nan;
  EXPECT_EQ(verdict(in), "missing");
}

// One kind of solids and no salt: the split must return what was mixed.
TEST(WaterBaseRetort, ReturnsWhatWasMixed) {
  const double water = lutum::brine::sodium_chloride({.chloride = 0.0}).density;
  const auto only_low = water_base_retort({.mud_density = 0.9 * water + 0.1 * 2600, .water_fraction = 0.9, .oil_fraction = 0.0, .chloride = 0.0});
  EXPECT_NEAR(only_low.low_gravity_fraction, 0.1, 1e-12);
  EXPECT_NEAR(only_low.high_gravity_fraction, 0.0, 1e-12);
  const auto only_high = water_base_retort({.mud_density = 0.8 * water + 0.2 * 4200, .water_fraction = 0.8, .oil_fraction = 0.0, .chloride = 0.0});
  EXPECT_NEAR(only_high.low_gravity_fraction, 0.0, 1e-12);
  EXPECT_NEAR(only_high.average_solids_density, 4200.0, 1e-8);
}

}  // namespace
