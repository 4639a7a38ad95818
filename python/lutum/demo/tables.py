"""The archive's other tables of the invented field: wells, tops, casing, surveys, pressures, events, truth.

Depths in ft, pressures in psi, equivalent densities in lb/gal as the mud column below the rotary table;
the columns say so. The truth table is in SI units.
"""

from typing import Any

import numpy as np
import pandas as pd

from lutum import metric, units

from .draws import Draws, Numbers
from .ground import EMBERLOW, FORMATIONS, NAMES, NETHERCRAG
from .schedule import OpenHole
from .wells import SECTIONS, Wells

GRADIENT_STEP = 25.0  # m
GRADIENT_ROUNDING = 0.05  # lb/gal
CONDUCTOR = {"hole": 36.0, "casing": 30.0, "inside": 28.0}  # in
TEST_ONLY_WELLS = (1, 5, 9)  # wells whose shoe tests stopped before leak-off


def feet(metres: Any) -> Any:
    """Feet to a tenth."""
    return np.round(units.convert(np.asarray(metres, float), "m", "ft"), 1)


def pounds(density: Any) -> Numbers:
    """lb/gal of kg/m3."""
    return np.asarray(units.convert(np.asarray(density, float), "kg/m3", "lb/gal"), float)


def wells_table(wells: Wells) -> pd.DataFrame:
    """Sites, elevations, dates and depths, a row a well."""
    sites = wells.sites
    return pd.DataFrame({
        "well": sites["name"],
        "rig": sites["rig"],
        "east_ft": feet(sites["east"]),
        "north_ft": feet(sites["north"]),
        "rotary_table_above_sea_ft": feet(sites["rotary_table"]),
        "water_depth_ft": feet(sites["water_depth"]),
        "spud_date": sites["spud"].dt.strftime("%Y-%m-%d"),
        "trajectory": np.where(sites["inclination"] > 0, "build and hold", "vertical"),
        "held_inclination_deg": sites["inclination"],
        "total_measured_depth_ft": feet([path.bottom for path in wells.paths]),
        "total_vertical_depth_ft": feet([path.vertical[-1] for path in wells.paths]),
    })


def formation_tops(wells: Wells) -> pd.DataFrame:
    """Tops along the hole, below the rotary table and below the sea."""
    parts = []
    for index, (name, path) in enumerate(zip(wells.names, wells.paths, strict=True)):
        tops = wells.ground.tops[index]
        parts.append(pd.DataFrame({
            "well": name, "formation": NAMES, "lithology": [formation.lithology for formation in FORMATIONS],
            "top_measured_depth_ft": feet(path.measured_at_below_sea(tops)),
            "top_vertical_depth_ft": feet(tops + path.rotary_table),
            "top_below_sea_ft": feet(tops),
        }))
    return pd.concat(parts, ignore_index=True)


def casing(wells: Wells) -> pd.DataFrame:
    """Casings, shoes and the drill pipe used below them."""
    parts = []
    for index, (name, path) in enumerate(zip(wells.names, wells.paths, strict=True)):
        strings = [CONDUCTOR, *SECTIONS]
        shoes = wells.shoes[index]
        parts.append(pd.DataFrame({
            "well": name,
            "casing_size_in": [string["casing"] for string in strings],
            "inside_diameter_in": [string["inside"] for string in strings],
            "hole_size_in": [string["hole"] for string in strings],
            "drill_pipe_size_in": [string.get("pipe", np.nan) for string in strings],
            "shoe_measured_depth_ft": feet(shoes),
            "shoe_vertical_depth_ft": feet(path.vertical_at(shoes)),
        }))
    return pd.concat(parts, ignore_index=True)


def surveys(wells: Wells) -> pd.DataFrame:
    """Survey stations with their minimum-curvature positions."""
    parts = []
    for name, path in zip(wells.names, wells.paths, strict=True):
        parts.append(pd.DataFrame({
            "well": name, "measured_depth_ft": feet(path.measured), "inclination_deg": path.inclination,
            "azimuth_deg": path.azimuth, "vertical_depth_ft": feet(path.vertical),
            "north_ft": feet(path.north), "east_ft": feet(path.east),
        }))
    return pd.concat(parts, ignore_index=True)


