"""The rules of the audit, each with a planted fault and with a clean case."""

import numpy as np
import pandas as pd
import pytest
from lutum import records
from lutum.records import ColumnMapping, Mapping, Options, audit

UNITS = {
    "measured_depth": "m", "total_depth": "m", "hole_diameter": "in", "mud_density": "g/cm3", "plastic_viscosity": "cP", "yield_point": "lb/100 ft2",
    "gel_strength_10_s": "lb/100 ft2", "gel_strength_10_min": "lb/100 ft2", "reading_temperature": "degF", "water_fraction": "%",
    "oil_fraction": "%", "solids_fraction": "%", "chloride": "mg/L", "calcium": "mg/L", "funnel_viscosity": "s/qt", "dye_volume": "mL",
}  # fmt: skip


def checks(units_of=None, kind="field", name="frame", **columns):
    """Records with these columns, written in UNITS or `units_of`."""
    written = UNITS | (units_of or {})
    mapping = Mapping({c: ColumnMapping(c, unit=written.get(c, "")) for c in columns})
    return records.read(pd.DataFrame(columns), mapping, units=kind, name=name)


def found(rule_name, data, **settings):
    """Findings of one rule: rows (as a spreadsheet counts), columns, severities; and the audit."""
    result = audit(data, rules=[rule_name], **settings)
    assert result.skipped.empty, result.skipped["reason"].tolist()
    return list(
        zip(result.findings["row"], result.findings["column"], result.findings["severity"], strict=True)
    ), result


# gaps


def test_zero_where_zero_is_impossible_or_improbable():
    data = checks(mud_density=[1.2, 0.0, np.nan], yield_point=[10.0, 12.0, 0.0], chloride=[0.0, 0.0, 0.0])
    rows, result = found("zero_as_missing", data)
    assert rows == [(3, "mud_density", "error"), (4, "yield_point", "warning")]
    assert set(result.findings["action"]) == {"missing"}
    assert found("zero_as_missing", checks(mud_density=[1.2, 1.3], yield_point=[10.0, 9.0]))[0] == []


def test_a_lonely_zero_among_readings_far_from_zero():
    chloride = [40000.0, 41000.0, 0.0, 42000.0, 40000.0, 39000.0, 40000.0]
    assert found("zero_as_missing", checks(chloride=chloride))[0] == [(4, "chloride", "warning")]
    falling_to_nothing = [9000.0, 4000.0, 0.0, 900.0, 500.0, 300.0, 100.0]
    assert found("zero_as_missing", checks(chloride=falling_to_nothing))[0] == []
    half_empty = [40000.0] * 5 + [0.0] * 4
    assert found("zero_as_missing", checks(chloride=half_empty))[0] == []
    two_wells = checks(well=["A"] * 7 + ["B"] * 3, chloride=[*chloride, 0.0, 0.0, 0.0])
    assert found("zero_as_missing", two_wells)[0] == [(4, "chloride", "warning")]  # well B has no chloride at all


def test_zero_is_judged_in_the_unit_of_the_table():
    cold = checks({"reading_temperature": "degC"}, reading_temperature=[0.0] + [49.0] * 6)
    assert found("zero_as_missing", cold)[0] == [(2, "reading_temperature", "warning")]
    assert cold.data["reading_temperature"].iloc[0] == pytest.approx(32.0)


def test_sentinel_numbers():
    data = checks(
        {"mud_density": "lb/gal"},
        kind="metric",
        mud_density=[-999.25, 10.0, 9999.0],
        measured_depth=[999.25, -999.25, 9999.0],
    )
    rows, _ = found("sentinel_number", data)
    assert sorted(rows) == [(2, "mud_density", "error"), (3, "measured_depth", "error"), (4, "mud_density", "error")]
    assert found("sentinel_number", checks(chloride=[9999.0, 999.0], calcium=[np.nan, 1.0]))[0] == []  # usual readings


