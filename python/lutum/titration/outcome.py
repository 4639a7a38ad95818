"""What a titration gives: numbers with their uncertainties, and the reasons against them; as text and as a table."""

from dataclasses import dataclass
from html import escape
from typing import NamedTuple

__all__ = ["Estimate", "Outcome", "Reason"]


class Reason(NamedTuple):
    """Something to be said about a titration: with ``refuses`` it is not acceptable, without it is a note."""

    name: str
    refuses: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class Estimate:
    """One number of a titration, in ``unit``.

    ``reported`` is at the end point as the standard reports it, the top of the last increment. The true one lies anywhere from
    ``lowest`` to ``highest``: ``centre`` is half an increment lower, ``standard_uncertainty`` is the increment over the root of 12.
    """

    name: str
    meaning: str
    unit: str
    reported: float
    centre: float
    standard_uncertainty: float
    lowest: float
    highest: float

    def __str__(self) -> str:
        if self.reported != self.reported:
            return f"{self.name}: missing; more than {self.lowest:.6g} {self.unit}"
        return (
            f"{self.name}: {self.reported:.6g} {self.unit} reported; {self.centre:.6g} {self.unit} with standard uncertainty "
            f"{self.standard_uncertainty:.2g} {self.unit}, from {self.lowest:.6g} to {self.highest:.6g}"
        )


@dataclass(frozen=True, slots=True)
class Outcome:
    """End point, capacity and bentonite equivalent of a titration, and every reason against them."""

    title: str
    end_point: Estimate
    capacity: Estimate
    bentonite_equivalent: Estimate
    reasons: tuple[Reason, ...]

    @property
    def acceptable(self) -> bool:
        return not any(reason.refuses for reason in self.reasons)

    @property
    def estimates(self) -> tuple[Estimate, Estimate, Estimate]:
        return self.end_point, self.capacity, self.bentonite_equivalent

    @property
    def verdict(self) -> str:
        return "acceptable" if self.acceptable else "not acceptable"

    def __str__(self) -> str:
        lines = [f"{self.title}: {self.verdict}", *(f"  {estimate}" for estimate in self.estimates)]
        return "\n".join([*lines, *(f"  {'!' if r.refuses else '-'} {r.sentence}" for r in self.reasons)])

    def _repr_html_(self) -> str:
        heads = "".join(f"<th>{h}</th>" for h in ("", "unit", "reported", "centre", "standard uncertainty", "lowest", "highest", ""))
        rows = "".join(
            f"<tr><td style='text-align:left'>{e.name}</td><td>{escape(e.unit)}</td>"
            + "".join(f"<td>{x}</td>" for x in (*map(_six, (e.reported, e.centre)), f"{e.standard_uncertainty:.2g}", *map(_six, (e.lowest, e.highest))))
            + f"<td style='text-align:left'>{escape(e.meaning)}</td></tr>"
            for e in self.estimates
        )
        reasons = "".join(f"<li>{'' if r.refuses else 'note: '}{escape(r.sentence)}</li>" for r in self.reasons)
        return f"<p>{escape(self.title)}: <b>{self.verdict}</b></p><table><tr>{heads}</tr>{rows}</table>{f'<ul>{reasons}</ul>' if reasons else ''}"


def _six(x: float) -> str:
    return f"{x:.6g}"
