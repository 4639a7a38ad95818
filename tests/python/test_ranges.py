"""Typical ranges: the shipped tables against numbers written down here by hand, and checks and frames held against them."""

import numpy as np
import pytest

import lutum
from lutum import ranges, units
from lutum.ranges import FluidType, Range, hold, load, shipped

pd = pytest.importorskip("pandas", reason="pandas is not installed")

PV = "rheology.viscometer.plastic_viscosity"
YP = "rheology.viscometer.yield_point"
LOW_GRAVITY = "solids.retort_with_brine.low_gravity_fraction"
CLAY = "clay.methylene_blue.bentonite_equivalent"
MINE = "common practice, no source"


def rows_on(observable, fluid):
    return sorted((r.low, r.high, r.unit) for r in shipped() if (r.observable, r.fluid, r.per) == (observable, fluid, ""))


def test_shipped_rows_are_as_the_pages_have_them():
    # rigzone.com, insights 1009 and 1024: two pages of one site
    assert rows_on("mud_density", "water_base") == [(8.6, 12.5, "lb/gal")]
    assert rows_on(PV, "water_base") == [(8.0, 25.0, "cP"), (10.0, 30.0, "cP")]
    assert rows_on("rheology.viscometer.yield_point", "non_aqueous") == [(10.0, 25.0, "lb/100 ft2"), (10.0, 30.0, "lb/100 ft2")]
    assert [r.low for r in shipped() if r.observable == "electrical_stability"] == [400.0]
    # netwasgroup.us/fluids-2/bentonitewater-muds.html
    assert rows_on("ph", "spud") == [(8.0, 9.5, "")]
    # SPE-13161, abstract
    assert rows_on("potassium", "potassium_lime") == [(1000.0, 4000.0, "mg/L")]


def test_every_row_says_who_says_so_and_how_far_it_can_be_trusted():
    assert len(shipped()) > 60
    for row in shipped():
        assert row.trust and row.mark in ("seen", "derived", "from memory", "common practice, no source"), row
        assert row.source or row.mark == "from memory", row
        assert "memory" in row.trust or row.mark != "from memory" or "rule of thumb" in row.trust, row
    assert {r.fluid for r in shipped()} == {f.name for f in shipped().fluids}


@pytest.mark.parametrize(
    ("value", "side"), [(7.99, "below"), (8.0, "inside"), (9.5, "inside"), (9.51, "above"), (None, "not judged"), (np.nan, "not judged")]
)
def test_sides(value, side):
    found = next(f for f in hold({"ph": value}, fluid_type="spud") if f.observable == "ph")
    assert found.side == side and (found.low, found.high) == (8.0, 9.5)
    assert "netwasgroup" in found.sentence and "house opinion of one page" in found.sentence
    if side == "above":
        assert found.sentence.startswith("pH 9.51 is above 8 to 9.5, typical of spud mud of bentonite and water (seen; ")
    if side == "not judged":
        assert found.sentence.startswith("pH: no reading; not judged against 8 to 9.5")


def test_two_pages_that_disagree_are_two_findings():
    sides = [f.side for f in hold({PV: 27.0}, fluid_type="water_base") if f.observable == PV]
    assert sorted(sides) == ["above", "inside", "not judged"]  # the rule of thumb lacks the density


def test_a_types_own_row_takes_the_place_of_the_general_one():
    held = hold({"total_hardness": 1200.0, "chloride": 190000.0, PV: 20.0}, fluid_type="salt_saturated")
    assert [f.side for f in held if f.observable == "total_hardness"] == ["inside"]
    general = hold({"total_hardness": 1200.0}, fluid_type="water_base")
    assert [f.side for f in general if f.observable == "total_hardness"] == ["above", "above"]
    assert {f.fluid for f in held if f.observable == PV} == {"water_base"}
    assert {f.fluid for f in hold({}, fluid_type="invert")} == {"invert", "non_aqueous"}


def test_a_range_that_goes_with_density():
    """Methylene blue of a dispersed mud: 15 to 20 lb/bbl at 12, 8 to 12 at 16 lb/gal, from memory."""

    def side(density, clay):
        held = hold({"mud_density": density, CLAY: clay}, fluid_type="lignosulfonate")
        return [f.side for f in held if f.observable == CLAY and f.side != "not judged"]

    assert side(12.0, 18.0) == ["inside"] and side(16.0, 18.0) == ["above"] and side(16.0, 7.0) == ["below"] and side(25.0, 18.0) == []
    unsaid = [f for f in hold({CLAY: 18.0}, fluid_type="lignosulfonate") if f.observable == CLAY]
    assert len(unsaid) == 5 and all(f.side == "not judged" and "not the case or not known" in f.sentence for f in unsaid)


