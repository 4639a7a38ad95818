"""Rates: a sweep of them, those that the window and the pump allow, connections with back pressure, slow rates."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from scipy.optimize import brentq  # type: ignore[import-untyped, unused-ignore]

from lutum._columns import numbers
from lutum._sets import UnitSet
from lutum.flow_curve.models import factor

from .circulating import CAUTION, Circulation, circulate
from .cleaning import minimum_rate
from .fluid import Fluid
from .lifting import share_of
from .reading import clean
from .window import Window

if TYPE_CHECKING:
    import pandas as pd

    from .geometry import Well

__all__ = ["RateLimits", "connection", "rate_limits", "slow_rates", "sweep"]

TRIED = 256  # rates between the lowest and the highest asked for, before the edges are refined


def sweep(well: "Well", fluid: Fluid, flow_rates: Any, *, window: Window | None = None, **given: Any) -> "pd.DataFrame":
    """A row a rate: where the pump's pressure goes, equivalent densities at the bottom, and with a window the least margins.

    Rates and answers are in the units of the well; ``given`` goes to ``circulate``. In one call: the rates are its records.
    """
    _one_fluid(fluid)
    rates = np.atleast_1d(np.asarray(numbers(flow_rates, "flow_rates"), float))
    found = circulate(well, fluid, rates, **given)
    made = found.budget()
    made.insert(0, "flow_rate", rates)
    made["bottom_equivalent_density"] = clean(found.bottom_equivalent_density)
    made["resting_equivalent_density"] = clean(found.resting_equivalent_density)
    units = made.attrs["units"] | {"flow_rate": well.units.unit("flow_rate")} | dict.fromkeys(list(made.columns)[-2:], well.units.unit("density"))
    if window is not None:
        margins = found.margins(window)
        made[list(margins.columns)] = margins
        units |= margins.attrs["units"]
        made.attrs["unwatched"] = margins.attrs["unwatched"]
    made.attrs["units"] = units
    return made


@dataclass(frozen=True)
class RateLimits:
    """The rates that keep the window and the pump, in the unit of the well; what stops them below and above, in words. Advisory."""

    lowest: float
    highest: float
    stopped_below_by: str
    stopped_above_by: str
    unit: str
    unwatched: str = ""  # where the window says nothing of the open hole
    caution: str = CAUTION

    @property
    def is_empty(self) -> bool:
        """Whether no rate will do."""
        return not self.highest >= self.lowest

    def __repr__(self) -> str:
        if self.is_empty:
            return f"RateLimits: no rate will do: {self.stopped_above_by}; advisory"
        low, high = np.ceil(10.0 * self.lowest - 1e-9) / 10.0 + 0.0, np.floor(10.0 * self.highest + 1e-9) / 10.0  # inwards; + 0.0 writes -0 as 0
        blind = f"; but {self.unwatched}" if self.unwatched else ""
        return f"RateLimits: {low:g} ({self.stopped_below_by}) to {high:g} {self.unit} ({self.stopped_above_by}); advisory{blind}"


def rate_limits(
    well: "Well",
    fluid: Fluid,
    window: Window,
    *,
    lowest: float = 0.0,
    highest: float,
    pump_pressure: float | None = None,
    margin: float = 0.0,
    highest_concentration: float | None = None,
    **given: Any,
) -> RateLimits:
    """The widest run of rates between ``lowest`` and ``highest`` that keeps ``margin`` (a density) to the fracture side and the lower side of
    the window, and ``pump_pressure``. What is drilled must be lifted, and nowhere stand above ``highest_concentration`` (5 % unless told); with
    ``cuttings_diameter`` the rate must also be the one that ``minimum_rate`` asks for. ``given`` goes to ``circulate``.

    The equivalent density need not rise with the rate: slow flow lets cuttings gather. So all rates are tried, then the edges refined.
    """
    _one_fluid(fluid)
    if not 0.0 <= lowest < highest:
        raise ValueError(f"lowest = {lowest:g} and highest = {highest:g} {well.units.unit('flow_rate')}: give rates from 0 up, the lowest below the highest")

    blind, share, needed = "", share_of(highest_concentration, well.units), 0.0
    if given.get("cuttings_diameter") is not None and given.get("penetration_rate"):
        names = ("penetration_rate", "cuttings_diameter", "cuttings_density", "bit_depth")
        asked_for = {name: given[name] for name in names if given.get(name) is not None}
        needed = float(minimum_rate(well, fluid, highest_concentration=highest_concentration, **asked_for)["flow_rate"])
    cleaning = f"hole cleaning, which asks for {needed:.4g} {well.units.unit('flow_rate')} or more"

    def room(rates: Any) -> Any:
        """By what is asked, how much is left, as a share; negative beyond it."""
        found = circulate(well, fluid, rates, **given)
        margins = found.margins(window)
        nonlocal blind
        blind = margins.attrs["unwatched"]
        asked = {"the fracture side": margins["to_fracture"].to_numpy() - margin, "the lower side": margins["to_lower_limit"].to_numpy() - margin}
        scale = float(fluid.density) / factor("density", well.units)
        lost = np.isnan(np.asarray(found.bottom_pressure))
        parts = {f"{name} of the window": np.where(np.isnan(x), np.where(lost, 1.0, -1.0), x / scale) for name, x in asked.items()}
        standing = np.where(np.isnan(found.results["cuttings_fraction"]), 0.0, found.results["cuttings_fraction"]).max(axis=-1)
        parts[f"more than {100.0 * share:g} % of cuttings standing in a section"] = np.where(lost, 1.0, 1.0 - standing / share)
        if needed > 0.0:
            parts[cleaning] = np.asarray(rates) / needed - 1.0
        parts["cuttings that are not lifted"] = np.where(lost, -1.0, 1.0)
        if pump_pressure is not None:
            parts["the pump's pressure"] = np.where(lost, 1.0, 1.0 - np.asarray(found.pump_pressure) / pump_pressure)
        return parts

    def least(rate: float) -> float:
        return float(np.min([part[0] for part in room(np.array([rate])).values()]))

    rates = np.linspace(lowest, highest, TRIED)
    parts = room(rates)
    fits = np.min(list(parts.values()), axis=0) >= 0.0
    names, unit = list(parts), well.units.unit("flow_rate")
    if not fits.any():
        best = int(np.min(list(parts.values()), axis=0).argmax())
        return RateLimits(np.nan, np.nan, "", min(names, key=lambda name: parts[name][best]), unit, blind)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], fits.astype(int), [0]])))
    first, end = max(zip(edges[::2], edges[1::2]), key=lambda run: run[1] - run[0])

    def edge(inside: int, outside: int, end_told: str) -> tuple[float, str]:
        if not 0 <= outside < TRIED:
            return float(rates[inside]), end_told
        name = min(names, key=lambda n: parts[n][outside])
        if name == "cuttings that are not lifted":  # no root: it steps
            return float(rates[inside]), name
        return float(brentq(least, rates[inside], rates[outside], xtol=1e-9 * highest)), name

    low, below = edge(int(first), int(first) - 1, "the lowest asked for")
    high, above = edge(int(end) - 1, int(end), "the highest asked for")
    return RateLimits(low, high, below, above, unit, blind)


def connection(well: "Well", fluid: Fluid, flow_rate: float, *, window: Window | None = None, measured_depth: float | None = None, **given: Any) -> "pd.Series":
    """What a connection does at a depth (the bottom unless told): equivalent densities pumping and resting, and the back pressure that would
    hold the depth where it was, besides one that is given. Resting counts the cuttings still in the annulus. With a ``window`` the least margins:
    to the fracture side pumping, to the lower side at rest and clean. The gel that starting must break does not stand in it. In the units of the
    well. Advisory.
    """
    import pandas as pd

    _one_fluid(fluid)
    depth = well.bottom if measured_depth is None else measured_depth
    pumping, resting = (circulate(well, fluid, flow_rate, **given), circulate(well, fluid, 0.0, **_resting(given)))
    moving = pumping.equivalent_density_at(depth)
    at_rest = pumping.without_friction().equivalent_density_at(depth)
    values = {
        "measured_depth": depth, "pumping_equivalent_density": moving, "resting_with_cuttings": at_rest,
        "resting_clean": resting.equivalent_density_at(depth), "back_pressure_to_hold": pumping.at("annulus_loss", depth),
    }  # fmt: skip
    units = {"measured_depth": "length", "back_pressure_to_hold": "pressure"}
    if window is not None:
        margins = pumping.margins(window).iloc[0]  # its lower side is of the fluid at rest, clean
        values |= {name: float(margins[name]) for name in ("to_fracture", "to_lower_limit")}
    made = pd.Series({name: clean(x) for name, x in values.items()}, dtype=float)
    made.attrs["units"] = {name: well.units.unit(units.get(name, "density")) for name in values}
    return made


def slow_rates(well: "Well", fluid: Fluid, flow_rates: Any, *, volume_per_stroke: float | None = None, **given: Any) -> "pd.DataFrame":
    """Pump pressure at slow circulating rates, a row a rate, with strokes a minute where the pump's ``volume_per_stroke`` (mud volume) is given.

    In the units of the well. Computed ahead; what counts on the day is measured on the rig at these rates, with the mud that is in the well. Advisory.
    """
    import pandas as pd

    _one_fluid(fluid)
    rates = np.atleast_1d(np.asarray(numbers(flow_rates, "flow_rates"), float))
    found = circulate(well, fluid, rates, **given)
    made = pd.DataFrame({"flow_rate": rates, "pump_pressure": clean(found.pump_pressure), "annulus_loss": clean(found["annulus_loss"][..., -1])})
    if volume_per_stroke is not None:
        if not volume_per_stroke > 0.0:
            raise ValueError(f"volume_per_stroke = {volume_per_stroke} {well.units.unit('mud_volume')} must be above 0")
        per = factor("flow_rate", well.units) / (volume_per_stroke * factor("mud_volume", well.units)) / factor("stroke_rate", well.units)
        made.insert(0, "stroke_rate", clean(rates * per))
    quantities = {"stroke_rate": "stroke_rate", "flow_rate": "flow_rate"}
    made.attrs["units"] = {name: well.units.unit(quantities.get(name, "pressure")) for name in made.columns}
    return made


def _resting(given: dict[str, Any]) -> dict[str, Any]:
    drilling = ("penetration_rate", "slip_velocity", "cuttings_diameter", "cuttings_density", "rotation_factor")
    return {name: x for name, x in given.items() if name not in drilling}


def _one_fluid(fluid: Fluid) -> None:
    if not fluid.is_one:
        raise ValueError(f"this takes one fluid, not {fluid.records} records: fluid.record(place) is one of them; circulate takes them all")
