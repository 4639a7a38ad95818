"""Repairs that a person accepted, each one logged with the value before and after."""

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from .columns import find
from .rules import Finding
from .table import IDENTITY, LOG, Records, stack, table_of
from .units_of import convert, resolve


def repair(records: Records, accepted: list[tuple[str, Finding, tuple[int, ...]]]) -> Records:
    """A copy of the records with these findings (rule, finding, positions of its rows) carried out in their order."""
    arrays: dict[str, Any] = {}
    raw = {c: records.raw[c].to_numpy() for c in records.raw if c not in IDENTITY}
    files, rows = records.data["file"].to_numpy(), records.data["row"].to_numpy()
    log: list[dict[str, Any]] = []
    removed = np.zeros(len(records), bool)
    for rule, finding, positions in accepted:
        at = np.array(positions, dtype=int)
        column = finding.column
        if finding.action in ("", "remove"):
            before, after = [None] * len(at), [None] * len(at)
            if finding.action == "remove":
                removed[at] = True
        else:
            array = arrays.setdefault(column, records.data[column].to_numpy().copy())
            before = list(array[at])
            array[at] = _repaired(records, finding, array[at], files[at])
            after = list(array[at])
        step = "accepted" if finding.action else "accepted, nothing to change"
        reason = f"{finding.reason}; {finding.proposal}"
        for i, old, new in zip(at, before, after, strict=True):
            cell = str(raw[column][i]) if column in raw else ", ".join(str(cells[i]) for cells in raw.values())
            place = {"file": files[i], "row": rows[i], "column": column, "raw": cell}
            log.append({"step": step, "rule": rule, "before": old, "after": new, "reason": reason} | place)
    data = records.data.copy()
    for column, array in arrays.items():
        data[column] = array
    kept = ~removed
    return replace(
        records, data=data[kept].reset_index(drop=True), raw=records.raw[kept].reset_index(drop=True),
        log=stack([records.log, table_of(log, LOG)], LOG),
    )  # fmt: skip


def _repaired(records: Records, finding: Finding, values: Any, files: Any) -> Any:
    if finding.action == "missing":
        return np.datetime64("NaT") if np.issubdtype(values.dtype, np.datetime64) else np.nan
    if finding.action == "value":
        return finding.proposed
    if finding.action == "scale":
        return values * finding.proposed
    if finding.action == "unit":
        kept, result = records.units[finding.column], values.copy()
        for file in pd.unique(files):
            here = files == file
            source = records.source_units[file].get(finding.column) or resolve(find(finding.column), kept)[0]
            written = convert(values[here], kept, source)
            result[here] = convert(written, str(finding.proposed), kept)
        return result
    raise ValueError(f"a rule proposed the action {finding.action!r}, which is unknown")
