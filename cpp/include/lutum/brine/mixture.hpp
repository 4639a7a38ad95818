// A brine mixed of any of the nine salts.
#pragma once

#include "lutum/brine/several_salts.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

struct Mixture : Calculation<Mixture> {
  template <class T>
  struct Input {
    T sodium_chloride_mass_fraction = T(0.0);
    T potassium_chloride_mass_fraction = T(0.0);
    T calcium_chloride_mass_fraction = T(0.0);
    T magnesium_chloride_mass_fraction = T(0.0);
    T sodium_bromide_mass_fraction = T(0.0);
    T potassium_bromide_mass_fraction = T(0.0);
    T sodium_formate_mass_fraction = T(0.0);
    T potassium_formate_mass_fraction = T(0.0);
    T potassium_carbonate_mass_fraction = T(0.0);
    T temperature = T(293.15);
  };

  template <class T>
  struct Result {
    T mass_fraction;
    T density;
    T salt_content;
    T chloride;
    T sodium;
    T potassium;
    T calcium;
    T magnesium;
    T volume_ratio;
    T water_ratio;
  };

  // Validated: as far as a salt is met beside others. One salt alone has its range in brine.density.
  static constexpr std::array inputs{
      describe::fraction("sodium_chloride_mass_fraction", "w_{NaCl}", "sodium chloride in the brine by mass", {0.0, 0.266}),
      describe::fraction("potassium_chloride_mass_fraction", "w_{KCl}", "potassium chloride in the brine by mass", {0.0, 0.264}),
      describe::fraction("calcium_chloride_mass_fraction", "w_{CaCl2}", "calcium chloride in the brine by mass", {0.0, 0.36}),
      describe::fraction("magnesium_chloride_mass_fraction", "w_{MgCl2}", "magnesium chloride in the brine by mass", {0.0, 0.20}),
      describe::fraction("sodium_bromide_mass_fraction", "w_{NaBr}", "sodium bromide in the brine by mass", {0.0, 0.20}),
      describe::fraction("potassium_bromide_mass_fraction", "w_{KBr}", "potassium bromide in the brine by mass", {0.0, 0.15}),
      describe::fraction("sodium_formate_mass_fraction", "w_{NaHCO2}", "sodium formate in the brine by mass", {0.0, 0.15}),
      describe::fraction("potassium_formate_mass_fraction", "w_{KHCO2}", "potassium formate in the brine by mass", {0.0, 0.20}),
      describe::fraction("potassium_carbonate_mass_fraction", "w_{K2CO3}", "potassium carbonate in the brine by mass", {0.0, 0.10}),
      describe::temperature,
  };

  static constexpr std::array results{
      describe::all_salt,
      describe::density,
      describe::salt_content,
      describe::per_volume("chloride", "c_{Cl}", "chloride per volume of brine"),
      describe::per_volume("sodium", "c_{Na}", "sodium per volume of brine"),
      describe::per_volume("potassium", "c_{K}", "potassium per volume of brine"),
      describe::per_volume("calcium", "c_{Ca}", "calcium per volume of brine"),
      describe::per_volume("magnesium", "c_{Mg}", "magnesium per volume of brine"),
      describe::volume_ratio,
      describe::water_ratio,
  };

  static constexpr Sheet sheet{
      .id = "brine.mixture",
      .title = "Density of a brine of several salts",
      .answers = "How dense is a brine of several salts, and what would its titrations read?",
      .equations = "1/rho_b = (1-w)/rho_w(T) + sum w_i/rho_app,i(w, T), w = sum w_i; ions = rho_b sum w_i (share of the ion in salt i); "
                   "f_b = rho_w / (rho_b (1-w)); f_w = 1/f_b",
      .source = "Laliberte, J. Chem. Eng. Data 54 (2009) 1725, mixing rule and coefficients read in two open libraries; within 0.2 % of two measured "
                "KCl + CaCl2 brines at 40 degC (Scientific Reports 2020). The rest is mass balance (derived).",
      .assumptions = "All salt dissolved and none of it fallen out: calcium with carbonate is not a brine, and what one salt leaves dissolved of "
                     "another "
                     "is not asked. Atmospheric pressure.",
      .cautions = describe::salt_cautions,
  };

