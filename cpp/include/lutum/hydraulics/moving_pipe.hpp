// Pressure gradient in an annulus whose pipe moves along its axis: surge on the way in, swab on the way out.
#pragma once

#include "lutum/hydraulics/annulus.hpp"
#include "lutum/hydraulics/moving_pipe_flow.hpp"

namespace lutum::inline LUTUM_ISA_TAG::hydraulics {

enum class MovingWall : std::uint8_t { exact, handbook_line, handbook_constant };

inline constexpr std::array moving_wall_choices{
    Choice{"exact", "laminar flow past the moving pipe solved exactly; turbulence as past a pipe at rest with the same laminar gradient"},
    Choice{"handbook_line", "clinging constant on a straight line of the ratio of diameters, laminar and turbulent"},
    Choice{"handbook_constant", "clinging constant 0.45"},
};

inline constexpr Constant one_velocity{"1\\,\\mathrm{m/s}", 1.0, Quantity::velocity, "stands in where nothing moves", true};

// What the excess over yield at a wall must fulfil, that at the other wall being found too. Away from a worked solution it is a mix of
// both equations that does not change with the other excess: its slopes are those of the two roots together.
enum class Wall : std::uint8_t { pipe, hole };

template <Wall wall>
struct WallBalance {
  template <class T>
  T operator()(const T& excess, const T& other, const T& own, const T& cross, const T& pipe, const T& hole, const T& a, const T& b,
               const T& k) const {
    const bool is_pipe = wall == Wall::pipe;
    const WallVelocities<T> v = wall_velocities(is_pipe ? excess : other, is_pipe ? other : excess, a, b, k);
    if constexpr (std::is_same_v<T, traced>) {
      const traced found = numerical("quadrature", is_pipe ? v.pipe : v.hole, excess, other, a, b, k);
      if (is_pipe)
        return step({"J_{p}", Quantity::number, "integral of - g k (1 - x^2)/(1 - k^2) over x in the sheared gap, by Gauss points, at e_p and the "
                     "e_h found with it: x the radius by the hole's, g the shear rate over that at S_m"}, found) - pipe;
      return step({"J_{h}", Quantity::number, "integral of g (x^2 - k^2)/(1 - k^2) over x in the sheared gap, by Gauss points"}, found) - hole;
    } else {
      const T at_pipe = v.pipe - pipe, at_hole = v.hole - hole;
      return is_pipe ? own * at_pipe - cross * at_hole : own * at_hole - cross * at_pipe;
    }
  }
};

// The fluid slips at neither wall when both are at rest.
struct StationaryBalance {
  template <class T>
  T operator()(const T& y, const T& excess, const T& a, const T& b, const T& k) const {
    const WallVelocities<T> v = wall_velocities((excess - y) / k, y, a, b, k);
    return k * step({"J_{1,h}", Quantity::number, "J_h at the stresses e_1 at the hole and (E - e_1)/k at the pipe"},
                    numerical("quadrature", v.hole, y, excess, a, b, k)) -
           step({"J_{1,p}", Quantity::number, "J_p at them"}, numerical("quadrature", v.pipe, y, excess, a, b, k));
  }
};

struct MovingPipe : Calculation<MovingPipe> {
  static constexpr bool searches = true;
  using Option = MovingWall;
  static constexpr OptionInfo option{.name = "method", .meaning = "how the motion of the pipe enters", .choices = moving_wall_choices};

  template <class T>
  struct Input {
    T density = T(not_a_number);
    T yield_stress = T(not_a_number);
    T consistency = T(not_a_number);
    T flow_index = T(not_a_number);
    T hole_diameter = T(not_a_number);
    T pipe_diameter = T(not_a_number);
    T pipe_velocity = T(not_a_number);
    T annular_flow = T(not_a_number);
    T length = T(1.0);
  };

  template <class T>
  struct Result {
    T mean_velocity;
    T effective_velocity;
    T clinging_constant;
    T pressure_gradient;
    T pressure_loss;
    T reynolds_number;
    T critical_reynolds_number;
    T local_flow_index;
  };

