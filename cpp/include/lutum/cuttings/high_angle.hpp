// The velocity that keeps an inclined annulus free of a bed: a correlation for 55 to 90 degrees, the slip of a vertical hole
// up to 30 degrees, and a smooth passage between.
#pragma once

#include "lutum/cuttings/settling.hpp"
#include "lutum/hydraulics/annulus.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

// The correlation's factor of an inclination in degrees.
template <class T>
constexpr T inclination_factor(const T& theta) {
  return theta * (T(0.0342) - T(0.000233) * theta) - T(0.213);
}

struct HighAngle : Calculation<HighAngle> {
  // It decides by the inclination which model counts: without one input of either there is no number below 55 degrees.
  static constexpr bool searches = true;

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T plastic_viscosity = T(not_a_number);
    T yield_point = T(not_a_number);
    T cuttings_diameter = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T bit_diameter = T(not_a_number);
    T penetration_rate_of_bit = T(not_a_number);
    T inclination = T(not_a_number);
    T cuttings_density = T(not_a_number);
    T effective_viscosity = T(not_a_number);
  };

  template <class T>
  struct Result {
    T concentration;
    T transport_velocity;
    T slip_velocity;
    T critical_velocity;
    T critical_flow_rate;
    T apparent_viscosity;
  };

  // The correlation is one of printed units.
  static constexpr Constant one_foot_per_hour{"1\\,\\mathrm{ft/h}", find_symbol("ft/h")->scale(),
                                              Quantity::drilling_rate, "unit of drilling rate", true};
  static constexpr Constant one_inch{"1\\,\\mathrm{in}", find_symbol("in")->scale(), Quantity::diameter, "unit of diameter", true};
  static constexpr Constant one_degree{"1\\,\\mathrm{deg}", find_symbol("dega")->scale(), Quantity::angle, "unit of angle", true};
  static constexpr Constant one_foot_per_second{"1\\,\\mathrm{ft/s}", find_symbol("ft/s")->scale(), Quantity::velocity, "unit of velocity", true};

  // Where the passage meets the correlation.
  static constexpr Constant factor_at_55{"C_{55}", inclination_factor(55.0), Quantity::number,
                                         "0.0342 x 55 - 0.000233 x 55^2 - 0.213: the correlation's factor of the inclination at 55 degrees"};
  static constexpr Constant rise_at_55{"C'_{55}", 0.21425, Quantity::number,
                                       "25 x (0.0342 - 2 x 0.000233 x 55): the slope of that factor there times the 25 degrees of the passage"};

  static constexpr std::array inputs{
      shared::density,
      Variable{.name = "plastic_viscosity", .symbol = "\\mu_{p}", .quantity = Quantity::viscosity, .meaning = "plastic viscosity",
               .limits = {1e-5, 10.0}, .validated = {1e-3, 0.12}},
      Variable{.name = "yield_point", .symbol = "\\tau_{yp}", .quantity = Quantity::stress, .meaning = "yield point", .limits = {0.0, 1000.0},
               .validated = {0.0, 20.0}},
      Variable{.name = "cuttings_diameter", .symbol = "d_{c}", .quantity = Quantity::diameter, .meaning = "median diameter of the cuttings",
               .limits = {1e-5, 0.03}, .validated = {0.0015, 0.01}},
      shared::hole_diameter,
      shared::pipe_diameter,
      shared::bit_diameter,
      shared::penetration_rate_of_bit,
      Variable{.name = "inclination", .symbol = "\\theta", .quantity = Quantity::angle, .meaning = "angle of the hole from the vertical",
               .limits = {0.0, exact::pi / 2.0}, .validated = {0.0, exact::pi / 2.0}},
      Variable{.name = "cuttings_density", .symbol = "\\rho_{c}", .quantity = Quantity::density,
               .meaning = "density of the rock, used below 55 degrees",
               .limits = {500.0, 8000.0}, .validated = {1500.0, 4300.0}, .optional = true, .if_missing = "there is then no number below 55 degrees."},
      Variable{.name = "effective_viscosity", .symbol = "\\mu_{e}", .quantity = Quantity::viscosity,
               .meaning = "viscosity of the fluid at the shear rate around the particle, used below 55 degrees", .limits = {1e-5, 100.0},
               .validated = {5e-4, 1.0}, .optional = true, .if_missing = "there is then no number below 55 degrees."},
  };
  static constexpr std::array results{
      Variable{.name = "concentration", .symbol = "\\varphi_{c}", .quantity = Quantity::volume_fraction,
               .meaning = "cuttings by volume at the critical velocity"},
      Variable{.name = "transport_velocity", .symbol = "v_{t}", .quantity = Quantity::velocity,
               .meaning = "velocity at which the cuttings travel then"},
      Variable{.name = "slip_velocity", .symbol = "v_{s}", .quantity = Quantity::velocity,
               .meaning = "velocity by which they then lag behind the fluid"},
      Variable{.name = "critical_velocity", .symbol = "v_{cr}", .quantity = Quantity::velocity,
               .meaning = "velocity below which cuttings stay behind"},
      Variable{.name = "critical_flow_rate", .symbol = "q_{cr}", .quantity = Quantity::flow_rate, .meaning = "flow of that velocity"},
      Variable{.name = "apparent_viscosity", .symbol = "\\mu_{a}", .quantity = Quantity::viscosity,
               .meaning = "apparent viscosity in the annulus at that velocity"},
  };
  static constexpr Sheet sheet{
      .id = "cuttings.high_angle",
      .title = "Critical velocity for cuttings at any inclination",
      .answers = "How much must be pumped so that no bed of cuttings stays in an inclined annulus?",
      .equations = "phi_c = (0.64 R + 18.16)/3600 (R in ft/h); v_t = R D_b^2/((D^2 - d^2) phi_c); mu_a = mu_p + tau_yp (D - d)/(8 v_cr); 55 to 90 "
                   "degrees: v_s = u C_a C_s C_m, u = 3.006 + 0.00516 mu_a + 0.02038 max(mu_a - 53, 0) (cP, ft/s), C_a = 0.0342 theta - 0.000233 "
                   "theta^2 - 0.213 (degrees), C_s = 1.286 - 1.04 d_c (in), C_m = 1 - 0.0333 max(rho - 8.7, 0) (lb/gal); to 30 degrees: v_s of C_D = "
                   "24/Re + 1.73; between: cubic in theta; v_cr = v_t + v_s, solved with mu_a",
      .source = "Larsen, Pilehvari and Azar 1997 for 55 to 90 degrees (range seen in an abstract), coefficients from memory, original not seen. Its "
                "line above 53 cP is set to meet the one below, which it misses by 0.02 % (the corner stays), and the 5 of its apparent viscosity is "
                "4.988, an exact 1/8 in one set of units. The passage from 30 to 55 degrees is this library's, not the paper's.",
      .assumptions = "From 30 to 55 degrees no source is followed: value and slope meet the vertical slip at 30 and the correlation at 55. Bingham "
                     "fluid, no help from rotation, pipe of usual eccentricity. The correlation was made with small rates of drilling and sands of "
                     "about 2 to 7 mm; larger cuttings lower its answer.",
      .cautions = "From 30 to 55 degrees beds also slide back when the pumps stop, which this does not tell. Rates are advisory: the well's own "
                  "programme and licensed practice decide.",
  };
  static constexpr std::array verdicts{
      Verdict{"high_angle", "55 to 90 degrees: within the correlation"},
      Verdict{"blended", "between 30 and 55 degrees: passage between two models, followed by no source", Severity::caution},
      Verdict{"near_vertical", "at most 30 degrees: the slip of a vertical hole alone"},
      Verdict{"floats", "below 55 degrees and the cuttings are not denser than the fluid: they need no lifting", Severity::caution},
      Verdict{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };
  static constexpr std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const double angle = degrees(in.inclination);
    if (in.pipe_diameter >= in.hole_diameter) return 4;
    if (angle < 55.0 - 1e-9 && in.cuttings_density <= in.density) return 3;
    if (!(r.critical_velocity == r.critical_velocity)) return 5;
    return angle >= 55.0 - 1e-9 ? 0 : angle > 30.0 + 1e-9 ? 1 : 2;
  }
  static constexpr Input<double> example() {
    return {.density = 1200.0, .plastic_viscosity = 0.018, .yield_point = 7.0, .cuttings_diameter = 0.005, .hole_diameter = 0.31115,
            .pipe_diameter = 0.127, .bit_diameter = 0.31115, .penetration_rate_of_bit = 0.004, .inclination = 1.2,
            .cuttings_density = 2600.0, .effective_viscosity = 0.08};
  }

  // u of the apparent viscosity: how far the cuttings lag before the three factors.
  template <class T>
  static constexpr T lag(const T& viscosity) {
    const T m = viscosity / constant<T>(one_centipoise);
    return (T(3.006) + T(0.00516) * m + T(0.02038) * larger(m - T(53.0), T(0.0))) * constant<T>(one_foot_per_second);
  }

  // Zero at the critical velocity v; increasing, since a faster flow is thinner.
  struct VelocityBalance {
    template <class T>
    constexpr T operator()(const T& v, const T& fixed, const T& factor, const T& plastic, const T& yield) const {
      return v - (fixed + factor * lag(plastic + yield / v));
    }
  };

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto denser = in.cuttings_density > in.density;
    const T width = step({"w", Quantity::diameter, "hole diameter less pipe diameter"}, in.hole_diameter - in.pipe_diameter);
    const T area = hydraulics::annulus_area(in.hole_diameter, in.pipe_diameter);
    const T rock = hydraulics::rock_rate(in.penetration_rate_of_bit, in.bit_diameter);
    Result<T> r;
    r.concentration = (T(0.64) * (in.penetration_rate_of_bit / constant<T>(one_foot_per_hour)) + T(18.16)) / T(3600.0);
    r.transport_velocity = step({"v_{t}", Quantity::velocity, "velocity at which the cuttings travel then"}, rock / (area * r.concentration));
    const T theta = step({"\\alpha", Quantity::number, "inclination in degrees"}, in.inclination / constant<T>(one_degree));
    const T t = step({"t", Quantity::number, "way from 30 to 55 degrees, 0 to 1"},
                     smaller(larger((theta - T(30.0)) / T(25.0), T(0.0)), T(1.0)));
    const T share = step({"h", Quantity::number, "share of the correlation"}, square(t) * (T(3.0) - T(2.0) * t));
    const auto steep = theta < T(55.0 - 1e-9);  // 55 degrees that came from another unit are within the correlation
    const T angle = step({"C_{a}", Quantity::number, "factor of the inclination, times the share"},
                         select(steep, constant<T>(factor_at_55) * share + constant<T>(rise_at_55) * square(t) * (t - T(1.0)),
                                inclination_factor(theta)));
    const T size = step({"C_{s}", Quantity::number, "factor of the size"}, T(1.286) - T(1.04) * (in.cuttings_diameter / constant<T>(one_inch)));
    const T weight = step({"C_{m}", Quantity::number, "factor of the density"},
                          T(1.0) - T(0.0333) * larger(in.density / constant<T>(one_pound_per_gallon) - T(8.7), T(0.0)));
    const T factor = step({"F", Quantity::number, "product of the factors"}, angle * size * weight);
    const T n = weight_number(in.cuttings_diameter, in.cuttings_density, in.density, in.effective_viscosity);
    const T vertical = step({"v_{v}", Quantity::velocity, "slip in a vertical hole"},
                            only_if(denser, smooth_reynolds(n) * in.effective_viscosity / (in.density * in.cuttings_diameter)));
    const T fixed = step({"v_{f}", Quantity::velocity, "part of the critical velocity that does not depend on the apparent viscosity"},
                         select(steep, r.transport_velocity + (T(1.0) - share) * vertical, r.transport_velocity));
    const T yield = in.yield_point * width / T(8.0);  // over a velocity a viscosity
    const T low = fixed + factor * lag(in.plastic_viscosity);
    const T high = fixed + factor * lag(in.plastic_viscosity + yield / low);
    r.critical_velocity = solve({"v_{cr}", Quantity::velocity, "velocity below which cuttings stay behind"}, VelocityBalance{},
                                Bracket<T>{low, high, high}, fixed, factor, in.plastic_viscosity, yield);
    r.slip_velocity = r.critical_velocity - r.transport_velocity;
    r.critical_flow_rate = r.critical_velocity * area;
    r.apparent_viscosity = in.plastic_viscosity + yield / r.critical_velocity;
    return r;
  }
};

inline constexpr HighAngle high_angle{};

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
