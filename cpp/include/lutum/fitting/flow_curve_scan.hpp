// Start values of a flow-curve fit. Every model is linear in one or two of its parameters once the others are fixed: for each node of
// a grid over those others the best linear ones, within their bounds, are plain algebra, and the best nodes are where to start.
#pragma once

#include <algorithm>
#include <cmath>

#include "lutum/fitting/problem.hpp"
#include "lutum/rheology/flow_curve.hpp"

namespace lutum::inline LUTUM_ISA_TAG::fitting {

using rheology::FlowCurve;
using rheology::FlowModel;

inline Index parameters_in(FlowModel model) { return static_cast<Index>(rheology::parameters_of(model).size()); }

namespace detail {

using Parameters = std::array<double, 4>;

// From low to high in equal ratios, ends included.
inline std::vector<double> geometric(double low, double high, int count) {
  if (!(low < high)) return {low};
  std::vector<double> nodes(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) nodes[static_cast<std::size_t>(i)] = low * exp(log(high / low) * i / (count - 1));
  nodes.back() = high;
  return nodes;
}

// The nodes of one parameter that is not linear, from low to high and within its bounds, these included: a valley of the sum of
// squares may lead far away to one.
inline std::vector<double> nodes_between(const Bounds& bounds, double low, double high, int count) {
  const double first = low > bounds.low ? low : bounds.low, last = high < bounds.high ? high : bounds.high;
  std::vector<double> nodes;
  if (bounds.low <= 0.0 && low > 0.0) nodes.push_back(bounds.low);
  if (first > last) return {bounds.low > high ? bounds.low : bounds.high};
  const std::vector<double> inner = geometric(first, last, count);
  nodes.insert(nodes.end(), inner.begin(), inner.end());
  if (bounds.high > last && bounds.high < infinity) nodes.push_back(bounds.high);
  return nodes;
}

// Best multiples of one or two columns within bounds, from the sums of the normal equations.
struct LinearFit {
  std::array<double, 2> factor{};
  double excess = infinity;  // sum of squares less that of the readings
};

// The gain of y = f0 c0 + f1 c1 against nothing: sums are a_jk = sum w c_j c_k, b_j = sum w c_j y.
struct NormalSums {
  double a00 = 0, a01 = 0, a11 = 0, b0 = 0, b1 = 0;
  double excess(double f0, double f1) const { return f0 * (f0 * a00 + 2 * f1 * a01 - 2 * b0) + f1 * (f1 * a11 - 2 * b1); }
};

inline LinearFit best_linear(const NormalSums& s, int columns, const std::array<Bounds, 2>& bounds) {
  LinearFit best;
  const auto offer = [&](double f0, double f1) {
    const double e = s.excess(f0, f1);
    if (e < best.excess) best = {{f0, f1}, e};
  };
  const auto best_first = [&](double f1) { return held(s.a00 > 0.0 ? (s.b0 - f1 * s.a01) / s.a00 : 0.0, bounds[0]); };
  if (columns == 1) {
    offer(best_first(0.0), 0.0);
    return best;
  }
  const double determinant = s.a00 * s.a11 - s.a01 * s.a01;
  if (determinant > 1e-14 * s.a00 * s.a11) {
    const double f0 = (s.b0 * s.a11 - s.b1 * s.a01) / determinant, f1 = (s.b1 * s.a00 - s.b0 * s.a01) / determinant;
    if (f0 == held(f0, bounds[0]) && f1 == held(f1, bounds[1])) {
      offer(f0, f1);
      return best;
    }
  }
  const auto best_second = [&](double f0) { return held(s.a11 > 0.0 ? (s.b1 - f0 * s.a01) / s.a11 : 0.0, bounds[1]); };
  for (const double f1 : {bounds[1].low, bounds[1].high, held(0.0, bounds[1])})
    if (std::isfinite(f1)) offer(best_first(f1), f1);
  for (const double f0 : {bounds[0].low, bounds[0].high, held(0.0, bounds[0])})
    if (std::isfinite(f0)) offer(f0, best_second(f0));
  return best;
}

}  // namespace detail

// The grid of a model over the rates of some readings; serves any number of records with those rates.
class FlowCurveScan {
 public:
  FlowCurveScan(FlowModel model, VectorXd rates, std::vector<Bounds> bounds) : model_(model), rates_(std::move(rates)), bounds_(std::move(bounds)) {
    const double low = rates_.minCoeff(), high = rates_.maxCoeff();
    const auto index = [&](Index j, int count) { return detail::nodes_between(bound(j), 0.02, 2.0, count); };
    switch (model_) {
      case FlowModel::newtonian:
      case FlowModel::bingham: break;
      case FlowModel::power_law: first_ = index(1, 60); break;
      case FlowModel::yield_power_law:
      case FlowModel::sisko: first_ = index(2, 60); break;
      case FlowModel::casson: first_ = detail::nodes_between({0.0, infinity}, 1e-4 * low, 1e4 * high, 60); break;
      case FlowModel::robertson_stiff:
        first_ = detail::nodes_between(bound(1), 1e-2 * low, 1e2 * high, 30);
        second_ = index(2, 40);
        break;
      case FlowModel::heinz_casson:
        first_ = detail::nodes_between({0.0, infinity}, 1e-4 * low, 1e4 * high, 40);
        second_ = index(2, 30);
        break;
      case FlowModel::cross:
      case FlowModel::carreau:
        first_ = detail::nodes_between(bound(2), 1e-2 / high, 1e2 / low, 30);
        second_ = index(3, 30);
        break;
    }
    columns_ = two_columns() ? 2 : 1;
    tabulate();
  }

