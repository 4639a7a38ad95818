"""Trip schedules: the window kept at every exposed depth, faster breaking it, and what is said where no speed is left."""

import math

import numpy as np
import pytest

from lutum import units
from lutum.well import Fluid, Well, Window, circulate, surge, trip_schedule

PSI, LB_GAL, FT = (float(units.convert(1.0, unit, base)) for unit, base in (("psi", "Pa"), ("lb/gal", "kg/m3"), ("ft", "m")))
FT_MIN = float(units.convert(1.0, "ft/min", "m/s"))
WEIGHT = 9.80665  # standard gravity, m/s2
DEPTHS = [12000.0, 10500.0, 9000.0, 7000.0, 2000.0]


@pytest.fixture(scope="module")
def window():
    """Narrower than the usual one."""
    return Window.of({"true_vertical_depth": [0, 11000], "pore_density": [8.6, 9.7], "fracture_density": [10.8, 11.5]})


def least_room(of, mud, window, depth, way, speed, back=0.0, **given):
    """Of every exposed depth, by the well at rest and the surge, without the schedule's code."""
    rest = circulate(of, mud, 0.0, bit_depth=depth, back_pressure=back).profile()
    added = surge(of, mud, speed, bit_depth=depth, way=way, **given).profile()["peak_equivalent_density"]
    limits = window.at(rest["bottom_true_vertical_depth"].to_numpy() * FT)
    shown = rest["bottom_measured_depth"] >= of.shoe - 1e-6
    if way == "in":
        return (limits["fracture_density"] / LB_GAL - rest["equivalent_density"] - added)[shown].min()
    return (rest["equivalent_density"] - added - limits["lower"] / LB_GAL)[shown].min()


@pytest.mark.parametrize("way", ["in", "out"])
@pytest.mark.parametrize("given", [{}, {"end": "open"}, {"method": "handbook_line"}, {"acceleration": 0.3, "gel_strength": 3.0},
                                   {"flow_rate": 200.0}, {"flow_rate": 350.0, "acceleration": 0.3, "method": "handbook_constant"}], ids=str)  # fmt: skip
def test_a_schedule_holds_its_window_and_faster_does_not(deviated, mud, window, way, given):
    table = trip_schedule(deviated, mud, window, DEPTHS, way=way, highest=900.0, margin=0.05, back_pressure=15.0, **given)
    held = table[table["stopped_by"].str.contains("side of the window")]
    assert len(held) >= 3 and (held["pipe_velocity"] > 0.0).all()
    for row in table.itertuples():
        room = least_room(deviated, mud, window, row.bit_depth, way, row.pipe_velocity, 15.0, **given)
        assert row.to_limit == pytest.approx(room, abs=1e-9) and room >= 0.05 - 1e-9
        assert row.surge_pressure == pytest.approx(surge(deviated, mud, row.pipe_velocity, bit_depth=row.bit_depth, way=way, **given).at_bit(), rel=1e-9)
    for row in held.itertuples():
        assert row.to_limit == pytest.approx(0.05, abs=1e-9)
        assert least_room(deviated, mud, window, row.bit_depth, way, row.pipe_velocity * 1.001, 15.0, **given) < 0.05 - 1e-6


def test_a_weak_streak_between_two_rows_is_kept(deviated, mud):
    """20 ft of weak rock, thinner than a row: its own edges are watched, with what is above them only."""
    at = deviated.true_vertical_depth(9870)
    window = Window.of({"true_vertical_depth": [0, at - 10.001, at - 10, at + 10, at + 10.001, 11000], "pore_density": [8.6] * 6,
                        "fracture_density": [13.0, 13.0, 10.9, 10.9, 13.0, 13.0]})  # fmt: skip
    for depth in (8500.0, 12000.0):
        row = trip_schedule(deviated, mud, window, depth, way="in", highest=900.0).iloc[0]
        assert row["stopped_by"] == "the fracture side of the window" and row["equivalent_density"] == pytest.approx(10.9, rel=1e-9)
        assert 9840 < row["to_limit_at"] < 9900
        added = surge(deviated, mud, row["pipe_velocity"], bit_depth=depth, spacing=1.0).profile()
        streak = added[(added["bottom_true_vertical_depth"] - at).abs() <= 11]
        assert (10.2 + streak["peak_equivalent_density"]).max() == pytest.approx(10.9, abs=0.002)


