// Many records at once: a formula over packs, with the unit factors and the limits applied on loading. An input outside
// its limits is missing, and spoils only the results that depend on it. Rows may be read and written in place.
#pragma once

#include <algorithm>
#include <cfenv>
#include <cstring>

#include "lutum/core/calculation.hpp"
#include "lutum/core/column.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

namespace detail {

// evaluate, once in the object file. Inlined into every chunk of a gradient it would be most of what the kernels take to compile.
template <class C, class T>
[[gnu::noinline]] result_of<C, T> evaluate_apart(const input_of<C, T>& input, option_of<C> option) {
  return evaluate_with<C, T>(input, option);
}

// The lanes of one pack: all of them, or only the first few in the last pack of a batch. The number is a type for the
// former, so that the common case compiles to plain vector loads and stores.
template <class P>
struct FullPack {
  static constexpr int count = P::width;
};
struct PartPack {
  int count;
};

template <class P, class Lanes>
P load_lanes(const char* at, std::ptrdiff_t stride, Lanes lanes) {
  P x(not_a_number);
  if constexpr (std::is_same_v<Lanes, FullPack<P>>) {
    if (stride == sizeof(double)) {
      std::memcpy(&x.lane, at, sizeof x.lane);
      return x;
    }
    if (stride == 0) {
      double one;
      std::memcpy(&one, at, sizeof one);
      return P(one);
    }
  }
  for (int k = 0; k < lanes.count; ++k) {
    double one;
    std::memcpy(&one, at + k * stride, sizeof one);
    x.lane[k] = one;
  }
  return x;
}

template <class P, class Lanes>
void store_lanes(char* at, std::ptrdiff_t stride, P x, Lanes lanes) {
  if constexpr (std::is_same_v<Lanes, FullPack<P>>) {
    if (stride == sizeof(double)) {
      std::memcpy(at, &x.lane, sizeof x.lane);
      return;
    }
  }
  for (int k = 0; k < lanes.count; ++k) {
    const double one = x.lane[k];
    std::memcpy(at + k * stride, &one, sizeof one);
  }
}

// run(record, lanes) for every pack of a batch.
template <class P, class Run>
void for_each_pack(std::size_t records, Run&& run) {
  std::size_t i = 0;
  for (; i + P::width <= records; i += P::width) run(static_cast<std::ptrdiff_t>(i), FullPack<P>{});
  if (i < records) run(static_cast<std::ptrdiff_t>(i), PartPack{static_cast<int>(records - i)});
}

// No shift is -0, which alone leaves every x as it is: -0 + 0 would be +0.
constexpr double addend(double shift) { return shift == 0.0 ? -0.0 : shift; }

template <class P>
P within(P x, const Limits& limits) {
  if (!limits.bounded()) return x;
  return select((x < P(limits.lowest)) | (x > P(limits.highest)), P(not_a_number), x);
}

template <class P, class Lanes>
P load(const InColumn& c, const Limits& limits, std::ptrdiff_t record, std::size_t element, std::size_t length, Lanes lanes) {
  if (element >= length) return P(not_a_number);  // beyond the list that was given
  P x = load_lanes<P>(c.data + record * c.stride + static_cast<std::ptrdiff_t>(element) * c.element, c.stride, lanes);
  if (c.scale != 1.0 || c.shift != 0.0) x = x * P(c.scale) + P(addend(c.shift));
  return within(x, limits);
}

template <class P, class Lanes>
void store(const OutColumn& c, P x, std::ptrdiff_t record, std::size_t element, Lanes lanes) {
  if (c.shift != 0.0) x = x - P(c.shift);
  if (c.scale != 1.0) x = x / P(c.scale);
  store_lanes(c.data + record * c.stride + static_cast<std::ptrdiff_t>(element) * c.element, c.stride, x, lanes);
}

template <class C, class P, class Lanes>
input_of<C, P> load_input(const InColumn* in, std::ptrdiff_t record, std::size_t length, Lanes lanes) {
  constexpr auto place = places<slots_of<input_of<C, double>, double>>(C::inputs);
  return from_slots<input_of<C, P>, P>([&](auto i) {
    constexpr Place at = place[i];
    constexpr Variable v = C::inputs[at.variable];
    return load<P>(in[at.variable], v.limits, record, at.element, is_list(v) ? length : 1, lanes);
  });
}

template <class C, class P, class Lanes>
void store_result(const OutColumn* out, const std::array<P, slots_of<result_of<C, double>, double>>& result, std::ptrdiff_t record,
                  std::size_t length, Lanes lanes) {
  constexpr auto place = places<slots_of<result_of<C, double>, double>>(C::results);
  [&]<std::size_t... I>(std::index_sequence<I...>) {
    const auto one = [&]<std::size_t i>() {
      if (place[i].element < (is_list(C::results[place[i].variable]) ? length : 1))
        store(out[place[i].variable], result[i], record, place[i].element, lanes);
    };
    (one.template operator()<I>(), ...);
  }(std::make_index_sequence<slots_of<result_of<C, double>, double>>{});
}

// Every column contiguous: pointers and unit factors are read once, and nothing but loads, formula and stores is left. In
// SI not even factors. Returns how many records are done; fewer than a pack may be left.
template <class C, class P, bool in_si>
std::size_t contiguous_batch(const InColumn* in, const OutColumn* out, std::size_t records, option_of<C> option) {
  std::array<const char*, C::inputs.size()> from;
  std::array<char*, C::results.size()> to;
  std::array<P, C::inputs.size()> in_scale, in_shift;
  std::array<P, C::results.size()> out_scale, out_shift;
  for (std::size_t v = 0; v < from.size(); ++v) from[v] = in[v].data, in_scale[v] = P(in[v].scale), in_shift[v] = P(addend(in[v].shift));
  for (std::size_t v = 0; v < to.size(); ++v) to[v] = out[v].data, out_scale[v] = P(out[v].scale), out_shift[v] = P(out[v].shift);
  std::size_t done = 0;
  for (; done + P::width <= records; done += P::width) {
    const auto offset = static_cast<std::ptrdiff_t>(done * sizeof(double));
    const auto input = from_slots<input_of<C, P>, P>([&](auto i) {
      constexpr Variable v = C::inputs[i];
      P x;
      std::memcpy(&x.lane, from[i] + offset, sizeof x.lane);
      if constexpr (!in_si) x = x * in_scale[i] + in_shift[i];
      return within(x, v.limits);
    });
    const auto result = to_slots<P>(evaluate_with<C, P>(input, option));
    for (std::size_t r = 0; r < result.size(); ++r) {
      P x = result[r];
      if constexpr (!in_si) x = (x - out_shift[r]) / out_scale[r];
      std::memcpy(to[r] + offset, &x.lane, sizeof x.lane);
    }
  }
  return done;
}

template <class C, class P>
std::size_t contiguous_batch(const InColumn* in, const OutColumn* out, std::size_t records, option_of<C> option) {
  const auto si = [](const auto& c) { return c.scale == 1.0 && c.shift == 0.0; };
  if (std::all_of(in, in + C::inputs.size(), si) && std::all_of(out, out + C::results.size(), si)) return contiguous_batch<C, P, true>(in, out, records, option);
  return contiguous_batch<C, P, false>(in, out, records, option);
}

inline void gather(double* to, const char* from, std::ptrdiff_t stride, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) std::memcpy(to + i, from + static_cast<std::ptrdiff_t>(i) * stride, sizeof(double));
}

