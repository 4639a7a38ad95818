// Hydroxide, carbonate and bicarbonate of a filtrate with barium chloride: the method of P1 and P2.
#pragma once

#include "lutum/chemistry/filtrate_ions.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct P1P2Alkalinity : Calculation<P1P2Alkalinity> {
  template <class T>
  struct Input {
    T phenolphthalein_alkalinity = T(not_a_number);
    T p1_alkalinity = T(not_a_number);
    T p2_alkalinity = T(not_a_number);
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
      Variable{.name = "p1_alkalinity", .symbol = "P_{1}", .quantity = Quantity::alkalinity,
               .meaning = "acid to the phenolphthalein end point after caustic and barium chloride, mL per mL of filtrate", .limits = {0.0, 200.0},
               .validated = {0.0, 20.0}},
      Variable{.name = "p2_alkalinity", .symbol = "P_{2}", .quantity = Quantity::alkalinity,
               .meaning = "acid that the blank takes: the same water, caustic and barium chloride without filtrate, mL per mL of filtrate left out",
               .limits = {0.0, 200.0}, .validated = {0.0, 20.0}},
      Variable{.name = "titrant_normality", .symbol = "N", .quantity = Quantity::charge_concentration, .meaning = "normality of the acid",
               .limits = {0.1, 1000.0}, .validated = {18.0, 22.0}},
  };

  static constexpr std::array results{
      Variable{.name = "hydroxide", .symbol = "c_{OH}", .quantity = Quantity::ion_concentration, .meaning = "hydroxide in the filtrate"},
      Variable{.name = "carbonate", .symbol = "c_{CO3}", .quantity = Quantity::ion_concentration, .meaning = "carbonate in the filtrate, signed"},
      Variable{.name = "bicarbonate", .symbol = "c_{HCO3}", .quantity = Quantity::ion_concentration, .meaning = "bicarbonate in the filtrate"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.p1_p2_alkalinity",
      .title = "Hydroxide, carbonate and bicarbonate by P1 and P2",
      .answers = "How much hydroxide, carbonate and bicarbonate does the filtrate hold, where organics spoil the methyl orange alkalinity?",
      .equations = "P1 > P2: OH from P1 - P2, CO3 from Pf - (P1 - P2); P1 = P2: CO3 from Pf; P1 < P2: HCO3 from P2 - P1, CO3 from Pf; each times "
                   "normality and molar mass",
      .source = "Balance of hydroxide (derived): bicarbonate takes up caustic, barium takes all carbonate out, and what is left is titrated; the "
                "blank tells what was put in. The scheme is that of API RP 13B-1 and ISO 10414-1 with 340, 1200 and 1220 mg/L (from memory, text "
                "not seen); manuals give the caustic as 0.1 or 0.2 N, which does not matter as the blank holds the same.",
      .assumptions = "Sample and blank get exactly the same caustic, more than enough for the bicarbonate. P1 and P2 are nearly equal large "
                     "numbers: their difference carries both reading errors. Carbonate still rests on Pf, which sulfide, phosphate or silicate "
                     "disturb.",
      .cautions = "Barium chloride is poisonous when swallowed: no pipetting by mouth, collect the waste. Caustic and acid: goggles and gloves. "
                  "Acid sets hydrogen sulfide free from a filtrate that holds sulfide: test for sulfide first. Follow local rules and the "
                  "laboratory's own procedure.",
  };

  static constexpr std::array verdicts{
      Verdict{"bicarbonate_only", "bicarbonate only: the filtrate took up caustic and has no phenolphthalein alkalinity"},
      Verdict{"carbonate_and_bicarbonate", "carbonate and bicarbonate: the filtrate took up caustic"},
      Verdict{"carbonate_only", "carbonate only: the filtrate neither took up caustic nor brought hydroxide"},
      Verdict{"hydroxide_and_carbonate", "hydroxide and carbonate: the filtrate brought hydroxide"},
      Verdict{"hydroxide_only", "hydroxide only: it makes up the whole phenolphthalein alkalinity"},
      Verdict{"no_alkalinity", "no acid taken by the filtrate, no caustic taken up: no alkalinity"},
      Verdict{"negative_carbonate", "P1 less P2 exceeds the phenolphthalein alkalinity, so that carbonate comes out negative: within the reading "
                                    "error when slight, else a reading or the caustic put in is wrong", Severity::caution},
      Verdict{"missing", "an alkalinity or the normality is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const double difference = in.p1_alkalinity - in.p2_alkalinity, pf = in.phenolphthalein_alkalinity;
    const double noise = 1e-9 * (in.p1_alkalinity + in.p2_alkalinity);  // of the last bits, not of the bench
    if (!(r.hydroxide + r.carbonate + r.bicarbonate == r.hydroxide + r.carbonate + r.bicarbonate)) return 7;
    if (difference > pf + noise) return 6;
    if (difference < -noise) return pf == 0.0 ? 0 : 1;
    if (difference <= noise) return pf == 0.0 ? 5 : 2;
    return difference >= pf - noise ? 4 : 3;
  }

  static constexpr Input<double> example() { return {.phenolphthalein_alkalinity = 1.6, .p1_alkalinity = 10.4, .p2_alkalinity = 9.8}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T by_hydroxide = step({"v_{OH}", Quantity::alkalinity, "acid that the filtrate's own hydroxide takes, per volume of filtrate"},
                                larger(in.p1_alkalinity - in.p2_alkalinity, T(0.0)));
    const T by_bicarbonate =
        step({"v_{HCO3}", Quantity::alkalinity, "acid no longer needed as bicarbonate used up caustic, per volume of filtrate"},
             larger(in.p2_alkalinity - in.p1_alkalinity, T(0.0)));
    Result<T> r;
    r.hydroxide = by_hydroxide * in.titrant_normality * constant<T>(hydroxide_mass);
    r.carbonate = (in.phenolphthalein_alkalinity - by_hydroxide) * in.titrant_normality * constant<T>(carbonate_mass);
    r.bicarbonate = by_bicarbonate * in.titrant_normality * constant<T>(bicarbonate_mass);
    return r;
  }
};

inline constexpr P1P2Alkalinity p1_p2_alkalinity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
