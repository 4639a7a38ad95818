// Methylene blue capacity against outside values.
#include <gtest/gtest.h>

#include "lutum/clay/methylene_blue.hpp"
#include "support.hpp"

namespace {

using lutum::find_symbol;
using lutum::clay::methylene_blue;

constexpr double mL = 1e-6;

// 8 mL of 0.01 meq/mL dye for 2 mL of mud: capacity 4, equivalent 20 lb/bbl (API RP 13B-1 / ISO 10414-1, from memory).
TEST(MethyleneBlue, GivesCapacityAndEquivalent) {
  const auto r = methylene_blue({.dye_volume = 8 * mL, .sample_volume = 2 * mL});
  EXPECT_DOUBLE_EQ(find_symbol("meq/100 mL")->from_si(r.capacity), 4.0);
  EXPECT_DOUBLE_EQ(find_symbol("lbm/bbl")->from_si(r.bentonite_equivalent), 20.0);
  EXPECT_NEAR(r.bentonite_equivalent, 57.0602035, 5e-8);  // kg/m3, converted exactly
  EXPECT_NEAR(r.bentonite_equivalent, 57.0, 0.0011 * 57.0);  // the rounded 14.25 kg/m3 a unit, from memory
}

// 5 lb/bbl a meq/100 mL stands for a clay of 70.1 meq/100 g (mass balance).
TEST(MethyleneBlue, ImpliesAClayOf70MilliequivalentsIn100Grams) {
  const auto r = methylene_blue({.dye_volume = 5 * mL, .sample_volume = 1 * mL});
  const double mol_per_kg = r.capacity / r.bentonite_equivalent;
  EXPECT_NEAR(mol_per_kg * 100.0, 70.1013974, 1e-6);
}

TEST(MethyleneBlue, DyeVolumeTimesStrengthIsWhatCounts) {
  const auto usual = methylene_blue({.dye_volume = 6 * mL, .sample_volume = 2 * mL});
  const auto weak = methylene_blue({.dye_volume = 12 * mL, .sample_volume = 2 * mL, .dye_strength = 5.0});
  EXPECT_DOUBLE_EQ(usual.capacity, weak.capacity);
  EXPECT_DOUBLE_EQ(usual.bentonite_equivalent, weak.bentonite_equivalent);
  EXPECT_EQ(methylene_blue({.dye_volume = 0.0, .sample_volume = 1 * mL}).bentonite_equivalent, 0.0);
}

TEST(MethyleneBlue, GradientIsThatOfAProductAndAQuotient) {
  const double dye = 7 * mL, sample = 2 * mL, strength = 9.5;
  const auto r = methylene_blue({dye, sample, strength});
  const auto slope = methylene_blue.gradient({dye, sample, strength});
  EXPECT_DOUBLE_EQ(slope[0][0], strength / sample);
  EXPECT_DOUBLE_EQ(slope[0][1], -strength * dye / (sample * sample));
  EXPECT_DOUBLE_EQ(slope[0][2], dye / sample);
  for (std::size_t i = 0; i < 3; ++i) EXPECT_DOUBLE_EQ(slope[1][i], slope[0][i] * r.bentonite_equivalent / r.capacity);
}

}  // namespace
