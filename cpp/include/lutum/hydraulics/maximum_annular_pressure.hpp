// The surface pressure at which the weakest point of the open hole takes fluid.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct MaximumAnnularPressure : Calculation<MaximumAnnularPressure> {
  template <class T>
  struct Input {
    T density = T(not_a_number);
    T fracture_density = T(not_a_number);
    T shoe_true_vertical_depth = T(not_a_number);
  };

  template <class T>
  struct Result {
    T fracture_pressure;
    T hydrostatic_pressure;
    T surface_pressure;
  };

  static constexpr std::array inputs{
      Variable{.name = "density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the mud now in the annulus above the shoe",
               .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "fracture_density", .symbol = "\\rho_{fr}", .quantity = Quantity::density,
               .meaning = "equivalent density that the weakest point takes, from a leak-off test", .limits = {1.0, 5000.0},
               .validated = {1000.0, 2800.0}},
      Variable{.name = "shoe_true_vertical_depth", .symbol = "z", .quantity = Quantity::length,
               .meaning = "true vertical depth of the weakest point, usually the shoe", .limits = {0.1, 20000.0}, .validated = {50.0, 12000.0}},
  };
  static constexpr std::array results{
      Variable{.name = "fracture_pressure", .symbol = "p_{fr}", .quantity = Quantity::pressure,
               .meaning = "pressure at which the weakest point takes fluid"},
      Variable{.name = "hydrostatic_pressure", .symbol = "p_{h}", .quantity = Quantity::pressure, .meaning = "pressure of the mud there"},
      Variable{.name = "surface_pressure", .symbol = "p_{max}", .quantity = Quantity::pressure,
               .meaning = "maximum allowable annular surface pressure, signed and not rounded: for use it is rounded down"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.maximum_annular_pressure",
      .title = "Maximum allowable annular surface pressure",
      .answers = "What pressure at the surface breaks the weakest point below the shoe with this mud in the annulus?",
      .equations = "p_fr = rho_fr g z; p_h = rho g z; p_max = p_fr - p_h",
      .source = "Hydrostatics (derived); the trade's 0.052 psi/(ft lb/gal) makes it 0.10 % high, on the unsafe side.",
      .assumptions = "The annulus above the weakest point holds mud of one density only; once an influx has passed it the number no longer tells the "
                     "pressure there. Leak-off read at the same datum, with the density then in the hole.",
      .cautions = "Well control. Advisory only: it is one limit beside those of casing, wellhead and preventers, and changes with the mud. The "
                  "well's own programme, its barriers, local rules and licensed practice decide. Round down.",
  };

  static constexpr std::array verdicts{
      Verdict{"margin_left", "the mud leaves room below the fracture"},
      Verdict{"no_margin", "the resting mud alone reaches the fracture density: losses are to be expected", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.surface_pressure == r.surface_pressure)) return 2;
    return r.surface_pressure > 0.0 ? 0 : 1;
  }

  static constexpr Input<double> example() { return {.density = 1440.0, .fracture_density = 1800.0, .shoe_true_vertical_depth = 2000.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.fracture_pressure = in.fracture_density * constant<T>(gravity) * in.shoe_true_vertical_depth;
    r.hydrostatic_pressure = in.density * constant<T>(gravity) * in.shoe_true_vertical_depth;
    r.surface_pressure = r.fracture_pressure - r.hydrostatic_pressure;
    return r;
  }
};

inline constexpr MaximumAnnularPressure maximum_annular_pressure{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
