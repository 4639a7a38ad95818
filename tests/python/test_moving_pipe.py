"""Surge and swab: against a solution that shares nothing with the library, closed forms, and what must hold whatever the fluid."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from lutum import si

moving_pipe = si.hydraulics.moving_pipe
METHODS = ("exact", "handbook_line", "handbook_constant")
NODES, WEIGHTS = np.polynomial.legendre.leggauss(120)


class Apart:
    """Radii and forces as they are: stress (P r + 2 C/r)/2, plain Gauss points between the places where the fluid yields, nested brackets."""

    def __init__(self, yield_stress, consistency, flow_index, hole_diameter, pipe_diameter):
        self.yield_stress, self.consistency, self.flow_index = yield_stress, consistency, flow_index
        self.outer, self.inner = hole_diameter / 2, pipe_diameter / 2

    def integral(self, gradient, c, weight):
        """Of the rate at which the velocity falls outward, times a weight of the radius."""
        places = [self.inner, self.outer]
        for side in (-1, 1):
            roots = np.roots([gradient / 2, side * self.yield_stress, c])
            places += [r.real for r in roots if abs(r.imag) < 1e-12 * abs(r) and self.inner < r.real < self.outer]
        total, places = 0.0, sorted(places)
        for low, high in zip(places, places[1:]):
            # Cubed towards both ends, so that a power of the distance from an edge is no harm.
            t = (NODES + 1) / 2
            share, slope = t**3 * (10 - 15 * t + 6 * t**2), 30 * t**2 * (1 - t) ** 2
            r = low + (high - low) * share
            stress = gradient * r / 2 + c / r
            rate = np.sign(stress) * (np.maximum(np.abs(stress) - self.yield_stress, 0.0) / self.consistency) ** (1 / self.flow_index)
            total += (high - low) / 2 * np.sum(WEIGHTS * slope * rate * weight(r))
        return total

    @staticmethod
    def between(function, scale):
        low, high = -scale, scale
        while function(low) > 0:
            low *= 2
        while function(high) < 0:
            high *= 2
        return brentq(function, low, high, xtol=1e-13 * scale, rtol=1e-14, maxiter=500)

    def flow(self, gradient, pipe_velocity):
        """Net flow up, the pipe going down."""
        scale = (self.yield_stress + self.consistency * (1 + pipe_velocity / (self.outer - self.inner)) ** self.flow_index) * self.outer
        c = self.between(lambda c: self.integral(gradient, c, np.ones_like) + pipe_velocity, scale + abs(gradient) * self.outer**2)
        return math.pi * (self.integral(gradient, c, np.square) + self.inner**2 * pipe_velocity)

    def gradient(self, pipe_velocity, annular_flow):
        scale = 2 * (self.yield_stress + self.consistency) / (self.outer - self.inner)
        return self.between(lambda gradient: self.flow(gradient, pipe_velocity) - annular_flow, scale)


def area(hole, pipe):
    return math.pi / 4 * (hole**2 - pipe**2)


def sections(n, seed, *, open_to=1.0):
    """Random fluids and annuli, the flow between open_to times and once that of a closed pipe; laminar and turbulent."""
    random = np.random.default_rng(seed)
    index = random.uniform(0.25, 1.05, n)
    index[::10] = 1.0
    yield_stress = 10 ** random.uniform(-1.5, 1.6, n)
    yield_stress[5::10] = 0.0
    hole = random.uniform(0.1, 0.7, n)
    pipe = hole * random.uniform(0.15, 0.92, n)
    share = random.uniform(open_to, 1.0, n)
    speed = np.minimum(10 ** random.uniform(-2.0, 0.5, n), 0.3 / (np.maximum(np.abs(share), 1.0) * pipe**2))
    return {
        "density": random.uniform(900.0, 2400.0, n),
        "yield_stress": yield_stress,
        "consistency": np.maximum(10 ** random.uniform(-2.0, 1.5, n) * 300 ** (1 - index) / 30, 1e-3),
        "flow_index": index,
        "hole_diameter": hole,
        "pipe_diameter": pipe,
        "pipe_velocity": speed,
        "annular_flow": speed * np.pi / 4 * pipe**2 * share,
    }


def record(given, i):
    return {name: float(values[i]) for name, values in given.items()}


@pytest.mark.parametrize("open_to", [1.0, 0.0, -3.0])
def test_laminar_gradient_is_that_of_a_solution_made_apart(open_to):
    given = sections(12, 17, open_to=open_to) | {"density": np.full(12, 1.0)}
    laminar = moving_pipe(**given)
    compared = 0
    for i in range(12):
        g = record(given, i)
        if laminar.reynolds_number[i] > 0.25 * laminar.critical_reynolds_number[i]:
            continue  # turbulence begins to count
        apart = Apart(*(g[name] for name in ("yield_stress", "consistency", "flow_index", "hole_diameter", "pipe_diameter")))
        scale = 2 * g["yield_stress"] / (apart.outer - apart.inner)
        gradient = apart.gradient(g["pipe_velocity"], g["annular_flow"])
        assert laminar.pressure_gradient[i] == pytest.approx(gradient, rel=1e-8, abs=1e-8 * scale)
        if gradient > scale * 1.01:
            assert laminar.effective_velocity[i] == pytest.approx(apart.flow(gradient, 0.0) / area(g["hole_diameter"], g["pipe_diameter"]), rel=1e-6)
        compared += 1
    assert compared >= 10


@pytest.mark.parametrize("open_to", [1.0, 0.0, -3.0])
def test_every_combination_is_solved(open_to):
    r = moving_pipe(**sections(20_000, 3, open_to=open_to))
    for name, values in r._asdict().items():
        assert not np.isnan(values).any(), name


@pytest.mark.parametrize("method", METHODS)
def test_loss_rises_with_speed_and_with_flow(method):
    given = sections(10_000, 5, open_to=0.0)
    here = moving_pipe(**given, method=method)
    for more in (1e-6, 0.05, 2.0):
        faster = moving_pipe(**(given | {"pipe_velocity": given["pipe_velocity"] * (1 + more)}), method=method)
        flow = np.abs(given["annular_flow"]) + given["pipe_velocity"] * given["pipe_diameter"] ** 2
        fuller = moving_pipe(**(given | {"annular_flow": given["annular_flow"] + more * flow * 0.2}), method=method)
        assert (faster.pressure_gradient > here.pressure_gradient).all()
        assert (fuller.pressure_gradient > here.pressure_gradient).all()
        # A closed pipe, its displacement rising with it.
        closed = given | {"annular_flow": given["pipe_velocity"] * np.pi / 4 * given["pipe_diameter"] ** 2}
        sped = {name: closed[name] * (1 + more) for name in ("pipe_velocity", "annular_flow")}
        assert (moving_pipe(**(closed | sped), method=method).pressure_gradient > moving_pipe(**closed, method=method).pressure_gradient).all()


def test_dragged_flow_turns_the_gradient_without_a_jump():
    given = dict(density=1200.0, yield_stress=5.0, consistency=0.3, flow_index=0.6, hole_diameter=0.3, pipe_diameter=0.15, pipe_velocity=0.5)
    coarse, fine = (moving_pipe(**given, annular_flow=np.linspace(-0.06, 0.02, n + 1)).pressure_gradient for n in (4_000, 40_000))
    assert fine[0] < 0 < fine[-1] and (np.diff(fine) > 0).all()
    assert np.diff(fine).max() < 0.13 * np.diff(coarse).max()  # steep where the pipe begins to lift the mud, but no jump


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("records", [2_000, pytest.param(100_000, marks=pytest.mark.long)])
def test_no_jump_over_a_step_of_1e_7_in_speed(method, records):
    given = sections(records, 7, open_to=0.0)
    speeds = [given["pipe_velocity"]]
    for border in (0.25, 1.0):  # where turbulence begins to count, and of the regimes
        low, high = np.full(records, 1e-4), np.full(records, 29.0)
        for _ in range(30):
            speed = np.sqrt(low * high)
            r = moving_pipe(**(given | {"pipe_velocity": speed}), method=method)
            above = r.reynolds_number > border * r.critical_reynolds_number
            low, high = np.where(above, low, speed), np.where(above, speed, high)
        speeds.append(speed)
    for speed in speeds:
        below, above = (moving_pipe(**(given | {"pipe_velocity": speed * f}), method=method).pressure_gradient for f in (1 - 5e-8, 1 + 5e-8))
        # The line's two constants lie far apart in a wide annulus: between the regimes its loss rises with up to the tenth power.
        assert (np.abs(above / below - 1) < (2e-6 if method == "handbook_line" else 1e-6)).all()


@pytest.mark.parametrize("method", METHODS)
def test_gradients_equal_central_differences(method):
    given = sections(40, 11, open_to=-0.5)
    for i in range(40):
        g = record(given, i)
        exact = moving_pipe.gradient(**g, method=method)
        scale = abs(moving_pipe(**g, method=method).pressure_gradient)
        for name, value in g.items():
            step = 2e-5 * abs(value)
            if name == "yield_stress" and value == 0.0:
                continue
            more, less = (moving_pipe(**(g | {name: value + d}), method=method).pressure_gradient for d in (step, -step))
            difference = (more - less) / (2 * step) * value
            assert getattr(exact.pressure_gradient, name) * value == pytest.approx(difference, abs=2e-6 * scale + 1e-6), (i, name)


def test_a_pipe_at_rest_is_the_concentric_annulus():
    given = sections(2_000, 13)
    given |= {"density": np.full(2_000, 1.0), "pipe_velocity": np.zeros(2_000)}
    moving = moving_pipe(**given)
    still = si.hydraulics.concentric_annulus(**{n: given[n] for n in ("yield_stress", "consistency", "flow_index", "hole_diameter", "pipe_diameter")},
                                             flow_rate=given["annular_flow"])
    laminar = moving.reynolds_number < 0.25 * moving.critical_reynolds_number
    assert laminar.sum() > 1_500
    wide = given["pipe_diameter"] / given["hole_diameter"] < 0.25
    error = np.abs(moving.pressure_gradient / still.pressure_gradient - 1)[laminar]
    assert (error < np.where(wide[laminar], 1e-5, 1e-8)).all()
    assert np.allclose(moving.effective_velocity, moving.mean_velocity, rtol=1e-6, atol=0)
    assert np.isnan(moving.clinging_constant).all()


def test_turbulence_enters_by_the_equivalent_velocity():
    given = sections(2_000, 19)
    moving = moving_pipe(**given)
    fluid = {n: given[n] for n in ("density", "yield_stress", "consistency", "flow_index", "hole_diameter", "pipe_diameter")}
    rate = moving.effective_velocity * area(given["hole_diameter"], given["pipe_diameter"])
    asked = (moving.reynolds_number > 1.0) & (rate < 1.0)
    slot = si.hydraulics.annulus_loss(**{n: v[asked] for n, v in fluid.items()}, flow_rate=rate[asked])
    thick = si.hydraulics.annulus_loss(**{n: v[asked] for n, v in (fluid | {"density": np.full(2_000, 1.0)}).items()}, flow_rate=rate[asked])
    light = moving_pipe(**(given | {"density": np.full(2_000, 1.0)}))
    laminar = (light.reynolds_number < 0.25 * light.critical_reynolds_number)[asked]
    ratio = (moving.pressure_gradient / light.pressure_gradient)[asked]
    assert np.allclose(ratio[laminar], (slot.pressure_gradient / thick.pressure_gradient)[laminar], rtol=1e-9)
    assert (ratio[laminar] > 2.0).sum() > 50


def test_newtonian_closed_form():
    k = np.linspace(0.12, 0.95, 40)
    speed, viscosity, radius = 0.05, 0.5, 0.15
    r = moving_pipe(density=1.0, yield_stress=0.0, consistency=viscosity, flow_index=1.0, hole_diameter=2 * radius, pipe_diameter=2 * radius * k,
                    pipe_velocity=speed, annular_flow=speed * np.pi * (k * radius) ** 2)
    clinging = (k**2 - 2 * k**2 * np.log(k) - 1) / (2 * (1 - k**2) * np.log(k))
    assert np.allclose(r.clinging_constant, clinging, rtol=1e-8)
    effective = r.mean_velocity + clinging * speed
    assert np.allclose(r.pressure_gradient, 8 * viscosity * effective / (radius**2 * (1 + k**2 + (1 - k**2) / np.log(k))), rtol=1e-8)


def test_a_small_yield_stress_or_an_index_near_one_changes_little():
    given = sections(500, 23, open_to=0.0)
    bare = moving_pipe(**(given | {"yield_stress": np.zeros(500)})).pressure_gradient
    assert np.allclose(moving_pipe(**(given | {"yield_stress": np.full(500, 1e-12)})).pressure_gradient, bare, rtol=1e-8)
    given["flow_index"] = np.ones(500)
    straight = moving_pipe(**given).pressure_gradient
    assert np.allclose(moving_pipe(**(given | {"flow_index": np.full(500, 1 + 1e-10)})).pressure_gradient, straight, rtol=1e-7)


def test_slow_motion_ends_at_the_starting_gradient():
    given = dict(density=1200.0, yield_stress=10.0, consistency=0.5, flow_index=0.6, hole_diameter=0.3, pipe_diameter=0.2)
    speed = 10.0 ** -np.arange(1.0, 16.0)
    r = moving_pipe(**given, pipe_velocity=speed, annular_flow=speed * np.pi / 4 * 0.2**2).pressure_gradient
    assert (np.diff(r) < 0).all() and r[-1] == pytest.approx(2 * 10.0 / 0.05, rel=1e-4)
    assert moving_pipe(**given, pipe_velocity=0.0, annular_flow=0.0).pressure_gradient == 0.0


def test_what_cannot_be_solved_is_told():
    given = dict(density=1200.0, yield_stress=1000.0, consistency=1e-6, flow_index=1.0, hole_diameter=0.3, pipe_diameter=0.2, pipe_velocity=1e-300,
                 annular_flow=1e-302)
    assert math.isnan(moving_pipe(**given).pressure_gradient)
    assert moving_pipe.judge(**given) == "unsolved"
    assert moving_pipe.judge(**(given | {"length": math.nan})) == "missing"
