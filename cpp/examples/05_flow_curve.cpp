// From dial readings to a flow curve and the pressure it costs: each a call, in SI. What the readings tell about the curve
// (uncertainties, a suspect reading, other models) is in lutum/fitting/flow_curve_fit.hpp, with Eigen.
#include <cstdio>

#include "lutum/lutum.hpp"

int main() {
  using namespace lutum;
  const double rpm = find_unit("rpm")->to_si(1.0);

  rheology::Viscometer::Input<double> dial;
  dial.speed = listed<12>({600 * rpm, 300 * rpm, 200 * rpm, 100 * rpm, 6 * rpm, 3 * rpm});  // room for twelve, the rest missing
  dial.reading = listed<12>({65, 40, 31, 21, 8, 7});
  const auto read = rheology::viscometer(dial);

  rheology::YieldPowerLawFit::Input<double> readings;
  readings.shear_rate = read.shear_rate;
  readings.shear_stress = read.wall_stress;
  const auto fit = rheology::yield_power_law_fit.checked(readings, rheology::Weighting::equal);
  if (!fit) return std::printf("%s\n", fit.message().c_str()), 1;
  const auto& mud = fit.result;
  std::printf("yield stress %.3f Pa, consistency %.4f Pa.s^n, flow index %.4f: %s\n", mud.yield_stress, mud.consistency, mud.flow_index,
              std::string(fit.verdict->name).c_str());

  const auto loss = hydraulics::annulus_loss({.density = 1250.0, .yield_stress = mud.yield_stress, .consistency = mud.consistency,
                                              .flow_index = mud.flow_index, .hole_diameter = 0.2159, .pipe_diameter = 0.127, .flow_rate = 0.028,
                                              .length = 1000.0});
  std::printf("%.1f kPa over 1000 m of annulus (advisory)\n", loss.pressure_loss / 1e3);
}
