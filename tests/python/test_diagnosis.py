"""Diagnosis: invented checks with the patterns the trade knows, written here by hand and not from the rules."""

import random
import re
from dataclasses import replace

import numpy as np
import pytest

import lutum
from lutum import diagnosis, units
from lutum.diagnosis import SAFETY, Rules, diagnose, observables, shipped

pd = pytest.importorskip("pandas", reason="pandas is not installed")

PV, YP = "rheology.viscometer.plastic_viscosity", "rheology.viscometer.yield_point"
LOW_GRAVITY = "solids.retort_with_brine.low_gravity_fraction"
CLAY = "clay.methylene_blue.bentonite_equivalent"
OIL_IN_LIQUID = "solids.non_aqueous_retort.oil_of_liquid"
WATER_SALT = "solids.non_aqueous_retort.calcium_chloride_concentration"
LIME = "chemistry.lime_content.excess_lime"
CARBONATE = "chemistry.filtrate_alkalinity.carbonate"
SOLIDS = "solids.retort_with_brine.retort_solids_fraction"

# Invented: a quiet water-base mud and a quiet oil mud, field units.
FLAGS = {name: False for name in ("odour_of_sulfide", "black_mud", "foam", "dull_grainy_look", "after_trip", "cementing_drilled_out")}
WATER_BASE = FLAGS | {
    "mud_density": 12.0, "pressurised_density": 12.0, "density_in": 12.0, "density_out": 12.0, PV: 16.0, YP: 12.0,
    "gel_10_s": 5.0, "gel_10_min": 9.0, "gel_30_min": 10.0, "dial_reading_3": 7.0, "dial_reading_6": 8.0, "water_fraction": 78.0,
    SOLIDS: 20.0, LOW_GRAVITY: 5.0, CLAY: 17.5, "sand_fraction": 0.25, "ph": 9.6, "phenolphthalein_alkalinity_mud": 0.9,
    "phenolphthalein_alkalinity": 0.5, "methyl_orange_alkalinity": 1.1, CARBONATE: 600.0, "calcium": 120.0, "magnesium": 30.0,
    "total_hardness": 170.0, "sulfate": 300.0, "sulfide": 0.0, "carbonate_by_gas_train": 450.0, "chloride": 8000.0,
    "filtrate_volume": 6.0, "high_pressure_filtrate_volume": 14.0, "pit_volume": 800.0, "flowline_temperature": 120.0,
    "bottom_hole_temperature": 180.0, "shear_strength": 60.0, "formation": "sandstone",
}  # fmt: skip
NON_AQUEOUS = FLAGS | {
    "mud_density": 13.0, "pressurised_density": 13.0, "density_in": 13.0, "density_out": 13.0, PV: 28.0, YP: 14.0,
    "gel_10_s": 9.0, "gel_10_min": 13.0, "gel_30_min": 15.0, "dial_reading_3": 8.0, "dial_reading_6": 9.0, "water_fraction": 17.0,
    "oil_fraction": 58.0, OIL_IN_LIQUID: 77.3, SOLIDS: 25.0, LOW_GRAVITY: 4.0, "sand_fraction": 0.25, WATER_SALT: 330.0, LIME: 3.0,
    "sulfide": 0.0, "high_pressure_filtrate_volume": 4.0, "water_in_filtrate": 0.0, "electrical_stability": 700.0,
    "pit_volume": 900.0, "flowline_temperature": 140.0, "bottom_hole_temperature": 260.0,
}  # fmt: skip


def trend_of(base, rows=6):
    """Checks that scatter a little about the base, drawn once and for all."""
    rng = np.random.default_rng(7)
    quiet = {name: [x] * rows for name, x in base.items()}
    for name, x in base.items():
        if isinstance(x, float):
            quiet[name] = list(x * (1 + 0.004 * rng.standard_normal(rows)))
    return pd.DataFrame(quiet)


def of(fluid):
    return WATER_BASE if fluid == "water_base" else NON_AQUEOUS