def test_weak_rock_behind_casing_is_not_watched(deviated, mud):
    behind = Window.of({"true_vertical_depth": [0, 5000, 5100, 5200, 11000], "pore_density": [8.6] * 5, "fracture_density": [13.0, 13.0, 10.0, 13.0, 13.0]})
    row = trip_schedule(deviated, mud, behind, 12000, way="in", highest=300.0).iloc[0]
    assert row["stopped_by"] == "the highest speed asked for" and row["to_limit_at"] >= 8000.0


def test_in_and_out_mirror(deviated, mud):
    even = Window.of({"true_vertical_depth": [0, 11000], "pore_density": [9.6, 9.9], "fracture_density": [10.8, 10.5]})
    inward, outward = (trip_schedule(deviated, mud, even, DEPTHS, way=way, highest=900.0, gel_strength=2.0, acceleration=0.1) for way in ("in", "out"))
    assert np.allclose(inward["pipe_velocity"], outward["pipe_velocity"], rtol=1e-9) and (inward["pipe_velocity"] < 900.0).sum() >= 3
    assert np.allclose(inward["equivalent_density"] - 10.2, 10.2 - outward["equivalent_density"], atol=1e-9)
    assert np.allclose(inward["to_other_limit"], outward["to_other_limit"], atol=1e-9)


def test_braking_goes_to_the_other_side(deviated, mud, window):
    calm, braked = (trip_schedule(deviated, mud, window, 12000, way="in", highest=50.0, acceleration=a).iloc[0] for a in (0.0, 2.0))
    rest = circulate(deviated, mud, 0.0).margins(window).iloc[0]
    assert calm["to_other_limit"] == pytest.approx(rest["to_lower_limit"], rel=1e-9)
    inertia = surge(deviated, mud, 50.0, acceleration=2.0).at_bit("inertia") * PSI / (WEIGHT * deviated.true_vertical_depth(12000) * FT) / LB_GAL
    assert braked["to_other_limit"] == pytest.approx(calm["to_other_limit"] - inertia, rel=1e-9)


def test_pumping_out_lets_the_pipe_go_faster_and_in_slower(deviated, mud, window):
    given = {"highest": 1500.0, "acceleration": 0.2}
    for way, sense in (("out", 1.0), ("in", -1.0)):
        speeds = [trip_schedule(deviated, mud, window, DEPTHS, way=way, flow_rate=q, **given)["pipe_velocity"] for q in (0.0, 100.0, 200.0, 350.0)]
        assert (np.diff(speeds, axis=0) * sense > 20.0).all() and (speeds[-1] < 1500.0).all()


def braked(of, mud, window, speed, flow_rate, acceleration=0.0):
    """To the fracture side when a pipe that is pumped out is braked, at the exposed rows: the pumps alone and the inertia, by hand."""
    profile = surge(of, mud, speed, flow_rate=flow_rate, way="out", acceleration=acceleration).profile()
    shown = profile[profile["bottom_measured_depth"] >= of.shoe - 1e-6]
    loss = surge(of, mud, 0.0, flow_rate=flow_rate, way="in").steady[shown.index] / PSI
    added = (loss + shown["inertia"]) / (WEIGHT * shown["bottom_true_vertical_depth"] * FT * LB_GAL / PSI)
    return (window.at(shown["bottom_true_vertical_depth"].to_numpy() * FT)["fracture_density"] / LB_GAL - 10.2 - added).min()


