"""What a flow curve says about itself, in sentences."""

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from .models import factor, parameters_of, unit_of

if TYPE_CHECKING:
    from .curve import FlowCurve

__all__ = ["MEANINGS", "WORTH", "active_bounds", "clauses", "sentence"]

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


class Worth(NamedTuple):
    """What a curve of some status is good for."""

    curve: bool  # there is a curve to draw, compare and go on with
    parameters: bool  # the readings tell them one by one
    sound: bool  # nothing in it to look at again


WORTH = {
    "fitted": Worth(True, True, True), "at_bound": Worth(True, True, True), "interpolated": Worth(True, True, True),
    "given": Worth(True, True, True), "fallback": Worth(True, True, False), "suspect_reading": Worth(True, True, False),
    "not_identifiable": Worth(True, False, False), "flat": Worth(False, False, False), "too_few_readings": Worth(False, False, False),
    "not_converged": Worth(False, False, False), "outside_limits": Worth(False, False, False),
}  # fmt: skip
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
    return f"{curve.status}: {'; '.join(clauses(curve))}"


def clauses(curve: "FlowCurve") -> list[str]:
    """What the sentence says after the status, the meaning of the status first."""
    state, status = curve._state, curve.status
    told = MEANINGS[status]
    if status == "too_few_readings":
        rates = len({state.taken.rates[i] for i in state.used}) if state.taken else 0
        readings = f"{rates} reading{'' if rates == 1 else 's'} at different rates" if rates else "no readings"
        told = f"{readings} for {len(state.parameters)} parameters: no fit; read more speeds or take a model with fewer parameters"
    if status == "not_identifiable":
        told += f" ({_why_not_told(curve)})"
    if status == "suspect_reading" and state.suspect is not None:
        told = f"{curve.suspect}, lies {_distance(curve)} the fitted curve, and farther from the curve through the other readings: read it again, or fit without it"
    if status in ("interpolated", "fallback", "given"):
        told = state.how or told
    said, held = [told], list(active_bounds(curve).values())
    if held and status in ("at_bound", "not_identifiable", "suspect_reading", "interpolated"):
        said.append(", ".join(held))
    if curve.suspect and status not in ("suspect_reading", "flat"):
        said.append(f"{curve.suspect}, lies off the curve of the others")
    said += cautions(curve)
    if state.how and told != state.how:
        said.append(state.how)
    return said


def cautions(curve: "FlowCurve") -> list[str]:
    """What a reader should know beside the status: readings that fall with the rate, parameters known to a quarter or worse."""
    state, said = curve._state, []
    if state.taken is not None and curve.status not in ("flat", "too_few_readings"):
        read = sorted((state.taken.rates[i], state.taken.stresses[i], i) for i in state.used)
        said += [
            f"{state.taken.label(j, curve.units)}, is below {state.taken.label(i, curve.units)}, though faster"
            for (slow, low, i), (fast, high, j) in zip(read, read[1:])
            if fast > slow and high < low
        ][:1]
    if curve.status in ("fitted", "suspect_reading", "at_bound") and np.ndim(curve.covariance) == 2:
        for p, value, u in zip(parameters_of(curve.model), curve.parameters.values(), np.sqrt(np.diag(curve.covariance))):
            if value != 0.0 and u > 0.25 * abs(value):
                said.append(f"{p.name} is known to {100 * u / abs(value):.0f} % only (one standard uncertainty)")
    return said


def _distance(curve: "FlowCurve") -> str:
    """How far the suspect lies from the curve, and on which side."""
    state = curve._state
    assert state.suspect is not None and state.taken is not None
    degree = state.taken.degree
    off = state.residuals[state.suspect]
    far = f"{abs(off) / degree:.1f} degrees" if degree and state.taken.speeds else f"{abs(off) / factor('stress', curve.units):.3g} {curve.units.unit('stress')}"
    return f"{far} {'above' if off > 0.0 else 'below'}"


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
    u, index = np.sqrt(np.diag(curve.covariance)), curve.parameters["flow_index"]
    return f"flow index {index:.3g}, yield stress no larger than its uncertainty, {u[0]:.2g} {curve.units.unit('stress')}"
