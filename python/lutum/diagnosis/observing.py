"""What rules and ranges can look at, and how it is read out of a check or a frame of checks.

The table is `observables.toml`. Values come in the units of a unit set and are handed on in the unit asked for.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from lutum import units
from lutum._columns import is_frame, numbers

__all__ = [
    "Observable", "Readings", "big", "convert", "convert_step", "find", "is_missing", "observables", "set_of", "strangers", "unit_fits",
    "with_unit",
]  # fmt: skip

NO = ("", "no", "none", "false", "0", "n", "not seen", "absent")
# Dial degrees stand for these units by the convention of the test.
DIAL_UNIT = {"viscosity": "cP", "stress": "lb/100 ft2"}


@dataclass(frozen=True, slots=True)
class Observable:
    """A reading, a derived value, a flag or a word of a check. `resolution` in `unit`, or `resolution_percent` of the reading."""

    name: str
    words: str
    kind: str = "number"
    quantity: str = "number"
    show: str = ""
    also: tuple[str, ...] = ()
    dial: Mapping[str, float] = field(default_factory=dict, hash=False)
    resolution: float = 0.0
    resolution_percent: float = 0.0
    unit: str = ""
    source: str = ""

    def names(self) -> tuple[str, ...]:
        """Every name it goes by in a check, the dial readings it can be made of included."""
        return (self.name, *self.also, *self.dial)

    def unit_in(self, unit_set: Any) -> str:
        """The unit of this set, as one writes it; "" for a plain number."""
        return self.show or ("" if self.quantity == "number" else str(unit_set.unit(self.quantity)))


@cache
def observables() -> dict[str, Observable]:
    """Every observable by its name."""
    with (Path(__file__).parent / "observables.toml").open("rb") as file:
        tables = tomllib.load(file)
    made = {}
    for name, table in tables.items():
        given: dict[str, Any] = {**table, "name": name, "also": tuple(table.get("also", ()))}
        made[name] = Observable(**given)
    return made


@cache
def _by_any_name() -> dict[str, Observable]:
    named = {name: o for o in observables().values() for name in (o.name, *o.also)}
    for o in observables().values():  # the end of a long name is what one would write first
        named.setdefault(o.name.rpartition(".")[2], o)
    return named


def find(name: str) -> Observable:
    """The observable of this name or of another of its names. ValueError with the nearest names when there is none."""
    known = _by_any_name()
    if name in known:
        return known[name]
    near = get_close_matches(name, known, n=3, cutoff=0.6)
    hint = f"; did you mean {' or '.join(near)}?" if near else ""
    raise ValueError(f"no observable is called {name!r}{hint} lutum.diagnosis.observables() lists all")


def strangers(names: Any) -> list[str]:
    """Sentences for names that are near an observable's, but not one: a slip of the pen would otherwise pass unseen."""
    known = {n for o in observables().values() for n in (*o.names(), o.name.rpartition(".")[2])}
    found = []
    for name in (str(n) for n in names):
        near = get_close_matches(name, known, n=1, cutoff=0.85)
        if name not in known and near and not _is_another_reading(name, near[0]):
            found.append(f"{name!r} was not used: no observable has this name; {near[0]!r} is near.")
    return found


def _is_another_reading(name: str, near: str) -> bool:
    """Names that differ in a number or in their calculation are two readings, not a slip."""
    digits = "".join(c for c in name if c.isdigit()) != "".join(c for c in near if c.isdigit())
    return digits or ("." in name and name.count(".") == 2)


def big(text: str) -> str:
    """As the start of a sentence; but pH stays pH."""
    return text if text[1:2].isupper() else text[:1].upper() + text[1:]


def with_unit(number: str, unit: str) -> str:
    """A number and its unit: 9.6, 12 lb/gal, 2 x 1/32 in."""
    return f"{number} x {unit}" if unit[:2] == "1/" else f"{number} {unit}".rstrip()


def unit_fits(observable: Observable, unit: str) -> bool:
    """Whether a unit measures what the observable is; a plain number takes none."""
    if observable.quantity == "number":
        return unit == ""
    if observable.show and unit == observable.show:
        return True
    symbol = units.resolve(unit)
    return symbol is not None and symbol in units.quantity_units(observable.quantity)


def _symbol(observable: Observable, unit: str) -> str:
    """The unit as lutum.units knows it: mL/mL is a plain ratio."""
    return "m3/m3" if observable.show and unit == observable.show else unit


def convert(observable: Observable, values: Any, from_unit: str, to_unit: str) -> Any:
    """Values of an observable in another of its units."""
    if observable.quantity == "number" or from_unit == to_unit:
        return values
    return units.convert(values, _symbol(observable, from_unit), _symbol(observable, to_unit))


