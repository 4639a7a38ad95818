// Casson's fluid: the square roots of yield and viscous stress add.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct Casson : Calculation<Casson> {
  template <class T>
  struct Input {
    T yield_stress = T(not_a_number);
    T high_shear_viscosity = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  template <class T>
  using Result = FlowResult<T>;

  static constexpr std::array inputs = with_questions(casson_parameters);
  static constexpr std::array results = flow_results;
  static constexpr Sheet sheet{
      .id = "rheology.casson",
      .title = "Flow curve of a Casson fluid",
      .answers = "What stress, apparent viscosity and slope does the curve have at a shear rate, and at what rate is a stress reached?",
      .equations = "sqrt(tau) = sqrt(tau_0) + sqrt(eta rate); mu_a = tau/rate; n' = sqrt(eta rate/tau); eta (rate of a stress) = (sqrt(tau) - "
                   "sqrt(tau_0))^2, none below tau_0",
      .source = "Casson, in Rheology of Disperse Systems (1959) 84, from memory; slope and inverse derived.",
      .assumptions = "Without yield stress the Newtonian fluid.",
      .cautions = flow_cautions,
  };

  static constexpr std::array verdicts = yield_verdicts;

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    return flow_verdict(verdicts, in.shear_rate, r, in.given_stress, in.yield_stress, 1.0);
  }

  static constexpr Input<double> example() {
    return {.yield_stress = 4.0, .high_shear_viscosity = 0.015, .shear_rate = 100.0, .given_stress = 15.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return flow_result<T>({FlowModel::casson, {in.yield_stress, in.high_shear_viscosity}}, in.shear_rate, in.given_stress);
  }
};

inline constexpr Casson casson{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
