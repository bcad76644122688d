"""A person's text read as a quantity, or what is wrong with it.

The grammar (blanks of every kind count as one space; minus signs, digits and commas of other
scripts count as the plain ones; ``…`` is a digit or more):

    answer    = ["="] [sign] value [unit] ["."]
    value     = number [power] | fraction | clock | parts
    number    = digits | digits "." digits | "." digits          50 · 50.2 · .5 · 50.
              | digits "," digits                                50,2
              | groups of three after a space or apostrophe      1 205 · 1'205,5
              | groups of three after commas, then a point       1,205.5 · 1,205,300
              | groups of three after points, then a comma       1.205,5 · 1.205.300
    power     = "e" whole | ("x" | "·" | "*") "10^" whole        1.2e3 · 1.2 x 10^3 · 1.2·10³
    fraction  = [whole " "] whole "/" whole                      3/4 · 1 1/2 · 1½
    clock     = whole ":" two digits [":" two digits]            2:30 min · 1:20 h · 1:20:30
    parts     = whole unit (whole unit)* number [unit]           1h 20min · 2 lb 3 oz · 1h20
    unit      = as ``maths.units`` reads it; currency signs stand for money

A single comma before exactly three digits (``1,205``) can mean 1.205 or 1205. Where only one of
the two is plausible it is taken, otherwise the person is asked. A single point is always the
decimal sign, as on every sheet printed here. Nothing else may change a value by a thousand.

A bare number is taken in the unit beside the cell. Whatever cannot be read, and every question,
is a value (``Reading.problem``), costs no attempt and raises nothing.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from trainer.engine.answer_numbers import (
    Numeral,
    Unreadable,
    plain_signs,
    read_fraction,
    read_numeral,
)
from trainer.engine.answer_parts import read_clock, read_parts
from trainer.engine.outcome import Reading
from trainer.errors import InputError
from trainer.maths.quantity import format_figures, with_unit
from trainer.maths.units import Unit, convert, dimension_name, parse_unit

Span = tuple[Decimal, Decimal]
LONGEST_ANSWER = 80
_LARGEST = Decimal("1e30")
_SMALLEST = Decimal("1e-30")
_LONGEST_WRITTEN = 12

_PLAIN = re.compile(r"(?:\+(?!-))?(-?\d{1,12}(?:\.\d{1,12})?) ?([^\d\s].*)?", re.ASCII)
_SIGN = re.compile(r"=? ?([+-]?) ?")
_CURRENCY = re.compile(r"[€$£¥]|\b(?:EUR|USD|GBP|CHF|euros?)\b")
_CLOCK = re.compile(
    r"(\d{1,4}):([0-5]\d)(?::([0-5]\d))?(?:[.,](\d{1,9}))?(?![\d:]) ?(.*)", re.ASCII
)
_PART = re.compile(r" ?(\d{1,12}(?:[.,]\d{1,12})?) ?([^\W\d_]*)", re.ASCII)
_SEVERAL = re.compile(r"(?:to|or|and|till|until|[-+±*×x;&|/]|\.\.+)(?=\W|\d).*\d", re.IGNORECASE)


def read(
    text: str,
    unit: Unit,
    *,
    unit_text: str = "",
    plausible: Span | None = None,
    in_check: bool = False,
    sure: bool = False,
) -> Reading:
    """Read a typed answer in the unit of its find.

    Args:
        text: what was typed into the cell.
        unit: the find's unit; ``Reading.value`` is in it.
        unit_text: the unit chosen beside the cell, when it is not the find's own.
        plausible: the span of likely answers, in ``unit``.
        in_check: never ask about a value that is not plausible: in a check that would help.
        sure: the person has been asked and means the value.

    Returns:
        The value; or ``blank``; or a ``problem`` in words, with ``asks`` when it is a question.

    Example:
        >>> read("1h 20min", parse_unit("min")).value
        Decimal('80')
        >>> read("1,205", parse_unit("kg")).problem
        '1,205 can be read as 1.205 or as 1205. Which one is meant?'
    """
    typed = text.strip()
    plain = _PLAIN.fullmatch(typed)
    own = {"", unit.symbol, unit.printed, unit.plural}
    if plain and (unit_text in own if plain[2] is None else plain[2] in own):
        shown = plain[1]  # what nearly everybody types: a plain number, or with the unit asked
        value = Decimal(shown)
    elif not typed:
        return Reading(text, blank=True)
    else:
        try:
            values = _values(text, unit, unit_text)
        except Unreadable as problem:
            return Reading(text, problem=str(problem))
        except InputError as error:
            return Reading(text, problem=f"{error} {error.cure} {_asked_for(unit)}")
        if len(values) > 1 and plausible is not None:
            values = tuple(one for one in values if _is_within(one[0], plausible)) or values
        if len(values) > 1:
            return _which(text, values)
        value, is_typed = values[0]
        shown = written(value, is_typed=is_typed)
    if in_check or sure or plausible is None or _is_within(value, plausible):
        return Reading(text, value, written=shown)
    return _asked(text, value, unit)


def _is_within(value: Decimal, span: Span) -> bool:
    return span[0] <= value <= span[1]


def written(value: Decimal, *, is_typed: bool = True) -> str:
    """A value as a marked sheet repeats it: the typed digits, or six figures of a converted one."""
    plain = f"{value:f}"
    if is_typed and len(plain) <= _LONGEST_WRITTEN:
        return plain
    text = format_figures(value, 6)
    return text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text


def _asked(text: str, value: Decimal, unit: Unit) -> Reading:
    said = with_unit(written(value), unit, value)
    return Reading(
        text,
        value,
        problem=f"{said} is far from what can be expected here. Is it what you mean?",
        asks=True,
        written=written(value),
    )


def _which(text: str, values: tuple[tuple[Decimal, bool], ...]) -> Reading:
    readings = tuple(f"{value:f}" for value, _ in values)
    return Reading(
        text,
        problem=f"{' '.join(text.split())} can be read as {' or as '.join(readings)}. "
        "Which one is meant?",
        asks=True,
        readings=readings,
    )


def _asked_for(unit: Unit) -> str:
    return f"The answer is asked in {unit.plural}." if unit.symbol else "A plain number is asked."


def _values(text: str, unit: Unit, unit_text: str) -> tuple[tuple[Decimal, bool], ...]:
    """Every value the text can mean, in the find's unit, and whether it stands there as typed."""
    if len(text) > LONGEST_ANSWER:
        raise Unreadable(f"That is too long. Give one number and its unit. {_asked_for(unit)}")
    plain = plain_signs(text).removesuffix(".").strip()
    if plain and not plain.isprintable():
        raise Unreadable(f"There is a sign in it that cannot be read. {_asked_for(unit)}")
    sign = _SIGN.match(plain)
    assert sign is not None
    body = plain[sign.end() :]
    if "money" in unit.symbol:
        body = _without_currency(body)
    minus = sign[1] == "-"
    beside = _unit_beside(unit_text) if unit_text else unit
    numeral, source = _number_and_unit(body, beside, unit)
    _require_fit(source, unit)
    is_typed = source.symbol == unit.symbol
    values = numeral.values
    if minus:
        values = tuple(value.copy_negate() if value else value for value in values)
    if not is_typed:
        values = tuple(convert(value, source, unit) for value in values)
    if any(value and not _SMALLEST <= abs(value) <= _LARGEST for value in values):
        raise Unreadable(f"Nobody can measure such a value. {_asked_for(unit)}")
    return tuple((value, is_typed) for value in values)


