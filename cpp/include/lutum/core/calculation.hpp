// What every calculation has in common. A calculation C derives from Calculation<C> and holds
//   Input<T>, Result<T>   aggregates of its named inputs (with defaults, required ones NaN) and results
//   inputs, results       std::array<Variable, N> in the order of the members
//   sheet                 what it answers, equations, source, cautions
//   example()             an Input<double> for documents and tests
//   evaluate(Input<T>)    the formula, in SI, for any scalar T
// and, where it has them, verdicts with judge(input, result), and an option: `using Option = Enum;`, an OptionInfo named
// `option`, and the enum as the last argument of evaluate (and of judge, if it wants it). A table calculation has beside Input the columns Row<T>
// (described by `rows`) and what passes from row to row, Carry<T>: start(input) and evaluate(input, row, carry). Where most of the
// work is of a row by itself, alone(input, row) finds that as Alone<T>, and evaluate(input, row, alone, carry) adds it up; alone
// takes the option, if there is one.
#pragma once

#include <algorithm>
#include <bit>
#include <span>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "lutum/core/limits.hpp"
#include "lutum/core/solve.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

template <class C, class T>
using input_of = typename C::template Input<T>;
template <class C, class T>
using result_of = typename C::template Result<T>;

template <class C>
inline constexpr bool is_table = requires { C::rows; };
template <class C, class T>
using row_of = typename C::template Row<T>;
// Of a table: whether most of the work is of a row by itself.
template <class C>
inline constexpr bool has_alone = requires { sizeof(typename C::template Alone<double>); };
template <class C>
inline constexpr bool is_judged = requires { C::verdicts; };
// What is found by a search, or decides between regimes, hangs on every input, though not by a slope: one missing spoils all.
template <class C>
inline constexpr bool searches = requires { C::searches; };
template <class C>
inline constexpr bool has_option = requires { C::option; };

namespace detail {

struct NoOption {};
template <class C>
constexpr auto first_choice() {
  if constexpr (has_option<C>) {
    return typename C::Option{};
  } else {
    return NoOption{};
  }
}

}  // namespace detail

// The option of a calculation; of one without, nothing that can be given.
template <class C>
using option_of = decltype(detail::first_choice<C>());

template <class C>
constexpr option_of<C> option_at([[maybe_unused]] int choice) {
  if constexpr (has_option<C>) {
    return static_cast<option_of<C>>(choice);
  } else {
    return {};
  }
}

// evaluate and judge of any calculation, with its option or without.
template <class C, class T>
constexpr result_of<C, T> evaluate_with(const input_of<C, T>& input, [[maybe_unused]] option_of<C> option) {
  if constexpr (has_option<C>) {
    return C::evaluate(input, option);
  } else {
    return C::evaluate(input);
  }
}

// What a row is by itself. Once in the object file, for the sake of what it takes to compile.
template <class C, class T>
[[gnu::noinline]] auto alone_with(const input_of<C, T>& input, const row_of<C, T>& row, [[maybe_unused]] option_of<C> option) {
  if constexpr (has_option<C>) {
    return C::alone(input, row, option);
  } else {
    return C::alone(input, row);
  }
}

// One row of any table: its results, and what passes to the next.
template <class C, class T, class Carry>
auto evaluate_row(const input_of<C, T>& input, const row_of<C, T>& row, const Carry& carry, [[maybe_unused]] option_of<C> option) {
  if constexpr (has_alone<C>) {
    return C::evaluate(input, row, alone_with<C, T>(input, row, option), carry);
  } else {
    static_assert(!has_option<C>, "a table with an option says what a row is alone");
    return C::evaluate(input, row, carry);
  }
}

// A table from the first of so many rows on: row(j) gives a row, out(j, result) takes what is found of it. Returns what the next row carries.
template <class C, class T, class RowAt, class Out>
auto walk(const input_of<C, T>& input, std::size_t length, option_of<C> option, RowAt&& row, Out&& out) {
  auto carry = C::start(input);
  for (std::size_t j = 0; j < length; ++j) {
    const auto next = evaluate_row<C, T>(input, row(j), carry, option);
    out(j, next.first);
    carry = next.second;
  }
  return carry;
}

