// Flow curves fitted to readings of stress at several rates: any of the ten models, bounds, weights, and an honest account of what
// the readings tell. SI: 1/s, Pa.
#pragma once

#include <memory>

#include "lutum/fitting/flow_curve_scan.hpp"
#include "lutum/fitting/judgement.hpp"
#include "lutum/rheology/gap.hpp"
#include "lutum/rheology/yield_power_law_fit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::fitting {

using rheology::Weighting;

enum class RateCorrection : std::int8_t { none, wide_gap };

// What may be asked of a fit besides the model.
struct FitOptions {
  Weighting weighting = Weighting::equal;
  std::vector<Bounds> bounds{};  // one a parameter; empty: default_bounds()
  Bounds rate_range{};           // readings at other rates are not used
  // Radius of the bob against that of the rotor. Given, rates are those of a Newtonian fluid and the exact flow in the gap is fitted:
  // for the yield power law and what it contains.
  double radius_ratio = not_a_number;
};

inline constexpr double least_relative_stress = rheology::YieldPowerLawFit::stress_floor.value;  // Pa: below it a relative residual refers to this stress

// Physical ones; a flow index from 0.02, other limits as the parameters have them.
inline std::vector<Bounds> default_bounds(FlowModel model) {
  std::vector<Bounds> bounds;
  for (const Variable& v : rheology::parameters_of(model)) {
    if (v.name == "flow_index") bounds.push_back({0.02, v.limits.highest});
    else if (v.name == "exponent" || v.name == "relaxation_time" || v.name == "rate_shift") bounds.push_back({v.limits.lowest, v.limits.highest});
    else bounds.push_back({0.0, infinity});
  }
  return bounds;
}

struct FlowCurveFit {
  FlowModel model = FlowModel::newtonian;
  Weighting weighting = Weighting::equal;
  RateCorrection rate_correction = RateCorrection::none;
  Bounds rate_range;                                               // asked for
  double lowest_rate = not_a_number, highest_rate = not_a_number;  // of the readings used
  Index given = 0;                                                 // readings, with those missing
  std::vector<Index> used;                                         // which of them
  Problem problem;                                                 // of the readings used
  Solution solution;
  double sum_of_squares = not_a_number;  // of the residuals in stress, without weight
  FitStatus status = FitStatus::too_few_readings;
  VectorXd studentized;  // residuals of the readings used
  Index suspect = -1;    // of the readings given
  double corrected_akaike = infinity;

  FlowCurve<double> curve() const {
    FlowCurve<double> c{model, {}};
    for (Index j = 0; j < solution.parameters.size(); ++j) c.parameter[static_cast<std::size_t>(j)] = solution.parameters[j];
    return c;
  }
  double stress(double rate) const { return solution.parameters.size() == 0 ? not_a_number : curve().stress(rate); }

  // Variance of the fitted stress at a rate, from the free parameters.
  double stress_variance(double rate) const {
    const Index n = solution.parameters.size();
    if (n == 0) return not_a_number;
    using D = dual<4>;
    FlowCurve<D> c{model, {}};
    VectorXd slope(n);
    for (int j = 0; j < 4; ++j) c.parameter[static_cast<std::size_t>(j)] = D(0.0);
    for (int j = 0; j < n; ++j) {
      const bool free = solution.states[static_cast<std::size_t>(j)] == ParameterState::free;
      c.parameter[static_cast<std::size_t>(j)] = D::seed(solution.parameters[j], free ? j : -1);
    }
    const D s = c.stress(D(rate));
    for (int j = 0; j < n; ++j) slope[j] = s.slope[j];
    return slope.dot(solution.covariance * slope);
  }
};

namespace detail {

// How a parameter stands in the search: where the sum of squares is a long bent valley, or infinitely steep at zero, in another scale.
struct Scale {
  double root = 1.0;         // the parameter is this power of what is searched
  bool logarithm = false;    // or its exponential
  static constexpr double least = 1e-300;  // zero has no logarithm

