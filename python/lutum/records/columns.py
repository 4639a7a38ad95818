"""The known columns of a mud check: what each means, what it measures, what can physically stand in it.

One table for reading, suggesting and auditing. A new column is a new row here. Inputs of the calculations that are
not in the table (`lutum.catalogue()`) are known too, and where a calculation gives limits these are used.
"""

import re
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from typing import Any

import lutum
from lutum import units
from lutum.mud_check.plan import shipped
from lutum.mud_check.readings import names_of

PRACTICE = "common practice, no source"
BY_DEFINITION = "by definition"


@dataclass(frozen=True)
class Range:
    """From `low` to `high` in `unit`, both allowed; `source` says who says so."""

    low: float
    high: float
    unit: str
    source: str = PRACTICE


@dataclass(frozen=True)
class Column:
    """A known column.

    `kind`: "number", "text" or "time". `quantity`: what it measures, a quantity of `lutum.units`; converted on reading.
    `unit`: for a number that is never converted, its only unit, with `spellings` of it.
    `zero`: "possible", "improbable" (may be a gap written as 0) or "impossible".
    `depth`: a depth, to which sentinels of the whole file are not applied. `test`: the bench test a reading belongs to;
    readings of one test are taken together. `limits`: outside is an error; `usual`: outside is worth a look.
    `names`: how reports head it, lower case, words apart.
    """

    name: str
    kind: str
    meaning: str
    quantity: str = ""
    unit: str = ""
    spellings: tuple[str, ...] = ()
    zero: str = "possible"
    depth: bool = False
    test: str = ""
    limits: Range | None = None
    usual: Range | None = None
    names: tuple[str, ...] = ()

    @property
    def needs_unit(self) -> bool:
        """Whether the table must state a unit. Counts, pH and dial readings need none; a funnel time is of a quart or a litre."""
        if not self.quantity:
            return self.test == "funnel"
        return self.quantity not in ("number", "dial_reading", "volume_ratio")


def _text(name: str, meaning: str, *names: str) -> Column:
    return Column(name, "text", meaning, names=names)


def _depth(name: str, meaning: str, *names: str, zero: str = "improbable") -> Column:
    limits = Range(0.0, 15000.0, "m", "deeper than any well drilled; from memory")
    return Column(name, "number", meaning, "length", zero=zero, depth=True, limits=limits, names=names)


def _fraction(name: str, meaning: str, *names: str, zero: str = "possible", test: str = "retort") -> Column:
    limits = Range(0.0, 100.0, "%", BY_DEFINITION)
    return Column(name, "number", meaning, "volume_fraction", zero=zero, test=test, limits=limits, names=names)


def _ion(name: str, meaning: str, high: float, *names: str) -> Column:
    return Column(
        name, "number", meaning, "ion_concentration", test=name, names=names,
        limits=Range(0.0, 1e6, "mg/L", "more than the mass of any brine's salt"), usual=Range(0.0, high, "mg/L"),
    )  # fmt: skip


def _alkalinity(name: str, meaning: str, *names: str) -> Column:
    return Column(
        name, "number", meaning, unit="mL", spellings=("ml", "cc", "cm3", "mL/mL", "ml/ml"), test=name, names=names,
        limits=Range(0.0, 100.0, "mL"), usual=Range(0.0, 30.0, "mL"),
    )  # fmt: skip


def _dial(name: str, meaning: str, test: str, *names: str) -> Column:
    return Column(
        name, "number", meaning, "dial_reading", test=test, names=names, limits=Range(0.0, 1000.0, "dial deg"),
        usual=Range(0.0, 300.0, "dial deg", "end of the scale of most viscometers; " + PRACTICE),
    )  # fmt: skip


def _temperature(name: str, meaning: str, *names: str) -> Column:
    usual = Range(0.0, 260.0, "degC")
    return Column(name, "number", meaning, "temperature", names=names, limits=Range(-60.0, 500.0, "degC"), usual=usual)


def _stress(name: str, meaning: str, test: str, *names: str, zero: str = "possible") -> Column:
    # A computed yield point may be a little below zero; what is shown is the usual range only.
    return Column(
        name, "number", meaning, "stress", zero=zero, test=test, names=names,
        limits=Range(-10.0, 1000.0, "Pa"), usual=Range(0.0, 60.0, "Pa"),
    )  # fmt: skip


def _filtrate(name: str, meaning: str, *names: str) -> Column:
    limits, usual = Range(0.0, 500.0, "mL"), Range(0.0, 100.0, "mL")
    return Column(name, "number", meaning, "bench_volume", test=name, limits=limits, usual=usual, names=names)


