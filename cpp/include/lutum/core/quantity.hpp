// What a number measures: its dimension and the unit it is shown in by each of the three unit sets.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "lutum/core/isa.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

// Exponents of mass, length, time, temperature and amount of charge (equivalents).
struct Dimension {
  std::int8_t mass = 0, length = 0, time = 0, temperature = 0, charge = 0;

  friend constexpr bool operator==(const Dimension&, const Dimension&) = default;
  friend constexpr Dimension operator*(Dimension a, Dimension b) {
    return {narrow(a.mass + b.mass), narrow(a.length + b.length), narrow(a.time + b.time), narrow(a.temperature + b.temperature),
            narrow(a.charge + b.charge)};
  }
  friend constexpr Dimension operator/(Dimension a, Dimension b) {
    return {narrow(a.mass - b.mass), narrow(a.length - b.length), narrow(a.time - b.time), narrow(a.temperature - b.temperature),
            narrow(a.charge - b.charge)};
  }

 private:
  static constexpr std::int8_t narrow(int x) { return static_cast<std::int8_t>(x); }
};

enum class Quantity : std::uint8_t {
  number,
  volume_fraction,
  mass_fraction,
  volume_ratio,
  density,
  concentration,
  ion_concentration,
  charge_concentration,
  exchange_capacity,
  mass_per_charge,
  bench_volume,
  mud_volume,
  length,
  diameter,
  nozzle_diameter,
  area,
  temperature,
  viscosity,
  stress,
  consistency,
  viscosity_per_degree,
  stress_per_degree,
  rate_per_speed,
  pressure,
  pressure_gradient,
  flow_rate,
  velocity,
  shear_rate,
  rotational_speed,
  dial_reading,
  acceleration,
  alkalinity,
  bench_time,
  short_time,
  exposure_time,
  bench_mass,
  reagent_mass,
  product_mass,
  bench_length,
  cake_thickness,
  bench_area,
  permeability,
  penetration_rate,
  mass_loss_rate,
  trace_mass_fraction,
  molality,
  solids_exchange_capacity,
  molar_mass,
  amount_concentration,
  ion_charge_concentration,
  turbidity,
  voltage,
  resistivity,
  spring_constant,
  power,
  power_per_area,
  force,
  stroke_rate,
  drilling_rate,
  jet_velocity,
  pipe_acceleration,
  angle,
  count_  // number of quantities, not a quantity
};

// Unit symbols are keys of the table in units.hpp.
struct QuantityInfo {
  std::string_view name;
  Dimension dimension;
  std::string_view si, field, metric;
};

inline constexpr std::size_t quantity_count = static_cast<std::size_t>(Quantity::count_);

