"""The geometry of a well: path, sections, volumes, many records at once."""

import pickle
from math import inf, isnan, nan, pi

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_well import BEND, BIT, CASING, COLLARS, JOINTS, OPEN, PIPE, well
from lutum import si, unit_set, units
from lutum.well import PlannedPath, Rows, Survey, Well, planned_path
from scipy.integrate import quad

FEET = units.convert(1.0, "ft", "m")
INCH = units.convert(1.0, "in", "m")
BARREL = units.convert(1.0, "bbl", "m3")


# The path


def test_a_quarter_circle_and_a_slant():
    circle = Survey([0.0, 50.0 * np.pi], [0.0, 90.0], [10.0, 10.0])
    vertical, inclination = circle.at([0.0, 25.0 * np.pi, 50.0 * np.pi])
    assert np.allclose(vertical, [0.0, 100.0 * np.sin(np.pi / 4), 100.0], rtol=1e-12) and np.allclose(inclination, [0.0, 45.0, 90.0])
    slant = Survey([100.0, 300.0], [60.0, 60.0], [0.0, 0.0], first_vertical=90.0)
    assert np.allclose(slant.at([200.0])[0], 140.0) and np.allclose(slant.at([200.0])[1], 60.0)


def test_stations_are_met_exactly_and_turns_count():
    survey = Survey([0.0, 30.0, 60.0, 90.0], [0.0, 10.0, 25.0, 25.0], [0.0, 20.0, 80.0, 200.0])
    # minimum curvature by hand: ratio factor 2/b tan(b/2) on the mean of the cosines
    i, a = np.radians([0.0, 10.0, 25.0, 25.0]), np.radians([0.0, 20.0, 80.0, 200.0])
    cosine = np.cos(np.diff(i)) - np.sin(i[:-1]) * np.sin(i[1:]) * (1 - np.cos(np.diff(a)))
    bend = np.arccos(cosine)
    fall = 15.0 * (np.cos(i[:-1]) + np.cos(i[1:])) * 2 / bend * np.tan(bend / 2)
    assert np.allclose(survey.vertical, np.concatenate([[0], np.cumsum(fall)]), rtol=1e-12)
    assert np.allclose(survey.at([30.0, 60.0, 90.0])[0], survey.vertical[1:], rtol=1e-12)
    fine = survey.at(np.linspace(0, 90, 9001))
    assert np.allclose(np.diff(fine[0]) / 0.01, np.cos(np.radians(fine[1][:-1])), atol=2e-4)  # slope and inclination agree


def test_nothing_is_placed_outside_a_survey():
    survey = Survey([100.0, 200.0], [5.0, 5.0], [0.0, 0.0], first_vertical=100.0)
    assert np.isnan(survey.at([99.9, 200.1, np.nan])[0]).all() and np.isnan(survey.at([99.9])[1]).all()


@pytest.mark.parametrize(
    ("stations", "words"),
    [
        (([0.0], [0.0], [0.0]), "two stations"),
        (([0.0, 0.0], [0.0, 1.0], [0.0, 0.0]), "different measured depths"),
        (([10.0, 20.0], [0.0, 1.0], [0.0, 0.0]), "vertical depth of that station"),
        (([0.0, 20.0], [0.0, np.nan], [0.0, 0.0]), "missing"),
    ],
)
def test_surveys_that_are_none(stations, words):
    with pytest.raises(ValueError, match=words):
        Survey(*stations)


def test_a_vertical_station_needs_no_azimuth():
    assert Survey([0.0, 10.0], [0.0, 0.0], [np.nan, np.nan]).vertical.tolist() == [0.0, 10.0]


def fall_by_integration(length, first, last):
    """Vertical distance along the great-circle arc from one direction to another, by quadrature of its vertical component."""
    bend = np.arccos(np.clip(first @ last, -1.0, 1.0))
    along = lambda s: (np.sin((1 - s) * bend) * first[2] + np.sin(s * bend) * last[2]) / np.sin(bend)  # noqa: E731
    return length * quad(along, 0.0, 1.0, epsabs=1e-13)[0]


