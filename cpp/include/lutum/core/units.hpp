// Units: the one place that holds conversion numbers. Symbols follow the Energistics Unit of Measure Standard where it
// has the unit; a unit's base value is (a + b x) / c, as in that standard.
#pragma once

#include <array>
#include <optional>
#include <string_view>

#include "lutum/core/quantity.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

struct Unit {
  std::string_view symbol;  // Energistics symbol, or ours where the standard has none
  std::string_view label;   // as the trade writes it
  Dimension dimension;
  double a = 0.0, b = 1.0, c = 1.0;

  constexpr double scale() const { return b / c; }
  constexpr double shift() const { return a / c; }
  constexpr double to_si(double x) const { return x * scale() + (a == 0.0 ? -0.0 : shift()); }  // -0 stays -0
  // Division, not a multiplication by the reciprocal: 25 lb/bbl comes back as 25, not as 25.000000000000004.
  constexpr double from_si(double x) const { return (x - shift()) / scale(); }
};

namespace exact {

// Definitions: international pound and foot, US gallon of 231 cubic inches, oil barrel of 42 gallons, standard gravity.
inline constexpr double pound = 0.45359237;
inline constexpr double foot = 0.3048;
inline constexpr double inch = 0.0254;
inline constexpr double gallon = 3.785411784e-3;
inline constexpr double imperial_gallon = 4.54609e-3;
inline constexpr double barrel = 0.158987294928;
inline constexpr double gravity = 9.80665;
inline constexpr double darcy = 9.869232667160130e-13;  // 1 cP cm2/s per atm/cm, atm 101 325 Pa
inline constexpr double year_of_365_days = 365.0 * 86400.0;
inline constexpr double pound_force = 4.4482216152605;  // pound x gravity
inline constexpr double pi = 3.14159265358979323846;

}  // namespace exact

namespace dimensions {

inline constexpr Dimension none{};
inline constexpr Dimension mass{1};
inline constexpr Dimension length{0, 1};
inline constexpr Dimension area{0, 2};
inline constexpr Dimension volume{0, 3};
inline constexpr Dimension time{0, 0, 1};
inline constexpr Dimension temperature{0, 0, 0, 1};
inline constexpr Dimension density{1, -3};
inline constexpr Dimension charge_per_volume{0, -3, 0, 0, 1};
inline constexpr Dimension charge_per_mass{-1, 0, 0, 0, 1};
inline constexpr Dimension mass_per_charge{1, 0, 0, 0, -1};
inline constexpr Dimension pressure{1, -1, -2};
inline constexpr Dimension gradient{1, -2, -2};
inline constexpr Dimension viscosity{1, -1, -1};
inline constexpr Dimension flow{0, 3, -1};
inline constexpr Dimension velocity{0, 1, -1};
inline constexpr Dimension rate{0, 0, -1};
inline constexpr Dimension acceleration{0, 1, -2};
inline constexpr Dimension mass_flux{1, -2, -1};
inline constexpr Dimension voltage{1, 2, -2, 0, -1};
inline constexpr Dimension resistivity{1, 3, -1, 0, -2};
inline constexpr Dimension torque{1, 2, -2};
inline constexpr Dimension power{1, 2, -3};
inline constexpr Dimension power_flux{1, 0, -3};
inline constexpr Dimension force{1, 1, -2};

}  // namespace dimensions

