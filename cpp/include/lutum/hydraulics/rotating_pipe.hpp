// Laminar helical flow of a power-law fluid in a concentric annulus whose pipe turns about its axis.
//
// Radii x by that of the hole: pipe at k, no axial stress at x_0; g = 1 - k. The stress along the hole is P R/2 (x - x_0^2/x), that
// around the axis M/x^2. With m = M/(g P R/2), the stress over S = g P R/2 sqrt(1 + m^2) is
//   s = sqrt((y^2 + m^2/x^4)/(1 + m^2)), y = (x - x_0^2/x)/g,
// and the same fluidity, s^(a - 1), carries the fluid along and around. Two unknowns: x_0, so that the fluid inside and outside of it
// carries it at one velocity, and m, by the speeds sought. Both are the place where a convex function of P, P x_0^2 and M is least:
// there is one solution, and each residual rises. With x = x_0 exp(H t^4) outside and x_0 exp(-H t^4) inside, twenty-four Gauss points
// do on either side however sharp the bend of s at x_0 is, from no rotation to no flow.
#pragma once

#include "lutum/core/gauss_points.hpp"
#include "lutum/hydraulics/annulus.hpp"
#include "lutum/hydraulics/describe.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

// t^4 and its slope times the weight, t from 0 to 1.
inline constexpr std::array quartic_points = [] {
  std::array<lutum::detail::GaussPoint, 2 * lutum::detail::more_gauss_points.size()> points{};
  std::size_t i = 0;
  for (const lutum::detail::GaussPoint& g : lutum::detail::more_gauss_points)
    for (const double side : {-1.0, 1.0}) {
      const double t = 0.5 + 0.5 * side * g.place, cube = t * t * t;
      points[i++] = {t * cube, 2.0 * g.weight * cube};
    }
  return points;
}();

// exp(x) - exp(-x) of x > 0, accurate for small x too; `e` is exp(x), `by_e` exp(-x).
template <class T>
T twice_sinh(const T& x, const T& e, const T& by_e) {
  const T x2 = square(x), more = T(1.0 / 6.0) + x2 * (T(1.0 / 120.0) + x2 * (T(1.0 / 5040.0) + x2 * T(1.0 / 362880.0)));
  return select(x < T(0.1), T(2.0) * x * (T(1.0) + x2 * more), e - by_e);
}

// Integrals over x: of s^(a - 1) y inside and outside of x_0, of s^(a - 1) y^2 x (along) and of s^(a - 1)/x^3 (around).
template <class T>
struct HelicalIntegrals {
  T inside{0.0}, outside{0.0}, along{0.0}, around{0.0};
};

// m the turning stress, gap 1 - k, span ln(1/k), `share` that of the span which lies inside of x_0.
template <class T>
[[gnu::noinline]] HelicalIntegrals<T> helical_integrals(const T& m, const T& a, const T& gap, const T& span, const T& share) {
  const T outer = span * (T(1.0) - share), inner = span * share, zero = exp(-outer), by_zero = exp(outer);
  const T by_gap = zero / gap, m2 = square(m), by_m = T(1.0) / (T(1.0) + m2), half = T(0.5) * (a - T(1.0));
  HelicalIntegrals<T> r;
  const auto add = [&](const T& weight, const T& up, const T& e, const T& by_e, const T& x, const T& by_x, T& side) {
    const T y = twice_sinh(up, e, by_e) * by_gap, by_x2 = square(by_x), s2 = (square(y) + m2 * square(by_x2)) * by_m;
    const T f = weight * x * exp(half * log(s2)), driven = f * y;
    side = side + driven;
    r.along = r.along + driven * y * x;
    r.around = r.around + f * by_x * by_x2;
  };
  for (const lutum::detail::GaussPoint& point : quartic_points) {
    const T out = outer * T(point.place), e = exp(out), by_e = T(1.0) / e;
    add(T(point.weight) * outer, out, e, by_e, zero * e, by_zero * by_e, r.outside);
    const T in = inner * T(point.place), i = exp(in), by_i = T(1.0) / i;
    add(T(point.weight) * inner, in, i, by_i, zero * by_i, by_zero * i, r.inside);
  }
  return r;
}

// ln of the velocity at x_0 by the fluid inside over that by the fluid outside, in w = ln(share/(1 - share)); increasing.
struct ZeroStressBalance {
  template <class T>
  T operator()(const T& w, const T& m, const T& a, const T& gap, const T& span) const {
    const HelicalIntegrals<T> i = helical_integrals(m, a, gap, span, T(1.0) / (T(1.0) + exp(-w)));
    return log(i.inside / i.outside);
  }
};

