// Corrosion rate from the mass that a coupon or drill-pipe ring has lost.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::routine {

struct CorrosionCoupon : Calculation<CorrosionCoupon> {
  template <class T>
  struct Input {
    T mass_loss = T(not_a_number);
    T area = T(not_a_number);
    T exposure_time = T(not_a_number);
    T metal_density = T(7860.0);
  };

  template <class T>
  struct Result {
    T penetration_rate;
    T mass_loss_rate;
  };

  static constexpr std::array inputs{
      Variable{.name = "mass_loss", .symbol = "m", .quantity = Quantity::bench_mass,
               .meaning = "mass before less mass after cleaning; negative where the coupon gained", .limits = {-1.0, 100.0}, .validated = {0.0, 1.0}},
      Variable{.name = "area", .symbol = "A", .quantity = Quantity::bench_area, .meaning = "area exposed to the mud, all faces",
               .limits = {1e-6, 100.0}, .validated = {5e-4, 0.2}},
      Variable{.name = "exposure_time", .symbol = "t", .quantity = Quantity::exposure_time, .meaning = "time in the mud", .limits = {60.0, 3.2e9},
               .validated = {40.0 * 3600.0, 8784.0 * 3600.0}},
      Variable{.name = "metal_density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the metal, 7860 kg/m3 for steel",
               .limits = {1000.0, 23000.0}, .validated = {2600.0, 9000.0}},
  };
  static constexpr std::array results{
      Variable{.name = "penetration_rate", .symbol = "v", .quantity = Quantity::penetration_rate,
               .meaning = "metal lost in depth, for a year of 365 days, signed"},
      Variable{.name = "mass_loss_rate", .symbol = "j", .quantity = Quantity::mass_loss_rate,
               .meaning = "metal lost by mass from each unit of area, for a year of 365 days, signed"},
  };
  static constexpr Sheet sheet{
      .id = "routine.corrosion_coupon",
      .title = "Corrosion rate from a coupon",
      .answers = "How fast does the mud eat the pipe?",
      .equations = "j = m / (A t); v = j / rho",
      .source = "Definition (derived), year of 365 days. Printed constants: mil/yr = 534 m[mg]/(rho[g/cm3] A[in2] t[h]) where it is 534.6; 22,300 "
                "with g and days where it is 22,274; 24.6 mil/yr for each lb/ft2/yr where steel of 7860 kg/m3 gives 24.46 (24.6 is 7814 kg/m3). "
                "Guideline 2 lb/ft2/yr or 50 mil/yr: seen on a corrosion-ring sheet.",
      .assumptions = "Even loss over the whole area, which is an average over the time: pitting is not seen by mass. Exposures below 40 h overstate "
                     "the rate (common practice, from memory).",
      .cautions = "Look at the coupon: pits, cracks and black scale tell more than the rate. Acid on a scaled coupon may release hydrogen sulfide: "
                  "hood, goggles, gloves, local rules. Whether pipe is fit for use is for inspection and licensed practice.",
  };

  static constexpr double high_penetration = 50.0 * find_symbol("mil/(365 d)")->scale(),
      high_mass_loss = 2.0 * find_symbol("lbm/ft2/(365 d)")->scale();

  static constexpr std::array verdicts{
      Verdict{"consistent", "below the usual guideline"},
      Verdict{"high_rate", "above 50 mil/yr or 2 lb/ft2/yr: find the cause (oxygen, carbon dioxide, hydrogen sulfide) and treat", Severity::caution},
      Verdict{"mass_gained", "the coupon is heavier than before: scale not cleaned off, or masses exchanged", Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.penetration_rate == r.penetration_rate)) return 3;
    if (in.mass_loss < 0.0) return 2;
    return r.penetration_rate > high_penetration || r.mass_loss_rate > high_mass_loss ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.mass_loss = 0.12e-3, .area = 25e-4, .exposure_time = 120.0 * 3600.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.mass_loss_rate = in.mass_loss / (in.area * in.exposure_time);
    r.penetration_rate = r.mass_loss_rate / in.metal_density;
    return r;
  }
};

inline constexpr CorrosionCoupon corrosion_coupon{};

}  // namespace lutum::inline LUTUM_ISA_TAG::routine
