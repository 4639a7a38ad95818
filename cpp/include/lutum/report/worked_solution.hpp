// A worked solution: every number with symbol, formula, numbers put in, and result, in the units of a set.
#pragma once

#include <algorithm>

#include "lutum/core/calculation.hpp"
#include "lutum/report/expression.hpp"
#include "lutum/report/layout.hpp"
#include "lutum/report/order.hpp"
#include "lutum/report/unit_notes.hpp"

namespace lutum::inline LUTUM_ISA_TAG::report {

class WorkedSolution {
 public:
  WorkedSolution(const Trace& trace, const UnitSet& units, Format format) : trace_(trace), units_(units), format_(format), order_(trace) {}

  // `appendix` stands between the solution and its source: the other rows of a table.
  std::string str(std::string_view appendix = {}, std::string_view verdict = {}) const {
    const Sheet& sheet = *trace_.sections().front().sheet;
    std::string out = title(sheet.title, 0) + std::string(sheet.answers) + "\n";
    if (!verdict.empty()) out += fmt::format("\n{}Mind{}: {}\n", bold(), bold(), verdict);
    out += title("Given", 1) + chosen() + given(appendix.empty()) + constants();
    out += "\nLines are equations of quantities: numbers in unlike units are converted before they are combined.\n";
    int section = -1;
    bool begun = false;
    std::string_view meaning;
    UnitNotes notes(units_, format_);
    for (const Node* n : order_.shown()) {
      if (n->section != section) {
        section = n->section;
        out += title(section != 0 ? of_called(trace_.sections()[static_cast<std::size_t>(section)]) : begun ? "Solution, continued" : "Solution", 1);
        begun = begun || section == 0;
        meaning = {};
      }
      if (n->meaning != meaning) out += sentence(n->meaning);
      meaning = n->meaning;
      out += equation(*n) + notes.of(*n);
    }
    if (!appendix.empty()) out += join({title("All rows", 1), appendix});
    out += title("Source and assumptions", 1);
    out += fmt::format("{}\n\n{}\n", sheet.source, sheet.assumptions);
    for (std::size_t i = 1; i < trace_.sections().size(); ++i)
      out += fmt::format("\n{}: {}\n", trace_.sections()[i].sheet->title, trace_.sections()[i].sheet->source);
    if (!sheet.cautions.empty()) out += fmt::format("\n{}Caution{}: {}\n", bold(), bold(), sheet.cautions);
    return out;
  }

 private:
  static std::string of_called(const Section& s) {
    return s.part.empty() ? std::string(s.sheet->title) : fmt::format("{} (subscript {})", s.sheet->title, s.part);
  }

  const char* bold() const { return format_ == Format::markdown ? "**" : ""; }

  std::string title(std::string_view text, int level) const {
    if (format_ == Format::markdown) return fmt::format("{}{} {}\n\n", level == 0 ? "" : "\n", level == 0 ? "###" : "####", text);
    return fmt::format("{}{}\n{}\n", level == 0 ? "" : "\n", text, std::string(text.size(), level == 0 ? '=' : '-'));
  }

  // What an option was set to, here and in the calculations called.
  std::string chosen() const {
    std::string out;
    for (const Section& s : trace_.sections())
      if (s.choice != nullptr && out.find(s.choice->meaning) == std::string::npos)
        out += fmt::format("{}Chosen: {}\n", format_ == Format::markdown ? "- " : "  ", s.choice->meaning);
    return out;
  }

  // One line an input; the elements of a list together.
  std::string given(bool alone) const {
    std::string out;
    const auto& nodes = trace_.nodes();
    for (auto n = nodes.begin(); n != nodes.end();) {
      auto last = n;  // one past the elements of the same variable
      while (last != nodes.end() && last->operation == Operation::given && last->name == n->name) ++last;
      if (last == n) {
        ++n;
        continue;
      }
      std::string symbols, values;
      const Node* shown = nullptr;
      for (; n != last; ++n) {
        if (n->value != n->value) continue;
        if (shown != nullptr) symbols += ", ", values += ", ";
        shown = &*n;
        symbols += symbol_text(n->symbol, format_);
        values += value_text(n->value, n->quantity, units_, format_, false);
        values += in_formulas(*n);
      }
      if (shown == nullptr) continue;
      const bool idle = alone && trace_.sections().front().choice != nullptr && shown->section == 0 && !order_.uses(*shown);
      out += line(symbols, values, idle ? fmt::format("{} (not needed for what is chosen)", shown->meaning) : std::string(shown->meaning));
    }
    return out;
  }

