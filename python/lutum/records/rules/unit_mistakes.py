"""Wells whose readings are a unit's factor away from those of the other wells."""

from collections.abc import Iterator
from math import log
from typing import Any

import numpy as np
import pandas as pd

from lutum import units

from ..columns import Column
from ..units_of import WRITTEN, convert, resolve
from .registry import WARNING, Finding, NotApplicable, View, rule

SLIPS = (10.0, 100.0, 1000.0, 0.1, 0.01, 0.001)  # of the decimal point
# Spreads below which wells differ anyhow: of logarithms, and of temperatures in K. `common practice, no source`.
UNKNOWN = ""
LEAST_SPREAD, LEAST_SPREAD_TEMPERATURE = log(1.15), 8.0


@rule(
    "unit_mistake",
    "wells whose median is a unit's factor (or a slip of the decimal point) away from the other wells of the section",
)
def unit_mistake(view: View) -> Iterator[Finding]:
    section, words = _sections(view)
    # A unit is mistaken file by file.
    parts = pd.DataFrame({"file": view.file, "well": view.well, "section": section})
    group = parts.groupby(["file", "well", "section"], sort=False).ngroup().to_numpy()
    judged = False
    for column in view.numbers():
        if column.quantity not in WRITTEN:
            continue
        values = view.values(column.name)
        if column.quantity != "temperature":
            values = np.where(values > 0, values, np.nan)
        known = np.flatnonzero(np.isfinite(values) & (section != UNKNOWN))
        frame = pd.DataFrame({"group": group[known], "section": section[known], "value": values[known], "at": known})
        medians = frame.groupby("group").agg(
            section=("section", "first"), value=("value", "median"), rows=("value", "size"), at=("at", "first")
        )
        medians = medians[medians["rows"] >= view.options.rows]
        for name, wells in medians.groupby("section"):
            if len(wells) <= view.options.wells:
                continue
            judged = True
            for i, likely, action, proposed in _strangers(view, column, wells):
                members = known[group[known] == wells.index[i]]
                middle, others = wells["value"].iloc[i], wells["value"].drop(wells.index[i]).median()
                unit = view.records.units[column.name]
                at = int(wells["at"].iloc[i])
                yield Finding(
                    at, column.name, middle,
                    f"the well's median, {middle:.6g} {unit} of {len(members)} rows, is far from that of the {len(wells) - 1} others"
                    f"{words.format(name)}, {others:.6g} {unit}; it would fit {likely}",
                    f"check the report; {likely}", WARNING, action, proposed, tuple(map(int, members)),
                )  # fmt: skip
    if not judged:
        raise NotApplicable(
            f"no section has more than {view.options.wells} wells with {view.options.rows} rows or more of one reading"
        )


def _sections(view: View) -> tuple[Any, str]:
    """Hole section of every row as text, UNKNOWN where it is not known, and how to speak of it."""
    if view.has("hole_section"):
        return view.data["hole_section"].fillna(UNKNOWN).astype(str).to_numpy(object), " in section {}"
    if view.has("hole_diameter"):
        inches = [UNKNOWN if np.isnan(x) else f"{x:.4g} in" for x in view.values("hole_diameter", "in")]
        return np.array(inches, object), " in {} hole"
    return np.full(len(view), "all", object), ""


def _strangers(view: View, column: Column, wells: pd.DataFrame) -> list[tuple[int, str, str, object]]:
    """Position of each suspect well among `wells`, the likely mistake in words, the action and what it takes."""
    least = LEAST_SPREAD_TEMPERATURE if column.quantity == "temperature" else LEAST_SPREAD
    medians = wells["value"].to_numpy(float)
    scaled = _scaled(view, column, medians)
    found: list[tuple[int, str, str, object]] = []
    for i in range(len(medians)):
        others = np.delete(scaled, i)
        middle = np.median(others)
        spread = max(1.4826 * float(np.median(np.abs(others - middle))), least)
        if abs(scaled[i] - middle) <= view.options.spread * spread:
            continue
        file = view.file[wells["at"].iloc[i]]
        mistakes = _mistakes(view, column, file, float(medians[i]))
        distances = np.abs(_scaled(view, column, np.array([value for value, *_ in mistakes])) - middle)
        best = int(np.argmin(distances))
        if distances[best] <= 1.5 * spread:
            found.append((i, *mistakes[best][1:]))
    return found


def _scaled(view: View, column: Column, values: Any) -> Any:
    """Medians so that a mistaken unit is a shift: kelvin of temperatures, logarithms of all else."""
    if column.quantity == "temperature":
        return convert(values, view.records.units[column.name], "K")
    return np.asarray(np.log(values), float)


def _mistakes(view: View, column: Column, file: str, median: float) -> list[tuple[float, str, str, object]]:
    """What the median would be had another unit been meant, or had the decimal point slipped."""
    kept = view.records.units[column.name]
    source = view.records.source_units[file].get(column.name) or resolve(column, kept)[0]
    written = convert(median, kept, source)
    result: list[tuple[float, str, str, object]] = []
    for unit in WRITTEN[column.quantity]:
        value = convert(written, unit, kept)
        if abs(value - median) > 1e-9 * abs(median):
            result.append((value, f"had the numbers been in {unit}, not in {units.label(source)}", "unit", unit))
    if column.quantity != "temperature":
        for slip in SLIPS:
            result.append((median * slip, f"times {slip:g}: the decimal point slipped", "scale", slip))
    return result
