// Permeability-plugging test: value, spurt loss and static filtration rate from the volumes at 7.5 and 30 min.
#pragma once

#include "lutum/filtration/press.hpp"

namespace lutum::inline LUTUM_ISA_TAG::filtration {

struct PluggingTest : Calculation<PluggingTest> {
  template <class T>
  struct Input {
    T filtrate_7_5_min = T(not_a_number);
    T filtrate_30_min = T(not_a_number);
    T area_factor = T(2.0);
  };

  template <class T>
  struct Result {
    T plugging_value;
    T spurt_loss;
    T static_filtration_rate;
  };

  static constexpr std::array inputs{
      Variable{.name = "filtrate_7_5_min", .symbol = "V_{7.5}", .quantity = Quantity::bench_volume, .meaning = "filtrate read after 7.5 min",
               .limits = {0.0, 1e-3}, .validated = {0.0, 100e-6}},
      Variable{.name = "filtrate_30_min", .symbol = "V_{30}", .quantity = Quantity::bench_volume, .meaning = "filtrate read after 30 min",
               .limits = {0.0, 1e-3}, .validated = {0.0, 100e-6}},
      Variable{.name = "area_factor", .symbol = "a", .quantity = Quantity::number, .meaning = area_factor_meaning,
               .limits = {0.1, 100.0}, .validated = {1.0, 2.03}},
  };

  static constexpr std::array results{
      Variable{.name = "plugging_value", .symbol = "V_{PPT}", .quantity = Quantity::bench_volume,
               .meaning = "plugging-test value: the 30 min filtrate for the standard area"},
      Variable{.name = "spurt_loss", .symbol = "V_{sp}", .quantity = Quantity::bench_volume,
               .meaning = "spurt loss: the line through both readings at time zero, for the standard area, signed"},
      Variable{.name = "static_filtration_rate", .symbol = "C", .quantity = Quantity::bench_volume,
               .meaning = "static filtration rate: filtrate for each square root of a minute, for the standard area"},
  };

  static constexpr Sheet sheet{
      .id = "filtration.plugging_test",
      .title = "Permeability-plugging test",
      .answers = "How much does the mud lose to a permeable disc, how much of it as spurt, and how fast afterwards?",
      .equations = "V_PPT = a V_30; V_sp = a (2 V_7.5 - V_30); C = a (V_30 - V_7.5)/(sqrt(30) - sqrt(7.5)); a = 2 for the half-area cell",
      .source = "API RP 13B-1 and ISO 10414-1, permeability plugging (from memory, text not seen). All three are the straight line through 7.5 and "
                "30 min against the square root of time (derived); sqrt(30) - sqrt(7.5) = 2.7386, printed 2.739.",
      .assumptions = "Both readings on one line in the square root of time. A spurt longer than 7.5 min is not seen.",
      .cautions = "Hydraulic pressure of thousands of psi and a hot cell: shields, the cell's own rated pressure, and back pressure above the "
                  "vapour pressure of water. Assume trapped pressure after cooling; cool below 100 degF before opening. Never nitrous oxide as "
                  "pressure gas. Follow local rules and the laboratory's own procedure.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "spurt and rate are both positive"},
      Verdict{"negative_spurt", "more came after 7.5 min than before it: held-up filtrate, a late cake, a leak or a slip; reported as it is",
                                Severity::caution},
      Verdict{"falling_volume", "the 30 min reading is less than the 7.5 min reading: a slip", Severity::impossible},
      Verdict{"missing", "a reading is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.spurt_loss == r.spurt_loss)) return 3;
    if (in.filtrate_30_min < in.filtrate_7_5_min) return 2;
    return r.spurt_loss < 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.filtrate_7_5_min = 5e-6, .filtrate_30_min = 8e-6}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.plugging_value = in.area_factor * in.filtrate_30_min;
    // The root of 30 is twice that of 7.5: as much comes before 7.5 min without a spurt as after it.
    const T late = step({"\\Delta V", Quantity::bench_volume, "filtrate from 7.5 to 30 min"}, in.filtrate_30_min - in.filtrate_7_5_min);
    r.spurt_loss = in.area_factor * (in.filtrate_7_5_min - late);
    r.static_filtration_rate = in.area_factor * late / constant<T>(root_of_7_5);
    return r;
  }
};

inline constexpr PluggingTest plugging_test{};

}  // namespace lutum::inline LUTUM_ISA_TAG::filtration
