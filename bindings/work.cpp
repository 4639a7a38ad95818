// Worked solutions: the only file that includes the report component.
#include "lutum/report/worked_solution.hpp"

#include "bindings.hpp"

namespace lutum::python {

std::string worked_solution(const Entry& entry, const double* inputs, std::size_t length, std::size_t row, const UnitSet& units, bool markdown,
                            const std::string& appendix, const std::string& verdict) {
  Trace trace;
  entry.trace(inputs, length, row, trace);
  return report::WorkedSolution(trace, units, markdown ? report::Format::markdown : report::Format::text).str(appendix, verdict);
}

std::string symbol_text(const Variable& variable, bool markdown) {
  return report::symbol_text(variable.symbol, markdown ? report::Format::markdown : report::Format::text);
}

}  // namespace lutum::python
