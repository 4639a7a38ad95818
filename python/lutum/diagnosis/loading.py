"""Rules from TOML: what is held against a check for each hypothesis. A mistake is told with file, rule and key."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from .observing import Observable, find, unit_fits
from .shaping import check_keys, check_shape, parsed

__all__ = ["CHANGES", "Evidence", "FLUIDS", "LEVELS", "MARKS", "Rule", "Rules", "load", "shipped"]

FLUIDS = ("water_base", "non_aqueous")
MARKS = ("seen", "derived", "from memory", "common practice, no source")
CHANGES = ("rises", "falls", "steps_up", "steps_down", "creeps_up", "creeps_down", "steady", "no_rise", "no_fall", "changes")
LEVELS = ("above", "below")
FLAGS = ("is_set", "is_not_set")
TEXTS = ("mentions",)


@dataclass(frozen=True, slots=True)
class Evidence:
    """One thing to look at.

    `looks_for`: rises, falls; steps_up, steps_down (at least half of it since the last check); creeps_up, creeps_down (less than
    half); steady, no_rise, no_fall, changes (either way); above, below a `limit`; is_set, is_not_set; mentions
    one of the `words`. A change counts from `by` (in `unit`) or `by_percent` of what it was, the larger. What is to stay (steady, no_rise,
    no_fall) may move by half of that. `minus`, `over`: the difference from, the ratio to another observable.
    `against_limit`: from where a level counts against; between the two it counts for neither.
    `weight` counts for the hypothesis when seen, `against` (as `weight` unless given) against it when the contrary is seen;
    0 where the contrary says nothing. `alarm`: seen, it is enough by itself to put the safety line above all.
    """

    observable: str
    looks_for: str
    weight: float
    sentence: str
    contrary: str
    mark: str
    source: str = ""
    against: float = -1.0
    unit: str = ""
    by: float = 0.0
    by_percent: float = 0.0
    limit: float | None = None
    against_limit: float | None = None
    minus: str = ""
    over: str = ""
    words: tuple[str, ...] = ()
    alarm: bool = False

    @property
    def contrary_weight(self) -> float:
        """What the contrary takes off."""
        return self.weight if self.against < 0 else self.against

    def seen(self) -> Observable:
        """The observable it looks at."""
        return find(self.observable)

    def other(self) -> Observable | None:
        """The observable it is held against, if any."""
        return find(self.minus or self.over) if self.minus or self.over else None


@dataclass(frozen=True, slots=True)
class Rule:
    """A hypothesis and its evidence. `amount`: ids of the calculations that give the amount of the usual treatment.
    `well_control`: an influx or hydrogen sulfide may be the cause, or the mud's weight on the well is in doubt."""

    name: str
    title: str
    fluids: tuple[str, ...]
    evidence: tuple[Evidence, ...]
    next_test: str
    treatment: str
    hazard: str
    amount: tuple[str, ...] = ()
    well_control: bool = False

    @property
    def weight(self) -> float:
        """Sum of the weights of its evidence."""
        return sum(e.weight for e in self.evidence)


@dataclass(frozen=True, slots=True)
class Rules:
    """Rules in any order: the order changes no ranking."""

    rules: tuple[Rule, ...]

    def __iter__(self) -> Any:
        return iter(self.rules)

    def __len__(self) -> int:
        return len(self.rules)

    def __getitem__(self, name: str) -> Rule:
        for rule in self.rules:
            if rule.name == name:
                return rule
        raise KeyError(f"no rule is called {name!r}; the rules: {', '.join(r.name for r in self.rules)}")

    def with_rules(self, *more: Rule) -> "Rules":
        """These rules with others added; one of the same name is replaced."""
        names = {r.name for r in more}
        return Rules((*(r for r in self.rules if r.name not in names), *more))

    def without(self, *names: str) -> "Rules":
        """These rules without those named."""
        for name in names:
            self[name]
        return Rules(tuple(r for r in self.rules if r.name not in names))


def load(*paths: str | Path) -> Rules:
    """Rules from TOML files, or from all TOML files of a folder.

    ValueError names the file, the rule, the evidence and the key that is wrong, and what it should be. Start from a copy of the
    files in `lutum/diagnosis/shipped`.
    """
    files = [f for p in map(Path, paths) for f in (sorted(p.glob("*.toml")) if p.is_dir() else [p])]
    if not files:
        raise ValueError(f"no TOML file in {', '.join(map(str, paths)) or 'nothing'}: give the files of rules or their folder")
    rules = [rule for f in files for rule in _of_file(f)]
    seen: dict[str, Rule] = {}
    for rule in rules:
        if rule.name in seen:
            raise ValueError(f"two rules are called {rule.name!r} in {', '.join(f.name for f in files)}; rename or remove one")
        seen[rule.name] = rule
    return Rules(tuple(rules))


