// The flow curve of a fluid: shear stress against shear rate by one of ten models. One object for hydraulics, cuttings and
// records alike; it knows no limits and no catalogue.
#pragma once

#include "lutum/rheology/flow_rates.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

// What a flow curve is at one rate.
template <class T>
struct FlowState {
  T stress;
  T viscosity;  // stress over rate
  T index;      // d ln stress / d ln rate
};

namespace detail {

// part/whole, and its limit where both are zero (a fluid without yield stress at rest).
template <class T>
T share(const T& part, const T& whole, const T& limit) {
  const auto nothing = whole == T(0.0);
  return select(!nothing, part / whole, limit);
}

// K (rate / 1 s-1)^n.
template <class T>
T power_term(const T& consistency, const T& index, const T& rate) {
  return consistency * power(in_per_second(rate), index);
}

template <class T>
T of_viscosity(const T& viscosity, const T& rate) {
  return step({"\\tau_{v}", Quantity::stress, "viscosity times shear rate"}, viscosity * rate);
}

// Viscosity times rate. At rest the slope of a viscosity may be infinite; that of the stress is the viscosity.
template <class T>
T times_rate(const T& viscosity, const T& rate) {
  return viscosity * rate;
}
template <int N, class V>
dual<N, V> times_rate(const dual<N, V>& viscosity, const dual<N, V>& rate) {
  dual<N, V> r = viscosity * rate;
  const flag_of<V> resting = rate.value == V(0.0);
  for (int i = 0; i < N; ++i) r.slope[i] = select(resting, viscosity.value * rate.slope[i], r.slope[i]);
  return r;
}

// The stress of a fluid with neither yield stress nor flow is that of its straight line: roots have no slope there.
template <class T>
T unless_at_rest(const T& stress, const T& yield, const T& viscosity, const T& rate) {
  const auto free = yield == T(0.0), resting = rate == T(0.0);
  return select(!(free & resting), stress, yield + viscosity * rate);
}

template <class T>
FlowState<T> bingham(const T& yield, const T& viscosity, const T& rate) {
  const T viscous = of_viscosity(viscosity, rate), stress = yield + viscous;
  return {stress, stress / rate, share(viscous, stress, T(1.0))};
}

template <class T>
FlowState<T> yield_power_law(const T& yield, const T& consistency, const T& index, const T& rate) {
  const T above = step({"\\tau_{s}", Quantity::stress, "stress above the yield stress"}, power_term(consistency, index, rate));
  const T stress = yield + above;
  return {stress, stress / rate, share(index * above, stress, index)};
}

template <class T>
FlowState<T> heinz_casson(const T& yield, const T& viscosity, const T& exponent, const T& rate) {
  const T a = in_pascal({"a", Quantity::number, "yield stress in Pa"}, yield);
  const T v = in_pascal({"v", Quantity::number, "high-shear viscosity times shear rate in Pa"}, viscosity * rate);
  const T yielding = step({"y", Quantity::number, "yield stress to the exponent"}, power(a, exponent));
  const T flowing = step({"x", Quantity::number, "high-shear stress to the exponent"}, power(v, exponent));
  const T powers = power(yielding + flowing, T(1.0) / exponent) * constant<T>(one_pascal);
  const T stress = unless_at_rest(powers, yield, viscosity, rate);
  return {stress, stress / rate, share(flowing, yielding + flowing, T(1.0))};
}

template <class T>
FlowState<T> casson(const T& yield, const T& viscosity, const T& rate) {
  const T a = in_pascal({"a", Quantity::number, "yield stress in Pa"}, yield);
  const T v = in_pascal({"v", Quantity::number, "high-shear viscosity times shear rate in Pa"}, viscosity * rate);
  const T flowing = step({"x", Quantity::number, "square root of that"}, sqrt(v));
  const T root = step({"r", Quantity::number, "square root of the stress in Pa"}, sqrt(a) + flowing);
  const T stress = unless_at_rest(square(root) * constant<T>(one_pascal), yield, viscosity, rate);
  return {stress, stress / rate, share(flowing, root, T(1.0))};
}

template <class T>
FlowState<T> robertson_stiff(const T& consistency, const T& shift, const T& index, const T& rate) {
  const T shifted = step({"\\dot\\gamma_{s}", Quantity::shear_rate, "shifted shear rate"}, rate + shift);
  const T stress = power_term(consistency, index, shifted);
  return {stress, stress / rate, share(index * rate, shifted, index)};
}

template <class T>
FlowState<T> sisko(const T& viscosity, const T& consistency, const T& index, const T& rate) {
  const T viscous = of_viscosity(viscosity, rate);
  const T thinning = step({"\\tau_{s}", Quantity::stress, "stress of the power term"}, power_term(consistency, index, rate));
  const T stress = viscous + thinning;
  const auto thins = consistency > T(0.0), alone = viscosity == T(0.0), below_one = index < T(1.0);
  const T at_rest = select(thins & (alone | below_one), index, T(1.0));
  return {stress, stress / rate, share(viscous + index * thinning, stress, at_rest)};
}

// Both parts of the index are positive, so nothing cancels: `slope` is d ln(part times rate) / d ln rate of the thinning part.
template <class T>
FlowState<T> between_two_viscosities(const T& low, const T& high, const T& left, const T& slope, const T& rate) {
  const T thinning = step({"\\mu_{s}", Quantity::viscosity, "what is left of the part that shear takes away"}, (low - high) * left);
  const T viscosity = high + thinning;
  return {times_rate(viscosity, rate), viscosity, (high + thinning * slope) / viscosity};
}

template <class T>
FlowState<T> cross(const T& low, const T& high, const T& time, const T& exponent, const T& rate) {
  const T p = step({"p", Quantity::number, "relaxation time times shear rate, to the exponent"}, power(time * rate, exponent));
  const auto huge = p > T(1e150);
  const T left = step({"s", Quantity::number, "share of the thinning part that is left"},
                      select(!huge, T(1.0) / (T(1.0) + p), power(time * rate, -exponent)));
  return between_two_viscosities(low, high, left, left + (T(1.0) - exponent) * (T(1.0) - left), rate);
}

template <class T>
FlowState<T> carreau(const T& low, const T& high, const T& time, const T& index, const T& rate) {
  const T x = step({"x", Quantity::number, "relaxation time times shear rate"}, time * rate);
  const T b = step({"b", Quantity::number, "root of one plus its square"}, root_of_one_plus_square(x));
  const T left = step({"s", Quantity::number, "share of the thinning part that is left"}, pow(b, index - T(1.0)));
  const T w = step({"w", Quantity::number, "weight of the low-shear end in the slope"}, square(T(1.0) / b));
  return between_two_viscosities(low, high, left, w + index * (T(1.0) - w), rate);
}

// Limit at rest of the viscosity of a power term, and of a fluid that has a yield stress besides.
template <class T>
T power_term_at_rest(const T& consistency, const T& index) {
  const auto thins = index < T(1.0), thickens = index > T(1.0);
  return select(thins, T(infinity), select(thickens, T(0.0), consistency / constant<T>(one_per_second)));
}
template <class T>
T at_rest(const T& yield, const T& viscosity) {
  const auto yields = yield > T(0.0);
  return select(yields, T(infinity), viscosity);
}

}  // namespace detail

