"""Mud checks from tables: read with a declared mapping, kept with their raw cells, audited, and repaired only by consent.

    from lutum import records

    print(records.suggest_mapping("well.csv"))           # look, then write or correct the mapping
    mapping = records.Mapping.load("well.toml")
    checks = records.read("well.csv", mapping)           # checks.data, .units, .raw, .problems, .log
    found = records.audit(checks)                        # found.summary(), found.findings
    clean = found.apply(checks, accept=["zero_as_missing"])

The known columns are in `records.columns.TABLE`, the rules of the audit in `records.rules`.
"""

from .auditing import Audit as Audit
from .auditing import audit as audit
from .auditing import rule_table as rule_table
from .mapping import ColumnMapping as ColumnMapping
from .mapping import Mapping as Mapping
from .reading import read as read
from .rules import Options as Options
from .suggest import Suggestion as Suggestion
from .suggest import suggest_mapping as suggest_mapping
from .table import Records as Records
