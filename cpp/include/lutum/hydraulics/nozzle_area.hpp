// The area of a bit's nozzles from their sizes.
#pragma once

#include "lutum/hydraulics/circuit.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct NozzleArea : Calculation<NozzleArea> {
  static constexpr std::size_t most_sizes = 6;
  template <class T>
  using List = std::array<T, most_sizes>;

  template <class T>
  struct Input {
    List<T> nozzle_diameter = filled<T, most_sizes>(not_a_number);
    List<T> nozzle_count = filled<T, most_sizes>(not_a_number);
    T other_area = T(0.0);
  };

  template <class T>
  struct Result {
    T nozzle_area;
    T equivalent_diameter;
  };

  static constexpr Constant four_over_pi{"4/\\pi", 4.0 / exact::pi, Quantity::number, "four over pi"};

  static constexpr std::array inputs{
      Variable{.name = "nozzle_diameter", .symbol = "d_{#}", .quantity = Quantity::nozzle_diameter,
               .meaning = "sizes of the nozzles, each once", .limits = {0.0, 0.2}, .validated = {0.005, 0.03}, .length = most_sizes,
               .gaps = true},
      Variable{.name = "nozzle_count", .symbol = "n_{#}", .quantity = Quantity::number, .meaning = "how many nozzles of each size are open",
               .limits = {0.0, 100.0}, .validated = {0.0, 12.0}, .length = most_sizes, .gaps = true},
      Variable{.name = "other_area", .symbol = "A_{other}", .quantity = Quantity::area,
               .meaning = "area of other openings under the same pressure, such as a reamer's", .limits = {0.0, 0.1}, .validated = {0.0, 1e-3}},
  };
  static constexpr std::array results{
      Variable{.name = "nozzle_area", .symbol = "A", .quantity = Quantity::area, .meaning = "area of all openings"},
      Variable{.name = "equivalent_diameter", .symbol = "d_{e}", .quantity = Quantity::nozzle_diameter,
               .meaning = "diameter of one nozzle of that area"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.nozzle_area",
      .title = "Area of the nozzles",
      .answers = "What area do the bit's nozzles have together?",
      .equations = "A = (pi/4) sum of n d^2 + A_other; d_e = sqrt(4 A/pi)",
      .source = "Geometry (derived).",
      .assumptions = "Round nozzles of their nominal size; wear is not in it. A place without size and count is no nozzle; a size without its count "
                     "is missing, not zero.",
      .cautions = circuit::cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"open", "at least one nozzle is open"},
      Verdict{"part_of_a_nozzle", "a count is no whole number", Severity::caution},
      Verdict{"no_opening", "no nozzle is open: nothing can pass", Severity::impossible},
      Verdict{"unpaired", "a size has no count, or a count no size: give both or leave both out", Severity::caution},
      Verdict{"missing", "no nozzle is given, or the other area is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    bool any_given = false, whole = true;
    for (std::size_t i = 0; i < most_sizes; ++i) {
      const bool sized = in.nozzle_diameter[i] == in.nozzle_diameter[i], counted = in.nozzle_count[i] == in.nozzle_count[i];
      if (sized != counted) return 3;
      if (!sized) continue;
      any_given = true;
      whole = whole && in.nozzle_count[i] == static_cast<double>(static_cast<long>(in.nozzle_count[i]));
    }
    if (!any_given || !(in.other_area == in.other_area)) return 4;
    if (!(r.nozzle_area > 0.0)) return 2;
    return whole ? 0 : 1;
  }

  static constexpr Input<double> example() {
    Input<double> in{.other_area = 3e-5};
    const std::array<double, 2> sizes{13.0, 12.0}, counts{3.0, 2.0};
    for (std::size_t i = 0; i < sizes.size(); ++i) {
      in.nozzle_diameter[i] = sizes[i] * find_symbol("1/32 in")->scale();
      in.nozzle_count[i] = counts[i];
    }
    return in;
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    T squares(not_a_number), halves(0.0);
    for (std::size_t i = 0; i < most_sizes; ++i) {
      const T &d = in.nozzle_diameter[i], &n = in.nozzle_count[i];
      const auto given = (d == d) & (n == n), told = (d == d) | (n == n);
      if (!any(told)) continue;
      halves = select(told & !given, T(1.0), halves);
      const T these = n * square(d);
      const auto begun = squares == squares;
      const T sum_so_far = any(begun) ? select(begun, squares, these * T(0.0)) + these : these;
      squares = select(given, sum_so_far, squares);
    }
    const auto paired = halves == T(0.0), known = squares == squares;
    const auto all = paired & known;
    const T sum = step({"S", Quantity::area, "sum of the squares of the diameters, each as often as it occurs"}, only_if(all, squares));
    const T area = sum * constant<T>(quarter_pi) + in.other_area;
    Result<T> r;
    r.nozzle_area = only_if(area > T(0.0), area);
    r.equivalent_diameter = sqrt(r.nozzle_area * constant<T>(four_over_pi));
    return r;
  }
};

inline constexpr NozzleArea nozzle_area{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
