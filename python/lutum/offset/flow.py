"""The flow curve of every row, and the equivalent density while it is pumped."""

from typing import Any

import numpy as np
import pandas as pd

from lutum.well import Survey

from .aligning import Places
from .study import CAUTION, MISSING, Study, row_reasons

SPEEDS = (3, 300, 600)
MODEL = (
    "Flow curve: yield power law through the wall stresses of the 3, 300 and 600 rpm readings at the temperature of the readings, "
    "not that of the hole."
)
CIRCULATING = (
    "Equivalent circulating density at the bit: laminar slot flow in two lengths, cased above the shoe and open below it, drill pipe "
    "throughout; no cuttings, no collars or tool joints, no eccentricity or rotation, no change of the mud with temperature or pressure."
)
STEEPEST, FLATTEST = 1.5, 0.05  # flow indices between which a curve is looked for


def through_three(stress: Any, rate: Any) -> tuple[Any, Any, Any]:
    """Yield stress, consistency and flow index of the yield power law through three points.

    `stress` and `rate`: slow, middle and fast along the last axis. NaN where no flow index from 0.05 to 1.5 fits; a
    negative yield stress is returned as it is. Consistency is in the unit of stress times s^n.
    """
    t = np.asarray(stress, float)
    g = np.broadcast_to(np.asarray(rate, float), t.shape)
    slow, middle, fast = (g[..., i] / g[..., 1] for i in range(3))
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = (t[..., 2] - t[..., 1]) / (t[..., 1] - t[..., 0])

    def over(n: Any) -> Any:
        return (fast**n - middle**n) / (middle**n - slow**n) - ratio

    low, high = np.full(ratio.shape, FLATTEST), np.full(ratio.shape, STEEPEST)
    solvable = (over(low) <= 0.0) & (over(high) >= 0.0) & (t[..., 1] > t[..., 0])
    for _ in range(60):  # the ratio rises with n, so halving finds it
        half = 0.5 * (low + high)
        above = over(half) > 0.0
        low, high = np.where(above, low, half), np.where(above, half, high)
    index = np.where(solvable, 0.5 * (low + high), np.nan)
    at_middle = (t[..., 1] - t[..., 0]) / (middle**index - slow**index)
    return t[..., 1] - at_middle, at_middle / g[..., 1] ** index, index


def flow_curve(study: Study) -> Study:
    """Every row's yield stress, consistency and flow index, from its 3, 300 and 600 rpm readings.

    A row whose readings give no such curve, or a negative yield stress, has none, and `.reasons` says why.
    """
    columns = [f"{kind}_{speed}" for kind in ("wall_stress", "shear_rate") for speed in SPEEDS]
    lacking = [c for c in columns if f"viscometer.{c}" not in study]
    if lacking:
        raise ValueError(f"the study has no {', '.join(lacking)}: the records need the 3, 300 and 600 rpm readings and `compute`")
    values = [study[f"viscometer.{c}"].to_numpy(float) for c in columns]
    stress, rate = np.stack(values[:3], axis=-1), np.stack(values[3:], axis=-1)
    found = np.stack(through_three(stress, rate), axis=-1)
    read = np.isfinite(stress).all(axis=1)
    lost = read & np.isnan(found[:, 2])
    negative = found[:, 0] < 0.0
    found[negative] = np.nan
    names = ("yield_stress", "consistency", "flow_index")
    frame = pd.DataFrame({f"flow_curve.{name}": found[:, i] for i, name in enumerate(names)}, index=study.data.index)
    reasons = row_reasons(
        study, np.flatnonzero(~read), "flow_curve", "reading_3", "one of the 3, 300 and 600 rpm readings is missing"
    )
    reasons += row_reasons(
        study,
        np.flatnonzero(lost),
        "flow_curve",
        "reading_3",
        "no yield power law fits: the readings do not rise with speed as a flow curve does",
    )
    reasons += row_reasons(
        study,
        np.flatnonzero(negative),
        "flow_curve",
        "reading_3",
        "the curve through the three readings has a negative yield stress: reading error at 3 rpm",
    )
    unit = study.unit_set.unit
    kept = {"flow_curve.yield_stress": unit("stress"), "flow_curve.consistency": unit("consistency"), "flow_curve.flow_index": ""}
    return study.with_columns("flow_curve", frame, kept, reasons, MODEL)


def friction(unit_set: Any, density: Any, curve: Any, hole: Any, pipe: Any, rate: Any) -> tuple[Any, Any]:
    """Pressure gradient and flow regime of annular lengths; last axis the lengths, `curve` yield stress, consistency, index."""
    given = {
        "density": density, "yield_stress": curve[0], "consistency": curve[1], "flow_index": curve[2],
        "hole_diameter": hole, "pipe_diameter": pipe, "flow_rate": rate,
    }  # fmt: skip
    calculation = unit_set.hydraulics.slot_pressure_gradient
    return np.asarray(calculation(**given).pressure_gradient), np.asarray(calculation.judge(**given), object)


