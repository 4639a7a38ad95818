// Light fluid that lowers the density of a mud.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

struct DensityDilution : Calculation<DensityDilution> {
  template <class T>
  struct Input {
    T mud_density = T(not_a_number);
    T target_density = T(not_a_number);
    T diluent_density = T(998.2);
    T mud_volume = T(not_a_number);
  };

  template <class T>
  struct Result {
    T dilution_ratio;
    T dilution_volume;
    T final_volume;
    T exchanged_volume;
  };

  static constexpr std::array inputs{
      Variable{.name = "mud_density", .symbol = "\\rho_{m}", .quantity = Quantity::density, .meaning = "density of the mud, free of gas",
               .limits = {700.0, 3000.0}, .validated = {950.0, 2500.0}},
      Variable{.name = "target_density", .symbol = "\\rho_{2}", .quantity = Quantity::density, .meaning = "density wanted",
               .limits = {600.0, 3000.0}, .validated = {950.0, 2500.0}},
      Variable{.name = "diluent_density", .symbol = "\\rho_{d}", .quantity = Quantity::density,
               .meaning = "density of what is added: water, brine, base oil or a light mud; the default is water at 20 degC",
               .limits = {600.0, 3000.0}, .validated = {750.0, 2000.0}},
      Variable{.name = "mud_volume", .symbol = "V_{1}", .quantity = Quantity::mud_volume, .meaning = "active volume to be diluted",
               .limits = {0.0, 1e5}, .validated = {1.0, 5000.0}, .optional = true, .if_missing = "totals are then not known."},
  };

  static constexpr std::array results{
      Variable{.name = "dilution_ratio", .symbol = "x", .quantity = Quantity::volume_ratio,
               .meaning = "volume to add per volume of the mud as it is, signed"},
      Variable{.name = "dilution_volume", .symbol = "V_{d}", .quantity = Quantity::mud_volume, .meaning = "volume to add to the whole active volume"},
      Variable{.name = "final_volume", .symbol = "V_{2}", .quantity = Quantity::mud_volume, .meaning = "volume that it becomes"},
      Variable{.name = "exchanged_volume", .symbol = "V_{x}", .quantity = Quantity::mud_volume,
               .meaning = "volume to take out first and replace by what is added, so that the active volume stays as it is"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.density_dilution",
      .title = "Diluting to a lower density",
      .answers = "How much water, oil or light mud brings the density down, with the volume growing or kept?",
      .equations = "x = (rho_m - rho_2) / (rho_2 - rho_d); V_d = x V_1; V_2 = V_1 (1 + x); kept volume: V_x = V_1 (rho_m - rho_2) / (rho_m - rho_d)",
      .source = "Sums of volumes and of masses (derived). Formulas and Calculations handbook, chapter 3, and course sheets (seen).",
      .assumptions = "Volumes add: no gas, nothing dissolves or precipitates. The fluid that is added mixes with the whole active volume.",
      .cautions = "Dilution thins the mud and spreads every product in it: make up what the programme asks for. Water weakens an oil mud. A density "
                  "lowered too far lets the formation flow: the well's programme and licensed practice decide. Pilot test first.",
  };

  static constexpr std::array verdicts{
      Verdict{"lighter", "the density falls"},
      Verdict{"not_lighter", "the density wanted is no lower than it is: amounts are negative or nothing; weight up instead", Severity::caution},
      Verdict{"diluent_too_heavy", "what is added is no lighter than the density wanted: no amount gives it", Severity::impossible},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(in.mud_density + in.target_density + in.diluent_density < infinity)) return 3;
    if (!(r.dilution_ratio == r.dilution_ratio)) return 2;
    return in.target_density >= in.mud_density ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.mud_density = 1678.0, .target_density = 1438.0, .mud_volume = 111.3}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T contrast = only_if(in.target_density > in.diluent_density, in.target_density - in.diluent_density);
    Result<T> r;
    r.dilution_ratio = (in.mud_density - in.target_density) / contrast;
    r.dilution_volume = r.dilution_ratio * in.mud_volume;
    r.final_volume = in.mud_volume + r.dilution_volume;
    r.exchanged_volume = r.dilution_volume / (T(1.0) + r.dilution_ratio);
    return r;
  }
};

inline constexpr DensityDilution density_dilution{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
