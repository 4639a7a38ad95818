// The density that keeps a formation balanced while the pipe is pulled.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct TripMargin : Calculation<TripMargin> {
  template <class T>
  struct Input {
    T density = T(not_a_number);
    T pore_density = T(not_a_number);
    T swab_pressure = T(not_a_number);
    T true_vertical_depth = T(not_a_number);
  };

  template <class T>
  struct Result {
    T trip_margin;
    T least_density;
    T density_to_spare;
  };

  static constexpr std::array inputs{
      circuit::density,
      Variable{.name = "pore_density", .symbol = "\\rho_{p}", .quantity = Quantity::density,
               .meaning = "equivalent density of the pore pressure, or of collapse if that is higher", .limits = {0.0, 4000.0},
               .validated = {900.0, 2500.0}},
      Variable{.name = "swab_pressure", .symbol = "p_{s}", .quantity = Quantity::pressure,
               .meaning = "pressure taken away by pulling the pipe, as a positive number", .limits = {0.0, 1e8}, .validated = {0.0, 1e7}},
      Variable{.name = "true_vertical_depth", .symbol = "z", .quantity = Quantity::length, .meaning = "true vertical depth of the formation",
               .limits = {0.1, 20000.0}, .validated = {50.0, 12000.0}},
  };
  static constexpr std::array results{
      Variable{.name = "trip_margin", .symbol = "\\Delta \\rho", .quantity = Quantity::density, .meaning = "density that makes up for the swab"},
      Variable{.name = "least_density", .symbol = "\\rho_{min}", .quantity = Quantity::density,
               .meaning = "least density that holds the formation while pulling, not rounded: for use it is rounded up"},
      Variable{.name = "density_to_spare", .symbol = "\\rho_{spare}", .quantity = Quantity::density,
               .meaning = "what the mud has above that, signed"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.trip_margin",
      .title = "Trip margin",
      .answers = "How much denser than the pore pressure must the mud be to pull the pipe at this swab?",
      .equations = "margin = p_s/(g z); rho_min = rho_p + margin; to spare = rho - rho_min",
      .source = "Hydrostatics (derived).",
      .assumptions = "Hole kept full, mud of one density, the swab is the largest of the trip at that depth. Gel, inertia and balling may add to it.",
      .cautions = "Well control. Advisory only: trip speeds and margins are for the well's own programme, local rules and licensed practice to "
                  "decide. Round up, watch the trip tank, and check against the fracture density too.",
  };

  static constexpr std::array verdicts{
      Verdict{"held", "the mud holds the formation while pulling"},
      Verdict{"swabs_in", "the mud holds the formation at rest but not while pulling: slower, or denser", Severity::caution},
      Verdict{"underbalanced", "the mud does not even hold the formation at rest", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(r.density_to_spare == r.density_to_spare)) return 3;
    if (in.density < in.pore_density) return 2;
    return r.density_to_spare < 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    return {.density = 1440.0, .pore_density = 1380.0, .swab_pressure = 1.2e6, .true_vertical_depth = 3000.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    r.trip_margin = in.swab_pressure / (in.true_vertical_depth * constant<T>(gravity));
    r.least_density = in.pore_density + r.trip_margin;
    r.density_to_spare = in.density - r.least_density;
    return r;
  }
};

inline constexpr TripMargin trip_margin{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
