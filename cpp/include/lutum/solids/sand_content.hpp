// Sand content of a mud: from the reading of the sand tube to mass and to a share of the drilled solids.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

struct SandContent : Calculation<SandContent> {
  template <class T>
  struct Input {
    T sand_fraction = T(not_a_number);
    T low_gravity_fraction = T(not_a_number);
    T sand_density = T(2650.0);
    T settled_solids_fraction = T(1.0);
  };

  template <class T>
  struct Result {
    T sand_concentration;
    T low_gravity_share;
  };

  static constexpr std::array inputs{
      Variable{.name = "sand_fraction", .symbol = "\\varphi_{sand}", .quantity = Quantity::volume_fraction,
               .meaning = "sand read in the tube, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.0, 0.2}},
      Variable{.name = "low_gravity_fraction", .symbol = "\\varphi_{lg}", .quantity = Quantity::volume_fraction,
               .meaning = "low-gravity solids by volume of mud, from any retort calculation", .limits = {-1.0, 1.0}, .validated = {0.01, 0.4},
               .optional = true, .if_missing = "then the share of the low-gravity solids is not known"},
      Variable{.name = "sand_density", .symbol = "\\rho_{sand}", .quantity = Quantity::density,
               .meaning = "density of the grains (quartz 2650 kg/m3)",
               .limits = {1500.0, 5300.0}, .validated = {2300.0, 4300.0}},
      Variable{.name = "settled_solids_fraction", .symbol = "s", .quantity = Quantity::volume_fraction,
               .meaning = "grains by volume of the settled sand: 100 % takes the reading as it stands, as reports do; 60 % is about what loose sand "
                          "holds",
               .limits = {0.3, 1.0}, .validated = {0.5, 1.0}},
  };

  static constexpr std::array results{
      Variable{.name = "sand_concentration", .symbol = "c_{sand}", .quantity = Quantity::concentration, .meaning = "sand by mass per volume of mud"},
      Variable{.name = "low_gravity_share", .symbol = "x_{sand}", .quantity = Quantity::volume_fraction,
               .meaning = "sand by volume of all low-gravity solids"},
  };

  static constexpr Sheet sheet{
      .id = "solids.sand_content",
      .title = "Sand content",
      .answers = "How much sand by mass is the percentage read in the tube, and how much of the drilled solids is it?",
      .equations = "c_sand = s phi_sand rho_sand; x_sand = s phi_sand / phi_lg",
      .source = "Arithmetic (derived). Sand is what stays on a sieve of 74 micrometres, in per cent by volume (API RP 13C definition, seen). "
                "Settled sand holds about 60 % grains: from memory, loose packing of sand.",
      .assumptions = "The tube reads settled sand with its pores; reports take that for the sand itself, and so does the default here. Whatever is "
                     "coarse counts: coarse barite and bridging material are no sand, look at what lies in the tube.",
      .cautions = "Say where the sample was taken: flowline, shakers or suction pit differ.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "the sand is a possible part of the low-gravity solids, or these were not given"},
      Verdict{"more_than_low_gravity", "more sand than low-gravity solids: coarse weighting or bridging material in the tube, pores read as sand, "
                                       "or an error of the retort", Severity::caution},
      Verdict{"no_low_gravity", "the low-gravity solids given are zero or negative: no share can be told", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.sand_concentration == r.sand_concentration)) return 3;
    if (in.low_gravity_fraction <= 0.0) return 2;
    return r.low_gravity_share > 1.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.sand_fraction = 0.01, .low_gravity_fraction = 0.06, .settled_solids_fraction = 0.6}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T grains = step({"\\varphi_{g}", Quantity::volume_fraction, "grains without their pores, by volume of mud"},
                          in.settled_solids_fraction * in.sand_fraction);
    Result<T> r;
    r.sand_concentration = grains * in.sand_density;
    r.low_gravity_share = grains / only_if(in.low_gravity_fraction > T(0.0), in.low_gravity_fraction);
    return r;
  }
};

inline constexpr SandContent sand_content{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
