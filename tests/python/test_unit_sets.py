"""Unit sets: the same record gives the same physics in each, and in sets of one's own."""

import itertools
import pickle

import numpy as np
import pytest

import lutum
from lutum import units

SYSTEMS = ("field", "metric", "si")


def in_system(calculation, system):
    return next(c for c in lutum.catalogue(system) if c.sheet.id == calculation.sheet.id)


def converted(values, from_variables, to_variables):
    return {
        v.name: units.convert(values[v.name], v.unit_symbol, w.unit_symbol)
        for v, w in zip(from_variables, to_variables, strict=True)
        if v.name in values
    }


def test_each_set_gives_the_same_physics(calculation, sample):
    si = in_system(calculation, "si")
    inputs = sample(si, 40, seed=12)
    expected = si(**inputs)
    for system in ("field", "metric"):
        other = in_system(calculation, system)
        results = other(**converted(inputs, si.inputs, other.inputs))
        for v, w, got, want in zip(other.results, si.results, results, expected):
            size = max(np.max(np.abs(x)) for x, u in zip(expected, si.results) if u.quantity == w.quantity)
            back = units.convert(got, v.unit_symbol, w.unit_symbol)
            np.testing.assert_allclose(back, want, rtol=1e-12, atol=1e-12 * size, err_msg=f"{v.name} in {system} units")


def test_each_set_gives_the_same_slopes(calculation, sample):
    si = in_system(calculation, "si")
    inputs = {name: x[0] for name, x in sample(si, 3, seed=13).items()}
    expected = si.gradient(**inputs)

    def factor(v, w):
        return units.convert(1.0, v.unit_symbol, w.unit_symbol) - units.convert(0.0, v.unit_symbol, w.unit_symbol)

    for system in ("field", "metric"):
        other = in_system(calculation, system)
        slopes = other.gradient(**converted(inputs, si.inputs, other.inputs))
        for result, w in zip(other.results, si.results):
            for v, u in zip(other.inputs, si.inputs):
                got = np.asarray(getattr(getattr(slopes, result.name), v.name)) * factor(result, w) / factor(v, u)
                want = np.asarray(getattr(getattr(expected, result.name), v.name))
                np.testing.assert_allclose(got, want, rtol=1e-8, atol=1e-10 * np.max(np.abs(want)), err_msg=f"d {result.name} / d {v.name}")


def test_each_set_agrees_on_limits_and_verdicts(calculation, sample):
    si = in_system(calculation, "si")
    inputs = sample(si, 20, seed=14)
    for system in ("field", "metric"):
        other = in_system(calculation, system)
        for v, w in zip(other.inputs, si.inputs):
            assert units.convert(v.limits[0], v.unit_symbol, w.unit_symbol) == pytest.approx(w.limits[0], rel=1e-12, abs=1e-12)
            assert units.convert(v.validated[1], v.unit_symbol, w.unit_symbol) == pytest.approx(w.validated[1], rel=1e-12)
            if v.default is not None:
                assert units.convert(v.default, v.unit_symbol, w.unit_symbol) == pytest.approx(w.default, rel=1e-12)
        if si.verdicts:
            assert list(other.judge(**converted(inputs, si.inputs, other.inputs))) == list(si.judge(**inputs))


def test_units_shown_are_those_of_the_set(calculation, in_set):
    mine = in_system(calculation, in_set)
    home = lutum.unit_set(in_set)
    for v in (*mine.inputs, *mine.results):
        assert v.unit == home.unit(v.quantity)
        assert v.unit_symbol in units.quantity_units(v.quantity)


