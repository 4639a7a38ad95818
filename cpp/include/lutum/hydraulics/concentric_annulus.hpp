// Laminar flow of a yield-power-law fluid in a concentric annulus, exactly: no slot.
//
// Radii by that of the hole: pipe at k, plug from m to p, stress zero at sqrt(m p); T = p - m is the plug's width. Two unknowns: the
// stress, as z of the slot (wall_stress.hpp: pressure gradient x gap / 2 = S_0 (exp(z) + b)), and where the plug lies, so that the
// fluid inside it and outside of it carries it at one velocity. The sheared widths outside, A = 1 - p, and inside, B = m - k, are
// g (1 - y) and g y of what the plug leaves of the gap, g. With x = p + A t^q outside, x = m - B t^q inside, q = 6/(a + 1), the
// integrands become t^5 times smooth factors, and twenty-four Gauss points do.
#pragma once

#include "lutum/core/gauss_points.hpp"
#include "lutum/hydraulics/annulus.hpp"
#include "lutum/hydraulics/friction.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

// The plug, and the sheared annuli outside and inside of it.
template <class T>
struct PlugPlace {
  T outer_width, inner_width, outer_edge, inner_edge, plug;  // A, B, p, m, T

  // radius_ratio k, gap 1 - k, `at` the shares of the stress, y the inner share of the sheared gap
  PlugPlace(const T& radius_ratio, const T& gap, const T& sheared, const T& plug_share, const T& y)
      : outer_width(gap * sheared * (T(1.0) - y)), inner_width(gap * sheared * y), outer_edge(T(1.0) - outer_width),
        inner_edge(radius_ratio + inner_width), plug(gap * plug_share) {}
};

// Integrals over t of t^5 ((x + other edge)/x)^a, outside and inside, alone and for the flow.
template <class T>
struct AnnulusIntegrals {
  T outside{0.0}, inside{0.0}, outside_flow{0.0}, inside_flow{0.0};

  AnnulusIntegrals(const PlugPlace<T>& at, const T& a) {
    const T q = T(6.0) / (a + T(1.0));
    for (const lutum::detail::GaussPoint& g : lutum::detail::more_gauss_points)
      for (const double side : {-1.0, 1.0}) {
        const T t(0.5 + 0.5 * side * g.place), power = exp(q * log(t)), weight = T(0.5 * g.weight) * t * square(square(t));
        const T out = at.outer_edge + at.outer_width * power, in = at.inner_edge - at.inner_width * power;
        const T o = weight * exp(a * log((out + at.inner_edge) / out)), i = weight * exp(a * log((in + at.outer_edge) / in));
        outside = outside + o;
        inside = inside + i;
        outside_flow = outside_flow + o * (at.outer_width * power * (out + at.outer_edge) + at.outer_edge * at.plug);
        inside_flow = inside_flow + i * (at.inner_width * power * (in + at.inner_edge) + at.inner_edge * at.plug);
      }
  }
};

// ln of the plug's velocity by the fluid inside it over that by the fluid outside, in w = ln(y/(1 - y)); increasing, nearly a line.
struct PlugBalance {
  template <class T>
  T operator()(const T& w, const T& a, const T& radius_ratio, const T& gap, const T& sheared, const T& plug_share) const {
    const T y = T(1.0) / (T(1.0) + exp(-w));
    const AnnulusIntegrals<T> i(PlugPlace<T>(radius_ratio, gap, sheared, plug_share, y), a);
    return (a + T(1.0)) * w + log(i.inside / i.outside);
  }
};

// Where the plug lies, and ln of the flow's integral.
template <class T>
struct AnnulusFlow {
  T inner_edge, outer_edge, log_flow;
};

