// A rheological parameter against temperature and pressure by a law of Eyring's form with the user's own coefficients.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct Eyring : Calculation<Eyring> {
  template <class T>
  struct Input {
    T temperature_coefficient = T(not_a_number);
    T pressure_coefficient = T(not_a_number);
    T pressure_temperature_coefficient = T(not_a_number);
    T temperature = T(not_a_number);
    T pressure = T(not_a_number);
    T level = T(not_a_number);
    T reference_temperature = T(322.15);
    T reference_pressure = T(0.0);
  };

  template <class T>
  struct Result {
    T ratio;
    T pressure_slope;
    T parameter;
  };

  static constexpr Limits temperatures{263.15, 573.15}, shown_temperatures{273.15, 513.15}, pressures{0.0, 3e8}, shown_pressures{0.0, 1e8};

  static constexpr std::array inputs{
      Variable{.name = "temperature_coefficient", .symbol = "B", .quantity = Quantity::number,
               .meaning = "coefficient of 1/T, in kelvin, of your own fit",
               .limits = {-1e4, 1e4}, .validated = {0.0, 1e4}},
      Variable{.name = "pressure_coefficient", .symbol = "C", .quantity = Quantity::number,
               .meaning = "coefficient of the pressure, in 1/MPa, of your own fit",
               .limits = {-0.2, 0.2}, .validated = {-0.1, 0.1}},
      Variable{.name = "pressure_temperature_coefficient", .symbol = "D", .quantity = Quantity::number,
               .meaning = "coefficient of p/T, in K/MPa, of your own fit",
               .limits = {-50.0, 50.0}, .validated = {-30.0, 30.0}},
      Variable{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature, .meaning = "temperature for which the parameter is wanted",
               .limits = temperatures, .validated = shown_temperatures},
      Variable{.name = "pressure", .symbol = "p", .quantity = Quantity::pressure, .meaning = "pressure for which it is wanted", .limits = pressures,
               .validated = shown_pressures},
      Variable{.name = "level", .symbol = "A", .quantity = Quantity::number,
               .meaning = "constant term of your own fit: logarithm of the parameter in its unit",
               .limits = {-50.0, 50.0}, .validated = {-50.0, 50.0}, .optional = true},
      Variable{.name = "reference_temperature", .symbol = "T_{1}", .quantity = Quantity::temperature,
               .meaning = "temperature that the ratio refers to: that of the reading to be carried over",
               .limits = temperatures, .validated = shown_temperatures},
      Variable{.name = "reference_pressure", .symbol = "p_{1}", .quantity = Quantity::pressure, .meaning = "pressure that the ratio refers to",
               .limits = pressures, .validated = shown_pressures},
  };

  static constexpr std::array results{
      Variable{.name = "ratio", .symbol = "f", .quantity = Quantity::number, .meaning = "parameter at T and p against that at the reference"},
      Variable{.name = "pressure_slope", .symbol = "\\beta", .quantity = Quantity::number,
               .meaning = "growth of its logarithm with pressure at T, in 1/MPa"},
      Variable{.name = "parameter", .symbol = "k", .quantity = Quantity::number,
               .meaning = "the parameter itself, in the unit in which the fit was made; missing without the constant term"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.eyring",
      .title = "Temperature and pressure by a law of Eyring's form",
      .answers = "What becomes of a yield stress or a high-shear viscosity at another temperature and pressure, by coefficients fitted to this mud?",
      .equations = "ln k = A + B/T + p (C + D/T); ratio = k(T, p)/k(T_1, p_1)",
      .source = "Structure after the abstract of Houwen and Geehan, SPE 15416 (1986): each Casson parameter of an oil-base mud by an exponential in "
                "1/T with a pressure coefficient that depends on temperature, to 1000 bar and 240 degC (abstract seen; letters ours). No "
                "coefficients are supplied: they are the mud's.",
      .assumptions = "Coefficients fitted to readings of this very mud, used inside the temperatures and pressures of those readings: nothing here "
                     "knows that range. T in kelvin, p in MPa.",
      .cautions = "Extrapolation is the user's own risk. Rheology is advisory to the well's own programme and licensed practice.",
  };

  static constexpr Input<double> example() {
    return {.temperature_coefficient = 1600.0, .pressure_coefficient = -0.01, .pressure_temperature_coefficient = 8.0, .temperature = 393.15,
            .pressure = 50e6, .level = -9.0};
  }

  static constexpr Constant one_kelvin{"1\\,\\mathrm{K}", 1.0, Quantity::temperature, "unit of temperature", true};
  static constexpr Constant megapascal{"1\\,\\mathrm{MPa}", 1e6, Quantity::pressure, "unit of pressure", true};

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T inverse = step({"x", Quantity::number, "one over the temperature in kelvin"}, T(1.0) / (in.temperature / constant<T>(one_kelvin)));
    const T reference = step({"x_{1}", Quantity::number, "one over the reference temperature in kelvin"},
                             T(1.0) / (in.reference_temperature / constant<T>(one_kelvin)));
    Result<T> r;
    r.pressure_slope = in.pressure_coefficient + in.pressure_temperature_coefficient * inverse;
    const T state = step({"s", Quantity::number, "logarithm of the parameter without its constant term"},
                         in.temperature_coefficient * inverse + in.pressure / constant<T>(megapascal) * r.pressure_slope);
    const T reference_slope = step({"\\beta_{1}", Quantity::number, "growth of its logarithm with pressure at the reference temperature, in 1/MPa"},
                                   in.pressure_coefficient + in.pressure_temperature_coefficient * reference);
    const T reference_state = step({"s_{1}", Quantity::number, "the same at the reference"},
                                   in.temperature_coefficient * reference + in.reference_pressure / constant<T>(megapascal) * reference_slope);
    r.ratio = exp(state - reference_state);
    r.parameter = exp(in.level + state);
    return r;
  }
};

inline constexpr Eyring eyring{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
