// Three kinds of solids: what weighing alone cannot tell apart, a third reading does.
#pragma once

#include "lutum/solids/two_solids.hpp"

namespace lutum::inline LUTUM_ISA_TAG::solids {

enum class ThirdReading : std::uint8_t { acid_soluble, concentration };

inline constexpr std::array third_reading_choices{
    Choice{"acid_soluble", "share of the dried, salt-free solids that dilute acid dissolves (calcium carbonate)"},
    Choice{"concentration", "concentration of the material in the mud, from the inventory or from an analysis"},
};

struct SplitWithThirdReading : Calculation<SplitWithThirdReading> {
  using Option = ThirdReading;
  static constexpr OptionInfo option{.name = "third_reading", .meaning = "what was read of the third material", .choices = third_reading_choices};

  template <class T>
  struct Input {
    T suspended_solids_fraction = T(not_a_number);
    T average_solids_density = T(not_a_number);
    T acid_soluble_fraction = T(not_a_number);
    T third_concentration = T(not_a_number);
    T third_density = T(2710.0);
    T low_gravity_density = T(2600.0);
    T high_gravity_density = T(4200.0);
  };

  template <class T>
  struct Result {
    T suspended_solids_concentration;
    T third_fraction;
    T low_gravity_fraction;
    T high_gravity_fraction;
    T third_mass_concentration;
    T low_gravity_concentration;
    T high_gravity_concentration;
  };

  static constexpr std::array inputs{
      Variable{.name = "suspended_solids_fraction", .symbol = "\\varphi_{ss}", .quantity = Quantity::volume_fraction,
               .meaning = "suspended solids by volume of mud, dissolved salt taken out", .limits = {0.0, 1.0}, .validated = {0.02, 0.5}},
      Variable{.name = "average_solids_density", .symbol = "\\bar\\rho_{s}", .quantity = Quantity::density,
               .meaning = "average density of the suspended solids, from any retort calculation", .limits = {500.0, 9000.0},
               .validated = {2300.0, 5300.0}},
      Variable{.name = "acid_soluble_fraction", .symbol = "w_{a}", .quantity = Quantity::mass_fraction,
               .meaning = "third material by mass of the suspended solids: what acid dissolves of solids washed free of salt and dried",
               .limits = {0.0, 1.0}, .validated = {0.0, 1.0}, .optional = true,
               .if_missing = "needed when third_reading is acid_soluble"},
      Variable{.name = "third_concentration", .symbol = "c_{a}", .quantity = Quantity::concentration,
               .meaning = "third material by mass per volume of mud, from the inventory", .limits = {0.0, 3000.0}, .validated = {0.0, 1500.0},
               .optional = true, .if_missing = "needed when third_reading is concentration"},
      Variable{.name = "third_density", .symbol = "\\rho_{3}", .quantity = Quantity::density,
               .meaning = "density of the third material (calcium carbonate 2710, hematite 5050 kg/m3)", .limits = {1500.0, 8000.0},
               .validated = {2600.0, 5300.0}},
      usual::low_gravity_density,
      usual::high_gravity_density,
  };

  static constexpr std::array results{
      Variable{.name = "suspended_solids_concentration", .symbol = "c_{ss}", .quantity = Quantity::concentration,
               .meaning = "suspended solids by mass per volume of mud"},
      Variable{.name = "third_fraction", .symbol = "\\varphi_{3}", .quantity = Quantity::volume_fraction,
               .meaning = "third material by volume of mud"},
      usual::low_gravity_fraction,
      usual::high_gravity_fraction,
      Variable{.name = "third_mass_concentration", .symbol = "c_{3}", .quantity = Quantity::concentration,
               .meaning = "third material by mass per volume of mud"},
      usual::low_gravity_concentration,
      usual::high_gravity_concentration,
  };

  static constexpr Sheet sheet{
      .id = "solids.split_with_third_reading",
      .title = "Three kinds of solids from density, retort and a third reading",
      .answers = "Calcium carbonate beside drilled solids, or two weighting materials: how much of each does the mud carry?",
      .equations = "c_ss = phi_ss rho_s; c_3 = w_a c_ss, or as given; phi_3 = c_3 / rho_3; volume phi_ss - phi_3 and mass c_ss - c_3 then split "
                   "into low and high gravity as in solids.gravity_split",
      .source = "Volume and mass balance (derived).",
      .assumptions = "Without one of the other two kinds (no barite in a carbonate mud), declare its usual density all the same: it must come out "
                     "near zero, which is a check. Acid also dissolves drilled limestone and dolomite, which then count as the third material. "
                     "Inventory is what was added, less what was lost or removed.",
      .cautions = "Acid on carbonate foams and gives off carbon dioxide, and hydrogen sulfide where sulfide is in the solids: small portions, "
                  "goggles, gloves, fume hood. Follow local rules. Results are signed: a small negative value is usually reading error.",
  };

  static constexpr std::array verdicts{
      Verdict{"consistent", "every kind of solids is there in a possible amount"},
      Verdict{"third_beyond_solids", "the third material has more volume or mass than all solids together: a reading is wrong", Severity::impossible},
      usual::negative_low_gravity,
      usual::negative_high_gravity,
      usual::impossible_solids,
      usual::no_contrast,
      usual::missing,
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    // With the third material taken out, its room and mass must not be negative: the same order of verdicts.
    const double room = smaller(in.suspended_solids_fraction - r.third_fraction, r.suspended_solids_concentration - r.third_mass_concentration);
    return judge_solids(in.high_gravity_density - in.low_gravity_density, room, 1.0, r.low_gravity_fraction, r.high_gravity_fraction, 0.0);
  }

  static constexpr Input<double> example() {
    return {.suspended_solids_fraction = 0.18, .average_solids_density = 3100.0, .acid_soluble_fraction = 0.3, .third_concentration = 170.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option reading) {
    Result<T> r;
    r.suspended_solids_concentration = in.suspended_solids_fraction * in.average_solids_density;
    if (reading == ThirdReading::acid_soluble) {
      r.third_mass_concentration = in.acid_soluble_fraction * r.suspended_solids_concentration;
    } else {
      r.third_mass_concentration = in.third_concentration;
    }
    r.third_fraction = r.third_mass_concentration / in.third_density;
    const T volume = step({"\\varphi_{r}", Quantity::volume_fraction, "solids left for low and high gravity, by volume of mud"},
                          in.suspended_solids_fraction - r.third_fraction);
    const T mass = step({"c_{r}", Quantity::concentration, "their mass per volume of mud"},
                        r.suspended_solids_concentration - r.third_mass_concentration);
    const TwoSolids<T> split = two_solids(volume, mass, in.low_gravity_density, in.high_gravity_density);
    r.low_gravity_fraction = split.low_gravity;
    r.high_gravity_fraction = split.high_gravity;
    r.low_gravity_concentration = r.low_gravity_fraction * in.low_gravity_density;
    r.high_gravity_concentration = r.high_gravity_fraction * in.high_gravity_density;
    return r;
  }
};

inline constexpr SplitWithThirdReading split_with_third_reading{};

}  // namespace lutum::inline LUTUM_ISA_TAG::solids
