"""The installed wheel holds everything it should, found by walking the source tree, and nothing else."""

import hashlib
import subprocess
import sys
from importlib.metadata import distribution
from pathlib import Path, PurePosixPath

import pytest


@pytest.fixture(scope="module")
def installed() -> dict[str, Path]:
    """Every file of the installed wheel: its name in the wheel and where it is."""
    files = distribution("lutum").files or []
    return {str(file): Path(str(file.locate())) for file in files if "__pycache__" not in file.parts}


def expected(repository: Path) -> dict[str, Path]:
    """Name in the wheel and source file of all that is copied unchanged."""
    sources = {
        "cpp/include": "include",
        "tests/check_values": "check_values",
        "python/lutum": ".",
    }
    copied: dict[str, Path] = {}
    for folder, target in sources.items():
        for file in (repository / folder).rglob("*"):
            if file.is_file() and "__pycache__" not in file.parts:
                name = PurePosixPath("lutum", target, file.relative_to(repository / folder).as_posix())
                copied[str(name)] = file
    return copied


def checksum(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


@pytest.mark.parametrize("part", ["include", "check_values", "python"])
def test_sources_are_in_the_wheel_unchanged(part: str, repository: Path, installed: dict[str, Path]) -> None:
    files = expected(repository)
    kind = {"include": "lutum/include/", "check_values": "lutum/check_values/"}
    chosen = {
        name: file
        for name, file in files.items()
        if (name.startswith(kind[part]) if part in kind else not name.startswith(tuple(kind.values())))
    }
    assert chosen
    assert sorted(chosen.keys() - installed.keys()) == []
    assert [name for name, file in chosen.items() if checksum(file) != checksum(installed[name])] == []


def test_made_files_are_in_the_wheel(installed: dict[str, Path]) -> None:
    config = "lutum/share/cmake/lutum/"
    for name in ("lutumConfig.cmake", "lutumConfigVersion.cmake", "LutumComponents.cmake"):
        assert config + name in installed
    for name in ("lutum", "uncertainty", "report"):
        assert f"{config}lutum_{name}Targets.cmake" in installed
    assert "lutum/py.typed" in installed
    assert [name for name in installed if name.startswith("lutum/_core.") and name.endswith((".so", ".pyd"))]


@pytest.mark.parametrize("unit_set", ["field", "metric", "si"])
def test_every_area_has_a_stub(unit_set: str, repository: Path, installed: dict[str, Path]) -> None:
    folders = [folder.name for folder in (repository / "cpp/include/lutum").iterdir() if folder.is_dir()]
    areas = set(folders) - {"core", "uncertainty", "fitting", "report"}
    assert areas
    start = f"lutum/{unit_set}/"
    stubs = {name.removeprefix(start) for name in installed if name.startswith(start) and name.endswith(".pyi")}
    assert areas - {stub.split("/")[0].removesuffix(".pyi") for stub in stubs} == set()


def test_nothing_else_is_in_the_wheel(repository: Path, installed: dict[str, Path]) -> None:
    made = ("lutum/share/cmake/lutum/", "lutum/_core.", "lutum/field/", "lutum/metric/", "lutum/si/", "lutum-")
    unknown = installed.keys() - expected(repository).keys()
    assert sorted(name for name in unknown if not name.startswith(made)) == []


def test_folders_are_told_on_the_command_line() -> None:
    def told(option: str) -> Path:
        command = [sys.executable, "-m", "lutum", option]
        return Path(subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip())

    assert (told("--cmakedir") / "lutumConfig.cmake").is_file()
    assert (told("--includes") / "lutum" / "lutum.hpp").is_file()


def test_versions_agree(repository: Path) -> None:
    header = (repository / "cpp/include/lutum/core/version.hpp").read_text()
    numbers = [line.split()[-1] for line in header.splitlines() if line.startswith("#define LUTUM_VERSION_")]
    assert distribution("lutum").version == ".".join(numbers)
    config = Path(str(distribution("lutum").locate_file("lutum/share/cmake/lutum/lutumConfigVersion.cmake")))
    assert f'PACKAGE_VERSION "{".".join(numbers)}"' in config.read_text()
