"""Every calculation whose inputs the records have, for all rows in one batch each, with its uncertainty and its gaps explained."""

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from lutum import mud_check, units
from lutum.records import Records
from lutum.records.columns import PRACTICE, dial_speed

from .study import CAUTION, ERROR, MISSING, Study, reason_frame

# what a study of offset wells computes unless told otherwise
USUAL = ("clay.methylene_blue", "brine.sodium_chloride", "solids.water_base_retort", "rheology.viscometer")


@dataclass(frozen=True)
class Standard:
    """Standard uncertainty of a reading or an assumed input: `value` in `unit`, or in per cent of the reading."""

    value: float
    unit: str
    source: str = PRACTICE

    def of(self, values: Any, unit: str) -> Any:
        """The uncertainty of these values, in their unit."""
        if self.unit == "% of the reading":
            return self.value / 100.0 * np.abs(values)
        if unit in ("", self.unit):
            return self.value
        return units.convert(self.value, self.unit, unit) - units.convert(0.0, self.unit, unit)


STANDARD = {
    "mud_density": Standard(0.05, "lb/gal"),
    "water_fraction": Standard(0.5, "%[vol]"),
    "oil_fraction": Standard(0.5, "%[vol]"),
    "chloride": Standard(3.0, "% of the reading"),
    "low_gravity_density": Standard(50.0, "kg/m3"),
    "high_gravity_density": Standard(100.0, "kg/m3"),
}


def compute(
    records: Records,
    *,
    calculations: Iterable[str] | None = None,
    columns: Mapping[str, Mapping[str, Any]] | None = None,
    given: Mapping[str, Mapping[str, Any]] | None = None,
    rows: Mapping[str, Any] | None = None,
    uncertainties: Mapping[str, Standard] | None = None,
    threads: int = 1,
) -> Study:
    """The usual calculations of a study (or those named by id), each in one batch where the records have its inputs, as a `Study`.

    `columns`: by calculation id, a column for an input where it is not the one of its own name; a column may be a result
    of an earlier calculation. `given`: by id, one value of an input for all rows. `rows`: by id, a mask of the rows the
    calculation is meant for, such as the water-base muds; the others are missing, with the reason. `uncertainties`: standard
    uncertainties of inputs by name, beside or instead of `STANDARD` (those are common practice and have no source); a name that
    no calculation uses is refused. Results that carry none are named in `assumptions`.

        study = compute(checks, given={"solids.water_base_retort": {"oil_density": 7.0}})
        study["low_gravity_fraction"], study.uncertainty["water_base_retort.low_gravity_fraction"], study.reasons
    """
    columns, given, rows = dict(columns or {}), dict(given or {}), dict(rows or {})
    home = records.unit_set
    known = {**STANDARD, **_checked(home, uncertainties or {})}
    ids = [c.sheet.id for c in home]
    wanted = list(USUAL if calculations is None else calculations)
    for name in {*wanted, *columns, *given, *rows} - set(ids):
        raise ValueError(f"no calculation is called {name!r}; there are {', '.join(ids)}")
    data = records.data.copy()
    results: dict[str, Any] = {}
    kept_units = dict(records.units)
    spread: dict[str, Any] = {}
    used: set[str] = set()
    bare: dict[str, str] = {}
    reasons: list[dict[str, Any]] = []
    skipped: list[dict[str, str]] = []
    for calculation in home:
        own = calculation.sheet.id
        if own not in wanted:
            continue
        frame = data.assign(**results)
        wires, lacking = _wires(calculation, frame, columns.get(own, {}), given.get(own, {}))
        if lacking:
            skipped.append({"calculation": own, "reason": f"the records have no {', '.join(lacking)}"})
            continue
        chosen = _mask(rows.get(own), data, own)
        inputs = _inputs(calculation, frame, wires, given.get(own, {}), chosen)
        name = own.partition(".")[2]
        made = calculation.over(pd.DataFrame(index=data.index), threads=threads, **inputs)
        for result in made:
            column = f"{name}.{_by_speed(result, inputs.get('speed'))}"
            results[column] = made[result].to_numpy()
            kept_units[column] = made.attrs["units"][result]
        if calculation.verdicts:
            results[f"{name}.verdict"] = np.asarray(calculation.judge(**inputs), object)
        stated = _stated(calculation, inputs, known)
        if stated and not calculation.has_lists:
            answers = calculation.uncertainty(**inputs, standard=stated, coverage_factor=1.0)
            spread.update({f"{name}.{v.name}": np.asarray(a.combined) for v, a in zip(calculation.results, answers)})
            used.update(stated)
        else:
            bare[own] = "its readings are lists" if calculation.has_lists else "none is stated for its inputs"
        reasons += _reasons(calculation, records, data, inputs, wires, chosen)
    added = pd.DataFrame(results, index=data.index)
    return Study(
        records, pd.concat([data, added], axis=1), kept_units, pd.DataFrame(spread, index=data.index), reason_frame(reasons),
        pd.DataFrame(skipped, columns=["calculation", "reason"]), _said(known, used, bare), tuple(results),
    )  # fmt: skip


