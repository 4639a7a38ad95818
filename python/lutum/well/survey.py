"""Where a point of the hole lies: the minimum-curvature method, between the stations as well as at them, and a plan of few points."""

from typing import Any

import numpy as np

__all__ = ["PlannedPath", "Survey", "planned_path"]


class Survey:
    """The stations of one wellbore; lengths in one unit, angles in degrees.

    Between two stations the path is the arc of the minimum-curvature method itself, so that the depth in between is exact
    for it. The depth of the first station is taken from `first_vertical`; it is 0 where that station is at depth 0.
    """

    def __init__(self, measured: Any, inclination: Any, azimuth: Any, first_vertical: float | None = None) -> None:
        order = np.argsort(np.asarray(measured, float), kind="stable")
        self.measured = np.asarray(measured, float)[order]
        if len(self.measured) < 2 or not np.all(np.isfinite(self.measured)) or np.any(np.diff(self.measured) <= 0):
            raise ValueError("a survey needs two stations or more at different measured depths, none of them missing")
        i, a = (np.radians(np.asarray(x, float)[order]) for x in (inclination, azimuth))
        a = np.where(np.isnan(a) & (i == 0.0), 0.0, a)  # a vertical station has no azimuth
        if not np.all(np.isfinite(i)) or not np.all(np.isfinite(a)):
            raise ValueError("an inclination or azimuth of the survey is missing")
        self.tangent = np.column_stack([np.sin(i) * np.cos(a), np.sin(i) * np.sin(a), np.cos(i)])
        if first_vertical is None:
            if self.measured[0] != 0.0:
                raise ValueError(f"the survey starts at {self.measured[0]:g}: give the vertical depth of that station")
            first_vertical = 0.0
        cosine = np.clip(np.sum(self.tangent[:-1] * self.tangent[1:], axis=1), -1.0, 1.0)
        self.bend = np.arccos(cosine)
        steps = self._fall(np.arange(len(self.bend)), np.diff(self.measured))
        self.vertical = first_vertical + np.concatenate([[0.0], np.cumsum(steps)])

    def at(self, measured: Any) -> tuple[Any, Any]:
        """True vertical depth and inclination (degrees) at measured depths; NaN outside the survey, never extrapolated."""
        x = np.asarray(measured, float)
        inside = (x >= self.measured[0]) & (x <= self.measured[-1])
        piece = np.clip(
            np.searchsorted(self.measured, np.where(inside, x, self.measured[0]), side="right") - 1, 0, len(self.bend) - 1
        )
        along = np.where(inside, x - self.measured[piece], 0.0)
        vertical = self.vertical[piece] + self._fall(piece, along)
        length = self.measured[piece + 1] - self.measured[piece]
        share = along / length
        bend = self.bend[piece]
        curved = bend > 1e-7
        safe = np.where(curved, bend, 1.0)
        first = np.where(curved, np.sin(safe * (1.0 - share)) / np.sin(safe), 1.0 - share)
        last = np.where(curved, np.sin(safe * share) / np.sin(safe), share)
        down = first * self.tangent[piece, 2] + last * self.tangent[piece + 1, 2]
        inclination = np.degrees(np.arccos(np.clip(down, -1.0, 1.0)))
        return np.where(inside, vertical, np.nan), np.where(inside, inclination, np.nan)

    def turns(self) -> Any:
        """Measured depths of the stations where the hole begins to bend otherwise: all but those within a straight stretch."""
        bent = self.bend > 1e-7
        return self.measured[1:-1][bent[:-1] | bent[1:]]

    def _fall(self, piece: Any, along: Any) -> Any:
        """Vertical distance from a station to a point of the arc that starts there."""
        length = self.measured[piece + 1] - self.measured[piece]
        bend = self.bend[piece]
        curved = bend > 1e-7
        safe = np.where(curved, bend, 1.0)
        share = along / length
        scale = length / (safe * np.sin(safe))
        first = np.where(curved, scale * (np.cos(safe * (1.0 - share)) - np.cos(safe)), along * (1.0 - share / 2.0))
        last = np.where(curved, scale * (1.0 - np.cos(safe * share)), along * share / 2.0)
        return first * self.tangent[piece, 2] + last * self.tangent[piece + 1, 2]


