"""Arguments as ``trainer reckon`` takes them, and results as it prints them.

A number may carry a unit of the same kind (``5 lb`` where kilograms are asked). Several numbers
stand apart by commas or blanks; a decimal comma is not read here. A run log is written as spans in
seconds, ``0..8 60..68.5``; a date as ``2026-04-20``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal

from trainer.errors import InputError
from trainer.maths.catalogue import Argument, Entry, Shape, wrong_unit
from trainer.maths.quantity import read_number
from trainer.maths.ranges import one_of, out_of_range
from trainer.maths.units import convert, parse_unit

_WORDS = {"yes": True, "no": False, "true": True, "false": False}
_NUMBER_AND_UNIT = re.compile(
    r"([+\-−]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*(.*)"
)


def read_arguments(row: Entry, texts: Mapping[str, str]) -> dict[str, object]:
    """The arguments of a row from their texts, ready for ``catalogue.call``.

    Raises:
        InputError: MTH-021 for an unknown name, MTH-010, MTH-022 or MTH-030 for a text that cannot
            be that argument.
    """
    return {name: read_argument(row, row.argument(name), text) for name, text in texts.items()}


def read_argument(row: Entry, argument: Argument, text: str) -> object:
    """One argument from its text.

    Example:
        >>> from trainer.maths.catalogue import Argument, Entry
        >>> mass = Argument("mass_kg", "kg", "mass")
        >>> row = Entry("f", "", (mass,), "", "", "", "", "")
        >>> read_argument(row, mass, "5 lb")
        Decimal('2.26796185')
    """
    return _READERS[argument.shape](row, argument, text.strip())


def _pieces(text: str) -> list[str]:
    return [piece for piece in re.split(r"[,;\s]+", text) if piece]


def _word(_row: Entry, _argument: Argument, text: str) -> str:
    return text


def _flag(_row: Entry, argument: Argument, text: str) -> bool:
    return _WORDS[one_of(argument.name, text.casefold(), tuple(_WORDS))]


def _date(_row: Entry, argument: Argument, text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise InputError(
            out_of_range, argument=argument.name, value=repr(text), allowed="a date as 2026-04-20"
        ) from error


def _dates(row: Entry, argument: Argument, text: str) -> list[date]:
    return [_date(row, argument, piece) for piece in _pieces(text)]


def _log(_row: Entry, argument: Argument, text: str) -> list[tuple[float, float]]:
    spans = []
    for piece in _pieces(text):
        start, dots, stop = piece.partition("..")
        if not dots:
            raise InputError(
                out_of_range, argument=argument.name, value=repr(piece), allowed="a span as 0..8"
            )
        spans.append((float(read_number(start)), float(read_number(stop))))
    return spans


def _sequence(row: Entry, argument: Argument, text: str) -> list[Decimal]:
    *numbers, last = _pieces(text) or [""]
    unit = last if numbers and not _NUMBER_AND_UNIT.fullmatch(last) else ""
    if not unit:
        numbers = [*numbers, last]
    return [_number(row, argument, f"{number} {unit}") for number in numbers]


def _number(row: Entry, argument: Argument, text: str) -> Decimal:
    match = _NUMBER_AND_UNIT.fullmatch(text.strip())
    if match is None:
        return read_number(text)
    value = read_number(match[1])
    if not match[2]:
        return value
    try:
        return convert(value, parse_unit(match[2]), parse_unit(argument.unit))
    except InputError as error:
        raise InputError(
            wrong_unit,
            name=row.name,
            argument=argument.name,
            unit=argument.unit or "a bare number",
            why=str(error),
        ) from error


_READERS: dict[Shape, Callable[[Entry, Argument, str], object]] = {
    "scalar": _number,
    "whole": _number,
    "sequence": _sequence,
    "log": _log,
    "text": _word,
    "flag": _flag,
    "date": _date,
    "dates": _dates,
}


def printed(row: Entry, result: object) -> tuple[tuple[str, str, str], ...]:
    """The lines of a result: name of the value (empty for a single one), its text, its unit."""
    if not row.results:
        return (("", _shown(result), row.unit),)
    return tuple((item.name, _shown(getattr(result, item.name)), item.unit) for item in row.results)


def _shown(value: object) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, (tuple, list)):
        return ", ".join(_shown(item) for item in value)
    return str(value)
