"""A titration as a record: the end point by the standard's rule, how well it is known, and every reason against it."""

import math
import pickle
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import lutum
from lutum import titration
from lutum.titration import Increment, MudSample, Preparation, Reagents, SolidsSample, Spot, Titration

few = settings(max_examples=50, deadline=None)
WELL_DONE = (Reagents(peroxide_volume=15.0), Preparation(boiled_minutes=10.0, boiled_dry=False))


def made(spots, sample=None, reagents=WELL_DONE[0], preparation=WELL_DONE[1]):
    return Titration(sample or MudSample(2.0, organics=True), spots, reagents, preparation)


def carried_out(true_end, step, last=10.0, **others):
    """A titration of a mud that takes up `true_end` mL: the halo holds from the first volume that reaches it."""
    volumes = [step * (i + 1) for i in range(math.ceil(last / step))]
    spots = []
    for volume in volumes:
        spots.append((volume, "halo held" if volume >= true_end else "no halo"))
        if volume >= true_end:
            break
    return made(spots, **others)


def names(outcome):
    return [reason.name for reason in outcome.reasons]


def told(outcome, name):
    (sentence,) = [reason.sentence for reason in outcome.reasons if reason.name == name]
    return sentence


def test_the_end_point_is_the_first_halo_that_holds():
    record = made([(3.0, "no halo"), (3.5, "halo gone after two minutes"), (4.0, "halo held"), (4.5, "halo held")])
    assert record.end_point == (3.5, 4.0, True, 2)
    outcome = record.result("field")
    assert outcome.acceptable and outcome.reasons == ()
    assert outcome.end_point.reported == 4.0 and outcome.end_point.unit == "mL"
    assert outcome.capacity.reported == pytest.approx(2.0, rel=1e-12)
    assert outcome.bentonite_equivalent.reported == pytest.approx(10.0, rel=1e-12)


def test_half_a_millilitre_on_two_is_a_step_of_one_and_a_quarter_pounds():
    """1.25 lb/bbl a step, one-sided: rectangular, 0.36 lb/bbl about a centre half a step lower."""
    outcome = carried_out(8.0, 0.5).result("field")
    e = outcome.bentonite_equivalent
    assert (e.lowest, e.highest, e.reported) == pytest.approx((18.75, 20.0, 20.0), rel=1e-12)
    assert e.centre == pytest.approx(19.375, rel=1e-12)
    assert e.standard_uncertainty == pytest.approx(1.25 / math.sqrt(12), rel=1e-12)
    assert outcome.end_point.standard_uncertainty == pytest.approx(0.1443376, rel=1e-6)


def test_numbers_come_in_the_unit_set_asked_for():
    record = carried_out(4.0, 0.5)
    metric, si = record.result("metric"), record.result("si")
    mine = record.result(lutum.unit_set("metric", bench_volume="L", concentration="lb/bbl"))
    assert metric.bentonite_equivalent.reported == pytest.approx(28.5301017, rel=1e-8)
    assert metric.bentonite_equivalent.unit == "kg/m3"
    assert (si.end_point.reported, si.end_point.unit) == (pytest.approx(4e-6, rel=1e-12), "m3")
    assert si.capacity.standard_uncertainty == pytest.approx(2.5 / math.sqrt(12), rel=1e-12)
    assert (mine.end_point.reported, mine.end_point.unit) == (pytest.approx(0.004, rel=1e-12), "L")
    assert mine.bentonite_equivalent.standard_uncertainty == pytest.approx(1.25 / math.sqrt(12), rel=1e-12)


@few
@given(st.floats(0.01, 9.9), st.sampled_from([0.1, 0.2, 0.25, 0.5, 1.0]), st.floats(0.5, 5.0))
def test_the_true_end_point_lies_in_the_interval(true_end, step, mud):
    outcome = carried_out(true_end, step, sample=MudSample(mud)).result("si")
    e = outcome.end_point
    assert e.lowest < true_end * 1e-6 <= e.highest * (1 + 1e-12)
    true_capacity = 10.0 * true_end / mud
    c = outcome.capacity
    assert c.lowest * (1 - 1e-12) <= true_capacity <= c.highest * (1 + 1e-12)
    assert c.highest - c.lowest == pytest.approx(10.0 * step / mud, rel=1e-9)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from([0.2, 0.5, 1.0]), st.floats(0.5, 5.0))
