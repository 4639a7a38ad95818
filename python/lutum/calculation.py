"""What every calculation object can do: numbers, columns, gradients, uncertainties, worked solutions, checks."""

from collections import namedtuple
from collections.abc import Mapping
from operator import attrgetter
from typing import TYPE_CHECKING, Any

import numpy as np

from lutum import _core, _source
from lutum._columns import Required, as_columns, columns_of_frame, is_frame, numbers, over_frame, put_index
from lutum._described import Finding, Option, Sheet, Shown, Uncertainty, Variable, Verdict, Work
from lutum._options import by_choice, choices_of_frame

if TYPE_CHECKING:
    from lutum._sets import UnitSet

__all__ = ["Calculation", "Finding", "Option", "Sheet", "Shown", "Uncertainty", "Variable", "Verdict", "Work", "make_calculation"]

nan = float("nan")


def _tidy(x: float) -> float:
    """Without the last bit that a conversion leaves: 68 degF, not the 67.99999999999999 that comes back from kelvin."""
    return float(f"{x:.15g}")


def _as_read(x: float, quantity: str) -> float:
    """To the four digits of a bench reading: an example is given in SI and shown in other units. Rotor speeds are looked up, so they stay."""
    return _tidy(x) if quantity == "rotational_speed" else float(f"{x:.4g}")


def _plain(x: Any) -> Any:
    """A float instead of NumPy's scalar; columns as they are."""
    return float(x) if np.ndim(x) == 0 else x


def _has_nominal(x: Any) -> bool:
    return hasattr(x, "nominal_value") and hasattr(x, "std_dev")


