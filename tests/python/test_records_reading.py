"""Reading tables of mud checks: units, decimal marks, gaps, dates, and that nothing unreadable vanishes."""

from datetime import datetime

import numpy as np
import pandas as pd
import pytest
from lutum import records, units
from lutum.records import ColumnMapping, Mapping


def one(cells, target="mud_density", **settings):
    """A column of these cells read as `target`: values and records."""
    settings.setdefault("unit", "kg/m3" if target == "mud_density" else "")
    frame = pd.DataFrame({"x": cells})
    checks = records.read(frame, Mapping({target: ColumnMapping("x", **settings)}), units="metric")
    return checks.data[target].tolist(), checks


def csv(tmp_path, text, name="checks.csv", encoding="utf-8"):
    path = tmp_path / name
    path.write_bytes(text.encode(encoding))
    return path


def test_a_csv_is_read_in_the_declared_units_with_raw_cells_beside(tmp_path):
    path = csv(tmp_path, "Well,MD [m],MW [g/cm3],YP,Note\nA-1,1000,1.25,10,x\nA-1,1100,,8,y\n")
    mapping = Mapping(
        {
            "well": "Well",
            "measured_depth": "MD [m]",
            "mud_density": "MW",
            "yield_point": ColumnMapping("YP", unit="lb/100 ft2"),
        },
        keep=["Note"],
    )
    checks = records.read(path, mapping, units="metric")
    assert checks.data["mud_density"].iloc[0] == pytest.approx(1250.0, rel=1e-12)
    assert np.isnan(checks.data["mud_density"].iloc[1])
    assert checks.data["yield_point"].iloc[0] == pytest.approx(
        10 * 0.4788025898, rel=1e-9
    )  # exchange standard's factor
    assert checks.units == {"measured_depth": "m", "mud_density": "kg/m3", "yield_point": "Pa"}
    assert checks.data[["file", "row"]].values.tolist() == [["checks.csv", 2], ["checks.csv", 3]]
    assert checks.raw["mud_density"].tolist() == ["1.25", ""]
    assert checks.raw.shape == checks.data.shape
    assert list(checks.data["Note"]) == ["x", "y"]
    assert checks.source_units == {
        "checks.csv": {"measured_depth": "m", "mud_density": "g/cm3", "yield_point": "0.01 lbf/ft2"}
    }
    assert checks.problems.empty and checks.log.empty


@pytest.mark.parametrize("kind", ["field", "metric", "si"])
def test_the_three_unit_sets_hold_the_same_density(kind):
    frame = pd.DataFrame({"MW [ppg]": [10.0]})
    checks = records.read(frame, Mapping({"mud_density": "MW [ppg]"}), units=kind)
    assert units.convert(
        checks.data["mud_density"].iloc[0], checks.units["mud_density"], "lbm/gal[US]"
    ) == pytest.approx(10.0, rel=1e-12)


def test_temperature_is_converted_with_its_offset():
    frame = pd.DataFrame({"T": [120.0, 32.0]})
    checks = records.read(frame, Mapping({"reading_temperature": ColumnMapping("T", unit="degF")}), units="metric")
    assert checks.data["reading_temperature"].tolist() == pytest.approx([48.888888888888886, 0.0], abs=1e-9)


def test_a_unit_row_states_the_units(tmp_path):
    path = csv(tmp_path, "Depth;MW;600 rpm\nft;lb/gal;\n1000;10.0;55\n")
    mapping = Mapping({"measured_depth": "Depth", "mud_density": "MW", "reading_600": "600 rpm"}, unit_row=2)
    checks = records.read(path, mapping)
    assert checks.data[["measured_depth", "mud_density", "reading_600"]].values.tolist() == [[1000.0, 10.0, 55.0]]
    assert checks.data["row"].tolist() == [3]
    without = records.read(path, Mapping({"measured_depth": ColumnMapping("Depth", unit="ft")}))
    assert without.problems["raw"].tolist() == ["ft"]  # the unit row is then a row of data that cannot be read