WB, NA = "water_base", "non_aqueous"
# What each cause does to the mud. The patterns are common practice, no source, unless a comment names one.
PATTERNS = {
    # pH, Pm up, calcium up then down, yield, gels and filtrate up, just after the shoe track
    "cement": (WB, {"cementing_drilled_out": True, "ph": 11.8, "phenolphthalein_alkalinity_mud": 5.0, "phenolphthalein_alkalinity": 1.8,
                    "methyl_orange_alkalinity": 2.2, "calcium": 350.0, YP: 24.0, "gel_10_s": 12.0, "gel_10_min": 28.0, "filtrate_volume": 11.0}),
    # chloride up in a step in evaporite, no gain, density slightly up, yield, gels, filtrate up, pH down
    "salt": (WB, {"chloride": 45000.0, "formation": "halite", "mud_density": 12.1, "density_in": 12.1, "density_out": 12.1,
                  "pressurised_density": 12.1, YP: 20.0, "gel_10_min": 18.0, "filtrate_volume": 10.0, "ph": 9.0}),
    # calcium, sulfate up, pH down, Pf near 0, yield, gels, filtrate up, Pm unchanged
    "gypsum": (WB, {"calcium": 700.0, "sulfate": 1900.0, "total_hardness": 760.0, "ph": 8.8, "phenolphthalein_alkalinity": 0.1,
                    "methyl_orange_alkalinity": 0.4, YP: 24.0, "gel_10_s": 10.0, "gel_10_min": 24.0, "filtrate_volume": 11.0,
                    "formation": "anhydrite"}),
    # magnesium up with sea water or carnallite, pH down, yield up
    "magnesium": (WB, {"magnesium": 900.0, "total_hardness": 1600.0, "ph": 8.6, YP: 18.0, "chloride": 14000.0, "formation": "carnallite"}),
    # yield up slowly, 10-minute gel far up, first on bottoms-up after a trip; Mf up, Pf down, pH down.
    # Mf above 5 and more than 4 Pf: netwasgroup.us/fluids-2/carbonatebicarbonate-contamination.html
    "carbonate": (WB, {"carbonate_by_gas_train": 1900.0, CARBONATE: 1600.0, "methyl_orange_alkalinity": 6.0, "phenolphthalein_alkalinity": 0.2,
                       "ph": 8.9, "calcium": 40.0, "gel_10_min": 32.0, YP: 19.0, "after_trip": True}),
    # water in: volume up, density down, retort water up, low-gravity solids down, chloride moves, other temperature
    "water_flow": (WB, {"pit_volume": 845.0, "mud_density": 11.6, "pressurised_density": 11.6, "density_in": 11.9, "density_out": 11.4,
                        "water_fraction": 82.0, LOW_GRAVITY: 3.6, SOLIDS: 16.5, "chloride": 15000.0,
                        "flowline_temperature": 138.0, "magnesium": 180.0, PV: 13.0}),
    # pH down, black, smell, sulfide in the filtrate
    "hydrogen_sulfide": (WB, {"sulfide": 60.0, "odour_of_sulfide": True, "black_mud": True, "ph": 8.6, "phenolphthalein_alkalinity": 0.1}),
    # plastic viscosity, solids, low-gravity solids, methylene blue, sand up: oillinkkw.com, rheology, for plastic viscosity
    "drilled_solids": (WB, {PV: 26.0, LOW_GRAVITY: 9.0, SOLIDS: 24.5, "water_fraction": 73.5, CLAY: 19.5, "sand_fraction": 1.5}),
    # yield and gels up, plastic viscosity flat, methylene blue up
    "reactive_clay": (WB, {YP: 24.0, "gel_10_s": 12.0, "gel_10_min": 22.0, CLAY: 29.0, LOW_GRAVITY: 5.6, "formation": "shale"}),
    # yield and gels up, plastic viscosity and methylene blue flat
    "chemical_flocculation": (WB, {YP: 24.0, "gel_10_s": 12.0, "gel_10_min": 22.0, "filtrate_volume": 9.0}),
    # plastic viscosity and yield down, filtrate up, pH down, smell, gas in the pits: Freeman, PETSOC 83-34-22 for polymers
    "bacteria": (WB, {PV: 11.0, YP: 7.0, "filtrate_volume": 10.0, "ph": 8.3, "odour_of_sulfide": True, "foam": True,
                      "phenolphthalein_alkalinity": 0.15, "gel_10_s": 3.0}),
    # thin and leaky without a fall of pH, in a hot hole
    "polymer_degradation": (WB, {PV: 11.0, YP: 7.0, "filtrate_volume": 9.5, "high_pressure_filtrate_volume": 24.0,
                                 "bottom_hole_temperature": 320.0}),
    # normal at surface, high gels on bottoms-up, 30-minute far above 10-minute, hot hole.
    # Clay muds flocculate above 250 degF: Geofluids 2019, 3786293
    "temperature_gelation": (WB, {"after_trip": True, "bottom_hole_temperature": 330.0, "gel_10_s": 9.0, "gel_10_min": 26.0, "gel_30_min": 55.0,
                                  "shear_strength": 240.0}),
    "over_treatment_alkali": (WB, {"ph": 12.4, "phenolphthalein_alkalinity": 2.6, "phenolphthalein_alkalinity_mud": 3.2,
                                   "methyl_orange_alkalinity": 3.1, "calcium": 60.0}),
    "over_treatment_soda_ash": (WB, {"calcium": 15.0, CARBONATE: 1400.0, "methyl_orange_alkalinity": 2.9, "phenolphthalein_alkalinity": 0.8,
                                     "ph": 10.1, YP: 18.0, "gel_10_min": 17.0, "carbonate_by_gas_train": 1150.0}),
    "over_treatment_thinner": (WB, {YP: 4.0, "gel_10_s": 1.0, "gel_10_min": 3.0, "gel_30_min": 4.0, "dial_reading_3": 2.0, "dial_reading_6": 3.0}),
    # 5 % of gas takes 0.5 to 0.6 lb/gal off 10 to 12: oilauthority.com/glossary/pressurized-mud-balance
    "gas_cut": (WB, {"mud_density": 11.3, "pressurised_density": 11.95, "density_in": 12.0, "density_out": 11.3, "pit_volume": 807.0, "foam": True}),
    "foam": (WB, {"mud_density": 11.4, "pressurised_density": 12.0, "density_in": 11.4, "density_out": 11.45, "foam": True}),
    # light returns after a stop while the suction is heavy, both balances agree
    "sag": (WB, {"after_trip": True, "density_in": 12.1, "density_out": 11.5, "dial_reading_3": 3.0, "dial_reading_6": 4.0, "gel_10_s": 3.0}),
    # oil/water ratio down, salinity of the water phase down, density down, volume up
    "water_influx": (NA, {OIL_IN_LIQUID: 71.0, "water_fraction": 22.5, "oil_fraction": 55.0, WATER_SALT: 250.0, "mud_density": 12.6,
                          "pressurised_density": 12.6, "density_in": 12.9, "density_out": 12.5, "pit_volume": 940.0, "electrical_stability": 500.0}),
    "hydrogen_sulfide_oil_mud": (NA, {"sulfide": 70.0, "odour_of_sulfide": True, "black_mud": True, LIME: 1.1}),
    # electrical stability down, water in the hot filtrate, yield up. Below 200 to 300 V unstable: oilauthority.com/glossary/emulsion-mud
    "weak_emulsion": (NA, {"electrical_stability": 220.0, "water_in_filtrate": 1.2, "high_pressure_filtrate_volume": 9.0, YP: 19.0, LIME: 0.6}),
    # dull, grainy, sticking; yield up; weight material settles: a university laboratory report for the look
    "water_wet_solids": (NA, {"dull_grainy_look": True, YP: 24.0, PV: 38.0, "electrical_stability": 480.0, "mud_density": 12.7, "sand_fraction": 1.0,
                              "pressurised_density": 12.7, "gel_10_s": 13.0}),
    "drilled_solids_oil_mud": (NA, {PV: 42.0, LOW_GRAVITY: 8.5, SOLIDS: 29.5, "sand_fraction": 1.2}),
    "over_treatment_wetting_agent": (NA, {YP: 6.0, "dial_reading_6": 4.0, "dial_reading_3": 3.0, "gel_10_s": 4.0, "gel_10_min": 6.0}),
}  # fmt: skip


