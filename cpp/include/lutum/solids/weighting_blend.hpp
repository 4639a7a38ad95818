// Density of two weighting materials used together, for high_gravity_density of any split.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

struct WeightingBlend : Calculation<WeightingBlend> {
  template <class T>
  struct Input {
    T second_mass_fraction = T(not_a_number);
    T first_density = T(4200.0);
    T second_density = T(5050.0);
  };

  template <class T>
  struct Result {
    T high_gravity_density;
    T second_volume_fraction;
  };

  static constexpr std::array inputs{
      Variable{.name = "second_mass_fraction", .symbol = "w_{2}", .quantity = Quantity::mass_fraction,
               .meaning = "second weighting material by mass of both together", .limits = {0.0, 1.0}, .validated = {0.0, 1.0}},
      Variable{.name = "first_density", .symbol = "\\rho_{1}", .quantity = Quantity::density,
               .meaning = "density of the first weighting material (barite)",
               .limits = {2500.0, 8000.0}, .validated = {2600.0, 5300.0}},
      Variable{.name = "second_density", .symbol = "\\rho_{2}", .quantity = Quantity::density,
               .meaning = "density of the second weighting material (hematite, ilmenite, calcium carbonate)", .limits = {2500.0, 8000.0},
               .validated = {2600.0, 5300.0}},
  };

  static constexpr std::array results{
      Variable{.name = "high_gravity_density", .symbol = "\\rho_{hg}", .quantity = Quantity::density, .meaning = "density of both together"},
      Variable{.name = "second_volume_fraction", .symbol = "\\varphi_{2}", .quantity = Quantity::volume_fraction,
               .meaning = "second weighting material by volume of both together"},
  };

  static constexpr Sheet sheet{
      .id = "solids.weighting_blend",
      .title = "Density of two weighting materials together",
      .answers = "Two weighting materials are in the mud: which density do I declare for the high-gravity solids?",
      .equations = "1/rho_hg = (1 - w_2)/rho_1 + w_2/rho_2; phi_2 = w_2 rho_hg / rho_2",
      .source = "Volumes add (derived). Defaults: barite 4.2 and hematite 5.05 g/cm3 are the least that product specifications ask for (from "
                "memory).",
      .assumptions = "The blend in the mud is the blend put in: nothing has settled or been removed by the centrifuge more than the other. Where "
                     "that is not sure, take a third reading (solids.split_with_third_reading).",
      .cautions = "Take the densities measured on the products used; barite of 4.1 for 4.2 moves the low-gravity solids of a heavy mud by 2 % by "
                  "volume.",
  };

  static constexpr Input<double> example() { return {.second_mass_fraction = 0.4}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.high_gravity_density = T(1.0) / ((T(1.0) - in.second_mass_fraction) / in.first_density + in.second_mass_fraction / in.second_density);
    r.second_volume_fraction = in.second_mass_fraction * r.high_gravity_density / in.second_density;
    return r;
  }
};

inline constexpr WeightingBlend weighting_blend{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
