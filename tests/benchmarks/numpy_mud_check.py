"""A water-base mud check as an analyst would write it for a whole frame in NumPy: in the units of the report, factors and exponentials at
20 degC worked out beforehand, nothing computed twice, a value that is a reading not copied. Used by the benchmark beside Lutum."""

import numpy as np
import pandas as pd
from numpy_flow_curve import whole_batch

NEWTON_STEPS = 3  # enough for 1e-12 from this start: an analyst does not tune the number to the data at hand

# Units: so many kg/m3 in a lb/gal, a lb/bbl, a mg/L.
GALLON, BARREL = 0.45359237 / 3.785411784e-3, 0.45359237 / 0.158987294928
PER_DEGREE = 2 * 18.415**2 / (18.415**2 - 17.245**2) * np.pi * 10e-3 / (4.4482216152605 / 0.3048**2 / 100)  # lb/100 ft2 a dial degree
PER_RPM = 2 * 18.415**2 / (18.415**2 - 17.245**2) * np.pi / 30  # 1/s
PSI = 4.4482216152605 / 0.0254**2

# g/mol
H, C, O, NA, MG, S, CL, K, CA = 1.008, 12.011, 15.999, 22.990, 24.305, 32.06, 35.45, 39.098, 40.078  # noqa: E741
HYDROXIDE, CARBONATE, BICARBONATE, SULFATE, LIME = O + H, C + 3 * O, H + C + 3 * O, S + 4 * O, CA + 2 * (O + H)

# Apparent densities of sodium, potassium, calcium and magnesium chloride, Laliberte (2009), at 20 degC once for all.
TEMPERATURE = 20.0
SALTS = [
    (c0, c1, c2 + c3 * TEMPERATURE, np.exp(1e-6 * (TEMPERATURE + c4) ** 2))
    for c0, c1, c2, c3, c4 in (
        (-0.00324112223655149, 0.0636354335906616, 1.01371399467365, 0.0145951015210159, 3317.34854426537),
        (-0.855928945959145, 6.04073571306402, 2.81787416217166, 0.0253924645877338, 2681.61723465886),
        (-9.72893747074295, 14.7005352975276, 4.19033341468332, 0.0397403624277021, 2708.12778894614),
        (-0.0215001423271867, 0.0441202083909434, 1.53227586827304, -0.0098078506056196, -3478.36496883693),
    )
]
WATER = (((((-2.8054253e-10 * TEMPERATURE + 1.0556302e-7) * TEMPERATURE - 4.6170461e-5) * TEMPERATURE - 0.0079870401) * TEMPERATURE + 16.945176)
         * TEMPERATURE + 999.83952) / (1 + 0.01687985 * TEMPERATURE)  # fmt: skip
OIL, LOW, HIGH, BENTONITE, QUARTZ = 840.0, 2600.0, 4200.0, 2600.0, 2650.0  # kg/m3
BENTONITE_CAPACITY = 1 / (5 * BARREL / 10)  # mol/kg, 5 lb/bbl for each meq/100 mL
DRILLED_CAPACITY = BENTONITE_CAPACITY / 9


def several_salts(amounts):
    """All salt in the brine by mass, and density, of so much of each salt, kg/m3."""
    total = sum(amounts)
    load = total / WATER
    w = total / (WATER + (0.70 - 2e-4 * total) * total)
    for _ in range(NEWTON_STEPS):
        taken = slope = 0.0
        for amount, (c0, c1, thinning, warmth) in zip(amounts, SALTS):
            lower = c0 * w + c1
            part = amount / (lower * warmth)
            taken = taken + part * (w + thinning)
            slope = slope + part / lower * (c1 - c0 * thinning)
        room = load + 1 - taken
        w = w - (w * room - load) / (room - w * slope)
    taken = sum(a * (w + thinning) / ((c0 * w + c1) * warmth) for a, (c0, c1, thinning, warmth) in zip(amounts, SALTS))
    return w, total + (1 - taken) * WATER


