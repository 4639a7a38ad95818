"""Surge and swab of a whole well, and the trip speeds that keep its window at every bit depth."""

from dataclasses import dataclass
from math import inf, pi
from typing import TYPE_CHECKING, Any

import numpy as np
from scipy.optimize import brentq  # type: ignore[import-untyped, unused-ignore]

from lutum import si
from lutum import units as unit_of
from lutum._columns import numbers
from lutum._sets import UnitSet
from lutum.flow_curve.models import factor

from .circulating import head_of
from .fluid import Fluid
from .reading import out_of_si
from .rows import Rows
from .window import Window, places

if TYPE_CHECKING:
    import pandas as pd

    from .geometry import Well

__all__ = ["Surge", "surge", "trip_schedule"]

ENDS, WAYS = ("closed", "open"), ("in", "out")
CAUTION = (
    "Advisory. Trip speeds and surge and swab pressures are for the well's own programme and licensed practice to decide. They are of mud of one "
    "temperature past a pipe in the middle of a clean hole that is kept full, pumps as given (off unless told), no heave of the rig; a balled bit, "
    "cuttings beds and mud that has gelled longer cost more. A pipe speed is the highest at any moment: the mean over a stand is lower (handbooks: by 1.5)."
)
SLOWEST = 1e-6  # of the highest speed: what even the slowest motion costs, a gel or a yield stress, is found there
COLUMNS = {
    "bit_depth": "length", "pipe_velocity": "velocity", "surge_pressure": "pressure", "equivalent_density": "density", "to_limit": "density",
    "to_limit_at": "length", "to_other_limit": "density",
}  # fmt: skip


@dataclass(frozen=True, eq=False, repr=False)
class Surge:
    """What the pipe's motion adds to the pressure at the bottom of every row (in) or takes from it (out), in SI: of the annulus above that
    depth, so below the bit all of it. What is pumped counts in it, in the same sense: on a way out it may turn all negative, a pressure added.

    ``steady`` at the full speed, ``inertia`` from the acceleration up to it, ``gel`` what breaking the gel takes, ``pumping`` what the pumps do
    before the pipe moves. ``peak`` is the larger of steady and gel, which come one after the other, and the inertia, which goes with both: an
    upper bound, for mud and walls give a little. ``lowest`` is the bound on the other side, when it is braked.
    """

    rows: Rows
    steady: Any
    inertia: Any
    gel: Any
    pumping: Any
    bore_flow: float  # through the bit, against the pipe: into the string on a way in, out of it on a way out; 0 of a closed one, pumps off
    units: UnitSet

    @property
    def peak(self) -> Any:
        """What counts against the side the motion presses to, in Pa."""
        before = self.gel + self.pumping  # pumping has broken the gel: one of them is 0
        return np.maximum(before, self.steady) + np.abs(self.inertia)  # past a slim pipe an open string may draw mud down

    @property
    def lowest(self) -> Any:
        """What counts against the other side, when it is braked, in Pa."""
        return np.minimum(self.pumping, self.steady) - np.abs(self.inertia)

    def at_bit(self, part: str = "peak") -> float:
        """Of ``peak``, ``lowest``, ``steady``, ``inertia``, ``gel`` or ``pumping``, in the unit of the well."""
        return float(getattr(self, part)[-1]) / factor("pressure", self.units)

    def profile(self) -> "pd.DataFrame":
        """Down the well, a row a section, in the units of the well; densities are what peak and lowest add on a way in and take on a way out."""
        import pandas as pd

        rows, parts = self.rows, ("steady", "inertia", "gel", "pumping", "peak", "lowest")
        depths, densities = ("bottom_measured_depth", "bottom_true_vertical_depth"), ("peak", "lowest")
        columns = {"hole": rows.hole, "part": rows.part} | {name: out_of_si(getattr(rows, name), "length", self.units) for name in depths}
        columns |= {name: out_of_si(getattr(self, name), "pressure", self.units) for name in parts}
        head = head_of(rows.bottom_true_vertical_depth)
        columns |= {f"{name}_equivalent_density": out_of_si(getattr(self, name) / head, "density", self.units) for name in densities}
        made = pd.DataFrame(columns)
        quantities = dict.fromkeys(depths, "length") | dict.fromkeys(parts, "pressure") | {f"{name}_equivalent_density": "density" for name in densities}
        made.attrs["units"] = {name: self.units.unit(quantity) for name, quantity in quantities.items()}
        made.attrs["caution"] = CAUTION
        return made

    @property
    def caution(self) -> str:
        """To be read with every number."""
        return CAUTION

    def __repr__(self) -> str:
        before = "pumping" if self.pumping.any() else "gel"
        parts = ", ".join(f"{part} {self.at_bit(part):.4g}" for part in ("steady", "inertia", before))
        return f"Surge at the bit: {self.at_bit():.4g} {self.units.unit('pressure')} ({parts}); advisory"


