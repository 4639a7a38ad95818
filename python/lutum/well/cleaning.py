"""Hole cleaning along a well: how fast the cuttings fall in every section, what stands or lies in it, the least rate that keeps it clean."""

from typing import TYPE_CHECKING, Any

import numpy as np
from scipy.optimize import brentq  # type: ignore[import-untyped, unused-ignore]

from lutum import si
from lutum import units as unit_of
from lutum._columns import numbers
from lutum._sets import UnitSet
from lutum.flow_curve.models import factor

from .fluid import Fluid
from .lifting import ALIKE, QUANTITIES, Annulus, Rock, numbers_of, rate_of, share_of, variable
from .reading import clean, out_of_si, shown
from .rows import Rows

if TYPE_CHECKING:
    import pandas as pd

    from .geometry import Well

__all__ = ["cleaning", "lags", "minimum_rate", "slip_velocities"]

CAUTION = (
    "Advisory. Rates are for the well's own programme and licensed practice to decide. Cuttings of one size in a fluid of one flow curve, a string that "
    "does not turn, no cavings. From 30 to 55 degrees no source is followed, and beds slide back when the pumps stop. At 30 degrees the demand steps: "
    "below it a concentration, above it the correlation's critical velocity, which asks for more."
)
TRIED = 256  # rates, each a share above the last, before the edge is refined
SLOWEST = 1e-6  # of the rates tried, as a share of the fastest that the calculations take


def slip_velocities(
    well: "Well",
    fluid: Fluid,
    flow_rate: Any,
    *,
    cuttings_diameter: float,
    cuttings_density: float | None = None,
    penetration_rate: float | None = None,
    method: str = "smooth",
    sphericity: float | None = None,
    thickness_ratio: float | None = None,
    bit_depth: float | None = None,
    spacing: float | None = None,
    rows: Rows | None = None,
) -> Any:
    """How fast the cuttings fall through the fluid in every row, ready as ``slip_velocity`` of ``circulate`` with the same ``bit_depth``,
    ``spacing`` or ``rows``; missing (NaN) below the bit. Many flow rates give (rates, rows), missing at a rate that is not above 0.

    The fluid's viscosity is that at the wall of the row's annulus in laminar flow at this rate, whatever the flow really is. Of a thinning fluid it
    is the least that the laminar stream has anywhere, so the slip is the fastest, which is the cautious side; it does not depend on the slip sought,
    so nothing is iterated; and it has no corner where the true flow turns turbulent. At the rate around the particle it may be tenfold, and inside a
    plug what the yield stress holds does not slip: see cuttings.suspension. ``method``: the law of drag of cuttings.slip_velocity. It is a fall along
    the vertical. With ``penetration_rate`` an inclined row (from 30 degrees) has instead the lag by cuttings.high_angle, as ``cleaning`` tells it,
    wherever the rate is above the critical one: below that a bed lies there, and no lag is known.
    """
    laid = well.rows(bit_depth, spacing) if rows is None else rows
    rock = Rock.of(well, fluid, cuttings_diameter, cuttings_density, penetration_rate or 0.0, method, sphericity, thickness_ratio)
    return lags(well, Annulus(laid, numbers_of(fluid), rock), flow_rate, penetration_rate is not None)[0]


def lags(well: "Well", annulus: Annulus, flow_rate: Any, inclined: bool) -> tuple[Any, int]:
    """Of every row in the unit of the well, by the methods of inclined holes too or not; and in how many rows a bed is expected at the most."""
    rates = np.asarray(numbers(flow_rate, "flow_rate"), float)
    if rates.ndim > 1:
        raise ValueError(f"flow_rate has {rates.ndim} dimensions; give one rate or a column of them")
    flowing = np.where(rates > 0.0, rates, np.nan)
    pumped = np.asarray(rate_of(float(rates), well.units)) if rates.ndim == 0 else flowing[:, None] * factor("flow_rate", well.units)
    slip, bed = annulus.lag_without_bed(pumped) if inclined else (annulus.slip(pumped), np.zeros(1, bool))
    made = np.full((*slip.shape[:-1], len(annulus.rows)), np.nan)
    made[..., annulus.there] = slip / factor("velocity", well.units)
    known = bed & np.isfinite(slip) if inclined else bed
    return made, int(known.sum(axis=-1).max())


