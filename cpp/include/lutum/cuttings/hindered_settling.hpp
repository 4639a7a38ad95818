// Many particles hinder each other's fall.
#pragma once

#include "lutum/cuttings/settling.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

struct HinderedSettling : Calculation<HinderedSettling> {
  template <class T>
  struct Input {
    T slip_velocity = T(not_a_number);
    T concentration = T(not_a_number);
    T exponent = T(4.65);
  };

  template <class T>
  struct Result {
    T velocity_ratio;
    T hindered_velocity;
  };

  static constexpr std::array inputs{
      shared::slip_velocity,
      Variable{.name = "concentration", .symbol = "\\varphi", .quantity = Quantity::volume_fraction, .meaning = "particles by volume of the whole",
               .limits = {0.0, 0.75}, .validated = {0.0, 0.4}},
      Variable{.name = "exponent", .symbol = "z", .meaning = "exponent: 4.65 where viscous drag rules, down to 2.39 above Re 500",
               .limits = {1.0, 10.0}, .validated = {2.39, 4.65}},
  };
  static constexpr std::array results{
      Variable{.name = "velocity_ratio", .symbol = "r", .meaning = "hindered velocity over that of one particle alone"},
      Variable{.name = "hindered_velocity", .symbol = "v_{h}", .quantity = Quantity::velocity, .meaning = "velocity of fall among the others"},
  };
  static constexpr Sheet sheet{
      .id = "cuttings.hindered_settling",
      .title = "Hindered settling",
      .answers = "How fast do particles fall among many others?",
      .equations = "v_h = v_s (1 - phi)^z",
      .source = "Richardson and Zaki 1954, from memory: z = 4.65 below Re 0.2, 2.39 above 500.",
      .assumptions = "Particles of one size in a Newtonian fluid, far from walls. In an inclined hole they settle faster than this.",
      .cautions = advisory,
  };
  static constexpr std::array verdicts{
      Verdict{"hindered", "at most 40 % of particles"},
      Verdict{"crowded", "above 40 %: nearly a packed bed, the law is uncertain", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };
  static constexpr std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.hindered_velocity == r.hindered_velocity)) return 2;
    return in.concentration > 0.4 ? 1 : 0;
  }
  static constexpr Input<double> example() { return {.slip_velocity = 0.01, .concentration = 0.1}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T ratio = step({"r", Quantity::number, "hindered velocity over that of one particle alone"}, pow(T(1.0) - in.concentration, in.exponent));
    return {ratio, in.slip_velocity * ratio};
  }
};

inline constexpr HinderedSettling hindered_settling{};

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
