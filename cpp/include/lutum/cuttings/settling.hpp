// What the calculations of cuttings share: usual variables, units of the printed correlations, and drag laws. A drag law is
// solved for the particle Reynolds number Re from the weight number N = C_D Re^2 = 4 g d^3 |drho| rho / (3 mu^2), which holds
// no velocity; in a centrifuge g is the acceleration there.
#pragma once

#include "lutum/core/calculation.hpp"
#include "lutum/core/usual_constants.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

// Of inputs and results.
namespace shared {

inline constexpr Variable cuttings_diameter{
    .name = "cuttings_diameter", .symbol = "d_{c}", .quantity = Quantity::diameter,
    .meaning = "diameter of the cuttings: of the sphere of the same volume",
    .limits = {1e-6, 0.03}, .validated = {1e-4, 0.0127}};
inline constexpr Variable cuttings_density{
    .name = "cuttings_density", .symbol = "\\rho_{c}", .quantity = Quantity::density, .meaning = "density of the rock", .limits = {500.0, 8000.0},
    .validated = {1500.0, 4300.0}};
inline constexpr Variable density{
    .name = "density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the fluid", .limits = {1.0, 4000.0},
    .validated = {700.0, 2600.0}};
inline constexpr Variable effective_viscosity{
    .name = "effective_viscosity", .symbol = "\\mu_{e}", .quantity = Quantity::viscosity,
    .meaning = "viscosity of the fluid at the shear rate around the particle", .limits = {1e-5, 100.0}, .validated = {5e-4, 1.0}};
inline constexpr Variable hole_diameter{
    .name = "hole_diameter", .symbol = "D", .quantity = Quantity::diameter, .meaning = "inside diameter of hole or casing", .limits = {0.01, 2.0},
    .validated = {0.05, 1.0}};
inline constexpr Variable pipe_diameter{
    .name = "pipe_diameter", .symbol = "d", .quantity = Quantity::diameter, .meaning = "outside diameter of the pipe, smaller than the hole",
    .limits = {0.0, 2.0}, .validated = {0.02, 1.0}};
inline constexpr Variable bit_diameter{
    .name = "bit_diameter", .symbol = "D_{b}", .quantity = Quantity::diameter, .meaning = "diameter of the hole being drilled", .limits = {0.01, 2.0},
    .validated = {0.05, 1.0}};
inline constexpr Variable penetration_rate_of_bit{
    .name = "penetration_rate_of_bit", .symbol = "R", .quantity = Quantity::drilling_rate, .meaning = "hole drilled in each unit of time",
    .limits = {0.0, 0.3}, .validated = {0.0, 0.03}};
inline constexpr Variable slip_velocity{
    .name = "slip_velocity", .symbol = "v_{s}", .quantity = Quantity::velocity,
    .meaning = "velocity at which the cuttings fall through the fluid", .limits = {0.0, 10.0}, .validated = {0.0, 1.0}};

}  // namespace shared

inline constexpr std::string_view advisory =
    "Rates and densities are advisory: the well's own programme and licensed practice decide.";

// Units of printed correlations.
inline constexpr Constant one_centipoise{"1\\,\\mathrm{cP}", find_symbol("cP")->scale(), Quantity::viscosity, "unit of viscosity", true};
inline constexpr Constant one_pound_per_gallon{"1\\,\\mathrm{lb/gal}", find_symbol("lbm/gal[US]")->scale(), Quantity::density, "unit of density", true};

constexpr double degrees(double angle) { return angle * 180.0 / exact::pi; }

enum class SlipMethod : std::uint8_t { smooth, moore, walker_mayes, sphericity, sphere, sphere_to_1000, sphere_to_200000 };

// N = C_D Re^2, from diameter and densities; the size of the difference, so that what floats has one too.
template <class T>
constexpr T weight_number(const T& diameter, const T& cuttings_density, const T& density, const T& viscosity,
                          const T& acceleration = constant<T>(gravity)) {
  const T pull = diameter * abs(cuttings_density - density) * acceleration;
  return step({"N", Quantity::number, "drag coefficient times the square of the Reynolds number, from the balance of weight and drag"},
              T(4.0) / T(3.0) * pull * density * square(diameter / viscosity));
}

inline constexpr Constant smooth_factor{"c_{s}", 4.0 * 1.73 / 576.0, Quantity::number, "4 x 1.73/24^2, of the root of 1.73 Re^2 + 24 Re = N"};
inline constexpr Constant disc_factor{"c_{d}", 1.5 / 1.12, Quantity::number, "three halves over 1.12, the drag coefficient of a disc's face"};

// C_D = 24/Re + 1.73, written without cancellation at small N.
template <class T>
constexpr T smooth_reynolds(const T& n) {
  return n / T(12.0) / (T(1.0) + sqrt(T(1.0) + constant<T>(smooth_factor) * n));
}

// The largest of C_D = 40/Re, 22/sqrt(Re) and 1.5.
template <class T>
constexpr T moore_reynolds(const T& n) {
  return smaller(smaller(n / T(40.0), pow(n / T(22.0), T(2.0) / T(3.0))), sqrt(n / T(1.5)));
}

// A disc falling flat, C_D = 1.12 of its face; slower by the root of Re/100 where Re at that velocity is below 100.
template <class T>
constexpr T disc_reynolds(const T& n, const T& thickness_ratio) {
  const T flat = step({"Re_{t}", Quantity::number, "Reynolds number if the drag coefficient of the face were 1.12"},
                      sqrt(constant<T>(disc_factor) * thickness_ratio * n));
  return flat * select(flat < T(100.0), sqrt(flat / T(100.0)), T(1.0));
}

