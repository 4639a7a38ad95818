// The flow curve that practice fits to dial readings: a yield power law by bounded least squares in stress.
#pragma once

#include "lutum/core/usual_constants.hpp"
#include "lutum/rheology/instrument.hpp"
#include "lutum/rheology/projected_index.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

enum class Weighting : std::uint8_t { equal, relative, reading_uncertainty };
inline constexpr std::array weighting_choices{
    Choice{"equal", "every reading alike: the residual counts in stress"},
    Choice{"relative", "the residual counts as a share of the stress, of 0.25 Pa at least"},
    Choice{"reading_uncertainty", "the residual counts in standard uncertainties of its reading"},
};

struct YieldPowerLawFit : Calculation<YieldPowerLawFit> {
  static constexpr std::size_t most_readings = 12;
  template <class T>
  using List = std::array<T, most_readings>;
  using Option = Weighting;
  static constexpr bool searches = true;
  static constexpr OptionInfo option{.name = "weighting", .meaning = "what a residual counts", .choices = weighting_choices};

  // Half a degree of the standard viscometer, spread evenly.
  static constexpr double half_a_degree = 0.5 * standard_instrument::stress_per_degree / 1.7320508075688772;

  template <class T>
  struct Input {
    List<T> shear_rate = filled<T, most_readings>(not_a_number);
    List<T> shear_stress = filled<T, most_readings>(not_a_number);
    T lowest_yield_stress = T(0.0);
    T highest_yield_stress = T(1000.0);
    T lowest_flow_index = T(0.05);
    T highest_flow_index = T(1.2);
    T stress_uncertainty = T(half_a_degree);
    T relative_uncertainty = T(0.01);
  };

  template <class T>
  struct Result {
    T yield_stress;
    T consistency;
    T flow_index;
    T root_mean_square;
    T readings_used;
    List<T> residual;
  };

  static constexpr Constant stress_floor{"\\tau_{f}", 0.25, Quantity::stress, "least stress that a relative residual refers to"};

  static constexpr std::array inputs{
      Variable{.name = "shear_rate", .symbol = "\\dot\\gamma_{#}", .quantity = Quantity::shear_rate,
               .meaning = "shear rate of each reading, in any order; a place without rate or stress is no reading",
               .limits = {1e-6, 1e7}, .validated = {1.0, 1.2e3}, .length = most_readings, .gaps = true},
      Variable{.name = "shear_stress", .symbol = "\\tau_{#}", .quantity = Quantity::stress, .meaning = "shear stress at each rate: the wall stress, not the conventional one",
               .limits = {0.0, 1e5}, .validated = {0.0, 160.0}, .length = most_readings, .gaps = true},
      Variable{.name = "lowest_yield_stress", .symbol = "\\tau_{min}", .quantity = Quantity::stress,
               .meaning = "the yield stress is not below this; equal to the highest it is fixed there", .limits = {-1e5, 1e5}, .validated = {0.0, 100.0}},
      Variable{.name = "highest_yield_stress", .symbol = "\\tau_{max}", .quantity = Quantity::stress, .meaning = "the yield stress is not above this",
               .limits = {-1e5, 1e5}, .validated = {0.0, 1000.0}},
      Variable{.name = "lowest_flow_index", .symbol = "n_{min}", .quantity = Quantity::number, .meaning = "the flow index is not below this; 1 for both makes a Bingham fit",
               .limits = {0.01, 5.0}, .validated = {0.02, 1.0}},
      Variable{.name = "highest_flow_index", .symbol = "n_{max}", .quantity = Quantity::number, .meaning = "the flow index is not above this",
               .limits = {0.01, 5.0}, .validated = {0.5, 2.0}},
      Variable{.name = "stress_uncertainty", .symbol = "u_\\tau", .quantity = Quantity::stress,
               .meaning = "standard uncertainty of a stress as it is read, for the weighting by it: half a dial degree, anything inside alike", .limits = {1e-6, 1e4}, .validated = {0.01, 10.0}},
      Variable{.name = "relative_uncertainty", .symbol = "u_{r}", .quantity = Quantity::number,
               .meaning = "standard uncertainty of a stress as a share of it, for the weighting by it", .limits = {0.0, 1.0}, .validated = {0.0, 0.1}},
  };

