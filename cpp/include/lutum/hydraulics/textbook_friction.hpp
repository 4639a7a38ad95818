// What the explicit friction factors of process-engineering textbooks share. They are held against the methods of this library;
// nothing else uses them.
#pragma once

#include "lutum/hydraulics/friction.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

// ln(1 + e^z), of every size and sign of z.
template <class T>
T log_one_and_exp(const T& z) {
  return larger(z, T(0.0)) + log(T(1.0) + exp(-abs(z)));
}

// (a^m + b^m)^(1/m), whatever the sign and size of m.
template <class T>
T power_sum(const T& a, const T& b, const T& m) {
  const T y = step({"y", Quantity::number, "logarithm of the ratio of both factors, times the power of their blend"}, m * log(b / a));
  const T s = step({"s", Quantity::number, "both together: ln(1 + e^y), so written that no power overflows"}, log_one_and_exp(y));
  return a * exp(s / m);
}

namespace describe {

inline constexpr Variable textbook_factor{.name = "friction_factor", .symbol = "f", .quantity = Quantity::number,
                                          .meaning = "friction factor after Fanning, all regimes blended"};
inline constexpr Variable turbulent_factor{.name = "turbulent_factor", .symbol = "f_{t}", .quantity = Quantity::number,
                                           .meaning = "factor after Fanning of the turbulent law at that Reynolds number"};

inline constexpr std::string_view textbook_cautions =
    "Advisory: a yardstick to hold other methods against, in teaching and checking, and no third method of pressure loss; nothing else here uses "
    "it. Pressures are found by hydraulics.pipe_loss, and they are for the well's own programme and licensed practice to decide.";

}  // namespace describe

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
