"""Rows before events, their comparison with the others, and the margins of the open hole, on hand-made wells."""

import numpy as np
import pandas as pd
import pytest
from lutum import offset, records
from lutum.offset.trouble import separation
from lutum.records import ColumnMapping, Mapping


def table(frame, **columns):
    return offset.table(pd.DataFrame(frame), unit_set="metric", **columns)


WELL_NAMES = ["A", "B", "C"]
WELLS = table({"w": WELL_NAMES, "rt": [0.0] * 3}, well="w", rotary_table_above_sea=("rt", "m"))
SURVEYS = table(
    {"w": np.repeat(WELL_NAMES, 2), "md": [0.0, 2000.0] * 3, "inc": 0.0, "azi": 0.0},
    well="w", measured_depth=("md", "m"), inclination="inc", azimuth="azi",
)  # fmt: skip
CASING = table(
    {"w": np.repeat(WELL_NAMES, 3), "md": [100.0, 500.0, 1500.0] * 3, "hole": [36.0, 17.5, 12.25] * 3, "id": [28.0, 12.415, 8.681] * 3, "pipe": 5.0},
    well="w", measured_depth=("md", "m"), hole_diameter=("hole", "in"), inside_diameter=("id", "in"), pipe_diameter=("pipe", "in"),
)  # fmt: skip
TOPS = table({"w": WELL_NAMES, "f": "Clay", "md": 50.0}, well="w", formation="f", measured_depth=("md", "m"))

CHECKS = pd.DataFrame({
    "Well": ["A", "A", "A", "A", "B", "B", "C"],
    "MD": [200.0, 300.0, 600.0, 700.0, 300.0, 600.0, 600.0],
    "Time": ["2020-01-01 06:00", "2020-01-01 14:00", "2020-01-05 06:00", None, "2020-01-01 06:00", "2020-01-05 06:00", "2020-01-05 06:00"],
    "MW": [1100.0, 1110.0, 1300.0, 1310.0, 1120.0, 1320.0, 1330.0],
    "Rate": [3000.0, None, 2500.0, 2500.0, 3000.0, 2500.0, 2500.0],
    "R600": 60.0, "R300": 38.0, "R3": [5.0, 5.0, 5.0, 5.0, 5.0, 40.0, 5.0],
})  # fmt: skip
EVENTS = table(
    {
        "w": ["A", "A", "B", "X"], "t": ["2020-01-01 16:00", "2020-01-01 17:00", "2020-01-09 06:00", "2020-01-01 00:00"],
        "e": ["losses", "tight hole", "losses", "losses"], "md": [310.0, 320.0, 650.0, 100.0],
    },
    well="w", time="t", event="e", measured_depth=("md", "m"),
)  # fmt: skip


@pytest.fixture(scope="module")
def aligned():
    columns = {
        "well": "Well", "measured_depth": ColumnMapping("MD", unit="m"), "time": ColumnMapping("Time", date_format="%Y-%m-%d %H:%M"),
        "mud_density": ColumnMapping("MW", unit="kg/m3"), "flow_rate": ColumnMapping("Rate", unit="L/min"),
        "reading_600": "R600", "reading_300": "R300", "reading_3": "R3",
    }  # fmt: skip
    study = offset.compute(records.read(CHECKS, Mapping(columns), units="metric", name="checks"))
    return offset.align(study, wells=WELLS, surveys=SURVEYS, tops=TOPS, casing=CASING)


@pytest.fixture(scope="module")
def study(aligned):
    return offset.trouble(aligned, EVENTS, hours=9.0)


def test_rows_before_events_of_their_own_well_and_section(study):
    # 06:00 is ten hours before the first event, 14:00 two and three hours; section 12 1/4 in of B had one four days later.
    assert study["trouble_before"].tolist() == ["", "losses, tight hole", "", "not known", "", "", ""]
    assert study["trouble_in_section"].tolist() == ["losses, tight hole"] * 2 + ["", "", "", "losses", ""]
    assert study["hours_to_trouble"].tolist()[:2] == [10.0, 2.0] and study["hours_to_trouble"].iloc[5] == 96.0
    assert np.isnan(study["hours_to_trouble"].iloc[2])
    told = study.reasons[study.reasons["step"] == "trouble"]
    assert told["row"].tolist() == [5] and "time is missing" in told["reason"].iloc[0]


