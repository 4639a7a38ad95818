#pragma once
#include <cmath>
#include <lutum/lutum.hpp>

// 5 mL of dye on 1 mL of mud is a bentonite equivalent of 25 lb/bbl, or 71.325 kg/m3.
inline bool bentonite_equivalent_is_right() {
  const auto result = lutum::clay::methylene_blue({.dye_volume = 5e-6, .sample_volume = 1e-6});
  return std::abs(result.bentonite_equivalent - 71.325) < 1e-3;
}
