"""What is told of a well that cannot be, and of one that is unlikely: segment, value, unit, limit, what to do."""

from math import inf, nan

import pytest
from invented_well import BEND, BIT, CASING, COLLARS, JOINTS, OPEN, PIPE, well
from lutum.well import Well


# What cannot be


LATER = OPEN | {"top_measured_depth": 8500.0}
WRONG = {
    "a gap": (
        {"holes": [CASING, LATER]},
        "hole 'casing' ends at 8000 ft and hole 'open hole' begins at 8500 ft, a gap of 500 ft; add the hole",
    ),
    "an overlap": ({"holes": [CASING, OPEN | {"top_measured_depth": 7500.0}]}, "an overlap of 500 ft; list what the string runs through"),
    "no first hole": (
        {"holes": [CASING | {"top_measured_depth": 100.0}, OPEN]},
        "hole 'casing': its top is 100 ft; the first hole begins at 0 ft",
    ),
    "upside down": ({"holes": [OPEN, CASING]}, "hole 'casing': bottom 8000 ft is not below its top 12000 ft"),
    "riser below": ({"holes": [CASING, OPEN | {"kind": "riser", "washout": 0.0}]}, "a riser below hole 'casing'"),
    "washed casing": ({"holes": [CASING | {"washout": 3.0}, OPEN]}, "hole 'casing': washout 3 % of a casing, which cannot wash out"),
    "shrunk hole": ({"holes": [CASING, OPEN | {"washout": -3.0}]}, "washout -3 % is below 0 %; give a hole that is under gauge"),
    "eccentric": ({"holes": [CASING, OPEN | {"eccentricity": 1.2}]}, "hole 'open hole': eccentricity 1.2 is outside 0 (concentric) to 1"),
    "no diameter": ({"holes": [CASING, OPEN | {"inside_diameter": 0.0}]}, "hole 'open hole': inside_diameter 0 in must be above 0 in"),
    "missing": ({"holes": [CASING, OPEN | {"inside_diameter": nan}]}, "hole 'open hole': inside_diameter is missing; give it in in"),
    "text": (
        {"holes": [CASING | {"inside_diameter": "9 5/8"}, OPEN]},
        "hole 'casing': inside_diameter is the text '9 5/8'; give a number in in",
    ),
    "endless": (
        {"holes": [CASING, OPEN | {"bottom_measured_depth": inf}]},
        "hole 'open hole': bottom_measured_depth is inf; give a finite number in ft",
    ),
    "kind": (
        {"holes": [CASING | {"kind": "pipe"}, OPEN]},
        "hole 'casing': kind 'pipe' is unknown; choose riser, casing, liner or open_hole",
    ),
    "nameless": ({"holes": [CASING | {"name": " "}, OPEN]}, "holes: row 1 has no name"),
    "column": (
        {"holes": [CASING | {"inner_diameter": 8.0}, OPEN]},
        "holes: column 'inner_diameter' is unknown; did you mean 'inside_diameter'?",
    ),
    "nothing": ({"holes": []}, "holes: the table has no rows"),
    "wide part": (
        {"string": [COLLARS | {"outside_diameter": 9.0}, PIPE]},
        "part 'collars' is 9 in outside, not smaller than hole 'casing', 8.681 in inside",
    ),
    "washed gauge": (
        {"string": [COLLARS | {"outside_diameter": 8.6}, PIPE], "bit": None},
        "not smaller than hole 'open hole', 8.5 in inside, though it reaches down to 12000 ft",
    ),
    "wide joint": (
        {"string": [COLLARS, PIPE | JOINTS | {"joint_diameter": 8.7}]},
        "part 'drill pipe': its joint_diameter is 8.7 in outside, not smaller than hole 'casing'",
    ),
    "small joint": (
        {"string": [COLLARS, PIPE | JOINTS | {"joint_diameter": 4.5}]},
        "part 'drill pipe': joint_diameter 4.5 in is smaller than the body's outside_diameter 5 in",
    ),
    "joint bore": (
        {"string": [COLLARS, PIPE | JOINTS | {"joint_bore": 7.0}]},
        "part 'drill pipe': joint_bore 7 in must be above 0 and smaller than the joint_diameter 6.625 in",
    ),
    "joint length": (
        {"string": [COLLARS, PIPE | JOINTS | {"joint_length": 32.0}]},
        "part 'drill pipe': joint_length 32 ft must be above 0 and shorter than the joint_spacing 31.5 ft",
    ),
    "half a joint": (
        {"string": [COLLARS, PIPE | {"joint_diameter": 6.625}]},
        "part 'drill pipe' has tool joints: joint_length is missing; give it in ft",
    ),
    "bore": (
        {"string": [COLLARS | {"inside_diameter": 6.5}, PIPE]},
        "part 'collars': bore inside_diameter 6.5 in must be above 0 and smaller than its outside_diameter 6.5 in",
    ),
    "roughness": ({"string": [COLLARS, PIPE | {"roughness": -0.1}]}, "part 'drill pipe': roughness -0.1 in is below 0"),
    "no length": ({"string": [COLLARS | {"length": 0.0}, PIPE]}, "part 'collars': length 0 ft must be above 0 ft"),
    "long string": (
        {"string": [COLLARS | {"length": 12500.0}, PIPE]},
        "are 12500 ft long, more than the hole to the bottom of hole 'open hole' at 12000 ft",
    ),
    "long pipe": (
        {"string": [COLLARS, PIPE | {"length": 11500.0}]},
        "string: its parts up to part 'drill pipe' are 12100 ft long, more than the hole",
    ),
    "top down": ({"string": [PIPE, COLLARS]}, "part 'drill pipe': length is missing in row 1 of 2; list the parts from the bit up"),
    "string column": ({"string": [COLLARS | {"lenght": 3.0}, PIPE]}, "string: column 'lenght' is unknown; did you mean 'length'?"),
    "far column": ({"string": [COLLARS | {"xyz": 3.0}, PIPE]}, "string: column 'xyz' is unknown; it takes name, length"),
    "big bit": (
        {"bit": BIT | {"bit_diameter": 9.0}},
        "bit: bit_diameter 9 in does not pass hole 'casing', 8.681 in inside, above the bit's depth 12000 ft",
    ),
    "two ways": ({"bit": BIT | {"nozzle_area": 0.3}}, "bit: nozzles and nozzle_area are both given"),
    "no list": ({"bit": BIT | {"nozzles": "12 12"}}, "bit: nozzles is '12 12'; give a list of diameters in 1/32 in"),
    "no nozzle": ({"bit": BIT | {"nozzles": [12.0, 0.0]}}, "every diameter must be above 0 1/32 in"),
    "no area": ({"bit": {"bit_diameter": 8.5, "nozzle_area": 0.0}}, "bit: nozzle_area 0 in2 must be above 0"),
    "wide nozzles": ({"bit": BIT | {"nozzles": [400.0]}}, "is larger than the bit of 8.5 in; nozzles are diameters in 1/32 in"),
    "coefficient": ({"bit": BIT | {"discharge_coefficient": 95.0}}, "bit: discharge_coefficient 95 is outside 0 to 1.1"),
    "no bit diameter": ({"bit": {"nozzles": [12.0]}}, "bit: bit_diameter is missing; give it in in"),
    "two bits": ({"bit": [BIT, BIT]}, "bit: the table has 2 rows"),
    "no size": ({"bit": {"bit_diameter": 0.0}}, "bit: bit_diameter 0 in must be above 0 in"),
    "short survey": (
        {"survey": {k: v[:3] for k, v in BEND.items()}},
        "survey: it ends at 5000 ft, 7000 ft above the bottom of hole 'open hole' at 12000 ft; add a station there",
    ),
    "late survey": ({"survey": {k: v[1:] for k, v in BEND.items()}}, "survey: it starts at measured depth 3000 ft; add the station at 0"),
    "one station": ({"survey": {k: v[:1] for k, v in BEND.items()}}, "survey: it has 1 station"),
    "twice": (
        {"survey": BEND | {"measured_depth": [0.0, 3000.0, 3000.0, 12000.0]}},
        "survey station at measured depth 3000 ft is there twice",
    ),
    "inclination": (
        {"survey": BEND | {"inclination": [0.0, 0.0, 240.0, 40.0]}},
        "survey station at measured depth 5000 ft: inclination 240 degrees is outside 0 to 180",
    ),
    "no inclination": (
        {"survey": BEND | {"inclination": [0.0, 0.0, nan, 40.0]}},
        "survey station 3: inclination is missing; give it in degrees",
    ),
    "azimuth": ({"survey": BEND | {"azimuth": [0.0, 0.0, 400.0, 40.0]}}, "azimuth 400 degrees is outside -360 to 360 degrees"),
    "no azimuth": (
        {"survey": {k: v for k, v in BEND.items() if k != "azimuth"}},
        "survey station at measured depth 5000 ft: azimuth is missing",
    ),
    "swapped": (
        {"survey": {"measured_depth": [0.0, 9000.0], "true_vertical_depth": [0.0, 12000.0]}},
        "survey station at measured depth 9000 ft: true vertical depth 12000 ft is greater than the measured depth; check that the two columns",
    ),
    "steep": (
        {"survey": {"measured_depth": [0.0, 2000.0, 12000.0], "true_vertical_depth": [0.0, 1000.0, 11500.0]}},
        "goes from 1000 ft to 11500 ft on 10000 ft of hole",
    ),
    "rising": ({"survey": {"measured_depth": [0.0, 2000.0, 12000.0], "true_vertical_depth": [0.0, 1900.0, 1800.0]}}, "it must not rise"),
    "high start": (
        {"survey": {"measured_depth": [0.0, 12000.0], "true_vertical_depth": [-50.0, 9000.0]}},
        "true vertical depth is -50 ft; it is 0 where",
    ),
    "unlike": ({"survey": BEND | {"azimuth": [0.0]}}, "survey: columns of unlike length (measured_depth 4, inclination 4, azimuth 1)"),
    "joints": ({"joints": "some"}, "joints = 'some' is unknown; choose lumped or each"),
}  # fmt: skip


