"""A well while it is circulated: pump pressure, pressure and equivalent density down the hole, and how far they are from the window."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum import si
from lutum._columns import numbers
from lutum._sets import UnitSet
from lutum.flow_curve.models import factor

from .checking import ROUNDING
from .cleaning import lags
from .fluid import Fluid
from .lifting import Annulus, Rock, numbers_of
from .reading import clean, counted, out_of_si, plain
from .rows import COLUMNS, Rows
from .window import Places, Window, place_at, places

if TYPE_CHECKING:
    import pandas as pd

    from .geometry import Well

__all__ = ["CAUTION", "Circulation", "circulate", "surface_coefficient"]

CAUTION = (
    "Advisory. Pressures, rates and margins are for the well's own programme, its barriers and licensed practice to decide; limits are as uncertain as "
    "the tests behind them. Temperature, compressibility, gels and cuttings beds are not in these numbers."
)
SUMMED = ("pressure", "hydrostatic_pressure", "annulus_loss", "string_loss")
BUDGET = ("surface_loss", "string_loss", "tool_loss", "bit_loss", "annulus_loss")
QUANTITIES = {v.name: v.quantity for v in si.hydraulics.circulation.results}
TAKEN = {v.name: v for v in si.hydraulics.circulation.inputs}


def surface_coefficient(lines: Any) -> float:
    """The coefficient of surface lines given as such, by class (``type_1`` to ``type_4``), or None for none."""
    if lines is None:
        return 0.0
    if isinstance(lines, str):
        of = si.hydraulics.surface_lines
        like, unit = (of(1000.0, 0.03, 0.02, coefficient=0.01, equipment=equipment).pressure_loss for equipment in (lines, "given"))
        return float(f"{0.01 * like / unit:.12g}")
    return float(lines)


def circulate(
    well: "Well",
    fluid: Fluid,
    flow_rate: Any,
    *,
    method: str = "exact",
    bit_depth: float | None = None,
    back_pressure: Any = 0.0,
    penetration_rate: Any = 0.0,
    cuttings_density: Any = None,
    cuttings_diameter: float | None = None,
    slip_velocity: Any = 0.0,
    rotation_factor: Any = 1.0,
    surface_lines: Any = None,
    tool_pressure: Any = 0.0,
    tool_flow_rate: Any = None,
    spacing: float | None = None,
    rows: Rows | None = None,
) -> "Circulation":
    """The well circulated at a rate, in its own units: one record, or many at once where anything is an array.

    Arrays of fluid, ``flow_rate``, ``back_pressure``, ``penetration_rate``, ``rotation_factor`` and so on are records and must be of one
    length; ``rows`` (``well.rows().replace(hole_diameter=...)``) gives every record a geometry of its own. ``method``: ``exact``,
    ``standard``, ``laminar_rate``. ``surface_lines``: a coefficient, or a class ``type_1`` to ``type_4``; none leaves them out. Motor and measuring
    tools lose ``tool_pressure`` at ``tool_flow_rate`` with this fluid.

    While drilling (``penetration_rate``) the cuttings weigh on the annulus. With ``cuttings_diameter`` their lag behind the stream is found in
    every row (``slip_velocities``: the fall near the vertical, the correlation of inclined holes from 30 degrees up where the rate keeps the hole
    clean; where a bed is expected the fall along the vertical stands in, and the load is understated). Without it ``slip_velocity`` is one number
    or one a row; 0 counts the cuttings as fed, which is less than stands there.
    """
    home = well.units
    given = {"flow_rate": flow_rate, "back_pressure": back_pressure, "penetration_rate_of_bit": penetration_rate, "rotation_factor": rotation_factor,
             "tool_pressure": tool_pressure}  # fmt: skip
    if tool_flow_rate is not None:
        given["tool_flow_rate"] = tool_flow_rate
    elif np.any(np.asarray(tool_pressure) != 0.0):
        raise ValueError(f"tool_pressure = {tool_pressure} {home.unit('pressure')} needs the rate at which it was told: give tool_flow_rate too")
    scalars = {name: np.asarray(numbers(x, name), float) * factor(TAKEN[name].quantity, home) for name, x in given.items()}
    if cuttings_density is not None:
        scalars["cuttings_density"] = np.asarray(numbers(cuttings_density, "cuttings_density"), float) * factor("density", home)
    laid = well.rows(bit_depth, spacing) if rows is None else rows
    remarks: list[str] = []
    if cuttings_diameter is not None:
        slip_velocity, beds = _lag(well, fluid, laid, flow_rate, penetration_rate, cuttings_diameter, cuttings_density)
        if beds:
            where = f"{beds} of {int(laid.in_string.sum())} sections"
            remarks.append(f"a bed of cuttings is expected in {where} (see cleaning): how much lies there is not known, and their weight is understated")
    slip = np.asarray(numbers(slip_velocity, "slip_velocity"), float) * factor("velocity", home)
    if slip.ndim or slip != 0.0:
        laid = laid.replace(slip_velocity=np.where(laid.in_string, slip, 0.0))
    bit = well.bit_in_si()
    wanted = {"nozzle_area": "nozzles or nozzle_area", "bit_diameter": "bit_diameter"}
    for name, told in wanted.items():
        if bit[name] != bit[name]:
            raise ValueError(f"the bit of this well has no {told}: well.replace(bit={{...}}) gives it one")
    others = bit | {"surface_coefficient": surface_coefficient(surface_lines)}
    inputs = {name: np.asarray(x, float) for name, x in (fluid.in_si() | scalars | others).items()}
    lengths = {name: len(x) for name, x in inputs.items() if x.ndim} | {n: len(x) for n, x in laid.columns().items() if x.ndim == 2}
    if len(set(lengths.values())) > 1 or any(x.ndim > 1 for x in inputs.values()):
        listed = ", ".join(f"{name} {n}" for name, n in lengths.items())
        raise ValueError(f"records of unlike numbers: {listed}; give each one number or as many as the others")
    result = si.hydraulics.circulation(**inputs, **laid.columns(), method=method)
    remarks += outside_validated(inputs, home)
    found = {name: np.asarray(x) for name, x in zip(result._fields, result)}
    return Circulation(found, inputs, laid, method, home, tuple(remarks), cuttings_diameter is not None)


@dataclass(frozen=True, eq=False, repr=False)
class Circulation:
    """A circulated well, of one record or many. Numbers come in the units of the well, a row a section, records first."""

    results: dict[str, Any]  # in SI
    inputs: dict[str, Any]
    rows: Rows
    method: str
    units: UnitSet
    findings: tuple[str, ...] = ()  # what is possible but unlikely, or not in the numbers
    slip_is_found: bool = False

    @property
    def records(self) -> int | None:
        """How many; None where there is one alone, whose numbers are single."""
        shape = self.results["pressure"].shape[:-1]
        return shape[0] if shape else None

    def __getitem__(self, name: str) -> Any:
        """A result of every row by its name: ``circulation["equivalent_density"]``."""
        if name not in QUANTITIES:
            raise KeyError(f"a circulation has no {name!r}; it has {', '.join(QUANTITIES)}")
        return self.results[name] / factor(QUANTITIES[name], self.units)

    def _last(self, name: str) -> Any:
        return plain(self[name][..., -1])

    @property
    def pump_pressure(self) -> Any:
        """At the pump."""
        return self._last("pump_pressure")

    @property
    def bottom_pressure(self) -> Any:
        """In the annulus, at the bottom of the hole."""
        return self._last("pressure")

    @property
    def bottom_equivalent_density(self) -> Any:
        """Of that pressure."""
        return self._last("equivalent_density")

    @property
    def resting_equivalent_density(self) -> Any:
        """At the bottom just after the pumps stop, the cuttings still in the annulus: what a connection leaves."""
        return self.without_friction().bottom_equivalent_density

    @property
    def _head(self) -> Any:
        return head_of(self.rows.bottom_true_vertical_depth)

    def without_friction(self) -> "Circulation":
        """The same well the moment its pumps have stopped: no friction, the cuttings still where they are."""
        gone = {name: np.zeros_like(x) for name, x in self.results.items() if name.endswith(("_loss", "_gradient")) or name == "velocity"}
        pressure = self.results["pressure"] - self.results["annulus_loss"]
        density = pressure / np.where(self._head > 0.0, self._head, np.nan)
        pump = self.results["pump_pressure"] - sum(self.results[name] for name in BUDGET)
        still = self.results | gone | {"pressure": pressure, "equivalent_density": density, "pump_pressure": pump}
        return replace(self, results=still, inputs=self.inputs | {"flow_rate": np.zeros_like(self.inputs["flow_rate"])})

    def budget(self) -> "pd.DataFrame":
        """Where the pump's pressure goes, a row a record: surface lines, string, bit, annulus, the cuttings' weight, back pressure."""
        import pandas as pd

        parts = {name: np.atleast_1d(self._last(name)) for name in BUDGET}
        back = np.broadcast_to(self.inputs["back_pressure"] / factor("pressure", self.units), np.shape(parts["bit_loss"]))
        total = np.atleast_1d(self.pump_pressure)
        weight = total - sum(parts.values()) - back
        parts |= {"cuttings_weight": np.where(np.abs(weight) < 1e-9 * np.abs(total), 0.0, weight), "back_pressure": back, "pump_pressure": total}
        made = pd.DataFrame({name: clean(x) for name, x in parts.items()})
        made.attrs["units"] = dict.fromkeys(made.columns, self.units.unit("pressure"))
        return made

    def profile(self, record: int = 0) -> "pd.DataFrame":
        """Down the well, a row a section, in the units of the well: depths of the section's bottom and everything found there.

        ``pump_pressure`` is the pump's if the string ended there; what surface lines, tools and bit lose is the same in every row.
        """
        import pandas as pd

        def one(x: Any) -> Any:
            return x[record] if np.ndim(x) == 2 else x

        columns = {
            "hole": self.rows.hole, "part": self.rows.part,
            "bottom_measured_depth": out_of_si(one(self.rows.bottom_measured_depth), "length", self.units),
            "bottom_true_vertical_depth": out_of_si(one(self.rows.bottom_true_vertical_depth), "length", self.units),
        }  # fmt: skip
        made = pd.DataFrame(columns | {name: clean(one(self[name])) for name in QUANTITIES})
        made.attrs["units"] = {name: self.units.unit(q) for name, q in QUANTITIES.items()} | dict.fromkeys(list(columns)[2:], self.units.unit("length"))
        return made

    def at(self, name: str, measured_depth: float) -> Any:
        """A pressure that is summed down the hole (``pressure``, ``hydrostatic_pressure``, ``annulus_loss``, ``string_loss``) at a depth: between
        the bottoms of two rows it runs straight along the hole."""
        if name not in SUMMED:
            raise KeyError(f"{name!r} is not summed down the hole; choose {', '.join(SUMMED)}")
        return plain(self._at(measured_depth).between(self.results[name], self._surface if name == "pressure" else self._surface * 0.0)[..., 0]
                     / factor("pressure", self.units))  # fmt: skip

    def equivalent_density_at(self, measured_depth: float) -> Any:
        """Of the pressure at that depth."""
        place = self._at(measured_depth)
        pressure = place.between(self.results["pressure"], self._surface)[..., 0]
        return plain(pressure / head_of(place.true_vertical_depth[0]) / factor("density", self.units))

    @property
    def _surface(self) -> Any:
        """The pressure on the annulus at the surface, of every record."""
        return np.broadcast_to(self.inputs["back_pressure"], self.results["pressure"].shape[:-1])

    def _at(self, measured_depth: float) -> Places:
        depth = self.rows.bottom_measured_depth
        at = measured_depth * factor("length", self.units)
        if depth.ndim > 1 or not 0.0 < at <= depth[-1] + ROUNDING:
            raise ValueError(f"measured_depth = {measured_depth:g} {self.units.unit('length')} must be in the well; rows of one geometry are needed")
        return place_at(self.rows, at)

    def margins(self, window: Window) -> "pd.DataFrame":
        """How far the open hole is from its window, a row a record: the least distance to each side and the measured depth where it is.

        Above: fracture less circulating. Below: the fluid at rest, without its cuttings, less the larger of pore and collapse. The shoe, the
        open hole and every bend of the window in it count. Where the window says nothing, nothing is held: ``attrs["unwatched"]`` tells where.
        Negative is outside. Advisory.
        """
        import pandas as pd

        watched = places(self.rows, window)
        limits, head = window.at(watched.true_vertical_depth), head_of(watched.true_vertical_depth)
        flowing = watched.between(self.results["pressure"], self._surface) / head
        resting = np.asarray(self.inputs["density"])[..., None] + np.asarray(self.inputs["back_pressure"])[..., None] / head
        columns: dict[str, Any] = {}
        for name, limit, margin in (
            ("to_fracture", limits["fracture_density"], limits["fracture_density"] - flowing),
            ("to_lower_limit", limits["lower"], resting - limits["lower"]),
        ):
            known = np.where(np.isfinite(limit), margin, np.inf)
            known = np.broadcast_to(known, (max(1, len(np.atleast_2d(self.results["pressure"]))), len(limit)))
            lost = np.isnan(known).any(axis=-1)
            place = np.where(np.isnan(known), np.inf, known).argmin(axis=-1)
            least = np.take_along_axis(known, place[:, None], axis=-1)[:, 0]
            columns[name] = np.where(lost | np.isinf(least), np.nan, out_of_si(least, "density", self.units))
            columns[name + "_at"] = np.where(np.isnan(columns[name]), np.nan, out_of_si(watched.measured_depth[place], "length", self.units))
        made = pd.DataFrame(columns)
        made.attrs["unwatched"] = window.unknown(watched, self.units)
        made.attrs["units"] = {name: self.units.unit("length" if name.endswith("_at") else "density") for name in made.columns}
        return made

    def slopes(self, of: Any, by: Any, rows: Any = (-1,)) -> dict[str, dict[str, Any]]:
        """Exact derivatives of results in some rows by any continuous input, in the units of the well: ``slopes("pump_pressure",
        ["flow_rate", "hole_diameter"])``.

        At a given slip velocity of the cuttings: where that was found from ``cuttings_diameter`` it would change with rate and fluid, so that
        slopes are refused; give ``slip_velocity`` (of ``slip_velocities``) to hold it. Inputs: density, yield_stress, consistency, flow_index,
        flow_rate, nozzle_area, ... and the columns of the rows. See ``Calculation.slopes``.
        """
        if self.slip_is_found and np.any(self.inputs["penetration_rate_of_bit"] > 0.0):
            raise ValueError(
                "the slip velocity of the cuttings was found from cuttings_diameter, and its change is in no slope; circulate with "
                "slip_velocity=slip_velocities(...) to hold it fixed"
            )
        found = si.hydraulics.circulation.slopes(of, by, rows, **self.inputs, **{name: getattr(self.rows, name) for name in COLUMNS}, method=self.method)
        per = {name: factor(v.quantity, self.units) for name, v in TAKEN.items()}
        return {of: {by: x * per[by] / factor(QUANTITIES[of], self.units) for by, x in slopes.items()} for of, slopes in found.items()}

    @property
    def caution(self) -> str:
        """To be read with every number."""
        return CAUTION

    def __repr__(self) -> str:
        pressure, density = self.units.unit("pressure"), self.units.unit("density")
        if self.records is None:
            return (f"Circulation ({self.method}): pump {self.pump_pressure:.5g} {pressure}, at the bottom "
                    f"{self.bottom_equivalent_density:.4g} {density}; advisory{self._told}")  # fmt: skip
        return f"Circulation ({self.method}) of {self.records} records, {len(self.rows)} sections each; advisory{self._told}"

    @property
    def _told(self) -> str:
        return counted(self.findings)


def _lag(well: "Well", fluid: Fluid, rows: Rows, flow_rate: Any, penetration_rate: Any, diameter: float, density: Any) -> tuple[Any, int]:
    """How far the cuttings stay behind in every row, and in how many a bed is expected."""
    if np.ndim(penetration_rate) or np.ndim(density):
        raise ValueError("with cuttings_diameter give one penetration_rate and one cuttings_density; or find the slip of each record first (slip_velocities)")
    if not fluid.is_one:
        raise ValueError(
            f"with cuttings_diameter give one fluid, not {fluid.records} records; for many find the slip of one of them and give it: "
            "slip_velocity=slip_velocities(well, fluid.record(0), ...)"
        )
    rock = Rock.of(well, fluid, diameter, density, penetration_rate, "smooth", None, None)
    found, beds = lags(well, Annulus(rows, numbers_of(fluid), rock), np.atleast_1d(np.asarray(flow_rate, float)), inclined=True)
    return (found if np.ndim(flow_rate) else found[0]), beds if float(penetration_rate) > 0.0 else 0


def outside_validated(inputs: dict[str, Any], home: UnitSet) -> list[str]:
    """Numbers outside the range that the methods were made with, in words and in the units of the set."""
    told = []
    for name, given in inputs.items():
        x, (low, high) = np.atleast_1d(given), TAKEN[name].validated
        odd = x[(x < low) | (x > high)]
        if len(odd):
            told.append(is_outside(TAKEN[name], float(odd[0]), home, f" in {len(odd)} of {len(x)} records" if np.ndim(given) else ""))
    return told


def is_outside(taken: Any, x: float, home: UnitSet, where: str = "") -> str:
    """The sentence about one such number, in SI."""
    per, unit = factor(taken.quantity, home), "" if taken.quantity == "number" else f" {home.unit(taken.quantity)}"
    low, high = (y / per for y in taken.validated)
    return f"{taken.name} = {x / per:.6g}{unit}{where} is outside {low:.6g} to {high:.6g}{unit}, the range the methods were made with; look at its unit"


def head_of(true_vertical_depth: Any) -> Any:
    """Pressure of a resting column of 1 kg/m3 down to these depths."""
    return si.density.hydrostatic_pressure(1.0, true_vertical_depth).pressure
