"""Signed honesty: a value past a physical bound stays as it is; what lies inside the bounds is an estimate of its own, and says so."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from math import inf
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["LABEL", "Bound", "Flags", "PhysicalEstimate", "STATES", "flag", "physical_estimate"]

LABEL = "estimate that uses the bounds: the nearest readings, by their uncertainties, for which every quantity lies inside; not a measurement"
STATES = ("inside", "outside, within its uncertainty", "outside, beyond its uncertainty", "not judged")
MOST = 6  # bounds at once: every way in which they can hold is tried
SLACK = 1e-9  # of a quantity's standard uncertainty, for rounding


@dataclass(frozen=True, slots=True)
class Flags:
    """Of each value: how many standard uncertainties it lies outside its bounds (zero inside), and what that means.

    ``state``: one of ``STATES``; not judged where the value, or the uncertainty of one that is outside, is missing.
    """

    distance: Any
    state: Any
    factor: float

    @property
    def flagged(self) -> Any:
        """Outside by more than the uncertainty explains."""
        found = np.asarray(self.state == STATES[2])
        return bool(found) if found.ndim == 0 else found

    def __str__(self) -> str:
        state = np.atleast_1d(self.state)
        counts = ", ".join(f"{int((state == s).sum())} {s}" for s in STATES if (state == s).any())
        return f"{state.size} value{'s' if state.size != 1 else ''}: {counts} ({self.factor:g} standard uncertainties)"


def flag(value: Any, u: Any, lowest: float | None = 0.0, highest: float | None = None, factor: float = 2.0) -> Flags:
    """Values against physical bounds: flagged only where they lie outside by more than ``factor`` standard uncertainties.

    >>> flag(-1.4, 0.9).state, flag(-2.4, 0.9).flagged
    ('outside, within its uncertainty', True)
    """
    low, high = -inf if lowest is None else lowest, inf if highest is None else highest
    if not low <= high:
        raise ValueError(f"lowest = {low:g} is above highest = {high:g}")
    x, spread = np.broadcast_arrays(np.asarray(value, float), np.asarray(u, float))
    if (spread < 0.0).any():
        raise ValueError(f"u = {float(spread[spread < 0.0][0]):g} is negative; a standard uncertainty is zero or more")
    outside = np.maximum(np.maximum(low - x, x - high), 0.0)  # missing stays missing
    with np.errstate(divide="ignore", invalid="ignore"):
        distance = np.where(outside == 0.0, 0.0, outside / spread)
    state = np.select([np.isnan(distance), outside == 0.0, distance <= factor], [STATES[3], STATES[0], STATES[1]], STATES[2])
    return Flags(float(distance), str(state), factor) if state.ndim == 0 else Flags(distance, state, factor)


@dataclass(frozen=True, slots=True)
class Bound:
    """A quantity that physics keeps between ``lowest`` and ``highest``: its ``value`` at the readings, and its slope with each.

    ``sensitivities``: by reading; one that is not named does not touch it. Numbers, or a column of them for many rows.
    """

    name: str
    value: Any
    sensitivities: Mapping[str, Any]
    lowest: float | None = 0.0
    highest: float | None = None


@dataclass(frozen=True, slots=True)
class PhysicalEstimate:
    """Beside the signed values, the readings and quantities nearest to them that lie inside all bounds.

    ``readings`` and ``quantities`` are estimates that use the bounds (``label``), ``signed`` the quantities as they came out.
    ``moved``: by how much each reading was moved. ``distance``: how far that is in standard deviations of the readings' errors;
    zero where nothing had to be moved. ``active``: the bounds a row was put on. Missing where a row has no solution.
    An estimate has no uncertainty of its own here: the bound is not a measurement.
    """

    readings: dict[str, Any]
    quantities: dict[str, Any]
    signed: dict[str, Any]
    moved: dict[str, Any]
    distance: Any
    active: Any
    label: str = LABEL

    def frame(self) -> "pd.DataFrame":
        """A row a record: signed and estimated quantities, the distance and the bounds used."""
        import pandas as pd

        columns: dict[str, Any] = {}
        for name, signed in self.signed.items():
            columns[name] = np.atleast_1d(signed)
            columns[f"{name} (estimate that uses the bounds)"] = np.atleast_1d(self.quantities[name])
        columns["distance"] = np.atleast_1d(self.distance)
        columns["bounds used"] = [self.active] if isinstance(self.active, str) else list(self.active)
        return pd.DataFrame(columns)

    def __str__(self) -> str:
        if np.ndim(self.distance):
            moved = int((np.asarray(self.distance) > 0.0).sum())
            return f"{np.size(self.distance)} rows, {moved} moved onto a bound, {int(np.isnan(self.distance).sum())} without one ({self.label})"
        parts = [f"{n} {float(s):.4g} signed, {float(self.quantities[n]):.4g} estimated" for n, s in self.signed.items()]
        return f"{'; '.join(parts)}; readings moved by {float(self.distance):.2g} standard deviations ({self.label})"


def physical_estimate(values: Mapping[str, Any], covariance: Any, bounds: Sequence[Bound]) -> PhysicalEstimate:
    """The readings nearest to those taken for which every quantity lies inside its bounds, in the linear form.

    ``values``: readings by name, numbers or columns. ``covariance``: of their errors, in the same order; for columns also one
    matrix a row. Nearest is by the errors: what is uncertain moves most. It is least squares with inequalities, solved exactly by
    trying every set of bounds a row can lie on, all rows at once; a row that is inside already is left as it is.

        physical_estimate({"mud_density": 9.1, "water_fraction": 93.0}, covariance, [Bound("high_gravity_fraction", -0.4, {...})])
    """
    if not 1 <= len(bounds) <= MOST:
        raise ValueError(f"{len(bounds)} bounds are given; give 1 to {MOST}")
    names = list(values)
    for b in bounds:
        for name in b.sensitivities:
            if name not in names:
                raise ValueError(f"bound {b.name!r}: there is no reading {name!r}; there are {', '.join(names)}")
        if b.lowest is not None and b.highest is not None and not b.lowest <= b.highest:
            raise ValueError(f"bound {b.name!r}: lowest = {b.lowest:g} is above highest = {b.highest:g}")
    columns = [np.asarray(x, float) for x in values.values()]
    shape = np.broadcast_shapes(
        *(c.shape for c in columns), *(np.shape(b.value) for b in bounds), *(np.shape(s) for b in bounds for s in b.sensitivities.values())
    )
    rows = int(np.prod(shape))
    v = np.asarray(covariance, float)
    if v.shape not in ((len(names),) * 2, (rows, len(names), len(names))):
        raise ValueError(f"covariance has shape {v.shape}; {len(names)} readings need {(len(names),) * 2}, or one such matrix for each of {rows} rows")
    v = np.broadcast_to(v, (rows, len(names), len(names)))
    x = np.stack([np.broadcast_to(c, shape).ravel() for c in columns], axis=-1)
    q = np.stack([np.broadcast_to(np.asarray(b.value, float), shape).ravel() for b in bounds], axis=-1)
    g = np.stack(
        [np.stack([np.broadcast_to(np.asarray(b.sensitivities.get(n, 0.0), float), shape).ravel() for n in names], axis=-1) for b in bounds], axis=1
    )
    d, distance, active = _solve(q, g, v, bounds)
    found_x, found_q = x + d, q + np.einsum("rmn,rn->rm", g, d)

    def back(a: Any) -> Any:
        return float(a[0]) if shape == () else a.reshape(shape)

    return PhysicalEstimate(
        {n: back(found_x[:, i]) for i, n in enumerate(names)}, {b.name: back(found_q[:, i]) for i, b in enumerate(bounds)},
        {b.name: back(q[:, i]) for i, b in enumerate(bounds)}, {n: back(d[:, i]) for i, n in enumerate(names)}, back(distance),
        str(active[0]) if shape == () else active.reshape(shape),
    )  # fmt: skip


def _sides(bounds: Sequence[Bound]) -> Iterator[tuple[list[int], list[float], list[bool]]]:
    """Every set of bounds a row can lie on, few first: which quantities, at what value, and whether that is the lower end."""
    ends = [[(e, is_low) for e, is_low in ((b.lowest, True), (b.highest, False)) if e is not None] for b in bounds]
    for count in range(1, len(bounds) + 1):
        for chosen in combinations(range(len(bounds)), count):
            for at in product(*(ends[i] for i in chosen)):
                yield list(chosen), [e for e, _ in at], [is_low for _, is_low in at]


def _solve(q: Any, g: Any, v: Any, bounds: Sequence[Bound]) -> tuple[Any, Any, Any]:
    rows, readings = g.shape[0], g.shape[2]
    low = np.array([-inf if b.lowest is None else b.lowest for b in bounds])
    high = np.array([inf if b.highest is None else b.highest for b in bounds])
    spread = g @ v @ np.swapaxes(g, 1, 2)  # covariance of the quantities
    slack = SLACK * np.sqrt(np.maximum(np.einsum("rii->ri", spread), 0.0)) + 1e-12 * np.abs(q)
    known = np.isfinite(q).all(axis=1) & np.isfinite(spread).all(axis=(1, 2))
    inside = known & ((q >= low) & (q <= high)).all(axis=1)
    d = np.where(inside[:, None], 0.0, np.full((rows, readings), np.nan))
    distance = np.where(inside, 0.0, np.nan)
    active = np.where(inside, "", np.where(known, "no readings lie inside all bounds", "a value or its uncertainty is missing")).astype(object)
    left = np.flatnonzero(known & ~inside)
    for chosen, ends, is_low in _sides(bounds):
        if not left.size:
            break
        block = spread[left][:, chosen][:, :, chosen]
        scale = np.sqrt(np.einsum("rii->ri", block))
        able = (scale > 0.0).all(axis=1)
        scale = np.where(scale > 0.0, scale, 1.0)
        reduced = block / (scale[:, :, None] * scale[:, None, :])
        able &= np.linalg.cond(reduced) < 1e12  # quantities that move as one: fewer bounds do
        reduced = np.where(able[:, None, None], reduced, np.eye(len(chosen)))
        pull = np.linalg.solve(reduced, ((np.array(ends) - q[left][:, chosen]) / scale)[..., None])[..., 0]
        moved = np.einsum("rij,rkj,rk->ri", v[left], g[left][:, chosen], pull / scale)
        at = q[left] + np.einsum("rmn,rn->rm", g[left], moved)
        good = able & ((at >= low - slack[left]) & (at <= high + slack[left])).all(axis=1)
        good &= np.where(np.array(is_low), pull >= 0.0, pull <= 0.0).all(axis=1)  # each bound pushes inward
        place = left[good]
        d[place] = moved[good]
        distance[place] = np.sqrt(np.einsum("ri,rij,rj->r", pull[good], reduced[good], pull[good]))
        active[place] = ", ".join(f"{bounds[i].name} = {e:g}" for i, e in zip(chosen, ends))
        left = left[~good]
    return d, distance, active
