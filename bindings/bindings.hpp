// What the files of the extension module share.
#pragma once

#include <pybind11/numpy.h>

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

// The place of a choice by its name; a ValueError lists the known ones.
std::size_t choice_named(std::span<const Choice> choices, const std::string& name, const char* what);

// The instruction set of this process: the best, or the one LUTUM_ISA names.
InstructionSet chosen_set();

// "field", "metric" or "si" with {quantity name: unit}; a ValueError names what is unknown or does not fit.
UnitSet make_unit_set(const std::string& system, const py::dict& replaced);

// Of a table of so many rows: the seeds that inputs stand for, a column for all its rows, each with the place of its variable.
std::vector<std::pair<std::size_t, std::size_t>> seeds_of(const Entry& entry, const std::vector<std::string>& names, std::size_t length);

// Of a table: derivatives of the results `of` in `rows` by the inputs `by`, records x cells x seeds; a column stands for all its rows.
py::array_t<double> table_slopes(const Entry& entry, std::span<const Unit* const> in_units, std::span<const Unit* const> out_units,
                                 const py::sequence& arrays, const std::vector<std::string>& of, const std::vector<std::string>& by,
                                 const std::vector<std::size_t>& rows);

// A worked solution as text; inputs in SI as an Entry takes them.
std::string worked_solution(const Entry& entry, const double* inputs, std::size_t length, std::size_t row, const UnitSet& units, bool markdown,
                            const std::string& appendix, const std::string& verdict);

// A variable's symbol as plain text or LaTeX.
std::string symbol_text(const Variable& variable, bool markdown);

}  // namespace lutum::python