@pytest.mark.parametrize(("tables", "words"), WRONG.values(), ids=WRONG)
def test_what_cannot_be_is_named(tables, words):
    with pytest.raises(ValueError) as told:
        well(**tables)
    assert words in str(told.value)


def test_everything_wrong_is_told_at_once_and_names_tell_places():
    twins = [COLLARS, PIPE | {"name": "collars", "length": 100.0, "inside_diameter": 6.0}, PIPE]
    with pytest.raises(ValueError) as told:
        well([CASING | {"washout": 3.0}, OPEN | {"eccentricity": 2.0}], twins)
    assert len(str(told.value).splitlines()) == 3 and "part 'collars' (2 from the bit): bore" in str(told.value)


def test_what_is_asked_of_a_well():
    w = well(string=[COLLARS, PIPE | {"length": 9000.0}])
    with pytest.raises(ValueError, match="bit_depth = 12500 ft is outside the well, 0 to 12000 ft"):
        w.rows(12500.0)
    with pytest.raises(ValueError, match="9600 ft long and do not reach from bit_depth = 11000 ft to the surface"):
        w.rows(11000.0)
    with pytest.raises(ValueError, match="spacing = 0.0 ft must be above 0"):
        w.rows(spacing=0.0)
    with pytest.raises(ValueError, match="bit_depth = nan must be one finite number, in ft"):
        w.rows(nan)
    with pytest.raises(ValueError, match="fields"):
        well(units="fields")
    with pytest.raises(TypeError, match="holes must be a frame, the path of a CSV file or a list of dicts, not int"):
        Well(holes=3, string=[PIPE])
    # a bit that passes the casing only is right as long as it stays there
    large = [CASING | {"inside_diameter": 12.0}, OPEN]
    shallow = well(large, [COLLARS, PIPE | {"length": 7000.0}], bit=BIT | {"bit_diameter": 11.0})
    assert shallow.bit_depth == 7600.0
    with pytest.raises(ValueError, match="does not pass hole 'open hole'"):
        well(large, bit=BIT | {"bit_diameter": 11.0})