def found(name, without=(), trend=True, **more):
    fluid, pattern = PATTERNS[name]
    check = {k: v for k, v in (of(fluid) | pattern | more).items() if k not in without}
    return diagnose(check, trend_of(of(fluid)).drop(columns=list(without), errors="ignore") if trend else None, fluid=fluid)


@pytest.mark.parametrize("name", PATTERNS)
def test_a_pattern_ranks_its_cause_first(name):
    result = found(name)
    assert result.names[0] == name, "\n".join(f"{h.name} {h.score:.2f}" for h in result.hypotheses[:4])
    assert result[0].score > 0.6
    assert len(result) > 6  # never one verdict
    assert diagnosis.RANKS in str(result)


# What an ordinary daily check does not have.
RARE = ["sulfate", "sulfide", "carbonate_by_gas_train", "density_in", "density_out", "pressurised_density", "shear_strength", "bottom_hole_temperature",
        "flowline_temperature", "formation", CARBONATE, *FLAGS]  # fmt: skip


@pytest.mark.parametrize("name", sorted(set(PATTERNS) - {"foam", "gas_cut"}))
def test_a_daily_check_alone_ranks_its_cause_first(name):
    """Foam and gas cannot be parted without a second balance or a look at the pits."""
    assert found(name, without=RARE).names[0] == name
    assert set(found("foam", without=RARE).names[:2]) == {"foam", "gas_cut"}