_RESTS = (("10_s", "10 s"), ("10_min", "10 min"), ("30_min", "30 min"))


def _gel_names(rest: str) -> tuple[str, ...]:
    number, unit = rest.split()
    units = ("s", "sec", "second") if unit == "s" else ("min", "minute", "m")
    ways = ("gel {} {}", "gel {}{}", "gels {} {}", "{} {} gel", "{}{} gel", "gel strength {} {}", "gel{}{}")
    return tuple(way.format(number, u) for u in units for way in ways)


_DENSITY: dict[str, Any] = {
    "quantity": "density", "zero": "impossible", "limits": Range(0.05, 4.0, "g/cm3"),
    "usual": Range(1.0, 2.4, "g/cm3", "water to the heaviest muds; lighter only with oil or gas; " + PRACTICE),
}  # fmt: skip
_FUNNEL_LIMITS: dict[str, Any] = {
    "limits": Range(20.0, 1e4, "s", "below the time of water; " + PRACTICE),
    "zero": "impossible",
}

TABLE: tuple[Column, ...] = (
    _text("well", "name of the well", "well", "well name"),
    _text("wellbore", "name of the wellbore: a sidetrack is another wellbore", "wellbore", "wellbore name", "wlb name"),
    _text("wellbore_id", "the authority's number of the wellbore", "wellbore id", "npdid wellbore", "uwi", "api number"),
    _text("report_number", "number of the report", "report number", "report no", "rpt no", "num report"),
    Column("time", "time", "time the sample was taken, or its day", names=("time", "date", "sample time", "dtim", "date measured",
           "report date", "check time", "sample date")),
    _text("sample_place", "where the sample was taken: flow line, pit, ...", "sample place", "sample location", "location sample",
          "sample from", "taken from"),
    _text("hole_section", "hole section as the report names it", "hole section", "section"),
    _text("formation", "formation at the bit", "formation"),
    _text("fluid_type", "type of the fluid as the report names it", "fluid type", "mud type", "type of mud", "mud system"),
    _text("remarks", "remarks of the report", "remarks", "comments", "remark", "comment"),
    _depth("measured_depth", "depth of the hole along its path when the check was made", "measured depth", "md", "depth", "bit depth"),
    _depth("true_vertical_depth", "vertical depth at that measured depth", "true vertical depth", "tvd", "vertical depth", "depth tvd"),
    _depth("total_depth", "measured depth at which the wellbore ends", "total depth", "final depth", zero="impossible"),
    _depth("casing_depth", "measured depth of the last casing shoe", "casing depth", "shoe depth", "casing shoe", "md csg last"),
    Column("hole_diameter", "number", "diameter of the hole being drilled", "diameter", zero="impossible",
           limits=Range(1.0, 60.0, "in"), usual=Range(3.0, 36.0, "in"), names=("hole diameter", "hole size", "bit size", "dia hole")),
    Column("mud_density", "number", "density of the mud as weighed", test="density", names=("mud density", "mud weight", "mw",
           "density", "weight", "mud wt", "mud dencity"), **_DENSITY),
    _temperature("density_temperature", "temperature of the mud when weighed", "density temperature", "temp density", "weight temperature"),
    _temperature("flow_line_temperature", "temperature at the flow line", "flow line temperature", "flowline temperature",
                 "flowline temp", "flt"),
    Column("equivalent_circulating_density", "number", "equivalent circulating density",
           names=("ecd", "equivalent circulating density"), **_DENSITY),
    Column("funnel_viscosity", "number", "funnel time of one US quart; never converted: a funnel is not linear in volume",
           unit="s/qt", spellings=("s/qt[US]", "sec/qt", "sec/quart", "S/QT"), test="funnel", usual=Range(26.0, 300.0, "s/qt"),
           names=("funnel viscosity", "funnel", "vis funnel", "funnel vis", "fv", "marsh funnel"), **_FUNNEL_LIMITS),
    Column("funnel_viscosity_per_litre", "number", "funnel time of one litre; never converted",
           unit="s/L", spellings=("sec/L", "s/l", "sec/l", "S/L"), test="funnel", usual=Range(26.0, 400.0, "s/L"),
           names=("funnel viscosity litre", "funnel viscosity per litre"), **_FUNNEL_LIMITS),
    _temperature("reading_temperature", "temperature of the mud at the viscometer readings", "reading temperature", "rheology temperature",
                 "rheology temp", "temp rheom", "temp vis", "viscometer temperature"),
    *(_dial(f"gel_{rest}", f"dial reading of the gel after {words} of rest", "gels", *_gel_names(words)) for rest, words in _RESTS),
    *(_stress(f"gel_strength_{rest}", f"reported gel strength after {words} of rest", "gels", *_gel_names(words))
      for rest, words in _RESTS),
    Column("plastic_viscosity", "number", "reported plastic viscosity", "viscosity", zero="impossible", test="viscometer",
           limits=Range(0.0, 1e5, "cP"), usual=Range(1.0, 200.0, "cP"), names=("plastic viscosity", "pv", "viscosity", "plastic vis")),
    Column("apparent_viscosity", "number", "reported apparent viscosity", "viscosity", zero="impossible", test="viscometer",
           limits=Range(0.0, 1e5, "cP"), usual=Range(1.0, 300.0, "cP"), names=("apparent viscosity", "av")),
    _stress("yield_point", "reported yield point", "viscometer", "yield point", "yp", "yield", zero="improbable"),
    _fraction("water_fraction", "retort water, volume fraction of the mud",
              "water fraction", "water", "retort water", "water pc", "water percent"),
    _fraction("oil_fraction", "retort oil, volume fraction of the mud", "oil fraction", "oil", "retort oil", "oil pc", "oil percent"),
    _fraction("solids_fraction", "reported solids; a check only, the solids follow from water and oil", "solids fraction", "solids",
              "retort solids", "solids pc", "total solids", zero="improbable"),
    _fraction("sand_fraction", "sand content of the mud", "sand fraction", "sand", "sand content", "sand pc", test="sand"),
    _ion("chloride", "chloride in the filtrate", 400e3, "chloride", "chlorides", "cl"),
    _ion("calcium", "calcium in the filtrate", 200e3, "calcium", "ca"),
    _ion("magnesium", "magnesium in the filtrate", 100e3, "magnesium", "mg"),
    _ion("potassium", "potassium in the filtrate", 300e3, "potassium", "k"),
    Column("dye_volume", "number", "methylene blue solution used to the end point", "bench_volume", test="methylene blue",
           limits=Range(0.0, 1000.0, "mL"), usual=Range(0.0, 60.0, "mL"),
           names=("dye volume", "methylene blue", "methylene blue volume", "mbt titre")),
    Column("dye_sample_volume", "number", "mud taken for the methylene blue test", "bench_volume", zero="impossible",
           limits=Range(0.0, 100.0, "mL"), usual=Range(0.5, 10.0, "mL"),
           names=("dye sample volume", "methylene blue sample", "mbt sample")),
    Column("bentonite_equivalent", "number", "reported bentonite equivalent", "concentration", test="methylene blue",
           limits=Range(0.0, 1000.0, "kg/m3"), usual=Range(0.0, 200.0, "kg/m3"), names=("bentonite equivalent", "mbt")),
    Column("ph", "number", "pH of the mud or filtrate", unit="pH", spellings=("ph", "-", "1", "Euc"), zero="impossible", test="ph",
           limits=Range(0.0, 14.5, "pH", "strong lye included; " + PRACTICE), usual=Range(5.0, 13.5, "pH"), names=("ph",)),
    _alkalinity("alkalinity_mud", "0.02 N acid per mL of mud to the phenolphthalein end point", "pm", "alkalinity mud"),
    _alkalinity("alkalinity_filtrate", "0.02 N acid per mL of filtrate to the phenolphthalein end point",
                "pf", "pm filtrate", "alkalinity filtrate"),
    _alkalinity("alkalinity_filtrate_total", "0.02 N acid per mL of filtrate to the methyl orange end point", "mf"),
    _filtrate("filtrate_volume", "filtrate in 30 min at room temperature and low pressure", "filtrate volume", "filtrate", "api filtrate",
              "fluid loss", "filtrate ltlp", "water loss", "api fluid loss"),
    _filtrate("hot_filtrate_volume", "filtrate in 30 min at high temperature and pressure, doubled for the half-area cell", "filtrate hthp",
              "hthp filtrate", "hpht filtrate", "hthp fluid loss", "hpht fluid loss"),
    _temperature("hot_filtrate_temperature", "temperature of that test", "temp hthp", "hthp temperature", "hpht temperature", "hpht temp"),
    Column("electrical_stability", "number", "electrical stability of the emulsion", unit="V", spellings=("v", "volt", "volts"),
           test="electrical stability",
           limits=Range(0.0, 5000.0, "V"), usual=Range(0.0, 2000.0, "V"), names=("electrical stability", "es", "elect stab")),
    Column("flow_rate", "number", "pump rate", "flow_rate", limits=Range(0.0, 2e4, "L/min"), usual=Range(0.0, 8e3, "L/min"),
           names=("flow rate", "pump rate", "circulation rate")),
    Column("pump_pressure", "number", "standpipe pressure", "pressure", limits=Range(0.0, 1500.0, "bar"), usual=Range(0.0, 520.0, "bar"),
           names=("pump pressure", "standpipe pressure", "spp")),
)  # fmt: skip