@pytest.mark.parametrize(("density", "most"), [(12.0, 14.1), (14.0, 10.8), (16.0, 7.5), (18.0, 4.1)])
def test_the_most_low_gravity_solids_by_the_rule_of_thumb(density, most):
    """200 (SF/100 - 0.3125 (MW/8.33 - 1)) with SF = 2.917 MW - 14.17: by hand."""
    by_hand = 200 * ((2.917 * density - 14.17) / 100 - 0.3125 * (density / 8.33 - 1))
    assert by_hand == pytest.approx(most, abs=0.1)

    def thumb(density):
        held = hold({"mud_density": density, LOW_GRAVITY: 5.0}, fluid_type="water_base")
        return next(f for f in held if f.observable == LOW_GRAVITY and "thumb" in f.trust)

    assert thumb(density).high == pytest.approx(by_hand, abs=0.03)
    light = thumb(10.0)
    assert light.side == "not judged" and "it holds for mud density from 10.5 lb/gal to 18 lb/gal" in light.sentence


CHECKS = pd.DataFrame(
    {"ph": [8.5, 9.9, np.nan], "mud_density": [9.0, 9.4, 8.5], "dial_reading_600": [30.0, 60.0, 40.0], "dial_reading_300": [20.0, 25.0, 25.0]},
    index=["a", "b", "c"],
)


def test_a_frame_gives_a_row_for_every_check_and_range():
    tidy = hold(CHECKS, fluid_type="spud")
    assert len(tidy) == 3 * len(shipped().of("spud"))
    assert list(dict.fromkeys(tidy["check"])) == ["a", "b", "c"]
    ph = tidy[tidy["observable"] == "ph"]
    assert list(ph["side"]) == ["inside", "above", "not judged"]
    assert list(tidy[(tidy["observable"] == "mud_density")]["side"]) == ["inside", "above", "below"]
    assert set(tidy.loc[tidy["observable"] == "filtrate_volume", "side"]) == {"not judged"}
    assert list(tidy.columns) == ["check", "observable", "fluid", "value", "low", "high", "unit", "side", "sentence", "trust", "mark", "source"]


def test_a_frame_says_what_single_checks_say():
    tidy = hold(CHECKS, fluid_type="water_base")
    for label, row in CHECKS.iterrows():
        one = hold(row, fluid_type="water_base")
        assert list(tidy[tidy["check"] == label]["sentence"]) == [f.sentence for f in one]
        assert list(one.frame()["side"]) == list(tidy[tidy["check"] == label]["side"])
    assert hold(CHECKS.iloc[:0], fluid_type="water_base").empty


def test_dial_readings_give_plastic_viscosity():
    assert [f.value for f in hold(CHECKS.loc["b"], fluid_type="water_base") if f.observable == PV] == [35.0] * 3


@pytest.mark.parametrize("there", [lutum.metric, lutum.si])
def test_unit_sets_agree(there):
    quantities = {"mud_density": "density", PV: "viscosity", "bottom_hole_temperature": "temperature", "chloride": "ion_concentration"}
    for values in [(8.6, 8.0, 300.0, 20000.0), (12.5, 25.0, 375.0, 20001.0), (12.6, 30.0, 374.9, 19999.0)]:  # on the bounds and beside them
        check = dict(zip(quantities, values, strict=True))
        moved = {n: units.convert(x, lutum.field.unit(quantities[n]), there.unit(quantities[n])) for n, x in check.items()}
        for fluid in ("water_base", "lignosulfonate"):
            here, other = hold(check, fluid_type=fluid), hold(moved, fluid_type=fluid, units=there)
            assert [f.side for f in here] == [f.side for f in other]
    # Lower bounds that come back a bit below from other units.
    moved = {"mud_density": units.convert(10.0, "lb/gal", there.unit("density")), YP: units.convert(10.0, "lb/100 ft2", there.unit("stress"))}
    sides = [f.side for f in hold(moved, fluid_type="non_aqueous", units=there) if f.observable in moved]
    assert sides == ["inside"] * 3
    held = hold({"bottom_hole_temperature": 160.0}, fluid_type="lignosulfonate", units="metric")
    hot = next(f for f in held if f.observable == "bottom_hole_temperature")
    assert hot.high == pytest.approx(148.9, abs=0.05) and hot.unit == "degC" and hot.side == "above"


