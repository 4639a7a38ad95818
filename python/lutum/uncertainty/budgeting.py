"""Uncertainty budgets by the law of propagation: JCGM 100 (GUM), correlated inputs included."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import floor, inf, isfinite, sqrt
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from .showing import figure_of, frame_of, markdown_of, text_of

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

__all__ = ["Budget", "Budgets", "Contribution", "Pair", "budget", "budgets", "coverage_factor_of"]

ROUND_OFF = 1e-9  # of the largest eigenvalue of a correlation matrix


class Contribution(NamedTuple):
    """What one input adds: ``contribution`` is sensitivity times standard uncertainty, signed; ``share`` its square in the variance."""

    name: str
    standard: float
    sensitivity: float
    degrees_of_freedom: float
    contribution: float
    share: float


class Pair(NamedTuple):
    """What the correlation of two inputs adds to the variance, or takes from it."""

    name: str
    other: str
    correlation: float
    share: float


@dataclass(frozen=True, slots=True)
class Budget:
    """Of one result: where its uncertainty comes from, combined standard uncertainty and expanded uncertainty, in its unit.

    ``degrees_of_freedom``: effective, by Welch and Satterthwaite; the formula is for independent inputs and approximate where
    some are correlated. ``coverage_factor``: of the t-distribution, with the degrees of freedom cut to a whole number (G.4.1).
    Shares of ``contributions`` and ``pairs`` add up to one.
    """

    name: str
    value: float
    unit: str
    contributions: tuple[Contribution, ...]
    pairs: tuple[Pair, ...]
    combined: float
    degrees_of_freedom: float
    coverage: float
    coverage_factor: float
    expanded: float

    @property
    def correlated_share(self) -> float:
        """Share of the variance that is there because inputs are correlated; negative where errors cancel."""
        return sum(p.share for p in self.pairs)

    @property
    def is_approximate(self) -> bool:
        """Whether the effective degrees of freedom are approximate: some are few, and inputs are correlated."""
        return isfinite(self.degrees_of_freedom) and bool(self.pairs)

    @property
    def interval(self) -> tuple[float, float]:
        """The coverage interval: value less and plus the expanded uncertainty."""
        return self.value - self.expanded, self.value + self.expanded

    def __str__(self) -> str:
        return text_of(self)

    def frame(self) -> "pd.DataFrame":
        """A row for each input and each correlated pair, the largest share first."""
        return frame_of(self)

    def markdown(self) -> str:
        """The budget as a table in Markdown."""
        return markdown_of(self)

    def _repr_markdown_(self) -> str:
        return markdown_of(self)

    def figure(self) -> "Figure":
        """Shares of the variance as bars with their numbers."""
        return figure_of(self)


@dataclass(frozen=True, slots=True)
class Budgets(Mapping[str, Budget]):
    """Budgets of several results of the same inputs, and how the results go together: ``covariance`` in the order of the names."""

    of: dict[str, Budget]
    covariance: Any

    def __getitem__(self, name: str) -> Budget:
        if name not in self.of:
            raise KeyError(f"there is no budget of {name!r}; there are {', '.join(self.of)}")
        return self.of[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.of)

    def __len__(self) -> int:
        return len(self.of)

    def correlation(self, name: str, other: str) -> float:
        """Correlation coefficient of two results; missing where one of them is certain."""
        places = list(self.of)
        i, j = places.index(self[name].name), places.index(self[other].name)
        product = self[name].combined * self[other].combined
        return float(self.covariance[i, j] / product) if product > 0.0 else float("nan")

    def __str__(self) -> str:
        return "\n".join(map(str, self.of.values()))

    def frame(self) -> "pd.DataFrame":
        """All budgets one below the other, the result in the first column."""
        import pandas as pd

        return pd.concat({name: b.frame() for name, b in self.of.items()}, names=["result"]).reset_index(level=0).reset_index(drop=True)


def budget(
    value: float,
    sensitivities: Mapping[str, float],
    standard: Mapping[str, float],
    *,
    degrees_of_freedom: Mapping[str, float] | None = None,
    correlation: Any = None,
    coverage: float = 0.95,
    unit: str = "",
    name: str = "",
) -> Budget:
    """The budget of a value: its slope with each input (``sensitivities``) and the inputs' standard uncertainties.

    ``degrees_of_freedom`` of inputs that have few; the others have infinitely many. ``correlation``: coefficients by pair,
    ``{("V", "I"): -0.36}``, or the whole matrix in the order of ``standard``. An input without a sensitivity is refused. ::

        print(budget(12.0, {"a": 1.0, "b": 2.0}, {"a": 0.3, "b": 0.2}, unit="mL"))
    """
    made = budgets(
        {name: value}, {name: sensitivities}, standard,
        degrees_of_freedom=degrees_of_freedom, correlation=correlation, coverage=coverage, units={name: unit},
    )  # fmt: skip
    return made[name]


def budgets(
    values: Mapping[str, float],
    sensitivities: Mapping[str, Mapping[str, float]],
    standard: Mapping[str, float],
    *,
    degrees_of_freedom: Mapping[str, float] | None = None,
    correlation: Any = None,
    coverage: float = 0.95,
    units: Mapping[str, str] | None = None,
) -> Budgets:
    """Budgets of several results of the same inputs, with the covariance of the results. ``sensitivities``: by result, by input."""
    names = list(standard)
    u = np.array([_positive(n, standard[n]) for n in names], float)
    freedom = {n: inf for n in names} | dict(degrees_of_freedom or {})
    for n, nu in freedom.items():
        if n not in standard:
            raise ValueError(f"degrees_of_freedom of {n!r}: it has no standard uncertainty; there are {', '.join(names)}")
        if not nu > 0.0:
            raise ValueError(f"degrees_of_freedom of {n} = {nu} must be above zero")
    if not 0.0 < coverage < 1.0:
        raise ValueError(f"coverage = {coverage:g} is a probability; give a number between 0 and 1, such as 0.95")
    r = _correlation(names, correlation)
    parts = np.empty((len(values), len(names)))
    for row, result in enumerate(values):
        slopes = sensitivities[result]
        for n in {*slopes} ^ {*names}:
            lacking = "no standard uncertainty" if n in slopes else "no sensitivity"
            raise ValueError(f"{n!r} has {lacking} for {result or 'the value'}; both need the same inputs")
        parts[row] = [float(slopes[n]) for n in names] * u
    covariance = parts @ r @ parts.T
    made = {
        result: _budget(result, float(value), (units or {}).get(result, ""), names, u, sensitivities[result], parts[row], r, freedom, coverage)
        for row, (result, value) in enumerate(values.items())
    }
    return Budgets(made, covariance)


def _budget(
    result: str, value: float, unit: str, names: list[str], u: Any, slopes: Mapping[str, float], parts: Any, r: Any,
    freedom: Mapping[str, float], coverage: float,
) -> Budget:  # fmt: skip
    if not (isfinite(value) and np.isfinite(parts).all()):
        what = "value" if not isfinite(value) else next(n for n, p in zip(names, parts) if not isfinite(p))
        raise ValueError(f"budget of {result or 'the value'}: {what} is missing or infinite; there is no budget of a missing value")
    variance = max(float(parts @ r @ parts), 0.0)
    combined = sqrt(variance)
    fourth = sum(float(p) ** 4 / freedom[n] for n, p in zip(names, parts))
    effective = variance**2 / fourth if fourth > 0.0 and variance > 0.0 else inf
    factor = coverage_factor_of(coverage, effective)
    per = 1.0 / variance if variance > 0.0 else 0.0
    contributions = tuple(
        Contribution(n, float(s), float(slopes[n]), freedom[n], float(p), float(p) ** 2 * per) for n, s, p in zip(names, u, parts)
    )
    pairs = tuple(
        Pair(names[i], names[j], float(r[i, j]), float(2.0 * r[i, j] * parts[i] * parts[j]) * per)
        for i in range(len(names)) for j in range(i + 1, len(names)) if r[i, j] * parts[i] * parts[j] != 0.0
    )  # fmt: skip
    return Budget(result, value, unit, contributions, pairs, combined, effective, coverage, factor, factor * combined)


def coverage_factor_of(coverage: float, degrees_of_freedom: float) -> float:
    """Of the t-distribution with degrees of freedom cut to a whole number; of the normal one where they are infinite."""
    from scipy.stats import norm, t  # type: ignore[import-untyped, unused-ignore]

    upper = 0.5 + coverage / 2.0
    if not isfinite(degrees_of_freedom):
        return float(norm.ppf(upper))
    return float(t.ppf(upper, floor(degrees_of_freedom + ROUND_OFF) if degrees_of_freedom >= 1.0 else degrees_of_freedom))


def _positive(name: str, u: float) -> float:
    if not (isfinite(u) and u >= 0.0):
        raise ValueError(f"standard uncertainty of {name} = {u} is negative, missing or infinite; give zero or more, or leave {name} out")
    return float(u)


def _correlation(names: list[str], given: Any) -> Any:
    matrix = np.eye(len(names))
    if given is None:
        return matrix
    if isinstance(given, Mapping):
        for (a, b), r in given.items():
            for n in (a, b):
                if n not in names:
                    raise ValueError(f"correlation of {a!r} and {b!r}: {n!r} has no standard uncertainty; there are {', '.join(names)}")
            if a == b:
                raise ValueError(f"correlation of {a!r} with itself is one; leave it out")
            if (b, a) in given and given[(b, a)] != r:
                raise ValueError(f"correlation of {a!r} and {b!r} is given twice: {r:g} and {given[(b, a)]:g}")
            matrix[names.index(a), names.index(b)] = matrix[names.index(b), names.index(a)] = r
    else:
        matrix = np.asarray(given, float)
        if matrix.shape != (len(names), len(names)):
            raise ValueError(f"correlation has shape {matrix.shape}; the {len(names)} inputs {', '.join(names)} need {(len(names), len(names))}")
        if not np.allclose(matrix, matrix.T, rtol=0.0, atol=1e-9) or not np.allclose(np.diag(matrix), 1.0, rtol=0.0, atol=1e-9):
            raise ValueError("correlation must be symmetric with ones on its diagonal; a covariance is divided by both standard uncertainties first")
    if not (np.abs(matrix) <= 1.0 + ROUND_OFF).all():
        i, j = np.argwhere(~(np.abs(matrix) <= 1.0 + ROUND_OFF))[0]
        raise ValueError(f"correlation of {names[i]} and {names[j]} = {matrix[i, j]:g} must lie between -1 and 1")
    values = np.linalg.eigvalsh(matrix)
    if values.min() < -ROUND_OFF * values.max():
        raise ValueError(f"the correlations contradict each other (negative eigenvalue {values.min():.3g}): no errors can go together like this")
    return matrix
