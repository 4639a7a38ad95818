// The power law of a shifted rate of Robertson and Stiff.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct RobertsonStiff : Calculation<RobertsonStiff> {
  template <class T>
  struct Input {
    T consistency = T(not_a_number);
    T rate_shift = T(not_a_number);
    T flow_index = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  template <class T>
  using Result = FlowResult<T>;

  static constexpr std::array inputs = with_questions(robertson_stiff_parameters);
  static constexpr std::array results = flow_results;
  static constexpr Sheet sheet{
      .id = "rheology.robertson_stiff",
      .title = "Flow curve of a Robertson-Stiff fluid",
      .answers = "What stress, apparent viscosity and slope does the curve have at a shear rate, and at what rate is a stress reached?",
      .equations = "tau = A ((rate + C)/1 s-1)^B; mu_a = tau/rate; n' = B rate/(rate + C); rate of a stress = (tau/A)^(1/B) 1/s - C, none below "
                   "A C^B",
      .source = "Robertson and Stiff, SPE J. 16 (1976) 31, from memory; slope and inverse derived.",
      .assumptions = "A (C/1 s-1)^B, what the formula gives at rest, is a pseudo yield stress: the slope there is finite. Without shift the "
                     "power law.",
      .cautions = flow_cautions,
  };

  static constexpr std::array verdicts = yield_index_verdicts;

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const FlowCurve<double> curve{FlowModel::robertson_stiff, {in.consistency, in.rate_shift, in.flow_index}};
    return flow_verdict(verdicts, in.shear_rate, r, in.given_stress, curve.yield_stress(), in.flow_index);
  }

  static constexpr Input<double> example() {
    return {.consistency = 1.0, .rate_shift = 10.0, .flow_index = 0.5, .shear_rate = 100.0, .given_stress = 15.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return flow_result<T>({FlowModel::robertson_stiff, {in.consistency, in.rate_shift, in.flow_index}}, in.shear_rate, in.given_stress);
  }
};

inline constexpr RobertsonStiff robertson_stiff{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