  static constexpr std::array inputs{
      describe::density, describe::yield_stress, describe::consistency, describe::flow_index,
      describe::hole_diameter, describe::pipe_diameter,
      Variable{.name = "pipe_velocity", .symbol = "v_{p}", .quantity = Quantity::velocity,
               .meaning = "speed of the pipe along its axis, down or up", .limits = {0.0, 30.0}, .validated = {0.0, 5.0}},
      Variable{.name = "annular_flow", .symbol = "q_{a}", .quantity = Quantity::flow_rate,
               .meaning = "net flow through the annulus, counted against the motion of the pipe: up when it goes in, down when it "
                          "comes out; of a closed pipe its speed times pi/4 d^2, less when mud enters the bore, more when pumps add to it, negative when it is dragged along",
               .limits = {-1.0, 1.0}, .validated = {-0.05, 0.3}},
      describe::length,
  };
  static constexpr std::array results{
      Variable{.name = "mean_velocity", .symbol = "V", .quantity = Quantity::velocity, .meaning = "mean velocity against the hole"},
      Variable{.name = "effective_velocity", .symbol = "v_{e}", .quantity = Quantity::velocity,
               .meaning = "mean velocity past a pipe at rest with the same laminar loss; zero where the yield stress alone holds the gradient"},
      Variable{.name = "clinging_constant", .symbol = "\\kappa", .quantity = Quantity::number,
               .meaning = "part of the pipe's speed that adds to the mean velocity; missing when the pipe rests"},
      Variable{.name = "pressure_gradient", .symbol = "\\left(dp/dL\\right)", .quantity = Quantity::pressure_gradient,
               .meaning = "friction pressure per measured length: added below the pipe by a surge, taken away by a swab; zero at rest, negative "
                          "where the pipe drags more than flows"},
      Variable{.name = "pressure_loss", .symbol = "\\Delta p", .quantity = Quantity::pressure, .meaning = "friction pressure of the section"},
      Variable{.name = "reynolds_number", .symbol = "Re", .quantity = Quantity::number,
               .meaning = "generalised Reynolds number at the effective velocity: 16 over the laminar friction factor"},
      Variable{.name = "critical_reynolds_number", .symbol = "Re_{c}", .quantity = Quantity::number,
               .meaning = "the laminar regime ends here: 3470 - 1370 n"},
      Variable{.name = "local_flow_index", .symbol = "n'", .quantity = Quantity::number,
               .meaning = "slope of log laminar wall stress against log velocity, at the effective velocity"},
  };

  static constexpr Sheet sheet{
      .id = "hydraulics.moving_pipe",
      .title = "Surge and swab of one section",
      .answers = "What pressure does a pipe that is run or pulled add or take by friction along one section?",
      .equations = "exact: stress s = A x + C/x, x = radius/R, k = d/D; rate g = sign(s) ((abs(s) - tau_0)/K)^(1/n) where abs(s) > tau_0; "
                   "integral of g (x^2 - k^2) = (1 - k^2) V/R; integral of g k (1 - x^2) = - (1 - k^2) k (V + v_p)/R; laminar dp/dL = 2 A/R; v_e: "
                   "the same A past a pipe at rest; dp/dL = laminar times the loss over laminar loss of a slot at v_e (hydraulics.annulus_loss). "
                   "handbook: v_e = V + kappa v_p, kappa = 0.275 k + 0.25 laminar, 0.1 k + 0.41 turbulent, or 0.45; dp/dL of a slot at v_e. V = "
                   "q_a/(pi/4 (D^2 - d^2)), R = D/2",
      .source = "Force balance and no slip at the moving wall (derived), by Gauss quadrature; held against Newton's closed form, solutions of a "
                "power law made apart from this library and quadratures of others. Straight lines: Guo and Liu, Applied Drilling Circulation "
                "Systems (2011) 50 (seen); there the term is subtracted in an example, against its own convention. 0.45: common in handbooks "
                "(seen). Turbulence past a moving wall by the equivalent velocity: no source, it joins the laminar solution smoothly.",
      .assumptions = "Steady and concentric, no rotation, no slip; laminar gradients good to 1e-8 for d/D above 0.15. Inertia "
                     "(hydraulics.inertia_pressure) and gel (hydraulics.gel_breaking) are not in it: their peaks do not fall on that of friction. "
                     "No allowance for peak speed: a mean trip speed wants one (1.5 in handbooks), applied once. The handbook's constants belong "
                     "to flow against the pipe; where v_e turns negative its loss jumps by twice the yield stress' gradient, the exact one does "
                     "not.",
      .cautions = "Advisory: trip speeds, and pressures near a pore, collapse or fracture limit, are for the well's own programme and licensed "
                  "practice to decide. Surge and swab reach below the bit too. Eccentric pipe costs less; gelled mud, cuttings beds, balled bits "
                  "and tool joints more.",
  };

