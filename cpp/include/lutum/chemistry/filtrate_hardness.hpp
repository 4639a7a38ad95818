// Calcium and magnesium of a filtrate by titration with EDTA.
#pragma once

#include "lutum/chemistry/filtrate_ions.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct FiltrateHardness : Calculation<FiltrateHardness> {
  template <class T>
  struct Input {
    T hardness_titrant_volume = T(not_a_number);
    T calcium_titrant_volume = T(not_a_number);
    T sample_volume = T(not_a_number);
    T titrant_molarity = T(10.0);
  };

  template <class T>
  struct Result {
    T total_hardness_as_calcium;
    T total_hardness_as_calcium_carbonate;
    T calcium;
    T magnesium;
  };

  static constexpr std::array inputs{
      Variable{.name = "hardness_titrant_volume", .symbol = "V_{TH}", .quantity = Quantity::bench_volume,
               .meaning = "solution of EDTA used to the end point of total hardness", .limits = {0.0, 1e-3}, .validated = {0.0, 50e-6}},
      Variable{.name = "calcium_titrant_volume", .symbol = "V_{Ca}", .quantity = Quantity::bench_volume,
               .meaning = "solution of EDTA used to the end point of calcium alone", .limits = {0.0, 1e-3}, .validated = {0.0, 50e-6}, .optional = true,
               .if_missing = "calcium and magnesium are not told apart."},
      Variable{.name = "sample_volume", .symbol = "V_{f}", .quantity = Quantity::bench_volume, .meaning = "filtrate in each of the titrations",
               .limits = {0.01e-6, 1e-3}, .validated = {0.5e-6, 10e-6}},
      Variable{.name = "titrant_molarity", .symbol = "c_{EDTA}", .quantity = Quantity::amount_concentration,
               .meaning = "strength of the EDTA solution; 0.01 mol/L may be labelled 0.02 N", .limits = {0.1, 1000.0}, .validated = {9.0, 11.0}},
  };

  static constexpr std::array results{
      Variable{.name = "total_hardness_as_calcium", .symbol = "c_{TH,Ca}", .quantity = Quantity::ion_concentration,
               .meaning = "calcium and magnesium together, expressed as calcium"},
      Variable{.name = "total_hardness_as_calcium_carbonate", .symbol = "c_{TH,CaCO3}", .quantity = Quantity::ion_concentration,
               .meaning = "calcium and magnesium together, expressed as calcium carbonate"},
      Variable{.name = "calcium", .symbol = "c_{Ca}", .quantity = Quantity::ion_concentration, .meaning = "calcium in the filtrate"},
      Variable{.name = "magnesium", .symbol = "c_{Mg}", .quantity = Quantity::ion_concentration,
               .meaning = "magnesium in the filtrate, by difference, signed"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.filtrate_hardness",
      .title = "Calcium, magnesium and total hardness of the filtrate",
      .answers = "How hard is the filtrate, and how much of it is calcium and how much magnesium?",
      .equations = "each ion = molarity V / V_f times its molar mass; magnesium from V_TH - V_Ca",
      .source = "EDTA binds calcium and magnesium one for one (derived): 400.8 mg/L as calcium, 1000.9 as calcium carbonate and 243.1 of magnesium "
                "for 1 mL of 0.01 mol/L per mL. 400 and 1000 are seen in a field crib sheet, which wrongly calls its EDTA 0.02 molar (that would be "
                "801.6); the scheme is that of API RP 13B-1 and ISO 10414-1 (from memory, text not seen).",
      .assumptions = "Strontium and barium count as calcium; iron, aluminium and zinc must be masked. Both titrations take the same volume of "
                     "filtrate; dark filtrate is bleached first and the colour's own blank kept low. Hardness as calcium and as calcium carbonate "
                     "differ by 2.5.",
      .cautions = "The hardness buffer gives off ammonia and the calcium test uses strong caustic: fume hood or good air, goggles, gloves. "
                  "Bleaching with hypochlorite and acid gives off chlorine; acid sets hydrogen sulfide free from a filtrate that holds sulfide. "
                  "Cyanide as masking agent is no field reagent. Follow local rules and the laboratory's own procedure.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "calcium is part of the total hardness"},
      Verdict{"total_only", "total hardness without a calcium titration: calcium and magnesium are not told apart"},
      Verdict{"calcium_above_total", "calcium alone took more EDTA than calcium and magnesium together: the two titres were exchanged, the sample "
                                     "volumes differ, or an end point was missed", Severity::impossible},
      Verdict{"missing", "the titre of total hardness, the sample volume or the molarity is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.total_hardness_as_calcium == r.total_hardness_as_calcium)) return 3;
    if (!(r.calcium == r.calcium)) return 1;
    return in.calcium_titrant_volume > in.hardness_titrant_volume ? 2 : 0;
  }

  static constexpr Input<double> example() {
    return {.hardness_titrant_volume = 2.6e-6, .calcium_titrant_volume = 1.9e-6, .sample_volume = 1e-6};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T both = step({"b_{TH}", Quantity::amount_concentration, "amount of calcium and magnesium per volume of filtrate"},
                        in.titrant_molarity * in.hardness_titrant_volume / in.sample_volume);
    const T calcium = step({"b_{Ca}", Quantity::amount_concentration, "amount of calcium per volume of filtrate"},
                           in.titrant_molarity * in.calcium_titrant_volume / in.sample_volume);
    Result<T> r;
    r.total_hardness_as_calcium = both * constant<T>(calcium_mass);
    r.total_hardness_as_calcium_carbonate = both * constant<T>(calcium_carbonate_mass);
    r.calcium = calcium * constant<T>(calcium_mass);
    r.magnesium = (both - calcium) * constant<T>(magnesium_mass);
    return r;
  }
};

inline constexpr FiltrateHardness filtrate_hardness{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
