// The quick searches for the two roots of wall_stress.hpp, on plain numbers and packs. All derivatives are in closed form. First steps
// take coarse logarithms, for nothing of them is left in the root; a lane that has arrived is frozen, so that its bits do not depend on
// its neighbours.
#pragma once

#include "lutum/hydraulics/wall_stress.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

// exp and log to about 3e-6, in a third of the time of the exact ones.
template <class V>
V coarse_exp(V x) {
  using B = lutum::detail::bit_traits<V>;
  constexpr double shift = 0x1.8p52;
  x = select(x > V(700.0), V(700.0), select(x < V(-700.0), V(-700.0), x));
  const V rounded = x * V(1.0 / std::numbers::ln2) + V(shift), r = x - (rounded - V(shift)) * V(std::numbers::ln2), r2 = r * r;
  const V mantissa = (V(1.0) + r) + r2 * ((V(0.5) + r * V(1.0 / 6.0)) + r2 * (V(1.0 / 24.0) + r * V(1.0 / 120.0)));
  return mantissa * B::real((B::of(rounded) - B::all(std::bit_cast<std::uint64_t>(shift)) + B::all(1023)) << 52);
}

template <class V>
V coarse_log(V x) {  // of a positive normal number
  using B = lutum::detail::bit_traits<V>;
  const auto bits = B::of(x);
  const V m = B::real((bits & B::all(0x000fffffffffffff)) | B::all(0x3ff0000000000000));
  const V e = B::real((bits >> 52) | B::all(0x4330000000000000)) - V(0x1p52 + 1023.0);
  const auto upper = m > V(1.4142135623730951);
  const V half = select(upper, V(0.5) * m, m), s = (half - V(1.0)) / (half + V(1.0)), z = s * s;
  return (e + select(upper, V(1.0), V(0.0))) * V(std::numbers::ln2) + s * (V(2.0) + z * (V(2.0 / 3.0) + z * V(2.0 / 5.0)));
}

struct Exact {
  template <class V>
  static V exponential(const V& x) {
    return exp(x);
  }
  template <class V>
  static V logarithm(const V& x) {
    return log(x);
  }
};

struct Coarse {
  template <class V>
  static V exponential(const V& x) {
    return coarse_exp(x);
  }
  template <class V>
  static V logarithm(const V& x) {
    return coarse_log(x);
  }
};

// A step of fourth order towards the laminar root.
template <Duct duct, class How, class V>
V laminar_step(const V& z, const V& a, const V& b) {
  constexpr double c = shape(duct);
  const V s = How::exponential(z), whole = V(1.0) / (s + b), sheared = s * whole, plug = b * whole;
  const V q = yield_effect<duct>(sheared, plug, a), m = (V(c) + a) / q;  // 1/n' + c
  const V f = a * z + How::logarithm(q);
  const V f1 = (m - V(c)) * sheared, bend = f1 - a, mixed = f1 * plug;
  const V f2 = mixed - m * bend * sheared;
  const V f3 = m * sheared * (bend * bend - f2 - V(2.0) * plug * bend) + mixed * (plug - sheared);
  const V turn = f * f2, square_of_slope = f1 * f1;
  return f * (square_of_slope - V(0.5) * turn) / (f1 * (square_of_slope - turn) + f * f * f3 * V(1.0 / 6.0));
}

// Laminar z, from a start within 4 % between the limits of little and much yield.
template <Duct duct, class V>
V laminar_root(const V& a, const V& b) {
  constexpr bool pipe = duct == Duct::pipe;
  const V one(1.0), a1 = a + one, a2 = a + V(2.0), a3 = a + V(3.0);
  const V little = pipe ? a1 / a2 : one, fall = pipe ? a3 / a2 : a2 / a1;  // of the factor of b, from little to much yield
  const V knee = pipe ? larger(V(0.0396) * a - V(0.0265), V(0.0027)) : larger(V(0.052) * a - V(0.0128), V(0.01));
  const V few = smaller(b, V(1e6));  // where the knee has long been passed
  V z = coarse_log(one + b * little * (one + knee * few) / (one + knee * fall * few)) / a1;
  z = z - laminar_step<duct, Coarse>(z, a, b);
  flag_of<V> done = !((b == b) & (z == z));
  z = select(done, V(not_a_number), z);
  for (int i = 0; i < 30 && !all(done); ++i) {
    const V move = laminar_step<duct, Exact>(z, a, b), next = z - move;
    z = select(done, z, next);
    done = done | !(next == next) | (abs(move) < V(1e-4));
  }
  return select(done, z, V(not_a_number));
}

// x^(-1/5) for 0.34 < x < 2.05, to round-off: a polynomial, then one step of fifth order.
template <class V>
V inverse_fifth_root(const V& x) {
  const V y = lutum::detail::polynomial(x, 0.0526680536, -0.434388529, 1.47788992, -2.69336975, 2.88002553, -1.9366675, 1.65404677);
  const V y2 = y * y, e = V(1.0) - x * (y2 * y2 * y);
  return y + y * e * lutum::detail::polynomial(e, 0.0704, 0.088, 0.12, 0.2);
}

