// What calculations of an annulus share: its area, the rock drilled, and the load of cuttings that stands in it.
#pragma once

#include "lutum/core/calculation.hpp"
#include "lutum/core/usual_constants.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

// Missing where the pipe is not smaller than the hole.
template <class T>
constexpr T annulus_area(const T& hole_diameter, const T& pipe_diameter, const Step& told = {"A", Quantity::area, "area of the annulus"}) {
  return step(told,
              only_if(pipe_diameter < hole_diameter, (square(hole_diameter) - square(pipe_diameter)) * constant<T>(quarter_pi)));
}

// Drilled by the bit.
template <class T>
constexpr T rock_rate(const T& penetration_rate, const T& bit_diameter) {
  return step({"q_{r}", Quantity::flow_rate, "rock drilled in each unit of time"},
              penetration_rate * square(bit_diameter) * constant<T>(quarter_pi));
}

// Rock by volume of what stands in the annulus: more than is fed to it, since it rises slower. Missing where it would fill it all.
template <class T>
constexpr T standing_fraction(const T& fed, const T& transport_ratio) {
  return only_if(fed < transport_ratio, fed / transport_ratio);
}

template <class T>
constexpr T loaded_density(const T& density, const T& cuttings_density, const T& fraction) {
  return density + fraction * (cuttings_density - density);
}

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
