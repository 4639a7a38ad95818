// The library from many threads at once, from its very first use on (CTest runs each test in its own process).
#include <gtest/gtest.h>

#include <latch>
#include <thread>

#include "batch_support.hpp"
#include "lutum/lutum.hpp"
#include "lutum/report/worked_solution.hpp"

namespace {

constexpr std::size_t threads = 8;

// What one thread gets from everything the library offers, as text and bits.
std::string use_everything() {
  std::string all;
  const auto set = lutum::detect_instruction_set();
  all += lutum::name_of(set);
  for (const lutum::Entry& e : lutum::catalogue()) {
    const auto s = support::example(e);
    for (double x : support::value(e, s)) all += lutum::format_number(x, 17) + " ";
    for (double x : support::gradient(e, s)) all += lutum::format_number(x, 17) + " ";
    lutum::Trace trace;
    e.trace(s.inputs.data(), s.length, 0, trace);
    all += lutum::report::WorkedSolution(trace, lutum::field_units, lutum::report::Format::text).str();
    support::Random random(61);
    support::Batch batch(e, 33, e.table ? 3 : e.longest, support::Layout::columns, lutum::field_units, random);
    batch.run(e.batch(set).value);
    all += batch.difference();
    all += lutum::find_calculation(e.sheet->id)->sheet->title;
  }
  all += lutum::find_unit("ppg")->symbol;
  return all;
}

TEST(Threads, FirstUseOfTheCatalogueFromEightAtOnce) {
  std::latch start(threads);
  std::array<std::string, threads> seen;
  std::array<const lutum::Entry*, threads> entries{};
  std::vector<std::thread> running;
  for (std::size_t t = 0; t < threads; ++t)
    running.emplace_back([&, t] {
      start.arrive_and_wait();
      entries[t] = lutum::catalogue().data();
      seen[t] = use_everything();
    });
  for (auto& thread : running) thread.join();
  for (std::size_t t = 0; t < threads; ++t) {
    EXPECT_EQ(entries[t], entries[0]);
    EXPECT_EQ(seen[t], seen[0]);
  }
  EXPECT_EQ(seen[0], use_everything());
  EXPECT_GT(seen[0].size(), 1000u);
}

}  // namespace
