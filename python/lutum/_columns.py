"""Arrays, Series and frames on their way into a calculation and back, without importing pandas."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from lutum.calculation import Calculation

__all__ = ["Required", "as_columns", "columns_of_frame", "is_frame", "over_frame", "put_index", "result_rows"]


class Required:
    """Stands for an input that has no default; shows the unit to give it in."""

    __slots__ = ("unit",)

    def __init__(self, unit: str) -> None:
        self.unit = unit

    def __repr__(self) -> str:
        return f"<required, {self.unit}>"


def is_frame(x: Any) -> bool:
    return hasattr(x, "columns") and hasattr(x, "__getitem__")


def index_of(x: Any) -> Any:
    """The index of a Series or a frame, None of anything else."""
    return x.index if hasattr(x, "index") and (hasattr(x, "dtype") or hasattr(x, "columns")) else None


def _cell(x: Any) -> float:
    """A cell of a column that is not plainly numeric. Text is no number, even when it reads like one."""
    if x is None or type(x).__name__ in ("NAType", "NaTType"):
        return np.nan
    if isinstance(x, (str, bytes)):
        raise ValueError("text")
    return float(x)


def numbers(x: Any, what: str) -> Any:
    """A float array or number; missing values of any kind as NaN."""
    found = x
    try:
        if isinstance(x, np.ma.MaskedArray):
            return np.ma.filled(x.astype(float), np.nan)
        if hasattr(x, "to_numpy") and getattr(getattr(x, "dtype", None), "kind", "O") in "biuf":
            return x.to_numpy(dtype=float, na_value=np.nan)
        cells = np.asarray(x)
        if cells.dtype.kind in "US" and not hasattr(x, "dtype"):
            cells = np.array(x, object)  # the numbers beside a text stay numbers
        if cells.dtype.kind in "biuf":
            return cells.astype(float, copy=False)
        converted = np.empty(cells.shape)
        for place, found in np.ndenumerate(cells):
            if cells.dtype.kind != "O":
                raise ValueError("no numbers")
            converted[place] = _cell(found)
        return converted
    except (TypeError, ValueError):
        found = found.item() if isinstance(found, np.generic) else found
        hint = "; read the column with lutum.records, which lists the cells that are no numbers" if hasattr(x, "to_numpy") else ""
        raise ValueError(f"{what} must be a number or an array of numbers, not {found!r}{hint}") from None


def as_columns(calculation: "Calculation", args: Sequence[Any]) -> tuple[list[Any], Any]:
    """Every input as a float array, and the index they share (Series of unlike index are an error, not a guess)."""
    index = None
    arrays = []
    for v, a in zip(calculation.inputs, args):
        what = f"{calculation.sheet.id}: {v.name}"
        if isinstance(a, Required):
            raise TypeError(f"{what} ({v.meaning}) is required; give it in {v.unit or 'plain numbers'}")
        if is_frame(a) and not v.is_list:
            raise TypeError(f"{what} is a number or one column, not a frame; a frame with a column for every input comes first and alone")
        own = index_of(a)
        if own is not None:
            if index is not None and not index.equals(own):
                raise ValueError(f"{what} has another index than the Series before it; align them first, for example in one frame")
            index = own
        x = numbers(np.nan if a is None else a, what)
        if v.is_list and x.ndim == 0:
            raise ValueError(f"{what} must be a list, last axis the values of one record, not the single number {a!r}")
        arrays.append(x)
    _raise_for_lists(calculation, arrays)
    _raise_for_rows(calculation, arrays)
    return arrays, index


def _raise_for_lists(calculation: "Calculation", arrays: Sequence[Any]) -> None:
    """Lists of one record are of one length, and not longer than there is room for."""
    first = None
    for v, x in zip(calculation.inputs, arrays):
        if not v.is_list:
            continue
        what, k = f"{calculation.sheet.id}: {v.name}", x.shape[-1]
        if v.length > 1 and k > v.length:
            raise ValueError(f"{what} holds at most {v.length} values a record; {k} were given")
        if first is not None and k != first[1]:
            raise ValueError(f"{what} has {k} values a record where {first[0]} has {first[1]}")
        first = (v.name, k)


def _raise_for_rows(calculation: "Calculation", arrays: Sequence[Any]) -> None:
    """Columns of unlike length are told by name."""
    shapes = {v.name: a.shape[:-1] if v.is_list else a.shape for v, a in zip(calculation.inputs, arrays)}
    columns = {name: shape for name, shape in shapes.items() if shape != ()}
    if len(set(columns.values())) < 2:
        return
    try:
        np.broadcast_shapes(*columns.values())
    except ValueError:
        rows = ", ".join(f"{name} {' x '.join(map(str, shape))}" for name, shape in columns.items())
        raise ValueError(f"{calculation.sheet.id}: columns of unlike length: {rows}; give every column the same rows, or one number") from None


def put_index(x: Any, index: Any) -> Any:
    """A plain number as float, a column as a Series when it came from one."""
    if np.ndim(x) == 0:
        return float(x) if np.asarray(x).dtype.kind == "f" else x
    if index is None or np.shape(x)[0] != len(index):
        return x
    pandas = __import__("pandas")
    return pandas.Series(x, index=index) if np.ndim(x) == 1 else pandas.DataFrame(x, index=index)


def _input_from_frame(calculation: "Calculation", v: Any, frame: Any, columns: Mapping[str, Any], given: Mapping[str, Any]) -> Any:
    what = f"{calculation.sheet.id}: {v.name}"
    if v.name in given:
        own = index_of(given[v.name])
        if own is not None and not (hasattr(frame, "index") and frame.index.equals(own)):
            raise ValueError(f"{what} has another index than the frame; make it a column of the frame")
        x = numbers(given[v.name], what)
        if v.is_list and x.ndim == 0:
            raise ValueError(f"{what} must be a list, last axis the values of one record, not the single number {given[v.name]!r}")
        return x
    source = columns.get(v.name, v.name)
    names = list(source) if v.is_list and not isinstance(source, str) else [source]
    missing = [n for n in names if n not in frame.columns]
    if not missing:
        found = [numbers(frame[n], f"column {n!r}") for n in names]
        if any(x.ndim != 1 for x in found):
            raise ValueError(f"{what}: the frame has more than one column {names[0]!r}")
        return np.stack(found, axis=-1) if v.is_list else found[0]
    if v.name in columns or v.required:
        raise ValueError(
            f"{calculation.sheet.id}: no column {missing[0]!r} for {v.name} ({v.meaning}, {v.unit or 'plain number'}); "
            f"the frame has {', '.join(map(str, frame.columns))}. Say .over(frame, columns={{{v.name!r}: {_column_hint(v)}}}), or give one value for all rows"
        )
    return np.float64(np.nan if v.default is None else v.default)


def _column_hint(v: Any) -> str:
    return "[names of the columns, one an element]" if v.is_list else "name of the column"


def columns_of_frame(calculation: "Calculation", frame: Any, columns: Mapping[str, Any], given: Mapping[str, Any]) -> list[Any]:
    """Every input as a float array: from its column, from `given`, or its default."""
    names = {v.name for v in calculation.inputs}
    for unknown in [name for name in (*columns, *given) if name not in names]:
        raise TypeError(f"{calculation.sheet.id} has no input {unknown!r}; it has {', '.join(v.name for v in calculation.inputs)}")
    for twice in [name for name in columns if name in given]:
        raise TypeError(f"{calculation.sheet.id}: {twice} is given both as a column and as a value; give one of them")
    arrays = []
    for v in calculation.inputs:
        x = _input_from_frame(calculation, v, frame, columns, given)
        rows = x.shape[:-1] if v.is_list else x.shape
        if rows not in ((), (len(frame),)):
            raise ValueError(f"{calculation.sheet.id}: {v.name} has {rows[0]} rows where the frame has {len(frame)}")
        arrays.append(x)
    _raise_for_lists(calculation, arrays)
    return arrays


def over_frame(calculation: "Calculation", frame: Any, columns: Mapping[str, Any], threads: int, given: Mapping[str, Any]) -> Any:
    if threads < 1:
        raise ValueError(f"threads = {threads} must be at least 1")
    arrays = columns_of_frame(calculation, frame, columns, given)
    n = len(frame)
    k = max((x.shape[-1] for x, v in zip(arrays, calculation.inputs) if v.is_list), default=1)
    out = _result_block(calculation, n, k)
    _fill(calculation, arrays, out, n, threads)
    table = {}
    for v, x in zip(calculation.results, out):
        if v.is_list:
            table.update({f"{v.name}_{j + 1}": x[:, j] for j in range(k)})
        else:
            table[v.name] = x
    if not hasattr(frame, "index"):
        return type(frame)(table)
    made = type(frame)(table, index=frame.index, copy=False)
    made.attrs["units"] = {name: v.unit for v in calculation.results for name in table if name == v.name or (v.is_list and name.startswith(v.name + "_"))}
    return made


def result_rows(rows: int, n: int) -> Any:
    """Memory for so many columns of ``n``, a row each, starting at other places within a page: side by side they evict each other."""
    stagger = 16  # doubles: two cache lines
    pitch = n + (-n) % 8 + stagger
    if pitch * 8 % 4096 == 0:
        pitch += stagger
    return np.empty((rows, pitch))[:, :n]


def _result_block(calculation: "Calculation", n: int, k: int) -> list[Any]:
    """Result columns in one block."""
    widths = [k if v.is_list else 1 for v in calculation.results]
    block = result_rows(sum(widths), n)
    starts = np.cumsum([0, *widths])
    return [block[a : a + k].T if v.is_list else block[a] for v, a in zip(calculation.results, starts)]


def _fill(calculation: "Calculation", arrays: list[Any], out: list[Any], n: int, threads: int) -> None:
    ufunc = calculation.ufunc

    def part(begin: int, end: int) -> None:
        pieces = [a[begin:end] if a.ndim > (1 if v.is_list else 0) else a for a, v in zip(arrays, calculation.inputs)]
        ufunc(*pieces, out=tuple(x[begin:end] for x in out))

    if threads == 1 or n < threads:
        part(0, n)
        return
    from concurrent.futures import ThreadPoolExecutor  # here, because it costs a fifth of the import of lutum

    edges = np.linspace(0, n, threads + 1).astype(int)
    with ThreadPoolExecutor(threads) as pool:
        for done in [pool.submit(part, int(a), int(b)) for a, b in zip(edges[:-1], edges[1:])]:
            done.result()