@given(st.floats(1.0, 100.0), st.floats(1.0, 90.0), st.floats(0.0, 360.0))
@settings(max_examples=50, deadline=None)
def test_minimum_curvature_is_the_arc_between_two_directions(turn, inclination, azimuth):
    stations = [0.0, 30.0], [inclination, inclination + 0.4 * turn], [azimuth, azimuth + 0.1 * turn]
    survey = Survey(*stations)
    i, a = np.radians(stations[1]), np.radians(stations[2])
    tangents = np.column_stack([np.sin(i) * np.cos(a), np.sin(i) * np.sin(a), np.cos(i)])
    assert survey.vertical[1] == pytest.approx(fall_by_integration(30.0, *tangents), abs=1e-9)


def test_reported_true_depths_of_a_real_survey(open_data):
    stations = pd.read_csv(open_data("volve_ddr") / "surveys.csv")
    measured, true, inclination, azimuth = (stations[name].to_numpy() for name in ("md_m", "tvd_m", "inclination_deg", "azimuth_deg"))
    falls, by_upper_angle = [], []
    for k in range(1, len(stations)):
        if measured[k] - measured[k - 1] < 60.0:  # stations between the others are not in the file
            survey = Survey(measured[k - 1 : k + 1], inclination[k - 1 : k + 1], azimuth[k - 1 : k + 1], first_vertical=true[k - 1])
            falls.append(survey.vertical[1] - true[k])
            by_upper_angle.append((measured[k] - measured[k - 1]) * np.cos(np.radians(inclination[k - 1])) - (true[k] - true[k - 1]))
    assert len(falls) == 18
    # all four depths are printed to 0.1 m: up to 0.05 m each, less the inclination
    assert np.abs(falls).max() < 0.15 and np.abs(by_upper_angle).max() > 0.6
    run = slice(0, 15)
    whole = Survey(measured[run], inclination[run], azimuth[run], first_vertical=true[0])
    assert np.abs(whole.vertical - true[run]).max() < 0.15
    print(f"true depth less the reported one: {min(falls):+.2f} to {max(falls):+.2f} m; over 566 m {whole.vertical[-1] - true[14]:+.2f} m")


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=6), st.lists(st.floats(10.0, 900.0), min_size=6, max_size=6))
@settings(max_examples=100, deadline=None)
def test_a_plan_is_never_steeper_than_vertical_nor_rises(shares, lengths):
    measured = np.concatenate([[0.0], np.cumsum(lengths[: len(shares)])])
    vertical = np.concatenate([[0.0], np.cumsum(np.array(lengths[: len(shares)]) * shares)])
    path = PlannedPath(measured, vertical)
    at = np.unique(np.concatenate([np.linspace(a, b, 201) for a, b in zip(measured[:-1], measured[1:])]))
    true, inclination = path.at(at)
    step = np.diff(true)
    assert np.all(step >= -1e-9) and np.all(step <= np.diff(at) + 1e-9) and np.all(true <= at + 1e-9)
    assert np.allclose(path.at(measured)[0], vertical, atol=1e-9)
    slope = np.cos(np.radians(path.at(0.5 * (at[1:] + at[:-1]))[1]))
    assert np.allclose(step / np.diff(at), slope, atol=1e-4)
    assert planned_path(measured, vertical, at)[0].tolist() == true.tolist()
    assert np.all((inclination >= 0.0) & (inclination <= 90.0))


def test_a_plan_that_cannot_be():
    with pytest.raises(ValueError, match="no faster"):
        planned_path([0.0, 100.0], [0.0, 120.0], [50.0])
    with pytest.raises(ValueError, match="two points"):
        planned_path([0.0], [0.0], [50.0])
    assert np.isnan(planned_path([0.0, 100.0], [0.0, 90.0], [101.0])[0]).all()


def test_depths_of_a_well_are_those_of_its_survey():
    w = well()
    survey = Survey(BEND["measured_depth"], BEND["inclination"], BEND["azimuth"])
    depths = np.array([0.0, 3500.0, 4999.0, 12000.0])
    assert np.allclose(w.true_vertical_depth(depths), survey.at(depths)[0], rtol=1e-11)
    assert np.allclose(w.inclination(depths), survey.at(depths)[1], rtol=1e-9)
    assert np.isnan(w.true_vertical_depth([12001.0, nan])).all()
    with pytest.raises(ValueError, match="measured_depth = 12001.* ft is outside the well, 0 to 12000 ft"):
        w.true_vertical_depth(12001.0)
    rows = w.rows()
    assert np.allclose(rows.bottom_true_vertical_depth / FEET, survey.at(rows.bottom_measured_depth / FEET)[0], rtol=1e-9)
    middle = (rows.bottom_measured_depth - 0.5 * rows.length) / FEET
    assert np.allclose(np.degrees(rows.inclination), survey.at(middle)[1], atol=1e-6)


