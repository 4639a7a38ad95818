"""From the text of a cell to a number or a time: whole column at a time, every cell that cannot be read is told, none is guessed.

Each distinct text is looked at once; a study's columns repeat a few hundred.
"""

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pandas as pd

from .mapping import ColumnMapping

_SPACES = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2212": "-"})
_FRACTION = re.compile(r"(?:(\d+)(?:\s+|-))?(\d+)/(\d+)")
_EXPONENT = r"(?:[eE][+-]?\d+)?"


@dataclass
class Parsed:
    """Values of a column and, per cell, the reason it could not be read, what to do, and why it was replaced; "" when fine."""

    values: np.ndarray[Any, Any]
    reason: np.ndarray[Any, Any]
    advice: np.ndarray[Any, Any]
    replaced: np.ndarray[Any, Any]


def as_number(text: str) -> float | None:
    """The number a plain text with a decimal point stands for, or None."""
    return float(text) if re.fullmatch(rf"[+-]?(?:\d+\.?\d*|\.\d+){_EXPONENT}", text) else None


def parse_numbers(text: Any, typed: Any, settings: ColumnMapping, fractions: bool = False) -> Parsed:
    """Reads a column of numbers. `text`: cells as text; `typed`: NaN, or the number where the table held a number and no mark
    had to be understood; `fractions`: "12 1/4" is a number of this column, as in hole sizes.

    >>> s = ColumnMapping("MW", decimal=",")
    >>> parse_numbers(np.array(["1,25"], object), np.array([np.nan]), s).values
    array([1.25])
    """
    typed = np.asarray(typed, float)
    refusal = "" if settings.decimal or settings.thousands else decimal_evidence(text[np.isnan(typed)])[2]
    codes, distinct = pd.factorize(text)
    read = [_number(str(t).translate(_SPACES).strip(), settings, fractions, refusal) for t in distinct]
    values, reason, advice, replaced = _spread(codes, read, float)
    is_typed = ~np.isnan(typed)
    values = np.where(is_typed, typed, values)
    for array in (reason, advice, replaced):
        array[is_typed] = ""
    for token in settings.missing:
        number = as_number(token)
        if number is not None:
            hit = np.abs(values - number) <= settings.tolerance
            values[hit], replaced[hit] = np.nan, f"stands for missing: {token}"
    if settings.zero_is_missing:
        hit = values == 0.0
        values[hit], replaced[hit] = np.nan, "0 stands for missing"
    infinite = np.isinf(values)
    values[infinite], reason[infinite], advice[infinite] = np.nan, "infinite", "correct the cell"
    return Parsed(values, reason, advice, replaced)


def parse_times(text: Any, typed: Any, settings: ColumnMapping) -> Parsed:
    """Reads a column of dates or times to `datetime64[s]`, the year 9999 included. `typed` marks cells the table held as numbers,
    which are no dates; cells held as dates come as ISO text."""
    codes, distinct = pd.factorize(text)
    tokens = {_moment(token, settings.date_format)[0] for token in settings.missing} - {None}
    read = [_time(str(t).translate(_SPACES).strip(), settings, tokens) for t in distinct]
    values, reason, advice, replaced = _spread(codes, read, "datetime64[s]")
    number = ~np.isnan(np.asarray(typed, float)) & (replaced == "")
    values[number] = np.datetime64("NaT")
    reason[number] = "a number, not a date"
    advice[number] = "format the cells as dates in the workbook, or write ISO dates"
    return Parsed(values, reason, advice, replaced)


def parse_texts(text: Any, typed: Any, settings: ColumnMapping) -> Parsed:
    """Reads a column of text; None where missing. A whole number held as 1382.0 is the text 1382."""
    codes, distinct = pd.factorize(text)
    low = {token.casefold() for token in settings.missing}
    read = []
    for cell in distinct:
        word = str(cell).strip()
        gone = word.casefold() in low and word != ""
        read.append((None if gone or not word else word, "", "", f"stands for missing: {word}" if gone else ""))
    values, reason, advice, replaced = _spread(codes, read, object)
    for i in np.flatnonzero(~np.isnan(np.asarray(typed, float))):
        if values[i] is not None and float(typed[i]).is_integer():
            values[i] = str(int(typed[i]))
    return Parsed(values, reason, advice, replaced)


def _spread(codes: Any, read: list[tuple[Any, str, str, str]], kind: Any) -> tuple[Any, Any, Any, Any]:
    columns = list(zip(*read, strict=True)) if read else [(), (), (), ()]
    values = np.empty(len(columns[0]), object)
    values[:] = columns[0]
    if kind == "datetime64[s]":
        values = np.array([np.datetime64("NaT") if v is None else np.datetime64(v, "s") for v in values], kind)
    else:
        values = values.astype(kind)
    parts = [np.array(part, object) for part in columns[1:]]
    return values[codes], parts[0][codes], parts[1][codes], parts[2][codes]


