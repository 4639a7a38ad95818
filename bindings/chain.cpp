// Calculations one after the other over columns: the steps as Python describes them, in the unit set of the columns.
#include "chain.hpp"

#include <pybind11/numpy.h>
#include <pybind11/stl.h>

#include <algorithm>
#include <optional>
#include <tuple>

#include "bindings.hpp"

namespace lutum::python {

namespace {

using Numbers = py::array_t<double, py::array::forcecast>;
using Choices = py::array_t<std::int8_t, py::array::c_style>;

// Columns of the first that is not missing, what stands where all are, and the directions in which that is uncertain.
using Input = std::tuple<std::vector<std::size_t>, double, std::vector<std::pair<std::size_t, double>>>;
// Calculation, choice, places of its lists, inputs, reach of its results, and choices by record if they are not all the same.
using Step = std::tuple<std::string, std::string, std::size_t, std::vector<Input>, std::vector<std::vector<std::size_t>>, std::optional<Choices>>;
using Error = std::tuple<std::size_t, std::size_t, Numbers>;
using Wanted = std::vector<std::pair<std::size_t, std::size_t>>;

ChainColumn column(const Numbers& x, std::size_t records) {
  if (x.ndim() > 1 || (x.ndim() == 1 && static_cast<std::size_t>(x.shape(0)) != records))
    throw py::value_error(join({"a column has not ", std::to_string(records), " rows"}));
  return {reinterpret_cast<const char*>(x.data()), x.ndim() == 1 ? x.strides(0) : 0};
}

std::size_t inputs_of(const ChainStep& step) {
  std::size_t n = 0;
  for (const Variable& v : step.entry->inputs) n += is_list(v) ? step.length : 1;
  return n;
}

ChainStep step_of(const Step& told, std::size_t columns, std::size_t records) {
  const auto& [id, choice, length, inputs, reach, choices] = told;
  ChainStep step{find_calculation(id, choice), length, {}, reach};
  if (step.entry == nullptr || step.entry->table) throw py::value_error(join({id, " is no step: it is unknown or a table"}));
  for (const auto& [from, otherwise, assumed] : inputs) step.inputs.push_back({from, otherwise, assumed});
  if (length > step.entry->longest || step.inputs.size() != inputs_of(step) || (!reach.empty() && reach.size() != results_of(step)))
    throw py::value_error(join({id, ": inputs or results are not as many as it has"}));
  for (const ChainInput& input : step.inputs)
    for (std::size_t from : input.columns)
      if (from >= columns) throw py::value_error(join({id, " reads a column that is not there yet"}));
  for (const auto& of_result : reach)
    for (std::size_t input : of_result)
      if (input >= step.inputs.size()) throw py::value_error(join({id, " has no such input"}));
  if (choices.has_value()) {
    if (choices->ndim() != 1 || static_cast<std::size_t>(choices->shape(0)) != records) throw py::value_error(join({id, ": a choice is wanted for every row"}));
    const auto most = static_cast<int>(step.entry->option == nullptr ? 1 : step.entry->option->choices.size());
    for (std::size_t i = 0; i < records; ++i)
      if (choices->data()[i] >= most) throw py::value_error(join({id, " has no such choice"}));
    step.choices = choices->data();
  }
  return step;
}

// Memory of rows whose numbers lie side by side.
double* rows_of(std::optional<py::array_t<double>>& x, std::size_t rows, std::size_t records, std::size_t& pitch) {
  if (!x.has_value() || rows == 0) return nullptr;
  const bool fits = x->ndim() == 2 && static_cast<std::size_t>(x->shape(0)) == rows && static_cast<std::size_t>(x->shape(1)) == records &&
                    (records < 2 || x->strides(1) == static_cast<py::ssize_t>(sizeof(double)));
  const std::size_t own = fits ? static_cast<std::size_t>(x->strides(0)) / sizeof(double) : 0;
  if (!fits || (pitch != 0 && pitch != own)) throw py::value_error("results want a row for each, one as far from the next in all that is made");
  pitch = own;
  return x->mutable_data();
}

py::array_t<double> chain(const std::vector<Step>& steps, const std::string& system, const py::dict& replaced, const std::vector<Numbers>& given,
                          const std::vector<Error>& errors, std::size_t records, std::optional<py::array_t<double>> values,
                          std::optional<py::array_t<double>> standard, const Wanted& wanted) {
  const UnitSet units = make_unit_set(system, replaced);
  std::vector<ChainColumn> columns;
  for (const Numbers& x : given) columns.push_back(column(x, records));
  std::vector<ChainStep> all;
  std::size_t rows = 0;
  for (const Step& told : steps) {
    all.push_back(step_of(told, given.size() + rows, records));
    rows += results_of(all.back());
  }
  std::vector<ChainError> moved;
  for (const auto& [of, direction, change] : errors) {
    if (of >= given.size()) throw py::value_error("an error is of no column that is given");
    moved.push_back({of, direction, column(change, records)});
  }
  ChainResults made;
  made.values = rows_of(values, rows, records, made.pitch);
  made.standard = rows_of(standard, rows, records, made.pitch);
  py::array_t<double> changes({wanted.size(), records});
  std::fill_n(changes.mutable_data(), changes.size(), 0.0);
  for (std::size_t w = 0; w < wanted.size(); ++w) made.changes.push_back({wanted[w].first, wanted[w].second, changes.mutable_data() + w * records});
  {
    const py::gil_scoped_release free;
    run_chain(all, units, chosen_set(), columns, moved, records, made);
  }
  return changes;
}

}  // namespace

void bind_chain(py::module_& m) {
  m.def("chain", &chain, py::arg("steps"), py::arg("system"), py::arg("replaced"), py::arg("given"), py::arg("errors"), py::arg("records"),
        py::arg("values").noconvert(), py::arg("standard").noconvert(), py::arg("wanted"));
}

}  // namespace lutum::python
