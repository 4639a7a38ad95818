"""The whole well while it is circulated: sums of its sections, its bits, its exact slopes, its limits, and what a user asks of it."""

import os
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from invented_well import CASING, OPEN

from lutum import si, unit_set
from lutum.well import Fluid, Window, circulate, circulate_over, cleaning, connection, rate_limits, slow_rates, sweep

circulation = si.hydraulics.circulation
EXAMPLE = circulation.example
COLUMNS = [v.name for v in circulation.inputs if v.is_list]
SCALARS = {v.name: EXAMPLE[v.name] for v in circulation.inputs if not v.is_list}
BELOW_THE_BIT = dict(zip(COLUMNS, (2830.0, 2438.0, 0.2159, 0.0, 0.0, 0.0, 0.0, 0.0)))
ROWS = {name: np.array([*EXAMPLE[name], BELOW_THE_BIT[name]]) for name in COLUMNS}


@pytest.mark.parametrize("method", ["exact", "standard", "laminar_rate"])
def test_rows_are_the_losses_of_their_sections_and_add_up(method):
    found = circulation(**SCALARS, **ROWS, method=method)
    string = ROWS["pipe_diameter"] > 0
    fluid = [SCALARS[n] for n in ("density", "yield_stress", "consistency", "flow_index")]
    up = si.hydraulics.annulus_loss(*fluid, ROWS["hole_diameter"][string], ROWS["pipe_diameter"][string], SCALARS["flow_rate"], 1.0,
                                    ROWS["eccentricity"][string], 1.0, method=method)  # fmt: skip
    down = si.hydraulics.pipe_loss(*fluid, ROWS["bore"][string], SCALARS["flow_rate"], 1.0, ROWS["roughness"][string], method=method)
    assert np.array_equal(found.annulus_gradient[string], up.pressure_gradient) and np.array_equal(found.string_gradient[string], down.pressure_gradient)
    length = np.diff(ROWS["bottom_measured_depth"], prepend=0.0)
    assert np.allclose(found.annulus_loss, np.cumsum(found.annulus_gradient * length), rtol=1e-14)
    assert np.allclose(found.string_loss, np.cumsum(found.string_gradient * length), rtol=1e-14)
    assert found.annulus_gradient[~string].tolist() == found.string_gradient[~string].tolist() == [0.0]


def test_a_section_cut_in_two_is_the_same_section():
    whole = circulation(**SCALARS, **ROWS)
    cut = {name: np.insert(x, 1, x[1]) for name, x in ROWS.items()}
    for depth in ("bottom_measured_depth", "bottom_true_vertical_depth"):
        cut[depth][1] = 0.3 * ROWS[depth][0] + 0.7 * ROWS[depth][1]
    parts = circulation(**SCALARS, **cut)
    for name in ("pump_pressure", "pressure", "annulus_loss", "hydrostatic_pressure"):
        assert np.allclose(np.delete(getattr(parts, name), 1), getattr(whole, name), rtol=1e-14)


def test_measured_and_true_depth_are_not_the_same():
    swapped = ROWS | {"bottom_measured_depth": ROWS["bottom_true_vertical_depth"], "bottom_true_vertical_depth": ROWS["bottom_measured_depth"]}
    right, vertical = circulation(**SCALARS, **ROWS), circulation(**SCALARS, **(ROWS | {"bottom_measured_depth": ROWS["bottom_true_vertical_depth"]}))
    assert (vertical.annulus_loss[1:] < right.annulus_loss[1:]).all()
    assert any(f.input == "bottom_true_vertical_depth" for f in circulation.check(**SCALARS, **swapped))
    wrong = circulation(**SCALARS, **swapped)
    assert (wrong.annulus_loss[1:] < right.annulus_loss[1:]).all() and (wrong.equivalent_density[1:] != right.equivalent_density[1:]).all()
    deeper = circulation(**SCALARS, **(ROWS | {"bottom_true_vertical_depth": ROWS["bottom_measured_depth"]}))
    assert (deeper.hydrostatic_pressure[1:] > right.hydrostatic_pressure[1:]).all()


