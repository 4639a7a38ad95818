"""Density and routine tests: balances are inverted, corrections undo what was done, units make no difference."""

from math import pi

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import lutum
from lutum import field, metric, si, units

few = settings(max_examples=50, deadline=None)
densities = st.floats(800.0, 2500.0)


@few
@given(densities, st.floats(-100.0, 100.0), st.floats(275.0, 370.0))
def test_a_balance_set_wrong_is_undone(density, error, temperature):
    water = si.density.mud_balance(1000.0, 1000.0, temperature).water_density
    r = si.density.mud_balance(density + error, water + error, temperature)
    assert r.mud_density == pytest.approx(density, rel=1e-12)
    assert r.balance_error == pytest.approx(error, abs=1e-9)


@few
@given(densities, st.floats(0.0, 0.5), st.floats(7e4, 1.1e5), st.floats(2e5, 5e6))
def test_gas_put_into_a_mud_is_found(density, fraction, air, pressure):
    liquid, gas = 1.0 - fraction, fraction * air / (air + pressure)  # m3 in 1 m3 as it lies open
    mass = density * liquid
    r = si.density.gas_cut(mass, mass / (liquid + gas), pressure, air, compression="boyle")
    assert r.gas_free_density == pytest.approx(density, rel=1e-12)
    assert r.gas_fraction == pytest.approx(fraction, abs=1e-12)
    left_out = si.density.gas_cut(mass, mass / (liquid + gas))
    assert left_out.gas_fraction <= r.gas_fraction + 1e-12


@few
@given(st.floats(700.0, 1900.0), st.floats(1.0, 1.3))
def test_boyle_at_a_great_pressure_is_complete_compression(open_reading, rise):
    complete = si.density.gas_cut(open_reading, open_reading * rise)
    nearly = si.density.gas_cut(open_reading, open_reading * rise, 1e7, 3e4, compression="boyle")
    assert nearly.gas_fraction == pytest.approx(complete.gas_fraction, abs=0.003 * rise)


@few
@given(st.floats(1100.0, 4000.0), st.floats(985.0, 1030.0))
def test_cuttings_weighed_and_topped_up_come_back(density, water):
    cuttings = water / density  # m3 in a cup of 1 m3 that balances at water
    reading = cuttings * density + (1.0 - cuttings) * water
    r = si.density.cuttings_by_balance(reading, water)
    assert r.cuttings_density == pytest.approx(density, rel=1e-11)
    assert r.cuttings_fraction == pytest.approx(cuttings, rel=1e-11)


@few
@given(densities, st.floats(1.0, 12000.0))
def test_pressure_and_density_invert(density, depth):
    pressure = si.density.hydrostatic_pressure(density, depth).pressure
    assert si.density.balancing_density(pressure, depth).equivalent_density == pytest.approx(density, rel=1e-14)
    assert si.density.gradient(density).pressure_gradient * depth == pytest.approx(pressure, rel=1e-14)


@few
@given(st.floats(6.0, 22.0), st.floats(1.0, 30000.0))
def test_pressure_is_the_same_in_each_unit_set(pounds, feet):
    in_field = field.density.hydrostatic_pressure(pounds, feet).pressure
    in_metric = metric.density.hydrostatic_pressure(units.convert(pounds, "lb/gal", "kg/m3"), units.convert(feet, "ft", "m")).pressure
    assert units.convert(in_metric, "kPa", "psi") == pytest.approx(in_field, rel=1e-12)
    assert in_field == pytest.approx(pounds * feet * 12 / 231, rel=1e-12)


@few
@given(st.floats(1e-4, 1.0), st.floats(0.5, 200.0), st.floats(40.0, 8000.0), st.floats(2.6, 9.0))
def test_metal_lost_is_the_rate_over_the_time(loss, area, hours, density):
    mine = lutum.unit_set("metric", density="g/cm3")
    r = mine.routine.corrosion_coupon(loss, area, hours, density)
    thickness = r.penetration_rate / 8760.0 * hours / 10.0  # cm in the time
    assert thickness * area * density == pytest.approx(loss, rel=1e-12)
    assert r.mass_loss_rate == pytest.approx(r.penetration_rate * density, rel=1e-12)  # mm g/cm3 is kg/m2


@few
@given(st.floats(5.0, 500.0), st.floats(1e-3, 1e-2), st.floats(0.03, 0.05), st.floats(1e-4, 2e-3), densities)
def test_forces_on_the_shear_tube_balance(strength, length, diameter, wall, density):
    """The load is built up from shear on both faces and buoyancy, then the strength is asked for."""
    inner = diameter - 2.0 * wall
    load = strength * pi * (diameter + inner) * length + density * 9.80665 * pi / 4.0 * (diameter**2 - inner**2) * length
    mass = load / 9.80665
    assume(1e-4 < mass < 1.0)
    r = si.routine.shear_strength(mass, 0.0, length, density, diameter, wall)
    assert r.shear_strength == pytest.approx(strength, rel=1e-11)


def test_the_funnel_keeps_its_volumes_apart():
    """A litre of water against the time of a quart is an error of the funnel, not a conversion."""
    assert field.routine.funnel(28.0, standard_water_time=27.6).water_error == pytest.approx(0.4)
    assert field.routine.funnel.judge(28.0, standard_water_time=27.6) == "consistent"
    assert field.routine.funnel.judge(28.0) == "funnel_off"


def test_time_of_a_litre_of_water_from_that_of_a_quart():
    """Outflow from 1500 mL in the funnel's cone, speed by the root of the head above the end of its tube."""
    top, height, bottom, tube = 0.076, 0.305, 0.00238, 0.0508

    def radius(level):
        return bottom + (top - bottom) * level / height

    def emptied(wanted, steps=20000):
        level, left, time = height, 0.0, 0.0
        whole = pi * height / 3 * (top**2 + top * bottom + bottom**2)
        down = height / steps
        for i in range(steps):
            middle = height - (i + 0.5) * down
            left += pi * radius(middle) ** 2 * down
            level = whole - left  # m3 still in the cone
            if level < 1.5e-3:
                time += pi * radius(middle) ** 2 * down / (middle + tube) ** 0.5
            if level <= 1.5e-3 - wanted:
                return time
        raise AssertionError("the cone holds less")

    ratio = emptied(1e-3) / emptied(units.convert(0.25, "gal[US]", "m3"))
    assert 26.0 * ratio == pytest.approx(27.6, abs=0.05)
