"""Every code block of README.md and DEVELOPERS.md runs."""

import re
import subprocess
import tomllib
from pathlib import Path

import pytest

import lutum

ROOT = Path(__file__).resolve().parents[2]


def blocks(document: str, language: str) -> list[str]:
    text = (ROOT / document).read_text()
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


def compile_and_run(source: str, folder: Path) -> str:
    (folder / "main.cpp").write_text(source)
    program = folder / "main"
    command = ["g++", "-std=c++20", "-Wall", "-Wextra", "-Werror", "-ffp-contract=off", "-I", str(folder), "-I", str(ROOT / "cpp/include")]
    subprocess.run([*command, str(folder / "main.cpp"), "-o", str(program)], check=True)
    return subprocess.run([str(program)], check=True, capture_output=True, text=True).stdout


def test_readme_python(capsys):
    scope: dict = {}
    for block in blocks("README.md", "python"):
        exec(compile(block, "README.md", "exec"), scope)
    printed = capsys.readouterr().out
    assert "low-gravity solids 9.6 %" in printed
    assert "wed clay.methylene_blue: dye_volume = -1 mL is outside its limit, from 0 mL to 1000 mL" in printed
    assert "= 25 lb/bbl" in printed


def test_readme_cpp(tmp_path):
    (block,) = blocks("README.md", "cpp")
    printed = compile_and_run(block, tmp_path)
    assert printed.startswith("71.325 kg/m3\n")
    assert "dye_volume = -5 mL is outside its limit" in printed
    assert "low-gravity solids 9.6 %" in printed


def test_readme_commands_are_there():
    for command in re.findall(r"^bash (\S+)", "\n".join(blocks("README.md", "bash") + blocks("DEVELOPERS.md", "bash")), re.MULTILINE):
        assert (ROOT / command).is_file(), command


def test_recipe_for_a_calculation(tmp_path):
    """The header of the recipe compiles as it stands and gives its own check value, in a batch too."""
    (header,) = blocks("DEVELOPERS.md", "cpp")
    (check,) = (tomllib.loads(block) for block in blocks("DEVELOPERS.md", "toml"))
    (tmp_path / "recipe.hpp").write_text(header)
    source = """
#include <cstdio>
#include "recipe.hpp"
#include "lutum/core/batch.hpp"
int main() {
  using namespace lutum;
  static_assert(described<density::HydrostaticPressure>());
  const Unit& density_unit = field_units[Quantity::density];
  const Unit& depth_unit = field_units[Quantity::length];
  const double density = density_unit.to_si(10.0), depth = depth_unit.to_si(1000.0);
  const double p = density::hydrostatic_pressure({.fluid_density = density, .true_vertical_depth = depth}).pressure;
  double out = 0.0;
  const InColumn in[] = {{reinterpret_cast<const char*>(&density), 8, 0, 1.0, 0.0}, {reinterpret_cast<const char*>(&depth), 8, 0, 1.0, 0.0}};
  const OutColumn to[] = {{reinterpret_cast<char*>(&out), 8, 0, 1.0, 0.0}};
  batch<density::HydrostaticPressure>(in, to, 1, 1);
  std::printf("%.17g %d", field_units[Quantity::pressure].from_si(p), out == p);
}
"""
    value, same = compile_and_run(source, tmp_path).split()
    expected = check["case"][0]["expect"]["pressure"]
    assert float(value) == pytest.approx(expected["value"], rel=expected["relative"])
    assert same == "1"
    assert check["calculation"] == "density.hydrostatic_pressure"


def test_documents_name_only_what_is_there():
    """A path in backticks that DEVELOPERS.md names exists (the recipe's own header apart)."""
    text = (ROOT / "DEVELOPERS.md").read_text()
    for path in set(re.findall(r"`((?:cpp|bindings|python|tests|notebooks)/[\w./]+)`", text)):
        if "density" not in path:
            assert (ROOT / path).exists(), path


def test_version_is_the_headers():
    header = (ROOT / "cpp/include/lutum/core/version.hpp").read_text()
    assert lutum.__version__ == ".".join(re.findall(r"#define LUTUM_VERSION_(?:MAJOR|MINOR|PATCH) (\d+)", header))
