"""Many mud checks at once: every row of a frame in one pass."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum._sets import UnitSet

from .asking import ranges_of
from .check import MudCheck, fluid_named, unit_set_of
from .computing import Computed, Run, run
from .gates import GATES, Gate, look
from .plan import Plan, shipped
from .propagating import standard_uncertainties
from .readings import names_of, quantity_of, unused
from .showing import missing_in
from .sure import SIGNED, bounded, errors_of_table, is_noise, one_per_reading
from .telling import Finding, finding, is_gap, told_once

if TYPE_CHECKING:
    import pandas as pd

    from lutum.ranges import Table
    from lutum.uncertainty import PhysicalEstimate
    from lutum.uncertainty import Table as Instruments

__all__ = ["MudChecks", "over"]


@dataclass(frozen=True, slots=True, repr=False)
class MudChecks:
    """Many checks at once: ``derived`` is a frame with the index of the readings and a column a derived value."""

    units: UnitSet
    readings: "pd.DataFrame"
    derived: "pd.DataFrame"
    unit_of: dict[str, str]
    skipped: dict[str, str]
    uncertainty: "pd.DataFrame | None"  # standard uncertainties of the derived values, where they were asked for
    _run: Run
    _gates: tuple[Gate, ...]
    _plan: Plan
    _columns: dict[str, Any]
    _fluids: Any
    unused: tuple[str, ...] = ()  # columns of the frame that are no reading, or of the other fluid

    def __repr__(self) -> str:
        left = f", columns not used: {', '.join(self.unused)}" if self.unused else ""
        return f"<MudChecks: {len(self.readings)} checks, {self.derived.shape[1]} derived values, {len(self.skipped)} calculations without readings{left}>"

    @property
    def values(self) -> "pd.DataFrame":
        """Readings and derived values side by side."""
        pandas = __import__("pandas")
        frame: pd.DataFrame = pandas.concat([self.readings, self.derived], axis=1)
        return frame

    def missing(self, all: bool = False) -> "pd.DataFrame":
        """How many rows of each derived value are missing, and of which readings it wants how many are. ``all``: those without a gap too."""
        return missing_in(self, all)

    def ranges(self, fluid_type: str | None = None, table: "Table | None" = None) -> "pd.DataFrame":
        """Every check against typical ranges: a row a check and range, see ``lutum.ranges.hold``."""
        fluids = {self._fluids} if isinstance(self._fluids, str) else set(self._fluids)
        held: pd.DataFrame = ranges_of(self, fluids, fluid_type, table)
        return held

    def uncertainties(self, table: "Instruments | None" = None, instruments: Mapping[str, str] | None = None) -> "pd.DataFrame":
        """A standard uncertainty beside every derived value, from the errors of the readings through the whole chain (JCGM 100, linear)."""
        pandas = __import__("pandas")
        errors = one_per_reading(errors_of_table(table, instruments or {}))
        spread = standard_uncertainties(self._plan, self._columns, self._fluids, self.units, len(self.readings), errors)
        frame: pd.DataFrame = pandas.DataFrame(spread, index=self.readings.index, copy=False)
        return frame

    def bounded(
        self, bounds: Mapping[str, tuple[float | None, float | None]], *, table: "Instruments | None" = None, instruments: Mapping[str, str] | None = None
    ) -> "PhysicalEstimate":
        """Derived values with the least change of the readings that brings them inside their bounds: estimates, labelled so, beside the signed values."""
        errors = one_per_reading(errors_of_table(table, instruments or {}))
        return bounded(self._plan, self._columns, self._fluids, self.units, len(self.readings), bounds, errors)

    def findings(self, steps: Iterable[str] | None = None) -> "pd.DataFrame":
        """What is impossible or improbable, row by row: limits and verdicts of the calculations, and the gates between readings.

        Every row is looked at one by one where a calculation has a word about it: some seconds for 100 000 checks. ``steps``: only these calculations.
        """
        pandas = __import__("pandas")
        found = []
        wanted = set(self._run.steps if steps is None else steps)
        for own, computed in self._run.steps.items():
            if own in wanted:
                found += self._of_step(computed)
        everything = {str(n): self.readings[n].to_numpy() for n in self.readings if self.readings[n].dtype.kind == "f"} | self._run.values
        for told in look(everything, lambda n: self.unit_of.get(n, ""), self.units, self.readings.index, self._gates):
            found.append(Finding(told.row, told.gate, told.severity, told.reason))
        frame: pd.DataFrame = pandas.DataFrame(told_once(found), columns=["row", "step", "severity", "reason"])
        return frame

    def _of_step(self, computed: Computed) -> list[Finding]:
        pandas = __import__("pandas")
        columns = {n: x if np.ndim(x) != 1 or _is_list(computed, n) else pandas.Series(x, index=self.readings.index) for n, x in computed.inputs.items()}
        if computed.choice is not None:
            columns[computed.calculation.option.name] = computed.choice
        meant = None if computed.rows is None else set(self.readings.index[computed.rows])
        own = computed.calculation.sheet.id
        told = (f for f in computed.calculation.check(**columns) if not is_gap(computed.calculation, f))
        rows = self.readings.index
        empty = set(rows[self.derived.filter(regex=f"^{own}[.]").isna().all(axis=1)])
        named = [(rows[f.row] if _is_place(f.row, columns) else f.row, f) for f in told]
        if any(f.input in SIGNED for _, f in named):
            spread = self.uncertainties() if self.uncertainty is None else self.uncertainty
            named = [(row, f) for row, f in named if not is_noise(f.input, own, lambda n: self.derived.at[row, n], lambda n: spread.at[row, n])]  # noqa: B023
        return [
            finding(row, own, f)
            for row, f in named
            if (meant is None or row in meant) and (f.is_error or row not in empty)
        ]

    def check(self, row: Any, *, place: str = "", time: Any = None) -> MudCheck:
        """One row as a ``MudCheck``, for its reasons and worked solutions."""
        cells = self.readings.loc[row]
        fluid = cells.get("fluid", self._fluids)
        given = {n: x if isinstance(x, str) else float(x) for n, x in cells.items() if n != "fluid"}
        return MudCheck(given, fluid=fluid, units=self.units, place=place, time=time, plan=self._plan, gates=self._gates)


def _is_list(computed: Computed, name: str) -> bool:
    return any(v.name == name and v.is_list for v in computed.calculation.inputs)


def _is_place(row: Any, columns: Mapping[str, Any]) -> bool:
    return not any(hasattr(x, "index") and hasattr(x, "dtype") for x in columns.values()) and isinstance(row, int)


def over(
    frame: "pd.DataFrame",
    *,
    fluid: Any = "water_base",
    units: Any = None,
    columns: Mapping[str, str] | None = None,
    plan: Plan | None = None,
    gates: tuple[Gate, ...] | None = None,
    uncertainty: bool = False,
    table: "Instruments | None" = None,
    instruments: Mapping[str, str] | None = None,
) -> MudChecks:
    """Every check of a frame in one pass: each row a check, each column of a known name a reading in the units of the set.

    ``columns``: the frame's column for a reading where it has another name. ``fluid``: one for all, or a column of them. Columns
    of other names are left alone and named in ``checks.unused``. ``uncertainty``: a standard uncertainty beside every derived value,
    in ``checks.uncertainty``, by the instruments of ``table`` (``lutum.uncertainty.shipped()``) or those named for a reading in
    ``instruments``. Example::

        checks = mud_check.over(frame, units=metric, columns={"mud_density": "density"})
        checks.derived["solids.retort_with_brine.low_gravity_fraction"]
    """
    from lutum._columns import numbers

    pandas = __import__("pandas")
    home, plan = unit_set_of(units), plan or shipped()
    known = names_of(plan)
    words = {s.choice for s in plan if s.choice}
    named = {name: name for name in (*known, *words) if name in frame.columns}
    for name, column in (columns or {}).items():
        if name not in known and name not in words:
            quantity_of(name, plan)
        if column not in frame.columns:
            raise ValueError(f"no column {column!r} for {name}; the frame has {', '.join(map(str, frame.columns))}")
        named[name] = column
    taken = {name: frame[column].to_numpy(object) if name in words else np.ascontiguousarray(numbers(frame[column], f"column {column!r}")) for name, column in named.items()}
    fluids = fluid if isinstance(fluid, str) else np.asarray(fluid, object)
    for one in {fluids} if isinstance(fluids, str) else set(fluids):
        fluid_named(one)
    used = set(named.values())
    unread = (*(str(c) for c in frame.columns if c not in used), *unused(taken, plan, {fluids} if isinstance(fluids, str) else set(fluids)))
    made = run(plan, taken, fluids, home, len(frame))
    derived = pandas.DataFrame(made.block.T, index=frame.index, columns=list(made.values), copy=False)
    unit_of = {name: home.unit(known[name][0]) for name in taken if name in known} | made.units
    derived.attrs["units"] = dict(made.units)
    read = pandas.DataFrame(taken, index=frame.index, copy=False)
    if not isinstance(fluids, str):
        read["fluid"] = fluids
    checks = MudChecks(home, read, derived, unit_of, made.skipped, None, made, GATES if gates is None else gates, plan, taken, fluids, unread)
    return replace(checks, uncertainty=checks.uncertainties(table, instruments)) if uncertainty else checks
