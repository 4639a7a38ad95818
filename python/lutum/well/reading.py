"""Tables of a well on their way in: frames, CSV files or lists of dicts, columns by their full names, into SI, and numbers out of SI again."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from math import isfinite, isnan, nan, pi
from os import PathLike
from typing import Any

import numpy as np

from lutum._columns import numbers
from lutum._sets import UnitSet
from lutum.flow_curve.models import factor

from .survey import PlannedPath, Survey

__all__ = ["CASED", "KINDS", "Bit", "Hole", "Part", "Path", "as_bit", "as_holes", "as_path", "as_string", "clean", "label", "out_of_si", "plain", "shown"]

Path = Survey | PlannedPath  # with lengths in m
KINDS = ("riser", "casing", "liner", "open_hole")
CASED = ("casing", "liner")
VERTICAL = PlannedPath([0.0, 1e5], [0.0, 1e5])  # deeper than any well

TEXT, LIST, DEGREES, PERCENT, NUMBER = "text", "list", "degrees", "percent", "number"  # or a quantity, in the unit of the set
SURVEY = {"measured_depth": "length", "inclination": DEGREES, "azimuth": DEGREES, "true_vertical_depth": "length"}
HOLES = {
    "name": TEXT, "kind": TEXT, "top_measured_depth": "length", "bottom_measured_depth": "length", "inside_diameter": "diameter",
    "washout": PERCENT, "eccentricity": NUMBER,
}  # fmt: skip
STRING = {
    "name": TEXT, "length": "length", "outside_diameter": "diameter", "inside_diameter": "diameter", "joint_diameter": "diameter",
    "joint_bore": "diameter", "joint_length": "length", "joint_spacing": "length", "roughness": "diameter",
}  # fmt: skip
BIT = {"bit_diameter": "diameter", "nozzles": LIST, "nozzle_area": "area", "discharge_coefficient": NUMBER}


@dataclass(frozen=True, slots=True)
class Hole:
    """A length of hole of one kind, in SI; `washout` as a fraction of the diameter."""

    name: str
    kind: str
    top: float
    bottom: float
    inside_diameter: float
    washout: float = 0.0
    eccentricity: float = 0.0

    @property
    def diameter(self) -> float:
        """With the washout."""
        return self.inside_diameter * (1.0 + self.washout)


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the string, in SI. A length that is missing reaches to the surface; joints that are missing there are none."""

    name: str
    length: float
    outside_diameter: float
    inside_diameter: float
    joint_diameter: float = nan
    joint_bore: float = nan
    joint_length: float = nan
    joint_spacing: float = nan
    roughness: float = 0.0

    @property
    def joint_share(self) -> float:
        """How much of the length is tool joint."""
        return 0.0 if isnan(self.joint_diameter) else self.joint_length / self.joint_spacing


@dataclass(frozen=True, slots=True)
class Bit:
    """In SI; a nozzle area that was not given is missing (NaN)."""

    bit_diameter: float
    nozzle_area: float = nan
    discharge_coefficient: float = 0.95


def plain(x: Any) -> Any:
    """One number as a float, arrays as they are."""
    return float(x) if np.ndim(x) == 0 else x