def test_pumping_out_counts_on_the_fracture_side(deviated, mud, window):
    given = {"way": "out", "highest": 1500.0, "acceleration": 0.5}
    rest = circulate(deviated, mud, 0.0).margins(window).iloc[0]["to_fracture"]
    off, on = (trip_schedule(deviated, mud, window, 12000, flow_rate=q, **given).iloc[0] for q in (0.0, 350.0))
    assert on["to_other_limit"] == pytest.approx(braked(deviated, mud, window, on["pipe_velocity"], 350.0, 0.5), rel=1e-9)
    assert on["to_other_limit"] < off["to_other_limit"] - 0.3 < rest and on["pipe_velocity"] > off["pipe_velocity"] > 0.0
    # the margin between what the pumps leave and what braking leaves; then more than the pumps leave
    pumps = braked(deviated, mud, window, 0.0, 350.0)
    for margin, why in ((0.5 * (pumps + on["to_other_limit"]), "pumping while the pipe is braked"), (pumps + 0.001, "pumping before the pipe moves")):
        row = trip_schedule(deviated, mud, window, 12000, flow_rate=350.0, margin=margin, **given).iloc[0]
        assert row["pipe_velocity"] == 0.0 and row["stopped_by"] == f"the fracture side of the window, {why}" and row["to_other_limit"] < margin
    assert trip_schedule(deviated, mud, window, 12000, flow_rate=350.0, margin=on["to_other_limit"] - 0.001, **given)["pipe_velocity"][0] > 0.0


def test_where_a_handbook_constant_jumps_the_speed_is_on_the_safe_side():
    """Pumped mud that rises with the pipe is left behind from some speed on: there the handbook's pressure turns from -P to +P at once."""
    holes = [{"name": "hole", "kind": "open_hole", "bottom_measured_depth": 9000.0, "inside_diameter": 8.5}]
    made = Well(holes=holes, string=[{"name": "pipe", "outside_diameter": 5.0, "inside_diameter": 4.0}])
    even = Window.of({"true_vertical_depth": [0, 9000], "pore_density": [10.1, 10.1], "fracture_density": [14.0, 14.0]})
    thick = Fluid.of(density=10.2, yield_stress=20.0, consistency=0.9, flow_index=0.65)
    row = trip_schedule(made, thick, even, 9000.0, way="out", highest=900.0, flow_rate=200.0, method="handbook_constant").iloc[0]
    jump = 24.5 * 200.0 / (5.0**2 + 0.45 * (8.5**2 - 5.0**2))  # ft/min by gal/min and in2
    assert row["pipe_velocity"] == pytest.approx(jump, rel=1e-3) and row["surge_pressure"] < 0.0 < row["to_limit"]
    before, after = (surge(made, thick, row["pipe_velocity"] * x, flow_rate=200.0, way="out", method="handbook_constant").at_bit() for x in (1.0, 1.0 + 1e-9))
    assert before < 0.0 and after > 150.0


def test_pumping_in_may_leave_no_speed(deviated, mud, window):
    row = trip_schedule(deviated, mud, window, 12000, way="in", highest=300.0, flow_rate=1500.0).iloc[0]
    assert row["pipe_velocity"] == 0.0 and row["stopped_by"] == "the fracture side of the window, pumping before the pipe moves"
    assert row["surge_pressure"] == pytest.approx(surge(deviated, mud, 0.0, flow_rate=1500.0, way="in").at_bit(), rel=1e-9) and row["to_limit"] < 0.0
    assert row["to_other_limit"] == pytest.approx(circulate(deviated, mud, 0.0).margins(window).iloc[0]["to_lower_limit"], rel=1e-9)  # pumps off


def test_between_stands_the_pumps_are_off(deviated, window):
    """Pumping would hold a mud that is too light; at rest it does not."""
    light = Fluid.of(density=9.55, yield_stress=6.0, consistency=0.9, flow_index=0.65)
    row = trip_schedule(deviated, light, window, 12000, way="out", highest=50.0, margin=0.05, flow_rate=300.0).iloc[0]
    assert surge(deviated, light, 50.0, flow_rate=300.0, way="out").at_bit() < 0.0
    assert row["pipe_velocity"] == 0.0 and row["stopped_by"] == "the lower side of the window, at rest already" and row["surge_pressure"] == 0.0


