"""Tables of TOML against the dataclass they become: a mistake is told with the file, the table and the key."""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, fields
from pathlib import Path
from typing import Any

__all__ = ["check_keys", "check_shape", "parsed"]


def parsed(path: Path) -> dict[str, Any]:
    """The tables of a TOML file."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise ValueError(f"{path.name} is no TOML: {error}") from None


def check_shape(table: Mapping[str, Any], kind: type, where: str) -> None:
    """Keys are known, none is missing, and each holds what its field holds."""
    known = {f.name: f for f in fields(kind)}
    check_keys(table, known, where)
    lacking = [n for n, f in known.items() if f.default is MISSING and n not in table]
    if lacking:
        raise ValueError(f"{where}: {lacking[0]} is missing")
    for key, value in table.items():
        kind_of = str(known[key].type)
        fits = (
            isinstance(value, list) if "tuple" in kind_of
            else isinstance(value, bool) if "bool" in kind_of
            else isinstance(value, str) and (value != "" or key in ("source", "unit")) if "str" in kind_of
            else isinstance(value, (int, float)) and not isinstance(value, bool)
        )  # fmt: skip
        if not fits:
            wanted = "a list" if "tuple" in kind_of else "true or false" if "bool" in kind_of else "text" if "str" in kind_of else "a number"
            raise ValueError(f"{where}: {key} = {value!r} must be {wanted}")


def check_keys(table: Mapping[str, Any], known: Iterable[str], where: str) -> None:
    strange = [k for k in table if k not in set(known)]
    if strange:
        raise ValueError(f"{where}: {strange[0]!r} is no key; the keys are {', '.join(known)}")
