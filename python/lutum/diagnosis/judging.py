"""One evidence held against the readings: for, against, or not known, with a sentence that carries the numbers."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from .loading import CHANGES, Evidence
from .observing import Observable, Readings, big, convert, convert_step, with_unit

__all__ = ["AGAINST", "FOR", "SILENT", "UNKNOWN", "WINDOW", "Finding", "judge"]

FOR, AGAINST, SILENT, UNKNOWN = "for", "against", "says nothing", "unknown"
WINDOW = 5  # checks that make up what was before
SCATTER = 2.0  # times the scatter of the trend, below which a change is none
ROUND_OFF = 1e-9
STAYS = ("steady", "no_rise", "no_fall")
GAUSS = 1.4826  # median absolute deviation to standard deviation


@dataclass(frozen=True, slots=True)
class Finding:
    """An evidence with its outcome. `missing`: names of the readings that would decide. `trend`: a trend is what is missing."""

    evidence: Evidence
    outcome: str
    sentence: str
    missing: tuple[str, ...] = ()
    trend: bool = False

    def __str__(self) -> str:
        return self.sentence

    @property
    def points(self) -> float:
        """What it adds to the score's sum."""
        return {FOR: self.evidence.weight, AGAINST: -self.evidence.contrary_weight}.get(self.outcome, 0.0)


def judge(evidence: Evidence, check: Readings, trend: Readings | None) -> Finding:
    """Holds an evidence against the check and, where it is about a change, the trend."""
    seen = evidence.seen()
    if seen.kind == "flag":
        return _flag(evidence, seen, check)
    if seen.kind == "text":
        return _text(evidence, seen, check)
    now = float(_values(evidence, check)[0])
    if np.isnan(now):
        lacking = _lacking(evidence, check)
        words = " and ".join(o.words for o in lacking) or f"{seen.words} over {_other(evidence).words} of nothing"
        return Finding(evidence, UNKNOWN, f"{big(words)}: no reading.", tuple(o.name for o in lacking))
    if evidence.looks_for in CHANGES:
        return _change(evidence, now, check, trend)
    return _level(evidence, now, check)


def _other(evidence: Evidence) -> Observable:
    other = evidence.other()
    assert other is not None
    return other


def _lacking(evidence: Evidence, check: Readings) -> list[Observable]:
    both = [evidence.seen(), *([_other(evidence)] if evidence.other() else [])]
    return [o for o in both if np.isnan(check.numbers(o, _unit(evidence, o, check))[-1])]


def _unit(evidence: Evidence, observable: Observable, readings: Readings) -> str:
    """Unit in which the evidence is judged; a ratio in that of the set."""
    return evidence.unit if not evidence.over else observable.unit_in(readings.unit_set)


def _values(evidence: Evidence, readings: Readings) -> Any:
    """What is looked at, every row, in the unit of the evidence."""
    seen = evidence.seen()
    values = readings.numbers(seen, _unit(evidence, seen, readings))
    if not evidence.minus and not evidence.over:
        return values
    other = readings.numbers(_other(evidence), _unit(evidence, seen, readings))
    if evidence.minus:
        return values - other
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where((other == 0) & (values == 0), np.nan, values / other)


def _change(evidence: Evidence, now: float, check: Readings, trend: Readings | None) -> Finding:
    """Change against the median of the last checks; the threshold is never below their scatter or the reading's resolution."""
    show = _Shown(evidence, check, now)
    past = np.empty(0) if trend is None else _values(evidence, trend)
    past = past[np.isfinite(past)][-WINDOW:]
    if not len(past):
        reason = "no trend was given" if trend is None else "the trend has no reading of it"
        return Finding(evidence, UNKNOWN, f"{show.value(now)}, but {reason}: its change is not known.", (evidence.observable,), True)
    if not np.isfinite(now):
        return Finding(evidence, UNKNOWN, f"{show.value(now)}: its change cannot be told.", (evidence.observable,), True)
    before = float(np.median(past))
    asked = max(evidence.by, evidence.by_percent / 100 * abs(before))
    floor, why = _floor(evidence, before, past, check)
    threshold = max(asked, floor)
    change, last = now - before, now - float(past[-1])
    text = (
        f"{show.value(now)}, {show.bare(before)} before ({'median of ' if len(past) > 1 else ''}{len(past)} "
        f"check{'s' if len(past) > 1 else ''}): {show.step(change)}; "
        f"{_asked(evidence.looks_for)} {show.threshold(threshold / 2 if evidence.looks_for in STAYS else threshold)}{why if floor > asked else ''}"
    )
    outcome = _outcome_of_change(evidence.looks_for, change, last, threshold)
    return _told(evidence, outcome, text)