def test_the_uncertainty_is_that_of_a_simulation(number, step, mud):
    """True end points placed uniformly; of those reported alike, mean and spread are what the record says."""
    rng = np.random.default_rng(number)
    true_end = rng.uniform(0.0, 10.0, 200_000)
    reported = np.ceil(true_end / step) * step
    place = rng.choice(reported)
    alike = true_end[np.abs(reported - place) < 1e-9]
    outcome = carried_out(float(place) - 0.3 * step, step, sample=MudSample(mud)).result("metric")
    assert outcome.end_point.reported == pytest.approx(place, rel=1e-12)
    error = 5.0 * alike.std() / math.sqrt(len(alike))
    assert outcome.end_point.centre == pytest.approx(alike.mean(), abs=error)
    assert outcome.end_point.standard_uncertainty == pytest.approx(alike.std(), rel=0.05)
    capacity = alike / mud  # 0.01 meq/mL: mL/mL is meq/100 mL
    assert outcome.capacity.centre == pytest.approx(capacity.mean(), abs=error / mud)
    assert outcome.capacity.standard_uncertainty == pytest.approx(capacity.std(), rel=0.05)
    equivalent = 5.0 * 2.85301017 * capacity
    assert outcome.bentonite_equivalent.standard_uncertainty == pytest.approx(equivalent.std(), rel=0.05)


@few
@given(st.lists(st.floats(0.05, 9.9), min_size=2, max_size=2), st.floats(0.005, 0.02))
def test_more_clay_never_reads_less(ends, strength):
    less, more = sorted(ends)
    a, b = (carried_out(end, 0.5, reagents=Reagents(strength, peroxide_volume=15.0)).result("si") for end in (less, more))
    for x, y in zip(a.estimates, b.estimates):
        assert x.reported <= y.reported and x.centre <= y.centre


def test_solids_are_told_by_their_dry_mass():
    record = made([(11.5, "no halo"), (12.0, "halo held")], SolidsSample(1.0, moisture=0.04, source="cuttings, 2,150 m", organics=False))
    outcome = record.result("field")
    assert outcome.acceptable and "cuttings, 2,150 m" in str(outcome)
    assert outcome.capacity.reported == pytest.approx(12.5, rel=1e-12) and outcome.capacity.unit == "meq/100 g"
    assert outcome.capacity.standard_uncertainty == pytest.approx(0.5 / 0.96 / math.sqrt(12), rel=1e-12)
    assert outcome.bentonite_equivalent.reported == pytest.approx(17.831313588823903, rel=1e-12)


def test_a_halo_that_was_not_confirmed():
    outcome = made([(3.0, "no halo"), (3.5, "halo"), (4.0, "halo")]).result("field")
    assert not outcome.acceptable and names(outcome) == ["no_confirmation"]
    assert outcome.bentonite_equivalent.reported == pytest.approx(8.75), "the number is still given"
    sentence = told(outcome, "no_confirmation")
    assert "increments[1].spot" in sentence and "3.5 mL" in sentence and "2 min" in sentence and "spot again" in sentence


def test_a_confirmation_left_out_on_the_way_widens_the_interval():
    outcome = made([(3.0, "no halo"), (3.5, "halo"), (4.0, "halo held")]).result("field")
    assert (outcome.end_point.lowest, outcome.end_point.reported) == (3.0, 4.0)
    assert outcome.end_point.standard_uncertainty == pytest.approx(1.0 / math.sqrt(12))
    assert names(outcome) == ["skipped_confirmation", "coarse_increment"]
    assert "from 3 to 4 mL" in told(outcome, "skipped_confirmation")


