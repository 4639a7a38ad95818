// Pressure of the resting column at depth.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::density {

struct HydrostaticPressure : Calculation<HydrostaticPressure> {
  template <class T>
  struct Input {  // a required input defaults to not_a_number
    T fluid_density = T(not_a_number);
    T true_vertical_depth = T(not_a_number);
  };

  template <class T>
  struct Result {
    T pressure;
  };

  // A dimensional number is a Constant, so that worked solutions show it with its unit and dimensions are checked.
  static constexpr Constant gravity{"g", exact::gravity, Quantity::acceleration, "standard gravity"};

  static constexpr std::array inputs{  // in the order of the members; limits in SI
      Variable{.name = "fluid_density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the fluid",
               .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "true_vertical_depth", .symbol = "z", .quantity = Quantity::length, .meaning = "true vertical depth",
               .limits = {0.0, 20000.0}, .validated = {0.0, 12000.0}},
  };
  static constexpr std::array results{
      Variable{.name = "pressure", .symbol = "p", .quantity = Quantity::pressure, .meaning = "pressure of the resting column"},
  };
  static constexpr Sheet sheet{
      .id = "density.hydrostatic_pressure",  // area.name; the class is the same name in CamelCase
      .title = "Hydrostatic pressure",
      .answers = "What pressure does the resting fluid exert at depth?",
      .equations = "p = rho g z",
      .source = "Hydrostatics (derived).",
      .assumptions = "One density from the surface down.",
      .cautions = "Advisory; the well's own programme and licensed practice decide.",
  };
  static constexpr Input<double> example() { return {.fluid_density = 1200.0, .true_vertical_depth = 3000.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.fluid_density * in.true_vertical_depth * constant<T>(gravity)};
  }
};

inline constexpr HydrostaticPressure hydrostatic_pressure{};

}  // namespace lutum::inline LUTUM_ISA_TAG::density