def surge(
    well: "Well",
    fluid: Fluid,
    pipe_velocity: float,
    *,
    flow_rate: float = 0.0,
    way: str | None = None,
    bit_depth: float | None = None,
    end: str = "closed",
    method: str = "exact",
    acceleration: float = 0.0,
    gel_strength: float = 0.0,
    spacing: float | None = None,
) -> Surge:
    """The pressure that a string moving at ``pipe_velocity`` makes down the well; with the pumps off the same number for surge and swab.

    ``end``: ``closed`` (plug, or a float on the way in; it does not shut on the way out) or ``open`` (mud also passes the bore and the
    nozzles, its level as high as in the annulus; the flow parts so that both ways lose the same). ``method``: ``exact`` (moving wall),
    ``handbook_line``, ``handbook_constant``, see hydraulics.moving_pipe. ``acceleration`` of the string, up to that speed and when it is
    braked, and ``gel_strength``, a stress: 0 leaves them out. A pipe at rest adds nothing, pumps off.

    ``flow_rate`` is pumped meanwhile down the string and out of the bit, from before the pipe moves until it has stopped. ``way`` then is
    needed: ``in``, where it adds to the flow that the pipe makes, or ``out``, where it takes from it. The gel is broken by then and left out,
    the end is closed: nothing enters by the bit. At a speed of 0 it is the annulus' loss of circulating: by the handbook methods that of
    ``circulate`` in a concentric hole, by ``exact`` a little less, for there the annulus is round and not a slot.
    """
    if way not in (None, *WAYS):
        raise ValueError(f"way = {way!r} is unknown; choose in or out")
    speed = _speed(pipe_velocity, "pipe_velocity", well.units)
    start = _start(acceleration, gel_strength, well.units)
    pumped = _pumped(flow_rate, way, end, well.units)
    return _Moved(well, fluid, well.rows(bit_depth, spacing), end, method, *start, pumped).surge(speed)


