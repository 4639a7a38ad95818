"""The page of a notebook keeps its formulas, wherever they stand, and what a cell shows as HTML."""

import re
import sys
from pathlib import Path

import nbformat
import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output

sys.path.insert(0, str(Path(__file__).parents[2] / "notebooks"))
from offline_page import page

LAW = r"\tau = \tau_0 + K \dot\gamma^n"
MATHML = (
    "<mi>τ</mi><mo>=</mo><msub><mi>τ</mi><mn>0</mn></msub><mo>+</mo><mi>K</mi>"
    "<msup><mover><mi>γ</mi><mo>˙</mo></mover><mi>n</mi></msup>"
)


def main_of(*cells):
    html = page(new_notebook(cells=list(cells)), "test")
    return html[html.index("<main>") : html.index("</main>")]


def shows(**data):
    kinds = {kind.replace("_", "/"): text for kind, text in data.items()}
    return new_code_cell("1", outputs=[new_output("display_data", data=kinds)])


@pytest.mark.parametrize("text", ["A law, ${}$, goes.", "$${}$$", "## A heading, ${}$", "- a list: ${}$", "| a | b |\n|---|---|\n| 1 | ${}$ |"])
def test_a_formula_is_whole_in_a_markdown_cell_and_in_an_output(text):
    markdown = text.replace("{}", LAW)
    for shown in (main_of(new_markdown_cell(markdown)), main_of(shows(text_markdown=markdown))):
        (formula,) = re.findall(r"<math[^>]*>(.*?)</math>", shown)
        assert MATHML in formula and "$" not in shown


def test_code_and_amounts_of_money_are_no_formulas():
    shown = main_of(new_markdown_cell("Write `$x$`; it costs \\$5 or \\$6."))
    assert "<math" not in shown and "<code>$x$</code>" in shown and "$5 or $6" in shown


def test_html_of_an_output_is_kept_beside_its_markdown():
    shown = main_of(shows(text_html="<b>own</b>", text_markdown="other", text_plain="plain"))
    assert "<b>own</b>" in shown and "other" not in shown and "plain" not in shown


def test_the_notebook_itself_is_not_changed():
    notebook = new_notebook(cells=[new_markdown_cell("$x$"), shows(text_markdown="$y$")])
    before = nbformat.writes(notebook)
    page(notebook, "test")
    assert nbformat.writes(notebook) == before
