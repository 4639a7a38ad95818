// Least squares of a yield power law, stress = t + K x with x = (rate / reference)^n. For a given n the best t and K are
// linear algebra, which leaves one unknown: the n where the slope of the projected sum of squares is zero.
#pragma once

#include "lutum/core/solve.hpp"
#include "lutum/rheology/projected_scan.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

// For one index: what is best then, and the sums over the readings that the curvature needs too.
template <class T>
struct Projection {
  T yield_stress, consistency;  // the latter as stress of the power term at the reference rate
  T mean_x, spread;             // spread: weighted squares of x about its mean, or of x itself where the yield stress is held
  decltype(std::declval<T>() < std::declval<T>()) held;  // the yield stress lies at one of its bounds
};

namespace projected {

// From the weighted sums of x, x^2 and x times stress less its mean.
template <class T>
Projection<T> project(const T& x, const T& xx, const T& xs, const T& weights, const T& mean_stress, const Interval<T>& yield_stress) {
  const T mean_x = step({"x_{mean}", Quantity::number, "weighted mean of the powers"}, x / weights);
  const T centred = step({"S_{xx}", Quantity::number, "weighted squares of the powers about their mean"}, xx - x * mean_x);
  const Step power_term{"K_{r}", Quantity::stress, "power term at the highest rate"};
  const T slope = step(power_term, xs / centred);
  const T free = step({"\\tau_0", Quantity::stress, "yield stress of the best curve"}, mean_stress - slope * mean_x);
  const auto low = free < yield_stress.lowest, high = free > yield_stress.highest;
  const T bound = select(low, yield_stress.lowest, yield_stress.highest);
  const decltype(free < free) held = low | high;
  return {select(held, bound, free), select(held, step(power_term, (xs + (mean_stress - bound) * x) / xx), slope), mean_x, select(held, xx, centred), held};
}

template <class T, std::size_t Most>
struct Evaluation {
  std::array<T, Most> x;
  Projection<T> best;
};

template <class T, std::size_t Most>
Projection<T> project_onto(const std::array<T, Most>& x, const WeightedReadings<T, Most>& in, const Interval<T>& yield_stress) {
  T sum(0.0), squares(0.0), products(0.0);
  for (std::size_t i = 0; i < in.count; ++i) {
    const T weighted = in.weight[i] * x[i];
    sum = sum + weighted;
    squares = squares + weighted * x[i];
    products = products + weighted * in.stress[i];
  }
  return project(sum, squares, products, in.sum_of_weights, in.mean_stress, yield_stress);
}

inline constexpr Places powers{"x_{1}", "x_{2}", "x_{3}", "x_{4}", "x_{5}", "x_{6}", "x_{7}", "x_{8}", "x_{9}", "x_{10}", "x_{11}", "x_{12}"};

template <class T, std::size_t Most>
Evaluation<T, Most> project_at(const T& index, const WeightedReadings<T, Most>& in, const Interval<T>& yield_stress) {
  Evaluation<T, Most> e;
  for (std::size_t i = 0; i < in.count; ++i)
    e.x[i] = step({powers[i], Quantity::number, "power of each rate: its share of the highest rate, to the flow index"}, exp(index * in.log_rate[i]));
  e.best = project_onto(e.x, in, yield_stress);
  return e;
}

// The powers x when the index has moved on: a short series for small moves, an exponential for others.
template <class V, std::size_t Most>
void move_on(std::array<V, Most>& x, V index, V move, const WeightedReadings<V, Most>& in) {
  constexpr double small = 0.15;  // the first term left out is 2e-15 of x
  for (std::size_t i = 0; i < in.count; ++i) {
    const V z = move * in.log_rate[i];
    const V near = x[i] * lutum::detail::polynomial(z, 1.0 / 362880.0, 1.0 / 40320.0, 1.0 / 5040.0, 1.0 / 720.0, 1.0 / 120.0, 1.0 / 24.0, 1.0 / 6.0,
                                                    0.5, 1.0, 1.0);
    const flag_of<V> far = !(abs(z) <= V(small));
    x[i] = any(far) ? select(far, exp(index * in.log_rate[i]), near) : near;
  }
}

// Half the slope of the projected sum of squares over n, divided by the consistency, and its derivative.
template <class V>
struct Slope {
  V value, curvature;
};

inline constexpr Places residuals{"r_{1}", "r_{2}", "r_{3}", "r_{4}", "r_{5}", "r_{6}", "r_{7}", "r_{8}", "r_{9}", "r_{10}", "r_{11}", "r_{12}"};

template <class T, std::size_t Most>
T residual_at(std::size_t i, const Evaluation<T, Most>& e, const WeightedReadings<T, Most>& in) {
  return step({residuals[i], Quantity::stress, "stress read less stress by the curve of that index"},
              (in.stress[i] + (in.mean_stress - e.best.yield_stress)) - e.best.consistency * e.x[i]);
}

template <class V, std::size_t Most>
Slope<V> slope_of(const Evaluation<V, Most>& e, const WeightedReadings<V, Most>& in) {
  V steep(0.0), steeper(0.0), y(0.0), xy(0.0), yy(0.0);
  for (std::size_t i = 0; i < in.count; ++i) {
    const V weighted = in.weight[i] * (e.x[i] * in.log_rate[i]);  // dx/dn
    const V left = residual_at(i, e, in);
    steep = steep + weighted * left;
    steeper = steeper + weighted * in.log_rate[i] * left;
    y = y + weighted;
    xy = xy + weighted * e.x[i];
    yy = yy + weighted * (e.x[i] * in.log_rate[i]);
  }
  // What the best yield stress and consistency take back when n moves.
  const V with_consistency = e.best.consistency * xy - steep;
  const V apart = with_consistency - select(e.best.held, V(0.0), e.best.mean_x * (e.best.consistency * y));
  const V back = square(apart) / e.best.spread + select(e.best.held, V(0.0), square(e.best.consistency * y) / in.sum_of_weights);
  return {-steep, e.best.consistency * yy - steeper - back / e.best.consistency};
}

// From a hill of the scan to its top; missing where there is none.
template <class V, std::size_t Most>
V climb_from(const Peak<V>& peak, const WeightedReadings<V, Most>& in, const PowerGrid<V, Most>& grid, const Interval<V>& yield_stress, const Interval<V>& index) {
  constexpr double near_by_halley = 1e-6, near_by_newton = 1e-8;  // of the last step: its square is left, by Halley's times that of the step before
  constexpr double round_off = 4e-16;
  constexpr int most_steps = 100;
  const V node = index.lowest + peak.node * grid.step;
  V low = larger(node - grid.step, index.lowest), high = smaller(node + grid.step, index.highest);
  V n = smaller(node + peak.offset * grid.step, index.highest);
  const flag_of<V> lost = !(n == n);
  flag_of<V> done = lost | (!peak.found);
  n = select(done, V(not_a_number), n);
  V last_n(not_a_number), last_slope(0.0), last_curvature(0.0);
  flag_of<V> last_held = n == n;
  Evaluation<V, Most> here{};
  at_node(here.x, peak.node, in.count, grid);
  move_on(here.x, n, n - node, in);
  here.best = project_onto(here.x, in, yield_stress);
  for (int i = 0; i < most_steps && !all(done); ++i) {
    const auto f = slope_of(here, in);
    low = select(f.value < V(0.0), n, low);
    high = select(f.value > V(0.0), n, high);
    // Halley's step where the step before tells how the slope bends, by the cubic through both, and Newton's where it does not.
    // The consistency moves with n: without it these would not be a slope and its derivative.
    const V move = f.value / f.curvature, slope = here.best.consistency * f.value, curvature = here.best.consistency * f.curvature;
    const V back = n - last_n;
    const V bend = (V(4.0) * curvature + V(2.0) * last_curvature - V(6.0) * (slope - last_slope) / back) / back;
    const V bent = V(0.5) * move * bend / curvature;
    const flag_of<V> same_bounds = select_flag(last_held, here.best.held, !here.best.held), gentle = abs(bent) < V(0.1);
    const flag_of<V> smooth = same_bounds & gentle;
    const V target = n - move * select(smooth, V(1.0) + bent, V(1.0));
    const flag_of<V> good = (f.curvature > V(0.0)) & (target >= low) & (target <= high);
    last_n = select(done, last_n, n);
    last_slope = slope;
    last_curvature = curvature;
    last_held = here.best.held;
    // No valley ahead: the end of the bracket if it is the end of the range, unless n stands there; else halve.
    const V end = select(f.value < V(0.0), high, low);
    const flag_of<V> to_end = ((end == index.lowest) | (end == index.highest)) & !(end == n) & (V(i) < V(8.0));
    const V next = select(good, target, select(to_end, end, V(0.5) * (low + high)));
    const flag_of<V> arrived = (good & (abs(move) <= select(smooth, V(near_by_halley), V(near_by_newton)))) | (high - low <= V(round_off));
    const V from = n;
    n = select(done, n, next);
    done = done | arrived;
    if (all(done)) break;
    move_on(here.x, n, n - from, in);
    here.best = project_onto(here.x, in, yield_stress);
  }
  return select(done, n, V(not_a_number));
}

template <class V, std::size_t Most>
V squares_left(const V& index, const WeightedReadings<V, Most>& in, const Interval<V>& yield_stress) {
  const auto e = project_at(index, in, yield_stress);
  V sum(0.0);
  for (std::size_t i = 0; i < in.count; ++i) sum = sum + in.weight[i] * square(residual_at(i, e, in));
  return sum;
}

}  // namespace projected

