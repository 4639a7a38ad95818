// Laminar flow of a yield-power-law fluid in a concentric annulus whose pipe moves along its axis: searches on numbers, the integrals for any scalar.
//
// Radii by that of the hole: pipe at k. Stress s(x) = A x + C/x, positive where the velocity up the hole falls outward; it is also the
// sum of the wall stresses times their shares, s = s_k f_k + s_1 f_1, f_k = k (1 - x^2)/(x (1 - k^2)), f_1 = (x^2 - k^2)/(x (1 - k^2)).
// With g the shear rate of the stress, no slip and the flow are
//   integral of g f_1 x = mean velocity against the hole,  integral of g f_k x = - k mean velocity against the pipe,
// the slopes of one convex function of the two wall stresses: there is one solution for any flow, found by Newton's method.
// Unknown are the excesses over yield, e_p and e_h: s_k = -(b + e_p), s_1 = b + e_h; stresses by S_0, b = yield stress / S_0.
// Where the fluid is sheared is found first: a layer at each wall up to where the stress is the yield stress, which may lie outside
// of the gap. From there, a distance that goes with t^q, q = 6/(a + 1), makes the integrands t^5 times smooth factors.
#pragma once

#include "lutum/core/gauss_points.hpp"
#include "lutum/hydraulics/friction.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

// Those integrals, pipe (sign turned) and hole, and their slopes by the excesses, the inverse index a, b and k.
template <class V>
struct WallMoments {
  V pipe, hole, pipe_pipe, pipe_hole, hole_hole, pipe_index, hole_index, pipe_yield, hole_yield, pipe_ratio, hole_ratio;
};

// Gauss points of t from t0 to 1: t^q, and what they weigh of q t^(q - 1) dt.
template <class V>
struct LayerPoints {
  std::array<V, 16> power, weight;

  LayerPoints(const V& a, const V& t0) {
    const V q = V(6.0) / (a + V(1.0)), span = V(1.0) - t0;
    std::size_t i = 0;
    for (const lutum::detail::GaussPoint& g : lutum::detail::gauss_points)
      for (const double side : {-1.0, 1.0}) {
        const V t = t0 + span * V(0.5 + 0.5 * side * g.place);
        power[i] = exp(q * log(t));
        weight[i] = V(0.5 * g.weight) * span * q * power[i] / t;
        ++i;
      }
  }
};

// One layer: integrals with the share of its own wall (near) and of the other (far).
template <class V>
struct LayerSums {
  V near{0.0}, far{0.0}, near_near{0.0}, near_far{0.0}, far_far{0.0}, near_index{0.0}, far_index{0.0}, near_yield{0.0}, far_yield{0.0};
};

// `width` from the wall to the edge, `end` to where the layer ends before that; gap 1 - k; excess at the wall; far_stress: of the other
// wall, positive when of the same sign; usual: the stress has the sign that e_p and e_h are counted from; `points` of a layer that ends
// at its edge.
template <class V>
[[gnu::noinline]] LayerSums<V> layer_sums(bool at_hole, const V& width, const V& end, const V& gap, const V& excess, const V& far_stress, const V& a,
                                          const V& b, flag_of<V> usual, const LayerPoints<V>& points) {
  const V one(1.0), k = one - gap, by = one / (gap * (one + k)), wall_stress = b + excess;
  // At the pipe 1/x goes with t^q, for the stress has a term in it; at the hole x itself.
  const V span = at_hole ? width : width / (k * (k + width)), origin = at_hole ? one - width : one / (k + width);
  const V rest = (width - end) / width * (at_hole ? one : k / (k + end));
  const flag_of<V> beyond = width > end;
  const LayerPoints<V> at = any(beyond) ? LayerPoints<V>(a, select(beyond, exp(log(rest) * (a + one) / V(6.0)), V(0.0))) : points;
  LayerSums<V> r;
  for (std::size_t i = 0; i < at.power.size(); ++i) {
    const V place = origin + span * at.power[i], turned = one / place, x = at_hole ? place : turned, by_x = at_hole ? turned : place;
    const V d = span * (one - at.power[i]) * (at_hole ? one : k * x), dx = span * (at_hole ? one : x * x), per_x = d * by * by_x;
    const V fall = per_x * (at_hole ? x + k * k : one + k * x);  // 1 - share of the near wall
    const V far = per_x * (at_hole ? k * (one + x) : x + k), near = one - fall;
    const V e = larger(excess - fall * wall_stress + far * far_stress, V(1e-300));
    const V ln = log(e), w = at.weight[i] * dx * x * exp(a * ln), slope = w * a / e, w_near = w * near, w_far = w * far;
    const V by_yield = slope * select(usual, -fall - far, far - near - one);
    r.near = r.near + w_near;
    r.far = r.far + w_far;
    r.near_near = r.near_near + slope * near * near;
    r.near_far = r.near_far + slope * near * far;
    r.far_far = r.far_far + slope * far * far;
    r.near_index = r.near_index + w_near * ln;
    r.far_index = r.far_index + w_far * ln;
    r.near_yield = r.near_yield + by_yield * near;
    r.far_yield = r.far_yield + by_yield * far;
  }
  return r;
}