def test_two_header_rows_are_joined(tmp_path):
    path = csv(tmp_path, "Dial,Dial,Mud\n600,300,pH\n44,26,9.5\n")
    mapping = Mapping({"reading_600": "Dial 600", "reading_300": "Dial 300", "ph": "Mud pH"}, header_rows=[1, 2])
    checks = records.read(path, mapping)
    assert checks.data[["reading_600", "reading_300", "ph"]].values.tolist() == [[44.0, 26.0, 9.5]]
    assert checks.data["row"].tolist() == [3]


def test_the_mapping_beats_the_headings_unit_and_says_so():
    frame = pd.DataFrame({"MW [lb/gal]": [1.25]})
    checks = records.read(frame, Mapping({"mud_density": ColumnMapping("MW [lb/gal]", unit="g/cm3")}), units="metric")
    assert checks.data["mud_density"].iloc[0] == pytest.approx(1250.0)
    assert "the mapping's was used" in checks.problems["reason"].iloc[0].replace("the mapping 'g/cm3': ", "")
    same = records.read(frame, Mapping({"mud_density": ColumnMapping("MW", unit="ppg")}))
    assert same.problems.empty  # another spelling of the same unit is no contradiction


@pytest.mark.parametrize(
    ("unit", "reason"),
    [("", "no unit is stated"), ("furlong", "the unit 'furlong' is unknown"), ("psi", "no unit of density")],
)
def test_a_column_without_a_usable_unit_is_missing_and_listed_once(unit, reason):
    values, checks = one(["1.2", "1.3"], unit=unit)
    assert np.isnan(values).all()
    assert len(checks.problems) == 1 and reason in checks.problems["reason"].iloc[0]
    assert checks.problems["row"].iloc[0] == 1
    assert checks.raw["mud_density"].tolist() == ["1.2", "1.3"]


def test_a_funnel_time_is_never_converted():
    assert one([45.0], "funnel_viscosity", unit="s/qt")[0] == [45.0]
    values, checks = one([45.0], "funnel_viscosity", unit="s/L")
    assert np.isnan(values[0]) and "another unit" in checks.problems["reason"].iloc[0]
    assert one([45.0], "funnel_viscosity_per_litre", unit="s/L")[0] == [45.0]
    for unstated in ("", "s"):  # of a quart or of a litre?
        assert np.isnan(one([45.0], "funnel_viscosity", unit=unstated)[0][0])


def test_a_dial_reading_is_no_stress():
    values, checks = one([45.0], "reading_600", unit="lb/100 ft2")
    assert np.isnan(values[0]) and "dial reading" in checks.problems["reason"].iloc[0]


def test_units_without_dimension_are_told_apart():
    assert np.isnan(one([45.0], "reading_600", unit="%")[0][0])
    assert np.isnan(one([45.0], "water_fraction", unit="ppm")[0][0])
    values, checks = one([0.3], "flow_index")  # an input of a calculation, not in the table of columns
    assert values == [0.3] and checks.source_units["frame"] == {"flow_index": "Euc"}
    assert one([45.0], "reading_600")[1].source_units["frame"] == {"reading_600": "dial deg"}


def test_other_dial_speeds_are_known():
    assert one([12.0], "reading_5.1")[0] == [12.0]


# decimal marks


def test_a_declared_decimal_comma_is_read():
    values, checks = one(["1250,5", "1.250,5", "1 250"], decimal=",", thousands=".")
    assert values[:2] == [1250.5, 1250.5]
    assert np.isnan(values[2]) and len(checks.problems) == 1
    assert one(["1 250,5", "1\u202f250"], decimal=",", thousands=" ")[0] == [1250.5, 1250.0]


