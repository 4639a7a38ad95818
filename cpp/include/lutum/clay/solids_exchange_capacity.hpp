// Methylene blue titration of dry solids (shale, cuttings, clay, barite): exchange capacity of their mass.
#pragma once

#include "lutum/clay/reference.hpp"
#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::clay {

struct SolidsExchangeCapacity : Calculation<SolidsExchangeCapacity> {
  template <class T>
  struct Input {
    T dye_volume = T(not_a_number);
    T sample_mass = T(not_a_number);
    T dye_strength = T(10.0);
    T moisture = T(0.0);
    T bentonite_capacity = T(reference_capacity);
  };

  template <class T>
  struct Result {
    T dry_mass;
    T exchange_capacity;
    T bentonite_equivalent_fraction;
  };

  static constexpr std::array inputs{
      Variable{.name = "dye_volume", .symbol = "V_{dye}", .quantity = Quantity::bench_volume,
               .meaning = "methylene blue solution used to the end point", .limits = {0.0, 1e-3}, .validated = {0.0, 100e-6}},
      Variable{.name = "sample_mass", .symbol = "m", .quantity = Quantity::bench_mass, .meaning = "solids weighed in, with the water they hold",
               .limits = {1e-6, 1.0}, .validated = {0.2e-3, 20e-3}},
      Variable{.name = "dye_strength", .symbol = "N", .quantity = Quantity::charge_concentration,
               .meaning = "strength of the methylene blue solution", .limits = {0.1, 1000.0}, .validated = {9.0, 11.0}},
      Variable{.name = "moisture", .symbol = "w", .quantity = Quantity::mass_fraction,
               .meaning = "water in the solids as weighed in, by mass of the moist solids (loss on drying)", .limits = {0.0, 0.99},
               .validated = {0.0, 0.3}},
      Variable{.name = "bentonite_capacity", .symbol = "q_{bent}", .quantity = Quantity::solids_exchange_capacity,
               .meaning = "exchange capacity of the bentonite to compare with, dry; 5 lb/bbl for each meq/100 mL implies 70.1 meq/100 g",
               .limits = {0.01, 3.0}, .validated = {0.6, 1.0}},
  };

  static constexpr std::array results{
      Variable{.name = "dry_mass", .symbol = "m_{dry}", .quantity = Quantity::bench_mass, .meaning = "dry solids in the flask"},
      Variable{.name = "exchange_capacity", .symbol = "q", .quantity = Quantity::solids_exchange_capacity,
               .meaning = "exchange capacity of the dry solids"},
      Variable{.name = "bentonite_equivalent_fraction", .symbol = "x_{be}", .quantity = Quantity::mass_fraction,
               .meaning = "bentonite that would take up as much dye, by mass of the dry solids: their reactive clay"},
  };

  static constexpr Sheet sheet{
      .id = "clay.solids_exchange_capacity",
      .title = "Exchange capacity of solids by methylene blue",
      .answers = "How reactive are these cuttings, this shale or this clay?",
      .equations = "m_dry = m (1 - w); q = N V_dye / m_dry; x_be = q / q_bent",
      .source = "Charge balance (derived). Titration of solids as in API RP 13B-1 and API RP 13I (from memory, text not seen). Ranges to compare "
                "with, meq/100 g: smectite 80-150, vermiculite 100-200, fine mica and chlorite 10-40, kaolinite 1-15 (a soil table of 2002, seen); "
                "commercial bentonite 65-75, drilled cuttings 8-12, soft shale up to 45 (common practice, no source).",
      .assumptions = "All clay is dispersed, the solids are ground, and only clay takes up dye. The dye covers what it can reach: the value is that "
                     "of this method, below the capacity by other cations where clay is not fully dispersed. Barite should take up next to nothing.",
      .cautions = "Hot acid and peroxide where the procedure uses them: goggles, gloves and a fume hood, acid added slowly, gentle boil, never dry. "
                  "The acid lowers the pH: sulfides in the solids then give off hydrogen sulfide, which is toxic; carbonates foam. The dye is "
                  "harmful if swallowed, harms the eyes and stains. Do not breathe dust of the solids. Follow local rules.",
  };

  static constexpr std::array verdicts{
      Verdict{"plausible", "within what clays and rocks take up"},
      Verdict{"above_any_clay", "more than 200 meq/100 g, above the clays of the table: organics took up dye, the sample is not what it says, or a "
                                "volume, mass or strength has the wrong unit", Severity::caution},
      Verdict{"above_bentonite", "more reactive than the bentonite compared with: fitting for pure smectite or vermiculite, not for drilled solids",
              Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static constexpr double highest_of_clays = 2.0;  // mol/kg

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.exchange_capacity + in.bentonite_capacity == r.exchange_capacity + in.bentonite_capacity)) return 3;
    if (r.exchange_capacity > highest_of_clays) return 1;
    return r.exchange_capacity > in.bentonite_capacity ? 2 : 0;
  }

  static constexpr Input<double> example() { return {.dye_volume = 12e-6, .sample_mass = 1e-3, .moisture = 0.04}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.dry_mass = in.sample_mass * (T(1.0) - in.moisture);
    r.exchange_capacity = in.dye_strength * in.dye_volume / r.dry_mass;
    r.bentonite_equivalent_fraction = r.exchange_capacity / in.bentonite_capacity;
    return r;
  }
};

inline constexpr SolidsExchangeCapacity solids_exchange_capacity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::clay
