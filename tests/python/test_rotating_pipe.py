"""Helical flow past a turning pipe: against adaptive quadrature, closed forms, a balance of power, and what must hold whatever the fluid."""

import math

import numpy as np
import pytest
import scipy.linalg
from scipy.integrate import quad

from lutum import si

rotating_pipe = si.hydraulics.rotating_pipe
concentric = si.hydraulics.concentric_annulus


def records(n, seed, *, index=(0.2, 1.05), ratio=(0.1, 0.95), turns=(-3.0, 3.0)):
    """Random fluids and annuli; `turns` the powers of ten of the pipe's rotation times the hole's radius over the mean velocity."""
    random = np.random.default_rng(seed)
    hole = random.uniform(0.05, 0.7, n)
    pipe = hole * random.uniform(*ratio, n)
    over = 10 ** random.uniform(*turns, n)
    velocity = np.minimum(10 ** random.uniform(-3.0, 0.3, n), 75.0 * hole / over)
    return {
        "consistency": 10 ** random.uniform(-2.0, 1.5, n),
        "flow_index": random.uniform(*index, n),
        "hole_diameter": hole,
        "pipe_diameter": pipe,
        "flow_rate": velocity * np.pi / 4 * (hole**2 - pipe**2),
        "rotation": over * velocity / hole * 2,
    }


def record(given, i):
    return {name: float(v[i]) for name, v in given.items()}


class Apart:
    """Radii and stresses as they are. What the stresses found drive, by adaptive quadrature between breakpoints that close in on the place
    where the axial stress is zero."""

    def __init__(self, given, found):
        self.outer, self.inner = given["hole_diameter"] / 2, given["pipe_diameter"] / 2
        self.consistency, self.index = given["consistency"], given["flow_index"]
        self.gradient, self.zero = float(found.pressure_gradient), float(found.zero_stress_radius) * self.outer
        self.torque = float(found.torque_per_length)
        gap = self.outer - self.inner
        near = [self.zero + side * gap * 10.0**-j for j in range(1, 13) for side in (-1, 1)]
        self.places = [self.inner, *sorted(r for r in (self.zero, *near) if self.inner < r < self.outer), self.outer]

    def along(self, r):
        return self.gradient / 2 * (r - self.zero) * (r + self.zero) / r

    def around(self, r):
        return self.torque / (2 * math.pi * r**2)

    def rate(self, r, stress):
        """Of shear, of the part of the stress asked for."""
        whole = math.hypot(self.along(r), self.around(r))
        return stress / whole * (whole / self.consistency) ** (1 / self.index) if whole > 0 else 0.0

    def integral(self, f):
        return sum(quad(f, low, high, epsabs=0, epsrel=1e-10, limit=200)[0] for low, high in zip(self.places, self.places[1:]))

    def slip(self):
        """Velocity along left at the pipe, over the largest."""
        from_hole = quad_over(self, [r for r in self.places if r >= self.zero])
        from_pipe = quad_over(self, [r for r in self.places if r <= self.zero])
        return 1 + from_pipe / from_hole

    def flow(self):
        return math.pi * self.integral(lambda r: self.rate(r, self.along(r)) * (r**2 - self.inner**2))

    def rotation(self):
        return self.integral(lambda r: self.rate(r, self.around(r)) / r)

    def power(self):
        """Turned into heat on each length."""

        def heat(r):
            stress = math.hypot(self.along(r), self.around(r))
            return r * stress * self.rate(r, stress)

        return 2 * math.pi * self.integral(heat)


def quad_over(apart, places):
    return sum(quad(lambda r: apart.rate(r, apart.along(r)), a, b, epsabs=0, epsrel=1e-10, limit=200)[0] for a, b in zip(places, places[1:]))


@pytest.mark.parametrize("index, along, around", [((0.2, 1.05), 1e-9, 3e-8), ((1.05, 1.5), 3e-9, 2e-6)])
def test_adaptive_quadrature_finds_the_flow_and_the_rotation(index, along, around):
    given = records(60, 5, index=index)
    result = rotating_pipe(**given)
    for i in range(60):
        g = record(given, i)
        apart = Apart(g, type(result)(*(v[i] for v in result)))
        assert abs(apart.slip()) < along, g
        assert apart.flow() == pytest.approx(g["flow_rate"], rel=along), g
        assert apart.rotation() == pytest.approx(g["rotation"], rel=around), g
        assert apart.power() == pytest.approx(apart.gradient * g["flow_rate"] + apart.torque * g["rotation"], rel=along), g


