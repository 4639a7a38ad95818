"""Consistency of a check as a whole: what its readings and results must be to each other, and what no single calculation sees.

Each gate looks at columns of a check (readings and derived values) and marks the rows where it does not hold.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lutum import units

__all__ = ["GATES", "Gate", "Told", "look"]

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Gate:
    """``needs``: the columns it looks at. ``test(columns, home)``: the rows that fail, or a pair with the size of the misfit.

    ``severity``: "error" (impossible) or "caution" (improbable). ``says``: a sentence with the columns' names as places.
    """

    name: str
    needs: tuple[str, ...]
    severity: str
    says: str
    source: str
    test: Callable[[Mapping[str, Any], Any], Any]


@dataclass(frozen=True, slots=True)
class Told:
    """What a gate found in one row."""

    row: Any
    gate: str
    severity: str
    reason: str
    source: str


def _in(home: Any, quantity: str, value: float, unit: str) -> float:
    """A tolerance in the set's unit: a difference, so the zero of a scale plays no part."""
    to = units.resolve(home.unit(quantity)) or unit
    return float(units.convert(value, unit, to) - units.convert(0.0, unit, to))


def _falling(fast: str, slow: str) -> Gate:
    return Gate(
        f"{fast}_below_{slow}", (fast, slow), "caution",
        f"{{{fast}}} deg at the faster speed is below {{{slow}}} deg at the slower one ({fast}, {slow}): read both again; the dial error is about 1 deg",
        PRACTICE, lambda c, home: c[fast] < c[slow] - 1.0,
    )  # fmt: skip


VISCOMETER = "rheology.viscometer."
GATES: tuple[Gate, ...] = (
    Gate(
        "retort_does_not_close", ("water_fraction", "oil_fraction", "solids_fraction"), "caution",
        "retort water {water_fraction}, oil {oil_fraction} and solids {solids_fraction} do not make the whole within 1 % of the volume: "
        "one of them is wrong, or the solids were not taken by difference",
        "volume balance; the 1 % for rounding is " + PRACTICE,
        lambda c, home: np.abs(c["water_fraction"] + c["oil_fraction"] + c["solids_fraction"] - _in(home, "volume_fraction", 1.0, "m3/m3"))
        > _in(home, "volume_fraction", 0.01, "m3/m3"),
    ),
    *(_falling(f"reading_{fast}", f"reading_{slow}") for fast, slow in ((600, 300), (300, 200), (200, 100), (100, 6), (6, 3))),
    Gate(
        "plastic_viscosity_is_not_the_readings", ("plastic_viscosity", VISCOMETER + "plastic_viscosity"), "caution",
        "the reported plastic viscosity {plastic_viscosity} is not what the dial readings give, {" + VISCOMETER + "plastic_viscosity}: "
        "another temperature, or a slip in copying", "definition: reading at 600 less reading at 300 r/min",
        lambda c, home: np.abs(c["plastic_viscosity"] - c[VISCOMETER + "plastic_viscosity"]) > _in(home, "viscosity", 1.0, "cP"),
    ),
    Gate(
        "yield_point_is_not_the_readings", ("yield_point", VISCOMETER + "yield_point"), "caution",
        "the reported yield point {yield_point} is not what the dial readings give, {" + VISCOMETER + "yield_point}: "
        "another temperature, or a slip in copying", "definition: reading at 300 r/min less the plastic viscosity",
        lambda c, home: np.abs(c["yield_point"] - c[VISCOMETER + "yield_point"]) > _in(home, "stress", 1.0, "0.01 lbf/ft2"),
    ),
    Gate(
        "bentonite_equivalent_is_not_the_titration", ("bentonite_equivalent", "clay.methylene_blue.bentonite_equivalent"), "caution",
        "the reported bentonite equivalent {bentonite_equivalent} is not what the dye used gives, {clay.methylene_blue.bentonite_equivalent}",
        "5 lb/bbl for each mL of dye per mL of mud, by the test's definition",
        lambda c, home: np.abs(c["bentonite_equivalent"] - c["clay.methylene_blue.bentonite_equivalent"]) > _in(home, "concentration", 1.25, "lbm/bbl"),
    ),
    Gate(
        "calcium_above_hardness", ("calcium", "total_hardness_as_calcium"), "error",
        "calcium {calcium} is more than the total hardness as calcium, {total_hardness_as_calcium}: a titration is wrong",
        "hardness counts calcium and magnesium", lambda c, home: c["calcium"] > 1.05 * c["total_hardness_as_calcium"],
    ),
    Gate(
        "lime_at_too_low_a_ph", ("chemistry.lime_content.excess_lime", "ph"), "caution",
        "excess lime {chemistry.lime_content.excess_lime} at pH {ph}: undissolved lime holds the filtrate near pH 12.4, so something else took the acid "
        "of Pm (carbonate, other alkaline solids), or a titration or the pH is off",
        "saturated lime water has pH 12.4 at 25 degC; from memory",
        lambda c, home: (c["chemistry.lime_content.excess_lime"] > _in(home, "concentration", 0.5, "lbm/bbl")) & (c["ph"] < 11.5),
    ),
    Gate(
        "density_in_and_out_differ", ("density_in", "density_out"), "caution",
        "density in {density_in} and out {density_out} differ by more than 0.2 lb/gal: gas, water or sag. Check for flow before anything is treated; "
        "well control comes first, by local rules and licensed practice",
        "the figure of the US rule on tripping, 30 CFR 250.456",
        lambda c, home: np.abs(c["density_in"] - c["density_out"]) > _in(home, "density", 0.2, "lbm/gal[US]"),
    ),
    Gate(
        "sand_above_low_gravity", ("sand_fraction", "solids.retort_with_brine.low_gravity_fraction"), "caution",
        "sand {sand_fraction} is more than all low-gravity solids, {solids.retort_with_brine.low_gravity_fraction}: the retort, the density or the sand "
        "reading is off", "sand is part of the low-gravity solids",
        lambda c, home: c["sand_fraction"] > c["solids.retort_with_brine.low_gravity_fraction"] + _in(home, "volume_fraction", 0.01, "m3/m3"),
    ),
    Gate(
        "hot_filtrate_below_cold", ("hot_filtrate_volume", "filtrate_volume"), "caution",
        "the filtrate at high temperature and pressure, {hot_filtrate_volume}, is below the one at room temperature, {filtrate_volume}: was it doubled "
        "for the half-area cell?", PRACTICE, lambda c, home: c["hot_filtrate_volume"] < c["filtrate_volume"],
    ),
)  # fmt: skip


def look(columns: Mapping[str, Any], unit_of: Callable[[str], str], home: Any, index: Any, gates: tuple[Gate, ...] = GATES) -> list[Told]:
    """What the gates say about the rows; a gate whose columns are not all there says nothing, nor where a value is missing."""
    told = []
    for gate in gates:
        if any(name not in columns for name in gate.needs):
            continue
        failing = np.flatnonzero(np.atleast_1d(gate.test(columns, home)))
        for place in failing:
            sentence = gate.says
            for name in gate.needs:
                value = np.atleast_1d(columns[name])
                value = value[place] if len(value) > 1 else value[0]
                sentence = sentence.replace(f"{{{name}}}", f"{value:.4g} {unit_of(name)}".rstrip() if unit_of(name) != "deg" else f"{value:.4g}")
            told.append(Told(index[place], gate.name, gate.severity, sentence, gate.source))
    return told
