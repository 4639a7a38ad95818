// Retort of a mud by weight: the oil and the mud are weighed, only the water is read.
#pragma once

#include "lutum/solids/weighings.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

struct RetortByWeight : Calculation<RetortByWeight> {
  template <class T>
  struct Input {
    T retort_mass = T(not_a_number);
    T retort_and_sample_mass = T(not_a_number);
    T receiver_mass = T(not_a_number);
    T receiver_and_liquid_mass = T(not_a_number);
    T retort_and_solids_mass = T(not_a_number);
    T water_volume = T(not_a_number);
    T mud_density = T(not_a_number);
    T oil_density = T(840.0);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T mass_closure;
    T mud_volume;
    T oil_volume;
    T water_fraction;
    T oil_fraction;
    T retort_solids_fraction;
    T dry_solids_mass_fraction;
    T dry_solids_density;
  };

  static constexpr std::array inputs{
      weighed::retort_mass,
      weighed::retort_and_sample_mass,
      weighed::receiver_mass,
      weighed::receiver_and_liquid_mass,
      weighed::retort_and_solids_mass,
      weighed::water_volume,
      Variable{.name = "mud_density", .symbol = "\\rho_{m}", .quantity = Quantity::density, .meaning = "density of the mud, free of gas",
               .limits = {700.0, 3000.0}, .validated = {850.0, 2500.0}},
      Variable{.name = "oil_density", .symbol = "\\rho_{o}", .quantity = Quantity::density, .meaning = "density of the oil",
               .limits = {600.0, 1100.0}, .validated = {750.0, 950.0}},
      weighed::temperature,
  };

  static constexpr std::array results{
      weighed::mass_closure,
      Variable{.name = "mud_volume", .symbol = "V_{m}", .quantity = Quantity::bench_volume,
               .meaning = "volume of the mud in the retort, from its mass"},
      Variable{.name = "oil_volume", .symbol = "V_{o}", .quantity = Quantity::bench_volume, .meaning = "volume of the oil, from its mass, signed"},
      Variable{.name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction, .meaning = "water by volume of mud"},
      Variable{.name = "oil_fraction", .symbol = "\\varphi_{o}", .quantity = Quantity::volume_fraction, .meaning = "oil by volume of mud, signed"},
      Variable{.name = "retort_solids_fraction", .symbol = "\\varphi_{rs}", .quantity = Quantity::volume_fraction,
               .meaning = "what neither water nor oil accounts for: suspended solids and dissolved salt"},
      Variable{.name = "dry_solids_mass_fraction", .symbol = "w_{d}", .quantity = Quantity::mass_fraction,
               .meaning = "dried solids by mass of mud, salt with them"},
      Variable{.name = "dry_solids_density", .symbol = "\\rho_{rs}", .quantity = Quantity::density,
               .meaning = "mass of the dried solids over the volume that water and oil leave: a check of the whole test where there is little salt"},
  };

  static constexpr Sheet sheet{
      .id = "solids.retort_by_weight",
      .title = "Retort of a mud by weight",
      .answers = "What do the weighings of the retort give for water, oil and solids, and is all of the mud found again?",
      .equations = "V_m = (m_2 - m_1)/rho_m; m_o = (m_4 - m_3) - rho_w V_w; V_o = m_o/rho_o; phi = V/V_m; phi_rs = 1 - phi_w - phi_o; closure = "
                   "(m_4 - m_3 + m_5 - m_1)/(m_2 - m_1)",
      .source = "Mass balance (derived). The scheme is the gravimetric retort of API RP 13B (from memory, text not seen); closure within 95 to 105 "
                "% from memory; water density Laliberte (2009).",
      .assumptions = "The water condensed is fresh and its volume is read at the temperature given; the rest of the liquid is oil of the density "
                     "given. The fractions go into a salt correction as they would from a volume retort.",
      .cautions = "The retort works near 500 degC under a fume hood: hot surfaces; the vapour of an oil mud is flammable, and a blocked condenser "
                  "can burst the retort: clean it before every test, let it cool before opening and weighing. Follow local rules.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "the masses close and every phase is there in a possible amount"},
      weighed::open_balance,
      weighed::negative_oil,
      weighed::no_sample,
      weighed::lost_mass,
      Verdict{"over_full", "water and oil take more than the whole volume of the mud: a reading or the mud density is wrong", Severity::impossible},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.retort_and_sample_mass <= in.retort_mass) return 3;
    if (in.receiver_and_liquid_mass < in.receiver_mass || in.retort_and_solids_mass < in.retort_mass) return 4;
    if (!(r.mass_closure + r.retort_solids_fraction == r.mass_closure + r.retort_solids_fraction)) return 6;
    if (r.retort_solids_fraction < 0.0) return 5;
    if (r.mass_closure < least_closure || r.mass_closure > greatest_closure) return 1;
    return r.oil_fraction < 0.0 ? 2 : 0;
  }

  static constexpr Input<double> example() {
    return {.retort_mass = 0.6500, .retort_and_sample_mass = 0.7250, .receiver_mass = 0.1000, .receiver_and_liquid_mass = 0.1307,
            .retort_and_solids_mass = 0.6938, .water_volume = 7.4e-6, .mud_density = 1500.0, .oil_density = 830.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const Weighed<T> m = weighed_phases(in.retort_mass, in.retort_and_sample_mass, in.receiver_mass, in.receiver_and_liquid_mass,
                                        in.retort_and_solids_mass, in.water_volume, in.temperature);
    Result<T> r;
    r.mass_closure = m.closure;
    r.mud_volume = m.sample / in.mud_density;
    r.oil_volume = m.oil / in.oil_density;
    r.water_fraction = in.water_volume / r.mud_volume;
    r.oil_fraction = r.oil_volume / r.mud_volume;
    r.retort_solids_fraction = T(1.0) - r.water_fraction - r.oil_fraction;
    r.dry_solids_mass_fraction = m.dry / m.sample;
    r.dry_solids_density = m.dry / (r.retort_solids_fraction * r.mud_volume);
    return r;
  }
};

inline constexpr RetortByWeight retort_by_weight{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
