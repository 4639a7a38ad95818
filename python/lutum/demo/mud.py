"""What an invented water-base mud of known composition would show on a perfect bench.

Density is a mass balance. Brine, dye, dial and hydraulic numbers come from the kernel, run
backwards where a reading is wanted. How the flow curve, gels, funnel and filtrate follow
from the composition is invented here: shaped to look like real muds, no source.
"""

from typing import Any

import numpy as np

from lutum import metric

from .draws import Numbers

SPEEDS = np.array([600.0, 300.0, 200.0, 100.0, 6.0, 3.0])  # rpm
LOW_GRAVITY_DENSITY = 2600.0  # kg/m3, bentonite and drilled solids alike
BARITE_DENSITY = 4200.0  # kg/m3
OIL_DENSITY = 840.0  # kg/m3
BENCH_TEMPERATURE = 20.0  # degC, of the brine whose chloride is titrated
DYE_SAMPLE = 2.0  # mL of mud


class Bench:
    """The kernel's own constants of the bench, asked for once."""

    def __init__(self) -> None:
        one_degree = metric.rheology.viscometer(
            speed=SPEEDS, reading=np.ones(len(SPEEDS)), temperature=50.0,
            gel_10_s=1.0, gel_10_min=1.0, gel_30_min=1.0,
        )
        self.shear_rate = np.asarray(one_degree.shear_rate)
        self.stress_per_degree = float(np.asarray(one_degree.wall_stress)[0])
        titration = metric.clay.methylene_blue(dye_volume=DYE_SAMPLE, sample_volume=DYE_SAMPLE)
        # one millilitre of dye a millilitre of mud
        self.bentonite_per_ratio = float(titration.bentonite_equivalent)  # kg/m3
        clay = self.bentonite_per_ratio / 10.0  # kg/m3 to g/100 mL
        self.bentonite_exchange = 100.0 * float(titration.capacity) / clay  # meq/100 g


def brine(chloride: Numbers) -> tuple[Numbers, Numbers]:
    """Density (kg/m3) and volume per volume of retort water of a sodium chloride brine (mg/L chloride)."""
    found = metric.brine.sodium_chloride(chloride=chloride, temperature=BENCH_TEMPERATURE)
    return np.asarray(found.density), np.asarray(found.volume_ratio)


def barite_for_density(density: Numbers, brine_density: Numbers, oil: Numbers, bentonite: Numbers, drilled: Numbers) -> Numbers:
    """Barite fraction that brings the mud to a density, never below none: a dirty mud stays too heavy."""
    rest = 1.0 - oil - bentonite - drilled
    without = rest * brine_density + oil * OIL_DENSITY + (bentonite + drilled) * LOW_GRAVITY_DENSITY
    return np.maximum((density - without) / (BARITE_DENSITY - brine_density), 0.0)


def density(brine_density: Numbers, oil: Numbers, bentonite: Numbers, drilled: Numbers, barite: Numbers) -> Numbers:
    """Mass balance of the mud, kg/m3."""
    brine_fraction = 1.0 - oil - bentonite - drilled - barite
    return (
        brine_fraction * brine_density
        + oil * OIL_DENSITY
        + (bentonite + drilled) * LOW_GRAVITY_DENSITY
        + barite * BARITE_DENSITY
    )


def bentonite_equivalent(bench: Bench, bentonite: Numbers, drilled: Numbers, drilled_exchange: Numbers) -> Numbers:
    """kg/m3 of bentonite that would take up as much dye as the clay of the mud (exchange in meq/100 g)."""
    return LOW_GRAVITY_DENSITY * (bentonite + drilled * drilled_exchange / bench.bentonite_exchange)