def _wires(
    calculation: Any, frame: pd.DataFrame, columns: Mapping[str, Any], given: Mapping[str, Any]
) -> tuple[dict[str, Any], list[str]]:
    """Column (or columns) of every input that has one, and the required inputs that have none."""
    own = calculation.sheet.id
    names = [v.name for v in calculation.inputs]
    for unknown in {*columns, *given} - set(names):
        raise ValueError(f"{own} has no input {unknown!r}; it has {', '.join(names)}")
    wires: dict[str, Any] = {}
    lacking = []
    dials = sorted((c for c in map(str, frame) if dial_speed(c) is not None), key=lambda c: -(dial_speed(c) or 0.0))
    for v in calculation.inputs:
        if v.name in given:
            continue
        source = columns.get(v.name, _read_from(own, v.name))
        if own == "rheology.viscometer" and v.name in ("reading", "speed") and v.name not in columns:
            source = dials
        listed = [source] if isinstance(source, str) else list(source)
        absent = [c for c in listed if c not in frame]
        if v.name in columns and absent:
            raise ValueError(f"{own}: no column {absent[0]!r} for {v.name}")
        if listed and not absent:
            wires[v.name] = listed if v.is_list else source
        elif v.required:
            lacking.append(f"{v.name}" if source == v.name or not listed else f"{', '.join(absent)} (for {v.name})")
    return wires, lacking


def _read_from(own: str, name: str) -> Any:
    """The reading that the plan of a mud check gives to an input; none where the plan leaves the input at its default."""
    for step in mud_check.shipped():
        if step.calculation == own:
            return next((r for r in step.reads.get(name, ()) if r.count(".") < 2), [])
    return name


def _inputs(
    calculation: Any, frame: pd.DataFrame, wires: Mapping[str, Any], given: Mapping[str, Any], chosen: Any
) -> dict[str, Any]:
    inputs: dict[str, Any] = dict(given)
    for v in calculation.inputs:
        source = wires.get(v.name)
        if source is None:
            continue
        if v.name == "speed" and calculation.sheet.id == "rheology.viscometer":
            inputs[v.name] = np.array([dial_speed(c) for c in source])
            rpm = next(i for i in calculation.inputs if i.name == "speed").unit_symbol
            inputs[v.name] = units.convert(inputs[v.name], "rpm", rpm)
        elif v.is_list:
            inputs[v.name] = np.where(chosen[:, None], frame[source].to_numpy(float), np.nan)
        else:
            inputs[v.name] = pd.Series(np.where(chosen, frame[source].to_numpy(float), np.nan), index=frame.index)
    return inputs


def _mask(given: Any, data: pd.DataFrame, own: str) -> Any:
    if given is None:
        return np.ones(len(data), bool)
    mask = np.asarray(given)
    if mask.dtype != bool or mask.shape != (len(data),):
        raise ValueError(f"rows[{own!r}] must be a mask, True or False for each of the {len(data)} rows")
    return mask


def _checked(home: Any, given: Mapping[str, Any]) -> dict[str, Standard]:
    """The uncertainties given, if each is a `Standard` for an input that carries one."""
    symbols = {v.name: v.unit_symbol for c in home if not c.has_lists for v in c.inputs}
    for name, one in given.items():
        if name not in symbols:
            near = get_close_matches(str(name), symbols, 1)
            meant = f"did you mean {near[0]!r}? " if near else ""
            raise ValueError(
                f"uncertainties: no calculation carries the uncertainty of an input {name!r}; {meant}known are {', '.join(sorted(symbols))}"
            )
        if not isinstance(one, Standard):
            raise TypeError(
                f"uncertainties[{name!r}] is {one!r}, which has no unit; give Standard(value, unit, source) of lutum.offset, such as "
                f"Standard(0.05, {symbols[name]!r}, 'own repeat readings')"
            )
    return dict(given)