class Calculation:
    """One calculation in one unit set. Call it with numbers, arrays, Series or a frame; see its docstring."""

    __slots__ = ("_bound", "_home", "_siblings", "choice", "inputs", "option", "results", "sheet", "verdicts")
    _result_type: Any
    _slopes_type: Any

    def __init__(self, home: "UnitSet", bound: Any, description: dict[str, Any]) -> None:
        self._home = home
        self._bound = bound
        self.inputs = tuple(Variable(**v) for v in description["inputs"])
        self.results = tuple(Variable(**v) for v in description["results"])
        self.sheet = Sheet(**description["sheet"])
        self.verdicts = tuple(Verdict(*v) for v in description["verdicts"])
        option = description["option"]
        self.option = None if option is None else Option(option[0], option[1], dict(option[2]))
        self.choice = None if self.option is None else next(iter(self.option.choices))
        self._siblings: dict[str, Calculation] = {} if self.choice is None else {self.choice: self}

    def choosing(self, choice: str) -> "Calculation":
        """The same calculation with its option set: ``si.brine.density.choosing("potassium_chloride")``."""
        if choice not in self._siblings:
            bound = _core.Calculation(self.sheet.id, self._home.system, self._home.replaced, choice)
            made = type(self)(self._home, bound, bound.describe())
            made.inputs, made.choice, made._siblings = self.inputs, choice, self._siblings
            self._siblings[choice] = made
        return self._siblings[choice]

    def _choose(self, choice: Any, method: str, args: tuple[Any, ...], *rest: Any) -> Any:
        """The method with the option set to this choice, or for columns to a choice in every row."""
        if choice is None and is_frame(args[0]):
            choice = choices_of_frame(self, args[0], {}, None)
        if choice is None:
            return getattr(self, method)(args, *rest)
        if isinstance(choice, str):
            return getattr(self.choosing(choice), method)(args, *rest)
        return by_choice(self, choice, method, args)

    @property
    def ufunc(self) -> np.ufunc:
        """The NumPy ufunc behind the call: positional inputs in order, broadcasting, ``out=``, ``where=``."""
        ufunc: np.ufunc = self._bound.value
        return ufunc

    @property
    def example(self) -> dict[str, Any]:
        """Inputs of a plausible example in the units of the set."""

        def plain(v: Variable, x: float) -> float:
            near = _as_read(x, v.quantity)
            return v.default if v.default is not None and near == _as_read(v.default, v.quantity) else near

        return {v.name: [plain(v, y) for y in x] if v.is_list else plain(v, x) for v, x in zip(self.inputs, self._bound.example())}

    @property
    def has_lists(self) -> bool:
        return any(v.is_list for v in self.inputs)

    def over(self, frame: Any, columns: Mapping[str, Any] | None = None, *, threads: int = 1, **given: Any) -> Any:
        """The calculation for every row of a frame: a frame with the same index and a column a result.

        An input takes the column of its own name unless ``columns`` names another (a list of columns for a list input)
        or ``given`` fixes it for all rows. ``threads`` splits the rows; it pays above some 100 000 of them.
        """
        columns = columns or {}
        if self.option is not None:
            named = {k: v for k, v in columns.items() if k != self.option.name}
            choice = choices_of_frame(self, frame, columns, given.pop(self.option.name, None))
            if isinstance(choice, str):
                return over_frame(self.choosing(choice), frame, named, threads, given)
            if choice is not None:
                arrays = columns_of_frame(self, frame, named, given)
                return by_choice(self, choice, "_evaluate", (frame,), arrays)
            columns = named
        return over_frame(self, frame, columns, threads, given)

    def _evaluate(self, args: tuple[Any, ...]) -> Any:
        result = self._bound.scalar(args, self._result_type)
        if result is not None:
            return result
        if is_frame(args[0]):
            return over_frame(self, args[0], {}, 1, self._given_beside_frame(args))
        if any(map(_has_nominal, args)):
            return self._evaluate_uncertain(args)
        arrays, index = as_columns(self, args)
        self._raise_if_one_record(arrays)
        out = self._bound.value(*arrays)
        out = out if isinstance(out, tuple) else (out,)
        return self._result_type._make(put_index(x, index) for x in out)

    def _arrays(self, args: tuple[Any, ...]) -> tuple[list[Any], Any]:
        """Every input as a float array, and the index they share; a frame stands for all inputs it has columns for."""
        if is_frame(args[0]):
            return columns_of_frame(self, args[0], {}, self._given_beside_frame(args)), getattr(args[0], "index", None)
        return as_columns(self, args)

    def _given_beside_frame(self, args: tuple[Any, ...]) -> dict[str, Any]:
        def left_out(a: Any, v: Variable) -> bool:
            return isinstance(a, Required) or (isinstance(a, float) and (a == v.default or a != a))

        return {v.name: a for v, a in zip(self.inputs[1:], args[1:]) if not left_out(a, v)}

    def _raise_if_one_record(self, arrays: list[Any]) -> None:
        """One record outside its limits is an error; a row of many becomes missing."""
        if any(np.ndim(a) > (1 if v.is_list else 0) for a, v in zip(arrays, self.inputs)):
            return
        errors = [f[4] for f in self._bound.findings(arrays) if f[0] and f[3] == f[3]]
        if errors:
            raise ValueError("\n".join(errors))

    def _evaluate_uncertain(self, args: tuple[Any, ...]) -> Any:
        """Linear propagation through the exact gradient, correlations kept (package ``uncertainties``)."""
        plain = tuple(a.nominal_value if _has_nominal(a) else a for a in args)
        values = self._evaluate(plain)
        slopes = self._gradient(plain)
        deviations = [(v.name, a - a.nominal_value) for v, a in zip(self.inputs, args) if _has_nominal(a)]
        return self._result_type._make(
            value + sum(getattr(slope, name) * deviation for name, deviation in deviations) for value, slope in zip(values, slopes)
        )

    def _gradient(self, args: tuple[Any, ...]) -> Any:
        arrays, index = self._arrays(args)
        self._raise_if_one_record(arrays)
        if self._bound.gradient is None:
            self._raise_if_many_records(arrays, "a gradient")
            return self._table_gradient(arrays)
        lengths = [np.shape(a)[-1] for a, v in zip(arrays, self.inputs) if v.is_list]
        jacobian = self._bound.gradient(*arrays)[-1]
        single = jacobian.ndim == 2

        def part(rows: slice, columns: slice, row: Variable, column: Variable) -> Any:
            block = jacobian[..., rows, columns]
            block = block[..., : lengths[0], :] if row.is_list else block[..., 0, :]
            block = block[..., : lengths[0]] if column.is_list else block[..., 0]
            return float(block) if single and block.ndim == 0 else put_index(block, index if block.ndim == 1 else None)

        slots = [self._slots(self.results), self._slots(self.inputs)]
        return self._result_type._make(
            self._slopes_type._make(part(r, c, row, column) for c, column in zip(slots[1], self.inputs))
            for r, row in zip(slots[0], self.results)
        )

    @staticmethod
    def _slots(variables: tuple[Variable, ...]) -> list[slice]:
        ends = np.cumsum([v.length for v in variables]).tolist()
        return [slice(end - v.length, end) for end, v in zip(ends, variables)]

    def _table_gradient(self, arrays: list[Any]) -> Any:
        """Of a table: result rows by input; a column input gives result rows by input rows."""
        blocks = {}
        for v in self.inputs:
            block = self._bound.table_gradient(arrays, [v.name])
            blocks[v.name] = block if v.is_list else block[..., 0]
        return self._result_type._make(
            self._slopes_type._make(blocks[v.name][r] for v in self.inputs) for r in range(len(self.results))
        )

    def slopes(self, of: Any, by: Any, rows: Any = (-1,), **given: Any) -> Any:
        """Of a table, in one record or many: exact derivatives of the results ``of`` in some ``rows`` by the inputs ``by``.

        ``of`` and ``by`` are names, or lists of them; ``rows`` counts from the top, or from the bottom where negative. The inputs are
        ``given`` by name: scalars as numbers or arrays of records, columns with the rows along the last axis. The answer is nested like
        a gradient, ``answer[result][input]``: an array of records x rows, and of the input's own rows where it is a column.
        """
        if self._bound.gradient is not None:
            raise ValueError(f"{self.sheet.id} is no table: use gradient()")
        choice = given.pop(self.option.name, None) if self.option is not None else None
        of, by = ([x] if isinstance(x, str) else list(x) for x in (of, by))
        arrays = [np.asarray(given.pop(v.name, v.default), float) for v in self.inputs]
        missing = [v.name for v, a in zip(self.inputs, arrays) if a.ndim == 0 and (v.is_list or a != a)]
        if missing or given:
            raise ValueError(f"{self.sheet.id}: " + (f"{missing[0]} is missing" if missing else f"there is no input {next(iter(given))!r}"))
        length = next(a.shape[-1] for v, a in zip(self.inputs, arrays) if v.is_list)
        shape = np.broadcast_shapes(*(a.shape[:-1] if v.is_list else a.shape for v, a in zip(self.inputs, arrays)))
        records = [
            np.broadcast_to(a, (*shape, length)).reshape(-1, length) if v.is_list else np.broadcast_to(a, shape).reshape(-1)
            for v, a in zip(self.inputs, arrays)
        ]
        places = [range(length)[j] for j in np.atleast_1d(rows)]
        bound = self._bound if choice is None else self.choosing(choice)._bound
        found = bound.table_slopes(records, of, by, places).reshape(*shape, len(of), len(places), -1)
        lists = {v.name: v.is_list for v in self.inputs}
        ends = np.cumsum([length if lists[name] else 1 for name in by])
        parts = {name: slice(end - (length if lists[name] else 1), end) for name, end in zip(by, ends)}
        return {
            result: {name: found[..., k, :, part] if lists[name] else found[..., k, :, part.start] for name, part in parts.items()}
            for k, result in enumerate(of)
        }

    def _raise_if_many_records(self, arrays: list[Any], what: str) -> None:
        if any(np.ndim(a) > (1 if v.is_list else 0) for a, v in zip(arrays, self.inputs)):
            raise ValueError(f"{self.sheet.id}: {what} is of one record; choose a row of your columns first")

    def _work(self, args: tuple[Any, ...], row: int | None) -> Work:
        arrays, _ = self._arrays(args)
        self._raise_if_many_records(arrays, "a worked solution")
        table = self._bound.gradient is None
        if row is not None and not table:
            raise ValueError(f"{self.sheet.id}: row chooses a row of a table, and this calculation has none")
        rows = len(arrays[-1]) if table else 1
        shown = rows - 1 if row is None else row
        if not 0 <= shown < rows:
            raise ValueError(f"{self.sheet.id}: row {shown} is not in the table of {rows} rows, counted from 0")
        out = self._bound.value(*arrays) if table else ()
        forms = (
            self._bound.work(arrays, shown, markdown, _all_rows(self, arrays, out, shown, markdown) if table else "")
            for markdown in (False, True)
        )
        return Work(*forms)

    def _check(self, args: tuple[Any, ...]) -> list[Finding]:
        arrays, index = self._arrays(args)
        shape = np.broadcast_shapes(*(a.shape[:-1] if v.is_list else a.shape for a, v in zip(arrays, self.inputs)))
        if shape == ():
            return self._findings(arrays, None, self._bound.judge(*arrays) if self.verdicts else None)
        rows = [
            np.broadcast_to(a, shape + a.shape[-1:]).reshape(-1, a.shape[-1]) if v.is_list else np.broadcast_to(a, shape).ravel()
            for a, v in zip(arrays, self.inputs)
        ]
        codes = self._bound.judge(*rows) if self.verdicts else None
        suspect = self._suspect_rows(rows)
        if codes is not None:
            suspect |= np.array([v.severity > 0 for v in self.verdicts])[codes]
        findings = []
        for i in np.flatnonzero(suspect):
            place = tuple(int(k) for k in np.unravel_index(i, shape)) if len(shape) > 1 else int(i)
            label = place if index is None or len(shape) > 1 else index[place]
            findings += self._findings([a[i] for a in rows], label, None if codes is None else codes[i])
        return findings

    def _findings(self, record: list[Any], label: Any, code: Any) -> list[Finding]:
        """What is to be said about one record: its inputs one by one, then all of them together."""
        found = [Finding(label, error, name, value, reason) for error, name, _, value, reason in self._bound.findings(record)]
        verdict = None if code is None else self.verdicts[int(code)]
        if verdict is not None and verdict.severity > 0:
            found.append(Finding(label, verdict.severity > 1, verdict.name, nan, f"{self.sheet.id}: {verdict.name}: {verdict.meaning}."))
        return found

    def _suspect_rows(self, rows: list[Any]) -> Any:
        """Rows with a value that is missing, or at or outside the edge of its validated range, found in one sweep."""
        if self._bound.gradient is None:  # a table also looks from row to row
            return np.ones(len(rows[0]), bool)
        suspect = np.zeros(len(rows[0]), bool)
        for x, v in zip(rows, self.inputs):
            low, high = max(v.limits[0], v.validated[0]), min(v.limits[1], v.validated[1])
            inside = (x > low) & (x < high) | (x == 0.0) & (low == 0.0)
            suspect |= ~(inside.all(axis=-1) if v.is_list else inside)
        return suspect

    def _judge(self, args: tuple[Any, ...]) -> Any:
        """The verdict of a record by name; for columns an object array of names."""
        if not self.verdicts:
            raise ValueError(f"{self.sheet.id} gives no verdict")
        arrays, index = self._arrays(args)
        self._raise_if_one_record(arrays)
        codes = self._bound.judge(*arrays)
        names = np.array([v.name for v in self.verdicts], object)[codes]
        return names if isinstance(names, str) else put_index(names, index)

    def _uncertainty(self, args: tuple[Any, ...], standard: Mapping[str, Any], coverage_factor: float) -> Any:
        names = [v.name for v in self.inputs]
        unknown = [name for name in standard if name not in names]
        if unknown:
            raise ValueError(f"{self.sheet.id} has no input {unknown[0]!r}; it has {', '.join(names)}")
        for v in (v for v in self.inputs if v.name in standard):
            u = standard[v.name]
            if not np.all(numbers(u, f"{self.sheet.id}: standard uncertainty of {v.name}") >= 0):
                raise ValueError(f"{self.sheet.id}: standard uncertainty of {v.name} = {u} is negative or missing; give a positive number in {v.unit or 'its unit'}")
        if self.has_lists:
            raise ValueError(f"{self.sheet.id}: uncertainty() is for calculations of plain numbers; use gradient() for lists and tables")
        if is_frame(args[0]):  # its columns, with its index
            arrays, index = self._arrays(args)
            args = tuple(put_index(np.broadcast_to(a, (len(args[0]),)), index) for a in arrays)
        values, slopes = self._evaluate(args), self._gradient(args)
        answers = []
        for v, value, slope in zip(self.results, values, slopes):
            parts = {name: _plain(np.abs(getattr(slope, name)) * u) for name, u in standard.items()}
            combined = _plain(np.sqrt(sum(part * part for part in parts.values()))) if parts else 0.0 * value
            answers.append(Uncertainty(value, parts, combined, coverage_factor * combined, coverage_factor, v.unit))
        return self._result_type._make(answers)

    def __reduce__(self) -> tuple[Any, ...]:
        if self.choice is not None:
            return _restore_chosen, (self._home, self.sheet.id, self.choice)
        return attrgetter(self.sheet.id), (self._home,)

    def __repr__(self) -> str:
        arguments = ", ".join(f"{v.name} [{v.unit or '-'}]" for v in self.inputs)
        results = ", ".join(f"{v.name} [{v.unit or '-'}]" for v in self.results)
        chosen = "" if self.option is None else f", {self.option.name}={self.choice}"
        return f"<{self.sheet.id} ({self._home.system}{chosen}): {arguments} -> {results}>"


