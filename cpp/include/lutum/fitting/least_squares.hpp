// Weighted nonlinear least squares with a range for every parameter, and what the readings say about the parameters found.
#pragma once

#include <Eigen/SVD>

#include "lutum/fitting/bounded_search.hpp"

namespace lutum::inline LUTUM_ISA_TAG::fitting {

struct Solution {
  VectorXd parameters;
  double weighted_sum_of_squares = not_a_number;
  VectorXd residuals;  // observed less fitted, without weight
  std::vector<ParameterState> states;
  MatrixXd slopes;  // of the fitted values, without weight
  // Of the free parameters; a parameter on its bound counts as known and has zeros. With spreads that are known (J'WJ)^-1, else
  // times the variance that the residuals show; missing where no degree of freedom is left.
  MatrixXd covariance;
  Index degrees_of_freedom = 0;  // points less free parameters
  double condition = not_a_number;  // of the weighted slopes of the free parameters, their columns scaled to length one
  double last_step = infinity;      // of the closing Newton iteration, in parts of the change that each parameter needs to move the
                                    // fitted values by the observed ones
  bool converged = false;

  MatrixXd correlation() const {
    const VectorXd u = covariance.diagonal().cwiseSqrt();
    MatrixXd r = covariance;
    for (Index i = 0; i < r.rows(); ++i)
      for (Index j = 0; j < r.cols(); ++j) r(i, j) = i == j ? 1.0 : u[i] * u[j] == 0.0 ? 0.0 : r(i, j) / (u[i] * u[j]);
    return r;
  }
};

// What the data say about the parameters at `p`, those not free being held.
inline Solution describe(const Problem& problem, const VectorXd& p, const std::vector<ParameterState>& states) {
  Solution s;
  s.parameters = p;
  s.states = states;
  VectorXd fitted;
  problem.evaluate(p, fitted, &s.slopes);
  s.residuals = problem.observed - fitted;
  s.weighted_sum_of_squares = s.residuals.cwiseQuotient(problem.spread).squaredNorm();
  std::vector<Index> free;
  for (Index j = 0; j < p.size(); ++j)
    if (states[static_cast<std::size_t>(j)] == ParameterState::free) free.push_back(j);
  const Index n = static_cast<Index>(free.size()), points = problem.observed.size();
  s.degrees_of_freedom = points - n;
  s.covariance = MatrixXd::Zero(p.size(), p.size());
  if (n == 0) {
    s.condition = 1.0;
    return s;
  }
  MatrixXd jacobian(points, n);
  VectorXd length(n);
  for (Index k = 0; k < n; ++k) {
    jacobian.col(k) = s.slopes.col(free[static_cast<std::size_t>(k)]).cwiseQuotient(problem.spread);
    length[k] = jacobian.col(k).norm();
    jacobian.col(k) /= length[k];
  }
  MatrixXd covariance = MatrixXd::Constant(n, n, not_a_number);
  if (points >= n && jacobian.allFinite()) {
    const Eigen::JacobiSVD<MatrixXd> parts(jacobian, Eigen::ComputeThinU | Eigen::ComputeThinV);
    const VectorXd values = parts.singularValues();
    s.condition = values[n - 1] > 0.0 ? values[0] / values[n - 1] : infinity;
    if (s.degrees_of_freedom > 0 || problem.spread_is_known) {
      const double variance = problem.spread_is_known ? 1.0 : s.weighted_sum_of_squares / static_cast<double>(s.degrees_of_freedom);
      const MatrixXd root = parts.matrixV() * values.cwiseInverse().asDiagonal();
      covariance = variance * (root * root.transpose());
      for (Index a = 0; a < n; ++a)
        for (Index b = 0; b < n; ++b) covariance(a, b) /= length[a] * length[b];
    }
  }
  for (Index a = 0; a < n; ++a)
    for (Index b = 0; b < n; ++b) s.covariance(free[static_cast<std::size_t>(a)], free[static_cast<std::size_t>(b)]) = covariance(a, b);
  return s;
}

// Whether one solution is to be kept and not the other: the smaller sum of squares, of equals the one that arrived.
inline bool better(const Solution& one, const Solution& other) {
  const double tie = 1e-13 * other.weighted_sum_of_squares;
  const bool smaller = one.weighted_sum_of_squares < other.weighted_sum_of_squares - tie;
  const bool same = abs(one.weighted_sum_of_squares - other.weighted_sum_of_squares) <= tie;
  return other.parameters.size() == 0 || smaller || (same && one.converged && !other.converged);
}

// The least weighted sum of squares found from any of the starts.
inline Solution least_squares(const Problem& problem, const std::vector<VectorXd>& starts) {
  Solution best;
  for (const VectorXd& start : starts) {
    detail::Search search(problem, start);
    search.run();
    Solution s = describe(problem, search.parameters(), search.states());
    s.converged = search.converged();
    s.last_step = search.last_step();
    if (better(s, best)) best = std::move(s);
  }
  return best;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::fitting
