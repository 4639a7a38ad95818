// The temperature at which the first ice comes out of a brine on cooling.
#pragma once

#include "lutum/brine/salts.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

enum class CrystalSalt : std::uint8_t { sodium_chloride, potassium_chloride, calcium_chloride, sodium_bromide, potassium_formate };

inline constexpr std::array crystal_salt_choices{salt_choices[0], salt_choices[1], salt_choices[2], salt_choices[4], salt_choices[7]};

// Kelvin as a polynomial in w - centre, lowest power first.
struct IceCurve {
  double centre;
  std::array<double, 6> c;
  int terms;
  double highest;   // mass fraction to which the sources agree
  double eutectic;  // mass fraction; not a number where no source was seen or remembered
};

// The polynomial through rows of freezing depression, kelvin at w, and through pure water.
template <std::size_t N>
constexpr IceCurve through(const std::array<std::array<double, 2>, N>& rows, double eutectic) {
  IceCurve r{0.0, {ice_point.value}, static_cast<int>(N) + 1, rows[N - 1][0], eutectic};
  for (std::size_t i = 0; i < N; ++i) {  // Lagrange: the row's depression times w over its w, times (w - w_j)/(w_i - w_j)
    std::array<double, 6> basis{0.0, -rows[i][1] / rows[i][0]};
    for (std::size_t j = 0; j < N; ++j) {
      if (j == i) continue;
      for (std::size_t k = 5; k > 0; --k) basis[k] = (basis[k - 1] - rows[j][0] * basis[k]) / (rows[i][0] - rows[j][0]);
      basis[0] = -rows[j][0] * basis[0] / (rows[i][0] - rows[j][0]);
    }
    for (std::size_t k = 0; k < 6; ++k) r.c[k] += basis[k];
  }
  return r;
}

inline constexpr std::array<IceCurve, crystal_salt_choices.size()> ice_curves{{
    {0.133897, {263.767, -90.39, -220.4, -482.7, 224.7}, 5, 0.233, 0.233},
    through<3>({{{0.05, 2.32}, {0.10, 4.81}, {0.13, 6.45}}}, 0.197),
    {0.187414, {256.94, -155.5, -549.6, -2624.0, -17260.0, -44940.0}, 6, 0.24, 0.299},
    through<2>({{{0.10, 3.77}, {0.17, 7.32}}}, 0.403),
    {0.291447, {252.96, -110.6, -210.0, -263.8, 83.27, 634.5}, 6, 0.48, not_a_number},
}};

struct Crystallisation : Calculation<Crystallisation> {
  using Option = CrystalSalt;
  static constexpr OptionInfo option{.name = "salt", .meaning = "the dissolved salt", .choices = crystal_salt_choices};

  template <class T>
  struct Input {
    T mass_fraction = T(not_a_number);
  };

  template <class T>
  struct Result {
    T first_ice_temperature;
    T mass_fraction_left;
  };

  static constexpr std::array<Constant, ice_curves.size()> ends = [] {
    std::array<Constant, ice_curves.size()> r{};
    for (std::size_t i = 0; i < r.size(); ++i)
      r[i] = {"w_{e}", ice_curves[i].highest, Quantity::mass_fraction, "mass fraction at which the ice curve of the sources ends"};
    return r;
  }();

  static constexpr std::array inputs{
      Variable{.name = "mass_fraction", .symbol = "w", .quantity = Quantity::mass_fraction,
               .meaning = "salt in the brine by mass, without its water of crystallisation", .limits = {0.0, 0.8}, .validated = {0.0, 0.48}},
  };
  static constexpr std::array results{
      Variable{.name = "first_ice_temperature", .symbol = "T_{ice}", .quantity = Quantity::temperature,
               .meaning = "temperature at which ice and brine rest beside each other: the first ice, without supercooling"},
      Variable{.name = "mass_fraction_left", .symbol = "\\Delta w", .quantity = Quantity::mass_fraction,
               .meaning = "salt still to be added before the ice curve ends (of sodium chloride: its eutectic); negative beyond"},
  };

  static constexpr Sheet sheet{
      .id = "brine.crystallisation",
      .title = "First ice of a brine",
      .answers = "At what temperature does the brine begin to freeze, and is it ice or salt that comes out?",
      .equations = "T_ice = sum c_i (w - w_0)^i; what is left = w_e - w",
      .source = "NaCl, CaCl2, potassium formate: polynomials of Melinder (2010) read in an open library; KCl and NaBr: polynomials through the "
                "rows of the "
                "CRC Handbook, 102nd ed. (5, 10, 13 % and 10, 17 %). Within 0.06 K of CRC for NaCl to 20 % and CaCl2 to 20 %. Eutectics: NaCl "
                "23.3 %, "
                "-21.1 degC (Lange's Handbook, 15th ed.); CaCl2 29.9 %, -55 degC (a table in an open library; others say 30 to 32 %, -50 degC); "
                "KCl 19.7 %, "
                "-10.7 degC and NaBr 40.3 %, -28 degC (from memory); potassium formate not known.",
      .assumptions = "One salt, atmospheric pressure (pressure raises the temperature of the salt branch). This is the ice branch alone. Cooled "
                     "without a "
                     "seed, a brine shows its first crystal some kelvin lower, and the last crystal dissolves some kelvin higher.",
      .cautions = "Beyond the eutectic, for bromide and zinc brines and for mixtures, have the first, true and last crystal temperatures "
                  "measured; what "
                  "freezes in a line or a riser is a matter of well safety. Calcium brines burn skin and eyes.",
  };

  static constexpr std::array verdicts{
      Verdict{"ice", "ice comes out first"},
      Verdict{"tables_disagree", "ice comes out first, but tables part by a kelvin at 24 % and by fourteen at 30 %: measure it", Severity::caution},
      Verdict{"beyond_table", "saltier than the rows at hand: measure it", Severity::caution},
      Verdict{"salt", "beyond the eutectic the salt or its hydrate comes out first, which no ice curve gives: measure it", Severity::caution},
      Verdict{"missing", "the mass fraction is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>&, CrystalSalt salt) {
    const IceCurve& curve = ice_curves[static_cast<std::size_t>(salt)];
    if (!(in.mass_fraction == in.mass_fraction)) return 4;
    if (in.mass_fraction > curve.eutectic) return 3;
    if (in.mass_fraction <= curve.highest) return 0;
    return salt == CrystalSalt::calcium_chloride ? 1 : 2;
  }

  static constexpr Input<double> example() { return {.mass_fraction = 0.12}; }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, CrystalSalt salt) {
    const auto place = static_cast<std::size_t>(salt);
    const IceCurve& curve = ice_curves[place];
    const T known = only_if(in.mass_fraction <= T(curve.highest), in.mass_fraction);
    const T x = curve.centre == 0.0 ? known : step({"x", Quantity::number,
                                                            "mass fraction less the middle of the range of the source's polynomial"},
        known - T(curve.centre));
    T kelvin = T(curve.c[static_cast<std::size_t>(curve.terms - 1)]);
    for (int i = curve.terms - 2; i >= 0; --i) kelvin = plus(kelvin * x, curve.c[static_cast<std::size_t>(i)]);
    return {kelvin * constant<T>(one_kelvin), constant<T>(ends[place]) - in.mass_fraction};
  }
};

inline constexpr Crystallisation crystallisation{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
