"""The words in which a calculation is described to Python, and what it answers with."""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

__all__ = ["Finding", "Option", "Sheet", "Shown", "Uncertainty", "Variable", "Verdict", "Work"]


@dataclass(frozen=True, slots=True)
class Variable:
    """An input or a result: name, symbol (LaTeX and plain), quantity, unit of the set, meaning, limits in that unit."""

    name: str
    symbol: str
    plain_symbol: str
    quantity: str
    unit: str
    unit_symbol: str
    meaning: str
    limits: tuple[float, float]
    validated: tuple[float, float]
    length: int
    is_list: bool
    optional: bool
    gaps: bool  # of a list: a place may be missing, and the others are used
    default: float | None

    @property
    def required(self) -> bool:
        return self.default is None and not self.optional


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a calculation answers, its equations and source, what it assumes, and what to take care of."""

    id: str
    title: str
    answers: str
    equations: str
    source: str
    assumptions: str
    cautions: str


@dataclass(frozen=True, slots=True)
class Option:
    """What a calculation can be told beside its numbers: the name of the keyword, its meaning, and the choices with theirs."""

    name: str
    meaning: str
    choices: dict[str, str]


class Verdict(NamedTuple):
    """A name for the state of a record; severity 0 none, 1 caution, 2 impossible."""

    name: str
    meaning: str
    severity: int


class Finding(NamedTuple):
    """Something to be said about an input: the row (None for one record), the input, its value, and a sentence.

    For something about the whole record ``input`` is the name of the verdict and ``value`` is missing.
    """

    row: Any
    is_error: bool
    input: str
    value: float
    reason: str


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Of one result: value, the contribution of each input, and combined and expanded uncertainty, all in its unit.

    A contribution is ``|d result/d input| u(input)``; combined is their root sum of squares (inputs uncorrelated);
    expanded is ``coverage_factor`` times that. Numbers for one record, columns for many.
    """

    value: Any
    contributions: dict[str, Any]
    combined: Any
    expanded: Any
    coverage_factor: float
    unit: str = ""

    def __str__(self) -> str:
        if np.ndim(self.value) > 0:
            return f"{len(self.value)} values, combined uncertainty {np.nanmin(self.combined):.2g} to {np.nanmax(self.combined):.2g} {self.unit}".rstrip()
        if not self.expanded > 0:
            return f"{self.value:.6g} {self.unit}".rstrip() + ", no uncertainty"
        places = max(0, 1 - int(np.floor(np.log10(self.expanded))))  # two digits of the uncertainty, the value to the same place
        number = f"({self.value:.{places}f} ± {self.expanded:.{places}f}) {self.unit}".rstrip()
        variance = self.combined * self.combined
        shares = sorted(((c * c / variance, name) for name, c in self.contributions.items() if c > 0), reverse=True)
        return f"{number}, k = {self.coverage_factor:g}; variance from " + ", ".join(f"{name} {100 * share:.0f} %" for share, name in shares)


class Shown:
    """A result that a notebook shows with its units and meanings."""

    __slots__ = ()
    _variables: tuple[Variable, ...]

    def _repr_html_(self) -> str:
        rows = zip(self._variables, self)  # type: ignore[call-overload]
        lines = (f"<tr><td>{v.name}</td><td>{_shown(x)}</td><td>{v.unit}</td><td style='text-align:left'>{v.meaning}</td></tr>" for v, x in rows)
        return "<table>" + "".join(lines) + "</table>"


def _shown(x: Any) -> str:
    if isinstance(x, Uncertainty):
        return str(x)
    if np.ndim(x) == 0 and not hasattr(x, "nominal_value"):
        return f"{float(x):.6g}"
    return str(x) if np.ndim(x) == 0 else f"{np.size(x)} values, {np.nanmin(x):.6g} to {np.nanmax(x):.6g}"


class Work(NamedTuple):
    """A worked solution as plain text and as Markdown with LaTeX; a notebook shows it set in type."""

    text: str
    markdown: str

    def __str__(self) -> str:
        return self.text

    def _repr_markdown_(self) -> str:
        return self.markdown
