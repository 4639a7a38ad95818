"""One record alone, in any batch, on any instruction set, on any thread: the same bits."""

import json
import os
import subprocess
import sys

import numpy as np
import pytest

import lutum
from lutum import _core

SETS = ("x86-64", "x86-64-v3", "x86-64-v4")
N = 48

# Runs in a process of its own: results of all calculations for the inputs on its standard input, as hexadecimal bits.
CHILD = """
import json, sys
import numpy as np
import lutum
from lutum import _core

def bits(x):
    return np.where(np.isnan(x), np.nan, x).tobytes().hex()  # one NaN is as good as another

answer = {"set": _core.instruction_set()}
for system, inputs in json.load(sys.stdin).items():
    for calculation in lutum.catalogue(system):
        arrays = [np.array(inputs[calculation.sheet.id][v.name]) for v in calculation.inputs]
        ufuncs = [calculation.ufunc, calculation._bound.gradient] if calculation._bound.gradient else [calculation.ufunc]
        for ufunc in ufuncs:
            results = ufunc(*arrays)
            answer[f"{system} {ufunc.__name__}"] = [bits(x) for x in (results if isinstance(results, tuple) else (results,))]
json.dump(answer, sys.stdout)
"""


def offered(name):
    try:
        _core.instruction_set_named(name)
    except ValueError:
        return False
    return True


def awkward(calculation, inputs):
    """Some rows missing, outside a limit, at a limit, and zero."""
    inputs = {name: x.copy() for name, x in inputs.items()}
    for place, v in enumerate(calculation.inputs):
        x = inputs[v.name].reshape(N, -1)
        x[(2 * place) % N, 0] = np.nan
        x[(2 * place + 1) % N, 0] = v.limits[0] - 1
        x[(2 * place + 12) % N, 0] = v.limits[0]
        x[(2 * place + 13) % N, 0] = v.limits[1]
    return inputs


def bits(x):
    return np.where(np.isnan(x), np.nan, x).view(np.int64)


def test_alone_and_in_a_batch(calculation, in_set, sample, row):
    calculation = next(c for c in lutum.catalogue(in_set) if c.sheet.id == calculation.sheet.id)
    inputs = sample(calculation, N, seed=1)
    batch = calculation(**inputs)
    for i in range(N):
        for v, alone, together in zip(calculation.results, calculation(**row(inputs, i)), batch):
            assert np.array_equal(bits(np.asarray(alone, float)), bits(together[i])), f"{v.name} of row {i}: {alone!r} and {together[i]!r}"


def test_missing_rows_alone_and_in_a_batch(calculation, sample, row):
    """A row outside its limits is an error alone, and a finding in a batch; the rows beside it do not feel it."""
    plain = sample(calculation, N, seed=2)
    inputs = awkward(calculation, plain)
    batch = calculation(**inputs)
    refused = {finding.row for finding in calculation.check(**inputs) if finding.is_error and finding.value == finding.value}
    for i in range(N):
        try:
            alone = calculation(**row(inputs, i))
        except ValueError:
            assert i in refused
            continue
        assert i not in refused
        for v, one, together in zip(calculation.results, alone, batch):
            assert np.array_equal(bits(np.asarray(one, float)), bits(together[i])), f"{v.name} of row {i}"


def test_every_length_and_offset(calculation, sample):
    inputs = sample(calculation, N, seed=3)
    arrays = [inputs[v.name] for v in calculation.inputs]
    whole = calculation(**inputs)
    for offset in range(8):
        for length in range(41):
            part = calculation.ufunc(*(x[offset : offset + length] for x in arrays))
            part = part if isinstance(part, tuple) else (part,)
            for v, got, want in zip(calculation.results, part, whole):
                assert np.array_equal(bits(got), bits(want[offset : offset + length])), f"{v.name}, {length} rows from row {offset}"


def test_gradients_of_every_length(calculation, sample):
    if calculation._bound.gradient is None:
        pytest.skip("the gradient of a table is of one record")
    inputs = sample(calculation, N, seed=4)
    arrays = [inputs[v.name] for v in calculation.inputs]
    whole = calculation._bound.gradient(*arrays)[-1]
    for length in range(41):
        part = calculation._bound.gradient(*(x[3 : 3 + length] for x in arrays))[-1]
        assert np.array_equal(bits(part), bits(whole[3 : 3 + length]))


@pytest.fixture(scope="module")
def on_each_set(sample):
    """Bits of all results and gradients on every instruction set of this processor."""
    inputs = {
        system: {c.sheet.id: {k: x.tolist() for k, x in awkward(c, sample(c, N, seed=5)).items()} for c in lutum.catalogue(system)}
        for system in ("field", "metric", "si")
    }
    running = {}
    for name in filter(offered, SETS):
        environment = os.environ | {"LUTUM_ISA": name}
        running[name] = subprocess.Popen(
            [sys.executable, "-c", CHILD], env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
    answers = {}
    for name, process in running.items():
        out, err = process.communicate(json.dumps(inputs))
        assert process.returncode == 0, err
        answers[name] = json.loads(out)
    return answers


TABLES = sum(any(v.is_list and v.length == 0 for v in calculation.inputs) for calculation in lutum.catalogue())  # of which only the values are asked


@pytest.mark.parametrize("name", SETS[1:])
def test_instruction_sets_agree(on_each_set, name):
    if not offered(name):
        pytest.skip(f"this processor does not offer {name}")
    base, other = on_each_set["x86-64"].copy(), on_each_set[name].copy()
    assert (base.pop("set"), other.pop("set")) == ("x86-64", name)
    assert base.keys() == other.keys() and len(base) >= 3 * (2 * len(lutum.catalogue()) - TABLES)
    for what, results in base.items():
        assert results == other[what], what


def test_an_unknown_instruction_set_is_refused():
    run = subprocess.run(
        [sys.executable, "-c", "import lutum"], env=os.environ | {"LUTUM_ISA": "sse9"}, capture_output=True, text=True, check=False
    )
    assert run.returncode != 0
    assert "sse9" in run.stderr and "x86-64-v3" in run.stderr


def test_first_calls_from_many_threads():
    """Eight threads meet before the first call of a fresh process; all get the same calculation and the same bits."""
    code = """
import pickle, threading
import lutum
mine = lutum.unit_set("metric", density="g/cm3")
gate = threading.Barrier(8)
found, errors = [], []
def work():
    try:
        gate.wait()
        from lutum import field, metric, si
        ids, results = [], []
        for home in (field.units_of_set, metric.units_of_set, si.units_of_set, mine):
            for c in home:
                ids.append(id(c))
                results += [c(**c.example), c.gradient(**c.example)]
        found.append((tuple(ids), results))
    except BaseException as error:
        errors.append(repr(error))
threads = [threading.Thread(target=work) for _ in range(8)]
for t in threads: t.start()
for t in threads: t.join()
assert not errors, errors
assert len(found) == 8
assert len({ids for ids, _ in found}) == 1, "a calculation was made twice"
assert len({repr(results) for _, results in found}) == 1
pickle.dumps(found)
"""
    run = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
