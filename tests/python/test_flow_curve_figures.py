"""Figures of flow curves: what is on them, not how they look."""

import io

import numpy as np
import pandas as pd
import pytest

pytest.importorskip("matplotlib", reason="matplotlib is not installed")

from lutum import flow_curve, metric, si
from lutum.flow_curve.figures import flow_curves_by_depth, rheogram

DIAL = {600: 65, 300: 40, 200: 31, 100: 21, 6: 8, 3: 7}


def drawn(figure):
    """The figure rendered, and its main axes."""
    figure.savefig(io.BytesIO(), format="png", dpi=40)
    return figure.axes[0]


def words(figure):
    return " | ".join(text.get_text() for ax in figure.axes for text in ax.texts)


@pytest.mark.parametrize("log", [False, True])
def test_rheogram_shows_readings_curve_and_band(log):
    curve = flow_curve.fit(DIAL, temperature=120.0)
    figure = rheogram(curve, log=log)
    ax = drawn(figure)
    assert (ax.get_xscale(), ax.get_xlabel(), ax.get_ylabel()) == ("log" if log else "linear", "shear rate (1/s)", "shear stress (lb/100 ft2)")
    dots = [line for line in ax.lines if line.get_marker() == "o"]
    assert sum(len(line.get_xdata()) for line in dots) == 6 and len(ax.collections) == 1  # the band
    full = max(ax.lines, key=lambda line: len(line.get_xdata()) * (line.get_linestyle() == "-"))
    x, y = full.get_xdata(), full.get_ydata()
    seen = np.isfinite(y)
    assert y[seen] == pytest.approx(curve.stress(x[seen])) and x[seen].max() <= curve.rates_used[1] and not seen.all()
    assert "yield power law" in words(figure) and "120 degF" in figure.get_suptitle()
    assert len(drawn(rheogram(curve, log=log, level=None, readings=False)).collections) == 0


def test_suspect_is_ringed_and_unused_is_open():
    bad = flow_curve.fit({600: 65, 300: 40, 200: 31, 100: 27, 60: 16.5, 30: 12.4, 6: 8, 3: 7})
    assert "suspect" in words(rheogram(bad))
    ax = drawn(rheogram(flow_curve.fit(DIAL, rate_range="annulus")))
    open_dots = [line for line in ax.lines if line.get_marker() == "o" and line.get_markerfacecolor() == "white"]
    assert sum(len(line.get_xdata()) for line in open_dots) == 2


def test_rheogram_of_several():
    compared = flow_curve.compare(DIAL)
    figure = rheogram(compared, log=True)
    assert all(name in words(figure) for name in ("Casson", "Robertson-Stiff", "power law", "Carreau")) and not drawn(figure).collections
    ramps = flow_curve.fit_ramps(DIAL, DIAL | {3: 5, 6: 6})
    assert all(f" {name} " in f" {words(rheogram(ramps))} " for name in ("up", "down"))
    mixed = rheogram([flow_curve.fit(DIAL, temperature=120.0), flow_curve.fit(DIAL, temperature=60.0, units=metric)])
    assert "120 degF" in words(mixed) and "140 degF" in words(mixed)  # 60 degC in the units of the first
    own = rheogram(flow_curve.FlowCurve.of("bingham", yield_stress=4.0, plastic_viscosity=0.02, units=si))
    assert drawn(own).get_ylabel() == "shear stress (Pa)"
    with pytest.raises(ValueError, match="no curve to draw.*2 readings"):
        rheogram(flow_curve.fit({600: 65, 300: 40}))


def test_a_linear_rheogram_is_round_near_rest_and_holds_its_band():
    curve = flow_curve.fit(DIAL | {200: 25}, "power_law")
    ax = drawn(rheogram(curve))
    dashed = max(ax.lines, key=lambda line: len(line.get_xdata()) * (line.get_linestyle() != "-"))
    x, y = dashed.get_xdata(), dashed.get_ydata()
    slow = x < 0.1 * x[-1]
    assert x[0] == 0.0 and np.diff(y[slow]).max() < 0.02 * y.max()  # no step that the eye would see as a corner
    full = next(line for line in ax.lines if len(line.get_xdata()) == len(x) and line is not dashed)
    assert full.get_xdata()[np.isfinite(full.get_ydata())].max() == curve.rates_used[1]
    assert curve.stress(x[-1]) < curve.band(x[-1]).high < ax.get_ylim()[1] < 1.5 * curve.stress(x[-1])
    unclear = flow_curve.fit({600: 52, 300: 36, 200: 20, 100: 22})
    assert unclear.band(1000.0).high > 80 and 60 < drawn(rheogram(unclear)).get_ylim()[1] < 100  # the readings keep their room


