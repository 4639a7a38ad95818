"""How a rule of the audit is written: a small function that looks at a `View` and yields findings.

    @rule("negative_depth", "depths above the rotary table", needs=("measured_depth",))
    def negative_depth(view):
        yield from view.cells("measured_depth", view.values("measured_depth") < 0, "above the table", "correct the depth")

A file of rules is imported in `rules/__init__.py`; nothing else has to know of it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from ..columns import Column, Range, find
from ..table import Records
from ..units_of import convert

ERROR, WARNING, NOTE = "error", "warning", "note"  # impossible; improbable or suspicious; worth knowing


@dataclass(frozen=True)
class Options:
    """Reading errors and thresholds of the audit. The reading errors are one standard deviation, `common practice, no source`.

    `dial_error`: dial degrees. `retort_error`: vol % of the mud, each of water, oil and solids. `rounding`: lb/100 ft2 or cP by
    which a reported yield point or plastic viscosity may differ from the dial readings (half a Pa is 1.04 lb/100 ft2).
    `copied_readings`: identical readings, of two tests at least, from which a check counts as copied. `wells`, `rows`: other
    wells in the section and rows in the well below which units are not judged. `spread`: how many spreads of the other wells a
    well must lie away to be judged.
    """

    dial_error: float = 1.0
    retort_error: float = 0.5
    rounding: float = 1.1
    copied_readings: int = 3
    wells: int = 3
    rows: int = 3
    spread: float = 4.0


@dataclass(frozen=True)
class Finding:
    """One finding. `at`: position of the row in the data; `action`: what accepting it does ("" for nothing): "missing", "value"
    (to `proposed`), "unit" (the numbers were in the unit `proposed`), "scale" (by `proposed`) or "remove"; `members`: the
    positions of all rows meant, when it is more than the one."""

    at: int
    column: str
    value: Any
    reason: str
    proposal: str
    severity: str = WARNING
    action: str = ""
    proposed: Any = None
    members: tuple[int, ...] = ()


class NotApplicable(Exception):
    """Raised by a rule that cannot judge these records; the words go to `Audit.skipped`."""


@dataclass(frozen=True)
class Rule:
    """A registered rule."""

    name: str
    looks_for: str
    needs: tuple[str, ...]
    run: Callable[["View"], Iterator[Finding]]


RULES: dict[str, Rule] = {}


def rule(
    name: str, looks_for: str, needs: tuple[str, ...] = ()
) -> Callable[[Callable[["View"], Iterator[Finding]]], Callable[["View"], Iterator[Finding]]]:
    """Registers a rule under its name; `needs` are columns without which it is skipped."""

    def register(run: Callable[["View"], Iterator[Finding]]) -> Callable[["View"], Iterator[Finding]]:
        if name in RULES:
            raise ValueError(f"a rule {name!r} is there already")
        RULES[name] = Rule(name, looks_for, needs, run)
        return run

    return register


@dataclass
class View:
    """The records as a rule sees them: columns in any unit, wells as numbers, and ways to yield findings."""

    records: Records
    options: Options
    wells: Records | None = None
    _cache: dict[tuple[str, str], Any] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.records)

    @property
    def data(self) -> pd.DataFrame:
        """The data of the records."""
        return self.records.data

    def has(self, *columns: str) -> bool:
        """Whether all these columns are mapped."""
        return all(c in self.data for c in columns)

    def numbers(self) -> list[Column]:
        """The mapped columns that hold numbers."""
        return [find(c) for c in self.records.columns if self.records.kind(c) == "number"]

    def values(self, column: str, unit: str = "") -> Any:
        """Numbers of a column, in its own unit or in another."""
        own = self.data[column].to_numpy(float)
        kept = self.records.units[column]
        return own if unit == "" else convert(own, kept, unit)

    def as_written(self, column: str) -> Any:
        """Numbers of a column in the unit of its file: zero and sentinels are judged there."""
        if ("as written", column) not in self._cache:
            values = self.values(column).copy()
            for file, sources in self.records.source_units.items():
                kept, unit = self.records.units[column], sources.get(column, "")
                if unit not in ("", kept):
                    here = self.file == file
                    values[here] = convert(values[here], kept, unit)
            self._cache["as written", column] = values
        return self._cache["as written", column]

    def bounds(self, column: str, span: Range) -> tuple[float, float]:
        """A range in the unit of the column."""
        kept = self.records.units[column]
        if not find(column).quantity or span.unit == kept:
            return span.low, span.high
        low, high = (convert(x, span.unit, kept) for x in (span.low, span.high))
        return low, high

    @cached_property
    def file(self) -> Any:
        """File of every row."""
        return self.data["file"].to_numpy()

    @cached_property
    def row(self) -> Any:
        """Row of every row in its file, as a spreadsheet counts."""
        return self.data["row"].to_numpy()

    @cached_property
    def well_column(self) -> str:
        """The column that tells wells apart: wellbore, wellbore_id or well, whichever is mapped first; else the file."""
        return next((c for c in ("wellbore", "wellbore_id", "well") if self.has(c)), "file")

    @cached_property
    def well(self) -> Any:
        """Number of the well of every row; rows without a name are a well of their own."""
        return pd.factorize(self.data[self.well_column], use_na_sentinel=False)[0]

    @cached_property
    def well_name(self) -> Any:
        """Name of the well of every row, "" where there is none."""
        return self.data[self.well_column].fillna("").to_numpy(object)

    def number(self, column: str, i: int) -> str:
        """A value with its unit, six significant digits."""
        return f"{self.values(column)[i]:.6g} {self.records.units[column]}".rstrip()

    def moment(self, column: str, i: int) -> str:
        """A date, with the time of day where there is one."""
        return str(self.data[column].iloc[i]).removesuffix(" 00:00:00")

    def place(self, i: int) -> str:
        """ "row 12", with the file when there are several."""
        several = len(self.records.source_units) > 1
        return f"row {self.row[i]}" + (f" of {self.file[i]}" if several else "")

    def cells(
        self, column: str, mask: Any, reason: str | Callable[[int], str], proposal: str | Callable[[int], str],
        severity: str = WARNING, action: str = "", proposed: Any = None,
    ) -> Iterator[Finding]:  # fmt: skip
        """A finding for every row of the mask; texts may be functions of the position, `proposed` an array."""
        values = self.data[column].to_numpy() if column in self.data else None
        for i in map(int, np.flatnonzero(mask)):
            yield Finding(
                i, column, None if values is None else values[i],
                reason if isinstance(reason, str) else reason(i), proposal if isinstance(proposal, str) else proposal(i),
                severity, action, proposed[i] if isinstance(proposed, np.ndarray) else proposed,
            )  # fmt: skip
