// The yield power law fit against a dense scan in extended precision that shares nothing with it: realistic readings and
// kinds that break fits.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <map>
#include <vector>

#include "lutum/core/batch.hpp"
#include "lutum/rheology/yield_power_law_fit.hpp"
#include "support.hpp"

namespace {

using lutum::rheology::Weighting;
using lutum::rheology::yield_power_law_fit;
using lutum::rheology::YieldPowerLawFit;
using support::nan;
using support::Random;
using In = YieldPowerLawFit::Input<double>;

constexpr double rates[] = {1021.37708, 510.688542, 340.459028, 170.229514, 10.2137708, 5.10688542}, degree = 0.510688542;

struct Curve {
  long double yield_stress = 0, consistency = 0, index = 0, squares = 0;
};

// Written anew, in long double: every active set of the two linear unknowns, 576 nodes of the index, golden section in
// every valley of the scan.
class DenseScan {
 public:
  DenseScan(const In& in, Weighting weighting) : low_(in.lowest_flow_index), high_(in.highest_flow_index), floor_(in.lowest_yield_stress), ceiling_(in.highest_yield_stress) {
    for (std::size_t i = 0; i < in.shear_rate.size(); ++i) {
      if (std::isnan(in.shear_rate[i]) || std::isnan(in.shear_stress[i])) continue;
      const long double s = in.shear_stress[i], least = std::max(s, 0.25L);
      logs_.push_back(std::log(static_cast<long double>(in.shear_rate[i])));
      stresses_.push_back(s);
      weights_.push_back(weighting == Weighting::relative ? 1 / (least * least) : 1);
    }
    const long double most = *std::max_element(logs_.begin(), logs_.end());
    for (auto& l : logs_) l -= most;
    highest_log_ = most;
  }

  // A fitted curve with its consistency at the highest rate, as this scan counts it.
  Curve counted(double yield_stress, double consistency, double index) const {
    return {yield_stress, consistency * std::exp(index * highest_log_), index};
  }

  long double of(const Curve& c) const {
    long double sum = 0;
    for (std::size_t i = 0; i < logs_.size(); ++i) {
      const long double left = stresses_[i] - c.yield_stress - c.consistency * std::exp(c.index * logs_[i]);
      sum += weights_[i] * left * left;
    }
    return sum;
  }

  // The sum of squares that leaves nothing explained.
  long double total() const {
    long double sum = 0;
    for (std::size_t i = 0; i < logs_.size(); ++i) sum += weights_[i] * stresses_[i] * stresses_[i];
    return sum;
  }

  Curve best_at(long double n) const {
    long double w = 0, x = 0, xx = 0, s = 0, xs = 0;
    for (std::size_t i = 0; i < logs_.size(); ++i) {
      const long double power = std::exp(n * logs_[i]);
      w += weights_[i], x += weights_[i] * power, xx += weights_[i] * power * power, s += weights_[i] * stresses_[i], xs += weights_[i] * power * stresses_[i];
    }
    const auto slope_for = [&](long double t) { return std::max((xs - t * x) / xx, 0.0L); };
    const long double determinant = w * xx - x * x, mean = std::clamp(s / w, floor_, ceiling_);
    std::vector<Curve> candidates{{floor_, slope_for(floor_), n}, {ceiling_, slope_for(ceiling_), n}, {mean, 0, n}};
    const Curve free{(xx * s - x * xs) / determinant, (w * xs - x * s) / determinant, n};
    if (free.consistency >= 0 && free.yield_stress >= floor_ && free.yield_stress <= ceiling_) candidates.push_back(free);
    for (auto& c : candidates) c.squares = of(c);
    return *std::min_element(candidates.begin(), candidates.end(), [](const Curve& a, const Curve& b) { return a.squares < b.squares; });
  }

