"""Every calculation against another road to the same number: other formulas, other solvers, plain arithmetic.

Nothing here comes from the library but the numbers under test. Conversion factors are taken from their definitions. A
calculation with a road here has its derived check values held against it too; a new one is welcome to one.
"""

from fractions import Fraction
from math import exp, isnan, log, nan, pi

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

import lutum
from lutum import checks

POUND, FOOT, GALLON = Fraction(45359237, 100_000_000), Fraction(3048, 10_000), Fraction(3785411784, 10**12)
BARREL, GRAVITY = 42 * GALLON, Fraction(980665, 100_000)


def methylene_blue(dye_volume, sample_volume, dye_strength=10.0):
    if isnan(dye_volume + sample_volume + dye_strength):
        return {"capacity": nan, "bentonite_equivalent": nan}
    charge = Fraction(dye_strength) * Fraction(dye_volume) / Fraction(sample_volume)
    pounds_a_barrel = 5 * charge / 10  # 1 meq/100 mL is 10 mol/m3
    return {"capacity": float(charge), "bentonite_equivalent": float(pounds_a_barrel * POUND / BARREL)}


def water_density(t):
    numerator = np.polyval([-2.8054253e-10, 1.0556302e-7, -4.6170461e-5, -0.0079870401, 16.945176, 999.83952], t)
    return numerator / (1 + 0.01687985 * t)


def brine_density(w, t):
    """The published equation, coefficients typed again from its tables; volumes of water and salt add."""
    salt = (-0.00324112223655149 * w + 0.0636354335906616) * exp(1e-6 * (t + 3317.34854426537) ** 2)
    salt /= w + 1.01371399467365 + 0.0145951015210159 * t
    return 1 / ((1 - w) / water_density(t) + w / salt)


def sodium_chloride(chloride, temperature=293.15):
    if isnan(chloride + temperature):
        return dict.fromkeys(("mass_fraction", "salt_concentration", "density", "volume_ratio"), nan)
    t = temperature - 273.15
    salt = chloride * (22.990 + 35.45) / 35.45
    w = brentq(lambda w: w * brine_density(w, t) - salt, 0.0, 0.30, xtol=1e-16, rtol=1e-15) if salt > 0 else 0.0
    density = brine_density(w, t)
    water_in_brine = density - salt  # kg in 1 m3 of brine
    return {"mass_fraction": w, "salt_concentration": salt, "density": density, "volume_ratio": water_density(t) / water_in_brine}


def water_base_retort(
    mud_density,
    water_fraction,
    oil_fraction,
    chloride,
    oil_density=840.0,
    low_gravity_density=2600.0,
    high_gravity_density=4200.0,
    temperature=293.15,
):
    """Volume and mass of 1 m3 of mud as two linear equations in the two kinds of solids."""
    brine = sodium_chloride(chloride, temperature)
    pure_water = water_fraction * water_density(temperature - 273.15)  # kg distilled from 1 m3
    brine_mass = pure_water / (1 - brine["mass_fraction"])
    brine_volume = brine_mass / brine["density"]
    left = np.array([[1.0, 1.0], [low_gravity_density, high_gravity_density]])
    solids = np.array([1 - oil_fraction - brine_volume, mud_density - oil_fraction * oil_density - brine_mass])
    low, high = np.linalg.solve(left, solids) if np.isfinite(solids).all() else (nan, nan)
    return {
        "retort_solids_fraction": 1 - water_fraction - oil_fraction,
        "brine_fraction": brine_volume,
        "brine_density": brine["density"],
        "suspended_solids_fraction": solids[0],
        "average_solids_density": solids[1] / solids[0],
        "low_gravity_fraction": low,
        "high_gravity_fraction": high,
        "low_gravity_concentration": low * low_gravity_density,
        "high_gravity_concentration": high * high_gravity_density,
    }


