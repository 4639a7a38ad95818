// Low-shear yield point: the straight line through the readings at 6 and 3 r/min at rest.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct LowShearYield : Calculation<LowShearYield> {
  template <class T>
  struct Input {
    T reading_6 = T(not_a_number);
    T reading_3 = T(not_a_number);
    T reading_uncertainty = T(1.0);
  };

  template <class T>
  struct Result {
    T low_shear_yield_point;
    T low_shear_yield_stress;
    T yield_point_uncertainty;
  };

  static constexpr std::array inputs{
      describe::reading_6,
      describe::reading_3,
      Variable{.name = "reading_uncertainty", .symbol = "u", .quantity = Quantity::dial_reading, .meaning = "uncertainty of each reading",
               .limits = {0.0, 50.0}, .validated = {0.1, 3.0}},
  };

  static constexpr std::array results{
      Variable{.name = "low_shear_yield_point", .symbol = "\\tau_{lsyp}", .quantity = Quantity::stress,
               .meaning = "low-shear yield point by convention, 1 degree = 1 lb/100 ft2; signed"},
      Variable{.name = "low_shear_yield_stress", .symbol = "\\tau_{ls}", .quantity = Quantity::stress,
               .meaning = "the same as a wall stress: physics, for hydraulics; signed"},
      Variable{.name = "yield_point_uncertainty", .symbol = "u_{lsyp}", .quantity = Quantity::stress,
               .meaning = "uncertainty of the low-shear yield point, by convention as that is: 2.2 times that of a reading"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.low_shear_yield",
      .title = "Low-shear yield point",
      .answers = "What yield do the two slowest readings point to, and how well is it known?",
      .equations = "low-shear yield = 2 theta_3 - theta_6; its uncertainty = sqrt(2^2 + 1^2) u",
      .source = "Guo and Liu, Applied Drilling Circulation Systems (2011) p. 26 (seen). Uncertainty: independent errors of two readings (derived).",
      .assumptions = "Standard rotor, bob and spring; the flow curve is straight below 6 r/min and the gel is broken.",
      .cautions = "The difference of two small readings: often hardly more than its uncertainty. Readings belong to the temperature at which they "
                  "were taken.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "positive, and more than its uncertainty"},
      Verdict{"within_uncertainty", "not more than its uncertainty: a yield is not shown", Severity::caution},
      Verdict{"negative", "negative: 6 reads more than twice 3 r/min. No yield stress, or a reading error; reported as it is", Severity::caution},
      Verdict{"falling_readings", "3 reads above 6 r/min: a gel not broken, settling solids, or a slip; the number is no yield of a flowing mud",
              Severity::caution},
      Verdict{"missing", "a reading, or its uncertainty, is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.low_shear_yield_point + r.yield_point_uncertainty == r.low_shear_yield_point + r.yield_point_uncertainty)) return 4;
    if (in.reading_3 > in.reading_6) return 3;
    if (r.low_shear_yield_point < 0.0) return 2;
    return r.low_shear_yield_point <= r.yield_point_uncertainty ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.reading_6 = 8, .reading_3 = 7}; }

  static constexpr Constant root_of_five{"\\mathrm{sqrt}(5)", 2.23606797749978969641, Quantity::number, "root of 2 squared and 1 squared"};

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T at_rest = step({"\\theta_{0}", Quantity::dial_reading, "reading that the two slowest point to at rest"},
                           T(2.0) * in.reading_3 - in.reading_6);
    return {at_rest * constant<T>(stress_per_degree), at_rest * constant<T>(wall_stress_per_degree),
            in.reading_uncertainty * constant<T>(root_of_five) * constant<T>(stress_per_degree)};
  }
};

inline constexpr LowShearYield low_shear_yield{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
