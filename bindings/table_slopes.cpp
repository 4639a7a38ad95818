// Exact derivatives of a table in many records: chosen results in chosen rows, by chosen inputs.
#include <pybind11/stl.h>

#include "bindings.hpp"

namespace lutum::python {

namespace {

std::size_t place_of(std::span<const Variable> variables, const std::string& name, const Entry& entry, const char* what) {
  for (std::size_t i = 0; i < variables.size(); ++i)
    if (variables[i].name == name) return i;
  throw py::value_error(join({entry.sheet->id, " has no ", what, " \"", name, "\""}));
}

}  // namespace

std::vector<std::pair<std::size_t, std::size_t>> seeds_of(const Entry& entry, const std::vector<std::string>& names, std::size_t length) {
  std::vector<std::pair<std::size_t, std::size_t>> seeds;
  for (const std::string& name : names) {
    const std::size_t v = place_of(entry.inputs, name, entry, "input");
    if (v < entry.scalars) seeds.emplace_back(v, v);
    else
      for (std::size_t j = 0; j < length; ++j) seeds.emplace_back(entry.scalars + (v - entry.scalars) * length + j, v);
  }
  return seeds;
}

py::array_t<double> table_slopes(const Entry& entry, std::span<const Unit* const> in_units, std::span<const Unit* const> out_units,
                                 const py::sequence& arrays, const std::vector<std::string>& of, const std::vector<std::string>& by,
                                 const std::vector<std::size_t>& rows) {
  using Array = py::array_t<double, py::array::forcecast>;
  if (!entry.table) throw py::value_error(join({entry.sheet->id, " is no table"}));
  std::vector<Array> held;
  std::vector<InColumn> in;
  std::size_t records = 0, length = 0;
  for (std::size_t v = 0; v < entry.inputs.size(); ++v) {
    const Array& a = held.emplace_back(arrays[v].cast<Array>());
    const bool column = v >= entry.scalars;
    if (a.ndim() != (column ? 2 : 1)) throw py::value_error(join({entry.sheet->id, ": ", entry.inputs[v].name, " must have a record axis", column ? " and a row axis" : ""}));
    if (v == 0) records = static_cast<std::size_t>(a.shape(0));
    if (v == entry.scalars) length = static_cast<std::size_t>(a.shape(1));
    if (static_cast<std::size_t>(a.shape(0)) != records || (column && static_cast<std::size_t>(a.shape(1)) != length))
      throw py::value_error(join({entry.sheet->id, ": ", entry.inputs[v].name, " has another number of records or rows than the inputs before it"}));
    in.push_back({static_cast<const char*>(static_cast<const void*>(a.data())), a.strides(0), column ? a.strides(1) : 0, in_units[v]->scale(), in_units[v]->shift()});
  }
  std::vector<OutColumn> out;
  for (const Unit* u : out_units) out.push_back({nullptr, 0, 0, u->scale(), u->shift()});

  std::vector<std::size_t> seeds;
  for (const auto& [seed, variable] : seeds_of(entry, by, length)) seeds.push_back(seed);
  std::vector<Cell> cells;
  for (const std::string& name : of) {
    const std::size_t r = place_of(entry.results, name, entry, "result");
    for (const std::size_t row : rows) {
      if (row >= length) throw py::value_error(join({entry.sheet->id, ": row ", std::to_string(row), " is not in the table of ", std::to_string(length), " rows"}));
      cells.push_back({r, row});
    }
  }
  py::array_t<double> slopes({records, cells.size(), seeds.size()});
  const TableSlopes wanted{seeds.data(), seeds.size(), cells.data(), cells.size(), slopes.mutable_data()};
  {
    const py::gil_scoped_release release;
    entry.batch(chosen_set()).table_gradient(in.data(), out.data(), records, length, entry.choice, wanted);
  }
  return slopes;
}

}  // namespace lutum::python
