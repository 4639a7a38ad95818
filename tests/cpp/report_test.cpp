// Worked solutions of every calculation in every unit set: the results are there, nothing missing is shown, and the
// LaTeX holds together.
#include <gtest/gtest.h>

#include <map>
#include <set>

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

// The symbols of what is given and of every line, a root's own lines too, each with its number.
std::map<std::string, std::set<std::string>> numbers_by_symbol(const Entry& e, const State& s) {
  lutum::Trace trace;
  e.trace(s.inputs.data(), s.length, e.table ? s.length - 1 : 0, trace);
  const lutum::report::Order order(trace);
  std::map<std::string, std::set<std::string>> found;
  const auto take = [&](const lutum::Node& n) {
    if (n.value == n.value) found[n.symbol].insert(printed(n.value));
  };
  for (const lutum::Node& n : trace.nodes())
    if (n.operation == lutum::Operation::given) take(n);
  for (const lutum::Node* n : order.shown()) {
    take(*n);
    for (const lutum::Node* part : order.of_root(*n)) take(*part);
  }
  for (const lutum::Node* n : order.constants()) found[std::string(n->constant->symbol)].insert(printed(n->value));
  return found;
}

TEST_P(Worked, ASymbolStandsForOneNumber) {
  support::Random random(37);
  for (int i = 0; i < 5 && !HasFailure(); ++i)
    for (const auto& [symbol, numbers] : numbers_by_symbol(e, i == 0 ? support::example(e) : random_state(e, random)))
      EXPECT_EQ(numbers.size(), 1u) << symbol << " is " << testing::PrintToString(numbers);
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
    for (int i = 0; i < (support::sanitized ? 4 : 20) && !HasFailure(); ++i) expect_sound_latex(work(e, random_state(e, random), *units, Format::markdown));
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
      for (const char* word : {" missing,", "= missing", "nan", " inf ", " inf\n"}) EXPECT_FALSE(contains(text.substr(solution), word)) << label(inputs[i]) << "\n" << text;
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

// A fraction or a power that is raised has its brackets in LaTeX too.
TEST(WorkedSolution, BracketsWhatIsRaised) {
  const auto& loss = lutum::hydraulics::annulus_loss;
  const std::string text = lutum::report::work(loss, loss.example(), lutum::si_units, Format::markdown);
  EXPECT_TRUE(contains(text, "r_{d} &= {\\left(\\frac{\\mathrm{Re}}{\\mathrm{Re}_{c}}\\right)}^2 ")) << text;
  EXPECT_TRUE(contains(text, "{\\left({\\left({p_{i}}^2\\right)}^2\\right)}^2")) << text;
  EXPECT_TRUE(contains(text, "K\\,{\\left(\\frac{\\dot\\gamma_{0}}{1\\,\\mathrm{s^{-1}}}\\right)}^{n} ")) << text;
  const auto& pipe = lutum::hydraulics::pipe_loss;
  EXPECT_TRUE(contains(lutum::report::work(pipe, pipe.example(), lutum::si_units, Format::markdown, lutum::hydraulics::FrictionMethod::standard),
                       "{\\left(\\frac{4}{3}\\right)}^{n}"));
}

TEST(WorkedSolution, SaysWhyABranchWasTaken) {
  auto in = lutum::hydraulics::SlotPressureGradient::example();
  const auto& c = lutum::hydraulics::slot_pressure_gradient;
  EXPECT_FALSE(contains(lutum::report::work(c, in), "because"));
  in.flow_rate = 0.0;
  EXPECT_TRUE(contains(lutum::report::work(c, in), "(because V = 0)")) << lutum::report::work(c, in);
}

TEST(WorkedSolution, TellsAComparisonAsItHolds) {
  const auto& c = lutum::chemistry::filtrate_alkalinity;
  lutum::chemistry::FiltrateAlkalinity::Input<double> in{.phenolphthalein_alkalinity = 0.7, .methyl_orange_alkalinity = 1.8};
  std::string text = lutum::report::work(c, in, lutum::field_units);
  EXPECT_TRUE(contains(text, "(because 2 · P_f ≤ M_f: 2 × 0.7 mL/mL ≤ 1.8 mL/mL)")) << text;
  EXPECT_TRUE(contains(lutum::report::work(c, in, lutum::field_units, Format::markdown), "\n(because $2\\,P_{f} \\leq M_{f}$: $2 \\times 0.7"));
  in.methyl_orange_alkalinity = 1.2;
  text = lutum::report::work(c, in, lutum::field_units);
  EXPECT_TRUE(contains(text, "(because 2 · P_f > M_f: 2 × 0.7 mL/mL > 1.2 mL/mL)")) << text;
}

// The factor between the units of the numbers and that of the result, once.
TEST(WorkedSolution, TellsWhatUnlikeUnitsAmountTo) {
  const auto split = [](const UnitSet& units) { return lutum::report::work(lutum::solids::gravity_split, lutum::solids::GravitySplit::example(), units); };
  const std::string field = split(lutum::field_units);
  const auto note = field.find("  (1 lb/gal = 42 lb/bbl)\n");
  ASSERT_NE(note, std::string::npos) << field;
  EXPECT_EQ(field.find("42 lb/bbl", note + 20), std::string::npos) << "told twice";
  EXPECT_FALSE(contains(field, "lb/bbl = ")) << "the other way round says no more";
  EXPECT_FALSE(contains(split(lutum::si_units), "  (1 ")) << "nothing to convert in SI";
  const auto& depth = lutum::density::hydrostatic_pressure;
  EXPECT_TRUE(contains(lutum::report::work(depth, depth.example(), lutum::metric_units), "  (1 (kg/m3) × m × (m/s2) = 0.001 kPa)\n"));
  EXPECT_TRUE(contains(lutum::report::work(depth, depth.example(), lutum::metric_units, Format::markdown),
                       "($1\\,(\\mathrm{kg/m^3}) \\times \\mathrm{m} \\times (\\mathrm{m/s^2}) = 0.001\\,\\mathrm{kPa}$)"));
  // A wrong factor would not give the result: both from the definitions of pound, gallon, foot and square inch.
  EXPECT_TRUE(contains(lutum::report::work(depth, depth.example(), lutum::field_units), "  (1 (lb/gal) × ft × (m/s2) = 0.00529723 psi)\n"));
}

// What depends on an unknown belongs to its equation: no number of it is told before the root is found.
TEST(WorkedSolution, TellsTheEquationOfARootBeforeItsNumbers) {
  const auto& c = lutum::brine::mixed_activity;
  const std::string text = lutum::report::work(c, c.example());
  const auto root = text.find("k is the root of"), with = text.find("\n  with\n    n_C = n_CaCl2 + n_NaCl / k: molality of calcium chloride alone"),
             found = text.find("k = 2.06062");
  ASSERT_NE(root, std::string::npos) << text;
  ASSERT_NE(with, std::string::npos) << text;
  EXPECT_LT(root, with);
  EXPECT_LT(with, found);
  EXPECT_EQ(text.find("2.06062"), found + 4) << "a number of the root before the root";
}

std::string circulated(const lutum::hydraulics::Circulation::Input<double>& in, double pipe_diameter) {
  using lutum::hydraulics::Circulation;
  const auto scalars = lutum::to_slots<double>(in);
  auto row = Circulation::example_rows[0];
  row[3] = pipe_diameter;
  lutum::Trace trace;
  lutum::trace_row_into<Circulation>(trace, scalars.data(), row.data(), 1, 0);
  return lutum::report::WorkedSolution(trace, lutum::metric_units, Format::text).str();
}

TEST(WorkedSolution, TellsTheAnnulusFromTheString) {
  const std::string text = circulated(lutum::hydraulics::Circulation::example(), 0.127);
  for (const char* part : {"\nPressure loss up an annulus (subscript ann)\n---", "\nPressure loss inside a pipe (subscript str)\n---",
                           "\n  V_ann = q / A_ann\n", "\n  V_str = q / (D_str² · π/4)\n", "\n  g_a = (dp/dL)_ann = "})
    EXPECT_TRUE(contains(text, part)) << part << "\n" << text;
  EXPECT_TRUE(contains(text, "\n    σ_l,str = s_l,str / (s_l,str + b_str): share of the wall stress above yield\n")) << text;
}

// What counts for nothing is not told, and neither is what led to it.
TEST(WorkedSolution, LeavesOutWhatCountsForNothing) {
  const std::string below = circulated(lutum::hydraulics::Circulation::example(), 0.0);
  EXPECT_TRUE(contains(below, "\n  g_a = 0 kPa/m\n  (because d ≤ 0: 0 mm ≤ 0)\nFriction down")) << below;
  EXPECT_FALSE(contains(below, "(subscript ann)")) << below;
  const auto& pipe = lutum::hydraulics::moving_pipe;
  const std::string text = lutum::report::work(pipe, pipe.example());
  EXPECT_TRUE(contains(text, "\n  (dp/dL) = P_l = ")) << text;
  EXPECT_TRUE(contains(text, "\n  s = s_l = ")) << text;
  const auto& soda = lutum::treatment::calcium_removal;
  EXPECT_TRUE(contains(lutum::report::work(soda, soda.example(), lutum::metric_units), "\n  Δc_OH = 0 mg/L\n"));
  const auto& loss = lutum::hydraulics::annulus_loss;
  EXPECT_TRUE(contains(lutum::report::work(loss, loss.example()), "0.072 · e / n_e · (d / D)^0.8454"));
  EXPECT_TRUE(contains(lutum::report::work(loss, loss.example(), lutum::si_units, Format::markdown), "0.072\\,\\frac{e}{n_{e}}\\,"));
}

TEST(WorkedSolution, TellsAQuadratureInOneLineAndNoBracketThatTellsNothing) {
  const auto& annulus = lutum::hydraulics::concentric_annulus;
  const std::string text = lutum::report::work(annulus, annulus.example());
  EXPECT_TRUE(contains(text, "\n    a · z + J_l + ln(2 · (a + 2) / (h_r² · (1 + k))) = 0\n  with\n    J_l = quadrature(z, a, b, k) = -3.11")) << text;
  EXPECT_TRUE(contains(text, "\n  λ_- = quadrature(z, a, b, k) = 0.3766")) << text;
  EXPECT_TRUE(contains(text, "\n  between -2.4")) << text;
  EXPECT_TRUE(contains(lutum::report::work(annulus, annulus.example(), lutum::si_units, Format::markdown), "&= \\mathrm{quadrature}\\left(z, a, b, k\\right) = -3.11"));
  const auto& loss = lutum::hydraulics::annulus_loss;
  const std::string turbulent = lutum::report::work(loss, loss.example());
  const auto root = turbulent.find("s_t is the root of");
  ASSERT_NE(root, std::string::npos);
  EXPECT_EQ(turbulent.find("\n  between ", root), std::string::npos) << turbulent;
  // A line never uses what is only told below it.
  const auto& pipe = lutum::hydraulics::moving_pipe;
  const std::string moving = lutum::report::work(pipe, pipe.example());
  EXPECT_LT(moving.find("  e_1 is the root of"), moving.find("  J_e = quadrature(e_1, E, m, b_m, k) = ")) << moving;
  EXPECT_LT(moving.find("  E = e_h + k · e_p"), moving.find("  e_1 is the root of"));
}

// All lines of the brine stand together, and what the caller works out from it behind them.
TEST(WorkedSolution, TellsACalledCalculationInOnePiece) {
  const auto& c = lutum::brine::recipe;
  const std::string text = lutum::report::work(c, c.example()), title = "Salt of a brine from its density\n---";
  const auto at = text.find(title);
  ASSERT_NE(at, std::string::npos) << text;
  EXPECT_EQ(text.find(title, at + 1), std::string::npos);
  EXPECT_LT(at, text.find("\nSolution\n"));
  EXPECT_FALSE(contains(text, "Solution, continued"));
  EXPECT_FALSE(contains(text, "x_Cl = ")) << "a constant that no line needs";
}

TEST(WorkedSolution, BreaksALongSumAndBracketsANegativeAddend) {
  const auto& filtrate = lutum::filtration::static_filtrate;
  const std::string text = lutum::report::work(filtrate, filtrate.example());
  EXPECT_TRUE(contains(text, " · (V_3 − V_mean)\n           + (x_4 − x_mean) · (V_4 − V_mean)\n       = (1 − 3.27221)")) << text;
  EXPECT_TRUE(contains(lutum::report::work(filtrate, filtrate.example(), lutum::si_units, Format::markdown), " \\\\[4pt] &\\quad + "));
  const auto& hot = lutum::filtration::high_pressure;
  EXPECT_TRUE(contains(lutum::report::work(hot, hot.example()), "exp((-2.35527 + (-0.166041)) / 0.652204)")) << lutum::report::work(hot, hot.example());
}

TEST(WorkedSolution, SaysWhichInputTheChoiceLeavesOut) {
  using Split = lutum::solids::SplitWithThirdReading;
  const std::string text = lutum::report::work(Split{}, Split::example(), lutum::si_units, Format::text, {});
  const auto idle = text.find(" (not needed for what is chosen)\n");
  ASSERT_NE(idle, std::string::npos) << text;
  EXPECT_NE(text.rfind("  c_a = ", idle), std::string::npos);
  EXPECT_EQ(text.find("not needed", idle + 10), std::string::npos) << text;
  EXPECT_TRUE(contains(text, "  Chosen: "));
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
  EXPECT_EQ(value_text(0.0254 / 16, lutum::Quantity::cake_thickness, lutum::field_units, Format::text), "2 (1/32 in)");
  EXPECT_EQ(page_width("\\frac{N\\,V_{\\mathrm{dye}}}{V}", Format::markdown), 6u);  // the wider part: N, a space, V and dye
}

}  // namespace
