"""Uncertainty: what the readings may be off, and what follows for everything calculated from them.

    from lutum import field, uncertainty

    table = uncertainty.shipped()                                  # instruments as data; edit a copy and load() it
    table.errors_of("water_fraction", 82.0, "%")                   # every source of error of a reading
    budgets = uncertainty.of_calculation(field.clay.methylene_blue, {"dye_volume": 5.0, "sample_volume": 2.0}, {"dye_volume": 0.144})
    print(budgets["bentonite_equivalent"])                         # JCGM 100 (GUM), exact gradient
    drawn = uncertainty.monte_carlo(model, inputs, seed=1)         # JCGM 101, until it has settled
    uncertainty.compare(budget, drawn)                             # whether the linear form is good enough
    uncertainty.flag(values, standard)                             # beyond a bound by more than the error explains?
    uncertainty.physical_estimate(readings, covariance, bounds)    # nearest readings inside the bounds, labelled as such
"""

from .budgeting import Budget as Budget
from .budgeting import Budgets as Budgets
from .budgeting import budget as budget
from .budgeting import budgets as budgets
from .chains import covariance_of as covariance_of
from .chains import of_calculation as of_calculation
from .chains import of_linear as of_linear
from .chains import with_instruments as with_instruments
from .comparing import Comparison as Comparison
from .comparing import compare as compare
from .distributions import Joint as Joint
from .distributions import Normal as Normal
from .distributions import OneSided as OneSided
from .distributions import Rectangular as Rectangular
from .distributions import Student as Student
from .distributions import Triangular as Triangular
from .instruments import Change as Change
from .instruments import Instrument as Instrument
from .instruments import Table as Table
from .instruments import errors_of as errors_of
from .instruments import load as load
from .instruments import shipped as shipped
from .simulating import Simulated as Simulated
from .simulating import Simulation as Simulation
from .simulating import monte_carlo as monte_carlo
from .physical import Bound as Bound
from .physical import Flags as Flags
from .physical import PhysicalEstimate as PhysicalEstimate
from .physical import flag as flag
from .physical import physical_estimate as physical_estimate
from .sources import Source as Source
