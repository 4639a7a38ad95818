"""Monte Carlo against JCGM 101 and against exact distributions, and when it says that the linear form is not good enough."""

import numpy as np
import pytest
from scipy import stats

from lutum import field, uncertainty
from lutum.uncertainty import Joint, Normal, OneSided, Rectangular, Student, Triangular, budget, compare, monte_carlo
from lutum.uncertainty.simulating import numerical_tolerance, shortest_interval, symmetric_interval

ONE = dict.fromkeys(("x1", "x2", "x3", "x4"), 1.0)


def total(x1, x2, x3, x4):
    return x1 + x2 + x3 + x4


@pytest.mark.parametrize(
    ("known", "want"),
    [
        (Normal(2.0, 0.3), stats.norm(2.0, 0.3)),
        (Rectangular(2.0, 0.3), stats.uniform(1.7, 0.6)),
        (Triangular(2.0, 0.3), stats.triang(0.5, 1.7, 0.6)),
        (OneSided(2.0, 0.5), stats.uniform(1.5, 0.5)),
        (Student(2.0, 0.3, 5.0), stats.t(5.0, 2.0, 0.3)),
    ],
)
def test_distributions(known, want):
    assert (known.mean, known.standard) == pytest.approx((want.mean(), want.std()), rel=1e-12)
    assert stats.kstest(known.draw(np.random.default_rng(7), 20_000), want.cdf).pvalue > 0.001


def test_jcgm_101_additive_normal():
    """JCGM 101:2008, 9.2.2, four standard normals: y 0.00, u 2.00, 95 % interval [-3.92, 3.92] (from memory; the last is 2 x 1.95996)."""
    drawn = monte_carlo(total, {n: Normal(0.0, 1.0) for n in ONE}, seed=1, trials=4_000_000, interval="symmetric").only
    assert (abs(round(drawn.mean, 2)), round(drawn.standard, 2)) == (0.0, 2.0)
    assert [round(x, 2) for x in drawn.symmetric] == pytest.approx([-3.92, 3.92], abs=0.0051)
    assert drawn.shortest == pytest.approx((-3.92, 3.92), abs=0.05)
    verdict = compare(budget(0.0, ONE, ONE), drawn)
    assert verdict.tolerance == 0.05 and verdict.is_good_enough and verdict.is_certain


def test_jcgm_101_additive_rectangular():
    """9.2.3, four rectangular inputs of standard uncertainty 1: exact end 2 sqrt(3) (2 - (3/5)^(1/4)) = 3.88 against 3.92 of the
    budget, which stands at two digits (3.88 and 3.92 from memory; the exact end derived from the tail (4a - s)^4/(4! (2a)^4))."""
    exact = 2.0 * 3**0.5 * (2.0 - 0.6**0.25)
    drawn = monte_carlo(total, {n: Rectangular(0.0, 3**0.5) for n in ONE}, seed=1, trials=4_000_000, interval="symmetric").only
    assert round(exact, 4) == 3.8794
    assert round(drawn.standard, 2) == 2.0
    assert [round(x, 2) for x in drawn.symmetric] == [-3.88, 3.88]
    assert drawn.shortest == pytest.approx((-exact, exact), abs=0.03)
    gum = budget(0.0, ONE, ONE)
    assert round(gum.expanded, 2) == 3.92
    verdict = compare(gum, drawn)
    assert verdict.is_good_enough and verdict.d_high == pytest.approx(3.91993 - exact, abs=0.005)
    assert not compare(gum, drawn, digits=3).is_good_enough


def test_jcgm_101_one_rectangle_above_all():
    """9.2.4, one rectangle ten times as wide: u 10.1, budget [-19.9, 19.9], simulation [-17.0, 17.0], not validated (from memory)."""
    inputs = {n: Rectangular(0.0, 3**0.5) for n in ("x1", "x2", "x3")} | {"x4": Rectangular(0.0, 10.0 * 3**0.5)}
    drawn = monte_carlo(total, inputs, seed=2, trials=1_000_000, interval="symmetric").only
    gum = budget(0.0, ONE, {n: d.standard for n, d in inputs.items()})
    assert (round(drawn.standard, 1), round(gum.expanded, 1)) == (10.1, 19.9)
    assert drawn.symmetric == pytest.approx((-17.0, 17.0), abs=0.05)
    verdict = compare(gum, drawn)
    assert (verdict.tolerance, verdict.is_good_enough, verdict.is_certain) == (0.5, False, True)
    assert str(verdict).startswith("the linear form is not good enough to 2 digits") and str(verdict).endswith("use the interval of the simulation")


