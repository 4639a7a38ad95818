// What the files of the extension module share.
#pragma once

#include <pybind11/pybind11.h>

#include "entry.hpp"

namespace lutum::python {

namespace py = pybind11;

void bind_units(py::module_& m);
void bind_calculations(py::module_& m);
void bind_uncertainty(py::module_& m);
void bind_chain(py::module_& m);
void bind_fitting(py::module_& m);
void bind_flow_curve(py::module_& m);

inline py::str text(std::string_view s) { return py::str(s.data(), s.size()); }

// The instruction set of this process: the best, or the one LUTUM_ISA names.
InstructionSet chosen_set();

// "field", "metric" or "si" with {quantity name: unit}; a ValueError names what is unknown or does not fit.
UnitSet make_unit_set(const std::string& system, const py::dict& replaced);

// A worked solution as text; inputs in SI as an Entry takes them.
std::string worked_solution(const Entry& entry, const double* inputs, std::size_t length, std::size_t row, const UnitSet& units, bool markdown,
                            const std::string& appendix, const std::string& verdict);

// A variable's symbol as plain text or LaTeX.
std::string symbol_text(const Variable& variable, bool markdown);

}  // namespace lutum::python
