"""The audit against the faults counted in a regulator's public table of 12 732 mud readings.

Contains data under NLOD made available by the Norwegian Petroleum Directorate. The counts are those of the data's
own SOURCE.md; where a count hangs on a definition the test states it. The table is read where it lies, never copied.
"""

import tomllib

import pytest
from lutum import records
from lutum.records import ColumnMapping, Mapping

# Saved as a person would keep it beside the data. The table states no units; they are those of its SOURCE.md.
MUD = """
note = "Depth m, weight g/cm3, viscosity mPa.s (probably plastic viscosity; the table does not say), yield point Pa."
keep = ["wlbMudDateUpdated", "dateSyncNPD"]

[columns.wellbore]
source = "wlbName"

[columns.wellbore_id]
source = "wlbNpdidWellbore"

[columns.time]
source = "wlbMudDateMeasured"

[columns.measured_depth]
source = "wlbMD"
unit = "m"

[columns.mud_density]
source = "wlbMudWeightAtMD"
unit = "g/cm3"

[columns.plastic_viscosity]
source = "wlbMudViscosityAtMD"
unit = "mPa.s"

[columns.yield_point]
source = "wlbYieldPointAtMD"
unit = "Pa"

[columns.fluid_type]
source = "wlbMudType"
"""
WELLS = Mapping({"wellbore_id": "wlbNpdidWellbore", "total_depth": ColumnMapping("wlbTotalDepth", unit="m")})
READINGS = ["mud_density", "plastic_viscosity", "yield_point"]


@pytest.fixture(scope="module")
def checks(tmp_path_factory, norwegian_shelf):
    path = tmp_path_factory.mktemp("mapping") / "mud.toml"
    path.write_text(MUD)
    return records.read(norwegian_shelf / "wellbore_mud.csv", Mapping.load(path), units="metric")


@pytest.fixture(scope="module")
def wells(norwegian_shelf):
    return records.read(norwegian_shelf / "wellbore_exploration_all.csv", WELLS, units="metric")


@pytest.fixture(scope="module")
def audit(checks, wells):
    return records.audit(checks, wells=wells)


def count(audit, rule, column=None, severity=None):
    found = audit.findings[audit.findings["rule"] == rule]
    if column is not None:
        found = found[found["column"] == column]
    return len(found if severity is None else found[found["severity"] == severity])


def test_every_row_is_read(checks):
    assert len(checks) == 12732 and checks.data["wellbore_id"].nunique() == 570
    assert checks.problems.empty and checks.log.empty
    assert checks.data["row"].iloc[[0, -1]].tolist() == [2, 12733]
    assert checks.unused == {"wellbore_mud.csv": ()}


@pytest.mark.parametrize(
    ("column", "zeros"),
    [("mud_density", 235), ("plastic_viscosity", 1506), ("yield_point", 5732), ("measured_depth", 3)],
)
def test_zeros_that_stand_for_missing(audit, column, zeros):
    assert count(audit, "zero_as_missing", column) == zeros


def test_dates_that_stand_for_missing(audit):
    assert count(audit, "sentinel_date", "time") == 5232


def test_exact_duplicates(audit):
    # Every row after the first whose ten cells are the same, as text; the first of each is not counted.
    assert count(audit, "duplicate_row") == 691


def test_depths_below_the_total_depth(audit):
    # Deeper than the measured total depth in the table of wellbores, matched by the authority's number, a depth of 0 included;
    # one wellbore (5 rows) is not in that table and is told once as a note.
    assert count(audit, "below_total_depth", severity="error") == 253
    assert count(audit, "below_total_depth", severity="note") == 1


def test_weights_between_0_and_1(audit, checks):
    # Above 0 and below 1 g/cm3. Some may be oil muds: those below the physical limits are errors, the others warnings.
    found = audit.findings[(audit.findings["rule"] == "out_of_range") & (audit.findings["column"] == "mud_density")]
    assert len(found) == 17 and (found["value"].astype(float) < 1000.0).all()
    assert set(found["severity"]) == {"error", "warning"}


def test_complete_rows_once_zeros_are_missing(audit, checks):
    clean = audit.apply(checks, ["zero_as_missing"])
    assert clean.data[READINGS].notna().all(axis=1).sum() == 6864
    assert len(clean) == 12732 and len(clean.log) == 235 + 1506 + 5732 + 3
    assert (checks.data[READINGS] > 0).all(axis=1).sum() == 6864  # the records themselves are untouched


def test_declared_in_the_mapping_the_gaps_never_enter(wells, norwegian_shelf):
    plain = tomllib.loads(MUD)
    plain["missing"] = ["9999-12-31"]
    for column in READINGS:
        plain["columns"][column]["zero_is_missing"] = True
    checks = records.read(norwegian_shelf / "wellbore_mud.csv", Mapping.from_dict(plain), units="metric")
    assert checks.data[READINGS].notna().all(axis=1).sum() == 6864
    assert len(checks.log) == 5232 + 235 + 1506 + 5732
    found = records.audit(checks, wells=wells)
    assert count(found, "sentinel_date") == 0 and count(found, "zero_as_missing") == 3  # the depths were not declared


def test_wellbores_about_100_times_too_viscous_are_named(audit, checks):
    # 16 wellbores hold viscosities of 1000 mPa.s or more; where it is the whole wellbore the median gives it away.
    found = audit.findings[
        (audit.findings["rule"] == "unit_mistake") & (audit.findings["column"] == "plastic_viscosity")
    ]
    thick = checks.data.groupby("wellbore")["plastic_viscosity"].max() >= 1000.0
    assert thick.sum() == 16
    assert set(found["well"]) <= set(thick.index[thick]) and len(found) >= 10
    assert set(found["proposed"]) == {0.01}
