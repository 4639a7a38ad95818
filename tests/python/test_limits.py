"""Limits: one record outside is an error that says everything; in columns it is missing and listed, never silent."""

import numpy as np
import pandas as pd
import pytest

import lutum

ROWS = 5


def limited(calculation):
    return [(v, end, limit) for v in calculation.inputs for end, limit in zip((-1, 1), v.limits) if np.isfinite(limit)]


def outside(limit, end):
    return limit + end * max(abs(limit) * 1e-3, 1e-6)


def with_value(calculation, v, value):
    record = calculation.example
    return record | {v.name: [value] * len(record[v.name]) if v.is_list else value}


def with_rows(calculation, v, value, at):
    """The example in every row, one row of it spoiled; a Series where there is a number."""
    record = calculation.example
    rows = {w.name: np.array([record[w.name]] * ROWS, float) for w in calculation.inputs}
    rows[v.name].reshape(ROWS, -1)[at, 0] = value
    return rows


def printed(x):
    return f"{x:.6g}"


def test_a_single_record_outside(calculation, in_set):
    calculation = next(c for c in lutum.catalogue(in_set) if c.sheet.id == calculation.sheet.id)
    for v, end, limit in limited(calculation):
        value = outside(limit, end)
        with pytest.raises(ValueError, match="outside its limit") as caught:
            calculation(**with_value(calculation, v, value))
        told = str(caught.value)
        for part in (calculation.sheet.id, v.name, v.meaning, v.unit, "check the reading"):
            assert part in told
        numbers = told.replace("e+0", "e").replace("e-0", "e-").replace("e+", "e")
        for number in (value, *(x for x in v.limits if np.isfinite(x))):
            assert printed(number).replace("e+0", "e").replace("e-0", "e-").replace("e+", "e") in numbers


def test_every_wrong_input_is_named_at_once():
    with pytest.raises(ValueError) as caught:
        lutum.field.clay.methylene_blue(-1.0, 0.0)
    assert "dye_volume = -1 mL" in str(caught.value) and "sample_volume = 0 mL" in str(caught.value)


@pytest.mark.parametrize("method", ["gradient", "work", "judge"])
def test_other_ways_in_are_guarded_too(calculation, method):
    if method == "judge" and not calculation.verdicts:
        pytest.skip("no verdict")
    v, end, limit = limited(calculation)[0]
    with pytest.raises(ValueError, match="outside its limit"):
        getattr(calculation, method)(**with_value(calculation, v, outside(limit, end)))


def test_a_row_outside_is_missing_and_listed(calculation):
    for v, end, limit in limited(calculation):
        value = outside(limit, end)
        rows = with_rows(calculation, v, value, at=2)
        index = [f"sample {i}" for i in range(ROWS)]
        labelled = {name: pd.Series(x, index=index) if x.ndim == 1 else x for name, x in rows.items()}
        slopes = calculation.gradient(**calculation.example)
        good = calculation(**calculation.example)
        for w, whole, slope, example in zip(calculation.results, calculation(**rows), slopes, good):
            block = np.asarray(getattr(slope, v.name))
            depends = np.atleast_1d((block[..., 0] if v.is_list else block) != 0) & (not v.gaps)
            assert np.isnan(np.atleast_1d(whole[2])[np.broadcast_to(depends, np.shape(np.atleast_1d(whole[2])))]).all(), (v.name, w.name)
            assert np.array_equal(whole[0], np.asarray(example), equal_nan=True)
        errors = [finding for finding in calculation.check(**labelled) if finding.is_error and finding.value == finding.value]
        told = {finding.row for finding in errors}
        expected = {"sample 2"} if any(x.ndim == 1 for x in rows.values()) else {2}
        assert told == expected, (v.name, told)
        assert errors[0].input == v.name
        assert errors[0].value == pytest.approx(value, rel=1e-12)
        assert "outside its limit" in errors[0].reason and v.unit in errors[0].reason


def test_missing_rows_are_listed(calculation):
    for v in calculation.inputs:
        if v.is_list or v.optional:
            continue
        findings = calculation.check(**with_rows(calculation, v, np.nan, at=3))
        missing = [finding for finding in findings if finding.input == v.name and finding.row == 3]
        assert missing and missing[0].is_error and "missing" in missing[0].reason


def test_values_at_the_limits_are_inside(calculation, in_set):
    """Limits that are round in SI are reached in every set: rounding does not shut the door on them."""
    calculation = next(c for c in lutum.catalogue(in_set) if c.sheet.id == calculation.sheet.id)
    si = next(c for c in lutum.catalogue("si") if c.sheet.id == calculation.sheet.id)
    for v, w in zip(calculation.inputs, si.inputs):
        for limit, in_si in zip(v.limits, w.limits):
            if np.isfinite(limit) and float(f"{limit:.12g}") == limit and float(f"{in_si:.12g}") == in_si and not v.is_list:
                calculation(**with_value(calculation, v, limit))