def flow_curve(
    bench: Bench, solids: Numbers, clay: Numbers, polymer: Numbers, chloride: Numbers, cement: Numbers, hot: Numbers
) -> tuple[Numbers, Numbers, Numbers]:
    """Yield stress (Pa), consistency (Pa.s^n) and flow index: the invented rheology of the field.

    solids: suspended volume fraction; clay: bentonite equivalent, polymer: kg/m3; chloride: mg/L;
    cement: 0 to 1 contamination; hot: read at 150 instead of 120 degF.
    """
    crowding = (1.0 - solids / 0.56) ** -1.9
    hydration = 1.0 / (1.0 + chloride / 40000.0)
    flocculation = 1.0 + 1.3 * cement
    plastic = 1e-3 * (1.2 + 1.3 * polymer + 0.09 * clay * hydration) * crowding * (1.0 + 0.25 * cement)
    index = np.clip(0.76 - 0.040 * polymer - 0.0018 * clay, 0.40, 0.90)
    clay_structure = 0.85 * (clay / 30.0) ** 1.6 * (0.35 + 0.65 * hydration) * flocculation
    yield_stress = (0.22 * polymer + clay_structure) * np.sqrt(crowding)
    fast, half = bench.shear_rate[0], bench.shear_rate[1]
    consistency = plastic * (fast - half) / (fast**index - half**index)
    return yield_stress * np.where(hot, 0.93, 1.0), consistency * np.where(hot, 0.84, 1.0), index


def dial_readings(bench: Bench, yield_stress: Numbers, consistency: Numbers, index: Numbers) -> Numbers:
    """Dial degrees at the six speeds, one row a mud."""
    stress: Numbers = yield_stress[:, None] + consistency[:, None] * bench.shear_rate[None, :] ** index[:, None]
    return stress / bench.stress_per_degree


def gels(
    bench: Bench, yield_stress: Numbers, consistency: Numbers, index: Numbers, clay: Numbers, cement: Numbers
) -> tuple[Numbers, Numbers, Numbers]:
    """Gel readings in dial degrees after 10 s, 10 min and 30 min."""
    first = 0.95 * (yield_stress + consistency * bench.shear_rate[-1] ** index) + 0.012 * clay
    second = first * (1.20 + 0.008 * clay * (1.0 + 0.8 * cement))
    third = second * (1.08 + 0.0035 * clay)
    return first / bench.stress_per_degree, second / bench.stress_per_degree, third / bench.stress_per_degree


def funnel(yield_stress: Any, plastic_viscosity: Any) -> Any:
    """Funnel time, s/qt."""
    return 29.0 + 2.6 * yield_stress + 0.75 * plastic_viscosity


def filtrate(polymer: Numbers, chloride: Numbers, cement: Numbers) -> Numbers:
    """Filtrate at room temperature and 100 psi in 30 min, mL."""
    return 3.9 + 13.0 * np.exp(-polymer / 1.7) + 1.4 * np.clip(chloride - 90000.0, 0.0, None) / 60000.0 + 5.0 * cement


def alkalinity(ph: Numbers, carbonate: Numbers, water: Numbers, lime: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    """Pm, Pf and Mf in mL of 0.02 N acid a mL from pH, carbonate (mol/L), retort water fraction, lime (eq/L of mud)."""
    hydroxide = 10.0 ** (ph - 14.0) / 0.75
    bicarbonate = carbonate * 10.0 ** (10.0 - ph)
    pf = (hydroxide + carbonate) / 0.02
    mf = (hydroxide + 2.0 * carbonate + bicarbonate) / 0.02
    return water * pf + lime / 0.02, pf, mf


def equivalent_circulating_density(fluid: dict[str, Numbers], hole: dict[str, Numbers]) -> Numbers:
    """Equivalent density at the bit (kg/m3) while pumping, from the kernel: cased annulus above open hole.

    fluid: density, yield_stress, consistency, flow_index. hole: diameters (mm), flow_rate (L/min), measured
    and true vertical depth (m) of the shoe and of the hole; every entry an array over muds.
    """

    def pair(name: str) -> Numbers:
        return np.column_stack([hole["shoe_" + name], hole["hole_" + name]])

    def column(values: Numbers) -> Numbers:
        return np.asarray(values)[:, None]

    gradient = metric.hydraulics.slot_pressure_gradient(
        density=column(fluid["density"]),
        yield_stress=column(fluid["yield_stress"]),
        consistency=column(fluid["consistency"]),
        flow_index=column(fluid["flow_index"]),
        hole_diameter=pair("diameter"),
        pipe_diameter=column(hole["pipe_diameter"]),
        flow_rate=column(hole["flow_rate"]),
    ).pressure_gradient
    found = metric.hydraulics.equivalent_density(
        fluid_density=fluid["density"],
        surface_pressure=0.0,
        bottom_measured_depth=pair("measured"),
        bottom_true_vertical_depth=pair("vertical"),
        friction_gradient=np.asarray(gradient),
    )
    return np.asarray(found.equivalent_density)[..., -1]