def convert_step(observable: Observable, step: float, from_unit: str, to_unit: str) -> float:
    """A difference of two values in another unit: 9 degF are 5 degC."""
    if observable.quantity == "number" or from_unit == to_unit:
        return step
    return float(convert(observable, step, from_unit, to_unit)) - float(convert(observable, 0.0, from_unit, to_unit))


def set_of(units_of: Any) -> Any:
    """The unit set meant by `lutum.metric`, by "metric", by a set of one's own, or by None (field)."""
    import lutum

    if units_of is None or isinstance(units_of, str):
        return lutum.unit_set(units_of or "field")
    return getattr(units_of, "units_of_set", units_of)


def table_of(check: Any) -> dict[str, Any]:
    """Name to value of a mapping, of a row of a frame, or of an object whose .values() gives such a mapping."""
    if isinstance(check, Mapping):
        return {str(k): v for k, v in check.items()}
    if hasattr(check, "items") and hasattr(check, "index") and not is_frame(check):
        return {str(k): v for k, v in check.items()}
    given = check.values() if callable(getattr(check, "values", None)) else None
    if not isinstance(given, Mapping):
        raise TypeError(f"a check is a mapping of name to value, a row of a frame, or has .values() that gives one, not {type(check).__name__}")
    return {str(k): v for k, v in given.items()}


def columns_of(frame: Any) -> dict[str, Any]:
    """Name to column of a frame, a mapping of lists, or a list of checks."""
    if is_frame(frame):
        return {str(name): frame[name] for name in frame.columns}
    if isinstance(frame, Mapping):
        return {str(k): list(v) for k, v in frame.items()}
    rows = [table_of(row) for row in frame]
    return {name: [row.get(name) for row in rows] for name in dict.fromkeys(n for row in rows for n in row)}


def is_missing(x: Any) -> bool:
    """None, NaN and what pandas writes for them."""
    return x is None or type(x).__name__ in ("NAType", "NaTType") or (isinstance(x, (float, np.floating)) and bool(np.isnan(x)))


class Readings:
    """Columns of checks in the units of a set; `rows` values each, missing as NaN."""

    def __init__(self, columns: Mapping[str, Any], rows: int, unit_set: Any, whose: str) -> None:
        self.columns, self.rows, self.unit_set, self.whose = columns, rows, unit_set, whose

    @classmethod
    def of_check(cls, check: Any, unit_set: Any) -> "Readings":
        return cls({k: [v] for k, v in table_of(check).items()}, 1, unit_set, "the check")

    @classmethod
    def of_frame(cls, frame: Any, unit_set: Any, whose: str = "the trend") -> "Readings":
        columns = columns_of(frame)
        rows = len(frame) if is_frame(frame) else max((len(c) for c in columns.values()), default=0)
        return cls(columns, rows, unit_set, whose)

    def numbers(self, observable: Observable, unit: str) -> Any:
        """Every row's value in `unit`: of its own name, where that is missing of another, at last of the dial."""
        found = np.full(self.rows, np.nan)
        own = observable.unit_in(self.unit_set)
        for name in self._present(observable):
            values = np.asarray(convert(observable, self._column(name), own, unit), float)
            found = np.where(np.isnan(found), values, found)
        if observable.dial and np.isnan(found).any() and all(self._dial_name(n) for n in observable.dial):
            degrees = sum(factor * self._column(self._dial_name(n)) for n, factor in observable.dial.items())
            values = np.asarray(convert(observable, degrees, DIAL_UNIT[observable.quantity], unit), float)
            found = np.where(np.isnan(found), values, found)
        return found

    def _present(self, observable: Observable) -> Iterator[str]:
        short = observable.name.rpartition(".")[2]
        for name in dict.fromkeys((observable.name, *observable.also, short)):
            if name in self.columns:
                yield name

    def _dial_name(self, name: str) -> str:
        """A dial reading as a check or as a table of records calls it."""
        return next((n for n in (name, name.removeprefix("dial_")) if n in self.columns), "")

    def _column(self, name: str) -> Any:
        column = numbers(self.columns[name], f"{self.whose}: {name}")
        if np.shape(column) != (self.rows,):
            raise ValueError(f"{self.whose}: {name} has {np.size(column)} values where {self.rows} were expected")
        return column

    def flag(self, observable: Observable) -> tuple[bool | None, str]:
        """Whether a flag is set in the last row (None when nothing is said), and the word written."""
        value = self.word(observable)
        if value is None:
            return None, ""
        if isinstance(value, (bool, np.bool_, int, float, np.number)):
            return bool(value), ""
        text = str(value).strip()
        return text.lower() not in NO, text

    def word(self, observable: Observable) -> Any:
        """What is written in the last row, None when nothing is."""
        values = [self.columns[n] for n in self._present(observable)]
        last = [(v.iloc[-1] if hasattr(v, "iloc") else v[-1]) for v in values if len(v)]
        return next((x for x in last if not is_missing(x)), None)