template <class T>
AnnulusFlow<T> annulus_flow(const T& z, const T& a, const T& b, const T& radius_ratio, const T& gap) {
  if constexpr (std::is_same_v<T, traced>) {  // numbers in a worked solution: nobody follows 48 points
    const AnnulusFlow<double> f = annulus_flow(z.value, a.value, b.value, radius_ratio.value, gap.value);
    const auto found = [&](double x) { return numerical("quadrature", traced(x), z, a, b, radius_ratio); };
    return {step({"\\lambda_{-}", Quantity::number, "inner edge of the plug, by the hole's radius: it lies where the sheared fluid inside of it and "
                  "that outside carry it at one velocity, each the integral of the shear rate over its width"}, found(f.inner_edge)),
            step({"\\lambda_{+}", Quantity::number, "its outer edge, by the hole's radius"}, found(f.outer_edge)), found(f.log_flow)};
  } else {
    const T s = exp(z), sheared = s / (s + b), plug_share = b / (s + b);
    const T w = solve({"w", Quantity::number, "place of the plug"}, PlugBalance{}, Bracket<T>{T(-40.0), T(40.0), T(0.0)}, a, radius_ratio, gap,
                      sheared, plug_share);
    const T y = T(1.0) / (T(1.0) + exp(-w)), rest = T(1.0) / (T(1.0) + exp(w)), a1 = a + T(1.0);
    const PlugPlace<T> at(radius_ratio, gap, sheared, plug_share, y);
    const AnnulusIntegrals<T> i(at, a);
    const T flow = exp(a1 * log(rest)) * i.outside_flow + exp(a1 * log(y)) * i.inside_flow;
    return {at.inner_edge, at.outer_edge, log(T(6.0) / a1 * gap * sheared * flow)};
  }
}

// ln(velocity at the stress / velocity sought).
struct AnnulusBalance {
  template <class T>
  T operator()(const T& z, const T& a, const T& b, const T& radius_ratio, const T& gap) const {
    const T flow = step({"J_{l}", Quantity::number, "logarithm of the integral of abs(x^2 - x_0^2) e^a over x in the sheared gap, by Gauss points: x "
                         "the radius by the hole's, x_0 the one without stress, e the stress above yield there over S_0 exp(z)"},
                        annulus_flow(z, a, b, radius_ratio, gap).log_flow);
    return a * z + flow + log(T(2.0) * (a + T(2.0)) / (square(gap) * (T(1.0) + radius_ratio)));
  }
};

struct ConcentricAnnulus : Calculation<ConcentricAnnulus> {
  static constexpr bool searches = true;
  template <class T>
  struct Input {
    T yield_stress = T(not_a_number);
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T flow_rate = T(not_a_number);
    T length = T(1.0);
  };

  template <class T>
  struct Result {
    T velocity;
    T pressure_gradient;
    T pressure_loss;
    T slot_ratio;
    T plug_inner_edge;
    T plug_outer_edge;
    T zero_stress_radius;
    T flow_number;
    T starting_gradient;
  };

