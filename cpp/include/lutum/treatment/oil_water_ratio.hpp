// Oil or water that brings a non-aqueous mud to another oil-water ratio.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

struct OilWaterRatio : Calculation<OilWaterRatio> {
  template <class T>
  struct Input {
    T oil_fraction = T(not_a_number);
    T water_fraction = T(not_a_number);
    T target_oil_share = T(not_a_number);
    T mud_volume = T(not_a_number);
  };

  template <class T>
  struct Result {
    T oil_share;
    T oil_addition;
    T water_addition;
    T oil_volume;
    T water_volume;
  };

  static constexpr std::array inputs{
      Variable{.name = "oil_fraction", .symbol = "\\varphi_{o}", .quantity = Quantity::volume_fraction,
               .meaning = "oil read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.2, 0.9}},
      Variable{.name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
               .meaning = "water read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.02, 0.5}},
      Variable{.name = "target_oil_share", .symbol = "s_{2}", .quantity = Quantity::volume_fraction,
               .meaning = "oil share wanted, by volume of oil and water: 80 % for a ratio of 80/20", .limits = {1e-3, 0.999},
               .validated = {0.4, 0.98}},
      Variable{.name = "mud_volume", .symbol = "V", .quantity = Quantity::mud_volume, .meaning = "active volume to be treated",
               .limits = {0.0, 1e5}, .validated = {1.0, 5000.0}, .optional = true, .if_missing = "totals are then not known."},
  };

  static constexpr std::array results{
      Variable{.name = "oil_share", .symbol = "s_{1}", .quantity = Quantity::volume_fraction,
               .meaning = "oil share of the mud, by volume of oil and water"},
      Variable{.name = "oil_addition", .symbol = "x_{o}", .quantity = Quantity::volume_ratio,
               .meaning = "oil alone that gives the ratio, per volume of mud; negative where water is wanted"},
      Variable{.name = "water_addition", .symbol = "x_{w}", .quantity = Quantity::volume_ratio,
               .meaning = "water alone that gives the ratio, per volume of mud; negative where oil is wanted"},
      Variable{.name = "oil_volume", .symbol = "V_{o}", .quantity = Quantity::mud_volume,
               .meaning = "oil alone for the active volume, signed as above"},
      Variable{.name = "water_volume", .symbol = "V_{w}", .quantity = Quantity::mud_volume,
               .meaning = "water alone for the active volume, signed as above"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.oil_water_ratio",
      .title = "Changing the oil-water ratio",
      .answers = "How much oil raises, or how much water lowers, the oil-water ratio to the one wanted?",
      .equations = "s_1 = phi_o / (phi_o + phi_w); R = s_2 / (1 - s_2); x_o = phi_w R - phi_o; x_w = phi_o / R - phi_w",
      .source = "Sums of oil and of water (derived); teaching pages and a mirrored manual with the same (seen).",
      .assumptions = "The ratio is of retort volumes, where the water is distilled. The brine ratio, with the salt in, is another number. Only one "
                     "of oil and water is added, the one with the positive amount.",
      .cautions = "Density, salinity of the water phase, emulsifier and lime all change with the addition: work out the salt and the weighting "
                  "material next. Base oil burns and its vapour is harmful: keep off flames, ventilate. Pilot test first; local rules and licensed "
                  "practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"add_oil", "oil is to be added"},
      Verdict{"add_water", "water is to be added"},
      Verdict{"at_target", "the mud has this ratio already"},
      Verdict{"over_full", "oil and water together take more than the whole volume: a reading is wrong", Severity::impossible},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.oil_addition == r.oil_addition)) return 4;
    if (in.oil_fraction + in.water_fraction > 1.0) return 3;
    if (abs(r.oil_addition) < 1e-9) return 2;
    return r.oil_addition > 0.0 ? 0 : 1;
  }

  static constexpr Input<double> example() {
    return {.oil_fraction = 0.56, .water_fraction = 0.14, .target_oil_share = 0.85, .mud_volume = 159.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.oil_share = in.oil_fraction / (in.oil_fraction + in.water_fraction);
    const T ratio = step({"R", Quantity::volume_ratio, "volume of oil for each volume of water, as wanted"},
                         in.target_oil_share / (T(1.0) - in.target_oil_share));
    r.oil_addition = in.water_fraction * ratio - in.oil_fraction;
    r.water_addition = in.oil_fraction / ratio - in.water_fraction;
    r.oil_volume = r.oil_addition * in.mud_volume;
    r.water_volume = r.water_addition * in.mud_volume;
    return r;
  }
};

inline constexpr OilWaterRatio oil_water_ratio{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
