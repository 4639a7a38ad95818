// The quick searches for the two roots of wall_stress.hpp, on plain numbers and packs. All derivatives are in closed form. First steps
// take coarse logarithms, for nothing of them is left in the root; a lane that has arrived is frozen, so that its bits do not depend on
// its neighbours.
#pragma once

#include "lutum/hydraulics/wall_stress.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

// exp and log to about 3e-6, in less time than the exact ones.
template <class V>
V coarse_exp(V x) {
  using B = lutum::detail::bit_traits<V>;
  using lutum::detail::rounding_shift;
  x = select(x > V(700.0), V(700.0), select(x < V(-700.0), V(-700.0), x));
  const V rounded = x * V(1.0 / std::numbers::ln2) + V(rounding_shift), r = x - (rounded - V(rounding_shift)) * V(std::numbers::ln2), r2 = r * r;
  const V mantissa = (V(1.0) + r) + r2 * ((V(0.5) + r * V(1.0 / 6.0)) + r2 * (V(1.0 / 24.0) + r * V(1.0 / 120.0)));
  return mantissa * B::real((B::of(rounded) - B::all(std::bit_cast<std::uint64_t>(rounding_shift)) + B::all(1023)) << 52);
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
  static V logarithm(const V& x) {
    return log(x);
  }
};

struct Coarse {
  template <class V>
  static V logarithm(const V& x) {
    return coarse_log(x);
  }
};

// Newton's step towards the laminar root in the logarithm of s, and what the curvature makes of it.
template <class V>
struct LaminarStep {
  V newton, half_bend;  // half of curvature over slope
};

template <Duct duct, class How, class V>
LaminarStep<V> laminar_step(const V& s, const V& a, const V& b) {
  constexpr double c = shape(duct);
  const V whole = V(1.0) / (s + b), sheared = s * whole, plug = b * whole;
  const V q = yield_effect<duct>(sheared, plug, a), m = (V(c) + a) / q;  // 1/n' + c
  const V f1 = (m - V(c)) * sheared, by_f1 = V(1.0) / f1;
  return {(a * How::logarithm(s) + How::logarithm(q)) * by_f1, V(0.5) * (plug - m * (f1 - a) * (sheared * by_f1))};
}

// s exp(-move), to round-off where the move is small, to 1 % up to 1.
template <class V>
V moved(const V& s, const V& move) {
  const V m2 = move * move;
  return s * ((V(1.0) - move) + m2 * ((V(0.5) - move * V(1.0 / 6.0)) + m2 * (V(1.0 / 24.0) - move * V(1.0 / 120.0))));
}

// The laminar root, from a start within 2 % between the limits of little and much yield: a step of Newton's, then Chebyshev's.
template <Duct duct, class V>
V laminar_root(const V& a, const V& b) {
  constexpr bool pipe = duct == Duct::pipe;
  const V one(1.0), a1 = a + one, a2 = a + V(2.0), a3 = a + V(3.0), by_a1 = one / a1;
  const V little = pipe ? a1 / a2 : one, fall = pipe ? a3 / a2 : a2 * by_a1;  // of the factor of b, from little to much yield
  const V knee = pipe ? larger(V(0.0396) * a - V(0.0265), V(0.0027)) : larger(V(0.052) * a - V(0.0128), V(0.01));
  const V few = smaller(b, V(1e6));  // where the knee has long been passed
  V s = coarse_exp(coarse_log(one + b * little * (one + knee * few) / (one + knee * fall * few)) * by_a1);
  s = moved(s, laminar_step<duct, Coarse>(s, a, b).newton);
  flag_of<V> done = !((b == b) & (s == s));
  s = select(done, V(not_a_number), s);
  for (int i = 0; i < 30 && !all(done); ++i) {
    const LaminarStep<V> at = laminar_step<duct, Exact>(s, a, b);
    const V move = at.newton + square(at.newton) * at.half_bend;
    s = select(done, s, moved(s, move));
    const flag_of<V> lost = !(move == move), little_is_left = abs(move) < V(1e-5);
    done = done | lost | little_is_left;
  }
  return select(done, s, V(not_a_number));
}

// x^(-1/5) for 0.34 < x < 2.05, to round-off: a polynomial, then one step of fifth order.
template <class V>
V inverse_fifth_root(const V& x) {
  const V y = lutum::detail::polynomial(x, 0.0526680536, -0.434388529, 1.47788992, -2.69336975, 2.88002553, -1.9366675, 1.65404677);
  const V y2 = y * y, e = V(1.0) - x * (y2 * y2 * y);
  return y + y * e * lutum::detail::polynomial(e, 0.0704, 0.088, 0.12, 0.2);
}

// The turbulent balance at a stress s (by_first = 1/first_factor), and Halley's step towards its root, in the logarithm of s.
template <class V>
struct TurbulentStep {
  V balance, move;
};

