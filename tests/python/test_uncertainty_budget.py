"""Budgets against the worked examples of JCGM 100 (GUM), annex H, and against sums by hand."""

from math import cos, inf, sin

import numpy as np
import pytest

from lutum import field, uncertainty
from lutum.uncertainty import budget, budgets

# JCGM 100:2008 annex H, as worked in the documentation of a general metrology library (GUM_H1, GUM_H2, GUM_H3) where marked seen


def end_gauge():
    """H.1: an end gauge of 50 mm, components of 25, 5.8, 3.9, 6.7, 2.9 and 16.6 nm with degrees of freedom (seen)."""
    length, alpha, theta = 50_000_623.0, 11.5e-6, -0.1  # nm, 1/degC, degC
    standard = {"standard": 25.0, "repeats": 5.8, "random": 3.9, "systematic": 6.7, "expansion": 1e-6 / 3**0.5, "temperature": 0.05 / 3**0.5}
    slopes = dict.fromkeys(("standard", "repeats", "random", "systematic"), 1.0)
    slopes |= {"expansion": -length * theta, "temperature": -length * alpha}
    freedom = {"standard": 18.0, "repeats": 24.0, "random": 5.0, "systematic": 8.0, "expansion": 50.0, "temperature": 2.0}
    return budget(length + 215.0, slopes, standard, degrees_of_freedom=freedom, coverage=0.99, unit="nm", name="length")


def test_gum_h1_end_gauge():
    """Printed: 50 000 838 nm, u 32 nm (seen); effective degrees of freedom 16.7, t99(16) = 2.92, U99 = 2.92 x 32 nm = 93 nm (from memory)."""
    b = end_gauge()
    assert b.value == 50_000_838.0
    assert round(b.combined) == 32
    assert b.degrees_of_freedom == pytest.approx(16.75, abs=0.005)
    assert round(b.coverage_factor, 2) == 2.92
    assert round(round(b.coverage_factor, 2) * round(b.combined)) == 93  # the guide multiplies what it has rounded
    assert b.expanded == pytest.approx(92.5, abs=0.1)
    printed = {"standard": 25.0, "expansion": 2.9, "temperature": -16.6}
    assert {c.name: round(c.contribution, 1) for c in b.contributions if c.name in printed} == printed
    assert str(b).startswith("length = (50000838 ± 92) nm, k = 2.92, coverage 99 %, effective degrees of freedom 16.8; variance from standard 62 %")


def test_gum_h1_from_its_rounded_components():
    """H.1.6: 25, 9.7, 2.9 and 16.6 nm with 18, 25.6, 50 and 2 degrees of freedom: printed 16.7, of which 16 count (from memory)."""
    standard = {"standard": 25.0, "difference": 9.7, "expansion": 2.9, "temperature": 16.6}
    freedom = {"standard": 18.0, "difference": 25.6, "expansion": 50.0, "temperature": 2.0}
    b = budget(50_000_838.0, dict.fromkeys(standard, 1.0), standard, degrees_of_freedom=freedom, coverage=0.99, unit="nm")
    assert (round(b.combined), round(b.coverage_factor, 2)) == (32, 2.92)
    fourth = b.combined**4 / b.degrees_of_freedom
    assert round(1002.0**2 / fourth, 1) == 16.7  # the guide squares its rounded variance of 1002 nm2; ours is 1003


def test_welch_and_satterthwaite_by_hand():
    b = budget(1.0, {"a": 1.0, "b": -2.0}, {"a": 3.0, "b": 2.0}, degrees_of_freedom={"a": 4.0, "b": 7.0})
    assert b.combined == 5.0
    assert b.degrees_of_freedom == pytest.approx(625.0 / (81.0 / 4.0 + 256.0 / 7.0), rel=1e-14)  # 10.9996, of which 10 count
    assert not b.is_approximate
    assert b.coverage_factor == pytest.approx(2.228, abs=5e-4)  # t-table, 95 %, 10 degrees of freedom (from memory)
    some = budget(1.0, {"a": 1.0, "b": -2.0}, {"a": 3.0, "b": 2.0}, degrees_of_freedom={"a": 4.0})
    assert some.degrees_of_freedom == pytest.approx(625.0 / (81.0 / 4.0), rel=1e-14)
    normal = budget(1.0, {"a": 1.0}, {"a": 3.0})
    assert normal.degrees_of_freedom == inf and normal.coverage_factor == pytest.approx(1.959964, abs=1e-6)


