"""Density windows and foretold pressures of hand-made wells: the number, the place that sets it, and nothing where there is none."""

import dataclasses

import numpy as np
import pandas as pd
import pytest
from lutum import field, offset, records
from lutum.offset.windows import _bounds
from lutum.records import ColumnMapping, Mapping

COUNT = 40


def table(frame, **columns):
    return offset.table(pd.DataFrame(frame), unit_set="field", **columns)


@pytest.fixture(scope="module")
def study():
    """Four wells with the same mud in one vertical 12 1/4 in hole; one of them had tight hole after its dirtiest checks."""
    rng = np.random.default_rng(5)
    wells = np.repeat(list("ABCD"), COUNT)
    frame = pd.DataFrame({
        "Well": wells, "MD": np.tile(np.linspace(2000.0, 5000.0, COUNT), 4), "Hole": 12.25, "MW": 10.5,
        "Time": np.tile(pd.date_range("2020-01-01", periods=COUNT, freq="8h").strftime("%Y-%m-%d %H:%M"), 4),
        "R600": 52.0 + rng.integers(-2, 3, 4 * COUNT), "R300": 34.0 + rng.integers(-1, 2, 4 * COUNT), "R3": 6.0,
        "G1": 8.0, "G2": 14.0,
    })  # fmt: skip
    columns = {
        "well": "Well", "measured_depth": ColumnMapping("MD", unit="ft"), "hole_diameter": ColumnMapping("Hole", unit="in"),
        "mud_density": ColumnMapping("MW", unit="lb/gal"), "time": ColumnMapping("Time", date_format="%Y-%m-%d %H:%M"),
        "reading_600": "R600", "reading_300": "R300", "reading_3": "R3", "gel_10_s": "G1", "gel_10_min": "G2",
    }  # fmt: skip
    made = offset.compute(records.read(frame, Mapping(columns), units="field", name="checks"))
    wells = table({"w": list("ABCD"), "rt": [0.0] * 4}, well="w", rotary_table_above_sea=("rt", "ft"))
    surveys = table(
        {"w": np.repeat(list("ABCD"), 2), "md": [0.0, 6000.0] * 4, "inc": 0.0, "azi": 0.0},
        well="w", measured_depth=("md", "ft"), inclination="inc", azimuth="azi",
    )  # fmt: skip
    events = table(
        {"w": ["D"], "t": ["2020-01-05 00:00"], "e": ["tight hole"], "md": [3000.0], "hole": [12.25]},
        well="w", time="t", event="e", measured_depth=("md", "ft"), hole_diameter=("hole", "in"),
    )  # fmt: skip
    return offset.trouble(offset.align(made, wells=wells, surveys=surveys), events, hours=24.0)


def plan(**more):
    frame = {"hole": [12.25], "start": [2000.0], "end": [5000.0], **{k: [v] for k, v in more.items()}}
    columns = {"hole_diameter": ("hole", "in"), "start_measured_depth": ("start", "ft"), "end_measured_depth": ("end", "ft")}
    if more:
        columns |= {"above_inside_diameter": ("above", "in"), "pipe_diameter": ("pipe", "in"), "flow_rate": ("rate", "gal/min")}
    return table(frame, **columns)


def pressures(pore=9.0, collapse=8.5, fracture=12.0, **formation):
    depth = np.linspace(1500.0, 5500.0, 81)
    frame = {"md": depth, "p": pore + 0 * depth, "c": collapse + 0 * depth, "f": fracture + 0 * depth, **formation}
    names = {"formation": "formation"} if formation else {}
    return table(
        frame, measured_depth=("md", "ft"), vertical_depth=("md", "ft"), pore=("p", "lb/gal"), collapse=("c", "lb/gal"),
        fracture=("f", "lb/gal"), **names,
    )  # fmt: skip