def test_every_shipped_rule_has_a_pattern():
    assert {r.name for r in shipped()} == set(PATTERNS)


@pytest.mark.parametrize("fluid", [WB, NA])
def test_a_quiet_check_says_that_nothing_stands_out(fluid):
    result = diagnose(of(fluid), trend_of(of(fluid)), fluid=fluid)
    assert result.summary[0].startswith("Nothing stands out"), result.summary
    assert result[0].score < 0.4


# (right, rival): the readings that part them are in both patterns, so the rival must fall well behind.
CONTRASTS = [
    ("cement", "gypsum"), ("gypsum", "cement"), ("salt", "water_flow"), ("water_flow", "salt"), ("drilled_solids", "reactive_clay"),
    ("reactive_clay", "drilled_solids"), ("reactive_clay", "chemical_flocculation"), ("chemical_flocculation", "reactive_clay"),
    ("chemical_flocculation", "drilled_solids"), ("carbonate", "temperature_gelation"), ("temperature_gelation", "carbonate"),
    ("gas_cut", "foam"), ("foam", "gas_cut"), ("gas_cut", "sag"), ("sag", "gas_cut"), ("weak_emulsion", "water_wet_solids"), ("water_wet_solids", "weak_emulsion"),
    ("bacteria", "polymer_degradation"), ("polymer_degradation", "bacteria"), ("polymer_degradation", "over_treatment_thinner"),
    ("over_treatment_thinner", "polymer_degradation"), ("carbonate", "over_treatment_soda_ash"), ("over_treatment_soda_ash", "carbonate"),
    ("cement", "over_treatment_alkali"), ("over_treatment_alkali", "cement"), ("hydrogen_sulfide", "bacteria"), ("bacteria", "hydrogen_sulfide"),
    ("gas_cut", "water_flow"), ("water_flow", "gas_cut"),
]  # fmt: skip


@pytest.mark.parametrize(("right", "rival"), CONTRASTS)
def test_opposing_patterns_are_told_apart(right, rival):
    result = found(right)
    assert result[right].score - result[rival].score > 0.3, (result[right].score, result[rival].score)


def test_the_reading_that_parts_two_causes_turns_the_order():
    """Cement and gypsum both bring calcium and flocculate; only pH and Pm part them."""
    both = WATER_BASE | {"calcium": 500.0, YP: 22.0, "gel_10_min": 20.0, "filtrate_volume": 10.0}
    trend = trend_of(WATER_BASE)
    up = diagnose(both | {"ph": 11.5, "phenolphthalein_alkalinity_mud": 4.0}, trend, fluid=WB)
    down = diagnose(both | {"ph": 8.8, "phenolphthalein_alkalinity": 0.1}, trend, fluid=WB)
    assert up["cement"].score > up["gypsum"].score and down["gypsum"].score > down["cement"].score
    assert any(s.startswith("pH ") for s in up["gypsum"].evidence_against)