def test_what_comes_back_is_what_was_given(deviated, mud, window):
    depths = [8102.0, 8118.0, 8142.0, 8166.0, 9300.0, 11111.0]  # 8102 ft in m and back is another number
    assert float(units.convert(float(units.convert(8102.0, "ft", "m")), "m", "ft")) != 8102.0
    table = trip_schedule(deviated, mud, window, depths, way="in", highest=187.0)
    assert table["bit_depth"].tolist() == depths and set(table["pipe_velocity"]) == {187.0}
    stepped = trip_schedule(deviated, mud, window, DEPTHS, way="out", highest=300.0, margin=0.1, speed_step=5.0)["pipe_velocity"]
    assert (stepped % 5.0 == 0.0).all() and stepped.nunique() >= 3


def test_speeds_round_down_to_whole_steps(deviated, mud, window):
    given = {"way": "out", "highest": 300.0, "margin": 0.1}
    free, stepped = trip_schedule(deviated, mud, window, DEPTHS, **given), trip_schedule(deviated, mud, window, DEPTHS, speed_step=25.0, **given)
    gone = free["pipe_velocity"] - stepped["pipe_velocity"]
    assert (stepped["pipe_velocity"] / 25.0).round(9).isin(range(13)).all() and gone.between(-1e-9, 25.0).all() and gone.max() > 1.0
    assert stepped["pipe_velocity"].iloc[-1] == pytest.approx(300.0, rel=1e-12)  # a whole number of steps stays
    assert (stepped["to_limit"] >= free["to_limit"] - 1e-12).all()
    coarse = trip_schedule(deviated, mud, window, 12000, speed_step=1000.0, **given).iloc[0]
    assert coarse["pipe_velocity"] == 0.0 and coarse["stopped_by"].endswith("below one step") and coarse["surge_pressure"] == 0.0


@pytest.mark.parametrize("depths", [DEPTHS, DEPTHS[::-1]], ids=["up", "down"])
def test_hours_at_the_slower_of_two_speeds(deviated, mud, window, depths):
    table = trip_schedule(deviated, mud, window, depths, way="out", highest=300.0, margin=0.1)
    v, d = table["pipe_velocity"], table["bit_depth"]
    for i in range(len(depths) - 1):
        assert table["hours"][i] == pytest.approx(abs(d[i] - d[i + 1]) / min(v[i], v[i + 1]) / 60.0, rel=1e-12)
    assert np.isnan(table["hours"].iloc[-1]) and table.attrs["units"]["hours"] == "h" and v.nunique() >= 3


def test_no_speed_is_left_when_the_mud_is_already_outside(deviated, mud, window):
    light, heavy = (Fluid.of(density=d, yield_stress=6.0, consistency=0.9, flow_index=0.65) for d in (9.0, 11.8))
    for fluid, way, side in ((light, "out", "lower"), (heavy, "in", "fracture")):
        table = trip_schedule(deviated, fluid, window, [12000, 9000], way=way, highest=300.0)
        assert (table["pipe_velocity"] == 0.0).all() and (table["to_limit"] < 0.0).all() and (table["surge_pressure"] == 0.0).all()
        assert table["stopped_by"].str.fullmatch(f"the {side} side of the window, at rest already").all() and table["hours"].isna().all()


@pytest.mark.parametrize("given", [{"gel_strength": 32.0}, {"acceleration": 12.0}], ids=str)
def test_no_speed_is_left_when_the_slowest_motion_is_too_much(deviated, mud, window, given):
    row = trip_schedule(deviated, mud, window, 12000, way="out", highest=300.0, **given).iloc[0]
    assert row["pipe_velocity"] == 0.0 and row["stopped_by"] == "the lower side of the window, in the slowest motion"
    part = surge(deviated, mud, 0.01, **given).at_bit(next(iter(given)).split("_")[0].replace("acceleration", "inertia"))
    assert row["to_limit"] < 0.0 and row["surge_pressure"] >= part * 0.999


def test_a_yield_stress_alone_may_stop_a_trip(deviated, window):
    thick = Fluid.of(density=10.2, yield_stress=40.0, consistency=0.9, flow_index=0.65)
    row = trip_schedule(deviated, thick, window, 12000, way="out", highest=300.0).iloc[0]
    assert row["pipe_velocity"] == 0.0 and row["stopped_by"].endswith("in the slowest motion")


