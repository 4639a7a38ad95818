// The words in which a calculation is described: its variables, its sheet, its constants, steps and verdicts.
#pragma once

#include <array>
#include <initializer_list>
#include <limits>
#include <span>
#include <string_view>

#include "lutum/core/math.hpp"
#include "lutum/core/units.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

struct Limits {
  double lowest = -infinity;
  double highest = infinity;

  constexpr bool contain(double x) const { return x >= lowest && x <= highest; }
  constexpr bool bounded() const { return lowest > -infinity || highest < infinity; }
};

// One input or result. Limits and ranges are in SI.
struct Variable {
  std::string_view name;
  std::string_view symbol;  // LaTeX; '#' stands for the place in a list
  Quantity quantity = Quantity::number;
  std::string_view meaning;
  Limits limits{};     // outside: an error, physically impossible or the formula has no meaning
  Limits validated{};  // outside: a caution, the source was not shown to hold there
  int length = 1;      // of a list: the most values it holds; any_length for the columns of a table
  bool optional = false;              // may be missing: only the results that need it are missing too
  std::string_view if_missing = {};   // what is then to be said
  bool gaps = false;                  // of a list: a place may be missing, and the others are used
  bool increasing = false;            // of a column: each value at least the one before
  std::string_view at_most = {};      // of a column: the name of another that it should not exceed in any row
};

inline constexpr int any_length = 0;

constexpr bool is_list(const Variable& v) { return v.length != 1; }

struct Sheet {
  std::string_view id;     // area.name, the same in C++, Python, tests and documents
  std::string_view title;
  std::string_view answers;  // the question in a user's words
  std::string_view equations;
  std::string_view source;  // standard or paper, edition, clause, equation; `from memory` or `common practice` said
  std::string_view assumptions;
  std::string_view cautions;
};

enum class Severity : std::uint8_t { none, caution, impossible };

// One of the things a calculation can be told to do: a salt, a method, a geometry.
struct Choice {
  std::string_view name;  // as Python and check values write it
  std::string_view meaning;
};

// The option of a calculation: an enum whose values are the places of `choices`. The first one is taken when none is given.
struct OptionInfo {
  std::string_view name;
  std::string_view meaning;
  std::span<const Choice> choices;
};

// A finding about a whole record: the name of a regime, a status, an impossible combination.
struct Verdict {
  std::string_view name;
  std::string_view meaning;
  Severity severity = Severity::none;
};

// A dimensional number of a formula, in SI. Declared static: worked solutions point at it.
struct Constant {
  std::string_view symbol;
  double value;
  Quantity quantity;
  std::string_view meaning;
  bool unit_of_measure = false;  // "1 kg/m3", which makes a correlation's argument dimensionless; always shown in SI
};

template <class T>
struct constant_maker {
  static constexpr T make(const Constant& c) { return T(c.value); }
};

// The number c as the scalar T. Put it beside a variable, `x * constant<T>(c)`: a product of two constants has no place
// in a worked solution.
template <class T>
constexpr T constant(const Constant& c) {
  return constant_maker<T>::make(c);
}

// Something worth a line of its own in a worked solution although it is no result.
struct Step {
  std::string_view symbol;
  Quantity quantity;
  std::string_view meaning;
};

template <class T>
constexpr T step(const Step&, const T& x) {
  return x;
}

// x where the condition holds, missing elsewhere: for combinations that have no meaning.
template <class F, class T>
T only_if(const F& holds, const T& x) {
  return select(holds, x, T(not_a_number));
}

// Every element the same; for the default of a list.
template <class T, std::size_t N>
constexpr std::array<T, N> filled(double x) {
  std::array<T, N> r{};
  for (auto& e : r) e = T(x);
  return r;
}

// These, and the rest of a list missing.
template <std::size_t N, std::size_t M>
constexpr std::array<double, N> listed(const double (&given)[M]) {
  static_assert(M <= N, "more than the list holds");
  auto list = filled<double, N>(not_a_number);
  for (std::size_t i = 0; i < M; ++i) list[i] = given[i];
  return list;
}

// The value whose key is `key` to one part in a million; missing when there is none.
template <class T, std::size_t N>
T pick(const std::array<T, N>& keys, const std::array<T, N>& values, double key) {
  T found(not_a_number);
  for (std::size_t i = 0; i < N; ++i)
    if (any(keys[i] == keys[i])) found = select(abs(keys[i] - T(key)) <= T(1e-6 * key), values[i], found);
  return found;
}

}  // namespace lutum::inline LUTUM_ISA_TAG
