// The explicit friction factor of a Bingham fluid in a pipe, as textbooks of process engineering have it, and where laminar flow ends.
#pragma once

#include "lutum/hydraulics/textbook_friction.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

// Hanks' critical state in u, the share of the wall stress above yield: He/16800 u^3 = 1 - u; increasing.
struct CriticalBalance {
  template <class T>
  T operator()(const T& u, const T& hedstrom) const {
    return hedstrom * (u * square(u)) + u - T(1.0);
  }
};

struct BinghamFrictionFactor : Calculation<BinghamFrictionFactor> {
  static constexpr bool searches = true;

  template <class T>
  struct Input {
    T reynolds_number = T(not_a_number);
    T hedstrom_number = T(not_a_number);
  };

  template <class T>
  struct Result {
    T friction_factor;
    T laminar_factor;
    T turbulent_factor;
    T critical_reynolds_number;
    T critical_plug_fraction;
  };

  static constexpr std::array inputs{
      Variable{.name = "reynolds_number", .symbol = "Re", .quantity = Quantity::number,
               .meaning = "density times velocity times bore over the plastic viscosity", .limits = {1.0, 1e7}, .validated = {1.0, 1e6}},
      Variable{.name = "hedstrom_number", .symbol = "He", .quantity = Quantity::number,
               .meaning = "density times yield stress times square of the bore over the square of the plastic viscosity; below 1e5 the turbulent "
                          "factor is too low, but the laminar one and the critical Reynolds number hold",
               .limits = {0.0, 1e8}, .validated = {1e5, 1e7}},
  };
  static constexpr std::array results{
      describe::textbook_factor, describe::laminar_factor, describe::turbulent_factor,
      Variable{.name = "critical_reynolds_number", .symbol = "Re_{c}", .quantity = Quantity::number,
               .meaning = "the laminar regime ends here, after Hanks"},
      Variable{.name = "critical_plug_fraction", .symbol = "\\phi_{c}", .quantity = Quantity::number,
               .meaning = "yield stress over wall stress at that Reynolds number: the share of the bore that moves as a plug"},
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.bingham_friction_factor",
      .title = "Textbook friction factor of a Bingham fluid",
      .answers = "What friction factor does the explicit law of process-engineering textbooks give a Bingham fluid in a pipe, and where does its "
                 "laminar flow end?",
      .equations = "f = (f_l^m + f_t^m)^(1/m), m = 1.7 + 40000/Re; f_t = 10^a Re^-0.193, a = -1.47 (1 + 0.146 exp(-2.9e-5 He)); f_l = 16/Re (1 + "
                   "He/(6 Re) - He^4/(3 f_l^3 Re^7)). Critical: phi/(1-phi)^3 = He/16800, Re_c = He (1 - 4 phi/3 + phi^4/3)/(8 phi), which is 700 "
                   "(phi^2 + 2 phi + 3)/(1 - phi)",
      .source = "Laminar: Buckingham and Reiner (derived). Turbulent: Darby and Melson 1981, from memory; m and the blend seen (cheguide.com). "
                "Critical: Hanks 1963, from memory. Range: held against Nikuradse's law of the smooth pipe (derived).",
      .assumptions = "Steady flow in a smooth straight pipe. The turbulent law is not meant for a small yield stress: at He 0 it gives 0.40 to 0.50 "
                     "of the smooth pipe's factor for Re from 3000 to 1e6 (0.0035 against 0.0077 at 1e4), where the flow is Newtonian and the ratio "
                     "should be 1; at He 1e4 it gives 0.46 to 0.57. It comes within 25 % at He 1e5 for Re from 2e4 to 4e6, at He 1e6 and more for Re "
                     "from 1.2e4 to 8e6, at best 18 % below. Hanks' limit belongs to another theory than the blend, in which the "
                     "laminar factor stays the larger up to 1.2 times Re_c at He 1e5, 2.3 times at 1e7 and 3.6 times at 1e8.",
      .cautions = describe::textbook_cautions,
  };

  static constexpr std::array verdicts{
      finding::is_laminar,
      Verdict{"transitional", "Re is above the critical Reynolds number, but the laminar factor is still the larger", Severity::caution},
      Verdict{"turbulent", "the turbulent factor is the larger"},
      Verdict{"below_smooth_pipe",
              "turbulent, and the factor is more than a quarter below that of a smooth pipe with a Newtonian fluid: the law is not meant for this "
              "Hedstrom and Reynolds number",
              Severity::caution},
      finding::is_missing,
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.friction_factor == r.friction_factor)) return 4;
    if (in.reynolds_number < r.critical_reynolds_number) return 0;
    if (r.turbulent_factor < r.laminar_factor) return 1;
    const double smooth_pipe = exp(2.0 * half_log_factor(1.0, in.reynolds_number, 0.0));
    return r.turbulent_factor < 0.75 * smooth_pipe ? 3 : 2;
  }

  static constexpr Input<double> example() { return {.reynolds_number = 40000.0, .hedstrom_number = 300000.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    using V = value_type_of<T>;
    const T re = in.reynolds_number, he = in.hedstrom_number;
    Result<T> r;
    const T b = step({"b", Quantity::number, "yield stress over the wall stress that the fluid would have without it"}, he / (T(8.0) * re));
    const T above = laminar_above<Duct::pipe>({"s_{l}", Quantity::number, "laminar stress above yield over that stress"}, T(1.0), b);
    r.laminar_factor = T(16.0) / re * (above + b);

    const T a = step({"a", Quantity::number, "decimal logarithm of the turbulent law's factor"},
                     T(-1.47) * (T(1.0) + T(0.146) * exp(T(-2.9e-5) * he)));
    r.turbulent_factor = exp(a * constant<T>(log_of_ten)) * pow(re, T(-0.193));
    const T m = step({"m", Quantity::number, "power of the blend"}, T(1.7) + T(40000.0) / re);
    r.friction_factor = power_sum(r.laminar_factor, r.turbulent_factor, m);

    // Written in 1 - phi, so that nothing cancels and He may be zero.
    const T hedstrom = step({"h", Quantity::number, "Hedstrom number over 16800"}, he / T(16800.0));
    const V guess = pow(V(1.0) + value_of(hedstrom), V(-1.0 / 3.0));
    const T u = solve({"u", Quantity::number, "share of the wall stress above yield in the critical state: 1 - phi"}, CriticalBalance{},
                      Bracket<T>{T(0.0), T(1.0), without_slope<T>(guess)}, hedstrom);
    r.critical_plug_fraction = hedstrom * (u * square(u));
    const T phi = r.critical_plug_fraction;
    r.critical_reynolds_number = T(700.0) * (square(phi) + T(2.0) * phi + T(3.0)) / u;
    return r;
  }
};

inline constexpr BinghamFrictionFactor bingham_friction_factor{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