  static constexpr std::array results{
      Variable{.name = "yield_stress", .symbol = "\\tau_0", .quantity = Quantity::stress, .meaning = "yield stress of the best curve"},
      Variable{.name = "consistency", .symbol = "K", .quantity = Quantity::consistency, .meaning = "consistency of the best curve"},
      Variable{.name = "flow_index", .symbol = "n", .quantity = Quantity::number, .meaning = "flow index of the best curve; 1 where no reading rises with the rate"},
      Variable{.name = "root_mean_square", .symbol = "s", .quantity = Quantity::stress, .meaning = "root mean square of the residuals, each with its weight"},
      Variable{.name = "readings_used", .symbol = "m", .quantity = Quantity::number, .meaning = "readings that the curve rests on: a missing one, or one outside its limits, is left out"},
      Variable{.name = "residual", .symbol = "e_{#}", .quantity = Quantity::stress, .meaning = "stress read less stress by the curve", .length = most_readings},
  };

  static constexpr Sheet sheet{
      .id = "rheology.yield_power_law_fit",
      .title = "Yield power law fitted to readings",
      .answers = "What yield stress, consistency and flow index describe the readings best, within bounds?",
      .equations = "least sum of w (tau - tau_0 - K (rate / 1 s-1)^n)^2; for each n the best tau_0 and K are linear algebra, n is the root of the slope "
                   "of what is left; a yield stress outside its bounds is held at the bound, and K is not negative",
      .source = "Yield power law: Herschel and Bulkley (1926), from memory. Separable least squares (derived): searching on n leaves a linear problem. "
                "Searching one unknown was published for this fit by Kelessidis and others (2006), on the yield stress; abstract seen.",
      .assumptions = "The rates are those of the fluid: a Newtonian rate at the bob makes the yield stress about 5 % and the consistency 2 to 3 % high. One "
                     "temperature. Residuals in stress: a straight line through logarithms is not this fit and fits worse.",
      .cautions = "A fit holds inside its range of rates and at its temperature only. What rests on it (pressure at depth, hole cleaning) is advisory; the well's own "
                  "programme and licensed practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"fitted", "inside all bounds"},
      Verdict{"yield_stress_at_bound", "the best yield stress lies at its bound: at zero the curve is a power law", Severity::caution},
      Verdict{"flow_index_at_bound", "the best flow index lies at its bound: look at the readings", Severity::caution},
      Verdict{"flat", "no index makes the stress rise with the rate: constant or falling readings; a constant stress is given", Severity::caution},
      Verdict{"too_few_readings", "fewer readings at different rates than parameters to find", Severity::impossible},
      Verdict{"no_freedom", "as many parameters as readings at different rates: the curve passes through them, and nothing tells how well it is known",
              Severity::caution},
      Verdict{"missing", "a bound or an uncertainty is missing"},
      Verdict{"crossed_bounds", "a lowest value is above the highest: nothing lies between", Severity::impossible},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const double told = in.lowest_yield_stress + in.highest_yield_stress + in.lowest_flow_index + in.highest_flow_index + in.stress_uncertainty + in.relative_uncertainty;
    if (!(told == told)) return 6;
    if (in.lowest_yield_stress > in.highest_yield_stress || in.lowest_flow_index > in.highest_flow_index) return 7;
    int rates = 0;
    for (std::size_t i = 0; i < most_readings; ++i) {
      bool fresh = in.shear_rate[i] + in.shear_stress[i] == in.shear_rate[i] + in.shear_stress[i];
      for (std::size_t j = 0; j < i; ++j) fresh = fresh && !(in.shear_rate[j] == in.shear_rate[i] && in.shear_stress[j] == in.shear_stress[j]);
      rates += fresh ? 1 : 0;
    }
    const int unknowns = static_cast<int>(unknowns_of(in));
    if (rates < unknowns || !(r.flow_index == r.flow_index)) return 4;
    if (r.consistency == 0.0) return 3;
    if (in.lowest_flow_index < in.highest_flow_index && (r.flow_index == in.lowest_flow_index || r.flow_index == in.highest_flow_index)) return 2;
    if (in.lowest_yield_stress < in.highest_yield_stress && (r.yield_stress == in.lowest_yield_stress || r.yield_stress == in.highest_yield_stress)) return 1;
    return rates == unknowns ? 5 : 0;
  }

