"""A well as hydraulics see it: holes, string, bit and path, cut into rows from the surface down.

    from lutum.well import Well

    well = Well(
        holes=[
            {"name": "casing", "kind": "casing", "bottom_measured_depth": 8000, "inside_diameter": 8.681},
            {"name": "open hole", "kind": "open_hole", "bottom_measured_depth": 12000, "inside_diameter": 8.5, "washout": 5},
        ],
        string=[  # from the bit up; the last part reaches the surface
            {"name": "collars", "length": 600, "outside_diameter": 6.5, "inside_diameter": 2.8125},
            {"name": "drill pipe", "outside_diameter": 5, "inside_diameter": 4.276,
             "joint_diameter": 6.625, "joint_bore": 3.25, "joint_length": 1.75, "joint_spacing": 31.5},
        ],
        bit={"bit_diameter": 8.5, "nozzles": [12, 12, 12]},
        survey="survey.csv",                     # measured_depth, inclination, azimuth; none for a vertical hole
        units="field",
    )
    well.sections()                              # a frame to read: one row a section, in the units of the well
    well.rows()                                  # the arrays, in SI, as the calculations of hydraulics take them
    well.volumes().bottoms_up(600)               # minutes at 600 gal/min
    well.findings                                # what is possible but unlikely

What is done with it are functions of this package, each of a well and a fluid:

    from lutum.well import Fluid, Window, circulate, rate_limits, sweep, trip_schedule

    mud = Fluid.of(density=10.2, yield_stress=6.0, consistency=0.9, flow_index=0.65)     # or curve=flow_curve.fit(...)
    window = Window.of({"true_vertical_depth": [0, 11000], "pore_density": [8.4, 9.5], "fracture_density": [12.0, 13.0]})
    flowing = circulate(well, mud, 500, penetration_rate=60)      # pump pressure, pressure and equivalent density down the hole
    flowing.budget(), flowing.profile(), flowing.margins(window)  # frames
    sweep(well, mud, [300, 400, 500], window=window)              # a row a rate
    rate_limits(well, mud, window, highest=900, pump_pressure=3500)
    trip_schedule(well, mud, window, [12000, 10000, 8000], way="out", highest=400, margin=0.3)
    cleaning(well, mud, 500, penetration_rate=60, cuttings_diameter=0.25, cuttings_density=21.7)  # along the well: what slips, what stands, what rate is needed

    connection(well, mud, 500, window=window), slow_rates(well, mud, [60, 90])
    surge(well, mud, 90), minimum_rate(well, mud, penetration_rate=60, cuttings_diameter=0.25)
    circulate_over(checks, {"A-1": well})                         # a frame of mud checks, each in its well at its depth
    figures.equivalent_densities(flowing, window), figures.pressure_budget(flowing), figures.rate_sweep(...), figures.trip_speeds(...)

All numbers are in the units of the well, and what cannot be is a ValueError that names it. All pressures, rates and speeds are advisory: the well's own programme and licensed practice decide.
"""

from .circulating import Circulation as Circulation
from .circulating import circulate as circulate
from .cleaning import cleaning as cleaning
from .cleaning import minimum_rate as minimum_rate
from .cleaning import slip_velocities as slip_velocities
from .fluid import Fluid as Fluid
from .geometry import Volumes as Volumes
from .geometry import Well as Well
from .many import circulate_over as circulate_over
from .rates import RateLimits as RateLimits
from .rates import connection as connection
from .rates import rate_limits as rate_limits
from .rates import slow_rates as slow_rates
from .rates import sweep as sweep
from .rows import Rows as Rows
from .survey import PlannedPath as PlannedPath
from .survey import Survey as Survey
from .survey import planned_path as planned_path
from .tripping import Surge as Surge
from .tripping import surge as surge
from .tripping import trip_schedule as trip_schedule
from .window import Window as Window

__all__ = [
    "circulate", "circulate_over", "Circulation", "cleaning", "connection", "figures", "Fluid", "minimum_rate", "planned_path",
    "PlannedPath", "rate_limits", "RateLimits", "Rows", "slip_velocities", "slow_rates", "Surge", "surge", "Survey", "sweep",
    "trip_schedule", "Volumes", "Well", "Window",
]  # fmt: skip


def __getattr__(name: str) -> object:
    if name == "figures":  # matplotlib only when asked for
        from importlib import import_module

        return import_module(f"{__name__}.figures")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
