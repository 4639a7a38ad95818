// Retort analysis of a water-base mud with sodium chloride: low- and high-gravity solids by difference.
#pragma once

#include "lutum/brine/sodium_chloride.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

struct WaterBaseRetort : Calculation<WaterBaseRetort> {
  template <class T>
  struct Input {
    T mud_density = T(not_a_number);
    T water_fraction = T(not_a_number);
    T oil_fraction = T(not_a_number);
    T chloride = T(not_a_number);
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
      Variable{.name = "mud_density", .symbol = "\\rho_{m}", .quantity = Quantity::density,
               .meaning = "density of the mud, free of gas", .limits = {700.0, 3000.0}, .validated = {950.0, 2500.0}},
      Variable{.name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
               .meaning = "water read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.3, 1.0}},
      Variable{.name = "oil_fraction", .symbol = "\\varphi_{o}", .quantity = Quantity::volume_fraction,
               .meaning = "oil read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.0, 0.2}},
      Variable{.name = "chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride in the filtrate, mass per volume (not ppm)", .limits = {0.0, 200.0}, .validated = {0.0, 193.0}},
      Variable{.name = "oil_density", .symbol = "\\rho_{o}", .quantity = Quantity::density, .meaning = "density of the oil",
               .limits = {600.0, 1100.0}, .validated = {750.0, 950.0}},
      Variable{.name = "low_gravity_density", .symbol = "\\rho_{lg}", .quantity = Quantity::density,
               .meaning = "density of low-gravity solids (clay, drilled rock)", .limits = {1500.0, 4000.0}, .validated = {2300.0, 2900.0}},
      Variable{.name = "high_gravity_density", .symbol = "\\rho_{hg}", .quantity = Quantity::density,
               .meaning = "density of the weighting solids (barite)", .limits = {2500.0, 8000.0}, .validated = {3900.0, 5300.0}},
      Variable{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature,
               .meaning = "temperature at which volumes and densities are read", .limits = {273.15, 413.15}, .validated = {283.15, 323.15}},
  };

  static constexpr std::array results{
      Variable{.name = "retort_solids_fraction", .symbol = "\\varphi_{rs}", .quantity = Quantity::volume_fraction,
               .meaning = "what neither water nor oil accounts for: suspended solids and dissolved salt"},
      Variable{.name = "brine_density", .symbol = "\\rho_{b}", .quantity = Quantity::density, .meaning = "density of the brine in the mud"},
      Variable{.name = "brine_fraction", .symbol = "\\varphi_{b}", .quantity = Quantity::volume_fraction, .meaning = "brine by volume of mud"},
      Variable{.name = "suspended_solids_fraction", .symbol = "\\varphi_{ss}", .quantity = Quantity::volume_fraction,
               .meaning = "suspended solids by volume of mud, dissolved salt taken out"},
      Variable{.name = "average_solids_density", .symbol = "\\bar\\rho_{s}", .quantity = Quantity::density,
               .meaning = "average density of the suspended solids"},
      Variable{.name = "low_gravity_fraction", .symbol = "\\varphi_{lg}", .quantity = Quantity::volume_fraction,
               .meaning = "low-gravity solids by volume of mud, signed"},
      Variable{.name = "high_gravity_fraction", .symbol = "\\varphi_{hg}", .quantity = Quantity::volume_fraction,
               .meaning = "high-gravity solids by volume of mud, signed"},
      Variable{.name = "low_gravity_concentration", .symbol = "c_{lg}", .quantity = Quantity::concentration,
               .meaning = "low-gravity solids by mass per volume of mud, signed"},
      Variable{.name = "high_gravity_concentration", .symbol = "c_{hg}", .quantity = Quantity::concentration,
               .meaning = "high-gravity solids by mass per volume of mud, signed"},
  };

  static constexpr Sheet sheet{
      .id = "solids.water_base_retort",
      .title = "Solids of a water-base mud from density and retort",
      .answers = "How much drilled solids and clay, and how much barite, does the mud carry?",
      .equations = "phi_b = f_b phi_w; phi_ss = 1 - phi_b - phi_o; rho_s = (rho_m - phi_b rho_b - phi_o rho_o) / phi_ss; "
                   "phi_lg = (phi_ss rho_hg - (rho_m - phi_b rho_b - phi_o rho_o)) / (rho_hg - rho_lg); phi_hg = phi_ss - phi_lg; c = rho phi",
      .source = "Volume and mass balance (derived). The scheme is that of API RP 13B-1 and ISO 10414-1, retort analysis with "
                "salt correction (from memory, text not seen); brine by brine.sodium_chloride.",
      .assumptions = "Water and oil are read, solids are by difference: a reported solids value is a check, not a third reading. Salt is sodium "
                     "chloride. Only two kinds of suspended solids, of the densities given.",
      .cautions = "The retort works near 500 degC under a fume hood: hot surfaces, oil vapour, trapped pressure when the condenser is blocked; let it "
                  "cool before opening. Follow local rules. Results are signed: a small negative value is usually reading error, see its uncertainty.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "every phase is there in a possible amount"},
      Verdict{"over_full", "brine and oil together take more than the whole volume: a reading is wrong", Severity::impossible},
      Verdict{"negative_low_gravity", "the solids are denser than the weighting solids declared: reading error, or another weighting material",
              Severity::caution},
      Verdict{"negative_high_gravity", "the solids are lighter than the low-gravity solids declared: reading error, gas in the mud, or lighter solids",
              Severity::caution},
      Verdict{"impossible_solids", "the balance asks for more than the whole volume of one kind of solids, or for solids lighter than the brine: a "
                                   "wrong unit or a slip in a reading", Severity::impossible},
      Verdict{"no_contrast", "the high-gravity solids are declared no denser than the low-gravity solids: they cannot be told apart", Severity::impossible},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.high_gravity_density <= in.low_gravity_density) return 5;
    if (!(r.low_gravity_fraction == r.low_gravity_fraction)) return 6;
    if (r.suspended_solids_fraction < 0.0 || in.water_fraction + in.oil_fraction > 1.0) return 1;
    if (r.low_gravity_fraction > 1.0 || r.high_gravity_fraction > 1.0 || r.average_solids_density < r.brine_density) return 4;
    if (r.low_gravity_fraction < 0.0) return 2;
    if (r.high_gravity_fraction < 0.0) return 3;
    return 0;
  }