def trip_schedule(
    well: "Well",
    fluid: Fluid,
    window: Window,
    bit_depths: Any,
    *,
    way: str,
    highest: float,
    flow_rate: float = 0.0,
    margin: float = 0.0,
    speed_step: float | None = None,
    end: str = "closed",
    method: str = "exact",
    acceleration: float = 0.0,
    gel_strength: float = 0.0,
    back_pressure: float = 0.0,
) -> "pd.DataFrame":
    """A row a bit depth: the highest pipe speed that keeps every exposed depth ``margin`` (a density) inside the window, and what stops it.

    ``way``: ``in`` (surge, against the fracture side) or ``out`` (swab, against the larger of pore and collapse). Speeds are in the set's unit
    of velocity (ft/min, m/s), none above ``highest``; with a ``speed_step`` they are rounded down to whole steps, and the row is of the rounded
    one. ``flow_rate`` is pumped while the pipe moves and off at rest, between stands. Otherwise as in ``surge``.

    Columns: ``hours`` from this depth to the next of the table at the slower of both speeds, the pipe only, no connections;
    ``surge_pressure`` at the bit (of a swab too; negative where pumping out adds more than the pipe takes); ``equivalent_density`` where it
    comes nearest to the limit, ``to_limit`` how near (negative is outside; at least ``margin`` at a speed above 0), ``to_limit_at`` the measured
    depth of it. A speed of 0: already at rest, pumping, or in the slowest motion (yield stress, gel, inertia), too little is left, and the row
    is of that. ``to_other_limit`` is what is left to the other side when the pipe is braked: inertia acts the other way then, and so does
    pumping out. No speed is chosen by it, but pumping out none is left where it is below ``margin``. What the window does not cover is not
    watched; ``attrs["unwatched"]`` tells. Advisory.
    """
    import pandas as pd

    if way not in WAYS:
        raise ValueError(f"way = {way!r} is unknown; choose in or out")
    home = well.units
    limit = _speed(highest, "highest", home, above=True)
    step = None if speed_step is None else _positive(speed_step, "speed_step", "velocity", home, above=True)
    start, back = _start(acceleration, gel_strength, home), _positive(back_pressure, "back_pressure", "pressure", home)
    kept, pumped = _positive(margin, "margin", "density", home), _pumped(flow_rate, way, end, home)
    depths = np.atleast_1d(np.asarray(numbers(bit_depths, "bit_depths"), float))
    if depths.ndim != 1 or not len(depths):
        raise ValueError(f"bit_depths must be one depth or a list of some, in {home.unit('length')}")
    made = []
    for depth in depths:
        held = _Held(_Moved(well, fluid, well.rows(depth), end, method, *start, pumped), window, way, kept, back)
        speed, why, at = held.fastest(limit, step)
        row = (depth * factor("length", home), speed, at.pressure, at.density, at.room + kept, at.depth, at.other)
        made.append([out_of_si(x, quantity, home) for x, quantity in zip(row, COLUMNS.values())] + [why])
    frame = pd.DataFrame(made, columns=[*COLUMNS, "stopped_by"])
    slower = np.minimum(frame["pipe_velocity"], frame["pipe_velocity"].shift(-1)) * factor("velocity", home)
    steps = np.abs(frame["bit_depth"].shift(-1) - frame["bit_depth"]) * factor("length", home)
    frame.insert(2, "hours", unit_of.convert((steps / slower.where(slower > 0.0)).to_numpy(), "s", "h"))
    frame.attrs["units"] = {name: home.unit(quantity) for name, quantity in COLUMNS.items()} | {"hours": "h"}
    frame.attrs["caution"] = CAUTION
    frame.attrs["unwatched"] = window.unknown(held.watched_at, home)
    return frame


