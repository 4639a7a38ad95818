// Uncertainty budgets by the law of propagation (JCGM 100:2008, GUM), from exact gradients.
#pragma once

#include <Eigen/Core>

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::uncertainty {

// Covariance of the results, J U J^T (JCGM 100, eq. 13 for one result): U holds variances of the inputs on its diagonal
// and their covariances beside it.
inline Eigen::MatrixXd propagate(const Eigen::Ref<const Eigen::MatrixXd>& jacobian, const Eigen::Ref<const Eigen::MatrixXd>& covariance) {
  return jacobian * covariance * jacobian.transpose();
}

// The budget of every result slot of a calculation: contributions(r, i) = |dr/di| u_i, combined their root sum of squares.
template <class C>
struct Budget {
  static constexpr int input_slots = static_cast<int>(slots_of<input_of<C, double>, double>);
  static constexpr int result_slots = static_cast<int>(slots_of<result_of<C, double>, double>);

  result_of<C, double> value;
  Eigen::Matrix<double, result_slots, input_slots> contributions;
  result_of<C, double> combined;  // standard uncertainties

  // k times the combined: about 95 % for k = 2 when the result is normal and the inputs are many.
  result_of<C, double> expanded(double coverage_factor = 2.0) const {
    auto slots = to_slots<double>(combined);
    for (double& u : slots) u *= coverage_factor;
    return std::bit_cast<result_of<C, double>>(slots);
  }
};

// Inputs uncorrelated; `standard` holds a standard uncertainty for each, NaN or zero where it is exactly known. A negative
// one has no meaning and makes the budget NaN.
template <class C>
Budget<C> budget(const C& calculation, const input_of<C, double>& input, const input_of<C, double>& standard) {
  Budget<C> b;
  b.value = calculation(input);
  const auto jacobian = calculation.gradient(input);
  const auto u = to_slots<double>(standard);
  std::array<double, slots_of<result_of<C, double>, double>> combined{};
  for (int r = 0; r < Budget<C>::result_slots; ++r) {
    for (int i = 0; i < Budget<C>::input_slots; ++i) {
      const auto row = static_cast<std::size_t>(r), column = static_cast<std::size_t>(i);
      const bool exact = !(u[column] > 0.0 || u[column] < 0.0);
      b.contributions(r, i) = exact ? 0.0 : u[column] < 0.0 ? not_a_number : abs(jacobian[row][column]) * u[column];
    }
    combined[static_cast<std::size_t>(r)] = b.contributions.row(r).norm();
  }
  b.combined = std::bit_cast<result_of<C, double>>(combined);
  return b;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::uncertainty
