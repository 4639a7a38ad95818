#include "chain.hpp"

#include <algorithm>
#include <cstring>
#include <limits>
#include <map>
#include <memory>
#include <set>

namespace lutum {

namespace {

// Numbers of the records of a block: in a column of the caller, or in memory of the chain's own for one block.
struct Numbers {
  char* data = nullptr;
  std::ptrdiff_t stride = sizeof(double);
  bool own = true;

  char* at(std::size_t block, std::size_t record) const { return data + static_cast<std::ptrdiff_t>(own ? record - block : record) * stride; }
  double* numbers(std::size_t block, std::size_t record) const { return data == nullptr ? nullptr : reinterpret_cast<double*>(at(block, record)); }
};

// Records of a block that are done alike.
struct Run {
  std::size_t block, begin, count;
};

// to[i] = use(to[i], from[i]) for every record; the compiler makes it fast where they lie side by side.
template <class Use>
void each(const Run& run, const Numbers& to, const Numbers& from, Use use) {
  double* __restrict left = to.numbers(run.block, run.begin);
  const char* right = from.at(run.block, run.begin);
  const auto read = [](const char* at) {
    double x;
    std::memcpy(&x, at, sizeof x);
    return x;
  };
  if (from.stride == sizeof(double))
    for (std::size_t i = 0; i < run.count; ++i) left[i] = use(left[i], read(right + i * sizeof(double)));
  else
    for (std::size_t i = 0; i < run.count; ++i) left[i] = use(left[i], read(right + static_cast<std::ptrdiff_t>(i) * from.stride));
}

constexpr double missing = std::numeric_limits<double>::quiet_NaN();

using Changes = std::map<std::size_t, Numbers>;  // by direction

// A number put together from several columns, and its changes. A change counts where the number of its stage was taken: where
// all columns before are missing. (In a gap of its own column it is zero.)
struct Merge {
  struct Part {
    std::size_t stage;
    Numbers from, to;
  };
  std::vector<Numbers> columns;  // the last: what stands where all are missing
  Numbers to;
  Changes changes;
  std::vector<Part> parts;  // by stage
};

struct Prepared {
  const ChainStep* step;
  std::vector<Merge> merges;
  std::vector<InColumn> in;
  std::vector<OutColumn> out;
  std::vector<Slope> slopes;
  std::vector<Term> terms;
  std::vector<Change> changes;
  std::vector<double*> standard;
  std::vector<Numbers> in_at, out_at, term_at, change_at, standard_at;  // where these are
  std::vector<Numbers> values;                                          // every number of its results
  std::vector<std::pair<Numbers, Numbers>> unchanged;                   // standard uncertainty and value of results that nothing changes
};

class Chain {
 public:
  Chain(const std::vector<ChainStep>& steps, const UnitSet& units, InstructionSet set, const std::vector<ChainColumn>& given, const std::vector<ChainError>& errors,
        std::size_t records, const ChainResults& made)
      : units_(units), set_(set), made_(made), records_(records), with_changes_(made.standard != nullptr || !made.changes.empty()),
        block_(std::min<std::size_t>(records, with_changes_ ? 256 : 1024)), given_(given.size()) {
    for (const ChainColumn& c : given) values_.push_back(whole(c));
    for (const ChainWanted& w : made.changes) wanted_[{w.column, w.direction}] = w.to;
    changes_.resize(given_);
    for (const ChainError& e : errors) {
      const Numbers to = own(1);
      changes_[e.column][e.direction] = to;
      errors_.push_back({e.column, whole(e.change), to});
    }
    for (const ChainStep& step : steps)
      for (const ChainInput& input : step.inputs) taken_.insert(input.columns.begin(), input.columns.end());
    for (const ChainStep& step : steps) prepare(step);
  }

  void run() {
    for (std::size_t begin = 0; begin < records_; begin += block_) {
      const Run block{begin, begin, std::min(block_, records_ - begin)};
      for (const Error& e : errors_) {
        each(block, e.to, e.change, [](double, double change) { return change; });
        each(block, e.to, values_[e.column], [](double change, double value) { return value == value ? change : 0.0; });
      }
      for (Prepared& p : prepared_) run(p, block);
    }
  }

 private:
  struct Error {
    std::size_t column;
    Numbers change, to;
  };

  static Numbers whole(const ChainColumn& c) { return {const_cast<char*>(c.data), c.stride, false}; }  // only read
  Numbers whole(double* made, std::size_t row) const { return {reinterpret_cast<char*>(made + row * made_.pitch), sizeof(double), false}; }

  // Memory for so many numbers of a block.
  Numbers own(std::size_t numbers) {
    memory_.push_back(std::make_unique<double[]>(numbers * pitch()));
    return {reinterpret_cast<char*>(memory_.back().get())};
  }
  Numbers constant(double x) {
    const Numbers n = own(1);
    std::fill_n(reinterpret_cast<double*>(n.data), block_, x);
    return n;
  }
  std::size_t pitch() const { return block_ + 16; }  // at powers of two columns evict each other
  static Numbers next(Numbers n, std::size_t places, std::size_t pitch) {
    n.data += places * pitch * sizeof(double);
    return n;
  }

