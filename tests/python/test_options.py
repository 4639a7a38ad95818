"""Calculations with an option: every choice by keyword, by column and as an object of its own gives the same bits."""

import pickle

import numpy as np
import pandas as pd
import pytest

import lutum

OPTIONED = [c for c in lutum.catalogue() if c.option is not None]
CHOSEN = [pytest.param(c, choice, id=f"{c.sheet.id}-{choice}") for c in OPTIONED for choice in c.option.choices]


def same(a, b):
    for x, y in zip(a, b, strict=True):
        np.testing.assert_array_equal(x, y)


def test_there_are_some():
    assert len(OPTIONED) >= 3
    assert {c.option.name for c in OPTIONED} >= {"salt"}


@pytest.mark.parametrize(("calculation", "choice"), CHOSEN)
def test_a_choice_by_keyword_is_the_object_that_has_it(calculation, choice, sample, row):
    chosen = calculation.choosing(choice)
    assert chosen.choosing(choice) is chosen and chosen.choice == choice and choice in repr(chosen)
    inputs = sample(chosen, 5)
    one = row(inputs, 2)
    key = {calculation.option.name: choice}
    same(calculation(**one, **key), chosen(**one))
    same(calculation(**inputs, **key), chosen(**inputs))
    same([r[2] for r in chosen(**inputs)], chosen(**one))
    for mine, other in zip(calculation.gradient(**one, **key), chosen.gradient(**one), strict=True):
        same(mine, other)
    assert calculation.work(**one, **key).text == chosen.work(**one).text
    assert calculation.option.choices[choice] in chosen.work(**one).text
    assert pickle.loads(pickle.dumps(chosen)) is chosen


@pytest.mark.parametrize(("calculation", "choice"), CHOSEN)
def test_gradients_of_every_choice(calculation, choice, sample, row):
    if all(v.is_list for v in calculation.results):
        pytest.skip("a table: its slopes are held where it is tested")
    chosen = calculation.choosing(choice)
    compared = 0
    for i in range(3):
        one = row(sample(chosen, 3, seed=7), i)
        slopes = chosen.gradient(**one)
        for v in calculation.inputs:
            if v.is_list or not one[v.name]:
                continue
            h = 1e-5 * one[v.name]
            up, down = chosen(**(one | {v.name: one[v.name] + h})), chosen(**(one | {v.name: one[v.name] - h}))
            far = [chosen(**(one | {v.name: one[v.name] + k * h})) for k in (2, -2)]
            for w, slope, a, b, c, d in zip(calculation.results, slopes, up, down, *far, strict=True):
                if w.is_list or not np.isfinite(a + b + c + d):
                    continue
                difference = (a - b) / (2 * h)
                curvature = abs((c - d) / (4 * h) - difference)
                noise = 1e-13 * max(abs(a), 1e-300) / abs(h)
                assert abs(getattr(slope, v.name) - difference) <= 1e-6 * abs(difference) + 20 * noise + curvature, (w.name, v.name)
                compared += 1
    assert compared


@pytest.mark.parametrize("calculation", OPTIONED, ids=lambda c: c.sheet.id)
def test_a_column_of_choices(calculation, sample):
    """Rows of every choice, shuffled; an unknown and a missing one spoil their row only and are listed."""
    if calculation.has_lists:
        pytest.skip("lists are no columns of a frame")
    name, choices = calculation.option.name, list(calculation.option.choices)
    frame = pd.concat([pd.DataFrame(sample(calculation.choosing(c), 4, seed=3)).assign(**{name: c}) for c in choices], ignore_index=True)
    frame = frame.sample(frac=1.0, random_state=1)
    spoiled = frame.index[[1, 5]]
    frame.loc[spoiled, name] = ["of the house", None]
    key = frame[name]
    inputs = {v.name: frame[v.name] for v in calculation.inputs}
    by_column, by_frame, over = calculation(**inputs, **{name: key}), calculation(frame), calculation.over(frame)
    renamed = calculation.over(frame.rename(columns={name: "kind"}), columns={name: "kind"})
    for i, v in enumerate(calculation.results):
        pd.testing.assert_series_equal(by_frame[v.name], over[v.name])
        pd.testing.assert_series_equal(renamed[v.name], over[v.name])
        np.testing.assert_array_equal(by_column[i], over[v.name])
        assert over.loc[spoiled, v.name].isna().all()
    for c in choices:
        rows = frame[frame[name] == c]
        alone = calculation.over(rows.drop(columns=name), **{name: c})
        for v in calculation.results:
            np.testing.assert_array_equal(over.loc[rows.index, v.name], alone[v.name])
    told = [f for f in calculation.check(frame) if f.input == name]
    assert [f.row for f in told] == list(spoiled) and all(f.is_error for f in told)
    assert "'of the house' is not one of its choices" in told[0].reason and "is missing" in told[1].reason
    if calculation.verdicts:
        verdicts = calculation.judge(frame)
        assert verdicts[spoiled].isna().all()
        first = frame.index[0]
        assert verdicts[first] == calculation.judge(**{v.name: frame[v.name][first] for v in calculation.inputs}, **{name: frame[name][first]})


@pytest.mark.parametrize("calculation", OPTIONED, ids=lambda c: c.sheet.id)
def test_a_wrong_choice_is_told(calculation):
    name = calculation.option.name
    with pytest.raises(ValueError, match=f'{name} = "of the house" is not one of its choices; choose'):
        calculation(**calculation.example, **{name: "of the house"})
    with pytest.raises(ValueError, match="is one choice for gradient"):
        calculation.gradient(**calculation.example, **{name: [calculation.choice] * 2})
    with pytest.raises(ValueError, match="no column 'kind'"):
        calculation.over(pd.DataFrame({"x": [1.0]}), columns={name: "kind"})
    assert f'"{calculation.choice}"' in type(calculation).__doc__
