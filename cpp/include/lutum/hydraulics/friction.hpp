// What pipe and annulus share: the friction of one section by a named method, laminar, turbulent and between in one smooth and
// monotone curve, and the words both are described in.
#pragma once

#include "lutum/hydraulics/root_search.hpp"
#include "lutum/rheology/flow_models.hpp"
#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

enum class FrictionMethod : std::uint8_t { exact, standard, laminar_rate };

inline constexpr std::array friction_method_choices{
    Choice{"exact", "laminar flow solved exactly; turbulent flow by Dodge and Metzner at its own wall stress"},
    Choice{"standard", "API RP 13D, generalised: explicit"},
    Choice{"laminar_rate", "as exact, but the turbulent flow takes its slope at the laminar wall stress: 6 to 15 % low with a yield stress"},
};
inline constexpr OptionInfo friction_method{.name = "method", .meaning = "how the friction is found", .choices = friction_method_choices};

template <class T>
struct Fluid {
  T density, yield_stress, consistency, flow_index;
};

template <class T>
struct Friction {
  T wall_stress, reynolds_number, critical_reynolds_number, local_flow_index;
  T over_laminar;  // the loss, over the laminar one
};

inline constexpr Constant slowest{"10^{-100}\\,\\mathrm{m/s}", 1e-100, Quantity::velocity, "stands for no flow, where only the limit exists", true};

// Below this share of the critical Reynolds number turbulence has no weight left that a double would show (3e-16), and the
// turbulent law no meaning.
inline constexpr double no_turbulence_below = 0.25;

// Friction by Reynolds number and slope: Dodge and Metzner (and Colebrook's sum in a rough pipe), in y = ln(f)/2; increasing.
struct ReynoldsBalance {
  template <class T>
  T operator()(const T& y, const T& index, const T& ln_reynolds, const T& relative_roughness) const {
    return with_roughness(dodge_metzner(index, ln_reynolds + (T(2.0) - index) * y), relative_roughness) - exp(-y);
  }
};

// Half the logarithm of f by that balance.
// The explicit turbulent factor of the standard, c / Re^d.
template <class T>
T explicit_turbulent_ratio(const T& index, const T& reynolds) {  // over the laminar factor, 16/Re
  const T power = log(index) / T(ln_10);
  const T c = step({"c", Quantity::number, "factor of the turbulent law"}, (power + T(3.93)) / T(50.0));
  const T d = step({"d", Quantity::number, "power of the turbulent law"}, (T(1.75) - power) / T(7.0));
  return c / T(16.0) * pow(reynolds, T(1.0) - d);
}

// Half the logarithm of f by that balance.
template <class T>
T half_log_factor(const T& index, const T& reynolds, const T& relative_roughness) {
  using V = value_type_of<T>;
  const T ln_reynolds = step({"R_{l}", Quantity::number, "logarithm of the Reynolds number"}, log(reynolds));
  T start(0.0);
  const V guess = V(0.5) * log(V(16.0) / value_of(reynolds) * explicit_turbulent_ratio(value_of(index), value_of(reynolds)));
  if constexpr (std::is_same_v<T, traced> || std::is_same_v<T, V>) {
    start = T(guess);
  } else {
    start = T::constant(guess);
  }
  return solve({"y", Quantity::number, "half the logarithm of the turbulent friction factor"}, ReynoldsBalance{},
               Bracket<T>{T(-20.0), T(20.0), start}, index, ln_reynolds, relative_roughness);
}

// Numbers for a lane that needs no turbulent flow; a number alone is only asked when it does.
template <class F, class T>
T where_needed(const F& needed, const T& x, double otherwise) {
  if constexpr (std::is_same_v<T, traced>) {
    return x;
  } else {
    return select(needed, x, T(otherwise));
  }
}