def test_sentinel_dates():
    data = checks(time=["9999-12-31", "1900-01-01", "1970-01-01", "2013-05-08", None])
    rows, result = found("sentinel_date", data)
    assert [r for r, _, _ in rows] == [2, 3]
    clean = result.apply(data, ["sentinel_date"])
    assert clean.data["time"].isna().tolist() == [True, True, False, False, True]
    assert clean.raw["time"].tolist()[0] == "9999-12-31"


# ranges


def test_values_outside_the_limits_and_the_usual_range():
    data = checks(ph=[9.0, 15.0, 2.0, np.nan], mud_density=[1.2, 0.001, 0.9, 2.3])
    rows, result = found("out_of_range", data)
    assert sorted(rows) == [
        (3, "mud_density", "error"),
        (3, "ph", "error"),
        (4, "mud_density", "warning"),
        (4, "ph", "warning"),
    ]
    reasons = " ".join(result.findings["reason"])
    assert "common practice, no source" in reasons and "limits of the calculations" in reasons
    assert "7.51086 lb/gal" in reasons  # 0.9 g/cm3 in the unit of the records
    assert found("out_of_range", checks(ph=[9.0], mud_density=[1.2], water_fraction=[100.0]))[0] == []


def test_out_of_range_leaves_gaps_to_their_own_rules():
    assert found("out_of_range", checks(mud_density=[0.0, -999.25]))[0] == []


# repeats


def test_duplicate_rows_are_those_after_the_first():
    data = checks(well=["A", "A", "B", "A"], ph=["9.0", "9.0", "9.0", "9.00"])
    rows, result = found("duplicate_row", data)
    assert [r for r, _, _ in rows] == [3]
    assert result.findings["reason"].iloc[0] == "the same as row 2"
    clean = result.apply(data, ["duplicate_row"])
    assert clean.data["row"].tolist() == [2, 4, 5] and len(data) == 4
    assert clean.log[["rule", "row", "raw"]].values.tolist() == [["duplicate_row", 3, "A, 9.0"]]


def test_duplicates_across_files_name_the_file():
    both = checks(ph=[9.0], name="a").join(checks(ph=[9.0], name="b"))
    _, result = found("duplicate_row", both)
    assert result.findings[["file", "reason"]].values.tolist() == [["b", "the same as row 2 of a"]]


COPIED = {
    "well": ["A"] * 4,
    "measured_depth": [1000.0, 1100.0, 1200.0, 1300.0],
    "mud_density": [1.20, 1.20, 1.20, 1.22],
    "ph": [9.5, 9.5, 9.5, 9.4],
    "chloride": [4000.0, 4000.0, 4000.0, 4000.0],
    "dye_volume": [5.0, 5.0, 5.5, 6.0],
}


def test_copied_forward_names_the_columns_and_the_run():
    rows, result = found("copied_forward", checks(kind="metric", **COPIED))
    assert [(r, s) for r, _, s in rows] == [(3, "warning"), (4, "note")]
    reasons = result.findings["reason"].tolist()
    assert "4 of 4 readings are those of row 2 (mud_density, chloride, dye_volume, ph)" in reasons[0]
    assert "depth went from 1000 m to 1100 m" in reasons[0] and "copy 1 in a row" in reasons[0]
    assert "3 of 4 readings" in reasons[1] and "copy 2 in a row" in reasons[1]


def test_copied_forward_needs_a_move_the_same_well_and_two_tests():
    assert found("copied_forward", checks(**COPIED | {"measured_depth": [1000.0] * 4}))[0] == []
    assert found("copied_forward", checks(**COPIED | {"well": list("ABCD")}))[0] == []
    assert len(found("copied_forward", checks(**COPIED), options=Options(copied_readings=4))[0]) == 1
    one_test = {
        "measured_depth": [1.0, 2.0],
        "ph": [9.0, 9.5],
        **{f"reading_{s}": [40.0, 40.0] for s in (600, 300, 6, 3)},
    }
    assert found("copied_forward", checks(**one_test))[0] == []
    gaps = COPIED | {"ph": [np.nan] * 4, "chloride": [0.0] * 4}
    assert found("copied_forward", checks(**gaps))[0] == []  # neither gaps nor zeros are readings


