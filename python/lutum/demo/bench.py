"""The invented bench: what a perfect instrument would show, then noise and the rounding of the real one.

Columns carry the names of `lutum.records` and the trade's units of `UNITS`.
"""

from typing import Any

import numpy as np
import pandas as pd

from lutum import field, units

from . import mud
from .draws import Draws, Numbers
from .wells import SECTIONS

DIALS = tuple(f"reading_{int(speed)}" for speed in mud.SPEEDS)
GELS = ("gel_10_s", "gel_10_min", "gel_30_min")

UNITS = {
    "measured_depth": "ft", "hole_diameter": "in", "flow_rate": "gal/min", "flow_line_temperature": "degF",
    "mud_density": "lb/gal", "funnel_viscosity": "s/qt", "reading_temperature": "degF",
    "plastic_viscosity": "cP", "yield_point": "lb/100 ft2",
    "filtrate_volume": "mL", "water_fraction": "%", "oil_fraction": "%", "solids_fraction": "%", "sand_fraction": "%",
    "dye_volume": "mL", "dye_sample_volume": "mL", "bentonite_equivalent": "lb/bbl", "ph": "",
    "alkalinity_mud": "mL", "alkalinity_filtrate": "mL", "alkalinity_filtrate_total": "mL",
    "chloride": "mg/L", "calcium": "mg/L",
}  # fmt: skip

# Standard deviation of each instrument, in the unit above: an absolute part and a part of the reading.
NOISE: dict[str, tuple[float, float]] = {
    "funnel_viscosity": (0.6, 0.01),
    **dict.fromkeys(DIALS, (0.22, 0.0)),
    **dict.fromkeys(GELS, (0.5, 0.03)),
    "filtrate_volume": (0.1, 0.02), "water_fraction": (0.35, 0.0), "oil_fraction": (0.15, 0.0),
    "sand_fraction": (0.05, 0.0), "dye_volume": (0.0, 0.015), "ph": (0.05, 0.0),
    "alkalinity_mud": (0.02, 0.03), "alkalinity_filtrate": (0.01, 0.03), "alkalinity_filtrate_total": (0.02, 0.03),
    "chloride": (0.0, 0.012), "calcium": (8.0, 0.03),
}  # fmt: skip
# Smallest step a reading is written in; chloride is written to three figures, the dye in increments.
STEP = {
    "funnel_viscosity": 1.0, **dict.fromkeys(DIALS, 1.0), **dict.fromkeys(GELS, 1.0),
    "filtrate_volume": 0.2, "water_fraction": 0.5, "oil_fraction": 0.5, "sand_fraction": 0.1,
    "ph": 0.1, "alkalinity_mud": 0.05, "alkalinity_filtrate": 0.05, "alkalinity_filtrate_total": 0.05, "calcium": 10.0,
}  # fmt: skip
DIAL_SHARED_NOISE = 0.008  # of the readings: one sample at one temperature serves all speeds
HALF_DEGREE_WELLS = (6, 9, 10)  # crews that read the dial to half a degree
GRAM_BALANCE_WELLS = (6, 8, 9, 10)  # crews with a balance in g/cm3
DENSITY_NOISE = 4.0  # kg/m3
DENSITY_STEP = {"lb/gal": 0.1, "g/cm3": 0.01}
DYE_INCREMENT = 0.5  # mL; the end point is the first increment past the true one
CHLORIDE_FIGURES = 3
# share of the checks in which a test was not made; the dye test is made once a day
NOT_MADE = {
    "retort": (0.07, ("water_fraction", "oil_fraction", "sand_fraction")),
    "chemistry": (0.12, ("alkalinity_mud", "alkalinity_filtrate", "alkalinity_filtrate_total", "calcium")),
    "chloride": (0.06, ("chloride",)),
    "long gel": (0.35, ("gel_30_min",)),
    "filtrate": (0.05, ("filtrate_volume",)),
}  # fmt: skip


def perfect(plan: pd.DataFrame, truth: pd.DataFrame) -> pd.DataFrame:
    """Exact readings of every check, a row each. plan: rows of the schedules; truth: rows of the simulation."""
    bench = mud.Bench()

    def get(name: str) -> Numbers:
        return truth[name].to_numpy(float)

    curve = get("yield_stress"), get("consistency"), get("flow_index")
    dials = mud.dial_readings(bench, *curve)
    frame = pd.DataFrame({
        "measured_depth": units.convert(plan["measured"].to_numpy(float), "m", "ft"),
        "mud_density": units.convert(get("density"), "kg/m3", "lb/gal"),
        "reading_temperature": np.where(truth["hot"], 150.0, 120.0),
    })
    for position, name in enumerate(DIALS):
        frame[name] = dials[:, position]
    for name, values in zip(GELS, mud.gels(bench, *curve, get("clay"), get("cement")), strict=True):
        frame[name] = values
    frame["funnel_viscosity"] = mud.funnel(curve[0], frame["reading_600"] - frame["reading_300"])
    frame["filtrate_volume"] = get("filtrate")
    frame["water_fraction"] = 100.0 * get("water_fraction")
    frame["oil_fraction"] = 100.0 * get("oil_fraction")
    frame["sand_fraction"] = 0.08 + 5.5 * np.maximum(get("low_gravity") - 0.03, 0.0)
    frame["dye_volume"] = mud.DYE_SAMPLE * get("clay") / bench.bentonite_per_ratio
    frame["ph"] = get("ph")
    alkalinity = mud.alkalinity(get("ph"), get("carbonate"), get("water_fraction"), get("lime"))
    for name, values in zip(("alkalinity_mud", "alkalinity_filtrate", "alkalinity_filtrate_total"), alkalinity, strict=True):
        frame[name] = values
    frame["chloride"] = get("chloride")
    frame["calcium"] = get("calcium")
    return frame


