"""Properties of the filtrate chemistry: what was titrated comes back, balances close, a calibration returns its own points."""

from math import isnan, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import lutum

chemistry = lutum.si.chemistry
few = settings(max_examples=50, deadline=None)
H, C, O, NA, MG, S, CL, K, CA, BR = 1.008, 12.011, 15.999, 22.990, 24.305, 32.06, 35.45, 39.098, 40.078, 79.904  # g/mol
HYDROXIDE, CARBONATE, BICARBONATE = O + H, C + 3 * O, H + C + 3 * O

normality = st.floats(1.0, 100.0)  # mol/m3
ratio = st.floats(0.0, 15.0)
amount = st.floats(0.001, 300.0)  # mol/m3


def moles(ion, mass):
    """mol/m3 of an ion in kg/m3."""
    return 1e3 * ion / mass


def titrated_again(hydroxide, carbonate, bicarbonate, strength):
    """(Pf, Mf): acid to turn hydroxide into water and carbonate into bicarbonate, and then all bicarbonate into carbonic acid."""
    oh, co3, hco3 = moles(hydroxide, HYDROXIDE), moles(carbonate, CARBONATE), moles(bicarbonate, BICARBONATE)
    return (oh + co3) / strength, (oh + 2 * co3 + hco3) / strength


@few
@given(st.sampled_from(["bicarbonate_only", "carbonate_and_bicarbonate", "carbonate_only", "hydroxide_and_carbonate", "hydroxide_only"]),
       st.floats(0.01, 2.0), st.floats(0.05, 0.95), normality)
def test_alkalinities_come_back_in_every_branch(branch, size, part, strength):
    pf, mf = {
        "bicarbonate_only": (0.0, size),
        "carbonate_and_bicarbonate": (size * part / 2, size),
        "carbonate_only": (size, 2 * size),
        "hydroxide_and_carbonate": (size, size * (1 + part)),
        "hydroxide_only": (size, size),
    }[branch]
    reading = {"phenolphthalein_alkalinity": pf, "methyl_orange_alkalinity": mf, "titrant_normality": strength}
    found = chemistry.filtrate_alkalinity(**reading)
    assert titrated_again(*found, strength) == pytest.approx((pf, mf), rel=1e-12, abs=1e-14)
    assert all(ion >= 0.0 for ion in found) and found.hydroxide * found.bicarbonate == 0.0
    assert chemistry.filtrate_alkalinity.judge(**reading) == branch
    present = {"hydroxide": found.hydroxide, "carbonate": found.carbonate, "bicarbonate": found.bicarbonate}
    assert all((present[ion] > 0.0) == (ion in branch.split("_")) for ion in present)


@few
@given(ratio, st.floats(0.01, 5.0))
def test_less_acid_in_all_than_to_the_first_end_point_has_no_answer(mf, more):
    reading = {"phenolphthalein_alkalinity": mf + more, "methyl_orange_alkalinity": mf}
    assert all(isnan(ion) for ion in chemistry.filtrate_alkalinity(**reading))
    assert chemistry.filtrate_alkalinity.judge(**reading) == "below_phenolphthalein"


@few
@given(st.booleans(), amount, amount, st.floats(500.0, 2000.0), st.floats(20.0, 100.0))
def test_p1_and_p2_find_what_was_dissolved(basic, first, carbonate, caustic, strength):
    """A filtrate made of carbonate with hydroxide or bicarbonate, mixed with caustic; barium takes the carbonate out."""
    hydroxide, bicarbonate = (first, 0.0) if basic else (0.0, first)
    found = chemistry.p1_p2_alkalinity(
        phenolphthalein_alkalinity=(hydroxide + carbonate) / strength,
        p1_alkalinity=(caustic + hydroxide - bicarbonate) / strength,
        p2_alkalinity=caustic / strength,
        titrant_normality=strength,
    )
    noise = 1e-14 * (caustic + hydroxide + carbonate)
    assert moles(found.hydroxide, HYDROXIDE) == pytest.approx(hydroxide, rel=1e-12, abs=noise)
    assert moles(found.carbonate, CARBONATE) == pytest.approx(carbonate, rel=1e-12, abs=noise)
    assert moles(found.bicarbonate, BICARBONATE) == pytest.approx(bicarbonate, rel=1e-12, abs=noise)


@few
@given(st.floats(0.0, 80.0), ratio, st.floats(0.0, 1.0), normality)
def test_lime_and_water_take_the_acid_of_the_mud(pm, pf, water, strength):
    reading = {"phenolphthalein_alkalinity_mud": pm, "phenolphthalein_alkalinity": pf, "water_fraction": water, "titrant_normality": strength}
    found = chemistry.lime_content(**reading)
    equivalent = (CA + 2 * HYDROXIDE) / 2
    acid = moles(found.excess_lime, equivalent) / strength + water * pf
    assert acid == pytest.approx(pm, rel=1e-12, abs=1e-13 * (1 + pf))
    assert moles(found.alkalinity_as_lime, equivalent) == pytest.approx(strength * pm, rel=1e-12)
    assert chemistry.lime_content.judge(**reading) == ("negative_lime" if found.excess_lime < 0.0 else "consistent")


@few
@given(st.floats(1e-7, 5e-5), st.floats(5e-7, 1e-5), st.sampled_from([28.2, 282.0]))
def test_silver_and_chloride_are_equal_in_number(titrant, sample, strength):
    found = chemistry.filtrate_chloride(silver_nitrate_titrant_volume=titrant, sample_volume=sample, titrant_normality=strength)
    assert moles(found.chloride, CL) * sample == pytest.approx(strength * titrant, rel=1e-12)
    assert found.sodium_chloride - found.chloride == pytest.approx(found.chloride * NA / CL, rel=1e-12)


