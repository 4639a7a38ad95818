// The least flow that keeps the cuttings of a near-vertical annulus below a concentration.
#pragma once

#include "lutum/cuttings/settling.hpp"
#include "lutum/hydraulics/annulus.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

struct MinimumRate : Calculation<MinimumRate> {
  template <class T>
  struct Input {
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T bit_diameter = T(not_a_number);
    T penetration_rate_of_bit = T(not_a_number);
    T slip_velocity = T(not_a_number);
    T inclination = T(not_a_number);
    T highest_concentration = T(0.05);
  };

  template <class T>
  struct Result {
    T transport_velocity;
    T velocity;
    T flow_rate;
  };

  static constexpr std::array inputs{
      shared::hole_diameter,
      shared::pipe_diameter,
      shared::bit_diameter,
      shared::penetration_rate_of_bit,
      shared::slip_velocity,
      Variable{.name = "inclination", .symbol = "\\theta", .quantity = Quantity::angle, .meaning = "angle of the hole from the vertical",
               .limits = {0.0, exact::pi / 2.0}, .validated = {0.0, exact::pi / 6.0}},
      Variable{.name = "highest_concentration", .symbol = "\\varphi_{h}", .quantity = Quantity::volume_fraction,
               .meaning = "cuttings by volume of what stands in the annulus, at most", .limits = {1e-4, 0.6}, .validated = {0.01, 0.2}},
  };
  static constexpr std::array results{
      Variable{.name = "transport_velocity", .symbol = "v_{t}", .quantity = Quantity::velocity,
               .meaning = "velocity at which the cuttings must rise to be no more than that"},
      Variable{.name = "velocity", .symbol = "v_{m}", .quantity = Quantity::velocity, .meaning = "least mean velocity of fluid and rock together"},
      Variable{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "least fluid to pump"},
  };
  static constexpr Sheet sheet{
      .id = "cuttings.minimum_rate",
      .title = "Least flow for a concentration of cuttings",
      .answers = "How much must be pumped at this rate of drilling to keep a near-vertical annulus clean?",
      .equations = "v_t = q_r/(A phi_h), q_r = R pi/4 D_b^2, A = pi/4 (D^2 - d^2); v_m = v_s + v_t; q = v_m A - q_r",
      .source = "Volume balance (derived): cuttings.transport turned round. Books that pump v_m A count the rock as fluid and ask for a little more.",
      .assumptions = "Near vertical, one slip velocity, cuttings spread evenly, no bed. Take the widest part of the annulus.",
      .cautions = "Above 30 degrees beds form and more is needed: see cuttings.high_angle. Rates are advisory: the well's own programme and licensed "
                  "practice decide.",
  };
  static constexpr std::array verdicts{
      Verdict{"near_vertical", "at most 30 degrees from the vertical"},
      Verdict{"inclined", "above 30 degrees: more is needed than this", Severity::caution},
      Verdict{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };
  static constexpr std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.pipe_diameter >= in.hole_diameter) return 2;
    if (!(r.flow_rate == r.flow_rate) || !(in.inclination == in.inclination)) return 3;
    return degrees(in.inclination) > 30.0 + 1e-9 ? 1 : 0;
  }
  static constexpr Input<double> example() {
    return {.hole_diameter = 0.31115, .pipe_diameter = 0.127, .bit_diameter = 0.31115, .penetration_rate_of_bit = 0.008, .slip_velocity = 0.2,
            .inclination = 0.1};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T area = hydraulics::annulus_area(in.hole_diameter, in.pipe_diameter);
    const T rock = hydraulics::rock_rate(in.penetration_rate_of_bit, in.bit_diameter);
    Result<T> r;
    r.transport_velocity = rock / (area * in.highest_concentration);
    r.velocity = in.slip_velocity + r.transport_velocity;
    r.flow_rate = r.velocity * area - rock;
    return r;
  }
};

inline constexpr MinimumRate minimum_rate{};

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