  Curve best() const {
    constexpr int nodes = 576;
    std::vector<long double> squares;
    const auto node = [&](int k) { return low_ + (high_ - low_) * static_cast<long double>(std::clamp(k, 0, nodes - 1)) / (nodes - 1); };
    for (int k = 0; k < nodes; ++k) squares.push_back(best_at(node(k)).squares);
    Curve best;
    best.squares = HUGE_VALL;
    for (int k = 0; k < nodes; ++k) {
      if ((k > 0 && squares[static_cast<std::size_t>(k) - 1] < squares[static_cast<std::size_t>(k)]) ||
          (k + 1 < nodes && squares[static_cast<std::size_t>(k) + 1] < squares[static_cast<std::size_t>(k)]))
        continue;
      const Curve c = golden_section(node(k - 1), node(k + 1));
      if (c.squares < best.squares) best = c;
    }
    return best;
  }

  // Minima of the sum of squares over the index, on a coarse scan.
  int valleys() const {
    constexpr int nodes = 64;
    int found = 0, falling = 1;
    long double last = HUGE_VALL;
    for (int k = 0; k < nodes; ++k) {
      const long double here = best_at(low_ + (high_ - low_) * k / (nodes - 1)).squares;
      if (falling && here > last * (1 + 1e-9L)) ++found, falling = 0;
      if (here < last * (1 - 1e-9L)) falling = 1;
      last = here;
    }
    return found + falling;
  }

 private:
  Curve golden_section(long double a, long double b) const {
    constexpr long double ratio = 0.618033988749894848204586834L;
    long double p = b - ratio * (b - a), q = a + ratio * (b - a);
    Curve at_p = best_at(p), at_q = best_at(q);
    for (int i = 0; i < 60; ++i) {
      if (at_p.squares < at_q.squares) {
        b = q, q = p, at_q = at_p, p = b - ratio * (b - a), at_p = best_at(p);
      } else {
        a = p, p = q, at_p = at_q, q = a + ratio * (b - a), at_q = best_at(q);
      }
    }
    const Curve ends[] = {at_p, at_q, best_at(a), best_at(b)};
    return *std::min_element(std::begin(ends), std::end(ends), [](const Curve& c, const Curve& d) { return c.squares < d.squares; });
  }