def window(study, plan_of=None, of=None, margins=(0.25, 0.25), **kwargs):
    found = offset.windows(study, plan=plan_of or plan(), pressures=of or pressures(), margins=offset.Margins(*margins, "lb/gal"), **kwargs)
    return found, found.density.table.iloc[0]


def test_margins_and_rounding_make_the_window(study):
    found, row = window(study)
    assert (row["lower"], row["upper"]) == (9.3, 11.7) and not row["empty"] and row["reason"] == ""  # 9.25 up, 11.75 down
    assert "not checked" in row["circulating"] and "above_inside_diameter" in row["circulating"]
    assert found.show().loc["density, lb/gal", "12 1/4 in"] == "9.3 to 11.7"
    assert row["offset_P50"] == 10.5 and row["offset_wells"] == 4 and row["offset_rows"] == 4 * COUNT


def test_old_densities_do_not_move_the_window(study):
    heavier = study.data.assign(mud_density=study.data["mud_density"] + 3.0)
    moved = dataclasses.replace(study, data=heavier)
    assert window(moved)[1][["lower", "upper"]].tolist() == [9.3, 11.7] and window(moved)[1]["offset_P50"] == 13.5


def test_the_higher_of_pore_and_collapse_at_its_depth_sets_the_lower_bound(study):
    depth = np.linspace(1500.0, 5500.0, 81)
    bump = np.where(np.isclose(depth, 3200.0), 10.04, 8.5)
    weak = np.where(np.isclose(depth, 4000.0), 11.5, 12.0)
    _, row = window(study, of=pressures(collapse=bump, fracture=weak, formation=np.where(depth < 3500, "Shale", "Sand")))
    assert row["lower"] == 10.3 and row["lower_set_by"] == "collapse at 3200 ft true vertical depth in the Shale"
    assert row["upper"] == 11.2 and row["upper_set_by"] == "fracture at 4000 ft true vertical depth in the Sand, mud at rest"
    assert "0.96 lb/gal between collapse" in row["narrowest"]


def test_an_empty_window_proposes_nothing_and_says_why(study):
    found, row = window(study, of=pressures(fracture=9.4))
    assert row["empty"] and np.isnan(row["lower"]) and np.isnan(row["upper"])
    assert "empty by 0.10 lb/gal" in row["reason"] and "no density is proposed" in row["reason"]
    assert found.show().loc["density, lb/gal", "12 1/4 in"] == "none"
    _, narrow = window(study, of=pressures(pore=9.02, fracture=9.57))  # 9.27 to 9.32: 9.3 is the only step
    assert narrow["lower"] == narrow["upper"] == 9.3
    _, none = window(study, of=pressures(pore=9.07, fracture=9.63))  # 9.32 to 9.38
    assert none["empty"] and "no whole step of 0.1" in none["reason"]


def test_unknown_pressures_propose_nothing(study):
    depth = np.linspace(1500.0, 5500.0, 81)
    _, row = window(study, of=pressures(pore=np.where(np.isclose(depth, 3000.0), np.nan, 9.0)))
    assert row["empty"] and "not known from 3000 to 3000 ft" in row["reason"]
    short = pressures()
    short = offset.Table(short.data[short.data["measured_depth"] <= 4800.0], short.units)
    _, row = window(study, of=short)
    assert row["empty"] and "5000 ft" in row["reason"]


