// traced: a number that remembers how it came about, for worked solutions and for the check of dimensions.
#pragma once

#include <algorithm>
#include <bit>
#include <deque>
#include <string>
#include <vector>

#include "lutum/core/dual.hpp"
#include "lutum/core/variable.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

class Trace;
struct traced;

enum class Operation : std::uint8_t { given, literal, constant, add, subtract, multiply, divide, negate, exp, log, sqrt, square, abs,
                                      pow, larger, smaller, choice, solve, numerical, same };

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

  // A choice: which comparison led to `first`. A solve: `first` is the residual, written in the unknown. A numerical: found as `relation`
  // says from the `arguments`.
  const Node* left = nullptr;
  const Node* right = nullptr;
  std::string_view relation;
  bool holds = true;
  double bracket[2] = {0.0, 0.0};
  double residual = 0.0;
  std::vector<const Node*> arguments;
  const Node* unseen = nullptr;  // a product that was nothing: it has no line, but a missing factor would spoil it
};

// A calculation, or one called by another, in a worked solution.
struct Section {
  const Sheet* sheet = nullptr;
  int parent = -1;
  const Choice* choice = nullptr;  // of its option
  std::string_view part;            // of the caller, where it has several: the subscript of its symbols
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
  int open(const Sheet& sheet, const Choice* choice = nullptr, std::string_view part = {}) {
    if (part.empty() && section_ >= 0) part = current().part;
    sections_.push_back({&sheet, section_, choice, part, {}});
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

// A plain zero, which fits beside every dimension.
inline bool is_zero(const Node& n) { return n.operation == Operation::literal && n.value == 0.0 && n.dimension == dimensions::none; }

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

// A zero that no line has named: written in a formula, or left of a product with one.
inline bool is_nothing(const traced& x) {
  return x.value == 0.0 && x.constant == nullptr && (x.node == nullptr || (x.node->operation == Operation::literal && !x.node->named));
}
inline bool is_one(const traced& x) { return x.value == 1.0 && x.constant == nullptr && x.node == nullptr; }
inline bool same_bits(double a, double b) { return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b); }

// The term that a sum with nothing leaves; their dimensions are held against each other all the same.
inline traced left_of(const traced& term, const traced& zero) {
  if (zero.node == nullptr) return term;
  Node left;
  left.operation = Operation::same;
  left.value = term.value;
  left.first = node_of(term, *zero.node->trace);
  left.dimension = dimension_of(Operation::add, *left.first, zero.node, *zero.node->trace);
  left.unseen = zero.node;
  return traced(term.value, zero.node->trace->add(std::move(left)));
}

// A product that is zero whatever its other factor, as a zero of its dimension; one that is missing stays as it is.
inline traced nothing(const traced& product) {
  if (product.node == nullptr || product.value != 0.0) return product;
  Node zero;
  zero.value = product.value;
  zero.dimension = product.node->dimension;
  zero.unseen = product.node;
  return traced(product.value, product.node->trace->add(std::move(zero)));
}

// The symbol of a part: V of the part ann is V_{ann}, s_{l} is s_{l,ann}.
inline std::string of_part(std::string symbol, std::string_view part) {
  if (part.empty()) return symbol;
  const std::size_t at = symbol.find('_');
  if (at == std::string::npos) return symbol.insert(std::min(symbol.find('^'), symbol.size()), std::string("_{").append(part).append("}"));
  if (symbol[at + 1] != '{') symbol.insert(at + 2, "}").insert(at + 1, "{");
  std::size_t end = at + 2;
  for (int depth = 1; (depth += symbol[end] == '{' ? 1 : symbol[end] == '}' ? -1 : 0) > 0;) ++end;
  return symbol.insert(end, std::string(",").append(part));
}

}  // namespace detail

// A term of nothing, a factor of one and a product with nothing are no steps.
inline traced operator+(const traced& a, const traced& b) {
  if (detail::is_nothing(a) && detail::same_bits(b.value, a.value + b.value)) return detail::left_of(b, a);
  if (detail::is_nothing(b) && detail::same_bits(a.value, a.value + b.value)) return detail::left_of(a, b);
  return detail::combine(Operation::add, a, &b);
}
inline traced operator-(const traced& a, const traced& b) {
  if (detail::is_nothing(b) && detail::same_bits(a.value, a.value - b.value)) return detail::left_of(a, b);
  return detail::combine(Operation::subtract, a, &b);
}
inline traced operator*(const traced& a, const traced& b) {
  if (detail::is_one(a)) return b;
  if (detail::is_one(b)) return a;
  const traced product = detail::combine(Operation::multiply, a, &b);
  return detail::is_nothing(a) || detail::is_nothing(b) ? detail::nothing(product) : product;
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
  symbol = detail::of_part(std::move(symbol), section_ < 0 ? std::string_view() : current().part);
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

// A number without dimension that is found by more than a worked solution shows, as by a quadrature: its line says `how`, and from what.
template <class T, class... A>
T numerical([[maybe_unused]] std::string_view how, const T& x, [[maybe_unused]] const A&... from) {
  if constexpr (std::is_same_v<T, traced>) {
    Node n;
    n.operation = Operation::numerical;
    n.value = x.value;
    n.relation = how;
    for (const traced* argument : {&from...})
      if (argument->node != nullptr) n.arguments.push_back(argument->node);
    return n.arguments.empty() ? x : traced(x.value, n.arguments.front()->trace->add(std::move(n)));
  } else {
    return x;
  }
}

}  // namespace lutum::inline LUTUM_ISA_TAG