def clean(x: Any) -> Any:
    """Twelve digits: a depth of 5000 ft comes back as 5000."""
    x = np.asarray(x, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        digits = np.power(10.0, 11.0 - np.floor(np.log10(np.abs(x))))
        return plain(np.where(np.isfinite(x) & np.isfinite(digits), np.round(x * digits) / digits, x))  # 0 has no digits


def out_of_si(x: Any, quantity: str, home: UnitSet) -> Any:
    """In the unit of the set, without the last bit that a conversion leaves: what was given comes back."""
    return clean(x / factor(quantity, home))


def shown(x: float, quantity: str, home: UnitSet) -> str:
    """A number in SI as the units of the set write it."""
    unit = "" if quantity == "number" else f" {home.unit(quantity)}"
    return f"{x / factor(quantity, home):.6g}{unit}"


def counted(findings: Sequence[str]) -> str:
    """How many there are, for the end of a line; nothing where there are none."""
    return f"; {len(findings)} finding{'' if len(findings) == 1 else 's'}" if findings else ""


def label(what: str, items: Sequence[Hole] | Sequence[Part], place: int) -> str:
    """How a message calls a hole or part: by its name, with its place where two share one."""
    name, names = items[place].name, [item.name for item in items]
    where = f" ({place + 1} from the {'top' if what == 'hole' else 'bit'})" if names.count(name) > 1 else ""
    return f"{what} {name!r}{where}"


def records_of(table: Any, what: str, columns: Mapping[str, str]) -> list[dict[str, Any]]:
    """The rows of a table as dicts, their columns known ones."""
    if isinstance(table, (str, PathLike)):
        import pandas as pd

        table = pd.read_csv(table, skipinitialspace=True)
    if hasattr(table, "to_dicts"):  # a frame of another library
        rows = list(table.to_dicts())
    elif hasattr(table, "columns"):
        if not table.columns.is_unique:
            raise ValueError(f"{what}: two columns are called {table.columns[table.columns.duplicated()][0]!r}; keep one")
        _known(table.columns, what, columns)
        rows = table.to_dict("records")
    elif isinstance(table, Mapping):
        rows = list(_rows_of_columns(table, what, columns))
    elif isinstance(table, Sequence) and all(isinstance(row, Mapping) for row in table):
        rows = [dict(row) for row in table]
    else:
        raise TypeError(f"{what} must be a frame, the path of a CSV file or a list of dicts, not {type(table).__name__}")
    if not rows:
        raise ValueError(f"{what}: the table has no rows")
    for row in rows:
        _known(row, what, columns)
    return rows


def _rows_of_columns(table: Mapping[str, Any], what: str, columns: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    """A dict of columns, or one row of plain numbers."""
    _known(table, what, columns)
    lists = {k: list(v) for k, v in table.items() if hasattr(v, "__len__") and not isinstance(v, str) and columns[k] is not LIST}
    if not lists:
        yield dict(table)
        return
    lengths = {len(v) for v in lists.values()}
    if len(lengths) > 1 or len(lists) < len(table):
        told = ", ".join(f"{k} {len(lists[k]) if k in lists else 'one'}" for k in table)
        raise ValueError(f"{what}: columns of unlike length ({told}); give every column one value a row")
    for place in range(lengths.pop()):
        yield {k: v[place] for k, v in lists.items()}


def _known(names: Any, what: str, columns: Mapping[str, str]) -> None:
    for name in names:
        if name not in columns:
            near = get_close_matches(str(name), columns, 1)
            hint = f"did you mean {near[0]!r}? It" if near else "it"
            raise ValueError(f"{what}: column {name!r} is unknown; {hint} takes {', '.join(columns)}")


def _cells(row: Mapping[str, Any], called: str, columns: Mapping[str, str], home: UnitSet) -> dict[str, float]:
    """The numbers of a row in SI; a missing one is NaN."""
    found = {}
    for name, kind in columns.items():
        if kind in (TEXT, LIST):
            continue
        unit = {DEGREES: "degrees", PERCENT: "%", NUMBER: ""}.get(kind) if kind in (DEGREES, PERCENT, NUMBER) else home.unit(kind)
        cell = row.get(name)
        if isinstance(cell, (str, bytes)):
            raise ValueError(f"{called}: {name} is the text {cell!r}; give a number{' in ' + unit if unit else ''}, such as 9.625 for 9 5/8")
        x = float(numbers(nan if cell is None else cell, f"{called}: {name}"))
        if not isfinite(x) and not isnan(x):
            raise ValueError(f"{called}: {name} is {x}; give a finite number{' in ' + unit if unit else ''}")
        found[name] = x * (0.01 if kind is PERCENT else 1.0 if kind in (DEGREES, NUMBER) else factor(kind, home))
    return found


def _needed(cells: Mapping[str, float], called: str, columns: Mapping[str, str], home: UnitSet, *names: str) -> None:
    for name in names:
        if isnan(cells[name]):
            kind = columns[name]
            raise ValueError(f"{called}: {name} is missing; give it in {kind if kind is DEGREES else home.unit(kind)}")


def _or(x: float, default: float) -> float:
    return default if isnan(x) else x


def _named(row: Mapping[str, Any], what: str, place: int) -> str:
    name = row.get("name")
    if not isinstance(name, str) or not name.strip():
        raise ValueError(f"{what}: row {place + 1} has no name; name every row, so that messages and results can tell it")
    return name.strip()


def as_holes(table: Any, home: UnitSet) -> tuple[Hole, ...]:
    """Holes from the top down; a top that is missing is the bottom of the one above."""
    holes: list[Hole] = []
    for place, row in enumerate(records_of(table, "holes", HOLES)):
        name = _named(row, "holes", place)
        called, kind = f"hole {name!r}", row.get("kind")
        cells = _cells(row, called, HOLES, home)
        _needed(cells, called, HOLES, home, "bottom_measured_depth", "inside_diameter")
        if kind not in KINDS:
            raise ValueError(f"{called}: kind {kind!r} is unknown; choose {', '.join(KINDS[:-1])} or {KINDS[-1]}")
        top = _or(cells["top_measured_depth"], holes[-1].bottom if holes else 0.0)
        holes.append(
            Hole(
                name, kind, top, cells["bottom_measured_depth"], cells["inside_diameter"],
                _or(cells["washout"], 0.0), _or(cells["eccentricity"], 0.0),
            )
        )  # fmt: skip
    return tuple(holes)


def as_string(table: Any, home: UnitSet) -> tuple[Part, ...]:
    """Parts from the bit up."""
    rows = records_of(table, "string", STRING)
    parts = []
    for place, row in enumerate(rows):
        name = _named(row, "string", place)
        called = f"part {name!r}"
        cells = _cells(row, called, STRING, home)
        _needed(cells, called, STRING, home, "outside_diameter", "inside_diameter")
        if isnan(cells["length"]) and place < len(rows) - 1:
            raise ValueError(
                f"{called}: length is missing in row {place + 1} of {len(rows)}; list the parts from the bit up: "
                f"only the last, which reaches the surface, may be without. Give it in {home.unit('length')}"
            )
        joints = [n for n in STRING if n.startswith("joint_")]
        if any(not isnan(cells[n]) for n in joints):
            _needed(cells, f"{called} has tool joints", STRING, home, "joint_diameter", "joint_length", "joint_spacing")
            cells["joint_bore"] = _or(cells["joint_bore"], cells["inside_diameter"])
        cells["roughness"] = _or(cells["roughness"], 0.0)
        parts.append(Part(name, **cells))
    return tuple(parts)


def as_bit(table: Any, home: UnitSet) -> Bit | None:
    """One row, or none; nozzles as a list of diameters, or their area."""
    if table is None:
        return None
    rows = records_of(table, "bit", BIT)
    if len(rows) != 1:
        raise ValueError(f"bit: the table has {len(rows)} rows; a string has one bit")
    cells, nozzles = _cells(rows[0], "bit", BIT, home), rows[0].get("nozzles")
    _needed(cells, "bit", BIT, home, "bit_diameter")
    if nozzles is not None and not (isinstance(nozzles, float) and isnan(nozzles)):
        unit = home.unit("nozzle_diameter")
        if isinstance(nozzles, (str, bytes)) or not hasattr(nozzles, "__len__") or not len(nozzles):
            raise ValueError(f"bit: nozzles is {nozzles!r}; give a list of diameters in {unit}, such as [12, 12, 12], or nozzle_area")
        if not isnan(cells["nozzle_area"]):
            raise ValueError("bit: nozzles and nozzle_area are both given; give one of them")
        sizes = numbers(list(nozzles), "bit: nozzles")
        if not all(x > 0 and isfinite(x) for x in sizes):
            raise ValueError(f"bit: nozzles are {list(nozzles)} {unit}; every diameter must be above 0 {unit}")
        cells["nozzle_area"] = float(sum((x * factor("nozzle_diameter", home)) ** 2 for x in sizes)) * pi / 4.0
    return Bit(cells["bit_diameter"], cells["nozzle_area"], _or(cells["discharge_coefficient"], 0.95))


def as_path(table: Any, home: UnitSet) -> tuple[Path, tuple[str, ...]]:
    """The path in m, and what is unlikely of it. No survey is a vertical hole; one without angles is a plan."""
    if table is None:
        return VERTICAL, ()
    rows = records_of(table, "survey", SURVEY)
    listed = [_cells(row, f"survey station {place + 1}", SURVEY, home) for place, row in enumerate(rows)]
    planned = all("inclination" not in row and "azimuth" not in row for row in rows)
    for place, cells in enumerate(listed):
        needed = ("measured_depth", "true_vertical_depth") if planned else ("measured_depth", "inclination")
        _needed(cells, f"survey station {place + 1}", SURVEY, home, *needed)
    told = _out_of_order(listed, home)
    listed.sort(key=lambda cells: cells["measured_depth"])
    _check_stations(listed, planned, home)
    depths, true = ([cells[name] for cells in listed] for name in ("measured_depth", "true_vertical_depth"))
    if planned:
        return PlannedPath(depths, true), told
    path = Survey(depths, [c["inclination"] for c in listed], [c["azimuth"] for c in listed])
    misses = [(abs(t - v), d) for t, v, d in zip(true, path.vertical, depths) if not isnan(t)]
    worst = max(misses, default=(0.0, 0.0))
    if worst[0] <= 1.0:
        return path, told
    return path, (
        *told,
        f"survey: its true vertical depth differs by {shown(worst[0], 'length', home)} from that of its angles at measured depth "
        f"{shown(worst[1], 'length', home)}; the angles are used",
    )


def _out_of_order(listed: list[dict[str, float]], home: UnitSet) -> tuple[str, ...]:
    """A station that stands below a deeper one, told: it may be a slip of the pen."""
    for above, here in zip(listed, listed[1:]):
        if here["measured_depth"] < above["measured_depth"]:
            first, then = (shown(cells["measured_depth"], "length", home) for cells in (above, here))
            return (f"survey: the station at measured depth {then} stands below that at {first}; they were put in order of depth: check that number",)
    return ()


def _check_stations(listed: list[dict[str, float]], planned: bool, home: UnitSet) -> None:
    """Of sorted stations, the first thing that cannot be."""
    if len(listed) < 2:
        raise ValueError("survey: it has 1 station; a path needs two or more, or no survey for a vertical hole")
    if listed[0]["measured_depth"] != 0.0:
        starts = shown(listed[0]["measured_depth"], "length", home)
        raise ValueError(f"survey: it starts at measured depth {starts}; add the station at 0 and those that lead from there to {starts}")
    for above, here in zip([None, *listed], listed):
        where = f"survey station at measured depth {shown(here['measured_depth'], 'length', home)}"
        depth, true = here["measured_depth"], here["true_vertical_depth"]
        if above and depth <= above["measured_depth"]:
            raise ValueError(f"{where} is there twice; keep one")
        if true > depth * (1 + 1e-12):
            told = f"true vertical depth {shown(true, 'length', home)} is greater than the measured depth"
            raise ValueError(f"{where}: {told}; check that the two columns are not swapped, and their datum")
        if planned:
            if not above and true != 0.0:
                raise ValueError(f"{where}: true vertical depth is {shown(true, 'length', home)}; it is 0 where the measured depth is 0")
            if above and not -1e-9 <= true - above["true_vertical_depth"] <= (depth - above["measured_depth"]) * (1 + 1e-9):
                before, along = shown(above["true_vertical_depth"], "length", home), shown(depth - above["measured_depth"], "length", home)
                raise ValueError(
                    f"{where}: true vertical depth goes from {before} to {shown(true, 'length', home)} on {along} of hole; "
                    "it must not rise, nor fall by more than that: check both columns"
                )
            continue
        if not 0.0 <= here["inclination"] <= 180.0:
            raise ValueError(f"{where}: inclination {here['inclination']:g} degrees is outside 0 to 180 degrees from vertical; check the column")
        if not -360.0 <= here["azimuth"] <= 360.0 and (here["inclination"] > 0.0 or not isnan(here["azimuth"])):
            told = "azimuth is missing" if isnan(here["azimuth"]) else f"azimuth {here['azimuth']:g} degrees is outside -360 to 360 degrees"
            raise ValueError(f"{where}: {told}; give it in degrees (the same at every station for a hole in one vertical plane)")
