// The bit's nozzles: velocity, pressure loss, power and impact force.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct BitPressureLoss : Calculation<BitPressureLoss> {
  template <class T>
  struct Input {
    T density = T(not_a_number);
    T flow_rate = T(not_a_number);
    T nozzle_area = T(not_a_number);
    T bit_diameter = T(not_a_number);
    T discharge_coefficient = T(0.95);
  };

  template <class T>
  struct Result {
    T nozzle_velocity;
    T pressure_loss;
    T velocity_heads;
    T hydraulic_power;
    T power_per_bit_area;
    T impact_force;
  };

  static constexpr std::array inputs{
      circuit::density,
      Variable{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "flow through the bit", .limits = {0.0, 1.0},
               .validated = {0.0, 0.2}},
      Variable{.name = "nozzle_area", .symbol = "A", .quantity = Quantity::area, .meaning = "area of all nozzles", .limits = {1e-6, 0.1},
               .validated = {5e-5, 2e-3}},
      Variable{.name = "bit_diameter", .symbol = "d_{bit}", .quantity = Quantity::diameter, .meaning = "diameter of the bit",
               .limits = {0.02, 2.0}, .validated = {0.07, 0.92}, .optional = true, .if_missing = "there is no power per area of the bit."},
      circuit::discharge_coefficient,
  };
  static constexpr std::array results{
      Variable{.name = "nozzle_velocity", .symbol = "v", .quantity = Quantity::jet_velocity, .meaning = "mean velocity in the nozzles"},
      Variable{.name = "pressure_loss", .symbol = "\\Delta p", .quantity = Quantity::pressure, .meaning = "pressure lost in the nozzles"},
      Variable{.name = "velocity_heads", .symbol = "k", .quantity = Quantity::number,
               .meaning = "pressure loss in velocity heads of the jet, which tells the discharge coefficient behind it"},
      Variable{.name = "hydraulic_power", .symbol = "P", .quantity = Quantity::power, .meaning = "hydraulic power spent at the bit"},
      Variable{.name = "power_per_bit_area", .symbol = "P_{A}", .quantity = Quantity::power_per_area,
               .meaning = "hydraulic power for each area of the bit"},
      Variable{.name = "impact_force", .symbol = "F", .quantity = Quantity::force, .meaning = "momentum of the jets in each second"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.bit_pressure_loss",
      .title = "Pressure loss and power at the bit",
      .answers = "What do the nozzles cost in pressure, and what power and impact do they bring to the bottom?",
      .equations = "v = q/A; k = 1/C_d^2; dp = k rho v^2/2; P = dp q; P_A = P/(pi/4 d_bit^2); F = rho q v",
      .source = circuit::bit_source,
      .assumptions = "All nozzles share one pressure drop; nothing passes elsewhere (reamer, motor, washed-out joint). The choice of the coefficient "
                     "is a 17.5 % effect from 0.95 to 1.03. The impact is that at the nozzles' mouth, not on the bottom.",
      .cautions = circuit::cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"flowing", "the bit is circulated"},
      Verdict{"at_rest", "nothing flows and nothing is lost"},
      Verdict{"larger_than_bit", "the nozzles are larger than the bit", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.pressure_loss == r.pressure_loss)) return 3;
    if (in.nozzle_area >= exact::pi / 4.0 * in.bit_diameter * in.bit_diameter) return 2;
    return in.flow_rate == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.density = 1440.0, .flow_rate = 0.0284, .nozzle_area = 2.51e-4, .bit_diameter = 0.2159}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.nozzle_velocity = in.flow_rate / in.nozzle_area;
    r.velocity_heads = T(1.0) / square(in.discharge_coefficient);
    r.pressure_loss = r.velocity_heads * in.density * square(r.nozzle_velocity) / T(2.0);
    r.hydraulic_power = r.pressure_loss * in.flow_rate;
    r.power_per_bit_area = r.hydraulic_power / (square(in.bit_diameter) * constant<T>(quarter_pi));
    r.impact_force = in.density * in.flow_rate * r.nozzle_velocity;
    return r;
  }
};

inline constexpr BitPressureLoss bit_pressure_loss{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
