"""The twelve invented wells: sites, rigs, trajectories, casing. Metres, degrees, SI inside.

Well names, rigs and dates are made up; no rig, operator or licence is meant.
"""

from typing import Any

import numpy as np
import pandas as pd

from lutum import units

from .draws import Draws, Numbers
from .ground import BRACKENLOW, EMBERLOW, NETHERCRAG, WHITEGALL, Ground

# name, east, north (m from the field's centre), rig, water depth (m), inclination held (deg), azimuth (deg), spud
_SITES = (
    ("MF-01", -1650.0, 420.0, "rig A", 96.0, 0.0, 0.0, "2011-03-14"),
    ("MF-02", 480.0, -260.0, "rig A", 104.0, 0.0, 0.0, "2011-09-02"),
    ("MF-03", 500.0, -240.0, "rig A", 104.0, 24.0, 62.0, "2012-05-21"),
    ("MF-04", -820.0, -1310.0, "rig B", 99.0, 0.0, 0.0, "2013-02-10"),
    ("MF-05", 520.0, -275.0, "rig A", 104.0, 36.0, 148.0, "2013-08-28"),
    ("MF-06", 2150.0, 900.0, "rig B", 113.0, 0.0, 0.0, "2014-06-05"),
    ("MF-07", 1190.0, -640.0, "rig C", 108.0, 18.0, 310.0, "2015-01-19"),
    ("MF-08", 495.0, -290.0, "rig A", 104.0, 44.0, 215.0, "2015-10-07"),
    ("MF-09", -540.0, 1480.0, "rig C", 101.0, 0.0, 0.0, "2016-07-12"),
    ("MF-10", -560.0, 1465.0, "rig C", 101.0, 31.0, 95.0, "2017-03-03"),
    ("MF-11", 2130.0, 885.0, "rig B", 113.0, 27.0, 260.0, "2018-04-16"),
    ("MF-12", -575.0, 1490.0, "rig C", 101.0, 40.0, 190.0, "2019-02-25"),
)
_NEXT_SITE = ("MF-13", 510.0, -310.0, "rig C", 104.0, 34.0, 30.0, "2020-06-15")
_TABLE_ABOVE_SEA = {"rig A": 25.3, "rig B": 31.7, "rig C": 28.2}

STATION_STEP = 30.0  # m between survey stations
BUILD_RATE = 2.2 / 30.0  # deg/m

# hole diameter, casing run in it (outside, inside), inside of the casing above, drill pipe: all in inches
SECTIONS = (
    {"hole": 26.0, "casing": 20.0, "inside": 18.75, "above": 28.0, "pipe": 5.5},
    {"hole": 17.5, "casing": 13.375, "inside": 12.415, "above": 18.75, "pipe": 5.5},
    {"hole": 12.25, "casing": 9.625, "inside": 8.681, "above": 12.415, "pipe": 5.5},
    {"hole": 8.5, "casing": 7.0, "inside": 6.184, "above": 8.681, "pipe": 5.0},
)


def metres(inches: Any) -> Any:
    """Metres of a size in inches."""
    return units.convert(inches, "in", "m")


def sites(seed: int, planned: bool = False) -> pd.DataFrame:
    """Frame of the wells (or of the one planned next), a row each."""
    frame = pd.DataFrame(
        list((_NEXT_SITE,) if planned else _SITES),
        columns=["name", "east", "north", "rig", "water_depth", "inclination", "azimuth", "spud"],
    )
    frame["spud"] = pd.to_datetime(frame["spud"]).astype("datetime64[s]")
    jitter = Draws(seed, 2, int(planned)).normal(len(frame), 0.3)
    # a jack-up stands at a slightly different height each time
    frame["rotary_table"] = np.round(frame["rig"].map(_TABLE_ABOVE_SEA) + jitter, 1)
    return frame


