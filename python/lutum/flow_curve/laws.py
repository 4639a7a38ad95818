"""Published laws that carry a flow curve to another temperature where there are no readings: fallbacks, labelled so, inside their range."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from .curve import FlowCurve
from .models import factor, from_kelvin, kelvin
from .telling import WORTH

__all__ = ["LAWS", "at_temperature"]

LAWS = {
    "solvent": "water-base mud: the high-shear viscosity follows that of water, the yield stress stays (rheology.solvent_scaling)",
    "oil_base_yield": "diesel-base mud: the yield stress of a Bingham fluid by an average of a few muds, its viscosity stays (rheology.oil_mud_yield_temperature)",
    "eyring": "parameters by exponentials with coefficients of the user's own fit (rheology.eyring)",
}
HIGH_SHEAR = ("viscosity", "plastic_viscosity", "high_shear_viscosity")


def at_temperature(curve: FlowCurve, temperature: float, law: str, **options: Any) -> FlowCurve:
    """The curve at another temperature by one of ``LAWS``.

    ``solvent`` may be told ``water_law`` (iapws, to 110 degC, or laliberte, to 150 degC). ``eyring`` wants ``coefficients``:
    {parameter: {"temperature_coefficient": in K, ...}} as rheology.eyring takes them, and may be told a ``pressure``.
    Outside the range of its law there is no answer but an error. The result keeps no uncertainty: that of the law is not known.
    """
    if law not in LAWS:
        raise ValueError(f"law = {law!r} is unknown; choose one of " + "; ".join(f"{name} ({what})" for name, what in LAWS.items()))
    if curve._state.temperature is None:
        raise ValueError("the temperature of the readings is not known, so there is nothing to start from: give temperature= to the fit")
    if curve.status == "fallback" or not WORTH[curve.status].curve:
        raise ValueError(f"this curve is not one to carry to another temperature: {curve.sentence}")
    carry = {"solvent": _solvent, "oil_base_yield": _oil_base_yield, "eyring": _eyring}[law]
    target = kelvin(temperature, curve.units)
    assert target is not None
    try:
        ratios, more = carry(curve, curve._state.temperature, target, **options)
    except TypeError as error:
        raise TypeError(f"{law}: {error}") from None
    names = list(curve.parameters)
    changed = [name for name in names if name in ratios]
    values = tuple(x * ratios.get(name, 1.0) for name, x in zip(names, curve._state.parameters))
    unit = curve.units.unit("temperature")
    said = ", ".join(f"{name} times {ratios[name]:.3g}" for name in changed)
    kept = ", ".join(name for name in names if name not in changed)
    how = (
        f"carried from {from_kelvin(curve._state.temperature, curve.units):g} to {temperature:g} {unit} by a fallback, not by readings: {LAWS[law]}; "
        f"{said}{f'; kept: {kept}' if kept else ''}; the error of the law is not known"
    )
    gone: dict[str, Any] = {"covariance": (), "bound_states": (), "taken": None, "used": (), "residuals": (), "studentized": (), "suspect": None}
    gone |= {"condition": np.nan, "sum_of_squares": np.nan, "corrected_akaike": np.nan, "degrees_of_freedom": 0, "evidence": "", "weighting": ""}
    gone |= {"rate_range": (0.0, np.inf), "rate_correction": "none"}
    return curve._with(parameters=values, status="fallback", how=how, temperature=target, **gone, **more)


def _solvent(curve: FlowCurve, here: float, there: float, water_law: str = "iapws") -> tuple[dict[str, float], dict[str, Any]]:
    """The high-shear viscosity of the model as water's."""
    from lutum import si

    name = next((n for n in HIGH_SHEAR if n in curve.parameters), "")
    if not name:
        raise ValueError(f"solvent: {curve.model} has no high-shear viscosity to scale; fit bingham, casson or another model with one")
    _inside(si.rheology.solvent_scaling, here, there, curve)
    given = {"high_shear_viscosity": 0.01, "reference_temperature": here, "temperature": there, "water_law": water_law}
    ratio = float(si.rheology.solvent_scaling(**given).viscosity_ratio)
    if not np.isfinite(ratio):
        verdict = si.rheology.solvent_scaling.judge(**given)
        meaning = next(v.meaning for v in si.rheology.solvent_scaling.verdicts if v.name == verdict)
        raise ValueError(f"solvent, water_law = {water_law!r}: {meaning} (water_law='laliberte' goes further)")
    return {name: ratio}, {}


def _oil_base_yield(curve: FlowCurve, here: float, there: float) -> tuple[dict[str, float], dict[str, Any]]:
    from lutum import si

    if curve.model != "bingham":
        raise ValueError(f"oil_base_yield: the law is of the yield point of a Bingham fluid, not of {curve.model}; fit bingham")
    law = si.rheology.oil_mud_yield_temperature
    _inside(law, here, there, curve)
    return {"yield_stress": float(law(yield_point=10.0, reference_temperature=here, temperature=there).yield_ratio)}, {}


def _inside(law: Any, here: float, there: float, curve: FlowCurve) -> None:
    """Both temperatures lie in the range of the law."""
    unit = curve.units.unit("temperature")
    for name, value in (("reference_temperature", here), ("temperature", there)):
        low, high = next(v.limits for v in law.inputs if v.name == name)
        if not low <= value <= high:
            what = "the temperature of the readings" if name == "reference_temperature" else "temperature"
            shown, least, most = (f"{from_kelvin(x, curve.units):g}" for x in (value, low, high))
            raise ValueError(f"{what} = {shown} {unit} is outside the range of {law.sheet.id}, {least} to {most} {unit}: take readings at temperature")


def _eyring(
    curve: FlowCurve, here: float, there: float, coefficients: Mapping[str, Mapping[str, float]] | None = None, pressure: float | None = None
) -> tuple[dict[str, float], dict[str, Any]]:
    from lutum import si

    wrong = [name for name in coefficients or {} if name not in curve.parameters]
    if not coefficients or wrong:
        what = f"{curve.model} has no parameter {wrong[0]!r}" if wrong else "coefficients are missing: none are supplied, they are the mud's own"
        raise ValueError(f"eyring: {what}; give coefficients={{parameter: {{'temperature_coefficient': ..., ...}}}} for {', '.join(curve.parameters)}")
    at = 0.0 if pressure is None else float(pressure) * factor("pressure", curve.units)
    states = {"temperature": there, "pressure": at, "reference_temperature": here, "reference_pressure": curve._state.pressure or 0.0}
    usual = {"pressure_coefficient": 0.0, "pressure_temperature_coefficient": 0.0}
    found = {name: float(si.rheology.eyring(**(usual | dict(own)), **states).ratio) for name, own in coefficients.items()}
    return found, {} if pressure is None else {"pressure": at}
