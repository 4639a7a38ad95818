"""Brines: handbook tables, balances that must close, and calculations that must agree with each other."""

from math import exp

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lutum import si

brine = si.brine
quick = settings(max_examples=50, deadline=None)

# Mass fraction to which the source of the density was fitted.
HIGHEST = {
    "sodium_chloride": 0.266,
    "potassium_chloride": 0.264,
    "calcium_chloride": 0.513,
    "magnesium_chloride": 0.324,
    "sodium_bromide": 0.548,
    "potassium_bromide": 0.504,
    "sodium_formate": 0.406,
    "potassium_formate": 0.678,
    "potassium_carbonate": 0.361,
}
a_salt = st.sampled_from(sorted(HIGHEST))
a_share = st.floats(0.0, 1.0)
a_temperature = st.floats(273.15, 413.15)
ION = {"Na": 22.990, "K": 39.098, "Ca": 40.078, "Mg": 24.305, "Cl": 35.45}  # g/mol, IUPAC abridged

# CRC Handbook, 102nd ed., Concentrative Properties of Aqueous Solutions, 20 degC: g/cm3 at wt %.
CRC = {
    "sodium_chloride": {5: 1.0340, 10: 1.0707, 15: 1.1085, 20: 1.1478, 24: 1.1804, 26: 1.1972},
    "potassium_chloride": {5: 1.0304, 10: 1.0633, 15: 1.0974, 20: 1.1328, 24: 1.1623},
    "calcium_chloride": {5: 1.0401, 10: 1.0835, 15: 1.1292, 20: 1.1775, 24: 1.2180, 26: 1.2388, 30: 1.2816, 36: 1.3488, 40: 1.3957},
    "sodium_bromide": {5: 1.0380, 10: 1.0803, 15: 1.1257, 20: 1.1745, 24: 1.2163, 26: 1.2382, 30: 1.2842, 36: 1.3592, 40: 1.4138},
    "magnesium_chloride": {5: 1.0394, 10: 1.0826, 20: 1.1742, 24: 1.2140, 26: 1.2346, 30: 1.2763},
    "potassium_bromide": {5: 1.0350, 10: 1.0740, 15: 1.1155, 20: 1.1601, 24: 1.1980, 26: 1.2179, 30: 1.2593, 36: 1.3263, 40: 1.3746},
    "potassium_carbonate": {5: 1.0437, 10: 1.0904, 20: 1.1898, 24: 1.2320, 36: 1.3665, 40: 1.4142},
}
# Of the density for the first four; what the sheet tells, in kg/m3, for the others.
WITHIN = {"sodium_chloride": 1e-3, "potassium_chloride": 1e-3, "sodium_bromide": 1e-3, "calcium_chloride": 3e-3}
TOLD = {"magnesium_chloride": 1.75, "potassium_bromide": 0.35, "potassium_carbonate": 5.95}


@pytest.mark.parametrize("salt", CRC)
def test_densities_of_the_handbook(salt):
    for percent, specific in CRC[salt].items():
        table = 1000 * specific
        gap = brine.density(percent / 100, 293.15, salt=salt).density - table
        print(f"{salt} {percent} %: equation {'above' if gap > 0 else 'below'} the table by {abs(gap):.2f} kg/m3, {100 * abs(gap) / table:.3f} %")
        assert abs(gap) <= (WITHIN[salt] * table if salt in WITHIN else TOLD[salt])


@quick
@given(a_salt, a_share, a_temperature)
def test_density_and_mass_fraction_are_one_another_s_inverse(salt, share, temperature):
    w = share * HIGHEST[salt]
    there = brine.density(w, temperature, salt=salt)
    back = brine.from_density(there.density, temperature, salt=salt)
    assert back.mass_fraction == pytest.approx(w, rel=1e-11, abs=1e-13)
    again = brine.from_concentration(there.salt_concentration, temperature, salt=salt)
    assert again.mass_fraction == pytest.approx(w, rel=1e-12, abs=1e-14)
    for name in set(there._fields) & set(back._fields):
        assert getattr(back, name) == pytest.approx(getattr(there, name), rel=1e-10, abs=1e-9), name
    for name in set(there._fields) & set(again._fields):
        assert getattr(again, name) == pytest.approx(getattr(there, name), rel=1e-11, abs=1e-10), name