def test_no_survey_is_vertical_to_the_last_bit():
    rows = well(survey=None).rows()
    assert np.array_equal(rows.bottom_measured_depth, rows.bottom_true_vertical_depth) and not rows.inclination.any()


def test_a_planned_hole():
    w = well(survey={"measured_depth": [0.0, 3000.0, 12000.0], "true_vertical_depth": [0.0, 3000.0, 10000.0]})
    assert w.true_vertical_depth([1500.0, 3000.0, 12000.0]).tolist() == [1500.0, 3000.0, 10000.0]
    assert 3000.0 < w.true_vertical_depth(3300.0) < 3300.0
    assert not w.inclination(np.linspace(0.0, 3000.0, 9)).any() and 0.0 < w.inclination(3001.0) < 2.0  # begins to bend without a kink
    in_disorder = well(survey={"measured_depth": [12000.0, 0.0, 3000.0], "true_vertical_depth": [10000.0, 0.0, 3000.0]})
    assert in_disorder.true_vertical_depth(3300.0) == w.true_vertical_depth(3300.0)


def test_friction_follows_measured_and_pressure_true_depth():
    rows, friction = well().rows(), 200.0
    gravity = 9.80665  # standard gravity, exact
    measured, true = rows.bottom_measured_depth, rows.bottom_true_vertical_depth
    found = si.hydraulics.equivalent_density(1200.0, measured, true, np.full(len(rows), friction))
    by_hand = 1200.0 + friction * measured[-1] / (gravity * true[-1])
    assert found.equivalent_density[-1] == pytest.approx(by_hand, rel=1e-9)
    swapped = si.hydraulics.equivalent_density(1200.0, true, measured, np.full(len(rows), friction))
    assert swapped.equivalent_density[-1] < by_hand - 2.0  # kg/m3: one sixth of the friction's part, twice


# Its sections


@st.composite
def geometries(draw):
    """Holes of random depths, strings of random parts, a bent path."""
    bottoms = np.cumsum(draw(st.lists(st.floats(50.0, 4000.0), min_size=1, max_size=4)))
    kinds = ["riser", "casing", "liner"][: len(bottoms) - 1] + ["open_hole"]
    holes = [
        {"name": f"hole {k}", "kind": kind, "bottom_measured_depth": float(b), "inside_diameter": draw(st.floats(10.0, 20.0))}
        for k, (kind, b) in enumerate(zip(kinds, bottoms))
    ]
    holes[-1]["washout"] = draw(st.floats(0.0, 40.0))
    string = []
    for k in range(draw(st.integers(1, 3))):
        outside = draw(st.floats(3.0, 7.0))
        bore, length = outside * draw(st.floats(0.3, 0.9)), draw(st.floats(1.0, 900.0))
        part = {"name": f"part {k}", "length": length, "outside_diameter": outside, "inside_diameter": bore}
        if draw(st.booleans()):
            part |= {"joint_diameter": outside * 1.2, "joint_bore": bore * 0.9, "joint_spacing": 31.0, "joint_length": draw(st.floats(0.5, 5.0))}
        string.append(part)
    string[-1]["length"] = None
    bottom = float(bottoms[-1])
    bent = [0.0, 5.0, draw(st.floats(5.0, 85.0)), 50.0]
    survey = {"measured_depth": [0.0, 0.3 * bottom, 0.6 * bottom, bottom], "inclination": bent, "azimuth": [0.0, 10.0, 70.0, 40.0]}
    return holes, string, survey, bottom


