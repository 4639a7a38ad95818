// The shear rate at which a flow curve has a given stress, model by model: nothing at or below the yield stress.
#pragma once

#include "lutum/rheology/flow_models.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology::detail {

template <class T>
T above(const T& stress, const T& yield) {
  return step({"\\tau_{e}", Quantity::stress, "stress above the yield stress, if any"}, larger(stress - yield, T(0.0)));
}

// (stress/K)^(1/n) in 1/s.
template <class T>
T power_term_rate(const T& stress, const T& consistency, const T& index) {
  return power(stress / consistency, T(1.0) / index) * constant<T>(one_per_second);
}

// Of Robertson and Stiff; what rounding leaves at the pseudo yield stress is no flow.
template <class T>
T shifted_rate(const T& stress, const T& consistency, const T& shift, const T& index, const T& yield) {
  const T pseudo_yield = step({"\\tau_{y}", Quantity::stress, "pseudo yield stress: what the formula gives at rest"}, yield);
  return select(stress <= pseudo_yield, T(0.0) * shift, larger(power_term_rate(stress, consistency, index) - shift, T(0.0)));
}

template <class T>
T casson_rate(const T& stress, const T& yield, const T& viscosity) {
  const T a = in_pascal({"a_{g}", Quantity::number, "yield stress in Pa"}, yield);
  const T t = in_pascal({"t_{g}", Quantity::number, "stress asked about in Pa"}, stress);
  const T root = step({"x_{g}", Quantity::number, "square root of the high-shear stress in Pa"}, larger(sqrt(t) - sqrt(a), T(0.0)));
  return square(root) * constant<T>(one_pascal) / viscosity;
}

template <class T>
T heinz_casson_rate(const T& stress, const T& yield, const T& viscosity, const T& exponent) {
  const T a = in_pascal({"a_{g}", Quantity::number, "yield stress in Pa"}, yield);
  const T t = in_pascal({"t_{g}", Quantity::number, "stress asked about in Pa"}, stress);
  const T flowing = step({"x_{g}", Quantity::number, "high-shear stress to the exponent"}, larger(power(t, exponent) - power(a, exponent), T(0.0)));
  return power(flowing, T(1.0) / exponent) * constant<T>(one_pascal) / viscosity;
}

// The other models have no closed form: the unknown is z = ln(rate / 1 s-1), and the residual ln(stress there / stress wanted).
inline constexpr Step ln_rate{"z", Quantity::number, "natural logarithm of the shear rate sought in 1/s"};

inline constexpr double ln_2 = 0.6931471805599453;

template <class T>
T from_value(const value_type_of<T>& x) {
  if constexpr (requires { T::constant(x); }) {
    return T::constant(x);
  } else {
    return T(x);
  }
}

// exp(z); at no stress `slow`, the law of very slow flow.
template <class T>
T rate_of(const T& z, const T& stress, const T& slow) {
  const auto nothing = stress == T(0.0);
  return select(!nothing, exp(z) * constant<T>(one_per_second), slow);
}

// A bracket of z; the first guess is its lower end. exp(700) is about the largest number there is.
template <class T, class V = value_type_of<T>>
Bracket<T> from_low_end(const V& low, const V& high) {
  return {from_value<T>(low), from_value<T>(smaller(high, V(700.0))), from_value<T>(low)};
}

// Viscosity and stress in a ratio without unit: that of the stress at 1 1/s.
template <class T>
T at_unit_rate(const Step& name, const T& viscosity, const T& stress) {
  return step(name, viscosity * constant<T>(one_per_second) / stress);
}

struct SiskoBalance {
  template <class T>
  constexpr T operator()(const T& z, const T& viscous, const T& thinning, const T& index) const {
    return log(viscous * exp(z) + thinning * exp(index * z));
  }
};

