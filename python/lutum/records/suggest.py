"""A proposal for the mapping of a table, with the reasons. It is shown, looked at and corrected; it applies nothing."""

import re
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from lutum import units

from .cells import decimal_evidence, parse_numbers
from .columns import Column, known
from .mapping import ColumnMapping, Mapping
from .sources import RawColumn, RawTable, load
from .units_of import WRITTEN, convert, resolve

SENTINELS = ("-999.25", "-999", "-999.0", "-999.00", "-999.99", "-9999", "-9999.0", "-99999", "9999-12-31", "NaN", "NA", "N/A",
             "n/a", "#N/A", "NULL", "null", "-", "--")  # fmt: skip
# Short names that are looked for inside a heading; other names of one or two letters must be the whole heading.
_SHORT = ("md", "mw", "pv", "yp")


@dataclass(frozen=True, repr=False)
class Suggestion:
    """`mapping`: the proposal. `reasons`: a row a heading: what it was taken for, why, and what to check before use.

    Look at `reasons`, correct `mapping` (or the file it is saved in), then give the mapping to `read`.
    """

    mapping: Mapping
    reasons: pd.DataFrame

    def __repr__(self) -> str:
        return self.reasons.to_string(index=False)


def suggest_mapping(
    source: Any,
    *,
    header_rows: tuple[int, ...] = (1,),
    unit_row: int = 0,
    sheet: str = "",
    delimiter: str = "",
    encoding: str = "",
) -> Suggestion:
    """Proposes a mapping from the headings, the units stated and the cells of a table; see `Suggestion`.

    Units are taken only where the table states them. Where it states none the unit stays empty and `reasons` says in which
    units the values would be usual. Two headings that fit a column equally well are both left out, and named.
    """
    layout = Mapping(
        {}, header_rows=header_rows, unit_row=unit_row, sheet=sheet, delimiter=delimiter, encoding=encoding
    )
    table = load(source, layout)
    rows: list[dict[str, str]] = []
    if not unit_row and _first_row_holds_units(table):
        layout = replace(layout, unit_row=layout.header_rows[-1] + 1)
        table = load(source, layout)
        rows.append(_reason("", "", "", f"row {layout.unit_row} holds units", ""))
    matches = {column.heading: _match(column) for column in table.columns}
    taken: dict[str, ColumnMapping] = {}
    for column in table.columns:
        targets, words, unit = matches[column.heading]
        if not targets:
            rows.append(
                _reason("", column.heading, unit, "no known column is called so", "add it by hand, or name it in keep")
            )
            continue
        rivals = {
            h for h, (others, other_words, _) in matches.items()
            if h != column.heading and set(others) & set(targets) and not (other_words in words and other_words != words)
        }  # fmt: skip
        if len(targets) > 1:
            why = f"{words!r} may be {' or '.join(targets)}"
            rows.append(_reason("", column.heading, unit, why, "choose, or state a unit that tells them apart"))
        elif rivals:
            why = f"{words!r} may be {targets[0]}, but so may {', '.join(sorted(rivals))}"
            rows.append(_reason("", column.heading, unit, why, "choose one"))
        else:
            target = next(c for c in known() if c.name == targets[0])
            taken[target.name], why, check = _settings(target, column, unit)
            rows.append(_reason(target.name, column.heading, unit, f"heading holds {words!r}{why}", check))
    return Suggestion(replace(layout, columns=taken), pd.DataFrame(rows, columns=list(_reason("", "", "", "", ""))))


def _reason(target: str, source: str, unit: str, why: str, to_check: str) -> dict[str, str]:
    return {"target": target, "source": source, "unit": unit, "why": why, "to_check": to_check}


def _words(heading: str) -> str:
    apart = re.sub(r"(?<=[a-z]{2})(?=[A-Z])", " ", heading)
    return " ".join(re.sub(r"[^0-9a-zθ.]+", " ", apart.lower()).split())


def _match(column: RawColumn) -> tuple[list[str], str, str]:
    """Columns this heading fits best, the words it was known by, and the unit stated."""
    words, unit = _words(column.name.split("#")[0]), column.unit
    if not unit:
        words, unit = _unit_at_the_end(re.split(r"[\s_]+", column.name.strip())) or (words, "")
    targets, found = _best(words, unit)
    return targets, found, unit