inline constexpr std::array all_units{
    Unit{"Euc", "", dimensions::none},
    Unit{"m3/m3", "m3/m3", dimensions::none},
    Unit{"mL/mL", "mL/mL", dimensions::none},
    Unit{"kg/kg", "kg/kg", dimensions::none},
    Unit{"%", "%", dimensions::none, 0, 0.01, 1},
    Unit{"%[vol]", "%", dimensions::none, 0, 0.01, 1},
    Unit{"%[mass]", "wt %", dimensions::none, 0, 0.01, 1},
    Unit{"ppm[mass]", "ppm", dimensions::none, 0, 1e-6, 1},
    Unit{"g/kg", "g/kg", dimensions::none, 0, 1e-3, 1},
    Unit{"dial deg", "deg", dimensions::none},
    Unit{"NTU", "NTU", dimensions::none},
    Unit{"kg", "kg", dimensions::mass},
    Unit{"g", "g", dimensions::mass, 0, 1e-3, 1},
    Unit{"mg", "mg", dimensions::mass, 0, 1e-6, 1},
    Unit{"lbm", "lb", dimensions::mass, 0, exact::pound, 1},
    Unit{"m", "m", dimensions::length},
    Unit{"cm", "cm", dimensions::length, 0, 1e-2, 1},
    Unit{"mm", "mm", dimensions::length, 0, 1e-3, 1},
    Unit{"ft", "ft", dimensions::length, 0, exact::foot, 1},
    Unit{"in", "in", dimensions::length, 0, exact::inch, 1},
    Unit{"1/32 in", "1/32 in", dimensions::length, 0, exact::inch, 32},
    Unit{"m2", "m2", dimensions::area},
    Unit{"mm2", "mm2", dimensions::area, 0, 1e-6, 1},
    Unit{"cm2", "cm2", dimensions::area, 0, 1e-4, 1},
    Unit{"mD", "mD", dimensions::area, 0, exact::darcy* 1e-3, 1},
    Unit{"in2", "in2", dimensions::area, 0, exact::inch* exact::inch, 1},
    Unit{"m3", "m3", dimensions::volume},
    Unit{"L", "L", dimensions::volume, 0, 1e-3, 1},
    Unit{"mL", "mL", dimensions::volume, 0, 1e-6, 1},
    Unit{"bbl", "bbl", dimensions::volume, 0, exact::barrel, 1},
    Unit{"gal[US]", "gal", dimensions::volume, 0, exact::gallon, 1},
    Unit{"s", "s", dimensions::time},
    Unit{"min", "min", dimensions::time, 0, 60, 1},
    Unit{"h", "h", dimensions::time, 0, 3600, 1},
    Unit{"d", "d", dimensions::time, 0, 86400, 1},
    Unit{"K", "K", dimensions::temperature},
    Unit{"degC", "degC", dimensions::temperature, 273.15, 1, 1},
    Unit{"degF", "degF", dimensions::temperature, 2298.35, 5, 9},
    Unit{"degR", "degR", dimensions::temperature, 0, 5, 9},
    Unit{"kg/m3", "kg/m3", dimensions::density},
    Unit{"g/cm3", "g/cm3", dimensions::density, 0, 1000, 1},
    Unit{"kg/L", "kg/L", dimensions::density, 0, 1000, 1},
    Unit{"g/L", "g/L", dimensions::density},
    Unit{"mg/L", "mg/L", dimensions::density, 0, 1e-3, 1},
    Unit{"lbm/gal[US]", "lb/gal", dimensions::density, 0, exact::pound, exact::gallon},
    Unit{"lbm/gal[UK]", "lb/gal (UK)", dimensions::density, 0, exact::pound, exact::imperial_gallon},
    Unit{"lbm/ft3", "lb/ft3", dimensions::density, 0, exact::pound, exact::foot* exact::foot* exact::foot},
    Unit{"lbm/bbl", "lb/bbl", dimensions::density, 0, exact::pound, exact::barrel},
    Unit{"mol/m3", "mol/m3", dimensions::charge_per_volume},
    Unit{"meq/mL", "meq/mL", dimensions::charge_per_volume, 0, 1000, 1},
    Unit{"meq/100 mL", "meq/100 mL", dimensions::charge_per_volume, 0, 10, 1},
    Unit{"meq/L", "meq/L", dimensions::charge_per_volume},
    Unit{"mol/L", "mol/L", dimensions::charge_per_volume, 0, 1000, 1},
    Unit{"mol/kg", "mol/kg", dimensions::charge_per_mass},
    Unit{"meq/100 g", "meq/100 g", dimensions::charge_per_mass, 0, 0.01, 1},
    Unit{"kg/mol", "kg/mol", dimensions::mass_per_charge},
    Unit{"g/mol", "g/mol", dimensions::mass_per_charge, 0, 1e-3, 1},
    Unit{"(lbm/bbl)/(meq/100 mL)", "(lb/bbl)/(meq/100 mL)", dimensions::mass_per_charge, 0, exact::pound / 10, exact::barrel},
    Unit{"(kg/m3)/(meq/100 mL)", "(kg/m3)/(meq/100 mL)", dimensions::mass_per_charge, 0, 1, 10},
    Unit{"Pa", "Pa", dimensions::pressure},
    Unit{"kPa", "kPa", dimensions::pressure, 0, 1e3, 1},
    Unit{"MPa", "MPa", dimensions::pressure, 0, 1e6, 1},
    Unit{"bar", "bar", dimensions::pressure, 0, 1e5, 1},
    Unit{"psi", "psi", dimensions::pressure, 0, exact::pound_force, exact::inch* exact::inch},
    Unit{"dyne/cm2", "dyn/cm2", dimensions::pressure, 0, 0.1, 1},
    Unit{"lbf/ft2", "lbf/ft2", dimensions::pressure, 0, exact::pound_force, exact::foot* exact::foot},
    Unit{"0.01 lbf/ft2", "lb/100 ft2", dimensions::pressure, 0, exact::pound_force, 100 * exact::foot* exact::foot},
    Unit{"Pa.s^n", "Pa.s^n", dimensions::pressure},
    Unit{"0.01 lbf.s^n/ft2", "lb.s^n/100 ft2", dimensions::pressure, 0, exact::pound_force, 100 * exact::foot* exact::foot},
    Unit{"Pa/m", "Pa/m", dimensions::gradient},
    Unit{"kPa/m", "kPa/m", dimensions::gradient, 0, 1e3, 1},
    Unit{"bar/m", "bar/m", dimensions::gradient, 0, 1e5, 1},
    Unit{"psi/ft", "psi/ft", dimensions::gradient, 0, exact::pound_force, exact::inch* exact::inch* exact::foot},
    Unit{"lbf/gal[US]", "lbf/gal", dimensions::gradient, 0, exact::pound_force, exact::gallon},
    Unit{"Pa.s", "Pa.s", dimensions::viscosity},
    Unit{"mPa.s", "mPa.s", dimensions::viscosity, 0, 1e-3, 1},
    Unit{"cP", "cP", dimensions::viscosity, 0, 1e-3, 1},
    Unit{"P", "P", dimensions::viscosity, 0, 0.1, 1},
    // A dial degree is a reading without dimension: these are viscosities and stresses for each of it.
    Unit{"Pa.s/deg", "Pa.s/deg", dimensions::viscosity},
    Unit{"mPa.s/deg", "mPa.s/deg", dimensions::viscosity, 0, 1e-3, 1},
    Unit{"cP/deg", "cP/deg", dimensions::viscosity, 0, 1e-3, 1},
    Unit{"Pa/deg", "Pa/deg", dimensions::pressure},
    Unit{"0.01 lbf/ft2/deg", "(lb/100 ft2)/deg", dimensions::pressure, 0, exact::pound_force, 100 * exact::foot* exact::foot},
    Unit{"(1/s)/(rad/s)", "(1/s)/(rad/s)", dimensions::none},
    Unit{"(1/s)/rpm", "(1/s)/rpm", dimensions::none, 0, 60, 2 * exact::pi},
    Unit{"m3/s", "m3/s", dimensions::flow},
    Unit{"L/min", "L/min", dimensions::flow, 0, 1e-3, 60},
    Unit{"gal[US]/min", "gal/min", dimensions::flow, 0, exact::gallon, 60},
    Unit{"bbl/min", "bbl/min", dimensions::flow, 0, exact::barrel, 60},
    Unit{"m/s", "m/s", dimensions::velocity},
    Unit{"m/h", "m/h", dimensions::velocity, 0, 1, 3600},
    Unit{"ft/min", "ft/min", dimensions::velocity, 0, exact::foot, 60},
    Unit{"ft/h", "ft/h", dimensions::velocity, 0, exact::foot, 3600},
    Unit{"ft/s", "ft/s", dimensions::velocity, 0, exact::foot, 1},
    // Corrosion rates count a year of 365 days (8760 h).
    Unit{"mil/(365 d)", "mil/yr", dimensions::velocity, 0, exact::inch * 1e-3, exact::year_of_365_days},
    Unit{"mm/(365 d)", "mm/yr", dimensions::velocity, 0, 1e-3, exact::year_of_365_days},
    Unit{"kg/(m2.s)", "kg/(m2.s)", dimensions::mass_flux},
    Unit{"lbm/ft2/(365 d)", "lb/ft2/yr", dimensions::mass_flux, 0, exact::pound, exact::foot* exact::foot* exact::year_of_365_days},
    Unit{"kg/m2/(365 d)", "kg/m2/yr", dimensions::mass_flux, 0, 1, exact::year_of_365_days},
    Unit{"g/m2/d", "g/m2/d", dimensions::mass_flux, 0, 1e-3, 86400},
    Unit{"1/s", "1/s", dimensions::rate},
    Unit{"rad/s", "rad/s", dimensions::rate},
    Unit{"rpm", "rpm", dimensions::rate, 0, 2 * exact::pi, 60},
    Unit{"rev/s", "rev/s", dimensions::rate, 0, 2 * exact::pi, 1},
    Unit{"m/s2", "m/s2", dimensions::acceleration},
    Unit{"gn", "gn", dimensions::acceleration, 0, exact::gravity, 1},
    Unit{"V", "V", dimensions::voltage},
    Unit{"ohm.m", "ohm.m", dimensions::resistivity},
    Unit{"N.m/deg", "N.m/deg", dimensions::torque},
    Unit{"uN.m/deg", "uN.m/deg", dimensions::torque, 0, 1e-6, 1},
    Unit{"dyne.cm/deg", "dyn.cm/deg", dimensions::torque, 0, 1e-7, 1},
    Unit{"W", "W", dimensions::power},
    Unit{"kW", "kW", dimensions::power, 0, 1e3, 1},
    Unit{"hp", "hp", dimensions::power, 0, 550 * exact::foot* exact::pound_force, 1},
    Unit{"W/m2", "W/m2", dimensions::power_flux},
    Unit{"kW/m2", "kW/m2", dimensions::power_flux, 0, 1e3, 1},
    Unit{"W/mm2", "W/mm2", dimensions::power_flux, 0, 1e6, 1},
    Unit{"hp/in2", "hp/in2", dimensions::power_flux, 0, 550 * exact::foot* exact::pound_force, exact::inch* exact::inch},
    Unit{"N", "N", dimensions::force},
    Unit{"kN", "kN", dimensions::force, 0, 1e3, 1},
    Unit{"lbf", "lbf", dimensions::force, 0, exact::pound_force, 1},
    Unit{"1/min", "strokes/min", dimensions::rate, 0, 1, 60},
    Unit{"ft/s2", "ft/s2", dimensions::acceleration, 0, exact::foot, 1},
    // An angle; "deg" alone is a degree of the dial.
    Unit{"rad", "rad", dimensions::none},
    Unit{"dega", "°", dimensions::none, 0, exact::pi, 180},
};