class _Moved:
    """A string at one depth that may move, in SI: what its speed does to the annulus. Rows alike are found once."""

    def __init__(self, well: "Well", fluid: Fluid, rows: Rows, end: str, method: str, acceleration: float, gel: float, pumped: float) -> None:
        """``pumped``: against the pipe's motion, negative on the way out."""
        if end not in ENDS:
            raise ValueError(f"end = {end!r} is unknown; choose {' or '.join(ENDS)}")
        if not fluid.is_one:
            raise ValueError(f"a surge is of one fluid, not {fluid.records} records: fluid.record(place) is one of them")
        self.rows, self.end, self.method, self.units = rows, end, method, well.units
        self.acceleration, self.gel, self.pumped = acceleration, 0.0 if pumped else gel, pumped
        self.fluid = {name: float(x) for name, x in fluid.in_si().items()}
        string = rows.in_string
        self.row_length = np.where(string, rows.length, 0.0)
        columns = np.stack([rows.hole_diameter, rows.pipe_diameter, rows.bore, rows.roughness])[:, string]
        (self.hole, self.pipe, self.bore, self.roughness), alike = np.unique(columns, axis=1, return_inverse=True)
        self.of = np.zeros(len(rows), int)
        self.of[string] = np.ravel(alike)
        self.length = np.bincount(np.ravel(alike), rows.length[string])
        self.outside = pi / 4.0 * self.pipe**2
        self.bit = well.bit_in_si()
        if end == "open" and not self.bit["nozzle_area"] > 0.0:
            raise ValueError(
                "an open string needs what the mud enters by: well.replace(bit={...}) gives nozzles or nozzle_area (without a bit, the area of its bore)"
            )
        self.still = np.zeros(len(rows))
        self.pumping = self._down(self._gradient(0.0, -pumped)) if pumped else self.still

    def at_rest(self) -> Surge:
        """Pumps off."""
        return Surge(self.rows, self.still, self.still, self.still, self.still, 0.0, self.units)

    def surge(self, speed: float) -> Surge:
        if speed == 0.0:
            return Surge(self.rows, self.pumping, self.still, self.still, self.pumping, 0.0 - self.pumped, self.units)
        bore_flow, friction = self._parted(speed) if self.end == "open" else (0.0 - self.pumped, self._gradient(speed, -self.pumped))
        annulus = {"hole_diameter": self.hole, "pipe_diameter": self.pipe}
        # The mud gains its speed as the pipe does: of an open one as much less as its flow is less than that of a closed one. Pumps run evenly.
        share = 1.0 - (bore_flow + self.pumped) / (speed * self.outside)
        inertia = si.hydraulics.inertia_pressure(
            density=self.fluid["density"], acceleration=self.acceleration * share + 0.0, length=1.0, **annulus, pipe_end="closed"
        ).pressure
        gel = si.hydraulics.gel_breaking(gel_strength=self.gel, length=1.0, **annulus).annulus_pressure
        return Surge(self.rows, self._down(friction), self._down(inertia), self._down(gel), self.pumping, bore_flow, self.units)

    def _down(self, gradient: Any) -> Any:
        return np.cumsum(gradient[self.of] * self.row_length)

    def _gradient(self, speed: float, bore_flow: float) -> Any:
        """Of the annulus: past every level go as much mud and steel up as down, and against the pipe the bore's flow is one along the string."""
        return si.hydraulics.moving_pipe(
            **self.fluid, hole_diameter=self.hole, pipe_diameter=self.pipe, pipe_velocity=speed, annular_flow=speed * self.outside - bore_flow, length=1.0,
            method=self.method,
        ).pressure_gradient  # fmt: skip

    def _bore_loss(self, flow: float) -> float:
        inside = si.hydraulics.pipe_loss(**self.fluid, inside_diameter=self.bore, flow_rate=flow, length=self.length, roughness=self.roughness)
        bit = si.hydraulics.bit_pressure_loss(density=self.fluid["density"], flow_rate=flow, **self.bit)
        return float(np.sum(inside.pressure_loss)) + float(bit.pressure_loss)

    def _parted(self, speed: float) -> tuple[float, Any]:
        """What enters the bit, so that annulus and bore lose the same, and the annulus' gradients. A yield stress may keep the bore shut.

        It may be more than a slim pipe higher up displaces: past that one the annulus is drawn down while a wide part below drives the bore.
        """

        def apart(flow: float) -> float:
            return float(self._gradient(speed, flow) @ self.length) - self._bore_loss(flow)

        high = speed * float(self.outside.min())
        low = 1e-9 * high
        if apart(low) <= 0.0:
            return 0.0, self._gradient(speed, 0.0)
        while apart(high) > 0.0:
            low, high = high, 2.0 * high
        if not apart(high) <= 0.0:
            return np.nan, self._gradient(speed, np.nan)
        flow = float(brentq(apart, low, high, xtol=1e-12 * high, rtol=1e-12))
        before, after = (self._gradient(speed, flow * side) for side in (1.0 - 1e-9, 1.0 + 1e-9))
        # The handbook's constants jump where a section's mud begins to be drawn along; it then holds what is wanting between the two.
        fall = float((before - after) @ self.length)
        share = (float(before @ self.length) - self._bore_loss(flow)) / fall if fall > 0.0 else 0.0
        return flow, before + min(max(share, 0.0), 1.0) * (after - before)


@dataclass(frozen=True)
class _Place:
    """At the tightest depth: what is left beyond the margin, the depth, its density; the surge at the bit; what is left on the other side."""

    room: float = np.nan
    depth: float = np.nan
    density: float = np.nan
    pressure: float = np.nan
    other: float = np.nan