def _stated(calculation: Any, inputs: Mapping[str, Any], known: Mapping[str, Standard]) -> dict[str, Any]:
    stated = {}
    for v in calculation.inputs:
        if v.name in known and not v.is_list:
            values = inputs.get(v.name, v.default)
            # a missing reading has no per cent of itself; its result is missing whatever stands here
            stated[v.name] = known[v.name].of(np.nan_to_num(values), v.unit_symbol)
    return stated if any(name in inputs for name in stated) else {}


def _reasons(
    calculation: Any, records: Records, data: pd.DataFrame, inputs: Mapping[str, Any], wires: Mapping[str, Any], chosen: Any
) -> list[dict[str, Any]]:
    """What `check` finds, by file and row; the records' problems tell why a cell is empty."""
    own = calculation.sheet.id
    well = next(c for c in ("wellbore", "wellbore_id", "well", "file") if c in data)
    place = {label: (f, int(r), w) for label, f, r, w in zip(data.index, data["file"], data["row"], data[well])}
    kept = {v.name: v.unit for v in calculation.inputs}
    unread = {(p["file"], p["row"], p["column"]): f"{p['raw']!r}: {p['reason']}" for p in records.problems.to_dict("records")}
    left_out = set(data.index[~chosen])
    found = []
    for finding in calculation.check(**inputs):
        if finding.row in left_out:
            continue
        file, row, name = place[finding.row]
        # what is said about a record as a whole goes by the verdict's name and has no value
        gap = finding.input in kept and finding.value != finding.value
        column = wires.get(finding.input, finding.input)
        column = column if isinstance(column, str) else ", ".join(column)
        why = unread.get((file, row, column))
        found.append({
            "file": file, "row": row, "well": name, "step": own, "input": column, "value": finding.value, "unit": kept.get(finding.input, ""),
            "severity": MISSING if gap and finding.is_error else ERROR if finding.is_error else CAUTION,
            "reason": finding.reason.removeprefix(f"{own}: ") + (f" The cell holds {why}" if why else ""),
        })  # fmt: skip
    found += _other_gaps(calculation, data, inputs, wires, chosen, {(f["file"], f["row"], f["input"]) for f in found}, place)
    for label in data.index[~chosen]:
        file, row, name = place[label]
        found.append({
            "file": file, "row": row, "well": name, "step": own, "input": "", "value": np.nan, "unit": "", "severity": MISSING,
            "reason": "left out by rows=: the calculation is not meant for this mud",
        })  # fmt: skip
    return found


def _other_gaps(
    calculation: Any,
    data: pd.DataFrame,
    inputs: Mapping[str, Any],
    wires: Mapping[str, Any],
    chosen: Any,
    told: set[Any],
    place: Any,
) -> list[dict[str, Any]]:
    """Gaps that `check` has no word for: a reading of a list, an optional input."""
    found = []
    for v in calculation.inputs:
        if v.name not in wires or v.name == "speed":
            continue
        columns = wires[v.name] if v.is_list else [wires[v.name]]
        values = np.asarray(inputs[v.name], float).reshape(len(data), len(columns))
        for column, gap in zip(columns, (np.isnan(values) & chosen[:, None]).T, strict=True):
            for label in data.index[gap]:
                file, row, well = place[label]
                if (file, row, column) not in told:
                    words = f"{column} ({v.meaning}) is missing: so are the results that need it"
                    found.append({
                        "file": file, "row": row, "well": well, "step": calculation.sheet.id, "input": column, "value": np.nan,
                        "unit": v.unit, "severity": MISSING, "reason": words,
                    })  # fmt: skip
    return found


def _by_speed(result: str, speeds: Any) -> str:
    """Results that are lists over the dial speeds carry the speed instead of their place in the list."""
    stem, _, place = result.rpartition("_")
    if speeds is None or stem not in ("shear_rate", "wall_stress"):
        return result
    return f"{stem}_{np.asarray(speeds)[int(place) - 1]:g}"


def _said(known: Mapping[str, Standard], used: set[str], bare: Mapping[str, str]) -> dict[str, str]:
    said = {}
    if bare:
        parts = [f"{own} ({why})" for own, why in bare.items()]
        said["no uncertainty"] = f"These results carry no uncertainty, nor does what is calculated from them: {'; '.join(parts)}."
    if not used:
        return said
    parts = [f"{n} {s.value:g} {s.unit.replace('[vol]', '')} ({s.source})" for n, s in known.items() if n in used]
    return {"uncertainty": "Standard uncertainties, taken as uncorrelated: " + "; ".join(parts) + ".", **said}
