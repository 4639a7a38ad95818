"""A frame of water-base mud checks into every derived value: lutum.mud_check.over beside the same work in plain NumPy.

    build/venv/bin/python tests/benchmarks/mud_checks_against_numpy.py [--steps]

270 000 invented checks of 40 readings in field units, a few per cent of them missing, some a logger's sentinel, -999.25. Both sides
start from the frame and end with a frame of columns; all values must agree to 1e-9 (a fit in NumPy: to 1e-5) before anything is timed.
Prints median seconds and the median of the ratios of interleaved rounds: of all derived values, where NumPy too makes missing what is
outside the limits of its calculations (the bar: at least 2); of all but the fitted flow curve; and of these on a frame without
sentinels, NumPy without limits. Then what a standard uncertainty beside every value costs (the bar: at most 12 times the values alone),
and with --steps where Lutum's time goes; never a pass or fail. NumPy is written as an analyst would: in the units of the report,
factors, exponentials at 20 degC and limits worked out beforehand, nothing computed twice, a value that is a reading not copied. glibc
is told to keep freed memory, which favours NumPy.
"""

import os
import statistics
import sys
import time

KEEP = {"MALLOC_TRIM_THRESHOLD_": "2000000000", "MALLOC_MMAP_THRESHOLD_": "2000000000", "MALLOC_ARENA_MAX": "1"}
if any(os.environ.get(name) != value for name, value in KEEP.items()):
    os.execve(sys.executable, [sys.executable, *sys.argv], {**os.environ, **KEEP})

import numpy as np
import pandas as pd
from numpy_mud_check import BARREL, BENTONITE_CAPACITY, CL, DRILLED_CAPACITY, GALLON, K, plain_numpy

from lutum import _core, field, mud_check
from lutum.mud_check import computing
from lutum.mud_check.propagating import standard_uncertainties
from lutum.mud_check.sure import errors_of_table, one_per_reading

CHECKS, ROUNDS, FITTED_ROUNDS, MISSING = 270_000, 9, 3, 0.03
SENTINELS, SENTINEL = 0.005, -999.25  # what a logger writes where it has nothing

def invented(n: int) -> pd.DataFrame:
    """Readings that fit each other, rounded as they are written down, a few per cent of them missing."""
    random = np.random.default_rng(7)

    def between(low, high, decimals=15):
        return random.uniform(low, high, n).round(decimals)

    low, high, oil = between(0.04, 0.10), between(0.01, 0.18), between(0.0, 0.05)
    brine = 1 - low - high - oil
    density = low * 2600 + high * 4200 + oil * 840 + brine * 1080
    salt, pf = between(0, 35, 1), between(0, 3, 2)
    slope = [r.round(1) for r in (lambda pv, yp: (2 * pv + yp, pv + yp, 0.7 * pv + yp, 0.4 * pv + 0.9 * yp, 0.5 * yp, 0.45 * yp))(between(8, 45), between(4, 35))]
    gel, share, sample, hardness, late = between(2, 15, 0), between(0.2, 0.5), between(1, 2, 0), between(1, 8, 1), between(3, 15, 1)
    capacity = low * 2600 * (share * BENTONITE_CAPACITY + (1 - share) * DRILLED_CAPACITY) / 10
    columns = {
        "mud_density": (density / GALLON * between(0.97, 1)).round(2), "pressurised_density": (density / GALLON).round(2),
        "true_vertical_depth": between(1000, 15000, 0),
        **{f"reading_{speed}": reading for speed, reading in zip((600, 300, 200, 100, 6, 3), slope)},
        "reading_temperature": between(115, 125, 0), "gel_10_s": gel, "gel_10_min": gel * 2, "gel_30_min": gel * 3,
        "chloride": (salt * BARREL * 1000 * CL / (K + CL) + between(9000, 90000)).round(-2),
        "hardness_titrant_volume": hardness, "calcium_titrant_volume": (hardness * between(0.3, 0.9)).round(1), "hardness_sample_volume": between(1, 5, 0),
        "alkalinity_filtrate": pf, "alkalinity_filtrate_total": np.where(between(0, 1) < 0.1, 2 * pf, (pf * between(1, 3)).round(2)),
        "alkalinity_mud": (pf + between(0, 8)).round(1), "ph": between(8, 12.5, 1), "potassium_chloride_concentration": salt, "sodium": between(3000, 60000, -2),
        "water_fraction": (94 * brine).round(1), "oil_fraction": (100 * oil).round(1), "dye_volume": (capacity * sample).round(1), "dye_sample_volume": sample,
        "sand_fraction": between(0.1, 2, 2), "filtrate_volume_7.5_min": (late * between(0.5, 0.6)).round(1), "filtrate_volume": late,
        "cake_thickness": between(1, 4, 0), "filtrate_viscosity": between(0.9, 1.5, 2), "hot_filtrate_reading": between(3, 15, 1),
        "hot_filtrate_temperature": between(150, 350, 0), "hot_filtrate_pressure": between(600, 650, 0), "hot_filtrate_back_pressure": between(100, 150, 0),
        "mud_resistivity": between(0.05, 2, 2), "mud_resistivity_temperature": between(60, 90, 0), "filtrate_resistivity": between(0.05, 2, 2),
        "filtrate_resistivity_temperature": between(60, 90, 0),
    }  # fmt: skip
    for column in columns.values():
        column[random.random(n) < MISSING] = np.nan
    return pd.DataFrame(columns)


