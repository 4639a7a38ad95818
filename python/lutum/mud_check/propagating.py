"""Uncertainty through the chain of a mud check: every independent source of error is followed through all steps, so that what two
results share is not lost (a difference of a value with itself has none).

By the law of propagation (JCGM 100, 5.1), linear, with exact derivatives. The frame goes through in blocks of rows that stay in cache.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np

from lutum import _core

from .computing import Computed, Run, gather, named_results
from .plan import Plan, is_result

__all__ = ["Errors", "Followed", "follow", "follow_blocks", "standard_uncertainties"]

BLOCK = 8192  # rows

# errors(name, values, unit, read): the independent sources of a reading's error, each with the change for one standard uncertainty
# of it in the unit. read: whether the values were read, or are the default that is assumed where nobody read any.
Errors = Callable[[str, Any, str, bool], list[tuple[str, Any]]]
Changes = dict[str, Any]  # by source, what one standard uncertainty of it changes


@dataclass(slots=True)
class Followed:
    """Values and changes of every derived value of some rows, and the variances that these make."""

    run: Run
    changes: dict[str, Changes] = field(default_factory=dict)
    variances: dict[str, Any] = field(default_factory=dict)


def follow(plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, errors: Errors) -> Followed:
    """The plan over these rows, with what one standard uncertainty of each source changes in every derived value."""
    followed = Followed(Run(length))
    for step in plan:
        computed = gather(step, columns, followed.run, home, fluid)
        if isinstance(computed, str):
            followed.run.skipped[step.calculation] = computed
        else:
            _pass_on(computed, columns, followed, errors)
    return followed


def _of(name: str, values: Any, unit: str, followed: Followed, errors: Errors) -> Changes:
    """The changes of a reading or of an earlier result."""
    if is_result(name):
        return followed.changes.get(name, {})
    if name not in followed.changes:
        missing = np.isnan(values)
        found = dict(errors(name, values, unit, True))
        # a reading that is not there has no error; the results that need it are missing anyway
        followed.changes[name] = {s: np.where(missing, 0.0, c) for s, c in found.items()} if np.any(missing) else found
    return followed.changes[name]


def _of_input(computed: Computed, v: Any, columns: Mapping[str, Any], followed: Followed, errors: Errors) -> Changes:
    """The changes of an input that may come from several names: row by row of the one that was taken."""
    names = computed.step.reads.get(v.name, ())
    there: list[tuple[str, Any]] = [(n, x) for n in names for x in [followed.run.values.get(n, columns.get(n))] if x is not None]
    if len(there) == 1 and not np.isnan(there[0][1]).any():
        return _of(there[0][0], there[0][1], v.unit, followed, errors)
    merged: Changes = {}
    left = np.ones(followed.run.length, bool)
    for name, x in there:
        use = left & ~np.isnan(x)
        left &= ~use
        if use.any():
            for source, change in _of(name, x, v.unit, followed, errors).items():
                merged[source] = merged.get(source, 0.0) + np.where(use, change, 0.0)
    assumed = next((n for n in names if not is_result(n)), None)
    if v.default is not None and assumed is not None and left.any():
        for source, change in errors(assumed, np.float64(v.default), v.unit, False):
            merged[source] = merged.get(source, 0.0) + (change if left.all() else np.where(left, change, 0.0))
    return merged


def _pass_on(computed: Computed, columns: Mapping[str, Any], followed: Followed, errors: Errors) -> None:
    step, calculation, n = computed.step, computed.calculation, followed.run.length
    by_slot: list[tuple[int, Changes]] = []
    slot = 0
    for v in calculation.inputs:
        if v.name in step.lists:
            for k, name in enumerate(step.lists[v.name]):
                if columns.get(name) is not None:
                    by_slot.append((slot + k, _of(name, columns[name], v.unit, followed, errors)))
        elif v.name in step.reads:
            by_slot.append((slot, _of_input(computed, v, columns, followed, errors)))
        slot += v.length
    sources = list(dict.fromkeys(s for _, changes in by_slot for s in changes))
    place = {s: d for d, s in enumerate(sources)}
    told = [(s, place[source], change) for s, changes in by_slot for source, change in changes.items()]
    reach = reaches(calculation)
    touched = [{s for s, changes in by_slot if source in changes} for source in sources]
    names = list(named_results(computed))
    rows = [(r, name) for r, name in zip(given_rows(computed), names, strict=True)]
    wanted = [(d, row) for row, (r, _) in enumerate(rows) for d in range(len(sources)) if not touched[d].isdisjoint(reach[r])]
    arrays = [computed.inputs.get(v.name, np.nan if v.default is None else v.default) for v in calculation.inputs]
    if computed.choice is None or isinstance(computed.choice, str):
        values, changed, variances = _tangents(calculation, computed.choice or calculation.choice or "", arrays, told, wanted, len(sources), n)
    else:
        values, changed, variances = _by_choice(computed, arrays, told, wanted, len(sources), n)
    for row, (_, (name, unit)) in enumerate(rows):
        column = values[row] if computed.rows is None else np.where(computed.rows, values[row], np.nan)
        followed.run.values[name], followed.run.units[name] = column, unit
        followed.variances[name], followed.changes[name] = variances[row], {}
    for (d, row), change in zip(wanted, changed, strict=True):
        followed.changes[rows[row][1][0]][sources[d]] = change
    followed.run.steps[calculation.sheet.id] = computed


def _tangents(calculation: Any, choice: str, arrays: list[Any], told: list[Any], wanted: list[Any], directions: int, n: int) -> tuple[Any, Any, Any]:
    home = calculation._home
    made: tuple[Any, Any, Any] = _core.tangents(calculation.sheet.id, choice, home.system, home.replaced, arrays, told, wanted, directions, n)
    return made


def _by_choice(computed: Computed, arrays: list[Any], told: list[Any], wanted: list[Any], directions: int, n: int) -> tuple[Any, Any, Any]:
    """The same where every row names its choice. A calculation with an option has no lists."""
    calculation = computed.calculation
    results = len(calculation.results)
    made = np.full((results, n), np.nan), np.zeros((len(wanted), n)), np.zeros((results, n))
    for choice in calculation.option.choices:
        rows = np.flatnonzero(np.asarray(computed.choice, object) == choice)
        if len(rows):
            own = [a if np.ndim(a) == 0 else np.asarray(a)[rows] for a in arrays]
            changes = [(s, d, x if np.ndim(x) == 0 else np.asarray(x)[rows]) for s, d, x in told]
            for whole, part in zip(made, _tangents(calculation, choice, own, changes, wanted, directions, len(rows))):
                whole[:, rows] = part
    return made


def given_rows(computed: Computed) -> Iterator[int]:
    """The slots of a calculation's results, of a list only those that have readings."""
    slot = 0
    for v in computed.calculation.results:
        yield from range(slot, slot + (len(computed.step.places()) if v.is_list else 1))
        slot += v.length


