// Columns of memory as a caller may lay them out, and what a batch should write into them.
#pragma once

#include "catalogue_support.hpp"
#include "lutum/core/units.hpp"

namespace support {

inline constexpr double untouched = 1234.5678;  // memory that nobody should write

// The numbers of one variable: records x elements, anywhere in its own memory. Steps are counted in doubles.
struct Column {
  std::vector<double> memory;
  std::ptrdiff_t begin = 0, record_step = 1, element_step = 1;

  double& at(std::size_t record, std::size_t element) {
    return memory[static_cast<std::size_t>(begin + static_cast<std::ptrdiff_t>(record) * record_step + static_cast<std::ptrdiff_t>(element) * element_step)];
  }
};

enum class Layout { columns, rows, gaps, reversed, broadcast, mixed };

inline Column make_column(Layout layout, std::size_t records, std::size_t elements, std::size_t place) {
  const auto n = static_cast<std::ptrdiff_t>(records), k = static_cast<std::ptrdiff_t>(elements);
  if (layout == Layout::mixed) layout = place % 3 == 0 ? Layout::rows : place % 3 == 1 ? Layout::gaps : Layout::columns;
  Column c;
  switch (layout) {
    case Layout::columns: c.element_step = n; break;                        // one element after the other, records side by side
    case Layout::rows: c.record_step = k; break;                            // a row-major array whose last axis is the list
    case Layout::gaps: c.record_step = 3 * k + 1, c.element_step = 3; break;  // a slice of something larger
    case Layout::reversed: c.record_step = -k, c.begin = n > 0 ? (n - 1) * k : 0; break;
    case Layout::broadcast:
      c.record_step = place % 2 == 1 ? 0 : k;
      break;  // every second variable is the same for all records
    case Layout::mixed: break;
  }
  c.memory.assign(static_cast<std::size_t>((n + 1) * (3 * k + 2)), untouched);
  return c;
}

// A batch call: its inputs, its results, and what the scalar calculation says they should be.
class Batch {
 public:
  Batch(const Entry& entry, std::size_t records, std::size_t length, Layout layout, const lutum::UnitSet& units, Random& random)
      : e_(entry), records_(records), length_(length), units_(units) {
    for (std::size_t v = 0; v < e_.inputs.size(); ++v) in_.push_back(make_column(layout, records, count(e_.inputs[v]), v));
    for (std::size_t r = 0; r < e_.results.size(); ++r)
      out_.push_back(make_column(layout == Layout::broadcast ? Layout::rows : layout, records, count(e_.results[r]), r));
    for (std::size_t i = 0; i < records; ++i) fill_record(i, random);
    for (std::size_t i = 0; i < records; ++i) read_.push_back(si_inputs(i));
  }

  // Every result into the memory of the input `shift` places on, where that has the same shape.
  void write_in_place(std::size_t shift) {
    target_.assign(out_.size(), nullptr);
    for (std::size_t r = 0; r < out_.size(); ++r) {
      const std::size_t v = (r + shift) % in_.size();
      const bool free = std::find(target_.begin(), target_.end(), &in_[v]) == target_.end();
      if (free && lutum::is_list(e_.inputs[v]) == lutum::is_list(e_.results[r])) target_[r] = &in_[v];
    }
  }

  void run(lutum::BatchFunction kernel) {
    std::vector<lutum::InColumn> in;
    std::vector<lutum::OutColumn> out;
    for (std::size_t v = 0; v < in_.size(); ++v) {
      const auto& unit = units_[e_.inputs[v].quantity];
      const Column& c = in_[v];
      in.push_back({reinterpret_cast<const char*>(c.memory.data() + c.begin), c.record_step * 8, c.element_step * 8, unit.scale(), unit.shift()});
    }
    for (std::size_t r = 0; r < out_.size(); ++r) {
      const auto& unit = units_[e_.results[r].quantity];
      Column& c = target(r);
      out.push_back({reinterpret_cast<char*>(c.memory.data() + c.begin), c.record_step * 8, c.element_step * 8, unit.scale(), unit.shift()});
    }
    kernel(in.data(), out.data(), records_, length_, e_.choice);
  }

  // Empty when every number is, bit for bit, what the scalar calculation gives and no other memory was written.
  std::string difference() {
    for (std::size_t i = 0; i < records_; ++i) {
      const auto expected = value(e_, read_[i]);
      const auto places = result_slots(e_, read_[i].length);
      for (std::size_t r = 0; r < expected.size(); ++r) {
        if (places[r].element >= count(*places[r].variable)) continue;
        const double want = in_unit(expected[r], units_[places[r].variable->quantity]);
        const double got = target(places[r].place).at(i, places[r].element);
        if (!same_bits(got, want))
          return lutum::join({"record ", std::to_string(i), " of ", std::to_string(records_), ": ", label(places[r]), " is ",
                              lutum::format_number(got, 17), " where the scalar gives ", lutum::format_number(want, 17)});
      }
    }
    if (!target_.empty()) return {};
    for (std::size_t r = 0; r < out_.size(); ++r) {
      const auto written = static_cast<std::ptrdiff_t>(records_ * count(e_.results[r]));
      const auto others = std::count(out_[r].memory.begin(), out_[r].memory.end(), untouched);
      if (others != static_cast<std::ptrdiff_t>(out_[r].memory.size()) - written) return "memory beside the results was written";
    }
    return {};
  }

  const State& read(std::size_t record) const { return read_[record]; }

 private:
  std::size_t count(const Variable& v) const { return lutum::is_list(v) ? length_ : 1; }
  Column& target(std::size_t r) { return target_.empty() || target_[r] == nullptr ? out_[r] : *target_[r]; }

  static double in_unit(double si, const lutum::Unit& u) {
    if (u.shift() != 0.0) si = si - u.shift();
    return u.scale() != 1.0 ? si / u.scale() : si;
  }

  // Sound numbers, and now and then a missing one or one outside its limits.
  void fill_record(std::size_t record, Random& random) {
    const State sample = random_state(e_, random);
    const auto places = input_slots(e_, sample.length);
    for (std::size_t s = 0; s < places.size(); ++s) {
      const auto& [variable, v, element] = places[s];
      if (element >= count(*variable)) continue;
      const double x = units_[variable->quantity].from_si(sample.inputs[s]);
      in_[v].at(record, element) = random.unit() < 0.03 ? (random.unit() < 0.5 ? nan : -1e9) : x;
    }
    for (std::size_t v = 0; v < in_.size(); ++v)  // a table may be longer than the state drawn
      for (std::size_t k = 0; k < count(e_.inputs[v]); ++k)
        if (double& x = in_[v].at(record, k); x == untouched) x = k > 0 ? in_[v].at(record, k - 1) : nan;
  }

  // The record as the scalar calculation should see it.
  State si_inputs(std::size_t record) {
    State s;
    s.length = length_;
    for (const Slot& slot : input_slots(e_, length_)) {
      const auto& unit = units_[slot.variable->quantity];
      if (slot.element >= count(*slot.variable)) {
        s.inputs.push_back(nan);
        continue;
      }
      double x = in_[slot.place].at(record, slot.element);
      if (unit.scale() != 1.0 || unit.shift() != 0.0) x = x * unit.scale() + unit.shift();
      s.inputs.push_back(within(x, slot.variable->limits));
    }
    return s;
  }

  const Entry& e_;
  std::size_t records_, length_;
  const lutum::UnitSet& units_;
  std::vector<Column> in_, out_;
  std::vector<Column*> target_;
  std::vector<State> read_;
};

}  // namespace support
