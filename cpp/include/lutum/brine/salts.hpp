// The salts of clear brines: what they are made of, and the density of their solutions by Laliberte's equation, in which
// the volumes of the water and of each dissolved salt, at its apparent density, add.
#pragma once

#include "lutum/chemistry/elements.hpp"
#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

enum class Salt : std::uint8_t {
  sodium_chloride,
  potassium_chloride,
  calcium_chloride,
  magnesium_chloride,
  sodium_bromide,
  potassium_bromide,
  sodium_formate,
  potassium_formate,
  potassium_carbonate,
};

inline constexpr std::array salt_choices{
    Choice{"sodium_chloride", "sodium chloride, NaCl"},       Choice{"potassium_chloride", "potassium chloride, KCl"},
    Choice{"calcium_chloride", "calcium chloride, CaCl2"},    Choice{"magnesium_chloride", "magnesium chloride, MgCl2"},
    Choice{"sodium_bromide", "sodium bromide, NaBr"},         Choice{"potassium_bromide", "potassium bromide, KBr"},
    Choice{"sodium_formate", "sodium formate, NaHCO2"},       Choice{"potassium_formate", "potassium formate, KHCO2"},
    Choice{"potassium_carbonate", "potassium carbonate, K2CO3"},
};

inline constexpr std::size_t salt_count = salt_choices.size();

// An anhydrous salt. Masses in g/mol.
struct SaltData {
  double cation, cations;  // mass of the metal ion, and how many there are in the salt
  double anion, anions;
  std::array<double, 5> c;  // of the apparent density, Laliberte (2009)
  Limits temperature;       // of the source's data, K
  double highest;           // mass fraction of the source's data
  double most;              // mass fraction beyond which nothing is calculated: hardly any more dissolves, or the fit is lost

  constexpr double molar_mass() const { return cations * cation + anions * anion; }
  constexpr double cation_share() const { return cations * cation / molar_mass(); }
  constexpr double anion_share() const { return anions * anion / molar_mass(); }
  constexpr bool is_chloride() const { return anion == chemistry::element::chlorine; }
};

namespace ion {

using namespace chemistry::element;
inline constexpr double formate = hydrogen + carbon + 2.0 * oxygen, carbonate = carbon + 3.0 * oxygen, sulfate = sulfur + 4.0 * oxygen;

}  // namespace ion

inline constexpr std::array<SaltData, salt_count> salts{{
    {ion::sodium, 1, ion::chlorine, 1, {-0.00324112223655149, 0.0636354335906616, 1.01371399467365, 0.0145951015210159, 3317.34854426537},
     {273.15, 413.15}, 0.266, 0.30},
    {ion::potassium, 1, ion::chlorine, 1, {-0.855928945959145, 6.04073571306402, 2.81787416217166, 0.0253924645877338, 2681.61723465886},
     {278.15, 398.15}, 0.264, 0.30},
    {ion::calcium, 1, ion::chlorine, 2, {-9.72893747074295, 14.7005352975276, 4.19033341468332, 0.0397403624277021, 2708.12778894614},
     {288.15, 399.85}, 0.513, 0.56},
    {ion::magnesium, 1, ion::chlorine, 2, {-0.0215001423271867, 0.0441202083909434, 1.53227586827304, -0.0098078506056196, -3478.36496883693},
     {273.15, 371.85}, 0.324, 0.37},
    {ion::sodium, 1, ion::bromine, 1, {23.765937876294, 210.721942848473, 2.01023472140861, 0.0163941235513688, 1941.82908042744},
     {273.15, 368.15}, 0.548, 0.60},
    {ion::potassium, 1, ion::bromine, 1, {-13.151388032057, 190.74540854419, 5.39738604657711, 0.0402662461365671, 2153.22549041443},
     {273.15, 368.15}, 0.504, 0.55},
    {ion::sodium, 1, ion::formate, 1, {757.620542046849, 1317.08144389483, 0.756915393987625, 0.00316468742066717, 687.344536387312},
     {298.15, 318.15}, 0.406, 0.50},
    {ion::potassium, 1, ion::formate, 1, {436.744437704527, 2573.31507721143, 1.99555818412406, 0.0061770465575551, 781.316230322352},
     {288.15, 328.15}, 0.678, 0.76},
    {ion::potassium, 2, ion::carbonate, 1, {2290.10867876218, 1038.77363895405, 0.109769327294915, 0.000497783340935823, -74.0786862142127},
     {278.15, 368.15}, 0.361, 0.55},
}};

// Of seawater alone.
inline constexpr SaltData sodium_sulfate{
    ion::sodium, 2, ion::sulfate, 1, {0.00000445025449497252, 0.00000912086519621226, 0.0840358370073922, 0.00465767525381795, 4349.50513887423},
    {273.15, 398.15}, 0.325, 0.35};

constexpr const SaltData& data(Salt salt) { return salts[static_cast<std::size_t>(salt)]; }

inline constexpr Constant one_density{"1\\,\\mathrm{kg/m^3}", 1.0, Quantity::density, "unit of density", true};
inline constexpr Constant one_kelvin{"1\\,\\mathrm{K}", 1.0, Quantity::temperature, "unit of temperature", true};
inline constexpr Constant ice_point{"273.15\\,\\mathrm{K}", 273.15, Quantity::temperature, "zero of the Celsius scale", true};

