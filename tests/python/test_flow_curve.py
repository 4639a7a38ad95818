"""Flow curves in Python: what a fit finds, what it says when it cannot, and that nothing is pooled, hidden or chosen unasked."""

import math
import pickle

import numpy as np
import pandas as pd
import pytest
from scipy.stats import t

from lutum import field, flow_curve, metric, si, units
from lutum.flow_curve import MODELS, FlowCurve, MeasuredGrid, compare, fit, fit_many, fit_ramps, parameters_of
from lutum.mud_check import MudCheck

DIAL = {600: 65, 300: 40, 200: 31, 100: 21, 6: 8, 3: 7}
EIGHT = {600: 65, 300: 40, 200: 31, 100: 20.6, 60: 16.5, 30: 12.4, 6: 8, 3: 7}
KNOWN = {
    "newtonian": {"viscosity": 0.02}, "bingham": {"yield_stress": 4.0, "plastic_viscosity": 0.02}, "power_law": {"consistency": 0.6, "flow_index": 0.6},
    "yield_power_law": {"yield_stress": 3.0, "consistency": 0.4, "flow_index": 0.65}, "casson": {"yield_stress": 2.5, "high_shear_viscosity": 0.015},
    "robertson_stiff": {"consistency": 0.5, "rate_shift": 20.0, "flow_index": 0.6},
    "sisko": {"high_shear_viscosity": 0.01, "consistency": 1.5, "flow_index": 0.3},
    "heinz_casson": {"yield_stress": 3.0, "high_shear_viscosity": 0.02, "exponent": 0.7},
    "cross": {"low_shear_viscosity": 2.0, "high_shear_viscosity": 0.01, "relaxation_time": 0.5, "exponent": 0.8},
    "carreau": {"low_shear_viscosity": 2.0, "high_shear_viscosity": 0.01, "relaxation_time": 0.5, "flow_index": 0.4},
}  # fmt: skip
RATES = np.geomspace(0.5, 1100.0, 14)


@pytest.mark.parametrize("model", MODELS)
def test_exact_readings_give_the_parameters_back(model):
    truth = FlowCurve.of(model, units=si, **KNOWN[model])
    found = fit(shear_rate=RATES, shear_stress=truth.stress(RATES), model=model, units=si)
    assert found.status in ("fitted", "not_identifiable")
    assert found.parameters == pytest.approx(KNOWN[model], rel=1e-6)
    assert found.stress(RATES) == pytest.approx(truth.stress(RATES), rel=1e-9)


@pytest.mark.parametrize("model", MODELS)
def test_a_curve_agrees_with_the_catalogue(model):
    curve = FlowCurve.of(model, units=si, **KNOWN[model])
    said = getattr(si.rheology, model)(**KNOWN[model], shear_rate=40.0, given_stress=9.0)
    ours = {"shear_stress": curve.stress(40.0), "apparent_viscosity": curve.viscosity(40.0), "rate_at_stress": curve.rate(9.0)}
    assert ours == pytest.approx({name: getattr(said, name) for name in ours}, rel=1e-12)
    assert curve.local_index(40.0) == pytest.approx(1.0 if model == "newtonian" else said.local_index, rel=1e-12)
    assert curve.stress(curve.rate(9.0)) == pytest.approx(9.0, rel=1e-9)
    assert [p.name for p in parameters_of(model)] == list(KNOWN[model])