@pytest.mark.parametrize(
    ("cells", "advice"),
    [
        (["1,25", "1,3"], "can only be a decimal comma: set decimal = ','"),
        (["1,250.5"], "can only have commas between thousands: set thousands = ','"),
        (["1,250", "2,500"], "set decimal = ',' or thousands = ','"),
        (["1,25", "1,250,000"], "set decimal = ',' or thousands = ','"),
    ],
)
def test_an_undeclared_comma_is_refused_with_the_evidence(cells, advice):
    values, checks = one(cells)
    assert np.isnan(values).all()
    assert len(checks.problems) == len(cells)
    assert all(advice in text for text in checks.problems["what_to_do"])


def test_a_point_is_not_trusted_in_a_column_with_undeclared_commas():
    values, checks = one(["1,25", "1.250", "1300"])
    assert np.isnan(values[:2]).all() and values[2] == 1300.0
    assert checks.problems["raw"].tolist() == ["1,25", "1.250"]


def test_a_point_in_a_column_of_decimal_commas_is_a_problem():
    values, checks = one(["1,25", "1.25"], decimal=",")
    assert values[0] == 1.25 and np.isnan(values[1])
    assert "thousands = '.'" in checks.problems["what_to_do"].iloc[0]


def test_thousands_stand_between_groups_of_three():
    values, checks = one(["1,250", "1,25", "12,50.0"], thousands=",")
    assert values[0] == 1250.0 and np.isnan(values[1:]).all() and len(checks.problems) == 2


def test_numbers_of_a_frame_have_no_decimal_mark_to_understand():
    assert one([1.25, 1250.0], decimal=",")[0] == [1.25, 1250.0]
    assert one(np.array([1.25], "float32"))[1].raw["mud_density"].tolist() == ["1.25"]


@pytest.mark.parametrize("text", ["abc", "<5", "12 cP", "1.2.3", "1-2", "--", "inf", "1e"])
def test_text_among_numbers_is_missing_and_listed(text):
    values, checks = one(["1000", text])
    assert values[0] == 1000.0 and np.isnan(values[1])
    problem = checks.problems.iloc[0]
    assert (problem["row"], problem["column"], problem["source"], problem["raw"]) == (3, "mud_density", "x", text)
    assert problem["reason"] and problem["what_to_do"]


@pytest.mark.parametrize(
    ("text", "number"), [("1e3", 1000.0), (".5", 0.5), ("5.", 5.0), ("+7", 7.0), ("\u22125", -5.0), (" 9 ", 9.0)]
)
def test_plain_numbers_are_read(text, number):
    values, checks = one([text])
    assert values == [number] and checks.problems.empty


def test_hole_sizes_may_be_fractions_and_nothing_else_may():
    assert one(["12 1/4", '8 1/2"', "17-1/2", "9.5"], "hole_diameter", unit="in")[1].data[
        "hole_diameter"
    ].tolist() == pytest.approx([12.25 * 25.4, 8.5 * 25.4, 17.5 * 25.4, 9.5 * 25.4])
    assert np.isnan(one(["12 1/4"])[0][0])


# gaps


def test_empty_cells_are_missing_and_no_problem():
    values, checks = one(["", None, "1000"])
    assert np.isnan(values[:2]).all() and values[2] == 1000.0
    assert checks.problems.empty and checks.log.empty


def test_sentinels_match_whole_cells_within_the_tolerance_and_are_logged():
    values, checks = one(["-999.25", "-999.2500", "-999.2504", "-999.26", "-9992", "0"], missing=["-999.25"])
    assert np.isnan(values[:3]).all() and values[3:] == [-999.26, -9992.0, 0.0]
    assert checks.log["raw"].tolist() == ["-999.25", "-999.2500", "-999.2504"]
    assert set(checks.log["reason"]) == {"stands for missing: -999.25"} and checks.problems.empty


def test_a_wider_tolerance_is_the_users_choice():
    assert np.isnan(one(["-999.0"], missing=["-999.25"], tolerance=0.5)[0][0])
    assert one(["-999.0"], missing=["-999.25"])[0] == [-999.0]


def test_sentinels_are_compared_in_the_unit_of_the_table():
    values, _ = one(["-999.25", "10"], missing=["-999.25"], unit="lb/gal")
    assert np.isnan(values[0]) and values[1] == pytest.approx(1198.264273)


