// Gas in the mud from an open and a pressurised balance.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::density {

enum class Compression : std::uint8_t { complete, boyle };
inline constexpr std::array compression_choices{
    Choice{"complete", "the gas is pressed to nothing in the pressurised balance"},
    Choice{"boyle", "pressure times volume of the gas stays, so some gas is left at the balance's pressure"},
};

struct GasCut : Calculation<GasCut> {
  using Option = Compression;
  static constexpr OptionInfo option{.name = "compression", .meaning = "what the pressurised balance does to the gas",
      .choices = compression_choices};

  template <class T>
  struct Input {
    T open_reading = T(not_a_number);
    T pressurised_reading = T(not_a_number);
    T balance_pressure = T(not_a_number);
    T atmospheric_pressure = T(101325.0);
  };

  template <class T>
  struct Result {
    T gas_free_density;
    T gas_fraction;
  };

  static constexpr std::array inputs{
      Variable{.name = "open_reading", .symbol = "\\rho_{o}", .quantity = Quantity::density, .meaning = "density read by the open balance",
               .limits = {50.0, 4000.0}, .validated = {500.0, 2600.0}},
      Variable{.name = "pressurised_reading", .symbol = "\\rho_{p}", .quantity = Quantity::density,
               .meaning = "density read by the pressurised balance", .limits = {50.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "balance_pressure", .symbol = "p", .quantity = Quantity::pressure,
               .meaning = "pressure in the cup of the pressurised balance, gauge; needed for Boyle's law only", .limits = {1e3, 1e7},
               .validated = {2e5, 5e6},
               .optional = true},
      Variable{.name = "atmospheric_pressure", .symbol = "p_{0}", .quantity = Quantity::pressure,
               .meaning = "pressure of the air, absolute; needed for Boyle's law only", .limits = {3e4, 1.2e5}, .validated = {6e4, 1.1e5}},
  };
  static constexpr std::array results{
      Variable{.name = "gas_free_density", .symbol = "\\rho_{m}", .quantity = Quantity::density, .meaning = "density of the mud without its gas"},
      Variable{.name = "gas_fraction", .symbol = "\\varphi_{g}", .quantity = Quantity::volume_fraction,
               .meaning = "gas by volume of the mud as it lies open, signed"},
  };
  static constexpr Sheet sheet{
      .id = "density.gas_cut",
      .title = "Gas in the mud from two balances",
      .answers = "How dense is the mud without its gas, and how much gas or air does it hold at the surface?",
      .equations = "complete: rho_m = rho_p; Boyle: rho_m = (1 - a)/(1/rho_p - a/rho_o), a = p_0/(p_0 + p); phi_g = 1 - rho_o/rho_m",
      .source = "Mass balance with weightless gas, Boyle's law at one temperature (derived). Of 1 kg mud the volume is (1 + x)/rho_m open and "
                "(1 + a x)/rho_m in the pressurised cup, x the gas beside 1 volume of liquid.",
      .assumptions = "Same sample, same temperature; no gas dissolves or escapes between the readings, and the gas weighs nothing beside the mud. "
                     "The balance's pressure is that reached by its pump, not a nominal one.",
      .cautions = "Gas in the mud may be an influx: check for flow first. The pressurised balance holds pressure: release it by the valve before the "
                  "lid is opened. Gas may be flammable or hold hydrogen "
                  "sulfide. Gas that cuts the mud at surface takes little off the pressure at depth; density for pressure control is the gas-free "
                  "one. Numbers are advisory; local rules and licensed practice decide.",
  };

  static constexpr double reading_error = 0.1 * find_symbol("lbm/gal[US]")->scale();

  static constexpr std::array verdicts{
      Verdict{"gas_cut", "the mud holds gas or air: take the gas-free density"},
      Verdict{"no_gas_seen", "both balances agree within 0.1 lb/gal, the error of a reading"},
      Verdict{"negative_gas", "the open balance reads more than 0.1 lb/gal above the pressurised one: a balance is off, or the cup was not full",
                              Severity::caution},
      Verdict{"impossible_compression", "the density rose more than the gas could be pressed at this pressure: a reading or the pressure is wrong",
              Severity::impossible},
      Verdict{"missing", "a reading is missing, or for Boyle's law the balance's pressure"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r, Option compression) {
    const bool boyle = compression == Compression::boyle;
    const double pressures = in.atmospheric_pressure + (boyle ? in.balance_pressure : 0.0);
    if (!(in.open_reading + in.pressurised_reading + pressures == in.open_reading + in.pressurised_reading + pressures)) return 4;
    if (!(r.gas_free_density == r.gas_free_density)) return 3;
    const double rise = in.pressurised_reading - in.open_reading;
    return rise > reading_error ? 0 : rise < -reading_error ? 2 : 1;
  }

  static constexpr Input<double> example() {
    return {.open_reading = 1350.0, .pressurised_reading = 1430.0, .balance_pressure = 1.5e6};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option compression) {
    Result<T> r;
    if (compression == Compression::boyle) {
      const T left = step({"a", Quantity::number, "gas volume left in the cup, over that in the open"},
                          in.atmospheric_pressure / (in.atmospheric_pressure + in.balance_pressure));
      // Above the ratio of the pressures no gas could account for the rise.
      const T held = in.pressurised_reading * left / in.open_reading;
      r.gas_free_density = in.pressurised_reading * (T(1.0) - left) / only_if(held < T(1.0), T(1.0) - held);
    } else {
      r.gas_free_density = in.pressurised_reading;
    }
    r.gas_fraction = T(1.0) - in.open_reading / r.gas_free_density;
    return r;
  }
};

inline constexpr GasCut gas_cut{};

}  // namespace lutum::inline LUTUM_ISA_TAG::density
