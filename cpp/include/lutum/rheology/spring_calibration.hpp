// The spring of a viscometer under weights: what the dial should read, and the spring constant it shows.
#pragma once

#include "lutum/core/usual_constants.hpp"
#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct SpringCalibration : Calculation<SpringCalibration> {
  template <class T>
  struct Input {
    T calibration_mass = T(not_a_number);
    T calibration_reading = T(not_a_number);
    T drum_radius = T(10e-3);
    T spring_constant = T(standard_instrument::spring_constant);
  };

  template <class T>
  struct Result {
    T expected_reading;
    T deviation;
    T measured_spring_constant;
  };

  static constexpr std::array inputs{
      Variable{.name = "calibration_mass", .symbol = "m", .quantity = Quantity::bench_mass, .meaning = "mass of the weight that hangs on the drum",
               .limits = {1e-4, 5.0}, .validated = {5e-3, 0.5}},
      describe::optional(describe::reading_at("calibration_reading", "\\theta", "dial reading under the weight"), "only the reading to expect is "
                                                                                                                  "found without it."),
      Variable{.name = "drum_radius", .symbol = "r_{d}", .quantity = Quantity::diameter, .meaning = "radius of the drum, to the middle of the thread",
               .limits = {1e-3, 0.1}, .validated = {5e-3, 20e-3}},
      describe::spring_constant,
  };

  static constexpr std::array results{
      Variable{.name = "expected_reading", .symbol = "\\theta_{x}", .quantity = Quantity::dial_reading,
               .meaning = "reading that the spring should give"},
      Variable{.name = "deviation", .symbol = "\\Delta \\theta", .quantity = Quantity::dial_reading,
               .meaning = "reading less the one expected; signed"},
      Variable{.name = "measured_spring_constant", .symbol = "k_{m}", .quantity = Quantity::spring_constant,
               .meaning = "spring constant by this weight, for rheology.viscometer"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.spring_calibration",
      .title = "Calibration of the spring by weights",
      .answers = "What should the dial read under this weight, and what spring constant does the reading show?",
      .equations = "theta = m g r_d/k_spring; k = m g r_d/theta",
      .source = "Torque of a weight (derived), standard gravity. Spring 386 dyn.cm a degree and drum of 1 cm: an instrument maker's manual, whose "
                "127 and 254 degrees for 50 and 100 g come out (seen); its 43.0 for 50 g on a spring three times as stiff is a misprint for 42.3.",
      .assumptions = "Standard gravity: the real one is up to 0.3 % off. No friction; a linear spring shows the same constant with every weight.",
      .cautions = "Take the bob off, hold the weight, let the dial come to rest slowly. A spring that is not linear needs the maker.",
  };

  // Common practice, no source.
  static constexpr double tolerance = 1.0;

  static constexpr std::array verdicts{
      Verdict{"within_tolerance", "at most 1 degree from the reading expected (common practice, no source)"},
      Verdict{"out_of_tolerance", "more than 1 degree from the reading expected (common practice, no source): adjust the spring, or take the "
                                  "constant found", Severity::caution},
      Verdict{"beyond_dial", "the weight would turn the spring beyond 300 degrees: take a lighter one", Severity::caution},
      Verdict{"missing", "no reading to hold against the one expected"},
  };

  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (r.expected_reading > 300.0) return 2;
    if (!(r.deviation == r.deviation)) return 3;
    return r.deviation > tolerance || r.deviation < -tolerance ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.calibration_mass = 50e-3, .calibration_reading = 126.5}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    const T turning = in.calibration_mass * constant<T>(gravity) * in.drum_radius;
    const auto turned = in.calibration_reading > T(0.0);
    r.expected_reading = turning / in.spring_constant;
    r.deviation = in.calibration_reading - r.expected_reading;
    r.measured_spring_constant = turning / only_if(turned, in.calibration_reading);
    return r;
  }
};

inline constexpr SpringCalibration spring_calibration{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