// log10 C_D = A + B log10 Re + C (log10 Re)^2, a quadratic equation for log10 Re.
template <class T>
constexpr T sphericity_reynolds(const T& n, const T& y) {
  const T a = step({"A", Quantity::number, "logarithm of the drag coefficient at Re 1"},
                   T(2.2954) + y * (T(-2.2626) + y * (T(4.4395) - y * T(2.9825))));
  const T b = step({"B", Quantity::number, "slope there of the logarithm of the drag coefficient"},
                   T(-0.4193) + y * (T(-1.9014) + y * (T(3.3416) - y * T(2.0409))));
  const T c = step({"C", Quantity::number, "curvature of the logarithm of the drag coefficient"},
                   T(0.1117) + y * (T(0.0553) + y * (T(-0.1468) + y * T(0.1145))));
  const T slope = b + T(2.0);
  const T under = square(slope) + T(4.0) * c * (log(n) / constant<T>(log_of_ten) - a);
  const auto fits = under >= T(0.0);
  const T x = step({"x", Quantity::number, "logarithm of the Reynolds number"}, only_if(fits, (sqrt(larger(under, T(0.0))) - slope) / (T(2.0) * c)));
  return exp(x * constant<T>(log_of_ten));
}

// C_D = 24/Re (1 + 0.15 Re^0.687) + 0.42/(1 + 42500 Re^-1.16), in z = ln Re; zero at the Re sought.
struct SphereBalance {
  template <class T>
  constexpr T operator()(const T& z, const T& log_n) const {
    const T re = exp(z);
    return z + log(T(24.0) * (T(1.0) + T(0.15) * exp(T(0.687) * z)) + T(0.42) * re / (T(1.0) + T(42500.0) * exp(T(-1.16) * z))) - log_n;
  }
};

template <class T>
constexpr T sphere_reynolds(const T& n) {
  const T some = larger(n, T(1e-100));  // at no weight only the limit exists
  const T stokes = some / T(24.0);
  const T high = log(stokes);
  const T low = high - log(T(1.0) + T(0.15) * pow(stokes, T(0.687)) + T(0.0176) * stokes);
  return exp(solve({"z", Quantity::number, "logarithm of the Reynolds number"}, SphereBalance{}, Bracket<T>{low, high, low}, log(some)));
}

// C_D = 24/Re (1 + 0.14 Re^0.7), in z = ln Re.
struct PowerSphereBalance {
  template <class T>
  constexpr T operator()(const T& z, const T& log_n) const {
    return z + log(T(24.0) * (T(1.0) + T(0.14) * exp(T(0.7) * z))) - log_n;
  }
};

template <class T>
constexpr T power_sphere_reynolds(const T& n) {
  const T some = larger(n, T(1e-100));
  const T stokes = some / T(24.0);
  const T high = log(stokes);
  const T low = high - log(T(1.0) + T(0.14) * pow(stokes, T(0.7)));
  return exp(solve({"z", Quantity::number, "logarithm of the Reynolds number"}, PowerSphereBalance{}, Bracket<T>{low, high, low}, log(some)));
}

inline constexpr Constant wide_factor{
    "c_{w}", 5.4856e9 * 4.3774e-9, Quantity::number,
    "5.4856e9 x 4.3774e-9: over Re it is the curve's first term, 5.4856e9 tanh(4.3774e-9/Re), to the last digit above Re 0.1; "
    "below Re 1e-8 that term would be level"};

// tanh of a positive number, without overflow.
template <class T>
constexpr T tanh_of_positive(const T& x) {
  return T(2.0) / (T(1.0) + exp(T(-2.0) * x)) - T(1.0);
}

// C_D = c_w/Re + a sum of tanh that lies between 0.3546 and 2.6521, in z = ln Re.
struct WideSphereBalance {
  template <class T>
  constexpr T operator()(const T& z, const T& log_n) const {
    const T re = exp(z);
    const T sum = T(0.0709) * tanh_of_positive(T(700.6574) / re) + T(0.3894) * tanh_of_positive(T(74.1539) / re) -
                  T(0.1198) * tanh_of_positive(T(7429.0843) / re) + T(1.7174) * tanh_of_positive(T(9.9851) / (re + T(2.3384))) + T(0.4744);
    return z + log(constant<T>(wide_factor) + sum * re) - log_n;
  }
};

// The bounds are the roots of c_w Re + sum Re^2 = N for the greatest and least sum.
template <class T>
constexpr T wide_sphere_reynolds(const T& n) {
  constexpr double least = 0.4744 - 0.1198, greatest = 0.4744 + 0.0709 + 0.3894 + 1.7174;
  constexpr double unit = 4.0 / (wide_factor.value * wide_factor.value);
  const T some = larger(n, T(1e-100));
  const T slow = T(1.0) + sqrt(T(1.0) + T(greatest * unit) * some), fast = T(1.0) + sqrt(T(1.0) + T(least * unit) * some);
  const T high = log(T(2.0) * some / (constant<T>(wide_factor) * fast));
  const T low = high - log(slow / fast);
  return exp(solve({"z", Quantity::number, "logarithm of the Reynolds number"}, WideSphereBalance{}, Bracket<T>{low, high, low}, log(some)));
}

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