def _outcome_of_change(looks_for: str, change: float, last: float, threshold: float) -> str:
    full, half = threshold * (1 - ROUND_OFF), threshold / 2
    if looks_for in STAYS:
        moved = {"steady": abs(change), "no_rise": change, "no_fall": -change}[looks_for]
        return FOR if moved <= half * (1 + ROUND_OFF) else AGAINST if moved >= full else SILENT
    if looks_for == "changes":
        return FOR if abs(change) >= full else AGAINST if abs(change) <= half * (1 + ROUND_OFF) else SILENT
    sign = 1.0 if looks_for in ("rises", "steps_up", "creeps_up") else -1.0
    moved, lately = sign * change, sign * last
    if moved <= half * (1 + ROUND_OFF):
        return AGAINST
    if moved < full:
        return SILENT
    if looks_for.startswith("steps"):
        return FOR if lately >= moved / 2 * (1 - ROUND_OFF) else SILENT
    if looks_for.startswith("creeps"):
        return FOR if lately < moved / 2 * (1 - ROUND_OFF) else SILENT
    return FOR


def _floor(evidence: Evidence, before: float, past: Any, check: Readings) -> tuple[float, str]:
    """Scatter from successive differences, so that a drift is no scatter; and the resolution of what is read."""
    steps = np.diff(past)
    scatter = GAUSS * float(np.median(np.abs(steps - np.median(steps)))) / np.sqrt(2.0) if len(steps) > 1 else 0.0
    resolution = 0.0
    if not evidence.over:
        both = [evidence.seen(), *([_other(evidence)] if evidence.minus else [])]
        each = [
            convert_step(o, o.resolution, o.unit, evidence.unit) if o.resolution else o.resolution_percent / 100 * abs(before) for o in both
        ]
        resolution = float(np.hypot.reduce(each)) if len(each) > 1 else each[0]
    if SCATTER * scatter > resolution:
        return SCATTER * scatter, ", two times the scatter of the trend"
    return resolution, ", the resolution of the reading"


def _level(evidence: Evidence, now: float, check: Readings) -> Finding:
    show = _Shown(evidence, check, now)
    assert evidence.limit is not None
    sign = 1.0 if evidence.looks_for == "above" else -1.0
    contrary = evidence.limit if evidence.against_limit is None else evidence.against_limit
    room = ROUND_OFF * max(abs(evidence.limit), abs(contrary))
    outcome = FOR if sign * (now - evidence.limit) >= -room else AGAINST if sign * (now - contrary) <= room else SILENT
    asked, opposed = ("at least", "at most") if sign > 0 else ("at most", "at least")
    limits = f"{asked} {show.limit(evidence.limit)} was looked for"
    if contrary != evidence.limit:
        limits += f", {opposed} {show.limit(contrary)} speaks against it"
    return _told(evidence, outcome, f"{show.value(now)}; {limits}")


def _told(evidence: Evidence, outcome: str, text: str) -> Finding:
    if outcome == AGAINST and evidence.contrary_weight == 0:
        outcome = SILENT
    if outcome == FOR:
        return Finding(evidence, FOR, f"{text}. {evidence.sentence}")
    if outcome == AGAINST:
        return Finding(evidence, AGAINST, f"{text}. {evidence.contrary}")
    if evidence.contrary_weight == 0:
        return Finding(evidence, SILENT, f"{text}. {evidence.contrary}")
    return Finding(evidence, SILENT, f"{text}: neither for nor against.")


