// The catalogue as Python objects: a loop over the table, no code a calculation. Each object evaluates plain numbers
// fast, and owns real NumPy ufuncs for values, gradients and verdicts in the units of its set.
#include <pybind11/numpy.h>
#include <pybind11/stl.h>

#include <numpy/arrayobject.h>
#include <numpy/ufuncobject.h>

#include <cfenv>
#include <cstdlib>
#include <cstring>
#include <memory>

#include "bindings.hpp"

namespace lutum::python {

InstructionSet chosen_set() {
  static const InstructionSet set = [] {
    const char* forced = std::getenv("LUTUM_ISA");
    return forced == nullptr || *forced == '\0' ? detect_instruction_set() : instruction_set_named(forced);
  }();
  return set;
}

namespace {

// What the inner loop of a ufunc needs; lives as long as the ufunc.
struct Loop {
  const Entry* entry = nullptr;
  std::vector<double> in_scale, in_shift, out_scale, out_shift;
  std::string name, doc, signature;
  PyUFuncGenericFunction function = nullptr;
  std::vector<char> types;
  void* data = nullptr;
};

std::vector<InColumn> in_columns(const Loop& loop, char** args, const npy_intp* steps, const npy_intp* core) {
  std::vector<InColumn> in(loop.entry->inputs.size());
  for (std::size_t i = 0; i < in.size(); ++i) {
    const bool list = is_list(loop.entry->inputs[i]);
    in[i] = {args[i], steps[i], list ? *core++ : 0, loop.in_scale[i], loop.in_shift[i]};
  }
  return in;
}

// How many numbers a variable takes among the slots of a record whose lists are `length` long.
std::size_t slots_in(const Variable& v, std::size_t length) {
  return v.length == any_length ? length : static_cast<std::size_t>(v.length);
}

std::size_t lists_in(std::span<const Variable> variables) {
  std::size_t n = 0;
  for (const Variable& v : variables) n += is_list(v) ? 1 : 0;
  return n;
}

std::size_t list_length(const Entry& e, const npy_intp* dims) {
  return lists_in(e.inputs) > 0 ? static_cast<std::size_t>(dims[1]) : 1;
}

std::vector<OutColumn> out_columns(const Loop& loop, char** args, const npy_intp* steps, const npy_intp* core) {
  std::vector<OutColumn> out(loop.entry->results.size());
  for (std::size_t i = 0; i < out.size(); ++i) {
    const bool list = is_list(loop.entry->results[i]);
    out[i] = {args[i], steps[i], list ? *core++ : 0, loop.out_scale[i], loop.out_shift[i]};
  }
  return out;
}

void value_loop(char** args, const npy_intp* dims, const npy_intp* steps, void* data) {
  const Loop& loop = *static_cast<const Loop*>(data);
  const Entry& e = *loop.entry;
  const std::size_t n = e.inputs.size(), all = n + e.results.size();
  const auto in = in_columns(loop, args, steps, steps + all);
  const auto out = out_columns(loop, args + n, steps + n, steps + all + lists_in(e.inputs));
  e.batch(chosen_set()).value(in.data(), out.data(), static_cast<std::size_t>(dims[0]), list_length(e, dims), e.choice);
}

// One output more: the jacobian, result slots x input slots.
void gradient_loop(char** args, const npy_intp* dims, const npy_intp* steps, void* data) {
  const Loop& loop = *static_cast<const Loop*>(data);
  const Entry& e = *loop.entry;
  const std::size_t n = e.inputs.size(), m = e.results.size(), all = n + m + 1;
  const auto in = in_columns(loop, args, steps, steps + all);
  auto out = out_columns(loop, args + n, steps + n, steps + all + lists_in(e.inputs));
  const npy_intp* last = steps + all + lists_in(e.inputs) + lists_in(e.results);
  for (std::size_t r = 0; r < e.result_slots; ++r)
    for (std::size_t i = 0; i < e.input_slots; ++i)
      out.push_back({args[n + m] + static_cast<npy_intp>(r) * last[0] + static_cast<npy_intp>(i) * last[1], steps[n + m], 0, 1.0, 0.0});
  e.batch(chosen_set()).gradient(in.data(), out.data(), static_cast<std::size_t>(dims[0]), list_length(e, dims), e.choice);
}

double load_si(const Loop& loop, std::size_t variable, const char* at) {
  double x;
  std::memcpy(&x, at, sizeof x);
  x = x * loop.in_scale[variable] + loop.in_shift[variable];
  return loop.entry->inputs[variable].limits.contain(x) ? x : not_a_number;
}

void judge_loop(char** args, const npy_intp* dims, const npy_intp* steps, void* data) {
  const Loop& loop = *static_cast<const Loop*>(data);
  const Entry& e = *loop.entry;
  const std::size_t n = e.inputs.size(), length = list_length(e, dims);
  std::vector<double> inputs(e.input_slots), results(e.result_slots);
  for (npy_intp record = 0; record < dims[0]; ++record) {
    const npy_intp* core = steps + n + 1;
    double* slot = inputs.data();
    for (std::size_t v = 0; v < n; ++v) {
      const char* at = args[v] + record * steps[v];
      const auto room = static_cast<std::size_t>(e.inputs[v].length);
      const npy_intp element = is_list(e.inputs[v]) ? *core++ : 0;
      for (std::size_t k = 0; k < room; ++k)
        *slot++ = k < (is_list(e.inputs[v]) ? length : 1) ? load_si(loop, v, at + static_cast<npy_intp>(k) * element) : not_a_number;
    }
    e.value(inputs.data(), length, results.data());
    args[n][record * steps[n]] = static_cast<char>(e.judge(inputs.data(), results.data()));
  }
  std::feclearexcept(FE_ALL_EXCEPT);
}

// A NumPy signature: k is the length of the lists.
std::string signature(std::span<const Variable> variables) {
  std::string s;
  for (const Variable& v : variables) s.append(s.empty() ? "" : ",").append(is_list(v) ? "(k)" : "()");
  return s;
}

py::object make_ufunc(std::unique_ptr<Loop> loop, std::size_t outputs) {
  const bool lists = !loop->signature.empty();
  loop->data = loop.get();
  Loop* l = loop.release();
  py::capsule owner(l, [](void* p) { delete static_cast<Loop*>(p); });
  PyObject* raw = PyUFunc_FromFuncAndDataAndSignature(&l->function, &l->data, l->types.data(), 1, static_cast<int>(l->entry->inputs.size()),
                                                      static_cast<int>(outputs), PyUFunc_None, l->name.c_str(), l->doc.c_str(), 0,
                                                      lists ? l->signature.c_str() : nullptr);
  if (raw == nullptr) throw py::error_already_set();
  reinterpret_cast<PyUFuncObject*>(raw)->obj = owner.release().ptr();  // freed with the ufunc
  return py::reinterpret_steal<py::object>(raw);
}

py::dict describe(const Variable& v, const UnitSet& units, double default_si) {
  const Unit& unit = units[v.quantity];
  const auto limit = [&](double x) { return std::abs(x) < infinity ? unit.from_si(x) : x; };
  py::dict d;
  d["name"] = text(v.name);
  d["symbol"] = symbol_text(v, true);
  d["plain_symbol"] = symbol_text(v, false);
  d["quantity"] = text(info(v.quantity).name);
  d["unit"] = text(unit.label);
  d["unit_symbol"] = text(unit.symbol);
  d["meaning"] = text(v.meaning);
  d["limits"] = py::make_tuple(limit(v.limits.lowest), limit(v.limits.highest));
  d["validated"] = py::make_tuple(limit(v.validated.lowest), limit(v.validated.highest));
  d["length"] = v.length;
  d["is_list"] = is_list(v);
  d["optional"] = v.optional;
  d["gaps"] = v.gaps;
  d["default"] = default_si == default_si ? py::object(py::float_(unit.from_si(default_si))) : py::object(py::none());
  return d;
}

class Bound {
 public:
  Bound(const std::string& id, const std::string& system, const py::dict& replaced, const std::string& choice)
      : entry_(find_calculation(id, choice)), units_(make_unit_set(system, replaced)) {
    if (entry_ == nullptr) throw py::value_error(unknown(id, choice));
    for (const Variable& v : entry_->inputs) in_unit_.push_back(&units_[v.quantity]);
    for (const Variable& v : entry_->results) out_unit_.push_back(&units_[v.quantity]);
    for (const Variable& v : entry_->inputs) scalars_only_ = scalars_only_ && !is_list(v);
    value_ufunc = make_ufunc(loop("", &value_loop, signature(entry_->results), entry_->results.size(), NPY_DOUBLE, !scalars_only_), entry_->results.size());
    if (!entry_->table) {
      const std::string outputs =
          join({signature(entry_->results), ",(", std::to_string(entry_->result_slots), ",", std::to_string(entry_->input_slots), ")"});
      gradient_ufunc = make_ufunc(loop(" gradient", &gradient_loop, outputs, entry_->results.size() + 1, NPY_DOUBLE, true),
                                  entry_->results.size() + 1);
    }
    if (!entry_->verdicts.empty()) judge_ufunc = make_ufunc(loop(" verdict", &judge_loop, "()", 1, NPY_INT8, !scalars_only_), 1);
  }

