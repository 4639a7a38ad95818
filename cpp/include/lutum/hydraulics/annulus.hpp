// What calculations of an annulus share: its area, and the load of cuttings that stands in it.
#pragma once

#include "lutum/core/calculation.hpp"
#include "lutum/core/usual_constants.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

// Missing where the pipe is not smaller than the hole.
template <class T>
constexpr T annulus_area(const T& hole_diameter, const T& pipe_diameter) {
  return step({"A", Quantity::area, "area of the annulus"},
              only_if(pipe_diameter < hole_diameter, (square(hole_diameter) - square(pipe_diameter)) * constant<T>(quarter_pi)));
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
