"""Events beside the mud: what was in the hole in the hours before trouble, against holes without it."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from .banding import row_weights, weighted_percentiles
from .study import MISSING, Study, each, row_reasons
from .tables import Table, as_table

BEFORE, WITHOUT, BETWEEN, UNKNOWN = "before trouble", "no trouble in the section", "section with trouble", "not known"
DRAWS = 400  # resamples of the wells behind an interval


def trouble(study: Study, events: Table, *, hours: float = 12.0) -> Study:
    """Every row with the events that followed within `hours` in its section, and those its section had at all.

    `events`: well, time, event and, for the section, hole_diameter or measured_depth; the events themselves are kept in
    `.events`, placed like the rows, with the number of rows each one followed. Needs an aligned study. Columns:
    `trouble_before` (kinds, joined by ", "),
    `trouble_in_section`, `hours_to_trouble`. A row without time cannot be before anything, and `.reasons` says so.
    """
    if not hours > 0:
        raise ValueError(f"hours={hours!r} must be above 0")
    if study.places is None:
        raise ValueError("align the study first: events are matched by wellbore and hole section")
    given = as_table(events, "events", study.unit_set)
    given.needs("events", "well", "time", "event", "measured_depth")
    data = given.data
    placed, _ = study.places.of(data["well"], data["measured_depth"], data.get("hole_diameter"), data["time"])
    happened = pd.concat([data, placed], axis=1)
    time = (
        study.data["time"].to_numpy("datetime64[s]")
        if "time" in study.data
        else np.full(len(study), np.datetime64("NaT"), "datetime64[s]")
    )
    section = study["section"].astype(object).where(study["section"].notna(), "").to_numpy()
    well = study.well.to_numpy(object)
    before, during = (np.full(len(study), "", object) for _ in range(2))
    wait = np.full(len(study), np.nan)
    heard = []  # how many rows each event was seen to follow: 0 is an event without a mud check before it
    for event in each(happened):
        here = (well == event.well) & (section == str(event.section))
        ahead = (np.datetime64(event.time, "s") - time) / np.timedelta64(1, "h")
        soon = here & (ahead >= 0.0) & (ahead <= hours)
        wait = np.where(here & (ahead >= 0.0), np.fmin(wait, ahead), wait)
        heard.append(int(soon.sum()))
        for mask, column in ((soon, before), (here, during)):
            column[mask] = [_joined(old, event.event) for old in column[mask]]
    happened["rows_before"] = heard
    timeless = np.isnat(time)
    frame = pd.DataFrame(
        {"trouble_before": before, "trouble_in_section": during, "hours_to_trouble": wait}, index=study.data.index
    )
    frame.loc[timeless, "trouble_before"] = UNKNOWN
    frame.loc[section == "", ["trouble_before", "trouble_in_section"]] = UNKNOWN
    reasons = row_reasons(
        study, np.flatnonzero(timeless), "trouble", "time", "time is missing: what followed is not known", MISSING
    )
    said = f"A row is before trouble when an event followed in the same wellbore and section within {hours:g} h."
    return replace(study.with_columns("trouble", frame, {"hours_to_trouble": "h"}, reasons, said), events=happened)


def state(study: Study, kinds: Sequence[str] = ()) -> pd.Series:
    """The state of every row with regard to these kinds of event, or to all of them."""
    if "trouble_before" not in study:
        raise ValueError("tell the study its events first, with trouble()")
    known = sorted(set(study.events["event"])) if study.events is not None else []
    for kind in kinds:
        if kind not in known:
            raise ValueError(f"no event is called {kind!r}; there are {', '.join(known)}")
    wanted = set(kinds or known)

    def any_of(text: Any) -> bool:
        return not wanted.isdisjoint(str(text).split(", "))

    before, during = (study[c].map(any_of).to_numpy(bool) for c in ("trouble_before", "trouble_in_section"))
    unknown = (study["trouble_before"] == UNKNOWN).to_numpy()
    found = np.select([unknown, before, during], [UNKNOWN, BEFORE, BETWEEN], WITHOUT)
    return pd.Series(found, index=study.data.index, dtype=object)


def compare(study: Study, columns: Sequence[str], kinds: Sequence[str] = (), *, by: str = "section") -> pd.DataFrame:
    """Columns in the rows before trouble against all other rows of the same group.

    Medians weighted as in `bands`; `higher_before`: the chance that a row before trouble is higher than one that is not,
    0.5 when the two do not differ, each well counting the same; `low`, `high`: its 90 % interval when the wells are drawn anew.
    An interval that holds 0.5 shows no difference; few wells make it wide.
    """
    states = state(study, kinds).to_numpy(object)
    rows = []
    for key, positions in study[by].groupby(study[by], observed=True).indices.items():
        at = np.asarray(positions)
        for name in columns:
            values = study[name].to_numpy(float)[at]
            mine = np.isfinite(values)
            first, rest = at[mine & (states[at] == BEFORE)], at[mine & np.isin(states[at], [WITHOUT, BETWEEN])]
            chance, low, high = separation(study, name, first, rest)
            rows.append({
                by: key, "column": study.column(name), "unit": study.unit(name),
                "before": _median(study, name, first), "otherwise": _median(study, name, rest),
                "higher_before": chance, "low": low, "high": high, "rows_before": len(first), "wells_before": study.well.iloc[first].nunique(),
                "rows_otherwise": len(rest), "wells_otherwise": study.well.iloc[rest].nunique(),
            })  # fmt: skip
    return pd.DataFrame(rows)


def separation(study: Study, column: str, before: Any, rest: Any) -> tuple[float, float, float]:
    """Chance that a row of `before` lies above one of `rest` (ties count half), and its 90 % interval over the wells.

    Positions in the study. The interval is from drawing the wells anew, 400 times, always with the same draws; NaN with
    fewer than two wells on either side.
    """
    before, rest = np.asarray(before, int), np.asarray(rest, int)
    if not len(before) or not len(rest):
        return np.nan, np.nan, np.nan
    values, wells = study[column].to_numpy(float), study.well.to_numpy(object)
    names, number = np.unique(wells[np.concatenate([before, rest])].astype(str), return_inverse=True)
    mine, other = number[: len(before)], number[len(before) :]
    wins = (values[before][:, None] > values[rest]) + 0.5 * (values[before][:, None] == values[rest])
    count = len(names)
    table, pairs = np.zeros((count, count)), np.zeros((count, count))
    np.add.at(table, (mine[:, None], other[None, :]), wins)
    np.add.at(pairs, (mine[:, None], other[None, :]), 1.0)
    mean = np.divide(table, pairs, out=np.zeros_like(table), where=pairs > 0)
    has, has_rest = (np.bincount(x, minlength=count) > 0 for x in (mine, other))

    def chance(times: Any) -> Any:
        left, right = times * has, times * has_rest
        total = left.sum(axis=-1) * right.sum(axis=-1)
        summed = np.einsum("...i,ij,...j->...", left, mean, right)
        return np.divide(summed, total, out=np.full_like(summed, np.nan), where=total > 0)

    middle = float(chance(np.ones(count)))
    if has.sum() < 2 or has_rest.sum() < 2:
        return middle, np.nan, np.nan
    draws = np.random.default_rng(0).multinomial(count, np.full(count, 1.0 / count), size=DRAWS).astype(float)
    low, high = np.nanpercentile(chance(draws), [5.0, 95.0])
    return middle, float(low), float(high)


def events_by_formation(study: Study) -> pd.DataFrame:
    """Events of every kind for each formation, the wells they struck, and how many a 1000 m (or 1000 ft) drilled there."""
    if study.events is None:
        raise ValueError("tell the study its events first, with trouble()")
    unit = study.unit_set.unit("length")
    drilled = _drilled(study)
    rows = []
    for (formation, kind), found in study.events.groupby(["formation", "event"], sort=False, dropna=False):
        length = drilled.get(formation, np.nan)
        rows.append({
            "formation": formation, "event": kind, "events": len(found), "wells": found["well"].nunique(),
            f"events per 1000 {unit}": 1000.0 * len(found) / length if length else np.nan,
        })  # fmt: skip
    order = list(drilled)
    table = pd.DataFrame(rows)
    return table.iloc[
        table["formation"].map({f: i for i, f in enumerate(order)}).fillna(len(order)).argsort(kind="stable")
    ].reset_index(drop=True)


def _drilled(study: Study) -> dict[Any, float]:
    """Length of hole in each formation, from its top to the next one or to the deepest row of the well."""
    total: dict[Any, float] = {}
    deepest = study["measured_depth"].groupby(study.well).max()
    for well, rows in study.places.tops_by_well.items():
        if well not in deepest.index or "measured_depth" not in rows:
            continue
        rows = rows.sort_values("measured_depth", kind="stable")
        ends = np.append(rows["measured_depth"].to_numpy(float)[1:], np.inf)
        lengths = np.minimum(ends, deepest[well]) - rows["measured_depth"].to_numpy(float)
        for formation, length in zip(rows["formation"], lengths):
            total[formation] = total.get(formation, 0.0) + max(0.0, float(length))
    return total


def _joined(old: str, kind: str) -> str:
    return ", ".join(dict.fromkeys([*(k for k in old.split(", ") if k), kind]))


def _median(study: Study, name: str, at: Any) -> float:
    values, depth = study[name].to_numpy(float)[at], study["measured_depth"].to_numpy(float)[at]
    weights = row_weights(study.well.to_numpy(object)[at], depth) if len(at) else np.empty(0)
    return float(weighted_percentiles(values, weights, 50.0))