def decimal_evidence(text: Any) -> tuple[str, str, str]:
    """Decimal mark and thousands mark that the cells of a column prove, and the proof in words.

    ("", "", "") where there is no comma and the point is the mark; ("", "", reason) where both readings are possible.

    >>> decimal_evidence(np.array(["1,25", "1,3"], object))[0]
    ','
    """
    numbers = [t.strip() for t in map(str, pd.unique(text)) if re.fullmatch(r"[+-]?[\d.,]*\d[\d.,]*", t.strip())]
    commas = [t for t in numbers if "," in t]
    if not commas:
        return "", "", ""
    decimal = [t for t in commas if re.search(r",(?!\d{3}(?:\D|$))", t) or re.search(r"\..*,", t)]
    thousands = [t for t in commas if re.search(r",.*[.,]", t)]
    if decimal and not thousands:
        grouped = any("." in t for t in numbers)
        marks = "decimal = ','" + (" and thousands = '.'" if grouped else "")
        return (
            ",",
            "." if grouped else "",
            f"the column holds commas, and {decimal[0]!r} can only be a decimal comma: set {marks}",
        )
    if thousands and not decimal:
        why = (
            f"the column holds commas, and {thousands[0]!r} can only have commas between thousands: set thousands = ','"
        )
        return "", ",", why
    shown = ", ".join(repr(t) for t in commas[:2])
    return (
        "",
        "",
        f"the column holds commas ({shown}) that may be decimal or between thousands: set decimal = ',' or thousands = ','",
    )


def _number(text: str, settings: ColumnMapping, fractions: bool, refusal: str) -> tuple[float, str, str, str]:
    nothing = float("nan")
    if not text:
        return nothing, "", "", ""
    if text.casefold() in {token.casefold() for token in settings.missing}:
        return nothing, "", "", f"stands for missing: {text}"
    if fractions:
        match = _FRACTION.fullmatch(text.removesuffix('"').removesuffix("in").strip())
        if match and int(match[3]) > 0:
            return int(match[1] or 0) + int(match[2]) / int(match[3]), "", "", ""
        text = text.removesuffix('"').strip()
    if refusal and re.search(r"[.,]", text) and re.fullmatch(r"[+-]?[\d.,]+", text):
        return nothing, "the decimal mark is not certain", refusal, ""
    decimal = settings.decimal or "."
    plain = text
    if settings.thousands and settings.thousands in plain:
        whole, mark, rest = plain.partition(decimal)
        t = re.escape(settings.thousands)
        if not re.fullmatch(rf"[+-]?\d{{1,3}}(?:{t}\d{{3}})+", whole):
            return (
                nothing,
                f"{settings.thousands!r} does not stand between groups of three digits",
                "correct the cell",
                "",
            )
        plain = whole.replace(settings.thousands, "") + mark + rest
    other = "." if decimal == "," else ","
    if other in plain and re.fullmatch(r"[+-]?[\d.,]+", plain):
        why = f"{other!r} in a column whose decimal mark is {decimal!r}"
        return nothing, why, f"correct the cell, or set thousands = {other!r} if it stands between thousands", ""
    number = as_number(plain.replace(decimal, ".") if other not in plain else plain)
    if number is None:
        return nothing, "not a number", _what_stands_there(text), ""
    return number, "", "", ""


def _what_stands_there(text: str) -> str:
    if re.match(r"[<>~]", text):
        return "a bound, not a value: give the value, or list the cell under missing"
    if re.match(r"[+-]?\d[\d.,]*\s*[^\d\s.,]", text):
        return "number and text in one cell: leave the number alone and state its unit in the heading or the mapping"
    return "correct the cell, or list it under missing if it stands for a gap"


def _time(text: str, settings: ColumnMapping, tokens: Any = frozenset()) -> tuple[Any, str, str, str]:
    if not text:
        return None, "", "", ""
    if text.casefold() in {token.casefold() for token in settings.missing}:
        return None, "", "", f"stands for missing: {text}"
    moment, reason, advice = _moment(text, settings.date_format)
    if moment is None:
        return None, reason, advice, ""
    if moment.tzinfo is not None and not settings.utc:
        return None, "the time carries an offset from UTC", "set utc = true to keep the column in UTC", ""
    if moment.tzinfo is None and settings.utc:
        return (
            None,
            "the time carries no offset and the column is declared UTC",
            "write the offset, or set utc = false",
            "",
        )
    if moment.tzinfo is not None:
        moment = moment.astimezone(UTC).replace(tzinfo=None)
    if moment in tokens:
        return None, "", "", f"stands for missing: {text}"
    return moment, "", "", ""


def _moment(text: str, date_format: str) -> tuple[datetime | None, str, str]:
    if date_format:
        try:
            return datetime.strptime(text, date_format), "", ""
        except ValueError:
            # A workbook's own dates come as ISO text whatever the form of its written ones.
            if not re.match(r"\d{4}-\d{2}-\d{2}", text):
                return None, f"no date of the form {date_format}", "correct the cell or date_format"
    try:
        return datetime.fromisoformat(text), "", ""
    except ValueError:
        if re.match(r"\d{4}-\d{1,2}-\d{1,2}", text):
            return None, "no such date or time", "correct the cell"
        if re.match(r"\d{1,2}[./-]\d{1,2}[./-]\d{2,4}", text):
            return None, "day, month and year are not certain", "set date_format, such as '%d.%m.%Y' or '%m/%d/%Y'"
        return None, "not a date", "write ISO dates, set date_format, or list the cell under missing"
