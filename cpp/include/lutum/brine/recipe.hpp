// Salt and water for a wanted volume of brine of a wanted density.
#pragma once

#include "lutum/brine/from_density.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

struct Recipe : Calculation<Recipe> {
  using Option = Salt;
  static constexpr OptionInfo option = describe::salt;

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T volume = T(not_a_number);
    T temperature = T(293.15);
    T salt_purity = T(1.0);
  };

  template <class T>
  struct Result {
    T mass_fraction;
    T salt_mass;
    T water_volume;
    T product_content;
    T water_ratio;
  };

  static constexpr std::array inputs{
      Variable{.name = "density", .symbol = "\\rho_{b}", .quantity = Quantity::density, .meaning = "density that the brine is to have",
               .limits = {850.0, 1800.0}, .validated = {950.0, 1760.0}},
      Variable{.name = "volume", .symbol = "V_{b}", .quantity = Quantity::mud_volume, .meaning = "volume of brine to be made", .limits = {0.0, 1e5},
               .validated = {0.0, 2000.0}},
      describe::temperature,
      Variable{.name = "salt_purity", .symbol = "p", .quantity = Quantity::mass_fraction,
               .meaning = "pure anhydrous salt in the salt as bought; the rest is water", .limits = {0.2, 1.0}, .validated = {0.5, 1.0}},
  };
  static constexpr std::array results{
      Variable{.name = "mass_fraction", .symbol = "w_{s}", .quantity = Quantity::mass_fraction, .meaning = "pure salt in the finished brine by mass"},
      Variable{.name = "salt_mass", .symbol = "m_{s}", .quantity = Quantity::product_mass, .meaning = "salt as bought to weigh in"},
      Variable{.name = "water_volume", .symbol = "V_{w}", .quantity = Quantity::mud_volume, .meaning = "fresh water to measure in, at the same "
                                                                                                       "temperature"},
      Variable{.name = "product_content", .symbol = "s_{p}", .quantity = Quantity::concentration, .meaning = "salt as bought per volume of "
                                                                                                             "finished brine"},
      Variable{.name = "water_ratio", .symbol = "f_{p}", .quantity = Quantity::volume_ratio, .meaning = "water to measure in per volume of "
                                                                                                        "finished brine"},
  };

  static constexpr Sheet sheet{
      .id = "brine.recipe",
      .title = "Recipe of a brine",
      .answers = "How much salt and how much water make this volume of brine of this density?",
      .equations = "s_b = w rho_b, w from the density; s_p = s_b / p; m_s = V_b s_p; f_p = f_w (rho_b - s_p) / (rho_b - s_b); V_w = V_b f_p",
      .source = "Mass balance (derived); mass fraction by brine.from_density.",
      .assumptions = "What is not salt in the salt as bought is water of crystallisation or moisture, as in flaked calcium chloride; other salts "
                     "in it make the "
                     "brine a little lighter or heavier. Fresh water. Volumes at the temperature given; the brine is measured after it has "
                     "cooled to it.",
      .cautions = describe::salt_cautions,
  };

  static constexpr std::int8_t water_short = 6;
  static constexpr std::array verdicts{
      finding::is_within_source, finding::is_beyond_mass_fraction, finding::is_beyond_temperature, finding::is_no_such_brine, finding::is_missing,
      FromDensity::is_lighter_than_water,
      Verdict{"water_short", "the salt as bought brings more water than the brine holds: so dense a brine cannot be made of it",
          Severity::impossible}};

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, Salt salt) {
    if (!(in.volume + in.salt_purity == in.volume + in.salt_purity)) return finding::missing;
    const FromDensity::Input<double> same{.density = in.density, .temperature = in.temperature};
    const std::int8_t found = FromDensity::judge(same, FromDensity::evaluate(same, salt), salt);
    return r.water_ratio < 0.0 && found != finding::no_such_brine ? water_short : found;
  }

  static constexpr Input<double> example() { return {.density = 1150.0, .volume = 20.0, .temperature = 298.15, .salt_purity = 0.98}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Salt salt) {
    const auto brine = call<FromDensity, T>({.density = in.density, .temperature = in.temperature}, salt);
    Result<T> r;
    r.mass_fraction = brine.mass_fraction;
    r.product_content = step({"s_{p}", Quantity::concentration, "salt as bought per volume of finished brine"}, brine.salt_content / in.salt_purity);
    r.salt_mass = in.volume * r.product_content;
    // The water of the brine, less what the salt brings with it.
    r.water_ratio = step({"f_{p}", Quantity::volume_ratio, "water to measure in per volume of finished brine"},
                         brine.water_ratio * (in.density - r.product_content) / (in.density - brine.salt_content));
    r.water_volume = in.volume * r.water_ratio;
    return r;
  }
};

inline constexpr Recipe recipe{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