def test_what_a_fit_carries():
    curve = fit(DIAL, temperature=120.0, weighting="relative", rate_range=(0.0, 600.0))
    assert (curve.weighting, curve.rate_correction, curve.temperature, curve.rate_range) == ("relative", "none", 120.0, (0.0, 600.0))
    assert curve.why_not_used == {"the reading at 600 r/min, 65 degrees": "outside the rate range, 0 to 600 1/s"}
    assert curve.degrees_of_freedom == 2 and curve.rates_used == pytest.approx((3 * 1.70229514, 300 * 1.70229514))
    readings = curve.readings()
    assert readings["used"].tolist() == [False, True, True, True, True, True]
    assert readings["shear_stress"].to_numpy() == pytest.approx(1.0665952 * np.array([65, 40, 31, 21, 8, 7]), rel=1e-6)
    assert readings["curve"].to_numpy()[1:] == pytest.approx(curve.stress(readings["shear_rate"].to_numpy()[1:]))
    assert np.nansum(readings["residual"] ** 2) == pytest.approx(curve.sum_of_squares)
    assert "lb/100 ft2" in curve.as_text() and "relative" in curve.as_text() and "<table>" in curve._repr_html_()
    assert curve.frame().loc["yield_stress", "unit"] == "lb/100 ft2" and len(repr(curve)) < 260


def test_the_annulus_range_leaves_out_the_fast_speeds_and_the_pipe_the_slow_ones():
    assert fit(DIAL, rate_range="annulus").rates_used[1] == pytest.approx(340.459, rel=1e-5)
    pipe = fit(DIAL, "power_law", rate_range="pipe")
    assert pipe["flow_index"] == pytest.approx(field.rheology.power_law_indices(65, 40).pipe_flow_index, rel=1e-9)
    assert pipe.status == "not_identifiable" and pipe.degrees_of_freedom == 0 and math.isnan(pipe.band(700.0).low)
    with pytest.raises(ValueError, match="annulus or pipe"):
        fit(DIAL, rate_range="riser")


@pytest.mark.parametrize(
    ("dial", "status", "words"),
    [
        (dict.fromkeys(DIAL, 20), "flat", "do not rise"),
        ({600: 10, 300: 20, 200: 30, 100: 40, 6: 50, 3: 60}, "flat", "do not rise"),
        (DIAL | {200: math.nan}, "fitted", "tell every parameter"),
        (DIAL | {200: None}, "fitted", "tell every parameter"),
        (dict.fromkeys(DIAL, math.nan), "too_few_readings", "no readings for 3 parameters"),
        ({600: 65, 300: 40}, "too_few_readings", "2 readings at different rates for 3 parameters"),
        ({600: 65, 300: 40, 3: 7}, "not_identifiable", "3 different rates for 3 parameters"),
        ({600: 60, 300: 30, 200: 20, 100: 9.5, 6: 0, 3: 0}, "at_bound", "yield_stress at its low bound, 0 lb/100 ft2"),
    ],
)  # fmt: skip
def test_status_and_its_sentence(dial, status, words):
    curve = fit(dial)
    assert curve.status == status and words in curve.sentence and curve.sentence.startswith(status)
    assert len(curve.why_not_used) == sum(x is None or x != x for x in dial.values())
    finite = np.isfinite(list(curve.parameters.values()))
    assert finite.all() if status != "too_few_readings" else not finite.any()


def test_one_bad_reading_is_named():
    curve = fit(EIGHT | {100: 27.0})
    assert curve.status == "suspect_reading" and "100 r/min, 27 degrees" in curve.suspect and curve.suspect in curve.sentence
    assert curve.readings().loc[lambda f: f["suspect"], "speed"].tolist() == [100.0]
    off = curve.readings()["residual"][3] / 1.0665952
    assert off > 4.0 and f"lies {off:.1f} degrees above the fitted curve, and farther from the curve through the other readings" in curve.sentence
    assert fit(EIGHT).suspect == ""
    rates, low = [1.70229514 * s for s in EIGHT], [1.0665952 * x for x in (EIGHT | {100: 14.0}).values()]
    below = fit(shear_rate=rates, shear_stress=low)
    assert below.suspect == "the reading at 170.2 1/s, 14.93 lb/100 ft2" and f"{-below.readings()['residual'][3]:.3g} lb/100 ft2 below the fitted" in below.sentence
    there = below.to(metric)
    assert there.suspect == "the reading at 170.2 1/s, 7.15 Pa" and f"{-there.readings()['residual'][3]:.3g} Pa below the fitted" in there.sentence