  static constexpr std::array verdicts{
      finding::is_laminar, finding::is_transitional, finding::is_turbulent,
      Verdict{"at_rest", "neither pipe nor mud moves: no loss"},
      finding::is_outside_law,
      Verdict{"dragged", "the pipe drags more mud along than flows with it: the gradient is the other way"},
      finding::is_no_gap,
      Verdict{"unsolved", "the yield stress is so large beside the viscous stress of so slow a motion that round-off hides the wall stresses",
              Severity::caution},
      finding::is_missing,
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    if (in.pipe_diameter >= in.hole_diameter) return 6;
    if (!(r.pressure_loss == r.pressure_loss)) {
      const double sum = in.density + in.yield_stress + in.consistency + in.flow_index + in.hole_diameter + in.pipe_diameter + in.pipe_velocity +
                         in.annular_flow + in.length;
      return sum == sum ? 7 : 8;
    }
    if (r.pressure_gradient < 0.0) return 5;
    const bool rests = in.pipe_velocity == 0.0 && in.annular_flow == 0.0;
    return finding::regime(rests ? 0.0 : 1.0, r.reynolds_number, r.critical_reynolds_number, r.local_flow_index, true);
  }

  static constexpr Input<double> example() {
    return {.density = 1200.0, .yield_stress = 4.0, .consistency = 0.35, .flow_index = 0.7, .hole_diameter = 0.2159, .pipe_diameter = 0.127,
            .pipe_velocity = 0.8, .annular_flow = 0.0101341435, .length = 1000.0};
  }

  template <class T>
  struct Wanted {  // what the two walls must see, in units of hole's radius times the shear rate of S_m
    T pipe, hole;
  };

  template <class T>
  static WallExcess<T> excesses(const Wanted<T>& wanted, const T& speed_share, const T& a, const T& b, const T& k) {
    using V = value_type_of<T>;
    const V av = value_of(a), bv = value_of(b), kv = value_of(k);
    // Start: a slot without curvature, where the walls feel V + 2 v_p/3 and V + v_p/3.
    const V level = laminar_root<Duct::slot>(av, bv), power = V(1.0) / (av + bv / (level + bv)), share = value_of(speed_share);
    const V mean = V(1.0) - share, third = share / V(3.0), flow = select(value_of(wanted.hole) < V(0.0), -mean, mean);
    const V pipe_start = level * pow(larger(flow + V(2.0) * third, V(0.05)), power), hole_start = level * pow(larger(flow + third, V(0.05)), power);
    const WallExcess<V> root = wall_excess<V>(value_of(wanted.pipe), value_of(wanted.hole), pipe_start, hole_start, av, bv, kv);
    T own_pipe(1.0), own_hole(1.0), cross(0.0), pipe(0.0), hole(0.0);
    if constexpr (!std::is_same_v<T, V> && !std::is_same_v<T, traced>) {
      const WallMoments<V> m = wall_moments<V>(root.pipe, root.hole, av, bv, kv, LayerPoints<V>(av, V(0.0)));
      own_pipe.value = m.hole_hole;
      own_hole.value = m.pipe_pipe;
      cross.value = m.pipe_hole;
      pipe.value = root.pipe;
      hole.value = root.hole;
    } else {
      pipe = T(root.pipe);
      hole = T(root.hole);
    }
    const T at_pipe = solved<T>({"e_{p}", Quantity::number, "stress at the pipe above yield, over S_m; found together with e_h"},
                                WallBalance<Wall::pipe>{}, root.pipe, -infinity, infinity, hole, own_pipe, cross, wanted.pipe, wanted.hole, a, b, k);
    if constexpr (std::is_same_v<T, traced>) pipe = at_pipe;  // the line of e_h names it
    return {at_pipe, solved<T>({"e_{h}", Quantity::number, "stress at the hole above yield, over S_m"}, WallBalance<Wall::hole>{}, root.hole,
                               -infinity, infinity, pipe, own_hole, cross, wanted.pipe, wanted.hole, a, b, k)};
  }

