// Propagation of uncertainty: covariances through a jacobian.
#include "lutum/uncertainty/budget.hpp"

#include <pybind11/eigen.h>

#include "bindings.hpp"

namespace lutum::python {

void bind_uncertainty(py::module_& m) {
  m.def("propagate", [](const Eigen::Ref<const Eigen::MatrixXd>& jacobian, const Eigen::Ref<const Eigen::MatrixXd>& covariance) {
    if (jacobian.cols() != covariance.rows() || covariance.rows() != covariance.cols())
      throw py::value_error("the covariance must be square with a row for each input of the jacobian");
    return uncertainty::propagate(jacobian, covariance);
  }, py::arg("jacobian"), py::arg("covariance"));
}

}  // namespace lutum::python