  void prepare(const ChainStep& step) {
    prepared_.push_back({});
    Prepared& p = prepared_.back();
    p.step = &step;
    std::vector<Changes> by_input;
    std::vector<std::size_t> input_slot, result_slot;
    std::size_t slot = 0;
    for (const Variable& v : step.entry->inputs) {
      const ChainInput* inputs = &step.inputs[input_slot.size()];
      const std::size_t places = is_list(v) ? step.length : 1;
      const bool as_it_is = !is_list(v) && inputs->columns.size() == 1 && (inputs->assumed.empty() || !with_changes_);
      const Numbers first = as_it_is ? values_[inputs->columns[0]] : own(places);
      for (std::size_t k = 0; k < places; ++k) {
        by_input.push_back(as_it_is ? changes_[inputs->columns[0]] : put_together(p, inputs[k], next(first, k, pitch())));
        input_slot.push_back(slot + k);
      }
      const Unit& unit = units_[v.quantity];
      p.in.push_back({nullptr, first.stride, static_cast<std::ptrdiff_t>(pitch() * sizeof(double)), unit.scale(), unit.shift(), as_it_is ? inputs->otherwise : missing});
      p.in_at.push_back(first);
      slot += static_cast<std::size_t>(v.length);
    }
    slot = 0;
    for (const Variable& v : step.entry->results) {
      const std::size_t places = is_list(v) ? step.length : 1, apart = made_.values == nullptr ? pitch() : made_.pitch;
      const Numbers first = made_.values == nullptr ? own(places) : whole(made_.values, values_.size() - given_);
      for (std::size_t k = 0; k < places; ++k) {
        p.values.push_back(next(first, k, apart));
        values_.push_back(p.values.back());
        result_slot.push_back(slot + k);
      }
      const Unit& unit = units_[v.quantity];
      p.out.push_back({nullptr, first.stride, static_cast<std::ptrdiff_t>(apart * sizeof(double)), unit.scale(), unit.shift()});
      p.out_at.push_back(first);
      slot += static_cast<std::size_t>(v.length);
    }
    changes_.resize(values_.size());
    if (with_changes_) pass_on(p, by_input, input_slot, result_slot);
  }

  // An input of several columns, or of a list; what it changes by.
  Changes put_together(Prepared& p, const ChainInput& input, const Numbers& to) {
    Changes found;
    if (input.columns.empty()) {  // the same in every block
      std::fill_n(reinterpret_cast<double*>(to.data), block_, input.otherwise);
      for (const auto& [direction, change] : input.assumed) found[direction] = constant(change);
      return found;
    }
    found = changes_[input.columns[0]];
    Merge merge{{}, to, {}, {}};
    for (std::size_t column : input.columns) merge.columns.push_back(values_[column]);
    if (input.otherwise == input.otherwise) merge.columns.push_back(constant(input.otherwise));
    const auto add = [&](std::size_t stage, std::size_t direction, const Numbers& from) {
      auto& change = merge.changes[direction];
      if (change.data == nullptr) {
        change = own(1);
        if (const auto before = found.find(direction); before != found.end()) merge.parts.push_back({0, before->second, change});
        found[direction] = change;
      }
      merge.parts.push_back({stage, from, change});
    };
    for (std::size_t stage = 1; stage < input.columns.size(); ++stage)
      for (const auto& [direction, from] : changes_[input.columns[stage]]) add(stage, direction, from);
    for (const auto& [direction, change] : input.assumed) add(input.columns.size(), direction, constant(change));
    std::stable_sort(merge.parts.begin(), merge.parts.end(), [](const auto& a, const auto& b) { return a.stage < b.stage; });
    p.merges.push_back(std::move(merge));
    return found;
  }

  // Which slopes a step needs, and the sums that make its changes of them.
  void pass_on(Prepared& p, const std::vector<Changes>& by_input, const std::vector<std::size_t>& input_slot, const std::vector<std::size_t>& result_slot) {
    std::map<std::pair<std::size_t, std::size_t>, std::size_t> place;  // of a slope, by input and result
    for (std::size_t r = 0; r < result_slot.size(); ++r)
      for (std::size_t i : p.step->reach[r])
        if (!by_input[i].empty()) place[{i, r}] = 0;
    for (auto& [pair, at] : place) {
      at = p.slopes.size();
      p.slopes.push_back({result_slot[pair.second], input_slot[pair.first]});
    }
    p.standard_at.resize(p.step->entry->result_slots);
    p.standard.resize(p.standard_at.size());
    for (std::size_t r = 0; r < result_slot.size(); ++r) {
      const std::size_t column = values_.size() - result_slot.size() + r;
      if (made_.standard != nullptr) p.standard_at[result_slot[r]] = whole(made_.standard, column - given_);
      Changes directions;
      for (std::size_t i : p.step->reach[r]) directions.insert(by_input[i].begin(), by_input[i].end());
      for (const auto& one : directions) {
        const std::size_t direction = one.first, first = p.terms.size();
        for (std::size_t i : p.step->reach[r])
          if (const auto change = by_input[i].find(direction); change != by_input[i].end()) {
            p.terms.push_back({place[{i, r}], nullptr, change->second.stride});
            p.term_at.push_back(change->second);
          }
        p.changes.push_back({result_slot[r], first, p.terms.size(), nullptr});
        const auto wanted = wanted_.find({column, direction});
        p.change_at.push_back(wanted != wanted_.end() ? Numbers{reinterpret_cast<char*>(wanted->second), sizeof(double), false} : taken_.count(column) > 0 ? own(1) : Numbers{});
        if (p.change_at.back().data != nullptr) changes_[column][direction] = p.change_at.back();
      }
      if (directions.empty() && made_.standard != nullptr) p.unchanged.push_back({p.standard_at[result_slot[r]], p.values[r]});
    }
  }

