"""The audit: looks, says what it found and what it proposes. It repairs nothing; `Audit.apply` does, what is accepted."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import pandas as pd

from .repair import repair
from .rules import RULES, Finding, NotApplicable, Options, View
from .table import Records

FINDING = [
    "rule",
    "well",
    "file",
    "row",
    "column",
    "value",
    "unit",
    "reason",
    "proposal",
    "severity",
    "action",
    "proposed",
]


@dataclass(frozen=True, repr=False)
class Audit:
    """`findings`: a row a finding, its index the finding's id. `skipped`: rules that could not judge, and why.

    `severity`: error (impossible), warning (improbable), note. `action`: what accepting the finding does, "" for nothing:
    "missing", "value" (becomes `proposed`), "unit" (read again as if in the unit `proposed`), "scale" (times `proposed`),
    "remove" (the row). A finding about a whole well names its first row.
    """

    findings: pd.DataFrame
    skipped: pd.DataFrame
    _found: tuple[Finding, ...]
    _identity: pd.DataFrame

    def __repr__(self) -> str:
        return f"Audit: {len(self.findings)} findings, {len(self.skipped)} rules skipped\n{self.summary().to_string(index=False)}"

    def summary(self) -> pd.DataFrame:
        """Findings and wells per rule, column and severity, errors first."""
        names = ["rule", "column", "severity"]
        if self.findings.empty:
            return pd.DataFrame(columns=[*names, "findings", "wells", "acceptable"])
        counted = self.findings.groupby(names, sort=False).agg(
            findings=("rule", "size"), wells=("well", "nunique"), acceptable=("action", lambda a: int((a != "").sum()))
        )
        table = counted.reset_index()
        order = table["severity"].map({"error": 0, "warning": 1, "note": 2})
        return table.iloc[order.argsort(kind="stable")].reset_index(drop=True)

    def rows(self, finding: int) -> tuple[int, ...]:
        """Positions in the data of all rows a finding is about."""
        found = self._found[finding]
        return found.members or (found.at,)

    def apply(self, records: Records, accept: Iterable[str | int]) -> Records:
        """A copy of the records with the accepted findings repaired, each change in its `.log`; the records stay as they are.

        `accept`: names of rules and ids of findings. Raw cells are kept; a removed row is in the log with its cells.
        An accepted finding without an action changes nothing and is logged as such. Records other than those audited are refused.

            accepted = audit.findings.query("rule == 'zero_as_missing' and column == 'mud_density'").index
            clean = audit.apply(checks, accept=[*accepted, "duplicate_row"])
        """
        if not records.data[["file", "row"]].equals(self._identity):
            raise ValueError("these are not the records that were audited (other files or rows): audit them first")
        if isinstance(accept, str):
            accept = [accept]
        ids: set[int] = set()
        rules = set(self.findings["rule"])
        for item in accept:
            if isinstance(item, str):
                if item not in RULES:
                    raise ValueError(
                        f"accept holds {item!r}, which is no rule; rules with findings: {', '.join(sorted(rules))}"
                    )
                ids |= set(self.findings.index[self.findings["rule"] == item])
            elif int(item) in self.findings.index:
                ids.add(int(item))
            else:
                raise ValueError(
                    f"accept holds {item!r}, which is no id of a finding; ids are 0 to {len(self.findings) - 1}"
                )
        of_rule = self.findings["rule"].to_numpy(object)
        return repair(records, [(of_rule[i], self._found[i], self.rows(i)) for i in sorted(ids)])


def audit(
    records: Records,
    *,
    wells: Records | None = None,
    rules: Iterable[str] | None = None,
    options: Options | None = None,
) -> Audit:
    """Looks through records with the rules, all or those named; proposes, never repairs.

    `wells`: a table of wells read with `read`, with `total_depth` and wellbore_id, wellbore or well. `options`: reading errors
    and thresholds. `rule_table()` lists the rules.

    Example: `audit(checks).summary()`
    """
    names = list(RULES) if rules is None else list(rules)
    unknown = [n for n in names if n not in RULES]
    if unknown:
        raise ValueError(f"no rule is called {unknown[0]!r}; the rules: {', '.join(RULES)}")
    view = View(records, options or Options(), wells)
    found: list[Finding] = []
    of_rule: list[str] = []
    skipped: list[dict[str, str]] = []
    for name in names:
        lacking = [c for c in RULES[name].needs if not view.has(c)]
        if lacking:
            skipped.append({"rule": name, "reason": f"not mapped: {', '.join(lacking)}"})
            continue
        try:
            new = list(RULES[name].run(view))
        except NotApplicable as reason:
            skipped.append({"rule": name, "reason": str(reason)})
            continue
        found += new
        of_rule += [name] * len(new)
    return Audit(
        _frame(view, found, of_rule),
        pd.DataFrame(skipped, columns=["rule", "reason"]),
        tuple(found),
        records.data[["file", "row"]].copy(),
    )


def rule_table() -> pd.DataFrame:
    """The rules: name, what each looks for, the columns it needs."""
    rows = [{"rule": r.name, "looks_for": r.looks_for, "needs": ", ".join(r.needs)} for r in RULES.values()]
    return pd.DataFrame(rows)


def _frame(view: View, found: list[Finding], of_rule: list[str]) -> pd.DataFrame:
    at = [f.at for f in found]
    columns: dict[str, Any] = {
        "rule": of_rule,
        "well": list(view.well_name[at]) if found else [],
        "file": list(view.file[at]) if found else [],
        "row": list(view.row[at]) if found else [],
        "column": [f.column for f in found],
        "value": pd.Series([f.value for f in found], dtype=object),
        "unit": [view.records.units.get(f.column, "") for f in found],
        "reason": [f.reason for f in found],
        "proposal": [f.proposal for f in found],
        "severity": [f.severity for f in found],
        "action": [f.action for f in found],
        "proposed": pd.Series([f.proposed for f in found], dtype=object),
    }
    return pd.DataFrame(columns, columns=FINDING)
