// The standard direct-indicating viscometer, and its constants by physics and by the trade's convention.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

namespace standard_instrument {

inline constexpr double rotor_radius = 18.415e-3, bob_radius = 17.245e-3;
inline constexpr double spring_constant = 386.0 * find_symbol("dyne.cm/deg")->scale();
inline constexpr double rpm = find_symbol("rpm")->scale();
// The rate of a Newtonian fluid at the bob is 2 R^2/(R^2 - r^2) for each radian of speed.
inline constexpr double rate_per_speed = 2.0 * rotor_radius * rotor_radius / (rotor_radius * rotor_radius - bob_radius * bob_radius);
// A Newtonian fluid of 1 mPa.s reads 1 degree at 300 r/min: the other half of the pair.
inline constexpr double stress_per_degree = 1e-3 * rate_per_speed * 300.0 * rpm;
// The bob that has this stress at this torque: about 40.4 mm. It is 38.0 mm high; the rest is the drag on its ends.
inline constexpr double effective_bob_height = spring_constant / (2.0 * exact::pi * bob_radius * bob_radius * stress_per_degree);
inline constexpr double bob_height = 38.0e-3;

}  // namespace standard_instrument

inline constexpr Constant newtonian_rate{"k_{N}", standard_instrument::rate_per_speed, Quantity::rate_per_speed,
                                         "shear rate of a Newtonian fluid at the bob for each unit of speed"};
inline constexpr Constant wall_stress_per_degree{"k_\\tau", standard_instrument::stress_per_degree, Quantity::stress_per_degree,
                                                 "wall stress of one dial degree: a Newtonian fluid of 1 mPa.s reads 1 at 300 r/min"};
inline constexpr Constant viscosity_per_degree{"k_\\mu", 1e-3, Quantity::viscosity_per_degree,
                                               "viscosity of one dial degree at 300 r/min by the trade's convention, 1 cP"};
inline constexpr Constant stress_per_degree{"k_s", find_symbol("0.01 lbf/ft2")->scale(), Quantity::stress_per_degree,
                                            "stress of one dial degree by the trade's convention, 1 lb/100 ft2"};
inline constexpr Constant one_rate_per_speed{"1\\,\\mathrm{(1/s)/(rad/s)}", 1.0, Quantity::rate_per_speed, "unit of a rate for each unit of speed",
                                             true};
inline constexpr Constant speed_300{"N_{300}", 300.0 * standard_instrument::rpm, Quantity::rotational_speed, "the speed of 300 r/min"};
// The Newtonian rates of the standard instrument, in 1/s as numbers, for powers.
inline constexpr Constant rate_at_300{"g_{300}", standard_instrument::rate_per_speed * 300.0 * standard_instrument::rpm, Quantity::number,
                                      "Newtonian shear rate at 300 r/min in 1/s"};
inline constexpr Constant rate_at_100{"g_{100}", standard_instrument::rate_per_speed * 100.0 * standard_instrument::rpm, Quantity::number,
                                      "Newtonian shear rate at 100 r/min in 1/s"};
inline constexpr Constant log_of_two{"\\mathrm{ln}\\,2", 0.693147180559945309417, Quantity::number, "logarithm of 600/300"};
inline constexpr Constant log_of_100_over_3{"\\mathrm{ln}(100/3)", 3.50655789731998170, Quantity::number, "logarithm of 100/3"};

namespace detail {

// A factor against the standard instrument is 1 where it is nearly so: the rounding of an inch or a millimetre is no other
// instrument, and 65 degrees less 40 are 25. The slopes stay.
template <class T>
T exactly_one_if_near(const T& factor) {
  const auto alike = abs(factor - T(1.0)) < T(1e-9);
  if constexpr (std::is_same_v<T, traced>) {
    return select(alike, T(1.0), factor);
  } else {
    return select(alike, T(1.0) + (factor - without_slope<T>(value_of(factor))), factor);
  }
}

}  // namespace detail

// Single dial readings of the standard instrument, as several methods take them.
namespace describe {

constexpr Variable reading_at(std::string_view name, std::string_view symbol, std::string_view meaning) {
  return {.name = name, .symbol = symbol, .quantity = Quantity::dial_reading, .meaning = meaning, .limits = {0.0, 400.0}, .validated = {0.0, 300.0}};
}
inline constexpr Variable reading_600 = reading_at("reading_600", "\\theta_{600}", "dial reading at 600 r/min");
inline constexpr Variable reading_300 = reading_at("reading_300", "\\theta_{300}", "dial reading at 300 r/min");
inline constexpr Variable reading_100 = reading_at("reading_100", "\\theta_{100}", "dial reading at 100 r/min");
inline constexpr Variable reading_6 = reading_at("reading_6", "\\theta_{6}", "dial reading at 6 r/min");
inline constexpr Variable reading_3 = reading_at("reading_3", "\\theta_{3}", "dial reading at 3 r/min");

constexpr Variable optional(Variable v, std::string_view if_missing = {}) {
  v.optional = true;
  v.if_missing = if_missing;
  return v;
}

// Any rotor, bob and spring; the standard ones are the defaults.
inline constexpr Variable rotor_radius{.name = "rotor_radius", .symbol = "R", .quantity = Quantity::diameter,
                                       .meaning = "inner radius of the rotor, the sleeve that turns", .limits = {1e-3, 0.1},
                                       .validated = {0.0175, 0.026}};
inline constexpr Variable bob_radius{.name = "bob_radius", .symbol = "r", .quantity = Quantity::diameter, .meaning = "radius of the bob",
                                     .limits = {1e-3, 0.1}, .validated = {0.0086, 0.0173}};
inline constexpr Variable effective_bob_height{
    .name = "effective_bob_height", .symbol = "L_{e}", .quantity = Quantity::diameter,
    .meaning = "height of a bob without ends that the fluid would turn as much; more than the height measured: the end effect is inside",
    .limits = {1e-3, 0.5}, .validated = {0.019, 0.045}};
inline constexpr Variable spring_constant{.name = "spring_constant", .symbol = "k_{spring}", .quantity = Quantity::spring_constant,
                                          .meaning = "torque of the spring for each dial degree", .limits = {1e-7, 1e-2}, .validated = {7e-6, 4e-4}};

inline constexpr std::string_view reading_cautions = "Readings belong to the temperature at which they were taken. Hot or pressurised cells: let "
                                                     "them cool and vent first.";
inline constexpr std::string_view stress_constant_source =
    "Stress: 0.51069 Pa a degree, the constant that makes a Newtonian fluid read its viscosity at 300 r/min (derived). ";

}  // namespace describe

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
