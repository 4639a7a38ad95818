"""What a flow curve holds, in SI, and what a band is."""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from .readings import Taken

__all__ = ["Band", "State"]

nan, inf = float("nan"), float("inf")


class _Band(NamedTuple):
    stress: Any
    low: Any
    high: Any


class Band(_Band):
    """Stress of the curve and the ends of its confidence band, at each rate; ``unit`` of all three."""

    unit: str = ""

    @classmethod
    def of(cls, stress: Any, low: Any, high: Any, unit: str) -> "Band":
        made = cls(stress, low, high)
        made.unit = unit
        return made

    def __repr__(self) -> str:
        def four(x: Any) -> str:
            return np.array2string(np.asarray(x, float), threshold=8, formatter={"float_kind": lambda v: f"{v:.4g}"})

        return f"<Band: stress {four(self.stress)}, from {four(self.low)} to {four(self.high)} {self.unit}".rstrip() + ">"


@dataclass(frozen=True, slots=True)
class State:
    """What a flow curve holds, in SI."""

    model: str
    parameters: tuple[float, ...]
    status: str = "given"
    how: str = ""  # in words, of a curve that is not fitted to readings as they were taken
    taken: Taken | None = None
    temperature: float | None = None
    pressure: float | None = None
    weighting: str = ""
    rate_range: tuple[float, float] = (0.0, inf)
    rate_correction: str = "none"
    used: tuple[int, ...] = ()
    residuals: tuple[float, ...] = ()
    studentized: tuple[float, ...] = ()
    suspect: int | None = None
    covariance: tuple[tuple[float, ...], ...] = ()
    bound_states: tuple[str, ...] = ()
    degrees_of_freedom: int = 0
    spread_is_known: bool = False
    condition: float = nan
    sum_of_squares: float = nan
    corrected_akaike: float = nan
    evidence: str = ""
