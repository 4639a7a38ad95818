"""The density window of the next well: from pressures, margins and the flow of the proposed mud, never from old densities."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from lutum import units

from .aligning import in_inches, section_label
from .banding import row_weights, weighted_percentiles
from .flow import friction, through_three
from .pressures import LIMITS, Prognosis
from .rounding import round_inward
from .study import Study
from .tables import Table, as_table


@dataclass(frozen=True)
class Margins:
    """Margins of equivalent density in `unit`: `above` pore and collapse when the mud stands still, `below` fracture when it is
    pumped. `why`: who asks for them; margins differ by authority and company, so there is no default."""

    above: float
    below: float
    unit: str
    why: str = ""

    def __post_init__(self) -> None:
        if not (self.above >= 0 and self.below >= 0):
            raise ValueError(f"margins above={self.above!r} and below={self.below!r} must be 0 or more, in {self.unit}")


@dataclass(frozen=True, repr=False)
class Density:
    """`table`: a row a section: the window, what sets each bound and where, the friction of the proposed mud, what offsets ran
    (evidence only). `profile`: along the next well, the limits with their margins and the window of the open hole so far."""

    table: pd.DataFrame
    profile: pd.DataFrame
    margins: Margins
    coverage: float

    def __repr__(self) -> str:
        return self.table.to_string()


def density_windows(
    study: Study,
    plan: Table,
    pressures: Any,
    margins: Margins,
    coverage: float,
    proposed: pd.DataFrame,
    steps: Mapping[str, float],
) -> Density:
    """The density window of every section of the plan; see `lutum.offset.windows`."""
    home = study.unit_set
    plan = as_table(plan, "plan", home)
    plan.needs("plan", "hole_diameter", "start_measured_depth", "end_measured_depth")
    points = _points(pressures, home)
    unit, length = home.unit("density"), home.unit("length")
    above, below = (units.convert(m, margins.unit, unit) for m in (margins.above, margins.below))
    rows, profiles = [], []
    for row in plan.data.to_dict("records"):
        section = section_label(float(in_inches(row["hole_diameter"], plan.units["hole_diameter"])))
        hole = _between(points, row["start_measured_depth"], row["end_measured_depth"])
        hole["section"] = section
        allowance = {limit: coverage * hole[f"u_{limit}"] if f"u_{limit}" in hole else 0.0 for limit in LIMITS}
        high = {"pore": hole["pore"] + allowance["pore"], "collapse": hole["collapse"] + allowance["collapse"]}
        hole["needed"] = np.maximum(high["pore"], high["collapse"]) + above
        hole["allowed"] = hole["fracture"] - allowance["fracture"] - below
        hole["needs"] = np.where(high["collapse"] >= high["pore"], "collapse", "pore")
        friction_of = _increments(study, row, hole, section, proposed)
        hole["increment_low"], hole["increment_high"] = friction_of["low"], friction_of["high"]
        checked = bool(np.isfinite(hole["increment_high"]).all())
        hole["allowed_pumped"] = hole["allowed"] - (hole["increment_high"] if checked else 0.0)
        hole["lower_so_far"], hole["upper_so_far"] = (
            np.maximum.accumulate(hole["needed"]),
            np.minimum.accumulate(hole["allowed_pumped"]),
        )
        rows.append(_verdict(study, section, hole, friction_of, checked, steps.get(unit, 0.1), unit, length))
        profiles.append(hole)
    table = pd.DataFrame(rows)
    return Density(table, pd.concat(profiles, ignore_index=True), margins, coverage)


def _verdict(
    study: Study, section: str, hole: pd.DataFrame, flow: dict[str, Any], checked: bool, step: float, unit: str, length: str
) -> dict[str, Any]:
    gaps = hole[hole[list(LIMITS)].isna().any(axis=1)]
    reason, lower, upper, raw = "", np.nan, np.nan, (np.nan, np.nan)
    places: dict[str, str] = {"lower_set_by": "", "upper_set_by": "", "narrowest": ""}
    if len(gaps):
        reason = (
            f"pressures are not known from {gaps['measured_depth'].min():.0f} to {gaps['measured_depth'].max():.0f} {length} "
            "measured depth: nothing is proposed"
        )
    else:
        first, last = hole.iloc[int(hole["needed"].argmax())], hole.iloc[int(hole["allowed_pumped"].argmin())]
        raw = (float(first["needed"]), float(last["allowed_pumped"]))
        places = {
            "lower_set_by": f"{first['needs']} {_where(first, length)}",
            "upper_set_by": f"fracture {_where(last, length)}" + ("" if checked else ", mud at rest"),
        }
        lower, upper = round_inward(*raw, step)
        if flow["rough"]:
            reason = f"flow is not laminar ({flow['rough']}): the friction figure is too low, nothing is proposed"
        elif lower > upper:
            short = f"{raw[0] - raw[1]:.2f} {unit}"
            bounds = (
                f"at least {raw[0]:.2f} ({places['lower_set_by']}) and at most {raw[1]:.2f} {unit} ({places['upper_set_by']})"
            )
            why = f"empty by {short}" if raw[0] > raw[1] else f"no whole step of {step:g} {unit} lies between"
            reason = f"{why}: with the margins stated the mud must weigh {bounds}; no density is proposed"
        places["narrowest"] = f"{raw[1] - raw[0]:.2f} {unit} between {places['lower_set_by']} and {places['upper_set_by']}"
    refused = bool(reason)
    evidence = _evidence(study, section)
    return {
        "section": section, "unit": unit, "lower": np.nan if refused else lower, "upper": np.nan if refused else upper,
        "width": raw[1] - raw[0], **places, "needed": raw[0], "allowed_pumped": raw[1],
        "allowed_at_rest": float(hole["allowed"].min(skipna=False)),
        "increment_low": _last(hole["increment_low"]), "increment_high": _last(hole["increment_high"]),
        "curve": flow["curve"], "circulating": "checked" if checked else flow["why_not"], "empty": refused, "reason": reason, **evidence,
    }  # fmt: skip


def _where(point: pd.Series, length: str) -> str:
    formation = f" in the {point['formation']}" if isinstance(point.get("formation"), str) else ""
    return f"at {point['vertical_depth']:.0f} {length} true vertical depth{formation}"


def _last(values: pd.Series) -> float:
    return float(values.iloc[-1])


def _evidence(study: Study, section: str) -> dict[str, Any]:
    """What the offsets ran in this section: beside the window, never in it."""
    here = (study["section"].astype(object) == section).to_numpy() & study["mud_density"].notna().to_numpy()
    wells, depth = study.well.to_numpy(object)[here], study["measured_depth"].to_numpy(float)[here]
    values = study["mud_density"].to_numpy(float)[here]
    found = weighted_percentiles(values, row_weights(wells, depth), [10.0, 50.0, 90.0])
    return {
        "offset_P10": found[0],
        "offset_P50": found[1],
        "offset_P90": found[2],
        "offset_rows": len(values),
        "offset_wells": len(set(wells)),
    }


def _points(pressures: Any, home: Any) -> pd.DataFrame:
    if isinstance(pressures, Prognosis) and pressures.units["pore"] != home.unit("density"):
        raise ValueError(
            f"the prognosis is in {pressures.units['pore']}, the study in {home.unit('density')}: make both in one unit set"
        )
    given = Table(pressures.data, pressures.units) if isinstance(pressures, Prognosis) else as_table(pressures, "pressures", home)
    given.needs("pressures", "measured_depth", "vertical_depth", *LIMITS)
    return given.data.sort_values("measured_depth", kind="stable").reset_index(drop=True)


def _between(points: pd.DataFrame, start: float, end: float) -> pd.DataFrame:
    """The points of a section with its two ends put in; NaN where the points do not reach.

    An end is interpolated between its neighbours; where they lie in different formations it takes the worse of each pressure.
    """
    if not end > start:
        raise ValueError(f"a section ends at {end:g}, not below its start at {start:g}")
    depth = points["measured_depth"].to_numpy(float)
    inside = points[(depth > start) & (depth < end)].assign(border=False)
    ends = []
    for x in (start, end):
        one: dict[str, Any] = {"measured_depth": x, "border": False}
        below = min(int(np.searchsorted(depth, x)), len(depth) - 1)
        pair = points.iloc[[max(below - 1, 0), below]]
        if "formation" in points:
            one["formation"] = pair["formation"].iloc[1]
            one["border"] = len(set(pair["formation"])) > 1
        for name in points.columns.drop("measured_depth"):
            if points[name].dtype.kind not in "fi":
                continue
            one[name] = np.interp(x, depth, points[name].to_numpy(float), left=np.nan, right=np.nan)
            if one["border"] and np.isfinite(one[name]) and name.removeprefix("u_") in LIMITS:
                one[name] = pair[name].min(skipna=False) if name == "fracture" else pair[name].max(skipna=False)
        ends.append(one)
    return pd.concat([pd.DataFrame(ends[:1]), inside, pd.DataFrame(ends[1:])], ignore_index=True)


def _increments(study: Study, row: Any, hole: pd.DataFrame, section: str, proposed: pd.DataFrame) -> dict[str, Any]:
    """Equivalent density added by pumping, at every point, for the thin and the thick corner of the proposed flow curve."""
    nothing = {"low": np.full(len(hole), np.nan), "high": np.full(len(hole), np.nan), "curve": "", "rough": "", "why_not": ""}
    lacking = [n for n in ("above_inside_diameter", "pipe_diameter", "flow_rate") if not np.isfinite(row.get(n, np.nan))]
    if lacking:
        return nothing | {"why_not": f"not checked: the plan has no {', '.join(lacking)}"}
    if hole["vertical_depth"].isna().any():
        return nothing | {"why_not": "not checked: the path of the next well is not known over the whole section"}
    home = study.unit_set
    found = dict(nothing)
    # laminar friction does not hang on density, turbulence does: the heaviest mud the hole could bear is the test
    density = float(hole["allowed"].min(skipna=False))
    if not np.isfinite(density):
        return nothing | {"why_not": "not checked: pressures are not known over the whole section"}
    measured, vertical = hole["measured_depth"].to_numpy(float), hole["vertical_depth"].to_numpy(float)
    holes = np.append(row["above_inside_diameter"], np.full(len(hole) - 1, row["hole_diameter"]))
    for corner, side in (("low", "lower"), ("high", "upper")):
        curve, name = _corner(home, proposed, section, side)
        if curve is None:
            return nothing | {"why_not": f"not checked: {name}"}
        gradient, regime = friction(home, density, curve, holes, row["pipe_diameter"], row["flow_rate"])
        equivalent = home.hydraulics.equivalent_density(
            fluid_density=density,
            surface_pressure=0.0,
            bottom_measured_depth=measured,
            bottom_true_vertical_depth=vertical,
            friction_gradient=gradient,
        ).equivalent_density
        found[corner] = np.asarray(equivalent) - density
        found["curve"] = name
        found["rough"] = found["rough"] or next((r for r in regime if r != "laminar"), "")
    return found


def _corner(home: Any, proposed: pd.DataFrame, section: str, side: str) -> tuple[tuple[float, float, float] | None, str]:
    """The flow curve at one end of the proposed plastic viscosity, yield point and 3 rpm reading."""
    here = proposed[proposed["section"] == section].set_index("property") if len(proposed) else proposed
    names = ("plastic_viscosity", "yield_point", "reading_3")
    values = {n: here[side].get(n, np.nan) for n in names} if len(here) else dict.fromkeys(names, np.nan)
    lacking = [n for n in names if not np.isfinite(values[n])]
    if lacking:
        return None, f"no window proposed for {', '.join(lacking)}"
    # the dial is read by convention: 1 cP and 1 lb/100 ft2 a degree
    plastic = units.convert(values["plastic_viscosity"], home.unit("viscosity"), "cP")
    point = units.convert(values["yield_point"], home.unit("stress"), "lb/100 ft2")
    dial = [values["reading_3"], plastic + point, 2.0 * plastic + point]
    speeds = units.convert(np.array([3.0, 300.0, 600.0]), "rpm", home.unit("rotational_speed"))
    read = home.rheology.viscometer(speed=speeds, reading=dial)
    stress, rate = np.asarray(read.wall_stress), np.asarray(read.shear_rate)
    tau, k, n = (float(x) for x in through_three(stress, rate))
    if np.isfinite(n) and tau >= 0:
        return (tau, k, n), "yield power law through 3, 300 and 600 rpm"
    n = float(np.log(stress[2] / stress[1]) / np.log(rate[2] / rate[1]))
    return (
        0.0,
        float(stress[1] / rate[1] ** n),
        n,
    ), "power law through 300 and 600 rpm (no yield power law fits the proposed readings)"
