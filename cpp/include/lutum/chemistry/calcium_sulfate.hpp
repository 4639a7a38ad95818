// Calcium sulfate of a water-base mud: total, and what lies undissolved in it.
#pragma once

#include "lutum/chemistry/salt_masses.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct CalciumSulfate : Calculation<CalciumSulfate> {
  template <class T>
  struct Input {
    T mud_titrant_volume = T(not_a_number);
    T filtrate_titrant_volume = T(not_a_number);
    T water_fraction = T(not_a_number);
    T titrant_molarity = T(10.0);
    T sample_volume = T(5e-6);
    T diluted_volume = T(250e-6);
    T aliquot_volume = T(10e-6);
    T filtrate_sample_volume = T(1e-6);
  };

  template <class T>
  struct Result {
    T calcium_sulfate_concentration;
    T dissolved_concentration;
    T undissolved_concentration;
  };

  static constexpr std::array inputs{
      Variable{.name = "mud_titrant_volume", .symbol = "V_{t}", .quantity = Quantity::bench_volume,
               .meaning = "titrant (EDTA solution) used for the diluted, filtered mud", .limits = {0.0, 1e-3}, .validated = {0.0, 30e-6}},
      Variable{.name = "filtrate_titrant_volume", .symbol = "V_{f}", .quantity = Quantity::bench_volume,
               .meaning = "titrant (EDTA solution) used for the filtrate of the mud as it is", .limits = {0.0, 1e-3}, .validated = {0.0, 30e-6}},
      Variable{.name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
               .meaning = "water read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.3, 1.0}},
      Variable{.name = "titrant_molarity", .symbol = "c_{EDTA}", .quantity = Quantity::amount_concentration,
               .meaning = "strength of the titrant (EDTA solution); 0.01 mol/L may be labelled 0.02 N", .limits = {0.1, 1000.0}, .validated = {9.0, 11.0}},
      Variable{.name = "sample_volume", .symbol = "V_{mud}", .quantity = Quantity::bench_volume, .meaning = "mud that is diluted",
               .limits = {0.1e-6, 1e-3}, .validated = {1e-6, 10e-6}},
      Variable{.name = "diluted_volume", .symbol = "V_{d}", .quantity = Quantity::bench_volume, .meaning = "volume to which the mud is made up",
               .limits = {1e-6, 1e-2}, .validated = {50e-6, 500e-6}},
      Variable{.name = "aliquot_volume", .symbol = "V_{a}", .quantity = Quantity::bench_volume,
               .meaning = "volume of the diluted mud's filtrate that is titrated", .limits = {0.1e-6, 1e-2}, .validated = {1e-6, 50e-6}},
      Variable{.name = "filtrate_sample_volume", .symbol = "V_{fs}", .quantity = Quantity::bench_volume,
               .meaning = "filtrate of the mud as it is that is titrated", .limits = {0.05e-6, 1e-3}, .validated = {0.5e-6, 10e-6}},
  };

  static constexpr std::array results{
      Variable{.name = "calcium_sulfate_concentration", .symbol = "c_{t}", .quantity = Quantity::concentration,
               .meaning = "calcium sulfate per volume of mud, dissolved and not"},
      Variable{.name = "dissolved_concentration", .symbol = "c_{d}", .quantity = Quantity::concentration,
               .meaning = "calcium sulfate dissolved in the water of the mud, per volume of mud"},
      Variable{.name = "undissolved_concentration", .symbol = "c_{u}", .quantity = Quantity::concentration,
               .meaning = "calcium sulfate that lies undissolved, per volume of mud, signed"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.calcium_sulfate",
      .title = "Calcium sulfate of a water-base mud",
      .answers = "How much calcium sulfate does the mud hold, and how much of it lies undissolved in reserve?",
      .equations = "total = c_EDTA V_t / V_a V_d / V_mud M; dissolved = phi_w c_EDTA V_f / V_fs M; undissolved = total - dissolved. With the usual "
                   "volumes 2.386 V_t and 0.477 V_f phi_w lb/bbl",
      .source = "One EDTA for each calcium (derived). API RP 13B-1 and ISO 10414-1, calcium sulfate, 2.38 V_t - 0.48 V_f F_w (from memory, text not "
                "seen).",
      .assumptions = "The dilution dissolves all calcium sulfate: no more than about 2 g/L does, 28 lb/bbl in 50-fold dilution. All hardness is "
                     "counted as calcium sulfate: calcium of lime or calcium chloride, and magnesium, read as sulfate.",
      .cautions = "The buffer holds ammonia: fumes, hood. Goggles and gloves. Follow local rules.",
  };

  static constexpr std::array verdicts{
      Verdict{"undissolved", "calcium sulfate lies in reserve"},
      Verdict{"all_dissolved", "less in the mud than its filtrate would hold: no reserve, within the error of the two "
                               "titrations", Severity::caution},
      Verdict{"dilution_saturated", "the diluted mud holds as much as water dissolves, about 2 g/L: dilute more, the total reads "
                                    "low", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.undissolved_concentration == r.undissolved_concentration)) return 3;
    if (r.calcium_sulfate_concentration * in.sample_volume / in.diluted_volume > 2.0) return 2;
    return r.undissolved_concentration < 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.mud_titrant_volume = 6e-6, .filtrate_titrant_volume = 4e-6, .water_fraction = 0.85};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T in_mud = step({"n_{t}", Quantity::amount_concentration, "amount of calcium per volume of mud"},
                          in.titrant_molarity * in.mud_titrant_volume / in.aliquot_volume * (in.diluted_volume / in.sample_volume));
    const T in_filtrate = step({"n_{f}", Quantity::amount_concentration, "amount of calcium per volume of filtrate"},
                               in.titrant_molarity * in.filtrate_titrant_volume / in.filtrate_sample_volume);
    Result<T> r;
    r.calcium_sulfate_concentration = in_mud * constant<T>(calcium_sulfate_mass);
    r.dissolved_concentration = in.water_fraction * in_filtrate * constant<T>(calcium_sulfate_mass);
    r.undissolved_concentration = r.calcium_sulfate_concentration - r.dissolved_concentration;
    return r;
  }
};

inline constexpr CalciumSulfate calcium_sulfate{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
