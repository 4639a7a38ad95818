// Calcium chloride and sodium chloride in the water phase of a non-aqueous mud, from titrations of the whole mud.
#pragma once

#include "lutum/chemistry/salt_masses.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct WaterPhaseSalts : Calculation<WaterPhaseSalts> {
  template <class T>
  struct Input {
    T whole_mud_chloride = T(not_a_number);
    T whole_mud_calcium = T(not_a_number);
    T water_fraction = T(not_a_number);
    T water_density = T(997.05);
  };

  template <class T>
  struct Result {
    T spare_chloride;
    T calcium_chloride_concentration;
    T sodium_chloride_concentration;
    T calcium_chloride_mass_fraction;
    T sodium_chloride_mass_fraction;
  };

  static constexpr std::array inputs{
      Variable{.name = "whole_mud_chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride per volume of whole mud (not of its water)", .limits = {0.0, 300.0}, .validated = {0.0, 150.0}},
      Variable{.name = "whole_mud_calcium", .symbol = "c_{Ca}", .quantity = Quantity::ion_concentration,
               .meaning = "calcium per volume of whole mud (not of its water)", .limits = {0.0, 200.0}, .validated = {0.0, 80.0}},
      Variable{.name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
               .meaning = "water read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.02, 0.6}},
      Variable{.name = "water_density", .symbol = "\\rho_{w}", .quantity = Quantity::density,
               .meaning = "density of pure water when the receiver is read; the default is that of 25 degC", .limits = {900.0, 1005.0},
               .validated = {985.0, 1000.0}},
  };

  static constexpr std::array results{
      Variable{.name = "spare_chloride", .symbol = "c_{Cl,Na}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride that calcium does not bind, per volume of mud; negative where there is more calcium than chloride for it"},
      Variable{.name = "calcium_chloride_concentration", .symbol = "c_{CaCl2}", .quantity = Quantity::concentration,
               .meaning = "calcium chloride per volume of mud"},
      Variable{.name = "sodium_chloride_concentration", .symbol = "c_{NaCl}", .quantity = Quantity::concentration,
               .meaning = "sodium chloride per volume of mud"},
      Variable{.name = "calcium_chloride_mass_fraction", .symbol = "w_{CaCl2}", .quantity = Quantity::mass_fraction,
               .meaning = "calcium chloride in the water phase by mass"},
      Variable{.name = "sodium_chloride_mass_fraction", .symbol = "w_{NaCl}", .quantity = Quantity::mass_fraction,
               .meaning = "sodium chloride in the water phase by mass"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.water_phase_salts",
      .title = "Salts in the water phase of a non-aqueous mud",
      .answers = "How much calcium chloride and sodium chloride does the mud carry, and how strong is the brine of its water phase?",
      .equations = "Cl bound to Ca = 2 Ca M_Cl/M_Ca = 1.769 Ca; CaCl2 = 2.769 Ca; NaCl = 1.6485 (Cl - 1.769 Ca); where Cl < 1.769 Ca all of it is "
                   "calcium chloride, CaCl2 = 1.5652 Cl; w = salt / (CaCl2 + NaCl + phi_w rho_w)",
      .source = "Masses of the ions (derived). The scheme is that of API RP 13B-2 and ISO 10414-2 (from memory, text not seen), where 2.774 for "
                "2.769 is 0.2 % high.",
      .assumptions = "All calcium titrated is dissolved as chloride as far as chloride goes, the rest of the chloride is sodium chloride. Lime, "
                     "emulsifier soaps and calcium carbonate that the titration reaches count as calcium chloride: see the spare chloride. "
                     "Both titrations and the retort are of the same mud.",
      .cautions = "Calcium chloride brines burn skin: wash off at once. Titration solvents are flammable and their vapour is harmful: fume hood, no "
                  "flames. Chromate indicator is toxic. Follow local rules and licensed practice.",
  };

  // Sodium chloride that still dissolves beside calcium chloride at 25 degC, wt % (API RP 13B-2, from memory, untested).
  static double most_sodium_chloride(double calcium_chloride) {
    const double c = 100.0 * calcium_chloride;
    return 0.01 * (26.432 + c * (-1.0472 + c * (7.98191e-3 + c * 5.2238e-5)));
  }

  static constexpr std::array verdicts{
      Verdict{"consistent", "chloride and calcium make a brine that can exist"},
      Verdict{"calcium_beyond_chloride", "there is more calcium than the chloride can bind: all chloride is taken as calcium chloride; lime, soaps "
                                         "or carbonate were titrated as calcium, or the chloride reads low", Severity::caution},
      Verdict{"beyond_saturation", "more salt than the water dissolves at about 25 degC: undissolved salt, too little water read in the retort, or "
                                   "a slip in a titration", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    const double calcium_chloride = r.calcium_chloride_mass_fraction, sodium_chloride = r.sodium_chloride_mass_fraction;
    if (!(calcium_chloride == calcium_chloride)) return 3;
    if (calcium_chloride > 0.45 || sodium_chloride > most_sodium_chloride(calcium_chloride)) return 2;
    return r.spare_chloride < 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.whole_mud_chloride = 45.0, .whole_mud_calcium = 24.0, .water_fraction = 0.18};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    const T wanted = step({"c_{Cl,Ca}", Quantity::ion_concentration, "chloride that all the calcium would bind, two for each calcium"},
                          T(2.0) * in.whole_mud_calcium / constant<T>(calcium_mass) * constant<T>(chloride_mass));
    r.spare_chloride = in.whole_mud_chloride - wanted;
    const T bound = step({"c_{Cl,b}", Quantity::ion_concentration, "chloride present as calcium chloride, no more than there is"},
                         smaller(wanted, in.whole_mud_chloride));
    r.calcium_chloride_concentration =
        T(0.5) * bound / constant<T>(chloride_mass) * constant<T>(calcium_chloride_mass);
    r.sodium_chloride_concentration =
        (in.whole_mud_chloride - bound) / constant<T>(chloride_mass) * constant<T>(sodium_chloride_mass);
    const T phase = step({"c_{wp}", Quantity::concentration, "mass of the water phase, water and its salts, per volume of mud"},
                         in.water_fraction * in.water_density + r.calcium_chloride_concentration + r.sodium_chloride_concentration);
    r.calcium_chloride_mass_fraction = r.calcium_chloride_concentration / phase;
    r.sodium_chloride_mass_fraction = r.sodium_chloride_concentration / phase;
    return r;
  }
};

inline constexpr WaterPhaseSalts water_phase_salts{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
