"""Unit slips: usual wrong values that come from a unit, not from the method, named in words.

They are found without being written by the author. A ratio slip is the right value times a fixed
factor (a power of ten, 60, 3600 …); the others are the share given for a percent, the offset of
the Celsius scale, the value upside down, and the sign. Which factors make sense depends on the
unit alone, so they are worked out once for each unit.

Sources: 1 lb = 0.45359237 kg exactly (international avoirdupois pound, from memory);
0 degC = 273.15 K (definition of the Celsius scale, from memory); the choice of factors is
common practice, no source.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.maths.units import CONTEXT

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from trainer.maths.units import Unit

    Reach = Callable[[Decimal], Decimal]

KG_PER_LB = Decimal("0.45359237")
G_PER_OZ = Decimal("28.349523125")
KELVIN_AT_0_DEGC = Decimal("273.15")
POWERS_OF_TEN = (1, 2, 3, 4, 5, 6, 7, 8, 9)
_ONE = Decimal(1)
_LARGEST_HALF_UNIT = Decimal("0.005")  # half a unit in the third figure of 1.00, as a share
_TIME, _TEMPERATURE = 2, 3  # places in a dimension: see maths.units
_OFFSETS = ("273.15 added", "273.15 taken off")
_TENS = {
    1: "Look for a decimal point that stands one place off.",
    2: "Look for a decimal point two places off, or for centimetres and metres.",
    3: "One step of the prefixes is a thousand: milli, none, kilo.",
    6: "Two steps of the prefixes are a million: micro and none, or square millimetres and metres.",
    9: "Three steps of the prefixes: nano and none, or cubic millimetres and metres.",
}


@dataclass(frozen=True, slots=True)
class UnitSlip:
    """One wrong value that a unit mistake gives, in the find's unit, with its name and remark."""

    name: str
    value: Decimal
    remark: str


@dataclass(frozen=True, slots=True)
class _Ratio:
    """A slip that is the right value times ``factor``."""

    name: str
    factor: Decimal
    remark: str


def unit_slips(expected: Decimal, unit: Unit) -> tuple[UnitSlip, ...]:
    """Every unit slip of this right answer, in the order in which they are looked at.

    Args:
        expected: the right answer in ``unit``.
        unit: the find's printed unit.

    Returns:
        The slips with their values in ``unit``; never the right value itself, no value twice.
    """
    found: dict[Decimal, UnitSlip] = {}
    for ratio in _ratios(unit) if expected else ():
        value = CONTEXT.multiply(expected, ratio.factor)
        found.setdefault(value, UnitSlip(ratio.name, value, ratio.remark))
    for slip in _others(expected, unit):
        found.setdefault(slip.value, slip)
    found.pop(expected, None)
    return tuple(found.values())


def is_near(expected: Decimal, unit: Unit, reach: Decimal) -> bool:
    """Whether a unit slip lies within ``reach`` of the right answer, so that no mark can tell them.

    Quicker than making the slips: no ratio slip can be nearer than the ratio nearest to one.
    A slip equal to the right answer (1 upside down) counts as near.
    """
    if expected and abs(expected) * _nearest_ratio(unit) <= reach:
        return True
    return any(abs(slip.value - expected) <= reach for slip in _others(expected, unit))


def slip_at(
    answer: Decimal, expected: Decimal, unit: Unit, tolerance: Decimal, stated: Reach
) -> UnitSlip | None:
    """The unit slip that this answer is, if any; the first in the order of ``unit_slips``.

    A value counts as a slip by the accept rule at the slip's value. For a slip that is a ratio the
    find's own tolerance, scaled like the value, is a second bound: within 0.05 s is near enough to
    5 s, but not to the 0.005 s of a value a thousand times too small. Half a unit in the slip's
    third figure always counts.

    Args:
        answer: the person's value in ``unit``.
        expected: the right answer in ``unit``.
        unit: the find's printed unit.
        tolerance: the find's tolerance at the right answer.
        stated: the accept rule: the tolerance at a value.
    """
    for slip in _candidates(answer, expected, unit, tolerance):
        reach = stated(slip.value)
        if expected and slip.name not in _OFFSETS:
            reach = min(reach, tolerance * abs(slip.value) / abs(expected))
        if slip.value != expected and _counts(answer, slip.value, reach):
            return slip
    return None


def _candidates(
    answer: Decimal, expected: Decimal, unit: Unit, tolerance: Decimal
) -> Iterator[UnitSlip]:
    """The slips that are not ruled out at first sight: most answers leave none to look at."""
    if expected and answer:
        share = max(CONTEXT.divide(tolerance, abs(expected)), _LARGEST_HALF_UNIT)
        ratio = CONTEXT.divide(answer, expected)
        if _may_be_a_ratio(ratio, unit, share):
            for one in _ratios(unit):
                if abs(ratio - one.factor) <= one.factor * share:
                    value = CONTEXT.multiply(expected, one.factor)
                    yield UnitSlip(one.name, value, one.remark)
    if _is_temperature(unit):
        yield from _offsets(expected, unit)
    if expected and answer:
        one_whole = _whole(unit)
        if abs(CONTEXT.multiply(answer, expected) - one_whole) <= one_whole * share:
            yield _upside_down(expected, unit)
        if abs(ratio + 1) <= share:
            yield _sign_turned(expected)


def _may_be_a_ratio(ratio: Decimal, unit: Unit, share: Decimal) -> bool:
    """Whether some factor of the unit lies within a share of the ratio."""
    if share >= 1:
        return True
    factors = _sorted_factors(unit)
    place = bisect_left(factors, CONTEXT.divide(ratio, 1 + share))
    return place < len(factors) and factors[place] * (1 - share) <= ratio


