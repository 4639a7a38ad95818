// Cuttings in a near-vertical annulus: how well they are carried, how many there are, what they add to the density.
#pragma once

#include "lutum/cuttings/settling.hpp"
#include "lutum/hydraulics/annulus.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

struct Transport : Calculation<Transport> {
  template <class T>
  struct Input {
    T flow_rate = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T bit_diameter = T(not_a_number);
    T penetration_rate_of_bit = T(not_a_number);
    T slip_velocity = T(not_a_number);
    T cuttings_density = T(not_a_number);
    T density = T(not_a_number);
  };

  template <class T>
  struct Result {
    T velocity;
    T transport_velocity;
    T transport_ratio;
    T feed_concentration;
    T concentration;
    T effective_density;
  };

  static constexpr std::array inputs{
      Variable{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "fluid pumped up the annulus", .limits = {0.0, 1.0},
               .validated = {0.0, 0.2}},
      shared::hole_diameter,
      shared::pipe_diameter,
      shared::bit_diameter,
      shared::penetration_rate_of_bit,
      shared::slip_velocity,
      shared::cuttings_density,
      shared::density,
  };
  static constexpr std::array results{
      Variable{.name = "velocity", .symbol = "v_{m}", .quantity = Quantity::velocity,
               .meaning = "mean velocity in the annulus of fluid and rock together"},
      Variable{.name = "transport_velocity", .symbol = "v_{t}", .quantity = Quantity::velocity,
               .meaning = "velocity at which the cuttings rise; negative: they fall back"},
      Variable{.name = "transport_ratio", .symbol = "F_{T}", .meaning = "velocity of the cuttings over the mean velocity"},
      Variable{.name = "feed_concentration", .symbol = "\\varphi_{f}", .quantity = Quantity::volume_fraction,
               .meaning = "rock by volume of what flows into the annulus"},
      Variable{.name = "concentration", .symbol = "\\varphi_{c}", .quantity = Quantity::volume_fraction,
               .meaning = "rock by volume of what stands in the annulus"},
      Variable{.name = "effective_density", .symbol = "\\rho_{e}", .quantity = Quantity::density,
               .meaning = "density of fluid and cuttings in the annulus"},
  };
  static constexpr Sheet sheet{
      .id = "cuttings.transport",
      .title = "Transport and concentration of cuttings in a near-vertical annulus",
      .answers = "Do the cuttings come up, how many stand in the annulus, and what do they add to the density?",
      .equations = "v_m = (q + q_r)/A, q_r = R pi/4 D_b^2, A = pi/4 (D^2 - d^2); v_t = v_m - v_s; F_T = v_t/v_m; phi_f = q_r/(q + q_r); phi_c = "
                   "phi_f/F_T; rho_e = rho + (rho_c - rho) phi_c",
      .source = "Volume balance (derived).",
      .assumptions = "Near vertical, all the rock of the bit's hole comes as cuttings of one slip velocity, spread evenly, after the annulus has "
                     "filled with them. No hindrance among cuttings, no bed, no slough from the wall. What flows in (the feed) is less than what "
                     "stands there, by the transport ratio. hydraulics.cuttings_load is the same balance for a gauge hole, and tells the density of the feed.",
      .cautions = "Above about 30 degrees beds form and this concentration is too low: see cuttings.high_angle. Rates and densities are advisory: "
                  "the well's own programme and licensed practice decide.",
  };
  static constexpr std::array verdicts{
      Verdict{"clean", "at most 5 % of cuttings"},
      Verdict{"loaded", "more than 5 % of cuttings: common practice drills slower or pumps faster", Severity::caution},
      Verdict{"not_lifted", "the cuttings fall as fast as the fluid rises, or faster: they gather without end, no concentration can be told",
              Severity::impossible},
      Verdict{"packed", "the cuttings would fill more than the annulus: they gather, no concentration can be told", Severity::impossible},
      Verdict{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };
  static constexpr std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.pipe_diameter >= in.hole_diameter) return 4;
    if (r.transport_velocity <= 0.0) return 2;
    if (r.feed_concentration >= r.transport_ratio) return 3;
    if (!(r.concentration == r.concentration) || !(r.effective_density == r.effective_density)) return 5;
    return r.concentration <= 0.05 ? 0 : 1;
  }
  static constexpr Input<double> example() {
    return {.flow_rate = 0.035, .hole_diameter = 0.31115, .pipe_diameter = 0.127, .bit_diameter = 0.31115, .penetration_rate_of_bit = 0.008,
            .slip_velocity = 0.2, .cuttings_density = 2600.0, .density = 1200.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T rock = hydraulics::rock_rate(in.penetration_rate_of_bit, in.bit_diameter);
    const T all = in.flow_rate + rock;
    Result<T> r;
    r.velocity = all / hydraulics::annulus_area(in.hole_diameter, in.pipe_diameter);
    r.transport_velocity = r.velocity - in.slip_velocity;
    const auto moves = all > T(0.0);
    r.transport_ratio = only_if(moves, r.transport_velocity / r.velocity);
    r.feed_concentration = only_if(moves, rock / all);
    r.concentration = hydraulics::standing_fraction(r.feed_concentration, r.transport_ratio);
    r.effective_density = hydraulics::loaded_density(in.density, in.cuttings_density, r.concentration);
    return r;
  }
};

inline constexpr Transport transport{};

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