// Loss over laminar loss: (1 + i^12)^(1/12), i^-8 = (Re/Re_c)^-16 + (turbulent over laminar loss)^-8, so that nothing overflows.
template <class F, class T>
T blend(const F& needed, const T& reynolds, const T& critical, const T& turbulent) {
  const T delay = step({"r_{d}", Quantity::number, "delayed turbulence over laminar flow"}, square(reynolds / critical));
  const T less = smaller(delay, turbulent), more = larger(delay, turbulent);
  const T mixed = step({"r_{i}", Quantity::number, "turbulent and transitional loss over laminar loss"},
                       less / sqrt(sqrt(sqrt(T(1.0) + square(square(square(less / more)))))));
  const T used = where_needed(needed, mixed, 0.0);
  const T great = larger(used, T(1.0)), small = square(smaller(used, T(1.0)) / great);
  return step({"r", Quantity::number, "loss over laminar loss"},
              great * exp(log(T(1.0) + square(small) * (square(small) * square(small))) / T(12.0)));
}

template <Duct duct, class T>
T turbulent_over_laminar(const T& a, const T& b, const T& first_factor, const T& relative_roughness, const T& laminar, const T& above,
                         const T& laminar_whole, const T& reynolds) {
  using V = value_type_of<T>;
  const V av = value_of(a), bv = value_of(b), first = value_of(first_factor), rv = value_of(relative_roughness);
  const V zv = value_of(laminar), s = value_of(above), whole = V(1.0) / (s + bv);
  const V index = bent(slope_of_curve<duct>(yield_effect<duct>(s * whole, bv * whole, av), av));
  // The standard's explicit law as the guess.
  const V power = coarse_log(index) * V(1.0 / ln_10);
  const V guess = (power + V(3.93)) * V(1.0 / 800.0) * coarse_exp((V(5.25 / 7.0) + power * V(1.0 / 7.0)) * coarse_log(value_of(reynolds)));
  const V root = any(rv > V(0.0)) ? turbulent_root<duct, true, V>(av, bv, first, rv, zv, s, guess)
                                  : turbulent_root<duct, false, V>(av, bv, first, rv, zv, s, guess);
  const T z = root_found<T>({"z_{t}", Quantity::number, "logarithm of the turbulent stress above yield over S_0"}, TurbulentBalance<duct>{}, root,
                            -100.0, 1000.0, a, b, first_factor, relative_roughness);
  return step({"r_{t}", Quantity::number, "turbulent over laminar loss"}, (exp(z) + b) / laminar_whole);
}

// Turbulent loss over laminar loss, the slope taken at the wall stress of the laminar flow.
template <Duct duct, class T>
T turbulent_by_laminar_rate(const T& a, const T& b, const T& above, const T& whole, const T& relative_roughness, const T& reynolds) {
  const T index = step({"n'_{e}", Quantity::number, "slope of the flow curve at the laminar wall stress, bent to 0.35 below 0.45"},
                       bent(slope_of_curve<duct>(yield_effect<duct>(above / whole, b / whole, a), a)));
  const T y = half_log_factor(index, reynolds, relative_roughness);
  return step({"r_{t}", Quantity::number, "turbulent over laminar loss"}, exp(T(2.0) * y) * reynolds / T(16.0));
}

