"""A flow curve as text, HTML and frames."""

from html import escape
from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np

from . import telling
from .models import factor, parameters_of, unit_of
from .readings import at_temperature, why_not_used

if TYPE_CHECKING:
    import pandas as pd

    from .curve import FlowCurve

__all__ = ["html_of", "parameter_frame", "reading_frame", "repr_of", "text_of"]


def in_words(model: str) -> str:
    """The model as one says it."""
    names = {"robertson_stiff": "Robertson-Stiff", "heinz_casson": "Heinz-Casson"}
    return names.get(model) or (model.capitalize() if model not in ("power_law", "yield_power_law") else model.replace("_", " "))


def number(value: float, u: float = float("nan")) -> str:
    """The value to two digits of its uncertainty, or to four figures without one."""
    if isfinite(u) and u > 0.0 and isfinite(value):
        from lutum.uncertainty.showing import rounded

        return " ± ".join(rounded(value, u))
    return f"{value:.4g}"


def _parameters(curve: "FlowCurve") -> list[tuple[str, str, str, str]]:
    """Name, number, unit and meaning of each parameter; of a fit that failed those there are."""
    rows = zip(parameters_of(curve.model), curve.parameters.values(), curve.standard_uncertainties.values())
    failed = _has_no_fit(curve)
    return [
        (p.name, number(x, float("nan") if failed else u), unit_of(p.quantity, curve.units), p.meaning) for p, x, u in rows if isfinite(x) or not failed
    ]


def _has_no_fit(curve: "FlowCurve") -> bool:
    """Whether there is nothing to say about scatter and uncertainty; a fit that did not settle has its numbers, for who looks into it."""
    return not telling.WORTH[curve.status].curve and curve.status != "not_converged"


def _rests_on(curve: "FlowCurve") -> str:
    """Readings, rates and temperature in a line."""
    state = curve._state
    if state.taken is None:
        return at_temperature(state.temperature, curve.units) if state.temperature is not None else ""
    low, high = curve.rates_used
    span = f", {low:.4g} to {high:.4g} {curve.units.unit('shear_rate')}" if isfinite(low) else ""
    return f"{len(state.used)} of {len(state.taken.rates)} readings{span}, {at_temperature(state.temperature, curve.units)}"


def _how(curve: "FlowCurve") -> str:
    """How it was fitted, in a line; the uncertainties are standard ones."""
    state = curve._state
    if not state.weighting or _has_no_fit(curve):
        return ""
    stress = curve.units.unit("stress")
    correction = "Newtonian rates" if state.rate_correction == "none" else "exact flow in the gap"
    return (
        f"weighting {state.weighting}, {correction}; residuals {curve.residual_scatter:.3g} {stress} root mean square, "
        f"{state.degrees_of_freedom} degree{'' if state.degrees_of_freedom == 1 else 's'} of freedom, condition {state.condition:.3g}; ± is one standard uncertainty"
    )


def text_of(curve: "FlowCurve") -> str:
    """Model, parameters with standard uncertainties, what they rest on, and the status in words."""
    lines = [", ".join(x for x in (in_words(curve.model), _rests_on(curve)) if x)]
    width = max(len(p.name) for p in parameters_of(curve.model))
    lines += [f"  {name:{width}}  {value} {unit}".rstrip() for name, value, unit, _ in _parameters(curve)]
    first, *more = telling.clauses(curve)
    lines += [f"  {line}" for line in (_how(curve), f"{curve.status}: {first}", *more, curve.evidence) if line]
    lines += [f"  not used: {label}: {why}" for label, why in curve.why_not_used.items()]
    return "\n".join(lines)


