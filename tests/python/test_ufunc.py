"""The NumPy contract of every calculation: shapes, strides, overlap, out=, where=, types, missing values, pandas."""

import warnings

import numpy as np
import pandas as pd
import pytest

import lutum

N = 60


def arguments(calculation, inputs):
    return [inputs[v.name] for v in calculation.inputs]


def evaluate(calculation, arrays, **options):
    out = calculation.ufunc(*arrays, **options)
    return out if isinstance(out, tuple) else (out,)


def same(results, expected):
    return all(np.array_equal(a, b, equal_nan=True) for a, b in zip(results, expected, strict=True))


def shaped(v, x, shape):
    return x[: int(np.prod(shape))].reshape(*shape, x.shape[-1]) if v.is_list else x[: int(np.prod(shape))].reshape(shape)


@pytest.fixture
def columns(calculation, sample):
    return arguments(calculation, sample(calculation, N))


def test_it_is_a_numpy_ufunc(calculation):
    assert isinstance(calculation.ufunc, np.ufunc)
    assert calculation.ufunc.nin == len(calculation.inputs)
    assert calculation.ufunc.nout == len(calculation.results)


@pytest.mark.parametrize("shape", [(0,), (1,), (7,), (3, 5), (2, 3, 4), (0, 3), (5, 0)])
def test_shapes(calculation, columns, shape):
    flat = evaluate(calculation, columns)
    results = evaluate(calculation, [shaped(v, x, shape) for v, x in zip(calculation.inputs, columns)])
    assert [x.shape for x in results] == [shape + ((columns_of_lists(calculation, columns),) if v.is_list else ()) for v in calculation.results]
    assert same(results, [shaped(v, x, shape) for v, x in zip(calculation.results, flat)])


def columns_of_lists(calculation, columns):
    return max((x.shape[-1] for v, x in zip(calculation.inputs, columns) if v.is_list), default=1)


def test_a_single_record(calculation, columns):
    results = evaluate(calculation, [x[3] for x in columns])
    assert all(np.shape(x) == (() if not v.is_list else (columns_of_lists(calculation, columns),)) for v, x in zip(calculation.results, results))
    assert same(results, [x[3] for x in evaluate(calculation, columns)])


def test_broadcasting(calculation, columns):
    """Every input but the first taken from rows, the first from columns of a grid."""
    rows, across = 5, 7
    grid = [shaped(v, x, (across,)) for v, x in zip(calculation.inputs, columns)]
    first = columns[0][:rows].reshape(rows, 1, *columns[0].shape[1:])
    results = evaluate(calculation, [first, *grid[1:]])
    for i in range(rows):
        line = evaluate(calculation, [columns[0][i], *grid[1:]])
        for whole, part, v in zip(results, line, calculation.results):
            part = np.broadcast_to(part, whole[i].shape) if not v.is_list else part
            assert np.array_equal(whole[i], part, equal_nan=True)


@pytest.mark.parametrize("step", [2, 3, -1, -2])
def test_strides(calculation, columns, step):
    expected = [x[::step] for x in evaluate(calculation, columns)]
    assert same(evaluate(calculation, [x[::step] for x in columns]), expected)


def test_columns_of_a_table_in_either_order(calculation, columns):
    expected = evaluate(calculation, columns)
    assert same(evaluate(calculation, [np.asfortranarray(x) for x in columns]), expected)
    side_by_side = [np.stack([x, x + 1, x - 1], axis=-1)[..., 0] for x in columns]
    assert not side_by_side[0].flags.c_contiguous
    assert same(evaluate(calculation, side_by_side), expected)


def test_unaligned_and_byte_swapped(calculation, columns):
    def unaligned(x):
        raw = np.empty(x.nbytes + 1, np.uint8)[1:]
        y = raw.view(float).reshape(x.shape)
        y[...] = x
        assert not y.flags.aligned
        return y

    expected = evaluate(calculation, columns)
    assert same(evaluate(calculation, [unaligned(x) for x in columns]), expected)
    assert same(evaluate(calculation, [x.astype(x.dtype.newbyteorder()) for x in columns]), expected)


def test_out(calculation, columns):
    expected = evaluate(calculation, columns)
    out = tuple(np.full(x.shape, -1.0) for x in expected)
    results = evaluate(calculation, columns, out=out)
    assert all(a is b for a, b in zip(results, out))
    assert same(out, expected)


def test_out_with_strides(calculation, columns):
    expected = evaluate(calculation, columns)
    wide = [np.full((*x.shape, 2), -1.0) for x in expected]
    evaluate(calculation, columns, out=tuple(x[::-1, ..., 0] for x in wide))
    assert same([x[::-1, ..., 0] for x in wide], expected)
    assert all(np.all(x[..., 1] == -1.0) for x in wide)


def test_results_over_their_inputs(calculation, columns):
    """Row by row in place, and shifted by a row."""
    expected = evaluate(calculation, columns)
    for place, v in enumerate(calculation.results):
        inputs = [x.copy() for x in columns]
        target = next((x for x, w in zip(inputs, calculation.inputs) if w.is_list == v.is_list), None)
        if target is None:
            continue
        out = [None] * len(expected)
        out[place] = target
        evaluate(calculation, inputs, out=tuple(out))
        assert np.array_equal(target, expected[place])
    i, r = next((i, r) for i, v in enumerate(calculation.inputs) for r, w in enumerate(calculation.results) if v.is_list == w.is_list)
    buffer = np.empty((N + 1, *columns[i].shape[1:]))
    buffer[:-1] = columns[i]
    out = [None] * len(expected)
    out[r] = buffer[1:]
    evaluate(calculation, [*columns[:i], buffer[:-1], *columns[i + 1 :]], out=tuple(out))
    assert np.array_equal(buffer[1:], expected[r])


