// The way to a least sum of squares with a range for every parameter. Eigen's Levenberg-Marquardt works on the parameters that are
// free; one that meets its bound is held there, and let go again when the sum of squares falls inwards.
#pragma once

#include <Eigen/Cholesky>
#include <Eigen/QR>
#include <unsupported/Eigen/LevenbergMarquardt>

#include "lutum/fitting/problem.hpp"

namespace lutum::inline LUTUM_ISA_TAG::fitting {

namespace detail {

// The parameters at work: values, which are free, and what the weighted residuals do there.
class Search {
 public:
  Search(const Problem& problem, const VectorXd& start) : problem_(problem), p_(start), states_(problem.bounds.size(), ParameterState::free) {
    for (Index j = 0; j < p_.size(); ++j) p_[j] = inside(j, p_[j]);
  }

  const VectorXd& parameters() const { return p_; }
  const std::vector<ParameterState>& states() const { return states_; }
  double last_step() const { return last_step_; }
  bool converged() const { return converged_; }

  void run() {
    constexpr int most_passes = 40;
    hold_at_start();
    for (int pass = 0; pass < most_passes; ++pass) {
      if (!free_.empty()) {
        if (!settle()) continue;  // another parameter is held now
      } else {
        converged_ = true;
        last_step_ = 0.0;
      }
      if (!release()) return;
    }
    converged_ = false;
  }

  // Weighted residuals, fitted less observed; false where the model has no value.
  bool residuals(const VectorXd& p, VectorXd& r, MatrixXd* slopes = nullptr) const {
    problem_.evaluate(p, r, slopes);
    r = (r - problem_.observed).cwiseQuotient(problem_.spread);
    if (slopes != nullptr) slopes->array().colwise() /= problem_.spread.array();
    return r.allFinite();
  }

 private:
  // What Eigen minimises: the free parameters in parts of their scales. A trial outside the bounds stops it.
  struct FreeProblem : Eigen::DenseFunctor<double> {
    FreeProblem(const Search& search, const VectorXd& scale)
        : DenseFunctor(static_cast<int>(search.free_.size()), static_cast<int>(search.problem_.observed.size())), search_(search), scale_(scale) {}

    VectorXd full(const VectorXd& z) const {
      VectorXd p = search_.p_;
      for (std::size_t k = 0; k < search_.free_.size(); ++k) p[search_.free_[k]] = z[static_cast<Index>(k)] * scale_[static_cast<Index>(k)];
      return p;
    }
    int operator()(const VectorXd& z, VectorXd& r) {
      const VectorXd p = full(z);
      if (!search_.within(p)) {
        outside = p;
        return -1;
      }
      if (!search_.residuals(p, r)) r.setConstant(search_.problem_.observed.size(), 1e150);  // no value: a step too far
      return 0;
    }
    int df(const VectorXd& z, MatrixXd& jacobian) const {
      VectorXd r;
      MatrixXd slopes;
      search_.residuals(full(z), r, &slopes);
      jacobian.resize(r.size(), inputs());
      for (int k = 0; k < inputs(); ++k) jacobian.col(k) = slopes.col(search_.free_[static_cast<std::size_t>(k)]) * scale_[k];
      return jacobian.allFinite() ? 0 : -1;
    }

    VectorXd outside;  // the trial that left the bounds

   private:
    const Search& search_;
    const VectorXd& scale_;
  };

  double inside(Index j, double x) const {
    return held(x, problem_.bounds[static_cast<std::size_t>(j)]);
  }
  bool within(const VectorXd& p) const {
    for (Index j = 0; j < p.size(); ++j)
      if (!(p[j] == inside(j, p[j]))) return false;
    return true;
  }
  // Of the readings, weighted.
  double size() const { return problem_.observed.cwiseQuotient(problem_.spread).norm(); }
  ParameterState& state(Index j) { return states_[static_cast<std::size_t>(j)]; }

  void list_free() {
    free_.clear();
    for (Index j = 0; j < p_.size(); ++j)
      if (state(j) == ParameterState::free) free_.push_back(j);
  }
  void hold(Index j, bool low) {
    const Bounds& b = problem_.bounds[static_cast<std::size_t>(j)];
    p_[j] = low ? b.low : b.high;
    state(j) = low ? ParameterState::at_low : ParameterState::at_high;
    list_free();
  }

  // A hair off the bound, where slopes are finite.
  void step_inside(Index j, bool from_low) { p_[j] = inside(j, p_[j] + (from_low ? 1e-9 : -1e-9) * problem_.typical[j]); }

