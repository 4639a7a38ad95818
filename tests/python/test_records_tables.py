"""Workbooks, Parquet files and frames of other libraries as sources of records."""

from datetime import date, datetime

import numpy as np
import pandas as pd
import pytest
from lutum import records
from lutum.records import ColumnMapping, Mapping

openpyxl = pytest.importorskip("openpyxl")

MAPPING = Mapping(
    {
        "well": "Well",
        "time": "Date",
        "measured_depth": ColumnMapping("MD", unit="m"),
        "mud_density": ColumnMapping("MW", unit="g/cm3"),
    }
)
FRAME = pd.DataFrame(
    {
        "Well": ["A-1", "A-1", "B-2"],
        "Date": pd.to_datetime(["2013-05-08 00:00", "2013-05-09 06:00", None]),
        "MD": [1000, 1100, 1200],
        "MW": [1.25, np.nan, 1.3],
    }
)


def sheet(tmp_path, *rows, name="book.xlsx", merge=(), percent=()):
    book = openpyxl.Workbook()
    page = book.active
    page.title = "Mud"
    for row in rows:
        page.append(row)
    for cells in merge:
        page.merge_cells(cells)
    for cell in percent:
        page[cell].number_format = "0.0 %"
    path = tmp_path / name
    book.save(path)
    book.close()
    return path


def check(checks, name):
    assert checks.problems.empty
    assert checks.data["file"].unique().tolist() == [name]
    assert checks.data["row"].tolist() == [2, 3, 4]
    assert checks.data["well"].tolist() == ["A-1", "A-1", "B-2"]
    assert checks.data["measured_depth"].tolist() == [1000.0, 1100.0, 1200.0]
    assert checks.data["mud_density"].tolist() == pytest.approx([1250.0, np.nan, 1300.0], nan_ok=True)
    assert checks.data["time"].tolist()[:2] == [datetime(2013, 5, 8), datetime(2013, 5, 9, 6)]
    assert checks.data["time"].isna().tolist() == [False, False, True]


def test_excel_round_trip(tmp_path):
    path = tmp_path / "checks.xlsx"
    FRAME.to_excel(path, index=False)
    check(records.read(path, MAPPING, units="metric"), "checks.xlsx")


def test_parquet_round_trip(tmp_path):
    pytest.importorskip("pyarrow")
    path = tmp_path / "checks.parquet"
    FRAME.to_parquet(path)
    check(records.read(path, MAPPING, units="metric"), "checks.parquet")


def test_pandas_frame():
    check(records.read(FRAME.set_index(np.array([7, 7, 9])), MAPPING, units="metric"), "frame")


def test_frame_of_another_library():
    pa = pytest.importorskip("pyarrow")
    pytest.importorskip("narwhals")
    check(records.read(pa.Table.from_pandas(FRAME), MAPPING, units="metric", name="arrow"), "arrow")


def test_lazy_frame():
    nw = pytest.importorskip("narwhals")
    check(records.read(nw.from_native(FRAME).lazy(), MAPPING, units="metric", name="lazy"), "lazy")


def test_data_read_twice_are_the_same_for_csv_and_excel(tmp_path):
    FRAME.to_csv(tmp_path / "checks.csv", index=False)
    FRAME.to_excel(tmp_path / "checks.xlsx", index=False)
    a, b = (records.read(tmp_path / f"checks.{kind}", MAPPING).data.drop(columns="file") for kind in ("csv", "xlsx"))
    pd.testing.assert_frame_equal(a, b)


def test_decimal_commas_are_understood_in_text_cells_only(tmp_path):
    path = sheet(tmp_path, ["MW [g/cm3]"], ["1,25"], [1.3])
    mapping = Mapping({"mud_density": ColumnMapping("MW", decimal=",")})
    assert records.read(path, mapping, units="metric").data["mud_density"].tolist() == pytest.approx([1250.0, 1300.0])


