"""Pump, surface lines, bit and cuttings: balances close, and no neighbour beats an optimum."""

from math import isnan, log, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lutum import field, si

few = settings(max_examples=50, deadline=None)
densities, rates, pressures = st.floats(900.0, 2300.0), st.floats(0.01, 0.08), st.floats(8e6, 4e7)
exponents, criteria = st.floats(1.5, 2.0), st.sampled_from(["power", "impact"])


def gained(rate, measured_rate, measured_loss, exponent, pressure, power, most):
    """What is to be greatest, up to a factor that does not depend on the rate, where both limits of the pump hold."""
    left = np.minimum(pressure, power / rate) - measured_loss * (rate / measured_rate) ** exponent
    return left * rate if most == "power" else left * rate**2


@few
@given(densities, rates, pressures, exponents, pressures, st.floats(5e4, 3e6), criteria)
def test_no_rate_beats_the_optimum(density, q, loss, m, limit, power, most):
    r = si.hydraulics.bit_optimum(density, q, loss, m, limit, power, most=most)
    best = gained(r.flow_rate, q, loss, m, limit, power, most)
    others = gained(np.geomspace(1e-4, 1.0, 4001), q, loss, m, limit, power, most)
    assert best >= others.max() * (1.0 - 1e-12)
    assert best >= gained(r.flow_rate * np.array([0.999, 1.001]), q, loss, m, limit, power, most).max()


@few
@given(densities, rates, pressures, exponents, pressures, st.floats(5e4, 3e6), st.floats(0.0, 0.05), st.floats(0.001, 0.05), criteria)
def test_within_rate_limits_no_rate_is_better(density, q, loss, m, limit, power, low, width, most):
    r = si.hydraulics.bit_optimum(density, q, loss, m, limit, power, low, low + width, most=most)
    assert low <= r.flow_rate <= low + width
    others = gained(np.linspace(max(low, 1e-9), low + width, 501), q, loss, m, limit, power, most)
    best = gained(max(r.flow_rate, 1e-9), q, loss, m, limit, power, most)
    assert best >= others.max() - 1e-12 * np.abs(others).max()
    told = si.hydraulics.bit_optimum.judge(density, q, loss, m, limit, power, low, low + width, most=most)
    if r.bit_loss <= 0.0:
        assert told == "nothing_left" and isnan(r.nozzle_area)
    elif r.pump_optimum_rate > low + width:
        assert told == "held_at_highest"
    elif r.pump_optimum_rate < low:
        assert told == "held_at_lowest"
    else:
        assert told in ("pressure_decides", "power_decides")


@few
@given(densities, rates, pressures, exponents, pressures, criteria)
def test_the_optimum_nozzles_close_the_circuit(density, q, loss, m, limit, most):
    r = si.hydraulics.bit_optimum(density, q, loss, m, limit, most=most)
    bit = si.hydraulics.bit_pressure_loss(density, r.flow_rate, nozzle_area=r.nozzle_area)
    assert bit.pressure_loss + loss * (r.flow_rate / q) ** m == pytest.approx(limit, rel=1e-12)
    assert bit.hydraulic_power == pytest.approx(r.hydraulic_power, rel=1e-12)
    assert bit.impact_force == pytest.approx(r.impact_force, rel=1e-12)


@few
@given(densities, st.floats(1e-4, 1e-3), rates, st.floats(0.4, 0.9), st.floats(1e6, 2e7), exponents)
def test_the_exponent_put_in_comes_out_and_any_measured_rate_gives_one_optimum(density, area, q, slower, loss, m):
    def standpipe(rate):
        return loss * (rate / q) ** m + si.hydraulics.bit_pressure_loss(density, rate, nozzle_area=area).pressure_loss

    r = si.hydraulics.parasitic_loss(density, area, q, standpipe(q), q * slower, standpipe(q * slower))
    share = max(standpipe(q) / loss, standpipe(q * slower) / r.second_parasitic_loss)  # digits lost where the bit takes most
    assert r.exponent == pytest.approx(m, abs=1e-13 * share / abs(log(slower)) + 1e-12)
    one = si.hydraulics.bit_optimum(density, q, loss, m, 2e7)
    two = si.hydraulics.bit_optimum(density, q * slower, loss * slower**m, m, 2e7)
    assert one.flow_rate == pytest.approx(two.flow_rate, rel=1e-12)


@few
@given(densities, rates, st.lists(st.floats(0.006, 0.02), min_size=1, max_size=6), st.floats(0.85, 1.05))
def test_power_force_and_loss_of_the_bit_agree(density, q, sizes, coefficient):
    area = si.hydraulics.nozzle_area(sizes, [1.0] * len(sizes)).nozzle_area
    assert area == pytest.approx(sum(pi / 4 * d * d for d in sizes), rel=1e-13)
    assert si.hydraulics.nozzle_area(sizes[:1], [3.0]).nozzle_area == pytest.approx(3 * pi / 4 * sizes[0] ** 2, rel=1e-13)
    r = si.hydraulics.bit_pressure_loss(density, q, area, bit_diameter=0.3, discharge_coefficient=coefficient)
    assert 2.0 * r.hydraulic_power * coefficient**2 == pytest.approx(r.impact_force * r.nozzle_velocity, rel=1e-12)
    assert r.power_per_bit_area * pi / 4 * 0.09 == pytest.approx(r.hydraulic_power, rel=1e-12)