// The turbulent balance (by_first = 1/first_factor) and Halley's step towards its root.
template <class V>
struct TurbulentStep {
  V balance, move;
};

template <Duct duct, bool rough, class How, class V>
TurbulentStep<V> turbulent_step(const V& z, const V& a, const V& b, const V& by_first, const V& relative_roughness) {
  constexpr double c = shape(duct);
  const V one(1.0), s = How::exponential(z), whole = one / (s + b), sheared = s * whole, plug = b * whole;
  const V q = yield_effect<duct>(sheared, plug, a), m = (V(c) + a) / q;
  const V index = slope_of_curve<duct>(q, a);
  const V f1 = (m - V(c)) * sheared, bend = f1 - a, both = sheared * plug;
  const V f2 = (m - V(c)) * both - m * bend * sheared;
  const V l = (a - V(0.5)) * z + How::logarithm(q * sqrt(sheared * by_first)), l1 = f1 - V(0.5) * sheared, l2 = f2 - V(0.5) * both;
  // The slope that enters the law, n, and its derivatives.
  const V x = larger(V(0.0), (index - V(bend_from - bend_width)) * V(1.0 / bend_width));
  const flag_of<V> bends = index < V(bend_from);
  const V weight = select(bends, square(x) * (V(3.0) - V(2.0) * x), one), weight1 = select(bends, V(6.0 / bend_width) * x * (one - x), V(0.0));
  const V index1 = square(index) * m * bend, index2 = index1 * bend * (V(2.0) * index * m - one) + square(index) * m * f2;
  const V n = bent(index), n1 = weight * index1, n2 = weight1 * square(index1) + weight * index2;
  // H = A(n) + B(n) l.
  const V by_n = one / n, quarter = sqrt(sqrt(n)), three = V(4.0 * log10_16) * quarter * by_n, six = V(0.4) * inverse_fifth_root(n) * by_n;
  const V factor_of_l = V(four_per_decade) * quarter, per_n = by_n * (V(1.2) * six - V(0.75) * three), per_n_of_l = V(0.25) * by_n * factor_of_l;
  const V in_n = per_n + per_n_of_l * l;
  V h = three - six + factor_of_l * l;
  V h1 = in_n * n1 + factor_of_l * l1;
  V h2 = by_n * (by_n * (V(0.75 * 1.75) * three - V(1.2 * 2.2) * six) - V(0.75) * per_n_of_l * l) * square(n1) + in_n * n2 +
         V(2.0) * per_n_of_l * n1 * l1 + factor_of_l * l2;
  if constexpr (rough) {
    const V more = relative_roughness / V(3.7) * exp(V(std::numbers::ln10 / 4.0) * h), kept = one / (one + more);
    h = h - V(four_per_decade) * log(one + more);
    h2 = kept * (h2 - V(std::numbers::ln10 / 4.0) * more * kept * square(h1));
    h1 = kept * h1;
  }
  const V factor = sqrt(whole * by_first);  // 1/sqrt(f)
  const V r = h - factor, r1 = h1 + V(0.5) * sheared * factor, r2 = h2 + V(0.5) * factor * (both - V(0.5) * square(sheared));
  const V most = V(0.5) * square(r1), turn = smaller(larger(V(0.5) * r * r2, -most), most);
  return {r, r * r1 / (square(r1) - turn)};
}

// Turbulent z in a bracket. Laminar z with exp(z) = above; `ratio`: a guess at turbulent over laminar stress.
template <Duct duct, bool rough, class V>
V turbulent_root(const V& a, const V& b, const V& first_factor, const V& relative_roughness, const V& laminar, const V& above, const V& ratio) {
  const V by_first = V(1.0) / first_factor;
  V low = laminar - V(20.0) / a, high = laminar + V(60.0);
  V z = coarse_log(larger((above + b) * ratio - b, V(0.3) * above));
  for (int i = 0; i < 2; ++i) {
    const V move = turbulent_step<duct, rough, Coarse>(z, a, b, by_first, relative_roughness).move;
    z = smaller(larger(z - smaller(larger(move, V(-3.0)), V(3.0)), low), high);
  }
  flag_of<V> done = !((a == a) & (b == b) & (first_factor == first_factor) & (low < high));
  z = select(done, V(not_a_number), select(z == z, z, laminar));
  for (int i = 0; i < 120 && !all(done); ++i) {
    const TurbulentStep<V> at = turbulent_step<duct, rough, Exact>(z, a, b, by_first, relative_roughness);
    low = select(at.balance < V(0.0), z, low);
    high = select(at.balance < V(0.0), high, z);
    const V there = z - at.move;
    const flag_of<V> good = (there >= low) & (there <= high) & (V(i) < V(40));
    const V next = select(good, there, V(0.5) * (low + high));
    const flag_of<V> lost = !(at.balance == at.balance), little = abs(at.move) < V(8e-6);
    const flag_of<V> near = good & little, closed = high - low < V(1e-15) * larger(abs(z), V(1.0));
    const flag_of<V> arrived = near | closed;
    z = select(done, z, select(lost, at.balance, next));
    done = done | arrived | lost;
  }
  return select(done, z, V(not_a_number));
}

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