@few
@given(st.floats(1e-7, 5e-5), st.floats(0.0, 1.0), st.floats(5e-7, 1e-5), st.floats(5.0, 20.0))
def test_calcium_and_magnesium_make_up_the_hardness(total, part, sample, strength):
    reading = {"hardness_titrant_volume": total, "calcium_titrant_volume": part * total, "sample_volume": sample, "titrant_molarity": strength}
    found = chemistry.filtrate_hardness(**reading)
    calcium, magnesium = moles(found.calcium, CA), moles(found.magnesium, MG)
    assert calcium + magnesium == pytest.approx(strength * total / sample, rel=1e-12)
    assert moles(found.total_hardness_as_calcium, CA) == pytest.approx(calcium + magnesium, rel=1e-12)
    assert moles(found.total_hardness_as_calcium_carbonate, CA + CARBONATE) == pytest.approx(calcium + magnesium, rel=1e-12)
    assert found.magnesium >= 0.0 and chemistry.filtrate_hardness.judge(**reading) == "consistent"


SALTS = [  # what a neutral brine is made of: (cation, its mass, its charge, anion, its mass, its charge), the smallest whole formula
    ("sodium", NA, 1, "chloride", CL, 1), ("potassium", K, 1, "chloride", CL, 1), ("calcium", CA, 2, "chloride", CL, 1),
    ("magnesium", MG, 2, "sulfate", S + 4 * O, 2), ("sodium", NA, 1, "hydroxide", HYDROXIDE, 1), ("sodium", NA, 1, "carbonate", CARBONATE, 2),
    ("sodium", NA, 1, "bicarbonate", BICARBONATE, 1), ("sodium", NA, 1, "bromide", BR, 1), ("potassium", K, 1, "formate", H + C + 2 * O, 1),
]  # fmt: skip


@few
@given(st.lists(st.floats(0.0, 500.0), min_size=len(SALTS), max_size=len(SALTS)))
def test_a_brine_of_whole_salts_is_neutral(equivalents):
    """Salts are weighed in by their equivalents, mol/m3 of charge."""
    ions = {v.name: 0.0 for v in chemistry.charge_balance.inputs}
    for n, (cation, cation_mass, cation_charge, anion, anion_mass, anion_charge) in zip(equivalents, SALTS):
        ions[cation] += 1e-3 * n * cation_mass / cation_charge
        ions[anion] += 1e-3 * n * anion_mass / anion_charge
    found, charge = chemistry.charge_balance(**ions), sum(equivalents)
    assert found.sum_of_anions == pytest.approx(charge, rel=1e-12) and found.sum_of_cations == pytest.approx(charge, rel=1e-12)
    assert abs(found.difference) <= 1e-12 * charge
    assert found.sodium_by_difference == pytest.approx(ions["sodium"], abs=1e-14 * charge)
    assert isnan(found.imbalance) if charge == 0.0 else abs(found.imbalance) <= 1e-12
    assert chemistry.charge_balance.judge(**ions) == ("no_ions" if charge == 0.0 else "balanced")
    blind = chemistry.charge_balance(**(ions | {"sodium": nan}))
    assert blind.sodium_by_difference == found.sodium_by_difference and isnan(blind.imbalance)


@few
@given(st.floats(7.0, 14.0), st.floats(-0.9, 0.9))
def test_ph_and_hydroxide_undo_each_other(ph, off):
    hydroxide = chemistry.ph_consistency(ph=ph).hydroxide_from_ph
    back = chemistry.ph_consistency(ph=ph + off, hydroxide=hydroxide)
    assert back.ph_from_hydroxide == pytest.approx(ph, abs=1e-12)
    assert back.ph_difference == pytest.approx(off, abs=1e-12)
    if hydroxide > 0.017:  # kg/m3: below it the titration sees nothing
        assert chemistry.ph_consistency.judge(ph=ph + off, hydroxide=hydroxide) == "consistent"


@st.composite
def calibrations(draw):
    """Rising readings with rising contents, 2 to 12 of each."""
    size = draw(st.integers(2, 12))
    steps = st.lists(st.floats(0.1, 50.0), min_size=size, max_size=size)
    readings, contents = draw(steps), draw(steps)
    return [sum(readings[: i + 1]) for i in range(size)], [sum(contents[: i + 1]) for i in range(size)]


@few
@given(calibrations(), st.floats(0.0, 1.0), st.integers(0, 10))
def test_a_calibration_returns_its_points_and_lies_between_them(calibration, part, place):
    x, y = calibration
    read = chemistry.reading_by_calibration
    i = min(place, len(x) - 2)
    for point in (i, i + 1):
        assert read(x, y, x[point]).content == pytest.approx(y[point], rel=1e-12)
    between = min(max(x[i] + part * (x[i + 1] - x[i]), x[i]), x[i + 1])
    content = read(x, y, between).content
    assert y[i] * (1 - 1e-12) <= content <= y[i + 1] * (1 + 1e-12)
    back = read(y, x, min(max(content, y[0]), y[-1])).content  # readings and contents exchanged: the way back
    assert back == pytest.approx(between, rel=1e-9)
    assert isnan(read(x, y, x[0] - 0.01).content) and isnan(read(x, y, x[-1] + 0.01).content)
    assert isnan(read(x[::-1], y, between).content) and read.judge(x[::-1], y, between) == "calibration_not_rising"