def retort(v, density, water, oil, brine_ratio, brine_density):
    own = "solids.retort_with_brine."
    brine = brine_ratio * water
    suspended = 1 - brine - oil
    mass = density - brine * brine_density - oil * OIL
    low = (suspended * HIGH - mass) / (HIGH - LOW)
    high = suspended - low
    v[own + "retort_solids_fraction"] = 100 * (1 - water - oil)
    v[own + "brine_fraction"] = brine * 100
    v[own + "suspended_solids_fraction"] = suspended * 100
    v[own + "average_solids_density"] = mass / suspended / GALLON
    v[own + "low_gravity_fraction"] = low * 100
    v[own + "high_gravity_fraction"] = high * 100
    v[own + "low_gravity_concentration"] = low * (LOW / BARREL)
    v[own + "high_gravity_concentration"] = high * (HIGH / BARREL)
    return low


def plain_numpy(frame: pd.DataFrame, limits: dict[str, tuple[float, float]] | None = None, fitted: bool = False) -> pd.DataFrame:
    r = {name: frame[name].to_numpy() for name in frame}
    for name, usual in (("hot_filtrate_pressure", 600.0), ("hot_filtrate_back_pressure", 100.0)):
        r[name] = np.where(np.isnan(r[name]), usual, r[name])
    if limits is not None:  # a value outside is missing; what was missing is so already
        for name, x in r.items():
            low, high = limits[name]
            r[name] = np.where((x >= low) & (x <= high), x, np.nan)
    v: dict[str, np.ndarray] = {}
    with np.errstate(all="ignore"):
        bench(r, v)
        low = solids(r, v, titrations(r, v))
        clay(r, v, low)
        filtration(r, v)
        if fitted:
            flow_curve(r, v)
    return pd.DataFrame(v, index=frame.index, copy=False)


def bench(r, v):
    density = r["mud_density"]
    v["density.gas_cut.gas_free_density"] = r["pressurised_density"]
    v["density.gas_cut.gas_fraction"] = 100 * (1 - density / r["pressurised_density"])
    v["density.gradient.pressure_gradient"] = density * (12 / 231)
    v["density.hydrostatic_pressure.pressure"] = density * r["true_vertical_depth"] * (12 / 231)
    for speed in (600, 300, 200, 100, 6, 3):
        v[f"rheology.viscometer.shear_rate_{speed}"] = np.full(len(density), speed * PER_RPM)
        v[f"rheology.viscometer.wall_stress_{speed}"] = r[f"reading_{speed}"] * PER_DEGREE
    v["rheology.viscometer.apparent_viscosity"] = r["reading_600"] / 2
    v["rheology.viscometer.plastic_viscosity"] = plastic = r["reading_600"] - r["reading_300"]
    v["rheology.viscometer.yield_point"] = r["reading_300"] - plastic
    for rest in ("10_s", "10_min", "30_min"):
        v[f"rheology.viscometer.gel_strength_{rest}"] = r[f"gel_{rest}"]


