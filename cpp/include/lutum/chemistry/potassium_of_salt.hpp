// Potassium chloride content of a filtrate as potassium, chloride, and salt per volume of mud.
#pragma once

#include "lutum/chemistry/salt_masses.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct PotassiumOfSalt : Calculation<PotassiumOfSalt> {
  template <class T>
  struct Input {
    T potassium_chloride_concentration = T(not_a_number);
    T filtrate_fraction = T(1.0);
  };

  template <class T>
  struct Result {
    T potassium;
    T chloride;
    T mud_potassium_chloride;
  };

  static constexpr std::array inputs{
      Variable{.name = "potassium_chloride_concentration", .symbol = "c_{KCl}", .quantity = Quantity::concentration,
               .meaning = "potassium chloride per volume of filtrate", .limits = {0.0, 350.0}, .validated = {0.0, 300.0}},
      Variable{.name = "filtrate_fraction", .symbol = "\\varphi_{b}", .quantity = Quantity::volume_fraction,
               .meaning = "filtrate by volume of mud, the retort water with its salt; 1 speaks of the filtrate alone", .limits = {0.0, 1.0},
               .validated = {0.3, 1.0}},
  };

  static constexpr std::array results{
      Variable{.name = "potassium", .symbol = "c_{K}", .quantity = Quantity::ion_concentration, .meaning = "potassium in the filtrate"},
      Variable{.name = "chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride in the filtrate that goes with it"},
      Variable{.name = "mud_potassium_chloride", .symbol = "c_{KCl,m}", .quantity = Quantity::concentration,
               .meaning = "potassium chloride per volume of mud"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.potassium_of_salt",
      .title = "Potassium of a potassium chloride content",
      .answers = "What potassium and chloride belong to so much potassium chloride in the filtrate, and how much is that in the mud?",
      .equations = "c_K = M_K / M_KCl c_KCl = 0.52447 c_KCl; c_Cl = 0.47553 c_KCl; per volume of mud phi_b c_KCl. 1 lb/bbl KCl is 1496 mg/L K",
      .source = "Molar masses (derived). 0.5244 and 1500 mg/L for 1 lb/bbl are from memory, text not seen.",
      .assumptions = "Potassium chloride is the only potassium salt. The solids hold none of it back: clay takes up potassium, so the filtrate "
                     "shows less than was added.",
      .cautions = "A content in the filtrate is not one in the mud: say which. More chloride than this in the titration is another salt.",
  };

  static constexpr std::array verdicts{
      Verdict{"dissolves", "so much potassium chloride dissolves"},
      Verdict{"beyond_saturation", "more than about 310 kg/m3 (109 lb/bbl) of filtrate dissolves only above 25 degC", Severity::caution},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.mud_potassium_chloride == r.mud_potassium_chloride)) return 2;
    return in.potassium_chloride_concentration > 310.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.potassium_chloride_concentration = 57.0602, .filtrate_fraction = 0.85}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T amount = step({"n_{KCl}", Quantity::amount_concentration, "amount of potassium chloride per volume of filtrate"},
                          in.potassium_chloride_concentration / constant<T>(potassium_chloride_mass));
    return {amount * constant<T>(potassium_mass), amount * constant<T>(chloride_mass),
            in.filtrate_fraction * in.potassium_chloride_concentration};
  }
};

inline constexpr PotassiumOfSalt potassium_of_salt{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
