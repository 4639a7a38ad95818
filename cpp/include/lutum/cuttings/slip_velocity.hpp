// How fast a cutting falls through the fluid around it, by a continuous drag curve or by a classic law.
#pragma once

#include "lutum/cuttings/settling.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

inline constexpr std::array slip_choices{
    Choice{"smooth", "flat cuttings, C_D = 24/Re + 1.73: Stokes' law at one end, the constant drag of flat cuttings at the other"},
    Choice{"moore", "Moore's three drag laws 40/Re, 22/sqrt(Re) and 1.5, each taken where it is the largest"},
    Choice{"walker_mayes", "discs falling flat, after Walker and Mayes"},
    Choice{"sphericity", "drag curve of particles of a sphericity"},
    Choice{"sphere", "drag curve of a sphere up to Re 300000, after Clift and Gauvin"},
    Choice{"sphere_to_1000", "drag of a sphere up to Re 1000, C_D = 24/Re (1 + 0.14 Re^0.7)"},
    Choice{"sphere_to_200000", "drag curve of a smooth sphere up to Re 200000, a sum of tanh after Barati, Neyshabouri and Ahmadi"},
};

struct SlipVelocity : Calculation<SlipVelocity> {
  using Option = SlipMethod;
  static constexpr OptionInfo option{.name = "method", .meaning = "law of the drag", .choices = slip_choices};

  template <class T>
  struct Input {
    T cuttings_diameter = T(not_a_number);
    T cuttings_density = T(not_a_number);
    T density = T(not_a_number);
    T effective_viscosity = T(not_a_number);
    T sphericity = T(0.8);
    T thickness_ratio = T(0.4);
    T acceleration = T(exact::gravity);
  };

  template <class T>
  struct Result {
    T slip_velocity;
    T reynolds_number;
    T drag_coefficient;
  };

  static constexpr std::array inputs{
      shared::cuttings_diameter,
      shared::cuttings_density,
      shared::density,
      shared::effective_viscosity,
      Variable{.name = "sphericity", .symbol = "\\phi",
               .meaning = "surface of the sphere of the same volume over the surface of the cutting; used by the method sphericity alone",
               .limits = {0.1, 1.0}, .validated = {0.6, 1.0}},
      Variable{.name = "thickness_ratio", .symbol = "s",
               .meaning = "thickness of a disc over its diameter, which cuttings_diameter then is; used by the method walker_mayes alone",
               .limits = {0.01, 2.0}, .validated = {0.1, 1.0}},
      Variable{.name = "acceleration", .symbol = "g", .quantity = Quantity::acceleration,
               .meaning = "acceleration that pulls the cuttings: of gravity; in a centrifuge a multiple of it", .limits = {0.1, 1e5},
               .validated = {9.7, 4e4}},
  };
  static constexpr std::array results{
      Variable{.name = "slip_velocity", .symbol = "v_{s}", .quantity = Quantity::velocity,
               .meaning = "velocity of fall through the fluid; negative: it rises"},
      Variable{.name = "reynolds_number", .symbol = "Re", .meaning = "particle Reynolds number"},
      Variable{.name = "drag_coefficient", .symbol = "C_{D}",
               .meaning = "drag coefficient, of the cross-section of a sphere of this diameter"},
  };

  static constexpr Sheet sheet{
      .id = "cuttings.slip_velocity",
      .title = "Slip velocity of cuttings",
      .answers = "How fast do the cuttings fall through the fluid?",
      .equations = "C_D Re^2 = N = 4 g d_c^3 abs(rho_c - rho) rho / (3 mu_e^2); Re = rho v_s d_c/mu_e. smooth: C_D = 24/Re + 1.73. moore: C_D = "
                   "max(40/Re, 22/sqrt(Re), 1.5). walker_mayes: v^2 = 2 g s d_c (rho_c - rho)/(1.12 rho), times sqrt(Re_t/100) where Re_t at that "
                   "velocity is below 100. sphericity: log C_D = A + B log Re + C (log Re)^2, A, B, C of the sphericity. sphere: C_D = 24/Re (1 + "
                   "0.15 Re^0.687) + 0.42/(1 + 42500 Re^-1.16). sphere_to_1000: C_D = 24/Re (1 + 0.14 Re^0.7). sphere_to_200000: C_D = 24.0127/Re + "
                   "0.0709 tanh(700.6574/Re) + 0.3894 tanh(74.1539/Re) - 0.1198 tanh(7429.0843/Re) + 1.7174 tanh(9.9851/(Re + 2.3384)) + 0.4744",
      .source = "Balance of weight and drag (derived). smooth: the quadratic of Chien, from memory, with its limits made exact. Moore's laws: "
                "Bourgoyne et al. 1986, ch. 4, from memory. Discs: Walker and Mayes, J. Pet. Technol. 1975, from memory, made free of units. "
                "Sphericity: Fang et al. 2008, coefficients from memory, which give the printed ones of two worked examples. Sphere: Clift and "
                "Gauvin 1971, from memory, with its range. To Re 1000: as printed with a problem set for a numerical package (seen). To Re 200000: "
                "Barati, Neyshabouri and Ahmadi, Powder Technol. 257 (2014) 11, coefficients as an open library has them (seen), original not seen.",
      .assumptions = "One particle in much fluid at rest, of one viscosity; in a centrifuge g is that at the particle's place. The viscosity "
                     "must be that at the shear rate around the particle: taken at the annulus wall or at v/d_c it may differ tenfold. Inside a "
                     "plug that the yield stress holds nothing slips: see cuttings.suspension. Moore's laws as printed are taken by Reynolds "
                     "number: about Re 3 two of them hold at once and about 300 none does. The largest drag has no jump and is the slower "
                     "choice, by at most 5 % there and 8 % between 215 and 300. The laws of a sphere agree on the velocity within 6 %, sphere "
                     "and sphere_to_1000 within 3 % up to Re 1000.",
      .cautions = advisory,
  };