def test_an_end_point_not_reached_is_a_lower_bound():
    outcome = made([(5.0, "no halo"), (5.5, "halo gone after two minutes")]).result("field")
    assert not outcome.acceptable and names(outcome) == ["no_end_point"]
    assert math.isnan(outcome.capacity.reported) and outcome.bentonite_equivalent.lowest == pytest.approx(13.75)
    assert "more than 13.75 lb/bbl" in str(outcome) and "5.5 mL" in told(outcome, "no_end_point")


def test_a_coarse_increment_is_told_in_the_units_of_the_set():
    record = made([(4.0, "no halo"), (4.5, "halo held")], MudSample(1.0, organics=True))
    assert names(record.result("field")) == ["coarse_increment"]
    assert "2.5 lb/bbl" in told(record.result("field"), "coarse_increment") and "1.25 lb/bbl" in told(record.result("field"), "coarse_increment")
    assert "7.133 kg/m3" in told(record.result("metric"), "coarse_increment")
    assert "steps of 0.25 mL" in told(record.result("field"), "coarse_increment")
    fine = made([(4.0, "no halo"), (4.25, "halo held")], MudSample(1.0, organics=True))
    assert fine.result("field").acceptable


@pytest.mark.parametrize(("end", "refused"), [(1.5, True), (2.0, False), (10.0, False), (10.5, True)])
def test_dye_used_outside_two_to_ten_millilitres(end, refused):
    outcome = carried_out(end, 0.5, last=20.0).result("field")
    assert ("dye_outside_range" in names(outcome)) is refused
    if refused:
        sentence = told(outcome, "dye_outside_range")
        assert f"{end:g} mL" in sentence and "2 to 10 mL (from memory)" in sentence and f"about {2.0 * 6.0 / end:.2g} mL of mud" in sentence


def test_preparation_speaks_against_a_titration():
    spots = [(3.5, "no halo"), (4.0, "halo held")]
    assert names(made(spots, preparation=Preparation(10.0, True)).result()) == ["boiled_dry"]
    short = made(spots, preparation=Preparation(4.0, False)).result()
    assert names(short) == ["short_boil"] and "4 min is below 10 min" in told(short, "short_boil") and not short.acceptable
    without = made(spots, reagents=Reagents(peroxide_volume=0.0)).result()
    assert names(without) == ["no_peroxide"] and "= 0 mL" in told(without, "no_peroxide") and not without.acceptable
    no_organics = made(spots, MudSample(2.0, organics=False), reagents=Reagents(peroxide_volume=0.0)).result()
    assert no_organics.acceptable and names(no_organics) == []


def test_what_is_not_recorded_is_a_note_and_not_a_zero():
    outcome = Titration(MudSample(2.0), [(3.5, "no halo"), (4.0, "halo held")]).result()
    assert outcome.acceptable and names(outcome) == ["not_recorded"]
    for name in ("preparation.boiled_minutes", "preparation.boiled_dry", "reagents.peroxide_volume", "sample.organics"):
        assert name in told(outcome, "not_recorded")
    organic = Titration(MudSample(2.0, organics=True), [(3.5, "no halo"), (4.0, "halo held")]).result()
    assert not organic.acceptable and "is not recorded" in told(organic, "no_peroxide")


def test_volumes_that_do_not_increase():
    outcome = made([(3.0, "no halo"), (3.0, "no halo"), (3.5, "halo held")]).result()
    assert names(outcome) == ["volumes_do_not_increase"] and outcome.capacity.reported == pytest.approx(1.75)
    assert "increments[1].dye_volume = 3 mL" in told(outcome, "volumes_do_not_increase")
    fallen = made([(4.0, "no halo"), (3.5, "halo held")]).result()
    assert fallen.capacity.reported == pytest.approx(1.75) and math.isnan(fallen.capacity.standard_uncertainty)
    assert not fallen.acceptable


def test_a_halo_that_is_lost_later_contradicts():
    outcome = made([(3.5, "no halo"), (4.0, "halo held"), (4.5, "no halo")]).result()
    assert names(outcome) == ["halo_lost_later"] and "4.5 mL contradicts the halo held at 4 mL" in told(outcome, "halo_lost_later")


