"""Worked solutions: every number and unit is there, and the LaTeX can be read."""

import re

import numpy as np
import pytest

import lutum


@pytest.fixture
def work(calculation, in_set):
    calculation = next(c for c in lutum.catalogue(in_set) if c.sheet.id == calculation.sheet.id)
    return calculation, calculation.work(**calculation.example)


def last(x):
    """Of a table the row that is worked; of a list every element."""
    return np.atleast_1d(x)[-1:]


def shown(calculation, results):
    """(variable, value) of what the solution must hold: of a table its last row."""
    is_table = any(v.length == 0 for v in calculation.inputs)
    for v, x in results:
        values = last(x) if is_table and v.is_list else np.atleast_1d(x)
        yield from ((v, float(value)) for value in values)


def quantity_text(v, value):
    return f"{value:.6g}" + (f" {v.unit}" if v.unit else "")


def normal(text):
    """Exponents written one way: 1e-07 and 1e-7, × and times."""
    return re.sub(r"e([+-]?)0*(\d)", r"e\1\2", text)


def test_every_input_stands_in_the_text(work):
    calculation, solution = work
    given = solution.text[solution.text.index("Given") : solution.text.index("Solution")]
    for v, value in shown(calculation, [(v, calculation.example[v.name]) for v in calculation.inputs]):
        assert normal(quantity_text(v, value)) in normal(given), v.name
        assert v.meaning in given
        symbol = v.symbol.replace("#", "1")
        assert f"${symbol} = " in solution.markdown or f"${symbol}, " in solution.markdown


def test_every_result_stands_in_the_text(work):
    calculation, solution = work
    steps = solution.text[solution.text.index("Solution") :]
    results = calculation(**calculation.example)
    for v, value in shown(calculation, zip(calculation.results, results)):
        assert f"= {normal(quantity_text(v, value))}" in normal(steps), f"{v.name} = {quantity_text(v, value)}"


def test_every_result_stands_in_the_markdown(work):
    calculation, solution = work
    results = calculation(**calculation.example)
    for v, value in shown(calculation, zip(calculation.results, results)):
        number = f"{value:.6g}"
        if "e" in number:
            mantissa, exponent = number.split("e")
            number = rf"{mantissa}\times10^{{{int(exponent)}}}"
        assert number in solution.markdown, v.name
    for v in calculation.results:
        assert v.symbol.split("#")[0] in solution.markdown


def test_title_question_source_and_cautions_are_told(work):
    calculation, solution = work
    sheet = calculation.sheet
    for text in solution[:2]:
        for part in (sheet.title, sheet.answers, sheet.source, sheet.assumptions, sheet.cautions):
            assert part in text
    assert str(solution) == solution.text and solution._repr_markdown_() == solution.markdown


def formulas(markdown):
    """What stands between dollars; display formulas first."""
    display = re.findall(r"\$\$(.+?)\$\$", markdown, re.S)
    inline = re.findall(r"\$([^$]+)\$", re.sub(r"\$\$.+?\$\$", "", markdown, flags=re.S))
    return display + inline


def test_latex_is_balanced(work):
    calculation, solution = work
    assert len(re.findall(r"(?<!\\)\$", solution.markdown)) % 2 == 0
    found = formulas(solution.markdown)
    assert len(found) >= len(calculation.results) + 1
    for formula in found:
        assert formula.count("{") == formula.count("}"), formula
        assert formula.count(r"\left") == formula.count(r"\right"), formula
        assert formula.count(r"\begin{aligned}") == formula.count(r"\end{aligned}"), formula
        depth = 0
        for mark in re.findall(r"(?<!\\)[{}]", formula):
            depth += 1 if mark == "{" else -1
            assert depth >= 0, formula
        assert "nan" not in formula and "inf" not in formula
        assert not re.search(r"(?<!\\)%", formula), "a bare % starts a comment in LaTeX"


TYPESET = set()  # lines that were, whatever their digits


def test_latex_can_be_typeset(work):
    """By matplotlib, which knows no aligned environment: line by line, those that differ by digits alone once."""
    parser = pytest.importorskip("matplotlib.mathtext").MathTextParser("path")
    for formula in formulas(work[1].markdown):
        body = formula.replace(r"\begin{aligned}", "").replace(r"\end{aligned}", "")
        for line in body.split(r"\\"):
            line = re.sub(r"\d+", "1", line.replace("&", "").strip())
            if line not in TYPESET:
                parser.parse(f"${line}$")
                TYPESET.add(line)


def test_the_text_has_no_latex(work):
    assert not re.search(r"[\\${}]", work[1].text)


def test_the_numbers_put_in_are_those_given(calculation):
    """Another record gives another solution, and each shows its own."""
    v = next(v for v in calculation.inputs if not v.is_list and calculation.example[v.name] != 0.0)
    value = calculation.example[v.name] * 1.03125
    moved = calculation.work(**(calculation.example | {v.name: value})).text
    assert f"= {quantity_text(v, value)}" in moved
    own_line = re.escape(f"  {v.plain_symbol} = {quantity_text(v, calculation.example[v.name])}")
    assert not re.search(own_line + r"[: ,]", moved[moved.index("Given") : moved.index("Solution")])


def test_only_one_record_is_worked(calculation):
    v = next(v for v in calculation.inputs if not v.is_list)
    with pytest.raises(ValueError, match="worked solution is of one record"):
        calculation.work(**(calculation.example | {v.name: [calculation.example[v.name]] * 2}))


def test_the_row_of_a_table_can_be_chosen():
    density = lutum.field.hydraulics.equivalent_density
    every = density(**density.example)
    for row in range(3):
        solution = density.work(**density.example, row=row)
        steps = solution.text[: solution.text.index("Source and assumptions")]
        assert f"= {every.pressure[row]:.6g} psi" in steps
        assert solution.text.count(f"worked: {row}") == solution.markdown.count(f"worked: {row}") == 1
        for value in every.equivalent_density:
            assert f"{value:.6g}" in solution.text and f"{value:.6g}" in solution.markdown
    for row in (3, -1):
        with pytest.raises(ValueError, match=f"row {row} is not in the table of 3 rows"):
            density.work(**density.example, row=row)
    with pytest.raises(ValueError, match="row chooses a row of a table"):
        lutum.field.clay.methylene_blue.work(5.0, 1.0, row=0)


def test_a_missing_reading_leaves_its_results_out():
    viscometer = lutum.field.rheology.viscometer
    text = viscometer.work(speed=[300, 200], reading=[40, 31], temperature=120.0).text
    assert "42.6638 lb/100 ft2" in text
    assert "missing" not in text and "nan" not in text and "32.5" not in text


def test_a_chain_shows_the_calculation_inside():
    text = lutum.field.solids.water_base_retort.work(**lutum.field.solids.water_base_retort.example).text
    assert "Sodium chloride brine from its chloride" in text
    assert text.index("Solution") < text.index("Sodium chloride brine") < text.index("Low-gravity solids by volume")
