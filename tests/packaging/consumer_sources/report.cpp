#include <fmt/format.h>
// clang-format off
#include COMPONENT_HEADERS
// clang-format on
#include "check.hpp"

int main() {
  const auto result = lutum::clay::methylene_blue({.dye_volume = 5e-6, .sample_volume = 1e-6});
  return bentonite_equivalent_is_right() && fmt::format("{:.1f}", result.bentonite_equivalent) == "71.3" ? 0 : 1;
}