def viscometer(speed, reading, temperature=nan, gel_10_s=nan, gel_10_min=nan, gel_30_min=nan, rotor_radius=0.018415, bob_radius=0.017245,
               effective_bob_height=None, spring_constant=3.86e-5):
    # Shear rate of a Newtonian fluid at the bob from the velocity profile between cylinders: dv/dr - v/r, v = a r + b/r.
    def rate_at_bob(omega, rotor, bob):
        if bob >= rotor:
            return nan
        _, b = np.linalg.solve([[bob, 1 / bob], [rotor, 1 / rotor]], [0.0, omega * rotor])
        return abs(-2 * b / bob**2)

    def wall_of_degree(height, spring, bob):
        return spring / (bob * 2 * pi * bob * height)  # torque over arm and area

    standard = 1e-3 * rate_at_bob(300 * 2 * pi / 60, 0.018415, 0.017245)  # 1 mPa.s reads 1 degree at 300 r/min
    if effective_bob_height is None:
        effective_bob_height = 3.86e-5 / (2 * pi * 0.017245**2 * standard)
    wall = wall_of_degree(effective_bob_height, spring_constant, bob_radius)
    hundred_square_feet = float(POUND * GRAVITY / (100 * FOOT**2))
    rates = [rate_at_bob(s, rotor_radius, bob_radius) if not isnan(s) else nan for s in speed]
    read = {round(s * 60 / (2 * pi), 3): (g, wall * r) for s, g, r in zip(speed, rates, reading) if not isnan(s + r)}
    fast, slow = read.get(600.0, (nan, nan)), read.get(300.0, (nan, nan))
    plastic = (fast[1] - slow[1]) / (fast[0] - slow[0])
    reported = hundred_square_feet / standard  # by convention of a wall stress
    return {
        "shear_rate": rates,
        "wall_stress": [wall * r for r in reading],
        "apparent_viscosity": fast[1] / fast[0],
        "plastic_viscosity": plastic,
        "yield_point": (2 * slow[1] - fast[1]) * reported,  # the straight line at rest
        "gel_strength_10_s": wall * gel_10_s * reported,
        "gel_strength_10_min": wall * gel_10_min * reported,
        "gel_strength_30_min": wall * gel_30_min * reported,
    }


def log_slot_velocity(log_above, tau0, K, n, gap):
    """Mean velocity between plates from the profile: V = h/(2 tau_w^2) int tau rate(tau) dtau, by quadrature; in logarithms."""
    above = exp(log_above)
    integral, _ = quad(lambda u: (tau0 + above * u) * u ** (1 / n), 0.0, 1.0, epsabs=0.0, epsrel=1e-13, limit=200)
    return log(gap / 2) - 2 * log(tau0 + above) + log_above + (log_above - log(K)) / n + log(integral)


def slot_pressure_gradient(density, yield_stress, consistency, flow_index, hole_diameter, pipe_diameter, flow_rate):
    names = ("velocity", "wall_stress", "pressure_gradient", "plug_fraction", "local_flow_index", "reynolds_number", "critical_reynolds_number")
    if isnan(sum((density, yield_stress, consistency, flow_index, hole_diameter, pipe_diameter, flow_rate))) or pipe_diameter >= hole_diameter:
        return dict.fromkeys(names, nan)
    tau0, K, n = yield_stress, consistency, flow_index
    gap, velocity = (hole_diameter - pipe_diameter) / 2, flow_rate / (pi / 4 * (hole_diameter**2 - pipe_diameter**2))

    def stress_at(v):
        """Root in ln(tau - tau0): the velocity falls with a power of it."""
        scale = log(K) + n * log(6 * v / gap)
        root = brentq(lambda z: log_slot_velocity(z, tau0, K, n, gap) - log(v), scale - 30, scale + 30, xtol=1e-14, rtol=1e-14)
        return tau0 + exp(root)

    step = 1e-4
    stress = stress_at(velocity) if velocity > 0 else tau0  # at no flow the limit
    index = (log(stress_at(velocity * exp(step))) - log(stress_at(velocity * exp(-step)))) / (2 * step) if velocity > 0 else 0.0
    values = velocity, stress, 2 * stress / gap, tau0 / stress, index, 8 * density * velocity**2 / stress, 3470 - 1370 * index
    return dict(zip(names, values))


