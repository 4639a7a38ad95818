"""Rows of typical ranges: who says so, and how far that can be trusted. Data to edit, not constants."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

from lutum.diagnosis.loading import MARKS
from lutum.diagnosis.observing import Observable, find, unit_fits
from lutum.diagnosis.shaping import check_keys, check_shape, parsed

__all__ = ["FluidType", "Range", "Table", "load", "shipped"]

FAMILIES = ("water_base", "non_aqueous")


@dataclass(frozen=True, slots=True)
class FluidType:
    """A type of fluid. `family`: the general rows that hold for it where it has none of its own."""

    name: str
    family: str
    words: str


@dataclass(frozen=True, slots=True)
class Range:
    """What one source takes as typical of an observable in a type of fluid. `low` or `high` may be missing.

    `per`: an observable that the range goes with; `per_low`, `per_high` in `per_unit` say where it holds, and `low_slope`,
    `high_slope` what is added to a bound for each unit of it. `trust`: how far it can be trusted, in words.
    """

    observable: str
    fluid: str
    mark: str
    trust: str
    source: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    per: str = ""
    per_unit: str = ""
    per_low: float | None = None
    per_high: float | None = None
    low_slope: float = 0.0
    high_slope: float = 0.0
    note: str = ""

    def seen(self) -> Observable:
        """The observable it is about."""
        return find(self.observable)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows and the fluid types they speak of. Two sources that disagree are two rows."""

    rows: tuple[Range, ...]
    fluids: tuple[FluidType, ...]

    def __iter__(self) -> Iterator[Range]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    def fluid(self, name: str) -> FluidType:
        """The fluid type of this name."""
        for fluid in self.fluids:
            if fluid.name == name:
                return fluid
        raise ValueError(f"fluid_type = {name!r} is not in the table; it has {', '.join(f.name for f in self.fluids)}")

    def of(self, fluid_type: str) -> tuple[Range, ...]:
        """The rows that hold for a fluid type: its own, and of its family those on observables it has no own row for."""
        fluid = self.fluid(fluid_type)
        own = [r for r in self.rows if r.fluid == fluid.name]
        covered = {r.seen().name for r in own}
        return (*own, *(r for r in self.rows if r.fluid == fluid.family != fluid.name and r.seen().name not in covered))

    def with_rows(self, *rows: Range) -> "Table":
        """This table with more rows, checked like those of a file."""
        for i, row in enumerate(rows, start=1):
            _check_row(row, f"row {i} ({row.observable})", {f.name for f in self.fluids})
        return Table((*self.rows, *rows), self.fluids)

    def with_fluids(self, *fluids: FluidType) -> "Table":
        """This table with more fluid types; one of the same name is replaced."""
        for fluid in fluids:
            _check_fluid(fluid, f"fluid {fluid.name!r}")
        names = {f.name for f in fluids}
        return Table(self.rows, (*(f for f in self.fluids if f.name not in names), *fluids))

    def without(self, *observables: str, fluid_type: str = "") -> "Table":
        """This table without the rows on these observables, of one fluid type or of all."""
        names = {find(o).name for o in observables}
        gone = [r for r in self.rows if r.seen().name in names and (not fluid_type or r.fluid == fluid_type)]
        if not gone:
            raise ValueError(f"the table has no row on {', '.join(observables)}{f' for {fluid_type}' if fluid_type else ''}")
        return Table(tuple(r for r in self.rows if r not in gone), self.fluids)

    def frame(self) -> Any:
        """A pandas frame, a row a range."""
        import pandas as pd

        return pd.DataFrame([asdict(r) for r in self.rows], columns=list(Range.__dataclass_fields__))


