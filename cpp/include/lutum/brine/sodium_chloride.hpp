// Sodium chloride brine from its chloride: salt, density, and the volume it takes beside the water that a retort distils.
#pragma once

#include "lutum/brine/salts.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

struct SodiumChloride : Calculation<SodiumChloride> {
  template <class T>
  struct Input {
    T chloride = T(not_a_number);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T mass_fraction;
    T salt_concentration;
    T density;
    T volume_ratio;
  };

  static constexpr const SaltData& salt = data(Salt::sodium_chloride);

  static constexpr Constant salt_of_chloride{"r", salt.molar_mass() / salt.anion, Quantity::number,
                                              "mass of sodium chloride for each mass of chloride, 58.44/35.45"};

  static constexpr std::array inputs{
      Variable{.name = "chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride in the filtrate, mass per volume (not ppm)", .limits = {0.0, 200.0}, .validated = {0.0, 193.0}},
      Variable{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature,
               .meaning = "temperature at which volumes and densities are read", .limits = {273.15, 413.15}, .validated = {273.15, 413.15}},
  };

  static constexpr std::array results{
      Variable{.name = "mass_fraction", .symbol = "w", .quantity = Quantity::mass_fraction, .meaning = "sodium chloride in the brine by mass"},
      Variable{.name = "salt_concentration", .symbol = "c_{NaCl}", .quantity = Quantity::ion_concentration,
               .meaning = "sodium chloride per volume of brine"},
      Variable{.name = "density", .symbol = "\\rho_{b}", .quantity = Quantity::density, .meaning = "density of the brine"},
      Variable{.name = "volume_ratio", .symbol = "f_{b}", .quantity = Quantity::volume_ratio,
               .meaning = "volume of brine per volume of pure water distilled from it"},
  };

  static constexpr Sheet sheet{
      .id = "brine.sodium_chloride",
      .title = "Sodium chloride brine from its chloride",
      .answers = "How salty and how dense is the water phase, and how much volume does the dissolved salt add to the retort water?",
      .equations = "c_NaCl = 1.6485 c_Cl = w rho_b(w, T), solved for w; 1/rho_b = (1-w)/rho_w(T) + w/rho_app(w, T); f_b = rho_w / (rho_b (1-w))",
      .source = "Density: Laliberte, J. Chem. Eng. Data 54 (2009) 1725, coefficients as transcribed in an open library, 0-140 degC, w to 0.266; "
                "within 0.6 kg/m3 of CRC Handbook 102nd ed. at 20 degC. Volume ratio and chloride to salt: mass balance (derived).",
      .assumptions = "All chloride is sodium chloride. Potassium or calcium chloride brines need their own calculation.",
      .cautions = "Chloride in mg/L, mass per volume of filtrate. A figure in ppm (mg/kg) reads low by the density of the brine.",
  };

  static constexpr std::array verdicts{
      Verdict{"within_source", "the brine is no saltier than those the density relation was fitted to"},
      Verdict{"beyond_source", "more than 26.6 wt % salt: the density relation is extrapolated, and so much dissolves only above about 35 degC",
              Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.mass_fraction == r.mass_fraction)) return 2;
    return r.mass_fraction > salt.highest ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.chloride = 64.949}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T t = celsius_number(in.temperature), water = water_at(t), water_volume = water_volume_of(water);
    const T warmth = warmth_at(t, salt), thinning = thinning_at(t, salt);
    const T dissolved = step({"\\hat c_{NaCl}", Quantity::number, "salt per volume of brine in kg/m3"},
                             in.chloride * constant<T>(salt_of_chloride) / constant<T>(one_density));
    Result<T> r;
    r.mass_fraction = mass_fraction_of(salt, dissolved, water, water_volume, warmth, thinning);
    const T volume = step({"\\hat v_{b}", Quantity::number, "volume of 1 kg of brine in m3"},
                          brine_volume_number(r.mass_fraction, salt, water_volume, warmth, thinning));
    r.density = T(1.0) / volume * constant<T>(one_density);
    r.salt_concentration = r.mass_fraction * r.density;
    r.volume_ratio = water * volume / (T(1.0) - r.mass_fraction);
    return r;
  }
};

inline constexpr SodiumChloride sodium_chloride{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
