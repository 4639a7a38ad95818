"""What a flow curve says about itself, in sentences."""

from typing import TYPE_CHECKING

import numpy as np

from .models import parameters_of, unit_of

if TYPE_CHECKING:
    from .curve import FlowCurve

__all__ = ["MEANINGS", "active_bounds", "sentence"]

# By status, in the words of the whole package.
MEANINGS = {
    "fitted": "the readings tell every parameter, and no bound holds one",
    "at_bound": "the best curve lies on a bound",
    "flat": "the readings do not rise with the rate: there is no flow curve; look at the readings",
    "not_identifiable": "other parameters serve as well: use the curve inside its rates, not its parameters one by one",
    "too_few_readings": "fewer readings at different rates than parameters: no fit; read more speeds or take a model with fewer parameters",
    "suspect_reading": "one reading lies off the curve of the others: read it again, or fit without it",
    "not_converged": "the fit did not settle: do not use it",
    "outside_limits": "a reading or a bound is outside its limit: no fit",
    "given": "its parameters were given, not fitted",
    "interpolated": "fitted to stresses interpolated between measured conditions",
    "fallback": "by a published law for want of readings: an estimate, its own error unknown",
}
SIDES = {"at_low": "low", "at_high": "high"}


def active_bounds(curve: "FlowCurve") -> dict[str, str]:
    """The parameters that a bound holds."""
    state, found = curve._state, {}
    for p, where, value in zip(parameters_of(curve.model), state.bound_states, curve.parameters.values()):
        if where in SIDES:
            found[p.name] = f"{p.name} at its {SIDES[where]} bound, {value:.4g} {unit_of(p.quantity, curve.units)}".rstrip()
    return found


def sentence(curve: "FlowCurve") -> str:
    """The status, with the reading, the bound or the number behind it."""
    state, status = curve._state, curve.status
    told = MEANINGS[status]
    if status == "too_few_readings":
        rates = len({state.taken.rates[i] for i in state.used}) if state.taken else 0
        readings = f"{rates} reading{'' if rates == 1 else 's'} at different rates" if rates else "no readings"
        told = f"{readings} for {len(state.parameters)} parameters: no fit; read more speeds or take a model with fewer parameters"
    if status == "not_identifiable":
        told += f" ({_why_not_told(curve)})"
    if status == "suspect_reading" and state.suspect is not None:
        told = f"{curve.suspect}, lies off the fitted curve by {_distance(curve)}, and farther off that of the others: read it again, or fit without it"
    if status in ("interpolated", "fallback", "given"):
        told = state.how or told
    held = list(active_bounds(curve).values())
    if held and status in ("at_bound", "not_identifiable", "suspect_reading", "interpolated"):
        told += f"; {', '.join(held)}"
    if curve.suspect and status not in ("suspect_reading", "flat"):
        told += f"; {curve.suspect}, lies off the curve of the others"
    for caution in cautions(curve):
        told += f"; {caution}"
    if state.how and told != state.how and not told.startswith(state.how):
        told += f"; {state.how}"
    return f"{status}: {told}"


def cautions(curve: "FlowCurve") -> list[str]:
    """What a reader should know beside the status: readings that fall with the rate, parameters known to a quarter or worse."""
    state, said = curve._state, []
    if state.taken is not None and curve.status not in ("flat", "too_few_readings"):
        read = sorted((state.taken.rates[i], state.taken.stresses[i], i) for i in state.used)
        said += [
            f"{state.taken.label(j)}, is below {state.taken.label(i)}, though faster"
            for (slow, low, i), (fast, high, j) in zip(read, read[1:])
            if fast > slow and high < low
        ][:1]
    if curve.status in ("fitted", "suspect_reading", "at_bound") and np.ndim(curve.covariance) == 2:
        for p, value, u in zip(parameters_of(curve.model), curve.parameters.values(), np.sqrt(np.diag(curve.covariance))):
            if value != 0.0 and u > 0.25 * abs(value):
                said.append(f"{p.name} is known to {100 * u / abs(value):.0f} % only (one standard uncertainty)")
    return said


def _distance(curve: "FlowCurve") -> str:
    state = curve._state
    assert state.suspect is not None and state.taken is not None
    degree = state.taken.degree
    off = state.residuals[state.suspect]
    if degree and state.taken.speeds:
        return f"{off / degree:+.1f} degrees"
    return f"{off:+.3g} Pa"


def _why_not_told(curve: "FlowCurve") -> str:
    state = curve._state
    rates = len({state.taken.rates[i] for i in state.used}) if state.taken else 0
    idle = [p.name for p, where in zip(parameters_of(curve.model), state.bound_states) if where == "without_effect"]
    if idle:
        return f"{idle[0]} changes nothing"
    if rates <= len(state.parameters):
        return f"{rates} different rates for {len(state.parameters)} parameters"
    if not state.condition <= 1e7:
        return f"condition {state.condition:.1e}"
    u = np.sqrt(np.diag(curve.covariance))
    return f"flow index {curve.parameters.get('flow_index', float('nan')):.3g}, yield stress no larger than its uncertainty, {u[0]:.2g}"
