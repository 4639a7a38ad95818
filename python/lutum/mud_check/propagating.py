"""Uncertainty through the chain of a mud check: every independent source of error is followed through all steps, so that what two
results share is not lost (a difference of a value with itself has none).

By the law of propagation (JCGM 100, 5.1), linear, with exact derivatives.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np

from lutum._columns import result_rows

from .computing import Chain, Computed, Run, chain_of
from .plan import Plan

__all__ = ["Errors", "Followed", "follow", "follow_blocks", "standard_uncertainties"]

BLOCK = 65536  # rows: more would only need more memory

# errors(name, values, unit, read): the independent sources of a reading's error, each with the change for one standard uncertainty
# of it in the unit. read: whether the values were read, or are the default that is assumed where nobody read any.
Errors = Callable[[str, Any, str, bool], list[tuple[str, Any]]]
Changes = dict[str, Any]  # by source, what one standard uncertainty of it changes


@dataclass(slots=True)
class Followed:
    """Values, standard uncertainties and changes of derived values of some rows. Changes are zero where the value is missing."""

    run: Run
    standard: dict[str, Any]
    changes: dict[str, Changes] = field(default_factory=dict)


@dataclass(slots=True)
class _Sources:
    """The sources of error of a chain, numbered as they turn up: its directions."""

    chain: Chain
    errors: Errors
    number: dict[str, int] = field(default_factory=dict)
    _assumed: dict[tuple[str, float, str], list[tuple[int, float]]] = field(default_factory=dict)

    def of_readings(self, rows: slice) -> list[tuple[int, int, Any]]:
        """Every change of a reading: its column, its direction, and by how much."""
        found = []
        for column, name in enumerate(self.chain.given):
            x = self.chain.columns[name]
            for source, change in self.errors(name, x if np.ndim(x) == 0 else x[rows], self.chain.unit_of[name], True):
                found.append((column, self.direction(source), change))
        return found

    def assumed(self, name: str, v: Any) -> list[tuple[int, float]]:
        """The changes of a default that nobody read."""
        key = (name, v.default, v.unit)
        if key not in self._assumed:
            self._assumed[key] = [(self.direction(s), float(change)) for s, change in self.errors(name, np.float64(v.default), v.unit, False)]
        return self._assumed[key]

    def direction(self, source: str) -> int:
        return self.number.setdefault(source, len(self.number))


def _reach(chain: Chain) -> list[list[list[int]]]:
    """By step and result the numbers going in, a list's by place, that can change it."""
    return [_reach_of(computed.calculation, len(computed.step.places()) if computed.step.lists else 0) for computed in chain.made.steps.values()]


@cache
def _reach_of(calculation: Any, places: int) -> list[list[int]]:
    inputs: dict[int, int] = {}  # by slot
    first = 0
    for v in calculation.inputs:
        inputs.update({first + k: len(inputs) + k for k in range(places if v.is_list else 1)})
        first += v.length
    reach = reaches(calculation)
    return [sorted(inputs[slot] for slot in reach[r] if slot in inputs) for r in _slots(calculation.results, places)]


def _slots(variables: Any, places: int) -> Iterator[int]:
    slot = 0
    for v in variables:
        yield from range(slot, slot + (places if v.is_list else 1))
        slot += v.length


def _wanted(chain: Chain, sources: _Sources, errors: list[tuple[int, int, Any]], names: frozenset[str] | None) -> dict[tuple[str, str], tuple[int, int]]:
    """Column and direction of every change of these results (None: all) that there can be."""
    touched: list[set[int]] = [set() for _ in chain.given]
    for column, direction, _ in errors:
        touched[column].add(direction)
    place = chain.place()
    for computed, reach in zip(chain.made.steps.values(), _reach(chain)):
        inputs = [set[int]().union(*(touched[c] for c in columns), {d for d, _ in own}) for columns, _, own in computed.numbers_in(place, sources.assumed)]
        touched += [set[int]().union(*(inputs[i] for i in of_result)) for of_result in reach]
    named = list(sources.number)
    return {
        (name, named[d]): (place[name], d) for name in chain.made.units if names is None or name in names for d in sorted(touched[place[name]])
    }


def follow(plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, errors: Errors) -> Followed:
    """The plan over these rows, with what one standard uncertainty of each source changes in every derived value."""
    chain = chain_of(plan, columns, fluid, home, length)
    return _follow(chain, _Sources(chain, errors), slice(0, length), None)


def _follow(chain: Chain, sources: _Sources, rows: slice, only: frozenset[str] | None) -> Followed:
    errors = sources.of_readings(rows)
    wanted = _wanted(chain, sources, errors, only)
    values, standard = (result_rows(len(chain.made.units), rows.stop - rows.start) for _ in range(2))
    changed = chain.compute(rows, values, standard, errors, list(wanted.values()), sources.assumed, _reach(chain))
    changes: dict[str, Changes] = {name: {} for name in chain.made.units}
    for (name, source), change in zip(wanted, changed):
        changes[name][source] = change
    return Followed(chain.finished(values), dict(zip(chain.made.units, standard)), changes)


def follow_blocks(
    plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, errors: Errors, only: frozenset[str]
) -> Iterator[tuple[slice, Followed]]:
    """The rows block by block. ``only``: the results whose changes are wanted."""
    chain = chain_of(plan, columns, fluid, home, length)
    sources = _Sources(chain, errors)
    for rows in _blocks(length):
        yield rows, _follow(chain, sources, rows, only)


def _blocks(length: int) -> Iterator[slice]:
    return (slice(begin, min(begin + BLOCK, length)) for begin in range(0, length, BLOCK))


def standard_uncertainties(plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, errors: Errors) -> dict[str, Any]:
    """A standard uncertainty for every derived value of many rows. Missing where the value is."""
    chain = chain_of(plan, columns, fluid, home, length)
    sources, reach = _Sources(chain, errors), _reach(chain)
    standard = result_rows(len(chain.made.units), length)
    for rows in _blocks(length):
        chain.compute(rows, None, standard[:, rows], sources.of_readings(rows), None, sources.assumed, reach)
    return dict(zip(chain.made.units, standard))


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
    # A fit goes on without a reading, yet follows from each; what is optional here may be needed in another record.
    gaps = {i for i, (v, _) in enumerate(slots) if v.gaps or v.optional}
    return tuple(frozenset(one | gaps) for one in found)