template <class T>
struct FlowCurve {
  FlowModel model = FlowModel::newtonian;
  std::array<T, 4> parameter{};  // in the order of parameters_of(model)

  // Stress, viscosity and index together, as a worked solution shows them. At rest the viscosity of a fluid that has none is
  // infinite or missing here; apparent_viscosity() tells its limit.
  constexpr FlowState<T> at(const T& rate) const {
    const auto& [a, b, c, d] = parameter;
    switch (model) {
      case FlowModel::newtonian: return {a * rate, a, T(1.0)};
      case FlowModel::bingham: return detail::bingham(a, b, rate);
      case FlowModel::power_law: {
        const T stress = detail::power_term(a, b, rate);
        return {stress, stress / rate, b};
      }
      case FlowModel::yield_power_law: return detail::yield_power_law(a, b, c, rate);
      case FlowModel::casson: return detail::casson(a, b, rate);
      case FlowModel::robertson_stiff: return detail::robertson_stiff(a, b, c, rate);
      case FlowModel::sisko: return detail::sisko(a, b, c, rate);
      case FlowModel::heinz_casson: return detail::heinz_casson(a, b, c, rate);
      case FlowModel::cross: return detail::cross(a, b, c, d, rate);
      case FlowModel::carreau: return detail::carreau(a, b, c, d, rate);
    }
    return {T(not_a_number), T(not_a_number), T(not_a_number)};
  }

