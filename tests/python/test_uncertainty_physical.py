"""Negative high-gravity solids stay signed; what lies inside the bounds is an estimate of its own."""

import numpy as np
import pytest
from scipy.optimize import minimize

from lutum import field
from lutum.uncertainty import Bound, covariance_of, flag, physical_estimate
from lutum.uncertainty.physical import LABEL, STATES

RETORT = field.solids.water_base_retort
READINGS = {"mud_density": 9.0, "water_fraction": 93.0, "oil_fraction": 0.0, "chloride": 3000.0}
UNITS = {"mud_density": "lb/gal", "water_fraction": "%", "oil_fraction": "%", "chloride": "mg/L"}


def bound(name, readings=READINGS):
    value, slope = getattr(RETORT(**readings), name), getattr(RETORT.gradient(**readings), name)
    return Bound(name, value, {n: getattr(slope, n) for n in readings})


def test_flagged_beyond_two_sigma_only():
    found = flag([1.0, -1.9, -2.1, np.nan, -1.0, 101.0], [1.0, 1.0, 1.0, 1.0, np.nan, 0.4], highest=100.0)
    assert found.state.tolist() == [STATES[0], STATES[1], STATES[2], STATES[3], STATES[3], STATES[2]]
    assert found.flagged.tolist() == [False, False, True, False, False, True]
    assert found.distance[[0, 1, 2, 5]] == pytest.approx([0.0, 1.9, 2.1, 2.5])
    assert flag(-1.0, 0.0).flagged and not flag(0.0, 0.0).flagged
    assert flag(-5.0, 1.0, lowest=None).state == "inside"
    assert flag(-2.5, 1.0, factor=3.0).state == STATES[1]
    with pytest.raises(ValueError, match="u = -1 is negative"):
        flag(1.0, -1.0)
    with pytest.raises(ValueError, match="lowest = 2 is above highest = 1"):
        flag(1.0, 1.0, 2.0, 1.0)


def test_negative_high_gravity_solids():
    """The estimate moves density and water by their own errors until the linear form says zero; computed anew it is nearly so."""
    signed = RETORT(**READINGS).high_gravity_fraction
    assert signed < 0.0
    v = covariance_of(READINGS, UNITS)
    b = bound("high_gravity_fraction")
    found = physical_estimate(READINGS, v, [b])
    assert found.signed["high_gravity_fraction"] == signed  # stays beside it as it was
    assert found.quantities["high_gravity_fraction"] == pytest.approx(0.0, abs=1e-9)
    slope = np.array([b.sensitivities[n] for n in READINGS])
    u = (slope @ v @ slope) ** 0.5
    assert found.distance == pytest.approx(-signed / u, rel=1e-9)  # the same number that flags it
    assert list(found.moved.values()) == pytest.approx(list(-signed * (v @ slope) / u**2), rel=1e-9)
    assert found.moved["oil_fraction"] == 0.0  # there is none: it has no error to be moved by
    again = RETORT(**found.readings)
    assert abs(again.high_gravity_fraction) < 0.01 * abs(signed)
    assert found.label == LABEL and "estimate that uses the bound" in str(found)
    assert found.active == "high_gravity_fraction = 0"
    assert flag(signed, u).distance == pytest.approx(found.distance)


def test_what_is_inside_stays_as_it_is():
    readings = READINGS | {"mud_density": 12.0, "water_fraction": 78.0}
    found = physical_estimate(readings, covariance_of(readings, UNITS), [bound("high_gravity_fraction", readings), bound("low_gravity_fraction", readings)])
    assert found.readings == readings and found.distance == 0.0 and found.active == ""


def test_against_a_general_solver():
    """Random bounds and covariances: the same least distance as a general method of constrained least squares."""
    rng = np.random.default_rng(12)
    names, rows = ["a", "b", "c", "d"], 40
    x = rng.normal(size=(rows, 4))
    g = rng.normal(size=(3, 4))
    root = rng.normal(size=(4, 4))
    v = root @ root.T
    bounds = [Bound(f"q{i}", x @ g[i] + i - 1.0, dict(zip(names, g[i])), 0.0, 1.0 + i) for i in range(3)]
    found = physical_estimate(dict(zip(names, x.T)), v, bounds)
    assert (found.distance > 0.0).sum() > 20 and len(set(found.active)) > 5
    inverse = np.linalg.inv(v)
    for r in range(rows):
        q = np.array([b.value[r] for b in bounds])
        limits = [{"type": "ineq", "fun": lambda d, i=i, q=q: (q + g @ d)[i]} for i in range(3)]
        limits += [{"type": "ineq", "fun": lambda d, i=i, q=q: 1.0 + i - (q + g @ d)[i]} for i in range(3)]
        best = minimize(
            lambda d: d @ inverse @ d, np.zeros(4), jac=lambda d: 2.0 * inverse @ d, constraints=limits, method="SLSQP",
            options={"ftol": 1e-13, "maxiter": 500},
        )  # fmt: skip
        assert found.distance[r] ** 2 == pytest.approx(best.fun, rel=1e-5, abs=1e-8)
        assert [found.moved[n][r] for n in names] == pytest.approx(best.x.tolist(), abs=1e-4)


def test_rows_that_cannot_be_moved_say_so():
    bounds = [Bound("q", np.array([-1.0, -1.0, np.nan, 1.0]), {"a": np.array([1.0, 0.0, 1.0, 1.0])})]
    found = physical_estimate({"a": np.zeros(4)}, [[1.0]], bounds)
    assert found.quantities["q"].tolist() == pytest.approx([0.0, np.nan, np.nan, 1.0], nan_ok=True)
    assert found.active.tolist() == ["q = 0", "no readings lie inside all bounds", "a value or its uncertainty is missing", ""]
    assert found.signed["q"][:2].tolist() == [-1.0, -1.0]
    frame = found.frame()
    assert list(frame)[:2] == ["q", "q (estimate that uses the bounds)"] and len(frame) == 4
    assert "4 rows, 1 moved onto a bound, 2 without one" in str(found)


def test_a_covariance_for_each_row():
    bounds = [Bound("q", np.array([-1.0, -1.0]), {"a": 1.0, "b": 1.0})]
    v = np.array([np.diag([1.0, 3.0]), np.diag([3.0, 1.0])])
    found = physical_estimate({"a": np.zeros(2), "b": np.zeros(2)}, v, bounds)
    assert found.moved["a"].tolist() == pytest.approx([0.25, 0.75]) and found.distance.tolist() == pytest.approx([0.5, 0.5])


def test_wrong_bounds_are_refused():
    with pytest.raises(ValueError, match="no reading 'b'; there are a"):
        physical_estimate({"a": 1.0}, [[1.0]], [Bound("q", -1.0, {"b": 1.0})])
    with pytest.raises(ValueError, match=r"covariance has shape \(2, 2\)"):
        physical_estimate({"a": 1.0}, np.eye(2), [Bound("q", -1.0, {"a": 1.0})])
    with pytest.raises(ValueError, match="lowest = 2 is above highest = 1"):
        physical_estimate({"a": 1.0}, [[1.0]], [Bound("q", -1.0, {"a": 1.0}, 2.0, 1.0)])
    with pytest.raises(ValueError, match="7 bounds are given"):
        physical_estimate({"a": 1.0}, [[1.0]], [Bound("q", -1.0, {"a": 1.0})] * 7)
