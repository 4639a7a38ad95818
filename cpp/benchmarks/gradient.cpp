// What the exact gradient of eight inputs costs beside the plain value, in one process, interleaved.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <random>
#include <vector>

#include "lutum/lutum.hpp"

namespace {

using Retort = lutum::solids::WaterBaseRetort;

template <class F>
double seconds(F&& run) {
  const auto start = std::chrono::steady_clock::now();
  run();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

double median(std::vector<double> x) {
  std::nth_element(x.begin(), x.begin() + static_cast<std::ptrdiff_t>(x.size() / 2), x.end());
  return x[x.size() / 2];
}

}  // namespace

int main() {
  std::mt19937_64 random(1);
  const auto between = [&](double low, double high) { return std::uniform_real_distribution<>(low, high)(random); };
  std::vector<Retort::Input<double>> records(2000);
  for (auto& r : records)
    r = {.mud_density = between(1100, 1900), .water_fraction = between(0.5, 0.8), .oil_fraction = between(0, 0.1), .chloride = between(0, 150),
         .oil_density = between(820, 860), .low_gravity_density = between(2550, 2650), .high_gravity_density = between(4100, 4250),
         .temperature = between(288, 298)};
  std::vector<Retort::Result<double>> values(records.size());
  std::vector<decltype(lutum::solids::water_base_retort.gradient(records[0]))> gradients(records.size());
  std::vector<double> plain, exact, ratio;
  for (int round = 0; round < 41; ++round) {
    const double a = seconds([&] { for (std::size_t i = 0; i < records.size(); ++i) values[i] = lutum::solids::water_base_retort(records[i]); });
    const double b = seconds([&] { for (std::size_t i = 0; i < records.size(); ++i) gradients[i] = lutum::solids::water_base_retort.gradient(records[i]); });
    plain.push_back(a), exact.push_back(b), ratio.push_back(b / a);
  }
  const double per_record = 1e9 / static_cast<double>(records.size());
  std::printf("retort, plain value:                   %7.1f ns a record\n", median(plain) * per_record);
  std::printf("retort, 9 results x 8 derivatives:     %7.1f ns a record, %.1f times the value\n", median(exact) * per_record, median(ratio));
  return values[0].brine_density > 0.0 && gradients[0][0][0] == gradients[0][0][0] ? 0 : 1;
}
