// Chloride of a whole non-aqueous mud by silver nitrate.
#pragma once

#include "lutum/chemistry/salt_masses.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct WholeMudChloride : Calculation<WholeMudChloride> {
  template <class T>
  struct Input {
    T silver_nitrate_titrant_volume = T(not_a_number);
    T sample_volume = T(not_a_number);
    T titrant_normality = T(282.0);
  };

  template <class T>
  struct Result {
    T whole_mud_chloride;
  };

  static constexpr std::array inputs{
      Variable{.name = "silver_nitrate_titrant_volume", .symbol = "V_{Ag}", .quantity = Quantity::bench_volume,
               .meaning = "silver nitrate solution used to the end point", .limits = {0.0, 1e-3}, .validated = {0.0, 50e-6}},
      Variable{.name = "sample_volume", .symbol = "V_{mud}", .quantity = Quantity::bench_volume,
               .meaning = "whole mud in the flask", .limits = {0.05e-6, 1e-3}, .validated = {0.5e-6, 5e-6}},
      Variable{.name = "titrant_normality", .symbol = "N", .quantity = Quantity::charge_concentration,
               .meaning = "strength of the silver nitrate solution", .limits = {1.0, 5000.0}, .validated = {25.0, 300.0}},
  };

  static constexpr std::array results{
      Variable{.name = "whole_mud_chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride per volume of whole mud"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.whole_mud_chloride",
      .title = "Chloride of a whole non-aqueous mud",
      .answers = "How much chloride does a litre of the whole mud carry?",
      .equations = "c_Cl = N V_Ag / V_mud M_Cl: 9997 mg/L for each mL of 0.282 N solution per mL of mud",
      .source = "One chloride for each silver ion (derived). API RP 13B-2 and ISO 10414-2, whole mud chloride; 10 000 mg/L for each mL/mL from "
                "memory, text not seen.",
      .assumptions = "The emulsion is broken and the sample neutral or a little acid at the end point. Bromide counts as chloride. Nothing else "
                     "takes up silver: sulfide must have been boiled off.",
      .cautions = "Solvents are flammable: no flames, fume hood. Chromate indicator is toxic and a suspected carcinogen, silver nitrate corrodes "
                  "and stains: gloves and goggles, collect the waste. Acid on a sample with sulfide releases hydrogen sulfide. Follow local rules. "
                  "The result is per volume of mud, not of its water.",
  };

  static constexpr std::array verdicts{
      Verdict{"titrated", "the end point took titrant"},
      Verdict{"no_titrant", "no titrant was used: no chloride, or the emulsion was not broken", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.whole_mud_chloride == r.whole_mud_chloride)) return 2;
    return in.silver_nitrate_titrant_volume == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.silver_nitrate_titrant_volume = 4.5e-6, .sample_volume = 1e-6}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.titrant_normality * in.silver_nitrate_titrant_volume / in.sample_volume * constant<T>(chloride_mass)};
  }
};

inline constexpr WholeMudChloride whole_mud_chloride{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