  static constexpr double most = 0.85;
  static constexpr std::int8_t falls_out = 5, no_salt = 6;
  static constexpr std::array verdicts{
      finding::is_within_source,
      describe::beyond_mixed_fraction,
      describe::beyond_mixed_temperature,
      Verdict{"no_such_brine", "the salts are more than 85 wt % together: a wrong unit", Severity::impossible},
      finding::is_missing,
      Verdict{"falls_out", "calcium or magnesium and carbonate in one brine: their carbonate falls out, the density is that of no clear brine",
              Severity::impossible},
      Verdict{"no_salt", "no salt is given: this is water", Severity::caution},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const std::array<double, salt_count> w = fractions(in);
    double total = 0.0, range = 0.0;
    bool warm_enough = true;
    for (std::size_t i = 0; i < salt_count; ++i) {
      total += w[i];
      range += w[i] * salts[i].highest;
      warm_enough = warm_enough && (!(w[i] > 0.0) || salts[i].temperature.contain(in.temperature));
    }
    if (total > most) return finding::no_such_brine;
    if (!(r.density == r.density)) return finding::missing;
    if (in.calcium_chloride_mass_fraction + in.magnesium_chloride_mass_fraction > 0.0 && in.potassium_carbonate_mass_fraction > 0.0) return falls_out;
    if (!(total > 0.0)) return no_salt;
    if (total * total > range) return finding::beyond_mass_fraction;
    return warm_enough ? finding::within_source : finding::beyond_temperature;
  }

  static constexpr Input<double> example() {
    return {.sodium_chloride_mass_fraction = 0.05, .calcium_chloride_mass_fraction = 0.20, .temperature = 298.15};
  }

  template <class T>
  static constexpr std::array<T, salt_count> fractions(const Input<T>& in) {
    return {in.sodium_chloride_mass_fraction,   in.potassium_chloride_mass_fraction, in.calcium_chloride_mass_fraction,
            in.magnesium_chloride_mass_fraction, in.sodium_bromide_mass_fraction,     in.potassium_bromide_mass_fraction,
            in.sodium_formate_mass_fraction,    in.potassium_formate_mass_fraction,  in.potassium_carbonate_mass_fraction};
  }

  // A salt that is not there adds no volume, and has no further line in a worked solution.
  template <class T>
  static bool left_out(const T& w) {
    if constexpr (std::is_same_v<T, traced>) return w.value == 0.0;
    return false;
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const std::array<T, salt_count> part = fractions(in);
    T total = part[0];
    for (std::size_t i = 1; i < salt_count; ++i) total = total + part[i];
    const T w = step({"w", Quantity::mass_fraction, "all salt in the brine by mass"}, only_if(total <= T(most), total));
    const T t = celsius_number(in.temperature), water = water_at(t), water_volume = water_volume_of(water);
    T volume = (T(1.0) - w) * water_volume;
    std::array<T, 5> ions = filled<T, 5>(0.0);  // share of 1 kg of brine: chloride, sodium, potassium, calcium, magnesium
    std::array<bool, 5> begun{};
    const auto add = [&](std::size_t which, const T& x) {
      ions[which] = begun[which] ? ions[which] + x : x;
      begun[which] = true;
    };
    for (std::size_t i = 0; i < salt_count; ++i) {
      if (left_out(part[i])) continue;
      const T warmth = warmth_at(t, salts[i], describe::steps[i].warmth), thinning = thinning_at(t, salts[i], describe::steps[i].thinning);
      volume = volume + salt_volume_number(part[i], w, salts[i], warmth, thinning);
      if (salts[i].is_chloride()) add(0, part[i] * constant<T>(describe::share_constants.chloride[i]));
      add(metal(salts[i]), part[i] * constant<T>(describe::share_constants.metal[i]));
    }
    const MakeUp<T> b = make_up(w, step({"\\hat v_{b}", Quantity::number, "volume of 1 kg of brine in m3"}, volume), water);
    return {w, b.density, b.salt_content, ions[0] * b.density, ions[1] * b.density, ions[2] * b.density, ions[3] * b.density, ions[4] * b.density,
            b.volume_ratio, b.water_ratio};
  }

 private:
  static constexpr std::size_t metal(const SaltData& salt) {
    return salt.cation == brine::ion::sodium ? 1 : salt.cation == brine::ion::potassium ? 2 : salt.cation == brine::ion::calcium ? 3 : 4;
  }
};

inline constexpr Mixture mixture{};

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
