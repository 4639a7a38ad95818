"""The ten models of a flow curve: each against the simpler ones it holds, its own inverse, its slope, and its ends."""

from math import log

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import lutum
from lutum import si

rheology = si.rheology
quick = settings(max_examples=40, deadline=None)
MODELS = "newtonian bingham power_law yield_power_law casson robertson_stiff sisko heinz_casson cross carreau".split()


def over_decades(low, high):
    return st.floats(log(low), log(high)).map(lambda x: min(max(float(np.exp(x)), low), high))


a_rate = over_decades(1e-3, 1e4)
a_yield, a_viscosity, a_consistency = st.floats(0.01, 60.0), over_decades(1e-4, 0.3), over_decades(1e-3, 60.0)
an_index, a_shift, a_stress = st.floats(0.2, 1.05), st.floats(0.0, 300.0), st.just(0.0) | st.floats(1e-6, 150.0)
low_and_high = st.tuples(over_decades(0.05, 1000.0), st.floats(0.0, 0.05))
a_time, below_one = over_decades(1e-3, 1e3), st.floats(0.3, 1.0)


def parameters(model, *values):
    names = [v.name for v in getattr(rheology, model).inputs[:-2]]
    return model, dict(zip(names, values, strict=True))


a_fluid = st.one_of(
    over_decades(1e-4, 2.0).map(lambda x: parameters("newtonian", x)),
    st.tuples(a_yield, a_viscosity).map(lambda x: parameters("bingham", *x)),
    st.tuples(a_consistency, an_index).map(lambda x: parameters("power_law", *x)),
    st.tuples(a_yield, a_consistency, an_index).map(lambda x: parameters("yield_power_law", *x)),
    st.tuples(a_yield, a_viscosity).map(lambda x: parameters("casson", *x)),
    st.tuples(a_consistency, a_shift, an_index).map(lambda x: parameters("robertson_stiff", *x)),
    st.tuples(a_viscosity, a_consistency, an_index).map(lambda x: parameters("sisko", *x)),
    st.tuples(a_yield, a_viscosity, st.floats(0.3, 1.5)).map(lambda x: parameters("heinz_casson", *x)),
    st.tuples(low_and_high, a_time, below_one).map(lambda x: parameters("cross", *x[0], *x[1:])),
    st.tuples(low_and_high, a_time, below_one).map(lambda x: parameters("carreau", *x[0], *x[1:])),
)


def at(fluid, rate, stress=np.nan):
    model, given_parameters = fluid
    return getattr(rheology, model)(**given_parameters, shear_rate=rate, given_stress=stress)


def expect_the_same(one, other, rate, stress, relative=1e-12):
    """All results that both models have."""
    a, b = at(parameters(*one), rate, stress), at(parameters(*other), rate, stress)
    common = set(a._fields) & set(b._fields)
    assert {"shear_stress", "apparent_viscosity", "rate_at_stress"} <= common
    for name in common:
        assert getattr(a, name) == pytest.approx(getattr(b, name), rel=relative, abs=1e-300), (one, other, name)
    if other[0] == "newtonian":
        assert a.local_index == pytest.approx(1.0, rel=relative)


@quick
@given(a_yield, a_consistency, an_index, a_rate, a_stress)
def test_yield_power_law_holds_the_simpler_ones(y, k, n, rate, stress):
    expect_the_same(("yield_power_law", 0.0, k, n), ("power_law", k, n), rate, stress)
    expect_the_same(("yield_power_law", y, k, 1.0), ("bingham", y, k), rate, stress)
    expect_the_same(("yield_power_law", 0.0, k, 1.0), ("newtonian", k), rate, stress)


@quick
@given(a_yield, a_viscosity, st.floats(0.3, 1.5), a_rate, a_stress)
def test_heinz_casson_holds_bingham_and_casson(y, mu, m, rate, stress):
    expect_the_same(("heinz_casson", y, mu, 1.0), ("bingham", y, mu), rate, stress)
    for model in (("heinz_casson", 0.0, mu, m), ("casson", 0.0, mu), ("bingham", 0.0, mu)):
        expect_the_same(model, ("newtonian", mu), rate, stress)
    casson, heinz_casson = (at(parameters(*p), rate, stress) for p in (("casson", y, mu), ("heinz_casson", y, mu, 0.5)))
    # Near the yield stress the inverse is the square of a small difference: what a last bit of the stress makes of it.
    near_yield = 1e-15 / max(abs(stress / y - 1.0), 1e-12)
    assert heinz_casson[:3] == pytest.approx(casson[:3], rel=1e-12)
    assert heinz_casson.rate_at_stress == pytest.approx(casson.rate_at_stress, rel=1e-12 + 10 * near_yield, abs=1e-20)