def test_no_value_falls_between_result_and_finding(calculation, in_set):
    """Within a few last bits of a limit, a row is either computed or listed."""
    calculation = next(c for c in lutum.catalogue(in_set) if c.sheet.id == calculation.sheet.id)
    for v, _, limit in limited(calculation):
        if v.is_list:
            continue
        around = [limit]
        for direction in (-np.inf, np.inf):
            x = limit
            for _ in range(4):
                x = np.nextafter(x, direction)
                around.append(x)
        record = calculation.example
        rows = {w.name: np.array([record[w.name]] * len(around), float) for w in calculation.inputs} | {v.name: np.array(around)}
        listed = {finding.row for finding in calculation.check(**rows) if finding.is_error and finding.input == v.name}
        alone = set()
        for i in range(len(around)):
            try:
                calculation(**(record | {v.name: float(around[i])}))
            except ValueError:
                alone.add(i)
        assert listed == alone, (v.name, around)


def test_cautions_name_the_range_shown_to_hold(calculation):
    tried = 0
    for v in calculation.inputs:
        for end, (validated, limit) in zip((-1, 1), zip(v.validated, v.limits)):
            if validated == limit or not np.isfinite(validated):
                continue
            tried += 1
            value = outside(validated, end)
            findings = [f for f in calculation.check(**with_value(calculation, v, value)) if f.input == v.name and f.value == f.value]
            assert findings and not any(f.is_error for f in findings), v.name
            assert findings[0].row is None and "caution" in findings[0].reason and printed(validated)[:5] in findings[0].reason
            calculation(**with_value(calculation, v, value))
    assert tried


def test_the_example_is_beyond_reproach(calculation, in_set):
    calculation = next(c for c in lutum.catalogue(in_set) if c.sheet.id == calculation.sheet.id)
    assert calculation.check(**calculation.example) == []
    assert all(np.isfinite(np.asarray(x)).all() for x in calculation(**calculation.example))


def test_limits_hold_the_validated_range_and_the_default(calculation):
    for v in calculation.inputs:
        assert v.limits[0] <= v.validated[0] <= v.validated[1] <= v.limits[1], v.name
        if v.default is not None:
            assert v.limits[0] <= v.default <= v.limits[1]
        assert (v.default is None and not v.optional) == v.required


def test_findings_of_a_grid_carry_their_place():
    findings = lutum.field.clay.methylene_blue.check([[1.0, -2.0], [3.0, 4.0]], [[1.0], [0.0]])
    assert [(f.row, f.input) for f in findings] == [((0, 1), "dye_volume"), ((1, 0), "sample_volume"), ((1, 1), "sample_volume")]


def test_findings_of_a_frame_carry_its_labels():
    frame = pd.DataFrame({"dye_volume": [1.0, -2.0, np.nan], "sample_volume": [1.0, 1.0, 1.0]}, index=["a", "b", "c"])
    findings = lutum.field.clay.methylene_blue.check(frame)
    assert [(f.row, f.input, f.is_error) for f in findings] == [("b", "dye_volume", True), ("c", "dye_volume", True)]
    assert "missing" in findings[1].reason
    with pytest.raises(ValueError, match="no column 'sample_volume'"):
        lutum.field.clay.methylene_blue.check(frame[["dye_volume"]])


def test_rows_of_a_table_out_of_order():
    table = {"bottom_true_vertical_depth": [900.0, 1000.0, 1100.0], "friction_gradient": [0.0, 0.0, 0.0]}
    density = lutum.field.hydraulics.equivalent_density
    with pytest.raises(ValueError, match=r"bottom_measured_depth\[1\] = 1000 ft lies below the row before it, 2000 ft"):
        density(10.0, bottom_measured_depth=[2000.0, 1000.0, 3000.0], **table)
    wells = [[1000.0, 2000.0, 3000.0], [2000.0, 1000.0, 3000.0]]
    assert np.isnan(density(10.0, bottom_measured_depth=wells, **table).pressure).tolist() == [[False] * 3, [False, True, True]]
    findings = density.check(10.0, bottom_measured_depth=wells, **table)
    assert [(f.row, f.input) for f in findings] == [(1, "bottom_measured_depth")]


def test_a_depth_below_its_measured_depth_is_told():
    density = lutum.field.hydraulics.equivalent_density
    table = {"bottom_measured_depth": [1000.0, 2000.0], "friction_gradient": [0.0, 0.0]}
    assert density.check(10.0, bottom_true_vertical_depth=[1000.0, 1900.0], **table) == []
    (finding,) = density.check(10.0, bottom_true_vertical_depth=[1000.0, 2100.0], **table)
    assert not finding.is_error
    assert "bottom_true_vertical_depth[1] = 2100 ft is more than bottom_measured_depth, 2000 ft" in finding.reason


def test_findings_about_the_whole_record():
    """A verdict that is no praise stands among the findings, an impossible one as an error."""
    retort = lutum.metric.solids.water_base_retort
    (finding,) = retort.check(**(retort.example | {"water_fraction": 97.0, "oil_fraction": 5.0}))
    assert (finding.row, finding.is_error, finding.input) == (None, True, "over_full")
    assert "more than the whole volume" in finding.reason and finding.value != finding.value
    viscometer = lutum.field.rheology.viscometer
    gels = pd.Series([8.0, 20.0], index=["rising", "falling"])
    found = viscometer.check(**(viscometer.example | {"gel_10_s": gels}))
    assert [(f.row, f.is_error, f.input) for f in found] == [("falling", False, "falling_gels")]
