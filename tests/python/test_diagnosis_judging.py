"""How single readings are judged: changes, scatter, resolution, names, flags and the sentences that say so. The numbers are invented."""

from dataclasses import replace

import numpy as np
import pytest

import lutum
from lutum.diagnosis import Rules, diagnose, shipped

pd = pytest.importorskip("pandas", reason="pandas is not installed")

PV, YP = "rheology.viscometer.plastic_viscosity", "rheology.viscometer.yield_point"
WB, NA = "water_base", "non_aqueous"


def test_a_sentence_names_reading_value_unit_change_and_threshold():
    check = {"calcium": 480.0}
    result = diagnose(check, pd.DataFrame({"calcium": [80.0, 80.0, 90.0]}), fluid=WB)
    said = result["gypsum"].evidence_for[0]
    assert said.startswith("Calcium 480 mg/L, 80 mg/L before (median of 3 checks): up 400 mg/L; looked for a rise of at least 100 mg/L. ")


def test_by_hand_the_score_is_the_documented_sum():
    """Gypsum with calcium risen and Pm risen: 3 for, 2.5 against, and half of the rest of the rule's weight (Pm itself weighs 1 for)."""
    trend = pd.DataFrame({"calcium": [80.0] * 4, "phenolphthalein_alkalinity_mud": [0.8] * 4})
    h = diagnose({"calcium": 480.0, "phenolphthalein_alkalinity_mud": 4.0}, trend, fluid=WB)["gypsum"]
    total = shipped()["gypsum"].weight
    assert h.score == pytest.approx((3.0 - 2.5) / (5.5 + (total - 4.0) / 2))
    assert h.judged == pytest.approx(4.0 / total)


def test_an_empty_check_judges_nothing_and_says_so():
    result = diagnose({}, fluid=WB)
    assert {h.score for h in result} == {0.0} and result.decisive
    assert result.summary[0].startswith("Nothing stands out")
    assert "Not ruled out" in " ".join(result.notes) and "formation-water flow" in " ".join(result.notes)


def test_scatter_raises_the_threshold_and_a_drift_does_not():
    noisy = pd.DataFrame({"calcium": [100.0, 400.0, 60.0, 500.0, 90.0]})
    result = diagnose({"calcium": 260.0}, noisy, fluid=WB)["gypsum"]
    assert not [s for s in result.evidence_for if s.startswith("Calcium")]
    drift = pd.DataFrame({YP: [10.0, 12.0, 14.0, 16.0, 18.0]})
    creeping = diagnose({YP: 20.0}, drift, fluid=WB)["carbonate"]
    assert any("looked for a slow rise of at least 4 lb/100 ft2. " in s for s in creeping.evidence_for)
    step = diagnose({YP: 20.0}, pd.DataFrame({YP: [10.0] * 5}), fluid=WB)["carbonate"]
    assert not any("slow rise" in s for s in step.evidence_for)


def test_a_step_is_no_creep_and_a_creep_no_step():
    slow = pd.DataFrame({"chloride": [8000.0, 12000.0, 16000.0, 20000.0, 24000.0]})
    assert not [s for s in diagnose({"chloride": 28000.0}, slow, fluid=WB)["salt"].evidence_for if s.startswith("Chloride")]
    flat = pd.DataFrame({"chloride": [8000.0] * 5})
    assert [s for s in diagnose({"chloride": 28000.0}, flat, fluid=WB)["salt"].evidence_for if s.startswith("Chloride")]


def test_names_of_reports_and_of_calculations_are_one_reading():
    trend = pd.DataFrame({"calcium": [80.0] * 4, "alkalinity_mud": [0.8] * 4, YP: [10.0] * 4})
    named = {"calcium": np.nan, "chemistry.filtrate_hardness.calcium": 480.0, "alkalinity_mud": 4.0, "reading_600": 60.0, "reading_300": 40.0}
    result = diagnose(named, trend, fluid=WB)["cement"]
    assert {s.split(",")[0] for s in result.evidence_for} == {"Calcium 480 mg/L", "Mud alkalinity Pm 4 mL/mL", "Yield point 20 lb/100 ft2"}
    reading_wins = diagnose({"calcium": 480.0, "chemistry.filtrate_hardness.calcium": 90.0}, trend, fluid=WB)["gypsum"]
    assert reading_wins.evidence_for[0].startswith("Calcium 480 mg/L")


