"""How near an answer must be and what is plausible: ``accept`` and ``plausible`` of a find."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING

from trainer.engine import reader_errors as wrong
from trainer.engine.definition import Accept
from trainer.errors import InputError
from trainer.maths.quantity import read_number
from trainer.maths.units import Unit, convert, dimension_name, parse_unit

if TYPE_CHECKING:
    from trainer.engine.positions import Path
    from trainer.engine.reader_block import Block

_NUMBER = r"[+-]?[0-9]+(?:\.[0-9]+)?"
_WITHIN = re.compile(rf"within ({_NUMBER}) ?(\S.*)?")
_FIGURES = re.compile(r"to ([0-9]+) figures")
_SPAN = re.compile(rf"({_NUMBER}) ?(\S.*?)? to ({_NUMBER}) ?(\S.*)?")
MOST_PERCENT = Decimal(50)
LEAST_FIGURES, MOST_FIGURES = 2, 6
WAYS = "'within 1 %', 'within 0.05 s', 'to 3 figures', 'exact' or 'whole, rounded down'"


class Refused(Exception):  # noqa: N818 - becomes a finding at once
    """Why a text is no tolerance or no span, and what to write instead."""

    def __init__(self, why: str, cure: str = "") -> None:
        super().__init__(why)
        self.why = why
        self.cure = cure


def accept_of(text: str, unit: Unit) -> Accept:
    """The tolerance that a text states for a find of this unit.

    Raises:
        Refused: with the reason and the cure.

    Example:
        >>> accept_of("within 50 ms", parse_unit("s")).value
        Decimal('0.05')
    """
    plain = " ".join(text.split())
    if plain == "exact":
        return Accept("exact", text=plain)
    if plain == "whole, rounded down":
        return Accept("whole down", text=plain)
    figures = _FIGURES.fullmatch(plain)
    if figures:
        count = int(figures.group(1)[:3])
        if not LEAST_FIGURES <= count <= MOST_FIGURES:
            raise Refused(
                f"{count} figures are not {LEAST_FIGURES} to {MOST_FIGURES}",
                "Write 'to 3 figures'.",
            )
        return Accept("figures", Decimal(count), plain)
    within = _WITHIN.fullmatch(plain)
    if within is None:
        raise Refused("it is none of the ways to say it", f"Write {WAYS}.")
    return _within(read_number(within.group(1)), (within.group(2) or "").strip(), unit, plain)


def _within(value: Decimal, word: str, unit: Unit, plain: str) -> Accept:
    if value <= 0:
        raise Refused("the number is not above zero", "For no tolerance write 'exact'.")
    if word == "%":
        if value > MOST_PERCENT:
            raise Refused(f"{value} % would accept nearly anything", "Write 'within 1 %'.")
        return Accept("percent", value, plain)
    if word in {"%-points", "%-point"}:
        if not unit.symbol.startswith("%"):
            raise Refused(
                f"the find is told in {unit.symbol or 'a bare number'}, not in percent",
                f"Write 'within {value} %' or 'within {value} {unit.symbol}'.",
            )
        return Accept("points", value, plain)
    if word == "degC" or (not word and any(unit.dimension)):
        raise Refused(
            "a tolerance is a difference" if word else "the unit is missing",
            f"Write 'within {value} K'." if word else f"Write 'within {value} {unit.symbol}'.",
        )
    try:
        tolerance = parse_unit(word)
    except InputError as refused:
        raise Refused(f"'{word}' is no unit", f"{refused.cure} Or write {WAYS}.") from refused
    if tolerance.dimension != unit.dimension:
        raise Refused(
            f"{tolerance.symbol} is {dimension_name(tolerance.dimension)}, and the find is told in "
            f"{unit.symbol or 'a bare number'} ({dimension_name(unit.dimension)})",
            f"Write 'within {value} {'K' if unit.is_point else unit.symbol}' or another such unit.",
        )
    # A difference has no zero of its own: only the sizes of the two units count.
    over = tolerance.factor / unit.factor
    return Accept("absolute", value * over.numerator / over.denominator, plain)


def plausible_of(text: str, unit: Unit) -> tuple[Decimal, Decimal]:
    """The span of plausible answers, in the find's unit.

    Raises:
        Refused: with the reason.

    Example:
        >>> plausible_of("500 ms to 10 s", parse_unit("s"))
        (Decimal('0.5'), Decimal('10'))
    """
    span = _SPAN.fullmatch(" ".join(text.split()))
    if span is None:
        raise Refused("it is not a span")
    low_text, low_unit, high_text, high_unit = span.groups()
    high_unit = high_unit or low_unit or unit.symbol
    ends = []
    for number, word in ((low_text, low_unit or high_unit), (high_text, high_unit)):
        try:
            ends.append(convert(read_number(number), parse_unit(word), unit))
        except InputError as refused:
            raise Refused(str(refused).rstrip(".")) from refused
    low, high = ends
    if low >= high:
        raise Refused("its lower end is not below its upper end")
    return low, high


def take_accept(block: Block, path: Path, unit: Unit) -> Accept | None:
    """The tolerance at a path; a finding and ``None`` when it is refused."""
    text = block.take_text(path, example="accept = 'within 1 %'")
    if text is None:
        return None
    try:
        return accept_of(text, unit)
    except Refused as refused:
        block.note(wrong.bad_accept, path, text=text, why=refused.why, cure=refused.cure)
        return None


def take_plausible(block: Block, path: Path, unit: Unit) -> tuple[Decimal, Decimal] | None:
    """The plausible span at a path; a finding and ``None`` when it is refused."""
    text = block.take_text(path, example="plausible = '1 s to 10 s'")
    if text is None:
        return None
    try:
        return plausible_of(text, unit)
    except Refused as refused:
        block.note(wrong.bad_plausible, path, text=text, why=refused.why)
        return None
