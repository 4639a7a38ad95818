// Retort analysis of an oil mud: salinity of its water phase, undissolved salt, low- and high-gravity solids.
#pragma once

#include "lutum/brine/salts.hpp"
#include "lutum/solids/two_solids.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

// Sodium chloride that a calcium chloride brine can hold, both by mass of the brine: fit used in API RP 13B-2, from memory.
template <class T>
constexpr T most_sodium_chloride(const T& calcium_chloride) {
  return ((T(0.52238) * calcium_chloride + T(0.798191)) * calcium_chloride - T(1.0472)) * calcium_chloride + T(0.26432);
}

struct NonAqueousRetort : Calculation<NonAqueousRetort> {
  template <class T>
  struct Input {
    T mud_density = T(not_a_number);
    T water_fraction = T(not_a_number);
    T oil_fraction = T(not_a_number);
    T whole_mud_chloride = T(not_a_number);
    T whole_mud_calcium = T(not_a_number);
    T oil_density = T(840.0);
    T low_gravity_density = T(2600.0);
    T high_gravity_density = T(4200.0);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T oil_of_liquid;
    T water_of_liquid;
    T retort_solids_fraction;
    T spare_chloride;
    T calcium_chloride_concentration;
    T sodium_chloride_concentration;
    T undissolved_salt_concentration;
    T undissolved_salt_fraction;
    T calcium_chloride_mass_fraction;
    T sodium_chloride_mass_fraction;
    T brine_density;
    T brine_fraction;
    T brine_of_liquid;
    T brine_chloride;
    T suspended_solids_fraction;
    T average_solids_density;
    T low_gravity_fraction;
    T high_gravity_fraction;
    T low_gravity_concentration;
    T high_gravity_concentration;
  };

  static constexpr const brine::SaltData& calcium_salt = brine::data(brine::Salt::calcium_chloride);
  static constexpr const brine::SaltData& sodium_salt = brine::data(brine::Salt::sodium_chloride);

  static constexpr Constant chloride_of_calcium{"r_{Cl,Ca}", calcium_salt.anion_share() / calcium_salt.cation_share(), Quantity::number,
                                                "mass of chloride bound by each mass of calcium, 70.90/40.078"};
  static constexpr Constant salt_of_calcium{"r_{CaCl2,Ca}", 1.0 / calcium_salt.cation_share(), Quantity::number,
                                            "mass of calcium chloride for each mass of calcium, 110.978/40.078"};
  static constexpr Constant calcium_salt_of_chloride{"r_{CaCl2,Cl}", 1.0 / calcium_salt.anion_share(), Quantity::number,
                                                     "mass of calcium chloride for each mass of chloride, 110.978/70.90"};
  static constexpr Constant sodium_salt_of_chloride{"r_{NaCl,Cl}", 1.0 / sodium_salt.anion_share(), Quantity::number,
                                                    "mass of sodium chloride for each mass of chloride, 58.44/35.45"};
  static constexpr Constant salt_density{"\\rho_{NaCl}", 2165.0, Quantity::density, "density of undissolved sodium chloride, from memory"};

