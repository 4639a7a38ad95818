// Salt that raises the salinity of the water phase.
#pragma once

#include "lutum/chemistry/salt_masses.hpp"

namespace lutum::inline LUTUM_ISA_TAG::treatment {

enum class WaterPhaseSalt : std::uint8_t { calcium_chloride, sodium_chloride, potassium_chloride };
inline constexpr std::array water_phase_salt_choices{
    Choice{"calcium_chloride", "calcium chloride, CaCl2"},
    Choice{"sodium_chloride", "sodium chloride, NaCl"},
    Choice{"potassium_chloride", "potassium chloride, KCl"},
};

struct SaltAddition : Calculation<SaltAddition> {
  using Option = WaterPhaseSalt;
  static constexpr OptionInfo option{.name = "salt", .meaning = "salt that is added", .choices = water_phase_salt_choices};

  template <class T>
  struct Input {
    T salt_mass_fraction = T(not_a_number);
    T target_mass_fraction = T(not_a_number);
    T water_fraction = T(not_a_number);
    T purity = T(1.0);
    T product_water_fraction = T(0.0);
    T water_density = T(997.05);
    T mud_volume = T(not_a_number);
  };

  template <class T>
  struct Result {
    T treatment_concentration;
    T product_mass;
    T salt_gained;
    T chloride_gained;
    T water_gained;
  };

  static constexpr std::array inputs{
      Variable{.name = "salt_mass_fraction", .symbol = "w_{1}", .quantity = Quantity::mass_fraction,
               .meaning = "this salt in the water phase by mass", .limits = {0.0, 0.75}, .validated = {0.0, 0.4}},
      Variable{.name = "target_mass_fraction", .symbol = "w_{2}", .quantity = Quantity::mass_fraction,
               .meaning = "this salt wanted in the water phase by mass", .limits = {0.0, 0.75}, .validated = {0.0, 0.4}},
      Variable{.name = "water_fraction", .symbol = "\\varphi_{w}", .quantity = Quantity::volume_fraction,
               .meaning = "water read in the retort receiver, by volume of mud", .limits = {0.0, 1.0}, .validated = {0.02, 1.0}},
      Variable{.name = "purity", .symbol = "p", .quantity = Quantity::mass_fraction, .meaning = "salt in the product by mass, reckoned free of water",
               .limits = {0.01, 1.0}, .validated = {0.7, 1.0}},
      Variable{.name = "product_water_fraction", .symbol = "h", .quantity = Quantity::mass_fraction,
               .meaning = "water in the product by mass: most of what is not salt in flake calcium chloride", .limits = {0.0, 0.99},
               .validated = {0.0, 0.3}},
      Variable{.name = "water_density", .symbol = "\\rho_{w}", .quantity = Quantity::density,
               .meaning = "density of pure water when the receiver is read; the default is that of 25 degC", .limits = {900.0, 1005.0},
               .validated = {985.0, 1000.0}},
      Variable{.name = "mud_volume", .symbol = "V", .quantity = Quantity::mud_volume, .meaning = "active volume to be treated", .limits = {0.0, 1e5},
               .validated = {1.0, 5000.0}, .optional = true, .if_missing = "totals are then not known."},
  };

  static constexpr std::array results{
      Variable{.name = "treatment_concentration", .symbol = "c_{t}", .quantity = Quantity::concentration,
               .meaning = "product to add per volume of mud, signed"},
      Variable{.name = "product_mass", .symbol = "m", .quantity = Quantity::product_mass, .meaning = "product to add to the active volume"},
      Variable{.name = "salt_gained", .symbol = "\\Delta c_{s}", .quantity = Quantity::concentration, .meaning = "pure salt added per volume of mud"},
      Variable{.name = "chloride_gained", .symbol = "\\Delta c_{Cl}", .quantity = Quantity::ion_concentration,
               .meaning = "chloride added per volume of whole mud, as a titration of the whole mud sees it before the volume grows"},
      Variable{.name = "water_gained", .symbol = "\\Delta c_{w}", .quantity = Quantity::concentration,
               .meaning = "water that the product brings, per volume of mud"},
  };

