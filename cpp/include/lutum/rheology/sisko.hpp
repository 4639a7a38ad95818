// Sisko's fluid: a power law with a viscosity beside it.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct Sisko : Calculation<Sisko> {
  template <class T>
  struct Input {
    T high_shear_viscosity = T(not_a_number);
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  template <class T>
  using Result = FlowResult<T>;

  static constexpr std::array inputs = with_questions(sisko_parameters);
  static constexpr std::array results = flow_results;
  static constexpr Sheet sheet{
      .id = "rheology.sisko",
      .title = "Flow curve of a Sisko fluid",
      .answers = "What stress, apparent viscosity and slope does the curve have at a shear rate, and at what rate is a stress reached?",
      .equations = "tau = mu_h rate + K (rate/1 s-1)^n; mu_a = tau/rate; n' = (mu_h rate + n K (rate/1 s-1)^n)/tau; the rate of a stress is "
                   "a root",
      .source = "Sisko, Ind. Eng. Chem. 50 (1958) 1789, from memory; slope derived.",
      .assumptions = "For middle and high shear rates: there is no yield stress, and no end to the viscosity towards rest. Without consistency "
                     "the Newtonian fluid, without high-shear viscosity the power law.",
      .cautions = flow_cautions,
  };

  static constexpr std::array verdicts{
      detail::flow_consistent,
      detail::flow_at_rest,
      detail::flow_thickening,
      Verdict{"no_viscosity", "neither a high-shear viscosity nor a consistency: nothing resists the flow", Severity::impossible},
      detail::flow_missing,
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.high_shear_viscosity == 0.0 && in.consistency == 0.0) return place_of(verdicts, "no_viscosity");
    return flow_verdict(verdicts, in.shear_rate, r, in.given_stress, -1.0, in.flow_index);
  }

  static constexpr Input<double> example() {
    return {.high_shear_viscosity = 0.01, .consistency = 2.0, .flow_index = 0.35, .shear_rate = 100.0, .given_stress = 15.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto no_viscosity = in.high_shear_viscosity == T(0.0), no_consistency = in.consistency == T(0.0);
    const T viscosity = only_if(!(no_viscosity & no_consistency), in.high_shear_viscosity);
    return flow_result<T>({FlowModel::sisko, {viscosity, in.consistency, in.flow_index}}, in.shear_rate, in.given_stress);
  }
};

inline constexpr Sisko sisko{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