def many(n, seed=5):
    random = np.random.default_rng(seed)
    scalars = SCALARS | {"flow_rate": random.uniform(0.0, 0.06, n), "density": random.uniform(900.0, 2000.0, n), "yield_stress": random.uniform(0.0, 15.0, n),
                         "flow_index": random.uniform(0.4, 1.0, n), "consistency": random.uniform(0.02, 1.0, n)}  # fmt: skip
    return scalars, ROWS | {"hole_diameter": ROWS["hole_diameter"] * random.uniform(1.0, 1.1, (n, 1))}


def test_one_record_and_many_give_the_same_bits():
    scalars, rows = many(41)
    together = circulation(**scalars, **rows)
    for i in range(41):
        alone = circulation(**{n: float(np.broadcast_to(x, 41)[i]) for n, x in scalars.items()},
                            **{n: x[i] if x.ndim == 2 else x for n, x in rows.items()})  # fmt: skip
        for name in together._fields:
            assert np.array_equal(getattr(together, name)[i], getattr(alone, name), equal_nan=True), name


PROGRAM = """
import numpy as np, hashlib
from lutum import si
c = si.hydraulics.circulation
e = dict(c.example)
n = 203
for v in c.inputs:
    if v.is_list:
        x = np.array(e[v.name])
        e[v.name] = np.interp(np.linspace(0, 1, n), np.linspace(0, 1, len(x)), x)
print(hashlib.sha256(b"".join(np.asarray(x).tobytes() for x in c(**e))).hexdigest())
"""


def test_a_long_well_has_the_same_bits_on_every_instruction_set():
    told = set()
    for name in ("x86-64", "x86-64-v3", "x86-64-v4"):
        done = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=False, env=os.environ | {"LUTUM_ISA": name})
        if "not offered" not in done.stderr:
            assert done.returncode == 0, done.stderr
            told.add(done.stdout)
    assert len(told) == 1


def test_slopes_of_many_records_are_central_differences():
    scalars, rows = many(7, 8)
    scalars["flow_rate"] = np.linspace(0.01, 0.06, 7)
    by = ["flow_rate", "density", "yield_stress", "consistency", "flow_index", "nozzle_area", "penetration_rate_of_bit", "back_pressure", "surface_coefficient",
          "hole_diameter", "pipe_diameter", "bore", "bottom_measured_depth", "slip_velocity"]  # fmt: skip
    slopes = circulation.slopes(["pump_pressure", "equivalent_density"], by, rows=[2, -1], **scalars, **rows)
    assert slopes["pump_pressure"]["flow_rate"].shape == (7, 2) and slopes["pump_pressure"]["bore"].shape == (7, 2, 4)
    for name in by:
        column = name in rows
        for row in range(4 if column else 1):
            x = np.broadcast_to(rows[name], (7, 4)).copy() if column else np.broadcast_to(scalars[name], 7).copy()
            size = x[:, row] if column else x
            step = 1e-5 * size
            if not step.any():
                continue
            ends = []
            for sign in (1.0, -1.0):
                moved = x.copy()
                moved[(slice(None), row) if column else slice(None)] += sign * step
                ends.append(circulation(**(scalars | rows | {name: moved})))
            for result in slopes:
                for k, place in enumerate((2, -1)):
                    got = slopes[result][name][:, k, row] if column else slopes[result][name][:, k]
                    difference = getattr(ends[0], result)[:, place] - getattr(ends[1], result)[:, place]
                    scale = np.abs(getattr(ends[0], result)[:, place])
                    assert np.allclose(got * 2 * step, difference, rtol=2e-6, atol=1e-12 * scale.max()), (result, name, row)


def test_slopes_name_what_is_wrong():
    with pytest.raises(ValueError, match="no result"):
        circulation.slopes("pump", "density", **SCALARS, **ROWS)
    with pytest.raises(ValueError, match="no input"):
        circulation.slopes("pressure", "rate", **SCALARS, **ROWS)
    with pytest.raises(ValueError, match="bore is missing"):
        circulation.slopes("pressure", "density", **SCALARS, **{k: v for k, v in ROWS.items() if k != "bore"})
    with pytest.raises(ValueError, match="is no table"):
        si.hydraulics.pipe_loss.slopes("velocity", "density")


