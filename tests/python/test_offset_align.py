"""Formation, section and days of hand-made wells with known answers, and everything that has no place."""

import numpy as np
import pandas as pd
import pytest
from lutum import offset, records
from lutum.offset.aligning import section_label
from lutum.offset.planning import lean, year_of
from lutum.records import ColumnMapping, Mapping


def study_of(wells, depths, holes=None, times=None, units="metric"):
    frame = pd.DataFrame({"Well": wells, "MD": depths, "MW": 1.2, "Hole": holes if holes else None, "Time": times if times else None})
    columns = {"well": "Well", "measured_depth": ColumnMapping("MD", unit="m"), "mud_density": ColumnMapping("MW", unit="g/cm3")}
    if holes:
        columns["hole_diameter"] = ColumnMapping("Hole", unit="in")
    if times:
        columns["time"] = ColumnMapping("Time", date_format="%Y-%m-%d %H:%M")
    return offset.compute(records.read(frame, Mapping(columns), units=units, name="checks"))


def table(frame, units="metric", **columns):
    return offset.table(pd.DataFrame(frame), unit_set=units, **columns)


WELLS = table({"w": ["A", "B"], "rt": [25.0, 30.0], "spud": ["2020-01-01", "2021-01-01"]}, well="w", rotary_table_above_sea=("rt", "m"), time="spud")
SURVEYS = table(
    {"w": ["A", "A", "B", "B"], "md": [0.0, 1000.0, 0.0, 50.0 * np.pi], "inc": [0.0, 0.0, 0.0, 90.0], "azi": [0.0, 0.0, 40.0, 40.0]},
    well="w", measured_depth=("md", "m"), inclination="inc", azimuth="azi",
)  # fmt: skip
TOPS = table(
    {"w": ["A", "A", "A"], "f": ["Clay", "Sand", "Marl"], "md": [125.0, 225.0, 425.0]},
    well="w", formation="f", measured_depth=("md", "m"),
)  # fmt: skip
CASING = table(
    {"w": ["A", "A", "A"], "md": [150.0, 500.0, 900.0], "hole": [36.0, 17.5, 12.25]},
    well="w", measured_depth=("md", "m"), hole_diameter=("hole", "in"),
)  # fmt: skip


def test_depths_formations_and_sections():
    study = study_of(["A"] * 5, [130.0, 175.0, 325.0, 500.0, 700.0])
    study = offset.align(study, wells=WELLS, surveys=SURVEYS, tops=TOPS, casing=CASING)
    assert study["vertical_depth"].tolist() == [130.0, 175.0, 325.0, 500.0, 700.0]
    assert study["below_sea"].tolist() == [105.0, 150.0, 300.0, 475.0, 675.0]
    assert study["formation"].tolist() == ["Clay", "Clay", "Sand", "Marl", "Marl"]
    assert np.allclose(study["formation_fraction"], [0.05, 0.5, 0.5, np.nan, np.nan], equal_nan=True)
    assert study["below_top"].tolist() == [5.0, 50.0, 100.0, 75.0, 275.0]
    assert study["section"].tolist() == ["36 in", "17 1/2 in", "17 1/2 in", "17 1/2 in", "12 1/4 in"]
    assert list(study["section"].cat.categories) == ["36 in", "17 1/2 in", "12 1/4 in"]
    assert np.allclose(study["shoe_depth"], [np.nan, 150.0, 150.0, 150.0, 500.0], equal_nan=True)
    assert study.unit("below_sea") == "m" and "minimum-curvature" in study.assumptions["align"]


def test_the_bent_well_uses_its_own_survey_and_elevation():
    study = offset.align(study_of(["B"], [25.0 * np.pi]), wells=WELLS, surveys=SURVEYS)
    assert study["below_sea"].iloc[0] == pytest.approx(100.0 * np.sin(np.pi / 4) - 30.0)
    assert study["inclination"].iloc[0] == pytest.approx(45.0)
    assert "formation" not in study.data


def test_what_has_no_place_says_why():
    study = study_of(["A", "A", "A", "C", "A"], [1000.4, 1010.0, None, 500.0, 50.0])
    study = offset.align(study, wells=WELLS, surveys=SURVEYS, tops=TOPS, casing=CASING)
    assert study["vertical_depth"].tolist()[0] == 1000.0
    assert study["vertical_depth"].isna().tolist() == [False, True, True, True, False]
    told = study.reasons[study.reasons["step"] == "align"]

    def words(row):
        return " | ".join(told[told["row"] == row]["reason"])

    assert "placed at the station" in words(2) and told[told["row"] == 2]["severity"].iloc[0] == "caution"
    assert "not extrapolated" in words(3) and "no place" in words(4) and "not in the wells table" in words(5)
    assert "shallower than the first formation top" in words(6)
    assert study["formation"].isna().tolist() == [False, False, True, True, True]