// A table of rows as a plain program holds them: the results of every row. With T a dual, their derivatives too.
template <class C, class T>
std::vector<result_of<C, T>> evaluate_table(const input_of<C, T>& input, std::span<const row_of<C, T>> rows, option_of<C> option = {}) {
  std::vector<result_of<C, T>> results(rows.size());
  walk<C, T>(input, rows.size(), option, [&](std::size_t j) { return rows[j]; }, [&](std::size_t j, const result_of<C, T>& r) { results[j] = r; });
  return results;
}

template <class C>
std::int8_t judge_with(const input_of<C, double>& input, const result_of<C, double>& result, [[maybe_unused]] option_of<C> option) {
  if constexpr (requires { C::judge(input, result, option); }) {
    return C::judge(input, result, option);
  } else {
    return C::judge(input, result);
  }
}

// An aggregate of scalars as a plain array of them, and back.
template <class A, class T>
inline constexpr std::size_t slots_of = sizeof(A) / sizeof(T);

template <class T, class A>
constexpr auto to_slots(const A& aggregate) {
  return std::bit_cast<std::array<T, slots_of<A, T>>>(aggregate);
}

// load(i) for every slot, i a compile-time constant.
template <class A, class T, class Load>
constexpr A from_slots(Load&& load) {
  return [&]<std::size_t... I>(std::index_sequence<I...>) {
    return std::bit_cast<A>(std::array<T, sizeof...(I)>{load(std::integral_constant<std::size_t, I>{})...});
  }(std::make_index_sequence<slots_of<A, T>>{});
}

// The place of a slot: which variable, and which element of it.
struct Place {
  std::size_t variable = 0, element = 0;
};

template <std::size_t Slots, std::size_t N>
constexpr std::array<Place, Slots> places(const std::array<Variable, N>& variables) {
  std::array<Place, Slots> r{};
  std::size_t slot = 0;
  for (std::size_t v = 0; v < N; ++v)
    for (int e = 0; e < variables[v].length; ++e) r[slot++] = {v, static_cast<std::size_t>(e)};
  return r;
}

template <std::size_t N>
constexpr std::size_t slot_count(const std::array<Variable, N>& variables) {
  std::size_t n = 0;
  for (const Variable& v : variables) n += static_cast<std::size_t>(v.length);
  return n;
}

// Every description lists as many slots as its aggregate holds. (Names and order: a generated test.)
template <class C>
constexpr bool described() {
  if constexpr (is_table<C>) {
    using Row = typename C::template Row<double>;
    return slot_count(C::inputs) == slots_of<input_of<C, double>, double> && C::rows.size() == slots_of<Row, double> &&
           C::results.size() == slots_of<result_of<C, double>, double>;
  } else {
    return slot_count(C::inputs) == slots_of<input_of<C, double>, double> && slot_count(C::results) == slots_of<result_of<C, double>, double>;
  }
}

// The result of a checked call: the numbers, or what is wrong with the input. `verdict` is null where there is none.
template <class R>
struct Checked {
  R result;
  std::vector<Finding> findings;
  const Sheet* sheet;
  const Verdict* verdict = nullptr;

  explicit operator bool() const {
    for (const Finding& f : findings)
      if (f.is_error()) return false;
    return verdict == nullptr || verdict->severity != Severity::impossible;
  }
  std::string message(const UnitSet& units = si_units) const {
    std::string text;
    for (const Finding& f : findings) text.append(text.empty() ? "" : "\n").append(lutum::message(f, units, *sheet));
    if (verdict != nullptr && verdict->severity != Severity::none)
      text.append(text.empty() ? "" : "\n").append(lutum::message(*verdict, *sheet));
    return text;
  }
};

