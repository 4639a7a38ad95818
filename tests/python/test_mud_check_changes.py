"""The changes that errors make, step by step: a chain of one step against the exact gradient, and which inputs can change a result at all."""

from itertools import product

import numpy as np
import pytest

from lutum import _core, mud_check
from lutum.mud_check import MudCheck
from lutum.mud_check.propagating import reaches

DIALS = {"reading_600": 60.0, "reading_300": 39.0, "reading_200": 31.0, "reading_100": 21.0, "reading_6": 7.0, "reading_3": 6.0}  # invented


def test_the_order_of_a_list_does_not_matter(tmp_path):
    """Speeds in another order than the viscometer's own example: its numbers find their readings by speed, and so do the errors."""
    speeds = (3, 6, 100, 200, 300, 600)
    path = tmp_path / "own.toml"
    path.write_text(
        '[[step]]\ncalculation = "rheology.viscometer"\n'
        f"lists.reading = {[f'reading_{n}' for n in speeds]}\nfixed.speed = {{ value = {list(speeds)}, unit = \"rpm\" }}\n"
    )
    names = [f"rheology.viscometer.{n}" for n in ("plastic_viscosity", "yield_point", "apparent_viscosity", "wall_stress_300")]
    usual, other = MudCheck(DIALS).uncertainty(*names), MudCheck(DIALS, plan=mud_check.load(path)).uncertainty(*names)
    assert [other[n].combined for n in names] == pytest.approx([usual[n].combined for n in names], rel=1e-12)


def every_choice(calculation):
    return [calculation] if calculation.option is None else [calculation.choosing(c) for c in calculation.option.choices]


def told_of(calculation, inputs, records):
    """A chain's columns, one for each number that goes in, and the error of each: a direction of its own that moves it by one."""
    columns, slots, first = [], [], 0
    for v in calculation.inputs:
        x = inputs[v.name]
        for k in range(x.shape[1] if v.is_list else 1):
            columns.append(x[:, k] if v.is_list else x)
            slots.append((v.name, k if v.is_list else None, first + k))
        first += v.length
    return columns, slots, [(i, i, np.ones(records)) for i in range(len(columns))]


def result_rows(calculation, given):
    """(result, place or None, its slot) of every number that comes out."""
    found, first = [], 0
    for v in calculation.results:
        found += [(v.name, k if v.is_list else None, first + k) for k in range(given if v.is_list else 1)]
        first += v.length
    return found


def slope(slopes, result, name):
    block = np.asarray(getattr(getattr(slopes, result[0]), name[0]))
    block = block if result[1] is None else block[:, result[1]]
    return block if name[1] is None else block[..., name[1]]


def test_the_kernel_of_changes_has_the_gradient_and_the_bits(calculation, sample):
    """And no number changes a result that ``reaches`` says it cannot change, at random records and by every choice."""
    if calculation._bound.gradient is None:
        pytest.skip("a table")
    records, reach = 41, reaches(calculation)
    for chosen in every_choice(calculation):
        inputs = sample(chosen, records, seed=15)
        columns, slots, errors = told_of(chosen, inputs, records)
        given = max((inputs[v.name].shape[1] for v in chosen.inputs if v.is_list), default=0)
        rows = result_rows(chosen, given)
        wanted = list(product(range(len(slots)), range(len(rows))))
        everything = [list(range(len(slots)))] * len(rows)
        step = (chosen.sheet.id, chosen.choice or "", given, [([i], np.nan, []) for i in range(len(slots))], everything, None)
        home = chosen._home
        values, standard = np.empty((len(rows), records)), np.empty((len(rows), records))
        changed = _core.chain(
            [step], home.system, home.replaced, columns, errors, records, values, standard, [(len(slots) + r, d) for d, r in wanted]
        )
        out = [np.asarray(x) for x in chosen(**inputs)]
        flat = [x[:, k] for x in (x.reshape(records, -1) for x in out) for k in range(x.shape[1])]
        assert np.array_equal(values, flat, equal_nan=True)
        slopes = chosen.gradient(**inputs)
        squares = np.zeros_like(values)
        for (d, r), change in zip(wanted, changed):
            want = np.where(np.isnan(values[r]), 0.0, slope(slopes, rows[r], slots[d]))
            np.testing.assert_allclose(change, want, rtol=1e-12, atol=0.0, err_msg=f"d {rows[r]} / d {slots[d]}")
            assert not change.any() or slots[d][2] in reach[rows[r][2]], f"{slots[d]} changes {rows[r]}, unseen"
            squares[r] += change**2
        np.testing.assert_allclose(standard, np.where(np.isnan(values), np.nan, np.sqrt(squares)), rtol=1e-12, atol=0.0)


@pytest.mark.parametrize(
    ("step", "message"),
    [
        (("clay.methylene_blue", "", 0, [([3], np.nan, []), ([1], np.nan, []), ([], 10.0, [])], [], None), "reads a column that is not there yet"),
        (("clay.methylene_blue", "", 0, [([0], np.nan, [])], [], None), "inputs or results are not as many as it has"),
        (("clay.methylene_blue", "", 0, [([0], np.nan, [])] * 3, [[0], [7]], None), "has no such input"),
        (("clay.methylene_blue", "", 0, [([0], np.nan, [])] * 3, [], np.array([1], np.int8)), "has no such choice"),
        (("clay.methylene_blue", "", 0, [([0], np.nan, [])] * 3, [], np.zeros(2, np.int8)), "a choice is wanted for every row"),
        (("clay.methylene_red", "", 0, [], [], None), "it is unknown or a table"),
    ],
)
def test_a_chain_that_does_not_fit_is_refused(step, message):
    with pytest.raises(ValueError, match=message):
        _core.chain([step], "si", {}, [np.ones(1), np.ones(1)], [], 1, np.empty((2, 1)), None, [])


def test_memory_for_results_must_fit():
    step = ("clay.methylene_blue", "", 0, [([0], np.nan, [])] * 3, [], None)
    for values in (np.empty((3, 1)), np.empty((2, 2)), np.empty(2)):
        with pytest.raises(ValueError, match="results want a row for each"):
            _core.chain([step], "si", {}, [np.ones(1)], [], 1, values, None, [])
