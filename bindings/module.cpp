#include "bindings.hpp"
#include "lutum/core/version.hpp"

#define LUTUM_TEXT_(x) #x
#define LUTUM_TEXT(x) LUTUM_TEXT_(x)

PYBIND11_MODULE(_core, m, pybind11::mod_gil_not_used()) {
  m.doc() = "Lutum's compiled kernel. Private: use lutum.field, lutum.metric or lutum.si.";
  m.attr("__version__") = LUTUM_TEXT(LUTUM_VERSION_MAJOR) "." LUTUM_TEXT(LUTUM_VERSION_MINOR) "." LUTUM_TEXT(LUTUM_VERSION_PATCH);
  lutum::python::bind_units(m);
  lutum::python::bind_uncertainty(m);
  lutum::python::bind_chain(m);
  lutum::python::bind_fitting(m);
  lutum::python::bind_flow_curve(m);
  lutum::python::bind_calculations(m);
}
