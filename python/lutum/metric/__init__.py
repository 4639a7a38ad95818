"""Metric units of the trade: kg/m3, m, mm, kPa, L/min, degC, mPa.s, Pa.

Areas (``clay``, ``solids``, ...) hold the calculations; ``unit(quantity)`` tells a unit of the set.
"""

from typing import Any

from lutum._sets import open_set as _open_set

units_of_set = _open_set(__name__)
unit = units_of_set.unit


def __getattr__(name: str) -> Any:
    return getattr(units_of_set, name)


def __dir__() -> list[str]:
    return dir(units_of_set)
