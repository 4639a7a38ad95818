// The yield power law of Herschel and Bulkley.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct YieldPowerLaw : Calculation<YieldPowerLaw> {
  template <class T>
  struct Input {
    T yield_stress = T(not_a_number);
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  template <class T>
  using Result = FlowResult<T>;

  static constexpr std::array inputs = with_questions(yield_power_law_parameters);
  static constexpr std::array results = flow_results;
  static constexpr Sheet sheet{
      .id = "rheology.yield_power_law",
      .title = "Flow curve of a yield-power-law fluid (Herschel and Bulkley)",
      .answers = "What stress, apparent viscosity and slope does the curve have at a shear rate, and at what rate is a stress reached?",
      .equations = "tau = tau_0 + K (rate/1 s-1)^n; mu_a = tau/rate; n' = n (tau - tau_0)/tau; rate of a stress = ((tau - tau_0)/K)^(1/n) 1/s, "
                   "none below tau_0",
      .source = "Herschel and Bulkley, Kolloid-Z. 39 (1926) 291, from memory; slope and inverse derived.",
      .assumptions = "With n = 1 the Bingham line, without yield stress the power law, with both the Newtonian fluid.",
      .cautions = flow_cautions,
  };

  static constexpr std::array verdicts = yield_index_verdicts;

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    return flow_verdict(verdicts, in.shear_rate, r, in.given_stress, in.yield_stress, in.flow_index);
  }

  static constexpr Input<double> example() {
    return {.yield_stress = 5.0, .consistency = 0.3, .flow_index = 0.7, .shear_rate = 100.0, .given_stress = 15.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return flow_result<T>({FlowModel::yield_power_law, {in.yield_stress, in.consistency, in.flow_index}}, in.shear_rate, in.given_stress);
  }
};

inline constexpr YieldPowerLaw yield_power_law{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
