// What a reader needs to check a filled-in line by hand: the factor between the units of its numbers and that of its result.
#pragma once

#include <cstdlib>
#include <unordered_set>
#include <vector>

#include "lutum/core/traced.hpp"
#include "lutum/report/notation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::report {

class UnitNotes {
 public:
  UnitNotes(const UnitSet& units, Format format) : units_(units), format_(format) {}

  // The notes to a line, each told once in a solution; empty where the numbers give the result as they stand.
  std::string of(const Node& line) {
    if (line.operation == Operation::solve) return {};
    out_.clear();
    const Measure result = of_value(line.quantity), numbers = of_node(line, result.factor, true);
    const bool nothing = line.value == 0.0 && numbers.units.empty();  // a zero is one in every unit
    if (!nothing) compare(numbers, result);
    return out_;
  }

 private:
  struct Power {
    std::string label;
    int exponent;
  };
  // One unit of what the numbers of an expression amount to, in SI.
  struct Measure {
    double factor = 1.0;
    std::vector<Power> units{};
  };

  static bool alike(double a, double b) { return std::abs(a - b) <= 1e-9 * std::abs(b); }

  // A fraction in per cent is read as a number.
  Measure of_value(Quantity quantity) const {
    const Unit* unit = &units_[quantity];
    if (unit->shift() != 0.0) unit = &si_units[quantity];
    const bool share = unit->label.find('%') != std::string_view::npos || unit->label == "ppm" || unit->label.empty();
    if (unit->dimension == dimensions::none && (share || unit->scale() == 1.0)) return {};
    return {unit->scale(), {{std::string(unit->label), 1}}};
  }

  // "1 kg/m3" or "273.15 K": a number and its unit.
  static Measure of_unit(const Node& n) {
    const std::string shown = plain_symbol(n.constant->symbol);
    const std::size_t space = shown.find(' ');
    if (space == std::string::npos) return {};
    return {n.value / std::strtod(shown.c_str(), nullptr), {{shown.substr(space + 1), 1}}};
  }

  Measure of_node(const Node& n, double wanted, bool open) {
    if (n.named && !open) return of_value(n.quantity);
    switch (n.operation) {
      case Operation::add:
      case Operation::subtract:
      case Operation::larger:
      case Operation::smaller: return sum(n, wanted);
      case Operation::multiply:
      case Operation::divide: {
        Measure m = of_node(*n.first, 0.0, false);
        const Measure by = of_node(*n.second, 0.0, false);
        const int sign = n.operation == Operation::multiply ? 1 : -1;
        m.factor = sign > 0 ? m.factor * by.factor : m.factor / by.factor;
        for (const Power& p : by.units) times(m, {p.label, sign * p.exponent});
        return m;
      }
      case Operation::square: {
        Measure m = of_node(*n.first, 0.0, false);
        m.factor *= m.factor;
        for (Power& p : m.units) p.exponent *= 2;
        return m;
      }
      case Operation::negate:
      case Operation::abs:
      case Operation::choice:
      case Operation::same: return of_node(*n.first, wanted, false);
      case Operation::exp:
      case Operation::log:
      case Operation::pow: compare(of_node(*n.first, 1.0, false), {}); return {};
      case Operation::constant:
        if (!n.constant->unit_of_measure) return of_value(n.quantity);
        return of_unit(n);
      case Operation::sqrt: {
        Measure m = of_node(*n.first, 0.0, false);
        m.factor = std::sqrt(m.factor);
        for (Power& p : m.units) {
          if (p.exponent % 2 != 0) p.label = "sqrt(" + p.label + ")";
          else p.exponent /= 2;
        }
        return m;
      }
      case Operation::given:
      case Operation::literal:
      case Operation::numerical:
      case Operation::solve: break;
    }
    return {};
  }

  // Terms in unlike units: one is told in the other.
  Measure sum(const Node& n, double wanted) {
    Measure a = of_node(*n.first, wanted, false), b = of_node(*n.second, wanted, false);
    if (zero(*n.first)) return b;
    if (zero(*n.second) || alike(a.factor, b.factor)) return a;
    if (alike(b.factor, wanted)) std::swap(a, b);
    compare(b, a);
    return a;
  }

  static bool zero(const Node& n) { return n.operation == Operation::literal && n.value == 0.0; }

  static void times(Measure& m, const Power& p) {
    for (auto at = m.units.begin(); at != m.units.end(); ++at) {
      if (at->label != p.label) continue;
      at->exponent += p.exponent;
      if (at->exponent == 0) m.units.erase(at);
      return;
    }
    m.units.push_back(p);
  }

  // "1 lb/gal = 42 lb/bbl", where one of `from` is not one of `to`.
  void compare(Measure from, const Measure& to) {
    if (alike(from.factor, to.factor)) return;
    Measure right = to, both = from;
    for (const Power& p : to.units) times(both, {p.label, -p.exponent});
    if (both.units.size() == 2 && both.units[0].exponent * both.units[1].exponent == -1) {
      const std::size_t below = both.units[0].exponent < 0 ? 0 : 1;
      right.units = {{both.units[below].label, 1}};  // lb/bbl over lb/gal: one told in the other
      from.units = {both.units[1 - below]};
    }
    const double ratio = from.factor / to.factor;
    const std::string left = product(from), after = product(right);
    const auto told = [&](std::string a) {  // in2 and in^2 are one
      detail::replace_all(a, "^", "");
      return a;
    };
    if (!told_.insert(told(left + "=" + after)).second) return;
    told_.insert(told(after + "=" + left));
    const char* space = format_ == Format::text ? " " : "\\,";
    const bool reciprocal = left.rfind("1 /", 0) == 0 || left.rfind("1\\,/", 0) == 0;
    const std::string unit = reciprocal ? left : fmt::format("1{}{}", space, left);
    const std::string note = fmt::format("{} = {}{}{}", unit, number_text(ratio, format_), after.empty() ? "" : space, after);
    out_ += format_ == Format::text ? fmt::format("  ({})\n", note) : fmt::format("(${}$)\n\n", note);
  }

  std::string product(const Measure& m) const {
    std::string above, below;
    int factors = 0, divisors = 0;
    const bool alone = m.units.size() == 1 && m.units[0].exponent == 1;
    for (const Power& p : m.units) {
      std::string& side = p.exponent > 0 ? above : below;
      (p.exponent > 0 ? factors : divisors) += 1;
      if (!side.empty()) side += format_ == Format::text ? " × " : " \\times ";
      side += factor(p, !alone);
    }
    if (divisors == 0) return above;
    if (divisors > 1) below = "(" + below + ")";
    return (factors == 0 ? std::string("1") : above) + (format_ == Format::text ? " / " : "\\,/\\,") + below;
  }

  std::string factor(const Power& p, bool among_others) const {
    std::string s = unit_text(p.label, format_);
    if (format_ != Format::text) detail::replace_all(s, "⁻¹", "^{-1}");
    const int power = std::abs(p.exponent);
    const bool composed = p.label.find_first_of("/ ") != std::string::npos;
    if (composed && (among_others || power > 1)) s = "(" + s + ")";
    if (power == 1) return s;
    return format_ == Format::text ? fmt::format("{}^{}", s, power) : fmt::format("{}^{{{}}}", s, power);
  }

  const UnitSet& units_;
  Format format_;
  std::string out_;
  std::unordered_set<std::string> told_;
};

}  // namespace lutum::inline LUTUM_ISA_TAG::report
