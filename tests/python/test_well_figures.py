"""Figures of a well: what is on them, not how they look."""

import io

import numpy as np
import pytest

matplotlib = pytest.importorskip("matplotlib", reason="matplotlib is not installed")

from lutum import flow_curve
from lutum.well import Fluid, Well, Window, circulate, figures, sweep, trip_schedule
from lutum.well.cleaning import cleaning

JOINTS = {"joint_diameter": 6.625, "joint_bore": 3.25, "joint_length": 1.75, "joint_spacing": 31.5}
WELL = Well(
    holes=[
        {"name": "casing", "kind": "casing", "bottom_measured_depth": 6000, "inside_diameter": 8.681},
        {"name": "open hole", "kind": "open_hole", "bottom_measured_depth": 9000, "inside_diameter": 8.5},
    ],
    string=[
        {"name": "collars", "length": 300, "outside_diameter": 6.5, "inside_diameter": 2.8125},
        {"name": "drill pipe", "outside_diameter": 5, "inside_diameter": 4.276, **JOINTS},
    ],
    bit={"bit_diameter": 8.5, "nozzles": [12, 12, 12]},
    survey={"measured_depth": [0, 2000, 4000, 9000], "inclination": [0, 0, 40, 40], "azimuth": [0, 0, 0, 0]},
)
CURVE = flow_curve.fit({600: 57, 300: 41, 200: 34, 100: 26, 6: 10, 3: 9}, stress_uncertainty=0.5)
MUD = Fluid.of(density=10.4, curve=CURVE)
WINDOW = Window.of({"true_vertical_depth": [0, 9000], "pore_density": [8.4, 9.4], "collapse_density": [9.0, 10.0], "fracture_density": [12.0, 12.5]})


def drawn(figure):
    """The figure rendered, and its axes."""
    figure.savefig(io.BytesIO(), format="png", dpi=40)
    return figure.axes


def numbers_on(ax):
    """How often each number stands on the axes: on its curve and beside what it is called."""
    texts = [text.get_text() for text in ax.texts]
    return {n: texts.count(n) for n in sorted({t for t in texts if t.isdigit()}, key=int)}


def words(figure):
    texts = [t.get_text() for ax in figure.axes for t in [*ax.texts, ax.xaxis.label]]
    return " | ".join([*texts, *(ax.get_title("left") for ax in figure.axes), figure.get_suptitle()])


def all_of_them():
    flowing = circulate(WELL, MUD, 450, penetration_rate=60, surface_lines="type_4")
    rates = np.linspace(300, 600, 7)
    trips = {"out": trip_schedule(WELL, MUD, WINDOW, [9000.0, 7500.0, 6100.0], way="out", highest=300)}
    return {
        "equivalent_densities": (figures.equivalent_densities({"a": flowing, "b": flowing}, WINDOW), 6),
        "pressure_budget": (figures.pressure_budget(flowing), 0),
        "rate_sweep": (figures.rate_sweep(sweep(WELL, MUD, rates, window=WINDOW, penetration_rate=60), pump_pressure=3000), 4),
        "trip_speeds": (figures.trip_speeds(trips | {"again": trips["out"]}), 2),
        "hole_cleaning": (figures.hole_cleaning(cleaning(WELL, MUD, 450, penetration_rate=60, cuttings_diameter=0.25, cuttings_density=21.7)), 3),
        "margin_spread": (figures.margin_spread(circulate(WELL, MUD.drawn(CURVE, 50, density_uncertainty=0.05), 450).margins(WINDOW)), 2),
        "loss_by_yield_stress": (figures.loss_by_yield_stress(MUD, [200, 400, 600], hole_diameter=8.5, pipe_diameter=6.5, highest=40), 3),
    }