// Water at atmospheric pressure, kg/m3 as a number, t in degC. Laliberte (2009), equation for pure water.
template <class T>
constexpr T water_density_number(const T& t) {
  const T high = step({"q_5", Quantity::number, "numerator of the density of water, the higher powers of t"},
                      (T(-2.8054253e-10) * t + T(1.0556302e-7)) * t - T(4.6170461e-5));
  const T all = step({"q", Quantity::number, "numerator of the density of water, a polynomial in t"},
                     ((high * t - T(0.0079870401)) * t + T(16.945176)) * t + T(999.83952));
  return all / (T(1.0) + T(0.01687985) * t);
}

template <class T>
constexpr T celsius_number(const T& temperature) {
  return step({"t", Quantity::number, "temperature in degrees Celsius"}, (temperature - constant<T>(ice_point)) / constant<T>(one_kelvin));
}
template <class T>
constexpr T water_at(const T& t) {
  return step({"\\hat\\rho_{w}", Quantity::number, "density of water in kg/m3"}, water_density_number(t));
}
template <class T>
constexpr T water_volume_of(const T& water) {
  return step({"\\hat v_{w}", Quantity::number, "volume of 1 kg of water in m3"}, T(1.0) / water);
}
// x + c as a person would write it; the same bits.
template <class T>
constexpr T plus(const T& x, double c) {
  return c < 0.0 ? x - T(-c) : x + T(c);
}
// c0 + c1 x likewise.
template <class T>
constexpr T line(double c0, double c1, const T& x) {
  return c1 < 0.0 ? T(c0) - T(-c1) * x : T(c0) + T(c1) * x;
}

// What the apparent density of a salt takes from temperature alone, t in degC.
template <class T>
constexpr T warmth_at(const T& t, const SaltData& salt,
                      const Step& name = {"a", Quantity::number, "exponential factor in the apparent density of the salt"}) {
  return step(name, exp(T(1e-6) * square(plus(t, salt.c[4]))));
}
template <class T>
constexpr T thinning_at(const T& t, const SaltData& salt,
                        const Step& name = {"b", Quantity::number, "linear factor in the apparent density of the salt"}) {
  return step(name, line(salt.c[2], salt.c[3], t));
}

// Volume in m3 of the dissolved salt `part`, kg, as numbers, where all salts are the mass fraction w of the brine:
// part / ((c0 w + c1) exp(1e-6 (t + c4)^2) / (w + c2 + c3 t)), Laliberte (2009).
template <class T>
constexpr T salt_volume_number(const T& part, const T& w, const SaltData& salt, const T& warmth, const T& thinning) {
  return part * (w + thinning) / ((T(salt.c[0]) * w + T(salt.c[1])) * warmth);
}

// Volume of 1 kg of the brine of one salt in m3 as a number. What depends on temperature alone is passed in, so that a
// root in w does not work it out at every step.
template <class T>
constexpr T brine_volume_number(const T& w, const SaltData& salt, const T& water_volume, const T& warmth, const T& thinning) {
  return (T(1.0) - w) * water_volume + salt_volume_number(w, w, salt, warmth, thinning);
}

// Mass fraction less what the salt in the volume of 1 kg of brine makes of it: zero at the w of so much salt per volume.
// Its only state are plain numbers of the table above.
struct SaltBalance {
  SaltData salt;

  template <class T>
  constexpr T operator()(const T& w, const T& dissolved, const T& water_volume, const T& warmth, const T& thinning) const {
    return w - dissolved * brine_volume_number(w, salt, water_volume, warmth, thinning);
  }
};

// Mass fraction of a salt of which there is so much in a volume of brine, kg/m3 as a number. (Not forced inline, GCC makes
// the gradient of a retort a sixth slower.)
template <class T>
[[gnu::always_inline]] constexpr T mass_fraction_of(const SaltData& salt, const T& dissolved, const T& water, const T& water_volume, const T& warmth,
                                                    const T& thinning) {
  // The start is good to 1e-4 for sodium chloride at 20 degC: brine is denser than water by about (0.70 - 0.0002 c) c.
  const Bracket<T> bracket{T(0.0), T(salt.most), dissolved / (water + (T(0.70) - T(2e-4) * dissolved) * dissolved)};
  return solve({"w", Quantity::mass_fraction, "salt in the brine by mass"}, SaltBalance{salt}, bracket, dissolved, water_volume, warmth, thinning);
}

// A brine of one salt at its temperature.
template <class T>
struct Warm {
  const SaltData& salt;
  T water, water_volume, warmth, thinning;

  T volume(const T& w) const {
    return step({"\\hat v_{b}", Quantity::number, "volume of 1 kg of brine in m3"}, brine_volume_number(w, salt, water_volume, warmth, thinning));
  }
};

template <class T>
constexpr Warm<T> warm(const T& temperature, const SaltData& salt) {
  const T t = celsius_number(temperature), water = water_at(t), water_volume = water_volume_of(water);
  return {salt, water, water_volume, warmth_at(t, salt), thinning_at(t, salt)};
}

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
