"""Whole-mud titrations, salts of the water phase, gas train and precipitation tests: whatever is put in comes back."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import lutum

chemistry = lutum.si.chemistry
few = settings(max_examples=50, deadline=None)
CALCIUM, CHLORINE, SODIUM, POTASSIUM = 40.078, 35.45, 22.990, 39.098  # g/mol
CALCIUM_CHLORIDE, SODIUM_CHLORIDE = CALCIUM + 2 * CHLORINE, SODIUM + CHLORINE


def near(value, relative=1e-12, absolute=0.0):
    return pytest.approx(value, rel=relative, abs=absolute)


def between(low, high):
    return st.floats(low, high, allow_subnormal=False)


@few
@given(calcium_chloride=between(0.01, 0.35), sodium_chloride=between(0.0, 0.1), water=between(0.02, 0.6))
def test_a_mixed_brine_comes_back(calcium_chloride, sodium_chloride, water):
    phase = water * 997.05 / (1 - calcium_chloride - sodium_chloride)
    r = chemistry.water_phase_salts(
        whole_mud_chloride=phase * (calcium_chloride * 2 * CHLORINE / CALCIUM_CHLORIDE + sodium_chloride * CHLORINE / SODIUM_CHLORIDE),
        whole_mud_calcium=phase * calcium_chloride * CALCIUM / CALCIUM_CHLORIDE,
        water_fraction=water,
    )
    assert r.calcium_chloride_mass_fraction == near(calcium_chloride)
    assert r.sodium_chloride_mass_fraction == near(sodium_chloride, absolute=1e-13)


@few
@given(chloride=between(0.0, 150.0), calcium=between(0.0, 80.0), water=between(0.02, 0.6))
def test_salts_hold_all_the_chloride_and_masses_close(chloride, calcium, water):
    r = chemistry.water_phase_salts(whole_mud_chloride=chloride, whole_mud_calcium=calcium, water_fraction=water)
    salts = r.calcium_chloride_concentration, r.sodium_chloride_concentration
    held = salts[0] * 2 * CHLORINE / CALCIUM_CHLORIDE + salts[1] * CHLORINE / SODIUM_CHLORIDE
    assert held == near(chloride, absolute=1e-12)
    assert min(salts) >= 0.0
    water_mass = water * 997.05
    left = 1 - r.calcium_chloride_mass_fraction - r.sodium_chloride_mass_fraction
    assert left == near(water_mass / (water_mass + sum(salts)))
    assert r.spare_chloride == near(chloride - calcium * 2 * CHLORINE / CALCIUM, absolute=1e-12 * (chloride + calcium))


@few
@given(mud=between(0.5e-6, 5e-6), chloride=between(0.1, 150.0), calcium=between(0.1, 80.0), lime=between(0.1, 40.0))
def test_titrant_for_known_contents_gives_them_back(mud, chloride, calcium, lime):
    silver = chloride / CHLORINE * mud / 0.282
    edta = calcium / CALCIUM * mud / 0.1
    acid = lime / (CALCIUM + 2 * 17.007) * 2 * mud / 0.1
    assert chemistry.whole_mud_chloride(silver_nitrate_titrant_volume=silver, sample_volume=mud).whole_mud_chloride == near(chloride)
    assert chemistry.whole_mud_calcium(edta_titrant_volume=edta, sample_volume=mud).whole_mud_calcium == near(calcium)
    r = chemistry.whole_mud_alkalinity(acid_titrant_volume=acid, sample_volume=mud)
    assert r.lime_concentration == near(lime)
    assert r.whole_mud_alkalinity == near(acid / mud)


@few
@given(first=between(3.0, 2000.0), second=between(3.0, 2000.0))
def test_runs_may_change_places(first, second):
    one = chemistry.electrical_stability(first_reading=first, second_reading=second)
    other = chemistry.electrical_stability(first_reading=second, second_reading=first)
    assert one == other
    assert min(first, second) <= one.electrical_stability <= max(first, second)
    assert one.electrical_stability + one.difference / 2 == near(max(first, second))


@few
@given(reading=between(0.0, 2000.0), factor=between(1e-11, 3e-6), sample=between(0.5e-6, 20e-6), dilute=between(1.0, 10.0))
def test_gas_trains_hold_the_mass_of_the_stain(reading, factor, sample, dilute):
    given_to = {"tube_reading": reading, "tube_factor": factor}
    for train in (chemistry.gas_train_sulfide, chemistry.gas_train_carbonate):
        (content,) = train(**given_to, sample_volume=sample)
        assert content * sample == near(reading * factor)
        assert train(**given_to, sample_volume=sample * dilute)[0] * dilute == near(content)


@few
@given(sulfate=between(0.01, 5.0), slope=between(1e-5, 1e-3), dilution=between(1.0, 1000.0), blank=between(0.0, 50.0))
def test_turbidity_of_a_known_sulfate_gives_it_back(sulfate, slope, dilution, blank):
    turbidity = sulfate / dilution / slope
    if turbidity + blank > 10000.0:
        turbidity, sulfate = 10.0, 10.0 * slope * dilution
    r = chemistry.sulfate_turbidity(turbidity=turbidity + blank, blank_turbidity=blank, calibration_slope=slope, dilution=dilution)
    assert r.sulfate == near(sulfate, absolute=1e-12 * slope * dilution * (turbidity + blank))
    assert r.sulfate_spread == near(0.2 * r.sulfate)


@few
@given(salt=between(1.0, 300.0), filtrate=between(0.3, 1.0))
def test_potassium_and_its_chloride_make_up_the_salt(salt, filtrate):
    r = chemistry.potassium_of_salt(potassium_chloride_concentration=salt, filtrate_fraction=filtrate)
    assert r.potassium + r.chloride == near(salt)
    assert r.potassium / POTASSIUM == near(r.chloride / CHLORINE)
    test = chemistry.potassium_content(precipitate_volume=1e-6, standard_precipitate_volume=1e-6, standard_potassium_chloride=salt)
    assert test.potassium == near(r.potassium)
    assert r.mud_potassium_chloride == near(filtrate * salt)


@few
@given(undissolved=between(0.0, 60.0), dissolved=between(0.0, 3.0), water=between(0.3, 1.0))
def test_calcium_sulfate_that_was_mixed_in_comes_back(undissolved, dissolved, water):
    salt = CALCIUM + 32.06 + 4 * 15.999
    in_mud = (undissolved + water * dissolved) / salt  # mol/L, one EDTA of 0.01 mol/L each; 5 mL to 250 mL, 10 mL titrated
    r = chemistry.calcium_sulfate(
        mud_titrant_volume=in_mud / 50 * 10e-6 / 0.01, filtrate_titrant_volume=dissolved / salt * 1e-6 / 0.01, water_fraction=water
    )
    assert r.undissolved_concentration == near(undissolved, absolute=1e-12)
    assert r.calcium_sulfate_concentration == near(r.undissolved_concentration + r.dissolved_concentration, absolute=1e-12)
