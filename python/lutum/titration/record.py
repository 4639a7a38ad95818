"""What was done at the bench: sample, reagents, increments and what each spot showed."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

import lutum

if TYPE_CHECKING:
    from lutum._sets import UnitSet
    from lutum.titration.outcome import Outcome

__all__ = ["EndPoint", "Increment", "MudSample", "Preparation", "Reagents", "SolidsSample", "Spot", "Titration"]


class Spot(StrEnum):
    """What a drop on filter paper showed after an increment of dye."""

    NO_HALO = "no halo"
    HALO = "halo"  # not confirmed by two more minutes of swirling
    HALO_GONE = "halo gone after two minutes"
    HALO_HELD = "halo held"

    @property
    def shows_free_dye(self) -> bool:
        """A halo that was not seen to go away."""
        return self in (Spot.HALO, Spot.HALO_HELD)


@dataclass(frozen=True, slots=True)
class Increment:
    """All dye added up to this spot, mL as read on the burette or syringe, and what the spot showed."""

    dye_volume: float
    spot: Spot

    def __post_init__(self) -> None:
        _positive(self.dye_volume, "increment: dye_volume", "mL", zero=True)
        if self.spot not in list(Spot):
            raise ValueError(f"increment at {self.dye_volume:g} mL: spot {str(self.spot)!r} is unknown; say {', '.join(map(repr, map(str, Spot)))}")
        object.__setattr__(self, "spot", Spot(self.spot))


@dataclass(frozen=True, slots=True)
class MudSample:
    """Mud in the flask, mL; where it was taken; whether it holds organics (polymers, lignosulfonate, lignite), None if not recorded."""

    volume: float
    source: str = ""
    organics: bool | None = None

    def __post_init__(self) -> None:
        _positive(self.volume, "sample: volume", "mL")

    def __str__(self) -> str:
        return f"{self.volume:g} mL of mud" + (f", {self.source}" if self.source else "")


@dataclass(frozen=True, slots=True)
class SolidsSample:
    """Solids in the flask, g, with their moisture (mass fraction of the moist solids); where from; whether they hold organics."""

    mass: float
    moisture: float = 0.0
    source: str = ""
    organics: bool | None = None

    def __post_init__(self) -> None:
        _positive(self.mass, "sample: mass", "g")
        _fraction(self.moisture, "sample: moisture")

    def __str__(self) -> str:
        return f"{self.mass:g} g of solids with {100 * self.moisture:g} % moisture" + (f", {self.source}" if self.source else "")


@dataclass(frozen=True, slots=True)
class Reagents:
    """Strength of the dye, meq/mL, moisture of its powder (mass fraction), and volumes, mL, of acid and peroxide; None if not recorded."""

    dye_strength: float = 0.01
    dye_moisture: float | None = None
    acid_volume: float | None = None
    acid_strength: float | None = None
    peroxide_volume: float | None = None
    peroxide_strength: float | None = None

    def __post_init__(self) -> None:
        _positive(self.dye_strength, "reagents: dye_strength", "meq/mL")
        for name, unit in (("acid_volume", "mL"), ("acid_strength", "meq/mL"), ("peroxide_volume", "mL")):
            value = getattr(self, name)
            if value is not None:
                _positive(value, f"reagents: {name}", unit, zero=True)
        for name in ("dye_moisture", "peroxide_strength"):
            value = getattr(self, name)
            if value is not None:
                _fraction(value, f"reagents: {name}")

    @classmethod
    def from_powder(
        cls,
        dye_mass: float,
        moisture: float,
        solution_volume: float = 1000.0,
        *,
        acid_volume: float | None = None,
        acid_strength: float | None = None,
        peroxide_volume: float | None = None,
        peroxide_strength: float | None = None,
    ) -> "Reagents":
        """The strength from what was weighed in: g of powder, its moisture (mass fraction), mL of solution."""
        home = lutum.unit_set("metric", mass_fraction="kg/kg")
        strength = home.clay.dye_strength(dye_mass=dye_mass, solution_volume=solution_volume, moisture=moisture).dye_strength
        return cls(strength, moisture, acid_volume, acid_strength, peroxide_volume, peroxide_strength)


@dataclass(frozen=True, slots=True)
class Preparation:
    """How the sample was boiled: minutes, and whether it boiled dry; None if not recorded."""

    boiled_minutes: float | None = None
    boiled_dry: bool | None = None

    def __post_init__(self) -> None:
        if self.boiled_minutes is not None:
            _positive(self.boiled_minutes, "preparation: boiled_minutes", "min", zero=True)


class EndPoint(NamedTuple):
    """The end point by the standard's rule, mL: not reached up to ``lower``, reported at ``upper``; ``confirmed`` by two more minutes.

    ``place`` is the increment reported, counted from 0; None, and ``upper`` missing, where no spot shows an end point.
    """

    lower: float
    upper: float
    confirmed: bool
    place: int | None

    @property
    def width(self) -> float:
        return self.upper - self.lower


@dataclass(frozen=True, slots=True)
class Titration:
    """One titration. Increments may be given as pairs ``(3.5, "no halo")``; ``result(units)`` gives numbers and reasons."""

    sample: MudSample | SolidsSample
    increments: tuple[Increment, ...]
    reagents: Reagents
    preparation: Preparation

    def __init__(
        self,
        sample: MudSample | SolidsSample,
        increments: Iterable[Increment | tuple[float, Spot | str]],
        reagents: Reagents | None = None,
        preparation: Preparation | None = None,
    ) -> None:
        listed = tuple(i if isinstance(i, Increment) else Increment(float(i[0]), i[1]) for i in increments)  # type: ignore[arg-type]
        if not listed:
            raise ValueError("titration: no increments; give every volume of dye with what its spot showed")
        object.__setattr__(self, "sample", sample)
        object.__setattr__(self, "increments", listed)
        object.__setattr__(self, "reagents", reagents or Reagents())
        object.__setattr__(self, "preparation", preparation or Preparation())

    @property
    def end_point(self) -> EndPoint:
        """The first halo that held for two more minutes; without one, the first of the halos that nothing contradicts, unconfirmed."""
        spots = [i.spot for i in self.increments]
        confirmed = Spot.HALO_HELD in spots
        if confirmed:
            place = spots.index(Spot.HALO_HELD)
        else:
            place = len(spots)
            while place > 0 and spots[place - 1].shows_free_dye:
                place -= 1
        below = [i.dye_volume for i in self.increments[:place] if not i.spot.shows_free_dye]
        lower = below[-1] if below else 0.0
        if place == len(spots):
            return EndPoint(lower, math.nan, False, None)
        return EndPoint(lower, self.increments[place].dye_volume, confirmed, place)

    def result(self, units: "UnitSet | str" = "field") -> "Outcome":
        """End point, capacity and equivalent with their uncertainties, in a unit set or one by name, and every reason against them."""
        from lutum.titration.judging import outcome_of

        return outcome_of(self, lutum.unit_set(units) if isinstance(units, str) else units)

    def readings(self) -> dict[str, tuple[float, str]]:
        """What a mud check takes of it, each as (value, unit); the dye is missing (NaN) where there is no end point.

        ``MudCheck({**titration.readings(), "mud_density": 10.4})``. ValueError for a sample of solids: a check wants one of mud.
        """
        if not isinstance(self.sample, MudSample):
            raise ValueError(f"sample = {self.sample} is no sample of mud, so its titration is no reading of a mud check; use result()")
        return {
            "dye_volume": (self.end_point.upper, "mL"),
            "dye_sample_volume": (self.sample.volume, "mL"),
            "dye_strength": (self.reagents.dye_strength, "meq/mL"),
        }

    def __str__(self) -> str:
        lines = [f"Methylene blue titration of {self.sample}", f"dye {self.reagents.dye_strength:g} meq/mL", "dye, mL  spot"]
        return "\n".join([*lines, *(f"{i.dye_volume:7.2f}  {i.spot}" for i in self.increments)])


def _positive(value: float, what: str, unit: str, zero: bool = False) -> None:
    if not (math.isfinite(value) and (value > 0 or (zero and value == 0))):
        least = "at least 0" if zero else "more than 0"
        raise ValueError(f"{what} = {value:g} {unit} is not {least} {unit}; give what was read, or leave the entry out")


def _fraction(value: float, what: str) -> None:
    if not 0 <= value < 1:
        raise ValueError(f"{what} = {value:g} is not from 0 to below 1; give a mass fraction, 0.05 for 5 %")
