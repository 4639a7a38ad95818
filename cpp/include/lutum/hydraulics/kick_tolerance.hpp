// The largest influx that can be shut in and circulated out past the weakest point: one bubble, hydrostatics and Boyle's law.
#pragma once

#include "lutum/hydraulics/annulus.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

struct KickTolerance : Calculation<KickTolerance> {
  template <class T>
  struct Input {
    T density = T(not_a_number);
    T pore_density = T(not_a_number);
    T fracture_density = T(not_a_number);
    T shoe_true_vertical_depth = T(not_a_number);
    T true_vertical_depth = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T collar_diameter = T(not_a_number);
    T collar_length = T(not_a_number);
    T influx_density = T(200.0);
    T pressure_margin = T(0.0);
    T shoe_length_ratio = T(1.0);
    T bottom_length_ratio = T(1.0);
  };

  template <class T>
  struct Result {
    T kick_intensity;
    T greatest_intensity;
    T shut_in_drill_pipe_pressure;
    T bottom_hole_pressure;
    T allowed_shoe_pressure;
    T surface_pressure;
    T influx_height;
    T volume_at_shoe;
    T volume_from_shoe;
    T volume_at_bottom;
    T kick_tolerance;
  };

  static constexpr std::array inputs{
      Variable{.name = "density", .symbol = "\\rho", .quantity = Quantity::density, .meaning = "density of the mud in pipe and annulus",
               .limits = {1.0, 4000.0}, .validated = {700.0, 2600.0}},
      Variable{.name = "pore_density", .symbol = "\\rho_{p}", .quantity = Quantity::density,
               .meaning = "equivalent density at the bottom of the formation that kicks; that of the mud, or less, for an influx that is swabbed in",
               .limits = {1.0, 5000.0}, .validated = {900.0, 2500.0}},
      Variable{.name = "fracture_density", .symbol = "\\rho_{fr}", .quantity = Quantity::density,
               .meaning = "equivalent density that the weakest point takes, from a leak-off test", .limits = {1.0, 5000.0},
               .validated = {1000.0, 2800.0}},
      Variable{.name = "shoe_true_vertical_depth", .symbol = "z_{s}", .quantity = Quantity::length,
               .meaning = "true vertical depth of the weakest point, usually the shoe", .limits = {0.1, 20000.0}, .validated = {50.0, 12000.0}},
      Variable{.name = "true_vertical_depth", .symbol = "z", .quantity = Quantity::length,
               .meaning = "true vertical depth of the bottom, where the influx enters", .limits = {0.1, 20000.0}, .validated = {100.0, 12000.0}},
      Variable{.name = "hole_diameter", .symbol = "D", .quantity = Quantity::diameter, .meaning = "diameter of the open hole below the shoe",
               .limits = {0.01, 3.0}, .validated = {0.1, 0.95}},
      Variable{.name = "pipe_diameter", .symbol = "d_{p}", .quantity = Quantity::diameter, .meaning = "outside diameter of the drill pipe",
               .limits = {0.001, 3.0}, .validated = {0.06, 0.25}},
      Variable{.name = "collar_diameter", .symbol = "d_{c}", .quantity = Quantity::diameter, .meaning = "outside diameter of the drill collars",
               .limits = {0.001, 3.0}, .validated = {0.06, 0.3}},
      Variable{.name = "collar_length", .symbol = "L_{c}", .quantity = Quantity::length,
               .meaning = "measured length of the drill collars, from the bottom up", .limits = {0.0, 5000.0}, .validated = {0.0, 500.0}},
      Variable{.name = "influx_density", .symbol = "\\rho_{i}", .quantity = Quantity::density,
               .meaning = "density of the influx; 200 kg/m3 is a usual one for gas, a lower one is on the safe side", .limits = {0.0, 1500.0},
               .validated = {0.0, 1100.0}},
      Variable{.name = "pressure_margin", .symbol = "p_{m}", .quantity = Quantity::pressure,
               .meaning = "pressure kept below the fracture for choke handling and friction in the annulus; the default is none",
               .limits = {0.0, 1e8}, .validated = {0.0, 5e6}},
      Variable{.name = "shoe_length_ratio", .symbol = "m_{s}", .quantity = Quantity::number,
               .meaning = "measured length over true vertical depth in the open hole below the shoe: 1 vertical, 2 at 60 degrees",
               .limits = {1.0, 1000.0}, .validated = {1.0, 12.0}},
      Variable{.name = "bottom_length_ratio", .symbol = "m_{b}", .quantity = Quantity::number,
               .meaning = "the same at the bottom, around the collars and above them", .limits = {1.0, 1000.0}, .validated = {1.0, 12.0}},
  };
  static constexpr std::array results{
      Variable{.name = "kick_intensity", .symbol = "\\Delta \\rho_{k}", .quantity = Quantity::density,
               .meaning = "what the formation has above the mud, signed; not positive: only swabbing brings it in"},
      Variable{.name = "greatest_intensity", .symbol = "\\Delta \\rho_{0}", .quantity = Quantity::density,
               .meaning = "kick intensity above which not even the smallest influx is tolerated, signed"},
      Variable{.name = "shut_in_drill_pipe_pressure", .symbol = "p_{dp}", .quantity = Quantity::pressure,
               .meaning = "shut-in drill pipe pressure of such a kick"},
      Variable{.name = "bottom_hole_pressure", .symbol = "p_{b}", .quantity = Quantity::pressure,
               .meaning = "pressure at the bottom, shut in and held while the influx is circulated out"},
      Variable{.name = "allowed_shoe_pressure", .symbol = "p_{s}", .quantity = Quantity::pressure,
               .meaning = "pressure allowed at the weakest point"},
      Variable{.name = "surface_pressure", .symbol = "p_{max}", .quantity = Quantity::pressure,
               .meaning = "annular pressure at the surface that brings it there, with mud above; signed"},
      Variable{.name = "influx_height", .symbol = "H", .quantity = Quantity::length,
               .meaning = "greatest vertical height of influx below the weakest point, signed; negative: the mud alone is too much when shut in"},
      Variable{.name = "volume_at_shoe", .symbol = "V_{s}", .quantity = Quantity::mud_volume,
               .meaning = "volume of that height with its top at the weakest point"},
      Variable{.name = "volume_from_shoe", .symbol = "V_{sb}", .quantity = Quantity::mud_volume,
               .meaning = "what this was when it was taken at the bottom, by Boyle's law"},
      Variable{.name = "volume_at_bottom", .symbol = "V_{b}", .quantity = Quantity::mud_volume,
               .meaning = "volume of that height around the collars and above, when it is shut in"},
      Variable{.name = "kick_tolerance", .symbol = "V_{kt}", .quantity = Quantity::mud_volume,
               .meaning = "kick tolerance: the smaller of the two volumes at the bottom, signed and not rounded: for use it is rounded down"},
  };
  static constexpr Sheet sheet{
      .id = "hydraulics.kick_tolerance",
      .title = "Kick tolerance",
      .answers = "How large an influx can be taken at this kick intensity, shut in, and circulated out without breaking the weakest point?",
      .equations = "p_dp = max(rho_p - rho, 0) g z; p_b = rho g z + p_dp; p_s = rho_fr g z_s - p_m; p_max = p_s - rho g z_s; with the influx "
                   "below the weakest point p_b = p_s + rho_i g H + rho g (z - z_s - H), so H = (p_max - p_dp)/((rho - rho_i) g); V_s, V_b = "
                   "measured length of H times the area of the annulus, around pipe and collars as far as either reaches; V_sb = V_s p_s/p_b; "
                   "V_kt = min(V_sb, V_b)",
      .source = "Hydrostatics and Boyle's law (derived). 200 kg/m3 for gas: common practice, no source.",
      .assumptions = "One bubble that stays together, mud of the old density all round it (the first circulation of the driller's method), the "
                     "pressure at the bottom held and no higher. Gas neither dissolves nor slips, and weighs the same at both depths. Neither "
                     "temperature nor compressibility factor is in it: cooling on the way up leaves room to spare, the factor may act either way. "
                     "The pressures of Boyle's law are those at the weakest point and at the bottom, without the air's: on the safe side. Influx "
                     "that dissolves in oil mud is not seen so. One hole diameter, one length ratio below the shoe and one at the bottom.",
      .cautions = "Well control. Advisory only: the well's own programme, its barriers, local rules and licensed practice decide, with the volume "
                  "that the crew detects and shuts in at. The weakest point may lie below the shoe; casing, wellhead and gas handling at the surface "
                  "are not looked at. Round volumes and intensities down.",
  };

