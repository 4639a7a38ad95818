// Brines of several salts: the names of each salt's numbers in a worked solution, and the mass fraction of a brine of
// which the salts per volume are known.
#pragma once

#include "lutum/brine/make_up.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

// The two factors of temperature in the apparent density of each salt, in the order of Salt.
struct SaltSteps {
  Step warmth, thinning;
  std::string_view chloride_share = {}, metal_share = {};  // symbols
};

namespace describe {

constexpr Variable fraction(std::string_view name, std::string_view symbol, std::string_view meaning, Limits validated = {}) {
  const Limits limits = validated.bounded() ? Limits{0.0, 0.8} : Limits{};
  return {.name = name, .symbol = symbol, .quantity = Quantity::mass_fraction, .meaning = meaning, .limits = limits, .validated = validated};
}
constexpr Variable per_volume(std::string_view name, std::string_view symbol, std::string_view meaning, double most = infinity,
    double usual = infinity) {
  const auto range = [](double x) { return x < infinity ? Limits{0.0, x} : Limits{}; };
  return {.name = name, .symbol = symbol, .quantity = Quantity::ion_concentration, .meaning = meaning, .limits = range(most),
      .validated = range(usual)};
}
inline constexpr Variable all_salt{.name = "mass_fraction", .symbol = "w", .quantity = Quantity::mass_fraction, .meaning = "all salt in the "
                                                                                                                           "brine by mass"};

inline constexpr Verdict beyond_mixed_fraction{
    "beyond_mass_fraction", "more salt in all than the density relation was fitted to, each salt's range counted by its share: extrapolated",
    Severity::caution};
inline constexpr Verdict beyond_mixed_temperature{
    "beyond_temperature", "the temperature lies outside the measurements of one of the salts: the numbers are extrapolated", Severity::caution};

inline constexpr std::string_view exponential_factor = "exponential factor in the apparent density of each salt";
inline constexpr std::string_view linear_factor = "linear factor in the apparent density of each salt";

inline constexpr std::array<SaltSteps, salt_count> steps{{
    {{"a_{NaCl}", Quantity::number, exponential_factor}, {"b_{NaCl}", Quantity::number, linear_factor},
     "x_{Cl,NaCl}", "x_{Na,NaCl}"},
    {{"a_{KCl}", Quantity::number, exponential_factor}, {"b_{KCl}", Quantity::number, linear_factor},
     "x_{Cl,KCl}", "x_{K,KCl}"},
    {{"a_{CaCl2}", Quantity::number, exponential_factor}, {"b_{CaCl2}", Quantity::number, linear_factor},
     "x_{Cl,CaCl2}", "x_{Ca,CaCl2}"},
    {{"a_{MgCl2}", Quantity::number, exponential_factor}, {"b_{MgCl2}", Quantity::number, linear_factor},
     "x_{Cl,MgCl2}", "x_{Mg,MgCl2}"},
    {{"a_{NaBr}", Quantity::number, exponential_factor}, {"b_{NaBr}", Quantity::number, linear_factor},
     "", "x_{Na,NaBr}"},
    {{"a_{KBr}", Quantity::number, exponential_factor}, {"b_{KBr}", Quantity::number, linear_factor},
     "", "x_{K,KBr}"},
    {{"a_{NaHCO2}", Quantity::number, exponential_factor}, {"b_{NaHCO2}", Quantity::number, linear_factor},
     "", "x_{Na,NaHCO2}"},
    {{"a_{KHCO2}", Quantity::number, exponential_factor}, {"b_{KHCO2}", Quantity::number, linear_factor},
     "", "x_{K,KHCO2}"},
    {{"a_{K2CO3}", Quantity::number, exponential_factor}, {"b_{K2CO3}", Quantity::number, linear_factor},
     "", "x_{K,K2CO3}"},
}};
inline constexpr SaltSteps sodium_sulfate_steps{{"a_{Na2SO4}", Quantity::number, exponential_factor}, {"b_{Na2SO4}", Quantity::number,
    linear_factor}};

// Shares of the ions in each salt, with a symbol for each salt.
inline constexpr auto share_constants = [] {
  struct Shares {
    std::array<Constant, salt_count> chloride, metal;
  } r{};
  for (std::size_t i = 0; i < salt_count; ++i) {
    r.chloride[i] = {steps[i].chloride_share, salts[i].anion_share(), Quantity::number, "share of the ion in the salt by mass"};
    r.metal[i] = {steps[i].metal_share, salts[i].cation_share(), Quantity::number, "share of the ion in the salt by mass"};
  }
  return r;
}();

constexpr const SaltSteps& steps_of(Salt s) { return steps[static_cast<std::size_t>(s)]; }

}  // namespace describe