def test_the_pump_needs_more_for_more(deviated, mud):
    rates = np.linspace(1.0, 800.0, 300)
    for method in ("exact", "standard"):
        found = circulate(deviated, mud, rates, method=method)
        assert (np.diff(found.pump_pressure) > 0).all() and (np.diff(found.bottom_pressure) > 0).all()
    budget = found.budget()
    assert np.allclose(budget.drop(columns="pump_pressure").sum(axis=1), budget["pump_pressure"], rtol=1e-9)
    assert budget.attrs["units"]["bit_loss"] == "psi"


def test_slopes_of_a_well_are_in_its_units(deviated, mud):
    given = {"penetration_rate": 60.0, "slip_velocity": 20.0}
    slopes = circulate(deviated, mud, 500.0, **given).slopes(["pump_pressure", "equivalent_density"], ["flow_rate", "density"])
    low, high = circulate(deviated, mud, 499.9, **given), circulate(deviated, mud, 500.1, **given)
    assert slopes["pump_pressure"]["flow_rate"][0] == pytest.approx((high.pump_pressure - low.pump_pressure) / 0.2, rel=1e-6)
    low, high = (circulate(deviated, replace(mud, density=mud.density * x), 500.0, **given) for x in (1 - 1e-4, 1 + 1e-4))
    change = (high.bottom_equivalent_density - low.bottom_equivalent_density) / (2e-4 * 10.2)
    assert slopes["equivalent_density"]["density"][0] == pytest.approx(change, rel=1e-6)


def test_at_rest_the_mud_weighs_what_it_weighs(deviated, mud):
    still = circulate(deviated, mud, 0.0, back_pressure=100.0)
    profile = still.profile()
    expected = 10.2 + 100.0 / (12 / 231 * profile["bottom_true_vertical_depth"])
    assert np.allclose(profile["equivalent_density"], expected, rtol=1e-9) and still.pump_pressure == pytest.approx(100.0, rel=1e-9)


def test_lumped_joints_cost_what_each_joint_costs(deviated, mud):
    lumped, each = circulate(deviated, mud, 450.0, spacing=np.inf), circulate(deviated.replace(joints="each"), mud, 450.0)
    assert lumped.pump_pressure == pytest.approx(each.pump_pressure, rel=2e-4)  # a length of pipe at the ends
    plain = circulate(deviated.replace(string=[{"name": "pipe", "outside_diameter": 5, "inside_diameter": 4.276}]), mud, 450.0)
    assert plain.pump_pressure < lumped.pump_pressure


def test_units_change_nothing_but_the_numbers(deviated, mud):
    metric = deviated.to("metric")
    of = circulate(metric, mud, 500.0 * 3.785411784)
    assert of.pump_pressure == pytest.approx(circulate(deviated, mud, 500.0).pump_pressure * 6.894757293168361, rel=1e-12)
    assert circulate(deviated.to(unit_set("field", pressure="bar")), mud, 500.0).pump_pressure == pytest.approx(of.pump_pressure / 100.0, rel=1e-12)


def test_geometry_of_every_record(deviated, mud):
    rows = deviated.rows(spacing=np.inf)
    wider = rows.replace(hole_diameter=rows.hole_diameter * np.array([[1.0], [1.05], [1.1]]))
    found = circulate(deviated, mud, 500.0, rows=wider)
    assert found.records == 3 and (np.diff(found["annulus_loss"][:, -1]) < 0).all()
    assert found["annulus_loss"][0, -1] == circulate(deviated, mud, 500.0, rows=rows)["annulus_loss"][-1]
    with pytest.raises(ValueError, match="records of unlike numbers"):
        circulate(deviated, mud, [400.0, 500.0], rows=wider)


