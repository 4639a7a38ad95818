// The power law of Ostwald and de Waele.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct PowerLaw : Calculation<PowerLaw> {
  template <class T>
  struct Input {
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  template <class T>
  using Result = FlowResult<T>;

  static constexpr std::array inputs = with_questions(power_law_parameters);
  static constexpr std::array results = flow_results;
  static constexpr Sheet sheet{
      .id = "rheology.power_law",
      .title = "Flow curve of a power-law fluid",
      .answers = "What stress, apparent viscosity and slope does the curve have at a shear rate, and at what rate is a stress reached?",
      .equations = "tau = K (rate/1 s-1)^n; mu_a = tau/rate; n' = n; rate of a stress = (tau/K)^(1/n) 1/s",
      .source = "Ostwald (1925) and de Waele (1923), from memory; inverse derived.",
      .assumptions = "No yield stress; the apparent viscosity grows without end towards rest where n is below 1.",
      .cautions = flow_cautions,
  };

  static constexpr std::array verdicts = index_verdicts;

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    return flow_verdict(verdicts, in.shear_rate, r, in.given_stress, -1.0, in.flow_index);
  }

  static constexpr Input<double> example() {
    return {.consistency = 1.0, .flow_index = 0.5, .shear_rate = 100.0, .given_stress = 15.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return flow_result<T>({FlowModel::power_law, {in.consistency, in.flow_index}}, in.shear_rate, in.given_stress);
  }
};

inline constexpr PowerLaw power_law{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
