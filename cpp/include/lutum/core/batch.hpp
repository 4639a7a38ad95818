// Many records at once: a formula over packs, with the unit factors and the limits applied on loading. An input outside
// its limits is missing, and spoils only the results that depend on it. Rows may be read and written in place.
#pragma once

#include "lutum/core/batch_tables.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

namespace detail {

// evaluate, once in the object file. Inlined into every chunk of a gradient it would be most of what the kernels take to compile.
template <class C, class T>
[[gnu::noinline]] result_of<C, T> evaluate_apart(const input_of<C, T>& input, option_of<C> option) {
  return evaluate_with<C, T>(input, option);
}

// The columns of a batch slot by slot, each with its numbers side by side: in place where they lie so already, else by way of a
// block on the stack, filled up with missing ones to a whole pack. Of a list only the first `length` places are in use.
template <class C, int W>
class Dense {
 public:
  static constexpr std::size_t block = 256, n = slots_of<input_of<C, double>, double>, m = slots_of<result_of<C, double>, double>;
  static constexpr auto inputs = places<n>(C::inputs);
  static constexpr auto results = places<m>(C::results);

  std::array<const char*, n> from{};  // by slot the numbers of the records at hand; null: not in use
  std::array<char*, m> to{};

  Dense(const InColumn* in, const OutColumn* out, std::size_t length) {
    for (std::size_t i = 0; i < n; ++i) in_[i] = in[inputs[i].variable], in_used_[i] = place(in_[i], C::inputs[inputs[i].variable], inputs[i].element, length);
    for (std::size_t r = 0; r < m; ++r) out_[r] = out[results[r].variable], out_used_[r] = place(out_[r], C::results[results[r].variable], results[r].element, length);
  }

  // How many of the records left can be done at once: all that fill packs where nothing passes through a block.
  std::size_t next(std::size_t left) const {
    const std::size_t packs = left / W * W;
    bool dense = true;
    for (std::size_t i = 0; i < n; ++i) dense = dense && (!in_used_[i] || in_[i].stride == side_by_side);
    for (std::size_t r = 0; r < m; ++r) dense = dense && (!out_used_[r] || out_[r].stride == side_by_side);
    return packs == 0 ? left : dense ? packs : std::min(block, packs);
  }

  // Points `from` and `to` at these records.
  void open(std::size_t begin, std::size_t count) {
    const bool whole = count % W == 0;
    for (std::size_t i = 0; i < n; ++i) {
      if (!in_used_[i]) continue;
      const InColumn& c = in_[i];
      const char* at = c.data + static_cast<std::ptrdiff_t>(begin) * c.stride;
      from[i] = whole && c.stride == side_by_side ? at : reinterpret_cast<const char*>(own_in_[i].data());
      if (from[i] == at || (whole && c.stride == 0 && begin != 0)) continue;  // one number for all records stands there already
      for (std::size_t k = 0; k < count; ++k) std::memcpy(&own_in_[i][k], at + static_cast<std::ptrdiff_t>(k) * c.stride, sizeof(double));
      for (std::size_t k = count; k % W != 0; ++k) own_in_[i][k] = not_a_number;
    }
    for (std::size_t r = 0; r < m; ++r) {
      if (!out_used_[r]) continue;
      char* at = out_[r].data + static_cast<std::ptrdiff_t>(begin) * out_[r].stride;
      to[r] = whole && out_[r].stride == side_by_side ? at : reinterpret_cast<char*>(own_out_[r].data());
    }
  }

  // Brings results that passed through a block to their columns.
  void close(std::size_t begin, std::size_t count) const {
    for (std::size_t r = 0; r < m; ++r) {
      if (!out_used_[r] || to[r] != reinterpret_cast<const char*>(own_out_[r].data())) continue;
      char* at = out_[r].data + static_cast<std::ptrdiff_t>(begin) * out_[r].stride;
      for (std::size_t k = 0; k < count; ++k) std::memcpy(at + static_cast<std::ptrdiff_t>(k) * out_[r].stride, &own_out_[r][k], sizeof(double));
    }
  }

