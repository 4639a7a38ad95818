"""Clay calculations: balances that must close, whatever the numbers."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lutum import field, si

clay = si.clay
few = settings(max_examples=50, deadline=None)

concentration = st.floats(0.1, 600.0)
bentonite_capacity = st.floats(0.6, 1.2)
drilled_capacity = st.floats(0.0, 0.5)


@few
@given(st.floats(0.0, 300.0), concentration, bentonite_capacity, drilled_capacity)
def test_the_split_gives_back_milliequivalents_and_mass(capacity, solids, bentonite, drilled):
    assume(bentonite - drilled > 0.2)
    r = clay.low_gravity_split(capacity, solids, bentonite_capacity=bentonite, drilled_solids_capacity=drilled)
    scale = max(capacity, abs(r.bentonite_concentration) * bentonite, abs(r.drilled_solids_concentration) * drilled)
    titrated = r.bentonite_concentration * bentonite + r.drilled_solids_concentration * drilled
    assert abs(titrated - capacity) <= 1e-12 * scale
    together = r.bentonite_concentration + r.drilled_solids_concentration
    assert abs(together - solids) <= 1e-12 * max(solids, abs(r.bentonite_concentration))
    assert r.bentonite_equivalent * bentonite == pytest.approx(capacity, rel=1e-12)


@few
@given(st.floats(0.0, 200.0), concentration, st.floats(2000.0, 3000.0), st.floats(2000.0, 3000.0))
def test_the_volumes_of_the_split_add_up(capacity, solids, low_gravity_density, bentonite_density):
    r = clay.low_gravity_split(capacity, solids, low_gravity_density=low_gravity_density, bentonite_density=bentonite_density)
    together = r.bentonite_fraction + r.drilled_solids_fraction
    assert abs(together - solids / low_gravity_density) <= 1e-12 * max(together, abs(r.bentonite_fraction))
    assert r.bentonite_fraction * bentonite_density == pytest.approx(r.bentonite_concentration, rel=1e-12)


@few
@given(st.floats(0.1, 100.0), st.floats(0.1, 500.0), bentonite_capacity, drilled_capacity)
def test_a_mud_foretold_is_taken_apart_again(bentonite, drilled, bentonite_each, drilled_each):
    assume(bentonite_each - drilled_each > 0.2)
    foretold = clay.expected_capacity(bentonite, drilled, bentonite_capacity=bentonite_each, drilled_solids_capacity=drilled_each)
    r = clay.low_gravity_split(foretold.capacity, bentonite + drilled, bentonite_capacity=bentonite_each, drilled_solids_capacity=drilled_each)
    room = 1e-12 * (bentonite + drilled) / (bentonite_each - drilled_each)
    assert r.bentonite_concentration == pytest.approx(bentonite, abs=room)
    assert r.drilled_solids_concentration == pytest.approx(drilled, abs=room)
    titrated = clay.methylene_blue(foretold.dye_volume, 2e-6)
    assert titrated.capacity == pytest.approx(foretold.capacity, rel=1e-12)
    assert titrated.bentonite_equivalent == pytest.approx(foretold.bentonite_equivalent, rel=1e-12)


@few
@given(st.floats(1.0, 200.0), st.floats(1.0, 200.0), concentration)
def test_more_dye_means_more_bentonite(one, other, solids):
    assume(abs(one - other) > 1e-9)
    less, more = sorted((one, other))
    a, b = clay.low_gravity_split(less, solids), clay.low_gravity_split(more, solids)
    assert a.bentonite_concentration < b.bentonite_concentration
    assert a.drilled_solids_concentration > b.drilled_solids_concentration


@few
@given(st.floats(0.1, 150.0), concentration, bentonite_capacity, drilled_capacity)
def test_the_verdict_of_the_split_follows_the_two_bounds(capacity, solids, bentonite, drilled):
    """From capacities alone, without the formula: between all drilled solids and all bentonite, and only there, both are positive."""
    low, high = solids * drilled, solids * bentonite
    assume(all(abs(capacity - bound) > 1e-9 * bound for bound in (low, high)))
    expected = "below_drilled_solids" if capacity < low else "above_bentonite" if capacity > high else "consistent"
    record = {"bentonite_capacity": bentonite, "drilled_solids_capacity": drilled}
    assert clay.low_gravity_split.judge(capacity, solids, **record) == expected
    r = clay.low_gravity_split(capacity, solids, **record)
    assert (r.bentonite_concentration > 0 and r.drilled_solids_concentration > 0) == (expected == "consistent")
    swapped = {"bentonite_capacity": drilled, "drilled_solids_capacity": bentonite}
    if drilled >= 0.01:
        assert clay.low_gravity_split.judge(capacity, solids, **swapped) == "no_contrast"
        assert math.isnan(clay.low_gravity_split(capacity, solids, **swapped).bentonite_concentration)


@few
@given(st.floats(1e-6, 1e-4), st.floats(1e-4, 2e-2), st.floats(1.0, 50.0), st.floats(0.0, 0.5))
def test_charge_of_dye_equals_charge_of_dry_solids(dye_volume, mass, strength, moisture):
    r = clay.solids_exchange_capacity(dye_volume, mass, dye_strength=strength, moisture=moisture)
    assert r.exchange_capacity * mass * (1 - moisture) == pytest.approx(dye_volume * strength, rel=1e-12)
    moister = clay.solids_exchange_capacity(dye_volume, mass, dye_strength=strength, moisture=moisture + 0.01)
    assert moister.exchange_capacity > r.exchange_capacity


@few
@given(st.floats(1.0, 100.0), st.floats(1e-4, 1e-2), st.floats(0.0, 0.5))
def test_the_mass_to_weigh_in_makes_the_wanted_strength(wanted, volume, moisture):
    needed = clay.dye_strength(solution_volume=volume, moisture=moisture, wanted_strength=wanted).required_dye_mass
    made = clay.dye_strength(needed, volume, moisture, wanted)
    assert made.dye_strength == pytest.approx(wanted, rel=1e-12)
    assert clay.dye_strength.judge(needed, volume, moisture, wanted) == "as_wanted"
    assert clay.dye_strength.judge(0.94 * needed, volume, moisture, wanted) == "off_strength"


def test_misprinted_forms_are_not_what_is_done():
    """30 lb/bbl equivalent, shale of 7 and bentonite of 65 meq/100 g, 11.153 % of low-gravity solids at 9.1 lb/bbl for each per cent."""
    share, percent = 7 / 65, 11.153
    read_literally = (30 - 9 * share) * percent / (1 - share)
    regrouped = (30 - 9) * share * percent / (1 - share)
    mixed = (30 - 9.1 * percent * share) / (1 - share)
    r = field.clay.low_gravity_split(6.0, 9.1 * percent, bentonite_capacity=65.0, drilled_solids_capacity=7.0)
    assert r.bentonite_concentration == pytest.approx(24.01, abs=0.005)
    assert read_literally > 3 * 9.1 * percent, "more bentonite than solids"
    for wrong in (read_literally, regrouped, mixed):
        back = (wrong * 65 + (9.1 * percent - wrong) * 7) / 70.1
        assert abs(back - 30) > 2, "it does not return the titrated equivalent"
        assert not math.isclose(r.bentonite_concentration, wrong, rel_tol=0.05)
