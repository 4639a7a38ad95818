"""A mud check as text, as a table for a notebook, and as frames."""

from html import escape
from itertools import groupby
from typing import TYPE_CHECKING

from .plan import calculation_of
from .readings import text_of_reading

if TYPE_CHECKING:
    import pandas as pd

    from .check import Derived, MudCheck

__all__ = ["frame_of", "html_of", "missing_of", "text_of"]


def text_of(check: "MudCheck") -> str:
    """Readings, what is derived from them, and the findings, a line each."""
    lines = [repr(check)[1:-1], "", "Readings"]
    for name, taken in check.readings.items():
        shown = taken if isinstance(taken, str) else text_of_reading(name, taken, check[name], check.units, check._plan)
        lines.append(f"  {name} = {shown}")
    lines += ["", "Derived"]
    lines += [f"  {d.name} = {_number(d.value)} {d.unit}".rstrip() for d in check.derived if d.value == d.value]
    lines += ["", "Findings", *(f"  {f.severity}: {f.reason}" for f in check.findings)] if check.findings else []
    return "\n".join(lines)


def html_of(check: "MudCheck") -> str:
    """The findings first, then a table with the results of each calculation together."""
    found = "".join(f"<li>{f.severity}: {escape(f.reason)}</li>" for f in check.findings)
    rows = []
    there = (d for d in check.derived if d.value == d.value)
    for own, group in groupby(there, key=lambda d: d.calculation):
        lines = list(_together(list(group), check))
        title = escape(calculation_of(check._plan.step(own), check.units).sheet.title)
        for i, (name, value, unit, meaning) in enumerate(lines):
            head = f"<th rowspan='{len(lines)}' style='text-align:left; vertical-align:top'>{title}</th>" if i == 0 else ""
            words = "".join(f"<td style='text-align:left'>{escape(x)}</td>" for x in (unit, meaning))
            rows.append(f"<tr>{head}<td style='text-align:left'>{name}</td><td style='text-align:right'>{value}</td>{words}</tr>")
    return f"<p>{escape(repr(check)[1:-1])}</p><ul>{found}</ul><table>{''.join(rows)}</table>"


def _together(derived: "list[Derived]", check: "MudCheck") -> list[tuple[str, str, str, str]]:
    """Name, value, unit and meaning of a calculation's results; the places of a list in one line."""
    lists = [v.name for v in calculation_of(check._plan.step(derived[0].calculation), check.units).results if v.is_list]

    def stem(d: "Derived") -> str:
        own = d.name.rpartition(".")[2]
        return next((name for name in lists if own.startswith(f"{name}_")), own)

    lines = []
    for name, group in groupby(derived, key=stem):
        places = list(group)
        values = ", ".join(_number(d.value) for d in places)
        if name in lists:
            name = f"{name} {', '.join(d.name.rpartition('_')[2] for d in places)}"
        lines.append((name, values, places[0].unit, places[0].meaning))
    return lines


def _number(x: float) -> str:
    return f"{x:,.0f}" if abs(x) >= 1e4 else f"{x:.4g}"


def frame_of(check: "MudCheck") -> "pd.DataFrame":
    """Every derived value by its name, the missing ones with their reason."""
    pandas = __import__("pandas")
    rows = [(d.name, d.value, d.unit, d.meaning, d.calculation, d.reason) for d in check.derived]
    frame: pd.DataFrame = pandas.DataFrame(rows, columns=["derived", "value", "unit", "meaning", "calculation", "reason"])
    return frame.set_index("derived")


def missing_of(check: "MudCheck") -> "pd.DataFrame":
    """Results that are missing for the same reason in one row."""
    pandas = __import__("pandas")
    told: dict[tuple[str, str], list[str]] = {}
    for d in check.derived:
        if d.value != d.value:
            told.setdefault((d.calculation, d.reason), []).append(d.name.rpartition(".")[2])
    rows = [(own, ", ".join(names), reason) for (own, reason), names in told.items()]
    frame: pd.DataFrame = pandas.DataFrame(rows, columns=["calculation", "missing", "reason"])
    return frame
