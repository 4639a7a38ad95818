"""When and at what depth each invented mud check was made, and what lies in the open hole then."""

from typing import Any

import numpy as np
import pandas as pd

from .draws import Draws, Numbers
from .ground import FORMATIONS, STRINGER_EXCESS, Ground
from .wells import SECTIONS, Path, Wells, metres

HOURS_BETWEEN_CHECKS = 8.0
SKIPPED = 0.13  # share of checks never made
# share of the time on bottom: connections, surveys, reaming, trips take the rest
TIME_ON_BOTTOM = (0.30, 0.42, 0.62, 0.58)
CHECKS_AT_SECTION_END = (2, 3, 3, 3)
HOURS_BETWEEN_SECTIONS = (30.0, 44.0, 52.0, 0.0)
OPEN_HOLE_STEP = 3.0  # m

_PROPERTY_NAMES = ("solid", "clay_weighted", "salt", "anhydrite", "reactive")


def _rock(well: int, path: Path, ground: Ground, start: float, end: float, area: float) -> dict[str, float]:
    """Cubic metres of rock cut between two measured depths: solids, exchange-weighted, salt, anhydrite, reactive."""
    totals = dict.fromkeys(_PROPERTY_NAMES, 0.0)
    tops = path.measured_at_below_sea(ground.tops[well])
    edges = np.append(tops, np.inf)
    for index, formation in enumerate(FORMATIONS):
        volume = area * max(0.0, min(end, edges[index + 1]) - max(start, edges[index]))
        solid = volume * (1.0 - formation.salt)
        totals["solid"] += solid
        totals["clay_weighted"] += solid * formation.cation_exchange
        totals["salt"] += volume * formation.salt
        totals["anhydrite"] += volume * formation.anhydrite
        totals["reactive"] += volume * formation.reactive
    return totals


class OpenHole:
    """Extremes of pressure from a shoe down to any depth of the section, seen from the rotary table."""

    def __init__(self, well: int, path: Path, ground: Ground, shoe: float, bottom: float) -> None:
        self.measured = np.append(np.arange(shoe, bottom, OPEN_HOLE_STEP), bottom)
        depth = path.below_sea_at(self.measured)
        inclination = path.inclination_at(self.measured)
        pore, collapse, fracture = ground.equivalents(well, depth, inclination)
        index = ground.formation_at(well, depth)
        stringer = ground.in_stringer(well, depth)
        flows = np.array([formation.permeable for formation in FORMATIONS])[index] | stringer
        expected_pore = pore - np.where(stringer, STRINGER_EXCESS, 0.0)

        def seen(values: Numbers) -> Numbers:
            return np.asarray(ground.from_rotary_table(well, depth, values))

        deepest = np.maximum.accumulate
        self.columns = {
            "collapse_highest": deepest(seen(collapse)),
            "pore_highest": deepest(np.where(flows, seen(pore), 0.0)),
            "pore_lowest": np.minimum.accumulate(np.where(flows, seen(pore), np.inf)),
            "fracture_lowest": np.minimum.accumulate(seen(fracture)),
            "expected_needed": deepest(np.maximum(seen(collapse), seen(expected_pore))),
            "pore_here": seen(pore), "collapse_here": seen(collapse), "fracture_here": seen(fracture),
        }

    def at(self, measured: float) -> dict[str, float]:
        row = int(np.clip(np.searchsorted(self.measured, measured), 0, len(self.measured) - 1))
        return {name: values[row] for name, values in self.columns.items()}


def of_well(well: int, wells: Wells, seed: int) -> pd.DataFrame:
    """Frame of one well's checks in time order, a row each, SI units."""
    draws = Draws(seed, 5, well)
    path, ground, site = wells.paths[well], wells.ground, wells.sites.iloc[well]
    shoes = wells.shoes[well]
    rows, hours = [], 14.0 + 8.0 * draws.uniform(1)[0]
    hours -= hours % HOURS_BETWEEN_CHECKS - 6.0  # checks at 06:00, 14:00 and 22:00
    for section, plan in enumerate(SECTIONS):
        area = np.pi / 4 * metres(plan["hole"]) ** 2
        shoe, bottom = shoes[section], shoes[section + 1]
        hole = OpenHole(well, path, ground, shoe, bottom)
        depth = shoe + 3.0
        planned = [(depth, "drilling out shoe")]
        while True:
            index = int(ground.formation_at(well, path.below_sea_at(depth)))
            advance = FORMATIONS[index].drilling_rate * HOURS_BETWEEN_CHECKS * TIME_ON_BOTTOM[section]
            depth += advance * draws.uniform(1, 0.55, 1.45)[0]
            if depth >= bottom:
                break
            planned.append((round(depth, 1), "drilling"))
        planned += [(bottom, "circulating")] + [(bottom, "tripping")] * (CHECKS_AT_SECTION_END[section] - 2)
        planned.append((bottom, "running casing" if section < 3 else "running liner"))
        skipped = draws.uniform(len(planned)) < SKIPPED
        skipped[[0, -1]] = False
        previous = shoe
        for position, (measured, activity) in enumerate(planned):
            if not skipped[position]:
                below = planned[position + 1][0] if position + 1 < len(planned) else measured
                rows.append({
                    "well": well, "section": section, "hours": hours, "measured": measured,
                    "measured_next": below, "previous": previous, "activity": activity, "area": area,
                    "shoe": shoe, **hole.at(below), **_rock(well, path, ground, previous, measured, area),
                })
                previous = measured
            hours += HOURS_BETWEEN_CHECKS
        hours += HOURS_BETWEEN_SECTIONS[section]
        hours += (6.0 - hours) % HOURS_BETWEEN_CHECKS
    frame = pd.DataFrame(rows)
    frame["time"] = site.spud + pd.to_timedelta(frame["hours"].astype("int64"), unit="h")
    frame["vertical"] = path.vertical_at(frame["measured"])
    frame["shoe_vertical"] = path.vertical_at(frame["shoe"])
    frame["below_sea"] = frame["vertical"] - site.rotary_table
    frame["inclination"] = path.inclination_at(frame["measured"])
    frame["formation"] = ground.formation_at(well, frame["below_sea"].to_numpy())
    return frame