  static constexpr std::array inputs{
      usual::mud_density,
      Variable{.name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
               .meaning = "water read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.01, 0.5}},
      Variable{.name = "oil_fraction", .symbol = "\\varphi_{o}", .quantity = Quantity::volume_fraction,
               .meaning = "oil read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.2, 0.95}},
      Variable{.name = "whole_mud_chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride by titration of the whole mud, mass per volume of mud (not of filtrate)", .limits = {0.0, 300.0},
               .validated = {0.0, 150.0}},
      Variable{.name = "whole_mud_calcium", .symbol = "c_{Ca}", .quantity = Quantity::ion_concentration,
               .meaning = "calcium by titration of the whole mud, mass per volume of mud", .limits = {0.0, 200.0}, .validated = {0.0, 90.0}},
      usual::oil_density,
      usual::low_gravity_density,
      usual::high_gravity_density,
      Variable{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature,
               .meaning = "temperature at which volumes and densities are read",
               .limits = {273.15, 373.15}, .validated = {288.15, 323.15}},
  };

  static constexpr std::array results{
      Variable{.name = "oil_of_liquid", .symbol = "R_{o}", .quantity = Quantity::volume_fraction,
               .meaning = "oil part of the oil/water ratio: oil by volume of oil and retort water"},
      Variable{.name = "water_of_liquid", .symbol = "R_{w}", .quantity = Quantity::volume_fraction,
               .meaning = "water part of the oil/water ratio: retort water by volume of oil and retort water"},
      usual::retort_solids_fraction,
      Variable{.name = "spare_chloride", .symbol = "c_{Cl,s}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride beyond what the calcium binds, per volume of mud; negative: calcium beyond what the chloride binds"},
      Variable{.name = "calcium_chloride_concentration", .symbol = "c_{CaCl2}", .quantity = Quantity::concentration,
               .meaning = "calcium chloride per volume of mud: as much as both its calcium and its chloride allow"},
      Variable{.name = "sodium_chloride_concentration", .symbol = "c_{NaCl}", .quantity = Quantity::concentration,
               .meaning = "sodium chloride per volume of mud, dissolved or not: the spare chloride"},
      Variable{.name = "undissolved_salt_concentration", .symbol = "c_{u}", .quantity = Quantity::concentration,
               .meaning = "sodium chloride that the brine cannot hold, by mass per volume of mud"},
      Variable{.name = "undissolved_salt_fraction", .symbol = "\\varphi_{u}", .quantity = Quantity::volume_fraction,
               .meaning = "undissolved sodium chloride by volume of mud"},
      Variable{.name = "calcium_chloride_mass_fraction", .symbol = "w_{C}", .quantity = Quantity::mass_fraction,
               .meaning = "calcium chloride by mass of the brine"},
      Variable{.name = "sodium_chloride_mass_fraction", .symbol = "w_{N}", .quantity = Quantity::mass_fraction,
               .meaning = "dissolved sodium chloride by mass of the brine"},
      Variable{.name = "brine_density", .symbol = "\\rho_{b}", .quantity = Quantity::density, .meaning = "density of the brine in the mud"},
      usual::brine_fraction,
      Variable{.name = "brine_of_liquid", .symbol = "R_{b}", .quantity = Quantity::volume_fraction,
               .meaning = "brine part of the oil/brine ratio: brine by volume of oil and brine, not the oil/water ratio"},
      Variable{.name = "brine_chloride", .symbol = "c_{Cl,b}", .quantity = Quantity::ion_concentration, .meaning = "chloride per volume of brine"},
      Variable{.name = "suspended_solids_fraction", .symbol = "\\varphi_{ss}", .quantity = Quantity::volume_fraction,
               .meaning = "corrected solids by volume of mud: without salt, dissolved or not"},
      usual::average_solids_density,
      usual::low_gravity_fraction,
      usual::high_gravity_fraction,
      usual::low_gravity_concentration,
      usual::high_gravity_concentration,
  };

  static constexpr Sheet sheet{
      .id = "solids.non_aqueous_retort",
      .title = "Solids and water phase of an oil mud",
      .answers = "What are the oil/water ratio, the salinity of the water phase and the true solids of an oil mud?",
      .equations = "c_CaCl2 = smaller of 2.769 c_Ca and 1.565 c_Cl; c_NaCl = 1.6485 (c_Cl - 1.769 c_Ca) where positive; brine = rho_w phi_w + "
                   "c_CaCl2 + dissolved NaCl; w_N at most 0.26432 - 1.0472 w_C + 0.798191 w_C^2 + 0.52238 w_C^3; phi_b = brine/rho_b(w_C, w_N, T); "
                   "phi_ss = 1 - phi_o - phi_b - phi_u; then as solids.gravity_split",
      .source = "Mass and volume balance (derived). The scheme is that of API RP 13B-2 and ISO 10414-2 (from memory, text not seen). Brine density: "
                "mixing of Laliberte (2009) at the temperature given; the polynomial of RP 13B-2 at 25 degC (from memory) differs by at most 2.5 "
                "kg/m3 up to 35 wt % calcium chloride and sodium chloride to saturation, 4 at 40 wt %. Solubility of sodium chloride beside calcium "
                "chloride at 25 degC and its density: from memory.",
      .assumptions = "The water phase holds calcium and sodium chloride only. Calcium beyond the chloride is lime, not salt: then all chloride is "
                     "taken as calcium chloride. Emulsifiers count as oil, lime and organophilic clay as low-gravity solids. Water distilled is all "
                     "of the water.",
      .cautions = "The retort works near 500 degC under a fume hood: hot surfaces; the vapour of an oil mud is flammable, and a blocked condenser "
                  "can burst the retort: clean it before every test, let it cool before opening. Titration of whole mud: solvents are flammable, "
                  "calcium brine burns the skin and eyes. Follow local rules. Results are signed: a small negative value is usually reading error.",
  };

  static constexpr double most_calcium_chloride = 0.45;  // by mass, dissolves at 25 degC; from memory

  static constexpr std::array verdicts{
      usual::consistent, usual::over_full, usual::negative_low_gravity, usual::negative_high_gravity, usual::impossible_solids, usual::no_contrast,
      usual::missing,
      Verdict{"no_water", "no water was distilled: there is no water phase to hold salt; use solids.gravity_split with no brine",
              Severity::impossible},
      Verdict{"undissolved_salt", "more sodium chloride than the brine can hold: part of it is a solid, which may settle and water-wets solids",
              Severity::caution},
      Verdict{"calcium_beyond_chloride", "more calcium than the chloride can bind (lime, usually): all chloride was taken as calcium chloride",
              Severity::caution},
      Verdict{"more_salt_than_dissolves",
              "the water phase would hold more than 45 wt % calcium chloride: the water was read low, or a titration is wrong", Severity::caution},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.water_fraction <= 0.0) return 7;
    const SolidsVerdict found = judge_solids(in.high_gravity_density - in.low_gravity_density, r.suspended_solids_fraction, r.average_solids_density,
                                             r.low_gravity_fraction, r.high_gravity_fraction, r.brine_density);
    if (found == has_no_contrast || found == is_missing) return found;
    if (in.water_fraction + in.oil_fraction > 1.0) return is_over_full;
    if (found == is_over_full || found == is_impossible) return found;
    if (r.calcium_chloride_mass_fraction > most_calcium_chloride) return 10;
    if (found != is_consistent) return found;
    if (r.undissolved_salt_concentration > 0.0) return 8;
    return r.spare_chloride < 0.0 ? 9 : is_consistent;
  }

  static constexpr Input<double> example() {
    return {.mud_density = 1500.0, .water_fraction = 0.15, .oil_fraction = 0.55, .whole_mud_chloride = 38.0, .whole_mud_calcium = 17.0,
            .oil_density = 830.0};
  }

  // Sodium chloride less what a saturated brine holds, both for each mass of water and calcium chloride.
  struct Saturation {
    template <class T>
    constexpr T operator()(const T& sodium, const T& calcium) const {
      return sodium - (T(1.0) + sodium) * most_sodium_chloride(calcium / (T(1.0) + sodium));
    }
  };

  static constexpr Step calcium_warmth{"a_{C}", Quantity::number, "exponential factor in the apparent density of calcium chloride"};
  static constexpr Step calcium_thinning{"b_{C}", Quantity::number, "linear factor in the apparent density of calcium chloride"};
  static constexpr Step sodium_warmth{"a_{N}", Quantity::number, "exponential factor in the apparent density of sodium chloride"};
  static constexpr Step sodium_thinning{"b_{N}", Quantity::number, "linear factor in the apparent density of sodium chloride"};

  template <class T>
  static constexpr T volume_of(const T& part, const T& all, const T& t, const brine::SaltData& salt, const Step& warmth, const Step& thinning) {
    return brine::salt_volume_number(part, all, salt, brine::warmth_at(t, salt, warmth), brine::thinning_at(t, salt, thinning));
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    using brine::one_density;
    Result<T> r;
    r.oil_of_liquid = in.oil_fraction / (in.oil_fraction + in.water_fraction);
    r.water_of_liquid = in.water_fraction / (in.oil_fraction + in.water_fraction);
    r.retort_solids_fraction = T(1.0) - in.water_fraction - in.oil_fraction;

    r.spare_chloride = in.whole_mud_chloride - in.whole_mud_calcium * constant<T>(chloride_of_calcium);
    r.calcium_chloride_concentration = smaller(in.whole_mud_calcium * constant<T>(salt_of_calcium),
                                               in.whole_mud_chloride * constant<T>(calcium_salt_of_chloride));
    r.sodium_chloride_concentration = larger(r.spare_chloride, T(0.0)) * constant<T>(sodium_salt_of_chloride);

    const T t = brine::celsius_number(in.temperature);
    const T water_density = brine::water_at(t);
    const T water = step({"c_{w}", Quantity::concentration, "water by mass per volume of mud"},
                         only_if(in.water_fraction > T(0.0), in.water_fraction) * water_density * constant<T>(one_density));
    const T solvent = step({"c_{0}", Quantity::concentration, "water and calcium chloride, in which sodium chloride dissolves"},
                           water + r.calcium_chloride_concentration);
    const T calcium = step({"x", Quantity::mass_fraction, "calcium chloride by mass of these"}, r.calcium_chloride_concentration / solvent);
    const T most = solve({"s", Quantity::mass_fraction, "sodium chloride that dissolves for each mass of water and calcium "
                                                               "chloride, by the solubility curve of the sources"}, Saturation{},
                         Bracket<T>{T(0.0), T(0.5), T(0.36) - T(0.9) * calcium}, calcium);
    const T dissolved = step({"c_{d}", Quantity::concentration, "dissolved sodium chloride by mass per volume of mud"},
                             smaller(r.sodium_chloride_concentration, most * solvent));
    r.undissolved_salt_concentration = r.sodium_chloride_concentration - dissolved;
    r.undissolved_salt_fraction = r.undissolved_salt_concentration / constant<T>(salt_density);

    const T brine_mass = step({"c_{b}", Quantity::concentration, "brine by mass per volume of mud"}, solvent + dissolved);
    r.calcium_chloride_mass_fraction = r.calcium_chloride_concentration / brine_mass;
    r.sodium_chloride_mass_fraction = dissolved / brine_mass;
    const T w = step({"w", Quantity::mass_fraction, "both salts by mass of the brine"},
                     r.calcium_chloride_mass_fraction + r.sodium_chloride_mass_fraction);
    const T water_volume = step({"\\hat v_{w}", Quantity::number, "volume of the water in 1 kg of brine, in m3"}, (T(1.0) - w) / water_density);
    const T calcium_volume = step({"\\hat v_{C}", Quantity::number, "volume of the calcium chloride in it, at its apparent density"},
                                  volume_of(r.calcium_chloride_mass_fraction, w, t, calcium_salt, calcium_warmth, calcium_thinning));
    const T sodium_volume = step({"\\hat v_{N}", Quantity::number, "volume of the sodium chloride in it, at its apparent density"},
                                  volume_of(r.sodium_chloride_mass_fraction, w, t, sodium_salt, sodium_warmth, sodium_thinning));
    r.brine_density = T(1.0) / (water_volume + calcium_volume + sodium_volume) * constant<T>(one_density);
    r.brine_fraction = brine_mass / r.brine_density;
    r.brine_of_liquid = r.brine_fraction / (in.oil_fraction + r.brine_fraction);
    r.brine_chloride = r.brine_density * (r.calcium_chloride_mass_fraction / constant<T>(calcium_salt_of_chloride) +
                                          r.sodium_chloride_mass_fraction / constant<T>(sodium_salt_of_chloride));

    r.suspended_solids_fraction = T(1.0) - in.oil_fraction - r.brine_fraction - r.undissolved_salt_fraction;
    const T mass = step({"c_{ss}", Quantity::concentration, "suspended solids by mass per volume of mud"},
                        in.mud_density - in.oil_fraction * in.oil_density - brine_mass - r.undissolved_salt_concentration);
    r.average_solids_density = mass / r.suspended_solids_fraction;
    const TwoSolids<T> split = two_solids(r.suspended_solids_fraction, mass, in.low_gravity_density, in.high_gravity_density);
    r.low_gravity_fraction = split.low_gravity;
    r.high_gravity_fraction = split.high_gravity;
    r.low_gravity_concentration = r.low_gravity_fraction * in.low_gravity_density;
    r.high_gravity_concentration = r.high_gravity_fraction * in.high_gravity_density;
    return r;
  }
};

inline constexpr NonAqueousRetort non_aqueous_retort{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
