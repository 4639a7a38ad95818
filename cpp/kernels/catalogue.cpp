// The catalogue: every calculation of lutum/catalogue.hpp as an Entry, and the choice of the instruction set.
#include "lutum/catalogue.hpp"

#include <stdexcept>
#include <vector>

#include "entry.hpp"

namespace lutum {

#define LUTUM_DECLARE_SET(tag) std::span<const Kernels> kernels_##tag();
#if defined(LUTUM_WITH_isa_x86_64)
LUTUM_DECLARE_SET(isa_x86_64)
#define LUTUM_BASELINE kernels_isa_x86_64
#else
LUTUM_DECLARE_SET(isa_portable)
#define LUTUM_BASELINE kernels_isa_portable
#endif
#if defined(LUTUM_WITH_isa_x86_64_v3)
LUTUM_DECLARE_SET(isa_x86_64_v3)
#define LUTUM_V3 kernels_isa_x86_64_v3
#else
#define LUTUM_V3 LUTUM_BASELINE
#endif
#if defined(LUTUM_WITH_isa_x86_64_v4)
LUTUM_DECLARE_SET(isa_x86_64_v4)
#define LUTUM_V4 kernels_isa_x86_64_v4
#else
#define LUTUM_V4 LUTUM_BASELINE
#endif

namespace {

template <class C>
constexpr auto all_inputs() {
  if constexpr (is_table<C>) {
    std::array<Variable, C::inputs.size() + C::rows.size()> r{};
    std::copy(C::inputs.begin(), C::inputs.end(), r.begin());
    std::copy(C::rows.begin(), C::rows.end(), r.begin() + C::inputs.size());
    return r;
  } else {
    return C::inputs;
  }
}

template <class C>
struct Described {
  static_assert(described<C>(), "a calculation describes another number of inputs or results than it has");
  static constexpr auto inputs = all_inputs<C>();
};

template <class A>
void put(const A& aggregate, double* slots) {
  const auto from = to_slots<double>(aggregate);
  std::copy(from.begin(), from.end(), slots);
}

template <class A>
A take(const double* slots) {
  return from_slots<A, double>([&](auto i) { return slots[i]; });
}

template <class C>
std::size_t example(double* slots, std::size_t room) {
  constexpr std::size_t n = slots_of<input_of<C, double>, double>;
  if (room >= n) put(C::example(), slots);
  if constexpr (is_table<C>) {
    constexpr std::size_t length = C::example_rows.size(), columns = C::rows.size();
    for (std::size_t k = 0; k < columns; ++k)
      for (std::size_t j = 0; j < length && n + k * length + j < room; ++j) slots[n + k * length + j] = C::example_rows[j][k];
    return length;
  } else {
    std::size_t longest = 0;
    for (const Variable& v : C::inputs)
      if (is_list(v)) longest = std::max(longest, static_cast<std::size_t>(v.length));
    return longest;
  }
}

template <class C>
void value(const double* inputs, std::size_t length, [[maybe_unused]] int choice, double* results) {
  if constexpr (is_table<C>) {
    const double* columns = inputs + C::inputs.size();
    run_table<C, double>(
        take<input_of<C, double>>(inputs), length, option_at<C>(choice), [&](std::size_t k, std::size_t j) { return columns[k * length + j]; },
        [&](std::size_t r, std::size_t j, double x) { results[r * length + j] = x; });
  } else {
    put(evaluate_with<C, double>(take<input_of<C, double>>(inputs), option_at<C>(choice)), results);
  }
}

template <class C>
void gradient(const double* inputs, std::size_t length, [[maybe_unused]] int choice, std::span<const std::size_t> seeds, double* jacobian) {
  using D = dual<4>;
  for (std::size_t first = 0; first < seeds.size(); first += 4) {
    const auto chunk = seeds.subspan(first, std::min<std::size_t>(4, seeds.size() - first));
    const auto seeded = [&](std::size_t slot) {
      for (std::size_t s = 0; s < chunk.size(); ++s)
        if (chunk[s] == slot) return D::seed(inputs[slot], static_cast<int>(s));
      return D::constant(inputs[slot]);
    };
    const auto keep = [&](std::size_t result, const D& x) {
      for (std::size_t s = 0; s < chunk.size(); ++s) jacobian[result * seeds.size() + first + s] = x.slope[s];
    };
    const auto in = from_slots<input_of<C, D>, D>([&](auto i) { return seeded(i); });
    if constexpr (is_table<C>) {
      run_table<C, D>(
          in, length, option_at<C>(choice), [&](std::size_t k, std::size_t j) { return seeded(C::inputs.size() + k * length + j); },
          [&](std::size_t r, std::size_t j, const D& x) { keep(r * length + j, x); });
    } else {
      const auto result = to_slots<D>(evaluate_with<C, D>(in, option_at<C>(choice)));
      for (std::size_t r = 0; r < result.size(); ++r) keep(r, result[r]);
    }
  }
}

template <class C>
int judge(const double* inputs, const double* results, [[maybe_unused]] int choice) {
  if constexpr (is_judged<C>) {
    return judge_with<C>(take<input_of<C, double>>(inputs), take<result_of<C, double>>(results), option_at<C>(choice));
  } else {
    return 0;
  }
}

template <class C>
void trace(const double* inputs, std::size_t length, std::size_t row, [[maybe_unused]] int choice, Trace& into) {
  if constexpr (is_table<C>) {
    trace_row_into<C>(into, inputs, inputs + C::inputs.size(), length, row, option_at<C>(choice));
  } else {
    trace_into<C>(into, inputs, option_at<C>(choice));
  }
}

template <class C>
std::span<const Verdict> verdicts() {
  if constexpr (is_judged<C>) {
    return C::verdicts;
  } else {
    return {};
  }
}

template <class C>
constexpr const OptionInfo* option_info() {
  if constexpr (has_option<C>) {
    return &C::option;
  } else {
    return nullptr;
  }
}

template <class C>
Entry entry(std::size_t place) {
  const auto longest = [] {
    std::size_t n = 0;
    for (const Variable& v : Described<C>::inputs)
      if (is_list(v)) n = std::max(n, static_cast<std::size_t>(v.length));
    return n;
  };
  Entry e{};
  e.sheet = &C::sheet;
  e.inputs = Described<C>::inputs;
  e.results = C::results;
  e.verdicts = verdicts<C>();
  e.searches = searches<C>;
  e.option = option_info<C>();
  e.table = is_table<C>;
  e.scalars = C::inputs.size();
  e.input_slots = slots_of<input_of<C, double>, double>;
  e.result_slots = slots_of<result_of<C, double>, double>;
  e.longest = longest();
  e.defaults = [](double* slots) { put(input_of<C, double>{}, slots); };
  e.example = &example<C>;
  e.functions = {&value<C>, &gradient<C>, &judge<C>, &trace<C>};
  e.kernels = {LUTUM_BASELINE()[place], LUTUM_V3()[place], LUTUM_V4()[place]};
  return e;
}

template <class... C>
std::vector<Entry> all_entries(std::tuple<C...>*) {
  std::vector<Entry> all;
  std::size_t place = 0;
  for (Entry e : {entry<C>(place++)...})
    do all.push_back(e);
    while (e.option != nullptr && ++e.choice < static_cast<int>(e.option->choices.size()));
  return all;
}

// By this processor, and by this build.
bool offered(InstructionSet set) {
#if defined(LUTUM_WITH_isa_x86_64)
#if !defined(LUTUM_WITH_isa_x86_64_v3)
  if (set == InstructionSet::v3) return false;
#endif
#if !defined(LUTUM_WITH_isa_x86_64_v4)
  if (set == InstructionSet::v4) return false;
#endif
  __builtin_cpu_init();
  const bool v3 = __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") && __builtin_cpu_supports("bmi2");
  const bool v4 = v3 && __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512cd") &&
                  __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl");
  return set == InstructionSet::baseline || (set == InstructionSet::v3 && v3) || (set == InstructionSet::v4 && v4);
#else
  return set == InstructionSet::baseline;
#endif
}

constexpr std::array<std::string_view, instruction_sets> set_names{"x86-64", "x86-64-v3", "x86-64-v4"};

}  // namespace

std::span<const Entry> catalogue() {
  static const auto entries = all_entries(static_cast<Calculations*>(nullptr));
  return entries;
}

const Entry* find_calculation(std::string_view id, std::string_view choice) {
  for (const Entry& e : catalogue())
    if (e.sheet->id == id && (choice.empty() || (e.option != nullptr && e.option->choices[static_cast<std::size_t>(e.choice)].name == choice))) return &e;
  return nullptr;
}

InstructionSet detect_instruction_set() {
  return offered(InstructionSet::v4) ? InstructionSet::v4 : offered(InstructionSet::v3) ? InstructionSet::v3 : InstructionSet::baseline;
}

std::string_view name_of(InstructionSet set) { return set_names[static_cast<std::size_t>(set)]; }

InstructionSet instruction_set_named(std::string_view name) {
  for (std::size_t i = 0; i < instruction_sets; ++i) {
    if (set_names[i] != name) continue;
    const auto set = static_cast<InstructionSet>(i);
    if (offered(set)) return set;
    throw std::invalid_argument(join({"instruction set ", name, " is not offered by this processor; the best here is ", name_of(detect_instruction_set())}));
  }
  throw std::invalid_argument(join({"instruction set \"", name, "\" is unknown; choose x86-64, x86-64-v3 or x86-64-v4"}));
}

}  // namespace lutum
