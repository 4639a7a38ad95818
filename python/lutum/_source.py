"""The Python text of a calculation's class, from its description: run for the class itself, printed for its stub."""

import textwrap
from typing import Any

__all__ = ["class_name", "docstring", "runtime_source", "stub_source"]

Description = dict[str, Any]


def class_name(calculation_id: str) -> str:
    return "".join(word.capitalize() for word in calculation_id.split(".")[1].split("_"))


def _number(x: float) -> str:
    return f"{x:.6g}"


def _range(limits: tuple[float, float]) -> str:
    low, high = limits
    if low == float("-inf") and high == float("inf"):
        return ""
    if high == float("inf"):
        return f"at least {_number(low)}"
    return f"{_number(low)} to {_number(high)}"


def _unit(variable: Description) -> str:
    return variable["unit"] or "-"


def _variable_text(variable: Description, is_input: bool) -> str:
    kind = "list, last axis" if variable["is_list"] else "number or column"
    head = f"{variable['name']} : {kind}, {_unit(variable)}"
    if is_input and variable["default"] is not None:
        head += f", default {_number(variable['default'])}"
    elif is_input and variable["optional"]:
        head += ", may be missing"
    elif is_input and variable["gaps"]:
        head += ", places of it may be missing (NaN)"
    lines = [variable["meaning"]]
    if is_input and _range(variable["limits"]):
        lines.append(f"limits {_range(variable['limits'])}; shown to hold for {_range(variable['validated']) or 'all of them'}")
    return head + "\n" + textwrap.indent("\n".join(lines), "    ")


def example_call(description: Description, example: tuple[Any, ...]) -> str:
    def plain(x: float, v: Description) -> str:  # four digits, as a reading; rotor speeds are looked up
        return _number(x if v["quantity"] == "rotational_speed" else float(f"{x:.4g}"))

    def value(x: Any, v: Description) -> str:
        return f"[{', '.join(plain(y, v) for y in x)}]" if isinstance(x, list) else plain(x, v)

    named = (
        f"{v['name']}={value(x, v)}"
        for v, x in zip(description["inputs"], example)
        if isinstance(x, list) or (x == x and (v["default"] is None or plain(x, v) != plain(v["default"], v)))
    )
    return f"{description['sheet']['id']}({', '.join(named)})"


def docstring(description: Description, system: str, example: tuple[Any, ...]) -> str:
    sheet = description["sheet"]
    option = _option_text(description)
    parts = [
        f"{sheet['title']}. {sheet['answers']}",
        sheet["equations"],
        "Parameters\n----------\n" + "\n".join(_variable_text(v, True) for v in description["inputs"]) + option,
        "Returns\n-------\n" + "\n".join(_variable_text(v, False) for v in description["results"]),
        "A single record outside its limits raises ValueError; in columns it gives missing (NaN) results, and check() lists it. "
        "Missing in, missing out.",
        f"Source: {sheet['source']}",
        f"Assumptions: {sheet['assumptions']}",
        f"Cautions: {sheet['cautions']}",
        f"Example\n-------\n>>> from lutum import {system}\n>>> {system}.{example_call(description, example)}",
    ]
    return "\n\n".join(part if "\n" in part else textwrap.fill(part, 110, break_on_hyphens=False) for part in parts)


def _option_text(description: Description) -> str:
    if description["option"] is None:
        return ""
    name, meaning, choices = description["option"]
    listed = "\n".join(f'    "{choice}": {what}' for choice, what in choices)
    return f"\n{name} : str, default \"{choices[0][0]}\"\n    {meaning}, one of these; for columns also a column of them\n{listed}"


def _default(variable: Description) -> str:
    if variable["default"] is not None:
        return repr(float(variable["default"]))
    return "nan" if variable["optional"] else f"Required({_unit(variable)!r})"


def _ordered(description: Description) -> list[Description]:
    """Inputs without a default first, as Python wants parameters."""
    return sorted(description["inputs"], key=lambda v: v["default"] is not None or v["optional"])


