// Hydroxide, carbonate and bicarbonate of a filtrate from its two alkalinities.
#pragma once

#include "lutum/chemistry/filtrate_ions.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct FiltrateAlkalinity : Calculation<FiltrateAlkalinity> {
  template <class T>
  struct Input {
    T phenolphthalein_alkalinity = T(not_a_number);
    T methyl_orange_alkalinity = T(not_a_number);
    T titrant_normality = T(alkalinity_acid);
  };

  template <class T>
  struct Result {
    T hydroxide;
    T carbonate;
    T bicarbonate;
  };

  static constexpr std::array inputs{
      Variable{.name = "phenolphthalein_alkalinity", .symbol = "P_{f}", .quantity = Quantity::alkalinity,
               .meaning = "acid to the phenolphthalein end point (pH 8.3), mL per mL of filtrate", .limits = {0.0, 100.0}, .validated = {0.0, 10.0}},
      Variable{.name = "methyl_orange_alkalinity", .symbol = "M_{f}", .quantity = Quantity::alkalinity,
               .meaning = "acid in all to the methyl orange end point (pH 4.3), mL per mL of filtrate", .limits = {0.0, 100.0},
               .validated = {0.0, 20.0}},
      Variable{.name = "titrant_normality", .symbol = "N", .quantity = Quantity::charge_concentration, .meaning = "normality of the acid",
               .limits = {0.1, 1000.0}, .validated = {18.0, 22.0}},
  };

  static constexpr std::array results{
      Variable{.name = "hydroxide", .symbol = "c_{OH}", .quantity = Quantity::ion_concentration, .meaning = "hydroxide in the filtrate"},
      Variable{.name = "carbonate", .symbol = "c_{CO3}", .quantity = Quantity::ion_concentration, .meaning = "carbonate in the filtrate"},
      Variable{.name = "bicarbonate", .symbol = "c_{HCO3}", .quantity = Quantity::ion_concentration, .meaning = "bicarbonate in the filtrate"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.filtrate_alkalinity",
      .title = "Hydroxide, carbonate and bicarbonate from the filtrate's alkalinities",
      .answers = "How much hydroxide, carbonate and bicarbonate does the filtrate hold?",
      .equations = "2 Pf > Mf: OH from 2 Pf - Mf, CO3 from Mf - Pf; 2 Pf = Mf: CO3 from Pf; 2 Pf < Mf: CO3 from Pf, HCO3 from Mf - 2 Pf; each times "
                   "normality and molar mass",
      .source = "Table of the branches: seen in a water-test leaflet (alkalinity relationships, printing of 10/02; the printing of 12/10 misprints "
                "2(T - P) for hydroxide, which should be 2P - T). Factors from molar masses (derived): 340.1, 1200.2 and 1220.3 mg/L for 1 mL of "
                "0.02 N acid per mL; API RP 13B-1 rounds to 340, 1200 and 1220 (from memory, text not seen).",
      .assumptions = "Only hydroxide, carbonate and bicarbonate take up acid, and hydroxide and bicarbonate do not stand together. The table does "
                     "not hold with organic acids (lignite, lignosulfonate, acetate, formate), borate, silicate, sulfide or phosphate in the "
                     "filtrate, nor where colour hides the end point: then titrate with barium chloride (P1 and P2) or use the gas train.",
      .cautions = "Sulfuric acid and caustic filtrate: goggles and gloves. Acid sets hydrogen sulfide free from a filtrate that holds sulfide: test "
                  "for sulfide first and work in a fume hood. Follow local rules and the laboratory's own procedure.",
  };

  static constexpr std::array verdicts{
      Verdict{"bicarbonate_only", "bicarbonate only, by the table: no acid is taken above the phenolphthalein end point"},
      Verdict{"carbonate_and_bicarbonate", "carbonate and bicarbonate, by the table"},
      Verdict{"carbonate_only", "carbonate only, by the table"},
      Verdict{"hydroxide_and_carbonate", "hydroxide and carbonate, by the table"},
      Verdict{"hydroxide_only", "hydroxide only, by the table"},
      Verdict{"no_alkalinity", "neither end point took acid: no alkalinity"},
      Verdict{"perhaps_organics", "bicarbonate by the table with more than 5 mL of acid to the methyl orange end point: organics (lignite, "
                                  "lignosulfonate, organic acids) may have been titrated with it; confirm with the gas train", Severity::caution},
      Verdict{"below_phenolphthalein", "the methyl orange alkalinity counts all the acid and cannot be less than the phenolphthalein alkalinity: "
                                       "only the second part was noted, or the two were exchanged", Severity::impossible},
      Verdict{"missing", "an alkalinity or the normality is missing"},
  };

  // Readings that are equal but for the last bits of a unit conversion count as equal.
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const double pf = in.phenolphthalein_alkalinity, mf = in.methyl_orange_alkalinity;
    const auto equal = [](double a, double b) { return abs(a - b) <= 1e-9 * b; };
    if (pf > mf) return 7;
    if (!(r.hydroxide + r.carbonate + r.bicarbonate == r.hydroxide + r.carbonate + r.bicarbonate)) return 8;
    if (mf == 0.0) return 5;
    if (equal(2.0 * pf, mf)) return 2;
    if (2.0 * pf > mf) return equal(pf, mf) ? 4 : 3;
    if (mf > 5.0) return 6;
    return pf == 0.0 ? 0 : 1;
  }

  static constexpr Input<double> example() { return {.phenolphthalein_alkalinity = 0.7, .methyl_orange_alkalinity = 1.8}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T pf = in.phenolphthalein_alkalinity, mf = in.methyl_orange_alkalinity, twice = T(2.0) * pf;
    const auto sound = [&](const T& x) { return only_if(pf <= mf, x); };
    const T by_hydroxide = step({"v_{OH}", Quantity::alkalinity, "acid that neutralises hydroxide, per volume of filtrate"},
                                sound(larger(twice - mf, T(0.0))));
    const T by_carbonate = step({"v_{CO3}", Quantity::alkalinity, "acid that turns carbonate into bicarbonate, per volume of filtrate"},
                                sound(select(twice > mf, mf - pf, pf)));
    const T by_bicarbonate =
        step({"v_{HCO3}", Quantity::alkalinity, "acid that neutralises the bicarbonate there was from the start, per volume of filtrate"},
             sound(larger(mf - twice, T(0.0))));
    Result<T> r;
    r.hydroxide = by_hydroxide * in.titrant_normality * constant<T>(hydroxide_mass);
    r.carbonate = by_carbonate * in.titrant_normality * constant<T>(carbonate_mass);
    r.bicarbonate = by_bicarbonate * in.titrant_normality * constant<T>(bicarbonate_mass);
    return r;
  }
};

inline constexpr FiltrateAlkalinity filtrate_alkalinity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
