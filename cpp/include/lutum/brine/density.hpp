// Density and make-up of a brine of one salt from its mass fraction: the conversions between the ways salt is told.
#pragma once

#include "lutum/brine/make_up.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

struct Density : Calculation<Density> {
  using Option = Salt;
  static constexpr OptionInfo option = describe::salt;

  template <class T>
  struct Input {
    T mass_fraction = T(not_a_number);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T density;
    T salt_concentration;
    T salt_content;
    T parts_per_million;
    T chloride;
    T cation;
    T volume_ratio;
    T water_ratio;
    T salt_per_water;
  };

  static constexpr std::array inputs{describe::mass_fraction_given, describe::temperature};
  static constexpr std::array results{
      describe::density, describe::salt_concentration, describe::salt_content, describe::parts_per_million,
      describe::chloride, describe::cation, describe::volume_ratio, describe::water_ratio,
      describe::salt_per_water,
  };

  static constexpr Sheet sheet{
      .id = "brine.density",
      .title = "Density and make-up of a brine",
      .answers = "How dense is a brine of so much salt by mass, how much salt and water make it up, and what does it hold in mg/L, ppm and chloride?",
      .equations = "1/rho_b = (1-w)/rho_w(T) + w/rho_app(w, T); c_s = w rho_b; f_b = rho_w / (rho_b (1-w)); f_w = 1/f_b; s_w = rho_w w/(1-w)",
      .source = describe::density_source,
      .assumptions = "One salt, all of it dissolved; whether so much dissolves at this temperature is not asked. Atmospheric pressure.",
      .cautions = describe::salt_cautions,
  };

  static constexpr std::array verdicts{finding::is_within_source, finding::is_beyond_mass_fraction, finding::is_beyond_temperature,
                                       finding::is_no_such_brine, finding::is_missing};

  static constexpr std::int8_t judge(const Input<double>& in, const Result<double>& r, Salt salt) {
    if (in.mass_fraction > data(salt).most) return finding::no_such_brine;
    if (!(r.density == r.density)) return finding::missing;
    return range_of(data(salt), in.mass_fraction, in.temperature);
  }

  static constexpr Input<double> example() { return {.mass_fraction = 0.10, .temperature = 298.15}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Salt salt) {
    const Warm<T> at = warm(in.temperature, data(salt));
    const T w = only_if(in.mass_fraction <= T(data(salt).most), in.mass_fraction);
    const MakeUp<T> b = make_up(w, at.volume(w), at.water);
    return {b.density, b.salt_concentration, b.salt_content, b.parts_per_million, chloride_of(b.salt_concentration, salt),
            cation_of(b.salt_concentration, salt), b.volume_ratio, b.water_ratio, b.salt_per_water};
  }
};

inline constexpr Density density{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
