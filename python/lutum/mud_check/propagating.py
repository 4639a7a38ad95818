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


@dataclass(frozen=True, slots=True)
class _Shape:
    """Who tells whom of which change in a step: the same in every block whose inputs have the same sources."""

    results: list[tuple[str, str]]  # name and unit
    directions: int
    told: list[tuple[int, int]]  # input slot and direction of each change
    wanted: list[tuple[int, int]]  # direction and result
    kept: list[tuple[int, str, str]]  # place in wanted, result and source of each change to remember


@dataclass(slots=True)
class _Common:
    """What the blocks of a frame share."""

    only: frozenset[str] | None = None  # the results whose changes are remembered; None: all
    shapes: dict[Any, _Shape] = field(default_factory=dict)
    assumed: dict[tuple[str, float, str], list[tuple[str, Any]]] = field(default_factory=dict)  # errors of defaults


@dataclass(slots=True)
class Followed:
    """Values and changes of every derived value of some rows, and the variances that these make."""

    run: Run
    changes: dict[str, Changes] = field(default_factory=dict)
    variances: dict[str, Any] = field(default_factory=dict)
    common: _Common = field(default_factory=_Common)
    gaps: dict[str, Any] = field(default_factory=dict)  # by name the rows it misses; None: none
    passed: dict[str, Changes] = field(default_factory=dict)  # by name its changes, none where it is missing


def follow(
    plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, errors: Errors, common: _Common | None = None
) -> Followed:
    """The plan over these rows, with what one standard uncertainty of each source changes in every derived value."""
    followed = Followed(Run(length), common=common or _Common())
    for step in plan:
        computed = gather(step, columns, followed.run, home, fluid)
        if isinstance(computed, str):
            followed.run.skipped[step.calculation] = computed
        else:
            _pass_on(computed, columns, followed, errors)
    return followed


def _gap(name: str, values: Any, followed: Followed) -> Any:
    if name not in followed.gaps:
        missing = np.isnan(values)
        followed.gaps[name] = missing if missing.any() else None
    return followed.gaps[name]


def _of(name: str, values: Any, unit: str, followed: Followed, errors: Errors) -> Changes:
    """The changes of a reading or of an earlier result. What is not there has no error: the results that need it are missing anyway."""
    if name not in followed.passed:
        found = followed.changes.get(name, {}) if is_result(name) else dict(errors(name, values, unit, True))
        gap = _gap(name, values, followed)
        followed.passed[name] = found if gap is None else {s: np.where(gap, 0.0, c) for s, c in found.items()}
    return followed.passed[name]


def _of_default(name: str, v: Any, followed: Followed, errors: Errors) -> list[tuple[str, Any]]:
    known, key = followed.common.assumed, (name, v.default, v.unit)
    if key not in known:
        known[key] = errors(name, np.float64(v.default), v.unit, False)
    return known[key]


def _of_input(computed: Computed, v: Any, columns: Mapping[str, Any], followed: Followed, errors: Errors) -> Changes:
    """The changes of an input that may come from several names: row by row of the one that was taken."""
    names = computed.step.reads.get(v.name, ())
    there: list[tuple[str, Any]] = [(n, x) for n in names for x in [followed.run.values.get(n, columns.get(n))] if x is not None]
    merged: Changes = {}
    left: Any = True  # the rows that have none yet
    for name, x in there:
        found, gap = _of(name, x, v.unit, followed, errors), _gap(name, x, followed)
        if left is True:
            merged |= found
        elif (left if gap is None else left & ~gap).any():
            for source, change in found.items():  # zero where it is missing
                merged[source] = merged.get(source, 0.0) + np.where(left, change, 0.0)
        if gap is None:
            return merged
        left = gap if left is True else left & gap
        if not left.any():
            return merged
    assumed = next((n for n in names if not is_result(n)), None)
    if v.default is not None and assumed is not None:
        everywhere = left is True or left.all()
        for source, change in _of_default(assumed, v, followed, errors):
            merged[source] = merged.get(source, 0.0) + (change if everywhere else np.where(left, change, 0.0))
    return merged


