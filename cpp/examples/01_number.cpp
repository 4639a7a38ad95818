// One calculation, one call. Numbers go in and come out in SI; units.hpp converts at the edge of your program.
#include <cstdio>

#include "lutum/lutum.hpp"

int main() {
  using lutum::find_unit;
  const lutum::Unit& lb_gal = *find_unit("lb/gal");
  const lutum::Unit& lb_bbl = *find_unit("lb/bbl");

  // Inputs are named; those not named have the defaults of the header. Nothing throws, nothing is allocated.
  const lutum::solids::WaterBaseRetort::Input<double> mud{
      .mud_density = lb_gal.to_si(12.0),
      .water_fraction = 0.74,
      .oil_fraction = 0.06,
      .chloride = find_unit("mg/L")->to_si(79000.0),
  };
  const auto solids = lutum::solids::water_base_retort(mud);
  std::printf("low-gravity solids  %6.1f lb/bbl\n", lb_bbl.from_si(solids.low_gravity_concentration));
  std::printf("high-gravity solids %6.1f lb/bbl\n", lb_bbl.from_si(solids.high_gravity_concentration));

  // A verdict says what the numbers alone do not.
  const auto verdict = static_cast<std::size_t>(lutum::solids::WaterBaseRetort::judge(mud, solids));
  const lutum::Verdict& said = lutum::solids::WaterBaseRetort::verdicts[verdict];
  std::printf("verdict: %.*s\n", static_cast<int>(said.name.size()), said.name.data());

  // checked() holds the inputs against their limits first, and says what is wrong in the units you choose.
  auto typo = mud;
  typo.mud_density = 12.0;  // lb/gal where kg/m3 belongs
  if (const auto r = lutum::solids::water_base_retort.checked(typo); !r) std::printf("%s\n", r.message(lutum::field_units).c_str());
}
