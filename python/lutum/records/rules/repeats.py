"""Rows written twice, and checks copied from the day before."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from ..columns import Column
from ..table import IDENTITY
from .registry import ERROR, NOTE, WARNING, Finding, NotApplicable, View, rule

# Columns that follow from others and say nothing of their own when those are mapped.
FOLLOWS = {
    "plastic_viscosity": ("reading_600", "reading_300"),
    "yield_point": ("reading_600", "reading_300"),
    "apparent_viscosity": ("reading_600",),
    "gel_strength_10_s": ("gel_10_s",),
    "gel_strength_10_min": ("gel_10_min",),
    "gel_strength_30_min": ("gel_30_min",),
    "solids_fraction": ("water_fraction", "oil_fraction"),
    "bentonite_equivalent": ("dye_volume",),
}


@rule("duplicate_row", "rows whose cells are all the same as an earlier row's, as text, in the columns mapped or kept")
def duplicate_row(view: View) -> Iterator[Finding]:
    cells = view.records.raw.drop(columns=IDENTITY)
    again = cells.duplicated().to_numpy()
    if not again.any():
        return
    group = cells.groupby(list(cells.columns), dropna=False, sort=False).ngroup().to_numpy()
    first = np.full(group.max() + 1, -1)
    first[group[~again]] = np.flatnonzero(~again)
    yield from view.cells(
        "", again, lambda i: f"the same as {view.place(first[group[i]])}", "remove the row", ERROR, "remove"
    )


@rule("copied_forward", "readings of several tests the same as in the check before, while depth or time moved")
def copied_forward(view: View) -> Iterator[Finding]:
    readings = [c for c in view.numbers() if c.test and not (c.name in FOLLOWS and view.has(*FOLLOWS[c.name]))]
    least = view.options.copied_readings
    if len(readings) < least or len({c.test for c in readings}) < 2:
        raise NotApplicable(f"fewer than {least} readings of two tests are mapped")
    order = np.argsort(view.well, kind="stable")
    before, after = order[:-1], order[1:]
    moved = _moved(view, before, after) & (view.well[before] == view.well[after])
    same = np.array([_same(view, c, before, after) for c in readings])
    compared = np.array([_both(view, c, before, after) for c in readings])
    tests = sorted({c.test for c in readings})
    same_tests = sum(same[[c.test == test for c in readings]].any(axis=0).astype(int) for test in tests)
    copied = moved & (same.sum(axis=0) >= least) & (same_tests >= 2)
    run = np.zeros(len(copied) + 1, int)  # checks in a row that were copied, up to here
    for k in np.flatnonzero(copied):
        run[k + 1] = run[k] + 1
    for k in np.flatnonzero(copied):
        names = [c.name for c, hit in zip(readings, same[:, k], strict=True) if hit]
        whole = len(names) == compared[:, k].sum()
        i, j = int(after[k]), int(before[k])
        yield Finding(
            i, ", ".join(names), None,
            f"{len(names)} of {compared[:, k].sum()} readings are those of {view.place(j)} ({', '.join(names)}), "
            f"{_how_it_moved(view, j, i)}; copy {run[k + 1]} in a row",
            "look at the bench sheet: were these measured?", WARNING if whole else NOTE,
        )  # fmt: skip


def _both(view: View, column: Column, before: Any, after: Any) -> Any:
    # A zero is as often a test that was not made.
    values = view.values(column.name)
    known = np.isfinite(values) & (values != 0.0)
    return known[before] & known[after]


def _same(view: View, column: Column, before: Any, after: Any) -> Any:
    values = view.values(column.name)
    return _both(view, column, before, after) & (values[before] == values[after])


def _places(view: View) -> list[str]:
    return [c for c in ("measured_depth", "time") if view.has(c)]


def _moved(view: View, before: Any, after: Any) -> Any:
    places = _places(view)
    if not places:
        raise NotApplicable("neither measured_depth nor time is mapped, so no check is known to be another one")
    moved = np.zeros(len(before), bool)
    for column in places:
        values = view.data[column]
        known = values.notna().to_numpy()
        array = values.to_numpy()
        moved |= known[before] & known[after] & (array[before] != array[after])
    return moved


def _how_it_moved(view: View, before: int, after: int) -> str:
    parts = []
    for column in _places(view):
        a, b = view.data[column].iloc[before], view.data[column].iloc[after]
        if a == b or a != a or b != b:
            continue
        if column == "time":
            parts.append(f"time went from {view.moment(column, before)} to {view.moment(column, after)}")
        else:
            parts.append(f"depth went from {view.number(column, before)} to {view.number(column, after)}")
    return "while " + " and ".join(parts)
