"""A check, or a frame of them, put to ``lutum.diagnosis`` and ``lutum.ranges``: their values, their units, their fluid."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lutum.diagnosis import Diagnosis, Rules
    from lutum.ranges import Table

    from .check import MudCheck
    from .many import MudChecks

__all__ = ["diagnosis_of", "ranges_of"]


def diagnosis_of(check: "MudCheck", trend: Any, rules: "Rules | None", seen: Mapping[str, Any]) -> "Diagnosis":
    """Ranked hypotheses for a check. ValueError for something seen that no rule can look at, and for a trend in other units."""
    from lutum import diagnosis
    from lutum.diagnosis.observing import find

    for name in seen:
        find(name)
    return diagnosis.diagnose({**check.values(), **seen}, _values(trend, check), fluid=check.fluid, units=check.units, rules=rules)


def _values(trend: Any, check: "MudCheck") -> Any:
    """The trend as ``diagnose`` takes it; checks of a list in the units of the check."""
    from .check import MudCheck
    from .many import MudChecks

    if isinstance(trend, MudChecks):
        if trend.units != check.units:
            raise ValueError(f"trend is in {trend.units!r} and the check in {check.units!r}; use check.to(trend.units)")
        return trend.values
    return [c.to(check.units) if isinstance(c, MudCheck) else c for c in trend] if isinstance(trend, (list, tuple)) else trend


def ranges_of(asked: "MudCheck | MudChecks", fluids: set[str], fluid_type: str | None, table: "Table | None") -> Any:
    """Typical ranges against a check or a frame of them. ValueError where the type is of another fluid."""
    from lutum import ranges

    used = ranges.shipped() if table is None else table
    family = used.fluid(fluid_type).family if fluid_type else next(iter(fluids), "water_base")
    if fluids - {family}:
        told = " and ".join(sorted(fluids)) + (f", fluid_type = {fluid_type!r} is {family}" if fluid_type else "")
        raise ValueError(f"the fluid is {told}; choose a type of the same fluid, and check the rows of each fluid by themselves")
    values = asked.values
    return ranges.hold(values() if callable(values) else values, used, fluid_type=fluid_type or family, units=asked.units)
