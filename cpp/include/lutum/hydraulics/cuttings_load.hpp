// Effective density of the mud while drilling: cuttings as they are fed to it, and as they stand in the annulus.
#pragma once

#include "lutum/hydraulics/annulus.hpp"
#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct CuttingsLoad : Calculation<CuttingsLoad> {
  template <class T>
  struct Input {
    T density = T(not_a_number);
    T flow_rate = T(not_a_number);
    T drilling_rate = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T cuttings_density = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T slip_velocity = T(not_a_number);
  };

  template <class T>
  struct Result {
    T cuttings_rate;
    T feed_fraction;
    T feed_density;
    T annular_velocity;
    T transport_ratio;
    T cuttings_fraction;
    T effective_density;
  };

  static constexpr std::array inputs{
      circuit::density,
      Variable{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "rate of the mud", .limits = {0.0, 1.0},
               .validated = {5e-3, 0.15}},
      Variable{.name = "drilling_rate", .symbol = "R", .quantity = Quantity::drilling_rate, .meaning = "rate of penetration while drilling",
               .limits = {0.0, 1.0}, .validated = {0.0, 0.06}},
      Variable{.name = "hole_diameter", .symbol = "d_{h}", .quantity = Quantity::diameter, .meaning = "diameter of the hole that is drilled",
               .limits = {0.01, 3.0}, .validated = {0.1, 0.95}},
      Variable{.name = "cuttings_density", .symbol = "\\rho_{s}", .quantity = Quantity::density, .meaning = "density of the rock with its pores",
               .limits = {500.0, 8000.0}, .validated = {2000.0, 3000.0}},
      Variable{.name = "pipe_diameter", .symbol = "d_{p}", .quantity = Quantity::diameter, .meaning = "outside diameter of the pipe",
               .limits = {0.001, 3.0}, .validated = {0.06, 0.25}, .optional = true, .if_missing = "what stands in the annulus is not known."},
      Variable{.name = "slip_velocity", .symbol = "v_{s}", .quantity = Quantity::velocity,
               .meaning = "how much slower the cuttings rise than the mud", .limits = {0.0, 10.0}, .validated = {0.0, 0.4}, .optional = true, .if_missing = "what stands in the annulus is not known."},
  };
  static constexpr std::array results{
      Variable{.name = "cuttings_rate", .symbol = "q_{s}", .quantity = Quantity::flow_rate, .meaning = "rock drilled, by volume in time"},
      Variable{.name = "feed_fraction", .symbol = "c_{f}", .quantity = Quantity::volume_fraction,
               .meaning = "cuttings in what is fed to the annulus, by volume"},
      Variable{.name = "feed_density", .symbol = "\\rho_{f}", .quantity = Quantity::density,
               .meaning = "density of mud and cuttings as they are fed: the least that the loaded annulus weighs"},
      Variable{.name = "annular_velocity", .symbol = "v", .quantity = Quantity::velocity, .meaning = "velocity of mud and cuttings together"},
      Variable{.name = "transport_ratio", .symbol = "F", .quantity = Quantity::number,
               .meaning = "velocity of the cuttings over that of the flow, signed"},
      Variable{.name = "cuttings_fraction", .symbol = "c", .quantity = Quantity::volume_fraction,
               .meaning = "cuttings that stand in the annulus, by volume: more than are fed, since they slip"},
      Variable{.name = "effective_density", .symbol = "\\rho_{e}", .quantity = Quantity::density,
               .meaning = "density of the annulus with the cuttings that stand in it"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.cuttings_load",
      .title = "Cuttings load of the annulus",
      .answers = "How much heavier do the cuttings make the annulus while drilling at this rate?",
      .equations = "q_s = R (pi/4) d_h^2; c_f = q_s/(q + q_s); rho_f = rho + c_f (rho_s - rho); v = (q + q_s)/((pi/4)(d_h^2 - d_p^2)); F = 1 - "
                   "v_s/v; c = c_f/F; rho_e = rho + c (rho_s - rho)",
      .source = "Volume balance, steady (derived). The printed field form with 0.0141430 and 6.7995e-4 (seen) is the feed density with rock of 20.8 "
                "lb/gal.",
      .assumptions = "Gauge hole, near vertical, steady drilling long enough to fill the annulus, no bed on the low side. The slip is against the "
                     "mean velocity of mud and cuttings together. cuttings.transport is the same balance for a bit smaller or larger than the hole.",
      .cautions = "The feed density understates the load. Friction, and the mud's own change with temperature and pressure, come on top. Advisory; "
                  "rates near a fracture limit are for the well's own programme and licensed practice to decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"carried", "at most 5 % by volume stands in the annulus, as far as is known"},
      Verdict{"heavily_loaded", "more than 5 % by volume: beyond the custom's limit (common practice, no source)", Severity::caution},
      Verdict{"not_lifted", "the cuttings slip as fast as the flow rises: they are not lifted, and the annulus fills", Severity::impossible},
      Verdict{"packed", "the cuttings would fill more than the annulus: they gather, and no concentration can be told", Severity::impossible},
      Verdict{"no_flow", "drilling without flow: nothing carries the cuttings", Severity::impossible},
      Verdict{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.pipe_diameter >= in.hole_diameter) return 5;
    if (in.flow_rate == 0.0) return 4;
    if (!(r.feed_density == r.feed_density)) return 6;
    if (r.transport_ratio <= 0.0) return 2;
    if (r.feed_fraction >= r.transport_ratio) return 3;
    return r.cuttings_fraction > 0.05 || r.feed_fraction > 0.05 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.density = 1200.0, .flow_rate = 0.038, .drilling_rate = 0.0083, .hole_diameter = 0.3112, .cuttings_density = 2600.0,
            .pipe_diameter = 0.127, .slip_velocity = 0.2};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.cuttings_rate = in.drilling_rate * constant<T>(quarter_pi) * square(in.hole_diameter);
    const T both = step({"q_{both}", Quantity::flow_rate, "mud and cuttings together"},
                        only_if(in.flow_rate > T(0.0), in.flow_rate) + r.cuttings_rate);
    r.feed_fraction = r.cuttings_rate / both;
    r.feed_density = loaded_density(in.density, in.cuttings_density, r.feed_fraction);
    r.annular_velocity = both / annulus_area(in.hole_diameter, in.pipe_diameter);
    r.transport_ratio = T(1.0) - in.slip_velocity / r.annular_velocity;
    r.cuttings_fraction = standing_fraction(r.feed_fraction, r.transport_ratio);
    r.effective_density = loaded_density(in.density, in.cuttings_density, r.cuttings_fraction);
    return r;
  }
};

inline constexpr CuttingsLoad cuttings_load{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