# H.2, five simultaneous readings of a voltage (V), a current (A) and their phase (rad); from memory
VOLTS = [5.007, 4.994, 5.005, 4.990, 4.999]
AMPERES = [0.019663, 0.019639, 0.019640, 0.019685, 0.019678]
PHASES = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]


def impedance(v, i, phi, u, r):
    slopes = {
        "R": {"V": cos(phi) / i, "I": -v * cos(phi) / i**2, "phi": -v * sin(phi) / i},
        "X": {"V": sin(phi) / i, "I": -v * sin(phi) / i**2, "phi": v * cos(phi) / i},
        "Z": {"V": 1.0 / i, "I": -v / i**2, "phi": 0.0},
    }
    return budgets({"R": v / i * cos(phi), "X": v / i * sin(phi), "Z": v / i}, slopes, u, correlation=r)


def test_gum_h2_from_the_readings():
    """Printed: 127.732, 219.847, 254.260 ohm with 0.071, 0.295, 0.236 ohm; r -0.588, -0.485, 0.993 (from memory).

    The 0.295 is 0.2956 by propagation and 0.2955 by the scatter of the five reactances, each from its own readings.
    """
    readings = np.array([VOLTS, AMPERES, PHASES])
    means, spread = readings.mean(axis=1), readings.std(axis=1, ddof=1) / 5**0.5
    assert means == pytest.approx([4.9990, 19.6610e-3, 1.04446], abs=1e-9)
    found = impedance(*means, dict(zip(("V", "I", "phi"), spread)), np.corrcoef(readings))
    assert [round(found[n].value, 3) for n in "RXZ"] == [127.732, 219.847, 254.260]
    assert [round(found[n].combined, 3) for n in "RZ"] == [0.071, 0.236]
    each = readings[0] / readings[1] * np.sin(readings[2])
    assert round(each.std(ddof=1) / 5**0.5, 3) == 0.295 and found["X"].combined == pytest.approx(0.2955, abs=2e-4)
    pairs = [round(found.correlation(*pair), 3) for pair in ("RX", "RZ", "XZ")]
    assert pairs == [-0.588, -0.485, 0.993]


def test_gum_h2_from_the_printed_uncertainties():
    """V 4.999(32), I 19.661(95), phi 1.04446(75), r -0.36, 0.86, -0.65: R 127.732(70), X 219.85(30), Z 254.26(24), r -0.59, -0.49, +0.99 (seen)."""
    r = {("V", "I"): -0.36, ("V", "phi"): 0.86, ("I", "phi"): -0.65}
    found = impedance(4.999, 19.661e-3, 1.04446, {"V": 0.0032, "I": 0.0095e-3, "phi": 0.00075}, r)
    assert (round(found["R"].combined, 3), round(found["X"].combined, 2), round(found["Z"].combined, 2)) == (0.070, 0.30, 0.24)
    assert [round(found.correlation(*pair), 2) for pair in ("RX", "RZ", "XZ")] == [-0.59, -0.49, 0.99]
    shares = [c.share for c in found["R"].contributions] + [p.share for p in found["R"].pairs]
    assert sum(shares) == pytest.approx(1.0, rel=1e-12)
    assert found["R"].correlated_share == pytest.approx(1.0 - sum(c.share for c in found["R"].contributions), rel=1e-9)
    assert "V with phi" in str(found["R"]) and not found["R"].is_approximate


# H.3, readings of a thermometer and the corrections found, degC; seen
TEMPERATURES = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511])
CORRECTIONS = np.array([-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160])


def test_gum_h3_thermometer():
    """Printed: -0.1712(29) degC, 0.00218(67), r -0.930, correction at 30 degC -0.1494(41) degC (seen)."""
    design = np.column_stack([np.ones(11), TEMPERATURES - 20.0])
    weights = np.linalg.pinv(design)  # of each correction in intercept and slope
    fitted = weights @ CORRECTIONS
    residual = float(np.sum((CORRECTIONS - design @ fitted) ** 2))
    names = [f"b{i}" for i in range(1, 12)]
    line = budgets(
        {"y1": fitted[0], "y2": fitted[1]}, {"y1": dict(zip(names, weights[0])), "y2": dict(zip(names, weights[1]))},
        dict.fromkeys(names, (residual / 9.0) ** 0.5),
    )  # fmt: skip
    assert (round(line["y1"].value, 4), round(line["y1"].combined, 4)) == (-0.1712, 0.0029)
    assert (round(line["y2"].value, 5), round(line["y2"].combined, 5)) == (0.00218, 0.00067)
    assert round(line.correlation("y1", "y2"), 3) == -0.930
    at_30 = budget(
        fitted[0] + 10.0 * fitted[1], {"y1": 1.0, "y2": 10.0}, {n: line[n].combined for n in ("y1", "y2")},
        correlation={("y1", "y2"): line.correlation("y1", "y2")}, degrees_of_freedom={"y1": 9.0, "y2": 9.0},
    )  # fmt: skip
    assert (round(at_30.value, 4), round(at_30.combined, 4)) == (-0.1494, 0.0041)
    assert at_30.is_approximate and "approximate" in str(at_30)