 private:
  static constexpr auto side_by_side = static_cast<std::ptrdiff_t>(sizeof(double));

  template <class Column>
  static bool place(Column& c, const Variable& v, std::size_t element, std::size_t length) {
    if (is_list(v) && element >= length) return false;
    c.data += static_cast<std::ptrdiff_t>(element) * c.element;
    return true;
  }

  std::array<InColumn, n> in_;
  std::array<OutColumn, m> out_;
  std::array<bool, n> in_used_;
  std::array<bool, m> out_used_;
  alignas(64) std::array<std::array<double, block>, n> own_in_;
  alignas(64) std::array<std::array<double, block>, m> own_out_;
};

// A slot of an aggregate by its place: copied alone, where a whole list at once would go through memory twice.
template <class T, class A>
T slot_of(const A& aggregate, std::size_t place) {
  T x;
  std::memcpy(&x, reinterpret_cast<const char*>(&aggregate) + place * sizeof(T), sizeof(T));
  return x;
}
template <class T, class A>
void set_slot(A& aggregate, std::size_t place, const T& x) {
  std::memcpy(reinterpret_cast<char*>(&aggregate) + place * sizeof(T), &x, sizeof(T));
}

// one(i) for every slot, i a compile-time constant.
template <std::size_t Slots, class One>
[[gnu::always_inline]] inline void for_slots(One&& one) {
  [&]<std::size_t... I>(std::index_sequence<I...>) { (one(std::integral_constant<std::size_t, I>{}), ...); }(std::make_index_sequence<Slots>{});
}

// Input slot I of a pack of records.
template <class C, class P, bool in_si, std::size_t I, int W>
[[gnu::always_inline]] inline P load_slot(const Dense<C, W>& dense, const InColumn* in, std::size_t record) {
  constexpr std::size_t variable = Dense<C, W>::inputs[I].variable;
  constexpr Variable v = C::inputs[variable];
  P x;
  std::memcpy(&x.lane, dense.from[I] + record * sizeof(double), sizeof x.lane);
  if (const double y = in[variable].otherwise; y == y) x = select(x == x, x, P(y));
  if constexpr (!in_si) x = x * P(in[variable].scale) + P(addend(in[variable].shift));
  return within(x, v.limits);
}

template <class C>
inline constexpr bool takes_lists = slots_of<input_of<C, double>, double> != C::inputs.size();

// The numbers of a pack of records; what is beyond the lists that were given stays as it is.
template <class C, class P, bool in_si, int W>
[[gnu::always_inline]] inline void load_dense(input_of<C, P>& input, const Dense<C, W>& dense, const InColumn* in, std::size_t record) {
  if constexpr (takes_lists<C>) {
    for_slots<Dense<C, W>::n>([&](auto i) __attribute__((always_inline)) {
      if (dense.from[i] != nullptr) set_slot(input, i, load_slot<C, P, in_si, i>(dense, in, record));
    });
  } else {
    input = from_slots<input_of<C, P>, P>([&](auto i) { return load_slot<C, P, in_si, i>(dense, in, record); });
  }
}

// value(r) gives result slot r.
template <class C, class P, bool in_si, int W, class Value>
[[gnu::always_inline]] inline void store_dense(const Dense<C, W>& dense, const OutColumn* out, std::size_t record, Value&& value) {
  for_slots<Dense<C, W>::m>([&](auto r) __attribute__((always_inline)) {
    constexpr std::size_t variable = Dense<C, W>::results[r].variable;
    if constexpr (is_list(C::results[variable]))
      if (dense.to[r] == nullptr) return;
    P x = value(r);
    if constexpr (!in_si) x = (x - P(out[variable].shift)) / P(out[variable].scale);
    std::memcpy(dense.to[r] + record * sizeof(double), &x.lane, sizeof x.lane);
  });
}

template <class C, class P>
input_of<C, P> missing_input() {
  return from_slots<input_of<C, P>, P>([](auto) { return P(not_a_number); });
}

template <class C>
constexpr bool shares(std::string_view name) {
  for (const std::string_view own : C::shared)
    if (own == name) return true;
  return false;
}

// evaluate, and for a calculation that has `prepare` what it finds from the inputs named in `shared` alone: kept from pack to pack
// as long as they stay the same bit for bit.
template <class C, class P>
class Evaluator {
 public:
  explicit Evaluator(option_of<C> option) : option_(option) {}
  result_of<C, P> operator()(const input_of<C, P>& input) { return evaluate_with<C, P>(input, option_); }

