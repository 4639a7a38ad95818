// Derivatives carried forward: against central differences, against identities, against Eigen's own scalar; and the
// value keeps the bits of the plain number.
#include <gtest/gtest.h>

#include <Eigen/Core>
#include <unsupported/Eigen/AutoDiff>

#include "lutum/lutum.hpp"
#include "support.hpp"

namespace {

using lutum::dual;
using support::nan;
using support::near;
using support::Random;
using support::same_bits;

template <class F>
void expect_derivatives(const F& f, double low, double high) {
  Random random(11);
  for (int i = 0; i < 2000; ++i) {
    const double x = random.uniform(low, high), y = random.uniform(low, high);
    using D = dual<3>;
    const D r = f(D::seed(x, 0), D::seed(y, 2));
    ASSERT_TRUE(same_bits(r.value, f(x, y))) << x << ", " << y;
    const double h = 1e-6 * std::fmax(1.0, std::fabs(x)), k = 1e-6 * std::fmax(1.0, std::fabs(y));
    const double by_x = (f(x + h, y) - f(x - h, y)) / (2 * h), by_y = (f(x, y + k) - f(x, y - k)) / (2 * k);
    const double scale = 1e-9 * std::fabs(r.value);
    ASSERT_TRUE(near(r.slope[0], by_x, 1e-6, scale)) << x << ", " << y << ": " << r.slope[0] << " against " << by_x;
    ASSERT_TRUE(near(r.slope[2], by_y, 1e-6, scale)) << x << ", " << y << ": " << r.slope[2] << " against " << by_y;
    ASSERT_EQ(r.slope[1], 0.0);  // nobody's seed
  }
}

TEST(Dual, AgreesWithCentralDifferencesInEveryOperation) {
  expect_derivatives([](auto x, auto y) { return x + y; }, -5.0, 5.0);
  expect_derivatives([](auto x, auto y) { return x - y; }, -5.0, 5.0);
  expect_derivatives([](auto x, auto y) { return x * y; }, -5.0, 5.0);
  expect_derivatives([](auto x, auto y) { return x / y; }, 0.5, 5.0);
  expect_derivatives([](auto x, auto y) { return -x * -y; }, -5.0, 5.0);
  expect_derivatives([](auto x, auto y) { return lutum::exp(x) * y; }, -3.0, 3.0);
  expect_derivatives([](auto x, auto y) { return lutum::log(x) / y; }, 0.5, 9.0);
  expect_derivatives([](auto x, auto y) { return lutum::sqrt(x) + y; }, 0.5, 9.0);
  expect_derivatives([](auto x, auto y) { return lutum::square(x) - lutum::square(y); }, -5.0, 5.0);
  expect_derivatives([](auto x, auto y) { return lutum::abs(x) * y; }, -5.0, -0.1);
  expect_derivatives([](auto x, auto y) { return lutum::abs(x) * y; }, 0.1, 5.0);
  expect_derivatives([](auto x, auto y) { return lutum::pow(x, y); }, 0.5, 3.0);
  expect_derivatives([](auto x, auto y) { return lutum::exp(lutum::sqrt(x) * lutum::log(y)) / (x + y) - 2.0 * x; }, 0.5, 4.0);
}

TEST(Dual, KeepsIdentities) {
  Random random(12);
  for (int i = 0; i < 2000; ++i) {
    const auto x = dual<1>::seed(random.uniform(0.2, 4.0), 0);
    ASSERT_NEAR(log(exp(x)).slope[0], 1.0, 1e-14);
    ASSERT_NEAR(square(sqrt(x)).slope[0], 1.0, 1e-14);
    ASSERT_NEAR((x / x).slope[0], 0.0, 1e-15 / x.value);
    ASSERT_EQ((x - x).slope[0], 0.0);
    ASSERT_EQ(exp(x).slope[0], lutum::exp(x.value));
    ASSERT_EQ(square(x).slope[0], 2.0 * x.value);
    ASSERT_TRUE(near(pow(x, dual<1>(3.0)).slope[0], 3.0 * x.value * x.value, 1e-14));
  }
}

TEST(Dual, SelectsSlopesWithValues) {
  const auto a = dual<2>::seed(1.0, 0), b = dual<2>::seed(2.0, 1);
  EXPECT_EQ(select(a < b, a, b).slope[0], 1.0);
  EXPECT_EQ(select(a > b, a, b).slope[1], 1.0);
  EXPECT_EQ(select(a > b, a, b).slope[0], 0.0);
  EXPECT_EQ(larger(a, b).slope[1], 1.0);
  EXPECT_EQ(larger(a, b).slope[0], 0.0);
  EXPECT_EQ(smaller(a, b).slope[0], 1.0);
  EXPECT_TRUE(std::isnan(larger(a, dual<2>(nan)).value));
  EXPECT_TRUE(std::isnan(larger(dual<2>(nan), a).value));
  EXPECT_TRUE(a <= b && b >= a && !(a == b) && a == a);
}

TEST(Dual, SeedsOnlyWithinItsChunk) {
  for (int i : {-3, -1, 2, 7}) {
    const auto x = dual<2>::seed(5.0, i);
    EXPECT_EQ(x.value, 5.0);
    EXPECT_EQ(x.slope[0], 0.0);
    EXPECT_EQ(x.slope[1], 0.0);
  }
  EXPECT_EQ(dual<2>(3.0).slope[1], 0.0);
  EXPECT_EQ(dual<2>::constant(3.0).slope[0], 0.0);
}

template <class T>
T mixed(const T& x, const T& y) {
  const T s = lutum::exp(x) + lutum::pow(y, x) * lutum::sqrt(y);
  return lutum::select(x < y, s / (x + T(3.0)), lutum::log(s) * lutum::abs(x - y));
}

TEST(Dual, OfPacksGivesTheBitsOfDualOfDouble) {
  constexpr int W = lutum::native_width;
  using P = lutum::pack<W>;
  Random random(13);
  for (int i = 0; i < 500; ++i) {
    P x, y;
    for (int k = 0; k < W; ++k) x.lane[k] = random.uniform(0.1, 3.0), y.lane[k] = random.uniform(0.1, 3.0);
    if (i % 7 == 0) x.lane[i % W] = nan;
    const auto together = mixed(dual<2, P>::seed(x, 0), dual<2, P>::seed(y, 1));
    for (int k = 0; k < W; ++k) {
      const auto alone = mixed(dual<2>::seed(x.lane[k], 0), dual<2>::seed(y.lane[k], 1));
      ASSERT_TRUE(same_bits(together.value.lane[k], alone.value));
      ASSERT_TRUE(same_bits(together.slope[0].lane[k], alone.slope[0]));
      ASSERT_TRUE(same_bits(together.slope[1].lane[k], alone.slope[1]));
    }
  }
}

TEST(Dual, AgreesWithEigensScalar) {
  using E = Eigen::AutoDiffScalar<Eigen::Vector3d>;
  using D = dual<3>;
  const lutum::hydraulics::SlotPressureGradient::VelocityBalance balance;
  Random random(14);
  for (int i = 0; i < 500; ++i) {
    const double z = random.uniform(-1.0, 3.0), a = random.uniform(0.8, 5.0), b = random.uniform(0.0, 10.0);
    const D ours = balance(D::seed(z, 0), D::seed(a, 1), D::seed(b, 2));
    const E theirs = balance(E(z, 3, 0), E(a, 3, 1), E(b, 3, 2));
    ASSERT_TRUE(near(ours.value, theirs.value(), 1e-13, 1e-13));
    for (int s = 0; s < 3; ++s) ASSERT_TRUE(near(ours.slope[s], theirs.derivatives()[s], 1e-12, 1e-13)) << s;
  }
}

TEST(Dual, RootAtZeroLeavesOtherInputsAlone) {
  using D = lutum::dual<2>;
  const D r = lutum::sqrt(D::seed(0.0, 0));
  EXPECT_EQ(r.value, 0.0);
  EXPECT_TRUE(std::isinf(r.slope[0]));
  EXPECT_EQ(r.slope[1], 0.0);
}

}  // namespace
