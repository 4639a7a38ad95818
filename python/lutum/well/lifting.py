"""Cuttings in the annulus of a well, section by section, in SI: what is drilled, how it lags behind the stream, what rate lifts it."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum import si
from lutum._columns import numbers
from lutum._sets import UnitSet, unit_set
from lutum.flow_curve.models import factor

from .fluid import Fluid
from .reading import shown
from .rows import Rows

if TYPE_CHECKING:
    from .geometry import Well

__all__ = ["ALIKE", "QUANTITIES", "Annulus", "Rock", "cuttings_density_of", "numbers_of", "rate_of", "share_of", "variable"]

ALIKE = 1e-9  # a rate that came back from another unit is the same rate
QUANTITIES = {
    "top_measured_depth": "length", "bottom_measured_depth": "length", "bottom_true_vertical_depth": "length", "velocity": "velocity",
    "slip_velocity": "velocity", "transport_ratio": "number", "concentration": "volume_fraction", "critical_velocity": "velocity",
    "critical_flow_rate": "flow_rate",
}  # fmt: skip


@dataclass(frozen=True)
class Rock:
    """What is drilled, in SI, and the law of its fall."""

    diameter: float
    density: float
    penetration_rate: float
    bit_diameter: float
    method: str
    shape: dict[str, float]

    @classmethod
    def of(cls, well: "Well", fluid: Fluid, diameter: Any, density: Any, penetration: Any, method: str, sphericity: Any, thickness: Any) -> "Rock":
        home = well.units
        density = cuttings_density_of(home) if density is None else density
        if not fluid.is_one:
            raise ValueError(f"hole cleaning is of one fluid, not {fluid.records} records: fluid.record(place) is one of them")
        choices = si.cuttings.slip_velocity.option.choices
        if method not in choices:
            raise ValueError(f"method = {method!r} is unknown; choose {', '.join(choices)}")
        shape = {"sphericity": sphericity, "thickness_ratio": thickness}
        made = cls(
            one_number(diameter, "cuttings_diameter", variable("slip_velocity", "cuttings_diameter", home), home, "give their size, not the hole's"),
            one_number(density, "cuttings_density", variable("slip_velocity", "cuttings_density", home), home, "give that of the rock"),
            one_number(penetration, "penetration_rate", variable("transport", "penetration_rate_of_bit", home), home, "look at its unit"),
            well.bit_in_si()["bit_diameter"],
            method,
            {name: one_number(x, name, variable("slip_velocity", name, home), home, "see cuttings.slip_velocity") for name, x in shape.items() if x is not None},
        )
        if made.bit_diameter != made.bit_diameter:
            raise ValueError("the bit of this well has no bit_diameter: well.replace(bit={...}) gives it one")
        if made.density <= float(fluid.density):
            raise ValueError(
                f"cuttings_density = {density} {home.unit('density')} is not above the fluid's {shown(float(fluid.density), 'density', home)}: "
                "they float and need no lifting; look at its unit"
            )
        return made

    def drilled(self) -> dict[str, float]:
        return {"bit_diameter": self.bit_diameter, "penetration_rate_of_bit": self.penetration_rate}


@dataclass(frozen=True)
class Annulus:
    """Rows with a fluid and the cuttings in it, in SI. A flow rate is one number or (rates, 1); results have a column a row of the string."""

    rows: Rows
    fluid: dict[str, float]
    rock: Rock

    @classmethod
    def of(cls, well: "Well", fluid: Fluid, rock: Rock, bit_depth: float | None, spacing: float | None) -> "Annulus":
        if spacing is not None and not np.isfinite(spacing):
            raise ValueError(
                f"spacing = {spacing} {well.units.unit('length')}: hole cleaning needs the inclination along the well; give a finite spacing, or none"
            )
        rows = well.rows(bit_depth, spacing)
        if not rows.in_string.any():
            raise ValueError(f"bit_depth = {bit_depth} {well.units.unit('length')}: there is no string in the hole, so no annulus to clean")
        return cls(rows, numbers_of(fluid), rock)

    @cached_property
    def there(self) -> Any:
        return np.asarray(self.rows.in_string)

    @cached_property
    def inclination(self) -> Any:
        return np.asarray(self.rows.inclination)[self.there]

    @cached_property
    def gap(self) -> dict[str, Any]:
        return {name: np.asarray(getattr(self.rows, name))[..., self.there] for name in ("hole_diameter", "pipe_diameter")}

    @cached_property
    def bingham(self) -> dict[str, float]:
        """Plastic viscosity and yield point, as a viscometer would report them of the flow curve."""
        viscometer, speed = si.rheology.viscometer, np.array([600.0, 300.0]) * factor("rotational_speed", unit_set("field"))
        one_degree = viscometer(speed=speed, reading=[1.0, 1.0])
        reading = si.rheology.yield_power_law(**self.curve, shear_rate=one_degree.shear_rate).shear_stress / one_degree.wall_stress
        highest = next(v for v in viscometer.inputs if v.name == "reading").limits[1]
        told = viscometer(speed=speed, reading=np.where(reading <= highest, reading, np.nan))
        point = float(told.yield_point)
        none = abs(point) < ALIKE * float(told.plastic_viscosity) * float(one_degree.shear_rate[0])  # what rounding leaves of a Newtonian fluid
        return {"plastic_viscosity": float(told.plastic_viscosity), "yield_point": 0.0 if none else point}

    @property
    def curve(self) -> dict[str, float]:
        return {name: x for name, x in self.fluid.items() if name != "density"}

    @cached_property
    def way(self) -> Any:
        """Which method speaks in each row, as cuttings.high_angle says of the inclination alone."""
        calculation = si.cuttings.high_angle
        return calculation.judge(**(calculation.example | {"inclination": self.inclination}))

    @cached_property
    def inclined(self) -> Any:
        return self.way != "near_vertical"

    @property
    def lacking(self) -> str:
        """Why a number that the fluid should give is missing."""
        missing = [name for name, x in self.fluid.items() if x != x]
        if missing:
            return f"{missing[0]} of the fluid is missing"
        if not self.bingham["yield_point"] >= 0.0:
            off = self.bingham["yield_point"] != self.bingham["yield_point"]
            return "at 600 r/min the fluid reads beyond the dial" if off else "the fluid thickens with the rate, so that its yield point is negative"
        return "the fluid's viscosity is beyond the limits of the method"

    def _of_high_angle(self) -> dict[str, Any]:
        rock = {"cuttings_diameter": self.rock.diameter, "cuttings_density": self.rock.density, **self.rock.drilled()}
        return {"density": self.fluid["density"], "inclination": self.inclination, **self.bingham, **rock, **self.gap}

    def laminar(self, flow_rate: Any) -> Any:
        return si.hydraulics.slot_pressure_gradient(**self.fluid, **self.gap, flow_rate=flow_rate)

    def viscosity(self, flow_rate: Any) -> Any:
        """Of the fluid at the wall, laminar."""
        wall = si.rheology.yield_power_law(**self.curve, shear_rate=1.0, given_stress=self.laminar(flow_rate).wall_stress).rate_at_stress
        return si.rheology.yield_power_law(**self.curve, shear_rate=wall).apparent_viscosity

    def slip(self, flow_rate: Any) -> Any:
        """Fall along the vertical."""
        of = si.cuttings.slip_velocity.choosing(self.rock.method)
        rock = {"cuttings_diameter": self.rock.diameter, "cuttings_density": self.rock.density}
        return of(**rock, density=self.fluid["density"], effective_viscosity=self.viscosity(flow_rate), **self.rock.shape).slip_velocity

    def lag(self, flow_rate: Any) -> tuple[Any, Any]:
        """By the row's own method: how far the cuttings stay behind; and the answer of cuttings.high_angle."""
        high = si.cuttings.high_angle(**self._of_high_angle(), effective_viscosity=self.viscosity(flow_rate))
        return np.where(self.inclined, high.slip_velocity, self.slip(flow_rate)), high

    def lag_without_bed(self, flow_rate: Any) -> tuple[Any, Any]:
        """The lag; where a bed is expected or nothing is known of it, the fall along the vertical. And where that is."""
        lag, high = self.lag(flow_rate)
        bed = self.inclined & ~((flow_rate >= high.critical_flow_rate * (1.0 - ALIKE)) & np.isfinite(lag))
        return np.where(bed, self.slip(flow_rate), lag), bed

    def state(self, flow_rate: float) -> dict[str, Any]:
        """Everything at one rate."""
        lag, high = self.lag(flow_rate)
        given = {"density": self.fluid["density"], "cuttings_density": self.rock.density, **self.gap, **self.rock.drilled()}
        given |= {"flow_rate": flow_rate, "slip_velocity": lag}
        moved, verdict = si.cuttings.transport(**given), si.cuttings.transport.judge(**given)
        bed = self.inclined & (flow_rate < high.critical_flow_rate * (1.0 - ALIKE))
        index = {"density": self.fluid["density"], "velocity": self.laminar(flow_rate).velocity, "inclination": self.inclination, **self.bingham}
        beyond = si.cuttings.carrying_capacity_index.judge(**index) == "inclined"
        return {
            **{name: getattr(self.rows, name)[self.there] for name in list(QUANTITIES)[:3]},
            "velocity": moved.velocity, "slip_velocity": lag, "bed": bed, "verdict": verdict, "beyond_index": beyond,
            "transport_ratio": np.where(bed, np.nan, moved.transport_ratio),
            "concentration": np.where(bed, np.nan, moved.concentration),
            "critical_velocity": np.where(self.inclined, high.critical_velocity, np.nan),
            "critical_flow_rate": np.where(self.inclined, high.critical_flow_rate, np.nan),
            "carrying_capacity": np.where(beyond, np.nan, si.cuttings.carrying_capacity_index(**index).carrying_capacity),
        }  # fmt: skip

    def needs(self, flow_rate: Any, share: float) -> tuple[Any, Any, Any]:
        """At the viscosity of one flow rate: the rates that the concentration asks for, and the critical one (0 up to 30 degrees) and velocity."""
        lag, high = self.lag(flow_rate)
        given = {**self.gap, **self.rock.drilled(), "inclination": self.inclination}
        by_concentration = si.cuttings.minimum_rate(**given, slip_velocity=lag, highest_concentration=share).flow_rate
        return by_concentration, np.where(self.inclined, high.critical_flow_rate, 0.0), high.critical_velocity

    def needed(self, flow_rate: Any, share: float) -> Any:
        return np.maximum(*self.needs(flow_rate, share)[:2])

    def decided(self, flow_rate: float, share: float, home: UnitSet) -> tuple[int, str]:
        """The row that needs most, and what for."""
        by_concentration, critical, velocity = self.needs(flow_rate, share)
        place = int(np.maximum(by_concentration, critical).argmax())
        if critical[place] > by_concentration[place]:
            return place, f"slower than the critical velocity of {shown(velocity[place], 'velocity', home)} a bed stays there"
        return place, f"at less, more than {shown(share, 'volume_fraction', home)} of cuttings stand there"

    def outside_range(self, home: UnitSet) -> tuple[str, ...]:
        """What lies outside the range that a method was made with, in words."""
        drilled = {"cuttings_diameter": self.rock.diameter, "penetration_rate_of_bit": self.rock.penetration_rate}
        values = {"density": self.fluid["density"], **self.bingham, **drilled}
        used = {"slip_velocity": not self.inclined.all(), "high_angle": self.inclined.any(), "carrying_capacity_index": not self.inclined.all()}
        told = []
        for calculation in (name for name, speaks in used.items() if speaks):
            for v in getattr(home.cuttings, calculation).inputs:
                x = values.get(v.name, np.nan) / factor(v.quantity, home)
                low, high = v.validated
                if x < low * (1.0 - ALIKE) or x > high * (1.0 + ALIKE):
                    told.append(f"cuttings.{calculation}: {v.name} {x:.4g} {v.unit} is outside {low:.4g} to {high:.4g} {v.unit}, the range it was made with")
        return tuple(told)


