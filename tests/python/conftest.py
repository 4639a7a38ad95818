"""What tests over the whole catalogue share: a test that asks for `calculation` runs once for every one there is."""

import os
import sys
from pathlib import Path

import numpy as np
import pytest

import lutum

sys.path.insert(0, str(Path(__file__).parent))  # tests are no package: so they find invented_well


def shared_data(name):
    """A folder of open data below LUTUM_SHARED_DATA or a shared/data beside the repository; skips where it is absent."""
    given = os.environ.get("LUTUM_SHARED_DATA")
    roots = [Path(given)] if given else [p / "shared" / "data" for p in Path(__file__).resolve().parents]
    for root in roots:
        if (root / name).is_dir():
            return root / name
    pytest.skip(f"no folder {name} below LUTUM_SHARED_DATA or a shared/data beside the repository")


@pytest.fixture(scope="session")
def open_data():
    return shared_data


@pytest.fixture(scope="session")
def norwegian_shelf():
    return shared_data("norwegian_shelf")


@pytest.fixture(scope="session")
def deviated():
    from invented_well import deviated_well

    return deviated_well()


@pytest.fixture(scope="session")
def mud():
    from lutum.well import Fluid

    return Fluid.of(density=10.2, yield_stress=6.0, consistency=0.9, flow_index=0.65)


@pytest.fixture(scope="session")
def window():
    from lutum.well import Window

    return Window.of({"true_vertical_depth": [0, 11000], "pore_density": [8.4, 9.5], "fracture_density": [12.0, 13.0]})


def pytest_generate_tests(metafunc):
    own = any("calculation" in str(mark.args[:1]) for mark in metafunc.definition.iter_markers("parametrize"))
    if "calculation" in metafunc.fixturenames and not own:
        metafunc.parametrize("calculation", lutum.catalogue(), ids=lambda c: c.sheet.id)
    if "in_set" in metafunc.fixturenames:
        metafunc.parametrize("in_set", ["field", "metric", "si"])


def rows_where_all_is_known(results):
    """Rows without a missing result."""
    return np.all([np.isfinite(x).reshape(len(x), -1).all(axis=1) for x in results], axis=0)


def random_numbers(v, example, records, rng):
    """Within the range shown to hold, a little inside it; over decades where it spans decades."""
    low, high = max(v.limits[0], v.validated[0]), min(v.limits[1], v.validated[1])
    if not np.isfinite(low + high):
        return example * rng.uniform(0.7, 1.3, records)
    if low > 0 and high / low > 100:
        return np.exp(rng.uniform(np.log(low * 1.01), np.log(high / 1.01), records))
    inside = 0.01 * (high - low)
    return rng.uniform(low + inside, high - inside, records)


def random_lists(calculation, v, inputs, rng):
    """The example list, every element moved where that leaves all results known, else the whole list scaled, else as it is."""
    plain = inputs[v.name]
    best = rows_where_all_is_known(calculation(**inputs)).sum()
    for shape in (plain.shape, (len(plain), 1)):
        moved = inputs | {v.name: plain * rng.uniform(0.8, 1.2, shape)}
        if rows_where_all_is_known(calculation(**moved)).sum() >= 0.95 * best:
            return moved[v.name]
    return plain


def sample_of(calculation, records, seed=0):
    """Random records of which every result is known: a column an input, rows of lists for a list."""
    rng = np.random.default_rng(seed)
    example = calculation.example
    drawn = 6 * records + 20
    inputs = {
        v.name: np.tile(example[v.name], (drawn, 1)) if v.is_list else random_numbers(v, example[v.name], drawn, rng)
        for v in calculation.inputs
    }
    for v in calculation.inputs:
        if v.is_list:
            inputs[v.name] = random_lists(calculation, v, inputs, rng)
    good = np.flatnonzero(rows_where_all_is_known(calculation(**inputs)))[:records]
    assert len(good) == records, f"{calculation.sheet.id}: only {len(good)} of {drawn} random records have all results"
    return {name: np.ascontiguousarray(x[good]) for name, x in inputs.items()}


@pytest.fixture(scope="session")
def sample():
    """sample(calculation, records, seed=0): random records of which every result is known."""
    return sample_of


@pytest.fixture(scope="session")
def row():
    """row(inputs, i): one record of a sample as a plain call takes it."""
    return lambda inputs, i: {name: float(x[i]) if x.ndim == 1 else x[i].tolist() for name, x in inputs.items()}