_BY_NAME = {column.name: column for column in TABLE}
_DIAL = re.compile(r"reading_(\d+(?:\.\d+)?)")


def dial_speed(name: str) -> float | None:
    """Speed in rpm of a viscometer reading's column ("reading_600" -> 600.0); None for any other column.

    >>> dial_speed("reading_5.1")
    5.1
    """
    match = _DIAL.fullmatch(name)
    return float(match.group(1)) if match else None


def _reading(name: str, speed: float) -> Column:
    text = f"{speed:g}"
    names = (
        f"reading {text}",
        f"{text} rpm",
        f"r{text}",
        f"r {text}",
        f"rpm {text}",
        f"rheo {text}",
        f"theta {text}",
        f"θ{text}",
        f"vis {text} rpm",
    )
    return replace(_dial(name, f"viscometer dial reading at {text} rpm", "viscometer"), names=names)


SPEEDS = (600, 300, 200, 180, 100, 90, 60, 30, 6, 3)


def known() -> list[Column]:
    """Every column of the table, with the dial readings at the usual speeds; other speeds are known as well."""
    return [*TABLE, *(find(f"reading_{speed}") for speed in SPEEDS)]


def find(name: str) -> Column:
    """The column of this name; a ValueError with the nearest names when there is none.

    >>> find("mud_density").quantity
    'density'
    """
    if name in _BY_NAME:
        return _BY_NAME[name]
    speed = dial_speed(name)
    if speed is not None:
        return _reading(name, speed)
    readings, inputs = mud_check_readings(), _calculation_inputs()
    if name in readings:
        return Column(name, "number", readings[name][1], readings[name][0])
    if name in inputs:
        variable = inputs[name][0]
        return Column(name, "number", str(variable.meaning), str(variable.quantity))
    near = get_close_matches(name, [*_BY_NAME, *readings, *inputs], n=3, cutoff=0.5)
    hint = f"; nearest: {', '.join(near)}" if near else ""
    raise ValueError(
        f"no column is called {name!r}{hint}. The known columns are in lutum.records.columns.TABLE, dial readings are "
        "reading_<rpm>; to carry a column along as text put its heading in keep="
    )


