"""Units: conversion, spellings, and which units measure what.

Symbols follow the Energistics Unit of Measure Standard. Density and pressure gradient are different quantities though
the trade writes both in lb/gal; mg/L and ppm (mg/kg) are different quantities; a barrel is 42 US gallons.
"""

from typing import Any

from lutum import _core
from lutum._columns import numbers

__all__ = ["convert", "label", "quantities", "quantity_units", "resolve", "symbols"]


def convert(values: Any, from_unit: str, to_unit: str) -> Any:
    """Numbers in another unit: a float for a number, an array of the same shape for an array.

    Spellings as :func:`resolve` knows them. A ValueError tells when a unit is unknown or the two measure different
    things. Missing (NaN) stays missing.

    >>> convert(12.0, "lb/gal", "kg/m3")
    1437.91712...
    >>> convert([32.0, 212.0], "degF", "degC")
    array([  0., 100.])
    """
    return _core.convert(numbers(values, f"what is converted from {from_unit}"), from_unit, to_unit)


def resolve(text: str) -> str | None:
    """The standard symbol meant by a symbol, a trade label or another known spelling; None when unknown, never a guess.

    >>> resolve("ppg"), resolve("lb/100 ft2"), resolve("furlong")
    ('lbm/gal[US]', '0.01 lbf/ft2', None)
    """
    return _core.resolve(text.strip())


def label(unit: str) -> str:
    """The unit as the trade writes it: ``lb/gal`` for ``lbm/gal[US]``."""
    return _core.unit(unit)[1]


def symbols() -> list[str]:
    """Every unit symbol."""
    return _core.symbols()


def quantities() -> dict[str, tuple[str, str, str]]:
    """Every quantity with its unit symbol in the si, field and metric set."""
    return _core.quantities()


def quantity_units(quantity: str) -> list[str]:
    """The symbols of all units of a quantity's dimension.

    >>> "g/cm3" in quantity_units("density")
    True
    """
    return _core.quantity_units(quantity)