 private:
  option_of<C> option_;
};

template <class C, class P>
  requires requires { C::shared; }
class Evaluator<C, P> {
 public:
  explicit Evaluator(option_of<C> option) : option_(option), seen_(from_slots<input_of<C, P>, P>([](auto) { return P(0.0); })) {}
  result_of<C, P> operator()(const input_of<C, P>& input) {
    constexpr auto place = places<slots_of<input_of<C, double>, double>>(C::inputs);
    bool same = ready_;
    for_slots<place.size()>([&](auto i) {
      if constexpr (shares<C>(C::inputs[place[i].variable].name))
        same = same && std::memcmp(reinterpret_cast<const char*>(&input) + i * sizeof(P), reinterpret_cast<const char*>(&seen_) + i * sizeof(P), sizeof(P)) == 0;
    });
    if (!same) {
      prepared_ = C::prepare(input);
      seen_ = input;
      ready_ = true;
    }
    if constexpr (has_option<C>) return C::evaluate(input, option_, prepared_);
    else return C::evaluate(input, prepared_);
  }

 private:
  option_of<C> option_;
  input_of<C, P> seen_;
  decltype(C::prepare(std::declval<input_of<C, P>>())) prepared_;
  bool ready_ = false;
};

template <class C, class P, bool in_si>
void dense_batch(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, option_of<C> option) {
  Dense<C, P::width> dense(in, out, length);
  Evaluator<C, P> evaluate(option);
  auto input = missing_input<C, P>();
  for (std::size_t begin = 0, count; begin < records; begin += count) {
    count = dense.next(records - begin);
    dense.open(begin, count);
    for (std::size_t i = 0; i < count; i += P::width) {
      load_dense<C, P, in_si>(input, dense, in, i);
      const auto result = evaluate(input);
      store_dense<C, P, in_si>(dense, out, i, [&](std::size_t r) { return slot_of<P>(result, r); });
    }
    dense.close(begin, count);
  }
}

}  // namespace detail

// Values of every record.
template <class C, int W = native_width>
void batch(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, [[maybe_unused]] int choice = 0) {
  using P = pack<W>;
  if constexpr (is_table<C>) {
    if constexpr (has_alone<C>) {
      if (records < P::width && length > 1) {
        detail::long_table_batch<C, P>(in, out, records, length, option_at<C>(choice));
        std::feclearexcept(FE_ALL_EXCEPT);
        return;
      }
    }
    detail::table_batch<C, P>(in, out, records, length, option_at<C>(choice));
  } else {
    const auto si = [](const auto& c) { return c.scale == 1.0 && c.shift == 0.0; };
    const bool in_si = std::all_of(in, in + C::inputs.size(), si) && std::all_of(out, out + C::results.size(), si);
    (in_si ? detail::dense_batch<C, P, true> : detail::dense_batch<C, P, false>)(in, out, records, length, option_at<C>(choice));
  }
  std::feclearexcept(FE_ALL_EXCEPT);  // a comparison with NaN is no news: NumPy would warn on every gap
}

}  // namespace lutum::inline LUTUM_ISA_TAG