  const VectorXd& rates() const { return rates_; }

  // Parameters at the best nodes, the best first: local minima of the grid, `most` of them at most.
  std::vector<VectorXd> starts(const VectorXd& stress, const VectorXd& spread, std::size_t most = 4) const {
    const VectorXd weights = spread.array().square().inverse(), weighted = weights.cwiseProduct(stress);
    std::vector<detail::LinearFit> fits(first_.size() * second_.size());
    const double total = weighted.dot(stress);
    for (std::size_t k = 0; k < fits.size(); ++k) {
      const auto c0 = table_.col(static_cast<Index>(k) * columns_);
      detail::NormalSums s;
      s.a00 = weights.dot(c0.cwiseAbs2());
      s.b0 = weighted.dot(c0);
      if (columns_ == 2) {
        const auto c1 = table_.col(static_cast<Index>(k) * columns_ + 1);
        s.a01 = weights.dot(c0.cwiseProduct(c1));
        s.a11 = weights.dot(c1.cwiseAbs2());
        s.b1 = weighted.dot(c1);
      }
      const auto bounds = linear_bounds(k);
      if (!(bounds[0].low <= bounds[0].high)) continue;
      fits[k] = detail::best_linear(s, columns_, bounds);
      // Round-off of a share that is not there is no share.
      if (abs(fits[k].factor[0]) * sqrt(s.a00) <= 1e-13 * sqrt(total)) fits[k].factor[0] = held(0.0, bounds[0]);
      if (columns_ == 2 && abs(fits[k].factor[1]) * sqrt(s.a11) <= 1e-13 * sqrt(total)) fits[k].factor[1] = held(0.0, bounds[1]);
    }
    std::vector<std::size_t> best;
    for (std::size_t k = 0; k < fits.size(); ++k)
      if (fits[k].excess < infinity && is_minimum(fits, k)) best.push_back(k);
    std::stable_sort(best.begin(), best.end(), [&](std::size_t a, std::size_t b) { return fits[a].excess < fits[b].excess; });
    if (best.size() > most) best.resize(most);
    std::vector<VectorXd> found;
    for (const std::size_t k : best) {
      const detail::Parameters p = parameters(k, fits[k].factor);
      VectorXd start(parameters_in(model_));
      for (Index j = 0; j < start.size(); ++j) start[j] = p[static_cast<std::size_t>(j)];
      found.push_back(start);
    }
    return found;
  }