  static constexpr Input<double> example() {
    Input<double> in;
    in.shear_rate = listed<most_readings>({1021.377, 510.689, 340.459, 170.230, 10.2138, 5.10689});
    in.shear_stress = listed<most_readings>({33.2, 20.4, 15.8, 10.7, 4.1, 3.6});
    return in;
  }

  // What depends on the rates and the range of the index alone: a batch at the same rates finds it once.
  static constexpr std::array<std::string_view, 3> shared{"shear_rate", "lowest_flow_index", "highest_flow_index"};

  template <class T>
  struct Prepared {
    LogRates<T, most_readings> rates;
    PowerGrid<value_type_of<T>, most_readings> grid;
  };

  template <class T>
  static Prepared<T> prepare(const Input<T>& in) {
    using V = value_type_of<T>;
    Prepared<T> p;
    auto& r = p.rates;
    for (std::size_t i = 0; i < most_readings; ++i) {
      const T& rate = in.shear_rate[i];
      const auto there = rate == rate, positive = rate > T(0.0);
      const decltype(there) given = there & positive;
      if (!any(given)) continue;  // nobody reads this place
      const T logarithm = log(rate / constant<T>(one_per_second));
      if (r.count == 0) r.log_reference = select(given, logarithm, T(-1e3));  // below any rate: a gap must not hide what follows
      const auto above = logarithm > r.log_reference;
      const decltype(above) higher = above & given;
      r.log_reference = select(higher, logarithm, r.log_reference);
      r.log_rate[r.count] = logarithm;
      r.place[r.count++] = i;
    }
    r.log_reference = step({"L", Quantity::number, "logarithm of the highest rate, which all rates refer to"}, r.log_reference);
    for (std::size_t k = 0; k < r.count; ++k) {
      const T logarithm = r.log_rate[k] - r.log_reference;
      const auto there = logarithm == logarithm, below = logarithm <= T(0.0);
      const decltype(there) given = there & below;
      r.log_rate[k] = step({symbols_of_rates[r.place[k]], Quantity::number, "logarithm of each rate, less that of the highest"},
                           select(given, logarithm, T(0.0)));
    }
    p.grid = projected::power_grid(values_of(r), Interval<V>{value_of(in.lowest_flow_index), value_of(in.highest_flow_index)});
    return p;
  }

  template <class T>
  static Result<T> evaluate(const Input<T>& in, Option weighting) {
    return evaluate(in, weighting, prepare(in));
  }

