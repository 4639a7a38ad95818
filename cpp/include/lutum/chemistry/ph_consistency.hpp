// Does the pH of a filtrate fit its hydroxide and its phenolphthalein alkalinity?
#pragma once

#include "lutum/chemistry/filtrate_ions.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct PhConsistency : Calculation<PhConsistency> {
  template <class T>
  struct Input {
    T ph = T(not_a_number);
    T phenolphthalein_alkalinity = T(not_a_number);
    T hydroxide = T(not_a_number);
  };

  template <class T>
  struct Result {
    T ph_from_hydroxide;
    T ph_difference;
    T hydroxide_from_ph;
  };

  static constexpr Constant one_molar{"1\\,\\mathrm{mol/L}", 1000.0, Quantity::amount_concentration, "unit of amount concentration", true};

  static constexpr std::array inputs{
      Variable{.name = "ph", .symbol = "\\mathrm{pH}", .quantity = Quantity::number, .meaning = "pH as read", .limits = {0.0, 16.0},
               .validated = {5.0, 13.5}},
      Variable{.name = "phenolphthalein_alkalinity", .symbol = "P_{f}", .quantity = Quantity::alkalinity,
               .meaning = "acid to the phenolphthalein end point (pH 8.3), mL per mL of filtrate; it only enters the verdict", .limits = {0.0, 100.0},
               .validated = {0.0, 10.0}, .optional = true, .if_missing = "the pH is not held against it."},
      Variable{.name = "hydroxide", .symbol = "c_{OH}", .quantity = Quantity::ion_concentration, .meaning = "hydroxide in the filtrate, by titration",
               .limits = {0.0, 300.0}, .validated = {0.0, 17.0}, .optional = true, .if_missing = "the pH is not held against it."},
  };

  static constexpr std::array results{
      Variable{.name = "ph_from_hydroxide", .symbol = "\\mathrm{pH}_{OH}", .quantity = Quantity::number,
               .meaning = "the pH that the hydroxide should give at 25 degC; missing where hydroxide is zero"},
      Variable{.name = "ph_difference", .symbol = "\\Delta \\mathrm{pH}", .quantity = Quantity::number,
               .meaning = "the pH read less the pH from hydroxide, signed"},
      Variable{.name = "hydroxide_from_ph", .symbol = "c_{OH,pH}", .quantity = Quantity::ion_concentration,
               .meaning = "hydroxide that the pH read stands for at 25 degC"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.ph_consistency",
      .title = "pH against hydroxide and phenolphthalein alkalinity",
      .answers = "Does the pH fit the alkalinity of the filtrate?",
      .equations = "pH = 14 + log10 of hydroxide in mol/L",
      .source = "Ion product of water 1e-14 at 25 degC, ideal solution (derived). Phenolphthalein turns at pH 8.3 (common practice, no source).",
      .assumptions = "Activity is taken as concentration and the temperature as 25 degC: salt shifts the pH by some tenths, 10 degC by about 0.3 in "
                     "alkaline fluids. Tolerances (common practice, no source): one unit of pH against hydroxide, where hydroxide below 17 mg/L "
                     "(0.05 mL of 0.02 N acid per mL) counts as that; phenolphthalein alkalinity wants pH above 7.8, none of it a pH below 9.3, as "
                     "a drop of acid clears an unbuffered filtrate.",
      .cautions = "A glass electrode reads low in strong sodium brine and above pH 12, strips fail in salt and colour. Caustic filtrate burns: "
                  "goggles and gloves. Follow local rules.",
  };

  static constexpr double unit = 1.0, least_hydroxide = 0.017, lowest_with_pf = 7.8, highest_without_pf = 9.3;

  static constexpr std::array verdicts{
      Verdict{"consistent", "the pH fits what it was held against"},
      Verdict{"nothing_to_compare", "neither phenolphthalein alkalinity nor hydroxide is given"},
      Verdict{"alkalinity_without_ph", "phenolphthalein alkalinity at a pH below 7.8, where the indicator is colourless: a slip in one of them",
              Severity::caution},
      Verdict{"ph_without_alkalinity", "pH above 9.3 without phenolphthalein alkalinity: a slip in one of them, or a filtrate that hardly buffers",
              Severity::caution},
      Verdict{"ph_below_hydroxide", "the hydroxide calls for a pH more than one unit higher: other alkalinity (silicate, organics) counted as "
                                    "hydroxide, or an electrode that reads low", Severity::caution},
      Verdict{"ph_above_hydroxide", "the pH calls for more than ten times the hydroxide found: a slip in pH or in the titration", Severity::caution},
      Verdict{"hydroxide_without_alkalinity", "hydroxide without phenolphthalein alkalinity: hydroxide takes acid above pH 8.3, so one of them is "
                                              "wrong", Severity::impossible},
      Verdict{"no_hydroxide", "no hydroxide was found, so there is no pH from it: none has no logarithm; the pH fits what it was held against"},
      Verdict{"missing", "the pH is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const double pf = in.phenolphthalein_alkalinity, hydroxide = in.hydroxide;
    if (!(in.ph == in.ph)) return 8;
    if (pf == 0.0 && hydroxide > 0.0) return 6;
    if (!(pf == pf) && !(hydroxide == hydroxide)) return 1;
    if (pf > 0.0 && in.ph < lowest_with_pf) return 2;
    if (r.ph_difference < -unit && hydroxide > least_hydroxide) return 4;
    if (hydroxide == hydroxide && r.hydroxide_from_ph > 10.0 * larger(hydroxide, least_hydroxide)) return 5;
    if (pf == 0.0 && in.ph > highest_without_pf) return 3;
    return hydroxide == 0.0 ? 7 : 0;
  }

  static constexpr Input<double> example() { return {.ph = 11.9, .phenolphthalein_alkalinity = 1.2, .hydroxide = 0.204}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T amount = step({"b_{OH}", Quantity::amount_concentration, "amount of hydroxide per volume of filtrate"},
                          only_if(in.hydroxide > T(0.0), in.hydroxide / constant<T>(hydroxide_mass)));
    Result<T> r;
    r.ph_from_hydroxide = T(14.0) + log(amount / constant<T>(one_molar)) / log(T(10.0));
    r.ph_difference = in.ph - r.ph_from_hydroxide;
    r.hydroxide_from_ph = pow(T(10.0), in.ph - T(14.0)) * constant<T>(one_molar) * constant<T>(hydroxide_mass);
    return r;
  }
};

inline constexpr PhConsistency ph_consistency{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
