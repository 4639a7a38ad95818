// What the residuals of a fit tell: a reading that does not belong, and how much evidence there is for one model against another.
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lutum/fitting/least_squares.hpp"

namespace lutum::inline LUTUM_ISA_TAG::fitting {

enum class FitStatus : std::int8_t {
  fitted,
  at_bound,          // the best curve lies on a bound
  flat,              // the readings do not rise
  not_identifiable,  // other parameters serve as well: the curve may be used, its parameters not
  too_few_readings,  // fewer different points than parameters: no fit
  suspect_reading,   // one reading lies off the curve of the others
  not_converged,
};
inline constexpr std::array<std::string_view, 7> fit_status_names{"fitted",           "at_bound",        "flat",         "not_identifiable",
                                                                 "too_few_readings", "suspect_reading", "not_converged"};

// How many values differ from each other.
inline Index different(const VectorXd& x) {
  std::vector<double> sorted(x.data(), x.data() + x.size());
  std::sort(sorted.begin(), sorted.end());
  return std::unique(sorted.begin(), sorted.end()) - sorted.begin();
}

// The readings do not rise with x: their weighted straight line does not. One place shows neither.
inline bool falls_or_stays(const Problem& problem, const VectorXd& x) {
  if (different(x) < 2) return false;
  const VectorXd w = problem.spread.array().square().inverse();
  const double mean_x = w.dot(x) / w.sum(), mean_y = w.dot(problem.observed) / w.sum();
  const double rise = (w.array() * (x.array() - mean_x) * (problem.observed.array() - mean_y)).sum();
  const double spread_x = (w.array() * (x.array() - mean_x).square()).sum();
  return rise * sqrt(spread_x) <= 1e-12 * spread_x * sqrt(w.dot(problem.observed.cwiseAbs2()));
}

// The probability that Student's t with this many degrees of freedom lies further from zero: the finite sums for whole degrees
// (Abramowitz and Stegun 26.7.3 and 26.7.4, from memory; held against SciPy).
inline double two_sided_t(double t, Index degrees_of_freedom) {
  if (degrees_of_freedom < 1 || !(t == t)) return not_a_number;
  const double theta = std::atan(abs(t) / sqrt(static_cast<double>(degrees_of_freedom)));
  const double sine = std::sin(theta), cosine = std::cos(theta);
  const bool odd = degrees_of_freedom % 2 != 0;
  double term = odd ? cosine : 1.0, sum = 0.0;
  for (Index i = odd ? 3 : 2; i <= degrees_of_freedom; i += 2) {
    sum += term;
    term *= cosine * cosine * static_cast<double>(i - 1) / static_cast<double>(i);
  }
  const double within = odd ? 2.0 / std::numbers::pi * (theta + sine * sum) : sine * sum;
  return within < 1.0 ? 1.0 - within : 0.0;
}

// Residuals against the scatter that the other readings show, each freed of its own pull on the curve (linear near the solution).
// Missing where fewer than one degree of freedom would be left.
inline VectorXd studentized_residuals(const Problem& problem, const Solution& s) {
  const Index points = problem.observed.size();
  VectorXd t = VectorXd::Constant(points, not_a_number);
  if (s.degrees_of_freedom < 2) return t;
  std::vector<Index> free;
  for (std::size_t j = 0; j < s.states.size(); ++j)
    if (s.states[j] == ParameterState::free) free.push_back(static_cast<Index>(j));
  VectorXd pull = VectorXd::Zero(points);
  if (!free.empty()) {
    MatrixXd jacobian(points, static_cast<Index>(free.size()));
    for (std::size_t k = 0; k < free.size(); ++k) {
      auto column = jacobian.col(static_cast<Index>(k));
      column = s.slopes.col(free[k]).cwiseQuotient(problem.spread);
      column /= column.norm();
    }
    if (!jacobian.allFinite()) return t;
    const MatrixXd q = jacobian.householderQr().householderQ() * MatrixXd::Identity(points, jacobian.cols());
    pull = q.rowwise().squaredNorm();
  }
  for (Index i = 0; i < points; ++i) {
    const double r = s.residuals[i] / problem.spread[i], own = 1.0 - pull[i];
    if (!(own > 1e-9)) continue;  // the curve goes through this reading whatever it is
    const double others = (s.weighted_sum_of_squares - r * r / own) / static_cast<double>(s.degrees_of_freedom - 1);
    t[i] = others > 0.0 ? r / sqrt(others * own) : r > 0.0 ? infinity : -infinity;
  }
  return t;
}

// The one reading without which the scatter is least, if chance would set one of so many as far off in less than 5 of 100 sets; else -1.
inline Index suspect_reading(const Problem& problem, const Solution& s, const VectorXd& studentized) {
  constexpr double level = 0.05, round_off = 1e-9;
  const double size = problem.observed.cwiseQuotient(problem.spread).norm();
  if (s.degrees_of_freedom < 2 || !(sqrt(s.weighted_sum_of_squares) > round_off * size)) return -1;
  Index worst = -1;
  for (Index i = 0; i < studentized.size(); ++i)
    if (studentized[i] == studentized[i] && (worst < 0 || abs(studentized[i]) > abs(studentized[worst]))) worst = i;
  if (worst < 0) return -1;
  const double chance = two_sided_t(studentized[worst], s.degrees_of_freedom - 1) * static_cast<double>(studentized.size());
  return chance < level ? worst : -1;
}

// Akaike's criterion corrected for few readings (Hurvich and Tsai, from memory), for normal errors. All parameters of the model
// count, on a bound or not; so does the variance where the residuals tell it. Infinite where too few readings are left to correct with.
inline double corrected_akaike(const Problem& problem, const Solution& s) {
  const auto points = static_cast<double>(problem.observed.size());
  const double k = static_cast<double>(s.parameters.size()) + (problem.spread_is_known ? 0.0 : 1.0);
  if (points - k - 1.0 <= 0.0) return infinity;
  const double correction = 2.0 * k + 2.0 * k * (k + 1.0) / (points - k - 1.0);
  if (problem.spread_is_known) return s.weighted_sum_of_squares + correction;
  // Residuals at round-off tell no variance: a floor keeps exact data from deciding by noise.
  const double floor = 1e-20 * problem.observed.cwiseQuotient(problem.spread).squaredNorm();
  const double sum = s.weighted_sum_of_squares > floor ? s.weighted_sum_of_squares : floor;
  return sum > 0.0 ? points * log(sum / points) + correction : infinity;
}

// The share of the evidence that each model has among those given; zero for one whose criterion is infinite or missing.
inline std::vector<double> akaike_weights(const std::vector<double>& criteria) {
  double least = infinity;
  for (const double c : criteria)
    if (c < least) least = c;
  std::vector<double> weights;
  double sum = 0.0;
  for (const double c : criteria) {
    weights.push_back(c < infinity ? exp(-0.5 * (c - least)) : 0.0);
    sum += weights.back();
  }
  for (double& w : weights) w = sum > 0.0 ? w / sum : not_a_number;
  return weights;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::fitting