def test_yield_stress_of_robertson_and_stiff_is_its_stress_at_rest():
    curve = FlowCurve.of("robertson_stiff", consistency=0.5, rate_shift=20.0, flow_index=0.6, units=si)
    assert curve.yield_stress == curve.stress(0.0) == pytest.approx(0.5 * 20.0**0.6)
    assert curve.to(field).yield_stress == pytest.approx(units.convert(curve.yield_stress, "Pa", "lb/100 ft2"))
    assert [FlowCurve.of(m, units=si, **KNOWN[m]).yield_stress for m in ("heinz_casson", "sisko")] == [3.0, 0.0]


def test_unit_sets_by_name():
    assert fit(DIAL, units="metric") == fit(DIAL, units=metric)
    with pytest.raises(ValueError, match="unit set 'imperial' is unknown; choose field, metric or si"):
        fit(DIAL, units="imperial")


def test_units_change_the_numbers_and_not_the_curve():
    curve = fit(DIAL, temperature=120.0)
    there = fit(DIAL, temperature=units.convert(120.0, "degF", "degC"), units=metric)
    assert curve.in_si() == pytest.approx(there.in_si(), rel=1e-12)
    assert curve.to(metric).parameters == pytest.approx(there.parameters) and curve.to(metric).temperature == pytest.approx(there.temperature)
    assert units.convert(curve.stress(170.0), "lb/100 ft2", "Pa") == pytest.approx(there.stress(170.0))
    assert there.viscosity(170.0) == pytest.approx(1000.0 * there.stress(170.0) / 170.0)
    assert curve.covariance[0, 0] == pytest.approx(there.covariance[0, 0] / 0.4788025898**2, rel=1e-8)
    u = np.array(list(curve.standard_uncertainties.values()))
    assert np.allclose(curve.correlation, there.correlation) and np.allclose(curve.correlation, curve.covariance / np.outer(u, u))
    assert curve.rate(there.to(field).stress(170.0)) == pytest.approx(170.0)


