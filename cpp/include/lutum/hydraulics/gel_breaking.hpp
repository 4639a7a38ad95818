// Pressure that breaks the gel in the pipe and in the annulus.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct GelBreaking : Calculation<GelBreaking> {
  template <class T>
  struct Input {
    T gel_strength = T(not_a_number);
    T length = T(not_a_number);
    T inside_diameter = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T true_vertical_depth = T(not_a_number);
  };

  template <class T>
  struct Result {
    T pipe_pressure;
    T annulus_pressure;
    T pump_pressure;
    T added_equivalent_density;
  };

  static constexpr std::array inputs{
      Variable{.name = "gel_strength", .symbol = "\\tau_{g}", .quantity = Quantity::stress,
               .meaning = "gel strength after the time at rest, at the temperature down there", .limits = {0.0, 1000.0}, .validated = {0.0, 60.0}},
      circuit::length,
      Variable{.name = "inside_diameter", .symbol = "D", .quantity = Quantity::diameter, .meaning = "bore of the pipe", .limits = {0.001, 2.0},
               .validated = {0.01, 0.6}, .optional = true, .if_missing = "there is no pressure for the pipe."},
      Variable{.name = "hole_diameter", .symbol = "d_{h}", .quantity = Quantity::diameter, .meaning = "diameter of the hole", .limits = {0.001, 3.0},
               .validated = {0.05, 1.0}, .optional = true, .if_missing = "there is no pressure for the annulus."},
      Variable{.name = "pipe_diameter", .symbol = "d_{p}", .quantity = Quantity::diameter, .meaning = "outside diameter of the pipe",
               .limits = {0.001, 3.0}, .validated = {0.02, 0.8}, .optional = true, .if_missing = "there is no pressure for the annulus."},
      Variable{.name = "true_vertical_depth", .symbol = "z", .quantity = Quantity::length, .meaning = "true vertical depth of the column's bottom",
               .limits = {0.1, 20000.0}, .validated = {10.0, 12000.0}, .optional = true, .if_missing = "there is no equivalent density."},
  };
  static constexpr std::array results{
      Variable{.name = "pipe_pressure", .symbol = "p_{i}", .quantity = Quantity::pressure, .meaning = "pressure that breaks the gel in the pipe"},
      Variable{.name = "annulus_pressure", .symbol = "p_{a}", .quantity = Quantity::pressure,
               .meaning = "pressure that breaks the gel in the annulus"},
      Variable{.name = "pump_pressure", .symbol = "p", .quantity = Quantity::pressure,
               .meaning = "pressure that starts circulation round the whole way"},
      Variable{.name = "added_equivalent_density", .symbol = "\\Delta \\rho_{e}", .quantity = Quantity::density,
               .meaning = "what breaking the annulus adds to the equivalent density at the bottom"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.gel_breaking",
      .title = "Pressure to break the gel",
      .answers = "What pressure starts a mud that has rested, and what does the rock feel of it?",
      .equations = "p_i = 4 tau_g L/D; p_a = 4 tau_g L/(d_h - d_p); p = p_i + p_a; added density = p_a/(g z)",
      .source = "Force balance: gel strength on all walls against pressure on the cross section (derived); in the annulus exact for any ratio of "
                "diameters. The printed 300 in y L/(300 d) is exact in psi, ft, in and lb/100 ft2.",
      .assumptions = "The gel breaks at the wall, everywhere at once and with one strength; no eccentricity. Start-up takes the larger of this and "
                     "the friction of the flow, not their sum (common practice).",
      .cautions = "A gel grows with time, temperature and pressure and the ten-minute gel says little of a long rest: start slowly and with "
                  "rotation. Advisory; pressures near a fracture limit are for the well's own programme and licensed practice to decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "a pressure is found"},
      Verdict{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"longer_than_deep", "the true vertical depth is more than the measured length of the column: swapped, or of two columns",
              Severity::caution},
      Verdict{"missing", "gel strength, length or the diameters are missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.pipe_diameter >= in.hole_diameter) return 1;
    if (r.pipe_pressure != r.pipe_pressure && r.annulus_pressure != r.annulus_pressure) return 3;
    return in.true_vertical_depth > in.length ? 2 : 0;
  }

  static constexpr Input<double> example() {
    return {.gel_strength = 8.0, .length = 3500.0, .inside_diameter = 0.1086, .hole_diameter = 0.2159, .pipe_diameter = 0.127,
            .true_vertical_depth = 3000.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.pipe_pressure = T(4.0) * in.gel_strength * in.length / in.inside_diameter;
    const T gap = step({"h", Quantity::diameter, "hole diameter less pipe diameter"}, in.hole_diameter - in.pipe_diameter);
    r.annulus_pressure = T(4.0) * in.gel_strength * in.length / only_if(gap > T(0.0), gap);
    r.pump_pressure = r.pipe_pressure + r.annulus_pressure;
    r.added_equivalent_density = r.annulus_pressure / (in.true_vertical_depth * constant<T>(gravity));
    return r;
  }
};

inline constexpr GelBreaking gel_breaking{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
