"""Runs a notebook from the top and keeps what it shows.

    python notebooks/execute.py notebooks/02_offset_study.ipynb --output build/offset_study

The folder then holds the executed notebook, the same as an HTML page, and every figure as a file of its own.
"""

import argparse
import base64
import sys
import time
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError

sys.path.insert(0, str(Path(__file__).resolve().parent))
from offline_page import page

SECONDS_A_CELL = 600
IMAGES = {"image/png": "png", "image/svg+xml": "svg"}


def first_line(source: str) -> str:
    """The first line of a cell that says something, for the progress display."""
    lines = [line.strip() for line in source.splitlines() if line.strip()]
    return lines[0][:70] if lines else "(empty)"


def execute(path: Path) -> tuple[nbformat.NotebookNode, str | None]:
    """The executed notebook and, if a cell failed, what went wrong. The notebook's own folder is its working folder."""
    notebook = nbformat.read(path, as_version=4)
    total = len(notebook.cells)
    started = time.monotonic()

    def before(cell: nbformat.NotebookNode, cell_index: int) -> None:
        nonlocal started
        started = time.monotonic()
        print(f"[{cell_index + 1}/{total}] {first_line(cell.source)}", end="", flush=True)

    def after(cell: nbformat.NotebookNode, cell_index: int, execute_reply: dict[str, object]) -> None:
        print(f"  {time.monotonic() - started:.1f} s", flush=True)

    client = NotebookClient(
        notebook,
        timeout=SECONDS_A_CELL,
        kernel_name="python3",
        extra_arguments=["--IPKernelApp.log_level=40"],  # errors only, not that it talks over the loopback address
        resources={"metadata": {"path": str(path.resolve().parent)}},
        on_cell_execute=before,
        on_cell_executed=after,
    )
    try:
        client.execute()
    except (CellExecutionError, CellTimeoutError, DeadKernelError) as error:
        return notebook, str(error)
    return notebook, None


def write_figures(notebook: nbformat.NotebookNode, folder: Path, stem: str) -> list[Path]:
    """Every figure that a cell shows, numbered in reading order."""
    written: list[Path] = []
    outputs = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    for output in outputs:
        for kind, ending in IMAGES.items():
            if kind not in output.get("data", {}):
                continue
            content = output["data"][kind]
            file = folder / f"{stem}_figure_{len(written) + 1:02d}.{ending}"
            file.write_bytes(base64.b64decode(content) if kind == "image/png" else content.encode())
            written.append(file)
            break
    return written


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("notebook", type=Path)
    parser.add_argument("--output", type=Path, required=True, help="folder for the results; made when absent")
    chosen = parser.parse_args(arguments)
    if not chosen.notebook.is_file():
        print(f"There is no notebook {chosen.notebook}", file=sys.stderr)
        return 2

    notebook, problem = execute(chosen.notebook)
    folder, stem = chosen.output, chosen.notebook.stem
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob(f"{stem}*"):
        old.unlink()
    nbformat.write(notebook, folder / f"{stem}.ipynb")
    (folder / f"{stem}.html").write_text(page(notebook, stem), encoding="utf-8")
    figures = write_figures(notebook, folder, stem)
    print(f"{folder}: {stem}.ipynb, {stem}.html and {len(figures)} figures")
    if problem is not None:
        print(f"\n{problem}\nThe notebook stopped at this cell; what ran before it is in {folder}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
