"""Scales: round tick values for an axis, their labels, and which labels have room.

Common practice, no source: ticks at 1, 2 or 5 times a power of ten.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Context, Decimal

_CONTEXT = Context(prec=28)
_ONE, _TWO, _FIVE, _TEN = (Decimal(number) for number in (1, 2, 5, 10))
LONGEST_LABEL = 9
NARROW_ROOM = 30  # characters that fill a drawing on the narrowest page, 320 px at 14 px type
WIDE_ROOM = 40  # characters that surely fit where the stylesheet shows the class "rest" again


@dataclass(frozen=True, slots=True)
class Scale:
    """An axis from ``low`` to ``high``: a labelled tick every ``step``, each cut in ``parts``."""

    low: Decimal
    high: Decimal
    step: Decimal
    parts: int

    def at(self, value: Decimal) -> Decimal:
        """Where a value stands, in percent of the axis, two places."""
        share = _CONTEXT.divide(100 * (value - self.low), self.high - self.low)
        return share.quantize(Decimal("0.01"))

    def majors(self) -> tuple[Decimal, ...]:
        """The values that carry a label."""
        count = int((self.high - self.low) / self.step)
        return tuple(self.low + number * self.step for number in range(count + 1))

    def minors(self) -> tuple[Decimal, ...]:
        """The values between, with a short tick."""
        part = self.step / self.parts
        count = int((self.high - self.low) / part)
        return tuple(self.low + number * part for number in range(count + 1) if number % self.parts)

    def label(self, value: Decimal) -> str:
        """The value with the places of the step; with an exponent where that would be too long."""
        return label(value, self.step)


def scale_for(
    low: Decimal, high: Decimal, *, most: int, least_step: Decimal | None = None
) -> Scale:
    """A scale that holds ``low`` to ``high`` in at most ``most`` steps and ends on labelled ticks.

    Args:
        low: the lowest value to be shown.
        high: the highest; greater than ``low``.
        most: how many steps at most, 2 or more.
        least_step: no finer step than this (1 for whole numbers).
    """
    step = _round_up((high - low) / most)
    if least_step is not None:
        step = max(step, least_step)
    while True:
        first = _to_step(low, step, ROUND_FLOOR)
        last = _to_step(high, step, ROUND_CEILING)
        if last - first <= most * step:
            break
        step = _next(step)
    return Scale(first, last, step, parts=_parts(step, least_step))


def label(value: Decimal, step: Decimal) -> str:
    """A tick's label: plain digits with the places that the step needs, never a negative zero."""
    places = max(0, -_exponent(step))
    shown = value.quantize(Decimal(1).scaleb(-places), context=Context(prec=90))
    text = f"{shown or abs(shown):f}"
    if len(text) <= LONGEST_LABEL:
        return text
    figures = max(1, value.adjusted() - _exponent(step) + 1) if value else 1
    mantissa = value.scaleb(-value.adjusted()).quantize(Decimal(1).scaleb(1 - figures))
    return min(text, f"{mantissa:f}e{value.adjusted()}", key=len)


@dataclass(frozen=True, slots=True)
class Label:
    """A text of so many characters at a place in percent, with its anchor: start, mid or end."""

    text: str
    at: Decimal
    anchor: str = "mid"

    def span(self, room: int) -> tuple[Decimal, Decimal]:
        """From where to where it reaches, in percent, when ``room`` characters fill the axis."""
        width = Decimal(100 * len(self.text)) / room
        if self.anchor == "start":
            return self.at, self.at + width
        if self.anchor == "end":
            return self.at - width, self.at
        return self.at - width / 2, self.at + width / 2


def with_room(labels: Sequence[Label], room: int) -> tuple[bool, ...]:
    """Which labels can stand without touching: the last always, then the first, the others in turn.

    Args:
        labels: from left to right.
        room: how many characters fill the whole axis.
    """
    gap = Decimal(100) / room
    shown = [False] * len(labels)
    shown[-1] = True
    free_to = labels[-1].span(room)[0] - gap
    shown[0] = labels[0].span(room)[1] <= free_to
    free_from = labels[0].span(room)[1] + gap
    for number, one in enumerate(labels[1:-1], start=1):
        left, right = one.span(room)
        if left >= free_from and right <= free_to:
            shown[number] = True
            free_from = right + gap
    return tuple(shown)


def _round_up(value: Decimal) -> Decimal:
    """The smallest 1, 2 or 5 times a power of ten that is not below the value."""
    power = Decimal(1).scaleb(value.adjusted())
    for digit in (_ONE, _TWO, _FIVE, _TEN):
        if digit * power >= value:
            return digit * power
    raise AssertionError  # pragma: no cover - ten times its own power is above every value


def _next(step: Decimal) -> Decimal:
    return _round_up(step * Decimal("1.5"))


def _to_step(value: Decimal, step: Decimal, rounding: str) -> Decimal:
    return (value / step).to_integral_value(rounding=rounding) * step


def _parts(step: Decimal, least_step: Decimal | None) -> int:
    """Short ticks between two labels: halves of 1 and 2, fifths of 5, none finer than the least."""
    digit = step.as_tuple().digits[0]
    parts = 5 if digit == 5 else 2
    return parts if least_step is None or step / parts >= least_step else 1


def _exponent(step: Decimal) -> int:
    return int(step.normalize().as_tuple().exponent)