def _shape(computed: Computed, sources_of: tuple[tuple[int, tuple[str, ...]], ...], common: _Common) -> _Shape:
    """``sources_of``: input slots and the sources of each."""
    key = (computed.step.calculation, sources_of)
    if key not in common.shapes:
        sources = list(dict.fromkeys(s for _, own in sources_of for s in own))
        place = {s: d for d, s in enumerate(sources)}
        touched = [{slot for slot, own in sources_of if source in own} for source in sources]
        reach, results = reaches(computed.calculation), list(named_results(computed))
        slots = enumerate(given_rows(computed))
        wanted = [(d, row) for row, r in slots for d in range(len(sources)) if not touched[d].isdisjoint(reach[r])]
        kept = [(w, results[row][0], sources[d]) for w, (d, row) in enumerate(wanted) if common.only is None or results[row][0] in common.only]
        common.shapes[key] = _Shape(results, len(sources), [(slot, place[s]) for slot, own in sources_of for s in own], wanted, kept)
    return common.shapes[key]


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
    shape = _shape(computed, tuple((slot, tuple(changes)) for slot, changes in by_slot), followed.common)
    flat = [change for _, changes in by_slot for change in changes.values()]
    told = [(slot, d, change) for (slot, d), change in zip(shape.told, flat, strict=True)]
    arrays = [computed.inputs.get(v.name, np.nan if v.default is None else v.default) for v in calculation.inputs]
    if computed.choice is None or isinstance(computed.choice, str):
        values, changed, variances = _tangents(calculation, computed.choice or calculation.choice or "", arrays, told, shape.wanted, shape.directions, n)
    else:
        values, changed, variances = _by_choice(computed, arrays, told, shape.wanted, shape.directions, n)
    for row, (name, unit) in enumerate(shape.results):
        column = values[row] if computed.rows is None else np.where(computed.rows, values[row], np.nan)
        followed.run.values[name], followed.run.units[name] = column, unit
        followed.variances[name], followed.changes[name] = variances[row], {}
    for w, name, source in shape.kept:
        followed.changes[name][source] = changed[w]
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
    """By result slot the input slots that can change it by any choice: those without which it is missing. A slope that is zero in one branch
    is not in another, but a missing input is missing in all; the tests of the catalogue prove that nothing else has a slope."""
    every = [calculation] if calculation.option is None else [calculation.choosing(c) for c in calculation.option.choices]
    return tuple(frozenset[int]().union(*slots) for slots in zip(*map(_reaches_as_chosen, every)))


def _reaches_as_chosen(calculation: Any) -> tuple[frozenset[int], ...]:
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
    numbers = [r for r, v in enumerate(w for w in calculation.results for _ in range(w.length)) if not v.is_list]
    for name in {v.name for v in calculation.inputs if v.is_list}:  # which places of a list a number follows from may hang on another input
        places = {i for i, (v, _) in enumerate(slots) if v.name == name}
        for r in numbers:
            found[r] |= places if found[r] & places else set()
    return tuple(map(frozenset, found))


def follow_blocks(
    plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, errors: Errors, only: frozenset[str] | None = None
) -> Iterator[tuple[slice, Followed]]:
    """The rows block by block. ``only``: the results whose changes are wanted; other changes are forgotten as soon as no step needs them."""
    taken = frozenset(name for step in plan for name in step.names() if is_result(name))
    common = _Common(None if only is None else only | taken)
    for begin in range(0, length, BLOCK):
        rows = slice(begin, min(begin + BLOCK, length))
        part = {n: x if isinstance(x, str) or np.ndim(x) == 0 else x[rows] for n, x in columns.items()}
        followed = follow(plan, part, fluid if isinstance(fluid, str) else fluid[rows], home, rows.stop - rows.start, errors, common)
        if isinstance(fluid, str) and begin == 0:  # what has no readings has none in any block
            plan = Plan(tuple(step for step in plan if step.calculation not in followed.run.skipped))
        yield rows, followed
        del followed  # its memory is still in cache: the next block takes it


def standard_uncertainties(plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, errors: Errors) -> dict[str, Any]:
    """A standard uncertainty for every derived value of many rows. Missing where the value is."""
    spread: dict[str, Any] = {}
    for rows, followed in follow_blocks(plan, columns, fluid, home, length, errors, only=frozenset()):
        for name, values in followed.run.values.items():
            if name not in spread:
                spread[name] = np.empty(length) if isinstance(fluid, str) else np.full(length, np.nan)  # of several muds a block may have one
            out = spread[name][rows]
            np.sqrt(followed.variances[name], out=out)
            np.copyto(out, np.nan, where=np.isnan(values))
        del followed  # see follow_blocks
    return spread