def load(*paths: str | Path) -> Table:
    """A table from TOML files, or all TOML files of a folder. ValueError names the file, the row and the key that is wrong.

    A file has `[[fluid]]` (name, family, words) and `[[range]]` tables. Start from a copy of `lutum/ranges/shipped`.
    """
    files = [f for p in map(Path, paths) for f in (sorted(p.glob("*.toml")) if p.is_dir() else [p])]
    if not files:
        raise ValueError(f"no TOML file in {', '.join(map(str, paths)) or 'nothing'}: give the files of ranges or their folder")
    tables = {f.name: parsed(f) for f in files}
    fluids = [FluidType(name, name, f"{name.replace('_', '-')} mud") for name in FAMILIES]
    for file, table in tables.items():
        check_keys(table, ("fluid", "range"), file)
        fluids += [_fluid(t, f"{file}, fluid {i}") for i, t in enumerate(table.get("fluid", []), start=1)]
    names = [f.name for f in fluids]
    twice = sorted({n for n in names if names.count(n) > 1})
    if twice:
        raise ValueError(f"two fluids are called {twice[0]!r} in {', '.join(tables)}; rename or remove one")
    rows = [_row(t, f"{file}, range {i} ({t.get('observable', 'no observable')}, {t.get('fluid', 'no fluid')})", set(names))
            for file, table in tables.items() for i, t in enumerate(table.get("range", []), start=1)]  # fmt: skip
    return Table(tuple(rows), tuple(fluids))


@cache
def shipped() -> Table:
    """The ranges that come with the library: house opinions and memories, each marked as such."""
    return load(Path(__file__).parent / "shipped")


def _fluid(table: Mapping[str, Any], where: str) -> FluidType:
    check_shape(table, FluidType, where)
    return _check_fluid(FluidType(**table), where)


def _check_fluid(fluid: FluidType, where: str) -> FluidType:
    if fluid.family not in FAMILIES:
        raise ValueError(f"{where}: family = {fluid.family!r}; it is {' or '.join(FAMILIES)}")
    return fluid


def _row(table: Mapping[str, Any], where: str, fluids: Iterable[str]) -> Range:
    check_shape(table, Range, where)
    return _check_row(Range(**table), where, set(fluids))


def _check_row(row: Range, where: str, fluids: set[str]) -> Range:
    observable = _observable(row.observable, "observable", where)
    if row.fluid not in fluids:
        raise ValueError(f"{where}: fluid = {row.fluid!r} is not in the table; it has {', '.join(sorted(fluids))}")
    if row.mark not in MARKS:
        raise ValueError(f"{where}: mark = {row.mark!r}; it is one of {', '.join(MARKS)}")
    if row.mark in ("seen", "derived") and not row.source:
        raise ValueError(f"{where}: source is missing; what is {row.mark} says from where")
    _check_unit(observable, row.unit, "unit", where)
    if row.low is None and row.high is None:
        raise ValueError(f"{where}: low and high are both missing; give one of them")
    if row.low is not None and row.high is not None and not row.per and row.low > row.high:
        raise ValueError(f"{where}: low = {row.low:g} is above high = {row.high:g}")
    _check_per(row, where)
    return row


def _check_per(row: Range, where: str) -> None:
    if row.per:
        _check_unit(_observable(row.per, "per", where), row.per_unit, "per_unit", where)
        if row.per_low is not None and row.per_high is not None and row.per_low > row.per_high:
            raise ValueError(f"{where}: per_low = {row.per_low:g} is above per_high = {row.per_high:g}")
    elif row.per_unit or row.per_low is not None or row.per_high is not None or row.low_slope or row.high_slope:
        raise ValueError(f"{where}: per is missing; say which observable per_unit, per_low, per_high and the slopes are about")


def _check_unit(observable: Observable, unit: str, key: str, where: str) -> None:
    if observable.kind != "number":
        raise ValueError(f"{where}: {observable.name} is a {observable.kind}; a range is of a number")
    if not unit_fits(observable, unit):
        raise ValueError(f"{where}: {key} = {unit!r} does not measure {observable.quantity.replace('_', ' ')}")


def _observable(name: str, key: str, where: str) -> Observable:
    try:
        return find(name)
    except ValueError as error:
        raise ValueError(f"{where}: {key}: {error}") from None
