"""A mud check asked for more: in other units, for its diagnosis, against typical ranges, and from a titration. The readings are invented."""

import math
import subprocess
import sys

import pandas as pd
import pytest

import lutum
from lutum import diagnosis, field, metric, mud_check, ranges, si, titration, units
from lutum.mud_check import MudCheck, Reading

READINGS = {
    "mud_density": Reading(10.4, instrument="balance"), "water_fraction": 84.0, "oil_fraction": (2.0, "%"), "chloride": 21000.0, "calcium": 240.0,
    "magnesium": 60.0, "dye_volume": 5.0, "dye_sample_volume": (2.0, "mL"), "reading_600": Reading(60.0, temperature=120.0, instrument="six speeds"),
    "reading_300": 39.0, "gel_10_s": 6.0, "gel_10_min": 9.0, "reading_temperature": 120.0, "ph": 10.1, "filtrate_volume": 6.0, "pit_volume": 820.0,
    "true_vertical_depth": 7950.0,
}  # fmt: skip
LOW_GRAVITY = ".low_gravity_fraction"


@pytest.fixture(scope="module")
def check():
    return MudCheck(READINGS, place="flow line", time="06:00")


@pytest.mark.parametrize("home", [metric, si, lutum.unit_set("metric", density="g/cm3", pressure="bar")], ids=["metric", "si", "own"])
def test_the_same_check_in_another_set(check, home):
    there = check.to(home)
    assert (there.place, there.time, there.fluid, there.units) == ("flow line", "06:00", "water_base", getattr(home, "units_of_set", home))
    compared = 0
    for mine, other in zip(check.derived, there.derived, strict=True):
        assert mine.name == other.name and (mine.value == mine.value) == (other.value == other.value)
        if mine.value == mine.value:
            back = units.convert(other.value, other.unit, mine.unit) if mine.unit != other.unit else other.value
            assert back == pytest.approx(mine.value, rel=1e-9, abs=1e-9), mine.name
            compared += 1
    assert compared > 25
    back = there.to(field)
    assert {n: back[n] for n in READINGS} == pytest.approx({n: check[n] for n in READINGS}, rel=1e-12)


def test_instruments_temperatures_and_units_of_readings_go_along(check):
    there = check.to("metric")
    assert there["mud_density"] == pytest.approx(10.4 * 119.826427, rel=1e-8)
    assert there.readings["mud_density"].instrument == "balance"
    assert there.readings["reading_600"] == Reading(60.0, "", pytest.approx(48.888888888888886), "six speeds")
    assert "at 48.8889 degC (six speeds)" in str(there)
    own = MudCheck({"mud_density": Reading(1.25, "g/cm3"), "chloride": None, "ph": float("nan")}).to(metric)
    assert own["mud_density"] == pytest.approx(1250.0) and own.readings["mud_density"].unit == "g/cm3"
    assert own["chloride"] != own["chloride"] and own["ph"] != own["ph"]


def trend_of(checks=5):
    quiet = {n: check_value for n, check_value in MudCheck(READINGS).values().items() if n in READINGS}
    return pd.DataFrame([quiet | {"calcium": 100.0 + 5 * i} for i in range(checks)])


def test_diagnosis_is_the_one_called_by_hand(check):
    before = mud_check.over(trend_of())
    by_hand = diagnosis.diagnose(check.values() | {"formation": "anhydrite"}, before.values, fluid="water_base")
    for trend in (before, before.values, [before.check(i) for i in range(5)], [before.check(i).to(metric) for i in range(5)]):
        found = check.diagnose(trend, formation="anhydrite")
        assert found.names == by_hand.names and [h.score for h in found] == pytest.approx([h.score for h in by_hand], rel=1e-9)
    assert check.diagnose().fluid == "water_base" and str(check.diagnose()) == str(diagnosis.diagnose(check, fluid="water_base"))
    assert MudCheck({"electrical_stability": 300.0}, fluid="non_aqueous").diagnose().fluid == "non_aqueous"
    assert check.diagnose(rules=diagnosis.shipped().without("gypsum")).names != check.diagnose().names


def test_diagnosis_in_metric_is_the_same(check):
    found, there = check.diagnose(foam=True), check.to(metric).diagnose(foam=True)
    assert there.names == found.names and [h.score for h in there] == pytest.approx([h.score for h in found])


def test_what_was_seen_must_be_known_and_the_trend_in_the_same_units(check):
    with pytest.raises(ValueError, match="no observable is called 'fooam'; did you mean foam"):
        check.diagnose(fooam=True)
    with pytest.raises(ValueError, match=r"trend is in lutum.unit_set\('field'\) and the check in lutum.unit_set\('metric'\); use check.to"):
        check.to(metric).diagnose(mud_check.over(trend_of()))


