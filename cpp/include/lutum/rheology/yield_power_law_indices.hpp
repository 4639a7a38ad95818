// The field method for a yield power law: yield from the two slowest readings, the rest from 600 and 300 r/min.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct YieldPowerLawIndices : Calculation<YieldPowerLawIndices> {
  template <class T>
  struct Input {
    T reading_600 = T(not_a_number);
    T reading_300 = T(not_a_number);
    T reading_6 = T(not_a_number);
    T reading_3 = T(not_a_number);
  };

  template <class T>
  struct Result {
    T yield_stress;
    T consistency;
    T flow_index;
    T signed_yield_stress;
  };

  static constexpr std::array inputs{describe::reading_600, describe::reading_300, describe::reading_6, describe::reading_3};

  static constexpr std::array results{
      Variable{.name = "yield_stress", .symbol = "\\tau_0", .quantity = Quantity::stress,
               .meaning = "yield stress, a wall stress; zero where the readings point below zero"},
      Variable{.name = "consistency", .symbol = "K", .quantity = Quantity::consistency,
               .meaning = "consistency: wall stress above yield at 300 r/min over the power of the rate there"},
      Variable{.name = "flow_index", .symbol = "n", .quantity = Quantity::number,
               .meaning = "flow index, from the readings above yield at 600 and 300 r/min"},
      Variable{.name = "signed_yield_stress", .symbol = "\\tau_{ls}", .quantity = Quantity::stress,
               .meaning = "wall stress that the two slowest readings point to at rest, signed"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.yield_power_law_indices",
      .title = "Yield power law by the field method",
      .answers = "What yield stress, consistency and flow index do the readings at 600, 300, 6 and 3 r/min give by the field method?",
      .equations = "theta_y = 2 theta_3 - theta_6, zero if negative; n = ln((theta_600 - theta_y)/(theta_300 - theta_y))/ln 2; "
                   "K = 0.51069 Pa (theta_300 - theta_y)/510.69^n; tau_0 = 0.51069 Pa theta_y",
      .source = "Guo and Liu, Applied Drilling Circulation Systems (2011) p. 26 (seen); API RP 13D, including zero for a negative yield (from "
                "memory). Degrees are turned into stress once, here, by 0.51069 Pa for all three: a factor of 1.067 on the yield and again on the "
                "wall stress is 6.7 % too much. The book takes 500 for 510.69, 2 % off.",
      .assumptions = "Standard rotor, bob and spring. The flow curve goes through the readings at 600 and 300 r/min and is straight below 6 r/min. "
                     "Newtonian rates: yield about 6 % and K about 2 % high. One degree of error in each slow reading moves the yield by 2.2 "
                     "degrees; a fit to all readings is better.",
      .cautions = describe::reading_cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "the method holds for these readings"},
      Verdict{"yield_taken_as_zero", "the slow readings point to a negative yield: the method takes zero, a power law through 600 and 300 r/min",
              Severity::caution},
      Verdict{"thickening", "readings above yield grow faster than the speed, a flow index above 1: turbulence in the cup, or a slip",
              Severity::caution},
      Verdict{"falling_slow_readings", "3 reads above 6 r/min, a gel not broken or settling: the method has no answer, a fit to the other readings "
                                       "may", Severity::impossible},
      Verdict{"not_rising", "600 does not read above 300 r/min, or 300 reads nothing: no yield power law", Severity::impossible},
      Verdict{"yield_above_readings", "the slow readings point to a yield that 300 r/min does not reach: no yield power law", Severity::impossible},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const double sum = in.reading_600 + in.reading_300 + in.reading_6 + in.reading_3, at_rest = 2.0 * in.reading_3 - in.reading_6;
    if (!(sum == sum)) return 6;
    if (in.reading_3 > in.reading_6) return 3;
    if (!(in.reading_600 > in.reading_300) || !(in.reading_300 > 0.0)) return 4;
    if (at_rest >= in.reading_300) return 5;
    if (at_rest < 0.0) return 1;
    return r.flow_index > 1.0 ? 2 : 0;
  }

  static constexpr Input<double> example() { return {.reading_600 = 65, .reading_300 = 40, .reading_6 = 8, .reading_3 = 7}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T at_rest = step({"\\theta_{0}", Quantity::dial_reading, "reading that the two slowest point to at rest"},
                           T(2.0) * in.reading_3 - in.reading_6);
    const T yield = step({"\\theta_{y}", Quantity::dial_reading, "yield in degrees; zero if the reading at rest is negative"},
                         larger(at_rest, T(0.0)));
    const auto rises = in.reading_600 > in.reading_300, below = yield < in.reading_300, broken = in.reading_3 <= in.reading_6;
    const T fast = step({"\\theta_{f}", Quantity::dial_reading, "reading above yield at 600 r/min"},
                        only_if(rises & below & broken, in.reading_600 - yield));
    const T slow = step({"\\theta_{s}", Quantity::dial_reading, "reading above yield at 300 r/min"},
                        only_if(rises & below & broken, in.reading_300 - yield));
    Result<T> r;
    r.yield_stress = only_if(broken, yield) * constant<T>(wall_stress_per_degree);
    r.flow_index = log(fast / slow) / constant<T>(log_of_two);
    r.consistency = slow * constant<T>(wall_stress_per_degree) / pow(constant<T>(rate_at_300), r.flow_index);
    r.signed_yield_stress = at_rest * constant<T>(wall_stress_per_degree);
    return r;
  }
};

inline constexpr YieldPowerLawIndices yield_power_law_indices{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
