"""One mud check, or a frame of them: raw readings in, every derived value they allow out, and the reason for every one they do not."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum._sets import UnitSet

from .asking import diagnosis_of, ranges_of
from .computing import Computed, Run, depends, gaps, run
from .gates import GATES, Gate, look
from .plan import FLUIDS, Plan, calculation_of, is_result, shipped
from .readings import in_other_set, in_set, names_of, quantity_of, texts_of
from .showing import frame_of, html_of, missing_in, missing_of, text_of
from .telling import Derived, Finding, finding, is_gap, told_once

if TYPE_CHECKING:
    import pandas as pd

    from lutum.calculation import Work
    from lutum.diagnosis import Diagnosis, Rules
    from lutum.ranges import Held, Table

__all__ = ["Derived", "Finding", "MudCheck", "MudChecks", "over", "readings"]


def readings(units_of: UnitSet | None = None, plan: Plan | None = None) -> dict[str, tuple[str, str]]:
    """Every reading a check can hold: its unit in the set (field) and its meaning.

    >>> from lutum import mud_check
    >>> mud_check.readings()["dye_volume"]
    ('mL', 'methylene blue solution used to the end point')
    """
    home = units_of or _set("field")
    return {name: (home.unit(quantity), meaning) for name, (quantity, meaning) in names_of(plan or shipped()).items()}


def _set(system: str) -> UnitSet:
    home: UnitSet = __import__(f"lutum.{system}", fromlist=["units_of_set"]).units_of_set
    return home


def _home(units_of: Any) -> UnitSet:
    if units_of is None:
        return _set("field")
    if isinstance(units_of, str):
        return _set(units_of)
    home: UnitSet = getattr(units_of, "units_of_set", units_of)
    return home


def _fluid(fluid: str) -> str:
    if fluid not in FLUIDS:
        raise ValueError(f"fluid = {fluid!r} is unknown; choose {' or '.join(FLUIDS)}")
    return fluid


class MudCheck:
    """All readings of one mud check, and what they say.

    ``readings``: by name (see ``mud_check.readings()``), each a number in the unit of the set, ``(number, unit)``, or a
    ``Reading`` with its unit, temperature and instrument; words such as ``salt`` are texts. ``fluid``: "water_base" or
    "non_aqueous". ``units``: ``field`` (default), ``metric``, ``si`` or a set of one's own. ``place`` and ``time``: where and
    when the sample was taken.

    A reading that is not there is missing, never zero; what needs it is missing too, and ``reason(name)`` says why.
    ValueError for a name or a unit that is not known. Example::

        check = MudCheck({"mud_density": 10.4, "dye_volume": 5.0, "dye_sample_volume": 2.0}, place="flow line")
        check["clay.methylene_blue.bentonite_equivalent"]   # lb/bbl
        check.work("clay.methylene_blue")                   # its worked solution
    """

    def __init__(
        self,
        readings: Mapping[str, Any],
        *,
        fluid: str = "water_base",
        units: Any = None,
        place: str = "",
        time: Any = None,
        plan: Plan | None = None,
        gates: tuple[Gate, ...] = GATES,
    ) -> None:
        self.units = _home(units)
        self.fluid, self.place, self.time = _fluid(fluid), place, time
        self.readings = dict(readings)
        self._plan, self._gates = plan or shipped(), gates
        words = {s.choice for s in self._plan if s.choice}
        for name in texts_of(readings):
            if name not in words:
                quantity_of(name, self._plan)
                raise ValueError(f"{name} must be a number, not {readings[name]!r}")
        self._columns: dict[str, Any] = {
            name: x if isinstance(x, str) else in_set(name, x, self._plan, self.units) for name, x in self.readings.items()
        }
        self._run = run(self._plan, self._columns, self.fluid, self.units, 1)

    def __getitem__(self, name: str) -> float:
        """The value of a derived name, or of a reading in the unit of the set; missing (NaN) with a reason, never an error, when known."""
        if name in self._run.values:
            return float(self._run.values[name][0])
        if name in self._columns and not isinstance(self._columns[name], str):
            return float(self._columns[name])
        if is_result(name):
            self._place(name)
        else:
            quantity_of(name, self._plan)
        return float("nan")

    def _place(self, name: str) -> tuple[str, Any]:
        """Calculation and variable of a derived name."""
        calculation_id, _, result = name.rpartition(".")
        step = self._plan.step(calculation_id)
        for v in calculation_of(step, self.units).results:
            if v.name == result or (v.is_list and result.startswith(f"{v.name}_")):
                return calculation_id, v
        raise ValueError(f"{calculation_id} has no result {result!r}")

    def values(self) -> dict[str, float]:
        """Readings and derived values by name, in the units of the set: what ``diagnosis`` and ``ranges`` look at."""
        numbers = {n: float(x) for n, x in self._columns.items() if not isinstance(x, str)}
        return numbers | {n: float(x[0]) for n, x in self._run.values.items()}

    @property
    def derived(self) -> list[Derived]:
        """Every derived value of the plan for this fluid, those that are missing with their reason."""
        found = []
        for step in self._plan:
            if self.fluid not in step.fluids:
                continue
            for name, v in self._names(step.calculation):
                value = self[name] if name in self._run.values else float("nan")
                found.append(Derived(name, value, v.unit, v.meaning, step.calculation, "" if value == value else self.reason(name)))
        return found

    def _names(self, calculation_id: str) -> list[tuple[str, Any]]:
        named = []
        for v in calculation_of(self._plan.step(calculation_id), self.units).results:
            if not v.is_list:
                named.append((f"{calculation_id}.{v.name}", v))
                continue
            named += [(n, v) for n in self._run.values if n.startswith(f"{calculation_id}.{v.name}_")]
        return named

    def reason(self, name: str) -> str:
        """Why a derived value is missing; empty when it is there."""
        calculation_id, v = self._place(name)
        if name in self._run.values and self[name] == self[name]:
            return ""
        if calculation_id in self._run.skipped:
            return self._run.skipped[calculation_id]
        computed = self._run.steps[calculation_id]
        told = []
        for source in gaps(computed, name.rpartition(".")[2]):
            why = self.reason(source) if is_result(source) else ""
            told.append(f"{source} is missing" + (f" ({why})" if why else f" ({names_of(self._plan)[source][1]})"))
        told = told or [f.reason for f in self._findings(computed)]
        return "; ".join(told) if told else f"{calculation_id} gives no number for {self._given(computed, name.rpartition('.')[2])}{self._verdict(computed)}"

    def _verdict(self, computed: Computed) -> str:
        """The verdict that goes without a finding, but for the first, which says that nothing is amiss."""
        verdicts = computed.calculation.verdicts
        given = computed.calculation.judge(**self._record(computed)) if verdicts else ""
        return next((f": {v.meaning}" for v in verdicts[1:] if v.name == given), "")

    def _given(self, computed: Computed, result: str) -> str:
        """The inputs a result follows from, in words: "ph = 9, hydroxide = 0 mg/L"."""
        wanted = {n for n, _ in depends(computed.calculation).get(result, ())}
        inputs = [v for v in computed.calculation.inputs if v.name in computed.inputs and (v.name in wanted or not wanted)]
        record = self._record(computed)
        return ", ".join(f"{v.name} = {record[v.name] if v.is_list else format(record[v.name], '.4g')} {v.unit}".rstrip() for v in inputs)

    @property
    def findings(self) -> list[Finding]:
        """What is impossible or improbable: limits and verdicts of every calculation, and the gates between readings."""
        found = [f for computed in self._run.steps.values() for f in self._findings(computed)]
        everything = {n: x for n, x in self._columns.items() if not isinstance(x, str)} | self._run.values
        for told in look(everything, self._unit_of, self.units, [None], self._gates):
            found.append(Finding(None, told.gate, told.severity, told.reason))
        return sorted(told_once(found), key=lambda f: f.severity != "error")

    def _unit_of(self, name: str) -> str:
        return self._run.units[name] if name in self._run.units else self.units.unit(quantity_of(name, self._plan))

    def _record(self, computed: Computed) -> dict[str, Any]:
        record: dict[str, Any] = {}
        for v in computed.calculation.inputs:
            if v.name in computed.inputs:
                x = np.asarray(computed.inputs[v.name], float)
                record[v.name] = x.reshape(-1, x.shape[-1])[0].tolist() if v.is_list else float(x.ravel()[0])
        if computed.choice is not None:
            record[computed.calculation.option.name] = computed.choice
        return record

    def _findings(self, computed: Computed) -> list[Finding]:
        own = computed.calculation.sheet.id
        told = [f for f in computed.calculation.check(**self._record(computed)) if not is_gap(computed.calculation, f)]
        empty = all(x[0] != x[0] for n, x in self._run.values.items() if n.startswith(f"{own}."))
        return [finding(None, own, f) for f in told if f.is_error or not empty]

    def work(self, calculation: str) -> "Work":
        """The worked solution of one of its calculations, with the numbers of this check."""
        if calculation not in self._run.steps:
            self._plan.step(calculation)
            raise ValueError(f"{calculation} was not computed: {self._run.skipped[calculation]}")
        computed = self._run.steps[calculation]
        work: Work = computed.calculation.work(**self._record(computed))
        return work

    def inputs(self, calculation: str) -> dict[str, tuple[Any, str]]:
        """What a calculation was given: by input the value, and whence: a reading, an earlier result, the plan or the default."""
        computed = self._run.steps[calculation]
        record = self._record(computed)
        return {
            v.name: (record.get(v.name, v.default), ", ".join(computed.sources.get(v.name, ())) or ("plan" if v.name in record else "default"))
            for v in computed.calculation.inputs
        }

    def to(self, units: Any) -> "MudCheck":
        """The same check in another unit set; its instruments, and temperatures in the new unit, stay with the readings."""
        home = _home(units)
        there = {name: in_other_set(name, x, self._plan, self.units, home) for name, x in self.readings.items()}
        return MudCheck(there, fluid=self.fluid, units=home, place=self.place, time=self.time, plan=self._plan, gates=self._gates)

    def diagnose(self, trend: Any = None, *, rules: "Rules | None" = None, **seen: Any) -> "Diagnosis":
        """Ranked hypotheses for this check, see ``lutum.diagnosis.diagnose``: a frame, a list of checks or ``MudChecks`` as trend.

        ``seen``: what was seen beside the readings. Example: ``check.diagnose(earlier, foam=True, formation="halite")``.
        """
        return diagnosis_of(self, trend, rules, seen)

    def ranges(self, fluid_type: str | None = None, table: "Table | None" = None) -> "Held":
        """This check against typical ranges, see ``lutum.ranges.hold``; those of all muds of its fluid unless a type is given."""
        held: Held = ranges_of(self, {self.fluid}, fluid_type, table)
        return held

    def __repr__(self) -> str:
        there, told = sum(d.value == d.value for d in self.derived), len(self.findings)
        return (
            f"<MudCheck {self.fluid.replace('_', '-')}{f', {self.place}' if self.place else ''}{f', {self.time}' if self.time is not None else ''}: "
            f"{len(self.readings)} readings, {there} derived values, {told} finding{'' if told == 1 else 's'}>"
        )

    def __str__(self) -> str:
        return text_of(self)

    def _repr_html_(self) -> str:
        return html_of(self)

    def frame(self) -> "pd.DataFrame":
        """Every derived value of the plan for this fluid, by name: value, unit, meaning, calculation, and the reason where it is missing."""
        return frame_of(self)

    def missing(self) -> "pd.DataFrame":
        """What is not derived and why: by calculation the results that are missing for the same reason."""
        return missing_of(self)


@dataclass(frozen=True, slots=True, repr=False)
class MudChecks:
    """Many checks at once: ``derived`` is a frame with the index of the readings and a column a derived value."""

    units: UnitSet
    readings: "pd.DataFrame"
    derived: "pd.DataFrame"
    unit_of: dict[str, str]
    skipped: dict[str, str]
    _run: Run
    _gates: tuple[Gate, ...]

    def __repr__(self) -> str:
        return f"<MudChecks: {len(self.readings)} checks, {self.derived.shape[1]} derived values, {len(self.skipped)} calculations without readings>"

    @property
    def values(self) -> "pd.DataFrame":
        """Readings and derived values side by side."""
        pandas = __import__("pandas")
        frame: pd.DataFrame = pandas.concat([self.readings, self.derived], axis=1)
        return frame

    def missing(self, all: bool = False) -> "pd.DataFrame":
        """How many rows of each derived value are missing, and of which readings it wants how many are. ``all``: those without a gap too."""
        return missing_in(self, all)

    def ranges(self, fluid_type: str | None = None, table: "Table | None" = None) -> "pd.DataFrame":
        """Every check against typical ranges: a row a check and range, see ``lutum.ranges.hold``."""
        fluids = set(self.readings["fluid"]) if "fluid" in self.readings else {self._run_fluid(None)}
        held: pd.DataFrame = ranges_of(self, fluids, fluid_type, table)
        return held

    def findings(self, steps: Iterable[str] | None = None) -> "pd.DataFrame":
        """What is impossible or improbable, row by row: limits and verdicts of the calculations, and the gates between readings.

        Every row is looked at one by one where a calculation has a word about it: some seconds for 100 000 checks. ``steps``: only these calculations.
        """
        pandas = __import__("pandas")
        found = []
        wanted = set(self._run.steps if steps is None else steps)
        for own, computed in self._run.steps.items():
            if own in wanted:
                found += self._of_step(computed)
        everything = {str(n): self.readings[n].to_numpy() for n in self.readings if self.readings[n].dtype.kind == "f"} | self._run.values
        for told in look(everything, lambda n: self.unit_of.get(n, ""), self.units, self.readings.index, self._gates):
            found.append(Finding(told.row, told.gate, told.severity, told.reason))
        frame: pd.DataFrame = pandas.DataFrame(told_once(found), columns=["row", "step", "severity", "reason"])
        return frame

    def _of_step(self, computed: Computed) -> list[Finding]:
        pandas = __import__("pandas")
        columns = {n: x if np.ndim(x) != 1 or _is_list(computed, n) else pandas.Series(x, index=self.readings.index) for n, x in computed.inputs.items()}
        if computed.choice is not None:
            columns[computed.calculation.option.name] = computed.choice
        meant = None if computed.rows is None else set(self.readings.index[computed.rows])
        own = computed.calculation.sheet.id
        told = (f for f in computed.calculation.check(**columns) if not is_gap(computed.calculation, f))
        rows = self.readings.index
        empty = set(rows[self.derived.filter(regex=f"^{own}[.]").isna().all(axis=1)])
        named = ((rows[f.row] if _is_place(f.row, columns) else f.row, f) for f in told)
        return [
            finding(row, own, f)
            for row, f in named
            if (meant is None or row in meant) and (f.is_error or row not in empty)
        ]

    def check(self, row: Any, *, place: str = "", time: Any = None) -> MudCheck:
        """One row as a ``MudCheck``, for its reasons and worked solutions."""
        cells = self.readings.loc[row]
        fluid = cells.get("fluid", self._run_fluid(row))
        given = {n: x if isinstance(x, str) else float(x) for n, x in cells.items() if n != "fluid"}
        return MudCheck(given, fluid=fluid, units=self.units, place=place, time=time)

    def _run_fluid(self, row: Any) -> str:
        return "water_base" if not self._run.skipped or all("water-base" not in r for r in self._run.skipped.values()) else "non_aqueous"


def _is_list(computed: Computed, name: str) -> bool:
    return any(v.name == name and v.is_list for v in computed.calculation.inputs)


def _is_place(row: Any, columns: Mapping[str, Any]) -> bool:
    return not any(hasattr(x, "index") and hasattr(x, "dtype") for x in columns.values()) and isinstance(row, int)


def over(
    frame: "pd.DataFrame",
    *,
    fluid: Any = "water_base",
    units: Any = None,
    columns: Mapping[str, str] | None = None,
    plan: Plan | None = None,
    gates: tuple[Gate, ...] = GATES,
) -> MudChecks:
    """Every check of a frame in one pass: each row a check, each column of a known name a reading in the units of the set.

    ``columns``: the frame's column for a reading where it has another name. ``fluid``: one for all, or a column of them. Columns
    of other names are left alone. Example::

        checks = mud_check.over(frame, units=metric, columns={"mud_density": "density"})
        checks.derived["solids.water_base_retort.low_gravity_fraction"]
    """
    from lutum._columns import numbers

    pandas = __import__("pandas")
    home, plan = _home(units), plan or shipped()
    known = names_of(plan)
    words = {s.choice for s in plan if s.choice}
    named = {name: name for name in (*known, *words) if name in frame.columns}
    for name, column in (columns or {}).items():
        if name not in known and name not in words:
            quantity_of(name, plan)
        if column not in frame.columns:
            raise ValueError(f"no column {column!r} for {name}; the frame has {', '.join(map(str, frame.columns))}")
        named[name] = column
    taken = {name: frame[column].to_numpy(object) if name in words else np.ascontiguousarray(numbers(frame[column], f"column {column!r}")) for name, column in named.items()}
    fluids = fluid if isinstance(fluid, str) else np.asarray(fluid, object)
    for one in {fluids} if isinstance(fluids, str) else set(fluids):
        _fluid(one)
    made = run(plan, taken, fluids, home, len(frame))
    derived = pandas.DataFrame(made.values, index=frame.index, copy=False)
    unit_of = {name: home.unit(known[name][0]) for name in taken if name in known} | made.units
    derived.attrs["units"] = dict(made.units)
    read = pandas.DataFrame(taken, index=frame.index, copy=False)
    if not isinstance(fluids, str):
        read["fluid"] = fluids
    return MudChecks(home, read, derived, unit_of, made.skipped, made, gates)
