// Brines of several salts: the names of each salt's numbers in a worked solution, and the mass fraction of a brine of
// which the salts per volume are known.
#pragma once

#include "lutum/brine/make_up.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

// The two factors of temperature in the apparent density of each salt, in the order of Salt.
struct SaltSteps {
  struct Share {
    std::string_view symbol = {}, meaning = {};
  };
  Step warmth, thinning;
  Share chloride = {}, metal = {};
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

inline constexpr std::array<SaltSteps, salt_count> steps{{
    {{"a_{NaCl}", Quantity::number, "exponential factor in the apparent density of sodium chloride"},
     {"b_{NaCl}", Quantity::number, "linear factor in the apparent density of sodium chloride"},
     {"x_{Cl,NaCl}", "share of chloride in sodium chloride by mass"},
     {"x_{Na,NaCl}", "share of sodium in sodium chloride by mass"}},
    {{"a_{KCl}", Quantity::number, "exponential factor in the apparent density of potassium chloride"},
     {"b_{KCl}", Quantity::number, "linear factor in the apparent density of potassium chloride"},
     {"x_{Cl,KCl}", "share of chloride in potassium chloride by mass"},
     {"x_{K,KCl}", "share of potassium in potassium chloride by mass"}},
    {{"a_{CaCl2}", Quantity::number, "exponential factor in the apparent density of calcium chloride"},
     {"b_{CaCl2}", Quantity::number, "linear factor in the apparent density of calcium chloride"},
     {"x_{Cl,CaCl2}", "share of chloride in calcium chloride by mass"},
     {"x_{Ca,CaCl2}", "share of calcium in calcium chloride by mass"}},
    {{"a_{MgCl2}", Quantity::number, "exponential factor in the apparent density of magnesium chloride"},
     {"b_{MgCl2}", Quantity::number, "linear factor in the apparent density of magnesium chloride"},
     {"x_{Cl,MgCl2}", "share of chloride in magnesium chloride by mass"},
     {"x_{Mg,MgCl2}", "share of magnesium in magnesium chloride by mass"}},
    {{"a_{NaBr}", Quantity::number, "exponential factor in the apparent density of sodium bromide"},
     {"b_{NaBr}", Quantity::number, "linear factor in the apparent density of sodium bromide"},
     {},
     {"x_{Na,NaBr}", "share of sodium in sodium bromide by mass"}},
    {{"a_{KBr}", Quantity::number, "exponential factor in the apparent density of potassium bromide"},
     {"b_{KBr}", Quantity::number, "linear factor in the apparent density of potassium bromide"},
     {},
     {"x_{K,KBr}", "share of potassium in potassium bromide by mass"}},
    {{"a_{NaHCO2}", Quantity::number, "exponential factor in the apparent density of sodium formate"},
     {"b_{NaHCO2}", Quantity::number, "linear factor in the apparent density of sodium formate"},
     {},
     {"x_{Na,NaHCO2}", "share of sodium in sodium formate by mass"}},
    {{"a_{KHCO2}", Quantity::number, "exponential factor in the apparent density of potassium formate"},
     {"b_{KHCO2}", Quantity::number, "linear factor in the apparent density of potassium formate"},
     {},
     {"x_{K,KHCO2}", "share of potassium in potassium formate by mass"}},
    {{"a_{K2CO3}", Quantity::number, "exponential factor in the apparent density of potassium carbonate"},
     {"b_{K2CO3}", Quantity::number, "linear factor in the apparent density of potassium carbonate"},
     {},
     {"x_{K,K2CO3}", "share of potassium in potassium carbonate by mass"}},
}};
inline constexpr SaltSteps sodium_sulfate_steps{{"a_{Na2SO4}", Quantity::number, "exponential factor in the apparent density of sodium sulfate"},
                                                {"b_{Na2SO4}", Quantity::number, "linear factor in the apparent density of sodium sulfate"}};

// Shares of the ions in each salt, with a symbol for each salt.
inline constexpr auto share_constants = [] {
  struct Shares {
    std::array<Constant, salt_count> chloride, metal;
  } r{};
  for (std::size_t i = 0; i < salt_count; ++i) {
    r.chloride[i] = {steps[i].chloride.symbol, salts[i].anion_share(), Quantity::number, steps[i].chloride.meaning};
    r.metal[i] = {steps[i].metal.symbol, salts[i].cation_share(), Quantity::number, steps[i].metal.meaning};
  }
  return r;
}();

constexpr const SaltSteps& steps_of(Salt s) { return steps[static_cast<std::size_t>(s)]; }

}  // namespace describe

// How much denser a thin brine at 20 degC is for each kg/m3 of a salt in it.
constexpr double denser_by(const SaltData& salt) {
  const double t = 20.0, apparent = salt.c[1] * lutum::detail::exp_value(1e-6 * (t + salt.c[4]) * (t + salt.c[4])) / (salt.c[2] + salt.c[3] * t);
  return 1.0 - water_density_number(t) / apparent;
}

struct NamedSalt {
  SaltData data;
  SaltSteps steps;
  double denser = denser_by(data);
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

  // m3 of salt in 1 m3 of brine, S.
  template <class T>
  constexpr T taken(const T& w, const std::array<T, 3 * N>& p) const {
    T sum = salt_volume_number(p[0], w, which[0].data, p[N], p[2 * N]);
    for (std::size_t i = 1; i < N; ++i) sum = sum + salt_volume_number(p[i], w, which[i].data, p[N + i], p[2 * N + i]);
    return step({"S", Quantity::number, "volume of the dissolved salts in 1 m3 of brine"}, sum);
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
  // Good to 2e-4 for filtrates at 20 degC: two of Newton's steps are enough.
  T start_density = water - T(2e-4) * square(total);
  for (std::size_t i = 0; i < N; ++i) start_density = start_density + T(which[i].denser) * amounts[i];
  const Bracket<T> bracket{T(low), T(high), total / start_density};
  const T root = inside(
      [&]<std::size_t... I>(std::index_sequence<I...>) {
        return solve({"w", Quantity::mass_fraction, "all salt in the brine by mass"}, balance, bracket, load, p[I]...);
      }(std::make_index_sequence<3 * N>{}),
      low, high);
  T room = T(which[0].data.most) * amounts[0];  // w of no more than dissolves, each salt by its share, times the total
  for (std::size_t i = 1; i < N; ++i) room = room + T(which[i].data.most) * amounts[i];
  const T w = only_if(larger(root, T(0.0)) * total <= room, root);
  const T taken = balance.taken(w, p);
  const T heavy = step({"\\hat\\rho_{b}", Quantity::number, "density of the brine in kg/m3: salts, and water in the rest of the volume"},
                       total + (T(1.0) - taken) * water);
  return {w, step({"\\hat v_{b}", Quantity::number, "volume of 1 kg of brine in m3"}, T(1.0) / heavy), water};
}

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
