// traced: a number that remembers how it came about, for worked solutions and for the check of dimensions.
#pragma once

#include <deque>
#include <string>
#include <vector>

#include "lutum/core/dual.hpp"
#include "lutum/core/variable.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

class Trace;
struct traced;

enum class Operation : std::uint8_t { given, literal, constant, add, subtract, multiply, divide, negate, exp, log, sqrt, square, abs, pow, larger, smaller, choice, solve, same };

struct Node {
  Trace* trace = nullptr;
  Operation operation = Operation::literal;
  const Node* first = nullptr;
  const Node* second = nullptr;
  double value = 0.0;
  Dimension dimension{};
  const Constant* constant = nullptr;

  bool named = false;  // an input, a step or a result: expressions stop here
  std::string symbol;
  std::string_view meaning;
  std::string_view name;  // of an input or result
  Quantity quantity = Quantity::number;
  int section = 0;

  // A choice: which comparison led to `first`. A solve: `first` is the residual, written in the unknown.
  const Node* left = nullptr;
  const Node* right = nullptr;
  std::string_view relation;
  bool holds = true;
  double bracket[2] = {0.0, 0.0};
  double residual = 0.0;
};

// A calculation, or one called by another, in a worked solution.
struct Section {
  const Sheet* sheet = nullptr;
  int parent = -1;
  const Choice* choice = nullptr;  // of its option
  std::vector<const Node*> results;
};

// The memory of one worked solution.
class Trace {
 public:
  Node* add(Node node) {
    node.trace = this;
    node.section = section_;
    nodes_.push_back(std::move(node));
    return &nodes_.back();
  }
  int open(const Sheet& sheet, const Choice* choice = nullptr) {
    sections_.push_back({&sheet, section_, choice, {}});
    const int before = section_;
    section_ = static_cast<int>(sections_.size()) - 1;
    return before;
  }
  void close(int before) { section_ = before; }
  void fault(std::string text) { faults_.push_back(std::move(text)); }

  const std::deque<Node>& nodes() const { return nodes_; }
  const std::vector<Section>& sections() const { return sections_; }
  Section& current() { return sections_[static_cast<std::size_t>(section_)]; }
  // Dimensions that do not fit; empty for a sound formula.
  const std::vector<std::string>& faults() const { return faults_; }

  inline traced input(double value, const Variable& variable, std::string symbol);
  inline traced name(const traced& x, std::string symbol, Quantity quantity, std::string_view meaning, std::string_view variable);

 private:
  std::deque<Node> nodes_;
  std::vector<Section> sections_;
  std::vector<std::string> faults_;
  int section_ = -1;
};

struct traced {
  double value;
  Node* node;                // null for a literal or a constant that has not met a traced number yet
  const Constant* constant;

  traced() = default;
  constexpr traced(double x) : value(x), node(nullptr), constant(nullptr) {}  // NOLINT: a literal in a formula
  constexpr traced(double x, Node* n) : value(x), node(n), constant(nullptr) {}
};

template <>
struct scalar_traits<traced> {
  using value_type = double;
};
inline double value_of(const traced& x) { return x.value; }

template <>
struct constant_maker<traced> {
  static constexpr traced make(const Constant& c) {
    traced t(c.value);
    t.constant = &c;
    return t;
  }
};

