// A worked solution: every number with its symbol, its formula, the numbers put in and the result, in a unit set.
#include <cstdio>

#include "lutum/lutum.hpp"
#include "lutum/report/worked_solution.hpp"

int main() {
  // The field set, but with concentrations in kg/m3.
  lutum::UnitSet units = lutum::field_units;
  units.replace(lutum::Quantity::concentration, *lutum::find_unit("kg/m3"));

  const lutum::clay::MethyleneBlue::Input<double> titration{.dye_volume = 8e-6, .sample_volume = 2e-6};
  std::fputs(lutum::report::work(lutum::clay::methylene_blue, titration, units).c_str(), stdout);

  // The same for a notebook or a document: Markdown with LaTeX.
  const auto document = lutum::report::work(lutum::clay::methylene_blue, titration, units, lutum::report::Format::markdown);
  std::fputs(document.substr(document.find("$$"), document.rfind("$$") + 2 - document.find("$$")).c_str(), stdout);
  std::fputs("\n", stdout);
}