def test_a_table_is_edited_in_a_line():
    mine = shipped().without("ph", fluid_type="gypsum").with_rows(Range("ph", "gypsum", MINE, "our wells", low=9.0))
    (found,) = (f for f in hold({"ph": 9.2}, mine, fluid_type="gypsum") if f.observable == "ph")
    assert found.side == "inside" and np.isnan(found.high) and "at least 9" in found.sentence
    mine = mine.with_fluids(FluidType("silicate", "water_base", "silicate mud")).with_rows(Range("ph", "silicate", MINE, "our wells", low=11.5))
    assert [f.side for f in hold({"ph": 11.0}, mine, fluid_type="silicate") if f.observable == "ph"] == ["below"]
    assert len(mine.frame()) == len(mine)
    with pytest.raises(ValueError, match="no row on ph for invert"):
        mine.without("ph", fluid_type="invert")


def test_text_of_what_was_held():
    held = hold({"ph": 9.9, "mud_density": 9.0}, fluid_type="spud")
    text = str(held)
    assert text.startswith("1 outside, 1 inside, ") and text.count("\n- ") == 2
    assert "Typical is not a limit" in text and [f.observable for f in held.outside] == ["ph"]
    assert "- No reading of" in text and "filter cake" in text and "at most 2 x 1/32 in" in " ".join(f.sentence for f in held)


def test_slips_are_told():
    with pytest.raises(ValueError, match="fluid_type = 'spade' is not in the table; it has water_base"):
        hold({}, fluid_type="spade")
    with pytest.raises(ValueError, match="the check: ph must be a number"):
        hold({"ph": "high"}, fluid_type="spud")
    with pytest.raises(ValueError, match="low = 10 is above high = 9"):
        shipped().with_rows(Range("ph", "lime", MINE, "ours", low=10.0, high=9.0))


ONE = """
[[fluid]]
name = "odd"
family = "water_base"
words = "an odd mud"

[[range]]
observable = "mud_density"
fluid = "odd"
low = 9.0
high = 10.0
unit = "lb/gal"
mark = "common practice, no source"
trust = "ours"
"""
BROKEN = {
    'unit = "lb/gal"': ('unit = "cP"', "unit = 'cP' does not measure density"),
    'observable = "mud_density"': ('observable = "mud_densty"', "did you mean mud_density"),
    "low = 9.0": ("low = 11.0", "low = 11 is above high = 10"),
    "low = 9.0\nhigh = 10.0\n": ("", "low and high are both missing"),
    "high = 10.0": ('high = "ten"', "high = 'ten' must be a number"),
    'fluid = "odd"': ('fluid = "even"', "fluid = 'even' is not in the table"),
    'family = "water_base"': ('family = "beer"', "family = 'beer'; it is water_base or non_aqueous"),
    'mark = "common practice, no source"': ('mark = "seen"', "source is missing"),
    'trust = "ours"': ("", "trust is missing"),
    'trust = "ours"\n': ('trust = "ours"\nper_low = 1.0\n', "per is missing"),
    'observable = "mud_density"\n': ('observable = "foam"\n', "a range is of a number"),
    "[[fluid]]": ("[[fluids]]", "'fluids' is no key"),
}  # fmt: skip


@pytest.mark.parametrize("place", BROKEN)
def test_a_broken_table_is_told_with_file_and_key(tmp_path, place):
    new, message = BROKEN[place]
    assert place in ONE
    path = tmp_path / "mine.toml"
    path.write_text(ONE.replace(place, new, 1))
    with pytest.raises(ValueError) as told:
        load(path)
    assert "mine.toml" in str(told.value) and message in str(told.value)


def test_a_table_of_ones_own(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(ONE)
    assert [f.side for f in hold({"mud_density": 10.5}, load(path), fluid_type="odd")] == ["above"]
    assert len(load(tmp_path)) == 1
    (tmp_path / "nothing").mkdir()
    with pytest.raises(ValueError, match="no TOML file in"):
        load(tmp_path / "nothing")


def test_a_large_frame_is_quick_to_hold_and_loses_no_row():
    rng = np.random.default_rng(1)
    many = pd.DataFrame({"mud_density": rng.uniform(8, 18, 5000), "ph": rng.uniform(7, 12, 5000)})
    tidy = hold(many, fluid_type="water_base")
    assert tidy["check"].nunique() == 5000 and len(tidy) == 5000 * len(shipped().of("water_base"))
    density = tidy[tidy["observable"] == "mud_density"].set_index("check")["side"]
    assert (density[many.index[many["mud_density"] > 12.5]] == "above").all()


def test_pandas_is_not_imported_with_the_packages():
    import subprocess
    import sys

    code = "import sys, lutum.diagnosis, lutum.ranges; lutum.ranges.shipped(); lutum.diagnosis.shipped(); print('pandas' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"
    assert ranges.load is load
