// Least squares against certified answers (NIST), flow-curve fits against each other and against the fast fit, bounds and residuals.
#include <gtest/gtest.h>

#include <iostream>

#include "lutum/fitting/flow_curve_fit.hpp"
#include "lutum/fitting/gel_growth.hpp"
#include "nist_problems.hpp"
#include "support.hpp"

namespace {

using lutum::rheology::FlowModel;
using lutum::rheology::Weighting;
using namespace lutum::fitting;
using support::near;
using support::Random;

VectorXd vector(const std::vector<double>& x) { return Eigen::Map<const VectorXd>(x.data(), static_cast<Index>(x.size())); }

template <int N, class Model>
Problem problem_of(const nist::Certified& c, Model model) {
  Problem p;
  p.evaluate = curve<N>(model, vector(c.x));
  p.observed = vector(c.y);
  p.spread = VectorXd::Ones(p.observed.size());
  p.bounds.resize(N);
  p.typical = vector(c.parameters).cwiseAbs();
  return p;
}

// The certified values are printed with eleven digits.
void expect_certified(const Solution& s, const nist::Certified& c, double relative) {
  EXPECT_TRUE(s.converged);
  EXPECT_TRUE(near(s.weighted_sum_of_squares, c.residual_sum_of_squares, relative)) << s.weighted_sum_of_squares;
  for (std::size_t j = 0; j < c.parameters.size(); ++j) {
    const Index i = static_cast<Index>(j);
    EXPECT_TRUE(near(s.parameters[i], c.parameters[j], relative)) << s.parameters[i];
    EXPECT_TRUE(near(std::sqrt(s.covariance(i, i)), c.standard_deviations[j], relative)) << std::sqrt(s.covariance(i, i));
  }
  EXPECT_EQ(s.degrees_of_freedom, static_cast<Index>(c.x.size() - c.parameters.size()));
}

struct PowerLaw {
  template <class P>
  auto operator()(double x, const P& b) const {
    using lutum::pow;
    using T = typename P::value_type;
    return b[0] * pow(T(x), b[1]);
  }
};
struct ShiftedPower {
  template <class P>
  auto operator()(double x, const P& b) const {
    using lutum::pow;
    using T = typename P::value_type;
    return b[0] * pow(b[1] + T(x), -T(1.0) / b[2]);
  }
};

TEST(Certified, DanwoodFromBothStarts) {
  const auto& c = nist::danwood;
  for (const auto& start : c.starts) expect_certified(least_squares(problem_of<2>(c, PowerLaw{}), {vector(start)}), c, 2e-10);
}

TEST(Certified, DanwoodAsAFlowCurve) {
  const auto fit = FlowCurveFitter(FlowModel::power_law, {.bounds = {{0.0, 10.0}, {0.1, 10.0}}})(vector(nist::danwood.x), vector(nist::danwood.y));
  expect_certified(fit.solution, nist::danwood, 2e-10);
}

TEST(Certified, Misra1aAndBoxbodAsGelGrowthWithoutAStart) {
  expect_certified(fit_gel_growth(vector(nist::misra1a.x), vector(nist::misra1a.y)).solution, nist::misra1a, 2e-10);
  expect_certified(fit_gel_growth(vector(nist::boxbod.x), vector(nist::boxbod.y)).solution, nist::boxbod, 2e-10);
  for (const auto& start : nist::misra1a.starts)
    expect_certified(least_squares(problem_of<2>(nist::misra1a, GelGrowth{}), {vector(start)}), nist::misra1a, 2e-10);
}

// Far from its solution the valley is long: from the first start alone it is reached only by going on.
TEST(Certified, Bennett5) {
  const auto& c = nist::bennett5;
  expect_certified(least_squares(problem_of<3>(c, ShiftedPower{}), {vector(c.starts[0]), vector(c.starts[1])}), c, 2e-9);
}

// A straight line is linear algebra; with a bound the other parameter is fitted alone.
TEST(LeastSquares, HoldsAndReleasesBounds) {
  Problem p;
  const VectorXd x = vector({1, 2, 3, 4});
  p.observed = vector({1.0, 2.9, 5.1, 7.0});
  p.spread = VectorXd::Ones(4);
  p.typical = VectorXd::Ones(2);
  p.evaluate = curve<2>([](double at, const auto& b) { return b[0] + b[1] * std::decay_t<decltype(b[0])>(at); }, x);
  p.bounds.resize(2);
  const Solution open = least_squares(p, {vector({5.0, 5.0})});
  EXPECT_TRUE(near(open.parameters[0], -1.05, 1e-13, 1e-13));
  EXPECT_TRUE(near(open.parameters[1], 2.02, 1e-13));
  EXPECT_TRUE(near(open.covariance(1, 1), open.weighted_sum_of_squares / 2.0 / 5.0, 1e-12));
  p.bounds = {Bounds{0.0, 10.0}, Bounds{0.0, 10.0}};
  for (const auto& start : {vector({5.0, 5.0}), vector({0.0, 0.0}), vector({10.0, 10.0}), vector({0.0, 10.0})}) {
    const Solution s = least_squares(p, {start});
    EXPECT_TRUE(s.converged);
    EXPECT_EQ(s.states[0], ParameterState::at_low);
    EXPECT_EQ(s.parameters[0], 0.0);
    EXPECT_TRUE(near(s.parameters[1], x.dot(p.observed) / x.squaredNorm(), 1e-13));
    EXPECT_EQ(s.covariance(0, 0), 0.0);
    EXPECT_EQ(s.degrees_of_freedom, 3);
  }
  p.bounds = {Bounds{-2.0, 10.0}, Bounds{0.0, 1.5}};
  const Solution s = least_squares(p, {vector({-2.0, 0.0})});  // starts on a bound that it has to leave
  EXPECT_EQ(s.states[0], ParameterState::free);
  EXPECT_EQ(s.states[1], ParameterState::at_high);
  EXPECT_TRUE(near(s.parameters[0], p.observed.mean() - 1.5 * x.mean(), 1e-12));
}

TEST(LeastSquares, KnownSpreadsGiveTheCovarianceWithoutTheScatter) {
  const auto& c = nist::misra1a;
  Problem p = problem_of<2>(c, GelGrowth{});
  const Solution told = least_squares(p, {vector(c.starts[1])});
  p.spread_is_known = true;
  p.spread *= 0.1;
  const Solution known = least_squares(p, {vector(c.starts[1])});
  const double variance = c.residual_sum_of_squares / 12.0;
  EXPECT_TRUE(near(known.covariance(0, 0) / 0.01, told.covariance(0, 0) / variance, 1e-8));
  EXPECT_TRUE(near(known.correlation()(0, 1), told.correlation()(0, 1), 1e-10));
}

// Studentized residuals against their definition, with the curve fitted to the others: exact for a line.
TEST(Judgement, StudentizedResidualsAreThoseOfTheFitToTheOthers) {
  const VectorXd rate = vector({5, 10, 100, 200, 300, 600}), stress = vector({5.3, 5.1, 8.4, 11.0, 13.6, 23.9});
  const FlowCurveFit fit = FlowCurveFitter(FlowModel::bingham)(rate, stress);
  for (Index i = 0; i < 6; ++i) {
    VectorXd others = stress;
    others[i] = lutum::not_a_number;
    const FlowCurveFit without = FlowCurveFitter(FlowModel::bingham)(rate, others);
    const double scatter = std::sqrt(without.solution.weighted_sum_of_squares / 3.0);
    const double error = std::sqrt(without.stress_variance(rate[i]) + scatter * scatter);
    EXPECT_TRUE(near(fit.studentized[i], (stress[i] - without.stress(rate[i])) / error, 1e-10)) << i;
  }
  EXPECT_EQ(fit.suspect, -1);
  VectorXd wrong = stress;
  wrong[2] += 6.0;
  EXPECT_EQ(FlowCurveFitter(FlowModel::bingham)(rate, wrong).suspect, 2);
}

// Two roads to the same minimum: this one, and the root of the slope in the flow index of the calculation.
TEST(FlowCurveFits, AgreeWithTheFastFit) {
  using Fast = lutum::rheology::YieldPowerLawFit;
  Random random(20);
  const VectorXd rate = vector({1021.377, 510.6885, 340.459, 170.2295, 10.21377, 5.106885});
  double index = 0.0, others = 0.0;
  for (int record = 0; record < support::repeats(300); ++record) {
    const double yield = random.uniform(0, 8), consistency = random.log_uniform(0.05, 2), flow_index = random.uniform(0.3, 1.0);
    VectorXd stress(6);
    Fast::Input<double> in;
    for (Index i = 0; i < 6; ++i) {
      stress[i] = (yield + consistency * std::pow(rate[i], flow_index)) * random.uniform(0.97, 1.03);
      in.shear_rate[static_cast<std::size_t>(i)] = rate[i];
      in.shear_stress[static_cast<std::size_t>(i)] = stress[i];
    }
    for (const Weighting weighting : {Weighting::equal, Weighting::relative}) {
      const auto fast = Fast::evaluate<double>(in, weighting);
      const FitOptions options{.weighting = weighting, .bounds = {{in.lowest_yield_stress, in.highest_yield_stress}, {0.0, lutum::infinity},
                                                                  {in.lowest_flow_index, in.highest_flow_index}}};
      const VectorXd p = FlowCurveFitter(FlowModel::yield_power_law, options)(rate, stress).solution.parameters;
      index = std::fmax(index, std::fabs(fast.flow_index - p[2]));
      others = std::fmax(others, std::fabs(fast.yield_stress - p[0]) / stress.maxCoeff());
      others = std::fmax(others, std::fabs(fast.consistency / p[1] - 1.0));
    }
  }
  EXPECT_LT(index, 1e-9);
  EXPECT_LT(others, 5e-9);
  std::cout << "largest difference: flow index " << index << ", others " << others << " of their size\n";
}

// Rates in another unit of time, bounds with them: the same curve.
TEST(FlowCurveFits, FollowTheScaleOfTheRates) {
  const VectorXd rate = vector({1, 3, 10, 30, 100, 300, 1000}), stress = vector({4.1, 4.9, 6.2, 8.8, 13.5, 22.0, 41.0});
  constexpr double unit = 1e-3;
  for (int m = 0; m < 10; ++m) {
    const auto model = static_cast<FlowModel>(m);
    FitOptions options;
    options.bounds = default_bounds(model);
    const auto parameters = lutum::rheology::parameters_of(model);
    for (std::size_t j = 0; j < parameters.size(); ++j) {
      const double factor = parameters[j].name == "rate_shift" ? unit : parameters[j].name == "relaxation_time" ? 1.0 / unit : 1.0;
      options.bounds[j] = {options.bounds[j].low * factor, options.bounds[j].high * factor};
    }
    const FlowCurveFit one = FlowCurveFitter(model)(rate, stress), other = FlowCurveFitter(model, options)(unit * rate, stress);
    EXPECT_TRUE(one.solution.converged && other.solution.converged) << m;
    EXPECT_TRUE(near(one.sum_of_squares, other.sum_of_squares, 1e-9)) << m << ": " << one.sum_of_squares << ", " << other.sum_of_squares;
  }
}

}  // namespace