@cache
def reaches(calculation: Any) -> tuple[frozenset[int], ...]:
    """By result slot the input slots that can change it: those without which it is missing. A slope that is zero in one branch is
    not in another, but a missing input is missing in all; the tests of the catalogue prove that nothing else has a slope."""
    record = {v.name: list(x) if v.is_list else x for v in calculation.inputs for x in [calculation.example[v.name]]}
    slots = [(v, k) for v in calculation.inputs for k in range(v.length)]

    def missing(name: str | None = None, place: int = 0) -> Any:
        gone = dict(record)
        if name is not None:
            gone[name] = np.nan if not isinstance(record[name], list) else [np.nan if k == place else x for k, x in enumerate(record[name])]
        flat = []
        for v, x in zip(calculation.results, calculation(**gone)):
            flat += [*np.isnan(x), *[True] * (v.length - len(x))] if v.is_list else [bool(np.isnan(x))]
        return np.array(flat)

    always = missing()
    found: list[set[int]] = [set() for _ in always]
    for i, (v, k) in enumerate(slots):
        longer = v.is_list and k >= len(record[v.name])
        for r in np.flatnonzero(always if longer else always | missing(v.name, k)):
            found[r].add(i)
    return tuple(map(frozenset, found))


def follow_blocks(plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, errors: Errors) -> Iterator[tuple[slice, Followed]]:
    """The rows block by block."""
    for begin in range(0, length, BLOCK):
        rows = slice(begin, min(begin + BLOCK, length))
        part = {n: x if isinstance(x, str) or np.ndim(x) == 0 else x[rows] for n, x in columns.items()}
        yield rows, follow(plan, part, fluid if isinstance(fluid, str) else fluid[rows], home, rows.stop - rows.start, errors)


def standard_uncertainties(plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, errors: Errors) -> dict[str, Any]:
    """A standard uncertainty for every derived value of many rows. Missing where the value is."""
    spread: dict[str, Any] = {}
    for rows, followed in follow_blocks(plan, columns, fluid, home, length, errors):
        for name, values in followed.run.values.items():
            if name not in spread:
                spread[name] = np.full(length, np.nan)
            out = spread[name][rows]
            np.sqrt(followed.variances[name], out=out)
            out[np.isnan(values)] = np.nan
    return spread
