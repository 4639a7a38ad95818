"""Typical ranges of mud properties by fluid type: editable tables, every row with its source and how far to trust it.

    from lutum import ranges

    ranges.hold(check, fluid_type="gypsum").outside       # a check; the units of lutum.field unless units= says otherwise
    ranges.hold(checks, fluid_type="water_base")          # a frame of checks: a tidy frame, nothing left out
    ours = ranges.Range("ph", "gypsum", "common practice, no source", "our wells", low=9.0)
    mine = ranges.shipped().without("ph", fluid_type="gypsum").with_rows(ours)

Typical is not a limit: two pages of one site disagree by up to half. `shipped()` is a table to start from; `load` reads your own.
"""

from .holding import Finding as Finding
from .holding import Held as Held
from .holding import hold as hold
from .tables import FluidType as FluidType
from .tables import Range as Range
from .tables import Table as Table
from .tables import load as load
from .tables import shipped as shipped