namespace detail {

inline Node* node_of(const traced& x, Trace& trace) {
  if (x.node != nullptr) return x.node;
  Node n;
  n.value = x.value;
  if (x.constant != nullptr) {
    n.operation = Operation::constant;
    n.constant = x.constant;
    n.quantity = x.constant->quantity;
    n.dimension = info(x.constant->quantity).dimension;
  }
  return trace.add(std::move(n));
}

inline bool is_zero(const Node& n) { return n.operation == Operation::literal && n.value == 0.0; }

inline Dimension dimension_of(Operation op, const Node& a, const Node* b, Trace& trace) {
  const auto fault = [&](const char* what) { trace.fault(std::string(what) + " near " + (a.named ? a.symbol : std::to_string(a.value))); };
  switch (op) {
    case Operation::multiply: return a.dimension * b->dimension;
    case Operation::square: return a.dimension * a.dimension;
    case Operation::divide: return a.dimension / b->dimension;
    case Operation::add:
    case Operation::subtract:
    case Operation::larger:
    case Operation::smaller:
      if (is_zero(a)) return b->dimension;
      if (!is_zero(*b) && !(a.dimension == b->dimension)) fault("terms of unlike dimension");
      return a.dimension;
    case Operation::exp:
    case Operation::log:
      if (!(a.dimension == dimensions::none)) fault("exp or log of a dimensional number");
      return {};
    case Operation::pow:
      if (!(a.dimension == dimensions::none) || !(b->dimension == dimensions::none)) fault("power of or to a dimensional number");
      return {};
    case Operation::sqrt: {
      const Dimension d = a.dimension;
      if (d.mass % 2 != 0 || d.length % 2 != 0 || d.time % 2 != 0 || d.temperature % 2 != 0 || d.charge % 2 != 0) fault("root of odd dimension");
      return {static_cast<std::int8_t>(d.mass / 2), static_cast<std::int8_t>(d.length / 2), static_cast<std::int8_t>(d.time / 2),
              static_cast<std::int8_t>(d.temperature / 2), static_cast<std::int8_t>(d.charge / 2)};
    }
    default: return a.dimension;
  }
}

inline double apply(Operation op, double a, double b) {
  switch (op) {
    case Operation::add: return a + b;
    case Operation::subtract: return a - b;
    case Operation::multiply: return a * b;
    case Operation::divide: return a / b;
    case Operation::negate: return -a;
    case Operation::exp: return exp(a);
    case Operation::log: return log(a);
    case Operation::sqrt: return sqrt(a);
    case Operation::square: return a * a;
    case Operation::abs: return abs(a);
    case Operation::pow: return pow(a, b);
    case Operation::larger: return larger(a, b);
    case Operation::smaller: return smaller(a, b);
    default: return a;
  }
}

inline traced combine(Operation op, const traced& a, const traced* b = nullptr) {
  const double value = apply(op, a.value, b != nullptr ? b->value : 0.0);
  Trace* trace = a.node != nullptr ? a.node->trace : b != nullptr && b->node != nullptr ? b->node->trace : nullptr;
  if (trace == nullptr) return traced(value);
  Node n;
  n.operation = op;
  n.first = node_of(a, *trace);
  n.second = b != nullptr ? node_of(*b, *trace) : nullptr;
  n.value = value;
  n.dimension = dimension_of(op, *n.first, n.second, *trace);
  return traced(value, trace->add(std::move(n)));
}

}  // namespace detail

// A sum begun at nothing, and a weight of one, are no steps.
inline traced operator+(const traced& a, const traced& b) {
  if (a.node == nullptr && a.value == 0.0) return b;
  return detail::combine(Operation::add, a, &b);
}
inline traced operator-(const traced& a, const traced& b) { return detail::combine(Operation::subtract, a, &b); }
inline traced operator*(const traced& a, const traced& b) {
  if (a.node == nullptr && a.value == 1.0) return b;
  return detail::combine(Operation::multiply, a, &b);
}
inline traced operator/(const traced& a, const traced& b) { return detail::combine(Operation::divide, a, &b); }
inline traced operator-(const traced& a) { return detail::combine(Operation::negate, a); }
inline traced exp(const traced& x) { return detail::combine(Operation::exp, x); }
inline traced log(const traced& x) { return detail::combine(Operation::log, x); }
inline traced sqrt(const traced& x) { return detail::combine(Operation::sqrt, x); }
inline traced square(const traced& x) { return detail::combine(Operation::square, x); }
inline traced abs(const traced& x) { return detail::combine(Operation::abs, x); }
inline traced pow(const traced& x, const traced& y) { return detail::combine(Operation::pow, x, &y); }
inline traced larger(const traced& a, const traced& b) { return detail::combine(Operation::larger, a, &b); }
inline traced smaller(const traced& a, const traced& b) { return detail::combine(Operation::smaller, a, &b); }

// A comparison that a worked solution can quote.
struct condition {
  bool holds;
  traced left, right;
  std::string_view relation;