  // Share of turbulence in the loss; a number in a worked solution, for all of it comes again at the velocity that counts.
  template <class T>
  static T turbulent_share(const Fluid<T>& fluid, const T& velocity, const T& gap) {
    if constexpr (std::is_same_v<T, traced>) {
      return numerical("turbulence", traced(turbulent_share<double>({fluid.density.value, fluid.yield_stress.value, fluid.consistency.value,
                                                                     fluid.flow_index.value}, velocity.value, gap.value)), velocity);
    } else {
      const T ratio = friction<Duct::slot, T>(fluid, velocity, gap, T(0.0), FrictionMethod::exact).over_laminar;
      return share_of_turbulence(ratio);
    }
  }

  template <class T>
  static T clinging(const Fluid<T>& fluid, const T& mean, const T& pipe_velocity, const T& gap, const T& k, MovingWall method) {
    if (method == MovingWall::handbook_constant) return only_if(k == k, T(0.45));
    const T laminar = step({"\\kappa_{l}", Quantity::number, "clinging constant in laminar flow"}, T(0.275) * k + T(0.25));
    const T turbulent = step({"\\kappa_{t}", Quantity::number, "clinging constant in turbulent flow"}, T(0.1) * k + T(0.41));
    const T first = step({"v_{l}", Quantity::velocity, "effective velocity in laminar flow"}, mean + laminar * pipe_velocity);
    const T share = step({"x_{t}", Quantity::number, "share of turbulence in the loss there, 1 - r^-12, by the steps that lead to r, at v_l"},
                         turbulent_share(fluid, abs(first), gap));
    return laminar + (turbulent - laminar) * share;
  }

