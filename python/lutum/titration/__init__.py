"""A methylene blue titration as it was carried out: increments and spots, the end point they give, and how well it is known.

    >>> from lutum import titration
    >>> record = titration.Titration(
    ...     titration.MudSample(volume=2.0, source="flowline", organics=True),
    ...     [(3.0, "no halo"), (3.5, "halo gone after two minutes"), (4.0, "halo held")],
    ...     titration.Reagents(peroxide_volume=15.0),
    ...     titration.Preparation(boiled_minutes=10.0, boiled_dry=False),
    ... )
    >>> print(record.result("field").bentonite_equivalent)
    bentonite_equivalent: 10 lb/bbl reported; 9.375 lb/bbl with standard uncertainty 0.36 lb/bbl, from 8.75 to 10

Records are in the units of the bench: mL, g, meq/mL, mass fractions, minutes. Results are in the unit set asked for.
``titration.procedure("mud")`` prints the procedure with its cautions.
"""

from lutum.titration.outcome import Estimate, Outcome, Reason
from lutum.titration.procedure import Procedure, procedure
from lutum.titration.record import EndPoint, Increment, MudSample, Preparation, Reagents, SolidsSample, Spot, Titration

__all__ = [
    "EndPoint",
    "Estimate",
    "Increment",
    "MudSample",
    "Outcome",
    "Preparation",
    "Procedure",
    "Reagents",
    "Reason",
    "SolidsSample",
    "Spot",
    "Titration",
    "procedure",
]
