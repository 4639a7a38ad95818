// Retort analysis of a water-base mud with any brine: its density and volume ratio come from a calculation of brine.
#pragma once

#include "lutum/solids/gravity_split.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

struct RetortWithBrine : Calculation<RetortWithBrine> {
  template <class T>
  struct Input {
    T mud_density = T(not_a_number);
    T water_fraction = T(not_a_number);
    T oil_fraction = T(not_a_number);
    T brine_density = T(not_a_number);
    T volume_ratio = T(not_a_number);
    T oil_density = T(840.0);
    T low_gravity_density = T(2600.0);
    T high_gravity_density = T(4200.0);
  };

  template <class T>
  struct Result {
    T retort_solids_fraction;
    T brine_fraction;
    T suspended_solids_fraction;
    T average_solids_density;
    T low_gravity_fraction;
    T high_gravity_fraction;
    T low_gravity_concentration;
    T high_gravity_concentration;
  };

  static constexpr std::array inputs{
      usual::mud_density,
      usual::water_fraction,
      usual::oil_fraction,
      usual::brine_density,
      Variable{.name = "volume_ratio", .symbol = "f_{b}", .quantity = Quantity::volume_ratio,
               .meaning = "volume of brine per volume of pure water distilled from it, from any calculation of brine", .limits = {0.9, 4.0},
               .validated = {0.999, 2.0}},
      usual::oil_density,
      usual::low_gravity_density,
      usual::high_gravity_density,
  };

  static constexpr std::array results{
      usual::retort_solids_fraction, usual::brine_fraction, usual::suspended_solids_fraction, usual::average_solids_density,
      usual::low_gravity_fraction, usual::high_gravity_fraction, usual::low_gravity_concentration, usual::high_gravity_concentration,
  };

  static constexpr Sheet sheet{
      .id = "solids.retort_with_brine",
      .title = "Solids of a water-base mud with any brine",
      .answers = "How much drilled solids and clay, and how much weighting solids, does a mud of potassium, calcium, formate or mixed brine carry?",
      .equations = "phi_b = f_b phi_w; phi_ss = 1 - phi_b - phi_o; then as solids.gravity_split",
      .source = "Volume and mass balance (derived). The scheme is that of API RP 13B-1 and ISO 10414-1, retort analysis with salt correction (from "
                "memory, text not seen), freed of its sodium chloride.",
      .assumptions = "Brine density and volume ratio belong to one brine at one temperature: take both from the same calculation. Water and oil are "
                     "read, solids are by difference: a reported solids value is a check, not a third reading. All water distilled was water of the "
                     "brine; formates decompose at the heat of the retort (from memory): do not weigh what is left of them.",
      .cautions = "The retort works near 500 degC under a fume hood: hot surfaces, oil vapour, trapped pressure when the condenser is blocked; let "
                  "it cool before opening. Calcium and zinc brines burn the skin and eyes. Follow local rules. Results are signed: a small negative "
                  "value is usually reading error, see its uncertainty.",
  };

  static constexpr std::array verdicts{usual::consistent, usual::over_full, usual::negative_low_gravity, usual::negative_high_gravity,
                                       usual::impossible_solids, usual::no_contrast, usual::missing};

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const SolidsVerdict found = judge_solids(in.high_gravity_density - in.low_gravity_density, r.suspended_solids_fraction, r.average_solids_density,
                                             r.low_gravity_fraction, r.high_gravity_fraction, in.brine_density);
    const bool judged = found != has_no_contrast && found != is_missing;
    return judged && in.water_fraction + in.oil_fraction > 1.0 ? is_over_full : found;
  }

  static constexpr Input<double> example() {
    return {.mud_density = 1380.0, .water_fraction = 0.78, .oil_fraction = 0.02, .brine_density = 1063.3, .volume_ratio = 1.0431};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.retort_solids_fraction = T(1.0) - in.water_fraction - in.oil_fraction;
    r.brine_fraction = in.volume_ratio * in.water_fraction;
    const auto split = call<GravitySplit, T>({.mud_density = in.mud_density,
                                              .brine_fraction = r.brine_fraction,
                                              .brine_density = in.brine_density,
                                              .oil_fraction = in.oil_fraction,
                                              .oil_density = in.oil_density,
                                              .low_gravity_density = in.low_gravity_density,
                                              .high_gravity_density = in.high_gravity_density});
    r.suspended_solids_fraction = split.suspended_solids_fraction;
    r.average_solids_density = split.average_solids_density;
    r.low_gravity_fraction = split.low_gravity_fraction;
    r.high_gravity_fraction = split.high_gravity_fraction;
    r.low_gravity_concentration = split.low_gravity_concentration;
    r.high_gravity_concentration = split.high_gravity_concentration;
    return r;
  }
};

inline constexpr RetortWithBrine retort_with_brine{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
