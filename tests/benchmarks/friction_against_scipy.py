"""Friction of yield-power-law fluids, laminar and turbulent: Lutum's batch beside what a user would write instead, in one process.

    LUTUM_ISA=x86-64-v3 build/venv/bin/python tests/benchmarks/friction_against_scipy.py

Two tasks: the equivalent density of 100,000 invented muds over five sections of an annulus (once with muds that flow laminar nearly
everywhere, once with thin ones that do not), and one mud in a well of 2,000 cells. Beside Lutum stand a loop of scipy.optimize.brentq
(the first sixty records) and Newton's method for a whole block in NumPy, from much the same start, at the best of several block
sizes, the turbulent equation only where it counts. All solve the same friction law (`exact`, the annulus as a slot) and must agree before
anything is timed. Prints medians and the median of the ratios of interleaved rounds; never a pass or fail. LUTUM_ISA forces an
instruction set on Lutum; NumPy uses what it finds.
"""

import math
import os
import statistics
import sys
import time

KEEP = {"MALLOC_TRIM_THRESHOLD_": "2000000000", "MALLOC_MMAP_THRESHOLD_": "2000000000"}
if any(os.environ.get(name) != value for name, value in KEEP.items()):
    os.execve(sys.executable, [sys.executable, *sys.argv], {**os.environ, **KEEP})

import numpy as np
from scipy.optimize import brentq

from lutum import _core, si

RECORDS, LOOPED, CELLS, ROUNDS = 100_000, 60, 2_000, 7
GRAVITY, DEPTH = 9.80665, 3000.0
SECTIONS = ((0.4826, 0.1397, 400.0), (0.3153, 0.1397, 1400.0), (0.2205, 0.1397, 1200.0), (0.2159, 0.1397, 900.0), (0.2159, 0.1715, 150.0))
LN_10, LOG_16 = math.log(10.0), math.log(16.0)


def muds(n: int, thin: bool) -> dict[str, np.ndarray]:
    random = np.random.default_rng(5)
    return {
        "density": random.uniform(1150.0, 1250.0, n) if thin else random.uniform(1300.0, 1600.0, n),
        "yield_stress": random.uniform(0.2, 1.5, n) if thin else random.uniform(2.0, 8.0, n),
        "consistency": random.uniform(0.02, 0.06, n) if thin else random.uniform(0.15, 0.6, n),
        "flow_index": random.uniform(0.75, 0.95, n) if thin else random.uniform(0.55, 0.8, n),
        "flow_rate": random.uniform(0.035, 0.045, n) if thin else random.uniform(0.030, 0.038, n),
    }


def cells(n: int) -> dict[str, np.ndarray]:
    """A hole in gauge and out of it, one mud."""
    random = np.random.default_rng(6)
    mud = {"density": 1250.0, "yield_stress": 3.0, "consistency": 0.2, "flow_index": 0.72, "flow_rate": 0.035}
    place = {"hole_diameter": random.uniform(0.2159, 0.26, n), "pipe_diameter": random.choice([0.127, 0.1651, 0.1715], n)}
    return mud | place | {"length": np.full(n, 1.5)}


# One record at a time.


def slope_bent(index: float) -> float:
    x = max((index - 0.25) / 0.2, 0.0)
    return index if index > 0.45 else 0.35 + 0.2 * x**3 * (1 - x / 2)


def one_loss(density, yield_stress, consistency, flow_index, flow_rate, hole_diameter, pipe_diameter, length):
    gap = (hole_diameter - pipe_diameter) / 2
    velocity = flow_rate / (math.pi / 4 * (hole_diameter**2 - pipe_diameter**2))
    a = 1 / flow_index
    reference = consistency * (2 * (a + 2) * velocity / gap) ** flow_index
    b = yield_stress / reference

    def effect(s):
        return s / (s + b) * (s + (a + 2) / (a + 1) * b) / (s + b)

    def laminar(z):
        return a * z + math.log(effect(math.exp(z)))

    whole = math.exp(brentq(laminar, -30.0, math.log(2.0 + 2.0 * b), xtol=1e-12)) + b
    reynolds, critical = 8 * density * velocity**2 / (reference * whole), 3470 - 1370 * flow_index
    ratio = 1.0
    if reynolds > 0.25 * critical:
        first = 16 / (reynolds * whole)

        def turbulent(z):
            s = math.exp(z)
            q = effect(s)
            n, y = slope_bent(q / (2 * (1 - q) + a)), 0.5 * math.log(first * (s + b))
            return 4 / LN_10 * (LOG_16 + n * (a * z + math.log(q) - y)) / n**0.75 - 0.4 / n**1.2 - math.exp(-y)

        r_t = (math.exp(brentq(turbulent, -15.0, 10.0, xtol=1e-12)) + b) / whole
        r_d = (reynolds / critical) ** 2
        ratio = (1 + (r_d**-8 + r_t**-8) ** (-12 / 8)) ** (1 / 12)
    return 2 * reference * whole * ratio / gap * length


# A block at a time.


