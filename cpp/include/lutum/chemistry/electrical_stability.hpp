// Electrical stability of a non-aqueous mud: the mean of two runs and how far they part.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct ElectricalStability : Calculation<ElectricalStability> {
  template <class T>
  struct Input {
    T first_reading = T(not_a_number);
    T second_reading = T(not_a_number);
    T temperature = T(not_a_number);
  };

  template <class T>
  struct Result {
    T electrical_stability;
    T difference;
    T relative_difference;
  };

  static constexpr std::array inputs{
      Variable{.name = "first_reading", .symbol = "E_{1}", .quantity = Quantity::voltage,
               .meaning = "voltage at which the current broke through, first run", .limits = {0.0, 5000.0}, .validated = {3.0, 2000.0}},
      Variable{.name = "second_reading", .symbol = "E_{2}", .quantity = Quantity::voltage,
               .meaning = "voltage at which the current broke through, second run", .limits = {0.0, 5000.0}, .validated = {3.0, 2000.0}},
      Variable{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature,
               .meaning = "temperature of the mud during the runs, kept on record; 120 degF (49 degC) is usual", .limits = {253.15, 423.15},
               .validated = {313.15, 343.15}, .optional = true,
               .if_missing = "the readings then compare with no other: they fall as the mud warms."},
  };

  static constexpr std::array results{
      Variable{.name = "electrical_stability", .symbol = "E", .quantity = Quantity::voltage, .meaning = "mean of the two runs, the value reported"},
      Variable{.name = "difference", .symbol = "\\Delta E", .quantity = Quantity::voltage, .meaning = "difference of the two runs"},
      Variable{.name = "relative_difference", .symbol = "d", .quantity = Quantity::number,
               .meaning = "difference of the runs as a part of their mean"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.electrical_stability",
      .title = "Electrical stability of a non-aqueous mud",
      .answers = "At what voltage does the emulsion break down, and do the runs agree?",
      .equations = "E = (E_1 + E_2) / 2; d = abs(E_1 - E_2) / E, no more than 0.05",
      .source = "API RP 13B-2 and ISO 10414-2: two runs within 5 % at 120 degF (from memory, text not seen). An instrument page: gap about 1.55 mm, "
                "150 V/s, 61 +- 5 uA (seen). Below 200 to 300 V: seen in a trade glossary, common practice.",
      .assumptions = "Clean, dry probe, stirred mud, readings at one temperature. A trend over days tells more than one figure: no threshold holds "
                     "for every mud. Readings at the instrument's ceiling are no measurement. A glossary's gap of 0.04 in is wrong (0.061 in).",
      .cautions = "The probe is live during a run: keep hands off it and wipe it only when the instrument is off. Oil mud irritates skin, calcium "
                  "brine burns it. Follow local rules.",
  };

  static constexpr double agreement = 0.05, weak = 300.0;  // a part of the mean; V

  static constexpr std::array verdicts{
      Verdict{"runs_agree", "the runs agree within 5 %"},
      Verdict{"runs_differ", "the runs differ by more than 5 %: clean probe and mud, check the temperature, and run again", Severity::caution},
      Verdict{"weak_emulsion", "below 300 V, where emulsions are often weak; fresh cement and conductive additives read low too: look at the trend, "
                               "at water in the high-temperature filtrate, and at excess lime", Severity::caution},
      Verdict{"missing", "a run is missing: two that agree are needed"},
  };

  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.electrical_stability == r.electrical_stability)) return 3;
    if (r.relative_difference > agreement) return 1;
    return r.electrical_stability < weak ? 2 : 0;
  }

  static constexpr Input<double> example() { return {.first_reading = 640.0, .second_reading = 655.0, .temperature = 322.15}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.electrical_stability = (in.first_reading + in.second_reading) / T(2.0);
    r.difference = abs(in.first_reading - in.second_reading);
    r.relative_difference = r.difference / r.electrical_stability;
    return r;
  }
};

inline constexpr ElectricalStability electrical_stability{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
