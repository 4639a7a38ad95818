// Fluid that lowers the low-gravity solids of a mud.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

struct SolidsDilution : Calculation<SolidsDilution> {
  template <class T>
  struct Input {
    T low_gravity_fraction = T(not_a_number);
    T target_low_gravity_fraction = T(not_a_number);
    T diluent_low_gravity_fraction = T(0.0);
    T mud_volume = T(not_a_number);
  };

  template <class T>
  struct Result {
    T dilution_ratio;
    T dilution_volume;
    T final_volume;
    T exchanged_volume;
  };

  static constexpr std::array inputs{
      Variable{.name = "low_gravity_fraction", .symbol = "\\varphi_{lg}", .quantity = Quantity::volume_fraction,
               .meaning = "low-gravity solids by volume of mud", .limits = {0.0, 1.0}, .validated = {0.0, 0.3}},
      Variable{.name = "target_low_gravity_fraction", .symbol = "\\varphi_{2}", .quantity = Quantity::volume_fraction,
               .meaning = "low-gravity solids wanted, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.005, 0.2}},
      Variable{.name = "diluent_low_gravity_fraction", .symbol = "\\varphi_{d}", .quantity = Quantity::volume_fraction,
               .meaning = "low-gravity solids, with bentonite, in what is added; nothing in water or base oil", .limits = {0.0, 1.0},
               .validated = {0.0, 0.1}},
      Variable{.name = "mud_volume", .symbol = "V_{1}", .quantity = Quantity::mud_volume, .meaning = "active volume to be diluted",
               .limits = {0.0, 1e5}, .validated = {1.0, 5000.0}, .optional = true, .if_missing = "totals are then not known."},
  };

  static constexpr std::array results{
      Variable{.name = "dilution_ratio", .symbol = "x", .quantity = Quantity::volume_ratio,
               .meaning = "volume to add per volume of the mud as it is, signed"},
      Variable{.name = "dilution_volume", .symbol = "V_{d}", .quantity = Quantity::mud_volume, .meaning = "volume to add to the whole active volume"},
      Variable{.name = "final_volume", .symbol = "V_{2}", .quantity = Quantity::mud_volume, .meaning = "volume that it becomes"},
      Variable{.name = "exchanged_volume", .symbol = "V_{x}", .quantity = Quantity::mud_volume,
               .meaning = "volume to take out first and replace by what is added, so that the active volume stays as it is"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.solids_dilution",
      .title = "Diluting to less low-gravity solids",
      .answers = "How much new fluid brings the low-gravity solids down, with the volume growing or kept?",
      .equations = "x = (phi_lg - phi_2) / (phi_2 - phi_d); V_d = x V_1; V_2 = V_1 (1 + x); kept volume: V_x = V_1 (phi_lg - phi_2) / (phi_lg - "
                   "phi_d)",
      .source = "Sum of the solids (derived). A handbook gives the same (from memory); a web page prints the divisor as a product, which is "
                "infinite for water: wrong (seen).",
      .assumptions = "Nothing is removed while diluting, no new solids are drilled, and the fluid mixes with the whole active volume. The density "
                     "falls too: weight up afterwards.",
      .cautions = "Dilution spreads every product in the mud: make up what the programme asks for. Solids that are worked to fines come back: "
                  "remove them first, dilute last. Large volumes have to be stored or disposed of by local rules. Pilot test first.",
  };

  static constexpr std::array verdicts{
      Verdict{"fewer_solids", "the low-gravity solids fall"},
      Verdict{"not_fewer", "no less is wanted than there is: amounts are negative or nothing", Severity::caution},
      Verdict{"diluent_too_dirty", "what is added holds no fewer low-gravity solids than are wanted: no amount gives it", Severity::impossible},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (!(in.low_gravity_fraction + in.target_low_gravity_fraction + in.diluent_low_gravity_fraction < infinity)) return 3;
    if (!(r.dilution_ratio == r.dilution_ratio)) return 2;
    return in.target_low_gravity_fraction >= in.low_gravity_fraction ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.low_gravity_fraction = 0.082, .target_low_gravity_fraction = 0.05, .mud_volume = 111.3}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T contrast = only_if(in.target_low_gravity_fraction > in.diluent_low_gravity_fraction,
                               in.target_low_gravity_fraction - in.diluent_low_gravity_fraction);
    Result<T> r;
    r.dilution_ratio = (in.low_gravity_fraction - in.target_low_gravity_fraction) / contrast;
    r.dilution_volume = r.dilution_ratio * in.mud_volume;
    r.final_volume = in.mud_volume + r.dilution_volume;
    const T grown = T(1.0) + r.dilution_ratio;
    r.exchanged_volume = r.dilution_volume / only_if(grown > T(0.0), grown);
    return r;
  }
};

inline constexpr SolidsDilution solids_dilution{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
