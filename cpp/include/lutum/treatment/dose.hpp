// What every removal of an ion from the water phase shares: the inputs that turn an amount of ion into product, and the
// product, by stoichiometry.
#pragma once

#include "lutum/chemistry/salt_masses.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

// Of the inputs and results of a removal.
namespace shared {

inline constexpr Variable water_fraction{
    .name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
    .meaning = "water by volume of mud, from the retort; where much salt is dissolved take the brine, which is a little more",
    .limits = {0.0, 1.0}, .validated = {0.05, 1.0}};
inline constexpr Variable purity{
    .name = "purity", .symbol = "p", .quantity = Quantity::mass_fraction, .meaning = "pure agent in the product by mass; 100 % if nothing is known",
    .limits = {0.01, 1.0}, .validated = {0.5, 1.0}};
inline constexpr Variable efficiency{
    .name = "efficiency", .symbol = "\\eta", .quantity = Quantity::number,
    .meaning = "part of the pure agent that reacts with this ion, 0 to 1; 1 gives the least that can do it", .limits = {0.01, 1.0},
    .validated = {0.1, 1.0}};
inline constexpr Variable mud_volume{
    .name = "mud_volume", .symbol = "V", .quantity = Quantity::mud_volume, .meaning = "active volume to be treated", .limits = {0.0, 1e5},
    .validated = {1.0, 5000.0}, .optional = true, .if_missing = "totals are then not known."};

inline constexpr Variable treatment_concentration{
    .name = "treatment_concentration", .symbol = "c_{t}", .quantity = Quantity::concentration, .meaning = "product to add per volume of mud"};
inline constexpr Variable product_mass{
    .name = "product_mass", .symbol = "m", .quantity = Quantity::product_mass, .meaning = "product to add to the active volume"};
inline constexpr Variable unreacted_concentration{
    .name = "unreacted_concentration", .symbol = "c_{u}", .quantity = Quantity::concentration,
    .meaning = "pure agent that finds nothing of this ion to react with, per volume of mud"};

// `count` of ion for each unit of `amount`, as mass; a count of one needs no factor in the line.
template <class T>
constexpr T mass_of(double count, const T& amount, const Constant& molar_mass) {
  return count == 1.0 ? amount * constant<T>(molar_mass) : T(count) * amount * constant<T>(molar_mass);
}

}  // namespace shared

template <class T>
struct Dose {
  T treatment_concentration, product_mass, unreacted_concentration;
};

// Product that reacts with `amount` of an ion in each volume of filtrate, `count` of agent for each of ion.
template <class T, class Input>
constexpr Dose<T> dose(const Input& in, const T& amount, double count, const Constant& agent) {
  const T per_filtrate = step({"c_{a}", Quantity::concentration, "pure agent that reacts, per volume of filtrate"},
                              shared::mass_of(count, amount, agent));
  const T per_mud = step({"c_{r}", Quantity::concentration, "pure agent that reacts, per volume of mud"}, in.water_fraction * per_filtrate);
  const T treatment = step({shared::treatment_concentration.symbol, Quantity::concentration, shared::treatment_concentration.meaning},
                           per_mud / (in.purity * in.efficiency));
  return {treatment, treatment * in.mud_volume, treatment * in.purity - per_mud};
}

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
