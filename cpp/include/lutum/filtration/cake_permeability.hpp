// Permeability of a filter cake from the filtrate and the cake's thickness.
#pragma once

#include "lutum/filtration/press.hpp"

namespace lutum::inline LUTUM_ISA_TAG::filtration {

struct CakePermeability : Calculation<CakePermeability> {
  template <class T>
  struct Input {
    T filtrate_volume = T(not_a_number);
    T cake_thickness = T(not_a_number);
    T filtrate_viscosity = T(not_a_number);
    T time = T(1800.0);
    T differential_pressure = T(100.0 * find_symbol("psi")->scale());
    T area = T(7.1 * find_symbol("in2")->scale());
  };

  template <class T>
  struct Result {
    T permeability;
    T cake_per_filtrate;
  };

  static constexpr std::array inputs{
      Variable{.name = "filtrate_volume", .symbol = "V", .quantity = Quantity::bench_volume,
               .meaning = "filtrate as read, not doubled for area", .limits = {0.0, 1e-3}, .validated = {0.5e-6, 100e-6}},
      Variable{.name = "cake_thickness", .symbol = "h", .quantity = Quantity::cake_thickness,
               .meaning = "thickness of the cake at the end", .limits = {1e-5, 0.1}, .validated = {2e-4, 10e-3}},
      Variable{.name = "filtrate_viscosity", .symbol = "\\mu", .quantity = Quantity::viscosity,
               .meaning = "viscosity of the filtrate at the temperature of the test", .limits = {1e-5, 1.0}, .validated = {1.5e-4, 1e-2}},
      Variable{.name = "time", .symbol = "t", .quantity = Quantity::bench_time, .meaning = "time of filtration", .limits = {1.0, 864000.0},
               .validated = {60.0, 14400.0}},
      Variable{.name = "differential_pressure", .symbol = "\\Delta p", .quantity = Quantity::pressure,
               .meaning = "pressure above the cake less pressure below it", .limits = {1e3, 1e8}, .validated = {5e5, 2e7}},
      Variable{.name = "area", .symbol = "A", .quantity = Quantity::bench_area, .meaning = "filtration area of the press", .limits = {1e-5, 1.0},
               .validated = {2e-3, 5e-3}},
  };

  static constexpr std::array results{
      Variable{.name = "permeability", .symbol = "k", .quantity = Quantity::permeability, .meaning = "permeability of the cake"},
      Variable{.name = "cake_per_filtrate", .symbol = "w", .quantity = Quantity::volume_ratio,
               .meaning = "volume of cake for each volume of filtrate"},
  };

  static constexpr Sheet sheet{
      .id = "filtration.cake_permeability",
      .title = "Permeability of the filter cake",
      .answers = "How tight is the filter cake?",
      .equations = "k = mu V h / (2 A dp t); cake for each volume of filtrate = h A / V",
      .source = "Darcy's law through a cake that grows in proportion to the filtrate (derived): dV/dt = k A dp / (mu h(t)) with h(t) = h V(t)/V, "
                "integrated from no cake to the end. For the standard press (7.1 in2, 100 psi, 30 min) k in mD = 8.912e-5 V h mu, in mL, mm, mPa.s; "
                "8.95e-5 is in circulation (from memory) and fits 45.6 cm2.",
      .assumptions = "Incompressible cake, no spurt, resistance of the paper neglected, thickness measured on the wet cake without its soft top.",
      .cautions = "Press and cartridge stay under pressure after the test; bleed, then open. Never nitrous oxide as pressure gas. The bench cake "
                  "under its pressure is not the cake in the hole.",
  };
  static constexpr Input<double> example() { return {.filtrate_volume = 10e-6, .cake_thickness = 2e-3, .filtrate_viscosity = 1e-3}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.permeability = in.filtrate_viscosity * in.filtrate_volume * in.cake_thickness / (T(2.0) * in.area * in.differential_pressure * in.time);
    r.cake_per_filtrate = in.cake_thickness * in.area / only_if(in.filtrate_volume > T(0.0), in.filtrate_volume);
    return r;
  }
};

inline constexpr CakePermeability cake_permeability{};

}  // namespace lutum::inline LUTUM_ISA_TAG::filtration
