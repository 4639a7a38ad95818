// Osmotic coefficient and water activity of the solution of one salt at 25 degC by Pitzer's equation.
#pragma once

#include "lutum/brine/salts.hpp"

namespace lutum::inline LUTUM_ISA_TAG::brine {

enum class ActivitySalt : std::uint8_t { sodium_chloride, potassium_chloride, calcium_chloride, sodium_bromide, sodium_formate };

inline constexpr std::array activity_salt_choices{salt_choices[0], salt_choices[1], salt_choices[2], salt_choices[4], salt_choices[6]};

struct Pitzer {
  Salt salt;
  double b0, b1, c;           // second and third virial coefficients at 25 degC
  double highest;             // molality to which the source gives them
  double cations, anions;     // ions in the salt; one of them is always 1, and the charges cross over

  constexpr double ions() const { return cations + anions; }
  constexpr double product() const { return cations * anions; }  // also of the charges, for these salts
};

inline constexpr std::array<Pitzer, activity_salt_choices.size()> pitzer{{
    {Salt::sodium_chloride, 0.07831, 0.2677, 0.000864, 6.15, 1, 1},
    {Salt::potassium_chloride, 0.04874, 0.2215, -0.00098, 5.0, 1, 1},
    {Salt::calcium_chloride, 0.3159, 1.614, 1.4e-4, 5.0, 1, 2},
    {Salt::sodium_bromide, 0.1083, 0.239, -0.00104, 9.0, 1, 1},
    {Salt::sodium_formate, 0.07486, 0.3067, -0.00327, 3.5, 1, 1},
}};

constexpr const Pitzer& data(ActivitySalt s) { return pitzer[static_cast<std::size_t>(s)]; }

inline constexpr Constant one_molality{"1\\,\\mathrm{mol/kg}", 1.0, Quantity::molality, "unit of molality", true};
inline constexpr Constant water_molar_mass{"M_{w}", 1e-3 * (2.0 * chemistry::element::hydrogen + chemistry::element::oxygen), Quantity::molar_mass,
                                           "molar mass of water"};
inline constexpr auto activity_molar_masses = [] {
  std::array<Constant, pitzer.size()> r{};
  for (std::size_t i = 0; i < r.size(); ++i) r[i] = {"M_{s}", 1e-3 * brine::data(pitzer[i].salt).molar_mass(), Quantity::molar_mass, "molar mass "
                                                                                                                                     "of the salt"};
  return r;
}();
constexpr const Constant& molar_mass_of(ActivitySalt s) { return activity_molar_masses[static_cast<std::size_t>(s)]; }

// The root of an ionic strength; its infinite slope in pure water, always multiplied by no salt, is left out.
template <class T>
T root_of_strength(const T& strength) {
  if constexpr (std::is_same_v<T, traced>) {
    return sqrt(strength);
  } else {
    return sqrt(larger(strength, T(1e-300)));
  }
}

// c x, without a factor of one.
template <class T>
T times(double c, const T& x) {
  return c == 1.0 ? x : T(c) * x;
}

// At molality m, mol/kg as a number. f is Debye and Hueckel's term, the rest the virial coefficients.
template <class T>
T osmotic_coefficient_number(const T& m, const Pitzer& p, const Step& root_name, const Step& f_name) {
  const double strength_of_m = 0.5 * (p.cations * p.anions * p.anions + p.anions * p.cations * p.cations);
  const double root_of_product = p.product() == 1.0 ? 1.0 : 1.4142135623730951;
  const T root = step(root_name, root_of_strength(times(strength_of_m, m)));
  const T f = step(f_name, T(-0.3915) * root / (T(1.0) + T(1.2) * root));
  const T second = times(2.0 * p.product() / p.ions(), m) * (line(p.b0, p.b1, exp(T(-2.0) * root)));
  const T third = T(2.0 * p.product() * root_of_product / p.ions() * p.c) * square(m);
  return T(1.0) + times(p.product(), f) + second + third;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::brine
