"""A well invented for the tests: its tables as they are given, in field units. Tests change them by `|` and `well(...)`."""

from lutum.well import Well

CASING = {"name": "casing", "kind": "casing", "bottom_measured_depth": 8000.0, "inside_diameter": 8.681}
OPEN = {"name": "open hole", "kind": "open_hole", "bottom_measured_depth": 12000.0, "inside_diameter": 8.5, "washout": 5.0}
COLLARS = {"name": "collars", "length": 600.0, "outside_diameter": 6.5, "inside_diameter": 2.8125}
PIPE = {"name": "drill pipe", "outside_diameter": 5.0, "inside_diameter": 4.276}
JOINTS = {"joint_diameter": 6.625, "joint_bore": 3.25, "joint_length": 1.75, "joint_spacing": 31.5}
BIT = {"bit_diameter": 8.5, "nozzles": [12.0, 12.0, 14.0]}
BEND = {"measured_depth": [0.0, 3000.0, 5000.0, 12000.0], "inclination": [0.0, 0.0, 40.0, 40.0], "azimuth": [0.0, 0.0, 30.0, 30.0]}
STEEPER = {"measured_depth": [0.0, 3000.0, 6000.0, 12000.0], "inclination": [0.0, 0.0, 50.0, 50.0], "azimuth": [0.0, 0.0, 30.0, 30.0]}


def well(holes=(CASING, OPEN), string=(COLLARS, PIPE | JOINTS), **others):
    return Well(**{"holes": list(holes), "string": list(string), "bit": BIT, "survey": BEND} | others)


def deviated_well():
    """Steeper, the pipe out of the middle of the open hole, three nozzles alike: what hydraulics is tested on."""
    return well([CASING, OPEN | {"eccentricity": 0.5}], bit=BIT | {"nozzles": [12.0, 12.0, 12.0]}, survey=STEEPER)
