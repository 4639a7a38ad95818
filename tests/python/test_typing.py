"""The generated stubs, as a consumer's type checker sees them."""

import importlib.util
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import lutum
from lutum import _core

pytest.importorskip("mypy", reason="mypy is not installed")

STUBS = Path(__file__).resolve().parents[2] / "bindings" / "stubs.py"

CONSUMER = '''
from typing import Any, Literal, assert_type

import numpy as np
import lutum
from lutum import field, metric, si
from lutum.calculation import Uncertainty, Work
from lutum.field import clay
from lutum.field.clay import methylene_blue, MethyleneBlueResult, MethyleneBlueSlopes

class Table:
    """A frame of some library."""
    @property
    def columns(self) -> list[str]:
        return []
    def __getitem__(self, key: str) -> Any:
        return key

class Column:
    def to_numpy(self, dtype: Any = None, copy: bool = False) -> Any:
        return dtype

number = methylene_blue(5.0, 1.0)
assert_type(number, MethyleneBlueResult[float])
assert_type(number.capacity, float)
assert_type(field.clay.methylene_blue(dye_volume=5, sample_volume=1, dye_strength=0.01).bentonite_equivalent, float)
assert_type(clay.methylene_blue(np.ones(3), 1.0), MethyleneBlueResult[Any])
assert_type(clay.methylene_blue(Column(), 1.0), MethyleneBlueResult[Any])
assert_type(clay.methylene_blue([1.0, 2.0], 1), MethyleneBlueResult[Any])
assert_type(clay.methylene_blue(Table()), Table)
assert_type(clay.methylene_blue(Table(), dye_strength=0.02), Table)
assert_type(clay.methylene_blue.gradient(5.0, 1.0), MethyleneBlueResult[MethyleneBlueSlopes[Any]])
assert_type(clay.methylene_blue.uncertainty(5.0, 1.0, standard={"dye_volume": 0.3}).capacity, Uncertainty)
assert_type(clay.methylene_blue.work(5.0, 1.0), Work)
assert_type(metric.brine.sodium_chloride(70000.0).density, float)
assert_type(metric.brine.sodium_chloride.sheet.title, str)
assert_type(field.rheology.viscometer([600, 300], [65.0, 40.0], temperature=120.0).yield_point, Any)
slot = si.hydraulics.slot_pressure_gradient
regime = slot.judge(1200.0, 5.0, 0.3, 0.7, 0.2, 0.1, 0.01)
assert_type(regime, Literal["laminar", "transitional", "turbulent", "no_gap", "missing"])
assert_type(si.hydraulics.equivalent_density(1200.0, [1000.0], [1000.0], [0.0]).pressure, Any)
assert_type(field.unit("density"), str)
assert_type(lutum.catalogue()[0].sheet.id, str)
lutum.unit_set("metric", density="g/cm3").solids.water_base_retort
'''

WRONG = {
    'field.clay.methylene_blue("5", 1.0)': 'incompatible type "str"',
    "field.clay.methylene_blue(5.0)": "No overload variant",
    "field.clay.methylene_blue(5.0, 1.0, strength=0.01)": "No overload variant",
    "field.clay.methylene_blue(5.0, 1.0).equivalent": "has no attribute",
    "field.clay.methylene_bleu(5.0, 1.0)": "Module has no attribute",
    "field.clay.methylene_blue.judge(5.0, 1.0)": "has no attribute",
}


@pytest.fixture(scope="module")
def stubbed(tmp_path_factory):
    """A folder with the package and freshly written stubs, for mypy to read as source."""
    place = tmp_path_factory.mktemp("stubs")
    core = Path(_core.__file__).parent
    run = subprocess.run([sys.executable, STUBS, core, place], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    package = Path(lutum.__file__).parent
    for path in [*package.glob("*.py"), *package.glob("*.pyi"), *package.glob("*/__init__.py"), package / "py.typed"]:
        target = place / "lutum" / path.relative_to(package)
        if path.parent == package or target.parent.is_dir():
            shutil.copy(path, target)
    return place


def mypy(place, code):
    (place / "consumer.py").write_text(code, encoding="utf-8")
    config = place / "mypy.ini"
    config.write_text("[mypy]\nstrict = True\n", encoding="utf-8")
    command = [sys.executable, "-m", "mypy", "--config-file", config, "--cache-dir", place / "cache", "consumer.py"]
    return subprocess.run(command, cwd=place, capture_output=True, text=True, check=False)


def test_a_strict_consumer_is_accepted(stubbed):
    run = mypy(stubbed, CONSUMER)
    assert run.returncode == 0, run.stdout + run.stderr


def test_mistakes_are_found(stubbed):
    lines = ["from lutum import field", *WRONG]
    run = mypy(stubbed, "\n".join(lines) + "\n")
    for number, (line, complaint) in enumerate(WRONG.items(), start=2):
        told = [text for text in run.stdout.splitlines() if text.startswith(f"consumer.py:{number}: error")]
        assert any(complaint in text for text in told), f"{line}: {told}"


def test_every_calculation_has_a_stub_in_every_set(stubbed):
    for calculation in lutum.catalogue():
        area, name = calculation.sheet.id.split(".")
        for system in ("field", "metric", "si"):
            text = (stubbed / "lutum" / system / f"{area}.pyi").read_text(encoding="utf-8")
            assert f"\n{name}: " in text
            for v in (*calculation.inputs, *calculation.results):
                assert f"    {v.name}: _T\n" in text


def test_stubs_tell_units_of_their_set(stubbed):
    for system in ("field", "metric", "si"):
        for calculation in lutum.catalogue(system):
            text = (stubbed / "lutum" / system / f"{calculation.sheet.id.split('.')[0]}.pyi").read_text(encoding="utf-8")
            for v in (*calculation.inputs, *calculation.results):
                assert f"{v.meaning} [{v.unit or '-'}]" in text


def test_stub_parameters_are_those_of_the_calculation(stubbed):
    import ast
    import inspect

    for calculation in lutum.catalogue():
        tree = ast.parse((stubbed / "lutum" / "field" / f"{calculation.sheet.id.split('.')[0]}.pyi").read_text(encoding="utf-8"))
        class_ = next(node for node in tree.body if isinstance(node, ast.ClassDef) and node.name == type(calculation).__name__)
        last = [node for node in class_.body if isinstance(node, ast.FunctionDef) and node.name == "__call__"][-1]
        assert [argument.arg for argument in (*last.args.args, *last.args.kwonlyargs)][1:] == list(inspect.signature(calculation).parameters)


def test_the_writer_of_stubs_refuses_an_empty_folder(tmp_path):
    run = subprocess.run([sys.executable, STUBS, tmp_path, tmp_path], capture_output=True, text=True, check=False)
    assert run.returncode != 0
    assert "_core" in run.stderr


def test_mypy_reads_the_package_itself_as_typed():
    assert (Path(lutum.__file__).parent / "py.typed").is_file()
    assert importlib.util.find_spec("lutum") is not None