// One section; width: bore of a pipe, gap of a slot.
template <Duct duct, class T>
Friction<T> friction(const Fluid<T>& fluid, const T& velocity, const T& width, const T& relative_roughness, FrictionMethod method) {
  const bool standard = method == FrictionMethod::standard;
  const T n = fluid.flow_index, a = step({"a", Quantity::number, "inverse of the flow index"}, T(1.0) / n);
  const T moving = select(velocity == T(0.0), velocity + constant<T>(slowest), velocity);
  const T rate = step({"\\dot\\gamma_{0}", Quantity::shear_rate, "wall shear rate of laminar flow without yield stress"},
                      T(2.0) * (a + T(shape(duct))) * moving / width);
  const T unyielding = step({"S_{0}", Quantity::stress, "wall stress of laminar flow without yield stress"},
                            fluid.consistency * pow(rate / constant<T>(rheology::one_per_second), n));
  const T b = step({"b", Quantity::number, "yield stress over S_0"}, fluid.yield_stress / unyielding);

  T z = b, above, whole, index = n;  // index: the one of the critical Reynolds number and of the standard's turbulent law
  if (standard) {
    constexpr double log_of_factor = duct == Duct::pipe ? 0.28768207245178093 : 0.40546510810816438;  // ln 4/3, ln 3/2
    above = T(1.0) + (exp(n * T(log_of_factor)) - T(1.0)) * b;
    whole = step({"w", Quantity::number, "laminar wall stress over S_0, explicit"}, above + b);
    const T viscous = step({"\\tau_{v}", Quantity::stress, "stress above yield at 300 r/min"},
                           fluid.consistency * pow(constant<T>(rheology::rate_at_300), n));
    index = step({"n_{p}", Quantity::number, "slope of the flow curve between 600 and 300 r/min"},
                 log((fluid.yield_stress + viscous * exp(n * T(0.6931471805599453))) / (fluid.yield_stress + viscous)) / T(0.6931471805599453));
  } else {
    z = root_found<T>({"z", Quantity::number, "logarithm of the laminar stress above yield over S_0"}, LaminarBalance<duct>{},
                      laminar_root<duct>(value_of(a), value_of(b)), -100.0, 1000.0, a, b);
    above = exp(z);
    whole = step({"w", Quantity::number, "laminar wall stress over S_0"}, above + b);
  }
  Friction<T> r;
  const T laminar = step({"\\tau_{l}", Quantity::stress, "laminar wall stress"}, unyielding * whole);
  r.reynolds_number = step({"Re", Quantity::number, "generalised Reynolds number, 16 over the laminar friction factor"},
                           T(8.0) * fluid.density * square(velocity) / laminar);
  r.critical_reynolds_number = step({"Re_{c}", Quantity::number, "critical Reynolds number"}, T(3470.0) - T(1370.0) * index);

  const auto needed = r.reynolds_number > T(no_turbulence_below) * r.critical_reynolds_number;
  T ratio = T(1.0);
  if (any(needed)) {
    const T reynolds = where_needed(needed, r.reynolds_number, 3000.0);
    T turbulent;
    if (standard) {
      turbulent = step({"r_{t}", Quantity::number, "turbulent over laminar loss"}, explicit_turbulent_ratio(index, reynolds));
    } else if (method == FrictionMethod::exact) {
      const T first_factor = step({"f_{0}", Quantity::number, "friction factor at the stress S_0"},
                                  where_needed(needed, T(2.0) * unyielding / (fluid.density * square(velocity)), 0.005));
      turbulent = turbulent_over_laminar<duct>(a, b, first_factor, relative_roughness, z, above, whole, reynolds);
    } else {
      turbulent = turbulent_by_laminar_rate<duct>(a, b, above, whole, relative_roughness, reynolds);
    }
    ratio = blend(needed, r.reynolds_number, r.critical_reynolds_number, turbulent);
  }
  ratio = only_if((r.reynolds_number == r.reynolds_number) & (relative_roughness == relative_roughness), ratio);
  r.over_laminar = ratio;
  r.wall_stress = select(velocity == T(0.0), ratio * laminar * T(0.0), ratio * laminar);
  const T excess = step({"s", Quantity::number, "stress above yield over S_0"}, above + whole * (ratio - T(1.0)));
  const Shares<T> at = shares(excess, b);
  r.local_flow_index = slope_of_curve<duct>(step({"Q", Quantity::number, "effect of the yield stress on the velocity"},
                                                 yield_effect<duct>(at.sheared, at.plug, a)), a);
  return r;
}

namespace describe {

inline constexpr Variable density{.name = "density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the fluid",
                                  .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}};
inline constexpr Variable yield_stress{.name = "yield_stress", .symbol = "\\tau_0", .quantity = Quantity::stress,
                                       .meaning = "yield stress of the flow curve", .limits = {0.0, 1000.0}, .validated = {0.0, 60.0}};
inline constexpr Variable consistency{.name = "consistency", .symbol = "K", .quantity = Quantity::consistency,
                                      .meaning = "consistency of the flow curve: stress above yield at 1 1/s", .limits = {1e-6, 1000.0},
                                      .validated = {1e-4, 60.0}};