namespace detail {

template <class C, std::size_t N, class Report>
void inspect_all(const std::array<Variable, N>& variables, const double* slots, Report&& report) {
  for (const Variable& v : variables) {
    inspect(v, slots, static_cast<std::size_t>(v.length), report);
    slots += v.length;
  }
}

inline std::string symbol_at(const Variable& v, std::size_t element) {
  std::string s(v.symbol);
  const auto hash = s.find('#');
  if (hash != std::string::npos) s.replace(hash, 1, std::to_string(element + 1));
  return s;
}

template <class A, std::size_t N>
A name_results(const A& aggregate, const std::array<Variable, N>& variables, Trace& trace) {
  constexpr std::size_t n = slots_of<A, traced>;
  auto slots = to_slots<traced>(aggregate);
  const auto place = [&] {
    if constexpr (N == n) {
      std::array<Place, n> r{};
      for (std::size_t i = 0; i < n; ++i) r[i] = {i, 0};
      return r;
    } else {
      return places<n>(variables);
    }
  }();
  for (std::size_t i = 0; i < n; ++i) {
    const Variable& v = variables[place[i].variable];
    slots[i] = trace.name(slots[i], symbol_at(v, place[i].element), v.quantity, v.meaning, v.name);
    trace.current().results.push_back(slots[i].node);
  }
  return std::bit_cast<A>(slots);
}

}  // namespace detail

// The choice that a worked solution names; null for a calculation without an option.
template <class C>
const Choice* chosen([[maybe_unused]] option_of<C> option) {
  if constexpr (has_option<C>) {
    return &C::option.choices[static_cast<std::size_t>(option)];
  } else {
    return nullptr;
  }
}

// A calculation inside another: for a trace a section of its own, for every other scalar just its evaluate. Where two of them share symbols,
// `part` tells theirs apart in a worked solution: V of the part ann is V_{ann}.
template <class C, class T>
result_of<C, T> call(const input_of<C, T>& input, option_of<C> option = {}, [[maybe_unused]] std::string_view part = {}) {
  if constexpr (std::is_same_v<T, traced>) {
    auto slots = to_slots<traced>(input);
    Trace* trace = nullptr;
    for (const traced& t : slots)
      if (t.node != nullptr) trace = t.node->trace;
    const int before = trace->open(C::sheet, chosen<C>(option), part);
    constexpr auto place = places<slots.size()>(C::inputs);
    for (std::size_t i = 0; i < slots.size(); ++i) {
      const Variable& v = C::inputs[place[i].variable];
      if (slots[i].node == nullptr || !slots[i].node->named)
        slots[i] = trace->name(slots[i], detail::symbol_at(v, place[i].element), v.quantity, v.meaning, v.name);
    }
    const auto result = detail::name_results(evaluate_with<C, T>(std::bit_cast<input_of<C, T>>(slots), option), C::results, *trace);
    trace->close(before);
    return result;
  } else {
    return evaluate_with<C, T>(input, option);
  }
}

template <class C>
struct Calculation {
  // The results for these inputs, in SI. Never throws, never allocates; missing in, missing out.
  template <class S = C>
  result_of<S, double> operator()(const input_of<S, double>& input, option_of<S> option = {}) const {
    return evaluate_with<S, double>(input, option);
  }

  // Of a table: the results of every row, from the first to the last.
  template <class S = C>
  std::vector<result_of<S, double>> operator()(const input_of<S, double>& input, std::span<const row_of<S, double>> rows, option_of<S> option = {}) const {
    return evaluate_table<S, double>(input, rows, option);
  }

  // The same with the inputs held against their limits and each other: NaN results when one is outside its limits, and the
  // reasons.
  template <class S = C>
  Checked<result_of<S, double>> checked(const input_of<S, double>& input, option_of<S> option = {}) const {
    Checked<result_of<S, double>> r{evaluate_with<S, double>(input, option), {}, &S::sheet, nullptr};
    const auto slots = to_slots<double>(input);
    detail::inspect_all<S>(S::inputs, slots.data(), [&](const Finding& f) { r.findings.push_back(f); });
    if (!r) {
      r.result = from_slots<result_of<S, double>, double>([](auto) { return not_a_number; });
    } else if constexpr (is_judged<S>) {
      r.verdict = &S::verdicts[static_cast<std::size_t>(judge_with<S>(input, r.result, option))];
    }
    return r;
  }