@quick
@given(a_consistency, an_index, a_viscosity, a_rate, a_stress)
def test_robertson_stiff_and_sisko_hold_the_power_law(k, n, mu, rate, stress):
    expect_the_same(("robertson_stiff", k, 0.0, n), ("power_law", k, n), rate, stress)
    expect_the_same(("sisko", 0.0, k, n), ("power_law", k, n), rate, stress)
    expect_the_same(("sisko", mu, 0.0, n), ("newtonian", mu), rate, stress)


@quick
@given(over_decades(1e-3, 100.0), a_time, below_one, a_rate, a_stress)
def test_two_viscosities_alike_are_one(mu, time, m, rate, stress):
    for model in ("cross", "carreau"):
        expect_the_same((model, mu, mu, time, m), ("newtonian", mu), rate, stress)
        assert at(parameters(model, mu, mu, time, m), rate).shear_stress == mu * rate  # to the last bit
    expect_the_same(("carreau", mu, mu / 100, time, 1.0), ("newtonian", mu), rate, stress)


@quick
@given(a_fluid, a_rate)
def test_the_inverse_finds_the_rate(fluid, rate):
    r = at(fluid, rate)
    assume(r.shear_stress <= 1e6)  # the limit of the stress that may be given
    back = at(fluid, rate, r.shear_stress).rate_at_stress
    bits = 8 * np.finfo(float).eps / getattr(r, "local_index", 1.0)  # what the last bits of the stress make of the rate
    assert back == pytest.approx(rate, rel=1e-10 + bits)


@pytest.mark.parametrize("model", MODELS)
def test_the_inverse_over_many_decades(model):
    fluid = model, {k: v for k, v in getattr(rheology, model).example.items() if k not in ("shear_rate", "given_stress")}
    rates = np.logspace(-3, 7, 400)
    there = at(fluid, rates)
    back = at(fluid, rates, there.shear_stress).rate_at_stress
    index = getattr(there, "local_index", np.ones_like(rates))
    assert np.all(np.abs(back / rates - 1.0) <= 1e-12 + 8 * np.finfo(float).eps / index)
    assert np.all(np.diff(there.shear_stress) > 0.0)


@quick
@given(a_fluid, a_rate)
def test_the_local_index_is_the_slope_on_log_axes(fluid, rate):
    if fluid[0] == "newtonian":
        return
    steps = np.array([1e-3, -1e-3, 2e-3, -2e-3])
    up, down, far_up, far_down = np.log(at(fluid, rate * np.exp(steps)).shear_stress)
    slope = (8 * (up - down) - (far_up - far_down)) / 12e-3  # error of the fourth order
    r = at(fluid, rate)
    assert r.local_index == pytest.approx(slope, abs=2e-11)
    assert 0.0 <= r.local_index <= 1.05 + 1e-12
    assert r.apparent_viscosity * rate == pytest.approx(r.shear_stress, rel=1e-14)


@quick
@given(a_fluid, a_rate, st.floats(1.001, 10.0))
def test_stress_rises_with_the_rate(fluid, rate, ratio):
    slow, fast = at(fluid, rate * np.array([1.0, ratio])).shear_stress
    least = 1e-14 * slow  # a yield stress may hide the rise in its last bits
    assert fast > slow or (fluid[0] not in ("newtonian", "power_law", "sisko", "cross", "carreau") and fast >= slow - least)


