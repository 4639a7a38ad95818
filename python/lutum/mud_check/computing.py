"""The plan run over columns: its steps as one chain, which the compiled part takes block by block through all of them."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np

from lutum import _core, units
from lutum._columns import result_rows

from .plan import Plan, Step, calculation_of, is_result

__all__ = ["Chain", "Computed", "Run", "chain_of", "depends", "gaps", "named_results", "run"]

Assumed = Callable[[str, Any], list[tuple[int, float]]]  # name and variable of a default: in which directions it is uncertain, and by how much


@dataclass(slots=True)
class Computed:
    """One step as it was computed: where each of its inputs came from, and in which rows it is meant to be."""

    step: Step
    calculation: Any
    sources: dict[str, tuple[str, ...]]  # by input, the names that had a column; empty: the default
    choice: Any = None
    rows: Any = None  # mask of the rows the step is meant for; None: all
    columns: Mapping[str, Any] = field(default_factory=dict)  # readings and results by name
    _inputs: dict[str, Any] = field(default_factory=dict)

    @property
    def inputs(self) -> dict[str, Any]:
        """Its inputs by name, columns or numbers; those that stand at their default are left out."""
        if not self._inputs:
            for v in self.calculation.inputs:
                if v.name in self.step.fixed:
                    self._inputs[v.name] = _fixed(self.step, v)
                elif v.name in self.step.lists:
                    places = np.broadcast_arrays(*(np.atleast_1d(self.columns.get(n, np.nan)) for n in self.step.lists[v.name]))
                    self._inputs[v.name] = np.stack(places, axis=-1)
                elif self.sources.get(v.name):
                    self._inputs[v.name] = _first_there([self.columns[n] for n in self.sources[v.name]] + ([] if v.default is None else [v.default]))
        return self._inputs

    def numbers_in(self, place: Mapping[str, int], assumed: "Assumed | None") -> Iterator[tuple[list[int], float, list[tuple[int, float]]]]:
        """Every number that goes in: the columns it may come from, what stands where all are missing, and how uncertain that is."""
        step = self.step
        for v in self.calculation.inputs:
            if v.name in step.fixed:
                yield from (([], float(x), []) for x in np.atleast_1d(_fixed(step, v)))
            elif v.name in step.lists:
                yield from (([place[n]] if n in self.sources[v.name] else [], np.nan, []) for n in step.lists[v.name])
            else:
                reading = next((n for n in step.reads.get(v.name, ()) if not is_result(n)), None)
                unsure = [] if assumed is None or reading is None or v.default is None else assumed(reading, v)
                yield [place[n] for n in self.sources.get(v.name, ())], np.nan if v.default is None else v.default, unsure


@dataclass(slots=True)
class Run:
    """All derived values by name, the steps computed, and why others were not."""

    length: int
    block: Any = None  # the values as they lie in memory, a row each
    values: dict[str, Any] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    steps: dict[str, Computed] = field(default_factory=dict)
    skipped: dict[str, str] = field(default_factory=dict)


def run(plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int) -> Run:
    """Every step for which there is something to read.

    ``columns``: readings by name in the units of ``home``, float arrays of ``length`` or plain numbers; texts only for an
    option. ``fluid``: one of FLUIDS, or an object array of them.
    """
    chain = chain_of(plan, columns, fluid, home, length)
    values = result_rows(len(chain.made.units), length)
    chain.compute(slice(0, length), values)
    return chain.finished(values)


@dataclass(slots=True)
class Chain:
    """The steps of a plan for which there is something to read, ready to be computed over any part of the rows."""

    made: Run  # without values yet
    columns: Mapping[str, Any]
    home: Any
    given: list[str] = field(default_factory=list)  # the readings that a step takes, and the unit it takes each in
    unit_of: dict[str, str] = field(default_factory=dict)
    choices: list[Any] = field(default_factory=list)  # by step its choices by row, None: all the same

    def place(self) -> dict[str, int]:
        """The number of every column: the readings, then the results."""
        return {name: i for i, name in enumerate((*self.given, *self.made.units))}

    def compute(
        self, rows: slice, values: Any = None, standard: Any = None, errors: list[tuple[int, int, Any]] | None = None, wanted: list[tuple[int, int]] | None = None,
        assumed: Assumed | None = None, reach: list[list[list[int]]] | None = None,
    ) -> Any:  # fmt: skip
        """These rows of all results into ``values``, of their standard uncertainties into ``standard``, and the changes that are wanted."""
        place = self.place()
        steps = []
        for k, (computed, choices) in enumerate(zip(self.made.steps.values(), self.choices, strict=True)):
            calculation, listed = computed.calculation, next(iter(computed.step.lists.values()), ())
            choice = computed.choice if isinstance(computed.choice, str) else calculation.choice or ""
            inputs = list(computed.numbers_in(place, assumed))
            steps.append((calculation.sheet.id, choice, len(listed), inputs, reach[k] if reach else [], None if choices is None else choices[rows]))
        given = [x if np.ndim(x) == 0 else x[rows] for x in map(self.columns.__getitem__, self.given)]
        return _core.chain(steps, self.home.system, self.home.replaced, given, errors or [], rows.stop - rows.start, values, standard, wanted or [])

    def finished(self, values: Any) -> Run:
        """The run with these values, a row a result."""
        self.made.block, self.made.values = values, dict(zip(self.made.units, values, strict=True))
        every = {**self.columns, **self.made.values}
        for computed in self.made.steps.values():
            computed.columns = every
        return self.made


def chain_of(plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int) -> Chain:
    """The plan for the columns that there are."""
    chain = Chain(Run(length), columns, home)
    made = chain.made
    for step in plan:
        computed = _gather(step, columns, made, home, fluid)
        if isinstance(computed, str):
            made.skipped[step.calculation] = computed
            continue
        chain.home = computed.calculation._home
        for v in computed.calculation.inputs:
            for name in computed.sources.get(v.name, ()):
                if not is_result(name):
                    chain.unit_of.setdefault(name, v.unit)
        chain.choices.append(_choices(computed, length))
        made.steps[computed.calculation.sheet.id] = computed
        made.units.update(named_results(computed))
    chain.given = list(chain.unit_of)
    return chain


def _gather(step: Step, columns: Mapping[str, Any], made: Run, home: Any, fluid: Any) -> Computed | str:
    """Where each input of a step comes from and the rows it is meant for; or why it cannot be computed."""
    rows = None if isinstance(fluid, str) else np.isin(fluid, step.fluids)
    if (isinstance(fluid, str) and fluid not in step.fluids) or (rows is not None and not rows.any()):
        return f"it is for {' and '.join(step.fluids).replace('_', '-')} muds"
    calculation = calculation_of(step, home)
    sources: dict[str, tuple[str, ...]] = {}
    lacking = []
    for v in calculation.inputs:
        names = step.lists.get(v.name, step.reads.get(v.name, ()))
        there = tuple(n for n in names if n in made.units or columns.get(n) is not None)
        if there:
            sources[v.name] = there
        elif v.name in step.lists:
            lacking.append(f"{names[0]} ({v.meaning})")
        elif names and v.required:
            lacking.append(_not_there(names, v, made))
    if lacking:
        return "there is no " + ", no ".join(lacking)
    if not sources:
        return "there is no reading for it"
    choice = columns.get(step.choice) if step.choice else None
    if choice is not None and step.choice:
        sources[calculation.option.name] = (step.choice,)
        if isinstance(choice, str):
            calculation.choosing(choice)  # an error if there is no such choice
    return Computed(step, calculation, sources, choice, None if rows is None or rows.all() else rows)


def _choices(computed: Computed, length: int) -> Any:
    """By row the place of the choice of its option, -1 where it has none or the step is not meant for it; None: all the same."""
    option, words = computed.calculation.option, computed.choice
    by_row = words is not None and not isinstance(words, str)
    if computed.rows is None and not by_row:
        return None
    places = np.full(length, -1 if by_row else 0 if option is None or words is None else list(option.choices).index(words), np.int8)
    for place, choice in enumerate(option.choices if by_row else ()):
        places[np.asarray(words, object) == choice] = place
    return places if computed.rows is None else np.where(computed.rows, places, np.int8(-1))


def _fixed(step: Step, v: Any) -> Any:
    value, unit = step.fixed[v.name]
    return units.convert(np.asarray(value, float), unit, v.unit_symbol)


def _not_there(names: tuple[str, ...], v: Any, made: Run) -> str:
    """What an input should have come from, and why that is not there."""
    name = next((n for n in names if not is_result(n)), names[0])
    calculation = name.rpartition(".")[0]
    why = made.skipped.get(calculation, v.meaning) if is_result(name) else v.meaning
    return f"{name} ({why})"


@cache
def depends(calculation: Any) -> dict[str, tuple[tuple[str, int], ...]]:
    """Of each result (a list's by place, "name_0") the inputs and places it follows from: where the gradient of the example is not zero."""
    slopes = calculation.gradient(**calculation.example)
    found: dict[str, tuple[tuple[str, int], ...]] = {}
    for v, row in zip(calculation.results, slopes):
        for place in range(v.length if v.is_list else 1):
            wanted = []
            for w, slope in zip(calculation.inputs, row):
                block = np.asarray(slope, float)
                block = block[place : place + 1] if v.is_list else block
                live = np.atleast_1d(block).reshape(-1, block.shape[-1] if w.is_list else 1)
                wanted += [(w.name, k) for k in range(live.shape[1]) if np.any(live[:, k] != 0.0)]
            found[f"{v.name}_{place}" if v.is_list else v.name] = tuple(wanted)
            if v.is_list and place + 1 >= np.asarray(row[0]).shape[0]:
                break
    return found


def gaps(computed: Computed, result: str) -> dict[str, Any]:
    """The readings and earlier results that a result (by its name in the calculation, a list's by its suffix) misses: a mask each."""
    step, calculation = computed.step, computed.calculation
    places = step.places()
    stem, _, suffix = result.rpartition("_")
    listed = any(v.is_list and v.name == stem for v in calculation.results)
    key = f"{stem}_{places.index(suffix)}" if listed and suffix in places else result
    found: dict[str, Any] = {}
    for name, place in depends(calculation).get(key, ()):
        x = computed.inputs.get(name)
        if name in step.lists:
            if place >= len(step.lists[name]):  # the example has more places than the plan
                continue
            source = step.lists[name][place]
            gap = np.asarray(True) if x is None else np.isnan(x[..., place])
        else:
            source = next(iter(step.reads.get(name, ())), "")
            v = next(v for v in calculation.inputs if v.name == name)
            gap = np.asarray(v.default is None) if x is None else np.isnan(np.asarray(x, float))
        if source and gap.any():
            found[source] = gap
    return found


def _first_there(columns: list[Any]) -> Any:
    """Row by row the first of the columns that is not missing."""
    chosen = columns[0]
    for other in columns[1:]:
        chosen = np.where(np.isnan(chosen), other, chosen)
    return chosen


def named_results(computed: Computed) -> Iterator[tuple[str, str]]:
    """Name and unit of every derived value of a step; a list's elements go by the suffix of their readings."""
    for v in computed.calculation.results:
        name = f"{computed.calculation.sheet.id}.{v.name}"
        for place in computed.step.places() if v.is_list else ("",):
            yield (f"{name}_{place}" if v.is_list else name), v.unit
