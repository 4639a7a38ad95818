// Which numbers of a trace a worked solution shows, and in which order.
#pragma once

#include <algorithm>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "lutum/core/traced.hpp"

namespace lutum::inline LUTUM_ISA_TAG::report {

class Order {
 public:
  explicit Order(const Trace& trace) {
    for (const Node* result : trace.sections().front().results) need(*result);
    for (const Node* n : needed_) arrange(*n);
    for (const Node* n : shown_) collect(*n, true);
  }

  // Named numbers, each after those that it needs; the lines of a called calculation together.
  const std::vector<const Node*>& shown() const { return shown_; }

  // The named numbers that depend on an unknown, inside the equation that defines it.
  const std::vector<const Node*>& of_root(const Node& root) const {
    static const std::vector<const Node*> none;
    const auto found = of_root_.find(&root);
    return found == of_root_.end() ? none : found->second;
  }

  // Nodes of the constants in the lines shown, each constant once.
  const std::vector<const Node*>& constants() const { return constants_; }
  bool uses(const Node& named) const { return used_.contains(&named); }
  // Whether a line divides by, or multiplies with, a unit of this dimension.
  bool divides_by_unit(const Dimension& d) const {
    return std::any_of(units_.begin(), units_.end(), [&](const Constant* c) { return info(c->quantity).dimension == d; });
  }

 private:
  template <class Visit>
  static void children(const Node& n, Visit&& visit) {
    for (const Node* child : {n.first, n.second, n.left, n.right})
      if (child != nullptr && child != &n) visit(*child);
    for (const Node* argument : n.arguments) visit(*argument);
  }

  void need(const Node& n) {
    if (n.named && !seen_.insert(&n).second) return;
    if (n.operation == Operation::solve && n.first != nullptr) {
      std::unordered_map<const Node*, bool> known;
      depends(*n.first, n, of_root_[&n], known);
    }
    children(n, [&](const Node& child) { need(child); });
    if (n.named) needed_.push_back(&n), lines_.insert(&n);
  }

  bool depends(const Node& at, const Node& root, std::vector<const Node*>& parts, std::unordered_map<const Node*, bool>& known) {
    if (&at == &root) return true;
    if (const auto found = known.find(&at); found != known.end()) return found->second;
    bool any = known[&at] = false;
    children(at, [&](const Node& child) { any |= depends(child, root, parts, known); });
    if (any && at.named) {
      seen_.insert(&at);
      children(at, [&](const Node& child) { need(child); });
      parts.push_back(&at);
    }
    return known[&at] = any;
  }

  // A called calculation is told from beginning to end where its first number is needed, after all that it is given.
  void arrange(const Node& n) {
    if (n.named && n.section != 0 && opened_.insert(n.section).second) {
      std::unordered_set<const Node*> visited;
      for (const Node* m : needed_)
        if (m->section == n.section) given_to(*m, n.section, visited);
      for (const Node* m : needed_)
        if (m->section == n.section) arrange(*m);
    }
    if (n.named && !arranged_.insert(&n).second) return;
    children(n, [&](const Node& child) { arrange(child); });
    const bool repeats = n.operation == Operation::same && n.first->symbol == n.symbol;
    if (lines_.contains(&n) && n.operation != Operation::given && n.value == n.value && !repeats) shown_.push_back(&n);
  }

  void given_to(const Node& n, int section, std::unordered_set<const Node*>& visited) {
    if (n.section != section && n.named) return arrange(n);
    if (!visited.insert(&n).second) return;
    children(n, [&](const Node& child) { given_to(child, section, visited); });
  }

  // What stands in the expression of a line: constants, and the named numbers where it stops.
  void collect(const Node& n, bool top) {
    if (n.named && !top) {
      used_.insert(&n);
      return;
    }
    if (n.operation == Operation::constant) {
      if (n.constant->unit_of_measure) {
        units_.insert(n.constant);
      } else if (std::none_of(constants_.begin(), constants_.end(), [&](const Node* c) { return c->constant == n.constant; })) {
        constants_.push_back(&n);
      }
    }
    children(n, [&](const Node& child) { collect(child, false); });
    if (const auto parts = of_root_.find(&n); parts != of_root_.end())
      for (const Node* part : parts->second) collect(*part, true);
  }

  std::vector<const Node*> needed_, shown_, constants_;
  std::unordered_map<const Node*, std::vector<const Node*>> of_root_;
  std::unordered_set<const Node*> seen_, lines_, arranged_, used_;
  std::unordered_set<const Constant*> units_;
  std::unordered_set<int> opened_;
};

}  // namespace lutum::inline LUTUM_ISA_TAG::report