def test_pumping_lowers_the_upper_bound_by_what_the_kernel_says(study):
    geometry = {"above": 12.415, "pipe": 5.0, "rate": 800.0}
    found, row = window(study, plan(**geometry), pressures(fracture=10.0))
    bounds = found.table.set_index("property")
    plastic, point, slow = (bounds.loc[p, "upper"] for p in ("plastic_viscosity", "yield_point", "reading_3"))
    dial = field.rheology.viscometer(speed=[3, 300, 600], reading=[slow, plastic + point, 2 * plastic + point])
    curve = [float(x) for x in offset.flow.through_three(dial.wall_stress, dial.shear_rate)]
    gradient = field.hydraulics.slot_pressure_gradient(9.75, *curve, hole_diameter=np.array([12.415, 12.25]), pipe_diameter=5.0, flow_rate=800.0)
    bottom = np.array([2000.0, 5000.0])
    pumped = field.hydraulics.equivalent_density(
        fluid_density=9.75, bottom_measured_depth=bottom, bottom_true_vertical_depth=bottom, friction_gradient=gradient.pressure_gradient
    ).equivalent_density
    assert row["increment_high"] == pytest.approx(pumped[-1] - 9.75, abs=1e-9)
    assert row["allowed_pumped"] == pytest.approx(9.75 - (pumped - 9.75).max(), abs=1e-6) and row["allowed_at_rest"] == pytest.approx(9.75)
    assert row["upper"] == offset.round_inward(0.0, row["allowed_pumped"], 0.1)[1] and row["increment_low"] < row["increment_high"]
    assert row["circulating"] == "checked" and "yield power law" in row["curve"]


def test_a_flow_that_is_not_laminar_proposes_nothing(study):
    _, row = window(study, plan(above=8.0, pipe=6.5, rate=3000.0), pressures(fracture=30.0, pore=8.0))
    assert row["empty"] and "not laminar" in row["reason"]


def test_a_section_end_between_formations_takes_the_worse(study):
    depth = np.linspace(1500.0, 5500.0, 81)
    split = pressures(fracture=np.where(depth <= 5000.0, 12.0, 10.0), formation=np.where(depth <= 5000.0, "Shale", "Sand"))
    inside = table({"hole": [12.25], "start": [2000.0], "end": [5010.0]}, hole_diameter=("hole", "in"),
                   start_measured_depth=("start", "ft"), end_measured_depth=("end", "ft"))  # fmt: skip
    assert window(study, of=split)[1]["upper"] == 11.7
    assert window(study, inside, split)[1]["upper"] == 9.7


@pytest.mark.parametrize("margins", [(-0.1, 0.2), (0.1, float("nan"))])
def test_margins_must_be_stated_and_not_negative(study, margins):
    with pytest.raises(ValueError, match="0 or more"):
        offset.Margins(*margins, "lb/gal")
    with pytest.raises(TypeError):
        offset.windows(study, plan=plan(), pressures=pressures())


def test_property_windows_come_with_their_rows(study):
    found, _ = window(study)
    row = found.table.set_index("property").loc["plastic_viscosity"]
    assert row["basis"] == "sections without trouble" and row["wells"] == 3 and row["rows"] == 3 * COUNT
    behind = found.rows["12 1/4 in", "plastic_viscosity"]
    reference = behind[behind["role"] == "reference"]
    assert len(reference) == 3 * COUNT and set(reference["well"]) == set("ABC") and reference["weight"].sum() == pytest.approx(3.0)
    p10, p90 = offset.weighted_percentiles(reference["value"], reference["weight"], [10, 90])
    assert (row["lower"], row["upper"]) == offset.round_inward(p10, p90, 1.0)
    assert row["rows_before"] == 4 and set(behind[behind["role"] == "before trouble"]["well"]) == {"D"}
    assert np.isnan(row["low"])  # one well with trouble: no interval, and the window is not drawn in
    assert row["drawn_in"] == ""
    assert row["rests_on"].startswith("habit alone") and row["kinds"] == ()
    assert found.show().loc["plastic viscosity, cP", "12 1/4 in"].endswith(" (habit)")


