// What pipe and annulus share: the friction of one section by a named method, laminar, turbulent and between in one smooth and
// monotone curve.
#pragma once

#include "lutum/hydraulics/describe.hpp"
#include "lutum/hydraulics/root_search.hpp"
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

// The explicit turbulent factor of the standard, c / Re^d.
template <class T>
T explicit_turbulent_ratio(const T& index, const T& reynolds) {  // over the laminar factor, 16/Re
  const T decades = step({"l", Quantity::number, "decimal logarithm of the slope"}, log(index) / constant<T>(log_of_ten));
  const T c = step({"c_{t}", Quantity::number, "factor of the turbulent law"}, (decades + T(3.93)) / T(50.0));
  const T d = step({"d_{t}", Quantity::number, "power of the turbulent law"}, (T(1.75) - decades) / T(7.0));
  return c / T(16.0) * pow(reynolds, T(1.0) - d);
}

// Half the logarithm of f by that balance.
template <class T>
T half_log_factor(const T& index, const T& reynolds, const T& relative_roughness) {
  using V = value_type_of<T>;
  const T ln_reynolds = step({"R_{l}", Quantity::number, "logarithm of the Reynolds number"}, log(reynolds));
  const V guess = V(0.5) * log(V(16.0) / value_of(reynolds) * explicit_turbulent_ratio(value_of(index), value_of(reynolds)));
  return solve({"y", Quantity::number, "half the logarithm of the turbulent friction factor"}, ReynoldsBalance{},
               Bracket<T>{T(-20.0), T(20.0), without_slope<T>(guess)}, index, ln_reynolds, relative_roughness);
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

// Loss over laminar loss. Between the two the smaller rules, so that its twelfth power does not overflow.
template <class F, class T>
T blend(const F& needed, const T& reynolds, const T& critical, const T& turbulent) {
  const T delay = step({"r_{d}", Quantity::number, "delayed turbulence over laminar flow"}, square(reynolds / critical));
  const T less = smaller(delay, turbulent), more = larger(delay, turbulent);
  const T quotient = step({"p_{i}", Quantity::number, "smaller over larger of the two"}, less / more);
  const T both = T(1.0) + square(square(square(quotient)));
  const T cube = less * square(less);
  const T mixed = step({"r_{i}^{12}", Quantity::number,
                        "turbulent and transitional loss over laminar loss, to the twelfth: (r_d^-8 + r_t^-8)^(-12/8)"},
                       square(square(cube)) / (both * sqrt(both)));
  return step({"r", Quantity::number, "loss over laminar loss: (1 + r_i^12)^(1/12)"},
              exp(log(T(1.0) + where_needed(needed, mixed, 0.0)) / T(12.0)));
}

// From the loss over the laminar one: 1 - r^-12.
template <class T>
T share_of_turbulence(const T& over_laminar) {
  return T(1.0) - T(1.0) / square(square(square(over_laminar) * over_laminar));
}

template <Duct duct, class T>
T turbulent_over_laminar(const T& a, const T& b, const T& first_factor, const T& relative_roughness, const T& above, const T& laminar_whole,
                         const T& reynolds) {
  using V = value_type_of<T>;
  const V av = value_of(a), bv = value_of(b), first = value_of(first_factor), rv = value_of(relative_roughness);
  const V s = value_of(above), guess = guess_at_ratio<duct>(s, bv, av, value_of(reynolds));
  const V root = any(rv > V(0.0)) ? turbulent_root<duct, true, V>(av, bv, first, rv, s, guess)
                                  : turbulent_root<duct, false, V>(av, bv, first, rv, s, guess);
  const T over = solved<T>({"s_{t}", Quantity::number, "turbulent stress above yield over S_0"}, TurbulentBalance<duct>{}, root, 0.0,
                           infinity, a, b, first_factor, relative_roughness);
  return step({"r_{t}", Quantity::number, "turbulent over laminar loss"}, (over + b) / laminar_whole);
}

// Turbulent loss over laminar loss, the slope taken at the wall stress of the laminar flow.
template <Duct duct, class T>
T turbulent_by_laminar_rate(const T& a, const T& b, const T& above, const T& relative_roughness, const T& reynolds) {
  const T local = step({"n'_{l}", Quantity::number, "slope of the flow curve at the laminar wall stress"},
                       slope_of_curve<duct>(effect_at<duct>(of_laminar, above, b, a), a));
  const T index = step({"n'_{e}", Quantity::number, "that slope, bent to 0.35 below 0.45"}, bent(local));
  const T y = half_log_factor(index, reynolds, relative_roughness);
  return step({"r_{t}", Quantity::number, "turbulent over laminar loss"}, exp(T(2.0) * y) * reynolds / T(16.0));
}

// One section; width: bore of a pipe, gap of a slot.
template <Duct duct, class T>
[[gnu::noinline]] Friction<T> friction(const Fluid<T>& fluid, const T& velocity, const T& width, const T& relative_roughness, FrictionMethod method) {
  const bool standard = method == FrictionMethod::standard;
  const T n = fluid.flow_index, a = step({"a", Quantity::number, "inverse of the flow index"}, T(1.0) / n);
  const T moving = select(velocity == T(0.0), velocity + constant<T>(slowest), velocity);
  const T rate = step({"\\dot\\gamma_{0}", Quantity::shear_rate, "wall shear rate of laminar flow without yield stress"},
                      T(2.0) * (a + T(shape(duct))) * moving / width);
  const T unyielding = step({"S_{0}", Quantity::stress, "wall stress of laminar flow without yield stress"},
                            fluid.consistency * pow(rate / constant<T>(one_per_second), n));
  const T b = step({"b", Quantity::number, "yield stress over S_0"}, fluid.yield_stress / unyielding);

  T above, whole, index = n;  // index: the one of the critical Reynolds number and of the standard's turbulent law
  if (standard) {
    above = T(1.0) + (pow(T(duct == Duct::pipe ? 4.0 / 3.0 : 1.5), n) - T(1.0)) * b;
    whole = step({"w", Quantity::number, "laminar wall stress over S_0, explicit"}, above + b);
    const T viscous = step({"\\tau_{v}", Quantity::stress, "stress above yield at 300 r/min"},
                           fluid.consistency * pow(constant<T>(rheology::rate_at_300), n));
    index = step({"n_{p}", Quantity::number, "slope of the flow curve between 600 and 300 r/min"},
                 log((fluid.yield_stress + viscous * pow(T(2.0), n)) / (fluid.yield_stress + viscous)) / constant<T>(rheology::log_of_two));
  } else {
    above = laminar_above<duct>({"s_{l}", Quantity::number, "laminar stress above yield over S_0"}, a, b);
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
      turbulent = turbulent_over_laminar<duct>(a, b, first_factor, relative_roughness, above, whole, reynolds);
    } else {
      turbulent = turbulent_by_laminar_rate<duct>(a, b, above, relative_roughness, reynolds);
    }
    ratio = blend(needed, r.reynolds_number, r.critical_reynolds_number, turbulent);
  }
  ratio = only_if((r.reynolds_number == r.reynolds_number) & (relative_roughness == relative_roughness), ratio);
  r.over_laminar = ratio;
  r.wall_stress = select(velocity == T(0.0), ratio * laminar * T(0.0), ratio * laminar);
  const T excess = step({"s", Quantity::number, "stress above yield over S_0"}, above + whole * (ratio - T(1.0)));
  r.local_flow_index = slope_of_curve<duct>(effect_at<duct>(of_wall_stress, excess, b, a), a);
  return r;
}

