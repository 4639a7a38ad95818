// Retort analysis of a water-base mud whose filtrate was titrated for chloride, calcium, magnesium and potassium.
#pragma once

#include "lutum/brine/filtrate_salts.hpp"
#include "lutum/solids/gravity_split.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

struct RetortWithFiltrate : Calculation<RetortWithFiltrate> {
  template <class T>
  struct Input {
    T mud_density = T(not_a_number);
    T water_fraction = T(not_a_number);
    T oil_fraction = T(not_a_number);
    T chloride = T(not_a_number);
    T calcium = T(0.0);
    T magnesium = T(0.0);
    T potassium = T(0.0);
    T oil_density = T(840.0);
    T low_gravity_density = T(2600.0);
    T high_gravity_density = T(4200.0);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T retort_solids_fraction;
    T brine_density;
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
      Variable{.name = "chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride in the filtrate, mass per volume (not ppm)", .limits = {0.0, 400.0}, .validated = {0.0, 300.0}},
      Variable{.name = "calcium", .symbol = "c_{Ca}", .quantity = Quantity::ion_concentration,
               .meaning = "calcium in the filtrate; zero where none was titrated", .limits = {0.0, 220.0}, .validated = {0.0, 120.0}},
      Variable{.name = "magnesium", .symbol = "c_{Mg}", .quantity = Quantity::ion_concentration,
               .meaning = "magnesium in the filtrate; zero where none was titrated", .limits = {0.0, 120.0}, .validated = {0.0, 40.0}},
      Variable{.name = "potassium", .symbol = "c_{K}", .quantity = Quantity::ion_concentration,
               .meaning = "potassium in the filtrate; zero where none was titrated", .limits = {0.0, 180.0}, .validated = {0.0, 100.0}},
      usual::oil_density,
      usual::low_gravity_density,
      usual::high_gravity_density,
      usual::temperature,
  };

  static constexpr std::array results{
      usual::retort_solids_fraction,
      Variable{.name = "brine_density", .symbol = "\\rho_{b}", .quantity = Quantity::density, .meaning = "density of the brine in the mud"},
      usual::brine_fraction, usual::suspended_solids_fraction, usual::average_solids_density,
      usual::low_gravity_fraction, usual::high_gravity_fraction, usual::low_gravity_concentration, usual::high_gravity_concentration,
  };

  static constexpr Sheet sheet{
      .id = "solids.retort_with_filtrate",
      .title = "Solids of a water-base mud from density, retort and the filtrate's ions",
      .answers = "How much drilled solids and clay, and how much weighting solids, does a mud of seawater, potassium, calcium or mixed chloride "
                 "carry?",
      .equations = "brine density and f_b from the ions by brine.filtrate_salts; phi_b = f_b phi_w; then as solids.gravity_split",
      .source = "Volume and mass balance (derived). The scheme is that of API RP 13B-1 and ISO 10414-1, retort analysis with salt correction (from "
                "memory, text not seen); brine by brine.filtrate_salts. With chloride alone it is solids.water_base_retort.",
      .assumptions = "The salts are chlorides of sodium, potassium, calcium and magnesium; the sulfate of seawater, left out, leaves its brine 4 "
                     "kg/m3 too light and the low-gravity solids 0.2 % by volume too low. Water and oil are read, solids are by difference: a "
                     "reported solids value is a check, not a third reading. Only two kinds of suspended solids, of the densities given.",
      .cautions = "The retort works near 500 degC under a fume hood: hot surfaces, oil vapour, trapped pressure when the condenser is blocked; let "
                  "it cool before opening. Calcium and zinc brines burn the skin and eyes. Follow local rules. Results are signed: a small negative "
                  "value is usually reading error, see its uncertainty.",
  };

  static constexpr std::array verdicts{usual::consistent, usual::over_full, usual::negative_low_gravity, usual::negative_high_gravity,
                                       usual::impossible_solids, usual::no_contrast, usual::missing,
                                       Verdict{"chloride_short",
                                               "calcium, magnesium and potassium want more chloride than there is: another anion is in the "
                                               "filtrate, or a reading is wrong", Severity::caution}};

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const SolidsVerdict found = judge_solids(in.high_gravity_density - in.low_gravity_density, r.suspended_solids_fraction, r.average_solids_density,
                                             r.low_gravity_fraction, r.high_gravity_fraction, r.brine_density);
    if (found == has_no_contrast || found == is_missing) return found;
    if (in.water_fraction + in.oil_fraction > 1.0) return is_over_full;
    if (found == is_over_full || found == is_impossible) return found;
    constexpr std::int8_t chloride_short = 7;
    const std::int8_t brine_found = brine::FiltrateSalts::judge(brine_input(in), brine::FiltrateSalts::evaluate(brine_input(in)));
    if (brine_found == brine::FiltrateSalts::chloride_short) return chloride_short;
    return found;
  }

  template <class T>
  static constexpr brine::FiltrateSalts::Input<T> brine_input(const Input<T>& in) {
    return {.chloride = in.chloride, .calcium = in.calcium, .magnesium = in.magnesium, .potassium = in.potassium, .temperature = in.temperature};
  }

  static constexpr Input<double> example() {
    return {.mud_density = 1380.0, .water_fraction = 0.78, .oil_fraction = 0.02, .chloride = 60.0, .calcium = 1.2, .magnesium = 0.3,
            .potassium = 30.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto salt_water = call<brine::FiltrateSalts, T>(brine_input(in));
    Result<T> r;
    r.retort_solids_fraction = T(1.0) - in.water_fraction - in.oil_fraction;
    r.brine_density = salt_water.density;
    r.brine_fraction = salt_water.volume_ratio * in.water_fraction;
    const auto solids = call<GravitySplit, T>({.mud_density = in.mud_density,
                                               .brine_fraction = r.brine_fraction,
                                               .brine_density = r.brine_density,
                                               .oil_fraction = in.oil_fraction,
                                               .oil_density = in.oil_density,
                                               .low_gravity_density = in.low_gravity_density,
                                               .high_gravity_density = in.high_gravity_density});
    r.suspended_solids_fraction = solids.suspended_solids_fraction;
    r.average_solids_density = solids.average_solids_density;
    r.low_gravity_fraction = solids.low_gravity_fraction;
    r.high_gravity_fraction = solids.high_gravity_fraction;
    r.low_gravity_concentration = solids.low_gravity_concentration;
    r.high_gravity_concentration = solids.high_gravity_concentration;
    return r;
  }
};

inline constexpr RetortWithFiltrate retort_with_filtrate{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