  static constexpr std::array verdicts{
      Verdict{"slow", "Re is below 1: viscous drag alone"},
      Verdict{"intermediate", "Re between 1 and 1000"},
      Verdict{"fast", "Re is above 1000: the viscosity no longer matters"},
      Verdict{"floats", "the particle is not denser than the fluid: it does not fall", Severity::caution},
      Verdict{"beyond_curve", "Re lies where the drag curve of the method does not hold: sphericity outside 0.1 to 2500 (far below it has no answer, "
                              "above it turns up again); sphere_to_1000 above 1000 (too little drag); sphere above 300000 and sphere_to_200000 above "
                              "200000, near where the drag of a sphere suddenly drops", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };
  // Where the drag curve of a method holds.
  static constexpr std::array<double, 2> reynolds_range(SlipMethod method) {
    if (method == SlipMethod::sphericity) return {0.1, 2500.0};
    if (method == SlipMethod::sphere) return {0.0, 3e5};
    if (method == SlipMethod::sphere_to_1000) return {0.0, 1000.0};
    if (method == SlipMethod::sphere_to_200000) return {0.0, 2e5};
    return {0.0, infinity};
  }
  static constexpr std::int8_t judge(const Input<double>& in, const Result<double>& r, SlipMethod method) {
    const double told =
        in.cuttings_diameter + in.cuttings_density + in.density + in.effective_viscosity + in.sphericity + in.thickness_ratio + in.acceleration;
    const auto [lowest, highest] = reynolds_range(method);
    const bool within = r.reynolds_number >= lowest && r.reynolds_number <= highest;
    if (in.cuttings_density != in.density && told == told && !within) return 4;
    if (in.cuttings_density <= in.density) return 3;
    if (!(told == told) || !(r.slip_velocity == r.slip_velocity)) return 5;
    return r.reynolds_number < 1.0 ? 0 : r.reynolds_number <= 1000.0 ? 1 : 2;
  }

  static constexpr Input<double> example() {
    return {.cuttings_diameter = 0.00635, .cuttings_density = 2600.0, .density = 1200.0, .effective_viscosity = 0.05};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, SlipMethod method) {
    const T n = weight_number(in.cuttings_diameter, in.cuttings_density, in.density, in.effective_viscosity, in.acceleration);
    const T size = reynolds(n, in, method);
    Result<T> r;
    r.reynolds_number = size;
    r.drag_coefficient = n / square(size);
    const T speed = size * in.effective_viscosity / (in.density * in.cuttings_diameter);
    r.slip_velocity = select(in.cuttings_density < in.density, -speed, speed);
    return r;
  }

  template <class T>
  static constexpr T reynolds(const T& n, const Input<T>& in, SlipMethod method) {
    if (method == SlipMethod::moore) return moore_reynolds(n);
    if (method == SlipMethod::walker_mayes) return disc_reynolds(n, in.thickness_ratio);
    if (method == SlipMethod::sphericity) return sphericity_reynolds(n, in.sphericity);
    if (method == SlipMethod::sphere) return sphere_reynolds(n);
    if (method == SlipMethod::sphere_to_1000) return power_sphere_reynolds(n);
    if (method == SlipMethod::sphere_to_200000) return wide_sphere_reynolds(n);
    return smooth_reynolds(n);
  }
};

inline constexpr SlipVelocity slip_velocity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
