"""A well: its path, holes, string and bit, and what they hold."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from math import inf, isnan
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from lutum import units as unit_of
from lutum._columns import numbers
from lutum._sets import UnitSet
from lutum.flow_curve.models import factor, set_of

from .checking import ROUNDING, check, check_depth, findings
from .reading import CASED, Bit, Hole, Part, Path, as_bit, as_holes, as_path, as_string, clean, counted, out_of_si, plain, shown
from .rows import Rows, lay_out

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Times", "Volumes", "Well"]

JOINTS = ("lumped", "each")
USUAL_SPACING = {"ft": 100.0}  # of rows, in the unit of length; else 30 m


class Times(NamedTuple):
    """Of pumping at one rate, in the set's unit of bench time (minutes in field and metric)."""

    surface_to_bit: float
    bottoms_up: float
    full_circulation: float

    def __repr__(self) -> str:
        return "Times: " + ", ".join(f"{name.replace('_', ' ')} {np.array2string(np.asarray(x), precision=4)}" for name, x in zip(self._fields, self))


@dataclass(frozen=True, repr=False)
class Volumes:
    """What a well holds with its bit at one depth, in the set's unit of mud volume.

    The hole is as large as it was declared, washout included; what it truly holds, a tracer tells.
    """

    string: float  # bore of the string
    annulus: float  # beside the string: bottoms-up
    below_bit: float
    steel: float  # what the string displaces when it fills itself
    closed_end: float  # what it displaces when it does not
    hole: float  # without the string
    units: UnitSet

    @property
    def unit(self) -> str:
        """Of all of them."""
        return self.units.unit("mud_volume")

    @property
    def circulating(self) -> float:
        """String and annulus: what is pumped round."""
        return self.string + self.annulus

    def __repr__(self) -> str:
        parts = ", ".join(f"{field.name.replace('_', ' ')} {getattr(self, field.name):.4g}" for field in fields(self) if field.name != "units")
        return f"Volumes: {parts} {self.unit}"

    def times(self, flow_rate: Any) -> Times:
        """How long these volumes take at a flow rate in the set's unit, or at each of many."""
        rate = np.asarray(numbers(flow_rate, "flow_rate"), float)
        if rate.ndim == 0 and not rate > 0.0:
            raise ValueError(f"flow_rate = {flow_rate} {self.units.unit('flow_rate')} must be above 0: without flow nothing arrives")
        scale = factor("mud_volume", self.units) / factor("flow_rate", self.units) / factor("bench_time", self.units)
        per = scale / np.where(rate > 0.0, rate, np.nan)
        return Times(*(plain(v * per) for v in (self.string, self.annulus, self.circulating)))

    def bottoms_up(self, flow_rate: Any) -> Any:
        """How long what is at the bit takes to the surface; pump strokes are ``annulus`` over the volume of a stroke."""
        return self.times(flow_rate).bottoms_up