@given(geometries(), st.floats(0.0, 1.0), st.sampled_from([None, inf, 10.0, 333.0]), st.sampled_from(["lumped", "each"]))
@settings(max_examples=60, deadline=None)
def test_lengths_and_volumes_add_up(geometry, share, spacing, joints):
    holes, string, survey, bottom = geometry
    try:
        w = Well(holes=holes, string=string, survey=survey, joints=joints)
    except ValueError as told:
        assert "longer" in str(told) or "more than the hole" in str(told)
        return
    bit_depth = share * bottom
    rows = w.rows(bit_depth, spacing)
    assert np.all(rows.length > 0.0) and not rows.impossible.any()
    assert rows.length.sum() / FEET == pytest.approx(bottom, rel=1e-12)
    assert rows.length[rows.in_string].sum() / FEET == pytest.approx(bit_depth, abs=1e-5)
    assert np.all(rows.pipe_diameter[~rows.in_string] == 0.0) and np.all(rows.bore[~rows.in_string] == 0.0)
    # every hole and part has the length it was given
    top, empty = 0.0, 0.0
    for hole in holes:
        length = hole["bottom_measured_depth"] - top
        assert rows.length[rows.hole == hole["name"]].sum() / FEET == pytest.approx(length, abs=1e-5)
        empty += pi / 4 * (hole["inside_diameter"] * (1 + hole.get("washout", 0.0) / 100) * INCH) ** 2 * length * FEET
        top = hole["bottom_measured_depth"]
    low, steel, bore = bit_depth, 0.0, 0.0
    for part in string:
        length = min(low, part["length"] or inf)
        mine = (rows.part == part["name"]) | (rows.part == part["name"] + " joints")
        assert rows.length[mine].sum() / FEET == pytest.approx(length, abs=1e-5)
        low -= length
        of_joints = part.get("joint_length", 0.0) / part.get("joint_spacing", 1.0)
        body = 1.0 - of_joints, part["outside_diameter"], part["inside_diameter"]
        joint = of_joints, part.get("joint_diameter", 0.0), part.get("joint_bore", 0.0)
        for of_length, d, s in (body, joint):
            steel += pi / 4 * (d**2 - s**2) * INCH**2 * length * FEET * of_length
            bore += pi / 4 * s**2 * INCH**2 * length * FEET * of_length
    held = w.volumes(bit_depth)
    assert held.hole == pytest.approx(empty / BARREL, rel=1e-9)
    assert held.string + held.annulus + held.below_bit + held.steel == pytest.approx(held.hole, rel=1e-9)
    assert held.closed_end == pytest.approx(held.string + held.steel, rel=1e-9, abs=1e-9)
    if joints == "lumped":
        assert held.steel == pytest.approx(steel / BARREL, rel=1e-9, abs=1e-6)  # lengths under a thousandth of a mm are none
        assert held.string == pytest.approx(bore / BARREL, rel=1e-9, abs=1e-6)  # lengths under a thousandth of a mm are none
    else:
        assert held.steel == pytest.approx(steel / BARREL, rel=0.05, abs=0.3)  # the uppermost length may be cut through
    summed = w.sections(bit_depth, spacing)
    assert summed["annulus_volume"].sum() == pytest.approx(held.annulus, rel=1e-9, abs=1e-9)
    assert summed["bottom_measured_depth"].iloc[-1] == pytest.approx(bottom, rel=1e-11)


def test_a_gauge_hole_holds_what_the_trade_says():
    w = well([OPEN | {"washout": 0.0, "bottom_measured_depth": 1000.0}], [PIPE], survey=None, bit=None)
    # (8.5 in)2/1029.4 bbl/ft; 1029.4 is common practice, 4 x 9702/(12 pi) by definition of inch and barrel
    assert w.volumes().hole == pytest.approx(1000.0 * 8.5**2 / 1029.4, rel=2e-5)
    assert w.volumes().annulus == pytest.approx(1000.0 * (8.5**2 - 5.0**2) * 12 * pi / 4 / 9702, rel=1e-11)
    assert w.volumes().bottoms_up(42.0) == pytest.approx(w.volumes().annulus, rel=1e-11)  # 42 gal/min is a barrel a minute
    times = w.volumes().times([42.0, 84.0, 0.0])
    assert times.full_circulation[0] == pytest.approx(w.volumes().circulating) and times.bottoms_up[1] == pytest.approx(0.5 * times.bottoms_up[0])
    assert isnan(times.bottoms_up[2])
    with pytest.raises(ValueError, match="flow_rate = 0.0 gal/min must be above 0"):
        w.volumes().bottoms_up(0.0)