def with_sentinels(frame: pd.DataFrame) -> pd.DataFrame:
    random = np.random.default_rng(8)
    return pd.DataFrame({name: np.where(random.random(len(frame)) < SENTINELS, SENTINEL, frame[name]) for name in frame})


def limits_of_readings() -> dict[str, tuple[float, float]]:
    """By reading the narrowest limits of the calculations that take it, in its unit of the report."""
    found: dict[str, tuple[float, float]] = {}
    for step in mud_check.shipped():
        if "water_base" in step.fluids:
            for v in computing.calculation_of(step, field).inputs:
                for name in (*step.reads.get(v.name, ()), *step.lists.get(v.name, ())):
                    low, high = found.get(name, (-np.inf, np.inf))
                    found[name] = max(low, v.limits[0]), min(high, v.limits[1])
    return found


def assert_alike(ours: pd.DataFrame, theirs: pd.DataFrame) -> int:
    """Every value there is in a column of Lutum is in NumPy, to 1e-9 of itself; where it is a difference close to zero, to 1e-12 of its usual size."""
    residual = "filtration.static_filtrate.residual_"
    named = ours.drop(columns=[n for n in ours if ours[n].isna().all()])
    assert set(named) == set(theirs), set(named) ^ set(theirs)
    for name in named:
        a, b = named[name].to_numpy(), theirs[name].to_numpy()
        usual = np.nanmedian(theirs["filtration.static_filtrate.filtrate_30_min" if name.startswith(residual) else name].abs())
        # Golden sections stop at the root of the last digit: a fit in NumPy has eight.
        near = (1e-5, 1e-5) if name.startswith("rheology.yield_power_law_fit.") else (1e-9, 1e-12)
        bad = ~(np.abs(a - b) <= np.maximum(near[0] * np.abs(b), near[1] * usual)) & ~(np.isnan(a) & np.isnan(b))
        assert not bad.any(), f"{name}: {bad.sum()} rows, the first {np.flatnonzero(bad)[0]}: {a[bad][0]!r} and {b[bad][0]!r}"
    return named.shape[1]


def race(sides, rounds):
    """Times of each side, its turns interleaved; each result is dropped before the next turn."""
    times = {name: [] for name in sides}
    for _ in range(rounds):
        for name, run in sides.items():
            start = time.perf_counter()
            run()
            times[name].append(time.perf_counter() - start)
    return times


