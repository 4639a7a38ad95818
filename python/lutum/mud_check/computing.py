"""The plan run over columns: every step one batch, in the order of the plan, with what each input was taken from."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np

from lutum import units

from .plan import Plan, Step, calculation_of, is_result

__all__ = ["Computed", "Run", "depends", "gaps", "gather", "named_results", "run"]


@dataclass(slots=True)
class Computed:
    """One step as it was computed: its inputs by name (columns or numbers), and where each came from."""

    step: Step
    calculation: Any
    inputs: dict[str, Any]
    sources: dict[str, tuple[str, ...]]  # by input, the names that had a column; empty: the default
    choice: Any = None
    rows: Any = None  # mask of the rows the step is meant for; None: all


@dataclass(slots=True)
class Run:
    """All derived values by name, the steps computed, and why others were not."""

    length: int
    values: dict[str, Any] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    steps: dict[str, Computed] = field(default_factory=dict)
    skipped: dict[str, str] = field(default_factory=dict)
    chosen: dict[tuple[Any, ...], Any] = field(default_factory=dict)  # inputs put together from several sources, for the steps that share them


def run(plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int) -> Run:
    """Every step for which there is something to read.

    ``columns``: readings by name in the units of ``home``, float arrays of ``length`` or plain numbers; texts only for an
    option. ``fluid``: one of FLUIDS, or an object array of them.
    """
    made = Run(length)
    for step in plan:
        computed = gather(step, columns, made, home, fluid)
        if isinstance(computed, str):
            made.skipped[step.calculation] = computed
        else:
            _evaluate(computed, made)
    return made


def gather(step: Step, columns: Mapping[str, Any], made: Run, home: Any, fluid: Any) -> Computed | str:
    """The inputs of a step, where each came from and the rows it is meant for; or why it cannot be computed."""
    rows = None if isinstance(fluid, str) else np.isin(fluid, step.fluids)
    if (isinstance(fluid, str) and fluid not in step.fluids) or (rows is not None and not rows.any()):
        return f"it is for {' and '.join(step.fluids).replace('_', '-')} muds"
    computed = _gather(step, columns, made, home)
    if not isinstance(computed, str):
        computed.rows = None if rows is None or rows.all() else rows
    return computed


def _gather(step: Step, columns: Mapping[str, Any], made: Run, home: Any) -> Computed | str:
    calculation = calculation_of(step, home)
    inputs: dict[str, Any] = {}
    sources: dict[str, tuple[str, ...]] = {}
    lacking = []
    for v in calculation.inputs:
        if v.name in step.fixed:
            value, unit = step.fixed[v.name]
            inputs[v.name] = units.convert(np.asarray(value, float), unit, v.unit_symbol)
        elif v.name in step.lists:
            places = [columns.get(name) for name in step.lists[v.name]]
            if all(p is None for p in places):
                lacking.append(f"{step.lists[v.name][0]} ({v.meaning})")
                continue
            inputs[v.name] = np.stack([np.full(made.length, np.nan) if p is None else np.broadcast_to(p, (made.length,)) for p in places], axis=-1)
            sources[v.name] = tuple(n for n, p in zip(step.lists[v.name], places) if p is not None)
        elif v.name in step.reads:
            there = [(n, made.values.get(n, columns.get(n))) for n in step.reads[v.name]]
            there = [(n, x) for n, x in there if x is not None]
            if there:
                default = [] if v.default is None else [v.default]  # what is not given is the default, not a gap
                key = (*(n for n, _ in there), *default)
                if key not in made.chosen:
                    made.chosen[key] = first_there([x for _, x in there] + default)
                inputs[v.name] = made.chosen[key]
                sources[v.name] = tuple(n for n, _ in there)
            elif v.required:
                lacking.append(_not_there(step.reads[v.name], v, made))
    if lacking:
        return "there is no " + ", no ".join(lacking)
    if not sources:
        return "there is no reading for it"
    choice = columns.get(step.choice) if step.choice else None
    if choice is not None and step.choice:
        sources[calculation.option.name] = (step.choice,)
    return Computed(step, calculation, inputs, sources, choice)


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


def first_there(columns: list[Any]) -> Any:
    """Row by row the first of the columns that is not missing."""
    chosen = columns[0]
    for other in columns[1:]:
        empty = np.isnan(chosen)
        if not empty.any():
            break
        chosen = np.where(empty, other, chosen)
    return chosen


def named_results(computed: Computed) -> Iterator[tuple[str, str]]:
    """Name and unit of every derived value of a step; a list's elements go by the suffix of their readings."""
    for v in computed.calculation.results:
        name = f"{computed.calculation.sheet.id}.{v.name}"
        for place in computed.step.places() if v.is_list else ("",):
            yield (f"{name}_{place}" if v.is_list else name), v.unit


def _evaluate(computed: Computed, made: Run) -> None:
    calculation = computed.calculation
    if computed.choice is None:
        arrays = [computed.inputs.get(v.name, np.nan if v.default is None else v.default) for v in calculation.inputs]
        out = calculation.ufunc(*arrays)
        out = out if isinstance(out, tuple) else (out,)
    else:
        out = calculation(**computed.inputs, **{calculation.option.name: computed.choice})
    columns = [x[..., k] if v.is_list else x for v, x in zip(calculation.results, out) for k in range(np.shape(x)[-1] if v.is_list else 1)]
    for (name, unit), column in zip(named_results(computed), columns, strict=True):
        column = np.broadcast_to(column, (made.length,)) if np.ndim(column) == 0 else column
        made.values[name] = column if computed.rows is None else np.where(computed.rows, column, np.nan)
        made.units[name] = unit
    made.steps[calculation.sheet.id] = computed