def test_where(calculation, columns):
    if calculation.has_lists:
        pytest.skip("NumPy has no where= for calculations with lists")
    chosen = np.arange(N) % 3 == 0
    out = tuple(np.full(N, -1.0) for _ in calculation.results)
    evaluate(calculation, columns, out=out, where=chosen)
    for x, want in zip(out, evaluate(calculation, columns)):
        assert np.array_equal(x[chosen], want[chosen])
        assert np.all(x[~chosen] == -1.0)


def test_single_precision_and_whole_numbers(calculation, columns):
    narrow = [x.astype(np.float32) for x in columns]
    assert same(evaluate(calculation, narrow), evaluate(calculation, [x.astype(float) for x in narrow]))
    tried = 0
    for place, v in enumerate(calculation.inputs):
        whole = np.rint(columns[place])
        if np.all((whole >= v.limits[0]) & (whole <= v.limits[1])):
            tried += 1
            inputs = [*columns[:place], whole, *columns[place + 1 :]]
            for kind in (np.int64, np.int32, np.uint32) if np.all(whole >= 0) else (np.int64,):
                assert same(evaluate(calculation, [*columns[:place], whole.astype(kind), *columns[place + 1 :]]), evaluate(calculation, inputs))
    assert tried


def test_missing_values_raise_no_flag_and_no_warning(calculation, columns):
    """With every floating-point flag an error, as in a strict notebook."""
    with np.errstate(all="raise"), warnings.catch_warnings():
        warnings.simplefilter("error")
        for place in range(len(columns)):
            inputs = [x.copy() for x in columns]
            inputs[place][::2] = np.nan
            evaluate(calculation, inputs)
            evaluate(calculation, [np.full_like(x, np.nan) if i == place else x for i, x in enumerate(inputs)])
            outside = calculation.inputs[place].limits
            for value in (outside[0] - 1, outside[1] + 1, np.inf, -np.inf):
                inputs[place][::2] = value
                evaluate(calculation, inputs)
            calculation.gradient(**{v.name: x[0] for v, x in zip(calculation.inputs, columns)})


def test_series_keep_their_index(calculation, columns):
    inputs = dict(zip((v.name for v in calculation.inputs), columns))
    index = pd.Index([f"well {i}" for i in range(N)], name="well")
    results = calculation(**{name: pd.Series(x, index=index) if x.ndim == 1 else x for name, x in inputs.items()})
    expected = calculation(**inputs)
    for v, x, want in zip(calculation.results, results, expected):
        assert np.array_equal(np.asarray(x), want, equal_nan=True)
        if any(y.ndim == 1 for y in columns):
            assert x.index.equals(index), v.name
            assert isinstance(x, pd.DataFrame if v.is_list else pd.Series)


def test_missing_values_of_pandas(calculation, columns):
    inputs = dict(zip((v.name for v in calculation.inputs), columns))
    for v in calculation.inputs:
        if v.is_list:
            continue
        gaps = pd.Series(inputs[v.name], dtype="Float64")
        gaps[1] = pd.NA
        plain = inputs[v.name].copy()
        plain[1] = np.nan
        expected = calculation(**(inputs | {v.name: plain}))
        under_a_mask = np.ma.masked_array(inputs[v.name], mask=np.arange(N) == 1)
        for column in (gaps, gaps.astype(object), plain.astype(object), under_a_mask):
            assert same([np.asarray(x) for x in calculation(**(inputs | {v.name: column}))], expected)


def test_series_of_unlike_index_are_refused(calculation, columns):
    inputs = dict(zip((v.name for v in calculation.inputs), columns))
    plain = [v.name for v in calculation.inputs if not v.is_list]
    if len(plain) < 2:
        pytest.skip("fewer than two plain inputs")
    inputs[plain[0]] = pd.Series(inputs[plain[0]])
    inputs[plain[1]] = pd.Series(inputs[plain[1]], index=np.arange(N)[::-1])
    with pytest.raises(ValueError, match="another index"):
        calculation(**inputs)


@pytest.mark.parametrize("threads", [2, 3, 8])
def test_threads_change_no_bit(calculation, columns, threads):
    frame, names = {}, {}
    for v, x in zip(calculation.inputs, columns):
        if v.is_list:
            names[v.name] = [f"{v.name} {k}" for k in range(x.shape[-1])]
            frame.update(zip(names[v.name], x.T))
        else:
            frame[v.name] = x
    frame = pd.DataFrame(frame)
    pd.testing.assert_frame_equal(
        calculation.over(frame, columns=names, threads=threads), calculation.over(frame, columns=names), check_exact=True
    )


def test_verdicts_over_rows(calculation, sample, row):
    if not calculation.verdicts:
        pytest.skip("no verdict")
    inputs = sample(calculation, N)
    together = calculation.judge(**inputs)
    assert list(together) == [calculation.judge(**row(inputs, i)) for i in range(N)]
    assert set(together) <= {v.name for v in calculation.verdicts}


def test_catalogue_names_are_unique():
    ids = [c.sheet.id for c in lutum.catalogue()]
    assert len(ids) == len(set(ids)) > 0