struct NamedSalt {
  SaltData data;
  SaltSteps steps;
};
constexpr NamedSalt named(Salt s) { return {data(s), describe::steps_of(s)}; }

// In 1 m3 of brine the salts take the volume S, water the rest. Zero where w is all salt over salt and water, both divided
// by the water that would fill the volume: w (load + 1 - S(w)) = load. Its only state are plain numbers of the table.
template <std::size_t N>
struct SeveralSaltsBalance {
  std::array<NamedSalt, N> which;

  template <class T, class... P>
  constexpr T operator()(const T& w, const T& load, const P&... amounts_then_warmth_then_thinning) const {
    const std::array<T, 3 * N> p{amounts_then_warmth_then_thinning...};
    return w * (load + T(1.0) - taken(w, p)) - load;
  }

  // m3 of salt in 1 m3 of brine.
  template <class T>
  constexpr T taken(const T& w, const std::array<T, 3 * N>& p) const {
    T sum = salt_volume_number(p[0], w, which[0].data, p[N], p[2 * N]);
    for (std::size_t i = 1; i < N; ++i) sum = sum + salt_volume_number(p[i], w, which[i].data, p[N + i], p[2 * N + i]);
    return sum;
  }
};

template <class T>
struct SeveralSalts {
  T mass_fraction, volume, water;  // volume of 1 kg of brine and density of water as numbers
};

inline constexpr Limits several_salts_bracket{-0.2, 0.6};

// The brine of so many kg/m3 of each salt (numbers), and of all of them.
template <class T, std::size_t N>
constexpr SeveralSalts<T> brine_of(const std::array<NamedSalt, N>& which, const std::array<T, N>& amounts, const T& total, const T& temperature) {
  const T t = celsius_number(temperature), water = water_at(t);
  const SeveralSaltsBalance<N> balance{which};
  std::array<T, 3 * N> p{};
  for (std::size_t i = 0; i < N; ++i) {
    p[i] = amounts[i];
    p[N + i] = warmth_at(t, which[i].data, which[i].steps.warmth);
    p[2 * N + i] = thinning_at(t, which[i].data, which[i].steps.thinning);
  }
  const T load = step({"\\lambda", Quantity::number, "salt for each kg of the water that would fill the volume"}, total / water);
  const auto [low, high] = several_salts_bracket;
  const Bracket<T> bracket{T(low), T(high), total / (water + (T(0.70) - T(2e-4) * total) * total)};
  const T root = inside(
      [&]<std::size_t... I>(std::index_sequence<I...>) {
        return solve({"w", Quantity::mass_fraction, "all salt in the brine by mass"}, balance, bracket, load, p[I]...);
      }(std::make_index_sequence<3 * N>{}),
      low, high);
  T room = T(which[0].data.most) * amounts[0];  // w of no more than dissolves, each salt by its share, times the total
  for (std::size_t i = 1; i < N; ++i) room = room + T(which[i].data.most) * amounts[i];
  const T w = only_if(larger(root, T(0.0)) * total <= room, root);
  const T taken = step({"S", Quantity::number, "volume of the dissolved salts in 1 m3 of brine"}, balance.taken(w, p));
  const T heavy = step({"\\hat\\rho_{b}", Quantity::number, "density of the brine in kg/m3: salts, and water in the rest of the volume"},
                       total + (T(1.0) - taken) * water);
  return {w, step({"\\hat v_{b}", Quantity::number, "volume of 1 kg of brine in m3"}, T(1.0) / heavy), water};
}

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
