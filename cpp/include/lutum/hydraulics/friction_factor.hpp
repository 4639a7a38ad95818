// Turbulent friction factor by Reynolds number: the laws themselves, without a flow curve.
#pragma once

#include "lutum/hydraulics/friction.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

enum class FrictionLaw : std::uint8_t { dodge_metzner, colebrook, standard };

inline constexpr std::array friction_law_choices{
    Choice{"dodge_metzner", "Dodge and Metzner, with the slope of the flow curve; roughness by Colebrook's sum"},
    Choice{"colebrook", "Colebrook, Newtonian, smooth or rough"},
    Choice{"standard", "API RP 13D, explicit: c / Re^d"},
};

// Colebrook's 1/sqrt(f) less the factor's own, in y = ln(f)/2; increasing.
struct ColebrookBalance {
  template <class T>
  T operator()(const T& y, const T& reynolds, const T& relative_roughness) const {
    return -(constant<T>(four_over_log_of_ten) * log(relative_roughness / T(3.7) + T(1.255) * exp(-y) / reynolds)) - exp(-y);
  }
};

struct FrictionFactor : Calculation<FrictionFactor> {
  static constexpr bool searches = true;
  using Option = FrictionLaw;
  static constexpr OptionInfo option{.name = "law", .meaning = "which friction law", .choices = friction_law_choices};

  template <class T>
  struct Input {
    T reynolds_number = T(not_a_number);
    T local_flow_index = T(1.0);
    T relative_roughness = T(0.0);
  };

  template <class T>
  struct Result {
    T friction_factor;
    T darcy_factor;
    T laminar_factor;
  };

  static constexpr std::array inputs{
      Variable{.name = "reynolds_number", .symbol = "Re", .quantity = Quantity::number,
               .meaning = "generalised Reynolds number: 16 over the laminar friction factor of the tangent power law", .limits = {100.0, 1e10},
               .validated = {3000.0, 1e6}},
      Variable{.name = "local_flow_index", .symbol = "n'", .quantity = Quantity::number,
               .meaning = "slope of log wall stress against log velocity; the flow index of a power law, 1 for a Newtonian fluid; not in "
                          "Colebrook's law",
               .limits = {0.2, 2.0}, .validated = {0.36, 1.0}},
      Variable{.name = "relative_roughness", .symbol = "k_{r}", .quantity = Quantity::number, 
               .meaning = "roughness over bore; not in the standard's law", .limits = {0.0, 0.1}, .validated = {0.0, 0.05}},
  };
  static constexpr std::array results{
      describe::friction_factor,
      Variable{.name = "darcy_factor", .symbol = "f_{D}", .quantity = Quantity::number, .meaning = "friction factor after Darcy, four times Fanning's"},
      describe::laminar_factor,
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.friction_factor",
      .title = "Turbulent friction factor",
      .answers = "What friction factor does a turbulent law give at this Reynolds number?",
      .equations = "Dodge and Metzner: 1/sqrt f = 4/n'^0.75 log10(Re f^(1-n'/2)) - 0.4/n'^1.2, in a rough pipe -4 log10(10^(-1/(4 sqrt f)) + "
                   "k/(3.7 D)); Colebrook: 1/sqrt f = -4 log10(k/(3.7 D) + 1.255/(Re sqrt f)); standard: f = c/Re^d, c = (log10 n' + 3.93)/50, d = "
                   "(1.75 - log10 n')/7; laminar 16/Re",
      .source = "Dodge and Metzner, AIChE J. 5 (1959) 189, from memory; one value seen (f = 0.00258643 at Re 1e5, n' 0.5). Colebrook: seen in test "
                "values of a general fluid-mechanics library. c and d: a drilling-fluids reference manual of 2006 p. 9-14 and Guo and Liu (2011) "
                "p. 31, 33 (seen).",
      .assumptions = "Fanning factors. Measured for n' from 0.36 to 1 and non-Newtonian Re up to 3.5e4; clay suspensions and drag-reducing "
                     "polymers deviate. Taking the Newtonian law for a thinning fluid overstates: by 14 to 19 % at n' 0.8.",
      .cautions = "Advisory: pressures that follow from it are for the well's own programme and licensed practice to decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"turbulent", "the Reynolds number is above 3470 - 1370 n'"},
      Verdict{"not_turbulent", "the Reynolds number is below 3470 - 1370 n': such a flow is laminar and no turbulent law holds", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const double told = in.reynolds_number + in.local_flow_index + in.relative_roughness;
    if (!(told == told) || !(r.friction_factor == r.friction_factor)) return 2;
    return in.reynolds_number < 3470.0 - 1370.0 * in.local_flow_index ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.reynolds_number = 20000.0, .local_flow_index = 0.7, .relative_roughness = 2e-4}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, FrictionLaw law) {
    Result<T> r;
    r.laminar_factor = T(16.0) / in.reynolds_number;
    if (law == FrictionLaw::dodge_metzner) {
      r.friction_factor = exp(T(2.0) * half_log_factor(in.local_flow_index, in.reynolds_number, in.relative_roughness));
    } else if (law == FrictionLaw::colebrook) {
      const T y = solve({"y", Quantity::number, "half the logarithm of the friction factor"}, ColebrookBalance{},
                        Bracket<T>{T(-20.0), T(20.0), T(-2.6)}, in.reynolds_number, in.relative_roughness);
      r.friction_factor = exp(T(2.0) * y);
    } else {
      r.friction_factor = r.laminar_factor * explicit_turbulent_ratio(in.local_flow_index, in.reynolds_number);
    }
    r.darcy_factor = T(4.0) * r.friction_factor;
    return r;
  }
};

inline constexpr FrictionFactor friction_factor{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