def test_it_draws_until_it_has_settled():
    drawn = monte_carlo(total, {n: Normal(0.0, 1.0) for n in ONE}, seed=4).only
    history = drawn.convergence()
    assert drawn.converged and drawn.interval_kind == "shortest"
    errors = history[["mean_error", "standard_error", "low_error", "high_error"]].max(axis=1)
    assert (errors.iloc[:-1] > history["tolerance"].iloc[:-1]).all() and errors.iloc[-1] <= 0.05  # stops at the first that is good
    assert history["trials"].tolist() == list(range(20_000, drawn.trials + 1, 10_000))
    assert history["standard"].iloc[-1] == pytest.approx(drawn.standard, rel=1e-12) == pytest.approx(2.0, rel=0.02)
    assert history["mean"].iloc[-1] == pytest.approx(drawn.mean, abs=1e-12)
    finer = monte_carlo(total, {n: Normal(0.0, 1.0) for n in ONE}, seed=4, part_of_tolerance=0.2, interval="symmetric").only
    assert finer.trials > drawn.trials and finer.numerical_error <= 0.01
    short = monte_carlo(total, {n: Normal(0.0, 1.0) for n in ONE}, seed=4, most=20_000).only
    assert not short.converged and "not settled" in str(short)
    assert not monte_carlo(total, {n: Normal(0.0, 1.0) for n in ONE}, seed=4, trials=500).only.converged


def test_twice_the_deviation_of_the_means_of_blocks():
    """The first look by hand, from the same two blocks (7.9.4 g)."""
    drawn = monte_carlo(lambda x: x, {"x": Normal(0.0, 1.0)}, seed=9, trials=20_000).only
    rng = np.random.default_rng(9)
    means = [rng.normal(0.0, 1.0, 10_000).mean() for _ in range(2)]
    assert drawn.history[0][5] == pytest.approx(2.0 * np.std(means, ddof=1) / 2**0.5, rel=1e-9)


def test_the_seed_decides_all():
    inputs = {"a": Normal(1.0, 0.1), "b": Triangular(2.0, 0.3)}
    one, same, other = (monte_carlo(lambda a, b: a * b, inputs, seed=s, trials=30_000).only for s in (1, 1, 2))
    assert np.array_equal(one.values, same.values) and one == same
    assert one.mean != other.mean


def test_numerical_tolerance():
    """JCGM 101, 7.9.2: u = 35 g by two digits is 35 x 10^0, tolerance 0.5; 0.09 K is 9 x 10^-2 by one, 0.005; 9.96 is 10 by two."""
    assert [numerical_tolerance(u, n) for u, n in ((35.0, 2), (0.09, 1), (9.96, 2), (0.0, 2))] == pytest.approx([0.5, 0.005, 0.5, 0.0])


def test_intervals_by_hand():
    values = np.arange(1.0, 101.0) ** 2
    assert symmetric_interval(values, 0.9) == (25.0, 95.0**2)  # q = 90, r = 5
    assert shortest_interval(values, 0.9) == (1.0, 91.0**2)  # the squares lie closer below
    rng = np.random.default_rng(1)
    low, high = shortest_interval(rng.exponential(1.0, 200_000), 0.95)
    assert (low, high) == pytest.approx((0.0, -np.log(0.05)), abs=0.03)  # of an exponential: from zero up


def test_correlated_inputs():
    v = np.array([[9.0, -6.0], [-6.0, 16.0]])
    drawn = monte_carlo(lambda a, b, c: {"sum": a + b, "difference": a - b, "c": c}, {"both": Joint({"a": 1.0, "b": 2.0}, v), "c": 3.0}, seed=3, trials=300_000)
    assert drawn["sum"].standard ** 2 == pytest.approx(13.0, rel=0.02)
    assert drawn["difference"].standard ** 2 == pytest.approx(37.0, rel=0.02)
    assert (drawn["c"].mean, drawn["c"].standard) == (3.0, 0.0)
    with pytest.raises(ValueError, match="negative eigenvalue"):
        Joint({"a": 0.0, "b": 0.0}, [[1.0, 2.0], [2.0, 1.0]])
    with pytest.raises(ValueError, match="input 'a' is given twice"):
        monte_carlo(lambda a, b: a, {"both": Joint({"a": 1.0, "b": 2.0}, v), "a": 3.0}, seed=3)


def test_a_calculation_is_a_model():
    dye = monte_carlo(field.clay.methylene_blue, {"dye_volume": OneSided(8.0, 0.5), "sample_volume": 2.0}, seed=1, trials=100_000)
    assert dye["bentonite_equivalent"].mean == pytest.approx(5.0 * 7.75 / 2.0, abs=0.01)
    assert dye["bentonite_equivalent"].standard == pytest.approx(0.36, abs=0.003)  # 1.25 lb/bbl over the root of twelve
    assert dye["bentonite_equivalent"].unit == "lb/bbl"
    assert dye.frame().loc["capacity", "trials"] == 100_000