  friend condition operator&(const condition& a, const condition& b) { return {a.holds && b.holds, {}, {}, {}}; }
  friend condition operator|(const condition& a, const condition& b) { return {a.holds || b.holds, {}, {}, {}}; }
  friend condition operator!(const condition& a) { return {!a.holds, {}, {}, {}}; }
};

inline condition operator<(const traced& a, const traced& b) { return {a.value < b.value, a, b, "<"}; }
inline condition operator>(const traced& a, const traced& b) { return {a.value > b.value, a, b, ">"}; }
inline condition operator<=(const traced& a, const traced& b) { return {a.value <= b.value, a, b, "<="}; }
inline condition operator>=(const traced& a, const traced& b) { return {a.value >= b.value, a, b, ">="}; }
inline condition operator==(const traced& a, const traced& b) { return {a.value == b.value, a, b, "="}; }
inline bool any(const condition& c) { return c.holds; }
inline bool all(const condition& c) { return c.holds; }

inline traced select(const condition& c, const traced& yes, const traced& no) {
  const traced& chosen = c.holds ? yes : no;
  if (c.relation.empty() || (c.left.node == nullptr && c.right.node == nullptr)) return chosen;
  Trace& trace = *(c.left.node != nullptr ? c.left.node : c.right.node)->trace;
  Node n;
  n.operation = Operation::choice;
  n.first = detail::node_of(chosen, trace);
  n.value = chosen.value;
  n.dimension = n.first->dimension;
  n.left = detail::node_of(c.left, trace);
  n.right = detail::node_of(c.right, trace);
  n.relation = c.relation;
  n.holds = c.holds;
  return traced(chosen.value, trace.add(std::move(n)));
}

// A guard that holds is no step of the calculation.
inline traced only_if(const condition& c, const traced& x) {
  if (c.holds || x.node == nullptr) return c.holds ? x : traced(not_a_number);
  Node missing;
  missing.value = not_a_number;
  missing.dimension = x.node->dimension;  // or what follows would seem to have a wrong one
  return traced(not_a_number, x.node->trace->add(std::move(missing)));
}

// Picking a reading from a list is reading it off, not a step of the calculation.
template <std::size_t N>
traced pick(const std::array<traced, N>& keys, const std::array<traced, N>& values, double key) {
  for (std::size_t i = N; i-- > 0;)
    if (abs(keys[i].value - key) <= 1e-6 * key) return values[i];
  for (const traced& k : keys)
    if (k.node != nullptr) return traced(not_a_number, detail::node_of(traced(not_a_number), *k.node->trace));
  return traced(not_a_number);
}

inline traced Trace::input(double value, const Variable& variable, std::string symbol) {
  Node n;
  n.operation = Operation::given;
  n.value = value;
  n.dimension = info(variable.quantity).dimension;
  n.named = true;
  n.symbol = std::move(symbol);
  n.meaning = variable.meaning;
  n.name = variable.name;
  n.quantity = variable.quantity;
  return traced(value, add(std::move(n)));
}

inline traced Trace::name(const traced& x, std::string symbol, Quantity quantity, std::string_view meaning, std::string_view variable) {
  Node* node = detail::node_of(x, *this);
  if (node->named && node->symbol == symbol && node->name.empty() && !variable.empty()) {  // a step that is the result itself
    node->name = variable;
    return traced(node->value, node);
  }
  if (node->named) {
    Node copy;
    copy.operation = Operation::same;
    copy.first = node;
    copy.value = node->value;
    copy.dimension = node->dimension;
    node = add(std::move(copy));
  }
  if (!(node->dimension == info(quantity).dimension) && !detail::is_zero(*node) && node->value == node->value)
    fault(symbol + " has not the dimension of " + std::string(info(quantity).name));
  node->named = true;
  node->symbol = std::move(symbol);
  node->meaning = meaning;
  node->name = variable;
  node->quantity = quantity;
  return traced(node->value, node);
}

inline traced step(const Step& s, const traced& x) {
  if (x.node == nullptr) return x;
  return x.node->trace->name(x, std::string(s.symbol), s.quantity, s.meaning, {});
}

}  // namespace lutum::inline LUTUM_ISA_TAG
