// Shear strength of a mud aged at rest, from a loaded tube that sinks into it.
#pragma once

#include "lutum/density/hydrostatic_pressure.hpp"

namespace lutum::inline LUTUM_ISA_TAG::routine {

struct ShearStrength : Calculation<ShearStrength> {
  template <class T>
  struct Input {
    T tube_mass = T(not_a_number);
    T weights_mass = T(not_a_number);
    T submerged_length = T(not_a_number);
    T mud_density = T(not_a_number);
    T tube_diameter = T(1.4 * exact::inch);
    T wall_thickness = T(0.008 * exact::inch);
  };

  template <class T>
  struct Result {
    T shear_strength;
  };

  static constexpr Constant pi{"\\pi", exact::pi, Quantity::number, "circle's circumference over its diameter"};

  static constexpr std::array inputs{
      Variable{.name = "tube_mass", .symbol = "Z", .quantity = Quantity::bench_mass, .meaning = "mass of the shear tube", .limits = {1e-4, 1.0},
               .validated = {5e-3, 0.05}},
      Variable{.name = "weights_mass", .symbol = "W", .quantity = Quantity::bench_mass, .meaning = "mass of platform and weights on the tube",
               .limits = {0.0, 10.0}, .validated = {0.0, 2.0}},
      Variable{.name = "submerged_length", .symbol = "L", .quantity = Quantity::bench_length,
               .meaning = "length of the tube below the mud's surface, at rest", .limits = {1e-3, 1.0}, .validated = {0.012, 3.5 * exact::inch}},
      Variable{.name = "mud_density", .symbol = "\\rho_{m}", .quantity = Quantity::density, .meaning = "density of the mud, free of gas",
               .limits = {700.0, 3000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "tube_diameter", .symbol = "D", .quantity = Quantity::diameter, .meaning = "outer diameter of the tube", .limits = {1e-3, 0.5},
               .validated = {0.03, 0.04}},
      Variable{.name = "wall_thickness", .symbol = "s", .quantity = Quantity::diameter, .meaning = "thickness of the tube's wall",
               .limits = {1e-5, 0.01}, .validated = {1e-4, 1e-3}},
  };
  static constexpr std::array results{
      Variable{.name = "shear_strength", .symbol = "S", .quantity = Quantity::stress, .meaning = "shear strength of the aged mud, signed"},
  };
  static constexpr Sheet sheet{
      .id = "routine.shear_strength",
      .title = "Shear strength of a mud aged at rest",
      .answers = "How firm does the mud set when it is left hot and still?",
      .equations = "S = (Z + W) g / (2 pi (D - s) L) - rho_m g s / 2",
      .source = "Balance of weight, buoyancy of the wall and shear on both faces of the tube (derived). The standard tube, 1.4 in by 0.008 in (API "
                "RP 13B-1, static ageing, from memory), gives 3.630 (Z + W)/L - 0.2494 rho_m in lb/100 ft2 with g, in and lb/gal. Printed: 3.61 and "
                "0.256 (from memory): 1.4 in taken for the mean diameter, and a wall of 0.0082 in; 0.6 % lower in all. L is in inches: with "
                "centimetres 3.61 is too small by 2.54.",
      .assumptions = "Tube at rest, strength fully called on along both faces, no resistance of its edge, mud level inside and outside alike.",
      .cautions = "Ageing cells hold pressure when cold: cool, vent by the valve, then open behind a shield; never nitrous oxide as pressure gas. "
                  "Hot cells: gloves. Follow local rules and the laboratory's own procedure.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "the load is carried by the mud's strength"},
      Verdict{"floats", "the buoyancy of the wall alone would carry the load: a slip in a mass or the length", Severity::caution},
      Verdict{"no_tube", "the wall is as thick as half the diameter or more: no tube", Severity::impossible},
      Verdict{"missing", "a reading is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (2.0 * in.wall_thickness >= in.tube_diameter) return 2;
    if (!(r.shear_strength == r.shear_strength)) return 3;
    return r.shear_strength < 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.tube_mass = 0.0155, .weights_mass = 0.1, .submerged_length = 2.0 * exact::inch, .mud_density = 1440.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T& diameter = in.tube_diameter;
    const T mean = step({"D_{mean}", Quantity::diameter, "mean diameter of the tube's wall"},
                        only_if(diameter > T(2.0) * in.wall_thickness, diameter - in.wall_thickness));
    const T faces = step({"A_{s}", Quantity::bench_area, "area of both faces in the mud"}, T(2.0) * (mean * constant<T>(pi)) * in.submerged_length);
    const T load = step({"\\tau_{W}", Quantity::stress, "stress that the weight puts on both faces"},
                        (in.tube_mass + in.weights_mass) * constant<T>(density::HydrostaticPressure::gravity) / faces);
    const T lift = step({"\\tau_{B}", Quantity::stress, "stress that the buoyancy of the wall takes off"},
                        in.mud_density * constant<T>(density::HydrostaticPressure::gravity) * in.wall_thickness / T(2.0));
    return {load - lift};
  }
};

inline constexpr ShearStrength shear_strength{};

}  // namespace lutum::inline LUTUM_ISA_TAG::routine
