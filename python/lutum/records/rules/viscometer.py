"""Dial readings, gels, and what is reported from them. One dial degree is reported as 1 lb/100 ft2 and 1 cP, by convention of the test."""

from collections.abc import Iterator
from math import sqrt
from typing import Any

import numpy as np

from ..columns import dial_speed
from ..units_of import WRITTEN, convert
from .registry import ERROR, WARNING, Finding, NotApplicable, View, rule


LB_PER_100_FT2 = "0.01 lbf/ft2"


@rule("falling_dial", "dial readings that fall while the speed rises, such as 3 rpm above 6 rpm")
def falling_dial(view: View) -> Iterator[Finding]:
    speeds = sorted((s, c) for c in view.records.columns if (s := dial_speed(c)) is not None)
    if len(speeds) < 2:
        raise NotApplicable("fewer than two dial readings are mapped")
    labels = np.array([f"at {speed:g} rpm" for speed, _ in speeds], object)
    highest, at = view.values(speeds[0][1]).copy(), np.zeros(len(view), int)  # of all slower speeds, and at which
    for k, (_, column) in enumerate(speeds[1:], start=1):
        here = view.values(column)
        yield from _falls(view, column, here, highest, labels[k], labels[at])
        rises = ~(here <= highest) & ~np.isnan(here)
        highest, at = np.where(rises, here, highest), np.where(rises, k, at)


@rule("falling_gels", "gels that fall with time of rest")
def falling_gels(view: View) -> Iterator[Finding]:
    pairs = [
        (f"{kind}_{short}", f"{kind}_{long}")
        for kind in ("gel", "gel_strength")
        for short, long in (("10_s", "10_min"), ("10_min", "30_min"))
        if view.has(f"{kind}_{short}", f"{kind}_{long}")
    ]
    if not pairs:
        raise NotApplicable("no two gels of the same kind are mapped")
    for short, long in pairs:
        unit = LB_PER_100_FT2 if short.startswith("gel_strength") else ""
        now, then = (
            f"after {c.removeprefix('gel_strength_').removeprefix('gel_').replace('_', ' ')}" for c in (long, short)
        )
        yield from _falls(
            view, long, view.values(long, unit), view.values(short, unit), now, np.full(len(view), then, object)
        )


def _falls(view: View, column: str, here: Any, before: Any, now: str, then: Any) -> Iterator[Finding]:
    """Findings where `here` is below `before`; `then` says of every row when that was."""
    error = sqrt(2) * view.options.dial_error
    drop = before - here

    def reason(i: int) -> str:
        words = "more than" if drop[i] > 2 * error else "within"
        return (
            f"{here[i]:.6g} {now}, {before[i]:.6g} {then[i]}: falls by {drop[i]:.6g}, {words} two reading errors of a "
            f"difference ({2 * error:.2g})"
        )

    repeat = "repeat the reading; check that the two were not exchanged"
    yield from view.cells(column, drop > 2 * error, reason, repeat, ERROR)
    yield from view.cells(column, (drop > 0) & (drop <= 2 * error), reason, "none: keep as read", WARNING)


@rule(
    "yield_point_from_dial",
    "a reported yield point that is not 2 R300 - R600",
    needs=("yield_point", "reading_600", "reading_300"),
)
def yield_point_from_dial(view: View) -> Iterator[Finding]:
    expected = 2 * view.values("reading_300") - view.values("reading_600")
    yield from _against_dial(view, "yield_point", expected, LB_PER_100_FT2, "2 R300 - R600")


@rule(
    "plastic_viscosity_from_dial", "a reported plastic viscosity that is not R600 - R300",
    needs=("plastic_viscosity", "reading_600", "reading_300"),
)  # fmt: skip
def plastic_viscosity_from_dial(view: View) -> Iterator[Finding]:
    expected = view.values("reading_600") - view.values("reading_300")
    yield from _against_dial(view, "plastic_viscosity", expected, "cP", "R600 - R300")


def _against_dial(view: View, column: str, expected: Any, unit: str, formula: str) -> Iterator[Finding]:
    reported = view.values(column, unit)
    kept = view.records.units[column]
    label = "lb/100 ft2" if unit == LB_PER_100_FT2 else unit
    proposed = convert(expected, unit, kept)
    written = view.as_written(column)

    def reason(i: int) -> str:
        words = f"reported {reported[i]:.6g} {label}, but {formula} = {expected[i]:.6g}"
        for other in WRITTEN["stress" if column == "yield_point" else "viscosity"]:
            if abs(convert(written[i], other, unit) - expected[i]) <= view.options.rounding < abs(expected[i]) / 4:
                return f"{words}; they agree if the number is in {other}"
        return words

    yield from view.cells(
        column, np.abs(reported - expected) > view.options.rounding, reason,
        lambda i: f"take {proposed[i]:.6g} {kept} from the readings, or correct the readings", WARNING, "value", proposed,
    )  # fmt: skip