  template <class T>
  static Result<T> evaluate(const Input<T>& in, MovingWall method) {
    const auto fits = in.pipe_diameter < in.hole_diameter;
    const T k = step({"k", Quantity::number, "ratio of the diameters"}, only_if(fits, in.pipe_diameter / in.hole_diameter));
    const T gap = step({"h", Quantity::diameter, "gap"}, only_if(fits, (in.hole_diameter - in.pipe_diameter) / T(2.0)));
    const Fluid<T> fluid{in.density, in.yield_stress, in.consistency, in.flow_index};
    Result<T> r;
    const T area = annulus_area(in.hole_diameter, in.pipe_diameter);
    r.mean_velocity = step({"V", Quantity::velocity, "mean velocity against the hole"}, in.annular_flow / area);
    const T speed = step({"v_{s}", Quantity::velocity, "speeds of pipe and mud together"}, in.pipe_velocity + abs(r.mean_velocity));
    const auto rests = speed == T(0.0), moves = in.pipe_velocity > T(0.0);

    T laminar(0.0);
    if (method == MovingWall::exact) {
      const T unit = select(rests, speed + constant<T>(one_velocity), speed);
      const T a = step({"m", Quantity::number, "inverse of the flow index"}, T(1.0) / in.flow_index);
      const T rate = step({"\\dot\\gamma_{m}", Quantity::shear_rate, "wall shear rate at v_s in a slot without yield stress"},
                          T(2.0) * (a + T(2.0)) * unit / gap);
      const T stress = step({"S_{m}", Quantity::stress, "stress of that shear rate above yield"},
                            in.consistency * pow(rate / constant<T>(one_per_second), in.flow_index));
      const T b = step({"b_{m}", Quantity::number, "yield stress over S_m"}, in.yield_stress / stress);
      const T reach = step({"v_{R}", Quantity::velocity, "hole's radius times that shear rate"}, rate * in.hole_diameter / T(2.0));
      const Wanted<T> wanted{
          step({"u_{p}", Quantity::number, "mean velocity against the pipe, times k, over v_R"},
               select(rests, T(0.1) * k, k * (r.mean_velocity + in.pipe_velocity) / reach)),
          step({"u_{h}", Quantity::number, "mean velocity against the hole over v_R"}, select(rests, T(0.1) + T(0.0) * k, r.mean_velocity / reach))};
      const WallExcess<T> e = excesses(wanted, in.pipe_velocity / unit, a, b, k);
      const T pipe_stress = step({"\\tau_{p}", Quantity::stress, "stress at the pipe"}, stress * (b + e.pipe));
      const T hole_stress = step({"\\tau_{h}", Quantity::stress, "stress at the hole"}, stress * (b + e.hole));
      const T force = step({"P_{l}", Quantity::pressure_gradient, "laminar gradient that holds both stresses"},
                           T(4.0) * (in.hole_diameter * hole_stress + in.pipe_diameter * pipe_stress) /
                               (square(in.hole_diameter) - square(in.pipe_diameter)));
      laminar = select(rests, force * T(0.0), force);
      const T forward = step({"E", Quantity::number, "wall stresses above yield together, over S_m: more than 0 drives mud past a pipe at rest"},
                             e.hole + k * e.pipe);
      const T backward = -forward - T(2.0) * b * (T(1.0) + k);
      const auto ahead = forward > T(0.0), back = backward > T(0.0);
      const auto driven = ahead | back;
      const T excess = select(driven, select(ahead, forward, backward), T(1.0));
      const T y = solved<T>({"e_{1}", Quantity::number, "stress at the hole above yield, over S_m, past a pipe at rest with the same gradient"},
                            StationaryBalance{}, stationary_excess<value_type_of<T>>(value_of(excess), value_of(a), value_of(b), value_of(k)), 0.0,
                            value_of(excess), excess, a, b, k);
      const T past = reach * step({"J_{e}", Quantity::number, "mean velocity past a pipe at rest at that E, over v_R: J_h at e_1 and (E - e_1)/k"},
                                  numerical("quadrature", wall_velocities((excess - y) / k, y, a, b, k).hole, y, excess, a, b, k));
      const T none = past * T(0.0);
      r.effective_velocity = select(rests, none, select(driven, select(ahead, past, -past), none));
      r.clinging_constant = (r.effective_velocity - r.mean_velocity) / only_if(moves, in.pipe_velocity);
    } else {
      const T kappa = clinging(fluid, r.mean_velocity, in.pipe_velocity, gap, k, method);
      r.clinging_constant = only_if(moves, kappa);
      r.effective_velocity = r.mean_velocity + kappa * in.pipe_velocity;
    }

    const T size = step({"v_{a}", Quantity::velocity, "effective velocity without its sign"}, abs(r.effective_velocity));
    const Friction<T> f = friction<Duct::slot, T>(fluid, size, gap, T(0.0), FrictionMethod::exact);
    if (method == MovingWall::exact) {
      r.pressure_gradient = laminar * f.over_laminar;
    } else {
      const T loss = T(2.0) * f.wall_stress / gap;
      const auto dragged = r.effective_velocity < T(0.0);
      r.pressure_gradient = select(dragged, -loss, loss);
    }
    r.pressure_loss = r.pressure_gradient * in.length;
    r.reynolds_number = f.reynolds_number;
    r.critical_reynolds_number = f.critical_reynolds_number;
    r.local_flow_index = f.local_flow_index;
    return r;
  }
};

inline constexpr MovingPipe moving_pipe{};

}  // namespace lutum::inline LUTUM_ISA_TAG::hydraulics
