// Resistivity of mud, filtrate and cake at one temperature, and their ratios.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::filtration {

struct Resistivity : Calculation<Resistivity> {
  template <class T>
  struct Input {
    T mud_resistivity = T(not_a_number);
    T mud_temperature = T(not_a_number);
    T filtrate_resistivity = T(not_a_number);
    T filtrate_temperature = T(not_a_number);
    T cake_resistivity = T(not_a_number);
    T cake_temperature = T(not_a_number);
    T temperature = T((75.0 + 459.67) / 1.8);
  };

  template <class T>
  struct Result {
    T mud_resistivity_at_temperature;
    T filtrate_resistivity_at_temperature;
    T cake_resistivity_at_temperature;
    T filtrate_to_mud;
    T cake_to_mud;
  };

  // -6.77 degF: the temperature at which ions of a brine would cease to move by the straight line of the rule.
  static constexpr Constant no_conduction{"T_{0}", (459.67 - 6.77) / 1.8, Quantity::temperature,
                                          "temperature of no conduction by the rule, -6.77 degF"};

  static constexpr Limits hard{1e-4, 1e5}, shown{0.01, 50.0}, hard_temperature{260.0, 600.0}, shown_temperature{280.0, 450.0};

  static constexpr std::array inputs{
      Variable{.name = "mud_resistivity", .symbol = "R_{m}", .quantity = Quantity::resistivity, .meaning = "resistivity of the mud as read",
               .limits = hard, .validated = shown},
      Variable{.name = "mud_temperature", .symbol = "T_{m}", .quantity = Quantity::temperature, .meaning = "temperature at which the mud was read",
               .limits = hard_temperature, .validated = shown_temperature},
      Variable{.name = "filtrate_resistivity", .symbol = "R_{mf}", .quantity = Quantity::resistivity,
               .meaning = "resistivity of the filtrate as read", .limits = hard, .validated = shown},
      Variable{.name = "filtrate_temperature", .symbol = "T_{mf}", .quantity = Quantity::temperature,
               .meaning = "temperature at which the filtrate was read", .limits = hard_temperature, .validated = shown_temperature},
      Variable{.name = "cake_resistivity", .symbol = "R_{mc}", .quantity = Quantity::resistivity, .meaning = "resistivity of the filter cake as read",
               .limits = hard, .validated = shown, .optional = true},
      Variable{.name = "cake_temperature", .symbol = "T_{mc}", .quantity = Quantity::temperature, .meaning = "temperature at which the cake was read",
               .limits = hard_temperature, .validated = shown_temperature, .optional = true},
      Variable{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature, .meaning = "temperature to which all are brought",
               .limits = hard_temperature, .validated = shown_temperature},
  };

  static constexpr std::array results{
      Variable{.name = "mud_resistivity_at_temperature", .symbol = "R_{m,T}", .quantity = Quantity::resistivity,
               .meaning = "resistivity of the mud at the chosen temperature"},
      Variable{.name = "filtrate_resistivity_at_temperature", .symbol = "R_{mf,T}", .quantity = Quantity::resistivity,
               .meaning = "resistivity of the filtrate at the chosen temperature"},
      Variable{.name = "cake_resistivity_at_temperature", .symbol = "R_{mc,T}", .quantity = Quantity::resistivity,
               .meaning = "resistivity of the cake at the chosen temperature; missing where it was not read"},
      Variable{.name = "filtrate_to_mud", .symbol = "f", .quantity = Quantity::number, .meaning = "filtrate over mud, at one temperature"},
      Variable{.name = "cake_to_mud", .symbol = "c", .quantity = Quantity::number, .meaning = "cake over mud, at one temperature"},
  };

  static constexpr Sheet sheet{
      .id = "filtration.resistivity",
      .title = "Resistivity of mud, filtrate and cake",
      .answers = "What are the resistivities at one temperature, and do they stand to each other as they should?",
      .equations = "R_T = R (T_read + 6.77)/(T + 6.77) with temperatures in degF; ratios of resistivities at one temperature",
      .source = "Arps (1953), rule for sodium chloride solutions, from memory; in degC the rounded constant 21.5 is usual (21.54 exactly). Ratios: "
                "definition.",
      .assumptions = "Ions of a sodium chloride water carry the current; the same rule is taken for mud and cake. Not for oil muds, potassium or "
                     "mixed brines of high strength. No salinity is inferred.",
      .cautions = "Read the temperature of the sample in the cell, not of the room. Air bubbles and a dirty cell read too high.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "the filtrate conducts better than the mud, and the mud better than the cake"},
      Verdict{"filtrate_above_mud", "the filtrate is less conductive than the mud: rare without much conducting clay; a slip, a temperature not "
                                    "read, or readings exchanged", Severity::caution},
      Verdict{"cake_below_mud", "the cake conducts better than the mud: a slip or a wet cake", Severity::caution},
      Verdict{"missing", "a reading of mud or filtrate or its temperature is missing"},
  };
  static std::int8_t judge(const Input<double>&, const Result<double>& r) {
    if (!(r.filtrate_to_mud == r.filtrate_to_mud) || !(r.mud_resistivity_at_temperature == r.mud_resistivity_at_temperature)) return 3;
    if (r.filtrate_to_mud > 1.0) return 1;
    return r.cake_to_mud < 1.0 ? 2 : 0;
  }

  static constexpr Input<double> example() {
    return {.mud_resistivity = 0.90, .mud_temperature = 297.15, .filtrate_resistivity = 0.68, .filtrate_temperature = 295.15, .cake_resistivity = 1.4,
            .cake_temperature = 296.15};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto brought = [&](const T& read, const T& at) -> T {
      return read * (at - constant<T>(no_conduction)) / (in.temperature - constant<T>(no_conduction));
    };
    Result<T> r;
    r.mud_resistivity_at_temperature = brought(in.mud_resistivity, in.mud_temperature);
    r.filtrate_resistivity_at_temperature = brought(in.filtrate_resistivity, in.filtrate_temperature);
    r.cake_resistivity_at_temperature = brought(in.cake_resistivity, in.cake_temperature);
    r.filtrate_to_mud = r.filtrate_resistivity_at_temperature / r.mud_resistivity_at_temperature;
    r.cake_to_mud = r.cake_resistivity_at_temperature / r.mud_resistivity_at_temperature;
    return r;
  }
};

inline constexpr Resistivity resistivity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::filtration
