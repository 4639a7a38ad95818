"""The audit as a whole: it proposes, it repairs only by consent, it says what it could not judge, and it can be extended."""

import numpy as np
import pandas as pd
import pytest
from lutum import records, units
from lutum.records import ColumnMapping, Mapping, audit
from lutum.records.rules import RULES, rule

UNITS = {
    "measured_depth": "m", "mud_density": "g/cm3", "plastic_viscosity": "cP", "yield_point": "lb/100 ft2", "reading_temperature": "degF",
    "water_fraction": "%", "oil_fraction": "%", "solids_fraction": "%", "calcium": "mg/L",
}  # fmt: skip


def checks(units_of=None, **columns):
    """Records with these columns, written in UNITS or `units_of`."""
    written = UNITS | (units_of or {})
    mapping = Mapping({c: ColumnMapping(c, unit=written.get(c, "")) for c in columns})
    return records.read(pd.DataFrame(columns), mapping)


def test_the_audit_repairs_nothing_and_apply_only_what_is_accepted():
    data = checks(mud_density=[1.2, 0.0, 0.0], yield_point=[10.0, 0.0, 9.0])
    before = data.data.copy()
    result = audit(data)
    pd.testing.assert_frame_equal(data.data, before)
    assert result.apply(data, []).data.equals(before)
    ids = result.findings.query("rule == 'zero_as_missing' and column == 'mud_density' and row == 3").index
    clean = result.apply(data, ids)
    assert clean.data["mud_density"].isna().tolist() == [False, True, False]
    assert clean.data["yield_point"].tolist() == data.data["yield_point"].tolist()
    pd.testing.assert_frame_equal(data.data, before)
    pd.testing.assert_frame_equal(clean.raw, data.raw)
    entry = clean.log.iloc[0]
    assert (entry["step"], entry["rule"], entry["row"], entry["column"], entry["raw"], entry["before"]) == (
        "accepted", "zero_as_missing", 3, "mud_density", "0.0", 0.0,
    )  # fmt: skip
    assert np.isnan(entry["after"])


def test_accepting_what_cannot_be_repaired_changes_nothing_and_is_logged():
    data = checks(reading_600=[44.0], reading_6=[5.0], reading_3=[12.0])
    result = audit(data, rules=["falling_dial"])
    clean = result.apply(data, "falling_dial")
    assert clean.data.equals(data.data) and clean.log["step"].tolist() == ["accepted, nothing to change"]


def test_wrong_acceptance_is_refused():
    data = checks(mud_density=[1.2, 0.0])
    result = audit(data)
    with pytest.raises(ValueError, match="'zeros', which is no rule"):
        result.apply(data, ["zeros"])
    with pytest.raises(ValueError, match="99, which is no id"):
        result.apply(data, [99])
    with pytest.raises(ValueError, match="not the records that were audited"):
        result.apply(checks(mud_density=[1.2]), ["zero_as_missing"])
    with pytest.raises(ValueError, match="no rule is called 'zeros'"):
        audit(data, rules=["zeros"])


def test_a_clean_table_has_no_findings_and_gaps_are_none():
    nothing = [np.nan] * 4
    data = checks(
        well=["A"] * 4, time=["2013-05-01", "2013-05-02", "2013-05-03", None], measured_depth=[1000.0, 1100.0, 1200.0, np.nan],
        mud_density=[1.2, 1.21, 1.22, np.nan], ph=[9.0, 9.1, 9.2, np.nan], reading_600=[44.0, 45.0, 46.0, np.nan],
        reading_300=[26.0, 27.0, 27.0, np.nan], yield_point=[8.0, 9.0, 8.0, np.nan], plastic_viscosity=[18.0, 18.0, 19.0, np.nan],
        gel_10_s=[4.0, 4.0, 5.0, np.nan], gel_10_min=[6.0, 7.0, 8.0, np.nan], water_fraction=[85.0, 84.0, 83.0, np.nan],
        oil_fraction=[0.0, 0.0, 0.0, np.nan], solids_fraction=[15.0, 16.0, 17.0, np.nan], calcium=nothing, reading_temperature=nothing,
    )  # fmt: skip
    result = audit(data)
    assert result.findings.empty, result.findings[["rule", "reason"]].values.tolist()
    assert result.summary().empty
    assert set(result.skipped["rule"]) == {"below_total_depth", "unit_mistake"}


def test_rules_without_their_columns_are_skipped_with_the_reason():
    result = audit(checks(ph=[9.0]))
    reasons = dict(zip(result.skipped["rule"], result.skipped["reason"], strict=True))
    assert reasons["sentinel_date"] == "not mapped: time"
    assert set(reasons) < set(RULES)


def test_the_summary_counts_findings_and_wells():
    data = checks(well=["A", "A", "B"], mud_density=[0.0, 0.0, 0.0], yield_point=[0.0, 9.0, 9.0])
    table = audit(data, rules=["zero_as_missing"]).summary()
    assert table[["column", "severity", "findings", "wells"]].values.tolist() == [
        ["mud_density", "error", 3, 2],
        ["yield_point", "warning", 1, 1],
    ]


def test_a_new_rule_is_one_function():
    @rule("odd_ph", "a pH of 13", needs=("ph",))
    def odd_ph(view):
        yield from view.cells("ph", view.values("ph") == 13.0, "is 13", "look", action="value", proposed=12.0)

    try:
        data = checks(ph=[9.0, 13.0])
        result = audit(data)
        assert "odd_ph" in result.findings["rule"].tolist() and "odd_ph" in records.rule_table()["rule"].tolist()
        assert result.apply(data, ["odd_ph"]).data["ph"].tolist() == [9.0, 12.0]
        with pytest.raises(ValueError, match="there already"):
            rule("odd_ph", "")(odd_ph)
    finally:
        del RULES["odd_ph"]


def test_the_exchange_standards_sample_is_caught():
    # Its density says g/L and means g/cm3, its retort makes 91.1 %: two traps of real documents.
    data = checks(
        {"mud_density": "g/L"}, mud_density=[1.26], water_fraction=[53.0], oil_fraction=[32.0], solids_fraction=[6.1]
    )
    rules = audit(data).findings.set_index("rule")["reason"]
    assert "limits" in rules["out_of_range"] and "91.1 %" in rules["reported_solids"]
    assert units.convert(1.26, "g/L", "kg/m3") == pytest.approx(1.26)