def equivalent_density(fluid_density, bottom_measured_depth, bottom_true_vertical_depth, friction_gradient, surface_pressure=0.0):
    """Friction as a running sum of section lengths, pressures from weights of columns."""
    g = float(GRAVITY)
    tops = [0.0, *bottom_measured_depth[:-1]]
    losses = [dp * (bottom - top) for dp, bottom, top in zip(friction_gradient, bottom_measured_depth, tops)]
    friction = [sum(losses[: i + 1]) for i in range(len(losses))]
    hydrostatic = [fluid_density * g * z for z in bottom_true_vertical_depth]
    pressure = [surface_pressure + h + f for h, f in zip(hydrostatic, friction)]
    equal = [p / g / z if z > 0 else nan for p, z in zip(pressure, bottom_true_vertical_depth)]
    return {"hydrostatic_pressure": hydrostatic, "friction_pressure": friction, "pressure": pressure, "equivalent_density": equal}


ROADS = {
    "clay.methylene_blue": methylene_blue,
    "brine.sodium_chloride": sodium_chloride,
    "solids.water_base_retort": water_base_retort,
    "rheology.viscometer": viscometer,
    "hydraulics.slot_pressure_gradient": slot_pressure_gradient,
    "hydraulics.equivalent_density": equivalent_density,
}
LOOSE = {"local_flow_index": 2e-7, "critical_reynolds_number": 2e-7}  # a difference of the other road, not a derivative


def near(name, got, want, relative=1e-9, absolute=0.0):
    got, want = np.asarray(got, float), np.asarray(want, float)
    relative = max(relative, LOOSE.get(name, 0.0))
    return np.all((np.abs(got - want) <= absolute + relative * np.abs(want)) | (np.isnan(got) & np.isnan(want)))


@pytest.mark.parametrize("calculation", [c for c in lutum.catalogue() if c.sheet.id in ROADS], ids=lambda c: c.sheet.id)
def test_the_roads_meet(calculation, sample, row):
    """Random records over the range shown to hold, in SI."""
    si = next(c for c in lutum.catalogue("si") if c.sheet.id == calculation.sheet.id)
    road = ROADS[si.sheet.id]
    records = 40
    inputs = sample(si, records, seed=11)
    results = si(**inputs)
    for i in range(records):
        want = road(**row(inputs, i))
        size = {v.quantity: 0.0 for v in si.results}
        for v in si.results:  # a small difference of large numbers is judged by the large ones
            size[v.quantity] = max(size[v.quantity], np.max(np.abs(want[v.name])))
        for v, got in zip(si.results, results):
            told = f"{v.name} is {got[i]}, by the other road {want[v.name]}; {row(inputs, i)}"
            assert near(v.name, got[i], want[v.name], absolute=1e-11 * size[v.quantity]), told


CASES = checks.load()


@pytest.mark.parametrize("case", [c for c in CASES if c.mark == "derived" and c.calculation in ROADS], ids=lambda c: f"{c.calculation}: {c.id}")
def test_derived_check_values_come_by_the_road(case):
    """A value said to be derived is what the other road gives, so a slip in the file does not pass for an error of the library."""
    area, name = case.calculation.split(".")
    own, si = (getattr(getattr(home, area), name) for home in (case.units, lutum.unit_set("si")))
    given = {
        v.name: lutum.units.convert(case.given[v.name], v.unit_symbol, w.unit_symbol) for v, w in zip(own.inputs, si.inputs) if v.name in case.given
    }
    results = ROADS[case.calculation](**given)
    for v, w in zip(own.results, si.results):
        if v.name in case.expect:
            expected = case.expect[v.name]
            got = lutum.units.convert(results[v.name], w.unit_symbol, v.unit_symbol)
            told = f"{v.name}: {got} by the other road, {expected.value} in the file"
            assert near(v.name, got, expected.value, expected.relative, expected.absolute), told