  py::dict describe_all() const {
    std::vector<double> defaults(entry_->input_slots, not_a_number);
    entry_->defaults(defaults.data());
    py::list inputs, results, verdicts;
    std::size_t slot = 0;
    for (std::size_t i = 0; i < entry_->inputs.size(); ++i) {
      const Variable& v = entry_->inputs[i];
      const bool column = entry_->table && i >= entry_->scalars;
      inputs.append(describe(v, units_, column || is_list(v) ? not_a_number : defaults[slot]));
      if (!column) slot += static_cast<std::size_t>(v.length);
    }
    for (const Variable& v : entry_->results) results.append(describe(v, units_, not_a_number));
    for (const Verdict& v : entry_->verdicts) verdicts.append(py::make_tuple(text(v.name), text(v.meaning), static_cast<int>(v.severity)));
    const Sheet& s = *entry_->sheet;
    py::dict d, sheet;
    d["option"] = py::none();
    if (entry_->option != nullptr) {
      py::list choices;
      for (const Choice& c : entry_->option->choices) choices.append(py::make_tuple(text(c.name), text(c.meaning)));
      d["option"] = py::make_tuple(text(entry_->option->name), text(entry_->option->meaning), choices);
    }
    sheet["id"] = text(s.id);
    sheet["title"] = text(s.title);
    sheet["answers"] = text(s.answers);
    sheet["equations"] = text(s.equations);
    sheet["source"] = text(s.source);
    sheet["assumptions"] = text(s.assumptions);
    sheet["cautions"] = text(s.cautions);
    d["sheet"] = sheet;
    d["inputs"] = inputs;
    d["results"] = results;
    d["verdicts"] = verdicts;
    d["table"] = entry_->table;
    d["scalars"] = entry_->scalars;
    d["longest"] = entry_->longest;
    return d;
  }