template <class T>
T sisko_rate(const T& stress, const T& viscosity, const T& consistency, const T& index) {
  const T viscous = at_unit_rate({"v_{g}", Quantity::number, "viscous part at 1 1/s against the stress asked about"}, viscosity, stress);
  const T thinning = step({"k_{g}", Quantity::number, "power term at 1 1/s against the stress asked about"}, consistency / stress);
  // One of the two terms is at least half the stress, and neither is more than all of it.
  using V = value_type_of<T>;
  const V all_viscous = -log(value_of(viscous)), n = value_of(index), all_thinning = -log(value_of(thinning)) / n;
  const auto bracket = from_low_end<T>(smaller(all_viscous - V(ln_2), all_thinning - V(ln_2) / n), smaller(all_viscous, all_thinning));
  return rate_of(solve(ln_rate, SiskoBalance{}, bracket, viscous, thinning, index), stress, T(0.0) * stress);
}

struct CrossBalance {
  template <class T>
  constexpr T operator()(const T& z, const T& least, const T& thinning, const T& ln_time, const T& exponent) const {
    return z + log(least + thinning / (T(1.0) + exp(exponent * (z + ln_time))));
  }
};
// sqrt(1 + x^2), x itself where the square would overflow.
template <class T>
T root_of_one_plus_square(const T& x) {
  const auto huge = x > T(1e100);
  return select(!huge, sqrt(T(1.0) + square(x)), x);
}

struct CarreauBalance {
  template <class T>
  constexpr T operator()(const T& z, const T& least, const T& thinning, const T& ln_time, const T& index) const {
    return z + log(least + thinning * pow(root_of_one_plus_square(exp(z + ln_time)), index - T(1.0)));
  }
};

// What the two have in common, as numbers without unit.
template <class T>
struct TwoViscosities {
  T least, thinning, ln_time;

  TwoViscosities(const T& stress, const T& low, const T& high, const T& time)
      : least(at_unit_rate({"h_{g}", Quantity::number, "high-shear viscosity at 1 1/s against the stress asked about"}, high, stress)),
        thinning(at_unit_rate({"d_{g}", Quantity::number, "the part of the viscosity that shear takes away, likewise"}, low - high, stress)),
        ln_time(step({"l", Quantity::number, "logarithm of the relaxation time in s"}, log(time * constant<T>(one_per_second)))) {}

  // Between the rates of the low-shear viscosity and of the high-shear one; `by_thinning` is another upper bound.
  Bracket<T> bracket(const value_type_of<T>& by_thinning) const {
    using V = value_type_of<T>;
    const V l = value_of(least);
    return from_low_end<T>(-log(l + value_of(thinning)), smaller(-log(l), larger(-value_of(ln_time), by_thinning)));
  }
};

template <class T>
T cross_rate(const T& stress, const T& low, const T& high, const T& time, const T& exponent) {
  using V = value_type_of<T>;
  const TwoViscosities<T> at(stress, low, high, time);
  // With an exponent of 1 and no high-shear viscosity the stress levels off.
  const auto rises = exponent < T(1.0), goes_on = high > T(0.0), reached = stress < low / time;
  // Beyond rate = 1/time: 1 + p <= 2 p.
  const V m = value_of(exponent);
  const auto below_one = m < V(1.0);
  const V beyond = (m * value_of(at.ln_time) + V(ln_2) - log(value_of(at.thinning))) / (V(1.0) - m);
  const V by_thinning = select(below_one, beyond, V(infinity));
  const T z = solve(ln_rate, CrossBalance{}, at.bracket(by_thinning), at.least, at.thinning, at.ln_time, exponent);
  return only_if(rises | goes_on | reached, rate_of(z, stress, stress / low));
}

template <class T>
T carreau_rate(const T& stress, const T& low, const T& high, const T& time, const T& index) {
  using V = value_type_of<T>;
  const TwoViscosities<T> at(stress, low, high, time);
  // Beyond rate = 1/time: 1 + x^2 <= 2 x^2.
  const V n = value_of(index), ln_time = value_of(at.ln_time);
  const V by_thinning = (V(0.5 * ln_2) + ln_time - log(value_of(at.thinning))) / n - ln_time;
  return rate_of(solve(ln_rate, CarreauBalance{}, at.bracket(by_thinning), at.least, at.thinning, at.ln_time, index), stress, stress / low);
}

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology::detail