def is_known(name: str) -> bool:
    """Whether this is the name of a known column."""
    return name in _BY_NAME or dial_speed(name) is not None or name in mud_check_readings() or name in _calculation_inputs()


def mud_check_readings() -> dict[str, tuple[str, str]]:
    """Readings of a mud check by name: quantity and meaning. Those of the table above have spellings and ranges beside."""
    return names_of(shipped())


@cache
def _calculation_inputs() -> dict[str, list[Any]]:
    inputs: dict[str, list[Any]] = {}
    for calculation in lutum.catalogue():
        for variable in calculation.inputs:
            inputs.setdefault(str(variable.name), []).append(variable)
    return inputs


def physical_limits(name: str) -> Range | None:
    """What the column can physically hold: the widest limits of the calculations that take it as an input, else the table's.

    Example: `physical_limits("ph")` is 0 to 14.5. None where nothing is known.
    """
    called = "reading" if dial_speed(name) is not None else name
    variables = _calculation_inputs().get(called, [])
    column = find(name)
    if variables and column.kind == "number":
        low = min(float(v.limits[0]) for v in variables)
        high = max(float(v.limits[1]) for v in variables)
        own = column.limits
        if own is not None:  # many calculations take a density, and not all of a mud
            to = str(variables[0].unit_symbol)
            edges = (own.low, own.high) if not column.quantity else units.convert([own.low, own.high], own.unit, to)
            low, high = max(low, float(edges[0])), min(high, float(edges[1]))
        if (low, high) != (float("-inf"), float("inf")):
            return Range(low, high, str(variables[0].unit), "limits of the calculations that take it")
    return column.limits
