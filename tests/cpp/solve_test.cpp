// Roots, their gradients, their bits, and how many steps they take.
#include <gtest/gtest.h>

#include <vector>

#include "lutum/core/calculation.hpp"
#include "support.hpp"

namespace {

using lutum::dual;
using lutum::Quantity;
using lutum::Step;
using support::nan;
using support::near;
using support::Random;
using support::same_bits;

constexpr Step unknown{"z", Quantity::number, "the unknown"};

// Counts its calls: solve() must take few, and never more than its bound.
inline int calls = 0;

struct Cubic {  // z^3 + z = p
  template <class T>
  T operator()(const T& z, const T& p) const {
    ++calls;
    return z * z * z + z - p;
  }
};
struct Steep {  // exp(50 z) = p
  template <class T>
  T operator()(const T& z, const T& p) const {
    ++calls;
    return exp(T(50.0) * z) - p;
  }
};
struct Flat {  // z^5 = p: no slope at the root when p = 0
  template <class T>
  T operator()(const T& z, const T& p) const {
    ++calls;
    return z * z * z * z * z - p;
  }
};
struct Kink {  // slope 1 below 2, slope 1000 above
  template <class T>
  T operator()(const T& z, const T& p) const {
    ++calls;
    return z + T(999.0) * larger(z - T(2.0), T(0.0)) - p;
  }
};
struct Saturating {  // log(1 + z) = p: Newton's step from far left overshoots
  template <class T>
  T operator()(const T& z, const T& p) const {
    ++calls;
    return log(T(1.0) + z) - p;
  }
};
struct Two {  // a z + b z^2 = 1
  template <class T>
  T operator()(const T& z, const T& a, const T& b) const {
    return a * z + b * z * z - T(1.0);
  }
};

template <class F>
double root(F f, double low, double high, double start, double p) {
  calls = 0;
  const double z = lutum::solve<double>(unknown, f, {low, high, start}, p);
  EXPECT_LE(calls, 150) << "more steps than the bound";
  return z;
}
template <class F>
double root(F f, double low, double high, double p) {
  return root(f, low, high, low, p);
}

TEST(Solve, FindsInnerRoots) {
  EXPECT_NEAR(root(Cubic{}, 0.0, 10.0, 10.0), 2.0, 1e-15);
  EXPECT_NEAR(root(Steep{}, 0.0, 1.0, std::exp(15.0)), 0.3, 1e-15);
  EXPECT_NEAR(root(Flat{}, 0.0, 10.0, 32.0), 2.0, 1e-14);
  EXPECT_NEAR(root(Kink{}, 0.0, 10.0, 1.5), 1.5, 1e-15);
  EXPECT_NEAR(root(Kink{}, 0.0, 10.0, 1002.0), 3.0, 1e-14);
  EXPECT_NEAR(root(Saturating{}, 0.0, 1e3, 5.0), std::exp(5.0) - 1.0, 1e-11);
}

TEST(Solve, FindsRootsAtTheEndsOfTheBracket) {
  EXPECT_EQ(root(Cubic{}, 0.0, 10.0, 0.0), 0.0);
  EXPECT_NEAR(root(Cubic{}, 2.0, 10.0, 10.0), 2.0, 1e-15);
  EXPECT_NEAR(root(Cubic{}, 0.0, 2.0, 10.0), 2.0, 1e-15);
  EXPECT_NEAR(root(Cubic{}, 2.0, 2.0, 10.0), 2.0, 1e-15);
  EXPECT_NEAR(root(Steep{}, 0.0, 3.0, std::exp(150.0)), 3.0, 1e-14);
  EXPECT_NEAR(root(Kink{}, 0.0, 2.0, 2.0), 2.0, 1e-15);
}

TEST(Solve, TakesFewSteps) {
  const auto steps = [](auto f, double low, double high, double p) {
    root(f, low, high, p);
    return calls;
  };
  EXPECT_LE(steps(Cubic{}, 0.0, 10.0, 10.0), 12);
  EXPECT_LE(steps(Saturating{}, 0.0, 1e3, 5.0), 12);
  EXPECT_LE(steps(Kink{}, 0.0, 10.0, 1002.0), 12);
  EXPECT_LE(steps(Flat{}, 0.0, 10.0, 32.0), 30);
  EXPECT_LE(steps(Steep{}, 0.0, 10.0, 2.0), 60);
  EXPECT_LE(steps(Flat{}, 0.0, 10.0, 0.0), 100);  // no slope at all at the root
  EXPECT_EQ(steps(Cubic{}, 0.0, 10.0, nan), 1);
  EXPECT_EQ(steps(Cubic{}, nan, 10.0, 1.0), 0);
}

TEST(Solve, IsMissingWhenAParameterOrABracketEndIs) {
  EXPECT_TRUE(std::isnan(root(Cubic{}, 0.0, 10.0, nan)));
  EXPECT_TRUE(std::isnan(root(Cubic{}, nan, 10.0, 1.0)));
  EXPECT_TRUE(std::isnan(root(Cubic{}, 0.0, nan, 1.0)));
  EXPECT_TRUE(std::isnan(root(Cubic{}, 0.0, 10.0, nan, 1.0)));
  EXPECT_TRUE(std::isnan(lutum::solve<double>(unknown, Two{}, {0.0, 5.0, 1.0}, 1.0, nan)));
  EXPECT_TRUE(std::isnan(lutum::solve<double>(unknown, Two{}, {0.0, 5.0, 1.0}, nan, 1.0)));
}

TEST(Solve, IsMissingWhenTheBracketIsCrossed) { EXPECT_TRUE(std::isnan(root(Cubic{}, 5.0, 1.0, 10.0))); }

// Newton's step on exp(50 z) is 1/50 from far right: too many steps from 10 down to 3.
TEST(Solve, IsMissingWhenItHasNotArrivedNeverAWrongNumber) {
  for (double start : {0.0, 1.0, 2.0, 3.0, 5.0, 9.0, 10.0}) {
    const double z = root(Steep{}, 0.0, 10.0, start, std::exp(150.0));
    EXPECT_TRUE(std::isnan(z) || near(z, 3.0, 1e-13)) << z << " from " << start;
  }
}

TEST(Solve, TheStartIsHeldInsideAndDoesNotChangeTheRoot) {
  for (double start : {-1e9, 0.0, 1.0, 2.0, 9.0, 10.0, 1e9}) {
    EXPECT_NEAR(root(Cubic{}, 0.0, 10.0, start, 10.0), 2.0, 1e-15) << start;
    EXPECT_NEAR(root(Steep{}, 0.0, 1.0, start, std::exp(15.0)), 0.3, 1e-15) << start;
    EXPECT_NEAR(root(Flat{}, 0.0, 10.0, start, 32.0), 2.0, 1e-14) << start;
    EXPECT_NEAR(root(Kink{}, 0.0, 10.0, start, 1002.0), 3.0, 1e-14) << start;
  }
}

template <class F>
void expect_lanes_alone(F f, double high, double lowest, double highest, bool some_missing) {
  constexpr int W = lutum::native_width;
  using P = lutum::pack<W>;
  Random random(21);
  for (int i = 0; i < 2000; ++i) {
    P p, top(high);
    for (int k = 0; k < W; ++k) p.lane[k] = random.uniform(lowest, highest);
    if (some_missing) p.lane[i % W] = nan;
    if (i % 5 == 0) top.lane[(i + 1) % W] = 0.7 * high;
    const P z = lutum::solve<P>(unknown, f, {P(0.0), top, P(0.3)}, p);
    for (int k = 0; k < W; ++k)
      ASSERT_TRUE(same_bits(z.lane[k], lutum::solve<double>(unknown, f, {0.0, top.lane[k], 0.3}, p.lane[k]))) << p.lane[k];
  }
}

TEST(Solve, LanesDoNotDependOnTheirNeighbours) {
  for (bool some_missing : {false, true}) {
    expect_lanes_alone(Cubic{}, 10.0, 0.0, 300.0, some_missing);
    expect_lanes_alone(Steep{}, 0.5, 1.0, 1e6, some_missing);
    expect_lanes_alone(Flat{}, 4.0, 0.0, 100.0, some_missing);
    expect_lanes_alone(Kink{}, 10.0, 0.0, 3000.0, some_missing);
    expect_lanes_alone(Saturating{}, 1e3, 0.0, 5.0, some_missing);
  }
}

struct Exploding {  // exp(50 z) = p: Newton's step is 1/50 wherever it starts from above
  template <class T>
  T operator()(const T& z, const T& p) const {
    return exp(T(50.0) * z) - p;
  }
};

TEST(Solve, HalvesTheBracketWhereNewtonCrawls) {
  const double p = std::exp(150.0);
  EXPECT_NEAR(lutum::solve<double>(unknown, Exploding{}, {0.0, 10.0, 10.0}, p), 3.0, 1e-14);
  EXPECT_NEAR(lutum::solve<double>(unknown, Exploding{}, {0.0, 10.0, 3.5}, p), 3.0, 1e-14);
}

TEST(Solve, GivesTheGradientOfTheImplicitFunction) {
  Random random(22);
  for (int i = 0; i < support::repeats(1000); ++i) {
    const double p = random.uniform(0.1, 200.0);
    using D = dual<2>;
    const auto slope = [&](auto f, double high) { return lutum::solve<D>(unknown, f, {D(0.0), D(high), D(0.0)}, D::seed(p, 1)); };
    const D cubic = slope(Cubic{}, 10.0), steep = slope(Steep{}, 1.0), flat = slope(Flat{}, 10.0), saturating = slope(Saturating{}, 1e100);
    ASSERT_TRUE(near(cubic.slope[1], 1.0 / (3.0 * cubic.value * cubic.value + 1.0), 1e-13));
    ASSERT_TRUE(p < 1.0 || near(steep.slope[1], 1.0 / (50.0 * p), 1e-12));
    ASSERT_TRUE(near(flat.slope[1], 0.2 * std::pow(p, -0.8), 1e-13));
    ASSERT_TRUE(p > 100.0 || near(saturating.slope[1], std::exp(p), 1e-12));
    for (const D& z : {cubic, steep, flat}) ASSERT_EQ(z.slope[0], 0.0);
  }
  // Two parameters: dz/da = -z/(a + 2 b z), dz/db = -z^2/(a + 2 b z).
  using D = dual<2>;
  const D z = lutum::solve<D>(unknown, Two{}, {D(0.0), D(5.0), D(0.0)}, D::seed(0.7, 0), D::seed(0.4, 1));
  const double denominator = 0.7 + 2 * 0.4 * z.value;
  EXPECT_TRUE(near(z.slope[0], -z.value / denominator, 1e-14));
  EXPECT_TRUE(near(z.slope[1], -z.value * z.value / denominator, 1e-14));
}

TEST(Solve, GivesTheGradientAtTheEndsOfTheBracket) {
  using D = dual<1>;
  const D low = lutum::solve<D>(unknown, Cubic{}, {D(0.0), D(10.0), D(1.0)}, D::seed(0.0, 0));
  EXPECT_NEAR(low.value, 0.0, 1e-15);
  EXPECT_EQ(low.slope[0], 1.0);
  const D high = lutum::solve<D>(unknown, Cubic{}, {D(0.0), D(2.0), D(1.0)}, D::seed(10.0, 0));
  EXPECT_TRUE(near(high.slope[0], 1.0 / 13.0, 1e-14));
}

TEST(Solve, KeepsTheBitsOfTheValueForDualAndTraced) {
  Random random(23);
  lutum::Trace trace;
  const lutum::Variable input{.name = "p", .symbol = "p", .meaning = "parameter"};
  for (int i = 0; i < 500; ++i) {
    const double p = random.uniform(0.0, 900.0);
    const double plain = lutum::solve<double>(unknown, Cubic{}, {0.0, 10.0, 1.0}, p);
    ASSERT_TRUE(same_bits(plain, lutum::solve<dual<4>>(unknown, Cubic{}, {0.0, 10.0, 1.0}, dual<4>::seed(p, 0)).value));
    ASSERT_TRUE(same_bits(plain, lutum::solve<lutum::traced>(unknown, Cubic{}, {0.0, 10.0, 1.0}, trace.input(p, input, "p")).value));
    ASSERT_TRUE(same_bits(plain, lutum::solve<lutum::traced>(unknown, Cubic{}, {0.0, 10.0, 1.0}, lutum::traced(p)).value));
  }
}

TEST(Solve, TracesOneNodeWithBracketEquationAndResidual) {
  lutum::Trace trace;
  const lutum::Variable input{.name = "p", .symbol = "p", .meaning = "parameter"};
  const auto z = lutum::solve<lutum::traced>(unknown, Cubic{}, {0.0, 10.0, 1.0}, trace.input(10.0, input, "p"));
  ASSERT_NE(z.node, nullptr);
  int solves = 0;
  for (const lutum::Node& n : trace.nodes()) solves += n.operation == lutum::Operation::solve;
  EXPECT_EQ(solves, 1);
  EXPECT_EQ(z.node->operation, lutum::Operation::solve);
  EXPECT_TRUE(z.node->named);
  EXPECT_EQ(z.node->symbol, "z");
  EXPECT_EQ(z.node->bracket[0], 0.0);
  EXPECT_EQ(z.node->bracket[1], 10.0);
  EXPECT_NEAR(z.node->residual, 0.0, 1e-14);
  ASSERT_NE(z.node->first, nullptr);
  EXPECT_EQ(z.node->first->operation, lutum::Operation::subtract);  // z^3 + z - p
  EXPECT_TRUE(trace.faults().empty());
}

}  // namespace
