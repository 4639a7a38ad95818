"""A mud check as one thing: the same numbers as the calculations called by hand, reasons for gaps, findings, and the same over a frame.

The readings are invented.
"""

import numpy as np
import pandas as pd
import pytest

import lutum
from lutum import field, metric, mud_check, units
from lutum.mud_check import MudCheck, Reading

READINGS = {
    "mud_density": 10.4, "water_fraction": 84.0, "oil_fraction": 2.0, "chloride": 21000.0, "calcium": 240.0, "total_hardness_as_calcium": 310.0,
    "dye_volume": 5.0, "dye_sample_volume": 2.0, "reading_600": 60.0, "reading_300": 39.0, "reading_200": 31.0, "reading_100": 21.0,
    "reading_6": 7.0, "reading_3": 6.0, "gel_10_s": 6.0, "gel_10_min": 9.0, "reading_temperature": 120.0, "sand_fraction": 0.25,
    "alkalinity_mud": 1.8, "alkalinity_filtrate": 0.6, "alkalinity_filtrate_total": 1.1, "ph": 10.1,
}  # fmt: skip


@pytest.fixture(scope="module")
def check():
    return MudCheck(READINGS, place="flow line", time="2026-03-01 06:00")


@pytest.fixture(scope="module")
def frame():
    rng = np.random.default_rng(4)
    rows = {name: value * rng.uniform(0.97, 1.03, 60) for name, value in READINGS.items()}
    made = pd.DataFrame(rows, index=[f"check {i}" for i in range(60)])
    for name in ("chloride", "reading_300", "dye_volume", "gel_10_s"):
        made.loc[rng.choice(made.index, 5, replace=False), name] = np.nan
    return made


def test_every_derived_value_is_what_its_calculation_gives(check):
    """Called by hand with what the check says it was given."""
    seen = 0
    for d in check.derived:
        if d.value != d.value:
            assert d.reason, d.name
            continue
        calculation = getattr(getattr(field, d.calculation.split(".")[0]), d.calculation.split(".")[1])
        given = {name: value for name, (value, source) in check.inputs(d.calculation).items() if source != "default"}
        alone = calculation(**given)
        name = d.name.rpartition(".")[2]
        if name in alone._fields:
            assert getattr(alone, name) == d.value
            seen += 1
    assert seen > 30


def test_known_numbers(check):
    assert check["clay.methylene_blue.bentonite_equivalent"] == 12.5
    assert check["rheology.viscometer.plastic_viscosity"] == pytest.approx(21.0, rel=1e-14)
    assert check["rheology.viscometer.yield_point"] == pytest.approx(18.0, rel=1e-14)
    assert check["mud_density"] == 10.4


def test_units_instruments_and_temperatures_stay_with_the_readings():
    sample = {
        "mud_density": Reading(1.25, "g/cm3", instrument="pressurised balance"),
        "dye_volume": (5.0, "mL"),
        "dye_sample_volume": 2.0,
        "reading_600": Reading(60.0, temperature=120.0, instrument="six-speed viscometer"),
    }
    check = MudCheck(sample, place="suction pit", time="06:00")
    assert check["mud_density"] == pytest.approx(units.convert(1.25, "g/cm3", "lb/gal"), rel=1e-14)
    text = str(check)
    for words in ("suction pit", "06:00", "pressurised balance", "at 120 degF (six-speed viscometer)"):
        assert words in text
    assert "MudCheck" in check._repr_html_()


def test_the_same_check_in_metric_units_is_the_same(check):
    known = mud_check.readings()
    told = {n: (x, known[n][0]) if known[n][0] else x for n, x in READINGS.items()}
    there = MudCheck(told, units=metric)
    compared = 0
    for mine, other in zip(check.derived, there.derived, strict=True):
        assert mine.name == other.name
        if mine.value == mine.value and mine.unit:
            assert units.convert(other.value, other.unit, mine.unit) == pytest.approx(mine.value, rel=1e-9, abs=1e-9)
            compared += 1
    assert compared > 25


def test_a_missing_reading_is_missing_and_says_why(check):
    less = {n: x for n, x in READINGS.items() if n != "chloride"}
    gap = MudCheck(less)
    name = "solids.retort_with_brine.low_gravity_fraction"
    assert gap[name] != gap[name]
    assert "chloride" in gap.reason(name)
    assert gap["clay.methylene_blue.capacity"] == check["clay.methylene_blue.capacity"]
    named = MudCheck(READINGS | {"chloride": float("nan")})
    assert named.reason(name).startswith("chloride is missing (")
    assert MudCheck({"reading_600": 60.0}).reason("rheology.viscometer.plastic_viscosity").startswith("reading_300 is missing")
    assert check.reason(name) == ""


