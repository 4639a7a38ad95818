// Pressure and equivalent density down a well, section by section: friction along measured depth, hydrostatic pressure
// and equivalent density on true vertical depth.
#pragma once

#include "lutum/core/usual_constants.hpp"
#include "lutum/hydraulics/describe.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct EquivalentDensity : Calculation<EquivalentDensity> {
  template <class T>
  struct Input {
    T fluid_density = T(not_a_number);
    T surface_pressure = T(0.0);
  };

  template <class T>
  struct Row {
    T bottom_measured_depth = T(not_a_number);
    T bottom_true_vertical_depth = T(not_a_number);
    T friction_gradient = T(not_a_number);
  };

  template <class T>
  struct Carry {
    T measured_depth;
    T friction_pressure;
  };

  template <class T>
  struct Result {
    T hydrostatic_pressure;
    T friction_pressure;
    T pressure;
    T equivalent_density;
  };

  static constexpr std::array inputs{
      Variable{.name = "fluid_density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the fluid in the annulus",
               .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "surface_pressure", .symbol = "p_{0}", .quantity = Quantity::pressure, .meaning = "pressure held at the surface",
               .limits = {0.0, 1e9}, .validated = {0.0, 1e8}},
  };

  static constexpr std::array rows{
      describe::bottom_measured_depth, describe::bottom_true_vertical_depth,
      Variable{.name = "friction_gradient", .symbol = "\\left(dp/dL\\right)", .quantity = Quantity::pressure_gradient,
               .meaning = "friction pressure loss per measured length in the section; 0 when not circulating", .limits = {0.0, 1e6},
               .validated = {0.0, 2e4}, .length = any_length},
  };

  static constexpr std::array carried{
      Variable{.name = "measured_depth", .symbol = "L_{above}", .quantity = Quantity::length, .meaning = "measured depth of the section's top"},
      Variable{.name = "friction_pressure", .symbol = "p_{f,above}", .quantity = Quantity::pressure, .meaning = "friction of the sections above"},
  };

  static constexpr std::array results{
      Variable{.name = "hydrostatic_pressure", .symbol = "p_{h}", .quantity = Quantity::pressure,
               .meaning = "pressure of the column on true vertical depth", .length = any_length},
      Variable{.name = "friction_pressure", .symbol = "p_{f}", .quantity = Quantity::pressure,
               .meaning = "friction from the surface to the section's bottom, along measured depth", .length = any_length},
      Variable{.name = "pressure", .symbol = "p", .quantity = Quantity::pressure, .meaning = "pressure at the section's bottom", .length = any_length},
      Variable{.name = "equivalent_density", .symbol = "\\rho_{e}", .quantity = Quantity::density,
               .meaning = "density of a resting column with that pressure there; missing at no depth", .length = any_length},
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.equivalent_density",
      .title = "Pressure and equivalent density down the annulus",
      .answers = "What density does the rock feel at the bottom of each section while circulating?",
      .equations = "p_f = sum of (dp/dL) (L - L_above); p_h = rho g z; p = p_0 + p_h + p_f; rho_e = p/(g z)",
      .source = "Hydrostatics and force balance (derived); standard gravity 9.80665 m/s2. The trade's 0.052 psi/(ft lb/gal) is 0.1 % high.",
      .assumptions = "One incompressible fluid of one density, steady flow, no cuttings. Rows run from the surface down without gaps.",
      .cautions = "Advisory. Pressures near a pore, collapse or fracture limit are for the well's own programme, its barriers and licensed practice to "
                  "decide; round against the limit that threatens.",
  };

  static constexpr Input<double> example() { return {.fluid_density = 1200.0}; }
  static constexpr std::array<std::array<double, 3>, 3> example_rows{{{1000, 1000, 200.0}, {2000, 1900, 350.0}, {3000, 2600, 686.0}}};

  template <class T>
  static constexpr Carry<T> start(const Input<T>& in) {
    return {T(0.0) * in.surface_pressure, T(0.0) * in.surface_pressure};
  }

  template <class T>
  static constexpr std::pair<Result<T>, Carry<T>> evaluate(const Input<T>& in, const Row<T>& row, const Carry<T>& above) {
    const T length = step({"\\Delta L", Quantity::length, "measured length of the section"}, row.bottom_measured_depth - above.measured_depth);
    const T downward = only_if(length >= T(0.0), length);
    Result<T> r;
    r.hydrostatic_pressure = in.fluid_density * constant<T>(gravity) * row.bottom_true_vertical_depth;
    r.friction_pressure = above.friction_pressure + row.friction_gradient * downward;
    r.pressure = in.surface_pressure + r.hydrostatic_pressure + r.friction_pressure;
    const T depth = only_if(row.bottom_true_vertical_depth > T(0.0), row.bottom_true_vertical_depth);
    r.equivalent_density = r.pressure / (depth * constant<T>(gravity));
    return {r, {row.bottom_measured_depth, r.friction_pressure}};
  }
};

inline constexpr EquivalentDensity equivalent_density{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
