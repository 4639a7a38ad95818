// Least squares of a yield power law, stress = t + K x with x = (rate / reference)^n. For a given n the best t and K are
// linear algebra, which leaves one unknown: the n where the slope of the projected sum of squares is zero. A scan over
// the whole range of n comes first, because a yield stress at its bound can make a second minimum.
#pragma once

#include <array>
#include <cstddef>

#include "lutum/core/traced.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

inline constexpr std::size_t scan_nodes = 24;

// Logarithms of the rates, by the places where any record has one.
template <class T, std::size_t Most>
struct LogRates {
  std::size_t count = 0;
  std::array<std::size_t, Most> place;
  std::array<T, Most> log_rate;  // of rate / reference, the highest rate; zero where a record has none
  T log_reference;               // of reference / (1 s-1)
};

// The powers (rate / reference)^n at every node of the scan, and their sums when each reading counts once: records at the
// same rates share them.
template <class V, std::size_t Most>
struct PowerGrid {
  std::array<std::array<V, Most>, scan_nodes> x;
  std::array<V, scan_nodes> sum, squares;
  V lowest, step;  // of the index
};

// Readings by place; one that a record lacks has weight zero there, and takes no part.
template <class T, std::size_t Most>
struct WeightedReadings {
  std::size_t count = 0;
  std::array<T, Most> log_rate;
  std::array<T, Most> stress;  // less the weighted mean stress
  std::array<T, Most> weight;
  T sum_of_weights;
  T mean_stress;
};

template <class T, std::size_t Most>
LogRates<value_type_of<T>, Most> values_of(const LogRates<T, Most>& r) {
  if constexpr (std::is_same_v<T, value_type_of<T>>) {
    return r;
  } else {
    LogRates<value_type_of<T>, Most> plain{r.count, r.place, {}, value_of(r.log_reference)};
    for (std::size_t i = 0; i < r.count; ++i) plain.log_rate[i] = value_of(r.log_rate[i]);
    return plain;
  }
}

template <class T>
struct Interval {
  T lowest, highest;
};

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
  const T free = mean_stress - slope * mean_x;
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

template <class T, std::size_t Most>
Evaluation<T, Most> project_at(const T& index, const WeightedReadings<T, Most>& in, const Interval<T>& yield_stress) {
  Evaluation<T, Most> e;
  constexpr std::array<std::string_view, 12> names{"x_{1}", "x_{2}", "x_{3}", "x_{4}", "x_{5}", "x_{6}", "x_{7}", "x_{8}", "x_{9}", "x_{10}", "x_{11}", "x_{12}"};
  for (std::size_t i = 0; i < in.count; ++i)
    e.x[i] = step({names[i], Quantity::number, "power of each rate: its share of the highest rate, to the flow index"}, exp(index * in.log_rate[i]));
  e.best = project_onto(e.x, in, yield_stress);
  return e;
}

// The powers x when the index has moved on: a short series for small moves, an exponential for others.
template <class V, std::size_t Most>
void move_on(std::array<V, Most>& x, V index, V move, const WeightedReadings<V, Most>& in) {
  constexpr double small = 0.15;  // the first term left out is 1e-13 of x
  for (std::size_t i = 0; i < in.count; ++i) {
    const V z = move * in.log_rate[i];
    const V near = x[i] * lutum::detail::polynomial(z, 1.0 / 40320.0, 1.0 / 5040.0, 1.0 / 720.0, 1.0 / 120.0, 1.0 / 24.0, 1.0 / 6.0, 0.5, 1.0, 1.0);
    const flag_of<V> far = !(abs(z) <= V(small));
    x[i] = any(far) ? select(far, exp(index * in.log_rate[i]), near) : near;
  }
}

constexpr bool select_flag(bool choose, bool yes, bool no) { return choose ? yes : no; }
template <int W>
constexpr mask<W> select_flag(mask<W> choose, mask<W> yes, mask<W> no) {
  return (choose & yes) | ((!choose) & no);
}

