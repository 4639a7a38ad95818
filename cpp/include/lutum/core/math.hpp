// exp, log, pow and their companions in plain arithmetic: the same bits for double and for every lane of a pack, on
// every instruction set and compiler. Errors below 1 ulp (exp, log) are held by tests/cpp/math_test.cpp. What counts is the
// longest chain of operations that wait for each other, hence Estrin's order of the sums, and numbers at the ends of the range
// on a path of their own.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>

#include "lutum/core/pack.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

inline constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
inline constexpr double infinity = std::numeric_limits<double>::infinity();

namespace detail {

// Estrin's rule, highest power first: neighbours in pairs, then the same in the square of x.
template <class V, std::size_t N>
constexpr V paired(V x, const std::array<V, N>& c) {
  if constexpr (N == 1) {
    return c[0];
  } else {
    constexpr std::size_t odd = N % 2;
    const auto pairs = [&]<std::size_t... I>(std::index_sequence<I...>) {
      return std::array<V, sizeof...(I)>{(I < odd ? c[0] : c[2 * I - odd] * x + c[2 * I - odd + 1])...};
    }(std::make_index_sequence<N / 2 + odd>{});
    return paired(x * x, pairs);
  }
}

template <class V, class... C>
constexpr V polynomial(V x, C... c) {
  return paired(x, std::array<V, sizeof...(C)>{V(c)...});
}

inline constexpr double ln2_high = 0x1.62e42fee00000p-1, ln2_low = 0x1.a39ef35793c76p-33;

// exp(x) = mantissa 2^n; n stands in the low bits of `rounded`.
template <class V>
struct Scaled {
  V mantissa, rounded;
};

inline constexpr double rounding_shift = 0x1.8p52;  // adding it rounds to an integer

template <class V>
constexpr Scaled<V> exp_scaled(V x) {
  const V rounded = x * V(0x1.71547652b82fep0) + V(rounding_shift);
  const V n = rounded - V(rounding_shift);
  const V r = (x - n * V(ln2_high)) - n * V(ln2_low);
  const V whole = V(1.0) + r, lost = r - (whole - V(1.0)), r2 = r * r, r6 = (r2 * r2) * r2;
  // (exp(r) - 1 - r)/r^2 by its best polynomial of degree 9: 3.7e-18 of exp(r).
  const V low = polynomial(r, 0x1.1111111127be5p-7, 0x1.555555555087cp-5, 0x1.55555555554fap-3, 0x1.000000000000ap-1);
  const V high = polynomial(r, 0x1.ad7f6f0e247fbp-26, 0x1.28ad72cd4aaf0p-22, 0x1.71df255235e0cp-19, 0x1.a0199a0c66196p-16,
                            0x1.a01a012a57b5ep-13, 0x1.6c16c1842a126p-10);
  return {whole + ((lost + r2 * low) + r6 * high), rounded};
}

// In two factors of 2^n, so that results down to the smallest subnormal come out.
template <class V>
[[gnu::noinline]] constexpr V exp_anywhere(V x) {
  using B = bit_traits<V>;
  x = select(x > V(710.0), V(710.0), x);
  x = select(x < V(-746.0), V(-746.0), x);
  const Scaled<V> e = exp_scaled(x);
  const auto k = B::of(e.rounded) - B::all(std::bit_cast<std::uint64_t>(rounding_shift)) + B::all(2048);  // n + 2048, positive
  const auto half = k >> 1;
  const auto one = (half - B::all(1)) << 52;  // biased exponent of 2^(half - 1024)
  const auto two = (k - half - B::all(1)) << 52;
  return (e.mantissa * B::real(one)) * B::real(two);
}

template <class V>
constexpr V exp_value(V x) {
  using B = bit_traits<V>;
  const flag_of<V> above = x > V(-708.0), below = x < V(708.0);
  if (!all(above & below)) [[unlikely]] return exp_anywhere(x);
  const Scaled<V> e = exp_scaled(x);
  return e.mantissa * B::real((B::of(e.rounded) + B::all(1023)) << 52);
}

// Of a positive normal number, less `bias` powers of two.
template <class V>
constexpr V log_of_normal(V x, V bias) {
  using B = bit_traits<V>;
  constexpr std::uint64_t one = 0x3ff0000000000000, least = 0x3fe6a09e667f3bcd;  // 1 and sqrt(1/2)
  const auto bits = B::of(x) + B::all(one - least);
  const V m = B::real((bits & B::all(0x000fffffffffffff)) + B::all(least));  // up to sqrt(2)
  const V e = B::real((bits >> 52) | B::all(0x4330000000000000)) - (V(0x1p52) + bias);
  const V f = m - V(1.0), s = f / (m + V(1.0)), z = s * s, half_square = V(0.5) * f * f;
  // log(1 + f) = f - f^2/2 + s (f^2/2 + z (2/3 + 2 z/5 + ...)), the last by its best polynomial: 1.3e-18 of the logarithm.
  const V series = polynomial(z, 0x1.2f0634b5a71f6p-3, 0x1.39a1a6ef62f17p-3, 0x1.74663fa29acd4p-3, 0x1.c71c520604c53p-3,
                              0x1.24924941f5011p-2, 0x1.999999997fd76p-2, 0x1.5555555555592p-1);
  // What the first two sums lose goes to the small terms.
  const V first = f - half_square, turns = e * V(ln2_high), most = turns + first;
  const V lost = ((f - first) - half_square) + ((turns - most) + first);
  return most + ((lost + (e * V(ln2_low) + s * half_square)) + (s * z) * series);
}

// And of every other number.
template <class V>
[[gnu::noinline]] constexpr V log_anywhere(V x) {
  const flag_of<V> tiny = x < V(std::numeric_limits<double>::min()), zero = x == V(0.0), negative = x < V(0.0), finite = x < V(infinity);
  const V result = log_of_normal(select(tiny, x * V(0x1p54), x), select(tiny, V(1023.0 + 54.0), V(1023.0)));
  return select(zero, V(-infinity), select(negative, V(not_a_number), select(finite, result, x)));
}

template <class V>
constexpr V log_value(V x) {
  const flag_of<V> normal = x >= V(std::numeric_limits<double>::min()), finite = x < V(infinity);
  if (!all(normal & finite)) [[unlikely]] return log_anywhere(x);
  return log_of_normal(x, V(1023.0));
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
