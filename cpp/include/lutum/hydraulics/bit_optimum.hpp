// The rate and nozzle area that give most power or most impact at the bit, within the limits of the pump.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

enum class MostOf : std::uint8_t { power, impact };
inline constexpr std::array most_of_choices{
    Choice{"power", "most hydraulic power at the bit"},
    Choice{"impact", "most impact force of the jets"},
};

struct BitOptimum : Calculation<BitOptimum> {
  using Option = MostOf;
  static constexpr OptionInfo option{.name = "most", .meaning = "what is to be greatest at the bit", .choices = most_of_choices};

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T measured_flow_rate = T(not_a_number);
    T measured_parasitic_loss = T(not_a_number);
    T exponent = T(not_a_number);
    T pump_pressure_limit = T(not_a_number);
    T pump_power_limit = T(1e9);
    T lowest_flow_rate = T(0.0);
    T highest_flow_rate = T(1.0);
    T discharge_coefficient = T(0.95);
  };

  template <class T>
  struct Result {
    T pump_optimum_rate;
    T flow_rate;
    T standpipe_pressure;
    T parasitic_loss;
    T bit_loss;
    T bit_share;
    T nozzle_area;
    T hydraulic_power;
    T impact_force;
  };

  static constexpr std::array inputs{
      circuit::density,
      Variable{.name = "measured_flow_rate", .symbol = "q_1", .quantity = Quantity::flow_rate, .meaning = "a rate that was pumped",
               .limits = {1e-5, 1.0}, .validated = {1e-3, 0.2}},
      Variable{.name = "measured_parasitic_loss", .symbol = "p_1", .quantity = Quantity::pressure,
               .meaning = "loss at that rate everywhere but in the bit, not the stand-pipe pressure", .limits = {1e3, 1e9}, .validated = {1e5, 7e7}},
      Variable{.name = "exponent", .symbol = "m", .quantity = Quantity::number,
               .meaning = "power of the rate in the parasitic loss, from two rates (1.7 to 1.9 is common)", .limits = {0.2, 3.0},
               .validated = {1.4, 2.1}},
      Variable{.name = "pump_pressure_limit", .symbol = "p_{max}", .quantity = Quantity::pressure,
               .meaning = "highest stand-pipe pressure allowed (liners, relief valve, surface equipment)", .limits = {1e4, 1e9},
               .validated = {1e6, 7e7}},
      Variable{.name = "pump_power_limit", .symbol = "P_{max}", .quantity = Quantity::power,
               .meaning = "highest hydraulic power of the pumps; the default is no limit",
               .limits = {1e2, 2e9}, .validated = {1e5, 2e9}},
      Variable{.name = "lowest_flow_rate", .symbol = "q_{min}", .quantity = Quantity::flow_rate,
               .meaning = "lowest rate that lifts the cuttings; the default is no limit",
               .limits = {0.0, 1.0}, .validated = {0.0, 0.2}},
      Variable{.name = "highest_flow_rate", .symbol = "q_{max}", .quantity = Quantity::flow_rate,
               .meaning = "highest rate that hole, tools and pump strokes allow; the default is no limit", .limits = {0.0, 2.0},
               .validated = {0.0, 2.0}},
      circuit::discharge_coefficient,
  };
  static constexpr std::array results{
      Variable{.name = "pump_optimum_rate", .symbol = "q_{opt}", .quantity = Quantity::flow_rate,
               .meaning = "optimum rate within the pump's pressure and power"},
      Variable{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate,
               .meaning = "best rate, between the lowest and the highest allowed"},
      Variable{.name = "standpipe_pressure", .symbol = "p", .quantity = Quantity::pressure,
               .meaning = "pressure that the pump can give at that rate"},
      Variable{.name = "parasitic_loss", .symbol = "p_{c}", .quantity = Quantity::pressure, .meaning = "parasitic loss at that rate"},
      Variable{.name = "bit_loss", .symbol = "p_{b}", .quantity = Quantity::pressure, .meaning = "pressure left for the bit, signed"},
      Variable{.name = "bit_share", .symbol = "x_{b}", .quantity = Quantity::number, .meaning = "share of the pressure spent at the bit, signed"},
      Variable{.name = "nozzle_area", .symbol = "A", .quantity = Quantity::area, .meaning = "area of all nozzles that spends it"},
      Variable{.name = "hydraulic_power", .symbol = "P", .quantity = Quantity::power, .meaning = "hydraulic power at the bit, signed"},
      Variable{.name = "impact_force", .symbol = "F", .quantity = Quantity::force, .meaning = "impact force of the jets"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.bit_optimum",
      .title = "Rate and nozzles for most power or impact at the bit",
      .answers = "Which rate and nozzle area bring most power, or most impact, to the bottom without overloading the pump?",
      .equations = "p_c = p_1 (q/q_1)^m; p = min(p_max, P_max/q). Most power: q_opt = min(q_p, P_max/p_max), p_c(q_p) = p_max/(m+1). Most impact: "
                   "q_opt = min(q_p, max(P_max/p_max, q_w)), p_c(q_p) = 2 p_max/(m+2), p_c(q_w) q_w = P_max/(m+2). q within its limits; p_b = p - "
                   "p_c; A = q/C_d sqrt(rho/(2 p_b))",
      .source = "Derived: the slope of q p_b or q^2 p_b is zero; held against brute force. Shares printed in a textbook of drilling hydraulics "
                "(seen). Scaled from the parasitic loss: a printed course example scales from the stand-pipe pressure, and its optimum rates are 8 % "
                "low.",
      .assumptions = "One power of the rate at all rates, whatever the nozzles; same mud and depth as measured. Most power and most impact are "
                     "rules, not a forecast of the rate of penetration.",
      .cautions = "Round the nozzle area up where the pressure limit threatens. Equivalent density, washout and hole cleaning at the rate are not "
                  "looked at. Advisory: pressures and rates are for the well's own programme, the limits of its pumps and relief valves, and "
                  "licensed practice to decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"pressure_decides", "the optimum under the pump's pressure limit"},
      Verdict{"power_decides", "the optimum is held or moved by the pump's power limit"},
      Verdict{"held_at_lowest", "the optimum would be slower: held at the lowest rate allowed", Severity::caution},
      Verdict{"held_at_highest", "the optimum would be faster: held at the highest rate allowed", Severity::caution},
      Verdict{"nothing_left", "the parasitic loss takes all that the pump can give: nothing is left for the bit", Severity::impossible},
      Verdict{"limits_cross", "the lowest rate is above the highest", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r, Option most) {
    if (in.lowest_flow_rate > in.highest_flow_rate) return 5;
    if (!(r.bit_loss == r.bit_loss) || !(in.density + in.discharge_coefficient == in.density + in.discharge_coefficient)) return 6;
    if (r.bit_loss <= 0.0) return 4;
    if (r.pump_optimum_rate < in.lowest_flow_rate) return 2;
    if (r.pump_optimum_rate > in.highest_flow_rate) return 3;
    return r.pump_optimum_rate < unlimited(in, most) ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.density = 1440.0, .measured_flow_rate = 0.0252, .measured_parasitic_loss = 15e6, .exponent = 1.8, .pump_pressure_limit = 20.7e6,
            .pump_power_limit = 1.0e6, .lowest_flow_rate = 0.012, .highest_flow_rate = 0.05};
  }

  // The optimum under the pressure limit alone.
  template <class T>
  static constexpr T unlimited(const Input<T>& in, Option most) {
    const T share = most == MostOf::power ? T(1.0) / (in.exponent + T(1.0)) : T(2.0) / (in.exponent + T(2.0));
    const T part = step({"x_{c}", Quantity::number, "share of the pressure limit that the parasitic loss takes at the optimum"}, share);
    return in.measured_flow_rate * pow(part * in.pump_pressure_limit / in.measured_parasitic_loss, T(1.0) / in.exponent);
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option most) {
    Result<T> r;
    const T free = step({"q_{p}", Quantity::flow_rate, "optimum under the pressure limit alone"}, unlimited(in, most));
    const T corner = step({"q_{k}", Quantity::flow_rate, "rate at which the pump reaches both limits"}, in.pump_power_limit / in.pump_pressure_limit);
    T held = corner;
    if (most == MostOf::impact) {
      // Beyond the corner q^2 p_b = P q - p_c q^2 may still rise.
      const T measured = step({"P_1", Quantity::power, "power of the parasitic loss measured"}, in.measured_parasitic_loss * in.measured_flow_rate);
      const T beyond = in.measured_flow_rate * pow(in.pump_power_limit / ((in.exponent + T(2.0)) * measured), T(1.0) / (in.exponent + T(1.0)));
      held = larger(corner, step({"q_{w}", Quantity::flow_rate, "optimum under the power limit alone"}, beyond));
    }
    r.pump_optimum_rate = smaller(free, held);
    const auto crossing = in.lowest_flow_rate > in.highest_flow_rate;
    r.flow_rate = only_if(!crossing, larger(smaller(r.pump_optimum_rate, in.highest_flow_rate), in.lowest_flow_rate));
    r.standpipe_pressure = smaller(in.pump_pressure_limit, in.pump_power_limit / r.flow_rate);
    r.parasitic_loss = in.measured_parasitic_loss * power(r.flow_rate / in.measured_flow_rate, in.exponent);
    r.bit_loss = r.standpipe_pressure - r.parasitic_loss;
    r.bit_share = r.bit_loss / r.standpipe_pressure;
    const T left = T(2.0) * only_if(r.bit_loss > T(0.0), r.bit_loss);
    r.nozzle_area = r.flow_rate / in.discharge_coefficient * sqrt(in.density / left);
    r.hydraulic_power = r.bit_loss * r.flow_rate;
    r.impact_force = in.density * square(r.flow_rate) / r.nozzle_area;
    return r;
  }
};

inline constexpr BitOptimum bit_optimum{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
