"""The mapping: saved and read back, refused when wrong, proposed with reasons and never applied unasked."""

import pandas as pd
import pytest
from lutum import records
from lutum.records import ColumnMapping, Mapping, suggest_mapping
from lutum.records.columns import TABLE, find, physical_limits

FULL = Mapping(
    {
        "well": "Well \"x\" \\ y",
        "time": ColumnMapping("Date", date_format="%d.%m.%Y", missing=["9999-12-31"]),
        "measured_depth": ColumnMapping("MD", unit="m", missing=["-999.25"]),
        "yield_point": ColumnMapping("YP", unit="Pa", zero_is_missing=True, note="0 was typed for a gap"),
        "mud_density": ColumnMapping("Tetthet æøå", unit="g/cm3", decimal=",", thousands=".", tolerance=0.1),
        "reading_5.1": "5,1 rpm",
        "reading_temperature": ColumnMapping(constant="120", unit="degF"),
    },
    header_rows=(1, 2), unit_row=3, sheet="Mud", delimiter=";", encoding="cp1252", missing=["-999.25", "n/a"], keep=["Remarks\t1"],
)  # fmt: skip


@pytest.mark.parametrize("name", ["m.toml", "m.json"])
def test_saved_and_read_back_it_is_the_same(tmp_path, name):
    path = tmp_path / name
    FULL.save(path)
    assert Mapping.load(path) == FULL
    assert "tolerance" not in Mapping({"ph": "pH"}).to_dict()["columns"]["ph"]  # only what differs from the defaults


def test_the_saved_text_is_readable(tmp_path):
    Mapping({"mud_density": ColumnMapping("MW", unit="g/cm3")}, missing=["-999.25"]).save(tmp_path / "m.toml")
    text = (tmp_path / "m.toml").read_text()
    assert text == 'missing = ["-999.25"]\n\n[columns.mud_density]\nsource = "MW"\nunit = "g/cm3"\n'


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('[columns.mud_density]\nsource = "x"\nunits = "g/cm3"', "unknown entry 'units'; did you mean 'unit'"),
        ('[columns.mud_weight]\nsource = "x"', "no column is called 'mud_weight'"),
        ("colums = 1\n", "the mapping has an unknown entry 'colums'"),
        ('[columns.ph]\nunit = "-"', "give source="),
        ("a = = b", "m.toml: "),
    ],
)
def test_a_wrong_file_names_itself_and_the_entry(tmp_path, text, message):
    (tmp_path / "m.toml").write_text(text)
    with pytest.raises(ValueError, match=message) as error:
        Mapping.load(tmp_path / "m.toml")
    assert str(error.value).startswith("m.toml: ")


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: ColumnMapping("x", decimal=";"), "decimal=';'"),
        (lambda: ColumnMapping("x", decimal=",", thousands=","), "thousands=','"),
        (lambda: ColumnMapping("x", thousands="."), "thousands='.'"),
        (lambda: ColumnMapping("x", missing="-999.25"), r'missing=\["-999.25"\]'),
        (lambda: ColumnMapping("x", constant="y"), "one of the two"),
        (lambda: ColumnMapping("x", tolerance=-1.0), "tolerance=-1.0"),
        (lambda: Mapping({"dial_600": "x"}), "reading_<rpm>"),
        (lambda: Mapping({"ph": "x"}, keep=["chloride"]), "known column"),
        (lambda: Mapping({"ph": "x"}, keep=["row"]), "would hide"),
        (lambda: Mapping({"ph": "x"}, unit_row=1), "one or the other"),
        (lambda: Mapping({"ph": "x"}).save("m.yaml"), ".toml or .json"),
    ],
)
def test_a_wrong_mapping_is_refused(wrong, message):
    with pytest.raises(ValueError, match=message):
        wrong()


def test_every_known_column_has_a_meaning_and_sound_ranges():
    names = [c.name for c in TABLE]
    assert len(names) == len(set(names))
    for column in TABLE:
        assert column.meaning and column.kind in ("number", "text", "time")
        for span in (column.limits, column.usual):
            assert span is None or (span.low < span.high and span.source and span.unit)
        if column.kind == "number":
            assert bool(column.quantity) != bool(column.unit), column.name


def test_every_range_is_in_a_unit_of_its_column():
    frame = pd.DataFrame({"x": ["1"]})
    for column in (c for c in TABLE if c.kind == "number"):
        unit = column.unit or next(s.unit for s in (column.limits, column.usual) if s)
        checks = records.read(frame, Mapping({column.name: ColumnMapping("x", unit=unit)}))
        assert checks.problems.empty, column.name
        assert "out_of_range" not in records.audit(checks, rules=["zero_as_missing"]).findings["rule"].tolist()
        records.audit(checks, rules=["out_of_range"])  # converts both ranges