def test_word_tokens_match_without_case_and_only_whole():
    values, checks = one(["N/A", "n/a", "n/a 5"], missing=["n/a"])
    assert np.isnan(values).all() and len(checks.log) == 2 and checks.problems["raw"].tolist() == ["n/a 5"]


def test_a_sentinel_of_the_whole_table_spares_depths():
    frame = pd.DataFrame({"MD [m]": ["999.25", "1000"], "MW [kg/m3]": ["999.25", "1000"]})
    columns = {"measured_depth": "MD", "mud_density": "MW"}
    checks = records.read(frame, Mapping(columns, missing=["999.25"]), units="metric")
    assert checks.data["measured_depth"].tolist() == [999.25, 1000.0]
    assert np.isnan(checks.data["mud_density"].iloc[0])
    asked = Mapping(columns | {"measured_depth": ColumnMapping("MD", missing=["999.25"])})
    assert np.isnan(records.read(frame, asked, units="metric").data["measured_depth"].iloc[0])


def test_zero_is_missing_only_where_the_user_says_so():
    assert one(["0", "0.0"])[0] == [0.0, 0.0]
    values, checks = one(["0", "0.00", "1"], zero_is_missing=True)
    assert np.isnan(values[:2]).all() and values[2] == 1.0 and len(checks.log) == 2
    with pytest.raises(ValueError, match="zero_is_missing"):
        Mapping({"ph": "pH"}, missing=["0"])


# times


def test_dates_reach_year_9999_and_tokens_are_compared_as_dates():
    _, checks = one(["9999-12-31", "2013-05-08", "2013-05-08T06:30"], "time")
    assert checks.data["time"].dtype == "datetime64[s]"
    assert checks.data["time"].iloc[2] == datetime(2013, 5, 8, 6, 30)
    assert str(checks.data["time"].iloc[0])[:10] == "9999-12-31"
    _, checks = one(["9999-12-31T00:00:00", "2013-05-08"], "time", missing=["9999-12-31"])
    assert checks.data["time"].isna().tolist() == [True, False] and len(checks.log) == 1


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("2013-02-30", "no such date"),
        ("03/04/2013", "day, month and year are not certain"),
        ("yesterday", "not a date"),
        ("2013-05-08T06:00+01:00", "offset"),
    ],
)
def test_an_impossible_or_uncertain_date_is_missing_and_listed(text, reason):
    _, checks = one([text], "time")
    assert checks.data["time"].isna().all()
    assert reason in checks.problems["reason"].iloc[0]


def test_a_declared_date_format_and_utc():
    _, checks = one(["03.04.2013", "31.02.2013"], "time", date_format="%d.%m.%Y")
    assert checks.data["time"].iloc[0] == datetime(2013, 4, 3)
    assert checks.problems["raw"].tolist() == ["31.02.2013"]
    _, checks = one(["2013-05-08T06:00+01:00", "2013-05-08T06:00"], "time", utc=True)
    assert checks.data["time"].iloc[0] == datetime(2013, 5, 8, 5)
    assert "no offset" in checks.problems["reason"].iloc[0]


def test_day_and_time_of_day_in_two_columns():
    frame = pd.DataFrame({"Day": ["2007-07-05", "9999-12-31", "2007-07-06", ""], "Hour": ["22:00", "22:00", "", "22:00"]})
    column = ColumnMapping("Day", clock="Hour", missing=["9999-12-31"])
    checks = records.read(frame, Mapping({"time": column}))
    assert checks.data["time"].iloc[[0, 2]].tolist() == [datetime(2007, 7, 5, 22), datetime(2007, 7, 6)]
    assert checks.data["time"].isna().tolist() == [False, True, False, True]
    assert checks.problems.empty and checks.raw["time"].iloc[0] == "2007-07-05 22:00" and checks.unused["frame"] == ()
    with pytest.raises(ValueError, match=r"no column 'Clock' \(for time\)"):
        records.read(frame, Mapping({"time": ColumnMapping("Day", clock="Clock")}))