def newton(z, step, most=60):
    for _ in range(most):
        move = step(z)
        z = z - move
        if np.abs(move).max() < 1e-7:
            return z
    raise ArithmeticError("no root")


def block_loss(density, yield_stress, consistency, flow_index, flow_rate, hole_diameter, pipe_diameter, length):
    gap = (hole_diameter - pipe_diameter) / 2
    velocity = flow_rate / (np.pi / 4 * (hole_diameter**2 - pipe_diameter**2))
    a = 1 / flow_index
    reference = consistency * (2 * (a + 2) * velocity / gap) ** flow_index
    b = yield_stress / reference
    d = (a + 2) / (a + 1)

    def laminar(z):
        s = np.exp(z)
        whole = s + b
        q = s * (s + d * b) / (whole * whole)
        return (a * z + np.log(q)) * whole / (((a + 2) / q - 2) * s)

    start = np.log(1 + b * (1 + 0.05 * b) / (1 + 0.05 * d * b)) / (a + 1)
    whole = np.exp(newton(start, laminar)) + b
    stress = reference * whole
    reynolds, critical = 8 * density * velocity**2 / stress, 3470 - 1370 * flow_index
    ratio = np.ones_like(whole)
    some = reynolds > 0.25 * critical
    if some.any():
        a, b, d, whole, reynolds, critical = a[some], b[some], d[some], whole[some], reynolds[some], critical[some]
        first = 16 / (reynolds * whole)
        log_first = np.log(first)

        def turbulent(z):
            s = np.exp(z)
            all_of_it = s + b
            sheared = s / all_of_it
            q = sheared * (1 + (d - 1) * b / all_of_it)
            index = q / (2 * (1 - q) + a)
            bends = index < 0.45
            n, weight = index, 1.0
            if bends.any():
                x = np.maximum((index - 0.25) / 0.2, 0.0)
                n = np.where(bends, 0.35 + 0.2 * x**3 * (1 - x / 2), index)
                weight = np.where(bends, x * x * (3 - 2 * x), 1.0)
            y = 0.5 * (log_first + np.log(all_of_it))
            ln_g = a * z + np.log(q) - y
            low, lower = n**-0.75, n**-1.2
            h = 4 / LN_10 * low * (LOG_16 + n * ln_g) - 0.4 * lower
            factor = np.exp(-y)
            slope = ((a + 2) / q - 2) * sheared
            turn = weight * index * index * (a + 2) / q * (slope - a)
            by_n = (0.48 * lower + low * (n * ln_g / LN_10 - 3 * LOG_16 / LN_10)) / n
            return (h - factor) / (by_n * turn + 4 / LN_10 * n * low * (slope - 0.5 * sheared) + 0.5 * sheared * factor)

        begin = np.log10(flow_index[some])
        guess = whole * (begin + 3.93) / 800 * reynolds ** (1 - (1.75 - begin) / 7)
        r_t = (np.exp(newton(np.log(np.maximum(guess - b, 0.3 * (whole - b))), turbulent)) + b) / whole
        r_d = (reynolds / critical) ** 2
        ratio[some] = (1 + (r_d**-8 + r_t**-8) ** -1.5) ** (1 / 12)
    return 2 * stress * ratio / gap * length


def in_blocks(block: int, n: int, given: dict):
    wide = {name: np.broadcast_to(np.asarray(value, float), n) for name, value in given.items()}
    return np.concatenate([block_loss(**{name: value[i : i + block] for name, value in wide.items()}) for i in range(0, n, block)])


def looped(n: int, given: dict):
    columns = [np.broadcast_to(np.asarray(value, float), given_length(given))[:n].tolist() for value in given.values()]
    return np.array([one_loss(**dict(zip(given, record))) for record in zip(*columns)])


def given_length(given: dict) -> int:
    return max(np.size(value) for value in given.values())


def ours(given: dict):
    return si.hydraulics.annulus_loss(**given).pressure_loss


def equivalent_density(loss, mud: dict):
    places = ({"hole_diameter": hole, "pipe_diameter": pipe, "length": length} for hole, pipe, length in SECTIONS)
    return mud["density"] + sum(loss(mud | place) for place in places) / (GRAVITY * DEPTH)


def timed(run, *args):
    start = time.perf_counter()
    run(*args)
    return time.perf_counter() - start