@quick
@given(a_salt, a_share, a_temperature)
def test_salt_and_water_add_up_to_the_brine(salt, share, temperature):
    r = brine.density(share * HIGHEST[salt], temperature, salt=salt)
    water = brine.density(0.0, temperature, salt=salt).density
    assert r.salt_content + r.water_ratio * water == pytest.approx(r.density, rel=1e-13)
    assert r.water_ratio * r.volume_ratio == pytest.approx(1.0, rel=1e-15)
    assert r.salt_per_water * r.water_ratio == pytest.approx(r.salt_content, rel=1e-13, abs=1e-15)
    assert r.chloride + r.cation <= r.salt_concentration * (1 + 1e-15)
    if salt.endswith("chloride"):
        assert r.chloride + r.cation == pytest.approx(r.salt_concentration, rel=1e-14, abs=1e-15)


@quick
@given(a_salt, a_share, a_temperature)
def test_a_mixture_of_one_salt_is_its_brine(salt, share, temperature):
    w = share * HIGHEST[salt] if share > 1e-9 else 0.0
    alone, mixed = brine.density(w, temperature, salt=salt), brine.mixture(**{f"{salt}_mass_fraction": w}, temperature=temperature)
    assert mixed.density == alone.density
    assert mixed.volume_ratio == alone.volume_ratio
    assert mixed.chloride == pytest.approx(alone.chloride, rel=1e-14)
    metals = (mixed.sodium, mixed.potassium, mixed.calcium, mixed.magnesium)
    assert sum(metals) == pytest.approx(alone.cation, rel=1e-14) and sum(m > 0 for m in metals) == (w > 0)


@quick
@given(st.floats(0.0, 190.0), a_temperature)
def test_chloride_alone_is_sodium_chloride(chloride, temperature):
    known = brine.sodium_chloride(chloride, temperature)
    assert brine.from_chloride(chloride, temperature)[:2] == (known.mass_fraction, known.density)  # the same bits
    split = brine.filtrate_salts(chloride, temperature=temperature)
    assert split.sodium_chloride_concentration == pytest.approx(known.salt_concentration, rel=1e-14)
    for name in ("mass_fraction", "density", "volume_ratio"):
        assert getattr(split, name) == pytest.approx(getattr(known, name), rel=1e-12, abs=1e-15)


@quick
@given(st.floats(0.0, 0.15), st.floats(0.0, 0.10), st.floats(0.0, 0.30), st.floats(0.0, 0.10), a_temperature)
def test_a_filtrate_gives_back_the_mixture(sodium, potassium, calcium, magnesium, temperature):
    fractions = {
        "sodium_chloride_mass_fraction": sodium,
        "potassium_chloride_mass_fraction": potassium,
        "calcium_chloride_mass_fraction": calcium,
        "magnesium_chloride_mass_fraction": magnesium,
    }
    made = brine.mixture(**fractions, temperature=temperature)
    assume(made.chloride < 400.0)
    split = brine.filtrate_salts(made.chloride, made.calcium, made.magnesium, made.potassium, temperature)
    assume(split.density == split.density)  # saltier than anything known
    assert split.density == pytest.approx(made.density, rel=1e-12)
    assert split.volume_ratio == pytest.approx(made.volume_ratio, rel=1e-12)
    for name, w in fractions.items():
        assert getattr(split, name) == pytest.approx(w, rel=1e-11, abs=1e-13)