inline constexpr Variable flow_index{.name = "flow_index", .symbol = "n", .quantity = Quantity::number,
                                     .meaning = "power of the shear rate in the flow curve", .limits = {0.05, 2.0}, .validated = {0.2, 1.05}};
inline constexpr Variable flow_rate{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "flow through the section",
                                    .limits = {0.0, 1.0}, .validated = {0.0, 0.2}};
inline constexpr Variable length{.name = "length", .symbol = "L", .quantity = Quantity::length, .meaning = "measured length of the section",
                                 .limits = {0.0, 20000.0}, .validated = {0.0, 15000.0}};

inline constexpr Variable velocity{.name = "velocity", .symbol = "V", .quantity = Quantity::velocity, .meaning = "mean velocity"};
inline constexpr Variable pressure_gradient{.name = "pressure_gradient", .symbol = "\\left(dp/dL\\right)", .quantity = Quantity::pressure_gradient,
                                            .meaning = "friction pressure loss per measured length; zero at rest"};
inline constexpr Variable pressure_loss{.name = "pressure_loss", .symbol = "\\Delta p", .quantity = Quantity::pressure,
                                        .meaning = "friction pressure loss of the section"};
inline constexpr Variable wall_stress{.name = "wall_stress", .symbol = "\\tau_{w}", .quantity = Quantity::stress,
                                      .meaning = "mean stress at the wall"};
inline constexpr Variable friction_factor{.name = "friction_factor", .symbol = "f", .quantity = Quantity::number,
                                          .meaning = "friction factor after Fanning; missing at rest"};
inline constexpr Variable reynolds_number{.name = "reynolds_number", .symbol = "Re", .quantity = Quantity::number,
                                          .meaning = "generalised Reynolds number: 16 over the laminar friction factor"};
inline constexpr Variable critical_reynolds_number{.name = "critical_reynolds_number", .symbol = "Re_{c}", .quantity = Quantity::number,
                                                   .meaning = "the laminar regime ends here"};
inline constexpr Variable local_flow_index{.name = "local_flow_index", .symbol = "n'", .quantity = Quantity::number,
                                           .meaning = "slope of log laminar wall stress against log velocity, at this wall stress"};
inline constexpr Variable starting_gradient{.name = "starting_gradient", .symbol = "\\left(dp/dL\\right)_{0}",
                                            .quantity = Quantity::pressure_gradient,
                                            .meaning = "gradient at which a fluid at rest starts to flow against its yield stress"};

inline constexpr std::string_view friction_cautions =
    "Advisory: pressures are for the well's own programme and licensed practice to decide. A gel is stronger than the yield stress: starting "
    "takes more. Temperature, cuttings, tool joints and wear are not in it; measured losses differ from any friction law by 10 to 20 %.";

}  // namespace describe

namespace finding {

enum Friction : std::int8_t { laminar, transitional, turbulent, at_rest, outside_law, no_gap, missing };

inline constexpr Verdict is_laminar{"laminar", "Re is below the critical Reynolds number"};
inline constexpr Verdict is_transitional{"transitional", "Re is less than 800 above the critical Reynolds number: the least certain range"};
inline constexpr Verdict is_turbulent{"turbulent", "Re is more than 800 above the critical Reynolds number"};
inline constexpr Verdict is_at_rest{"at_rest", "nothing flows and nothing is lost; starting_gradient is what it takes to start"};
inline constexpr Verdict is_outside_law{
    "outside_turbulent_law",
    "not laminar, and the local slope of the flow curve is below 0.45, where the turbulent law bends it towards 0.35 (it was measured from 0.36 up)",
    Severity::caution};
inline constexpr Verdict is_no_gap{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible};
inline constexpr Verdict is_missing{"missing", "an input is missing"};

constexpr std::int8_t regime(double flow_rate, double reynolds, double critical, double local_index, bool bends) {
  if (!(reynolds == reynolds)) return missing;
  if (flow_rate == 0.0) return at_rest;
  if (reynolds < critical) return laminar;
  if (bends && local_index < bend_from) return outside_law;
  return reynolds < critical + 800.0 ? transitional : turbulent;
}

}  // namespace finding

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