template <Duct duct, bool rough, class How, class V>
TurbulentStep<V> turbulent_step(const V& s, const V& a, const V& b, const V& by_first, const V& relative_roughness) {
  constexpr double c = shape(duct);
  const V one(1.0), whole = one / (s + b), sheared = s * whole, plug = b * whole;
  const V q = yield_effect<duct>(sheared, plug, a), m = (V(c) + a) / q;
  const V index = slope_of_curve<duct>(q, a);
  const V f1 = (m - V(c)) * sheared, bend = f1 - a, both = sheared * plug;
  const V f2 = (m - V(c)) * both - m * bend * sheared;
  const V l = (a - V(0.5)) * How::logarithm(s) + V(0.5) * How::logarithm(square(q) * (sheared * by_first));
  const V l1 = f1 - V(0.5) * sheared, l2 = f2 - V(0.5) * both;
  // The slope that enters the law, n, and its derivatives; few records bend.
  V n = index, weight = one, weight1(0.0);
  const flag_of<V> bends = index < V(bend_from);
  if (any(bends)) {
    const V x = larger(V(0.0), (index - V(bend_from - bend_width)) * V(1.0 / bend_width));
    n = bent(index);
    weight = select(bends, square(x) * (V(3.0) - V(2.0) * x), one);
    weight1 = select(bends, V(6.0 / bend_width) * x * (one - x), V(0.0));
  }
  const V index1 = square(index) * m * bend, index2 = index1 * bend * (V(2.0) * index * m - one) + square(index) * m * f2;
  const V n1 = weight * index1, n2 = weight1 * square(index1) + weight * index2;
  // H by n^(1/4) and 0.4 n^(-6/5), the last to be ready; p1 and p2 are n1/n and n2/n.
  const V by_n = one / n, p1 = n1 * by_n, p2 = n2 * by_n, p11 = square(p1), three = V(4.0 * log10_16) * by_n, k(four_per_decade);
  const V quarter = sqrt(sqrt(n)), six = inverse_fifth_root(n) * (V(0.4) * by_n);
  V h = quarter * (three + k * l) - six;
  V h1 = quarter * (k * (l1 + V(0.25) * p1 * l) - V(0.75) * p1 * three) + six * (V(1.2) * p1);
  V h2 = quarter * (k * ((l2 + V(0.5) * p1 * l1) + (V(0.25) * p2 - V(0.1875) * p11) * l) + (V(1.3125) * p11 - V(0.75) * p2) * three) +
         six * (V(1.2) * p2 - V(2.64) * p11);
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

// A guess at turbulent over laminar stress, from the laminar s: the standard's explicit law at the slope there (not below 0.35).
template <Duct duct, class V>
V guess_at_ratio(const V& s, const V& b, const V& a, const V& reynolds) {
  const V whole = V(1.0) / (s + b), q = yield_effect<duct>(s * whole, b * whole, a), other = V(shape(duct)) * (V(1.0) - q) + a;
  const V t = larger((q - other) / (q + other), V(-0.48)), t2 = t * t;  // q/other is the slope: its logarithm is 2 (t + t^3/3 + ...)
  const V decades = t * (V(0.8686) + t2 * (V(0.2895) + t2 * V(0.2)));
  const V x = decades * coarse_log(reynolds) * V(1.0 / 7.0), root = sqrt(reynolds);
  const V power = V(1.0) + x * (V(1.0) + x * (V(0.5) + x * V(1.0 / 6.0)));  // Re^(decades/7)
  return (decades + V(3.93)) * V(1.0 / 800.0) * (root * sqrt(root)) * power;
}

inline constexpr double most_over_laminar = 1e26;  // of the turbulent s

// The turbulent root in a bracket. `above`: laminar s; `ratio`: a guess at turbulent over laminar stress.
template <Duct duct, bool rough, class V>
V turbulent_root(const V& a, const V& b, const V& first_factor, const V& relative_roughness, const V& above, const V& ratio) {
  const V by_first = V(1.0) / first_factor;
  V low = above * coarse_exp(V(-20.0) / a), high = above * V(most_over_laminar);
  V s = larger((above + b) * ratio - b, V(0.3) * above);
  for (int i = 0; i < 2; ++i) {
    const V move = turbulent_step<duct, rough, Coarse>(s, a, b, by_first, relative_roughness).move;
    s = smaller(larger(moved(s, smaller(larger(move, V(-1.0)), V(1.0))), low), high);
  }
  flag_of<V> done = !((a == a) & (b == b) & (first_factor == first_factor) & (low < high));
  s = select(done, V(not_a_number), select(s == s, s, above));
  for (int i = 0; i < 120 && !all(done); ++i) {
    const TurbulentStep<V> at = turbulent_step<duct, rough, Exact>(s, a, b, by_first, relative_roughness);
    low = select(at.balance < V(0.0), s, low);
    high = select(at.balance < V(0.0), high, s);
    const V there = moved(s, smaller(larger(at.move, V(-1.0)), V(1.0)));
    const flag_of<V> good = (there >= low) & (there <= high) & (V(i) < V(40));
    const V next = select(good, there, sqrt(low) * sqrt(high));
    const flag_of<V> lost = !(at.balance == at.balance), little = abs(at.move) < V(8e-6);
    const flag_of<V> near = good & little, closed = high - low < V(1e-15) * high;
    const flag_of<V> arrived = near | closed;
    s = select(done, s, select(lost, at.balance, next));
    done = done | arrived | lost;
  }
  return select(done, s, V(not_a_number));
}

// The laminar stress above yield over S_0, for every scalar.
template <Duct duct, class T>
T laminar_above(const Step& unknown, const T& a, const T& b) {
  using V = value_type_of<T>;
  return solved<T>(unknown, LaminarBalance<duct>{}, laminar_root<duct>(value_of(a), value_of(b)), 0.0, V(2.0) * (V(1.0) + value_of(b)), a, b);
}

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
