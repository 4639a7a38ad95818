// Lime that precipitates bicarbonate of the water phase, or caustic soda that turns it into carbonate.
#pragma once

#include "lutum/treatment/dose.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

enum class BicarbonateRemovalAgent : std::uint8_t { lime, caustic_soda };
inline constexpr std::array bicarbonate_removal_agents{
    Choice{"lime", "lime: HCO3- + Ca(OH)2 = CaCO3 + OH- + H2O"},
    Choice{"caustic_soda", "caustic soda: HCO3- + NaOH = CO3-- + Na+ + H2O, which leaves the carbonate dissolved"},
};

struct BicarbonateRemoval : Calculation<BicarbonateRemoval> {
  using Option = BicarbonateRemovalAgent;
  static constexpr OptionInfo option{.name = "agent", .meaning = "agent and reaction", .choices = bicarbonate_removal_agents};

  template <class T>
  struct Input {
    T bicarbonate = T(not_a_number);
    T target_bicarbonate = T(not_a_number);
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
    T hydroxide_gained;
    T carbonate_gained;
  };

  static constexpr std::array inputs{
      Variable{.name = "bicarbonate", .symbol = "c_{HCO3}", .quantity = Quantity::ion_concentration,
               .meaning = "bicarbonate in the filtrate, mass per volume (not ppm)", .limits = {0.0, 200.0}, .validated = {0.0, 10.0}},
      Variable{.name = "target_bicarbonate", .symbol = "c_{HCO3,0}", .quantity = Quantity::ion_concentration,
               .meaning = "bicarbonate to be left in the filtrate", .limits = {0.0, 200.0}, .validated = {0.0, 10.0}},
      shared::water_fraction, shared::purity, shared::efficiency, shared::mud_volume,
  };

  static constexpr std::array results{
      shared::treatment_concentration, shared::product_mass, shared::unreacted_concentration,
      Variable{.name = "sodium_gained", .symbol = "\\Delta c_{Na}", .quantity = Quantity::ion_concentration,
               .meaning = "sodium added to the filtrate by all of the agent, reacted or not"},
      Variable{.name = "hydroxide_gained", .symbol = "\\Delta c_{OH}", .quantity = Quantity::ion_concentration,
               .meaning = "hydroxide added to the filtrate by the reaction"},
      Variable{.name = "carbonate_gained", .symbol = "\\Delta c_{CO3}", .quantity = Quantity::ion_concentration,
               .meaning = "carbonate added to the filtrate by the reaction"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.bicarbonate_removal",
      .title = "Treating bicarbonate",
      .answers = "How much lime takes the bicarbonate out, or how much caustic soda turns it into carbonate?",
      .equations = "n = (c_HCO3 - target) / M_HCO3; product = phi_w n M_agent / (p eta); lime 1.214, caustic soda 0.6555 times the bicarbonate; "
                   "lime leaves n hydroxide, caustic soda n carbonate and n / eta sodium",
      .source = "Stoichiometry (derived): lime 0.000426, caustic soda 0.000230 lb/bbl for each mg/L in the water; a table has 0.00043 for lime "
                "(from memory).",
      .assumptions = "One lime for each bicarbonate, which leaves one hydroxide. Half as much lime takes out half of the carbon and leaves the rest "
                     "as carbonate. Caustic soda takes nothing out: carbonate remains and wants calcium.",
      .cautions = "Too much lime can set a clay mud solid in a hot hole and leaves calcium; too much caustic soda raises the pH and disperses clay. "
                  "Caustic soda and lime burn eyes and skin: add to water slowly, never to hot water, never with another chemical in one barrel; "
                  "face shield, gloves, eyewash. It removes at most what the water phase holds. Pilot test on a sample first; local rules and "
                  "licensed practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"treatable", "there is bicarbonate to remove"},
      Verdict{"nothing_to_remove", "the filtrate holds no more bicarbonate than is to be left: do not treat, amounts are "
                                   "negative", Severity::caution},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.treatment_concentration == r.treatment_concentration)) return 2;
    return in.bicarbonate <= in.target_bicarbonate ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.bicarbonate = 1.8, .target_bicarbonate = 0.3, .water_fraction = 0.8, .purity = 0.95, .efficiency = 0.9, .mud_volume = 159.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option agent) {
    const bool lime = agent == Option::lime;
    const T amount = step({"n_{HCO3}", Quantity::amount_concentration, "amount of bicarbonate to be removed, per volume of filtrate"},
                          (in.bicarbonate - in.target_bicarbonate) / constant<T>(chemistry::bicarbonate_mass));
    const auto need = dose<T>(in, amount, 1.0, lime ? chemistry::lime_mass : chemistry::caustic_soda_mass);
    return {need.treatment_concentration, need.product_mass, need.unreacted_concentration,
            shared::mass_of(lime ? 0.0 : 1.0, amount, chemistry::sodium_mass) / in.efficiency,
            shared::mass_of(lime ? 1.0 : 0.0, amount, chemistry::hydroxide_mass),
            shared::mass_of(lime ? 0.0 : 1.0, amount, chemistry::carbonate_mass)};
  }
};

inline constexpr BicarbonateRemoval bicarbonate_removal{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
