"""Compiler flags: those that change bits are refused, those that keep them are given, and no shipped file sets others."""

import json
import re
import shutil
import sys
from importlib.metadata import distribution
from pathlib import Path

import pybind11
import pytest

REFUSED = ["-ffast-math", "-Ofast", "-ffinite-math-only", "-march=native", "-ffp-contract=fast"]
KEEP_BITS = ["-O3", "-fno-math-errno", "-fno-trapping-math", "-ffp-contract=off"]


@pytest.mark.parametrize("variable", ["CMAKE_CXX_FLAGS", "CMAKE_CXX_FLAGS_RELEASE"])
@pytest.mark.parametrize("flag", REFUSED)
def test_refused_when_configuring(flag: str, variable: str, repository: Path, tmp_path: Path, run) -> None:
    done = run("cmake", "-S", repository, "-B", tmp_path, "-G", "Ninja", f"-D{variable}=-g {flag}", may_fail=True)
    assert done.returncode != 0
    assert f"{flag} is refused" in " ".join(done.stderr.split())


def test_every_kernel_and_binding_keeps_bits(repository: Path, build_folder: Path, run) -> None:
    build = build_folder / "flags"
    shutil.rmtree(build, ignore_errors=True)
    options = ["-DCMAKE_EXPORT_COMPILE_COMMANDS=ON", "-DLUTUM_BUILD_TESTS=OFF", "-DLUTUM_BUILD_EXAMPLES=OFF"]
    options += ["-DLUTUM_BUILD_PYTHON=ON", f"-DPython_EXECUTABLE={sys.executable}"]
    options += [f"-Dpybind11_DIR={pybind11.get_cmake_dir()}"]
    run("cmake", "-S", repository, "-B", build, "-G", "Ninja", *options)
    commands = json.loads((build / "compile_commands.json").read_text())
    assert {"kernels", "bindings"} <= {Path(entry["file"]).parent.name for entry in commands}
    kernels = [entry["command"].split() for entry in commands if Path(entry["file"]).name == "kernels.cpp"]
    tags = {word for command in kernels for word in command if word.startswith("-DLUTUM_ISA_TAG=")}
    assert len(tags) == len(kernels) > 0
    for entry in commands:
        words = entry["command"].split()
        assert [flag for flag in KEEP_BITS if flag not in words] == [], entry["file"]
        levels = [word.removeprefix("-march=") for word in words if word.startswith("-march=")]
        if levels:
            assert f"-DLUTUM_ISA_TAG=isa_{levels[-1].replace('-', '_')}" in words


def test_no_file_that_ships_sets_a_refused_flag(repository: Path) -> None:
    folders = ["cpp", "bindings", "python"]
    files = [file for folder in folders for file in (repository / folder).rglob("*") if file.is_file()]
    files += [repository / "CMakeLists.txt", repository / "pyproject.toml"]
    files += [Path(str(file.locate())) for file in distribution("lutum").files or []]
    # The list of refused flags, and the header that stops a compilation with them, have to name them.
    naming = {"LutumRefuseFlags.cmake", "isa.hpp"}
    text = {".cmake", ".txt", ".in", ".toml", ".hpp", ".cpp", ".py", ".pyi"}
    pattern = re.compile("|".join(re.escape(flag) for flag in REFUSED))
    seen = [file for file in files if file.suffix in text and file.name not in naming]
    assert len(seen) > 20
    assert [str(file) for file in seen if pattern.search(file.read_text(encoding="utf-8"))] == []


def test_formula_headers_include_the_standard_library_only(repository: Path) -> None:
    include = repository / "cpp" / "include"
    outside = re.compile(r'^\s*#\s*include\s*(?:<(?!lutum/)[^>]*[/.][^>]*>|"(?!lutum/))', re.MULTILINE)
    heavy = {"uncertainty", "fitting", "report"}
    headers = [file for file in include.rglob("*.hpp") if file.relative_to(include).parts[1] not in heavy]
    assert headers
    assert [str(file) for file in headers if outside.search(file.read_text(encoding="utf-8"))] == []
