"""The flow curve of a fluid: a model with its parameters, and everything that tells how far it can be trusted."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum import _core
from lutum._columns import numbers
from lutum._sets import UnitSet

from . import showing, telling
from .models import YIELD_POWER_LAWS, as_yield_power_law, factor, factors, from_kelvin, kelvin, model_named, parameters_of, set_of, unit_of
from .readings import why_not_used
from .state import Band, State

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["FlowCurve"]

nan, inf = float("nan"), float("inf")


class FlowCurve:
    """Shear stress against shear rate of one fluid at one temperature, for hydraulics, cuttings and records alike.

    Made by ``fit``, ``compare``, a ``MeasuredGrid``, or from parameters with ``FlowCurve.of``. Immutable. Every number is in
    the units of ``units``; ``in_si()`` gives the parameters in SI and ``to(metric)`` the same curve in other units.

    >>> from lutum.flow_curve import FlowCurve
    >>> mud = FlowCurve.of("bingham", plastic_viscosity=25.0, yield_stress=10.0)
    >>> round(mud.stress(511.0), 1), mud.status
    (36.7, 'given')
    """

    __slots__ = ("_state", "units")
    units: UnitSet
    _state: State

    def __init__(self, state: State, home: UnitSet) -> None:
        object.__setattr__(self, "_state", state)
        object.__setattr__(self, "units", home)

    def __setattr__(self, name: str, value: Any) -> None:
        raise AttributeError(f"a flow curve does not change: make another one ({name} was to be set)")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"a flow curve does not change: {name} stays")

    @classmethod
    def of(
        cls, model: str, *, units: Any = None, temperature: float | None = None, pressure: float | None = None, **parameters: float
    ) -> "FlowCurve":
        """A curve from its parameters, in the units of the set (``field`` unless told); nothing is known of their uncertainty."""
        home, described = set_of(units), parameters_of(model_named(model))
        names = [p.name for p in described]
        wrong = [name for name in parameters if name not in names]
        lacking = [name for name in names if name not in parameters]
        if wrong or lacking:
            what = f"has no parameter {wrong[0]!r}" if wrong else f"lacks {lacking[0]}"
            listed = ", ".join(f"{p.name}{' in ' + unit_of(p.quantity, home) if p.quantity != 'number' else ''}" for p in described)
            raise TypeError(f"{model} {what}; it takes {listed}")
        given = {name: float(numbers(parameters[name], name)) for name in names}
        for name, x in given.items():
            if not np.isfinite(x):
                raise ValueError(f"{name} = {x} must be a finite number")
        scaled = np.array([given[name] for name in names]) * factors(model, home)
        how = "its parameters were given, not fitted"
        at = None if pressure is None else pressure * factor("pressure", home)
        return cls(State(model, tuple(map(float, scaled)), how=how, temperature=kelvin(temperature, home), pressure=at), home)

    # What it is

    @property
    def model(self) -> str:
        return self._state.model

    @property
    def parameters(self) -> Mapping[str, float]:
        """By name, in the units of the set."""
        values = np.array(self._state.parameters) / factors(self.model, self.units)
        return MappingProxyType({p.name: float(x) for p, x in zip(parameters_of(self.model), values)})

    def in_si(self) -> dict[str, float]:
        """The parameters by name in SI."""
        return {p.name: x for p, x in zip(parameters_of(self.model), self._state.parameters)}

    def to(self, units: Any) -> "FlowCurve":
        """The same curve in the units of another set."""
        return FlowCurve(self._state, set_of(units))

    def __getitem__(self, name: str) -> float:
        """A parameter, in the unit of the set."""
        if name not in self.parameters:
            raise KeyError(f"{self.model} has no parameter {name!r}; it has {', '.join(self.parameters)}")
        return self.parameters[name]

    @property
    def temperature(self) -> float | None:
        """Of the readings, or the one the curve was made for; None when nobody said."""
        return from_kelvin(self._state.temperature, self.units)

    @property
    def pressure(self) -> float | None:
        """The pressure it was made for; None for readings at atmospheric pressure, and when nobody said."""
        return None if self._state.pressure is None else self._state.pressure / factor("pressure", self.units)

    @property
    def yield_stress(self) -> float:
        """The stress below which the fluid does not flow; zero for a model without one.

        Of Robertson and Stiff it is what the formula gives at rest, a pseudo yield stress: no sign of a solid.
        """
        if self.model == "robertson_stiff":
            return float(self.stress(0.0))
        return self.in_si().get("yield_stress", 0.0) / factor("stress", self.units)

    def as_yield_power_law(self) -> dict[str, float]:
        """Yield stress, consistency and flow index, as hydraulics take them, of a model that a yield power law contains."""
        if self.model not in YIELD_POWER_LAWS:
            raise ValueError(f"{self.model} is no yield power law: fit {', '.join(YIELD_POWER_LAWS)} for a calculation that takes one")
        found = as_yield_power_law(self.in_si())
        if not all(np.isfinite(x) for x in found.values()):
            raise ValueError(f"there is no curve to hand on: {self.sentence}")
        scale = {"yield_stress": factor("stress", self.units), "consistency": factor("consistency", self.units)}
        return {name: x / scale.get(name, 1.0) for name, x in found.items()}

    # What it says

    def _states(self, rate: Any) -> tuple[Any, ...]:
        rates = np.asarray(numbers(rate, "rate"), float)
        found = _core.flow_curve_states(self.model, [self._state.parameters], rates.ravel() * factor("shear_rate", self.units))
        return tuple(x[0].reshape(rates.shape) for x in found)

    def stress(self, rate: Any) -> Any:
        """Shear stress at a shear rate, or at each of an array; missing at a negative rate."""
        return _plain(self._states(rate)[0] / factor("stress", self.units))

    def viscosity(self, rate: Any) -> Any:
        """Apparent viscosity: stress over rate. At rest its limit, infinite for a fluid with a yield stress."""
        return _plain(self._states(rate)[1] / factor("viscosity", self.units))

    def local_index(self, rate: Any) -> Any:
        """The slope of log stress against log rate."""
        return _plain(self._states(rate)[2])

    def rate(self, stress: Any) -> Any:
        """The shear rate at which the fluid has this stress; zero at and below the yield stress, missing where no rate has it."""
        stresses = np.asarray(numbers(stress, "stress"), float)
        found = _core.flow_curve_rates(self.model, [self._state.parameters], stresses.ravel() * factor("stress", self.units))
        return _plain(found[0].reshape(stresses.shape) / factor("shear_rate", self.units))

    def band(self, rate: Any, level: float = 0.95) -> Band:
        """The stress with its confidence band: where the *curve* lies at this level if the model is right, not the next reading.

        Student's t times the standard uncertainty, from the covariance of the parameters that no bound holds. Missing where the
        readings leave no degree of freedom, and for a curve that was not fitted to readings.
        """
        if not 0.0 < level < 1.0:
            raise ValueError(f"level = {level} must lie between 0 and 1; 0.95 is usual")
        from scipy.stats import t  # type: ignore[import-untyped, unused-ignore]

        rates = np.asarray(numbers(rate, "rate"), float)
        middle = np.asarray(self.stress(rates), float)
        if not self._state.covariance:
            missing = np.full(rates.shape, nan)
            return Band.of(_plain(middle), _plain(missing), _plain(missing), self.units.unit("stress"))
        inside = rates.ravel() * factor("shear_rate", self.units)
        slopes = np.where(np.array(self._state.bound_states) == "free", _core.flow_curve_slopes(self.model, [self._state.parameters], inside), 0.0)
        variance = np.einsum("ij,jk,ik->i", slopes, np.array(self._state.covariance), slopes)
        freedom = inf if self._state.spread_is_known else self.degrees_of_freedom
        quantile = float(t.ppf(0.5 + 0.5 * level, freedom)) if freedom > 0 else nan
        half = quantile * np.sqrt(variance).reshape(rates.shape) / factor("stress", self.units)
        return Band.of(_plain(middle), _plain(middle - half), _plain(middle + half), self.units.unit("stress"))

    # How far it can be trusted

    @property
    def status(self) -> str:
        """One word: fitted, at_bound, flat, not_identifiable, too_few_readings, suspect_reading, not_converged; given; interpolated; fallback."""
        return self._state.status

    @property
    def sentence(self) -> str:
        """The status in words, with what is behind it."""
        return telling.sentence(self)

    @property
    def evidence(self) -> str:
        """Of a curve taken from a comparison: what spoke for it, and what for the others."""
        return self._state.evidence

    @property
    def standard_uncertainties(self) -> Mapping[str, float]:
        """Of the parameters; zero for one that a bound holds, missing where the readings cannot tell."""
        return MappingProxyType({p.name: float(x) for p, x in zip(parameters_of(self.model), np.sqrt(np.diag(self.covariance)))})

    @property
    def covariance(self) -> Any:
        """Of the parameters, in their order and units; all missing where nothing is known."""
        n = len(self._state.parameters)
        known = np.array(self._state.covariance) if self._state.covariance else np.full((n, n), nan)
        scale = factors(self.model, self.units)
        return known / np.outer(scale, scale)

    @property
    def correlation(self) -> Any:
        """Of the parameters; 0 beside one that a bound holds."""
        u = np.sqrt(np.diag(self.covariance))
        with np.errstate(invalid="ignore", divide="ignore"):
            found = np.where(np.outer(u, u) == 0.0, 0.0, self.covariance / np.outer(u, u))
        np.fill_diagonal(found, 1.0)
        return found

    @property
    def active_bounds(self) -> Mapping[str, str]:
        """The parameters that a bound holds, and which in words."""
        return MappingProxyType(telling.active_bounds(self))

    @property
    def is_identifiable(self) -> bool:
        """Whether the readings tell each parameter; the curve itself may be good where they do not."""
        return bool(self._state.bound_states) and telling.WORTH[self.status].parameters

    @property
    def suspect(self) -> str:
        """The reading that lies off the curve of the others, in words; "" when there is none."""
        place, taken = self._state.suspect, self._state.taken
        return "" if place is None or taken is None else taken.label(place, self.units)

    @property
    def weighting(self) -> str:
        return self._state.weighting

    @property
    def rate_correction(self) -> str:
        return self._state.rate_correction

    @property
    def rate_range(self) -> tuple[float, float]:
        """The rates that were asked for; readings at others were not used."""
        low, high = (x / factor("shear_rate", self.units) for x in self._state.rate_range)
        return low, high

    @property
    def rates_used(self) -> tuple[float, float]:
        """Lowest and highest rate of the readings used: outside them the curve is a guess."""
        taken, scale = self._state.taken, factor("shear_rate", self.units)
        if taken is None or not self._state.used:
            return nan, nan
        rates = [taken.rates[place] / scale for place in self._state.used]
        return min(rates), max(rates)

    @property
    def degrees_of_freedom(self) -> int:
        return self._state.degrees_of_freedom

    @property
    def condition(self) -> float:
        """Of the fit: 1 where each reading tells its own parameter, 1e7 and above where parameters cannot be told apart."""
        return self._state.condition

    @property
    def sum_of_squares(self) -> float:
        """Of the residuals in stress, without weight."""
        return self._state.sum_of_squares / factor("stress", self.units) ** 2

    @property
    def residual_scatter(self) -> float:
        """Root mean square of the residuals in stress, without weight."""
        return float(np.sqrt(self.sum_of_squares / len(self._state.used))) if self._state.used else nan

    @property
    def corrected_akaike(self) -> float:
        """Akaike's criterion corrected for few readings; only differences between models on the same readings mean anything."""
        return self._state.corrected_akaike

    @property
    def why_not_used(self) -> dict[str, str]:
        """The readings that the fit left out, and why."""
        taken = self._state.taken
        if taken is None:
            return {}
        reasons = why_not_used(taken, self._state.used, self._state.rate_range, self.units)
        return {taken.label(place, self.units): reason for place, reason in enumerate(reasons) if reason}

    def at_temperature(self, temperature: float, law: str, **options: Any) -> "FlowCurve":
        """The curve at another temperature by a published law, where no readings are: a fallback, and labelled so. See ``lutum.flow_curve.LAWS``."""
        from .laws import at_temperature

        return at_temperature(self, temperature, law, **options)

    # How it shows itself

    def frame(self) -> "pd.DataFrame":
        """The parameters: value, standard uncertainty, unit, whether a bound holds it, meaning."""
        return showing.parameter_frame(self)

    def readings(self) -> "pd.DataFrame":
        """The readings: rate, stress, the curve there, residual, whether used and why not, whether suspect."""
        return showing.reading_frame(self)

    def as_text(self) -> str:
        return showing.text_of(self)

    def _repr_html_(self) -> str:
        return showing.html_of(self)

    def __repr__(self) -> str:
        return showing.repr_of(self)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, FlowCurve) and self.units == other.units and repr(self._state) == repr(other._state)

    def __hash__(self) -> int:
        return hash((self.units, repr(self._state)))

    def __reduce__(self) -> tuple[Any, ...]:
        return FlowCurve, (self._state, self.units)

    def _with(self, **changes: Any) -> "FlowCurve":
        return FlowCurve(replace(self._state, **changes), self.units)


def _plain(x: Any) -> Any:
    return float(x) if np.ndim(x) == 0 else x