def test_band_by_hand_for_a_straight_line():
    """Bingham is linear: the textbook's band of a regression line."""
    x, y = np.array([100.0, 200.0, 350.0, 500.0, 900.0]), np.array([7.2, 9.1, 11.8, 15.2, 22.7])
    curve = fit(shear_rate=x, shear_stress=y, model="bingham", units=si)
    slope, intercept = np.polyfit(x, y, 1)
    s = math.sqrt(((y - intercept - slope * x) ** 2).sum() / 3)
    for at in (0.0, 300.0, 1200.0):
        half = t.ppf(0.95, 3) * s * math.sqrt(1 / 5 + (at - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum())
        band = curve.band(at, 0.90)
        assert (band.low, band.stress, band.high) == pytest.approx((intercept + slope * at - half, intercept + slope * at, intercept + slope * at + half))
    known = fit(shear_rate=x, shear_stress=y, model="bingham", units=si, weighting="reading_uncertainty", stress_uncertainty=0.5, relative_uncertainty=0.0)
    half = 1.959964 * 0.5 * math.sqrt(1 / 5)
    assert known.band(x.mean()).high - known.stress(x.mean()) == pytest.approx(half, rel=1e-6)  # known spread: the normal quantile


def test_wide_gap_is_asked_for_and_recorded():
    truth = {"yield_stress": 5.0, "consistency": 0.3, "flow_index": 0.7}
    speeds = np.array([600.0, 300, 200, 100, 6, 3])
    read = si.rheology.wide_gap(speed=speeds * math.pi / 30, **{n: np.full(6, x) for n, x in truth.items()})
    dial = dict(zip(speeds, np.asarray(read.wall_stress) / 0.51068854))
    curve = fit(dial, units=si, rate_correction="wide_gap")
    assert curve.rate_correction == "wide_gap" and curve.parameters == pytest.approx(truth, rel=1e-5)
    assert curve.readings()["shear_rate"].to_numpy() == pytest.approx(np.asarray(read.shear_rate_at_bob), rel=1e-5)
    assert fit(dial, units=si)["yield_stress"] == pytest.approx(5.32, abs=0.01)  # reference: +6.4 % with Newtonian rates
    with pytest.raises(ValueError, match="wide gap"):
        fit(dial, "casson", rate_correction="wide_gap")


def test_another_instrument():
    softer = fit(DIAL, spring_constant=2 * float(next(v.default for v in field.rheology.viscometer.inputs if v.name == "spring_constant")))
    assert softer["yield_stress"] == pytest.approx(2 * fit(DIAL)["yield_stress"], rel=1e-6)
    with pytest.raises(TypeError, match="rotor_radius, bob_radius"):
        fit(DIAL, rotor_diameter=1.0)


def test_ramps_are_never_pooled():
    down = {600: 65, 300: 38, 200: 29, 100: 19, 6: 6, 3: 5}
    ramps = fit_ramps(DIAL, down)
    assert ramps.up == fit(DIAL) and ramps.down == fit(down)
    by_hand = np.trapezoid([2, 2, 2, 2, 2, 0], np.log([3, 6, 100, 200, 300, 600])) * 1.0665952
    assert ramps.area == pytest.approx(by_hand, rel=1e-6) and "logarithm of the shear rate" in str(ramps)
    over_rate = fit_ramps(DIAL, down, over="rate")
    assert over_rate.area == pytest.approx(1.0665952 * 1.70229514 * (2 * 297 + 300), rel=1e-6) and over_rate.unit == "lb/100 ft2 1/s"
    with pytest.raises(ValueError, match="fit_ramps"):
        fit(shear_rate=[10, 100, 500, 100, 10], shear_stress=[4, 9, 20, 8, 3])


def test_temperatures_are_never_pooled():
    with pytest.raises(ValueError, match="120, 150 degF: they are never pooled"):
        fit(DIAL, temperature=[120, 120, 120, 150, 150, 150])
    assert fit(DIAL, temperature=[120.0] * 6).temperature == 120.0 and fit(DIAL).temperature is None


def test_comparison_shows_its_evidence_and_chooses_only_when_asked():
    compared = compare(EIGHT, temperature=120.0)
    assert sum(compared.weights.values()) == pytest.approx(1.0) and set(compared.curves) == set(MODELS)
    table = compared.table()
    assert table["corrected_akaike"].is_monotonic_increasing and len(table) == len(MODELS)
    two = compare(EIGHT, ["bingham", "casson"])
    n, k = 8, 3
    by_hand = {m: n * math.log(c.sum_of_squares) + 2 * k for m, c in two.curves.items()}
    assert two.weights["bingham"] / two.weights["casson"] == pytest.approx(math.exp(-0.5 * (by_hand["bingham"] - by_hand["casson"])), rel=1e-9)
    best = compared.best_by("akaike")
    assert best.model == table.index[0] and "out of 10 models" in best.evidence and best.evidence in best.as_text()
    assert compared.curves[best.model].evidence == ""
    missed = []
    for speed in EIGHT:
        without = fit({s: x for s, x in EIGHT.items() if s != speed}, "casson")
        missed.append(without.stress(1.70229514 * speed) - 1.0665952 * EIGHT[speed])
    assert two.left_out["casson"] == pytest.approx(math.sqrt(np.mean(np.square(missed))), rel=1e-4)
    with pytest.raises(ValueError, match="tells nothing: too few readings; read more"):
        compare({600: 65, 300: 40}).best_by("akaike")
    with pytest.raises(ValueError, match="tells nothing: no rise; read more"):
        compare(dict.fromkeys(DIAL, 20)).best_by("leave_one_out")


def frame_of_checks():
    frame = pd.DataFrame({f"reading_{s}": [x] * 7 for s, x in DIAL.items()}, index=list("abcdefg"), dtype=float)
    frame.loc["b"] = 20.0
    frame.loc["c", "reading_200"] = np.nan
    frame.loc["d"] = np.nan
    frame.loc["e", ["reading_200", "reading_100", "reading_6", "reading_3"]] = np.nan
    frame.loc["f"] = [60, 30, 20, 9.5, 0, 0]
    frame.loc["g", "reading_3"] = -7.0
    frame["reading_temperature"] = 120.0
    return frame


@pytest.mark.parametrize("weighting", ["equal", "relative", "reading_uncertainty"])
@pytest.mark.parametrize("model", ["yield_power_law", "casson"])
@pytest.mark.parametrize("thorough", [False, True])
def test_many_is_one_by_one(model, weighting, thorough):
    frame = frame_of_checks()
    many = fit_many(frame, model, weighting=weighting, thorough=thorough)
    assert many.index.equals(frame.index) and many.attrs["units"]["yield_stress"] == "lb/100 ft2" and (many["temperature"] == 120.0).all()
    for row in "abcdef":
        one = fit({int(c[8:]): x for c, x in frame.loc[row].items() if c != "reading_temperature"}, model, weighting=weighting)
        told = [name for name in one.parameters if one.status != "flat" or name == "yield_stress"]  # of a flat curve the rest means nothing
        assert many.loc[row, told].to_numpy(float) == pytest.approx([one[name] for name in told], rel=1e-5, abs=1e-7, nan_ok=True)
        assert many.loc[row, "status"] == one.status and many.loc[row, "readings_used"] == len(one.readings().query("used"))
        assert many.loc[row, "residual_scatter"] == pytest.approx(one.residual_scatter, rel=1e-5, abs=1e-9, nan_ok=True)
    assert many.loc["g", "status"] == "outside_limits" and "3 r/min" in many.loc["g", "reason"] and np.isnan(many.loc["g", "yield_stress"])
    assert many.loc["a", "reason"] == "" and (many.drop(index="a")["reason"] != "").sum() >= 5
    with pytest.raises(ValueError, match="reading at 3 r/min = -7 degrees is outside its limit, 0 to 400"):
        fit({600: 65, 300: 40, 3: -7})


def test_many_takes_a_range_and_other_columns():
    frame = frame_of_checks()[["reading_600", "reading_300", "reading_200", "reading_100", "reading_6", "reading_3"]]
    renamed = frame.set_axis([f"R{c[8:]}" for c in frame], axis=1)
    found = fit_many(renamed, columns={int(c[1:]): c for c in renamed}, rate_range="annulus")
    assert found.loc["a", "flow_index"] == pytest.approx(fit(DIAL, rate_range="annulus")["flow_index"], rel=1e-6)
    assert found.loc["a", "readings_used"] == 4
    with pytest.raises(ValueError, match="columns={speed"):
        fit_many(renamed)


@pytest.mark.parametrize("thorough", [False, True])
def test_many_refuses_bounds_that_cross_as_one_does(thorough):
    for bounds in ({"yield_stress": (5.0, 1.0)}, {"flow_index": (0.9, 0.1)}):
        with pytest.raises(ValueError, match=next(iter(bounds)) + " needs a low bound") as one:
            fit(DIAL, bounds=bounds)
        with pytest.raises(ValueError, match="needs a low bound") as many:
            fit_many(frame_of_checks(), bounds=bounds, thorough=thorough)
        assert str(one.value) == str(many.value)
    # Above all that the fast way can be asked for: told, not raised.
    far = fit_many(frame_of_checks(), units=si, bounds={"yield_stress": (2e5, 3e5)})
    assert far.loc["a", "status"] == "outside_limits" and "bound" in far.loc["a", "reason"]


def test_many_takes_an_uncertainty_for_each_speed_where_it_can():
    frame, each = frame_of_checks(), [3.0, 2.0, 1.0, 1.0, 0.5, 0.5]
    known = {"weighting": "reading_uncertainty", "stress_uncertainty": each}
    assert fit_many(frame, thorough=True, **known).loc["a", "yield_stress"] == pytest.approx(fit(DIAL, **known)["yield_stress"], rel=1e-9)
    with pytest.raises(ValueError, match="6 values: the fast way takes one for all speeds"):
        fit_many(frame, **known)
    for wrong in (lambda g: fit(DIAL, **g), lambda g: compare(DIAL, **g), lambda g: fit_many(frame, thorough=True, **g)):
        with pytest.raises(ValueError, match="stress_uncertainty has 2 values for 6 readings"):
            wrong(known | {"stress_uncertainty": [1.0, 2.0]})


def grid_readings(*conditions):
    """exp(a + b/T + c p) at each speed: what the interpolation holds to be true."""
    found = {}
    for temperature, pressure in conditions:
        kelvin = units.convert(temperature, "degF", "K")
        factor = math.exp(900.0 * (1 / kelvin - 1 / 322.0) + 4e-5 * (pressure or 0.0))
        found[temperature if pressure is None else (temperature, pressure)] = {s: x * factor for s, x in DIAL.items()}
    return found


@pytest.mark.parametrize(
    "conditions",
    [
        [(80, None), (120, None), (150, None)],
        [(t, p) for t in (80, 150) for p in (0, 5000)],
        [(80, 0), (150, 0), (160, 8000), (90, 7000)],
    ],
)  # fmt: skip
def test_grid_gives_its_nodes_back_and_interpolates_stresses(conditions):
    readings = grid_readings(*conditions)
    grid = MeasuredGrid(readings)
    for condition in readings:
        node = condition if isinstance(condition, tuple) else (condition, None)
        at_node = grid.fit(*node)
        assert at_node.parameters == pytest.approx(fit(readings[condition]).parameters, rel=1e-9) and at_node.status == "fitted"
    between = (120.0, None if conditions[0][1] is None else 3000.0)
    truth = next(iter(grid_readings(between).values()))
    stress = grid.stress(*between)
    assert sorted(stress.values()) == pytest.approx(sorted(1.0665952 * x for x in truth.values()), rel=1e-6)
    curve = grid.fit(*between)
    assert curve.parameters == pytest.approx(fit(truth).parameters, rel=1e-5) and curve.temperature == 120.0
    if conditions[0][1] is not None:
        assert curve.status == "interpolated" and "linear in 1/T" in curve.sentence and curve.pressure == pytest.approx(3000.0)


def test_grid_refuses_what_was_not_measured():
    grid = MeasuredGrid(grid_readings((80, 0), (150, 0), (160, 8000)))
    with pytest.raises(ValueError, match="temperature = 300 degF is outside what was measured, 80 degF to 160 degF"):
        grid.fit(300, 0)
    with pytest.raises(ValueError, match="pressure = 9000 psi is outside"):
        grid.fit(120, 9000)
    with pytest.raises(ValueError, match="does not lie between"):
        grid.fit(85, 7000)
    with pytest.raises(ValueError, match="give the pressure too"):
        grid.fit(100)
    with pytest.raises(ValueError, match="no pressure"):
        MeasuredGrid({80: DIAL, 120: DIAL}).fit(100, 50)
    gap = MeasuredGrid({80: DIAL, 120: DIAL | {3: 0}})
    assert math.isnan(gap.stress(100)[min(gap.stress(100))]) and list(gap.fit(100).why_not_used.values()) == ["missing"]


def test_fallback_laws_are_labelled_and_stay_in_their_range():
    curve = fit(DIAL, "bingham", temperature=120.0)
    hot = curve.at_temperature(180.0, "solvent")
    ratio = si.rheology.solvent_scaling(0.01, units.convert(120.0, "degF", "K"), units.convert(180.0, "degF", "K")).viscosity_ratio
    assert hot["plastic_viscosity"] == pytest.approx(ratio * curve["plastic_viscosity"]) and hot["yield_stress"] == curve["yield_stress"]
    assert hot.status == "fallback" and "fallback" in hot.sentence and hot.temperature == 180.0 and math.isnan(hot.band(100.0).low)
    oil = curve.at_temperature(200.0, "oil_base_yield")
    assert oil["yield_stress"] / curve["yield_stress"] == pytest.approx(0.454 / 0.786, rel=2e-3)  # as printed in the reference
    eyring = curve.at_temperature(200.0, "eyring", coefficients={"plastic_viscosity": {"temperature_coefficient": 1600.0}})
    kelvins = units.convert(np.array([120.0, 200.0]), "degF", "K")
    assert eyring["plastic_viscosity"] / curve["plastic_viscosity"] == pytest.approx(math.exp(1600 / kelvins[1] - 1600 / kelvins[0]))
    with pytest.raises(ValueError, match="400 degF is outside the range of rheology.solvent_scaling"):
        curve.at_temperature(400.0, "solvent")
    with pytest.raises(ValueError, match="laliberte"):
        curve.at_temperature(270.0, "solvent")
    assert curve.at_temperature(270.0, "solvent", water_law="laliberte").status == "fallback"
    with pytest.raises(ValueError, match="no high-shear viscosity"):
        fit(DIAL, temperature=120.0).at_temperature(150.0, "solvent")
    with pytest.raises(ValueError, match="temperature of the readings is not known"):
        fit(DIAL, "bingham").at_temperature(150.0, "solvent")
    with pytest.raises(ValueError, match="not one to carry"):
        hot.at_temperature(150.0, "solvent")
    with pytest.raises(ValueError, match="not one to carry.*flat"):
        fit(dict.fromkeys(DIAL, 20), "bingham", temperature=120.0).at_temperature(150.0, "solvent")


def test_a_curve_of_ones_own():
    mud = FlowCurve.of("bingham", plastic_viscosity=25.0, yield_stress=10.0, temperature=120.0)
    assert mud.stress(1021.377) == pytest.approx(10.0 + units.convert(25.0e-3 * 1021.377, "Pa", "lb/100 ft2"))
    assert mud.status == "given" and math.isnan(mud.standard_uncertainties["yield_stress"]) and math.isnan(mud.band(10.0).high)
    assert mud.viscosity(0.0) == math.inf and mud.rate(5.0) == 0.0 and mud.rate(10.0) == 0.0
    as_hydraulics = mud.as_yield_power_law()
    assert as_hydraulics["flow_index"] == 1.0 and as_hydraulics["yield_stress"] == pytest.approx(10.0)
    assert FlowCurve.of("yield_power_law", **as_hydraulics).stress(300.0) == pytest.approx(mud.stress(300.0))
    with pytest.raises(TypeError, match="lacks yield_stress; it takes yield_stress in lb/100 ft2, plastic_viscosity in cP"):
        FlowCurve.of("bingham", plastic_viscosity=25.0)
    with pytest.raises(ValueError, match="casson is no yield power law"):
        FlowCurve.of("casson", yield_stress=5.0, high_shear_viscosity=17.0).as_yield_power_law()
    with pytest.raises(ValueError, match="choose one of newtonian"):
        fit(DIAL, "bingam")


@pytest.mark.parametrize("curve", [fit(DIAL, temperature=120.0), fit({600: 65}), FlowCurve.of("newtonian", viscosity=1.0, units=metric)], ids=repr)
def test_pickles_and_does_not_change(curve):
    again = pickle.loads(pickle.dumps(curve))
    assert again == curve and hash(again) == hash(curve) and repr(again) == repr(curve)
    with pytest.raises(AttributeError, match="does not change"):
        curve.units = si
    with pytest.raises(TypeError):
        curve.parameters["viscosity"] = 1.0
    assert curve != fit(DIAL | {3: 6})


def test_readings_of_a_mud_check():
    check = MudCheck({f"reading_{s}": x for s, x in DIAL.items()} | {"reading_temperature": 120})
    assert fit(check) == fit(DIAL, temperature=120.0)
    with pytest.raises(ValueError, match="never pooled"):
        fit(check, temperature=150.0)


def test_the_examples_of_the_documentation(capsys):
    import doctest

    for name in ("fitting", "comparing", "grid", "curve", "models"):
        module = __import__(f"lutum.flow_curve.{name}", fromlist=["x"])
        found = doctest.testmod(module)
        assert found.failed == 0 and found.attempted > 0, capsys.readouterr().out
    assert flow_curve.RATE_RANGES["annulus"] == (0.0, 350.0)
