"""What was read: the data in declared units, the cells as they stood, what could not be read and what was replaced."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from .columns import TABLE, dial_speed, find
from .units_of import UnitSet, convert, kept_in, unit_set

PROBLEM = ["file", "row", "column", "source", "raw", "reason", "what_to_do"]
LOG = ["step", "rule", "file", "row", "column", "raw", "before", "after", "reason"]
IDENTITY = ["file", "row"]
_ORDER = {column.name: place for place, column in enumerate(TABLE)}


@dataclass(frozen=True, repr=False)
class Records:
    """Mud checks as read, one row a row of the table, none dropped.

    `data`: `file`, `row` (as a spreadsheet counts) and the columns, in the units of `units`; what could not be read is NaN.
    `raw`: the same shape, the cells as text. `problems`: every cell, column or row that could not be read, why, what to do.
    `log`: every value replaced on reading (a token for missing) or by an accepted finding, before and after.
    `source_units`: by file and column, the unit the table was in. `kept`: columns carried along as text.
    `unused`: by file, the headings that were not asked for. `unit_set`: the set behind `units`.
    """

    data: pd.DataFrame
    raw: pd.DataFrame
    units: dict[str, str]
    problems: pd.DataFrame
    log: pd.DataFrame
    source_units: dict[str, dict[str, str]]
    kept: tuple[str, ...] = ()
    unused: dict[str, tuple[str, ...]] = field(default_factory=dict)
    unit_set: Any = None

    def __len__(self) -> int:
        return len(self.data)

    def __repr__(self) -> str:
        files = self.data["file"].nunique()
        return (
            f"Records: {len(self)} rows of {files} file{'s' * (files != 1)}, {len(self.columns)} columns, "
            f"{len(self.problems)} problems, {len(self.log)} values replaced"
        )

    @property
    def columns(self) -> list[str]:
        """Names of the columns, without `file` and `row`."""
        return [str(c) for c in self.data.columns if c not in IDENTITY]

    def kind(self, column: str) -> str:
        """ "number", "text" or "time"."""
        return "text" if column in self.kept else find(column).kind

    def to(self, units: str | UnitSet) -> "Records":
        """The same records in another unit set; raw cells, problems and log stay as they are.

        The log's `before` and `after` are in the units at the time of the change.
        """
        chosen = unit_set(units)
        data = self.data.copy()
        now = {}
        for column in self.columns:
            if self.kind(column) == "number":
                now[column] = kept_in(find(column), chosen)
                if now[column] != self.units[column]:
                    data[column] = convert(data[column].to_numpy(float), self.units[column], now[column])
        return Records(
            data, self.raw, now, self.problems, self.log, self.source_units, self.kept, self.unused, chosen
        )  # fmt: skip

    def join(self, others: "Records | Iterable[Records]") -> "Records":
        """These records with others below, in this one's units. A column that one of them lacks is missing there.

        A file name stands for one file: two that are called the same are refused; give `name=` when reading.

        Example: `read("a.csv", m).join([read("b.csv", m), read("c.csv", m)])`
        """
        more = [others] if isinstance(others, Records) else list(others)
        parts = [self, *(other.to(self.unit_set) for other in more)]
        names = [name for part in parts for name in part.source_units]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(
                f"several of the tables are called {', '.join(twice)}: read them with name=, one name each"
            )
        kept = tuple(dict.fromkeys(c for part in parts for c in part.kept))
        columns = in_order([c for part in parts for c in part.columns], kept)
        data: dict[str, Any] = {name: np.concatenate([p.data[name].to_numpy() for p in parts]) for name in IDENTITY}
        raw = dict(data)
        for column in columns:
            data[column] = np.concatenate([_values(part, column, kept) for part in parts])
            raw[column] = np.concatenate([_raw(part, column) for part in parts])
        units = {
            c: next(p.units[c] for p in parts if c in p.units) for c in columns if any(c in p.units for p in parts)
        }
        return Records(
            pd.DataFrame(data), pd.DataFrame(raw), units, stack([p.problems for p in parts], PROBLEM),
            stack([p.log for p in parts], LOG), {k: v for p in parts for k, v in p.source_units.items()}, kept,
            {k: v for p in parts for k, v in p.unused.items()}, self.unit_set,
        )  # fmt: skip


def in_order(names: Iterable[str], kept: Iterable[str]) -> list[str]:
    """Names once each: as in the table of columns, dial readings from fast to slow, then other inputs, then what is kept."""
    kept = list(kept)

    def place(name: str) -> tuple[float, float]:
        if name in kept:
            return 1000.0, kept.index(name)
        speed = dial_speed(name)
        if speed is not None:
            return _ORDER["reading_temperature"] + 0.5, -speed
        return _ORDER.get(name, 999), 0.0

    return sorted(dict.fromkeys(names), key=place)


def table_of(rows: list[dict[str, Any]], columns: list[str]) -> pd.DataFrame:
    """A frame of these rows: text columns as objects, row numbers as whole numbers that may be missing."""
    frame = pd.DataFrame({name: pd.Series([r.get(name) for r in rows], dtype=object) for name in columns})
    frame["row"] = frame["row"].astype("Int64")
    return frame


def stack(frames: list[pd.DataFrame], columns: list[str]) -> pd.DataFrame:
    """These frames one below the other."""
    return table_of(
        [{str(k): v for k, v in row.items()} for frame in frames for row in frame.to_dict("records")], columns
    )


def _values(part: Records, column: str, kept: tuple[str, ...]) -> Any:
    if column in part.data:
        return part.data[column].to_numpy()
    kind = "text" if column in kept else find(column).kind
    if kind == "number":
        return np.full(len(part), np.nan)
    return (
        np.full(len(part), np.datetime64("NaT"), "datetime64[s]")
        if kind == "time"
        else np.full(len(part), None, object)
    )


def _raw(part: Records, column: str) -> Any:
    return part.raw[column].to_numpy() if column in part.raw else np.full(len(part), "", object)
