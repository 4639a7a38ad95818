"""Readings at several temperatures and pressures: ln stress is interpolated at each rate, then a model is fitted there."""

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum._sets import UnitSet

from .curve import FlowCurve
from .fitting import asked, fit_taken
from .models import factor, from_kelvin, kelvin, model_named, set_of
from .readings import Taken, take
from .telling import WORTH

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["MeasuredGrid"]

NEAR = 1e-9  # of the span of a coordinate: on the edge is inside


class MeasuredGrid:
    """Measured flow curves of one mud at several temperatures, and perhaps pressures.

    ``readings``: {temperature: {speed in r/min: dial reading}}, or {(temperature, pressure): ...}; instead of dial readings a pair (rates,
    stresses). ln stress is linear in 1/T and in pressure between the neighbours: of a full grid of temperatures and pressures in its cells,
    of scattered conditions in triangles. Outside what was measured there is no answer but an error. Parameters are never interpolated.

    >>> from lutum import flow_curve
    >>> grid = flow_curve.MeasuredGrid({120: {600: 65, 300: 40, 100: 21, 3: 7}, 150: {600: 52, 300: 32, 100: 17, 3: 6}})
    >>> grid.fit(temperature=135, model="bingham").temperature
    135.0
    """

    def __init__(self, readings: Mapping[Any, Any], *, units: Any = None, **geometry: float) -> None:
        self.units: UnitSet = set_of(units)
        if not readings:
            raise ValueError("there are no conditions: give {temperature: readings} or {(temperature, pressure): readings}")
        self._taken: list[Taken] = []
        places = []
        for condition, given in readings.items():
            pair = condition if isinstance(condition, tuple) else (condition, None)
            if len(pair) != 2:
                raise ValueError(f"a condition is a temperature or (temperature, pressure), not {condition!r}")
            pressure = np.nan if pair[1] is None else float(pair[1]) * factor("pressure", self.units)
            rate, stress = given if isinstance(given, (tuple, list)) else (None, None)
            self._taken.append(take(None if rate is not None else given, rate, stress, pair[0], self.units, geometry))
            places.append((float(kelvin(float(pair[0]), self.units) or np.nan), pressure))
        self._places = np.array(places)
        known = np.isfinite(self._places[:, 1])
        if known.any() and not known.all():
            raise ValueError("some conditions have a pressure and some have none: give every one its pressure, or none")
        if len(np.unique(self._places, axis=0)) < len(self._places) and known.all():
            raise ValueError("a condition is given twice: repeated readings of one condition are fitted together with fit(), not put into a grid")

    def __repr__(self) -> str:
        return f"<MeasuredGrid: {len(self._places)} conditions, {self._range(0)}{', ' + self._range(1) if self._has_pressure else ''}>"

    @property
    def _has_pressure(self) -> bool:
        return bool(np.isfinite(self._places[:, 1]).all())

    def _shown(self, axis: int, value: float) -> str:
        if axis == 0:
            return f"{from_kelvin(value, self.units):.6g} {self.units.unit('temperature')}"
        return f"{value / factor('pressure', self.units):.6g} {self.units.unit('pressure')}"

    def _range(self, axis: int) -> str:
        low, high = self._places[:, axis].min(), self._places[:, axis].max()
        return self._shown(axis, low) if low == high else f"{self._shown(axis, low)} to {self._shown(axis, high)}"

    def conditions(self) -> "pd.DataFrame":
        """What was measured: a row a condition, a column a shear rate, stresses in the unit of the set."""
        import pandas as pd

        columns = sorted({rate for taken in self._taken for rate in taken.rates if rate == rate})
        rows = [[dict(zip(t.rates, t.stresses)).get(rate, np.nan) / factor("stress", self.units) for rate in columns] for t in self._taken]
        frame = pd.DataFrame(rows, columns=[rate / factor("shear_rate", self.units) for rate in columns])
        frame.insert(0, "temperature", [from_kelvin(t, self.units) for t in self._places[:, 0]])
        if self._has_pressure:
            frame.insert(1, "pressure", self._places[:, 1] / factor("pressure", self.units))
        return frame

    def stress(self, temperature: float, pressure: float | None = None) -> dict[float, float]:
        """The stress at each measured rate, interpolated; missing where a condition that is needed has no reading above zero there."""
        taken, _ = self._between(temperature, pressure)
        return {r / factor("shear_rate", self.units): s / factor("stress", self.units) for r, s in zip(taken.rates, taken.stresses)}

    def fit(
        self,
        temperature: float,
        pressure: float | None = None,
        model: str = "yield_power_law",
        *,
        weighting: str = "equal",
        stress_uncertainty: Any = None,
        relative_uncertainty: float | None = None,
        bounds: Mapping[str, tuple[float, float]] | None = None,
        rate_range: Any = None,
        rate_correction: str = "none",
    ) -> FlowCurve:
        """The model fitted to the stresses interpolated at this condition; options as for ``fit``.

        Its covariance is that of the fit alone: the error of the interpolation is not in it. At a measured condition it is the fit of
        those readings.
        """
        taken, how = self._between(temperature, pressure)
        wanted = asked(self.units, model_named(model), weighting, stress_uncertainty, relative_uncertainty, bounds, rate_range, rate_correction)
        at = None if pressure is None else float(pressure) * factor("pressure", self.units)
        curve = fit_taken(taken, model, wanted, self.units, pressure=at)
        if not how:
            return curve
        return curve._with(status="interpolated" if WORTH[curve.status].sound else curve.status, how=how)

    def _between(self, temperature: float, pressure: float | None) -> tuple[Taken, str]:
        """Readings as they would be at a condition, and how they were come by; "" at a measured condition."""
        at = self._asked(temperature, pressure)
        weights = self._weights(at)
        nodes = np.flatnonzero(weights > 0.0)
        if len(nodes) == 1:
            return self._taken[nodes[0]], ""
        rates = sorted({rate for n in nodes for rate in self._taken[n].rates if rate == rate})
        stresses = []
        for rate in rates:
            known = [dict(zip(self._taken[n].rates, self._taken[n].stresses)).get(rate, np.nan) for n in nodes]
            sound = all(x > 0.0 for x in known)
            stresses.append(float(np.exp(weights[nodes] @ np.log(known))) if sound else np.nan)
        first = self._taken[nodes[0]]
        places = "; ".join(
            self._shown(0, self._places[n, 0]) + (f" and {self._shown(1, self._places[n, 1])}" if self._has_pressure else "") for n in nodes
        )
        how = f"fitted to stresses interpolated between readings at {places}: ln stress at each rate, linear in 1/T and in pressure"
        instrument = replace(first, rates=tuple(rates), stresses=tuple(stresses), speeds=(), dials=(), temperature=float(at[0]))
        return instrument, how

    def _asked(self, temperature: float, pressure: float | None) -> Any:
        """The condition in SI, refused outside what was measured."""
        if pressure is not None and not self._has_pressure:
            raise ValueError(f"pressure = {pressure:g} {self.units.unit('pressure')}: the readings have no pressure, so none can be asked for")
        if pressure is None and len(np.unique(self._places[:, 1])) > 1 and self._has_pressure:
            raise ValueError(f"give the pressure too: the readings lie between {self._range(1)}")
        at = [float(kelvin(float(temperature), self.units) or np.nan), np.nan if pressure is None else float(pressure) * factor("pressure", self.units)]
        for axis, name in ((0, "temperature"), (1, "pressure")):
            if np.isnan(at[axis]) and axis == 1:
                continue
            low, high = self._places[:, axis].min(), self._places[:, axis].max()
            room = NEAR * max(high - low, abs(high))
            if not low - room <= at[axis] <= high + room:
                advice = "; a published law is a fallback: fit a measured condition and take curve.at_temperature" if axis == 0 else ""
                raise ValueError(f"{name} = {self._shown(axis, at[axis])} is outside what was measured, {self._range(axis)}: measure there{advice}")
        return np.array(at)

    def _weights(self, at: Any) -> Any:
        """What each measured condition counts: not below zero, together one."""
        places = np.column_stack([1.0 / self._places[:, 0], self._places[:, 1]])
        target = np.array([1.0 / at[0], at[1]])
        varying = [axis for axis in (0, 1) if np.isfinite(target[axis]) and np.ptp(places[:, axis]) > 0.0]
        if not varying:
            return np.eye(len(places))[0]
        low, span = places[:, varying].min(axis=0), np.ptp(places[:, varying], axis=0)
        u, x = (places[:, varying] - low) / span, np.clip((target[varying] - low) / span, 0.0, 1.0)
        near = np.abs(u - x).max(axis=1)
        if near.min() < NEAR:
            return np.eye(len(places))[near.argmin()]
        if len(varying) == 1:
            return _of_line(u[:, 0], x[0], len(places))
        weights = _of_cells(u, x)
        return self._of_triangles(u, x, at) if weights is None else weights

    def _of_triangles(self, u: Any, x: Any, at: Any) -> Any:
        from scipy.spatial import Delaunay, QhullError  # type: ignore[import-untyped, unused-ignore]

        try:
            triangles = Delaunay(u)
        except QhullError:
            raise ValueError(f"the {len(u)} measured conditions lie on one line of temperature and pressure: measure beside it to interpolate") from None
        found = int(triangles.find_simplex(x, tol=NEAR))
        if found < 0:
            where = f"{self._shown(0, at[0])} and {self._shown(1, at[1])}"
            raise ValueError(f"{where} does not lie between the measured conditions, though inside their ranges: measure nearer to it (.conditions() lists them)")
        transform = triangles.transform[found]
        inner = transform[:2] @ (x - transform[2])
        weights = np.zeros(len(u))
        weights[triangles.simplices[found]] = np.clip([*inner, 1.0 - inner.sum()], 0.0, None)
        return weights / weights.sum()


def _of_line(u: Any, x: float, count: int) -> Any:
    """Between the two neighbours on a line."""
    order = np.argsort(u, kind="stable")
    above = int(np.clip(np.searchsorted(u[order], x), 1, count - 1))
    left, right = order[above - 1], order[above]
    share = (x - u[left]) / (u[right] - u[left])
    weights = np.zeros(count)
    weights[left], weights[right] = 1.0 - share, share
    return weights


def _of_cells(u: Any, x: Any) -> Any:
    """Between the four corners of a cell, where every temperature was measured at every pressure; None where not."""
    axes = [np.unique(np.round(u[:, axis], 9)) for axis in (0, 1)]
    if len(axes[0]) * len(axes[1]) != len(u):
        return None
    shares = [_of_line(axis, value, len(axis)) for axis, value in zip(axes, x)]
    columns = [np.abs(axis[None, :] - u[:, [k]]).argmin(axis=1) for k, axis in enumerate(axes)]
    return shares[0][columns[0]] * shares[1][columns[1]]
