// Chloride of a filtrate by titration with silver nitrate.
#pragma once

#include "lutum/chemistry/filtrate_ions.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct FiltrateChloride : Calculation<FiltrateChloride> {
  template <class T>
  struct Input {
    T silver_nitrate_titrant_volume = T(not_a_number);
    T sample_volume = T(not_a_number);
    T titrant_normality = T(not_a_number);
  };

  template <class T>
  struct Result {
    T chloride;
    T sodium_chloride;
  };

  static constexpr std::array inputs{
      Variable{.name = "silver_nitrate_titrant_volume", .symbol = "V_{Ag}", .quantity = Quantity::bench_volume,
               .meaning = "silver nitrate used to the end point", .limits = {0.0, 1e-3}, .validated = {0.0, 50e-6}},
      Variable{.name = "sample_volume", .symbol = "V_{f}", .quantity = Quantity::bench_volume, .meaning = "filtrate in the dish",
               .limits = {0.01e-6, 1e-3}, .validated = {0.5e-6, 10e-6}},
      Variable{.name = "titrant_normality", .symbol = "N", .quantity = Quantity::charge_concentration,
               .meaning = "normality of the silver nitrate, usually 0.0282 (weak) or 0.282 (strong)", .limits = {1.0, 2000.0},
               .validated = {27.0, 290.0}},
  };

  static constexpr std::array results{
      Variable{.name = "chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride in the filtrate, mass per volume (not ppm)"},
      Variable{.name = "sodium_chloride", .symbol = "c_{NaCl}", .quantity = Quantity::ion_concentration,
               .meaning = "the same chloride expressed as sodium chloride"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.filtrate_chloride",
      .title = "Chloride of the filtrate",
      .answers = "How much chloride does the filtrate hold?",
      .equations = "Cl = N V_Ag M_Cl / V_f; NaCl = Cl M_NaCl / M_Cl",
      .source = "Silver chloride, one for one (derived): 999.7 mg/L for 1 mL of 0.0282 N per mL, 9997 of 0.282 N. The trade's 1000 and 10 000 are "
                "seen in a field crib sheet; API RP 13B-1 has the same scheme (from memory, text not seen). An instrument sheet that calls 0.282 N "
                "0.1 g of chloride per mL is wrong by ten. NaCl/Cl is 1.6485, printed 1.65.",
      .assumptions = "Bromide, iodide and sulfide take silver too and count as chloride; sulfide is to be boiled off with acid and peroxide first. "
                     "pH near neutral, or the chromate shows no true end point. The end point is hard to see and differs between operators. No "
                     "blank is taken off.",
      .cautions = "Silver nitrate burns and stains skin and eyes. Chromate indicator is toxic and a suspected carcinogen: gloves, goggles, and "
                  "collect both wastes. Acid sets hydrogen sulfide free from a filtrate that holds sulfide: fume hood. Follow local rules and the "
                  "laboratory's own procedure.",
  };

  // 1 mL of the strong solution on 1 mL of filtrate: where the trade changes from the weak one.
  static constexpr double strong = 100.0, change_over = 10.0, saturated = 193.0;

  static constexpr std::array verdicts{
      Verdict{"consistent", "the silver nitrate suits the chloride found"},
      Verdict{"weak_nitrate", "more than 10 000 mg/L by weak silver nitrate: the strong solution is usual there. If it was in the burette the "
                              "chloride is ten times as high", Severity::caution},
      Verdict{"strong_nitrate", "less than 10 000 mg/L by strong silver nitrate: the titre is short and coarse. If the weak solution was in the "
                                "burette the chloride is a tenth of this", Severity::caution},
      Verdict{"above_saturation", "more chloride than a saturated sodium chloride brine holds, about 192 000 mg/L: another chloride (calcium, "
                                  "magnesium), or a slip by ten in the normality", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.chloride == r.chloride)) return 4;
    if (r.chloride > saturated) return 3;
    const bool is_strong = in.titrant_normality >= strong;
    if (!is_strong && r.chloride > change_over * (1.0 + 1e-9)) return 1;
    return is_strong && r.chloride < 0.999 * change_over ? 2 : 0;
  }

  static constexpr Input<double> example() {
    return {.silver_nitrate_titrant_volume = 3.4e-6, .sample_volume = 1e-6, .titrant_normality = 282.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.chloride = in.titrant_normality * in.silver_nitrate_titrant_volume / in.sample_volume * constant<T>(chloride_mass);
    r.sodium_chloride = r.chloride * constant<T>(sodium_chloride_mass) / constant<T>(chloride_mass);
    return r;
  }
};

inline constexpr FiltrateChloride filtrate_chloride{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
