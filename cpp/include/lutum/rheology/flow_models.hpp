// The ten models of a flow curve: their names, what their parameters are, and the words they are written in. Stands once for
// calculations, fits and records.
#pragma once

#include "lutum/core/calculation.hpp"
#include "lutum/core/usual_constants.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

enum class FlowModel : std::uint8_t {
  newtonian,
  bingham,
  power_law,
  yield_power_law,
  casson,
  robertson_stiff,
  sisko,
  heinz_casson,
  cross,
  carreau,
};

inline constexpr std::array flow_model_choices{
    Choice{"newtonian", "Newtonian: viscosity times rate"},
    Choice{"bingham", "Bingham: yield stress and plastic viscosity"},
    Choice{"power_law", "power law: consistency and flow index"},
    Choice{"yield_power_law", "yield power law of Herschel and Bulkley: yield stress, consistency and flow index"},
    Choice{"casson", "Casson: square roots of yield and viscous stress add"},
    Choice{"robertson_stiff", "Robertson and Stiff: power law of a shifted rate"},
    Choice{"sisko", "Sisko: power law and a high-shear viscosity"},
    Choice{"heinz_casson", "Heinz and Casson: powers of yield and viscous stress add"},
    Choice{"cross", "Cross: between two viscosities"},
    Choice{"carreau", "Carreau: between two viscosities"},
};

// Validated ranges are those of drilling fluids.
namespace detail {

constexpr Variable yield_stress(std::string_view meaning) {
  return {.name = "yield_stress", .symbol = "\\tau_0", .quantity = Quantity::stress, .meaning = meaning, .limits = {0.0, 1000.0},
          .validated = {0.0, 60.0}};
}
constexpr Variable consistency(std::string_view symbol, double lowest, std::string_view meaning) {
  return {.name = "consistency", .symbol = symbol, .quantity = Quantity::consistency, .meaning = meaning, .limits = {lowest, 1000.0},
          .validated = {1e-4, 60.0}};
}
constexpr Variable flow_index(std::string_view symbol, std::string_view meaning, Limits limits = {0.05, 2.0}, Limits validated = {0.2, 1.05}) {
  return {.name = "flow_index", .symbol = symbol, .quantity = Quantity::number, .meaning = meaning, .limits = limits, .validated = validated};
}
constexpr Variable exponent(std::string_view meaning, Limits limits) {
  return {.name = "exponent", .symbol = "m", .quantity = Quantity::number, .meaning = meaning, .limits = limits, .validated = {0.3, 1.0}};
}
constexpr Variable viscosity(std::string_view name, std::string_view symbol, std::string_view meaning, Limits limits, Limits validated) {
  return {.name = name, .symbol = symbol, .quantity = Quantity::viscosity, .meaning = meaning, .limits = limits, .validated = validated};
}

// Cross and Carreau.
inline constexpr Variable low_shear_viscosity = viscosity("low_shear_viscosity", "\\mu_0", "viscosity towards rest", {1e-6, 1e6}, {0.05, 1000.0});
inline constexpr Variable least_viscosity =
    viscosity("high_shear_viscosity", "\\mu_{h}", "viscosity towards very high shear rates", {0.0, 100.0}, {0.0, 0.05});
inline constexpr Variable relaxation_time{.name = "relaxation_time", .symbol = "\\lambda", .quantity = Quantity::short_time,
                                          .meaning = "relaxation time: thinning sets in at about one over it", .limits = {1e-9, 1e6},
                                          .validated = {1e-3, 1000.0}};
inline constexpr std::string_view above_yield = "consistency: stress above yield at 1 1/s", power_of_rate = "power of the shear rate";
inline constexpr Limits casson_viscosity_limits{1e-6, 100.0}, casson_viscosity_range{1e-4, 0.3};

}  // namespace detail

