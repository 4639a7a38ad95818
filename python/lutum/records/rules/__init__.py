"""The rules of the audit, a file a subject. A new file of rules is imported here."""

from . import depths, gaps, ranges, repeats, retort, unit_mistakes, viscometer  # noqa: F401
from .registry import RULES as RULES
from .registry import Finding as Finding
from .registry import NotApplicable as NotApplicable
from .registry import Options as Options
from .registry import View as View
from .registry import rule as rule