def cleaning(
    well: "Well",
    fluid: Fluid,
    flow_rate: float,
    *,
    penetration_rate: float,
    cuttings_diameter: float,
    cuttings_density: float | None = None,
    highest_concentration: float | None = None,
    method: str = "smooth",
    sphericity: float | None = None,
    thickness_ratio: float | None = None,
    bit_depth: float | None = None,
    spacing: float | None = None,
) -> "pd.DataFrame":
    """A row a section along the string at one flow rate: what lifts the cuttings there, how many there are, and a finding in words.

    ``method`` of a row: ``near_vertical`` (to 30 degrees, slip by the law of drag ``method``), ``high_angle`` (from 55, the correlation of
    cuttings.high_angle) or ``blended`` (its passage between). ``slip_velocity`` is how far the cuttings lag behind the stream by that method,
    ``velocity`` that of fluid and rock together. Up to 30 degrees there is no critical velocity; above, a rate below ``critical_flow_rate`` leaves
    a bed, whose size no method here tells, so ratio and concentration are missing. ``carrying_capacity`` holds to 35 degrees only. ``reason`` tells
    why something is missing. ``highest_concentration`` (5 % unless told) in the set's unit. The correlation wants plastic viscosity and yield
    point: they are what a viscometer would report of the fluid's flow curve. Limits of what it was made with: ``attrs["outside_range"]``.
    """
    import pandas as pd

    home = well.units
    rock = Rock.of(well, fluid, cuttings_diameter, cuttings_density, penetration_rate, method, sphericity, thickness_ratio)
    share = share_of(highest_concentration, home)
    annulus = Annulus.of(well, fluid, rock, bit_depth, spacing)
    pumped = rate_of(flow_rate, home)
    state = annulus.state(pumped)
    units = {name: home.unit(quantity) for name, quantity in QUANTITIES.items() if quantity != "number"} | {"inclination": unit_of.label("dega")}
    columns: dict[str, Any] = {"hole": annulus.rows.hole[annulus.there], "part": annulus.rows.part[annulus.there]}
    for name, quantity in QUANTITIES.items():
        columns[name] = out_of_si(state[name], quantity, home)
        if name == "bottom_true_vertical_depth":
            columns["inclination"] = clean(np.degrees(annulus.inclination))
    columns["method"] = annulus.way
    columns["carrying_capacity"] = state["carrying_capacity"]
    made = pd.DataFrame(columns)
    made["finding"] = _findings(made, state, pumped, share, home)
    made["reason"] = _reasons(made, state, annulus.lacking)
    made.attrs["units"] = units
    made.attrs["caution"] = CAUTION
    made.attrs["outside_range"] = annulus.outside_range(home)
    return made


