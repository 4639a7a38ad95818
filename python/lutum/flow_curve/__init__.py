"""Flow curves: fitted, compared, kept with all they rest on, and carried to other temperatures.

    from lutum import flow_curve

    mud = flow_curve.fit({600: 65, 300: 40, 200: 31, 100: 21, 6: 8, 3: 7}, temperature=120)   # degrees at r/min, degF
    print(mud.as_text())                                        # parameters, uncertainties, status, weighting, range, correction
    mud.stress(170), mud.band(170), mud["yield_stress"]         # lb/100 ft2
    flow_curve.fit({600: 65, 300: 40}, "bingham")               # any of flow_curve.MODELS
    compared = flow_curve.compare({600: 65, 300: 40, 200: 31, 100: 21, 6: 8, 3: 7})
    compared.table(); compared.best_by("akaike").evidence       # nothing is chosen unasked
    flow_curve.fit_ramps(up={...}, down={...})                  # never pooled
    flow_curve.fit_many(frame)                                  # a status a record
    grid = flow_curve.MeasuredGrid({80: {...}, 120: {...}, 150: {...}})
    grid.fit(temperature=135)                                   # ln stress interpolated, then fitted
    flow_curve.figures.rheogram(mud)

A ``FlowCurve`` is what hydraulics, cuttings and records take: ``mud.as_yield_power_law()`` fits a calculation's inputs.
"""

from importlib import import_module as _import_module
from typing import TYPE_CHECKING, Any

from .comparing import Comparison as Comparison
from .comparing import compare as compare
from .curve import FlowCurve as FlowCurve
from .fitting import Ramps as Ramps
from .fitting import fit as fit
from .fitting import fit_ramps as fit_ramps
from .grid import MeasuredGrid as MeasuredGrid
from .laws import LAWS as LAWS
from .many import fit_many as fit_many
from .models import MODELS as MODELS
from .models import parameters_of as parameters_of
from .readings import RATE_RANGES as RATE_RANGES
from .state import Band as Band

if TYPE_CHECKING:
    from . import figures as figures


def __getattr__(name: str) -> Any:
    if name == "figures":  # matplotlib only when it is wanted
        return _import_module(f"{__name__}.figures")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