def test_the_units_the_trade_expects():
    shown = {q: tuple(lutum.unit_set(s).unit(q) for s in ("field", "metric", "si")) for q in units.quantities()}
    assert shown["density"] == ("lb/gal", "kg/m3", "kg/m3")
    assert shown["concentration"] == ("lb/bbl", "kg/m3", "kg/m3")
    assert shown["ion_concentration"] == ("mg/L", "mg/L", "kg/m3")
    assert shown["length"] == ("ft", "m", "m")
    assert shown["diameter"] == ("in", "mm", "m")
    assert shown["nozzle_diameter"] == ("1/32 in", "mm", "m")
    assert shown["viscosity"] == ("cP", "mPa.s", "Pa.s")
    assert shown["stress"] == ("lb/100 ft2", "Pa", "Pa")
    assert shown["consistency"] == ("lb.s^n/100 ft2", "Pa.s^n", "Pa.s^n")
    assert shown["pressure"] == ("psi", "kPa", "Pa")
    assert shown["pressure_gradient"] == ("psi/ft", "kPa/m", "Pa/m")
    assert shown["flow_rate"] == ("gal/min", "L/min", "m3/s")
    assert shown["mud_volume"] == ("bbl", "m3", "m3")
    assert shown["bench_volume"] == ("mL", "mL", "m3")
    assert shown["temperature"] == ("degF", "degC", "K")


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_quantity_may_have_any_unit_that_measures_it(calculation, sample, system):
    """Every unit of every quantity the calculation uses, one at a time."""
    plain = in_system(calculation, system)
    inputs = {name: x[0] for name, x in sample(plain, 2, seed=15).items()}
    expected = plain(**inputs)
    area, name = calculation.sheet.id.split(".")
    for quantity in {v.quantity for v in (*plain.inputs, *plain.results)}:
        for symbol in units.quantity_units(quantity):
            mine = getattr(getattr(lutum.unit_set(system, **{quantity: symbol}), area), name)
            assert {v.unit_symbol for v in (*mine.inputs, *mine.results) if v.quantity == quantity} == {symbol}
            results = mine(**converted(inputs, plain.inputs, mine.inputs))
            for v, w, got, want in zip(mine.results, plain.results, results, expected):
                size = max(np.max(np.abs(x)) for x, u in zip(expected, plain.results) if u.quantity == w.quantity)
                np.testing.assert_allclose(units.convert(got, v.unit_symbol, w.unit_symbol), want, rtol=1e-11, atol=1e-11 * size)


def test_trade_spellings_choose_units():
    mine = lutum.unit_set("metric", density="SG", pressure="bar", temperature="degF")
    assert mine.unit("density") == "g/cm3" and mine.unit("pressure") == "bar"
    brine = mine.brine.sodium_chloride(chloride=0.0, temperature=68.0)
    assert brine.density == pytest.approx(0.9982041, abs=1e-7)


@pytest.mark.parametrize(
    ("replaced", "complaint"),
    [
        ({"density": "psi"}, "'psi' does not measure density.*g/cm3"),
        ({"density": "psi/ft"}, "does not measure density"),
        ({"ion_concentration": "ppm"}, "does not measure ion_concentration"),
        ({"density": "furlong"}, "furlong.*unknown"),
        ({"densty": "kg/m3"}, "'densty' is unknown; known are.*density"),
    ],
)
def test_a_wrong_unit_is_refused(replaced, complaint):
    with pytest.raises(ValueError, match=complaint):
        lutum.unit_set("field", **replaced)


def test_an_unknown_set_is_refused():
    with pytest.raises(ValueError, match="'imperial' is unknown; choose field, metric or si"):
        lutum.unit_set("imperial")


def test_sets_compare_and_hash_by_their_units():
    sets = [lutum.unit_set(system, **replaced) for system, replaced in itertools.product(SYSTEMS, ({}, {"density": "g/cm3"}, {"pressure": "bar"}))]
    assert len({*sets, *(lutum.unit_set(s.system, **s.replaced) for s in sets)}) == len(sets)
    assert lutum.unit_set("field") == lutum.field.units_of_set != lutum.unit_set("metric")
    assert repr(sets[1]) == "lutum.unit_set('field', density='g/cm3')"
    assert eval(repr(sets[1])) == sets[1]
    assert pickle.loads(pickle.dumps(sets[1])) == sets[1]
    assert pickle.loads(pickle.dumps(sets[0])) is lutum.field.units_of_set


def test_iterating_a_set_gives_its_calculations():
    assert [c.sheet.id for c in lutum.unit_set("metric", density="g/cm3")] == [c.sheet.id for c in lutum.catalogue()]


def test_areas_and_calculations_are_listed():
    from lutum import field

    assert {"clay", "unit"} <= set(dir(field))
    assert dir(field.clay) == sorted(c.sheet.id.removeprefix("clay.") for c in lutum.catalogue() if c.sheet.id.startswith("clay."))
    with pytest.raises(AttributeError, match="no calculation 'mbt'; it has methylene_blue, "):
        _ = field.clay.mbt
    with pytest.raises(AttributeError, match="no area 'clays'; it has clay, brine"):
        _ = field.clays
    with pytest.raises(AttributeError, match="no attribute 'imperial'"):
        _ = lutum.imperial
