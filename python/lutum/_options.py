"""An option given row by row: rows of one choice are computed together, and put back in their places."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum._columns import as_columns, columns_of_frame, index_of, is_frame, put_index
from lutum._described import Finding

if TYPE_CHECKING:
    from lutum.calculation import Calculation

__all__ = ["by_choice", "choices_of_frame"]


def choices_of_frame(calculation: "Calculation", frame: Any, columns: Mapping[str, Any], given: Any) -> Any:
    """The option beside a frame: as given, or its column, or None where the frame has none."""
    option = calculation.option
    assert option is not None
    if option.name in columns and given is not None:
        raise TypeError(f"{calculation.sheet.id}: {option.name} is given both as a column and as a value; give one of them")
    if given is not None:
        return given
    name = columns.get(option.name, option.name)
    if name in frame.columns:
        return frame[name]
    if option.name in columns:
        raise ValueError(f"{calculation.sheet.id}: no column {name!r} for {option.name}; the frame has {', '.join(map(str, frame.columns))}")
    return None


def _names(choices: Any) -> Any:
    """The choices as an object array, what is no text as None."""
    cells = np.asarray(choices.to_numpy() if hasattr(choices, "to_numpy") else choices, object)
    return np.array([c if isinstance(c, str) else None for c in cells.ravel()], object).reshape(cells.shape)


def by_choice(calculation: "Calculation", choices: Any, method: str, args: tuple[Any, ...], arrays: list[Any] | None = None) -> Any:
    """``_evaluate``, ``_check`` or ``_judge`` for rows that each name their choice. An unknown or missing one spoils its row only."""
    option = calculation.option
    assert option is not None
    if method not in ("_evaluate", "_check", "_judge"):
        raise ValueError(f"{calculation.sheet.id}: {option.name} is one choice for {method.strip('_')}(), not a column of them; choose the rows first")
    frame = args[0] if is_frame(args[0]) else None
    index = getattr(frame, "index", None)
    if arrays is None:
        if frame is not None:
            arrays = columns_of_frame(calculation, frame, {}, calculation._given_beside_frame(args))
        else:
            arrays, index = as_columns(calculation, args)
            own = index_of(choices)
            if index is not None and own is not None and not index.equals(own):
                raise ValueError(f"{calculation.sheet.id}: {option.name} has another index than the Series before it; align them first, for example in one frame")
            index = own if index is None else index
    names = _names(choices)
    shape = np.broadcast_shapes(names.shape, *(a.shape[:-1] if v.is_list else a.shape for a, v in zip(arrays, calculation.inputs)))
    if len(shape) != 1:
        raise ValueError(f"{calculation.sheet.id}: {option.name} by row wants one column of choices, not shape {shape}")
    rows = [np.broadcast_to(a, shape + a.shape[-1:]) if v.is_list else np.broadcast_to(a, shape) for a, v in zip(arrays, calculation.inputs)]
    names = np.broadcast_to(names, shape)
    groups = {choice: np.flatnonzero(names == choice) for choice in option.choices}
    if method == "_check":
        return _findings(calculation, names, groups, rows, index)
    if method == "_judge":
        verdicts = np.full(shape, None, object)
        for choice, places in groups.items():
            if len(places):
                verdicts[places] = calculation.choosing(choice)._judge(tuple(a[places] for a in rows))
        return put_index(verdicts, index)
    length = max((a.shape[-1] for a, v in zip(rows, calculation.inputs) if v.is_list), default=1)
    out = [np.full((*shape, length) if v.is_list else shape, np.nan) for v in calculation.results]
    for choice, places in groups.items():
        if len(places):
            for column, values in zip(out, calculation.choosing(choice)._evaluate(tuple(a[places] for a in rows))):
                column[places] = values
    if frame is None:
        return calculation._result_type._make(put_index(x, index) for x in out)
    made = type(frame)(dict(zip((v.name for v in calculation.results), out)), **({} if index is None else {"index": index}))
    if hasattr(made, "attrs"):
        made.attrs["units"] = {v.name: v.unit for v in calculation.results}
    return made


def _findings(calculation: "Calculation", names: Any, groups: Mapping[str, Any], rows: list[Any], index: Any) -> list[Any]:
    option = calculation.option
    assert option is not None
    found = []

    def label(place: Any) -> Any:
        return int(place) if index is None else index[place]

    for choice, places in groups.items():
        if len(places):
            for f in calculation.choosing(choice)._check(tuple(a[places] for a in rows)):
                found.append((int(places[f.row]), f._replace(row=label(places[f.row]))))
    for place, name in enumerate(names):
        if name not in option.choices:
            what = "is missing" if name is None else f"= {name!r} is not one of its choices"
            reason = f"{calculation.sheet.id}: {option.name} {what}; choose {', '.join(option.choices)}"
            found.append((place, Finding(label(place), True, option.name, float("nan"), reason)))
    return [f for _, f in sorted(found, key=lambda pair: pair[0])]
