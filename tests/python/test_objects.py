"""Calculations as Python objects: signature, help, pickles, copies, documents, examples."""

import copy
import inspect
import pickle
import pydoc
import subprocess
import sys

import numpy as np
import pytest

import lutum
from lutum import field


def same(a, b):
    return all(np.array_equal(x, y, equal_nan=True) for x, y in zip(a, b, strict=True))


def flat(slopes):
    return [np.ravel(x) for x in slopes]


def test_signature_tells_names_units_and_defaults(calculation):
    parameters = inspect.signature(calculation).parameters
    option = [] if calculation.option is None else [calculation.option.name]
    assert set(parameters) == {*(v.name for v in calculation.inputs), *option}
    for v in calculation.inputs:
        default = parameters[v.name].default
        if v.required:
            assert repr(default) == f"<required, {v.unit or '-'}>"
        elif v.optional:
            assert default != default
        else:
            assert default == v.default
            assert float(f"{default:.15g}") == default, "a default reads as a person would write it"
    for method in ("gradient", "check", "judge"):
        assert str(inspect.signature(getattr(calculation, method))) == str(inspect.signature(calculation))
    assert set(inspect.signature(calculation.work).parameters) == {*parameters, "row"}


def test_help_tells_everything(calculation):
    text = pydoc.plain(pydoc.render_doc(calculation))
    words = " ".join(text.replace("|", " ").split())
    sheet = calculation.sheet
    for part in (sheet.title, sheet.answers, sheet.equations, sheet.source, sheet.assumptions, sheet.cautions):
        assert " ".join(part.split()) in words
    for v in (*calculation.inputs, *calculation.results):
        assert f"{v.name} : " in words and v.meaning in words
        assert v.unit in words
    for v in calculation.inputs:
        for limit in v.limits:
            if np.isfinite(limit):
                assert f"{limit:.6g}" in words


def test_the_example_of_the_docstring_runs(calculation, in_set):
    calculation = next(c for c in lutum.catalogue(in_set) if c.sheet.id == calculation.sheet.id)
    lines = [line.strip().removeprefix(">>> ") for line in type(calculation).__doc__.splitlines() if line.strip().startswith(">>> ")]
    scope = {}
    exec(lines[0], scope)
    result = eval(lines[1], scope)
    for got, want in zip(result, calculation(**calculation.example)):
        np.testing.assert_allclose(got, want, rtol=1e-3)


def test_repr_names_the_units(calculation):
    text = repr(calculation)
    assert calculation.sheet.id in text and "(field" in text
    for v in (*calculation.inputs, *calculation.results):
        assert f"{v.name} [{v.unit or '-'}]" in text


@pytest.mark.parametrize("replaced", [{}, {"density": "g/cm3", "pressure": "bar"}])
def test_pickles(calculation, in_set, replaced):
    home = lutum.unit_set(in_set, **replaced)
    calculation = next(c for c in home if c.sheet.id == calculation.sheet.id)
    back = pickle.loads(pickle.dumps(calculation))
    assert repr(back) == repr(calculation) and back.inputs == calculation.inputs
    result, slopes = calculation(**calculation.example), calculation.gradient(**calculation.example)
    again = pickle.loads(pickle.dumps(result))
    assert same(again, result) and again._fields == result._fields
    assert again._variables == result._variables, "units that come back are the units that went"
    assert same(back(**calculation.example), result)
    returned = pickle.loads(pickle.dumps(slopes))
    assert all(type(a) is type(b) and same(flat(a), flat(b)) for a, b in zip(returned, slopes))
    for answer in (calculation.work(**calculation.example), calculation.check(**calculation.example)):
        assert pickle.loads(pickle.dumps(answer)) == answer


def test_pickles_open_in_a_fresh_process(tmp_path):
    """As a pool of workers needs it: nothing of the calculation was touched there before."""
    things = []
    for system, replaced in (("field", {}), ("si", {}), ("metric", {"density": "g/cm3"})):
        for calculation in lutum.unit_set(system, **replaced):
            things.append((calculation(**calculation.example), calculation.gradient(**calculation.example), calculation))
    (tmp_path / "things").write_bytes(pickle.dumps(things))
    code = """
import pickle, sys
for result, slopes, calculation in pickle.load(open(sys.argv[1], "rb")):
    assert repr(calculation(**calculation.example)) == repr(result), calculation
    assert repr(calculation.gradient(**calculation.example)) == repr(slopes)
    assert calculation(**calculation.example)._variables == result._variables
    assert result._repr_html_() == calculation(**calculation.example)._repr_html_()
"""
    run = subprocess.run([sys.executable, "-W", "error::UserWarning", "-c", code, tmp_path / "things"], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr


def test_copies(calculation):
    for other in (copy.copy(calculation), copy.deepcopy(calculation)):
        assert same(other(**calculation.example), calculation(**calculation.example))


def test_a_notebook_shows_units_and_meanings(calculation):
    html = calculation(**calculation.example)._repr_html_()
    for v in calculation.results:
        assert f"<td>{v.name}</td>" in html and f"<td>{v.unit}</td>" in html and v.meaning in html
    assert html.count("<tr>") == len(calculation.results)


def test_results_are_named_tuples(calculation):
    result = calculation(**calculation.example)
    assert isinstance(result, tuple) and result._fields == tuple(v.name for v in calculation.results)
    assert result == result._replace()
    assert type(result).__name__ in repr(result)


def test_results_of_numbers_are_floats():
    for calculation in lutum.catalogue():
        for v, x in zip(calculation.results, calculation(**calculation.example)):
            assert type(x) is (np.ndarray if v.is_list else float), v.name


@pytest.mark.parametrize("number", [5, 5.0, np.float64(5), np.float32(5), np.int64(5), np.array(5.0), True + 4])
def test_any_kind_of_number_is_a_number(number):
    result = field.clay.methylene_blue(number, 1)
    assert result == (5.0, 25.0) and {type(x) for x in result} == {float}


def test_none_is_missing():
    assert np.isnan(field.clay.methylene_blue(None, 1.0).capacity)


def test_variables_and_sheets_do_not_change(calculation):
    with pytest.raises(AttributeError):
        calculation.sheet.title = "x"
    with pytest.raises(AttributeError):
        calculation.inputs[0].unit = "x"


def test_words_are_complete(calculation):
    sheet = calculation.sheet
    area, name = sheet.id.split(".")
    assert area.isidentifier() and name.isidentifier()
    for part in (sheet.title, sheet.answers, sheet.equations, sheet.source, sheet.assumptions, sheet.cautions):
        assert len(part) > 10
    names = [v.name for v in (*calculation.inputs, *calculation.results)]
    assert len({v.name for v in calculation.inputs}) == len(calculation.inputs)
    assert all(name.isidentifier() and name == name.lower() for name in names)
    for v in (*calculation.inputs, *calculation.results):
        assert v.symbol and v.meaning and v.meaning[0] == v.meaning[0].lower()
    for verdict in calculation.verdicts:
        assert verdict.name.isidentifier() and verdict.meaning and verdict.severity in (0, 1, 2)


def test_the_first_example_of_the_package():
    assert field.clay.methylene_blue(dye_volume=5.0, sample_volume=1.0).bentonite_equivalent == 25.0
