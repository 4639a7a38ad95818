// A brine from its chloride, where it is known whose chloride it is.
#pragma once

#include "lutum/brine/several_salts.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

enum class ChlorideSource : std::uint8_t { sodium_chloride, potassium_chloride, calcium_chloride, magnesium_chloride, seawater };

inline constexpr std::array chloride_source_choices{salt_choices[0], salt_choices[1], salt_choices[2], salt_choices[3],
                                                    Choice{"seawater", "seawater of standard proportions, diluted or concentrated"}};

namespace seawater {

// Mass fractions of sea salt, Reference-Composition (Millero, Feistel, Wright and McDougall 2008), from memory; all fifteen
// of its rows as remembered add up to 1.0000000.
inline constexpr double chloride = 0.5503396, sulfate = 0.0771319, magnesium = 0.0365055, calcium = 0.0117186, potassium = 0.0113495;

// Stood for by five salts: the minor ions (0.8 %) count as sodium chloride.
inline constexpr double potassium_chloride = potassium / data(Salt::potassium_chloride).cation_share();
inline constexpr double calcium_chloride = calcium / data(Salt::calcium_chloride).cation_share();
inline constexpr double magnesium_chloride = magnesium / data(Salt::magnesium_chloride).cation_share();
inline constexpr double sodium_sulfate = sulfate / brine::sodium_sulfate.anion_share();
inline constexpr double sodium_chloride = 1.0 - potassium_chloride - calcium_chloride - magnesium_chloride - sodium_sulfate;

inline constexpr double highest = 0.10;  // beyond about three times its strength gypsum falls out
inline constexpr Limits temperature{273.15, 313.15};

}  // namespace seawater

struct FromChloride : Calculation<FromChloride> {
  using Option = ChlorideSource;
  static constexpr OptionInfo option{.name = "salt", .meaning = "the salt that brought the chloride", .choices = chloride_source_choices};

  template <class T>
  struct Input {
    T chloride = T(not_a_number);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T mass_fraction;
    T density;
    T salt_concentration;
    T salt_content;
    T parts_per_million;
    T volume_ratio;
    T water_ratio;
    T salt_per_water;
  };

  static constexpr std::array<Constant, chloride_source_choices.size()> salt_of_chloride = [] {
    std::array<Constant, chloride_source_choices.size()> r{};
    for (std::size_t i = 0; i < 4; ++i) r[i] = {"r", 1.0 / salts[i].anion_share(), Quantity::number, "mass of the salt for each mass of its "
                                                                                                     "chloride"};
    r[0].value = salts[0].molar_mass() / salts[0].anion;  // the bits of brine.sodium_chloride
    r[4] = {"r", 1.0 / seawater::chloride, Quantity::number, "mass of sea salt for each mass of its chloride"};
    return r;
  }();

  static constexpr std::array inputs{
      describe::per_volume("chloride", "c_{Cl}", "chloride in the filtrate, mass per volume (not ppm)", 400.0, 360.0),
      describe::temperature};
  static constexpr std::array results{
      describe::mass_fraction,     describe::density,      describe::salt_concentration, describe::salt_content,
      describe::parts_per_million, describe::volume_ratio, describe::water_ratio,        describe::salt_per_water,
  };

  static constexpr Sheet sheet{
      .id = "brine.from_chloride",
      .title = "Brine from its chloride",
      .answers = "How much of its salt does a brine of this chloride hold, how dense is it, and how much volume does the salt add to the water?",
      .equations = "c_s = r c_Cl = w rho_b(w, T), solved for w; 1/rho_b = (1-w)/rho_w(T) + sum w_i/rho_app,i(w, T); f_b = rho_w / (rho_b (1-w)); "
                   "f_w = 1/f_b; s_w = rho_w w/(1-w)",
      .source = "Density: Laliberte, J. Chem. Eng. Data 54 (2009) 1725, coefficients read in two open libraries; chloride to salt and the rest: mass "
                "balance (derived). Seawater: proportions of the Reference-Composition of 2008 (from memory), as five salts; within 0.2 kg/m3 of the "
                "international equation of state from 20 to 30 degC, 0.8 low at 0 degC (its values from memory).",
      .assumptions = "All chloride belongs to the one salt, all of it dissolved. A silver titration counts bromide as chloride (0.15 % of it in "
                     "seawater).",
      .cautions = "Chloride in mg/L, mass per volume of filtrate. A figure in ppm (mg/kg) reads low by the density of the brine. Calcium and "
                  "magnesium "
                  "brines burn skin and eyes.",
  };