@quick
@given(st.floats(0.0, 120.0), st.floats(0.0, 30.0), st.floats(0.0, 10.0), st.floats(0.0, 60.0), a_temperature)
def test_a_filtrate_keeps_its_ions(chloride, calcium, magnesium, potassium, temperature):
    """Signed: also where the metals want more chloride than there is."""
    r = brine.filtrate_salts(chloride, calcium, magnesium, potassium, temperature)
    share = {"sodium": ION["Na"], "potassium": ION["K"], "calcium": ION["Ca"] / 2, "magnesium": ION["Mg"] / 2}
    found = sum(getattr(r, f"{metal}_chloride_concentration") * ION["Cl"] / (mass + ION["Cl"]) for metal, mass in share.items())
    assert found == pytest.approx(chloride, rel=1e-11, abs=1e-11)
    total = sum(getattr(r, f"{metal}_chloride_concentration") for metal in share)
    assert r.mass_fraction * r.density == pytest.approx(total, rel=1e-11, abs=1e-11)
    short = potassium * 35.45 / 39.098 + calcium * 70.9 / 40.078 + magnesium * 70.9 / 24.305 > chloride * (1 + 1e-6)
    assert (brine.filtrate_salts.judge(chloride, calcium, magnesium, potassium, temperature) == "chloride_short") == short


@pytest.mark.parametrize("salt", HIGHEST)
def test_brines_get_denser_with_salt_up_to_what_is_calculated(salt):
    w = np.linspace(0.0, HIGHEST[salt], 400)
    for temperature in (273.15, 293.15, 353.15, 413.15):
        assert np.all(np.diff(brine.density(w, temperature, salt=salt).density) > 0)


def test_nothing_is_clipped_at_the_ends():
    """Beyond the salts known the numbers are missing, below water they are signed."""
    for salt in HIGHEST:
        assert np.isnan(brine.density(0.77, salt=salt).density)
        assert np.isnan(brine.from_density(1799.0, salt=salt).mass_fraction)
        assert np.isnan(brine.from_concentration(1290.0, salt=salt).density)
        assert np.isnan(brine.from_density(900.0, salt=salt).mass_fraction)
        light = brine.from_density(990.0, 293.15, salt=salt)
        assert light.mass_fraction < 0 and light.salt_per_water < 0
        assert brine.from_density.judge(990.0, 293.15, salt=salt) == "lighter_than_water"


@pytest.mark.parametrize("salt", ["sodium_chloride", "potassium_chloride", "calcium_chloride", "sodium_bromide", "sodium_formate"])
def test_activity_falls_with_salt(salt):
    w = np.linspace(0.0, 0.9 * HIGHEST[salt], 500)
    r = brine.water_activity(w, salt=salt)
    assert r.activity[0] == 1.0 and np.all(np.diff(r.activity) < 0) and np.all(r.activity > 0)
    # In thin brines every ion counts as one: Raoult's law.
    ions, molality = (3 if salt == "calcium_chloride" else 2), r.molality[1]
    thin = brine.water_activity(w[1] / 1000, salt=salt)
    assert 1 - thin.activity == pytest.approx(ions * thin.molality * 0.018015, rel=0.04) and molality > 0


@quick
@given(st.floats(0.0, 0.2), st.floats(0.0, 0.3))
def test_activity_of_two_salts(sodium, calcium):
    r = brine.mixed_activity(sodium, calcium)
    osmotic = 3 * r.calcium_chloride_alone * coefficient_of("calcium_chloride", r.calcium_chloride_alone)
    assert r.activity == pytest.approx(exp(-0.018015 * osmotic), rel=1e-12)
    assume(r.sodium_chloride_alone > 1e-6)
    rule = r.sodium_chloride_molality / r.sodium_chloride_alone + r.calcium_chloride_molality / r.calcium_chloride_alone
    assert rule == pytest.approx(1.0, rel=1e-12)
    assume(r.sodium_chloride_alone < 7.0)  # and the salts alone have the activity found
    assert 2 * r.sodium_chloride_alone * coefficient_of("sodium_chloride", r.sodium_chloride_alone) == pytest.approx(osmotic, rel=1e-11)


