// Numbers that remember how they came about: the nodes, the dimensions, and the faults a wrong formula must show.
#include <gtest/gtest.h>

#include "lutum/core/calculation.hpp"
#include "support.hpp"

namespace {

using lutum::constant;
using lutum::Operation;
using lutum::Quantity;
using lutum::Trace;
using lutum::traced;
using lutum::Variable;
using support::nan;

constexpr Variable length{.name = "length", .symbol = "L", .quantity = Quantity::length, .meaning = "a length"};
constexpr Variable pressure{.name = "pressure", .symbol = "p", .quantity = Quantity::pressure, .meaning = "a pressure"};
constexpr Variable number{.name = "number", .symbol = "n", .quantity = Quantity::number, .meaning = "a number"};
constexpr lutum::Constant gravity{"g", 9.80665, Quantity::acceleration, "standard gravity"};
constexpr lutum::Sheet sheet{.id = "area.name", .title = "", .answers = "", .equations = "", .source = "", .assumptions = "", .cautions = ""};

struct Bench {
  Trace trace;
  traced l = trace.input(3.0, length, "L");
  traced p = trace.input(7.0, pressure, "p");
  traced n = trace.input(0.5, number, "n");
};

TEST(Traced, RecordsEveryOperation) {
  Bench b;
  const struct { traced x; Operation operation; double value; } rows[] = {
      {b.l + b.l, Operation::add, 6.0},         {b.p - b.p, Operation::subtract, 0.0},       {b.l * b.p, Operation::multiply, 21.0},
      {b.p / b.l, Operation::divide, 7.0 / 3.0}, {-b.l, Operation::negate, -3.0},            {exp(b.n), Operation::exp, lutum::exp(0.5)},
      {log(b.n), Operation::log, lutum::log(0.5)}, {sqrt(b.l * b.l), Operation::sqrt, 3.0},  {square(b.l), Operation::square, 9.0},
      {abs(-b.l), Operation::abs, 3.0},         {pow(b.n, b.n), Operation::pow, lutum::pow(0.5, 0.5)}, {larger(b.l, traced(0.0)), Operation::larger, 3.0},
      {smaller(b.l, traced(0.0)), Operation::smaller, 0.0},
  };
  for (const auto& row : rows) {
    ASSERT_NE(row.x.node, nullptr);
    EXPECT_EQ(row.x.node->operation, row.operation);
    EXPECT_EQ(row.x.value, row.value);
    EXPECT_EQ(row.x.node->value, row.value);
    EXPECT_EQ(lutum::detail::apply(row.operation, row.x.node->first->value, row.x.node->second ? row.x.node->second->value : 0.0), row.value);
  }
  EXPECT_TRUE(b.trace.faults().empty());
}

TEST(Traced, CarriesDimensions) {
  Bench b;
  EXPECT_EQ((b.p / b.l).node->dimension, lutum::info(Quantity::pressure_gradient).dimension);
  EXPECT_EQ(square(b.l).node->dimension, lutum::info(Quantity::area).dimension);
  EXPECT_EQ(sqrt(b.l * b.l).node->dimension, lutum::info(Quantity::length).dimension);
  EXPECT_EQ((b.l * constant<traced>(gravity)).node->dimension, lutum::dimensions::length * lutum::dimensions::acceleration);
  EXPECT_EQ((traced(0.0) + b.p).node->dimension, lutum::dimensions::pressure);  // a plain zero fits everywhere
}

TEST(Traced, FaultsWhatDoesNotFit) {
  const auto faults = [](auto wrong) {
    Bench b;
    wrong(b);
    return b.trace.faults().size();
  };
  EXPECT_EQ(faults([](Bench& b) { (void)(b.l + b.p); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)(b.l - b.p); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)larger(b.l, b.p); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)smaller(b.p, b.l); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)(b.l + traced(1.0)); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)exp(b.l); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)log(b.p); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)pow(b.l, b.n); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)pow(b.n, b.l); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)sqrt(b.l); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)step({"x", Quantity::pressure, "wrongly named"}, b.l + b.l); }), 1u);
  EXPECT_EQ(faults([](Bench& b) { (void)step({"x", Quantity::length, "rightly named"}, b.l + b.l); }), 0u);
  EXPECT_EQ(faults([](Bench& b) { (void)(b.p / b.p + exp(b.l / b.l)); }), 0u);
}

TEST(Traced, FaultNamesThePlace) {
  Bench b;
  (void)(b.l + b.p);
  ASSERT_EQ(b.trace.faults().size(), 1u);
  EXPECT_NE(b.trace.faults()[0].find("near L"), std::string::npos) << b.trace.faults()[0];
}

