// Oil on drill cuttings by retort.
#pragma once

#include "lutum/solids/weighings.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

struct OilOnCuttings : Calculation<OilOnCuttings> {
  template <class T>
  struct Input {
    T retort_mass = T(not_a_number);
    T retort_and_sample_mass = T(not_a_number);
    T receiver_mass = T(not_a_number);
    T receiver_and_liquid_mass = T(not_a_number);
    T retort_and_solids_mass = T(not_a_number);
    T water_volume = T(not_a_number);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T mass_closure;
    T oil_of_wet_cuttings;
    T oil_of_dry_cuttings;
    T water_of_wet_cuttings;
    T dry_of_wet_cuttings;
  };

  static constexpr std::array inputs{
      weighed::retort_mass, weighed::retort_and_sample_mass, weighed::receiver_mass, weighed::receiver_and_liquid_mass,
      weighed::retort_and_solids_mass, weighed::water_volume, weighed::temperature,
  };

  static constexpr std::array results{
      weighed::mass_closure,
      Variable{.name = "oil_of_wet_cuttings", .symbol = "w_{o}", .quantity = Quantity::mass_fraction,
               .meaning = "oil by mass of the wet cuttings as they went in, signed"},
      Variable{.name = "oil_of_dry_cuttings", .symbol = "w_{o,d}", .quantity = Quantity::mass_fraction,
               .meaning = "oil by mass of the dried cuttings, signed: a larger number for the same cuttings"},
      Variable{.name = "water_of_wet_cuttings", .symbol = "w_{w}", .quantity = Quantity::mass_fraction,
               .meaning = "water by mass of the wet cuttings"},
      Variable{.name = "dry_of_wet_cuttings", .symbol = "w_{d}", .quantity = Quantity::mass_fraction,
               .meaning = "dried cuttings by mass of the wet cuttings, salt and mud solids with them"},
  };

  static constexpr Sheet sheet{
      .id = "solids.oil_on_cuttings",
      .title = "Oil on cuttings by retort",
      .answers = "How much oil stays on the cuttings, by mass of wet and of dry cuttings, and is all of the sample found again?",
      .equations = "m_o = (m_4 - m_3) - rho_w V_w; w_o = m_o/(m_2 - m_1); w_o,d = m_o/(m_5 - m_1); closure = (m_4 - m_3 + m_5 - m_1)/(m_2 - m_1)",
      .source = "Mass balance (derived). The scheme is that of 40 CFR 435 subpart A appendix 7 (its retort and its receivers, good to 0.05 mL, "
                "seen; its arithmetic and the closure of 95 to 105 % from memory); water density Laliberte (2009).",
      .assumptions = "Wet or dry is a choice of the rule that applies: say which, they differ much. All liquid that is not water counts as oil. One "
                     "sample says little: such rules average over the section or the well, by the cuttings discharged.",
      .cautions = "The retort works near 500 degC under a fume hood: hot surfaces; oil vapour is flammable, and a condenser blocked by cuttings can "
                  "burst the retort: clean it before every test, let it cool before opening and weighing. What may be discharged is for local rules "
                  "and licensed practice to say, not for this calculation.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "the masses close and oil, water and solids are there in possible amounts"},
      weighed::open_balance,
      weighed::negative_oil,
      weighed::no_sample,
      weighed::lost_mass,
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.retort_and_sample_mass <= in.retort_mass) return 3;
    if (in.receiver_and_liquid_mass < in.receiver_mass || in.retort_and_solids_mass < in.retort_mass) return 4;
    if (!(r.mass_closure + r.oil_of_wet_cuttings == r.mass_closure + r.oil_of_wet_cuttings)) return 5;
    if (r.mass_closure < least_closure || r.mass_closure > greatest_closure) return 1;
    return r.oil_of_wet_cuttings < 0.0 ? 2 : 0;
  }

  static constexpr Input<double> example() {
    return {.retort_mass = 0.6500, .retort_and_sample_mass = 0.7450, .receiver_mass = 0.1000, .receiver_and_liquid_mass = 0.1123,
            .retort_and_solids_mass = 0.7317, .water_volume = 5.2e-6};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const Weighed<T> m = weighed_phases(in.retort_mass, in.retort_and_sample_mass, in.receiver_mass, in.receiver_and_liquid_mass,
                                        in.retort_and_solids_mass, in.water_volume, in.temperature);
    Result<T> r;
    r.mass_closure = m.closure;
    const T wet = only_if(m.sample > T(0.0), m.sample), dry = only_if(m.dry > T(0.0), m.dry);
    r.oil_of_wet_cuttings = m.oil / wet;
    r.oil_of_dry_cuttings = m.oil / dry;
    r.water_of_wet_cuttings = m.water / wet;
    r.dry_of_wet_cuttings = m.dry / wet;
    return r;
  }
};

inline constexpr OilOnCuttings oil_on_cuttings{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
