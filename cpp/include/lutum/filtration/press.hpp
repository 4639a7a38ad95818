// What the calculations of filtration tests share: the square root of time, and the vapour pressure of water.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::filtration {

// Volumes against the root of time are volumes: the time is first divided by one minute.
inline constexpr Constant one_minute{"1\\,\\mathrm{min}", 60.0, Quantity::bench_time, "unit of time", true};
inline constexpr Constant root_of_7_5{"x_{7.5}", 2.7386127875258306, Quantity::number, "square root of (7.5 min / 1 min)"};
inline constexpr Constant root_of_30{"x_{30}", 5.4772255750516612, Quantity::number, "square root of (30 min / 1 min)"};

inline constexpr std::string_view area_factor_meaning =
    "area factor: 1 for a press of the standard 7.1 in2 (45.8 cm2), 2 for one of half that area: a convention, the true ratio of 7.1 and 3.5 in2 is "
    "2.029";

inline constexpr Constant critical_temperature{"T_{c}", 647.096, Quantity::temperature, "critical temperature of water"};
inline constexpr Constant critical_pressure{"p_{c}", 22.064e6, Quantity::pressure, "critical pressure of water"};
inline constexpr Constant one_atmosphere{"p_{atm}", 101325.0, Quantity::pressure, "standard atmosphere"};

// Wagner and Pruss (1993), IAPWS supplementary release on saturation properties, from memory: 0.025 % to the critical point.
template <class T>
constexpr T water_vapour_pressure(const T& temperature) {
  const T theta = step({"\\theta", Quantity::number, "temperature over the critical temperature, both absolute"}, temperature / constant<T>(critical_temperature));
  const T tau = step({"x", Quantity::number, "distance below the critical temperature, as a part of it"}, T(1.0) - theta);
  const T root = step({"r", Quantity::number, "square root of that distance"}, sqrt(tau));
  const T squared = square(tau);
  const T cubed = step({"x^{3}", Quantity::number, "third power of that distance"}, squared * tau);
  const T low = step({"S_1", Quantity::number, "lower terms of the vapour pressure series"}, tau * (T(-7.85951783) + T(1.84408259) * root));
  const T high = step({"S_2", Quantity::number, "higher terms of the vapour pressure series"},
                      cubed * (T(-11.7866497) + T(22.6807411) * root - T(15.9618719) * tau + T(1.80122502) * (cubed * tau * root)));
  return exp((low + high) / theta) * constant<T>(critical_pressure);
}

}  // namespace lutum::inline LUTUM_ISA_TAG::filtration