@cache
def shipped() -> Rules:
    """The rules that come with the library."""
    return load(Path(__file__).parent / "shipped")


def _of_file(path: Path) -> list[Rule]:
    tables = parsed(path)
    check_keys(tables, ("hypothesis",), f"{path.name}")
    return [_rule(t, f"{path.name}, hypothesis {t.get('name', f'number {i + 1}')!r}") for i, t in enumerate(tables.get("hypothesis", []))]


def _rule(table: Mapping[str, Any], where: str) -> Rule:
    check_shape(table, Rule, where)
    if not set(table["fluids"]) <= set(FLUIDS) or not table["fluids"]:
        raise ValueError(f"{where}: fluids = {table['fluids']!r}; give a list of {' and '.join(FLUIDS)}")
    if not table["evidence"]:
        raise ValueError(f"{where}: evidence is empty; a hypothesis needs something to look at")
    evidence = tuple(_evidence(t, f"{where}, evidence {i + 1} ({t.get('observable', 'no observable')})") for i, t in enumerate(table["evidence"]))
    given = {**table, "fluids": tuple(table["fluids"]), "amount": tuple(table.get("amount", ())), "evidence": evidence}
    return Rule(**given)


def _evidence(table: Mapping[str, Any], where: str) -> Evidence:
    check_shape(table, Evidence, where)
    found = Evidence(**{**table, "words": tuple(table.get("words", ()))})
    observable = _find(found.observable, "observable", where)
    _numbers(found, where)
    if found.mark not in MARKS:
        raise ValueError(f"{where}: mark = {found.mark!r}; it is one of {', '.join(MARKS)}")
    if found.mark == "seen" and not found.source:
        raise ValueError(f"{where}: source is missing; what is marked seen says where")
    allowed = {"number": (*CHANGES, *LEVELS), "flag": FLAGS, "text": TEXTS}[observable.kind]
    if found.looks_for not in allowed:
        raise ValueError(f"{where}: looks_for = {found.looks_for!r}; for a {observable.kind} it is one of {', '.join(allowed)}")
    if observable.kind == "text" and not found.words:
        raise ValueError(f"{where}: words is missing; say which words are looked for")
    if observable.kind == "number":
        _threshold(found, observable, where)
    return found


def _threshold(found: Evidence, observable: Observable, where: str) -> None:
    """The threshold is there, in a unit that fits, and on the right side."""
    other = _find(found.minus or found.over, "minus" if found.minus else "over", where) if found.minus or found.over else None
    if found.minus and found.over:
        raise ValueError(f"{where}: minus and over are both given; an evidence has one of them")
    if other is not None and other.quantity != observable.quantity:
        raise ValueError(f"{where}: {other.name} measures {other.quantity}, {observable.name} {observable.quantity}; they cannot be compared")
    if found.over and found.unit:
        raise ValueError(f"{where}: unit = {found.unit!r}; a ratio has none")
    if not found.over and not unit_fits(observable, found.unit):
        raise ValueError(f"{where}: unit = {found.unit!r} does not measure {observable.quantity.replace('_', ' ')}")
    if found.looks_for in CHANGES:
        if not (found.by > 0 or found.by_percent > 0):
            raise ValueError(f"{where}: by or by_percent is missing; say from which change {found.looks_for!r} counts")
        return
    if found.limit is None:
        raise ValueError(f"{where}: limit is missing; say {found.looks_for} what")
    wrong = found.against_limit is not None and (found.against_limit > found.limit) == (found.looks_for == "above")
    if wrong and found.against_limit != found.limit:
        raise ValueError(f"{where}: against_limit = {found.against_limit:g} lies on the side that counts for it (limit {found.limit:g})")


def _numbers(found: Evidence, where: str) -> None:
    if not found.weight > 0:
        raise ValueError(f"{where}: weight = {found.weight!r} must be above 0; say the contrary with looks_for")
    for key in ("by", "by_percent"):
        if not getattr(found, key) >= 0:
            raise ValueError(f"{where}: {key} = {getattr(found, key)!r} must not be below 0; say the direction with looks_for")


def _find(name: str, key: str, where: str) -> Observable:
    try:
        return find(name)
    except ValueError as error:
        raise ValueError(f"{where}: {key}: {error}") from None