// The best index for every record. Where no index explains anything (constant or falling stresses) it is missing.
template <class V, std::size_t Most>
V best_index(const WeightedReadings<V, Most>& in, const PowerGrid<V, Most>& grid, const Interval<V>& yield_stress, const Interval<V>& index) {
  const auto peaks = projected::scan(in, grid, yield_stress);
  const V first = projected::climb_from(peaks.first, in, grid, yield_stress, index);
  if (!any(peaks.second.found)) return first;
  const V second = projected::climb_from(peaks.second, in, grid, yield_stress, index);
  const flag_of<V> better = projected::squares_left(second, in, yield_stress) < projected::squares_left(first, in, yield_stress);
  return select(better & peaks.second.found, second, first);
}

// The same for any scalar: the search is made on the values, then one step in T where the slope is zero. At a bound of the
// index its derivative is that of the bound.
template <class T, std::size_t Most>
T fitted_index(const Step& unknown, const WeightedReadings<T, Most>& in, const PowerGrid<value_type_of<T>, Most>& grid,
               const Interval<T>& yield_stress, const Interval<T>& index) {
  using V = value_type_of<T>;
  if constexpr (std::is_same_v<T, V>) {
    return best_index(in, grid, yield_stress, index);
  } else {
    WeightedReadings<V, Most> plain{in.count, {}, {}, {}, value_of(in.sum_of_weights), value_of(in.mean_stress)};
    for (std::size_t i = 0; i < in.count; ++i) {
      plain.log_rate[i] = value_of(in.log_rate[i]);
      plain.stress[i] = value_of(in.stress[i]);
      plain.weight[i] = value_of(in.weight[i]);
    }
    const Interval<V> yield{value_of(yield_stress.lowest), value_of(yield_stress.highest)}, range{value_of(index.lowest), value_of(index.highest)};
    const V n = best_index(plain, grid, yield, range);
    const flag_of<V> at_low = n == range.lowest, at_high = n == range.highest;
    const auto slope_in = [&](const T& z) {
      const auto e = projected::project_at(z, in, yield_stress);
      T sum(0.0);
      for (std::size_t i = 0; i < in.count; ++i) {
        const T part = in.weight[i] * e.x[i] * in.log_rate[i] * projected::residual_at(i, e, in);
        sum = sum + part;
      }
      return sum;
    };
    if constexpr (std::is_same_v<T, traced>) {
      if (at_low || at_high) return step(unknown, at_low ? index.lowest : index.highest);
      Trace* trace = in.mean_stress.node != nullptr ? in.mean_stress.node->trace : nullptr;
      const traced z = lutum::detail::traced_root(unknown, n, range.lowest, range.highest, trace, slope_in);
      if (z.node != nullptr) z.node->left = index.lowest.node, z.node->right = index.highest.node;  // the bracket is told by its bounds
      return z;
    } else {
      const V curvature = projected::slope_of(projected::project_at(n, plain, yield), plain).curvature;
      T z = lutum::detail::implicit_root<T>(n, curvature, [&](const T& at) { return -slope_in(at); });
      for (std::size_t i = 0; i < std::size(z.slope); ++i)
        z.slope[i] = select(at_low, index.lowest.slope[i], select(at_high, index.highest.slope[i], z.slope[i]));
      return z;
    }
  }
}

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
