"""Every notebook runs from the top without an error."""

import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"


@pytest.mark.parametrize("notebook", sorted(NOTEBOOKS.glob("*.ipynb")), ids=lambda path: path.stem)
def test_runs_from_the_top(notebook: Path, tmp_path: Path) -> None:
    run = subprocess.run(
        [sys.executable, NOTEBOOKS / "execute.py", notebook, "--output", tmp_path], capture_output=True, text=True
    )
    assert run.returncode == 0, run.stdout[-2000:] + run.stderr[-6000:]
    cells = nbformat.read(tmp_path / notebook.name, as_version=4).cells
    code = [cell for cell in cells if cell.cell_type == "code" and cell.source.strip()]
    assert code, "a notebook without code shows nothing"
    assert all(cell.execution_count for cell in code)
    assert (tmp_path / f"{notebook.stem}.html").stat().st_size > 0


def test_a_failing_cell_is_reported(tmp_path: Path) -> None:
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("1 / 0"), nbformat.v4.new_code_cell("2")])
    nbformat.write(notebook, tmp_path / "broken.ipynb")
    run = subprocess.run(
        [sys.executable, NOTEBOOKS / "execute.py", tmp_path / "broken.ipynb", "--output", tmp_path / "out"],
        capture_output=True,
        text=True,
    )
    assert run.returncode == 1
    assert "ZeroDivisionError" in run.stderr
    assert (tmp_path / "out" / "broken.html").exists()