  static constexpr std::array verdicts{
      Verdict{"limited_at_the_shoe", "the influx that has risen to the weakest point sets the limit"},
      Verdict{"limited_at_the_bottom", "the influx as it is shut in at the bottom sets the limit"},
      Verdict{"swabbed", "the mud holds the formation: the tolerance is that of an influx swabbed in"},
      Verdict{"fills_the_open_hole", "the height is more than the open hole has: even full of influx it leaves the weakest point whole; the volume "
                                     "is that of a longer hole, and other limits decide", Severity::caution},
      Verdict{"no_tolerance", "shut in at this intensity the mud alone reaches what is allowed at the weakest point", Severity::caution},
      Verdict{"influx_not_lighter", "the influx is not lighter than the mud: no height of it can be told", Severity::impossible},
      Verdict{"no_gap", "pipe or collars are not smaller than the hole: no annulus", Severity::impossible},
      Verdict{"shoe_below_bottom", "the weakest point lies below the bottom", Severity::impossible},
      Verdict{"missing", "an input is missing"},
  };
  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.shoe_true_vertical_depth > in.true_vertical_depth) return 7;
    if (in.pipe_diameter >= in.hole_diameter || in.collar_diameter >= in.hole_diameter) return 6;
    if (in.influx_density >= in.density) return 5;
    if (!(r.kick_tolerance == r.kick_tolerance)) return 8;
    if (r.influx_height <= 0.0) return 4;
    if (r.influx_height > in.true_vertical_depth - in.shoe_true_vertical_depth) return 3;
    if (r.kick_intensity <= 0.0) return 2;
    return r.volume_from_shoe <= r.volume_at_bottom ? 0 : 1;
  }

  static constexpr Input<double> example() {
    return {.density = 1440.0, .pore_density = 1500.0, .fracture_density = 1800.0, .shoe_true_vertical_depth = 2000.0, .true_vertical_depth = 3000.0,
            .hole_diameter = 0.31115, .pipe_diameter = 0.127, .collar_diameter = 0.2032, .collar_length = 150.0, .shoe_length_ratio = 1.1,
            .bottom_length_ratio = 1.25};
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto below = in.shoe_true_vertical_depth <= in.true_vertical_depth, lighter = in.influx_density < in.density;
    Result<T> r;
    r.kick_intensity = in.pore_density - in.density;
    r.shut_in_drill_pipe_pressure = larger(r.kick_intensity, T(0.0)) * constant<T>(gravity) * in.true_vertical_depth;
    r.bottom_hole_pressure = in.density * constant<T>(gravity) * in.true_vertical_depth + r.shut_in_drill_pipe_pressure;
    r.allowed_shoe_pressure = in.fracture_density * constant<T>(gravity) * in.shoe_true_vertical_depth - in.pressure_margin;
    r.surface_pressure = r.allowed_shoe_pressure - in.density * constant<T>(gravity) * in.shoe_true_vertical_depth;
    r.greatest_intensity = r.surface_pressure / (in.true_vertical_depth * constant<T>(gravity));
    // The drill pipe is full of mud: what the annulus may show above its pressure is the weight that influx takes out of the mud.
    r.influx_height = only_if(below & lighter, (r.surface_pressure - r.shut_in_drill_pipe_pressure) /
                                                   ((in.density - in.influx_density) * constant<T>(gravity)));

    const T pipe = annulus_area(in.hole_diameter, in.pipe_diameter, {"A_{p}", Quantity::area, "area of the annulus around the pipe"});
    const T collar = annulus_area(in.hole_diameter, in.collar_diameter, {"A_{c}", Quantity::area, "area of the annulus around the collars"});
    const T collars = step({"h_{c}", Quantity::length, "vertical height of the collars"}, in.collar_length / in.bottom_length_ratio);
    const T above = step({"h_{o}", Quantity::length, "vertical height of the open hole above the collars"},
                         larger(in.true_vertical_depth - collars, in.shoe_true_vertical_depth) - in.shoe_true_vertical_depth);
    const T at_shoe = step({"h_{s}", Quantity::length, "height of the influx around the collars, its top at the weakest point"},
                           smaller(larger(r.influx_height - above, T(0.0)), collars));
    r.volume_at_shoe = pipe * (r.influx_height - at_shoe) * in.shoe_length_ratio + collar * at_shoe * in.bottom_length_ratio;
    r.volume_from_shoe = r.volume_at_shoe * r.allowed_shoe_pressure / r.bottom_hole_pressure;
    const T at_bottom = step({"h_{b}", Quantity::length, "height of the influx around the collars, at the bottom"},
                             smaller(r.influx_height, collars));
    r.volume_at_bottom = (pipe * (r.influx_height - at_bottom) + collar * at_bottom) * in.bottom_length_ratio;
    r.kick_tolerance = smaller(r.volume_from_shoe, r.volume_at_bottom);
    return r;
  }
};

inline constexpr KickTolerance kick_tolerance{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