def test_a_gap_is_told_through_the_steps():
    """The split of the clay wants the retort, and the retort wants the chloride."""
    gap = MudCheck(READINGS | {"chloride": float("nan")})
    reason = gap.reason("clay.low_gravity_split.drilled_solids_concentration")
    assert "solids.retort_with_brine" in reason and "chloride is missing" in reason


def test_findings_come_from_calculations_and_gates(check):
    assert not [f for f in check.findings if f.severity == "error"]
    wrong = MudCheck(READINGS | {"water_fraction": 99.0, "solids_fraction": 20.0, "reading_200": 45.0, "plastic_viscosity": 25.0, "calcium": 400.0})
    said = {f.step: f for f in wrong.findings}
    assert said["solids.retort_with_brine"].severity == "error"
    for gate in ("retort_does_not_close", "reading_300_below_reading_200", "plastic_viscosity_is_not_the_readings", "calcium_above_hardness"):
        assert gate in said
    assert "25 cP" in said["plastic_viscosity_is_not_the_readings"].reason and "21 cP" in said["plastic_viscosity_is_not_the_readings"].reason
    assert [f.severity for f in wrong.findings] == sorted((f.severity for f in wrong.findings), key=lambda s: s != "error")


@pytest.mark.parametrize(("density_out", "told"), [(10.35, False), (10.1, True)])
def test_density_in_and_out_lead_to_the_flow_check_first(density_out, told):
    found = [f for f in MudCheck(READINGS | {"density_in": 10.4, "density_out": density_out}).findings if f.step == "density_in_and_out_differ"]
    assert bool(found) == told
    assert not told or "Check for flow before anything is treated" in found[0].reason


def test_every_gate_can_fail_and_can_pass():
    """Each gate on values that its own words call wrong, and on the sound check: moved by a wide margin, one column after the other."""
    sound = MudCheck(READINGS | {"density_in": 10.4, "density_out": 10.4, "solids_fraction": 14.0, "plastic_viscosity": 21.0, "yield_point": 18.0,
                                 "bentonite_equivalent": 12.5, "filtrate_volume": 6.0, "hot_filtrate_volume": 14.0})  # fmt: skip
    values = {n: np.array([x]) for n, x in sound.values().items()}
    for gate in mud_check.GATES:
        assert all(name in values for name in gate.needs), gate.name
        assert not gate.test(values, field.units_of_set).any(), gate.name
        moved = (values | {name: values[name] * factor + shift} for name in gate.needs for factor, shift in ((3.0, 5.0), (0.1, 0.0), (100.0, 0.0)))
        assert any(gate.test(m, field.units_of_set).any() for m in moved), gate.name


def test_worked_solutions_hold_the_numbers_of_the_check(check):
    text = check.work("clay.methylene_blue").text
    assert "= 5 mL" in text and "12.5 lb/bbl" in text
    with pytest.raises(ValueError, match="there is no"):
        MudCheck({"mud_density": 10.0}).work("clay.methylene_blue")


def test_a_frame_has_the_bits_of_its_checks(frame):
    many = mud_check.over(frame)
    assert many.derived.index.equals(frame.index)
    for row in frame.index[:12]:
        one = MudCheck({n: float(x) for n, x in frame.loc[row].items()})
        for name, value in one.values().items():
            if name in many.derived:
                np.testing.assert_array_equal(many.derived.loc[row, name], value, err_msg=name)
    assert many.derived.attrs["units"]["clay.methylene_blue.bentonite_equivalent"] == "lb/bbl"


def test_a_frame_says_what_is_missing_and_what_does_not_fit(frame):
    frame = frame.copy()
    frame.loc["check 7", "water_fraction"] = 99.9
    many = mud_check.over(frame)
    missing = many.missing().set_index("derived")
    assert missing.loc["clay.methylene_blue.capacity", "missing"] == frame["dye_volume"].isna().sum() == 5
    assert missing.loc["clay.methylene_blue.capacity", "reason"] == "dye_volume is missing in 5"
    assert "there is no" in missing.loc["filtration.plugging_test", "reason"]
    found = many.findings()
    assert ((found["row"] == "check 7") & (found["severity"] == "error")).any()
    row = many.check("check 7")
    assert {f.reason for f in row.findings} == set(found.loc[found["row"] == "check 7", "reason"])


