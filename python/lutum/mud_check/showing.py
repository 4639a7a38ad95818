"""A mud check as text, as a table for a notebook, and as frames."""

from html import escape
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from .computing import gaps
from .plan import calculation_of
from .readings import text_of_reading

if TYPE_CHECKING:
    import pandas as pd

    from .check import MudCheck
    from .many import MudChecks
    from .telling import Derived, Finding

__all__ = ["frame_of", "html_of", "missing_in", "missing_of", "text_of"]


def text_of(check: "MudCheck") -> str:
    """Readings, what is derived from them, and the findings, a line each."""
    lines = [repr(check)[1:-1], "", "Readings"]
    for name, taken in check.readings.items():
        shown = taken if isinstance(taken, str) else text_of_reading(name, taken, check[name], check.units, check._plan)
        lines.append(f"  {name} = {shown}")
    lines += ["", "Derived"]
    lines += [f"  {d.name} = {_number(d.value)} {d.unit}".rstrip() for d in check.derived if d.value == d.value]
    lines += ["", "Findings", *(f"  {f.severity}: {f.reason}{_who(f)}" for f in check.findings)] if check.findings else []
    return "\n".join(lines)


def html_of(check: "MudCheck") -> str:
    """The findings first, then a table with the results of each calculation together."""
    found = "".join(f"<li>{f.severity}: {escape(f.reason + _who(f))}</li>" for f in check.findings)
    rows = []
    there = (d for d in check.derived if d.value == d.value)
    for own, group in groupby(there, key=lambda d: d.calculation):
        title = escape(calculation_of(check._plan.step(own), check.units).sheet.title)
        rows.append(f"<tr><th colspan='4' style='text-align:left'>{title} <span style='font-weight:normal'>({own})</span></th></tr>")
        for name, value, unit, meaning in _together(list(group), check):
            words = "".join(f"<td style='text-align:left'>{escape(x)}</td>" for x in (unit, meaning))
            rows.append(f"<tr><td style='text-align:left'>{name}</td><td style='text-align:right'>{value}</td>{words}</tr>")
    return f"<p>{escape(repr(check)[1:-1])}</p>{f'<ul>{found}</ul>' if found else ''}<table>{''.join(rows)}</table>"


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


def _who(f: "Finding") -> str:
    """The calculation that says it; a gate's sentence names its readings itself."""
    return f" ({f.step})" if "." in f.step else ""


def _number(x: float) -> str:
    return f"{x:,.0f}" if abs(x) >= 1e3 else f"{x:.4g}"


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


def missing_in(checks: "MudChecks", everything: bool) -> "pd.DataFrame":
    """By derived value, how many rows are there, how many are missing, and why; what is there in every row only on demand."""
    pandas = __import__("pandas")
    length = len(checks.readings)
    rows = []
    for own, computed in checks._run.steps.items():
        meant = np.ones(length, bool) if computed.rows is None else computed.rows
        for name in (str(n) for n in checks.derived if str(n).startswith(f"{own}.")):
            empty = checks.derived[name].isna().to_numpy() & meant
            said = []
            for source, gap in gaps(computed, name.rpartition(".")[2]).items():
                count = int((np.broadcast_to(gap, (length,)) & empty).sum())
                if count:
                    said.append(f"{source} is missing in {count}")
            reason = ", ".join(said) or ("no number for these inputs" if empty.any() else "")
            rows.append((name, int(meant.sum() - empty.sum()), int(empty.sum()), reason))
    rows += [(own, 0, length, reason) for own, reason in checks.skipped.items()]
    shown = [row for row in rows if everything or row[2]]
    frame: pd.DataFrame = pandas.DataFrame(shown, columns=["derived", "there", "missing", "reason"])
    return frame