def test_trouble_on_one_side_draws_the_window_in():
    wells = np.repeat(list("ABCDEF"), 20)
    values = np.tile(np.linspace(10.0, 20.0, 20), 6)
    frame = pd.DataFrame({"Well": wells, "MD": np.tile(np.arange(20.0), 6), "MW": values})
    made = offset.compute(records.read(frame, Mapping({"well": "Well", "measured_depth": ColumnMapping("MD", unit="ft"),
                                                       "mud_density": ColumnMapping("MW", unit="lb/gal")}), units="field"))  # fmt: skip
    before = np.flatnonzero(values > 16.0)  # median 18, below the P90 of the rest
    rest = np.arange(len(values))
    both = offset.Property("mud_density", "test")
    low, _, high, chance, span = _bounds(made, "mud_density", rest, before, both)
    assert chance > 0.8 and span[0] > 0.5 and high["why"].startswith("upper bound drawn in") and low["why"] == ""
    assert high["value"] == pytest.approx(np.median(values[before]), abs=0.3)
    low, _, high, _, _ = _bounds(made, "mud_density", rest, np.flatnonzero(values < 14.0), both)
    assert low["why"].startswith("lower bound drawn in") and high["why"] == ""
    low, _, _, _, _ = _bounds(made, "mud_density", rest, np.flatnonzero(values < 14.0), offset.Property("mud_density", "t", "upper"))
    assert np.isnan(low["value"]) and low["why"] == ""


# ---- pressures of the next well


def offsets(count=6, thin=(), **changed):
    """Wells whose collapse is 10 + 2 lean + fraction, fracture 14 - 0.1 (year - 2010), in a formation 1000 ft thick."""
    rows = []
    for number in range(count):
        place = np.linspace(0.0, 1.0, 21)
        lean_of, year = 0.1 * number, 2010.0 + number
        rows.append(pd.DataFrame({
            "well": f"W{number}", "measured_depth": 2000 + 1000 * place, "vertical_depth": 2000 + 1000 * place, "below_sea": 2000 + 1000 * place,
            "formation": "Shale", "formation_fraction": place, "below_top": 1000 * place, "sine_squared_inclination": lean_of, "spud_year": year,
            "pore": 9.0 + np.where((number in thin) & np.isclose(place, 0.5), 1.5, 0.0),
            "collapse": 10.0 + 2.0 * lean_of + place, "fracture": 14.0 - 0.1 * (year - 2010.0), **changed,
        }))  # fmt: skip
    kept = dict.fromkeys(("measured_depth", "vertical_depth", "below_sea", "below_top"), "ft")
    return offset.Table(pd.concat(rows, ignore_index=True), kept | dict.fromkeys(("pore", "collapse", "fracture"), "lb/gal"))


def points(lean=0.25, year=2012.0, elevation=0.0):
    place = np.array([0.0, 0.25, 0.5, 1.0])
    data = pd.DataFrame({
        "measured_depth": 3000 + 500 * place, "vertical_depth": 3000 + 500 * place, "below_sea": 3000 + 500 * place - elevation,
        "formation": "Shale", "formation_fraction": place, "below_top": 500 * place, "sine_squared_inclination": lean, "spud_year": year,
    })  # fmt: skip
    return offset.Table(data, dict.fromkeys(("measured_depth", "vertical_depth", "below_sea", "below_top"), "ft"))


TRENDS = {("collapse", "*"): "sine_squared_inclination", ("fracture", "Shale"): "spud_year"}


def test_pressures_follow_place_and_trend():
    found = offset.prognosis(offsets(), points(), trends=TRENDS)
    assert np.allclose(found.data["collapse"], 10.5 + np.array([0.0, 0.25, 0.5, 1.0]))
    assert np.allclose(found.data["fracture"], 13.8) and np.allclose(found.data["pore"], 9.0)
    slopes = found.fits.set_index("limit")["slope"]
    assert slopes["collapse"] == pytest.approx(2.0) and slopes["fracture"] == pytest.approx(-0.1) and np.isnan(slopes["pore"])
    assert (found.data["wells_pore"] == 6).all() and np.allclose(found.data["u_pore"], 0.0, atol=1e-9)


