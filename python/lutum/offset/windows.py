"""Windows proposed for the next well's mud, section by section, with the rows and wells behind each."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from .banding import row_weights, weighted_percentiles
from .density import Density, Margins, density_windows
from .rounding import round_inward
from .study import Study, each, in_words
from .tables import Table
from .trouble import BEFORE, BETWEEN, WITHOUT, separation, state

FEWEST_WELLS = 3  # wells without trouble from which a section is taken as it went there
HABIT = "habit alone: too few rows before trouble to compare"
NO_DIFFERENCE = "habit: no clear difference before trouble"
STEPS = {"lb/gal": 0.1, "kg/m3": 5.0, "g/cm3": 0.01, "cP": 1.0, "mPa.s": 1.0, "lb/100 ft2": 1.0, "Pa": 0.5, "deg": 1.0, "%": 0.1,
         "lb/bbl": 0.5, "mL": 0.2, "mg/L": 1000.0}  # fmt: skip
CAUTIONS = (
    "Advisory: proposals from what offset wells did, for a qualified engineer to judge. Local rules, the well's own programme and "
    "licensed practice come first.",
    "Flow, solids, clay and filtrate windows show what went together with trouble and what did not; that is no proof of cause.",
    "Density windows hold for the pressures and margins stated, in equivalent density below the rotary table at true vertical depth. "
    "Weigh the mud with a pressurised balance; in hot or deep-water wells correct for temperature and pressure.",
    "The circulating check leaves out cuttings, collars and tool joints, eccentricity, rotation, swab and surge.",
)


@dataclass(frozen=True)
class Property:
    """A property to propose a window for. `bounds`: "both" or "upper". `kinds`: events it is held against, () for all."""

    column: str
    group: str
    bounds: str = "both"
    kinds: tuple[str, ...] = ()
    step: float = 0.0


PROPERTIES = (
    Property("viscometer.plastic_viscosity", "flow curve"),
    Property("viscometer.yield_point", "flow curve"),
    Property("reading_3", "flow curve"),
    Property("viscometer.gel_strength_10_s", "flow curve"),
    Property("viscometer.gel_strength_10_min", "flow curve"),
    Property("water_base_retort.low_gravity_fraction", "solids", "upper"),
    Property("methylene_blue.bentonite_equivalent", "clay"),
    Property("filtrate_volume", "filtration", "upper"),
)


@dataclass(frozen=True, repr=False)
class Windows:
    """`table`: a window a section and property, with what it `rests_on` and the `kinds` of trouble it was held against. `density`: the density
    windows, see `Density`. `rows`: by (section, property), the rows behind the window. `cautions`: to be read with it. `show()` is
    the programme on one page."""

    table: pd.DataFrame
    density: Density
    rows: dict[tuple[str, str], pd.DataFrame]
    cautions: tuple[str, ...]

    def __repr__(self) -> str:
        return self.show().to_string() + "\n" + "\n".join(self.cautions)

    def show(self) -> pd.DataFrame:
        """The programme: a row a property, a column a section; "none" where the window is empty, "" where nothing is known,
        "(habit)" where too few rows before trouble were there to compare with."""
        columns: dict[str, dict[str, str]] = {}
        for row in each(self.density.table):
            columns.setdefault(str(row.section), {})[f"density, {row.unit}"] = _span(row.lower, row.upper, row.empty)
        for row in each(self.table):
            name = f"{in_words(str(row.property))}, {row.unit}"
            mark = " (habit)" if row.rests_on == HABIT and row.rows and not row.empty else ""
            columns.setdefault(str(row.section), {})[name] = _span(row.lower, row.upper, row.empty) + mark
        return pd.DataFrame(columns).fillna("")


def windows(
    study: Study,
    *,
    plan: Table,
    pressures: Any,
    margins: Margins,
    coverage: float = 2.0,
    properties: Iterable[Property] = PROPERTIES,
    kinds: Mapping[str, Sequence[str]] | None = None,
    steps: Mapping[str, float] | None = None,
) -> Windows:
    """Windows for the sections of a plan: flow curve, solids, clay and filtrate from the offsets' rows, density from pressures.

    A property's window is the P10 to P90, weighted as in `bands`, of the rows in sections that went without trouble, or, where
    fewer than three wells did, of all rows that trouble did not follow. Where trouble goes with one side beyond doubt (the
    90 % interval of `compare` leaves out 0.5), the bound on that side is drawn in to the median of the rows before trouble.
    The lower bound is rounded up, the upper one down.

    `plan`: hole_diameter, start_measured_depth, end_measured_depth, and for the circulating check above_inside_diameter,
    pipe_diameter, flow_rate. `pressures`: a `Prognosis`, or a table with measured_depth, vertical_depth, pore, collapse and
    fracture along the next well. `margins`: see `Margins`; `coverage` standard uncertainties of a prognosis are added to them.
    `kinds`: by property, the events it is held against. `steps`: what bounds are rounded to, by unit.

    Nothing is proposed where a window is empty; `.density.table` and `.table` say why.
    """
    used = {**STEPS, **(steps or {})}
    chosen = dict(kinds or {})
    found: list[dict[str, Any]] = []
    behind: dict[tuple[str, str], pd.DataFrame] = {}
    sections = [str(s) for s in _sections(study, plan)]
    for one in properties:
        if one.column not in study:
            continue
        name = study.column(one.column)
        short = name.rpartition(".")[2]
        against = tuple(chosen.get(short, chosen.get(name, one.kinds)))
        states = state(study, against)
        for section in sections:
            row, rows = _property(study, one, name, short, section, states, used)
            found.append({**row, "kinds": against})
            behind[section, short] = rows
    table = pd.DataFrame(found)
    density = density_windows(study, plan, pressures, margins, coverage, table, used)
    return Windows(table, density, behind, CAUTIONS)


def _property(
    study: Study, one: Property, name: str, short: str, section: str, states: pd.Series, steps: Mapping[str, float]
) -> tuple[dict[str, Any], pd.DataFrame]:
    unit = study.units.get(name, "")
    values = study.data[name].to_numpy(float)
    here = (study["section"].astype(object) == section).to_numpy() & np.isfinite(values)
    said = states.to_numpy(object)
    wells = study.well.to_numpy(object)
    without, rest = here & (said == WITHOUT), here & np.isin(said, [WITHOUT, BETWEEN])
    quiet = len(set(wells[without])) >= FEWEST_WELLS
    mask = without if quiet else rest
    at, before = np.flatnonzero(mask), np.flatnonzero(here & (said == BEFORE))
    basis = "sections without trouble" if quiet else "rows not followed by trouble (too few wells without any)"
    low, middle, high, chance, span = _bounds(study, name, at, before, one)
    step = one.step or steps.get(unit) or _step(high["value"])
    lower, upper = round_inward(low["value"], high["value"], step) if len(at) else (np.nan, np.nan)
    empty = bool(np.isfinite(lower) and np.isfinite(upper) and lower > upper)
    spread = study.uncertainty[name].to_numpy(float)[at] if name in study.uncertainty else np.empty(0)
    reason = ""
    if not len(at):
        reason = f"no reading of {short} in this section"
    elif empty:
        reason = f"the lower bound {lower:g} lies above the upper {upper:g} {unit}: nothing is proposed"
    row = {
        "section": section, "property": short, "group": one.group, "unit": unit,
        "lower": np.nan if empty else lower, "upper": np.nan if empty else upper, "median": middle,
        "u_of_one_check": float(np.nanmedian(spread)) if np.isfinite(spread).any() else np.nan,
        "rows": len(at), "wells": len(set(wells[at])), "rows_before": len(before), "wells_before": len(set(wells[before])),
        "higher_before": chance, "low": span[0], "high": span[1], "basis": basis, "drawn_in": low["why"] or high["why"],
        "rests_on": _rests_on(span, len(set(wells[before])), bool(low["why"] or high["why"])) if len(at) else "",
        "empty": empty, "reason": reason,
    }  # fmt: skip
    keep = np.concatenate([at, before])
    rows = study.data.iloc[keep][["file", "row"]].assign(
        well=wells[keep], measured_depth=study["measured_depth"].to_numpy(float)[keep], value=values[keep],
        weight=np.concatenate([row_weights(wells[at], study["measured_depth"].to_numpy(float)[at]) if len(at) else [], np.zeros(len(before))]),
        role=["reference"] * len(at) + [BEFORE] * len(before),
    )  # fmt: skip
    return row, rows


def _bounds(
    study: Study, name: str, at: Any, before: Any, one: Property
) -> tuple[dict[str, Any], float, dict[str, Any], float, tuple[float, float]]:
    """P10 and P90 of the reference rows, drawn in where trouble clearly goes with one side."""
    low: dict[str, Any] = {"value": np.nan, "why": ""}
    high: dict[str, Any] = {"value": np.nan, "why": ""}
    if not len(at):
        return low, np.nan, high, np.nan, (np.nan, np.nan)
    values, depth, wells = study.data[name].to_numpy(float), study["measured_depth"].to_numpy(float), study.well.to_numpy(object)
    p10, p50, p90 = weighted_percentiles(values[at], row_weights(wells[at], depth[at]), [10.0, 50.0, 90.0])
    low["value"], high["value"] = (np.nan if one.bounds == "upper" else p10), p90
    chance, *span = separation(study, name, before, at)
    if len(before) and span[0] > 0.5:
        middle = float(weighted_percentiles(values[before], row_weights(wells[before], depth[before]), 50.0))
        if middle < p90:
            high.update(value=middle, why=f"upper bound drawn in to the median before trouble, {middle:.4g}")
    elif len(before) and span[1] < 0.5 and one.bounds == "both":
        middle = float(weighted_percentiles(values[before], row_weights(wells[before], depth[before]), 50.0))
        if middle > p10:
            low.update(value=middle, why=f"lower bound drawn in to the median before trouble, {middle:.4g}")
    return low, float(p50), high, chance, (span[0], span[1])


def _rests_on(span: tuple[float, float], wells_before: int, drawn_in: bool) -> str:
    """Whether a window has rows before trouble to lean on, or only what the offsets did."""
    if not np.isfinite(span[0]) or (wells_before < FEWEST_WELLS and not drawn_in):
        return HABIT
    if span[0] > 0.5:
        return "trouble: higher before it"
    return "trouble: lower before it" if span[1] < 0.5 else NO_DIFFERENCE


def _sections(study: Study, plan: Table) -> list[str]:
    from .aligning import in_inches, section_label

    plan = plan.to(study.unit_set)
    plan.needs("plan", "hole_diameter", "start_measured_depth", "end_measured_depth")
    return [section_label(x) for x in in_inches(plan.data["hole_diameter"], plan.units["hole_diameter"])]


def _step(value: float) -> float:
    """Two figures of a number, for a unit that has no step of its own."""
    return 10.0 ** (np.floor(np.log10(abs(value))) - 1) if np.isfinite(value) and value else 1.0


def _span(lower: float, upper: float, empty: bool) -> str:
    if empty:
        return "none"
    if lower == upper:
        return f"{lower:g} only"
    if np.isfinite(lower) and np.isfinite(upper):
        return f"{lower:g} to {upper:g}"
    if np.isfinite(upper):
        return f"at most {upper:g}"
    return f"at least {lower:g}" if np.isfinite(lower) else ""