  double inwards(double x) const { return logarithm ? lutum::log(x > least ? x : least) : root != 1.0 && x > 0.0 ? lutum::pow(x, 1.0 / root) : x; }
  template <class T>
  T outwards(const T& z) const {
    return logarithm ? exp(z) : root != 1.0 ? power(z, T(root)) : z;
  }
};
using Scales = std::array<Scale, 4>;

// The stress of a model at every rate.
class FlowCurveModel {
 public:
  FlowCurveModel(FlowModel model, VectorXd rates, const Scales& scales, double radius_ratio)
      : model_(model), rates_(std::move(rates)), scales_(scales), radius_ratio_(radius_ratio) {}

  void operator()(const VectorXd& p, VectorXd& fitted, MatrixXd* slopes) const {
    fitted.resize(rates_.size());
    if (slopes == nullptr) {
      const auto c = curve<double>(p);
      for (Index i = 0; i < rates_.size(); ++i) fitted[i] = stress(c, rates_[i]);
      return;
    }
    const auto c = curve<dual<4>>(p);
    slopes->resize(rates_.size(), p.size());
    for (Index i = 0; i < rates_.size(); ++i) {
      const dual<4> s = stress(c, dual<4>(rates_[i]));
      fitted[i] = s.value;
      for (int j = 0; j < p.size(); ++j) (*slopes)(i, j) = s.slope[j];
    }
  }

 private:
  template <class T>
  FlowCurve<T> curve(const VectorXd& p) const {
    FlowCurve<T> c{model_, {}};
    for (T& x : c.parameter) x = T(0.0);
    for (int j = 0; j < p.size(); ++j) {
      const auto i = static_cast<std::size_t>(j);
      if constexpr (std::is_same_v<T, double>) c.parameter[i] = scales_[i].outwards(p[j]);
      else c.parameter[i] = scales_[i].outwards(T::seed(p[j], j));
    }
    return c;
  }
  template <class T>
  T stress(const FlowCurve<T>& c, const T& rate) const {
    if (!(radius_ratio_ == radius_ratio_)) return c.stress(rate);
    const auto& p = c.parameter;
    const T speed = rate * T(0.5 * (1.0 - radius_ratio_ * radius_ratio_));
    rheology::GapFluid<T> fluid{T(0.0), p[0], T(1.0)};
    if (model_ == FlowModel::bingham) fluid = {p[0], p[1], T(1.0)};
    else if (model_ == FlowModel::power_law) fluid.flow_index = p[1];
    else if (model_ == FlowModel::yield_power_law) fluid = {p[0], p[1], p[2]};
    return rheology::at_bob(fluid, speed, T(radius_ratio_)).stress;
  }

