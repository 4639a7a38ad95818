// The power law that practice draws through two readings: 600 and 300 for the pipe, 100 and 3 for the annulus.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct PowerLawIndices : Calculation<PowerLawIndices> {
  template <class T>
  struct Input {
    T reading_600 = T(not_a_number);
    T reading_300 = T(not_a_number);
    T reading_100 = T(not_a_number);
    T reading_3 = T(not_a_number);
  };

  template <class T>
  struct Result {
    T pipe_flow_index;
    T pipe_consistency;
    T annulus_flow_index;
    T annulus_consistency;
  };

  static constexpr std::array inputs{
      describe::reading_600,
      describe::reading_300,
      describe::optional(describe::reading_100, "indices of the annulus need it."),
      describe::optional(describe::reading_3, "indices of the annulus need it."),
  };

  static constexpr std::array results{
      Variable{.name = "pipe_flow_index", .symbol = "n_p", .quantity = Quantity::number,
               .meaning = "flow index of the pipe, from the readings at 600 and 300 r/min"},
      Variable{.name = "pipe_consistency", .symbol = "K_p", .quantity = Quantity::consistency,
               .meaning = "consistency of the pipe: wall stress at 300 r/min over the power of the rate there"},
      Variable{.name = "annulus_flow_index", .symbol = "n_a", .quantity = Quantity::number,
               .meaning = "flow index of the annulus, from the readings at 100 and 3 r/min"},
      Variable{.name = "annulus_consistency", .symbol = "K_a", .quantity = Quantity::consistency,
               .meaning = "consistency of the annulus: wall stress at 100 r/min over the power of the rate there"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.power_law_indices",
      .title = "Power-law indices of pipe and annulus",
      .answers = "What flow index and consistency do two readings give, for the rates of the pipe and for those of the annulus?",
      .equations = "n_p = ln(theta_600/theta_300)/ln 2, K_p = 0.51069 Pa theta_300/510.69^n_p; n_a = ln(theta_100/theta_3)/ln(100/3), "
                   "K_a = 0.51069 Pa theta_100/170.23^n_a",
      .source = "Power law through two points (derived); the pairs of speeds: API RP 13D, older editions (from memory). Logarithms are exact: 3.32 "
                "and 3.322, 0.657 and 0.5 circulate. Stress and rate are the self-consistent pair of the standard instrument; handbooks take 5.11, "
                "5.10 or 5.00 dyn/cm2 a degree and 1.703 1/s per r/min, by which K comes out up to 2 % different.",
      .assumptions = "Standard rotor, bob and spring. No yield stress. Newtonian rates: K is then a little high (3 % at n = 0.5). A line through two "
                     "readings carries the error of both.",
      .cautions = describe::reading_cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "readings rise with speed"},
      Verdict{"thickening", "readings grow faster than the speed, a flow index above 1: turbulence in the cup, or a slip", Severity::caution},
      Verdict{"pipe_not_rising", "600 does not read above 300 r/min, or 300 reads nothing: the pair of the pipe has no power law", Severity::caution},
      Verdict{"annulus_not_rising", "100 does not read above 3 r/min, or 3 reads nothing: the pair of the annulus has no power law",
              Severity::caution},
      Verdict{"not_rising", "neither pair rises with speed: no power law", Severity::impossible},
      Verdict{"missing", "a reading of the pipe is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const bool pipe = in.reading_600 == in.reading_600 && in.reading_300 == in.reading_300,
        annulus = in.reading_100 == in.reading_100 && in.reading_3 == in.reading_3;
    const bool pipe_wrong = pipe && !(r.pipe_flow_index > 0.0), annulus_wrong = annulus && !(r.annulus_flow_index > 0.0);
    if (pipe_wrong && annulus_wrong) return 4;
    if (pipe_wrong) return 2;
    if (annulus_wrong) return 3;
    if (!pipe) return 5;
    return r.pipe_flow_index > 1.0 || r.annulus_flow_index > 1.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.reading_600 = 65, .reading_300 = 40, .reading_100 = 21, .reading_3 = 7}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto pipe_rises = in.reading_600 > in.reading_300, pipe_reads = in.reading_300 > T(0.0);
    const auto annulus_rises = in.reading_100 > in.reading_3, annulus_reads = in.reading_3 > T(0.0);
    Result<T> r;
    r.pipe_flow_index = only_if(pipe_rises & pipe_reads, log(in.reading_600 / in.reading_300) / constant<T>(log_of_two));
    r.pipe_consistency = in.reading_300 * constant<T>(wall_stress_per_degree) / pow(constant<T>(rate_at_300), r.pipe_flow_index);
    r.annulus_flow_index = only_if(annulus_rises & annulus_reads, log(in.reading_100 / in.reading_3) / constant<T>(log_of_100_over_3));
    r.annulus_consistency = in.reading_100 * constant<T>(wall_stress_per_degree) / pow(constant<T>(rate_at_100), r.annulus_flow_index);
    return r;
  }
};

inline constexpr PowerLawIndices power_law_indices{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
