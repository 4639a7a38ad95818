// The titration of a mud of known make-up, foretold: what bentonite and drilled solids in it will take up.
#pragma once

#include "lutum/clay/methylene_blue.hpp"

namespace lutum::inline LUTUM_ISA_TAG::clay {

struct ExpectedCapacity : Calculation<ExpectedCapacity> {
  template <class T>
  struct Input {
    T bentonite_concentration = T(not_a_number);
    T drilled_solids_concentration = T(0.0);
    T bentonite_capacity = T(reference_capacity);
    T drilled_solids_capacity = T(reference_capacity * usual_drilled_solids_share);
    T sample_volume = T(2e-6);
    T dye_strength = T(10.0);
  };

  template <class T>
  struct Result {
    T capacity;
    T dye_volume;
    T bentonite_equivalent;
    T drilled_solids_share;
  };

  static constexpr std::array inputs{
      Variable{.name = "bentonite_concentration", .symbol = "c_{bent}", .quantity = Quantity::concentration,
               .meaning = "bentonite by mass per volume of mud", .limits = {0.0, 1000.0}, .validated = {0.0, 150.0}},
      Variable{.name = "drilled_solids_concentration", .symbol = "c_{ds}", .quantity = Quantity::concentration,
               .meaning = "drilled solids by mass per volume of mud", .limits = {0.0, 4000.0}, .validated = {0.0, 600.0}},
      Variable{.name = "bentonite_capacity", .symbol = "q_{bent}", .quantity = Quantity::solids_exchange_capacity,
               .meaning = "exchange capacity of the bentonite in use; the default is what 5 lb/bbl for each meq/100 mL implies",
               .limits = {0.01, 3.0}, .validated = {0.6, 1.0}},
      Variable{.name = "drilled_solids_capacity", .symbol = "q_{ds}", .quantity = Quantity::solids_exchange_capacity,
               .meaning = "exchange capacity of the drilled solids; the default is one ninth of the 70.1 meq/100 g that the bentonite equivalent "
                          "implies",
               .limits = {0.0, 3.0}, .validated = {0.07, 0.45}},
      Variable{.name = "sample_volume", .symbol = "V_{mud}", .quantity = Quantity::bench_volume, .meaning = "mud to be titrated",
               .limits = {0.05e-6, 1e-3}, .validated = {0.5e-6, 10e-6}},
      Variable{.name = "dye_strength", .symbol = "N", .quantity = Quantity::charge_concentration,
               .meaning = "strength of the methylene blue solution", .limits = {0.1, 1000.0}, .validated = {9.0, 11.0}},
  };

  static constexpr std::array results{
      Variable{.name = "capacity", .symbol = "MBC", .quantity = Quantity::exchange_capacity,
               .meaning = "methylene blue capacity to expect, milliequivalents in 100 mL of mud"},
      Variable{.name = "dye_volume", .symbol = "V_{dye}", .quantity = Quantity::bench_volume, .meaning = "dye that the sample will take up"},
      Variable{.name = "bentonite_equivalent", .symbol = "c_{be}", .quantity = Quantity::concentration,
               .meaning = "bentonite equivalent that will be reported"},
      Variable{.name = "drilled_solids_share", .symbol = "s_{ds}", .quantity = Quantity::number,
               .meaning = "part of the dye that drilled solids take up; missing where nothing takes up dye"},
  };

  static constexpr Sheet sheet{
      .id = "clay.expected_capacity",
      .title = "Methylene blue capacity to expect",
      .answers = "What will the titration read for a mud of this make-up, and which sample volume suits it?",
      .equations = "MBC = c_bent q_bent + c_ds q_ds; V_dye = MBC V_mud / N; c_be = 5 lb/bbl for each meq/100 mL; s_ds = c_ds q_ds / MBC",
      .source = "Charge balance (derived), the reverse of clay.low_gravity_split; factor of the equivalent by clay.methylene_blue. Default capacity "
                "of drilled solids: common practice, no source. 2 to 10 mL of dye for a titration: from memory.",
      .assumptions = "Only bentonite and drilled solids take up dye, each with one capacity, all of it reached by the dye. The titration itself "
                     "reports the next whole increment above.",
      .cautions = "A forecast replaces no titration. The titration boils acid with peroxide: see the cautions of clay.methylene_blue.",
  };

  static constexpr std::array verdicts{
      Verdict{"good_sample", "the sample will take 2 to 10 mL of dye"},
      Verdict{"little_dye", "the sample will take less than 2 mL of dye: one increment is then a large part of it; take more mud", Severity::caution},
      Verdict{"much_dye", "the sample will take more than 10 mL of dye: take less mud", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };

  static constexpr double least_dye = 2e-6, most_dye = 10e-6;

  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.dye_volume == r.dye_volume)) return 3;
    if (r.dye_volume < least_dye) return 1;
    return r.dye_volume > most_dye ? 2 : 0;
  }

  static constexpr Input<double> example() { return {.bentonite_concentration = 43.0, .drilled_solids_concentration = 87.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T drilled = step({"MBC_{ds}", Quantity::exchange_capacity, "capacity of the drilled solids"},
                           in.drilled_solids_concentration * in.drilled_solids_capacity);
    Result<T> r;
    r.capacity = in.bentonite_concentration * in.bentonite_capacity + drilled;
    r.dye_volume = r.capacity * in.sample_volume / in.dye_strength;
    r.bentonite_equivalent = r.capacity * constant<T>(MethyleneBlue::equivalent_per_capacity);
    r.drilled_solids_share = drilled / only_if(r.capacity > T(0.0), r.capacity);
    return r;
  }
};

inline constexpr ExpectedCapacity expected_capacity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::clay