def _number_and_unit(body: str, beside: Unit, asked: Unit) -> tuple[Numeral, Unit]:
    clock = read_clock(body, beside)
    if clock is not None:
        return clock
    numeral = _fraction_or_numeral(body, asked)
    if not numeral.rest:
        return numeral, beside
    second = numeral.rest[0].isdecimal() and not numeral.rest.startswith("1/")
    if second or _SEVERAL.match(numeral.rest):
        raise Unreadable(f"Work it out and give one number. {_asked_for(asked)}")
    try:
        return numeral, parse_unit(f"1{numeral.rest}" if numeral.rest[0] == "/" else numeral.rest)
    except InputError:
        parts = read_parts(body)
        if parts is None:
            raise
        return parts


def _fraction_or_numeral(body: str, asked: Unit) -> Numeral:
    numeral = read_fraction(body) or read_numeral(body)
    if numeral is None:
        raise Unreadable(
            f"'{body[:30]}' cannot be read as a number. Write figures, such as 12.5. "
            f"{_asked_for(asked)}"
        )
    return numeral


def _without_currency(body: str) -> str:
    """Currency signs told as money: left out before the number, a unit after it."""
    before = _CURRENCY.match(body)
    if before is None:
        return _CURRENCY.sub(" money", body)
    body = body[before.end() :].strip()
    number = read_numeral(body)
    if number is not None and number.rest.startswith("/"):
        return f"{number.written} money{number.rest}"
    return body


@lru_cache(maxsize=512)
def _unit_beside(unit_text: str) -> Unit:
    return parse_unit(unit_text)


def _require_fit(source: Unit, unit: Unit) -> None:
    """Refuse a unit that cannot stand for the one asked, with words that say what is asked."""
    if source is unit or source.symbol == unit.symbol:
        return
    if source.dimension != unit.dimension:
        raise Unreadable(
            f"{source.printed or 'A plain number'} is {dimension_name(source.dimension)}; "
            f"asked is {dimension_name(unit.dimension)}. {_asked_for(unit)}"
        )
    if source.is_point and not unit.is_point:
        raise Unreadable(
            "A difference is asked, in K: °C is a temperature on the scale, not a difference."
        )
    if unit.is_point and not source.is_point:
        raise Unreadable(
            "The temperature itself is asked, in °C: K is a difference between two temperatures."
        )
    mine, asked = sorted(source.counts.split()), sorted(unit.counts.split())
    counted_as_number = not unit.symbol or not source.symbol
    if mine != asked and not counted_as_number and (mine or source.symbol.startswith("%")):
        raise Unreadable(f"{source.plural} are not what is asked. {_asked_for(unit)}")
