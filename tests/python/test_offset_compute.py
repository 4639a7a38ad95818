"""All calculations the records allow, row by row against single calls, with uncertainty, and with a reason for every gap."""

import numpy as np
import pandas as pd
import pytest
from lutum import field, metric, offset, records
from lutum.records import ColumnMapping, Mapping

FRAME = pd.DataFrame({
    "Well": ["A", "A", "B", "B"],
    "MD": [1000.0, 1010.0, 900.0, 950.0],
    "MW": [10.0, 10.5, 11.0, 99.0],
    "Water": [88.0, 86.0, "n/a", 84.0],
    "Oil": [0.0, 2.0, 0.0, 1.0],
    "Cl": [20000.0, 30000.0, 40000.0, 50000.0],
    "Dye": [5.0, None, 3.0, 4.0],
    "Sample": [2.0, 2.0, 2.0, 2.0],
    "600": [50.0, 52.0, 54.0, 56.0],
    "300": [30.0, 31.0, 32.0, None],
    "3": [5.0, 5.0, 6.0, 6.0],
    "Gel": [6.0, 7.0, None, 8.0],
    "T": [120.0, 120.0, 120.0, 120.0],
    "Type": ["water", "water", "water", "oil"],
})  # fmt: skip
COLUMNS = {
    "well": "Well", "measured_depth": ColumnMapping("MD", unit="m"), "mud_density": ColumnMapping("MW", unit="lb/gal"),
    "water_fraction": ColumnMapping("Water", unit="%"), "oil_fraction": ColumnMapping("Oil", unit="%"),
    "chloride": ColumnMapping("Cl", unit="mg/L"), "dye_volume": ColumnMapping("Dye", unit="mL"),
    "dye_sample_volume": ColumnMapping("Sample", unit="mL"), "reading_600": "600", "reading_300": "300", "reading_3": "3",
    "gel_10_s": "Gel", "reading_temperature": ColumnMapping("T", unit="degF"), "fluid_type": "Type",
}  # fmt: skip


@pytest.fixture(scope="module")
def checks():
    return records.read(FRAME, Mapping(COLUMNS), units="field", name="a table")


@pytest.fixture(scope="module")
def study(checks):
    return offset.compute(checks)


def reasons_of(study, row, step):
    mine = study.reasons[(study.reasons["row"] == row) & (study.reasons["step"] == step)]
    return dict(zip(mine["input"], mine["severity"], strict=True))


def test_results_are_those_of_single_calls(study):
    retort = field.solids.water_base_retort(10.5, 86.0, 2.0, 30000.0)
    assert study["low_gravity_fraction"].iloc[1] == retort.low_gravity_fraction
    assert study["high_gravity_concentration"].iloc[1] == retort.high_gravity_concentration
    dial = field.rheology.viscometer(speed=[600, 300, 3], reading=[50, 30, 5], temperature=120, gel_10_s=6)
    assert study["viscometer.plastic_viscosity"].iloc[0] == dial.plastic_viscosity == 20.0
    assert study["viscometer.wall_stress_300"].iloc[0] == dial.wall_stress[1]
    assert study["viscometer.shear_rate_3"].iloc[0] == dial.shear_rate[2]
    clay = field.clay.methylene_blue(dye_volume=5.0, sample_volume=2.0)
    assert study["methylene_blue.bentonite_equivalent"].iloc[0] == clay.bentonite_equivalent
    assert study["sodium_chloride.density"].iloc[0] == field.brine.sodium_chloride(chloride=20000.0).density


def test_frame_keeps_the_index_the_rows_and_the_units(checks, study):
    assert study.data.index.equals(checks.data.index) and len(study) == 4
    assert study.units["water_base_retort.low_gravity_fraction"] == "%"
    assert study.unit("methylene_blue.bentonite_equivalent") == "lb/bbl"
    assert study.data["mud_density"].equals(checks.data["mud_density"])