// Width of a layer: where -(c2 d^2 + c1 d - excess) is zero, counted from the wall; not above twice the gap.
template <class V>
V layer_width(const V& c1, const V& c2, const V& excess, const V& gap) {
  const V root = sqrt(larger(c1 * c1 + V(4.0) * c2 * excess, V(0.0))), d = V(2.0) * excess / (c1 + root);
  const flag_of<V> yields = excess > V(0.0), falls = c1 >= V(0.0);  // or the layer of the other wall reaches here
  return select(yields & falls, smaller(d, V(2.0) * gap), V(0.0));
}

template <class V>
[[gnu::noinline]] WallMoments<V> wall_moments(const V& e_pipe, const V& e_hole, const V& a, const V& b, const V& k,
                                              const LayerPoints<V>& points) {
  const V one(1.0), gap = one - k, both = gap * (one + k), s_pipe = -(b + e_pipe), s_hole = b + e_hole;
  const flag_of<V> pipe_usual = s_pipe < V(0.0), hole_usual = !(s_hole < V(0.0));
  const V pipe_sign = select(pipe_usual, V(-1.0), one), hole_sign = select(hole_usual, one, V(-1.0));
  const V pipe_excess = select(pipe_usual, e_pipe, -e_pipe - V(2.0) * b), hole_excess = select(hole_usual, e_hole, -e_hole - V(2.0) * b);
  const V A = (s_hole - k * s_pipe) / both, C = k * (s_pipe - k * s_hole) / both;
  V pipe_width = layer_width(b / k - V(2.0) * pipe_sign * A, -pipe_sign * A / k, pipe_excess, gap);
  V hole_width = layer_width(V(2.0) * hole_sign * A - b, -hole_sign * A, hole_excess, gap);
  // The stress keeps its sign and nowhere falls to yield: two layers that meet where it is least. The edge of each is as far behind
  // that, or behind the other wall, as the complex root.
  const V inner = b * b - V(4.0) * A * C;
  const flag_of<V> whole = inner < V(0.0);
  const V least = sqrt(select(whole, C / A, one)), off_axis = select(whole, -inner / (V(4.0) * A * A), V(0.0));
  const V pipe_end = select(whole, larger(smaller(least - k, gap), V(0.0)), gap), hole_end = select(whole, gap - pipe_end, gap);
  const V behind_hole = square(larger(least - one, V(0.0))) + off_axis, behind_pipe = square(larger(k - least, V(0.0))) + off_axis;
  pipe_width = select(whole, pipe_end + smaller(sqrt(behind_hole), gap), pipe_width);
  hole_width = select(whole, hole_end + smaller(sqrt(behind_pipe), gap), hole_width);
  const V same = pipe_sign * hole_sign;
  const LayerSums<V> p = layer_sums<V>(false, pipe_width, pipe_end, gap, pipe_excess, same * (b + hole_excess), a, b, pipe_usual, points);
  const LayerSums<V> h = layer_sums<V>(true, hole_width, hole_end, gap, hole_excess, same * (b + pipe_excess), a, b, hole_usual, points);
  WallMoments<V> m;
  m.pipe = -(pipe_sign * p.near + hole_sign * h.far);
  m.hole = pipe_sign * p.far + hole_sign * h.near;
  m.pipe_pipe = p.near_near + h.far_far;
  m.pipe_hole = -(p.near_far + h.near_far);
  m.hole_hole = p.far_far + h.near_near;
  m.pipe_index = -(pipe_sign * p.near_index + hole_sign * h.far_index);
  m.hole_index = pipe_sign * p.far_index + hole_sign * h.near_index;
  m.pipe_yield = -(pipe_sign * p.near_yield + hole_sign * h.far_yield);
  m.hole_yield = pipe_sign * p.far_yield + hole_sign * h.near_yield;
  const V steep = (V(2.0) * s_hole - s_pipe * (k + one / k)) / both;  // slope of the stress at the pipe
  const V rate = select(pipe_excess > V(0.0), pipe_sign * exp(a * log(larger(pipe_excess, V(1e-300)))), V(0.0));
  m.pipe_ratio = steep * m.pipe_pipe + m.pipe * (one + k * k) / (k * both) + k * rate;
  m.hole_ratio = steep * m.pipe_hole + V(2.0) * m.pipe / both;
  return m;
}

// The two integrals for any scalar; a worked solution has them as numbers: nobody follows 32 points.
template <class T>
struct WallVelocities {
  T pipe, hole;
};