def test_findings_of_the_calculation_are_told_too():
    outcome = made([(3.5, "no halo"), (4.0, "halo held")], reagents=Reagents(0.0085, peroxide_volume=15.0)).result()
    assert outcome.acceptable and "0.0085 meq/mL is outside the range shown to hold" in told(outcome, "dye_strength")


def test_dye_from_its_powder():
    reagents = Reagents.from_powder(dye_mass=3.2, moisture=0.12, peroxide_volume=15.0)
    assert reagents.dye_strength == pytest.approx(0.01 * 3.2 * 0.88 / 3.19851, rel=1e-12)
    assert (reagents.dye_moisture, reagents.peroxide_volume) == (0.12, 15.0)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (lambda: MudSample(0.0), "sample: volume = 0 mL is not more than 0 mL"),
        (lambda: SolidsSample(1.0, moisture=5.0), "sample: moisture = 5 is not from 0 to below 1"),
        (lambda: Reagents(-0.01), "reagents: dye_strength = -0.01 meq/mL"),
        (lambda: Increment(math.nan, Spot.HALO), "increment: dye_volume = nan mL"),
        (lambda: Increment(1.0, "halo?"), "spot 'halo\\?' is unknown; say 'no halo', 'halo', 'halo gone after two minutes', 'halo held'"),
        (lambda: Preparation(-1.0), "boiled_minutes = -1 min"),
        (lambda: Titration(MudSample(2.0), []), "no increments"),
        (lambda: titration.procedure("oil"), "procedure 'oil' is unknown; there are mud and solids"),
        (lambda: made([(1.0, "halo held")], MudSample(5000.0)).result(), "sample_volume = 5000 mL is outside its limit"),
    ],
)
def test_wrong_records_are_refused_with_a_sentence(wrong, sentence):
    with pytest.raises(ValueError, match=sentence):
        wrong()


@pytest.mark.parametrize("name", ["mud", "solids"])
def test_the_procedure_sheet_carries_its_cautions_and_sources(name):
    sheet = titration.procedure(name)
    for text in (str(sheet), sheet._repr_markdown_()):
        for part in ("hydrogen sulfide", "oggles, gloves and a fume hood", "the acid slowly", "never dry", "cool before diluting", "Local rules"):
            assert part in text
        for step in sheet.steps:
            assert step in text and "{" not in step
        for variant in sheet.variants:
            assert variant.differs in text and variant.source in text
    marks = {"seen", "derived", "from memory", "common practice, no source"}
    assert {x.mark for x in (*sheet.amounts.values(), *sheet.variants, *sheet.cautions)} <= marks
    assert sheet.variants and sheet.amounts["increment"] == (0.5, "mL", sheet.amounts["increment"].mark)


def test_amounts_of_the_mud_procedure():
    """As an operator's drilling-fluids manual prints them."""
    printed = {"sample": 2.0, "water": 10.0, "peroxide": 15.0, "acid": 0.5, "acid_strength": 5.0, "boil": 10.0, "dilute_to": 50.0, "swirl": 30.0}
    amounts = titration.procedure("mud").amounts
    assert {name: amounts[name].value for name in printed} == printed


def test_a_record_can_be_printed_and_kept():
    record = made([(3.5, "no halo"), (4.0, "halo held")], MudSample(2.0, source="pit <3>", organics=False))
    assert "4.00  halo held" in str(record) and "pit <3>" in str(record)
    outcome = record.result()
    assert "pit &lt;3&gt;" in outcome._repr_html_() and "<b>acceptable</b>" in outcome._repr_html_()
    assert pickle.loads(pickle.dumps(record)) == record
    assert record.increments[0] == Increment(3.5, Spot.NO_HALO)


def test_the_example_of_the_package():
    import doctest

    assert doctest.testmod(titration).failed == 0 and doctest.testmod(titration).attempted == 3


def test_an_import_brings_no_pandas():
    code = "import sys; from lutum import titration; print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "lutum.titration" in run.stdout.split() and not {"pandas", "scipy"} & set(run.stdout.split())