@pytest.mark.parametrize("rotation", [0.0, 1e-200, 1e-9])
def test_without_rotation_it_is_the_concentric_annulus(rotation):
    given = records(2_000, 7) | {"rotation": np.full(2_000, rotation)}
    turned = rotating_pipe(**given)
    still = concentric(yield_stress=np.zeros(2_000), **{n: v for n, v in given.items() if n != "rotation"})
    slow = rotation * given["hole_diameter"] < 1e-6 * turned.velocity
    assert slow.sum() > 1_900
    for name in ("velocity", "pressure_gradient", "pressure_loss", "zero_stress_radius"):
        assert np.allclose(getattr(turned, name)[slow], getattr(still, name)[slow], rtol=1e-9, atol=0), name
    assert np.allclose(turned.still_gradient, still.pressure_gradient, rtol=1e-9, atol=0)
    assert np.allclose(turned.rotation_factor[slow], 1.0, rtol=1e-12)
    if rotation == 0.0:
        assert (turned.rotation_factor == 1.0).all() and (turned.torque_per_length == 0.0).all()


def test_a_newtonian_fluid_does_not_know_of_rotation():
    given = records(2_000, 11, turns=(-6.0, 6.0)) | {"flow_index": np.ones(2_000)}
    r = rotating_pipe(**given)
    assert np.allclose(r.rotation_factor, 1.0, rtol=1e-12, atol=0)
    k, outer = given["pipe_diameter"] / given["hole_diameter"], given["hole_diameter"] / 2
    gradient = 8 * given["consistency"] * r.velocity / (outer**2 * (1 + k**2 + (1 - k**2) / np.log(k)))
    torque = 4 * np.pi * given["consistency"] * given["rotation"] * (outer * k) ** 2 / (1 - k**2)
    assert np.allclose(r.pressure_gradient, gradient, rtol=1e-10, atol=0)
    assert np.allclose(r.torque_per_length, torque, rtol=1e-10, atol=0)
    assert np.allclose(r.apparent_viscosity, given["consistency"], rtol=1e-10, atol=0)


def test_rotation_thins_the_thinning_and_thickens_the_thickening():
    turns = np.concatenate([[0.0], 10.0 ** np.linspace(-2, 2, 60)])
    for index in (0.2, 0.4, 0.7, 0.95, 1.05, 1.3, 1.5):
        r = rotating_pipe(consistency=1.0, flow_index=index, hole_diameter=0.2, pipe_diameter=0.08, flow_rate=1e-3, rotation=turns)
        change = np.diff(r.rotation_factor)
        assert (change < 0).all() if index < 1 else (change > 0).all(), index
        assert (np.diff(r.torque_per_length) > 0).all()
        inward = np.diff(r.zero_stress_radius)
        assert (inward < 0).all() if index < 1 else (inward > 0).all(), index


def test_scales_with_consistency_size_and_speed():
    given = records(300, 13)
    r, n = rotating_pipe(**given), given["flow_index"]
    thick = rotating_pipe(**given | {"consistency": 3 * given["consistency"]})
    quick = rotating_pipe(**given | {"flow_rate": 0.5 * given["flow_rate"], "rotation": 0.5 * given["rotation"]})
    small = rotating_pipe(**given | {"hole_diameter": 0.5 * given["hole_diameter"], "pipe_diameter": 0.5 * given["pipe_diameter"],
                                     "flow_rate": 0.125 * given["flow_rate"]})
    for name, of_speed, of_size in (("pressure_gradient", 0.5**n, 2.0), ("torque_per_length", 0.5**n, 0.25)):
        x = getattr(r, name)
        assert np.allclose(getattr(thick, name), 3 * x, rtol=1e-12, atol=0)
        assert np.allclose(getattr(quick, name), of_speed * x, rtol=1e-11, atol=0)
        assert np.allclose(getattr(small, name), of_size * x, rtol=1e-11, atol=0)