  std::string line(std::string_view symbols, std::string_view values, std::string_view meaning) const {
    const std::string equation = fmt::format("{} = {}", symbols, values);
    return format_ == Format::markdown ? fmt::format("- ${}$: {}\n", equation, meaning) : fmt::format("  {}: {}\n", equation, meaning);
  }

  // The value that goes into the lines where it is another number: kelvin, or kg/m3 in a formula with 1 kg/m3 in it.
  std::string in_formulas(const Node& n) const {
    const bool without_unit = n.quantity == Quantity::ion_concentration && order_.divides_by_unit(n.dimension);
    if (units_[n.quantity].shift() == 0.0 && !without_unit) return {};
    return " = " + value_text(n.value, n.quantity, si_units, format_, false);
  }

  // The dimensional and other named numbers of the formulas, each once, as the lines need them.
  std::string constants() const {
    std::string out;
    for (const Node* n : order_.constants())
      out += line(symbol_text(n->constant->symbol, format_), value_text(n->value, n->quantity, units_, format_, false) + in_formulas(*n),
                  n->constant->meaning);
    return out;
  }

  std::string equation(const Node& n) const {
    const ExpressionWriter symbols(units_, format_, false), numbers(units_, format_, true);
    const std::string symbol = symbol_text(n.symbol, format_);
    std::string value = value_text(n.value, n.quantity, units_, format_, false);
    if (n.operation == Operation::solve) return root(n, symbol, value, symbols);
    const std::string formula = symbols.definition(n), filled = numbers.definition(n);
    const bool plain = formula == filled || filled == value || n.operation == Operation::numerical;
    if (units_[n.quantity].shift() != 0.0) value = value_text(n.value, n.quantity, si_units, format_, false) + " = " + value;
    std::string out;
    if (plain) {
      const std::string line = bare(n) ? fmt::format("{} = {}", symbol, value) : fmt::format("{} = {} = {}", symbol, formula, value);
      out = format_ == Format::markdown ? fmt::format("$${}$$\n\n", line) : fmt::format("  {}\n", line);
    } else if (format_ == Format::markdown) {
      out = fmt::format("$$\\begin{{aligned}}{} &= {} \\\\[4pt] &= {} \\\\[4pt] &= {}\\end{{aligned}}$$\n\n", symbol, over_lines(formula, {}),
                        over_lines(filled, {}), value);
    } else {
      const std::string margin(page_width(symbol, format_), ' ');
      out = fmt::format("  {} = {}\n  {} = {}\n  {} = {}\n", symbol, over_lines(formula, margin), margin, over_lines(filled, margin), margin, value);
    }
    return out + reasons(n, symbols, numbers);
  }

  // A number that nothing in the solution leads to.
  static bool bare(const Node& n) {
    const bool passes = n.operation == Operation::choice || n.operation == Operation::same;
    return n.operation == Operation::literal || (passes && !n.first->named && bare(*n.first));
  }

  std::string over_lines(const std::string& formula, const std::string& margin) const {
    std::string out;
    for (const std::string& part : broken(formula, format_)) {
      if (!out.empty()) out += format_ == Format::markdown ? " \\\\[4pt] &\\quad" : "\n  " + margin + "    ";
      out += part;
    }
    return out;
  }

