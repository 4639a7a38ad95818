// A row of the catalogue as the tests use it: states of its inputs, values, gradients.
#pragma once

#include <algorithm>
#include <stdexcept>
#include <string>
#include <vector>

#include "entry.hpp"
#include "lutum/catalogue.hpp"
#include "support.hpp"

namespace support {

using lutum::Entry;
using lutum::Variable;

// All inputs in the slots that Entry takes; `length` rows of a table or elements of a list.
struct State {
  std::vector<double> inputs;
  std::size_t length = 0;
};

// The rows that tests run over, by name: the id, and for a calculation with an option "id/choice". Not from catalogue():
// GoogleTest asks for its parameters in every process, and its first use is to be tested.
template <class Keep>
std::vector<std::string> ids(const Keep& keep) {
  std::vector<std::string> kept;
  const auto add = [&]<class C>(C*) {
    if (!keep(static_cast<C*>(nullptr))) return;
    if constexpr (lutum::has_option<C>) {
      for (const lutum::Choice& c : C::option.choices) kept.push_back(lutum::join({C::sheet.id, "/", c.name}));
    } else {
      kept.emplace_back(C::sheet.id);
    }
  };
  [&]<class... C>(std::tuple<C...>*) { (add(static_cast<C*>(nullptr)), ...); }(static_cast<lutum::Calculations*>(nullptr));
  return kept;
}
inline std::vector<std::string> all_ids() {
  return ids([](auto*) { return true; });
}
inline std::vector<std::string> judged_ids() {
  return ids([]<class C>(C*) { return lutum::is_judged<C>; });
}
inline std::vector<std::string> ids_but_tables() {
  return ids([]<class C>(C*) { return !lutum::is_table<C>; });
}

// The row of such a name.
inline const Entry& row(std::string_view name) {
  const auto slash = name.find('/');
  return *(slash == std::string_view::npos ? lutum::find_calculation(name) : lutum::find_calculation(name.substr(0, slash), name.substr(slash + 1)));
}

// What a slot holds.
struct Slot {
  const Variable* variable;
  std::size_t place;  // of the variable among the inputs
  std::size_t element;
};

inline std::size_t elements(const Entry& e, const Variable& v, std::size_t length) {
  return e.table && v.length == lutum::any_length ? length : static_cast<std::size_t>(v.length);
}

inline std::vector<Slot> slots(const Entry& e, std::span<const Variable> variables, std::size_t length) {
  std::vector<Slot> all;
  for (std::size_t v = 0; v < variables.size(); ++v)
    for (std::size_t k = 0; k < elements(e, variables[v], length); ++k) all.push_back({&variables[v], v, k});
  return all;
}
inline std::vector<Slot> input_slots(const Entry& e, std::size_t length) { return slots(e, e.inputs, length); }
inline std::vector<Slot> result_slots(const Entry& e, std::size_t length) { return slots(e, e.results, length); }

inline State example(const Entry& e) {
  State s;
  s.length = e.example(nullptr, 0);
  s.inputs.resize(input_slots(e, s.length).size());
  e.example(s.inputs.data(), s.inputs.size());
  return s;
}

inline std::vector<double> value(const Entry& e, const State& s) {
  std::vector<double> results(result_slots(e, s.length).size());
  e.value(s.inputs.data(), s.length, results.data());
  return results;
}

// Derivatives of every result by every input slot, row by row.
inline std::vector<double> gradient(const Entry& e, const State& s) {
  std::vector<std::size_t> seeds(s.inputs.size());
  for (std::size_t i = 0; i < seeds.size(); ++i) seeds[i] = i;
  std::vector<double> jacobian(result_slots(e, s.length).size() * seeds.size());
  e.gradient(s.inputs.data(), s.length, seeds, jacobian.data());
  return jacobian;
}

// Half of the numbers stay as in the example, the others lie anywhere in the validated range; what the example leaves
// missing stays so. Increasing columns are sorted.
inline State random_state(const Entry& e, Random& random) {
  const State sample = example(e);
  State s;
  s.length = e.table ? 1 + random.below(6) : sample.length;
  std::size_t sample_slot = 0;
  for (std::size_t v = 0; v < e.inputs.size(); ++v) {
    const Variable& variable = e.inputs[v];
    const std::size_t n = elements(e, variable, s.length), sample_n = elements(e, variable, sample.length);
    const std::size_t begin = s.inputs.size();
    for (std::size_t k = 0; k < n; ++k) {
      const double kept = k < sample_n ? sample.inputs[sample_slot + k] : 0.0;
      const bool keep = kept != kept || (k < sample_n && random.unit() < 0.5);
      s.inputs.push_back(keep ? kept : random.uniform(variable.validated.lowest, variable.validated.highest));
    }
    if (variable.increasing) std::sort(s.inputs.begin() + static_cast<std::ptrdiff_t>(begin), s.inputs.end());
    sample_slot += sample_n;
  }
  return s;
}

inline bool is_possible(const Entry& e, const State& s) {
  if (e.table || e.verdicts.empty()) return true;
  const auto verdict = static_cast<std::size_t>(e.judge(s.inputs.data(), value(e, s).data()));
  return verdict < e.verdicts.size() && e.verdicts[verdict].severity != lutum::Severity::impossible;
}

// A state that no verdict calls impossible.
inline State possible_state(const Entry& e, Random& random) {
  for (int attempt = 0; attempt < 1000; ++attempt) {
    State s = random_state(e, random);
    if (is_possible(e, s)) return s;
  }
  throw std::runtime_error("no possible state found for " + std::string(e.sheet->id));
}

// What a batch makes of an input outside its limits.
inline double within(double x, const lutum::Limits& limits) { return x == x && !limits.contain(x) ? nan : x; }

inline std::string label(const Slot& s) {
  if (!lutum::is_list(*s.variable)) return std::string(s.variable->name);
  return lutum::join({s.variable->name, "[", std::to_string(s.element), "]"});
}

// Test names: clay.methylene_blue as clay_methylene_blue.
inline std::string test_name(std::string_view id) {
  std::string name(id);
  for (char& c : name)
    if (c == '.' || c == '/') c = '_';
  return name;
}

}  // namespace support
