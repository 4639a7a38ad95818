"""The rows of a well: sections from the surface down, in SI, as the table calculations of hydraulics take them."""

from dataclasses import dataclass, fields, replace
from math import isfinite, pi
from typing import Any

import numpy as np

from .checking import ROUNDING
from .reading import Hole, Part, Path

__all__ = ["Rows", "lay_out"]

COLUMNS = (
    "bottom_measured_depth", "bottom_true_vertical_depth", "hole_diameter", "pipe_diameter", "bore", "eccentricity", "roughness", "slip_velocity",
)  # fmt: skip


@dataclass(frozen=True, eq=False, repr=False)
class Rows:
    """Sections from the surface down. Numbers in SI, arrays of shape (rows,) or (records, rows), read-only.

    Depths and diameters in m, inclination (of the section's middle) in radians, slip velocity in m/s. ``hole``, ``kind`` and
    ``part`` are names. Below the bit ``in_string`` is false, pipe and bore are 0, and the part has no name.
    """

    bottom_measured_depth: Any
    bottom_true_vertical_depth: Any
    hole_diameter: Any
    pipe_diameter: Any
    bore: Any
    eccentricity: Any
    roughness: Any
    inclination: Any
    slip_velocity: Any
    hole: Any
    kind: Any
    part: Any
    in_string: Any

    def __post_init__(self) -> None:
        for field in fields(self):
            kept = np.array(getattr(self, field.name))  # a copy of its own, that nobody changes
            kept.setflags(write=False)
            object.__setattr__(self, field.name, kept)

    def __len__(self) -> int:
        return len(self.in_string)

    @property
    def records(self) -> int:
        """How many wells the rows stand for: 1, or as many as a column of shape (records, rows) has."""
        return max(len(x) if x.ndim == 2 else 1 for x in self.columns(with_inclination=True).values())

    @property
    def top_measured_depth(self) -> Any:
        """Of every row, in m."""
        depth = self.bottom_measured_depth
        return np.concatenate([np.zeros_like(depth[..., :1]), depth[..., :-1]], axis=-1)

    @property
    def length(self) -> Any:
        """Along the hole."""
        return self.bottom_measured_depth - self.top_measured_depth

    def columns(self, with_inclination: bool = False) -> dict[str, Any]:
        """The numbers by name, ready as row columns: ``si.hydraulics.circulation(..., **rows.columns())``."""
        return {name: getattr(self, name) for name in (*COLUMNS, *(["inclination"] if with_inclination else []))}

    def replace(self, **columns: Any) -> "Rows":
        """The same rows with other numbers: one, one a row, or (records, rows) for many wells at once.

        A record that cannot be (a pipe not smaller than its hole) stays and is told by ``impossible``; it never stops the others.
        """
        made, shapes = {}, {name: x.shape for name, x in self.columns(with_inclination=True).items()}
        for name, given in columns.items():
            if name not in shapes:
                raise TypeError(f"rows have no numbers called {name!r}; they have {', '.join(shapes)}")
            x = np.asarray(given, float)
            if x.ndim > 2 or x.ndim and x.shape[-1] not in (1, len(self)):
                told = " x ".join(map(str, x.shape))
                raise ValueError(f"{name} has shape {told}; give one number, {len(self)} (one a row), or records x {len(self)}")
            made[name] = np.broadcast_to(x, (*x.shape[:-1], len(self)))
            shapes[name] = made[name].shape
        records = {name: shape[0] for name, shape in shapes.items() if len(shape) == 2}
        if len(set(records.values())) > 1:
            told = ", ".join(f"{name} {n}" for name, n in records.items())
            raise ValueError(f"columns of unlike numbers of records: {told}; give each the same, or one value a row for all")
        return replace(self, **made)

    @property
    def impossible(self) -> Any:
        """Where the numbers cannot be or are missing: for every row, or for every row of every record."""
        hole, pipe, bore = self.hole_diameter, self.pipe_diameter, self.bore
        fits = (hole > pipe) & np.where(self.in_string, (pipe > bore) & (bore > 0.0), True)
        deeper = (self.length > 0.0) & (self.bottom_true_vertical_depth <= self.bottom_measured_depth)
        known = np.all([np.isfinite(x) for x in np.broadcast_arrays(*self.columns(with_inclination=True).values())], axis=0)
        return ~(fits & deeper & known)

    def volumes(self) -> dict[str, Any]:
        """Of every row, in m3: the empty hole, the string's bore, the annulus, the string's steel; below the bit only ``below_bit``."""
        of = self.length * (pi / 4.0)
        hole, pipe, bore = of * self.hole_diameter**2, of * self.pipe_diameter**2, of * self.bore**2
        there = np.where(self.in_string, 1.0, 0.0)
        beside = {"string": bore * there, "annulus": (hole - pipe) * there, "steel": (pipe - bore) * there}
        return {"hole": hole, **beside, "below_bit": hole * (1.0 - there)}

    def __repr__(self) -> str:
        deepest = float(np.max(self.bottom_measured_depth[..., -1]))
        records = f", {self.records} records" if self.records > 1 else ""
        return f"Rows: {len(self)} sections to {deepest:g} m, {int(self.in_string.sum())} along the string{records}"


