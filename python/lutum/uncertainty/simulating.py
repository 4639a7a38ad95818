"""Propagation of distributions by Monte Carlo: JCGM 101, adaptive, seeded, with its convergence shown."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from math import ceil, floor, isfinite, log10
from typing import TYPE_CHECKING, Any

import numpy as np

from .distributions import Distribution, Joint
from .showing import histogram_of, rounded

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    from .budgeting import Budget

__all__ = ["Simulated", "Simulation", "monte_carlo", "numerical_tolerance", "shortest_interval", "symmetric_interval"]

INTERVALS = ("shortest", "symmetric")
BLOCK = 10_000  # trials between two looks, at least (JCGM 101, 7.9.4 b)


@dataclass(frozen=True, slots=True, repr=False)
class Simulated:
    """One result: mean and standard uncertainty of the values drawn, and two coverage intervals.

    ``shortest``, and ``symmetric`` (as much probability below as above it); ``interval_kind`` says which of them was watched.
    ``missing``: trials for which the model has no number; they are in no statistic, so that a large part of them makes all of it
    conditional. ``history``: after every block trials, mean, standard uncertainty and ends so far, twice the standard deviation of
    each, and the tolerance they are to be below. ``converged``: they are.
    """

    name: str
    unit: str
    mean: float
    standard: float
    shortest: tuple[float, float]
    symmetric: tuple[float, float]
    interval_kind: str
    coverage: float
    trials: int
    missing: int
    converged: bool
    history: tuple[tuple[float, ...], ...] = field(repr=False)
    values: Any = field(repr=False, compare=False)

    @property
    def interval(self) -> tuple[float, float]:
        """The coverage interval that was watched."""
        return self.shortest if self.interval_kind == "shortest" else self.symmetric

    @property
    def numerical_error(self) -> float:
        """Twice the standard deviation of the worst of mean, standard uncertainty and ends of the interval; infinite if not known."""
        return max(self.history[-1][5:9]) if self.history else float("inf")

    def __str__(self) -> str:
        head = f"{self.name} = " if self.name else ""
        value, u = rounded(self.mean, self.standard)
        low, high = (rounded(x, self.standard)[0] for x in self.interval)
        text = f"{head}{value} {self.unit}".rstrip() + f", standard uncertainty {u}, {100.0 * self.coverage:g} % {self.interval_kind} interval [{low}, {high}]"
        text += f", {self.trials} trials, " + ("settled" if self.converged else "not settled: draw more trials")
        return text + (f"; {self.missing} trials have no result and are left out" if self.missing else "")

    __repr__ = __str__

    def convergence(self) -> "pd.DataFrame":
        """The history as a frame, a row a block."""
        import pandas as pd

        names = ["trials", "mean", "standard", "low", "high", "mean_error", "standard_error", "low_error", "high_error", "tolerance"]
        return pd.DataFrame(list(self.history), columns=names).astype({"trials": int})

    def figure(self, budget: "Budget | None" = None) -> "Figure":
        """Histogram of the values with their interval; with a budget its normal curve and interval beside them."""
        return histogram_of(self, budget)


@dataclass(frozen=True, slots=True, repr=False)
class Simulation(Mapping[str, Simulated]):
    """Results of one run by name; rows of their values belong together."""

    of: dict[str, Simulated]
    seed: int

    def __getitem__(self, name: str) -> Simulated:
        if name not in self.of:
            raise KeyError(f"there is no result {name!r}; there are {', '.join(self.of)}")
        return self.of[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.of)

    def __len__(self) -> int:
        return len(self.of)

    @property
    def only(self) -> Simulated:
        """The result of a model that has one."""
        if len(self.of) != 1:
            raise ValueError(f"there are {len(self.of)} results; choose one of {', '.join(self.of)}")
        return next(iter(self.of.values()))

    def __str__(self) -> str:
        return "\n".join(map(str, self.of.values()))

    __repr__ = __str__

    def frame(self) -> "pd.DataFrame":
        """A row a result."""
        import pandas as pd

        rows = [
            (s.name, s.mean, s.standard, *s.shortest, *s.symmetric, s.unit, s.coverage, s.trials, s.missing, s.converged) for s in self.of.values()
        ]
        names = ["result", "mean", "standard", "shortest_low", "shortest_high", "symmetric_low", "symmetric_high"]
        return pd.DataFrame(rows, columns=[*names, "unit", "coverage", "trials", "missing", "converged"]).set_index("result")


def monte_carlo(
    model: Callable[..., Any],
    inputs: Mapping[Any, Any],
    *,
    seed: int,
    trials: int | None = None,
    digits: int = 2,
    part_of_tolerance: float = 1.0,
    most: int = 5_000_000,
    coverage: float = 0.95,
    interval: str = "shortest",
) -> Simulation:
    """Draw the inputs, run the model on whole columns, and describe what comes out.

    ``model``: a calculation, or a callable that takes the inputs by name as arrays and gives an array, or several by name.
    ``inputs``: by name a distribution, a number, or for a list input of a calculation a list of these; under any key a ``Joint``
    for several that are correlated. Independent otherwise.

    Without ``trials`` blocks are drawn until mean, standard uncertainty and the ends of the ``interval`` are stable to ``digits``
    digits of the standard uncertainty (JCGM 101, 7.9), or there are ``most`` trials. To judge a budget go to a fifth of that
    tolerance, ``part_of_tolerance=0.2`` (8.2). ::

        monte_carlo(lambda a, b: a * b, {"a": Normal(2.0, 0.1), "b": Rectangular(3.0, 0.2)}, seed=1).only
    """
    if interval not in INTERVALS:
        raise ValueError(f"interval = {interval!r}; it is one of {', '.join(INTERVALS)}")
    if not 0.0 < coverage < 1.0:
        raise ValueError(f"coverage = {coverage:g} is a probability; give a number between 0 and 1, such as 0.95")
    if digits < 1 or not part_of_tolerance > 0.0:
        raise ValueError(f"digits = {digits} and part_of_tolerance = {part_of_tolerance:g} must be above zero")
    block = max(BLOCK, ceil(100.0 / (1.0 - coverage)))
    if trials is not None and trials < 2 or most < 2 * block:
        raise ValueError(f"trials = {trials}, most = {most}: two trials at least, and two blocks of {block} for the most of them")
    rng = np.random.default_rng(seed)
    drawn: dict[str, list[Any]] = {}
    watched: dict[str, _Watch] = {}
    done = 0
    while done < (most if trials is None else trials):
        count = min(block, (most if trials is None else trials) - done)
        for name, column in _results(model, _draws(inputs, rng, count), count).items():
            drawn.setdefault(name, []).append(column)
            if count == block:
                watched.setdefault(name, _Watch(coverage, interval, digits, part_of_tolerance)).look(column)
        done += count
        if trials is None and watched and all(w.is_settled for w in watched.values()):
            break
    units = {} if not hasattr(model, "results") else {n: v.unit for v in model.results for n in drawn if n == v.name or n.startswith(f"{v.name}_")}
    made = {
        name: _simulated(name, units.get(name, ""), np.concatenate(columns), coverage, interval, watched.get(name)) for name, columns in drawn.items()
    }
    return Simulation(made, seed)


def _draws(inputs: Mapping[Any, Any], rng: np.random.Generator, count: int) -> dict[str, Any]:
    drawn: dict[str, Any] = {}
    for name, known in inputs.items():
        if isinstance(known, Joint):
            new = known.draw(rng, count)
        elif isinstance(known, (list, tuple)):
            new = {name: np.stack([_column(x, name, rng, count) for x in known], axis=-1)}
        else:
            new = {name: _column(known, name, rng, count)}
        for twice in new.keys() & drawn.keys():
            raise ValueError(f"input {twice!r} is given twice; leave it out where a Joint has it")
        drawn |= new
    return drawn


def _column(known: Distribution | float, name: Any, rng: np.random.Generator, count: int) -> Any:
    if hasattr(known, "draw"):
        return known.draw(rng, count)
    if isinstance(known, (int, float, np.number)):
        return np.full(count, float(known))
    raise ValueError(f"input {name!r} is {known!r}; give a distribution such as Normal(mean, standard), or a number")


def _results(model: Callable[..., Any], draws: Mapping[str, Any], count: int) -> dict[str, Any]:
    made = model(**draws)
    if hasattr(made, "_asdict"):
        made = made._asdict()
    named = dict(made) if isinstance(made, Mapping) else {"": made}
    found: dict[str, Any] = {}
    for name, x in named.items():
        column = np.asarray(x, float)
        if column.ndim == 2 and column.shape[0] == count:
            found |= {f"{name}_{i + 1}": column[:, i] for i in range(column.shape[1])}
        elif column.shape in ((), (count,)):
            found[name] = np.broadcast_to(column, (count,))
        else:
            raise ValueError(f"the model gives {name or 'a result'} of shape {column.shape} for {count} trials; give one number a trial")
    return found


class _Watch:
    """Looks at a result block by block: how well mean, standard uncertainty and ends of the interval are known (JCGM 101, 7.9.4).

    All values so far are only summed, so that a look costs no more the longer it takes.
    """

    def __init__(self, coverage: float, kind: str, digits: int, part: float) -> None:
        self.coverage, self.kind, self.digits, self.part = coverage, kind, digits, part
        self.blocks: list[tuple[float, float, float, float]] = []
        self.history: list[tuple[float, ...]] = []
        self.count, self.mean, self.squares, self.trials = 0, 0.0, 0.0, 0

    def look(self, column: Any) -> None:
        self.trials += len(column)
        good = column[np.isfinite(column)]
        if len(good) < 2:
            return
        ends = (shortest_interval if self.kind == "shortest" else symmetric_interval)(good, self.coverage)
        self.blocks.append((float(np.mean(good)), float(np.std(good, ddof=1)), *ends))
        count, mean = self.count + len(good), float(np.mean(good))  # mean and squares of all so far, without loss
        step = mean - self.mean
        self.squares += float(np.sum((good - mean) ** 2)) + step * step * self.count * len(good) / count
        self.mean, self.count = self.mean + step * len(good) / count, count
        if len(self.blocks) < 2:
            return
        u = float(np.sqrt(self.squares / (self.count - 1)))
        looks = np.array(self.blocks)
        errors = 2.0 * looks.std(axis=0, ddof=1) / np.sqrt(len(looks))
        means = looks.mean(axis=0)
        self.history.append((float(self.trials), self.mean, u, *map(float, means[2:]), *map(float, errors), self.part * numerical_tolerance(u, self.digits)))

    @property
    def is_settled(self) -> bool:
        return bool(self.history) and max(self.history[-1][5:9]) <= self.history[-1][9]


def _simulated(name: str, unit: str, column: Any, coverage: float, kind: str, watch: _Watch | None) -> Simulated:
    good = np.sort(column[np.isfinite(column)])
    if len(good) < 2:
        lost = f"{len(column) - len(good)} of {len(column)} trials have no result"
        raise ValueError(f"{name or 'the model'}: {lost}; look at the model at the means of its inputs")
    return Simulated(
        name, unit, float(np.mean(good)), float(np.std(good, ddof=1)), shortest_interval(good, coverage), symmetric_interval(good, coverage),
        kind, coverage, len(column), len(column) - len(good), watch is not None and watch.is_settled, tuple(watch.history if watch else ()), good,
    )  # fmt: skip


def numerical_tolerance(u: float, digits: int = 2) -> float:
    """Half a unit of the last of so many digits of a standard uncertainty (JCGM 101, 7.9.2).

    >>> numerical_tolerance(2.0), numerical_tolerance(0.0213, 1)
    (0.05, 0.005)
    """
    if not (u > 0.0 and isfinite(u)):
        return 0.0
    last = floor(log10(float(f"{u:.{digits - 1}e}"))) - digits + 1
    return 0.5 * 10.0**last


def symmetric_interval(values: Any, coverage: float) -> tuple[float, float]:
    """The interval with as much probability below as above it (JCGM 101, 7.7.2)."""
    ordered, q = _ordered(values, coverage)
    r = (len(ordered) - q + 1) // 2
    low = min(max(r, 1), len(ordered) - q) - 1
    return float(ordered[low]), float(ordered[low + q])


def shortest_interval(values: Any, coverage: float) -> tuple[float, float]:
    """The shortest interval with that coverage (JCGM 101, 7.7.4)."""
    ordered, q = _ordered(values, coverage)
    low = int(np.argmin(ordered[q:] - ordered[: len(ordered) - q]))
    return float(ordered[low]), float(ordered[low + q])


def _ordered(values: Any, coverage: float) -> tuple[Any, int]:
    ordered = np.sort(values)
    return ordered, min(max(int(coverage * len(ordered) + 0.5), 1), len(ordered) - 1)
