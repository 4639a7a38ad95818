// Alkalinity and excess lime of a non-aqueous mud by acid on the whole mud.
#pragma once

#include "lutum/chemistry/salt_masses.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct WholeMudAlkalinity : Calculation<WholeMudAlkalinity> {
  template <class T>
  struct Input {
    T acid_titrant_volume = T(not_a_number);
    T sample_volume = T(not_a_number);
    T titrant_normality = T(100.0);
  };

  template <class T>
  struct Result {
    T whole_mud_alkalinity;
    T lime_concentration;
  };

  static constexpr Constant reporting_strength{"N_0", 100.0, Quantity::charge_concentration,
                                               "strength of acid in which the alkalinity is reported, 0.1 N"};

  static constexpr std::array inputs{
      Variable{.name = "acid_titrant_volume", .symbol = "V_{acid}", .quantity = Quantity::bench_volume,
               .meaning = "sulfuric acid used until the pink stays away", .limits = {0.0, 1e-3}, .validated = {0.0, 50e-6}},
      Variable{.name = "sample_volume", .symbol = "V_{mud}", .quantity = Quantity::bench_volume,
               .meaning = "whole mud in the flask", .limits = {0.05e-6, 1e-3}, .validated = {0.5e-6, 5e-6}},
      Variable{.name = "titrant_normality", .symbol = "N", .quantity = Quantity::charge_concentration,
               .meaning = "strength of the acid", .limits = {1.0, 5000.0}, .validated = {15.0, 110.0}},
  };

  static constexpr std::array results{
      Variable{.name = "whole_mud_alkalinity", .symbol = "A_{mud}", .quantity = Quantity::alkalinity,
               .meaning = "alkalinity, volume of 0.1 N acid per volume of whole mud (mL/mL)"},
      Variable{.name = "lime_concentration", .symbol = "c_{lime}", .quantity = Quantity::concentration,
               .meaning = "excess lime as calcium hydroxide per volume of mud, all alkalinity taken as lime"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.whole_mud_alkalinity",
      .title = "Alkalinity and excess lime of a non-aqueous mud",
      .answers = "How much acid does the mud take, and how much excess lime is that?",
      .equations = "A = N V_acid / (0.1 N V_mud); lime = N V_acid / V_mud M_lime / 2: 1.2985 lb/bbl or 3.7046 kg/m3 for each mL of 0.1 N per mL",
      .source = "Two equivalents of acid for each lime (derived). API RP 13B-2 and ISO 10414-2, whole mud alkalinity (from memory, text not seen), "
                "where 1.295 is used; training slides print 1.3. A printed handbook's 1.5 is wrong: it fits neither Ca(OH)2 nor CaO.",
      .assumptions = "Everything that acid neutralises is lime. Alkaline emulsifiers and amines count too; carbonate does not at this end point. A "
                     "sample is titrated until the pink colour stays away for a minute.",
      .cautions = "Solvents are flammable: no flames, fume hood. Acid on a sour mud releases hydrogen sulfide: hood and a monitor. Goggles and "
                  "gloves. Follow local rules.",
  };

  static constexpr std::array verdicts{
      Verdict{"excess_lime", "lime is left in the mud"},
      Verdict{"no_excess_lime", "no acid was used: no lime is left to hold the emulsifier and to take up acid gas", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.lime_concentration == r.lime_concentration)) return 2;
    return in.acid_titrant_volume == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.acid_titrant_volume = 4.7e-6, .sample_volume = 2e-6}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T charge = step({"e_{acid}", Quantity::ion_charge_concentration, "equivalents of acid per volume of mud"},
                          in.titrant_normality * in.acid_titrant_volume / in.sample_volume);
    return {charge / constant<T>(reporting_strength), charge * constant<T>(lime_mass) / T(2.0)};
  }
};

inline constexpr WholeMudAlkalinity whole_mud_alkalinity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