inline void scatter(char* to, std::ptrdiff_t stride, const double* from, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) std::memcpy(to + static_cast<std::ptrdiff_t>(i) * stride, from + i, sizeof(double));
}

// As many records as full packs hold, of a calculation without lists. Columns that are not contiguous, and numbers that
// stand for every record, pass through blocks on the stack: cheaper than lanes loaded one by one.
template <class C, class P>
std::size_t blocked_batch(const InColumn* in, const OutColumn* out, std::size_t records, option_of<C> option) {
  constexpr std::size_t block = 256, n = C::inputs.size(), m = C::results.size();
  constexpr auto dense = static_cast<std::ptrdiff_t>(sizeof(double));
  const auto contiguous = [](const auto& c) { return c.stride == dense; };
  if (records < P::width) return 0;
  if (std::all_of(in, in + n, contiguous) && std::all_of(out, out + m, contiguous)) return contiguous_batch<C, P>(in, out, records, option);
  alignas(64) std::array<std::array<double, block>, n> inputs;
  alignas(64) std::array<std::array<double, block>, m> results;
  std::array<InColumn, n> from;
  std::array<OutColumn, m> to;
  for (std::size_t v = 0; v < n; ++v)
    if (in[v].stride == 0) gather(inputs[v].data(), in[v].data, 0, block);
  std::size_t done = 0;
  while (records - done >= P::width) {
    const std::size_t count = std::min(block, records - done) / P::width * P::width;
    const auto record = static_cast<std::ptrdiff_t>(done);
    for (std::size_t v = 0; v < n; ++v) {
      const InColumn& c = in[v];
      const char* at = c.data + record * c.stride;
      if (c.stride != dense && c.stride != 0) gather(inputs[v].data(), at, c.stride, count);
      from[v] = {c.stride == dense ? at : reinterpret_cast<const char*>(inputs[v].data()), dense, 0, c.scale, c.shift};
    }
    for (std::size_t v = 0; v < m; ++v) {
      const OutColumn& c = out[v];
      to[v] = {c.stride == dense ? c.data + record * c.stride : reinterpret_cast<char*>(results[v].data()), dense, 0, c.scale, c.shift};
    }
    contiguous_batch<C, P>(from.data(), to.data(), count, option);
    for (std::size_t v = 0; v < m; ++v)
      if (out[v].stride != dense) scatter(out[v].data + record * out[v].stride, out[v].stride, results[v].data(), count);
    done += count;
  }
  return done;
}

