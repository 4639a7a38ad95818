"""Rows of any depth table on common ground: true vertical depth below sea, formation and place in it, hole section, days."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np
import pandas as pd

from lutum import units
from lutum.well import Survey

from .planning import LEAN, SPUD_YEAR, lean, year_of
from .study import CAUTION, MISSING, Study, row_reasons
from .tables import Table, as_table, as_unit_set

# how far a depth written to the metre or foot may lie past the end of a survey or a casing point
DEPTH_ROUNDING = (0.5, "m")
METHOD = (
    "True vertical depth by the minimum-curvature method, between the stations along its arc; depths below mean sea level; "
    "nothing is placed outside a survey."
)


def section_label(hole_diameter_in: float) -> str:
    """A hole size as the trade writes it, in sixteenths of an inch.

    >>> section_label(12.25)
    '12 1/4 in'
    """
    if not np.isfinite(hole_diameter_in):
        return ""
    whole, rest = divmod(round(hole_diameter_in * 16), 16)
    if abs(hole_diameter_in * 16 - round(hole_diameter_in * 16)) > 0.01 or whole == 0:
        return f"{hole_diameter_in:g} in"
    return f"{whole} {Fraction(rest, 16)} in" if rest else f"{whole} in"


def in_inches(values: Any, unit: str) -> Any:
    """Hole sizes in inches whatever the unit set, for labels and order."""
    return units.convert(np.asarray(values, float), unit, "in")


@dataclass
class Places:
    """What is known where, by wellbore; made once for a study and for its events and pressures."""

    wells: Table
    surveys: Table | None
    tops: Table | None
    casing: Table | None
    unit_set: Any

    def __post_init__(self) -> None:
        self.wells = as_table(self.wells, "wells", self.unit_set)
        self.wells.needs("wells", "well", "rotary_table_above_sea")
        twice = self.wells.data["well"][self.wells.data["well"].duplicated()]
        if len(twice):
            raise ValueError(f"the wells table names {twice.iloc[0]} twice: one row a wellbore")
        self.elevation = dict(zip(self.wells.data["well"], self.wells.data["rotary_table_above_sea"]))
        self.spud = dict(zip(self.wells.data["well"], self.wells.data["time"])) if "time" in self.wells.data else {}
        self.rounding = units.convert(*DEPTH_ROUNDING, self.unit_set.unit("length"))
        self.paths: dict[str, Survey | str] = {}
        if self.surveys is not None:
            self.surveys = as_table(self.surveys, "surveys", self.unit_set)
            self.surveys.needs("surveys", "well", "measured_depth", "inclination", "azimuth")
            for well, rows in self.surveys.data.groupby("well", sort=False):
                self.paths[str(well)] = _path(rows)
        self.tops_by_well = self._by_well("tops", ("well", "formation"))
        self.casing_by_well = self._by_well("casing", ("well", "measured_depth", "hole_diameter"))

    def _by_well(self, name: str, needed: tuple[str, ...]) -> dict[str, pd.DataFrame]:
        given = getattr(self, name)
        if given is None:
            return {}
        kept = as_table(given, name, self.unit_set)
        kept.needs(name, *needed)
        setattr(self, name, kept)
        return {str(well): rows.reset_index(drop=True) for well, rows in kept.data.groupby("well", sort=False)}

    def of(
        self, well: pd.Series, measured: Any, hole_diameter: Any = None, time: Any = None
    ) -> tuple[pd.DataFrame, list[tuple[Any, str, str, str]]]:
        """Places of points, a row each, and what could not be placed: positions, input, reason, severity."""
        count = len(well)
        measured = np.asarray(measured, float)
        frame: dict[str, Any] = {name: np.full(count, np.nan) for name in ("vertical_depth", "inclination", "below_sea")}
        frame["formation"] = np.full(count, None, object)
        frame.update(
            {name: np.full(count, np.nan) for name in ("formation_fraction", "below_top", "section_diameter", "shoe_depth")}
        )
        told: list[tuple[Any, str, str, str]] = []
        names = well.astype(object).where(well.notna(), None)
        for name, positions in names.groupby(names, sort=False, dropna=False).indices.items():
            at = np.asarray(positions)
            if name not in self.elevation:
                told.append((at, "well", f"wellbore {name} is not in the wells table", MISSING))
                continue
            told += [(at[list(p)], i, r, s) for p, i, r, s in self._one(str(name), frame, at, measured[at], hole_diameter)]
        frame["days_since_spud"] = self._days(names, time, count)
        table = pd.DataFrame(frame, index=well.index)
        sizes = in_inches(table["section_diameter"], self.unit_set.unit("diameter"))
        labels = {size: section_label(size) for size in np.unique(sizes[np.isfinite(sizes)])[::-1]}
        named = [labels.get(size) for size in sizes]
        table["section"] = pd.Categorical(named, list(dict.fromkeys(labels.values())), ordered=True)
        if self.tops is None:  # a formation the table itself names stays
            table = table.drop(columns=["formation", "formation_fraction", "below_top"])
        return table, told

    def _one(
        self, well: str, frame: dict[str, Any], at: Any, measured: Any, hole_diameter: Any
    ) -> Iterator[tuple[Any, str, str, str]]:
        unit = self.unit_set.unit("length")
        gap = np.isnan(measured)
        if gap.any():
            yield np.flatnonzero(gap), "measured_depth", "measured_depth is missing: the row has no place", MISSING
        path = self.paths.get(well, f"wellbore {well} has no survey")
        if isinstance(path, str):
            yield np.flatnonzero(~gap), "measured_depth", f"{path}: no true vertical depth", MISSING
        else:
            end = path.measured[-1]
            near = (measured > end) & (measured <= end + self.rounding)
            beyond = ~gap & ~near & ((measured > end) | (measured < path.measured[0]))
            depth = np.where(near, end, measured)
            frame["vertical_depth"][at], frame["inclination"][at] = path.at(depth)
            frame["below_sea"][at] = frame["vertical_depth"][at] - self.elevation[well]
            yield (
                np.flatnonzero(near),
                "measured_depth",
                f"deeper than the last survey station, {end:.6g} {unit}, by no more than {self.rounding:.2g} {unit}: placed at the station",
                CAUTION,
            )
            yield (
                np.flatnonzero(beyond),
                "measured_depth",
                f"outside the survey, {path.measured[0]:.6g} to {end:.6g} {unit}: not extrapolated",
                MISSING,
            )
        yield from self._formations(well, frame, at, measured)
        yield from self._sections(well, frame, at, measured, hole_diameter)

    def _formations(self, well: str, frame: dict[str, Any], at: Any, measured: Any) -> Iterator[tuple[Any, str, str, str]]:
        if self.tops is None:
            return
        rows = self.tops_by_well.get(well)
        if rows is None:
            yield np.arange(len(at)), "formation", f"wellbore {well} has no formation tops", MISSING
            return
        by = "measured_depth" if "measured_depth" in rows else "below_sea"
        rows = rows[rows[by].notna()].sort_values(by, kind="stable")
        tops, where = rows[by].to_numpy(float), measured if by == "measured_depth" else frame["below_sea"][at]
        level = rows["below_sea"].to_numpy(float) if "below_sea" in rows else self.level(well, tops)
        found = np.searchsorted(tops, where, side="right") - 1
        known = np.isfinite(where)
        inside = known & (found >= 0)
        yield np.flatnonzero(known & (found < 0)), "formation", "shallower than the first formation top", MISSING
        frame["formation"][at[inside]] = rows["formation"].to_numpy(object)[found[inside]]
        top = level[np.maximum(found, 0)]
        base = np.append(level[1:], np.nan)[np.maximum(found, 0)]
        depth = frame["below_sea"][at]
        frame["below_top"][at] = np.where(inside, depth - top, np.nan)
        # depths written to the foot may leave the interval by as much
        share = np.where(base > top, (depth - top) / np.where(base > top, base - top, 1.0), np.nan)
        slack = self.rounding / np.where(base > top, base - top, 1.0)
        share = np.where((share < -slack) | (share > 1.0 + slack), np.nan, np.clip(share, 0.0, 1.0))
        frame["formation_fraction"][at] = np.where(inside, share, np.nan)

    def level(self, well: str, measured: Any) -> Any:
        """Depths below sea of measured depths of one well; NaN without a survey."""
        path = self.paths.get(well)
        return path.at(measured)[0] - self.elevation[well] if isinstance(path, Survey) else np.full(len(measured), np.nan)

    def _sections(
        self, well: str, frame: dict[str, Any], at: Any, measured: Any, hole_diameter: Any
    ) -> Iterator[tuple[Any, str, str, str]]:
        """The hole size that was reported; the casing points where none was, and to check it."""
        reported = np.full(len(at), np.nan) if hole_diameter is None else np.asarray(hole_diameter, float)[at]
        rows = self.casing_by_well.get(well)
        if rows is None:
            frame["section_diameter"][at] = reported
            if self.casing is not None:
                yield (
                    np.arange(len(at)),
                    "hole_diameter",
                    f"wellbore {well} has no casing points: section by the reported hole size alone",
                    CAUTION,
                )
            return
        rows = rows.sort_values("measured_depth", kind="stable")
        shoes, holes = rows["measured_depth"].to_numpy(float), rows["hole_diameter"].to_numpy(float)
        above = np.append(np.nan, shoes[:-1])
        place = np.minimum(
            np.searchsorted(shoes, np.where(np.isfinite(measured), measured, -np.inf), side="left"), len(shoes) - 1
        )
        past = measured > shoes[-1] + self.rounding
        by_points = np.where(np.isfinite(measured) & ~past, holes[place], np.nan)
        size = np.where(np.isnan(reported), by_points, reported)
        frame["section_diameter"][at] = size
        mine: list[Any] = [np.flatnonzero(np.isclose(holes, x)) if np.isfinite(x) else [] for x in size]
        row = np.array([m[0] if len(m) else -1 for m in mine])
        frame["shoe_depth"][at] = np.where(row >= 0, above[np.maximum(row, 0)], np.nan)
        yield (
            np.flatnonzero(np.isfinite(size) & (row < 0)),
            "hole_diameter",
            f"hole size is not among the casing points of {well}",
            CAUTION,
        )
        yield (
            np.flatnonzero(np.isnan(size)),
            "hole_diameter",
            "no hole size reported and the depth is below the last casing point or missing",
            MISSING,
        )
        outside = (row >= 0) & (
            (measured > shoes[np.maximum(row, 0)] + self.rounding) | (measured < above[np.maximum(row, 0)] - self.rounding)
        )
        yield (
            np.flatnonzero(outside),
            "hole_diameter",
            "the reported hole size and the casing points put this depth in different sections: the reported one was kept",
            CAUTION,
        )

    def _days(self, names: pd.Series, time: Any, count: int) -> Any:
        if time is None or not self.spud:
            return np.full(count, np.nan)
        start = pd.to_datetime(names.map(self.spud)).to_numpy("datetime64[s]")
        return (np.asarray(time, "datetime64[s]") - start) / np.timedelta64(1, "D")


def _path(rows: pd.DataFrame) -> Survey | str:
    columns = rows[["measured_depth", "inclination", "azimuth"]].to_numpy(float)
    first = None
    if "vertical_depth" in rows:
        first = float(rows["vertical_depth"].to_numpy(float)[np.argmin(columns[:, 0])])
    try:
        return Survey(columns[:, 0], columns[:, 1], columns[:, 2], first_vertical=first)
    except ValueError as error:
        return str(error)


def align(
    study: Study, *, wells: Table, surveys: Table | None = None, tops: Table | None = None, casing: Table | None = None
) -> Study:
    """Every row with its true vertical depth, depth below sea, formation and place in it, hole section and days since spud.

    Tables are made with `lutum.offset.table` and matched by wellbore. `wells`: well, rotary_table_above_sea, time (spud).
    `surveys`: well, measured_depth, inclination, azimuth (and vertical_depth of a first station that is not at 0).
    `tops`: well, formation, and measured_depth or below_sea. `casing`: well, measured_depth of the shoe, hole_diameter.

    `formation_fraction` runs from 0 at the top to 1 at the base; the lowest formation has no base, so only `below_top`.
    `shoe_depth` is the shoe above the section. Outside a survey a row has no vertical depth, and `.reasons` says so.
    """
    places = Places(wells, surveys, tops, casing, study.unit_set)
    frame, told = places.of(
        study.well, _values(study, "measured_depth"), _values(study, "hole_diameter"),
        study.data["time"] if "time" in study.data else None,
    )  # fmt: skip
    reasons = [r for at, name, text, severity in told for r in row_reasons(study, at, "align", name, text, severity)]
    length = study.unit_set.unit("length")
    kept = {name: length for name in ("vertical_depth", "below_sea", "below_top", "shoe_depth")}
    kept |= {"inclination": "deg", "section_diameter": study.unit_set.unit("diameter"), "days_since_spud": "d"}
    return replace(study.with_columns("align", frame, kept, reasons, METHOD), places=places)


def locate(
    points: Table, *, wells: Table, surveys: Table | None = None, tops: Table | None = None, casing: Table | None = None,
    unit_set: Any = "field",
) -> Table:  # fmt: skip
    """The same places for the rows of another table with well and measured_depth, such as events or pressures.

    Beside them the well's spud as a year and the square of the sine of the inclination, which pressures may follow.
    """
    chosen = as_unit_set(unit_set)
    given = as_table(points, "points", chosen)
    given.needs("points", "well", "measured_depth")
    places = Places(wells, surveys, tops, casing, chosen)
    data = given.data
    frame, told = places.of(data["well"], data["measured_depth"], data.get("hole_diameter"), data.get("time"))
    frame[LEAN] = lean(frame["inclination"])
    spud = pd.to_datetime(data["well"].map(places.spud)) if places.spud else pd.Series(pd.NaT, index=data.index)
    frame[SPUD_YEAR] = year_of(spud.to_numpy("datetime64[s]"))
    problems = [
        {"row": int(i), "column": name, "raw": "", "reason": text} for at, name, text, _ in told for i in at
    ]  # fmt: skip
    kept = pd.concat([data.drop(columns=[c for c in frame if c in data]), frame], axis=1)
    length = chosen.unit("length")
    now = given.units | {name: length for name in ("vertical_depth", "below_sea", "below_top", "shoe_depth")}
    return Table(kept, now | {"inclination": "deg", "section_diameter": chosen.unit("diameter")},
                 pd.concat([given.problems, pd.DataFrame(problems, columns=given.problems.columns)], ignore_index=True))  # fmt: skip


def _values(study: Study, name: str) -> Any:
    return study.data[name].to_numpy(float) if name in study.data else np.full(len(study), np.nan)
