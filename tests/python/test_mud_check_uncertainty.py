"""How sure a check is: its budgets against sums by hand, against differences through the whole plan, and the same over a frame.

The readings are invented.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from lutum import field, metric, mud_check, si, uncertainty, units
from lutum.mud_check import MudCheck, Reading, propagating
from lutum.mud_check.propagating import follow
from lutum.mud_check.sure import errors_of_table
from lutum.uncertainty import Normal, compare, monte_carlo

ALL = {
    "balance_reading": 10.45, "balance_water_reading": 8.35, "balance_water_temperature": 75.0, "mud_density": 10.4, "pressurised_density": 10.6,
    "balance_pressure": 100.0, "gas_compression": "boyle", "true_vertical_depth": 9000.0, "cuttings_balance_reading": 13.1,
    "reading_600": 60.0, "reading_300": 39.0, "reading_200": 31.0, "reading_100": 21.0, "reading_6": 7.0, "reading_3": 6.0,
    "gel_10_s": 6.0, "gel_10_min": 9.0, "gel_30_min": 12.0, "reading_temperature": 120.0,
    "funnel_water_time": 26.0, "funnel_viscosity": 45.0, "flow_line_funnel_viscosity": 48.0,
    "shear_tube_mass": 55.0, "shear_weights_mass": 210.0, "shear_tube_depth": 2.2,
    "filtrate_volume_7.5_min": 3.6, "filtrate_volume": 6.6, "hot_filtrate_reading": 7.0, "hot_filtrate_temperature": 300.0,
    "hot_filtrate_pressure": 600.0, "hot_filtrate_back_pressure": 100.0, "plugging_filtrate_7.5_min": 3.0, "plugging_filtrate_30_min": 5.1,
    "cake_thickness": 2.0, "filtrate_viscosity": 1.1, "coupon_mass_loss": 0.3, "coupon_area": 4.0, "coupon_exposure_time": 50.0,
}  # fmt: skip
WATER = ALL | {
    "silver_nitrate_titrant_volume": 5.2, "chloride_sample_volume": 1.0, "silver_nitrate_normality": 0.282,
    "hardness_titrant_volume": 6.0, "calcium_titrant_volume": 4.1, "hardness_sample_volume": 1.0, "hardness_titrant_molarity": 0.01,
    "alkalinity_mud": 2.9, "alkalinity_filtrate": 0.6, "alkalinity_filtrate_total": 1.0, "p1_alkalinity": 0.9, "p2_alkalinity": 0.5, "ph": 11.1,
    "potassium_precipitate_volume": 0.9, "standard_precipitate_volume": 1.1, "standard_potassium_chloride": 10.0,
    "sulfate_turbidity": 60.0, "sulfate_blank_turbidity": 8.0, "sulfate_calibration_slope": 0.6, "sulfate_dilution": 25.0, "sodium": 29000.0,
    "sulfide_tube_reading": 8.0, "sulfide_tube_factor": 0.012, "sulfide_sample_volume": 5.0,
    "carbonate_tube_reading": 2.0, "carbonate_tube_factor": 1.4, "carbonate_sample_volume": 5.0,
    "calcium_sulfate_mud_titrant_volume": 9.0, "calcium_sulfate_filtrate_titrant_volume": 4.0,
    "water_fraction": 82.0, "oil_fraction": 3.0, "dye_volume": 10.0, "dye_sample_volume": 2.0, "sand_fraction": 0.5,
    "mud_resistivity": 0.3, "mud_resistivity_temperature": 80.0, "filtrate_resistivity": 0.25, "filtrate_resistivity_temperature": 78.0,
    "cake_resistivity": 0.5, "cake_resistivity_temperature": 77.0,
}  # fmt: skip
OIL = ALL | {
    "water_fraction": 18.0, "oil_fraction": 62.0, "mud_density": 12.4, "pressurised_density": 12.55, "balance_reading": 12.45,
    "whole_mud_acid_titrant_volume": 4.2, "whole_mud_acid_sample_volume": 1.0, "whole_mud_silver_nitrate_titrant_volume": 4.6,
    "whole_mud_chloride_sample_volume": 1.0, "whole_mud_edta_titrant_volume": 5.5, "whole_mud_calcium_sample_volume": 1.0,
    "electrical_stability_first": 610.0, "electrical_stability_second": 600.0, "electrical_stability_temperature": 120.0,
}  # fmt: skip
LOW, HIGH = "solids.retort_with_brine.low_gravity_fraction", "solids.retort_with_brine.high_gravity_fraction"
FLUIDS = pytest.mark.parametrize(("readings", "fluid"), [(WATER, "water_base"), (OIL, "non_aqueous")], ids=["water-base", "non-aqueous"])


def there(check):
    return [d.name for d in check.derived if d.value == d.value]


def followed_and_sources(readings, fluid):
    """The check followed source by source, and by source what one standard uncertainty of it does to each reading."""
    by_source = {}
    known = errors_of_table(None, {})

    def errors(name, values, unit, read):
        found = known(name, values, unit, read)
        for source, change in found:
            by_source.setdefault(source, {})[name] = (float(np.ravel(values)[0]), float(np.ravel(change)[0]))
        return found

    columns = {n: x if isinstance(x, str) else np.array([x]) for n, x in readings.items()}
    return follow(mud_check.shipped(), columns, fluid, field.units_of_set, 1, errors), by_source


@FLUIDS
def test_against_differences_through_the_whole_plan(readings, fluid):
    """Every reading moved by what a source does to it, the check computed anew: what every derived value changes by."""
    followed, by_source = followed_and_sources(readings, fluid)
    h = 2e-3
    steps = (h, -h, h / 2, -h / 2)
    rows = [
        readings | {name: at + step * change for name, (at, change) in touched.items()} for touched in by_source.values() for step in steps
    ]
    moved = mud_check.over(pd.DataFrame(rows), fluid=fluid).derived
    names = there(MudCheck(readings, fluid=fluid))
    assert len(names) > (75 if fluid == "water_base" else 60) and len(by_source) > 40
    live = set()
    for name in names:
        at = moved[name].to_numpy().reshape(-1, 4)
        wide, narrow = (at[:, 0] - at[:, 1]) / (2 * h), (at[:, 2] - at[:, 3]) / h
        want = (4 * narrow - wide) / 3
        value = followed.run.values[name][0]
        u = followed.standard[name][0]
        for source, difference in zip(by_source, want, strict=True):
            change = float(np.ravel(followed.changes[name].get(source, 0.0))[0])
            assert change == pytest.approx(difference, rel=1e-6, abs=1e-7 * u + 1e-10 * abs(value) + 1e-12), (name, source)
            if abs(change) > 1e-4 * u:
                live.add(source)
        changes = np.array([float(np.ravel(c)[0]) for c in followed.changes[name].values()])
        assert u == pytest.approx(np.sqrt(np.sum(changes**2)), rel=1e-12, abs=0.0)
    assert len(live) > 0.9 * len(by_source)  # nearly every source counts somewhere


@FLUIDS
def test_the_budget_is_what_was_followed(readings, fluid):
    followed, _ = followed_and_sources(readings, fluid)
    check = MudCheck(readings, fluid=fluid)
    names = there(check)
    budgets = check.uncertainty(*names)
    for name in names:
        assert budgets[name].value == check[name]
        assert budgets[name].combined == pytest.approx(followed.standard[name][0], rel=1e-12), name
        assert sum(c.share for c in budgets[name].contributions) == pytest.approx(1.0 if budgets[name].combined else 0.0, rel=1e-12)
    spread = mud_check.over(pd.DataFrame([readings]), fluid=fluid, uncertainty=True).uncertainty
    assert {n for n in spread if spread[n][0] == spread[n][0]} == set(names)


def test_the_fresh_water_retort_by_hand():
    """Sum over the sources with slopes and sizes written out: volume and mass balance, 50 mL retort, one cup and one lower level for both liquids."""
    given = {"mud_density": 1250.0, "water_fraction": 0.84, "oil_fraction": 0.04, "chloride": 0.0}
    check = MudCheck(given, units=si)
    budgets = check.uncertainty(LOW, HIGH)
    water = check["brine.filtrate_salts.density"]
    assert water == pytest.approx(998.2, abs=0.05)  # fresh water at 20 degC
    solids, mass = 0.12, 1250.0 - 0.84 * water - 0.04 * 840.0
    low = (4200.0 * solids - mass) / 1600.0
    high = solids - low
    assert budgets[LOW].value == pytest.approx(low, rel=1e-9) and budgets[HIGH].value == pytest.approx(high, rel=1e-9)
    by_low = {"density": -1 / 1600.0, "water": (water - 4200.0) / 1600.0, "oil": (840.0 - 4200.0) / 1600.0, "oil_density": 0.04 / 1600.0,
              "low_density": low / 1600.0, "high_density": high / 1600.0}  # fmt: skip
    by_high = {n: (-1.0 if n in ("water", "oil") else 0.0) - s for n, s in by_low.items()}
    root = 3**0.5
    level = [0.05 / 50.0 / root] * 2  # receiver, and half a graduation of 0.1 mL
    sources = [{"density": units.convert(0.1, "lb/gal", "kg/m3") / root}, {"water": 0.005 * 0.84 / root, "oil": 0.005 * 0.04 / root}]
    sources += [{"water": u, "oil": -u} for u in level] + [{"oil": u} for u in level] + [{"water": 0.004}, {"oil": 0.004}]
    sources += [{"oil_density": 30.0 / root}, {"low_density": 50.0}, {"high_density": 100.0 / root}]
    parts = np.array([[sum(slopes[n] * u for n, u in source.items()) for source in sources] for slopes in (by_low, by_high)])
    assert budgets[LOW].combined == pytest.approx(np.sqrt(parts[0] @ parts[0]), rel=1e-9)
    assert budgets[HIGH].combined == pytest.approx(np.sqrt(parts[1] @ parts[1]), rel=1e-9)
    assert budgets.correlation(LOW, HIGH) == pytest.approx(parts[0] @ parts[1] / np.sqrt((parts[0] @ parts[0]) * (parts[1] @ parts[1])), rel=1e-9)
    assert budgets.correlation(LOW, HIGH) < -0.9
    cup = next(c for c in budgets[LOW].contributions if c.name == "retort_50_mL.cup")
    assert abs(cup.contribution) == pytest.approx(0.005 / root * abs(by_low["water"] * 0.84 + by_low["oil"] * 0.04), rel=1e-9)


def test_one_step_is_the_budget_of_its_calculation():
    check = MudCheck({"dye_volume": 5.0, "dye_sample_volume": 2.0})
    mine = check.uncertainty("clay.methylene_blue.capacity", "clay.methylene_blue.bentonite_equivalent")
    table = uncertainty.shipped()
    standard = {"dye_volume": float(table.standard("dye_volume", 5.0, "mL")), "sample_volume": float(table.standard("dye_sample_volume", 2.0, "mL"))}
    alone = uncertainty.of_calculation(field.clay.methylene_blue, {"dye_volume": 5.0, "sample_volume": 2.0}, standard)
    for name, budget in alone.items():
        assert mine[f"clay.methylene_blue.{name}"].combined == pytest.approx(budget.combined, rel=1e-12)
        assert mine[f"clay.methylene_blue.{name}"].unit == budget.unit != ""
    assert mine.correlation(*mine) == pytest.approx(1.0, rel=1e-12)  # the equivalent is the capacity in another measure


def test_what_two_results_share_is_not_lost():
    """Both solids come from one retort: suspended solids, their sum, is surer than a sum of independent ones, and equal results have equal changes."""
    check = MudCheck(WATER)
    whole = "solids.retort_with_brine.suspended_solids_fraction"
    budgets = check.uncertainty(LOW, HIGH, whole)
    u, v, w = (budgets[n].combined for n in (LOW, HIGH, whole))
    r = budgets.correlation(LOW, HIGH)
    assert r < -0.9
    assert u**2 + v**2 + 2 * r * u * v == pytest.approx(w**2, rel=1e-9)
    followed, _ = followed_and_sources(WATER, "water_base")
    by_gradient = followed.changes["density.gradient.pressure_gradient"]
    by_depth = followed.changes["density.hydrostatic_pressure.pressure"]
    for source, change in by_gradient.items():  # psi/ft times depth: nothing left of the difference but the depth's own error
        assert float(np.ravel(by_depth[source])[0]) == pytest.approx(9000.0 * float(np.ravel(change)[0]), rel=1e-12)
    assert set(by_depth) - set(by_gradient) == {"depth_record.tally"}


def test_instruments_change_it():
    usual = MudCheck(WATER)
    small = {"water_fraction": "retort_10_mL", "oil_fraction": "retort_10_mL"}
    with_small = usual.uncertainty(LOW, instruments=small)[LOW]
    assert with_small.combined > 1.3 * usual.uncertainty(LOW)[LOW].combined
    told = MudCheck(WATER | {n: Reading(WATER[n], instrument=i) for n, i in small.items()})
    assert told.uncertainty(LOW)[LOW] == with_small
    assert told.uncertainty(LOW, instruments=dict.fromkeys(small, "retort_50_mL"))[LOW] == usual.uncertainty(LOW)[LOW]
    chosen = usual.uncertainty(LOW, table=uncertainty.shipped().choosing("retort_10_mL"))[LOW]
    assert chosen == with_small
    assert told.simulate(LOW, seed=2, trials=20_000)[LOW].standard == pytest.approx(with_small.combined, rel=0.03)
    named_freely = MudCheck(WATER | {"water_fraction": Reading(82.0, instrument="the old one")})
    assert named_freely.uncertainty(LOW)[LOW] == usual.uncertainty(LOW)[LOW]
    with pytest.raises(ValueError, match="water_fraction is not read on 'mud_balance'"):
        usual.uncertainty(LOW, instruments={"water_fraction": "mud_balance"})
    frame = mud_check.over(pd.DataFrame([WATER]), uncertainty=True, instruments=small)
    assert frame.uncertainty.at[0, LOW] == pytest.approx(with_small.combined, rel=1e-9)


def test_a_density_that_is_read_has_the_error_of_its_reading_not_of_the_assumption():
    table = uncertainty.shipped()
    assumed = MudCheck(WATER).uncertainty(LOW)[LOW]
    sure = table.with_instruments(replace(table["assumed_low_gravity_density"], sources=()))
    names = {c.name for c in assumed.contributions}
    assert "assumed_low_gravity_density.spread.low_gravity_density" in names
    assert MudCheck(WATER).uncertainty(LOW, table=sure)[LOW].combined < assumed.combined
    measured = MudCheck(WATER | {"low_gravity_density": units.convert(2600.0, "kg/m3", "lb/gal")})
    assert measured.uncertainty(LOW)[LOW].combined == pytest.approx(assumed.combined, rel=1e-9)  # the same value read has the same spread


def test_coverage_units_and_missing_values_are_told():
    check = MudCheck({n: x for n, x in WATER.items() if n != "oil_fraction"})
    with pytest.raises(ValueError, match=f"{LOW} is missing: there is no budget of a missing value; reason"):
        check.uncertainty(LOW)
    with pytest.raises(ValueError, match="is missing"):
        MudCheck(OIL, fluid="non_aqueous").uncertainty(LOW)
    check = MudCheck(WATER)
    wide, usual = check.uncertainty(LOW, coverage=0.99)[LOW], check.uncertainty(LOW)[LOW]
    assert (usual.coverage, usual.coverage_factor) == (0.95, pytest.approx(1.959964, rel=1e-6))
    assert wide.expanded / usual.expanded == pytest.approx(2.575829 / 1.959964, rel=1e-6)
    name = "solids.retort_with_brine.low_gravity_concentration"
    there_too = check.to(metric).uncertainty(name)[name]
    assert units.convert(there_too.combined, "kg/m3", "lb/bbl") == pytest.approx(check.uncertainty(name)[name].combined, rel=1e-9)


@pytest.fixture(scope="module")
def frame():
    """Both kinds of mud in one frame, a choice in words in some rows, and gaps everywhere."""
    rng = np.random.default_rng(12)
    fluid = np.array(["non_aqueous" if i % 3 == 1 else "water_base" for i in range(38)], object)
    rows = [
        {n: x if isinstance(x, str) else x * rng.uniform(0.985, 1.015) for n, x in (WATER if f == "water_base" else OIL).items()} for f in fluid
    ]
    made = pd.DataFrame(rows)
    made["gas_compression"] = np.array(["boyle", "complete"], object)[rng.integers(0, 2, len(made))]
    made["low_gravity_density"] = np.where(rng.random(len(made)) < 0.4, 21.5, np.nan)
    made["chloride"] = np.where(rng.random(len(made)) < 0.5, 50000.0, np.nan)  # else it is the titration's
    for name in [n for n in made if made[n].dtype.kind == "f"]:
        made.loc[rng.random(len(made)) < 0.04, name] = np.nan
    return made.drop(columns="cuttings_balance_reading"), fluid


@pytest.mark.parametrize("block", [38, 16, 7])
def test_a_frame_has_the_uncertainty_of_its_checks(frame, block, monkeypatch):
    monkeypatch.setattr(propagating, "BLOCK", block)
    readings, fluid = frame
    many = mud_check.over(readings, fluid=fluid, uncertainty=True)
    assert list(many.uncertainty) == list(many.derived) and many.uncertainty.index.equals(readings.index)
    assert many.derived.isna().to_numpy().mean() > 0.2
    assert (many.uncertainty.isna() == many.derived.isna()).all(axis=None)
    for row in readings.index[:: 3 if block == 16 else 13]:
        given = {n: x if isinstance(x, str) else float(x) for n, x in readings.loc[row].items()}
        one = MudCheck(given, fluid=fluid[row])
        names = there(one)
        budgets = one.uncertainty(*names)
        np.testing.assert_allclose(many.uncertainty.loc[row, names].to_numpy(float), [budgets[n].combined for n in names], rtol=1e-9, atol=0.0)
    assert mud_check.over(readings, fluid=fluid).uncertainty is None


def test_a_long_frame_is_its_rows_again_and_again(frame):
    """What goes through in blocks does not depend on where a block ends."""
    readings, fluid = frame
    short = mud_check.over(readings, fluid=fluid, uncertainty=True)
    long = mud_check.over(pd.concat([readings] * 60, ignore_index=True), fluid=np.tile(np.asarray(fluid, object), 60), uncertainty=True)
    for many, few in ((long.derived, short.derived), (long.uncertainty, short.uncertainty)):
        np.testing.assert_array_equal(many.to_numpy(), np.tile(few.to_numpy(), (60, 1)))


def test_a_column_of_choices_without_a_choice_in_some_rows(frame):
    readings = frame[0].assign(gas_compression=np.array(["boyle", None, "complete"], object)[np.arange(38) % 3])
    many = mud_check.over(readings, uncertainty=True)
    name = "density.gas_cut.gas_free_density"
    assert many.derived[name][1::3].isna().all() and (many.uncertainty[name].isna() == many.derived[name].isna()).all()
    alone = mud_check.over(readings[2::3].assign(gas_compression="complete"), uncertainty=True)
    np.testing.assert_array_equal(many.uncertainty[name][2::3], alone.uncertainty[name])


def weighted(high, **more):
    """A fresh-water mud of 6 % low-gravity solids and this part of high-gravity ones: negative where it is lighter than it can be."""
    density = 0.06 * 2600.0 + high * 4200.0 + (0.94 - high) * 998.2071
    return {"mud_density": density, "water_fraction": 0.94 - high, "oil_fraction": 0.0, "chloride": 0.0} | more


def is_told(findings):
    return any("lighter than the low-gravity solids" in f.reason for f in findings)


def test_a_negative_fraction_within_its_uncertainty_is_no_finding():
    u = MudCheck(weighted(0.0), units=si).uncertainty(HIGH)[HIGH].combined
    parts = [-3.5 * u, -2.2 * u, -1.8 * u, -0.2 * u, 0.01]
    singles = [MudCheck(weighted(part), units=si) for part in parts]
    assert [c[HIGH] for c in singles] == pytest.approx(parts, abs=1e-5)  # reported signed, whatever is told of it
    assert [is_told(c.findings) for c in singles] == [True, True, False, False, False]
    for index in (list("abcde"), [7, 7, 7, 8, 8]):
        frame = pd.DataFrame([weighted(part) for part in parts], index=index)
        for with_uncertainty in (False, True):
            found = mud_check.over(frame, units=si, uncertainty=with_uncertainty).findings()
            rows = found.loc[found["reason"].str.contains("lighter than the low-gravity"), "row"]
            assert set(rows) == set(index[:2])
    small = dict.fromkeys(("water_fraction", "oil_fraction"), "retort_10_mL")
    careful = mud_check.over(frame.reset_index(drop=True), units=si, uncertainty=True, instruments=small)
    assert set(careful.findings()["row"]) == {0}  # a coarser retort explains more


def test_bounded_puts_all_suspended_solids_into_low_gravity_and_says_so():
    u = MudCheck(weighted(0.0), units=si).uncertainty(HIGH)[HIGH].combined
    parts = [-0.5 * u, -3.0 * u, 0.02]
    whole = "solids.retort_with_brine.suspended_solids_fraction"
    bounds = {HIGH: (0.0, None), LOW: (0.0, None), whole: (None, None)}
    many = mud_check.over(pd.DataFrame([weighted(p) for p in parts]), units=si).bounded(bounds)
    for row, part in enumerate(parts):
        check = MudCheck(weighted(part), units=si)
        made = check.bounded(bounds)
        assert made.signed[HIGH] == check[HIGH] and "not a measurement" in made.label
        assert made.quantities[HIGH] == pytest.approx(max(check[HIGH], 0.0), abs=1e-12)
        assert made.quantities[LOW] + made.quantities[HIGH] == pytest.approx(made.quantities[whole], abs=1e-12)
        assert made.distance == pytest.approx(max(-check[HIGH] / check.uncertainty(HIGH)[HIGH].combined, 0.0), rel=1e-9)
        if part < 0.0:
            assert made.quantities[LOW] == pytest.approx(made.quantities[whole], abs=1e-12) and made.quantities[LOW] != made.signed[LOW]
        else:
            assert made.quantities[LOW] == check[LOW]
        for name in bounds:
            assert many.quantities[name][row] == pytest.approx(made.quantities[name], rel=1e-9, abs=1e-12)
        assert many.distance[row] == pytest.approx(made.distance, rel=1e-9)
    assert f"{HIGH} (estimate that uses the bounds)" in many.frame()
    with pytest.raises(ValueError, match="was not computed: there is nothing to bound"):
        MudCheck({"mud_density": 10.0}).bounded({HIGH: (0.0, None)})


def test_simulation_agrees_where_the_value_is_nearly_linear():
    check = MudCheck(WATER)
    names = LOW, "solids.retort_with_brine.low_gravity_concentration", "rheology.viscometer.yield_point"
    drawn = check.simulate(*names, seed=3, interval="symmetric", trials=200_000)
    budgets = check.uncertainty(*names)
    for name in names:
        assert drawn[name].standard == pytest.approx(budgets[name].combined, rel=0.01), name
        assert drawn[name].mean == pytest.approx(check[name], abs=0.03 * budgets[name].combined), name
        assert drawn[name].missing == 0
    again = check.simulate(*names, seed=3, interval="symmetric", trials=200_000)
    assert again[LOW].mean == drawn[LOW].mean
    assert np.corrcoef(drawn[names[0]].values, drawn[names[1]].values)[0, 1] == pytest.approx(budgets.correlation(*names[:2]), abs=0.01)


def test_the_comparison_says_where_the_linear_form_is_not_enough():
    """JCGM 101, clause 8. Apart from the curve of a ratio: a dye reading is one-sided, so its value is too high by half an increment."""
    check = MudCheck(WATER | {"dye_volume": 20.0})
    ratio = "clay.low_gravity_split.drilled_solids_to_bentonite"
    capacity = "clay.methylene_blue.capacity"
    drawn = check.simulate(LOW, ratio, capacity, seed=4, interval="symmetric", trials=None, most=400_000)
    budgets = check.uncertainty(LOW, ratio, capacity)
    assert compare(budgets[LOW], drawn[LOW], digits=1).is_good_enough
    for name in (ratio, capacity):
        made = compare(budgets[name], drawn[name])
        assert not made.is_good_enough and made.is_certain, name
        assert "use the interval of the simulation" in str(made)
    low, high = drawn[ratio].interval
    assert high - check[ratio] > 1.2 * (check[ratio] - low)
    assert drawn[capacity].mean == pytest.approx(0.5 * (20.0 - 0.25), rel=0.005)


def test_simulation_draws_what_is_assumed_and_what_is_shared():
    check = MudCheck(WATER)
    budgets = check.uncertainty(LOW, HIGH)
    drawn = monte_carlo(lambda a, b: a + b, {"a": Normal(0.0, budgets[LOW].combined), "b": Normal(0.0, budgets[HIGH].combined)}, seed=1, trials=50_000)
    whole = check.simulate("solids.retort_with_brine.suspended_solids_fraction", seed=5, trials=50_000).only
    assert whole.standard < 0.7 * drawn.only.standard  # independent ones would spread more
    table = uncertainty.shipped()
    sure = table.with_instruments(*(replace(table[f"assumed_{n}_density"], sources=()) for n in ("low_gravity", "high_gravity")))
    less = check.simulate(LOW, seed=5, trials=50_000, table=sure)[LOW].standard
    assert less == pytest.approx(check.uncertainty(LOW, table=sure)[LOW].combined, rel=0.02)
    assert less < 0.99 * check.simulate(LOW, seed=5, trials=50_000)[LOW].standard


def test_both_full_checks_together_run_every_step_of_the_plan():
    steps = [followed_and_sources(r, f)[0].run.steps for r, f in ((WATER, "water_base"), (OIL, "non_aqueous"))]
    assert {s.calculation for s in mud_check.shipped()} == {*steps[0], *steps[1]}
