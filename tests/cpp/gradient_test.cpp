// Exact gradients of every calculation against central differences, and missing inputs one by one.
#include <gtest/gtest.h>

#include <algorithm>
#include <set>

#include "catalogue_support.hpp"

namespace {

using lutum::Entry;
using support::gradient;
using support::nan;
using support::Random;
using support::same_bits;
using support::State;
using support::value;

class Gradient : public testing::TestWithParam<std::string> {
 protected:
  const Entry& e = support::row(GetParam());
};
class Missing : public Gradient {};
class Verdicts : public Gradient {};

std::string name_of_test(const testing::TestParamInfo<std::string>& info) { return support::test_name(info.param); }

INSTANTIATE_TEST_SUITE_P(Catalogue, Gradient, testing::ValuesIn(support::all_ids()), name_of_test);
INSTANTIATE_TEST_SUITE_P(Catalogue, Missing, testing::ValuesIn(support::all_ids()), name_of_test);
INSTANTIATE_TEST_SUITE_P(Catalogue, Verdicts, testing::ValuesIn(support::judged_ids()), name_of_test);

std::vector<double> moved(const Entry& e, State s, std::size_t slot, double by) {
  s.inputs[slot] += by;
  return value(e, s);
}

// What each result moves when all inputs are rounded, in eps: more than the result itself where the optimum of a fit is flat.
std::vector<double> amplified(const State& s, const std::vector<double>& jacobian) {
  std::vector<double> by_result(jacobian.size() / s.inputs.size());
  for (std::size_t r = 0; r < by_result.size(); ++r)
    for (std::size_t i = 0; i < s.inputs.size(); ++i)
      if (const double part = std::fabs(jacobian[r * s.inputs.size() + i] * s.inputs[i]); std::isfinite(part)) by_result[r] += part;
  return by_result;
}

// The slopes of a moving pipe are integrals of their own, by as many points as the values: beside a pipe so thin the two tell apart.
bool is_thin_moving_pipe(const Entry& e, const State& s) {
  if (e.sheet->id != "hydraulics.moving_pipe") return false;
  const auto slots = support::input_slots(e, s.length);
  const auto of = [&](std::string_view name) {
    const auto at = std::find_if(slots.begin(), slots.end(), [&](const auto& slot) { return slot.variable->name == name; });
    return s.inputs[static_cast<std::size_t>(at - slots.begin())];
  };
  return of("pipe_diameter") < 0.15 * of("hole_diameter");
}

// Returns how many derivatives were compared.
int compare_with_central_differences(const Entry& e, const State& s) {
  const auto here = value(e, s), jacobian = gradient(e, s), rounding = amplified(s, jacobian);
  const auto inputs = support::input_slots(e, s.length), results = support::result_slots(e, s.length);
  int compared = 0;
  for (std::size_t i = 0; i < s.inputs.size(); ++i) {
    const double x = s.inputs[i];
    if (!(x != 0.0 && x == x)) continue;
    // A speed is also a key by which readings are picked: it may move by less than a millionth.
    for (const double relative : {1e-5, 1e-7}) {
      const double h = std::fabs(x) * relative;
      const auto up = moved(e, s, i, h), down = moved(e, s, i, -h), far_up = moved(e, s, i, 2 * h), far_down = moved(e, s, i, -2 * h);
      bool lost = false;
      for (std::size_t r = 0; r < here.size(); ++r) lost = lost || (here[r] == here[r] && far_up[r] - far_down[r] != far_up[r] - far_down[r]);
      if (lost && relative == 1e-5) continue;
      for (std::size_t r = 0; r < here.size(); ++r) {
        if (here[r] != here[r]) continue;
        const double exact = jacobian[r * s.inputs.size() + i], difference = (up[r] - down[r]) / (2 * h);
        const double curvature = std::fabs((far_up[r] - far_down[r]) / (4 * h) - difference);  // three times the error of `difference`
        double size = 1.0;  // results of one kind may be small differences of numbers as large as the others
        for (std::size_t other = 0; other < here.size(); ++other)
          if (results[other].variable->quantity == results[r].variable->quantity && here[other] == here[other]) size = std::fmax(size, std::fabs(here[other]));
        // A search ends at rounding of its own, which a flat optimum amplifies like that of the inputs: measured, 55 times it.
        const double noise = support::eps * std::fmax(50 * size, e.searches ? 100 * rounding[r] : 0.0) / h;
        if (relative == 1e-5 && !support::near(exact, difference, 1e-7, noise + curvature)) {  // a corner between: nearer
          lost = true;
          break;
        }
        EXPECT_TRUE(support::near(exact, difference, 1e-7, noise + curvature))
            << label(results[r]) << " by " << label(inputs[i]) << " at " << x << ": " << exact << " against " << difference << ", noise " << noise;
        ++compared;
      }
      if (lost && relative == 1e-5) continue;
      break;
    }
  }
  return compared;
}

TEST_P(Gradient, AgreesWithCentralDifferencesAtTheExample) { EXPECT_GT(compare_with_central_differences(e, support::example(e)), 0); }

TEST_P(Gradient, AgreesWithCentralDifferencesAtRandomStates) {
  Random random(41);
  int compared = 0;
  const int states = support::sanitized && e.searches ? 20 : support::repeats(200);
  for (int i = 0; i < states && !HasFailure(); ++i) {
    const State s = possible_state(e, random);
    if (is_thin_moving_pipe(e, s))
      ++compared;
    else
      compared += compare_with_central_differences(e, s);
  }
  EXPECT_GE(compared, states) << "not one derivative a state";
}

TEST_P(Gradient, OfSomeSeedsIsPartOfTheWhole) {
  const State s = support::example(e);
  const auto whole = gradient(e, s);
  Random random(42);
  for (std::size_t count : {1u, 3u, 5u}) {
    std::vector<std::size_t> seeds(count);
    for (auto& seed : seeds) seed = random.below(s.inputs.size());
    std::sort(seeds.begin(), seeds.end());
    seeds.erase(std::unique(seeds.begin(), seeds.end()), seeds.end());
    std::vector<double> part(value(e, s).size() * seeds.size());
    e.gradient(s.inputs.data(), s.length, seeds, part.data());
    for (std::size_t r = 0; r < value(e, s).size(); ++r)
      for (std::size_t k = 0; k < seeds.size(); ++k)
        ASSERT_TRUE(same_bits(part[r * seeds.size() + k], whole[r * s.inputs.size() + seeds[k]])) << r << ", " << seeds[k];
  }
}

// Inputs from which the worked solution leads to each result.
std::vector<std::set<std::size_t>> reached(const Entry& e, const State& s) {
  lutum::Trace trace;
  e.trace(s.inputs.data(), s.length, 0, trace);
  std::vector<const lutum::Node*> given;
  for (const lutum::Node& n : trace.nodes())
    if (n.operation == lutum::Operation::given && n.section == 0) given.push_back(&n);
  std::vector<std::set<std::size_t>> by_result;
  for (const lutum::Node* result : trace.sections().front().results) {
    std::set<const lutum::Node*> seen;
    const auto walk = [&](const auto& self, const lutum::Node* n) -> void {
      if (n == nullptr || !seen.insert(n).second) return;
      for (const lutum::Node* child : {n->first, n->second, n->left, n->right, n->unseen}) self(self, child);
      for (const lutum::Node* argument : n->arguments) self(self, argument);
    };
    walk(walk, result);
    auto& slots = by_result.emplace_back();
    for (std::size_t i = 0; i < s.inputs.size(); ++i)
      if (seen.contains(given.at(i))) slots.insert(i);
  }
  return by_result;
}

// A missing input spoils every result that depends on it, and no other.
void expect_missing_to_spread(const Entry& e, const State& s) {
  const auto here = value(e, s), jacobian = gradient(e, s);
  const auto inputs = support::input_slots(e, s.length), results = support::result_slots(e, s.length);
  const auto used = e.table ? std::vector<std::set<std::size_t>>{} : reached(e, s);
  for (std::size_t i = 0; i < s.inputs.size(); ++i) {
    if (s.inputs[i] != s.inputs[i] || inputs[i].variable->gaps) continue;  // a list with gaps goes on without the place
    State missing = s;
    missing.inputs[i] = nan;
    const auto there = value(e, missing);
    for (std::size_t r = 0; r < here.size(); ++r) {
      if (jacobian[r * s.inputs.size() + i] != 0.0) {
        EXPECT_TRUE(std::isnan(there[r])) << label(results[r]) << " stays " << there[r] << " without " << label(inputs[i]);
      }
      const bool is_key = inputs[i].variable->quantity == lutum::Quantity::rotational_speed;  // by which readings are picked
      const bool is_below = e.table && inputs[i].variable->length == lutum::any_length && inputs[i].element > results[r].element;
      if (e.table ? is_below : !e.searches && !is_key && !used[r].contains(i)) {
        EXPECT_TRUE(same_bits(there[r], here[r])) << label(results[r]) << " was spoilt by " << label(inputs[i]);
      }
    }
  }
}

TEST_P(Missing, SpoilsWhatDependsOnItAndNothingElse) {
  expect_missing_to_spread(e, support::example(e));
  Random random(43);
  for (int i = 0; i < 30 && !HasFailure(); ++i) expect_missing_to_spread(e, possible_state(e, random));
}

TEST_P(Missing, EverythingGivesNothing) {
  State s = support::example(e);
  std::fill(s.inputs.begin(), s.inputs.end(), nan);
  for (double x : value(e, s)) EXPECT_TRUE(std::isnan(x));
}

TEST_P(Verdicts, LieInTheirListWhateverTheState) {
  Random random(44);
  const auto verdict = [&](const State& s) {
    const auto results = value(e, s);
    return e.judge(s.inputs.data(), results.data());
  };
  const auto check = [&](const State& s) {
    const int code = verdict(s);
    ASSERT_GE(code, 0);
    ASSERT_LT(code, static_cast<int>(std::max<std::size_t>(e.verdicts.size(), 1)));
  };
  for (int i = 0; i < 500; ++i) {
    State s = random_state(e, random);
    check(s);
    s.inputs[random.below(s.inputs.size())] = random.unit() < 0.5 ? nan : random.uniform(-1e4, 1e4);
    check(s);
  }
}

TEST_P(Verdicts, SayMissingWhenAnyNeededInputIs) {
  const State s = support::example(e);
  EXPECT_EQ(e.verdicts[static_cast<std::size_t>(e.judge(s.inputs.data(), value(e, s).data()))].severity, lutum::Severity::none);
  for (std::size_t i = 0; i < s.inputs.size(); ++i) {
    const lutum::Variable& v = *support::input_slots(e, s.length)[i].variable;
    if (v.optional || lutum::is_list(v)) continue;  // one reading less is still a record
    State missing = s;
    missing.inputs[i] = nan;
    const int code = e.judge(missing.inputs.data(), value(e, missing).data());
    EXPECT_EQ(e.verdicts[static_cast<std::size_t>(code)].name, "missing") << label(support::input_slots(e, 0)[i]);
  }
}

}  // namespace
