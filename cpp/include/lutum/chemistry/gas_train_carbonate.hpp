// Carbonates of a filtrate by the gas train.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct GasTrainCarbonate : Calculation<GasTrainCarbonate> {
  template <class T>
  struct Input {
    T tube_reading = T(not_a_number);
    T tube_factor = T(not_a_number);
    T sample_volume = T(not_a_number);
  };

  template <class T>
  struct Result {
    T carbonate;
  };

  static constexpr std::array inputs{
      Variable{.name = "tube_reading", .symbol = "R", .quantity = Quantity::number,
               .meaning = "stain read on the carbon dioxide tube, in the tube's own marks (%)", .limits = {0.0, 10000.0}, .validated = {0.0, 20.0}},
      Variable{.name = "tube_factor", .symbol = "F", .quantity = Quantity::reagent_mass,
               .meaning = "carbonate that one mark of the tube stands for with this train's gas volume; "
                          "a printed factor F in mg/L = F x reading / mL is F/1000 mg",
               .limits = {1e-12, 1e-2}, .validated = {1e-6, 5e-5}},
      Variable{.name = "sample_volume", .symbol = "V", .quantity = Quantity::bench_volume,
               .meaning = "filtrate injected into the train", .limits = {0.05e-6, 1e-3}, .validated = {0.5e-6, 20e-6}},
  };

  static constexpr std::array results{
      Variable{.name = "carbonate", .symbol = "c_{CO3}", .quantity = Quantity::ion_concentration,
               .meaning = "total carbonate in the filtrate as carbonate: carbonate, bicarbonate and dissolved carbon dioxide"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.gas_train_carbonate",
      .title = "Total carbonates by the gas train",
      .answers = "How much carbonate of every kind is dissolved in the filtrate, whatever organics do to the alkalinities?",
      .equations = "c_CO3 = F R / V",
      .source = "Mass read by the tube over the volume of filtrate (derived). API RP 13B-1 and ISO 10414-1, gas train (from memory, text not seen), "
                "with 25 mg for 1 %, printed as 25 000. That is 1 L of gas: 10 mL of carbon dioxide for 1 %, at 24.055 L/mol (20 degC) and 60.008 "
                "g/mol 24.946 mg (derived). The factor has no default: it belongs to the tube and the gas volume.",
      .assumptions = "All the gas, 1 L in the usual procedure, is collected and mixed before the tube reads it; the train is tight and was flushed "
                     "free of air; the filtrate stood in no air. The stain does not tell carbonate from bicarbonate: the pH does.",
      .cautions = "Acid on a filtrate with sulfide releases hydrogen sulfide: fume hood and a monitor. Carrier gas inert, never carbon dioxide in "
                  "this test and never nitrous oxide; a cartridge is under pressure. Follow local rules.",
  };

  static constexpr std::array verdicts{
      Verdict{"stained", "the tube shows carbon dioxide"},
      Verdict{"no_stain", "no stain: less than this tube can show, which is not the same as none", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.carbonate == r.carbonate)) return 2;
    return in.tube_reading == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.tube_reading = 0.39, .tube_factor = 25e-6, .sample_volume = 5e-6}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.tube_reading * in.tube_factor / in.sample_volume};
  }
};

inline constexpr GasTrainCarbonate gas_train_carbonate{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
