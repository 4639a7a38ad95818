"""Frames: columns by name or mapping, list columns, values for all rows, labels kept, wrong columns told."""

import numpy as np
import pandas as pd
import pytest

from lutum import field

blue = field.clay.methylene_blue
viscometer = field.rheology.viscometer


@pytest.fixture
def frame():
    return pd.DataFrame(
        {"dye_volume": [5.0, 6.0, np.nan], "sample_volume": [1.0, 2.0, 1.0], "titre": [10.0, 20.0, 30.0], "well": ["A", "B", "C"]},
        index=pd.Index(["x", "y", "z"], name="sample"),
    )


def as_frame(calculation, inputs):
    """(frame, columns=) for the inputs of a sample, every column under another name than its input."""
    table, names = {}, {}
    for v in calculation.inputs:
        x = inputs[v.name]
        names[v.name] = [f"{v.name} at {k}" for k in range(x.shape[-1])] if v.is_list else f"the {v.name}"
        table.update(zip(names[v.name], x.T) if v.is_list else {names[v.name]: x}.items())
    return pd.DataFrame(table, index=pd.RangeIndex(100, 100 + len(x))), names


def test_a_frame_gives_what_its_columns_give(calculation, sample):
    inputs = sample(calculation, 25, seed=17)
    frame, names = as_frame(calculation, inputs)
    before = frame.copy()
    got = calculation.over(frame, columns=names)
    assert got.index.equals(frame.index)
    expected = calculation(**inputs)
    for v, want in zip(calculation.results, expected):
        columns = [f"{v.name}_{k + 1}" for k in range(want.shape[-1])] if v.is_list else [v.name]
        assert np.array_equal(got[columns].to_numpy().reshape(want.shape), want, equal_nan=True)
        assert {got.attrs["units"][column] for column in columns} == {v.unit}
    assert len(got.columns) == len(got.attrs["units"])
    pd.testing.assert_frame_equal(frame, before)


def test_columns_of_their_own_names(frame):
    got = blue.over(frame)
    assert got.index.name == "sample" and got.index.tolist() == ["x", "y", "z"]
    assert got["capacity"].tolist()[:2] == pytest.approx([5.0, 3.0]) and np.isnan(got["capacity"]["z"])
    pd.testing.assert_frame_equal(blue(frame), got)


def test_mapped_columns_and_values_for_all_rows(frame):
    got = blue.over(frame, columns={"dye_volume": "titre"}, sample_volume=2.0, dye_strength=0.02)
    assert got["capacity"].tolist() == pytest.approx([10.0, 20.0, 30.0])
    assert blue(frame, dye_strength=0.02)["capacity"]["x"] == pytest.approx(10.0)
    assert blue(frame, dye_strength=np.array([0.01, 0.02, 0.03]))["capacity"]["y"] == pytest.approx(6.0)
    assert blue.over(frame, sample_volume=pd.Series([1.0, 1.0, 1.0], index=frame.index))["capacity"]["y"] == pytest.approx(6.0)


def test_list_columns():
    readings = pd.DataFrame({"r600": [65.0, 60.0], "r300": [40.0, 36.0], "T": [120.0, 150.0]}, index=[7, 8])
    got = viscometer.over(readings, columns={"reading": ["r600", "r300"], "temperature": "T"}, speed=[600, 300])
    assert got["plastic_viscosity"].tolist() == [25.0, 24.0] and got["yield_point"].tolist() == [15.0, 12.0]
    assert got.index.tolist() == [7, 8]
    assert {"shear_rate_1", "shear_rate_2", "wall_stress_1", "wall_stress_2"} <= set(got.columns)


def test_an_empty_frame_gives_an_empty_frame(frame):
    got = blue.over(frame.iloc[:0])
    assert got.shape == (0, 2) and got.columns.tolist() == ["capacity", "bentonite_equivalent"]


def test_labels_of_several_levels_and_repeated_labels(frame):
    frame.index = pd.MultiIndex.from_tuples([("A", 1), ("A", 1), ("B", 2)], names=["well", "day"])
    assert blue.over(frame).index.equals(frame.index)


