// A brine from its salt per volume, as it is analysed or made up.
#pragma once

#include "lutum/brine/make_up.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

struct FromConcentration : Calculation<FromConcentration> {
  using Option = Salt;
  static constexpr OptionInfo option = describe::salt;

  template <class T>
  struct Input {
    T salt_concentration = T(not_a_number);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T mass_fraction;
    T density;
    T salt_content;
    T parts_per_million;
    T chloride;
    T cation;
    T volume_ratio;
    T water_ratio;
    T salt_per_water;
  };

  static constexpr std::array inputs{
      Variable{.name = "salt_concentration", .symbol = "c_{s}", .quantity = Quantity::ion_concentration,
               .meaning = "salt per volume of brine, mass per volume (not ppm)", .limits = {0.0, 1300.0}, .validated = {0.0, 1000.0}},
      describe::temperature};
  static constexpr std::array results{
      describe::mass_fraction, describe::density, describe::salt_content, describe::parts_per_million,
      describe::chloride, describe::cation, describe::volume_ratio, describe::water_ratio,
      describe::salt_per_water,
  };

  static constexpr Sheet sheet{
      .id = "brine.from_concentration",
      .title = "Brine from its salt per volume",
      .answers = "How much salt by mass is a brine of so many mg/L or lb/bbl, how dense is it, and how is it made up?",
      .equations = "c_s = w rho_b(w, T), solved for w; 1/rho_b = (1-w)/rho_w(T) + w/rho_app(w, T); f_b = rho_w / (rho_b (1-w)); f_w = 1/f_b; "
                   "s_w = rho_w w/(1-w)",
      .source = describe::density_source,
      .assumptions = "One salt, all of it dissolved. Salt per volume of brine, not per volume of the water it was dissolved in. "
                     "Atmospheric pressure.",
      .cautions = describe::salt_cautions,
  };

  static constexpr std::array verdicts{finding::is_within_source, finding::is_beyond_mass_fraction, finding::is_beyond_temperature,
                                       finding::is_no_such_brine, finding::is_missing};

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, Salt salt) {
    if (!(in.salt_concentration + in.temperature == in.salt_concentration + in.temperature)) return finding::missing;
    if (!(r.mass_fraction == r.mass_fraction)) return finding::no_such_brine;
    return range_of(data(salt), r.mass_fraction, in.temperature);
  }

  static constexpr Input<double> example() { return {.salt_concentration = 107.0, .temperature = 298.15}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Salt salt) {
    const Warm<T> at = warm(in.temperature, data(salt));
    const T dissolved = step({"\\hat c_{s}", Quantity::number, "salt per volume of brine in kg/m3"},
                             in.salt_concentration / constant<T>(one_density));
    const T w = inside(mass_fraction_of(data(salt), dissolved, at.water, at.water_volume, at.warmth, at.thinning), -1.0, data(salt).most);
    const MakeUp<T> b = make_up(w, at.volume(w), at.water);
    return {w, b.density, b.salt_content, b.parts_per_million, chloride_of(b.salt_concentration, salt),
            cation_of(b.salt_concentration, salt), b.volume_ratio, b.water_ratio, b.salt_per_water};
  }
};

inline constexpr FromConcentration from_concentration{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
