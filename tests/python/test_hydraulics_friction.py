"""What must hold of friction in pipe and annulus whatever the fluid: smooth, monotone, exact derivatives, and the classical closed forms."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from lutum import si

hydraulics = si.hydraulics
FLUID = ("density", "yield_stress", "consistency", "flow_index")


def fluids(n: int, seed: int) -> dict[str, np.ndarray]:
    """Water to heavy gel; the wall stresses of both terms spread over decades, a tenth without yield stress, a tenth Bingham."""
    random = np.random.default_rng(seed)
    index = random.uniform(0.25, 1.05, n)
    index[::10] = 1.0
    yield_stress = 10 ** random.uniform(-1.5, 1.6, n)
    yield_stress[5::10] = 0.0
    return {
        "density": random.uniform(900.0, 2400.0, n),
        "yield_stress": yield_stress,
        "consistency": np.maximum(10 ** random.uniform(-2.0, 1.5, n) * 300 ** (1 - index) / 30, 1e-3),
        "flow_index": index,
    }


def sections(n: int, seed: int) -> dict[str, tuple]:
    """Random fluids in random pipes and annuli: the calculation and its inputs."""
    random = np.random.default_rng(seed)
    rate = 10 ** random.uniform(-5.0, -0.7, n)
    hole = random.uniform(0.1, 0.7, n)
    return {
        "pipe": (hydraulics.pipe_loss, fluids(n, seed) | {"inside_diameter": random.uniform(0.02, 0.3, n), "flow_rate": rate}),
        "annulus": (
            hydraulics.annulus_loss,
            fluids(n, seed + 1) | {"hole_diameter": hole, "pipe_diameter": hole * random.uniform(0.2, 0.9, n), "flow_rate": rate,
                                   "eccentricity": random.choice([0.0, 0.3, 0.8], n)},
        ),
    }


@pytest.mark.parametrize("method", ["exact", "standard"])
@pytest.mark.parametrize("duct", ["pipe", "annulus"])
def test_loss_rises_with_rate_length_and_density(duct, method):
    loss, given = sections(20_000, 3)[duct]
    middle = loss(**given, length=10.0, method=method)
    assert not np.isnan(middle.pressure_loss).any()
    for more in (1.0 + 1e-6, 1.05, 3.0):
        faster = loss(**(given | {"flow_rate": np.minimum(given["flow_rate"] * more, 1.0)}), length=10.0, method=method)
        assert (faster.pressure_loss > middle.pressure_loss).all()
        denser = loss(**(given | {"density": np.minimum(given["density"] * more, 3999.0)}), length=10.0, method=method)
        assert (denser.pressure_loss >= middle.pressure_loss * (1 - 1e-15)).all()
        if method == "exact":  # the standard stays laminar for long where a yield stress leaves n_p small
            assert (denser.pressure_loss > middle.pressure_loss)[middle.reynolds_number > middle.critical_reynolds_number].all()
    assert np.allclose(loss(**given, length=20.0, method=method).pressure_loss, 2 * middle.pressure_loss, rtol=1e-15, atol=0)


@pytest.mark.parametrize("method", ["exact", "standard"])
@pytest.mark.parametrize("duct", ["pipe", "annulus"])
def test_loss_rises_with_yield_and_consistency_within_a_regime(duct, method):
    loss, given = sections(40_000, 5)[duct]
    given = given | {"eccentricity": 0.0} if duct == "annulus" else given
    before = loss(**given, method=method)
    # The turbulent law itself lets a yield stress lower the drag a little, through its slope, up to ten times Re_c.
    for name, fully in (("yield_stress", 10.0), ("consistency", 3.0)):
        after = loss(**(given | {name: given[name] * 1.02 + 1e-6}), method=method)
        laminar = before.reynolds_number < 0.6 * before.critical_reynolds_number
        turbulent = after.reynolds_number > fully * after.critical_reynolds_number
        assert laminar.sum() > 2000 and turbulent.sum() > 500
        rises = after.pressure_loss > before.pressure_loss
        assert rises[laminar].all()
        if method == "exact" or name == "consistency":  # the standard's turbulent law knows the yield stress only through n_p
            assert rises[turbulent].all()


def test_between_the_regimes_more_yield_can_lower_the_loss():
    given = dict(density=1200.0, consistency=0.05, flow_index=0.8, inside_diameter=0.1, flow_rate=0.014)
    yields = np.linspace(0.0, 8.0, 200)
    assert (np.diff(hydraulics.pipe_loss(**given, yield_stress=yields).pressure_loss) < 0).any()


@pytest.mark.parametrize("method", ["exact", "standard"])
@pytest.mark.parametrize("duct", ["pipe", "annulus"])
@pytest.mark.parametrize("records", [10_000, pytest.param(100_000, marks=pytest.mark.long)])
def test_no_jump_over_a_step_of_1e_7_in_rate(duct, method, records):
    loss, given = sections(records, 7)[duct]
    here = loss(**given, method=method)
    # Half of them moved to a border: of the regimes, of where turbulence begins to count.
    step = 1e-7
    rates = [given["flow_rate"]]
    share = here.reynolds_number / here.critical_reynolds_number
    for border in (0.25, 1.0):
        low, high = np.full(records, 1e-7), np.full(records, 0.99)
        for _ in range(45):
            rate = np.sqrt(low * high)
            r = loss(**(given | {"flow_rate": rate}), method=method)
            above = r.reynolds_number > border * r.critical_reynolds_number
            low, high = np.where(above, low, rate), np.where(above, rate, high)
        rates.append(rate)
    assert (share < 0.25).any() and (share > 4).any()
    for rate in rates:
        below, above = (loss(**(given | {"flow_rate": rate * factor}), method=method).pressure_loss for factor in (1 - step / 2, 1 + step / 2))
        assert not np.isnan(above).any()
        assert (np.abs(above / below - 1) < 1e-6).all()


@pytest.mark.parametrize("method", ["exact", "standard", "laminar_rate"])
@pytest.mark.parametrize("duct", ["pipe", "annulus"])
def test_gradients_equal_central_differences(duct, method):
    loss, given = sections(60, 11)[duct]
    if duct == "pipe":
        given["roughness"] = np.where(np.arange(60) % 2, 2e-5, 1e-4) * given["inside_diameter"]
    for i in range(60):
        record = {name: float(values[i]) for name, values in given.items()}
        exact = loss.gradient(**record, method=method)
        scale = loss(**record, method=method).pressure_loss
        for name, value in record.items():
            h = 3e-5 * max(value, 1e-3)
            if value < h or (name == "eccentricity" and value == 0):
                continue
            ahead, back = (loss(**(record | {name: value + k * h}), method=method).pressure_loss for k in (1, -1))
            further, behind = (loss(**(record | {name: value + k * h}), method=method).pressure_loss for k in (2, -2))
            slope = (8 * (ahead - back) - (further - behind)) / (12 * h)
            found = getattr(exact.pressure_loss, name)
            assert found * value == pytest.approx(slope * value, rel=2e-7, abs=2e-9 * scale), (name, record)


@pytest.mark.parametrize("duct", ["pipe", "annulus"])
def test_one_record_has_the_bits_of_the_batch(duct):
    loss, given = sections(300, 13)[duct]
    for method in ("exact", "standard", "laminar_rate"):
        batch = loss(**given, method=method)
        for i in range(0, 300, 7):
            one = loss(**{name: float(values[i]) for name, values in given.items()}, method=method)
            assert all(a == b or (math.isnan(a) and math.isnan(b)) for a, b in zip(one, (column[i] for column in batch)))


def slow(duct, n=4000, seed=17):
    """Fluids in flow so slow that it is laminar."""
    loss, given = sections(n, seed)[duct]
    given["flow_rate"] = 10 ** np.random.default_rng(seed).uniform(-5, -3.7, n)
    given["eccentricity"] = 0.0
    if duct == "pipe":
        del given["eccentricity"]
    r = loss(**given)
    keep = r.reynolds_number < 0.24 * r.critical_reynolds_number
    assert keep.sum() > n / 4
    return loss, {name: values[keep] if np.ndim(values) else values for name, values in given.items()}


def width(given) -> np.ndarray:
    return given["inside_diameter"] if "inside_diameter" in given else (given["hole_diameter"] - given["pipe_diameter"]) / 2


@pytest.mark.parametrize("duct", ["pipe", "annulus"])
def test_power_law_and_newtonian_fluids_are_the_closed_forms(duct):
    loss, given = slow(duct)
    given["yield_stress"] = 0.0
    n, w = given["flow_index"], width(given)
    r = loss(**given)
    keep = r.reynolds_number < 0.24 * r.critical_reynolds_number
    assert keep.sum() > 300
    rate = (3 * n + 1) / (4 * n) * 8 * r.velocity / w if duct == "pipe" else (2 * n + 1) / (3 * n) * 6 * r.velocity / w
    assert np.allclose(r.wall_stress[keep], (given["consistency"] * rate**n)[keep], rtol=1e-12, atol=0)
    assert np.allclose(r.local_flow_index[keep], n[keep], rtol=1e-13, atol=0)
    given["flow_index"], given["consistency"] = 1.0, 0.5
    r = loss(**given)
    keep = r.reynolds_number < 0.24 * r.critical_reynolds_number
    gradient = 32 * 0.5 * r.velocity / w**2 if duct == "pipe" else 12 * 0.5 * r.velocity / w**2
    assert keep.sum() > 300 and np.allclose(r.pressure_gradient[keep], gradient[keep], rtol=1e-13, atol=0)
    assert np.allclose((r.friction_factor * r.reynolds_number)[keep], 16.0, rtol=1e-14, atol=0)


@pytest.mark.parametrize("duct", ["pipe", "annulus"])
def test_bingham_fluid_is_the_factorised_closed_form(duct):
    loss, given = slow(duct)
    given["flow_index"], given["consistency"] = 1.0, np.minimum(given["consistency"], 0.2)
    r = loss(**given)
    keep = r.reynolds_number < 0.24 * r.critical_reynolds_number
    f = given["yield_stress"] / r.wall_stress
    viscous = given["consistency"] * r.velocity / width(given)
    if duct == "pipe":
        back, sought = r.wall_stress * (1 - f) ** 2 * (f * f + 2 * f + 3) / 3, 8 * viscous
    else:
        back, sought = r.wall_stress * (1 - f) ** 2 * (2 + f) / 2, 6 * viscous
    free = keep & (1 - f > 1e-3)
    assert free.sum() > 300 and np.allclose(back[free], sought[free], rtol=1e-12, atol=0)


def test_turbulent_flow_is_the_coupled_law_found_another_way():
    """Slope and consistency from differences of the laminar curve, the root by Brent's method."""
    random = np.random.default_rng(23)
    checked = 0
    for _ in range(40):
        density, yield_stress, consistency, n = random.uniform(1000, 2000), random.uniform(0, 10), random.uniform(0.02, 0.4), random.uniform(0.6, 1.0)
        bore, rate = random.uniform(0.06, 0.12), random.uniform(0.03, 0.06)
        r = hydraulics.pipe_loss(density, yield_stress, consistency, n, bore, rate)
        if r.reynolds_number < 4.0 * r.critical_reynolds_number or r.local_flow_index < 0.45:
            continue
        velocity = rate / (math.pi / 4 * bore**2)

        def laminar(stress):
            x = np.linspace(0, 1, 20001)
            sheared = np.maximum(x * stress - yield_stress, 0.0)
            return np.trapezoid(x**2 * (sheared / consistency) ** (1 / n), x) * 2 * bore / 4  # V = (R/tau^3) int tau^2 rate d tau

        def balance(stress):
            v, h = laminar(stress), 1e-4
            slope = math.log((1 + h) / (1 - h)) / math.log(laminar(stress * (1 + h)) / laminar(stress * (1 - h)))
            k = stress / (8 * v / bore) ** slope
            reynolds = density * velocity ** (2 - slope) * bore**slope / (8 ** (slope - 1) * k)
            f = 2 * stress / (density * velocity**2)
            return 4 / slope**0.75 * math.log10(reynolds * f ** (1 - slope / 2)) - 0.4 / slope**1.2 - 1 / math.sqrt(f)

        stress = brentq(balance, max(1.01 * yield_stress, 0.2 * r.wall_stress), 5 * r.wall_stress, xtol=1e-10)
        assert r.wall_stress == pytest.approx(stress, rel=2e-5)  # what is left of the delay term at four times Re_c, and the sums
        checked += 1
    assert checked >= 15


