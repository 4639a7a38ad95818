// The whole well while it is circulated: from the pump down the string, through the bit and up the annulus, section by section.
// Friction along measured depth, hydrostatic pressure and equivalent density on true vertical depth.
#pragma once

#include "lutum/hydraulics/annulus_loss.hpp"
#include "lutum/hydraulics/bit_pressure_loss.hpp"
#include "lutum/hydraulics/pipe_loss.hpp"
#include "lutum/hydraulics/surface_lines.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct Circulation : Calculation<Circulation> {
  static constexpr bool searches = true;
  using Option = FrictionMethod;
  static constexpr OptionInfo option = friction_method;

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T yield_stress = T(not_a_number);
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T flow_rate = T(not_a_number);
    T nozzle_area = T(not_a_number);
    T bit_diameter = T(not_a_number);
    T discharge_coefficient = T(0.95);
    T surface_coefficient = T(0.0);
    T tool_pressure = T(0.0);
    T tool_flow_rate = T(0.03);
    T back_pressure = T(0.0);
    T penetration_rate_of_bit = T(0.0);
    T cuttings_density = T(2600.0);
    T rotation_factor = T(1.0);
  };

  template <class T>
  struct Row {
    T bottom_measured_depth = T(not_a_number);
    T bottom_true_vertical_depth = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T bore = T(not_a_number);
    T eccentricity = T(not_a_number);
    T roughness = T(not_a_number);
    T slip_velocity = T(not_a_number);
  };

  template <class T>
  struct Alone {
    T velocity;
    T annulus_gradient;
    T string_gradient;
    T cuttings_fraction;
  };

  template <class T>
  struct Carry {
    T measured_depth;
    T true_vertical_depth;
    T annulus_loss;
    T string_loss;
    T hydrostatic_pressure;
    T bit_loss;
    T surface_loss;
    T tool_loss;
  };

  template <class T>
  struct Result {
    T velocity;
    T annulus_gradient;
    T string_gradient;
    T cuttings_fraction;
    T annulus_loss;
    T string_loss;
    T bit_loss;
    T surface_loss;
    T tool_loss;
    T hydrostatic_pressure;
    T pressure;
    T equivalent_density;
    T pump_pressure;
  };

  static constexpr std::array inputs{
      describe::density, describe::yield_stress, describe::consistency, describe::flow_index,
      Variable{.name = "flow_rate", .symbol = "q", .quantity = Quantity::flow_rate, .meaning = "rate pumped; nothing at rest", .limits = {0.0, 1.0},
               .validated = {0.0, 0.2}},
      Variable{.name = "nozzle_area", .symbol = "A_{n}", .quantity = Quantity::area, .meaning = "flow area of all nozzles together",
               .limits = {1e-6, 0.1}, .validated = {5e-5, 5e-3}},
      Variable{.name = "bit_diameter", .symbol = "D_{b}", .quantity = Quantity::diameter, .meaning = "diameter of the bit", .limits = {0.02, 2.0},
               .validated = {0.07, 1.0}},
      circuit::discharge_coefficient,
      Variable{.name = "surface_coefficient", .symbol = "E", .quantity = Quantity::number,
               .meaning = "coefficient of the surface lines, for lb/gal, gal/min, cP and psi (see hydraulics.surface_lines); 0 leaves them out",
               .limits = {0.0, 0.1}, .validated = {0.0, 5e-4}},
      Variable{.name = "tool_pressure", .symbol = "p_{m}", .quantity = Quantity::pressure,
               .meaning = "loss of motor and measuring tools at tool_flow_rate with this fluid; 0 without them", .limits = {0.0, 1e8},
               .validated = {0.0, 2e7}},
      Variable{.name = "tool_flow_rate", .symbol = "q_{m}", .quantity = Quantity::flow_rate, .meaning = "flow rate at which that loss was told",
               .limits = {1e-6, 1.0}, .validated = {1e-3, 0.2}},
      Variable{.name = "back_pressure", .symbol = "p_{0}", .quantity = Quantity::pressure, .meaning = "pressure held on the annulus at the surface",
               .limits = {0.0, 1e9}, .validated = {0.0, 1e8}},
      Variable{.name = "penetration_rate_of_bit", .symbol = "R", .quantity = Quantity::drilling_rate, .meaning = "penetration rate; 0 when not drilling",
               .limits = {0.0, 1.0}, .validated = {0.0, 0.05}},
      Variable{.name = "cuttings_density", .symbol = "\\rho_{c}", .quantity = Quantity::density, .meaning = "density of the cuttings",
               .limits = {500.0, 8000.0}, .validated = {2000.0, 3000.0}},
      Variable{.name = "rotation_factor", .symbol = "F_{r}", .quantity = Quantity::number,
               .meaning = "factor on the annulus's loss for rotation of the string, as the user declares it", .limits = {0.1, 10.0},
               .validated = {0.7, 2.0}},
  };

  static constexpr std::array rows{
      describe::bottom_measured_depth, describe::bottom_true_vertical_depth, describe::column(describe::hole_diameter),
      Variable{.name = "pipe_diameter", .symbol = "d", .quantity = Quantity::diameter,
               .meaning = "outside diameter of the string's part, smaller than the hole; 0 below the bit", .limits = {0.0, 2.0}, .validated = {0.0, 1.0},
               .length = any_length},
      Variable{.name = "bore", .symbol = "D_{i}", .quantity = Quantity::diameter, .meaning = "bore of the string's part; 0 below the bit",
               .limits = {0.0, 2.0}, .validated = {0.0, 0.6}, .length = any_length},
      describe::column(describe::eccentricity),
      Variable{.name = "roughness", .symbol = "k", .quantity = Quantity::diameter,
               .meaning = "height of the roughness of the bore's wall; not in the standard's method",
               .limits = {0.0, 0.01}, .validated = {0.0, 0.0005}, .length = any_length},
      Variable{.name = "slip_velocity", .symbol = "v_{s}", .quantity = Quantity::velocity,
               .meaning = "velocity at which the cuttings fall through the fluid there; 0 loads the annulus with what is fed to it, no more; not used "
                          "where nothing is drilled",
               .limits = {0.0, 10.0}, .validated = {0.0, 1.0}, .length = any_length},
  };

  static constexpr std::array carried{
      Variable{.name = "measured_depth", .symbol = "L_{a}", .quantity = Quantity::length, .meaning = "measured depth of the section's top"},
      Variable{.name = "true_vertical_depth", .symbol = "z_{a}", .quantity = Quantity::length, .meaning = "true vertical depth of the section's top"},
      Variable{.name = "annulus_loss", .symbol = "\\Delta p_{a,a}", .quantity = Quantity::pressure, .meaning = "loss of the annulus above"},
      Variable{.name = "string_loss", .symbol = "\\Delta p_{s,a}", .quantity = Quantity::pressure, .meaning = "loss of the string above"},
      Variable{.name = "hydrostatic_pressure", .symbol = "p_{h,a}", .quantity = Quantity::pressure, .meaning = "pressure of the column above"},
      Variable{.name = "bit_loss", .symbol = "\\Delta p_{b,0}", .quantity = Quantity::pressure, .meaning = "loss of the bit, as hydraulics.bit_pressure_loss"},
      Variable{.name = "surface_loss", .symbol = "\\Delta p_{l,0}", .quantity = Quantity::pressure,
               .meaning = "loss of the surface lines, as hydraulics.surface_lines"},
      Variable{.name = "tool_loss", .symbol = "\\Delta p_{m,0}", .quantity = Quantity::pressure, .meaning = "loss of motor and tools, p_m (q/q_m)^2"},
  };

  static constexpr std::array results{
      Variable{.name = "velocity", .symbol = "V", .quantity = Quantity::velocity, .meaning = "mean velocity of the fluid up the annulus", .length = any_length},
      Variable{.name = "annulus_gradient", .symbol = "g_{a}", .quantity = Quantity::pressure_gradient,
               .meaning = "friction up the annulus per measured length", .length = any_length},
      Variable{.name = "string_gradient", .symbol = "g_{s}", .quantity = Quantity::pressure_gradient,
               .meaning = "friction down the string per measured length", .length = any_length},
      Variable{.name = "cuttings_fraction", .symbol = "c", .quantity = Quantity::volume_fraction,
               .meaning = "cuttings that stand in the annulus, by volume; missing where they are not lifted or would fill it", .length = any_length},
      Variable{.name = "annulus_loss", .symbol = "\\Delta p_{a}", .quantity = Quantity::pressure,
               .meaning = "friction up the annulus, from the section's bottom to the surface", .length = any_length},
      Variable{.name = "string_loss", .symbol = "\\Delta p_{s}", .quantity = Quantity::pressure,
               .meaning = "friction down the string, from the surface to the section's bottom", .length = any_length},
      Variable{.name = "bit_loss", .symbol = "\\Delta p_{b}", .quantity = Quantity::pressure, .meaning = "loss of the bit's nozzles", .length = any_length},
      Variable{.name = "surface_loss", .symbol = "\\Delta p_{l}", .quantity = Quantity::pressure, .meaning = "loss of the surface lines",
               .length = any_length},
      Variable{.name = "tool_loss", .symbol = "\\Delta p_{m}", .quantity = Quantity::pressure, .meaning = "loss of motor and measuring tools",
               .length = any_length},
      Variable{.name = "hydrostatic_pressure", .symbol = "p_{h}", .quantity = Quantity::pressure,
               .meaning = "pressure of the column of fluid and cuttings on true vertical depth", .length = any_length},
      Variable{.name = "pressure", .symbol = "p", .quantity = Quantity::pressure, .meaning = "pressure in the annulus at the section's bottom",
               .length = any_length},
      Variable{.name = "equivalent_density", .symbol = "\\rho_{e}", .quantity = Quantity::density,
               .meaning = "density of a resting column with that pressure there; missing at no depth", .length = any_length},
      Variable{.name = "pump_pressure", .symbol = "p_{p}", .quantity = Quantity::pressure,
               .meaning = "pressure at the pump if the string ended there: that of the last row is the well's", .length = any_length},
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.circulation",
      .title = "The well while it is circulated",
      .answers = "What does the pump need, and what pressure does every depth feel, while the well is circulated?",
      .equations = "g_a: hydraulics.annulus_loss; g_s: hydraulics.pipe_loss; dp_a = sum of g_a dL; dp_s = sum of g_s dL; c = q_r/((q + q_r) F), q_r "
                   "= R pi/4 D_b^2, F = 1 - v_s A/(q + q_r); p_h = sum of (rho + c (rho_c - rho)) g dz; p = p_0 + p_h + dp_a; rho_e = p/(g z); p_p "
                   "= p_0 + dp_l + dp_s + dp_m + dp_b + dp_a + p_h - rho g z, dp_m = p_m (q/q_m)^2",
      .source = "Hydrostatics, force and volume balance (derived); friction, bit and surface lines as their calculations say. Plastic viscosity of "
                "the surface lines: the flow curve's own, between 600 and 300 r/min. Tools as a nozzle, with the square of the rate (common practice, no "
                "source).",
      .assumptions = "Steady flow of one incompressible fluid with one flow curve; cuttings weigh but do not thicken, a bed of them in an inclined "
                     "hole is not in it (cuttings.high_angle); what is drilled has filled the annulus; tool joints are sections "
                     "of their own, wear is not in it. Rows run from the surface down without gaps, the "
                     "string from the surface to the bit. Below the bit nothing flows. Temperature and compressibility are not in it.",
      .cautions = "Advisory. Pressures near a pore, collapse or fracture limit are for the well's own programme, its barriers and licensed practice to "
                  "decide; round against the limit that threatens. Starting the pumps against a gel takes more. Measured "
                  "losses differ from any friction law by 10 to 20 % (common practice, no source).",
  };

  static constexpr Input<double> example() {
    return {.density = 1250.0, .yield_stress = 4.0, .consistency = 0.35, .flow_index = 0.68, .flow_rate = 0.036, .nozzle_area = 4e-4, .bit_diameter = 0.2159,
            .surface_coefficient = 5e-5, .tool_pressure = 2e6,
            .back_pressure = 3e5, .penetration_rate_of_bit = 0.006};
  }
  static constexpr std::array<std::array<double, 8>, 3> example_rows{{
      {1500.0, 1490.0, 0.2224, 0.127, 0.1086, 0.2, 1e-5, 0.1},
      {2600.0, 2300.0, 0.2224, 0.127, 0.1086, 0.5, 1e-5, 0.1},
      {2800.0, 2420.0, 0.2263, 0.1651, 0.0714, 0.6, 1e-5, 0.12},
  }};

  static constexpr Constant one_flow{"1\\,\\mathrm{m^{3}/s}", 1.0, Quantity::flow_rate, "unit of flow", true};
  static constexpr Constant one_metre{"1\\,\\mathrm{m}", 1.0, Quantity::length, "unit of length", true};

  template <class T>
  static Alone<T> alone(const Input<T>& in, const Row<T>& row, FrictionMethod method) {
    const auto in_string = row.pipe_diameter > T(0.0), known = row.pipe_diameter == row.pipe_diameter;
    // Below the bit any ducts will do: nothing flows there.
    const T pipe = only_if(known, select(in_string, row.pipe_diameter, row.hole_diameter / T(2.0)));
    const T bore = only_if(known, select(in_string, row.bore, row.hole_diameter));
    const auto annulus = call<AnnulusLoss, T>(
        {.density = in.density, .yield_stress = in.yield_stress, .consistency = in.consistency, .flow_index = in.flow_index,
         .hole_diameter = row.hole_diameter, .pipe_diameter = pipe, .flow_rate = in.flow_rate, .length = constant<T>(one_metre),
         .eccentricity = row.eccentricity, .rotation_factor = in.rotation_factor}, method, "ann");
    const auto string = call<PipeLoss, T>(
        {.density = in.density, .yield_stress = in.yield_stress, .consistency = in.consistency, .flow_index = in.flow_index,
         .inside_diameter = bore, .flow_rate = in.flow_rate, .length = constant<T>(one_metre), .roughness = row.roughness}, method, "str");
    Alone<T> r;
    r.velocity = select(in_string, annulus.velocity, annulus.velocity * T(0.0));
    r.annulus_gradient = select(in_string, annulus.pressure_gradient, annulus.pressure_gradient * T(0.0));
    r.string_gradient = select(in_string, string.pressure_gradient, string.pressure_gradient * T(0.0));
    r.cuttings_fraction = step({"c", Quantity::volume_fraction, "cuttings that stand in the annulus, by volume"},
                               only_if(known, standing_cuttings(in, row, in_string)));
    return r;
  }

  template <class T>
  static Carry<T> start(const Input<T>& in) {
    const T none = T(0.0) * in.back_pressure;
    const T at_300 = in.consistency * pow(constant<T>(rheology::rate_at_300), in.flow_index);
    const T plastic = at_300 * (pow(T(2.0), in.flow_index) - T(1.0)) / (constant<T>(rheology::rate_at_300) * constant<T>(one_per_second));
    const auto bit = evaluate_with<BitPressureLoss, T>({.density = in.density, .flow_rate = in.flow_rate, .nozzle_area = in.nozzle_area,
                                                        .bit_diameter = in.bit_diameter, .discharge_coefficient = in.discharge_coefficient}, {});
    const auto lines = evaluate_with<SurfaceLines, T>({.density = in.density, .flow_rate = in.flow_rate, .plastic_viscosity = plastic,
                                                       .coefficient = in.surface_coefficient}, SurfaceEquipment::given);
    return {none, none, none, none, none, bit.pressure_loss, lines.pressure_loss, in.tool_pressure * square(in.flow_rate / in.tool_flow_rate)};
  }

  template <class T>
  static std::pair<Result<T>, Carry<T>> evaluate(const Input<T>& in, const Row<T>& row, const Alone<T>& alone, const Carry<T>& above) {
    const T length = step({"\\Delta L", Quantity::length, "measured length of the section"}, row.bottom_measured_depth - above.measured_depth);
    const T along = only_if(length >= T(0.0), length);
    const T loaded = step({"\\rho_{l}", Quantity::density, "density of fluid and cuttings in the section"},
                          loaded_density(in.density, in.cuttings_density, alone.cuttings_fraction));
    Result<T> r;
    r.velocity = alone.velocity;
    r.annulus_gradient = alone.annulus_gradient;
    r.string_gradient = alone.string_gradient;
    r.cuttings_fraction = alone.cuttings_fraction;
    r.annulus_loss = above.annulus_loss + alone.annulus_gradient * along;
    r.string_loss = above.string_loss + alone.string_gradient * along;
    r.bit_loss = above.bit_loss;
    r.surface_loss = above.surface_loss;
    r.tool_loss = above.tool_loss;
    r.hydrostatic_pressure = above.hydrostatic_pressure + loaded * constant<T>(gravity) * (row.bottom_true_vertical_depth - above.true_vertical_depth);
    r.pressure = in.back_pressure + r.hydrostatic_pressure + r.annulus_loss;
    const auto deep = row.bottom_true_vertical_depth > T(0.0);
    r.equivalent_density = r.pressure / (only_if(deep, row.bottom_true_vertical_depth) * constant<T>(gravity));
    const T string_column = step({"p_{h,s}", Quantity::pressure, "pressure of the column inside the string"},
                                 in.density * constant<T>(gravity) * row.bottom_true_vertical_depth);
    r.pump_pressure = r.pressure - string_column + above.surface_loss + r.string_loss + above.tool_loss + above.bit_loss;
    return {r, {row.bottom_measured_depth, row.bottom_true_vertical_depth, r.annulus_loss, r.string_loss, r.hydrostatic_pressure, above.bit_loss,
                above.surface_loss, above.tool_loss}};
  }

 private:
  // Of the volume. Nothing where nothing is drilled, and below the bit; missing where what is drilled is not lifted.
  template <class T, class Flag>
  static T standing_cuttings(const Input<T>& in, const Row<T>& row, const Flag& in_string) {
    const T rock = rock_rate(in.penetration_rate_of_bit, in.bit_diameter);
    const T both = step({"q_{b}", Quantity::flow_rate, "fluid and rock together"}, in.flow_rate + rock);
    const T rises = step({"V_{b}", Quantity::velocity, "their mean velocity"}, both / annulus_area(row.hole_diameter, row.pipe_diameter));
    const T fed = step({"c_{f}", Quantity::number, "rock in what flows, by volume"}, rock / both);
    const T ratio = step({"F", Quantity::number, "velocity of the cuttings over that"}, T(1.0) - row.slip_velocity / rises);
    const T none = rock / constant<T>(one_flow) * T(0.0);
    const auto flows = in.flow_rate > T(0.0), drills = rock > T(0.0), rising = ratio > T(0.0);
    const auto steady = flows & rising;
    const T standing = select(drills, only_if(flows, standing_fraction(fed, ratio)), select(steady, fed / ratio, none));
    return select(in_string, standing, none);
  }
};

inline constexpr Circulation circulation{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
