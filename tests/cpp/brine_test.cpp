// Sodium chloride brine against handbook tables, and closed by mass and volume.
#include <gtest/gtest.h>

#include "lutum/brine/sodium_chloride.hpp"
#include "support.hpp"

namespace {

using lutum::brine::sodium_chloride;
using support::near;
using support::Random;

constexpr double celsius = 273.15;
constexpr double salt_per_chloride = (22.990 + 35.45) / 35.45;  // IUPAC abridged standard atomic weights

// The chloride of a brine of mass fraction w and density rho.
double chloride_of(double w, double rho) { return w * rho / salt_per_chloride; }

// CRC Handbook of Chemistry and Physics, 102nd ed., Concentrative Properties of Aqueous Solutions, 20 degC.
TEST(SodiumChloride, HasTheDensitiesOfTheHandbook) {
  const struct { double w, density; } rows[] = {{0.10, 1070.7}, {0.20, 1147.8}, {0.26, 1197.2}};
  for (const auto& row : rows) {
    const auto r = sodium_chloride({.chloride = chloride_of(row.w, row.density), .temperature = 20 + celsius});
    EXPECT_NEAR(r.density, row.density, 0.7) << row.w;
    EXPECT_NEAR(r.mass_fraction, row.w, 2e-4) << row.w;
  }
}

// 20 % at 25 degC: Krumgalz, Pogorelsky and Pitzer, J. Phys. Chem. Ref. Data 25 (1996) 663, another kind of equation.
TEST(SodiumChloride, AgreesWithAnotherEquationAt25Degrees) {
  EXPECT_NEAR(sodium_chloride({.chloride = chloride_of(0.20, 1145.25), .temperature = 25 + celsius}).density, 1145.25, 0.7);
}

// A brine of w = 0.00581 NaCl and 0.002 Mg(NO3)2 at 5 degC: 1005.6947727219 kg/m3 by Laliberte's mixing rule, printed by
// an open chemistry library. The magnesium nitrate is added here; water and sodium chloride are ours.
TEST(SodiumChloride, HasEveryDigitOfTheEquation) {
  const double t = 5.0, salt = 0.00581, nitrate = 0.002, solutes = salt + nitrate;
  const auto brine = [&](double w) {  // of mass fraction w
    double density = 1000.0;
    for (int i = 0; i < 50; ++i) density = sodium_chloride({.chloride = chloride_of(w, density), .temperature = t + celsius}).density;
    return density;
  };
  const double of_water = 1.0 / brine(0.0), of_salt = (1.0 / brine(solutes) - (1.0 - solutes) * of_water) / solutes;  // volumes of 1 kg
  const double warmth = t + 2589.61875022366;
  const double of_nitrate = (solutes + 1.10374669742622 + 0.0123340782160061 * t) / ((0.967814929691928 * solutes + 5.540434135986) * std::exp(1e-6 * warmth * warmth));
  EXPECT_TRUE(near(1.0 / ((1.0 - solutes) * of_water + salt * of_salt + nitrate * of_nitrate), 1005.6947727219, 1e-10));
}

// Volume of brine per volume of retort water at 20 degC, from the density table of Poradnik fizykochemiczny (1974) and
// from the CRC table: rho_w / ((1-w) rho). Near saturation the equation lies 0.6 kg/m3 below the table, the ratio above it.
TEST(SodiumChloride, HasTheVolumeRatioOfTheTables) {
  const struct { double chloride, ratio, salt, error; } rows[] = {
      {64.9492043, 1.03587477, 107.07, 2e-4}, {188.819172, 1.12672813, 311.272, 6e-4}, {31.363, 1.01619, 51.7, 2e-4}};
  for (const auto& row : rows) {
    const auto r = sodium_chloride({.chloride = row.chloride, .temperature = 20 + celsius});
    EXPECT_NEAR(r.volume_ratio, row.ratio, row.error) << row.chloride;
    EXPECT_NEAR(r.salt_concentration, row.salt, 0.01) << row.chloride;
  }
}

// 999.8395, 999.9750, 998.2071, 997.0479, 988.03, 958.37 kg/m3: CRC Handbook, standard density of water; 140 degC from
// the saturated liquid 926.13 kg/m3 (IAPWS), from memory.
TEST(SodiumChloride, WithoutSaltIsWater) {
  const struct { double t, density; } rows[] = {{0, 999.8395}, {4, 999.9750}, {20, 998.2071}, {25, 997.0479}, {50, 988.03}, {100, 958.37}, {140, 926.1}};
  for (const auto& row : rows) {
    const auto r = sodium_chloride({.chloride = 0.0, .temperature = row.t + celsius});
    EXPECT_EQ(r.mass_fraction, 0.0);
    EXPECT_EQ(r.salt_concentration, 0.0);
    EXPECT_NEAR(r.density, row.density, 0.1) << row.t;
    EXPECT_NEAR(r.volume_ratio, 1.0, 1e-15);
  }
}

TEST(SodiumChloride, ClosesByMassAndVolumeWithinItsLimits) {
  Random random(71);
  for (int i = 0; i < 5000; ++i) {
    const double chloride = random.uniform(0.0, 200.0), temperature = random.uniform(273.15, 413.15);
    const auto r = sodium_chloride({.chloride = chloride, .temperature = temperature});
    // What the chloride asks for is what the brine holds: the root is a root, not an end of the bracket.
    ASSERT_TRUE(near(r.salt_concentration, chloride * salt_per_chloride, 1e-13)) << chloride << " kg/m3 at " << temperature << " K: w = " << r.mass_fraction;
    ASSERT_TRUE(near(r.salt_concentration, r.mass_fraction * r.density, 1e-14));
    // The water in one volume of brine, distilled, times the ratio is one volume.
    const double water = sodium_chloride({.chloride = 0.0, .temperature = temperature}).density;
    ASSERT_TRUE(near(r.density * (1.0 - r.mass_fraction) / water * r.volume_ratio, 1.0, 1e-14));
  }
}

TEST(SodiumChloride, FindsItsRootAtTheCornersOfItsLimits) {
  for (double temperature : {273.15, 413.15})
    for (double chloride : {0.0, 1e-12, 1e-6, 200.0}) {
      const auto r = sodium_chloride({.chloride = chloride, .temperature = temperature});
      EXPECT_TRUE(near(r.salt_concentration, chloride * salt_per_chloride, 1e-13)) << chloride << " kg/m3 at " << temperature << " K";
    }
}

TEST(SodiumChloride, GetsDenserWithSaltAndLighterWithWarmth) {
  double before = 0.0;
  for (double chloride = 0.0; chloride <= 193.0; chloride += 1.0) {
    const double density = sodium_chloride({.chloride = chloride}).density;
    EXPECT_GT(density, before);
    before = density;
  }
  EXPECT_GT(sodium_chloride({.chloride = 100.0, .temperature = 293.15}).density, sodium_chloride({.chloride = 100.0, .temperature = 323.15}).density);
}

// At no salt the root lies at the end of its bracket: dw/dc = (salt per chloride) / (density of water).
TEST(SodiumChloride, HasItsGradientAtNoSalt) {
  const auto slope = sodium_chloride.gradient({.chloride = 0.0});
  const double water = sodium_chloride({.chloride = 0.0}).density;
  EXPECT_TRUE(near(slope[0][0], salt_per_chloride / water, 1e-13));
  const double h = 1e-4;
  const auto up = sodium_chloride({.chloride = h}), at = sodium_chloride({.chloride = 0.0}), further = sodium_chloride({.chloride = 2 * h});
  EXPECT_TRUE(near(slope[2][0], (4 * up.density - further.density - 3 * at.density) / (2 * h), 1e-6));
}

}  // namespace
