// Laminar friction of a yield-power-law fluid in an annulus taken as a slot: exact for the slot.
#pragma once

#include <numbers>

#include "lutum/hydraulics/annulus.hpp"
#include "lutum/hydraulics/describe.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct SlotPressureGradient : Calculation<SlotPressureGradient> {
  template <class T>
  struct Input {
    T density = T(not_a_number);
    T yield_stress = T(not_a_number);
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T flow_rate = T(not_a_number);
  };

  template <class T>
  struct Result {
    T velocity;
    T wall_stress;
    T pressure_gradient;
    T plug_fraction;
    T local_flow_index;
    T reynolds_number;
    T critical_reynolds_number;
  };

  static constexpr std::array inputs{
      describe::density, describe::yield_stress, describe::consistency, describe::flow_index, describe::hole_diameter,
      Variable{.name = "pipe_diameter", .symbol = "d", .quantity = Quantity::diameter,
               .meaning = "outside diameter of the pipe, smaller than the hole", .limits = {0.0, 2.0}, .validated = {0.02, 1.0}},
      Variable{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "flow up the annulus", .limits = {0.0, 1.0},
               .validated = {0.0, 0.2}},
  };

  static constexpr std::array results{
      Variable{.name = "velocity", .symbol = "V", .quantity = Quantity::velocity, .meaning = "mean velocity in the annulus"},
      Variable{.name = "wall_stress", .symbol = "\\tau_{w}", .quantity = Quantity::stress, .meaning = "shear stress at the wall"},
      Variable{.name = "pressure_gradient", .symbol = "\\left(dp/dL\\right)", .quantity = Quantity::pressure_gradient,
               .meaning = "friction pressure loss per measured length, laminar"},
      Variable{.name = "plug_fraction", .symbol = "\\varphi", .meaning = "yield stress over wall stress: the part of the gap that moves as a plug"},
      Variable{.name = "local_flow_index", .symbol = "n'", .meaning = "slope of log wall stress against log velocity"},
      Variable{.name = "reynolds_number", .symbol = "Re", .meaning = "generalised Reynolds number, 16 over the laminar friction factor"},
      Variable{.name = "critical_reynolds_number", .symbol = "Re_{c}", .meaning = "the laminar regime ends here: 3470 - 1370 n' with the local n'"},
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.slot_pressure_gradient",
      .title = "Laminar pressure gradient of a yield-power-law fluid in a slot annulus",
      .answers = "How much pressure does each length of annulus cost while the flow is laminar?",
      .equations = "V = (h/2) (tau_w/K)^(1/n) (1-phi)^(1/n+1) n/(2n+1) (1 + n phi/(n+1)), phi = tau_0/tau_w, h = (D-d)/2; solved for "
                   "tau_w; dp/dL = 2 tau_w/h; Re = 8 rho V^2/tau_w; laminar below Re_c = 3470 - 1370 n'",
      .source = "Slot flow of a yield-power-law fluid (derived; held against quadrature). Reynolds number: Metzner and Reed, AIChE J. 1 (1955) 434, "
                "from memory. Critical value: API RP 13D, older editions, as printed in a 2006 drilling-fluids reference manual p. 9-14.",
      .assumptions = "Concentric annulus opened to a slot (within 0.5 % of the annulus above a diameter ratio of 0.55, 1.3 % at 0.19), steady "
                     "laminar flow, no slip, no rotation, no cuttings. Re_c takes the local n', which falls with the rate where there is a yield "
                     "stress; hydraulics.annulus_loss takes the flow curve's own n, constant along a curve.",
      .cautions = "The number is the laminar one whatever the verdict says: beyond laminar flow the true loss is higher. At no flow it is the limit "
                  "at which flow starts. Pressure figures are advisory: the well's own programme and licensed practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"laminar", "Re is below 3470 - 1370 n'"},
      Verdict{"transitional", "Re lies between 3470 - 1370 n' and 4270 - 1370 n': the laminar figure may be too low", Severity::caution},
      Verdict{"turbulent", "Re is above 4270 - 1370 n': the laminar figure is too low", Severity::caution},
      Verdict{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.pipe_diameter >= in.hole_diameter) return 3;
    if (!(r.reynolds_number == r.reynolds_number)) return 4;
    if (r.reynolds_number < r.critical_reynolds_number) return 0;
    return r.reynolds_number < r.critical_reynolds_number + 800.0 ? 1 : 2;
  }

  static constexpr Input<double> example() {
    return {.density = 1200.0, .yield_stress = 5.0, .consistency = 0.3, .flow_index = 0.7, .hole_diameter = 0.2159, .pipe_diameter = 0.127,
            .flow_rate = 0.019};
  }

  // ln(V / V_power_law) at the stress s = exp(z) times that of the power-law fluid, which is what zero yield would give;
  // zero at the s sought, increasing in z.
  struct VelocityBalance {
    template <class T>
    constexpr T operator()(const T& z, const T& a, const T& b) const {
      const T s = exp(z);
      return (a + T(1.0)) * z + log(s + (a + T(2.0)) / (a + T(1.0)) * b) - T(2.0) * log(s + b);
    }
  };

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T gap = step({"h", Quantity::diameter, "gap of the slot"},
                       only_if(in.pipe_diameter < in.hole_diameter, (in.hole_diameter - in.pipe_diameter) / T(2.0)));
    const T area = annulus_area(in.hole_diameter, in.pipe_diameter);
    const T a = step({"m", Quantity::number, "inverse of the flow index"}, T(1.0) / in.flow_index);
    Result<T> r;
    r.velocity = in.flow_rate / area;
    const T moving = select(r.velocity == T(0.0), r.velocity + constant<T>(slowest), r.velocity);
    const T rate = step({"\\dot\\gamma_{0}", Quantity::shear_rate, "wall shear rate of a fluid without yield stress"},
                        (a + T(2.0)) * moving / (gap / T(2.0)));
    const T power_law_stress = step({"S_{0}", Quantity::stress, "wall stress of a fluid without yield stress"},
                                    in.consistency * pow(rate / constant<T>(one_per_second), in.flow_index));
    const T b = step({"b", Quantity::number, "yield stress against that stress"}, in.yield_stress / power_law_stress);
    const T highest = larger(in.flow_index * T(std::numbers::ln2), log(T(2.0) * b) / (a + T(1.0)));
    const T z = solve({"z", Quantity::number, "logarithm of the stress above yield against S_0"}, VelocityBalance{},
                      Bracket<T>{T(0.0) * b, highest, T(0.0) * b}, a, b);
    r.wall_stress = in.yield_stress + power_law_stress * exp(z);
    r.pressure_gradient = T(2.0) * r.wall_stress / gap;
    r.plug_fraction = in.yield_stress / r.wall_stress;
    r.local_flow_index = T(1.0) / ((a + T(2.0)) * exp(a * z) - T(2.0));
    r.reynolds_number = T(8.0) * in.density * square(r.velocity) / r.wall_stress;
    r.critical_reynolds_number = T(3470.0) - T(1370.0) * r.local_flow_index;
    return r;
  }
};

inline constexpr SlotPressureGradient slot_pressure_gradient{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
