"""Hole cleaning along a well: each method against its own calculation, what is found in words, and the least rate."""

from dataclasses import replace
from math import log2, nan

import invented_well
import numpy as np
import pytest
from invented_well import CASING, COLLARS, OPEN, PIPE

from lutum import si, units
from lutum.well import Fluid, circulate
from lutum.well.cleaning import cleaning, minimum_rate, slip_velocities

FOOT, INCH, POUND_PER_GALLON, GALLON_PER_MINUTE, FOOT_PER_MINUTE, FOOT_PER_HOUR = (
    units.convert(1.0, unit, to)
    for unit, to in (("ft", "m"), ("in", "m"), ("lb/gal", "kg/m3"), ("gal/min", "m3/s"), ("ft/min", "m/s"), ("ft/h", "m/s"))
)
ROCK = {"cuttings_diameter": 0.25, "cuttings_density": 21.7}
DRILLED = ROCK | {"penetration_rate": 60.0}
IN_SI = {"cuttings_diameter": 0.25 * INCH, "cuttings_density": 21.7 * POUND_PER_GALLON}
BIT = {"bit_diameter": 8.5 * INCH, "penetration_rate_of_bit": 60.0 * FOOT_PER_HOUR}


def well(inclination=0.0, **changes):
    """Less deep and without joints: straight from 1000 ft down at an inclination, built up to it above."""
    tables = {
        "holes": [CASING | {"bottom_measured_depth": 5000.0}, OPEN | {"bottom_measured_depth": 8000.0}],
        "string": [COLLARS, PIPE],
        "survey": {"measured_depth": [0, 1000, 8000], "inclination": [0, inclination, inclination], "azimuth": [0, 30, 30]},
    }
    return invented_well.well(**(tables | changes))


@pytest.fixture(scope="module")
def vertical():
    return well()


@pytest.fixture(scope="module")
def deviated():
    """From vertical through all three methods to 70 degrees."""
    return well(survey={"measured_depth": [0, 2000, 6000, 8000], "inclination": [0, 0, 70, 70], "azimuth": [0, 0, 30, 30]})


def by_hand(fluid, hole, pipe, flow_rate):
    """The viscosity at the wall, by calculations of the catalogue alone."""
    numbers = {name: float(x) for name, x in fluid.in_si().items()}
    curve = {name: x for name, x in numbers.items() if name != "density"}
    stress = si.hydraulics.slot_pressure_gradient(**numbers, hole_diameter=hole, pipe_diameter=pipe, flow_rate=flow_rate).wall_stress
    rate = si.rheology.yield_power_law(**curve, shear_rate=1.0, given_stress=stress).rate_at_stress
    return stress / rate


def reported(fluid):
    """Plastic viscosity and yield point, by the readings that the curve would give."""
    rates = 1021.38, 510.69  # 600 and 300 r/min of the standard instrument, from memory
    readings = [(fluid.yield_stress + fluid.consistency * g**fluid.flow_index) / 0.51069 for g in rates]
    return {"plastic_viscosity": 1e-3 * (readings[0] - readings[1]), "yield_point": (2.0 * readings[1] - readings[0]) * units.convert(1.0, "lb/100 ft2", "Pa")}


# Slip


