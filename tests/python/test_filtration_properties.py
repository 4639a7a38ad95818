"""Filtration: the static law comes back from its readings, spurt and slope rebuild the 30 min filtrate, units make no difference."""

from math import exp, isnan, log, nan, sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lutum import field, metric, si, units

few = settings(max_examples=50, deadline=None)
spurts = st.floats(-5.0, 20.0)
slopes = st.floats(0.1, 10.0)
readings = st.lists(st.integers(1, 240), min_size=2, max_size=12, unique=True)


@few
@given(spurts, slopes, readings, st.sampled_from([1.0, 2.0]))
def test_least_squares_on_exact_readings_returns_the_law(spurt, slope, minutes, area_factor):
    volumes = [spurt + slope * sqrt(t) for t in minutes]
    assume(min(volumes) >= 0.0)
    r = field.filtration.static_filtrate(minutes, volumes, area_factor)
    size = max(abs(v) for v in volumes) + slope
    spread = max(map(sqrt, minutes)) - min(map(sqrt, minutes))
    near = 1e-12 * size * (1.0 + max(map(sqrt, minutes)) / spread)
    assert r.coefficient == pytest.approx(area_factor * slope, abs=area_factor * near)
    assert r.spurt == pytest.approx(area_factor * spurt, abs=area_factor * near)
    assert max(abs(e) for e in r.residual) < near


@few
@given(spurts, slopes, st.lists(st.floats(-0.3, 0.3), min_size=4, max_size=4))
def test_the_30_min_filtrate_is_rebuilt_from_spurt_and_slope(spurt, slope, slips):
    minutes = [1.0, 5.0, 7.5, 30.0]
    r = metric.filtration.static_filtrate(minutes, [max(0.0, spurt + slope * sqrt(t) + e) for t, e in zip(minutes, slips)])
    assert r.filtrate_30_min == pytest.approx(r.spurt + r.coefficient * sqrt(30.0), rel=1e-12)
    assert r.filtrate_30_min == pytest.approx(2.0 * r.filtrate_7_5_min - r.spurt, rel=1e-12, abs=1e-12)
    assert r.relative_filtrate == pytest.approx(r.filtrate_30_min - r.spurt, rel=1e-12, abs=1e-12)
    assert sum(r.residual) == pytest.approx(0.0, abs=1e-12)
    assert sum(e * sqrt(t) for e, t in zip(r.residual, minutes)) == pytest.approx(0.0, abs=1e-11)


@few
@given(readings, st.data())
def test_order_and_empty_places_do_not_count(minutes, data):
    volumes = [1.0 + 0.7 * sqrt(t) + 0.01 * (t % 3) for t in minutes]
    plain = metric.filtration.static_filtrate(minutes, volumes)
    order = data.draw(st.permutations(range(len(minutes))))
    moved = metric.filtration.static_filtrate([minutes[i] for i in order], [volumes[i] for i in order])
    assert moved.spurt == pytest.approx(plain.spurt, rel=1e-9, abs=1e-9)
    if len(minutes) < 12:
        place = data.draw(st.integers(0, len(minutes)))
        holed = metric.filtration.static_filtrate([*minutes[:place], nan, *minutes[place:]], [*volumes[:place], nan, *volumes[place:]])
        assert holed.spurt == pytest.approx(plain.spurt, rel=1e-12, abs=1e-12)
        assert isnan(holed.residual[place])
        unpaired = metric.filtration.static_filtrate([*minutes, 77.0], [*volumes, nan])
        assert isnan(unpaired.spurt) and isnan(unpaired.coefficient)


@few
@given(st.floats(0.0, 40.0), st.floats(0.0, 40.0))
def test_the_plugging_test_is_the_line_of_the_static_law(at_7_5, at_30):
    plug = field.filtration.plugging_test(at_7_5, at_30)
    line = field.filtration.static_filtrate([7.5, 30.0], [at_7_5, at_30], 2.0)
    assert plug.spurt_loss == pytest.approx(line.spurt, rel=1e-12, abs=1e-12)
    assert plug.static_filtration_rate == pytest.approx(line.coefficient, rel=1e-12, abs=1e-12)
    assert plug.plugging_value == pytest.approx(plug.spurt_loss + plug.static_filtration_rate * sqrt(30.0), rel=1e-12, abs=1e-12)


@few
@given(st.floats(1e-6, 1e-4), st.floats(1e-4, 1e-2), st.floats(2e-4, 5e-3), st.floats(60.0, 7200.0))
def test_a_growing_cake_of_that_permeability_gives_that_filtrate(volume, thickness, viscosity, time):
    """The filtrate is integrated step by step through the cake as it grows."""
    pressure, area = 7e5, 4.5e-3
    k = si.filtration.cake_permeability(volume, thickness, viscosity, time, pressure, area).permeability
    steps = 200
    passed = 0.0
    for i in range(steps):
        middle = (i + 0.5) / steps * volume  # time to press one slice of filtrate through the cake left by those before
        passed += volume / steps * viscosity * (thickness * middle / volume) / (k * area * pressure)
    assert passed == pytest.approx(time, rel=1e-9)


@few
@given(st.floats(280.0, 600.0))
def test_vapour_pressure_obeys_clausius_and_clapeyron(kelvin):
    """ln p against 1/T falls by the heat of vaporisation over gas constant and compressibility, 2.0 to 2.5 MJ/kg here."""
    def vapour(t):
        return si.filtration.high_pressure(filtrate_volume=5e-6, temperature=t).vapour_pressure

    slope = (log(vapour(kelvin * 1.0005)) - log(vapour(kelvin * 0.9995))) / (1 / (kelvin * 1.0005) - 1 / (kelvin * 0.9995))
    heat = -slope * 461.526  # J/kg, heat over compressibility
    assert 2.0e6 < heat < 2.55e6
    # Antoine's line through the boiling point with the constants of a chemistry handbook (mmHg, degC), good to 1 % below 100 degC
    if kelvin < 373.0:
        assert vapour(kelvin) == pytest.approx(133.322 * exp(log(10) * (8.07131 - 1730.63 / (233.426 + kelvin - 273.15))), rel=0.01)


@few
@given(st.floats(0.05, 20.0), st.floats(50.0, 300.0), st.floats(50.0, 300.0))
def test_resistivity_there_and_back(ohm, first, second):
    there = field.filtration.resistivity(ohm, first, ohm, first, temperature=second).mud_resistivity_at_temperature
    back = field.filtration.resistivity(there, second, there, second, temperature=first).mud_resistivity_at_temperature
    assert back == pytest.approx(ohm, rel=1e-12)
    assert (there < ohm) == (second > first) or there == pytest.approx(ohm, rel=1e-12)


@few
@given(st.floats(0.5, 90.0), st.floats(120.0, 480.0), st.floats(0.0, 600.0))
def test_units_make_no_difference(volume, fahrenheit, back):
    in_field = field.filtration.high_pressure(volume, fahrenheit, 700.0, back)
    in_metric = metric.filtration.high_pressure(
        volume, units.convert(fahrenheit, "degF", "degC"), units.convert(700.0, "psi", "kPa"), units.convert(back, "psi", "kPa")
    )
    assert units.convert(in_metric.boiling_margin, "kPa", "psi") == pytest.approx(in_field.boiling_margin, rel=1e-12, abs=1e-9)
    assert in_metric.filtrate == pytest.approx(in_field.filtrate, rel=1e-12)
