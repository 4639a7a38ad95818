"""What is told of a check: its derived values and its findings."""

from typing import Any, NamedTuple

__all__ = ["Derived", "Finding", "finding", "is_gap", "told_once"]


class Derived(NamedTuple):
    """A derived value: what it is, its unit, the calculation it came from, and why it is missing where it is."""

    name: str
    value: float
    unit: str
    meaning: str
    calculation: str
    reason: str = ""


class Finding(NamedTuple):
    """Something to be said about a check: which (None for a single one), who says it, error or caution, and the sentence."""

    row: Any
    step: str
    severity: str
    reason: str


def is_gap(calculation: Any, f: Any) -> bool:
    """A reading that is not there: the reason of what is missing, and no finding."""
    return f.value != f.value and any(v.name == f.input for v in calculation.inputs)


def finding(row: Any, own: str, f: Any) -> Finding:
    """As the check says it: ``step`` names the calculation, so the sentence does not."""
    return Finding(row, own, "error" if f.is_error else "caution", f.reason.removeprefix(f"{own}: ").removeprefix(f"{f.input}: "))


def told_once(found: list[Finding]) -> list[Finding]:
    """What two steps say of a row in the same words is left to the later one, which knows more: the retort with all salts of the filtrate."""
    last = {(f.row, f.severity, f.reason): f.step for f in found}
    return [f for f in found if last[f.row, f.severity, f.reason] == f.step]