  std::string root(const Node& n, const std::string& symbol, const std::string& value, const ExpressionWriter& symbols) const {
    const bool latex = format_ == Format::markdown;
    const std::string rest = number_text(n.residual, format_, 2);
    std::string with;  // what depends on the unknown: its numbers are those of the root
    for (const Node* part : order_.of_root(n)) {
      const std::string name = symbol_text(part->symbol, format_), margin(page_width(name, format_) + 2, ' ');
      std::string equal = over_lines(symbols.definition(*part), margin);
      if (part->operation == Operation::numerical) equal += fmt::format(" = {}", number_text(part->value, format_));
      if (with.empty()) with = latex ? "with\n\n" : "  with\n";
      with += latex ? fmt::format("{}$$\\begin{{aligned}}{} &= {}\\end{{aligned}}$$\n\n", sentence(part->meaning), name, equal)
                    : fmt::format("    {} = {}: {}\n", name, equal, part->meaning);
    }
    std::string between;  // where it was looked for, if that tells anything
    if (std::isfinite(n.bracket[0]) && std::isfinite(n.bracket[1])) {
      const std::string low = value_text(n.bracket[0], n.quantity, units_, format_), high = value_text(n.bracket[1], n.quantity, units_, format_);
      between = latex ? fmt::format("between ${}$ and ${}$:\n\n", low, high) : fmt::format("  between {} and {}:\n", low, high);
    }
    const std::string left = over_lines(symbols.definition(*n.first), "  ");
    if (latex)
      return fmt::format("\n${}$ is the root of\n\n$$\\begin{{aligned}}&{} = 0\\end{{aligned}}$$\n\n{}{}$${} = {}$$\n\n(left side there: ${}$)\n\n",
                         symbol, left, with, between, symbol, value, rest);
    return fmt::format("  {} is the root of\n    {} = 0\n{}{}  {} = {} (left side there: {})\n", symbol, left, with, between, symbol, value, rest);
  }

  // The comparisons that chose a branch on the way to n, each as it holds.
  std::string reasons(const Node& n, const ExpressionWriter& symbols, const ExpressionWriter& numbers) const {
    std::string out;
    const auto walk = [&](const auto& self, const Node& at, bool top) -> void {
      if (at.named && !top) return;
      if (at.operation == Operation::choice) out += reason(at, symbols, numbers);
      for (const Node* child : {at.first, at.second})
        if (child != nullptr) self(self, *child, false);
    };
    walk(walk, n, true);
    return out;
  }

  std::string reason(const Node& choice, const ExpressionWriter& symbols, const ExpressionWriter& numbers) const {
    const bool compared = choice.left->value == choice.left->value && choice.right->value == choice.right->value;
    if (!compared || (choice.relation == "=" && !choice.holds)) return {};
    const std::string_view sign = relation(choice);
    const auto written = [&](const ExpressionWriter& w) {
      const std::string text = fmt::format("{} {} {}", w.reference(*choice.left), sign, w.reference(*choice.right));
      return format_ == Format::markdown ? "$" + text + "$" : text;
    };
    const std::string formula = written(symbols), filled = written(numbers);
    const std::string because = choice.relation == "=" || formula == filled ? formula : join({formula, ": ", filled});
    return format_ == Format::markdown ? fmt::format("(because {})\n\n", because) : fmt::format("  (because {})\n", because);
  }

  std::string_view relation(const Node& choice) const {
    const std::string_view r = choice.relation;
    const bool latex = format_ == Format::markdown;
    if (r == (choice.holds ? "<" : ">=")) return "<";
    if (r == (choice.holds ? ">" : "<=")) return ">";
    if (r == (choice.holds ? "<=" : ">")) return latex ? "\\leq" : "≤";
    if (r == (choice.holds ? ">=" : "<")) return latex ? "\\geq" : "≥";
    return r;
  }

  std::string sentence(std::string_view meaning) const {
    if (meaning.empty()) return {};
    std::string s(meaning);
    if (s.front() >= 'a' && s.front() <= 'z') s.front() = static_cast<char>(s.front() - 'a' + 'A');
    return s + "\n";
  }

  const Trace& trace_;
  const UnitSet& units_;
  Format format_;
  Order order_;
};

// The worked solution of a calculation for these inputs (SI).
template <class C>
std::string work(const C&, const input_of<C, double>& input, const UnitSet& units = si_units, Format format = Format::text, option_of<C> option = {}) {
  Trace trace;
  const auto slots = to_slots<double>(input);
  trace_into<C>(trace, slots.data(), option);
  return WorkedSolution(trace, units, format).str();
}

}  // namespace lutum::inline LUTUM_ISA_TAG::report
