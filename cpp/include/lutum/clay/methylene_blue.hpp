// Methylene blue titration of a mud: exchange capacity and bentonite equivalent.
#pragma once

#include "lutum/clay/reference.hpp"
#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::clay {

struct MethyleneBlue : Calculation<MethyleneBlue> {
  template <class T>
  struct Input {
    T dye_volume = T(not_a_number);
    T sample_volume = T(not_a_number);
    T dye_strength = T(10.0);
  };

  template <class T>
  struct Result {
    T capacity;
    T bentonite_equivalent;
  };

  static constexpr Constant equivalent_per_capacity{
      "\\beta", equivalent_of_capacity, Quantity::mass_per_charge,
      "bentonite equivalent of one unit of capacity, 5 lb/bbl by the standard's convention"};

  static constexpr std::array inputs{
      Variable{.name = "dye_volume", .symbol = "V_{dye}", .quantity = Quantity::bench_volume,
               .meaning = "methylene blue solution used to the end point", .limits = {0.0, 1e-3}, .validated = {0.0, 15e-6}},
      Variable{.name = "sample_volume", .symbol = "V_{mud}", .quantity = Quantity::bench_volume,
               .meaning = "mud in the flask", .limits = {0.05e-6, 1e-3}, .validated = {0.5e-6, 10e-6}},
      Variable{.name = "dye_strength", .symbol = "N", .quantity = Quantity::charge_concentration,
               .meaning = "strength of the methylene blue solution", .limits = {0.1, 1000.0}, .validated = {9.0, 11.0}},
  };

  static constexpr std::array results{
      Variable{.name = "capacity", .symbol = "MBC", .quantity = Quantity::exchange_capacity,
               .meaning = "methylene blue capacity, milliequivalents in 100 mL of mud (mL of dye per mL of mud at the usual strength)"},
      Variable{.name = "bentonite_equivalent", .symbol = "c_{be}", .quantity = Quantity::concentration,
               .meaning = "bentonite that would take up as much dye"},
  };

  static constexpr Sheet sheet{
      .id = "clay.methylene_blue",
      .title = "Methylene blue capacity of a mud",
      .answers = "How much reactive clay does the mud hold, expressed as bentonite?",
      .equations = "MBC = N V_dye / V_mud; bentonite equivalent = 5 lb/bbl for each meq/100 mL",
      .source = "API RP 13B-1 and ISO 10414-1, methylene blue capacity; factor 5 lb/bbl from memory, text not seen. 5 lb/bbl is 14.265 kg/m3 "
                "exactly; the standard's rounded SI print is 14.25 (from memory). The factor implies a clay of 70.1 meq/100 g (derived).",
      .assumptions = "The true end point lies in the last increment of dye. Drilled clay takes up dye too, so the equivalent overstates bentonite; "
                     "other dye takers (some polymers, lignosulfonate, lignite) must have been oxidised by the peroxide. The sample is chosen to "
                     "take 2 to 10 mL of dye (from memory): less is read too coarsely.",
      .cautions = "Boiling acid with hydrogen peroxide: goggles, gloves and a fume hood, acid added slowly, gentle boil, never dry, cool before "
                  "diluting. The acid lowers the pH: a mud that holds sulfides then gives off hydrogen sulfide, which is toxic and soon no longer "
                  "smelt, so test for sulfide first; carbonates foam. Peroxide burns skin and eyes; the dye is harmful if swallowed, harms the eyes "
                  "and stains. Follow local rules and the laboratory's own procedure.",
  };

  static constexpr Input<double> example() { return {.dye_volume = 5e-6, .sample_volume = 1e-6}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.capacity = in.dye_strength * in.dye_volume / in.sample_volume;
    r.bentonite_equivalent = r.capacity * constant<T>(equivalent_per_capacity);
    return r;
  }
};

inline constexpr MethyleneBlue methylene_blue{};

}  // namespace lutum::inline LUTUM_ISA_TAG::clay
