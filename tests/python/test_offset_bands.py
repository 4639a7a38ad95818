"""Weights, percentiles and bands on small numbers worked out by hand, and rounding to the safe side."""

import numpy as np
import pandas as pd
import pytest
from lutum import offset, records
from lutum.records import ColumnMapping, Mapping


def study_of(frame):
    columns = {
        "well": "Well", "measured_depth": ColumnMapping("MD", unit="m"), "mud_density": ColumnMapping("MW", unit="kg/m3"),
        "formation": "Formation",
    }  # fmt: skip
    return offset.compute(records.read(pd.DataFrame(frame), Mapping(columns), units="metric"))


def test_a_row_weighs_as_the_hole_it_stands_for():
    assert np.allclose(offset.row_weights(["A"] * 3, [0.0, 10.0, 20.0]), [0.25, 0.5, 0.25])
    assert np.allclose(offset.row_weights(["A"] * 4, [30.0, 0.0, 10.0, 20.0]), [1 / 6, 1 / 6, 1 / 3, 1 / 3])


def test_rows_at_one_depth_share_its_weight():
    weights = offset.row_weights(["A"] * 5, [0.0, 10.0, 20.0, 20.0, 20.0])
    assert np.allclose(weights, [0.25, 0.5, 0.25 / 3, 0.25 / 3, 0.25 / 3])
    assert np.allclose(offset.row_weights(["A"] * 3, [7.0, 7.0, 7.0]), 1 / 3)


def test_every_well_weighs_the_same():
    wells = ["A"] * 100 + ["B"] * 2 + ["C"]
    weights = pd.Series(offset.row_weights(wells, [*range(100), 5.0, 9.0, 50.0]))
    assert np.allclose(weights.groupby(wells).sum(), 1.0)


def test_rows_of_unknown_depth_weigh_as_the_mean_row():
    weights = offset.row_weights(["A"] * 3, [0.0, 10.0, np.nan])
    assert np.allclose(weights, 1 / 3)
    assert np.allclose(offset.row_weights(["A"] * 2, [np.nan, np.nan]), 0.5)
    assert offset.row_weights([], []).shape == (0,)


def test_percentiles_of_equal_weights_are_those_of_hazen():
    values = np.array([3.0, 1.0, 7.0, 5.0, 2.0])
    found = offset.weighted_percentiles(values, np.ones(5), [10, 25, 50, 90])
    assert np.allclose(found, np.percentile(values, [10, 25, 50, 90], method="hazen"))


def test_percentiles_follow_the_weights_and_skip_what_is_missing():
    # Shares 0.8 and 0.2 stand at 0.4 and 0.9: half lies a fifth of the way between.
    assert offset.weighted_percentiles([1.0, 2.0], [4.0, 1.0], 50.0) == pytest.approx(1.2)
    assert offset.weighted_percentiles([1.0, np.nan, 2.0], [1.0, 5.0, 1.0], 50.0) == pytest.approx(1.5)
    assert np.isnan(offset.weighted_percentiles([np.nan], [1.0], [10.0, 90.0])).all()


FRAME = {
    "Well": ["A"] * 6 + ["B"] * 2 + ["A"],
    "MD": [100.0, 200.0, 300.0, 300.0, 300.0, 300.0, 100.0, 300.0, 500.0],
    "MW": [1000.0, 1000.0, 1100.0, 1100.0, 1100.0, 1100.0, 1300.0, 1300.0, None],
    "Formation": ["Clay"] * 8 + [None],
}


def test_a_well_with_many_checks_does_not_dominate():
    study = study_of(FRAME)
    equal = offset.bands(study, ["mud_density"], equal_rows=True).set_index("formation").loc["Clay"]
    fair = offset.bands(study, ["mud_density"]).set_index("formation").loc["Clay"]
    assert equal["P50"] == pytest.approx(1100.0)
    # Well A: 0.25 and 0.5 at 1000, four times 0.0625 at 1100; well B: twice 0.5 at 1300. Of the 2 in all the last 1100 stands
    # at 0.96875 and the first 1300 at 1.25; half is 1.
    assert fair["P50"] == pytest.approx(1100.0 + 200.0 * (1.0 - 0.96875) / (1.25 - 0.96875))
    assert fair["rows"] == 8 and fair["wells"] == 2 and fair["unit"] == "kg/m3"


def test_rows_without_group_or_value_are_counted():
    table = offset.bands(study_of(FRAME), ["mud_density"])
    unknown = table.set_index("formation").loc["not known"]
    assert unknown["rows"] == 0 and unknown["missing"] == 1 and np.isnan(unknown["P50"])
    assert table["rows"].sum() + table["missing"].sum() == 9
    assert "same weight" in table.attrs["weighting"]


def test_bins_of_depth_are_labelled_by_their_middle():
    study = study_of(FRAME)
    table = offset.bands(study, ["mud_density"], by=("measured_depth",), step=200.0)
    assert table["measured_depth"].tolist() == [100.0, 300.0, 500.0]
    assert table["rows"].tolist() == [2, 6, 0]
    with pytest.raises(ValueError, match="step="):
        offset.bands(study, ["mud_density"], by=("measured_depth",))


@pytest.mark.parametrize(
    ("lower", "upper", "step", "found"),
    [
        (9.21, 9.88, 0.1, (9.3, 9.8)),
        (9.3, 9.8, 0.1, (9.3, 9.8)),
        (10.3, 11.1, 0.1, (10.3, 11.1)),
        (1202.0, 1338.0, 5.0, (1205.0, 1335.0)),
        (1.001, 1.399, 0.01, (1.01, 1.39)),
        (0.3, 0.7, 0.2, (0.4, 0.6)),
        (-1.05, -0.25, 0.1, (-1.0, -0.3)),
    ],
)
def test_bounds_are_rounded_inward(lower, upper, step, found):
    assert offset.round_inward(lower, upper, step) == found


def test_rounding_never_leaves_the_window():
    rng = np.random.default_rng(1)
    for lower in rng.uniform(8.0, 20.0, 2000):
        low, high = offset.round_inward(lower, lower + 1.0, 0.1)
        assert low >= lower - 1e-9 and high <= lower + 1.0 + 1e-9 and low - lower < 0.1 + 1e-9
    assert np.isnan(offset.round_inward(np.nan, 1.0, 0.1)[0])
    with pytest.raises(ValueError, match="above 0"):
        offset.round_inward(1.0, 2.0, 0.0)
