"""The tables that stand beside the mud checks: wells, surveys, tops, casing, events, pressures, a plan.

A column enters by its meaning and with its unit, so that feet and metres cannot meet unnoticed.
"""

from dataclasses import dataclass, field
from typing import Any

import pandas as pd

import lutum
from lutum import units

TEXT, TIME, ANGLE, HOURS = "text", "time", "angle in degrees", "hours"

# name -> what it measures: a quantity of lutum.units, or one of the kinds above, which are never converted
COLUMNS: dict[str, str] = {
    "well": TEXT,  # the wellbore: a sidetrack is another one
    "formation": TEXT,
    "event": TEXT,
    "remarks": TEXT,
    "time": TIME,
    "measured_depth": "length",
    "vertical_depth": "length",  # below the rotary table
    "below_sea": "length",  # below mean sea level
    "inclination": ANGLE,
    "azimuth": ANGLE,
    "rotary_table_above_sea": "length",
    "water_depth": "length",
    "hole_diameter": "diameter",
    "casing_diameter": "diameter",
    "inside_diameter": "diameter",  # of the casing named in the row
    "above_inside_diameter": "diameter",  # of the casing above the hole of the row
    "pipe_diameter": "diameter",
    "flow_rate": "flow_rate",
    "start_measured_depth": "length",
    "end_measured_depth": "length",
    "pore": "density",  # pore, collapse, fracture: equivalent density of the mud column below the rotary table
    "collapse": "density",
    "fracture": "density",
    "hours_lost": HOURS,
}


@dataclass(frozen=True, repr=False)
class Table:
    """`data`: columns by their meaning; `units`: the unit of each number; `problems`: cells that could not be read."""

    data: pd.DataFrame
    units: dict[str, str]
    problems: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=["row", "column", "raw", "reason"]))

    def __repr__(self) -> str:
        heads = ", ".join(f"{name} [{self.units[name]}]" if self.units.get(name) else name for name in map(str, self.data))
        return f"Table: {len(self.data)} rows, {heads}; {len(self.problems)} problems"

    def to(self, unit_set: Any) -> "Table":
        """The same table in the units of a set."""
        data, now = self.data.copy(), dict(self.units)
        for name, unit in self.units.items():
            quantity = COLUMNS.get(name, "")
            if quantity in units.quantities() and unit_set.unit(quantity) != unit:
                now[name] = unit_set.unit(quantity)
                data[name] = units.convert(data[name].to_numpy(float), unit, now[name])
        return Table(data, now, self.problems)

    def needs(self, what: str, *names: str) -> None:
        """An error that names what lacks."""
        lacking = [name for name in names if name not in self.data]
        if lacking:
            raise ValueError(f"the {what} table has no {', '.join(lacking)}; it has {', '.join(map(str, self.data))}")


def table(frame: pd.DataFrame, *, unit_set: Any = "field", **columns: str | tuple[str, str]) -> Table:
    """A frame's columns by their meaning: a heading, or (heading, unit) for what has a unit, or (heading, format) for times.

    Names are those of `lutum.offset.tables.COLUMNS`. Angles are degrees. Numbers are converted to `unit_set`. A cell that
    is no number or no time becomes missing and stands in `.problems`; no row is dropped.

        tops = table(pd.read_csv("tops.csv"), well="well", formation="formation", measured_depth=("top_md", "m"))
    """
    chosen = as_unit_set(unit_set)
    data: dict[str, Any] = {}
    kept: dict[str, str] = {}
    problems: list[dict[str, Any]] = []
    for name, given in columns.items():
        heading, written = (given, "") if isinstance(given, str) else given
        quantity = _quantity_of(name)
        if heading not in frame:
            raise ValueError(f"{name}: the frame has no column {heading!r}; it has {', '.join(map(str, frame.columns))}")
        source = frame[heading].reset_index(drop=True)
        if quantity == TEXT:
            data[name] = source.where(source.notna(), None).astype(object)
            continue
        values = _times(source, written) if quantity == TIME else pd.to_numeric(source, errors="coerce")
        bad = values.isna() & source.notna()
        kind = "time" if quantity == TIME else "number"
        problems += [
            {"row": int(i), "column": name, "raw": str(source[i]), "reason": f"is no {kind}: missing"} for i in values.index[bad]
        ]
        data[name] = values
        if quantity in units.quantities():
            if not written:
                possible = ", ".join(units.quantity_units(quantity))
                raise ValueError(f"{name}: say its unit, {name}=({heading!r}, unit), one of {possible}")
            kept[name] = chosen.unit(quantity)
            data[name] = units.convert(values.to_numpy(float), written, kept[name])
        elif quantity != TIME:
            kept[name] = "deg" if quantity == ANGLE else "h"
            data[name] = values.astype(float)
    return Table(pd.DataFrame(data), kept, pd.DataFrame(problems, columns=["row", "column", "raw", "reason"]))


def as_unit_set(chosen: Any) -> Any:
    """The unit set of this name, or the set itself (`lutum.field` is a module around its set)."""
    return lutum.unit_set(chosen) if isinstance(chosen, str) else getattr(chosen, "units_of_set", chosen)


def as_table(given: Any, what: str, unit_set: Any) -> Table:
    """A table in these units; a plain frame is refused because its units are not known."""
    if not isinstance(given, Table):
        raise TypeError(
            f"{what} is a {type(given).__name__}: make it with lutum.offset.table(frame, ...), which asks for the units"
        )
    return given.to(unit_set)


def _quantity_of(name: str) -> str:
    if name not in COLUMNS:
        raise ValueError(f"no column is called {name!r}; known are {', '.join(COLUMNS)}")
    return COLUMNS[name]


def _times(source: pd.Series, form: str) -> pd.Series:
    return pd.to_datetime(source, errors="coerce", format=form or "ISO8601").astype("datetime64[s]")