def test_sections_are_cut_where_something_changes():
    frame = well(string=[COLLARS, PIPE]).sections()
    assert list(frame["bottom_measured_depth"]) == [8000.0, 11400.0, 12000.0]
    assert list(frame["part"]) == ["drill pipe", "drill pipe", "collars"] and list(frame["hole"]) == ["casing", "open hole", "open hole"]
    assert list(frame["hole_diameter"]) == [8.681, 8.925, 8.925]
    assert frame.attrs["units"]["bottom_measured_depth"] == "ft" and frame.attrs["units"]["annulus_volume"] == "bbl"
    fine = well(string=[COLLARS, PIPE]).rows()
    assert {3000.0, 5000.0, 8000.0, 11400.0} <= {round(x / FEET, 6) for x in fine.bottom_measured_depth}
    assert fine.length.max() / FEET <= 150.0 and fine.length.min() / FEET > 66.0
    above = well(string=[COLLARS, PIPE]).sections(9000.0)
    assert list(above["part"]) == ["drill pipe", "drill pipe", "collars", ""] and above["below_bit_volume"].iloc[-1] > 0.0
    out = well().rows(0.0)
    assert not out.in_string.any() and not out.pipe_diameter.any()


def test_sections_are_cut_where_the_bend_changes():
    stations = [0.0, 1003.0, 3037.0, 4007.0, 5011.0, 9013.0, 12000.0]
    bend = {"measured_depth": stations, "inclination": [0.0, 0.0, 0.0, 20.0, 50.0, 50.0, 50.0], "azimuth": [30.0] * 7}
    cut = {round(x / FEET, 6) for x in well(survey=bend).rows().bottom_measured_depth}
    assert {3037.0, 4007.0, 5011.0} <= cut and not {1003.0, 9013.0} & cut  # not within a straight stretch


def test_what_belongs_to_hole_and_part_reaches_the_rows():
    rows = well([CASING | {"eccentricity": 0.3}, OPEN | {"eccentricity": 0.6}], [COLLARS, PIPE | JOINTS | {"roughness": 0.002}]).rows(11900.0, inf)
    assert rows.eccentricity.tolist() == [0.3, 0.3, 0.6, 0.6, 0.6, 0.0] and not rows.slip_velocity.any()
    assert np.allclose(rows.roughness, np.array([1, 1, 1, 1, 0, 0]) * 0.002 * INCH)
    assert list(rows.kind) == ["casing"] * 2 + ["open_hole"] * 4


def test_shoe_and_bottom():
    assert (well().bottom, well().shoe, well().bit_depth) == (12000.0, 8000.0, 12000.0)
    assert well(string=[COLLARS, PIPE | {"length": 9000.0}]).bit_depth == 9600.0
    assert well([OPEN], survey=None).shoe is None
    assert well().bit["nozzle_area"] == pytest.approx(pi / 4 * (2 * 12**2 + 14**2) / 32**2, rel=1e-11)
    assert well(bit={"bit_diameter": 8.5, "nozzle_area": 0.3}).bit["nozzle_area"] == 0.3
    assert isnan(well(bit=None).bit["nozzle_area"]) and well().bit_in_si()["discharge_coefficient"] == 0.95


def test_joints_one_by_one_lie_where_they_are():
    rows = well(joints="each").rows(spacing=inf)
    joint = rows.part == "drill pipe joints"
    whole = rows.length[joint] / FEET
    assert np.allclose(whole, 1.75) and np.count_nonzero(joint) == 361  # 11400 ft by 31.5 ft, the last length without its upper end
    ends = rows.bottom_measured_depth[joint][-3:] / FEET
    assert np.allclose(ends, 11400.0 - 31.5 * np.array([3, 2, 1]) + 1.75)
    assert np.all(rows.pipe_diameter[joint] == 6.625 * INCH) and np.all(rows.bore[joint] == 3.25 * INCH)


def test_a_part_without_joint_bore_takes_the_bodys():
    given = PIPE | {k: v for k, v in JOINTS.items() if k != "joint_bore"}
    frame = well(string=[COLLARS, given]).sections()
    assert list(frame.loc[frame["part"] == "drill pipe joints", "bore"]) == [4.276, 4.276]