def test_events_are_placed_and_say_how_many_rows_they_follow(study):
    assert study.events["section"].astype(str).tolist()[:3] == ["17 1/2 in", "17 1/2 in", "12 1/4 in"]
    assert study.events["rows_before"].tolist() == [1, 1, 0, 0]
    assert study.events["below_sea"].tolist()[:3] == pytest.approx([310.0, 320.0, 650.0])


def test_state_hangs_on_the_kinds_asked_for(study):
    states = offset.state(study, ["tight hole"]).tolist()
    assert states[:2] == ["section with trouble", "before trouble"] and states[3] == "not known"
    assert states[5] == "no trouble in the section"
    assert offset.state(study).tolist()[5] == "section with trouble"
    with pytest.raises(ValueError, match="no event is called 'kick'"):
        offset.state(study, ["kick"])
    with pytest.raises(ValueError, match="hours"):
        offset.trouble(study, EVENTS, hours=0.0)


def test_another_span_of_hours_replaces_the_first(study):
    longer = offset.trouble(study, EVENTS, hours=11.0)
    assert longer["trouble_before"].tolist()[:2] == ["losses, tight hole"] * 2
    assert "11 h" in longer.assumptions["trouble"] and len(longer.reasons) == len(study.reasons)


def many_wells(values, wells):
    data = records.read(pd.DataFrame({"Well": wells, "MW": values}), Mapping({"well": "Well", "mud_density": ColumnMapping("MW", unit="kg/m3")}), units="metric")
    return offset.compute(data)


def test_separation_counts_pairs_with_equal_wells():
    study = many_wells([1300.0, 1310.0, 1100.0, 1110.0, 1105.0, 1300.0], ["A", "B", "A", "A", "B", "B"])
    assert separation(study, "mud_density", [0, 1], [2, 3, 4])[0] == 1.0
    assert separation(study, "mud_density", [2, 3], [0, 1])[0] == 0.0
    assert separation(study, "mud_density", [0], [5])[0] == 0.5  # equal values count half
    assert np.isnan(separation(study, "mud_density", [0], [2, 3])[1])  # one well: no interval
    # A (two rows of 1100 and 1110) and B (one of 1105) count the same: 1107 is above half of A's and all of B's.
    mixed = many_wells([1107.0, 1100.0, 1110.0, 1105.0], ["C", "A", "A", "B"])
    assert separation(mixed, "mud_density", [0], [1, 2, 3])[0] == pytest.approx((0.5 + 1.0) / 2)


def test_separation_of_like_wells_holds_a_half_and_of_unlike_ones_does_not():
    rng = np.random.default_rng(3)
    wells = np.repeat(list("ABCDEFGHIJ"), 20)
    same = many_wells(rng.normal(1200.0, 10.0, 200), wells)
    before = np.arange(0, 200, 5)
    rest = np.setdiff1d(np.arange(200), before)
    middle, low, high = separation(same, "mud_density", before, rest)
    assert low < 0.5 < high and low < middle < high
    shifted = np.where(np.isin(np.arange(200), before), 15.0, 0.0)
    middle, low, high = separation(many_wells(rng.normal(1200.0, 10.0, 200) + shifted, wells), "mud_density", before, rest)
    assert low > 0.6 and high <= 1.0
    assert separation(same, "mud_density", before, rest) == separation(same, "mud_density", before, rest)


def test_compare_gives_medians_and_counts(study):
    found = offset.compare(study, ["mud_density"], ["losses"]).set_index("section")
    upper = found.loc["17 1/2 in"]
    assert upper["before"] == 1110.0 and upper["rows_before"] == 1 and upper["rows_otherwise"] == 2 and upper["wells_otherwise"] == 2
    assert upper["higher_before"] == 0.5  # above A's 1100, below B's 1120


def test_events_a_length_of_each_formation(study):
    found = offset.events_by_formation(study)
    found = found[found["formation"] == "Clay"].set_index("event")
    # A was drilled to 700, B and C to 600 m; the clay starts at 50.
    assert found.loc["losses", "events per 1000 m"] == pytest.approx(1000.0 * 2 / (650.0 + 550.0 + 550.0))
    assert found.loc["tight hole", "wells"] == 1


GRADIENTS = table(
    {"w": "A", "md": [100.0, 250.0, 400.0, 600.0, 800.0], "p": [1050.0, 1060.0, 1150.0, 1200.0, 1210.0],
     "c": [1000.0, 1100.0, 1080.0, 1180.0, 1250.0], "f": [1400.0, 1500.0, 1550.0, 1600.0, 1650.0]},
    well="w", measured_depth=("md", "m"), pore=("p", "kg/m3"), collapse=("c", "kg/m3"), fracture=("f", "kg/m3"),
)  # fmt: skip


