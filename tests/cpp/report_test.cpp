// Worked solutions of every calculation in every unit set: the results are there, nothing missing is shown, and the
// LaTeX holds together.
#include <gtest/gtest.h>

#include "catalogue_support.hpp"
#include "lutum/lutum.hpp"
#include "lutum/report/worked_solution.hpp"

namespace {

using lutum::Entry;
using lutum::UnitSet;
using lutum::report::Format;
using support::nan;
using support::State;

constexpr const UnitSet* unit_sets[] = {&lutum::si_units, &lutum::field_units, &lutum::metric_units};

class Worked : public testing::TestWithParam<std::string> {
 protected:
  const Entry& e = support::row(GetParam());
};
INSTANTIATE_TEST_SUITE_P(Catalogue, Worked, testing::ValuesIn(support::all_ids()),
                         [](const auto& each) { return support::test_name(each.param); });

std::string work(const Entry& e, const State& s, const UnitSet& units, Format format) {
  lutum::Trace trace;
  e.trace(s.inputs.data(), s.length, e.table ? s.length - 1 : 0, trace);
  return lutum::report::WorkedSolution(trace, units, format).str();
}

bool contains(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

// The results of the row that is shown.
std::vector<double> shown_results(const Entry& e, const State& s) {
  const auto v = support::value(e, s);
  if (!e.table) return v;
  std::vector<double> last;
  for (std::size_t r = 0; r < e.results.size(); ++r) last.push_back(v[r * s.length + s.length - 1]);
  return last;
}

std::string printed(double x) {
  char text[64];
  std::snprintf(text, sizeof text, "%.6g", x);
  return text;
}

void expect_results_in(const std::string& text, const Entry& e, const State& s, const UnitSet& units) {
  const auto results = shown_results(e, s);
  const auto places = support::result_slots(e, e.table ? 1 : s.length);
  for (std::size_t r = 0; r < results.size(); ++r) {
    if (results[r] != results[r]) continue;
    const lutum::Unit& unit = units[places[r].variable->quantity];
    const std::string shown = lutum::join({"= ", printed(unit.from_si(results[r])), unit.label.empty() ? "" : " ", unit.label});
    // The end of a line; of a root, what is left of its equation follows.
    EXPECT_TRUE(contains(text, shown + "\n") || contains(text, shown + " (left side")) << label(places[r]) << " " << shown << " in\n" << text;
  }
}

TEST_P(Worked, ShowsEveryResultToSixDigitsInEveryUnitSet) {
  const State s = support::example(e);
  for (const UnitSet* units : unit_sets) expect_results_in(work(e, s, *units, Format::text), e, s, *units);
}

TEST_P(Worked, ShowsEveryInputWithItsMeaning) {
  const State s = support::example(e);
  for (const UnitSet* units : unit_sets) {
    const std::string text = work(e, s, *units, Format::text);
    const auto places = support::input_slots(e, s.length);
    for (std::size_t i = 0; i < places.size(); ++i) {
      if (s.inputs[i] != s.inputs[i] || (e.table && places[i].variable->length == lutum::any_length && places[i].element + 1 != s.length)) continue;
      const lutum::Unit& unit = (*units)[places[i].variable->quantity];
      EXPECT_TRUE(contains(text, lutum::format_quantity(s.inputs[i], unit))) << label(places[i]) << " in\n" << text;
      EXPECT_TRUE(contains(text, places[i].variable->meaning)) << label(places[i]);
    }
    for (std::string_view part : {e.sheet->title, e.sheet->answers, e.sheet->source, e.sheet->assumptions, e.sheet->cautions}) EXPECT_TRUE(contains(text, part));
  }
}

TEST_P(Worked, FollowsReplacedUnits) {
  UnitSet units = lutum::metric_units;
  units.replace(lutum::Quantity::density, *lutum::find_symbol("g/cm3"));
  units.replace(lutum::Quantity::pressure, *lutum::find_symbol("bar"));
  units.replace(lutum::Quantity::stress, *lutum::find_symbol("dyne/cm2"));
  const State s = support::example(e);
  expect_results_in(work(e, s, units, Format::text), e, s, units);
}

void expect_sound_latex(const std::string& text) {
  int depth = 0;
  char before = ' ';
  for (char c : text) {
    if (before != '\\') depth += c == '{' ? 1 : c == '}' ? -1 : 0;
    ASSERT_GE(depth, 0) << text;
    before = c;
  }
  EXPECT_EQ(depth, 0) << text;
  const auto count = [&](std::string_view part) {
    int n = 0;
    for (std::size_t at = 0; (at = text.find(part, at)) != std::string::npos; at += part.size()) ++n;
    return n;
  };
  EXPECT_EQ(count("$") % 2, 0);
  EXPECT_EQ(count("$$") % 2, 0);
  EXPECT_EQ(count("\\left("), count("\\right)"));
  EXPECT_EQ(count("\\left"), count("\\right"));
  EXPECT_EQ(count("\\begin{aligned}"), count("\\end{aligned}"));
  // Inside mathematics a bare per cent sign would comment out the rest, and a number sign is no character.
  bool inside = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '$') inside = !inside, i += i + 1 < text.size() && text[i + 1] == '$';
    EXPECT_FALSE(inside && text[i] == '%' && text[i - 1] != '\\') << text.substr(i > 40 ? i - 40 : 0, 60);
    EXPECT_FALSE(inside && text[i] == '#');
    const bool degree = text.compare(i, 2, "°") == 0 || (i > 0 && text.compare(i - 1, 2, "°") == 0);  // two bytes; every renderer has it
    EXPECT_FALSE(inside && !degree && static_cast<unsigned char>(text[i]) > 127) << "not ASCII inside mathematics: " << text.substr(i > 40 ? i - 40 : 0, 60);
  }
}