// What the flow is at a turning stress m.
template <class T>
struct HelicalFlow {
  T zero_stress_radius, along, around;
};

template <class T>
HelicalFlow<T> helical_flow(const T& m, const T& a, const T& gap, const T& span) {
  if constexpr (std::is_same_v<T, traced>) {  // numbers in a worked solution: nobody follows 48 points
    const HelicalFlow<double> f = helical_flow(m.value, a.value, gap.value, span.value);
    const auto found = [&](double x) { return numerical("quadrature", traced(x), m, a, span); };
    return {found(f.zero_stress_radius), found(f.along), found(f.around)};
  } else {
    const T w = solve({"w", Quantity::number, "place of no axial stress"}, ZeroStressBalance{}, Bracket<T>{T(-40.0), T(40.0), T(0.0)}, m, a, gap,
                      span);
    const HelicalIntegrals<T> i = helical_integrals(m, a, gap, span, T(1.0) / (T(1.0) + exp(-w)));
    return {exp(-span / (T(1.0) + exp(w))), i.along, i.around};
  }
}

// ln(rotation over flow at the turning stress / that sought), in z = ln m; increasing.
struct RotationBalance {
  template <class T>
  T operator()(const T& z, const T& sought, const T& a, const T& gap, const T& span) const {
    const HelicalFlow<T> f = helical_flow(exp(z), a, gap, span);
    const T along = step({"J_{z}", Quantity::number, "integral of s^(a-1) y^2 x over x in the gap, by Gauss points"}, f.along);
    return z + log(step({"J_{r}", Quantity::number, "integral of s^(a-1)/x^3"}, f.around) / along) - sought;
  }
};

// 1 + k^2 - (1 - k^2)/ln(1/k); in a narrow gap, where that cancels, by its series.
template <class T>
T annulus_effect(const T& k, const T& span) {
  const T h2 = square(span), k2 = square(k);
  const T series = T(1.0) + h2 / T(10.0) * (T(1.0) + h2 / T(28.0) * (T(1.0) + h2 / T(54.0) * (T(1.0) + h2 / T(88.0))));
  return select(span < T(0.1), T(2.0) * k * h2 / T(3.0) * series, T(1.0) + k2 - (T(1.0) - k2) / span);
}

inline constexpr Constant slowest_rotation{"N_{tiny}", 1e-100, Quantity::rotational_speed,
                                           "stands for no rotation, where only the limit exists"};

struct RotatingPipe : Calculation<RotatingPipe> {
  static constexpr bool searches = true;
  template <class T>
  struct Input {
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T flow_rate = T(not_a_number);
    T rotation = T(not_a_number);
    T length = T(1.0);
    T density = T(not_a_number);
  };

  template <class T>
  struct Result {
    T velocity;
    T pressure_gradient;
    T pressure_loss;
    T still_gradient;
    T rotation_factor;
    T torque_per_length;
    T zero_stress_radius;
    T apparent_viscosity;
    T taylor_number;
  };

  static constexpr double narrow_gap_limit = 1700.0;  // of the Taylor number