class PlannedPath:
    """A planned hole known at few points, from above down; one unit of length.

    Between two points the vertical depth is a cubic whose slope stays between that of a horizontal and that of a vertical hole, so
    that it is never deeper than the hole is long. Slopes at the points are those of monotone interpolation, bent where the plan
    leaves no room for them. A vertical step may be longer than the hole by no more than `rounding`; the hole is then vertical there.
    """

    def __init__(self, measured: Any, vertical: Any, rounding: float = 0.0) -> None:
        x, y = (np.asarray(v, float) for v in (measured, vertical))
        if len(x) < 2 or len(x) != len(y) or not np.all(np.isfinite(x) & np.isfinite(y)):
            raise ValueError("a plan needs two points or more, each with measured and vertical depth")
        along, down = np.diff(x), np.diff(y)
        if np.any(along <= 0) or np.any(down < 0) or np.any(down > along * (1 + 1e-9) + rounding):
            raise ValueError("planned points must go down, and no faster vertically than along the hole")
        self.measured, self.vertical, self.steepness = x, y, down / along
        # de Boor and Swartz: a cubic is monotone when its end slopes are at most three times that of its chord; asked of the vertical
        # depth, and of what the hole is longer than that
        most = np.minimum(1.0, 3.0 * self.steepness)
        least = np.minimum(np.maximum(0.0, 3.0 * self.steepness - 2.0), most)
        at_points = _slopes(x, y)
        low, high = np.maximum(np.append(least, 0.0), np.append(0.0, least)), np.minimum(np.append(most, 1.0), np.append(1.0, most))
        at_points = np.where(low <= high, np.clip(at_points, low, np.maximum(low, high)), at_points)  # else the plan has a kink there
        self.first, self.last = (
            np.where(self.steepness >= 1.0, self.steepness, np.clip(slope, least, most)) for slope in (at_points[:-1], at_points[1:])
        )

    def at(self, measured: Any) -> tuple[Any, Any]:
        """True vertical depth and inclination (degrees) at measured depths; NaN outside the plan, never extrapolated."""
        x = np.asarray(measured, float)
        inside = (x >= self.measured[0]) & (x <= self.measured[-1])
        last_piece = len(self.steepness) - 1
        piece = np.clip(np.searchsorted(self.measured, np.where(inside, x, self.measured[0]), side="right") - 1, 0, last_piece)
        along = np.where(inside, x - self.measured[piece], 0.0)
        s = along / (self.measured[piece + 1] - self.measured[piece])
        chord = self.steepness[piece]
        above, below = self.first[piece] - chord, self.last[piece] - chord
        vertical = self.vertical[piece] + along * (chord + (1.0 - s) * (above * (1.0 - s) - below * s))
        slope = chord + above * (1.0 - s) * (1.0 - 3.0 * s) + below * s * (3.0 * s - 2.0)
        inclination = np.degrees(np.arccos(np.clip(slope, 0.0, 1.0)))  # beyond only by rounding
        return np.where(inside, vertical, np.nan), np.where(inside, inclination, np.nan)

    def turns(self) -> Any:
        """Measured depths where the hole begins to bend otherwise."""
        return self.measured[1:-1]


def _slopes(x: Any, y: Any) -> Any:
    if len(x) == 2:
        return np.full(2, (y[1] - y[0]) / (x[1] - x[0]))
    from scipy.interpolate import PchipInterpolator  # type: ignore[import-untyped, unused-ignore]

    with np.errstate(over="ignore"):  # a slope of almost nothing: its reciprocal is infinite, the mean nothing
        return PchipInterpolator(x, y).derivative()(x)


def planned_path(measured: Any, vertical: Any, at: Any, rounding: float = 0.0) -> tuple[Any, Any]:
    """Vertical depth and inclination (degrees) at depths of a planned hole known at few points; NaN outside them. See ``PlannedPath``."""
    return PlannedPath(measured, vertical, rounding).at(at)