def minimum_curvature(measured: Numbers, inclination: Numbers, azimuth: Numbers) -> tuple[Numbers, ...]:
    """True vertical depth, north and east (same length unit as `measured`) along survey stations in degrees."""
    i1, i2 = np.radians(inclination[:-1]), np.radians(inclination[1:])
    a1, a2 = np.radians(azimuth[:-1]), np.radians(azimuth[1:])
    cosine = np.cos(i2 - i1) - np.sin(i1) * np.sin(i2) * (1 - np.cos(a2 - a1))
    bend = np.arccos(np.clip(cosine, -1.0, 1.0))
    straight = bend < 1e-9
    ratio = np.where(straight, 1.0, np.tan(bend / 2) / np.where(straight, 1.0, bend / 2))
    half = np.diff(measured) / 2 * ratio
    steps = (
        half * (np.cos(i1) + np.cos(i2)),
        half * (np.sin(i1) * np.cos(a1) + np.sin(i2) * np.cos(a2)),
        half * (np.sin(i1) * np.sin(a1) + np.sin(i2) * np.sin(a2)),
    )
    return tuple(np.concatenate([[0.0], np.cumsum(step)]) for step in steps)


class Path:
    """One well's surveyed path. Depths along it are metres below the rotary table."""

    def __init__(self, site: Any, depth_below_sea: float, draws: Draws) -> None:
        target = depth_below_sea + site.rotary_table
        count = int(np.ceil(2.2 * target / STATION_STEP))
        measured = STATION_STEP * np.arange(count)
        held = site.inclination
        if held > 0:
            start = 640.0 + 60.0 * draws.uniform(1)[0]
            plan = np.clip((measured - start) * BUILD_RATE, 0.0, held)
        else:
            plan = np.zeros(count)
        wander = np.abs(draws.normal(count, 0.35)) * np.clip(measured / 900.0, 0.0, 1.0)
        inclination = np.round(plan + wander, 2)
        azimuth = np.where(plan > 3.0, site.azimuth + draws.normal(count, 0.8), draws.uniform(count, 0.0, 360.0))
        azimuth = np.round(azimuth % 360.0, 2)
        vertical = minimum_curvature(measured, inclination, azimuth)[0]
        last = int(np.searchsorted(vertical, target))
        bottom = np.interp(target, vertical[last - 1 : last + 1], measured[last - 1 : last + 1])
        self.measured = np.append(measured[:last], np.round(bottom, 1))
        self.inclination = inclination[: last + 1]
        self.azimuth = azimuth[: last + 1]
        self.vertical, self.north, self.east = minimum_curvature(self.measured, self.inclination, self.azimuth)
        self.rotary_table = site.rotary_table

    @property
    def bottom(self) -> float:
        return float(self.measured[-1])

    def vertical_at(self, measured: Any) -> Any:
        return np.interp(measured, self.measured, self.vertical)

    def below_sea_at(self, measured: Any) -> Any:
        return self.vertical_at(measured) - self.rotary_table

    def inclination_at(self, measured: Any) -> Any:
        return np.interp(measured, self.measured, self.inclination)

    def measured_at_below_sea(self, depth: Any) -> Any:
        return np.interp(np.asarray(depth) + self.rotary_table, self.vertical, self.measured)


class Wells:
    """Sites, ground, paths and section depths of one seed."""

    def __init__(self, seed: int, planned: bool = False) -> None:
        self.sites = sites(seed, planned)
        self.ground = Ground(self.sites, Draws(seed, 1, int(planned)))
        tops = self.ground.tops
        draws = Draws(seed, 3, int(planned))
        count = len(self.sites)
        # section bottoms, m below mean sea level: conductor, four casings
        self.shoes_below_sea = np.column_stack([
            tops[:, 0] + 88.0 + draws.normal(count, 4.0),
            tops[:, BRACKENLOW] + 105.0 + draws.normal(count, 12.0),
            tops[:, WHITEGALL] - 28.0 + draws.normal(count, 5.0),
            tops[:, EMBERLOW] - 9.0 + draws.normal(count, 1.5),
            tops[:, NETHERCRAG] + 225.0 + draws.normal(count, 18.0),
        ])
        self.paths = [
            Path(site, self.shoes_below_sea[index, -1], Draws(seed, 4, int(planned), index))
            for index, site in enumerate(self.sites.itertuples(index=False))
        ]
        self.shoes = np.array([
            np.round(path.measured_at_below_sea(depths), 1)
            for path, depths in zip(self.paths, self.shoes_below_sea)
        ])
        self.shoes[:, -1] = [path.bottom for path in self.paths]

    @property
    def names(self) -> list[str]:
        return list(self.sites["name"])