  // The slope of half the sum of squares by parameter j a hair inside its bound, where it is finite.
  double inward_slope(Index j, bool low) const {
    const Bounds& b = problem_.bounds[static_cast<std::size_t>(j)];
    double hair = 1e-9 * problem_.typical[j];
    if (hair > 0.25 * (b.high - b.low)) hair = 0.25 * (b.high - b.low);
    VectorXd p = p_, r;
    MatrixXd slopes;
    p[j] = low ? b.low + hair : b.high - hair;
    if (!residuals(p, r, &slopes)) return 0.0;
    const double g = slopes.col(j).dot(r), noise = 1e-13 * slopes.col(j).norm() * size();
    return abs(g) <= noise ? 0.0 : low ? g : -g;
  }

  void hold_at_start() {
    list_free();
    for (Index j = 0; j < p_.size(); ++j) {
      const Bounds& b = problem_.bounds[static_cast<std::size_t>(j)];
      const bool low = p_[j] == b.low, high = p_[j] == b.high;
      if (!low && !high) continue;
      if (inward_slope(j, low) >= 0.0) hold(j, low);
      else step_inside(j, low);
    }
    drop_without_effect();
  }

  void drop_without_effect() {
    VectorXd r;
    MatrixXd slopes;
    residuals(p_, r, &slopes);
    for (Index j = 0; j < p_.size(); ++j)
      if (state(j) == ParameterState::free && !(slopes.col(j).norm() * problem_.typical[j] > 1e-14 * size()))
        state(j) = ParameterState::without_effect;
    list_free();
  }

  // The change of each free parameter that moves the fitted values by the observed ones.
  VectorXd scales() const {
    VectorXd r;
    MatrixXd slopes;
    residuals(p_, r, &slopes);
    VectorXd scale(static_cast<Index>(free_.size()));
    for (std::size_t k = 0; k < free_.size(); ++k) {
      const double s = size() / slopes.col(free_[k]).norm();
      scale[static_cast<Index>(k)] = s > 0.0 && s < infinity ? s : problem_.typical[free_[k]];
    }
    return scale;
  }

  // As far as the bounds allow from here to `trial`, the parameter met first being held. False where that raises the sum of squares.
  bool go_to_bound(const VectorXd& trial) {
    double part = 1.0;
    Index met = -1;
    for (const Index j : free_) {
      if (trial[j] == inside(j, trial[j])) continue;
      const double t = (inside(j, trial[j]) - p_[j]) / (trial[j] - p_[j]);
      if (t < part || met < 0) {
        part = t;
        met = j;
      }
    }
    if (met < 0) return false;
    VectorXd p = p_ + part * (trial - p_), before, after;
    for (const Index j : free_) p[j] = inside(j, p[j]);
    const bool low = trial[met] < p_[met];
    p[met] = inside(met, trial[met]);
    if (!residuals(p, after) || !residuals(p_, before) || after.squaredNorm() > before.squaredNorm()) return false;
    p_ = p;
    hold(met, low);
    drop_without_effect();
    return true;
  }

  // Both searches in turn until the second arrives. False when a bound is met.
  bool settle() {
    constexpr int most_rounds = 3;
    converged_ = false;
    for (int round = 0; round < most_rounds && !converged_; ++round)
      if (!descend() || !refine()) return false;
    return true;
  }

  // Levenberg and Marquardt to the least sum of squares of the free parameters. False when a bound is met on the way.
  bool descend() {
    if (problem_.observed.size() < static_cast<Index>(free_.size())) return true;
    constexpr int most_tries = 12;
    double factor = 100.0;
    for (int attempt = 0; attempt < most_tries; ++attempt) {
      const VectorXd scale = scales();
      FreeProblem free(*this, scale);
      Eigen::LevenbergMarquardt<FreeProblem> search(free);
      search.setFtol(1e-15);
      search.setXtol(1e-15);
      search.setMaxfev(400);
      search.setFactor(factor);
      VectorXd z(scale.size());
      for (std::size_t k = 0; k < free_.size(); ++k) z[static_cast<Index>(k)] = p_[free_[k]] / scale[static_cast<Index>(k)];
      search.minimize(z);
      const VectorXd reached = free.full(z);
      VectorXd r;
      if (within(reached) && residuals(reached, r)) p_ = reached;
      if (free.outside.size() == 0) return true;
      if (go_to_bound(VectorXd(free.outside))) return false;
      factor *= 0.1;  // shorter steps
    }
    return true;
  }