def spans(parts: tuple[Part, ...], bit_depth: float) -> list[tuple[float, float]]:
    """Top and bottom of every part from the bit up, cut at the surface; parts that are out of the hole have none."""
    found, low = [], bit_depth
    for part in parts:
        if low <= ROUNDING:
            break
        high = low - part.length if part.length < low - ROUNDING else 0.0  # a missing length reaches the surface
        found.append((high, low))
        low = high
    return found


def lay_out(
    holes: tuple[Hole, ...], parts: tuple[Part, ...], path: Path, bit_depth: float, spacing: float, each_joint: bool
) -> Rows:
    """Sections between all changes of hole and part and, with a finite spacing, of the path's bend, in pieces of about that length."""
    bottom = holes[-1].bottom
    bit_depth = bottom if abs(bit_depth - bottom) <= ROUNDING else bit_depth
    along = spans(parts, bit_depth)
    edges = [0.0, *(hole.bottom for hole in holes), *(x for span in along for x in span)]
    if isfinite(spacing):
        edges += [x for x in path.turns() if x < bottom]
    if each_joint:
        edges += [x for part, (high, low) in zip(parts, along) for x in _joint_ends(part, high, low)]
    top, end = _pieces(_distinct(edges), spacing)
    middle = 0.5 * (top + end)
    hole = np.searchsorted([h.bottom for h in holes], middle)
    part = np.full(len(middle), -1)
    for place, (high, low) in enumerate(along):
        part[(middle > high) & (middle < low)] = place
    joint = np.zeros(len(middle), bool)
    for place, (_, low) in enumerate(along):
        pitch, length = parts[place].joint_spacing, parts[place].joint_length
        if each_joint and parts[place].joint_share > 0.0:
            here = part == place
            joint[here] = (low - middle[here]) % pitch > pitch - length
    if not each_joint:  # the joints of a section lie together at its bottom, as a row of their own
        share = np.array([*(p.joint_share for p in parts), 0.0])[part]
        has = share > 0.0
        of = np.repeat(np.arange(len(end)), 1 + has)
        twice = of[1:] == of[:-1]
        body, joint = np.append(twice, False), np.append(False, twice)
        body_end = top + (end - top) * (1.0 - share)
        end, hole, part = np.where(body, body_end[of], end[of]), hole[of], part[of]
    return _rows(holes, parts, path, end, hole, part, joint)


def _rows(holes: tuple[Hole, ...], parts: tuple[Part, ...], path: Path, end: Any, hole: Any, part: Any, joint: Any) -> Rows:
    """The columns, from the places of hole and part in every row; a part of -1 is none."""

    def of_part(body: str, of_joint: str) -> Any:
        plain, wide = (np.array([*(getattr(p, name) for p in parts), 0.0])[part] for name in (body, of_joint))
        return np.where(joint, wide, plain)

    top = np.concatenate([[0.0], end[:-1]])
    reach = float(path.measured[-1])  # may end before the last depth by less than the rounding of a unit
    vertical = path.at(np.minimum(end, reach))[0]
    inclination = path.at(np.minimum(0.5 * (top + end), reach))[1]
    names = np.array([*(p.name for p in parts), ""], object)[part]
    return Rows(
        bottom_measured_depth=end,
        bottom_true_vertical_depth=np.minimum(vertical, end),  # equal but for the last bit in a vertical hole
        hole_diameter=np.array([h.diameter for h in holes])[hole],
        pipe_diameter=of_part("outside_diameter", "joint_diameter"),
        bore=of_part("inside_diameter", "joint_bore"),
        eccentricity=np.where(part >= 0, np.array([h.eccentricity for h in holes])[hole], 0.0),
        roughness=of_part("roughness", "roughness"),
        inclination=np.radians(inclination),
        slip_velocity=np.zeros(len(end)),
        hole=np.array([h.name for h in holes], object)[hole],
        kind=np.array([h.kind for h in holes], object)[hole],
        part=np.where(joint, names + " joints", names),
        in_string=part >= 0,
    )


def _joint_ends(part: Part, high: float, low: float) -> list[float]:
    """Where the joints of a part begin and end: one at the upper end of every length of pipe, counted from the part's bottom."""
    if not part.joint_share:
        return []
    tops = low - part.joint_spacing * np.arange(1, int((low - high) / part.joint_spacing) + 2)
    return [float(x) for x in (*tops, *(tops + part.joint_length)) if high < x < low]


def _distinct(edges: list[float]) -> Any:
    """Sorted, those within the rounding of a unit as one."""
    x = np.unique(edges)
    return x[np.concatenate([[True], np.diff(x) > ROUNDING])]


def _pieces(edges: Any, spacing: float) -> tuple[Any, Any]:
    """Tops and bottoms of equal pieces between edges, each about as long as the spacing and never more than half as long again."""
    lengths = np.diff(edges)
    n = np.maximum(1, np.rint(lengths / spacing)).astype(int)
    step = np.arange(n.sum()) - np.repeat(np.cumsum(n) - n, n)
    top = np.repeat(edges[:-1], n) + step * np.repeat(lengths / n, n)
    return top, np.append(top[1:], edges[-1])