def test_margins_by_hand(deviated, mud, window):
    found = circulate(deviated, mud, 500.0)
    margins = found.margins(window).iloc[0]
    profile = found.profile().query("bottom_measured_depth >= 7999.9")
    fracture = 12.0 + profile["bottom_true_vertical_depth"] / 11000.0
    assert margins["to_fracture"] == pytest.approx((fracture - profile["equivalent_density"]).min(), rel=1e-9)
    deepest = deviated.true_vertical_depth(12000)
    assert margins["to_lower_limit"] == pytest.approx(10.2 - (8.4 + 1.1 * deepest / 11000), rel=1e-9) and margins["to_lower_limit_at"] == 12000
    shallow = Window.of({"true_vertical_depth": [0, 3000], "pore_density": [8.4, 8.5], "fracture_density": [12.0, 12.2]})
    assert found.margins(shallow).iloc[0].isna().all()  # says nothing of the open hole, so nothing is said


def test_a_lost_record_has_no_margin(deviated, window):
    fluid = Fluid.of(density=[10.2, np.nan], yield_stress=[6.0, 6.0], consistency=[0.9, 0.9], flow_index=[0.65, 0.65])
    margins = circulate(deviated, fluid, 500.0).margins(window)
    assert margins["to_fracture"].notna().tolist() == [True, False]


def test_a_sweep_and_the_rates_that_fit(deviated, mud, window):
    table = sweep(deviated, mud, [300.0, 500.0], window=window)
    assert table["to_fracture"].is_monotonic_decreasing and table.attrs["units"]["flow_rate"] == "gal/min"
    limits = rate_limits(deviated, mud, window, highest=900.0, pump_pressure=3500.0)
    assert limits.stopped_above_by == "the pump's pressure" and circulate(deviated, mud, limits.highest).pump_pressure == pytest.approx(3500.0, rel=1e-6)
    tight = rate_limits(deviated, mud, window, lowest=10.0, highest=900.0, margin=0.84, penetration_rate=120.0, slip_velocity=40.0)
    assert tight.stopped_above_by.startswith("the fracture side") or tight.stopped_above_by == "the highest asked for"
    assert tight.stopped_below_by != "the lowest asked for"  # slow flow does not lift what is drilled
    none = rate_limits(deviated, mud, window, highest=900.0, margin=3.0)
    assert none.is_empty and "window" in repr(none)


def test_a_connection_gives_the_friction_back(deviated, mud, window):
    told = connection(deviated, mud, 500.0, window=window, penetration_rate=60.0, slip_velocity=20.0)
    assert told["pumping_equivalent_density"] > told["resting_with_cuttings"] > told["resting_clean"] == pytest.approx(10.2, rel=1e-9)
    drop = (told["pumping_equivalent_density"] - told["resting_with_cuttings"]) * 12 / 231 * deviated.true_vertical_depth(12000)
    assert told["back_pressure_to_hold"] == pytest.approx(drop, rel=1e-9)


def test_slow_rates_in_strokes(deviated, mud):
    table = slow_rates(deviated, mud, [84.0, 42.0], volume_per_stroke=0.1)
    assert table["stroke_rate"].tolist() == pytest.approx([20.0, 10.0]) and table["pump_pressure"].is_monotonic_decreasing


