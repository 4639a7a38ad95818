// Dynamic sag by the viscometer sag shoe: what a sample from its well gains in mass.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

struct ShoeTest : Calculation<ShoeTest> {
  template <class T>
  struct Input {
    T mass_before = T(not_a_number);
    T mass_after = T(not_a_number);
    T sample_volume = T(10e-6);
  };

  template <class T>
  struct Result {
    T density_before;
    T density_change;
  };

  static constexpr std::array inputs{
      Variable{.name = "mass_before", .symbol = "m_{1}", .quantity = Quantity::bench_mass,
               .meaning = "mass of the sample from the shoe's well before the run",
               .limits = {0.0, 1.0}, .validated = {0.007, 0.026}},
      Variable{.name = "mass_after", .symbol = "m_{2}", .quantity = Quantity::bench_mass,
               .meaning = "mass of the same volume from the well after the run",
               .limits = {0.0, 1.0}, .validated = {0.007, 0.04}},
      Variable{.name = "sample_volume", .symbol = "V", .quantity = Quantity::bench_volume, .meaning = "volume of each sample", .limits = {1e-7, 1e-3},
               .validated = {5e-6, 50e-6}},
  };
  static constexpr std::array results{
      Variable{.name = "density_before", .symbol = "\\rho_{1}", .quantity = Quantity::density,
               .meaning = "density of the sample before the run: hold it against the mud balance"},
      Variable{.name = "density_change", .symbol = "\\Delta \\rho", .quantity = Quantity::density,
               .meaning = "gain of density in the well of the shoe"},
  };
  static constexpr Sheet sheet{
      .id = "cuttings.shoe_test",
      .title = "Viscometer sag shoe test",
      .answers = "How much weighting material settles while the fluid is sheared slowly?",
      .equations = "drho = (m_2 - m_1)/V",
      .source = "Mass over volume (derived). The field form 0.8345 lb/gal for each gram in 10 mL: API RP 13B, annex, from memory, text not seen.",
      .assumptions = "Both samples of the same volume, without air, drawn from the well of the shoe; usually 30 min at 100 rpm and 49 degC (120 "
                     "degF).",
      .cautions = "Hot fluid and vapours of oil: follow local rules. Sag upsets the pressure of the column: advisory; the well's own programme and "
                  "licensed practice decide.",
  };
  static constexpr std::array verdicts{
      Verdict{"small", "a gain of at most 120 kg/m3 (1 lb/gal): little sag, by common practice"},
      Verdict{"sags", "a gain above 120 kg/m3 (1 lb/gal): the fluid tends to sag, by common practice", Severity::caution},
      Verdict{"lighter_after", "the sample lost mass: another volume, or air in it", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };
  static constexpr std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.density_change == r.density_change)) return 3;
    if (r.density_change < 0.0) return 2;
    return r.density_change > 120.0 ? 1 : 0;
  }
  static constexpr Input<double> example() { return {.mass_before = 0.0150, .mass_after = 0.0158}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.mass_before / in.sample_volume, (in.mass_after - in.mass_before) / in.sample_volume};
  }
};

inline constexpr ShoeTest shoe_test{};

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
