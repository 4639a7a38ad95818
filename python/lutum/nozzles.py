"""Which nozzles to put into the bit: every set of whole 1/32 in sizes, the nearest to a wanted area first."""

from __future__ import annotations

from itertools import combinations_with_replacement
from math import comb, isfinite
from typing import NamedTuple

from . import si, units

__all__ = ["NozzleSet", "nearest"]

MOST_SETS = 2_000_000


class NozzleSet(NamedTuple):
    """Nozzles of a bit: sizes in 1/32 in, their area and how far it misses the wanted one, in the unit asked for."""

    sizes: tuple[int, ...]
    area: float
    miss: float


def nearest(
    area: float,
    nozzles: int,
    *,
    unit: str = "in2",
    smallest: int = 7,
    largest: int = 32,
    most_spread: int | None = None,
    at_least: bool = False,
    count: int = 5,
) -> list[NozzleSet]:
    """The ``count`` sets of so many nozzles whose area is nearest to the wanted one; of equals the most even set first.

    ``smallest`` and ``largest`` bound the sizes (1/32 in), ``most_spread`` how much two nozzles of a set may differ. ``at_least`` keeps the
    sets that are not smaller than wanted: the side on which the pump's pressure limit is kept. Advisory: the bit's own programme decides.
    """
    if not (isfinite(area) and area > 0.0):
        raise ValueError(f"area = {area} {unit} is no area of nozzles; give a positive number.")
    if nozzles < 1:
        raise ValueError(f"nozzles = {nozzles}; a bit needs at least 1.")
    if not 1 <= smallest <= largest:
        raise ValueError(f"sizes from {smallest} to {largest} (1/32 in) are none; give a smallest of at least 1, not above the largest.")
    if count < 1:
        raise ValueError(f"count = {count}; ask for at least 1 set.")
    sets = comb(largest - smallest + nozzles, nozzles)
    if sets > MOST_SETS:
        raise ValueError(f"{nozzles} nozzles of {largest - smallest + 1} sizes make {sets} sets, more than {MOST_SETS}; narrow the sizes.")
    of_one = float(si.hydraulics.nozzle_area(nozzle_diameter=[units.convert(1.0, "1/32 in", "m")], nozzle_count=[1.0]).nozzle_area)  # m2, of size 1
    wanted = units.convert(area, unit, "m2") / of_one  # as a sum of squared sizes, a whole number for every set
    rounding = 1e-9 * wanted
    kept = []
    for sizes in combinations_with_replacement(range(smallest, largest + 1), nozzles):
        squares = sum(s * s for s in sizes)
        if most_spread is not None and sizes[-1] - sizes[0] > most_spread or at_least and squares < wanted - rounding:
            continue
        kept.append((abs(squares - wanted), sizes[-1] - sizes[0], sizes, squares))
    kept.sort()
    return [
        NozzleSet(sizes, float(units.convert(squares * of_one, "m2", unit)), float(units.convert((squares - wanted) * of_one, "m2", unit)))
        for _, _, sizes, squares in kept[:count]
    ]
