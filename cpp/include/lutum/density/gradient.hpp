// Pressure gradient of a resting fluid.
#pragma once

#include "lutum/density/hydrostatic_pressure.hpp"

namespace lutum::inline LUTUM_ISA_TAG::density {

struct Gradient : Calculation<Gradient> {
  template <class T>
  struct Input {
    T fluid_density = T(not_a_number);
  };

  template <class T>
  struct Result {
    T pressure_gradient;
  };

  static constexpr std::array inputs{
      Variable{.name = "fluid_density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the fluid",
               .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}},
  };
  static constexpr std::array results{
      Variable{.name = "pressure_gradient", .symbol = "G", .quantity = Quantity::pressure_gradient,
               .meaning = "pressure that the resting fluid gains with each unit of true vertical depth"},
  };
  static constexpr Sheet sheet{
      .id = "density.gradient",
      .title = "Pressure gradient of a fluid",
      .answers = "How fast does pressure rise with depth in this fluid?",
      .equations = "dp/dz = G = rho g",
      .source = "Hydrostatics (derived): exactly 0.0519481 psi/ft for each lb/gal (12/231) and 1/144 psi/ft for each lb/ft3. The printed 0.052 is "
                "0.10 % high, 0.433 psi/ft for 1000 kg/m3 is 0.12 % low.",
      .assumptions = "Standard gravity 9.80665 m/s2. The density is that of the fluid at the depth in question, free of gas.",
      .cautions = "Advisory; density changes with temperature and pressure down the well. The well's own programme and licensed practice decide.",
  };
  static constexpr Input<double> example() { return {.fluid_density = 1438.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.fluid_density * constant<T>(HydrostaticPressure::gravity)};
  }
};

inline constexpr Gradient gradient{};

}  // namespace lutum::inline LUTUM_ISA_TAG::density
