// Marsh funnel: its check in water, and the difference between flowline and suction. Times are no viscosities.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::routine {

struct Funnel : Calculation<Funnel> {
  template <class T>
  struct Input {
    T water_time = T(not_a_number);
    T suction_time = T(not_a_number);
    T flowline_time = T(not_a_number);
    T standard_water_time = T(26.0);
  };

  template <class T>
  struct Result {
    T water_error;
    T flowline_rise;
  };

  static constexpr std::array inputs{
      Variable{.name = "water_time", .symbol = "t_{w}", .quantity = Quantity::short_time, .meaning = "time of fresh water at about 21 degC (70 degF)",
               .limits = {1.0, 3600.0}, .validated = {20.0, 40.0}},
      Variable{.name = "suction_time", .symbol = "t_{s}", .quantity = Quantity::short_time, .meaning = "funnel time of the mud at the suction pit",
               .limits = {1.0, 86400.0}, .validated = {26.0, 300.0}, .optional = true},
      Variable{.name = "flowline_time", .symbol = "t_{f}", .quantity = Quantity::short_time, .meaning = "funnel time of the mud at the flowline",
               .limits = {1.0, 86400.0}, .validated = {26.0, 300.0}, .optional = true},
      Variable{.name = "standard_water_time", .symbol = "t_{0}", .quantity = Quantity::short_time,
               .meaning = "time that water should take: 26 s for one US quart, 27.6 s for one litre", .limits = {1.0, 3600.0},
               .validated = {25.5, 28.5}},
  };
  static constexpr std::array results{
      Variable{.name = "water_error", .symbol = "e", .quantity = Quantity::short_time,
               .meaning = "time of water less the time it should take, signed"},
      Variable{.name = "flowline_rise", .symbol = "\\Delta t", .quantity = Quantity::short_time,
               .meaning = "flowline less suction, signed; missing without both"},
  };
  static constexpr Sheet sheet{
      .id = "routine.funnel",
      .title = "Marsh funnel check",
      .answers = "Is the funnel in order, and does the mud come back thicker than it went in?",
      .equations = "e = t_w - t_0, t_0 = 26 s a quart (27.6 s a litre); rise = t_f - t_s",
      .source = "Water 26 +- 0.5 s for one quart: seen in an article citing API RP 13B. One litre 27.6 s: outflow of 1000 against 946 mL from the "
                "same 1500 mL in a cone of 152 by 305 mm over a tube of 51 mm, speed by the root of the head, scaled to 26 s (derived); 28 s is "
                "usual (from memory). Flowline at most 10 s above suction: rule of thumb of the field, seen.",
      .assumptions = "1500 mL filled to the screen. All times of one record are for the same volume: a time for a quart and one for a litre are two "
                     "different quantities and are not converted.",
      .cautions = "A funnel time is not a viscosity and cannot be made one. Clean and dry the tube; never widen it with a tool. Hot or gassy mud: "
                  "gloves and ventilation by local rules.",
  };

  static constexpr double tolerance = 0.5, usual_rise = 10.0;  // seconds

  static constexpr std::array verdicts{
      Verdict{"consistent", "water takes its time within 0.5 s"},
      Verdict{"funnel_off", "water is off its time by more than 0.5 s: clean the tube; a worn or bent one is discarded", Severity::caution},
      Verdict{"faster_than_water", "mud ran out as fast as water or faster: a slip, or the times are for unlike volumes", Severity::caution},
      Verdict{"thick_returns", "the flowline is more than 10 s above the suction: solids, a contaminant, heat, or bottoms-up after a trip",
                               Severity::caution},
      Verdict{"missing", "the time of water, or the time that it should take, is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.water_error == r.water_error)) return 4;
    if (abs(r.water_error) > tolerance + 1e-9) return 1;
    if (in.suction_time <= in.water_time || in.flowline_time <= in.water_time) return 2;
    return r.flowline_rise > usual_rise ? 3 : 0;
  }

  static constexpr Input<double> example() { return {.water_time = 26.2, .suction_time = 48.0, .flowline_time = 53.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.water_error = in.water_time - in.standard_water_time;
    r.flowline_rise = in.flowline_time - in.suction_time;
    return r;
  }
};

inline constexpr Funnel funnel{};

}  // namespace lutum::inline LUTUM_ISA_TAG::routine