// Other spellings met in reports and in WITSML 1.x documents. Compared without regard to case unless the exact symbol
// fits first, so that "mPa.s" and "MPa" stay apart.
struct Spelling {
  std::string_view written, symbol;
};

inline constexpr std::array spellings{
    Spelling{"ppg", "lbm/gal[US]"},          Spelling{"lbm/galUS", "lbm/gal[US]"},  Spelling{"lbm/gal", "lbm/gal[US]"},
    Spelling{"lb/gal[US]", "lbm/gal[US]"},   Spelling{"lbm/galUK", "lbm/gal[UK]"},  Spelling{"SG", "g/cm3"},
    Spelling{"sp gr", "g/cm3"},              Spelling{"g/cc", "g/cm3"},             Spelling{"g/mL", "g/cm3"},
    Spelling{"kg/m^3", "kg/m3"},             Spelling{"pcf", "lbm/ft3"},            Spelling{"ppb", "lbm/bbl"},
    Spelling{"lbf/galUS", "lbf/gal[US]"},    Spelling{"lbs/gal", "lbm/gal[US]"},      Spelling{"m/hr", "m/h"},               Spelling{"ft/hr", "ft/h"},
    Spelling{"lbs/bbl", "lbm/bbl"},          Spelling{"mg/l", "mg/L"},              Spelling{"g/l", "g/L"},
    Spelling{"lbf/100ft2", "0.01 lbf/ft2"},  Spelling{"lb/100ft2", "0.01 lbf/ft2"}, Spelling{"lbf/100 ft2", "0.01 lbf/ft2"},
    Spelling{"lbf/ft2(100)", "0.01 lbf/ft2"}, Spelling{"lbf/in2", "psi"},           Spelling{"in/32", "1/32 in"},
    Spelling{"32nd in", "1/32 in"},          Spelling{"F", "degF"},                 Spelling{"deg F", "degF"},
    Spelling{"\u00b0F", "degF"},             Spelling{"C", "degC"},                 Spelling{"deg C", "degC"},
    Spelling{"\u00b0C", "degC"},             Spelling{"mPas", "mPa.s"},             Spelling{"mPa*s", "mPa.s"},
    Spelling{"centipoise", "cP"},            Spelling{"gpm", "gal[US]/min"},        Spelling{"lpm", "L/min"},
    Spelling{"bpm", "bbl/min"},              Spelling{"vol %", "%[vol]"},           Spelling{"% vol", "%[vol]"},
    Spelling{"%v/v", "%[vol]"},              Spelling{"v/v", "m3/m3"},              Spelling{"fraction", "m3/m3"},
    Spelling{"wt%", "%[mass]"},              Spelling{"% w/w", "%[mass]"},          Spelling{"cm3", "mL"},
    Spelling{"cc", "mL"},                    Spelling{"feet", "ft"},                Spelling{"metre", "m"},
    Spelling{"inch", "in"},                  Spelling{"inches", "in"},              Spelling{"r/min", "rpm"},
    Spelling{"degree", "dial deg"},          Spelling{"degrees", "dial deg"},       Spelling{"meq/100mL", "meq/100 mL"},
    Spelling{"spm", "1/min"},                Spelling{"strokes/minute", "1/min"},   Spelling{"HHP", "hp"},
};