def test_each_draws_numbers_its_curves_is_advisory_and_leaves_pyplot_alone():
    from matplotlib import pyplot

    before, style = pyplot.get_fignums(), dict(matplotlib.rcParams)
    made = all_of_them()
    assert set(made) == set(figures.__all__)
    for name, (figure, curves) in made.items():
        axes = drawn(figure)
        assert list(numbers_on(axes[0])) == [str(n + 1) for n in range(curves)], name
        beside = name != "hole_cleaning"  # it tells them above
        assert all(count == 1 + beside for count in numbers_on(axes[0]).values()), name
        assert "advisory" in words(figure), name
        assert any("(" in ax.get_xlabel() for ax in axes), name  # a unit
    assert pyplot.get_fignums() == before and dict(matplotlib.rcParams) == style


def test_figures_of_one_record_refuse_many():
    many = circulate(WELL, MUD, [400, 450])
    for draw in (figures.equivalent_densities, figures.pressure_budget):
        with pytest.raises(ValueError, match="single record.*circulate one fluid at one rate"):
            draw(many)


def test_budget_bars_add_up_and_tell_the_rest_in_the_same_decimals():
    flowing = circulate(WELL, MUD, 450, penetration_rate=60, surface_lines="type_4", back_pressure=100)
    figure = figures.pressure_budget(flowing)
    bars = drawn(figure)[0].patches
    assert len(bars) == 6 and bars[-1].get_x() + bars[-1].get_width() == pytest.approx(flowing.pump_pressure)
    assert [a.get_x() + a.get_width() for a in bars[:-1]] == pytest.approx([b.get_x() for b in bars[1:]])
    assert "100 psi" in words(figure) and f"{flowing.pump_pressure:.0f} psi at the pump" in words(figure)


def test_joints_that_lie_together_make_no_saw_of_a_curve():
    flowing = circulate(WELL, MUD, 450, penetration_rate=60)
    curve = max(drawn(figures.equivalent_densities(flowing))[0].lines, key=lambda line: len(line.get_xdata()))
    assert 80 < len(curve.get_xdata()) < len(flowing.rows)
    assert np.all(np.diff(curve.get_xdata()[3:20]) > -1e-6)  # vertical casing: level, but for the joints
    table = cleaning(WELL, MUD, 450, penetration_rate=60, cuttings_diameter=0.25, cuttings_density=21.7)
    speed = drawn(figures.hole_cleaning(table))[0].lines[0]
    assert len(np.unique(speed.get_xdata().round(6))) == 3 and np.all(np.diff(speed.get_ydata()) >= 0.0)  # casing, open hole, collars
    assert speed.get_ydata()[0] == 0.0 and speed.get_ydata()[-1] == pytest.approx(9000.0)


def test_open_dots_are_where_the_window_leaves_room():
    schedule = trip_schedule(WELL, MUD, WINDOW, [9000.0, 8000.0, 7000.0, 6100.0], way="out", highest=300)
    free = schedule["stopped_by"] == "the highest speed asked for"
    assert free.any() and not free.all()
    ax = drawn(figures.trip_speeds({"out": schedule}))[0]
    dots = [line for line in ax.lines if line.get_marker() == "o"]
    assert [len(line.get_xdata()) for line in dots] == [int((~free).sum()), int(free.sum())] and dots[1].get_markerfacecolor() == "white"


def test_friction_that_falls_with_yield_stress_is_drawn_thick():
    figure = figures.loss_by_yield_stress(MUD, [200, 900], hole_diameter=8.5, pipe_diameter=6.5, highest=40)
    slow_falls, fast_falls, slow, fast = drawn(figure)[0].lines
    assert np.isnan(slow_falls.get_ydata()).all() and np.all(np.diff(slow.get_ydata()) > 0.0)
    thick = np.isfinite(fast_falls.get_ydata())
    assert thick.any() and not thick.all() and np.all(np.diff(fast.get_ydata()[thick]) < 0.0)


def test_margins_below_zero_are_counted():
    margins = circulate(WELL, MUD.drawn(CURVE, 200, density_uncertainty=0.3, seed=3), 450).margins(WINDOW)
    below = int((margins["to_lower_limit"] < 0.0).sum())
    assert 0 < below < 200 and f"{below} of 200 below 0" in words(figures.margin_spread(margins))
