"""The pressure window of a hole: pore, collapse and fracture equivalents against true vertical depth, and how far a well is from them."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from lutum._sets import UnitSet
from lutum.flow_curve.models import factor, set_of

from .checking import ROUNDING
from .reading import records_of

if TYPE_CHECKING:
    import pandas as pd

    from .geometry import Well
    from .rows import Rows

__all__ = ["LIMITS", "Places", "Window", "place_at", "places"]

LIMITS = ("pore_density", "collapse_density", "fracture_density")
LIGHTEST, HEAVIEST = 500.0, 4000.0  # kg/m3: beyond them an equivalent density was told in another unit
COLUMNS = {"true_vertical_depth": "length", "measured_depth": "length", **dict.fromkeys(LIMITS, "density")}


@dataclass(frozen=True, eq=False, repr=False)
class Window:
    """Equivalent densities that the open hole stands, at true vertical depths; in SI.

    Made with ``Window.of(table, ...)``. Between its depths the numbers run straight; outside them they are missing, never extended. They
    are given, not found here: their own uncertainty is not in any margin. Advisory; the well's own programme and licensed practice decide.
    """

    true_vertical_depth: Any
    pore_density: Any
    collapse_density: Any  # missing where nobody gave one
    fracture_density: Any
    units: UnitSet

    @classmethod
    def of(cls, table: Any, *, units: Any = "field", well: "Well | None" = None) -> "Window":
        """From a frame, a CSV file or a list of dicts with true_vertical_depth, pore_density, fracture_density and, where known,
        collapse_density. With ``well`` it may be measured_depth of that well instead."""
        home = set_of(units)
        rows = records_of(table, "window", COLUMNS)
        values = {name: np.array([row.get(name, np.nan) for row in rows], float) for name in COLUMNS}
        depth = values["true_vertical_depth"]
        if np.isnan(depth).all() and not np.isnan(values["measured_depth"]).all():
            if well is None:
                raise ValueError("window: measured_depth needs the well whose depths these are (well=...); or give true_vertical_depth")
            depth = well.to(home).true_vertical_depth(values["measured_depth"])
        if np.isnan(depth).any():
            raise ValueError("window: a depth is missing; every row needs true_vertical_depth (or measured_depth and well=...)")
        order = np.argsort(depth, kind="stable")
        if len(order) < 2 or np.any(np.diff(depth[order]) <= 0.0):
            raise ValueError("window: two rows or more at different depths are needed; of a step give two rows a little apart")
        kept = {name: values[name][order] * factor("density", home) for name in LIMITS}
        for name in ("pore_density", "fracture_density"):
            if np.isnan(kept[name]).all():
                raise ValueError(f"window: {name} is missing in every row; a window needs it")
        for name, x in kept.items():
            odd = np.flatnonzero((x < LIGHTEST) | (x > HEAVIEST))
            if len(odd):
                least, most = (y / factor("density", home) for y in (LIGHTEST, HEAVIEST))
                given, unit = values[name][order][odd[0]], home.unit("density")
                raise ValueError(f"window: {name} = {given:g} {unit} is no density of mud, {least:.4g} to {most:.4g} {unit}; look at its unit")
        low = np.fmax(kept["pore_density"], kept["collapse_density"])
        closed = np.flatnonzero(low >= kept["fracture_density"])
        if len(closed):
            at = closed[0]
            raise ValueError(
                f"window: at true vertical depth {depth[order][at]:g} {home.unit('length')} there is no window: "
                f"{low[at] / factor('density', home):g} {home.unit('density')} from below, {kept['fracture_density'][at] / factor('density', home):g} from above"
            )
        return cls(depth[order] * factor("length", home), **kept, units=home)

    def at(self, true_vertical_depth: Any) -> dict[str, Any]:
        """The limits at depths in m, in kg/m3, missing outside the table; ``lower`` is the larger of pore and collapse."""
        depth = np.asarray(true_vertical_depth, float)
        found = {name: _between(depth, self.true_vertical_depth, getattr(self, name)) for name in LIMITS}
        return found | {"lower": np.fmax(found["pore_density"], found["collapse_density"])}

    def unknown(self, watched: "Places", home: UnitSet) -> str:
        """In words, at which of these depths of the open hole it says nothing; "" where it says all."""
        limits, told = self.at(watched.true_vertical_depth), []
        for side, name in (("fracture", "fracture_density"), ("lower", "lower")):
            where = watched.measured_depth[~np.isfinite(limits[name])] / factor("length", home)
            if len(where):
                count, of = len(where), len(watched.measured_depth)
                told.append(f"the {side} side is not known at {count} of {of} depths, {where.min():.6g} to {where.max():.6g} {home.unit('length')}")
        return "; ".join(told)

    def frame(self) -> "pd.DataFrame":
        """As a frame, in the units of the set."""
        import pandas as pd

        made = pd.DataFrame({"true_vertical_depth": self.true_vertical_depth / factor("length", self.units)} |
                            {name: getattr(self, name) / factor("density", self.units) for name in LIMITS})  # fmt: skip
        made.attrs["units"] = {name: self.units.unit(COLUMNS[name]) for name in made.columns}
        return made

    def __repr__(self) -> str:
        depth, unit = self.true_vertical_depth / factor("length", self.units), self.units.unit("length")
        collapse = "" if np.isnan(self.collapse_density).all() else ", collapse"
        return f"Window: pore{collapse}, fracture at {len(depth)} true vertical depths, {depth[0]:g} to {depth[-1]:g} {unit}"


class Places(NamedTuple):
    """Depths at which a hole is held against its window: in row ``row``, ``share`` of the way from its top to its bottom; depths in m."""

    row: Any
    share: Any
    measured_depth: Any
    true_vertical_depth: Any

    def between(self, at_bottoms: Any, at_surface: Any = 0.0) -> Any:
        """What runs straight along the hole from row to row, at these places."""
        top = np.broadcast_to(np.asarray(at_surface)[..., None], (*at_bottoms.shape[:-1], 1))
        known = np.concatenate([top, at_bottoms], axis=-1)
        return known[..., self.row] + self.share * (known[..., self.row + 1] - known[..., self.row])


def place_at(rows: "Rows", measured_depth: float) -> Places:
    """One depth (m) of the well."""
    edges = np.append(0.0, rows.bottom_measured_depth)
    row = min(int(np.searchsorted(edges[1:], measured_depth - ROUNDING)), len(edges) - 2)
    share = (measured_depth - edges[row]) / (edges[row + 1] - edges[row])
    vertical = np.append(0.0, rows.bottom_true_vertical_depth)
    return Places(np.array([row]), np.array([share]), np.array([measured_depth]), np.array([vertical[row] + share * (vertical[row + 1] - vertical[row])]))


def places(rows: "Rows", window: Window) -> Places:
    """The bottoms of the rows in open hole, the shoe, and every depth of open hole where the window bends: a thin weak streak counts."""
    open_hole = rows.kind == "open_hole"
    shown = np.flatnonzero(open_hole | np.append(open_hole[1:] & ~open_hole[:-1], False))
    if rows.bottom_measured_depth.ndim > 1 or rows.bottom_true_vertical_depth.ndim > 1:
        raise ValueError("margins are of rows whose depths are the same in every record; vary diameters, or take the records one by one")
    measured, vertical = (np.append(0.0, x) for x in (rows.bottom_measured_depth, rows.bottom_true_vertical_depth))
    row, share = [shown], [np.ones(len(shown))]
    for bend in window.true_vertical_depth:
        inside = np.flatnonzero(open_hole & ((vertical[:-1] - bend) * (vertical[1:] - bend) < 0.0))
        row.append(inside)
        share.append((bend - vertical[inside]) / (vertical[inside + 1] - vertical[inside]))
    at, part = np.concatenate(row), np.concatenate(share)
    return Places(at, part, *(x[at] + part * (x[at + 1] - x[at]) for x in (measured, vertical)))


def _between(depth: Any, known_depth: Any, known: Any) -> Any:
    there = np.isfinite(known)
    if there.sum() < 2:
        return np.full(np.shape(depth), np.nan)
    return np.interp(depth, known_depth[there], known[there], left=np.nan, right=np.nan)
