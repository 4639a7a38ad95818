// Derivatives of many records at once: all of them, or what the results change by when the inputs change in given directions.
#pragma once

#include "lutum/core/batch.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

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

namespace detail {

// The sums of `tangents` over up to a block of records. A slope's numbers are `pitch` apart; `values` are those of the results by
// slot, already in place.
[[gnu::noinline]] inline void add_changes(const Tangents& tangents, const double* slopes, std::size_t pitch, const char* const* values, std::size_t begin, std::size_t count) {
  constexpr std::size_t most = 256;
  std::array<double, most> sum, squares;
  const auto first = static_cast<std::ptrdiff_t>(begin);
  for (const Change* c = tangents.changes; c != tangents.changes + tangents.change_count; ++c) {
    if (c == tangents.changes || c->result != (c - 1)->result) squares.fill(0.0);
    for (std::size_t t = c->first; t < c->end; ++t) {
      const Term& term = tangents.terms[t];
      const double* slope = slopes + term.slope * pitch;
      const char* at = term.change + first * term.stride;
      if (term.stride == sizeof(double)) {
        const double* change = reinterpret_cast<const double*>(at);
        if (t == c->first)
          for (std::size_t i = 0; i < count; ++i) sum[i] = slope[i] * change[i];
        else
          for (std::size_t i = 0; i < count; ++i) sum[i] += slope[i] * change[i];
      } else {
        for (std::size_t i = 0; i < count; ++i) {
          double change;
          std::memcpy(&change, at + static_cast<std::ptrdiff_t>(i) * term.stride, sizeof change);
          sum[i] = (t == c->first ? 0.0 : sum[i]) + slope[i] * change;
        }
      }
    }
    const double* value = reinterpret_cast<const double*>(values[c->result]);
    for (std::size_t i = 0; i < count; ++i) sum[i] = value[i] == value[i] ? sum[i] : 0.0;
    for (std::size_t i = 0; i < count; ++i) squares[i] += sum[i] * sum[i];
    if (c->to != nullptr) std::memcpy(c->to + first, sum.data(), count * sizeof(double));
    if (c + 1 != tangents.changes + tangents.change_count && (c + 1)->result == c->result) continue;
    if (double* to = tangents.standard[c->result]; to != nullptr)
      for (std::size_t i = 0; i < count; ++i) to[begin + i] = value[i] == value[i] ? std::sqrt(squares[i]) : not_a_number;
  }
}

}  // namespace detail

// Values, and what the results change by when the inputs change together in several directions: chains of calculations pass their
// changes on, so nothing of what they share is lost. The exact derivatives that are asked for are found once, then every change is
// the sum over the inputs that its direction touches. See column.hpp for the layout.
template <class C, int W = native_width>
void batch_tangents(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, int choice, const Tangents& tangents) {
  using P = pack<W>;
  using D = dual<4, P>;
  using Dense = detail::Dense<C, W>;
  constexpr std::size_t room = std::max<std::size_t>(8192, Dense::n * Dense::m * W);
  alignas(64) std::array<double, room> slopes;
  const std::size_t most = tangents.slope_count == 0 ? Dense::block : std::min<std::size_t>(Dense::block, room / tangents.slope_count / W * W);
  Dense dense(in, out, length);
  auto input = detail::missing_input<C, P>();
  for (std::size_t begin = 0, count; begin < records; begin += count) {
    count = std::min(most, dense.next(records - begin));
    dense.open(begin, count);
    for (std::size_t first = 0, end = 0; first == 0 || first < tangents.slope_count; first = end) {
      std::array<std::size_t, 4> seeds;  // the next four inputs that something changes with
      std::size_t inputs = 0;
      for (; end < tangents.slope_count; ++end) {
        const std::size_t next = tangents.slopes[end].input;
        if (inputs > 0 && seeds[inputs - 1] == next) continue;
        if (inputs == seeds.size()) break;
        seeds[inputs++] = next;
      }
      for (std::size_t i = 0; i < count; i += W) {
        detail::load_dense<C, P, false>(input, dense, in, i);
        const auto seeded = from_slots<input_of<C, D>, D>([&](auto slot) {
          const P x = detail::slot_of<P>(input, slot);
          for (std::size_t k = 0; k < inputs; ++k)
            if (seeds[k] == slot) return D::seed(x, static_cast<int>(k));
          return D::constant(x);
        });
        const auto result = detail::evaluate_apart<C, D>(seeded, option_at<C>(choice));
        if (first == 0) detail::store_dense<C, P, false>(dense, out, i, [&](std::size_t r) { return detail::slot_of<D>(result, r).value; });
        for (std::size_t s = first, k = 0; s < end; ++s) {
          while (seeds[k] != tangents.slopes[s].input) ++k;
          const std::size_t r = tangents.slopes[s].result;
          const double ratio = in[Dense::inputs[seeds[k]].variable].scale / out[Dense::results[r].variable].scale;
          const P slope = detail::slot_of<D>(result, r).slope[k] * P(ratio);
          std::memcpy(&slopes[s * most + i], &slope.lane, sizeof slope.lane);
        }
      }
      if (tangents.slope_count == 0) break;
    }
    detail::add_changes(tangents, slopes.data(), most, dense.to.data(), begin, count);
    dense.close(begin, count);
  }
  std::feclearexcept(FE_ALL_EXCEPT);
}

}  // namespace lutum::inline LUTUM_ISA_TAG