  static constexpr Sheet sheet{
      .id = "treatment.salt_addition",
      .title = "Raising the salinity of the water phase",
      .answers = "How much salt brings the water phase from one salinity to another?",
      .equations = "r = w / (1 - w); c_t = phi_w rho_w (r_2 - r_1) / (p - h r_2); salt p c_t; water h c_t",
      .source = "Mass of salt and of water (derived). A purity of 94 to 97 %, or 77 % for flake, is common practice, no source. Saturation from "
                "memory.",
      .assumptions = "The salt named is the only one in the water phase, and all of the product dissolves. What is neither salt nor water in the "
                     "product is inert. Dissolving salt adds volume and density: a brine calculation tells how much.",
      .cautions = "Too strong a brine draws water from the rock, flocculates clay and wastes salt; solid salt settles and weakens the emulsion. "
                  "Calcium chloride heats as it dissolves and its brine burns skin: add slowly to water or mud, gloves and goggles, never wet it in "
                  "the sack. Pilot test first; local rules and licensed practice decide.",
  };

  static constexpr std::array verdicts{
      Verdict{"dissolves", "so strong a brine exists at 25 degC"},
      Verdict{"not_saltier", "no more salt is wanted than there is: amounts are negative or nothing; add water instead", Severity::caution},
      Verdict{"beyond_saturation", "stronger than about a saturated brine at 25 degC: 26.4 wt % sodium chloride, 26.2 wt % potassium chloride, 45 "
                                   "wt % calcium chloride", Severity::caution},
      Verdict{"product_too_wet", "purity and water together are more than the product, or its own water makes no brine so strong: no amount gives "
                                 "it", Severity::impossible},
      Verdict{"missing", "a value is missing"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r, Option salt) {
    const double known =
        in.salt_mass_fraction + in.target_mass_fraction + in.water_fraction + in.purity + in.product_water_fraction + in.water_density;
    if (!(known == known)) return 4;
    if (!(r.treatment_concentration == r.treatment_concentration)) return 3;
    if (in.target_mass_fraction <= in.salt_mass_fraction) return 1;
    const double saturated = salt == Option::calcium_chloride ? 0.45 : salt == Option::sodium_chloride ? 0.264 : 0.262;
    return in.target_mass_fraction > saturated ? 2 : 0;
  }

  static constexpr Input<double> example() {
    return {.salt_mass_fraction = 0.2, .target_mass_fraction = 0.25, .water_fraction = 0.18, .purity = 0.95, .product_water_fraction = 0.04, .mud_volume = 159.0};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in, Option salt) {
    const T now = step({"r_{1}", Quantity::number, "salt for each mass of water, now"}, in.salt_mass_fraction / (T(1.0) - in.salt_mass_fraction));
    const T wanted = step({"r_{2}", Quantity::number, "salt for each mass of water, wanted"},
                          in.target_mass_fraction / (T(1.0) - in.target_mass_fraction));
    const T water = step({"c_{w}", Quantity::concentration, "water per volume of mud"}, in.water_fraction * in.water_density);
    const T left = step({"q", Quantity::number, "salt of the product that its own water does not need, by mass of product"},
                        in.purity - in.product_water_fraction * wanted);
    Result<T> r;
    const auto gains = left > T(0.0), fits = in.purity + in.product_water_fraction <= T(1.0 + 1e-9);
    r.treatment_concentration = water * (wanted - now) / only_if(gains & fits, left);
    r.product_mass = r.treatment_concentration * in.mud_volume;
    r.salt_gained = in.purity * r.treatment_concentration;
    const Constant& mass = salt == Option::sodium_chloride      ? chemistry::sodium_chloride_mass
                           : salt == Option::potassium_chloride ? chemistry::potassium_chloride_mass
                                                                : chemistry::calcium_chloride_mass;
    const T chlorides = salt == Option::calcium_chloride ? T(2.0) * r.salt_gained : r.salt_gained;
    r.chloride_gained = chlorides / constant<T>(mass) * constant<T>(chemistry::chloride_mass);
    r.water_gained = in.product_water_fraction * r.treatment_concentration;
    return r;
  }
};

inline constexpr SaltAddition salt_addition{};

}  // namespace lutum::inline LUTUM_ISA_TAG::treatment