def test_a_formula_never_calculated_is_listed(tmp_path):
    path = sheet(tmp_path, ["pH", "MW [g/cm3]"], [9.0, "=1+0.25"], [8.0, 1.3])
    checks = records.read(path, Mapping({"ph": "pH", "mud_density": "MW"}), units="metric")
    assert np.isnan(checks.data["mud_density"].iloc[0]) and len(checks) == 2
    assert checks.problems[["row", "column", "reason"]].values.tolist() == [
        [2, "mud_density", "a formula that was never calculated"]
    ]


def test_a_unit_row_and_merged_cells(tmp_path):
    path = sheet(
        tmp_path,
        ["Well", "Dial", None, "MW"],
        [None, 600, 300, "SG"],
        ["A-1", 44, 26, 1.2],
        [None, 40, 24, 1.2],
        merge=["B1:C1", "A3:A4"],
    )
    mapping = Mapping({"well": "Well", "mud_density": "MW", "reading_600": "Dial"}, unit_row=2)
    checks = records.read(path, mapping, units="metric")
    assert checks.data["well"].tolist() == ["A-1", "A-1"]
    assert checks.log[["row", "column", "after"]].values.tolist() == [[4, "well", "A-1"]]
    assert checks.data["mud_density"].iloc[0] == pytest.approx(1200.0)
    dials = Mapping({"reading_600": "Dial 600", "reading_300": "Dial 300"}, header_rows=(1, 2))
    assert records.read(path, dials).data[["reading_600", "reading_300"]].values.tolist() == [
        [44.0, 26.0],
        [40.0, 24.0],
    ]


def test_a_cell_shown_in_percent_is_not_read_as_percent(tmp_path):
    path = sheet(tmp_path, ["Water [%]", "Oil [%]"], [0.8, 5.0], percent=["A2"])
    mapping = Mapping({"water_fraction": "Water", "oil_fraction": "Oil"})
    checks = records.read(path, mapping)
    assert np.isnan(checks.data["water_fraction"].iloc[0]) and checks.data["oil_fraction"].tolist() == [5.0]
    assert "set unit = 'fraction'" in checks.problems["what_to_do"].iloc[0]
    declared = Mapping({"water_fraction": ColumnMapping("Water", unit="fraction")})
    assert records.read(path, declared).data["water_fraction"].tolist() == pytest.approx([80.0])


def test_an_error_in_a_cell_is_listed(tmp_path):
    path = sheet(tmp_path, ["pH"], ["#REF!"], [9])
    checks = records.read(path, Mapping({"ph": "pH"}))
    assert checks.problems["raw"].tolist() == ["#REF!"] and checks.data["ph"].tolist()[1] == 9.0


def test_dates_and_whole_numbers_of_a_workbook_as_text(tmp_path):
    path = sheet(tmp_path, ["Id", "Date"], [1382, date(2013, 5, 8)], [7.0, datetime(2013, 5, 8, 6)])
    checks = records.read(path, Mapping({"wellbore_id": "Id", "time": ColumnMapping("Date", date_format="%d.%m.%Y")}))
    assert checks.data["wellbore_id"].tolist() == ["1382", "7"]
    assert checks.raw["time"].tolist() == ["2013-05-08", "2013-05-08T06:00:00"] and checks.data["time"].notna().all()


def test_several_sheets_must_be_told_apart(tmp_path):
    path = sheet(tmp_path, ["pH"], [9])
    book = openpyxl.load_workbook(path)
    book.create_sheet("Other").append(["pH"])
    book.save(path)
    with pytest.raises(ValueError, match=r"holds the sheets \['Mud', 'Other'\]; set sheet"):
        records.read(path, Mapping({"ph": "pH"}))
    with pytest.raises(ValueError, match="has no sheet 'Mus'"):
        records.read(path, Mapping({"ph": "pH"}, sheet="Mus"))
    assert records.read(path, Mapping({"ph": "pH"}, sheet="Mud")).data["ph"].tolist() == [9.0]


def test_the_second_column_of_a_heading_is_reached_by_its_number():
    frame = pd.DataFrame([[9.0, 8.0]], columns=["pH", "pH"])
    assert records.read(frame, Mapping({"ph": "pH#2"})).data["ph"].tolist() == [8.0]
    assert records.read(frame, Mapping({"ph": "pH"})).data["ph"].tolist() == [9.0]
