// Mud balance corrected by its own reading in fresh water.
#pragma once

#include "lutum/brine/sodium_chloride.hpp"

namespace lutum::inline LUTUM_ISA_TAG::density {

struct MudBalance : Calculation<MudBalance> {
  template <class T>
  struct Input {
    T balance_reading = T(not_a_number);
    T water_reading = T(not_a_number);
    T water_temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T water_density;
    T balance_error;
    T mud_density;
  };

  static constexpr std::array inputs{
      Variable{.name = "balance_reading", .symbol = "R_{m}", .quantity = Quantity::density, .meaning = "reading of the balance with mud in the cup",
               .limits = {100.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "water_reading", .symbol = "R_{w}", .quantity = Quantity::density,
               .meaning = "reading of the balance with fresh water in the cup", .limits = {500.0, 1500.0}, .validated = {950.0, 1050.0}},
      Variable{.name = "water_temperature", .symbol = "T_{w}", .quantity = Quantity::temperature, .meaning = "temperature of that water",
               .limits = {273.15, 373.15}, .validated = {277.15, 323.15}},
  };
  static constexpr std::array results{
      Variable{.name = "water_density", .symbol = "\\rho_{w}", .quantity = Quantity::density, .meaning = "density of fresh water at its temperature"},
      Variable{.name = "balance_error", .symbol = "e", .quantity = Quantity::density, .meaning = "what the balance shows too much, signed"},
      Variable{.name = "mud_density", .symbol = "\\rho_{m}", .quantity = Quantity::density,
               .meaning = "density of the mud, the balance's error taken off"},
  };
  static constexpr Sheet sheet{
      .id = "density.mud_balance",
      .title = "Mud balance held against water",
      .answers = "What is the mud density when the balance's own error in fresh water is taken off, and is the balance fit for use?",
      .equations = "e = R_w - rho_w(T); rho_m = R_m - e",
      .source = "Offset correction (derived): a wrong counterweight shifts every reading alike. Tolerance 0.1 lb/gal or 0.01 g/cm3: seen in an "
                "instrument maker's manual and in ASTM D4380; the two are not the same size (0.083 lb/gal). Water density: Laliberte (2009).",
      .assumptions = "The error is the same over the whole beam. One reading in water cannot show an error that grows with density, of a worn "
                     "rider: that needs a second fluid of known density. Buoyancy of the air, 0.01 lb/gal, stands in both readings.",
      .cautions = "Adjust a balance that is off rather than correct it for long. Gas in the mud makes the open balance read low: use the "
                  "pressurised one; it holds pressure, release it before opening. For pressure control numbers are advisory; local rules and "
                  "licensed practice decide.",
  };

  static constexpr double tolerance = 0.1 * find_symbol("lbm/gal[US]")->scale();

  static constexpr std::array verdicts{
      Verdict{"consistent", "the balance reads water within 0.1 lb/gal"},
      Verdict{"balance_off", "the balance reads water wrong by more than 0.1 lb/gal: clean and dry it, adjust it, and weigh the mud again",
                             Severity::caution},
      Verdict{"missing", "a reading is missing"},
  };
  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.mud_density == r.mud_density)) return 2;
    return abs(r.balance_error) > tolerance ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.balance_reading = 1440.0, .water_reading = 1002.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T t = step({"t", Quantity::number, "temperature in degrees Celsius"},
                     (in.water_temperature - constant<T>(brine::ice_point)) / constant<T>(brine::one_kelvin));
    Result<T> r;
    r.water_density = brine::water_density_number(t) * constant<T>(brine::one_density);
    r.balance_error = in.water_reading - r.water_density;
    r.mud_density = in.balance_reading - r.balance_error;
    return r;
  }
};

inline constexpr MudBalance mud_balance{};

}  // namespace lutum::inline LUTUM_ISA_TAG::density
