// Growth of a gel at rest towards a final strength: strength = final (1 - exp(-rate time)).
#pragma once

#include "lutum/fitting/flow_curve_scan.hpp"
#include "lutum/fitting/judgement.hpp"

namespace lutum::inline LUTUM_ISA_TAG::fitting {

struct GelGrowth {
  template <class T, class P>
  T operator()(const T& time, const P& p) const {
    return p[0] * (T(1.0) - exp(-p[1] * time));
  }
  template <class P>
  auto operator()(double time, const P& p) const -> typename P::value_type {
    using T = typename P::value_type;
    return operator()<T, P>(T(time), p);
  }
};

struct GelGrowthFit {
  Problem problem;
  Solution solution;  // final strength, rate of growth
  FitStatus status = FitStatus::too_few_readings;
  std::vector<Index> used;
  Index given = 0, suspect = -1;
  VectorXd studentized;
};

// Missing readings are NaN; all readings alike. The rate is sought where growth can be seen: not so slow that it is a straight line
// to the longest time, nor over before the shortest.
inline GelGrowthFit fit_gel_growth(const VectorXd& time, const VectorXd& strength) {
  constexpr int nodes = 80;
  GelGrowthFit fit;
  fit.given = time.size();
  for (Index i = 0; i < time.size(); ++i)
    if (std::isfinite(time[i]) && time[i] > 0.0 && std::isfinite(strength[i])) fit.used.push_back(i);
  const Index n = static_cast<Index>(fit.used.size());
  VectorXd times(n);
  Problem& p = fit.problem;
  p.observed.resize(n);
  p.spread = VectorXd::Ones(n);
  for (Index k = 0; k < n; ++k) {
    times[k] = time[fit.used[static_cast<std::size_t>(k)]];
    p.observed[k] = strength[fit.used[static_cast<std::size_t>(k)]];
  }
  if (n == 0 || different(times) < 2) return fit;
  const double most = p.observed.cwiseAbs().maxCoeff();
  p.evaluate = curve<2>(GelGrowth{}, times);
  p.bounds = {Bounds{0.0, infinity}, Bounds{1e-4 / times.maxCoeff(), 1e2 / times.minCoeff()}};
  p.typical = VectorXd::Zero(2);
  p.typical << (most > 0.0 ? most : 1.0), 1.0 / times.maxCoeff();
  // For each rate the best final strength; the best rates are where to start.
  std::vector<std::pair<double, VectorXd>> scanned;
  for (const double rate : detail::geometric(p.bounds[1].low, p.bounds[1].high, nodes)) {
    VectorXd unit(n), start(2);
    for (Index k = 0; k < n; ++k) unit[k] = GelGrowth{}(times[k], std::array<double, 2>{1.0, rate});
    const double final_strength = unit.dot(p.observed) / unit.squaredNorm();
    start << (final_strength > 0.0 ? final_strength : 0.0), rate;
    scanned.emplace_back((p.observed - start[0] * unit).squaredNorm(), start);
  }
  std::vector<VectorXd> starts;
  for (std::size_t k = 0; k < scanned.size(); ++k) {
    const bool below = k == 0 || scanned[k].first <= scanned[k - 1].first;
    const bool above = k + 1 == scanned.size() || scanned[k].first <= scanned[k + 1].first;
    if (below && above && starts.size() < 4) starts.push_back(scanned[k].second);
  }
  fit.solution = least_squares(p, starts);
  const Solution& s = fit.solution;
  fit.studentized = studentized_residuals(p, s);
  const Index suspect = suspect_reading(p, s, fit.studentized);
  if (suspect >= 0) fit.suspect = fit.used[static_cast<std::size_t>(suspect)];
  const auto any = [&](auto... states) {
    return std::any_of(s.states.begin(), s.states.end(), [&](ParameterState x) { return ((x == states) || ...); });
  };
  fit.status = falls_or_stays(p, times)                                          ? FitStatus::flat
               : !s.converged                                                    ? FitStatus::not_converged
               : different(times) < 3 || any(ParameterState::without_effect)     ? FitStatus::not_identifiable
               : fit.suspect >= 0                                                ? FitStatus::suspect_reading
               : any(ParameterState::at_low, ParameterState::at_high)            ? FitStatus::at_bound
                                                                                 : FitStatus::fitted;
  return fit;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::fitting
