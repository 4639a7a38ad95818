// The density of a resting column that exerts a given pressure at depth.
#pragma once

#include "lutum/density/hydrostatic_pressure.hpp"

namespace lutum::inline LUTUM_ISA_TAG::density {

struct BalancingDensity : Calculation<BalancingDensity> {
  template <class T>
  struct Input {
    T pressure = T(not_a_number);
    T true_vertical_depth = T(not_a_number);
  };

  template <class T>
  struct Result {
    T equivalent_density;
  };

  static constexpr std::array inputs{
      Variable{.name = "pressure", .symbol = "p", .quantity = Quantity::pressure, .meaning = "pressure at depth, gauge", .limits = {0.0, 5e8},
               .validated = {1e5, 2e8}},
      Variable{.name = "true_vertical_depth", .symbol = "z", .quantity = Quantity::length,
               .meaning = "true vertical depth below the top of the column", .limits = {0.1, 20000.0}, .validated = {10.0, 12000.0}},
  };
  static constexpr std::array results{
      Variable{.name = "equivalent_density", .symbol = "\\rho_{eq}", .quantity = Quantity::density,
               .meaning = "density of the resting column that exerts this pressure"},
  };
  static constexpr Sheet sheet{
      .id = "density.balancing_density",
      .title = "Density that balances a pressure",
      .answers = "What mud density does this pressure at depth amount to?",
      .equations = "rho_eq = p / (g z)",
      .source = "Hydrostatics (derived); the printed 0.052 psi/ft for each lb/gal makes densities 0.10 % too low.",
      .assumptions = "One density from the top of the column down; the pressure is above that of the atmosphere.",
      .cautions = "No margin is included and nothing is rounded. Where a number is rounded for use, a density that must hold a pressure is rounded "
                  "up and one that must not break a formation is rounded down, and the rounded number is carried on (common custom). Advisory; "
                  "local rules, the well's own programme and licensed practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "a density that muds have"},
      Verdict{"lighter_than_oil", "less than 700 kg/m3: a foam or gas column, or a wrong unit or depth", Severity::caution},
      Verdict{"heavier_than_mud", "more than 2600 kg/m3, heavier than any mud: a wrong unit or depth", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.equivalent_density == r.equivalent_density)) return 3;
    return r.equivalent_density < 700.0 ? 1 : r.equivalent_density > 2600.0 ? 2 : 0;
  }

  static constexpr Input<double> example() { return {.pressure = 35e6, .true_vertical_depth = 3000.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.pressure / (in.true_vertical_depth * constant<T>(HydrostaticPressure::gravity))};
  }
};

inline constexpr BalancingDensity balancing_density{};

}  // namespace lutum::inline LUTUM_ISA_TAG::density
