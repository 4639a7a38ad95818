// Pressure loss in the surface lines: stand-pipe, hose, swivel and kelly or top drive.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

enum class SurfaceEquipment : std::uint8_t { given, type_1, type_2, type_3, type_4 };
inline constexpr std::array surface_equipment_choices{
    Choice{"given", "the coefficient is given"},
    Choice{"type_1", "40 ft of 3 in stand-pipe, 45 ft of 2 in hose, 4 ft of 2 in swivel, 40 ft of 2 1/4 in kelly"},
    Choice{"type_2", "40 ft of 3 1/2 in stand-pipe, 55 ft of 2 1/2 in hose, 5 ft of 2 1/2 in swivel, 40 ft of 3 1/4 in kelly"},
    Choice{"type_3", "45 ft of 4 in stand-pipe, 55 ft of 3 in hose, 5 ft of 2 1/2 in swivel, 40 ft of 3 1/4 in kelly"},
    Choice{"type_4", "45 ft of 4 in stand-pipe, 55 ft of 3 in hose, 6 ft of 3 in swivel, 40 ft of 4 in kelly"},
};

struct SurfaceLines : Calculation<SurfaceLines> {
  using Option = SurfaceEquipment;
  static constexpr OptionInfo option{.name = "equipment", .meaning = "class of the surface equipment, by its bores",
                                      .choices = surface_equipment_choices};

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T flow_rate = T(not_a_number);
    T plastic_viscosity = T(not_a_number);
    T coefficient = T(not_a_number);
  };

  template <class T>
  struct Result {
    T pressure_loss;
  };

  static constexpr Constant one_density{"\\rho_1", find_symbol("lbm/gal[US]")->scale(), Quantity::density, "unit of the density to which E belongs"};
  static constexpr Constant one_rate{"q_1", find_symbol("gal[US]/min")->scale(), Quantity::flow_rate, "unit of the rate to which E belongs"};
  static constexpr Constant one_viscosity{"\\eta_1", find_symbol("cP")->scale(), Quantity::viscosity, "unit of the viscosity to which E belongs"};
  static constexpr Constant one_pressure{"p_1", find_symbol("psi")->scale(), Quantity::pressure, "unit of the pressure to which E belongs"};
  static constexpr std::array<Constant, 5> coefficients{{  // from memory; the first place is the one given
      {"E", not_a_number, Quantity::number, "given"},
      {"E", 2.5e-4, Quantity::number, "coefficient of type 1, for lb/gal, gal/min, cP and psi"},
      {"E", 9.6e-5, Quantity::number, "coefficient of type 2, for lb/gal, gal/min, cP and psi"},
      {"E", 5.3e-5, Quantity::number, "coefficient of type 3, for lb/gal, gal/min, cP and psi"},
      {"E", 4.2e-5, Quantity::number, "coefficient of type 4, for lb/gal, gal/min, cP and psi"},
  }};

  static constexpr std::array inputs{
      circuit::density, circuit::flow_rate,
      Variable{.name = "plastic_viscosity", .symbol = "\\eta_p", .quantity = Quantity::viscosity, .meaning = "plastic viscosity of the mud",
               .limits = {1e-5, 10.0}, .validated = {1e-3, 0.15}},
      Variable{.name = "coefficient", .symbol = "E_{given}", .quantity = Quantity::number,
               .meaning = "coefficient of the rig's own lines, for lb/gal, gal/min, cP and psi; needed where no class is chosen",
               .limits = {0.0, 0.1}, .validated = {1e-5, 5e-4}, .optional = true},
  };
  static constexpr std::array results{
      Variable{.name = "pressure_loss", .symbol = "\\Delta p", .quantity = Quantity::pressure, .meaning = "pressure lost in the surface lines"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.surface_lines",
      .title = "Pressure loss in the surface lines",
      .answers = "What does the way from the pump to the top of the string cost in pressure?",
      .equations = "dp = E rho^0.8 q^1.8 eta_p^0.2 in lb/gal, gal/min, cP and psi",
      .source = "Form seen in a rig hydraulics course sheet; the four coefficients 0.00025, 0.000096, 0.000053, 0.000042 and the dimensions of their "
                "classes from memory (textbooks of drilling hydraulics).",
      .assumptions = "Turbulent flow in lines like those of the class. Better: measure the loss of the rig's own lines at one rate and give the "
                     "coefficient.",
      .cautions = circuit::cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"flowing", "the lines are circulated"},
      Verdict{"at_rest", "nothing flows and nothing is lost"},
      Verdict{"missing", "an input is missing: where no class is chosen, the coefficient is needed"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.pressure_loss == r.pressure_loss)) return 2;
    return in.flow_rate == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.density = 1440.0, .flow_rate = 0.0284, .plastic_viscosity = 0.02, .coefficient = 6e-5}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option equipment) {
    Result<T> r;
    const T rate = step({"x", Quantity::number, "rate in gal/min"}, in.flow_rate / constant<T>(one_rate));
    const T flow = step({"y", Quantity::number, "product of the powers, each quantity in its unit"},
                        pow(in.density / constant<T>(one_density), T(0.8)) * power(rate, T(1.8)) *
                            pow(in.plastic_viscosity / constant<T>(one_viscosity), T(0.2)));
    if (equipment == SurfaceEquipment::given) {
      r.pressure_loss = in.coefficient * flow * constant<T>(one_pressure);
    } else {
      r.pressure_loss = flow * constant<T>(coefficients[static_cast<std::size_t>(equipment)]) * constant<T>(one_pressure);
    }
    return r;
  }
};

inline constexpr SurfaceLines surface_lines{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
