// Fallback without hot readings: how the yield point of a diesel-base mud falls with temperature.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct OilMudYieldTemperature : Calculation<OilMudYieldTemperature> {
  template <class T>
  struct Input {
    T yield_point = T(not_a_number);
    T reference_temperature = T(not_a_number);
    T temperature = T(not_a_number);
  };

  template <class T>
  struct Result {
    T scaled_yield_point;
    T yield_ratio;
    T reference_factor;
    T factor;
  };

  static constexpr Limits range{find_symbol("degF")->to_si(90.0), find_symbol("degF")->to_si(300.0)};

  static constexpr std::array inputs{
      Variable{.name = "yield_point", .symbol = "\\tau_{1}", .quantity = Quantity::stress, .meaning = "yield point as measured",
               .limits = {-500.0, 500.0}, .validated = {0.0, 50.0}},
      Variable{.name = "reference_temperature", .symbol = "T_{1}", .quantity = Quantity::temperature,
               .meaning = "temperature at which it was measured", .limits = range, .validated = range},
      Variable{.name = "temperature", .symbol = "T_{2}", .quantity = Quantity::temperature, .meaning = "temperature for which it is wanted",
               .limits = range, .validated = range},
  };

  static constexpr std::array results{
      Variable{.name = "scaled_yield_point", .symbol = "\\tau_{2}", .quantity = Quantity::stress,
               .meaning = "yield point at the temperature wanted: a fallback"},
      Variable{.name = "yield_ratio", .symbol = "f_{21}", .quantity = Quantity::number,
               .meaning = "yield point at the temperature wanted against that measured"},
      Variable{.name = "reference_factor", .symbol = "f_{1}", .quantity = Quantity::number,
               .meaning = "factor of the law at the temperature of the measurement; near 1 at 90 degF"},
      Variable{.name = "factor", .symbol = "f_{2}", .quantity = Quantity::number, .meaning = "factor of the law at the temperature wanted"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.oil_mud_yield_temperature",
      .title = "Yield point of a diesel-base mud at another temperature",
      .answers = "What yield point is to be expected at another temperature when there are no readings at it?",
      .equations = "tau_2 = tau_1 f(T_2)/f(T_1), f = -0.186 + 145.054/t - 3410.322/t^2, t in degF",
      .source = "Politte (1985), diesel-base emulsion muds, 90 to 300 degF; coefficients from memory, supported by f = 1.005 at 90 degF, where it "
                "should be 1.",
      .assumptions = "A labelled fallback: an average of a few muds of that time; readings at temperature are better. Pressure does not enter. "
                     "Outside its range there is no answer.",
      .cautions = "An estimate, advisory to the well's own programme and licensed practice. Muds of other base oil or with other thickener may keep "
                  "their yield, or gain.",
  };

  static constexpr Input<double> example() {
    return {.yield_point = 20.0 * find_symbol("0.01 lbf/ft2")->scale(), .reference_temperature = find_symbol("degF")->to_si(120.0),
            .temperature = find_symbol("degF")->to_si(200.0)};
  }

  static constexpr Constant one_kelvin{"1\\,\\mathrm{K}", 1.0, Quantity::temperature, "unit of temperature", true};
  static constexpr Unit fahrenheit = *find_symbol("degF");

  template <class T>
  static T factor_at(const T& temperature, const Step& number) {
    const T t = step(number, T(fahrenheit.c / fahrenheit.b) * (temperature / constant<T>(one_kelvin)) - T(fahrenheit.a / fahrenheit.b));
    return T(145.054) / t - T(3410.322) / square(t) - T(0.186);
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.reference_factor = factor_at(in.reference_temperature, {"t_{1}", Quantity::number, "temperature of the measurement in degrees Fahrenheit"});
    r.factor = factor_at(in.temperature, {"t_{2}", Quantity::number, "temperature wanted in degrees Fahrenheit"});
    r.yield_ratio = r.factor / r.reference_factor;
    r.scaled_yield_point = in.yield_point * r.yield_ratio;
    return r;
  }
};

inline constexpr OilMudYieldTemperature oil_mud_yield_temperature{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