def titrations(r, v):
    """Ions in mg/L, by the name of the ion."""
    both = r["hardness_titrant_volume"] / r["hardness_sample_volume"] * 10  # mol/m3, which in g/mol makes mg/L
    alone = r["calcium_titrant_volume"] / r["hardness_sample_volume"] * 10
    own = "chemistry.filtrate_hardness."
    v[own + "total_hardness_as_calcium"] = both * CA
    v[own + "total_hardness_as_calcium_carbonate"] = both * (CA + CARBONATE)
    v[own + "calcium"] = calcium = alone * CA
    v[own + "magnesium"] = magnesium = (both - alone) * MG
    pf, mf, pm = r["alkalinity_filtrate"], r["alkalinity_filtrate_total"], r["alkalinity_mud"]
    twice, sound = 2 * pf, pf <= mf
    own = "chemistry.filtrate_alkalinity."
    v[own + "hydroxide"] = hydroxide = np.where(sound, np.maximum(twice - mf, 0) * (20 * HYDROXIDE), np.nan)
    v[own + "carbonate"] = carbonate = np.where(sound, np.where(twice > mf, mf - pf, pf) * (20 * CARBONATE), np.nan)
    v[own + "bicarbonate"] = bicarbonate = np.where(sound, np.maximum(mf - twice, 0) * (20 * BICARBONATE), np.nan)
    lime = 20 * LIME / 2000 / BARREL
    v["chemistry.lime_content.excess_lime"] = (pm - r["water_fraction"] / 100 * pf) * lime
    v["chemistry.lime_content.alkalinity_as_lime"] = pm * lime
    own = "chemistry.ph_consistency."
    v[own + "ph_from_hydroxide"] = expected = np.where(hydroxide > 0, 14 + np.log10(hydroxide / (1000 * HYDROXIDE)), np.nan)
    v[own + "ph_difference"] = r["ph"] - expected
    v[own + "hydroxide_from_ph"] = 10.0 ** (r["ph"] - 14) * (1000 * HYDROXIDE)
    salt = r["potassium_chloride_concentration"]
    own = "chemistry.potassium_of_salt."
    v[own + "potassium"] = potassium = salt * (BARREL * 1000 * K / (K + CL))
    v[own + "chloride"] = salt * (BARREL * 1000 * CL / (K + CL))
    v[own + "mud_potassium_chloride"] = salt
    potassium = np.where(np.isnan(potassium), 0.0, potassium)
    own = "chemistry.charge_balance."
    v[own + "sum_of_anions"] = anions = r["chloride"] / CL + hydroxide / HYDROXIDE + carbonate * (2 / CARBONATE) + bicarbonate / BICARBONATE
    others = calcium * (2 / CA) + magnesium * (2 / MG) + potassium / K
    v[own + "sum_of_cations"] = cations = others + r["sodium"] / NA
    v[own + "difference"] = difference = cations - anions
    every = cations + anions
    v[own + "imbalance"] = np.where(every > 0, difference / every, np.nan)
    v[own + "sodium_by_difference"] = (anions - others) * NA
    return {"calcium": np.where(np.isnan(calcium), 0.0, calcium), "magnesium": np.where(np.isnan(magnesium), 0.0, magnesium), "potassium": potassium}


def solids(r, v, ions):
    chloride = r["chloride"]
    k, ca, mg = ions["potassium"] * ((K + CL) / K), ions["calcium"] * ((CA + 2 * CL) / CA), ions["magnesium"] * ((MG + 2 * CL) / MG)
    na = (chloride - (k - ions["potassium"]) - (ca - ions["calcium"]) - (mg - ions["magnesium"])) * ((NA + CL) / CL)
    salts = {"sodium": na, "potassium": k, "calcium": ca, "magnesium": mg}
    amounts = [x / 1000 for x in salts.values()]
    w, heavy = several_salts(amounts)
    ratio = WATER / (heavy * (1 - w))
    own = "brine.filtrate_salts."
    for (name, x), amount in zip(salts.items(), amounts):
        v[own + name + "_chloride_concentration"] = x
        v[own + name + "_chloride_mass_fraction"] = 100 * amount / heavy
    v[own + "mass_fraction"] = w * 100
    v[own + "density"] = heavy / GALLON
    v[own + "volume_ratio"] = ratio
    tight = r["pressurised_density"]
    density = np.where(np.isnan(tight), r["mud_density"], tight) * GALLON
    water, oil = r["water_fraction"] / 100, r["oil_fraction"] / 100
    return retort(v, density, water, oil, ratio, heavy)


def clay(r, v, low):
    v["clay.methylene_blue.capacity"] = capacity = r["dye_volume"] / r["dye_sample_volume"]
    v["clay.methylene_blue.bentonite_equivalent"] = equivalent = 5 * capacity
    own = "clay.low_gravity_split."
    mass = v["solids.retort_with_brine.low_gravity_concentration"]
    v[own + "bentonite_equivalent"] = equivalent
    v[own + "bentonite_concentration"] = bentonite = (capacity * (10 / BARREL) - mass * DRILLED_CAPACITY) / (BENTONITE_CAPACITY - DRILLED_CAPACITY)
    v[own + "drilled_solids_concentration"] = drilled = mass - bentonite
    v[own + "bentonite_fraction"] = part = bentonite * (100 * BARREL / BENTONITE)
    v[own + "drilled_solids_fraction"] = 100 * low - part
    v[own + "drilled_solids_to_bentonite"] = np.where(bentonite > 0, drilled / bentonite, np.nan)
    sand = r["sand_fraction"]
    v["solids.sand_content.sand_concentration"] = sand * (QUARTZ / BARREL / 100)
    v["solids.sand_content.low_gravity_share"] = np.where(low > 0, sand / low, np.nan)


