// Pressure and equivalent density down a well, by hand and by conservation.
#include <gtest/gtest.h>

#include "catalogue_support.hpp"
#include "lutum/hydraulics/equivalent_density.hpp"

namespace {

using lutum::find_symbol;
using support::nan;
using support::near;

const lutum::Entry& entry() { return *lutum::find_calculation("hydraulics.equivalent_density"); }

struct Well {
  double fluid_density, surface_pressure;
  std::vector<double> measured, vertical, friction;
};
struct Down {
  std::vector<double> hydrostatic, friction, pressure, equivalent;
};

Down run(const Well& w) {
  support::State s;
  s.length = w.measured.size();
  s.inputs = {w.fluid_density, w.surface_pressure};
  for (const auto* column : {&w.measured, &w.vertical, &w.friction}) s.inputs.insert(s.inputs.end(), column->begin(), column->end());
  const auto r = support::value(entry(), s);
  const auto part = [&](std::size_t k) {
    const auto begin = r.begin() + static_cast<std::ptrdiff_t>(k * s.length);
    return std::vector<double>(begin, begin + static_cast<std::ptrdiff_t>(s.length));
  };
  return {part(0), part(1), part(2), part(3)};
}

// By hand: friction along measured depth, hydrostatic pressure on true vertical depth.
TEST(EquivalentDensity, AddsFrictionAlongMeasuredDepth) {
  const Down r = run({1200.0, 2e5, {1000, 2000, 3000}, {1000, 1900, 2600}, {200, 350, 686}});
  const double g = 9.80665, friction[] = {200e3, 200e3 + 350e3, 200e3 + 350e3 + 686e3}, depth[] = {1000, 1900, 2600};
  for (std::size_t j = 0; j < 3; ++j) {
    EXPECT_TRUE(near(r.hydrostatic[j], 1200 * g * depth[j], 1e-14));
    EXPECT_TRUE(near(r.friction[j], friction[j], 1e-14));
    EXPECT_TRUE(near(r.pressure[j], 2e5 + 1200 * g * depth[j] + friction[j], 1e-14));
    EXPECT_TRUE(near(r.equivalent[j], 1200 + (2e5 + friction[j]) / (g * depth[j]), 1e-14));
  }
}

// 10 lb/gal at 10 000 ft: 10 x 10 000 x 12/231 psi; the trade's 0.052 gives 5200.
TEST(EquivalentDensity, HasTheExactFactorOfPoundsPerGallon) {
  const double feet = find_symbol("ft")->to_si(10000.0);
  const Down r = run({find_symbol("lbm/gal[US]")->to_si(10.0), 0.0, {feet}, {feet}, {0.0}});
  EXPECT_TRUE(near(find_symbol("psi")->from_si(r.pressure[0]), 100000.0 * 12 / 231, 1e-14));
  EXPECT_TRUE(near(find_symbol("psi")->from_si(r.pressure[0]), 5200.0, 1.1e-3));
}

TEST(EquivalentDensity, AtRestIsTheFluidsOwn) {
  const Down r = run({1432.0, 0.0, {500, 1700, 4000}, {500, 1650, 2900}, {0, 0, 0}});
  for (double x : r.equivalent) EXPECT_TRUE(near(x, 1432.0, 1e-14));
  for (double x : r.friction) EXPECT_EQ(x, 0.0);
}

// A horizontal section: pressure goes on rising, depth does not.
TEST(EquivalentDensity, RisesAlongAHorizontalSection) {
  const Down r = run({1200.0, 0.0, {2000, 3000, 4000}, {2000, 2000, 2000}, {300, 300, 300}});
  EXPECT_EQ(r.hydrostatic[0], r.hydrostatic[2]);
  EXPECT_TRUE(near(r.equivalent[2] - r.equivalent[1], 300e3 / (9.80665 * 2000), 1e-12));
}

TEST(EquivalentDensity, CuttingASectionInTwoChangesNothing) {
  const Down whole = run({1300.0, 1e5, {1000, 3000}, {900, 2500}, {250, 400}});
  const Down cut = run({1300.0, 1e5, {1000, 1700, 3000}, {900, 1500, 2500}, {250, 400, 400}});
  EXPECT_TRUE(near(whole.equivalent[1], cut.equivalent[2], 1e-15));
  EXPECT_EQ(whole.equivalent[0], cut.equivalent[0]);
}

TEST(EquivalentDensity, IsMissingAtNoDepth) {
  EXPECT_TRUE(std::isnan(run({1200.0, 0.0, {100}, {0.0}, {0.0}}).equivalent[0]));
  EXPECT_TRUE(std::isnan(run({1200.0, 2e5, {100}, {0.0}, {50.0}}).equivalent[0])) << "pressure over no depth is no density";
}

TEST(EquivalentDensity, RowsOutOfOrderAreMissingAndAreSaid) {
  const Down r = run({1200.0, 0.0, {1000, 3000, 2000, 4000}, {1000, 2600, 1900, 3000}, {200, 300, 300, 300}});
  EXPECT_TRUE(std::isfinite(r.equivalent[1]));
  for (std::size_t j : {2u, 3u}) EXPECT_TRUE(std::isnan(r.friction[j]) && std::isnan(r.pressure[j]) && std::isnan(r.equivalent[j])) << j;
  EXPECT_TRUE(std::isfinite(r.hydrostatic[2]));  // it does not lean on the rows above

  std::vector<lutum::Finding> findings;
  const double measured[] = {1000, 3000, 2000, 4000};
  lutum::inspect(lutum::hydraulics::EquivalentDensity::rows[0], measured, 4, [&](const lutum::Finding& f) { findings.push_back(f); });
  ASSERT_EQ(findings.size(), 1u);
  EXPECT_EQ(findings[0].kind, lutum::Finding::Kind::out_of_order);
  EXPECT_TRUE(findings[0].is_error());
  EXPECT_EQ(lutum::message(findings[0], lutum::si_units, *entry().sheet),
            "hydraulics.equivalent_density: bottom_measured_depth[2] = 2000 m lies below the row before it, 3000 m; give the rows from the surface down.");
}

TEST(EquivalentDensity, AMissingGradientSpoilsWhatLiesBelowOnly) {
  const Down r = run({1200.0, 0.0, {1000, 2000, 3000}, {1000, 1900, 2600}, {200, nan, 686}});
  EXPECT_TRUE(std::isfinite(r.equivalent[0]));
  EXPECT_TRUE(std::isnan(r.equivalent[1]) && std::isnan(r.equivalent[2]));
  EXPECT_TRUE(std::isfinite(r.hydrostatic[2]));
}

}  // namespace