def gradients(wells: Wells) -> pd.DataFrame:
    """Pore, collapse and fracture equivalents as interpreted after each well."""
    parts = []
    for index, (name, path) in enumerate(zip(wells.names, wells.paths, strict=True)):
        start, end = wells.shoes_below_sea[index][[0, -1]]
        depth = np.append(np.arange(np.ceil(start / GRADIENT_STEP) * GRADIENT_STEP, end, GRADIENT_STEP), end)
        depth = depth[depth >= start]
        measured = path.measured_at_below_sea(depth)
        found = wells.ground.equivalents(index, depth, path.inclination_at(measured))
        seen = [pounds(wells.ground.from_rotary_table(index, depth, values)) for values in found]
        rounded = [np.round(np.round(values / GRADIENT_ROUNDING) * GRADIENT_ROUNDING, 2) for values in seen]
        parts.append(pd.DataFrame({
            "well": name, "below_sea_ft": feet(depth), "vertical_depth_ft": feet(depth + path.rotary_table),
            "measured_depth_ft": feet(measured),
            "formation": np.array(NAMES)[wells.ground.formation_at(index, depth)],
            "pore_lb_gal": rounded[0], "collapse_lb_gal": rounded[1], "fracture_lb_gal": rounded[2],
        }))
    return pd.concat(parts, ignore_index=True)


def pressure_tests(wells: Wells, seed: int) -> pd.DataFrame:
    """Leak-off and integrity tests at the shoes, and pressures measured in the sands."""
    rows = []
    for index, (name, path) in enumerate(zip(wells.names, wells.paths, strict=True)):
        draws = Draws(seed, 9, index)
        ground = wells.ground
        for section in (1, 2, 3):
            measured = wells.shoes[index][section] + 3.0
            depth = float(path.below_sea_at(measured))
            fracture = ground.equivalents(index, np.array([depth]), path.inclination_at(measured))[2]
            limit = ground.from_rotary_table(index, depth, fracture[0]) - 8.0 * draws.uniform(1)[0]
            integrity = index in TEST_ONLY_WELLS
            limit -= 70.0 * integrity
            rows.append((name, "formation integrity test" if integrity else "leak-off test", measured,
                         depth + path.rotary_table, depth, limit, True))
        for formation, place in ((EMBERLOW, 0.4), (EMBERLOW, 0.8), (NETHERCRAG, 0.15)):
            top, base = ground.tops[index][formation], ground.bases[index][formation]
            depth = top + place * (base - top)
            measured = float(path.measured_at_below_sea(depth))
            pore = ground.equivalents(index, np.array([depth]), path.inclination_at(measured))[0]
            seen = ground.from_rotary_table(index, depth, pore[0]) + draws.normal(1, 2.0)[0]
            rows.append((name, "formation pressure", measured, depth + path.rotary_table, depth, seen, False))
    frame = pd.DataFrame(rows, columns=["well", "test", "measured", "vertical", "below", "equivalent", "down"])

    def column(name: str) -> Numbers:
        return frame[name].to_numpy(float)[:, None]

    pressure = metric.hydraulics.equivalent_density(
        fluid_density=column("equivalent")[:, 0], surface_pressure=0.0, bottom_measured_depth=column("measured"),
        bottom_true_vertical_depth=column("vertical"), friction_gradient=np.zeros((len(frame), 1)),
    ).hydrostatic_pressure
    equivalent = pounds(frame["equivalent"])
    return pd.DataFrame({
        "well": frame["well"], "test": frame["test"], "measured_depth_ft": feet(frame["measured"]),
        "vertical_depth_ft": feet(frame["vertical"]), "below_sea_ft": feet(frame["below"]),
        # a strength is rounded down, a pressure to the nearest
        "equivalent_lb_gal": np.where(frame["down"], np.floor(equivalent * 20.0) / 20.0, np.round(equivalent, 2)),
        "pressure_psi": np.round(units.convert(np.asarray(pressure)[:, -1], "kPa", "psi")),
    })


_REMARKS = {
    "losses": "mud lost to the formation while circulating",
    "tight hole": "overpull or reaming needed to pass",
    "pack-off": "annulus packed off, pump pressure up",
    "influx": "formation fluid entered, well shut in and circulated out",
    "stuck pipe": "pipe stuck while not moving opposite the sand",
}