def cost_of_uncertainty(frame, rounds):
    """The plan with a standard uncertainty for every derived value, and for the values alone."""
    plan, columns, n = mud_check.shipped(), {name: frame[name].to_numpy() for name in frame}, len(frame)
    sides = {
        "values alone": lambda: computing.run(plan, columns, "water_base", field, n).values,
        "standard uncertainties": lambda: standard_uncertainties(plan, columns, "water_base", field, n, one_per_reading(errors_of_table(None, {}))),
    }
    made, spread = (side() for side in sides.values())
    assert set(made) == set(spread)
    for name, values in made.items():
        assert np.array_equal(np.isnan(values), np.isnan(spread[name])), f"{name}: a value without its uncertainty or an uncertainty without its value"
    del made, spread
    alone, beside = race(sides, rounds).values()
    ratios = [b / a for a, b in zip(alone, beside)]
    print(f"  values alone {statistics.median(alone):.4f} s, standard uncertainties {statistics.median(beside):.4f} s", end="")
    print(f"  ratio {statistics.median(ratios):.1f}  ({min(ratios):.1f} to {max(ratios):.1f}; bar 12)")


def steps(frame, rounds):
    """Milliseconds of each step of the plan: what the plan up to it takes more than the plan up to the one before."""
    steps_of, columns = mud_check.shipped().steps, {name: frame[name].to_numpy() for name in frame}
    plans = {steps_of[k - 1].calculation if k else "": mud_check.Plan(steps_of[:k]) for k in range(len(steps_of) + 1)}
    times = race({name: lambda plan=plan: computing.run(plan, columns, "water_base", field, len(frame)) for name, plan in plans.items()}, rounds)
    whole = statistics.median(race({"all": lambda: mud_check.over(frame)}, rounds)["all"]) * 1e3
    middle = {name: statistics.median(t) * 1e3 for name, t in times.items()}
    print(f"\nWhere Lutum's {whole:.1f} ms go (ms, median)")
    taken = {name: now - before for (name, now), before in zip(list(middle.items())[1:], middle.values())}
    for name, spent in sorted(taken.items(), key=lambda x: -x[1]):
        if spent > 0.2:
            print(f"  {name:50s} {spent:8.2f}")
    print(f"  {'outside the steps: readings, frame':50s} {whole - list(middle.values())[-1]:8.2f}")


def compare(sides, rounds):
    times = race(sides, rounds)
    for name, seconds in times.items():
        middle = statistics.median(seconds)
        print(f"  {name:24s} {middle:.4f} s  ({min(seconds):.4f} to {max(seconds):.4f})  {middle / CHECKS * 1e9:7.0f} ns a check")
    numpy, lutum = times.values()
    ratios = [a / b for a, b in zip(numpy, lutum)]
    print(f"  ratio {statistics.median(ratios):.2f}  ({min(ratios):.2f} to {max(ratios):.2f})")


def main() -> None:
    print(f"Lutum uses {_core.instruction_set()}; NumPy {np.__version__} finds", end=" ")
    features = np.show_config(mode="dicts")["SIMD Extensions"]
    print(", ".join(features.get("found", [])), "over", ", ".join(features.get("baseline", [])))
    clean, limits = invented(CHECKS), limits_of_readings()
    frame = with_sentinels(clean)
    whole = mud_check.shipped()
    unfitted = mud_check.Plan(tuple(step for step in whole.steps if step.calculation != "rheology.yield_power_law_fit"))
    count = assert_alike(mud_check.over(frame).derived, plain_numpy(frame, limits, fitted=True))
    fewer = assert_alike(mud_check.over(clean, plan=unfitted).derived, plain_numpy(clean))
    empty = frame.isna().to_numpy().mean()
    print(f"{CHECKS:,} checks of {frame.shape[1]} readings, {empty:.1%} missing, {SENTINELS:.1%} {SENTINEL:g}: {count} derived values alike")
    print("All derived values, the same work (bar 2)")
    compare({"NumPy with limits": lambda: plain_numpy(frame, limits, fitted=True), "Lutum": lambda: mud_check.over(frame)}, FITTED_ROUNDS)
    print(f"Without the flow curve, {fewer} values")
    compare({"NumPy with limits": lambda: plain_numpy(frame, limits), "Lutum": lambda: mud_check.over(frame, plan=unfitted)}, ROUNDS)
    print("Without the flow curve, no sentinels, and NumPy without limits")
    compare({"NumPy without limits": lambda: plain_numpy(clean), "Lutum": lambda: mud_check.over(clean, plan=unfitted)}, ROUNDS)
    cost_of_uncertainty(frame, ROUNDS)
    if "--steps" in sys.argv:
        steps(frame, ROUNDS)


if __name__ == "__main__":
    main()
