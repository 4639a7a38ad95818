"""Pore, collapse and fracture pressures: beside the mud of every offset row, and foretold for the next well."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from .study import MISSING, Study, each, row_reasons
from .tables import Table, as_table, as_unit_set

LIMITS = ("pore", "collapse", "fracture")
APART = 4.0  # robust standard deviations from which a well's value is told apart and not averaged


def open_hole(study: Study, gradients: Table) -> Study:
    """What the open hole of every row needed and bore, from its own well's pressures, and the margins its mud kept.

    `gradients`: well, measured_depth, pore, collapse, fracture. From the shoe down to the depth of the row: `open_hole.needed`
    is the highest of pore and collapse, `open_hole.fracture` the lowest fracture. Margins: `open_hole.above_needed` of the
    mud as weighed; `open_hole.below_fracture` of the equivalent circulating density at the bit, where `circulating` knows it.
    """
    given = as_table(gradients, "gradients", study.unit_set)
    given.needs("gradients", "well", "measured_depth", *LIMITS)
    needed, fracture = np.full(len(study), np.nan), np.full(len(study), np.nan)
    shoe, depth = study["shoe_depth"].to_numpy(float), study["measured_depth"].to_numpy(float)
    tables = {str(w): rows.sort_values("measured_depth", kind="stable") for w, rows in given.data.groupby("well", sort=False)}
    for well, positions in study.well.groupby(study.well, sort=False).indices.items():
        if str(well) not in tables:
            continue
        rows = tables[str(well)]
        points = rows["measured_depth"].to_numpy(float)
        low = np.fmax(rows["pore"].to_numpy(float), rows["collapse"].to_numpy(float))
        high = rows["fracture"].to_numpy(float)
        for i in np.asarray(positions):
            if not shoe[i] <= depth[i]:
                continue
            ends = np.array([shoe[i], depth[i]])
            inside = (points >= shoe[i]) & (points <= depth[i])
            both = [np.append(v[inside], np.interp(ends, points, v, left=np.nan, right=np.nan)) for v in (low, high)]
            if all(np.isfinite(v).any() for v in both):
                needed[i], fracture[i] = np.nanmax(both[0]), np.nanmin(both[1])
    density = study["mud_density"].to_numpy(float)
    pumped = (
        study["circulating.equivalent_density"].to_numpy(float)
        if "circulating.equivalent_density" in study
        else np.full(len(study), np.nan)
    )
    frame = pd.DataFrame({
        "open_hole.needed": needed, "open_hole.fracture": fracture,
        "open_hole.above_needed": density - needed, "open_hole.below_fracture": fracture - pumped,
    }, index=study.data.index)  # fmt: skip
    reasons = row_reasons(
        study,
        np.flatnonzero(np.isnan(needed)),
        "open_hole",
        "shoe_depth",
        "no pressures of this well between the shoe and the depth of the row",
        MISSING,
    )
    said = "Pressures of each well are its own, interpreted after drilling; the open hole runs from the shoe to the depth of the row."
    return study.with_columns("open_hole", frame, {str(c): study.unit_set.unit("density") for c in frame}, reasons, said)


@dataclass(frozen=True, repr=False)
class Prognosis:
    """Pressures foretold along the next well.

    `data`: its points with pore, collapse and fracture, `u_pore` and so on (standard uncertainty of a new well's value) and
    the wells behind them. `fits`: per formation and limit the trend that was used. `apart`: values of single wells that lie
    far from the others; they are not in the figures, and must be planned for by themselves. `cautions`: what to know.
    """

    data: pd.DataFrame
    units: dict[str, str]
    fits: pd.DataFrame
    apart: pd.DataFrame
    cautions: tuple[str, ...]

    def __repr__(self) -> str:
        return (
            f"Prognosis: {len(self.data)} points, {len(self.fits)} fits, {len(self.apart)} groups of values apart\n"
            + "\n".join(self.cautions)
        )


def prognosis(
    offsets: Table, at: Table, *, trends: Mapping[tuple[str, str], str] | None = None, unit_set: Any = "field"
) -> Prognosis:
    """Pressures of the next well from those of the offsets, formation by formation at the same place in it.

    `offsets`: pressures (well, measured_depth, pore, collapse, fracture) placed by `locate`. `at`: points of the next well, of
    `planned`. Equivalents are restated from each rotary table to mean sea level and back. `trends`: by (limit, formation), what
    the limit follows, such as {("fracture", "Sand A"): "spud_year", ("collapse", "*"): "sine_squared_inclination"}; "*" stands
    for every formation; one slope a formation, by least squares. The standard uncertainty is that of a new well. Values more
    than four robust standard deviations apart are listed, not averaged. Nothing is foretold where fewer than three wells have
    a value within one step of their own table.
    """
    chosen = as_unit_set(unit_set)
    old, new = as_table(offsets, "offsets", chosen).data, as_table(at, "points", chosen).data
    trends = dict(trends or {})
    sea = {limit: old[limit] * old["vertical_depth"] / old["below_sea"] for limit in LIMITS}
    old = old.assign(**sea)
    result = new.copy()
    for limit in LIMITS:
        result[limit], result[f"u_{limit}"], result[f"wells_{limit}"] = np.nan, np.nan, 0
    fits: list[dict[str, Any]] = []
    apart: list[dict[str, Any]] = []
    for formation, points in new.groupby("formation", sort=False):
        mine = old[old["formation"] == formation]
        by = "formation_fraction" if points["formation_fraction"].notna().all() else "below_top"
        by_well = {str(w): rows.sort_values(by, kind="stable") for w, rows in mine.groupby("well", sort=False)}
        for limit in LIMITS:
            trend = trends.get((limit, str(formation)), trends.get((limit, "*"), ""))
            found = _foretell(by_well, points, limit, by, trend)
            if found is None:
                continue
            back = points["below_sea"] / points["vertical_depth"]
            result.loc[points.index, limit] = found["value"] * back
            result.loc[points.index, f"u_{limit}"] = found["u"] * back
            result.loc[points.index, f"wells_{limit}"] = found["wells"]
            fits.append({"formation": formation, "limit": limit, "trend": trend, **found["fit"]})
            apart += [{"formation": formation, "limit": limit, **one} for one in found["apart"]]
    unit = chosen.unit("density")
    kept = {**at.to(chosen).units, **{f"{p}{limit}": unit for limit in LIMITS for p in ("", "u_")}}
    told = pd.DataFrame(apart, columns=["formation", "limit", "well", "from", "to", "below_top", "excess"])
    table = pd.DataFrame(fits)
    return Prognosis(result, kept, table, told, tuple(_cautions(result, table, told, unit, chosen.unit("length"))))


def _foretell(by_well: dict[str, pd.DataFrame], points: pd.DataFrame, limit: str, by: str, trend: str) -> dict[str, Any] | None:
    place = points[by].to_numpy(float)
    wells = list(by_well)
    value, x = (np.full((len(wells), len(place)), np.nan) for _ in range(2))
    for i, rows in enumerate(by_well.values()):
        value[i] = _held(place, rows[by], rows[limit])
        x[i] = _held(place, rows[by], rows[trend]) if trend else 0.0
    target = points[trend].to_numpy(float) if trend else np.zeros(len(place))
    use = np.isfinite(value) & np.isfinite(x)
    slope, middle, spread, u_slope, use = _fit(value, x, use)
    count = use.sum(axis=0)
    enough = count >= 3
    if not enough.any():
        return None
    with np.errstate(divide="ignore", invalid="ignore"):
        mean_x = np.where(use, x, 0.0).sum(axis=0) / count
        u = np.sqrt(spread**2 * (1.0 + 1.0 / count) + ((target - mean_x) * u_slope) ** 2)
    seen = x[use]
    outside = bool(trend) and bool(np.nanmax(target) > seen.max() or np.nanmin(target) < seen.min())
    left = np.isfinite(value) & np.isfinite(x) & ~use
    excess = value - middle - slope * x
    deep = points["below_top"].to_numpy(float)
    told = []
    for i in map(int, np.flatnonzero(left.any(axis=1))):
        off = excess[i][left[i]]
        here = {"from": place[left[i]].min(), "to": place[left[i]].max(), "below_top": deep[left[i]].mean()}
        told.append({"well": wells[i], **here, "excess": off[np.argmax(np.abs(off))]})
    fit = {
        "slope": slope if trend else np.nan, "u_slope": u_slope if trend else np.nan, "spread": spread, "wells": int(use.any(axis=1).sum()),
        "seen_from": seen.min() if trend else np.nan, "seen_to": seen.max() if trend else np.nan,
        "wanted": float(np.nanmean(target)) if trend else np.nan, "outside_seen": outside,
    }  # fmt: skip
    answer = {"value": np.where(enough, middle + slope * target, np.nan), "u": np.where(enough, u, np.nan)}
    return {**answer, "wells": np.where(enough, count, 0), "fit": fit, "apart": told}


def _held(place: Any, known: pd.Series, values: pd.Series) -> Any:
    """Values at places, linear in between, held over at most one step of the table at its ends, else missing."""
    x, y = known.to_numpy(float), values.to_numpy(float)
    good = np.isfinite(x) & np.isfinite(y)
    x, y = x[good], y[good]
    if not len(x):
        return np.full(len(place), np.nan)
    # with a single value in a thin formation its step is not known: it stands for the formation
    step = np.max(np.diff(x)) if len(x) > 1 else np.inf
    found = np.interp(place, x, y)
    return np.where((place >= x[0] - step) & (place <= x[-1] + step), found, np.nan)


def _fit(value: Any, x: Any, use: Any) -> tuple[float, Any, float, float, Any]:
    """A level at every place and one slope, by least squares, their spread from well to well and the slope's uncertainty.

    Values far from it are left out, one well at a time. A well is one draw, however many places it has.
    """
    use = use.copy()
    while True:
        count = np.maximum(use.sum(axis=0), 1)
        mean_x, mean_y = (np.where(use, v, 0.0).sum(axis=0) / count for v in (x, value))
        dx, dy = (np.where(use, v - m, 0.0) for v, m in ((x, mean_x), (value, mean_y)))
        slope = float((dx * dy).sum() / (dx * dx).sum()) if (dx * dx).sum() > 0 else 0.0
        middle = np.where(use.any(axis=0), mean_y - slope * mean_x, np.nan)
        off = np.where(use, dy - slope * dx, 0.0)
        per_well = np.array([np.sqrt(np.mean(o[u] ** 2)) if u.any() else 0.0 for o, u in zip(off, use)])
        wells = int(use.any(axis=1).sum())
        free = max(wells - 1 - bool((dx * dx).sum() > 0), 1)
        spread = float(np.sqrt((per_well**2).sum() / free))
        square = float((dx * dx).sum())
        u_slope = spread * float(np.sqrt((dx.sum(axis=1) ** 2).sum())) / square if square > 0 else 0.0
        median = pd.DataFrame(np.where(use, value - slope * x, np.nan)).median().to_numpy()
        gap = np.where(use, np.abs(value - slope * x - median), 0.0)
        scale = 1.4826 * float(np.median(gap[use])) if use.any() else 0.0
        worst = np.unravel_index(np.argmax(gap), gap.shape)
        if wells < 4 or scale <= 0 or gap[worst] <= APART * scale:
            return slope, middle, spread, u_slope, use
        use[worst[0]] &= gap[worst[0]] <= APART * scale


def _cautions(result: pd.DataFrame, fits: pd.DataFrame, apart: pd.DataFrame, unit: str, length: str) -> list[str]:
    said = ["The pressures are foretold from offset wells, not measured: confirm them while drilling."]
    for fit in each(fits[fits["outside_seen"].astype(bool)]) if len(fits) else []:
        said.append(
            f"{fit.limit} in the {fit.formation} follows {fit.trend.replace('_', ' ')}, and the next well ({fit.wanted:.6g}) lies outside what the "
            f"offsets saw ({fit.seen_from:.6g} to {fit.seen_to:.6g}): measure it before drilling into it."
        )
    harmful = apart[np.where(apart["limit"] == "fracture", -1.0, 1.0) * apart["excess"].astype(float) > 0]
    for one in each(harmful):
        said.append(
            f"{one.well} had a {one.limit} equivalent up to {one.excess:+.2f} {unit} from the others in the {one.formation}, about "
            f"{one.below_top:.0f} {length} below its top: left out of the figures, plan for it."
        )
    gaps = int(result[list(LIMITS)].isna().any(axis=1).sum())
    if gaps:
        said.append(f"{gaps} of {len(result)} points have no pressure foretold: fewer than three offsets reach there.")
    return said
