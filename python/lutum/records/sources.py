"""Tables as read: CSV, Excel, Parquet or a frame, every cell as text, with its row as a spreadsheet counts it."""

import csv
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from lutum import units

from .mapping import Mapping

NOT_CALCULATED = "a formula that was never calculated"
PERCENT = "the workbook shows this cell in percent and stores a fraction"


@dataclass
class RawColumn:
    """A column as read. `heading` is the whole heading, `name` the heading without the unit in it, `unit` the unit stated."""

    heading: str
    name: str
    unit: str
    text: Any  # text of every cell, "" when empty
    typed: Any  # number of the cells the table held as numbers, else NaN
    notes: dict[int, str] = field(default_factory=dict)  # cells whose text is not what was typed there


@dataclass
class RawTable:
    """A table as read. `rows` counts as a spreadsheet does; `problems` are rows that do not fit the table."""

    file: str
    header_row: int
    rows: Any
    columns: list[RawColumn]
    problems: list[dict[str, Any]]

    def column(self, heading: str) -> RawColumn | None:
        """The column of this heading, with or without the unit in it."""
        for whole in (True, False):
            for column in self.columns:
                if heading.strip() == (column.heading if whole else column.name):
                    return column
        return None


@dataclass
class _Grid:
    """Cells of a sheet as Python values, row by row from the sheet's first row, and notes by (row, column)."""

    cells: list[list[Any]]
    notes: dict[tuple[int, int], str] = field(default_factory=dict)
    blank_rows_count: bool = False  # as in a frame; in a file a blank row is layout, not a check


def load(source: Any, layout: Mapping, name: str = "") -> RawTable:
    """Reads a table with the layout of the mapping (its header rows, unit row, sheet, delimiter, encoding)."""
    problems: list[dict[str, Any]] = []
    if isinstance(source, (str, Path)):
        path = Path(source)
        file = name or path.name
        if not path.is_file():
            raise FileNotFoundError(f"{path}: no such file")
        kind = path.suffix.lower()
        if kind in (".csv", ".txt", ".tsv"):
            grid = _read_text(path, layout, file, problems)
        elif kind in (".xlsx", ".xlsm"):
            grid = _read_workbook(path, layout.sheet)
        elif kind in (".parquet", ".pq"):
            grid = _from_frame(pd.read_parquet(path))
        else:
            raise ValueError(
                f"{path.name}: tables are read from .csv, .txt, .tsv, .xlsx, .xlsm and .parquet files, or from a frame"
            )
    else:
        file = name or "frame"
        grid = _from_frame(source)
    return _table(grid, layout, file, problems)