namespace finding {

enum Friction : std::int8_t { laminar, transitional, turbulent, at_rest, outside_law };

inline constexpr Verdict is_laminar{"laminar", "Re is below the critical Reynolds number"};
inline constexpr Verdict is_transitional{"transitional", "Re is less than 800 above the critical Reynolds number: the least certain range",
                                        Severity::caution};
inline constexpr Verdict is_turbulent{"turbulent", "Re is more than 800 above the critical Reynolds number"};
inline constexpr Verdict is_at_rest{"at_rest", "nothing flows and nothing is lost; starting_gradient is what it takes to start"};
inline constexpr Verdict is_outside_law{
    "outside_turbulent_law",
    "not laminar, and the local slope of the flow curve is below 0.45, where the turbulent law bends it towards 0.35 (it was measured from 0.36 up)",
    Severity::caution};
inline constexpr Verdict is_no_gap{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible};
inline constexpr Verdict is_missing{"missing", "an input is missing"};

// Of numbers that are there.
constexpr std::int8_t regime(double flow_rate, double reynolds, double critical, double local_index, bool bends) {
  if (flow_rate == 0.0) return at_rest;
  if (reynolds < critical) return laminar;
  if (bends && local_index < bend_from) return outside_law;
  return reynolds < critical + 800.0 ? transitional : turbulent;
}

}  // namespace finding

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