UNLIKELY = {
    "washout": ({"holes": [CASING, OPEN | {"washout": 60.0}]}, "hole 'open hole': washout 60 % of the diameter is above 50 %"),
    "eccentric": ({"holes": [CASING, OPEN | {"eccentricity": 0.97}]}, "hole 'open hole': eccentricity 0.97 is above 0.95"),
    "order of holes": (
        {"holes": [OPEN | {"bottom_measured_depth": 5000.0}, CASING | {"bottom_measured_depth": 12000.0}]},
        "hole 'casing': it stands below hole 'open hole'",
    ),
    "joint bore": (
        {"string": [COLLARS, PIPE | JOINTS | {"joint_bore": 4.5}]},
        "part 'drill pipe': joint_bore 4.5 in is wider than the body's bore 4.276 in",
    ),
    "order of parts": (
        {"string": [PIPE | {"length": 11400.0}, COLLARS]},
        "part 'drill pipe' at the bit is thinner than part 'collars' at the surface",
    ),
    "survey": ({"survey": BEND | {"true_vertical_depth": [0.0, 3000.0, 4700.0, nan]}}, "survey: its true vertical depth differs by"),
}  # fmt: skip


@pytest.mark.parametrize(("tables", "words"), UNLIKELY.values(), ids=UNLIKELY)
def test_what_is_unlikely_is_told(tables, words):
    found = well(**tables).findings
    assert len(found) == 1 and words in found[0]
    assert well().findings == ()