def test_limits_come_from_the_calculations_where_they_have_them():
    limits = physical_limits("mud_density")
    assert limits.source == "limits of the calculations that take it" and limits.low < limits.high
    assert physical_limits("casing_depth") == find("casing_depth").limits  # no calculation takes it
    for name in ("ph", "mud_density"):  # never wider than the table
        own, told = find(name).limits, physical_limits(name)
        low, high = (own.low, own.high) if name == "ph" else (own.low * 8.3454044, own.high * 8.3454044)
        assert low - 1e-9 <= told.low and told.high <= high + 1e-6


# suggestions


def row(suggestion, source):
    return suggestion.reasons[suggestion.reasons["source"] == source].iloc[0]


def test_headings_units_and_marks_are_recognised():
    frame = pd.DataFrame(
        {
            "Well name": ["A", "A"], "Depth (ft)": [1.0, 2.0], "Mud Weight [ppg]": ["10,5", "11,0"], "PV cP": [20, 21], "YP (lb/100 ft2)": [1, 2],
            "600 rpm": [44, 45], "Gel 10 sec [lb/100 ft2]": [3, 4], "plasticViscosityX": [1, 1], "Date": ["13.02.2020", "01.03.2020"],
            "Colour": ["red", "blue"], "Cl [mg/L]": [1, -999.25],
        }
    )  # fmt: skip
    suggestion = suggest_mapping(frame)
    columns = suggestion.mapping.columns
    assert columns["well"].source == "Well name"
    assert columns["mud_density"] == ColumnMapping("Mud Weight [ppg]", decimal=",")
    assert columns["reading_600"].source == "600 rpm" and columns["gel_strength_10_s"].source.startswith("Gel")
    assert columns["time"].date_format == "%d.%m.%Y"
    assert columns["chloride"].missing == ("-999.25",)
    assert "plastic_viscosity" not in columns  # two headings fit: the choice is the user's
    assert "PV cP" in row(suggestion, "plasticViscosityX")["why"]
    assert row(suggestion, "Colour")["target"] == ""
    assert "decimal comma" in row(suggestion, "Mud Weight [ppg]")["to_check"]
    checks = records.read(frame, suggestion.mapping)
    assert checks.problems.empty and checks.data["mud_density"].tolist() == [10.5, 11.0]


def test_a_missing_unit_is_not_filled_in_but_hinted_at():
    suggestion = suggest_mapping(pd.DataFrame({"MW": [1.2, 1.3, 0.0]}))
    assert suggestion.mapping.columns["mud_density"].unit == ""
    hint = row(suggestion, "MW")["to_check"]
    assert "no unit is stated" in hint and "usual in g/cm3" in hint and "1 of 3 cells are 0" in hint
    assert "no unit" in records.read(pd.DataFrame({"MW": [1.2]}), suggestion.mapping).problems["reason"].iloc[0]


def test_a_unit_at_the_end_of_a_heading_is_seen():
    suggestion = suggest_mapping(pd.DataFrame({"MW_ppg": [10.0], "Mud Temp": [1.0], "pv_mPa_s": [20], "yield_point_lb_100ft2": [9]}))
    assert suggestion.mapping.columns == {
        "mud_density": ColumnMapping("MW_ppg", unit="ppg"),
        "plastic_viscosity": ColumnMapping("pv_mPa_s", unit="mPa.s"),
        "yield_point": ColumnMapping("yield_point_lb_100ft2", unit="lb/100ft2"),
    }


def test_a_unit_row_is_seen(tmp_path):
    (tmp_path / "a.csv").write_text("MD,MW\nm,g/cm3\n1000,1.2\n")
    suggestion = suggest_mapping(tmp_path / "a.csv")
    assert suggestion.mapping.unit_row == 2
    assert records.read(tmp_path / "a.csv", suggestion.mapping, units="metric").data[
        "mud_density"
    ].tolist() == pytest.approx([1200.0])


def test_a_suggestion_is_not_a_mapping():
    frame = pd.DataFrame({"pH": [9.0]})
    with pytest.raises(TypeError, match=r"its \.mapping, once looked at"):
        records.read(frame, suggest_mapping(frame))
    assert "heading holds 'ph'" in repr(suggest_mapping(frame))
