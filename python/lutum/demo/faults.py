"""The faults planted in the invented mud-check files, and the list of what was done.

Every change is noted with file, line, column, what is written and what it really was, so that an
audit of the files can be scored. Salt and cement are listed too: they look like errors and are not.
"""

from typing import Any

import numpy as np
import pandas as pd

from .draws import Numbers
from .ground import WHITEGALL
from .layouts import MISLABELLED_UNITS, MISLABELLED_WELL, UNIT_ROW, file_of, heading, unit_row

ERROR = "error in the record"
REAL = "real change of the mud"
COLUMNS = ("file", "row", "column", "records_column", "kind", "nature", "written", "truth", "note")
TESTS = (
    "mud_density", "funnel_viscosity", "reading_600", "reading_300", "reading_200", "reading_100", "reading_6", "reading_3",
    "plastic_viscosity", "yield_point", "gel_10_s", "gel_10_min", "gel_30_min", "filtrate_volume", "water_fraction",
    "oil_fraction", "solids_fraction", "sand_fraction", "dye_volume", "dye_sample_volume", "bentonite_equivalent", "ph",
    "alkalinity_mud", "alkalinity_filtrate", "alkalinity_filtrate_total", "chloride", "calcium",
)  # fmt: skip
SALT_RISE = 1.12  # times the chloride before the salt
CEMENT_LEFT = 0.2  # of the worst contamination
NOT_MEASURED = "not measured"


class Planter:
    """Writes faults into the text grids and keeps their list."""

    def __init__(self, names: list[str], reports: list[pd.DataFrame], plan: pd.DataFrame, truth: pd.DataFrame) -> None:
        self.names, self.reports, self.plan, self.truth = names, reports, plan, truth
        self.rows: list[list[Any]] = []

    def cells(self, well: int, column: str, section: int | None = None, blank: bool = False) -> Numbers:
        """Positions in a well's report where the column holds (or lacks) a reading, in one hole section if given."""
        text = self.reports[well][heading(well, column)]
        chosen = (text == "") if blank else (text != "")
        if section is not None:
            chosen &= self.plan.loc[self.plan["well"] == well, "section"].to_numpy() == section
        return np.flatnonzero(chosen)

    def text(self, well: int, position: int, column: str) -> str:
        """What is written in one cell now."""
        return str(self.reports[well].at[position, heading(well, column)])

    def note(
        self, well: int, position: int | None, column: str, kind: str, written: object, truth: object, note: str, nature: str = ERROR
    ) -> None:
        """Put one entry on the list."""
        title = heading(well, column) if column else ""
        self.rows.append([well, position, title, column, kind, nature, str(written), str(truth), note])

    def write(
        self, well: int, position: int, column: str, written: str, kind: str, note: str, truth: str | None = None
    ) -> None:
        """Put a text into one cell and note it."""
        before = self.text(well, position, column)
        self.reports[well].at[position, heading(well, column)] = written
        self.note(well, position, column, kind, written, before if truth is None else truth, note)

    def middle(self, cells: Numbers, share: float = 0.5) -> int:
        """The position that far through the cells."""
        return int(cells[int(share * (len(cells) - 1))])

    def listed(self) -> pd.DataFrame:
        """The list as a frame; `row` is the line of the file counted from 1, empty where a whole column is meant."""
        frame = pd.DataFrame(self.rows, columns=["well", *COLUMNS[1:]])
        frame.insert(0, "file", [file_of(self.names[well]) for well in frame["well"]])
        frame["row"] = (frame["row"] + UNIT_ROW + 1).astype("Int64")
        return frame.drop(columns="well").sort_values(["file", "row", "column", "kind"], ignore_index=True)


def plant(names: list[str], reports: list[pd.DataFrame], plan: pd.DataFrame, truth: pd.DataFrame) -> pd.DataFrame:
    """Change the reports in place; the list of faults. reports: text grid of each well, rows in time order."""
    planter = Planter(names, reports, plan, truth)
    _other_units(planter)
    _copied_days(planter)
    _zeros(planter)
    _single_cells(planter)
    _salt(planter)
    _cement(planter)
    _duplicate(planter)  # last: it moves the rows below it
    return planter.listed()


def _other_units(planter: Planter) -> None:
    """MF-09: the unit row says oilfield units, the crew wrote metric ones."""
    well = MISLABELLED_WELL
    stated = dict(zip(planter.reports[well].columns, unit_row(well), strict=True))
    for column, (unit, _) in MISLABELLED_UNITS.items():
        written = stated[heading(well, column)]
        planter.note(well, None, column, "other units", written, unit, "the unit row is wrong for every row of the file")


def _copied_days(planter: Planter) -> None:
    """MF-03: three days in the 17 1/2 in hole repeat the last check before them, while the hole gets deeper."""
    well = 2
    plan = planter.plan[planter.plan["well"] == well].reset_index(drop=True)
    drilling = np.flatnonzero((plan["section"] == 1) & (plan["activity"] == "drilling"))
    days = plan["time"].dt.normalize().to_numpy()
    first_day = days[drilling[0]] + np.timedelta64(3, "D")
    copied = np.flatnonzero((days >= first_day) & (days < first_day + np.timedelta64(3, "D")))
    source = int(copied[0]) - 1
    for position in map(int, copied):
        for column in TESTS:
            if not heading(well, column):
                continue
            note = f"copied from line {source + UNIT_ROW + 1}"
            planter.write(well, position, column, planter.text(well, source, column), "copied day", note,
                          truth=planter.text(well, position, column) or NOT_MEASURED)