def test_the_open_hole_runs_from_the_shoe_to_the_row(aligned):
    study = offset.open_hole(aligned, GRADIENTS)
    # 200 m: shoe at 100, from 1050 to the value between 1060 and ... at 200 m, interpolated between the larger of pore and collapse
    assert study["open_hole.needed"].iloc[0] == pytest.approx(1050.0 + (1100.0 - 1050.0) * 100.0 / 150.0)
    assert study["open_hole.needed"].iloc[1] == pytest.approx(1100.0 + (1150.0 - 1100.0) * 50.0 / 150.0)
    assert study["open_hole.fracture"].iloc[1] == 1400.0
    assert study["open_hole.needed"].iloc[2] == 1200.0  # from the shoe at 500 m down to 600 m
    assert study["open_hole.above_needed"].iloc[2] == pytest.approx(100.0)
    assert study["open_hole.needed"].isna().tolist()[4:] == [True, True, True]  # B and C have no pressures
    assert set(study.reasons[study.reasons["step"] == "open_hole"]["row"]) == {6, 7, 8}


def test_flow_curve_goes_through_its_three_readings(aligned):
    study = offset.flow_curve(aligned)
    tau, k, n = (study[f"flow_curve.{c}"].iloc[0] for c in ("yield_stress", "consistency", "flow_index"))
    for speed in (3, 300, 600):
        wanted = study[f"viscometer.wall_stress_{speed}"].iloc[0]
        assert tau + k * study[f"viscometer.shear_rate_{speed}"].iloc[0] ** n == pytest.approx(wanted, rel=1e-9)
    assert np.isnan(study["flow_curve.flow_index"].iloc[5])  # 40 at 3 rpm above 38 at 300
    assert study.reasons[study.reasons["step"] == "flow_curve"]["row"].tolist() == [7]


def test_a_negative_yield_stress_is_no_flow_curve():
    frame = pd.DataFrame({"R600": [60.0, 60.0], "R300": [38.0, 38.0], "R3": [1.0, 5.0]})
    checks = records.read(frame, Mapping({"reading_600": "R600", "reading_300": "R300", "reading_3": "R3"}), units="metric")
    study = offset.flow_curve(offset.compute(checks))
    assert study["flow_curve.yield_stress"].isna().tolist() == [True, False]
    told = study.reasons[study.reasons["step"] == "flow_curve"]
    assert told["row"].tolist() == [2] and "negative yield stress" in told["reason"].iloc[0]


@pytest.mark.parametrize("n", [0.3, 0.62, 1.0])
def test_a_known_curve_is_found_again(n):
    rate = np.array([5.1, 510.7, 1021.4])
    found = offset.flow.through_three(2.0 + 0.4 * rate**n, rate)
    assert np.allclose(found, [2.0, 0.4, n], rtol=1e-7)


def test_curves_that_do_not_exist_are_missing_and_negative_yields_are_seen():
    rate = np.array([5.1, 510.7, 1021.4])
    assert np.isnan(offset.flow.through_three([5.0, 4.0, 6.0], rate)).all()
    assert offset.flow.through_three(-0.5 + 0.4 * rate**0.7, rate)[0] == pytest.approx(-0.5)


def test_equivalent_circulating_density_is_that_of_the_kernel(aligned):
    from lutum import metric

    study = offset.circulating(aligned)
    curve = [study[f"flow_curve.{c}"].iloc[2] for c in ("yield_stress", "consistency", "flow_index")]
    bores = metric.hydraulics.slot_pressure_gradient(
        1300.0, *curve, hole_diameter=np.array([12.415, 12.25]) * 25.4, pipe_diameter=127.0, flow_rate=2500.0
    ).pressure_gradient
    alone = metric.hydraulics.equivalent_density(
        fluid_density=1300.0, bottom_measured_depth=[500.0, 600.0], bottom_true_vertical_depth=[500.0, 600.0], friction_gradient=bores
    ).equivalent_density[-1]
    assert study["circulating.equivalent_density"].iloc[2] == pytest.approx(alone, rel=1e-12) and alone > 1300.0
    assert study["circulating.regime"].iloc[2] == "laminar"
    told = study.reasons[study.reasons["step"] == "circulating"].set_index("row")["reason"]
    assert "not pumped" in told[3] and "flow_index" in told[7]
    assert study["circulating.equivalent_density"].isna().tolist() == [False, True, False, False, False, True, False]