  static constexpr Input<double> example() {
    return {.mud_density = 1438.0, .water_fraction = 0.74, .oil_fraction = 0.06, .chloride = 79.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto salt_water = call<brine::SodiumChloride, T>({.chloride = in.chloride, .temperature = in.temperature});
    Result<T> r;
    r.retort_solids_fraction = T(1.0) - in.water_fraction - in.oil_fraction;
    r.brine_density = salt_water.density;
    r.brine_fraction = salt_water.volume_ratio * in.water_fraction;
    r.suspended_solids_fraction = T(1.0) - r.brine_fraction - in.oil_fraction;
    const T solids_mass = step({"c_{ss}", Quantity::density, "mass of suspended solids per volume of mud"},
                               in.mud_density - r.brine_fraction * r.brine_density - in.oil_fraction * in.oil_density);
    r.average_solids_density = solids_mass / r.suspended_solids_fraction;
    const T contrast = only_if(in.high_gravity_density > in.low_gravity_density, in.high_gravity_density - in.low_gravity_density);
    r.low_gravity_fraction = (r.suspended_solids_fraction * in.high_gravity_density - solids_mass) / contrast;
    r.high_gravity_fraction = r.suspended_solids_fraction - r.low_gravity_fraction;
    r.low_gravity_concentration = r.low_gravity_fraction * in.low_gravity_density;
    r.high_gravity_concentration = r.high_gravity_fraction * in.high_gravity_density;
    return r;
  }
};

inline constexpr WaterBaseRetort water_base_retort{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