def _zeros(planter: Planter) -> None:
    """MF-06: the crew wrote 0 where a test was not made, in the 12 1/4 in hole."""
    for column in ("gel_30_min", "alkalinity_mud", "calcium"):
        for position in map(int, planter.cells(5, column, section=2, blank=True)):
            planter.write(5, position, column, "0", "zero for missing", "the test was not made", truth=NOT_MEASURED)
    position = planter.middle(planter.cells(5, "mud_density", section=1), 0.7)
    planter.write(5, position, "mud_density", "0", "zero for missing", "the balance reading was not entered")


def _single_cells(planter: Planter) -> None:
    """Slips of one cell each: text, a sentinel date, tens, retort, titrant, decimal comma."""
    pick, write = planter.middle, planter.write
    for share in (0.25, 0.8):
        write(1, pick(planter.cells(1, "filtrate_volume", section=1), share), "filtrate_volume", "n/a", "text", "reading lost")
    for share in (0.3, 0.6):
        write(9, pick(planter.cells(9, "sand_fraction", section=3), share), "sand_fraction", "trace", "text",
              "a trace is little, not a number")
    write(4, pick(planter.cells(4, "oil_fraction", section=2), 0.4), "oil_fraction", "<1", "text", "a bound, not a reading")
    cells = planter.cells(7, "time", section=1)
    write(7, pick(cells, 0.6), "time", "9999-12-31 00:00", "sentinel date", "stands for a date not entered")

    for well, column, section, share, slip, kind, note in (
        (0, "reading_600", 2, 0.45, -10.0, "dial slip", "ten degrees too low; plastic viscosity was worked out before"),
        (11, "reading_100", 1, 0.55, +10.0, "dial slip", "ten degrees too high"),
        (9, "water_fraction", 2, 0.5, +6.0, "retort over 100", "water, oil and solids exceed 100 %"),
    ):  # fmt: skip
        position = pick(planter.cells(well, column, section=section), share)
        before = float(planter.text(well, position, column))
        write(well, position, column, f"{before + slip:g}", kind, note)
    for share in (0.3, 0.34):
        position = pick(planter.cells(10, "chloride", section=2), share)
        before = float(planter.text(10, position, "chloride"))
        write(10, position, "chloride", f"{before / 10:g}", "titrant strength",
              "worked out for the weaker silver nitrate: ten times too low")
    position = pick(planter.cells(11, "mud_density", section=2), 0.35)
    weight = planter.text(11, position, "mud_density")
    text = weight if "." in weight else weight + ".0"
    write(11, position, "mud_density", text.replace(".", ","), "decimal comma", "a comma for the decimal point")


def _salt(planter: Planter) -> None:
    """Every well whose mud took up salt in the evaporite: real, though the chloride jumps."""
    plan, truth = planter.plan, planter.truth
    for well in range(len(planter.names)):
        rows = np.flatnonzero(plan["well"] == well)
        formation, chloride = plan["formation"].to_numpy()[rows], truth["chloride"].to_numpy()[rows]
        section = plan["section"].to_numpy()[rows]
        before = np.flatnonzero((section == 2) & (formation < WHITEGALL))
        level = chloride[before[-1]] if len(before) else chloride[section == 2][0]
        for position in np.flatnonzero((section == 2) & (formation >= WHITEGALL) & (chloride > SALT_RISE * level)):
            written = planter.text(well, int(position), "chloride")
            if written:
                planter.note(well, int(position), "chloride", "salt section", written, f"{chloride[position]:.0f}",
                             "salt taken up while the Whitegall Evaporite was drilled", REAL)


def _cement(planter: Planter) -> None:
    """Checks in which green cement from a shoe is still in the mud: real."""
    rows = np.flatnonzero(planter.truth["cement"] > CEMENT_LEFT)
    for row in rows:
        well = int(planter.plan["well"].iloc[row])
        position = int(row - np.flatnonzero(planter.plan["well"] == well)[0])
        for column in ("ph", "alkalinity_mud", "calcium"):
            written = planter.text(well, position, column)
            if written:
                planter.note(well, position, column, "cement contamination", written, written, "cement of the shoe just drilled", REAL)


def _duplicate(planter: Planter) -> None:
    """MF-05: one row stands twice."""
    well = 4
    position = planter.middle(planter.cells(well, "mud_density", section=1), 0.5)
    grid = planter.reports[well]
    planter.reports[well] = pd.concat([grid.iloc[: position + 1], grid.iloc[position:]], ignore_index=True)
    for row in planter.rows:
        if row[0] == well and row[1] is not None and row[1] > position:
            row[1] += 1
    planter.rows.append([well, position + 1, "", "", "exact duplicate", ERROR, "whole row",
                         f"repeats line {position + UNIT_ROW + 1}", "one check stands twice"])
