// Flow curves from their parameters: stress, viscosity, slope, and the rate of a stress. SI in and out, a row a curve.
#include "lutum/rheology/flow_curve.hpp"

#include <pybind11/numpy.h>

#include <string>

#include "bindings.hpp"
#include "lutum/core/dual.hpp"

namespace lutum::python {

namespace {

using rheology::FlowCurve;
using rheology::FlowModel;
using Numbers = py::array_t<double, py::array::c_style | py::array::forcecast>;

FlowModel model_named(const std::string& name) { return static_cast<FlowModel>(choice_named(rheology::flow_model_choices, name, "model")); }

std::size_t check_shapes(FlowModel model, const Numbers& parameters, const Numbers& at) {
  const std::size_t n = rheology::parameters_of(model).size();
  if (parameters.ndim() != 2 || static_cast<std::size_t>(parameters.shape(1)) != n)
    throw py::value_error("parameters must be an array of curves by " + std::to_string(n) + " parameters");
  if (at.ndim() != 1) throw py::value_error("shear rates or stresses must be one list for all curves");
  return n;
}

template <class T>
FlowCurve<T> curve_of(FlowModel model, const double* parameters, std::size_t n) {
  FlowCurve<T> curve{model, {}};
  for (T& x : curve.parameter) x = T(0.0);
  for (std::size_t j = 0; j < n; ++j) {
    if constexpr (std::is_same_v<T, double>) curve.parameter[j] = parameters[j];
    else curve.parameter[j] = T::seed(parameters[j], static_cast<int>(j));
  }
  return curve;
}

py::tuple states(const std::string& model_name, const Numbers& parameters, const Numbers& rates) {
  const FlowModel model = model_named(model_name);
  const std::size_t n = check_shapes(model, parameters, rates);
  const std::vector<py::ssize_t> shape{parameters.shape(0), rates.shape(0)};
  Numbers stress(shape), viscosity(shape), index(shape);
  for (py::ssize_t i = 0; i < shape[0]; ++i) {
    const auto curve = curve_of<double>(model, parameters.data(i, 0), n);
    for (py::ssize_t k = 0; k < shape[1]; ++k) {
      const double rate = rates.data()[k];
      const bool known = rate >= 0.0;
      stress.mutable_at(i, k) = known ? curve.stress(rate) : not_a_number;
      viscosity.mutable_at(i, k) = known ? curve.apparent_viscosity(rate) : not_a_number;
      index.mutable_at(i, k) = known ? curve.local_index(rate) : not_a_number;
    }
  }
  return py::make_tuple(stress, viscosity, index);
}

Numbers rates(const std::string& model_name, const Numbers& parameters, const Numbers& stresses) {
  const FlowModel model = model_named(model_name);
  const std::size_t n = check_shapes(model, parameters, stresses);
  Numbers found(std::vector<py::ssize_t>{parameters.shape(0), stresses.shape(0)});
  for (py::ssize_t i = 0; i < parameters.shape(0); ++i) {
    const auto curve = curve_of<double>(model, parameters.data(i, 0), n);
    for (py::ssize_t k = 0; k < stresses.shape(0); ++k) found.mutable_at(i, k) = curve.rate(stresses.data()[k]);
  }
  return found;
}

// Of the stress by every parameter of one curve: a row a rate.
Numbers slopes(const std::string& model_name, const Numbers& parameters, const Numbers& shear_rates) {
  const FlowModel model = model_named(model_name);
  const std::size_t n = check_shapes(model, parameters, shear_rates);
  if (parameters.shape(0) != 1) throw py::value_error("slopes are of one curve");
  const auto curve = curve_of<dual<4>>(model, parameters.data(), n);
  Numbers found(std::vector<py::ssize_t>{shear_rates.shape(0), static_cast<py::ssize_t>(n)});
  for (py::ssize_t k = 0; k < shear_rates.shape(0); ++k) {
    const dual<4> s = curve.stress(dual<4>(shear_rates.data()[k]));
    for (std::size_t j = 0; j < n; ++j) found.mutable_at(k, static_cast<py::ssize_t>(j)) = s.slope[j];
  }
  return found;
}

}  // namespace

void bind_flow_curve(py::module_& m) {
  m.def("flow_curve_states", &states, py::arg("model"), py::arg("parameters"), py::arg("shear_rate"));
  m.def("flow_curve_rates", &rates, py::arg("model"), py::arg("parameters"), py::arg("shear_stress"));
  m.def("flow_curve_slopes", &slopes, py::arg("model"), py::arg("parameters"), py::arg("shear_rate"));
}

}  // namespace lutum::python
