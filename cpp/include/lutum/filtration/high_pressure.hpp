// High-temperature, high-pressure filtration: filtrate for the standard area, and whether the filtrate could boil.
#pragma once

#include "lutum/filtration/press.hpp"

namespace lutum::inline LUTUM_ISA_TAG::filtration {

struct HighPressure : Calculation<HighPressure> {
  template <class T>
  struct Input {
    T filtrate_volume = T(not_a_number);
    T temperature = T(not_a_number);
    T top_pressure = T(600.0 * find_symbol("psi")->scale());
    T back_pressure = T(100.0 * find_symbol("psi")->scale());
    T area_factor = T(2.0);
    T filtrate_water_volume = T(not_a_number);
  };

  template <class T>
  struct Result {
    T filtrate;
    T differential_pressure;
    T vapour_pressure;
    T boiling_margin;
    T filtrate_water_fraction;
  };

  static constexpr std::array inputs{
      Variable{.name = "filtrate_volume", .symbol = "V", .quantity = Quantity::bench_volume, .meaning = "filtrate collected in 30 min, as read",
               .limits = {0.0, 1e-3}, .validated = {0.0, 100e-6}},
      Variable{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature, .meaning = "temperature of the cell",
               .limits = {273.16, 620.0}, .validated = {322.0, 533.15}},
      Variable{.name = "top_pressure", .symbol = "p_{top}", .quantity = Quantity::pressure, .meaning = "pressure on the mud, gauge",
               .limits = {0.0, 5e7}, .validated = {3.4e6, 1.4e7}},
      Variable{.name = "back_pressure", .symbol = "p_{back}", .quantity = Quantity::pressure,
               .meaning = "pressure on the filtrate in its receiver, gauge", .limits = {0.0, 5e7}, .validated = {0.0, 7e6}},
      Variable{.name = "area_factor", .symbol = "a", .quantity = Quantity::number, .meaning = area_factor_meaning, .limits = {0.1, 100.0},
               .validated = {1.0, 2.03}},
      Variable{.name = "filtrate_water_volume", .symbol = "V_{w}", .quantity = Quantity::bench_volume,
               .meaning = "water or emulsion below the oil in the filtrate of a non-aqueous mud; left out for a water-base mud",
               .limits = {0.0, 1e-3}, .validated = {0.0, 100e-6}, .optional = true},
  };

  static constexpr std::array results{
      Variable{.name = "filtrate", .symbol = "V_{f}", .quantity = Quantity::bench_volume,
               .meaning = "filtrate for the standard area, as it is reported"},
      Variable{.name = "differential_pressure", .symbol = "\\Delta p", .quantity = Quantity::pressure, .meaning = "pressure across the cake"},
      Variable{.name = "vapour_pressure", .symbol = "p_{v}", .quantity = Quantity::pressure,
               .meaning = "vapour pressure of pure water at the temperature of the cell, absolute"},
      Variable{.name = "boiling_margin", .symbol = "\\Delta p_{v}", .quantity = Quantity::pressure,
               .meaning = "absolute back pressure less vapour pressure, signed: below zero the filtrate boils"},
      Variable{.name = "filtrate_water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
               .meaning = "water in the filtrate of a non-aqueous mud, by volume; missing where none was read"},
  };

  static constexpr Sheet sheet{
      .id = "filtration.high_pressure",
      .title = "High-temperature, high-pressure filtrate",
      .answers = "What filtrate is reported from the hot cell, and was the back pressure enough to keep it from boiling?",
      .equations = "V_f = a V; dp = p_top - p_back; margin = p_back + 1 atm - p_v(T); water = V_w / V",
      .source = "Doubling for half the area, 500 psi across the cake: API RP 13B-1 and 13B-2 (from memory, text not seen). Vapour pressure of water: "
                "Wagner and Pruss (1993), IAPWS supplementary release; coefficients from memory, within 0.013 % of the verification values of "
                "IAPWS-IF97. Least back pressures of the standard's table (100 psi up to 300 degF, 160 at 350, 275 at 400, 450 at 450; from memory) "
                "lie above it.",
      .assumptions = "Gauge pressures at sea level. Dissolved salt lowers the vapour pressure, so the margin is on the safe side for brine.",
      .cautions = "Above 200 degF (93 degC) a back-pressure receiver is needed, or the filtrate flashes. The cell holds pressure when cold and when "
                  "a valve is plugged: cool below 100 degF, bleed both ends, assume trapped pressure, then open. Rated cell and regulators; never "
                  "nitrous oxide as pressure gas; hot surfaces. Pressures here are advisory: the cell's own limits, local rules and the "
                  "laboratory's procedure decide.",
  };

  static constexpr double usual_differential = 500.0 * find_symbol("psi")->scale(), allowed_differential = 25.0 * find_symbol("psi")->scale();

  static constexpr std::array verdicts{
      Verdict{"consistent", "the filtrate stays liquid under the usual 500 psi across the cake"},
      Verdict{"no_differential", "the back pressure is not below the top pressure: nothing is filtered", Severity::impossible},
      Verdict{"more_water_than_filtrate", "more water is read than there is filtrate", Severity::impossible},
      Verdict{"may_boil", "the back pressure is below the vapour pressure of water at this temperature: the filtrate may boil, read too low and burn",
              Severity::caution},
      Verdict{"water_in_filtrate", "there is water in the filtrate of a non-aqueous mud: the emulsion is weak", Severity::caution},
      Verdict{"unusual_differential", "the pressure across the cake is more than 25 psi off the usual 500 psi: not comparable with other tests",
              Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.filtrate == r.filtrate) || !(r.differential_pressure == r.differential_pressure) || !(r.boiling_margin == r.boiling_margin)) return 6;
    if (r.differential_pressure <= 0.0) return 1;
    if (in.filtrate_water_volume > in.filtrate_volume) return 2;
    if (r.boiling_margin < 0.0) return 3;
    if (in.filtrate_water_volume > 0.0) return 4;
    const double off = r.differential_pressure - usual_differential;
    return off > allowed_differential * (1 + 1e-9) || off < -allowed_differential * (1 + 1e-9) ? 5 : 0;
  }

  static constexpr Input<double> example() {
    return {.filtrate_volume = 4.2e-6, .temperature = (300.0 + 459.67) / 1.8, .filtrate_water_volume = 0.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.filtrate = in.area_factor * in.filtrate_volume;
    r.differential_pressure = in.top_pressure - in.back_pressure;
    r.vapour_pressure = water_vapour_pressure(in.temperature);
    r.boiling_margin = in.back_pressure + constant<T>(one_atmosphere) - r.vapour_pressure;
    r.filtrate_water_fraction = in.filtrate_water_volume / only_if(in.filtrate_volume > T(0.0), in.filtrate_volume);
    return r;
  }
};

inline constexpr HighPressure high_pressure{};

}  // namespace lutum::inline LUTUM_ISA_TAG::filtration
