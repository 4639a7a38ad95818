// Calcium of a whole non-aqueous mud by EDTA.
#pragma once

#include "lutum/chemistry/salt_masses.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct WholeMudCalcium : Calculation<WholeMudCalcium> {
  template <class T>
  struct Input {
    T edta_titrant_volume = T(not_a_number);
    T sample_volume = T(not_a_number);
    T titrant_molarity = T(100.0);
  };

  template <class T>
  struct Result {
    T whole_mud_calcium;
  };

  static constexpr std::array inputs{
      Variable{.name = "edta_titrant_volume", .symbol = "V_{EDTA}", .quantity = Quantity::bench_volume,
               .meaning = "titrant (EDTA solution) used to the end point", .limits = {0.0, 1e-3}, .validated = {0.0, 50e-6}},
      Variable{.name = "sample_volume", .symbol = "V_{mud}", .quantity = Quantity::bench_volume,
               .meaning = "whole mud in the flask", .limits = {0.05e-6, 1e-3}, .validated = {0.5e-6, 5e-6}},
      Variable{.name = "titrant_molarity", .symbol = "c_{EDTA}", .quantity = Quantity::amount_concentration,
               .meaning = "strength of the titrant (EDTA solution); 0.1 mol/L may be labelled 0.2 N", .limits = {0.1, 2000.0}, .validated = {9.0, 105.0}},
  };

  static constexpr std::array results{
      Variable{.name = "whole_mud_calcium", .symbol = "c_{Ca}", .quantity = Quantity::ion_concentration,
               .meaning = "calcium per volume of whole mud"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.whole_mud_calcium",
      .title = "Calcium of a whole non-aqueous mud",
      .answers = "How much calcium does a litre of the whole mud carry?",
      .equations = "c_Ca = c_EDTA V_EDTA / V_mud M_Ca: 4008 mg/L for each mL of 0.1 mol/L solution per mL of mud",
      .source = "One calcium for each EDTA (derived). API RP 13B-2 and ISO 10414-2, whole mud calcium; 4000 mg/L for each mL/mL from memory, text "
                "not seen.",
      .assumptions = "The emulsion is broken and the sample strongly alkaline, so that magnesium stays out. Lime and soaps are titrated as calcium "
                     "too. The strength is in mol/L: taking a label of 0.2 N for 0.2 mol/L doubles the result.",
      .cautions = "Solvents are flammable: no flames, fume hood. The caustic buffer burns skin and eyes: goggles and gloves. Follow local rules. "
                  "The result is per volume of mud, not of its water.",
  };

  static constexpr std::array verdicts{
      Verdict{"titrated", "the end point took titrant"},
      Verdict{"no_titrant", "no titrant was used: no calcium, or the emulsion was not broken", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.whole_mud_calcium == r.whole_mud_calcium)) return 2;
    return in.edta_titrant_volume == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.edta_titrant_volume = 6e-6, .sample_volume = 1e-6}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.titrant_molarity * in.edta_titrant_volume / in.sample_volume * constant<T>(calcium_mass)};
  }
};

inline constexpr WholeMudCalcium whole_mud_calcium{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