@quick
@given(a_yield, a_consistency, an_index, a_shift)
def test_rest_is_the_yield_stress(y, k, n, shift):
    for fluid, stress in (
        (parameters("bingham", y, k), y),
        (parameters("yield_power_law", y, k, n), y),
        (parameters("casson", y, k), y),
        (parameters("heinz_casson", y, k, n), y),
        (parameters("robertson_stiff", k, shift + 1.0, n), k * (shift + 1.0) ** n),
        (parameters("sisko", k, k, n), 0.0),
        (parameters("cross", k, k / 2, 1.0, min(n, 1.0)), 0.0),
        (parameters("carreau", k, k / 2, 1.0, min(n, 1.0)), 0.0),
    ):
        r = at(fluid, 0.0, stress / 2)
        assert r.shear_stress == pytest.approx(stress, rel=1e-13)
        assert r.rate_at_stress == 0.0
        if fluid[0] in ("cross", "carreau"):
            assert r.apparent_viscosity == pytest.approx(k, rel=1e-15)
        else:
            assert np.isnan(r.apparent_viscosity)


def order_of(error, x):
    """The power of x with which an error falls or grows, from two points."""
    return np.diff(np.log(np.abs(error)))[0] / np.diff(np.log(x))[0]


@quick
@given(low_and_high, over_decades(1.0, 1e3), st.floats(0.5, 1.0))
def test_cross_reaches_its_ends_at_the_right_rate(viscosities, time, m):
    low, high = viscosities
    thinning, fluid = low - high, parameters("cross", low, high, time, m)
    x = np.array([1e3, 2e3]) ** (1.0 / m)  # relaxation time times rate
    error = (at(fluid, x / time).apparent_viscosity - high) / (thinning * x**-m) - 1.0
    assert order_of(error, x) == pytest.approx(-m, abs=2e-3)
    assert error == pytest.approx(-(x**-m), rel=2e-3)
    x = 1e-4 ** (1.0 / m) * np.array([1.0, 2.0])
    short_of = (low - at(fluid, x / time).apparent_viscosity) / thinning
    assert order_of(short_of, x) == pytest.approx(m, abs=2e-3)
    assert short_of == pytest.approx(x**m, rel=3e-4)


@quick
@given(over_decades(0.05, 1000.0), a_time, st.floats(0.1, 0.95))
def test_carreau_reaches_its_ends_at_the_right_rate(low, time, n):
    fluid = parameters("carreau", low, 0.0, time, n)
    x = np.array([200.0, 400.0])
    error = at(fluid, x / time).apparent_viscosity / (low * x ** (n - 1.0)) - 1.0
    assert order_of(error, x) == pytest.approx(-2.0, abs=1e-3)
    assert error == pytest.approx((n - 1.0) / 2.0 * x**-2, rel=1e-3)
    x = np.array([1e-3, 2e-3])
    short_of = 1.0 - at(fluid, x / time).apparent_viscosity / low
    assert order_of(short_of, x) == pytest.approx(2.0, abs=1e-3)
    assert short_of == pytest.approx((1.0 - n) / 2.0 * x**2, rel=1e-3)


@quick
@given(a_viscosity, a_consistency, an_index)
def test_sisko_leaves_its_power_law_at_the_right_rate(mu, k, n):
    rates = np.array([1.0, 2.0]) * 1e-3
    above = at(parameters("sisko", mu, k, n), rates).shear_stress / at(parameters("power_law", k, n), rates).shear_stress - 1.0
    assert above == pytest.approx(mu / k * rates ** (1.0 - n), rel=1e-6, abs=1e-14)


def test_models_share_their_names_and_questions():
    for system in ("field", "metric", "si"):
        for model in MODELS:
            calculation = getattr(lutum.unit_set(system).rheology, model)
            assert [v.name for v in calculation.inputs[-2:]] == ["shear_rate", "given_stress"]
            assert {v.name for v in calculation.results} >= {"shear_stress", "apparent_viscosity", "rate_at_stress"}
    symbols = [v.symbol for v in rheology.robertson_stiff.inputs[:3]]
    assert symbols == ["A", "C", "B"]


def test_without_a_stress_only_its_rate_is_missing():
    for model in MODELS:
        calculation = getattr(rheology, model)
        record = {k: v for k, v in calculation.example.items() if k != "given_stress"}
        *others, rate = calculation(**record)
        assert np.isnan(rate) and np.isfinite(others).all()
        assert calculation.check(**record) == []
