// What the two retorts by weight share: the weighings, the water read, and the mass that must be found again.
#pragma once

#include "lutum/brine/salts.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

namespace weighed {

inline constexpr Limits any_mass{0.0, 100.0}, bench{0.001, 5.0};

inline constexpr Variable retort_mass{.name = "retort_mass", .symbol = "m_{1}", .quantity = Quantity::bench_mass,
                                      .meaning = "empty retort assembly as it is weighed: cup, lid, body with steel wool", .limits = any_mass,
                                      .validated = bench};
inline constexpr Variable retort_and_sample_mass{.name = "retort_and_sample_mass", .symbol = "m_{2}", .quantity = Quantity::bench_mass,
                                                 .meaning = "the same with the sample, before heating", .limits = any_mass, .validated = bench};
inline constexpr Variable receiver_mass{.name = "receiver_mass", .symbol = "m_{3}", .quantity = Quantity::bench_mass,
                                        .meaning = "empty liquid receiver", .limits = any_mass, .validated = bench};
inline constexpr Variable receiver_and_liquid_mass{.name = "receiver_and_liquid_mass", .symbol = "m_{4}", .quantity = Quantity::bench_mass,
                                                   .meaning = "receiver with all condensed liquid", .limits = any_mass, .validated = bench};
inline constexpr Variable retort_and_solids_mass{.name = "retort_and_solids_mass", .symbol = "m_{5}", .quantity = Quantity::bench_mass,
                                                 .meaning = "cooled retort assembly with the dried solids", .limits = any_mass, .validated = bench};
inline constexpr Variable water_volume{.name = "water_volume", .symbol = "V_{w}", .quantity = Quantity::bench_volume,
                                       .meaning = "water read in the receiver", .limits = {0.0, 1e-2}, .validated = {0.0, 1e-4}};
inline constexpr Variable temperature{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature,
                                      .meaning = "temperature at which the volumes are read", .limits = {273.15, 373.15},
                                      .validated = {283.15, 323.15}};

inline constexpr Variable mass_closure{.name = "mass_closure", .symbol = "C", .quantity = Quantity::mass_fraction,
                                       .meaning = "closure: liquid and dry solids found again, by mass of the sample"};

inline constexpr Verdict open_balance{
    "open_balance", "less than 95 or more than 105 % of the sample's mass is found again: vapour lost at a leak, liquid left in the condenser, or a "
                    "slip of the balance; repeat the test", Severity::caution};
inline constexpr Verdict negative_oil{
    "negative_oil", "the water read weighs more than all liquid: reading error where there is little oil, else a slip", Severity::caution};
inline constexpr Verdict no_sample{
    "no_sample", "the retort weighs no more with the sample than without: weighings are exchanged", Severity::impossible};
inline constexpr Verdict lost_mass{
    "lost_mass", "receiver or dried retort weighs less than when empty: weighings are exchanged", Severity::impossible};

}  // namespace weighed

// Between these the masses are taken to close: practice of API RP 13B and 40 CFR 435, from memory.
inline constexpr double least_closure = 0.95, greatest_closure = 1.05;

template <class T>
struct Weighed {
  T sample, liquid, dry, water, oil, closure;
};

// Masses of a test by their differences; the oil is what the liquid weighs beyond its water.
template <class T>
constexpr Weighed<T> weighed_phases(const T& m1, const T& m2, const T& m3, const T& m4, const T& m5, const T& water_volume, const T& temperature) {
  const T t = brine::celsius_number(temperature);
  const T water_density = step({"\\rho_{w}", Quantity::density, "density of the water read"},
                               brine::water_density_number(t) * constant<T>(brine::one_density));
  Weighed<T> r;
  r.sample = step({"m_{s}", Quantity::bench_mass, "mass of the sample"}, only_if(m2 > m1, m2 - m1));
  r.liquid = step({"m_{l}", Quantity::bench_mass, "mass of all condensed liquid"}, m4 - m3);
  r.dry = step({"m_{d}", Quantity::bench_mass, "mass of the dried solids"}, m5 - m1);
  r.water = step({"m_{w}", Quantity::bench_mass, "mass of the water read"}, water_volume * water_density);
  r.oil = step({"m_{o}", Quantity::bench_mass, "mass of the oil: the liquid's mass that is not water"}, r.liquid - r.water);
  r.closure = (r.liquid + r.dry) / r.sample;
  return r;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
