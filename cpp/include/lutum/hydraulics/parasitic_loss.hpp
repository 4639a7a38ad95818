// Parasitic loss (everything but the bit) and its exponent from stand-pipe pressures at two rates.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct ParasiticLoss : Calculation<ParasiticLoss> {
  template <class T>
  struct Input {
    T density = T(not_a_number);
    T nozzle_area = T(not_a_number);
    T first_flow_rate = T(not_a_number);
    T first_pressure = T(not_a_number);
    T second_flow_rate = T(not_a_number);
    T second_pressure = T(not_a_number);
    T discharge_coefficient = T(0.95);
  };

  template <class T>
  struct Result {
    T first_bit_loss;
    T second_bit_loss;
    T first_parasitic_loss;
    T second_parasitic_loss;
    T exponent;
  };

  static constexpr std::array inputs{
      circuit::density,
      Variable{.name = "nozzle_area", .symbol = "A", .quantity = Quantity::area, .meaning = "area of all nozzles of the bit in the hole",
               .limits = {1e-6, 0.1}, .validated = {5e-5, 2e-3}},
      Variable{.name = "first_flow_rate", .symbol = "q_1", .quantity = Quantity::flow_rate, .meaning = "first rate of the pump",
               .limits = {1e-5, 1.0}, .validated = {1e-3, 0.2}},
      Variable{.name = "first_pressure", .symbol = "p_1", .quantity = Quantity::pressure, .meaning = "stand-pipe pressure at the first rate",
               .limits = {0.0, 1e9}, .validated = {1e5, 7e7}},
      Variable{.name = "second_flow_rate", .symbol = "q_2", .quantity = Quantity::flow_rate, .meaning = "second rate, well away from the first",
               .limits = {1e-5, 1.0}, .validated = {1e-3, 0.2}},
      Variable{.name = "second_pressure", .symbol = "p_2", .quantity = Quantity::pressure, .meaning = "stand-pipe pressure at the second rate",
               .limits = {0.0, 1e9}, .validated = {1e5, 7e7}},
      circuit::discharge_coefficient,
  };
  static constexpr std::array results{
      Variable{.name = "first_bit_loss", .symbol = "p_{b1}", .quantity = Quantity::pressure, .meaning = "loss in the nozzles at the first rate"},
      Variable{.name = "second_bit_loss", .symbol = "p_{b2}", .quantity = Quantity::pressure, .meaning = "loss in the nozzles at the second rate"},
      Variable{.name = "first_parasitic_loss", .symbol = "p_{c1}", .quantity = Quantity::pressure,
               .meaning = "loss everywhere else at the first rate, signed"},
      Variable{.name = "second_parasitic_loss", .symbol = "p_{c2}", .quantity = Quantity::pressure,
               .meaning = "loss everywhere else at the second rate, signed"},
      Variable{.name = "exponent", .symbol = "m", .quantity = Quantity::number, .meaning = "power of the rate in the parasitic loss"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.parasitic_loss",
      .title = "Parasitic loss from two rates",
      .answers = "How much pressure goes elsewhere than into the bit, and with which power of the rate does it rise?",
      .equations = "p_b = rho q^2/(2 C_d^2 A^2); p_c = p - p_b; m = ln(p_c1/p_c2)/ln(q_1/q_2)",
      .source = circuit::bit_source,
      .assumptions = "Same mud, depth, bit and gauge at both rates, each steady; the parasitic loss is a power of the rate between them (laminar "
                     "parts and a motor are not).",
      .cautions = circuit::cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "an exponent that turbulent circuits have"},
      Verdict{"unusual_exponent", "outside 1.4 to 2.1: much laminar flow, a motor in the string, a gauge off or rates too near", Severity::caution},
      Verdict{"less_than_the_bit", "the stand-pipe pressure is not above the loss in the nozzles: nozzle area, density or a gauge is wrong, or they "
                                   "are washed out", Severity::impossible},
      Verdict{"one_rate", "both rates are the same: no exponent", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.first_parasitic_loss + r.second_parasitic_loss == r.first_parasitic_loss + r.second_parasitic_loss)) return 4;
    if (in.first_flow_rate == in.second_flow_rate) return 3;
    if (r.first_parasitic_loss <= 0.0 || r.second_parasitic_loss <= 0.0) return 2;
    return r.exponent < 1.4 || r.exponent > 2.1 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.density = 1560.0, .nozzle_area = 4.3e-4, .first_flow_rate = 0.0265, .first_pressure = 20.5e6, .second_flow_rate = 0.0175,
            .second_pressure = 9.1e6};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    const T opening = step({"A_{e}", Quantity::area, "area of the nozzles that counts"}, in.discharge_coefficient * in.nozzle_area);
    r.first_bit_loss = in.density * square(in.first_flow_rate / opening) / T(2.0);
    r.second_bit_loss = in.density * square(in.second_flow_rate / opening) / T(2.0);
    r.first_parasitic_loss = in.first_pressure - r.first_bit_loss;
    r.second_parasitic_loss = in.second_pressure - r.second_bit_loss;
    const auto one = r.first_parasitic_loss > T(0.0), two = r.second_parasitic_loss > T(0.0);
    const auto apart = abs(in.first_flow_rate - in.second_flow_rate) > T(0.0);
    const T ratio = step({"x", Quantity::number, "ratio of the parasitic losses"},
                         only_if(one & two, r.first_parasitic_loss) / r.second_parasitic_loss);
    r.exponent = log(ratio) / only_if(apart, log(in.first_flow_rate / in.second_flow_rate));
    return r;
  }
};

inline constexpr ParasiticLoss parasitic_loss{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