  static constexpr std::array verdicts{finding::is_within_source, finding::is_beyond_mass_fraction, finding::is_beyond_temperature,
                                       finding::is_no_such_brine, finding::is_missing};

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, ChlorideSource source) {
    if (!(in.chloride + in.temperature == in.chloride + in.temperature)) return finding::missing;
    if (!(r.mass_fraction == r.mass_fraction)) return finding::no_such_brine;
    if (source != ChlorideSource::seawater) return range_of(data(salt_of(source)), r.mass_fraction, in.temperature);
    if (r.mass_fraction > seawater::highest) return finding::beyond_mass_fraction;
    return seawater::temperature.contain(in.temperature) ? finding::within_source : finding::beyond_temperature;
  }

  static constexpr Input<double> example() { return {.chloride = 50.0}; }

  static constexpr Salt salt_of(ChlorideSource s) { return static_cast<Salt>(s); }  // the first four stand at the same places

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, ChlorideSource source) {
    const T dissolved = step({"\\hat c_{s}", Quantity::number, "salt per volume of brine in kg/m3"},
                             in.chloride * constant<T>(salt_of_chloride[static_cast<std::size_t>(source)]) / constant<T>(one_density));
    const SeveralSalts<T> s = source == ChlorideSource::seawater ? sea(dissolved, in.temperature)
                                                                 : single(dissolved, in.temperature, data(salt_of(source)));
    const MakeUp<T> b = make_up(s.mass_fraction, s.volume, s.water);
    return {s.mass_fraction, b.density, b.salt_concentration, b.salt_content, b.parts_per_million, b.volume_ratio, b.water_ratio, b.salt_per_water};
  }

 private:
  template <class T>
  static constexpr SeveralSalts<T> single(const T& dissolved, const T& temperature, const SaltData& salt) {
    const Warm<T> at = warm(temperature, salt);
    const T w = inside(mass_fraction_of(salt, dissolved, at.water, at.water_volume, at.warmth, at.thinning), -1.0, salt.most);
    return {w, at.volume(w), at.water};
  }

  template <class T>
  static constexpr SeveralSalts<T> sea(const T& dissolved, const T& temperature) {
    constexpr std::array sea_salts{named(Salt::sodium_chloride), named(Salt::potassium_chloride), named(Salt::calcium_chloride),
                                   named(Salt::magnesium_chloride), NamedSalt{sodium_sulfate, describe::sodium_sulfate_steps}};
    const auto part = [&](const char* symbol, const char* meaning, double share) {
      return step({symbol, Quantity::number, meaning}, T(share) * dissolved);
    };
    const std::array<T, 5> amounts{
        part("\\hat c_{NaCl}", "sodium chloride in the sea salt, per volume of brine in kg/m3", seawater::sodium_chloride),
        part("\\hat c_{KCl}", "potassium chloride in the sea salt, likewise", seawater::potassium_chloride),
        part("\\hat c_{CaCl2}", "calcium chloride in the sea salt, likewise", seawater::calcium_chloride),
        part("\\hat c_{MgCl2}", "magnesium chloride in the sea salt, likewise", seawater::magnesium_chloride),
        part("\\hat c_{Na2SO4}", "sodium sulfate in the sea salt, likewise", seawater::sodium_sulfate)};
    return brine_of(sea_salts, amounts, dissolved, temperature);
  }
};

inline constexpr FromChloride from_chloride{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
