"""Units against their definitions and against the public unit standard; spellings; what must never be taken for another."""

import csv
import os
from fractions import Fraction as F
from pathlib import Path

import numpy as np
import pytest

import lutum
from lutum import _core, units

INCH, FOOT, POUND, GRAVITY = F(254, 10_000), F(3048, 10_000), F(45359237, 10**8), F(980665, 10**5)
GALLON = 231 * INCH**3
POUND_FORCE = POUND * GRAVITY

# Unit, what it is in SI by definition.
DEFINITIONS = {
    "ft": FOOT,
    "in": INCH,
    "1/32 in": INCH / 32,
    "in2": INCH**2,
    "gal[US]": GALLON,
    "bbl": 42 * GALLON,
    "bbl/min": 42 * GALLON / 60,
    "gal[US]/min": GALLON / 60,
    "L/min": F(1, 60_000),
    "lbm": POUND,
    "lbm/gal[US]": POUND / GALLON,
    "lbm/gal[UK]": POUND / F(454609, 10**8),
    "lbm/ft3": POUND / FOOT**3,
    "lbm/bbl": POUND / (42 * GALLON),
    "psi": POUND_FORCE / INCH**2,
    "psi/ft": POUND_FORCE / INCH**2 / FOOT,
    "0.01 lbf/ft2": POUND_FORCE / FOOT**2 / 100,
    "lbf/gal[US]": POUND_FORCE / GALLON,
    "cP": F(1, 1000),
    "P": F(1, 10),
    "mPa.s": F(1, 1000),
    "MPa": F(10**6),
    "kPa": F(1000),
    "bar": F(10**5),
    "mg/L": F(1, 1000),
    "g/cm3": F(1000),
    "meq/mL": F(1000),
    "meq/100 mL": F(10),
    "gn": GRAVITY,
    "ft/min": FOOT / 60,
    "m/h": F(1, 3600),
}

# Rows of the public standard that the library has no use for yet; a unit that comes leaves this list.
LACKING = {
    "ppm", "um", "bbl/ft", "L/m", "kgf", "kgf/cm2", "sack[94lbm]", "lbm/ft", "lbf.s/ft2", "hp[hyd]/in2", "s/qt[US]", "s/L",
}  # fmt: skip


def shared_data():
    """Tables of public facts beside the sources; not part of an installation."""
    named = os.environ.get("LUTUM_SHARED_DATA")
    places = [Path(named)] if named else [p / "shared" / "data" for p in Path(__file__).resolve().parents]
    for place in places:
        if (place / "uom" / "uom_factors_subset.tsv").is_file():
            return place / "uom"
    return None


def rows(name):
    place = shared_data()
    if place is None:
        pytest.skip("shared data not found: set LUTUM_SHARED_DATA")
    with (place / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter="\t"))


@pytest.mark.parametrize("symbol", DEFINITIONS)
def test_factors_against_their_definitions(symbol):
    scale, shift = _core.unit(symbol)[2:]
    assert shift == 0.0
    assert scale == pytest.approx(float(DEFINITIONS[symbol]), rel=1e-15)


@pytest.mark.parametrize(
    ("symbol", "point", "kelvin"),
    [("degC", 0, 273.15), ("degC", 100, 373.15), ("degF", 32, 273.15), ("degF", 212, 373.15), ("degF", -40, 233.15), ("degR", 491.67, 273.15)],
)
def test_temperatures(symbol, point, kelvin):
    assert units.convert(point, symbol, "K") == pytest.approx(kelvin, rel=1e-15)


def test_factors_against_the_public_standard():
    """(A + B x)/C of every unit that both have, to the last bit or the one before it."""
    table = rows("uom_factors_subset.tsv")
    assert len(table) == 60
    known = set(units.symbols())
    for entry in table:
        if entry["symbol"] not in known:
            continue
        a, b, c = (float(entry[key] or default) for key, default in (("A", 0), ("B", 1), ("C", 1)))
        _, _, scale, shift = _core.unit(entry["symbol"])
        assert scale == pytest.approx(b / c, rel=1e-15), entry["symbol"]
        assert shift == pytest.approx(a / c, rel=1e-15), entry["symbol"]
        assert entry["base_unit"] in ("N/m3", "Euc", *known)
    assert {entry["symbol"] for entry in table} - known == LACKING


def test_base_units_of_the_public_standard_measure_the_same():
    ours = {"N/m3": "Pa/m"}
    for entry in rows("uom_factors_subset.tsv"):
        if entry["symbol"] not in LACKING and entry["base_unit"] not in ("rad", "N"):
            units.convert(1.0, entry["symbol"], ours.get(entry["base_unit"], entry["base_unit"]))


