// The salts of a filtrate from its chloride, calcium, magnesium and potassium, and the brine that they make.
#pragma once

#include "lutum/brine/several_salts.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

struct FiltrateSalts : Calculation<FiltrateSalts> {
  template <class T>
  struct Input {
    T chloride = T(not_a_number);
    T calcium = T(0.0);
    T magnesium = T(0.0);
    T potassium = T(0.0);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T potassium_chloride_concentration;
    T calcium_chloride_concentration;
    T magnesium_chloride_concentration;
    T sodium_chloride_concentration;
    T mass_fraction;
    T density;
    T volume_ratio;
    T sodium_chloride_mass_fraction;
    T potassium_chloride_mass_fraction;
    T calcium_chloride_mass_fraction;
    T magnesium_chloride_mass_fraction;
  };

  static constexpr const SaltData& nacl = data(Salt::sodium_chloride);
  static constexpr const SaltData& kcl = data(Salt::potassium_chloride);
  static constexpr const SaltData& cacl2 = data(Salt::calcium_chloride);
  static constexpr const SaltData& mgcl2 = data(Salt::magnesium_chloride);

  static constexpr Constant salt_of_potassium{"r_{K}", kcl.molar_mass() / kcl.cation, Quantity::number,
      "mass of potassium chloride for each mass of potassium"};
  static constexpr Constant salt_of_calcium{"r_{Ca}", cacl2.molar_mass() / cacl2.cation, Quantity::number,
      "mass of calcium chloride for each mass of calcium"};
  static constexpr Constant salt_of_magnesium{"r_{Mg}", mgcl2.molar_mass() / mgcl2.cation, Quantity::number,
      "mass of magnesium chloride for each mass of magnesium"};
  static constexpr Constant salt_of_chloride{"r_{Cl}", nacl.molar_mass() / nacl.anion, Quantity::number,
      "mass of sodium chloride for each mass of chloride"};

  static constexpr std::array inputs{
      describe::per_volume("chloride", "c_{Cl}", "chloride in the filtrate, mass per volume (not ppm)", 400.0, 350.0),
      describe::per_volume("calcium", "c_{Ca}", "calcium in the filtrate", 220.0, 200.0),
      describe::per_volume("magnesium", "c_{Mg}", "magnesium in the filtrate", 120.0, 100.0),
      describe::per_volume("potassium", "c_{K}", "potassium in the filtrate", 180.0, 160.0),
      describe::temperature,
  };

  static constexpr std::array results{
      describe::per_volume("potassium_chloride_concentration", "c_{KCl}", "all potassium, as potassium chloride"),
      describe::per_volume("calcium_chloride_concentration", "c_{CaCl2}", "all calcium, as calcium chloride"),
      describe::per_volume("magnesium_chloride_concentration", "c_{MgCl2}", "all magnesium, as magnesium chloride"),
      describe::per_volume("sodium_chloride_concentration", "c_{NaCl}", "the chloride left over, as sodium chloride; signed"),
      describe::all_salt,
      describe::density,
      describe::volume_ratio,
      describe::fraction("sodium_chloride_mass_fraction", "w_{NaCl}", "sodium chloride in the brine by mass, signed"),
      describe::fraction("potassium_chloride_mass_fraction", "w_{KCl}", "potassium chloride in the brine by mass"),
      describe::fraction("calcium_chloride_mass_fraction", "w_{CaCl2}", "calcium chloride in the brine by mass"),
      describe::fraction("magnesium_chloride_mass_fraction", "w_{MgCl2}", "magnesium chloride in the brine by mass"),
  };

  static constexpr Sheet sheet{
      .id = "brine.filtrate_salts",
      .title = "Salts of a filtrate and the brine they make",
      .answers = "Which salts do the titrations of a filtrate stand for, and how dense and how voluminous is the brine?",
      .equations = "c_KCl = r_K c_K; c_CaCl2 = r_Ca c_Ca; c_MgCl2 = r_Mg c_Mg; c_NaCl = r_Cl (c_Cl - chloride of these); w rho_b(w, T) = sum c_i, "
                   "solved for w; rho_b = sum c_i + (1 - sum c_i/rho_app,i(w, T)) rho_w(T); f_b = rho_w / (rho_b (1-w))",
      .source = "Ion balance with atomic masses (derived). Density: Laliberte, J. Chem. Eng. Data 54 (2009) 1725, mixing rule and coefficients "
                "read in two "
                "open libraries.",
      .assumptions = "Calcium, magnesium and potassium are there as chlorides and the rest of the chloride is sodium chloride; sulfate, "
                     "carbonate, bromide "
                     "and formate are left out. Calcium is calcium alone, not hardness. All of it is dissolved.",
      .cautions = "All readings in mg/L of filtrate, not of whole mud and not in ppm. Silver nitrate stains, the indicators are poisonous, "
                  "calcium brines "
                  "burn skin and eyes: goggles and gloves, and the laboratory's own rules.",
  };

