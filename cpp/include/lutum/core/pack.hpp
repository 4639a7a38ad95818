// pack<W>: W doubles that a formula treats as one number. Arithmetic is lane by lane and rounds exactly as on double.
#pragma once

#include <bit>
#include <cstdint>
#include <type_traits>

#include "lutum/core/isa.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

namespace detail {

// GCC 12 rejects a vector width that depends on a template parameter, hence one specialisation a width. None is wider
// than the instruction set: such a pack compiles into slow code without a word.
template <int W>
struct lanes;

template <>
struct lanes<2> {
  using real = double __attribute__((vector_size(16)));
  using bits = std::uint64_t __attribute__((vector_size(16)));
  using flag = std::int64_t __attribute__((vector_size(16)));
  static constexpr real all(double x) { return real{x, x}; }
  static constexpr bits all(std::uint64_t x) { return bits{x, x}; }
};

#if defined(__AVX2__)
template <>
struct lanes<4> {
  using real = double __attribute__((vector_size(32)));
  using bits = std::uint64_t __attribute__((vector_size(32)));
  using flag = std::int64_t __attribute__((vector_size(32)));
  static constexpr real all(double x) { return real{x, x, x, x}; }
  static constexpr bits all(std::uint64_t x) { return bits{x, x, x, x}; }
};
#endif

#if defined(__AVX512F__)
template <>
struct lanes<8> {
  using real = double __attribute__((vector_size(64)));
  using bits = std::uint64_t __attribute__((vector_size(64)));
  using flag = std::int64_t __attribute__((vector_size(64)));
  static constexpr real all(double x) { return real{x, x, x, x, x, x, x, x}; }
  static constexpr bits all(std::uint64_t x) { return bits{x, x, x, x, x, x, x, x}; }
};
#endif

}  // namespace detail

// The truth value of a comparison of packs, lane by lane.
template <int W>
struct mask {
  typename detail::lanes<W>::flag flag;

  friend constexpr mask operator&(mask a, mask b) { return {a.flag & b.flag}; }
  friend constexpr mask operator|(mask a, mask b) { return {a.flag | b.flag}; }
  friend constexpr mask operator!(mask a) { return {~a.flag}; }
};

template <int W>
struct pack {
  using real = typename detail::lanes<W>::real;
  static constexpr int width = W;

  real lane;

  pack() = default;
  constexpr pack(double x) : lane(detail::lanes<W>::all(x)) {}  // NOLINT: a literal in a formula is a number for every lane
  constexpr explicit pack(real x) : lane(x) {}

  friend constexpr pack operator+(pack a, pack b) { return pack(a.lane + b.lane); }
  friend constexpr pack operator-(pack a, pack b) { return pack(a.lane - b.lane); }
  friend constexpr pack operator*(pack a, pack b) { return pack(a.lane * b.lane); }
  friend constexpr pack operator/(pack a, pack b) { return pack(a.lane / b.lane); }
  friend constexpr pack operator-(pack a) { return pack(-a.lane); }

  friend constexpr mask<W> operator<(pack a, pack b) { return {a.lane < b.lane}; }
  friend constexpr mask<W> operator>(pack a, pack b) { return {a.lane > b.lane}; }
  friend constexpr mask<W> operator<=(pack a, pack b) { return {a.lane <= b.lane}; }
  friend constexpr mask<W> operator>=(pack a, pack b) { return {a.lane >= b.lane}; }
  friend constexpr mask<W> operator==(pack a, pack b) { return {a.lane == b.lane}; }
};

template <int W>
constexpr pack<W> select(mask<W> choose, pack<W> yes, pack<W> no) {
  return pack<W>(choose.flag ? yes.lane : no.lane);
}

namespace detail {

// One bit a lane: the processor's own instruction, which GCC does not find in a loop over the lanes.
template <int W>
constexpr int lane_bits(mask<W> m) {
  if (!std::is_constant_evaluated()) {
#if defined(__SSE2__)
    if constexpr (W == 2) return __builtin_ia32_movmskpd(std::bit_cast<typename lanes<2>::real>(m.flag));
#endif
#if defined(__AVX2__)
    if constexpr (W == 4) return __builtin_ia32_movmskpd256(std::bit_cast<typename lanes<4>::real>(m.flag));
#endif
#if defined(__AVX512DQ__)
    using words = long long __attribute__((vector_size(64)));
    if constexpr (W == 8) return __builtin_ia32_cvtq2mask512(std::bit_cast<words>(m.flag));
#endif
  }
  int bits = 0;
  for (int i = 0; i < W; ++i) bits |= (m.flag[i] != 0 ? 1 : 0) << i;
  return bits;
}

}  // namespace detail

template <int W>
constexpr bool any(mask<W> m) {
  return detail::lane_bits(m) != 0;
}

template <int W>
constexpr bool all(mask<W> m) {
  return detail::lane_bits(m) == (1 << W) - 1;
}

// The same words for one number, so that a formula is written once.
constexpr double select(bool choose, double yes, double no) { return choose ? yes : no; }
constexpr bool any(bool m) { return m; }
constexpr bool all(bool m) { return m; }

namespace detail {

// Bit patterns of a number or of every lane, for exp and log.
template <class V>
struct bit_traits;

template <>
struct bit_traits<double> {
  using bits = std::uint64_t;
  using flag = bool;
  static constexpr bits of(double x) { return std::bit_cast<bits>(x); }
  static constexpr double real(bits b) { return std::bit_cast<double>(b); }
  static constexpr bits all(std::uint64_t b) { return b; }
};

template <int W>
struct bit_traits<pack<W>> {
  using bits = typename lanes<W>::bits;
  using flag = mask<W>;
  static constexpr bits of(pack<W> x) { return std::bit_cast<bits>(x.lane); }
  static constexpr pack<W> real(bits b) { return pack<W>(std::bit_cast<typename pack<W>::real>(b)); }
  static constexpr bits all(std::uint64_t b) { return lanes<W>::all(b); }
};

}  // namespace detail

// bool for double, mask<W> for pack<W>.
template <class V>
using flag_of = typename detail::bit_traits<V>::flag;

}  // namespace lutum::inline LUTUM_ISA_TAG