def test_correlation_adds_and_cancels():
    one = {"a": 1.0, "b": 1.0}
    assert budget(0.0, one, {"a": 3.0, "b": 4.0}, correlation={("a", "b"): 1.0}).combined == pytest.approx(7.0)
    cancelled = budget(0.0, one, {"a": 3.0, "b": 4.0}, correlation={("b", "a"): -1.0})
    assert cancelled.combined == pytest.approx(1.0) and cancelled.correlated_share == pytest.approx(-24.0)


def test_a_calculation_from_its_gradient():
    """Methylene blue by hand: capacity = dye/sample, so u = root of (u_dye/sample)^2 + (dye u_sample/sample^2)^2."""
    found = uncertainty.of_calculation(field.clay.methylene_blue, {"dye_volume": 5.0, "sample_volume": 2.0}, {"dye_volume": 0.3, "sample_volume": 0.05})
    assert found["capacity"].combined == pytest.approx(np.hypot(0.15, 5.0 * 0.05 / 4.0), rel=1e-12)
    assert found["bentonite_equivalent"].combined == pytest.approx(5.0 * found["capacity"].combined, rel=1e-12)
    assert found.correlation("capacity", "bentonite_equivalent") == pytest.approx(1.0)
    assert (found["capacity"].unit, list(found)) == ("meq/100 mL", ["capacity", "bentonite_equivalent"])


def test_the_published_retort_without_redundancy():
    """Density 1.500(10) g/cm3, water 76.0(10) %, oil 3.0(5) %, chloride 50 000(1500) mg/L: low-gravity solids 9.02 with 2.36 vol %,
    high-gravity 9.94 with 1.30 (derived: reference case of the direct balance, numerical Jacobian)."""
    from lutum import metric

    given = {
        "mud_density": 1500.0, "water_fraction": 76.0, "oil_fraction": 3.0, "chloride": 50_000.0,
        "oil_density": 840.0, "low_gravity_density": 2600.0, "high_gravity_density": 4200.0, "temperature": 20.0,
    }  # fmt: skip
    standard = {"mud_density": 10.0, "water_fraction": 1.0, "oil_fraction": 0.5, "chloride": 1500.0}
    found = uncertainty.of_calculation(metric.solids.water_base_retort, given, standard)
    assert found["low_gravity_fraction"].combined == pytest.approx(2.36, abs=0.01)
    assert found["high_gravity_fraction"].combined == pytest.approx(1.295, abs=0.01)
    assert found["low_gravity_fraction"].value == pytest.approx(9.02, abs=0.05)
    assert found.correlation("low_gravity_fraction", "high_gravity_fraction") < -0.85


def test_lists_have_a_place_each():
    given = {"speed": [600.0, 300.0, 6.0], "reading": [60.0, 40.0, 5.0], "temperature": 120.0}
    found = uncertainty.of_calculation(field.rheology.viscometer, given, {"reading": 0.5})
    assert found["plastic_viscosity"].combined == pytest.approx(0.5 * 2**0.5, rel=1e-12)
    assert [c.name for c in found["plastic_viscosity"].contributions] == ["reading_1", "reading_2", "reading_3"]
    one = uncertainty.of_calculation(field.rheology.viscometer, given, {"reading_2": 0.5})
    assert one["plastic_viscosity"].combined == pytest.approx(0.5, rel=1e-12)
    assert one["wall_stress_1"].combined == 0.0 and one["wall_stress_2"].combined > 0.0
    shared = uncertainty.of_calculation(field.rheology.viscometer, given, {"reading": [0.6, 0.4, 0.05]}, correlation=np.ones((3, 3)))
    assert shared["plastic_viscosity"].combined == pytest.approx(0.2, rel=1e-12)  # all dials 1 % high: 1 % of 20 cP
    assert "gel_strength_10_s" not in found  # missing: no budget
    with pytest.raises(ValueError, match="places 1 to 3, not 4"):
        uncertainty.of_calculation(field.rheology.viscometer, given, {"reading_4": 0.5})
    with pytest.raises(ValueError, match="reading_1 is given twice"):
        uncertainty.of_calculation(field.rheology.viscometer, given, {"reading": 0.5, "reading_1": 0.5})
    with pytest.raises(ValueError, match="no input 'dial'"):
        uncertainty.of_calculation(field.rheology.viscometer, given, {"dial": 0.5})


