"""Rows of numbers that are drawn: readings around a middle, and the runs of a log.

Both use whole numbers only, so that a draw is the same on every machine.

Readings. One reading takes twelve words of the stream. With S their sum, the reading is
``about + spread * (S - 6 * (2^64 - 1)) / 2^64``, rounded to the display step, a half to the even
step. The sum of twelve evenly spread words is close to a normal spread of size one.
Source: sum of uniform variates, central limit theorem; common practice, no source.

Runs. A log of a given length holds n runs of equal length, with at least a second between two. The
seconds that are left over are shared out by n numbers from 0 to that rest, put in order.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.engine.formula import Formula

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import Any

    from trainer.engine.definition import Given, RunLog

WORDS_A_READING = 12
_MIDDLE = 6 * (2**64 - 1)
_SIZE = 2**64

Runs = tuple[tuple[Decimal, Decimal], ...]


def readings_of(given: Given, sums: Sequence[int], base: Mapping[str, Any]) -> tuple[Decimal, ...]:
    """The readings of a sample from the word sums of the draw.

    Args:
        given: the quantity with its sample.
        sums: one sum of twelve words for each reading.
        base: the single drawn values in base units, for an ``about`` or ``spread`` by formula.
    """
    sample = given.sample
    assert sample is not None
    about = _in_unit(given, sample.about, base, is_point=given.unit.is_point)
    spread = _in_unit(given, sample.spread, base, is_point=False)
    step = Fraction(sample.step)
    return tuple(
        _steps(about + spread * Fraction(total - _MIDDLE, _SIZE), step) * sample.step
        for total in sums
    )


def _in_unit(
    given: Given, part: Decimal | Formula, base: Mapping[str, Any], *, is_point: bool
) -> Fraction:
    """A middle or a spread in the given's unit."""
    if isinstance(part, Decimal):
        return Fraction(part)
    value = part.run(base)
    if is_point:
        return Fraction(given.unit.from_base(value))
    return Fraction(value) / given.unit.factor


def _steps(value: Fraction, step: Fraction) -> int:
    """The nearest whole number of steps, a half to the even one."""
    return round(value / step)


def run_count(log: RunLog) -> int:
    """How many runs make this share of the time, to the nearest whole number."""
    return round(Fraction(log.busy) * log.length_s / log.run_s)


def rest_of(log: RunLog) -> int:
    """The seconds that are not run and not one of the seconds between two runs."""
    count = run_count(log)
    return log.length_s - count * log.run_s - (count - 1)


def runs_of(log: RunLog, cuts: Sequence[int]) -> Runs:
    """The runs, each from its first second to the second after its last, from the log's begin.

    Args:
        log: how the log is made.
        cuts: one number from 0 to ``rest_of(log)`` for each run, in any order.
    """
    return tuple(
        (
            Decimal(cut + number * (log.run_s + 1)),
            Decimal(cut + number * (log.run_s + 1) + log.run_s),
        )
        for number, cut in enumerate(sorted(cuts))
    )


def clock_text(second: int) -> str:
    """A second of the day as a time: 07:30:12."""
    minutes, seconds = divmod(second, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours % 24:02}:{minutes:02}:{seconds:02}"


def date_text(day: Decimal) -> str:
    """A day number as a date; a day beyond the calendar in words."""
    if not 1 <= day <= datetime.date.max.toordinal():
        return "a day beyond the calendar"
    return datetime.date.fromordinal(int(day)).isoformat()
