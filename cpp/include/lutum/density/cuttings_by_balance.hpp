// Density of drill cuttings with nothing but a mud balance and water.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::density {

struct CuttingsByBalance : Calculation<CuttingsByBalance> {
  template <class T>
  struct Input {
    T topped_up_reading = T(not_a_number);
    T water_density = T(998.2);
  };

  template <class T>
  struct Result {
    T cuttings_density;
    T cuttings_fraction;
  };

  static constexpr std::array inputs{
      Variable{.name = "topped_up_reading", .symbol = "R", .quantity = Quantity::density,
               .meaning = "reading after the cup, filled with cuttings until it balances at the density of water, is topped up with water",
               .limits = {500.0, 2500.0}, .validated = {1300.0, 1800.0}},
      Variable{.name = "water_density", .symbol = "\\rho_{w}", .quantity = Quantity::density,
               .meaning = "density of the water, at which the cup with cuttings alone balances", .limits = {900.0, 1100.0},
               .validated = {980.0, 1005.0}},
  };
  static constexpr std::array results{
      Variable{.name = "cuttings_density", .symbol = "\\rho_{c}", .quantity = Quantity::density, .meaning = "bulk density of the cuttings"},
      Variable{.name = "cuttings_fraction", .symbol = "\\varphi_{c}", .quantity = Quantity::volume_fraction,
               .meaning = "part of the cup that the cuttings take"},
  };
  static constexpr Sheet sheet{
      .id = "density.cuttings_by_balance",
      .title = "Cuttings density by the mud balance",
      .answers = "How dense is the rock that comes over the shaker?",
      .equations = "rho_c = rho_w / (2 - R/rho_w); phi_c = 2 - R/rho_w",
      .source = "Mass balance (derived): cuttings that balance at water weigh as much as a cup of water, the water above them fills what they "
                "leave. In the field 1/(2 - 0.12 R), R in lb/gal (seen on a teaching page); 0.12 is 1/8.33.",
      .assumptions = "The cup balances exactly at the density of water before topping up. Washed cuttings, no air left between them, surface water "
                     "neither added nor lost: wet cuttings read too light.",
      .cautions = "The result is steep in the reading: 0.1 lb/gal is 0.12 g/cm3 at 3.1 g/cm3. Follow the rig's rules at the shaker.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "a density that rock has"},
      Verdict{"impossible_reading", "twice the density of water or more: more than cuttings of any density could give", Severity::impossible},
      Verdict{"not_rock", "outside 1500 to 3500 kg/m3: the cup did not balance at water, air was left in it, or much salt, coal or weighting "
                          "material", Severity::caution},
      Verdict{"missing", "the reading is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.topped_up_reading >= 2.0 * in.water_density) return 1;
    if (!(r.cuttings_density == r.cuttings_density)) return 3;
    return r.cuttings_density < 1500.0 || r.cuttings_density > 3500.0 ? 2 : 0;
  }

  static constexpr Input<double> example() { return {.topped_up_reading = 1600.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.cuttings_fraction = T(2.0) - in.topped_up_reading / in.water_density;
    r.cuttings_density = in.water_density / only_if(r.cuttings_fraction > T(0.0), r.cuttings_fraction);
    return r;
  }
};

inline constexpr CuttingsByBalance cuttings_by_balance{};

}  // namespace lutum::inline LUTUM_ISA_TAG::density
