// Lime or gypsum that precipitates carbonate of the water phase.
#pragma once

#include "lutum/treatment/dose.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

enum class CarbonateRemovalAgent : std::uint8_t { lime, gypsum };
inline constexpr std::array carbonate_removal_agents{
    Choice{"lime", "lime: CO3-- + Ca(OH)2 = CaCO3 + 2 OH-"},
    Choice{"gypsum", "gypsum: CO3-- + CaSO4.2H2O = CaCO3 + SO4-- + 2 H2O"},
};

struct CarbonateRemoval : Calculation<CarbonateRemoval> {
  using Option = CarbonateRemovalAgent;
  static constexpr OptionInfo option{.name = "agent", .meaning = "agent and reaction", .choices = carbonate_removal_agents};

  template <class T>
  struct Input {
    T carbonate = T(not_a_number);
    T target_carbonate = T(not_a_number);
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
    T hydroxide_gained;
    T sulfate_gained;
  };

  static constexpr std::array inputs{
      Variable{.name = "carbonate", .symbol = "c_{CO3}", .quantity = Quantity::ion_concentration,
               .meaning = "carbonate in the filtrate, mass per volume (not ppm)", .limits = {0.0, 200.0}, .validated = {0.0, 10.0}},
      Variable{.name = "target_carbonate", .symbol = "c_{CO3,0}", .quantity = Quantity::ion_concentration,
               .meaning = "carbonate to be left in the filtrate", .limits = {0.0, 200.0}, .validated = {0.0, 10.0}},
      shared::water_fraction, shared::purity, shared::efficiency, shared::mud_volume,
  };

  static constexpr std::array results{
      shared::treatment_concentration, shared::product_mass, shared::unreacted_concentration,
      Variable{.name = "hydroxide_gained", .symbol = "\\Delta c_{OH}", .quantity = Quantity::ion_concentration,
               .meaning = "hydroxide added to the filtrate by the reaction"},
      Variable{.name = "sulfate_gained", .symbol = "\\Delta c_{SO4}", .quantity = Quantity::ion_concentration,
               .meaning = "sulfate added to the filtrate by the reaction"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.carbonate_removal",
      .title = "Treating out carbonate",
      .answers = "How much lime or gypsum takes the carbonate out, and what stays behind?",
      .equations = "n = (c_CO3 - target) / M_CO3; product = phi_w n M_agent / (p eta); lime 1.235, gypsum 2.869 times the carbonate; hydroxide 2 or "
                   "0 n M_OH; sulfate 0 or 1 n M_SO4",
      .source = "Stoichiometry (derived): 0.000433 and 0.001006 lb/bbl for each mg/L in the water; a textbook table has 0.00043 and 0.00100 (from "
                "memory). Gypsum with caustic where more than 7 lb/bbl of lime is needed: seen in a mirrored manual.",
      .assumptions = "The carbonate is carbonate: below about pH 10 part of what a titration or gas train reports is bicarbonate, which takes its "
                     "own amount. Calcium meets carbonate before it meets anything else.",
      .cautions = "Too much lime, the more so in a hot hole, can set a clay mud solid and leaves calcium and hydroxide; gypsum leaves sulfate and, "
                  "beyond the carbonate, calcium. Lime burns eyes and lungs: goggles, dust mask, and never with another chemical in one barrel. It "
                  "removes at most what the water phase holds. Pilot test on a sample first; local rules and licensed practice decide.",
  };

  static constexpr double much_lime = 7.0 * find_symbol("lbm/bbl")->scale();

  static constexpr std::array verdicts{
      Verdict{"treatable", "there is carbonate to remove"},
      Verdict{"nothing_to_remove", "the filtrate holds no more carbonate than is to be left: do not treat, amounts are "
                                   "negative", Severity::caution},
      Verdict{"much_lime", "more than 7 lb/bbl (20 kg/m3) of lime: gypsum with caustic is the usual way then", Severity::caution},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, Option agent) {
    if (!(r.treatment_concentration == r.treatment_concentration)) return 3;
    if (in.carbonate <= in.target_carbonate) return 1;
    if (agent == Option::lime && r.treatment_concentration > much_lime) return 2;
    return 0;
  }

  static constexpr Input<double> example() {
    return {.carbonate = 1.5, .target_carbonate = 0.3, .water_fraction = 0.8, .purity = 0.95, .efficiency = 0.9, .mud_volume = 159.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option agent) {
    const bool lime = agent == Option::lime;
    const T amount = step({"n_{CO3}", Quantity::amount_concentration, "amount of carbonate to be removed, per volume of filtrate"},
                          (in.carbonate - in.target_carbonate) / constant<T>(chemistry::carbonate_mass));
    const auto need = dose<T>(in, amount, 1.0, lime ? chemistry::lime_mass : chemistry::gypsum_mass);
    return {need.treatment_concentration, need.product_mass, need.unreacted_concentration,
            shared::mass_of(lime ? 2.0 : 0.0, amount, chemistry::hydroxide_mass),
            shared::mass_of(lime ? 0.0 : 1.0, amount, chemistry::sulfate_mass)};
  }
};

inline constexpr CarbonateRemoval carbonate_removal{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
