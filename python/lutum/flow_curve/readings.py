"""Readings on their way into a fit: dial readings by speed or stresses by rate, of one temperature and one ramp, in SI."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite, isnan
from typing import Any

import numpy as np

from lutum import units
from lutum._columns import numbers
from lutum._sets import UnitSet

from .models import factor, from_kelvin, kelvin

__all__ = ["RATE_RANGES", "Taken", "take"]

# Common practice, no source: the annulus shears drilling mud at some 5 to 340 1/s, which are the speeds up to 200 r/min of the
# standard viscometer; 300 and 600 r/min, 511 and 1022 1/s, stand for the drill pipe. The limits lie between those rates.
RATE_RANGES: dict[str, tuple[float, float]] = {"annulus": (0.0, 350.0), "pipe": (500.0, float("inf"))}
GEOMETRY = ("rotor_radius", "bob_radius", "effective_bob_height", "spring_constant")


@dataclass(frozen=True, slots=True)
class Taken:
    """Readings in SI, in the order given. ``speeds`` in r/min and ``dials`` in degrees where they came from a viscometer."""

    rates: tuple[float, ...]
    stresses: tuple[float, ...]
    speeds: tuple[float, ...] = ()
    dials: tuple[float, ...] = ()
    temperature: float | None = None
    degree: float | None = None  # Pa, of the instrument
    bob_radius: float | None = None
    rotor_radius: float | None = None

    def label(self, place: int, home: UnitSet) -> str:
        """A reading as one would call it, in the units of a set; what is missing is not said."""
        if self.speeds:
            where, what = f"at {self.speeds[place]:g} r/min", f"{self.dials[place]:g} degrees" if isfinite(self.dials[place]) else ""
        else:
            rate, stress = self.rates[place] / factor("shear_rate", home), self.stresses[place] / factor("stress", home)
            where = f"at {rate:.4g} {home.unit('shear_rate')}" if isfinite(rate) else "at unknown rate"
            what = f"{stress:.4g} {home.unit('stress')}" if isfinite(stress) else ""
        return f"the reading {where}{', ' if what else ''}{what}"

    @property
    def radius_ratio(self) -> float | None:
        """Bob over rotor."""
        return None if self.bob_radius is None or self.rotor_radius is None else self.bob_radius / self.rotor_radius


def take(
    readings: Any, shear_rate: Any, shear_stress: Any, temperature: Any, home: UnitSet, geometry: Mapping[str, float]
) -> Taken:
    """Readings in one of their forms: {speed in r/min: degrees}, a mud check, or rates and stresses."""
    unknown = [name for name in geometry if name not in GEOMETRY]
    if unknown:
        raise TypeError(f"{unknown[0]} is neither an argument nor part of the instrument; that has {', '.join(GEOMETRY)}")
    if readings is None:
        if shear_rate is None or shear_stress is None:
            raise ValueError("give readings as {speed in r/min: dial reading}, a mud check, or shear_rate and shear_stress")
        return _of_stresses(shear_rate, shear_stress, one_temperature(temperature, home), home, geometry)
    if shear_rate is not None or shear_stress is not None:
        raise ValueError("give either dial readings or shear_rate and shear_stress, not both")
    if not isinstance(readings, Mapping):
        readings, temperature = _of_check(readings, temperature, home)
    return _of_dials(readings, one_temperature(temperature, home), home, geometry)


def one_temperature(temperature: Any, home: UnitSet) -> float | None:
    """The temperature of all readings, in K. Readings of different temperatures are different fluids: an error."""
    if temperature is None:
        return None
    given = np.unique(np.asarray(numbers(temperature, "temperature"), float))
    if given.size == 0 or np.isnan(given).all():
        return None
    if np.isnan(given).any() or given.size > 1:
        listed = ", ".join("unknown" if isnan(t) else f"{t:g}" for t in given)
        raise ValueError(
            f"the readings were taken at different temperatures, {listed} {home.unit('temperature')}: they are never pooled. "
            "Fit each temperature by itself, or put them into a MeasuredGrid and fit at the temperature wanted"
        )
    return kelvin(float(given[0]), home)


def _of_check(check: Any, temperature: Any, home: UnitSet) -> tuple[dict[float, float], Any]:
    """Dial readings and their temperature out of a mud check."""
    from lutum.mud_check import MudCheck
    from lutum.records.columns import dial_speed

    if not isinstance(check, MudCheck):
        if hasattr(check, "columns"):
            raise TypeError("readings are a frame: flow_curve.fit_many(frame) fits every row of it")
        raise TypeError(f"readings must be {{speed in r/min: dial reading}} or a mud check, not {type(check).__name__}")
    dials = {speed: check[name] for name in check.readings if (speed := dial_speed(name)) is not None}
    if not dials:
        raise ValueError("the mud check has no dial readings: reading_600, reading_300 and so on")
    own = check["reading_temperature"] if "reading_temperature" in check.readings else float("nan")
    if isnan(own):
        return dials, temperature
    here = float(units.convert(own, check.units.unit("temperature"), home.unit("temperature")))
    return dials, here if temperature is None else [here, float(temperature)]


def _of_dials(readings: Mapping[Any, Any], temperature: float | None, home: UnitSet, geometry: Mapping[str, float]) -> Taken:
    from lutum import si

    if not readings:
        raise ValueError("there are no readings: give {speed in r/min: dial reading}, such as {600: 65, 300: 40}")
    try:
        speeds = [float(speed) for speed in readings]
    except (TypeError, ValueError):
        raise ValueError(f"speeds must be numbers in r/min, not {list(readings)!r}") from None
    dials = np.array([float(numbers(x, f"the dial reading at {s:g} r/min")) for s, x in zip(speeds, [np.nan if x is None else x for x in readings.values()])])
    given = instrument(home, geometry)
    viscometer = in_rpm().rheology.viscometer
    for name, numbers_of, unit in (("speed", speeds, "r/min"), ("reading", dials, "degrees")):
        low, high = next(v.limits for v in viscometer.inputs if v.name == name)
        wrong = [(s, x) for s, x in zip(speeds, numbers_of) if x < low or x > high]
        if wrong:
            what = f"the reading at {wrong[0][0]:g} r/min" if name == "reading" else "a speed"
            raise ValueError(f"{what} = {wrong[0][1]:g} {unit} is outside its limit, {low:g} to {high:g} {unit}; a reading that was not taken is None")
    found = viscometer(speed=speeds, reading=dials, **given)
    usual = {v.name: v.default for v in si.rheology.viscometer.inputs}
    degree = float(viscometer(speed=[300.0], reading=[1.0], **given).wall_stress[0])
    return Taken(
        tuple(map(float, found.shear_rate)), tuple(map(float, found.wall_stress)), tuple(speeds), tuple(map(float, dials)), temperature, degree,
        given.get("bob_radius", usual["bob_radius"]), given.get("rotor_radius", usual["rotor_radius"]),
    )  # fmt: skip


def in_rpm() -> UnitSet:
    """SI with speeds as they are on the machine."""
    return UnitSet("si", {"rotational_speed": "rpm"})


def instrument(home: UnitSet, geometry: Mapping[str, float]) -> dict[str, float]:
    """What is told of the instrument, in SI; the standard one needs nothing."""
    quantities = {v.name: v.quantity for v in home.rheology.viscometer.inputs}
    return {name: float(x) * factor(quantities[name], home) for name, x in geometry.items()}


def _of_stresses(rate: Any, stress: Any, temperature: float | None, home: UnitSet, geometry: Mapping[str, float]) -> Taken:
    from lutum import si

    rates = np.atleast_1d(numbers(rate, "shear_rate")) * factor("shear_rate", home)
    stresses = np.atleast_1d(numbers(stress, "shear_stress")) * factor("stress", home)
    if rates.ndim != 1 or rates.shape != stresses.shape:
        raise ValueError(f"shear_rate has {rates.size} values, shear_stress {stresses.size}: give one stress for each rate")
    if looks_like_ramps(rates):
        raise ValueError(
            "shear_rate goes through the same rates up and down again: ramps are never pooled. Fit them apart with "
            "fit_ramps(up=(rates, stresses), down=(rates, stresses)), or sort the readings if they were repeated on purpose"
        )
    usual = {v.name: v.default for v in si.rheology.viscometer.inputs}
    bob, rotor = (instrument(home, geometry).get(name, usual[name]) for name in ("bob_radius", "rotor_radius"))
    return Taken(tuple(map(float, rates)), tuple(map(float, stresses)), temperature=temperature, bob_radius=bob, rotor_radius=rotor)


def looks_like_ramps(rates: Any) -> bool:
    """Whether the rates rise and then fall, or fall and then rise, through at least two of the same."""
    steps = np.sign(np.diff(rates[np.isfinite(rates)]))
    steps = steps[steps != 0]
    turns = int((np.diff(steps) != 0).sum())
    repeated = rates.size - np.unique(rates).size
    return turns == 1 and repeated >= 2


def range_of(rate_range: Any, home: UnitSet) -> tuple[float, float]:
    """The rates to use, in 1/s: None for all, a name of RATE_RANGES, or (low, high) in the unit of the set."""
    if rate_range is None:
        return 0.0, float("inf")
    if isinstance(rate_range, str):
        if rate_range not in RATE_RANGES:
            raise ValueError(f"rate_range = {rate_range!r} is unknown; choose {' or '.join(RATE_RANGES)}, or give (low, high) in {home.unit('shear_rate')}")
        return RATE_RANGES[rate_range]
    low, high = (float(x) * factor("shear_rate", home) for x in rate_range)
    if not low <= high:
        raise ValueError(f"rate_range = {rate_range}: the low rate must not be above the high one")
    return low, high


def why_not_used(taken: Taken, used: tuple[int, ...], rate_range: tuple[float, float], home: UnitSet) -> tuple[str, ...]:
    """For every reading why the fit left it out, "" for those it used."""
    why = []
    for place, (rate, stress) in enumerate(zip(taken.rates, taken.stresses)):
        if place in used:
            why.append("")
        elif not isfinite(stress):
            why.append("missing")
        elif not (isfinite(rate) and rate > 0.0):
            why.append("its shear rate is not above zero")
        elif not rate_range[0] <= rate <= rate_range[1]:
            low, high = (x / factor("shear_rate", home) for x in rate_range)
            why.append(f"outside the rate range, {low:g} to {high:g} {home.unit('shear_rate')}")
        else:
            why.append("its uncertainty is missing or not above zero")
    return tuple(why)


def at_temperature(temperature: float | None, home: UnitSet) -> str:
    """The temperature in words."""
    return "at unknown temperature" if temperature is None else f"at {from_kelvin(temperature, home):g} {home.unit('temperature')}"