// A calculation with a wrong formula, as a contributor might write it.
struct Wrong : lutum::Calculation<Wrong> {
  template <class T>
  struct Input {
    T length = T(nan);
    T pressure = T(nan);
  };
  template <class T>
  struct Result {
    T sum;
  };
  static constexpr std::array inputs{length, pressure};
  static constexpr std::array results{Variable{.name = "sum", .symbol = "s", .quantity = Quantity::pressure, .meaning = "nonsense"}};
  static constexpr lutum::Sheet sheet{.id = "area.wrong", .title = "", .answers = "", .equations = "", .source = "", .assumptions = "", .cautions = ""};
  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    return {in.length + in.pressure};
  }
};

TEST(Traced, AWrongCalculationIsFound) {
  static_assert(lutum::described<Wrong>());
  Trace trace;
  const double values[] = {3.0, 7.0};
  const auto r = lutum::trace_into<Wrong>(trace, values);
  EXPECT_EQ(r.sum.value, 10.0);  // the value is what the formula says
  EXPECT_EQ(trace.faults().size(), 2u);  // the sum, and the result that is then a length
}

TEST(Traced, ConstantsKeepTheirSymbolAndLiteralsMakeNoNode) {
  Bench b;
  const traced weight = b.l * constant<traced>(gravity);
  EXPECT_EQ(weight.node->second->operation, Operation::constant);
  EXPECT_EQ(weight.node->second->constant, &gravity);
  EXPECT_EQ(weight.value, 3.0 * 9.80665);
  const std::size_t before = b.trace.nodes().size();
  const traced free = traced(2.0) * traced(3.0);
  EXPECT_EQ(free.node, nullptr);
  EXPECT_EQ(free.value, 6.0);
  EXPECT_EQ(b.trace.nodes().size(), before);
}

// Nothing is added and nothing multiplied that changes no number: no term, no factor, but the bits and the dimension of every value.
TEST(Traced, ATermOfNothingAndAFactorOfOneAreNoSteps) {
  Bench b;
  const traced zero = b.p * traced(0.0);
  EXPECT_EQ((b.l * traced(1.0)).node, b.l.node);
  EXPECT_EQ((traced(1.0) * b.l).node, b.l.node);
  for (const traced& left : {b.p + zero, zero + b.p, b.p - zero}) {
    EXPECT_EQ(left.node->operation, Operation::same);
    EXPECT_EQ(left.node->first, b.p.node);
    EXPECT_EQ(left.node->unseen, zero.node);  // no line has it, but what is missing there is missing here
  }
  EXPECT_EQ((b.n + b.n * traced(0.0)).node->first, b.n.node);
  EXPECT_EQ(zero.node->unseen->operation, Operation::multiply);
  EXPECT_EQ(zero.node->operation, Operation::literal);
  EXPECT_EQ(zero.node->dimension, lutum::info(Quantity::pressure).dimension);
  EXPECT_EQ((traced(0.1) + b.n * traced(0.0)).node->value, 0.1);  // still a number of this solution
  EXPECT_EQ((traced(0.0) - b.p).node->operation, Operation::subtract);
  EXPECT_EQ((b.n + (b.n - b.n)).node->operation, Operation::add);  // a zero that came about is a term
  EXPECT_EQ((b.l * step({"m", Quantity::number, "a zero with a name"}, b.n * traced(0.0))).node->operation, Operation::multiply);
  EXPECT_TRUE(b.trace.faults().empty());
  (void)(b.l + zero);
  EXPECT_EQ(b.trace.faults().size(), 1u) << "a pressure of nothing beside a length";
}

TEST(Traced, NothingKeepsWhatIsMissingAndTheSignOfAZero) {
  Bench b;
  const traced missing = b.trace.input(nan, length, "x"), endless = b.trace.input(std::numeric_limits<double>::infinity(), length, "y");
  EXPECT_EQ((missing * traced(0.0)).node->operation, Operation::multiply);
  EXPECT_TRUE(std::isnan((endless * traced(0.0)).value));
  EXPECT_TRUE(std::isnan((b.l + missing * traced(0.0)).value));
  const traced minus = -(b.l - b.l);
  EXPECT_FALSE(std::signbit((minus + traced(0.0)).value));
  EXPECT_TRUE(std::signbit((minus - traced(0.0)).value));
  EXPECT_TRUE(std::signbit((-b.l * traced(0.0)).value));
  // A unit is no bare one.
  constexpr static lutum::Constant metre{"1\\,\\mathrm{m}", 1.0, Quantity::length, "unit of length", true};
  EXPECT_EQ((constant<traced>(metre) * b.l).node->operation, Operation::multiply);
  EXPECT_EQ((b.l * constant<traced>(metre)).node->dimension, lutum::info(Quantity::area).dimension);
}

TEST(Traced, ANumberFoundNumericallyRemembersFromWhat) {
  Bench b;
  const traced x = lutum::numerical("quadrature", traced(0.25), b.n, traced(3.0), b.l);
  EXPECT_EQ(x.value, 0.25);
  EXPECT_EQ(x.node->operation, Operation::numerical);
  EXPECT_EQ(x.node->relation, "quadrature");
  EXPECT_EQ(x.node->arguments, (std::vector<const lutum::Node*>{b.n.node, b.l.node}));
  EXPECT_EQ(lutum::numerical("quadrature", traced(0.25), traced(3.0)).node, nullptr);
  EXPECT_EQ(lutum::numerical("quadrature", 0.25, 3.0), 0.25);
}