def test_a_number_is_no_date():
    _, checks = one([41402.0], "time")
    assert checks.data["time"].isna().all() and checks.problems["reason"].iloc[0] == "a number, not a date"


def test_constants_stand_in_every_row():
    frame = pd.DataFrame({"pH": [9.0, 9.5]})
    mapping = Mapping(
        {
            "ph": "pH",
            "well": ColumnMapping(constant="A-1"),
            "reading_temperature": ColumnMapping(constant="120", unit="degF"),
        }
    )
    checks = records.read(frame, mapping)
    assert checks.data["well"].tolist() == ["A-1", "A-1"] and checks.data["reading_temperature"].tolist() == [
        120.0,
        120.0,
    ]


# bad files


def test_a_missing_heading_is_an_error_that_names_it_and_those_present():
    frame = pd.DataFrame({"Depth": [1.0], "MW": [1.0]})
    with pytest.raises(ValueError, match=r"frame: has no column 'Density' \(for mud_density\).*'Depth', 'MW'"):
        records.read(frame, Mapping({"mud_density": ColumnMapping("Density", unit="g/cm3")}))


def test_rows_of_another_length_are_kept_and_listed(tmp_path):
    path = csv(tmp_path, "pH,MW [g/cm3]\n9.0,1.2\n9.1\n9,2,1.3\n\n9.3,1.4\n")
    checks = records.read(path, Mapping({"ph": "pH", "mud_density": "MW"}))
    assert checks.data["row"].tolist() == [2, 3, 4, 6]
    assert checks.problems["row"].tolist() == [3, 4, 5]
    assert "3 cells under 2 headings" in checks.problems["reason"].iloc[1]
    assert checks.problems["reason"].iloc[2] == "the row is blank: not read"


def test_letters_of_another_encoding_are_read_and_told(tmp_path):
    path = csv(tmp_path, "Well,pH\nÆ-1,9\n", encoding="cp1252")
    mapping = Mapping({"well": "Well", "ph": "pH"})
    checks = records.read(path, mapping)
    assert checks.data["well"].tolist() == ["Æ-1"] and "cp1252" in checks.problems["reason"].iloc[0]
    assert checks.problems["row"].isna().all()
    declared = Mapping({"well": "Well", "ph": "pH"}, encoding="cp1252")
    assert records.read(path, declared).problems.empty
    with pytest.raises(ValueError, match="is not ascii text"):
        records.read(path, Mapping({"ph": "pH"}, encoding="ascii"))


def test_a_byte_order_mark_and_a_quoted_line_break_do_not_disturb(tmp_path):
    path = csv(tmp_path, '\ufeffpH,Note\n9,"two\nlines"\n8,b\n')
    checks = records.read(path, Mapping({"ph": "pH"}, keep=["Note"]))
    assert checks.data["ph"].tolist() == [9.0, 8.0] and checks.data["row"].tolist() == [2, 3]


@pytest.mark.parametrize(("source", "error"), [("none.csv", FileNotFoundError), (42, TypeError)])
def test_a_source_that_is_no_table(source, error):
    with pytest.raises(error, match=r"no such file|is no table"):
        records.read(source, Mapping({"ph": "pH"}))


def test_an_unknown_kind_of_file_and_too_few_rows(tmp_path):
    with pytest.raises(ValueError, match=r"\.parquet files"):
        records.read(csv(tmp_path, "x", "a.pdf"), Mapping({"ph": "pH"}))
    with pytest.raises(ValueError, match="has 1 rows"):
        records.read(csv(tmp_path, "pH\n"), Mapping({"ph": "pH"}, unit_row=2))


def test_a_table_without_rows_gives_records_without_rows(tmp_path):
    checks = records.read(
        csv(tmp_path, "Well,Date,MW [g/cm3]\n"), Mapping({"well": "Well", "time": "Date", "mud_density": "MW"})
    )
    assert len(checks) == 0 and checks.data["time"].dtype == "datetime64[s]"
    assert records.audit(checks).findings.empty
