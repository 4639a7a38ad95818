"""Values outside what a column can hold, or outside what is usual."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from ..columns import Range, physical_limits
from .gaps import sentinels
from .registry import ERROR, WARNING, Finding, View, rule

SLACK = 1e-9  # of a bound, for the rounding of a unit conversion


@rule("out_of_range", "values outside the physical limits (error) or the usual range (warning)")
def out_of_range(view: View) -> Iterator[Finding]:
    for column in view.numbers():
        values = view.values(column.name)
        told = sentinels(view, column.name)  # by the rules on gaps
        if column.zero != "possible":
            told |= view.as_written(column.name) == 0.0
        limits = physical_limits(column.name)
        impossible = np.zeros(len(values), bool)
        if limits is not None:
            impossible = _outside(view, column.name, limits, values) & ~told
            yield from _findings(view, column.name, impossible, limits, "physical limits", ERROR)
        if column.usual is not None:
            unusual = _outside(view, column.name, column.usual, values) & ~told & ~impossible
            yield from _findings(view, column.name, unusual, column.usual, "usual range", WARNING)


def _outside(view: View, column: str, span: Range, values: Any) -> Any:
    low, high = view.bounds(column, span)
    outside: Any = (values < low - SLACK * abs(low)) | (values > high + SLACK * abs(high))
    return outside


def _findings(view: View, column: str, mask: Any, span: Range, what: str, severity: str) -> Iterator[Finding]:
    low, high = view.bounds(column, span)
    unit = view.records.units[column]
    words = f"outside the {what} {low:.6g} to {high:.6g} {unit} ({span.source})"
    action = "missing" if severity == ERROR else ""
    proposal = (
        "correct the cell or its unit; make it missing if it cannot be known"
        if action
        else "check the cell and its unit"
    )
    yield from view.cells(column, mask, lambda i: f"{view.number(column, i)} is {words}", proposal, severity, action)
