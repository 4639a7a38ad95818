// Constants that several areas use.
#pragma once

#include <numbers>

#include "lutum/core/units.hpp"
#include "lutum/core/variable.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

inline constexpr Constant quarter_pi{"\\pi/4", exact::pi / 4.0, Quantity::number, "a quarter of pi"};
inline constexpr Constant log_of_ten{"\\mathrm{ln}(10)", std::numbers::ln10, Quantity::number, "for decimal logarithms"};
inline constexpr Constant gravity{"g", exact::gravity, Quantity::acceleration, "standard gravity"};
inline constexpr Constant one_per_second{"1\\,\\mathrm{s^{-1}}", 1.0, Quantity::shear_rate, "unit of shear rate", true};
inline constexpr Constant one_pascal{"1\\,\\mathrm{Pa}", 1.0, Quantity::stress, "unit of stress", true};

}  // namespace lutum::inline LUTUM_ISA_TAG