def test_the_reported_hole_size_rules_and_a_conflict_is_told():
    study = study_of(["A", "A", "A"], [500.3, 600.0, 600.0], holes=[17.5, 17.5, 16.0])
    study = offset.align(study, wells=WELLS, surveys=SURVEYS, casing=CASING)
    assert study["section"].tolist() == ["17 1/2 in", "17 1/2 in", "16 in"]
    told = study.reasons[study.reasons["step"] == "align"].set_index("row")["reason"]
    assert 2 not in told.index  # within the rounding of depths
    assert "different sections" in told[3] and "not among the casing points" in told[4]


def test_days_are_counted_from_the_spud():
    study = study_of(["A", "B"], [130.0, 10.0], times=["2020-01-03 12:00", "2020-12-31 00:00"])
    study = offset.align(study, wells=WELLS, surveys=SURVEYS)
    assert study["days_since_spud"].tolist() == [2.5, -1.0]


def test_a_formation_of_the_records_is_kept_as_reported():
    frame = pd.DataFrame({"Well": ["A"], "MD": [175.0], "Formation": ["as the geologist said"]})
    columns = {"well": "Well", "measured_depth": ColumnMapping("MD", unit="m"), "formation": "Formation"}
    study = offset.compute(records.read(frame, Mapping(columns), units="metric"))
    aligned = offset.align(study, wells=WELLS, surveys=SURVEYS, tops=TOPS)
    assert aligned["formation"].tolist() == ["Clay"] and aligned["formation_reported"].tolist() == ["as the geologist said"]
    again = offset.align(aligned, wells=WELLS, surveys=SURVEYS, tops=TOPS)
    assert list(again.data) == list(aligned.data) and len(again.reasons) == len(aligned.reasons)


def test_feet_and_metres_cannot_meet_unnoticed():
    feet = study_of(["A"], [175.0], units="field")
    study = offset.align(feet, wells=WELLS, surveys=SURVEYS, tops=TOPS, casing=CASING)
    assert study["below_sea"].iloc[0] == pytest.approx(150.0 / 0.3048) and study["formation_fraction"].iloc[0] == pytest.approx(0.5)
    assert study.unit("below_sea") == "ft"
    with pytest.raises(TypeError, match="make it with lutum.offset.table"):
        offset.align(feet, wells=pd.DataFrame({"well": ["A"]}))
    with pytest.raises(ValueError, match="say its unit"):
        table({"md": [1.0]}, measured_depth="md")
    with pytest.raises(ValueError, match="no column 'depth'"):
        table({"md": [1.0]}, measured_depth=("depth", "m"))
    with pytest.raises(ValueError, match="no column is called 'dept'"):
        table({"md": [1.0]}, dept=("md", "m"))


def test_cells_of_a_table_that_are_no_numbers_are_listed():
    made = table({"md": [1.0, "deep", None]}, measured_depth=("md", "m"))
    assert made.data["measured_depth"].isna().tolist() == [False, True, True]
    assert made.problems[["row", "column", "raw"]].values.tolist() == [[1, "measured_depth", "deep"]]


def test_a_well_named_twice_is_refused():
    twice = table({"w": ["A", "A"], "rt": [1.0, 2.0]}, well="w", rotary_table_above_sea=("rt", "m"))
    with pytest.raises(ValueError, match="names A twice"):
        offset.align(study_of(["A"], [10.0]), wells=twice)


def test_points_of_a_planned_well():
    tops = table({"f": ["Clay", "Sand"], "md": [100.0, 500.0], "bs": [80.0, 480.0]}, formation="f", measured_depth=("md", "m"), below_sea=("bs", "m"))
    well = table(
        {"rt": [20.0], "end": [600.0], "tvd": [600.0], "spud": ["2020-07-01"]},
        rotary_table_above_sea=("rt", "m"), end_measured_depth=("end", "m"), vertical_depth=("tvd", "m"), time="spud",
    )  # fmt: skip
    points = offset.planned(tops, well, step=50.0, unit_set="metric").data
    assert np.allclose(points["vertical_depth"], points["measured_depth"]) and np.allclose(points["inclination"], 0.0, atol=1e-6)
    assert {100.0, 495.0, 500.0, 600.0} <= set(points["measured_depth"])
    at = points.set_index("measured_depth")
    assert at.loc[300.0, "formation"] == "Clay" and at.loc[300.0, "formation_fraction"] == pytest.approx(0.5)
    assert at.loc[500.0, "formation"] == "Sand" and at.loc[600.0, "below_top"] == pytest.approx(100.0)
    assert points["spud_year"].iloc[0] == pytest.approx(2020.4979, abs=1e-3)
    with pytest.raises(ValueError, match="step"):
        offset.planned(tops, well, step=0.0, unit_set="metric")


def test_small_helpers():
    assert [section_label(x) for x in (26.0, 17.5, 12.25, 8.5, 6.125, 9.875)] == ["26 in", "17 1/2 in", "12 1/4 in", "8 1/2 in", "6 1/8 in", "9 7/8 in"]
    assert section_label(12.2) == "12.2 in"
    assert lean(30.0) == pytest.approx(0.25)
    assert np.isnan(year_of(np.array(["NaT"], "datetime64[s]"))).all()
