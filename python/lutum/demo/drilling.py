"""How the invented muds and holes evolve: all wells step from check to check together.

Between two checks rock is drilled, part of it stays in the mud, new mud is mixed, salt dissolves,
the density is brought to its target. The state at a check then sets the chance of trouble before
the next one, so that a study of the events has something true to find. All rules are invented.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from . import mud
from .draws import Draws, Numbers
from .ground import DUSKHOLM, EMBERLOW, WHITEGALL
from .wells import SECTIONS, Wells, metres

# the programme of each section: 26, 17 1/2, 12 1/4, 8 1/2 in
PROGRAMME = {
    "bentonite": np.array([60.0, 30.0, 20.0, 13.0]),  # kg/m3
    "polymer": np.array([0.5, 3.4, 4.4, 4.2]),  # kg/m3
    "chloride": np.array([7000.0, 42000.0, 72000.0, 64000.0]),  # mg/L
    "ph": np.array([9.3, 9.2, 9.5, 9.6]),
    "calcium": np.array([160.0, 180.0, 220.0, 180.0]),  # mg/L
}
FLUID_TYPES = ("bentonite spud mud", "salt polymer", "salt polymer", "low-solids salt polymer")
CARRIED = np.array([0.0, 0.20, 0.55, 0.40])  # share of the old mud kept for the next section
LOWEST_DENSITY = np.array([1045.0, 1120.0, 1290.0, 1300.0])  # kg/m3
DENSITY_STEP = 15.0  # kg/m3: the density is raised in steps and then held
FLOW_RATE = np.array([4500.0, 4100.0, 3400.0, 2150.0])  # L/min
SURFACE_VOLUME = 115.0  # m3
ROCK_SALT_CHLORIDE = 1.31e6  # mg of chloride in a litre of rock salt: 2160 kg/m3, 60.66 % chloride
CHLORIDE_LIMIT = 183000.0  # mg/L, a little under saturation
HEAVY_CEMENT_WELL = 3  # MF-04 drilled green cement at its 13 3/8 in shoe
EVENT_NAMES = ("losses", "tight hole", "pack-off", "influx", "stuck pipe")


State = dict[str, Numbers]  # arrays over wells


@dataclass
class Practice:
    """What differs from crew to crew: arrays over wells (and sections)."""

    removal: Numbers  # share of drilled solids the equipment takes out
    solids_limit: Numbers  # low-gravity volume fraction above which the mud is diluted
    margin: Numbers  # kg/m3 of target density above what the open hole is believed to need
    bentonite: Numbers
    polymer: Numbers
    chloride: Numbers
    oil: Numbers
    hot: Numbers  # dial readings at 150 degF instead of 120


def practice(wells: Wells, seed: int) -> Practice:
    """Draws the habits of the crews."""
    draws = Draws(seed, 6)
    count, sections = len(wells.sites), len(SECTIONS)
    inclined = wells.sites["inclination"].to_numpy() > 25.0
    thick_salt = wells.ground.tops[:, DUSKHOLM] - wells.ground.tops[:, WHITEGALL] > 95.0
    late = wells.sites["spud"].to_numpy() > np.datetime64("2015-06-01")

    def factor(spread: float) -> Numbers:
        return 1.0 + draws.normal((count, sections), spread)

    chloride = PROGRAMME["chloride"] * factor(0.15)
    # after the first wells thick salt is drilled with nearly saturated mud
    chloride[:, 2] = np.where(thick_salt & late, 158000.0, chloride[:, 2])
    chloride[:, 3] = np.where(thick_salt & late, 110000.0, chloride[:, 3])
    oil = np.zeros((count, sections))
    oil[:, 2:] = np.where(inclined, 0.025, 0.0)[:, None]
    hot = np.zeros((count, sections), bool)
    hot[[7, 11], 3] = True
    return Practice(
        removal=draws.uniform(count, 0.42, 0.76),
        solids_limit=draws.uniform(count, 0.050, 0.098),
        margin=-3.0 + draws.normal((count, sections), 30.0) * np.array([0.4, 1.0, 1.1, 0.8]),
        bentonite=PROGRAMME["bentonite"] * factor(0.14),
        polymer=PROGRAMME["polymer"] * factor(0.08),
        chloride=chloride, oil=oil, hot=hot,
    )


def _sigmoid(values: Numbers) -> Numbers:
    return 1.0 / (1.0 + np.exp(-values))


def _positive(values: Numbers) -> Numbers:
    return np.maximum(values, 0.0)


def chances(hole: State, fluid: State) -> State:
    """Probability of each kind of event before the next check: the truth behind the events table.

    Densities in kg/m3, low_gravity as a volume fraction, clay (bentonite equivalent) in kg/m3.
    """
    drilling = hole["drilling"]
    over_fracture = fluid["equivalent_density"] - hole["fracture_lowest"]
    under_collapse = _positive(hole["collapse_highest"] - fluid["density"])
    under_pore = hole["pore_highest"] - fluid["density"]
    dirty = (fluid["low_gravity"] - 0.068) / 0.016
    sticky = hole["reactive_open"] * (fluid["clay"] - 62.0) / 14.0
    losses = 0.50 * _sigmoid(over_fracture / 11.0 + 0.6)
    tight = 0.50 * _sigmoid(under_collapse / 11.0 + 0.9 * dirty + 0.7 * sticky - 3.2)
    pack_off = 0.28 * _sigmoid(under_collapse / 11.0 + 0.7 * dirty + hole["inclination"] / 30.0 - 4.6)
    influx = 0.75 * _sigmoid(under_pore / 8.0 - 1.0)
    overbalance = fluid["density"] - hole["pore_lowest"]
    stuck = np.where(
        hole["sand_open"],
        0.25 * _sigmoid((overbalance - 240.0) / 30.0 + (fluid["filtrate"] - 5.4) / 0.6 + hole["inclination"] / 40.0 - 1.6),
        0.0,
    )
    quiet = np.where(drilling, 1.0, 0.35)
    return {
        "losses": losses * np.where(drilling, 1.0, 0.5),
        "tight hole": tight * np.where(drilling, 0.8, 1.0),
        "pack-off": pack_off * quiet,
        "influx": influx * drilling,
        "stuck pipe": stuck * quiet,
    }


class Simulation:
    """Steps the wells through their schedules and keeps the true state at every check."""

    def __init__(self, wells: Wells, schedules: list[pd.DataFrame], seed: int) -> None:
        self.wells, self.schedules = wells, schedules
        self.bench = mud.Bench()
        self.practice = practice(wells, seed)
        self.count = len(schedules)
        self.length = max(map(len, schedules))
        columns = [name for name in schedules[0].columns if name not in ("time", "activity", "well")]
        # padded by repeating the last row, so that every array is (wells, checks)
        self.plan = {
            name: np.array([
                np.pad(frame[name].to_numpy(), (0, self.length - len(frame)), mode="edge") for frame in schedules
            ])
            for name in columns
        }
        drilling = [frame["activity"].str.startswith("drilling").to_numpy() for frame in schedules]
        self.plan["drilling"] = np.array([np.pad(row, (0, self.length - len(row))) for row in drilling])
        self.alive = np.array([np.arange(self.length) < len(frame) for frame in schedules])
        draws = [Draws(seed, 7, well) for well in range(self.count)]
        shape = (self.length, len(EVENT_NAMES))
        self.luck = np.array([draw.uniform(shape) for draw in draws])
        self.severity = np.array([draw.uniform(shape) for draw in draws])
        self.place = np.array([draw.uniform(self.length) for draw in draws])
        self.wobble = np.array([draw.normal(self.length, 4.0) for draw in draws])
        self.drift = {name: np.array([draw.normal(self.length, 1.0) for draw in draws]) for name in ("ph", "polymer", "removal")}
        self.dilution_luck = np.array([draw.uniform(self.length) for draw in draws])
        self.carbonate = np.array([draw.uniform(1, 0.0015, 0.0045)[0] for draw in draws])
        self.cement_left = np.array([draw.uniform(len(SECTIONS), 0.05, 0.25) for draw in draws])
        self.cement_left[HEAVY_CEMENT_WELL, 2] = 1.0

    def run(self) -> tuple[pd.DataFrame, pd.DataFrame]:
        """Truth and events of every well, in SI units and degrees."""
        size = self.count
        state = {name: np.zeros(size) for name in (
            "bentonite", "polymer", "chloride", "oil", "drilled", "exchange", "calcium", "ph", "cement")}
        extra_density = np.zeros(size)
        section_before = np.full(size, -1)
        truth: list[pd.DataFrame] = []
        events: list[dict[str, Any]] = []
        for step in range(self.length):
            now = {name: values[:, step] for name, values in self.plan.items()}
            section = now["section"].astype(int)
            well = np.arange(size)
            fresh = self._fresh(well, section)
            new = section != section_before
            self._change_section(state, fresh, new, section, well)
            extra_density = np.where(new, 0.5 * extra_density * (section == 3), extra_density)
            section_before = section
            self._drill(state, fresh, now, section, step)
            fluid = self._fluid(state, now, section, step, extra_density)
            hole = self._hole(now, section)
            fluid["equivalent_density"] = mud.equivalent_circulating_density(fluid, hole)
            odds = chances(hole, fluid)
            extra_density = self._events(step, odds, fluid, hole, now, extra_density, events)
            keep = self.alive[:, step]
            row = {"well": well, "step": np.full(size, step), **fluid}
            row.update({"chance_" + name.replace(" ", "_").replace("-", "_"): value for name, value in odds.items()})
            truth.append(pd.DataFrame({name: value[keep] for name, value in row.items()}))
        table = pd.concat(truth, ignore_index=True).sort_values(["well", "step"], ignore_index=True)
        return table, pd.DataFrame(events).sort_values(["well", "step", "hours"], ignore_index=True)

    def _fresh(self, well: Numbers, section: Numbers) -> State:
        """Composition of newly mixed mud for the section."""
        crew = self.practice
        return {
            "bentonite": crew.bentonite[well, section] / mud.LOW_GRAVITY_DENSITY,
            "polymer": crew.polymer[well, section],
            "chloride": crew.chloride[well, section],
            "oil": crew.oil[well, section],
            "drilled": np.zeros(len(well)),
            "calcium": PROGRAMME["calcium"][section],
            "ph": PROGRAMME["ph"][section],
        }

    def _change_section(self, state: State, fresh: State, new: Numbers, section: Numbers, well: Numbers) -> None:
        kept = CARRIED[section]
        for name, value in fresh.items():
            mixed = kept * state[name] + (1.0 - kept) * value
            state[name] = np.where(new, mixed, state[name])
        state["cement"] = np.where(new, self.cement_left[well, section], state["cement"])

    def _drill(self, state: State, fresh: State, now: State, section: Numbers, step: int) -> None:
        """Rock in, cuttings out, new mud in."""
        crew = self.practice
        hole_volume = now["area"] * (now["measured"] - now["shoe"]) + 0.75 * now["area"] * now["shoe"]
        volume = SURFACE_VOLUME + hole_volume
        rock = now["solid"]
        share = np.where(rock > 0, now["reactive"] / np.where(rock > 0, rock, 1.0), 0.0)
        removal = np.clip(crew.removal * (1.0 + 0.09 * self.drift["removal"][:, step]), 0.0, 0.9)
        kept = rock * (1.0 - removal * (1.0 - 0.28 * np.minimum(share, 1.0)))
        exchange = np.where(rock > 0, now["clay_weighted"] / np.where(rock > 0, rock, 1.0), 0.0)
        before = state["drilled"] * volume
        total = before + kept
        state["exchange"] = np.where(
            total > 0, (before * state["exchange"] + kept * exchange) / np.where(total > 0, total, 1.0), 0.0
        )
        state["drilled"] = total / volume
        state["chloride"] = np.minimum(
            state["chloride"] + ROCK_SALT_CHLORIDE * now["salt"] / (0.82 * volume),
            np.maximum(CHLORIDE_LIMIT, state["chloride"]),
        )
        state["calcium"] = state["calcium"] + 2.6e4 * now["anhydrite"] / volume
        # new hole and mud lost on cuttings are replaced; above the limit the crew dilutes on purpose
        replaced = (1.6 * rock + now["salt"]) / volume + 0.012
        solids = state["drilled"] + state["bentonite"]
        shallow = section == 0  # where a dirty mud soon breaks the weak ground down
        excess = _positive(solids - crew.solids_limit * np.where(shallow, 0.80, 1.0))
        diluted = (excess > 0) & (self.dilution_luck[:, step] < np.where(shallow, 0.9, 0.55))
        replaced = np.minimum(replaced + np.where(diluted, 0.9 * excess / solids + 0.05, 0.0), np.where(shallow, 0.55, 0.35))
        for name, value in fresh.items():
            state[name] = state[name] + (value - state[name]) * replaced
        state["polymer"] = state["polymer"] * (1.0 + 0.02 * self.drift["polymer"][:, step])
        state["ph"] = np.clip(state["ph"] - 0.4 * now["anhydrite"] / volume * 10 + 0.05 * self.drift["ph"][:, step], 8.6, 10.4)
        fade = np.where(np.arange(self.count) == HEAVY_CEMENT_WELL, 0.78, 0.55)
        state["cement"] = state["cement"] * np.where(now["measured"] > now["shoe"] + 5.0, fade, 1.0)

    def _fluid(self, state: State, now: State, section: Numbers, step: int, extra_density: Numbers) -> State:
        """True composition and properties at the check."""
        crew, well = self.practice, np.arange(self.count)
        brine_density, volume_ratio = mud.brine(state["chloride"])
        target = np.maximum(now["expected_needed"] + crew.margin[well, section], LOWEST_DENSITY[section])
        target = DENSITY_STEP * np.ceil((target + extra_density) / DENSITY_STEP) + self.wobble[:, step]
        parts = {name: state[name].copy() for name in ("oil", "bentonite", "drilled")}
        parts["barite"] = mud.barite_for_density(target, brine_density, **parts)
        density = mud.density(brine_density, **parts)
        brine_fraction = 1.0 - sum(parts.values())
        clay = mud.bentonite_equivalent(self.bench, parts["bentonite"], parts["drilled"], state["exchange"])
        solids = parts["bentonite"] + parts["drilled"] + parts["barite"]
        hot = crew.hot[well, section]
        yield_stress, consistency, index = mud.flow_curve(
            self.bench, solids, clay, state["polymer"], state["chloride"], state["cement"], hot
        )
        ph = np.minimum(state["ph"] + 2.6 * np.sqrt(state["cement"] * np.where(state["cement"] > 0.03, 1, 0)), 12.4)
        return {
            "density": density,
            "brine_fraction": brine_fraction,
            "water_fraction": brine_fraction / volume_ratio,
            "oil_fraction": parts["oil"],
            "bentonite_fraction": parts["bentonite"],
            "drilled_solids_fraction": parts["drilled"],
            "barite_fraction": parts["barite"],
            "low_gravity": parts["bentonite"] + parts["drilled"],
            "brine_density": brine_density,
            "chloride": state["chloride"].copy(),
            "drilled_solids_exchange": state["exchange"].copy(),
            "clay": clay,
            "polymer": state["polymer"].copy(),
            "cement": state["cement"].copy(),
            "yield_stress": yield_stress, "consistency": consistency, "flow_index": index,
            "hot": hot,
            "ph": ph,
            "calcium": state["calcium"] + 520.0 * state["cement"],
            "carbonate": self.carbonate * np.where(section == 0, 0.6, 1.0),
            "lime": 0.045 * state["cement"],
            "filtrate": mud.filtrate(state["polymer"], state["chloride"], state["cement"]),
        }

    def _hole(self, now: State, section: Numbers) -> State:
        def millimetres(key: str) -> Numbers:
            return np.asarray(1000.0 * metres(np.array([plan[key] for plan in SECTIONS])))[section]

        deep_clay = np.array([0.35, 1.0, 0.6, 0.1])[section]
        return {
            "shoe_diameter": millimetres("above"), "hole_diameter": millimetres("hole"), "pipe_diameter": millimetres("pipe"),
            "flow_rate": FLOW_RATE[section],
            "shoe_measured": now["shoe"], "hole_measured": now["measured"],
            "shoe_vertical": now["shoe_vertical"], "hole_vertical": now["vertical"],
            "inclination": now["inclination"],
            "drilling": now["drilling"],
            "reactive_open": deep_clay,
            "sand_open": (section == 3) & (now["formation"] >= EMBERLOW),
            **{name: now[name] for name in ("collapse_highest", "pore_highest", "pore_lowest", "fracture_lowest")},
        }

    def _events(
        self, step: int, odds: State, fluid: State, hole: State, now: State, extra_density: Numbers, events: list[dict[str, Any]]
    ) -> Numbers:
        """Draw what happens before the next check, and let the crew change the density after it."""
        extra_density = extra_density.copy()
        for number, name in enumerate(EVENT_NAMES):
            struck = (self.luck[:, step, number] < odds[name]) & self.alive[:, step]
            for well in np.flatnonzero(struck):
                place, severity = self.place[well, step], self.severity[well, step, number]
                events.append({
                    "well": int(well), "step": step, "event": name,
                    "hours": now["hours"][well] + round(1.0 + 6.5 * place, 1),
                    "measured": now["measured"][well] + place * (now["measured_next"][well] - now["measured"][well]),
                    "severity": severity,
                    "over_fracture": fluid["equivalent_density"][well] - hole["fracture_lowest"][well],
                    "under_pore": hole["pore_highest"][well] - fluid["density"][well],
                })
            change = {"losses": -9.0, "tight hole": 5.0, "pack-off": 9.0, "influx": 70.0, "stuck pipe": 0.0}[name]
            extra_density = np.where(struck, extra_density + change, extra_density)
        return np.clip(extra_density, -25.0, 110.0)
