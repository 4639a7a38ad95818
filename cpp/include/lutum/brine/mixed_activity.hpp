// Water activity of a brine of sodium chloride and calcium chloride by Zdanovskii's rule.
#pragma once

#include "lutum/brine/osmotic.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

struct MixedActivity : Calculation<MixedActivity> {
  template <class T>
  struct Input {
    T sodium_chloride_mass_fraction = T(0.0);
    T calcium_chloride_mass_fraction = T(0.0);
  };

  template <class T>
  struct Result {
    T sodium_chloride_molality;
    T calcium_chloride_molality;
    T calcium_chloride_alone;
    T sodium_chloride_alone;
    T activity;
  };

  static constexpr const Pitzer& nacl = data(ActivitySalt::sodium_chloride);
  static constexpr const Pitzer& cacl2 = data(ActivitySalt::calcium_chloride);
  static constexpr Constant nacl_molar_mass{"M_{NaCl}", molar_mass_of(ActivitySalt::sodium_chloride).value, Quantity::molar_mass,
                                            "molar mass of sodium chloride"};
  static constexpr Constant cacl2_molar_mass{"M_{CaCl2}", molar_mass_of(ActivitySalt::calcium_chloride).value, Quantity::molar_mass,
                                             "molar mass of calcium chloride"};

  static constexpr std::array inputs{
      Variable{.name = "sodium_chloride_mass_fraction", .symbol = "w_{NaCl}", .quantity = Quantity::mass_fraction,
               .meaning = "sodium chloride in the brine by mass", .limits = {0.0, 0.6}, .validated = {0.0, 0.265}},
      Variable{.name = "calcium_chloride_mass_fraction", .symbol = "w_{CaCl2}", .quantity = Quantity::mass_fraction,
               .meaning = "calcium chloride in the brine by mass", .limits = {0.0, 0.6}, .validated = {0.0, 0.357}},
  };
  static constexpr std::array results{
      Variable{.name = "sodium_chloride_molality", .symbol = "m_{NaCl}", .quantity = Quantity::molality, .meaning = "sodium chloride in moles "
                                                                                                                    "per mass of water"},
      Variable{.name = "calcium_chloride_molality", .symbol = "m_{CaCl2}", .quantity = Quantity::molality,
               .meaning = "calcium chloride in moles per mass of water"},
      Variable{.name = "calcium_chloride_alone", .symbol = "m_{C}", .quantity = Quantity::molality,
               .meaning = "molality of calcium chloride alone at the same activity"},
      Variable{.name = "sodium_chloride_alone", .symbol = "m_{N}", .quantity = Quantity::molality,
               .meaning = "molality of sodium chloride alone at the same activity"},
      Variable{.name = "activity", .symbol = "a_{w}", .quantity = Quantity::number,
               .meaning = "water activity at 25 degC: the relative humidity of air at rest above the brine"},
  };

  static constexpr Sheet sheet{
      .id = "brine.mixed_activity",
      .title = "Water activity of a sodium and calcium chloride brine",
      .answers = "How strongly does a brine of both salts hold its water?",
      .equations = "m_i = w_i / ((1-w) M_i); m_NaCl/m_N + m_CaCl2/m_C = 1, where m_N of sodium chloride alone and m_C of calcium chloride alone "
                   "have one activity: 2 m_N phi_NaCl(m_N) = 3 m_C phi_CaCl2(m_C), solved for k = m_N/m_C; a_w = exp(-3 M_w m_C phi_CaCl2(m_C))",
      .source = "Zdanovskii's rule, reported to hold very well for these two at 50 degC (J. Chem. Eng. Data 60 (2015) 2285, abstract seen), not "
                "seen tested at "
                "25 degC. Single salts by Pitzer's equation as in brine.water_activity.",
      .assumptions = "25 degC, both salts dissolved. Calcium chloride activities are good to +-0.01. Sodium chloride alone may have to be "
                     "stronger than it "
                     "dissolves: its equation is then extrapolated, which weighs as its share.",
      .cautions = "An activity balance is advisory: shale swells and fails for other reasons too. Calcium brines burn skin and eyes; mixing them "
                  "in makes much "
                  "heat.",
  };

  static constexpr double most = 0.56, lowest = 0.3, highest = 6.0;
  static constexpr std::array verdicts{
      Verdict{"within_source", "both salts alone at this activity lie where their parameters were fitted"},
      Verdict{"beyond_source", "one of the salts alone would be stronger than its parameters were fitted to: extrapolated", Severity::caution},
      Verdict{"salt_left_over", "more sodium chloride than dissolves beside so much calcium chloride at 25 degC (a remembered curve): dissolved "
                                "salt is less",
              Severity::caution},
      Verdict{"no_such_brine", "a solution so concentrated is not known: a wrong unit", Severity::impossible},
      Verdict{"missing", "a reading is missing"},
  };

