// How gels grow with rest: by how much, and whether they level off.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct GelGrowth : Calculation<GelGrowth> {
  template <class T>
  struct Input {
    T gel_10_s = T(not_a_number);
    T gel_10_min = T(not_a_number);
    T gel_30_min = T(not_a_number);
  };

  template <class T>
  struct Result {
    T growth_10_min;
    T growth_30_min;
    T growth_ratio_10_min;
    T growth_ratio_30_min;
    T growth_per_decade_early;
    T growth_per_decade_late;
  };

  static constexpr std::array inputs{
      describe::reading_at("gel_10_s", "\\theta_{10s}", "highest reading at 3 r/min after 10 s at rest"),
      describe::reading_at("gel_10_min", "\\theta_{10min}", "highest reading at 3 r/min after 10 min at rest"),
      describe::optional(describe::reading_at("gel_30_min", "\\theta_{30min}", "highest reading at 3 r/min after 30 min at rest"),
                         "whether the gel levels off after 10 min is not known without it."),
  };

  static constexpr std::array results{
      Variable{.name = "growth_10_min", .symbol = "\\Delta \\tau_{10}", .quantity = Quantity::stress,
               .meaning = "growth of the gel strength from 10 s to 10 min, by convention 1 degree = 1 lb/100 ft2; signed"},
      Variable{.name = "growth_30_min", .symbol = "\\Delta \\tau_{30}", .quantity = Quantity::stress,
               .meaning = "growth of the gel strength from 10 min to 30 min, by convention; signed"},
      Variable{.name = "growth_ratio_10_min", .symbol = "g_{10}", .quantity = Quantity::number,
               .meaning = "gel after 10 min against that after 10 s"},
      Variable{.name = "growth_ratio_30_min", .symbol = "g_{30}", .quantity = Quantity::number,
               .meaning = "gel after 30 min against that after 10 min"},
      Variable{.name = "growth_per_decade_early", .symbol = "b_{e}", .quantity = Quantity::stress,
               .meaning = "growth for each tenfold time from 10 s to 10 min, by convention"},
      Variable{.name = "growth_per_decade_late", .symbol = "b_{l}", .quantity = Quantity::stress,
               .meaning = "growth for each tenfold time from 10 min to 30 min, by convention; the same as early for a gel that grows with the "
                          "logarithm of time"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.gel_growth",
      .title = "Growth of gels",
      .answers = "By how much do the gels grow with rest, do they level off, or are they progressive?",
      .equations = "growth = theta(later) - theta(earlier); ratio = theta(later)/theta(earlier); for each tenfold time: growth/log10(60) from 10 s "
                   "to 10 min, growth/log10(3) from 10 to 30 min",
      .source = "Arithmetic of the readings; straight line in the logarithm of time through two of them (derived). Thresholds of the verdicts: "
                "common practice, no source; programmes set their own.",
      .assumptions = "Standard rotor, bob and spring; gels read at 3 r/min after stirring alike. A wall stress is 1.0666 times these numbers.",
      .cautions = "A progressive gel costs pressure to break: surge, swab and start of circulation are advisory to the well's own programme and "
                  "licensed practice.",
  };

  // Common practice, no source.
  static constexpr double little_growth = 5.0, progressive_ratio_10_min = 2.0, progressive_ratio_30_min = 1.3;

  static constexpr std::array verdicts{
      Verdict{"flat", "flat or fragile gels: no growth of more than 5 degrees (common practice, no source)"},
      Verdict{"moderate", "the gels grow by more than 5 degrees, and are not progressive (common practice, no source)"},
      Verdict{"progressive", "progressive gels: growth of more than 5 degrees to more than twice the 10 s gel at 10 min, or from 10 to 30 min to "
                             "more than 1.3 times (common practice, no source)", Severity::caution},
      Verdict{"falling_gels", "a gel reads lower after a longer rest: within the reading error, or a slip", Severity::caution},
      Verdict{"missing", "the gel after 10 s or after 10 min is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>&) {
    const double early = in.gel_10_min - in.gel_10_s, late = in.gel_30_min - in.gel_10_min;
    if (!(early == early)) return 4;
    if (early < 0.0 || late < 0.0) return 3;
    const bool early_progressive = early > little_growth && in.gel_10_min > progressive_ratio_10_min * in.gel_10_s;
    const bool late_progressive = late > little_growth && in.gel_30_min > progressive_ratio_30_min * in.gel_10_min;
    if (early_progressive || late_progressive) return 2;
    return early > little_growth || late > little_growth ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.gel_10_s = 8, .gel_10_min = 14, .gel_30_min = 18}; }

  static constexpr Constant early_decades{"\\mathrm{lg}(60)", 1.77815125038364363, Quantity::number, "decades of time from 10 s to 10 min"};
  static constexpr Constant late_decades{"\\mathrm{lg}(3)", 0.477121254719662437, Quantity::number, "decades of time from 10 min to 30 min"};

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto first_reads = in.gel_10_s > T(0.0), second_reads = in.gel_10_min > T(0.0);
    Result<T> r;
    r.growth_10_min = (in.gel_10_min - in.gel_10_s) * constant<T>(stress_per_degree);
    r.growth_30_min = (in.gel_30_min - in.gel_10_min) * constant<T>(stress_per_degree);
    r.growth_ratio_10_min = only_if(first_reads, in.gel_10_min / in.gel_10_s);
    r.growth_ratio_30_min = only_if(second_reads, in.gel_30_min / in.gel_10_min);
    r.growth_per_decade_early = r.growth_10_min / constant<T>(early_decades);
    r.growth_per_decade_late = r.growth_30_min / constant<T>(late_decades);
    return r;
  }
};

inline constexpr GelGrowth gel_growth{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
