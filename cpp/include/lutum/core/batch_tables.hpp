// Tables: many records of rows, or a few of many rows, and derivatives of some results by some numbers.
#pragma once

#include <cfenv>
#include <vector>

#include "lutum/core/lanes.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

namespace detail {

// Rows of a table, from records of rows: record by lane, or row by lane.
template <class C, class P, class Lanes>
row_of<C, P> load_row(const InColumn* rows, std::ptrdiff_t record, std::size_t row, std::size_t length, Lanes lanes) {
  return from_slots<row_of<C, P>, P>([&](auto k) {
    constexpr Variable v = C::rows[k];
    return load<P>(rows[k], v.limits, record, row, length, lanes);
  });
}

template <class A, class P>
auto lane_of(const A& aggregate, int lane) {
  const auto slots = to_slots<P>(aggregate);
  std::array<double, slots_of<A, P>> r;
  for (std::size_t i = 0; i < r.size(); ++i) r[i] = slots[i].lane[lane];
  return r;
}

template <class C, class P>
void table_batch(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, option_of<C> option) {
  const InColumn* rows = in + C::inputs.size();
  for_each_pack<P>(records, [&](std::ptrdiff_t record, auto lanes) {
    const auto input = load_input<C, P>(in, record, 1, lanes);
    auto carry = C::start(input);
    for (std::size_t j = 0; j < length; ++j) {
      const auto next = evaluate_row<C, P>(input, load_row<C, P>(rows, record, j, length, lanes), carry, option);
      const auto result = to_slots<P>(next.first);
      for (std::size_t r = 0; r < result.size(); ++r) store(out[r], result[r], record, j, lanes);
      carry = next.second;
    }
  });
}

// Few records of many rows: what a row is alone by packs of rows, then row by row. The bits are those of table_batch.
template <class C, class P>
void long_table_batch(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, option_of<C> option) {
  using Alone = typename C::template Alone<double>;
  constexpr PartPack one{1};
  for (std::size_t i = 0; i < records; ++i) {
    const auto record = static_cast<std::ptrdiff_t>(i);
    const auto scalars = lane_of<input_of<C, P>, P>(load_input<C, P>(in, record, 1, one), 0);
    const auto spread = from_slots<input_of<C, P>, P>([&](auto k) { return P(scalars[k]); });
    const auto input = std::bit_cast<input_of<C, double>>(scalars);
    auto carry = C::start(input);
    for (std::size_t first = 0; first < length; first += P::width) {
      const PartPack lanes{static_cast<int>(std::min<std::size_t>(P::width, length - first))};
      std::array<InColumn, C::rows.size()> rows;
      for (std::size_t k = 0; k < rows.size(); ++k) {
        rows[k] = in[C::inputs.size() + k];
        rows[k].data += record * rows[k].stride + static_cast<std::ptrdiff_t>(first) * rows[k].element;
        rows[k].stride = rows[k].element;
      }
      const auto here = load_row<C, P>(rows.data(), 0, 0, 1, lanes);
      const auto alone = alone_with<C, P>(spread, here, option);
      for (int lane = 0; lane < lanes.count; ++lane) {
        const auto row = std::bit_cast<row_of<C, double>>(lane_of<row_of<C, P>, P>(here, lane));
        const auto next = C::evaluate(input, row, std::bit_cast<Alone>(lane_of<typename C::template Alone<P>, P>(alone, lane)), carry);
        const auto result = to_slots<double>(next.first);
        for (std::size_t r = 0; r < result.size(); ++r) store(out[r], P(result[r]), record, first + static_cast<std::size_t>(lane), one);
        carry = next.second;
      }
    }
  }
}

}  // namespace detail

