#include <Eigen/Core>
// clang-format off
#include COMPONENT_HEADERS
// clang-format on
#include "check.hpp"

int main() {
  const Eigen::Vector2d volumes(5e-6, 1e-6);
  return bentonite_equivalent_is_right() && volumes.sum() > 0.0 ? 0 : 1;
}
