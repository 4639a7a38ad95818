// Atomic masses, g/mol: IUPAC abridged standard atomic weights.
#pragma once

#include "lutum/core/variable.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry::element {

inline constexpr double hydrogen = 1.008, carbon = 12.011, nitrogen = 14.007, oxygen = 15.999, sodium = 22.990, magnesium = 24.305,
                        sulfur = 32.06, chlorine = 35.45, potassium = 39.098, calcium = 40.078, zinc = 65.38, bromine = 79.904, barium = 137.327;

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry::element