def test_a_chain_keeps_what_is_correlated():
    """Brine made from chloride, taken apart again: mass per volume is slope times chloride whatever lies between."""
    from uncertainties import ufloat

    chloride = ufloat(70_000.0, 1000.0, "chloride")
    brine = field.brine.sodium_chloride(chloride=chloride)
    b = uncertainty.of_linear(2.0 * brine.mass_fraction * brine.density, unit="lb", name="salt")
    assert b.combined / b.value == pytest.approx(1000.0 / 70_000.0, rel=1e-9)
    assert [c.name for c in b.contributions if c.share > 0.999] == ["chloride"]
    with pytest.raises(ValueError, match="has no tag"):
        uncertainty.of_linear(2.0 * ufloat(1.0, 0.1))


def test_a_budget_as_table_and_figure():
    b = end_gauge()
    frame = b.frame()
    assert frame["input"].iloc[0] == "standard" and frame["share"].sum() == pytest.approx(1.0)
    assert frame["share"].is_monotonic_decreasing
    lines = b.markdown().splitlines()
    assert lines[0].endswith("combined standard uncertainty 31.66 nm") and "| standard | 25 | 1 | 18 | 25 |  | 62.3 % |" in lines
    texts = [t.get_text() for t in b.figure().axes[0].texts]
    assert texts[0] == "62.3 %" and len(texts) == len(b.contributions)
    everything = impedance(4.999, 19.661e-3, 1.04446, {"V": 0.0032, "I": 0.0095e-3, "phi": 0.00075}, {("V", "phi"): 0.86})
    assert set(everything.frame()["result"]) == set("RXZ")
    assert any(t.get_text().startswith("-") for t in everything["R"].figure().axes[0].texts)


def test_nothing_uncertain_is_certain():
    b = budget(3.0, {"a": 0.0}, {"a": 1.0}, unit="mL")
    assert (b.combined, b.expanded, b.contributions[0].share) == (0.0, 0.0, 0.0)
    assert str(b) == "3 mL, no uncertainty"


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"standard": {"a": -1.0, "b": 1.0}}, "standard uncertainty of a = -1.0 is negative"),
        ({"standard": {"a": float("nan"), "b": 1.0}}, "standard uncertainty of a = nan"),
        ({"standard": {"a": 1.0}}, "'b' has no standard uncertainty"),
        ({"standard": {"a": 1.0, "b": 1.0, "c": 1.0}}, "'c' has no sensitivity"),
        ({"degrees_of_freedom": {"a": 0.0}}, "degrees_of_freedom of a = 0.0"),
        ({"degrees_of_freedom": {"d": 3.0}}, "degrees_of_freedom of 'd'"),
        ({"correlation": {("a", "b"): 1.2}}, "correlation of a and b = 1.2 must lie between -1 and 1"),
        ({"correlation": {("a", "c"): 0.2}}, "'c' has no standard uncertainty"),
        ({"correlation": np.array([[1.0, 0.5], [0.4, 1.0]])}, "symmetric"),
        ({"correlation": np.eye(3)}, r"shape \(3, 3\)"),
        ({"coverage": 95.0}, "coverage = 95 is a probability"),
        ({"value": float("nan")}, "value is missing"),
    ],
)
def test_wrong_budgets_are_refused(more, message):
    given = {"value": 1.0, "sensitivities": {"a": 1.0, "b": 1.0}, "standard": {"a": 1.0, "b": 1.0}} | more
    with pytest.raises(ValueError, match=message):
        budget(**given)


def test_correlations_that_contradict_each_other():
    r = {("a", "b"): 0.9, ("b", "c"): 0.9, ("a", "c"): -0.9}
    one = dict.fromkeys("abc", 1.0)
    with pytest.raises(ValueError, match="contradict each other"):
        budget(1.0, one, one, correlation=r)