  static constexpr std::array inputs{
      describe::consistency,
      Variable{.name = "flow_index", .symbol = "n", .quantity = Quantity::number, .meaning = "power of the shear rate in the flow curve",
               .limits = {0.2, 1.5}, .validated = {0.2, 1.05}},
      describe::hole_diameter, describe::pipe_diameter, describe::flow_rate,
      Variable{.name = "rotation", .symbol = "N", .quantity = Quantity::rotational_speed, .meaning = "rotation of the pipe about its own axis",
               .limits = {0.0, 200.0}, .validated = {0.0, 30.0}},
      describe::length,
      Variable{.name = "density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the fluid, for the Taylor number only",
               .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}, .optional = true,
               .if_missing = "nothing is said about vortices."},
  };
  static constexpr std::array results{
      describe::velocity, describe::pressure_gradient, describe::pressure_loss,
      Variable{.name = "still_gradient", .symbol = "\\left(dp/dL\\right)_{1}", .quantity = Quantity::pressure_gradient,
               .meaning = "friction pressure loss per measured length when the pipe does not turn"},
      Variable{.name = "rotation_factor", .symbol = "F_{r}", .quantity = Quantity::number,
               .meaning = "laminar loss past the turning pipe over that past the pipe at rest, both concentric; missing when nothing flows along"},
      Variable{.name = "torque_per_length", .symbol = "T_{L}", .quantity = Quantity::force,
               .meaning = "torque that the fluid takes to turn the pipe, per length: a force, lbf is ft lbf on each foot"},
      Variable{.name = "zero_stress_radius", .symbol = "\\lambda", .quantity = Quantity::number,
               .meaning = "radius without axial stress, by the hole's radius"},
      Variable{.name = "apparent_viscosity", .symbol = "\\mu_{a}", .quantity = Quantity::viscosity,
               .meaning = "viscosity of a Newtonian fluid with the same gradient at the same flow; at no flow its limit, missing at rest"},
      Variable{.name = "taylor_number", .symbol = "Ta", .quantity = Quantity::number,
               .meaning = "number after Taylor at that viscosity; above 1700 vortices around the pipe may be there"},
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.rotating_pipe",
      .title = "Laminar flow past a turning pipe",
      .answers = "How much does rotation of the pipe change the pressure loss of laminar flow when the pipe is concentric?",
      .equations = "stress along (P R/2)(x - lambda^2/x), around M/x^2; P = dp/dL, x = radius/R, R = D/2, k = d/D, g = 1 - k. With y = (x - "
                   "lambda^2/x)/g, m = 2 M/(g P R), s = sqrt((y^2 + m^2/x^4)/(1 + m^2)), S = (g P R/2) sqrt(1 + m^2), a = 1/n: rate = (s S/K)^a; "
                   "integral of s^(a-1) y = 0; J_z = integral of s^(a-1) y^2 x, J_r = integral of s^(a-1)/x^3; N R/V = (1 + k) m J_r/J_z; "
                   "(S/K)^a = V (1 + k) sqrt(1 + m^2)/(R J_z); T_L = 2 pi R^2 M; F_r = P over P at m = 0; mu_a = P R^2 (1 + k^2 - (1 - k^2)/"
                   "ln(1/k))/(8 V); Ta = (rho N/mu_a)^2 (d/2) h^3, h = (D - d)/2",
      .source = "Force balance and no slip (derived), by Gauss quadrature; held against quadrature apart from this library and, without rotation, "
                "hydraulics.concentric_annulus. Vortices between cylinders, the outer one at rest, Newtonian, no flow along: from Ta 1700 in a "
                "narrow gap, 1800 at d/D 0.95, 2700 at 0.7, 4650 at 0.5, 12500 at 0.3, by linear stability (derived).",
      .assumptions = "Steady, laminar whatever the rates, concentric, no yield stress, no slip. The pipe turns about its own axis: no eccentricity, "
                     "no whirl, no turbulence, no vortices. K and n are those of the annulus' shear rates. For d/D above 0.1 gradients are good to "
                     "3e-9, torque to 2e-8 for n up to 1.05 and to 2e-6 up to 1.5. A thinning fluid (n below 1) loses less when the pipe turns, a "
                     "Newtonian one the same, a thickening one more. Ta is held against 1700, the lowest limit: in wide gaps it is higher, flow "
                     "along delays vortices too (from memory), and what thinning does to it has not been looked at.",
      .cautions = "Advisory: pressures are for the well's own programme and licensed practice to decide. A factor below 1 is not to be counted on: "
                  "measured losses in wells mostly rise with rotation, for the string is eccentric and whirls, and vortices and tool joints add to "
                  "it (common practice, no source). As rotation_factor of hydraulics.annulus_loss it stands for a concentric string alone. Torque "
                  "is the fluid's; that of contact with the wall is not in it.",
  };

  static constexpr std::array verdicts{
      Verdict{"helical", "the fluid goes along and around; the figures are the laminar, concentric ones at any rate"},
      Verdict{"not_turning", "the pipe does not turn: the flow of hydraulics.concentric_annulus"},
      Verdict{"no_flow", "nothing flows along: no loss, and no rotation_factor"},
      Verdict{"vortices", "the Taylor number is above 1700: vortices around the pipe may add to loss and torque, which the figures leave out",
              Severity::caution},
      Verdict{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.pipe_diameter >= in.hole_diameter) return 4;
    if (!(r.pressure_loss == r.pressure_loss)) return 5;
    if (r.taylor_number > narrow_gap_limit) return 3;
    if (in.flow_rate == 0.0) return 2;
    return in.rotation == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.consistency = 3.0, .flow_index = 0.6, .hole_diameter = 0.2159, .pipe_diameter = 0.127, .flow_rate = 0.008, .rotation = 8.0,
            .length = 1000.0, .density = 1200.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto fits = in.pipe_diameter < in.hole_diameter;
    const T a = step({"a", Quantity::number, "inverse of the flow index"}, T(1.0) / in.flow_index);
    const T k = step({"k", Quantity::number, "ratio of the diameters"}, only_if(fits, in.pipe_diameter / in.hole_diameter));
    const T gap = step({"g", Quantity::number, "gap by the hole's radius"}, only_if(fits, (in.hole_diameter - in.pipe_diameter) / in.hole_diameter));
    const T width = step({"h", Quantity::diameter, "gap"}, only_if(fits, (in.hole_diameter - in.pipe_diameter) / T(2.0)));
    const T span = step({"H", Quantity::number, "logarithm of D/d"}, -log(k)), sum = T(1.0) + k;
    const T radius = step({"R", Quantity::diameter, "radius of the hole"}, in.hole_diameter / T(2.0));
    Result<T> r;
    r.velocity = step({"V", Quantity::velocity, "mean velocity"}, in.flow_rate / annulus_area(in.hole_diameter, in.pipe_diameter));
    const auto flows = r.velocity > T(0.0), turns = in.rotation > T(0.0);
    const T moving = step({"V_{m}", Quantity::velocity, "mean velocity, not zero"},
                          select(r.velocity == T(0.0), r.velocity + constant<T>(slowest), r.velocity));
    const T turning = step({"N_{m}", Quantity::rotational_speed, "rotation, not zero"},
                           select(in.rotation == T(0.0), in.rotation + constant<T>(slowest_rotation), in.rotation));

    // Without rotation, and with it.
    const HelicalFlow<T> still = helical_flow(T(0.0), a, gap, span);
    const T still_along = step({"J_{1}", Quantity::number, "J_z without rotation, for which m = 0"}, still.along);
    const T still_rate = step({"\\dot\\gamma_{1}", Quantity::shear_rate, "shear rate of the stress S without rotation"},
                              moving * sum / (radius * still_along));
    const T still_moves = step({"P_{1}", Quantity::pressure_gradient, "gradient past a pipe at rest"},
                               T(2.0) * in.consistency * pow(still_rate / constant<T>(one_per_second), in.flow_index) / width);
    const T sought = step({"r_{l}", Quantity::number, "logarithm of N R/(V (1 + k))"}, log(turning * radius / (moving * sum)));
    const T start = sought - T(1.1) - T(2.0) * span;  // as of a Newtonian fluid in a narrow gap
    const T z = solve({"z", Quantity::number, "logarithm of m"}, RotationBalance{}, Bracket<T>{start - T(150.0), start + T(150.0), start}, sought, a,
                      gap, span);
    const T m = step({"m", Quantity::number, "stress around the axis at the hole over g P R/2"}, exp(z));
    const HelicalFlow<T> flow = helical_flow(m, a, gap, span);
    const T along = step({"J_{z}", Quantity::number, "integral of s^(a-1) y^2 x over x in the gap, by Gauss points, at that m"}, flow.along);
    const T both = step({"q_{m}", Quantity::number, "both stresses over the axial one"}, sqrt(T(1.0) + square(m)));
    const T rate = step({"\\dot\\gamma_{S}", Quantity::shear_rate, "shear rate of the stress S"}, moving * sum * both / (radius * along));
    const T stress = step({"S", Quantity::stress, "scale of the stress"},
                          in.consistency * pow(rate / constant<T>(one_per_second), in.flow_index));
    const T moves = step({"P", Quantity::pressure_gradient, "gradient at which the fluid moves so"}, T(2.0) * stress / (width * both));
    const T shear = step({"M", Quantity::stress, "stress around the axis at the hole"}, m / both * stress);

    r.pressure_gradient = select(r.velocity == T(0.0), moves * T(0.0), moves);
    r.pressure_loss = r.pressure_gradient * in.length;
    r.still_gradient = select(r.velocity == T(0.0), still_moves * T(0.0), still_moves);
    r.rotation_factor = only_if(flows, moves / still_moves);
    const T torque = T(2.0) * (constant<T>(quarter_pi) * square(in.hole_diameter)) * shear;
    r.torque_per_length = select(in.rotation == T(0.0), torque * (in.rotation / turning), torque);
    r.zero_stress_radius = step({"\\lambda", Quantity::number, "radius without axial stress, by the hole's radius: where the integrals of s^(a-1) y "
                                 "inside and outside of it are alike"}, flow.zero_stress_radius);
    const T shape = step({"f_{k}", Quantity::number, "effect of the annulus on Newtonian flow, 1 + k^2 - (1 - k^2)/ln(1/k)"},
                         annulus_effect(k, span));
    r.apparent_viscosity = step({"\\mu_{a}", Quantity::viscosity, "viscosity of a Newtonian fluid with the same gradient at the same flow"},
                                only_if(flows | turns, moves * square(radius) * shape / (T(8.0) * moving)));
    r.taylor_number = square(in.density * in.rotation / r.apparent_viscosity) * (in.pipe_diameter / T(2.0)) * (square(width) * width);
    return r;
  }
};

inline constexpr RotatingPipe rotating_pipe{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
