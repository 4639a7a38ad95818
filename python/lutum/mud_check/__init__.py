"""A mud check as one thing: raw readings in, every derived value out, traced to its calculation, with what does not fit.

    from lutum import mud_check
    check = mud_check.MudCheck({"mud_density": 10.4, "water_fraction": 82, ...}, place="flow line")
    checks = mud_check.over(frame)          # every row of a frame in one pass
    mud_check.readings()                    # every reading, its unit and meaning

The order of the calculations and where each input comes from is data: ``plan.toml`` beside this file, ``load(path)`` takes another.
"""

from .check import Derived, Finding, MudCheck, readings
from .gates import GATES, Gate
from .many import MudChecks, over
from .plan import FLUIDS, Plan, Step, load, shipped
from .readings import Reading

__all__ = [
    "FLUIDS",
    "GATES",
    "Derived",
    "Finding",
    "Gate",
    "MudCheck",
    "MudChecks",
    "Plan",
    "Reading",
    "Step",
    "load",
    "over",
    "readings",
    "shipped",
]