TEST_P(Worked, IsSoundLatex) {
  support::Random random(111);
  for (const UnitSet* units : unit_sets) {
    expect_sound_latex(work(e, support::example(e), *units, Format::markdown));
    for (int i = 0; i < 20 && !HasFailure(); ++i) expect_sound_latex(work(e, random_state(e, random), *units, Format::markdown));
  }
}

TEST_P(Worked, LeavesOutWhatIsMissing) {
  const State s = support::example(e);
  const auto inputs = support::input_slots(e, s.length);
  for (std::size_t i = 0; i < s.inputs.size(); ++i) {
    if (s.inputs[i] != s.inputs[i]) continue;
    State missing = s;
    missing.inputs[i] = nan;
    for (const Format format : {Format::text, Format::markdown}) {
      std::string text = work(e, missing, lutum::field_units, format);
      text.resize(text.find("Source and assumptions"));
      const auto solution = text.find("Given");  // titles and questions above may use any word
      ASSERT_NE(solution, std::string::npos);
      for (const char* word : {" missing,", "= missing", "nan", " inf"}) EXPECT_FALSE(contains(text.substr(solution), word)) << label(inputs[i]) << "\n" << text;
    }
    std::string given = work(e, missing, lutum::field_units, Format::text);
    given = given.substr(0, given.find("\nSolution"));
    if (!lutum::is_list(*inputs[i].variable)) {
      EXPECT_FALSE(contains(given, lutum::join({": ", inputs[i].variable->meaning, "\n"}))) << label(inputs[i]) << "\n" << given;
    }
    expect_results_in(work(e, missing, lutum::field_units, Format::text), e, missing, lutum::field_units);
  }
}

TEST(WorkedSolution, IsTheSameByTypeAndByCatalogue) {
  const auto& c = lutum::clay::methylene_blue;
  const Entry& e = *lutum::find_calculation("clay.methylene_blue");
  EXPECT_EQ(lutum::report::work(c, c.example(), lutum::field_units), work(e, support::example(e), lutum::field_units, Format::text));
}

TEST(WorkedSolution, ReadsLikeAHandCalculation) {
  const std::string text = lutum::report::work(lutum::clay::methylene_blue, {.dye_volume = 8e-6, .sample_volume = 2e-6}, lutum::field_units);
  EXPECT_TRUE(contains(text, "  V_dye = 8 mL: methylene blue solution used to the end point\n")) << text;
  EXPECT_TRUE(contains(text, "  MBC = N · V_dye / V_mud\n      = 0.01 meq/mL × 8 mL / 2 mL\n      = 4 meq/100 mL\n")) << text;
  EXPECT_TRUE(contains(text, "      = 20 lb/bbl\n")) << text;
}

TEST(WorkedSolution, NestsTheBrineOfTheRetort) {
  const std::string text = lutum::report::work(lutum::solids::water_base_retort, lutum::solids::WaterBaseRetort::example(), lutum::field_units);
  const auto brine = text.find("Sodium chloride brine from its chloride\n---"), back = text.find("Solution, continued\n---");
  EXPECT_NE(brine, std::string::npos) << text;
  EXPECT_NE(back, std::string::npos) << text;
  EXPECT_TRUE(contains(text, "is the root of")) << text;
  EXPECT_TRUE(contains(text, "(left side there: "));
}

TEST(WorkedSolution, SaysWhyABranchWasTaken) {
  auto in = lutum::hydraulics::SlotPressureGradient::example();
  const auto& c = lutum::hydraulics::slot_pressure_gradient;
  EXPECT_FALSE(contains(lutum::report::work(c, in), "because"));
  in.flow_rate = 0.0;
  EXPECT_TRUE(contains(lutum::report::work(c, in), "(because V = 0)")) << lutum::report::work(c, in);
}

TEST(Notation, ShowsNumbersUnitsAndSymbolsInBothForms) {
  using namespace lutum::report;
  EXPECT_EQ(plain_symbol("\\rho_{b}"), "ρ_b");
  EXPECT_EQ(symbol_text("\\rho_{b}", Format::markdown), "\\rho_{b}");
  EXPECT_EQ(number_text(1.5e-9, Format::text), "1.5e-09");
  EXPECT_EQ(number_text(1.5e-9, Format::markdown), "1.5\\times10^{-9}");
  EXPECT_EQ(unit_text("lb/100 ft2", Format::markdown), "\\mathrm{lb/100\\ ft^2}");
  EXPECT_EQ(unit_text("%", Format::markdown), "\\mathrm{\\%}");
  EXPECT_EQ(value_text(0.25, lutum::Quantity::volume_fraction, lutum::field_units, Format::text), "25 %");
  EXPECT_EQ(value_text(293.15, lutum::Quantity::temperature, lutum::field_units, Format::text), "293.15 K");  // inside an expression
  EXPECT_EQ(value_text(293.15, lutum::Quantity::temperature, lutum::field_units, Format::text, false), "68 degF");
}

}  // namespace