template <class T>
WallVelocities<T> wall_velocities(const T& e_pipe, const T& e_hole, const T& a, const T& b, const T& k) {
  using V = value_type_of<T>;
  const LayerPoints<V> points(value_of(a), V(0.0));
  const WallMoments<V> m = wall_moments<V>(value_of(e_pipe), value_of(e_hole), value_of(a), value_of(b), value_of(k), points);
  WallVelocities<T> r{T(0.0), T(0.0)};
  if constexpr (std::is_same_v<T, traced> || std::is_same_v<T, V>) {
    r.pipe = T(m.pipe);
    r.hole = T(m.hole);
  } else {
    r.pipe.value = m.pipe;
    r.hole.value = m.hole;
    for (std::size_t i = 0; i < std::size(r.pipe.slope); ++i) {
      const V p = e_pipe.slope[i], h = e_hole.slope[i], by_a = a.slope[i], by_b = b.slope[i], by_k = k.slope[i];
      r.pipe.slope[i] = m.pipe_pipe * p + m.pipe_hole * h + m.pipe_index * by_a + m.pipe_yield * by_b + m.pipe_ratio * by_k;
      r.hole.slope[i] = m.pipe_hole * p + m.hole_hole * h + m.hole_index * by_a + m.hole_yield * by_b + m.hole_ratio * by_k;
    }
  }
  return r;
}

// Both excesses at which the integrals are `pipe` and `hole`; missing where the search does not arrive. Newton's method with steps
// that are halved until the convex function's slope along them has not grown.
template <class V>
struct WallExcess {
  V pipe, hole;
};

template <class V>
[[gnu::noinline]] WallExcess<V> wall_excess(const V& pipe, const V& hole, const V& pipe_start, const V& hole_start, const V& a, const V& b,
                                            const V& k) {
  const LayerPoints<V> points(a, V(0.0));
  V p = pipe_start, h = hole_start, p_step(0.0), h_step(0.0), share(1.0), descent(-infinity);
  flag_of<V> done = !((p == p) & (h == h) & (pipe == pipe) & (hole == hole) & (k > V(0.0)) & (k < V(1.0)));
  V p_found = V(not_a_number), h_found = V(not_a_number);
  for (int i = 0; i < 200 && !all(done); ++i) {
    const V p_new = p + share * p_step, h_new = h + share * h_step;
    const WallMoments<V> m = wall_moments<V>(p_new, h_new, a, b, k, points);
    const V p_rest = m.pipe - pipe, h_rest = m.hole - hole, determinant = m.pipe_pipe * m.hole_hole - m.pipe_hole * m.pipe_hole;
    const V along = p_rest * p_step + h_rest * h_step;
    const flag_of<V> sound = determinant > V(0.0), less = along <= V(-0.9) * descent, good = sound & less;
    const V p_next = (m.pipe_hole * h_rest - m.hole_hole * p_rest) / determinant;
    const V h_next = (m.pipe_hole * p_rest - m.pipe_pipe * h_rest) / determinant;
    p = select(good, p_new, p);
    h = select(good, h_new, h);
    p_step = select(good, p_next, p_step);
    h_step = select(good, h_next, h_step);
    descent = select(good, p_rest * p_next + h_rest * h_next, descent);
    const V most = V(0.5) * (b + abs(p) + abs(h));
    share = select(good, smaller(V(1.0), most / larger(abs(p_step), abs(h_step))), V(0.5) * share);
    const flag_of<V> p_near = abs(p_step) <= V(1e-7) * larger(abs(p), V(1e-6) * abs(h));
    const flag_of<V> h_near = abs(h_step) <= V(1e-7) * larger(abs(h), V(1e-3) * abs(p));
    const flag_of<V> fulfilled = abs(p_rest) + abs(h_rest) <= V(1e-5) * (abs(pipe) + abs(hole));  // or round-off stands for a step
    const flag_of<V> arrived = good & p_near & h_near & fulfilled & !done;
    p_found = select(arrived, p + p_step, p_found);
    h_found = select(arrived, h + h_step, h_found);
    done = done | arrived;
  }
  return {p_found, h_found};
}

// Excess at the hole of the stationary annulus with the same gradient, for which e_h + k e_p is `excess`; both walls at rest.
template <class V>
[[gnu::noinline]] V stationary_excess(const V& excess, const V& a, const V& b, const V& k) {
  const LayerPoints<V> points(a, V(0.0));
  V low(0.0), high = excess, y = excess / (V(1.0) + k), found = V(not_a_number);
  flag_of<V> done = !((excess > V(0.0)) & (a == a) & (b == b));
  for (int i = 0; i < 100 && !all(done); ++i) {
    const WallMoments<V> m = wall_moments<V>((excess - y) / k, y, a, b, k, points);
    const V rest = k * m.hole - m.pipe, slope = k * m.hole_hole - V(2.0) * m.pipe_hole + m.pipe_pipe / k, there = y - rest / slope;
    low = select(rest < V(0.0), y, low);
    high = select(rest < V(0.0), high, y);
    const flag_of<V> inside = (there > low) & (there < high), early = V(i) < V(40.0), newton = inside & early;
    const V next = select(newton, there, V(0.5) * (low + high));
    const flag_of<V> little = abs(next - y) <= V(1e-7) * y, near = newton & little, closed = high - low <= V(4e-16) * high;
    const flag_of<V> arrived = (near | closed) & !done;
    found = select(arrived, next, found);
    done = done | arrived;
    y = next;
  }
  return found;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
