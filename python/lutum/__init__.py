"""Lutum: calculations for drilling-fluid work.

One formula gives a number, a million numbers, exact gradients, an uncertainty and a worked solution. Choose a unit set
and call a calculation by area and name::

    >>> from lutum import field
    >>> field.clay.methylene_blue(dye_volume=5.0, sample_volume=1.0).bentonite_equivalent
    25.0

``field`` is US oilfield units, ``metric`` and ``si`` are what they say; ``lutum.unit_set("metric", pressure="bar")``
makes another. ``lutum.catalogue()`` lists every calculation, ``python -m lutum`` the commands.
"""

from importlib import import_module as _import_module
from typing import TYPE_CHECKING, Any

from lutum._core import __version__
from lutum._sets import catalogue, unit_set
from lutum.installed import get_cmake_dir, get_include

if TYPE_CHECKING:
    from lutum import field, metric, si, units

__all__ = ["__version__", "catalogue", "field", "get_cmake_dir", "get_include", "metric", "si", "unit_set", "units"]

_lazy = {"field", "metric", "si", "units", "checks", "records", "offset", "demo", "titration", "mud_check", "diagnosis", "ranges", "solids_chart", "uncertainty", "flow_curve", "nozzles",
         "well"}


def __getattr__(name: str) -> Any:
    if name in _lazy:
        return _import_module(f"lutum.{name}")
    raise AttributeError(f"module 'lutum' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *_lazy})
