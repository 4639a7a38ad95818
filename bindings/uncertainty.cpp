// Propagation of uncertainty: covariances through a jacobian, and changes of readings through a calculation over many records.
#include "lutum/uncertainty/budget.hpp"

#include <pybind11/eigen.h>
#include <pybind11/numpy.h>
#include <pybind11/stl.h>

#include "bindings.hpp"

namespace lutum::python {

namespace {

using Numbers = py::array_t<double, py::array::c_style | py::array::forcecast>;

// The change of one input slot in one direction, a column or one number for all records.
using Change = std::tuple<std::size_t, std::size_t, Numbers>;

std::ptrdiff_t step_of(const Numbers& x, int records_axis) { return x.ndim() > records_axis ? x.strides(0) : 0; }

InColumn column(const Entry& e, std::size_t v, const Numbers& x, const Unit& unit, std::size_t records, std::size_t length) {
  const bool list = is_list(e.inputs[v]);
  const int own = list ? 1 : 0;
  if (x.ndim() < own || x.ndim() > own + 1 || (x.ndim() == own + 1 && static_cast<std::size_t>(x.shape(0)) != records) ||
      (list && static_cast<std::size_t>(x.shape(x.ndim() - 1)) != length))
    throw py::value_error(join({e.sheet->id, ": ", e.inputs[v].name, " must have ", std::to_string(records), " rows"}));
  return {reinterpret_cast<const char*>(x.data()), step_of(x, own), list ? x.strides(x.ndim() - 1) : 0, unit.scale(), unit.shift()};
}

// Values; the changes wanted, one row a pair of direction and result; the sums of their squares by result. A result is counted by
// its numbers: of a list only the elements given.
py::tuple tangents(const std::string& id, const std::string& choice, const std::string& system, const py::dict& replaced, const std::vector<Numbers>& inputs,
                   const std::vector<Change>& changes, const std::vector<std::pair<std::size_t, std::size_t>>& wanted, std::size_t directions,
                   std::size_t records) {
  const Entry* e = find_calculation(id, choice);
  if (e == nullptr || e->table) throw py::value_error(join({id, " has no changes to pass on: it is unknown or a table"}));
  if (inputs.size() != e->inputs.size()) throw py::value_error(join({id, " takes ", std::to_string(e->inputs.size()), " inputs"}));
  const UnitSet units = make_unit_set(system, replaced);
  const std::size_t length = e->longest;
  std::vector<InColumn> in;
  for (std::size_t v = 0; v < inputs.size(); ++v) {
    const bool list = is_list(e->inputs[v]);
    const std::size_t own = list && inputs[v].ndim() > 0 ? static_cast<std::size_t>(inputs[v].shape(inputs[v].ndim() - 1)) : length;
    in.push_back(column(*e, v, inputs[v], units[e->inputs[v].quantity], records, own));
  }
  std::size_t given = length;  // elements of the lists
  for (std::size_t v = 0; v < inputs.size(); ++v)
    if (is_list(e->inputs[v]) && inputs[v].ndim() > 0) given = static_cast<std::size_t>(inputs[v].shape(inputs[v].ndim() - 1));
  in.resize(in.size() + directions * e->input_slots, InColumn{nullptr, 0, 0, 1.0, 0.0});
  for (const auto& [slot, direction, x] : changes) {
    if (slot >= e->input_slots || direction >= directions || x.ndim() > 1 || (x.ndim() == 1 && static_cast<std::size_t>(x.shape(0)) != records))
      throw py::value_error(join({id, ": a change is for no input or has not ", std::to_string(records), " rows"}));
    in[inputs.size() + direction * e->input_slots + slot] = {reinterpret_cast<const char*>(x.data()), step_of(x, 0), 0, 1.0, 0.0};
  }
  std::size_t rows = 0;
  for (const Variable& v : e->results) rows += is_list(v) ? given : 1;
  py::array_t<double> values({rows, records}), changed({wanted.size(), records}), variances({rows, records});
  const auto step = static_cast<std::ptrdiff_t>(sizeof(double)), row = step * static_cast<std::ptrdiff_t>(records);
  const auto to = [&](double* memory, std::size_t r) { return OutColumn{reinterpret_cast<char*>(memory + r * records), step, 0, 1.0, 0.0}; };
  std::vector<OutColumn> out;
  std::vector<std::size_t> slot_of;  // by row
  std::size_t slot = 0;
  for (const Variable& v : e->results) {
    const Unit& unit = units[v.quantity];
    out.push_back({reinterpret_cast<char*>(values.mutable_data() + slot_of.size() * records), step, is_list(v) ? row : 0, unit.scale(), unit.shift()});
    for (std::size_t k = 0; k < (is_list(v) ? given : 1); ++k) slot_of.push_back(slot + k);
    slot += static_cast<std::size_t>(v.length);
  }
  const std::size_t first = out.size(), m = e->result_slots;
  out.resize(first + (directions + 1) * m, OutColumn{nullptr, step, 0, 1.0, 0.0});
  for (std::size_t w = 0; w < wanted.size(); ++w) {
    const auto [direction, result] = wanted[w];
    if (direction >= directions || result >= rows) throw py::value_error(join({id, ": a change is wanted that there is not"}));
    out[first + direction * m + slot_of[result]] = to(changed.mutable_data(), w);
  }
  for (std::size_t r = 0; r < rows; ++r) out[first + directions * m + slot_of[r]] = to(variances.mutable_data(), r);
  {
    const py::gil_scoped_release free;
    e->batch(chosen_set()).tangents(in.data(), out.data(), records, given, e->choice, directions);
  }
  return py::make_tuple(values, changed, variances);
}

}  // namespace

void bind_uncertainty(py::module_& m) {
  m.def("propagate", [](const Eigen::Ref<const Eigen::MatrixXd>& jacobian, const Eigen::Ref<const Eigen::MatrixXd>& covariance) {
    if (jacobian.cols() != covariance.rows() || covariance.rows() != covariance.cols())
      throw py::value_error("the covariance must be square with a row for each input of the jacobian");
    return uncertainty::propagate(jacobian, covariance);
  }, py::arg("jacobian"), py::arg("covariance"));
  m.def("tangents", &tangents, py::arg("id"), py::arg("choice"), py::arg("system"), py::arg("replaced"), py::arg("inputs"), py::arg("changes"),
        py::arg("wanted"), py::arg("directions"), py::arg("records"));
}

}  // namespace lutum::python