def _read_text(path: Path, layout: Mapping, file: str, problems: list[dict[str, Any]]) -> _Grid:
    data = path.read_bytes()
    encoding = layout.encoding or ("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        if layout.encoding:
            raise ValueError(
                f"{file}: is not {encoding} text (byte {error.start}); set encoding in the mapping"
            ) from error
        text = data.decode("cp1252", errors="replace")
        what = "check letters outside English, and set encoding in the mapping"
        problems.append(problem(file, None, reason="not UTF-8 text; read as cp1252", what_to_do=what))
    text = text.rstrip("\x1a")
    header = "\n".join(text.splitlines()[: max(layout.header_rows)])
    delimiter = layout.delimiter or Counter({mark: header.count(mark) for mark in ",;\t|"}).most_common(1)[0][0]
    return _Grid([list(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)])


def _read_workbook(path: Path, sheet: str) -> _Grid:
    import openpyxl  # type: ignore[import-untyped,unused-ignore]

    book = openpyxl.load_workbook(path, data_only=True)
    formulas = openpyxl.load_workbook(path, data_only=False)
    names = [s.title for s in book.worksheets]
    if not sheet and len(names) > 1:
        raise ValueError(f"{path.name}: holds the sheets {names}; set sheet in the mapping")
    if sheet and sheet not in names:
        raise ValueError(f"{path.name}: has no sheet {sheet!r}; it holds {names}")
    page = book[sheet or names[0]]
    grid = _Grid([list(row) for row in page.iter_rows(min_row=1, min_col=1, values_only=True)])
    for r, row in enumerate(formulas[page.title].iter_rows(min_row=1, min_col=1)):
        for c, cell in enumerate(row):
            if cell.data_type == "f" and grid.cells[r][c] is None:
                grid.notes[r, c] = NOT_CALCULATED
            elif "%" in (cell.number_format or "") and isinstance(grid.cells[r][c], (int, float)):
                grid.notes[r, c] = PERCENT
    for merged in page.merged_cells.ranges:
        value = grid.cells[merged.min_row - 1][merged.min_col - 1]
        for r in range(merged.min_row - 1, merged.max_row):
            for c in range(merged.min_col - 1, merged.max_col):
                if (r, c) != (merged.min_row - 1, merged.min_col - 1):
                    grid.cells[r][c] = value
                    grid.notes[r, c] = "taken from the merged cell"
    return grid


def _from_frame(frame: Any) -> _Grid:
    if isinstance(frame, pd.DataFrame):
        names, columns = [str(c) for c in frame.columns], [frame.iloc[:, i].tolist() for i in range(frame.shape[1])]
    else:
        import narwhals as nw

        try:
            any_frame: Any = nw.from_native(frame)
        except TypeError as error:
            raise TypeError(
                f"a {type(frame).__name__} is no table: give a file, a pandas DataFrame or another data frame"
            ) from error
        if isinstance(any_frame, nw.LazyFrame):
            any_frame = any_frame.collect()
        names, columns = list(any_frame.columns), [any_frame[c].to_list() for c in any_frame.columns]
    return _Grid([names, *map(list, zip(*columns, strict=True))], blank_rows_count=True)


def _table(grid: _Grid, layout: Mapping, file: str, problems: list[dict[str, Any]]) -> RawTable:
    special = [*layout.header_rows, *([layout.unit_row] if layout.unit_row else [])]
    first = max(special)
    if len(grid.cells) < first:
        raise ValueError(
            f"{file}: has {len(grid.cells)} rows, but header_rows and unit_row of the mapping name row {first}"
        )
    header = [[_text(v).strip() for v in grid.cells[row - 1]] for row in layout.header_rows]
    width = max(len(row) for row in header)
    headings = [" ".join(dict.fromkeys(row[c] for row in header if c < len(row) and row[c])) for c in range(width)]
    stated = [_text(v).strip() for v in grid.cells[layout.unit_row - 1]] if layout.unit_row else []
    kept, cells = _filled_rows(grid, first, width, file, problems)
    columns, seen = [], Counter[str]()
    for c, heading in enumerate(headings):
        if not heading:
            if any(_text(row[c]).strip() for row in cells):
                what = "give the column a heading if it is wanted"
                problems.append(
                    problem(
                        file,
                        layout.header_rows[0],
                        source=f"column {c + 1}",
                        reason="no heading: not read",
                        what_to_do=what,
                    )
                )
            continue
        seen[heading] += 1
        name, unit = split_unit(heading)
        again = f"#{seen[heading]}" if seen[heading] > 1 else ""
        values = [row[c] for row in cells]
        notes = {i: grid.notes[r - 1, c] for i, r in enumerate(kept) if (r - 1, c) in grid.notes}
        unit = (stated[c] if c < len(stated) and stated[c] else "") or unit
        columns.append(
            RawColumn(heading + again, name + again, unit.strip("[]() "), _texts(values), _numbers(values), notes)
        )
    return RawTable(file, layout.header_rows[-1], np.array(kept, dtype=np.int64), columns, problems)


def _filled_rows(
    grid: _Grid, first: int, width: int, file: str, problems: list[dict[str, Any]]
) -> tuple[list[int], list[list[Any]]]:
    """Row numbers and cells of the rows of data, each as long as the headings."""
    cells = grid.cells[first:]
    while not grid.blank_rows_count and cells and all(_text(v).strip() == "" for v in cells[-1]):
        cells.pop()
    rows, filled = [], []
    for number, row in enumerate(cells, start=first + 1):
        if not grid.blank_rows_count and all(_text(v).strip() == "" for v in row):
            problems.append(
                problem(file, number, reason="the row is blank: not read", what_to_do="nothing, or remove the row")
            )
            continue
        extra = [_text(v) for v in row[width:] if _text(v).strip()]
        if extra or len(row) < width:
            reason = f"{len(row)} cells under {width} headings"
            what = "check that the row's cells stand under their headings; a mark inside a cell needs quotes"
            problems.append(problem(file, number, raw=", ".join(extra), reason=reason, what_to_do=what))
        rows.append(number)
        filled.append([*row[:width], *[""] * (width - len(row))])
    return rows, filled


def split_unit(heading: str) -> tuple[str, str]:
    """Heading without its unit, and the unit: always in square brackets, in round ones when it is a known unit.

    >>> split_unit("Density [lb/gal]"), split_unit("Gel (initial)")
    (('Density', 'lb/gal'), ('Gel (initial)', ''))
    """
    for opening, closing in ("[]", "()"):
        start = heading.rfind(opening)
        if start > 0 and heading.endswith(closing):
            unit = heading[start + 1 : -1].strip()
            if opening == "[" or units.resolve(unit) is not None:
                return heading[:start].strip(), unit
    return heading, ""


def problem(
    file: str,
    row: int | None,
    column: str = "",
    source: str = "",
    raw: str = "",
    reason: str = "",
    what_to_do: str = "",
) -> dict[str, Any]:
    """A row of `Records.problems`."""
    return dict(file=file, row=row, column=column, source=source, raw=raw, reason=reason, what_to_do=what_to_do)


def _text(value: Any) -> str:
    if isinstance(value, str):
        return value
    if value is None or value is pd.NaT or value is pd.NA:
        return ""
    if isinstance(value, (float, np.floating)):
        return "" if np.isnan(value) else str(value)
    if isinstance(value, datetime):
        return value.isoformat() if value.time() != time(0) or value.tzinfo else value.date().isoformat()
    if isinstance(value, (date, time)):
        return value.isoformat()
    return str(value)


def _texts(values: Sequence[Any]) -> Any:
    array = np.empty(len(values), object)
    array[:] = [_text(v) for v in values]
    return array


def _numbers(values: Sequence[Any]) -> Any:
    return np.array(
        [float(v) if isinstance(v, (int, float, np.number)) and not isinstance(v, bool) else np.nan for v in values],
        dtype=float,
    )