def test_water_base_and_non_aqueous_rows_in_one_frame(frame):
    both = frame.assign(electrical_stability=450.0, whole_mud_chloride=40000.0, whole_mud_calcium=20000.0)
    fluid = ["non_aqueous" if i % 3 == 0 else "water_base" for i in range(len(both))]
    many = mud_check.over(both, fluid=fluid)
    oil = np.array(fluid) == "non_aqueous"
    assert many.derived["clay.methylene_blue.capacity"][oil].isna().all()
    assert many.derived["solids.non_aqueous_retort.brine_density"][~oil].isna().all()
    assert many.derived["solids.non_aqueous_retort.brine_density"][oil].notna().any()
    alone = mud_check.over(both[oil], fluid="non_aqueous")
    for name in alone.derived:
        np.testing.assert_array_equal(alone.derived[name], many.derived.loc[oil, name], err_msg=name)
    assert many.check(both.index[0]).fluid == "non_aqueous"


def test_columns_of_other_names_and_other_units(frame):
    renamed = metric_frame = frame.rename(columns={"mud_density": "weight"})
    metric_frame = renamed.assign(weight=units.convert(renamed["weight"].to_numpy(), "lb/gal", "kg/m3"))[["weight", "dye_volume", "dye_sample_volume"]]
    many = mud_check.over(metric_frame, units=metric, columns={"mud_density": "weight"})
    mine = mud_check.over(frame)
    name = "clay.methylene_blue.bentonite_equivalent"
    np.testing.assert_allclose(units.convert(many.derived[name].to_numpy(), "kg/m3", "lb/bbl"), mine.derived[name], rtol=1e-12)


def test_wrong_input_is_told():
    with pytest.raises(ValueError, match="'mud_densty' is no reading of a mud check; did you mean mud_density"):
        MudCheck({"mud_densty": 10.0})
    with pytest.raises(ValueError, match="mud_density = 10 psi: that is no unit of density"):
        MudCheck({"mud_density": (10.0, "psi")})
    with pytest.raises(ValueError, match="must be a number"):
        MudCheck({"mud_density": "heavy"})
    with pytest.raises(ValueError, match="water_base or non_aqueous"):
        MudCheck({}, fluid="water")
    with pytest.raises(ValueError, match="no column 'weight' for mud_density"):
        mud_check.over(pd.DataFrame({"x": [1.0]}), columns={"mud_density": "weight"})
    with pytest.raises(ValueError, match="has no step|no result"):
        MudCheck(READINGS)["clay.methylene_blue.colour"]


def test_the_shipped_plan_covers_the_tests_of_a_check():
    steps = {step.calculation for step in mud_check.shipped()}
    known = {c.sheet.id for c in lutum.catalogue()}
    assert steps <= known
    assert {"clay.methylene_blue", "solids.retort_with_brine", "solids.non_aqueous_retort", "rheology.viscometer"} <= steps


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[step]]\ncalculation = "clay.colour"', "no such calculation"),
        ('[[step]]\ncalculation = "clay.methylene_blue"\nreads.dye_volume = "dye_volume"', "nothing is said of its input sample_volume"),
        ('[[step]]\ncalculation = "clay.methylene_blue"\nreads.dye = "dye_volume"', "has no input 'dye'"),
        ('[[step]]\ncalculation = "clay.methylene_blue"\nfluid = "water_base"', "unknown fluid"),
        (
            '[[step]]\ncalculation = "clay.methylene_blue"\nreads.dye_volume = "a.b.c"\nreads.sample_volume = "s"',
            "a.b.c is no result of a step before it",
        ),
    ],
)
def test_a_wrong_plan_is_told(tmp_path, text, said):
    path = tmp_path / "own.toml"
    path.write_text(text)
    with pytest.raises(ValueError, match=said):
        mud_check.load(path)


def test_a_row_taken_out_of_a_frame_keeps_its_fluid_plan_and_gates(frame, tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('[[step]]\ncalculation = "density.gradient"\nreads.fluid_density = "mud_density"')
    own = mud_check.over(frame[["mud_density"]], fluid="non_aqueous", plan=mud_check.load(path), gates=())
    row = own.check("check 3")
    assert row.fluid == "non_aqueous"
    assert {d.calculation for d in row.derived} == {"density.gradient"} and row.findings == []
