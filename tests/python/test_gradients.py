"""Exact derivatives against differences, and missing values against derivatives, for every calculation."""

import numpy as np
import pytest

import lutum

RECORDS = 30


def record_of(inputs, i):
    return {name: np.array(x[i], float) for name, x in inputs.items()}


def moved(record, name, place, step):
    """The record with one number of it moved."""
    x = record[name].copy()
    x[place] += step
    return record | {name: x}


def numbers_of(record):
    """(input name, place in its list or ()) of every number of a record."""
    return [(name, place) for name, x in record.items() for place in np.ndindex(x.shape)]


def slope_of(slopes, result, name, place):
    """d result / d input as an array shaped like the result; the last axis of a list's slope counts the input's elements."""
    block = np.asarray(getattr(getattr(slopes, result), name))
    return block[(..., *place)]


def step_for(v, x):
    """Small against the number, and against a millionth for lists: a reading is found by its speed within that."""
    return (4e-7 if v.is_list else 1e-5) * abs(x)


def test_against_central_differences(calculation, in_set, sample):
    calculation = next(c for c in lutum.catalogue(in_set) if c.sheet.id == calculation.sheet.id)
    inputs = sample(calculation, RECORDS, seed=6)
    variables = {v.name: v for v in calculation.inputs}
    worst = 0.0
    for i in range(RECORDS):
        record = record_of(inputs, i)
        values, slopes = calculation(**record), calculation.gradient(**record)
        for name, place in numbers_of(record):
            x = record[name][place]
            h = step_for(variables[name], x)
            around = [calculation(**moved(record, name, place, step)) for step in (h, -h, h / 2, -h / 2)]
            for w, value, *at in zip(calculation.results, values, *around):
                wide, narrow = (np.subtract(at[k], at[k + 1]) / (2 * h / (1 + k / 2)) for k in (0, 2))
                difference = (4 * narrow - wide) / 3  # Richardson: exact to the fourth power of the step
                slope = slope_of(slopes, w.name, name, place)
                noise = 1e-14 * np.max(np.abs(value)) / h
                allowed = 1e-7 * np.abs(slope) + 20 * noise + np.abs(narrow - wide) / 10 + 1e-300  # a part that is not there has no slope
                worst = max(worst, np.max(np.abs(slope - difference) / allowed))
                assert np.all(np.abs(slope - difference) <= allowed), f"d {w.name} / d {name}{place} = {slope}, difference {difference}"
    assert worst > 0.0  # a difference that never differs was never taken


def test_rows_of_a_batch_have_the_gradient_of_the_record(calculation, sample):
    if calculation._bound.gradient is None:
        pytest.skip("the gradient of a table is of one record")
    inputs = sample(calculation, RECORDS, seed=7)
    together = calculation.gradient(**inputs)
    for i in range(RECORDS):
        alone = calculation.gradient(**record_of(inputs, i))
        for w in calculation.results:
            for v in calculation.inputs:
                want = getattr(getattr(alone, w.name), v.name)
                assert np.array_equal(np.asarray(getattr(getattr(together, w.name), v.name))[i], want, equal_nan=True), (w.name, v.name)


def test_values_beside_a_gradient_are_the_plain_ones(calculation, sample):
    if calculation._bound.gradient is None:
        pytest.skip("a table")
    inputs = sample(calculation, RECORDS, seed=8)
    beside = calculation._bound.gradient(*(inputs[v.name] for v in calculation.inputs))[:-1]
    for value, want in zip(beside, calculation(**inputs)):
        assert np.array_equal(value, want, equal_nan=True)


def test_missing_in_missing_out(calculation, sample):
    """Each number missing in turn: a result that hangs on it is missing, any other keeps its bits."""
    spoiled_once = set()
    every_choice = [calculation] if calculation.option is None else [calculation.choosing(c) for c in calculation.option.choices]
    for chosen, i in ((c, i) for c in every_choice for i in range(RECORDS)):
        record = record_of(sample(chosen, RECORDS, seed=9), i)
        values, slopes = chosen(**record), chosen.gradient(**record)
        for name, place in numbers_of(record):
            if next(v for v in calculation.inputs if v.name == name).gaps:
                continue  # the others are used
            gone = chosen(**moved(record, name, place, np.nan))
            for w, value, left in zip(calculation.results, values, gone):
                depends = np.atleast_1d(slope_of(slopes, w.name, name, place) != 0)
                left, value = np.atleast_1d(left), np.atleast_1d(value)
                assert np.all(np.isnan(left[depends])), f"{w.name} is {left} without {name}{place}, on which it depends"
                kept = ~np.isnan(left)
                assert np.array_equal(left[kept], value[kept]), f"{w.name} changes from {value} to {left} without {name}{place}"
                if depends.any():
                    spoiled_once.add(w.name)
    assert spoiled_once == {w.name for w in calculation.results} - {"readings_used"}  # a count has no slope


def test_missing_in_missing_out_over_rows(calculation, sample):
    inputs = sample(calculation, 40, seed=10)
    whole = calculation(**inputs)
    gaps = np.arange(40) % 3 == 1
    for v in calculation.inputs:
        holed = inputs[v.name].copy()
        holed[gaps] = np.nan
        for w, full, left in zip(calculation.results, whole, calculation(**(inputs | {v.name: holed}))):
            assert np.array_equal(left[~gaps], full[~gaps], equal_nan=True), w.name
            in_gaps = left[gaps]
            assert np.all(np.isnan(in_gaps) | (in_gaps == full[gaps])), w.name
    everything = calculation(**{name: np.full_like(x, np.nan) for name, x in inputs.items()})
    assert all(np.isnan(x).all() for x in everything)
