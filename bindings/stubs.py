"""Writes the stub files of the unit sets from the catalogue: python stubs.py FOLDER_OF_CORE OUTPUT_FOLDER

Runs in the build, where the package is not installed yet: it takes the extension from the folder it was linked into, and
the one module that knows how a calculation looks in Python from the source tree.
"""

import importlib
import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

SYSTEMS = {
    "field": "US oilfield units: lb/gal, lb/bbl, ft, in, psi, gal/min, degF, cP, lb/100 ft2.",
    "metric": "Metric units of the trade: kg/m3, m, mm, kPa, L/min, degC, mPa.s, Pa.",
    "si": "SI units throughout: kg, m, s, K, Pa, mol.",
}

AREA = '''"""{area} calculations in {system} units."""

from collections.abc import Mapping, Sequence
from typing import Any, Generic, Literal, NamedTuple, Protocol, TypeVar, overload

import numpy as np
from numpy.typing import NDArray

from lutum.calculation import Calculation, Finding, Uncertainty, Work

__all__ = [{names}]

class _Column(Protocol):
    """A Series of any frame library."""

    def to_numpy(self, *args: Any, **named: Any) -> Any: ...

class _FrameLike(Protocol):
    """A table with named columns."""

    @property
    def columns(self) -> Any: ...
    def __getitem__(self, key: Any, /) -> Any: ...

_T = TypeVar("_T")
_Frame = TypeVar("_Frame", bound=_FrameLike)
_Numbers = NDArray[np.floating[Any] | np.integer[Any]]
_Values = float | np.floating[Any] | np.integer[Any] | Sequence[float] | Sequence[Sequence[float]] | _Numbers | _Column

'''

SET = '''"""{doc}"""

from lutum._sets import UnitSet
{imports}

__all__ = [{names}]

units_of_set: UnitSet

def unit(quantity: str) -> str:
    """The unit this set uses for a quantity, as the trade writes it."""
'''


def load_source() -> ModuleType:
    """The module lutum._source by its path."""
    path = Path(__file__).resolve().parent.parent / "python" / "lutum" / "_source.py"
    spec = importlib.util.spec_from_file_location("lutum_source", path)
    if spec is None or spec.loader is None:
        raise ImportError(f"{path} is missing")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def load_core(folder: Path) -> Any:
    """The extension of this folder, whatever is installed."""
    sys.path.insert(0, str(folder))
    try:
        core = importlib.import_module("_core")
    finally:
        sys.path.remove(str(folder))
    if core.__file__ is None or not Path(core.__file__).parent.samefile(folder):
        raise ImportError(f"{folder} holds no _core; the one found is {core.__file__}")
    return core


def quoted(names: list[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)


def write_stubs(core: Any, out: Path) -> list[Path]:
    source = load_source()
    areas: dict[str, list[str]] = {}
    for calculation_id in core.calculations():
        area, name = calculation_id.split(".")
        areas.setdefault(area, []).append(name)
    written = []
    for system, doc in SYSTEMS.items():
        folder = out / "lutum" / system
        folder.mkdir(parents=True, exist_ok=True)
        for area, names in areas.items():
            parts = [AREA.format(area=area.replace("_", " ").capitalize(), system=system, names=quoted(names))]
            for name in names:
                bound = core.Calculation(f"{area}.{name}", system, {})
                parts.append(source.stub_source(bound.describe(), system, bound.example()))
            written.append(folder / f"{area}.pyi")
            written[-1].write_text("\n".join(parts), encoding="utf-8")
        imports = "\n".join(f"from lutum.{system} import {area} as {area}" for area in areas)
        written.append(folder / "__init__.pyi")
        written[-1].write_text(SET.format(doc=doc, imports=imports, names=quoted([*areas, "unit", "units_of_set"])), encoding="utf-8")
    return written


def main() -> int:
    if len(sys.argv) != 3:
        print(__doc__, file=sys.stderr)
        return 2
    for path in write_stubs(load_core(Path(sys.argv[1])), Path(sys.argv[2])):
        print(path)
    return 0


if __name__ == "__main__":
    sys.exit(main())
