// Pressure loss of a yield-power-law fluid up an annulus taken as a slot, in laminar, turbulent and transitional flow, with
// eccentricity and rotation as factors.
#pragma once

#include "lutum/hydraulics/annulus.hpp"
#include "lutum/hydraulics/friction.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct AnnulusLoss : Calculation<AnnulusLoss> {
  static constexpr bool searches = true;
  using Option = FrictionMethod;
  static constexpr OptionInfo option = friction_method;

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T yield_stress = T(not_a_number);
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T flow_rate = T(not_a_number);
    T length = T(1.0);
    T eccentricity = T(0.0);
    T rotation_factor = T(1.0);
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
    T eccentricity_factor;
    T starting_gradient;
  };

  static constexpr std::array inputs{
      describe::density, describe::yield_stress, describe::consistency, describe::flow_index,
      describe::hole_diameter, describe::pipe_diameter,
      describe::flow_rate, describe::length,
      describe::eccentricity,
      Variable{.name = "rotation_factor", .symbol = "F_{r}", .quantity = Quantity::number,
               .meaning = "factor on the loss for rotation of the string, as the user declares it; hydraulics.rotating_pipe finds that of laminar "
                          "flow around a concentric pipe", .limits = {0.1, 10.0}, .validated = {0.7, 2.0}},
  };
  static constexpr std::array results{
      describe::velocity, describe::pressure_gradient, describe::pressure_loss, describe::wall_stress, describe::friction_factor,
      describe::reynolds_number, describe::critical_reynolds_number, describe::local_flow_index,
      Variable{.name = "eccentricity_factor", .symbol = "F_{e}", .quantity = Quantity::number,
               .meaning = "loss of the eccentric over that of the concentric annulus"},
      describe::starting_gradient,
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.annulus_loss",
      .title = "Pressure loss up an annulus",
      .answers = "How much pressure does the flow up the annulus cost, in whichever regime it is?",
      .equations = "laminar: V = (h/2) (tau_w/K)^(1/n) (1-phi)^(1/n+1) n/(2n+1) [1 + n phi/(n+1)], phi = tau_0/tau_w, h = (D-d)/2, solved for "
                   "tau_w; Re = 8 rho V^2/tau_w; n' = d ln tau_w/d ln V. Turbulent: 1/sqrt f = 4/n'^0.75 log10 G - 0.4/n'^1.2 with G = 16 "
                   "(V_l/U)^n', U = sqrt(2 tau_w/rho), V_l the laminar velocity and n' the slope at that same wall stress. Together: f = (f_i^12 + "
                   "f_l^12)^(1/12), f_i = (f_d^-8 + f_t^-8)^(-1/8), f_d = 16 Re/Re_c^2, Re_c = 3470 - 1370 n; dp/dL = 2 tau_w/h F_e F_r. "
                   "Eccentric, k = d/D: F_l = 1 - 0.072 (e/n) k^0.8454 - 1.5 e^2 sqrt(n) k^0.1852 + 0.96 e^3 sqrt(n) k^0.2527, turbulent with "
                   "0.048, 2/3, 0.285; F_e between them by the share of turbulence. Standard: tau_w = (3/2)^n tau_0 + K rate^n, f_t = c/Re^d",
      .source = "Laminar slot flow (derived; held against quadrature). Turbulent: Dodge and Metzner, AIChE J. 5 (1959) 189, from memory; its n' "
                "and K' belong to the turbulent wall stress and are solved with it (derived). Blend and explicit method: API RP 13D, generalised, "
                "from memory. Eccentricity: Haciislamoglu and Langlinais (1990), turbulent Haciislamoglu and Cartalos (1994), from memory; held "
                "against exact laminar solutions: within 2 % for k 0.3 to 0.7, 5 % low at k 0.9.",
      .assumptions = "Annulus opened to a slot (within 0.5 % of the concentric annulus above k 0.55, 1.3 % at 0.19), steady flow, no slip, no "
                     "cuttings; tool joints are sections of their own. Rotation is the user's factor: concentric laminar rotation lowers the loss "
                     "of a thinning fluid, a whirling eccentric string often raises it. The slope in the turbulent law and n in F_e bend smoothly "
                     "from 0.45 to 0.35 at 0.25. Rises with rate, length and density everywhere; between laminar and fully turbulent flow (some "
                     "ten times Re_c) more yield may lower it. The standard overstates slow flow: by (3/2)^n at rest. Re_c takes "
                     "the flow curve's own n, so that it is constant along a curve and the loss rises with the rate; n_p, the slope between 600 and "
                     "300 r/min, in the standard; the local n' in hydraulics.slot_pressure_gradient.",
      .cautions = describe::friction_cautions,
  };

  static constexpr std::array verdicts{
      finding::is_laminar, finding::is_transitional, finding::is_turbulent, finding::is_at_rest, finding::is_outside_law, finding::is_no_gap,
      Verdict{"eccentric_beyond_source", "eccentric, with a diameter ratio outside 0.3 to 0.9: the correlation was not fitted there",
              Severity::caution},
      finding::is_missing,
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, FrictionMethod method) {
    if (in.pipe_diameter >= in.hole_diameter) return 5;
    if (!(r.pressure_loss == r.pressure_loss)) return 7;
    const double k = in.pipe_diameter / in.hole_diameter;
    if (in.flow_rate > 0.0 && in.eccentricity > 0.0 && (k < 0.3 || k > 0.9)) return 6;
    return finding::regime(in.flow_rate, r.reynolds_number, r.critical_reynolds_number, r.local_flow_index, method != FrictionMethod::standard);
  }

  static constexpr Input<double> example() {
    return {.density = 1200.0, .yield_stress = 5.0, .consistency = 0.3, .flow_index = 0.7, .hole_diameter = 0.2159, .pipe_diameter = 0.127,
            .flow_rate = 0.035, .length = 1000.0, .eccentricity = 0.4};
  }

  template <class T>
  static T factor_of(const T& e, const T& by_n, const T& root_n, const std::array<T, 3>& k, double linear, double squared, double cubed) {
    return T(1.0) - T(linear) * (e * by_n) * k[0] - root_n * square(e) * (T(squared) * k[1] - T(cubed) * e * k[2]);
  }

  // At the flow's regime: laminar and turbulent factor by their share in the loss.
  template <class T>
  static T eccentric(const T& e, const T& ratio, const T& flow_index, const T& over_laminar) {
    if constexpr (std::is_same_v<T, value_type_of<T>>)
      if (!any(e > T(0.0)) && all(e == e)) return only_if((ratio == ratio) & (over_laminar == over_laminar), T(1.0));
    const T n = step({"n_{e}", Quantity::number, "flow index, bent to 0.35 below 0.45"}, bent(flow_index));
    const T by_n = T(1.0) / n, root_n = sqrt(n);
    const std::array<T, 3> k{pow(ratio, T(0.8454)), pow(ratio, T(0.1852)), pow(ratio, T(0.2527))};
    const T laminar = step({"F_{l}", Quantity::number, "factor in laminar flow"}, factor_of(e, by_n, root_n, k, 0.072, 1.5, 0.96));
    const T turbulent = step({"F_{t}", Quantity::number, "factor in turbulent flow"}, factor_of(e, by_n, root_n, k, 0.048, 2.0 / 3.0, 0.285));
    const T share = step({"x_{t}", Quantity::number, "share of turbulence in the loss, from r before it is rounded"}, share_of_turbulence(over_laminar));
    return laminar + (turbulent - laminar) * share;
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, FrictionMethod method) {
    const auto fits = in.pipe_diameter < in.hole_diameter;
    const T gap = step({"h", Quantity::diameter, "gap of the slot"}, only_if(fits, (in.hole_diameter - in.pipe_diameter) / T(2.0)));
    Result<T> r;
    r.velocity = step({"V", Quantity::velocity, "mean velocity"}, in.flow_rate / annulus_area(in.hole_diameter, in.pipe_diameter));
    const Friction<T> f = friction<Duct::slot, T>({in.density, in.yield_stress, in.consistency, in.flow_index}, r.velocity, gap, T(0.0), method);
    r.eccentricity_factor = step({"F_{e}", Quantity::number, "loss of the eccentric over that of the concentric annulus"},
                                 eccentric(in.eccentricity, in.pipe_diameter / in.hole_diameter, in.flow_index, f.over_laminar));
    r.wall_stress = f.wall_stress * r.eccentricity_factor * in.rotation_factor;
    r.pressure_gradient = T(2.0) * r.wall_stress / gap;
    r.pressure_loss = r.pressure_gradient * in.length;
    r.friction_factor = T(2.0) * r.wall_stress / only_if(r.velocity > T(0.0), in.density * square(r.velocity));
    r.reynolds_number = f.reynolds_number;
    r.critical_reynolds_number = f.critical_reynolds_number;
    r.local_flow_index = f.local_flow_index;
    r.starting_gradient = T(2.0) * in.yield_stress / gap;
    return r;
  }
};

inline constexpr AnnulusLoss annulus_loss{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
