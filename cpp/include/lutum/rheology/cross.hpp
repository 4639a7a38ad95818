// Cross's fluid: a viscosity that falls from one value to another.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct Cross : Calculation<Cross> {
  template <class T>
  struct Input {
    T low_shear_viscosity = T(not_a_number);
    T high_shear_viscosity = T(not_a_number);
    T relaxation_time = T(not_a_number);
    T exponent = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  template <class T>
  using Result = FlowResult<T>;

  static constexpr std::array inputs = with_questions(cross_parameters);
  static constexpr std::array results = flow_results;
  static constexpr Sheet sheet{
      .id = "rheology.cross",
      .title = "Flow curve of a Cross fluid",
      .answers = "What stress, apparent viscosity and slope does the curve have at a shear rate, and at what rate is a stress reached?",
      .equations = "tau = mu_a rate; mu_a = mu_h + (mu_0 - mu_h) s, s = 1/(1 + (lambda rate)^m); n' = (mu_h + (mu_0 - mu_h) s (s + (1 - "
                   "m)(1 - s)))/mu_a; the rate of a stress is a root",
      .source = "Cross, J. Colloid Sci. 20 (1965) 417, from memory; slope derived.",
      .assumptions = "No yield stress: at rest the fluid has its low-shear viscosity. With an exponent of 1 and no high-shear viscosity the "
                     "stress levels off at mu_0/lambda, and no rate has a higher one: it is missing.",
      .cautions = flow_cautions,
  };

  static constexpr std::array verdicts{
      detail::flow_consistent,
      detail::flow_reversed,
      detail::flow_alike,
      Verdict{"no_such_rate", "the stress asked about is at or above that at which the stress levels off: no rate has it", Severity::caution},
      detail::flow_missing,
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const bool levelled_off = r.local_index == r.local_index && in.given_stress == in.given_stress && !(r.rate_at_stress == r.rate_at_stress);
    return levelled_off ? place_of(verdicts, "no_such_rate") : flow_verdict(verdicts, r, in.low_shear_viscosity, in.high_shear_viscosity);
  }

  static constexpr Input<double> example() {
    return {.low_shear_viscosity = 5.0, .high_shear_viscosity = 0.01, .relaxation_time = 2.0, .exponent = 0.8,
            .shear_rate = 100.0, .given_stress = 15.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto falls = in.high_shear_viscosity <= in.low_shear_viscosity;
    const T low = only_if(falls, in.low_shear_viscosity);
    const FlowCurve<T> curve{FlowModel::cross, {low, in.high_shear_viscosity, in.relaxation_time, in.exponent}};
    return flow_result(curve, in.shear_rate, in.given_stress);
  }
};

inline constexpr Cross cross{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