def compare(title: str, records: int, sections: int, batch, numpy_at, loop, loop_records: int) -> None:
    """batch(), numpy_at(block), loop(): the task; loop() does it for its first records only."""
    mine = batch()
    blocks = [b for b in (250, 500, 1000, 2000, 8000, 50_000) if b <= records]
    best = min(blocks, key=lambda b: min(timed(numpy_at, b) for _ in range(2)))
    apart = np.abs(numpy_at(best) / mine - 1).max(), np.abs(loop() / mine[:loop_records] - 1).max()
    assert max(apart) < 1e-8, apart
    times = {"brentq": [], "NumPy": [], "Lutum": []}
    for _ in range(ROUNDS):
        times["brentq"].append(timed(loop) * records / loop_records)
        times["NumPy"].append(timed(numpy_at, best))
        times["Lutum"].append(timed(batch))
    print(f"{title}; NumPy's best block: {best}; largest differences {apart[0]:.1e} (NumPy) and {apart[1]:.1e} (brentq)")
    for name, t in times.items():
        middle = statistics.median(t)
        each = middle / records / sections * 1e9
        print(f"  {name:8s} {middle * 1e3:12,.3f} ms  ({min(t) * 1e3:,.3f} to {max(t) * 1e3:,.3f})   {each:10,.0f} ns a section")
    for name in ("brentq", "NumPy"):
        ratios = [a / b for a, b in zip(times[name], times["Lutum"])]
        print(f"  {name} / Lutum = {statistics.median(ratios):,.1f}  ({min(ratios):,.1f} to {max(ratios):,.1f})")


def costs(mud: dict) -> None:
    """What the methods cost, a section."""
    place = {"hole_diameter": 0.2159, "pipe_diameter": 0.1397}
    n = given_length(mud)
    annulus, concentric = si.hydraulics.annulus_loss, si.hydraulics.concentric_annulus
    few = {name: value[:5000] for name, value in mud.items() if name != "density"}
    for name, run, count in (
        ("standard", lambda: annulus(**mud, **place, method="standard"), n),
        ("exact", lambda: annulus(**mud, **place), n),
        ("exact, eccentric", lambda: annulus(**mud, **place, eccentricity=0.3), n),
        ("laminar_rate", lambda: annulus(**mud, **place, method="laminar_rate"), n),
        ("concentric annulus by quadrature, laminar", lambda: concentric(**few, **place), 5000),
    ):
        print(f"  {name:42s} {statistics.median(timed(run) for _ in range(ROUNDS)) / count * 1e9:10,.0f} ns a section")


def whole_well(mud: dict) -> None:
    """The same sections with a string in them, from pump to bit and back: values, and exact derivatives by everything that is continuous."""
    circulation = si.hydraulics.circulation
    n = given_length(mud)
    depth = np.cumsum([length for _, _, length in SECTIONS])
    rows = {
        "bottom_measured_depth": depth, "bottom_true_vertical_depth": depth * DEPTH / depth[-1], "hole_diameter": np.array([h for h, _, _ in SECTIONS]),
        "pipe_diameter": np.array([p for _, p, _ in SECTIONS]), "bore": np.full(5, 0.115), "eccentricity": np.zeros(5), "roughness": np.zeros(5),
        "slip_velocity": np.zeros(5),
    }  # fmt: skip
    bit = {"nozzle_area": 5e-4, "bit_diameter": 0.2159}
    few = {name: value[:2000] for name, value in mud.items()}
    by = [v.name for v in circulation.inputs]
    value = statistics.median(timed(lambda: circulation(**mud, **bit, **rows)) for _ in range(ROUNDS)) / n
    slopes = statistics.median(timed(lambda: circulation.slopes(["pump_pressure", "equivalent_density"], by, **few, **bit, **rows)) for _ in range(3)) / 2000
    print(f"  the whole well, pump to bit and back: {value * 1e9:,.0f} ns a record of {len(SECTIONS)} sections; with the derivatives of two results by its "
          f"{len(by) - 8 + 8 * len(SECTIONS)} numbers {slopes * 1e6:,.1f} us, {slopes / value:.0f} times that")  # fmt: skip


def main() -> None:
    found = np.show_config(mode="dicts")["SIMD Extensions"].get("found", [])
    print(f"Lutum uses {_core.instruction_set()}; NumPy {np.__version__} finds", ", ".join(found))
    for title, thin in (("weighted muds", False), ("thin muds, turbulent", True)):
        mud = muds(RECORDS, thin)
        few = {name: value[:LOOPED] for name, value in mud.items()}
        r = [si.hydraulics.annulus_loss(**mud, hole_diameter=hole, pipe_diameter=pipe) for hole, pipe, _ in SECTIONS]
        counted = np.mean([(x.reynolds_number > 0.25 * x.critical_reynolds_number).mean() for x in r])
        beyond = np.mean([(x.reynolds_number > x.critical_reynolds_number).mean() for x in r])
        print(f"{title}: turbulence is solved for in {counted:.0%} of the sections, {beyond:.0%} are not laminar")
        compare(f"{RECORDS:,} muds x {len(SECTIONS)} sections", RECORDS, len(SECTIONS),
                lambda: equivalent_density(ours, mud),
                lambda block: equivalent_density(lambda given: in_blocks(block, RECORDS, given), mud),
                lambda: equivalent_density(lambda given: looped(LOOPED, given), few), LOOPED)
        costs(mud)
        whole_well(mud)
    well = cells(CELLS)
    compare(f"a well of {CELLS:,} cells", CELLS, 1, lambda: ours(well), lambda block: in_blocks(block, CELLS, well),
            lambda: looped(LOOPED, well), LOOPED)


if __name__ == "__main__":
    main()
