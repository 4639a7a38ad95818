// Molar masses of the ions of a filtrate and of what titrations are expressed as; the usual acid of alkalinity titrations.
#pragma once

#include "lutum/chemistry/elements.hpp"
#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

namespace detail {

// The sum of atomic masses is in g/mol.
constexpr Constant molar_mass(std::string_view symbol, double sum, std::string_view meaning) {
  return {symbol, 1e-3 * sum, Quantity::molar_mass, meaning};
}

}  // namespace detail

inline constexpr Constant hydroxide_mass = detail::molar_mass("M_{OH}", element::oxygen + element::hydrogen, "molar mass of hydroxide");
inline constexpr Constant carbonate_mass = detail::molar_mass("M_{CO3}", element::carbon + 3 * element::oxygen, "molar mass of carbonate");
inline constexpr Constant bicarbonate_mass =
    detail::molar_mass("M_{HCO3}", element::hydrogen + element::carbon + 3 * element::oxygen, "molar mass of bicarbonate");
inline constexpr Constant sulfate_mass = detail::molar_mass("M_{SO4}", element::sulfur + 4 * element::oxygen, "molar mass of sulfate");
inline constexpr Constant formate_mass =
    detail::molar_mass("M_{HCOO}", element::hydrogen + element::carbon + 2 * element::oxygen, "molar mass of formate");
inline constexpr Constant chloride_mass = detail::molar_mass("M_{Cl}", element::chlorine, "molar mass of chloride");
inline constexpr Constant bromide_mass = detail::molar_mass("M_{Br}", element::bromine, "molar mass of bromide");
inline constexpr Constant sodium_mass = detail::molar_mass("M_{Na}", element::sodium, "molar mass of sodium");
inline constexpr Constant potassium_mass = detail::molar_mass("M_{K}", element::potassium, "molar mass of potassium");
inline constexpr Constant calcium_mass = detail::molar_mass("M_{Ca}", element::calcium, "molar mass of calcium");
inline constexpr Constant magnesium_mass = detail::molar_mass("M_{Mg}", element::magnesium, "molar mass of magnesium");

inline constexpr Constant sodium_chloride_mass =
    detail::molar_mass("M_{NaCl}", element::sodium + element::chlorine, "molar mass of sodium chloride");
inline constexpr Constant lime_mass =
    detail::molar_mass("M_{lime}", element::calcium + 2 * (element::oxygen + element::hydrogen), "molar mass of lime, Ca(OH)2");
inline constexpr Constant calcium_carbonate_mass =
    detail::molar_mass("M_{CaCO3}", element::calcium + element::carbon + 3 * element::oxygen, "molar mass of calcium carbonate");

inline constexpr double alkalinity_acid = 20.0;  // mol/m3: 0.02 N (N/50) sulfuric acid

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