  // The result for plain numbers as an instance of `result_type`, a tuple type; None when one of them is not a plain
  // number; ValueError when one is outside its limits.
  py::object scalar(const py::tuple& args, const py::object& result_type) const {
    constexpr std::size_t most = 64;
    if (!scalars_only_ || entry_->input_slots > most || entry_->result_slots > most) return py::none();
    std::array<double, most> in;
    std::array<double, most> out;
    for (std::size_t i = 0; i < in_unit_.size(); ++i) {
      PyObject* a = PyTuple_GET_ITEM(args.ptr(), static_cast<Py_ssize_t>(i));
      if (!PyFloat_Check(a) && !PyLong_Check(a) && !PyArray_IsScalar(a, Number)) return py::none();
      const double x = PyFloat_AsDouble(a);
      if (x == -1.0 && PyErr_Occurred() != nullptr) throw py::error_already_set();
      in[i] = in_unit_[i]->to_si(x);
    }
    raise_for(in.data(), 1);
    entry_->value(in.data(), 1, out.data());
    py::tuple values(out_unit_.size());
    for (std::size_t i = 0; i < out_unit_.size(); ++i)
      PyTuple_SET_ITEM(values.ptr(), static_cast<Py_ssize_t>(i), PyFloat_FromDouble(out_unit_[i]->from_si(out[i])));
    const py::tuple packed = py::make_tuple(values);
    PyObject* made = PyTuple_Type.tp_new(reinterpret_cast<PyTypeObject*>(result_type.ptr()), packed.ptr(), nullptr);
    if (made == nullptr) throw py::error_already_set();
    return py::reinterpret_steal<py::object>(made);
  }