template <class C, class P>
void table_batch(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length) {
  using Row = typename C::template Row<P>;
  const InColumn* rows = in + C::inputs.size();
  for_each_pack<P>(records, [&](std::ptrdiff_t record, auto lanes) {
    const auto input = load_input<C, P>(in, record, 1, lanes);
    auto carry = C::start(input);
    for (std::size_t j = 0; j < length; ++j) {
      const Row row = from_slots<Row, P>([&](auto k) {
        constexpr Variable v = C::rows[k];
        return load<P>(rows[k], v.limits, record, j, length, lanes);
      });
      const auto next = C::evaluate(input, row, carry);
      const auto result = to_slots<P>(next.first);
      for (std::size_t r = 0; r < result.size(); ++r) store(out[r], result[r], record, j, lanes);
      carry = next.second;
    }
  });
}

}  // namespace detail

// Values of every record.
template <class C, int W = native_width>
void batch(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, [[maybe_unused]] int choice = 0) {
  using P = pack<W>;
  if constexpr (is_table<C>) {
    detail::table_batch<C, P>(in, out, records, length);
  } else {
    constexpr bool lists = slots_of<input_of<C, double>, double> != C::inputs.size() || slots_of<result_of<C, double>, double> != C::results.size();
    std::size_t done = 0;
    const auto option = option_at<C>(choice);
    if constexpr (!lists) done = detail::blocked_batch<C, P>(in, out, records, option);
    detail::for_each_pack<P>(records - done, [&](std::ptrdiff_t record, auto lanes) {
      record += static_cast<std::ptrdiff_t>(done);
      const auto input = detail::load_input<C, P>(in, record, length, lanes);
      const auto result = to_slots<P>(lists ? evaluate_with<C, P>(input, option) : detail::evaluate_apart<C, P>(input, option));
      detail::store_result<C, P>(out, result, record, length, lanes);
    });
  }
  std::feclearexcept(FE_ALL_EXCEPT);  // a comparison with NaN is no news: NumPy would warn on every gap
}

// Values and exact first derivatives of every record. Columns of `out`: the results, then for result slot r and input
// slot i the column results.size() + r * input_slots + i, in result unit per input unit.
template <class C, int W = native_width>
void batch_gradient(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, int choice = 0) {
  using P = pack<W>;
  using D = dual<4, P>;
  constexpr std::size_t n = slots_of<input_of<C, double>, double>, m = slots_of<result_of<C, double>, double>;
  constexpr auto place = places<n>(C::inputs);
  constexpr auto result_place = places<m>(C::results);
  const auto one_chunk = [&]<std::size_t first>(const std::array<P, n>& values, std::ptrdiff_t record, auto lanes) {
    const auto seeded = from_slots<input_of<C, D>, D>([&](auto i) {
      return D::seed(values[i], static_cast<int>(i) - static_cast<int>(first));
    });
    const auto result = to_slots<D>(detail::evaluate_apart<C, D>(seeded, option_at<C>(choice)));
    if constexpr (first == 0) {
      std::array<P, m> plain;
      for (std::size_t r = 0; r < m; ++r) plain[r] = result[r].value;
      detail::store_result<C, P>(out, plain, record, length, lanes);
    }
    for (std::size_t r = 0; r < m; ++r)
      for (std::size_t i = first; i < n && i < first + 4; ++i) {
        const double ratio = in[place[i].variable].scale / out[result_place[r].variable].scale;
        const OutColumn& c = out[C::results.size() + r * n + i];
        P slope = result[r].slope[i - first];
        if (ratio != 1.0) slope = slope * P(ratio);
        detail::store_lanes(c.data + record * c.stride, c.stride, slope, lanes);
      }
  };
  detail::for_each_pack<P>(records, [&](std::ptrdiff_t record, auto lanes) {
    const auto values = to_slots<P>(detail::load_input<C, P>(in, record, length, lanes));
    [&]<std::size_t... K>(std::index_sequence<K...>) {
      (one_chunk.template operator()<4 * K>(values, record, lanes), ...);
    }(std::make_index_sequence<(n + 3) / 4>{});
  });
  std::feclearexcept(FE_ALL_EXCEPT);
}

