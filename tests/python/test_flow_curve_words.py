"""What flow curves say of themselves: labels, sentences, texts and tables, in the units asked for."""

import math
import pickle

from lutum import metric, si, unit_set
from lutum.flow_curve import compare, fit, many
from lutum.flow_curve.telling import MEANINGS, WORTH

DIAL = {600: 65, 300: 40, 200: 31, 100: 21, 6: 8, 3: 7}
BAD = {600: 65, 300: 40, 200: 31, 100: 27.0, 60: 16.5, 30: 12.4, 6: 8, 3: 7}


def test_what_is_missing_is_not_printed():
    speeds, stresses = fit(DIAL | {200: None}), fit(shear_rate=[10.0, 100, 300, 500, 700, math.nan], shear_stress=[4.0, math.nan, 9, 11, 13, 14])
    assert list(speeds.why_not_used) == ["the reading at 200 r/min"]
    assert list(stresses.why_not_used) == ["the reading at 100 1/s", "the reading at unknown rate, 14 lb/100 ft2"]
    own = fit(DIAL, units=unit_set("metric", shear_rate="1/min"), rate_range=(0.0, 36000.0))
    rates = fit(shear_rate=[60.0, 6000, 12000], shear_stress=[4.0, math.nan, 9.0], model="bingham", units=own.units)
    assert list(rates.why_not_used) == [f"the reading at 6000 {own.units.unit('shear_rate')}"]
    assert list(own.why_not_used.values()) == [f"outside the rate range, 0 to 36000 {own.units.unit('shear_rate')}"]
    for failed in (fit({600: 65, 300: 40}), fit(dict.fromkeys(DIAL, 20))):
        for text in (failed.as_text(), failed._repr_html_()):
            assert "nan" not in text and "±" not in text and "freedom" not in text and failed.status in text
    assert "yield_stress" in failed.as_text()  # of a flat curve the stress is known
    assert "3 degrees of freedom" in fit(DIAL).as_text() and "±" in fit(DIAL)._repr_html_()


def test_the_sentence_stands_on_lines_of_its_own():
    curve = fit(BAD)
    lines = curve.as_text().splitlines()
    assert curve.sentence == "; ".join(line.strip() for line in lines[-3:]) and lines[-2].startswith("  yield_stress is known to")


def test_every_status_has_a_meaning_and_a_worth():
    assert WORTH.keys() == MEANINGS.keys() and all(w.curve for w in WORTH.values() if w.parameters or w.sound)
    assert {v.name for v in si.rheology.yield_power_law_fit.verdicts} == many.STATUS_OF.keys()
    assert set(many.STATUS_OF.values()) <= MEANINGS.keys()
    assert fit(DIAL).is_identifiable and not fit({600: 65, 300: 40, 3: 7}).is_identifiable and not fit({600: 65}).is_identifiable


def test_a_band_says_its_unit():
    band = fit(DIAL).band(170.0)
    assert repr(band) == "<Band: stress 22.02, from 21.41 to 22.64 lb/100 ft2>" and band == tuple(band) and pickle.loads(pickle.dumps(band)).unit == band.unit
    stress, low, high = band
    assert low < stress < high and band.high == high and "[" in repr(fit(DIAL, units=metric).band([10.0, 20.0])) and repr(fit({600: 1}).band(1.0)).count("nan") == 3


def test_comparison_as_text():
    compared = compare(DIAL)
    lines = compared.as_text().splitlines()
    assert max(map(len, lines)) <= 120 and all(lines) and lines[0].split()[0] == "model" and "(lb/100 ft2)²" in lines[1]
    casson = next(line for line in lines if line.startswith("Casson"))
    assert casson.split()[1:5] == ["0.1813", "0.9995", "0.41", "fitted"] and casson.endswith("yield_stress 5.184 lb/100 ft2,")
    assert "inf" not in compared.as_text() and "too few readings for 4 parameters" in compared._repr_html_() and "\N{NO-BREAK SPACE}" not in compared.as_text()
    assert repr(compared) == "<Comparison of 10 models: Casson by the corrected Akaike criterion, Heinz-Casson by the leave-one-out error>"
    evidence = compared.best_by("akaike").evidence
    assert "weight of Casson 0.9995; next Heinz-Casson 0.0005, Sisko < 0.0001" in evidence and "2 could not be judged: too few readings;" in evidence
    assert "could not be judged" not in compared.best_by("leave_one_out").evidence
