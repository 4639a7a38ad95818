// Weighting material that raises the density of a mud, with the volume it takes.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

struct WeightUp : Calculation<WeightUp> {
  template <class T>
  struct Input {
    T mud_density = T(not_a_number);
    T target_density = T(not_a_number);
    T high_gravity_density = T(4200.0);
    T wetting_water = T(0.0);
    T water_density = T(998.2);
    T mud_volume = T(not_a_number);
    T volume_limit = T(not_a_number);
  };

  template <class T>
  struct Result {
    T treatment_concentration;
    T volume_increase;
    T product_mass;
    T water_volume;
    T final_volume;
    T starting_volume;
    T discarded_volume;
    T limited_product_mass;
  };

  static constexpr std::array inputs{
      Variable{.name = "mud_density", .symbol = "\\rho_{m}", .quantity = Quantity::density, .meaning = "density of the mud, free of gas",
               .limits = {700.0, 3000.0}, .validated = {950.0, 2300.0}},
      Variable{.name = "target_density", .symbol = "\\rho_{2}", .quantity = Quantity::density, .meaning = "density wanted",
               .limits = {700.0, 3500.0}, .validated = {950.0, 2300.0}},
      Variable{.name = "high_gravity_density", .symbol = "\\rho_{hg}", .quantity = Quantity::density,
               .meaning = "density of the weighting material (barite)", .limits = {2000.0, 8000.0}, .validated = {2650.0, 5300.0}},
      Variable{.name = "wetting_water", .symbol = "a", .quantity = Quantity::number,
               .meaning = "mass of water added for each mass of weighting material; 1 gal for 100 lb is 0.0833", .limits = {0.0, 1.0},
               .validated = {0.0, 0.2}},
      Variable{.name = "water_density", .symbol = "\\rho_{w}", .quantity = Quantity::density, .meaning = "density of that water",
               .limits = {900.0, 1500.0}, .validated = {990.0, 1200.0}},
      Variable{.name = "mud_volume", .symbol = "V_{1}", .quantity = Quantity::mud_volume, .meaning = "active volume to be weighted up",
               .limits = {0.0, 1e5}, .validated = {1.0, 5000.0}, .optional = true, .if_missing = "totals are then not known."},
      Variable{.name = "volume_limit", .symbol = "V_{max}", .quantity = Quantity::mud_volume,
               .meaning = "volume limit: what the weighted mud may fill when there is room for no more", .limits = {0.0, 1e5}, .validated = {1.0, 5000.0},
               .optional = true, .if_missing = "the volume is then free to grow."},
  };

  static constexpr std::array results{
      Variable{.name = "treatment_concentration", .symbol = "c_{t}", .quantity = Quantity::concentration,
               .meaning = "weighting material to add per volume of the mud as it is, signed"},
      Variable{.name = "volume_increase", .symbol = "x", .quantity = Quantity::volume_ratio,
               .meaning = "growth of the volume per volume of the mud as it is"},
      Variable{.name = "product_mass", .symbol = "m", .quantity = Quantity::product_mass,
               .meaning = "weighting material for the whole active volume"},
      Variable{.name = "water_volume", .symbol = "V_{w}", .quantity = Quantity::mud_volume,
               .meaning = "water to add with it to the whole active volume"},
      Variable{.name = "final_volume", .symbol = "V_{2}", .quantity = Quantity::mud_volume,
               .meaning = "volume that the whole active volume becomes"},
      Variable{.name = "starting_volume", .symbol = "V_{s}", .quantity = Quantity::mud_volume,
               .meaning = "volume of the mud as it is that fills the volume limit when weighted"},
      Variable{.name = "discarded_volume", .symbol = "V_{d}", .quantity = Quantity::mud_volume,
               .meaning = "volume to take out before weighting up to the volume limit, signed; negative: that much more mud is needed"},
      Variable{.name = "limited_product_mass", .symbol = "m_{max}", .quantity = Quantity::product_mass,
               .meaning = "weighting material that fills the volume limit: for the mud left after taking out"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.weight_up",
      .title = "Weighting up",
      .answers = "How much weighting material raises the density, how far does the volume grow, and what has to go when there is no room?",
      .equations = "rho_p = (1 + a) / (1/rho_hg + a/rho_w); x = (rho_2 - rho_1) / (rho_p - rho_2); V_2 = V_1 (1 + x); c_t = x rho_p / (1 + a); "
                   "limited: V_s = V_max / (1 + x)",
      .source = "Sums of volumes and of masses (derived). Formulas and Calculations handbook, chapter 3, where 1470 = 42 x 35 for barite, 945 = 42 "
                "x 22.5 for calcium carbonate (seen). A printed metric table truncates sacks and heads its first column 1000 for 1100 (seen).",
      .assumptions = "Volumes add: no gas, nothing dissolves. The mud wets the material; dry material thickens a mud, the wetting water is for "
                     "that. One density of the material: take its certificate, not the usual 4200.",
      .cautions = "Weigh up in stages over whole circulations, with the density in and out watched; too fast, and losses or a packed hole follow. "
                  "The density wanted is decided by the well's programme and licensed practice; kill densities are rounded up. Dust holds silica: "
                  "mask and ventilation. The water thins and dilutes: pilot test first. Advisory: local rules and licensed practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"heavier", "the density rises"},
      Verdict{"not_heavier", "the density wanted is no higher than it is: amounts are negative or nothing; dilute instead", Severity::caution},
      Verdict{"more_mud_needed", "the volume wanted needs more mud than there is: what is discarded is negative", Severity::caution},
      Verdict{"beyond_material", "the density wanted is no lower than that of the weighting material with its water: no amount gives "
                                 "it", Severity::impossible},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(in.mud_density + in.target_density + in.high_gravity_density + in.wetting_water + in.water_density < infinity)) return 4;
    if (!(r.treatment_concentration == r.treatment_concentration)) return 3;
    if (in.target_density <= in.mud_density) return 1;
    return r.discarded_volume < 0.0 ? 2 : 0;
  }

  static constexpr Input<double> example() {
    return {.mud_density = 1438.0, .target_density = 1678.0, .wetting_water = 0.0833, .mud_volume = 111.3, .volume_limit = 111.3};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T paste = step({"\\rho_{p}", Quantity::density, "density of the weighting material with its water"},
                         (T(1.0) + in.wetting_water) / (T(1.0) / in.high_gravity_density + in.wetting_water / in.water_density));
    const T contrast = only_if(paste > in.target_density, paste - in.target_density);
    Result<T> r;
    r.volume_increase = (in.target_density - in.mud_density) / contrast;
    r.treatment_concentration = r.volume_increase * paste / (T(1.0) + in.wetting_water);
    r.product_mass = r.treatment_concentration * in.mud_volume;
    r.water_volume = in.wetting_water * r.product_mass / in.water_density;
    r.final_volume = in.mud_volume * (T(1.0) + r.volume_increase);
    r.starting_volume = in.volume_limit / (T(1.0) + r.volume_increase);
    r.discarded_volume = in.mud_volume - r.starting_volume;
    r.limited_product_mass = r.treatment_concentration * r.starting_volume;
    return r;
  }
};

inline constexpr WeightUp weight_up{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
