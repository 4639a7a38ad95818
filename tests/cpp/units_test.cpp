// Every unit against its definition, written with other numbers than the library's; spellings; unit sets.
#include <gtest/gtest.h>

#include <cctype>
#include <set>

#include "lutum/core/limits.hpp"
#include "support.hpp"

namespace {

using lutum::all_units;
using lutum::find_symbol;
using lutum::find_unit;
using lutum::Quantity;
using lutum::Unit;
using lutum::UnitSet;

// International pound and yard (1959): 0.45359237 kg, 0.9144 m. US gallon 231 in3, imperial gallon 4.54609 L (1985 Act).
// Oil barrel 42 US gallons. Standard gravity 9.80665 m/s2 (3rd CGPM). Temperature scales: SI Brochure and NIST SP 811.
constexpr double pound = 0.45359237, foot = 0.9144 / 3, inch = 0.9144 / 36, gallon = 231 * inch * inch * inch, barrel = 42 * gallon;
constexpr double g = 9.80665, degree_f = 1 / 1.8;

struct Definition {
  const char* symbol;
  double scale;
  double shift = 0.0;
};

constexpr Definition definitions[] = {
    {"Euc", 1}, {"m3/m3", 1}, {"kg/kg", 1}, {"%", 1.0 / 100}, {"%[vol]", 1.0 / 100}, {"%[mass]", 1.0 / 100}, {"ppm[mass]", 1.0 / 1000000},
    {"g/kg", 1.0 / 1000}, {"dial deg", 1},
    {"kg", 1}, {"g", 1.0 / 1000}, {"lbm", pound},
    {"m", 1}, {"cm", 1.0 / 100}, {"mm", 1.0 / 1000}, {"ft", foot}, {"in", inch}, {"1/32 in", inch / 32},
    {"m2", 1}, {"mm2", 1.0 / 1000 / 1000}, {"in2", inch * inch},
    {"m3", 1}, {"L", 1.0 / 1000}, {"mL", 1.0 / 1000000}, {"bbl", barrel}, {"gal[US]", gallon},
    {"s", 1}, {"min", 60},
    {"K", 1}, {"degC", 1, 273.15}, {"degF", degree_f, 273.15 - 32 / 1.8}, {"degR", degree_f},
    {"kg/m3", 1}, {"g/cm3", 1000}, {"kg/L", 1000}, {"g/L", 1}, {"mg/L", 1.0 / 1000}, {"lbm/gal[US]", pound / gallon},
    {"lbm/gal[UK]", pound / 4.54609e-3}, {"lbm/ft3", pound / (foot * foot * foot)}, {"lbm/bbl", pound / barrel},
    {"mol/m3", 1}, {"meq/mL", 1e-3 / 1e-6}, {"meq/100 mL", 1e-3 / 1e-4},
    {"kg/mol", 1}, {"(lbm/bbl)/(meq/100 mL)", pound / barrel / (1e-3 / 1e-4)}, {"(kg/m3)/(meq/100 mL)", 1 / (1e-3 / 1e-4)},
    {"Pa", 1}, {"kPa", 1000}, {"MPa", 1000000}, {"bar", 100000}, {"psi", pound * g / (inch * inch)}, {"dyne/cm2", 1e-5 / 1e-4},
    {"lbf/ft2", pound * g / (foot * foot)}, {"0.01 lbf/ft2", pound * g / (100 * foot * foot)},
    {"Pa.s^n", 1}, {"0.01 lbf.s^n/ft2", pound * g / (100 * foot * foot)},
    {"Pa/m", 1}, {"kPa/m", 1000}, {"bar/m", 100000}, {"psi/ft", pound * g / (inch * inch) / foot}, {"lbf/gal[US]", pound * g / gallon},
    {"Pa.s", 1}, {"mPa.s", 1.0 / 1000}, {"cP", 1.0 / 1000}, {"P", 1.0 / 10},
    {"Pa.s/deg", 1}, {"mPa.s/deg", 1.0 / 1000}, {"cP/deg", 1.0 / 1000}, {"Pa/deg", 1}, {"0.01 lbf/ft2/deg", pound * g / (100 * foot * foot)},
    {"(1/s)/(rad/s)", 1}, {"(1/s)/rpm", 1 / (2 * 3.14159265358979323846 / 60)},
    {"m3/s", 1}, {"L/min", 1.0 / 1000 / 60}, {"gal[US]/min", gallon / 60}, {"bbl/min", barrel / 60},
    {"m/s", 1}, {"m/h", 1.0 / 3600}, {"ft/min", foot / 60}, {"ft/h", foot / 3600}, {"ft/s", foot},
    {"1/s", 1}, {"rad/s", 1}, {"rpm", 2 * 3.14159265358979323846 / 60}, {"rev/s", 2 * 3.14159265358979323846},
    {"m/s2", 1}, {"gn", g},
    {"NTU", 1}, {"mL/mL", 1}, {"mg", 1.0 / 1000000}, {"cm2", 1.0 / 100 / 100}, {"mD", 1e-3 * (1e-6 * 1e-3 * 1e-2 / (1e-4 * 101325))},
    {"h", 60 * 60}, {"d", 24 * 60 * 60}, {"meq/L", 1}, {"mol/L", 1000}, {"mol/kg", 1}, {"meq/100 g", 1e-3 / 0.1}, {"g/mol", 1.0 / 1000},
    {"mil/(365 d)", inch / 1000 / (365 * 24 * 60 * 60.0)}, {"mm/(365 d)", 1.0 / 1000 / (8760 * 3600.0)}, {"kg/(m2.s)", 1},
    {"lbm/ft2/(365 d)", pound / (foot * foot) / (8760 * 3600.0)}, {"kg/m2/(365 d)", 1 / (8760 * 3600.0)}, {"g/m2/d", 1e-3 / 86400},
    {"V", 1}, {"ohm.m", 1},
    {"N.m/deg", 1}, {"uN.m/deg", 1.0 / 1000000}, {"dyne.cm/deg", 1e-5 * 1e-2},
    {"W", 1}, {"kW", 1000}, {"hp", 33000 * foot * pound * g / 60}, {"W/m2", 1}, {"kW/m2", 1000}, {"W/mm2", 1 / (1e-3 * 1e-3)},
    {"hp/in2", 33000 * foot * pound * g / 60 / (inch * inch)}, {"N", 1}, {"kN", 1000}, {"lbf", pound * g}, {"1/min", 1.0 / 60}, {"ft/s2", foot},
    {"rad", 1}, {"dega", 2 * 3.14159265358979323846 / 360},
};

TEST(Units, EachEqualsItsDefinition) {
  std::set<std::string_view> defined;
  for (const Definition& d : definitions) {
    const Unit* u = find_symbol(d.symbol);
    ASSERT_NE(u, nullptr) << d.symbol;
    EXPECT_DOUBLE_EQ(u->scale(), d.scale) << d.symbol;
    EXPECT_NEAR(u->shift(), d.shift, 1e-12) << d.symbol;
    EXPECT_TRUE(defined.insert(d.symbol).second) << d.symbol << " stands twice in this test";
  }
  for (const Unit& u : all_units) EXPECT_TRUE(defined.contains(u.symbol)) << u.symbol << " has no definition in this test";
}

TEST(Units, SymbolsAreUnique) {
  std::set<std::string_view> seen;
  for (const Unit& u : all_units) EXPECT_TRUE(seen.insert(u.symbol).second) << u.symbol;
}

TEST(Units, BarrelIs42GallonsNot31Point5) {
  EXPECT_DOUBLE_EQ(find_symbol("bbl")->to_si(1.0), 42 * find_symbol("gal[US]")->to_si(1.0));
  EXPECT_DOUBLE_EQ(find_symbol("L")->from_si(find_symbol("bbl")->to_si(1.0)), 158.987294928);
}

TEST(Units, PsiPerFootOfOnePoundPerGallonIs12Over231) {
  const double gradient = find_symbol("lbm/gal[US]")->to_si(1.0) * lutum::exact::gravity;
  EXPECT_DOUBLE_EQ(find_symbol("psi/ft")->from_si(gradient), 12.0 / 231.0);
  EXPECT_DOUBLE_EQ(find_symbol("lbf/gal[US]")->from_si(gradient), 1.0);
}

TEST(Units, RoundTripOfAReadingIsExact) {
  const Unit& u = *find_symbol("lbm/bbl");
  EXPECT_EQ(u.from_si(u.to_si(25.0)), 25.0);
  for (const Unit& each : all_units)
    for (double x : {0.0, 0.5, 1.0, 8.33, 25.0, 40.0, 65.0, 120.0, 1438.0, 70000.0}) {
      const double back = each.from_si(each.to_si(x));
      EXPECT_NEAR(back, x, 4 * support::eps * (x + std::fabs(each.shift() / each.scale()))) << each.symbol;
      EXPECT_EQ(lutum::format_number(back), lutum::format_number(x)) << each.symbol;
    }
}

TEST(Units, TemperatureScalesMeetWhereTheyShould) {
  const auto convert = [](double x, const char* from, const char* to) { return find_symbol(to)->from_si(find_symbol(from)->to_si(x)); };
  EXPECT_NEAR(convert(32.0, "degF", "degC"), 0.0, 1e-12);
  EXPECT_NEAR(convert(212.0, "degF", "degC"), 100.0, 1e-12);
  EXPECT_NEAR(convert(-40.0, "degC", "degF"), -40.0, 1e-12);
  EXPECT_NEAR(convert(0.0, "degF", "degR"), 459.67, 1e-12);
  EXPECT_EQ(convert(0.0, "degC", "K"), 273.15);
}

TEST(Units, WhatLooksAlikeStaysApart) {
  const auto unlike = [](const char* a, const char* b) { return !(find_unit(a)->dimension == find_unit(b)->dimension); };
  EXPECT_TRUE(unlike("mg/L", "ppm"));
  EXPECT_TRUE(unlike("lb/gal", "lbf/gal"));
  EXPECT_TRUE(unlike("kg/m3", "Pa/m"));
  EXPECT_TRUE(unlike("deg", "lb/100 ft2"));
  EXPECT_TRUE(unlike("mPa.s", "MPa"));
  EXPECT_NE(find_unit("lbm/gal[US]"), find_unit("lbm/gal[UK]"));
}

TEST(Spellings, SmallMNeverStandsForMega) {
  EXPECT_EQ(find_unit("MPa")->symbol, "MPa");
  EXPECT_EQ(find_unit("MPA")->symbol, "MPa");
  EXPECT_EQ(find_unit("mPa"), nullptr);
  EXPECT_EQ(find_unit("mpa"), nullptr);
  EXPECT_EQ(find_unit("mPa.s")->symbol, "mPa.s");
  EXPECT_EQ(find_unit("mpa.s")->symbol, "mPa.s");
}

TEST(Spellings, SymbolsLabelsAndSpellingsAreUnderstood) {
  for (const Unit& u : all_units) {
    EXPECT_EQ(find_unit(u.symbol), &u);
    if (u.label.empty()) continue;
    const Unit* by_label = find_unit(u.label);
    ASSERT_NE(by_label, nullptr) << u.label;
    EXPECT_TRUE(by_label->dimension == u.dimension && by_label->scale() == u.scale() && by_label->shift() == u.shift()) << u.label;
  }
  for (const lutum::Spelling& s : lutum::spellings) {
    ASSERT_NE(find_symbol(s.symbol), nullptr) << s.written << " points at " << s.symbol;
    EXPECT_EQ(find_unit(s.written), find_symbol(s.symbol)) << s.written;
  }
}

TEST(Spellings, MeanWhatTheTradeMeans) {
  const std::pair<const char*, const char*> meant[] = {
      {"ppg", "lbm/gal[US]"}, {"lb/gal", "lbm/gal[US]"},  {"SG", "g/cm3"},          {"sp gr", "g/cm3"},        {"pcf", "lbm/ft3"},
      {"ppb", "lbm/bbl"},     {"lb/bbl", "lbm/bbl"},      {"lb/100 ft2", "0.01 lbf/ft2"}, {"lb/100ft2", "0.01 lbf/ft2"},
      {"gpm", "gal[US]/min"}, {"bpm", "bbl/min"},         {"cc", "mL"},             {"degrees", "dial deg"},   {"vol %", "%[vol]"},
      {"wt %", "%[mass]"},    {"lbf/in2", "psi"},         {"32nd in", "1/32 in"},   {"r/min", "rpm"},          {"\u00b0F", "degF"},
      {"PPG", "lbm/gal[US]"}, {"Kg/M3", "kg/m3"},         {"CP", "cP"},             {"sg", "g/cm3"},           {"DEGF", "degF"},
  };
  for (const auto& [written, symbol] : meant) {
    ASSERT_NE(find_unit(written), nullptr) << written;
    EXPECT_EQ(find_unit(written)->symbol, symbol) << written;
  }
  for (const char* unknown : {"", " ", "furlong", "lb/", "lb/gal/ft", "ppm?", "kg /m3"}) EXPECT_EQ(find_unit(unknown), nullptr) << unknown;
}

// Capital letters in a column head must never lead to another quantity or factor.
TEST(Spellings, CaseIsEitherUnderstoodOrRefused) {
  const auto check = [](std::string_view written, const Unit& meant) {
    for (auto change : {::toupper, ::tolower}) {
      std::string other(written);
      for (char& c : other) c = static_cast<char>(change(static_cast<unsigned char>(c)));
      const Unit* u = find_unit(other);
      if (u == nullptr) continue;
      EXPECT_TRUE(u->dimension == meant.dimension && u->scale() == meant.scale() && u->shift() == meant.shift()) << other << " was taken for " << u->symbol;
    }
  };
  for (const Unit& u : all_units) {
    check(u.symbol, u);
    check(u.label, u);
  }
  for (const lutum::Spelling& s : lutum::spellings) check(s.written, *find_symbol(s.symbol));
}

TEST(UnitSets, ShowEachQuantityAsTheTradeDoes) {
  const struct { Quantity quantity; const char *field, *metric, *si; } rows[] = {
      {Quantity::density, "lbm/gal[US]", "kg/m3", "kg/m3"},
      {Quantity::concentration, "lbm/bbl", "kg/m3", "kg/m3"},
      {Quantity::ion_concentration, "mg/L", "mg/L", "kg/m3"},
      {Quantity::length, "ft", "m", "m"},
      {Quantity::diameter, "in", "mm", "m"},
      {Quantity::nozzle_diameter, "1/32 in", "mm", "m"},
      {Quantity::viscosity, "cP", "mPa.s", "Pa.s"},
      {Quantity::stress, "0.01 lbf/ft2", "Pa", "Pa"},
      {Quantity::consistency, "0.01 lbf.s^n/ft2", "Pa.s^n", "Pa.s^n"},
      {Quantity::pressure, "psi", "kPa", "Pa"},
      {Quantity::pressure_gradient, "psi/ft", "kPa/m", "Pa/m"},
      {Quantity::flow_rate, "gal[US]/min", "L/min", "m3/s"},
      {Quantity::mud_volume, "bbl", "m3", "m3"},
      {Quantity::bench_volume, "mL", "mL", "m3"},
      {Quantity::temperature, "degF", "degC", "K"},
      {Quantity::volume_fraction, "%[vol]", "%[vol]", "m3/m3"},
  };
  for (const auto& row : rows) {
    EXPECT_EQ(lutum::field_units[row.quantity].symbol, row.field);
    EXPECT_EQ(lutum::metric_units[row.quantity].symbol, row.metric);
    EXPECT_EQ(lutum::si_units[row.quantity].symbol, row.si);
  }
  for (std::size_t i = 0; i < lutum::quantity_count; ++i) {  // in si every value is its SI value
    const Unit& u = lutum::si_units[static_cast<Quantity>(i)];
    EXPECT_EQ(u.scale(), 1.0) << u.symbol;
    EXPECT_EQ(u.shift(), 0.0) << u.symbol;
  }
}

TEST(UnitSets, ReplaceOneUnitAndRefuseAnother) {
  UnitSet units = lutum::metric_units;
  EXPECT_TRUE(units.replace(Quantity::pressure, *find_symbol("bar")));
  EXPECT_EQ(units[Quantity::pressure].symbol, "bar");
  EXPECT_EQ(units[Quantity::stress].symbol, "Pa");
  EXPECT_FALSE(units.replace(Quantity::density, *find_symbol("psi")));
  EXPECT_EQ(units[Quantity::density].symbol, "kg/m3");
  EXPECT_EQ(lutum::metric_units[Quantity::pressure].symbol, "kPa");
}

TEST(Quantities, HaveUniqueNamesAndSoundDimensions) {
  std::set<std::string_view> names;
  for (const lutum::QuantityInfo& q : lutum::quantities) EXPECT_TRUE(names.insert(q.name).second) << q.name;
  using lutum::Dimension;
  using lutum::info;
  const auto dimension = [](Quantity q) { return info(q).dimension; };
  EXPECT_EQ(dimension(Quantity::density) * dimension(Quantity::acceleration) * dimension(Quantity::length), dimension(Quantity::pressure));
  EXPECT_EQ(dimension(Quantity::pressure_gradient) * dimension(Quantity::length), dimension(Quantity::pressure));
  EXPECT_EQ(dimension(Quantity::viscosity) * dimension(Quantity::shear_rate), dimension(Quantity::stress));
  EXPECT_EQ(dimension(Quantity::flow_rate) / dimension(Quantity::area), dimension(Quantity::velocity));
  EXPECT_EQ(dimension(Quantity::exchange_capacity) * dimension(Quantity::mass_per_charge), dimension(Quantity::concentration));
  EXPECT_FALSE(dimension(Quantity::density) == dimension(Quantity::pressure_gradient));
}

TEST(Units, CapitalsOfATableAreReadButMegaIsNoMilli) {
  EXPECT_EQ(lutum::find_unit("MG/L")->symbol, "mg/L");
  EXPECT_EQ(lutum::find_unit("MPa.s"), nullptr);
  EXPECT_EQ(lutum::find_unit("mPa"), nullptr);
  EXPECT_EQ(lutum::find_unit("lbs/gal")->symbol, "lbm/gal[US]");
}

}  // namespace
