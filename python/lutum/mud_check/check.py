"""One mud check, or a frame of them: raw readings in, every derived value they allow out, and the reason for every one they do not."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum._sets import UnitSet

from .asking import diagnosis_of, ranges_of
from .computing import Computed, Run, depends, gaps, run
from .gates import GATES, Gate, look
from .plan import FLUIDS, Plan, calculation_of, is_result, shipped
from .readings import Reading, in_other_set, in_set, names_of, quantity_of, texts_of, unused
from .showing import frame_of, html_of, missing_of, text_of
from .sure import bounded, budgets_of, errors_of_table, is_noise, simulated
from .telling import Derived, Finding, finding, is_gap, told_once

if TYPE_CHECKING:
    import pandas as pd

    from lutum.calculation import Work
    from lutum.diagnosis import Diagnosis, Rules
    from lutum.ranges import Held, Table
    from lutum.uncertainty import Budgets, PhysicalEstimate, Simulation
    from lutum.uncertainty import Table as Instruments

__all__ = ["Derived", "Finding", "MudCheck", "readings"]


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


def unit_set_of(units_of: Any) -> UnitSet:
    if units_of is None:
        return _set("field")
    if isinstance(units_of, str):
        return _set(units_of)
    home: UnitSet = getattr(units_of, "units_of_set", units_of)
    return home


def fluid_named(fluid: str) -> str:
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
        gates: tuple[Gate, ...] | None = None,
    ) -> None:
        self.units = unit_set_of(units)
        self.fluid, self.place, self.time = fluid_named(fluid), place, time
        self.readings = dict(readings)
        self._plan, self._gates = plan or shipped(), GATES if gates is None else gates
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
        elif name not in names_of(self._plan) and (whole := [d.name for d in self.derived if d.name.endswith(f".{name}")]):
            raise ValueError(f"{name!r} is only the last part of {', '.join(whole)}: give the whole name")
        else:
            quantity_of(name, self._plan)
        return float("nan")

    def _place(self, name: str) -> tuple[str, Any]:
        """Calculation and variable of a derived name."""
        if not is_result(name):
            whole = [d for step in self._plan for d, _ in self._names(step.calculation) if d.endswith(f".{name}")]
            raise ValueError(f"{name!r} is no derived value" + (f"; did you mean {' or '.join(whole)}?" if whole else "; they are called area.calculation.result"))
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
        told: list[str] = []
        for source in gaps(computed, name.rpartition(".")[2]):
            if is_result(source):
                told += [f"{why}, through {source.rpartition('.')[0]}" for why in self._roots(source)]
            else:
                told.append(f"{source} is missing ({names_of(self._plan)[source][1]})")
        told = list(dict.fromkeys(told))
        told = told or [f.reason for f in self._findings(computed)]
        return "; ".join(told) if told else f"{calculation_id} gives no number for {self._given(computed, name.rpartition('.')[2])}{self._verdict(computed)}"

    def _roots(self, name: str) -> list[str]:
        """Why an earlier result is missing, without the steps between."""
        return [why.split(", through ")[0] for why in self.reason(name).split("; ")]

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
        for name in unused(self.readings, self._plan, {self.fluid}):
            other = next(f for f in FLUIDS if f != self.fluid)
            found.append(Finding(None, name, "caution", f"{name} was not used: it belongs to a {other.replace('_', '-')} mud; say fluid={other!r} if this is one"))
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

    def _is_noise(self, own: str, verdict: str) -> bool:
        return is_noise(verdict, own, self.__getitem__, lambda name: self.uncertainty(name)[name].combined)

    def _findings(self, computed: Computed) -> list[Finding]:
        own = computed.calculation.sheet.id
        told = [f for f in computed.calculation.check(**self._record(computed)) if not is_gap(computed.calculation, f) and not self._is_noise(own, f.input)]
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
        home = unit_set_of(units)
        there = {name: in_other_set(name, x, self._plan, self.units, home) for name, x in self.readings.items()}
        return MudCheck(there, fluid=self.fluid, units=home, place=self.place, time=self.time, plan=self._plan, gates=self._gates)

    def uncertainty(
        self, *names: str, table: "Instruments | None" = None, instruments: Mapping[str, str] | None = None, coverage: float = 0.95
    ) -> "Budgets":
        """How sure derived values are: a budget of each (JCGM 100), from the errors of the readings through the whole chain.

        ``table``: instruments, ``lutum.uncertainty.shipped()`` unless given. ``instruments``: which one took a reading, where it is not
        the usual one: ``check.uncertainty(name, instruments={"water_fraction": "retort_10_mL", "oil_fraction": "retort_10_mL"})``; a
        ``Reading`` whose instrument has a name in the table needs no more.
        """
        return budgets_of(self._plan, self._columns, self.fluid, self.units, names, table, self._taken_on(table, instruments), coverage)

    def simulate(self, *names: str, table: "Instruments | None" = None, instruments: Mapping[str, str] | None = None, **how: Any) -> "Simulation":
        """The same by Monte Carlo (JCGM 101), see ``lutum.uncertainty.monte_carlo`` for ``seed=`` and the rest."""
        return simulated(self._plan, self._columns, self.fluid, self.units, names, table, self._taken_on(table, instruments), **how)

    def bounded(
        self, bounds: Mapping[str, tuple[float | None, float | None]], *, table: "Instruments | None" = None, instruments: Mapping[str, str] | None = None
    ) -> "PhysicalEstimate":
        """Derived values with the least change of the readings that brings them inside their bounds: an estimate, labelled so, beside the signed values."""
        columns = {n: x if isinstance(x, str) else np.array([x], float) for n, x in self._columns.items()}
        errors = errors_of_table(table, self._taken_on(table, instruments))
        return bounded(self._plan, columns, self.fluid, self.units, 1, bounds, errors, single=True)

    def _taken_on(self, table: "Instruments | None", instruments: Mapping[str, str] | None) -> dict[str, str]:
        from lutum.uncertainty import shipped as instruments_shipped

        known = {i.name for i in table or instruments_shipped()}
        own = {n: x.instrument for n, x in self.readings.items() if isinstance(x, Reading) and x.instrument in known}
        return own | dict(instruments or {})

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
