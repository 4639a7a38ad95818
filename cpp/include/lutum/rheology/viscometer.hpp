// Dial readings of a rotational viscometer: the physical flow curve, and beside it the quantities the trade reports.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct Viscometer : Calculation<Viscometer> {
  static constexpr std::size_t most_speeds = 12;
  template <class T>
  using List = std::array<T, most_speeds>;

  template <class T>
  struct Input {
    List<T> speed = filled<T, most_speeds>(not_a_number);
    List<T> reading = filled<T, most_speeds>(not_a_number);
    T temperature = T(not_a_number);
    T gel_10_s = T(not_a_number);
    T gel_10_min = T(not_a_number);
    T gel_30_min = T(not_a_number);
  };

  template <class T>
  struct Result {
    List<T> shear_rate;
    List<T> wall_stress;
    T apparent_viscosity;
    T plastic_viscosity;
    T yield_point;
    T gel_strength_10_s;
    T gel_strength_10_min;
    T gel_strength_30_min;
  };

  // Rotor radius 18.415 mm, bob radius 17.245 mm: the rate of a Newtonian fluid at the bob is 2 R^2/(R^2 - r^2) a radian.
  static constexpr double rotor_radius = 18.415e-3, bob_radius = 17.245e-3;
  static constexpr double rate_per_speed =
      2.0 * rotor_radius * rotor_radius / (rotor_radius * rotor_radius - bob_radius * bob_radius);
  static constexpr double rpm = find_symbol("rpm")->scale();

  static constexpr Constant newtonian_rate{"k_{N}", rate_per_speed, Quantity::rate_per_speed, "shear rate of a Newtonian fluid at the bob for each unit of speed"};
  static constexpr Constant wall_stress_per_degree{
      "k_\\tau", 1e-3 * rate_per_speed * 300.0 * rpm, Quantity::stress_per_degree,
      "wall stress of one dial degree: a Newtonian fluid of 1 mPa.s reads 1 at 300 r/min"};
  static constexpr Constant viscosity_per_degree{
      "k_\\mu", 1e-3, Quantity::viscosity_per_degree, "viscosity of one dial degree at 300 r/min by the trade's convention, 1 cP"};
  static constexpr Constant stress_per_degree{
      "k_s", find_symbol("0.01 lbf/ft2")->scale(), Quantity::stress_per_degree, "stress of one dial degree by the trade's convention, 1 lb/100 ft2"};

  static constexpr std::array inputs{
      Variable{.name = "speed", .symbol = "N_{#}", .quantity = Quantity::rotational_speed, .meaning = "rotor speeds, any set, in any order",
               .limits = {0.001, 120.0}, .validated = {0.09, 63.0}, .length = most_speeds},
      Variable{.name = "reading", .symbol = "\\theta_{#}", .quantity = Quantity::dial_reading, .meaning = "dial reading at each speed",
               .limits = {0.0, 400.0}, .validated = {0.0, 300.0}, .length = most_speeds},
      Variable{.name = "temperature", .symbol = "T", .quantity = Quantity::temperature, .meaning = "temperature of the mud in the cup",
               .limits = {263.15, 533.15}, .validated = {277.15, 366.15}, .optional = true,
               .if_missing = "readings of unknown temperature must not be pooled with others."},
      Variable{.name = "gel_10_s", .symbol = "\\theta_{10s}", .quantity = Quantity::dial_reading,
               .meaning = "highest reading at 3 r/min after 10 s at rest", .limits = {0.0, 400.0}, .validated = {0.0, 300.0}, .optional = true},
      Variable{.name = "gel_10_min", .symbol = "\\theta_{10min}", .quantity = Quantity::dial_reading,
               .meaning = "highest reading at 3 r/min after 10 min at rest", .limits = {0.0, 400.0}, .validated = {0.0, 300.0}, .optional = true},
      Variable{.name = "gel_30_min", .symbol = "\\theta_{30min}", .quantity = Quantity::dial_reading,
               .meaning = "highest reading at 3 r/min after 30 min at rest", .limits = {0.0, 400.0}, .validated = {0.0, 300.0}, .optional = true},
  };

  static constexpr std::array results{
      Variable{.name = "shear_rate", .symbol = "\\dot\\gamma_{#}", .quantity = Quantity::shear_rate,
               .meaning = "shear rate at the bob of a Newtonian fluid, at each speed", .length = most_speeds},
      Variable{.name = "wall_stress", .symbol = "\\tau_{#}", .quantity = Quantity::stress,
               .meaning = "shear stress at the bob at each speed: physics, for fits and hydraulics", .length = most_speeds},
      Variable{.name = "apparent_viscosity", .symbol = "\\mu_{a}", .quantity = Quantity::viscosity,
               .meaning = "half the reading at 600 r/min, by convention; missing without that reading"},
      Variable{.name = "plastic_viscosity", .symbol = "\\mu_{p}", .quantity = Quantity::viscosity,
               .meaning = "reading at 600 less reading at 300 r/min, by convention"},
      Variable{.name = "yield_point", .symbol = "\\tau_{yp}", .quantity = Quantity::stress,
               .meaning = "twice the reading at 300 less the reading at 600 r/min, by convention 1 degree = 1 lb/100 ft2"},
      Variable{.name = "gel_strength_10_s", .symbol = "\\tau_{10s}", .quantity = Quantity::stress, .meaning = "gel strength after 10 s, by convention"},
      Variable{.name = "gel_strength_10_min", .symbol = "\\tau_{10min}", .quantity = Quantity::stress,
               .meaning = "gel strength after 10 min, by convention"},
      Variable{.name = "gel_strength_30_min", .symbol = "\\tau_{30min}", .quantity = Quantity::stress,
               .meaning = "gel strength after 30 min, by convention"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.viscometer",
      .title = "Viscometer readings",
      .answers = "What flow curve do the dial readings give, and what plastic viscosity, yield point and gels are reported?",
      .equations = "rate = 2 omega R^2/(R^2 - r^2); stress = 0.51069 Pa a degree; apparent viscosity = theta600/2; plastic viscosity = theta600 - theta300; "
                   "yield point = theta300 - plastic viscosity; gels as read",
      .source = "Rate: Couette flow of a Newtonian fluid, rotor 18.415 mm, bob 17.245 mm (derived; 1.7023 1/s per r/min, usually printed 1.703). "
                "Stress: the constant that makes a Newtonian fluid read its viscosity at 300 r/min (derived; usually printed 0.511). Reported "
                "quantities: API RP 13B-1 convention, 1 degree = 1 lb/100 ft2 (from memory), also Guo and Liu (2011) p. 25.",
      .assumptions = "Standard rotor, bob and spring. Fluid that is not Newtonian has a slightly higher rate at the bob than the one given. Gels are "
                     "read at 3 r/min.",
      .cautions = "Readings belong to the temperature at which they were taken. Hot or pressurised cells: let them cool and vent first.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "readings rise with speed and gels with time"},
      Verdict{"falling_readings", "a faster speed reads lower than a slower one: a slip, settling solids, or a gel not broken", Severity::caution},
      Verdict{"falling_gels", "a gel reads lower after a longer rest: within the reading error, or a slip", Severity::caution},
      Verdict{"repeated_speed", "a speed is given twice with unlike readings: ramps up and down belong in two records", Severity::caution},
      Verdict{"missing", "no speed has a reading"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>&) {
    bool any = false, falling = false, repeated = false;
    for (std::size_t i = 0; i < most_speeds; ++i) {
      if (!(in.speed[i] + in.reading[i] == in.speed[i] + in.reading[i])) continue;
      any = true;
      for (std::size_t j = 0; j < most_speeds; ++j) {
        falling = falling || (in.speed[j] > in.speed[i] && in.reading[j] < in.reading[i]);
        repeated = repeated || (i != j && in.speed[j] == in.speed[i] && !(in.reading[j] == in.reading[i]));
      }
    }
    if (!any) return 4;
    if (repeated) return 3;
    if (falling) return 1;
    const bool gels_fall = in.gel_10_min < in.gel_10_s || in.gel_30_min < in.gel_10_min || in.gel_30_min < in.gel_10_s;
    return gels_fall ? 2 : 0;
  }

  static constexpr Input<double> example() {
    Input<double> in;
    const std::array<double, 6> speeds{600, 300, 200, 100, 6, 3};
    const std::array<double, 6> readings{65, 40, 31, 21, 8, 7};
    for (std::size_t i = 0; i < speeds.size(); ++i) {
      in.speed[i] = speeds[i] * rpm;
      in.reading[i] = readings[i];
    }
    in.temperature = 322.15;
    in.gel_10_s = 8;
    in.gel_10_min = 14;
    in.gel_30_min = 18;
    return in;
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    Result<T> r;
    for (std::size_t i = 0; i < most_speeds; ++i) {
      r.shear_rate[i] = in.speed[i] * constant<T>(newtonian_rate);
      r.wall_stress[i] = in.reading[i] * constant<T>(wall_stress_per_degree);
    }
    const T at_600 = pick(in.speed, in.reading, 600.0 * rpm);
    const T at_300 = pick(in.speed, in.reading, 300.0 * rpm);
    r.apparent_viscosity = at_600 / T(2.0) * constant<T>(viscosity_per_degree);
    r.plastic_viscosity = (at_600 - at_300) * constant<T>(viscosity_per_degree);
    r.yield_point = (at_300 - (at_600 - at_300)) * constant<T>(stress_per_degree);
    r.gel_strength_10_s = in.gel_10_s * constant<T>(stress_per_degree);
    r.gel_strength_10_min = in.gel_10_min * constant<T>(stress_per_degree);
    r.gel_strength_30_min = in.gel_30_min * constant<T>(stress_per_degree);
    return r;
  }
};

inline constexpr Viscometer viscometer{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