def html_of(curve: "FlowCurve") -> str:
    """The same for a notebook."""
    head = ", ".join(x for x in (in_words(curve.model), _rests_on(curve)) if x)
    cells = "".join(
        f"<tr><td style='text-align:left'>{name}</td><td style='text-align:right'>{value}</td>"
        f"<td style='text-align:left'>{escape(unit)}</td><td style='text-align:left'>{escape(meaning)}</td></tr>"
        for name, value, unit, meaning in _parameters(curve)
    )
    said = [curve.sentence, _how(curve), curve.evidence, *(f"not used: {label}: {why}" for label, why in curve.why_not_used.items())]
    items = "".join(f"<li>{escape(line)}</li>" for line in said if line)
    return f"<p>{escape(head)}</p><table>{cells}</table><ul>{items}</ul>"


def repr_of(curve: "FlowCurve") -> str:
    values = ", ".join(f"{p.name} {x:.4g} {unit_of(p.quantity, curve.units)}".rstrip() for p, x in zip(parameters_of(curve.model), curve.parameters.values()))
    rests = _rests_on(curve)
    return f"<FlowCurve {curve.model}: {values}; {curve.status}{', ' + rests if rests else ''}>"


def parameter_frame(curve: "FlowCurve") -> "pd.DataFrame":
    """A row a parameter."""
    import pandas as pd

    states = curve._state.bound_states or ("not fitted",) * len(curve.parameters)
    rows = [
        (p.name, x, u, unit_of(p.quantity, curve.units), where.replace("_", " "), p.meaning)
        for p, x, u, where in zip(parameters_of(curve.model), curve.parameters.values(), curve.standard_uncertainties.values(), states)
    ]
    return pd.DataFrame(rows, columns=["parameter", "value", "standard_uncertainty", "unit", "state", "meaning"]).set_index("parameter")


def reading_frame(curve: "FlowCurve") -> "pd.DataFrame":
    """A row a reading. The rate is the one that the curve has it at: with the exact flow in the gap, that of the fluid."""
    import pandas as pd

    state = curve._state
    taken = state.taken
    if taken is None:
        raise ValueError("this curve rests on no readings: " + curve.sentence)
    stress, rate = factor("stress", curve.units), factor("shear_rate", curve.units)
    table: dict[str, Any] = {}
    if taken.speeds:
        table |= {"speed": taken.speeds, "reading": taken.dials}
    rates = rates_of_readings(curve)
    known = np.array(taken.stresses) / stress
    residual = np.array(state.residuals) / stress if state.residuals else np.full(len(known), np.nan)
    why = why_not_used(taken, state.used, state.rate_range, curve.units)
    table |= {
        "shear_rate": rates, "shear_stress": known, "curve": known - residual, "residual": residual,
        "studentized": np.array(state.studentized) if state.studentized else np.full(len(known), np.nan),
        "used": [not w for w in why], "why_not": why, "suspect": [place == state.suspect for place in range(len(known))],
    }  # fmt: skip
    if state.rate_correction != "none":
        table["newtonian_rate"] = np.array(taken.rates) / rate
    frame = pd.DataFrame(table)
    frame.attrs["units"] = {"speed": "rpm", "reading": "dial deg", "shear_rate": curve.units.unit("shear_rate")}
    frame.attrs["units"] |= dict.fromkeys(("shear_stress", "curve", "residual"), curve.units.unit("stress"))
    return frame


def rates_of_readings(curve: "FlowCurve") -> Any:
    """The shear rate of each reading in the unit of the set: Newtonian, or that of the fitted fluid where the gap was corrected for."""
    from lutum import si

    state = curve._state
    taken = state.taken
    assert taken is not None
    rates = np.array(taken.rates)
    if state.rate_correction == "wide_gap" and np.isfinite(state.parameters).all() and taken.radius_ratio:
        fluid = curve.to(si).as_yield_power_law()
        speed = 0.5 * rates * (1.0 - taken.radius_ratio**2)
        radii = {"rotor_radius": np.full(rates.shape, taken.rotor_radius), "bob_radius": np.full(rates.shape, taken.bob_radius)}
        rates = np.asarray(si.rheology.wide_gap(speed=speed, **fluid, **radii).shear_rate_at_bob)
    return rates / factor("shear_rate", curve.units)