def test_copied_forward_counts_no_reading_twice():
    derived = {
        "plastic_viscosity": [18.0, 18.0],
        "yield_point": [8.0, 8.0],
        "reading_600": [44.0, 44.0],
        "reading_300": [26.0, 26.0],
    }
    data = checks(measured_depth=[1.0, 2.0], ph=[9.5, 9.5], **derived)
    _, result = found("copied_forward", data)
    assert "3 of 3 readings" in result.findings["reason"].iloc[0]  # pH and the two dial readings


# retort


def test_water_and_oil_above_100():
    data = checks(water_fraction=[80.0, 80.0, np.nan], oil_fraction=[22.0, 21.0, 50.0])
    assert found("retort_over_100", data)[0] == [(2, "water_fraction", "error")]  # 101 is within two reading errors
    assert found("retort_over_100", data, options=Options(retort_error=0.1))[0][1][0] == 3


def test_reported_solids_against_the_difference():
    data = checks(
        kind="si", water_fraction=[80.0, 80.0, 80.0], oil_fraction=[5.0, 5.0, 5.0], solids_fraction=[15.0, 12.0, np.nan]
    )
    rows, result = found("reported_solids", data)
    assert rows == [(3, "solids_fraction", "warning")]
    assert "make 97 %, not 100" in result.findings["reason"].iloc[0]
    clean = result.apply(data, ["reported_solids"])
    assert clean.data["solids_fraction"].tolist()[:2] == pytest.approx([0.15, 0.15])


def test_solids_corrected_for_salt_are_recognised():
    data = checks(
        water_fraction=[70.0, 70.0], oil_fraction=[0.0, 0.0], chloride=[150e3, 150e3], solids_fraction=[22.7, 10.0]
    )
    _, result = found("reported_solids", data)
    reasons = result.findings.set_index("row")["reason"]
    assert "corrected for salt" in reasons[2] and "corrected for salt" not in reasons[3]


# viscometer

DIALS = {"reading_600": 44.0, "reading_300": 26.0, "reading_200": 20.0, "reading_6": 5.0, "reading_3": 4.0}


def dials(**changed):
    return {name: [value] for name, value in (DIALS | changed).items()}


def test_dial_readings_rise_with_speed():
    assert found("falling_dial", checks(**dials()))[0] == []
    assert found("falling_dial", checks(**dials(reading_3=6.0)))[0] == [(2, "reading_6", "warning")]
    rows, result = found("falling_dial", checks(**dials(reading_3=12.0)))
    assert rows == [(2, "reading_6", "error")]
    assert "5 at 6 rpm, 12 at 3 rpm: falls by 7" in result.findings["reason"].iloc[0]
    assert result.findings["action"].tolist() == [""]
    equal = dials(reading_3=5.0)
    assert found("falling_dial", checks(**equal))[0] == []


def test_a_missing_dial_reading_hides_nothing():
    rows, result = found("falling_dial", checks(**dials(reading_200=np.nan, reading_6=30.0)))
    assert rows == [(2, "reading_300", "error")] and "30 at 6 rpm" in result.findings["reason"].iloc[0]
    assert found("falling_dial", checks(**dials(reading_3=np.nan, reading_6=np.nan)))[0] == []
    assert found("falling_dial", checks(**dials(reading_3=np.nan, reading_6=30.0, reading_200=20.0)))[0][0] == (
        2,
        "reading_200",
        "error",
    )


def test_a_dial_reading_is_held_against_the_highest_of_all_slower_ones():
    rows, result = found("falling_dial", checks(**dials(reading_3=12.0, reading_200=8.0)))
    assert rows == [(2, "reading_6", "error"), (2, "reading_200", "error")]
    assert "8 at 200 rpm, 12 at 3 rpm" in result.findings["reason"].iloc[1]


