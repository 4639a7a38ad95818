// The library from many threads at once, from its very first use on (CTest runs each test in its own process).
#include <gtest/gtest.h>

#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
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

// True when every thread, let go at the same moment, sees the same.
template <class Use>
bool all_see_the_same(const Use& use) {
  std::atomic<std::size_t> ready = 0;
  std::array<decltype(use()), threads> seen{};
  std::vector<std::thread> running;
  for (std::size_t t = 0; t < threads; ++t)
    running.emplace_back([&, t] {
      ++ready;
      while (ready < threads) std::this_thread::yield();  // a thread that slept would come too late
      seen[t] = use();
    });
  for (auto& thread : running) thread.join();
  return std::all_of(seen.begin(), seen.end(), [&](const auto& x) { return x == seen[0]; });
}

// A first use can be had once in a process, so each round has its own. The parent has not touched the catalogue when
// CTest runs this test alone.
TEST(Threads, FirstUseOfTheCatalogueFromEightAtOnce) {
  for (int round = 0; round < 200; ++round) {
    const pid_t child = fork();
    if (child == 0) _exit(all_see_the_same([] { return std::pair(lutum::catalogue().data(), lutum::catalogue().size()); }) ? 0 : 1);
    ASSERT_GT(child, 0);
    int status = 0;
    ASSERT_EQ(waitpid(child, &status, 0), child);
    ASSERT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0) << "round " << round;
  }
}

TEST(Threads, UseEverythingFromEightAtOnce) {
  EXPECT_TRUE(all_see_the_same(use_everything));
  EXPECT_GT(use_everything().size(), 1000u);
}

}  // namespace