  template <class T>
  static Result<T> evaluate(const Input<T>& in, Option weighting, const Prepared<T>& prepared) {
    const auto& powers = prepared.rates;
    WeightedReadings<T, most_readings> readings;
    const Interval<T> yield_bounds{in.lowest_yield_stress, in.highest_yield_stress}, index_bounds{in.lowest_flow_index, in.highest_flow_index};
    T number(0.0), sum(0.0), weights(0.0);
    readings.count = powers.count;
    const auto read_at = [&](std::size_t k) {
      const T &rate = in.shear_rate[powers.place[k]], &stress = in.shear_stress[powers.place[k]];
      const auto rated = rate == rate, measured = stress == stress;
      const decltype(rated) read = rated & measured;  // together they make no step of a worked solution
      return read;
    };
    for (std::size_t k = 0; k < powers.count; ++k) {
      const T& stress = in.shear_stress[powers.place[k]];
      const auto read = read_at(k);
      readings.log_rate[k] = powers.log_rate[k];
      readings.weight[k] = step({symbols_of_weights[powers.place[k]], Quantity::number, "weight of each reading"},
                                select(read, weight_of(stress, in, weighting), T(0.0)));
      number = select(read, number + T(1.0), number);
      weights = weights + readings.weight[k];
      sum = sum + select(read, readings.weight[k] * stress, T(0.0));
    }
    readings.sum_of_weights = step({"W", Quantity::number, "sum of the weights"}, weights);
    readings.mean_stress = step({"\\tau_{mean}", Quantity::stress, "weighted mean stress"}, sum / readings.sum_of_weights);
    for (std::size_t k = 0; k < readings.count; ++k) {
      const T away = in.shear_stress[powers.place[k]] - readings.mean_stress;
      readings.stress[k] = step({symbols_of_stresses[powers.place[k]], Quantity::stress, "stress of each reading less the mean"},
                                select(read_at(k), away, T(0.0) * readings.mean_stress));
    }
    const T index = fitted_index({"n", Quantity::number, "flow index: where the slope of the sum of squares is zero"}, readings, prepared.grid, yield_bounds, index_bounds);
    // Where no index makes the stress rise there is no curve but a constant stress.
    const auto found = index == index, positive = index > T(0.0);
    const decltype(found) rises = found & positive;
    const T given = readings.sum_of_weights + ((in.lowest_yield_stress + in.highest_yield_stress) / constant<T>(one_pascal) + in.lowest_flow_index + in.highest_flow_index);
    const auto whole = given == given, many = number >= unknowns_of(in);
    const auto room = in.lowest_yield_stress <= in.highest_yield_stress, span = in.lowest_flow_index <= in.highest_flow_index;
    const decltype(whole) enough = whole & many & room & span;
    const T n = select(rises, index, smaller(larger(T(1.0), index_bounds.lowest), index_bounds.highest));
    const auto curve = projected::project_at(n, readings, yield_bounds);
    const T at_reference = select(rises, curve.best.consistency, T(0.0) * readings.mean_stress);
    Result<T> r;
    r.yield_stress = only_if(enough, select(rises, curve.best.yield_stress, smaller(larger(readings.mean_stress, yield_bounds.lowest), yield_bounds.highest)));
    r.consistency = only_if(enough, at_reference * exp(-n * powers.log_reference));
    r.flow_index = only_if(enough, n);
    r.residual = filled<T, most_readings>(not_a_number);
    T squares(0.0);
    for (std::size_t k = 0; k < readings.count; ++k) {
      const T& stress = in.shear_stress[powers.place[k]];
      const auto read = read_at(k);
      const T left = select(read, stress - (r.yield_stress + at_reference * curve.x[k]), T(not_a_number));
      r.residual[powers.place[k]] = left;
      squares = squares + select(read, readings.weight[k] * square(left), T(0.0));
    }
    r.root_mean_square = only_if(enough, sqrt(squares / readings.sum_of_weights));
    r.readings_used = only_if(enough, number);
    return r;
  }

 private:
  static constexpr projected::Places symbols_of_rates{"\\lambda_{1}", "\\lambda_{2}", "\\lambda_{3}", "\\lambda_{4}", "\\lambda_{5}", "\\lambda_{6}",
                                                      "\\lambda_{7}", "\\lambda_{8}", "\\lambda_{9}", "\\lambda_{10}", "\\lambda_{11}", "\\lambda_{12}"};
  static constexpr projected::Places symbols_of_stresses{"d_{1}", "d_{2}", "d_{3}", "d_{4}", "d_{5}", "d_{6}",
                                                         "d_{7}", "d_{8}", "d_{9}", "d_{10}", "d_{11}", "d_{12}"};
  static constexpr projected::Places symbols_of_weights{"w_{1}", "w_{2}", "w_{3}", "w_{4}", "w_{5}", "w_{6}",
                                                        "w_{7}", "w_{8}", "w_{9}", "w_{10}", "w_{11}", "w_{12}"};

  template <class T>
  static T unknowns_of(const Input<T>& in) {
    const T yield = select(in.lowest_yield_stress < in.highest_yield_stress, T(1.0), T(0.0));
    const T index = select(in.lowest_flow_index < in.highest_flow_index, T(1.0), T(0.0));
    return T(1.0) + yield + index;
  }

  template <class T>
  static T weight_of(const T& stress, const Input<T>& in, Option weighting) {
    switch (weighting) {
      case Weighting::relative: return square(constant<T>(one_pascal) / larger(stress, constant<T>(stress_floor)));
      case Weighting::reading_uncertainty: return square(constant<T>(one_pascal) / in.stress_uncertainty) / (T(1.0) + square(in.relative_uncertainty * stress / in.stress_uncertainty));
      default: return T(1.0);
    }
  }
};

inline constexpr YieldPowerLawFit yield_power_law_fit{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
