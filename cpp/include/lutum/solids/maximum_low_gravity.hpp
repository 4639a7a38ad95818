// A rule of thumb for the most solids a water-base mud should hold at its density.
#pragma once

#include "lutum/solids/gravity_split.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

struct MaximumLowGravity : Calculation<MaximumLowGravity> {
  template <class T>
  struct Input {
    T mud_density = T(not_a_number);
    T brine_density = T(998.2);
    T low_gravity_density = T(2600.0);
    T high_gravity_density = T(4200.0);
  };

  template <class T>
  struct Result {
    T maximum_solids_fraction;
    T maximum_low_gravity_fraction;
    T high_gravity_fraction;
    T maximum_low_gravity_concentration;
  };

  static constexpr Constant pound_per_gallon{"1\\,\\mathrm{lb/gal}", find_symbol("lbm/gal[US]")->scale(), Quantity::density,
                                             "1 pound per gallon, in which the rule is put", true};

  static constexpr std::array inputs{
      Variable{.name = "mud_density", .symbol = "\\rho_{m}", .quantity = Quantity::density, .meaning = "density of the mud",
               .limits = {700.0, 3000.0},
               .validated = {1260.0, 2200.0}},
      Variable{.name = "brine_density", .symbol = "\\rho_{b}", .quantity = Quantity::density,
               .meaning = "density of the liquid; the rule is of fresh water",
               .limits = {900.0, 2500.0}, .validated = {995.0, 1060.0}},
      usual::low_gravity_density,
      usual::high_gravity_density,
  };

  static constexpr std::array results{
      Variable{.name = "maximum_solids_fraction", .symbol = "\\varphi_{max}", .quantity = Quantity::volume_fraction,
               .meaning = "most solids of all kinds by volume of mud, by the rule"},
      Variable{.name = "maximum_low_gravity_fraction", .symbol = "\\varphi_{lg,max}", .quantity = Quantity::volume_fraction,
               .meaning = "low-gravity solids of a mud that holds so much, by volume of mud"},
      Variable{.name = "high_gravity_fraction", .symbol = "\\varphi_{hg}", .quantity = Quantity::volume_fraction,
               .meaning = "weighting solids of the same mud by volume of mud"},
      Variable{.name = "maximum_low_gravity_concentration", .symbol = "c_{lg,max}", .quantity = Quantity::concentration,
               .meaning = "its low-gravity solids by mass per volume of mud"},
  };

  static constexpr Sheet sheet{
      .id = "solids.maximum_low_gravity",
      .title = "Most low-gravity solids, a rule of thumb",
      .answers = "Above how much low-gravity solids does the habit of the trade call for dilution or removal at this density?",
      .equations = "phi_max = (2.917 W - 14.17)/100, W in lb/gal; its low-gravity part by volume and mass balance with the liquid",
      .source = "Rule of thumb, from memory, page not seen: a line through practice with fresh-water muds, no theory behind it. The split of the "
                "total is the balance of solids.gravity_split (derived).",
      .assumptions = "Water-base mud of fresh water without oil, barite of 4.2, drilled solids of 2.6. Below about 10.5 lb/gal (1260 kg/m3) the "
                     "line asks for more low-gravity solids than solids, and in very heavy mud for fewer than none: there it has no meaning and is "
                     "refused.",
      .cautions = "A habit and no limit: the mud's own programme, its viscosity, filtrate and cake decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"usable", "the rule gives a possible mud at this density"},
      Verdict{"beyond_the_rule", "the rule has no meaning at this density: its low-gravity solids are negative or more than all solids",
              Severity::impossible},
      usual::no_contrast,
      usual::missing,
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.high_gravity_density - in.low_gravity_density < least_contrast.value) return 2;
    const double sum = in.mud_density + in.brine_density + in.low_gravity_density + in.high_gravity_density;
    if (!(sum == sum)) return 3;
    return r.maximum_low_gravity_fraction == r.maximum_low_gravity_fraction ? 0 : 1;
  }

  static constexpr Input<double> example() { return {.mud_density = 1680.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T solids = step({"\\varphi_{max}", Quantity::volume_fraction, "most solids of all kinds by volume of mud, by the rule of thumb"},
                          (T(2.917) * (in.mud_density / constant<T>(pound_per_gallon)) - T(14.17)) / T(100.0));
    const T mass = step({"c_{max}", Quantity::concentration, "mass that these solids must have beside this liquid, per volume of mud"},
                        in.mud_density - (T(1.0) - solids) * in.brine_density);
    const TwoSolids<T> split = two_solids(solids, mass, in.low_gravity_density, in.high_gravity_density);
    Result<T> r;
    r.maximum_solids_fraction = solids;
    const auto has_low = split.low_gravity >= T(0.0), has_high = split.high_gravity >= T(0.0);
    r.maximum_low_gravity_fraction = only_if(has_low & has_high, split.low_gravity);
    r.high_gravity_fraction = r.maximum_solids_fraction - r.maximum_low_gravity_fraction;
    r.maximum_low_gravity_concentration = r.maximum_low_gravity_fraction * in.low_gravity_density;
    return r;
  }
};

inline constexpr MaximumLowGravity maximum_low_gravity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
