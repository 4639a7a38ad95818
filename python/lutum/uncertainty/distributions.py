"""What is known of a quantity: distributions with mean, standard uncertainty and draws (JCGM 101, 6.4)."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf, isfinite, sqrt
from typing import Any, Protocol

import numpy as np

__all__ = ["Distribution", "Joint", "Normal", "OneSided", "Rectangular", "Student", "Triangular"]


class Distribution(Protocol):
    """What Monte Carlo asks of an input: anything that has these will do."""

    @property
    def mean(self) -> float: ...

    @property
    def standard(self) -> float: ...

    def draw(self, rng: np.random.Generator, trials: int) -> Any: ...


def _checked(kind: str, size: str, **numbers: float) -> None:
    for name, x in numbers.items():
        if not isfinite(x):
            raise ValueError(f"{kind}: {name} = {x} is missing or infinite; give a number")
    if numbers[size] < 0.0:
        raise ValueError(f"{kind}: {size} = {numbers[size]:g} is negative; give zero or more")


@dataclass(frozen=True, slots=True)
class Normal:
    """A normal distribution with this mean and standard uncertainty."""

    mean: float
    standard: float

    def __post_init__(self) -> None:
        _checked("Normal", "standard", mean=self.mean, standard=self.standard)

    def draw(self, rng: np.random.Generator, trials: int) -> Any:
        """This many independent values."""
        return rng.normal(self.mean, self.standard, trials)


@dataclass(frozen=True, slots=True)
class Rectangular:
    """Equally likely anywhere within ``half_width`` of the mean: a tolerance, a resolution."""

    mean: float
    half_width: float

    def __post_init__(self) -> None:
        _checked("Rectangular", "half_width", mean=self.mean, half_width=self.half_width)

    @property
    def standard(self) -> float:
        """Half-width over the root of three."""
        return self.half_width / sqrt(3.0)

    def draw(self, rng: np.random.Generator, trials: int) -> Any:
        """This many independent values."""
        return self.mean + self.half_width * rng.uniform(-1.0, 1.0, trials)


@dataclass(frozen=True, slots=True)
class Triangular:
    """Within ``half_width`` of the mean, the more likely the nearer to it."""

    mean: float
    half_width: float

    def __post_init__(self) -> None:
        _checked("Triangular", "half_width", mean=self.mean, half_width=self.half_width)

    @property
    def standard(self) -> float:
        """Half-width over the root of six."""
        return self.half_width / sqrt(6.0)

    def draw(self, rng: np.random.Generator, trials: int) -> Any:
        """This many independent values."""
        return self.mean + self.half_width * (rng.random(trials) - rng.random(trials))


@dataclass(frozen=True, slots=True)
class OneSided:
    """Equally likely anywhere in the last increment below the reading: an end point that was passed unseen within it."""

    reading: float
    increment: float

    def __post_init__(self) -> None:
        _checked("OneSided", "increment", reading=self.reading, increment=self.increment)

    @property
    def mean(self) -> float:
        """Half an increment below the reading."""
        return self.reading - self.increment / 2.0

    @property
    def standard(self) -> float:
        """Increment over the root of twelve."""
        return self.increment / sqrt(12.0)

    def draw(self, rng: np.random.Generator, trials: int) -> Any:
        """This many independent values."""
        return self.reading - self.increment * rng.random(trials)


@dataclass(frozen=True, slots=True)
class Student:
    """A scaled and shifted t-distribution: the mean of few repeated readings, ``scale`` their standard deviation of the mean."""

    mean: float
    scale: float
    degrees_of_freedom: float

    def __post_init__(self) -> None:
        _checked("Student", "scale", mean=self.mean, scale=self.scale)
        if not self.degrees_of_freedom > 0.0:
            raise ValueError(f"Student: degrees_of_freedom = {self.degrees_of_freedom} must be above zero")

    @property
    def standard(self) -> float:
        """Standard deviation of the distribution, larger than ``scale``; infinite with two degrees of freedom or fewer."""
        if self.degrees_of_freedom <= 2.0:
            return inf
        return self.scale if self.degrees_of_freedom == inf else self.scale * sqrt(self.degrees_of_freedom / (self.degrees_of_freedom - 2.0))

    def draw(self, rng: np.random.Generator, trials: int) -> Any:
        """This many independent values."""
        if self.degrees_of_freedom == inf:
            return rng.normal(self.mean, self.scale, trials)
        return self.mean + self.scale * rng.standard_t(self.degrees_of_freedom, trials)


@dataclass(frozen=True, slots=True)
class Joint:
    """Several quantities that are normal together: ``means`` by name, ``covariance`` in their order."""

    means: Mapping[str, float]
    covariance: Any
    _root: Any = field(init=False, repr=False, compare=False, default=None)

    def __post_init__(self) -> None:
        matrix = np.asarray(self.covariance, float)
        count = len(self.means)
        if matrix.shape != (count, count):
            raise ValueError(f"Joint: covariance has shape {matrix.shape}; the {count} quantities {', '.join(self.means)} need {(count, count)}")
        if not np.allclose(matrix, matrix.T, rtol=1e-9, atol=0.0):
            raise ValueError("Joint: covariance is not symmetric")
        values, vectors = np.linalg.eigh(matrix)
        if not values.min() >= -1e-9 * max(values.max(), 0.0):
            raise ValueError(f"Joint: covariance has the negative eigenvalue {values.min():.3g}: no errors can go together like this")
        object.__setattr__(self, "_root", vectors * np.sqrt(np.maximum(values, 0.0)))

    def draw(self, rng: np.random.Generator, trials: int) -> dict[str, Any]:
        """This many values of every quantity."""
        drawn = rng.standard_normal((trials, len(self.means))) @ self._root.T
        return {name: mean + drawn[:, i] for i, (name, mean) in enumerate(self.means.items())}
