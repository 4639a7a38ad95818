// Bingham's fluid: a straight line above a yield stress.
#pragma once

#include "lutum/rheology/model_calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct Bingham : Calculation<Bingham> {
  template <class T>
  struct Input {
    T yield_stress = T(not_a_number);
    T plastic_viscosity = T(not_a_number);
    T shear_rate = T(not_a_number);
    T given_stress = T(not_a_number);
  };
  template <class T>
  using Result = FlowResult<T>;

  static constexpr std::array inputs = with_questions(bingham_parameters);
  static constexpr std::array results = flow_results;
  static constexpr Sheet sheet{
      .id = "rheology.bingham",
      .title = "Flow curve of a Bingham fluid",
      .answers = "What stress, apparent viscosity and slope does the curve have at a shear rate, and at what rate is a stress reached?",
      .equations = "tau = tau_0 + mu_p rate; mu_a = tau/rate; n' = mu_p rate/tau; rate of a stress = (tau - tau_0)/mu_p, none below tau_0",
      .source = "Bingham, Fluidity and Plasticity (1922), from memory; slope and inverse derived.",
      .assumptions = "Both parameters from the same readings. The trade's yield point counts 1 lb/100 ft2 a degree and is some 6 % below the "
                     "yield stress of the line through wall stresses.",
      .cautions = flow_cautions,
  };

  static constexpr std::array verdicts = yield_verdicts;

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    return flow_verdict(verdicts, in.shear_rate, r, in.given_stress, in.yield_stress, 1.0);
  }

  static constexpr Input<double> example() {
    return {.yield_stress = 5.0, .plastic_viscosity = 0.02, .shear_rate = 100.0, .given_stress = 10.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return flow_result<T>({FlowModel::bingham, {in.yield_stress, in.plastic_viscosity}}, in.shear_rate, in.given_stress);
  }
};

inline constexpr Bingham bingham{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
