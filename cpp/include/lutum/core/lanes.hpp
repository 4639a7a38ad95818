// The lanes of a pack of records: read from columns with unit and limits, and written to them.
#pragma once

#include <algorithm>
#include <cstring>

#include "lutum/core/calculation.hpp"
#include "lutum/core/column.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

namespace detail {

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
  x = select(x == x, x, P(c.otherwise));
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

}  // namespace detail

}  // namespace lutum::inline LUTUM_ISA_TAG
