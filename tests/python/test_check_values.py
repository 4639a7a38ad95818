"""The check values that travel with the package, and the code that runs them."""

import numpy as np
import pytest

import lutum
from lutum import checks

CASES = checks.load()

GOOD = """
calculation = "clay.methylene_blue"
[[case]]
id = "one"
units = "field"
given = { dye_volume = 5.0, sample_volume = 1.0 }
expect.capacity = { value = 5.0, relative = 1e-12 }
source = "arithmetic"
mark = "derived"
"""


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.calculation}: {c.id}")
def test_case(case):
    outcomes = checks.run(case)
    assert {outcome.way for outcome in outcomes} >= {"alone", "batch"}
    assert len(outcomes) >= 4
    assert not [(outcome.way, outcome.misses) for outcome in outcomes if outcome.misses]


def test_every_calculation_has_its_check_values(calculation):
    own = checks.cases_of(CASES, calculation.sheet.id)
    assert own, f"write tests/check_values/{calculation.sheet.id}.toml"
    held = {name for case in own for name in case.expect}
    assert held == {v.name for v in calculation.results}, "a result that no case holds"
    assert {v.name for v in calculation.inputs if v.required} <= {name for case in own for name in case.given}


def test_every_verdict_is_met_or_known_to_be_hard(calculation):
    met = {case.verdict for case in checks.cases_of(CASES, calculation.sheet.id)} - {None}
    assert met <= {v.name for v in calculation.verdicts}
    assert len(met) >= min(len(calculation.verdicts), 3)


def test_sources_are_told():
    for case in CASES:
        assert len(case.source) > 10, case.id
        assert case.mark in checks.MARKS


def write(folder, text, name="clay.methylene_blue.toml"):
    (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_a_wrong_number_is_caught(tmp_path):
    (case,) = checks.load(write(tmp_path, GOOD.replace("value = 5.0", "value = 5.1")))
    outcomes = checks.run(case)
    assert [outcome.way for outcome in outcomes if outcome.misses] == ["alone", "in metric units", "in si units"]
    assert "capacity is 5.0" in outcomes[0].misses[0] and "5.1" in outcomes[0].misses[0]


def test_a_batch_that_differs_is_caught(tmp_path):
    (case,) = checks.load(write(tmp_path, GOOD))
    true = lutum.field.clay.methylene_blue

    class Slipping:
        """The last row of a batch is off by its last bit."""

        inputs = true.inputs

        def __call__(self, **given):
            result = true(**given)
            if np.ndim(given["dye_volume"]):
                result.capacity[-1] = np.nextafter(result.capacity[-1], 0.0)
            return result

    assert list(checks._batch(case, true)) == []
    (miss,) = checks._batch(case, Slipping())
    assert miss == "capacity is 4.999999999999999 in row 8 of a batch, 5.0 when computed alone"


def test_a_wrong_verdict_is_caught():
    case = next(case for case in CASES if case.verdict == "laminar")
    wrong = checks.Case(**{name: getattr(case, name) for name in case.__dataclass_fields__} | {"verdict": "turbulent"})
    assert any("verdict" in miss for outcome in checks.run(wrong) for miss in outcome.misses)


def test_an_impossible_case_is_a_failed_case(tmp_path):
    (case,) = checks.load(write(tmp_path, GOOD.replace("dye_volume = 5.0", "dye_volume = -5.0")))
    outcomes = checks.run(case)
    assert all(outcome.misses and "outside its limit" in outcome.misses[0] for outcome in outcomes)


def test_missing_is_held_as_missing():
    assert checks.Expected(float("nan")).allows(float("nan"))
    assert not checks.Expected(float("nan"), absolute=1e9).allows(3.0)
    assert not checks.Expected(3.0, absolute=1e9).allows(float("nan"))
    assert not checks.Expected([1.0, 2.0], absolute=1e9).allows(1.0)
    assert checks.Expected([1.0, 2.0], relative=0.01).allows([1.009, 2.0])
    assert not checks.Expected([1.0, 2.0], relative=0.01).allows([1.011, 2.0])


@pytest.mark.parametrize(
    ("old", "new", "complaint"),
    [
        ("relative = 1e-12", "", "near enough"),
        ("value = 5.0, relative", "relative", "no value"),
        ("relative = 1e-12", "relativ = 1e-12", "relativ"),
        ('mark = "derived"', 'mark = "sure"', "'sure'"),
        ('source = "arithmetic"', "", "missing source"),
        ("expect.capacity", "expect.capcity", "no capcity in expect"),
        ("sample_volume = 1.0 }", "sample = 1.0 }", "no sample in given"),
        ('units = "field"', 'units = "imperial"', "imperial"),
        ('"clay.methylene_blue"', '"clay.methylene_bleu"', "catalogue"),
        ('units = "field"', 'units = "field"\ncolour = "blue"', "unknown colour"),
    ],
)
def test_a_slip_in_a_file_is_told(tmp_path, old, new, complaint):
    assert old in GOOD
    text = GOOD.replace(old, new).replace("5.0,  }", "5.0 }").replace("5.0, }", "5.0 }")
    with pytest.raises(ValueError, match=complaint):
        checks.load(write(tmp_path, text))


def test_a_case_twice_is_told(tmp_path):
    with pytest.raises(ValueError, match="twice"):
        checks.load(write(tmp_path, GOOD + GOOD[GOOD.index("[[case]]") :]))


def test_no_check_values_is_told(tmp_path):
    with pytest.raises(FileNotFoundError, match="no check values"):
        checks.load(tmp_path)


def test_units_of_a_case_may_differ_by_quantity(tmp_path):
    text = GOOD.replace('units = "field"', 'units = "field"\nunit_overrides = { bench_volume = "L" }').replace("= 5.0, sample", "= 0.005, sample")
    (case,) = checks.load(write(tmp_path, text.replace("sample_volume = 1.0", "sample_volume = 0.001")))
    assert case.units == lutum.unit_set("field", bench_volume="L")
    outcomes = checks.run(case)
    assert {outcome.way for outcome in outcomes} == {"alone", "batch", "in field units", "in metric units", "in si units"}
    assert not any(outcome.misses for outcome in outcomes)
