"""Holds every rule against a check and ranks the hypotheses."""

from collections import Counter
from typing import Any

import numpy as np

from .judging import AGAINST, FOR, UNKNOWN, Finding, judge
from .loading import FLUIDS, Rule, Rules, shipped
from .observing import Readings, find, is_missing, set_of, strangers
from .report import CLOSE, SAFETY, STANDS_OUT, Diagnosis, Hypothesis, small

__all__ = ["diagnose"]

DOUBT = 0.5  # share of what is not known that counts in the divisor of the score
LEADERS = 3


def diagnose(check: Any, trend: Any = None, *, fluid: str, units: Any = None, rules: Rules | None = None) -> Diagnosis:
    """Ranked hypotheses for what a check and the recent trend show.

    `check`: name to value: a mapping, a row of a frame, or an object whose `.values()` gives one; names as in a mud check, derived
    values as `area.calculation.result`. What was seen goes in beside them: `check.values() | {"foam": True, "formation": "halite"}`.
    `trend`: the checks before it, oldest first: a frame with the same names, or a list of checks. Missing is not zero.
    `fluid`: "water_base" or "non_aqueous". `units`: the unit set of the values, `lutum.field` unless given. `rules`: `shipped()` unless
    given.

    Change is measured against the median of the last five checks that have the reading. It counts from the largest of: what the rule
    asks for, twice the scatter of the trend, and the resolution of the reading. The scatter is the median absolute deviation of the
    differences from check to check (times 1.4826, over the root of two), so that a slow drift is no scatter. Up to half of that a change speaks
    against the rule, in between for neither. A step has half of the change or more since the last check, a creep less. Without a
    trend only what is absolute counts; the rest is listed as not known, with the reading that would decide.

    Score: (for - against) / (for + against + half of what is not known), sums of the rules' weights, from -1 to 1. So a hypothesis that
    rests on little cannot reach 1, and tests that were not made do not bury one. It orders; it is no probability, and nothing is decided.

        found = diagnose(checks.iloc[-1], checks.iloc[:-1], fluid="water_base")
        print(found)
    """
    if fluid not in FLUIDS:
        raise ValueError(f"fluid = {fluid!r}; choose {' or '.join(FLUIDS)}")
    unit_set = set_of(units)
    now = Readings.of_check(check, unit_set)
    before, notes = _before(now, trend, unit_set)
    chosen = [r for r in (shipped() if rules is None else rules) if fluid in r.fluids]
    if not chosen:
        raise ValueError(f"none of the {len(rules or ())} rules is for a {fluid} fluid; load rules that are, or leave rules out")
    found = sorted((_hypothesis(r, now, before) for r in chosen), key=lambda h: (-round(h.score, 12), -round(h.judged, 12), h.name))
    notes += strangers(now.columns)
    notes += [f"In the trend {s}" for s in strangers(before.columns if before else ()) if s not in notes]
    safety = SAFETY if any(h.alarming for h in found) else ""
    notes += _blind(found)
    decisive = _decisive(found)
    return Diagnosis(fluid, tuple(found), tuple(_summary(found, decisive, before)), decisive, tuple(notes), safety)


def _before(now: Readings, trend: Any, unit_set: Any) -> tuple[Readings | None, list[str]]:
    """The trend without the check itself, should that stand at its end."""
    if trend is None:
        return None, []
    before = Readings.of_frame(trend, unit_set)
    if not before.rows:
        return None, ["The trend holds no check: changes are not known."]
    last = {name: (c.iloc[-1] if hasattr(c, "iloc") else c[-1]) for name, c in before.columns.items() if len(c) == before.rows}
    said = {n: x for n, x in ((n, c[0]) for n, c in now.columns.items()) if not is_missing(x)}
    same = said and all(n in last and not is_missing(last[n]) and bool(np.all(last[n] == x)) for n, x in said.items())
    if not same:
        return before, []
    shorter = {n: (c.iloc if hasattr(c, "iloc") else c)[: before.rows - 1] for n, c in before.columns.items()}
    note = "The last row of the trend is this check itself; it was left out of the trend."
    if before.rows == 1:
        return None, [f"{note} No other check is in it: changes are not known."]
    return Readings(shorter, before.rows - 1, unit_set, "the trend"), [note]


def _hypothesis(rule: Rule, now: Readings, before: Readings | None) -> Hypothesis:
    findings = tuple(sorted((judge(e, now, before) for e in rule.evidence), key=_order))
    sought, against = (sum(abs(f.points) for f in findings if f.outcome == o) for o in (FOR, AGAINST))
    judged = sum(f.evidence.weight for f in findings if f.outcome in (FOR, AGAINST))
    total = rule.weight
    score = (sought - against) / (sought + against + DOUBT * (total - judged))
    return Hypothesis(
        rule.name, rule.title, score, judged / total,
        _sentences(findings, FOR), _sentences(findings, AGAINST), tuple(f.sentence for f in findings if f.outcome not in (FOR, AGAINST)),
        rule.next_test, rule.treatment, rule.amount, rule.hazard, SAFETY if rule.well_control else "", findings,
    )  # fmt: skip


def _order(f: Finding) -> tuple[float, str, str]:
    return -f.evidence.weight, f.evidence.observable, f.sentence


def _sentences(findings: tuple[Finding, ...], outcome: str) -> tuple[str, ...]:
    return tuple(f.sentence for f in findings if f.outcome == outcome)


def _decisive(found: list[Hypothesis]) -> tuple[str, ...]:
    """Readings of the check that are missing in the leading hypotheses, by the weight that hangs on them."""
    weight: Counter[str] = Counter()
    for h in found[:LEADERS]:
        for f in h.findings:
            if f.outcome == UNKNOWN and not f.trend:
                for name in f.missing:
                    weight[name] += f.evidence.weight  # type: ignore[assignment]
    return tuple(n for n, _ in sorted(weight.items(), key=lambda x: (-x[1], x[0])))


def _summary(found: list[Hypothesis], decisive: tuple[str, ...], before: Readings | None) -> list[str]:
    first = found[0]
    said = []
    if first.score < STANDS_OUT:
        said.append(f"Nothing stands out: the best supported, {small(first.title)}, scores {first.score:+.2f}, below {STANDS_OUT:g}.")
    else:
        said.append(f"Best supported: {small(first.title)} ({first.score:+.2f}).")
        rivals = [h for h in found[1:] if first.score - h.score < CLOSE]
        if rivals:
            names = ", ".join(f"{small(h.title)} ({h.score:+.2f})" for h in rivals)
            said.append(f"The readings do not tell it apart from {names}: make the next test of each.")
        elif len(found) > 1:
            others = ", ".join(f"{small(h.title)} ({h.score:+.2f})" for h in found[1:3] if h.score > 0)
            none = "The others have more against them than for them; that rules none out."
            said.append(f"Next, and not ruled out by a score: {others}." if others else none)
    if before is None and any(f.trend for h in found for f in h.findings):
        said.append("No trend: nothing that is about a change could be judged, only what is absolute.")
    if decisive:
        said.append(f"Missing readings that would decide most among the first: {', '.join(find(n).words for n in decisive[:4])}.")
    return said


def _blind(found: list[Hypothesis]) -> list[str]:
    """Well control that was not looked at is said, not passed over."""
    unseen = [h for h in found if h.safety and not h.evidence_for and h.judged < 0.5]
    if not unseen:
        return []
    names = ", ".join(small(h.title) for h in unseen)
    return [f"Not ruled out, because less than half of its evidence could be judged: {names}. Where flow or gas is in doubt, check them first."]
