"""The offset-well study: from mud checks of old wells to a fluid programme for the next one.

    from lutum import offset, records

    study = offset.compute(checks)                                  # every calculation the records allow, all rows at once
    study = offset.align(study, wells=wells, surveys=surveys, tops=tops, casing=casing)
    study = offset.open_hole(offset.circulating(study), gradients)  # what the hole needed and bore, what was pumped
    study = offset.trouble(study, events, hours=12)
    offset.bands(study, ["mud_density", "low_gravity_fraction"], by=("formation",))
    offset.compare(study, ["low_gravity_fraction"], ("tight hole",))
    programme = offset.windows(study, plan=plan, pressures=offset.prognosis(...), margins=offset.Margins(0.2, 0.2, "lb/gal"))

Tables enter through `offset.table`, which asks for the units. Bad rows stay, without a value, and `study.reasons` says why.
"""

from .aligning import align as align
from .aligning import locate as locate
from .aligning import section_label as section_label
from .banding import WEIGHTING as WEIGHTING
from .banding import bands as bands
from .banding import row_weights as row_weights
from .banding import weighted_percentiles as weighted_percentiles
from .computing import STANDARD as STANDARD
from .computing import Standard as Standard
from .computing import compute as compute
from .density import Density as Density
from .density import Margins as Margins
from .flow import circulating as circulating
from .flow import flow_curve as flow_curve
from .planning import planned as planned
from .pressures import Prognosis as Prognosis
from .pressures import open_hole as open_hole
from .pressures import prognosis as prognosis
from .rounding import round_inward as round_inward
from .study import Study as Study
from .study import in_words as in_words
from .tables import Table as Table
from .tables import table as table
from .trouble import compare as compare
from .trouble import events_by_formation as events_by_formation
from .trouble import state as state
from .trouble import trouble as trouble
from .windows import PROPERTIES as PROPERTIES
from .windows import Property as Property
from .windows import Windows as Windows
from .windows import windows as windows
