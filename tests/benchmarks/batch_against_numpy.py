"""Retort records: Lutum's batch beside the straightforward NumPy expression, in one process, interleaved.

    build/venv/bin/python tests/benchmarks/batch_against_numpy.py

Prints medians of nanoseconds a record and the median of the ratios of each round; never a pass or fail. Both sides run
with glibc told to keep freed memory (the script starts itself again so), which favours NumPy.
"""

import os
import statistics
import sys
import time

KEEP = {"MALLOC_TRIM_THRESHOLD_": "2000000000", "MALLOC_MMAP_THRESHOLD_": "2000000000"}
if any(os.environ.get(name) != value for name, value in KEEP.items()):
    os.execve(sys.executable, [sys.executable, *sys.argv], {**os.environ, **KEEP})

import numpy as np

from lutum import _core, si

NEWTON_STEPS = 3  # enough for 1e-12 from this start, so that both sides answer alike


def brine_terms(t):
    water = (((((-2.8054253e-10 * t + 1.0556302e-7) * t - 4.6170461e-5) * t - 0.0079870401) * t + 16.945176) * t + 999.83952) / (1 + 0.01687985 * t)
    return water, np.exp(1e-6 * (t + 3317.34854426537) ** 2), 1.01371399467365 + 0.0145951015210159 * t


def brine_volume(w, water, warmth, thinning):
    return (1 - w) / water + w * (w + thinning) / ((-0.00324112223655149 * w + 0.0636354335906616) * warmth)


def numpy_solids(density, water, oil, brine_fraction, brine, oil_density, low, high):
    """The mass balance alone: seven results, three divisions."""
    suspended = 1 - brine_fraction - oil
    mass = density - brine_fraction * brine - oil * oil_density
    low_fraction = (suspended * high - mass) / (high - low)
    high_fraction = suspended - low_fraction
    return 1 - water - oil, suspended, mass / suspended, low_fraction, high_fraction, low_fraction * low, high_fraction * high


def numpy_retort(density, water, oil, chloride, oil_density, low, high, temperature):
    """All of solids.water_base_retort, its salt balance by Newton's method with a difference quotient."""
    terms = brine_terms(temperature - 273.15)
    salt = chloride * ((22.990 + 35.45) / 35.45)
    w = salt / (1000 + 0.65 * salt)
    for _ in range(NEWTON_STEPS):
        f = w - salt * brine_volume(w, *terms)
        g = w + 1e-6 - salt * brine_volume(w + 1e-6, *terms)
        w = w - f * 1e-6 / (g - f)
    volume = brine_volume(w, *terms)
    return 1 / volume, *numpy_solids(density, water, oil, water * terms[0] * volume / (1 - w), 1 / volume, oil_density, low, high)


def race(sides, rounds, repeat):
    """Median time of each side, and median over the rounds of every side against the first."""
    times = {name: [] for name in sides}
    for _ in range(rounds):
        for name, run in sides.items():
            start = time.perf_counter()
            for _ in range(repeat):
                run()
            times[name].append((time.perf_counter() - start) / repeat)
    first = times[next(iter(sides))]
    return {name: (statistics.median(t), statistics.median(a / b for a, b in zip(first, t))) for name, t in times.items()}


def main() -> None:
    print(f"Lutum uses {_core.instruction_set()}; NumPy {np.__version__} finds", end=" ")
    features = np.show_config(mode="dicts")["SIMD Extensions"]
    print(", ".join(features.get("found", [])), "over", ", ".join(features.get("baseline", [])))
    random = np.random.default_rng(1)
    retort = si.solids.water_base_retort
    for n in (10_000, 1_000_000):
        columns = [random.uniform(*r, n) for r in ((1100, 1900), (0.5, 0.8), (0.0, 0.1), (0.0, 150.0), (820, 860), (2550, 2650), (4100, 4250), (288, 298))]
        out = tuple(np.empty(n + 16 * k)[16 * k :][:n] for k in range(1, 1 + len(retort.results)))
        ours, theirs = retort.ufunc(*columns), numpy_retort(*columns)
        assert np.allclose(ours[5], theirs[4], rtol=1e-9, atol=1e-12)
        rounds, repeat = (15, 20) if n < 100_000 else (9, 1)
        sides = {
            "NumPy expression": lambda: numpy_retort(*columns),
            "Lutum, new outputs": lambda: retort.ufunc(*columns),
            "Lutum, out=": lambda: retort.ufunc(*columns, out=out),
            "Lutum gradient, all 72 derivatives": lambda: retort._bound.gradient(*columns),
            "NumPy mass balance alone, salt given": lambda: numpy_solids(*columns[:3], columns[1], columns[0], *columns[4:7]),
        }
        print(f"\nretort records: {n:,}")
        outcome = race(sides, rounds, repeat)
        for name, (seconds, ratio) in outcome.items():
            print(f"  {name:38s} {seconds / n * 1e9:9.2f} ns a record   NumPy expression / this = {ratio:6.2f}")
        print(f"  values and all 72 derivatives cost {outcome['Lutum gradient, all 72 derivatives'][0] / outcome['Lutum, out='][0]:.1f} times the values alone")
        clay = si.clay.methylene_blue
        dye, mud, strength = random.uniform(1e-6, 9e-6, n), random.uniform(1e-6, 3e-6, n), random.uniform(9, 11, n)
        two = tuple(np.empty(n + 16 * k)[16 * k :][:n] for k in (1, 2))
        factor = 1.4265050871059122

        def numpy_clay():
            capacity = strength * dye / mud
            return capacity, capacity * factor

        sides = {"NumPy expression": numpy_clay, "Lutum, new outputs": lambda: clay.ufunc(dye, mud, strength), "Lutum, out=": lambda: clay.ufunc(dye, mud, strength, out=two)}
        print(f"methylene blue records: {n:,}")
        for name, (seconds, ratio) in race(sides, rounds, repeat).items():
            print(f"  {name:38s} {seconds / n * 1e9:9.2f} ns a record   NumPy expression / this = {ratio:6.2f}")


if __name__ == "__main__":
    main()
