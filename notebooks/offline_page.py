"""An HTML page of an executed notebook that needs nothing from the network: formulas as MathML, figures inside, code folded."""

import re

import nbformat
from latex2mathml.converter import convert
from nbconvert import HTMLExporter
from nbconvert.filters import markdown2html

FORMULA = re.compile(r"\$\$(?P<block>.+?)\$\$|(?<![\\$\w])\$(?P<inline>[^$\n]+?)\$(?!\w)", re.DOTALL)
CODE = re.compile(r"(```.*?```|`[^`\n]*`)", re.DOTALL)
LOADED = re.compile(r'<script[^>]*\bsrc="https?://[^"]*"[^>]*>\s*</script>')
SHORT_CELL = re.compile(r"<(td|th)>(?=[^<]{0,32}</)")  # a name, a number: broken over lines it is hard to read
STYLE = """<style>
.jp-OutputArea-output { overflow-x: auto; max-width: 100%; }
.jp-OutputArea-output table { font-size: 11px; width: max-content; max-width: none; }
.jp-OutputArea-output td, .jp-OutputArea-output th { max-width: 38em; white-space: normal; padding: 0.3em 0.5em; }
.jp-OutputArea-output pre { word-break: normal; overflow-wrap: anywhere; }
.jp-OutputArea-output .short { white-space: nowrap; }
.jp-OutputArea-output thead th.short, .jp-OutputArea-output thead th { white-space: normal; max-width: 9em; vertical-align: bottom; }
.show-code { margin: 0 0.4em 0 var(--jp-notebook-padding, 10px); }
.show-code:not(:checked) ~ main .jp-CodeCell > .jp-Cell-inputWrapper { display: none; }
@media print { .show-code, .show-code + label { display: none; } }
</style>
"""
# before <main>, so that the style above can ask whether it is checked: no script is needed
CONTROL = '<input type="checkbox" class="show-code" id="show-code"><label for="show-code">show the code</label>\n'
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
    return f'<math display="{display}">{inner}</math>'


def with_mathml(markdown: str) -> str:
    """Markdown with its formulas as MathML; code is left alone."""

    def formula(match: re.Match[str]) -> str:
        if match["block"] is not None:
            return f"\n\n<div>{mathml(match['block'], 'block')}</div>\n\n"
        return mathml(match["inline"], "inline")

    parts = CODE.split(markdown)
    return "".join(part if i % 2 else FORMULA.sub(formula, part) for i, part in enumerate(parts))


def page(notebook: nbformat.NotebookNode, title: str) -> str:
    """The page as text. The notebook itself is not changed. A picture in a Markdown cell must be an attachment."""
    copy = nbformat.from_dict(notebook)
    for cell in copy.cells:
        if cell.cell_type == "markdown":
            cell.source = with_mathml(cell.source)
        for output in cell.get("outputs", []):
            shown = output.get("data", {})
            if "text/markdown" in shown and "text/html" not in shown:
                shown["text/html"] = markdown2html(with_mathml(shown.pop("text/markdown")))
            if "<table" in shown.get("text/html", ""):
                shown["text/html"] = SHORT_CELL.sub(r'<\1 class="short">', shown["text/html"])
    exporter = HTMLExporter(embed_images=False, sanitize_html=False)  # embedding would take the MathML of Markdown cells apart
    html, _ = exporter.from_notebook_node(copy, {"metadata": {"name": title}})
    before, main, after = html.partition("<main>")
    if not main:
        raise ValueError("the exporter's page has no <main>: the control that folds the code has no place")
    return LOADED.sub("", before.replace("</head>", f"{STYLE}</head>", 1) + CONTROL + main + after)