// Every node is a factor from the one before: two exponentials a rate.
template <class V, std::size_t Most>
PowerGrid<V, Most> power_grid(const LogRates<V, Most>& rates, const Interval<V>& index) {
  PowerGrid<V, Most> g;
  g.lowest = index.lowest;
  g.step = (index.highest - index.lowest) / V(double(scan_nodes - 1));
  std::array<V, Most> x, factor;
  for (std::size_t i = 0; i < rates.count; ++i) {
    x[i] = exp(index.lowest * rates.log_rate[i]);
    factor[i] = exp(g.step * rates.log_rate[i]);
  }
  for (std::size_t k = 0; k < scan_nodes; ++k) {
    V sum(0.0), squares(0.0);
    for (std::size_t i = 0; i < rates.count; ++i) {
      g.x[k][i] = x[i];
      sum = sum + x[i];
      squares = squares + x[i] * x[i];
      x[i] = x[i] * factor[i];
    }
    g.sum[k] = sum;
    g.squares[k] = squares;
  }
  return g;
}

// Where on the grid most of the scatter is explained: the node at the top of each hill, and how far (of a step) the top of the
// parabola through it and its neighbours lies from it. The two highest hills: which of them is higher shows only at their tops.
template <class V>
struct Peak {
  V node, offset;
  flag_of<V> found;
};

template <class V>
struct Peaks {
  Peak<V> first, second;  // by their heights
};

template <class V, std::size_t Most>
Peaks<V> scan(const WeightedReadings<V, Most>& in, const PowerGrid<V, Most>& grid, const Interval<V>& yield_stress) {
  V scatter(0.0);
  flag_of<V> once = in.sum_of_weights == in.sum_of_weights;
  for (std::size_t i = 0; i < in.count; ++i) {
    scatter = scatter + in.weight[i] * square(in.stress[i]);
    once = once & (in.weight[i] == V(1.0));
  }
  const bool each_once = all(once);
  const V part = V(1.0) / in.sum_of_weights;
  const V over = in.mean_stress - yield_stress.lowest, under = in.mean_stress - yield_stress.highest;
  const bool from_above = any(under > V(0.0));
  const V nothing(-infinity);
  V most = nothing, before = nothing, last = nothing;
  Peak<V> best{V(0.0), V(0.0), most > V(0.0)}, second = best;
  V next_most = nothing;
  const auto climb = [&](V next, double node) {  // whether the node before `next` is a top
    const flag_of<V> top = (last > next) & (last >= before) & (last > nothing);
    if (!any(top)) return;
    const V bend = (last - before) + (last - next), tilt = next - before;
    const flag_of<V> inside = (before > nothing) & (next > nothing);
    const V offset = select(inside, V(0.5) * tilt / bend, V(0.0));
    const V height = last + V(0.25) * tilt * offset;
    const V reached = select(inside, height, last);
    const auto take = [&](flag_of<V> better, const Peak<V>& from, const Peak<V>& to) {
      const flag_of<V> found = select_flag(better, from.found, to.found);
      return Peak<V>{select(better, from.node, to.node), select(better, from.offset, to.offset), found};
    };
    const Peak<V> here{V(node), offset, top};
    const flag_of<V> highest = top & (reached > most), higher = top & (reached > next_most);
    second = take(highest, best, take(higher, here, second));
    next_most = select(highest, most, select(higher, reached, next_most));
    best = take(highest, here, best);
    most = select(highest, reached, most);
  };
  for (std::size_t k = 0; k < scan_nodes; ++k) {
    V sum = grid.sum[k], squares = grid.squares[k], products(0.0);
    if (each_once) {
      for (std::size_t i = 0; i < in.count; ++i) products = products + grid.x[k][i] * in.stress[i];
    } else {
      sum = squares = V(0.0);
      for (std::size_t i = 0; i < in.count; ++i) {
        const V weighted = in.weight[i] * grid.x[k][i];
        sum = sum + weighted;
        squares = squares + weighted * grid.x[k][i];
        products = products + weighted * in.stress[i];
      }
    }
    const V mean = sum * part;
    const V centred = squares - sum * mean;
    V with = products, denominator = centred, numerator = products * products;
    flag_of<V> held = over * centred < products * mean;
    const V above = from_above ? select(held, over, under) : over;
    if (from_above) held = held | (under * centred > products * mean);
    if (any(held)) {
      with = select(held, products + above * sum, products);
      denominator = select(held, squares, centred);
      numerator = with * with - select(held, in.sum_of_weights * above * above * squares, V(0.0));
    }
    const V explained = select((with > V(0.0)) & (denominator > V(0.0)), numerator / denominator, nothing);
    climb(explained, double(k) - 1.0);
    before = last;
    last = explained;
  }
  climb(nothing, double(scan_nodes) - 1.0);
  // Stresses alike to rounding, and a yield stress free to be their mean: nothing is left to explain.
  const flag_of<V> free = (over >= V(0.0)) & (under <= V(0.0));
  const flag_of<V> alike = scatter <= V(1e-24) * in.sum_of_weights * square(in.mean_stress);
  best.found = best.found & !(free & alike);
  return {best, second};
}

