"""The three forms in which the invented crews filled in their mud checks, and how `lutum.records` reads them."""

from typing import Any

import numpy as np
import pandas as pd

from lutum import units

from .bench import DENSITY_STEP, UNITS

FIELD_NAME = "Marrowfen (invented)"  # in every file, so that no table is ever taken for real
# layout: delimiter, form of the time, then per column: name in lutum.records, heading, unit, decimals
LAYOUTS: dict[str, dict[str, Any]] = {
    "a": {
        "delimiter": ",",
        "time": "%Y-%m-%d %H:%M",
        "columns": (
            ("well", "Well", "", None), ("report_number", "Check no.", "", None), ("time", "Date and time", "", None),
            ("activity", "Operation", "", None), ("hole_diameter", "Hole size", "in", 3),
            ("measured_depth", "Measured depth", "ft", 0), ("fluid_type", "Mud type", "", None),
            ("sample_place", "Sample from", "", None), ("flow_rate", "Pump rate", "gal/min", 0),
            ("flow_line_temperature", "Flowline temp.", "degF", 0), ("mud_density", "Mud weight", "lb/gal", 1),
            ("funnel_viscosity", "Funnel viscosity", "s/qt", 0), ("reading_temperature", "Rheology temp.", "degF", 0),
            ("reading_600", "600 rpm", "", 1), ("reading_300", "300 rpm", "", 1), ("reading_200", "200 rpm", "", 1),
            ("reading_100", "100 rpm", "", 1), ("reading_6", "6 rpm", "", 1), ("reading_3", "3 rpm", "", 1),
            ("plastic_viscosity", "Plastic viscosity", "cP", 1), ("yield_point", "Yield point", "lb/100 ft2", 1),
            ("gel_10_s", "Gel 10 s", "", 0), ("gel_10_min", "Gel 10 min", "", 0), ("gel_30_min", "Gel 30 min", "", 0),
            ("filtrate_volume", "API filtrate", "mL", 1), ("water_fraction", "Retort water", "%", 1),
            ("oil_fraction", "Retort oil", "%", 1), ("solids_fraction", "Retort solids", "%", 1),
            ("sand_fraction", "Sand", "%", 1), ("dye_volume", "Methylene blue", "mL", 1),
            ("dye_sample_volume", "Methylene blue sample", "mL", 1), ("ph", "pH", "", 1),
            ("alkalinity_mud", "Pm", "mL", 2), ("alkalinity_filtrate", "Pf", "mL", 2),
            ("alkalinity_filtrate_total", "Mf", "mL", 2), ("chloride", "Chlorides", "mg/L", 0),
            ("calcium", "Calcium", "mg/L", 0), ("field", "Field", "", None),
        ),
    },
    "b": {
        "delimiter": ",",
        "time": "%d.%m.%Y %H:%M",
        "columns": (
            ("report_number", "NO", "", None), ("well", "WELL", "", None), ("time", "DATE", "", None),
            ("measured_depth", "MD", "ft", 0), ("hole_diameter", "BIT SIZE", "in", 3), ("activity", "ACTIVITY", "", None),
            ("fluid_type", "MUD SYSTEM", "", None), ("sample_place", "TAKEN FROM", "", None),
            ("mud_density", "MW", "lb/gal", 1), ("funnel_viscosity", "FV", "s/qt", 0),
            ("flow_line_temperature", "FLT", "degF", 0), ("reading_temperature", "TEMP VIS", "degF", 0),
            ("plastic_viscosity", "PV", "cP", 1), ("yield_point", "YP", "lb/100 ft2", 1),
            ("reading_600", "R600", "", 1), ("reading_300", "R300", "", 1), ("reading_200", "R200", "", 1),
            ("reading_100", "R100", "", 1), ("reading_6", "R6", "", 1), ("reading_3", "R3", "", 1),
            ("gel_10_s", "GEL 10 SEC", "", 0), ("gel_10_min", "GEL 10 MIN", "", 0), ("gel_30_min", "GEL 30 MIN", "", 0),
            ("filtrate_volume", "FLUID LOSS", "mL", 1), ("solids_fraction", "SOLIDS", "%", 1), ("oil_fraction", "OIL", "%", 1),
            ("water_fraction", "WATER", "%", 1), ("sand_fraction", "SAND", "%", 1), ("bentonite_equivalent", "MBT", "lb/bbl", 2),
            ("dye_volume", "MBT TITRE", "mL", 1), ("dye_sample_volume", "MBT SAMPLE", "mL", 1), ("ph", "PH", "", 1),
            ("alkalinity_mud", "PM", "mL", 2), ("alkalinity_filtrate", "PF", "mL", 2),
            ("alkalinity_filtrate_total", "MF", "mL", 2), ("chloride", "CL", "mg/L", 0), ("calcium", "CA", "mg/L", 0),
            ("flow_rate", "PUMP RATE", "gal/min", 0), ("field", "FIELD", "", None),
        ),
    },
    "c": {
        "delimiter": ";",
        "time": "%Y/%m/%d %H:%M",
        "columns": (
            ("well", "Wellbore name", "", None), ("time", "Sample time", "", None), ("report_number", "Report", "", None),
            ("measured_depth", "Depth MD", "m", 1), ("hole_diameter", "Section", "in", 3), ("activity", "Phase", "", None),
            ("sample_place", "Sample location", "", None), ("fluid_type", "Fluid type", "", None),
            ("flow_rate", "Circulation rate", "L/min", 0), ("mud_density", "Density", "g/cm3", 2),
            ("funnel_viscosity", "Funnel", "s/qt", 0), ("flow_line_temperature", "Temp. flow line", "degC", 0),
            ("reading_temperature", "Temp. viscometer", "degC", 0), ("reading_3", "3", "", 1), ("reading_6", "6", "", 1),
            ("reading_100", "100", "", 1), ("reading_200", "200", "", 1), ("reading_300", "300", "", 1),
            ("reading_600", "600", "", 1), ("gel_10_s", "Gel 10s", "", 0), ("gel_10_min", "Gel 10min", "", 0),
            ("gel_30_min", "Gel 30min", "", 0), ("filtrate_volume", "Filtrate 30 min", "mL", 1),
            ("water_fraction", "Water", "%", 1), ("oil_fraction", "Oil", "%", 1), ("solids_fraction", "Solids", "%", 1),
            ("sand_fraction", "Sand content", "%", 1), ("dye_volume", "Dye to end point", "mL", 1),
            ("dye_sample_volume", "Dye sample", "mL", 1), ("chloride", "Chloride", "mg/L", 0), ("calcium", "Calcium ion", "mg/L", 0),
            ("ph", "pH value", "", 1), ("alkalinity_mud", "Pm mud", "mL", 2), ("alkalinity_filtrate", "Pf filtrate", "mL", 2),
            ("alkalinity_filtrate_total", "Mf filtrate", "mL", 2), ("field", "Field", "", None),
        ),
    },
}  # fmt: skip
LAYOUT_OF_WELL = ("a", "a", "a", "b", "a", "b", "c", "a", "b", "c", "c", "b")
UNIT_ROW = 2  # line of the file; data begin on the next
# The unit row of this well is the one of its layout, but its crew wrote other units.
MISLABELLED_WELL = 8  # MF-09
MISLABELLED_UNITS = {
    "measured_depth": ("m", 1), "mud_density": ("g/cm3", 2), "flow_line_temperature": ("degC", 0),
    "reading_temperature": ("degC", 0), "yield_point": ("Pa", 1), "bentonite_equivalent": ("kg/m3", 0),
    "flow_rate": ("L/min", 0),
}  # fmt: skip