def test_falling_gels_as_dial_readings_and_as_stress():
    data = checks(gel_10_s=[4.0, 10.0, np.nan], gel_10_min=[10.0, 4.0, 5.0], gel_30_min=[12.0, 12.0, 4.0])
    assert found("falling_gels", data)[0] == [(3, "gel_10_min", "error"), (4, "gel_30_min", "warning")]
    data = checks(kind="si", gel_strength_10_s=[4.0, 10.0], gel_strength_10_min=[10.0, 4.0])
    rows, result = found("falling_gels", data)
    assert rows == [(3, "gel_strength_10_min", "error")]
    assert "4 after 10 min, 10 after 10 s: falls by 6" in result.findings["reason"].iloc[0]


def test_yield_point_and_plastic_viscosity_from_the_dial():
    base = {"reading_600": [44.0] * 3, "reading_300": [26.0] * 3}
    data = checks({"yield_point": "Pa"}, yield_point=[4.0, 8.0, np.nan], **base)  # 8 lb/100 ft2 is 3.83 Pa
    rows, result = found("yield_point_from_dial", data)
    assert rows == [(3, "yield_point", "warning")]
    assert "agree if the number is in lb/100 ft2" in result.findings["reason"].iloc[0]
    clean = result.apply(data, result.findings.index)
    assert clean.data["yield_point"].iloc[1] == pytest.approx(8.0)
    data = checks(plastic_viscosity=[18.0, 26.0, 18.5], **base)
    assert found("plastic_viscosity_from_dial", data)[0] == [(3, "plastic_viscosity", "warning")]


# depths and dates


def test_depth_below_the_total_depth():
    data = checks(well=["A", "A", "B", "C"], measured_depth=[1000.0, 1200.0, 5000.0, 10.0])
    wells = checks(well=["A", "B", "B"], total_depth=[1100.0, 4000.0, 6000.0], kind="si")
    rows, result = found("below_total_depth", data, wells=wells)
    assert rows == [(3, "measured_depth", "error"), (4, "measured_depth", "note"), (5, "measured_depth", "note")]
    assert "below the wellbore's total depth of 3608.92 ft" in result.findings["reason"].iloc[0]
    level = checks(well=["A"], measured_depth=[1100.0])
    assert found("below_total_depth", level, wells=wells)[0] == []
    skipped = audit(data, rules=["below_total_depth"]).skipped
    assert skipped["reason"].tolist() == ["no table of wells was given (wells=)"]


def test_a_date_before_that_of_a_shallower_check():
    days = ["2013-05-01", "2013-05-02", "2013-05-09", "2013-05-04", "9999-12-31", None]
    data = checks(measured_depth=[100.0, 200.0, 300.0, 400.0, 150.0, 600.0], time=days)
    rows, result = found("date_against_depth", data)
    assert rows == [(5, "time", "warning")]
    assert "2013-05-04 at 1312.34 ft, but 2013-05-09 already at 984.252 ft (row 4)" in result.findings["reason"].iloc[0]
    same_depth = checks(measured_depth=[100.0, 100.0, 100.0], time=days[:3][::-1])
    assert found("date_against_depth", same_depth)[0] == []


def test_dates_that_run_back_in_the_whole_well_are_one_finding():
    days = [f"2013-05-{d:02}" for d in (9, 8, 7, 6, 5, 4)]
    data = checks(well=["A"] * 6, measured_depth=[100.0, 200.0, 300.0, 400.0, 500.0, 600.0], time=days)
    rows, result = found("date_against_depth", data)
    assert len(rows) == 1 and "whole well (5 of 5 steps)" in result.findings["reason"].iloc[0]
    assert result.rows(0) == (0, 1, 2, 3, 4, 5)
    two_a_depth = checks(
        measured_depth=np.repeat([100.0, 200.0, 300.0, 400.0, 500.0], 2),
        time=[f"2013-05-{d}" for d in (20, 21, 18, 19, 16, 17, 14, 15, 12, 13)],
    )
    assert "4 of 4 steps" in found("date_against_depth", two_a_depth)[1].findings["reason"].iloc[0]
    assert found("date_against_depth", checks(measured_depth=[1.0, 2.0, 3.0], time=days[:3][::-1]))[0] == []


