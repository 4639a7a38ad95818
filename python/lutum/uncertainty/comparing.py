"""Whether the linear form is good enough: a budget against Monte Carlo (JCGM 101, clause 8)."""

from dataclasses import dataclass
from math import isclose

from .budgeting import Budget
from .simulating import Simulated, numerical_tolerance

__all__ = ["Comparison", "compare"]


@dataclass(frozen=True, slots=True)
class Comparison:
    """The ends of a budget's interval against those of a simulation.

    ``d_low`` and ``d_high``: how far they are apart. ``tolerance``: half a unit of the last digit that counts in the standard
    uncertainty. ``is_good_enough``: both are within it. ``is_certain``: the simulation is known to a fifth of the tolerance, or
    the answer does not hang on how well it is known.
    """

    budget: Budget
    simulated: Simulated
    digits: int
    d_low: float
    d_high: float
    tolerance: float
    numerical_error: float

    @property
    def is_good_enough(self) -> bool:
        """Whether both ends agree within the tolerance."""
        return max(self.d_low, self.d_high) <= self.tolerance

    @property
    def is_certain(self) -> bool:
        """Whether the simulation has settled far enough to say so."""
        near = abs(max(self.d_low, self.d_high) - self.tolerance) <= self.numerical_error
        return self.numerical_error <= self.tolerance / 5.0 or not near

    def __str__(self) -> str:
        verdict = "good enough" if self.is_good_enough else "not good enough"
        advice = "" if self.is_good_enough else "; use the interval of the simulation"
        (a, b), (c, d) = self.budget.interval, self.simulated.interval
        unit = f" {self.budget.unit}" if self.budget.unit else ""
        text = (
            f"the linear form is {verdict} to {self.digits} digits: {100.0 * self.budget.coverage:g} % interval [{a:.5g}, {b:.5g}] against "
            f"[{c:.5g}, {d:.5g}]{unit} ({self.simulated.interval_kind}); d_low {self.d_low:.2g}, d_high {self.d_high:.2g}, "
            f"tolerance {self.tolerance:.2g}{advice}"
        )
        return text if self.is_certain else text + "; too few trials to be certain: draw until part_of_tolerance = 0.2 is met"


def compare(budget: Budget, simulated: Simulated, digits: int = 2) -> Comparison:
    """Whether the budget's interval stands up to the simulation's, to so many digits of the standard uncertainty (one or two).

    >>> from lutum.uncertainty import Normal, budget, compare, monte_carlo
    >>> drawn = monte_carlo(lambda a, b: a + b, {"a": Normal(0, 3), "b": Normal(0, 4)}, seed=1, interval="symmetric", part_of_tolerance=0.2)
    >>> compare(budget(0.0, {"a": 1, "b": 1}, {"a": 3, "b": 4}), drawn.only).is_good_enough
    True
    """
    if not isclose(budget.coverage, simulated.coverage):
        raise ValueError(f"the budget has coverage {budget.coverage:g}, the simulation {simulated.coverage:g}; make them the same")
    if digits < 1:
        raise ValueError(f"digits = {digits} must be above zero; one or two are usual")
    (a, b), (c, d) = budget.interval, simulated.interval
    tolerance = numerical_tolerance(budget.combined or simulated.standard, digits)
    return Comparison(budget, simulated, digits, abs(a - c), abs(b - d), tolerance, simulated.numerical_error)
