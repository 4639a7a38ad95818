// Flow of a yield-power-law fluid in the gap of a viscometer with a bob at rest: exact, with the ring next to the rotor
// that does not shear where the stress there is below the yield stress.
//
// The stress falls as 1/radius^2, so the speed is w = 1/2 integral of rate(tau)/tau from max(tau_0, s^2 tau_b) to the stress
// tau_b at the bob, s = r/R. With tau = tau_0 + (tau_b - tau_0) t^q and q = 6 n/(n+1) the end point (tau - tau_0)^(1/n)
// becomes t^5, smooth for every n, and what is left for quadrature is
//   J = q integral of t^5/(tau_0/(tau_b - tau_0) + t^q) dt from t_0 to 1,  w = 1/2 ((tau_b - tau_0)/K)^(1/n) J.
// Sixteen Gauss points: 1e-12 for the standard gap, 1e-10 down to s^2 = 0.1, n from 0.05 to 2 (held by tests).
#pragma once

#include "lutum/core/calculation.hpp"
#include "lutum/core/gauss_points.hpp"
#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

// stress = yield_stress + consistency (rate / 1 s-1)^flow_index; the consistency is a stress.
template <class T>
struct GapFluid {
  T yield_stress, consistency, flow_index;
};

// What the bob feels, and the rate of the fluid there.
template <class T>
struct AtBob {
  T stress, rate, excess;  // excess: stress above yield
};

namespace detail {

template <class T>
T gap_integrand(const T& t, const T& ratio, const T& q) {
  const T square_of_t = t * t;
  return square_of_t * square_of_t * t / (ratio + exp(q * log(t)));
}

// J above. `ratio` is tau_0/(tau_b - tau_0).
template <class T>
T gap_integral(const T& ratio, const T& q, const T& radius_ratio) {
  if constexpr (std::is_same_v<T, traced>) {
    // In a worked solution one number, for nobody follows sixteen terms; and whether the whole gap shears.
    const traced number(gap_integral(ratio.value, q.value, radius_ratio.value));
    const traced square_of_ratio = radius_ratio * radius_ratio;
    return select(ratio < square_of_ratio / (traced(1.0) - square_of_ratio), number, number);
  } else {
    // t_0^q is the excess stress at the rotor against that at the bob. Below 1e-9 nothing of the integral lies.
    const T square_of_ratio = radius_ratio * radius_ratio;
    const T at_rotor = square_of_ratio - (T(1.0) - square_of_ratio) * ratio;
    const T first = exp(log(larger(at_rotor, T(1e-9))) / q);
    const T half = T(0.5) * (T(1.0) - first), middle = first + half;
    T sum(0.0);
    for (const lutum::detail::GaussPoint& g : lutum::detail::gauss_points)
      sum = sum + T(g.weight) * (gap_integrand(middle - half * T(g.place), ratio, q) + gap_integrand(middle + half * T(g.place), ratio, q));
    return q * half * sum;
  }
}

template <class T>
T gap_exponent(const T& flow_index) {
  return T(6.0) * flow_index / (flow_index + T(1.0));
}

// ln of the speed that the excess stress K e^y makes, less ln of the speed sought; increasing, almost a line in y.
struct SpeedBalance {
  template <class T>
  T operator()(const T& y, const T& yield_ratio, const T& flow_index, const T& radius_ratio, const T& log_twice_speed) const {
    const T integral = step({"J", Quantity::number, "integral over the sheared gap"},
                            gap_integral(yield_ratio * exp(-y), gap_exponent(flow_index), radius_ratio));
    return y / flow_index + log(integral) - log_twice_speed;
  }
};

}  // namespace detail

inline constexpr Constant reference_rate{"1\\,\\mathrm{s^{-1}}", 1.0, Quantity::shear_rate, "rate that the consistency refers to", true};
inline constexpr Constant one_radian_per_second{"1\\,\\mathrm{rad/s}", 1.0, Quantity::rotational_speed, "unit of the rotor's speed in rad/s", true};

// The rotor speed at which this stress stands at the bob; zero where it does not exceed the yield stress.
template <class T>
T bob_speed(const GapFluid<T>& fluid, const T& stress, const T& radius_ratio) {
  const T excess = stress - fluid.yield_stress;
  const auto moves = excess > T(0.0);
  const T sound = select(moves, excess, fluid.consistency);  // any positive number: the branch not taken stays finite
  const T integral = detail::gap_integral(fluid.yield_stress / sound, detail::gap_exponent(fluid.flow_index), radius_ratio);
  const T speed = T(0.5) * exp(log(sound / fluid.consistency) / fluid.flow_index) * integral * constant<T>(one_radian_per_second);
  const auto still = excess <= T(0.0);
  return only_if(moves | still, select(still, T(0.0) * speed, speed));
}

// Stress and rate at the bob for a rotor speed above zero: one root, with exact slopes for a dual.
template <class T>
AtBob<T> at_bob(const GapFluid<T>& fluid, const T& speed, const T& radius_ratio) {
  const T n = fluid.flow_index;
  const T yield_ratio = step({"b", Quantity::number, "yield stress against consistency"}, fluid.yield_stress / fluid.consistency);
  const T wanted = step({"c", Quantity::number, "logarithm of twice the rotor speed in rad/s"},
                        log(T(2.0) * speed / constant<T>(one_radian_per_second)));
  // Bounds: the rate is nowhere above that at the bob, and nowhere below that of a fluid whose stress starts from zero.
  using V = value_type_of<T>;
  const V index = value_of(n), twice = value_of(wanted), s = value_of(radius_ratio);
  const V slack = log((index + V(1.0)) / index), narrow = log(V(1.0) - s * s);
  const V low = index * (twice - log(V(-2.0) * log(s)));
  const V sheared = index * (twice + slack) - (index + V(1.0)) * narrow;
  const V ring = (index * (twice + slack + V(0.6931471805599453)) + index * log(value_of(yield_ratio))) / (index + V(1.0));
  const V both = index * (twice + slack + V(0.6931471805599453));
  const V high = larger(larger(sheared, both), select(ring > both, ring, both));
  const V start = index * (twice - log(V(1.0) - s * s));
  const T y = solve({"y", Quantity::number,
                     "logarithm of the stress above yield at the bob against the consistency; J is q times the integral of t^5/(b exp(-y) + t^q) "
                     "over the sheared gap up to t = 1, q = 6 n/(n+1), by 16 Gauss points"},
                    detail::SpeedBalance{},
                    Bracket<T>{without_slope<T>(low), without_slope<T>(high), without_slope<T>(start)}, yield_ratio, n,
                    radius_ratio, wanted);
  AtBob<T> r;
  r.excess = step({"\\tau_{e}", Quantity::stress, "stress above yield at the bob"}, fluid.consistency * exp(y));
  r.stress = fluid.yield_stress + r.excess;
  r.rate = exp(y / n) * constant<T>(reference_rate);
  return r;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
