"""Budgets of calculations from their exact gradients, and errors of instruments carried through whatever is computed from readings."""

from collections.abc import Callable, Iterator, Mapping
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np

from .budgeting import Budget, Budgets, budget, budgets
from .distributions import Distribution
from .instruments import Table, shipped

if TYPE_CHECKING:
    from lutum.calculation import Calculation, Variable

__all__ = ["covariance_of", "of_calculation", "of_linear", "with_instruments"]


def of_calculation(
    calculation: "Calculation",
    inputs: Mapping[str, Any],
    standard: Mapping[str, Any],
    *,
    correlation: Any = None,
    degrees_of_freedom: Mapping[str, float] | None = None,
    coverage: float = 0.95,
) -> Budgets:
    """The budget of every result of one record, from the exact gradient.

    ``inputs``: by name, as the calculation takes them. ``standard``: standard uncertainties in the units of the inputs; of a list
    input one number for all its places, a list, or single places by their number from 1 (``reading_2``). Correlations and degrees
    of freedom go by the same names. Results that are lists have a budget a place (``wall_stress_1``); results that are missing
    have none. ::

        of_calculation(field.clay.methylene_blue, {"dye_volume": 5.0, "sample_volume": 2.0}, {"dye_volume": 0.144})
    """
    values, slopes = calculation(**inputs), calculation.gradient(**inputs)  # type: ignore[operator, attr-defined]
    u: dict[str, float] = {}
    places: dict[str, tuple[str, int | None]] = {}
    for name, given in standard.items():
        for place, number, key in _places(calculation, inputs, name, given):
            if key in u:
                raise ValueError(f"{calculation.sheet.id}: standard uncertainty of {key} is given twice")
            u[key], places[key] = number, (place[0], place[1])
    results: dict[str, float] = {}
    sensitivities: dict[str, dict[str, float]] = {}
    units: dict[str, str] = {}
    for v, value, row in zip(calculation.results, values, slopes):
        for result, at in _results(v, value):
            number = float(np.asarray(value)[at]) if at is not None else float(value)
            if not np.isfinite(number):
                continue
            results[result], units[result] = number, v.unit
            sensitivities[result] = {key: _slope(getattr(row, name), at, place) for key, (name, place) in places.items()}
    return budgets(
        results, sensitivities, u, correlation=correlation, degrees_of_freedom=degrees_of_freedom, coverage=coverage, units=units
    )


def _places(
    calculation: "Calculation", inputs: Mapping[str, Any], name: str, given: Any
) -> Iterator[tuple[tuple[str, int | None], float, str]]:
    """Input and place, standard uncertainty, and name of each number that one entry of ``standard`` is about."""
    known = {v.name: v for v in calculation.inputs}
    stem, _, number = name.rpartition("_")
    if name not in known and stem in known and known[stem].is_list and number.isdigit():
        length = np.shape(inputs[stem])[-1]
        if not 1 <= int(number) <= length:
            raise ValueError(f"{calculation.sheet.id}: {stem} has places 1 to {length}, not {number}")
        yield (stem, int(number) - 1), float(given), name
    elif name not in known:
        raise ValueError(f"{calculation.sheet.id} has no input {name!r}; it has {', '.join(known)}")
    elif known[name].is_list:
        length = np.shape(inputs[name])[-1] if name in inputs else 0
        if np.ndim(given) and np.shape(given) != (length,):
            raise ValueError(f"{calculation.sheet.id}: standard uncertainty of {name} has {np.size(given)} places; {name} has {length}")
        for i, x in enumerate(np.broadcast_to(given, (length,))):
            yield (name, i), float(x), f"{name}_{i + 1}"
    else:
        yield (name, None), float(given), name


def _results(v: "Variable", value: Any) -> Iterator[tuple[str, int | None]]:
    if not v.is_list:
        yield v.name, None
        return
    for i in range(np.shape(value)[-1]):
        yield f"{v.name}_{i + 1}", i


