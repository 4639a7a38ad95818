"""The invented ground under the invented Marrowfen field: formations and pressures.

Nothing here describes a real place. Depths are metres of true vertical depth below mean
sea level, pressures are equivalent densities in kg/m3 seen from mean sea level until
`from_rotary_table` restates them as the mud column of a well sees them.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from .draws import Draws, Numbers

Triplet = tuple[float, float, float]  # at top, middle and base


@dataclass(frozen=True)
class Formation:
    """One invented formation; the triplets hold at its top, middle and base (kg/m3)."""

    name: str
    lithology: str
    top: float  # m below mean sea level at the centre of the field; the first one is the sea bed
    cation_exchange: float  # meq/100 g of the rock when dispersed in mud
    drilling_rate: float  # m/h on bottom
    reactive: float  # share of swelling shale
    permeable: bool
    salt: float  # share of rock salt, which dissolves instead of becoming solids
    anhydrite: float  # share of anhydrite, which feeds calcium
    pore: Triplet
    collapse: Triplet
    fracture: Triplet


FORMATIONS = (
    Formation("Siltmoss Formation", "soft clay and sand", 105.0, 7.0, 16.0, 0.15, True, 0.0, 0.0,
              (1030, 1030, 1030), (990, 1010, 1035), (1225, 1365, 1440)),
    Formation("Brackenlow Clay", "swelling shale", 430.0, 23.0, 15.0, 1.0, False, 0.0, 0.0,
              (1030, 1065, 1100), (1080, 1180, 1215), (1440, 1530, 1590)),
    Formation("Ottermarl Formation", "marl with limestone stringers", 1120.0, 8.0, 11.0, 0.2, False, 0.0, 0.0,
              (1100, 1110, 1120), (1080, 1100, 1120), (1570, 1600, 1630)),
    Formation("Whitegall Evaporite", "rock salt and anhydrite", 1580.0, 2.0, 12.0, 0.0, False, 0.72, 0.25,
              (1130, 1150, 1180), (1230, 1260, 1280), (1830, 1850, 1860)),
    Formation("Duskholm Shale", "overpressured silty shale", 1650.0, 17.0, 8.5, 0.6, False, 0.0, 0.0,
              (1200, 1330, 1340), (1330, 1455, 1380), (1690, 1740, 1760)),
    Formation("Emberlow Sandstone", "depleted reservoir sandstone", 2480.0, 3.0, 7.5, 0.0, True, 0.0, 0.0,
              (1350, 1345, 1340), (1140, 1130, 1140), (1640, 1625, 1640)),
    Formation("Nethercrag Siltstone", "siltstone with thin sands", 2620.0, 7.0, 6.0, 0.25, True, 0.0, 0.0,
              (1330, 1340, 1350), (1375, 1395, 1405), (1740, 1770, 1790)),
)
NAMES = tuple(formation.name for formation in FORMATIONS)
BRACKENLOW, WHITEGALL, DUSKHOLM, EMBERLOW, NETHERCRAG = 1, 3, 4, 5, 6

FIRST_PRODUCTION = np.datetime64("2011-06-01")
DEPLETION_RATE = 27.0  # kg/m3 of pore equivalent lost by the Emberlow Sandstone a year
FRACTURE_PER_DEPLETION = 0.65  # kg/m3 of fracture equivalent lost for each kg/m3 of pore equivalent
# rise of the collapse equivalent at 90 deg inclination, kg/m3, with the square of the sine
COLLAPSE_BY_INCLINATION = np.array([0.0, 60.0, 20.0, 0.0, 110.0, 0.0, 70.0])
STRINGER_WELLS = ("MF-04", "MF-10")  # a thin overpressured sand in the Duskholm Shale
STRINGER_EXCESS = 180.0  # kg/m3 above the shale around it
STRINGER_PLACE = 0.36  # fraction of the Duskholm Shale above it
STRINGER_HALF_THICKNESS = 12.0  # m


class Ground:
    """Formation tops and pressures at each well.

    wells: frame with name, east, north (m), rotary_table, water_depth (m), spud
    """

    def __init__(self, wells: pd.DataFrame, draws: Draws) -> None:
        self.wells = wells
        east, north = wells["east"].to_numpy(), wells["north"].to_numpy()
        count = len(wells)
        dip = 0.011 * east - 0.006 * north
        distance = (east - 700.0) ** 2 + (north + 300.0) ** 2
        salt = 18.0 + 150.0 * np.exp(-distance / (2 * 1300.0**2))  # a salt pillow
        tops = np.array([formation.top for formation in FORMATIONS]) + np.outer(
            dip, [0.0, 0.35, 0.6, 0.8, 0.9, 1.1, 1.1]
        )
        tops[:, 4:] += 0.5 * (salt - 70.0)[:, None]
        tops[:, 1:] += draws.normal((count, len(FORMATIONS) - 1), 6.0)
        tops[:, DUSKHOLM] = tops[:, WHITEGALL] + salt
        tops[:, 0] = wells["water_depth"]
        self.tops = tops
        self.bases = np.hstack([tops[:, 1:], tops[:, -1:] + 400.0])
        # what the programme cannot know: each well is a little off the field's trend
        self._local = {
            "pore": draws.normal((count, len(FORMATIONS)), 5.0),
            "collapse": draws.normal((count, len(FORMATIONS)), 10.0),
            "fracture": draws.normal((count, len(FORMATIONS)), 10.0),
        }
        for name in self._local:
            self._local[name][:, 0] *= 0.3
        years = (wells["spud"].to_numpy().astype("datetime64[D]") - FIRST_PRODUCTION).astype(float) / 365.25
        self.depletion = DEPLETION_RATE * np.maximum(years, 0.0) + np.where(
            years > 0, draws.normal(count, 4.0), 0.0
        )

    def formation_at(self, well: int, depth: Any) -> Any:
        """Index of the formation at each depth (m below mean sea level) in well number `well`."""
        found = np.searchsorted(self.tops[well], depth, side="right") - 1
        return np.clip(found, 0, len(FORMATIONS) - 1)

    def equivalents(self, well: int, depth: Any, inclination: Any) -> tuple[Numbers, Numbers, Numbers]:
        """Pore, collapse and fracture equivalents (kg/m3 from mean sea level) at depths of one well."""
        depth = np.asarray(depth, float)
        index = self.formation_at(well, depth)
        top, base = self.tops[well][index], self.bases[well][index]
        place = np.clip((depth - top) / (base - top), 0.0, 1.0)
        found = {}
        for name in ("pore", "collapse", "fracture"):
            profile = np.array([getattr(formation, name) for formation in FORMATIONS], float)[index]
            upper = profile[:, 0] + (profile[:, 1] - profile[:, 0]) * 2 * place
            lower = profile[:, 1] + (profile[:, 2] - profile[:, 1]) * (2 * place - 1)
            found[name] = np.where(place < 0.5, upper, lower) + self._local[name][well][index]
        found["collapse"] += COLLAPSE_BY_INCLINATION[index] * np.sin(np.radians(inclination)) ** 2
        in_sand = index == EMBERLOW
        found["pore"] -= np.where(in_sand, self.depletion[well], 0.0)
        found["fracture"] -= np.where(in_sand, FRACTURE_PER_DEPLETION * self.depletion[well], 0.0)
        found["pore"] += np.where(self.in_stringer(well, depth), STRINGER_EXCESS, 0.0)
        return found["pore"], found["collapse"], found["fracture"]

    def in_stringer(self, well: int, depth: Any) -> Numbers:
        """Whether each depth lies in the thin overpressured sand that two of the wells cross."""
        if self.wells["name"].iloc[well] not in STRINGER_WELLS:
            return np.zeros(np.shape(depth), bool)
        top, base = self.tops[well][DUSKHOLM], self.bases[well][DUSKHOLM]
        return np.asarray(np.abs(depth - (top + STRINGER_PLACE * (base - top))) < STRINGER_HALF_THICKNESS)

    def from_rotary_table(self, well: int, depth: Any, equivalent: Any) -> Any:
        """Restate an equivalent density seen from mean sea level as seen from the rotary table."""
        elevation = self.wells["rotary_table"].iloc[well]
        return equivalent * depth / (depth + elevation)