class _Held:
    """A moved string held against a window, at the bottoms of the exposed rows and where the window bends."""

    def __init__(self, moved: _Moved, window: Window, way: str, margin: float, back: float) -> None:
        rows = moved.rows
        self.moved, self.sign, self.margin = moved, 1.0 if way == "in" else -1.0, margin
        sides = ("the fracture side of the window", "the lower side of the window")
        self.side, self.other_side = sides if way == "in" else sides[::-1]
        self.both = way == "out" and moved.pumped != 0.0  # pumping out adds where the pipe takes
        self.watched_at = places(rows, window)
        self.depth = self.watched_at.measured_depth
        self.head = head_of(self.watched_at.true_vertical_depth)
        limits = window.at(self.watched_at.true_vertical_depth)
        self.limit, self.other = limits["fracture_density"], limits["lower"]
        if way == "out":
            self.limit, self.other = self.other, self.limit
        self.resting = moved.fluid["density"] + back / self.head

    @property
    def watched(self) -> Any:
        return np.isfinite(self.limit)

    def at(self, speed: float) -> _Place:
        return self._place(self.moved.surge(speed))

    def _place(self, found: Surge) -> _Place:
        peak, lowest = (self.watched_at.between(x) / self.head for x in (found.peak, np.minimum(found.lowest, 0.0)))  # between stands pumps rest
        density = self.resting + self.sign * peak
        room = np.where(self.watched, self.sign * (self.limit - density) - self.margin, inf)
        if np.isnan(room).any() or not self.watched.any():
            return _Place(pressure=float(found.peak[-1]))
        place = int(room.argmin())
        left = self.sign * (self.resting - self.other) + lowest
        other = float(np.nanmin(left)) if np.isfinite(left).any() else np.nan
        return _Place(float(room[place]), float(self.depth[place]), float(density[place]), float(found.peak[-1]), other)

    def fastest(self, limit: float, step: float | None) -> tuple[float, str, _Place]:
        """Speed, what stops it, and how it is there."""
        if not self.watched.any():
            return np.nan, "the window says nothing of the open hole", _Place()
        still, pumping = self._place(self.moved.at_rest()), self.at(0.0)
        slow, full = self.at(SLOWEST * limit), self.at(limit)
        if np.isnan([still.room, pumping.room, slow.room, full.room]).any():
            return np.nan, "no pressure was found: the fluid lacks a number, or is outside what hydraulics.moving_pipe takes", _Place()
        if still.room <= 0.0:
            return 0.0, f"{self.side}, at rest already", still
        if pumping.room <= 0.0:
            return 0.0, f"{self.side}, pumping before the pipe moves", pumping
        if self.both and pumping.other <= self.margin:
            return 0.0, f"{self.other_side}, pumping before the pipe moves", pumping
        if self.both and slow.other <= self.margin:
            return 0.0, f"{self.other_side}, pumping while the pipe is braked", slow
        if slow.room <= 0.0:
            return 0.0, f"{self.side}, in the slowest motion", slow
        speed, why = limit, "the highest speed asked for"
        if full.room < 0.0:
            speed, why = float(brentq(lambda v: self.at(v).room, SLOWEST * limit, limit, xtol=1e-12 * limit, rtol=1e-12)), self.side
            if self.at(speed).room < 0.0:  # the handbook's constants jump where pumped mud begins to be left behind
                speed -= 1e-11 * limit  # more than twelve digits lose
        if step is not None:
            speed = float(np.floor(speed / step * (1.0 + 1e-9))) * step
            why += "" if speed > 0.0 else ", below one step"
        return speed, why, self.at(speed)


def _start(acceleration: float, gel_strength: float, home: UnitSet) -> tuple[float, float]:
    return _positive(acceleration, "acceleration", "pipe_acceleration", home), _positive(gel_strength, "gel_strength", "stress", home)


def _pumped(flow_rate: float, way: str | None, end: str, home: UnitSet) -> float:
    """In m3/s, against the pipe's motion."""
    rate = _positive(flow_rate, "flow_rate", "flow_rate", home)
    if rate and way is None:
        raise ValueError(f"flow_rate = {flow_rate} {home.unit('flow_rate')} needs way: in, where pumping adds to the surge, or out, where it takes from the swab")
    if rate and end == "open":
        raise ValueError(
            f"flow_rate = {flow_rate} {home.unit('flow_rate')} goes with end = 'closed' only: what is pumped leaves by the bit, so no mud enters there. "
            "Give end = 'closed', or a flow_rate of 0"
        )
    return -rate if way == "out" else rate


def _speed(x: Any, name: str, home: UnitSet, above: bool = False) -> float:
    found = _positive(x, name, "velocity", home, above)
    fastest = next(v.limits[1] for v in si.hydraulics.moving_pipe.inputs if v.name == "pipe_velocity")
    if found > fastest:
        unit = home.unit("velocity")
        raise ValueError(f"{name} = {x} {unit} is more than hydraulics.moving_pipe takes, {fastest / factor('velocity', home):.6g} {unit} at most; look at its unit")
    return found


def _positive(x: Any, name: str, quantity: str, home: UnitSet, above: bool = False) -> float:
    found = np.asarray(numbers(x, name), float)
    if found.ndim or not 0.0 <= found < inf or (above and found == 0.0):
        raise ValueError(f"{name} = {x} {home.unit(quantity)} must be one finite number {'above 0' if above else 'from 0 up'}")
    return float(found) * factor(quantity, home)
