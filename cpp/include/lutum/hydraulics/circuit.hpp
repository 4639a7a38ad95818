// What the calculations of pump, surface lines and bit share.
#pragma once

#include "lutum/core/calculation.hpp"
#include "lutum/core/usual_constants.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics::circuit {

inline constexpr Variable density{.name = "density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the fluid",
                                  .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}};
inline constexpr Variable flow_rate{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "rate pumped",
                                    .limits = {0.0, 1.0}, .validated = {0.0, 0.2}};
inline constexpr Variable length{.name = "length", .symbol = "L", .quantity = Quantity::length, .meaning = "measured length of the column",
                                 .limits = {0.0, 20000.0}, .validated = {0.0, 15000.0}};
inline constexpr Variable discharge_coefficient{
    .name = "discharge_coefficient", .symbol = "C_{d}", .quantity = Quantity::number,
    .meaning = "discharge coefficient of the nozzles: 0.95 by custom, 0.98 in newer practice; 1.03 was measured once", .limits = {0.1, 1.5},
    .validated = {0.9, 1.05}};

inline constexpr std::string_view bit_source =
    "Energy balance of a jet (derived): dp = rho q^2/(2 C_d^2 A^2). C_d 0.95: two handbooks (seen); 1.03 from a measurement (abstract seen); 0.98 "
    "from memory.";
inline constexpr std::string_view cautions =
    "Advisory: pressures and rates are for the well's own programme, the limits of its pumps and relief valves, and licensed practice to decide.";

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics::circuit
