// A worked solution: every number with symbol, formula, numbers put in, and result, in the units of a set.
#pragma once

#include <algorithm>
#include <unordered_set>
#include <vector>

#include "lutum/core/calculation.hpp"
#include "lutum/report/expression.hpp"

namespace lutum::inline LUTUM_ISA_TAG::report {

class WorkedSolution {
 public:
  WorkedSolution(const Trace& trace, const UnitSet& units, Format format) : trace_(trace), units_(units), format_(format) {
    for (const Node* result : trace_.sections().front().results) need(*result);
  }

  // `appendix` stands between the solution and its source: the other rows of a table.
  std::string str(std::string_view appendix = {}, std::string_view verdict = {}) const {
    const Sheet& sheet = *trace_.sections().front().sheet;
    std::string out = title(sheet.title, 0) + std::string(sheet.answers) + "\n";
    if (!verdict.empty()) out += fmt::format("\n{}Mind{}: {}\n", bold(), bold(), verdict);
    out += title("Given", 1) + chosen() + given() + constants();
    out += "\nLines are equations of quantities: numbers in unlike units are converted before they are combined.\n";
    int section = -1;
    bool begun = false;
    std::string_view meaning;
    for (const Node* n : order_) {
      if (!worth_showing(*n)) continue;
      if (n->section != section) {
        section = n->section;
        out += title(section != 0 ? trace_.sections()[static_cast<std::size_t>(section)].sheet->title : begun ? "Solution, continued" : "Solution", 1);
        begun = begun || section == 0;
        meaning = {};
      }
      if (n->meaning != meaning) out += sentence(n->meaning);
      meaning = n->meaning;
      out += equation(*n);
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
  const char* bold() const { return format_ == Format::markdown ? "**" : ""; }

  std::string title(std::string_view text, int level) const {
    if (format_ == Format::markdown) return fmt::format("{}{} {}\n\n", level == 0 ? "" : "\n", level == 0 ? "###" : "####", text);
    return fmt::format("{}{}\n{}\n", level == 0 ? "" : "\n", text, std::string(text.size(), level == 0 ? '=' : '-'));
  }

  // Named numbers in the order in which one needs the other.
  void need(const Node& n) {
    if (n.named && !seen_.insert(&n).second) return;
    for (const Node* child : {n.first, n.second, n.left, n.right})
      if (child != nullptr && child != &n) need(*child);
    if (n.named) order_.push_back(&n);
  }

  static bool worth_showing(const Node& n) {
    if (n.operation == Operation::given || n.value != n.value) return false;
    return !(n.operation == Operation::same && n.first->symbol == n.symbol);
  }

  // What an option was set to, here and in the calculations called.
  std::string chosen() const {
    std::string out;
    for (const Section& s : trace_.sections())
      if (s.choice != nullptr && out.find(s.choice->meaning) == std::string::npos)
        out += fmt::format("{}{}\n", format_ == Format::markdown ? "- " : "  ", s.choice->meaning);
    return out;
  }

  // One line an input; the elements of a list together.
  std::string given() const {
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
        // The value that goes into a formula with 1 K or 1 kg/m3 in it.
        if (units_[n->quantity].shift() != 0.0 || n->quantity == Quantity::ion_concentration) values += " = " + value_text(n->value, n->quantity, si_units, format_, false);
      }
      if (shown == nullptr) continue;
      if (format_ == Format::markdown) {
        out += fmt::format("- ${} = {}$: {}\n", symbols, values, shown->meaning);
      } else {
        out += fmt::format("  {} = {}: {}\n", symbols, values, shown->meaning);
      }
    }
    return out;
  }

