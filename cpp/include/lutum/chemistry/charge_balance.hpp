// Charge balance of a filtrate: do the ions found neutralise each other, and how much sodium would make them?
#pragma once

#include "lutum/chemistry/filtrate_ions.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct ChargeBalance : Calculation<ChargeBalance> {
  template <class T>
  struct Input {
    T chloride = T(not_a_number);
    T hydroxide = T(not_a_number);
    T carbonate = T(not_a_number);
    T bicarbonate = T(not_a_number);
    T calcium = T(not_a_number);
    T magnesium = T(not_a_number);
    T sodium = T(not_a_number);
    T potassium = T(0.0);
    T sulfate = T(0.0);
    T bromide = T(0.0);
    T formate = T(0.0);
  };

  template <class T>
  struct Result {
    T sum_of_anions;
    T sum_of_cations;
    T difference;
    T imbalance;
    T sodium_by_difference;
  };

  static constexpr std::array inputs{
      Variable{.name = "chloride", .symbol = "c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride in the filtrate, mass per volume (not ppm)", .limits = {0.0, 500.0}, .validated = {0.0, 350.0}},
      Variable{.name = "hydroxide", .symbol = "c_{OH}", .quantity = Quantity::ion_concentration, .meaning = "hydroxide in the filtrate",
               .limits = {0.0, 300.0}, .validated = {0.0, 20.0}},
      Variable{.name = "carbonate", .symbol = "c_{CO3}", .quantity = Quantity::ion_concentration, .meaning = "carbonate in the filtrate",
               .limits = {0.0, 600.0}, .validated = {0.0, 60.0}},
      Variable{.name = "bicarbonate", .symbol = "c_{HCO3}", .quantity = Quantity::ion_concentration, .meaning = "bicarbonate in the filtrate",
               .limits = {0.0, 300.0}, .validated = {0.0, 60.0}},
      Variable{.name = "calcium", .symbol = "c_{Ca}", .quantity = Quantity::ion_concentration,
               .meaning = "calcium in the filtrate; total hardness as calcium will do, with magnesium then zero", .limits = {0.0, 300.0},
               .validated = {0.0, 210.0}},
      Variable{.name = "magnesium", .symbol = "c_{Mg}", .quantity = Quantity::ion_concentration, .meaning = "magnesium in the filtrate",
               .limits = {0.0, 200.0}, .validated = {0.0, 120.0}},
      Variable{.name = "sodium", .symbol = "c_{Na}", .quantity = Quantity::ion_concentration, .meaning = "sodium in the filtrate, measured",
               .limits = {0.0, 300.0}, .validated = {0.0, 200.0}, .optional = true,
               .if_missing = "the balance cannot be checked; the sodium that would close it is still given."},
      Variable{.name = "potassium", .symbol = "c_{K}", .quantity = Quantity::ion_concentration,
               .meaning = "potassium in the filtrate; left out: the fluid is declared to hold none", .limits = {0.0, 700.0},
               .validated = {0.0, 250.0}},
      Variable{.name = "sulfate", .symbol = "c_{SO4}", .quantity = Quantity::ion_concentration,
               .meaning = "sulfate in the filtrate; left out: the fluid is declared to hold none", .limits = {0.0, 300.0}, .validated = {0.0, 50.0}},
      Variable{.name = "bromide", .symbol = "c_{Br}", .quantity = Quantity::ion_concentration,
               .meaning = "bromide in the filtrate; left out: the fluid is declared to hold none", .limits = {0.0, 1500.0},
               .validated = {0.0, 900.0}},
      Variable{.name = "formate", .symbol = "c_{HCOO}", .quantity = Quantity::ion_concentration,
               .meaning = "formate in the filtrate; left out: the fluid is declared to hold none", .limits = {0.0, 1500.0},
               .validated = {0.0, 850.0}},
  };

  static constexpr std::array results{
      Variable{.name = "sum_of_anions", .symbol = "A", .quantity = Quantity::ion_charge_concentration,
               .meaning = "charge of all anions per volume of filtrate"},
      Variable{.name = "sum_of_cations", .symbol = "C", .quantity = Quantity::ion_charge_concentration,
               .meaning = "charge of all cations per volume of filtrate"},
      Variable{.name = "difference", .symbol = "D", .quantity = Quantity::ion_charge_concentration,
               .meaning = "charge of cations less that of anions, signed"},
      Variable{.name = "imbalance", .symbol = "d", .quantity = Quantity::number, .meaning = "the difference as a part of all charges, signed"},
      Variable{.name = "sodium_by_difference", .symbol = "c_{Na,diff}", .quantity = Quantity::ion_concentration,
               .meaning = "sodium that would close the balance, signed"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.charge_balance",
      .title = "Charge balance of the filtrate",
      .answers = "Do the ions found in the filtrate neutralise each other, and how much sodium would make them?",
      .equations = "charge of an ion = z c / M; imbalance = (cations - anions) / (cations + anions); sodium = (anions - other cations) M_Na",
      .source = "Electroneutrality (derived). The tolerance of 5 % of all charges is that of water analysis (common practice, no source).",
      .assumptions = "Every ion that matters is given. Missing is not zero: chloride, hydroxide, carbonate, bicarbonate, calcium and magnesium are "
                     "needed, as zero where the test found none. Potassium, sulfate, bromide and formate may be left out, which declares that the "
                     "fluid holds none; a gap in their column stays a gap. Charged polymers, organic acids, silicate and iron are not counted. "
                     "Chloride by silver nitrate includes bromide: give it once.",
      .cautions = "Sodium by difference carries the errors of all the other ions. Advisory: follow local rules and licensed practice.",
  };

  static constexpr double tolerance = 0.05;

  static constexpr std::array verdicts{
      Verdict{"balanced", "cations and anions agree within 5 % of all charges"},
      Verdict{"sodium_not_measured", "sodium is not given: the balance is closed by it, not checked"},
      Verdict{"too_few_cations", "anions exceed the cations by more than 5 % of all charges: a cation was not measured (potassium, ammonium, "
                                 "caesium), or a slip", Severity::caution},
      Verdict{"too_few_anions", "cations exceed the anions by more than 5 % of all charges: an anion was not measured (sulfate, formate, organic "
                                "acids), or a slip", Severity::caution},
      Verdict{"cannot_close", "the other cations alone exceed the anions by more than 5 % of these charges: no sodium closes the balance, an anion "
                              "is missing or a reading is wrong", Severity::caution},
      Verdict{"no_ions", "all ions are zero: there is nothing to balance"},
      Verdict{"missing", "an ion that must be given is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.sodium_by_difference == r.sodium_by_difference)) return 6;
    const double lacking = -r.sodium_by_difference / sodium_mass.value;
    if (lacking > tolerance * (2.0 * r.sum_of_anions + lacking)) return 4;
    if (!(in.sodium == in.sodium)) return r.sum_of_anions == 0.0 && lacking == 0.0 ? 5 : 1;
    if (!(r.imbalance == r.imbalance)) return 5;
    if (r.imbalance < -tolerance) return 2;
    return r.imbalance > tolerance ? 3 : 0;
  }

  static constexpr Input<double> example() {
    return {.chloride = 62.0, .hydroxide = 0.17, .carbonate = 0.6, .bicarbonate = 0.0, .calcium = 0.4, .magnesium = 0.05, .sodium = 25.2,
            .potassium = 26.0, .sulfate = 0.9};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T of_salts = step({"A_{1}", Quantity::ion_charge_concentration, "charge of chloride, bromide, formate and sulfate per volume of filtrate"},
                            in.chloride / constant<T>(chloride_mass) + in.bromide / constant<T>(bromide_mass) +
                                in.formate / constant<T>(formate_mass) + T(2.0) * in.sulfate / constant<T>(sulfate_mass));
    const T of_alkalinity =
        step({"A_{2}", Quantity::ion_charge_concentration, "charge of hydroxide, carbonate and bicarbonate per volume of filtrate"},
             in.hydroxide / constant<T>(hydroxide_mass) + T(2.0) * in.carbonate / constant<T>(carbonate_mass) +
                 in.bicarbonate / constant<T>(bicarbonate_mass));
    const T but_sodium = step({"C_{1}", Quantity::ion_charge_concentration, "charge of calcium, magnesium and potassium per volume of filtrate"},
                              T(2.0) * in.calcium / constant<T>(calcium_mass) + T(2.0) * in.magnesium / constant<T>(magnesium_mass) +
                                  in.potassium / constant<T>(potassium_mass));
    Result<T> r;
    r.sum_of_anions = of_salts + of_alkalinity;
    r.sum_of_cations = but_sodium + in.sodium / constant<T>(sodium_mass);
    r.difference = r.sum_of_cations - r.sum_of_anions;
    const T all = r.sum_of_cations + r.sum_of_anions;
    r.imbalance = only_if(all > T(0.0), r.difference / all);
    r.sodium_by_difference = (r.sum_of_anions - but_sodium) * constant<T>(sodium_mass);
    return r;
  }
};

inline constexpr ChargeBalance charge_balance{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
