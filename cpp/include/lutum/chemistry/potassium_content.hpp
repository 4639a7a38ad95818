// Potassium of a filtrate from the volume of its perchlorate precipitate, against a standard solution.
#pragma once

#include "lutum/chemistry/salt_masses.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct PotassiumContent : Calculation<PotassiumContent> {
  template <class T>
  struct Input {
    T precipitate_volume = T(not_a_number);
    T standard_precipitate_volume = T(not_a_number);
    T standard_potassium_chloride = T(not_a_number);
    T dilution = T(1.0);
  };

  template <class T>
  struct Result {
    T potassium_chloride_concentration;
    T potassium;
  };

  static constexpr std::array inputs{
      Variable{.name = "precipitate_volume", .symbol = "V_{p}", .quantity = Quantity::bench_volume,
               .meaning = "precipitate in the tube after the centrifuge", .limits = {0.0, 15e-6}, .validated = {0.1e-6, 3e-6}},
      Variable{.name = "standard_precipitate_volume", .symbol = "V_{p,0}", .quantity = Quantity::bench_volume,
               .meaning = "precipitate that a standard solution gave in the same tube and run", .limits = {0.01e-6, 15e-6},
               .validated = {0.1e-6, 3e-6}},
      Variable{.name = "standard_potassium_chloride", .symbol = "c_{0}", .quantity = Quantity::concentration,
               .meaning = "potassium chloride per volume of the standard solution", .limits = {0.1, 350.0}, .validated = {10.0, 170.0}},
      Variable{.name = "dilution", .symbol = "D", .quantity = Quantity::volume_ratio,
               .meaning = "volume of the diluted filtrate per volume of filtrate in it", .limits = {1.0, 1000.0}, .validated = {1.0, 20.0}},
  };

  static constexpr std::array results{
      Variable{.name = "potassium_chloride_concentration", .symbol = "c_{KCl}", .quantity = Quantity::concentration,
               .meaning = "potassium in the filtrate, expressed as potassium chloride per volume of filtrate"},
      Variable{.name = "potassium", .symbol = "c_{K}", .quantity = Quantity::ion_concentration, .meaning = "potassium in the filtrate"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.potassium_content",
      .title = "Potassium by its perchlorate precipitate",
      .answers = "How much potassium is dissolved in the filtrate?",
      .equations = "c_KCl = c_0 V_p / V_p0 D; c_K = M_K / M_KCl c_KCl = 0.52447 c_KCl",
      .source = "API RP 13B-1 and ISO 10414-1, potassium by sodium perchlorate (from memory, text not seen); 7 mL of filtrate, 3 mL of reagent, "
                "1800 r/min for 1 min: seen in a field crib sheet. Ratio of K to KCl: molar masses (derived).",
      .assumptions = "The precipitate of the standard and of the sample pack alike and in proportion to potassium: take a standard close to the "
                     "sample, above about 10 kg/m3 (3.5 lb/bbl) of potassium chloride. The user's own curve replaces the line. Ammonium "
                     "precipitates too.",
      .cautions = "Perchlorate residue explodes when it dries, the more so on paper, cloth or organic matter: keep tubes and waste wet, rinse at "
                  "once with much water, never heat. Balance the centrifuge. Goggles and gloves. Follow local rules.",
  };

  static constexpr std::array verdicts{
      Verdict{"near_standard", "the precipitate is within half and twice that of the standard"},
      Verdict{"far_from_standard", "the precipitate is less than half or more than twice that of the standard: take another standard or "
                                   "dilute", Severity::caution},
      Verdict{"no_precipitate", "no precipitate: less potassium than this method can show", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.potassium == r.potassium)) return 3;
    if (in.precipitate_volume == 0.0) return 2;
    const double ratio = in.precipitate_volume / in.standard_precipitate_volume;
    return ratio < 0.5 || ratio > 2.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.precipitate_volume = 1.2e-6, .standard_precipitate_volume = 1.0e-6, .standard_potassium_chloride = 57.0602, .dilution = 2.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.potassium_chloride_concentration = in.standard_potassium_chloride * in.precipitate_volume / in.standard_precipitate_volume * in.dilution;
    r.potassium = r.potassium_chloride_concentration * constant<T>(potassium_mass) / constant<T>(potassium_chloride_mass);
    return r;
  }
};

inline constexpr PotassiumContent potassium_content{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
