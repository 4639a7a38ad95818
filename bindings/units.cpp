// Units and unit sets.
#include <pybind11/numpy.h>
#include <pybind11/stl.h>

#include <algorithm>

#include "bindings.hpp"

namespace lutum::python {

namespace {

const Unit& unit_named(const std::string& name) {
  if (const Unit* u = find_unit(name)) return *u;
  throw py::value_error("unit \"" + name + "\" is unknown; lutum.units.resolve tells what a spelling means, and lutum.units.symbols() lists all");
}

Quantity quantity_named(const std::string& name) {
  for (std::size_t i = 0; i < quantity_count; ++i)
    if (quantities[i].name == name) return static_cast<Quantity>(i);
  throw py::value_error("quantity \"" + name + "\" is unknown; lutum.units.quantities() lists all");
}

// What the two are often mixed up for.
std::string_view why_not(const Unit& a, const Unit& b) {
  const auto pair = [&](Dimension x, Dimension y) { return (a.dimension == x && b.dimension == y) || (a.dimension == y && b.dimension == x); };
  if (pair(dimensions::density, dimensions::none)) return "; mg/L is mass per volume, ppm mass per mass: one over the other is the density of the liquid";
  if (pair(dimensions::density, dimensions::gradient)) return "; a pressure gradient is density times gravity";
  return "";
}

py::object convert(py::array_t<double, py::array::forcecast> values, const std::string& from, const std::string& to) {
  const Unit& a = unit_named(from);
  const Unit& b = unit_named(to);
  if (!(a.dimension == b.dimension))
    throw py::value_error(join({"cannot convert ", from, " to ", to, ": they measure different things", why_not(a, b)}));
  py::array_t<double> result(std::vector<py::ssize_t>(values.shape(), values.shape() + values.ndim()));
  const bool same = a.scale() == b.scale() && a.shift() == b.shift();
  py::array_t<double, py::array::c_style | py::array::forcecast> contiguous(values);
  const double* x = contiguous.data();
  double* y = result.mutable_data();
  for (py::ssize_t i = 0; i < contiguous.size(); ++i) y[i] = same ? x[i] : b.from_si(a.to_si(x[i]));
  if (values.ndim() == 0) return py::float_(*y);
  return result;
}

}  // namespace

UnitSet make_unit_set(const std::string& system, const py::dict& replaced) {
  UnitSet set = system == "si" ? si_units : system == "field" ? field_units : metric_units;
  if (system != "si" && system != "field" && system != "metric") throw py::value_error("unit set \"" + system + "\" is unknown; choose field, metric or si");
  for (const auto& [key, value] : replaced) {
    const auto quantity = py::cast<std::string>(key);
    const auto unit = py::cast<std::string>(value);
    if (!set.replace(quantity_named(quantity), unit_named(unit)))
      throw py::value_error("unit \"" + unit + "\" does not measure " + quantity + "; lutum.units.quantity_units(\"" + quantity + "\") lists those that do");
  }
  return set;
}

void bind_units(py::module_& m) {
  m.def("convert", &convert, py::arg("values"), py::arg("from_unit"), py::arg("to_unit"));
  m.def("resolve", [](const std::string& name) -> py::object {
    const Unit* u = find_unit(name);
    return u == nullptr ? py::object(py::none()) : text(u->symbol);
  });
  m.def("unit", [](const std::string& name) {
    const Unit& u = unit_named(name);
    return py::make_tuple(text(u.symbol), text(u.label), u.scale(), u.shift());
  });
  m.def("symbols", [] {
    py::list list;
    for (const Unit& u : all_units) list.append(text(u.symbol));
    return list;
  });
  m.def("quantities", [] {
    py::dict all;
    for (const QuantityInfo& q : quantities) all[text(q.name)] = py::make_tuple(text(q.si), text(q.field), text(q.metric));
    return all;
  });
  m.def("quantity_units", [](const std::string& name) {
    const Dimension wanted = info(quantity_named(name)).dimension;
    py::list list;
    for (const Unit& u : all_units)
      if (u.dimension == wanted) list.append(text(u.symbol));
    return list;
  });
}

}  // namespace lutum::python
