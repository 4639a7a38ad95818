// Slot flow against quadrature, tables and closed forms, at its branch points too; pressure down a well by hand.
#include <gtest/gtest.h>

#include "lutum/hydraulics/equivalent_density.hpp"
#include "lutum/hydraulics/slot_pressure_gradient.hpp"
#include "support.hpp"

namespace {

using lutum::find_symbol;
using lutum::hydraulics::slot_pressure_gradient;
using lutum::hydraulics::SlotPressureGradient;
using support::nan;
using support::near;
using support::Random;
using In = SlotPressureGradient::Input<double>;
using Out = SlotPressureGradient::Result<double>;

constexpr double pi = 3.14159265358979323846, inch = 0.0254;

double area(double hole, double pipe) { return pi / 4 * (hole * hole - pipe * pipe); }

// A slot of gap h with mean velocity v.
In slot(double h, double v, double yield, double consistency, double n, double density = 1200.0) {
  const double pipe = 0.1, hole = pipe + 2 * h;
  return {.density = density, .yield_stress = yield, .consistency = consistency, .flow_index = n, .hole_diameter = hole, .pipe_diameter = pipe,
          .flow_rate = v * area(hole, pipe)};
}

std::string_view verdict(const In& in) {
  return SlotPressureGradient::verdicts[static_cast<std::size_t>(SlotPressureGradient::judge(in, slot_pressure_gradient(in)))].name;
}

// Own derivation, nine digits.
TEST(SlotFlow, HasTheWallStressOfTheReferenceCase) {
  const auto r = slot_pressure_gradient(slot(0.045, 0.8, 5.0, 0.3, 0.7));
  EXPECT_TRUE(near(r.wall_stress, 15.430662, 1e-7)) << r.wall_stress;
  EXPECT_TRUE(near(r.pressure_gradient, 685.807199, 1e-7)) << r.pressure_gradient;
}

// 6 V/h = 1, K = 1, yield stress from none to a hundred times the viscous stress: own derivation.
TEST(SlotFlow, HasTheWallStressesOfTheErrorMap) {
  const struct { double n, yield, wall; } rows[] = {
      {0.3, 0, 1.1884016}, {0.3, 0.1, 1.3106802}, {0.3, 1, 2.3630493}, {0.3, 10, 11.943237}, {0.3, 100, 103.17766},
      {0.5, 0, 1.1547005}, {0.5, 0.1, 1.2870799}, {0.5, 1, 2.4142136}, {0.5, 10, 12.349279}, {0.5, 100, 104.73155},
      {0.7, 0, 1.0979798}, {0.7, 0.1, 1.2382785}, {0.7, 1, 2.4269484}, {0.7, 10, 12.677795}, {0.7, 100, 106.30666},
      {0.9, 0, 1.0332724}, {0.9, 0.1, 1.1800473}, {0.9, 1, 2.4210907}, {0.9, 10, 12.953122}, {0.9, 100, 107.86186},
      {1.0, 0, 1.0},       {1.0, 0.1, 1.1496217}, {1.0, 1, 2.4142136}, {1.0, 10, 13.075478}, {1.0, 100, 108.62468}};
  for (const auto& row : rows) EXPECT_TRUE(near(slot_pressure_gradient(slot(0.03, 0.005, row.yield, 1.0, row.n)).wall_stress, row.wall, 1e-7)) << row.n << ", " << row.yield;
}

// The linearised Bingham form 3/2 tau0 + 6 mu V/h over the exact one: own derivation.
TEST(SlotFlow, ShowsTheErrorOfTheLinearisedForm) {
  const struct { double v, ratio; } rows[] = {{0.01, 1.41471}, {0.1, 1.273543}, {0.4, 1.145516}, {1.5, 1.043363}};
  for (const auto& row : rows) {
    const double wall = slot_pressure_gradient(slot(0.03, row.v, 7.0, 0.02, 1.0)).wall_stress;
    EXPECT_TRUE(near((1.5 * 7.0 + 6 * 0.02 * row.v / 0.03) / wall, row.ratio, 1e-6)) << row.v;
  }
}

// Exact concentric annuli by quadrature over the true geometry, and the slot's excess over them: own derivation.
TEST(SlotFlow, LiesAboveTheConcentricAnnulusByWhatIsStated) {
  const struct { double hole, pipe, v, yield, k, n, exact, ratio; } rows[] = {
      {8.5, 5.0, 0.8, 5, 0.3, 0.7, 695.21728, 1.00365},   {8.5, 5.0, 0.3, 8, 0.5, 0.6, 685.58802, 1.00286},   {12.25, 5.0, 0.5, 5, 0.3, 0.7, 221.65859, 1.00853},
      {12.25, 5.0, 0.2, 8, 0.5, 0.6, 266.11183, 1.00628}, {17.5, 5.0, 0.25, 5, 0.3, 0.7, 96.717066, 1.01219}, {8.5, 6.75, 1.4, 5, 0.3, 0.7, 2510.8357, 1.00078},
      {6.0, 3.5, 1.2, 3, 0.8, 0.45, 913.50194, 1.00386},  {8.5, 5.0, 0.8, 7, 0.02, 1.0, 508.13029, 1.00253},  {8.5, 5.0, 0.8, 0, 1.0, 0.5, 537.56121, 1.00435},
      {8.5, 5.0, 0.8, 0, 0.03, 1.0, 145.08947, 1.00465},  {26.0, 5.0, 0.1, 6, 0.4, 0.65, 56.969014, 1.01287}, {8.5, 5.0, 0.001, 5, 0.3, 0.7, 242.82418, 1.00059}};
  for (const auto& row : rows) {
    const double hole = row.hole * inch, pipe = row.pipe * inch;
    const auto r = slot_pressure_gradient({1200, row.yield, row.k, row.n, hole, pipe, row.v * area(hole, pipe)});
    EXPECT_TRUE(near(r.pressure_gradient / row.exact, row.ratio, 6e-6)) << row.hole << " x " << row.pipe << " at " << row.v;
  }
}

// 320 gal/min in 8.5 x 5 and 8.5 x 6.5 in: the trade prints 24.5 q/(D^2 - d^2), 165.9 and 261.3 ft/min; exactly 24.50986.
TEST(SlotFlow, HasTheAnnularVelocity) {
  const auto velocity = [](double pipe) {
    const auto r = slot_pressure_gradient({1200, 5, 0.3, 0.7, 8.5 * inch, pipe * inch, 320 * find_symbol("gal[US]/min")->scale()});
    return find_symbol("ft/min")->from_si(r.velocity);
  };
  EXPECT_TRUE(near(velocity(5.0), 165.926, 5e-4));
  EXPECT_TRUE(near(velocity(6.5), 261.333, 5e-4));
  EXPECT_TRUE(near(velocity(5.0), 24.50986 * 320 / (8.5 * 8.5 - 5.0 * 5.0), 1e-6));
}

// K 0.5 lb s^n/100 ft2, n 0.7, 4 in between the diameters, 12 lb/gal at 221.9336 ft/min: generalised Reynolds number
// 1812.2 (own derivation for a critical velocity formula from memory).
TEST(SlotFlow, HasTheGeneralisedReynoldsNumber) {
  const In in = slot(2 * inch, 221.9336 * 0.3048 / 60, 0.0, 0.5 * find_symbol("0.01 lbf/ft2")->scale(), 0.7, 12 * find_symbol("lbm/gal[US]")->scale());
  EXPECT_TRUE(near(slot_pressure_gradient(in).reynolds_number, 1812.2, 2e-4)) << slot_pressure_gradient(in).reynolds_number;
}

// The mean velocity from the wall stress by Simpson's rule over the sheared half of the slot.
double velocity_by_quadrature(const In& in, double wall_stress) {
  constexpr int intervals = 400;
  const double half = (in.hole_diameter - in.pipe_diameter) / 4, plug = half * in.yield_stress / wall_stress;
  double sum = 0.0;
  for (int i = 0; i <= intervals; ++i) {
    const double u = static_cast<double>(i) / intervals, y = plug + (half - plug) * u * u;  // crowded where the rate rises from nothing
    const double excess = (wall_stress - in.yield_stress) * u * u, rate = std::pow(excess / in.consistency, 1.0 / in.flow_index);
    sum += (i == 0 || i == intervals ? 1 : i % 2 == 1 ? 4 : 2) * y * rate * 2 * u * (half - plug);
  }
  return sum / (3 * intervals) / half;
}

TEST(SlotFlow, AgreesWithQuadratureOfTheFlowCurve) {
  Random random(91);
  for (int i = 0; i < 1000; ++i) {
    const In in = slot(random.uniform(0.01, 0.15), random.log_uniform(1e-3, 3.0), random.unit() < 0.1 ? 0.0 : random.uniform(0.0, 60.0),
                       random.log_uniform(1e-3, 10.0), random.uniform(0.2, 1.05));
    const Out r = slot_pressure_gradient(in);
    // Rounding of the wall stress counts more the closer it lies to the yield stress.
    const double rounding = 4 * support::eps * r.wall_stress / (r.wall_stress - in.yield_stress) / in.flow_index;
    ASSERT_TRUE(near(velocity_by_quadrature(in, r.wall_stress), r.velocity, 2e-8 + rounding)) << r.plug_fraction << ", n = " << in.flow_index;
    ASSERT_TRUE(near(r.pressure_gradient, 4 * r.wall_stress / (in.hole_diameter - in.pipe_diameter), 1e-14));
    ASSERT_TRUE(near(r.plug_fraction * r.wall_stress, in.yield_stress, 1e-14));
    ASSERT_TRUE(near(r.reynolds_number, 8 * in.density * r.velocity * r.velocity / r.wall_stress, 1e-14));
  }
}

// The local index is the slope of ln wall stress on ln velocity: the exact gradient must say the same.
TEST(SlotFlow, LocalIndexIsTheSlopeOfItsOwnGradient) {
  Random random(92);
  for (int i = 0; i < 300; ++i) {
    const In in = slot(random.uniform(0.01, 0.15), random.log_uniform(1e-3, 3.0), random.uniform(0.0, 60.0), random.log_uniform(1e-3, 10.0), random.uniform(0.2, 1.05));
    const Out r = slot_pressure_gradient(in);
    ASSERT_TRUE(near(r.local_flow_index, slot_pressure_gradient.gradient(in)[1][6] * in.flow_rate / r.wall_stress, 1e-9));
  }
}

TEST(SlotFlow, CollapsesToNewtonianFlow) {
  const double viscosity = 0.03, h = 0.04, v = 0.6;
  const auto r = slot_pressure_gradient(slot(h, v, 0.0, viscosity, 1.0));
  EXPECT_TRUE(near(r.wall_stress, 6 * viscosity * v / h, 1e-14));
  EXPECT_TRUE(near(r.pressure_gradient, 12 * viscosity * v / (h * h), 1e-14));
  EXPECT_EQ(r.plug_fraction, 0.0);
  EXPECT_TRUE(near(r.local_flow_index, 1.0, 1e-14));
  EXPECT_TRUE(near(r.critical_reynolds_number, 2100.0, 1e-13));
  EXPECT_TRUE(near(r.reynolds_number, 4.0 / 3.0 * 1200 * v * h / viscosity, 1e-14));  // 2/3 rho V (D - d)/mu
}

TEST(SlotFlow, WithoutYieldStressIsThePowerLawWithItsGradientOnBothSides) {
  for (double n : {0.3, 0.5, 0.8, 1.0}) {
    const In none = slot(0.04, 0.5, 0.0, 0.7, n);
    const double wall = 0.7 * std::pow((2 * n + 1) / (3 * n) * 6 * 0.5 / 0.04, n);
    EXPECT_TRUE(near(slot_pressure_gradient(none).wall_stress, wall, 1e-13));
    EXPECT_TRUE(near(slot_pressure_gradient(none).local_flow_index, n, 1e-13));
    const double slope = slot_pressure_gradient.gradient(none)[1][1];
    // d tau_w/d tau_0 = (2n + 1)/(n + 1) at none, from the closed form to first order.
    EXPECT_TRUE(near(slope, (2 * n + 1) / (n + 1), 1e-12)) << n;
    In little = none;
    little.yield_stress = 1e-7;
    EXPECT_TRUE(near((slot_pressure_gradient(little).wall_stress - slot_pressure_gradient(none).wall_stress) / 1e-7, slope, 1e-6)) << n;
    EXPECT_TRUE(near(slot_pressure_gradient.gradient(little)[1][1], slope, 1e-6)) << n;
  }
}

// Bingham: 6 mu V/h = tau_w (1 - phi)^2 (1 + phi/2).
TEST(SlotFlow, AtIndexOneIsBinghamWithItsGradientOnBothSides) {
  for (double yield : {0.5, 5.0, 50.0}) {
    const In at = slot(0.04, 0.5, yield, 0.02, 1.0);
    const auto r = slot_pressure_gradient(at);
    const double phi = yield / r.wall_stress;
    EXPECT_TRUE(near(r.wall_stress * (1 - phi) * (1 - phi) * (1 + phi / 2), 6 * 0.02 * 0.5 / 0.04, 1e-12)) << yield;
    for (double shift : {-1e-6, 1e-6}) {
      In beside = at;
      beside.flow_index += shift;
      EXPECT_TRUE(near((slot_pressure_gradient(beside).wall_stress - r.wall_stress) / shift, slot_pressure_gradient.gradient(at)[1][3], 1e-5)) << yield;
      for (std::size_t i = 0; i < 7; ++i)
        EXPECT_TRUE(near(slot_pressure_gradient.gradient(beside)[1][i], slot_pressure_gradient.gradient(at)[1][i], 1e-4, 1e-12)) << yield << ", input " << i;
    }
  }
}

TEST(SlotFlow, NearlyAllPlugKeepsItsDigits) {
  for (double v : {1e-4, 1e-6, 1e-8})
    for (double n : {0.4, 0.7, 1.0}) {
      const In in = slot(0.04, v, 30.0, 0.3, n);
      const auto r = slot_pressure_gradient(in);
      ASSERT_LT(r.plug_fraction, 1.0);
      const double rounding = 4 * support::eps * r.wall_stress / (r.wall_stress - 30.0) * (1 / n + 1);
      EXPECT_TRUE(near(velocity_by_quadrature(in, r.wall_stress), v, 2e-8 + rounding)) << v << ", " << n;
      const auto slopes = slot_pressure_gradient.gradient(in)[1];
      for (double slope : slopes) EXPECT_TRUE(std::isfinite(slope));
    }
}

TEST(SlotFlow, WithoutFlowIsTheLimitAtWhichFlowStarts) {
  for (double n : {0.3, 0.5, 0.7, 1.0})
    for (double yield : {0.0, 5.0}) {
      const auto r = slot_pressure_gradient(slot(0.04, 0.0, yield, 0.3, n));
      EXPECT_EQ(r.velocity, 0.0);
      EXPECT_EQ(r.reynolds_number, 0.0);
      EXPECT_NEAR(r.wall_stress, yield, 2e-3 * (yield + 0.3)) << "n = " << n;
      EXPECT_TRUE(std::isfinite(r.local_flow_index));
      EXPECT_EQ(verdict(slot(0.04, 0.0, yield, 0.3, n)), "laminar");
    }
  const In still = slot(0.04, 0.0, 5.0, 0.3, 0.7);
  const auto slope = slot_pressure_gradient.gradient(still);
  EXPECT_TRUE(near(slope[0][6], 1.0 / area(still.hole_diameter, still.pipe_diameter), 1e-13));
  EXPECT_NEAR(slope[1][1], 1.0, 1e-3);
  // From the other side: a trickle costs hardly more than no flow.
  EXPECT_NEAR(slot_pressure_gradient(slot(0.04, 1e-9, 5.0, 0.3, 0.7)).wall_stress, 5.0, 0.01);
}

TEST(SlotFlow, ReachesEveryVerdict) {
  EXPECT_EQ(verdict(SlotPressureGradient::example()), "laminar");
  const double h = 0.04, viscosity = 0.001, rho = 1000.0;  // Re = 4/3 rho V h/mu; bounds 2100 and 2900
  const auto at = [&](double re) { return slot(h, re * viscosity / (4.0 / 3.0 * rho * h), 0.0, viscosity, 1.0, rho); };
  EXPECT_EQ(verdict(at(2099)), "laminar");
  EXPECT_EQ(verdict(at(2101)), "transitional");
  EXPECT_EQ(verdict(at(2899)), "transitional");
  EXPECT_EQ(verdict(at(2901)), "turbulent");
  In in = at(1000);
  in.pipe_diameter = in.hole_diameter;
  EXPECT_EQ(verdict(in), "no_gap");
  const auto r = slot_pressure_gradient(in);
  EXPECT_TRUE(std::isnan(r.wall_stress) && std::isnan(r.pressure_gradient) && std::isnan(r.reynolds_number));
  in.pipe_diameter = 1.1 * in.hole_diameter;
  EXPECT_EQ(verdict(in), "no_gap");
  EXPECT_TRUE(std::isnan(slot_pressure_gradient(in).pressure_gradient));
}

// Every corner of the limits: a root, or missing where the number leaves the range of doubles; never something between.
TEST(SlotFlow, HoldsAtTheCornersOfItsLimits) {
  for (double yield : {0.0, 1e-9, 1000.0})
    for (double k : {1e-6, 1.0, 1000.0})
      for (double n : {0.05, 0.2, 1.0, 2.0})
        for (double v : {1e-12, 1e-6, 1.0, 100.0}) {
          const In in = slot(0.04, v, yield, k, n);
          const auto r = slot_pressure_gradient(in);
          ASSERT_TRUE(std::isfinite(r.wall_stress)) << yield << ", " << k << ", " << n << ", " << v;
          ASSERT_GE(r.wall_stress, yield);
          const double excess = r.wall_stress - yield;
          if (excess < 1e-9 * r.wall_stress) continue;  // too close to the yield stress to be told from the stress alone
          const double rounding = 8 * support::eps * r.wall_stress / excess * (1 / n + 1);
          ASSERT_TRUE(near(velocity_by_quadrature(in, r.wall_stress), v, 1e-6 + rounding)) << yield << ", " << k << ", " << n << ", " << v;
        }
}

}  // namespace
