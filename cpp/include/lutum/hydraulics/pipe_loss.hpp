// Pressure loss of a yield-power-law fluid inside a pipe, in laminar, turbulent and transitional flow.
#pragma once

#include "lutum/hydraulics/friction.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct PipeLoss : Calculation<PipeLoss> {
  static constexpr bool searches = true;
  using Option = FrictionMethod;
  static constexpr OptionInfo option = friction_method;

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T yield_stress = T(not_a_number);
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T inside_diameter = T(not_a_number);
    T flow_rate = T(not_a_number);
    T length = T(1.0);
    T roughness = T(0.0);
  };

  template <class T>
  struct Result {
    T velocity;
    T pressure_gradient;
    T pressure_loss;
    T wall_stress;
    T friction_factor;
    T reynolds_number;
    T critical_reynolds_number;
    T local_flow_index;
    T starting_gradient;
  };

  static constexpr std::array inputs{
      describe::density, describe::yield_stress, describe::consistency, describe::flow_index,
      Variable{.name = "inside_diameter", .symbol = "D", .quantity = Quantity::diameter, .meaning = "bore of the pipe", .limits = {0.001, 2.0},
               .validated = {0.01, 0.6}},
      describe::flow_rate, describe::length,
      Variable{.name = "roughness", .symbol = "k", .quantity = Quantity::diameter,
               .meaning = "height of the wall's roughness; not in the standard's method", .limits = {0.0, 0.01}, .validated = {0.0, 0.0005}},
  };
  static constexpr std::array results{
      describe::velocity, describe::pressure_gradient, describe::pressure_loss, describe::wall_stress, describe::friction_factor,
      describe::reynolds_number, describe::critical_reynolds_number, describe::local_flow_index, describe::starting_gradient,
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.pipe_loss",
      .title = "Pressure loss inside a pipe",
      .answers = "How much pressure does the flow through the pipe cost, in whichever regime it is?",
      .equations = "laminar: V = (D/2) (tau_w/K)^(1/n) (1-phi)^(1/n+1) n [(1-phi)^2/(3n+1) + 2 phi (1-phi)/(2n+1) + phi^2/(n+1)], phi = "
                   "tau_0/tau_w, solved for tau_w; Re = 8 rho V^2/tau_w; n' = d ln tau_w/d ln V. Turbulent: 1/sqrt f = 4/n'^0.75 log10 G - "
                   "0.4/n'^1.2 with G = 16 (V_l/U)^n', U = sqrt(2 tau_w/rho), V_l the laminar velocity and n' the slope at that same wall stress; "
                   "roughness: -4 log10(10^(-1/(4 sqrt f)) + k/(3.7 D)). Together: f = (f_i^12 + f_l^12)^(1/12), f_i = (f_d^-8 + f_t^-8)^(-1/8), "
                   "f_d = 16 Re/Re_c^2, Re_c = 3470 - 1370 n; dp/dL = 4 tau_w/D. Standard: tau_w = (4/3)^n tau_0 + K rate^n, f_t = c/Re^d",
      .source = "Laminar pipe flow (derived; held against quadrature). Turbulent: Dodge and Metzner, AIChE J. 5 (1959) 189, from memory; its n' "
                "and K' belong to the turbulent wall stress and are solved with it (derived). Roughness: their law in Colebrook's sum (derived; "
                "within 0.3 % of Colebrook for a Newtonian fluid). Blend and explicit method: API RP 13D, generalised, from memory.",
      .assumptions = "Steady flow, no slip, a straight pipe, one flow curve along it. The slope that enters the turbulent law bends smoothly from "
                     "n' at 0.45 to 0.35 at 0.25, where a yield stress leaves the law without meaning. Rises with rate, length and density "
                     "everywhere; between laminar and fully turbulent flow (some ten times Re_c) more yield may lower it. The standard overstates "
                     "slow flow: by (4/3)^n at rest. Re_c takes the flow curve's own n, so that it is constant along a curve and the loss rises "
                     "with the rate; n_p, the slope between 600 and 300 r/min, in the standard; the local n' in hydraulics.slot_pressure_gradient.",
      .cautions = describe::friction_cautions,
  };

  static constexpr std::array verdicts{finding::is_laminar, finding::is_transitional, finding::is_turbulent, finding::is_at_rest,
                                       finding::is_outside_law, finding::is_missing};

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, FrictionMethod method) {
    if (!(r.pressure_loss == r.pressure_loss)) return 5;
    return finding::regime(in.flow_rate, r.reynolds_number, r.critical_reynolds_number, r.local_flow_index, method != FrictionMethod::standard);
  }

  static constexpr Input<double> example() {
    return {.density = 1200.0, .yield_stress = 3.0, .consistency = 0.25, .flow_index = 0.75, .inside_diameter = 0.1086, .flow_rate = 0.03,
            .length = 1000.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, FrictionMethod method) {
    Result<T> r;
    r.velocity = step({"V", Quantity::velocity, "mean velocity"}, in.flow_rate / (square(in.inside_diameter) * constant<T>(quarter_pi)));
    const Friction<T> f = friction<Duct::pipe, T>({in.density, in.yield_stress, in.consistency, in.flow_index}, r.velocity, in.inside_diameter,
                                                  in.roughness / in.inside_diameter, method);
    r.wall_stress = f.wall_stress;
    r.pressure_gradient = T(4.0) * r.wall_stress / in.inside_diameter;
    r.pressure_loss = r.pressure_gradient * in.length;
    r.friction_factor = T(2.0) * r.wall_stress / only_if(r.velocity > T(0.0), in.density * square(r.velocity));
    r.reynolds_number = f.reynolds_number;
    r.critical_reynolds_number = f.critical_reynolds_number;
    r.local_flow_index = f.local_flow_index;
    r.starting_gradient = T(4.0) * in.yield_stress / in.inside_diameter;
    return r;
  }
};

inline constexpr PipeLoss pipe_loss{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