def test_a_change_of_temperature_has_no_zero_point():
    trend = pd.DataFrame({"flowline_temperature": [50.0] * 4})
    said = diagnose({"flowline_temperature": 60.0}, trend, fluid=WB, units=lutum.metric)["water_flow"].evidence_for[0]
    assert "60 degC, 50 degC before" in said and "up 10 degC" in said and "of at least 5 degC" in said


def test_the_resolution_of_a_reading_is_a_floor():
    """A retort of half a percent cannot show a change of less, whatever a rule asks for."""
    rule = shipped()["gypsum"]
    tight = replace(rule, evidence=tuple(replace(e, by=1.0, by_percent=0.0) if e.observable == "calcium" else e for e in rule.evidence))
    result = diagnose({"calcium": 110.0}, pd.DataFrame({"calcium": [100.0] * 3}), fluid=WB, rules=Rules((tight,)))
    said = [s for h in result for s in (*h.evidence_against, *h.not_known) if s.startswith("Calcium")]
    assert "40 mg/L, the resolution of the reading" in said[0]


def test_equal_scores_stand_in_one_order():
    rules = list(shipped())
    assert diagnose({}, fluid=WB, rules=Rules(tuple(rules[::-1]))).names == diagnose({}, fluid=WB).names


def test_dial_readings_stand_for_plastic_viscosity_and_yield_point():
    dial = {"dial_reading_600": 60.0, "dial_reading_300": 40.0}
    trend = pd.DataFrame({PV: [20.0] * 4, YP: [10.0] * 4})
    result = diagnose(dial, trend, fluid=WB)["reactive_clay"]
    assert any(s.startswith("Yield point 20 lb/100 ft2, 10 lb/100 ft2 before") for s in result.evidence_for)
    assert any(s.startswith("Plastic viscosity 20 cP") for s in result.evidence_for)


def test_alkalinity_of_zero_is_a_ratio_beyond_any():
    result = diagnose({"methyl_orange_alkalinity": 3.0, "phenolphthalein_alkalinity": 0.0}, fluid=WB)["carbonate"]
    assert any("beyond any ratio" in s for s in result.evidence_for)
    none = diagnose({"methyl_orange_alkalinity": 0.0, "phenolphthalein_alkalinity": 0.0}, fluid=WB)["carbonate"]
    assert not any("ratio" in s or "over" in s for s in (*none.evidence_for, *none.evidence_against))


def test_slips_are_told():
    with pytest.raises(ValueError, match="fluid = 'mud'; choose water_base or non_aqueous"):
        diagnose({}, fluid="mud")
    with pytest.raises(ValueError, match="the check: calcium must be a number.*'trace'"):
        diagnose({"calcium": "trace"}, fluid=WB)
    with pytest.raises(TypeError, match="a check is a mapping"):
        diagnose(3.0, fluid=WB)
    result = diagnose({"chlorides": 3.0, "magnesium": 3.0}, fluid=WB)
    assert any("'chlorides' was not used" in s and "'chloride' is near" in s for s in result.notes)
    with pytest.raises(KeyError, match="no hypothesis is called 'gypsm'"):
        result["gypsm"]



@pytest.mark.parametrize(
    ("written", "set_"),
    [(True, True), ("yes", True), ("slight", True), (1, True), (False, False), ("No", False), (0.0, False), ("", False)],
)
def test_flags_as_people_write_them(written, set_):
    h = diagnose({"dull_grainy_look": written}, fluid=NA)["water_wet_solids"]
    assert bool(h.evidence_for) is set_ and bool(h.evidence_against) is not set_
