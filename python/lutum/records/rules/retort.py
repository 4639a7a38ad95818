"""Retort fractions that cannot be, and reported solids that are not what water and oil leave."""

from collections.abc import Iterator
from math import sqrt
from typing import Any

import numpy as np
import pandas as pd

import lutum

from ..units_of import convert
from .registry import ERROR, WARNING, Finding, View, rule


@rule("retort_over_100", "retort water and oil together above 100 %", needs=("water_fraction", "oil_fraction"))
def retort_over_100(view: View) -> Iterator[Finding]:
    total = view.values("water_fraction", "%[vol]") + view.values("oil_fraction", "%[vol]")
    allowed = 2 * sqrt(2) * view.options.retort_error
    yield from view.cells(
        "water_fraction", total > 100 + allowed,
        lambda i: f"water and oil make {total[i]:.6g} %, more than 100 by over two reading errors ({allowed:.2g} %)",
        "repeat the retort or correct the readings", ERROR,
    )  # fmt: skip


@rule(
    "reported_solids", "reported solids that differ from 100 - water - oil: the three do not make 100 %",
    needs=("water_fraction", "oil_fraction", "solids_fraction"),
)  # fmt: skip
def reported_solids(view: View) -> Iterator[Finding]:
    water, oil, solids = (view.values(c, "%[vol]") for c in ("water_fraction", "oil_fraction", "solids_fraction"))
    rest = 100.0 - water - oil
    allowed = 2 * sqrt(3) * view.options.retort_error
    apart = np.abs(solids - rest) > allowed
    salt_free = _without_salt(view, water, oil)
    corrected = apart & (np.abs(solids - salt_free) <= allowed)
    # The proposed value is in the unit of the column.
    proposed = view.values("solids_fraction") * 0 + _from_percent(view, rest)
    yield from view.cells(
        "solids_fraction", apart & ~corrected,
        lambda i: f"water, oil and solids make {water[i] + oil[i] + solids[i]:.6g} %, not 100: solids are reported as {solids[i]:.6g} %, "
        f"and water and oil leave {rest[i]:.6g} % (two reading errors are {allowed:.2g} %)",
        lambda i: f"take the solids by difference, {rest[i]:.6g} %, if water and oil are right", WARNING, "value", proposed,
    )  # fmt: skip
    yield from view.cells(
        "solids_fraction", corrected,
        lambda i: f"solids are reported as {solids[i]:.6g} %; water and oil leave {rest[i]:.6g} %, and without the salt in the water "
        f"{salt_free[i]:.6g} %: the reported ones are corrected for salt, another quantity",
        "map the column elsewhere, or take the solids by difference", WARNING, "value", proposed,
    )  # fmt: skip


def _from_percent(view: View, percent: Any) -> Any:
    return np.asarray(convert(percent, "%[vol]", view.records.units["solids_fraction"]))


def _without_salt(view: View, water: Any, oil: Any) -> Any:
    """Solids in % once the salt the retort left among them is counted as brine; NaN where no chloride is known."""
    if not view.has("chloride"):
        return np.full(len(water), np.nan)
    salt = pd.DataFrame({"chloride": view.values("chloride", "kg/m3")})
    brine = lutum.si.brine.sodium_chloride.over(salt)
    return 100.0 - oil - water * brine["volume_ratio"].to_numpy(float)