def test_the_printed_optimum_does_not_close_its_circuit():
    """The course example scales from the stand-pipe pressure; its nozzles and rate do not use the pressure they are made for."""
    loss, m = 2522.504588, 1.96992702
    right = field.hydraulics.bit_optimum(13.0, 420.0, loss, m, 3000.0)
    assert right.flow_rate == pytest.approx(263.93, abs=0.01) and right.flow_rate > 1.08 * 242

    def total(rate, area):
        return loss * (rate / 420.0) ** m + field.hydraulics.bit_pressure_loss(13.0, rate, nozzle_area=area).pressure_loss

    assert total(right.flow_rate, right.nozzle_area) == pytest.approx(3000.0, rel=1e-9)
    assert total(242.0, 0.1877) < 2850.0


@few
@given(st.floats(0.1, 0.2), st.floats(0.2, 0.5), st.floats(0.8, 1.0), st.floats(0.1, 2.0))
def test_a_duplex_without_rods_is_four_thirds_of_a_triplex(liner, stroke, efficiency, speed):
    three = si.hydraulics.pump_output(liner, stroke, efficiency, speed)
    four = si.hydraulics.pump_output(liner, stroke, efficiency, speed, 0.0, pump="duplex")
    assert four.flow_rate == pytest.approx(three.flow_rate * 4 / 3, rel=1e-12)
    assert three.flow_rate == pytest.approx(3 * pi / 4 * liner**2 * stroke * efficiency * speed, rel=1e-12)


@few
@given(densities, st.floats(0.005, 0.08), st.floats(0.0, 0.02), st.floats(0.0, 0.1))
def test_cuttings_that_stand_carry_out_what_is_drilled(density, q, drilling, slip):
    hole, pipe = 0.3112, 0.127
    r = si.hydraulics.cuttings_load(density, q, drilling, hole, 2600.0, pipe, slip)
    area = pi / 4 * (hole**2 - pipe**2)
    if r.feed_fraction < r.transport_ratio:
        assert r.cuttings_fraction * area * (r.annular_velocity - slip) == pytest.approx(r.cuttings_rate, rel=1e-11, abs=1e-18)
        assert r.cuttings_fraction >= r.feed_fraction * (1 - 1e-12)
        by_mass = (density * q + 2600.0 * r.cuttings_rate) / (q + r.cuttings_rate)
        assert r.feed_density == pytest.approx(by_mass, rel=1e-12)
    else:
        assert isnan(r.cuttings_fraction) and isnan(r.effective_density)
        told = si.hydraulics.cuttings_load.judge(density, q, drilling, hole, 2600.0, pipe, slip)
        assert told == ("packed" if r.transport_ratio > 0.0 else "not_lifted")


def test_the_two_cuttings_balances_agree_in_a_gauge_hole():
    q, drilling, slip = np.meshgrid(np.linspace(0.005, 0.08, 12), np.linspace(0.0, 0.05, 12), np.linspace(0.0, 0.6, 12), indexing="ij")
    load = si.hydraulics.cuttings_load(1200.0, q, drilling, 0.3112, 2600.0, 0.127, slip)
    carried = si.cuttings.transport(q, 0.3112, 0.127, 0.3112, drilling, slip, 2600.0, 1200.0)
    both = ~np.isnan(load.cuttings_fraction) & ~np.isnan(carried.concentration)
    assert 300 < both.sum() < 1700
    assert np.allclose(load.cuttings_fraction[both], carried.concentration[both], rtol=1e-9, atol=0)
    assert np.allclose(load.effective_density[both], carried.effective_density[both], rtol=1e-12, atol=0)
    one_alone = np.isnan(load.cuttings_fraction) != np.isnan(carried.concentration)
    assert one_alone.sum() <= 2  # on the border, by round-off


@few
@given(st.floats(0.0, 50.0), st.floats(1.0, 6000.0), st.floats(0.15, 0.4), st.floats(0.3, 0.95))
def test_a_gel_and_a_moved_pipe_are_in_balance(gel, length, hole, ratio):
    pipe = hole * ratio
    r = si.hydraulics.gel_breaking(gel, length, 0.1, hole, pipe)
    assert r.annulus_pressure * pi / 4 * (hole**2 - pipe**2) == pytest.approx(gel * pi * (hole + pipe) * length, rel=1e-11)
    assert r.pipe_pressure * pi / 4 * 0.01 == pytest.approx(gel * pi * 0.1 * length, rel=1e-12)
    closed = si.hydraulics.inertia_pressure(1200.0, 0.5, length, hole, pipe)
    sealed = si.hydraulics.inertia_pressure(1200.0, 0.5, length, hole, pipe, 0.001, pipe_end="open")
    assert closed.pressure == pytest.approx(sealed.pressure, rel=2e-3) and sealed.pressure <= closed.pressure


def test_losses_rise_from_rest_without_a_jump():
    q = np.concatenate([[0.0], np.geomspace(1e-9, 0.1, 200)])
    surface = si.hydraulics.surface_lines(1300.0, q, 0.02, equipment="type_3").pressure_loss
    bit = si.hydraulics.bit_pressure_loss(1300.0, q, nozzle_area=3e-4).pressure_loss
    for loss in (surface, bit):
        assert loss[0] == 0.0 and np.all(np.diff(loss) > 0.0)
    slopes = si.hydraulics.surface_lines.gradient(1300.0, 0.0, 0.02, 5e-5).pressure_loss
    assert slopes.density == slopes.flow_rate == 0.0
