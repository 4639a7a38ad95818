"""Wrong input of every kind is told in words that name the input, and never guessed at."""

import datetime

import numpy as np
import pandas as pd
import pytest

import lutum
from lutum import field

NO_NUMBERS = {
    "text": "5",
    "bytes": b"5",
    "empty text": "",
    "complex": 1 + 2j,
    "complex array": np.array([1 + 2j, 1.0]),
    "list with text": [1.0, "2"],
    "Series of text": pd.Series(["5", "6"]),
    "Series with one text": pd.Series([5.0, "x"], dtype=object),
    "date": datetime.date(2026, 1, 1),
    "dates": np.array(["2026-01-01"], "M8[D]"),
    "dictionary": {"a": 1},
    "set": {1.0},
    "function": len,
    "ragged": [[1.0, 2.0], [3.0]],
}


def first_plain(calculation):
    return next(v for v in calculation.inputs if not v.is_list)


@pytest.mark.parametrize("wrong", NO_NUMBERS.values(), ids=NO_NUMBERS.keys())
def test_what_is_no_number(calculation, wrong):
    v = first_plain(calculation)
    for method in (calculation, calculation.gradient, calculation.check):
        with pytest.raises(ValueError, match=f"{calculation.sheet.id}: {v.name} must be a number or an array of numbers, not"):
            method(**(calculation.example | {v.name: wrong}))


def test_the_offending_cell_is_named():
    with pytest.raises(ValueError, match="not 'high'; read the column with lutum.records"):
        field.clay.methylene_blue(pd.Series([5.0, "high"], dtype=object), 1.0)
    with pytest.raises(ValueError, match="not 'high'$"):
        field.clay.methylene_blue([5.0, "high"], 1.0)


def test_a_required_input_left_out(calculation):
    for v in calculation.inputs:
        record = {name: x for name, x in calculation.example.items() if name != v.name}
        if not v.required:
            calculation(**record)
            continue
        for method in (calculation, calculation.gradient, calculation.check, calculation.work):
            with pytest.raises(TypeError) as caught:
                method(**record)
            assert v.name in str(caught.value) and v.meaning in str(caught.value) and (v.unit or "plain numbers") in str(caught.value)


def test_an_unknown_input(calculation):
    with pytest.raises(TypeError, match="density_of_mud"):
        calculation(**calculation.example, density_of_mud=9.0)


def test_too_many_inputs(calculation):
    with pytest.raises(TypeError):
        calculation(*calculation.example.values(), 1.0)


def test_columns_of_unlike_length(calculation):
    plain = [v for v in calculation.inputs if not v.is_list][:2]
    if len(plain) < 2:
        pytest.skip("one column only")
    record = calculation.example
    wrong = {plain[0].name: [record[plain[0].name]] * 2, plain[1].name: [record[plain[1].name]] * 3}
    with pytest.raises(ValueError, match=f"columns of unlike length: {plain[0].name} 2, {plain[1].name} 3"):
        calculation(**(record | wrong))


def test_lists(calculation):
    lists = [v for v in calculation.inputs if v.is_list]
    if not lists:
        pytest.skip("no list")
    v, record = lists[0], calculation.example
    with pytest.raises(ValueError, match=f"{v.name} must be a list, last axis the values of one record, not the single number 3.0"):
        calculation(**(record | {v.name: 3.0}))
    if len(lists) > 1:
        with pytest.raises(ValueError, match=f"{lists[1].name} has {len(record[v.name]) - 1} values a record where {v.name} has"):
            calculation(**(record | {lists[1].name: record[lists[1].name][:-1]}))
    if v.length > 1:
        long = {w.name: np.resize(record[w.name], v.length + 1) for w in lists}
        with pytest.raises(ValueError, match=f"{v.name} holds at most {v.length} values a record; {v.length + 1} were given"):
            calculation(**(record | long))


def test_infinity_is_outside_or_a_number(calculation):
    """No input may be infinite where a limit bounds it."""
    v = first_plain(calculation)
    for value in (np.inf, -np.inf):
        with pytest.raises(ValueError, match="outside its limit"):
            calculation(**(calculation.example | {v.name: value}))
    many = calculation(**(calculation.example | {v.name: [np.inf, calculation.example[v.name]]}))
    assert not any(np.isinf(x).any() for x in many)


def test_no_result_is_infinite_over_odd_corners(sample, calculation):
    """Every input at both ends of its limits, one and two at a time."""
    record = calculation.example
    ends = [(v, x * (1 - end * np.sign(x) * 1e-12)) for v in calculation.inputs for end, x in zip((-1, 1), v.limits) if np.isfinite(x)]
    for v, x in ends:
        for w, y in ends:
            odd = record | {u.name: [z] * len(record[u.name]) if u.is_list else z for u, z in ((v, x), (w, y))}
            for result, value in zip(calculation.results, calculation(**odd)):
                assert not np.isinf(value).any(), f"{result.name} is infinite at {v.name} = {x}, {w.name} = {y}"


def test_no_verdict_is_told():
    with pytest.raises(ValueError, match="clay.methylene_blue gives no verdict"):
        field.clay.methylene_blue.judge(5.0, 1.0)


def test_impossible_records_have_a_verdict_not_a_number():
    slot = field.hydraulics.slot_pressure_gradient
    for pipe in (1.0, 1.1):
        wrong = slot.example | {"pipe_diameter": pipe * slot.example["hole_diameter"]}
        assert slot.judge(**wrong) == "no_gap"
        assert all(np.isnan(x) for x in slot(**wrong)), slot(**wrong)
    full = lutum.metric.solids.water_base_retort
    assert full.judge(**(full.example | {"water_fraction": 80.0, "oil_fraction": 30.0})) == "over_full"
