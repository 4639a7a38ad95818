// Exact first derivatives of every result by every input, and from them an uncertainty budget.
#include <cstdio>

#include "lutum/lutum.hpp"
#include "lutum/uncertainty/budget.hpp"

int main() {
  const auto& annulus = lutum::hydraulics::slot_pressure_gradient;
  const auto in = annulus.example();
  const auto result = annulus(in);

  // Rows are results, columns inputs, both in the order of the description.
  const auto slope = annulus.gradient(in);
  std::printf("pressure gradient %.6g Pa/m, changes by\n", result.pressure_gradient);
  for (std::size_t i = 0; i < annulus.inputs.size(); ++i)
    std::printf("  %11.4g for one SI unit of %.*s\n", slope[2][i], static_cast<int>(annulus.inputs[i].name.size()), annulus.inputs[i].name.data());

  // Standard uncertainties of the inputs; one left out is NaN: exactly known.
  const auto budget = lutum::uncertainty::budget(annulus, in, {.yield_stress = 0.5, .consistency = 0.03, .flow_index = 0.02, .hole_diameter = 0.003});
  std::printf("standard uncertainty %.3g Pa/m, of which\n", budget.combined.pressure_gradient);
  for (int i : {1, 2, 3, 4}) {
    const auto name = annulus.inputs[static_cast<std::size_t>(i)].name;
    std::printf("  %5.1f from %.*s\n", budget.contributions(2, i), static_cast<int>(name.size()), name.data());
  }
}
