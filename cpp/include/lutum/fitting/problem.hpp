// A least-squares problem: a model, readings, what a residual counts, and a range for every parameter.
#pragma once

#include <Eigen/Core>
#include <array>
#include <functional>
#include <vector>

#include "lutum/core/dual.hpp"

namespace lutum::inline LUTUM_ISA_TAG::fitting {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

struct Bounds {
  double low = -infinity, high = infinity;
};
inline double held(double x, const Bounds& b) { return x < b.low ? b.low : x > b.high ? b.high : x; }

// Where a parameter ended. One without effect changes no fitted value: the data say nothing about it.
enum class ParameterState : std::int8_t { free, at_low, at_high, without_effect };

// The fitted value of every point, and where asked its derivative by every parameter (a column a parameter).
using Evaluation = std::function<void(const VectorXd& parameters, VectorXd& fitted, MatrixXd* slopes)>;

// Such an evaluation of `model(x, parameters)`, a generic function of any scalar: slopes are exact.
template <int N, class Model>
Evaluation curve(Model model, VectorXd x) {
  return [model, x = std::move(x)](const VectorXd& parameters, VectorXd& fitted, MatrixXd* slopes) {
    using D = dual<N>;
    fitted.resize(x.size());
    if (slopes == nullptr) {
      std::array<double, N> p;
      for (int j = 0; j < N; ++j) p[static_cast<std::size_t>(j)] = parameters[j];
      for (Index i = 0; i < x.size(); ++i) fitted[i] = model(x[i], p);
      return;
    }
    slopes->resize(x.size(), N);
    std::array<D, N> p;
    for (int j = 0; j < N; ++j) p[static_cast<std::size_t>(j)] = D::seed(parameters[j], j);
    for (Index i = 0; i < x.size(); ++i) {
      const D y = model(x[i], p);
      fitted[i] = y.value;
      for (int j = 0; j < N; ++j) (*slopes)(i, j) = y.slope[j];
    }
  };
}

struct Problem {
  Evaluation evaluate;
  VectorXd observed;
  VectorXd spread;              // residuals are divided by it: weights are 1/spread^2
  std::vector<Bounds> bounds;   // one a parameter
  VectorXd typical;             // size of each parameter, for the first look inside a bound
  bool spread_is_known = false; // spreads are standard uncertainties of the readings and not only relative to each other
};

}  // namespace lutum::inline LUTUM_ISA_TAG::fitting
