"""The unit in which a column is kept, and whether a unit written in a table can be that column's."""

from typing import Any, Protocol

import numpy as np

import lutum
from lutum import units

from .columns import Column


# Units of quantities without dimension, where the dimension does not tell a ppm from a dial degree; the first is meant when
# none need be written.
DIMENSIONLESS: dict[str, tuple[str, ...]] = {
    "number": ("Euc",),
    "dial_reading": ("dial deg", "Euc"),
    "volume_ratio": ("m3/m3", "Euc"),
    "volume_fraction": ("%[vol]", "%", "m3/m3", "Euc"),
    "mass_fraction": ("%[mass]", "%", "kg/kg", "g/kg", "ppm[mass]", "Euc"),
}


class UnitSet(Protocol):
    """Anything that names the unit of a quantity, such as `lutum.field`."""

    def unit(self, quantity: str, /) -> str: ...


def unit_set(chosen: str | UnitSet) -> Any:
    """The unit set of this name ("field", "metric" or "si"), or the set itself."""
    if not isinstance(chosen, str):
        # lutum.field is a module around its set; a set can be copied and stored, a module cannot.
        return getattr(chosen, "units_of_set", chosen)
    if chosen not in ("field", "metric", "si"):
        raise ValueError(
            f'units={chosen!r} is no unit set: give "field", "metric", "si" or a unit set such as lutum.field'
        )
    return lutum.unit_set(chosen)


def convert(values: Any, unit: str, kept: str) -> Any:
    """Numbers in another unit, an array of floats for an array; untouched when the unit is the same or there is none."""
    if unit == kept or "" in (unit, kept):
        return values
    converted = units.convert(values, unit, kept)
    return float(converted) if np.isscalar(values) else np.asarray(converted, dtype=float)


def kept_in(column: Column, chosen: UnitSet) -> str:
    """Unit of the column in this unit set; "" for text and times."""
    return chosen.unit(column.quantity) if column.quantity else column.unit


def resolve(column: Column, written: str) -> tuple[str, str]:
    """The unit meant by `written` and "", or "" and the reason why it cannot be the column's unit.

    Never a guess: no unit written is accepted only where the column needs none (pH, dial readings).
    """
    written = written.strip()
    if not column.quantity:
        if written in (column.unit, *column.spellings) or not (written or column.needs_unit):
            return column.unit, ""
        if not written:
            return "", f"no unit is stated for {column.name}; it is kept in {column.unit}"
        return "", f"{column.name} is kept in {column.unit}, as read, and {written!r} is another unit"
    if not written:
        if column.needs_unit:
            return "", f"no unit is stated for {column.name} ({column.quantity.replace('_', ' ')})"
        return DIMENSIONLESS[column.quantity][0], ""
    symbol = units.resolve(written)
    if symbol is None:
        return "", f"the unit {written!r} is unknown"
    allowed = DIMENSIONLESS.get(column.quantity) or units.quantity_units(column.quantity)
    if symbol not in allowed:
        return "", f"{written!r} is no unit of {column.quantity.replace('_', ' ')}; possible: {', '.join(allowed)}"
    return symbol, ""


# Units in which, and as which, reports write a quantity; what is taken for what when a unit was mistaken.
WRITTEN: dict[str, tuple[str, ...]] = {
    "density": ("g/cm3", "lb/gal", "kg/m3", "lb/ft3"),
    "viscosity": ("cP", "P", "Pa.s"),
    "stress": ("Pa", "lb/100 ft2", "lbf/ft2"),
    "length": ("m", "ft"),
    "diameter": ("in", "mm", "cm", "m"),
    "temperature": ("degC", "degF"),
    "volume_fraction": ("%", "fraction"),
    "ion_concentration": ("mg/L", "g/L"),
    "concentration": ("lb/bbl", "kg/m3"),
    "bench_volume": ("mL", "L"),
    "pressure": ("psi", "bar", "kPa", "MPa"),
    "flow_rate": ("L/min", "gal/min", "bbl/min", "m3/s"),
}