@lru_cache(maxsize=256)
def _sorted_factors(unit: Unit) -> tuple[Decimal, ...]:
    return tuple(sorted(one.factor for one in _ratios(unit)))


def half_unit(value: Decimal, figure: int = 3) -> Decimal:
    """Half a unit in a value's third (or another) figure.

    Example:
        >>> half_unit(Decimal("4.737")), half_unit(Decimal("1234"))
        (Decimal('0.005'), Decimal('5'))
    """
    return Decimal(5).scaleb(value.adjusted() - figure) if value else Decimal(0)


def _counts(answer: Decimal, value: Decimal, reach: Decimal) -> bool:
    return abs(answer - value) <= max(reach, half_unit(value))


def _others(expected: Decimal, unit: Unit) -> tuple[UnitSlip, ...]:
    """The slips that are no fixed ratio: offset, upside down, sign."""
    found = []
    if _is_temperature(unit):
        found += _offsets(expected, unit)
    if expected:
        found += [_upside_down(expected, unit), _sign_turned(expected)]
    return tuple(found)


def _whole(unit: Unit) -> Decimal:
    # A percent turned upside down is the share turned upside down, in percent again.
    return Decimal(10_000) if unit.symbol.startswith("%") else _ONE


def _sign_turned(expected: Decimal) -> UnitSlip:
    remark = "The size is right, the sign is not: say which way it goes."
    return UnitSlip("sign turned", -expected, remark)


def _upside_down(expected: Decimal, unit: Unit) -> UnitSlip:
    return UnitSlip(
        "upside down",
        CONTEXT.divide(_whole(unit), expected),
        "One over the right value: look which quantity stands on top and which below.",
    )


def _offsets(expected: Decimal, unit: Unit) -> list[UnitSlip]:
    if unit.is_point:
        added = "The value is in kelvin: take off 273.15 to get degrees Celsius."
        taken = "273.15 was taken off a value that was in degrees Celsius already."
    else:
        added = (
            "A difference is the same number in kelvin and in degrees Celsius: add nothing to it."
        )
        taken = (
            "A difference is the same number in kelvin and in degrees Celsius: take nothing off."
        )
    return [
        UnitSlip(_OFFSETS[0], expected + KELVIN_AT_0_DEGC, added),
        UnitSlip(_OFFSETS[1], expected - KELVIN_AT_0_DEGC, taken),
    ]


def _is_temperature(unit: Unit) -> bool:
    return unit.dimension[_TEMPERATURE] == 1 and sum(map(abs, unit.dimension)) == 1


@lru_cache(maxsize=256)
def _nearest_ratio(unit: Unit) -> Decimal:
    return min(abs(ratio.factor - 1) for ratio in _ratios(unit))


@lru_cache(maxsize=256)
def _ratios(unit: Unit) -> tuple[_Ratio, ...]:
    """The ratio slips of a unit, the likeliest first."""
    return (*_shares(unit), *_tens(), *_times(unit), *_pounds(unit))


def _shares(unit: Unit) -> list[_Ratio]:
    if unit.symbol.startswith("%"):
        remark = "That is the share of one; the answer is asked in percent: times 100."
        return [_Ratio("share given for percent", Decimal("0.01"), remark)]
    if not any(unit.dimension) and not unit.symbol:
        remark = "That is in percent; the plain number is asked: divide by 100."
        return [_Ratio("percent given for the plain number", Decimal(100), remark)]
    return []


def _tens() -> list[_Ratio]:
    found = []
    for power in POWERS_OF_TEN:
        factor = Decimal(10) ** power
        remark = _TENS.get(power, "Look at the prefixes of the units and at the decimal point.")
        found += [
            _Ratio(f"{_words(factor)} times too large", factor, remark),
            _Ratio(f"{_words(factor)} times too small", CONTEXT.divide(_ONE, factor), remark),
        ]
    return found


def _times(unit: Unit) -> list[_Ratio]:
    """60 and 3600 for every unit (time may have cancelled out), 24 and 86 400 where it is left."""
    pairs = [
        (60, "An hour has 60 minutes and a minute 60 seconds: bring the times to one unit."),
        (3600, "An hour has 3600 seconds: bring the times to one unit."),
    ]
    if unit.dimension[_TIME]:
        pairs += [
            (24, "A day has 24 hours: bring the times to one unit."),
            (86_400, "A day has 86 400 seconds: bring the times to one unit."),
        ]
    found = []
    for number, remark in pairs:
        factor = Decimal(number)
        found += [
            _Ratio(f"{_words(factor)} times too large", factor, remark),
            _Ratio(f"{_words(factor)} times too small", CONTEXT.divide(_ONE, factor), remark),
        ]
    return found


def _words(factor: Decimal) -> str:
    return f"{factor:,f}".replace(",", " ") if factor > 9999 else f"{factor:f}"


def _pounds(unit: Unit) -> list[_Ratio]:
    """Pounds for kilograms and ounces for grams, where the unit's own text holds that word."""
    words = set(re.split(r"[ ·/()]+", unit.symbol))
    found = []
    for word, factor, given, taken, remark in (
        (
            "kg",
            KG_PER_LB,
            "pounds given for kilograms",
            "kilograms taken for pounds",
            "One pound is 0.4536 kg.",
        ),
        (
            "g",
            G_PER_OZ,
            "ounces given for grams",
            "grams taken for ounces",
            "One ounce is 28.35 g.",
        ),
    ):
        if word in words:
            text = f"{remark} The answer is asked in {unit.printed}."
            inverse = CONTEXT.divide(_ONE, factor)
            found += [_Ratio(given, inverse, text), _Ratio(taken, factor, text)]
    return found