def test_slip_of_every_row_is_that_of_its_own_wall(vertical, mud):
    found = slip_velocities(vertical, mud, 500.0, **ROCK)
    rows = vertical.rows()
    for i in (0, len(rows) // 2, len(rows) - 1):
        viscosity = by_hand(mud, rows.hole_diameter[i], rows.pipe_diameter[i], 500.0 * GALLON_PER_MINUTE)
        alone = si.cuttings.slip_velocity(**IN_SI, density=10.2 * POUND_PER_GALLON, effective_viscosity=viscosity).slip_velocity
        assert found[i] == pytest.approx(alone / FOOT_PER_MINUTE, rel=1e-9)
    assert len(set(found.round(9))) == 3  # cased and open annulus of the pipe, open annulus of the collars


def test_the_viscosity_of_a_power_law_has_a_closed_form(vertical):
    fluid = Fluid.of(density=10.0, yield_stress=0.0, consistency=1.2, flow_index=0.6)
    rows = vertical.rows()
    gap = rows.hole_diameter - rows.pipe_diameter
    velocity = 400.0 * GALLON_PER_MINUTE / (np.pi / 4.0 * (rows.hole_diameter**2 - rows.pipe_diameter**2))
    wall_rate = 12.0 * velocity / gap * (2.0 * 0.6 + 1.0) / (3.0 * 0.6)
    viscosity = float(fluid.consistency) * wall_rate ** (0.6 - 1.0)
    alone = si.cuttings.slip_velocity(**IN_SI, density=10.0 * POUND_PER_GALLON, effective_viscosity=viscosity, method="moore").slip_velocity
    assert slip_velocities(vertical, fluid, 400.0, **ROCK, method="moore") == pytest.approx(alone / FOOT_PER_MINUTE, rel=1e-9)


def test_a_newtonian_fluid_lets_them_fall_alike_at_any_rate(vertical):
    water = Fluid.of(density=8.34, yield_point=0.0, plastic_viscosity=1.0)
    found = slip_velocities(vertical, water, [10.0, 300.0, 900.0], **ROCK)
    assert np.ptp(found) < 1e-9 * found.max()
    assert np.isnan(slip_velocities(vertical, water, [0.0, -5.0], **ROCK)).all()
    for viscosity in (0.7, 1.0, 13.3):  # no yield point is left by rounding, so the correlation speaks
        table = cleaning(well(70.0), Fluid.of(density=8.34, yield_point=0.0, plastic_viscosity=viscosity), 500.0, **DRILLED)
        assert table["slip_velocity"].notna().all() and table["reason"].str.contains("yield").sum() == 0


def test_faster_flow_is_thinner_and_lets_them_fall_faster(vertical, mud):
    found = slip_velocities(vertical, mud, np.linspace(10.0, 900.0, 60), **ROCK)
    assert found.shape == (60, len(vertical.rows())) and (np.diff(found, axis=0) > 0.0).all()
    assert np.array_equal(found[7], slip_velocities(vertical, mud, float(np.linspace(10.0, 900.0, 60)[7]), **ROCK))
    resting = slip_velocities(vertical, mud, [0.0, 500.0, nan], **ROCK)
    assert np.isnan(resting[[0, 2]]).all() and np.isfinite(resting[1]).all()


def test_laws_of_drag_and_their_shapes_are_handed_on(vertical, mud):
    laws = {name: slip_velocities(vertical, mud, 500.0, **ROCK, method=name)[0] for name in si.cuttings.slip_velocity.option.choices}
    assert len(set(laws.values())) == len(laws) == 7
    round_ones = slip_velocities(vertical, mud, 500.0, **ROCK, method="sphericity", sphericity=1.0)[0]
    thin = slip_velocities(vertical, mud, 500.0, **ROCK, method="walker_mayes", thickness_ratio=0.1)[0]
    assert round_ones > laws["sphericity"] and thin < laws["walker_mayes"]


def test_circulation_takes_them_as_they_are(vertical, mud):
    slip = slip_velocities(vertical, mud, 500.0, **ROCK, bit_depth=7000.0)
    assert np.isnan(slip[~vertical.rows(7000.0).in_string]).all() and np.isfinite(slip[vertical.rows(7000.0).in_string]).all()
    flowing = circulate(vertical, mud, 500.0, penetration_rate=60.0, cuttings_density=21.7, slip_velocity=slip, bit_depth=7000.0)
    table = cleaning(vertical, mud, 500.0, **DRILLED, bit_depth=7000.0)
    assert flowing["cuttings_fraction"][: len(table)] == pytest.approx(table["concentration"].to_numpy(), rel=1e-11)
    rates = np.array([450.0, 500.0])
    many = circulate(vertical, mud, rates, penetration_rate=60.0, cuttings_density=21.7, slip_velocity=slip_velocities(vertical, mud, rates, **ROCK))
    alone = circulate(vertical, mud, 500.0, penetration_rate=60.0, cuttings_density=21.7, slip_velocity=slip_velocities(vertical, mud, 500.0, **ROCK))
    assert many.bottom_equivalent_density[1] == alone.bottom_equivalent_density
    rows = vertical.rows(spacing=np.inf)
    wider = rows.replace(hole_diameter=rows.hole_diameter * np.array([[1.0], [1.1]]))
    found = slip_velocities(vertical, mud, 500.0, **ROCK, rows=wider)
    assert found.shape == (2, len(rows)) and (found[1] < found[0]).all()


# Cleaning, method by method


def test_a_vertical_well_is_cuttings_transport(vertical, mud):
    table = cleaning(vertical, mud, 300.0, **DRILLED)
    rows = vertical.rows()
    slip = slip_velocities(vertical, mud, 300.0, **ROCK) * FOOT_PER_MINUTE
    alone = si.cuttings.transport(
        flow_rate=300.0 * GALLON_PER_MINUTE, hole_diameter=rows.hole_diameter, pipe_diameter=rows.pipe_diameter, **BIT, slip_velocity=slip,
        cuttings_density=IN_SI["cuttings_density"], density=10.2 * POUND_PER_GALLON,
    )  # fmt: skip
    assert table["velocity"].to_numpy() == pytest.approx(alone.velocity / FOOT_PER_MINUTE, rel=1e-11)
    assert table["transport_ratio"].to_numpy() == pytest.approx(alone.transport_ratio, rel=1e-11)
    assert table["concentration"].to_numpy() == pytest.approx(100.0 * alone.concentration, rel=1e-11)
    assert set(table["method"]) == {"near_vertical"} and table["critical_velocity"].isna().all() and table["critical_flow_rate"].isna().all()
    assert table["reason"].str.contains("critical velocity: the method for it begins above 30 degrees").all()
    assert table["slip_velocity"].to_numpy() == pytest.approx(slip / FOOT_PER_MINUTE, rel=1e-11)
    assert table.attrs["units"]["concentration"] == "%" and table.attrs["units"]["critical_flow_rate"] == "gal/min"


def high_angle(mud, hole, pipe, inclination, flow_rate):
    return si.cuttings.high_angle(
        density=10.2 * POUND_PER_GALLON, **reported(mud), **IN_SI, **BIT, hole_diameter=hole, pipe_diameter=pipe, inclination=inclination,
        effective_viscosity=by_hand(mud, hole, pipe, flow_rate),
    )  # fmt: skip


@pytest.mark.parametrize("angle", [40.0, 60.0, 85.0])
def test_an_inclined_well_is_cuttings_high_angle(mud, angle):
    inclined = well(angle)
    rows = inclined.rows()
    critical = None
    for rate in (300.0, 1400.0):
        table = cleaning(inclined, mud, rate, **DRILLED)
        straight = table[table["top_measured_depth"] >= 1000.0]
        assert set(straight["method"]) == {"blended" if angle < 55.0 else "high_angle"}
        for i in (straight.index[0], straight.index[-1]):
            alone = high_angle(mud, rows.hole_diameter[i], rows.pipe_diameter[i], rows.inclination[i], rate * GALLON_PER_MINUTE)
            row = table.loc[i]
            assert row["critical_velocity"] == pytest.approx(alone.critical_velocity / FOOT_PER_MINUTE, rel=1e-4)
            assert row["critical_flow_rate"] == pytest.approx(alone.critical_flow_rate / GALLON_PER_MINUTE, rel=1e-4)
            assert row["slip_velocity"] == pytest.approx(alone.slip_velocity / FOOT_PER_MINUTE, rel=1e-4)
            if rate == 1400.0:
                assert row["transport_ratio"] == pytest.approx(1.0 - row["slip_velocity"] / row["velocity"], rel=1e-11)
                assert 0.0 < row["concentration"] / 100.0 <= alone.concentration and row["finding"] == ""
        critical = straight["critical_flow_rate"]
        assert straight["finding"].str.startswith("a bed is expected").tolist() == (critical > rate).tolist()
        assert straight["concentration"].isna().tolist() == straight["transport_ratio"].isna().tolist() == (critical > rate).tolist()
    assert critical is not None and critical.max() < 1400.0


def test_at_the_critical_rate_the_correlation_s_own_concentration_stands(mud):
    inclined = well(60.0)
    worst = cleaning(inclined, mud, 500.0, **DRILLED).nlargest(1, "critical_flow_rate").iloc[0]
    at = cleaning(inclined, mud, worst["critical_flow_rate"], **DRILLED).loc[worst.name]
    own = (0.64 * 60.0 + 18.16) / 36.0  # %
    assert at["finding"] == "" and at["concentration"] == pytest.approx(own / (1.0 + own / 100.0), rel=1e-6)  # the stream carries its rock besides
    assert cleaning(inclined, mud, worst["critical_flow_rate"] * (1.0 - 1e-6), **DRILLED).loc[worst.name, "finding"].startswith("a bed")


def test_every_row_says_which_method_told_it(deviated, mud):
    table = cleaning(deviated, mud, 500.0, **DRILLED)
    angle = table["inclination"]
    assert (table["method"] == np.select([angle <= 30.0, angle < 55.0], ["near_vertical", "blended"], "high_angle")).all()
    assert set(table["method"]) == {"near_vertical", "blended", "high_angle"}
    assert table["critical_velocity"].notna().tolist() == (angle > 30.0).tolist()
    assert table["carrying_capacity"].notna().tolist() == (angle <= 35.0).tolist() and ((angle > 30.0) & (angle <= 35.0)).any()
    assert table["reason"].str.contains("it holds to 35 degrees only").tolist() == (angle > 35.0).tolist()
    assert len(table) == deviated.rows().in_string.sum() and table["bottom_measured_depth"].iloc[-1] == pytest.approx(8000.0)
    assert table["bottom_true_vertical_depth"].iloc[-1] == pytest.approx(deviated.true_vertical_depth(8000.0))


def test_the_passages_have_no_step_in_the_slip(mud):
    slips = []
    for angle in (29.99, 30.01, 54.99, 55.01):
        table = cleaning(well(angle), mud, 1200.0, **DRILLED)
        slips.append(table.iloc[-1]["slip_velocity"])
    assert slips[0] == pytest.approx(slips[1], rel=1e-3) and slips[2] == pytest.approx(slips[3], rel=1e-3)


def test_the_carrying_capacity_is_the_index_of_the_row(vertical, mud):
    row = cleaning(vertical, mud, 500.0, **DRILLED).iloc[0]
    rows = vertical.rows()
    velocity = 500.0 * GALLON_PER_MINUTE / (np.pi / 4.0 * (rows.hole_diameter[0] ** 2 - rows.pipe_diameter[0] ** 2))
    alone = si.cuttings.carrying_capacity_index(density=10.2 * POUND_PER_GALLON, velocity=velocity, **reported(mud), inclination=0.0)
    assert row["carrying_capacity"] == pytest.approx(alone.carrying_capacity, rel=1e-3)


def test_the_reported_numbers_are_the_readings(vertical):
    """A power law through 38 and 24 degrees has a plastic viscosity of 14 cP and a yield point of 10 lb/100 ft2."""
    from lutum.well.lifting import Annulus, Rock

    index = log2(38.0 / 24.0)
    fluid = Fluid.of(units="si", density=1200.0, yield_stress=0.0, consistency=24.0 * 0.51069 / 510.69**index, flow_index=index)
    rock = Rock.of(vertical, fluid, 0.25, 21.7, 60.0, "smooth", None, None)
    found = Annulus.of(vertical, fluid, rock, None, None).bingham
    assert found["plastic_viscosity"] == pytest.approx(0.014, rel=1e-4)
    assert found["yield_point"] == pytest.approx(10.0 * units.convert(1.0, "lb/100 ft2", "Pa"), rel=1e-4)


# What is found in words


def test_what_is_not_lifted_is_told(vertical):
    water = Fluid.of(density=8.34, yield_point=0.0, plastic_viscosity=1.0)
    table = cleaning(vertical, water, 60.0, **DRILLED)
    pipe = table[table["part"] == "drill pipe"]
    assert pipe["finding"].str.startswith("not lifted: the stream rises at").all() and pipe["concentration"].isna().all()
    assert (pipe["transport_ratio"] < 0.0).all() and pipe["reason"].str.contains("gather without end").all()


def test_loaded_and_packed_sections_are_told(vertical, mud):
    table = cleaning(vertical, mud, 300.0, **(DRILLED | {"penetration_rate": 250.0}))
    over = table["concentration"] > 5.0
    assert over.any() and table["finding"].str.startswith("loaded: ").tolist() == over.tolist()
    row = table[over].iloc[0]
    assert row["finding"] == f"loaded: {row['concentration']:.6g} % of cuttings, more than 5 %"
    assert cleaning(vertical, mud, 300.0, **(DRILLED | {"penetration_rate": 250.0}), highest_concentration=20.0)["finding"].eq("").all()
    full = cleaning(vertical, mud, 5.0, **(DRILLED | {"penetration_rate": 900.0}))
    assert full["finding"].str.startswith("packed").any()


def test_more_flow_never_leaves_more_behind(deviated, mud):
    rates = np.linspace(100.0, 1400.0, 30)
    tables = [cleaning(deviated, mud, rate, **DRILLED) for rate in rates]
    near = tables[0]["method"] == "near_vertical"
    fractions = np.array([table.loc[near, "concentration"].fillna(np.inf) for table in tables])
    assert (fractions[1:] <= fractions[:-1]).all()
    beds = np.array([table["finding"].str.startswith("a bed").sum() for table in tables])
    assert (np.diff(beds) <= 0).all() and beds[0] > beds[-1] == 0


# The least rate


def test_the_least_rate_of_a_vertical_well_leaves_just_what_is_allowed(vertical, mud):
    fast = DRILLED | {"penetration_rate": 200.0}
    least = minimum_rate(vertical, mud, **fast)
    assert cleaning(vertical, mud, least["flow_rate"], **fast)["concentration"].max() == pytest.approx(5.0, rel=1e-9)
    assert cleaning(vertical, mud, least["flow_rate"], **fast)["finding"].eq("").all()
    assert cleaning(vertical, mud, 0.999 * least["flow_rate"], **fast)["finding"].str.startswith("loaded").any()
    rows, slip = vertical.rows(), slip_velocities(vertical, mud, least["flow_rate"], **ROCK) * FOOT_PER_MINUTE
    alone = si.cuttings.minimum_rate(
        hole_diameter=rows.hole_diameter, pipe_diameter=rows.pipe_diameter, bit_diameter=BIT["bit_diameter"], penetration_rate_of_bit=200.0 * FOOT_PER_HOUR,
        slip_velocity=slip, inclination=0.0,
    ).flow_rate  # fmt: skip
    assert least["flow_rate"] == pytest.approx(alone.max() / GALLON_PER_MINUTE, rel=1e-9)
    assert least["decided_by"] == "at less, more than 5 % of cuttings stand there"
    assert (least["hole"], least["part"]) == ("open hole", "drill pipe") and least["top_measured_depth"] == pytest.approx(5000.0)


def test_the_least_rate_of_a_steep_well_is_the_critical_one(mud):
    inclined = well(60.0)
    least = minimum_rate(inclined, mud, **DRILLED)
    rows = inclined.rows()
    i = int(np.flatnonzero(rows.bottom_measured_depth >= least["bottom_measured_depth"] * FOOT - 1e-6)[0])
    alone = high_angle(mud, rows.hole_diameter[i], rows.pipe_diameter[i], rows.inclination[i], 500.0 * GALLON_PER_MINUTE)
    assert least["flow_rate"] == pytest.approx(alone.critical_flow_rate / GALLON_PER_MINUTE, rel=1e-4)
    assert least["flow_rate"] == pytest.approx(cleaning(inclined, mud, 500.0, **DRILLED)["critical_flow_rate"].max(), rel=1e-9)
    assert least["method"] == "high_angle" and least["inclination"] == pytest.approx(60.0)
    assert least["decided_by"].startswith("slower than the critical velocity of")


@pytest.mark.parametrize("law", ["smooth", "moore", "walker_mayes", "sphere"])
@pytest.mark.parametrize("penetration_rate", [5.0, 60.0, 400.0])
def test_at_the_least_rate_all_is_clean_and_below_it_not(deviated, mud, law, penetration_rate):
    given = ROCK | {"penetration_rate": penetration_rate, "method": law}
    rate = minimum_rate(deviated, mud, **given)["flow_rate"]
    assert cleaning(deviated, mud, rate, **given)["finding"].eq("").all()
    assert cleaning(deviated, mud, rate * (1.0 - 1e-6), **given)["finding"].ne("").any()
    assert all(cleaning(deviated, mud, rate * more, **given)["finding"].eq("").all() for more in (1.001, 1.1, 1.5))


def test_above_the_correlation_s_own_concentration_the_asked_one_decides(mud):
    """From 252 ft/h on the correlation lets more than 5 % stand."""
    inclined, fast = well(60.0), ROCK | {"penetration_rate": 400.0}
    least = minimum_rate(inclined, mud, **fast)
    assert least["decided_by"].startswith("at less, more than 5 %") and least["flow_rate"] > cleaning(inclined, mud, 500.0, **fast)["critical_flow_rate"].max()


def test_what_a_section_needs_grows_slower_than_the_rate(vertical, deviated):
    """So one rate is the least, and every faster one is enough too."""
    from lutum.well.lifting import Annulus, Rock

    random, rates = np.random.default_rng(11), np.geomspace(2e-3, 0.3, 80)[:, None]
    for trial in range(60):
        fluid = Fluid.of(
            units="si", density=random.uniform(1000.0, 2000.0), yield_stress=random.choice([0.0, random.uniform(0.0, 15.0)]),
            consistency=10.0 ** random.uniform(-1.5, -0.5), flow_index=random.uniform(0.3, 0.8),
        )  # fmt: skip
        for of in (vertical, deviated):
            law = list(si.cuttings.slip_velocity.option.choices)[trial % 3]
            rock = Rock.of(of, fluid, random.uniform(0.06, 0.4), 22.0, random.uniform(0.0, 300.0), law, None, None)
            shares = Annulus.of(of, fluid, rock, None, 800.0).needed(rates, 0.05) / rates
            assert np.isfinite(shares).all() and (np.diff(shares, axis=0) < 0.0).all()


def test_what_asks_for_more(deviated, vertical, mud):
    def rates(of, name, values, **others):
        return np.array([minimum_rate(of, mud, **(DRILLED | others | {name: x}))["flow_rate"] for x in values])

    assert (np.diff(rates(deviated, "penetration_rate", [0.0, 20.0, 60.0, 200.0])) > 0.0).all()
    assert (np.diff(rates(vertical, "penetration_rate", [0.0, 20.0, 60.0, 200.0])) > 0.0).all()
    assert (np.diff(rates(vertical, "highest_concentration", [20.0, 5.0, 2.0])) > 0.0).all()
    assert (np.diff(rates(vertical, "cuttings_diameter", [0.1, 0.25, 0.5])) > 0.0).all()
    assert minimum_rate(vertical, mud, **DRILLED, bit_depth=4000.0)["flow_rate"] < minimum_rate(vertical, mud, **DRILLED)["flow_rate"]


def test_units_change_nothing_but_the_numbers(deviated, mud):
    metric = deviated.to("metric")
    given = {
        "cuttings_diameter": 0.25 * 25.4, "cuttings_density": units.convert(21.7, "lb/gal", "kg/m3"),
        "penetration_rate": units.convert(60.0, "ft/h", metric.units.unit("drilling_rate")),
    }  # fmt: skip
    least, as_metric = minimum_rate(deviated, mud, **DRILLED), minimum_rate(metric, mud, **given)
    assert as_metric["flow_rate"] == pytest.approx(least["flow_rate"] * 3.785411784, rel=1e-9)
    assert as_metric.attrs["units"]["flow_rate"] == "L/min" and least.attrs["units"]["inclination"] == units.label("dega")
    field_rows = cleaning(deviated, mud, 500.0, **DRILLED, spacing=200.0)
    metric_rows = cleaning(metric, mud, 500.0 * 3.785411784, **given, spacing=200.0 * 0.3048)
    assert metric_rows["slip_velocity"].to_numpy() * 60.0 / 0.3048 == pytest.approx(field_rows["slip_velocity"].to_numpy(), rel=1e-9)
    assert metric_rows["carrying_capacity"].to_numpy() == pytest.approx(field_rows["carrying_capacity"].to_numpy(), rel=1e-9, nan_ok=True)


def test_every_rate_carries_its_caution(deviated, mud):
    for made in (cleaning(deviated, mud, 500.0, **DRILLED), minimum_rate(deviated, mud, **DRILLED)):
        assert made.attrs["caution"].startswith("Advisory.") and "licensed practice" in made.attrs["caution"] and made.attrs["outside_range"] == ()
    fine = minimum_rate(deviated, mud, **(DRILLED | {"cuttings_diameter": 0.02}))
    assert fine.attrs["outside_range"] == ("cuttings.high_angle: cuttings_diameter 0.02 in is outside 0.05906 to 0.3937 in, the range it was made with",)


def test_a_fluid_that_lacks_a_number_stops_nothing(deviated):
    lacking = Fluid.of(density=10.2, yield_stress=nan, consistency=0.9, flow_index=0.65)
    table = cleaning(deviated, lacking, 500.0, **DRILLED)
    assert table["slip_velocity"].isna().all() and table["reason"].str.contains("slip velocity: yield_stress of the fluid is missing").all()
    least = minimum_rate(deviated, lacking, **DRILLED)
    assert np.isnan(least["flow_rate"]) and least["decided_by"] == "yield_stress of the fluid is missing"


def test_what_only_the_correlation_cannot_take_stops_only_its_rows(deviated):
    """A thickening fluid reads a negative yield point, a very thick one goes off the dial."""
    for consistency, index, why in ((0.001, 1.2, "its yield point is negative"), (30.0, 0.9, "beyond the dial")):
        odd = Fluid.of(density=10.2, yield_stress=0.0, consistency=consistency, flow_index=index)
        table = cleaning(deviated, odd, 500.0, **DRILLED)
        near = table["method"] == "near_vertical"
        assert table["slip_velocity"].notna().tolist() == near.tolist() and near.any()
        assert table.loc[near, "concentration"].notna().all() and table["carrying_capacity"].isna().all()
        assert table["reason"].str.contains(f"slip velocity: .*{why}").tolist() == (~near).tolist()
        assert table.loc[near, "reason"].str.contains(f"carrying capacity index: .*{why}").all()
        least = minimum_rate(deviated, odd, **DRILLED)
        assert np.isnan(least["flow_rate"]) and why in least["decided_by"]


def test_no_rate_at_all_is_told(mud):
    wide = well(
        holes=[{"name": "riser", "kind": "riser", "bottom_measured_depth": 8000, "inside_diameter": 60}], bit={"bit_diameter": 59, "nozzles": [12]}
    )
    least = minimum_rate(wide, mud, **(DRILLED | {"penetration_rate": 400.0}))
    assert np.isnan(least["flow_rate"]) and least["decided_by"] == "no rate up to 15850.3 gal/min is enough"


# What is refused


REFUSED = {
    "many fluids": ({"fluid": {"density": [10.0, 10.2]}}, "one fluid, not 2 records: fluid.record"),
    "law": ({"method": "stokes"}, "method = 'stokes' is unknown; choose smooth, moore"),
    "size": ({"cuttings_diameter": 6.35}, "cuttings_diameter = 6.35 in must be one number from 3.937e-05 to 1.181 in"),
    "missing size": ({"cuttings_diameter": nan}, "cuttings_diameter = nan in must be one number"),
    "floating": ({"cuttings_density": 9.0}, "cuttings_density = 9.0 lb/gal is not above the fluid's 10.2 lb/gal: they float"),
    "drilling": ({"penetration_rate": -1.0}, "penetration_rate = -1.0 ft/h must be one number from 0 to"),
    "still": ({"flow_rate": 0.0}, "flow_rate = 0.0 gal/min must be above 0: at rest nothing is lifted"),
    "too fast": ({"flow_rate": 1e6}, "flow_rate = 1000000.0 gal/min must be one number from 0 to 1.585e.04 gal/min"),
    "share": ({"highest_concentration": 0.0}, "highest_concentration = 0.0 % must be one number from 0.01 to 60 %"),
    "spacing": ({"spacing": np.inf}, "spacing = inf ft: hole cleaning needs the inclination along the well"),
    "shape": ({"sphericity": 3.0}, "sphericity = 3.0 must be one number from 0.1 to 1: "),
}


@pytest.mark.parametrize("name", REFUSED)
def test_errors_name_input_value_unit_and_limit(vertical, mud, name):
    changed, told = REFUSED[name]
    given = DRILLED | {"flow_rate": 500.0} | changed
    fluid = mud if "fluid" not in given else replace(mud, density=np.array(given.pop("fluid")["density"]) * POUND_PER_GALLON)
    with pytest.raises(ValueError, match=told.replace("(", r"\(")):
        cleaning(vertical, fluid, given.pop("flow_rate"), **given)
    if name not in ("still", "too fast"):
        given.pop("flow_rate", None)
        with pytest.raises(ValueError, match=told.replace("(", r"\(")):
            minimum_rate(vertical, fluid, **given)


def test_a_bit_without_a_diameter_and_columns_of_rates(vertical, mud):
    with pytest.raises(ValueError, match="has no bit_diameter"):
        cleaning(vertical.replace(bit=None), mud, 500.0, **DRILLED)
    with pytest.raises(ValueError, match="one rate or a column of them"):
        slip_velocities(vertical, mud, [[500.0]], **ROCK)
    with pytest.raises(ValueError, match="no string in the hole"):
        cleaning(vertical, mud, 500.0, **DRILLED, bit_depth=0.0)