  // Everything to be said about one record: (is_error, input, element, value, sentence).
  py::list findings(const py::sequence& record) const {
    const auto [slots, length] = to_si(record);
    py::list list;
    inspect_record(slots.data(), length, [&](const Finding& f) {
      const Unit& unit = units_[f.variable->quantity];
      list.append(py::make_tuple(f.is_error(), text(f.variable->name), f.element, unit.from_si(f.value), message(f, units_, *entry_->sheet)));
    });
    return list;
  }

  std::string work(const py::sequence& record, std::size_t row, bool markdown, const std::string& appendix) const {
    const auto [slots, length] = to_si(record);
    raise_for(slots.data(), length);
    if (entry_->table && row >= length) throw py::value_error(join({"row ", std::to_string(row), " is not in the table of ", std::to_string(length), " rows"}));
    return worked_solution(*entry_, slots.data(), length, row, units_, markdown, appendix, verdict_in_words(slots.data()));
  }

  // Of a table: derivatives of every result and row with respect to the named inputs, shape results x rows x seeds. A
  // column stands for all its rows.
  py::array_t<double> table_gradient(const py::sequence& record, const std::vector<std::string>& wanted) const {
    const auto [slots, length] = to_si(record);
    raise_for(slots.data(), length);
    std::vector<std::size_t> seeds;
    std::vector<double> scale;
    for (const auto& [seed, variable] : seeds_of(*entry_, wanted, length)) {
      seeds.push_back(seed);
      scale.push_back(in_unit_[variable]->scale());
    }
    const std::size_t m = entry_->results.size();
    py::array_t<double> jacobian({m, length, seeds.size()});
    double* j = jacobian.mutable_data();
    entry_->gradient(slots.data(), length, seeds, j);
    for (std::size_t r = 0; r < m; ++r)
      for (std::size_t k = 0; k < length; ++k)
        for (const double s : scale) *j++ *= s / out_unit_[r]->scale();
    return jacobian;
  }

  py::array_t<double> slopes(const py::sequence& arrays, const std::vector<std::string>& of, const std::vector<std::string>& by,
                             const std::vector<std::size_t>& rows) const {
    return table_slopes(*entry_, in_unit_, out_unit_, arrays, of, by, rows);
  }

  // An example input in the units of the set, one entry a variable.
  py::tuple example() const {
    std::vector<double> slots(4096, not_a_number);
    const std::size_t length = entry_->example(slots.data(), slots.size());
    py::tuple record(entry_->inputs.size());
    const double* slot = slots.data();
    for (std::size_t v = 0; v < entry_->inputs.size(); ++v) {
      const Variable& variable = entry_->inputs[v];
      if (!is_list(variable)) {
        record[v] = in_unit_[v]->from_si(*slot++);
        continue;
      }
      py::list values;
      for (std::size_t k = 0; k < length; ++k, ++slot)
        if (*slot == *slot) values.append(in_unit_[v]->from_si(*slot));
      record[v] = values;
    }
    return record;
  }

  py::object value_ufunc, gradient_ufunc = py::none(), judge_ufunc = py::none();

 private:
  static std::string unknown(const std::string& id, const std::string& choice) {
    const Entry* e = find_calculation(id);
    if (e == nullptr) return join({"calculation \"", id, "\" is unknown; lutum.catalogue() lists all"});
    if (e->option == nullptr) return join({id, " has no option to be set to \"", choice, "\""});
    std::string names;
    for (const Choice& c : e->option->choices) names.append(names.empty() ? "" : ", ").append(c.name);
    return join({id, ": ", e->option->name, " = \"", choice, "\" is not one of its choices; choose ", names});
  }

  std::unique_ptr<Loop> loop(const char* kind, PyUFuncGenericFunction function, const std::string& outputs, std::size_t n_out, char out_type, bool lists) const {
    auto l = std::make_unique<Loop>();
    l->entry = entry_;
    for (const Unit* u : in_unit_) l->in_scale.push_back(u->scale()), l->in_shift.push_back(u->shift());
    for (const Unit* u : out_unit_) l->out_scale.push_back(u->scale()), l->out_shift.push_back(u->shift());
    l->name = std::string(entry_->sheet->id) + kind;
    l->doc = std::string(entry_->sheet->title);
    if (lists) l->signature = join({signature(entry_->inputs), "->", outputs});
    l->function = function;
    l->types.assign(entry_->inputs.size(), NPY_DOUBLE);
    l->types.insert(l->types.end(), n_out, out_type);
    return l;
  }

