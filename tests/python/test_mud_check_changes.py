"""The changes that errors make, step by step: the kernel against the exact gradient, and which inputs can change a result at all."""

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
    """Arguments for the kernel of changes: a direction for each number that goes in, each moved by one."""
    arrays = [inputs[v.name] for v in calculation.inputs]
    slots, told = [], []
    first = 0
    for v, x in zip(calculation.inputs, arrays):
        for k in range(x.shape[1] if v.is_list else 1):
            told.append((first + k, len(slots), np.ones(records)))
            slots.append((v.name, k if v.is_list else None, first + k))
        first += v.length
    return arrays, slots, told


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
        arrays, slots, told = told_of(chosen, inputs, records)
        given = max((inputs[v.name].shape[1] for v in chosen.inputs if v.is_list), default=1)
        rows = result_rows(chosen, given)
        wanted = list(product(range(len(slots)), range(len(rows))))
        home = chosen._home
        values, changed, variances = _core.tangents(
            chosen.sheet.id, chosen.choice or "", home.system, home.replaced, arrays, told, wanted, len(slots), records
        )
        out = [np.asarray(x) for x in chosen(**inputs)]
        flat = [x[:, k] for x in (x.reshape(records, -1) for x in out) for k in range(x.shape[1])]
        assert np.array_equal(values, flat)
        slopes = chosen.gradient(**inputs)
        squares = np.zeros_like(values)
        for (d, r), change in zip(wanted, changed):
            want = slope(slopes, rows[r], slots[d])
            np.testing.assert_allclose(change, want, rtol=1e-12, atol=0.0, err_msg=f"d {rows[r]} / d {slots[d]}")
            assert not change.any() or slots[d][2] in reach[rows[r][2]], f"{slots[d]} changes {rows[r]}, unseen"
            squares[r] += change**2
        np.testing.assert_allclose(variances, squares, rtol=1e-12, atol=0.0)