def minimum_rate(
    well: "Well",
    fluid: Fluid,
    *,
    penetration_rate: float,
    cuttings_diameter: float,
    cuttings_density: float | None = None,
    highest_concentration: float | None = None,
    method: str = "smooth",
    sphericity: float | None = None,
    thickness_ratio: float | None = None,
    bit_depth: float | None = None,
    spacing: float | None = None,
) -> "pd.Series":
    """The least flow rate that keeps every section along the string at or under ``highest_concentration`` (5 % unless told, in the set's unit),
    and every one above 30 degrees at or above its critical velocity; the section that decides, and why.

    A faster flow is thinner and lets the cuttings fall faster, so the rate is sought at which the worst section needs just what is pumped: many
    rates are tried first, then the edge refined. Not rounded: do it upwards when you write it. ``attrs["caution"]`` goes with the number.
    """
    import pandas as pd

    home = well.units
    rock = Rock.of(well, fluid, cuttings_diameter, cuttings_density, penetration_rate, method, sphericity, thickness_ratio)
    share = share_of(highest_concentration, home)
    annulus = Annulus.of(well, fluid, rock, bit_depth, spacing)

    def short(flow_rate: float) -> float:
        return float(annulus.needed(flow_rate, share).max()) - flow_rate

    fastest = variable("transport", "flow_rate", si).limits[1]
    rates = np.geomspace(SLOWEST * fastest, fastest, TRIED)
    worst = annulus.needed(rates[:, None], share).max(axis=-1)
    places = np.flatnonzero(worst <= rates)
    found: dict[str, Any] = dict.fromkeys(FOUND, np.nan) | {"hole": "", "part": ""}
    if len(places) == 0:
        found["decided_by"] = annulus.lacking if np.isnan(worst).all() else f"no rate up to {shown(fastest, 'flow_rate', home)} is enough"
    else:
        first = int(places[0])
        known = first > 0 and worst[first - 1] == worst[first - 1]
        rate = float(brentq(short, rates[first - 1], rates[first], rtol=1e-13)) if known else float(rates[first])
        place, why = annulus.decided(rate, share, home)
        rows = annulus.rows
        found |= {
            "flow_rate": rate / factor("flow_rate", home), "hole": rows.hole[annulus.there][place], "part": rows.part[annulus.there][place],
            "top_measured_depth": out_of_si(rows.top_measured_depth[annulus.there][place], "length", home),
            "bottom_measured_depth": out_of_si(rows.bottom_measured_depth[annulus.there][place], "length", home),
            "inclination": clean(np.degrees(annulus.inclination[place])), "method": annulus.way[place],
            "decided_by": why if known else f"{why}; slower flow is too thick for a slip velocity",
        }  # fmt: skip
    made = pd.Series(found, dtype=object)
    made.attrs["units"] = {name: home.unit(quantity) for name, quantity in FOUND.items() if quantity} | {"inclination": unit_of.label("dega")}
    made.attrs["caution"] = CAUTION
    made.attrs["outside_range"] = annulus.outside_range(home)
    return made


FOUND = {
    "flow_rate": "flow_rate", "hole": "", "part": "", "top_measured_depth": "length", "bottom_measured_depth": "length", "inclination": "", "method": "",
    "decided_by": "",
}  # fmt: skip


def _findings(made: "pd.DataFrame", state: dict[str, Any], pumped: float, share: float, home: UnitSet) -> list[str]:
    rate, velocity = home.unit("flow_rate"), home.unit("velocity")
    told = []
    for row, bed, verdict, fraction in zip(made.itertuples(), state["bed"], state["verdict"], state["concentration"]):
        if bed:
            told.append(f"a bed is expected: {shown(pumped, 'flow_rate', home)} is below the critical {row.critical_flow_rate:.4g} {rate}")
        elif verdict == "not_lifted":
            told.append(f"not lifted: the stream rises at {row.velocity:.4g} {velocity}, the cuttings fall in it at {row.slip_velocity:.4g} {velocity}")
        elif verdict == "packed":
            told.append("packed: the cuttings would fill more than the annulus")
        elif fraction > share * (1.0 + ALIKE):
            told.append(f"loaded: {shown(fraction, 'volume_fraction', home)} of cuttings, more than {shown(share, 'volume_fraction', home)}")
        else:
            told.append("")
    return told


def _reasons(made: "pd.DataFrame", state: dict[str, Any], lacking: str) -> list[str]:
    told = []
    for row, bed, beyond, verdict in zip(made.itertuples(), state["bed"], state["beyond_index"], state["verdict"]):
        way, reasons = row.method, []
        if row.slip_velocity != row.slip_velocity:
            reasons.append(f"slip velocity: {lacking}")
        if way == "near_vertical":
            reasons.append("critical velocity: the method for it begins above 30 degrees")
        if bed:
            reasons.append("transport ratio and concentration: how much lies in a bed no method here tells")
        elif verdict in ("not_lifted", "packed"):
            reasons.append("concentration: the cuttings gather without end")
        if beyond:
            reasons.append("carrying capacity index: it holds to 35 degrees only")
        elif row.carrying_capacity != row.carrying_capacity:
            reasons.append(f"carrying capacity index: {lacking}")
        told.append("; ".join(reasons))
    return told
