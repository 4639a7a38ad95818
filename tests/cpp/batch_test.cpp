// The batch kernels of every instruction set that this processor offers: the bits of the scalar calculation for every
// length, layout and unit set.
#include <gtest/gtest.h>

#include <cfenv>

#include "batch_support.hpp"
#include "lutum/lutum.hpp"

namespace {

using lutum::Entry;
using lutum::InstructionSet;
using support::Batch;
using support::Layout;
using support::nan;
using support::Random;
using support::same_bits;

struct Case {
  std::string id;
  InstructionSet set;
};

std::vector<Case> cases(const std::vector<std::string>& ids) {
  std::vector<Case> all;
  for (const std::string& id : ids)
    for (auto set : {InstructionSet::baseline, InstructionSet::v3, InstructionSet::v4}) {
      try {
        lutum::instruction_set_named(lutum::name_of(set));
      } catch (const std::invalid_argument&) {
        continue;  // not offered here
      }
      all.push_back({id, set});
    }
  return all;
}
std::string name_of_test(const testing::TestParamInfo<Case>& info) {
  std::string set(lutum::name_of(info.param.set));
  std::replace(set.begin(), set.end(), '-', '_');
  return support::test_name(info.param.id).append("_").append(set);
}

void PrintTo(const Case& c, std::ostream* out) { *out << c.id << " on " << lutum::name_of(c.set); }

class BatchValue : public testing::TestWithParam<Case> {
 protected:
  const Entry& e = support::row(GetParam().id);
  const lutum::Kernels& kernels = e.batch(GetParam().set);

  // Where columns lie has nothing to do with an option's choice: every layout with the first one, a few with the others.
  bool is_slow() const { return support::sanitized && e.searches; }
  bool every_layout() const { return e.choice == 0 && !is_slow(); }

