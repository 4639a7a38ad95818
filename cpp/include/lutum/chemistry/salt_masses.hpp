// Molar masses of the salts and treating agents that are weighed, beside those of the ions.
#pragma once

#include "lutum/chemistry/filtrate_ions.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

namespace detail {

// g/mol
inline constexpr double hydroxide_sum = element::oxygen + element::hydrogen, carbonate_sum = element::carbon + 3 * element::oxygen,
                        sulfate_sum = element::sulfur + 4 * element::oxygen, water_sum = 2 * element::hydrogen + element::oxygen;

}  // namespace detail

inline constexpr Constant sulfide_mass = detail::molar_mass("M_{S}", element::sulfur, "molar mass of sulfide");
inline constexpr Constant potassium_chloride_mass =
    detail::molar_mass("M_{KCl}", element::potassium + element::chlorine, "molar mass of potassium chloride");
inline constexpr Constant calcium_chloride_mass =
    detail::molar_mass("M_{CaCl2}", element::calcium + 2 * element::chlorine, "molar mass of calcium chloride");
inline constexpr Constant calcium_sulfate_mass =
    detail::molar_mass("M_{CaSO4}", element::calcium + detail::sulfate_sum, "molar mass of calcium sulfate, anhydrous");

inline constexpr Constant soda_ash_mass =
    detail::molar_mass("M_{Na2CO3}", 2 * element::sodium + detail::carbonate_sum, "molar mass of soda ash, sodium carbonate");
inline constexpr Constant sodium_bicarbonate_mass =
    detail::molar_mass("M_{NaHCO3}", element::sodium + element::hydrogen + detail::carbonate_sum, "molar mass of sodium bicarbonate");
inline constexpr Constant caustic_soda_mass =
    detail::molar_mass("M_{NaOH}", element::sodium + detail::hydroxide_sum, "molar mass of caustic soda, sodium hydroxide");
inline constexpr Constant gypsum_mass =
    detail::molar_mass("M_{gyp}", element::calcium + detail::sulfate_sum + 2 * detail::water_sum, "molar mass of gypsum, CaSO4.2H2O");
inline constexpr Constant barium_carbonate_mass =
    detail::molar_mass("M_{BaCO3}", element::barium + detail::carbonate_sum, "molar mass of barium carbonate");
inline constexpr Constant zinc_oxide_mass = detail::molar_mass("M_{ZnO}", element::zinc + element::oxygen, "molar mass of zinc oxide");
inline constexpr Constant basic_zinc_carbonate_mass =
    detail::molar_mass("M_{bzc}", 5 * element::zinc + 2 * detail::carbonate_sum + 6 * detail::hydroxide_sum,
                       "molar mass of basic zinc carbonate, 2ZnCO3.3Zn(OH)2");

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
