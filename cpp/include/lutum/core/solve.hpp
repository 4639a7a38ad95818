// A root that a formula defines: bracketed on the value, then one Newton step in the scalar of the caller at the
// solution, which gives the exact gradient of the implicit function and leaves the bits of the value alone.
#pragma once

#include "lutum/core/traced.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

// A value as a scalar that depends on nothing.
template <class T>
T without_slope(const value_type_of<T>& x) {
  if constexpr (std::is_constructible_v<T, value_type_of<T>>) {
    return T(x);
  } else {
    return T::constant(x);
  }
}

// Where a root lies, and a first guess at it (held inside).
template <class T>
struct Bracket {
  T low, high, start;
};

namespace detail {

// Newton's method on an increasing residual kept inside its bracket. A lane that has arrived is frozen, so its bits do
// not depend on its neighbours. A missing parameter gives a missing root.
template <class V, class F, class... P>
V find_root(F residual, V low, V high, V start, const P&... parameters) {
  using D = dual<1, V>;
  constexpr double near_enough = 1e-8;  // of a Newton step: the next error is its square
  constexpr double round_off = 4e-16;
  constexpr int newton_steps = 50, most_steps = 150;
  V x = smaller(larger(start, low), high);
  flag_of<V> done = !((x == x) & (low <= high));
  x = select(done, V(not_a_number), x);
  for (int i = 0; i < most_steps && !all(done); ++i) {
    const D r = residual(D::seed(x, 0), D::constant(parameters)...);
    const V f = r.value;
    low = select(f < V(0.0), x, low);
    high = select(f < V(0.0), high, x);
    const V newton = x - f / r.slope[0];
    // A Newton step that leaves the bracket, or that is still at it after so many, gives way to halving the bracket.
    const flag_of<V> good = (newton >= low) & (newton <= high) & (V(i) < V(newton_steps));
    const V next = select(good, newton, V(0.5) * (low + high));
    const V move = abs(next - x);
    const V least = V(round_off) * larger(abs(x), V(1.0));
    const flag_of<V> arrived = (good & (move <= larger(V(near_enough), least))) | (high - low <= least);
    const flag_of<V> lost = !(f == f);
    x = select(done, x, select(lost, f, next));
    done = done | arrived | lost;
  }
  return select(done, x, V(not_a_number));  // not arrived: never a number that looks like a root
}

// A root found on the values, as a step of a worked solution: its equation, the bracket and what is left of the equation there.
template <class Equation>
traced traced_root(const Step& unknown, double root, double low, double high, Trace* trace, Equation equation) {
  if (trace == nullptr) return traced(root);
  Node n;
  n.operation = Operation::solve;
  n.value = root;
  n.dimension = info(unknown.quantity).dimension;
  n.bracket[0] = low;
  n.bracket[1] = high;
  Node* node = trace->add(std::move(n));
  const traced z = trace->name(traced(root, node), std::string(unknown.symbol), unknown.quantity, unknown.meaning, {});
  const traced r = equation(z);
  node->first = r.node;
  node->residual = r.value;
  return z;
}

// The same for a dual: one Newton step, which is the exact derivative of the implicit function. `slope` is that of the equation.
template <class T, class Equation>
T implicit_root(const value_type_of<T>& root, const value_type_of<T>& slope, Equation equation) {
  const T r = equation(T::constant(root));
  T z = T::constant(root);
  for (std::size_t i = 0; i < std::size(z.slope); ++i) z.slope[i] = -r.slope[i] / slope;
  return z;
}

}  // namespace detail

// What solve() makes of a root that a search of its own has found in a bracket.
template <class T, class F, class... P>
T solved(const Step& unknown, F residual, const value_type_of<T>& root, [[maybe_unused]] const value_type_of<T>& low,
         [[maybe_unused]] const value_type_of<T>& high, const P&... parameters) {
  using V = value_type_of<T>;
  if constexpr (std::is_same_v<T, traced>) {
    Trace* trace = nullptr;
    ((trace = parameters.node != nullptr ? parameters.node->trace : trace), ...);
    return detail::traced_root(unknown, root, low, high, trace, [&](const traced& z) { return residual(z, parameters...); });
  } else if constexpr (std::is_same_v<T, V>) {
    return root;
  } else {
    using D = dual<1, V>;
    const V slope = residual(D::seed(root, 0), D::constant(value_of(parameters))...).slope[0];
    return detail::implicit_root<T>(root, slope, [&](const T& z) { return residual(z, parameters...); });
  }
}

// The unknown z of an increasing `residual(z, parameters...) = 0` in a bracket. The residual is a generic function
// object without state: everything it needs comes as a parameter.
template <class T, class F, class... P>
T solve(const Step& unknown, F residual, const Bracket<T>& bracket, const P&... parameters) {
  using V = value_type_of<T>;
  const V root = detail::find_root<V>(residual, value_of(bracket.low), value_of(bracket.high), value_of(bracket.start), value_of(parameters)...);
  return solved<T>(unknown, residual, root, value_of(bracket.low), value_of(bracket.high), parameters...);
}

}  // namespace lutum::inline LUTUM_ISA_TAG