  static constexpr std::array inputs{
      describe::yield_stress, describe::consistency, describe::flow_index,
      describe::hole_diameter,
      Variable{.name = "pipe_diameter", .symbol = "d", .quantity = Quantity::diameter,
               .meaning = "outside diameter of the pipe, smaller than the hole", .limits = {0.001, 2.0}, .validated = {0.01, 1.0}},
      describe::flow_rate, describe::length,
  };
  static constexpr std::array results{
      describe::velocity, describe::pressure_gradient, describe::pressure_loss,
      Variable{.name = "slot_ratio", .symbol = "r_{s}", .quantity = Quantity::number, .meaning = "gradient of the slot over that of the annulus"},
      Variable{.name = "plug_inner_edge", .symbol = "\\lambda_{-}", .quantity = Quantity::number,
               .meaning = "inner edge of the plug, by the hole's radius"},
      Variable{.name = "plug_outer_edge", .symbol = "\\lambda_{+}", .quantity = Quantity::number,
               .meaning = "outer edge of the plug, by the hole's radius"},
      Variable{.name = "zero_stress_radius", .symbol = "\\lambda", .quantity = Quantity::number,
               .meaning = "radius without stress, by the hole's radius"},
      Variable{.name = "flow_number", .symbol = "Q^{*}", .quantity = Quantity::number,
               .meaning = "flow over pi times the cube of the hole's radius times the rate that K and n give at the stress half gradient times radius; "
                          "missing at rest"},
      Variable{.name = "starting_gradient", .symbol = "\\left(dp/dL\\right)_{0}", .quantity = Quantity::pressure_gradient,
               .meaning = "gradient at which a fluid at rest starts to flow against its yield stress"},
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.concentric_annulus",
      .title = "Laminar flow in a concentric annulus, exactly",
      .answers = "How much pressure does laminar flow cost in a concentric annulus without opening it to a slot, and where does its plug lie?",
      .equations = "stress = (P R/2)(x - lambda^2/x), P = dp/dL, x = radius/R; lambda_+ - lambda_- = 2 tau_0/(P R), lambda^2 = lambda_- lambda_+; "
                   "the integral of the rate from d/D to lambda_- equals that from lambda_+ to 1; q = pi R^3 times the integral of (x^2 - "
                   "lambda^2) rate",
      .source = "Force balance and no slip (derived), by Gauss quadrature; held against Hanks and Larsen, Ind. Eng. Chem. Fundam. 18 (1979) 33, "
                "Table I (seen: 208 of 209 values, one misrounded there), the closed form of a Bingham fluid of the type of Fredrickson and Bird "
                "(1958), and quadrature apart from this library.",
      .assumptions = "Steady, laminar whatever the rate, concentric, no rotation, no slip. Good to 1e-9 for d/D above 0.1, to 3e-9 at 0.05.",
      .cautions = describe::friction_cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"flows", "the fluid flows; the figure is the laminar one at any rate"},
      Verdict{"at_rest", "nothing flows and nothing is lost; starting_gradient is what it takes to start"},
      Verdict{"no_gap", "the pipe is not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.pipe_diameter >= in.hole_diameter) return 2;
    if (!(r.pressure_loss == r.pressure_loss)) return 3;
    return in.flow_rate == 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.yield_stress = 6.0, .consistency = 0.4, .flow_index = 0.65, .hole_diameter = 0.4445, .pipe_diameter = 0.127, .flow_rate = 0.04,
            .length = 500.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto fits = in.pipe_diameter < in.hole_diameter;
    const T a = step({"a", Quantity::number, "inverse of the flow index"}, T(1.0) / in.flow_index);
    const T k = step({"k", Quantity::number, "ratio of the diameters"}, only_if(fits, in.pipe_diameter / in.hole_diameter));
    const T gap = step({"h_{r}", Quantity::number, "gap by the hole's radius"}, (in.hole_diameter - in.pipe_diameter) / in.hole_diameter);
    const T width = step({"h", Quantity::diameter, "gap"}, only_if(fits, (in.hole_diameter - in.pipe_diameter) / T(2.0)));
    const T area = annulus_area(in.hole_diameter, in.pipe_diameter);
    Result<T> r;
    r.velocity = step({"V", Quantity::velocity, "mean velocity"}, in.flow_rate / area);
    const T moving = select(r.velocity == T(0.0), r.velocity + constant<T>(slowest), r.velocity);
    const T rate = step({"\\dot\\gamma_{0}", Quantity::shear_rate, "wall shear rate in a slot without yield stress"},
                        T(2.0) * (a + T(2.0)) * moving / width);
    const T first = step({"S_{0}", Quantity::stress, "wall stress in a slot without yield stress"},
                         in.consistency * pow(rate / constant<T>(one_per_second), in.flow_index));
    const T b = step({"b", Quantity::number, "yield stress over S_0"}, in.yield_stress / first);
    const T slot = laminar_above<Duct::slot>({"s_{s}", Quantity::number, "stress above yield over S_0, of the slot"}, a, b);
    const T begin = step({"z_{s}", Quantity::number, "its logarithm"}, log(slot));
    const T z = solve({"z", Quantity::number, "logarithm of the stress above yield over S_0"}, AnnulusBalance{},
                      Bracket<T>{begin - T(3.0), begin + T(3.0), begin}, a, b, k, gap);
    const T whole = step({"w", Quantity::number, "stress over S_0"}, exp(z) + b);
    const AnnulusFlow<T> flow = annulus_flow(z, a, b, k, gap);
    const T moves = step({"P", Quantity::pressure_gradient, "gradient at which the fluid moves so, or begins to"}, T(2.0) * first * whole / width);
    r.pressure_gradient = select(r.velocity == T(0.0), moves * T(0.0), moves);
    r.pressure_loss = r.pressure_gradient * in.length;
    r.slot_ratio = (slot + b) / whole;
    r.plug_inner_edge = flow.inner_edge;
    r.plug_outer_edge = flow.outer_edge;
    r.zero_stress_radius = sqrt(flow.inner_edge * flow.outer_edge);
    const T outer = step({"\\tau_{R}", Quantity::stress, "half the gradient times the hole's radius"}, moves * in.hole_diameter / T(4.0));
    r.flow_number = only_if(r.velocity > T(0.0), r.velocity) * T(2.0) * (T(1.0) - square(k)) /
                    (in.hole_diameter * constant<T>(one_per_second) * pow(outer / in.consistency, a));
    r.starting_gradient = T(2.0) * in.yield_stress / width;
    return r;
  }
};

inline constexpr ConcentricAnnulus concentric_annulus{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