def _unit_at_the_end(parts: list[str]) -> tuple[str, str] | None:
    """Words and unit of a heading such as density_g_cm3, where they make a known unit and the words fit a column."""
    for count in (3, 2, 1):
        front, last = _words(" ".join(parts[:-count])), parts[-count:]
        for mark in "/", ".", " ":
            unit = mark.join(last)
            if front and units.resolve(unit) is not None and _best(front, unit)[0]:
                return front, unit
    return None


def _best(words: str, unit: str) -> tuple[list[str], str]:
    best: list[str] = []
    longest = ""
    for column in known():
        if unit and column.kind == "number" and resolve(column, unit)[1] and units.resolve(unit) is not None:
            continue
        for name in column.names:
            inside = f" {name} " in f" {words} " and (len(name) > 2 or name in _SHORT)
            if name != words and not inside:
                continue
            if len(name) > len(longest):
                best, longest = [], name
            if len(name) == len(longest) and column.name not in best:
                best.append(column.name)
    return best, longest


def _first_row_holds_units(table: RawTable) -> bool:
    if not len(table.rows):
        return False
    first = [str(c.text[0]).strip("[]() ") for c in table.columns]
    unit = [t for t in first if t and units.resolve(t) is not None and not re.fullmatch(r"[\d.,]+", t)]
    return len(unit) >= 2 and len(unit) * 2 >= sum(bool(t) for t in first)


def _settings(target: Column, column: RawColumn, unit: str) -> tuple[ColumnMapping, str, str]:
    why, check = [""], []
    sentinels = tuple(t for t in SENTINELS if (column.text == t).any())
    settings = ColumnMapping(column.heading, missing=sentinels)
    for token in sentinels:
        check.append(f"{(column.text == token).sum()} cells are {token!r}: taken as missing")
    if target.kind == "time":
        settings, note = _date_settings(settings, column)
        return settings, "", "; ".join([*note, *check])
    if target.kind == "text":
        return settings, "", "; ".join(check)
    decimal, thousands, evidence = decimal_evidence(column.text[np.isnan(column.typed)])
    settings = replace(settings, decimal=decimal, thousands=thousands)
    if evidence:
        check.append(evidence)
    values = parse_numbers(column.text, column.typed, settings, fractions=target.quantity == "diameter").values
    zeros = int((values == 0).sum())
    if zeros and target.zero != "possible":
        check.append(f"{zeros} of {len(values)} cells are 0: set zero_is_missing if 0 was written for a gap")
    if unit:
        refusal = resolve(target, unit)[1]
        why.append(f"the unit {unit} is stated")
        check += [refusal] if refusal else []
        settings = replace(settings, unit="" if refusal or unit == column.unit else unit)
    elif target.needs_unit:
        check.append(_likely_units(target, values))
    return settings, ", ".join(why), "; ".join(check)


def _likely_units(target: Column, values: Any) -> str:
    good = values[np.isfinite(values) & (values != 0)]
    possible = WRITTEN.get(target.quantity, ())
    if not len(good) or not possible or target.usual is None:
        return "no unit is stated: set unit"
    middle, usual = float(np.median(good)), target.usual
    fits = [u for u in possible if usual.low <= convert(middle, u, usual.unit) <= usual.high]
    where = " or ".join(fits) or f"none of {', '.join(possible)}"
    return f"no unit is stated: set unit; the median, {middle:.6g}, would be usual in {where}"


def _date_settings(settings: ColumnMapping, column: RawColumn) -> tuple[ColumnMapping, list[str]]:
    parts = [
        m.groups() for t in column.text if (m := re.fullmatch(r"(\d{1,2})([./-])(\d{1,2})[./-](\d{4})", str(t).strip()))
    ]
    if not parts:
        return settings, []
    mark = parts[0][1]
    day_first, month_first = any(int(p[0]) > 12 for p in parts), any(int(p[2]) > 12 for p in parts)
    if day_first != month_first:
        form = f"%d{mark}%m{mark}%Y" if day_first else f"%m{mark}%d{mark}%Y"
        return replace(settings, date_format=form), [f"dates can only be {form}"]
    return settings, ["dates may be day or month first: set date_format"]
