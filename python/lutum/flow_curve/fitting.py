"""Fits of one flow curve, and of an up and a down ramp."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lutum import _core
from lutum._columns import numbers
from lutum._sets import UnitSet

from .curve import FlowCurve
from .models import factor, model_named, parameters_of, set_of
from .readings import Taken, range_of, take
from .state import State

__all__ = ["Ramps", "fit", "fit_ramps"]

RATE_CORRECTIONS = ("none", "wide_gap")


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a fit, in SI, as the kernel takes it."""

    weighting: str
    bounds: dict[str, tuple[float, float]]
    rate_range: tuple[float, float]
    rate_correction: str
    stress_uncertainty: Any  # Pa; None for half a degree of the instrument, anything inside alike
    relative_uncertainty: float

    def own_uncertainty(self, degree: float | None) -> Any:
        """Standard uncertainty of a stress as it is read, in Pa: one for all readings, or one for each."""
        return half_a_degree(degree) if self.stress_uncertainty is None else self.stress_uncertainty

    def options(self, stresses: Any, instrument: Taken) -> dict[str, Any]:
        """The arguments of the kernel's fit for stresses in Pa, of one curve or a row a curve."""
        spread = None
        if self.weighting == "reading_uncertainty":
            own, count = self.own_uncertainty(instrument.degree), np.shape(stresses)[-1]
            if np.size(own) not in (1, count):
                raise ValueError(f"stress_uncertainty has {np.size(own)} values for {count} readings: give one for all, or one for each")
            spread = np.hypot(own, self.relative_uncertainty * stresses)
        return {
            "weighting": self.weighting, "standard_uncertainty": spread, "bounds": self.bounds, "rate_range": self.rate_range,
            "radius_ratio": instrument.radius_ratio if self.rate_correction == "wide_gap" else None,
        }  # fmt: skip


def half_a_degree(degree: float | None) -> float:
    """Standard uncertainty of a stress that is read to half a degree: the catalogue's, scaled to the instrument's degree."""
    from lutum import si

    usual = _default("stress_uncertainty")
    if degree is None:
        return usual
    standard = float(si.rheology.viscometer(speed=[1.0], reading=[1.0]).wall_stress[0])
    return usual * degree / standard


def _default(name: str) -> float:
    from lutum import si

    found = next(v.default for v in si.rheology.yield_power_law_fit.inputs if v.name == name)
    assert found is not None
    return float(found)


def asked(
    home: UnitSet, model: str, weighting: str, stress_uncertainty: Any, relative_uncertainty: float | None, bounds: Any, rate_range: Any, rate_correction: str
) -> Asked:
    """The options of a fit, checked, in SI."""
    from lutum import si

    option = si.rheology.yield_power_law_fit.option
    assert option is not None
    if weighting not in option.choices:
        raise ValueError(f"weighting = {weighting!r} is unknown; choose one of {', '.join(option.choices)}")
    if rate_correction not in RATE_CORRECTIONS:
        raise ValueError(f"rate_correction = {rate_correction!r} is unknown; choose none (Newtonian rates, as reports have them) or wide_gap")
    spread = None if stress_uncertainty is None else np.asarray(numbers(stress_uncertainty, "stress_uncertainty")) * factor("stress", home)
    relative = _default("relative_uncertainty") if relative_uncertainty is None else float(relative_uncertainty)
    named = bounds_of(model, bounds, home)
    return Asked(weighting, named, range_of(rate_range, home), rate_correction, spread, relative)


def bounds_of(model: str, bounds: Mapping[str, tuple[float, float]] | None, home: UnitSet) -> dict[str, tuple[float, float]]:
    """Bounds by parameter in SI; None is no bound."""
    known = {p.name: p for p in parameters_of(model)}
    found = {}
    for name, (low, high) in (bounds or {}).items():
        if name not in known:
            raise ValueError(f"bounds: {model} has no parameter {name!r}; it has {', '.join(known)}")
        scale = factor(known[name].quantity, home)
        found[name] = (-np.inf if low is None else float(low) * scale, np.inf if high is None else float(high) * scale)
    return found


def fit(
    readings: Any = None,
    model: str = "yield_power_law",
    *,
    units: Any = None,
    shear_rate: Any = None,
    shear_stress: Any = None,
    temperature: Any = None,
    weighting: str = "equal",
    stress_uncertainty: Any = None,
    relative_uncertainty: float | None = None,
    bounds: Mapping[str, tuple[float, float]] | None = None,
    rate_range: Any = None,
    rate_correction: str = "none",
    **geometry: float,
) -> FlowCurve:
    """The flow curve of readings: least squares in stress, within bounds, with an account of what the readings tell.

    ``readings``: {speed in r/min: dial reading} of a standard viscometer, or of another by ``rotor_radius``, ``bob_radius``,
    ``effective_bob_height``, ``spring_constant``; or a mud check; or instead ``shear_rate`` and ``shear_stress``. None and NaN are
    missing readings. ``units``: the set of everything that goes in and comes out, ``field`` unless told. ``temperature``: of the
    readings; unlike ones are refused. ``weighting``: equal, relative (to the stress, of 0.25 Pa at least) or reading_uncertainty
    (``stress_uncertainty``, half a degree unless told, and ``relative_uncertainty``, 0.01 of the stress unless told, root-sum-squared).
    ``bounds``: {parameter: (low, high)}; unless told, the flow index lies between 0.02 and 2 and no stress, viscosity or consistency is
    negative (the calculation rheology.yield_power_law_fit, called by itself, keeps to 0.05 to 1.2 and a yield stress up to 1000 Pa).
    ``rate_range``: "annulus" (to 350 1/s, speeds up to 200 r/min), "pipe" (from 500 1/s, 300 r/min
    and above; both common practice, no source) or (low, high). ``rate_correction``: "wide_gap" fits the exact flow in the gap, for
    newtonian, bingham, power_law and yield_power_law.

    A fit that fails is a curve too: ``status`` and ``sentence`` say what is wrong, and its parameters may be missing.

    >>> from lutum import flow_curve
    >>> mud = flow_curve.fit({600: 65, 300: 40, 200: 31, 100: 21, 6: 8, 3: 7}, temperature=120.0)
    >>> mud.status, round(mud["flow_index"], 3)
    ('fitted', 0.785)
    """
    home = set_of(units)
    model_named(model)
    taken = take(readings, shear_rate, shear_stress, temperature, home, geometry)
    wanted = asked(home, model, weighting, stress_uncertainty, relative_uncertainty, bounds, rate_range, rate_correction)
    return fit_taken(taken, model, wanted, home)


