// Lime in a water-base mud from the alkalinities of mud and filtrate.
#pragma once

#include "lutum/chemistry/filtrate_ions.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct LimeContent : Calculation<LimeContent> {
  template <class T>
  struct Input {
    T phenolphthalein_alkalinity_mud = T(not_a_number);
    T phenolphthalein_alkalinity = T(not_a_number);
    T water_fraction = T(not_a_number);
    T titrant_normality = T(alkalinity_acid);
  };

  template <class T>
  struct Result {
    T excess_lime;
    T alkalinity_as_lime;
  };

  static constexpr std::array inputs{
      Variable{.name = "phenolphthalein_alkalinity_mud", .symbol = "P_{m}", .quantity = Quantity::alkalinity,
               .meaning = "acid to the phenolphthalein end point of the whole mud, mL per mL of mud", .limits = {0.0, 500.0},
               .validated = {0.0, 60.0}},
      Variable{.name = "phenolphthalein_alkalinity", .symbol = "P_{f}", .quantity = Quantity::alkalinity,
               .meaning = "acid to the phenolphthalein end point of the filtrate, mL per mL of filtrate", .limits = {0.0, 100.0},
               .validated = {0.0, 15.0}},
      Variable{.name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
               .meaning = "water read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.3, 1.0}},
      Variable{.name = "titrant_normality", .symbol = "N", .quantity = Quantity::charge_concentration, .meaning = "normality of the acid",
               .limits = {0.1, 1000.0}, .validated = {18.0, 22.0}},
  };

  static constexpr std::array results{
      Variable{.name = "excess_lime", .symbol = "c_{excess}", .quantity = Quantity::concentration,
               .meaning = "lime not dissolved (excess lime, reported as lime content) by mass per volume of mud, signed"},
      Variable{.name = "alkalinity_as_lime", .symbol = "c_{all}", .quantity = Quantity::concentration,
               .meaning = "all phenolphthalein alkalinity of the mud expressed as lime, dissolved or not, by mass per volume of mud"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.lime_content",
      .title = "Lime content of a water-base mud",
      .answers = "How much undissolved lime does the mud carry?",
      .equations = "excess lime = N (Pm - Fw Pf) M/2 with M of Ca(OH)2: 0.2597 lb/bbl or 0.7409 kg/m3 for each mL of 0.02 N acid per mL",
      .source = "0.26 (Pm - Fw Pf) lb/bbl: Nelson and Watkins, AIME technical note 1950 (abstract seen), which withdraws the rule of 1949, 0.6 (Pm "
                "- 1.3 Pf) - 0.6. Factor from molar masses (derived); API RP 13B-1 prints 0.26 and 0.742 (from memory, text not seen; 0.742 is 0.15 "
                "% high).",
      .assumptions = "What is titrated in the mud beyond its water is lime. Other solids that take up acid (magnesia, cement, ground carbonate near "
                     "the end point, alkaline clay) count as lime. Salt makes the filtrate's volume a little larger than the retort's water.",
      .cautions = "Acid, and a strongly alkaline mud that burns skin and eyes: goggles and gloves. Acid sets hydrogen sulfide free from a mud that "
                  "holds sulfide. Follow local rules and the laboratory's own procedure.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "the mud's alkalinity covers that of its water"},
      Verdict{"negative_lime", "the mud takes less acid than its water alone would: reading error where there is no lime, or a slip in Pm, Pf or "
                               "the water fraction", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.excess_lime == r.excess_lime)) return 2;
    return r.excess_lime < 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.phenolphthalein_alkalinity_mud = 5.0, .phenolphthalein_alkalinity = 0.7, .water_fraction = 0.9};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T undissolved = step({"v_{excess}", Quantity::alkalinity, "acid that the undissolved lime takes, per volume of mud"},
                               in.phenolphthalein_alkalinity_mud - in.water_fraction * in.phenolphthalein_alkalinity);
    Result<T> r;
    r.excess_lime = undissolved * in.titrant_normality * constant<T>(lime_mass) / T(2.0);
    r.alkalinity_as_lime = in.phenolphthalein_alkalinity_mud * in.titrant_normality * constant<T>(lime_mass) / T(2.0);
    return r;
  }
};

inline constexpr LimeContent lime_content{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