def events(wells: Wells, happened: pd.DataFrame, plan: pd.DataFrame) -> pd.DataFrame:
    """Losses, tight hole, pack-off, influx and stuck pipe, in time order of each well."""
    severity = happened["severity"].to_numpy()
    kind = happened["event"].to_numpy()
    section = plan.set_index(["well", "step"])["section"].loc[
        list(zip(happened["well"], happened["step"], strict=True))].to_numpy()
    excess = np.maximum(happened["over_fracture"].to_numpy(), -20.0) + 25.0
    rate = np.where(kind == "losses", np.round(4.0 + severity * excess * 2.2), np.nan)
    gain = np.where(kind == "influx", np.round(3.0 + 0.4 * severity * np.maximum(happened["under_pore"], 5.0)), np.nan)
    base = pd.Series(kind).map({"losses": 3.0, "tight hole": 2.0, "pack-off": 6.0, "influx": 20.0, "stuck pipe": 30.0})
    lost = np.round(base.to_numpy() * (0.4 + 1.6 * severity), 1)
    spud = wells.sites["spud"].to_numpy()[happened["well"]]
    time = pd.to_datetime(spud) + pd.to_timedelta((happened["hours"].to_numpy() * 60).astype("int64"), unit="min")
    return pd.DataFrame({
        "well": np.array(wells.names)[happened["well"]],
        "time": time.strftime("%Y-%m-%d %H:%M"),
        "hole_size_in": np.array([plan_["hole"] for plan_ in SECTIONS])[section],
        "measured_depth_ft": np.round(feet(happened["measured"])),
        "event": kind, "loss_rate_bbl_h": rate, "pit_gain_bbl": gain, "hours_lost": lost,
        "remarks": [_REMARKS[name] for name in kind],
    })


def truth_table(names: list[str], plan: pd.DataFrame, truth: pd.DataFrame) -> pd.DataFrame:
    """What was really in the mud at every check, SI units, and the chances the events were drawn with."""
    renamed = {
        "density": "density_kg_m3", "equivalent_density": "equivalent_circulating_density_kg_m3",
        "brine_fraction": "brine_fraction", "water_fraction": "retort_water_fraction", "oil_fraction": "oil_fraction",
        "bentonite_fraction": "bentonite_fraction", "drilled_solids_fraction": "drilled_solids_fraction",
        "barite_fraction": "barite_fraction", "brine_density": "brine_density_kg_m3", "chloride": "chloride_mg_l",
        "drilled_solids_exchange": "drilled_solids_exchange_meq_100g", "clay": "bentonite_equivalent_kg_m3",
        "yield_stress": "yield_stress_pa", "consistency": "consistency_pa_sn", "flow_index": "flow_index",
        "cement": "cement_contamination",
    }  # fmt: skip
    frame = pd.DataFrame({
        "well": np.array(names)[plan["well"]], "check": plan.groupby("well").cumcount() + 1,
        "time": plan["time"].dt.strftime("%Y-%m-%d %H:%M"),
        "hole_size_in": np.array([section["hole"] for section in SECTIONS])[plan["section"]],
        "measured_depth_m": plan["measured"], "vertical_depth_m": plan["vertical"], "below_sea_m": plan["below_sea"],
        "formation": np.array(NAMES)[plan["formation"]],
    })
    for name, title in renamed.items():
        frame[title] = truth[name].to_numpy()
    for name in ("pore_highest", "collapse_highest", "fracture_lowest"):
        frame[name + "_kg_m3"] = plan[name].to_numpy()
    chance = [str(name) for name in truth if str(name).startswith("chance_")]
    return pd.concat([frame, truth[chance].reset_index(drop=True)], axis=1)


def next_well(planned: Wells) -> pd.DataFrame:
    """The well to be planned: one row a formation with the prognosis, site and plan repeated."""
    path = planned.paths[0]
    head = wells_table(planned).iloc[0]
    tops = planned.ground.tops[0]
    frame = pd.DataFrame({"formation": NAMES, "top_below_sea_ft": feet(np.round(tops, -1)),
                          "top_measured_depth_ft": feet(np.round(path.measured_at_below_sea(tops), -1))})
    for position, (name, value) in enumerate(head.items()):
        frame.insert(position, name, value)
    return frame


def next_well_truth(planned: Wells) -> pd.DataFrame:
    """What the next well's sections will really need and bear: density lowest allowed, equivalent density highest allowed."""
    rows = []
    for section, plan in enumerate(SECTIONS):
        shoe, bottom = planned.shoes[0][section : section + 2]
        hole = OpenHole(0, planned.paths[0], planned.ground, shoe, bottom).at(bottom)
        rows.append({
            "well": planned.names[0], "hole_size_in": plan["hole"],
            "shoe_measured_depth_ft": feet(shoe), "bottom_measured_depth_ft": feet(bottom),
            "lowest_density_lb_gal": pounds(max(hole["collapse_highest"], hole["pore_highest"])).round(3),
            "highest_equivalent_lb_gal": pounds(hole["fracture_lowest"]).round(3),
        })
    return pd.DataFrame(rows)