def test_gradient_and_torque_are_slopes_of_one_function():
    """Of the power: what more rotation does to the gradient, more flow does to the torque."""
    given = records(40, 17, turns=(-1.5, 2.0))
    for i in range(40):
        slopes = rotating_pipe.gradient(**record(given, i))
        assert slopes.pressure_gradient.rotation == pytest.approx(slopes.torque_per_length.flow_rate, rel=1e-6), i


def test_slopes_equal_central_differences():
    given = records(30, 19, turns=(-1.5, 2.0)) | {"length": np.full(30, 500.0), "density": np.full(30, 1200.0)}
    for i in range(30):
        g = record(given, i)
        exact, plain = rotating_pipe.gradient(**g), rotating_pipe(**g)
        for name, value in g.items():
            d = 2e-5 * value
            more, less = (rotating_pipe(**(g | {name: value + s})) for s in (d, -d))
            for of in plain._fields:
                difference = (getattr(more, of) - getattr(less, of)) / (2 * d) * value
                near = pytest.approx(difference, rel=1e-6, abs=2e-7 * abs(getattr(plain, of)) + 1e-300)
                assert getattr(getattr(exact, of), name) * value == near, (i, of, name)


def test_torque_has_its_slope_where_rotation_begins():
    given = records(30, 31) | {"rotation": np.zeros(30)}
    for i in range(30):
        g = record(given, i)
        little = 1e-12 * g["flow_rate"] / g["hole_diameter"] ** 3
        slope = rotating_pipe(**(g | {"rotation": little})).torque_per_length / little
        assert rotating_pipe.gradient(**g).torque_per_length.rotation == pytest.approx(slope, rel=1e-6), g


def test_narrow_gaps_are_slots():
    gap = 10.0 ** -np.arange(3.0, 8.0)
    r = rotating_pipe(consistency=0.5, flow_index=[[0.3], [0.8], [1.4]], hole_diameter=1.0, pipe_diameter=1 - 2 * gap, flow_rate=1e-9, rotation=0.0)
    n, width = np.array([[0.3], [0.8], [1.4]]), gap
    slot = 2 * 0.5 / width * (2 * (1 / n + 2) * r.velocity / width) ** n
    assert (np.abs(r.pressure_gradient / slot - 1) < gap + 1e-8).all()
    assert np.allclose(r.still_gradient, r.pressure_gradient, rtol=1e-12, atol=0)
    assert (np.abs(r.apparent_viscosity * 12 * r.velocity / width**2 / slot - 1) < 2 * gap + 1e-8).all()


def test_no_flow_ends_at_cylinders_alone():
    given = records(500, 23) | {"flow_rate": np.zeros(500)}
    r, n = rotating_pipe(**given), given["flow_index"]
    k, outer = given["pipe_diameter"] / given["hole_diameter"], given["hole_diameter"] / 2
    stress = given["consistency"] * (given["rotation"] * 2 / n / (k ** (-2 / n) - 1)) ** n
    turned = given["rotation"] > 0
    assert np.allclose(r.torque_per_length[turned], (2 * np.pi * outer**2 * stress)[turned], rtol=1e-8, atol=0)
    assert (r.pressure_gradient == 0).all() and (r.still_gradient == 0).all() and np.isnan(r.rotation_factor).all()
    little = rotating_pipe(**given | {"flow_rate": np.full(500, 1e-30)})
    assert np.allclose(little.apparent_viscosity, r.apparent_viscosity, rtol=1e-9, atol=0)
    assert np.allclose(little.torque_per_length, r.torque_per_length, rtol=1e-9, atol=0)


def test_batch_has_the_bits_of_single_records_at_the_ends_of_the_range():
    given = records(400, 29, index=(0.2, 1.5), ratio=(0.02, 0.999), turns=(-12.0, 12.0))
    given["flow_rate"][::7] = 0.0
    given["rotation"][::5] = 0.0
    batch = rotating_pipe(**given)
    assert np.isfinite(batch.pressure_gradient).all() and np.isfinite(batch.torque_per_length).all()
    assert (np.isnan(batch.rotation_factor) == (given["flow_rate"] == 0)).all()
    for i in range(0, 400, 3):
        for name, x in rotating_pipe(**record(given, i))._asdict().items():
            assert np.array_equal(x, getattr(batch, name)[i], equal_nan=True), (i, name)