  void run(Prepared& p, const Run& block) {
    for (const Merge& merge : p.merges) run(merge, block);
    const std::int8_t* choices = p.step->choices;
    if (choices == nullptr) return call(p, p.step->entry->choice, block);
    for (std::size_t begin = block.begin, end = begin; begin < block.begin + block.count; begin = end) {
      while (end < block.begin + block.count && choices[end] == choices[begin]) ++end;
      call(p, choices[begin], {block.block, begin, end - begin});
    }
  }

  static void run(const Merge& merge, const Run& block) {
    const auto take = [](double, double x) { return x; };
    each(block, merge.to, merge.columns[0], take);
    for (const auto& change : merge.changes) std::fill_n(change.second.numbers(block.block, block.begin), block.count, 0.0);
    const double* to = merge.to.numbers(block.block, block.begin);
    auto part = merge.parts.begin();
    for (; part != merge.parts.end() && part->stage == 0; ++part) each(block, part->to, part->from, take);
    for (std::size_t stage = 1; stage <= merge.columns.size(); ++stage) {
      for (; part != merge.parts.end() && part->stage == stage; ++part) {
        double* __restrict sum = part->to.numbers(block.block, block.begin);
        const double* change = part->from.numbers(block.block, block.begin);
        for (std::size_t i = 0; i < block.count; ++i) sum[i] += to[i] == to[i] ? 0.0 : change[i];
      }
      if (stage < merge.columns.size()) each(block, merge.to, merge.columns[stage], [](double x, double other) { return x == x ? x : other; });
    }
  }

  void call(Prepared& p, int choice, const Run& run) {
    for (std::size_t k = 0; k < p.in.size(); ++k) p.in[k].data = p.in_at[k].at(run.block, run.begin);
    for (std::size_t k = 0; k < p.out.size(); ++k) p.out[k].data = p.out_at[k].at(run.block, run.begin);
    for (std::size_t k = 0; k < p.terms.size(); ++k) p.terms[k].change = p.term_at[k].at(run.block, run.begin);
    for (std::size_t k = 0; k < p.changes.size(); ++k) p.changes[k].to = p.change_at[k].numbers(run.block, run.begin);
    for (std::size_t k = 0; k < p.standard.size(); ++k) p.standard[k] = p.standard_at[k].numbers(run.block, run.begin);
    if (choice < 0) {
      for (double* standard : p.standard)
        if (standard != nullptr) std::fill_n(standard, run.count, missing);
      for (const Numbers& value : p.values) std::fill_n(value.numbers(run.block, run.begin), run.count, missing);
      for (const Change& change : p.changes)
        if (change.to != nullptr) std::fill_n(change.to, run.count, 0.0);
      return;
    }
    const Kernels& kernels = p.step->entry->batch(set_);
    if (!with_changes_) return kernels.value(p.in.data(), p.out.data(), run.count, p.step->length, choice);
    kernels.tangents(p.in.data(), p.out.data(), run.count, p.step->length, choice,
                     {p.slopes.data(), p.slopes.size(), p.terms.data(), p.changes.data(), p.changes.size(), p.standard.data()});
    for (const auto& [standard, value] : p.unchanged) each(run, standard, value, [](double, double x) { return x == x ? 0.0 : x; });
  }

  const UnitSet& units_;
  InstructionSet set_;
  const ChainResults& made_;
  std::size_t records_;
  bool with_changes_;
  std::size_t block_, given_;
  std::set<std::size_t> taken_;  // columns that a step reads
  std::map<std::pair<std::size_t, std::size_t>, double*> wanted_;
  std::vector<std::unique_ptr<double[]>> memory_;
  std::vector<Numbers> values_;   // by column
  std::vector<Changes> changes_;  // by column
  std::vector<Error> errors_;
  std::vector<Prepared> prepared_;
};

}  // namespace

std::size_t results_of(const ChainStep& step) {
  std::size_t n = 0;
  for (const Variable& v : step.entry->results) n += is_list(v) ? step.length : 1;
  return n;
}

void run_chain(const std::vector<ChainStep>& steps, const UnitSet& units, InstructionSet set, const std::vector<ChainColumn>& given,
               const std::vector<ChainError>& errors, std::size_t records, const ChainResults& made) {
  if (records > 0) Chain(steps, units, set, given, errors, records, made).run();
}

}  // namespace lutum
