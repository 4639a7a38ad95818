"""What a mud check shows: tables, gaps and findings, and that ordinary checks raise no idle cautions. The readings are invented."""

import pandas as pd

from lutum import mud_check, ranges, titration
from lutum.mud_check import MudCheck

READINGS = {"mud_density": 10.4, "reading_600": 60.0, "reading_300": 39.0, "ph": 9.0, "filtrate_volume": 6.0,
            "alkalinity_filtrate": 0.1, "alkalinity_filtrate_total": 0.4}  # fmt: skip


def test_frame_and_missing_hold_what_derived_holds():
    check = MudCheck(READINGS)
    frame = check.frame()
    assert list(frame.index) == [d.name for d in check.derived]
    assert frame.loc["rheology.viscometer.plastic_viscosity", "value"] == 21.0 and frame["reason"].ne("").equals(frame["value"].isna())
    missing = check.missing()
    told = {f"{row.calculation}.{name}" for row in missing.itertuples() for name in row.missing.split(", ")}
    assert told == set(frame.index[frame["value"].isna()])


def test_the_table_of_a_notebook_keeps_lists_together():
    shown = MudCheck(READINGS)._repr_html_()
    assert shown.count("wall_stress") == 1 and "wall_stress 600, 300" in shown and "(rheology.viscometer)" in shown and "e+" not in shown


def test_thirty_minutes_of_filtrate_alone_are_no_caution():
    assert not [f for f in MudCheck(READINGS).findings if f.step == "filtration.static_filtrate"]
    many = mud_check.over(pd.DataFrame([READINGS, READINGS | {"filtrate_volume_7.5_min": 3.5}]))
    assert not (many.findings()["step"] == "filtration.static_filtrate").any()
    assert "filtrate_volume_7.5_min is missing in 1" in many.missing().set_index("derived").loc["filtration.static_filtrate.spurt", "reason"]
    leak = many.readings.assign(filtrate_volume=[6.0, 2.0])
    assert (mud_check.over(leak).findings()["step"] == "filtration.static_filtrate").any()


def test_a_result_without_number_names_what_it_was_given():
    assert MudCheck(READINGS).reason("chemistry.ph_consistency.ph_difference").startswith(
        "chemistry.ph_consistency gives no number for ph = 9, hydroxide = 0 mg/L: no hydroxide was found"
    )
    assert "filtration.static_filtrate.residual_1" in MudCheck(READINGS | {"filtrate_volume_7.5_min": 3.0}).values()


def test_ranges_and_titration_in_a_notebook():
    shown = ranges.hold({"mud_density": 14.0, "ph": 9.0}, fluid_type="spud")._repr_html_()
    assert shown.index(">above<") < shown.index(">inside<") and "Typical is not a limit" in shown
    record = titration.Titration(titration.MudSample(2.0, organics=False), [(2.5, "no halo"), (3.0, "halo held")])
    assert "0.36</td>" in record.result()._repr_html_()


def test_a_finding_does_not_repeat_who_says_it():
    over_full = READINGS | {"water_fraction": 97.0, "oil_fraction": 2.0, "chloride": 21000.0}
    (told,) = [f for f in MudCheck(over_full).findings if f.step.startswith("solids.")]
    assert told == (None, "solids.retort_with_brine", "error", "brine and oil together take more than the whole volume: a reading is wrong.")
    assert all(":" not in f.reason[: len(f.step) + 1] for f in MudCheck(over_full | {"mud_density": 30.0}).findings)
    for shown in (str(MudCheck(over_full)), MudCheck(over_full)._repr_html_()):
        assert "error: brine and oil together take more than the whole volume: a reading is wrong. (solids.retort_with_brine)" in shown


def test_what_two_steps_say_in_the_same_words_is_told_once_for_each_row():
    over_full = READINGS | {"water_fraction": 97.0, "oil_fraction": 2.0, "chloride": 21000.0}
    twins = pd.DataFrame([over_full, over_full, READINGS], index=["a", "a", "b"])  # an index may repeat itself
    found = mud_check.over(twins).findings()
    assert list(found.loc[found["step"].str.startswith("solids."), ["row", "step"]].itertuples(index=False, name=None)) == [
        ("a", "solids.retort_with_brine")
    ] * 2
    one_step = mud_check.over(twins).findings(["solids.retort_with_brine"])
    assert list(one_step["row"]) == ["a", "a"]  # with the other step not asked for it is told here


def test_rows_without_a_gap_are_listed_on_demand():
    checks = mud_check.over(pd.DataFrame([READINGS, READINGS | {"reading_300": float("nan")}]))
    short, long = checks.missing(), checks.missing(all=True)
    assert (short["missing"] > 0).all() and len(short) < len(long)
    assert short.reset_index(drop=True).equals(long[long["missing"] > 0].reset_index(drop=True))
    assert set(checks.derived) <= set(long["derived"])
    assert dict(zip(short["derived"], short["missing"]))["rheology.viscometer.plastic_viscosity"] == 1
