"""Depths below the end of the wellbore, and dates that do not follow depth."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from .gaps import sentinel_days
from .registry import ERROR, NOTE, WARNING, Finding, NotApplicable, View, rule

KEYS = ("wellbore_id", "wellbore", "well")
REVERSED = 0.8  # share of a well's steps in time from which its dates are reversed as a whole
FEWEST_STEPS = 4


@rule(
    "below_total_depth",
    "measured depths below the total depth of the wellbore, by a table of wells",
    needs=("measured_depth",),
)
def below_total_depth(view: View) -> Iterator[Finding]:
    if view.wells is None:
        raise NotApplicable("no table of wells was given (wells=)")
    wells = view.wells.to(view.records.unit_set)
    key = next((k for k in KEYS if view.has(k) and k in wells.data), "")
    if not key or "total_depth" not in wells.data:
        raise NotApplicable(
            "the table of wells needs total_depth and one of wellbore_id, wellbore, well, as the checks have it"
        )
    known = wells.data[wells.data["total_depth"].notna() & (wells.data["total_depth"] > 0) & wells.data[key].notna()]
    twice = known[key].duplicated(keep=False) & (known.groupby(key)["total_depth"].transform("nunique") > 1)
    known = known[~twice].drop_duplicates(key)
    total = view.data[key].map(dict(zip(known[key], known["total_depth"], strict=True))).to_numpy(float)
    depth = view.values("measured_depth")
    unit = view.records.units["measured_depth"]
    yield from view.cells(
        "measured_depth", depth > total * (1 + 1e-9),
        lambda i: f"{depth[i]:.6g} {unit} is below the wellbore's total depth of {total[i]:.6g} {unit}",
        "check the wellbore (a sidetrack?), the depth and its unit", ERROR,
    )  # fmt: skip
    names = view.data[key].to_numpy(object)
    unknown = np.isnan(total) & ~pd.Series(names).duplicated().to_numpy()
    yield from view.cells(
        "measured_depth", unknown, lambda i: f"no single total depth is known of {key} {names[i]}: its depths were not checked",
        "add the wellbore to the table of wells", NOTE,
    )  # fmt: skip


@rule("date_against_depth", "dates that run backwards while depth grows", needs=("measured_depth", "time"))
def date_against_depth(view: View) -> Iterator[Finding]:
    depth, time = view.values("measured_depth"), view.data["time"].to_numpy("datetime64[s]")
    usable = np.flatnonzero(np.isfinite(depth) & ~np.isnat(time) & ~sentinel_days(view))
    order = usable[np.lexsort((time[usable], depth[usable], view.well[usable]))]
    before, after = order[:-1], order[1:]
    step = (view.well[before] == view.well[after]) & (depth[before] != depth[after]) & (time[before] != time[after])
    back = step & (time[after] < time[before])
    steps = np.bincount(view.well[after[step]], minlength=view.well.max(initial=-1) + 1)
    backs = np.bincount(view.well[after[back]], minlength=len(steps))
    reversed_wells = (steps >= FEWEST_STEPS) & (backs >= REVERSED * steps)
    for k in np.flatnonzero(back & ~reversed_wells[view.well[after]]):
        i, j = int(after[k]), int(before[k])
        reason = (
            f"{view.moment('time', i)} at {view.number('measured_depth', i)}, but {view.moment('time', j)} already at "
            f"{view.number('measured_depth', j)} ({view.place(j)})"
        )
        yield Finding(i, "time", time[i], reason, "check both dates and depths (after a sidetrack dates may run back)")
    for well in np.flatnonzero(reversed_wells):
        members = order[view.well[order] == well]
        yield Finding(
            int(members[0]), "time", None, f"dates run backwards with depth in the whole well ({backs[well]} of {steps[well]} steps)",
            "check how the table was made: dates or depths may be in reverse order", WARNING, members=tuple(map(int, members)),
        )  # fmt: skip