def test_end_labels_lie_about_the_middle_of_their_curves():
    ax = drawn(rheogram(flow_curve.compare(DIAL)))
    assert len({text.get_color() for text in ax.texts}) == 10 and "#000000" not in {text.get_color() for text in ax.texts}
    ties = [line.get_ydata() for line in ax.lines if list(line.get_xdata()) == [1.0, 1.02]]
    ends, labels = np.array(ties).T
    assert abs(labels.mean() - ends.mean()) < 0.02 and np.diff(np.sort(labels)).min() > 0.04


def test_a_panel_of_numbers_says_of_what():
    frame = pd.DataFrame({f"reading_{s}": [x] * 2 for s, x in DIAL.items()}).assign(measured_depth=[1000.0, 2000.0], hole_diameter=26)
    for kind in (int, float, "category"):
        figure = flow_curves_by_depth(frame.astype({"hole_diameter": kind}), by="hole_diameter", log=False)
        assert figure.axes[0].get_title(loc="left") == "hole diameter 26: 2 curves"
    rates = figure.axes[0].collections[0].get_segments()[0][:, 0]
    assert np.ptp(np.diff(np.log(rates))) < 1e-9 and "\n" not in figure.get_suptitle()


@pytest.mark.parametrize("log", [False, True])
def test_flow_curves_by_depth_count_what_has_none(log):
    frame = pd.DataFrame({f"reading_{s}": np.linspace(0.9, 1.2, 8) * x for s, x in DIAL.items()})
    frame["measured_depth"] = np.linspace(1000.0, 8000.0, 8)
    frame["section"] = ["12 1/4 in"] * 4 + ["8 1/2 in"] * 4
    frame.loc[1, "reading_600":"reading_3"] = 20.0
    frame.loc[6, "measured_depth"] = np.nan
    figure = flow_curves_by_depth(frame, by="section", log=log)
    drawn(figure)
    titles = [ax.get_title(loc="left") for ax in figure.axes[:2]]
    assert titles == ["12 1/4 in: 3 curves, 1 without", "8 1/2 in: 3 curves, 1 without"]
    lines = figure.axes[0].collections[0]
    assert lines.get_array().tolist() == [1000.0, 3000.0, 4000.0]  # coloured by depth, the flat one not drawn
    first = flow_curve.fit({s: 0.9 * x for s, x in DIAL.items()})
    x, y = lines.get_segments()[0].T
    assert y == pytest.approx(first.stress(x), rel=1e-6)
    bar = figure.axes[-1]
    assert bar.get_ylabel() == "measured depth (ft)" and bar.yaxis_inverted()
    with pytest.raises(ValueError, match="none of the 8 checks"):
        flow_curves_by_depth(frame.assign(measured_depth=np.nan))
    with pytest.raises(ValueError, match="no column 'depth'"):
        flow_curves_by_depth(frame, depth="depth")


def test_flow_curves_of_a_study():
    from lutum import offset, records

    frame = pd.DataFrame({str(s): [x, 1.1 * x, 1.2 * x] for s, x in DIAL.items()}).assign(Well=["A", "A", "B"], MD=[1000.0, 2000.0, 1500.0])
    mapping = {f"reading_{s}": str(s) for s in DIAL} | {"well": "Well", "measured_depth": records.mapping.ColumnMapping("MD", unit="m")}
    study = offset.compute(records.read(frame, records.Mapping(mapping), units="metric"), calculations=["rheology.viscometer"])
    figure = flow_curves_by_depth(study)
    assert drawn(figure).get_ylabel() == "shear stress (Pa)" and figure.axes[-1].get_ylabel() == "measured depth (m)"
    assert [ax.get_title(loc="left") for ax in figure.axes[:2]] == ["A: 2 curves", "B: 1 curve"]


def test_most_panels():
    frame = pd.DataFrame({f"reading_{s}": [x] * 4 for s, x in DIAL.items()}).assign(measured_depth=[1.0, 2.0, 3.0, 4.0], well=list("abcd"))
    figure = flow_curves_by_depth(frame, by="well", most=3)
    assert "1 more panels not shown" in figure.get_suptitle() and len(figure.axes) == 4
