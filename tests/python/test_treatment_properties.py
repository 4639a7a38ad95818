"""Treatments: moles and masses close, weighting up and diluting return the density, and what is asked for comes out."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import lutum

treatment = lutum.si.treatment
few = settings(max_examples=50, deadline=None)

OH, CO3, SO4 = 17.007, 60.008, 96.056  # g/mol, as are all numbers here
CA, MG, S, NA, CL, H2O, H = 40.078, 24.305, 32.06, 22.990, 35.45, 18.015, 1.008

# calculation, ion, option, mol of ion for one mol of agent, mol leaving or entering the filtrate for one mol of ion
REMOVALS = [
    ("calcium_removal", "calcium", CA, "soda_ash", 2 * NA + CO3, 1.0, {"sodium": 2.0}),
    ("calcium_removal", "calcium", CA, "bicarbonate_with_hydroxide", NA + H + CO3, 1.0, {"sodium": 1.0, "hydroxide": -1.0}),
    ("calcium_removal", "calcium", CA, "bicarbonate_alone", NA + H + CO3, 0.5, {"sodium": 2.0}),
    ("magnesium_removal", "magnesium", MG, None, NA + OH, 0.5, {"sodium": 2.0}),
    ("carbonate_removal", "carbonate", CO3, "lime", CA + 2 * OH, 1.0, {"hydroxide": 2.0}),
    ("carbonate_removal", "carbonate", CO3, "gypsum", CA + SO4 + 2 * H2O, 1.0, {"sulfate": 1.0}),
    ("bicarbonate_removal", "bicarbonate", H + CO3, "lime", CA + 2 * OH, 1.0, {"hydroxide": 1.0}),
    ("bicarbonate_removal", "bicarbonate", H + CO3, "caustic_soda", NA + OH, 1.0, {"sodium": 1.0, "carbonate": 1.0}),
    ("sulfate_removal", "sulfate", SO4, None, 137.327 + CO3, 1.0, {"carbonate": 1.0}),
    ("sulfide_removal", "sulfide", S, "zinc_oxide", 65.38 + 15.999, 1.0, {"hydroxide": 2.0}),
    ("sulfide_removal", "sulfide", S, "basic_zinc_carbonate", 5 * 65.38 + 2 * CO3 + 6 * OH, 5.0, {"hydroxide": 1.2, "carbonate": 0.4}),
]
CHARGE = {"calcium": 2, "magnesium": 2, "sodium": 1, "hydroxide": -1, "carbonate": -2, "bicarbonate": -1, "sulfate": -2, "sulfide": -2}
MASS = {"sodium": NA, "hydroxide": OH, "carbonate": CO3, "sulfate": SO4}


def near(value, relative=1e-12, absolute=0.0):
    return pytest.approx(value, rel=relative, abs=absolute)


def between(low, high):
    return st.floats(low, high, allow_subnormal=False)


def option(agent):
    return {} if agent is None else {"agent": agent}


@pytest.mark.parametrize("removal", REMOVALS, ids=lambda r: f"{r[0]} {r[3] or ''}")
@few
@given(
    held=between(0.05, 5.0), kept=between(0.0, 1.0), water=between(0.05, 1.0), purity=between(0.5, 1.0), efficiency=between(0.1, 1.0),
    volume=between(1.0, 5000.0),
)
def test_the_agent_takes_out_exactly_the_ion(removal, held, kept, water, purity, efficiency, volume):
    name, ion, ion_mass, agent, agent_mass, takes, leaves = removal
    r = getattr(treatment, name)(
        **{ion: held, f"target_{ion}": kept * held}, water_fraction=water, purity=purity, efficiency=efficiency, mud_volume=volume, **option(agent)
    )
    pure = r.product_mass * purity
    reacted = pure - r.unreacted_concentration * volume
    assert reacted == near(efficiency * pure, absolute=1e-9 * pure)
    in_the_water = (held - kept * held) * water * volume
    assert reacted / agent_mass * takes * ion_mass == near(in_the_water, 1e-11, absolute=1e-12 * held * volume)
    removed = (held - kept * held) / ion_mass
    for gained, mass in MASS.items():
        if hasattr(r, f"{gained}_gained"):
            share = 1 / efficiency if gained == "sodium" else 1.0
            assert getattr(r, f"{gained}_gained") == near(leaves.get(gained, 0.0) * removed * mass * share, absolute=1e-15)


# Agents and precipitates are neutral: what is left behind carries the charge of the ion taken out.
@pytest.mark.parametrize("removal", REMOVALS, ids=lambda r: f"{r[0]} {r[3] or ''}")
def test_charge_is_conserved(removal):
    name, ion, ion_mass, agent, *_ = removal
    r = getattr(treatment, name)(**{ion: 1.0, f"target_{ion}": 0.0}, water_fraction=1.0, efficiency=1.0, **option(agent))
    gained = {g: getattr(r, f"{g}_gained") / m for g, m in MASS.items() if hasattr(r, f"{g}_gained")}
    assert sum(CHARGE[g] * n for g, n in gained.items()) == near(CHARGE[ion] / ion_mass)


@few
@given(held=between(0.05, 5.0), water=between(0.05, 1.0))
def test_twice_the_efficiency_is_half_the_product(held, water):
    half, whole = (
        treatment.sulfide_removal(sulfide=held, target_sulfide=0.0, water_fraction=water, efficiency=e).treatment_concentration for e in (0.4, 0.8)
    )
    assert half == near(2 * whole)


@few
@given(
    start=between(950.0, 2000.0), more=between(1.0, 400.0), material=between(2650.0, 5300.0), wetting=between(0.0, 0.2), volume=between(1.0, 5000.0),
    room=between(1.0, 5000.0),
)
def test_weighting_up_returns_the_density(start, more, material, wetting, volume, room):
    target = start + more
    assume(target < 0.95 * (1 + wetting) / (1 / material + wetting / 998.2))
    r = treatment.weight_up(
        mud_density=start, target_density=target, high_gravity_density=material, wetting_water=wetting, mud_volume=volume, volume_limit=room
    )
    water = r.product_mass * wetting
    assert r.final_volume * target == near(volume * start + r.product_mass + water)  # mass
    assert r.final_volume == near(volume + r.product_mass / material + r.water_volume)  # volume
    assert r.water_volume * 998.2 == near(water, absolute=1e-12)
    paste = r.limited_product_mass
    assert r.starting_volume + paste / material + paste * wetting / 998.2 == near(room)
    assert room * target == near(r.starting_volume * start + paste * (1 + wetting))
    assert volume - r.starting_volume == near(r.discarded_volume, absolute=1e-9)


@few
@given(start=between(1100.0, 2300.0), less=between(0.05, 0.95), diluent=between(750.0, 1050.0), volume=between(1.0, 5000.0))
def test_dilution_returns_the_density(start, less, diluent, volume):
    target = start - less * (start - diluent)
    r = treatment.density_dilution(mud_density=start, target_density=target, diluent_density=diluent, mud_volume=volume)
    assert r.final_volume * target == near(volume * start + r.dilution_volume * diluent)
    assert (volume - r.exchanged_volume) * start + r.exchanged_volume * diluent == near(volume * target)
    back = treatment.weight_up(mud_density=target, target_density=start, high_gravity_density=start * 2, mud_volume=r.final_volume)
    assert back.final_volume * start == near(r.final_volume * target + back.product_mass)


@few
@given(start=between(0.02, 0.3), less=between(0.05, 0.95), diluent=between(0.0, 0.015), volume=between(1.0, 5000.0))
def test_dilution_returns_the_solids(start, less, diluent, volume):
    target = start - less * (start - diluent)
    r = treatment.solids_dilution(
        low_gravity_fraction=start, target_low_gravity_fraction=target, diluent_low_gravity_fraction=diluent, mud_volume=volume
    )
    assert r.final_volume * target == near(volume * start + r.dilution_volume * diluent)
    assert (volume - r.exchanged_volume) * start + r.exchanged_volume * diluent == near(volume * target)


@few
@given(oil=between(0.2, 0.7), water=between(0.02, 0.3), share=between(0.4, 0.98), volume=between(1.0, 5000.0))
def test_either_addition_gives_the_ratio(oil, water, share, volume):
    r = treatment.oil_water_ratio(oil_fraction=oil, water_fraction=water, target_oil_share=share, mud_volume=volume)
    assert (oil + r.oil_addition) / (oil + r.oil_addition + water) == near(share)
    assert oil / (oil + water + r.water_addition) == near(share)
    assert r.oil_volume == near(r.oil_addition * volume) and r.water_volume == near(r.water_addition * volume)
    assert r.oil_addition * r.water_addition <= 0.0  # only one of them is an addition


SALTS = [("calcium_chloride", CA + 2 * CL, 2), ("sodium_chloride", NA + CL, 1), ("potassium_chloride", 39.098 + CL, 1)]


@pytest.mark.parametrize(("salt", "mass", "chlorides"), SALTS)
@few
@given(
    now=between(0.0, 0.2), more=between(0.01, 0.2), water=between(0.02, 1.0), purity=between(0.7, 1.0), wet=between(0.0, 1.0),
    volume=between(1.0, 5000.0),
)
def test_the_water_phase_has_the_salinity_asked_for(salt, mass, chlorides, now, more, water, purity, wet, volume):
    wanted = now + more
    r = treatment.salt_addition(
        salt_mass_fraction=now, target_mass_fraction=wanted, water_fraction=water, purity=purity, product_water_fraction=wet * (1 - purity),
        mud_volume=volume, salt=salt,
    )
    water_mass = water * 997.05 + r.water_gained
    salt_mass = water * 997.05 * now / (1 - now) + r.salt_gained
    assert salt_mass / (salt_mass + water_mass) == near(wanted)
    assert r.product_mass * purity == near(r.salt_gained * volume)
    assert r.chloride_gained == near(r.salt_gained * chlorides * CL / mass)