  long double low_, high_, floor_, ceiling_, highest_log_ = 0;
  std::vector<long double> logs_, stresses_, weights_;
};

In with(const std::vector<double>& stresses) {
  In in;
  for (std::size_t i = 0; i < stresses.size(); ++i) in.shear_rate[i] = rates[i], in.shear_stress[i] = stresses[i];
  return in;
}

// Readings of a yield power law with noise, rounded as a dial is read.
In realistic(Random& random) {
  const double yield = random.uniform(0, 12), n = random.uniform(0.3, 1.0), top = random.uniform(8, 60), noise = random.uniform(0, 0.03);
  std::vector<double> s;
  for (const double rate : rates) {
    const double exact = yield + top * std::pow(rate / rates[0], n);
    s.push_back(std::round(exact * (1 + noise * random.uniform(-1, 1)) / degree * 2) / 2 * degree);
  }
  return with(s);
}

enum Kind { constant, falling, zeros, low_zeros, one_missing, newtonian, bingham, thickening, at_lowest_index, watery, only_last_rises, two_valleys, garbage, kinds };
constexpr const char* names[] = {"constant", "falling", "zeros", "low zeros", "one missing", "Newtonian", "Bingham", "thickening", "at lowest index", "watery", "only the last rises", "two valleys", "garbage"};

// The verdicts that fit a kind; of garbage any may.
constexpr std::string_view expected[] = {"flat", "flat", "flat", "fitted yield_stress_at_bound", "fitted yield_stress_at_bound flow_index_at_bound", "fitted yield_stress_at_bound",
                                         "fitted", "flow_index_at_bound", "flow_index_at_bound", "", "flow_index_at_bound", "", ""};

In degenerate(Kind kind, Random& random) {
  const double level = random.uniform(1, 40);
  std::vector<double> s(6, level);
  const auto fill = [&](auto stress) {
    for (std::size_t i = 0; i < 6; ++i) s[i] = stress(rates[i], i);
  };
  switch (kind) {
    case constant: break;
    case falling: fill([&](double, std::size_t i) { return level + static_cast<double>(i); }); break;
    case zeros: fill([](double, std::size_t) { return 0.0; }); break;
    case low_zeros: fill([&](double rate, std::size_t i) { return i > 3 ? 0.0 : level * rate / 1000; }); break;
    case one_missing: {
      In in = realistic(random);
      in.shear_stress[random.below(6)] = nan;
      return in;
    }
    case newtonian: fill([&](double rate, std::size_t) { return level * 1e-3 * rate; }); break;
    case bingham: fill([&](double rate, std::size_t) { return 5 + level * 1e-3 * rate; }); break;
    case thickening: fill([&](double rate, std::size_t) { return level * std::pow(rate / 1000, 1.5); }); break;
    case at_lowest_index: fill([&](double rate, std::size_t) { return 20 + std::log(rate) + 0 * level; }); break;
    case watery: fill([&](double rate, std::size_t) { return std::round(1e-3 * rate * random.uniform(0.8, 1.2) / degree) * degree; }); break;
    case only_last_rises: s[0] = 2 * level; break;
    case two_valleys:
      do fill([&](double, std::size_t) { return random.uniform(0, 60); });
      while (DenseScan(with(s), Weighting::equal).valleys() < 2);
      break;
    case garbage: fill([&](double, std::size_t) { return random.uniform(0, 60); }); break;
    case kinds: break;
  }
  return with(s);
}

// What a record's sum of squares has too much, as a share of all there is, and how far its index is off.
struct Off {
  double excess, index;
};

Off against_scan(const In& in, Weighting weighting) {
  const DenseScan scan(in, weighting);
  const Curve best = scan.best();
  const auto r = YieldPowerLawFit::evaluate(in, weighting);
  EXPECT_GE(r.yield_stress, in.lowest_yield_stress);
  EXPECT_LE(r.yield_stress, in.highest_yield_stress);
  EXPECT_GE(r.consistency, 0.0);
  EXPECT_GE(r.flow_index, in.lowest_flow_index);
  EXPECT_LE(r.flow_index, in.highest_flow_index);
  const long double total = std::max(scan.total(), 1e-300L);
  return {static_cast<double>((scan.of(scan.counted(r.yield_stress, r.consistency, r.flow_index)) - best.squares) / total),
          static_cast<double>(std::fabs(static_cast<long double>(r.flow_index) - best.index))};
}

TEST(YieldPowerLawFit, FindsTheBestCurveOfRealisticReadings) {
  Random random(6);
  double excess = 0, index = 0;
  const int records = support::repeats(1800);
  for (int i = 0; i < records; ++i) {
    const Weighting weighting = i % 3 == 2 ? Weighting::relative : Weighting::equal;
    const In in = realistic(random);
    const Off off = against_scan(in, weighting);
    ASSERT_LE(off.excess, 1e-12) << i;
    ASSERT_LE(off.index, 1e-8) << i;
    excess = std::max(excess, off.excess), index = std::max(index, off.index);
  }
  std::printf("%d realistic records: excess sum of squares at most %.1e of the total, index within %.1e\n", records, excess, index);
}

std::string_view status(const In& in) {
  const auto r = yield_power_law_fit(in);
  return YieldPowerLawFit::verdicts[static_cast<std::size_t>(YieldPowerLawFit::judge(in, r))].name;
}

TEST(YieldPowerLawFit, FindsTheBestCurveOfKindsThatBreakFits) {
  Random random(7);
  const int records = support::repeats(200) / kinds + 1;
  for (int kind = 0; kind < kinds; ++kind) {
    double excess = 0;
    std::map<std::string_view, int> met;
    for (int i = 0; i < records; ++i) {
      const In in = degenerate(static_cast<Kind>(kind), random);
      const Off off = against_scan(in, i % 2 == 0 ? Weighting::equal : Weighting::relative);
      ASSERT_LE(off.excess, kind == garbage ? 1e-3 : 1e-12) << names[kind] << " " << i;
      excess = std::max(excess, off.excess);
      ++met[status(in)];
    }
    std::printf("%-20s %6d records: excess sum of squares at most %.1e of the total;", names[kind], records, excess);
    for (const auto& [name, times] : met) {
      std::printf(" %s %d", std::string(name).c_str(), times);
      EXPECT_TRUE(expected[kind].empty() || expected[kind].find(name) != std::string_view::npos) << names[kind] << ": " << name;
    }
    std::printf("\n");
  }
}

}  // namespace