TEST(Traced, SymbolsOfAPartCarryIt) {
  using lutum::detail::of_part;
  EXPECT_EQ(of_part("V", ""), "V");
  EXPECT_EQ(of_part("V", "ann"), "V_{ann}");
  EXPECT_EQ(of_part("\\tau_0", "ann"), "\\tau_{0,ann}");
  EXPECT_EQ(of_part("\\dot\\gamma_{0}", "str"), "\\dot\\gamma_{0,str}");
  EXPECT_EQ(of_part("r_{i}^{12}", "str"), "r_{i,str}^{12}");
  EXPECT_EQ(of_part("Q^{*}", "str"), "Q_{str}^{*}");
  EXPECT_EQ(of_part("V_{\\mathrm{dye}}", "a"), "V_{\\mathrm{dye},a}");
  EXPECT_EQ(of_part("\\left(dp/dL\\right)", "ann"), "\\left(dp/dL\\right)_{ann}");
  Trace trace;
  const int outside = trace.open(sheet, nullptr, "ann"), inside = trace.open(sheet);
  const traced x = trace.input(2.0, length, "x");  // what is given has its own name
  EXPECT_EQ(x.node->symbol, "x");
  EXPECT_EQ(step({"y", Quantity::length, "of the part"}, x + x).node->symbol, "y_{ann}") << "and so in what the part calls";
  trace.close(inside);
  trace.close(outside);
  EXPECT_EQ(step({"z", Quantity::length, "outside"}, x + x).node->symbol, "z");
}

TEST(Traced, SelectRemembersTheComparison) {
  Bench b;
  const traced yes = select(b.n < traced(1.0), b.l, b.l * traced(2.0));
  ASSERT_NE(yes.node, nullptr);
  EXPECT_EQ(yes.node->operation, Operation::choice);
  EXPECT_EQ(yes.node->relation, "<");
  EXPECT_TRUE(yes.node->holds);
  EXPECT_EQ(yes.node->left->value, 0.5);
  EXPECT_EQ(yes.node->right->value, 1.0);
  EXPECT_EQ(yes.value, 3.0);
  const traced no = select(b.n > traced(1.0), b.l, b.l * traced(2.0));
  EXPECT_FALSE(no.node->holds);
  EXPECT_EQ(no.value, 6.0);
  EXPECT_EQ(select((b.n < traced(1.0)) & (b.n > traced(1.0)), b.l, b.p).value, 7.0);
  EXPECT_EQ(select((b.n < traced(1.0)) | (b.n > traced(1.0)), b.l, b.p).value, 3.0);
  EXPECT_EQ(select(!(b.n < traced(1.0)), b.l, b.p).value, 7.0);
  EXPECT_TRUE(any(b.n == b.n) && all(b.n <= b.n) && !any(b.n >= traced(1.0)));
}

TEST(Traced, GuardsAndPicksAreNoSteps) {
  Bench b;
  EXPECT_EQ(only_if(b.n < traced(1.0), b.l).node, b.l.node);
  const traced missing = only_if(b.n > traced(1.0), b.l);
  EXPECT_TRUE(std::isnan(missing.value));
  EXPECT_NE(missing.node, nullptr);
  const std::array<traced, 2> keys{b.l, b.n}, values{b.p, b.l};
  EXPECT_EQ(lutum::pick(keys, values, 3.0).node, b.p.node);
  EXPECT_EQ(lutum::pick(keys, values, 0.5).node, b.l.node);
  EXPECT_TRUE(std::isnan(lutum::pick(keys, values, 4.0).value));
}

TEST(Traced, ANumberNamedTwiceIsShownAsTheSame) {
  Bench b;
  const traced again = step({"M", Quantity::length, "another word for it"}, b.l);
  EXPECT_EQ(again.node->operation, Operation::same);
  EXPECT_EQ(again.node->first, b.l.node);
  EXPECT_EQ(again.node->symbol, "M");
  EXPECT_EQ(b.l.node->symbol, "L");
}

TEST(Traced, SectionsNestAndClose) {
  Trace trace;
  const int outside = trace.open(sheet);
  const traced a = trace.input(1.0, length, "a");
  const int outer = trace.open(sheet);
  const traced inner = trace.input(2.0, length, "b");
  trace.close(outer);
  const traced after = trace.input(3.0, length, "c");
  trace.close(outside);
  ASSERT_EQ(trace.sections().size(), 2u);
  EXPECT_EQ(trace.sections()[1].parent, 0);
  EXPECT_EQ(a.node->section, 0);
  EXPECT_EQ(inner.node->section, 1);
  EXPECT_EQ(after.node->section, 0);
}

}  // namespace
