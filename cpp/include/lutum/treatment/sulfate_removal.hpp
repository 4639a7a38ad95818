// Barium carbonate that precipitates sulfate of the water phase.
#pragma once

#include "lutum/treatment/dose.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

struct SulfateRemoval : Calculation<SulfateRemoval> {
  template <class T>
  struct Input {
    T sulfate = T(not_a_number);
    T target_sulfate = T(not_a_number);
    T water_fraction = T(not_a_number);
    T purity = T(1.0);
    T efficiency = T(1.0);
    T mud_volume = T(not_a_number);
  };

  template <class T>
  struct Result {
    T treatment_concentration;
    T product_mass;
    T unreacted_concentration;
    T carbonate_gained;
  };

  static constexpr std::array inputs{
      Variable{.name = "sulfate", .symbol = "c_{SO4}", .quantity = Quantity::ion_concentration,
               .meaning = "sulfate in the filtrate, mass per volume (not ppm)", .limits = {0.0, 200.0}, .validated = {0.0, 10.0}},
      Variable{.name = "target_sulfate", .symbol = "c_{SO4,0}", .quantity = Quantity::ion_concentration,
               .meaning = "sulfate to be left in the filtrate", .limits = {0.0, 200.0}, .validated = {0.0, 10.0}},
      shared::water_fraction, shared::purity, shared::efficiency, shared::mud_volume,
  };

  static constexpr std::array results{
      shared::treatment_concentration, shared::product_mass, shared::unreacted_concentration,
      Variable{.name = "carbonate_gained", .symbol = "\\Delta c_{CO3}", .quantity = Quantity::ion_concentration,
               .meaning = "carbonate added to the filtrate by the reaction"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.sulfate_removal",
      .title = "Treating out sulfate",
      .answers = "How much barium carbonate takes the sulfate out?",
      .equations = "n = (c_SO4 - target) / M_SO4; SO4 + BaCO3 = BaSO4 + CO3; product = phi_w n M_BaCO3 / (p eta), 2.054 times the sulfate; "
                   "carbonate n M_CO3",
      .source = "Stoichiometry (derived): 0.000720 lb/bbl for each mg/L in the water (the same figure from memory).",
      .assumptions = "SO4-- + BaCO3 = BaSO4 + CO3--. "
                     "Where calcium is there as well, as after gypsum, the carbonate set free takes it out in turn; without calcium it stays. "
                     "Barium carbonate dissolves slowly: the efficiency is for that.",
      .cautions = "Barium carbonate is poisonous when swallowed and soluble in acid: gloves, no food, no acid near it; local rules may forbid it. "
                  "Too much leaves carbonate where no calcium waits for it. It removes at most what the water phase holds. Pilot test on a sample "
                  "first; local rules and licensed practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"treatable", "there is sulfate to remove"},
      Verdict{"nothing_to_remove", "the filtrate holds no more sulfate than is to be left: do not treat, amounts are negative", Severity::caution},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.treatment_concentration == r.treatment_concentration)) return 2;
    return in.sulfate <= in.target_sulfate ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.sulfate = 2.4, .target_sulfate = 0.5, .water_fraction = 0.8, .purity = 0.97, .efficiency = 0.8, .mud_volume = 159.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T amount = step({"n_{SO4}", Quantity::amount_concentration, "amount of sulfate to be removed, per volume of filtrate"},
                          (in.sulfate - in.target_sulfate) / constant<T>(chemistry::sulfate_mass));
    const auto need = dose<T>(in, amount, 1.0, chemistry::barium_carbonate_mass);
    return {need.treatment_concentration, need.product_mass, need.unreacted_concentration,
            shared::mass_of(1.0, amount, chemistry::carbonate_mass)};
  }
};

inline constexpr SulfateRemoval sulfate_removal{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