inline constexpr std::array newtonian_parameters{
    detail::viscosity("viscosity", "\\mu", "viscosity, the same at every shear rate", {1e-6, 1e4}, {1e-4, 2.0}),
};
inline constexpr std::array bingham_parameters{
    detail::yield_stress("yield stress: the straight line at rest"),
    detail::viscosity("plastic_viscosity", "\\mu_p", "plastic viscosity: slope of the line", {1e-6, 100.0}, {1e-4, 0.3}),
};
inline constexpr std::array power_law_parameters{
    detail::consistency("K", 1e-6, "consistency: stress at 1 1/s"),
    detail::flow_index("n", detail::power_of_rate),
};
inline constexpr std::array yield_power_law_parameters{
    detail::yield_stress("yield stress"),
    detail::consistency("K", 1e-6, detail::above_yield),
    detail::flow_index("n", detail::power_of_rate),
};
inline constexpr std::array casson_parameters{
    detail::yield_stress("yield stress"),
    detail::viscosity("high_shear_viscosity", "\\eta", "viscosity towards very high shear rates", detail::casson_viscosity_limits,
                      detail::casson_viscosity_range),
};
inline constexpr std::array robertson_stiff_parameters{
    detail::consistency("A", 1e-6, "consistency: stress at a shifted rate of 1 1/s"),
    Variable{.name = "rate_shift", .symbol = "C", .quantity = Quantity::shear_rate, .meaning = "shift that is added to the shear rate",
             .limits = {0.0, 1e5}, .validated = {0.0, 300.0}},
    detail::flow_index("B", "power of the shifted shear rate"),
};
inline constexpr std::array sisko_parameters{
    detail::viscosity("high_shear_viscosity", "\\mu_{h}", "viscosity towards very high shear rates", {0.0, 100.0}, {0.0, 0.3}),
    detail::consistency("K", 0.0, "consistency: stress of the power term at 1 1/s"),
    detail::flow_index("n", "power of the shear rate in the power term"),
};
inline constexpr std::array heinz_casson_parameters{
    detail::yield_stress("yield stress"),
    detail::viscosity("high_shear_viscosity", "\\eta", "viscosity towards very high shear rates", detail::casson_viscosity_limits,
                      detail::casson_viscosity_range),
    detail::exponent("exponent to which stresses add: 1 is Bingham, 1/2 Casson", {0.05, 2.0}),
};
// Up to an exponent of 1 the stress of Cross rises with the rate whatever the viscosities are.
inline constexpr std::array cross_parameters{
    detail::low_shear_viscosity,
    detail::least_viscosity,
    detail::relaxation_time,
    detail::exponent("exponent of thinning", {0.05, 1.0}),
};
inline constexpr std::array carreau_parameters{
    detail::low_shear_viscosity,
    detail::least_viscosity,
    detail::relaxation_time,
    detail::flow_index("n", "power of the shear rate in the thinning range", {0.05, 1.0}, {0.1, 1.0}),
};

// In the order in which FlowCurve holds them.
constexpr std::span<const Variable> parameters_of(FlowModel model) {
  switch (model) {
    case FlowModel::newtonian: return newtonian_parameters;
    case FlowModel::bingham: return bingham_parameters;
    case FlowModel::power_law: return power_law_parameters;
    case FlowModel::yield_power_law: return yield_power_law_parameters;
    case FlowModel::casson: return casson_parameters;
    case FlowModel::robertson_stiff: return robertson_stiff_parameters;
    case FlowModel::sisko: return sisko_parameters;
    case FlowModel::heinz_casson: return heinz_casson_parameters;
    case FlowModel::cross: return cross_parameters;
    case FlowModel::carreau: return carreau_parameters;
  }
  return {};
}

// A stress or a rate against its unit.
template <class T>
T in_pascal(const Step& name, const T& stress) {
  return step(name, stress / constant<T>(one_pascal));
}
template <class T>
T in_per_second(const T& rate) {
  return rate / constant<T>(one_per_second);
}

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