// Values, and what the results change by when the inputs change together in so many directions: chains of calculations pass
// their changes on, so nothing of what they share is lost. The exact derivatives are found once for each input that changes,
// then every direction is the sum over the inputs it touches. See column.hpp for the layout; changes are in the units of their
// variables, and only those that have a column are worked out.
template <class C, int W = native_width>
void batch_tangents(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, int choice, std::size_t directions) {
  using P = pack<W>;
  using D = dual<4, P>;
  constexpr std::size_t n = slots_of<input_of<C, double>, double>, m = slots_of<result_of<C, double>, double>;
  constexpr auto place = places<n>(C::inputs);
  constexpr auto result_place = places<m>(C::results);
  const InColumn* changes = in + C::inputs.size();
  const OutColumn* changed = out + C::results.size();
  const auto option = option_at<C>(choice);
  std::array<std::size_t, n> active{};  // the input slots that change in some direction
  std::size_t actives = 0;
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t d = 0; d < directions; ++d)
      if (changes[d * n + i].data != nullptr) {
        active[actives++] = i;
        break;
      }
  detail::for_each_pack<P>(records, [&](std::ptrdiff_t record, auto lanes) {
    const auto values = to_slots<P>(detail::load_input<C, P>(in, record, length, lanes));
    std::array<std::array<P, m>, n> slopes;  // by place in `active`
    for (std::size_t first = 0; first == 0 || first < actives; first += 4) {
      const std::size_t count = std::min<std::size_t>(4, actives - first);
      const auto seeded = from_slots<input_of<C, D>, D>([&](auto i) {
        for (std::size_t k = 0; k < count; ++k)
          if (active[first + k] == i) return D::seed(values[i], static_cast<int>(k));
        return D::constant(values[i]);
      });
      const auto result = to_slots<D>(detail::evaluate_apart<C, D>(seeded, option));
      if (first == 0) {
        std::array<P, m> plain;
        for (std::size_t r = 0; r < m; ++r) plain[r] = result[r].value;
        detail::store_result<C, P>(out, plain, record, length, lanes);
      }
      for (std::size_t k = 0; k < count; ++k)
        for (std::size_t r = 0; r < m; ++r) slopes[first + k][r] = result[r].slope[k] * P(in[place[active[first + k]].variable].scale);
    }
    std::array<P, m> variance;
    variance.fill(P(0.0));
    for (std::size_t d = 0; d < directions; ++d) {
      std::array<P, n> change;
      std::array<std::size_t, n> touched{};
      std::size_t touches = 0;
      for (std::size_t k = 0; k < actives; ++k)
        if (const InColumn& c = changes[d * n + active[k]]; c.data != nullptr) {
          change[touches] = detail::load_lanes<P>(c.data + record * c.stride, c.stride, lanes);
          touched[touches++] = k;
        }
      for (std::size_t r = 0; r < m; ++r) {
        const OutColumn& c = changed[d * m + r];
        if (c.data == nullptr) continue;
        P sum(0.0);
        for (std::size_t k = 0; k < touches; ++k) sum = sum + slopes[touched[k]][r] * change[k];
        sum = sum / P(out[result_place[r].variable].scale);
        variance[r] = variance[r] + square(sum);
        detail::store_lanes(c.data + record * c.stride, c.stride, sum, lanes);
      }
    }
    for (std::size_t r = 0; r < m; ++r)
      if (const OutColumn& c = changed[directions * m + r]; c.data != nullptr)
        detail::store_lanes(c.data + record * c.stride, c.stride, variance[r], lanes);
  });
  std::feclearexcept(FE_ALL_EXCEPT);
}

}  // namespace lutum::inline LUTUM_ISA_TAG
