// The batch forms of every calculation, in the order of Calculations, for the instruction set this file is compiled for
// (CMake compiles it once each and names the set by LUTUM_ISA_TAG).
#include <span>

#include "lutum/lutum.hpp"

#define LUTUM_JOIN_(a, b) a##b
#define LUTUM_JOIN(a, b) LUTUM_JOIN_(a, b)

namespace lutum {

namespace {

template <class C>
constexpr Kernels make() {
  if constexpr (is_table<C>) {
    return {&batch<C>, nullptr, nullptr, &table_gradient<C>};
  } else {
    return {&batch<C>, &batch_gradient<C>, &batch_tangents<C>, nullptr};
  }
}

template <class... C>
constexpr std::array<Kernels, sizeof...(C)> make_all(std::tuple<C...>*) {
  return {make<C>()...};
}

constexpr auto table = make_all(static_cast<Calculations*>(nullptr));

}  // namespace

std::span<const Kernels> LUTUM_JOIN(kernels_, LUTUM_ISA_TAG)();
std::span<const Kernels> LUTUM_JOIN(kernels_, LUTUM_ISA_TAG)() { return table; }

}  // namespace lutum
