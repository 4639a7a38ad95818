// Sulfate of a filtrate estimated from the turbidity that barium chloride makes.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct SulfateTurbidity : Calculation<SulfateTurbidity> {
  template <class T>
  struct Input {
    T turbidity = T(not_a_number);
    T blank_turbidity = T(0.0);
    T calibration_slope = T(not_a_number);
    T dilution = T(1.0);
    T relative_spread = T(0.2);
  };

  template <class T>
  struct Result {
    T sulfate;
    T sulfate_spread;
  };

  static constexpr std::array inputs{
      Variable{.name = "turbidity", .symbol = "\\tau", .quantity = Quantity::turbidity,
               .meaning = "turbidity of the diluted filtrate after barium chloride", .limits = {0.0, 10000.0}, .validated = {0.0, 1000.0}},
      Variable{.name = "blank_turbidity", .symbol = "\\tau_0", .quantity = Quantity::turbidity,
               .meaning = "turbidity of the diluted filtrate before barium chloride", .limits = {0.0, 10000.0}, .validated = {0.0, 100.0}},
      Variable{.name = "calibration_slope", .symbol = "s", .quantity = Quantity::ion_concentration,
               .meaning = "sulfate in the vial for each NTU, from the user's own standards", .limits = {1e-7, 10.0}, .validated = {1e-5, 0.01}},
      Variable{.name = "dilution", .symbol = "D", .quantity = Quantity::volume_ratio,
               .meaning = "volume of the diluted filtrate per volume of filtrate in it", .limits = {1.0, 1e5}, .validated = {1.0, 1000.0}},
      Variable{.name = "relative_spread", .symbol = "u", .quantity = Quantity::number,
               .meaning = "standard deviation of the estimate as a part of it; 0.2 is common practice, no source", .limits = {0.0, 2.0},
               .validated = {0.05, 1.0}},
  };

  static constexpr std::array results{
      Variable{.name = "sulfate", .symbol = "c_{SO4}", .quantity = Quantity::ion_concentration, .meaning = "sulfate in the filtrate, an estimate"},
      Variable{.name = "sulfate_spread", .symbol = "u_{SO4}", .quantity = Quantity::ion_concentration,
               .meaning = "standard deviation to be told with the estimate"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.sulfate_turbidity",
      .title = "Sulfate estimated by barium chloride",
      .answers = "About how much sulfate is dissolved in the filtrate?",
      .equations = "c_SO4 = s (tau - tau_0) D; spread = u c_SO4",
      .source = "A straight calibration line through zero (derived); barium chloride turbidity, common practice, no source. No slope is printed "
                "here: it belongs to the instrument, the vial and the reagent.",
      .assumptions = "The reading lies within the user's standards, where turbidity is proportional to sulfate; the filtrate is acidified, so that "
                     "carbonate does not cloud it. Colour, polymers and fine solids spoil the reading: it is an estimate, 20 % at best.",
      .cautions = "Barium chloride is poisonous when swallowed: gloves, no mouth pipette, collect the waste. Follow local rules.",
  };

  static constexpr std::array verdicts{
      Verdict{"estimated", "barium chloride clouded the filtrate"},
      Verdict{"no_cloud", "no more turbid than before the reagent: no sulfate that this dilution can show, or a slip", Severity::caution},
      Verdict{"blank_too_high", "most of the turbidity was there before the reagent: filter finer or dilute more", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.sulfate_spread == r.sulfate_spread)) return 3;
    if (in.turbidity <= in.blank_turbidity) return 1;
    return 2.0 * in.blank_turbidity > in.turbidity ? 2 : 0;
  }

  static constexpr Input<double> example() {
    return {.turbidity = 120.0, .blank_turbidity = 5.0, .calibration_slope = 0.4e-3, .dilution = 50.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.sulfate = in.calibration_slope * (in.turbidity - in.blank_turbidity) * in.dilution;
    r.sulfate_spread = in.relative_spread * r.sulfate;
    return r;
  }
};

inline constexpr SulfateTurbidity sulfate_turbidity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
