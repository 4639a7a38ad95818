// Plastic viscosity and yield point from readings at any two speeds.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct BinghamTwoSpeeds : Calculation<BinghamTwoSpeeds> {
  template <class T>
  struct Input {
    T first_speed = T(not_a_number);
    T first_reading = T(not_a_number);
    T second_speed = T(not_a_number);
    T second_reading = T(not_a_number);
  };

  template <class T>
  struct Result {
    T plastic_viscosity;
    T yield_point;
    T yield_stress;
  };

  static constexpr std::array inputs{
      Variable{.name = "first_speed", .symbol = "N_{1}", .quantity = Quantity::rotational_speed, .meaning = "one rotor speed",
               .limits = {0.001, 120.0}, .validated = {0.09, 63.0}},
      describe::reading_at("first_reading", "\\theta_{1}", "dial reading at that speed"),
      Variable{.name = "second_speed", .symbol = "N_{2}", .quantity = Quantity::rotational_speed, .meaning = "another rotor speed, faster or slower",
               .limits = {0.001, 120.0}, .validated = {0.09, 63.0}},
      describe::reading_at("second_reading", "\\theta_{2}", "dial reading at the other speed"),
  };

  static constexpr std::array results{
      Variable{.name = "plastic_viscosity", .symbol = "\\mu_{p}", .quantity = Quantity::viscosity,
               .meaning = "plastic viscosity: slope of the line through both readings; convention and physics agree"},
      Variable{.name = "yield_point", .symbol = "\\tau_{yp}", .quantity = Quantity::stress,
               .meaning = "yield point by convention, 1 degree = 1 lb/100 ft2; signed"},
      Variable{.name = "yield_stress", .symbol = "\\tau_0", .quantity = Quantity::stress,
               .meaning = "the same as a wall stress: physics, for hydraulics; signed"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.bingham_two_speeds",
      .title = "Plastic viscosity and yield point from any two speeds",
      .answers = "What plastic viscosity and yield point do readings at two speeds give when 600 and 300 r/min were not both read?",
      .equations = "PV = 300 r/min (theta_2 - theta_1)/(N_2 - N_1) 1 cP a degree; at rest theta_0 = theta_1 - (theta_2 - theta_1) N_1/(N_2 - N_1); "
                   "YP = 1 lb/100 ft2 a degree; tau_0 = 0.51069 Pa a degree",
      .source = "Guo and Liu, Applied Drilling Circulation Systems (2011) p. 25 (seen); straight line through two points (derived).",
      .assumptions = "Standard rotor, bob and spring. A Bingham fluid between and below the two speeds: real muds bend down at low speeds, so slow "
                     "pairs give a lower yield point and a higher plastic viscosity than 600 and 300 r/min. Compare like with like.",
      .cautions = describe::reading_cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "the faster speed reads higher, and the line meets rest above zero"},
      Verdict{"negative_yield", "the line meets rest below zero: no yield, or a reading error; reported as it is", Severity::caution},
      Verdict{"falling_readings", "the faster speed reads lower: a slip, settling solids, or a gel not broken; the negative viscosity is reported as "
                                  "it is", Severity::caution},
      Verdict{"same_speed", "both readings are of one speed: no line", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.first_speed == in.second_speed) return 3;
    if (!(r.yield_point == r.yield_point)) return 4;
    if (r.plastic_viscosity < 0.0) return 2;
    return r.yield_point < 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.first_speed = 100.0 * standard_instrument::rpm, .first_reading = 21, .second_speed = 200.0 * standard_instrument::rpm,
            .second_reading = 31};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T apart = step({"\\Delta N", Quantity::rotational_speed, "second speed less the first"}, in.second_speed - in.first_speed);
    const auto up = in.first_speed < in.second_speed, down = in.first_speed > in.second_speed;
    const T rise = step({"\\Delta \\theta", Quantity::dial_reading, "second reading less the first"},
                        only_if(up | down, in.second_reading - in.first_reading));
    const T at_rest = step({"\\theta_{0}", Quantity::dial_reading, "reading that the line meets at rest"},
                           in.first_reading - rise * in.first_speed / apart);
    return {rise * constant<T>(speed_300) / apart * constant<T>(viscosity_per_degree), at_rest * constant<T>(stress_per_degree),
            at_rest * constant<T>(wall_stress_per_degree)};
  }
};

inline constexpr BinghamTwoSpeeds bingham_two_speeds{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
