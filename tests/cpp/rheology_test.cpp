// Viscometer readings: physics by geometry, reported quantities by the trade's convention.
#include <gtest/gtest.h>

#include "lutum/rheology/viscometer.hpp"
#include "support.hpp"

namespace {

using lutum::find_symbol;
using lutum::rheology::Viscometer;
using lutum::rheology::viscometer;
using support::nan;
using support::near;
using In = Viscometer::Input<double>;

constexpr double rpm = 2 * 3.14159265358979323846 / 60, cP = 1e-3, lb_100ft2 = find_symbol("0.01 lbf/ft2")->scale();

In readings(std::initializer_list<std::pair<double, double>> pairs) {
  In in;
  std::size_t i = 0;
  for (const auto& [speed, reading] : pairs) in.speed[i] = speed * rpm, in.reading[i] = reading, ++i;
  return in;
}

// Rotor 18.415 mm, bob 17.245 mm: 2 w R^2/(R^2 - r^2); printed as 1.703 per r/min in Guo and Liu (2011) p. 25.
TEST(Viscometer, HasTheNewtonianRateAtTheBob) {
  const auto r = viscometer(readings({{1, 1}, {3, 1}, {6, 1}, {100, 1}, {200, 1}, {300, 1}, {600, 1}}));
  const double rates[] = {1.70229514, 5.10688542, 10.2137708, 170.229514, 340.459028, 510.688542, 1021.37708};
  for (std::size_t i = 0; i < 7; ++i) EXPECT_TRUE(near(r.shear_rate[i], rates[i], 1e-8)) << r.shear_rate[i];
  EXPECT_TRUE(near(r.shear_rate[0], 1.703, 5e-4));
}

// The stress of a degree that makes a Newtonian fluid read its viscosity in cP at 300 r/min: 0.5107 Pa, 1.0666 lb/100 ft2
// (derived; usually printed 0.511 Pa and 1.067).
TEST(Viscometer, HasTheWallStressOfADegree) {
  const auto r = viscometer(readings({{300, 1}}));
  EXPECT_TRUE(near(r.wall_stress[0], 0.510688542, 1e-8));
  EXPECT_TRUE(near(r.wall_stress[0] / lb_100ft2, 1.0665952, 1e-7));
}

TEST(Viscometer, ANewtonianFluidReadsItsViscosityAt300) {
  const auto r = viscometer(readings({{600, 60}, {300, 30}, {100, 10}}));
  for (std::size_t i = 0; i < 3; ++i) EXPECT_TRUE(near(r.wall_stress[i] / r.shear_rate[i], 30 * cP, 1e-14));
  EXPECT_TRUE(near(r.plastic_viscosity, 30 * cP, 1e-14));
  EXPECT_TRUE(near(r.apparent_viscosity, 30 * cP, 1e-14));
  EXPECT_EQ(r.yield_point, 0.0);
}

// 600: 95, 300: 77, 100: 23, 3: 5 from a graduate examination of 2004; the convention from memory (API RP 13B-1).
TEST(Viscometer, ReportsTheExaminationMud) {
  const auto r = viscometer(readings({{600, 95}, {300, 77}, {100, 23}, {3, 5}}));
  EXPECT_DOUBLE_EQ(r.apparent_viscosity / cP, 47.5);
  EXPECT_DOUBLE_EQ(r.plastic_viscosity / cP, 18.0);
  EXPECT_DOUBLE_EQ(r.yield_point / lb_100ft2, 59.0);
}

// 600: 65, 300: 40 gives 25 cP and 15 lb/100 ft2: formulas of Guo and Liu (2011) p. 25.
TEST(Viscometer, ReportsTheBookMud) {
  const auto r = viscometer(readings({{300, 40}, {600, 65}}));
  EXPECT_DOUBLE_EQ(r.plastic_viscosity / cP, 25.0);
  EXPECT_DOUBLE_EQ(r.yield_point / lb_100ft2, 15.0);
}

TEST(Viscometer, ConventionAndPhysicsStayApart) {
  In in = readings({{600, 65}, {300, 40}});
  in.gel_10_s = 8, in.gel_10_min = 14, in.gel_30_min = 18;
  const auto r = viscometer(in);
  EXPECT_DOUBLE_EQ(r.gel_strength_10_s / lb_100ft2, 8.0);
  EXPECT_DOUBLE_EQ(r.gel_strength_10_min / lb_100ft2, 14.0);
  EXPECT_DOUBLE_EQ(r.gel_strength_30_min / lb_100ft2, 18.0);
  EXPECT_GT(r.wall_stress[0] / lb_100ft2, 65.0 * 1.06);
}

TEST(Viscometer, ReadingsMayStandInAnyOrder) {
  const auto a = viscometer(readings({{600, 65}, {300, 40}, {200, 31}, {100, 21}, {6, 8}, {3, 7}}));
  const auto b = viscometer(readings({{3, 7}, {100, 21}, {300, 40}, {6, 8}, {600, 65}, {200, 31}}));
  EXPECT_EQ(a.plastic_viscosity, b.plastic_viscosity);
  EXPECT_EQ(a.yield_point, b.yield_point);
  EXPECT_EQ(a.wall_stress[0], b.wall_stress[4]);
}

TEST(Viscometer, IsMissingOnlyWhereAReadingIs) {
  const auto without_600 = viscometer(readings({{300, 40}, {100, 21}}));
  EXPECT_TRUE(std::isnan(without_600.apparent_viscosity) && std::isnan(without_600.plastic_viscosity) && std::isnan(without_600.yield_point));
  EXPECT_TRUE(near(without_600.wall_stress[1], 21 * 0.510688542, 1e-8));
  EXPECT_TRUE(std::isnan(without_600.wall_stress[2]) && std::isnan(without_600.shear_rate[2]));
  const auto without_300 = viscometer(readings({{600, 65}, {100, 21}}));
  EXPECT_DOUBLE_EQ(without_300.apparent_viscosity / cP, 32.5);
  EXPECT_TRUE(std::isnan(without_300.plastic_viscosity) && std::isnan(without_300.gel_strength_10_s));
  EXPECT_TRUE(std::isnan(viscometer(readings({{600, nan}, {300, 40}})).plastic_viscosity));
  EXPECT_TRUE(std::isnan(viscometer(readings({{599, 65}, {300, 40}})).plastic_viscosity));  // 599 r/min is not 600
}

// A yield point may come out negative: a reading error to show, not to hide.
TEST(Viscometer, KeepsTheSignOfTheYieldPoint) { EXPECT_DOUBLE_EQ(viscometer(readings({{600, 60}, {300, 28}})).yield_point / lb_100ft2, -4.0); }

TEST(Viscometer, SaysThatAnUnknownTemperatureForbidsPooling) {
  In in = Viscometer::example();
  EXPECT_TRUE(viscometer.checked(in).findings.empty());
  in.temperature = nan;
  in.gel_30_min = nan;  // no remark: a gel may just not have been read
  const auto r = viscometer.checked(in);
  ASSERT_EQ(r.findings.size(), 1u);
  EXPECT_TRUE(static_cast<bool>(r));
  EXPECT_EQ(r.message(), "rheology.viscometer: temperature is not given: readings of unknown temperature must not be pooled with others.");
}

TEST(Viscometer, TellsWhatHardlyCanBe) {
  using V = lutum::rheology::Viscometer;
  const auto verdict = [](const V::Input<double>& in) { return V::verdicts[static_cast<std::size_t>(V::judge(in, lutum::rheology::viscometer(in)))].name; };
  const auto sound = V::example();
  EXPECT_EQ(verdict(sound), "consistent");
  auto in = sound;
  in.reading[5] = in.reading[4] + 1.0;  // 3 r/min above 6 r/min
  EXPECT_EQ(verdict(in), "falling_readings");
  in = sound;
  in.gel_10_min = in.gel_10_s - 1.0;
  EXPECT_EQ(verdict(in), "falling_gels");
  in.gel_10_min = std::numeric_limits<double>::quiet_NaN();
  in.gel_30_min = in.gel_10_s - 1.0;  // seen across a gap too
  EXPECT_EQ(verdict(in), "falling_gels");
  in = sound;
  in.speed[6] = in.speed[0];
  in.reading[6] = in.reading[0] - 5.0;  // the ramp down in the same record
  EXPECT_EQ(verdict(in), "repeated_speed");
  EXPECT_EQ(verdict({}), "missing");
}

}  // namespace
