"""Check values: published and independently derived numbers that every calculation is held against.

They travel with the package, one file a calculation, and are run by ``python -m lutum check``. Each case goes through
the plain call, a batch of rows, and the other unit sets.
"""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from operator import attrgetter
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

import lutum
from lutum import units
from lutum._sets import SYSTEMS, UnitSet
from lutum.calculation import Calculation

__all__ = ["Case", "Expected", "Outcome", "cases_of", "folder", "load", "run"]

MARKS = ("seen", "derived", "from memory", "common practice, no source")
ROWS = 9  # of a batch: more than the widest pack, and a rest


@dataclass(frozen=True, slots=True)
class Expected:
    """A result as it should be: within ``absolute + relative |value|``; ``printed`` is what the source shows instead."""

    value: Any
    relative: float = 0.0
    absolute: float = 0.0
    printed: Any = None

    def allows(self, got: Any) -> bool:
        want = np.asarray(self.value, float)
        got = np.asarray(got, float)
        if want.shape != got.shape:
            return False
        near = np.abs(got - want) <= self.absolute + self.relative * np.abs(want)
        return bool(np.all(near | (np.isnan(want) & np.isnan(got))))


@dataclass(frozen=True, slots=True)
class Case:
    """One example with its inputs, expected results, verdict, source, and how the source is known."""

    calculation: str
    id: str
    units: UnitSet
    given: dict[str, Any]
    choice: str | None  # of the calculation's option
    expect: dict[str, Expected]
    verdict: str | None
    source: str
    mark: str
    note: str


class Outcome(NamedTuple):
    """What one way of computing a case gave: nothing amiss when ``misses`` is empty."""

    case: Case
    way: str
    misses: tuple[str, ...]


def folder() -> Path:
    """Where the check values of this installation are."""
    return Path(__file__).parent / "check_values"


def _expected(where: str, table: Any) -> Expected:
    unknown = set(table) - {"value", "relative", "absolute", "printed"}
    if unknown or "value" not in table:
        wrong = ", ".join(sorted(unknown)) or "no value"
        raise ValueError(f"{where}: an expected result has value, relative or absolute, and perhaps printed; not {wrong}")
    if not table.keys() & {"relative", "absolute"}:
        raise ValueError(f"{where}: say how near is near enough, with relative or absolute")
    return Expected(**table)


def _case(path: Path, calculation_id: str, table: dict[str, Any]) -> Case:
    where = f"{path.name}, case {table.get('id', 'without id')!r}"
    known = {"id", "units", "unit_overrides", "given", "expect", "verdict", "source", "mark", "note"}
    missing = {"id", "units", "given", "expect", "source", "mark"} - set(table)
    if missing or set(table) - known:
        raise ValueError(f"{where}: missing {', '.join(sorted(missing)) or 'nothing'}; unknown {', '.join(sorted(set(table) - known)) or 'nothing'}")
    if table["mark"] not in MARKS:
        raise ValueError(f"{where}: mark is {table['mark']!r}; it is one of {', '.join(MARKS)}")
    home = lutum.unit_set(table["units"], **table.get("unit_overrides", {}))
    calculation: Calculation = attrgetter(calculation_id)(home)
    choice = table["given"].pop(calculation.option.name, calculation.choice) if calculation.option else None
    if calculation.option and choice not in calculation.option.choices:
        raise ValueError(f"{where}: {calculation.option.name} is {choice!r}; it is one of {', '.join(calculation.option.choices)}")
    for kind, variables in (("given", calculation.inputs), ("expect", calculation.results)):
        unknown = set(table[kind]) - {v.name for v in variables}
        if unknown:
            raise ValueError(f"{where}: {calculation_id} has no {', '.join(sorted(unknown))} in {kind}")
    return Case(
        calculation_id,
        table["id"],
        home,
        table["given"],
        choice,
        {name: _expected(f"{where}, {name}", expected) for name, expected in table["expect"].items()},
        table.get("verdict"),
        table["source"],
        table["mark"],
        table.get("note", ""),
    )


