"""python -m lutum: checks, catalogue, worked solutions, folders for a C++ build, friendly errors."""

import subprocess
import sys

import pytest

import lutum
from lutum import checks
from lutum.__main__ import main

IDS = [c.sheet.id for c in lutum.catalogue()]


@pytest.fixture
def told(capsys):
    """told(*arguments): exit code, output, errors."""

    def run(*arguments):
        try:
            code = main(list(arguments))
        except SystemExit as stop:
            code = stop.code
        return code, *capsys.readouterr()

    return run


def test_check_reports_a_line_a_calculation(told):
    code, out, err = told("check")
    lines = out.splitlines()
    assert (code, err) == (0, ""), out
    assert [line.split()[0] for line in lines[:-1]] == IDS
    passed = sum(int(line.split()[3]) for line in lines[:-1])
    assert lines[-1] == f"{passed} passed, 0 failed"
    assert passed >= 4 * len(checks.load())


def test_check_fails_loudly(told, tmp_path):
    for case in IDS[1:]:
        (tmp_path / f"{case}.toml").write_text((checks.folder() / f"{case}.toml").read_text(encoding="utf-8"), encoding="utf-8")
    wrong = (checks.folder() / f"{IDS[0]}.toml").read_text(encoding="utf-8").replace("value = 4.75", "value = 4.8")
    (tmp_path / f"{IDS[0]}.toml").write_text(wrong, encoding="utf-8")
    code, out, _ = told("check", "--values", str(tmp_path))
    assert code == 1
    assert "dye five percent weak, alone" in out and "capacity is 4.75, expected 4.8" in out
    assert out.splitlines()[-1].endswith(" passed, 3 failed")


def test_check_misses_a_calculation_without_values(told, tmp_path):
    (tmp_path / f"{IDS[0]}.toml").write_text((checks.folder() / f"{IDS[0]}.toml").read_text(encoding="utf-8"), encoding="utf-8")
    code, out, _ = told("check", "--values", str(tmp_path))
    assert code == 1 and out.count("no check values") == len(IDS) - 1
    code, out, err = told("check", "--values", str(tmp_path / "nothing"))
    assert code == 2 and out == "" and "no check values" in err


@pytest.mark.parametrize("system", ["field", "metric", "si"])
def test_the_catalogue_is_readable_at_100_columns(told, system):
    code, out, _ = told("catalogue", "--units", system)
    assert code == 0
    assert all(len(line) <= 100 for line in out.splitlines())
    words = " ".join(out.split())
    for calculation in lutum.catalogue(system):
        assert calculation.sheet.id in words and calculation.sheet.title in words
        for v in (*calculation.inputs, *calculation.results):
            assert f"{v.name}{' list' if v.is_list else ''} [{v.unit or '-'}]" in words


def test_the_sheet_of_a_calculation(told, calculation):
    code, out, _ = told("catalogue", calculation.sheet.id)
    assert code == 0
    words = " ".join(out.split())
    for part in (calculation.sheet.answers, calculation.sheet.source, calculation.sheet.cautions):
        assert " ".join(part.split()) in words
    assert all(len(line) <= 100 for line in out.splitlines() if not line.startswith(">>>"))


def test_a_worked_solution(told):
    code, out, _ = told("work", "clay.methylene_blue", "dye_volume=5", "sample_volume=1")
    assert code == 0 and "25 lb/bbl" in out and out.startswith("Methylene blue capacity")
    code, out, _ = told("work", "clay.methylene_blue", "dye_volume=5", "sample_volume=1", "--units", "metric")
    assert code == 0 and "71.3253 kg/m3" in out
    code, out, _ = told("work", "rheology.viscometer", "speed=600,300", "reading=65,40", "temperature=120", "--markdown")
    assert code == 0 and r"25\,\mathrm{cP}" in out


def test_a_worked_row_of_a_table(told):
    table = ["bottom_measured_depth=1000,2000", "bottom_true_vertical_depth=1000,1900", "friction_gradient=0.01,0.02"]
    code, out, _ = told("work", "hydraulics.equivalent_density", "fluid_density=10", *table, "--row", "0")
    assert code == 0 and "worked: 0" in out


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        (["work", "clay.mbt", "dye=5"], "'clay.mbt' is unknown; known are\n  clay.methylene_blue"),
        (["catalogue", "clay.mbt"], "'clay.mbt' is unknown"),
        (["work", "clay.methylene_blue", "dye=5"], "no input 'dye'; it has dye_volume"),
        (["work", "clay.methylene_blue", "dye_volume"], "'dye_volume' is no input; write name=value"),
        (["work", "clay.methylene_blue", "dye_volume=five"], "dye_volume=five is not a number; give it in mL"),
        (["work", "clay.methylene_blue", "dye_volume=5,6", "sample_volume=1"], "dye_volume takes one number in mL; 2 were given"),
        (["work", "clay.methylene_blue", "dye_volume=5", "dye_volume=6"], "dye_volume is given twice"),
        (["work", "clay.methylene_blue", "dye_volume=5"], "sample_volume (mud in the flask) is required"),
        (["work", "clay.methylene_blue", "dye_volume=-5", "sample_volume=1"], "dye_volume = -5 mL is outside its limit"),
        (["work", "clay.methylene_blue", "dye_volume=5", "sample_volume=1", "--row", "1"], "row chooses a row of a table"),
        (["work", "clay.methylene_blue", "--units", "imperial"], "choose from"),
        (["wrok"], "invalid choice: 'wrok'"),
    ],
)
def test_mistakes_are_told(told, arguments, complaint):
    code, out, err = told(*arguments)
    assert code == 2 and out == ""
    assert complaint in err and "Traceback" not in err


def test_no_command_shows_help(told):
    code, out, _ = told()
    assert code == 0 and all(word in out for word in ("check", "catalogue", "work", "--cmakedir", "--includes"))


def test_folders_for_a_build(told):
    code, out, err = told("--includes")
    assert (code, out.strip()) == (0, lutum.get_include()) or (code == 1 and "was not installed from a wheel" in err)


def test_as_a_program():
    run = subprocess.run([sys.executable, "-W", "error", "-m", "lutum", "check"], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
    assert run.stdout.rstrip().endswith(" 0 failed")
