// exp, log, pow and their companions in plain arithmetic: the same bits for double and for every lane of a pack, on
// every instruction set and compiler. Errors below 1 ulp (exp, log) are held by tests/cpp/math_test.cpp.
#pragma once

#include <cmath>
#include <cstdint>
#include <limits>

#include "lutum/core/pack.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

inline constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
inline constexpr double infinity = std::numeric_limits<double>::infinity();

namespace detail {

// Horner's rule, highest power first.
template <class V, class... C>
constexpr V polynomial(V x, double first, C... rest) {
  V sum(first);
  ((sum = sum * x + V(rest)), ...);
  return sum;
}

template <class V>
constexpr V exp_value(V x) {
  using B = bit_traits<V>;
  constexpr double shift = 0x1.8p52;  // adding it rounds to an integer that then stands in the low bits
  constexpr double log2_e = 0x1.71547652b82fep0;
  constexpr double ln2_high = 0x1.62e42fee00000p-1;
  constexpr double ln2_low = 0x1.a39ef35793c76p-33;
  x = select(x > V(710.0), V(710.0), x);
  x = select(x < V(-746.0), V(-746.0), x);
  const V rounded = x * V(log2_e) + V(shift);
  const V n = rounded - V(shift);
  const V r = (x - n * V(ln2_high)) - n * V(ln2_low);
  // Taylor series; the remainder at |r| = ln(2)/2 is 4e-18.
  const V tail = polynomial(r, 1.0 / 6227020800.0, 1.0 / 479001600.0, 1.0 / 39916800.0, 1.0 / 3628800.0, 1.0 / 362880.0,
                            1.0 / 40320.0, 1.0 / 5040.0, 1.0 / 720.0, 1.0 / 120.0, 1.0 / 24.0, 1.0 / 6.0, 0.5);
  const V mantissa = V(1.0) + (r + r * r * tail);
  // 2^n in two factors, so that results down to the smallest subnormal come out.
  const auto k = B::of(rounded) - B::all(std::bit_cast<std::uint64_t>(shift)) + B::all(2048);  // n + 2048, positive
  const auto half = k >> 1;
  const auto one = (half - B::all(1)) << 52;  // biased exponent of 2^(half - 1024)
  const auto two = (k - half - B::all(1)) << 52;
  return (mantissa * B::real(one)) * B::real(two);
}

template <class V>
constexpr V log_value(V x) {
  using B = bit_traits<V>;
  constexpr double ln2_high = 0x1.62e42fee00000p-1;
  constexpr double ln2_low = 0x1.a39ef35793c76p-33;
  constexpr double smallest = std::numeric_limits<double>::min();
  const flag_of<V> tiny = x < V(smallest);
  const V scaled = select(tiny, x * V(0x1p54), x);
  const auto bits = B::of(scaled);
  const auto exponent = (bits >> 52) & B::all(0x7ff);
  const V biased = B::real(exponent | B::all(0x4330000000000000)) - V(0x1p52);
  V m = B::real((bits & B::all(0x000fffffffffffff)) | B::all(0x3ff0000000000000));
  V e = biased - select(tiny, V(1023.0 + 54.0), V(1023.0));
  const flag_of<V> upper = m > V(1.4142135623730951);
  m = select(upper, m * V(0.5), m);
  e = select(upper, e + V(1.0), e);
  const V f = m - V(1.0);
  const V s = f / (V(2.0) + f);
  const V z = s * s;
  // ln((1+s)/(1-s)) = 2 s (1 + z/3 + z^2/5 + ...); z stays below 0.0295.
  const V series = z * polynomial(z, 2.0 / 23.0, 2.0 / 21.0, 2.0 / 19.0, 2.0 / 17.0, 2.0 / 15.0, 2.0 / 13.0, 2.0 / 11.0,
                                  2.0 / 9.0, 2.0 / 7.0, 2.0 / 5.0, 2.0 / 3.0);
  const V half_square = V(0.5) * f * f;
  V result = e * V(ln2_high) - ((half_square - (s * (half_square + series) + e * V(ln2_low))) - f);
  result = select(x == V(0.0), V(-infinity), result);
  result = select(x < V(0.0), V(not_a_number), result);
  result = select(x == V(infinity), V(infinity), result);
  return select(x == x, result, x);
}

}  // namespace detail

inline double exp(double x) { return detail::exp_value(x); }
inline double log(double x) { return detail::log_value(x); }
inline double sqrt(double x) { return std::sqrt(x); }
inline double abs(double x) { return x < 0.0 ? -x : x; }

template <int W>
pack<W> exp(pack<W> x) {
  return detail::exp_value(x);
}
template <int W>
pack<W> log(pack<W> x) {
  return detail::log_value(x);
}
template <int W>
pack<W> sqrt(pack<W> x) {
  pack<W> root;
  for (int i = 0; i < W; ++i) root.lane[i] = std::sqrt(x.lane[i]);
  return root;
}
template <int W>
pack<W> abs(pack<W> x) {
  return select(x < pack<W>(0.0), -x, x);
}

// x to the power y for positive x: relative error about 1.1e-16 (1 + |y ln x|).
inline double pow(double x, double y) { return exp(y * log(x)); }
template <int W>
pack<W> pow(pack<W> x, pack<W> y) {
  return exp(y * log(x));
}

// The same for x from zero up: a scalar with slopes has the right one at zero.
template <class T>
T power(const T& x, const T& y) {
  return pow(x, y);
}

// The larger and the smaller; missing when either is missing, unlike std::max.
template <class T>
T larger(const T& a, const T& b) {
  return select(b == b, select(a < b, b, a), b);
}
template <class T>
T smaller(const T& a, const T& b) {
  return select(b == b, select(b < a, b, a), b);
}

template <class T>
T square(const T& x) {
  return x * x;
}

}  // namespace lutum::inline LUTUM_ISA_TAG
