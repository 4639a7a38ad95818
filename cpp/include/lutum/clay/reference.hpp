// What calculations with methylene blue share: the dye, and the clay that the bentonite equivalent stands for.
#pragma once

#include "lutum/chemistry/elements.hpp"

namespace lutum::inline LUTUM_ISA_TAG::clay {

// 5 lb/bbl of bentonite for each milliequivalent in 100 mL of mud, converted exactly.
inline constexpr double equivalent_of_capacity = 5 * find_symbol("(lbm/bbl)/(meq/100 mL)")->scale();

// The exchange capacity of the clay for which that holds: 70.1 meq/100 g, not rounded.
inline constexpr double reference_capacity = 1.0 / equivalent_of_capacity;

// Share of it that drilled solids are taken to have where nobody has measured: common practice, no source.
inline constexpr double usual_drilled_solids_share = 1.0 / 9.0;

// Methylene blue chloride without water, C16H18ClN3S, 319.85 g/mol; one charge a molecule.
inline constexpr double dye_molar_mass = 1e-3 * (16 * chemistry::element::carbon + 18 * chemistry::element::hydrogen + chemistry::element::chlorine +
                                                 3 * chemistry::element::nitrogen + chemistry::element::sulfur);

}  // namespace lutum::inline LUTUM_ISA_TAG::clay
