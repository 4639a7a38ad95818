"""A study: the records, what was calculated and placed beside them, and why something is not there."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from typing import Any

import numpy as np
import pandas as pd

from lutum.records import Records

REASON = ["file", "row", "well", "step", "input", "value", "unit", "severity", "reason"]
MISSING, ERROR, CAUTION = "missing", "error", "caution"  # severity: not there; outside its limit; to be careful with
WELL_COLUMNS = ("wellbore", "wellbore_id", "well", "file")  # the first that the records have tells wells apart


@dataclass(frozen=True, repr=False)
class Study:
    """Mud checks with everything a study adds, one row a row of the records, none dropped.

    `data`: the records' columns, then results as "calculation.result" and what `align` and others add; same index as
    `records.data`. `units`: by column. `uncertainty`: standard uncertainty of results, columns as in `data`.
    `reasons`: by file and row, which input of which step was missing, outside its limit or doubtful.
    `skipped`: calculations the records have no inputs for. `assumptions`: by step, what was taken for granted, in plain words.
    `places`: the wells' paths, tops and casing, once aligned. `events`: the trouble, once told.
    """

    records: Records
    data: pd.DataFrame
    units: dict[str, str]
    uncertainty: pd.DataFrame
    reasons: pd.DataFrame
    skipped: pd.DataFrame
    assumptions: dict[str, str] = field(default_factory=dict)
    added: tuple[str, ...] = ()
    places: Any = field(default=None, compare=False)
    events: pd.DataFrame | None = field(default=None, compare=False)

    def __len__(self) -> int:
        return len(self.data)

    def __repr__(self) -> str:
        return (
            f"Study: {len(self)} rows of {self.well.nunique()} wells, {len(self.added)} columns added, "
            f"{len(self.reasons)} reasons, {len(self.skipped)} calculations skipped"
        )

    @property
    def unit_set(self) -> Any:
        """The unit set all numbers are in."""
        return self.records.unit_set

    @property
    def well(self) -> pd.Series:
        """The wellbore of every row, by the first of wellbore, wellbore_id, well, file that the records have."""
        return self.data[next(name for name in WELL_COLUMNS if name in self.data)]

    def column(self, name: str) -> str:
        """The column meant: its full name, or the result alone where only one calculation gives it.

        >>> study.column("low_gravity_fraction")        
        'water_base_retort.low_gravity_fraction'
        """
        if name in self.data:
            return name
        ends = [str(c) for c in self.data if str(c).rpartition(".")[2] == name]
        if len(ends) == 1:
            return ends[0]
        if ends:
            raise KeyError(f"{name!r} may be {' or '.join(ends)}: give the full name")
        near = get_close_matches(name, [str(c) for c in self.data], n=3, cutoff=0.4)
        raise KeyError(f"the study has no column {name!r}" + (f"; nearest: {', '.join(near)}" if near else ""))

    def __contains__(self, name: str) -> bool:
        try:
            self.column(name)
        except KeyError:
            return False
        return True

    def __getitem__(self, name: str) -> pd.Series:
        return self.data[self.column(name)]

    def unit(self, name: str) -> str:
        """Unit of a column, "" where it has none."""
        return self.units.get(self.column(name), "")

    def with_columns(
        self, step: str, new: pd.DataFrame, units: dict[str, str], reasons: Iterable[dict[str, Any]] = (), assumption: str = ""
    ) -> "Study":
        """A study with more columns, from a step of this name; what the step said before is replaced.

        A column of the records that has the same name is kept as "<name>_reported".
        """
        data = self.data
        own = [c for c in new if c in data and c not in self.added]
        data = data.rename(columns={c: f"{c}_reported" for c in own})
        renamed = {f"{c}_reported" if c in own else c: u for c, u in self.units.items()}
        data = data.drop(columns=[c for c in new if c in data])
        said = {k: v for k, v in self.assumptions.items() if k != step}
        return replace(
            self,
            data=pd.concat([data, new], axis=1),
            units={**renamed, **units},
            assumptions={**said, step: assumption} if assumption else said,
            reasons=join_reasons([self.reasons[self.reasons["step"] != step], reason_frame(reasons)]),
            added=tuple(dict.fromkeys([*self.added, *map(str, new)])),
        )

    def select(self, mask: Any) -> "Study":
        """The rows of a mask or of a list of index labels, with their reasons; the records stay whole."""
        data = self.data.loc[mask]
        keys = pd.MultiIndex.from_frame(data[["file", "row"]])
        mine = pd.MultiIndex.from_frame(self.reasons[["file", "row"]]).isin(keys)
        return replace(
            self, data=data, uncertainty=self.uncertainty.loc[data.index], reasons=self.reasons[mine].reset_index(drop=True)
        )


WORDS = {
    "low_gravity_fraction": "low-gravity solids", "high_gravity_fraction": "high-gravity solids", "reading_3": "3 rpm reading",
    "gel_strength_10_s": "10-second gel strength", "gel_strength_10_min": "10-minute gel strength",
    "increment": "density added by pumping", "below_fracture": "margin below fracture", "above_needed": "margin above pore and collapse",
}  # fmt: skip


def in_words(name: str) -> str:
    """The name of a column as the trade says it."""
    short = name.rpartition(".")[2]
    return WORDS.get(short, short.replace("_", " "))


def each(frame: pd.DataFrame) -> Iterator[Any]:
    """The rows of a frame as named tuples."""
    yield from frame.itertuples(index=False)


def reason_frame(reasons: Iterable[dict[str, Any]]) -> pd.DataFrame:
    """Reasons as a frame, a row each."""
    rows = list(reasons)
    frame = pd.DataFrame({name: pd.Series([r.get(name) for r in rows], dtype=object) for name in REASON})
    frame["row"] = frame["row"].astype("Int64")
    frame["value"] = frame["value"].astype(float)
    return frame


def join_reasons(frames: list[pd.DataFrame]) -> pd.DataFrame:
    """Reasons one below the other."""
    filled = [frame for frame in frames if len(frame)]
    if not filled:
        return reason_frame([])
    return pd.concat(filled, ignore_index=True)


def row_reasons(study: Study, at: Any, step: str, name: str, text: Any, severity: str = MISSING) -> list[dict[str, Any]]:
    """A reason for every position in `at`; `text` may be a list, one for each."""
    positions = np.asarray(at, int)
    if not len(positions):
        return []
    texts = [text] * len(positions) if isinstance(text, str) else list(text)
    mine = study.data.iloc[positions]
    wells = study.well.iloc[positions]
    is_number = name in mine and mine[name].dtype.kind == "f"
    values = mine[name].to_numpy(float) if is_number else np.full(len(positions), np.nan)
    fixed = {"step": step, "input": name, "unit": study.units.get(name, ""), "severity": severity}
    return [
        {"file": file, "row": int(row), "well": well, "value": value, "reason": words, **fixed}
        for file, row, well, value, words in zip(mine["file"], mine["row"], wells, values, texts, strict=True)
    ]