  // Half the gradient of the sum of squares in scaled free parameters.
  VectorXd gradient(const VectorXd& p, const VectorXd& scale, MatrixXd* jacobian = nullptr) const {
    VectorXd r, g(scale.size());
    MatrixXd slopes;
    residuals(p, r, &slopes);
    if (jacobian != nullptr) jacobian->resize(r.size(), scale.size());
    for (std::size_t k = 0; k < free_.size(); ++k) {
      const Index i = static_cast<Index>(k);
      g[i] = slopes.col(free_[k]).dot(r) * scale[i];
      if (jacobian != nullptr) jacobian->col(i) = slopes.col(free_[k]) * scale[i];
    }
    return g;
  }

  // Newton's method on the gradient, which goes on where the sum of squares no longer shows a change: its derivatives by central
  // differences of the exact gradient. False when a bound is met.
  bool refine() {
    constexpr int most_steps = 15;
    constexpr double apart = 3e-6, small = 1e-10, round_off = 1e-15;
    double previous = infinity;
    for (int step = 0; step < most_steps; ++step) {
      const VectorXd scale = scales();
      const Index n = scale.size();
      MatrixXd jacobian, curvature(n, n);
      const VectorXd g = gradient(p_, scale, &jacobian);
      if (!g.allFinite()) return true;
      for (Index k = 0; k < n; ++k) {
        const Index j = free_[static_cast<std::size_t>(k)];
        VectorXd above = p_, below = p_;
        above[j] = inside(j, p_[j] + apart * scale[k]);
        below[j] = inside(j, p_[j] - apart * scale[k]);
        curvature.col(k) = (gradient(above, scale) - gradient(below, scale)) / ((above[j] - below[j]) / scale[k]);
      }
      curvature = (0.5 * (curvature + curvature.transpose())).eval();
      const Eigen::LLT<MatrixXd> factors(curvature);
      const bool minimum = curvature.allFinite() && factors.info() == Eigen::Success && factors.rcond() > 1e-13;
      VectorXd r;
      residuals(p_, r);
      const VectorXd move = minimum ? VectorXd(-factors.solve(g)) : VectorXd(-jacobian.colPivHouseholderQr().solve(r));
      if (!move.allFinite()) return true;
      const double length = move.cwiseAbs().maxCoeff();
      if (length >= 0.5 * previous) break;  // round-off, or no convergence
      VectorXd trial = p_, after;
      for (Index k = 0; k < n; ++k) trial[free_[static_cast<std::size_t>(k)]] += move[k] * scale[k];
      if (!within(trial)) {
        if (go_to_bound(trial)) return false;
        break;
      }
      if (!residuals(trial, after) || after.norm() > r.norm() * (1.0 + 1e-12) + 1e-13 * size()) break;
      p_ = trial;
      previous = length;
      if (length <= round_off) break;
    }
    last_step_ = previous;
    converged_ = previous <= small;
    return true;
  }

  // Lets go the parameter that gains most, at most a few times each. False when none wants to go.
  bool release() {
    constexpr int most_releases = 3;
    Index best = -1;
    double steepest = 0.0;
    for (Index j = 0; j < p_.size(); ++j) {
      if (state(j) != ParameterState::at_low && state(j) != ParameterState::at_high) continue;
      const Bounds& b = problem_.bounds[static_cast<std::size_t>(j)];
      if (!(b.low < b.high)) continue;
      const double slope = inward_slope(j, state(j) == ParameterState::at_low) * problem_.typical[j];
      if (slope < steepest && releases_[static_cast<std::size_t>(j)] < most_releases) {
        steepest = slope;
        best = j;
      }
    }
    if (best < 0) return false;
    ++releases_[static_cast<std::size_t>(best)];
    step_inside(best, state(best) == ParameterState::at_low);
    state(best) = ParameterState::free;
    for (ParameterState& s : states_)  // what had no effect may have one now
      if (s == ParameterState::without_effect) s = ParameterState::free;
    list_free();
    drop_without_effect();
    return true;
  }

  const Problem& problem_;
  VectorXd p_;
  std::vector<ParameterState> states_;
  std::vector<Index> free_;
  std::vector<int> releases_ = std::vector<int>(problem_.bounds.size(), 0);
  double last_step_ = infinity;
  bool converged_ = false;
};

}  // namespace detail

}  // namespace lutum::inline LUTUM_ISA_TAG::fitting
