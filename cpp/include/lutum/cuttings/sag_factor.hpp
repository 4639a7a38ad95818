// Static sag of weighting material from the densities at the top and the bottom of an aged sample.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

struct SagFactor : Calculation<SagFactor> {
  template <class T>
  struct Input {
    T bottom_density = T(not_a_number);
    T top_density = T(not_a_number);
  };

  template <class T>
  struct Result {
    T sag_factor;
    T density_difference;
  };

  static constexpr std::array inputs{
      Variable{.name = "bottom_density", .symbol = "\\rho_{b}", .quantity = Quantity::density, .meaning = "density at the bottom of the sample",
               .limits = {500.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "top_density", .symbol = "\\rho_{t}", .quantity = Quantity::density, .meaning = "density at its top, below any free liquid",
               .limits = {500.0, 4000.0}, .validated = {700.0, 2600.0}},
  };
  static constexpr std::array results{
      Variable{.name = "sag_factor", .symbol = "S", .meaning = "part of the bottom in the sum of both densities; one half without sag"},
      Variable{.name = "density_difference", .symbol = "\\Delta \\rho", .quantity = Quantity::density,
               .meaning = "density of the bottom less that of the top"},
  };
  static constexpr Sheet sheet{
      .id = "cuttings.sag_factor",
      .title = "Static sag factor",
      .answers = "Has weighting material settled in the sample at rest?",
      .equations = "S = rho_b/(rho_b + rho_t)",
      .source = "Definition; the limit 0.53 is common practice, no source.",
      .assumptions = "Both samples drawn without stirring. Sag in a well is mostly dynamic, on inclined sections at low rates, and may be worse.",
      .cautions = "Open an aged cell only cold and without pressure. Sag upsets the pressure of the column: advisory; the well's own programme, "
                  "local rules and licensed practice decide.",
  };
  static constexpr std::array verdicts{
      Verdict{"even", "at most 0.53: little has settled"},
      Verdict{"sagged", "above 0.53: weighting material has settled", Severity::caution},
      Verdict{"lighter_below", "the bottom is lighter than the top: samples exchanged, or air in one", Severity::caution},
      Verdict{"missing", "a density is missing"},
  };
  static constexpr std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.sag_factor == r.sag_factor)) return 3;
    if (in.bottom_density < in.top_density) return 2;
    return r.sag_factor > 0.53 ? 1 : 0;
  }
  static constexpr Input<double> example() { return {.bottom_density = 1560.0, .top_density = 1480.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.bottom_density / (in.bottom_density + in.top_density), in.bottom_density - in.top_density};
  }
};

inline constexpr SagFactor sag_factor{};

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