def test_a_row_without_an_input_is_missing_and_says_which(study):
    assert np.isnan(study["low_gravity_fraction"].iloc[2]) and np.isnan(study["low_gravity_fraction"].iloc[3])
    assert reasons_of(study, 4, "solids.water_base_retort") == {"water_fraction": "missing"}
    assert reasons_of(study, 5, "solids.water_base_retort")["mud_density"] == "error"  # 99 lb/gal
    assert reasons_of(study, 3, "clay.methylene_blue") == {"dye_volume": "missing"}
    cell = study.reasons[(study.reasons["row"] == 4) & (study.reasons["input"] == "water_fraction")].iloc[0]
    assert "'n/a'" in cell["reason"] and cell["file"] == "a table" and cell["well"] == "B"
    assert study["viscometer.plastic_viscosity"].isna().tolist() == [False, False, False, True]
    assert study["viscometer.gel_strength_10_s"].isna().tolist() == [False, False, True, False]
    assert reasons_of(study, 5, "rheology.viscometer") == {"reading_300": "missing"}
    assert reasons_of(study, 4, "rheology.viscometer") == {"gel_10_s": "missing"}
    assert reasons_of(study, 2, "rheology.viscometer") == {}


def test_every_missing_result_has_a_reason(study):
    gaps = study.data.index[study["low_gravity_fraction"].isna()]
    told = study.reasons[study.reasons["step"] == "solids.water_base_retort"]["row"]
    assert set(study.data.loc[gaps, "row"]) <= set(told)


def test_calculations_without_inputs_are_skipped_and_said(checks):
    skipped = offset.compute(checks, calculations=["clay.methylene_blue", "hydraulics.slot_pressure_gradient"]).skipped.set_index("calculation")["reason"]
    assert "flow_index" in skipped["hydraulics.slot_pressure_gradient"]


def test_uncertainty_is_that_of_the_calculation(study):
    calculation = field.solids.water_base_retort
    standard = {
        "mud_density": 0.05, "water_fraction": 0.5, "oil_fraction": 0.5, "chloride": 900.0,
        "low_gravity_density": metric.solids.water_base_retort.inputs[5].default * 0 + 50.0 * 0.00834540445201933,
        "high_gravity_density": 100.0 * 0.00834540445201933,
    }  # fmt: skip
    single = calculation.uncertainty(10.5, 86.0, 2.0, 30000.0, standard=standard, coverage_factor=1.0)
    found = study.uncertainty["water_base_retort.low_gravity_fraction"]
    assert found.iloc[1] == pytest.approx(single.low_gravity_fraction.combined, rel=1e-9)
    assert 0.8 < found.iloc[1] < 2.0 and np.isnan(found.iloc[2])
    assert "common practice, no source" in study.assumptions["uncertainty"]


def test_stated_uncertainties_replace_the_defaults(checks):
    none = {name: offset.Standard(0.0, s.unit) for name, s in offset.STANDARD.items()}
    only = {**none, "mud_density": offset.Standard(0.1, "lb/gal", "own duplicates")}
    found = offset.compute(checks, uncertainties=only).uncertainty["water_base_retort.low_gravity_fraction"].iloc[0]
    slope = field.solids.water_base_retort.gradient(10.0, 88.0, 0.0, 20000.0).low_gravity_fraction.mud_density
    assert found == pytest.approx(0.1 * abs(slope), rel=1e-12)


def test_a_misspelt_uncertainty_is_refused_with_the_known_names(checks):
    with pytest.raises(ValueError, match="'mud_densty'; did you mean 'mud_density'.*known are .*chloride.*water_fraction"):
        offset.compute(checks, uncertainties={"mud_densty": offset.Standard(0.05, "lb/gal")})
    with pytest.raises(ValueError, match="no calculation carries the uncertainty of an input 'shear_stress'"):
        offset.compute(checks, uncertainties={"shear_stress": offset.Standard(1.0, "Pa")})


def test_an_uncertainty_without_a_unit_is_refused_and_told_what_to_give(checks):
    with pytest.raises(TypeError, match=r"'mud_density'\] is 0.05, which has no unit; give Standard\(value, unit, source\)"):
        offset.compute(checks, uncertainties={"mud_density": 0.05})


