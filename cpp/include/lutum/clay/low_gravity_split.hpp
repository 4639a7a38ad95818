// Low-gravity solids told apart into bentonite and drilled solids by the dye they take up together.
#pragma once

#include "lutum/clay/reference.hpp"
#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::clay {

struct LowGravitySplit : Calculation<LowGravitySplit> {
  template <class T>
  struct Input {
    T capacity = T(not_a_number);
    T low_gravity_concentration = T(not_a_number);
    T bentonite_capacity = T(reference_capacity);
    T drilled_solids_capacity = T(reference_capacity * usual_drilled_solids_share);
    T low_gravity_density = T(2600.0);
    T bentonite_density = T(2600.0);
  };

  template <class T>
  struct Result {
    T bentonite_equivalent;
    T bentonite_concentration;
    T drilled_solids_concentration;
    T bentonite_fraction;
    T drilled_solids_fraction;
    T drilled_solids_to_bentonite;
  };

  static constexpr std::array inputs{
      Variable{.name = "capacity", .symbol = "MBC", .quantity = Quantity::exchange_capacity,
               .meaning = "methylene blue capacity of the mud, milliequivalents in 100 mL", .limits = {0.0, 1000.0}, .validated = {0.0, 150.0}},
      Variable{.name = "low_gravity_concentration", .symbol = "c_{lg}", .quantity = Quantity::concentration,
               .meaning = "low-gravity solids, mass per volume of mud, as the retort gives them: fraction times density", .limits = {-1000.0, 4000.0},
               .validated = {0.0, 700.0}},
      Variable{.name = "bentonite_capacity", .symbol = "q_{bent}", .quantity = Quantity::solids_exchange_capacity,
               .meaning = "exchange capacity of the bentonite in use; the default is what 5 lb/bbl for each meq/100 mL implies",
               .limits = {0.01, 3.0}, .validated = {0.6, 1.0}},
      Variable{.name = "drilled_solids_capacity", .symbol = "q_{ds}", .quantity = Quantity::solids_exchange_capacity,
               .meaning = "exchange capacity of the drilled solids; the default is one ninth of the 70.1 meq/100 g that the bentonite equivalent "
                          "implies",
               .limits = {0.0, 3.0}, .validated = {0.07, 0.45}},
      Variable{.name = "low_gravity_density", .symbol = "\\rho_{lg}", .quantity = Quantity::density,
               .meaning = "density of the low-gravity solids together, as taken for the retort", .limits = {1500.0, 4000.0},
               .validated = {2300.0, 2900.0}},
      Variable{.name = "bentonite_density", .symbol = "\\rho_{bent}", .quantity = Quantity::density, .meaning = "density of bentonite",
               .limits = {1500.0, 4000.0}, .validated = {2300.0, 2800.0}},
  };

  static constexpr std::array results{
      Variable{.name = "bentonite_equivalent", .symbol = "c_{be}", .quantity = Quantity::concentration,
               .meaning = "bentonite that alone, at the capacity given for it, would take up all the dye"},
      Variable{.name = "bentonite_concentration", .symbol = "c_{bent}", .quantity = Quantity::concentration,
               .meaning = "bentonite by mass per volume of mud, signed"},
      Variable{.name = "drilled_solids_concentration", .symbol = "c_{ds}", .quantity = Quantity::concentration,
               .meaning = "drilled solids by mass per volume of mud, signed"},
      Variable{.name = "bentonite_fraction", .symbol = "\\varphi_{bent}", .quantity = Quantity::volume_fraction,
               .meaning = "bentonite by volume of mud, signed"},
      Variable{.name = "drilled_solids_fraction", .symbol = "\\varphi_{ds}", .quantity = Quantity::volume_fraction,
               .meaning = "drilled solids by volume of mud, signed"},
      Variable{.name = "drilled_solids_to_bentonite", .symbol = "R", .quantity = Quantity::number,
               .meaning = "drilled solids for each unit of bentonite, by mass; missing without bentonite"},
  };

