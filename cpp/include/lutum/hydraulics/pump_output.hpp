// What a piston pump delivers: volume of a stroke and flow rate.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

enum class Pump : std::uint8_t { triplex, duplex };
inline constexpr std::array pump_choices{
    Choice{"triplex", "three cylinders, each delivering on one side of its piston"},
    Choice{"duplex", "two cylinders, each delivering on both sides of its piston, one of them less the rod"},
};

struct PumpOutput : Calculation<PumpOutput> {
  using Option = Pump;
  static constexpr OptionInfo option{.name = "pump", .meaning = "kind of the pump", .choices = pump_choices};

  template <class T>
  struct Input {
    T liner_diameter = T(not_a_number);
    T stroke_length = T(not_a_number);
    T efficiency = T(not_a_number);
    T stroke_rate = T(not_a_number);
    T rod_diameter = T(not_a_number);
  };

  template <class T>
  struct Result {
    T swept_volume;
    T stroke_volume;
    T flow_rate;
  };

  static constexpr std::array inputs{
      Variable{.name = "liner_diameter", .symbol = "D", .quantity = Quantity::diameter, .meaning = "bore of the liner", .limits = {0.01, 1.0},
               .validated = {0.08, 0.25}},
      Variable{.name = "stroke_length", .symbol = "s", .quantity = Quantity::diameter, .meaning = "length of a piston's stroke",
               .limits = {0.01, 2.0}, .validated = {0.1, 0.6}},
      Variable{.name = "efficiency", .symbol = "\\eta", .quantity = Quantity::volume_fraction,
               .meaning = "volumetric efficiency, delivered over swept volume, as measured", .limits = {0.0, 1.0}, .validated = {0.8, 1.0}},
      Variable{.name = "stroke_rate", .symbol = "N", .quantity = Quantity::stroke_rate, .meaning = "full strokes (turns of the crank) in time",
               .limits = {0.0, 10.0}, .validated = {0.0, 2.5}, .optional = true, .if_missing = "there is no flow rate."},
      Variable{.name = "rod_diameter", .symbol = "d", .quantity = Quantity::diameter, .meaning = "diameter of the piston rod; needed for a duplex",
               .limits = {0.0, 0.5}, .validated = {0.03, 0.1}, .optional = true},
  };
  static constexpr std::array results{
      Variable{.name = "swept_volume", .symbol = "V_{s}", .quantity = Quantity::mud_volume, .meaning = "volume swept in a full stroke of the pump"},
      Variable{.name = "stroke_volume", .symbol = "V", .quantity = Quantity::mud_volume, .meaning = "volume delivered by a full stroke of the pump"},
      Variable{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "rate delivered"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.pump_output",
      .title = "Pump output",
      .answers = "How much mud does a stroke of the pump deliver, and what rate do so many strokes make?",
      .equations = "triplex: V_s = 3 (pi/4) D^2 s; duplex: V_s = 2 (pi/4) (2 D^2 - d^2) s; V = eta V_s; q = N V",
      .source = "Geometry (derived). Printed field forms 0.000243 D^2 s, and 0.000324 D^2 s - 0.000162 d^2 s bbl (from memory), are these rounded.",
      .assumptions = "A stroke is one turn of the crank: every piston forth and back. Efficiency is measured against a tank; it falls with gas in "
                     "the mud, worn valves and poor charging.",
      .cautions = circuit::cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"delivering", "the pump delivers"},
      Verdict{"stopped", "no strokes, no flow"},
      Verdict{"rod_fills_liner", "the rod is not thinner than the liner", Severity::impossible},
      Verdict{"missing", "an input is missing; a duplex needs the diameter of its rod"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r, Option pump) {
    if (pump == Pump::duplex && in.rod_diameter >= in.liner_diameter) return 2;
    if (!(r.stroke_volume == r.stroke_volume)) return 3;
    return in.stroke_rate == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.liner_diameter = 0.1651, .stroke_length = 0.3048, .efficiency = 0.96, .stroke_rate = 1.5, .rod_diameter = 0.0508};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option pump) {
    Result<T> r;
    const T bore = step({"A", Quantity::area, "area of the piston"}, square(in.liner_diameter) * constant<T>(quarter_pi));
    if (pump == Pump::duplex) {
      const T rod = step({"A_{rod}", Quantity::area, "area of the rod"}, square(in.rod_diameter) * constant<T>(quarter_pi));
      const T forth_and_back = T(2.0) * bore - only_if(in.rod_diameter < in.liner_diameter, rod);
      r.swept_volume = T(2.0) * forth_and_back * in.stroke_length;
    } else {
      r.swept_volume = T(3.0) * bore * in.stroke_length;
    }
    r.stroke_volume = in.efficiency * r.swept_volume;
    r.flow_rate = in.stroke_rate * r.stroke_volume;
    return r;
  }
};

inline constexpr PumpOutput pump_output{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
