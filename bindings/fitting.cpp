// Fits of flow curves and of gel growth. SI in and out; the unit sets stand above this.
#include "lutum/fitting/flow_curve_fit.hpp"
#include "lutum/fitting/gel_growth.hpp"

#include <pybind11/eigen.h>
#include <pybind11/numpy.h>
#include <pybind11/stl.h>

#include <map>
#include <optional>

#include "bindings.hpp"

namespace lutum::python {

std::size_t choice_named(std::span<const Choice> choices, const std::string& name, const char* what) {
  std::string known;
  for (std::size_t i = 0; i < choices.size(); ++i) {
    if (choices[i].name == name) return i;
    known.append(known.empty() ? "" : ", ").append(choices[i].name);
  }
  throw py::value_error(join({what, " \"", name, "\" is unknown: choose one of ", known}));
}

namespace {

using fitting::Bounds;
using fitting::FitOptions;
using fitting::FlowCurveFit;
using fitting::GelGrowthFit;
using fitting::Index;
using fitting::VectorXd;
using rheology::FlowModel;
using Numbers = py::array_t<double, py::array::c_style | py::array::forcecast>;
using NamedBounds = std::map<std::string, std::pair<double, double>>;

FlowModel model_named(const std::string& name) { return static_cast<FlowModel>(choice_named(rheology::flow_model_choices, name, "model")); }

std::vector<Bounds> bounds_of(FlowModel model, const NamedBounds& given) {
  std::vector<Bounds> bounds = fitting::default_bounds(model);
  const auto parameters = rheology::parameters_of(model);
  for (const auto& [name, range] : given) {
    std::size_t j = 0;
    while (j < parameters.size() && parameters[j].name != name) ++j;
    if (j == parameters.size()) throw py::value_error("bounds: " + name + " is no parameter of this model");
    const auto [low, high] = range;
    if (!(low <= high)) throw py::value_error("bounds: " + name + " needs a low bound that is not above the high one");
    const bool index = name == "flow_index" || name == "exponent";
    if (index && !(low > 0.0)) throw py::value_error("bounds: " + name + " must stay above zero");
    const bool may_be_negative = model == FlowModel::bingham || model == FlowModel::yield_power_law;
    if (low < 0.0 && !(may_be_negative && name == "yield_stress"))
      throw py::value_error("bounds: " + name + " cannot be negative; only the yield stress of bingham and yield_power_law can");
    bounds[j] = {low, high};
  }
  return bounds;
}

FitOptions options_of(FlowModel model, const std::string& weighting, const NamedBounds& bounds, std::pair<double, double> rate_range,
                      std::optional<double> radius_ratio) {
  FitOptions o;
  o.weighting = static_cast<rheology::Weighting>(choice_named(rheology::weighting_choices, weighting, "weighting"));
  o.bounds = bounds_of(model, bounds);
  if (!(rate_range.first <= rate_range.second)) throw py::value_error("rate_range: the low rate must not be above the high one, both in 1/s");
  o.rate_range = {rate_range.first, rate_range.second};
  if (radius_ratio) {
    if (!fitting::FlowCurveFitter::has_wide_gap(model))
      throw py::value_error("radius_ratio: the exact flow in a wide gap is known for newtonian, bingham, power_law and yield_power_law only");
    if (!(*radius_ratio > 0.0 && *radius_ratio < 1.0)) throw py::value_error("radius_ratio: bob over rotor radius must lie between 0 and 1");
    o.radius_ratio = *radius_ratio;
  }
  return o;
}

void check_readings(const VectorXd& rate, const VectorXd& stress, const std::optional<VectorXd>& uncertainty, const FitOptions& o) {
  if (rate.size() != stress.size())
    throw py::value_error("shear_stress has " + std::to_string(stress.size()) + " values, shear_rate " + std::to_string(rate.size()));
  if (o.weighting == rheology::Weighting::reading_uncertainty && !uncertainty)
    throw py::value_error("standard_uncertainty must be given, in Pa, when it is the weighting");
  if (uncertainty && uncertainty->size() != rate.size()) throw py::value_error("standard_uncertainty must have a value for each reading");
}

FlowCurveFit fit_one(const std::string& model, const VectorXd& rate, const VectorXd& stress, const std::string& weighting,
                     const std::optional<VectorXd>& uncertainty, const NamedBounds& bounds, std::pair<double, double> rate_range,
                     std::optional<double> radius_ratio) {
  const FlowModel m = model_named(model);
  const FitOptions o = options_of(m, weighting, bounds, rate_range, radius_ratio);
  check_readings(rate, stress, uncertainty, o);
  return fitting::FlowCurveFitter(m, o)(rate, stress, uncertainty.value_or(VectorXd()));
}

VectorXd left_out(const std::string& model, const VectorXd& rate, const VectorXd& stress, const std::string& weighting,
                  const std::optional<VectorXd>& uncertainty, const NamedBounds& bounds, std::pair<double, double> rate_range,
                  std::optional<double> radius_ratio) {
  const FlowModel m = model_named(model);
  const FitOptions o = options_of(m, weighting, bounds, rate_range, radius_ratio);
  check_readings(rate, stress, uncertainty, o);
  return fitting::left_out_errors(m, o, rate, stress, uncertainty.value_or(VectorXd()));
}

Index number_of_parameters(const FlowCurveFit& fit) { return fitting::parameters_in(fit.model); }
Index number_of_parameters(const GelGrowthFit&) { return 2; }

// A value a parameter, missing where there is no fit.
template <class Fit>
VectorXd parameters_or_missing(const Fit& fit) {
  const Index k = number_of_parameters(fit);
  return fit.solution.parameters.size() == k ? fit.solution.parameters : VectorXd(VectorXd::Constant(k, not_a_number));
}
template <class Fit>
fitting::MatrixXd covariance_or_missing(const Fit& fit) {
  const Index k = number_of_parameters(fit);
  return fit.solution.covariance.size() == k * k ? fit.solution.covariance : fitting::MatrixXd(fitting::MatrixXd::Constant(k, k, not_a_number));
}
// What belongs to the readings used, at the places of all the readings given.
template <class Fit>
VectorXd spread_out(const Fit& fit, const VectorXd& of_used) {
  VectorXd all = VectorXd::Constant(fit.given, not_a_number);
  for (Index k = 0; k < of_used.size(); ++k) all[fit.used[static_cast<std::size_t>(k)]] = of_used[k];
  return all;
}
constexpr std::array<std::string_view, 4> state_names{"free", "at_low", "at_high", "without_effect"};

py::list names_of(FlowModel model) {
  py::list names;
  for (const Variable& v : rheology::parameters_of(model)) names.append(text(v.name));
  return names;
}

// Arrays of many fits, a row a record.
struct FlowCurveFits {
  py::list names;
  Numbers parameters, covariance, weighted_sum_of_squares, sum_of_squares, condition, corrected_akaike, stress, stress_variance;
  py::array_t<std::int8_t> states, status;
  py::array_t<std::int32_t> degrees_of_freedom, number_used, suspect;
};

FlowCurveFits fit_many(const std::string& model, const Numbers& rate, const Numbers& stress, const std::string& weighting,
                       const std::optional<Numbers>& uncertainty, const NamedBounds& bounds, std::pair<double, double> rate_range,
                       std::optional<double> radius_ratio, const std::optional<Numbers>& at) {
  const FlowModel m = model_named(model);
  const FitOptions o = options_of(m, weighting, bounds, rate_range, radius_ratio);
  if (stress.ndim() != 2) throw py::value_error("shear_stress must be an array of records by readings");
  const py::ssize_t records = stress.shape(0), points = stress.shape(1);
  const auto fits_shape = [&](const Numbers& x) {
    return (x.ndim() == 1 && x.shape(0) == points) || (x.ndim() == 2 && x.shape(0) == records && x.shape(1) == points);
  };
  if (!fits_shape(rate)) throw py::value_error("shear_rate must have one row for all records, or a row for each");
  if (o.weighting == rheology::Weighting::reading_uncertainty && !uncertainty)
    throw py::value_error("standard_uncertainty must be given, in Pa, when it is the weighting");
  if (uncertainty && !fits_shape(*uncertainty)) throw py::value_error("standard_uncertainty must have one row for all records, or a row for each");
  if (at && at->ndim() != 1) throw py::value_error("at must be a list of shear rates");
  const auto k = static_cast<py::ssize_t>(fitting::parameters_in(m)), rates_at = at ? at->shape(0) : 0;
  const std::vector<py::ssize_t> by_parameter{records, k}, by_pair{records, k, k}, by_rate{records, rates_at}, one{records};
  FlowCurveFits r{names_of(m), Numbers(by_parameter), Numbers(by_pair), Numbers(one), Numbers(one), Numbers(one), Numbers(one), Numbers(by_rate),
                  Numbers(by_rate), py::array_t<std::int8_t>(by_parameter), py::array_t<std::int8_t>(one), py::array_t<std::int32_t>(one),
                  py::array_t<std::int32_t>(one), py::array_t<std::int32_t>(one)};
  double *parameters = r.parameters.mutable_data(), *covariance = r.covariance.mutable_data(), *weighted = r.weighted_sum_of_squares.mutable_data(),
         *plain = r.sum_of_squares.mutable_data(), *condition = r.condition.mutable_data(), *akaike = r.corrected_akaike.mutable_data(),
         *fitted = r.stress.mutable_data(), *variance = r.stress_variance.mutable_data();
  std::int8_t *states = r.states.mutable_data(), *status = r.status.mutable_data();
  std::int32_t *freedom = r.degrees_of_freedom.mutable_data(), *used = r.number_used.mutable_data(), *suspect = r.suspect.mutable_data();
  const double* where = at ? at->data() : nullptr;
  const auto row = [&](const Numbers& x, py::ssize_t i) {
    return Eigen::Map<const VectorXd>(x.data() + (x.ndim() == 2 ? i * points : 0), points);
  };
  const py::gil_scoped_release free;
  fitting::FlowCurveFitter fitter(m, o);
  for (py::ssize_t i = 0; i < records; ++i) {
    const FlowCurveFit fit = fitter(row(rate, i), row(stress, i), uncertainty ? VectorXd(row(*uncertainty, i)) : VectorXd());
    Eigen::Map<VectorXd>(parameters + i * k, k) = parameters_or_missing(fit);
    Eigen::Map<fitting::MatrixXd>(covariance + i * k * k, k, k) = covariance_or_missing(fit);
    for (py::ssize_t j = 0; j < k; ++j)
      states[i * k + j] = fit.solution.states.empty() ? std::int8_t{-1} : static_cast<std::int8_t>(fit.solution.states[static_cast<std::size_t>(j)]);
    status[i] = static_cast<std::int8_t>(fit.status);
    weighted[i] = fit.solution.weighted_sum_of_squares;
    plain[i] = fit.sum_of_squares;
    condition[i] = fit.solution.condition;
    akaike[i] = fit.corrected_akaike;
    freedom[i] = static_cast<std::int32_t>(fit.solution.degrees_of_freedom);
    used[i] = static_cast<std::int32_t>(fit.used.size());
    suspect[i] = static_cast<std::int32_t>(fit.suspect);
    for (py::ssize_t j = 0; j < rates_at; ++j) {
      fitted[i * rates_at + j] = fit.stress(where[j]);
      variance[i * rates_at + j] = fit.stress_variance(where[j]);
    }
  }
  return r;
}

template <class F>
py::array_t<double> for_rates(const Numbers& rates, F f) {
  py::array_t<double> out(std::vector<py::ssize_t>(rates.shape(), rates.shape() + rates.ndim()));
  for (py::ssize_t i = 0; i < rates.size(); ++i) out.mutable_data()[i] = f(rates.data()[i]);
  return out;
}

// What both kinds of fit tell.
template <class Fit>
void bind_solution(py::class_<Fit>& c) {
  const auto p = [](auto get) { return py::cpp_function(get); };
  c.def_property_readonly("parameters", p([](const Fit& f) { return parameters_or_missing(f); }))
      .def_property_readonly("covariance", p([](const Fit& f) { return covariance_or_missing(f); }))
      .def_property_readonly("correlation", p([](const Fit& f) { return f.solution.correlation(); }))
      .def_property_readonly("states", p([](const Fit& f) {
                               py::list states;
                               for (const auto s : f.solution.states) states.append(text(state_names[static_cast<std::size_t>(s)]));
                               return states;
                             }))
      .def_property_readonly("bounds", p([](const Fit& f) {
                               py::list bounds;
                               for (const Bounds& b : f.problem.bounds) bounds.append(py::make_tuple(b.low, b.high));
                               return bounds;
                             }))
      .def_readonly("used", &Fit::used)
      .def_property_readonly("number_used", p([](const Fit& f) { return f.used.size(); }))
      .def_property_readonly("residuals", p([](const Fit& f) { return spread_out(f, f.solution.residuals); }))
      .def_property_readonly("studentized", p([](const Fit& f) { return spread_out(f, f.studentized); }))
      .def_property_readonly("weighted_sum_of_squares", p([](const Fit& f) { return f.solution.weighted_sum_of_squares; }))
      .def_property_readonly("degrees_of_freedom", p([](const Fit& f) { return f.solution.degrees_of_freedom; }))
      .def_property_readonly("condition", p([](const Fit& f) { return f.solution.condition; }))
      .def_property_readonly("converged", p([](const Fit& f) { return f.solution.converged; }))
      .def_property_readonly("last_step", p([](const Fit& f) { return f.solution.last_step; }))
      .def_property_readonly("status", p([](const Fit& f) { return text(fitting::fit_status_names[static_cast<std::size_t>(f.status)]); }))
      .def_property_readonly("suspect", p([](const Fit& f) { return f.suspect < 0 ? std::optional<Index>() : std::optional<Index>(f.suspect); }));
}

// The name of an option's value.
template <class Choices, class Value>
py::str choice(const Choices& choices, Value value) {
  return text(choices[static_cast<std::size_t>(value)].name);
}

void bind_one_fit(py::module_& m) {
  const auto p = [](auto get) { return py::cpp_function(get); };
  py::class_<GelGrowthFit> growth(m, "GelGrowthFit");
  bind_solution(growth);
  py::class_<FlowCurveFit> fit(m, "FlowCurveFit");
  bind_solution(fit);
  fit.def_property_readonly("model", p([](const FlowCurveFit& f) { return choice(rheology::flow_model_choices, f.model); }))
      .def_property_readonly("names", p([](const FlowCurveFit& f) { return names_of(f.model); }))
      .def_property_readonly("weighting", p([](const FlowCurveFit& f) { return choice(rheology::weighting_choices, f.weighting); }))
      .def_property_readonly("rate_correction", p([](const FlowCurveFit& f) {
                               return f.rate_correction == fitting::RateCorrection::none ? "none" : "wide_gap";
                             }))
      .def_property_readonly("rate_range", p([](const FlowCurveFit& f) { return py::make_tuple(f.rate_range.low, f.rate_range.high); }))
      .def_property_readonly("rates_used", p([](const FlowCurveFit& f) { return py::make_tuple(f.lowest_rate, f.highest_rate); }))
      .def_readonly("sum_of_squares", &FlowCurveFit::sum_of_squares)
      .def_readonly("corrected_akaike", &FlowCurveFit::corrected_akaike)
      .def("stress", [](const FlowCurveFit& f, const Numbers& rates) {
        return for_rates(rates, [&](double g) { return f.stress(g); });
      }, py::arg("shear_rate"))
      .def("stress_variance", [](const FlowCurveFit& f, const Numbers& rates) {
        return for_rates(rates, [&](double g) { return f.stress_variance(g); });
      }, py::arg("shear_rate"));
}

}  // namespace

void bind_fitting(py::module_& m) {
  bind_one_fit(m);
  py::class_<FlowCurveFits>(m, "FlowCurveFits")
      .def_readonly("names", &FlowCurveFits::names)
      .def_readonly("parameters", &FlowCurveFits::parameters)
      .def_readonly("covariance", &FlowCurveFits::covariance)
      .def_readonly("states", &FlowCurveFits::states)
      .def_readonly("status", &FlowCurveFits::status)
      .def_readonly("weighted_sum_of_squares", &FlowCurveFits::weighted_sum_of_squares)
      .def_readonly("sum_of_squares", &FlowCurveFits::sum_of_squares)
      .def_readonly("degrees_of_freedom", &FlowCurveFits::degrees_of_freedom)
      .def_readonly("number_used", &FlowCurveFits::number_used)
      .def_readonly("condition", &FlowCurveFits::condition)
      .def_readonly("suspect", &FlowCurveFits::suspect)
      .def_readonly("corrected_akaike", &FlowCurveFits::corrected_akaike)
      .def_readonly("stress", &FlowCurveFits::stress)
      .def_readonly("stress_variance", &FlowCurveFits::stress_variance);
  constexpr double inf = infinity;
  m.def("fit_flow_curve", &fit_one, py::arg("model"), py::arg("shear_rate"), py::arg("shear_stress"), py::arg("weighting") = "equal",
        py::arg("standard_uncertainty") = py::none(), py::arg("bounds") = NamedBounds(), py::arg("rate_range") = std::pair(0.0, inf),
        py::arg("radius_ratio") = py::none());
  m.def("left_out_errors", &left_out, py::arg("model"), py::arg("shear_rate"), py::arg("shear_stress"), py::arg("weighting") = "equal",
        py::arg("standard_uncertainty") = py::none(), py::arg("bounds") = NamedBounds(), py::arg("rate_range") = std::pair(0.0, inf),
        py::arg("radius_ratio") = py::none());
  m.def("fit_flow_curves", &fit_many, py::arg("model"), py::arg("shear_rate"), py::arg("shear_stress"), py::arg("weighting") = "equal",
        py::arg("standard_uncertainty") = py::none(), py::arg("bounds") = NamedBounds(), py::arg("rate_range") = std::pair(0.0, inf),
        py::arg("radius_ratio") = py::none(), py::arg("at") = py::none());
  m.def("flow_model_parameters", [](const std::string& model) {
    const FlowModel chosen_model = model_named(model);
    const std::vector<Bounds> bounds = fitting::default_bounds(chosen_model);
    py::list described;
    std::size_t j = 0;
    for (const Variable& v : rheology::parameters_of(chosen_model)) {
      described.append(py::make_tuple(text(v.name), text(v.symbol), text(info(v.quantity).name), text(v.meaning), bounds[j].low, bounds[j].high));
      ++j;
    }
    return described;
  }, py::arg("model"));
  m.def("flow_models", [] {
    py::list names;
    for (const Choice& c : rheology::flow_model_choices) names.append(text(c.name));
    return names;
  });
  py::list statuses;
  for (const std::string_view name : fitting::fit_status_names) statuses.append(text(name));
  m.attr("fit_statuses") = py::tuple(statuses);
  m.def("akaike_weights", &fitting::akaike_weights, py::arg("criteria"));
  m.def("two_sided_t", &fitting::two_sided_t, py::arg("t"), py::arg("degrees_of_freedom"));
  m.def("fit_gel_growth", [](const VectorXd& time, const VectorXd& stress) {
    if (time.size() != stress.size())
      throw py::value_error("stress has " + std::to_string(stress.size()) + " values, time " + std::to_string(time.size()));
    return fitting::fit_gel_growth(time, stress);
  }, py::arg("time"), py::arg("stress"));
}

}  // namespace lutum::python
