"""The critical velocity of an inclined annulus: two models at their own ends, a passage between them without a step."""

from math import nan, pi, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lutum import field, metric, si

few = settings(max_examples=50, deadline=None)
HANGING = ("slip_velocity", "critical_velocity", "critical_flow_rate", "apparent_viscosity")


def high_angle(angle, **given):
    return si.cuttings.high_angle(**(si.cuttings.high_angle.example | {"inclination": np.radians(angle)} | given))


fluid_records = st.fixed_dictionaries({
    "density": st.floats(1000.0, 1800.0), "plastic_viscosity": st.floats(0.005, 0.06), "yield_point": st.floats(0.0, 15.0),
    "cuttings_diameter": st.floats(0.001, 0.008), "penetration_rate_of_bit": st.floats(0.001, 0.02), "effective_viscosity": st.floats(0.02, 0.5),
})  # fmt: skip


@few
@given(fluid_records, st.sampled_from([30.0, 55.0]))
def test_the_passage_has_no_step_and_no_corner(given_, angle):
    around = angle + np.array([-2e-4, -1e-4, 0.0, 1e-4, 2e-4])
    v = high_angle(around, **given_).critical_velocity
    assert np.ptp(v) < 1e-4 * v[2]
    assert v[1] - v[0] == pytest.approx(v[4] - v[3], abs=1e-8 * high_angle(90.0, **given_).critical_velocity)


@few
@given(fluid_records)
def test_no_step_from_vertical_to_horizontal(given_):
    angles = np.linspace(0.0, 90.0, 9001)
    v = high_angle(angles, **given_).critical_velocity
    assert np.abs(np.diff(v)).max() < 1e-3 * v.max()


@few
@given(fluid_records)
def test_both_ends_are_their_own_models(given_):
    r = high_angle([0.0, 15.0, 30.0], **given_)
    e = si.cuttings.high_angle.example | given_
    alone = si.cuttings.slip_velocity(e["cuttings_diameter"], e["cuttings_density"], e["density"], e["effective_viscosity"]).slip_velocity
    assert r.slip_velocity == pytest.approx([alone] * 3, rel=1e-10)
    shared = {name: e[name] for name in ("hole_diameter", "pipe_diameter", "bit_diameter", "penetration_rate_of_bit")}
    vertical = si.cuttings.minimum_rate(**shared, slip_velocity=alone, inclination=0.0, highest_concentration=r.concentration[0])
    assert r.critical_velocity[0] == pytest.approx(vertical.velocity, rel=1e-10)
    steep = high_angle([55.0, 70.0, 90.0], **given_)
    without = high_angle([55.0, 70.0, 90.0], **(given_ | {"effective_viscosity": nan, "cuttings_density": nan}))
    assert np.array_equal(steep.critical_velocity, without.critical_velocity)


@few
@given(fluid_records, st.floats(55.1, 90.0), st.floats(1.0, 1.5))
def test_faster_drilling_and_thicker_fluid_need_more_at_high_angle(given_, angle, more):
    at = high_angle(angle, **given_).critical_velocity
    for name in ("penetration_rate_of_bit", "plastic_viscosity", "yield_point"):
        assert high_angle(angle, **(given_ | {name: given_[name] * more})).critical_velocity >= at * (1.0 - 1e-12)


@few
@given(fluid_records, st.floats(55.0, 90.0))
def test_the_printed_form_is_met_within_its_range(given_, angle):
    """In printed units, with the printed 5 of the apparent viscosity and the printed line above 53 cP."""
    foot, inch, pound_per_gallon = 0.3048, 0.0254, 119.82642731689663
    e = si.cuttings.high_angle.example | given_
    r = high_angle(angle, **given_)
    drilling = e["penetration_rate_of_bit"] / foot * 3600.0
    ratio = e["pipe_diameter"] / e["hole_diameter"]
    travel = drilling / (36.0 * (1.0 - ratio**2) * (0.64 * drilling / 36.0 + 18.16 / 36.0))
    width = (e["hole_diameter"] - e["pipe_diameter"]) / inch
    viscosity = 1e3 * e["plastic_viscosity"] + 5.0 * e["yield_point"] / 0.4788 * width / (r.critical_velocity / foot)
    lag = 0.00516 * viscosity + 3.006 if viscosity < 53.0 else 0.02554 * (viscosity - 53.0) + 3.28
    factors = (0.0342 * angle - 0.000233 * angle**2 - 0.213) * (1.286 - 1.04 * e["cuttings_diameter"] / inch)
    factors *= 1.0 - 0.0333 * max(e["density"] / pound_per_gallon - 8.7, 0.0)
    assert r.transport_velocity / foot == pytest.approx(travel, rel=1e-9)
    assert r.slip_velocity / foot == pytest.approx(lag * factors, rel=3e-3)


@few
@given(fluid_records, st.floats(0.0, 90.0))
def test_the_parts_add_up(given_, angle):
    r = high_angle(angle, **given_)
    e = si.cuttings.high_angle.example | given_
    width = e["hole_diameter"] - e["pipe_diameter"]
    assert r.transport_velocity + r.slip_velocity == pytest.approx(r.critical_velocity, rel=1e-12)
    assert r.critical_flow_rate == pytest.approx(r.critical_velocity * pi / 4.0 * (e["hole_diameter"] ** 2 - e["pipe_diameter"] ** 2), rel=1e-12)
    assert r.apparent_viscosity == pytest.approx(e["plastic_viscosity"] + e["yield_point"] * width / (8.0 * r.critical_velocity), rel=1e-12)


@pytest.mark.parametrize("angle", [0.0, 10.0, 30.0, 42.0, 54.9])
def test_below_55_degrees_nothing_may_be_missing(angle):
    for name in si.cuttings.high_angle.example:
        r = high_angle(angle, **{name: nan})
        assert all(np.isnan(getattr(r, result)) for result in HANGING), name
        record = si.cuttings.high_angle.example | {"inclination": radians(angle)} | {name: nan}
        assert si.cuttings.high_angle.judge(**record) == "missing", name


def test_at_high_angle_only_the_rock_may_be_missing():
    for name in si.cuttings.high_angle.example:
        missing = np.isnan(high_angle(60.0, **{name: nan}).critical_velocity)
        assert missing == (name not in ("cuttings_density", "effective_viscosity")), name


def test_angles_come_in_degrees_in_field_and_metric():
    for unit_set in (field, metric):
        example = unit_set.cuttings.high_angle.example
        assert example["inclination"] == pytest.approx(1.2 * 180.0 / pi, abs=0.01)
        for angle, verdict in ((20.0, "near_vertical"), (30.0, "near_vertical"), (40.0, "blended"), (55.0, "high_angle"), (60.0, "high_angle")):
            assert unit_set.cuttings.high_angle.judge(**(example | {"inclination": angle})) == verdict
