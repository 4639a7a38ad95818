"""Fits of flow curves and gel growth: answers from outside, SciPy's covariances, coverage of bands, records of every kind."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq, curve_fit
from scipy.stats import t as student

from lutum import _core

DATA = Path(__file__).parent / "data"
FITS = tomllib.loads((DATA / "flow_curve_fits.toml").read_text(encoding="utf-8"))
CURVES = tomllib.loads((DATA / "flow_curves.toml").read_text(encoding="utf-8"))["curve"]
CASES = [FITS["default"] | case for case in FITS["case"]]
RATES = np.array([600, 300, 200, 100, 6, 3]) * 1.7022951
READINGS = 0.510688542 * np.array([65, 46, 37.5, 26.5, 9, 7.5])
MODELS = _core.flow_models()
STATUS = {name: i for i, name in enumerate(_core.fit_statuses)}


def stress(model, p, g):
    """The models once more, in NumPy."""
    a, b, c, d = [*p, *[np.nan] * (4 - len(p))]
    return {
        "newtonian": lambda: a * g,
        "bingham": lambda: a + b * g,
        "power_law": lambda: a * g**b,
        "yield_power_law": lambda: a + b * g**c,
        "casson": lambda: (np.sqrt(a) + np.sqrt(b * g)) ** 2,
        "robertson_stiff": lambda: a * (g + b) ** c,
        "sisko": lambda: a * g + b * g**c,
        "heinz_casson": lambda: (a**c + (b * g) ** c) ** (1 / c),
        "cross": lambda: g * (b + (a - b) / (1 + (c * g) ** d)),
        "carreau": lambda: g * (b + (a - b) * (1 + (c * g) ** 2) ** ((d - 1) / 2)),
    }[model]()


PARAMETERS = {  # one fluid by every model
    "newtonian": [0.03], "bingham": [5.0, 0.03], "power_law": [1.2, 0.5], "yield_power_law": [3.0, 0.6, 0.6], "casson": [3.0, 0.015],
    "robertson_stiff": [0.5, 20.0, 0.57], "sisko": [0.01, 1.8, 0.35], "heinz_casson": [3.0, 0.01, 0.55], "cross": [4.0, 0.02, 0.8, 0.75],
    "carreau": [4.0, 0.02, 0.6, 0.3],
}
MANY_RATES = np.geomspace(0.1, 1000, 25)


def fit(case, **more):
    curve = CURVES[case["curve"]]
    given = {k: case[k] for k in ("bounds", "rate_range") if k in case}
    if case["weighting"] == "reading_uncertainty":
        given["standard_uncertainty"] = curve["shear_stress"]
    return _core.fit_flow_curve(case["model"], curve["shear_rate"], curve["shear_stress"], case["weighting"], **given, **more)


@pytest.mark.parametrize("case", CASES, ids=lambda c: c["id"])
def test_fit_agrees_with_its_source(case):
    f = fit(case)
    assert f.converged and f.last_step < 1e-10
    np.testing.assert_allclose(f.parameters, case["parameters"], rtol=case["relative"], atol=case["absolute"])
    if "sum_of_squares" in case:
        assert f.sum_of_squares == pytest.approx(case["sum_of_squares"], rel=case["sum_of_squares_relative"])
    if "printed" in case:
        np.testing.assert_allclose(f.parameters, case["printed"], rtol=2e-5)
    if case["curve"] != "emulsion":
        assert f.number_used == len(CURVES[case["curve"]]["shear_rate"])


def test_emulsion_uses_the_range_asked_for_and_says_so():
    f = fit(next(c for c in CASES if c["id"].startswith("emulsion_mid")))
    assert f.number_used == 40 and f.rate_range == (0.1, 10.0) and 0.1 < f.rates_used[0] < f.rates_used[1] < 10
    assert np.isnan(f.residuals).sum() == 61 and f.weighting == "relative" and f.rate_correction == "none"


@pytest.mark.parametrize("model", MODELS)
@pytest.mark.parametrize("weighting", ["equal", "relative", "reading_uncertainty"])
def test_exact_readings_give_their_parameters_back(model, weighting):
    readings = stress(model, PARAMETERS[model], MANY_RATES)
    f = _core.fit_flow_curve(model, MANY_RATES, readings, weighting, standard_uncertainty=0.1 + 0.01 * readings)
    np.testing.assert_allclose(f.parameters, PARAMETERS[model], rtol=1e-8)
    assert f.status == "fitted" and f.names == [p[0] for p in _core.flow_model_parameters(model)]
    np.testing.assert_allclose(f.stress(MANY_RATES), readings, rtol=1e-10)


@pytest.mark.parametrize("model", MODELS)
def test_covariance_band_and_correlation_agree_with_scipy(model):
    rng = np.random.default_rng(7)
    u = 0.02 * stress(model, PARAMETERS[model], MANY_RATES)
    readings = stress(model, PARAMETERS[model], MANY_RATES) + u * rng.normal(size=MANY_RATES.size)

    def formula(g, *p):
        return stress(model, p, g)

    for weighting, absolute in (("reading_uncertainty", True), ("relative", False), ("equal", False)):
        spread = {"reading_uncertainty": u, "relative": np.maximum(readings, 0.25), "equal": np.ones_like(u)}[weighting]
        f = _core.fit_flow_curve(model, MANY_RATES, readings, weighting, standard_uncertainty=u)
        assert set(f.states) == {"free"}
        start = f.parameters

        def jacobian(g, *p):  # central differences of the fourth order
            columns = []
            for j, x in enumerate(p):
                h, unit = 3e-4 * x, np.eye(len(p))[j]
                at = [stress(model, np.array(p) + k * h * unit, g) for k in (-2, -1, 1, 2)]
                columns.append((at[0] - 8 * at[1] + 8 * at[2] - at[3]) / (12 * h))
            return np.transpose(columns)

        found, covariance = curve_fit(formula, MANY_RATES, readings, p0=start, sigma=spread, absolute_sigma=absolute, jac=jacobian,
                                      method="trf", x_scale=np.abs(start), xtol=1e-15, ftol=1e-15, gtol=1e-15)
        np.testing.assert_allclose(f.parameters, found, rtol=1e-6)
        size = np.sqrt(np.outer(np.diag(covariance), np.diag(covariance)))
        assert np.abs((f.covariance - covariance) / size).max() < 1e-6
        np.testing.assert_allclose(f.correlation, covariance / size, atol=1e-6)
        slope = jacobian(RATES, *found)
        np.testing.assert_allclose(f.stress_variance(RATES), np.einsum("ij,jk,ik->i", slope, covariance, slope), rtol=2e-6)
        assert f.degrees_of_freedom == MANY_RATES.size - len(start)


def coverage(model, parameters, rates, records, sigma, bounds, round_to=None, seed=11):
    """Shares of 95 % bands that hold the truth, of parameters and of the curve at four rates; and of records without an active bound."""
    rng = np.random.default_rng(seed)
    truth = stress(model, parameters, rates)
    readings = truth + sigma * rng.normal(size=(records, rates.size))
    if round_to is not None:
        readings = round_to * np.round(readings / round_to)
    at = np.geomspace(rates.min(), rates.max(), 4)
    f = _core.fit_flow_curves(model, rates, readings, bounds=bounds, at=at)
    free = (f.states == 0).all(axis=1) & (f.status != STATUS["not_converged"])
    freedom = f.degrees_of_freedom[:, None]
    quantile = student.ppf(0.975, np.maximum(freedom, 1))
    spread = np.sqrt(np.einsum("ijj->ij", f.covariance))
    held = np.abs(f.parameters - parameters) <= quantile * spread
    curve = np.abs(f.stress - stress(model, parameters, at)) <= quantile * np.sqrt(f.stress_variance)
    return held[free].mean(axis=0), curve[free].mean(axis=0), curve.mean(axis=0), free.mean()


@pytest.mark.parametrize("records", [4000, pytest.param(20_000, marks=pytest.mark.long)])
@pytest.mark.parametrize("model", ["bingham", "power_law", "yield_power_law", "casson"])
def test_bands_cover_what_they_say_when_no_bound_is_active(records, model):
    rates = np.geomspace(5, 1022, 12)
    wide = {"yield_stress": (-50.0, 50.0)} if model in ("bingham", "yield_power_law") else {}
    parameters, curve, _, free = coverage(model, PARAMETERS[model], rates, records, 0.12, wide)
    print(f"{model}: parameters {parameters.round(4)}, curve {curve.round(4)}, free {free:.4f}")
    assert free > 0.999
    assert np.all((parameters > 0.94) & (parameters < 0.96)) and np.all((curve > 0.94) & (curve < 0.96))


def test_coverage_near_a_bound_and_of_rounded_readings_is_printed_as_it_is():
    """No promise holds there: the numbers are shown, and only that they are shares."""
    for yield_stress in (0.0, 0.2, 1.0):
        _, free_only, all_records, free = coverage("yield_power_law", [yield_stress, 0.6, 0.6], RATES, 2000, 0.3, {})
        print(f"six readings, yield stress {yield_stress} Pa, bound at 0: curve {all_records.round(3)}")
        print(f"  share without an active bound {free:.3f}, of them curve {free_only.round(3)}")
        assert 0 < free <= 1 and np.all(all_records > 0.5)
    for sigma in (0.05, 0.15, 0.3):
        _, curve, _, free = coverage("yield_power_law", [5.0, 0.6, 0.6], RATES, 2000, sigma, {}, round_to=0.510688542)
        print(f"six readings rounded to a degree, noise {sigma} Pa: curve {curve.round(3)}, free {free:.3f}")
        assert np.all(curve > 0.5)


@pytest.mark.parametrize("model", MODELS)
@pytest.mark.parametrize("weighting", ["equal", "relative", "reading_uncertainty"])
def test_every_kind_of_record_has_a_status_and_no_surprise(model, weighting):
    nan, k = np.nan, len(PARAMETERS[model])
    kinds = {
        "sound": READINGS, "constant": np.full(6, 7.0), "falling": READINGS[::-1],
        "zeros": np.zeros(6), "all_missing": np.full(6, nan),
        "one": np.array([5.0, nan, nan, nan, nan, nan]), "one_missing": np.where(np.arange(6) == 2, nan, READINGS),
        "as_many_as_parameters": np.where(np.arange(6) < k, READINGS, nan),
        "infinite": np.where(np.arange(6) == 0, np.inf, READINGS),
        "only_the_last_rises": np.array([30.0, 0, 0, 0, 0, 0]), "low_zero": np.array([30.0, 20, 15, 10, 0, 0]),
    }
    f = _core.fit_flow_curves(model, RATES, np.array(list(kinds.values())), weighting, standard_uncertainty=np.full(6, 0.2), at=[1.0, 100.0])
    status = dict(zip(kinds, (_core.fit_statuses[s] for s in f.status), strict=True))
    used = dict(zip(kinds, f.number_used.tolist(), strict=True))
    for kind in ("constant", "falling", "zeros"):
        assert status[kind] == "flat"
    assert status["all_missing"] == "too_few_readings" and used["all_missing"] == 0
    assert status["one"] == ("not_identifiable" if k == 1 else "too_few_readings")
    assert status["as_many_as_parameters"] in ("not_identifiable", "not_converged")
    assert used["one_missing"] == used["infinite"] == 5
    fitted = np.array(list(status.values())) != "too_few_readings"
    assert np.isfinite(f.parameters[fitted]).all() and np.isnan(f.parameters[~fitted]).all()
    assert np.isfinite(f.stress[fitted]).all() and np.isnan(f.stress[~fitted]).all()
    assert np.isfinite(f.weighted_sum_of_squares[fitted]).all()
    low = np.array([p[4] for p in _core.flow_model_parameters(model)])
    high = np.array([p[5] for p in _core.flow_model_parameters(model)])
    assert ((f.parameters[fitted] >= low) & (f.parameters[fitted] <= high)).all()
    for i, readings in enumerate(kinds.values()):  # one record alone gives the same
        one = _core.fit_flow_curve(model, RATES, readings, weighting, standard_uncertainty=np.full(6, 0.2))
        np.testing.assert_array_equal(one.parameters, f.parameters[i])
        assert one.status == _core.fit_statuses[f.status[i]]


def test_a_constant_record_has_its_stress_and_an_index_of_one():
    f = _core.fit_flow_curve("yield_power_law", RATES, np.full(6, 7.0))
    np.testing.assert_allclose(f.parameters, [7.0, 0.0, 1.0], atol=1e-12)
    assert f.states == ["free", "at_low", "without_effect"]


def test_a_single_bad_reading_is_named():
    rates = np.geomspace(5, 1000, 10)
    readings = stress("yield_power_law", [3.0, 0.6, 0.6], rates) + 0.05 * np.random.default_rng(3).normal(size=10)
    assert _core.fit_flow_curve("yield_power_law", rates, readings).suspect is None
    readings[4] += 2.0
    f = _core.fit_flow_curve("yield_power_law", rates, readings)
    assert f.status == "suspect_reading" and f.suspect == 4
    without = np.delete(np.arange(10), 4)
    alone = _core.fit_flow_curve("yield_power_law", rates[without], readings[without])
    assert alone.status == "fitted"
    missing = readings.copy()
    missing[4] = np.nan
    assert _core.fit_flow_curve("yield_power_law", rates, missing).sum_of_squares == alone.sum_of_squares


def test_false_alarms_are_as_rare_as_said():
    rng = np.random.default_rng(5)
    rates = np.geomspace(5, 1000, 9)
    f = _core.fit_flow_curves("bingham", rates, 5 + 0.03 * rates + 0.3 * rng.normal(size=(4000, 9)), bounds={"yield_stress": (-50.0, 50.0)})
    assert 0.03 < (f.suspect >= 0).mean() < 0.065


def test_students_t_agrees_with_scipy():
    for freedom in (1, 2, 3, 4, 7, 20, 101):
        for x in (0.0, 0.3, 1.0, 2.5, 11.0, -4.0):
            assert _core.two_sided_t(x, freedom) == pytest.approx(2 * student.sf(abs(x), freedom), rel=1e-9, abs=1e-14)


def test_straight_line_with_an_unclear_yield_stress_is_not_identifiable():
    f = fit(next(c for c in CASES if c["id"] == "S6_herschelbulkley"))
    assert f.status == "not_identifiable" and abs(f.parameters[2] - 1) < 0.02
    assert np.sqrt(f.covariance[0, 0]) > f.parameters[0]
    three = _core.fit_flow_curve("yield_power_law", RATES[[0, 2, 5]], READINGS[[0, 2, 5]])
    assert three.status == "not_identifiable" and three.degrees_of_freedom == 0 and np.isnan(three.covariance).all()


def test_corrected_akaike_by_hand_and_what_it_says_of_few_readings():
    f = _core.fit_flow_curve("bingham", RATES, READINGS)
    k = 3
    assert f.corrected_akaike == pytest.approx(6 * np.log(f.sum_of_squares / 6) + 2 * k + 2 * k * (k + 1) / (6 - k - 1), rel=1e-12)
    assert _core.fit_flow_curve("cross", RATES, READINGS).corrected_akaike == np.inf  # 6 readings, 4 parameters and a variance
    criteria = [_core.fit_flow_curve(m, RATES, READINGS).corrected_akaike for m in MODELS]
    weights = np.array(_core.akaike_weights(criteria))
    assert weights.sum() == pytest.approx(1) and weights[MODELS.index("cross")] == 0
    assert weights[0] < 1e-3
    ratio = weights[1] / weights[2]
    assert ratio == pytest.approx(np.exp(-0.5 * (criteria[1] - criteria[2])), rel=1e-12)


def test_left_out_errors_refit_without_each_reading():
    errors = _core.left_out_errors("power_law", RATES, READINGS)
    for i in range(6):
        others = np.delete(np.arange(6), i)
        f = _core.fit_flow_curve("power_law", RATES[others], READINGS[others])
        assert errors[i] == pytest.approx(stress("power_law", f.parameters, RATES[i]) - READINGS[i], rel=1e-9)
    missing = READINGS.copy()
    missing[1] = np.nan
    assert np.isnan(_core.left_out_errors("power_law", RATES, missing)).tolist() == [i == 1 for i in range(6)]


def test_relative_residuals_refer_to_a_quarter_pascal_at_least():
    low = 0.02 * READINGS
    assert (low < 0.25).any() and (low > 0.25).any()
    relative = _core.fit_flow_curve("power_law", RATES, low, "relative")
    known = _core.fit_flow_curve("power_law", RATES, low, "reading_uncertainty", standard_uncertainty=np.maximum(low, 0.25))
    np.testing.assert_allclose(relative.parameters, known.parameters, rtol=1e-12)


def test_bounds_hold_and_are_told():
    f = _core.fit_flow_curve("yield_power_law", RATES, READINGS, bounds={"flow_index": (0.7, 0.9), "yield_stress": (0.0, 1.5)})
    assert f.status == "at_bound" and f.states == ["at_high", "free", "at_low"] and f.parameters[0] == 1.5 and f.parameters[2] == 0.7
    assert f.covariance[0, 0] == 0 and f.covariance[1, 1] > 0 and f.degrees_of_freedom == 5
    fixed = _core.fit_flow_curve("yield_power_law", RATES, READINGS, bounds={"flow_index": (1.0, 1.0)})
    np.testing.assert_allclose(fixed.parameters[:2], _core.fit_flow_curve("bingham", RATES, READINGS).parameters, rtol=1e-10)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"model": "honey"}, 'model "honey" is unknown'),
        ({"weighting": "heavy"}, 'weighting "heavy" is unknown'),
        ({"weighting": "reading_uncertainty"}, "standard_uncertainty must be given, in Pa"),
        ({"bounds": {"flow_index": (0.9, 0.1)}}, "flow_index needs a low bound"),
        ({"bounds": {"softness": (0.0, 1.0)}}, "softness is no parameter"),
        ({"bounds": {"consistency": (-1.0, 1.0)}}, "consistency cannot be negative"),
        ({"shear_stress": [1.0, 2.0]}, "shear_stress has 2 values, shear_rate 6"),
        ({"rate_range": (10.0, 1.0)}, "rate_range"),
        ({"model": "casson", "radius_ratio": 0.9}, "wide gap is known for"),
        ({"radius_ratio": 1.2}, "between 0 and 1"),
    ],
)
def test_a_wrong_request_says_what_is_wrong(changes, message):
    given = {"model": "yield_power_law", "shear_rate": RATES, "shear_stress": READINGS} | changes
    with pytest.raises(ValueError, match=message):
        _core.fit_flow_curve(**given)


@pytest.mark.parametrize("model", ["newtonian", "bingham", "power_law", "yield_power_law"])
def test_a_fit_through_the_wide_gap_finds_the_fluid_and_the_plain_fit_does_not(model):
    ratio = 17.245 / 18.415
    fluid = PARAMETERS[model]
    speeds = RATES * (1 - ratio**2) / 2
    full = {"newtonian": [0.0, *fluid, 1.0], "bingham": [*fluid, 1.0], "power_law": [0.0, *fluid], "yield_power_law": fluid}[model]
    readings = [bob_stress(*full, w, ratio) for w in speeds]
    f = _core.fit_flow_curve(model, RATES, readings, radius_ratio=ratio)
    assert f.rate_correction == "wide_gap" and f.status == "fitted"
    np.testing.assert_allclose(f.parameters, fluid, rtol=1e-7)
    plain = _core.fit_flow_curve(model, RATES, readings)
    off = np.abs(plain.parameters / fluid - 1).max()
    assert plain.rate_correction == "none" and (off < 1e-7 if model == "newtonian" else 0.01 < off < 0.12)


def bob_stress(yield_stress, consistency, index, speed, ratio):
    """Speed = 1/2 integral of rate/stress over the stress from the rotor (or the yield stress) to the bob: SciPy's quadrature and root."""

    def turns(x):
        low = max(yield_stress, x * ratio**2)
        return 0.5 * quad(lambda s: ((s - yield_stress) / consistency) ** (1 / index) / s, low, x, epsabs=0, epsrel=1e-11)[0]

    return brentq(lambda x: turns(x) / speed - 1, yield_stress * (1 + 1e-9) + 1e-9, yield_stress + 1e4, xtol=1e-13, rtol=1e-13)


def test_gel_growth_gives_its_parameters_back_and_statuses():
    times = np.array([10.0, 60, 300, 600, 1800])
    f = _core.fit_gel_growth(times, 12 * (1 - np.exp(-0.004 * times)))
    np.testing.assert_allclose(f.parameters, [12, 0.004], rtol=1e-9)
    assert f.status == "fitted" and f.converged
    assert _core.fit_gel_growth([10.0, 600.0, 1800.0], [np.nan] * 3).status == "too_few_readings"
    assert _core.fit_gel_growth([10.0, 600.0, 1800.0], [8.0, 8.0, 8.0]).status == "flat"
    steeper = _core.fit_gel_growth(times, [1.0, 5.5, 33.0, 58.0, 185.0])  # no end in sight: the straight line is the nearest
    assert steeper.status == "at_bound" and steeper.states == ["free", "at_low"]
    assert _core.fit_gel_growth([10.0, 600.0, np.nan], [4.0, 9.0, 12.0]).status == "not_identifiable"