def test_older_spellings_of_the_exchange_standard():
    known = set(units.symbols())
    table = rows("legacy_symbol_map.tsv")
    assert len(table) == 12
    resolved = {entry["witsml_1x_symbol"] for entry in table if entry["uom_standard_symbol"] in known}
    for entry in table:
        meant = entry["uom_standard_symbol"]
        assert units.resolve(entry["witsml_1x_symbol"]) == (meant if meant in known else None), entry["witsml_1x_symbol"]
    assert {"lbf/100ft2", "lbf/ft2(100)", "lbf/in2", "lbm/galUS", "lbm/galUK", "in/32", "lbf/galUS"} <= resolved


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("ppg", "lbm/gal[US]"), ("lb/gal", "lbm/gal[US]"), ("LB/GAL", "lbm/gal[US]"), ("SG", "g/cm3"), ("sg", "g/cm3"), ("ppb", "lbm/bbl"),
        ("lb/100 ft2", "0.01 lbf/ft2"), ("lb/100ft2", "0.01 lbf/ft2"), ("cp", "cP"), ("deg F", "degF"), ("°F", "degF"), ("°C", "degC"),
        ("gpm", "gal[US]/min"), (" psi ", "psi"), ("PSI", "psi"), ("mg/l", "mg/L"), ("kPa", "kPa"), ("bbl", "bbl"), ("feet", "ft"),
        ("furlong", None), ("", None), ("lb", "lbm"), ("mPa", None), ("mpa", None), ("deg API", None),
    ],
)  # fmt: skip
def test_spellings(written, meant):
    assert units.resolve(written) == meant


def test_every_symbol_and_label_is_its_own():
    for symbol in units.symbols():
        assert units.resolve(symbol) == symbol
        label = units.label(symbol)
        if label:
            meant = units.resolve(label)
            assert _core.unit(meant)[2:] == _core.unit(symbol)[2:], f"{label} of {symbol} is taken for {meant}"


def test_what_must_not_be_taken_for_another():
    density = "lbm/gal[US]"
    pairs = ("mPa.s", "MPa"), ("cP", "bar"), (density, "psi/ft"), (density, "lbf/gal[US]"), ("mg/L", "ppm[mass]"), ("degF", "ft"), ("bbl", "bbl/min")
    for one, other in pairs:
        with pytest.raises(ValueError, match="different things"):
            units.convert(1.0, one, other)
    assert units.convert(1.0, "MPa", "Pa") == 1e6
    assert units.convert(1.0, "mPa.s", "Pa.s") == 1e-3


def test_a_barrel_is_42_gallons():
    assert units.convert(1.0, "bbl", "gal[US]") == pytest.approx(42.0, rel=1e-15)
    assert units.convert(1.0, "bbl", "L") == pytest.approx(158.987294928, rel=1e-15)
    assert units.convert(1.0, "gal[US]", "L") == pytest.approx(3.785411784, rel=1e-15)
    assert units.convert(231.0, "gal[US]", "m3") == pytest.approx(float(231 * GALLON), rel=1e-15)


def test_the_trade_numbers():
    assert units.convert(1.0, "lb/gal", "kg/m3") == pytest.approx(119.826427, abs=1e-6)
    assert units.convert(1.0, "lb/bbl", "kg/m3") == pytest.approx(2.853010, abs=1e-6)
    assert units.convert(1.0, "lb/100 ft2", "Pa") == pytest.approx(0.47880259, abs=1e-8)
    assert units.convert(units.convert(1.0, "lb/gal", "kg/m3") * float(GRAVITY), "Pa/m", "psi/ft") == pytest.approx(0.0519481, abs=1e-7)


def test_there_and_back():
    """Every pair of units of every quantity, over many sizes."""
    values = np.array([0.0, 1.0, 25.0, 8.345, 1e-7, 123456.0, -40.0])
    for quantity in units.quantities():
        symbols = units.quantity_units(quantity)
        for a in symbols:
            for b in symbols:
                back = units.convert(units.convert(values, a, b), b, a)
                np.testing.assert_allclose(back, values, rtol=1e-14, atol=1e-12)
                if a == b:
                    assert np.array_equal(units.convert(values, a, b), values)


def test_shapes_and_missing_values():
    assert type(units.convert(12, "lb/gal", "kg/m3")) is float
    grid = units.convert(np.full((2, 3), 32.0)[:, ::-1], "degF", "degC")
    assert grid.shape == (2, 3) and np.allclose(grid, 0.0, atol=1e-13)
    assert np.isnan(units.convert(np.nan, "lb/gal", "kg/m3"))
    assert units.convert([], "ft", "m").shape == (0,)
    hidden = np.ma.masked_array([1.0, 2.0], mask=[False, True])
    assert np.array_equal(units.convert(hidden, "ft", "m"), [0.3048, np.nan], equal_nan=True)
    values = np.array([1.0, 2.0])
    units.convert(values, "ft", "m")
    assert values.tolist() == [1.0, 2.0]
    same = units.convert(values, "ft", "ft")
    same[0] = 9.0
    assert values[0] == 1.0


def test_unknown_units_and_wrong_values_are_told():
    with pytest.raises(ValueError, match='"furlong" is unknown'):
        units.convert(1.0, "furlong", "m")
    for wrong in ("ten", "10", ["10"], 1 + 2j):
        with pytest.raises(ValueError, match="what is converted from ft must be a number or an array of numbers"):
            units.convert(wrong, "ft", "m")
    with pytest.raises(ValueError, match="unknown"):
        units.quantity_units("heaviness")
    with pytest.raises(ValueError, match="unknown"):
        units.label("furlong")


def test_quantities_have_units_in_every_set():
    for quantity, symbols in units.quantities().items():
        assert set(symbols) <= set(units.quantity_units(quantity))
        for system, symbol in zip(("si", "field", "metric"), symbols):
            assert lutum.unit_set(system).unit(quantity) == units.label(symbol)