def test_results_without_uncertainty_are_named(checks, study):
    said = study.assumptions["no uncertainty"]
    assert "rheology.viscometer (its readings are lists)" in said and "clay.methylene_blue (none is stated for its inputs)" in said
    assert "solids.water_base_retort" not in said and "hydraulics" not in said
    carried = {c.partition(".")[0] for c in study.uncertainty}
    assert carried == {"water_base_retort", "sodium_chloride"}
    dye = offset.compute(checks, uncertainties={"dye_volume": offset.Standard(0.25, "mL", "half a step")})
    assert "methylene_blue" not in dye.assumptions["no uncertainty"]
    assert dye.uncertainty["methylene_blue.bentonite_equivalent"].notna().any()


def test_a_temperature_uncertainty_is_a_difference():
    assert offset.Standard(1.0, "degC").of(20.0, "degF") == pytest.approx(1.8)
    assert offset.Standard(2.0, "% of the reading").of(np.array([50.0, -50.0]), "mL").tolist() == [1.0, 1.0]


def test_rows_not_meant_are_left_out_and_say_so(checks):
    water = (checks.data["fluid_type"] == "water").to_numpy() & (checks.data["row"] != 2).to_numpy()
    study = offset.compute(checks, rows={"solids.water_base_retort": water})
    assert study["low_gravity_fraction"].isna().tolist() == [True, False, True, True]
    assert "not meant" in study.reasons[(study.reasons["row"] == 2) & (study.reasons["step"] == "solids.water_base_retort")]["reason"].iloc[0]
    assert study["sodium_chloride.density"].notna().all()
    with pytest.raises(ValueError, match="mask"):
        offset.compute(checks, rows={"solids.water_base_retort": [0, 2]})


def test_given_values_columns_and_chosen_calculations(checks):
    study = offset.compute(checks, given={"solids.water_base_retort": {"low_gravity_density": 22.0}})
    assert study["low_gravity_fraction"].iloc[1] == field.solids.water_base_retort(10.5, 86.0, 2.0, 30000.0, low_gravity_density=22.0).low_gravity_fraction
    chained = offset.compute(
        checks,
        columns={"hydraulics.slot_pressure_gradient": {"density": "mud_density", "yield_stress": "viscometer.wall_stress_3"}},
        given={"hydraulics.slot_pressure_gradient": {"consistency": 1.0, "flow_index": 0.6, "hole_diameter": 8.5, "pipe_diameter": 5.0, "flow_rate": 500.0}},
        calculations=["rheology.viscometer", "hydraulics.slot_pressure_gradient"],
    )  # fmt: skip
    alone = field.hydraulics.slot_pressure_gradient(10.0, chained["viscometer.wall_stress_3"].iloc[0], 1.0, 0.6, 8.5, 5.0, 500.0)
    assert chained["slot_pressure_gradient.pressure_gradient"].iloc[0] == alone.pressure_gradient
    assert chained["slot_pressure_gradient.verdict"].iloc[0] == "laminar"
    assert "low_gravity_fraction" not in chained
    with pytest.raises(ValueError, match="no calculation is called 'clay.blue'"):
        offset.compute(checks, calculations=["clay.blue"])
    with pytest.raises(ValueError, match="has no input 'dye'"):
        offset.compute(checks, given={"clay.methylene_blue": {"dye": 1.0}})


def test_the_same_numbers_in_metric_units(checks, study):
    other = offset.compute(checks.to("metric"))
    assert np.allclose(other["low_gravity_fraction"], study["low_gravity_fraction"], rtol=1e-12, equal_nan=True)
    u = "water_base_retort.low_gravity_fraction"
    assert np.allclose(other.uncertainty[u], study.uncertainty[u], rtol=1e-12, equal_nan=True)
    assert other.unit("methylene_blue.bentonite_equivalent") == "kg/m3"


def test_names_of_columns(study):
    assert study.column("low_gravity_fraction") == "water_base_retort.low_gravity_fraction"
    assert study.column("mud_density") == "mud_density"
    more = study.with_columns("test", pd.DataFrame({"another.density": 1.0}, index=study.data.index), {})
    with pytest.raises(KeyError, match="may be sodium_chloride.density or another.density"):
        more.column("density")
    with pytest.raises(KeyError, match="nearest"):
        study.column("low_gravity_fractions")


def test_a_selection_keeps_its_reasons(study):
    part = study.select((study.data["well"] == "B").to_numpy())
    assert len(part) == 2 and set(part.reasons["well"]) == {"B"} and len(part.uncertainty) == 2
    assert len(part.records) == 4
