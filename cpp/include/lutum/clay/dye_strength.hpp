// Methylene blue solution: its strength from what was weighed in, and what to weigh in for a wanted strength.
#pragma once

#include "lutum/clay/reference.hpp"
#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::clay {

struct DyeStrength : Calculation<DyeStrength> {
  template <class T>
  struct Input {
    T dye_mass = T(not_a_number);
    T solution_volume = T(1e-3);
    T moisture = T(0.0);
    T wanted_strength = T(10.0);
  };

  template <class T>
  struct Result {
    T dye_strength;
    T required_dye_mass;
  };

  static constexpr Constant molar_mass{"M", dye_molar_mass, Quantity::molar_mass,
                                       "mass of one mole of dye without water, C16H18ClN3S, which carries one charge"};

  static constexpr std::array inputs{
      Variable{.name = "dye_mass", .symbol = "m", .quantity = Quantity::bench_mass, .meaning = "dye powder weighed in, with the water it holds",
               .limits = {1e-6, 10.0}, .validated = {0.1e-3, 50e-3}, .optional = true,
               .if_missing = "the strength is not known; the mass to weigh in still follows."},
      Variable{.name = "solution_volume", .symbol = "V", .quantity = Quantity::bench_volume,
               .meaning = "solution made, filled up with water to the mark", .limits = {1e-6, 0.1}, .validated = {50e-6, 10e-3}},
      Variable{.name = "moisture", .symbol = "w", .quantity = Quantity::mass_fraction,
               .meaning = "water in the powder, by mass of the powder as weighed (loss on drying); crystals with three waters hold 14.5 %",
               .limits = {0.0, 0.99}, .validated = {0.0, 0.25}},
      Variable{.name = "wanted_strength", .symbol = "N_{w}", .quantity = Quantity::charge_concentration,
               .meaning = "strength that the solution should have; one charge a molecule", .limits = {0.1, 1000.0}, .validated = {9.0, 11.0}},
  };

  static constexpr std::array results{
      Variable{.name = "dye_strength", .symbol = "N", .quantity = Quantity::charge_concentration,
               .meaning = "strength of the methylene blue solution"},
      Variable{.name = "required_dye_mass", .symbol = "m_{w}", .quantity = Quantity::bench_mass,
               .meaning = "powder to weigh in for the wanted strength in that volume"},
  };

  static constexpr Sheet sheet{
      .id = "clay.dye_strength",
      .title = "Strength of a methylene blue solution",
      .answers = "How strong is this dye solution, and how much powder makes the strength I want?",
      .equations = "N = m (1 - w) / (M V); m_w = N_w M V / (1 - w)",
      .source = "Mass balance with M = 319.85 g/mol from atomic masses (derived): 3.1985 g/L of dry dye for 0.01 meq/mL. The standard's 3.20 g/L, "
                "and 3.74 g/L of the crystals with three waters with 3.74 x 0.8555 / (dry part of the powder) (from memory, text not seen), agree to "
                "0.05 %.",
      .assumptions = "The powder is dye and water: its purity beyond the water is not known. Moisture is what drying at 93 to 105 degC to constant "
                     "mass takes away (from memory). An old solution may have weakened (common practice, no source): date it.",
      .cautions = "The dye is harmful if swallowed, harms the eyes and stains skin: weigh it without raising dust, with gloves and goggles. Follow "
                  "local rules and the supplier's safety sheet.",
  };

  static constexpr std::array verdicts{
      Verdict{"as_wanted", "the strength lies within 5 % of the one wanted"},
      Verdict{"off_strength", "the strength is more than 5 % off the one wanted: enter the strength as made, or make a new solution; with the "
                              "nominal strength every capacity would be off by as much", Severity::caution},
      Verdict{"not_weighed", "no powder mass is given: only the mass to weigh in follows"},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.required_dye_mass == r.required_dye_mass)) return 3;
    if (!(r.dye_strength == r.dye_strength)) return 2;
    const double ratio = r.dye_strength / in.wanted_strength;
    return ratio < 0.95 || ratio > 1.05 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.dye_mass = 3.74e-3, .moisture = 0.1445}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T dry_part = step({"d", Quantity::mass_fraction, "dye in the powder, by mass"}, T(1.0) - in.moisture);
    return {in.dye_mass * dry_part / (in.solution_volume * constant<T>(molar_mass)),
            in.wanted_strength * constant<T>(molar_mass) * in.solution_volume / dry_part};
  }
};

inline constexpr DyeStrength dye_strength{};

}  // namespace lutum::inline LUTUM_ISA_TAG::clay
