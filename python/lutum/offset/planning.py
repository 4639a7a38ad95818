"""The next well as it is planned: points along its path with the formation each lies in."""

from typing import Any

import numpy as np
import pandas as pd

from lutum import units
from lutum.well import planned_path

from .tables import Table, as_table, as_unit_set

PLAN_ROUNDING = (20.0, "m")  # tops and depths of a plan are given to the ten metres, each of two
SPUD_YEAR, LEAN = "spud_year", "sine_squared_inclination"  # columns that pressures may follow


def year_of(times: Any) -> Any:
    """Dates as years with their fraction; NaN where there is none.

    >>> year_of(np.array(["2020-07-01"], "datetime64[s]"))
    array([2020.49794661])
    """
    days = np.asarray(times, "datetime64[s]")
    since = (days - np.datetime64("2000-01-01", "s")) / np.timedelta64(1, "D")
    return np.where(np.isnat(days), np.nan, 2000.0 + since / 365.25)


def lean(inclination: Any) -> Any:
    """Square of the sine of an inclination in degrees."""
    return np.sin(np.radians(np.asarray(inclination, float))) ** 2


def planned(tops: Table, well: Table, *, step: float, unit_set: Any = "field") -> Table:
    """Points every `step` along a planned well, and close to its prognosed tops.

    `tops`: formation, measured_depth, below_sea, downward. `well`: one row with rotary_table_above_sea,
    end_measured_depth and vertical_depth of the end, and time (spud). Between the tops vertical depth is monotone cubic;
    a prognosis is no survey, so keep `step` well below the thinnest formation.
    """
    chosen = as_unit_set(unit_set)
    tops, well = as_table(tops, "tops", chosen), as_table(well, "well", chosen)
    tops.needs("tops", "formation", "measured_depth", "below_sea")
    well.needs("well", "rotary_table_above_sea", "end_measured_depth", "vertical_depth")
    if len(well.data) != 1:
        raise ValueError(f"the well table has {len(well.data)} rows; one is planned at a time")
    if not step > 0:
        raise ValueError(f"step={step!r} must be above 0, in {chosen.unit('length')}")
    one = well.data.iloc[0]
    rows = tops.data.sort_values("measured_depth", kind="stable")
    elevation, end = float(one["rotary_table_above_sea"]), float(one["end_measured_depth"])
    along, level = rows["measured_depth"].to_numpy(float), rows["below_sea"].to_numpy(float)
    # close to a top on both sides, so that what holds at a border is not smeared over a step
    close = np.concatenate([along, along[1:] - step / 10.0, [end]])
    measured = np.unique(np.concatenate([np.arange(along[0], end, step), close[close <= end]]))
    vertical, inclination = planned_path(
        np.concatenate([[0.0], along, [end]]),
        np.concatenate([[0.0], level + elevation, [float(one["vertical_depth"])]]),
        measured,
        rounding=units.convert(*PLAN_ROUNDING, chosen.unit("length")),
    )
    below = vertical - elevation
    found = np.maximum(np.searchsorted(along, measured, side="right") - 1, 0)
    thick = np.append(np.diff(level), np.nan)[found]
    data = pd.DataFrame({
        "measured_depth": measured, "vertical_depth": vertical, "below_sea": below, "inclination": inclination,
        "formation": rows["formation"].to_numpy(object)[found], "below_top": below - level[found],
        "formation_fraction": np.clip((below - level[found]) / thick, 0.0, 1.0), LEAN: lean(inclination),
        SPUD_YEAR: float(year_of(np.datetime64(one["time"], "s"))) if "time" in one else np.nan,
    })  # fmt: skip
    length = chosen.unit("length")
    return Table(
        data, {**dict.fromkeys(("measured_depth", "vertical_depth", "below_sea", "below_top"), length), "inclination": "deg"}
    )
