"""What a diagnosis says: ranked hypotheses with evidence for and against, as a note, a table, markdown or a page."""

from dataclasses import dataclass
from html import escape
from typing import Any

from .judging import FOR, SILENT, UNKNOWN, Finding
from .observing import find

__all__ = ["CLOSE", "RANKS", "SAFETY", "STANDS_OUT", "Diagnosis", "Hypothesis"]

RANKS = "This ranks, it does not decide: an order to test in, from the readings given. It is advice for a qualified person to judge."
SAFETY = (
    "Well control first: an influx, gas or hydrogen sulfide may be behind this. Check flow and gas before anything else and do not "
    "treat the mud first. Local codes, the well's own programme and licensed practice decide; they come before this note."
)
STANDS_OUT = 0.4  # score from which a hypothesis stands out
POSSIBLE = 0.3  # score from which a matter of well control puts the safety line above all
CLOSE = 0.15  # scores nearer than this are not told apart
SHOWN = 4


def small(title: str) -> str:
    """A title inside a sentence."""
    return title[:1].lower() + title[1:]


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One possible cause. `score`: from -1 to 1, see `diagnose`; no probability. `judged`: the share of the rule's weight that
    the readings decide. `evidence_for`, `evidence_against`, `not_known`: sentences, the heaviest first. `amount`: ids of the calculations
    that give the amount of the treatment. `safety`: the line on well control, "" where it is no matter."""

    name: str
    title: str
    score: float
    judged: float
    evidence_for: tuple[str, ...]
    evidence_against: tuple[str, ...]
    not_known: tuple[str, ...]
    next_test: str
    treatment: str
    amount: tuple[str, ...]
    hazard: str
    safety: str
    findings: tuple[Finding, ...]

    @property
    def alarming(self) -> bool:
        """A matter of well control with a score of note, or with a sign that must be looked at by itself."""
        return bool(self.safety) and (self.score >= POSSIBLE or bool(self._alarms()))

    def _alarms(self) -> list[str]:
        return [f.sentence for f in self.findings if f.outcome == FOR and f.evidence.alarm]

    def __str__(self) -> str:
        return "\n".join(self._lines(self.safety))

    def _lines(self, safety: str) -> list[str]:
        lines = [f"{self.title}: score {self.score:+.2f}, {self.judged:.0%} of its evidence could be judged"]
        for heading, sentences in (("for", self.evidence_for), ("against", self.evidence_against), ("not known", self._open())):
            lines += [f"  {heading}: {s}" for s in sentences]
        lines.append(f"  next test: {self.next_test}")
        lines.append(f"  usual treatment: {self.treatment}{self._amounts()}")
        lines.append(f"  hazard of treating: {self.hazard}")
        if safety:
            lines.append(f"  SAFETY: {safety}")
        return lines

    def _open(self) -> list[str]:
        """What is not known, in short: readings that lack, readings that lack a trend, and in full what says nothing."""
        unknown = [f for f in self.findings if f.outcome == UNKNOWN]
        found = []
        for heading, group in (("no reading of", [f for f in unknown if not f.trend]), ("no earlier reading of", [f for f in unknown if f.trend])):
            words = dict.fromkeys(find(n).words for f in group for n in f.missing)
            found += [f"{heading} {', '.join(words)}."] if words else []
            found += [f.sentence for f in group if not f.missing]
        return found + [f.sentence for f in self.findings if f.outcome == SILENT]

    def _amounts(self) -> str:
        return f" Amount: {', '.join(self.amount)} (state purity, efficiency and water fraction)." if self.amount else ""


@dataclass(frozen=True, slots=True, repr=False)
class Diagnosis:
    """Ranked `hypotheses`, the best supported first, all that fit the fluid. `summary`: what can be said of the ranking.
    `not_judged`: the evidence that lacked a reading, by hypothesis. `decisive`: readings that would decide most, the best first.
    `notes`: what was left out or not used. `safety`: the line on well control, "" where nothing points to it."""

    fluid: str
    hypotheses: tuple[Hypothesis, ...]
    summary: tuple[str, ...]
    decisive: tuple[str, ...]
    notes: tuple[str, ...]
    safety: str

    def __getitem__(self, key: int | str) -> Hypothesis:
        """By rank from 0, or by name."""
        if isinstance(key, int):
            return self.hypotheses[key]
        for h in self.hypotheses:
            if h.name == key:
                return h
        raise KeyError(f"no hypothesis is called {key!r} for a {self.fluid} fluid; there are {', '.join(h.name for h in self.hypotheses)}")

    def __iter__(self) -> Any:
        return iter(self.hypotheses)

    def __len__(self) -> int:
        return len(self.hypotheses)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the hypotheses in their order."""
        return tuple(h.name for h in self.hypotheses)

    @property
    def not_judged(self) -> dict[str, tuple[str, ...]]:
        """By hypothesis the sentences on evidence that could not be judged."""
        return {h.name: h.not_known for h in self.hypotheses}

    def frame(self) -> Any:
        """A pandas frame: a row a hypothesis and evidence, with rank, score, outcome, points and sentence."""
        import pandas as pd

        rows = [
            {
                "rank": rank, "hypothesis": h.name, "score": h.score, "judged": h.judged, "observable": f.evidence.observable,
                "looks_for": f.evidence.looks_for, "outcome": f.outcome, "points": f.points, "sentence": f.sentence,
                "mark": f.evidence.mark, "source": f.evidence.source, "next_test": h.next_test, "safety": h.safety,
            }
            for rank, h in enumerate(self.hypotheses, start=1)
            for f in h.findings
        ]  # fmt: skip
        names = ["rank", "hypothesis", "score", "judged", "observable", "looks_for", "outcome", "points", "sentence", "mark", "source"]
        return pd.DataFrame(rows, columns=[*names, "next_test", "safety"])

    def _shown(self) -> tuple[Hypothesis, ...]:
        return self.hypotheses[:SHOWN]

    def _short(self, h: Hypothesis) -> str:
        """The safety line of one among several: in full only where it does not stand above them all."""
        return "as above: check flow and gas first, do not treat first." if h.safety and self.safety else h.safety

    def _others(self) -> list[str]:
        """The rest in short; what alarms is named with its reason."""
        rest = self.hypotheses[SHOWN:]
        control = [f"{small(h.title)} {h.score:+.2f}{_because(h)}" for h in rest if h.alarming]
        names = [f"{small(h.title)} {h.score:+.2f}" for h in rest if not h.alarming]
        found = [f"Less supported, but to be looked at first: {'; '.join(control)}."] if control else []
        return found + ([f"Less supported: {'; '.join(names)}."] if names else [])

    def __str__(self) -> str:
        parts = [f"SAFETY: {self.safety}"] if self.safety else []
        parts += [" ".join(self.summary)]
        parts += [f"{i}. " + "\n".join(h._lines(self._short(h))) for i, h in enumerate(self._shown(), start=1)]
        return "\n\n".join([*parts, *self._others(), *self.notes, RANKS])

    __repr__ = __str__

    def markdown(self) -> str:
        """The note as markdown."""
        parts = [f"> **Safety.** {self.safety}"] if self.safety else []
        parts += [" ".join(self.summary)]
        for i, h in enumerate(self._shown(), start=1):
            lines = [f"### {i}. {h.title} (score {h.score:+.2f}, {h.judged:.0%} judged)"]
            for heading, sentences in (("For", h.evidence_for), ("Against", h.evidence_against), ("Not known", h._open())):
                if sentences:
                    lines += ["", f"**{heading}**", "", *(f"- {s}" for s in sentences)]
            lines += ["", f"**Next test.** {h.next_test}", "", f"**Usual treatment.** {h.treatment}{h._amounts()}"]
            lines += ["", f"**Hazard of treating.** {h.hazard}"]
            if h.safety:
                lines += ["", f"> **Safety.** {self._short(h)}"]
            parts.append("\n".join(lines))
        return "\n\n".join([*parts, *self._others(), *self.notes, f"*{RANKS}*"]) + "\n"

    def _repr_html_(self) -> str:
        parts = [f"<p><strong>Safety.</strong> {escape(self.safety)}</p>"] if self.safety else []
        parts.append(f"<p>{escape(' '.join(self.summary))}</p>")
        for i, h in enumerate(self._shown(), start=1):
            items = [
                f"<li><em>{heading}:</em> {escape(s)}</li>"
                for heading, sentences in (("for", h.evidence_for), ("against", h.evidence_against), ("not known", h._open()))
                for s in sentences
            ]
            safety = f"<p><strong>Safety.</strong> {escape(self._short(h))}</p>" if h.safety else ""
            parts.append(
                f"<details{' open' if i == 1 else ''}><summary>{i}. <strong>{escape(h.title)}</strong>, score {h.score:+.2f}, "
                f"{h.judged:.0%} judged</summary>{safety}<ul>{''.join(items)}</ul><p><em>Next test:</em> {escape(h.next_test)}<br>"
                f"<em>Usual treatment:</em> {escape(h.treatment + h._amounts())}<br><em>Hazard of treating:</em> {escape(h.hazard)}</p></details>"
            )
        parts += [f"<p>{escape(x)}</p>" for x in (*self._others(), *self.notes, RANKS)]
        return "\n".join(parts)


def _because(h: Hypothesis) -> str:
    said = h._alarms() or list(h.evidence_for[:1])
    return f" ({' '.join(said).rstrip('.')})"
