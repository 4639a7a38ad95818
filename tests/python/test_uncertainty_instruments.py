"""Instruments as data: standard uncertainties from what is stated, what readings share, and mistakes in a table."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from lutum import mud_check, uncertainty
from lutum.uncertainty import Instrument, Source, errors_of, load, shipped

CP = "common practice, no source"


def source(distribution="rectangular", **more):
    return Source("one", distribution, CP, **more)


def changes(reading, value, unit, table=None, instrument=None):
    return {c.source: c.standard for c in errors_of(reading, value, unit, instrument, table)}


@pytest.mark.parametrize(
    ("one", "want"),
    [
        (source(half_width=3.0), 3.0 / 3**0.5),
        (source(resolution=3.0), 1.5 / 3**0.5),
        (source("triangular", half_width=6.0), 6.0 / 6**0.5),
        (source("triangular", resolution=6.0), 3.0 / 6**0.5),
        (source("one_sided", increment=6.0), 6.0 / 12**0.5),
        (source("normal", standard=0.4), 0.4),
    ],
)
def test_the_distribution_gives_the_standard_uncertainty(one, want):
    """JCGM 100, 4.3.7 to 4.3.9: half-width over the root of 3, or of 6 for a triangle."""
    assert one.standard_uncertainty == pytest.approx(want, rel=1e-15)
    drawn = one.reduced.draw(np.random.default_rng(3), 200_000)
    assert np.std(drawn) == pytest.approx(1.0, rel=0.01) and np.mean(drawn) == pytest.approx(one.mean, abs=0.01)
    assert (one.reduced.mean, one.reduced.standard) == pytest.approx((one.mean, 1.0))


def test_every_reading_of_a_mud_check_has_an_instrument():
    table = shipped()
    known = mud_check.readings()
    assert set(table.readings()) == set(known)
    for name, (unit, _) in known.items():
        u = table.standard(name, np.array([2.0, np.nan]), unit)
        assert np.isnan(u[1]) or not table.for_reading(name).sources, name
        assert u[0] > 0.0 or name in table["reagent_label"].reads, name


def test_every_row_says_where_it_is_from():
    frame = shipped().frame()
    assert set(frame["mark"]) <= {"seen", "derived", "from memory", CP}
    assert (frame.loc[frame["mark"].isin(["seen", "derived"]), "source"] != "").all()
    assert frame.groupby(["reading", "instrument"])["source_name"].nunique().sum() == len(frame)


def test_the_dye_step_in_bentonite():
    """0.5 mL on 2 mL of mud: a step of 1.25 lb/bbl and 0.36 lb/bbl standard uncertainty (reference table of test precision, derived)."""
    table = shipped()
    dye = changes("dye_volume", 8.0, "mL")
    assert 5.0 * dye["dye_by_0.5_mL.increment.dye_volume"] / 2.0 == pytest.approx(0.36, abs=0.005)
    assert changes("bentonite_equivalent", 20.0, "lb/bbl")["dye_by_0.5_mL.step_of_the_report.bentonite_equivalent"] == pytest.approx(0.36, abs=0.005)
    assert table.shift("dye_volume", 8.0, "mL") == pytest.approx(-0.25, rel=1e-12)
    assert table.shift("dye_volume", 8.0, "mL", "dye_by_1_mL") == pytest.approx(-0.5, rel=1e-12)
    assert table.shift("dye_volume", np.array([8.0, 0.0]), "mL").tolist() == pytest.approx([-0.25, 0.0])
    assert table.shift("mud_density", 10.0, "lb/gal") == 0.0


def test_a_receiver_by_its_size():
    """40 CFR 435 subpart A appendix 7: +-0.05 cm3, which is 0.5 vol % on a 10 mL cup and 0.1 on 50 mL."""
    for size, half_width in ((10, 0.5), (20, 0.25), (50, 0.1)):
        found = changes("water_fraction", 82.0, "%", instrument=f"retort_{size}_mL")
        assert found[f"retort_{size}_mL.receiver_at_lower_level"] == pytest.approx(half_width / 3**0.5, rel=1e-12)
        assert found[f"retort_{size}_mL.cup"] == pytest.approx(0.005 * 82.0 / 3**0.5, rel=1e-12)


def test_units_do_not_matter():
    table = shipped()
    assert table.standard("mud_density", 10.0, "lb/gal") == pytest.approx(0.1 / 3**0.5, rel=1e-12)
    assert table.standard("mud_density", 1200.0, "kg/m3") == pytest.approx(0.1 / 3**0.5 * 119.826427, rel=1e-8)
    # a difference of temperatures has no zero point; definition of the degree Fahrenheit
    assert table.standard("flow_line_temperature", 50.0, "degC") == pytest.approx(2.0 / 1.8 / 3**0.5, rel=1e-12)
    assert table.standard("water_fraction", 0.82, "m3/m3") == pytest.approx(table.standard("water_fraction", 82.0, "%") / 100.0, rel=1e-12)
    assert table.standard("ph", 9.0, "") == pytest.approx(0.1 / 3**0.5, rel=1e-12)


def test_oil_and_water_share_a_receiver():
    """By hand: the lower level moves them against each other, the cup moves them together; the solids have neither level but the upper."""
    readings = {"water_fraction": 70.0, "oil_fraction": 10.0}
    units = dict.fromkeys(readings, "%")
    level, cup, run = 0.1 / 3**0.5, 0.005 / 3**0.5, 0.4
    got = uncertainty.covariance_of(readings, units)
    assert got[0, 0] == pytest.approx((70.0 * cup) ** 2 + 2 * level**2 + run**2, rel=1e-12)
    assert got[1, 1] == pytest.approx((10.0 * cup) ** 2 + 4 * level**2 + run**2, rel=1e-12)
    assert got[0, 1] == got[1, 0] == pytest.approx(700.0 * cup**2 - 2 * level**2, rel=1e-12)
    assert got.sum() == pytest.approx((80.0 * cup) ** 2 + 2 * level**2 + 2 * run**2, rel=1e-12)  # of water and oil together
    without = uncertainty.covariance_of({"water_fraction": 70.0, "oil_fraction": 0.0}, units)
    assert without[1].tolist() == [0.0, 0.0]  # no oil, no level of it
    apart = uncertainty.covariance_of(readings, units, instruments={"oil_fraction": "retort_10_mL"})
    assert apart[0, 1] == 0.0  # another retort: nothing shared


def test_one_spring_turns_all_dials():
    """Plastic viscosity keeps the relative error of the spring: 1.5 %/root 3 of the difference, not of the readings."""
    readings = {"reading_600": 100.0, "reading_300": 60.0}
    v = uncertainty.covariance_of(readings, dict.fromkeys(readings, "deg"))
    slope = np.array([1.0, -1.0])
    assert slope @ v @ slope == pytest.approx((0.015 / 3**0.5 * 40.0) ** 2 + 2.0 / 3.0, rel=1e-12)


def test_errors_go_through_a_model_together():
    readings = {"water_fraction": 70.0, "oil_fraction": 10.0}
    units = dict.fromkeys(readings, "%")
    model, inputs = uncertainty.with_instruments(lambda water_fraction, oil_fraction: 100.0 - water_fraction - oil_fraction, readings, units)
    drawn = uncertainty.monte_carlo(model, inputs, seed=5, trials=200_000).only
    assert drawn.mean == pytest.approx(20.0, abs=0.01)
    assert drawn.standard == pytest.approx(uncertainty.covariance_of(readings, units).sum() ** 0.5, rel=0.01)
    dye, sources = uncertainty.with_instruments(lambda dye_volume: 5.0 * dye_volume, {"dye_volume": 8.0}, {"dye_volume": "mL"})
    assert uncertainty.monte_carlo(dye, sources, seed=5, trials=200_000).only.mean == pytest.approx(5.0 * 7.75, abs=0.01)


def test_choosing_instruments():
    table = shipped().choosing("retort_10_mL", mud_density="pressurised_balance")
    assert table.for_reading("oil_fraction").name == "retort_10_mL"
    assert table.for_reading("mud_density").name == "pressurised_balance"
    assert shipped().for_reading("oil_fraction").name == "retort_50_mL"
    assert table.for_reading("oil_fraction", "retort_20_mL").name == "retort_20_mL"
    with pytest.raises(ValueError, match="'water_fracton'; did you mean water_fraction"):
        table.for_reading("water_fracton")
    with pytest.raises(ValueError, match="mud_density is not read on 'funnel'; it is read on mud_balance, pressurised_balance"):
        table.for_reading("mud_density", "funnel")
    with pytest.raises(ValueError, match="no instrument is called 'retort_5_mL'"):
        table.choosing("retort_5_mL")


def test_own_instruments():
    ours = Instrument("our_scale", "digital scale", ("mud_density",), (source("normal", standard=5.0, unit="kg/m3", degrees_of_freedom=9.0),))
    table = shipped().with_instruments(ours)
    assert table.for_reading("mud_density").name == "our_scale"
    assert table.standard("mud_density", 1200.0, "kg/m3") == pytest.approx(5.0)
    assert table.degrees_of_freedom(["our_scale.one.mud_density"]) == {"our_scale.one.mud_density": 9.0}
    finer = replace(shipped()["mud_balance"], sources=(source(half_width=0.05, unit="lb/gal"),))
    assert shipped().with_instruments(finer).standard("density_in", 10.0, "lb/gal") == pytest.approx(0.05 / 3**0.5)
    with pytest.raises(ValueError, match="unit = 'furlong' is no known unit"):
        table.with_instruments(replace(ours, sources=(source(half_width=1.0, unit="furlong"),)))


BALANCE = """
[[instrument]]
name = "balance"
words = "a balance"
reads = ["mud_density"]
[[instrument.source]]
name = "rider"
distribution = "rectangular"
half_width = 0.1
unit = "lb/gal"
mark = "common practice, no source"
"""


def test_a_copy_of_the_shipped_table_reads_the_same(tmp_path):
    folder = Path(uncertainty.__file__).parent / "shipped"
    for file in folder.glob("*.toml"):
        (tmp_path / file.name).write_text(file.read_text(encoding="utf-8"), encoding="utf-8")
    assert load(tmp_path) == shipped()


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("half_width = 0.1", "half_width = -0.1", r"mine.toml, instrument 1 \(balance\), source 1 \(rider\): half_width = -0.1 lb/gal"),
        ("half_width = 0.1", "", "no size given; give one of standard, half_width, resolution, increment"),
        ("half_width = 0.1", "half_width = 0.1\nresolution = 0.1", "half_width and resolution given"),
        ("half_width = 0.1", "increment = 0.1", "increment does not go with rectangular"),
        ("half_width = 0.1", 'half_width = "0.1"', "half_width = '0.1' must be a number"),
        ("rectangular", "square", "distribution = 'square'; it is one of"),
        ("common practice, no source", "seen", "source is missing"),
        ("common practice, no source", "hearsay", "mark = 'hearsay'"),
        ("half_width", "halfwidth", "'halfwidth' is no key"),
        ('"lb/gal"', '"mL"', "unit = 'mL' does not measure mud_density, which is in lb/gal"),
        ("mud_density", "mud_densty", "reads: 'mud_densty' is no reading; did you mean mud_density"),
        ('unit = "lb/gal"', 'unit = "lb/gal"\nagainst = ["mud_density"]', "shared = true"),
        ('unit = "lb/gal"', 'unit = "lb/gal"\nunless_zero = ["ph"]', "unless_zero: 'ph' is not among mud_density"),
        ('unit = "lb/gal"', 'unit = "lb/gal"\ndegrees_of_freedom = 0', "degrees_of_freedom = 0 must be above zero"),
        ('unit = "lb/gal"', 'unit = "lb/gal"\nsample = 0.0', "sample = 0"),
        ('words = "a balance"', "", "words = None must be text"),
        ("[[instrument]]", "[[instrumen]]", "'instrumen' is no key"),
        ("# end", BALANCE, "two instruments are called 'balance'"),
    ],
)
def test_mistakes_in_a_table_are_told(tmp_path, old, new, message):
    file = tmp_path / "mine.toml"
    text = BALANCE + "# end"
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(ValueError, match=message):
        load(file)


def test_importing_needs_numpy_only():
    program = "import sys, lutum.uncertainty as u; u.shipped().standard('ph', 9.0, ''); print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert not {"pandas", "scipy", "matplotlib", "uncertainties"} & set(run.stdout.split())
