"""The mapping: which column of a table is which column of a mud check, in which unit, and what stands for missing.

It is written by a person (or proposed by `suggest_mapping` and looked at), saved as readable TOML or JSON and kept
beside the data. Nothing is guessed that is not in it.
"""

import json
import tomllib
from collections.abc import Iterator
from dataclasses import MISSING, asdict, dataclass, fields
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from .columns import find, is_known


@dataclass(frozen=True)
class ColumnMapping:
    """Where one column comes from and how its cells are to be read.

    `source`: heading in the table; the second column of the same heading is "heading#2". `constant`: the text of every cell
    instead, such as a well's name or the temperature of the readings. `unit`: beats the table's own unit. `decimal`: "." or
    ","; when it is not given the point is the mark, and a column that holds commas is refused. `thousands`: mark between
    groups of three digits. `missing`: whole cells that stand for missing: a number is compared within `tolerance` (in the
    unit of the table), a date as a date, other text without regard to case. `zero_is_missing`: 0 was written for a gap.
    `clock`: heading of the time of day when `source` is the day alone; the two are joined by a space. `date_format`: as for `datetime.strptime`, such as "%d.%m.%Y"; otherwise dates are ISO 8601. `utc`: times carry an
    offset and are kept in UTC. `note`: why, for the next reader.

    >>> ColumnMapping("Mud wt", unit="lb/gal", missing=["-999.25"]).missing
    ('-999.25',)
    """

    source: str = ""
    constant: str = ""
    unit: str = ""
    decimal: str = ""
    thousands: str = ""
    missing: tuple[str, ...] = ()
    tolerance: float = 0.001
    zero_is_missing: bool = False
    clock: str = ""
    date_format: str = ""
    utc: bool = False
    note: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "missing", _texts(self.missing, "missing"))
        if bool(self.source) == bool(self.constant):
            raise ValueError(
                f"give source= (a heading) or constant= (a text), one of the two; got {self.source!r} and {self.constant!r}"
            )
        _check_marks(self.decimal, self.thousands)
        if not self.tolerance >= 0:
            raise ValueError(f"tolerance={self.tolerance!r} must be 0 or more, in the unit of the table")


