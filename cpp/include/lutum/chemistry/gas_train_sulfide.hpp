// Sulfide of a filtrate by the gas train.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct GasTrainSulfide : Calculation<GasTrainSulfide> {
  template <class T>
  struct Input {
    T tube_reading = T(not_a_number);
    T tube_factor = T(not_a_number);
    T sample_volume = T(not_a_number);
  };

  template <class T>
  struct Result {
    T sulfide;
  };

  static constexpr std::array inputs{
      Variable{.name = "tube_reading", .symbol = "R", .quantity = Quantity::number,
               .meaning = "stain read on the hydrogen sulfide tube, in the tube's own marks (ppm or %)", .limits = {0.0, 10000.0},
               .validated = {0.0, 2000.0}},
      Variable{.name = "tube_factor", .symbol = "F", .quantity = Quantity::reagent_mass,
               .meaning = "sulfide that one mark of the tube stands for with this train's gas volume; "
                          "a printed factor F in mg/L = F x reading / mL is F/1000 mg",
               .limits = {1e-12, 1e-2}, .validated = {1e-11, 3e-6}},
      Variable{.name = "sample_volume", .symbol = "V", .quantity = Quantity::bench_volume,
               .meaning = "filtrate injected into the train", .limits = {0.05e-6, 1e-3}, .validated = {0.5e-6, 20e-6}},
  };

  static constexpr std::array results{
      Variable{.name = "sulfide", .symbol = "c_{S}", .quantity = Quantity::ion_concentration,
               .meaning = "sulfide in the filtrate, all that acid drives out as hydrogen sulfide"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.gas_train_sulfide",
      .title = "Sulfide by the gas train",
      .answers = "How much sulfide is dissolved in the filtrate?",
      .equations = "c_S = F R / V",
      .source = "Mass read by the tube over the volume of filtrate (derived). API RP 13B-1 and ISO 10414-1, gas train (from memory, text not seen). "
                "The factor has no default: for the high-range tube two prints differ by 2.5 (1500 and 600, that is 1.5 and 0.6 mg for 1 %, from "
                "memory), for the low-range tube 0.12 (0.00012 mg for 1 ppm, from memory). An ideal gas, 100 mL through the tube at 20 degC, gives "
                "0.000133 mg and 1.33 mg (derived). Take the factor that belongs to the tube in hand.",
      .assumptions = "The train is tight, the carrier gas runs long enough and at the rate the tube wants, the tube is in date. The sample is "
                     "filtrate, taken without standing in air: sulfide is lost and oxidised. Sulfide bound by a scavenger in the solids is not seen.",
      .cautions = "Acid on sulfide releases hydrogen sulfide, deadly and soon not smelled: fume hood, monitor, never alone. Carrier gas inert "
                  "(nitrogen or carbon dioxide), never nitrous oxide; a cartridge is under pressure. Sulfide found in a mud is an alarm at the "
                  "well: the site's own hydrogen sulfide plan comes first. Follow local rules and licensed practice.",
  };

  static constexpr std::array verdicts{
      Verdict{"stained", "the tube shows hydrogen sulfide"},
      Verdict{"no_stain", "no stain: less than this tube can show, which is not the same as none", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.sulfide == r.sulfide)) return 2;
    return in.tube_reading == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.tube_reading = 800.0, .tube_factor = 0.12e-9, .sample_volume = 2.5e-6}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.tube_reading * in.tube_factor / in.sample_volume};
  }
};

inline constexpr GasTrainSulfide gas_train_sulfide{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
