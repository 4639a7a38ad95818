// Dial readings of a rotational viscometer: the physical flow curve, and beside it the quantities the trade reports.
#pragma once

#include "lutum/rheology/instrument.hpp"

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
    T rotor_radius = T(standard_instrument::rotor_radius);
    T bob_radius = T(standard_instrument::bob_radius);
    T effective_bob_height = T(standard_instrument::effective_bob_height);
    T spring_constant = T(standard_instrument::spring_constant);
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

  static constexpr double rpm = standard_instrument::rpm;

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
      describe::rotor_radius,
      describe::bob_radius,
      describe::effective_bob_height,
      describe::spring_constant,
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
      Variable{.name = "gel_strength_10_s", .symbol = "\\tau_{10s}", .quantity = Quantity::stress,
               .meaning = "gel strength after 10 s, by convention"},
      Variable{.name = "gel_strength_10_min", .symbol = "\\tau_{10min}", .quantity = Quantity::stress,
               .meaning = "gel strength after 10 min, by convention"},
      Variable{.name = "gel_strength_30_min", .symbol = "\\tau_{30min}", .quantity = Quantity::stress,
               .meaning = "gel strength after 30 min, by convention"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.viscometer",
      .title = "Viscometer readings",
      .answers = "What flow curve do the dial readings give, and what plastic viscosity, yield point and gels are reported?",
      .equations = "rate = 2 omega R^2/(R^2 - r^2); stress = k_spring theta/(2 pi r^2 L_e), for the standard instrument 0.51069 Pa a degree; "
                   "apparent viscosity = v theta600/2; plastic viscosity = v (theta600 - theta300); yield point = u (2 theta300 - theta600); gels u "
                   "theta; u = v = 1 for the standard instrument, u = stress of a degree over 0.51069 Pa, v = u 1.7023/(rate for 1 r/min)",
      .source = "Rate: Couette flow of a Newtonian fluid (derived; with rotor 18.415 mm and bob 17.245 mm, from memory and confirmed by a printed "
                "table of constants, 1.7023 1/s per r/min, usually printed 1.703). Spring 386 dyn.cm a degree: an instrument maker's manual (seen). "
                "Effective height of the standard bob, 40.4 mm: the one that makes a Newtonian fluid read its viscosity at 300 r/min (derived; "
                "stress usually printed 0.511 Pa a degree). Reported quantities: API RP 13B-1 convention, 1 degree = 1 lb/100 ft2 (from memory), "
                "also Guo and Liu (2011) p. 25.",
      .assumptions = "Fluid that is not Newtonian has a slightly higher rate at the bob than the one given (rheology.wide_gap). Gels are read at 3 "
                     "r/min. Another bob's effective height comes from rheology.rotor_bob_factor; its measured height alone leaves out the drag on "
                     "its ends, 6 % of the stress. With another instrument the reported quantities carry its stress and viscosity factors, as "
                     "makers' tables do.",
      .cautions = describe::reading_cautions,
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "readings rise with speed and gels with time"},
      Verdict{"falling_readings", "a faster speed reads lower than a slower one: a slip, settling solids, or a gel not broken", Severity::caution},
      Verdict{"falling_gels", "a gel reads lower after a longer rest: within the reading error, or a slip", Severity::caution},
      Verdict{"repeated_speed", "a speed is given twice with unlike readings: ramps up and down belong in two records", Severity::caution},
      Verdict{"missing", "no speed has a reading, or a number of the instrument is missing"},
      Verdict{"other_instrument", "not the standard rotor, bob and spring: what is reported is brought to the standard by factors, and agrees with "
                                  "it for a fluid of one viscosity or of Bingham's kind only; the rates at 600 and 300 r/min are those of this rotor",
              Severity::caution},
      Verdict{"no_gap", "the bob is not smaller than the rotor: no gap", Severity::impossible},
  };

  // To one part in a million.
  static bool is_standard(const Input<double>& in) {
    const auto alike = [](double x, double standard) { return abs(x - standard) <= 1e-6 * standard; };
    return alike(in.rotor_radius, standard_instrument::rotor_radius) && alike(in.bob_radius, standard_instrument::bob_radius) &&
           alike(in.effective_bob_height, standard_instrument::effective_bob_height) &&
           alike(in.spring_constant, standard_instrument::spring_constant);
  }

  static std::int8_t judge(const Input<double>& in, const Result<double>&) {
    if (in.bob_radius >= in.rotor_radius) return 6;
    bool any = false, falling = false, repeated = false;
    for (std::size_t i = 0; i < most_speeds; ++i) {
      if (!(in.speed[i] + in.reading[i] == in.speed[i] + in.reading[i])) continue;
      any = true;
      for (std::size_t j = 0; j < most_speeds; ++j) {
        falling = falling || (in.speed[j] > in.speed[i] && in.reading[j] < in.reading[i]);
        repeated = repeated || (i != j && in.speed[j] == in.speed[i] && !(in.reading[j] == in.reading[i]));
      }
    }
    const double instrument = in.rotor_radius + in.bob_radius + in.effective_bob_height + in.spring_constant;
    if (!any || !(instrument == instrument)) return 4;
    if (repeated) return 3;
    if (falling) return 1;
    if (!is_standard(in)) return 5;
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

  static constexpr Constant two_pi{"2\\pi", 2.0 * exact::pi, Quantity::number, "a full turn"};

  static constexpr Constant standard_stress{"k_{\\tau,std}", standard_instrument::stress_per_degree, Quantity::stress_per_degree,
                                            "wall stress of one dial degree of the standard instrument"};
  static constexpr Constant standard_rate{"k_{N,std}", standard_instrument::rate_per_speed, Quantity::rate_per_speed,
                                          "shear rate for each unit of speed in the standard instrument"};

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T squared = square(in.rotor_radius);
    const T rate_per_speed = step({"k_{N}", Quantity::rate_per_speed, "shear rate of a Newtonian fluid at the bob for each unit of speed"},
                                  only_if(in.bob_radius < in.rotor_radius,
                                          T(2.0) * squared / (squared - square(in.bob_radius)) * constant<T>(one_rate_per_speed)));
    const T wall_stress_of_degree = step({"k_\\tau", Quantity::stress_per_degree, "wall stress of one dial degree"},
                                         in.spring_constant / (square(in.bob_radius) * in.effective_bob_height * constant<T>(two_pi)));
    Result<T> r;
    for (std::size_t i = 0; i < most_speeds; ++i) {
      r.shear_rate[i] = in.speed[i] * rate_per_speed;
      r.wall_stress[i] = in.reading[i] * wall_stress_of_degree;
    }
    const T stress_factor = step({"u", Quantity::number, "stress of a degree against that of the standard instrument"},
                                 detail::exactly_one_if_near(wall_stress_of_degree / constant<T>(standard_stress)));
    const T viscosity_factor = step({"v", Quantity::number, "viscosity of a degree against that of the standard instrument, at the same speed"},
                                    detail::exactly_one_if_near(stress_factor * constant<T>(standard_rate) / rate_per_speed));
    const T at_600 = pick(in.speed, in.reading, 600.0 * rpm);
    const T at_300 = pick(in.speed, in.reading, 300.0 * rpm);
    r.apparent_viscosity = at_600 / T(2.0) * constant<T>(viscosity_per_degree) * viscosity_factor;
    r.plastic_viscosity = (at_600 - at_300) * constant<T>(viscosity_per_degree) * viscosity_factor;
    r.yield_point = (at_300 - (at_600 - at_300)) * constant<T>(stress_per_degree) * stress_factor;
    r.gel_strength_10_s = in.gel_10_s * constant<T>(stress_per_degree) * stress_factor;
    r.gel_strength_10_min = in.gel_10_min * constant<T>(stress_per_degree) * stress_factor;
    r.gel_strength_30_min = in.gel_30_min * constant<T>(stress_per_degree) * stress_factor;
    return r;
  }
};

inline constexpr Viscometer viscometer{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