namespace detail {

constexpr bool same_ignoring_case(std::string_view a, std::string_view b) {
  constexpr auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
  if (a.size() != b.size()) return false;
  for (std::size_t i = 0; i < a.size(); ++i)
    if (lower(a[i]) != lower(b[i])) return false;
  return true;
}

// "mPa" is no careless "MPa", nor "MPa.s" a careless "mPa.s": m and M differ, unless all is written in capitals ("MG/L").
constexpr bool spelled_alike(std::string_view known, std::string_view text) {
  if (text.empty() || known.empty() || !same_ignoring_case(known, text)) return false;
  if (known.front() == text.front() || (known.front() != 'm' && known.front() != 'M')) return true;
  for (char c : text)
    if (c >= 'a' && c <= 'z') return false;
  return known.front() == 'm';
}

}  // namespace detail

// The unit of this very symbol.
constexpr const Unit* find_symbol(std::string_view symbol) {
  for (const Unit& u : all_units)
    if (u.symbol == symbol) return &u;
  return nullptr;
}

// The unit meant by a symbol, a trade label or another known spelling; null when unknown: never a guess.
constexpr const Unit* find_unit(std::string_view text) {
  if (const Unit* u = find_symbol(text)) return u;
  for (const Unit& u : all_units)
    if (u.label == text && !text.empty()) return &u;
  for (const Spelling& s : spellings)
    if (s.written == text) return find_symbol(s.symbol);
  const Unit* only = nullptr;
  for (const Unit& u : all_units)
    if (detail::spelled_alike(u.symbol, text) || detail::spelled_alike(u.label, text)) {
      if (only != nullptr && !(only->dimension == u.dimension && only->scale() == u.scale() && only->shift() == u.shift())) return nullptr;
      only = &u;
    }
  if (only != nullptr) return only;
  for (const Spelling& s : spellings)
    if (detail::same_ignoring_case(s.written, text)) return find_symbol(s.symbol);
  return nullptr;
}