def test_ranges_are_the_ones_called_by_hand(check):
    assert [f.sentence for f in check.ranges()] == [f.sentence for f in ranges.hold(check, fluid_type="water_base")]
    assert [f.sentence for f in check.ranges("gypsum")] == [f.sentence for f in ranges.hold(check, fluid_type="gypsum")]
    assert [f.side for f in check.to(metric).ranges("spud")] == [f.side for f in check.ranges("spud")]
    fewer = ranges.shipped().without("ph")
    assert len(check.ranges("spud", fewer)) < len(check.ranges("spud"))
    many = mud_check.over(trend_of())
    pd.testing.assert_frame_equal(many.ranges("gypsum"), ranges.hold(many.values, fluid_type="gypsum"))
    assert set(many.ranges()["check"]) == set(range(5))


def test_ranges_of_another_fluid_are_refused(check):
    with pytest.raises(ValueError, match="the fluid is water_base, fluid_type = 'non_aqueous' is non_aqueous"):
        check.ranges("non_aqueous")
    mixed = mud_check.over(trend_of(2), fluid=["water_base", "non_aqueous"])
    with pytest.raises(ValueError, match="the fluid is non_aqueous and water_base"):
        mixed.ranges()
    oil = mud_check.over(trend_of(2), fluid="non_aqueous")
    assert len(oil.ranges()) and set(oil.ranges()["fluid"]) == {"non_aqueous"}


def test_low_gravity_solids_are_those_with_all_salts_of_the_filtrate(check):
    values = check.values()
    readings = {n: values[n] for n in ("mud_density", "water_fraction", "oil_fraction", "chloride", "calcium", "magnesium", "potassium") if n in values}
    whole = field.solids.retort_with_filtrate(**readings).low_gravity_fraction
    sodium_only = field.solids.water_base_retort(**{n: readings[n] for n in ("mud_density", "water_fraction", "oil_fraction", "chloride")})
    assert values["solids.retort_with_brine" + LOW_GRAVITY] == pytest.approx(whole, rel=1e-9)
    assert abs(whole - sodium_only.low_gravity_fraction) > 1e-6
    apart = values | {"solids.retort_with_brine" + LOW_GRAVITY: 30.0, "solids.water_base_retort" + LOW_GRAVITY: 1.0}
    alone = {n: x for n, x in apart.items() if n != "solids.retort_with_brine" + LOW_GRAVITY}
    for given, value in ((apart, 30.0), (alone, 1.0)):
        assert {f.value for f in ranges.hold(given, fluid_type="water_base") if f.observable.endswith(LOW_GRAVITY)} == {value}
    trend = pd.DataFrame([values] * 4)
    assert any(s.startswith("Low-gravity solids 30 %") for s in diagnosis.diagnose(apart, trend, fluid="water_base")["drilled_solids"].evidence_for)


def test_a_titration_goes_straight_into_a_check():
    dye = titration.Titration(
        titration.MudSample(2.0, organics=False), [(4.0, "no halo"), (5.0, "halo held")], titration.Reagents(dye_strength=0.011)
    )
    for home in (field, metric, si):
        check = MudCheck({**dye.readings(), "ph": 9.0}, units=home)
        assert check["clay.methylene_blue.capacity"] == pytest.approx(dye.result(check.units).capacity.reported, rel=1e-12)
    assert MudCheck(dye.readings())["clay.methylene_blue.bentonite_equivalent"] == pytest.approx(5 * 2.5 * 1.1)
    endless = titration.Titration(titration.MudSample(2.0), [(4.0, "no halo"), (5.0, "no halo")])
    given = endless.readings()
    assert math.isnan(given["dye_volume"][0]) and given["dye_sample_volume"] == (2.0, "mL") and given["dye_strength"] == (0.01, "meq/mL")
    assert MudCheck(given).reason("clay.methylene_blue.capacity").startswith("dye_volume is missing")
    with pytest.raises(ValueError, match="sample = 5 g of solids .* is no sample of mud"):
        titration.Titration(titration.SolidsSample(5.0), [(4.0, "halo held")]).readings()


def test_diagnosis_and_ranges_are_read_only_when_asked_for():
    code = "import sys; from lutum import mud_check; mud_check.MudCheck({'ph': 9.0}); print([m for m in sys.modules if 'diagnosis' in m or 'ranges' in m])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