  // The dimensional and other named numbers of the formulas, each once.
  std::string constants() const {
    std::string out;
    std::unordered_set<const Constant*> told;
    for (const Node& n : trace_.nodes()) {
      if (n.operation != Operation::constant || n.constant->unit_of_measure || !told.insert(n.constant).second) continue;
      const std::string symbol = symbol_text(n.constant->symbol, format_), value = value_text(n.value, n.quantity, units_, format_, false);
      out += format_ == Format::markdown ? fmt::format("- ${} = {}$: {}\n", symbol, value, n.constant->meaning)
                                         : fmt::format("  {} = {}: {}\n", symbol, value, n.constant->meaning);
    }
    return out;
  }

  std::string equation(const Node& n) const {
    const ExpressionWriter symbols(units_, format_, false), numbers(units_, format_, true);
    const std::string symbol = symbol_text(n.symbol, format_);
    const std::string value = value_text(n.value, n.quantity, units_, format_, false);
    if (n.operation == Operation::solve) return root(n, symbol, value, symbols);
    const std::string formula = symbols.definition(n), filled = numbers.definition(n);
    const bool plain = formula == filled || filled == value;
    std::string out;
    if (format_ == Format::markdown) {
      out += plain ? fmt::format("$${} = {} = {}$$\n\n", symbol, formula, value)
                   : fmt::format("$$\\begin{{aligned}}{} &= {} \\\\[4pt] &= {} \\\\[4pt] &= {}\\end{{aligned}}$$\n\n", symbol, formula, filled, value);
    } else if (plain) {
      out += fmt::format("  {} = {} = {}\n", symbol, formula, value);
    } else {
      const std::string margin(width(symbol), ' ');
      out += fmt::format("  {} = {}\n  {} = {}\n  {} = {}\n", symbol, formula, margin, filled, margin, value);
    }
    return out + reasons(n, symbols);
  }

  std::string root(const Node& n, const std::string& symbol, const std::string& value, const ExpressionWriter& symbols) const {
    const std::string left = symbols.definition(*n.first);
    const std::string low = value_text(n.bracket[0], n.quantity, units_, format_), high = value_text(n.bracket[1], n.quantity, units_, format_);
    const std::string rest = number_text(n.residual, format_, 2);
    if (format_ == Format::markdown)
      return fmt::format("\nThe root of $${} = 0$$ between ${}$ and ${}$ is ${} = {}$, where the left side is ${}$.\n\n", left, low, high, symbol, value, rest);
    return fmt::format("  {} is the root of\n    {} = 0\n  between {} and {}:\n  {} = {} (left side there: {})\n", symbol, left, low, high, symbol, value, rest);
  }

  // The comparisons that chose a branch on the way to n.
  std::string reasons(const Node& n, const ExpressionWriter& symbols) const {
    std::string out;
    const auto walk = [&](const auto& self, const Node& at, bool top) -> void {
      if (at.named && !top) return;
      if (at.operation == Operation::choice && !(at.relation == "=" && !at.holds)) {
        const std::string text = fmt::format("{} {} {}", symbols.reference(*at.left), at.relation, symbols.reference(*at.right));
        const std::string shown = format_ == Format::markdown ? "$" + text + "$" : text;
        out += at.holds ? fmt::format("  (because {})\n", shown) : fmt::format("  (because not {})\n", shown);
      }
      for (const Node* child : {at.first, at.second})
        if (child != nullptr) self(self, *child, false);
    };
    walk(walk, n, true);
    return out;
  }

  std::string sentence(std::string_view meaning) const {
    if (meaning.empty()) return {};
    std::string s(meaning);
    if (s.front() >= 'a' && s.front() <= 'z') s.front() = static_cast<char>(s.front() - 'a' + 'A');
    return s + "\n";
  }

  // Characters on the screen, not bytes.
  static std::size_t width(const std::string& utf8) {
    return static_cast<std::size_t>(std::count_if(utf8.begin(), utf8.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
  }

  const Trace& trace_;
  const UnitSet& units_;
  Format format_;
  std::unordered_set<const Node*> seen_;
  std::vector<const Node*> order_;
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
