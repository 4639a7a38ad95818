// What the calculations on a brine of one salt have in common: its make-up once mass fraction and density are known, the
// descriptions of the results, and the verdicts on the range of the density's source.
#pragma once

#include "lutum/brine/salts.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

template <class T>
struct MakeUp {
  T density, salt_concentration, salt_content, parts_per_million, volume_ratio, water_ratio, salt_per_water;
};

// The brine of mass fraction w of which 1 kg takes `volume` m3, a number, beside water of so many kg/m3.
template <class T>
constexpr MakeUp<T> make_up(const T& w, const T& volume, const T& water) {
  MakeUp<T> r;
  r.density = step({"\\rho_{b}", Quantity::density, "density of the brine"}, T(1.0) / volume * constant<T>(one_density));
  r.salt_concentration = step({"c_{s}", Quantity::ion_concentration, "salt per volume of brine, as an analysis gives it"}, w * r.density);
  r.salt_content = r.salt_concentration;
  r.parts_per_million = w;
  const T water_mass = step({"w_{w}", Quantity::mass_fraction, "water in the brine by mass"}, T(1.0) - w);
  r.volume_ratio = step({"f_{b}", Quantity::volume_ratio, "volume of brine per volume of water in it"}, water * volume / water_mass);
  r.water_ratio = T(1.0) / r.volume_ratio;
  r.salt_per_water = w / water_mass * water * constant<T>(one_density);
  return r;
}

// Share of chloride in each salt, none in a salt without it, and of the metal, by mass.
inline constexpr auto chloride_shares = [] {
  std::array<Constant, salt_count> r{};
  for (std::size_t i = 0; i < salt_count; ++i)
    r[i] = {"x_{Cl}", salts[i].is_chloride() ? salts[i].anion_share() : 0.0, Quantity::number, "share of chloride in the salt by mass"};
  return r;
}();
inline constexpr auto cation_shares = [] {
  std::array<Constant, salt_count> r{};
  for (std::size_t i = 0; i < salt_count; ++i) r[i] = {"x_{M}", salts[i].cation_share(), Quantity::number, "share of the metal in the salt by mass"};
  return r;
}();

template <class T>
constexpr T chloride_of(const T& salt_concentration, Salt salt) {
  return salt_concentration * constant<T>(chloride_shares[static_cast<std::size_t>(salt)]);
}
template <class T>
constexpr T cation_of(const T& salt_concentration, Salt salt) {
  return salt_concentration * constant<T>(cation_shares[static_cast<std::size_t>(salt)]);
}

namespace describe {

inline constexpr Variable mass_fraction_given{
    .name = "mass_fraction", .symbol = "w", .quantity = Quantity::mass_fraction,
    .meaning = "salt in the brine by mass, without its water of crystallisation", .limits = {0.0, 0.8}, .validated = {0.0, 0.678}};
inline constexpr Variable temperature{
    .name = "temperature", .symbol = "T", .quantity = Quantity::temperature, .meaning = "temperature at which volumes and densities are read",
    .limits = {273.15, 413.15}, .validated = {273.15, 413.15}};

inline constexpr Variable mass_fraction{
    .name = "mass_fraction", .symbol = "w", .quantity = Quantity::mass_fraction, .meaning = "salt in the brine by mass"};
inline constexpr Variable density{
    .name = "density", .symbol = "\\rho_{b}", .quantity = Quantity::density, .meaning = "density of the brine"};
inline constexpr Variable salt_concentration{
    .name = "salt_concentration", .symbol = "c_{s}", .quantity = Quantity::ion_concentration,
    .meaning = "salt per volume of brine, as an analysis gives it"};
inline constexpr Variable salt_content{
    .name = "salt_content", .symbol = "s_{b}", .quantity = Quantity::concentration, .meaning = "salt per volume of brine, as salt is added"};
inline constexpr Variable parts_per_million{
    .name = "parts_per_million", .symbol = "w_{ppm}", .quantity = Quantity::trace_mass_fraction,
    .meaning = "salt in a million parts of brine by mass"};
inline constexpr Variable chloride{
    .name = "chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
    .meaning = "chloride per volume of brine; none of a salt without it"};
inline constexpr Variable cation{
    .name = "cation", .symbol = "c_{M}", .quantity = Quantity::ion_concentration,
    .meaning = "the salt's sodium, potassium, calcium or magnesium per volume of brine"};
inline constexpr Variable volume_ratio{
    .name = "volume_ratio", .symbol = "f_{b}", .quantity = Quantity::volume_ratio, .meaning = "volume of brine per volume of water in it"};
inline constexpr Variable water_ratio{
    .name = "water_ratio", .symbol = "f_{w}", .quantity = Quantity::volume_ratio, .meaning = "volume of water per volume of brine made with it"};
inline constexpr Variable salt_per_water{
    .name = "salt_per_water", .symbol = "s_{w}", .quantity = Quantity::concentration, .meaning = "salt to dissolve in a volume of water"};

inline constexpr OptionInfo salt{.name = "salt", .meaning = "the dissolved salt", .choices = salt_choices};

inline constexpr std::string_view density_source =
    "Density: Laliberte, J. Chem. Eng. Data 54 (2009) 1725, coefficients read in two open libraries. Largest gap to the CRC Handbook, 102nd ed., at "
    "20 degC, kg/m3: NaCl 0.6, KCl 0.3, NaBr 0.6, KBr 0.4, MgCl2 1.7, CaCl2 2.6 (at 40 %), K2CO3 5.9 (the equation is low); the formates were not "
    "held against a table. The rest is mass balance (derived).";
inline constexpr std::string_view salt_cautions =
    "Dissolving calcium or magnesium chloride or potassium carbonate makes much heat: salt into water, slowly, goggles and gloves; "
    "calcium and zinc brines burn skin and eyes, carbonate brine is caustic. A density for well control is advisory: measure the brine, correct it "
    "for temperature, and let the well's own programme and licensed practice decide.";

}  // namespace describe

// Places in the verdicts of every calculation on a brine; further ones stand behind these.
namespace finding {

inline constexpr std::int8_t within_source = 0, beyond_mass_fraction = 1, beyond_temperature = 2, no_such_brine = 3, missing = 4;

inline constexpr Verdict is_within_source{"within_source", "salt and temperature lie where the density relation was fitted to measurements"};
inline constexpr Verdict is_beyond_mass_fraction{
    "beyond_mass_fraction", "the brine is saltier than those the density relation was fitted to: the numbers are extrapolated", Severity::caution};
inline constexpr Verdict is_beyond_temperature{
    "beyond_temperature", "the temperature lies outside the measurements of this salt: the numbers are extrapolated", Severity::caution};
inline constexpr Verdict is_no_such_brine{
    "no_such_brine", "a solution of this salt so concentrated is not known: a wrong unit, another salt, or undissolved salt", Severity::impossible};
inline constexpr Verdict is_missing{"missing", "a reading is missing"};

}  // namespace finding

// The verdict on a brine whose mass fraction is known.
constexpr std::int8_t range_of(const SaltData& salt, double w, double temperature) {
  if (w > salt.highest) return finding::beyond_mass_fraction;
  return salt.temperature.contain(temperature) ? finding::within_source : finding::beyond_temperature;
}

// A root that ran into the end of its bracket is none.
template <class T>
T inside(const T& w, double low, double high) {
  return only_if(w > T(low + 1e-9), only_if(w < T(high - 1e-9), w));
}

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
