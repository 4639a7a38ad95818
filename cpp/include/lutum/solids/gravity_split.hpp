// Suspended solids of any mud split into low- and high-gravity solids, from the volumes and densities of its liquids.
#pragma once

#include "lutum/solids/two_solids.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

struct GravitySplit : Calculation<GravitySplit> {
  template <class T>
  struct Input {
    T mud_density = T(not_a_number);
    T brine_fraction = T(not_a_number);
    T brine_density = T(not_a_number);
    T oil_fraction = T(0.0);
    T oil_density = T(840.0);
    T low_gravity_density = T(2600.0);
    T high_gravity_density = T(4200.0);
  };

  template <class T>
  struct Result {
    T suspended_solids_fraction;
    T suspended_solids_concentration;
    T average_solids_density;
    T low_gravity_fraction;
    T high_gravity_fraction;
    T low_gravity_concentration;
    T high_gravity_concentration;
    T unweighted_mud_density;
    T clean_mud_density;
  };

  static constexpr std::array inputs{
      usual::mud_density,
      Variable{.name = "brine_fraction", .symbol = "\\varphi_{b}", .quantity = Quantity::volume_fraction,
               .meaning = "brine by volume of mud: retort water and the salt dissolved in it", .limits = {0.0, 1.0}, .validated = {0.02, 1.0}},
      usual::brine_density,
      Variable{.name = "oil_fraction", .symbol = "\\varphi_{o}", .quantity = Quantity::volume_fraction, .meaning = "oil by volume of mud",
               .limits = {0.0, 1.0}, .validated = {0.0, 0.9}},
      usual::oil_density,
      usual::low_gravity_density,
      usual::high_gravity_density,
  };

  static constexpr std::array results{
      usual::suspended_solids_fraction,
      Variable{.name = "suspended_solids_concentration", .symbol = "c_{ss}", .quantity = Quantity::concentration,
               .meaning = "suspended solids by mass per volume of mud: what the liquids leave of the mud's mass"},
      usual::average_solids_density,
      usual::low_gravity_fraction,
      usual::high_gravity_fraction,
      usual::low_gravity_concentration,
      usual::high_gravity_concentration,
      Variable{.name = "unweighted_mud_density", .symbol = "\\rho_{m,lg}", .quantity = Quantity::density,
               .meaning = "density this mud would have if all its solids were low-gravity: below it the high-gravity solids come out negative"},
      Variable{.name = "clean_mud_density", .symbol = "\\rho_{m,hg}", .quantity = Quantity::density,
               .meaning = "density this mud would have if all its solids were weighting solids: above it the low-gravity solids come out negative"},
  };

  static constexpr Sheet sheet{
      .id = "solids.gravity_split",
      .title = "Low- and high-gravity solids from the densities declared",
      .answers = "How do the suspended solids divide for the densities I declare, and how much hangs on these densities?",
      .equations = "phi_ss = 1 - phi_b - phi_o; c_ss = rho_m - phi_b rho_b - phi_o rho_o; rho_s = c_ss / phi_ss; phi_lg = (phi_ss rho_hg - c_ss) / "
                   "(rho_hg - rho_lg); phi_hg = phi_ss - phi_lg; c = rho phi",
      .source = "Volume and mass balance (derived). Fresh water without oil, 2.6 and 4.2: the printed rule 62.5 + 2.0 Vs - 7.5 W is this balance "
                "with rounded numbers.",
      .assumptions = "Two kinds of suspended solids, of the densities declared. Brine and oil are all of the liquid; gas is none of it. How much a "
                     "declared density or a reading moves the split is in the gradient and in the uncertainty of this calculation.",
      .cautions = "Results are signed: a small negative value is usually reading error, see its uncertainty. In a light mud the split hangs on the "
                  "mud density, in a heavy one as much on the density declared for the weighting solids: measure that of the product used.",
  };

  static constexpr std::array verdicts{usual::consistent, usual::over_full, usual::negative_low_gravity, usual::negative_high_gravity,
                                       usual::impossible_solids, usual::no_contrast, usual::missing};

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    return judge_solids(in.high_gravity_density - in.low_gravity_density, r.suspended_solids_fraction, r.average_solids_density,
                        r.low_gravity_fraction, r.high_gravity_fraction, in.brine_density);
  }

  static constexpr Input<double> example() {
    return {.mud_density = 1438.0, .brine_fraction = 0.773, .brine_density = 1084.0, .oil_fraction = 0.06};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.suspended_solids_fraction = T(1.0) - in.brine_fraction - in.oil_fraction;
    const T liquid_mass = step({"c_{l}", Quantity::density, "mass of brine and oil per volume of mud"},
                               in.brine_fraction * in.brine_density + in.oil_fraction * in.oil_density);
    r.suspended_solids_concentration = in.mud_density - liquid_mass;
    r.average_solids_density = r.suspended_solids_concentration / r.suspended_solids_fraction;
    const TwoSolids<T> split = two_solids(r.suspended_solids_fraction, r.suspended_solids_concentration, in.low_gravity_density,
        in.high_gravity_density);
    r.low_gravity_fraction = split.low_gravity;
    r.high_gravity_fraction = split.high_gravity;
    r.low_gravity_concentration = r.low_gravity_fraction * in.low_gravity_density;
    r.high_gravity_concentration = r.high_gravity_fraction * in.high_gravity_density;
    r.unweighted_mud_density = liquid_mass + r.suspended_solids_fraction * in.low_gravity_density;
    r.clean_mud_density = liquid_mass + r.suspended_solids_fraction * in.high_gravity_density;
    return r;
  }
};

inline constexpr GravitySplit gravity_split{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