def test_every_check_of_a_study_in_one_call(deviated, mud, window):
    frame = pd.DataFrame(
        {"well": ["A", "A", "B", "C", "A", "A", "A"], "bit_depth": [12000, 9000, 11500, 9000, 13000, np.nan, 12000], "flow_rate": [500, 500, 450, 500, 500, 400, np.nan],
         "density": [10.2] * 7, "yield_stress": 6.0, "consistency": 0.9, "flow_index": 0.65},
        index=range(10, 17),
    )  # fmt: skip
    other = deviated.replace(bit={"bit_diameter": 8.5, "nozzles": [14, 14]})
    made = circulate_over(frame, {"A": deviated, "B": other})
    assert made.index.tolist() == list(range(10, 17))
    assert made.loc[10, "pump_pressure"] == pytest.approx(circulate(deviated, mud, 500.0).pump_pressure, rel=1e-9)
    assert made.loc[12, "equivalent_density"] == pytest.approx(circulate(other, mud, 450.0, bit_depth=11500).bottom_equivalent_density, rel=1e-9)
    told = made["reason"]
    assert told.loc[:12].tolist() == ["", "", ""] and "no well 'C'" in told[13] and "13000 ft is outside" in told[14] and told[15] == "bit_depth is missing"
    assert told[16] == "flow_rate is missing" and made.loc[13:, "equivalent_density"].isna().all()
    high = Window.of({"true_vertical_depth": [7000, 11000], "pore_density": [8.4, 9.5], "fracture_density": [12.0, 13.0]})
    held = circulate_over(frame, {"A": deviated, "B": other}, windows={"A": window, "B": high})
    assert held[made.columns.drop("finding")].equals(made.drop(columns="finding")) and held.attrs["units"]["to_fracture_at"] == "ft"
    for record, one in ((10, circulate(deviated, mud, 500.0, spacing=np.inf)), (12, circulate(other, mud, 450.0, bit_depth=11500, spacing=np.inf))):
        alone = one.margins(window if record == 10 else high).iloc[0]
        assert held.loc[record, alone.index].tolist() == pytest.approx(alone.tolist(), rel=1e-9, nan_ok=True)
    assert held.loc[13:, "to_fracture"].isna().all() and held.loc[10, "finding"] == "" and "is not known at" in held.loc[12, "finding"]
    with pytest.raises(ValueError, match="one well takes one window"):
        circulate_over(frame, deviated, windows={"A": window})
    assert "no window of well 'B'" in circulate_over(frame, {"A": deviated, "B": other}, windows={"A": window}).loc[12, "finding"]


def test_draws_of_a_fitted_curve_spread_the_margin(deviated, window):
    from lutum import flow_curve

    curve = flow_curve.fit({600: 52, 300: 34, 200: 27, 100: 19, 6: 8, 3: 7}, units="field", stress_uncertainty=0.5)
    fluid = Fluid.of(density=10.2, curve=curve)
    drawn = fluid.drawn(curve, 2000, density_uncertainty=0.05, seed=3)
    found = circulate(deviated, drawn, 500.0, spacing=np.inf)
    spread = found.margins(window)["to_fracture"]
    assert spread.notna().all() and 0.01 < spread.std() < 0.5
    assert spread.median() == pytest.approx(circulate(deviated, fluid, 500.0, spacing=np.inf).margins(window)["to_fracture"].iloc[0], abs=0.03)
    assert (drawn.yield_stress >= 0).all() and drawn.records == 2000


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"yield_stress": 6.0, "consistency": 0.9}, "flow_index is missing"),
        ({"yield_point": 12.0, "plastic_viscosity": 20.0, "flow_index": 1.0}, "no 'flow_index'"),
        ({"yield_stress": [6.0, 7.0], "consistency": [0.9], "flow_index": 0.6}, "columns of one length"),
    ],
)
def test_a_fluid_says_what_it_takes(given, told):
    with pytest.raises((TypeError, ValueError), match=told):
        Fluid.of(density=10.0, **given)


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ({"true_vertical_depth": [0, 1000], "pore_density": [8.5, 9.0]}, "fracture_density is missing"),
        ({"true_vertical_depth": [0, 1000], "pore_density": [8.5, 13.0], "fracture_density": [12.0, 12.5]}, "there is no window"),
        ({"measured_depth": [0, 1000], "pore_density": [8.5, 9.0], "fracture_density": [12.0, 12.5]}, "needs the well"),
        ({"true_vertical_depth": [500, 500], "pore_density": [8.5, 9.0], "fracture_density": [12.0, 12.5]}, "different depths"),
    ],
)
def test_a_window_says_what_it_takes(table, told):
    with pytest.raises(ValueError, match=told):
        Window.of(table)


