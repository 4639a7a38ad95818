"""The models of a flow curve and their parameters, as the kernel describes them, and the way from a unit set to SI and back."""

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from lutum import _core, units
from lutum._sets import UnitSet, unit_set

__all__ = ["MODELS", "YIELD_POWER_LAWS", "Parameter", "model_named", "parameters_of"]

MODELS: tuple[str, ...] = tuple(_core.flow_models())
# A yield power law contains these: hydraulics take them, and their flow in the gap is known.
YIELD_POWER_LAWS = ("newtonian", "bingham", "power_law", "yield_power_law")


def as_yield_power_law(parameters: Mapping[str, Any]) -> dict[str, Any]:
    """The parameters of one of ``YIELD_POWER_LAWS`` as the three of a yield power law; numbers or arrays, in the units given."""
    consistency = next((parameters[name] for name in ("consistency", "plastic_viscosity", "viscosity") if name in parameters), float("nan"))
    return {"yield_stress": parameters.get("yield_stress", 0.0), "consistency": consistency, "flow_index": parameters.get("flow_index", 1.0)}


class Parameter(NamedTuple):
    """A parameter of a model; ``low`` and ``high`` bound it in a fit unless other bounds are given, in SI."""

    name: str
    symbol: str
    quantity: str
    meaning: str
    low: float
    high: float


def model_named(model: str) -> str:
    """The model, if there is one of this name."""
    if model not in MODELS:
        raise ValueError(f"model = {model!r} is unknown; choose one of {', '.join(MODELS)}")
    return model


@cache
def parameters_of(model: str) -> tuple[Parameter, ...]:
    """The parameters of a model in their order.

    >>> [p.name for p in parameters_of("bingham")]
    ['yield_stress', 'plastic_viscosity']
    """
    return tuple(Parameter(*described) for described in _core.flow_model_parameters(model_named(model)))


def set_of(home: Any) -> UnitSet:
    """A unit set given as itself, as its module or by name; ``field`` when none is given."""
    if home is None or isinstance(home, str):
        return unit_set(home or "field")
    found: UnitSet = getattr(home, "units_of_set", home)
    return found


def unit_of(quantity: str, home: UnitSet) -> str:
    """The unit as the trade writes it, "" for a plain number."""
    return "" if quantity == "number" else home.unit(quantity)


@cache
def _factor(quantity: str, unit: str) -> float:
    return float(units.convert(1.0, unit, _core.quantities()[quantity][0]))


def factor(quantity: str, home: UnitSet) -> float:
    """How much of the SI unit one unit of the set is; not for temperatures."""
    return 1.0 if quantity == "number" else _factor(quantity, home.unit(quantity))


def factors(model: str, home: UnitSet) -> Any:
    """The same for every parameter of a model."""
    return np.array([factor(p.quantity, home) for p in parameters_of(model)])


def kelvin(temperature: float | None, home: UnitSet) -> float | None:
    """A temperature of the set in K."""
    return None if temperature is None else float(units.convert(temperature, home.unit("temperature"), "K"))


def from_kelvin(temperature: float | None, home: UnitSet) -> float | None:
    """A temperature in K in the unit of the set, without the last bit that a conversion leaves."""
    return None if temperature is None else float(f"{float(units.convert(temperature, 'K', home.unit('temperature'))):.12g}")
