"""Reading a table of mud checks through a mapping."""

from typing import Any

import numpy as np
import pandas as pd

from .cells import Parsed, parse_numbers, parse_texts, parse_times
from .columns import find
from .mapping import ColumnMapping, Mapping
from .sources import NOT_CALCULATED, PERCENT, RawColumn, RawTable, load, problem
from .table import LOG, PROBLEM, Records, in_order, table_of
from .units_of import UnitSet, convert, kept_in, resolve, unit_set


def read(source: Any, mapping: Mapping, *, units: str | UnitSet = "field", name: str = "") -> Records:
    """Reads a table of mud checks: a .csv, .xlsx or .parquet file, a pandas DataFrame or any other data frame.

    `mapping` says which column is which, in which unit (see `Mapping`; `suggest_mapping` proposes one). `units`: "field",
    "metric", "si" or a unit set; every number is converted to it. `name`: what the table is called in `file`, else the
    file's name.

    A cell that cannot be read (text among numbers, an uncertain decimal comma, an impossible date, a formula never
    calculated) becomes missing and is listed in `.problems`; a column without a known unit likewise, as a whole. No row is
    dropped; only the wholly blank rows of a file are left out, and listed. A heading the mapping names and the table lacks is an error.
    In a frame the headings are row 1 and the first row of data is row 2.

        checks = read("well.csv", Mapping({"measured_depth": "MD [m]", "mud_density": "MW [g/cm3]"}), units="metric")
        checks.data["mud_density"]        # kg/m3
    """
    if not isinstance(mapping, Mapping):
        raise TypeError(
            f"mapping is a {type(mapping).__name__}: give a Mapping (of a suggestion, its .mapping, once looked at)"
        )
    chosen = unit_set(units)
    table = load(source, mapping, name)
    _check_headings(table, mapping)
    problems, log = table.problems, list[dict[str, Any]]()
    data: dict[str, Any] = {"file": np.full(len(table.rows), table.file, object), "row": table.rows}
    raw, kept_units, source_units = dict(data), dict[str, str](), dict[str, str]()
    for target in in_order(mapping.columns, ()):
        settings = mapping.settings(target)
        column = _column(table, settings)
        parsed = _parse(target, column, settings)
        if find(target).kind == "number":
            unit, refusal = _unit(table, target, column, settings, problems)
            kept_units[target] = kept_in(find(target), chosen)
            if refusal:
                parsed.values[:] = np.nan
            else:
                _refuse_percent(parsed, column, unit)
                source_units[target] = unit
                parsed.values = convert(parsed.values, unit, kept_units[target])
        data[target], raw[target] = parsed.values, column.text
        _report(table, target, column, parsed, problems, log)
    for heading in mapping.keep:
        kept_column = table.column(heading)
        assert kept_column is not None
        data[heading] = parse_texts(kept_column.text, kept_column.typed, ColumnMapping(heading)).values
        raw[heading] = kept_column.text
    used = {heading for c in mapping.columns.values() for heading in (c.source, c.clock)} | set(mapping.keep)
    unused = tuple(c.heading for c in table.columns if c.heading not in used and c.name not in used)
    return Records(
        pd.DataFrame(data), pd.DataFrame(raw), kept_units, table_of(problems, PROBLEM), table_of(log, LOG),
        {table.file: source_units}, mapping.keep, {table.file: unused}, chosen,
    )  # fmt: skip


def _check_headings(table: RawTable, mapping: Mapping) -> None:
    wanted = [(target, c.source) for target, c in mapping.columns.items() if c.source]
    wanted += [("keep", heading) for heading in mapping.keep]
    wanted += [(target, c.clock) for target, c in mapping.columns.items() if c.clock]
    lacking = [f"{heading!r} (for {target})" for target, heading in wanted if table.column(heading) is None]
    if lacking:
        present = ", ".join(repr(c.heading) for c in table.columns)
        raise ValueError(
            f"{table.file}: has no column {', '.join(lacking)}. Present in row {table.header_row}: {present}. "
            "Correct source in the mapping, or its header_rows, sheet or delimiter"
        )