  // Sodium chloride that dissolves in calcium chloride brine, wt %, from memory.
  static constexpr double dissolving(double calcium_chloride_percent) {
    const double c = calcium_chloride_percent;
    return 26.432 + c * (-1.0472 + c * (7.98191e-3 + c * 5.2238e-5));
  }

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const double sum = in.sodium_chloride_mass_fraction + in.calcium_chloride_mass_fraction;
    if (!(sum == sum)) return 4;
    if (!(r.activity == r.activity)) return 3;
    if (100.0 * in.sodium_chloride_mass_fraction > 0.1 + dissolving(100.0 * in.calcium_chloride_mass_fraction)) return 2;
    return (in.calcium_chloride_mass_fraction > 0.0 && r.calcium_chloride_alone > cacl2.highest) ||
                   (in.sodium_chloride_mass_fraction > 0.0 && r.sodium_chloride_alone > nacl.highest)
               ? 1
               : 0;
  }

  static constexpr Input<double> example() { return {.sodium_chloride_mass_fraction = 0.05, .calcium_chloride_mass_fraction = 0.20}; }

  // Osmotic coefficients of each salt alone at so many mol/kg.
  template <class T>
  static T sodium_coefficient(const T& m) {
    return step({"\\phi_{NaCl}", Quantity::number, "osmotic coefficient of sodium chloride alone"},
                osmotic_coefficient_number(m, nacl, {"j_{N}", Quantity::number, "square root of the ionic strength of sodium chloride alone"},
                                           {"f_{N}", Quantity::number, "its long-range part"}));
  }
  template <class T>
  static T calcium_coefficient(const T& m) {
    return step({"\\phi_{CaCl2}", Quantity::number, "osmotic coefficient of calcium chloride alone"},
                osmotic_coefficient_number(m, cacl2, {"j_{C}", Quantity::number, "square root of the ionic strength of calcium chloride alone"},
                                           {"f_{C}", Quantity::number, "its long-range part"}));
  }
  // Zdanovskii's rule: in place of calcium chloride alone, sodium chloride counts for a k-th.
  template <class T>
  static T calcium_alone(const T& k, const T& sodium, const T& calcium) {
    return step({"n_{C}", Quantity::number, "molality of calcium chloride alone, by Zdanovskii's rule, in mol/kg"}, calcium + sodium / k);
  }

  // How many times stronger sodium chloride alone must be for the activity of calcium chloride alone: 2 k phi = 3 phi.
  struct SameActivity {
    template <class T>
    T operator()(const T& k, const T& sodium, const T& calcium) const {
      const T m = calcium_alone(k, sodium, calcium);
      return T(nacl.ions()) * k * sodium_coefficient(k * m) - T(cacl2.ions()) * calcium_coefficient(m);
    }
  };

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const T salt = in.sodium_chloride_mass_fraction + in.calcium_chloride_mass_fraction;
    const T water = step({"w_{w}", Quantity::mass_fraction, "water in the brine by mass"}, T(1.0) - only_if(salt <= T(most), salt));
    const auto name = [](std::size_t place, const T& x) { return step({results[place].symbol, results[place].quantity, results[place].meaning}, x); };
    Result<T> r;
    r.sodium_chloride_molality = name(0, in.sodium_chloride_mass_fraction / (water * constant<T>(nacl_molar_mass)));
    r.calcium_chloride_molality = name(1, in.calcium_chloride_mass_fraction / (water * constant<T>(cacl2_molar_mass)));
    const T sodium = step({"n_{NaCl}", Quantity::number, "molalities in mol/kg"}, r.sodium_chloride_molality / constant<T>(one_molality));
    const T calcium = step({"n_{CaCl2}", Quantity::number, "molalities in mol/kg"}, r.calcium_chloride_molality / constant<T>(one_molality));
    const Step unknown{"k", Quantity::number, "molality of sodium chloride alone over that of calcium chloride alone, at the same activity"};
    const T root = solve(unknown, SameActivity{}, Bracket<T>{T(lowest), T(highest), T(1.8)}, sodium, calcium);
    const T k = only_if(root > T(lowest + 1e-9), only_if(root < T(highest - 1e-9), root));
    const T m = calcium_alone(k, sodium, calcium);
    r.calcium_chloride_alone = name(2, m * constant<T>(one_molality));
    r.sodium_chloride_alone = k * r.calcium_chloride_alone;
    r.activity = exp(T(-cacl2.ions()) * (r.calcium_chloride_alone * constant<T>(water_molar_mass)) * calcium_coefficient(m));
    return r;
  }
};

inline constexpr MixedActivity mixed_activity{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