  // Results as rows, inputs as columns: the exact first derivatives, found in chunks of four.
  template <class S = C>
  auto gradient(const input_of<S, double>& input, option_of<S> option = {}) const {
    using D = dual<4>;
    constexpr std::size_t n = slots_of<input_of<S, double>, double>, m = slots_of<result_of<S, double>, double>;
    const auto slots = to_slots<double>(input);
    std::array<std::array<double, n>, m> jacobian{};
    for (std::size_t first = 0; first < n; first += 4) {
      const auto seeded = from_slots<input_of<S, D>, D>(
          [&](auto i) { return D::seed(slots[i], static_cast<int>(i) - static_cast<int>(first)); });
      const auto result = to_slots<D>(evaluate_with<S, D>(seeded, option));
      for (std::size_t r = 0; r < m; ++r)
        for (std::size_t i = first; i < n && i < first + 4; ++i) jacobian[r][i] = result[r].slope[i - first];
    }
    return jacobian;
  }
};

// The worked solution of a calculation into `trace`; values are the slots of its input, in SI.
template <class C>
auto trace_into(Trace& trace, const double* values, option_of<C> option = {}) {
  const int before = trace.open(C::sheet, chosen<C>(option));
  constexpr std::size_t n = slots_of<input_of<C, double>, double>;
  constexpr auto place = places<n>(C::inputs);
  const auto input = from_slots<input_of<C, traced>, traced>([&](auto i) {
    const Variable& v = C::inputs[place[i].variable];
    return trace.input(values[i], v, detail::symbol_at(v, place[i].element));
  });
  const auto result = detail::name_results(evaluate_with<C, traced>(input, option), C::results, trace);
  trace.close(before);
  return result;
}

// A table from its first row to its last: `columns` holds the row variables one after the other, each `length` long;
// out(result, row, value) takes the results. T is double or a dual whose seeds lie in input or columns.
template <class C, class T, class Column, class Out>
void run_table(const input_of<C, T>& input, std::size_t length, option_of<C> option, Column&& column, Out&& out) {
  walk<C, T>(
      input, length, option,
      [&](std::size_t j) { return from_slots<row_of<C, T>, T>([&](auto k) { return column(static_cast<std::size_t>(k), j); }); },
      [&](std::size_t j, const result_of<C, T>& found) {
        const auto result = to_slots<T>(found);
        for (std::size_t r = 0; r < result.size(); ++r) out(r, j, result[r]);
      });
}

// The worked solution of one row of a table; the rows above it only lead up to what is carried.
template <class C>
auto trace_row_into(Trace& trace, const double* scalars, const double* columns, std::size_t length, std::size_t row, option_of<C> option = {}) {
  const auto plain = from_slots<input_of<C, double>, double>([&](auto i) { return scalars[i]; });
  const auto carry = walk<C, double>(
      plain, row, option,
      [&](std::size_t j) { return from_slots<row_of<C, double>, double>([&](auto k) { return columns[k * length + j]; }); },
      [](std::size_t, const result_of<C, double>&) {});
  const int before = trace.open(C::sheet, chosen<C>(option));
  const auto input = from_slots<input_of<C, traced>, traced>(
      [&](auto i) { return trace.input(scalars[i], C::inputs[i], std::string(C::inputs[i].symbol)); });
  const auto here = from_slots<row_of<C, traced>, traced>(
      [&](auto k) { return trace.input(columns[k * length + row], C::rows[k], std::string(C::rows[k].symbol)); });
  const auto carried = to_slots<double>(carry);
  const auto from_above = from_slots<typename C::template Carry<traced>, traced>(
      [&](auto k) { return trace.input(carried[k], C::carried[k], std::string(C::carried[k].symbol)); });
  const auto result = detail::name_results(evaluate_row<C, traced>(input, here, from_above, option).first, C::results, trace);
  trace.close(before);
  return result;
}

}  // namespace lutum::inline LUTUM_ISA_TAG