 private:
  const Bounds& bound(Index j) const { return bounds_[static_cast<std::size_t>(j)]; }
  bool two_columns() const {
    return model_ == FlowModel::bingham || model_ == FlowModel::yield_power_law || model_ == FlowModel::sisko || model_ == FlowModel::cross ||
           model_ == FlowModel::carreau;
  }
  // A ratio of yield stress to viscosity stands for the yield stress.
  bool by_ratio() const { return model_ == FlowModel::casson || model_ == FlowModel::heinz_casson; }

  // All parameters at node k with the linear ones given.
  detail::Parameters parameters(std::size_t k, const std::array<double, 2>& f) const {
    const double u = first_[k / second_.size()], v = second_[k % second_.size()];
    switch (model_) {
      case FlowModel::newtonian: return {f[0], 0, 0, 0};
      case FlowModel::bingham: return {f[0], f[1], 0, 0};
      case FlowModel::power_law: return {f[0], u, 0, 0};
      case FlowModel::yield_power_law:
      case FlowModel::sisko: return {f[0], f[1], u, 0};
      case FlowModel::casson: return {f[0] * u, f[0], 0, 0};
      case FlowModel::robertson_stiff: return {f[0], u, v, 0};
      case FlowModel::heinz_casson: return {f[0] * u, f[0], v, 0};
      case FlowModel::cross:
      case FlowModel::carreau: return {f[0], f[1], u, v};
    }
    return {};
  }

  std::array<Bounds, 2> linear_bounds(std::size_t k) const {
    if (!by_ratio()) return {bound(0), columns_ == 2 ? bound(1) : Bounds{}};
    const double ratio = first_[k / second_.size()];
    Bounds b = bound(1);
    if (ratio > 0.0) {
      if (bound(0).low / ratio > b.low) b.low = bound(0).low / ratio;
      if (bound(0).high / ratio < b.high) b.high = bound(0).high / ratio;
    } else if (bound(0).low > 0.0) {
      b.low = infinity;  // no yield stress is not allowed
      b.high = -infinity;
    }
    return {b, Bounds{}};
  }

  void tabulate() {
    table_.resize(rates_.size(), static_cast<Index>(first_.size() * second_.size()) * columns_);
    for (std::size_t k = 0; k < first_.size() * second_.size(); ++k)
      for (int c = 0; c < columns_; ++c) {
        const FlowCurve<double> one{model_, parameters(k, {c == 0 ? 1.0 : 0.0, c == 1 ? 1.0 : 0.0})};
        for (Index i = 0; i < rates_.size(); ++i) table_(i, static_cast<Index>(k) * columns_ + c) = one.stress(rates_[i]);
      }
  }

  // Not above any neighbour of the grid.
  bool is_minimum(const std::vector<detail::LinearFit>& fits, std::size_t k) const {
    const auto rows = static_cast<std::ptrdiff_t>(first_.size()), columns = static_cast<std::ptrdiff_t>(second_.size());
    const auto row = static_cast<std::ptrdiff_t>(k) / columns, column = static_cast<std::ptrdiff_t>(k) % columns;
    for (std::ptrdiff_t r = row - 1; r <= row + 1; ++r)
      for (std::ptrdiff_t c = column - 1; c <= column + 1; ++c)
        if (r >= 0 && r < rows && c >= 0 && c < columns && fits[static_cast<std::size_t>(r * columns + c)].excess < fits[k].excess) return false;
    return true;
  }

  FlowModel model_;
  VectorXd rates_;
  std::vector<Bounds> bounds_;
  std::vector<double> first_{0.0}, second_{0.0};  // nodes of the parameters that are not linear
  int columns_ = 1;
  MatrixXd table_;  // stresses of unit linear parameters: a column a node and linear parameter
};

}  // namespace lutum::inline LUTUM_ISA_TAG::fitting