enum class UnitSystem : std::uint8_t { si, field, metric };

// The unit in which each quantity is given and shown; any of them can be replaced (regions differ).
class UnitSet {
 public:
  constexpr explicit UnitSet(UnitSystem system) {
    for (std::size_t i = 0; i < quantity_count; ++i) {
      const QuantityInfo& q = quantities[i];
      unit_[i] = find_symbol(system == UnitSystem::si ? q.si : system == UnitSystem::field ? q.field : q.metric);
    }
  }

  constexpr const Unit& operator[](Quantity q) const { return *unit_[static_cast<std::size_t>(q)]; }

  // False, and nothing changed, when the unit does not measure this quantity.
  constexpr bool replace(Quantity q, const Unit& unit) {
    if (!(unit.dimension == info(q).dimension)) return false;
    unit_[static_cast<std::size_t>(q)] = &unit;
    return true;
  }

 private:
  std::array<const Unit*, quantity_count> unit_{};
};

inline constexpr UnitSet si_units{UnitSystem::si};
inline constexpr UnitSet field_units{UnitSystem::field};
inline constexpr UnitSet metric_units{UnitSystem::metric};

namespace detail {

constexpr bool every_quantity_has_its_units() {
  for (const QuantityInfo& q : quantities)
    for (std::string_view symbol : {q.si, q.field, q.metric}) {
      bool found = false;  // not by find_symbol: to GCC 12 with a sanitizer no comparison of a pointer is constant
      for (const Unit& u : all_units) found = found || (u.symbol == symbol && u.dimension == q.dimension);
      if (!found) return false;
    }
  return true;
}

}  // namespace detail

static_assert(detail::every_quantity_has_its_units(), "quantity.hpp names a unit that units.hpp lacks or that has another dimension");

}  // namespace lutum::inline LUTUM_ISA_TAG