def test_lists_of_a_calculation_are_drawn_place_by_place():
    reading = [Normal(60.0, 0.5), Normal(40.0, 0.5)]
    drawn = monte_carlo(field.rheology.viscometer, {"speed": [600.0, 300.0], "reading": reading, "gel_10_s": 4.0, "gel_10_min": 6.0, "gel_30_min": 8.0}, seed=1, trials=50_000)
    assert drawn["plastic_viscosity"].standard == pytest.approx(0.5 * 2**0.5, rel=0.02)
    assert drawn["wall_stress_2"].unit == field.rheology.viscometer.results[1].unit


def test_where_the_linear_form_fails():
    """A square at its lowest point: the slope is zero, the budget says certain; the truth is u^2 times chi-square of one degree."""
    gum = budget(0.0, {"x": 0.0}, {"x": 1.0})
    drawn = monte_carlo(lambda x: x * x, {"x": Normal(0.0, 1.0)}, seed=1, trials=1_000_000).only
    verdict = compare(gum, drawn)
    assert not verdict.is_good_enough and verdict.is_certain
    assert drawn.mean == pytest.approx(1.0, abs=0.01) and drawn.standard == pytest.approx(2**0.5, rel=0.01)
    assert drawn.shortest == pytest.approx((0.0, stats.chi2(1).ppf(0.95)), abs=0.03)


def test_solids_split_by_a_wide_capacity_fails_at_the_linear_form():
    """Bentonite where the drilled solids may be anything from 2 to 50 meq/100 g: far from a normal distribution."""
    given = {"capacity": 4.0, "low_gravity_concentration": 60.0}
    split = field.clay.low_gravity_split
    spread = Rectangular(26.0, 24.0)
    gum = uncertainty.of_calculation(split, given | {"drilled_solids_capacity": 26.0}, {"drilled_solids_capacity": spread.standard})
    name = "bentonite_concentration"
    drawn = monte_carlo(split, given | {"drilled_solids_capacity": spread}, seed=1, trials=400_000, interval="symmetric")
    verdict = compare(gum[name], drawn[name])
    assert verdict.is_certain and not verdict.is_good_enough


def test_trials_without_a_result_are_counted():
    drawn = monte_carlo(lambda x: np.where(x < 0.0, np.nan, x), {"x": Normal(0.0, 1.0)}, seed=1, trials=40_000).only
    assert drawn.missing == pytest.approx(20_000, abs=600) and drawn.values.size == 40_000 - drawn.missing
    assert f"{drawn.missing} trials have no result and are left out" in str(drawn)
    with pytest.raises(ValueError, match="20000 of 20000 trials have no result"):
        monte_carlo(lambda x: x * np.nan, {"x": Normal(0.0, 1.0)}, seed=1, trials=20_000)


def test_too_few_trials_do_not_decide():
    drawn = monte_carlo(total, {n: Rectangular(0.0, 3**0.5) for n in ONE}, seed=3, trials=30_000, interval="symmetric").only
    verdict = compare(budget(0.0, ONE, ONE), drawn)
    assert not verdict.is_certain and "too few trials" in str(verdict)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"interval": "middle"}, "interval = 'middle'"),
        ({"coverage": 1.0}, "coverage = 1 is a probability"),
        ({"trials": 1}, "trials = 1"),
        ({"inputs": {"x": "wide"}}, "input 'x' is 'wide'"),
        ({"model": lambda x: np.ones((3, 3))}, r"shape \(3, 3\)"),
    ],
)
def test_wrong_runs_are_refused(more, message):
    given = {"model": lambda x: x, "inputs": {"x": Normal(0.0, 1.0)}, "seed": 1, "trials": 20} | more
    with pytest.raises(ValueError, match=message):
        monte_carlo(**given)
    with pytest.raises(ValueError, match="standard = -1 is negative"):
        Normal(0.0, -1.0)


def test_coverage_must_be_the_same():
    drawn = monte_carlo(lambda x: x, {"x": Normal(0.0, 1.0)}, seed=1, trials=20_000, coverage=0.9).only
    with pytest.raises(ValueError, match="coverage 0.95, the simulation 0.9"):
        compare(budget(0.0, {"x": 1.0}, {"x": 1.0}), drawn)


def test_a_histogram_with_the_budget_beside_it():
    drawn = monte_carlo(lambda x: x, {"x": Normal(0.0, 1.0)}, seed=1, trials=20_000).only
    texts = [t.get_text() for t in drawn.figure(budget(0.0, {"x": 1.0}, {"x": 1.0})).axes[0].get_legend().get_texts()]
    assert texts == ["95 % shortest interval of the draws", "95 % interval of the budget"]
