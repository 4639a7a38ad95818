"""The readings of one check on their way into the plan: names, units, where and when they were taken."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from math import isfinite
from typing import Any

from lutum import _core, units

from .plan import Plan, calculation_of

__all__ = ["Reading", "names_of", "quantity_of", "text_of_reading"]

# Readings that no calculation takes as they are: gates, diagnosis and ranges look at them.
OTHERS = {
    "density_in": ("density", "density of the mud going in, at the suction"),
    "density_out": ("density", "density of the mud coming out, at the flow line"),
    "solids_fraction": ("volume_fraction", "reported retort solids; a check only, the solids follow from water and oil"),
    "plastic_viscosity": ("viscosity", "reported plastic viscosity; a check only"),
    "yield_point": ("stress", "reported yield point; a check only"),
    "bentonite_equivalent": ("concentration", "reported bentonite equivalent; a check only"),
    "cake_thickness": ("cake_thickness", "filter cake of the low-pressure test"),
    "hot_filtrate_volume": ("bench_volume", "filtrate at high temperature and pressure in 30 min, doubled for the half-area cell"),
    "filtrate_volume": ("bench_volume", "filtrate in 30 min at room temperature and low pressure"),
    "water_in_filtrate": ("bench_volume", "water in the filtrate of a non-aqueous mud"),
    "flow_line_temperature": ("temperature", "temperature at the flow line"),
    "pit_volume": ("mud_volume", "volume in the pits"),
    "total_hardness_as_calcium": ("ion_concentration", "total hardness of the filtrate, counted as calcium"),
    "sulfide": ("ion_concentration", "sulfide in the filtrate, as reported"),
    "carbonate": ("ion_concentration", "carbonate in the filtrate by gas train, as reported"),
    "polymer_content": ("concentration", "polymer by the user's own calibration (chemistry.reading_by_calibration)"),
    "silicate_content": ("concentration", "silicate by the user's own calibration"),
    "glycol_content": ("volume_fraction", "glycol by the user's own calibration"),
    "turbidity": ("turbidity", "clarity of a brine"),
    "measured_depth": ("length", "depth along the hole when the check was made"),
    "true_vertical_depth": ("length", "vertical depth at that measured depth"),
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading as it was taken.

    ``value``: in ``unit`` (a symbol or a spelling of it), or in the unit of the check's set when none is given.
    ``temperature``: of the sample when read, in the unit of the set. ``instrument``: what it was read on, in words.
    """

    value: float
    unit: str = ""
    temperature: float | None = None
    instrument: str = ""


def unused(names: Iterable[str], plan: Plan, fluids: set[str]) -> list[str]:
    """Readings that no step for these fluids takes, though steps for the other fluid do."""
    taken = {n for step in plan for n in step.names() if fluids & set(step.fluids)}
    known = plan.readings()
    return [n for n in names if n in known and n not in taken and n not in OTHERS]


def names_of(plan: Plan) -> dict[str, tuple[str, str]]:
    """Every reading known: its quantity and meaning."""
    return _names(plan)


@cache
def _names(plan: Plan) -> dict[str, tuple[str, str]]:
    si = __import__("lutum.si", fromlist=["units_of_set"]).units_of_set
    known = dict(OTHERS)
    for name, (calculation_id, input_name) in plan.readings().items():
        calculation = calculation_of(plan.step(calculation_id), si)
        v = next(v for v in calculation.inputs if v.name == input_name)
        known.setdefault(name, (v.quantity, v.meaning))
    return known


def quantity_of(name: str, plan: Plan) -> str:
    """The quantity a reading measures. ValueError for a name that is no reading, with the nearest that is."""
    known = _names(plan)
    if name not in known:
        near = get_close_matches(name, known, 3)
        hint = f"; did you mean {' or '.join(near)}?" if near else ";"
        raise ValueError(f"{name!r} is no reading of a mud check{hint} lutum.mud_check.readings() lists all")
    return known[name][0]


def in_set(name: str, reading: Any, plan: Plan, home: Any) -> float:
    """A reading's value in the unit of the set."""
    quantity = quantity_of(name, plan)
    taken = _as_reading(reading)
    try:
        value = float("nan") if taken.value is None else float(taken.value)
    except (TypeError, ValueError):
        raise ValueError(f"{name} must be a number, not {taken.value!r}") from None
    if taken.unit:
        symbol = _core.resolve(taken.unit)
        if symbol is None or symbol not in _core.quantity_units(quantity):
            raise ValueError(f"{name} = {value:g} {taken.unit}: that is no unit of {quantity.replace('_', ' ')}; use {', '.join(_core.quantity_units(quantity))}")
        value = float(units.convert(value, symbol, _core.resolve(home.unit(quantity)) or taken.unit))
    return value


def in_other_set(name: str, taken: Any, plan: Plan, home: Any, other: Any) -> Any:
    """A reading for a check in another set: without a unit it is converted, with its own it stays; instrument and words stay too."""
    if isinstance(taken, str) or taken is None:
        return taken
    reading = _as_reading(taken)
    if not reading.unit and reading.value is not None:
        reading = replace(reading, value=_converted(reading.value, quantity_of(name, plan), home, other))
    if reading.temperature is not None:
        reading = replace(reading, temperature=_converted(reading.temperature, "temperature", home, other))
    return reading if isinstance(taken, (Reading, tuple)) else reading.value


def _as_reading(taken: Any) -> Reading:
    return taken if isinstance(taken, Reading) else Reading(*taken) if isinstance(taken, tuple) else Reading(taken)


def _converted(value: float, quantity: str, home: Any, other: Any) -> float:
    old, new = home.unit(quantity), other.unit(quantity)
    return value if old == new else float(units.convert(value, old, new))


def text_of_reading(name: str, taken: Any, value: float, home: Any, plan: Plan) -> str:
    """As one would write it in a notebook: value, unit, temperature, instrument."""
    unit = home.unit(quantity_of(name, plan))
    text = f"{value:.6g} {unit}".rstrip() if isfinite(value) else "missing"
    if isinstance(taken, Reading):
        if taken.temperature is not None:
            text += f" at {taken.temperature:g} {home.unit('temperature')}"
        if taken.instrument:
            text += f" ({taken.instrument})"
    return text


def texts_of(given: Mapping[str, Any]) -> dict[str, str]:
    """The words among the readings: the salt of a brine, a formation."""
    return {name: x for name, x in given.items() if isinstance(x, str)}
