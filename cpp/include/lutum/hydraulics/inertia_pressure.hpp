// Pressure from accelerating the pipe: the mud it displaces must be accelerated too.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

enum class PipeEnd : std::uint8_t { closed, open };
inline constexpr std::array pipe_end_choices{
    Choice{"closed", "nothing enters the pipe: closed end, float valve, or too small a bit"},
    Choice{"open", "mud enters the pipe freely and rises in it as in the annulus"},
};

struct InertiaPressure : Calculation<InertiaPressure> {
  using Option = PipeEnd;
  static constexpr OptionInfo option{.name = "pipe_end", .meaning = "whether mud can enter the pipe", .choices = pipe_end_choices};

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T acceleration = T(not_a_number);
    T length = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T inside_diameter = T(not_a_number);
  };

  template <class T>
  struct Result {
    T fluid_acceleration;
    T pressure;
  };

  static constexpr std::array inputs{
      circuit::density,
      Variable{.name = "acceleration", .symbol = "a", .quantity = Quantity::pipe_acceleration,
               .meaning = "acceleration of the pipe downward; negative when it is braked on the way down or picked up", .limits = {-100.0, 100.0},
               .validated = {-3.0, 3.0}},
      Variable{.name = "length", .symbol = "L", .quantity = Quantity::length, .meaning = "measured length of the pipe in the mud",
               .limits = {0.0, 20000.0}, .validated = {0.0, 15000.0}},
      Variable{.name = "hole_diameter", .symbol = "d_{h}", .quantity = Quantity::diameter, .meaning = "diameter of the hole", .limits = {0.001, 3.0},
               .validated = {0.05, 1.0}},
      Variable{.name = "pipe_diameter", .symbol = "d_{p}", .quantity = Quantity::diameter, .meaning = "outside diameter of the pipe",
               .limits = {0.001, 3.0}, .validated = {0.02, 0.8}},
      Variable{.name = "inside_diameter", .symbol = "D", .quantity = Quantity::diameter, .meaning = "bore of the pipe; needed for an open end",
               .limits = {0.001, 2.0}, .validated = {0.01, 0.6}, .optional = true},
  };
  static constexpr std::array results{
      Variable{.name = "fluid_acceleration", .symbol = "a_{m}", .quantity = Quantity::pipe_acceleration, .meaning = "acceleration of the mud upward"},
      Variable{.name = "pressure", .symbol = "\\Delta p", .quantity = Quantity::pressure,
               .meaning = "pressure added at the lower end of the pipe; negative for a swab"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.inertia_pressure",
      .title = "Pressure from accelerating the pipe",
      .answers = "What pressure does speeding up or braking the string add at its end, beside friction?",
      .equations = "closed: a_m = a d_p^2/(d_h^2 - d_p^2); open: a_m = a (d_p^2 - D^2)/(d_h^2 - d_p^2 + D^2); dp = rho a_m L",
      .source = "Newton's law on a rigid column, and volume displaced (derived). The field form's constant 0.00162 (from memory) is 0.001615.",
      .assumptions = "Mud and walls do not give, so the number is an upper bound for a sudden change; one annulus over the whole length. Braking on "
                     "the way down swabs and braking on the way up surges. Peak of inertia and peak of friction do not fall together.",
      .cautions = "Advisory: trip speeds, and pressures near a pore, collapse or fracture limit, are for the well's own programme and licensed "
                  "practice to decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"surge", "pressure is added"},
      Verdict{"swab", "pressure is taken away"},
      Verdict{"steady", "no acceleration, no pressure from it"},
      Verdict{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"no_wall", "the bore is not smaller than the pipe", Severity::impossible},
      Verdict{"missing", "an input is missing; an open end needs the bore"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r, Option end) {
    if (in.pipe_diameter >= in.hole_diameter) return 3;
    if (end == PipeEnd::open && in.inside_diameter >= in.pipe_diameter) return 4;
    if (!(r.pressure == r.pressure)) return 5;
    return r.pressure > 0.0 ? 0 : r.pressure < 0.0 ? 1 : 2;
  }

  static constexpr Input<double> example() {
    return {.density = 1440.0, .acceleration = 0.3, .length = 3000.0, .hole_diameter = 0.2159, .pipe_diameter = 0.127, .inside_diameter = 0.1086};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option end) {
    const T outside = step({"S_{p}", Quantity::area, "square of the pipe's diameter"}, square(in.pipe_diameter));
    const T gap = step({"S_{a}", Quantity::area, "square of the hole's diameter less that of the pipe's"},
                       only_if(in.pipe_diameter < in.hole_diameter, square(in.hole_diameter) - outside));
    Result<T> r;
    if (end == PipeEnd::open) {
      const T bore = step({"S_{i}", Quantity::area, "square of the bore"},
                          only_if(in.inside_diameter < in.pipe_diameter, square(in.inside_diameter)));
      r.fluid_acceleration = in.acceleration * (outside - bore) / (gap + bore);
    } else {
      r.fluid_acceleration = in.acceleration * outside / gap;
    }
    r.pressure = in.density * r.fluid_acceleration * in.length;
    return r;
  }
};

inline constexpr InertiaPressure inertia_pressure{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