  // One record in SI as an Entry takes it, and the length of its lists.
  std::pair<std::vector<double>, std::size_t> to_si(const py::sequence& record) const {
    std::vector<double> slots;
    std::size_t length = 1;
    bool seen = false;
    for (std::size_t v = 0; v < entry_->inputs.size(); ++v) {
      const Variable& variable = entry_->inputs[v];
      const Unit& unit = *in_unit_[v];
      if (!is_list(variable)) {
        slots.push_back(unit.to_si(py::cast<double>(py::object(record[v]))));
        continue;
      }
      const auto values = py::cast<std::vector<double>>(py::object(record[v]));
      if (seen && values.size() != length)
        throw py::value_error(join({entry_->sheet->id, ": ", variable.name, " has ", std::to_string(values.size()),
                                    " values where the lists before it have ", std::to_string(length)}));
      length = values.size();
      seen = true;
      const std::size_t room = slots_in(variable, length);
      if (length > room)
        throw py::value_error(join({entry_->sheet->id, ": ", variable.name, " holds at most ", std::to_string(room), " values; ",
                                    std::to_string(length), " were given"}));
      for (double x : values) slots.push_back(unit.to_si(x));
      slots.resize(slots.size() + room - length, not_a_number);
    }
    return {slots, length};
  }

  template <class Report>
  void inspect_record(const double* slots, std::size_t length, Report&& report) const {
    const double* const first = slots;
    for (const Variable& v : entry_->inputs) {
      inspect(v, slots, is_list(v) ? length : 1, report);
      if (!v.at_most.empty()) inspect_pair(v, slots, slots_of_input(v.at_most, first, length), is_list(v) ? length : 1, report);
      slots += slots_in(v, length);
    }
  }

  // Where the numbers of an input begin among the slots of a record.
  const double* slots_of_input(std::string_view name, const double* slots, std::size_t length) const {
    for (const Variable& v : entry_->inputs) {
      if (v.name == name) return slots;
      slots += slots_in(v, length);
    }
    return slots;
  }

  void raise_for(const double* slots, std::size_t length) const {
    std::string errors;
    inspect_record(slots, length, [&](const Finding& f) {
      // Missing in, missing out: only what is impossible stops a call.
      if (f.is_error() && f.kind != Finding::Kind::missing) errors.append(errors.empty() ? "" : "\n").append(message(f, units_, *entry_->sheet));
    });
    if (!errors.empty()) throw py::value_error(errors);
  }

  std::string verdict_in_words(const double* inputs) const {
    if (entry_->verdicts.empty() || entry_->table) return {};
    std::vector<double> results(entry_->result_slots);
    entry_->value(inputs, 1, results.data());
    const Verdict& v = entry_->verdicts[static_cast<std::size_t>(entry_->judge(inputs, results.data()))];
    return v.severity == Severity::none ? std::string() : message(v, *entry_->sheet);
  }

  const Entry* entry_;
  UnitSet units_;
  std::vector<const Unit*> in_unit_, out_unit_;
  bool scalars_only_ = true;
};

int import_numpy() {
  import_array1(-1);
  import_umath1(-1);
  return 0;
}

}  // namespace

void bind_calculations(py::module_& m) {
  if (import_numpy() < 0) throw py::error_already_set();
  chosen_set();
  py::class_<Bound>(m, "Calculation")
      .def(py::init<const std::string&, const std::string&, const py::dict&, const std::string&>(), py::arg("id"), py::arg("system"), py::arg("replaced"),
           py::arg("choice") = "")
      .def("describe", &Bound::describe_all)
      .def("scalar", &Bound::scalar)
      .def("findings", &Bound::findings)
      .def("work", &Bound::work)
      .def("table_gradient", &Bound::table_gradient)
      .def("table_slopes", &Bound::slopes)
      .def("example", &Bound::example)
      .def_readonly("value", &Bound::value_ufunc)
      .def_readonly("gradient", &Bound::gradient_ufunc)
      .def_readonly("judge", &Bound::judge_ufunc);
  m.def("calculations", [] {
    py::list ids;
    for (const Entry& e : catalogue())
      if (e.choice == 0) ids.append(text(e.sheet->id));
    return ids;
  });
  m.def("instruction_set", [] { return std::string(name_of(chosen_set())); });
  m.def("instruction_set_named", [](const std::string& name) { return std::string(name_of(instruction_set_named(name))); });
}

}  // namespace lutum::python