  FlowModel model_;
  VectorXd rates_;
  Scales scales_;
  double radius_ratio_;
};

// Where the slope by a yield stress is infinite at zero, a power makes it finite; viscosities and times that trade for each other
// over decades do so along a line of logarithms.
inline Scales scales_for(FlowModel model, const VectorXd& start) {
  constexpr double low_exponent = 0.35;
  Scales scales;
  if (model == FlowModel::casson) scales[0].root = 2.0;
  if (model == FlowModel::heinz_casson && start[2] < low_exponent && start[0] > 0.0) scales[0].logarithm = scales[1].logarithm = true;
  else if (model == FlowModel::heinz_casson && start[2] < 1.0) scales[0].root = 1.0 / start[2];
  if ((model == FlowModel::cross || model == FlowModel::carreau) && start[0] > 0.0 && start[2] > 0.0)
    scales[0].logarithm = scales[2].logarithm = true;
  return scales;
}

// The readings that count, and what a residual of each counts.
inline void take_readings(FlowCurveFit& fit, const VectorXd& rate, const VectorXd& stress, const VectorXd& uncertainty, const FitOptions& options) {
  for (Index i = 0; i < rate.size(); ++i) {
    const bool known = std::isfinite(rate[i]) && rate[i] > 0.0 && std::isfinite(stress[i]);
    const bool uncertain = i < uncertainty.size() && uncertainty[i] > 0.0 && std::isfinite(uncertainty[i]);
    const bool weighed = options.weighting != Weighting::reading_uncertainty || uncertain;
    if (known && weighed && rate[i] >= options.rate_range.low && rate[i] <= options.rate_range.high) fit.used.push_back(i);
  }
  const Index n = static_cast<Index>(fit.used.size());
  fit.problem.observed.resize(n);
  fit.problem.spread.resize(n);
  for (Index k = 0; k < n; ++k) {
    const Index i = fit.used[static_cast<std::size_t>(k)];
    fit.problem.observed[k] = stress[i];
    const double size = larger(abs(stress[i]), least_relative_stress);
    fit.problem.spread[k] = options.weighting == Weighting::equal      ? 1.0
                            : options.weighting == Weighting::relative ? size
                                                                       : uncertainty[i];
  }
  fit.problem.spread_is_known = options.weighting == Weighting::reading_uncertainty;
}

inline VectorXd typical_parameters(FlowModel model, double stress, double rate) {
  VectorXd typical(parameters_in(model));
  Index j = 0;
  for (const Variable& v : rheology::parameters_of(model)) {
    const bool is_viscosity = v.quantity == Quantity::viscosity;
    typical[j++] = v.quantity == Quantity::stress || v.name == "consistency" ? stress
                   : is_viscosity                                           ? stress / rate
                   : v.name == "rate_shift"                                 ? rate
                   : v.name == "relaxation_time"                            ? 1.0 / rate
                                                                            : 1.0;
  }
  return typical;
}

// The fit from one start, in the user's parameters.
inline Solution fit_from(FlowCurveFit& fit, const VectorXd& rates, const VectorXd& start, const FitOptions& options) {
  const Scales scales = scales_for(fit.model, start);
  fit.problem.evaluate = FlowCurveModel(fit.model, rates, Scales{}, options.radius_ratio);
  Problem scaled = fit.problem;
  scaled.evaluate = FlowCurveModel(fit.model, rates, scales, options.radius_ratio);
  VectorXd from = start;
  for (std::size_t j = 0; j < scaled.bounds.size(); ++j) {
    const Index i = static_cast<Index>(j);
    Bounds& b = scaled.bounds[j];
    b = {scales[j].inwards(b.low), scales[j].inwards(b.high)};
    from[i] = scales[j].inwards(from[i]);
    scaled.typical[i] = scales[j].logarithm ? 1.0 : scales[j].inwards(scaled.typical[i]);
  }
  const Solution s = least_squares(scaled, {from});
  VectorXd p = s.parameters;
  for (std::size_t j = 0; j < scaled.bounds.size(); ++j) {
    const Index i = static_cast<Index>(j);
    const Bounds& b = fit.problem.bounds[j];
    p[i] = s.states[j] == ParameterState::at_low ? b.low : s.states[j] == ParameterState::at_high ? b.high : scales[j].outwards(p[i]);
  }
  Solution same = describe(fit.problem, p, s.states);
  same.converged = s.converged;
  same.last_step = s.last_step;
  return same;
}

// Where an index has no effect its value means nothing: it is one then.
inline void settle_without_effect(FlowCurveFit& fit) {
  Solution& s = fit.solution;
  const auto described = rheology::parameters_of(fit.model);
  for (std::size_t j = 0; j < s.states.size(); ++j)
    if (s.states[j] == ParameterState::without_effect && (described[j].name == "flow_index" || described[j].name == "exponent"))
      s.parameters[static_cast<Index>(j)] = held(1.0, fit.problem.bounds[j]);
}

inline FitStatus judge(const FlowCurveFit& fit, const VectorXd& rates, bool flat) {
  const Solution& s = fit.solution;
  const auto described = rheology::parameters_of(fit.model);
  const bool undetermined = s.condition > 1e7;
  bool bound = false, unclear = different(rates) < s.parameters.size() + 1;
  for (std::size_t j = 0; j < s.states.size(); ++j) {
    bound = bound || s.states[j] == ParameterState::at_low || s.states[j] == ParameterState::at_high;
    unclear = unclear || s.states[j] == ParameterState::without_effect;
    // A yield stress of a nearly straight line that may as well be none.
    const bool straight = fit.model == FlowModel::yield_power_law && abs(s.parameters[2] - 1.0) < 0.02;
    if (straight && described[j].name == "yield_stress") {
      const Index i = static_cast<Index>(j);
      unclear = unclear || (s.states[j] == ParameterState::free && sqrt(s.covariance(i, i)) > abs(s.parameters[i]));
    }
  }
  if (flat) return FitStatus::flat;
  if (undetermined) return FitStatus::not_identifiable;
  if (!s.converged) return FitStatus::not_converged;
  if (unclear) return FitStatus::not_identifiable;
  if (fit.suspect >= 0) return FitStatus::suspect_reading;
  return bound ? FitStatus::at_bound : FitStatus::fitted;
}

}  // namespace detail

