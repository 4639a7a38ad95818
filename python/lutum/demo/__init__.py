"""An invented oil field to practise on: twelve wells, about nine hundred mud checks, and the truth behind them.

**Everything here is invented**: the Marrowfen field, its wells MF-01 to MF-13, rigs, formations, depths,
pressures, muds, events and dates. No real field, company, person or product is meant or described.

The muds are built forward from a true composition and a true flow curve with Lutum's own calculations;
then an invented bench reads them with noise and rounding, invented crews write the readings down in
three layouts, and known faults are planted. The same seed gives the same bytes.

    import lutum.demo
    lutum.demo.write("marrowfen")                  # the archive as CSV files, with its truth and fault list
    marrowfen = lutum.demo.field(seed=7)           # the same in memory
    marrowfen.checks, marrowfen.truth, marrowfen.events
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from lutum import units

from . import bench, drilling, faults, layouts, schedule, tables
from .draws import Draws
from .layouts import FIELD_NAME
from .wells import Wells

__all__ = ["FIELD_NAME", "Field", "field", "write"]

DEFAULT_SEED = 7
_README = """{name}

Every well, formation, rig, date, depth, reading and event in this folder is INVENTED with seed {seed}.
No real field, company, person or product is meant.

mud_checks_*.csv     one file a well: heading, unit row, then a row a mud check; three layouts (a, b, c)
mapping_*.toml       how lutum.records reads each layout
wells.csv formation_tops.csv casing.csv surveys.csv gradients.csv pressure_tests.csv events.csv
next_well.csv        the well to be planned
truth.csv            what was really in the mud at every check (SI units), chances of the events
next_well_truth.csv  what the next well's sections will really need and bear
planted_faults.csv   what is wrong in the mud checks (or looks wrong and is real); row is the line of the file from 1

Depths "vertical" are below the rotary table, "below sea" below mean sea level; equivalent densities are those
of the mud column below the rotary table. Times are local. Empty cells are readings not made.
"""


@dataclass(frozen=True)
class Field:
    """The tables of the invented field.

    `checks`: all mud checks as read, no faults planted, columns as in `lutum.records`, units in `units`.
    `perfect`: the same readings from a perfect bench. `truth`: the true mud, SI units. Rows of the three match.
    `reports`: text grid of each mud-check file with the planted faults, without its unit row.
    The other tables are as written to the CSV files; their columns carry their units.
    """

    seed: int
    wells: pd.DataFrame
    formation_tops: pd.DataFrame
    casing: pd.DataFrame
    surveys: pd.DataFrame
    gradients: pd.DataFrame
    pressure_tests: pd.DataFrame
    events: pd.DataFrame
    checks: pd.DataFrame
    perfect: pd.DataFrame
    truth: pd.DataFrame
    reports: dict[str, pd.DataFrame]
    planted_faults: pd.DataFrame
    next_well: pd.DataFrame
    next_well_truth: pd.DataFrame
    units: dict[str, str]


_ARCHIVE_TABLES = (
    "wells", "formation_tops", "casing", "surveys", "gradients", "pressure_tests", "events", "truth",
    "planted_faults", "next_well", "next_well_truth",
)  # fmt: skip


def field(seed: int = DEFAULT_SEED) -> Field:
    """The invented field in memory. `seed`: a whole number, 0 or more; the same one gives the same numbers.

    Example: `lutum.demo.field(seed=7).checks["mud_density"]` in lb/gal.
    """
    if isinstance(seed, bool) or not isinstance(seed, (int, np.integer)) or seed < 0:
        raise ValueError(f"seed={seed!r}: give a whole number, 0 or more")
    seed = int(seed)
    wells, planned = Wells(seed), Wells(seed, planned=True)
    schedules = [schedule.of_well(index, wells, seed) for index in range(len(wells.sites))]
    truth, happened = drilling.Simulation(wells, schedules, seed).run()
    plan = pd.concat(schedules, ignore_index=True)
    plan["step"] = plan.groupby("well").cumcount()
    exact = bench.perfect(plan, truth)
    checks = _described(wells, plan, bench.read(exact, plan, truth, seed), seed)
    reports = [
        layouts.report(index, checks[plan["well"] == index].reset_index(drop=True)) for index in range(len(schedules))
    ]
    planted = faults.plant(wells.names, reports, plan, truth)
    return Field(
        seed=seed,
        wells=tables.wells_table(wells),
        formation_tops=tables.formation_tops(wells),
        casing=tables.casing(wells),
        surveys=tables.surveys(wells),
        gradients=tables.gradients(wells),
        pressure_tests=tables.pressure_tests(wells, seed),
        events=tables.events(wells, happened, plan),
        checks=checks,
        perfect=exact,
        truth=tables.truth_table(wells.names, plan, truth),
        reports={layouts.file_of(name): report for name, report in zip(wells.names, reports, strict=True)},
        planted_faults=planted,
        next_well=tables.next_well(planned),
        next_well_truth=tables.next_well_truth(planned),
        units=dict(bench.UNITS),
    )


def _described(wells: Wells, plan: pd.DataFrame, readings: pd.DataFrame, seed: int) -> pd.DataFrame:
    """The readings with the well, number, operation and mud beside them."""
    frame = readings.copy()
    places = Draws(seed, 10).uniform(len(plan))
    drilling_now = plan["activity"].str.startswith("drilling").to_numpy()
    pumping = drilling_now | (plan["activity"] == "circulating").to_numpy()
    rate = units.convert(drilling.FLOW_RATE[plan["section"]], "L/min", "gal/min")
    frame["flow_rate"] = np.where(pumping, np.round(rate / 5.0) * 5.0, np.nan)
    for position, (name, values) in enumerate((
        ("well", np.array(wells.names)[plan["well"]]),
        ("report_number", (plan["step"] + 1).to_numpy()),
        ("activity", plan["activity"].to_numpy()),
        ("fluid_type", np.array(drilling.FLUID_TYPES)[plan["section"]]),
        ("sample_place", np.where(drilling_now & (places < 0.6), "flow line", "active pit")),
    )):
        frame.insert(position, name, values)
    return frame


def write(folder: str | Path, seed: int = DEFAULT_SEED) -> dict[str, Path]:
    """Write the invented field's archive into `folder` (made if absent). Returns the paths by file name.

    Mud checks in one CSV file a well, the other tables, a saved mapping a layout, the truth and the list
    of planted faults. Files of the same names are overwritten.

    Example: `lutum.demo.write("marrowfen", seed=7)`
    """
    content = field(seed)
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    paths: dict[str, Path] = {}

    def place(name: str) -> Path:
        paths[name] = folder / name
        return paths[name]

    place("README.txt").write_bytes(_README.format(name=FIELD_NAME, seed=content.seed).encode())
    for index, (name, report) in enumerate(content.reports.items()):
        delimiter = layouts.LAYOUTS[layouts.LAYOUT_OF_WELL[index]]["delimiter"]
        units_first = pd.concat(
            [pd.DataFrame([layouts.unit_row(index)], columns=report.columns, dtype=object), report], ignore_index=True
        )
        units_first.to_csv(place(name), index=False, sep=delimiter, lineterminator="\n", encoding="utf-8")
    for name in _ARCHIVE_TABLES:
        table = getattr(content, name).copy()
        table.insert(0, "field", FIELD_NAME)
        table.to_csv(place(f"{name}.csv"), index=False, lineterminator="\n", encoding="utf-8", float_format="%.10g")
    for name, mapping in layouts.mappings().items():
        mapping.save(place(name))
    return paths
