// What is wrong with an input, and the words for it: the same in C++ and Python.
#pragma once

#include <charconv>
#include <initializer_list>
#include <string>

#include "lutum/core/variable.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

struct Finding {
  enum class Kind : std::uint8_t { missing, outside_limits, out_of_order, outside_validated, above_other, absent };

  Kind kind = Kind::missing;
  const Variable* variable = nullptr;
  int element = -1;  // place in a list, from 0; -1 for a plain number
  double value = not_a_number;
  double before = not_a_number;  // of an element out of order or above another: the one it should not lie below or above

  // An error spoils results; a caution only warns.
  constexpr bool is_error() const { return kind <= Kind::out_of_order; }
};

// Six significant digits, as results are printed everywhere.
inline std::string format_number(double x, int digits = 6) {
  if (x != x) return "missing";
  char text[64];
  const auto end = std::to_chars(text, text + sizeof text, x, std::chars_format::general, digits).ptr;
  return std::string(text, end);
}

inline std::string join(std::initializer_list<std::string_view> parts) {
  std::string text;
  for (std::string_view part : parts) text.append(part);
  return text;
}

inline std::string format_quantity(double si, const Unit& unit, int digits = 6) {
  return join({format_number(unit.from_si(si), digits), unit.label.empty() ? "" : " ", unit.label});
}

namespace detail {

inline std::string range_in_words(const Limits& limits, const Unit& unit, int digits) {
  if (limits.highest == infinity) return join({"at least ", format_quantity(limits.lowest, unit, digits)});
  if (limits.lowest == -infinity) return join({"at most ", format_quantity(limits.highest, unit, digits)});
  return join({"from ", format_quantity(limits.lowest, unit, digits), " to ", format_quantity(limits.highest, unit, digits)});
}

// Six digits, or as many as it takes to tell the value from the limit that it misses.
inline int digits_to_tell_apart(double value, const Limits& limits, const Unit& unit) {
  int digits = 6;
  const double limit = value < limits.lowest ? limits.lowest : limits.highest;
  while (digits < 17 && format_quantity(value, unit, digits) == format_quantity(limit, unit, digits)) ++digits;
  return digits;
}

inline Finding inspect_value(const Variable& v, double x, int element) {
  Finding f{Finding::Kind::missing, &v, element, x, not_a_number};
  if (x != x) {
    f.kind = v.optional || v.gaps || element > 0 ? Finding::Kind::absent : Finding::Kind::missing;
  } else {
    f.kind = v.limits.contain(x) ? Finding::Kind::outside_validated : Finding::Kind::outside_limits;
  }
  return f;
}

}  // namespace detail

// Calls report(finding) for everything to be said about the values of a variable: `length` of them for a list.
template <class Report>
void inspect(const Variable& v, const double* values, std::size_t length, Report&& report) {
  for (std::size_t i = 0; i < length; ++i) {
    const double x = values[i];
    if (v.increasing && i > 0 && x < values[i - 1]) report(Finding{Finding::Kind::out_of_order, &v, static_cast<int>(i), x, values[i - 1]});
    if (x == x && v.limits.contain(x) && v.validated.contain(x)) continue;
    const Finding f = detail::inspect_value(v, x, is_list(v) ? static_cast<int>(i) : -1);
    if (f.kind == Finding::Kind::absent && v.if_missing.empty()) continue;
    report(f);
  }
}

// The rows in which a column exceeds the one it should not.
template <class Report>
void inspect_pair(const Variable& v, const double* values, const double* most, std::size_t length, Report&& report) {
  for (std::size_t i = 0; i < length; ++i)
    if (values[i] > most[i]) report(Finding{Finding::Kind::above_other, &v, static_cast<int>(i), values[i], most[i]});
}

// One sentence: the input, the value, the unit, the limit, and what to do.
inline std::string message(const Finding& f, const UnitSet& units, const Sheet& sheet) {
  const Variable& v = *f.variable;
  const Unit& unit = units[v.quantity];
  const std::string place = f.element < 0 ? std::string() : join({"[", std::to_string(f.element), "]"});
  const std::string head = join({sheet.id, ": ", v.name, place});
  const Limits& missed = f.kind == Finding::Kind::outside_validated ? v.validated : v.limits;
  const int digits = detail::digits_to_tell_apart(f.value, missed, unit);
  const std::string value = format_quantity(f.value, unit, digits);
  switch (f.kind) {
    case Finding::Kind::missing:
      return join({head, " (", v.meaning, ") is missing; give it in ", unit.label.empty() ? "plain numbers" : unit.label, "."});
    case Finding::Kind::outside_limits:
      return join({head, " = ", value, " is outside its limit, ", detail::range_in_words(missed, unit, digits), " (", v.meaning,
                   "); check the reading and its unit."});
    case Finding::Kind::out_of_order:
      return join({head, " = ", value, " lies below the row before it, ", format_quantity(f.before, unit), "; give the rows from the surface down."});
    case Finding::Kind::outside_validated:
      return join({head, " = ", value, " is outside the range shown to hold, ", detail::range_in_words(missed, unit, digits),
                   "; treat the result with caution."});
    case Finding::Kind::above_other:
      return join({head, " = ", value, " is more than ", v.at_most, ", ", format_quantity(f.before, unit), "; check both depths and their datum."});
    case Finding::Kind::absent: break;
  }
  return join({head, " is not given: ", v.if_missing});
}

inline std::string message(const Verdict& verdict, const Sheet& sheet) { return join({sheet.id, ": ", verdict.name, ": ", verdict.meaning, "."}); }

}  // namespace lutum::inline LUTUM_ISA_TAG