// Fits of one model under the same options; keeps the grid of the last rates for the next record.
class FlowCurveFitter {
 public:
  explicit FlowCurveFitter(FlowModel model, FitOptions options = {}) : model_(model), options_(std::move(options)) {
    if (options_.bounds.empty()) options_.bounds = default_bounds(model_);
  }

  // True where the exact flow in the gap is known for the model.
  static bool has_wide_gap(FlowModel model) { return model <= FlowModel::yield_power_law; }

  // Missing readings are NaN; `uncertainty` may be empty unless it is the weighting.
  FlowCurveFit operator()(const VectorXd& rate, const VectorXd& stress, const VectorXd& uncertainty = {}) {
    FlowCurveFit fit;
    fit.model = model_;
    fit.weighting = options_.weighting;
    fit.rate_correction = options_.radius_ratio == options_.radius_ratio ? RateCorrection::wide_gap : RateCorrection::none;
    fit.rate_range = options_.rate_range;
    fit.problem.bounds = options_.bounds;
    fit.given = rate.size();
    detail::take_readings(fit, rate, stress, uncertainty, options_);
    if (fit.used.empty()) return fit;
    VectorXd rates(static_cast<Index>(fit.used.size()));
    for (Index k = 0; k < rates.size(); ++k) rates[k] = rate[fit.used[static_cast<std::size_t>(k)]];
    fit.lowest_rate = rates.minCoeff();
    fit.highest_rate = rates.maxCoeff();
    if (different(rates) < parameters_in(model_)) return fit;
    const VectorXd logarithms = rates.unaryExpr([](double r) { return lutum::log(r); });
    const double most = fit.problem.observed.cwiseAbs().maxCoeff();
    fit.problem.typical = detail::typical_parameters(model_, most > 0.0 ? most : 1.0, lutum::exp(logarithms.mean()));
    const bool same_rates = scan_ != nullptr && scan_->rates().size() == rates.size() && scan_->rates() == rates;
    if (!same_rates) scan_ = std::make_unique<FlowCurveScan>(model_, rates, options_.bounds);
    for (const VectorXd& start : scan_->starts(fit.problem.observed, fit.problem.spread)) {
      Solution s = detail::fit_from(fit, rates, start, options_);
      if (better(s, fit.solution)) fit.solution = std::move(s);
    }
    if (fit.solution.parameters.size() == 0) return fit;
    detail::settle_without_effect(fit);
    fit.sum_of_squares = fit.solution.residuals.squaredNorm();
    fit.studentized = studentized_residuals(fit.problem, fit.solution);
    const Index suspect = suspect_reading(fit.problem, fit.solution, fit.studentized);
    fit.suspect = suspect < 0 ? -1 : fit.used[static_cast<std::size_t>(suspect)];
    fit.corrected_akaike = corrected_akaike(fit.problem, fit.solution);
    fit.status = detail::judge(fit, rates, falls_or_stays(fit.problem, logarithms));
    return fit;
  }

 private:
  FlowModel model_;
  FitOptions options_;
  std::unique_ptr<FlowCurveScan> scan_;
};

// What each reading would have been by the curve fitted to all the others, less what was read; NaN where none could be fitted.
inline VectorXd left_out_errors(FlowModel model, const FitOptions& options, const VectorXd& rate, const VectorXd& stress,
                                const VectorXd& uncertainty = {}) {
  VectorXd errors = VectorXd::Constant(rate.size(), not_a_number);
  const FlowCurveFit whole = FlowCurveFitter(model, options)(rate, stress, uncertainty);
  for (const Index i : whole.used) {
    VectorXd without = stress;
    without[i] = not_a_number;
    const FlowCurveFit fit = FlowCurveFitter(model, options)(rate, without, uncertainty);
    if (fit.solution.parameters.size() == 0) continue;
    VectorXd predicted;
    const detail::FlowCurveModel at_reading(model, VectorXd::Constant(1, rate[i]), detail::Scales{}, options.radius_ratio);
    at_reading(fit.solution.parameters, predicted, nullptr);
    errors[i] = predicted[0] - stress[i];
  }
  return errors;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::fitting