// Exact derivatives of a table in many records; `out` gives only the units. What a row is alone is followed only through the chunks of
// seeds that it hangs on: in every other it is a number.
template <class C, int W = native_width>
void table_gradient(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, [[maybe_unused]] int choice,
                    const TableSlopes& slopes) {
  using P = pack<W>;
  using D = dual<4, P>;
  constexpr std::size_t scalars = C::inputs.size();
  const auto row_of_seed = [&](std::size_t seed) { return seed < scalars ? length : (seed - scalars) % length; };  // of a scalar: none
  std::vector<std::size_t> order(slopes.seed_count);  // seeds of one row side by side, the scalars last
  for (std::size_t row = 0, placed = 0; row <= length; ++row)
    for (std::size_t s = 0; s < slopes.seed_count; ++s)
      if (row_of_seed(slopes.seeds[s]) == row) order[placed++] = s;
  const auto option = option_at<C>(choice);
  std::vector<row_of<C, P>> rows(length);
  const auto plain = [&] {
    if constexpr (has_alone<C>) {
      return std::vector<typename C::template Alone<P>>(length);
    } else {
      return 0;
    }
  };
  [[maybe_unused]] auto alone = plain();
  detail::for_each_pack<P>(records, [&](std::ptrdiff_t record, auto lanes) {
    const auto input = to_slots<P>(detail::load_input<C, P>(in, record, 1, lanes));
    for (std::size_t j = 0; j < length; ++j) {
      rows[j] = detail::load_row<C, P>(in + scalars, record, j, length, lanes);
      if constexpr (has_alone<C>) alone[j] = alone_with<C, P>(std::bit_cast<input_of<C, P>>(input), rows[j], option);
    }
    for (std::size_t first = 0; first < order.size(); first += 4) {
      const std::size_t count = std::min<std::size_t>(4, order.size() - first);
      std::array<std::size_t, 4> seed{};
      bool scalar = false;
      for (std::size_t s = 0; s < count; ++s) {
        seed[s] = slopes.seeds[order[first + s]];
        scalar = scalar || seed[s] < scalars;
      }
      const auto seeded = [&](P x, std::size_t slot) {
        for (std::size_t s = 0; s < count; ++s)
          if (seed[s] == slot) return D::seed(x, static_cast<int>(s));
        return D::constant(x);
      };
      const auto from = from_slots<input_of<C, D>, D>([&](auto i) { return seeded(input[i], i); });
      auto carry = C::start(from);
      for (std::size_t j = 0; j < length; ++j) {
        const auto values = to_slots<P>(rows[j]);
        const auto row = from_slots<row_of<C, D>, D>([&](auto k) { return seeded(values[k], scalars + k * length + j); });
        const auto next = [&] {
          if constexpr (has_alone<C>) {
            using Alone = typename C::template Alone<D>;
            const bool touched = scalar || std::any_of(seed.begin(), seed.begin() + count, [&](std::size_t s) { return row_of_seed(s) == j; });
            if (touched) return C::evaluate(from, row, alone_with<C, D>(from, row, option), carry);
            const auto known = to_slots<P>(alone[j]);
            return C::evaluate(from, row, from_slots<Alone, D>([&](auto k) { return D::constant(known[k]); }), carry);
          } else {
            return evaluate_row<C, D>(from, row, carry, option);
          }
        }();
        const auto result = to_slots<D>(next.first);
        for (std::size_t c = 0; c < slopes.cell_count; ++c) {
          if (slopes.cells[c].row != j) continue;
          const std::size_t r = slopes.cells[c].result;
          for (std::size_t s = 0; s < count; ++s) {
            const std::size_t variable = seed[s] < scalars ? seed[s] : scalars + (seed[s] - scalars) / length;
            const P slope = result[r].slope[s] * P(in[variable].scale / out[r].scale);
            for (int lane = 0; lane < lanes.count; ++lane)
              slopes.to[((static_cast<std::size_t>(record) + static_cast<std::size_t>(lane)) * slopes.cell_count + c) * slopes.seed_count + order[first + s]] =
                  slope.lane[lane];
          }
        }
        carry = next.second;
      }
    }
  });
  std::feclearexcept(FE_ALL_EXCEPT);
}

}  // namespace lutum::inline LUTUM_ISA_TAG