class Well:
    """One well, immutable: holes from the top down, a string from the bit up, a bit, a path.

    Each is a table: a frame, the path of a CSV file, a list of dicts, or a dict of columns. Numbers are in the units of ``units``
    (``field``, ``metric``, ``si`` or a ``lutum.unit_set(...)``); angles are always degrees, washout percent of the diameter.

    ``holes``: name, kind (riser, casing, liner, open_hole), bottom_measured_depth, inside_diameter; top_measured_depth (the bottom of
    the one above), washout (0, open hole only), eccentricity (0).
    ``string``: name, length, outside_diameter, inside_diameter; tool joints by joint_diameter, joint_length, joint_spacing (from one to
    the next) and joint_bore (that of the body); roughness (0). A motor or a measuring tool is a part like any other, with
    the bore of its neighbours; what it loses besides goes to ``circulate`` as ``tool_pressure``. Without its length the last part reaches the surface; with it, the
    bit hangs as deep as the string is long.
    ``bit``: bit_diameter; nozzles (a list of diameters) or nozzle_area; discharge_coefficient (0.95).
    ``survey``: measured_depth, inclination, azimuth; or measured_depth and true_vertical_depth of a planned hole; none is vertical.
    ``joints``: ``lumped`` puts the joints of every section together into a row of their own, of their share of its length, which
    keeps every sum over the section and few rows; ``each`` lays every joint out, at the upper end of each length of pipe.

    What cannot be is a ValueError that names the segment; what is unlikely stands in ``findings``.
    """

    __slots__ = ("_bit", "_holes", "_parts", "_path", "_told", "joints", "units")
    units: UnitSet
    joints: str
    _holes: tuple[Hole, ...]
    _parts: tuple[Part, ...]
    _bit: Bit | None
    _path: Path
    _told: tuple[str, ...]

    def __init__(self, *, holes: Any, string: Any, bit: Any = None, survey: Any = None, units: Any = "field", joints: str = "lumped") -> None:
        home = set_of(units)
        taken = as_holes(holes, home)
        path, told = as_path(survey, home)
        self._set(taken, as_string(string, home), as_bit(bit, home), path, told, home, joints)

    def _set(
        self, holes: tuple[Hole, ...], parts: tuple[Part, ...], bit: Bit | None, path: Path, told: tuple[str, ...], home: UnitSet, joints: str
    ) -> None:
        if joints not in JOINTS:
            raise ValueError(f"joints = {joints!r} is unknown; choose {' or '.join(JOINTS)}")
        state = {"_holes": holes, "_parts": parts, "_bit": bit, "_path": path, "_told": told, "units": home, "joints": joints}
        for name, value in state.items():
            object.__setattr__(self, name, value)
        check(holes, parts, bit, path, self._usual_bit_depth(), home)

    def __setattr__(self, name: str, value: Any) -> None:
        raise AttributeError(f"a well does not change: make another one with replace ({name} was to be set)")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"a well does not change: {name} stays")

    def replace(self, **tables: Any) -> "Well":
        """The well with another table: ``well.replace(bit={"bit_diameter": 8.5, "nozzles": [14, 14, 14]})``; also ``joints``."""
        known = ("holes", "string", "bit", "survey", "joints")
        for name in tables:
            if name not in known:
                raise TypeError(f"a well has no table {name!r}; it has {', '.join(known)}")
        holes = as_holes(tables["holes"], self.units) if "holes" in tables else self._holes
        parts = as_string(tables["string"], self.units) if "string" in tables else self._parts
        bit = as_bit(tables["bit"], self.units) if "bit" in tables else self._bit
        path, told = as_path(tables["survey"], self.units) if "survey" in tables else (self._path, self._told)
        return Well._of(holes, parts, bit, path, told, self.units, tables.get("joints", self.joints))

    def to(self, units: Any) -> "Well":
        """The same well in the units of another set."""
        return Well._of(self._holes, self._parts, self._bit, self._path, self._told, set_of(units), self.joints)

    @classmethod
    def _of(cls, *state: Any) -> "Well":
        made = object.__new__(cls)
        made._set(*state)
        return made

    def __reduce__(self) -> tuple[Any, ...]:
        return Well._of, (self._holes, self._parts, self._bit, self._path, self._told, self.units, self.joints)

    # What it is

    @property
    def bottom(self) -> float:
        """Measured depth of the bottom of the hole."""
        return float(self._out(self._holes[-1].bottom))

    @property
    def shoe(self) -> float | None:
        """Measured depth of the bottom of the deepest casing or liner; None where there is none."""
        cased = [hole.bottom for hole in self._holes if hole.kind in CASED]
        return self._out(max(cased)) if cased else None

    @property
    def bit_depth(self) -> float:
        """Where the bit is unless told: as deep as the string is long, at the bottom for a string that reaches the surface by itself."""
        return float(self._out(self._usual_bit_depth()))

    @property
    def bit(self) -> Mapping[str, float]:
        """bit_diameter, nozzle_area and discharge_coefficient in the units of the well; what was not given is missing (NaN)."""
        quantity = {"bit_diameter": "diameter", "nozzle_area": "area", "discharge_coefficient": "number"}
        return MappingProxyType({name: self._out(x, quantity[name]) for name, x in self.bit_in_si().items()})

    def bit_in_si(self) -> dict[str, float]:
        """The same in SI, as calculations take them."""
        bit = self._bit or Bit(np.nan)
        return {"bit_diameter": bit.bit_diameter, "nozzle_area": bit.nozzle_area, "discharge_coefficient": bit.discharge_coefficient}

    @property
    def findings(self) -> tuple[str, ...]:
        """What is possible but unlikely, in words."""
        return (*self._told, *findings(self._holes, self._parts, self.units))

    def true_vertical_depth(self, measured_depth: Any) -> Any:
        """At a measured depth, or at each of many: there missing (NaN) outside the well, where one depth alone is an error."""
        return self._at(measured_depth, 0, factor("length", self.units))

    def inclination(self, measured_depth: Any) -> Any:
        """In degrees from vertical; see ``true_vertical_depth``."""
        return self._at(measured_depth, 1, 1.0)

    # Its sections

    def rows(self, bit_depth: float | None = None, spacing: float | None = None) -> Rows:
        """The well cut into sections from the surface down, in SI: at every change of hole, part and bend, in pieces of about ``spacing``.

        ``bit_depth`` and ``spacing`` are in the unit of the well; by default the bit is at its usual depth and a piece about 30 m or
        100 ft long. ``spacing=inf`` cuts only where hole or part change. Above a shallower bit the string is cut off at the surface.
        """
        scale = factor("length", self.units)
        depth = self._usual_bit_depth() if bit_depth is None else self._one(bit_depth, "bit_depth") * scale
        check_depth(self._holes, self._parts, self._bit, depth, self.units)
        if spacing is None:
            step = USUAL_SPACING["ft"] * scale if self.units.unit("length") == "ft" else 30.0
        else:
            step = float(spacing) * scale
        if not step > 0.0:
            raise ValueError(f"spacing = {spacing} {self.units.unit('length')} must be above 0; inf cuts only where hole or part change")
        return lay_out(self._holes, self._parts, self._path, depth, step, self.joints == "each")

    def sections(self, bit_depth: float | None = None, spacing: float | None = inf) -> "pd.DataFrame":
        """The same as a frame to read, in the units of the well, inclination in degrees; ``attrs["units"]`` has them.

        One row where hole or part change; a ``spacing`` cuts finer, None as fine as ``rows``. Lumped tool joints are the lower row of their
        section, as long as all of them together; the inclination is that of a row's middle. Below the bit part is "" and pipe_diameter 0.
        """
        import pandas as pd

        rows = self.rows(bit_depth, spacing)
        held = rows.volumes()
        columns: dict[str, tuple[Any, str]] = {
            "top_measured_depth": (rows.top_measured_depth, "length"),
            "bottom_measured_depth": (rows.bottom_measured_depth, "length"),
            "bottom_true_vertical_depth": (rows.bottom_true_vertical_depth, "length"),
            "hole_diameter": (rows.hole_diameter, "diameter"),
            "pipe_diameter": (rows.pipe_diameter, "diameter"),
            "bore": (rows.bore, "diameter"),
            "eccentricity": (rows.eccentricity, "number"),
            "roughness": (rows.roughness, "diameter"),
            "string_volume": (held["string"], "mud_volume"),
            "annulus_volume": (held["annulus"], "mud_volume"),
            "below_bit_volume": (held["below_bit"], "mud_volume"),
        }
        data = {"hole": rows.hole, "part": rows.part} | {name: self._out(x, quantity) for name, (x, quantity) in columns.items()}
        frame = pd.DataFrame(data)
        frame.insert(5, "inclination", clean(np.degrees(rows.inclination)))
        told = {name: self.units.unit(quantity) for name, (_, quantity) in columns.items() if quantity != "number"}
        frame.attrs["units"] = told | {"inclination": unit_of.label("dega")}
        return frame

    def volumes(self, bit_depth: float | None = None) -> Volumes:
        """What string, annulus and the hole below the bit hold, what the string displaces, and from them bottoms-up."""
        held = {name: float(x.sum()) for name, x in self.rows(bit_depth, inf).volumes().items()}
        held["closed_end"] = held["string"] + held["steel"]
        return Volumes(**{name: self._out(x, "mud_volume") for name, x in held.items()}, units=self.units)

    def __repr__(self) -> str:
        holes = ", ".join(f"{hole.name} to {self._out(hole.bottom):g}" for hole in self._holes)
        parts = ", ".join(part.name for part in self._parts)
        deviated = float(np.max(self._path.at(np.minimum(self._path.measured, self._holes[-1].bottom))[1]))
        bit = "no bit" if self._bit is None else f"bit {shown(self._bit.bit_diameter, 'diameter', self.units)}"
        told = counted(self.findings)
        return f"Well: {holes} {self.units.unit('length')}, up to {deviated:.3g} degrees; {bit}, from it up {parts}{told}"

    # Inside

    def _usual_bit_depth(self) -> float:
        given = sum(part.length for part in self._parts)
        return self._holes[-1].bottom if isnan(given) else given

    def _out(self, x: Any, quantity: str = "length") -> Any:
        """From SI, without the last bit that a conversion leaves."""
        return out_of_si(x, quantity, self.units)

    def _one(self, x: Any, name: str) -> float:
        found = np.asarray(numbers(x, name), float)
        if found.ndim or not np.isfinite(found):
            raise ValueError(f"{name} = {x!r} must be one finite number, in {self.units.unit('length')}")
        return float(found)

    def _at(self, measured_depth: Any, which: int, scale: float) -> Any:
        depth = np.asarray(numbers(measured_depth, "measured_depth"), float) * factor("length", self.units)
        bottom = self._holes[-1].bottom
        inside = (depth >= 0.0) & (depth <= bottom + ROUNDING)
        if depth.ndim == 0 and not inside:
            raise ValueError(
                f"measured_depth = {measured_depth} {self.units.unit('length')} is outside the well, "
                f"0 to {shown(bottom, 'length', self.units)}; give a depth in it"
            )
        found = self._path.at(np.where(inside, np.minimum(depth, self._path.measured[-1]), np.nan))[which]
        return clean(np.minimum(found, depth) / scale if which == 0 else found)
