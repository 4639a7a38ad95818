// Zinc scavenger that binds sulfide of the water phase.
#pragma once

#include "lutum/treatment/dose.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

enum class SulfideRemovalAgent : std::uint8_t { zinc_oxide, basic_zinc_carbonate };
inline constexpr std::array sulfide_removal_agents{
    Choice{"zinc_oxide", "zinc oxide: S-- + ZnO + H2O = ZnS + 2 OH-"},
    Choice{"basic_zinc_carbonate", "basic zinc carbonate: 5 S-- + 2ZnCO3.3Zn(OH)2 = 5 ZnS + 2 CO3-- + 6 OH-"},
};

struct SulfideRemoval : Calculation<SulfideRemoval> {
  using Option = SulfideRemovalAgent;
  static constexpr OptionInfo option{.name = "agent", .meaning = "scavenger and reaction", .choices = sulfide_removal_agents};

  template <class T>
  struct Input {
    T sulfide = T(not_a_number);
    T target_sulfide = T(not_a_number);
    T water_fraction = T(not_a_number);
    T purity = T(1.0);
    T efficiency = T(not_a_number);
    T mud_volume = T(not_a_number);
  };

  template <class T>
  struct Result {
    T treatment_concentration;
    T product_mass;
    T unreacted_concentration;
    T hydroxide_gained;
    T carbonate_gained;
  };

  static constexpr std::array inputs{
      Variable{.name = "sulfide", .symbol = "c_{S}", .quantity = Quantity::ion_concentration,
               .meaning = "sulfide in the filtrate, mass per volume (not ppm)", .limits = {0.0, 200.0}, .validated = {0.0, 3.0}},
      Variable{.name = "target_sulfide", .symbol = "c_{S,0}", .quantity = Quantity::ion_concentration,
               .meaning = "sulfide to be left in the filtrate", .limits = {0.0, 200.0}, .validated = {0.0, 3.0}},
      shared::water_fraction, shared::purity, shared::efficiency, shared::mud_volume,
  };

  static constexpr std::array results{
      shared::treatment_concentration, shared::product_mass, shared::unreacted_concentration,
      Variable{.name = "hydroxide_gained", .symbol = "\\Delta c_{OH}", .quantity = Quantity::ion_concentration,
               .meaning = "hydroxide added to the filtrate by the reaction"},
      Variable{.name = "carbonate_gained", .symbol = "\\Delta c_{CO3}", .quantity = Quantity::ion_concentration,
               .meaning = "carbonate added to the filtrate by the reaction"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.sulfide_removal",
      .title = "Scavenging sulfide",
      .answers = "How much zinc oxide or basic zinc carbonate binds the sulfide?",
      .equations = "n = (c_S - target) / M_S; product = phi_w k n M_agent / (p eta), k = 1 or 1/5; zinc oxide 2.538, basic zinc carbonate 3.425 "
                   "times the sulfide; hydroxide 2 or 1.2 n M_OH, carbonate 0 or 0.4 n M_CO3",
      .source = "Stoichiometry (derived): 0.000890 and 0.001200 lb/bbl for each mg/L in the water. A printed example has 0.00123 for a basic zinc "
                "carbonate (seen): the formula of the product varies, its purity sets that right. About 2 lb/bbl of zinc oxide once hydrogen "
                "sulfide is proved: seen.",
      .assumptions = "One zinc for each sulfide. Reports of what zinc oxide does differ widely with pH, particle surface and time, from effective "
                     "to very poor: the efficiency has no default, measure it on the mud.",
      .cautions = "Hydrogen sulfide kills: the site's own plan, alarms and evacuation come before any treatment. Keep the pH above 10 to 11. Zinc "
                  "added before hydrogen sulfide is proved hides a slow influx. Too much zinc flocculates clay, and local rules may limit zinc in "
                  "what is discharged. Acid on treated or sour mud releases hydrogen sulfide again. It removes at most what the water phase holds. "
                  "Pilot test on a sample first; local rules and licensed practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"treatable", "there is sulfide to remove"},
      Verdict{"nothing_to_remove", "the filtrate holds no more sulfide than is to be left: do not treat, amounts are negative", Severity::caution},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.treatment_concentration == r.treatment_concentration)) return 2;
    return in.sulfide <= in.target_sulfide ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.sulfide = 0.4, .target_sulfide = 0.0, .water_fraction = 0.8, .purity = 0.97, .efficiency = 0.5, .mud_volume = 159.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option agent) {
    const bool oxide = agent == Option::zinc_oxide;
    const T amount = step({"n_{S}", Quantity::amount_concentration, "amount of sulfide to be removed, per volume of filtrate"},
                          (in.sulfide - in.target_sulfide) / constant<T>(chemistry::sulfide_mass));
    const auto need = dose<T>(in, amount, oxide ? 1.0 : 0.2, oxide ? chemistry::zinc_oxide_mass : chemistry::basic_zinc_carbonate_mass);
    return {need.treatment_concentration, need.product_mass, need.unreacted_concentration,
            shared::mass_of(oxide ? 2.0 : 1.2, amount, chemistry::hydroxide_mass),
            shared::mass_of(oxide ? 0.0 : 0.4, amount, chemistry::carbonate_mass)};
  }
};

inline constexpr SulfideRemoval sulfide_removal{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