def _column(table: RawTable, settings: ColumnMapping) -> RawColumn:
    if settings.constant:
        text = np.full(len(table.rows), settings.constant, object)
        return RawColumn("", "", "", text, np.full(len(text), np.nan))
    column = table.column(settings.source)
    assert column is not None
    clock = table.column(settings.clock) if settings.clock else None
    if clock is None:
        return column
    gone = {token.casefold() for token in settings.missing} | {""}
    joined = [
        f"{day} {hour}".strip() if day.strip().casefold() not in gone else day
        for day, hour in zip(column.text, clock.text, strict=True)
    ]
    text = np.empty(len(joined), object)
    text[:] = joined
    return RawColumn(f"{column.heading} and {clock.heading}", column.name, "", text, column.typed, column.notes)


def _parse(target: str, column: RawColumn, settings: ColumnMapping) -> Parsed:
    known = find(target)
    if known.kind == "text":
        return parse_texts(column.text, column.typed, settings)
    if known.kind == "time":
        return parse_times(column.text, column.typed, settings)
    return parse_numbers(column.text, column.typed, settings, fractions=known.quantity == "diameter")


def _unit(
    table: RawTable, target: str, column: RawColumn, settings: ColumnMapping, problems: list[dict[str, Any]]
) -> tuple[str, str]:
    """Unit of the column in the table and "", or the reason why there is none; problems of the whole column are told here."""
    known = find(target)
    unit, refusal = resolve(known, settings.unit or column.unit)
    here: dict[str, Any] = {"file": table.file, "row": table.header_row, "column": target, "source": column.heading}
    if refusal:
        what = f"set unit for {target} in the mapping; the whole column is missing until then"
        problems.append(problem(**here, raw=settings.unit or column.unit, reason=refusal, what_to_do=what))
    elif settings.unit and column.unit and resolve(known, column.unit)[0] != unit:
        reason = f"the table says {column.unit!r}, the mapping {settings.unit!r}: the mapping's was used"
        problems.append(
            problem(**here, raw=column.unit, reason=reason, what_to_do="make sure, and say why in the mapping's note")
        )
    return unit, refusal


def _refuse_percent(parsed: Parsed, column: RawColumn, unit: str) -> None:
    if "%" in unit:
        for i in (i for i, note in column.notes.items() if note == PERCENT):
            parsed.values[i], parsed.reason[i] = np.nan, f"{PERCENT}: {column.text[i]} stored"
            parsed.advice[i] = "set unit = 'fraction' in the mapping, or store percent as plain numbers"


def _report(
    table: RawTable,
    target: str,
    column: RawColumn,
    parsed: Parsed,
    problems: list[dict[str, Any]],
    log: list[dict[str, Any]],
) -> None:
    def cell(i: int) -> dict[str, Any]:
        return {"file": table.file, "row": int(table.rows[i]), "column": target, "raw": column.text[i]}

    for i in map(int, np.flatnonzero(parsed.reason != "")):
        problems.append(problem(**cell(i), source=column.heading, reason=parsed.reason[i], what_to_do=parsed.advice[i]))
    for i, note in column.notes.items():
        if note == NOT_CALCULATED:
            what = "open the workbook in a spreadsheet program and save it, so that the values are stored"
            problems.append(problem(**cell(i), source=column.heading, reason=note, what_to_do=what))
        elif note != PERCENT:
            log.append(
                cell(i)
                | {"step": "reading", "rule": "merged cell", "before": "", "after": column.text[i], "reason": note}
            )
    gone = None if find(target).kind != "number" else np.nan
    for i in map(int, np.flatnonzero(parsed.replaced != "")):
        entry = {"step": "reading", "rule": "stands for missing", "before": column.text[i], "after": gone}
        log.append(cell(i) | entry | {"reason": parsed.replaced[i]})
