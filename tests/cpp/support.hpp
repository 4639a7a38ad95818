// What several tests need: bits, errors in units of the last place, random numbers that are the same everywhere.
#pragma once

#include <bit>
#include <cmath>
#include <cstdlib>
#include <cstdint>
#include <limits>
#include <random>

#include "lutum/core/calculation.hpp"

namespace support {

inline constexpr double nan = std::numeric_limits<double>::quiet_NaN();
inline constexpr double inf = std::numeric_limits<double>::infinity();
inline constexpr double eps = std::numeric_limits<double>::epsilon();

// Equal bit for bit. Two NaN count as equal: their sign and payload carry nothing.
inline bool same_bits(double a, double b) {
  return (a != a && b != b) || std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

// The error of `got` in units of the last place that a double near `exact` has, subnormals included.
inline double ulps(double got, long double exact) {
  if (exact != exact) return got != got ? 0.0 : inf;
  const auto nearest = static_cast<double>(exact);
  if (std::isinf(nearest) || std::isinf(got)) return got == nearest ? 0.0 : inf;
  int exponent = 0;
  std::frexp(exact, &exponent);
  const int last_place = exponent - 53 < -1074 ? -1074 : exponent - 53;
  return static_cast<double>(std::fabs(static_cast<long double>(got) - exact) / std::ldexp(1.0L, last_place));
}

// Standard distributions differ between libraries; the engine does not.
class Random {
 public:
  explicit Random(std::uint64_t start) : engine_(start) {}
  std::uint64_t bits() { return engine_(); }
  double unit() { return static_cast<double>(engine_() >> 11) * 0x1p-53; }
  double uniform(double low, double high) { return low + (high - low) * unit(); }
  double log_uniform(double low, double high) { return low * std::exp(unit() * std::log(high / low)); }
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(engine_() % n); }

 private:
  std::mt19937_64 engine_;
};

// How often a random test is repeated: `bash tests/run --long` does fifty times as many.
// Unoptimised and watched, everything takes fifty times as long: what costs most is then asked less often.
#if defined(__SANITIZE_ADDRESS__)
inline constexpr bool sanitized = true;
#else
inline constexpr bool sanitized = false;
#endif

inline int repeats(int usual) { return std::getenv("LUTUM_LONG") != nullptr ? 50 * usual : usual; }

inline bool near(double a, double b, double relative, double absolute = 0.0) {
  return std::fabs(a - b) <= relative * std::fmax(std::fabs(a), std::fabs(b)) + absolute;
}

}  // namespace support
