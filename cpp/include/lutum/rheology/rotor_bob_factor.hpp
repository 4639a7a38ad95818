// The constants of another rotor, bob and spring against those of the standard instrument.
#pragma once

#include "lutum/rheology/instrument.hpp"

namespace lutum::inline LUTUM_ISA_TAG::rheology {

struct RotorBobFactor : Calculation<RotorBobFactor> {
  template <class T>
  struct Input {
    T rotor_radius = T(not_a_number);
    T bob_radius = T(not_a_number);
    T bob_height = T(standard_instrument::bob_height);
    T spring_constant = T(standard_instrument::spring_constant);
  };

  template <class T>
  struct Result {
    T rotor_bob_factor;
    T effective_bob_height;
    T viscosity_per_degree;
    T stress_per_degree;
  };

  static constexpr std::array inputs{
      describe::rotor_radius,
      describe::bob_radius,
      Variable{.name = "bob_height", .symbol = "L", .quantity = Quantity::diameter,
               .meaning = "height of the bob as measured; 38.0 mm for the standard one",
               .limits = {1e-3, 0.5}, .validated = {0.018, 0.039}},
      describe::spring_constant,
  };

  static constexpr std::array results{
      Variable{.name = "rotor_bob_factor", .symbol = "C", .quantity = Quantity::number,
               .meaning = "rotor-bob factor: viscosity for each degree against the standard rotor and bob, same spring and speed"},
      Variable{.name = "effective_bob_height", .symbol = "L_{e}", .quantity = Quantity::diameter,
               .meaning = "effective height of the bob for rheology.viscometer: as measured, with the end effect of the standard bob"},
      Variable{.name = "viscosity_per_degree", .symbol = "k_{300}", .quantity = Quantity::viscosity_per_degree,
               .meaning = "viscosity of one degree at 300 r/min, of a Newtonian fluid; at another speed times 300 r/min over that"},
      Variable{.name = "stress_per_degree", .symbol = "k_\\tau", .quantity = Quantity::stress_per_degree, .meaning = "wall stress of one degree"},
  };

  static constexpr Sheet sheet{
      .id = "rheology.rotor_bob_factor",
      .title = "Rotor-bob factor",
      .answers = "What does a dial degree mean with another rotor, bob or spring?",
      .equations = "C = (1/r^2 - 1/R^2)/L over the same of the standard instrument; viscosity = C (k_spring/386 dyn.cm) (300 r/min/N) 1 cP a degree; "
                   "L_e = 40.45 mm/38.0 mm L; stress = k_spring/(2 pi r^2 L_e) a degree",
      .source = "Couette flow of a Newtonian fluid (derived). A rheometer manual prints the factors of fifteen pairs, 0.4 % at most from these "
                "(seen); bob radii other than the standard one from memory.",
      .assumptions = "Each bob has the end effect of the standard one in proportion to its height; a liquid of known viscosity tells better.",
      .cautions = "The plastic viscosity, yield point and gels of reports belong to the standard instrument: with another one they are not "
                  "comparable.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "the bob is smaller than the rotor"},
      Verdict{"wide", "the bob is less than 0.9 of the rotor: the Newtonian rate is far from that of a fluid that thins (rheology.wide_gap)",
              Severity::caution},
      Verdict{"no_gap", "the bob is not smaller than the rotor: no gap", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.bob_radius >= in.rotor_radius) return 2;
    if (!(r.viscosity_per_degree == r.viscosity_per_degree)) return 3;
    return in.bob_radius < 0.9 * in.rotor_radius ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.rotor_radius = 17.589e-3, .bob_radius = 17.245e-3}; }

  static constexpr double bob_squared = standard_instrument::bob_radius * standard_instrument::bob_radius;
  static constexpr double rotor_squared = standard_instrument::rotor_radius * standard_instrument::rotor_radius;
  static constexpr double standard_area = bob_squared * rotor_squared / (rotor_squared - bob_squared);
  static constexpr Constant area_of_standard{"A_{s}", standard_area, Quantity::bench_area, "the same area of the standard instrument"};
  static constexpr Constant height_of_standard{"L_{s}", standard_instrument::bob_height, Quantity::diameter, "height of the standard bob"};
  static constexpr Constant end_effect{"e", standard_instrument::effective_bob_height / standard_instrument::bob_height, Quantity::number,
                                       "end effect: effective height of the standard bob against its height"};
  static constexpr Constant standard_spring{"k_{std}", standard_instrument::spring_constant, Quantity::spring_constant,
                                            "spring constant of the standard instrument"};
  static constexpr Constant two_pi{"2\\pi", 2.0 * exact::pi, Quantity::number, "a full turn"};

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T bob = square(in.bob_radius), rotor = square(in.rotor_radius);
    const T area = step({"A", Quantity::bench_area, "area that rules the gap, 1/(1/r^2 - 1/R^2)"},
                        only_if(in.bob_radius < in.rotor_radius, bob * rotor / (rotor - bob)));
    Result<T> r;
    r.rotor_bob_factor = constant<T>(area_of_standard) / area * (constant<T>(height_of_standard) / in.bob_height);
    r.effective_bob_height = in.bob_height * constant<T>(end_effect);
    r.viscosity_per_degree = r.rotor_bob_factor * (in.spring_constant / constant<T>(standard_spring)) * constant<T>(viscosity_per_degree);
    r.stress_per_degree = in.spring_constant / (bob * r.effective_bob_height * constant<T>(two_pi));
    return r;
  }
};

inline constexpr RotorBobFactor rotor_bob_factor{};

}  // namespace lutum::inline LUTUM_ISA_TAG::rheology
