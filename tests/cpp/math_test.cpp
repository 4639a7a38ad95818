// exp, log and pow against long double, and every lane of a pack against double.
#include <gtest/gtest.h>

#include <vector>

#include "support.hpp"

namespace {

using support::inf;
using support::nan;
using support::Random;
using support::same_bits;
using support::ulps;

constexpr double smallest = std::numeric_limits<double>::min();
constexpr double tiniest = std::numeric_limits<double>::denorm_min();
constexpr double largest = std::numeric_limits<double>::max();

double worst_exp(double low, double high, int count) {
  Random random(1);
  double worst = 0.0;
  for (int i = 0; i < count; ++i) {
    const double x = random.uniform(low, high);
    worst = std::fmax(worst, ulps(lutum::exp(x), std::exp(static_cast<long double>(x))));
  }
  return worst;
}

TEST(Exp, IsBelowOneUlpWhereResultsAreNormal) {
  EXPECT_LT(worst_exp(-708.0, 709.7, 200000), 1.0);
  EXPECT_LT(worst_exp(-1.0, 1.0, 200000), 1.0);
  EXPECT_LT(worst_exp(-1e-8, 1e-8, 20000), 1.0);
}

TEST(Exp, IsBelowOneUlpWhereResultsAreSubnormal) { EXPECT_LT(worst_exp(-745.1, -708.0, 100000), 1.0); }

TEST(Exp, IsBelowOneUlpWhereTheReductionTurnsOver) {
  Random random(2);
  for (int n = -1070; n <= 1020; ++n) {
    double x = (n + 0.5) * 0.6931471805599453;
    for (int i = 0; i < 20; ++i, x = std::nextafter(x, inf)) ASSERT_LT(ulps(lutum::exp(x), std::exp(static_cast<long double>(x))), 1.0) << x;
  }
}

TEST(Exp, HandlesSpecialInputs) {
  EXPECT_EQ(lutum::exp(0.0), 1.0);
  EXPECT_EQ(lutum::exp(-0.0), 1.0);
  EXPECT_EQ(lutum::exp(tiniest), 1.0);
  EXPECT_EQ(lutum::exp(inf), inf);
  EXPECT_EQ(lutum::exp(-inf), 0.0);
  EXPECT_TRUE(std::isnan(lutum::exp(nan)));
  EXPECT_LT(lutum::exp(709.782712893384), inf);
  EXPECT_EQ(lutum::exp(709.782712893385), inf);
  EXPECT_EQ(lutum::exp(1e300), inf);
  EXPECT_EQ(lutum::exp(-745.13), tiniest);
  EXPECT_EQ(lutum::exp(-745.14), 0.0);
  EXPECT_EQ(lutum::exp(-1e300), 0.0);
}

TEST(Log, IsBelowOneUlpForEveryExponent) {
  Random random(3);
  for (int i = 0; i < 400000; ++i) {
    const double x = std::bit_cast<double>(random.bits() >> 1);  // any positive bit pattern, subnormals included
    if (!(x < inf)) continue;
    ASSERT_LT(ulps(lutum::log(x), std::log(static_cast<long double>(x))), 1.0) << x;
  }
}

TEST(Log, IsBelowOneUlpNearOneAndBelowTheNormalNumbers) {
  Random random(4);
  for (int i = 0; i < 200000; ++i) {
    const double near_one = random.uniform(0.5, 2.0), subnormal = random.log_uniform(tiniest * 8, smallest);
    ASSERT_LT(ulps(lutum::log(near_one), std::log(static_cast<long double>(near_one))), 1.0) << near_one;
    ASSERT_LT(ulps(lutum::log(subnormal), std::log(static_cast<long double>(subnormal))), 1.0) << subnormal;
  }
  double up = 1.0, down = 1.0;
  for (int i = 0; i < 1000; ++i, up = std::nextafter(up, 2.0), down = std::nextafter(down, 0.0)) {
    ASSERT_LT(ulps(lutum::log(up), std::log(static_cast<long double>(up))), 1.0) << up;
    ASSERT_LT(ulps(lutum::log(down), std::log(static_cast<long double>(down))), 1.0) << down;
  }
}

TEST(Log, HandlesSpecialInputs) {
  EXPECT_EQ(lutum::log(1.0), 0.0);
  EXPECT_EQ(lutum::log(0.0), -inf);
  EXPECT_EQ(lutum::log(-0.0), -inf);
  EXPECT_EQ(lutum::log(inf), inf);
  EXPECT_LT(ulps(lutum::log(largest), std::log(static_cast<long double>(largest))), 1.0);
  EXPECT_LT(ulps(lutum::log(tiniest), std::log(static_cast<long double>(tiniest))), 1.0);
  for (const double x : {-tiniest, -1.0, -largest, -inf, nan}) EXPECT_TRUE(std::isnan(lutum::log(x))) << x;
}

TEST(Pow, KeepsItsErrorBound) {
  Random random(5);
  for (int i = 0; i < 400000; ++i) {
    const double x = random.log_uniform(1e-30, 1e30), y = random.uniform(-8.0, 8.0);
    const long double exact = std::pow(static_cast<long double>(x), static_cast<long double>(y));
    if (exact > 1e300L || exact < 1e-300L) continue;
    const double error = static_cast<double>(std::fabs((lutum::pow(x, y) - exact) / exact));
    // log, the product and exp each round: 1, 1/2 and 1 units of the last place at most.
    ASSERT_LE(error, 2.3e-16 + 3.4e-16 * std::fabs(y * std::log(x))) << x << " to the power " << y;
  }
}

TEST(Pow, HandlesSpecialInputs) {
  EXPECT_EQ(lutum::pow(1.0, 123.0), 1.0);
  EXPECT_EQ(lutum::pow(7.0, 0.0), 1.0);
  EXPECT_EQ(lutum::pow(0.0, 0.7), 0.0);
  EXPECT_EQ(lutum::pow(0.0, -0.7), inf);
  EXPECT_TRUE(std::isnan(lutum::pow(-2.0, 0.5)));
  EXPECT_TRUE(std::isnan(lutum::pow(nan, 0.5)));
  EXPECT_TRUE(std::isnan(lutum::pow(2.0, nan)));
}

// The same bits from every compiler and at every optimisation: a sum over the bits of many results, as first written
// down for GCC 12. It changes only when the functions do.
TEST(Bits, AreThoseOfEveryOtherCompiler) {
  Random random(7);
  std::uint64_t sum = 0;
  const auto add = [&](double x) { sum = (sum ^ std::bit_cast<std::uint64_t>(x)) * 0x100000001b3ULL; };
  for (int i = 0; i < 100000; ++i) {
    const double x = random.uniform(-700.0, 700.0), y = std::bit_cast<double>(random.bits() >> 2 | 1), z = random.uniform(-3.0, 3.0);
    add(lutum::exp(x));
    add(lutum::log(y));
    add(lutum::pow(random.uniform(0.001, 1000.0), z));
  }
  EXPECT_EQ(sum, 17248726290004319591u);
}

TEST(LargerSmaller, KeepMissingOnEitherSide) {
  for (const double other : {1.0, -inf, inf}) {
    EXPECT_TRUE(std::isnan(lutum::larger(nan, other)));
    EXPECT_TRUE(std::isnan(lutum::larger(other, nan)));
    EXPECT_TRUE(std::isnan(lutum::smaller(nan, other)));
    EXPECT_TRUE(std::isnan(lutum::smaller(other, nan)));
  }
  EXPECT_EQ(lutum::larger(2.0, 3.0), 3.0);
  EXPECT_EQ(lutum::larger(3.0, 2.0), 3.0);
  EXPECT_EQ(lutum::smaller(2.0, 3.0), 2.0);
  EXPECT_EQ(lutum::smaller(3.0, 2.0), 2.0);
}

TEST(AbsSquareSqrt, AreExact) {
  EXPECT_EQ(lutum::abs(-3.0), 3.0);
  EXPECT_EQ(lutum::abs(3.0), 3.0);
  EXPECT_EQ(lutum::abs(-inf), inf);
  EXPECT_TRUE(std::isnan(lutum::abs(nan)));
  EXPECT_EQ(lutum::square(-3.0), 9.0);
  EXPECT_EQ(lutum::sqrt(2.25), 1.5);
  EXPECT_TRUE(std::isnan(lutum::sqrt(-1.0)));
}

// Numbers of every kind, in an order that puts unlike ones side by side in a pack.
std::vector<double> all_kinds() {
  std::vector<double> x{0.0,  -0.0,   1.0,   -1.0,  nan,    inf,     -inf,  tiniest, -tiniest, smallest, largest,
                        -1e3, 709.78, 709.8, 745.1, -745.1, -745.14, 1e-20, 0.5,     1.4142,   1.4143,   1e300};
  Random random(6);
  for (int i = 0; i < 4000; ++i) x.push_back(std::bit_cast<double>(random.bits()));
  for (int i = 0; i < 4000; ++i) x.push_back(random.uniform(-30.0, 30.0));
  return x;
}

template <int W, class OnPack, class OnDouble>
void expect_lanes(const OnPack& on_pack, const OnDouble& on_double) {
  const std::vector<double> a = all_kinds();
  std::vector<double> b(a.rbegin(), a.rend());
  for (std::size_t i = 0; i + W <= a.size(); ++i) {
    lutum::pack<W> x, y;
    for (int k = 0; k < W; ++k) x.lane[k] = a[i + static_cast<std::size_t>(k)], y.lane[k] = b[i + static_cast<std::size_t>(k)];
    const lutum::pack<W> r = on_pack(x, y);
    for (int k = 0; k < W; ++k) {
      const double p = x.lane[k], q = y.lane[k], got = r.lane[k];
      ASSERT_TRUE(same_bits(got, on_double(p, q))) << p << " and " << q << " give " << got << " in lane " << k;
    }
  }
}

// The same expression for both: `f` is generic.
template <class F>
void expect_same(const F& f) {
  expect_lanes<2>(f, f);
  expect_lanes<lutum::native_width>(f, f);
}

TEST(Pack, GivesTheBitsOfDoubleInEveryLane) {
  expect_same([](auto x, auto y) { return x + y; });
  expect_same([](auto x, auto y) { return x - y; });
  expect_same([](auto x, auto y) { return x * y; });
  expect_same([](auto x, auto y) { return x / y; });
  expect_same([](auto x, auto) { return -x; });
  expect_same([](auto x, auto) { return lutum::exp(x); });
  expect_same([](auto x, auto) { return lutum::log(x); });
  expect_same([](auto x, auto) { return lutum::sqrt(x); });
  expect_same([](auto x, auto) { return lutum::abs(x); });
  expect_same([](auto x, auto) { return lutum::square(x); });
  expect_same([](auto x, auto y) { return lutum::pow(x, y); });
  expect_same([](auto x, auto y) { return lutum::larger(x, y); });
  expect_same([](auto x, auto y) { return lutum::smaller(x, y); });
  expect_same([](auto x, auto y) { return lutum::select(x < y, x, y); });
  expect_same([](auto x, auto y) { return lutum::select(x > y, x, y); });
  expect_same([](auto x, auto y) { return lutum::select(x <= y, x, y); });
  expect_same([](auto x, auto y) { return lutum::select(x >= y, x, y); });
  expect_same([](auto x, auto y) { return lutum::select(x == y, x, y); });
  expect_same([](auto x, auto y) { return lutum::select((!(x < y)) & (x == x), x, y); });
  expect_same([](auto x, auto y) { return lutum::select((x < y) | (y == y), x, y); });
}

TEST(Pack, AnyAndAllLookAtEveryLane) {
  constexpr int W = lutum::native_width;
  const lutum::pack<W> zero(0.0);
  EXPECT_TRUE(all(zero == zero));
  EXPECT_FALSE(any(zero < zero));
  for (int k = 0; k < W; ++k) {
    lutum::pack<W> x(0.0);
    x.lane[k] = 1.0;
    EXPECT_TRUE(any(x > zero)) << k;
    EXPECT_FALSE(all(x > zero)) << k;
    EXPECT_FALSE(all(x == zero)) << k;
  }
}

}  // namespace
