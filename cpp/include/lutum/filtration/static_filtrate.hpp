// Static filtration: the straight line of filtrate volume against the square root of time, and what is reported from it.
#pragma once

#include "lutum/filtration/press.hpp"

namespace lutum::inline LUTUM_ISA_TAG::filtration {

struct StaticFiltrate : Calculation<StaticFiltrate> {
  static constexpr std::size_t most_readings = 12;
  template <class T>
  using List = std::array<T, most_readings>;

  template <class T>
  struct Input {
    List<T> time = filled<T, most_readings>(not_a_number);
    List<T> filtrate_volume = filled<T, most_readings>(not_a_number);
    T area_factor = T(1.0);
  };

  template <class T>
  struct Result {
    T spurt;
    T coefficient;
    T filtrate_7_5_min;
    T filtrate_30_min;
    T relative_filtrate;
    List<T> residual;
  };

  static constexpr std::array inputs{
      Variable{.name = "time", .symbol = "t_{#}", .quantity = Quantity::bench_time,
               .meaning = "times at which the filtrate was read, in any order; a place without time and volume is no reading",
               .limits = {1.0, 864000.0}, .validated = {30.0, 14400.0}, .length = most_readings},
      Variable{.name = "filtrate_volume", .symbol = "V_{#}", .quantity = Quantity::bench_volume,
               .meaning = "filtrate collected up to each time, as read", .limits = {0.0, 1e-3}, .validated = {0.0, 200e-6}, .length = most_readings},
      Variable{.name = "area_factor", .symbol = "a", .quantity = Quantity::number, .meaning = area_factor_meaning,
               .limits = {0.1, 100.0}, .validated = {1.0, 2.03}},
  };

  static constexpr std::array results{
      Variable{.name = "spurt", .symbol = "V_{sp}", .quantity = Quantity::bench_volume,
               .meaning = "spurt: the line at time zero, for the standard area, signed"},
      Variable{.name = "coefficient", .symbol = "C", .quantity = Quantity::bench_volume,
               .meaning = "filtration coefficient: filtrate for each square root of a minute, for the standard area"},
      Variable{.name = "filtrate_7_5_min", .symbol = "V_{7.5}", .quantity = Quantity::bench_volume,
               .meaning = "filtrate at 7.5 min by the line, for the standard area"},
      Variable{.name = "filtrate_30_min", .symbol = "V_{30}", .quantity = Quantity::bench_volume,
               .meaning = "filtrate at 30 min by the line, for the standard area"},
      Variable{.name = "relative_filtrate", .symbol = "V_{rel}", .quantity = Quantity::bench_volume,
               .meaning = "relative filtrate: twice what comes from 7.5 to 30 min; by the line the same as the 30 min filtrate less the spurt"},
      Variable{.name = "residual", .symbol = "e_{#}", .quantity = Quantity::bench_volume,
               .meaning = "volume read less volume by the line, of the press as it is (no area factor)", .length = most_readings},
  };

  static constexpr Sheet sheet{
      .id = "filtration.static_filtrate",
      .title = "Static filtrate, spurt and 30 min volume",
      .answers = "What spurt and what 30 min filtrate do the readings of a filter press give, and do they follow the square root of time?",
      .equations = "V(t) = V_sp + C sqrt(t/1 min), by least squares for more than two readings; reported for the standard area = a V; "
                   "relative filtrate = 2 (V_30 - V_7.5)",
      .source = "Static law: Darcy flow through a cake that grows with the filtrate (derived); with a spurt it is common practice, no source. "
                "Doubling for half the area: API RP 13B-1 convention (from memory). Relative filtrate 2 (V_30 - V_7.5): seen in an open oilfield "
                "glossary.",
      .assumptions = "Constant pressure and temperature, incompressible cake, spurt over before the first reading. Residuals of two readings are "
                     "nothing but rounding: two readings fit any line.",
      .cautions = "Press and cartridge stay under pressure after the test, and a cold press is not a vented one: shut off, bleed, then open. Never "
                  "nitrous oxide as pressure gas: it can explode with organic matter. Follow local rules and the laboratory's own procedure.",
  };

  // A volume is read to 0.1 mL (from memory): twice that is beyond reading error.
  static constexpr double beyond_reading_error = 0.2e-6;

