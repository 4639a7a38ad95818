// The readings of a yield power law fit, and the scan over its index that comes before the search (projected_index.hpp). A scan,
// because a yield stress at its bound can make a second minimum.
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
  V step;  // of the index
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

namespace projected {

// Symbols of a step by the place of the reading.
using Places = std::array<std::string_view, 12>;

constexpr bool select_flag(bool choose, bool yes, bool no) { return choose ? yes : no; }
template <int W>
constexpr mask<W> select_flag(mask<W> choose, mask<W> yes, mask<W> no) {
  return (choose & yes) | ((!choose) & no);
}

// Every node is a factor from the one before: two exponentials a rate.
template <class V, std::size_t Most>
PowerGrid<V, Most> power_grid(const LogRates<V, Most>& rates, const Interval<V>& index) {
  PowerGrid<V, Most> g;
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

}  // namespace projected

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