def runtime_source(description: Description) -> str:
    """Class statements; they expect Calculation, Shown, namedtuple, nan, Required and docstring in scope."""
    name = class_name(description["sheet"]["id"])
    parameters = ", ".join(f"{v['name']}={_default(v)}" for v in _ordered(description))
    given = ", ".join(v["name"] for v in description["inputs"])
    results = [v["name"] for v in description["results"]]
    inputs = [v["name"] for v in description["inputs"]]
    option = description["option"] and description["option"][0]
    keyword = f", *, {option}=None" if option else ""
    more = f", {option}=None" if option else ""

    def answer(method: str, rest: str = "") -> str:
        if option:
            return f'self._choose({option}, "{method}", ({given},){rest})'
        return f"self.{method}(({given},){rest})"

    return textwrap.dedent(f"""\
        class {name}Result(Shown, namedtuple("{name}Result", {results!r})):
            __slots__ = ()

        {name}Slopes = namedtuple("{name}Slopes", {inputs!r}, module=__name__)

        class {name}(Calculation):
            __doc__ = docstring
            __slots__ = ()
            _result_type = {name}Result
            _slopes_type = {name}Slopes

            def __call__(self, {parameters}{keyword}):
                return {answer("_evaluate")}

            def gradient(self, {parameters}{keyword}):
                return {answer("_gradient")}

            def work(self, {parameters}, *, row=None{more}):
                return {answer("_work", ", row")}

            def check(self, {parameters}{keyword}):
                return {answer("_check")}

            def judge(self, {parameters}{keyword}):
                return {answer("_judge")}

            def uncertainty(self, {parameters}, *, standard, coverage_factor=2.0{more}):
                return {answer("_uncertainty", ", standard, coverage_factor")}
        """)


def _overloads(name: str, signatures: list[str]) -> str:
    mark = "    @overload\n" if len(signatures) > 1 else ""
    return "\n".join(f"{mark}    def {name}{signature}: ..." for signature in signatures)


def stub_source(description: Description, system: str, example: tuple[Any, ...]) -> str:
    """The same class for type checkers and editors; bindings/stubs.py writes the names with a leading underscore."""
    name = class_name(description["sheet"]["id"])
    ordered = _ordered(description)

    def parameter(v: Description, kind: str, left_out: bool) -> str:
        return f"{v['name']}: {'_Values' if v['is_list'] else kind}" + (" = ..." if left_out else "")

    def parameters(kind: str) -> str:
        return ", ".join(parameter(v, kind, v["default"] is not None or v["optional"]) for v in ordered)

    def members(variables: list[Description]) -> str:
        return "\n".join(f'    {v["name"]}: _T\n    """{v["meaning"]} [{_unit(v)}]"""' for v in variables)

    doc = textwrap.indent(f'"""{docstring(description, system, example)}\n"""'.replace("\\", "\\\\"), "    ")
    lists = any(v["is_list"] for v in description["inputs"])
    numbers, columns = parameters("float"), parameters("_Values")
    option = description["option"]
    one = f"Literal[{', '.join(repr(choice) for choice, _ in option[2])}]" if option else ""
    single = f", *, {option[0]}: {one} = ..." if option else ""
    many = f", *, {option[0]}: {one} | Sequence[str] | _Column = ..." if option else ""
    more = f", {option[0]}: {one} = ..." if option else ""
    beside = "".join(f", {parameter(v, '_Values', True)}" for v in ordered[1:])
    beside += f", {option[0]}: {one} | Sequence[str] | _Column = ..." if option else ""
    frame = f"frame: _Frame, /{', *' if beside else ''}{beside}"
    calls = [] if lists else [f"(self, {numbers}{single}) -> {name}Result[float]"]
    calls += [f"(self, {frame}) -> _Frame", f"(self, {columns}{many}) -> {name}Result[Any]"]
    checks = [f"(self, {frame}) -> list[Finding]", f"(self, {columns}{many}) -> list[Finding]"]
    verdicts = ", ".join(f'"{verdict[0]}"' for verdict in description["verdicts"])
    judges = [] if lists or not verdicts else [f"(self, {numbers}{single}) -> Literal[{verdicts}]"]
    judges += [f"(self, {frame}) -> Any", f"(self, {columns}{many}) -> Any"] if verdicts else []
    return f"""\
class {name}Result(NamedTuple, Generic[_T]):
{members(description["results"])}

class {name}Slopes(NamedTuple, Generic[_T]):
{members(description["inputs"])}

class {name}(Calculation):
{doc}

{_overloads("__call__", calls)}
    def gradient(self, {columns}{single}) -> {name}Result[{name}Slopes[Any]]: ...
    def uncertainty(
        self, {columns}, *, standard: Mapping[str, _Values], coverage_factor: float = ...{more}
    ) -> {name}Result[Uncertainty]: ...
    def work(self, {columns}, *, row: int | None = ...{more}) -> Work: ...
{_overloads("check", checks)}
{_overloads("judge", judges)}

{description["sheet"]["id"].split(".")[1]}: {name}
"""
