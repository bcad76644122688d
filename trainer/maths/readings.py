"""A machine's counter readings, in any order, as what was used in each interval.

What cannot be known is a value here, not an error: an interval over a reset whose last value nobody
wrote down says "at least so much" and stays out of every rate. What cannot be true (a fall without
a reset, more than the machine can grind) is a finding, and its interval is unknown too.
Source: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Literal

from trainer.maths.ranges import not_negative, number, positive

FindingKind = Literal["fell", "too much", "off the counter", "same day", "rolled over", "reset"]


@dataclass(frozen=True, slots=True)
class Reset:
    """One reset: the value written down before it (none if nobody did) and the value after it."""

    before: float | None
    after: float = 0.0


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading of one counter on a date, with the resets since the reading before, in order."""

    day: date
    value: float
    resets: tuple[Reset, ...] = ()


@dataclass(frozen=True, slots=True)
class Segment:
    """What was used between two readings.

    Attributes:
        start: date of the earlier reading.
        end: date of the later reading.
        used: the amount, or none when it cannot be known.
        at_least: the least it can have been; the amount itself when that is known.
    """

    start: date
    end: date
    used: float | None
    at_least: float

    @property
    def days(self) -> int:
        """Calendar days between the readings; 0 for two of the same day."""
        return (self.end - self.start).days

    @property
    def rate(self) -> float | None:
        """Used per day; none when it is unknown or no day has passed."""
        return None if self.used is None or not self.days else self.used / self.days


@dataclass(frozen=True, slots=True)
class ReadingFinding:
    """Something a person should look at: the date of the reading, what kind, and a sentence."""

    day: date
    kind: FindingKind
    sentence: str


@dataclass(frozen=True, slots=True)
class History:
    """The intervals between readings in order of time, and what was found."""

    segments: tuple[Segment, ...]
    findings: tuple[ReadingFinding, ...]

    @property
    def rate_per_day(self) -> float | None:
        """Sum over sum of the known intervals; none when there is nothing to divide by."""
        known = [segment for segment in self.segments if segment.used is not None]
        days = sum(segment.days for segment in known)
        if not days:
            return None
        return math.fsum(segment.used for segment in known if segment.used is not None) / days

    @property
    def used(self) -> float | None:
        """The whole amount; none when any interval is unknown."""
        amounts = [segment.used for segment in self.segments]
        return None if None in amounts else math.fsum(amount or 0.0 for amount in amounts)

    @property
    def at_least(self) -> float:
        """The least that was used in all."""
        return math.fsum(segment.at_least for segment in self.segments)


def between(
    readings: Sequence[Reading],
    *,
    modulus: float | None = None,
    most_per_day: float | None = None,
) -> History:
    """What was used in each interval between readings of one counter.

    Formula: later minus earlier; over resets the sum of the pieces; over a rollover the difference
    modulo the counter's size, believed only when the most per day is known and not exceeded.

    Args:
        readings: any order; two of the same day stand in order of their value.
        modulus: how many values the counter has, when it is known to roll over; above 0.
        most_per_day: the most that can be used in a day (``counters.largest_kg_per_day``).

    Returns:
        The segments in order of time and the findings, never an error for what was read.

    Raises:
        InputError: MTH-030 for a modulus or a most per day that is not above 0, or a reading that
            is not a finite number.

    Source: common practice, no source.

    Example:
        >>> history = between([
        ...     Reading(date(2026, 2, 2), 1561.8),
        ...     Reading(date(2026, 1, 5), 1480.2),
        ...     Reading(date(2026, 3, 16), 12.4, (Reset(1668.0),)),
        ... ])
        >>> [round(segment.used, 1) for segment in history.segments], history.findings
        ([81.6, 118.6], ())
    """
    if modulus is not None:
        positive("modulus", modulus)
    if most_per_day is not None:
        positive("most_per_day", most_per_day)
    findings: list[ReadingFinding] = []
    ordered = []
    for reading in sorted(readings, key=lambda reading: (reading.day, reading.value)):
        number("value", reading.value)
        if reading.value < 0 or (modulus is not None and reading.value >= modulus):
            sentence = f"The counter cannot show {reading.value:g}; the reading is left out."
            findings.append(ReadingFinding(reading.day, "off the counter", sentence))
        else:
            ordered.append(reading)
    segments = []
    for earlier, later in pairwise(ordered):
        segment, found = _segment(earlier, later, modulus, most_per_day)
        segments.append(segment)
        findings += found
    return History(tuple(segments), tuple(sorted(findings, key=lambda finding: finding.day)))


def _segment(
    earlier: Reading, later: Reading, modulus: float | None, most_per_day: float | None
) -> tuple[Segment, list[ReadingFinding]]:
    findings: list[ReadingFinding] = []

    def note(kind: FindingKind, sentence: str) -> None:
        findings.append(ReadingFinding(later.day, kind, sentence))

    days = (later.day - earlier.day).days
    used, least = _over_resets(earlier.value, later, note)
    if not later.resets and later.value < earlier.value:
        used, least = _after_a_fall(earlier, later, modulus, most_per_day, note)
    if days == 0 and later.value != earlier.value:
        note("same day", "Two readings of one day: they give an amount but no rate.")
    if most_per_day is not None and least > most_per_day * max(days, 1):
        note(
            "too much",
            f"{least:g} in {days} days is more than the {most_per_day * max(days, 1):g} that the "
            "machine can do: one of the two readings is wrong.",
        )
        used, least = None, 0.0
    return Segment(earlier.day, later.day, used, least), findings


def _over_resets(
    start: float, later: Reading, note: Callable[[FindingKind, str], None]
) -> tuple[float | None, float]:
    """The pieces between resets: the amount (none if one is unknown) and the least."""
    pieces: list[float | None] = []
    for reset in later.resets:
        pieces.append(None if reset.before is None else reset.before - start)
        start = not_negative("after", reset.after)
        if reset.before is None:
            note("reset", "The value at the reset was not written down: only a least is known.")
    pieces.append(later.value - start)
    known = [piece for piece in pieces if piece is not None]
    if later.resets and any(piece < 0 for piece in known):
        note("fell", "A value written down at the reset does not fit the readings around it.")
        return None, math.fsum(piece for piece in known if piece > 0)
    amount = math.fsum(known)
    return (None if len(known) < len(pieces) else amount), max(0.0, amount)


def _after_a_fall(
    earlier: Reading,
    later: Reading,
    modulus: float | None,
    most_per_day: float | None,
    note: Callable[[FindingKind, str], None],
) -> tuple[float | None, float]:
    """A fall without a reset: a rollover if that is possible, else unknown."""
    first, second = earlier.value, later.value
    if modulus is not None and most_per_day is not None:
        round_once = second - first + modulus
        if round_once <= most_per_day * max((later.day - earlier.day).days, 1):
            note("rolled over", f"The counter went round from {first:g} to {second:g}.")
            return round_once, round_once
    note(
        "fell",
        f"The counter fell from {first:g} to {second:g}: reset, rolled over, exchanged or read "
        "wrongly. Ask; do not guess.",
    )
    return None, 0.0
