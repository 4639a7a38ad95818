"""Every record of a frame in its own well at its own bit depth: one call for all the checks of an offset study."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum import si
from lutum._sets import UnitSet
from lutum.flow_curve.models import factor

from .circulating import BUDGET, QUANTITIES, TAKEN, Circulation, is_outside, surface_coefficient
from .fluid import Fluid
from .reading import shown
from .rows import COLUMNS, Rows
from .window import Window

if TYPE_CHECKING:
    import pandas as pd

    from .geometry import Well

__all__ = ["circulate_over"]

GIVEN = {"flow_rate": "flow_rate", "back_pressure": "back_pressure", "penetration_rate": "penetration_rate_of_bit"}  # column and input
TOOLS = ("tool_pressure", "tool_flow_rate")
MARGINS = {"to_fracture": "density", "to_fracture_at": "length", "to_lower_limit": "density", "to_lower_limit_at": "length"}
FOUND = {name: QUANTITIES[name] for name in ("pump_pressure", *BUDGET, "pressure", "equivalent_density")}


def circulate_over(
    frame: "pd.DataFrame",
    wells: "Well | Mapping[Any, Well]",
    *,
    columns: Mapping[str, str] | None = None,
    windows: Window | Mapping[Any, Window] | None = None,
    method: str = "exact",
    surface_lines: Any = None,
    **fixed: Any,
) -> "pd.DataFrame":
    """A row a record with the same index: where the pump's pressure goes, pressure and equivalent density at the bottom, a ``reason``
    where something is missing, and a ``finding`` where a number is outside the range the methods were made with: often another unit.

    Columns: well (the key into ``wells``; not needed for one well), bit_depth, flow_rate, density, yield_stress, consistency, flow_index, and
    where there are any back_pressure, penetration_rate, tool_pressure and tool_flow_rate; ``columns`` names others, ``fixed`` gives one number
    for all. Everything in the units of the wells, which must be the same. A record that cannot be computed stays, with its reason; none stops the others.

    ``windows``, one or one a well, adds what ``Circulation.margins`` tells of every record: ``to_fracture`` and ``to_lower_limit``, the least
    distances of the open hole to its window, and the measured depths where they are. Where a window says nothing the ``finding`` tells it.
    """
    import pandas as pd

    columns = dict(columns or {})
    several = isinstance(wells, Mapping)
    first = next(iter(wells.values())) if several else wells
    home = first.units
    if isinstance(windows, Mapping) and not several:
        raise ValueError("one well takes one window; several windows go by the names of several wells")
    if several and any(w.units is not home and repr(w.units) != repr(home) for w in wells.values()):
        raise ValueError("the wells have unlike units; well.to(units) makes them alike")

    def column(name: str, otherwise: Any = None) -> Any:
        if name in fixed:
            return np.full(len(frame), fixed[name])
        called = columns.get(name, name)
        if called in frame.columns:
            return frame[called].to_numpy() if name == "well" else in_numbers(name, frame[called])
        if otherwise is None:
            raise ValueError(f"the frame has no column {called!r} for {name}; name one in columns, or give {name}=...")
        return np.full(len(frame), otherwise)

    reasons = np.full(len(frame), "", object)

    def in_numbers(name: str, given: Any) -> Any:
        """A cell that is no number is missing, and told."""
        found = pd.to_numeric(given, errors="coerce").to_numpy(float)
        for i in np.flatnonzero(np.isnan(found) & given.notna().to_numpy()):
            reasons[i] = reasons[i] or f"{name} = {given.iloc[i]!r} is no number"
        return found

    fluid = Fluid.of(units=home, **{name: column(name).astype(float) for name in ("density", "yield_stress", "consistency", "flow_index")})
    known = columns.get("bit_depth", "bit_depth") in frame.columns or "bit_depth" in fixed
    depths = [None if x != x else float(x) for x in column("bit_depth", np.nan).astype(float)]
    names = column("well") if several else np.full(len(frame), None)
    laid: dict[Any, Rows | str] = {}
    for key in dict.fromkeys(zip(names, depths)):
        laid[key] = _rows(key, wells, several, known)
    kept = [laid[key] for key in zip(names, depths)]
    most = max([len(r) for r in kept if isinstance(r, Rows)], default=1)
    table = {name: np.full((len(frame), most), np.nan) for name in COLUMNS}
    for i, r in enumerate(kept):
        if isinstance(r, str):
            reasons[i] = reasons[i] or r
            continue
        for name in COLUMNS:
            x = getattr(r, name)
            table[name][i, : len(r)] = x
            table[name][i, len(r) :] = x[-1] if name in ("bottom_measured_depth", "bottom_true_vertical_depth", "hole_diameter") else 0.0
    bits = [(wells.get(name) if several else wells) for name in names]
    bit = {k: np.array([np.nan if w is None else w.bit_in_si()[k] for w in bits]) for k in ("nozzle_area", "bit_diameter", "discharge_coefficient")}
    scalars = {
        name: column(called, None if called == "flow_rate" else 0.0).astype(float) * factor(TAKEN[name].quantity, home) for called, name in GIVEN.items()
    }
    if any(columns.get(name, name) in frame.columns or name in fixed for name in TOOLS):  # both, or none
        scalars |= {name: column(name).astype(float) * factor(TAKEN[name].quantity, home) for name in TOOLS}
    inputs = fluid.in_si() | scalars | bit | {"surface_coefficient": np.full(len(frame), surface_coefficient(surface_lines))}
    calculation = si.hydraulics.circulation
    result = calculation(**inputs, **table, method=method) if len(frame) else None
    made = pd.DataFrame(
        {name: np.asarray(getattr(result, name))[:, -1] / factor(q, home) if len(frame) else np.empty(0) for name, q in FOUND.items()}, index=frame.index
    )
    findings = np.full(len(frame), "", object)
    for name, x in inputs.items():
        v = TAKEN[name]
        for i in np.flatnonzero(~((x >= v.validated[0]) & (x <= v.validated[1]))):
            if np.isnan(x[i]):
                reasons[i] = reasons[i] or f"{name} is missing"
            elif v.limits[0] <= x[i] <= v.limits[1]:
                findings[i] = "; ".join(filter(None, (findings[i], is_outside(v, x[i], home))))
            else:
                reasons[i] = reasons[i] or f"{name} = {shown(x[i], v.quantity, home)} is outside its limits, {_limits(v, home)}; check it and its unit"
    unknown = made["equivalent_density"].isna().to_numpy() & (reasons == "")
    reasons[unknown] = "nothing is pumped while drilling, what is drilled is not lifted, or a section cannot be"
    made["reason"], made["finding"] = reasons, findings
    made.attrs["units"] = {name: home.unit(q) for name, q in FOUND.items()}
    if windows is not None:
        _add_margins(made, result, inputs, list(zip(names, depths)), laid, windows, method, home)
    return made


def _add_margins(made: "pd.DataFrame", result: Any, inputs: Any, keys: list[Any], laid: Any, windows: Any, method: str, home: UnitSet) -> None:
    """Margins of all records of one well at one depth at a time, as of any circulation."""
    found = {name: np.full(len(made), np.nan) for name in MARGINS}
    findings = made["finding"].to_numpy(object, copy=True)
    records: dict[Any, list[int]] = {}
    for i, key in enumerate(keys):
        records.setdefault(key, []).append(i)
    for key, of in records.items():
        rows = laid[key]
        if isinstance(rows, str):  # the reason of these records
            continue
        window = windows.get(key[0]) if isinstance(windows, Mapping) else windows
        told = f"there is no window of well {key[0]!r}"
        if window is not None:
            results = {name: np.asarray(x)[of, : len(rows)] for name, x in zip(result._fields, result)}
            margins = Circulation(results, {name: x[of] for name, x in inputs.items()}, rows, method, home).margins(window)
            told = margins.attrs["unwatched"]
            for name in MARGINS:
                found[name][of] = margins[name]
        for i in of:
            findings[i] = "; ".join(filter(None, (findings[i], told)))
    for name, x in found.items():
        made.insert(made.columns.get_loc("reason"), name, x)
    made["finding"] = findings
    made.attrs["units"] |= {name: home.unit(q) for name, q in MARGINS.items()}


def _limits(v: Any, home: UnitSet) -> str:
    return " to ".join(shown(x, v.quantity, home) for x in v.limits)


def _rows(key: tuple[Any, float | None], wells: Any, several: bool, depth_is_known: bool) -> Rows | str:
    name, depth = key
    well = wells.get(name) if several else wells
    if well is None and name != name:
        return "well is missing"
    if well is None:
        return f"there is no well {name!r}"
    if depth is None and depth_is_known:
        return "bit_depth is missing"
    try:
        found: Rows = well.rows(depth, np.inf)
        return found
    except ValueError as why:
        return str(why).splitlines()[0]
