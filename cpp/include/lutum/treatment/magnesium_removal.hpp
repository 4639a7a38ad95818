// Caustic soda that precipitates magnesium of the water phase as hydroxide.
#pragma once

#include "lutum/treatment/dose.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

struct MagnesiumRemoval : Calculation<MagnesiumRemoval> {
  template <class T>
  struct Input {
    T magnesium = T(not_a_number);
    T target_magnesium = T(not_a_number);
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
    T sodium_gained;
  };

  static constexpr std::array inputs{
      Variable{.name = "magnesium", .symbol = "c_{Mg}", .quantity = Quantity::ion_concentration,
               .meaning = "magnesium in the filtrate, mass per volume (not ppm)", .limits = {0.0, 200.0}, .validated = {0.0, 5.0}},
      Variable{.name = "target_magnesium", .symbol = "c_{Mg,0}", .quantity = Quantity::ion_concentration,
               .meaning = "magnesium to be left in the filtrate", .limits = {0.0, 200.0}, .validated = {0.0, 5.0}},
      shared::water_fraction, shared::purity, shared::efficiency, shared::mud_volume,
  };

  static constexpr std::array results{
      shared::treatment_concentration, shared::product_mass, shared::unreacted_concentration,
      Variable{.name = "sodium_gained", .symbol = "\\Delta c_{Na}", .quantity = Quantity::ion_concentration,
               .meaning = "sodium added to the filtrate by all of the agent, reacted or not"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.magnesium_removal",
      .title = "Treating out magnesium",
      .answers = "How much caustic soda takes the magnesium out?",
      .equations = "n = (c_Mg - target) / M_Mg; Mg + 2 NaOH = Mg(OH)2 + 2 Na; product = phi_w 2 n M_NaOH / (p eta), 3.291 times the magnesium; "
                   "sodium 2 n M_Na / eta",
      .source = "Stoichiometry (derived): 0.001154 lb/bbl for each mg/L in the water; a textbook table has 0.00116 (from memory). A mirrored "
                "manual: 0.5 lb/bbl for about 430 mg/L (seen; 433 by stoichiometry).",
      .assumptions = "Mg++ + 2 NaOH = Mg(OH)2 + 2 Na+. "
                     "Hydroxide goes to magnesium only. In fact the pH must rise too, and clay, bicarbonate and thinners take some: the efficiency "
                     "is for that. Sources let it start at pH 9.7, 10.0 or 10.5: one solubility curve, 54, 14 and 1.4 mg/L left (derived).",
      .cautions = "Too much raises the pH, thickens clay and dissolves what lime and calcium are there. With much magnesium, as in sea water or "
                  "carnallite, do not chase it. Caustic soda burns eyes and skin: always add it to water slowly, never to hot water, never with "
                  "another chemical in one barrel; face shield, gloves, eyewash. It removes at most what the water phase holds. Pilot test on a "
                  "sample first; local rules and licensed practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"treatable", "there is magnesium to remove"},
      Verdict{"nothing_to_remove", "the filtrate holds no more magnesium than is to be left: do not treat, amounts are "
                                   "negative", Severity::caution},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.treatment_concentration == r.treatment_concentration)) return 2;
    return in.magnesium <= in.target_magnesium ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.magnesium = 0.45, .target_magnesium = 0.02, .water_fraction = 0.85, .purity = 0.98, .efficiency = 0.8, .mud_volume = 159.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T amount = step({"n_{Mg}", Quantity::amount_concentration, "amount of magnesium to be removed, per volume of filtrate"},
                          (in.magnesium - in.target_magnesium) / constant<T>(chemistry::magnesium_mass));
    const auto need = dose<T>(in, amount, 2.0, chemistry::caustic_soda_mass);
    return {need.treatment_concentration, need.product_mass, need.unreacted_concentration,
            shared::mass_of(2.0, amount, chemistry::sodium_mass) / in.efficiency};
  }
};

inline constexpr MagnesiumRemoval magnesium_removal{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
