"""A block of real wells through the study: read, taken for vertical where they nearly are, placed, banded and drawn.

Contains data under NLOD made available by the Norwegian Petroleum Directorate; read where it lies, never copied.
"""


import numpy as np
import pandas as pd
import pytest
from lutum import offset, records
from lutum.offset import figures
from lutum.records import ColumnMapping, Mapping


READINGS = ["mud_density", "plastic_viscosity", "yield_point"]
MUD = Mapping(
    {
        "wellbore": "wlbName", "measured_depth": ColumnMapping("wlbMD", unit="m"), "fluid_type": "wlbMudType",
        "mud_density": ColumnMapping("wlbMudWeightAtMD", unit="g/cm3", zero_is_missing=True),
        "plastic_viscosity": ColumnMapping("wlbMudViscosityAtMD", unit="mPa.s", zero_is_missing=True),
        "yield_point": ColumnMapping("wlbYieldPointAtMD", unit="Pa", zero_is_missing=True),
        "time": ColumnMapping("wlbMudDateMeasured", missing=["9999-12-31"]),
    }
)  # fmt: skip
BLOCK = "34/8-"
NEARLY_VERTICAL = 20.0  # m by which the vertical depth may fall short of the measured one at the bottom


def shelf_tables(folder, chosen):
    """Wells and tops of the block, and for the nearly vertical ones a survey straight down to their total depth."""
    wells = pd.read_csv(folder / "wellbore_exploration_all.csv")
    wells = wells[wells["wlbWellboreName"].str.startswith(chosen)]
    straight = wells[(wells["wlbTotalDepth"] - wells["wlbFinalVerticalDepth"]).between(0.0, NEARLY_VERTICAL) & (wells["wlbFinalVerticalDepth"] > 0)]
    surveys = pd.concat([straight.assign(md=0.0), straight.assign(md=straight["wlbTotalDepth"])]).assign(inclination=0.0, azimuth=0.0)
    tops = pd.read_csv(folder / "wellbore_formation_top.csv")
    tops = tops[tops["wlbName"].str.startswith(chosen) & (tops["lsuLevel"] == "GROUP")]
    metric = {"unit_set": "metric"}
    return {
        "wells": offset.table(wells, well="wlbWellboreName", rotary_table_above_sea=("wlbKellyBushElevation", "m"), time="wlbEntryDate", **metric),
        "surveys": offset.table(surveys, well="wlbWellboreName", measured_depth=("md", "m"), inclination="inclination", azimuth="azimuth", **metric),
        "tops": offset.table(tops, well="wlbName", formation="lsuName", measured_depth=("lsuTopDepth", "m"), **metric),
    }, set(straight["wlbWellboreName"])


@pytest.fixture(scope="module")
def shelf(norwegian_shelf):
    return records.read(norwegian_shelf / "wellbore_mud.csv", MUD, units="metric")


@pytest.fixture(scope="module")
def block(shelf, norwegian_shelf):
    tables, straight = shelf_tables(norwegian_shelf, BLOCK)
    whole = offset.compute(shelf)
    chosen = whole.select(whole.well.astype(object).fillna("").str.startswith(BLOCK).to_numpy(bool))
    return offset.align(chosen, **tables), straight


def test_the_block_is_placed_where_it_can_be_and_says_where_not(block):
    study, straight = block
    assert study.well.nunique() >= 20 and len(study) > 800 and len(straight) >= 5
    placed = study["below_sea"].notna()
    assert placed.sum() > 250 and set(study.well[placed]) <= straight
    told = study.reasons[(study.reasons["step"] == "align") & (study.reasons["severity"] == "missing")]
    unplaced = set(study.data.loc[~placed, "row"])
    assert unplaced == set(told[told["input"].isin(["measured_depth", "well"])]["row"])
    assert (study["formation"][placed].notna()).mean() > 0.9


def test_bands_by_depth_and_by_group_are_not_empty(block):
    study, _ = block
    by_depth = offset.bands(study, READINGS, by=("below_sea",), step=500.0)
    density = by_depth[(by_depth["column"] == "mud_density") & (by_depth["wells"] >= 3)]
    assert len(density) >= 5 and (density["P10"] <= density["P50"]).all() and (density["P50"] <= density["P90"]).all()
    assert density["P50"].between(1000.0, 2200.0).all() and (density["unit"] == "kg/m3").all()
    # deeper than 2500 m below sea the muds of this block were heavier than above 1500
    deep, shallow = (density[m]["P50"].median() for m in (density["below_sea"] > 2500.0, density["below_sea"] < 1500.0))
    assert deep > shallow + 100.0
    by_group = offset.bands(study, READINGS)
    assert (by_group["rows"] + by_group["missing"]).groupby(by_group["column"]).sum().eq(len(study)).all()
    assert by_group.loc[by_group["column"] == "mud_density", "wells"].max() >= 5


def test_the_block_can_be_drawn(block, tmp_path, norwegian_shelf):
    study, _ = block
    frame = pd.read_csv(norwegian_shelf / "wellbore_mud.csv", dtype=str, keep_default_na=False)
    mine = records.read(frame[frame["wlbName"].str.startswith(BLOCK)], MUD, units="metric", name="block")
    drawn = [
        figures.bands(offset.bands(study, READINGS)),
        figures.bands(offset.bands(study, READINGS, by=("below_sea",), step=500.0), by="below_sea"),
        figures.completeness(mine, READINGS),
    ]
    for number, figure in enumerate(drawn):
        figure.savefig(tmp_path / f"{number}.png")
        assert (tmp_path / f"{number}.png").stat().st_size > 10_000 and all(ax.has_data() for ax in figure.axes)


def test_the_whole_shelf_is_placed_and_banded(shelf, norwegian_shelf):
    # 12 732 rows of 570 wellbores.
    tables, _ = shelf_tables(norwegian_shelf, "")
    study = offset.align(offset.compute(shelf), **tables)
    found = offset.bands(study, READINGS, by=("below_sea",), step=500.0)
    assert len(study) == 12732 and np.isfinite(found["P50"]).sum() > 20
    assert study["below_sea"].notna().sum() > 3000