def test_what_the_window_does_not_cover_is_told(deviated, mud):
    shallow = Window.of({"true_vertical_depth": [0, 3000], "pore_density": [8.4, 8.5], "fracture_density": [12.0, 12.2]})
    table = trip_schedule(deviated, mud, shallow, 12000, way="in", highest=300.0)
    assert np.isnan(table["pipe_velocity"][0]) and table["stopped_by"][0] == "the window says nothing of the open hole"
    partly = Window.of({"true_vertical_depth": [0, deviated.true_vertical_depth(10000)], "pore_density": [8.4, 8.5], "fracture_density": [12.0, 12.2]})
    told = trip_schedule(deviated, mud, partly, 12000, way="in", highest=300.0)
    assert "12000 ft" in told.attrs["unwatched"] and told["pipe_velocity"][0] == 300.0
    assert told.attrs["caution"].startswith("Advisory")
    assert told.attrs["unwatched"].startswith("the fracture side is not known") and "; the lower side is not known" in told.attrs["unwatched"]


def test_a_lost_fluid_loses_its_speed(deviated, window):
    lost = Fluid.of(density=10.2, yield_stress=np.nan, consistency=0.9, flow_index=0.65)
    for end in ("closed", "open"):
        table = trip_schedule(deviated, lost, window, DEPTHS[:2], way="in", highest=300.0, end=end)
        assert table["pipe_velocity"].isna().all() and table["stopped_by"].str.startswith("no pressure was found").all()
        assert np.isnan(surge(deviated, lost, 100.0, end=end).at_bit())


def test_units_change_nothing_but_the_numbers(deviated, mud, window):
    metric = deviated.to("metric")
    field, other = (trip_schedule(of, mud, window, depths, way="out", highest=highest, margin=margin) for of, depths, highest, margin in (
        (deviated, DEPTHS, 300.0, 0.1), (metric, np.array(DEPTHS) * FT, 300.0 * FT_MIN, 0.1 * LB_GAL)))  # fmt: skip
    assert np.allclose(other["pipe_velocity"], field["pipe_velocity"] * FT_MIN, rtol=1e-8)
    assert np.allclose(other["to_limit"], field["to_limit"] * LB_GAL, rtol=1e-7)
    assert np.allclose(other["hours"], field["hours"], rtol=1e-8, equal_nan=True) and other.attrs["units"]["pipe_velocity"] == "m/s"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"way": "up"}, "way = 'up' is unknown; choose in or out"),
        ({"way": None}, "way = None is unknown"),
        ({"end": "half"}, "end = 'half' is unknown"),
        ({"end": "open", "flow_rate": 100.0}, "flow_rate = 100.0 gal/min goes with end = 'closed' only"),
        ({"highest": 0.0}, "highest = 0.0 ft/min must be one finite number above 0"),
        ({"margin": -0.1}, "margin = -0.1 lb/gal must be one finite number from 0 up"),
        ({"speed_step": 0.0}, "speed_step = 0.0 ft/min"),
        ({"gel_strength": math.inf}, "gel_strength = inf lb/100 ft2"),
        ({"acceleration": [1.0, 2.0]}, "acceleration = "),
        ({"back_pressure": math.nan}, "back_pressure = nan psi"),
        ({"bit_depths": []}, "bit_depths must be"),
        ({"bit_depths": [13000.0]}, "13000 ft"),
        ({"method": "quick"}, "quick"),
    ],
)
def test_a_schedule_says_what_it_takes(deviated, mud, window, change, told):
    given = {"bit_depths": DEPTHS, "way": "out", "highest": 300.0} | change
    with pytest.raises(ValueError, match=told):
        trip_schedule(deviated, mud, window, given.pop("bit_depths"), **given)


def test_a_speed_in_another_unit_is_told(deviated, mud, window):
    with pytest.raises(ValueError, match=r"highest = 400 m/s is more than hydraulics.moving_pipe takes, 30 m/s at most; look at its unit"):
        trip_schedule(deviated.to("metric"), mud, window, [3000], way="out", highest=400)
