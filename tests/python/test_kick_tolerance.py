"""Kick tolerance: the limiting influx loads the weakest point just so, Boyle's balance closes, and worse wells tolerate less."""

from math import nan, pi

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lutum import si

few = settings(max_examples=50, deadline=None)
G = 9.80665
tolerance = si.hydraulics.kick_tolerance
FIXED = {"hole_diameter": 0.2159, "pipe_diameter": 0.127, "collar_diameter": 0.17145}


@st.composite
def wells(draw):
    """The influx height is drawn as a share of the open hole, so that all verdicts and the collars are met; the fracture follows."""
    density, depth = draw(st.floats(1000.0, 1800.0)), draw(st.floats(1000.0, 6000.0))
    shoe, kick = depth * draw(st.floats(0.5, 0.98)), draw(st.floats(-50.0, 80.0))
    influx, margin = draw(st.floats(0.0, 400.0)), draw(st.floats(0.0, 1e6))
    lost = draw(st.floats(-0.2, 1.3)) * (depth - shoe) * (density - influx)
    return FIXED | {
        "density": density, "pore_density": density + kick, "fracture_density": density + (max(kick, 0.0) * depth + lost + margin / G) / shoe,
        "true_vertical_depth": depth, "shoe_true_vertical_depth": shoe, "collar_length": draw(st.floats(0.0, 800.0)), "influx_density": influx,
        "pressure_margin": margin, "shoe_length_ratio": draw(st.floats(1.0, 3.0)), "bottom_length_ratio": draw(st.floats(1.0, 3.0)),
    }  # fmt: skip


def area(outside):
    return pi / 4.0 * (FIXED["hole_diameter"] ** 2 - outside**2)


@few
@given(wells())
def test_the_limiting_influx_loads_the_weakest_point_just_so(well):
    """Pressures followed up the annulus, with the influx at the bottom and with its top at the weakest point."""
    r = tolerance(**well)
    rho, influx, depth, shoe = (well[name] for name in ("density", "influx_density", "true_vertical_depth", "shoe_true_vertical_depth"))
    bottom = G * depth * max(well["pore_density"], rho)
    assert r.bottom_hole_pressure == pytest.approx(bottom, rel=1e-12)
    allowed = G * well["fracture_density"] * shoe - well["pressure_margin"]
    mud_below = bottom - G * influx * r.influx_height - G * rho * (depth - shoe - r.influx_height)
    assert mud_below == pytest.approx(allowed, rel=1e-11)
    assert r.allowed_shoe_pressure == pytest.approx(allowed, rel=1e-12)
    casing_pressure = bottom - G * influx * r.influx_height - G * rho * (depth - r.influx_height)  # shut in, influx at the bottom
    assert casing_pressure == pytest.approx(r.surface_pressure, rel=1e-9, abs=1e-11 * bottom)


@few
@given(wells())
def test_amounts_of_gas_balance(well):
    """Pressure times volume is the same at both depths; the column is measured section by section."""
    r = tolerance(**well)
    assume(0.0 < r.influx_height < well["true_vertical_depth"] - well["shoe_true_vertical_depth"])
    assert r.volume_from_shoe * r.bottom_hole_pressure == pytest.approx(r.volume_at_shoe * r.allowed_shoe_pressure, rel=1e-12)
    assert r.kick_tolerance == min(r.volume_from_shoe, r.volume_at_bottom)

    def volume(top, base, pipe_ratio):  # between two true vertical depths
        collars = well["true_vertical_depth"] - well["collar_length"] / well["bottom_length_ratio"]
        around_pipe = max(min(base, collars) - top, 0.0) * pipe_ratio * area(FIXED["pipe_diameter"])
        return around_pipe + max(base - max(top, collars), 0.0) * well["bottom_length_ratio"] * area(FIXED["collar_diameter"])

    shoe, bottom = well["shoe_true_vertical_depth"], well["true_vertical_depth"]
    assert r.volume_at_shoe == pytest.approx(volume(shoe, shoe + r.influx_height, well["shoe_length_ratio"]), rel=1e-9, abs=1e-9)
    assert r.volume_at_bottom == pytest.approx(volume(bottom - r.influx_height, bottom, well["bottom_length_ratio"]), rel=1e-9, abs=1e-9)


