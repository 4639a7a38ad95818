// Fallback without hot readings: the high-shear viscosity of a water-base mud follows that of water.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

enum class WaterViscosity : std::uint8_t { iapws, laliberte };
inline constexpr std::array water_viscosity_choices{
    Choice{"iapws", "water by IAPWS, liquid at atmospheric pressure, 0 to 110 degC"},
    Choice{"laliberte", "water by Laliberte's equation, 0 to 150 degC"},
};

struct SolventScaling : Calculation<SolventScaling> {
  using Option = WaterViscosity;
  static constexpr OptionInfo option{.name = "water_law", .meaning = "whose viscosity of water", .choices = water_viscosity_choices};

  template <class T>
  struct Input {
    T high_shear_viscosity = T(not_a_number);
    T reference_temperature = T(not_a_number);
    T temperature = T(not_a_number);
  };

  template <class T>
  struct Result {
    T scaled_viscosity;
    T viscosity_ratio;
    T reference_water_viscosity;
    T water_viscosity;
  };

  static constexpr Limits liquid{273.15, 423.15};
  static constexpr double highest_of_iapws = 383.15;

  static constexpr std::array inputs{
      Variable{.name = "high_shear_viscosity", .symbol = "\\mu_{1}", .quantity = Quantity::viscosity,
               .meaning = "viscosity at high rates (plastic viscosity, or the high-shear one of a fit) as measured", .limits = {0.0, 10.0},
               .validated = {5e-4, 0.2}},
      Variable{.name = "reference_temperature", .symbol = "T_{1}", .quantity = Quantity::temperature,
               .meaning = "temperature at which it was measured",
               .limits = liquid, .validated = {277.15, 366.15}},
      Variable{.name = "temperature", .symbol = "T_{2}", .quantity = Quantity::temperature, .meaning = "temperature for which it is wanted",
               .limits = liquid, .validated = {277.15, 423.15}},
  };

  static constexpr std::array results{
      Variable{.name = "scaled_viscosity", .symbol = "\\mu_{2}", .quantity = Quantity::viscosity,
               .meaning = "viscosity at high rates at the temperature wanted: a fallback"},
      Variable{.name = "viscosity_ratio", .symbol = "f", .quantity = Quantity::number,
               .meaning = "viscosity of water at the temperature wanted against that at the other"},
      Variable{.name = "reference_water_viscosity", .symbol = "\\mu_{w1}", .quantity = Quantity::viscosity,
               .meaning = "viscosity of water at the temperature of the measurement"},
      Variable{.name = "water_viscosity", .symbol = "\\mu_{w2}", .quantity = Quantity::viscosity,
               .meaning = "viscosity of water at the temperature wanted"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.solvent_scaling",
      .title = "High-shear viscosity of a water-base mud at another temperature",
      .answers = "What high-shear viscosity is to be expected at another temperature when there are no readings at it?",
      .equations = "mu_2 = mu_1 mu_w(T_2)/mu_w(T_1); IAPWS: mu_w = 0.28068 x^-1.9 + 0.51145 x^-7.7 + 0.061131 x^-19.6 + 0.00045903 x^-40 mPa.s, x = "
                   "T/300 K; Laliberte: mu_w = (t + 246)/((0.05594 t + 5.2842) t + 137.37) mPa.s, t in degC",
      .source = "Rule: attributed to Alderman and others (1988), water-base muds, from memory. Water: IAPWS, liquid at 0.1 MPa (coefficients from "
                "memory; within 0.02 % of IAPWS R12-08, which was worked through by itself and meets its own table), or Laliberte (2007) (seen in "
                "two open libraries; 0.3 % higher near 95 degC, 0.9 % lower at 150 degC).",
      .assumptions = "A labelled fallback: readings at temperature are better, and clays or polymers that change with heat do not follow. High rates "
                     "only: yield stress and low-shear readings are not scaled by it. Brine changes like water. Pressure is left out: 50 MPa raise "
                     "the viscosity of hot water by some 5 %.",
      .cautions = "An estimate, advisory to the well's own programme and licensed practice.",
  };

  static constexpr std::array verdicts{
      Verdict{"within_range", "both temperatures lie in the range of the water law; a fallback for want of readings"},
      Verdict{"beyond_range", "a temperature lies above 110 degC, the range of this law for water: no answer; take the other law, or readings",
              Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, WaterViscosity law) {
    if (law == WaterViscosity::iapws && (in.temperature > highest_of_iapws || in.reference_temperature > highest_of_iapws)) return 1;
    return r.scaled_viscosity == r.scaled_viscosity ? 0 : 2;
  }

  static constexpr Input<double> example() { return {.high_shear_viscosity = 25e-3, .reference_temperature = 322.15, .temperature = 366.15}; }

  static constexpr Constant three_hundred_kelvin{"300\\,\\mathrm{K}", 300.0, Quantity::temperature, "temperature that x refers to", true};
  static constexpr Constant ice_point{"273.15\\,\\mathrm{K}", 273.15, Quantity::temperature, "zero of the Celsius scale", true};
  static constexpr Constant one_kelvin{"1\\,\\mathrm{K}", 1.0, Quantity::temperature, "unit of temperature", true};
  static constexpr Constant millipascal_second{"1\\,\\mathrm{mPa.s}", 1e-3, Quantity::viscosity, "unit of the equation for water", true};

  template <class T>
  static T water(const T& temperature, WaterViscosity law, const Step& number) {
    if (law == WaterViscosity::iapws) {
      const T x = step(number, only_if(temperature <= T(highest_of_iapws), temperature / constant<T>(three_hundred_kelvin)));
      const T sum = T(0.28068) * pow(x, T(-1.9)) + T(0.51145) * pow(x, T(-7.7)) + T(0.061131) * pow(x, T(-19.6)) + T(0.00045903) * pow(x, T(-40.0));
      return sum * constant<T>(millipascal_second);
    }
    const T t = step(number, (temperature - constant<T>(ice_point)) / constant<T>(one_kelvin));
    return (t + T(246.0)) / ((T(0.05594) * t + T(5.2842)) * t + T(137.37)) * constant<T>(millipascal_second);
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, WaterViscosity law) {
    const bool iapws = law == WaterViscosity::iapws;
    Result<T> r;
    r.reference_water_viscosity =
        water(in.reference_temperature, law, iapws ? Step{"x_{1}", Quantity::number, "temperature of the measurement over 300 K"}
                                                   : Step{"t_{1}", Quantity::number, "temperature of the measurement in degrees Celsius"});
    r.water_viscosity = water(in.temperature, law, iapws ? Step{"x_{2}", Quantity::number, "temperature wanted over 300 K"}
                                                         : Step{"t_{2}", Quantity::number, "temperature wanted in degrees Celsius"});
    r.viscosity_ratio = r.water_viscosity / r.reference_water_viscosity;
    r.scaled_viscosity = in.high_shear_viscosity * r.viscosity_ratio;
    return r;
  }
};

inline constexpr SolventScaling solvent_scaling{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
