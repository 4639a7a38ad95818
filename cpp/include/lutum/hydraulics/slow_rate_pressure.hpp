// Circulating pressure carried from one pump rate and mud density to another.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct SlowRatePressure : Calculation<SlowRatePressure> {
  template <class T>
  struct Input {
    T measured_pressure = T(not_a_number);
    T measured_flow_rate = T(not_a_number);
    T flow_rate = T(not_a_number);
    T measured_density = T(not_a_number);
    T density = T(not_a_number);
    T exponent = T(2.0);
    T second_pressure = T(not_a_number);
    T second_flow_rate = T(not_a_number);
  };

  template <class T>
  struct Result {
    T rate_factor;
    T density_factor;
    T pressure;
    T measured_exponent;
  };

  static constexpr std::array inputs{
      Variable{.name = "measured_pressure", .symbol = "p_{1}", .quantity = Quantity::pressure, .meaning = "circulating pressure that was measured",
               .limits = {1.0, 2e8}, .validated = {1e5, 5e7}},
      Variable{.name = "measured_flow_rate", .symbol = "q_{1}", .quantity = Quantity::flow_rate, .meaning = "rate at which it was measured",
               .limits = {1e-6, 1.0}, .validated = {1e-3, 0.2}},
      Variable{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "rate of the pressure asked for",
               .limits = {1e-6, 1.0}, .validated = {1e-3, 0.2}},
      Variable{.name = "measured_density", .symbol = "\\rho_{1}", .quantity = Quantity::density, .meaning = "density of the mud of the measurement",
               .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the mud asked for",
               .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "exponent", .symbol = "m", .quantity = Quantity::number,
               .meaning = "exponent of the rate: 2 by custom, about 1.7 to 1.9 measured; less in laminar flow", .limits = {0.1, 3.0},
               .validated = {1.0, 2.0}},
      Variable{.name = "second_pressure", .symbol = "p_{2}", .quantity = Quantity::pressure,
               .meaning = "circulating pressure measured at a second rate with the same mud", .limits = {1.0, 2e8}, .validated = {1e5, 5e7},
               .optional = true, .if_missing = "no exponent follows from the measurements."},
      Variable{.name = "second_flow_rate", .symbol = "q_{2}", .quantity = Quantity::flow_rate, .meaning = "this second rate", .limits = {1e-6, 1.0},
               .validated = {1e-3, 0.2}, .optional = true, .if_missing = "no exponent follows from the measurements."},
  };
  static constexpr std::array results{
      Variable{.name = "rate_factor", .symbol = "f_{q}", .quantity = Quantity::number, .meaning = "factor of the rate"},
      Variable{.name = "density_factor", .symbol = "f_{\\rho}", .quantity = Quantity::number, .meaning = "factor of the density"},
      Variable{.name = "pressure", .symbol = "p", .quantity = Quantity::pressure, .meaning = "circulating pressure at the other rate and density"},
      Variable{.name = "measured_exponent", .symbol = "m_{12}", .quantity = Quantity::number,
               .meaning = "exponent that the two measured rates tell: better than the custom's, to be given as the exponent"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.slow_rate_pressure",
      .title = "Circulating pressure at another rate and density",
      .answers = "What pressure does the pump show at this rate and density, after one that was measured?",
      .equations = "p = p_1 (q/q_1)^m rho/rho_1; m_12 = ln(p_1/p_2)/ln(q_1/q_2)",
      .source = "Common practice, no source; nozzles alone follow it with 2 (derived). The exponent of two rates: a field handbook of formulas, from "
                "memory.",
      .assumptions = "The same well, string, nozzles and depth; one power of the rate holds between the rates; friction goes with the density, which "
                     "is true of nozzles and a little too much for turbulent pipe. With an exponent of 2 a pressure at a slower rate comes out too "
                     "low and at a faster one too high. The weight of the mud drops out: both legs are full of it.",
      .cautions = "Advisory only: slow rate pressures that a well is killed with are measured, each tour and after every change of mud, string or "
                  "depth; the well's own programme and licensed practice decide. hydraulics.kill_density makes circulating pressures of them.",
  };

  static constexpr std::array verdicts{
      Verdict{"between_slow_rates", "rates at most a factor of two apart"},
      Verdict{"far_away", "rates more than a factor of two apart: one exponent seldom holds so far, measure", Severity::caution},
      Verdict{"one_rate_twice", "both measured rates are the same: they tell no exponent", Severity::caution},
      Verdict{"unlikely_exponent", "the two measured pressures tell an exponent below 1 or above 2.1: a wrong reading, a leak, or another mud",
              Severity::caution},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.pressure == r.pressure)) return 4;
    if (in.measured_flow_rate == in.second_flow_rate) return 2;
    if (r.measured_exponent < 1.0 || r.measured_exponent > 2.1) return 3;
    const double ratio = in.flow_rate / in.measured_flow_rate;
    return ratio >= 0.5 - 1e-12 && ratio <= 2.0 + 1e-12 ? 0 : 1;
  }

  static constexpr Input<double> example() {
    return {.measured_pressure = 4.5e6, .measured_flow_rate = 0.012, .flow_rate = 0.008, .measured_density = 1440.0, .density = 1500.0,
            .second_pressure = 2.6e6, .second_flow_rate = 0.0088};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.rate_factor = pow(in.flow_rate / in.measured_flow_rate, in.exponent);
    r.density_factor = in.density / in.measured_density;
    r.pressure = in.measured_pressure * r.rate_factor * r.density_factor;
    const auto same = in.measured_flow_rate == in.second_flow_rate;
    r.measured_exponent = only_if(!same, log(in.measured_pressure / in.second_pressure) / log(in.measured_flow_rate / in.second_flow_rate));
    return r;
  }
};

inline constexpr SlowRatePressure slow_rate_pressure{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
