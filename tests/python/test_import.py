"""What an import brings with it, and what is there after one."""

import subprocess
import sys

import pytest

import lutum


def run(code, *flags):
    done = subprocess.run([sys.executable, *flags, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_an_import_brings_no_study_packages():
    """Frames, plots and statistics come when they are asked for; a first call does not ask for them either."""
    code = """
import sys
from lutum import field
field.clay.methylene_blue(5.0, 1.0)
field.clay.methylene_blue([5.0, 6.0], 1.0)
field.clay.methylene_blue.gradient(5.0, 1.0)
field.clay.methylene_blue.work(5.0, 1.0)
field.clay.methylene_blue.check(5.0, 1.0)
print(*sorted(sys.modules))
"""
    loaded = set(run(code).split())
    heavy = {"pandas", "scipy", "matplotlib", "narwhals", "uncertainties", "openpyxl", "pyarrow", "mypy"}
    assert not heavy & loaded
    assert not {"lutum.records", "lutum.offset", "lutum.demo", "lutum.checks"} & loaded
    assert "concurrent.futures" not in loaded, "threads are for frames"
    assert {"numpy", "lutum._core", "lutum.field"} <= loaded


def test_only_the_set_asked_for_is_opened():
    loaded = run("import sys, lutum; print(*sys.modules)").split()
    assert "lutum._core" in loaded and "lutum.field" not in loaded and "lutum.units" not in loaded


def test_an_import_warns_of_nothing():
    run("import lutum; from lutum import field, metric, si, units; lutum.catalogue()", "-W", "error", "-X", "dev")


def test_areas_import_like_modules():
    run("""
from lutum.field import clay, brine
from lutum.si.hydraulics import slot_pressure_gradient
import lutum.metric.solids as solids
import lutum
assert clay is lutum.field.clay
assert solids.water_base_retort is lutum.metric.solids.water_base_retort
assert slot_pressure_gradient is lutum.si.hydraulics.slot_pressure_gradient
""")


def test_no_floating_point_mode_is_changed():
    """Denormal numbers stay numbers for the whole process."""
    run("""
import numpy as np
from lutum import field
field.brine.sodium_chloride(np.full(100, 70000.0))
tiny = np.float64(5e-324)
assert tiny > 0 and tiny * 1.0 == tiny and np.float64(2.3e-308) / 4 > 0
""")


def test_the_surface_is_what_is_listed():
    assert set(lutum.__all__) <= set(dir(lutum))
    for name in lutum.__all__:
        assert getattr(lutum, name) is not None
    assert {"checks", "records", "units"} <= set(dir(lutum))
    with pytest.raises(AttributeError, match="no attribute 'fields'"):
        _ = lutum.fields


def test_the_catalogue_in_every_set():
    ids = [c.sheet.id for c in lutum.catalogue()]
    assert ids == [c.sheet.id for c in lutum.catalogue("si")] == [c.sheet.id for c in lutum.catalogue("metric")]
    assert len(ids) >= 6
    with pytest.raises(ValueError, match="choose field, metric or si"):
        lutum.catalogue("imperial")
