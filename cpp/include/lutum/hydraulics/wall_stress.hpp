// Wall stress of a yield-power-law fluid in a pipe or in a slot. Both regimes are explicit in the stress, so that each is one
// root: the stress above yield s, measured by the wall stress S_0 that the fluid would have without yield.
//   wall stress = S_0 (s + b), b = yield stress / S_0, a = 1 / flow index.
#pragma once

#include <numbers>

#include "lutum/core/calculation.hpp"
#include "lutum/core/usual_constants.hpp"

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

// The symbols of a wall stress: of its shares above yield and in the yield stress, and of the effect.
struct OfStress {
  std::string_view sheared, plug, effect;
};
inline constexpr OfStress of_laminar{"\\sigma_{l}", "\\varphi_{l}", "Q_{l}"}, of_turbulent{"\\sigma_{t}", "\\varphi_{t}", "Q_{t}"},
    of_wall_stress{"\\sigma", "\\varphi", "Q"};

// That effect at the wall stress S_0 (above + yield).
template <Duct duct, class T>
T effect_at(const OfStress& symbols, const T& above, const T& yield, const T& a) {
  const T sheared = step({symbols.sheared, Quantity::number, "share of the wall stress above yield"}, above / (above + yield));
  const T plug = step({symbols.plug, Quantity::number, "share of the yield stress in the wall stress"}, yield / (above + yield));
  return step({symbols.effect, Quantity::number, "effect of the yield stress on the velocity"}, yield_effect<duct>(sheared, plug, a));
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

inline constexpr double four_per_decade = 4.0 / std::numbers::ln10, log10_16 = 1.2041199826559248;
inline constexpr Constant four_over_log_of_ten{"4/\\mathrm{ln}(10)", four_per_decade, Quantity::number,
                                               "four of the law, for natural in place of decimal logarithms"};
inline constexpr Constant quarter_log_of_ten{"\\mathrm{ln}(10)/4", std::numbers::ln10 / 4.0, Quantity::number, "one over 4/ln(10)"};
inline constexpr Constant log_of_16{"\\mathrm{ln}(16)", log10_16 * std::numbers::ln10, Quantity::number,
                                    "16 over the Reynolds number is the laminar friction factor"};

// Dodge and Metzner: 1/sqrt(f) where ln G = ln(Re' f^(1 - n'/2)).
template <class T>
T dodge_metzner(const T& index, const T& ln_g) {
  return constant<T>(four_over_log_of_ten) * ln_g / pow(index, T(0.75)) - T(0.4) / pow(index, T(1.2));
}

// The same in a rough pipe: the wall's roughness adds to what stands for the viscous layer in the logarithm, as in Colebrook's
// equation. Exactly the smooth pipe at no roughness.
template <class T>
T with_roughness(const T& smooth_wall, const T& relative_roughness) {
  if constexpr (std::is_same_v<T, traced>)
    if (relative_roughness.node == nullptr) return smooth_wall;  // none, by the kind of the section: no term of a worked solution
  const T smooth = step({"H", Quantity::number, "1/sqrt(f) of the law without roughness"}, smooth_wall);
  return smooth - constant<T>(four_over_log_of_ten) * log(T(1.0) + relative_roughness / T(3.7) * exp(constant<T>(quarter_log_of_ten) * smooth));
}

// ln(velocity at the stress / velocity sought); increasing in s.
template <Duct duct>
struct LaminarBalance {
  template <class T>
  T operator()(const T& s, const T& a, const T& b) const {
    return a * log(s) + log(effect_at<duct>(of_laminar, s, b, a));
  }
};

// What 1/sqrt(f) is at the stress by the friction law, less what it is by its definition; first_factor = 2 S_0/(density V^2).
template <Duct duct>
struct TurbulentBalance {
  template <class T>
  T operator()(const T& s, const T& a, const T& b, const T& first_factor, const T& relative_roughness) const {
    const T whole = step({"w_{t}", Quantity::number, "turbulent wall stress over S_0"}, s + b);
    const T q = effect_at<duct>(of_turbulent, s, b, a);
    const T local = step({"n'_{t}", Quantity::number, "slope of the flow curve at the turbulent wall stress"}, slope_of_curve<duct>(q, a));
    const T index = step({"n'_{e}", Quantity::number, "that slope, bent to 0.35 below 0.45"}, bent(local));
    const T half = step({"y", Quantity::number, "half the logarithm of f"}, T(0.5) * log(first_factor * whole));
    const T ln_g = step({"G_{l}", Quantity::number, "logarithm of Re' f^(1-n'/2)"}, constant<T>(log_of_16) + index * (a * log(s) + log(q) - half));
    return with_roughness(dodge_metzner(index, ln_g), relative_roughness) - exp(-half);
  }
};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