def test_the_factor_may_be_handed_on():
    given = dict(consistency=0.3, flow_index=0.7, hole_diameter=0.2159, pipe_diameter=0.127, flow_rate=0.01)
    factor = rotating_pipe(**given, rotation=10.0).rotation_factor
    loss = si.hydraulics.annulus_loss
    bare, turned = (loss(density=1200.0, yield_stress=0.0, **given, rotation_factor=f).pressure_gradient for f in (1.0, factor))
    assert 0.9 < factor < 1.0 and turned == pytest.approx(bare * factor, rel=1e-12)


def test_density_only_tells_of_vortices():
    given = dict(consistency=0.3, flow_index=0.7, hole_diameter=0.2159, pipe_diameter=0.127, flow_rate=0.01)
    without, light, heavy = (rotating_pipe(**given, rotation=2.0, density=d) for d in (math.nan, 300.0, 2400.0))
    assert math.isnan(without.taylor_number) and without[:-1] == light[:-1] == heavy[:-1]
    assert heavy.taylor_number == pytest.approx(64 * light.taylor_number, rel=1e-12)
    border = 1700 / light.taylor_number
    names = [rotating_pipe.judge(**given, rotation=2.0, density=300.0 * math.sqrt(border) * f) for f in (0.999, 1.001)]
    assert names == ["helical", "vortices"]
    assert rotating_pipe.judge(**given, rotation=0.0, density=2400.0) == "not_turning"
    assert rotating_pipe.judge(**given, rotation=2.0) == "helical"
    assert rotating_pipe.judge(**given, rotation=math.nan, density=2400.0) == "missing"


def critical_taylor_number(ratio, points=36):
    """Least Taylor number at which a steady axisymmetric vortex holds itself up between cylinders, the inner one turning: Newtonian fluid, by
    collocation at Chebyshev's points."""
    place = np.cos(np.pi * np.arange(points + 1) / points)
    ends = np.r_[2, np.ones(points - 1), 2] * (-1.0) ** np.arange(points + 1)
    apart = place[:, None] - place[None, :]
    slope = np.outer(ends, 1 / ends) / (apart + np.eye(points + 1))
    slope = 2 * (slope - np.diag(slope.sum(1)))
    inner, one = ratio / (1 - ratio), np.eye(points + 1)
    r = inner + (place + 1) / 2
    turning = -(ratio**2) / (1 - ratio**2) + inner**2 / (1 - ratio**2) / r**2
    nothing = np.zeros_like(one)

    def least(wave):
        viscous = slope @ slope + np.diag(1 / r) @ slope - np.diag(1 / r**2) - wave**2 * one
        left = np.block([[viscous @ viscous, nothing], [nothing, viscous]])
        right = np.block([[nothing, 2 * wave**2 * np.diag(turning)], [-2 * ratio**2 / (1 - ratio**2) * one, nothing]])
        size = points + 1
        for row, at_wall in ((0, one[0]), (1, slope[0]), (size - 2, slope[-1]), (size - 1, one[-1])):
            left[row], right[row] = np.r_[at_wall, 0 * one[0]], 0
        for row, at_wall in ((size, one[0]), (2 * size - 1, one[-1])):
            left[row], right[row] = np.r_[0 * one[0], at_wall], 0
        speeds = scipy.linalg.eigvals(left, right)
        speeds = speeds[np.isfinite(speeds)]
        return min(s.real for s in speeds if abs(s.imag) < 1e-6 * abs(s) and 0 < s.real < 1e5)

    return min(least(wave) for wave in np.linspace(3.0, 3.4, 9)) ** 2 * inner


@pytest.mark.parametrize("ratio, told", [(0.99, 1700), (0.95, 1800), (0.7, 2700), (0.5, 4650), (0.3, 12500)])
def test_limits_told_of_the_taylor_number(ratio, told):
    assert critical_taylor_number(ratio) == pytest.approx(told, rel=0.01)
    assert f"{told} " in rotating_pipe.sheet.source.replace(",", " ").replace(".", " ")
