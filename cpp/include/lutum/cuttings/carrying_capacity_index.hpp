// The carrying capacity index of near-vertical holes.
#pragma once

#include "lutum/cuttings/settling.hpp"
#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

struct CarryingCapacityIndex : Calculation<CarryingCapacityIndex> {
  template <class T>
  struct Input {
    T density = T(not_a_number);
    T velocity = T(not_a_number);
    T plastic_viscosity = T(not_a_number);
    T yield_point = T(not_a_number);
    T inclination = T(not_a_number);
  };

  template <class T>
  struct Result {
    T flow_index;
    T low_shear_viscosity;
    T carrying_capacity;
  };

  // The index is one of printed units: one unit of yield point, 1 lb/100 ft2, counts in it as 1 cP.
  static constexpr Constant one_foot_per_minute{"1\\,\\mathrm{ft/min}", find_symbol("ft/min")->scale(), Quantity::velocity, "unit of velocity", true};
  static constexpr Constant reading_rate{"\\dot\\gamma_{u}", find_symbol("0.01 lbf/ft2")->scale() / find_symbol("cP")->scale(),
                                         Quantity::shear_rate, "rate at which 1 lb/100 ft2 is 1 cP"};
  static constexpr Constant printed_rate_at_300{"g_{300}", 511.0, Quantity::number, "shear rate at 300 r/min in 1/s, as the form prints it"};

  static constexpr std::array inputs{
      shared::density,
      Variable{.name = "velocity", .symbol = "v", .quantity = Quantity::velocity, .meaning = "mean velocity in the annulus", .limits = {0.0, 20.0},
               .validated = {0.0, 3.0}},
      Variable{.name = "plastic_viscosity", .symbol = "\\mu_{p}", .quantity = Quantity::viscosity, .meaning = "plastic viscosity",
               .limits = {1e-5, 10.0}, .validated = {1e-3, 0.12}},
      Variable{.name = "yield_point", .symbol = "\\tau_{yp}", .quantity = Quantity::stress, .meaning = "yield point", .limits = {0.0, 1000.0},
               .validated = {0.0, 40.0}},
      Variable{.name = "inclination", .symbol = "\\theta", .quantity = Quantity::angle, .meaning = "angle of the hole from the vertical",
               .limits = {0.0, exact::pi / 2.0}, .validated = {0.0, 35.0 * exact::pi / 180.0}},
  };
  static constexpr std::array results{
      Variable{.name = "flow_index", .symbol = "n", .meaning = "index of the power law through the readings at 600 and 300 rpm"},
      Variable{.name = "low_shear_viscosity", .symbol = "K", .quantity = Quantity::viscosity, .meaning = "viscosity of that power law at 1 1/s"},
      Variable{.name = "carrying_capacity", .symbol = "I_{c}", .meaning = "carrying capacity index"},
  };
  static constexpr Sheet sheet{
      .id = "cuttings.carrying_capacity_index",
      .title = "Carrying capacity index",
      .answers = "Does the fluid carry well enough in a near-vertical hole?",
      .equations = "n = log2((2 PV + YP)/(PV + YP)), K = 511^(1-n) (PV + YP), index = K v rho/400000, in cP, lb/100 ft2, ft/min and lb/gal",
      .source = "A printed field form, seen on a teaching page with a worked example; log2 stands for the rounded 3.322 log10 there.",
      .assumptions = "A power law through two fast readings describes the fluid at low shear. Says nothing of size, density or rate of the cuttings.",
      .cautions = "For near-vertical holes only: above 35 degrees cuttings lie on the low side whatever the index. Rates are advisory: the well's "
                  "own programme and licensed practice decide.",
  };
  static constexpr std::array verdicts{
      Verdict{"good", "1 or more: cuttings come up sharp-edged, by common practice"},
      Verdict{"fair", "between 0.5 and 1: cuttings come up rounded, by common practice", Severity::caution},
      Verdict{"poor", "0.5 or less: cuttings come up ground small, by common practice", Severity::caution},
      Verdict{"inclined", "above 35 degrees: the index does not hold here", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };
  static constexpr std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.carrying_capacity == r.carrying_capacity) || !(in.inclination == in.inclination)) return 4;
    if (degrees(in.inclination) > 35.0 + 1e-9) return 3;
    return r.carrying_capacity >= 1.0 ? 0 : r.carrying_capacity > 0.5 ? 1 : 2;
  }
  static constexpr Input<double> example() {
    return {.density = 1150.0, .velocity = 0.7, .plastic_viscosity = 0.018, .yield_point = 8.0, .inclination = 0.2};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T sum = step({"S", Quantity::viscosity, "plastic viscosity and yield point added as numbers: the reading at 300 rpm"},
                       in.plastic_viscosity + in.yield_point / constant<T>(reading_rate));
    Result<T> r;
    r.flow_index = log((in.plastic_viscosity + sum) / sum) / constant<T>(rheology::log_of_two);
    r.low_shear_viscosity = sum * pow(constant<T>(printed_rate_at_300), T(1.0) - r.flow_index);
    r.carrying_capacity = r.low_shear_viscosity / constant<T>(one_centipoise) * (in.velocity / constant<T>(one_foot_per_minute)) *
                          (in.density / constant<T>(one_pound_per_gallon)) / T(400000.0);
    return r;
  }
};

inline constexpr CarryingCapacityIndex carrying_capacity_index{};

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