def file_of(name: str) -> str:
    """File of a well's mud checks."""
    return f"mud_checks_{name}.csv"


def number_text(value: float, decimals: int) -> str:
    """A number as a crew writes it: no tail of zeros, nothing where there is no reading."""
    if np.isnan(value):
        return ""
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals > 1 or text.endswith(".0") else text


def heading(well: int, column: str) -> str:
    """The heading of a column in a well's file, "" when its layout has no such column."""
    return next((str(row[1]) for row in LAYOUTS[LAYOUT_OF_WELL[well]]["columns"] if row[0] == column), "")


def report(well: int, checks: pd.DataFrame) -> pd.DataFrame:
    """Text grid of one well's file, headings as columns, without the unit row."""
    layout = LAYOUTS[LAYOUT_OF_WELL[well]]
    grid = {}
    for column, title, unit, decimals in layout["columns"]:
        if well == MISLABELLED_WELL and column in MISLABELLED_UNITS:
            unit, decimals = MISLABELLED_UNITS[column]
        if column == "field":
            grid[title] = [FIELD_NAME] * len(checks)
            continue
        values = checks[column]
        if column == "time":
            grid[title] = values.dt.strftime(layout["time"]).tolist()
        elif decimals is None:
            grid[title] = [str(value) for value in values]
        else:
            kept = UNITS.get(column, "")
            numbers = values.to_numpy(float)
            if unit != kept:
                numbers = np.asarray(units.convert(numbers, kept, unit), float)
            if unit == "g/cm3":
                numbers = np.round(numbers / DENSITY_STEP[unit]) * DENSITY_STEP[unit]
            grid[title] = [number_text(value, decimals) for value in numbers]
    return pd.DataFrame(grid, dtype=object)


def unit_row(well: int) -> list[str]:
    """The unit row of a well's file."""
    return [unit for _, _, unit, _ in LAYOUTS[LAYOUT_OF_WELL[well]]["columns"]]


def mappings() -> dict[str, Any]:
    """One saved mapping of `lutum.records` a layout, by file name."""
    from lutum.records.mapping import ColumnMapping, Mapping

    found = {}
    for letter, layout in LAYOUTS.items():
        columns = {name: ColumnMapping(title) for name, title, _, _ in layout["columns"] if name not in ("activity", "field")}
        time = next(title for name, title, _, _ in layout["columns"] if name == "time")
        columns["time"] = ColumnMapping(time, date_format=layout["time"])
        activity = next(title for name, title, _, _ in layout["columns"] if name == "activity")
        found[f"mapping_{letter}.toml"] = Mapping(
            columns, unit_row=UNIT_ROW, delimiter=layout["delimiter"], decimal=".", keep=(activity,),
            note=f"layout {letter} of the invented Marrowfen field",
        )
    return found
