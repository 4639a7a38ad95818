"""Yield power law fits to six dial readings, bounded: Lutum's batch beside what a user would write instead, in one process.

    LUTUM_ISA=x86-64-v3 build/venv/bin/python tests/benchmarks/fits_against_scipy.py

Invented readings, 90 % realistic and 10 % of kinds that break fits. Beside Lutum stand a loop of scipy.optimize.curve_fit with
bounds (300 of the records) and a projection of the whole batch in NumPy (25 nodes of the index, then 32 golden sections, at the
best of several block sizes). Both must find the sum of squares that Lutum finds before anything is timed: NumPy on every record,
curve_fit on all but a few, which are counted. Prints medians and the median of the ratios of interleaved rounds; never a pass or
fail. LUTUM_ISA forces an instruction set on Lutum; NumPy uses what it finds.
"""

import os
import statistics
import sys
import time
import warnings

KEEP = {"MALLOC_TRIM_THRESHOLD_": "2000000000", "MALLOC_MMAP_THRESHOLD_": "2000000000"}
if any(os.environ.get(name) != value for name, value in KEEP.items()):
    os.execve(sys.executable, [sys.executable, *sys.argv], {**os.environ, **KEEP})

import numpy as np
from numpy_flow_curve import HIGHEST, LOWEST, whole_batch
from scipy.optimize import curve_fit

from lutum import _core, si

RECORDS, LOOPED, ROUNDS = 200_000, 300, 7
RATES = np.array([600.0, 300, 200, 100, 6, 3]) * 1.7022951432
DEGREE = 0.510688542
MOST = 1000.0  # Pa, of the yield stress


def invented(n: int) -> np.ndarray:
    """Stresses, records x speeds, read to half a degree."""
    random = np.random.default_rng(11)
    yield_stress, top, index = random.uniform(0, 12, n), random.uniform(8, 60, n), random.uniform(0.3, 1.0, n)
    stress = yield_stress[:, None] + top[:, None] * (RATES / RATES[0]) ** index[:, None]
    stress *= 1 + random.uniform(0, 0.03, n)[:, None] * random.uniform(-1, 1, stress.shape)
    odd = np.arange(n) % 10 == 9
    kind = random.integers(0, 5, n)
    level = random.uniform(1, 40, (n, 1))
    for k, shape in enumerate((level + 0 * RATES, level + np.arange(6.0), level * RATES / 1000, 5 + level * RATES / 1000, level * (RATES / 1000) ** 1.5)):
        stress = np.where((odd & (kind == k))[:, None], shape, stress)
    return np.round(stress / DEGREE * 2) / 2 * DEGREE


def curve(rate, yield_stress, consistency, index):
    return yield_stress + consistency * rate**index


def looped(stress):
    found = []
    for record in stress:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found.append(curve_fit(curve, RATES, record, p0=(1.0, 1.0, 0.6), bounds=((0, 0, LOWEST), (MOST, np.inf, HIGHEST)))[0])
    return np.array(found)


def ours(stress):
    return si.rheology.yield_power_law_fit(RATES, stress, highest_yield_stress=MOST, lowest_flow_index=LOWEST, highest_flow_index=HIGHEST)


def squares(stress, level, consistency, index):
    return ((stress - level[:, None] - consistency[:, None] * RATES ** index[:, None]) ** 2).sum(-1)


def timed(run, *args):
    start = time.perf_counter()
    run(*args)
    return time.perf_counter() - start


def main() -> None:
    print(f"Lutum uses {_core.instruction_set()}; NumPy {np.__version__} finds", ", ".join(np.show_config(mode="dicts")["SIMD Extensions"].get("found", [])))
    stress = invented(RECORDS)
    total = (stress**2).sum(-1) + 1e-300
    fit = ours(stress)
    mine = squares(stress, fit.yield_stress, fit.consistency, fit.flow_index)
    blocks = {block: timed(whole_batch, stress[:50_000], RATES, block) for block in (250, 1000, 4000, 50_000)}
    block = min(blocks, key=blocks.get)
    theirs = squares(stress, *whole_batch(stress, RATES, block).T)
    assert ((mine - theirs) / total).max() < 1e-12, ((mine - theirs) / total).max()
    few = stress[:LOOPED]
    loop = squares(few, *looped(few).T)
    worse = int(((loop - mine[:LOOPED]) / total[:LOOPED] > 1e-6).sum())
    assert ((mine[:LOOPED] - loop) / total[:LOOPED]).max() < 1e-12
    print(f"{RECORDS:,} records; curve_fit is left more than 1e-6 of the sum of squares behind in {worse} of {LOOPED}; NumPy's best block: {block}")
    times = {"curve_fit": [], "NumPy": [], "Lutum": []}
    for _ in range(ROUNDS):
        times["curve_fit"].append(timed(looped, few) / LOOPED)
        times["NumPy"].append(timed(whole_batch, stress[:50_000], RATES, block) / 50_000)
        times["Lutum"].append(timed(ours, stress) / RECORDS)
    for name, t in times.items():
        middle = statistics.median(t)
        print(f"  {name:10s} {middle * 1e9:12,.0f} ns a fit  ({min(t) * 1e9:,.0f} to {max(t) * 1e9:,.0f})   {1 / middle:,.0f} fits a second")
    for name in ("curve_fit", "NumPy"):
        ratios = [a / b for a, b in zip(times[name], times["Lutum"])]
        print(f"  {name} / Lutum = {statistics.median(ratios):,.0f}  ({min(ratios):,.0f} to {max(ratios):,.0f})")


if __name__ == "__main__":
    main()