@few
@given(wells(), st.floats(1.0, 100.0))
def test_worse_wells_tolerate_less(well, by):
    at = tolerance(**well)
    assume(at.influx_height > 0.0)
    slack = 1e-12 * abs(at.kick_tolerance)
    kick = max(well["pore_density"], well["density"])

    def less(**changed):
        assert tolerance(**(well | changed)).kick_tolerance <= at.kick_tolerance + slack, changed

    less(fracture_density=well["fracture_density"] - by)
    less(pressure_margin=well["pressure_margin"] + 1e4 * by)
    less(pore_density=kick + by)
    less(influx_density=max(well["influx_density"] - by, 0.0))
    # The same intensity in a denser mud.
    less(density=well["density"] + by, pore_density=well["pore_density"] + by)
    # A denser mud against the same formation: more, as long as the mud does not hold it, and influx all over the open hole would break the shoe.
    lighter = well["density"] - min(by, well["density"] - 900.0)
    if well["pore_density"] > well["density"] and at.influx_height < well["true_vertical_depth"] - well["shoe_true_vertical_depth"]:
        assert tolerance(**(well | {"density": lighter})).influx_height <= at.influx_height * (1.0 + 1e-12)


@few
@given(wells())
def test_the_greatest_intensity_leaves_nothing(well):
    at = tolerance(**well)
    assume(at.greatest_intensity > 1.0)
    r = tolerance(**(well | {"pore_density": well["density"] + at.greatest_intensity}))
    assert r.influx_height == pytest.approx(0.0, abs=1e-6)
    assert r.kick_tolerance == pytest.approx(0.0, abs=1e-6)
    assert r.shut_in_drill_pipe_pressure == pytest.approx(r.surface_pressure, rel=1e-9)


@few
@given(wells(), st.floats(0.0, 100.0))
def test_a_formation_that_the_mud_holds_is_a_swabbed_influx(well, below):
    held = well | {"pore_density": well["density"] - below}
    r, balanced = tolerance(**held), tolerance(**(well | {"pore_density": well["density"]}))
    assert r.kick_tolerance == balanced.kick_tolerance
    assert r.kick_intensity == pytest.approx(-below, abs=1e-9)
    assert r.shut_in_drill_pipe_pressure == 0.0
    assert tolerance.judge(**held) in ("swabbed", "fills_the_open_hole", "no_tolerance")


@few
@given(wells(), st.sampled_from(["collar_length", "fracture_density", "pore_density", "shoe_true_vertical_depth", "bottom_length_ratio"]))
def test_no_jump(well, name):
    """A step of the volume is held by the steps of the heights, of the pressures and of the length ratio."""
    rows = {key: np.full(2001, value) for key, value in well.items()}
    rows[name] = np.linspace(well[name], well[name] * 1.3 + 1.0, 2001)
    rows = {key: value[rows["shoe_true_vertical_depth"] <= well["true_vertical_depth"]] for key, value in rows.items()}
    r = tolerance(**rows)

    def steps(x):
        return np.abs(np.diff(x))

    ratio = np.maximum(rows["shoe_length_ratio"], rows["bottom_length_ratio"]).max()
    heights = steps(r.influx_height) + steps(rows["shoe_true_vertical_depth"]) + steps(rows["collar_length"] / rows["bottom_length_ratio"])
    factors = [r.allowed_shoe_pressure, r.bottom_hole_pressure, rows["bottom_length_ratio"]]
    volume = np.maximum(np.abs(r.volume_at_shoe), np.abs(r.volume_at_bottom)).max()
    allowed = area(FIXED["pipe_diameter"]) * ratio * heights + volume * sum(steps(np.log(x)) for x in factors)
    assert np.all(steps(r.kick_tolerance) <= 2.0 * allowed + 1e-9)


@pytest.mark.parametrize(
    ("changed", "verdict"),
    [
        ({"pipe_diameter": 0.32}, "no_gap"),
        ({"collar_diameter": 0.32}, "no_gap"),
        ({"shoe_true_vertical_depth": 3100.0}, "shoe_below_bottom"),
        ({"influx_density": 1440.0}, "influx_not_lighter"),
        ({"density": nan}, "missing"),
    ],
)
def test_what_has_no_number_says_why(changed, verdict):
    record = tolerance.example | changed
    assert np.isnan(tolerance(**record).kick_tolerance)
    assert tolerance.judge(**record) == verdict


@few
@given(st.floats(1e5, 3e7), st.floats(0.005, 0.03), st.floats(0.5, 2.0), st.floats(1.0, 2.0), st.floats(0.8, 1.5))
def test_two_rates_tell_the_exponent_they_were_made_with(pressure, rate, ratio, exponent, denser):
    assume(abs(ratio - 1.0) > 0.01)
    law = si.hydraulics.slow_rate_pressure
    there = law(pressure, rate, rate * ratio, 1200.0, 1200.0, exponent)
    back = law(there.pressure, rate * ratio, rate, 1200.0, 1200.0 * denser, exponent, second_pressure=pressure, second_flow_rate=rate)
    assert back.measured_exponent == pytest.approx(exponent, rel=1e-9)
    assert back.pressure == pytest.approx(pressure * denser, rel=1e-12)
