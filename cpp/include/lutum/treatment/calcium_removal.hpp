// Product that precipitates calcium of the water phase as carbonate.
#pragma once

#include "lutum/treatment/dose.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

enum class CalciumRemovalAgent : std::uint8_t { soda_ash, bicarbonate_with_hydroxide, bicarbonate_alone };
inline constexpr std::array calcium_removal_agents{
    Choice{"soda_ash", "soda ash: Ca++ + Na2CO3 = CaCO3 + 2 Na+"},
    Choice{"bicarbonate_with_hydroxide", "sodium bicarbonate with free hydroxide, as after cement: Ca++ + HCO3- + OH- = CaCO3 + H2O"},
    Choice{"bicarbonate_alone", "sodium bicarbonate without free hydroxide: Ca++ + 2 HCO3- = CaCO3 + CO2 + H2O"},
};

struct CalciumRemoval : Calculation<CalciumRemoval> {
  using Option = CalciumRemovalAgent;
  static constexpr OptionInfo option{.name = "agent", .meaning = "agent and reaction", .choices = calcium_removal_agents};

  template <class T>
  struct Input {
    T calcium = T(not_a_number);
    T target_calcium = T(not_a_number);
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
  };

  static constexpr std::array inputs{
      Variable{.name = "calcium", .symbol = "c_{Ca}", .quantity = Quantity::ion_concentration,
               .meaning = "calcium in the filtrate, mass per volume (not ppm)", .limits = {0.0, 200.0}, .validated = {0.0, 5.0}},
      Variable{.name = "target_calcium", .symbol = "c_{Ca,0}", .quantity = Quantity::ion_concentration,
               .meaning = "calcium to be left in the filtrate", .limits = {0.0, 200.0}, .validated = {0.0, 5.0}},
      shared::water_fraction, shared::purity, shared::efficiency, shared::mud_volume,
  };

  static constexpr std::array results{
      shared::treatment_concentration, shared::product_mass, shared::unreacted_concentration,
      Variable{.name = "sodium_gained", .symbol = "\\Delta c_{Na}", .quantity = Quantity::ion_concentration,
               .meaning = "sodium added to the filtrate by all of the agent, reacted or not"},
      Variable{.name = "hydroxide_gained", .symbol = "\\Delta c_{OH}", .quantity = Quantity::ion_concentration,
               .meaning = "hydroxide added to the filtrate by the reaction; negative where it is used up"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.calcium_removal",
      .title = "Treating out calcium",
      .answers = "How much soda ash or sodium bicarbonate takes the calcium out, and what stays behind?",
      .equations = "n = (c_Ca - target) / M_Ca; product = phi_w k n M_agent / (p eta), k = 1, 1, 2; soda ash 2.645, bicarbonate 2.096 or 4.192 "
                   "times the calcium; sodium 2, 1, 2 n M_Na / eta",
      .source = "Stoichiometry (derived): 0.000927, 0.000735 and 0.001469 lb/bbl for each mg/L in the water. A supplier prints 0.000735, a textbook "
                "table 0.00093 (from memory). Prints that are wrong: 0.84 kg of bicarbonate for each kg of calcium (2.10 or 4.19), 0.16 bbl of soda "
                "ash for each 100 ppm (0.093 lb/bbl).",
      .assumptions = "Calcium as calcium, not as calcium carbonate: hardness in CaCO3 would overstate it 2.5 times. All the agent dissolves. More "
                     "calcium dissolves from gypsum, lime or cement that is still in the mud: the filtrate shows only what is dissolved.",
      .cautions = "Too much leaves carbonate and bicarbonate, which thicken the mud as badly and show late; soda ash also raises the pH: treat in "
                  "part and test again. It removes at most what the water phase holds. Pilot test on a sample first; local rules and licensed "
                  "practice decide. Dust irritates: goggles.",
  };

  static constexpr std::array verdicts{
      Verdict{"treatable", "there is calcium to remove"},
      Verdict{"nothing_to_remove", "the filtrate holds no more calcium than is to be left: do not treat, amounts are negative", Severity::caution},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.treatment_concentration == r.treatment_concentration)) return 2;
    return in.calcium <= in.target_calcium ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.calcium = 0.6, .target_calcium = 0.1, .water_fraction = 0.8, .purity = 0.98, .efficiency = 0.9, .mud_volume = 159.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option agent) {
    const double count = agent == Option::bicarbonate_alone ? 2.0 : 1.0;  // of agent for each calcium
    const double sodium = agent == Option::bicarbonate_with_hydroxide ? 1.0 : 2.0;
    const double hydroxide = agent == Option::bicarbonate_with_hydroxide ? -1.0 : 0.0;
    const T amount = step({"n_{Ca}", Quantity::amount_concentration, "amount of calcium to be removed, per volume of filtrate"},
                          (in.calcium - in.target_calcium) / constant<T>(chemistry::calcium_mass));
    const auto need = dose<T>(in, amount, count, agent == Option::soda_ash ? chemistry::soda_ash_mass : chemistry::sodium_bicarbonate_mass);
    return {need.treatment_concentration, need.product_mass, need.unreacted_concentration,
            shared::mass_of(sodium, amount, chemistry::sodium_mass) / in.efficiency,
            shared::mass_of(hydroxide, amount, chemistry::hydroxide_mass)};
  }
};

inline constexpr CalciumRemoval calcium_removal{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
