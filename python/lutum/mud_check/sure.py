"""How sure a check is: budgets of its derived values, a standard uncertainty beside every value of a frame, bounds and draws.

The errors of the readings come from a table of instruments (``lutum.uncertainty``). They go through the whole chain with
their signs, so results of the same retort or the same viscometer stay correlated.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from .computing import Run, run
from .plan import Plan, is_result
from .propagating import Errors, Followed, follow, follow_blocks

if TYPE_CHECKING:
    from lutum.uncertainty import Budgets, PhysicalEstimate, Simulation, Table

__all__ = ["bounded", "budgets_of", "errors_of_table", "is_noise", "one_per_reading", "simulated"]

SIGNED = {"negative_low_gravity": "low_gravity_fraction", "negative_high_gravity": "high_gravity_fraction"}  # by verdict, the result that is negative


def _u() -> Any:
    """The package of instruments and budgets, when it is first needed."""
    from lutum import uncertainty

    return uncertainty


def errors_of_table(table: "Table | None", instruments: Mapping[str, str]) -> Errors:
    """Every source of every reading. A default that nobody read has only the spread of what is assumed."""
    known = table or _u().shipped()
    taken_on = cache(lambda name: known.for_reading(name, instruments.get(name)))

    @cache
    def sources(name: str, unit: str) -> list[tuple[str, Any, Any]]:
        """Full name and source of each, and its change where that is the same at all values, else None."""
        own = taken_on(name).of(name)
        return [(full, s, None if s.is_relative or name in s.unless_zero else s.change(name, 0.0, unit)) for full, s in own]

    def errors(name: str, values: Any, unit: str, read: bool) -> list[tuple[str, Any]]:
        if not read and not taken_on(name).assumed:
            return []
        return [(full, source.change(name, values, unit) if same is None else same) for full, source, same in sources(name, unit)]

    return errors


def one_per_reading(errors: Errors) -> Errors:
    """The same with the sources that touch one reading only put together: fewer to follow, the same uncertainty."""

    def fewer(name: str, values: Any, unit: str, read: bool) -> list[tuple[str, Any]]:
        found = errors(name, values, unit, read)
        own = [x for source, x in found if source.endswith(f".{name}")]
        shared = [(source, x) for source, x in found if not source.endswith(f".{name}")]
        if not own:
            return shared
        return [(name, own[0] if len(own) == 1 else np.sqrt(sum(np.square(x) for x in own)))] + shared

    return fewer


def _followed(plan: Plan, columns: Mapping[str, Any], fluid: str, home: Any, errors: Errors) -> Followed:
    arrays = {n: x if isinstance(x, str) else np.array([x], float) for n, x in columns.items()}
    return follow(plan, arrays, fluid, home, 1, errors)


def budgets_of(
    plan: Plan, columns: Mapping[str, Any], fluid: str, home: Any, names: Sequence[str], table: "Table | None", instruments: Mapping[str, str], coverage: float
) -> "Budgets":
    """Budgets of derived values of one check, source by source, with the covariance between them."""
    known = table or _u().shipped()
    followed = _followed(plan, columns, fluid, home, errors_of_table(known, instruments))
    for name in names:
        if name not in followed.run.values or not np.isfinite(followed.run.values[name][0]):
            raise ValueError(f"{name} is missing: there is no budget of a missing value; reason({name!r}) says why")
    slopes = {n: {s: float(np.ravel(x)[0]) for s, x in followed.changes[n].items() if np.any(x != 0.0)} for n in names}
    sources = list(dict.fromkeys(s for changes in slopes.values() for s in changes))
    made: Budgets = _u().budgets(
        {n: float(followed.run.values[n][0]) for n in names},
        {n: {s: slopes[n].get(s, 0.0) for s in sources} for n in names},
        dict.fromkeys(sources, 1.0),  # a change is that of one standard uncertainty of its source
        degrees_of_freedom=known.degrees_of_freedom(sources), coverage=coverage,
        units={n: followed.run.units[n] for n in names},
    )  # fmt: skip
    return made


def simulated(
    plan: Plan, columns: Mapping[str, Any], fluid: str, home: Any, names: Sequence[str], table: "Table | None", instruments: Mapping[str, str], **how: Any
) -> "Simulation":
    """Monte Carlo (JCGM 101) of derived values of one check: the sources are drawn from their distributions, the whole plan computed for each draw."""
    from .readings import quantity_of

    known = table or _u().shipped()
    numbers = {n: float(x) for n, x in columns.items() if not isinstance(x, str) and np.isfinite(x)}
    for name, value in _assumed(run(plan, numbers, fluid, home, 1), known, instruments).items():
        numbers.setdefault(name, value)
    words = {n: x for n, x in columns.items() if isinstance(x, str)}
    unit_of = {n: home.unit(quantity_of(n, plan)) for n in numbers}

    def model(**readings: Any) -> dict[str, Any]:
        length = max(np.size(x) for x in readings.values())
        made = run(plan, {n: np.broadcast_to(x, (length,)) for n, x in readings.items()} | words, fluid, home, length)
        return {n: made.values[n] for n in names}

    of_sources, inputs = _u().with_instruments(model, numbers, unit_of, table=known, instruments={n: i for n, i in instruments.items() if n in numbers})
    drawn: Simulation = _u().monte_carlo(of_sources, inputs, **how)
    return drawn


def _assumed(made: Run, table: "Table", instruments: Mapping[str, str]) -> dict[str, float]:
    """Values assumed where nobody gave one, such as the density of barite: they too are drawn."""
    found: dict[str, float] = {}
    for computed in made.steps.values():
        for v in computed.calculation.inputs:
            reading = next((n for n in computed.step.reads.get(v.name, ()) if not is_result(n)), None)
            there = any(not np.isnan(computed.columns[n]).all() for n in computed.sources.get(v.name, ()))
            if reading is not None and v.default is not None and not there and table.for_reading(reading, instruments.get(reading)).assumed:
                found[reading] = v.default
    return found


def is_noise(verdict: str, calculation: str, value_of: Any, standard_of: Any) -> bool:
    """Whether a verdict only says that a solids fraction is negative by no more than twice its standard uncertainty: reported signed, not flagged."""
    if verdict not in SIGNED:
        return False
    name = f"{calculation}.{SIGNED[verdict]}"
    value, standard = np.asarray(value_of(name)), np.asarray(standard_of(name))  # several where rows share a label: then none may be beyond
    return not np.any((value < 0.0) & ~(value >= -2.0 * standard))


def bounded(
    plan: Plan, columns: Mapping[str, Any], fluid: Any, home: Any, length: int, bounds: Mapping[str, tuple[float | None, float | None]], errors: Errors,
    single: bool = False,
) -> "PhysicalEstimate":  # fmt: skip
    """Derived values pulled inside their bounds by the least that the errors of the readings allow; an estimate beside the signed values."""
    values: dict[str, Any] = {}
    changes: dict[str, dict[str, Any]] = {n: {} for n in bounds}
    for rows, part in follow_blocks(plan, columns, fluid, home, length, errors, only=frozenset(bounds)):
        for name in bounds:
            if name not in part.run.values:
                raise ValueError(f"{name} was not computed: there is nothing to bound")
            values.setdefault(name, np.full(length, np.nan))[rows] = part.run.values[name]
            for source, change in part.changes[name].items():
                changes[name].setdefault(source, np.zeros(length))[rows] = change
    sources = list(dict.fromkeys(s for of_name in changes.values() for s in of_name))
    if single:
        values = {n: float(x[0]) for n, x in values.items()}
        changes = {n: {s: float(c[0]) for s, c in of_name.items()} for n, of_name in changes.items()}
    errors_now = {s: 0.0 if single else np.zeros(length) for s in sources}  # in standard uncertainties: zero as read
    told = [_u().Bound(n, values[n], changes[n], lowest=low, highest=high) for n, (low, high) in bounds.items()]
    estimate: PhysicalEstimate = _u().physical_estimate(errors_now, np.eye(len(sources)), told)
    return estimate