  constexpr T stress(const T& rate) const { return at(rate).stress; }

  // d ln stress / d ln rate.
  constexpr T local_index(const T& rate) const { return at(rate).index; }

  // Stress over rate; at rest its limit, infinite for a fluid with a yield stress.
  constexpr T apparent_viscosity(const T& rate) const {
    const auto at_rest = rate == T(0.0);
    return select(!at_rest, at(rate).viscosity, viscosity_at_rest());
  }

  // The stress below which the fluid does not flow. Of Robertson and Stiff it is what the formula gives at rest, a pseudo
  // yield stress: its slope there is finite, no sign of a solid.
  constexpr T yield_stress() const {
    switch (model) {
      case FlowModel::bingham:
      case FlowModel::yield_power_law:
      case FlowModel::casson:
      case FlowModel::heinz_casson: return parameter[0];
      case FlowModel::robertson_stiff: return detail::power_term(parameter[0], parameter[2], parameter[1]);
      default: return T(0.0);
    }
  }

  // The rate at which the fluid has this stress: nothing at or below the yield stress. Missing where no rate has it.
  constexpr T rate(const T& of_stress) const {
    const auto& [a, b, c, d] = parameter;
    const auto negative = of_stress < T(0.0);
    const T stress_there = select(!negative, of_stress, T(0.0));
    switch (model) {
      case FlowModel::newtonian: return stress_there / a;
      case FlowModel::bingham: return detail::above(stress_there, a) / b;
      case FlowModel::power_law: return detail::power_term_rate(stress_there, a, b);
      case FlowModel::yield_power_law: return detail::power_term_rate(detail::above(stress_there, a), b, c);
      case FlowModel::casson: return detail::casson_rate(stress_there, a, b);
      case FlowModel::robertson_stiff: return detail::shifted_rate(stress_there, a, b, c, yield_stress());
      case FlowModel::sisko: return detail::sisko_rate(stress_there, a, b, c);
      case FlowModel::heinz_casson: return detail::heinz_casson_rate(stress_there, a, b, c);
      case FlowModel::cross: return detail::cross_rate(stress_there, a, b, c, d);
      case FlowModel::carreau: return detail::carreau_rate(stress_there, a, b, c, d);
    }
    return T(not_a_number);
  }

  // Whether stress over rate has a finite limit at rest whatever the parameters are.
  constexpr bool has_viscosity_at_rest() const {
    return model == FlowModel::newtonian || model == FlowModel::cross || model == FlowModel::carreau;
  }

 private:
  constexpr T viscosity_at_rest() const {
    const auto& [a, b, c, d] = parameter;
    const T none(0.0);
    const auto thins = b > none;
    switch (model) {
      case FlowModel::newtonian: return a;
      case FlowModel::bingham:
      case FlowModel::casson:
      case FlowModel::heinz_casson: return detail::at_rest(a, b);
      case FlowModel::power_law: return detail::power_term_at_rest(a, b);
      case FlowModel::yield_power_law: return detail::at_rest(a, detail::power_term_at_rest(b, c));
      case FlowModel::robertson_stiff: return detail::at_rest(b, detail::power_term_at_rest(a, c));
      case FlowModel::sisko: return a + select(thins, detail::power_term_at_rest(b, c), none);
      case FlowModel::cross:
      case FlowModel::carreau: return at(none).viscosity;
    }
    return T(not_a_number);
  }
};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