def load(place: Path | None = None) -> list[Case]:
    """All cases of a folder, by default those that came with the package. ValueError tells what is wrong with a file."""
    place = folder() if place is None else place
    paths = sorted(place.glob("*.toml"))
    if not paths:
        raise FileNotFoundError(f"no check values in {place}: this Lutum was not installed from a wheel")
    known = [calculation.sheet.id for calculation in lutum.catalogue()]
    cases = []
    for path in paths:
        with path.open("rb") as file:
            content = tomllib.load(file)
        calculation_id = content.get("calculation")
        if calculation_id not in known or path.stem != calculation_id:
            raise ValueError(f"{path.name} is of calculation {calculation_id!r}; it must be in the catalogue and name the file")
        made = [_case(path, calculation_id, table) for table in content.get("case", [])]
        twice = {case.id for case in made if sum(case.id == other.id for other in made) > 1}
        if twice:
            raise ValueError(f"{path.name}: {', '.join(sorted(twice))} stands twice")
        cases += made
    return cases


def cases_of(cases: list[Case], calculation_id: str) -> list[Case]:
    """The cases of one calculation."""
    return [case for case in cases if case.calculation == calculation_id]


def _calculation(case: Case, home: UnitSet) -> Calculation:
    calculation: Calculation = attrgetter(case.calculation)(home)
    return calculation if case.choice is None else calculation.choosing(case.choice)


def _misses(case: Case, results: Any) -> Iterator[str]:
    for name, expected in case.expect.items():
        got = getattr(results, name)
        if not expected.allows(got):
            yield f"{name} is {got}, expected {expected.value} within {expected.relative:g} of it plus {expected.absolute:g}"


def _plain(case: Case, calculation: Calculation) -> Iterator[str]:
    yield from _misses(case, calculation(**case.given))
    if case.verdict is not None:
        verdict = calculation.judge(**case.given)
        if verdict != case.verdict:
            yield f"the verdict is {verdict}, expected {case.verdict}"


def _batch(case: Case, calculation: Calculation) -> Iterator[str]:
    """Rows of a batch have the bits of the plain call."""
    plain = calculation(**case.given)
    columns = {}
    for v in calculation.inputs:
        if v.name in case.given:
            columns[v.name] = np.array([case.given[v.name]] * ROWS, float)
    rows = calculation(**columns)
    for name, one, many in zip(plain._fields, plain, rows):
        for row in range(ROWS):
            if not np.array_equal(np.asarray(one), np.asarray(many)[row], equal_nan=True):
                yield f"{name} is {np.asarray(many)[row]} in row {row} of a batch, {one} when computed alone"
                break


def _other_set(case: Case, calculation: Calculation, system: str) -> Iterator[str]:
    other = _calculation(case, lutum.unit_set(system))
    given = {
        v.name: units.convert(case.given[v.name], v.unit_symbol, w.unit_symbol)
        for v, w in zip(calculation.inputs, other.inputs)
        if v.name in case.given
    }
    there = other(**given)
    here = (units.convert(x, w.unit_symbol, v.unit_symbol) for x, v, w in zip(there, calculation.results, other.results))
    yield from _misses(case, type(there)._make(here))


def run(case: Case) -> list[Outcome]:
    """The case computed alone, as a batch, and in each standard unit set that is not its own."""
    calculation = _calculation(case, case.units)
    others = [system for system in SYSTEMS if system != case.units.system or case.units.replaced]
    ways: list[tuple[str, Any]] = [("alone", lambda: _plain(case, calculation)), ("batch", lambda: _batch(case, calculation))]
    ways += [(f"in {system} units", lambda system=system: _other_set(case, calculation, system)) for system in others]
    outcomes = []
    for way, misses in ways:
        try:
            outcomes.append(Outcome(case, way, tuple(misses())))
        except Exception as error:  # a case that cannot be computed is a failed case, not the end of the run
            outcomes.append(Outcome(case, way, (f"{type(error).__name__}: {error}",)))
    return outcomes
