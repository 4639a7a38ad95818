"""Diagnosis: ranked hypotheses for what a mud check and its recent trend show. It ranks, it does not decide.

    from lutum import diagnosis

    found = diagnosis.diagnose(check, trend, fluid="water_base")   # the units of lutum.field unless units= says otherwise
    print(found)                                                   # like a colleague's note
    found[0].next_test, found["gypsum"].evidence_against, found.frame()

The rules are data with their sources, in TOML: `shipped()`; edit a copy and `load` it. `observables()` lists what a rule can look at.
"""

from .diagnosing import diagnose as diagnose
from .judging import Finding as Finding
from .loading import Evidence as Evidence
from .loading import Rule as Rule
from .loading import Rules as Rules
from .loading import load as load
from .loading import shipped as shipped
from .observing import Observable as Observable
from .observing import observables as observables
from .report import RANKS as RANKS
from .report import SAFETY as SAFETY
from .report import Diagnosis as Diagnosis
from .report import Hypothesis as Hypothesis
