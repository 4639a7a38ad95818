// Heinz and Casson's fluid: powers of yield and viscous stress add.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct HeinzCasson : Calculation<HeinzCasson> {
  template <class T>
  struct Input {
    T yield_stress = T(not_a_number);
    T high_shear_viscosity = T(not_a_number);
    T exponent = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  template <class T>
  using Result = FlowResult<T>;

  static constexpr std::array inputs = with_questions(heinz_casson_parameters);
  static constexpr std::array results = flow_results;
  static constexpr Sheet sheet{
      .id = "rheology.heinz_casson",
      .title = "Flow curve of a Heinz-Casson fluid",
      .answers = "What stress, apparent viscosity and slope does the curve have at a shear rate, and at what rate is a stress reached?",
      .equations = "tau^m = tau_0^m + (eta rate)^m; mu_a = tau/rate; n' = (eta rate/tau)^m; eta (rate of a stress) = (tau^m - tau_0^m)^(1/m), "
                   "none below tau_0",
      .source = "Casson's equation with a free exponent, ascribed to Heinz (1959), from memory; slope and inverse derived.",
      .assumptions = "With m = 1 the Bingham line, with m = 1/2 Casson's fluid, without yield stress the Newtonian fluid.",
      .cautions = flow_cautions,
  };

  static constexpr std::array verdicts = yield_verdicts;

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    return flow_verdict(verdicts, in.shear_rate, r, in.given_stress, in.yield_stress, 1.0);
  }

  static constexpr Input<double> example() {
    return {.yield_stress = 3.0, .high_shear_viscosity = 0.01, .exponent = 0.6, .shear_rate = 100.0, .given_stress = 15.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return flow_result<T>({FlowModel::heinz_casson, {in.yield_stress, in.high_shear_viscosity, in.exponent}}, in.shear_rate, in.given_stress);
  }
};

inline constexpr HeinzCasson heinz_casson{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
