// Wall stress of a yield-power-law fluid in a pipe or in a slot. Both regimes are explicit in the stress, so that each is one
// root: of the logarithm z of the stress above yield, measured by the wall stress S_0 that the fluid would have without yield.
//   wall stress = S_0 (s + b), s = exp(z), b = yield stress / S_0, a = 1 / flow index.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

enum class Duct : std::uint8_t { pipe, slot };

// Without yield the wall is sheared at (shape + a)/(shape + 1) times 8 V/D in a pipe, 6 V/h in a slot.
constexpr double shape(Duct duct) { return duct == Duct::pipe ? 3.0 : 2.0; }

// Velocity at a stress, against that of the fluid without yield: s^a times this. Written in the sheared and plugged shares of
// the wall stress, so that nothing cancels and nothing overflows.
template <Duct duct, class T>
constexpr T yield_effect(const T& sheared, const T& plug, const T& a) {
  if constexpr (duct == Duct::pipe) {
    const T both = T(2.0) * (a + T(3.0)) / (a + T(2.0)), plugged = (a + T(3.0)) / (a + T(1.0));
    return sheared * (square(sheared) + both * (plug * sheared) + plugged * square(plug));
  } else {
    return sheared * (sheared + (a + T(2.0)) / (a + T(1.0)) * plug);
  }
}

// The shares of the wall stress above yield and in the yield stress.
template <class T>
struct Shares {
  T sheared, plug;
};

template <class T>
Shares<T> shares(const T& above, const T& yield) {
  return {step({"\\sigma", Quantity::number, "share of the wall stress above yield"}, above / (above + yield)),
          step({"\\varphi", Quantity::number, "share of the yield stress in the wall stress"}, yield / (above + yield))};
}

// d ln(wall stress) / d ln(velocity) where that effect is q.
template <Duct duct, class T>
constexpr T slope_of_curve(const T& q, const T& a) {
  return q / (T(shape(duct)) * (T(1.0) - q) + a);
}

// Dodge and Metzner's equation loses its meaning where a yield stress leaves next to no slope: the slope that enters it bends
// smoothly (to the second derivative) from n' at 0.45 to 0.35 at 0.25 and stays there.
inline constexpr double bend_from = 0.45, bend_width = 0.2;

template <class T>
constexpr T bent(const T& index) {
  const T x = larger(T(0.0), (index - T(bend_from - bend_width)) / T(bend_width));
  return select(index < T(bend_from), T(bend_from - 0.5 * bend_width) + T(bend_width) * (x * square(x) * (T(1.0) - T(0.5) * x)), index);
}

inline constexpr double ln_10 = 2.302585092994046, log10_16 = 1.2041199826559248;

// Dodge and Metzner: 1/sqrt(f) where ln G = ln(Re' f^(1 - n'/2)).
template <class T>
T dodge_metzner(const T& index, const T& ln_g) {
  return T(4.0 / ln_10) * ln_g / pow(index, T(0.75)) - T(0.4) / pow(index, T(1.2));
}

// The same in a rough pipe: the wall's roughness adds to what stands for the viscous layer in the logarithm, as in Colebrook's
// equation. Exactly the smooth pipe at no roughness.
template <class T>
T with_roughness(const T& smooth, const T& relative_roughness) {
  return smooth - T(4.0 / ln_10) * log(T(1.0) + relative_roughness / T(3.7) * exp(T(ln_10 / 4.0) * smooth));
}

// What solve() makes of a root that has been found already: the number itself, its exact gradient, its place in a trace.
template <class T, class F, class... P>
T root_found(const Step& unknown, F residual, const value_type_of<T>& root, double low, double high, const P&... parameters) {
  using V = value_type_of<T>;
  if constexpr (std::is_same_v<T, V> && !std::is_same_v<T, traced>) {
    return root;
  } else if constexpr (std::is_same_v<T, traced>) {
    Trace* trace = nullptr;
    ((trace = parameters.node != nullptr ? parameters.node->trace : trace), ...);
    if (trace == nullptr) return traced(root);
    Node n;
    n.operation = Operation::solve;
    n.value = root;
    n.dimension = info(unknown.quantity).dimension;
    n.bracket[0] = low;
    n.bracket[1] = high;
    Node* node = trace->add(std::move(n));
    const traced z = trace->name(traced(root, node), std::string(unknown.symbol), unknown.quantity, unknown.meaning, {});
    const traced r = residual(z, parameters...);
    node->first = r.node;
    node->residual = r.value;
    return z;
  } else {
    using D = dual<1, V>;
    const V slope = residual(D::seed(root, 0), D::constant(value_of(parameters))...).slope[0];
    const T r = residual(T::constant(root), parameters...);
    T z = T::constant(root);
    for (std::size_t i = 0; i < std::size(z.slope); ++i) z.slope[i] = -r.slope[i] / slope;
    return z;
  }
}

// ln(velocity at the stress / velocity sought); increasing in z.
template <Duct duct>
struct LaminarBalance {
  template <class T>
  T operator()(const T& z, const T& a, const T& b) const {
    const Shares<T> at = shares(exp(z), b);
    return a * z + log(step({"Q", Quantity::number, "effect of the yield stress on the velocity"}, yield_effect<duct>(at.sheared, at.plug, a)));
  }
};

// What 1/sqrt(f) is at the stress by the friction law, less what it is by its definition; first_factor = 2 S_0/(density V^2).
template <Duct duct>
struct TurbulentBalance {
  template <class T>
  T operator()(const T& z, const T& a, const T& b, const T& first_factor, const T& relative_roughness) const {
    const T whole = step({"w", Quantity::number, "wall stress over S_0"}, exp(z) + b);
    const Shares<T> at = shares(exp(z), b);
    const T q = step({"Q", Quantity::number, "effect of the yield stress on the velocity"}, yield_effect<duct>(at.sheared, at.plug, a));
    const T index = step({"n'_{e}", Quantity::number, "slope of the flow curve at that wall stress, bent to 0.35 below 0.45"},
                         bent(slope_of_curve<duct>(q, a)));
    const T half = step({"y", Quantity::number, "half the logarithm of f"}, T(0.5) * log(first_factor * whole));
    const T ln_g = step({"G_{l}", Quantity::number, "logarithm of Re' f^(1-n'/2)"}, T(log10_16 * ln_10) + index * (a * z + log(q) - half));
    return with_roughness(dodge_metzner(index, ln_g), relative_roughness) - exp(-half);
  }
};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
