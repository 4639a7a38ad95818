// Carreau's fluid: a viscosity that falls from one value to another.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct Carreau : Calculation<Carreau> {
  template <class T>
  struct Input {
    T low_shear_viscosity = T(not_a_number);
    T high_shear_viscosity = T(not_a_number);
    T relaxation_time = T(not_a_number);
    T flow_index = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  template <class T>
  using Result = FlowResult<T>;

  static constexpr std::array inputs = with_questions(carreau_parameters);
  static constexpr std::array results = flow_results;
  static constexpr Sheet sheet{
      .id = "rheology.carreau",
      .title = "Flow curve of a Carreau fluid",
      .answers = "What stress, apparent viscosity and slope does the curve have at a shear rate, and at what rate is a stress reached?",
      .equations = "tau = mu_a rate; mu_a = mu_h + (mu_0 - mu_h) s, s = (1 + (lambda rate)^2)^((n-1)/2); n' = (mu_h + (mu_0 - mu_h) s "
                   "(w + n (1 - w)))/mu_a, w = 1/(1 + (lambda rate)^2); the rate of a stress is a root",
      .source = "Carreau, Trans. Soc. Rheol. 16 (1972) 99, from memory; slope derived.",
      .assumptions = "No yield stress: at rest the fluid has its low-shear viscosity. With n = 1 the Newtonian fluid of the low-shear "
                     "viscosity.",
      .cautions = flow_cautions,
  };

  static constexpr std::array verdicts = two_viscosities_verdicts;

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    return flow_verdict(verdicts, r, in.low_shear_viscosity, in.high_shear_viscosity);
  }

  static constexpr Input<double> example() {
    return {.low_shear_viscosity = 5.0, .high_shear_viscosity = 0.01, .relaxation_time = 2.0, .flow_index = 0.3,
            .shear_rate = 100.0, .given_stress = 15.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto falls = in.high_shear_viscosity <= in.low_shear_viscosity;
    const T low = only_if(falls, in.low_shear_viscosity);
    const FlowCurve<T> curve{FlowModel::carreau, {low, in.high_shear_viscosity, in.relaxation_time, in.flow_index}};
    return flow_result(curve, in.shear_rate, in.given_stress);
  }
};

inline constexpr Carreau carreau{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
