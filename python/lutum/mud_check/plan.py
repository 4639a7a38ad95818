"""What a mud check computes: the calculations in their order, and which reading or earlier result each input takes."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from operator import attrgetter
from pathlib import Path
from typing import Any

import lutum

__all__ = ["FLUIDS", "Plan", "Step", "load", "shipped"]

FLUIDS = ("water_base", "non_aqueous")


@dataclass(frozen=True, slots=True)
class Step:
    """One calculation of the plan.

    ``reads``: for an input the names it may come from, the first that is there in a row wins; a name with two dots is the
    result of an earlier step, any other a reading. ``lists``: for a list input the readings of its places. ``fixed``: an
    input that the plan itself sets, as (value or list, unit symbol). Inputs not named keep their default.
    """

    calculation: str
    fluids: tuple[str, ...]
    reads: dict[str, tuple[str, ...]]
    lists: dict[str, tuple[str, ...]]
    fixed: dict[str, tuple[Any, str]]
    choice: str = ""  # a reading (text) that names the choice of the calculation's option

    def places(self) -> list[str]:
        """What the places of a list are called in the names of its results: the speed a reading's name ends in, else their number from 1."""
        names = next(iter(self.lists.values()), ())  # all lists of a step have the same places
        ends = [name.rpartition("_")[2] for name in names]
        return ends if all(end.isdigit() for end in ends) else [str(i) for i in range(1, len(names) + 1)]

    def names(self) -> Iterator[str]:
        """Every reading or earlier result that the step may take."""
        for sources in (*self.reads.values(), *self.lists.values()):
            yield from sources
        if self.choice:
            yield self.choice


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Steps in their order."""

    steps: tuple[Step, ...]

    def __iter__(self) -> Iterator[Step]:
        return iter(self.steps)

    def step(self, calculation: str) -> Step:
        """The step of this calculation."""
        for step in self.steps:
            if step.calculation == calculation:
                return step
        raise ValueError(f"the plan has no step {calculation!r}; it has {', '.join(s.calculation for s in self.steps)}")

    def readings(self) -> dict[str, tuple[str, str]]:
        """Every reading the plan can take: the first calculation and input it goes to."""
        found: dict[str, tuple[str, str]] = {}
        for step in self.steps:
            for name, sources in (*step.reads.items(), *step.lists.items()):
                for source in sources:
                    if not is_result(source):
                        found.setdefault(source, (step.calculation, name))
        return found


def is_result(name: str) -> bool:
    """Whether a name is a derived value (area.calculation.result) and not a reading."""
    return name.count(".") == 2


def load(path: Path) -> Plan:
    """A plan from a TOML file. ValueError names the file, the step and what is wrong in it."""
    with path.open("rb") as file:
        tables = tomllib.load(file).get("step", [])
    known = {c.sheet.id: c for c in lutum.catalogue("si")}
    steps: list[Step] = []
    given: set[str] = set()
    for table in tables:
        steps.append(_step(path.name, table, known, given))
        given |= {f"{steps[-1].calculation}.{v.name}" for v in known[steps[-1].calculation].results}
    return Plan(tuple(steps))


def _step(file: str, table: Mapping[str, Any], known: Mapping[str, Any], given: set[str]) -> Step:
    own = str(table.get("calculation", ""))
    where = f"{file}, step {own!r}"
    if own not in known:
        raise ValueError(f"{where}: no such calculation; lutum.catalogue() lists all")
    unknown = set(table) - {"calculation", "fluids", "reads", "lists", "fixed", "choice"}
    if unknown:
        raise ValueError(f"{where}: unknown {', '.join(sorted(unknown))}; a step has calculation, fluids, reads, lists, fixed, choice")
    inputs = {v.name: v for v in known[own].inputs}
    reads = {k: (v,) if isinstance(v, str) else tuple(v) for k, v in table.get("reads", {}).items()}
    lists = {k: tuple(v) for k, v in table.get("lists", {}).items()}
    fixed = {k: (v["value"], v["unit"]) for k, v in table.get("fixed", {}).items()}
    for name in (*reads, *lists, *fixed):
        if name not in inputs:
            raise ValueError(f"{where}: it has no input {name!r}; it has {', '.join(inputs)}")
    for name, v in inputs.items():
        if v.required and name not in {*reads, *lists, *fixed}:
            raise ValueError(f"{where}: nothing is said of its input {name} ({v.meaning})")
    for source in (s for sources in reads.values() for s in sources if is_result(s)):
        if source not in given:
            raise ValueError(f"{where}: {source} is no result of a step before it")
    fluids = tuple(table.get("fluids", FLUIDS))
    if not set(fluids) <= set(FLUIDS):
        raise ValueError(f"{where}: fluids are {', '.join(FLUIDS)}, not {', '.join(fluids)}")
    return Step(own, fluids, reads, lists, fixed, table.get("choice", ""))


@cache
def shipped() -> Plan:
    """The plan that comes with the library: every test of a daily mud check."""
    return load(Path(__file__).parent / "plan.toml")


def calculation_of(step: Step, home: Any) -> Any:
    """The step's calculation in a unit set."""
    return attrgetter(step.calculation)(home)
