// Every calculation of the catalogue: its description, its worked solution number by number, its limits.
#include <gtest/gtest.h>

#include <filesystem>
#include <set>

#include "catalogue_support.hpp"
#include "lutum/lutum.hpp"

namespace {

using lutum::catalogue;
using lutum::Entry;
using lutum::Node;
using lutum::Operation;
using lutum::Trace;
using support::example;
using support::nan;
using support::Random;
using support::same_bits;
using support::State;
using support::value;

class EachCalculation : public testing::TestWithParam<std::string> {
 protected:
  const Entry& e = support::row(GetParam());
};
class Description : public EachCalculation {};
class Traces : public EachCalculation {};

std::string name_of_test(const testing::TestParamInfo<std::string>& info) { return support::test_name(info.param); }

INSTANTIATE_TEST_SUITE_P(Catalogue, Description, testing::ValuesIn(support::all_ids()), name_of_test);
INSTANTIATE_TEST_SUITE_P(Catalogue, Traces, testing::ValuesIn(support::all_ids()), name_of_test);

TEST(Catalogue, FindsByIdAndKnowsNoOther) {
  ASSERT_GE(catalogue().size(), 6u);
  EXPECT_EQ(catalogue().size(), support::all_ids().size());
  std::set<std::string_view> ids;
  for (const Entry& e : catalogue()) {
    if (e.choice == 0) {
      EXPECT_EQ(lutum::find_calculation(e.sheet->id), &e);
      EXPECT_TRUE(ids.insert(e.sheet->id).second) << e.sheet->id;
    }
    if (e.option != nullptr) {
      const auto choice = e.option->choices[static_cast<std::size_t>(e.choice)].name;
      EXPECT_EQ(lutum::find_calculation(e.sheet->id, choice), &e) << choice;
    }
  }
  EXPECT_EQ(lutum::find_calculation("clay.nonsense"), nullptr);
  EXPECT_EQ(lutum::find_calculation(""), nullptr);
  EXPECT_EQ(lutum::find_calculation("clay.methylene_blue", "green"), nullptr);
}

TEST(Catalogue, NamesItsInstructionSets) {
  const auto best = lutum::detect_instruction_set();
  EXPECT_EQ(lutum::instruction_set_named(lutum::name_of(best)), best);
  EXPECT_EQ(lutum::instruction_set_named("x86-64"), lutum::InstructionSet::baseline);
  try {
    lutum::instruction_set_named("x86-64-v9");
    FAIL() << "an unknown set was accepted";
  } catch (const std::invalid_argument& error) {
    EXPECT_NE(std::string(error.what()).find("x86-64-v9"), std::string::npos) << error.what();
    EXPECT_NE(std::string(error.what()).find("x86-64-v3"), std::string::npos) << error.what();
  }
}

bool braces_balance(std::string_view s) {
  int depth = 0;
  for (char c : s) {
    depth += c == '{' ? 1 : c == '}' ? -1 : 0;
    if (depth < 0) return false;
  }
  return depth == 0;
}

TEST_P(Description, IsCompleteAndStandsInItsArea) {
  const lutum::Sheet& sheet = *e.sheet;
  const auto dot = sheet.id.find('.');
  ASSERT_NE(dot, std::string_view::npos);
  const std::string header = std::string(sheet.id.substr(0, dot)) + "/" + std::string(sheet.id.substr(dot + 1)) + ".hpp";
  EXPECT_TRUE(std::filesystem::exists(std::filesystem::path(LUTUM_SOURCE_DIR) / "cpp/include/lutum" / header)) << header;
  for (std::string_view text : {sheet.title, sheet.answers, sheet.equations, sheet.source, sheet.assumptions, sheet.cautions}) EXPECT_FALSE(text.empty());
  std::set<std::string_view> names, symbols;
  for (const auto& variables : {e.inputs, e.results})
    for (const lutum::Variable& v : variables) {
      EXPECT_FALSE(v.meaning.empty()) << v.name;
      EXPECT_FALSE(v.symbol.empty()) << v.name;
      EXPECT_TRUE(braces_balance(v.symbol)) << v.symbol;
      EXPECT_LE(v.limits.lowest, v.limits.highest) << v.name;
      EXPECT_EQ(v.symbol.find('#') != std::string_view::npos, v.length > 1) << v.name;
    }
  for (const lutum::Variable& v : e.inputs) {
    EXPECT_TRUE(names.insert(v.name).second) << v.name;
    EXPECT_TRUE(symbols.insert(v.symbol).second) << v.symbol;
    EXPECT_TRUE(v.limits.contain(v.validated.lowest) && v.limits.contain(v.validated.highest)) << v.name << " is validated outside its limits";
  }
  for (const lutum::Variable& v : e.results) EXPECT_TRUE(names.insert(v.name).second) << v.name << " is both an input and a result, or stands twice";
}

TEST_P(Description, DefaultsAndExampleLieWithinTheValidatedRange) {
  std::vector<double> defaults(e.input_slots);
  e.defaults(defaults.data());
  const auto check = [&](const State& s, const char* what) {
    const auto places = support::input_slots(e, s.length);
    for (std::size_t i = 0; i < s.inputs.size(); ++i) {
      const double x = s.inputs[i];
      EXPECT_TRUE(x != x || places[i].variable->validated.contain(x)) << what << " " << label(places[i]) << " = " << x;
    }
  };
  check({defaults, 0}, "default");
  check(example(e), "example");
  for (double x : value(e, example(e))) EXPECT_FALSE(std::isinf(x));
  EXPECT_EQ(std::count_if(e.verdicts.begin(), e.verdicts.end(), [](const auto& v) { return v.name.empty() || v.meaning.empty(); }), 0);
}

TEST_P(Description, ExampleFillsOnlyTheRoomItHas) {
  std::vector<double> few(e.input_slots, 7.0);
  EXPECT_EQ(e.example(few.data(), 0), example(e).length);
  for (double x : few) EXPECT_EQ(x, 7.0);
}

void expect_every_node_to_follow_from_its_children(const Trace& trace) {
  for (const Node& n : trace.nodes()) {
    switch (n.operation) {
      case Operation::given:
      case Operation::literal:
      case Operation::constant:
        EXPECT_EQ(n.first, nullptr);
        EXPECT_TRUE(n.constant == nullptr || n.value == n.constant->value);
        break;
      case Operation::choice: {
        ASSERT_TRUE(n.first != nullptr && n.left != nullptr && n.right != nullptr);
        EXPECT_TRUE(same_bits(n.value, n.first->value));
        const double a = n.left->value, b = n.right->value;
        const bool holds = n.relation == "<" ? a < b : n.relation == ">" ? a > b : n.relation == "<=" ? a <= b : n.relation == ">=" ? a >= b : a == b;
        EXPECT_EQ(n.holds, holds);
        break;
      }
      case Operation::same:
        ASSERT_NE(n.first, nullptr);
        EXPECT_TRUE(same_bits(n.value, n.first->value));
        break;
      case Operation::solve:
        ASSERT_NE(n.first, nullptr);
        EXPECT_TRUE(same_bits(n.first->value, n.residual));
        if (n.value == n.value) {
          EXPECT_LE(n.bracket[0], n.value);
          EXPECT_GE(n.bracket[1], n.value);
        }
        break;
      case Operation::numerical:
        EXPECT_EQ(n.first, nullptr);
        EXPECT_FALSE(n.arguments.empty() || n.relation.empty());
        break;
      default:
        ASSERT_NE(n.first, nullptr);
        EXPECT_TRUE(same_bits(n.value, lutum::detail::apply(n.operation, n.first->value, n.second != nullptr ? n.second->value : 0.0)))
            << n.symbol << " = " << n.value;
    }
  }
}

void expect_sound_trace(const Entry& e, const State& s) {
  const auto expected = value(e, s);
  for (std::size_t row = 0; row < (e.table ? s.length : 1); ++row) {
    Trace trace;
    e.trace(s.inputs.data(), s.length, row, trace);
    EXPECT_TRUE(trace.faults().empty()) << trace.faults().front();
    ASSERT_FALSE(trace.sections().empty());
    EXPECT_EQ(trace.sections().front().sheet, e.sheet);
    const auto& results = trace.sections().front().results;
    const std::size_t stride = e.table ? s.length : 1;
    ASSERT_EQ(results.size(), expected.size() / stride);
    for (std::size_t r = 0; r < results.size(); ++r) {
      EXPECT_TRUE(same_bits(results[r]->value, expected[r * stride + row])) << results[r]->symbol;
      EXPECT_TRUE(results[r]->named);
    }
    expect_every_node_to_follow_from_its_children(trace);
  }
}

TEST_P(Traces, EqualTheValueBitForBitNodeByNode) {
  expect_sound_trace(e, example(e));
  Random random(31);
  for (int i = 0; i < 50 && !HasFailure(); ++i) expect_sound_trace(e, random_state(e, random));
}

TEST_P(Traces, StaySoundWhenAnInputIsMissing) {
  const State s = example(e);
  for (std::size_t i = 0; i < s.inputs.size() && !HasFailure(); ++i) {
    State missing = s;
    missing.inputs[i] = nan;
    expect_sound_trace(e, missing);
  }
}

TEST_P(Traces, GiveEveryInputAndNestWhatTheyCall) {
  const State s = example(e);
  Trace trace;
  e.trace(s.inputs.data(), s.length, e.table ? s.length - 1 : 0, trace);
  std::set<std::string_view> given;
  for (const Node& n : trace.nodes())
    if (n.operation == Operation::given) given.insert(n.name);
  for (const lutum::Variable& v : e.inputs) EXPECT_TRUE(given.contains(v.name)) << v.name;
  for (std::size_t i = 1; i < trace.sections().size(); ++i) {
    EXPECT_GE(trace.sections()[i].parent, 0);
    EXPECT_LT(trace.sections()[i].parent, static_cast<int>(i));
    EXPECT_NE(lutum::find_calculation(trace.sections()[i].sheet->id), nullptr);
  }
}

TEST(Traces, TheRetortNestsItsBrine) {
  const Entry& e = *lutum::find_calculation("solids.water_base_retort");
  Trace trace;
  e.trace(example(e).inputs.data(), 0, 0, trace);
  ASSERT_EQ(trace.sections().size(), 2u);
  EXPECT_EQ(trace.sections()[1].sheet->id, "brine.sodium_chloride");
}

// Every calculation that is called by type has a checked call.
template <class C>
void expect_checked_to_hold_limits() {
  if constexpr (!lutum::is_table<C>) {
    const Entry& e = *lutum::find_calculation(C::sheet.id);
    const auto places = support::input_slots(e, 0);
    const auto sound = lutum::to_slots<double>(C::example());
    const auto call = [](const auto& slots) {
      return C{}.checked(lutum::from_slots<lutum::input_of<C, double>, double>([&](auto i) { return slots[i]; }));
    };
    EXPECT_TRUE(static_cast<bool>(call(sound))) << call(sound).message();
    const auto plain = lutum::to_slots<double>(lutum::evaluate_with<C, double>(C::example(), {})), checked = lutum::to_slots<double>(call(sound).result);
    for (std::size_t r = 0; r < plain.size(); ++r) EXPECT_TRUE(same_bits(plain[r], checked[r]));
    for (std::size_t i = 0; i < sound.size(); ++i) {
      const lutum::Variable& v = *places[i].variable;
      for (double x : {v.limits.lowest - 1e-6 * std::fabs(v.limits.lowest) - 1e-9, v.limits.highest * (1 + 1e-6) + 1e-9, -support::inf, support::inf}) {
        auto wrong = sound;
        wrong[i] = x;
        if (v.limits.contain(x)) continue;
        const auto r = call(wrong);
        EXPECT_FALSE(static_cast<bool>(r)) << v.name << " = " << x;
        for (double y : lutum::to_slots<double>(r.result)) EXPECT_TRUE(std::isnan(y)) << v.name;
        for (const auto* units : {&lutum::si_units, &lutum::field_units}) {
          const std::string text = r.message(*units);
          EXPECT_NE(text.find(std::string(v.name)), std::string::npos) << text;
          EXPECT_NE(text.find(std::string(C::sheet.id)), std::string::npos) << text;
          // Told to six digits, or to as many as it takes to tell it from the limit.
          const lutum::Unit& unit = (*units)[v.quantity];
          const int digits = lutum::detail::digits_to_tell_apart(x, v.limits, unit);
          EXPECT_NE(text.find(lutum::join({" = ", lutum::format_quantity(x, unit, digits)})), std::string::npos) << text;
          EXPECT_NE(lutum::format_quantity(x, unit, digits), lutum::format_quantity(x < v.limits.lowest ? v.limits.lowest : v.limits.highest, unit, digits));
        }
      }
      for (double x : {v.limits.lowest, v.limits.highest}) {
        auto edge = sound;
        edge[i] = x;
        // A limit is allowed by itself; together with the other inputs it may still be impossible.
        for (const lutum::Finding& f : call(edge).findings) EXPECT_FALSE(f.is_error()) << v.name << " = " << x << ": " << call(edge).message();
      }
      auto missing = sound;
      missing[i] = nan;
      EXPECT_EQ(static_cast<bool>(call(missing)), v.optional || v.gaps || places[i].element > 0) << v.name;
    }
  }
}

TEST(Checked, RefusesWhatIsOutsideTheLimitsAndNamesIt) {
  [&]<class... C>(std::tuple<C...>*) { (expect_checked_to_hold_limits<C>(), ...); }(static_cast<lutum::Calculations*>(nullptr));
}

TEST(Checked, SaysAllThatIsWrongAtOnce) {
  const auto r = lutum::clay::methylene_blue.checked({.dye_volume = -1e-6});
  EXPECT_FALSE(static_cast<bool>(r));
  EXPECT_EQ(r.message(lutum::field_units),
            "clay.methylene_blue: dye_volume = -1 mL is outside its limit, from 0 mL to 1000 mL (methylene blue solution used to the end point); check the "
            "reading and its unit.\nclay.methylene_blue: sample_volume (mud in the flask) is missing; give it in mL.");
  EXPECT_FALSE(static_cast<bool>(lutum::clay::methylene_blue.checked({})));
  const auto caution = lutum::clay::methylene_blue.checked({.dye_volume = 40e-6, .sample_volume = 1e-6});
  EXPECT_TRUE(static_cast<bool>(caution));
  EXPECT_EQ(caution.findings.size(), 1u);
  EXPECT_DOUBLE_EQ(caution.result.capacity, 400.0);
}

}  // namespace
