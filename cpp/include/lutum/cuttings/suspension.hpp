// The largest particle that a gel or a yield stress holds.
#pragma once

#include "lutum/cuttings/settling.hpp"

namespace lutum::inline LUTUM_ISA_TAG::cuttings {

struct Suspension : Calculation<Suspension> {
  template <class T>
  struct Input {
    T gel_strength = T(not_a_number);
    T cuttings_density = T(not_a_number);
    T density = T(not_a_number);
  };

  template <class T>
  struct Result {
    T held_diameter;
    T plastic_limit_diameter;
  };

  static constexpr std::array inputs{
      Variable{.name = "gel_strength", .symbol = "\\tau_{g}", .quantity = Quantity::stress,
               .meaning = "gel strength of the fluid at rest; of a fluid that moves, its yield stress", .limits = {0.0, 1000.0},
               .validated = {0.0, 100.0}},
      shared::cuttings_density,
      shared::density,
  };
  static constexpr std::array results{
      Variable{.name = "held_diameter", .symbol = "d_{h}", .quantity = Quantity::diameter,
               .meaning = "largest particle held if the stress acts on all of its surface as shear: the cautious figure"},
      Variable{.name = "plastic_limit_diameter", .symbol = "d_{p}", .quantity = Quantity::diameter,
               .meaning = "largest sphere held by an ideal plastic fluid of this stress"},
  };
  static constexpr Sheet sheet{
      .id = "cuttings.suspension",
      .title = "Largest particle held in suspension",
      .answers = "Up to what size do cuttings or weighting material hang in the fluid when the pumps stop?",
      .equations = "d_h = 6 tau_g/((rho_c - rho) g); d_p = 3 tau_g/(0.143 (rho_c - rho) g)",
      .source = "Force balance (derived). Critical yield number 0.143 of a sphere: Beris et al. 1985, from memory.",
      .assumptions = "One sphere. The gel is whole and at rest; vibration, flow or temperature that break it let go of what it held.",
      .cautions = "A yield point extrapolated from fast readings is more than the stress at rest and promises too much. Rates and densities are "
                  "advisory: the well's own programme and licensed practice decide.",
  };
  static constexpr std::array verdicts{
      Verdict{"holds", "particles up to this size hang"},
      Verdict{"holds_nothing", "no gel: every particle denser than the fluid falls", Severity::caution},
      Verdict{"does_not_fall", "the particle is not denser than the fluid: no size falls, so no largest one exists", Severity::caution},
      Verdict{"missing", "an input is missing"},
  };
  static constexpr std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.cuttings_density <= in.density) return 2;
    if (!(r.held_diameter == r.held_diameter)) return 3;
    return in.gel_strength > 0.0 ? 0 : 1;
  }
  static constexpr Input<double> example() { return {.gel_strength = 5.0, .cuttings_density = 2600.0, .density = 1200.0}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto falls = in.cuttings_density > in.density;
    const T pull = step({"b", Quantity::pressure_gradient, "weight less buoyancy of each volume of rock"},
                        only_if(falls, (in.cuttings_density - in.density) * constant<T>(gravity)));
    return {T(6.0) * in.gel_strength / pull, T(3.0) * in.gel_strength / (T(0.143) * pull)};
  }
};

inline constexpr Suspension suspension{};

}  // namespace lutum::inline LUTUM_ISA_TAG::cuttings