@dataclass(frozen=True)
class Mapping:
    """How a table is read. `columns`: per known column a heading or a `ColumnMapping`.

    Rows are counted as a spreadsheet counts, from 1. `header_rows`: rows that hold the headings, joined by a space;
    `unit_row`: the row of units, 0 for none; data begin below. `keep`: headings carried along as text. `sheet`: needed when
    a workbook has several. `delimiter`, `encoding`: of a text file; the commonest mark of the heading and UTF-8 when not
    given. `decimal`, `thousands`, `missing`: for all columns that do not say otherwise; `missing` is not applied to depths,
    where 999.25 may be a depth: give it in the depth's own column.

    Example:

        Mapping({"well": "Well", "measured_depth": ColumnMapping("MD", unit="m"), "mud_density": "MW [lb/gal]"})
    """

    columns: dict[str, ColumnMapping]
    header_rows: tuple[int, ...] = (1,)
    unit_row: int = 0
    sheet: str = ""
    delimiter: str = ""
    encoding: str = ""
    decimal: str = ""
    thousands: str = ""
    missing: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    note: str = ""

    def __post_init__(self) -> None:
        columns = {name: ColumnMapping(c) if isinstance(c, str) else c for name, c in self.columns.items()}
        for name in columns:
            find(name)
        known = [name for name in self.keep if is_known(name)]
        if known:
            raise ValueError(
                f"keep={known}: this is a known column, map it instead: {known[0]} = ColumnMapping({known[0]!r}, ...)"
            )
        rows = self.header_rows
        for name, value in (
            ("columns", columns),
            ("header_rows", (rows,) if isinstance(rows, int) else tuple(rows)),
            ("missing", _texts(self.missing, "missing")),
            ("keep", _texts(self.keep, "keep")),
        ):
            object.__setattr__(self, name, value)
        clash = [name for name in self.keep if name in ("file", "row")]
        if clash:
            raise ValueError(
                f"keep={clash} would hide the file and row of the records; rename the heading in the table"
            )
        if not self.header_rows or min(self.header_rows) < 1 or self.unit_row < 0 or self.unit_row in self.header_rows:
            raise ValueError(
                f"header_rows={self.header_rows} and unit_row={self.unit_row}: rows count from 1, and a row is one or the other"
            )
        _check_marks(self.decimal, self.thousands)
        if any(_is_zero(token) for token in self.missing):
            raise ValueError(
                "missing holds 0, which is a reading in many columns: set zero_is_missing in the columns where it is none"
            )

    def settings(self, name: str) -> ColumnMapping:
        """The column's own settings, completed by those for all columns."""
        own = self.columns[name]
        missing = own.missing if find(name).depth else (*own.missing, *self.missing)
        values = asdict(own) | {"missing": missing}
        values["decimal"] = own.decimal or self.decimal
        values["thousands"] = own.thousands or self.thousands
        return ColumnMapping(**values)

    def to_dict(self) -> dict[str, Any]:
        """Only what differs from the defaults, as in the saved file."""
        plain = {k: list(v) if isinstance(v, tuple) else v for k, v in _changed(self).items() if k != "columns"}
        plain["columns"] = {
            name: {k: list(v) if isinstance(v, tuple) else v for k, v in _changed(column).items()}
            for name, column in self.columns.items()
        }
        return plain

    @classmethod
    def from_dict(cls, plain: dict[str, Any]) -> "Mapping":
        """Reads what `to_dict` writes; a ValueError names any unknown key."""
        _check_keys(plain, cls, "the mapping")
        columns = {}
        for name, settings in dict(plain.get("columns", {})).items():
            columns[name] = settings
            if isinstance(settings, dict):
                _check_keys(settings, ColumnMapping, f"column {name!r}")
                columns[name] = ColumnMapping(**settings)
        return cls(**(plain | {"columns": columns}))

    def save(self, path: str | Path) -> None:
        """Writes the mapping as .toml or .json, by the ending of the name."""
        path = Path(path)
        plain = self.to_dict()
        text = "\n".join(_toml(plain)) if _is_toml(path) else json.dumps(plain, indent=2, ensure_ascii=False)
        path.write_text(text + "\n", encoding="utf-8")

    @classmethod
    def load(cls, path: str | Path) -> "Mapping":
        """Reads a saved mapping; errors name the file."""
        path = Path(path)
        text = path.read_text(encoding="utf-8-sig")
        try:
            return cls.from_dict(tomllib.loads(text) if _is_toml(path) else json.loads(text))
        except (ValueError, TypeError) as error:
            raise ValueError(f"{path.name}: {error}") from error


def _is_toml(path: Path) -> bool:
    if path.suffix.lower() not in (".toml", ".json"):
        raise ValueError(f"{path.name}: a mapping is kept in a .toml or .json file")
    return path.suffix.lower() == ".toml"


def _texts(given: Any, name: str) -> tuple[str, ...]:
    if isinstance(given, str):
        raise ValueError(f'{name}={given!r} is one text; give a list such as {name}=["{given}"]')
    return tuple(str(token) for token in given)


def _is_zero(token: str) -> bool:
    try:
        return float(token) == 0.0
    except ValueError:
        return False


def _check_marks(decimal: str, thousands: str) -> None:
    if decimal not in ("", ".", ","):
        raise ValueError(f'decimal={decimal!r}: give "." or ","')
    if thousands and (thousands not in (".", ",", " ", "'") or thousands == (decimal or ".")):
        raise ValueError(
            f"thousands={thousands!r}: give '.', ',', ' ' or \"'\", other than the decimal mark {decimal or '.'!r}"
        )


def _changed(settings: Any) -> dict[str, Any]:
    changed = {}
    for f in fields(settings):
        value = getattr(settings, f.name)
        if f.default is MISSING or value != f.default:
            changed[f.name] = value
    return changed


def _check_keys(plain: dict[str, Any], kind: type, where: str) -> None:
    allowed = [f.name for f in fields(kind)]
    for key in plain:
        if key not in allowed:
            near = get_close_matches(key, allowed, n=1)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            raise ValueError(f"{where} has an unknown entry {key!r}{hint} Possible: {', '.join(allowed)}")


def _toml(plain: dict[str, Any]) -> Iterator[str]:
    # JSON strings, numbers and lists of them are TOML too; only booleans and tables need nothing more than this.
    def line(key: str, value: Any) -> str:
        return f"{key} = {json.dumps(value, ensure_ascii=False)}"

    yield from (line(key, value) for key, value in plain.items() if key != "columns")
    for name, settings in plain["columns"].items():
        yield ""
        yield f"[columns.{json.dumps(name)}]" if "." in name else f"[columns.{name}]"
        yield from (line(key, value) for key, value in settings.items())
