"""The rules of a diagnosis as data: the shipped ones are whole, one's own are read, a broken one is told."""

import pytest

import lutum
from lutum import units
from lutum.diagnosis import diagnose, load, observables, shipped

pd = pytest.importorskip("pandas", reason="pandas is not installed")

WB, NA = "water_base", "non_aqueous"
ONE = """
[[hypothesis]]
name = "odd"
title = "Something odd"
fluids = ["water_base"]
next_test = "Look."
treatment = "None."
hazard = "None."

[[hypothesis.evidence]]
observable = "mud_density"
looks_for = "falls"
by = 0.2
unit = "lb/gal"
weight = 1.0
sentence = "It is lighter."
contrary = "It is not lighter."
mark = "common practice, no source"
"""
BROKEN = {
    'by = 0.2': ('by = "much"', "by = 'much' must be a number"),
    'by = 0.2\n': ("", "by or by_percent is missing"),
    'unit = "lb/gal"': ('unit = "cP"', "unit = 'cP' does not measure density"),
    'unit = "lb/gal"\n': ('unit = "furlong"\n', "unit = 'furlong' does not measure density"),
    'observable = "mud_density"': ('observable = "mud_densty"', "did you mean mud_density"),
    'looks_for = "falls"': ('looks_for = "sinks"', "looks_for = 'sinks'; for a number it is one of rises, falls"),
    'weight = 1.0': ("weight = -1.0", "weight = -1.0 must be above 0"),
    'mark = "common': ('mark = "sure thing, ', "mark = 'sure thing"),
    'mark = "common practice, no source"': ('mark = "seen"', "source is missing"),
    'sentence = "It is lighter."\n': ("", "sentence is missing"),
    'hazard = "None."': ('hazards = "None."', "'hazards' is no key"),
    'fluids = ["water_base"]': ('fluids = ["mud"]', "give a list of water_base and non_aqueous"),
    'fluids = ["water_base"] ': ('fluids = "water_base"', "fluids = 'water_base' must be a list"),
    'looks_for = "falls"\n': ('looks_for = "falls"\nminus = "ph"\n', "they cannot be compared"),
    'looks_for = "falls"\nby = 0.2': ('looks_for = "below"', "limit is missing"),
    'looks_for = "falls"\nby = 0.2\n': ('looks_for = "below"\nlimit = 9.0\nagainst_limit = 8.0\n', "against_limit = 8 lies on the side"),
    'title = "Something odd"': ("title = Something odd", "is no TOML"),
    "well_control": ('fluids = ["water_base"]\nwell_control = "yes"', "well_control = 'yes' must be true or false"),
}  # fmt: skip


@pytest.mark.parametrize("place", BROKEN)
def test_a_broken_rule_is_told_with_file_rule_and_key(tmp_path, place):
    new, message = BROKEN[place]
    old = 'fluids = ["water_base"]' if place == "well_control" else place.rstrip(" ") if place.endswith(" ") else place
    assert old in ONE
    path = tmp_path / "mine.toml"
    path.write_text(ONE.replace(old, new, 1))
    with pytest.raises(ValueError) as told:
        load(path)
    assert "mine.toml" in str(told.value) and message in str(told.value)
    if "is no TOML" not in message:
        assert "'odd'" in str(told.value)


def test_rules_of_ones_own(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(ONE)
    mine = load(path)
    result = diagnose({"mud_density": 11.5}, pd.DataFrame({"mud_density": [12.0] * 3}), fluid=WB, rules=mine)
    assert result.names == ("odd",) and result[0].score == 1.0
    assert len(shipped().with_rules(*mine)) == len(shipped()) + 1 and len(shipped().without("salt")) == len(shipped()) - 1
    with pytest.raises(ValueError, match="two rules are called 'odd'"):
        load(path, path)
    with pytest.raises(KeyError, match="no rule is called 'slat'"):
        shipped().without("slat")
    with pytest.raises(ValueError, match="none of the 1 rules is for a non_aqueous fluid"):
        diagnose({}, fluid=NA, rules=mine)


def test_the_shipped_rules_are_whole():
    known = set(lutum._core.calculations())
    areas = {c.split(".")[0] for c in known}
    for rule in shipped():
        assert len(rule.evidence) >= 5 and rule.next_test and rule.treatment and rule.hazard, rule.name
        assert all(e.sentence.endswith(".") and e.contrary.endswith(".") for e in rule.evidence), rule.name
        if "treatment" in areas:
            assert set(rule.amount) <= known, rule.name
    assert {e.mark for r in shipped() for e in r.evidence} >= {"seen", "from memory", "common practice, no source"}


def test_resolutions_are_units_of_what_they_belong_to():
    for o in observables().values():
        if o.kind == "number":
            assert o.resolution or o.resolution_percent, o.name
            assert o.source, o.name
            if o.quantity != "number" and o.resolution:
                assert units.resolve(o.unit) in units.quantity_units(o.quantity), o.name
