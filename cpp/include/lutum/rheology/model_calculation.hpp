// What the calculations of the ten models share: shear rate and stress asked about, results, verdicts.
#pragma once

#include "lutum/rheology/flow_curve.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

template <class T>
struct FlowResult {
  T shear_stress;
  T apparent_viscosity;
  T local_index;
  T rate_at_stress;
};

// The inputs of a model: its parameters, then what is asked.
template <std::size_t N>
constexpr std::array<Variable, N + 2> with_questions(const std::array<Variable, N>& parameters) {
  std::array<Variable, N + 2> all{};
  for (std::size_t i = 0; i < N; ++i) all[i] = parameters[i];
  all[N] = {.name = "shear_rate", .symbol = "\\dot\\gamma", .quantity = Quantity::shear_rate, .meaning = "shear rate", .limits = {0.0, 1e7},
            .validated = {0.01, 1e5}};
  all[N + 1] = {.name = "given_stress", .symbol = "\\tau_{g}", .quantity = Quantity::stress, .meaning = "stress whose shear rate is wanted",
                .limits = {0.0, 1e6}, .validated = {0.0, 200.0}, .optional = true};
  return all;
}

inline constexpr std::array flow_results{
    Variable{.name = "shear_stress", .symbol = "\\tau", .quantity = Quantity::stress, .meaning = "shear stress at the shear rate"},
    Variable{.name = "apparent_viscosity", .symbol = "\\mu_{a}", .quantity = Quantity::viscosity,
             .meaning = "apparent viscosity: stress over rate"},
    Variable{.name = "local_index", .symbol = "n'", .quantity = Quantity::number,
             .meaning = "local flow index: slope of log stress against log rate"},
    Variable{.name = "rate_at_stress", .symbol = "\\dot\\gamma_{g}", .quantity = Quantity::shear_rate,
             .meaning = "shear rate at the stress asked about; zero where the fluid does not flow"},
};

inline constexpr std::string_view flow_cautions =
    "A model is a curve through readings at one temperature and pressure: beyond the rates that were read it is a guess. Lowest rates decide "
    "the yield stress.";

namespace detail {

inline constexpr Verdict flow_consistent{"consistent", "the fluid is sheared and its parameters make sense"};
inline constexpr Verdict flow_at_rest{
    "at_rest", "the shear rate is zero: the stress is that at which flow starts, and there is no apparent viscosity", Severity::caution};
inline constexpr Verdict flow_below_yield{"below_yield", "the stress asked about is not above the yield stress: the fluid does not flow there"};
inline constexpr Verdict flow_thickening{
    "suspect_readings", "a flow index above 1.05: a drilling fluid hardly thickens with the rate; look at readings, and for turbulence in the gap",
    Severity::caution};
inline constexpr Verdict flow_reversed{
    "reversed_viscosities", "the high-shear viscosity is above the low-shear one: were the two exchanged?", Severity::impossible};
inline constexpr Verdict flow_alike{
    "alike_viscosities", "both viscosities are the same: the fluid is Newtonian, and the other parameters say nothing", Severity::caution};
inline constexpr Verdict flow_missing{"missing", "a parameter or the shear rate is missing"};

}  // namespace detail

// The verdicts of the yield-stress models without a flow index and with one, of the power law, and between two viscosities.
inline constexpr std::array yield_verdicts{detail::flow_consistent, detail::flow_at_rest, detail::flow_below_yield, detail::flow_missing};
inline constexpr std::array yield_index_verdicts{detail::flow_consistent, detail::flow_at_rest, detail::flow_below_yield, detail::flow_thickening,
                                                 detail::flow_missing};
inline constexpr std::array index_verdicts{detail::flow_consistent, detail::flow_at_rest, detail::flow_thickening, detail::flow_missing};
inline constexpr std::array two_viscosities_verdicts{detail::flow_consistent, detail::flow_reversed, detail::flow_alike, detail::flow_missing};

template <std::size_t N>
constexpr std::int8_t place_of(const std::array<Verdict, N>& verdicts, std::string_view name) {
  for (std::size_t i = 0; i < N; ++i)
    if (verdicts[i].name == name) return static_cast<std::int8_t>(i);
  return 0;
}

// A flow index of 1 where the model has none, and a yield stress below zero where it has none.
template <std::size_t N>
constexpr std::int8_t flow_verdict(const std::array<Verdict, N>& verdicts, double rate, const FlowResult<double>& r, double given_stress,
                                   double yield_stress, double flow_index) {
  if (!(r.shear_stress == r.shear_stress)) return place_of(verdicts, "missing");
  if (flow_index > 1.05) return place_of(verdicts, "suspect_readings");
  if (rate == 0.0) return place_of(verdicts, "at_rest");
  return given_stress <= yield_stress ? place_of(verdicts, "below_yield") : std::int8_t{0};
}

// Between two viscosities.
template <std::size_t N>
constexpr std::int8_t flow_verdict(const std::array<Verdict, N>& verdicts, const FlowResult<double>& r, double low_shear, double high_shear) {
  if (high_shear > low_shear) return place_of(verdicts, "reversed_viscosities");
  if (!(r.shear_stress == r.shear_stress)) return place_of(verdicts, "missing");
  return high_shear == low_shear ? place_of(verdicts, "alike_viscosities") : std::int8_t{0};
}

template <class T>
constexpr FlowResult<T> flow_result(const FlowCurve<T>& curve, const T& rate, const T& given_stress) {
  const FlowState<T> state = curve.at(rate);
  const auto sheared = rate > T(0.0);
  return {state.stress, curve.has_viscosity_at_rest() ? state.viscosity : only_if(sheared, state.viscosity), state.index,
          curve.rate(given_stress)};
}

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