  static constexpr Sheet sheet{
      .id = "clay.low_gravity_split",
      .title = "Bentonite and drilled solids of a mud",
      .answers = "How much of the low-gravity solids is bentonite, and how much was drilled?",
      .equations = "c_bent q_bent + c_ds q_ds = MBC and c_bent + c_ds = c_lg, so c_bent = (MBC - c_lg q_ds) / (q_bent - q_ds)",
      .source = "Two balances, milliequivalents and mass (derived). Forms in print cannot be used: one handbook multiplies the whole numerator by "
                "the low-gravity solids, its copies lose signs, and forms that mix an equivalent in 70.1 meq/100 g clay with another bentonite do "
                "not give the titrated milliequivalents back. Default capacity of drilled solids one ninth of the reference clay: common practice, "
                "no source; 8 to 12 meq/100 g are usual for cuttings, up to 45 for soft shale (common practice, no source).",
      .assumptions = "Two kinds of low-gravity solids only, each of one capacity. Bentonite here is activity, not product: clay spent by salt or "
                     "heat, and reactive shale, count by the dye they take up. Commercial bentonite and cuttings are best titrated, not assumed. "
                     "Capacity and solids are of the same mud.",
      .cautions = "Results are signed: small negative amounts are usually reading error of the retort; see the uncertainty before treating the mud. "
                  "The titration boils acid with peroxide: see its own cautions, and follow local rules.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "both kinds of solids are there in a possible amount"},
      Verdict{"below_drilled_solids", "the mud takes up less dye than its low-gravity solids would if all were drilled solids, so bentonite comes "
                                      "out negative: titrate the cuttings and give their lower drilled_solids_capacity, or check retort and "
                                      "titration",
              Severity::caution},
      Verdict{"above_bentonite", "the mud takes up more dye than its low-gravity solids would if all were bentonite, so drilled solids come out "
                                 "negative: give a higher bentonite_capacity, look for organics left by the peroxide, or check retort and titration",
              Severity::caution},
      Verdict{"no_contrast", "drilled_solids_capacity is not below bentonite_capacity: dye cannot tell them apart", Severity::impossible},
      Verdict{"no_low_gravity_solids", "the low-gravity solids are not positive: there is nothing to split; check the retort", Severity::impossible},
      Verdict{"densities_clash", "bentonite of this density would take more than the volume of all low-gravity solids though their mass leaves "
                                 "drilled solids over: check both densities", Severity::impossible},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.drilled_solids_capacity >= in.bentonite_capacity) return 3;
    if (!(r.drilled_solids_fraction == r.drilled_solids_fraction)) return 6;
    if (in.low_gravity_concentration <= 0.0) return 4;
    if (r.bentonite_concentration < 0.0) return 1;
    if (r.drilled_solids_concentration < 0.0) return 2;
    return r.drilled_solids_fraction < 0.0 && r.drilled_solids_concentration > 0.0 ? 5 : 0;
  }

  static constexpr Input<double> example() { return {.capacity = 50.0, .low_gravity_concentration = 228.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.bentonite_equivalent = in.capacity / in.bentonite_capacity;
    const T beyond = step({"MBC_{x}", Quantity::exchange_capacity, "capacity beyond what drilled solids alone would give"},
                          in.capacity - in.low_gravity_concentration * in.drilled_solids_capacity);
    const T contrast = only_if(in.bentonite_capacity > in.drilled_solids_capacity, in.bentonite_capacity - in.drilled_solids_capacity);
    r.bentonite_concentration = beyond / contrast;
    r.drilled_solids_concentration = in.low_gravity_concentration - r.bentonite_concentration;
    r.bentonite_fraction = r.bentonite_concentration / in.bentonite_density;
    r.drilled_solids_fraction = in.low_gravity_concentration / in.low_gravity_density - r.bentonite_fraction;
    r.drilled_solids_to_bentonite = r.drilled_solids_concentration / only_if(r.bentonite_concentration > T(0.0), r.bentonite_concentration);
    return r;
  }
};

inline constexpr LowGravitySplit low_gravity_split{};

}  // namespace lutum::inline LUTUM_ISA_TAG::clay