def test_beyond_what_was_seen_is_said_and_less_certain():
    noisy = offsets()
    noisy.data["fracture"] += noisy.data["well"].map(dict(zip(noisy.data["well"].unique(), [0.1, -0.1, 0.05, -0.05, 0.1, -0.1], strict=True)))
    near, far = (offset.prognosis(noisy, points(year=y), trends=TRENDS) for y in (2012.5, 2025.0))
    assert not any("outside what the offsets saw" in c for c in near.cautions) and any("2025" in c for c in far.cautions)
    assert far.data["u_fracture"].iloc[0] > 2 * near.data["u_fracture"].iloc[0] > 0.0


def test_a_new_well_lies_inside_the_stated_uncertainty():
    rng = np.random.default_rng(8)
    outside = []
    for _ in range(60):
        made = offsets(8)
        for limit in ("pore", "collapse", "fracture"):
            made.data[limit] += made.data["well"].map(dict(zip(made.data["well"].unique(), rng.normal(0.0, 0.1, 8), strict=True)))
        found = offset.prognosis(made, points(), trends=TRENDS).data.iloc[0]
        for limit, true in (("pore", 9.0), ("collapse", 10.5), ("fracture", 13.8)):
            outside.append(abs(true + rng.normal(0.0, 0.1) - found[limit]) > 2 * found[f"u_{limit}"])
    assert 0.03 < np.mean(outside) < 0.15  # 5 % for a known spread, more for one estimated from eight wells


def test_a_well_apart_is_told_and_left_out():
    made = offsets(8, thin=(3,))
    made.data["pore"] += made.data["well"].map(dict(zip(made.data["well"].unique(), np.linspace(-0.05, 0.05, 8), strict=True)))
    found = offset.prognosis(made, points())
    assert found.apart["well"].tolist() == ["W3"] and found.apart["limit"].tolist() == ["pore"]
    assert found.apart["excess"].iloc[0] == pytest.approx(1.5, abs=0.1)
    assert np.allclose(found.data["pore"], 9.0, atol=0.05) and found.data["wells_pore"].tolist() == [8, 8, 7, 8]
    assert any("W3" in c and "plan for it" in c for c in found.cautions)


def test_fewer_than_three_wells_foretell_nothing():
    found = offset.prognosis(offsets(2), points())
    assert found.data[["pore", "collapse", "fracture"]].isna().all().all() and any("4 of 4 points" in c for c in found.cautions)


def test_equivalents_are_restated_from_table_to_table():
    found = offset.prognosis(offsets(), points(elevation=100.0))
    # the same pressure at the same depth below sea is a lighter column from a higher table
    assert found.data["pore"].iloc[0] == pytest.approx(9.0 * 2900.0 / 3000.0)


def test_the_uncertainty_of_a_prognosis_narrows_the_window(study):
    made = offsets(6)
    made.data["formation"] = "Shale"
    place = np.linspace(0.0, 1.0, 61)
    path = points()
    path = offset.Table(pd.DataFrame({
        "measured_depth": 1900 + 3200 * place, "vertical_depth": 1900 + 3200 * place, "below_sea": 1900 + 3200 * place, "formation": "Shale",
        "formation_fraction": place, "below_top": 3200 * place, "sine_squared_inclination": 0.0, "spud_year": 2012.0,
    }), path.units)  # fmt: skip
    made.data["collapse"] = 10.0 + made.data["well"].map(dict(zip(made.data["well"].unique(), [0.2, -0.2, 0.1, -0.1, 0.2, -0.2], strict=True)))
    foretold = offset.prognosis(made, path)
    rows = [window(study, of=foretold, margins=(0.0, 0.0), coverage=k)[1] for k in (0.0, 2.0)]
    u = foretold.data["u_collapse"].iloc[0]
    assert rows[1]["needed"] - rows[0]["needed"] == pytest.approx(2 * u, rel=1e-6) and u > 0.15
    assert rows[1]["allowed_at_rest"] < rows[0]["allowed_at_rest"]