def _restore_chosen(home: "UnitSet", calculation_id: str, choice: str) -> Calculation:
    calculation: Calculation = attrgetter(calculation_id)(home)
    return calculation.choosing(choice)


def _all_rows(calculation: Calculation, arrays: list[Any], out: Any, shown: int, markdown: bool) -> str:
    """All rows of a table calculation, headed by symbol and unit; the one worked in full is marked."""
    columns = [(v, np.asarray(a)) for v, a in zip(calculation.inputs, arrays) if v.is_list]
    columns += [(v, np.asarray(a)) for v, a in zip(calculation.results, out)]
    heads = ["row", *(f"${v.symbol}$" if markdown else v.plain_symbol for v, _ in columns)]
    unit_line = ["", *(v.unit for v, _ in columns)]
    rows = [[f"{'worked: ' if j == shown else ''}{j}", *(f"{a[j]:.6g}" for _, a in columns)] for j in range(len(columns[0][1]))]
    if markdown:
        lines = [heads, ["---:"] * len(heads), unit_line, *rows]
        return "\n".join("| " + " | ".join(line) + " |" for line in lines) + "\n"
    widths = [max(map(len, column)) for column in zip(heads, unit_line, *rows)]
    return "\n".join("  ".join(cell.rjust(w) for cell, w in zip(line, widths)) for line in [heads, unit_line, *rows]) + "\n"


def make_calculation(calculation_id: str, home: "UnitSet") -> Calculation:
    """The calculation object of an id in a unit set, of a class of its own."""
    bound = _core.Calculation(calculation_id, home.system, home.replaced)
    description = bound.describe()
    module = f"{home._module}.{calculation_id.split('.')[0]}"
    scope: dict[str, Any] = {"Calculation": Calculation, "Shown": Shown, "namedtuple": namedtuple, "nan": nan, "Required": Required, "__name__": module}
    for v in description["inputs"]:
        v["default"] = None if v["default"] is None else _tidy(v["default"])
    scope["docstring"] = _source.docstring(description, home.system, bound.example())
    exec(compile(_source.runtime_source(description), f"<lutum {calculation_id}>", "exec"), scope)
    class_ = scope[_source.class_name(calculation_id)]
    made: Calculation = class_(home, bound, description)
    class_._result_type._variables = made.results
    return made