// The powers of each record at its own node.
template <std::size_t Most>
void at_node(std::array<double, Most>& x, double node, std::size_t count, const PowerGrid<double, Most>& grid) {
  for (std::size_t i = 0; i < count; ++i) x[i] = grid.x[static_cast<std::size_t>(node)][i];
}
template <int W, std::size_t Most>
void at_node(std::array<pack<W>, Most>& x, pack<W> node, std::size_t count, const PowerGrid<pack<W>, Most>& grid) {
  for (int lane = 0; lane < W; ++lane) {
    const auto k = static_cast<std::size_t>(node.lane[lane]);
    for (std::size_t i = 0; i < count; ++i) x[i].lane[lane] = grid.x[k][i].lane[lane];
  }
}

// Half the slope of the projected sum of squares over n, divided by the consistency, and its derivative.
template <class V>
struct Slope {
  V value, curvature;
};

template <class T, std::size_t Most>
T residual_at(std::size_t i, const Evaluation<T, Most>& e, const WeightedReadings<T, Most>& in) {
  return (in.stress[i] + (in.mean_stress - e.best.yield_stress)) - e.best.consistency * e.x[i];
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
  constexpr double near_by_halley = 1e-6, near_by_newton = 1e-8;  // of a step: the next error is its cube, its square
  constexpr double round_off = 4e-16;
  constexpr int most_steps = 100;
  const V node = index.lowest + peak.node * grid.step;
  V low = larger(node - grid.step, index.lowest), high = smaller(node + grid.step, index.highest);
  V n = smaller(node + peak.offset * grid.step, index.highest);
  const flag_of<V> lost = !(n == n);
  flag_of<V> done = lost | (!peak.found);
  n = select(done, V(not_a_number), n);
  V last_n(not_a_number), last_curvature(0.0);
  flag_of<V> last_held = n == n;
  Evaluation<V, Most> here{};
  at_node(here.x, peak.node, in.count, grid);
  move_on(here.x, n, n - node, in);
  here.best = project_onto(here.x, in, yield_stress);
  for (int i = 0; i < most_steps && !all(done); ++i) {
    const auto f = slope_of(here, in);
    low = select(f.value < V(0.0), n, low);
    high = select(f.value > V(0.0), n, high);
    // Halley's step where the step before tells how the curvature changes, and Newton's where it does not.
    const V move = f.value / f.curvature;
    const V bent = V(0.5) * move * (f.curvature - last_curvature) / ((n - last_n) * f.curvature);
    const flag_of<V> same_bounds = select_flag(last_held, here.best.held, !here.best.held), gentle = abs(bent) < V(0.1);
    const flag_of<V> smooth = same_bounds & gentle;
    const V target = n - move * select(smooth, V(1.0) + bent, V(1.0));
    const flag_of<V> good = (f.curvature > V(0.0)) & (target >= low) & (target <= high);
    last_n = select(done, last_n, n);
    last_curvature = f.curvature;
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
      if (trace == nullptr) return traced(n);
      Node node;
      node.operation = Operation::solve;
      node.value = n;
      node.bracket[0] = range.lowest;
      node.bracket[1] = range.highest;
      Node* made = trace->add(std::move(node));
      const traced z = trace->name(traced(n, made), std::string(unknown.symbol), unknown.quantity, unknown.meaning, {});
      const traced r = slope_in(z);
      made->first = r.node;
      made->residual = r.value;
      return z;
    } else {
      const V curvature = projected::slope_of(projected::project_at(n, plain, yield), plain).curvature;
      const T r = slope_in(T::constant(n));
      T z = T::constant(n);
      for (std::size_t i = 0; i < std::size(z.slope); ++i)
        z.slope[i] = select(at_low, index.lowest.slope[i], select(at_high, index.highest.slope[i], r.slope[i] / curvature));
      return z;
    }
  }
}

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