def test_roughness_ends_in_the_rough_pipe_and_begins_in_the_smooth_one():
    water = dict(density=1000.0, yield_stress=0.0, consistency=0.001, flow_index=1.0, inside_diameter=0.1, flow_rate=0.9)
    f = hydraulics.pipe_loss(**water, roughness=1e-3).friction_factor
    assert f == pytest.approx((4 * math.log10(3.7 / 0.01)) ** -2, rel=2e-3)
    assert hydraulics.pipe_loss(**water, roughness=1e-12).friction_factor == pytest.approx(hydraulics.pipe_loss(**water).friction_factor, rel=1e-4)
    heights = np.linspace(0.0, 1e-3, 400)
    assert (np.diff(hydraulics.pipe_loss(**water, roughness=heights).pressure_loss) > 0).all()


@pytest.mark.parametrize("method", ["exact", "standard", "laminar_rate"])
def test_at_rest_nothing_is_lost_and_a_little_flow_takes_the_starting_gradient(method):
    given = dict(density=1200.0, yield_stress=5.0, consistency=0.3, flow_index=0.7)
    annulus = {"hole_diameter": 0.2159, "pipe_diameter": 0.127}
    for loss, place in ((hydraulics.pipe_loss, {"inside_diameter": 0.1}), (hydraulics.annulus_loss, annulus)):
        rest = loss(**given, **place, flow_rate=0.0, method=method)
        assert rest.pressure_loss == rest.wall_stress == rest.reynolds_number == rest.velocity == 0.0 and math.isnan(rest.friction_factor)
        assert loss.judge(**given, **place, flow_rate=0.0, method=method) == "at_rest"
        if loss is hydraulics.annulus_loss:
            assert loss.judge(**given, hole_diameter=0.5, pipe_diameter=0.1, flow_rate=0.0, eccentricity=0.5, method=method) == "at_rest"
        crawl = loss(**given, **place, flow_rate=1e-30, method=method)
        over = (4 / 3 if "inside_diameter" in place else 3 / 2) ** 0.7 if method == "standard" else 1.0
        assert crawl.pressure_gradient == pytest.approx(over * rest.starting_gradient, rel=1e-9)


def test_eccentricity_is_exact_at_none_and_lowers_the_loss():
    given = dict(density=1200.0, yield_stress=3.0, consistency=0.3, flow_index=0.7, hole_diameter=0.2159, pipe_diameter=0.127)
    for rate in (0.001, 0.03, 0.08):
        losses = hydraulics.annulus_loss(**given, flow_rate=rate, eccentricity=np.linspace(0.0, 0.95, 96)).pressure_loss
        assert losses[0] == hydraulics.annulus_loss(**given, flow_rate=rate).pressure_loss
        assert (np.diff(losses) < 0).all()
    doubled = hydraulics.annulus_loss(**given, flow_rate=0.03, rotation_factor=2.0)
    assert doubled.pressure_loss == 2 * hydraulics.annulus_loss(**given, flow_rate=0.03).pressure_loss


def test_missing_in_missing_out():
    for loss, _ in sections(1, 1).values():
        example = dict(loss.example)
        for name in FLUID + ("flow_rate",):
            assert math.isnan(loss(**(example | {name: math.nan})).pressure_loss)