def test_differences_keep_sign_and_limits():
    said = found("sag")["foam"].evidence_against
    assert any(s.startswith("Density out less density in is -0.6 lb/gal; at least -0.1 lb/gal was looked for, at most -0.2 lb/gal speaks") for s in said)


def test_missing_readings_are_told_and_are_not_zero():
    result = found("gypsum", without=["sulfate", "ph"])
    assert result.names[0] == "gypsum"
    assert "pH: no reading." in result["gypsum"].not_known and "Sulfate: no reading." in result["gypsum"].not_known
    assert "ph" in result.decisive and "sulfate" in result.decisive
    for nothing in (None, np.nan, pd.NA):
        again = found("gypsum", ph=nothing, sulfate=nothing)
        assert [h.score for h in again] == [h.score for h in found("gypsum", without=["ph", "sulfate"])]


def test_without_a_trend_only_what_is_absolute_counts():
    result = found("carbonate", trend=False)
    assert result.names[0] == "carbonate"
    changes = ("rises", "falls", "steps_up", "creeps_up", "no_rise", "no_fall", "steady", "changes")
    judged = [f for h in result for f in h.findings if f.outcome in ("for", "against")]
    assert judged and not [f for f in judged if f.evidence.looks_for in changes]
    assert "No trend" in " ".join(result.summary)
    assert any("no trend was given" in s for s in result["carbonate"].not_known)


def test_a_gap_in_the_trend_is_passed_over():
    trend = trend_of(WATER_BASE)
    trend.loc[[1, 5], "calcium"] = np.nan
    result = diagnose(WATER_BASE | PATTERNS["gypsum"][1], trend, fluid=WB)
    assert any("median of 4 checks" in s for s in result["gypsum"].evidence_for if s.startswith("Calcium"))


CONVERTED = {"metric": lutum.metric, "si": lutum.si}


def in_units(values, unit_set):
    """The same check or column in another unit set; flags and words stay."""
    known = {n: o for o in observables().values() for n in (o.name, *o.also)}
    given = {}
    for name, x in values.items():
        o = known.get(name)
        if o is None or o.kind != "number" or o.quantity in ("number", "volume_ratio", "dial_reading"):
            given[name] = x
        else:
            given[name] = units.convert(x, lutum.field.unit(o.quantity), unit_set.unit(o.quantity))
    return given


@pytest.mark.parametrize("unit_set", CONVERTED)
@pytest.mark.parametrize("name", PATTERNS)
def test_unit_sets_give_the_same_ranking(name, unit_set):
    fluid, pattern = PATTERNS[name]
    there = CONVERTED[unit_set]
    trend = trend_of(of(fluid))
    other = diagnose(in_units(of(fluid) | pattern, there), pd.DataFrame(in_units(trend, there)), fluid=fluid, units=there)
    here = found(name)
    assert other.names == here.names
    assert [h.score for h in other] == pytest.approx([h.score for h in here])
    if unit_set == "metric" and name == "gas_cut":
        assert "kg/m3" in str(other) and "lb/gal" not in re.sub("takes 0.5 to 0.6 lb/gal", "", str(other))


def test_a_threshold_met_exactly_counts_in_every_set():
    trend = pd.DataFrame({"mud_density": [12.0, 12.0, 12.0]})
    for there in (lutum.field, lutum.metric, lutum.si):
        check, before = in_units({"mud_density": 11.8}, there), pd.DataFrame(in_units(trend, there))
        assert diagnose(check, before, fluid=WB, units=there)["water_flow"].evidence_for, there