# units


def offset_wells(column, good, strange, **more):
    names = np.repeat(list("ABCDEF"), 4)
    values = [v * f for v in good for f in (0.95, 1.0, 1.0, 1.05)] + [strange] * 4
    return names.tolist(), {column: values, **more}


@pytest.mark.parametrize(
    ("column", "good", "strange", "likely", "repaired"),
    [
        ("mud_density", [1.20, 1.25, 1.3, 1.22, 1.28], 10.4, "lb/gal", 10.4),
        ("mud_density", [1.20, 1.25, 1.3, 1.22, 1.28], 1260.0, "kg/m3", 10.515),
        ("reading_temperature", [120.0, 120.0, 120.0, 118.0, 122.0], 49.0, "degC", 120.2),
        ("plastic_viscosity", [20.0, 22.0, 18.0, 21.0, 19.0], 2000.0, "decimal point", 20.0),
    ],
)
def test_a_well_in_another_unit(column, good, strange, likely, repaired):
    names, columns = offset_wells(column, good, strange)
    data = checks(well=names, **columns)
    rows, result = found("unit_mistake", data)
    assert rows == [(22, column, "warning")]
    finding = result.findings.iloc[0]
    assert finding["well"] == "F" and likely in finding["proposal"]
    clean = result.apply(data, ["unit_mistake"])
    assert clean.data[column].iloc[20:].tolist() == pytest.approx([repaired] * 4, rel=1e-3)
    assert clean.data[column].iloc[:20].equals(data.data[column].iloc[:20]) and len(clean.log) == 4


def test_wells_that_only_differ_are_left_alone():
    names, columns = offset_wells("mud_density", [1.0, 1.2, 1.5, 1.8, 1.3], 2.1)
    assert found("unit_mistake", checks(well=names, **columns))[0] == []
    names, columns = offset_wells(
        "plastic_viscosity", [20.0, 22.0, 18.0, 21.0, 19.0], 70.0
    )  # far, but by no unit's factor
    assert found("unit_mistake", checks(well=names, **columns))[0] == []
    # 17 Pa would be 8.1 read as lb/100 ft2, nearer to 10, but is not far enough away to be judged
    names, columns = offset_wells("yield_point", [10.0] * 5, 17.0)
    assert found("unit_mistake", checks({"yield_point": "Pa"}, well=names, **columns))[0] == []


def test_wells_are_compared_within_their_section():
    names, columns = offset_wells("plastic_viscosity", [20.0, 22.0, 18.0, 21.0, 19.0], 2000.0)
    data = checks(well=names, hole_section=["12 1/4"] * 20 + ["8 1/2"] * 4, **columns)
    skipped = audit(data, rules=["unit_mistake"])
    assert skipped.findings.empty
    unknown = audit(checks(well=names, hole_section=[None] * 24, **columns), rules=["unit_mistake"])
    assert unknown.findings.empty and len(unknown.skipped) == 1
    _, result = found("unit_mistake", checks(well=names, hole_section=["8 1/2"] * 24, **columns))
    assert "in section 8 1/2" in result.findings["reason"].iloc[0]
    data = checks(well=names, hole_diameter=[8.5] * 24, **columns)
    _, result = found("unit_mistake", data)
    assert "in 8.5 in hole" in result.findings["reason"].iloc[0]
    few = checks(well=["A"] * 4 + ["B"] * 4, mud_density=[1.2] * 4 + [10.0] * 4)
    assert "no section has more than 3 wells" in audit(few, rules=["unit_mistake"]).skipped["reason"].iloc[0]
