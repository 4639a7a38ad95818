"""A flow curve for every record of a frame, any reading missing; a status a record, and none dropped."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum import _core
from lutum._columns import numbers
from lutum._sets import UnitSet

from .fitting import Asked, asked
from .models import factor, model_named, parameters_of, set_of, unit_of
from .readings import Taken, in_rpm, instrument, take
from .telling import MEANINGS

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["fit_many"]

# The verdicts of the fast way in the words of a single fit.
STATUS_OF = {
    "fitted": "fitted", "yield_stress_at_bound": "at_bound", "flow_index_at_bound": "at_bound", "flat": "flat",
    "too_few_readings": "too_few_readings", "no_freedom": "not_identifiable", "missing": "outside_limits",
    "crossed_bounds": "outside_limits",
}  # fmt: skip
UNBOUND = 1e5  # Pa: as far as the fast way goes for a yield stress without a bound


def fit_many(
    frame: "pd.DataFrame",
    model: str = "yield_power_law",
    *,
    units: Any = None,
    columns: Mapping[float, str] | None = None,
    weighting: str = "equal",
    stress_uncertainty: Any = None,
    relative_uncertainty: float | None = None,
    bounds: Mapping[str, tuple[float, float]] | None = None,
    rate_range: Any = None,
    rate_correction: str = "none",
    thorough: bool = False,
    **geometry: float,
) -> "pd.DataFrame":
    """The flow curve of every row: parameters, residual_scatter (root mean square, in stress), readings_used, status and reason.

    ``columns``: {speed in r/min: column}; unless told, the columns reading_600, reading_300, reading_5.1 and so on. Everything else as for
    ``fit``. A yield power law goes the fast way, some hundred thousand a second, which tells what a bound holds, flat and too few readings
    (bounds of the consistency and an uncertainty for each speed are not for it); ``thorough`` takes the way of ``fit`` for it as well, some
    ten thousand a second, which also finds a suspect reading and parameters that cannot be told, and gives standard uncertainties. Bounds
    are those of ``fit`` in both: a flow index of 0.02 to 2, wider than the 0.05 to 1.2 and 1000 Pa of rheology.yield_power_law_fit itself.
    The reading temperature of a row stays beside its curve.
    """
    import pandas as pd

    home, described = set_of(units), parameters_of(model_named(model))
    wanted = asked(home, model, weighting, stress_uncertainty, relative_uncertainty, bounds, rate_range, rate_correction)
    speeds, dials = _readings(frame, columns)
    rates, stresses, outside, example = _in_si(home, speeds, dials, geometry)
    inside = (rates >= wanted.rate_range[0]) & (rates <= wanted.rate_range[1]) & (rates > 0.0)
    stresses = np.where(inside, stresses, np.nan)
    _core.fit_flow_curves(model, rates, stresses[:0], bounds=wanted.bounds)  # refuses bounds that cross, before the work
    fast = model == "yield_power_law" and not thorough and rate_correction == "none" and len(speeds) <= _most()
    found = _fast(rates, stresses, wanted, example) if fast else _one_by_one(model, rates, stresses, wanted, example)
    parameters, uncertainties, used, scatter, status, place = found
    status = np.where(outside >= 0, "outside_limits", status)
    table: dict[str, Any] = {}
    for j, p in enumerate(described):
        table[p.name] = np.where(outside >= 0, np.nan, parameters[:, j]) / factor(p.quantity, home)
    if uncertainties is not None:
        for j, p in enumerate(described):
            table[f"{p.name}_uncertainty"] = np.where(outside >= 0, np.nan, uncertainties[:, j]) / factor(p.quantity, home)
    table["residual_scatter"] = np.where(outside >= 0, np.nan, scatter) / factor("stress", home)
    table["readings_used"] = np.where(outside >= 0, 0, used)
    if "reading_temperature" in frame.columns:
        table["temperature"] = frame["reading_temperature"].to_numpy()
    table["status"] = status.astype(object)
    table["reason"] = [_reason(s, speeds, o, k, u, len(described)) for s, o, k, u in zip(status, outside, place, used)]
    made = pd.DataFrame(table, index=frame.index)
    made.attrs["units"] = {p.name: unit_of(p.quantity, home) for p in described} | {"residual_scatter": home.unit("stress")}
    made.attrs |= {"model": model, "weighting": weighting, "rate_range": wanted.rate_range, "rate_correction": rate_correction}
    return made


def _readings(frame: "pd.DataFrame", columns: Mapping[float, str] | None) -> tuple[list[float], Any]:
    """Speeds in r/min and the dial readings, a column a speed."""
    from lutum.records.columns import dial_speed

    named = {s: str(c) for c in frame.columns if (s := dial_speed(str(c))) is not None} if columns is None else {float(s): c for s, c in columns.items()}
    lacking = [c for c in named.values() if c not in frame.columns]
    if lacking:
        raise ValueError(f"no column {lacking[0]!r}; the frame has {', '.join(map(str, frame.columns))}")
    if not named:
        raise ValueError("the frame has no dial readings: columns reading_600, reading_300 and so on, or columns={speed in r/min: column}")
    return list(named), np.column_stack([numbers(frame[c], f"column {c!r}") for c in named.values()])


def _in_si(home: UnitSet, speeds: list[float], dials: Any, geometry: Mapping[str, float]) -> tuple[Any, Any, Any, Taken]:
    """Rates, wall stresses, the place of the first reading outside its limits in each row (-1: none), and the instrument."""
    example = take(dict.fromkeys(speeds[:1], 1.0), None, None, None, home, geometry)
    viscometer = in_rpm().rheology.viscometer
    given = instrument(home, geometry)
    rates = np.concatenate([viscometer(speed=[s], reading=[0.0], **given).shear_rate for s in speeds])
    low, high = next(v.limits for v in viscometer.inputs if v.name == "reading")
    assert example.degree is not None
    wrong = (dials < low) | (dials > high)
    return rates, dials * example.degree, np.where(wrong.any(axis=1), wrong.argmax(axis=1), -1), example


def _most() -> int:
    from lutum import si

    return int(next(v.length for v in si.rheology.yield_power_law_fit.inputs if v.name == "shear_rate"))


def _fast(rates: Any, stresses: Any, wanted: Asked, example: Taken) -> tuple[Any, ...]:
    """The catalogue's fit, all rows in one pass."""
    from lutum import si

    usual = {p.name: (p.low, p.high) for p in parameters_of("yield_power_law")} | wanted.bounds
    (least_yield, most_yield), (least_index, most_index) = usual["yield_stress"], usual["flow_index"]
    if usual["consistency"] != (0.0, np.inf):
        raise ValueError("bounds: the fast way knows no bound of the consistency but zero; ask with thorough=True")
    own = wanted.own_uncertainty(example.degree)
    if np.size(own) != 1:
        raise ValueError(f"stress_uncertainty has {np.size(own)} values: the fast way takes one for all speeds; give one, or ask with thorough=True")
    given = {
        "shear_rate": np.broadcast_to(rates, stresses.shape), "shear_stress": stresses, "lowest_yield_stress": max(least_yield, -UNBOUND),
        "highest_yield_stress": min(most_yield, UNBOUND), "lowest_flow_index": least_index, "highest_flow_index": most_index,
        "relative_uncertainty": wanted.relative_uncertainty, "weighting": wanted.weighting,
        "stress_uncertainty": own,
    }  # fmt: skip
    calculation = si.rheology.yield_power_law_fit
    found = calculation(**given)
    verdicts = np.asarray(calculation.judge(**given))
    used = np.isfinite(stresses).sum(axis=1)
    parameters = np.column_stack([found.yield_stress, found.consistency, found.flow_index])
    residual = np.asarray(found.residual)
    squares = np.where(np.isfinite(residual), residual, 0.0) ** 2
    with np.errstate(invalid="ignore"):
        scatter = np.where(np.isfinite(parameters[:, 0]), np.sqrt(squares.sum(axis=1) / np.maximum(used, 1)), np.nan)
    said = np.array([STATUS_OF[v] for v in verdicts], object)
    return parameters, None, used, scatter, said, np.full(len(used), -1)


def _one_by_one(model: str, rates: Any, stresses: Any, wanted: Asked, example: Taken) -> tuple[Any, ...]:
    """The same fit as of one curve, for every row."""
    found = _core.fit_flow_curves(model, rates, stresses, **wanted.options(stresses, example))
    used = found.number_used
    with np.errstate(invalid="ignore", divide="ignore"):
        scatter = np.sqrt(found.sum_of_squares / np.where(used > 0, used, np.nan))
        uncertainties = np.sqrt(np.diagonal(found.covariance, axis1=1, axis2=2))
    return found.parameters, uncertainties, used, scatter, np.array(_core.fit_statuses, object)[found.status], found.suspect


def _reason(status: str, speeds: list[float], outside: int, suspect: int, used: int, unknowns: int) -> str:
    """What a status means for this row; "" where all is well."""
    if status == "fitted":
        return ""
    if outside >= 0:
        return f"the reading at {speeds[outside]:g} r/min is outside its limit: no fit"
    if status == "suspect_reading":
        return f"the reading at {speeds[suspect]:g} r/min lies off the curve of the others"
    if status == "too_few_readings":
        return f"{used} reading{'' if used == 1 else 's'} for {unknowns} parameters"
    return MEANINGS[status]
