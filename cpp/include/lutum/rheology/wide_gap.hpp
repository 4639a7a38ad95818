// What a fluid of known flow curve does in the gap of a viscometer: the rate and stress at the bob, without the Newtonian rate.
#pragma once

#include "lutum/rheology/gap.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct WideGap : Calculation<WideGap> {
  template <class T>
  struct Input {
    T speed = T(not_a_number);
    T yield_stress = T(not_a_number);
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T rotor_radius = T(standard_instrument::rotor_radius);
    T bob_radius = T(standard_instrument::bob_radius);
  };

  template <class T>
  struct Result {
    T wall_stress;
    T shear_rate_at_bob;
    T newtonian_rate;
    T rate_ratio;
    T sheared_fraction;
  };

  static constexpr std::array inputs{
      Variable{.name = "speed", .symbol = "N", .quantity = Quantity::rotational_speed, .meaning = "rotor speed", .limits = {0.001, 120.0},
               .validated = {0.09, 63.0}},
      Variable{.name = "yield_stress", .symbol = "\\tau_0", .quantity = Quantity::stress,
               .meaning = "yield stress of the fluid; zero for a power law",
               .limits = {0.0, 1000.0}, .validated = {0.0, 100.0}},
      Variable{.name = "consistency", .symbol = "K", .quantity = Quantity::consistency, .meaning = "consistency of the fluid",
               .limits = {1e-6, 1e4}, .validated = {1e-4, 100.0}},
      Variable{.name = "flow_index", .symbol = "n", .quantity = Quantity::number,
               .meaning = "flow index of the fluid; 1 for a Bingham or Newtonian one",
               .limits = {0.05, 2.0}, .validated = {0.1, 1.2}},
      describe::rotor_radius,
      describe::bob_radius,
  };

  static constexpr std::array results{
      Variable{.name = "wall_stress", .symbol = "\\tau_b", .quantity = Quantity::stress, .meaning = "shear stress at the bob"},
      Variable{.name = "shear_rate_at_bob", .symbol = "\\dot\\gamma_b", .quantity = Quantity::shear_rate, .meaning = "true shear rate at the bob"},
      Variable{.name = "newtonian_rate", .symbol = "\\dot\\gamma_N", .quantity = Quantity::shear_rate,
               .meaning = "shear rate at the bob if the fluid were Newtonian, which reports use for every fluid"},
      Variable{.name = "rate_ratio", .symbol = "f", .quantity = Quantity::number, .meaning = "true rate against the Newtonian one"},
      Variable{.name = "sheared_fraction", .symbol = "\\phi", .quantity = Quantity::volume_fraction,
               .meaning = "share of the width of the gap that shears"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.wide_gap",
      .title = "A yield power law in the gap of a viscometer",
      .answers = "What stress and shear rate stand at the bob for this fluid, how far is the Newtonian rate off, and does the whole gap shear?",
      .equations = "w = 1/2 integral of rate(tau)/tau from max(tau_0, s^2 tau_b) to tau_b, s = r/R, rate = ((tau - tau_0)/K)^(1/n); solved for "
                   "tau_b; Newtonian rate = 2 w/(1 - s^2); power law: rate = 2 w/(n (1 - s^(2/n)))",
      .source = "Steady flow between a turning rotor and a bob at rest, stress as 1/radius^2 (derived; power law by closed form to 1e-12, yield "
                "stress by quadrature in extended precision). Steffe, Rheological Methods in Food Process Engineering, p. 167, calls the power-law "
                "form with the local slope an excellent approximation for such gaps (seen).",
      .assumptions = "Long cylinders, steady laminar flow, no slip, no eddies at high speed; the ends change the torque and not the rate. Quadrature "
                     "is good to 1e-10 for a bob of at least a third of the rotor's radius.",
      .cautions = "A reading at 3 r/min of a fluid with yield stress may come from a gap that shears in part only. Rheology is advisory to the "
                  "well's own programme and licensed practice.",
  };

  static constexpr std::array verdicts{
      Verdict{"fully_sheared", "the whole gap shears"},
      Verdict{"ring_at_rest", "a ring of fluid turns with the rotor without shearing: the stress there is below the yield stress"},
      Verdict{"no_gap", "the bob is not smaller than the rotor: no gap", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.bob_radius >= in.rotor_radius) return 2;
    if (!(r.wall_stress == r.wall_stress)) return 3;
    return r.sheared_fraction < 1.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.speed = 3.0 * standard_instrument::rpm, .yield_stress = 5.0, .consistency = 0.3, .flow_index = 0.7};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T s = step({"s", Quantity::number, "radius of the bob against that of the rotor"},
                     only_if(in.bob_radius < in.rotor_radius, in.bob_radius / in.rotor_radius));
    const AtBob<T> bob = at_bob(GapFluid<T>{in.yield_stress, in.consistency, in.flow_index}, in.speed, s);
    Result<T> r;
    r.wall_stress = bob.stress;
    r.shear_rate_at_bob = bob.rate;
    r.newtonian_rate = T(2.0) * in.speed / (T(1.0) - square(s));
    r.rate_ratio = bob.rate / r.newtonian_rate;
    // The stress falls to the yield stress at the radius r sqrt(tau_b/tau_0); written so that a thin layer keeps its digits.
    const T above = bob.excess / in.yield_stress;
    const T partly = above / (sqrt(T(1.0) + above) + T(1.0)) * in.bob_radius / (in.rotor_radius - in.bob_radius);
    const T at_rotor = step({"\\tau_R", Quantity::stress, "shear stress that a fully sheared gap has at the rotor"}, bob.stress * square(s));
    r.sheared_fraction = select(at_rotor < in.yield_stress, partly, only_if(at_rotor == at_rotor, T(1.0)));
    return r;
  }
};

inline constexpr WideGap wide_gap{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