def test_integer_nullable_and_arrow_columns(frame):
    plain = blue.over(frame)
    for kind in ("Float64", "float64[pyarrow]", "float32"):
        other = frame.assign(dye_volume=frame["dye_volume"].astype(kind), sample_volume=frame["sample_volume"].astype("Int64"))
        pd.testing.assert_frame_equal(blue.over(other), plain)


@pytest.mark.parametrize(
    ("options", "kind", "complaint"),
    [
        ({"columns": {"dye_volume": "MBT"}}, ValueError, "no column 'MBT' for dye_volume .*the frame has dye_volume, sample_volume, titre, well"),
        ({"columns": {"dye": "titre"}}, TypeError, "no input 'dye'; it has dye_volume, sample_volume, dye_strength"),
        ({"dye": 3.0}, TypeError, "no input 'dye'"),
        ({"columns": {"dye_volume": "well"}}, ValueError, "column 'well' must be a number.* not 'A'.*lutum.records"),
        ({"columns": {"dye_volume": "titre"}, "dye_volume": 3.0}, TypeError, "both as a column and as a value"),
        ({"sample_volume": [1.0, 2.0]}, ValueError, "sample_volume has 2 rows where the frame has 3"),
        ({"sample_volume": "two"}, ValueError, "sample_volume must be a number"),
        ({"sample_volume": pd.Series([1.0, 2.0, 3.0])}, ValueError, "another index than the frame"),
        ({"threads": 0}, ValueError, "threads = 0 must be at least 1"),
    ],
)
def test_wrong_columns_are_told(frame, options, kind, complaint):
    with pytest.raises(kind, match=complaint):
        blue.over(frame, **options)


def test_a_missing_column_is_told(frame):
    with pytest.raises(ValueError, match="no column 'sample_volume' for sample_volume \\(mud in the flask, mL\\)"):
        blue.over(frame[["dye_volume"]])
    with pytest.raises(ValueError, match="no column 'r300' for reading"):
        viscometer.over(pd.DataFrame({"r600": [65.0]}), columns={"reading": ["r600", "r300"]}, speed=[600, 300])


def test_a_column_that_stands_twice_is_told(frame):
    twice = pd.concat([frame, frame[["dye_volume"]]], axis=1)
    with pytest.raises(ValueError, match="more than one column 'dye_volume'"):
        blue.over(twice)


def test_lists_of_unlike_length_are_told():
    readings = pd.DataFrame({"r600": [65.0], "r300": [40.0]})
    with pytest.raises(ValueError, match="reading has 2 values a record where speed has 3"):
        viscometer.over(readings, columns={"reading": ["r600", "r300"]}, speed=[600, 300, 200])
    many = pd.DataFrame(np.ones((1, 13)), columns=[f"r{k}" for k in range(13)])
    with pytest.raises(ValueError, match="at most 12 values a record; 13 were given"):
        viscometer.over(many, columns={"reading": list(many.columns)}, speed=np.ones(13))
    with pytest.raises(ValueError, match="speed must be a list"):
        viscometer.over(readings, columns={"reading": ["r600", "r300"]}, speed=600)


def test_a_frame_comes_first_and_alone(frame):
    with pytest.raises(TypeError, match="sample_volume is a number or one column, not a frame"):
        blue(5.0, frame)


def test_verdicts_and_gradients_of_a_frame(sample):
    slot = field.hydraulics.slot_pressure_gradient
    inputs = sample(slot, 6, seed=18)
    frame = pd.DataFrame(inputs, index=list("abcdef"))
    assert slot.judge(frame).index.tolist() == list("abcdef")
    assert slot.judge(frame).tolist() == list(slot.judge(**inputs))
    slope = slot.gradient(frame).pressure_gradient.flow_rate
    assert slope.index.tolist() == list("abcdef")
    assert slope.tolist() == slot.gradient(**inputs).pressure_gradient.flow_rate.tolist()
