"""The procedure sheets: amounts, steps, variants met in the field and cautions, all read from ``procedures.toml``."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

__all__ = ["Amount", "Caution", "Procedure", "Variant", "procedure"]


class Amount(NamedTuple):
    """A volume, a mass, a strength or a time of the procedure, and how it is known."""

    value: float
    unit: str
    mark: str

    def __str__(self) -> str:
        return f"{self.value:g} {self.unit}"


class Variant(NamedTuple):
    """A departure from the procedure that is met in the field, and what it does."""

    differs: str
    effect: str
    source: str
    mark: str


class Caution(NamedTuple):
    """What can hurt, and how it is known."""

    text: str
    source: str
    mark: str


@dataclass(frozen=True, slots=True)
class Procedure:
    """One procedure sheet. Print it; a notebook shows it set in type."""

    id: str
    title: str
    source: str
    amounts: dict[str, Amount]
    steps: tuple[str, ...]
    variants: tuple[Variant, ...]
    cautions: tuple[Caution, ...]

    def _repr_markdown_(self) -> str:
        lines = [f"### {self.title}", "", "**Cautions**", ""]
        lines += [f"- {c.text} *({_origin(c.source, c.mark)})*" for c in self.cautions]
        lines += ["", "**Steps**", ""]
        lines += [f"{i}. {step}" for i, step in enumerate(self.steps, 1)]
        lines += ["", "| amount | | how known |", "|---|---:|---|"]
        lines += [f"| {name.replace('_', ' ')} | {amount} | {amount.mark} |" for name, amount in self.amounts.items()]
        lines += ["", "**Variants met in the field, not this procedure**", ""]
        lines += [f"- {v.differs}: {v.effect} *({_origin(v.source, v.mark)})*" for v in self.variants]
        lines += ["", f"Source: {self.source}."]
        return "\n".join(lines)

    def __str__(self) -> str:
        lines = [self.title, "=" * len(self.title), "", "Cautions"]
        lines += [f"  ! {c.text} ({_origin(c.source, c.mark)})" for c in self.cautions]
        lines += ["", "Steps"]
        lines += [f"  {i}. {step}" for i, step in enumerate(self.steps, 1)]
        lines += ["", "Amounts"]
        lines += [f"  {name.replace('_', ' ')}: {amount} ({amount.mark})" for name, amount in self.amounts.items()]
        lines += ["", "Variants met in the field, not this procedure"]
        lines += [f"  - {v.differs}: {v.effect} ({_origin(v.source, v.mark)})" for v in self.variants]
        lines += ["", f"Source: {self.source}."]
        return "\n".join(lines)


def _origin(source: str, mark: str) -> str:
    return f"{mark}: {source}"


@cache
def _all() -> dict[str, Procedure]:
    with (Path(__file__).parent / "procedures.toml").open("rb") as file:
        content = tomllib.load(file)
    cautions = tuple(Caution(**c) for c in content["caution"])
    return {table["id"]: _read(table, cautions) for table in content["procedure"]}


def _read(table: dict[str, Any], cautions: tuple[Caution, ...]) -> Procedure:
    amounts = {name: Amount(float(a["value"]), a["unit"], a["mark"]) for name, a in table["amounts"].items()}
    steps = tuple(step.format(**amounts) for step in table["steps"]["list"])
    variants = tuple(Variant(**v) for v in table["variant"])
    return Procedure(table["id"], table["title"], table["source"], amounts, steps, variants, cautions)


def procedure(name: str = "mud") -> Procedure:
    """The procedure sheet for ``mud`` or for ``solids``."""
    known = _all()
    if name not in known:
        raise ValueError(f"procedure {name!r} is unknown; there are {' and '.join(known)}")
    return known[name]
