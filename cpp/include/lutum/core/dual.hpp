// dual<N, V>: a value with its derivatives with respect to N chosen inputs, carried forward exactly. Plain value
// semantics: no expression templates, nothing to dangle. The value has the bits that V alone would give.
#pragma once

#include "lutum/core/math.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

template <int N, class V = double>
struct dual {
  V value;
  V slope[N];

  dual() = default;
  constexpr dual(double x) : value(x), slope{} {  // NOLINT: a literal in a formula has no slope
    for (auto& s : slope) s = V(0.0);
  }

  // The number x as the i-th seed: its own derivative is one.
  static constexpr dual seed(V x, int i) {
    dual r = constant(x);
    if (i >= 0 && i < N) r.slope[i] = V(1.0);
    return r;
  }
  static constexpr dual constant(V x) {
    dual r(0.0);
    r.value = x;
    return r;
  }

  friend constexpr dual operator+(const dual& a, const dual& b) {
    dual r;
    r.value = a.value + b.value;
    for (int i = 0; i < N; ++i) r.slope[i] = a.slope[i] + b.slope[i];
    return r;
  }
  friend constexpr dual operator-(const dual& a, const dual& b) {
    dual r;
    r.value = a.value - b.value;
    for (int i = 0; i < N; ++i) r.slope[i] = a.slope[i] - b.slope[i];
    return r;
  }
  friend constexpr dual operator*(const dual& a, const dual& b) {
    dual r;
    r.value = a.value * b.value;
    for (int i = 0; i < N; ++i) r.slope[i] = a.slope[i] * b.value + a.value * b.slope[i];
    return r;
  }
  friend constexpr dual operator/(const dual& a, const dual& b) {
    dual r;
    r.value = a.value / b.value;
    const V inverse = V(1.0) / b.value;
    for (int i = 0; i < N; ++i) r.slope[i] = (a.slope[i] - r.value * b.slope[i]) * inverse;
    return r;
  }
  friend constexpr dual operator-(const dual& a) {
    dual r;
    r.value = -a.value;
    for (int i = 0; i < N; ++i) r.slope[i] = -a.slope[i];
    return r;
  }

  // Comparisons are of values: a branch does not depend on the slopes.
  [[gnu::pure]] friend constexpr flag_of<V> operator<(const dual& a, const dual& b) { return a.value < b.value; }
  [[gnu::pure]] friend constexpr flag_of<V> operator>(const dual& a, const dual& b) { return a.value > b.value; }
  [[gnu::pure]] friend constexpr flag_of<V> operator<=(const dual& a, const dual& b) { return a.value <= b.value; }
  [[gnu::pure]] friend constexpr flag_of<V> operator>=(const dual& a, const dual& b) { return a.value >= b.value; }
  [[gnu::pure]] friend constexpr flag_of<V> operator==(const dual& a, const dual& b) { return a.value == b.value; }
};

template <int N, class V>
constexpr dual<N, V> select(flag_of<V> choose, const dual<N, V>& yes, const dual<N, V>& no) {
  dual<N, V> r;
  r.value = select(choose, yes.value, no.value);
  for (int i = 0; i < N; ++i) r.slope[i] = select(choose, yes.slope[i], no.slope[i]);
  return r;
}

namespace detail {

// f(x) and f'(x) known: the chain rule.
template <int N, class V>
constexpr dual<N, V> chain(const dual<N, V>& x, V value, V derivative) {
  dual<N, V> r;
  r.value = value;
  for (int i = 0; i < N; ++i) r.slope[i] = derivative * x.slope[i];
  return r;
}

}  // namespace detail

template <int N, class V>
dual<N, V> exp(const dual<N, V>& x) {
  const V e = exp(x.value);
  return detail::chain(x, e, e);
}
template <int N, class V>
dual<N, V> log(const dual<N, V>& x) {
  return detail::chain(x, log(x.value), V(1.0) / x.value);
}
// At zero the derivative is infinite: an input that x does not depend on keeps its zero slope, not infinity times zero.
template <int N, class V>
dual<N, V> sqrt(const dual<N, V>& x) {
  const V root = sqrt(x.value);
  dual<N, V> r = detail::chain(x, root, V(0.5) / root);
  for (int i = 0; i < N; ++i) r.slope[i] = select(x.slope[i] == V(0.0), V(0.0), r.slope[i]);
  return r;
}
template <int N, class V>
dual<N, V> abs(const dual<N, V>& x) {
  return select(x.value < V(0.0), -x, x);
}
template <int N, class V>
dual<N, V> pow(const dual<N, V>& x, const dual<N, V>& y) {
  dual<N, V> r;
  const V logarithm = log(x.value);
  r.value = exp(y.value * logarithm);
  const V in_base = r.value * y.value / x.value;
  const V in_exponent = r.value * logarithm;
  for (int i = 0; i < N; ++i) r.slope[i] = in_base * x.slope[i] + in_exponent * y.slope[i];
  return r;
}

// x^y for x from zero up: at zero the slope is the one to the right of it, and what x and y do not depend on keeps none.
template <int N, class V>
dual<N, V> power(const dual<N, V>& x, const dual<N, V>& y) {
  dual<N, V> r = pow(x, y);
  const flag_of<V> zero = x.value == V(0.0);
  const V right = select(y.value < V(1.0), V(infinity), select(y.value == V(1.0), V(1.0), V(0.0)));
  for (int i = 0; i < N; ++i) r.slope[i] = select(zero, select(x.slope[i] == V(0.0), V(0.0), right * x.slope[i]), r.slope[i]);
  return r;
}

// The plain number inside any scalar: double, pack, dual or traced.
template <class T>
struct scalar_traits {
  using value_type = T;
};
template <int N, class V>
struct scalar_traits<dual<N, V>> {
  using value_type = V;
};

template <class T>
using value_type_of = typename scalar_traits<T>::value_type;

constexpr double value_of(double x) { return x; }
template <int W>
constexpr pack<W> value_of(pack<W> x) {
  return x;
}
template <int N, class V>
constexpr V value_of(const dual<N, V>& x) {
  return x.value;
}

}  // namespace lutum::inline LUTUM_ISA_TAG