def test_units_and_tables_of_every_kind(tmp_path):
    reference = well().rows()
    for name, table in (("holes", [CASING, OPEN]), ("string", [COLLARS, PIPE | JOINTS])):
        pd.DataFrame(table).to_csv(tmp_path / f"{name}.csv", index=False)
    pd.DataFrame(BEND).to_csv(tmp_path / "survey.csv", index=False)
    by_file = Well(holes=tmp_path / "holes.csv", string=str(tmp_path / "string.csv"), survey=tmp_path / "survey.csv", bit=BIT)
    by_frame = Well(holes=pd.DataFrame([CASING, OPEN]), string=pd.DataFrame([COLLARS, PIPE | JOINTS]), survey=pd.DataFrame(BEND), bit=[BIT])
    restored = pickle.loads(pickle.dumps(by_frame))
    for other in (by_file, by_frame, restored, well().to("metric").to("field")):
        for name, x in other.rows().columns(with_inclination=True).items():
            assert np.array_equal(x, getattr(reference, name)), name
    metric = well().to("metric")
    assert metric.bottom == pytest.approx(3657.6, rel=1e-12) and metric.sections()["hole_diameter"].iloc[0] == pytest.approx(220.4974)
    assert metric.volumes().hole == pytest.approx(well().volumes().hole * BARREL, rel=1e-9)
    mixed = Well(
        holes=[{"name": "hole", "kind": "open_hole", "bottom_measured_depth": 1000.0, "inside_diameter": 8.5}],
        string=[{"name": "pipe", "outside_diameter": 5.0, "inside_diameter": 4.0}], units=unit_set("metric", diameter="in"),
    )  # fmt: skip
    assert mixed.rows().hole_diameter[0] == pytest.approx(8.5 * INCH) and mixed.bottom == 1000.0 and mixed.rows().length.max() <= 45.0


def test_a_well_does_not_change():
    w = well()
    with pytest.raises(AttributeError, match="does not change"):
        w.units = None
    with pytest.raises(ValueError, match="read-only"):
        w.rows().bore[0] = 1.0
    other = w.replace(bit={"bit_diameter": 8.5, "nozzle_area": 0.5}, joints="each")
    assert (other.bit["nozzle_area"], w.bit["nozzle_area"] < 0.5, other.joints) == (0.5, True, "each")
    deeper = well(survey=None).replace(holes=[CASING, OPEN | {"bottom_measured_depth": 13000.0}])
    assert deeper.true_vertical_depth(13000.0) == 13000.0
    with pytest.raises(TypeError, match="no table 'hole'"):
        w.replace(hole=[])


# Many wells at once


def test_rows_of_many_records():
    rows = well().rows(spacing=inf)
    drawn = rows.hole_diameter * (1.0 + np.where(rows.kind == "open_hole", np.linspace(0.0, 0.2, 5)[:, None], 0.0))
    many = rows.replace(hole_diameter=drawn, eccentricity=0.5)
    assert isinstance(many, Rows) and (many.records, rows.records, len(many)) == (5, 1, len(rows))
    assert many.hole_diameter.shape == (5, len(rows)) and many.eccentricity.shape == (len(rows),)
    held = many.volumes()
    assert np.all(np.diff(held["annulus"][:, rows.kind == "open_hole"], axis=0) > 0.0)
    assert np.allclose(held["annulus"][0], rows.volumes()["annulus"])
    drawn[3, 1] = 0.1  # one record that cannot be is told and stops nobody
    told = rows.replace(hole_diameter=drawn).impossible
    assert told.shape == drawn.shape and np.argwhere(told).tolist() == [[3, 1]]
    assert rows.replace(bore=nan).impossible.all()
    with pytest.raises(TypeError, match="no numbers called 'hole'"):
        rows.replace(hole=1.0)
    with pytest.raises(ValueError, match=r"hole_diameter has shape 3; give one number, 5 \(one a row\), or records x 5"):
        rows.replace(hole_diameter=np.ones(3))
    with pytest.raises(ValueError, match="hole_diameter 5, bore 2"):
        rows.replace(hole_diameter=drawn, bore=np.ones((2, 5)))
