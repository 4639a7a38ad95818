"""What must hold of every retort, whatever the mud: nothing is lost and nothing is made, and the split returns the density."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import lutum

solids = lutum.si.solids
quick = settings(max_examples=50, deadline=None, database=None, derandomize=True)


def between(low, high):
    return st.floats(low, high, allow_nan=False)


mud, water, oil = between(900.0, 2400.0), between(0.3, 0.9), between(0.0, 0.15)
brine, ratio, oils = between(990.0, 1700.0), between(1.0, 1.4), between(700.0, 900.0)
low, high = between(2300.0, 2900.0), between(3900.0, 5300.0)


def near(x, scale=1.0):
    return pytest.approx(x, rel=1e-12, abs=1e-12 * scale)


@quick
@given(mud, between(0.1, 0.95), brine, oil, oils, low, high)
def test_split_returns_volume_and_density(density, brine_fraction, brine_density, oil_fraction, oil_density, light, heavy):
    r = solids.gravity_split(density, brine_fraction, brine_density, oil_fraction, oil_density, light, heavy)
    assert brine_fraction + oil_fraction + r.low_gravity_fraction + r.high_gravity_fraction == near(1.0)
    found = brine_fraction * brine_density + oil_fraction * oil_density + r.low_gravity_concentration + r.high_gravity_concentration
    assert found == near(density, 1e4)
    assert r.suspended_solids_concentration == near(r.low_gravity_concentration + r.high_gravity_concentration, 1e4)


@quick
@given(between(0.1, 0.95), brine, oil, oils, low, high)
def test_outer_densities_are_where_one_kind_ends(brine_fraction, brine_density, oil_fraction, oil_density, light, heavy):
    given = (brine_fraction, brine_density, oil_fraction, oil_density, light, heavy)
    r = solids.gravity_split(1500.0, *given)
    if not (700.0 < r.unweighted_mud_density < 3000.0 and 700.0 < r.clean_mud_density < 3000.0):
        return
    assert solids.gravity_split(r.unweighted_mud_density, *given).high_gravity_fraction == pytest.approx(0.0, abs=1e-11)
    assert solids.gravity_split(r.clean_mud_density, *given).low_gravity_fraction == pytest.approx(0.0, abs=1e-11)


@quick
@given(mud, water, oil, brine, ratio, oils, low, high)
def test_retort_with_brine_closes(density, water_fraction, oil_fraction, brine_density, volume_ratio, oil_density, light, heavy):
    r = solids.retort_with_brine(density, water_fraction, oil_fraction, brine_density, volume_ratio, oil_density, light, heavy)
    assert r.brine_fraction + oil_fraction + r.low_gravity_fraction + r.high_gravity_fraction == near(1.0)
    found = r.brine_fraction * brine_density + oil_fraction * oil_density + r.low_gravity_concentration + r.high_gravity_concentration
    assert found == near(density, 1e4)
    assert r.retort_solids_fraction + water_fraction + oil_fraction == near(1.0)


@quick
@given(mud, water, oil, between(0.0, 190.0), between(283.0, 323.0))
def test_sodium_chloride_mud_by_either_road(density, water_fraction, oil_fraction, chloride, temperature):
    salt = lutum.si.brine.sodium_chloride(chloride, temperature)
    one = solids.water_base_retort(density, water_fraction, oil_fraction, chloride, temperature=temperature)
    other = solids.retort_with_brine(density, water_fraction, oil_fraction, salt.density, salt.volume_ratio)
    for name in other._fields:
        assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-10, abs=1e-10 * 5000.0), name


@quick
@given(between(9.0, 19.0), between(2.0, 60.0))
def test_fresh_water_is_the_printed_rule(pounds_per_gallon, solids_percent):
    """62.5 + 2.0 Vs - 7.5 W for fresh water of 8.33 lb/gal, no oil, 2.6 and 4.2 times that: 7.503 is rounded to 7.5."""
    r = lutum.field.solids.gravity_split(
        pounds_per_gallon, 100.0 - solids_percent, 8.33, low_gravity_density=2.6 * 8.33, high_gravity_density=4.2 * 8.33
    )
    exact = 62.5 + 2.0 * solids_percent - 62.5 / 8.33 * pounds_per_gallon
    assert r.low_gravity_fraction == pytest.approx(exact, abs=1e-9)
    assert r.low_gravity_fraction == pytest.approx(62.5 + 2.0 * solids_percent - 7.5 * pounds_per_gallon, abs=0.0031 * pounds_per_gallon)


@quick
@given(between(-0.02, 0.3), between(-0.02, 0.3), between(0.005, 0.2), between(2600.0, 5200.0), low, high)
def test_three_solids_come_back(light_part, heavy_part, third_part, third, light, heavy):
    volume = light_part + heavy_part + third_part
    mass = light_part * light + heavy_part * heavy + third_part * third
    if not (0.01 < volume < 1.0 and 500.0 < mass / volume < 9000.0 and 0.0 <= third_part * third / mass <= 1.0):
        return
    readings = {"acid_soluble": {"acid_soluble_fraction": third_part * third / mass}, "concentration": {"third_concentration": third_part * third}}
    for reading, given in readings.items():
        r = solids.split_with_third_reading(
            volume, mass / volume, **given, third_density=third, low_gravity_density=light, high_gravity_density=heavy, third_reading=reading
        )
        assert r.low_gravity_fraction == pytest.approx(light_part, abs=1e-11)
        assert r.high_gravity_fraction == pytest.approx(heavy_part, abs=1e-11)
        assert r.third_fraction == pytest.approx(third_part, abs=1e-12)
        assert r.low_gravity_concentration + r.high_gravity_concentration + r.third_mass_concentration == near(mass, 1e4)


@quick
@given(between(0.0, 1.0), between(2600.0, 5300.0), between(2600.0, 5300.0))
def test_blend_closes(second, one, other):
    r = solids.weighting_blend(second, one, other)
    parts = r.second_volume_fraction * other + (1.0 - r.second_volume_fraction) * one
    assert r.high_gravity_density == near(parts)
    assert min(one, other) - 1e-9 <= r.high_gravity_density <= max(one, other) + 1e-9


@quick
@given(between(5e-6, 100e-6), between(0.05, 0.9), between(0.0, 0.6), between(0.02, 0.4), oils, between(2600.0, 4200.0), between(283.0, 323.0))
def test_retort_by_weight_closes_on_a_mud_from_its_phases(volume, water_share, oil_share, solids_share, oil_density, grain, temperature):
    total = water_share + oil_share + solids_share
    parts = [x / total for x in (water_share, oil_share, solids_share)]
    water_density = lutum.si.brine.sodium_chloride(0.0, temperature).density
    masses = [volume * p * d for p, d in zip(parts, (water_density, oil_density, grain))]
    cup, receiver = 0.650, 0.110
    assume(sum(masses) / volume < 2999.0)  # the limit of a mud's density
    r = solids.retort_by_weight(
        cup, cup + sum(masses), receiver, receiver + masses[0] + masses[1], cup + masses[2], volume * parts[0],
        sum(masses) / volume, oil_density, temperature,
    )  # fmt: skip
    slack = 1e-15 / sum(masses)  # of the weighings: 650 g are known to 1e-16 kg
    assert r.mass_closure == pytest.approx(1.0, abs=1e-12 + 4 * slack)
    assert r.mud_volume == pytest.approx(volume, rel=1e-10)
    for found, part in zip((r.water_fraction, r.oil_fraction, r.retort_solids_fraction), parts):
        assert found == pytest.approx(part, abs=1e-10)
    assert r.dry_solids_density == pytest.approx(grain, rel=1e-8)
    assert r.water_fraction + r.oil_fraction + r.retort_solids_fraction == near(1.0)


@quick
@given(between(0.005, 0.2), between(0.0, 0.2), between(0.0, 0.3), between(283.0, 323.0))
def test_cuttings_close_on_their_phases(sample, oil_part, water_part, temperature):
    water_density = lutum.si.brine.sodium_chloride(0.0, temperature).density
    dry = 1.0 - oil_part - water_part
    r = solids.oil_on_cuttings(
        0.6, 0.6 + sample, 0.05, 0.05 + sample * (oil_part + water_part), 0.6 + sample * dry, sample * water_part / water_density, temperature
    )
    assert r.oil_of_wet_cuttings == pytest.approx(oil_part, abs=1e-12)
    assert r.oil_of_dry_cuttings == pytest.approx(oil_part / dry, abs=1e-12)
    assert r.oil_of_wet_cuttings + r.water_of_wet_cuttings + r.dry_of_wet_cuttings == near(r.mass_closure)
    assert r.mass_closure == pytest.approx(1.0, abs=1e-12)


@quick
@given(mud, between(0.02, 0.4), between(0.2, 0.75), between(0.0, 150.0), between(0.0, 60.0), oils, low, high, between(288.0, 323.0))
def test_oil_mud_closes(density, water_fraction, oil_fraction, chloride, calcium, oil_density, light, heavy, temperature):
    r = solids.non_aqueous_retort(density, water_fraction, oil_fraction, chloride, calcium, oil_density, light, heavy, temperature)
    volumes = r.brine_fraction + oil_fraction + r.undissolved_salt_fraction + r.low_gravity_fraction + r.high_gravity_fraction
    assert volumes == near(1.0)
    brine_mass = r.brine_fraction * r.brine_density
    solids_mass = r.undissolved_salt_concentration + r.low_gravity_concentration + r.high_gravity_concentration
    assert brine_mass + oil_fraction * oil_density + solids_mass == near(density, 1e4)
    water_mass = water_fraction * lutum.si.brine.sodium_chloride(0.0, temperature).density
    salts = r.calcium_chloride_concentration + r.sodium_chloride_concentration
    assert brine_mass + r.undissolved_salt_concentration == near(water_mass + salts, 1e3)
    assert r.oil_of_liquid + r.water_of_liquid == near(1.0)
    # All chloride is found again, in either salt; calcium only as far as it has chloride.
    in_salts = r.calcium_chloride_concentration * 70.90 / 110.978 + r.sodium_chloride_concentration * 35.45 / 58.44
    assert in_salts == pytest.approx(chloride, rel=1e-12, abs=1e-10)
    assert r.brine_chloride * r.brine_fraction + r.undissolved_salt_concentration * 35.45 / 58.44 == pytest.approx(chloride, rel=1e-11, abs=1e-10)
    if r.undissolved_salt_concentration > 1e-9:
        c = 100.0 * r.calcium_chloride_mass_fraction
        assert 100.0 * r.sodium_chloride_mass_fraction == pytest.approx(26.432 - 1.0472 * c + 7.98191e-3 * c**2 + 5.2238e-5 * c**3, abs=1e-9)


@quick
@given(between(1000.0, 2900.0))
def test_the_rule_of_thumb_gives_a_possible_mud_or_none(density):
    r = solids.maximum_low_gravity(density)
    if math.isnan(r.maximum_low_gravity_fraction):
        assert math.isnan(r.maximum_low_gravity_concentration) and math.isnan(r.high_gravity_fraction)
        assert solids.maximum_low_gravity.judge(density) == "beyond_the_rule"
        return
    assert 0.0 <= r.maximum_low_gravity_fraction <= r.maximum_solids_fraction
    back = solids.gravity_split(density, 1.0 - r.maximum_solids_fraction, 998.2)
    assert back.low_gravity_fraction == pytest.approx(r.maximum_low_gravity_fraction, abs=1e-12)
    assert back.high_gravity_fraction == pytest.approx(r.high_gravity_fraction, abs=1e-12)


@quick
@given(between(0.0, 0.2), between(0.01, 0.3), between(0.4, 1.0))
def test_sand_by_mass_and_share(read, low_gravity, settled):
    r = solids.sand_content(read, low_gravity, settled_solids_fraction=settled)
    assert r.sand_concentration == near(settled * read * 2650.0)
    assert r.low_gravity_share * low_gravity == near(settled * read)