def cuttings_density_of(home: Any) -> float:
    """The catalogue's own, in the unit of the set."""
    return float(next(v.default for v in home.hydraulics.circulation.inputs if v.name == "cuttings_density"))


def numbers_of(fluid: Fluid) -> dict[str, float]:
    return {name: float(x) for name, x in fluid.in_si().items()}


def variable(calculation: str, name: str, home: Any) -> Any:
    return next(v for v in getattr(home.cuttings, calculation).inputs if v.name == name)


def one_number(x: Any, name: str, described: Any, home: UnitSet, advice: str) -> float:
    """In SI, held against the limits of the calculation that takes it."""
    found = np.asarray(numbers(x, name), float)
    low, high = described.limits
    if found.ndim or not low <= found <= high:
        unit = "" if described.quantity == "number" else f" {described.unit}"
        raise ValueError(f"{name} = {x}{unit} must be one number from {low:.4g} to {high:.4g}{unit}: {described.meaning}; {advice}")
    return float(found) * factor(described.quantity, home)


def rate_of(x: Any, home: UnitSet) -> float:
    found = one_number(x, "flow_rate", variable("transport", "flow_rate", home), home, "look at its unit")
    if found == 0.0:
        raise ValueError(f"flow_rate = {x} {home.unit('flow_rate')} must be above 0: at rest nothing is lifted, and what hangs cuttings.suspension tells")
    return found


def share_of(x: Any, home: UnitSet) -> float:
    described = variable("minimum_rate", "highest_concentration", home)
    return one_number(described.default if x is None else x, "highest_concentration", described, home, "5 % is usual")
