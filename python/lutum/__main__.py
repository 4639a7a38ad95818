"""Drilling-fluid calculations on the command line."""

import argparse
import sys
import textwrap
from pathlib import Path
from typing import Any

from lutum.installed import get_cmake_dir, get_include

WIDTH = 100
SYSTEMS = ("field", "metric", "si")


def _folders(chosen: argparse.Namespace) -> int:
    folders = [get_cmake_dir()] if chosen.cmakedir else []
    folders += [get_include()] if chosen.includes else []
    for folder in folders:
        if not Path(folder).is_dir():
            print(f"{folder} is missing: this Lutum was not installed from a wheel", file=sys.stderr)
            return 1
        print(folder)
    return 0


def _find(calculation_id: str, system: str) -> Any:
    import lutum

    for calculation in lutum.catalogue(system):
        if calculation.sheet.id == calculation_id:
            return calculation
    known = "\n  ".join(calculation.sheet.id for calculation in lutum.catalogue(system))
    raise ValueError(f"calculation {calculation_id!r} is unknown; known are\n  {known}")


def _check(chosen: argparse.Namespace) -> int:
    import lutum
    from lutum import checks

    cases = checks.load(chosen.values)
    passed = failed = 0
    for calculation in lutum.catalogue():
        name = calculation.sheet.id
        own = checks.cases_of(cases, name)
        outcomes = [outcome for case in own for outcome in checks.run(case)]
        bad = [outcome for outcome in outcomes if outcome.misses]
        passed += len(outcomes) - len(bad)
        failed += len(bad) + (not own)
        print(f"{name:<40} {len(own):>3} cases {len(outcomes) - len(bad):>4} passed {len(bad) + (not own):>3} failed")
        if not own:
            print("    no check values: write some")
        for outcome in bad:
            print(f"    {outcome.case.id}, {outcome.way} ({outcome.case.mark}: {outcome.case.source})")
            for miss in outcome.misses:
                print(textwrap.indent(miss, "      "))
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


def _named(variables: Any) -> str:
    def one(v: Any) -> str:
        text = f"{v.name}{' list' if v.is_list else ''} [{v.unit or '-'}]"
        return text + (f" = {v.default:.6g}" if v.default is not None else " (may be missing)" if v.optional else "")

    return ", ".join(one(v).replace(" ", "\N{NO-BREAK SPACE}") for v in variables)


def _line(head: str, text: str) -> str:
    return textwrap.fill(text, WIDTH, initial_indent=f"    {head:<7}", subsequent_indent=" " * 11).replace("\N{NO-BREAK SPACE}", " ")


def _rewrapped(text: str) -> str:
    """Paragraphs no wider than the screen, indents kept."""

    def narrow(line: str) -> str:
        indent = line[: len(line) - len(line.lstrip())]
        return textwrap.fill(line.strip(), WIDTH, initial_indent=indent, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False)

    return "\n".join(line if len(line) <= WIDTH or line.lstrip().startswith(">>>") else narrow(line) for line in text.splitlines())


def _catalogue(chosen: argparse.Namespace) -> int:
    import lutum

    if chosen.id:
        print(_rewrapped(type(_find(chosen.id, chosen.units)).__doc__ or ""))
        return 0
    for calculation in lutum.catalogue(chosen.units):
        print(calculation.sheet.id)
        print(textwrap.indent(textwrap.fill(calculation.sheet.title, WIDTH - 4), "    "))
        if calculation.option is not None:
            print(_line("option", f"{calculation.option.name}: {', '.join(calculation.option.choices)}"))
        print(_line("needs", _named(calculation.inputs)))
        print(_line("gives", _named(calculation.results)))
        print()
    print(f"Units: {chosen.units} (--units {'|'.join(SYSTEMS)}). More on one: python -m lutum catalogue ID")
    return 0


def _given(calculation: Any, assignments: list[str]) -> dict[str, Any]:
    known = {v.name: v for v in calculation.inputs}
    given: dict[str, Any] = {}
    for assignment in assignments:
        name, equals, text = assignment.partition("=")
        if not equals:
            raise ValueError(f"{assignment!r} is no input; write name=value, for example {next(iter(known))}=1")
        if calculation.option is not None and name == calculation.option.name:
            given[name] = text
            continue
        if name not in known:
            raise ValueError(f"{calculation.sheet.id} has no input {name!r}; it has {', '.join(known)}")
        if name in given:
            raise ValueError(f"{name} is given twice")
        unit = known[name].unit or "plain numbers"
        try:
            values = [float(part) for part in text.split(",")]
        except ValueError:
            raise ValueError(f"{name}={text} is not a number; give it in {unit}, several as 1,2,3") from None
        if not known[name].is_list and len(values) > 1:
            raise ValueError(f"{name} takes one number in {unit}; {len(values)} were given")
        given[name] = values if known[name].is_list else values[0]
    return given


def _work(chosen: argparse.Namespace) -> int:
    calculation = _find(chosen.id, chosen.units)
    row = {} if chosen.row is None else {"row": chosen.row}
    work = calculation.work(**_given(calculation, chosen.inputs), **row)
    print(work.markdown if chosen.markdown else work.text)
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m lutum", description=__doc__)
    parser.add_argument("--cmakedir", action="store_true", help="print the folder for lutum_DIR in CMake")
    parser.add_argument("--includes", action="store_true", help="print the folder to give the compiler with -I")
    commands = parser.add_subparsers(title="commands", metavar="{check,catalogue,work}")

    check = commands.add_parser("check", help="hold every calculation against its check values")
    check.add_argument("--values", type=Path, help="another folder of check values")
    check.set_defaults(run=_check)

    catalogue = commands.add_parser("catalogue", help="list all calculations, or explain one")
    catalogue.add_argument("id", nargs="?", help="for example clay.methylene_blue")
    catalogue.set_defaults(run=_catalogue)

    work = commands.add_parser("work", help="print a worked solution")
    work.add_argument("id", help="for example clay.methylene_blue")
    work.add_argument("inputs", nargs="*", metavar="name=value", help="inputs in the units of the set, lists as 600,300")
    work.add_argument("--row", type=int, help="the row of a table to work in full, counted from 0")
    work.add_argument("--markdown", action="store_true", help="as Markdown with LaTeX")
    work.set_defaults(run=_work)

    for command in (catalogue, work):
        command.add_argument("--units", choices=SYSTEMS, default="field", help="the unit set (field)")
    return parser


def main(arguments: list[str] | None = None) -> int:
    parser = _parser()
    chosen = parser.parse_args(arguments)
    if chosen.cmakedir or chosen.includes:
        return _folders(chosen)
    if not hasattr(chosen, "run"):
        parser.print_help()
        return 0
    try:
        status: int = chosen.run(chosen)
    except (ValueError, TypeError, OSError) as error:
        print(error, file=sys.stderr)
        return 2
    return status


if __name__ == "__main__":
    sys.exit(main())