  static constexpr std::int8_t chloride_short = 5;
  static constexpr std::array verdicts{
      finding::is_within_source,
      describe::beyond_mixed_fraction,
      describe::beyond_mixed_temperature,
      Verdict{"no_such_brine", "a solution so concentrated is not known: a wrong unit, or a slip of ten in a titration", Severity::impossible},
      finding::is_missing,
      Verdict{"chloride_short", "calcium, magnesium and potassium want more chloride than there is: another anion is in the filtrate (sulfate, "
                                "carbonate, "
                                "formate), or a reading is wrong",
              Severity::caution},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const double sum = in.chloride + in.calcium + in.magnesium + in.potassium + in.temperature;
    if (!(sum == sum)) return finding::missing;
    if (!(r.mass_fraction == r.mass_fraction)) return finding::no_such_brine;
    if (r.sodium_chloride_concentration < -1e-9 * in.chloride) return chloride_short;
    const double w[] = {r.sodium_chloride_mass_fraction, r.potassium_chloride_mass_fraction, r.calcium_chloride_mass_fraction, r.magnesium_chloride_mass_fraction};
    const SaltData* all[] = {&nacl, &kcl, &cacl2, &mgcl2};
    double range = 0.0;
    bool warm_enough = true;
    for (int i = 0; i < 4; ++i) {
      range += w[i] * all[i]->highest;
      warm_enough = warm_enough && (!(w[i] > 0.0) || all[i]->temperature.contain(in.temperature));
    }
    if (r.mass_fraction * r.mass_fraction > range) return finding::beyond_mass_fraction;
    return warm_enough ? finding::within_source : finding::beyond_temperature;
  }

  static constexpr Input<double> example() { return {.chloride = 60.0, .calcium = 1.2, .magnesium = 0.3, .potassium = 30.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    const auto name = [](std::size_t place, const T& x) { return step({results[place].symbol, results[place].quantity, results[place].meaning}, x); };
    r.potassium_chloride_concentration = name(0, in.potassium * constant<T>(salt_of_potassium));
    r.calcium_chloride_concentration = name(1, in.calcium * constant<T>(salt_of_calcium));
    r.magnesium_chloride_concentration = name(2, in.magnesium * constant<T>(salt_of_magnesium));
    const T tied = step({"c_{tied}", Quantity::ion_concentration, "chloride of potassium, calcium and magnesium"},
                        (r.potassium_chloride_concentration - in.potassium) + (r.calcium_chloride_concentration - in.calcium) +
                            (r.magnesium_chloride_concentration - in.magnesium));
    r.sodium_chloride_concentration = name(3, (in.chloride - tied) * constant<T>(salt_of_chloride));
    const auto number = [](std::string_view symbol, const T& x) {
      return step({symbol, Quantity::number, "each salt per volume of brine in kg/m3"}, x / constant<T>(one_density));
    };
    const std::array<T, 4> amounts{number("\\hat c_{NaCl}", r.sodium_chloride_concentration), number("\\hat c_{KCl}",
        r.potassium_chloride_concentration),
                                   number("\\hat c_{CaCl2}", r.calcium_chloride_concentration),
                                   number("\\hat c_{MgCl2}", r.magnesium_chloride_concentration)};
    const T total = step({"\\hat c_{s}", Quantity::number, "all salt per volume of brine in kg/m3"},
        amounts[0] + amounts[1] + amounts[2] + amounts[3]);
    constexpr std::array four{named(Salt::sodium_chloride), named(Salt::potassium_chloride), named(Salt::calcium_chloride),
                              named(Salt::magnesium_chloride)};
    const SeveralSalts<T> b = brine_of(four, amounts, total, in.temperature);
    r.mass_fraction = b.mass_fraction;
    r.density = step({"\\rho_{b}", Quantity::density, "density of the brine"}, T(1.0) / b.volume * constant<T>(one_density));
    r.volume_ratio = b.water * b.volume / (T(1.0) - r.mass_fraction);
    r.sodium_chloride_mass_fraction = r.sodium_chloride_concentration / r.density;
    r.potassium_chloride_mass_fraction = r.potassium_chloride_concentration / r.density;
    r.calcium_chloride_mass_fraction = r.calcium_chloride_concentration / r.density;
    r.magnesium_chloride_mass_fraction = r.magnesium_chloride_concentration / r.density;
    return r;
  }
};

inline constexpr FiltrateSalts filtrate_salts{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