def coefficient_of(salt, molality):
    mass = {"sodium_chloride": 0.05844, "calcium_chloride": 0.110978}[salt] * molality
    return brine.water_activity(mass / (1 + mass), salt=salt).osmotic_coefficient


@pytest.mark.parametrize("salt", ["sodium_chloride", "calcium_chloride"])
def test_activity_of_one_of_the_two_salts(salt):
    w = np.linspace(0.0, 0.25, 20)
    both = brine.mixed_activity(w, 0.0) if salt == "sodium_chloride" else brine.mixed_activity(0.0, w)
    assert both.activity == pytest.approx(brine.water_activity(w, salt=salt).activity, rel=1e-12)
    slope = brine.mixed_activity.gradient(0.0, 0.10).activity.sodium_chloride_mass_fraction  # also where there is none of it
    at, beside = (brine.mixed_activity(x, 0.10).activity for x in (0.0, 1e-7))
    assert slope == pytest.approx((beside - at) / 1e-7, rel=1e-5)


def test_ice_curves_fall_and_begin_at_water():
    """And agree with the activity of the brine, where the heat of fusion (6010 J/mol) ties the two."""
    for salt, end in {"sodium_chloride": 0.233, "potassium_chloride": 0.13, "calcium_chloride": 0.24, "sodium_bromide": 0.17}.items():
        w = np.linspace(0.0, end, 300)
        ice = brine.crystallisation(w, salt=salt).first_ice_temperature
        assert ice[0] == pytest.approx(273.15, abs=0.01) and np.all(np.diff(ice) < 0)
        # ln a = -(L - 38 T0)/R (1/T - 1/T0) - 38/R ln(T0/T): ice melts with 38 J/(mol K) less in the ice than in the water.
        of_ice = np.exp((-(6010 - 38 * 273.15) * (1 / ice - 1 / 273.15) - 38 * np.log(273.15 / ice)) / 8.314)
        gap = of_ice - brine.water_activity(w, salt=salt).activity
        print(f"{salt}: activity by ice less by Pitzer from {gap.min():+.4f} to {gap.max():+.4f}")
        assert np.all(np.abs(gap) < 0.02)  # between 25 degC and the ice, activities move by as much
    formate = brine.crystallisation(np.linspace(0.0, 0.48, 300), salt="potassium_formate").first_ice_temperature
    assert np.all(np.diff(formate) < 0)


@quick
@given(a_salt, a_share, st.floats(1.0, 500.0), st.floats(0.7, 1.0), st.floats(283.15, 323.15))
def test_a_recipe_weighs_what_the_brine_weighs(salt, share, volume, purity, temperature):
    made = brine.density(share * HIGHEST[salt], temperature, salt=salt)
    r = brine.recipe(made.density, volume, temperature, purity, salt=salt)
    water = brine.density(0.0, temperature, salt=salt).density
    assert r.salt_mass + r.water_volume * water == pytest.approx(volume * made.density, rel=1e-11)
    assert r.salt_mass * purity == pytest.approx(volume * made.salt_content, rel=1e-9, abs=1e-8)


def test_correlations_in_circulation_are_near_the_balance():
    """Volume of dissolved salt for each volume of water; remembered forms, told beside the balance, never used."""
    for percent, specific in CRC["sodium_chloride"].items():
        chloride = 1e3 * percent / 100 * 1000 * specific * 35.45 / 58.44  # mg/L
        balance = brine.from_chloride(chloride / 1e3, 293.15).volume_ratio - 1
        power, ratio = 5.88e-8 * chloride**1.2, chloride / (1_680_000 - 1.21 * chloride)
        print(f"{percent} % NaCl: balance {balance:.5f}, 5.88e-8 Cl^1.2 {power - balance:+.5f}, Cl/(1.68e6 - 1.21 Cl) {ratio - balance:+.5f}")
        assert abs(power - balance) < 0.002 and 0.002 < ratio - balance < 0.006  # the second overstates the brine throughout
