"""The solids chart: its lines are those of the split, its limits are where one kind of solids ends, its points lie where they should."""

import numpy as np
import pandas as pd
import pytest

import lutum
from lutum.solids_chart import LEVELS, NO_HIGH, NO_LOW, Chart

SALT_MUD = {"chloride": 79000.0, "oil_fraction": 6.0}


def line(table, name):
    return table[table["line"] == name]


@pytest.mark.parametrize("units", ["field", "metric", "si"])
def test_lines_are_lines_of_equal_low_gravity_solids(units):
    chart = Chart(units, oil_fraction=0.05 if units == "si" else 5.0)
    table = chart.table()
    for level in LEVELS:
        rows = line(table, f"{level:g} % low-gravity solids")
        assert rows["low_gravity_fraction"].to_numpy() == pytest.approx(level * chart.whole / 100.0, rel=1e-10)
        assert rows["suspended_solids_fraction"].iloc[0] == pytest.approx(level * chart.whole / 100.0)
        assert rows["high_gravity_fraction"].iloc[0] == pytest.approx(0.0, abs=1e-11 * chart.whole)
        both = rows["low_gravity_fraction"] + rows["high_gravity_fraction"]
        assert both.to_numpy() == pytest.approx(rows["suspended_solids_fraction"].to_numpy(), rel=1e-10)


def test_limits_are_where_one_kind_ends():
    table = Chart("field", **SALT_MUD).table()
    assert line(table, NO_LOW)["low_gravity_fraction"].to_numpy() == pytest.approx(0.0, abs=1e-11)
    assert line(table, NO_HIGH)["high_gravity_fraction"].to_numpy() == pytest.approx(0.0, abs=1e-11)
    inner = table[~table["line"].isin([NO_LOW, NO_HIGH])]
    top = np.interp(inner["suspended_solids_fraction"], *line(table, NO_LOW)[["suspended_solids_fraction", "mud_density"]].to_numpy().T)
    foot = np.interp(inner["suspended_solids_fraction"], *line(table, NO_HIGH)[["suspended_solids_fraction", "mud_density"]].to_numpy().T)
    assert (inner["mud_density"] <= top + 1e-9).all() and (inner["mud_density"] >= foot - 1e-9).all()


def test_fresh_water_by_hand():
    """62.5 + 2 Vs - 7.503 W for 8.33 lb/gal and solids of 2.6 and 4.2 times that, so W = (62.5 + 2 Vs - L) 8.33 / 62.5."""
    chart = Chart("field", brine_density=8.33, low_gravity_density=2.6 * 8.33, high_gravity_density=4.2 * 8.33)
    for solids, low in ((0.0, 0.0), (10.0, 4.0), (33.0, 8.0), (45.0, 45.0)):
        assert float(chart.density(solids, low)) == pytest.approx((62.5 + 2 * solids - low) * 8.33 / 62.5, rel=1e-12)
        assert float(chart.at(solids, chart.density(solids, low)).low_gravity_fraction) == pytest.approx(low, abs=1e-10)


def test_points_of_the_charts_own_liquid_lie_on_its_lines():
    chart = Chart("field", **SALT_MUD)
    retort = lutum.field.solids.water_base_retort
    points = pd.DataFrame({"mud_density": [12.0, 16.0], "water_fraction": [74.0, 60.0], "oil_fraction": 6.0, "chloride": 79000.0}, index=["a", "b"])
    placed = chart.place(points)
    own = retort.over(points)
    assert placed["low_gravity_fraction"].tolist() == own["low_gravity_fraction"].tolist()
    assert placed["suspended_solids_fraction"].tolist() == own["suspended_solids_fraction"].tolist()
    assert placed["low_gravity_read"].to_numpy() == pytest.approx(placed["low_gravity_fraction"].to_numpy(), abs=1e-9)
    assert placed.index.tolist() == ["a", "b"] and placed["verdict"].tolist() == ["consistent", "consistent"]


def test_the_fresh_water_chart_fails_for_a_salt_mud():
    """The exercise: the lines of the wrong chart are told apart from the mud's own number."""
    points = pd.DataFrame({"mud_density": [12.0], "water_fraction": [74.0], "oil_fraction": [6.0], "chloride": [79000.0]})
    right, wrong = Chart("field", **SALT_MUD).place(points), Chart("field").place(points)
    assert right["low_gravity_read"].iloc[0] == pytest.approx(right["low_gravity_fraction"].iloc[0], abs=1e-9)
    assert wrong["low_gravity_fraction"].iloc[0] == right["low_gravity_fraction"].iloc[0]
    assert wrong["low_gravity_read"].iloc[0] < right["low_gravity_fraction"].iloc[0] - 3.0


def test_a_row_without_a_place_stays_in_the_table_and_is_told():
    points = pd.DataFrame({"mud_density": [12.0, np.nan, 12.0, 60.0], "suspended_solids_fraction": [16.0, 16.0, np.nan, 20.0]})
    chart = Chart("field")
    placed = chart.place(points)
    assert len(placed) == 4 and placed["verdict"].tolist() == ["consistent", "missing", "missing", "missing"]
    words = text_of(chart.figure(points))
    assert "Not shown: 2 without a place (see place()), 1 outside the axes" in words


def test_columns_that_do_not_do_are_told():
    with pytest.raises(ValueError, match="points has the columns density; give mud_density, water_fraction"):
        Chart("field").place(pd.DataFrame({"density": [12.0]}))


def test_two_brines_at_once_and_equal_solids_are_refused():
    with pytest.raises(ValueError, match="not both"):
        Chart("field", chloride=1000.0, brine_density=9.0)
    with pytest.raises(ValueError, match="too close for a chart"):
        Chart("metric", low_gravity_density=2600.0, high_gravity_density=2900.0)


def text_of(figure):
    figure.draw_without_rendering()
    inside = [text.get_text() for ax in figure.axes for text in ax.texts]
    return "\n".join([figure.get_suptitle(), figure.get_supxlabel(), *inside])


def test_the_figure_says_what_it_assumes_and_labels_its_lines():
    chart = Chart("field", **SALT_MUD, high_gravity_density=34.2)
    figure = chart.figure(rule_of_thumb=True)
    words = text_of(figure)
    for part in ("79,000 mg/L chloride", "oil 6 %", "34.2", "dissolved salt is brine", NO_LOW, NO_HIGH, "rule of thumb"):
        assert part in words.replace("\n", " "), part
    assert {f"{level:g}" for level in LEVELS} <= set(words.splitlines())
    assert "lb/gal" in figure.axes[0].get_ylabel() and "%" in figure.axes[0].get_xlabel()


def test_points_are_drawn_where_they_are():
    points = pd.DataFrame({"mud_density": [12.0, 14.0], "suspended_solids_fraction": [16.0, 25.0]})
    chart = Chart("field")
    drawn = [xy for mark in chart.figure(points).axes[0].lines if mark.get_marker() == "o" for xy in zip(*mark.get_data())]
    assert sorted(drawn) == [(16.0, 12.0), (25.0, 14.0)]
    placed = chart.place(points)
    words = text_of(chart.figure(points))
    assert all(f"{low:.1f}" in words.splitlines() for low in placed["low_gravity_fraction"])
    points["low_gravity_fraction"] = [20.0, placed["low_gravity_fraction"].iloc[1]]
    assert "Hollow" in text_of(chart.figure(points)) and "Orange" in text_of(chart.figure(points))