@pytest.mark.parametrize("name", ["salt", "weak_emulsion"])
def test_order_changes_nothing(name):
    fluid, pattern = PATTERNS[name]
    check = of(fluid) | pattern
    trend = trend_of(of(fluid))
    first = str(diagnose(check, trend, fluid=fluid))
    shuffler = random.Random(3)
    for _ in range(3):
        keys, rules = list(check), list(shipped())
        shuffler.shuffle(keys)
        shuffler.shuffle(rules)
        rules = [replace(r, evidence=tuple(shuffler.sample(r.evidence, len(r.evidence)))) for r in rules]
        again = diagnose({k: check[k] for k in keys}, trend[sorted(trend.columns)], fluid=fluid, rules=Rules(tuple(rules)))
        assert str(again) == first


WELL_CONTROL = {"water_flow", "water_influx", "hydrogen_sulfide", "hydrogen_sulfide_oil_mud", "gas_cut", "foam", "sag", "carbonate",
                "bacteria", "magnesium"}  # fmt: skip


@pytest.mark.parametrize("name", sorted(WELL_CONTROL))
def test_well_control_always_carries_the_safety_line(name):
    result = found(name)
    assert result[name].safety == SAFETY and SAFETY in str(result[name])
    for text in (str(result), result.markdown()):
        assert text.index(SAFETY) < text.index(result[name].title)
    assert result.safety == SAFETY and "Well control first" in result._repr_html_()
    for words in ("Local codes", "licensed practice", "Check flow and gas before anything else", "do not treat"):
        assert words in SAFETY


def test_no_other_hypothesis_cries_wolf():
    assert {r.name for r in shipped() if r.well_control} == WELL_CONTROL
    assert found("drilled_solids").safety == "" and found("drilled_solids", without=RARE).safety == ""
    assert all(h.safety == "" for h in found("drilled_solids") if h.name not in WELL_CONTROL)


def test_a_flow_behind_salt_is_shown_though_it_ranks_low():
    """A gain of 30 bbl with salt: whatever ranks first, the note shows the flow and the safety line."""
    result = found("salt", pit_volume=830.0)
    assert result.safety and "formation-water flow" in str(result).lower()


def test_frame_and_texts():
    result = found("gypsum")
    frame = result.frame()
    assert list(frame["rank"]) == sorted(frame["rank"])
    first = frame[frame["hypothesis"] == "gypsum"]
    weights = sum(f.evidence.weight for f in result["gypsum"].findings if f.outcome in ("for", "against"))
    assert first["points"].sum() == pytest.approx(sum(f.points for f in result["gypsum"].findings)) and weights > 0
    assert set(frame["outcome"]) <= {"for", "against", "says nothing", "unknown"}
    assert set(frame["mark"]) <= {"seen", "derived", "from memory", "common practice, no source"}
    assert result.markdown().count("###") == 4 and "<details open>" in result._repr_html_()
    assert "<" not in re.sub(r"</?(p|strong|em|ul|li|br|details( open)?|summary)>", "", result._repr_html_())


class Check:
    """An object as a mud check is: values() gives name to value."""

    def __init__(self, given):
        self.given = given

    def values(self):
        return dict(self.given)


def test_checks_of_every_kind():
    fluid, pattern = PATTERNS["cement"]
    check, trend = of(fluid) | pattern, trend_of(of(fluid))
    whole = pd.concat([trend, pd.DataFrame([check])], ignore_index=True)
    expected = [h.score for h in diagnose(check, trend, fluid=fluid)]
    rows = [dict(row) for _, row in trend.iterrows()]
    for given, before in [(Check(check), trend), (whole.iloc[-1], whole.iloc[:-1]), (check, rows), (check, trend.to_dict("list"))]:
        assert [h.score for h in diagnose(given, before, fluid=fluid)] == expected
    itself = diagnose(whole.iloc[-1], whole, fluid=fluid)
    assert [h.score for h in itself] == expected and "is this check itself" in itself.notes[0]


def test_amounts_are_named_for_ions_to_be_taken_out():
    for name in ("gypsum", "cement", "magnesium", "carbonate", "hydrogen_sulfide"):
        assert shipped()[name].amount and all(a.startswith("treatment.") for a in shipped()[name].amount)
        assert "efficiency and water fraction" in str(found(name)[name])
