// The expression behind a traced number, with symbols or with numbers and units.
#pragma once

#include "lutum/core/traced.hpp"
#include "lutum/report/notation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::report {

class ExpressionWriter {
 public:
  ExpressionWriter(const UnitSet& units, Format format, bool with_numbers) : units_(units), format_(format), with_numbers_(with_numbers) {}

  // How `node` was made, one level open: a named node is not replaced by its own name.
  std::string definition(const Node& node) const { return write(node, 0, true); }
  std::string reference(const Node& node) const { return write(node, 0, false); }

 private:
  static constexpr int sum = 1, product = 2, sign = 3, power = 4;

  std::string write(const Node& n, int outer, bool open) const {
    if (n.named && !open) return with_numbers_ ? guarded(n.value, value_text(n.value, n.quantity, units_, format_), outer) : symbol_text(n.symbol, format_);
    const auto side = [&](const Node* x, int level) { return write(*x, level, false); };
    switch (n.operation) {
      case Operation::add: return bracket(fmt::format("{} + {}", side(n.first, sum), addend(*n.second)), sum, outer);
      case Operation::subtract: return bracket(fmt::format("{} {} {}", side(n.first, sum), minus(), side(n.second, sum + 1)), sum, outer);
      case Operation::multiply: {
        if (is_reciprocal(*n.second)) return quotient(*n.first, *n.second->second, outer);
        // A negative number that leads a sum or a product needs no brackets.
        const int lead = outer <= sum && n.first->operation == Operation::literal ? 0 : product;
        return bracket(fmt::format("{}{}{}", side(n.first, lead), times(n), side(n.second, product)), product, outer);
      }
      case Operation::divide: return quotient(*n.first, *n.second, outer);
      case Operation::negate: return bracket(fmt::format("{}{}", minus(), side(n.first, sign)), sign, outer);
      case Operation::exp: return call("exp", side(n.first, 0));
      case Operation::log: return call("ln", side(n.first, 0));
      case Operation::sqrt: return format_ == Format::markdown ? fmt::format("\\sqrt{{{}}}", side(n.first, 0)) : call("sqrt", side(n.first, 0));
      case Operation::square:
        if (format_ == Format::markdown) return bracket(fmt::format("{{{}}}^2", side(n.first, power + 1)), power, outer);
        return bracket(fmt::format("{}²", side(n.first, power + 1)), power, outer);
      case Operation::abs: return fmt::format("|{}|", side(n.first, 0));
      case Operation::pow:
        if (format_ == Format::markdown) return bracket(fmt::format("{{{}}}^{{{}}}", side(n.first, power + 1), side(n.second, 0)), power, outer);
        return bracket(fmt::format("{}^{}", side(n.first, power + 1), side(n.second, power + 1)), power, outer);
      case Operation::larger: return call("max", fmt::format("{}, {}", side(n.first, 0), side(n.second, 0)));
      case Operation::smaller: return call("min", fmt::format("{}, {}", side(n.first, 0), side(n.second, 0)));
      case Operation::numerical: {
        std::string from;
        for (const Node* x : n.arguments) from += (from.empty() ? "" : ", ") + side(x, 0);
        if (format_ == Format::markdown) return fmt::format("\\mathrm{{{}}}\\left({}\\right)", n.relation, from);
        return call(n.relation, from);
      }
      case Operation::choice:
      case Operation::same: return write(*n.first, outer, false);
      case Operation::constant:
        if (!with_numbers_ || n.constant->unit_of_measure) return symbol_text(n.constant->symbol, format_);
        return value_text(n.value, n.quantity, units_, format_);
      case Operation::literal:
      case Operation::given:
      case Operation::solve: break;
    }
    if (n.value == log(10.0)) return call("ln", "10");
    if (const std::string thirds = fraction(n.value); !thirds.empty()) return bracket(thirds, format_ == Format::markdown ? power : product, outer);
    return guarded(n.value, number_text(n.value, format_, 10), outer);
  }

  // 1/x as a factor: the product is written as a quotient.
  static bool is_reciprocal(const Node& n) {
    return !n.named && n.operation == Operation::divide && n.first->operation == Operation::literal && !n.first->named && n.first->value == 1.0;
  }
  std::string quotient(const Node& above, const Node& below, int outer) const {
    if (format_ == Format::markdown) return bracket(fmt::format("\\frac{{{}}}{{{}}}", write(above, 0, false), write(below, 0, false)), power, outer);
    return bracket(fmt::format("{} / {}", write(above, product, false), write(below, product + 1, false)), product, outer);
  }

  // A negative number after a plus sign wants brackets.
  std::string addend(const Node& n) const {
    std::string s = write(n, sum, false);
    return s.front() == '-' ? bracket(std::move(s), 0, 1) : s;
  }

  std::string minus() const { return format_ == Format::markdown ? "-" : "−"; }
  std::string times(const Node& n) const {
    if (format_ == Format::text) return with_numbers_ ? " × " : " · ";
    const bool number = n.second->operation == Operation::literal || (n.second->operation == Operation::constant && n.second->constant->unit_of_measure);
    return with_numbers_ || number ? " \\times " : "\\,";
  }
  std::string call(std::string_view name, const std::string& argument) const {
    if (format_ == Format::text) return fmt::format("{}({})", name, argument);
    return fmt::format("\\{}\\left({}\\right)", name, argument);
  }
  std::string bracket(std::string s, int inner, int outer) const {
    if (inner >= outer) return s;
    return format_ == Format::markdown ? fmt::format("\\left({}\\right)", s) : fmt::format("({})", s);
  }
  // 4/3 rather than 1.333333333.
  std::string fraction(double x) const {
    const double n = 3.0 * x;
    if (n != std::round(n) || x == std::round(x) || n < 1.0 || n > 99.0) return {};
    return fmt::format("{}{}{}", format_ == Format::markdown ? "\\frac{" : "", static_cast<int>(n), format_ == Format::markdown ? "}{3}" : "/3");
  }

  // A negative number inside a product or power wants brackets; so does a number with a unit below a power.
  std::string guarded(double value, std::string s, int outer) const {
    const bool unit_below_power = outer > power && s.find_first_of(" \\") != std::string::npos;
    return (value < 0.0 && outer > sum) || unit_below_power ? bracket(std::move(s), 0, 1) : s;
  }

  const UnitSet& units_;
  Format format_;
  bool with_numbers_;
};

}  // namespace lutum::inline LUTUM_ISA_TAG::report
