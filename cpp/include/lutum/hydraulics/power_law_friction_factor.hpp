// The explicit friction factor of a power-law fluid in a pipe, as a textbook of process engineering has it.
#pragma once

#include "lutum/hydraulics/textbook_friction.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct PowerLawFrictionFactor : Calculation<PowerLawFrictionFactor> {
  template <class T>
  struct Input {
    T reynolds_number = T(not_a_number);
    T flow_index = T(not_a_number);
  };

  template <class T>
  struct Result {
    T friction_factor;
    T laminar_factor;
    T transitional_factor;
    T turbulent_factor;
    T critical_reynolds_number;
  };

  static constexpr Constant log_of_four{"\\mathrm{ln}(4)", 2.0 * std::numbers::ln2, Quantity::number, "for powers of four"};

  static constexpr std::array inputs{
      Variable{.name = "reynolds_number", .symbol = "Re", .quantity = Quantity::number,
               .meaning = "generalised Reynolds number: 16 over the laminar friction factor", .limits = {1.0, 1e7}, .validated = {1.0, 1e5}},
      Variable{.name = "flow_index", .symbol = "n", .quantity = Quantity::number, .meaning = "power of the shear rate in the flow curve",
               .limits = {0.1, 2.0}, .validated = {0.36, 1.0}},
  };
  static constexpr std::array results{
      describe::textbook_factor, describe::laminar_factor,
      Variable{.name = "transitional_factor", .symbol = "f_{i}", .quantity = Quantity::number,
               .meaning = "factor after Fanning of the law between the regimes, at that Reynolds number"},
      describe::turbulent_factor,
      Variable{.name = "critical_reynolds_number", .symbol = "Re_{c}", .quantity = Quantity::number, .meaning = "the laminar regime ends here"},
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.power_law_friction_factor",
      .title = "Textbook friction factor of a power-law fluid",
      .answers = "What friction factor does the explicit law of process-engineering textbooks give a power-law fluid in a pipe?",
      .equations = "f = (1 - alpha) f_l + alpha (f_t^-8 + f_i^-8)^(-1/8); f_l = 16/Re; f_i = 1.79e-4 exp(-5.24 n) Re^(0.414 + 0.757 n); f_t = 0.0682 "
                   "n^(-1/2) / Re^(1/(1.87 + 2.39 n)); alpha = 1/(1 + 4^(Re_c - Re)), Re_c = 2100 + 875 (1 - n)",
      .source = "Darby, Chemical Engineering Fluid Mechanics: f_i and f_t seen, alpha and Re_c from memory. Range: held against Dodge and Metzner "
                "(derived).",
      .assumptions = "Steady flow in a smooth straight pipe, no yield stress. For n from 0.36 to 1 the turbulent factor is within 6 % of Dodge and "
                     "Metzner's at Re from 3000 to 3e4 and within 15 % at 1e5; further up it falls below it, by up to 37 % at 1e6. The switch alpha "
                     "is nearly a step: within ten Reynolds numbers of Re_c the factor falls by 4 % at n 1 and 6 % at n 0.36 and rises by 2 % at n "
                     "0.7. Below n 0.51 and above 0.87 the pressure loss falls there with more rate, by up to 5 %: no pipe does that, nor does the "
                     "blend of hydraulics.pipe_loss.",
      .cautions = describe::textbook_cautions,
  };

  static constexpr std::array verdicts{
      finding::is_laminar,
      Verdict{"transitional", "Re is above the critical Reynolds number and the law between the regimes rules: its factor is below the turbulent one",
              Severity::caution},
      Verdict{"turbulent", "Re is above the critical Reynolds number and the turbulent law rules: its factor is below the transitional one"},
      finding::is_missing,
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.friction_factor == r.friction_factor)) return 3;
    if (in.reynolds_number < r.critical_reynolds_number) return 0;
    return r.transitional_factor < r.turbulent_factor ? 1 : 2;
  }

  static constexpr Input<double> example() { return {.reynolds_number = 20000.0, .flow_index = 0.7}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T n = in.flow_index, re = in.reynolds_number;
    Result<T> r;
    r.laminar_factor = T(16.0) / re;
    r.transitional_factor = T(1.79e-4) * exp(-(T(5.24) * n)) * pow(re, T(0.414) + T(0.757) * n);
    r.turbulent_factor = T(0.0682) / (sqrt(n) * pow(re, T(1.0) / (T(1.87) + T(2.39) * n)));
    r.critical_reynolds_number = T(2100.0) + T(875.0) * (T(1.0) - n);
    const T z = step({"z", Quantity::number, "logarithm of the odds of laminar flow, 4^(Re_c - Re)"},
                     (r.critical_reynolds_number - re) * constant<T>(log_of_four));
    const T above = step({"f_{a}", Quantity::number, "factor above the critical Reynolds number: (f_t^-8 + f_i^-8)^(-1/8)"},
                         power_sum(r.turbulent_factor, r.transitional_factor, T(-8.0)));
    const T share = step({"\\alpha", Quantity::number,
                          "share of the factor above the critical Reynolds number: 1/(1 + e^z), so written that no power overflows"},
                         exp(-log_one_and_exp(z)));
    r.friction_factor = (T(1.0) - share) * r.laminar_factor + share * above;
    return r;
  }
};

inline constexpr PowerLawFrictionFactor power_law_friction_factor{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
