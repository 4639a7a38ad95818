"""Percentile bands in which every well counts the same, however often its mud was checked."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from .study import Study

WEIGHTING = (
    "Every well has the same weight in a group. Inside a well a row weighs as the hole it stands for, half the way to the rows "
    "above and below; rows at one depth share its weight; rows of unknown depth weigh as the well's mean row."
)
NOT_KNOWN = "not known"


def row_weights(well: Any, depth: Any) -> Any:
    """Weights of rows, each well's sum 1: equal weight a well, weight by depth inside it (see `WEIGHTING`)."""
    wells = pd.factorize(pd.Series(np.asarray(well, object)), use_na_sentinel=False)[0]
    depths = np.asarray(depth, float)
    weights = np.zeros(len(depths))
    for number in range(wells.max() + 1 if len(wells) else 0):
        rows = np.flatnonzero(wells == number)
        weights[rows] = _inside(depths[rows])
    return weights


def _inside(depth: Any) -> Any:
    known = np.isfinite(depth)
    count = len(depth)
    places, where, times = np.unique(depth[known], return_inverse=True, return_counts=True)
    if len(places) < 2:
        return np.full(count, 1.0 / count)
    edges = np.concatenate([places[:1], (places[1:] + places[:-1]) / 2.0, places[-1:]])
    length = np.diff(edges) / np.ptp(places)
    weights = np.full(count, np.nan)
    weights[known] = (length / times)[where]
    weights[~known] = 1.0 / known.sum()  # the mean of the known ones
    return weights / weights.sum()


def weighted_percentiles(values: Any, weights: Any, percent: Any) -> Any:
    """Percentiles of weighted values: each value stands at the middle of its share, linear in between, held at the ends."""
    values, weights = np.asarray(values, float), np.asarray(weights, float)
    use = np.isfinite(values) & (weights > 0)
    if not use.any():
        return np.full(np.shape(percent), np.nan)
    order = np.argsort(values[use], kind="stable")
    ordered, shares = values[use][order], weights[use][order]
    place = (np.cumsum(shares) - shares / 2.0) / shares.sum()
    return np.interp(np.asarray(percent, float) / 100.0, place, ordered)


def bands(
    study: Study,
    columns: Sequence[str],
    by: Sequence[str] = ("formation",),
    *,
    step: float | None = None,
    percentiles: Sequence[float] = (10, 50, 90),
    depth: str = "measured_depth",
    equal_rows: bool = False,
) -> pd.DataFrame:
    """Percentile bands of columns for every group, with the rows and wells behind each and the rows without a value.

    `by`: columns, such as ("formation",), ("section",), ("section", "formation"); a numeric one needs `step`, the width of its
    bins, and is then labelled by their middle. Weighting as `WEIGHTING` says, or every row the same with `equal_rows`.
    A group of rows whose place is not known is called "not known", so that no row vanishes.

        bands(study, ["mud_density", "low_gravity_fraction"], by=("below_sea",), step=500)
    """
    names = [study.column(name) for name in columns]
    keys = _groups(study, by, step)
    places = study[depth].to_numpy(float) if depth in study else np.full(len(study), np.nan)
    wells = study.well.to_numpy(object)
    rows = []
    for key, positions in keys.groupby(list(keys), sort=True, observed=True, dropna=False).indices.items():
        at = np.asarray(positions)
        for name in names:
            values = study.data[name].to_numpy(float)[at]
            known = np.isfinite(values)
            weights = np.ones(known.sum()) if equal_rows else row_weights(wells[at][known], places[at][known])
            found = weighted_percentiles(values[known], weights, percentiles)
            rows.append({
                **dict(zip(by, key if isinstance(key, tuple) else (key,))), "column": name, "unit": study.units.get(name, ""),
                **{f"P{p:g}": value for p, value in zip(percentiles, found)},
                "rows": int(known.sum()), "wells": int(pd.Series(wells[at][known]).nunique()), "missing": int((~known).sum()),
            })  # fmt: skip
    table = pd.DataFrame(rows, columns=[*by, "column", "unit", *(f"P{p:g}" for p in percentiles), "rows", "wells", "missing"])
    for name in by:
        if isinstance(keys[name].dtype, pd.CategoricalDtype):
            table[name] = pd.Categorical(table[name], keys[name].cat.categories, ordered=True)
    table.attrs["weighting"] = "every row the same" if equal_rows else WEIGHTING
    return table


def _groups(study: Study, by: Sequence[str], step: float | None) -> pd.DataFrame:
    keys: dict[str, Any] = {}
    for name in by:
        series = study[name]
        if series.dtype.kind == "f":
            if not step or step <= 0:
                raise ValueError(f"{name} is a number: give step=, the width of its bins in {study.unit(name) or 'its unit'}")
            values = series.to_numpy(float)
            keys[name] = pd.Series((np.floor(values / step) + 0.5) * step, index=series.index)
        elif isinstance(series.dtype, pd.CategoricalDtype):
            keys[name] = series.cat.add_categories([NOT_KNOWN]).fillna(NOT_KNOWN) if series.isna().any() else series
        else:
            order = [*_order(study, name), NOT_KNOWN]
            keys[name] = pd.Series(
                pd.Categorical(series.astype(object).where(series.notna(), NOT_KNOWN), order, ordered=True), index=series.index
            )
    return pd.DataFrame(keys)


def _order(study: Study, name: str) -> list[str]:
    """Labels from the top down where depth is known, else by the alphabet."""
    depth = next((c for c in ("below_sea", "measured_depth") if c in study.data), None)
    labels = study[name]
    if depth is None or name in ("well", "wellbore"):
        return sorted(map(str, labels.dropna().unique()))
    middle = study.data.groupby(labels, observed=True)[depth].median()
    return [str(x) for x in middle.sort_values(na_position="last").index]
