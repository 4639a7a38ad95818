// The density that balances a formation after a kick, and the drill pipe pressures of bringing it round.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct KillDensity : Calculation<KillDensity> {
  template <class T>
  struct Input {
    T density = T(not_a_number);
    T shut_in_drill_pipe_pressure = T(not_a_number);
    T true_vertical_depth = T(not_a_number);
    T margin = T(0.0);
    T slow_rate_pressure = T(not_a_number);
  };

  template <class T>
  struct Result {
    T formation_pressure;
    T balancing_density;
    T kill_density;
    T initial_circulating_pressure;
    T final_circulating_pressure;
  };

  static constexpr std::array inputs{
      Variable{.name = "density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the mud in the drill pipe, free of gas",
               .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "shut_in_drill_pipe_pressure", .symbol = "p_{dp}", .quantity = Quantity::pressure,
               .meaning = "shut-in drill pipe pressure, built up and free of trapped pressure", .limits = {0.0, 2e8}, .validated = {0.0, 3e7}},
      Variable{.name = "true_vertical_depth", .symbol = "z", .quantity = Quantity::length,
               .meaning = "true vertical depth of the bit at the formation that flows, not measured depth", .limits = {0.1, 20000.0},
               .validated = {100.0, 12000.0}},
      Variable{.name = "margin", .symbol = "\\Delta \\rho", .quantity = Quantity::density, .meaning = "margin on the density; the default is none",
               .limits = {0.0, 1000.0}, .validated = {0.0, 100.0}},
      Variable{.name = "slow_rate_pressure", .symbol = "p_{slow}", .quantity = Quantity::pressure,
               .meaning = "circulating pressure measured at the slow rate with the mud of before", .limits = {0.0, 2e8}, .validated = {0.0, 2e7},
               .optional = true, .if_missing = "there are no circulating pressures."},
  };
  static constexpr std::array results{
      Variable{.name = "formation_pressure", .symbol = "p_{f}", .quantity = Quantity::pressure, .meaning = "pressure of the formation that flows"},
      Variable{.name = "balancing_density", .symbol = "\\rho_{f}", .quantity = Quantity::density, .meaning = "density that just balances it"},
      Variable{.name = "kill_density", .symbol = "\\rho_{k}", .quantity = Quantity::density,
               .meaning = "density with the margin, not rounded: for use it is rounded up"},
      Variable{.name = "initial_circulating_pressure", .symbol = "p_{init}", .quantity = Quantity::pressure,
               .meaning = "drill pipe pressure at the slow rate with the mud of before, not rounded: for use it is rounded up"},
      Variable{.name = "final_circulating_pressure", .symbol = "p_{fin}", .quantity = Quantity::pressure,
               .meaning = "drill pipe pressure at the slow rate once kill mud is at the bit, not rounded: for use it is rounded up"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.kill_density",
      .title = "Kill density from the shut-in drill pipe pressure",
      .answers = "Which density balances the formation after a kick, and at which drill pipe pressures is it brought round at the slow rate?",
      .equations = "p_f = p_dp + rho g z; rho_f = p_f/(g z); rho_k = rho_f + margin; p_init = p_slow + p_dp; p_fin = p_slow rho_k/rho",
      .source = "Hydrostatics (derived); friction in proportion to density is common practice, no source. The trade's 0.052 psi/(ft lb/gal) makes "
                "the part that comes from the drill pipe pressure 0.10 % too low, on the unsafe side.",
      .assumptions = "The drill pipe is full of mud of one known density, the bit is at the formation, nothing is trapped, and no float hides the "
                     "pressure. Friction in the annulus at the slow rate is left out: it is a margin.",
      .cautions = "Well control. Advisory only and never a kill sheet: the well's own programme, its barriers, local rules and licensed practice "
                  "decide, and a second person checks the numbers. Densities and pressures that hold a formation are rounded up, against the limit "
                  "that the shoe sets.",
  };

  static constexpr std::array verdicts{
      Verdict{"kick", "the pressure of the formation is above that of the mud column"},
      Verdict{"balanced", "no pressure on the drill pipe: the mud balances the formation, or a float holds the pressure back", Severity::caution},
      Verdict{"heavier_than_mud", "more than 2600 kg/m3, heavier than any mud: a wrong pressure, unit or depth", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.kill_density == r.kill_density)) return 3;
    if (r.kill_density > 2600.0) return 2;
    return in.shut_in_drill_pipe_pressure == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.density = 1440.0, .shut_in_drill_pipe_pressure = 3.0e6, .true_vertical_depth = 3000.0, .margin = 20.0, .slow_rate_pressure = 4.5e6};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.formation_pressure = in.shut_in_drill_pipe_pressure + in.density * constant<T>(gravity) * in.true_vertical_depth;
    r.balancing_density = r.formation_pressure / (in.true_vertical_depth * constant<T>(gravity));
    r.kill_density = r.balancing_density + in.margin;
    r.initial_circulating_pressure = in.slow_rate_pressure + in.shut_in_drill_pipe_pressure;
    r.final_circulating_pressure = in.slow_rate_pressure * r.kill_density / in.density;
    return r;
  }
};

inline constexpr KillDensity kill_density{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
