"""From a record to its numbers, and what speaks against them."""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from lutum import units
from lutum.titration.outcome import Estimate, Outcome, Reason
from lutum.titration.procedure import procedure
from lutum.titration.record import EndPoint, MudSample, SolidsSample, Spot, Titration

if TYPE_CHECKING:
    from lutum._sets import UnitSet

__all__ = ["outcome_of"]


class _Formula:
    """The calculation that fits the sample, in a unit set, as a function of the dye in mL."""

    def __init__(self, sample: MudSample | SolidsSample, dye_strength: float, home: "UnitSet") -> None:
        def given(value: float, unit: str, quantity: str) -> float:
            return float(units.convert(value, unit, home.unit(quantity)))

        strength = given(dye_strength, "meq/mL", "charge_concentration")
        if isinstance(sample, MudSample):
            self.calculation: Any = home.clay.methylene_blue
            self.record = {"sample_volume": given(sample.volume, "mL", "bench_volume"), "dye_strength": strength}
            self.names = ("capacity", "bentonite_equivalent")
        else:
            self.calculation = home.clay.solids_exchange_capacity
            moisture = given(sample.moisture, "kg/kg", "mass_fraction")
            self.record = {"sample_mass": given(sample.mass, "g", "bench_mass"), "dye_strength": strength, "moisture": moisture}
            self.names = ("exchange_capacity", "bentonite_equivalent_fraction")
        self.volume_unit = home.unit("bench_volume")
        self.results = {v.name: v for v in self.calculation.results}

    def volume(self, dye: float) -> float:
        return float(units.convert(dye, "mL", self.volume_unit))

    def values(self, dye: float) -> tuple[float, float]:
        r = self.calculation(dye_volume=self.volume(dye), **self.record)
        return getattr(r, self.names[0]), getattr(r, self.names[1])

    def equivalent(self, dye: float) -> str:
        """A volume of dye told as bentonite equivalent."""
        return f"{self.values(dye)[1]:.4g} {self.results[self.names[1]].unit}"

    def findings(self, dye: float) -> list[Any]:
        found: list[Any] = self.calculation.check(dye_volume=self.volume(dye), **self.record)
        return found


def outcome_of(record: Titration, home: "UnitSet") -> Outcome:
    """Numbers and reasons of a record in a unit set."""
    formula = _Formula(record.sample, record.reagents.dye_strength, home)
    point = record.end_point
    known = point.place is not None and point.width > 0
    centre = 0.5 * (point.lower + point.upper) if known else math.nan
    spread = point.width / math.sqrt(12.0) if known else math.nan
    at = [formula.values(dye) for dye in (point.upper, centre, point.lower)]
    slopes = formula.calculation.gradient(dye_volume=formula.volume(1.0), **formula.record)  # linear in the dye: the same anywhere
    end_point = Estimate(
        "end_point",
        "dye used to the end point",
        formula.volume_unit,
        *(formula.volume(dye) for dye in (point.upper, centre, spread, point.lower, point.upper)),
    )

    def estimate(k: int) -> Estimate:
        v = formula.results[formula.names[k]]
        u = abs(getattr(slopes, v.name).dye_volume) * formula.volume(spread)
        return Estimate(v.name, v.meaning, v.unit, at[0][k], at[1][k], u, at[2][k], at[0][k])

    reasons = tuple(_reasons(record, point, formula))
    return Outcome(f"Methylene blue titration of {record.sample}", end_point, estimate(0), estimate(1), reasons)


def _reasons(record: Titration, point: EndPoint, formula: _Formula) -> Iterator[Reason]:
    yield from _about_volumes(record)
    yield from _about_the_end_point(record, point, formula)
    yield from _about_the_size(record, point, formula)
    yield from _about_preparation(record)
    if point.place is not None:
        for finding in formula.findings(point.upper):
            yield Reason(finding.input, finding.is_error, finding.reason)


def _about_volumes(record: Titration) -> Iterator[Reason]:
    for i in range(1, len(record.increments)):
        before, here = record.increments[i - 1].dye_volume, record.increments[i].dye_volume
        if here <= before:
            yield Reason(
                "volumes_do_not_increase",
                True,
                f"increments[{i}].dye_volume = {here:g} mL is not above increments[{i - 1}].dye_volume, {before:g} mL; give all dye added so far, "
                "in the order of addition, and read the burette again.",
            )