def test_what_comes_back_is_what_was_given(deviated, mud, window):
    for depth in (8102.0, 8118.0, 8142.0, 9300.0):  # 8102 ft in m and back is another number
        profile = circulate(deviated, mud, 0.0, bit_depth=depth, spacing=np.inf).profile()
        assert {8000.0, depth, 12000.0} <= set(profile["bottom_measured_depth"]) and (profile["equivalent_density"] == 10.2).all()
        table = cleaning(deviated, mud, 500.0, penetration_rate=60, cuttings_diameter=0.25, cuttings_density=21.7, bit_depth=depth)
        assert table["bottom_measured_depth"].iloc[-1] == depth
    deeper = deviated.replace(holes=[CASING | {"bottom_measured_depth": 8102.0}, OPEN])
    assert circulate(deeper, mud, 500.0).margins(window)["to_fracture_at"].tolist() == [8102.0]
    rates, backs = [410.0, 520.0, 630.0], [137.0, 411.0, 259.0]
    table = sweep(deviated, mud, rates, back_pressure=backs, window=window)
    assert table["flow_rate"].tolist() == rates and table["back_pressure"].tolist() == backs
    assert slow_rates(deviated, mud, [41.0, 82.0, 123.0], volume_per_stroke=0.1 * 41.0 / 42.0)["stroke_rate"].tolist() == [10.0, 20.0, 30.0]
    assert connection(deviated, mud, 500.0)["resting_clean"] == 10.2


def test_a_bit_without_nozzles_is_asked_for_them(deviated, mud):
    with pytest.raises(ValueError, match="nozzles or nozzle_area"):
        circulate(deviated.replace(bit={"bit_diameter": 8.5}), mud, 500.0)


def test_a_weak_streak_between_two_rows_is_seen(deviated, mud):
    top, base = (deviated.true_vertical_depth(x) for x in (9020.0, 9040.0))
    table = {"true_vertical_depth": [0, top - 0.1, top, base, base + 0.1, 11000], "pore_density": [8.4] * 6, "fracture_density": [13.0, 13.0, 11.2, 11.2, 13.0, 13.0]}
    margins = circulate(deviated, mud, 500.0, spacing=np.inf).margins(Window.of(table)).iloc[0]
    assert margins["to_fracture"] < 0.3 and 9019.0 <= margins["to_fracture_at"] <= 9041.0


def test_motor_and_tools_cost_what_they_cost_at_their_rate(deviated, mud):
    bare, with_tools = circulate(deviated, mud, [300.0, 600.0]), circulate(deviated, mud, [300.0, 600.0], tool_pressure=400.0, tool_flow_rate=600.0)
    assert with_tools.pump_pressure - bare.pump_pressure == pytest.approx([100.0, 400.0], rel=1e-9)
    assert with_tools.budget()["tool_loss"].tolist() == pytest.approx([100.0, 400.0], rel=1e-12)
    assert (with_tools.bottom_pressure == bare.bottom_pressure).all()
    with pytest.raises(ValueError, match="give tool_flow_rate too"):
        circulate(deviated, mud, 500.0, tool_pressure=400.0)


def test_cuttings_of_a_size_lag_as_hole_cleaning_says(deviated, mud):
    rock = {"cuttings_diameter": 0.25, "cuttings_density": 21.7}
    found = circulate(deviated, mud, 1000.0, penetration_rate=60.0, **rock)
    table = cleaning(deviated, mud, 1000.0, penetration_rate=60.0, **rock)
    standing = found["cuttings_fraction"][np.asarray(found.rows.in_string)]
    known = table["concentration"].notna().to_numpy()
    assert known.mean() > 0.9 and standing[known] == pytest.approx(table["concentration"].to_numpy()[known], rel=1e-9)
    fed = circulate(deviated, mud, 1000.0, penetration_rate=60.0, cuttings_density=21.7)
    assert found.bottom_pressure > fed.bottom_pressure
    together = circulate(deviated, mud, [0.0, 1000.0], penetration_rate=60.0, **rock)
    assert together.bottom_pressure[1] == found.bottom_pressure and np.isnan(together.bottom_pressure[0])  # drilling without flow
    with pytest.raises(ValueError, match="one penetration_rate"):
        circulate(deviated, mud, [500.0, 600.0], penetration_rate=[60.0, 70.0], **rock)


def test_a_window_that_does_not_reach_is_told(deviated, mud):
    below = Window.of({"true_vertical_depth": [7000, 11000], "pore_density": [8.4, 9.5], "fracture_density": [12.0, 13.0]})
    told = circulate(deviated, mud, 500.0).margins(below).attrs["unwatched"]
    assert "fracture side is not known at" in told and "8000" in told
    assert "not known" in repr(rate_limits(deviated, mud, below, highest=900.0))
