// The salt of a brine from its density.
#pragma once

#include "lutum/brine/make_up.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

struct FromDensity : Calculation<FromDensity> {
  using Option = Salt;
  static constexpr OptionInfo option = describe::salt;

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T mass_fraction;
    T salt_concentration;
    T salt_content;
    T parts_per_million;
    T chloride;
    T cation;
    T volume_ratio;
    T water_ratio;
    T salt_per_water;
  };

  static constexpr std::array inputs{
      Variable{.name = "density", .symbol = "\\rho_{b}", .quantity = Quantity::density, .meaning = "density of the clear brine",
               .limits = {850.0, 1800.0}, .validated = {950.0, 1760.0}},
      describe::temperature};
  static constexpr std::array results{
      describe::mass_fraction, describe::salt_concentration, describe::salt_content, describe::parts_per_million,
      describe::chloride, describe::cation, describe::volume_ratio, describe::water_ratio,
      describe::salt_per_water,
  };

  static constexpr Sheet sheet{
      .id = "brine.from_density",
      .title = "Salt of a brine from its density",
      .answers = "How much salt does a brine of this density hold, and how is it made up?",
      .equations = "rho_b = 1/((1-w)/rho_w(T) + w/rho_app(w, T)), solved for w; c_s = w rho_b; "
                   "f_b = rho_w / (rho_b (1-w)); f_w = 1/f_b; s_w = rho_w w/(1-w)",
      .source = describe::density_source,
      .assumptions = "One salt, known beforehand, all of it dissolved; no solids, no gas. Density and temperature belong together. "
                     "Atmospheric pressure.",
      .cautions = describe::salt_cautions,
  };

  static constexpr std::int8_t lighter_than_water = 5;
  static constexpr Verdict is_lighter_than_water{
      "lighter_than_water", "the brine is lighter than water of this temperature: a wrong reading, unit or temperature, or gas in it",
      Severity::impossible};
  static constexpr std::array verdicts{finding::is_within_source, finding::is_beyond_mass_fraction, finding::is_beyond_temperature,
                                       finding::is_no_such_brine, finding::is_missing,
                                       is_lighter_than_water};

  static constexpr double lowest = -0.05;  // a brine read a little lighter than water keeps its signed number

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, Salt salt) {
    if (!(in.density + in.temperature == in.density + in.temperature)) return finding::missing;
    if (in.density < water_density_number((in.temperature - ice_point.value) / one_kelvin.value)) return lighter_than_water;
    if (!(r.mass_fraction == r.mass_fraction)) return finding::no_such_brine;
    return range_of(data(salt), r.mass_fraction, in.temperature);
  }

  static constexpr Input<double> example() { return {.density = 1150.0, .temperature = 298.15}; }

  // Zero where 1 kg of brine takes the volume that its density says; increasing in w, as the brine gets denser.
  struct Fit {
    SaltData salt;

    template <class T>
    constexpr T operator()(const T& w, const T& heavy, const T& water_volume, const T& warmth, const T& thinning) const {
      return T(1.0) - heavy * brine_volume_number(w, salt, water_volume, warmth, thinning);
    }
  };

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Salt salt) {
    const double most = data(salt).most;
    const Warm<T> at = warm(in.temperature, data(salt));
    const T heavy = step({"\\hat\\rho_{b}", Quantity::number, "density of the brine in kg/m3"}, in.density / constant<T>(one_density));
    const Bracket<T> bracket{T(lowest), T(most), T(1.4) * (T(1.0) - at.water / heavy)};
    const Step unknown{"w", Quantity::mass_fraction, "salt in the brine by mass"};
    const T w = inside(solve(unknown, Fit{data(salt)}, bracket, heavy, at.water_volume, at.warmth, at.thinning), lowest, most);
    const MakeUp<T> b = make_up(w, at.volume(w), at.water);
    return {w, b.salt_concentration, b.salt_content, b.parts_per_million, chloride_of(b.salt_concentration, salt),
            cation_of(b.salt_concentration, salt), b.volume_ratio, b.water_ratio, b.salt_per_water};
  }
};

inline constexpr FromDensity from_density{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
