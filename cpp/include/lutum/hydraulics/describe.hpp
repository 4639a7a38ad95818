// The words in which pipe and annulus are described.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

inline constexpr Constant slowest{"v_{tiny}", 1e-100, Quantity::velocity, "stands for no flow, where only the limit exists"};

namespace describe {

inline constexpr Variable density{.name = "density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the fluid",
                                  .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}};
inline constexpr Variable yield_stress{.name = "yield_stress", .symbol = "\\tau_0", .quantity = Quantity::stress,
                                       .meaning = "yield stress of the flow curve", .limits = {0.0, 1000.0}, .validated = {0.0, 60.0}};
inline constexpr Variable consistency{.name = "consistency", .symbol = "K", .quantity = Quantity::consistency,
                                      .meaning = "consistency of the flow curve: stress above yield at 1 1/s", .limits = {1e-6, 1000.0},
                                      .validated = {1e-4, 60.0}};
inline constexpr Variable flow_index{.name = "flow_index", .symbol = "n", .quantity = Quantity::number,
                                     .meaning = "power of the shear rate in the flow curve", .limits = {0.05, 2.0}, .validated = {0.2, 1.05}};
inline constexpr Variable hole_diameter{.name = "hole_diameter", .symbol = "D", .quantity = Quantity::diameter,
                                        .meaning = "inside diameter of hole, casing or riser", .limits = {0.01, 2.0}, .validated = {0.05, 1.0}};
inline constexpr Variable flow_rate{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "flow through the section",
                                    .limits = {0.0, 1.0}, .validated = {0.0, 0.2}};
inline constexpr Variable length{.name = "length", .symbol = "L", .quantity = Quantity::length, .meaning = "measured length of the section",
                                 .limits = {0.0, 20000.0}, .validated = {0.0, 15000.0}};

inline constexpr Variable pipe_diameter{.name = "pipe_diameter", .symbol = "d", .quantity = Quantity::diameter,
                                        .meaning = "outside diameter of the pipe, smaller than the hole", .limits = {0.001, 2.0},
                                        .validated = {0.02, 1.0}};
inline constexpr Variable eccentricity{.name = "eccentricity", .symbol = "e", .quantity = Quantity::number,
                                       .meaning = "distance of the axes over that when the pipe touches the wall: 0 concentric, 1 touching",
                                       .limits = {0.0, 1.0}, .validated = {0.0, 0.95}};
inline constexpr Variable bottom_measured_depth{.name = "bottom_measured_depth", .symbol = "L", .quantity = Quantity::length,
                                                .meaning = "measured depth of the section's bottom", .limits = {0.0, 20000.0},
                                                .validated = {0.0, 15000.0}, .length = any_length, .increasing = true};
inline constexpr Variable bottom_true_vertical_depth{.name = "bottom_true_vertical_depth", .symbol = "z", .quantity = Quantity::length,
                                                     .meaning = "true vertical depth of the section's bottom", .limits = {0.0, 20000.0},
                                                     .validated = {0.0, 12000.0}, .length = any_length, .at_most = "bottom_measured_depth"};

// The same as a column of a table.
constexpr Variable column(Variable of_one) {
  of_one.length = any_length;
  return of_one;
}

inline constexpr Variable velocity{.name = "velocity", .symbol = "V", .quantity = Quantity::velocity, .meaning = "mean velocity"};
inline constexpr Variable pressure_gradient{.name = "pressure_gradient", .symbol = "\\left(dp/dL\\right)", .quantity = Quantity::pressure_gradient,
                                            .meaning = "friction pressure loss per measured length; zero at rest"};
inline constexpr Variable pressure_loss{.name = "pressure_loss", .symbol = "\\Delta p", .quantity = Quantity::pressure,
                                        .meaning = "friction pressure loss of the section"};
inline constexpr Variable wall_stress{.name = "wall_stress", .symbol = "\\tau_{w}", .quantity = Quantity::stress,
                                      .meaning = "mean stress at the wall"};
inline constexpr Variable friction_factor{.name = "friction_factor", .symbol = "f", .quantity = Quantity::number,
                                          .meaning = "friction factor after Fanning; missing at rest"};
inline constexpr Variable reynolds_number{.name = "reynolds_number", .symbol = "Re", .quantity = Quantity::number,
                                          .meaning = "generalised Reynolds number: 16 over the laminar friction factor"};
inline constexpr Variable critical_reynolds_number{.name = "critical_reynolds_number", .symbol = "Re_{c}", .quantity = Quantity::number,
                                                   .meaning = "the laminar regime ends here: 3470 - 1370 n with the flow curve's own n, in the "
                                                              "standard n_p, its slope between 600 and 300 r/min"};
inline constexpr Variable laminar_factor{.name = "laminar_factor", .symbol = "f_{l}", .quantity = Quantity::number,
                                         .meaning = "factor after Fanning of laminar flow at that Reynolds number"};
inline constexpr Variable local_flow_index{.name = "local_flow_index", .symbol = "n'", .quantity = Quantity::number,
                                           .meaning = "slope of log laminar wall stress against log velocity, at this wall stress"};
inline constexpr Variable starting_gradient{.name = "starting_gradient", .symbol = "\\left(dp/dL\\right)_{0}",
                                            .quantity = Quantity::pressure_gradient,
                                            .meaning = "gradient at which a fluid at rest starts to flow against its yield stress"};

inline constexpr std::string_view friction_cautions =
    "Advisory: pressures are for the well's own programme and licensed practice to decide. A gel is stronger than the yield stress: starting "
    "takes more. Temperature, cuttings, tool joints and wear are not in it; measured losses differ from any friction law by 10 to 20 % (common "
    "practice, no source).";

}  // namespace describe

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