def _about_the_end_point(record: Titration, point: EndPoint, formula: _Formula) -> Iterator[Reason]:
    minutes = procedure("mud").amounts["confirmation"]
    last = record.increments[-1]
    if point.place is None:
        yield Reason(
            "no_end_point",
            True,
            f"no halo stayed up to the last increment, {last.dye_volume:g} mL ({formula.equivalent(point.lower)}): the end point lies above; "
            f"go on with the dye, or take less {'mud' if isinstance(record.sample, MudSample) else 'solids'}.",
        )
        return
    if not point.confirmed:
        yield Reason(
            "no_confirmation",
            True,
            f"increments[{point.place}].spot = halo at {point.upper:g} mL was not confirmed by {minutes} more of swirling: the halo may go "
            "again and the end point lie higher than any figure given here; swirl and spot again.",
        )
        return
    for i, increment in enumerate(record.increments[: point.place]):
        if increment.spot is Spot.HALO and increment.dye_volume > point.lower:
            yield Reason(
                "skipped_confirmation",
                True,
                f"increments[{i}].spot = halo at {increment.dye_volume:g} mL was not confirmed by {minutes} more of swirling before dye was "
                f"added: the end point lies anywhere from {point.lower:g} to {point.upper:g} mL; confirm the first halo.",
            )
    for i, increment in enumerate(record.increments[point.place + 1 :], point.place + 1):
        if not increment.spot.shows_free_dye:
            yield Reason(
                "halo_lost_later",
                True,
                f"increments[{i}].spot = {increment.spot} at {increment.dye_volume:g} mL contradicts the halo held at {point.upper:g} mL; repeat the "
                "titration.",
            )


def _about_the_size(record: Titration, point: EndPoint, formula: _Formula) -> Iterator[Reason]:
    if point.place is None:
        return
    is_mud = isinstance(record.sample, MudSample)
    usual = procedure("mud" if is_mud else "solids").amounts
    size, unit = (record.sample.volume, "mL") if isinstance(record.sample, MudSample) else (record.sample.mass, "g")
    # What the usual step means, told as dye of the strength used on the sample taken.
    finest = usual["increment"].value * usual["dye_strength"].value / usual["sample"].value * size / record.reagents.dye_strength
    if point.width > finest * (1 + 1e-9):
        yield Reason(
            "coarse_increment",
            True,
            f"the last increment, {point.lower:g} to {point.upper:g} mL on {size:g} {unit}, is {formula.equivalent(point.width)} of bentonite "
            f"equivalent, above {formula.equivalent(finest)} ({usual['increment']} on {usual['sample']}, {usual['increment'].mark}); take steps of "
            f"{finest:.2g} mL or a larger sample.",
        )
    if not is_mud or not point.upper > 0:
        return
    least, most = usual["least_dye"], usual["most_dye"]
    if not least.value <= point.upper <= most.value:
        better = size * 0.5 * (least.value + most.value) / point.upper
        yield Reason(
            "dye_outside_range",
            True,
            f"end point = {point.upper:g} mL of dye is outside {least.value:g} to {most.value:g} mL ({least.mark}); take about {better:.2g} mL "
            f"of mud instead of {size:g} mL.",
        )


def _about_preparation(record: Titration) -> Iterator[Reason]:
    boil = procedure("mud" if isinstance(record.sample, MudSample) else "solids").amounts["boil"]
    sample, reagents, preparation = record.sample, record.reagents, record.preparation
    if preparation.boiled_dry:
        yield Reason(
            "boiled_dry",
            True,
            "preparation.boiled_dry = yes: clay that dried in acid is not dispersed again and its capacity has changed (common practice, no source); "
            "take a fresh sample and boil gently.",
        )
    minutes = preparation.boiled_minutes
    if minutes is not None and minutes < boil.value:
        yield Reason(
            "short_boil",
            True,
            f"preparation.boiled_minutes = {minutes:g} min is below {boil} ({boil.mark}): organics may be left and take up dye; boil a fresh "
            "sample longer.",
        )
    if sample.organics and not reagents.peroxide_volume:
        said = "is not recorded" if reagents.peroxide_volume is None else "= 0 mL"
        yield Reason(
            "no_peroxide",
            True,
            f"reagents.peroxide_volume {said} and sample.organics = yes: polymers, lignosulfonate and lignite take up dye and the capacity reads "
            "too high; repeat with peroxide.",
        )
    missing = {
        "preparation.boiled_minutes": minutes,
        "preparation.boiled_dry": preparation.boiled_dry,
        "reagents.peroxide_volume": reagents.peroxide_volume,
        "sample.organics": sample.organics,
    }
    silent = [name for name, value in missing.items() if value is None]
    if silent:
        yield Reason("not_recorded", False, f"{', '.join(silent)} not recorded: what they might say against the number is not known; record them.")