def fit_taken(taken: Taken, model: str, wanted: Asked, home: UnitSet, **more: Any) -> FlowCurve:
    """The fit of readings that are in SI already."""
    stresses = np.array(taken.stresses)
    found = _core.fit_flow_curve(model, np.array(taken.rates), stresses, **wanted.options(stresses, taken))
    fitted = bool(found.states)
    state = State(
        model,
        tuple(map(float, found.parameters)),
        status=str(found.status),
        taken=taken,
        temperature=taken.temperature,
        weighting=wanted.weighting,
        rate_range=wanted.rate_range,
        rate_correction=str(found.rate_correction),
        used=tuple(map(int, found.used)),
        residuals=tuple(map(float, found.residuals)) if fitted else (),
        studentized=tuple(map(float, found.studentized)) if fitted else (),
        suspect=None if found.suspect is None else int(found.suspect),
        covariance=tuple(tuple(map(float, row)) for row in found.covariance) if fitted else (),
        bound_states=tuple(map(str, found.states)),
        degrees_of_freedom=int(found.degrees_of_freedom),
        spread_is_known=wanted.weighting == "reading_uncertainty",
        condition=float(found.condition),
        sum_of_squares=float(found.sum_of_squares),
        corrected_akaike=float(found.corrected_akaike),
    )
    curve = FlowCurve(state, home)
    return curve._with(**more) if more else curve


@dataclass(frozen=True, slots=True)
class Ramps:
    """Two curves of one sample, one with the speed rising, one with it falling, and the area between their readings.

    ``area``: of the stress on the way up less that on the way down, by the trapezium rule over ``over`` ("ln_rate" or "rate"), between
    the rates that both have; positive for a mud that breaks down while it is sheared, signed. ``rates``: those rates.
    """

    up: FlowCurve
    down: FlowCurve
    area: float
    over: str
    unit: str
    rates: tuple[float, ...]

    def as_text(self) -> str:
        against = "the logarithm of the shear rate" if self.over == "ln_rate" else "the shear rate"
        if not np.isfinite(self.area):
            area = "area between the ramps: missing, fewer than two rates stand on both"
        else:
            area = f"area between the ramps {self.area:.4g} {self.unit}, up less down, trapezium rule over {against} at {len(self.rates)} rates"
        return f"up:   {self.up!r}\ndown: {self.down!r}\n{area}"

    __str__ = as_text

    def _repr_html_(self) -> str:
        return "".join(f"<h4>{name}</h4>{curve._repr_html_()}" for name, curve in (("up", self.up), ("down", self.down))) + f"<p>{self.as_text().splitlines()[-1]}</p>"


def fit_ramps(up: Any, down: Any, model: str = "yield_power_law", *, units: Any = None, over: str = "ln_rate", **options: Any) -> Ramps:
    """An up and a down ramp fitted apart; they are never pooled.

    ``up`` and ``down``: {speed in r/min: dial reading} each, or (rates, stresses) each. ``options``: as for ``fit``, for both.
    """
    if over not in ("ln_rate", "rate"):
        raise ValueError(f"over = {over!r} is unknown; choose ln_rate (decades count alike) or rate (the area is then a power in a volume)")
    home = set_of(units)
    curves = []
    for ramp in (up, down):
        given = {"shear_rate": ramp[0], "shear_stress": ramp[1]} if isinstance(ramp, (tuple, list)) else {"readings": ramp}
        curves.append(fit(**given, model=model, units=home, **options))
    sides = []
    for curve in curves:
        taken = curve._state.taken
        assert taken is not None
        sides.append({rate: stress for rate, stress in zip(taken.rates, taken.stresses) if np.isfinite(rate + stress) and rate > 0.0})
    rates = np.array(sorted(set(sides[0]) & set(sides[1])))
    apart = np.array([sides[0][r] - sides[1][r] for r in rates])
    area = float(np.trapezoid(apart, np.log(rates) if over == "ln_rate" else rates)) if len(rates) > 1 else float("nan")
    stress, rate = home.unit("stress"), home.unit("shear_rate")
    shown = area / factor("stress", home) / (1.0 if over == "ln_rate" else factor("shear_rate", home))
    return Ramps(curves[0], curves[1], shown, over, stress if over == "ln_rate" else f"{stress} {rate}", tuple(rates / factor("shear_rate", home)))
