"""Gaps that were written as numbers or dates."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from ..columns import find
from .registry import ERROR, WARNING, Finding, View, rule

# Numbers that stand for missing in well data files and regulators' tables.
NEGATIVE = (-999.25, -999.0, -999.9, -999.99, -9999.0, -9999.25, -99999.0)
POSITIVE = (999.25, 999.99, 9999.0, 9999.99, 99999.0, 999999.0)
# Day zero of spreadsheets and of calendars, and last days. 1970-01-01 is left out: wells were drilled on it.
DAYS = ("0001-01-01", "1899-12-30", "1899-12-31", "1900-01-01", "2099-12-31", "2999-12-31", "9999-12-31")
LIST_IT = "make it missing, and list it under missing in the mapping"
FEW_ZEROS = 0.2  # share of a well's readings up to which zeros are exceptions


@rule("zero_as_missing", "zeros where zero is impossible or improbable, or stands alone among readings far from zero")
def zero_as_missing(view: View) -> Iterator[Finding]:
    for column in view.numbers():
        values = view.as_written(column.name)
        zero = values == 0.0
        proposal = "make it missing"
        if column.zero == "impossible":
            reason = f"{column.name} cannot be 0: a gap written as 0"
            yield from view.cells(column.name, zero, reason, proposal, ERROR, "missing")
        elif column.zero == "improbable":
            reason = f"a {column.name} of 0 is improbable: a gap written as 0?"
            yield from view.cells(column.name, zero, reason, proposal, WARNING, "missing")
        elif zero.any():
            reason = f"0 among readings of {column.name} that never come near 0: a gap written as 0?"
            yield from view.cells(column.name, zero & _lonely(view, values), reason, proposal, WARNING, "missing")


def _lonely(view: View, values: Any) -> Any:
    """Wells with five readings or more, few of them zero and none of the others below a quarter of their median."""
    known = pd.Series(values).groupby(view.well)
    zeros = (pd.Series(values) == 0.0).groupby(view.well).transform("sum")
    count = known.transform("count")
    others = pd.Series(np.where(values == 0.0, np.nan, np.abs(values))).groupby(view.well)
    lowest, middle = others.transform("min"), others.transform("median")
    return ((count - zeros >= 5) & (zeros <= FEW_ZEROS * count) & (lowest >= middle / 4)).to_numpy()


def sentinels(view: View, column: str) -> Any:
    """Cells that hold a number which stands for missing. A positive one counts only outside a usual range; depths have none."""
    values = view.as_written(column)
    hit = _near(values, NEGATIVE)
    usual = find(column).usual
    if usual is not None:
        low, high = view.bounds(column, usual)
        kept = view.values(column)
        hit |= _near(values, POSITIVE) & ~((kept >= low) & (kept <= high))
    return hit


def _near(values: Any, numbers: tuple[float, ...]) -> Any:
    hit = np.zeros(len(values), bool)
    for number in numbers:
        hit |= np.abs(values - number) <= 1e-6 * abs(number)
    return hit


def sentinel_days(view: View) -> Any:
    """Rows whose time is a day that stands for missing."""
    days = view.data["time"].to_numpy("datetime64[s]").astype("datetime64[D]")
    return np.isin(days, np.array(DAYS, "datetime64[D]"))


@rule("sentinel_number", "numbers that stand for missing, such as -999.25 or 9999")
def sentinel_number(view: View) -> Iterator[Finding]:
    for column in view.numbers():
        yield from _sentinels_of(view, column.name)


def _sentinels_of(view: View, column: str) -> Iterator[Finding]:
    written = view.as_written(column)
    yield from view.cells(
        column,
        sentinels(view, column),
        lambda i: f"{written[i]:.6g} stands for missing in many tables",
        LIST_IT,
        ERROR,
        "missing",
    )


@rule("sentinel_date", "dates that stand for missing, such as 9999-12-31", needs=("time",))
def sentinel_date(view: View) -> Iterator[Finding]:
    days = view.data["time"].to_numpy("datetime64[s]").astype("datetime64[D]")
    yield from view.cells(
        "time",
        sentinel_days(view),
        lambda i: f"{days[i]} stands for missing in many tables",
        LIST_IT,
        ERROR,
        "missing",
    )
