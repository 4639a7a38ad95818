"""Uncertainty by the law of propagation, and correlation kept through the uncertainties package."""

import numpy as np
import pandas as pd
import pytest

import lutum
from lutum import _core, field

uncertainties = pytest.importorskip("uncertainties")
ufloat = uncertainties.ufloat


def plain_inputs(calculation):
    return [v.name for v in calculation.inputs if not v.is_list and calculation.example[v.name] == calculation.example[v.name]]


def standard_of(calculation, share=0.01):
    return {name: share * abs(calculation.example[name]) + 1e-3 for name in plain_inputs(calculation)}


def test_contributions_are_slopes_times_standards(calculation):
    if calculation.has_lists:
        with pytest.raises(ValueError, match="plain numbers"):
            calculation.uncertainty(**calculation.example, standard={})
        return
    standard = standard_of(calculation)
    answers = calculation.uncertainty(**calculation.example, standard=standard)
    slopes = calculation.gradient(**calculation.example)
    for v, value, answer, slope in zip(calculation.results, calculation(**calculation.example), answers, slopes):
        assert answer.value == value, v.name
        for name, u in standard.items():
            assert answer.contributions[name] == pytest.approx(abs(getattr(slope, name)) * u, rel=1e-15)
        assert answer.combined == pytest.approx(np.sqrt(sum(c**2 for c in answer.contributions.values())), rel=1e-14)
        assert (answer.coverage_factor, answer.expanded) == (2.0, 2.0 * answer.combined)


def test_against_random_draws(calculation):
    """Small scatter of all inputs at once spreads the results as the law of propagation says."""
    if calculation.has_lists:
        pytest.skip("lists")
    rng = np.random.default_rng(16)
    example = calculation.example
    standard = {name: 1e-5 * abs(x) for name, x in example.items()}
    answers = calculation.uncertainty(**example, standard=standard)
    cloud = calculation(**{name: x + standard[name] * rng.standard_normal(20_000) for name, x in example.items()})
    for v, answer, drawn in zip(calculation.results, answers, cloud):
        assert np.std(drawn) == pytest.approx(answer.combined, rel=0.03), v.name


def test_numbers_with_uncertainty_carry_it_through(calculation):
    names = plain_inputs(calculation)
    standard = standard_of(calculation)
    nominal = calculation.example
    results = calculation(**(nominal | {name: ufloat(nominal[name], standard[name]) for name in names}))
    slopes = calculation.gradient(**nominal)
    for v, got, plain, slope in zip(calculation.results, results, calculation(**nominal), slopes):
        want = np.sqrt(sum((np.asarray(getattr(slope, name)) * standard[name]) ** 2 for name in names))
        for cell, value, spread in zip(np.atleast_1d(got), np.atleast_1d(plain), np.broadcast_to(want, np.shape(np.atleast_1d(plain)))):
            assert cell.nominal_value == value, v.name
            assert cell.std_dev == pytest.approx(spread, rel=1e-12, abs=1e-300)


def test_what_comes_from_one_reading_stays_together(calculation):
    """x - x is certain: two results of the same numbers are one."""
    names = plain_inputs(calculation)
    inputs = calculation.example | {name: ufloat(calculation.example[name], 0.01 * abs(calculation.example[name]) + 1e-3) for name in names}
    for one, other in zip(calculation(**inputs), calculation(**inputs)):
        for x, y in zip(np.atleast_1d(one), np.atleast_1d(other)):
            assert (x - y).std_dev == 0.0
    fresh = calculation.example | {name: ufloat(calculation.example[name], 0.01 * abs(calculation.example[name]) + 1e-3) for name in names}
    spread = [(np.atleast_1d(a)[0] - np.atleast_1d(b)[0]).std_dev for a, b in zip(calculation(**inputs), calculation(**fresh))]
    assert max(spread) > 0.0 or any(v.gaps for v in calculation.inputs)  # a fit may hang on nothing but its readings


def test_a_chain_of_calculations_keeps_correlation():
    """The brine taken apart and put together again: its mass is certain though its parts are not."""
    brine = field.brine.sodium_chloride(chloride=ufloat(70000.0, 1000.0))
    salt = brine.mass_fraction / 100 * brine.density
    assert salt.std_dev > 0
    difference = salt - brine.salt_concentration * lutum.units.convert(1.0, "mg/L", "lb/gal")
    assert abs(difference.nominal_value) < 1e-14 and difference.std_dev < 1e-14


def test_columns_have_uncertainties_row_by_row():
    frame = pd.DataFrame({"dye": [4.0, 6.0]}, index=["a", "b"])
    answer = field.clay.methylene_blue.uncertainty(frame["dye"], 1.0, standard={"dye_volume": 0.3}).capacity
    assert answer.value.index.tolist() == ["a", "b"]
    assert answer.combined.tolist() == pytest.approx([0.3, 0.3])


def test_nothing_uncertain_is_certain():
    answer = field.clay.methylene_blue.uncertainty(5.0, 1.0, standard={}).capacity
    assert (answer.value, answer.combined, answer.expanded, answer.contributions) == (5.0, 0.0, 0.0, {})


def test_budgets_of_a_column_read_well():
    answer = field.clay.methylene_blue.uncertainty([4.0, 6.0], 1.0, standard={"sample_volume": 0.05}).capacity
    assert str(answer) == "2 values, combined uncertainty 0.2 to 0.3 meq/100 mL"
    assert str(field.clay.methylene_blue.uncertainty(5.0, 1.0, standard={}).capacity) == "5 meq/100 mL, no uncertainty"


def test_a_budget_reads_well():
    answer = field.clay.methylene_blue.uncertainty(5.0, 1.0, standard={"dye_volume": 0.3, "sample_volume": 0.05}).capacity
    assert str(answer) == "(5.00 ± 0.78) meq/100 mL, k = 2; variance from dye_volume 59 %, sample_volume 41 %"


def test_wrong_standards_are_refused():
    with pytest.raises(ValueError, match="no input 'dye'; it has dye_volume"):
        field.clay.methylene_blue.uncertainty(5.0, 1.0, standard={"dye": 0.3})
    with pytest.raises(ValueError, match="dye_volume = -0.3 is negative"):
        field.clay.methylene_blue.uncertainty(5.0, 1.0, standard={"dye_volume": -0.3})


def test_a_frame_gives_columns_of_uncertainty():
    frame = pd.DataFrame({"dye_volume": [5.0, 6.0], "sample_volume": [1.0, 2.0]}, index=["a", "b"])
    budget = lutum.field.clay.methylene_blue.uncertainty(frame, standard={"dye_volume": 0.1}).bentonite_equivalent
    assert budget.combined.to_dict() == pytest.approx({"a": 0.5, "b": 0.25})
    assert "2 values" in str(budget)
    with pytest.raises(ValueError, match="missing"):
        lutum.field.clay.methylene_blue.uncertainty(frame, standard={"dye_volume": float("nan")})


def test_covariances_propagate():
    jacobian = np.array([[1.0, 2.0], [0.0, 3.0]])
    covariance = np.array([[0.5, 0.1], [0.1, 0.2]])
    np.testing.assert_allclose(_core.propagate(jacobian, covariance), jacobian @ covariance @ jacobian.T, rtol=1e-15)
    with pytest.raises(ValueError, match="square"):
        _core.propagate(jacobian, np.ones((2, 3)))