def filtration(r, v):
    early, late = r["filtrate_volume_7.5_min"], r["filtrate_volume"]
    own = "filtration.static_filtrate."
    v[own + "coefficient"] = slope = (late - early) / (30**0.5 - 7.5**0.5)
    v[own + "spurt"] = spurt = early - slope * 7.5**0.5
    v[own + "filtrate_7_5_min"] = at_7_5 = spurt + slope * 7.5**0.5
    v[own + "filtrate_30_min"] = at_30 = spurt + slope * 30**0.5
    v[own + "relative_filtrate"] = 2 * (at_30 - at_7_5)
    v[own + "residual_1"] = early - at_7_5
    v[own + "residual_2"] = late - at_30
    own = "filtration.high_pressure."
    top, back = r["hot_filtrate_pressure"], r["hot_filtrate_back_pressure"]
    v[own + "filtrate"] = 2 * r["hot_filtrate_reading"]
    v[own + "differential_pressure"] = top - back
    theta = (r["hot_filtrate_temperature"] + 459.67) / (1.8 * 647.096)
    tau = 1 - theta
    root, cube = np.sqrt(tau), tau * tau * tau
    series = tau * (-7.85951783 + 1.84408259 * root) + cube * (-11.7866497 + 22.6807411 * root - 15.9618719 * tau + 1.80122502 * (cube * tau * root))
    v[own + "vapour_pressure"] = vapour = np.exp(series / theta) * (22.064e6 / PSI)
    v[own + "boiling_margin"] = back + 101325 / PSI - vapour
    cake = r["cake_thickness"]
    area = 7.1 * 0.0254**2
    own = "filtration.cake_permeability."
    v[own + "permeability"] = r["filtrate_viscosity"] * late * cake * (1e-9 * 0.0254 / 32 / (2 * area * 100 * PSI * 1800) / 9.869232667160130e-16)
    v[own + "cake_per_filtrate"] = np.where(late > 0, cake / late * (0.0254 / 32 * area / 1e-6), np.nan)
    own = "filtration.resistivity."
    mud, filtrate = (r[f"{what}_resistivity"] * (r[f"{what}_resistivity_temperature"] + 6.77) / (75 + 6.77) for what in ("mud", "filtrate"))
    v[own + "mud_resistivity_at_temperature"] = mud
    v[own + "filtrate_resistivity_at_temperature"] = filtrate
    v[own + "filtrate_to_mud"] = filtrate / mud


def flow_curve(r, v):
    """A yield power law through the wall stresses, in stress units of the report."""
    speeds = (600, 300, 200, 100, 6, 3)
    rates = np.array(speeds) * PER_RPM
    stress = np.stack([v[f"rheology.viscometer.wall_stress_{speed}"] for speed in speeds], -1)
    count = (~np.isnan(stress)).sum(-1)
    known = count >= 3
    level, consistency, index = np.where(known, whole_batch(stress, rates, 50_000).T, np.nan)
    left = stress - level[:, None] - consistency[:, None] * rates ** index[:, None]
    own = "rheology.yield_power_law_fit."
    v[own + "yield_stress"], v[own + "consistency"], v[own + "flow_index"] = level, consistency, index
    v[own + "root_mean_square"] = np.where(known, np.sqrt(np.nansum(left * left, -1) / count), np.nan)
    v[own + "readings_used"] = np.where(known, count, np.nan)
    for i, speed in enumerate(speeds):
        v[f"{own}residual_{speed}"] = left[:, i]
