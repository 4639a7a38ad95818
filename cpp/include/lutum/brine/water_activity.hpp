// Water activity of a brine of one salt at 25 degC.
#pragma once

#include "lutum/brine/osmotic.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

struct WaterActivity : Calculation<WaterActivity> {
  using Option = ActivitySalt;
  static constexpr OptionInfo option{.name = "salt", .meaning = "the dissolved salt", .choices = activity_salt_choices};

  template <class T>
  struct Input {
    T mass_fraction = T(not_a_number);
  };

  template <class T>
  struct Result {
    T molality;
    T osmotic_coefficient;
    T activity;
  };

  static constexpr std::array inputs{
      Variable{.name = "mass_fraction", .symbol = "w", .quantity = Quantity::mass_fraction,
               .meaning = "salt in the brine by mass, without its water of crystallisation", .limits = {0.0, 0.6}, .validated = {0.0, 0.482}},
  };
  static constexpr std::array results{
      Variable{.name = "molality", .symbol = "m", .quantity = Quantity::molality, .meaning = "salt in moles per mass of water"},
      Variable{.name = "osmotic_coefficient", .symbol = "\\phi", .quantity = Quantity::number, .meaning = "osmotic coefficient of the brine at "
                                                                                                          "25 degC"},
      Variable{.name = "activity", .symbol = "a_{w}", .quantity = Quantity::number,
               .meaning = "water activity at 25 degC: the relative humidity of air at rest above the brine"},
  };

  static constexpr Sheet sheet{
      .id = "brine.water_activity",
      .title = "Water activity of a brine",
      .answers = "How strongly does the brine hold its water, to be set against the activity of the shale?",
      .equations = "m = w / ((1-w) M_s); phi = 1 + z f + m (2 v+v-/v) (b0 + b1 exp(-2 sqrt I)) + m^2 (2 (v+v-)^1.5/v) C; "
                   "f = -0.3915 sqrt I / (1 + 1.2 sqrt I); a_w = exp(-v M_w m phi), v ions in the salt",
      .source = "Pitzer's equation. NaCl, KCl, NaBr, sodium formate: parameters of May, Rowland, Hefter and Koenigsberger (2011); CaCl2: those "
                "of an open "
                "geochemical data base; all read in an open library. NaCl at 6 mol/kg and saturated KCl within 0.001 of seen activities, "
                "saturated NaBr "
                "0.01 high of its humidity. May's set for CaCl2 reads 0.006 high at 25 % and is not used.",
      .assumptions = "25 degC, one salt. CaCl2 is to be read as +-0.01: at 10, 25 and 30 % three sources part by as much. Above 5 mol/kg (36 %) "
                     "they part by "
                     "0.03 (at 40 %: 0.378 here, 0.384 by a handbook's quadratic, 0.411 by Conde 2004): measure.",
      .cautions = "An activity balance is advisory: shale swells and fails for other reasons too. Calcium brines burn skin and eyes; mixing them "
                  "in makes much "
                  "heat.",
  };

  static constexpr std::array verdicts{
      Verdict{"within_source", "the molality lies where the parameters were fitted to measurements"},
      Verdict{"beyond_source", "the brine is stronger than those the parameters were fitted to: extrapolated, measure it", Severity::caution},
      Verdict{"no_such_brine", "a solution of this salt so concentrated is not known: a wrong unit or another salt", Severity::impossible},
      Verdict{"missing", "the mass fraction is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, ActivitySalt salt) {
    if (in.mass_fraction > data(data(salt).salt).most) return 2;
    if (!(r.activity == r.activity)) return 3;
    return r.molality > data(salt).highest * (1.0 + 1e-9) ? 1 : 0;
  }

  static constexpr Input<double> example() { return {.mass_fraction = 0.15}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, ActivitySalt salt) {
    const Pitzer& p = data(salt);
    const T w = only_if(in.mass_fraction <= T(data(p.salt).most), in.mass_fraction);
    Result<T> r;
    r.molality = step({"m", Quantity::molality, "salt in moles per mass of water"}, w / ((T(1.0) - w) * constant<T>(molar_mass_of(salt))));
    const T m = step({"n", Quantity::number, "molality in mol/kg"}, r.molality / constant<T>(one_molality));
    r.osmotic_coefficient =
        step({"\\phi", Quantity::number, "osmotic coefficient of the brine at 25 degC"},
             osmotic_coefficient_number(m, p, {"j", Quantity::number, "square root of the ionic strength in mol/kg"},
                                        {"f", Quantity::number, "long-range part, after Debye and Hueckel"}));
    r.activity = exp(T(-p.ions()) * (r.molality * constant<T>(water_molar_mass)) * r.osmotic_coefficient);
    return r;
  }
};

inline constexpr WaterActivity water_activity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
