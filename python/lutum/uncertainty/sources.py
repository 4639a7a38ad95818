"""Sources of error of a reading: each independent of all others, with distribution, size, and who says so."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, isfinite, sqrt
from typing import Any

import numpy as np

from lutum import units
from lutum.diagnosis.loading import MARKS
from lutum.diagnosis.shaping import check_shape

from .distributions import Distribution, Normal, OneSided, Rectangular, Triangular

__all__ = ["DISTRIBUTIONS", "RELATIVE", "Source", "source_of"]

RELATIVE = "% of the reading"
DISTRIBUTIONS = ("normal", "rectangular", "triangular", "one_sided")
SIZES = ("standard", "half_width", "resolution", "increment")
ROOTS = {"rectangular": 3.0, "triangular": 6.0}  # of the half-width


@dataclass(frozen=True, slots=True)
class Source:
    """One source of error of an instrument, independent of every other.

    One of four numbers says how large, in ``unit`` ("% of the reading" for one that grows with it): ``standard``, the standard
    uncertainty itself; ``half_width``, a tolerance to either side; ``resolution``, the step a reading is rounded to;
    ``increment``, the last step of a titration, for ``one_sided`` only: the true end point lies anywhere in it, below the reading.
    ``sample``: the number, in ``unit``, is of a sample this large, so that their ratio is meant (0.05 mL of a 50 mL cup).

    ``shared``: one and the same error is in all its readings, which are correlated by it; otherwise each has its own.
    ``readings``: those of the instrument it is in (all). ``against``: those it moves the other way.
    ``unless_zero``: readings that do not have it where they are exactly zero, as oil that is not there.
    ``mark``: seen, derived, from memory, or common practice, no source.
    """

    name: str
    distribution: str
    mark: str
    source: str = ""
    words: str = ""
    unit: str = ""
    standard: float | None = None
    half_width: float | None = None
    resolution: float | None = None
    increment: float | None = None
    sample: float | None = None
    degrees_of_freedom: float = inf
    shared: bool = False
    readings: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    unless_zero: tuple[str, ...] = ()

    @property
    def is_relative(self) -> bool:
        """Whether it grows with the reading."""
        return self.unit == RELATIVE

    @property
    def size(self) -> tuple[str, float]:
        """The number it is stated by, and which one that is."""
        return next((key, float(getattr(self, key))) for key in SIZES if getattr(self, key) is not None)

    @property
    def standard_uncertainty(self) -> float:
        """From its size by its distribution, in its unit; not yet divided by its sample."""
        key, number = self.size
        if key == "standard":
            return number
        if key == "increment":
            return number / sqrt(12.0)
        return (number / 2.0 if key == "resolution" else number) / sqrt(ROOTS[self.distribution])

    @property
    def mean(self) -> float:
        """The error to be expected, in standard uncertainties: none, but below the reading for a one-sided one."""
        return -sqrt(3.0) if self.distribution == "one_sided" else 0.0

    @property
    def reduced(self) -> Distribution:
        """Its distribution with standard uncertainty one."""
        if self.distribution == "normal":
            return Normal(0.0, 1.0)
        if self.distribution == "one_sided":
            return OneSided(0.0, sqrt(12.0))
        kind = Rectangular if self.distribution == "rectangular" else Triangular
        return kind(0.0, sqrt(ROOTS[self.distribution]))

    def change(self, reading: str, values: Any, unit: str) -> Any:
        """By how much one standard uncertainty of it moves a reading at these values, in their unit: signed, missing where they are."""
        x = np.asarray(values, float)
        if self.is_relative:
            change = self.standard_uncertainty / 100.0 * x
            change = change if self.shared else np.abs(change)
        else:
            change = np.where(np.isnan(x), np.nan, self._absolute(unit))
        if reading in self.unless_zero:
            change = np.where(x == 0.0, 0.0, change)
        return -change if reading in self.against else change

    def _absolute(self, unit: str) -> float:
        u, own = self.standard_uncertainty, self.unit or "Euc"
        if self.sample is not None:
            u, own = u / self.sample, "Euc"
        wanted = unit or "Euc"
        return u if own == wanted else float(units.convert(u, own, wanted)) - float(units.convert(0.0, own, wanted))


def source_of(table: Mapping[str, Any], where: str) -> Source:
    """A source from the table of a file. ValueError names the place and the key that is wrong."""
    check_shape(table, Source, where)
    given: dict[str, Any] = {k: tuple(x) if isinstance(x, list) else x for k, x in table.items()}
    return checked(Source(**given), where)


def checked(source: Source, where: str) -> Source:
    """The source, if it makes sense."""
    if source.distribution not in DISTRIBUTIONS:
        raise ValueError(f"{where}: distribution = {source.distribution!r}; it is one of {', '.join(DISTRIBUTIONS)}")
    if source.mark not in MARKS:
        raise ValueError(f"{where}: mark = {source.mark!r}; it is one of {', '.join(MARKS)}")
    if source.mark in ("seen", "derived") and not source.source:
        raise ValueError(f"{where}: source is missing; what is {source.mark} says from where")
    given = [key for key in SIZES if getattr(source, key) is not None]
    if len(given) != 1:
        raise ValueError(f"{where}: {' and '.join(given) or 'no size'} given; give one of {', '.join(SIZES)}")
    fit = {"normal": ("standard",), "one_sided": ("increment",)}.get(source.distribution, ("standard", "half_width", "resolution"))
    key, number = source.size
    if key not in fit:
        raise ValueError(f"{where}: {key} does not go with {source.distribution}; give {' or '.join(fit)}")
    if not (isfinite(number) and number >= 0.0):
        raise ValueError(f"{where}: {key} = {number:g} {source.unit} must be a number not below zero")
    if source.sample is not None and not (isfinite(source.sample) and source.sample > 0.0 and not source.is_relative):
        raise ValueError(f"{where}: sample = {source.sample:g}; it is above zero, in the unit of {key}, and has no place with {RELATIVE!r}")
    if not source.degrees_of_freedom > 0.0:
        raise ValueError(f"{where}: degrees_of_freedom = {source.degrees_of_freedom:g} must be above zero; leave it out for infinitely many")
    if source.against and not source.shared:
        raise ValueError(f"{where}: against = {list(source.against)} is for a source with shared = true; an error of its own has no direction")
    if source.unit not in ("", RELATIVE) and units.resolve(source.unit) is None:
        raise ValueError(f"{where}: unit = {source.unit!r} is no known unit; give a symbol such as mL, or {RELATIVE!r}")
    return source