  static constexpr std::array verdicts{
      Verdict{"consistent", "the readings follow the square root of time"},
      Verdict{"negative_spurt", "the line meets time zero below nothing: slow start of the clock, liquid held up in the drain tube, a leak, or "
                                "readings too close together; the value is reported as it is", Severity::caution},
      Verdict{"leak_suspected", "the filtrate runs ahead of the square root of time by more than 0.2 mL: a leak past the gasket, a torn paper or a "
                                "cracked cake", Severity::caution},
      Verdict{"slowing", "the filtrate falls behind the square root of time by more than 0.2 mL: the spurt lasted into the readings, or the cake "
                         "tightens", Severity::caution},
      Verdict{"falling_volume", "a later reading is less than an earlier one: a slip in a reading or its time", Severity::caution},
      Verdict{"unpaired", "a time has no volume, or a volume no time: give both or leave both out", Severity::caution},
      Verdict{"too_few_readings", "fewer than two readings at different times: no line can be drawn", Severity::impossible},
      Verdict{"missing", "the area factor is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(in.area_factor == in.area_factor)) return 7;
    bool falling = false;
    std::size_t first = 0, last = 0, read = 0;
    for (std::size_t i = 0; i < most_readings; ++i) {
      const bool timed = in.time[i] == in.time[i], measured = in.filtrate_volume[i] == in.filtrate_volume[i];
      if (timed != measured) return 5;
      if (!timed) continue;
      if (read++ == 0) first = last = i;
      if (in.time[i] < in.time[first]) first = i;
      if (in.time[i] > in.time[last]) last = i;
      for (std::size_t j = 0; j < most_readings; ++j) falling = falling || (in.time[j] > in.time[i] && in.filtrate_volume[j] < in.filtrate_volume[i]);
    }
    if (!(r.coefficient == r.coefficient)) return 6;
    if (falling) return 4;
    // Readings below the chord from the first to the last: the rate does not fall as the root of time asks.
    double most = 0.0, least = 0.0;
    const double start = sqrt(in.time[first]), length = sqrt(in.time[last]) - start;
    for (std::size_t i = 0; i < most_readings; ++i) {
      const double along = (sqrt(in.time[i]) - start) / length;
      const double chord = in.filtrate_volume[first] + along * (in.filtrate_volume[last] - in.filtrate_volume[first]);
      if (in.filtrate_volume[i] - chord > most) most = in.filtrate_volume[i] - chord;
      if (in.filtrate_volume[i] - chord < least) least = in.filtrate_volume[i] - chord;
    }
    if (-least > beyond_reading_error && -least > most) return 2;
    if (most > beyond_reading_error) return 3;
    return r.spurt < 0.0 ? 1 : 0;
  }

  static constexpr Input<double> example() {
    Input<double> in;
    const std::array<double, 4> minutes{1.0, 7.5, 15.0, 30.0};
    const std::array<double, 4> volumes{3.2, 6.9, 9.3, 12.7};
    for (std::size_t i = 0; i < minutes.size(); ++i) {
      in.time[i] = minutes[i] * 60.0;
      in.filtrate_volume[i] = volumes[i] * 1e-6;
    }
    return in;
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    constexpr std::array<std::string_view, most_readings> roots{"x_{1}", "x_{2}", "x_{3}", "x_{4}", "x_{5}", "x_{6}",
                                                                "x_{7}", "x_{8}", "x_{9}", "x_{10}", "x_{11}", "x_{12}"};
    List<T> x = filled<T, most_readings>(not_a_number);
    T readings(0.0), halves(0.0), sum_x(0.0), sum_v(0.0);
    for (std::size_t i = 0; i < most_readings; ++i) {
      const T& t = in.time[i];
      const T& v = in.filtrate_volume[i];
      const auto read = (t == t) & (v == v), lost = (t == t) | (v == v);
      if (!any(lost)) continue;  // nobody reads this place: most have two
      x[i] = step({roots[i], Quantity::number, "square root of the time in minutes"}, sqrt(t / constant<T>(one_minute)));
      halves = select(lost & !read, T(1.0), halves);
      sum_x = select(read, i == 0 ? x[i] : sum_x + x[i], sum_x);
      sum_v = select(read, i == 0 ? v : sum_v + v, sum_v);
      readings = select(read, readings + T(1.0), readings);
    }
    const T mean_x = step({"x_{mean}", Quantity::number, "mean of the square roots of time"}, sum_x / readings);
    const T mean_v = step({"V_{mean}", Quantity::bench_volume, "mean of the volumes"}, sum_v / readings);
    T sum_xx(0.0), sum_xv(0.0);
    for (std::size_t i = 0; i < most_readings; ++i) {
      const T& v = in.filtrate_volume[i];
      const auto read = (x[i] == x[i]) & (v == v);
      if (!any(read)) continue;
      const T away = x[i] - mean_x;
      sum_xx = select(read, i == 0 ? square(away) : sum_xx + square(away), sum_xx);
      sum_xv = select(read, i == 0 ? away * (v - mean_v) : sum_xv + away * (v - mean_v), sum_xv);
    }
    const T spread = step({"S_{xx}", Quantity::number, "spread of the roots of time about their mean"}, sum_xx);
    const T together = step({"S_{xV}", Quantity::bench_volume, "sum of products: root of time less its mean, times volume less its mean"}, sum_xv);
    // A reading that lacks its time or its volume, or times that do not differ, leave no line.
    const auto paired = halves == T(0.0), apart = spread > T(1e-12);
    const T slope = step({"b", Quantity::bench_volume, "slope of the line through the readings"}, only_if(paired & apart, together / spread));
    const T at_zero = step({"V_{0}", Quantity::bench_volume, "line through the readings at time zero"}, mean_v - slope * mean_x);
    Result<T> r;
    r.spurt = in.area_factor * at_zero;
    r.coefficient = in.area_factor * slope;
    r.filtrate_7_5_min = r.spurt + r.coefficient * constant<T>(root_of_7_5);
    r.filtrate_30_min = r.spurt + r.coefficient * constant<T>(root_of_30);
    r.relative_filtrate = T(2.0) * (r.filtrate_30_min - r.filtrate_7_5_min);
    for (std::size_t i = 0; i < most_readings; ++i) r.residual[i] = in.filtrate_volume[i] - (at_zero + slope * x[i]);
    return r;
  }
};

inline constexpr StaticFiltrate static_filtrate{};

}  // namespace lutum::inline LUTUM_ISA_TAG::filtration