def to_figures(values: Numbers, figures: int) -> Numbers:
    """Rounded to this many significant figures; values must be above zero."""
    step = 10.0 ** (np.floor(np.log10(values)) - (figures - 1))
    return np.asarray(np.round(values / step) * step)


def to_step(values: Any, step: Any) -> Numbers:
    """Rounded to whole steps, written without a tail of digits."""
    return np.asarray(np.round(np.round(values / step) * step, 6))


def read(exact: pd.DataFrame, plan: pd.DataFrame, truth: pd.DataFrame, seed: int) -> pd.DataFrame:
    """The readings as written on the report: noise, rounding, tests not made. A row a check, missing is NaN."""
    well = plan["well"].to_numpy()
    frame = exact.copy()
    count = len(frame)
    streams = Draws(seed, 8)
    shared = 1.0 + streams.normal(count, DIAL_SHARED_NOISE)
    for name, (absolute, relative) in NOISE.items():
        centre = exact[name] * shared if name in DIALS else exact[name]
        frame[name] = centre + streams.normal(count) * (absolute + relative * exact[name])
    frame["oil_fraction"] = frame["oil_fraction"].where(exact["oil_fraction"] > 0, 0.0)
    for name, step in STEP.items():
        by_well = np.where(np.isin(well, HALF_DEGREE_WELLS) & (name in DIALS), 0.5 * step, step)
        frame[name] = np.maximum(to_step(frame[name].to_numpy(), by_well), 0.0)
    frame["mud_density"] = _balance(truth["density"].to_numpy(float), well, streams.normal(count, DENSITY_NOISE))
    frame["dye_volume"] = DYE_INCREMENT * (np.floor(frame["dye_volume"] / DYE_INCREMENT) + 1.0)
    frame["chloride"] = to_figures(frame["chloride"].to_numpy(), CHLORIDE_FIGURES)
    frame["dye_sample_volume"] = mud.DYE_SAMPLE
    frame["solids_fraction"] = 100.0 - frame["water_fraction"] - frame["oil_fraction"]
    flow_line = 62.0 + 0.011 * exact["measured_depth"] + streams.normal(count, 3.0)
    frame["flow_line_temperature"] = np.round(flow_line)
    frame["measured_depth"] = np.round(exact["measured_depth"])
    _leave_out(frame, plan, streams)
    frame["plastic_viscosity"] = frame["reading_600"] - frame["reading_300"]
    frame["yield_point"] = frame["reading_300"] - frame["plastic_viscosity"]
    titration = field.clay.methylene_blue(
        dye_volume=frame["dye_volume"].to_numpy(), sample_volume=frame["dye_sample_volume"].to_numpy()
    )
    frame["bentonite_equivalent"] = np.asarray(titration.bentonite_equivalent)
    frame.insert(0, "hole_diameter", np.array([section["hole"] for section in SECTIONS])[plan["section"]])
    frame.insert(0, "time", plan["time"].to_numpy())
    return frame


def _balance(density: Numbers, well: Numbers, noise: Numbers) -> Numbers:
    grams = to_step(units.convert(density + noise, "kg/m3", "g/cm3"), DENSITY_STEP["g/cm3"])
    pounds = to_step(units.convert(density + noise, "kg/m3", "lb/gal"), DENSITY_STEP["lb/gal"])
    return np.where(np.isin(well, GRAM_BALANCE_WELLS), units.convert(grams, "g/cm3", "lb/gal"), pounds)


def _leave_out(frame: pd.DataFrame, plan: pd.DataFrame, streams: Draws) -> None:
    count = len(frame)
    for share, columns in NOT_MADE.values():
        frame.loc[streams.uniform(count) < share, list(columns)] = np.nan
    frame.loc[frame["water_fraction"].isna(), "solids_fraction"] = np.nan
    once_a_day = (plan["time"].dt.hour == 6).to_numpy() | (streams.uniform(count) < 0.15)
    frame.loc[~once_a_day, ["dye_volume", "dye_sample_volume"]] = np.nan
