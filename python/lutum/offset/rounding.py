"""Rounding of bounds, always to the safe side."""

import math

SLACK = 1e-9  # of a step: what a computed bound may miss a whole step by through floating point alone


def round_inward(lower: float, upper: float, step: float) -> tuple[float, float]:
    """The lower bound rounded up and the upper bound down, to whole steps; NaN stays NaN.

    >>> round_inward(9.21, 9.88, 0.1)
    (9.3, 9.8)
    """
    if not step > 0:
        raise ValueError(f"step={step!r} must be above 0")
    return _whole(lower, step, math.ceil, -SLACK), _whole(upper, step, math.floor, SLACK)


def _whole(value: float, step: float, to: "type[int] | object", slack: float) -> float:
    if not math.isfinite(value):
        return value
    digits = max(0, 1 - math.floor(math.log10(step)))
    return round(to(value / step + slack) * step, digits)  # type: ignore[operator]
