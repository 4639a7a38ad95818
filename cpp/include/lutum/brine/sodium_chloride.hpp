// Sodium chloride brine from its chloride: salt, density, and the volume it takes beside the water that a retort distils.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

inline constexpr Constant one_density{"1\\,\\mathrm{kg/m^3}", 1.0, Quantity::density, "unit of density", true};
inline constexpr Constant one_kelvin{"1\\,\\mathrm{K}", 1.0, Quantity::temperature, "unit of temperature", true};
inline constexpr Constant ice_point{"273.15\\,\\mathrm{K}", 273.15, Quantity::temperature, "zero of the Celsius scale", true};

// Water at atmospheric pressure, kg/m3 as a number, t in degC. Laliberte (2009), equation for pure water.
template <class T>
constexpr T water_density_number(const T& t) {
  const T high = step({"p_5", Quantity::number, "polynomial in t, its higher powers"},
                      (T(-2.8054253e-10) * t + T(1.0556302e-7)) * t - T(4.6170461e-5));
  const T all = step({"p", Quantity::number, "polynomial in t"}, ((high * t - T(0.0079870401)) * t + T(16.945176)) * t + T(999.83952));
  return all / (T(1.0) + T(0.01687985) * t);
}

// Volume of 1 kg of sodium chloride brine in m3 as a number: water beside salt at its apparent density, Laliberte (2009),
// (c0 w + c1) exp(1e-6 (t + c4)^2) / (w + c2 + c3 t). What depends on temperature alone is passed in, so that a root in w
// does not work it out at every step: the volume of 1 kg of water, the exponential, and c2 + c3 t.
template <class T>
constexpr T sodium_chloride_brine_volume_number(const T& w, const T& water_volume, const T& warmth, const T& thinning) {
  return (T(1.0) - w) * water_volume + w * (w + thinning) / ((T(-0.00324112223655149) * w + T(0.0636354335906616)) * warmth);
}

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

  static constexpr double chlorine_mass = 35.45, sodium_mass = 22.990;  // g/mol, IUPAC abridged atomic weights
  static constexpr double salt_per_chloride = (sodium_mass + chlorine_mass) / chlorine_mass;

  static constexpr Constant salt_of_chloride{"r", salt_per_chloride, Quantity::number, "mass of sodium chloride for each mass of chloride, 58.44/35.45"};

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

  static constexpr double highest_mass_fraction = 0.266;  // of the source's data

  static constexpr std::array verdicts{
      Verdict{"within_source", "the brine is no saltier than those the density relation was fitted to"},
      Verdict{"beyond_source", "more than 26.6 wt % salt: the density relation is extrapolated, and so much dissolves only above about 35 degC",
              Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.mass_fraction == r.mass_fraction)) return 2;
    return r.mass_fraction > highest_mass_fraction ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.chloride = 64.949}; }

  // Mass fraction less what the salt in the volume of 1 kg of brine makes of it: zero at the w that is sought.
  struct Balance {
    template <class T>
    constexpr T operator()(const T& w, const T& salt, const T& water_volume, const T& warmth, const T& thinning) const {
      return w - salt * sodium_chloride_brine_volume_number(w, water_volume, warmth, thinning);
    }
  };

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T t = step({"t", Quantity::number, "temperature in degrees Celsius"}, (in.temperature - constant<T>(ice_point)) / constant<T>(one_kelvin));
    const T water = step({"\\hat\\rho_{w}", Quantity::number, "density of water in kg/m3"}, water_density_number(t));
    const T water_volume = step({"\\hat v_{w}", Quantity::number, "volume of 1 kg of water in m3"}, T(1.0) / water);
    const T warmth = step({"a", Quantity::number, "exponential factor in the apparent density of the salt"},
                          exp(T(1e-6) * square(t + T(3317.34854426537))));
    const T thinning = step({"b", Quantity::number, "linear factor in the apparent density of the salt"},
                            T(1.01371399467365) + T(0.0145951015210159) * t);
    const T salt = step({"\\hat c_{NaCl}", Quantity::number, "salt per volume of brine in kg/m3"},
                        in.chloride * constant<T>(salt_of_chloride) / constant<T>(one_density));
    // The start is good to 1e-4 at 20 degC: brine is denser than water by about (0.70 - 0.0002 c) c, c in kg/m3.
    const Bracket<T> bracket{T(0.0), T(0.30), salt / (water + (T(0.70) - T(2e-4) * salt) * salt)};
    Result<T> r;
    r.mass_fraction = solve({"w", Quantity::mass_fraction, "sodium chloride in the brine by mass"}, Balance{}, bracket, salt, water_volume, warmth, thinning);
    const T& w = r.mass_fraction;
    const T volume = step({"\\hat v_{b}", Quantity::number, "volume of 1 kg of brine in m3"},
                          sodium_chloride_brine_volume_number(w, water_volume, warmth, thinning));
    r.density = T(1.0) / volume * constant<T>(one_density);
    r.salt_concentration = w * r.density;
    r.volume_ratio = water * volume / (T(1.0) - w);
    return r;
  }
};

inline constexpr SodiumChloride sodium_chloride{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