def circulating(study: Study) -> Study:
    """Equivalent density at the bit of every row that was pumped, from its flow curve, flow rate and hole.

    Needs an aligned study (surveys, casing with inside_diameter and pipe_diameter) with `flow_curve`, and flow_rate in the
    records. `circulating.regime` is the less laminar one of the two lengths; where it is not laminar the figure is too low.
    """
    places: Places | None = study.places
    if places is None or places.casing is None:
        raise ValueError("align the study first, with surveys and casing")
    places.casing.needs("casing", "inside_diameter", "pipe_diameter")
    study = study if "flow_curve.flow_index" in study else flow_curve(study)
    above, pipe, shoe_vertical = _geometry(study, places)
    name = "flow_rate" if "flow_rate" in study.data else ""
    rate = study.data[name].to_numpy(float) if name else np.full(len(study), np.nan)
    measured, vertical = (study[c].to_numpy(float) for c in ("measured_depth", "vertical_depth"))
    shoe, hole = study["shoe_depth"].to_numpy(float), study["section_diameter"].to_numpy(float)
    density = study["mud_density"].to_numpy(float)
    curve = [study[f"flow_curve.{c}"].to_numpy(float)[:, None] for c in ("yield_stress", "consistency", "flow_index")]
    placed = np.isfinite(measured - shoe) & (measured >= shoe)
    bottoms = np.column_stack([shoe, np.where(placed, measured, np.nan)])
    gradient, regime = friction(
        study.unit_set, density[:, None], curve, np.column_stack([above, hole]), pipe[:, None], rate[:, None]
    )
    found = study.unit_set.hydraulics.equivalent_density(
        fluid_density=density, surface_pressure=0.0, bottom_measured_depth=bottoms,
        bottom_true_vertical_depth=np.column_stack([shoe_vertical, vertical]), friction_gradient=gradient,
    )  # fmt: skip
    equivalent = np.asarray(found.equivalent_density)[:, -1]
    worst = np.where(regime[:, 0] == "laminar", regime[:, 1], regime[:, 0])
    frame = pd.DataFrame({
        "circulating.equivalent_density": equivalent, "circulating.increment": equivalent - density,
        "circulating.regime": np.where(np.isfinite(equivalent), worst, "missing"),
    }, index=study.data.index)  # fmt: skip
    unit = study.unit_set.unit("density")
    reasons = _gaps(study, {"flow_rate": rate, "flow_curve.flow_index": curve[2][:, 0], "mud_density": density, "shoe_depth": above + shoe,
                            "vertical_depth": vertical, "pipe_diameter": pipe})  # fmt: skip
    rough = np.isfinite(equivalent) & (worst != "laminar")
    reasons += row_reasons(
        study, np.flatnonzero(rough), "circulating", "flow_rate", "flow is not laminar: the figure is too low", CAUTION
    )
    kept = {"circulating.equivalent_density": unit, "circulating.increment": unit}
    return study.with_columns("circulating", frame, kept, reasons, CIRCULATING)


def _gaps(study: Study, inputs: dict[str, Any]) -> list[dict[str, Any]]:
    """The first input that is missing, for every row that lacks one."""
    told = np.zeros(len(study), bool)
    reasons: list[dict[str, Any]] = []
    for name, values in inputs.items():
        gap = np.isnan(values) & ~told
        words = "not pumped, or no pump rate in the records" if name == "flow_rate" else f"{name} is not known"
        reasons += row_reasons(study, np.flatnonzero(gap), "circulating", name, words, MISSING)
        told |= gap
    return reasons


def _geometry(study: Study, places: Places) -> tuple[Any, Any, Any]:
    """Inside diameter above the shoe, pipe, and vertical depth of the shoe, for every row."""
    above, pipe, vertical = (np.full(len(study), np.nan) for _ in range(3))
    sizes = study["section_diameter"].to_numpy(float)
    for well, positions in study.well.groupby(study.well, sort=False).indices.items():
        rows = places.casing_by_well.get(str(well))
        if rows is None:
            continue
        rows = rows.sort_values("measured_depth", kind="stable").reset_index(drop=True)
        path = places.paths.get(str(well))
        for number in range(1, len(rows)):
            at = np.asarray(positions)[np.isclose(sizes[positions], rows["hole_diameter"][number])]
            above[at], pipe[at] = rows["inside_diameter"][number - 1], rows["pipe_diameter"][number]
            if isinstance(path, Survey):
                vertical[at] = path.at(rows["measured_depth"][number - 1])[0]
    return above, pipe, vertical
