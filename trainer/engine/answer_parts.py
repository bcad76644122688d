"""Answers told in several parts: a clock (2:30 min), or several units (1 h 20 min)."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from trainer.engine.answer_numbers import Numeral, Unreadable, read_digits
from trainer.errors import InputError
from trainer.maths.units import Unit, convert, parse_unit

_CLOCK = re.compile(
    r"(\d{1,4}):([0-5]\d)(?::([0-5]\d))?(?:[.,](\d{1,9}))?(?![\d:]) ?(.*)", re.ASCII
)
_PART = re.compile(r" ?(\d{1,12}(?:[.,]\d{1,12})?) ?([^\W\d_]*)", re.ASCII)
_TWO_DIGITS = re.compile(r"\d\d", re.ASCII)
_NEXT_SMALLER = {"h": "min", "min": "s"}
MOST_PARTS = 4


def read_clock(body: str, beside: Unit) -> tuple[Numeral, Unit] | None:
    """A time with colons: minutes and seconds, hours and minutes, or all three.

    Args:
        body: the text without its sign.
        beside: the unit that a bare clock is in: ``2:30`` is 2 min 30 s beside ``s`` or ``min``,
            and 2 h 30 min beside ``h``.

    Returns:
        The time in seconds, or None when the text is no clock.

    Raises:
        Unreadable: when it could be one or the other.
    """
    found = _CLOCK.fullmatch(body)
    if found is None:
        return None
    unit = parse_unit(found[5]) if found[5] else beside
    seconds = _seconds(found, unit)
    if seconds is None:
        clock = body.removesuffix(found[5]).strip()
        raise Unreadable(
            f"{clock} can be read in more than one way here. Write the units, such as 2 min 30 s."
        )
    return Numeral((seconds,), found[0], ""), parse_unit("s")


def _seconds(found: re.Match[str], unit: Unit) -> Decimal | None:
    first, second = Decimal(found[1]), Decimal(found[2])
    tail = Decimal(f"0.{found[4]}") if found[4] else Decimal(0)
    is_bare = not found[5]
    if found[3] is not None:
        if unit.symbol == "h" or (is_bare and unit.symbol in {"min", "s"}):
            return first * 3600 + second * 60 + Decimal(found[3]) + tail
    elif unit.symbol == "min" or (is_bare and unit.symbol == "s"):
        return first * 60 + second + tail
    elif unit.symbol == "h" and not tail:
        return first * 3600 + second * 60
    return None


def read_parts(body: str) -> tuple[Numeral, Unit] | None:
    """A value told in several units, as so many of the smallest; None when it is none.

    Only the last part may have decimals, and each must be less than one of the unit before.

    Raises:
        Unreadable: when a part holds one or more of the unit before.
    """
    rows = _split(body)
    if rows is None or len(rows) < 2:
        return None
    smallest = rows[-1][1]
    if any(unit.dimension != smallest.dimension or unit.counts for _, unit in rows):
        return None
    total = Decimal(0)
    before: Unit | None = None
    for number, unit in rows:
        if before is not None and Fraction(number) * unit.factor >= before.factor:
            raise Unreadable(
                f"{number} {unit.printed} is one {before.printed} or more: write it in one unit."
            )
        total += convert(number, unit, smallest)
        before = unit
    return Numeral((total,), body, ""), smallest


def _split(body: str) -> list[tuple[Decimal, Unit]] | None:
    rows: list[tuple[Decimal, Unit]] = []
    at = 0
    while at < len(body):
        part = _PART.match(body, at)
        if part is None or len(rows) == MOST_PARTS:
            return None
        at = part.end()
        name = part[2]
        if not name and rows and at == len(body) and _TWO_DIGITS.fullmatch(part[1]):
            name = _NEXT_SMALLER.get(rows[-1][1].symbol, "")  # 1h20
        number = read_digits(part[1])
        if not name or number is None or len(number) > 1:
            return None
        if at < len(body) and number[0] % 1 != 0:
            return None
        try:
            rows.append((number[0], parse_unit(name)))
        except InputError:
            return None
    return rows