def _flag(evidence: Evidence, seen: Observable, check: Readings) -> Finding:
    is_set, word = check.flag(seen)
    if is_set is None:
        return Finding(evidence, UNKNOWN, f"{big(seen.words)}: nothing was said.", (seen.name,))
    text = f"{big(seen.words)}: {word or ('yes' if is_set else 'no')}"
    return _told(evidence, FOR if is_set == (evidence.looks_for == "is_set") else AGAINST, text)


def _text(evidence: Evidence, seen: Observable, check: Readings) -> Finding:
    written = check.word(seen)
    if written is None or not str(written).strip():
        return Finding(evidence, UNKNOWN, f"{big(seen.words)}: nothing was said.", (seen.name,))
    hit = any(w.lower() in str(written).lower() for w in evidence.words)
    return _told(evidence, FOR if hit else AGAINST, f"{big(seen.words)}: {written}")


def _asked(looks_for: str) -> str:
    how = {
        "rises": "a rise of at least", "falls": "a fall of at least", "steps_up": "a step up of at least",
        "steps_down": "a step down of at least", "creeps_up": "a slow rise of at least", "creeps_down": "a slow fall of at least",
        "steady": "a change of at most", "no_rise": "no rise beyond", "no_fall": "no fall beyond",
        "changes": "a change either way of at least",
    }  # fmt: skip
    return f"looked for {how[looks_for]}"


class _Shown:
    """Numbers of an evidence in the units of the reader, to a tenth of what the reading can tell."""

    def __init__(self, evidence: Evidence, check: Readings, now: float) -> None:
        self.evidence, self.seen = evidence, evidence.seen()
        self.unit = "" if evidence.over else self.seen.unit_in(check.unit_set)
        fine = convert_step(self.seen, self.seen.resolution, self.seen.unit, self.unit) if self.seen.resolution and not evidence.over else 0.0
        fine = fine or self.seen.resolution_percent / 100 * abs(self._mine(now))
        self.places = max(0, int(np.ceil(-np.log10(fine))) + 1) if 0 < fine < np.inf else 3

    def _mine(self, x: float) -> float:
        """A value in the reader's unit; a difference has no zero point."""
        if self.evidence.over:
            return x
        if self.evidence.minus:
            return convert_step(self.seen, x, self.evidence.unit, self.unit)
        return float(convert(self.seen, x, self.evidence.unit, self.unit))

    def _step(self, x: float) -> float:
        return x if self.evidence.over else convert_step(self.seen, x, self.evidence.unit, self.unit)

    def bare(self, x: float) -> str:
        return self._text(self._mine(x))

    def limit(self, x: float) -> str:
        return self._exact(self._mine(x), 4)

    def threshold(self, x: float) -> str:
        return self._exact(self._step(x), 3)

    def value(self, x: float) -> str:
        """The reading with its name; a ratio to nothing is said so."""
        name = big(self.seen.words)
        if self.evidence.over:
            other = _other(self.evidence).words
            return f"{name} with {other} of 0: beyond any ratio" if np.isinf(x) else f"{name} over {other} is {self.bare(x)}"
        if self.evidence.minus:
            return f"{name} less {_other(self.evidence).words} is {self.bare(x)}"
        return f"{name} {self.bare(x)}"

    def step(self, x: float) -> str:
        size = self._text(abs(self._step(x)))
        return "no change" if size.split()[0] == "0" else f"{'up' if x > 0 else 'down'} {size}"

    def _text(self, x: float) -> str:
        text = f"{x:,.{self.places}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return with_unit("0" if text == "-0" else text, self.unit)

    def _exact(self, x: float, figures: int) -> str:
        return with_unit(f"{float(f'{x:.{figures}g}'):,.10g}", self.unit)