  std::vector<std::size_t> lengths() const {
    if (e.table) return {1, 3, 5};
    return e.longest == 0 ? std::vector<std::size_t>{0} : std::vector<std::size_t>{1, 6, e.longest};
  }
};
class BatchGradient : public BatchValue {};

INSTANTIATE_TEST_SUITE_P(Catalogue, BatchValue, testing::ValuesIn(cases(support::all_ids())), name_of_test);
INSTANTIATE_TEST_SUITE_P(Catalogue, BatchGradient, testing::ValuesIn(cases(support::ids_but_tables())), name_of_test);

TEST_P(BatchValue, HasTheBitsOfTheScalarForEveryLengthLayoutAndUnit) {
  Random random(51);
  for (Layout layout : {Layout::columns, Layout::rows, Layout::gaps, Layout::reversed, Layout::broadcast, Layout::mixed})
    for (const auto* units : {&lutum::si_units, &lutum::field_units})
      for (std::size_t length : lengths())
        for (std::size_t records = 0; records <= 33; records += every_layout() ? 1 : 11) {
          Batch batch(e, records, length, layout, *units, random);
          batch.run(kernels.value);
          ASSERT_EQ(batch.difference(), "") << "layout " << static_cast<int>(layout) << ", lists of " << length << (units == &lutum::si_units ? ", SI" : ", field");
        }
}

TEST_P(BatchValue, HasTheBitsOfTheScalarAcrossItsBlocks) {
  Random random(55);
  for (Layout layout : {Layout::gaps, Layout::broadcast, Layout::mixed})
    for (const auto* units : {&lutum::si_units, &lutum::field_units})
      for (std::size_t records : {256u, 257u, 523u}) {
        if ((!every_layout() && records != 257u) || (is_slow() && units == &lutum::si_units)) continue;
        Batch batch(e, records, lengths().front(), layout, *units, random);
        batch.run(kernels.value);
        ASSERT_EQ(batch.difference(), "") << "layout " << static_cast<int>(layout) << (units == &lutum::si_units ? ", SI" : ", field");
      }
}

TEST_P(BatchValue, MayBeWrittenOverItsInputs) {
  Random random(52);
  for (const auto* units : {&lutum::si_units, &lutum::field_units})
    for (Layout layout : {Layout::columns, Layout::rows, Layout::gaps})
      for (std::size_t shift : {0u, 1u, 2u})
        for (std::size_t records : {1u, 7u, 8u, 16u, 33u, 300u}) {
          if ((!every_layout() && records != 33u) || (is_slow() && units == &lutum::si_units)) continue;
          Batch batch(e, records, lengths().back(), layout, *units, random);
          batch.write_in_place(shift);
          batch.run(kernels.value);
          ASSERT_EQ(batch.difference(), "") << "shift " << shift << ", layout " << static_cast<int>(layout);
        }
}

TEST_P(BatchValue, LeavesNoFloatingPointFlags) {
  Random random(53);
  std::feclearexcept(FE_ALL_EXCEPT);
  Batch batch(e, 33, lengths().back(), Layout::columns, lutum::field_units, random);
  batch.run(kernels.value);
  EXPECT_EQ(std::fetestexcept(FE_INVALID | FE_DIVBYZERO | FE_OVERFLOW | FE_UNDERFLOW), 0);
}

// The sign of zero is a bit too: it must not depend on the place in the batch or on the layout.
TEST_P(BatchValue, TreatsNegativeZeroTheSameInEveryPlace) {
  constexpr std::size_t room = 64, records = 19;
  const auto sample = support::example(e);
  const auto slots = support::input_slots(e, sample.length);
  for (const auto* units : {&lutum::si_units, &lutum::field_units, &lutum::metric_units})
    for (std::size_t zero = 0; zero < e.inputs.size(); ++zero) {
      if (!e.inputs[zero].limits.contain((*units)[e.inputs[zero].quantity].shift())) continue;
      std::vector<double> in(room * e.inputs.size()), out(room * e.results.size());
      support::State alone = sample;
      for (std::size_t s = 0; s < slots.size(); ++s) {
        const auto& unit = (*units)[slots[s].variable->quantity];
        const double x = slots[s].place == zero ? -0.0 : unit.from_si(sample.inputs[s]);
        if (slots[s].element == 0) std::fill_n(in.begin() + static_cast<std::ptrdiff_t>(slots[s].place * room), room, x);
        alone.inputs[s] = slots[s].element > 0 ? support::nan : unit.to_si(x);
      }
      const auto scalar = support::value(e, alone);
      const auto result_slots = support::result_slots(e, alone.length);
      for (std::ptrdiff_t step : {1, 2}) {
        std::vector<lutum::InColumn> ins;
        std::vector<lutum::OutColumn> outs;
        for (std::size_t v = 0; v < e.inputs.size(); ++v) {
          const auto& unit = (*units)[e.inputs[v].quantity];
          ins.push_back({reinterpret_cast<const char*>(&in[v * room]), step * 8, 8, unit.scale(), unit.shift()});
        }
        for (std::size_t r = 0; r < e.results.size(); ++r) {
          const auto& unit = (*units)[e.results[r].quantity];
          outs.push_back({reinterpret_cast<char*>(&out[r * room]), step * 8, 8, unit.scale(), unit.shift()});
        }
        kernels.value(ins.data(), outs.data(), records, 1, e.choice);
        for (std::size_t r = 0; r < result_slots.size(); ++r) {
          if (result_slots[r].element > 0) continue;
          const double want = (*units)[result_slots[r].variable->quantity].from_si(scalar[r]);
          for (std::size_t i = 0; i < records; ++i) {
            const double x = out[result_slots[r].place * room + i * static_cast<std::size_t>(step)];
            // A batch of lists of one knows no reading at 600 or 300 r/min.
            ASSERT_TRUE(same_bits(x, want) || (e.longest > 0 && (x != x || want != want)))
                << e.inputs[zero].name << " = -0: " << label(result_slots[r]) << " of record " << i << " is " << x << ", alone " << want;
          }
        }
      }
    }
}

TEST_P(BatchValue, AnInputOutsideItsLimitsIsMissing) {
  const auto s = support::example(e);
  const auto places = support::input_slots(e, s.length);
  const auto jacobian = support::gradient(e, s);
  const std::size_t length = e.table ? s.length : e.longest;
  std::vector<double> out(support::result_slots(e, length).size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (places[i].variable->gaps) continue;  // left out like a missing one
    const lutum::Limits& limits = places[i].variable->limits;
    for (double x : {std::nextafter(limits.lowest, -support::inf), std::nextafter(limits.highest, support::inf), -support::inf, support::inf}) {
      if (limits.contain(x)) continue;
      auto wrong = s;
      wrong.inputs[i] = x;
      std::vector<lutum::InColumn> ins;
      std::vector<lutum::OutColumn> outs;
      std::size_t at = 0;
      for (const auto& v : e.inputs) {
        ins.push_back({reinterpret_cast<const char*>(&wrong.inputs[at]), 8, 8, 1.0, 0.0});
        at += support::elements(e, v, s.length);
      }
      at = 0;
      for (const auto& v : e.results) {
        outs.push_back({reinterpret_cast<char*>(&out[at]), 8, 8, 1.0, 0.0});
        at += support::elements(e, v, s.length);
      }
      kernels.value(ins.data(), outs.data(), 1, length, e.choice);
      for (std::size_t r = 0; r < out.size(); ++r)
        EXPECT_TRUE(std::isnan(out[r]) || jacobian[r * places.size() + i] == 0.0) << label(places[i]) << " = " << x << " gives " << out[r];
    }
  }
}

TEST_P(BatchGradient, EqualsTheScalarGradient) {
  Random random(54);
  for (const auto* units : {&lutum::si_units, &lutum::field_units})
    for (std::size_t length : lengths())
      for (std::size_t records : {0u, 1u, 7u, 8u, 9u, 33u}) {
        Batch states(e, records, length, Layout::rows, *units, random);
        const auto inputs = support::input_slots(e, length), results = support::result_slots(e, length);
        std::vector<std::vector<double>> in, out;
        std::vector<lutum::InColumn> ins;
        std::vector<lutum::OutColumn> outs;
        for (std::size_t v = 0, slot = 0; v < e.inputs.size(); slot += static_cast<std::size_t>(e.inputs[v].length), ++v) {
          const auto& unit = (*units)[e.inputs[v].quantity];
          const std::size_t n = lutum::is_list(e.inputs[v]) ? length : 1;
          auto& column = in.emplace_back();
          for (std::size_t i = 0; i < records; ++i)
            for (std::size_t k = 0; k < n; ++k) column.push_back(unit.from_si(states.read(i).inputs[slot + k]));
          column.push_back(0.0);
          ins.push_back({reinterpret_cast<const char*>(column.data()), static_cast<std::ptrdiff_t>(8 * n), 8, unit.scale(), unit.shift()});
        }
        for (const auto& v : e.results) {
          const auto& unit = (*units)[v.quantity];
          const std::size_t n = lutum::is_list(v) ? length : 1;
          auto& column = out.emplace_back(records * n + 1);
          outs.push_back({reinterpret_cast<char*>(column.data()), static_cast<std::ptrdiff_t>(8 * n), 8, unit.scale(), unit.shift()});
        }
        for (std::size_t k = 0; k < e.result_slots * e.input_slots; ++k) {
          auto& column = out.emplace_back(records + 1);
          outs.push_back({reinterpret_cast<char*>(column.data()), 8, 8, 1.0, 0.0});
        }
        kernels.gradient(ins.data(), outs.data(), records, length, e.choice);
        for (std::size_t i = 0; i < records; ++i) {
          auto seen = states.read(i);  // once more through the unit, as the kernel read it
          for (std::size_t s = 0; s < inputs.size(); ++s) {
            const auto& unit = (*units)[inputs[s].variable->quantity];
            seen.inputs[s] = unit.scale() != 1.0 || unit.shift() != 0.0 ? unit.from_si(seen.inputs[s]) * unit.scale() + unit.shift() : seen.inputs[s];
            seen.inputs[s] = support::within(seen.inputs[s], inputs[s].variable->limits);
          }
          const auto jacobian = support::gradient(e, seen), values = support::value(e, seen);
          for (std::size_t r = 0; r < results.size(); ++r) {
            const auto& unit = (*units)[results[r].variable->quantity];
            if (results[r].element < (lutum::is_list(*results[r].variable) ? length : 1)) {
              const std::size_t n = lutum::is_list(*results[r].variable) ? length : 1;
              const double want = unit.scale() != 1.0 || unit.shift() != 0.0 ? (values[r] - unit.shift()) / unit.scale() : values[r];
              ASSERT_TRUE(same_bits(out[results[r].place][i * n + results[r].element], want)) << label(results[r]);
            }
            for (std::size_t s = 0; s < inputs.size(); ++s) {
              const double ratio = (*units)[inputs[s].variable->quantity].scale() / unit.scale();
              const double want = jacobian[r * inputs.size() + s] * ratio, got = out[e.results.size() + r * inputs.size() + s][i];
              ASSERT_TRUE(same_bits(got, want)) << label(results[r]) << " by " << label(inputs[s]) << ": " << got << ", scalar " << want;
            }
          }
        }
      }
}

// The column interface as a C++ program uses it, without the catalogue: the same bits for every width that fits here.
TEST(BatchTemplate, GivesTheBitsOfTheCalculation) {
  const std::vector<double> dye{4e-6, 5e-6, nan, 8e-6, 2e-3}, sample(5, 2e-6), strength(5, 10.0);
  std::vector<double> capacity(5), equivalent(5);
  const auto in = [](const std::vector<double>& v) { return lutum::InColumn{reinterpret_cast<const char*>(v.data()), 8, 8, 1.0, 0.0}; };
  const auto out = [](std::vector<double>& v) { return lutum::OutColumn{reinterpret_cast<char*>(v.data()), 8, 8, 1.0, 0.0}; };
  const lutum::InColumn ins[] = {in(dye), in(sample), in(strength)};
  const lutum::OutColumn outs[] = {out(capacity), out(equivalent)};
  lutum::batch<lutum::clay::MethyleneBlue>(ins, outs, 5, 0);
  for (std::size_t i : {0u, 1u, 3u}) EXPECT_EQ(capacity[i], lutum::clay::methylene_blue({.dye_volume = dye[i], .sample_volume = 2e-6}).capacity);
  EXPECT_TRUE(std::isnan(capacity[2]) && std::isnan(equivalent[2]));
  EXPECT_TRUE(std::isnan(capacity[4])) << "2 L of dye is outside the limit";
}

// A column may say what stands where it is missing; a number outside its limits is still missing.
TEST(BatchTemplate, TakesTheOtherNumberWhereOneIsMissing) {
  const std::vector<double> dye(19, 5.0), sample(19, 2.0);
  std::vector<double> strength(19, 10.0), capacity(19), equivalent(19), wanted(19);
  strength[3] = strength[18] = nan;
  strength[4] = -1.0;
  const auto run = [&](double otherwise, std::vector<double>& to) {
    const auto in = [&](const std::vector<double>& v, double scale, double missing) {
      return lutum::InColumn{reinterpret_cast<const char*>(v.data()), 8, 8, scale, 0.0, missing};
    };
    const auto out = [](std::vector<double>& v) { return lutum::OutColumn{reinterpret_cast<char*>(v.data()), 8, 8, 1.0, 0.0}; };
    const lutum::InColumn ins[] = {in(dye, 1e-6, nan), in(sample, 1e-6, nan), in(strength, 1.0, otherwise)};
    const lutum::OutColumn outs[] = {out(to), out(equivalent)};
    lutum::batch<lutum::clay::MethyleneBlue>(ins, outs, 19, 0);
  };
  run(20.0, capacity);
  strength[3] = strength[18] = 20.0;
  run(nan, wanted);
  for (std::size_t i = 0; i < 19; ++i) EXPECT_TRUE(same_bits(capacity[i], wanted[i]) || i == 4) << i;
  EXPECT_TRUE(std::isnan(capacity[4]) && !std::isnan(capacity[3]) && !std::isnan(capacity[18]));
}

}  // namespace
