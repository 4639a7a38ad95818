"""Checks held against typical ranges: below, inside, above, or not judged and why."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from html import escape
from typing import Any

import numpy as np

from lutum.diagnosis.observing import Observable, Readings, big, convert, find, set_of, with_unit
from lutum._columns import is_frame

from .tables import Range, Table, shipped

__all__ = ["ABOVE", "BELOW", "Finding", "Held", "INSIDE", "NOT_JUDGED", "hold"]

BELOW, INSIDE, ABOVE, NOT_JUDGED = "below", "inside", "above", "not judged"
ROUND_OFF = 1e-9
TYPICAL = "Typical is not a limit: see who says so before anything is changed."
LEFT = "'text-align:left'"
NAMES = ["check", "observable", "fluid", "value", "low", "high", "unit", "side", "sentence", "trust", "mark", "source"]


@dataclass(frozen=True, slots=True)
class Finding:
    """A reading against one row of the table, in the units of the check. NaN where there is no value or no bound."""

    observable: str
    fluid: str
    value: float
    low: float
    high: float
    unit: str
    side: str
    sentence: str
    trust: str
    mark: str
    source: str

    def __str__(self) -> str:
        return self.sentence


@dataclass(frozen=True, slots=True, repr=False)
class Held:
    """What a check showed: `findings`, a row of the table each, also those inside and those not judged."""

    findings: tuple[Finding, ...]

    def __iter__(self) -> Iterator[Finding]:
        return iter(self.findings)

    def __len__(self) -> int:
        return len(self.findings)

    @property
    def outside(self) -> tuple[Finding, ...]:
        """Those below or above their range."""
        return tuple(f for f in self.findings if f.side in (BELOW, ABOVE))

    @property
    def not_judged(self) -> tuple[Finding, ...]:
        """Those that lacked a reading or lie where the range does not hold."""
        return tuple(f for f in self.findings if f.side == NOT_JUDGED)

    def _counts(self) -> str:
        inside = len(self.findings) - len(self.outside) - len(self.not_judged)
        return f"{len(self.outside)} outside, {inside} inside, {len(self.not_judged)} not judged, of {len(self.findings)} typical ranges."

    def _unread(self) -> str:
        words = dict.fromkeys(find(f.observable).words for f in self.not_judged if np.isnan(f.value))
        return f"No reading of {', '.join(words)}." if words else ""

    def __str__(self) -> str:
        lines = [self._counts()]
        lines += [f"- {f.sentence}" for f in (*self.outside, *(f for f in self.not_judged if not np.isnan(f.value)))]
        lines += [f"- {self._unread()}"] if self._unread() else []
        return "\n".join([*lines, TYPICAL])

    __repr__ = __str__

    def _repr_html_(self) -> str:
        """All that has a reading, those outside first; who says so stands in the last column."""
        order = {BELOW: 0, ABOVE: 0, INSIDE: 1, NOT_JUDGED: 2}
        read = sorted((f for f in self.findings if not np.isnan(f.value)), key=lambda f: order[f.side])
        heads = "".join(f"<th style='text-align:left'>{h}</th>" for h in ("", "value", "typical", "", "who says so, and how far to trust it"))
        rows = ""
        for f in read:
            span = _span(f.low, f.high, f.unit) if f.side != NOT_JUDGED else "does not hold here"
            by = "; ".join(x for x in (f.source, f.trust) if x)
            cells = (big(find(f.observable).words), with_unit(_number(f.value), f.unit), span, f.side, by)
            weight = " style='font-weight:bold'" if order[f.side] == 0 else ""
            rows += f"<tr{weight}>{''.join(f'<td style={LEFT}>{escape(x)}</td>' for x in cells)}</tr>"
        return f"<p>{self._counts()} {escape(self._unread())}</p><table><tr>{heads}</tr>{rows}</table><p>{TYPICAL}</p>"

    def frame(self) -> Any:
        """A pandas frame, a row a finding."""
        import pandas as pd

        return pd.DataFrame([asdict(f) for f in self.findings], columns=NAMES[1:])


def hold(checks: Any, table: Table | None = None, *, fluid_type: str, units: Any = None) -> Any:
    """A check, or a frame of checks, against the ranges of a fluid type.

    `checks`: a mapping, a row of a frame or an object with `.values()` gives a `Held`; a frame gives a tidy frame: a row a check and
    range, `check` its index label, with observable, fluid, value, low, high, unit, side, sentence, trust, mark, source. Nothing is left out:
    what lacks a reading stands there as "not judged". `table`: `shipped()` unless given. `units`: the unit set of the
    values, `lutum.field` unless given. A type's own rows take the place of the general ones of its family on the same observable.

        hold(check, fluid_type="gypsum").outside
        hold(checks, fluid_type="water_base").query("side == 'above'")
    """
    unit_set = set_of(units)
    used = shipped() if table is None else table
    single = not is_frame(checks)
    readings = Readings.of_check(checks, unit_set) if single else Readings.of_frame(checks, unit_set, "the frame")
    columns = [_held(row, used.fluid(row.fluid).words, readings) for row in used.of(fluid_type)]
    return Held(tuple(_finding(column, 0) for column in columns)) if single else _frame(columns, checks.index)


@dataclass(frozen=True, slots=True)
class _Column:
    """One row of the table against every check."""

    row: Range
    unit: str
    value: Any
    low: Any
    high: Any
    side: Any
    sentence: list[str]


def _held(row: Range, fluid: str, readings: Readings) -> _Column:
    seen = row.seen()
    value = readings.numbers(seen, row.unit)
    low, high = (np.full(readings.rows, np.nan if x is None else x, float) for x in (row.low, row.high))
    holds, why = np.ones(readings.rows, bool), ""
    if row.per:
        per = readings.numbers(find(row.per), row.per_unit)
        # A slope of 0 must not make a bound missing where only the domain is.
        low, high = low + (row.low_slope * per if row.low_slope else 0.0), high + (row.high_slope * per if row.high_slope else 0.0)
        holds, why = _holds(row, per), _domain(row, readings.unit_set)
    room_low, room_high = (ROUND_OFF * np.maximum(np.abs(x), np.abs(value)) for x in (low, high))
    with np.errstate(invalid="ignore"):
        side = np.where(value < low - room_low, BELOW, np.where(value > high + room_high, ABOVE, INSIDE))
    side = np.where(np.isnan(value) | ~holds, NOT_JUDGED, side)
    unit = seen.unit_in(readings.unit_set)
    value, low, high = (np.asarray(convert(seen, x, row.unit, unit), float) for x in (value, low, high))
    return _Column(row, unit, value, low, high, side, _sentences(row, fluid, unit, side, [value, low, high], why))


def _holds(row: Range, per: Any) -> Any:
    room = ROUND_OFF * np.abs(per)
    inside = np.isfinite(per)
    if row.per_low is not None:
        inside &= per >= row.per_low - room
    return inside if row.per_high is None else inside & (per <= row.per_high + room)


def _domain(row: Range, unit_set: Any) -> str:
    per = find(row.per)
    unit = per.unit_in(unit_set)
    ends = [f"{word} {with_unit(_number(float(convert(per, x, row.per_unit, unit))), unit)}"
            for word, x in (("from", row.per_low), ("to", row.per_high)) if x is not None]  # fmt: skip
    return f"it holds for {per.words} {' '.join(ends)}" if ends else f"it goes with {per.words}"


def _sentences(row: Range, fluid: str, unit: str, side: Any, shown: list[Any], why: str) -> list[str]:
    name = big(row.seen().words)
    by = "; ".join(x for x in (row.mark if not row.trust.startswith(row.mark) else "", row.source, row.trust) if x)
    made = []
    for s, value, low, high in zip(side.tolist(), *(x.tolist() for x in shown), strict=True):
        if s == NOT_JUDGED:
            beyond = f"{with_unit(_number(value), unit)}, but {why}, which is not the case or not known"
            reason = "no reading" if np.isnan(value) else beyond
            made.append(f"{name}: {reason}; not judged against {_span(low, high, unit)} ({fluid}; {by}).")
        else:
            made.append(f"{name} {with_unit(_number(value), unit)} is {s} {_span(low, high, unit)}, typical of {fluid} ({by}).")
    return made


def _span(low: float, high: float, unit: str) -> str:
    if np.isnan(low) and np.isnan(high):
        return "its range"
    if np.isnan(low):
        return f"at most {with_unit(_number(high), unit)}"
    return f"at least {with_unit(_number(low), unit)}" if np.isnan(high) else f"{_number(low)} to {with_unit(_number(high), unit)}"


def _number(x: float) -> str:
    return f"{x:.4g}" if abs(x) < 1e4 else f"{x:,.0f}"


def _finding(column: _Column, i: int) -> Finding:
    row = column.row
    return Finding(
        row.seen().name, row.fluid, float(column.value[i]), float(column.low[i]), float(column.high[i]), column.unit, str(column.side[i]),
        column.sentence[i], row.trust, row.mark, row.source,
    )  # fmt: skip


def _frame(columns: list[_Column], index: Any) -> Any:
    """Check by check, in the order of the table."""
    import pandas as pd

    rows = len(index)
    order = np.arange(len(columns) * rows).reshape(len(columns), rows).T.ravel()

    def over(name: str) -> Any:
        return np.concatenate([getattr(c, name) for c in columns])[order] if columns else np.empty(0)

    def each(values: list[str]) -> Any:
        return np.tile(np.array(values, object), rows)

    made = {
        "check": index.repeat(len(columns)), "observable": each([c.row.seen().name for c in columns]), "fluid": each([c.row.fluid for c in columns]),
        "value": over("value"), "low": over("low"), "high": over("high"), "unit": each([c.unit for c in columns]),
        "side": over("side").astype(object), "sentence": np.array([c.sentence for c in columns], object).T.ravel(),
        "trust": each([c.row.trust for c in columns]), "mark": each([c.row.mark for c in columns]), "source": each([c.row.source for c in columns]),
    }  # fmt: skip
    return pd.DataFrame(made, columns=NAMES)