def _slope(block: Any, result_place: int | None, input_place: int | None) -> float:
    found = np.asarray(block, float)
    if result_place is not None:
        found = found[result_place]
    return float(found if input_place is None else found[input_place])


def of_linear(
    x: Any, *, degrees_of_freedom: Mapping[str, float] | None = None, coverage: float = 0.95, unit: str = "", name: str = ""
) -> Budget:
    """The budget of a number that the package ``uncertainties`` carried through a chain of calculations, by the tags of its inputs.

    Calculations take such numbers as inputs (``ufloat(5.0, 0.1, "dye_volume")``) and keep what is correlated together, however long
    the chain. ValueError for an input without a tag, or two with the same.
    """
    slopes: dict[str, float] = {}
    standard: dict[str, float] = {}
    for variable, slope in x.derivatives.items():
        if not variable.tag or variable.tag in slopes:
            what = f"two inputs have the tag {variable.tag!r}" if variable.tag else f"an input ({variable}) has no tag"
            raise ValueError(f"{what}; name each when it is made: ufloat(value, standard uncertainty, name)")
        slopes[variable.tag], standard[variable.tag] = float(slope), float(variable.std_dev)
    return budget(
        float(x.nominal_value), slopes, standard, degrees_of_freedom=degrees_of_freedom, coverage=coverage, unit=unit, name=name
    )


def covariance_of(
    readings: Mapping[str, float], units: Mapping[str, str], table: Table | None = None, instruments: Mapping[str, str] | None = None
) -> Any:
    """Covariance matrix of readings in the order given: what they share through their instruments is off its diagonal.

    ``units``: by reading, the unit its value is in. ``instruments``: by reading, one that is not the table's choice.
    """
    changes = _changes(readings, units, table, instruments)
    names = list(readings)
    matrix = np.zeros((len(names), len(names)))
    for i, name in enumerate(names):
        matrix[i, i] = sum(float(x) ** 2 for x in changes[name].values())
    for (i, a), (j, b) in combinations(enumerate(names), 2):
        matrix[i, j] = matrix[j, i] = sum(float(changes[a][s] * changes[b][s]) for s in changes[a] if s in changes[b])
    return matrix


def with_instruments(
    model: Callable[..., Any],
    readings: Mapping[str, float],
    units: Mapping[str, str],
    *,
    table: Table | None = None,
    instruments: Mapping[str, str] | None = None,
) -> tuple[Callable[..., Any], dict[str, Distribution]]:
    """A model of readings as a model of the sources of their errors, with the distribution of each: what ``monte_carlo`` takes.

    Errors that readings share stay shared, one-sided ones stay one-sided, through whatever the model computes. ::

        model, inputs = with_instruments(retort, {"water_fraction": 82.0, ...}, {"water_fraction": "%", ...})
        monte_carlo(model, inputs, seed=1)
    """
    known = table or shipped()
    changes = _changes(readings, units, known, instruments)
    inputs: dict[str, Distribution] = {}
    for name in dict.fromkeys(s for of_reading in changes.values() for s in of_reading):
        inputs[name] = known.source(name).reduced

    def of_sources(**errors: Any) -> Any:
        moved = {n: x + sum((float(c) * errors[s] for s, c in changes[n].items()), np.float64(0.0)) for n, x in readings.items()}
        return model(**moved)

    return of_sources, inputs


def _changes(
    readings: Mapping[str, float], units: Mapping[str, str], table: Table | None, instruments: Mapping[str, str] | None
) -> dict[str, dict[str, Any]]:
    known = table or shipped()
    for name in {*(instruments or {})} - {*readings}:
        raise ValueError(f"instruments names {name!r}, which is no reading given; there are {', '.join(readings)}")
    found: dict[str, dict[str, Any]] = {}
    for name, x in readings.items():
        if name not in units:
            raise ValueError(f"units: no unit of {name}; say what {name} = {x} is in ({name!r}: '' for a plain number)")
        if not np.isfinite(x):
            raise ValueError(f"{name} = {x} is missing: leave it out")
        found[name] = dict(known.errors_of(name, float(x), units[name], (instruments or {}).get(name)))
    return found
