// A well while it is circulated, section by section from the surface down, and what the pump's pressure changes by: in SI. The well is
// invented.
#include <cstdio>

#include "lutum/lutum.hpp"

int main() {
  using namespace lutum;
  using Well = hydraulics::Circulation;

  const Well::Input<double> mud{.density = 1250.0, .yield_stress = 4.0, .consistency = 0.35, .flow_index = 0.68, .flow_rate = 0.036,
                                .nozzle_area = 4e-4, .bit_diameter = 0.2159, .penetration_rate_of_bit = 0.006};
  // Bottom along the hole and true vertical, hole, pipe, bore, eccentricity, roughness, slip velocity of the cuttings.
  const std::vector<Well::Row<double>> sections{
      {1500.0, 1490.0, 0.2224, 0.1270, 0.1086, 0.2, 0.0, 0.10},
      {2600.0, 2300.0, 0.2224, 0.1270, 0.1086, 0.5, 0.0, 0.10},
      {2800.0, 2420.0, 0.2263, 0.1651, 0.0714, 0.6, 0.0, 0.12},
  };
  for (const auto& bottom : hydraulics::circulation(mud, sections))
    std::printf("%7.1f kPa at the pump, %6.1f kPa and %6.1f kg/m3 at the bottom (advisory)\n", bottom.pump_pressure / 1e3, bottom.pressure / 1e3,
                bottom.equivalent_density);

  // Exact derivatives: the same over dual numbers, here by the flow rate.
  using D = dual<4>;
  const auto slots = to_slots<double>(mud);
  auto seeded = from_slots<Well::Input<D>, D>([&](auto i) { return D::constant(slots[i]); });
  seeded.flow_rate = D::seed(mud.flow_rate, 0);
  std::vector<Well::Row<D>> constants;
  for (const auto& section : sections) {
    const auto column = to_slots<double>(section);
    constants.push_back(from_slots<Well::Row<D>, D>([&](auto k) { return D::constant(column[k]); }));
  }
  const auto last = evaluate_table<Well, D>(seeded, constants).back();
  std::printf("another litre a second costs %.1f kPa at the pump and %.2f kg/m3 at the bottom\n", last.pump_pressure.slope[0] * 1e-6,
              last.equivalent_density.slope[0] * 1e-3);
}
