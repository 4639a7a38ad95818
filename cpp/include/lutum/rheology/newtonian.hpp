// Newton's fluid: stress in proportion to the shear rate.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct Newtonian : Calculation<Newtonian> {
  template <class T>
  struct Input {
    T viscosity = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  // Its local index is 1 by definition, no result.
  template <class T>
  struct Result {
    T shear_stress;
    T apparent_viscosity;
    T rate_at_stress;
  };

  static constexpr std::array inputs = with_questions(newtonian_parameters);
  static constexpr std::array results{flow_results[0], flow_results[1], flow_results[3]};
  static constexpr Sheet sheet{
      .id = "rheology.newtonian",
      .title = "Flow curve of a Newtonian fluid",
      .answers = "What stress does the fluid have at a shear rate, and at what rate is a stress reached?",
      .equations = "tau = mu rate; mu_a = mu; rate of a stress = tau/mu",
      .source = "Definition of viscosity.",
      .assumptions = "One viscosity for every rate: water, brines, base oils. The local index is 1.",
      .cautions = "Viscosity depends on temperature: take it at the temperature that is meant.",
  };

  static constexpr Input<double> example() { return {.viscosity = 0.02, .shear_rate = 100.0, .given_stress = 15.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const FlowCurve<T> curve{FlowModel::newtonian, {in.viscosity}};
    const FlowState<T> state = curve.at(in.shear_rate);
    return {state.stress, state.viscosity, curve.rate(in.given_stress)};
  }
};

inline constexpr Newtonian newtonian{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
