// Effective viscosity at one speed: stress over rate.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct EffectiveViscosity : Calculation<EffectiveViscosity> {
  template <class T>
  struct Input {
    T speed = T(not_a_number);
    T reading = T(not_a_number);
  };

  template <class T>
  struct Result {
    T effective_viscosity;
    T shear_rate;
  };

  static constexpr std::array inputs{
      Variable{.name = "speed", .symbol = "N", .quantity = Quantity::rotational_speed, .meaning = "rotor speed", .limits = {0.001, 120.0},
               .validated = {0.09, 63.0}},
      describe::reading_at("reading", "\\theta", "dial reading at that speed"),
  };

  static constexpr std::array results{
      Variable{.name = "effective_viscosity", .symbol = "\\mu_{e}", .quantity = Quantity::viscosity,
               .meaning = "effective viscosity at that speed: what a Newtonian fluid with this reading would have; convention and physics agree"},
      Variable{.name = "shear_rate", .symbol = "\\dot\\gamma", .quantity = Quantity::shear_rate,
               .meaning = "shear rate of a Newtonian fluid at the bob, to which it belongs"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.effective_viscosity",
      .title = "Effective viscosity at one speed",
      .answers = "What viscosity does the mud show at this speed, and at which shear rate is that?",
      .equations = "mu_e = 300 r/min theta/N, 1 cP a degree",
      .source = "Stress over rate with the self-consistent constants of the standard instrument (derived); common practice, no source.",
      .assumptions = "Standard rotor, bob and spring. At 600 r/min it is the apparent viscosity of reports. A viscosity without its rate says little "
                     "of a mud that thins.",
      .cautions = describe::reading_cautions,
  };

  static constexpr Input<double> example() { return {.speed = 100.0 * standard_instrument::rpm, .reading = 21}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.reading * constant<T>(speed_300) / in.speed * constant<T>(viscosity_per_degree), in.speed * constant<T>(newtonian_rate)};
  }
};

inline constexpr EffectiveViscosity effective_viscosity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
