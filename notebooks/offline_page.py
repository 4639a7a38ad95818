"""An HTML page of an executed notebook that needs nothing from the network: formulas as MathML, figures inside."""

import re

import nbformat
from latex2mathml.converter import convert
from nbconvert import HTMLExporter
from nbconvert.filters import markdown2html

FORMULA = re.compile(r"\$\$(?P<block>.+?)\$\$|(?<![\\$\w])\$(?P<inline>[^$\n]+?)\$(?!\w)", re.DOTALL)
CODE = re.compile(r"(```.*?```|`[^`\n]*`)", re.DOTALL)
LOADED = re.compile(r'<script[^>]*\bsrc="https?://[^"]*"[^>]*>\s*</script>')
ALIGNED = re.compile(r"^\\begin\{aligned\}(.*)\\end\{aligned\}$", re.DOTALL)


def _cell(latex: str, side: str) -> str:
    return f'<mtd style="text-align:{side}; padding:0.25em 0">{_inner(latex)}</mtd>'


def _inner(latex: str) -> str:
    return re.sub(r"^<math[^>]*>|</math>$", "", convert(latex.strip() or "{}"))


def mathml(latex: str, display: str) -> str:
    """One formula; lines aligned at a sign become the rows of a table."""
    latex = latex.strip()
    aligned = ALIGNED.match(latex)
    if aligned:
        rows = (line.split("&", 1) for line in re.split(r"\\\\(?:\[[^\]]*\])?", aligned[1]))
        inner = "".join(f"<mtr>{_cell(row[0], 'right')}{_cell(row[1], 'left')}</mtr>" for row in rows)
        inner = f'<mtable displaystyle="true">{inner}</mtable>'
    else:
        inner = _inner(latex)
    return f'<math xmlns="http://www.w3.org/1998/Math/MathML" display="{display}">{inner}</math>'


def with_mathml(markdown: str) -> str:
    """Markdown with its formulas as MathML; code is left alone."""

    def formula(match: re.Match[str]) -> str:
        if match["block"] is not None:
            return f"\n\n<div>{mathml(match['block'], 'block')}</div>\n\n"
        return mathml(match["inline"], "inline")

    parts = CODE.split(markdown)
    return "".join(part if i % 2 else FORMULA.sub(formula, part) for i, part in enumerate(parts))


def page(notebook: nbformat.NotebookNode, title: str) -> str:
    """The page as text. The notebook itself is not changed."""
    copy = nbformat.from_dict(notebook)
    for cell in copy.cells:
        if cell.cell_type == "markdown":
            cell.source = with_mathml(cell.source)
        for output in cell.get("outputs", []):
            shown = output.get("data", {})
            if "text/markdown" in shown:  # as HTML, since the exporter takes MathML out of Markdown
                shown["text/html"] = markdown2html(with_mathml(shown.pop("text/markdown")))
    exporter = HTMLExporter(embed_images=True, sanitize_html=False)
    html, _ = exporter.from_notebook_node(copy, {"metadata": {"name": title}})
    return LOADED.sub("", html)
