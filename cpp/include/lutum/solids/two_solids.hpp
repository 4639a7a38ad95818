// What the balances of solids share: their usual variables and verdicts, and two kinds of solids told apart by density.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

namespace usual {

inline constexpr Variable mud_density{.name = "mud_density", .symbol = "\\rho_{m}", .quantity = Quantity::density,
                                      .meaning = "density of the mud, free of gas", .limits = {700.0, 3000.0}, .validated = {950.0, 2500.0}};
inline constexpr Variable water_fraction{.name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
                                         .meaning = "water read in the retort receiver, by volume of mud", .limits = {0.0, 1.0},
                                         .validated = {0.3, 1.0}};
inline constexpr Variable oil_fraction{.name = "oil_fraction", .symbol = "\\varphi_{o}", .quantity = Quantity::volume_fraction,
                                       .meaning = "oil read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.0, 0.2}};
inline constexpr Variable brine_density{.name = "brine_density", .symbol = "\\rho_{b}", .quantity = Quantity::density,
                                        .meaning = "density of the brine in the mud, from any calculation of brine", .limits = {900.0, 2500.0},
                                        .validated = {995.0, 1900.0}};
inline constexpr Variable oil_density{.name = "oil_density", .symbol = "\\rho_{o}", .quantity = Quantity::density, .meaning = "density of the oil",
                                      .limits = {600.0, 1100.0}, .validated = {750.0, 950.0}};
inline constexpr Variable low_gravity_density{.name = "low_gravity_density", .symbol = "\\rho_{lg}", .quantity = Quantity::density,
                                              .meaning = "density of low-gravity solids (clay, drilled rock)", .limits = {1500.0, 4000.0},
                                              .validated = {2300.0, 2900.0}};
inline constexpr Variable high_gravity_density{.name = "high_gravity_density", .symbol = "\\rho_{hg}", .quantity = Quantity::density,
                                               .meaning = "density of the weighting solids (barite)", .limits = {2500.0, 8000.0},
                                               .validated = {3900.0, 5300.0}};
inline constexpr Variable temperature{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature,
                                      .meaning = "temperature at which volumes and densities are read", .limits = {273.15, 413.15},
                                      .validated = {283.15, 323.15}};

inline constexpr Variable retort_solids_fraction{.name = "retort_solids_fraction", .symbol = "\\varphi_{rs}", .quantity = Quantity::volume_fraction,
                                                 .meaning = "what neither water nor oil accounts for: suspended solids and dissolved salt"};
inline constexpr Variable brine_fraction{.name = "brine_fraction", .symbol = "\\varphi_{b}", .quantity = Quantity::volume_fraction,
                                         .meaning = "brine by volume of mud"};
inline constexpr Variable suspended_solids_fraction{.name = "suspended_solids_fraction", .symbol = "\\varphi_{ss}",
                                                    .quantity = Quantity::volume_fraction,
                                                    .meaning = "suspended solids by volume of mud, dissolved salt taken out"};
inline constexpr Variable average_solids_density{.name = "average_solids_density", .symbol = "\\bar\\rho_{s}", .quantity = Quantity::density,
                                                 .meaning = "average density of the suspended solids"};
inline constexpr Variable low_gravity_fraction{.name = "low_gravity_fraction", .symbol = "\\varphi_{lg}", .quantity = Quantity::volume_fraction,
                                               .meaning = "low-gravity solids by volume of mud, signed"};
inline constexpr Variable high_gravity_fraction{.name = "high_gravity_fraction", .symbol = "\\varphi_{hg}", .quantity = Quantity::volume_fraction,
                                                .meaning = "high-gravity solids by volume of mud, signed"};
inline constexpr Variable low_gravity_concentration{.name = "low_gravity_concentration", .symbol = "c_{lg}", .quantity = Quantity::concentration,
                                                    .meaning = "low-gravity solids by mass per volume of mud, signed"};
inline constexpr Variable high_gravity_concentration{.name = "high_gravity_concentration", .symbol = "c_{hg}", .quantity = Quantity::concentration,
                                                     .meaning = "high-gravity solids by mass per volume of mud, signed"};

inline constexpr Verdict consistent{"consistent", "every phase is there in a possible amount"};
inline constexpr Verdict over_full{"over_full", "brine and oil together take more than the whole volume: a reading is wrong", Severity::impossible};
inline constexpr Verdict negative_low_gravity{
    "negative_low_gravity", "the solids are denser than the weighting solids declared: reading error, or another weighting material",
    Severity::caution};
inline constexpr Verdict negative_high_gravity{
    "negative_high_gravity", "the solids are lighter than the low-gravity solids declared: reading error, gas in the mud, or lighter solids",
    Severity::caution};
inline constexpr Verdict impossible_solids{
    "impossible_solids", "the balance asks for more than the whole volume of one kind of solids, or for solids lighter than the brine: a wrong unit "
                         "or a slip in a reading", Severity::impossible};
inline constexpr Verdict no_contrast{
    "no_contrast", "the declared densities differ by less than 500 kg/m3: weighing cannot tell these solids apart, take a third reading "
                   "(solids.split_with_third_reading)", Severity::impossible};
inline constexpr Verdict missing{"missing", "a reading is missing"};

}  // namespace usual

inline constexpr Constant least_contrast{"\\Delta\\rho_{min}", 500.0, Quantity::density, "least difference of density that a split by weight can "
                                                                                         "bear"};

template <class T>
struct TwoSolids {
  T low_gravity, high_gravity;
};

// Two kinds of solids that together have this volume and this mass, each per volume of mud.
template <class T>
constexpr TwoSolids<T> two_solids(const T& volume, const T& mass, const T& low_gravity_density, const T& high_gravity_density) {
  const T difference = high_gravity_density - low_gravity_density;
  const T contrast = only_if(difference >= constant<T>(least_contrast), difference);
  const T low = step({"\\varphi_{lg}", Quantity::volume_fraction, "low-gravity solids by volume of mud: volume and mass of both kinds add up"},
                     (volume * high_gravity_density - mass) / contrast);
  return {low, volume - low};
}

// The order in which these verdicts stand wherever two_solids is judged.
enum SolidsVerdict : std::int8_t { is_consistent, is_over_full, is_negative_low, is_negative_high, is_impossible, has_no_contrast, is_missing };

inline SolidsVerdict judge_solids(double contrast, double suspended, double average_density, double low, double high, double lightest) {
  if (contrast < least_contrast.value) return has_no_contrast;
  if (!(low == low)) return is_missing;
  if (suspended < 0.0) return is_over_full;
  if (low > 1.0 || high > 1.0 || average_density < lightest) return is_impossible;
  if (low < 0.0) return is_negative_low;
  return high < 0.0 ? is_negative_high : is_consistent;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
