"""A fluid as hydraulics take it: its density and the three numbers of a yield power law, of one fluid or of many."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from lutum import si
from lutum._columns import numbers
from lutum._sets import UnitSet
from lutum.flow_curve import FlowCurve
from lutum.flow_curve.models import as_yield_power_law, factor, set_of

__all__ = ["Fluid"]

NUMBERS = {"density": "density", "yield_stress": "stress", "consistency": "consistency", "flow_index": "number"}
BINGHAM = {"density": "density", "yield_point": "stress", "plastic_viscosity": "viscosity"}
LEAST_INDEX, MOST_INDEX = 0.05, 2.0  # of the flow index, as the hydraulics take it
MOST_TRIES = 200  # rounds of draws before the rest is called impossible


@dataclass(frozen=True, eq=False, repr=False)
class Fluid:
    """Density, yield stress, consistency and flow index in SI: numbers, or arrays of one length for many records.

    Made with ``Fluid.of``; missing numbers (NaN) stay missing and give missing results. What a flow curve does not know, the
    hydraulics do not know either: it holds at one temperature, and gels are not in it.
    """

    density: Any
    yield_stress: Any
    consistency: Any
    flow_index: Any
    units: UnitSet
    origin: str = ""  # in words: what the flow curve is

    @classmethod
    def of(cls, *, density: Any, curve: FlowCurve | None = None, units: Any = "field", **given: Any) -> "Fluid":
        """A fluid of a density and a flow curve, in the units of the set.

        The curve is a ``FlowCurve``, or yield_stress, consistency and flow_index, or yield_point and plastic_viscosity of a Bingham fluid
        (which overstates the stress at the low rates of an annulus; take a fitted curve where there are six readings). Numbers or arrays.

        >>> from lutum.well import Fluid
        >>> mud = Fluid.of(density=10.0, yield_stress=6.0, consistency=0.5, flow_index=0.7)
        >>> round(float(mud.density), 1)
        1198.3
        """
        home = set_of(units)
        if curve is not None:
            if given:
                raise TypeError(f"give a curve or numbers, not both: {', '.join(given)} beside the curve")
            found = _in_si({"density": density} | curve.to(home).as_yield_power_law(), NUMBERS, home)
            return cls(**found, units=home, origin=f"{curve.model.replace('_', ' ')}, {curve.status.replace('_', ' ')}")
        names = NUMBERS if "plastic_viscosity" not in given and "yield_point" not in given else BINGHAM
        wrong = [name for name in given if name not in names]
        lacking = [name for name in names if name != "density" and name not in given]
        if wrong or lacking:
            told = f"there is no {wrong[0]!r}" if wrong else f"{lacking[0]} is missing"
            raise TypeError(f"{told}; give {', '.join(list(NUMBERS)[1:])}, or {', '.join(list(BINGHAM)[1:])}, or a curve")
        found = _in_si({"density": density} | given, names, home)
        if names is BINGHAM:
            found = {"density": found["density"], "yield_stress": found["yield_point"], "consistency": found["plastic_viscosity"],
                     "flow_index": np.ones_like(found["plastic_viscosity"])}  # fmt: skip
        return cls(**found, units=home, origin="Bingham" if names is BINGHAM else "numbers given")

    def in_si(self) -> dict[str, Any]:
        """By name, as the calculations of ``lutum.si.hydraulics`` take them."""
        return {name: getattr(self, name) for name in NUMBERS}

    @property
    def records(self) -> int:
        """How many fluids it stands for."""
        return int(np.broadcast(*self.in_si().values()).size)

    @property
    def is_one(self) -> bool:
        """Whether its numbers are single."""
        return np.broadcast(*self.in_si().values()).ndim == 0

    def record(self, place: int) -> "Fluid":
        """One of many."""
        return Fluid(*(np.broadcast_to(x, (self.records,))[place] for x in self.in_si().values()), self.units, self.origin)

    def drawn(self, curve: FlowCurve, draws: int, *, density_uncertainty: float = 0.0, seed: int = 0) -> "Fluid":
        """Many fluids that this one may be: parameters of the fitted ``curve`` by their covariance, density by its standard uncertainty.

        Draws without meaning (a negative yield stress or consistency, an index outside 0.05 to 2) are drawn again, so that a curve whose
        parameters are poorly known keeps the shape of its uncertainty on the possible side. ``density_uncertainty`` is in the unit of the set.
        """
        if not self.is_one:
            raise ValueError("draws are of one fluid; choose a record first")
        known = np.array(curve.to(si).covariance)
        names = list(curve.in_si())
        if not np.all(np.isfinite(known)):
            raise ValueError(f"nothing is known of the uncertainty of this curve: {curve.sentence}")
        random = np.random.default_rng(seed)
        kept = np.empty((0, len(names)))
        for _ in range(MOST_TRIES):
            drawn = random.multivariate_normal(list(curve.in_si().values()), known, draws, method="eigh")
            index = as_yield_power_law(dict(zip(names, drawn.T)))["flow_index"]
            signs = [x > 0.0 if name in ("consistency", "plastic_viscosity", "viscosity") else x >= 0.0 for name, x in zip(names, drawn.T)]
            kept = np.concatenate([kept, drawn[np.all(signs, axis=0) & (index >= LEAST_INDEX) & (index <= MOST_INDEX)]])[:draws]
            if len(kept) == draws:
                break
        else:
            raise ValueError(f"of {MOST_TRIES * draws} draws only {len(kept)} were possible: the parameters are too poorly known to draw from")
        of = {name: np.broadcast_to(x, (draws,)) for name, x in as_yield_power_law(dict(zip(names, kept.T))).items()}
        density = float(self.density) + density_uncertainty * factor("density", self.units) * random.standard_normal(draws)
        return Fluid(density, **of, units=self.units, origin=f"{draws} draws of: {self.origin}")

    def __repr__(self) -> str:
        def shown(name: str) -> str:
            x = np.asarray(getattr(self, name)) / factor(NUMBERS[name], self.units)
            unit = "" if NUMBERS[name] == "number" else f" {self.units.unit(NUMBERS[name])}"
            if x.ndim == 0:
                return f"{name} {float(x):.4g}{unit}"
            known = x[np.isfinite(x)]
            return f"{name} {known.min():.4g} to {known.max():.4g}{unit}" if len(known) else f"{name} missing"

        count = "" if self.is_one else f" of {self.records} records"
        return f"Fluid{count} ({self.origin}): {', '.join(map(shown, NUMBERS))}"


def _in_si(values: dict[str, Any], quantities: dict[str, str], home: UnitSet) -> dict[str, Any]:
    found = {name: np.asarray(numbers(x, name), float) * factor(quantities[name], home) for name, x in values.items()}
    lengths = {name: x.shape for name, x in found.items() if x.ndim}
    if any(len(shape) > 1 for shape in lengths.values()) or len(set(lengths.values())) > 1:
        told = ", ".join(f"{name} {shape}" for name, shape in lengths.items())
        raise ValueError(f"numbers of a fluid must be single or columns of one length; these have shapes {told}")
    return found