inline constexpr std::array<QuantityInfo, quantity_count> quantities{{
    {"number", {}, "Euc", "Euc", "Euc"},
    {"volume_fraction", {}, "m3/m3", "%[vol]", "%[vol]"},
    {"mass_fraction", {}, "kg/kg", "%[mass]", "%[mass]"},
    {"volume_ratio", {}, "m3/m3", "m3/m3", "m3/m3"},
    {"density", {1, -3}, "kg/m3", "lbm/gal[US]", "kg/m3"},
    {"concentration", {1, -3}, "kg/m3", "lbm/bbl", "kg/m3"},
    {"ion_concentration", {1, -3}, "kg/m3", "mg/L", "mg/L"},
    {"charge_concentration", {0, -3, 0, 0, 1}, "mol/m3", "meq/mL", "meq/mL"},
    {"exchange_capacity", {0, -3, 0, 0, 1}, "mol/m3", "meq/100 mL", "meq/100 mL"},
    {"mass_per_charge", {1, 0, 0, 0, -1}, "kg/mol", "(lbm/bbl)/(meq/100 mL)", "(kg/m3)/(meq/100 mL)"},
    {"bench_volume", {0, 3}, "m3", "mL", "mL"},
    {"mud_volume", {0, 3}, "m3", "bbl", "m3"},
    {"length", {0, 1}, "m", "ft", "m"},
    {"diameter", {0, 1}, "m", "in", "mm"},
    {"nozzle_diameter", {0, 1}, "m", "1/32 in", "mm"},
    {"area", {0, 2}, "m2", "in2", "mm2"},
    {"temperature", {0, 0, 0, 1}, "K", "degF", "degC"},
    {"viscosity", {1, -1, -1}, "Pa.s", "cP", "mPa.s"},
    {"stress", {1, -1, -2}, "Pa", "0.01 lbf/ft2", "Pa"},
    // Consistency is K (1 s-1)^n of the power term K (rate / 1 s-1)^n: a stress, shown by custom with its s^n.
    {"consistency", {1, -1, -2}, "Pa.s^n", "0.01 lbf.s^n/ft2", "Pa.s^n"},
    {"viscosity_per_degree", {1, -1, -1}, "Pa.s/deg", "cP/deg", "mPa.s/deg"},
    {"stress_per_degree", {1, -1, -2}, "Pa/deg", "0.01 lbf/ft2/deg", "Pa/deg"},
    {"rate_per_speed", {}, "(1/s)/(rad/s)", "(1/s)/rpm", "(1/s)/rpm"},
    {"pressure", {1, -1, -2}, "Pa", "psi", "kPa"},
    {"pressure_gradient", {1, -2, -2}, "Pa/m", "psi/ft", "kPa/m"},
    {"flow_rate", {0, 3, -1}, "m3/s", "gal[US]/min", "L/min"},
    {"velocity", {0, 1, -1}, "m/s", "ft/min", "m/s"},
    {"shear_rate", {0, 0, -1}, "1/s", "1/s", "1/s"},
    {"rotational_speed", {0, 0, -1}, "rad/s", "rpm", "rpm"},
    {"dial_reading", {}, "dial deg", "dial deg", "dial deg"},
    {"acceleration", {0, 1, -2}, "m/s2", "m/s2", "m/s2"},
    {"alkalinity", {}, "m3/m3", "mL/mL", "mL/mL"},
    {"bench_time", {0, 0, 1}, "s", "min", "min"},
    {"short_time", {0, 0, 1}, "s", "s", "s"},
    {"exposure_time", {0, 0, 1}, "s", "h", "h"},
    {"bench_mass", {1}, "kg", "g", "g"},
    {"reagent_mass", {1}, "kg", "mg", "mg"},
    {"product_mass", {1}, "kg", "lbm", "kg"},
    {"bench_length", {0, 1}, "m", "in", "mm"},
    {"cake_thickness", {0, 1}, "m", "1/32 in", "mm"},
    {"bench_area", {0, 2}, "m2", "in2", "cm2"},
    {"permeability", {0, 2}, "m2", "mD", "mD"},
    {"penetration_rate", {0, 1, -1}, "m/s", "mil/(365 d)", "mm/(365 d)"},
    {"mass_loss_rate", {1, -2, -1}, "kg/(m2.s)", "lbm/ft2/(365 d)", "kg/m2/(365 d)"},
    {"trace_mass_fraction", {}, "kg/kg", "ppm[mass]", "ppm[mass]"},
    // Amount of substance and amount of charge count in the same mol.
    {"molality", {-1, 0, 0, 0, 1}, "mol/kg", "mol/kg", "mol/kg"},
    {"solids_exchange_capacity", {-1, 0, 0, 0, 1}, "mol/kg", "meq/100 g", "meq/100 g"},
    {"molar_mass", {1, 0, 0, 0, -1}, "kg/mol", "g/mol", "g/mol"},
    {"amount_concentration", {0, -3, 0, 0, 1}, "mol/m3", "mol/L", "mol/L"},
    {"ion_charge_concentration", {0, -3, 0, 0, 1}, "mol/m3", "meq/L", "meq/L"},
    {"turbidity", {}, "NTU", "NTU", "NTU"},
    // Electrical units count charge in coulomb; no formula mixes it with charge counted in mol.
    {"voltage", {1, 2, -2, 0, -1}, "V", "V", "V"},
    {"resistivity", {1, 3, -1, 0, -2}, "ohm.m", "ohm.m", "ohm.m"},
    // Torque for each degree of the dial, which is a reading without dimension.
    {"spring_constant", {1, 2, -2}, "N.m/deg", "dyne.cm/deg", "uN.m/deg"},
    {"power", {1, 2, -3}, "W", "hp", "kW"},
    {"power_per_area", {1, 0, -3}, "W/m2", "hp/in2", "W/mm2"},
    {"force", {1, 1, -2}, "N", "lbf", "N"},
    // Full strokes (turns of the crank) of a pump, counted.
    {"stroke_rate", {0, 0, -1}, "1/s", "1/min", "1/min"},
    {"drilling_rate", {0, 1, -1}, "m/s", "ft/h", "m/h"},
    {"jet_velocity", {0, 1, -1}, "m/s", "ft/s", "m/s"},
    {"pipe_acceleration", {0, 1, -2}, "m/s2", "ft/s2", "m/s2"},
    {"angle", {}, "rad", "dega", "dega"},
}};

constexpr const QuantityInfo& info(Quantity q) { return quantities[static_cast<std::size_t>(q)]; }

}  // namespace lutum::inline LUTUM_ISA_TAG
