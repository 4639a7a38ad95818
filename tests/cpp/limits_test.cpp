// What is said about a wrong input, and the small words of formulas that keep missing values missing.
#include <gtest/gtest.h>

#include "lutum/core/calculation.hpp"
#include "support.hpp"

namespace {

using lutum::Finding;
using lutum::Limits;
using lutum::Quantity;
using lutum::Variable;
using support::inf;
using support::nan;

constexpr lutum::Sheet sheet{.id = "area.name", .title = "", .answers = "", .equations = "", .source = "", .assumptions = "", .cautions = ""};
constexpr Variable density{.name = "mud_density", .symbol = "x", .quantity = Quantity::density, .meaning = "density of the mud",
                           .limits = {700.0, 3000.0}, .validated = {950.0, 2500.0}};
constexpr Variable depth{.name = "depth", .symbol = "x", .quantity = Quantity::length, .meaning = "depth", .limits = {0.0, inf},
                         .length = lutum::any_length, .increasing = true};
constexpr Variable reading{.name = "reading", .symbol = "x_{#}", .quantity = Quantity::dial_reading, .meaning = "dial reading",
                           .limits = {0.0, 400.0}, .length = 4};
constexpr Variable temperature{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature, .meaning = "temperature",
                               .limits = {-inf, 500.0}, .optional = true, .if_missing = "nothing may be pooled."};
constexpr Variable gel{.name = "gel", .symbol = "x", .quantity = Quantity::dial_reading, .meaning = "gel", .limits = {0.0, 400.0}, .optional = true};

std::vector<Finding> findings(const Variable& v, std::vector<double> values) {
  std::vector<Finding> all;
  lutum::inspect(v, values.data(), values.size(), [&](const Finding& f) { all.push_back(f); });
  return all;
}

TEST(Limits, ContainTheirEndsAndNoMissing) {
  const Limits limits{1.0, 2.0};
  EXPECT_TRUE(limits.contain(1.0) && limits.contain(2.0));
  EXPECT_FALSE(limits.contain(0.999) || limits.contain(2.001) || limits.contain(nan) || limits.contain(inf));
  EXPECT_TRUE(limits.bounded());
  EXPECT_TRUE((Limits{-inf, 2.0}.bounded()));
  EXPECT_FALSE(Limits{}.bounded());
}

TEST(Findings, NothingIsSaidAboutASoundValue) {
  EXPECT_TRUE(findings(density, {1200.0}).empty());
  EXPECT_TRUE(findings(density, {950.0}).empty());
  EXPECT_TRUE(findings(reading, {8.0, 7.0, nan, nan}).empty());  // the rest of a short list
  EXPECT_TRUE(findings(gel, {nan}).empty());
}

TEST(Findings, SortErrorsFromCautions) {
  const auto one = [](const Variable& v, std::vector<double> x) {
    const auto all = findings(v, std::move(x));
    EXPECT_EQ(all.size(), 1u) << v.name;
    return all.empty() ? Finding{} : all.front();
  };
  EXPECT_EQ(one(density, {nan}).kind, Finding::Kind::missing);
  EXPECT_EQ(one(density, {699.0}).kind, Finding::Kind::outside_limits);
  EXPECT_EQ(one(density, {3001.0}).kind, Finding::Kind::outside_limits);
  EXPECT_EQ(one(density, {inf}).kind, Finding::Kind::outside_limits);
  EXPECT_EQ(one(density, {900.0}).kind, Finding::Kind::outside_validated);
  EXPECT_EQ(one(temperature, {nan}).kind, Finding::Kind::absent);
  EXPECT_EQ(one(reading, {nan, nan, nan, nan}).kind, Finding::Kind::missing);  // a list must begin
  EXPECT_EQ(one(depth, {1.0, 3.0, 2.0}).kind, Finding::Kind::out_of_order);
  EXPECT_EQ(one(depth, {1.0, 3.0, 2.0}).element, 2);
  EXPECT_EQ(one(reading, {8.0, 401.0}).element, 1);
  for (const auto& f : {one(density, {nan}), one(density, {1.0}), one(depth, {2.0, 1.0})}) EXPECT_TRUE(f.is_error());
  for (const auto& f : {one(density, {900.0}), one(temperature, {nan})}) EXPECT_FALSE(f.is_error());
  EXPECT_TRUE(findings(depth, {1.0, 1.0, 2.0}).empty());  // a section of no length is in order
}

TEST(Findings, AreTwoWhenARowIsBothOutsideAndOutOfOrder) { EXPECT_EQ(findings(depth, {1.0, -2.0}).size(), 2u); }

TEST(Messages, NameInputValueUnitLimitAndRemedy) {
  const auto say = [](const Variable& v, std::vector<double> x, const lutum::UnitSet& units) {
    const auto all = findings(v, std::move(x));
    return lutum::message(all.at(0), units, sheet);
  };
  EXPECT_EQ(say(density, {600.0}, lutum::metric_units),
            "area.name: mud_density = 600 kg/m3 is outside its limit, from 700 kg/m3 to 3000 kg/m3 (density of the mud); check the reading and its unit.");
  EXPECT_EQ(say(density, {12.0}, lutum::field_units),
            "area.name: mud_density = 0.100145 lb/gal is outside its limit, from 5.84178 lb/gal to 25.0362 lb/gal (density of the mud); check the "
            "reading and its unit.");
  EXPECT_EQ(say(density, {nan}, lutum::field_units), "area.name: mud_density (density of the mud) is missing; give it in lb/gal.");
  EXPECT_EQ(say(density, {900.0}, lutum::si_units),
            "area.name: mud_density = 900 kg/m3 is outside the range shown to hold, from 950 kg/m3 to 2500 kg/m3; treat the result with caution.");
  EXPECT_EQ(say(depth, {30.48, 15.24}, lutum::field_units),
            "area.name: depth[1] = 50 ft lies below the row before it, 100 ft; give the rows from the surface down.");
  EXPECT_EQ(say(depth, {-1.0}, lutum::si_units), "area.name: depth[0] = -1 m is outside its limit, at least 0 m (depth); check the reading and its unit.");
  EXPECT_EQ(say(temperature, {600.0}, lutum::si_units),
            "area.name: temperature = 600 K is outside its limit, at most 500 K (temperature); check the reading and its unit.");
  EXPECT_EQ(say(temperature, {nan}, lutum::si_units), "area.name: temperature is not given: nothing may be pooled.");
}

TEST(FormatNumber, GivesSixDigitsAndSaysMissing) {
  EXPECT_EQ(lutum::format_number(1.0 / 3.0), "0.333333");
  EXPECT_EQ(lutum::format_number(123456.7), "123457");
  EXPECT_EQ(lutum::format_number(25.0), "25");
  EXPECT_EQ(lutum::format_number(1.5e-9), "1.5e-09");
  EXPECT_EQ(lutum::format_number(nan), "missing");
  EXPECT_EQ(lutum::format_quantity(lutum::find_symbol("lbm/bbl")->to_si(25.0), *lutum::find_symbol("lbm/bbl")), "25 lb/bbl");
  EXPECT_EQ(lutum::format_quantity(0.5, *lutum::find_symbol("Euc")), "0.5");
}

TEST(Words, PickReadsOffByKeyAndElseIsMissing) {
  const std::array<double, 3> speeds{600.0, 300.0, nan}, readings{65.0, 40.0, nan};
  EXPECT_EQ(lutum::pick(speeds, readings, 300.0), 40.0);
  EXPECT_EQ(lutum::pick(speeds, readings, 300.0 * (1 + 5e-7)), 40.0);
  EXPECT_TRUE(std::isnan(lutum::pick(speeds, readings, 300.1)));
  EXPECT_TRUE(std::isnan(lutum::pick(speeds, readings, 100.0)));
  const std::array<double, 3> twice{600.0, 600.0, 3.0};
  EXPECT_EQ(lutum::pick(twice, std::array<double, 3>{1.0, 2.0, 3.0}, 600.0), 2.0);  // the last, as for a traced number
}

TEST(Words, OnlyIfMakesMissingAndFilledFills) {
  EXPECT_EQ(lutum::only_if(true, 3.0), 3.0);
  EXPECT_TRUE(std::isnan(lutum::only_if(false, 3.0)));
  EXPECT_EQ((lutum::filled<double, 3>(2.5)), (std::array<double, 3>{2.5, 2.5, 2.5}));
}

}  // namespace
