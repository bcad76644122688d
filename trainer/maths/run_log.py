"""Reading an on/off log: stamps to seconds of UTC, events to runs, runs merged and clipped.

A run is a half-open interval [from, to) in seconds. What a log leaves open (a lost "off", a double
"on", a run of no length) becomes a finding, and that run is left out: nothing is guessed. A stamp
without zone is refused, because the night of a clock change would count an hour too few or too
many. Source: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Literal

from trainer.errors import InputError
from trainer.maths.ranges import no_result, not_negative, number, out_of_range, positive

Runs = Sequence[tuple[float, float]]
FindingKind = Literal[
    "lost off", "lost on", "no length", "backwards", "still on", "overlap", "clipped", "outside",
    "clock stepped",
]  # fmt: skip
CLOCK_STEP_S = 1.0  # stamps are kept to the second; a larger difference is the clock's


@dataclass(frozen=True, slots=True)
class Event:
    """The motor was switched on or off at an aware moment."""

    at: datetime
    is_on: bool


@dataclass(frozen=True, slots=True)
class Stamped:
    """A run as a log of whole runs keeps it; ``counted_s`` is its length by a steady counter."""

    on: datetime
    off: datetime | None
    counted_s: float | None = None


@dataclass(frozen=True, slots=True)
class RunFinding:
    """Something a person should look at: the second of UTC, what kind, and a sentence."""

    at_s: float
    kind: FindingKind
    sentence: str


@dataclass(frozen=True, slots=True)
class RunRecord:
    """Runs in order, apart from each other and inside the observation, and what was found.

    Attributes:
        runs_s: from and to of each run in seconds of UTC since 1970.
        begin_s: begin of the observation.
        end_s: end of the observation.
        findings: what was left out, cut or put together, in order of time.
    """

    runs_s: tuple[tuple[float, float], ...]
    begin_s: float
    end_s: float
    findings: tuple[RunFinding, ...]


def utc_s(stamp: datetime) -> float:
    """An aware stamp as seconds of UTC since 1970.

    Raises:
        InputError: MTH-030 for a stamp without zone.

    Example:
        >>> utc_s(datetime(1970, 1, 2, tzinfo=UTC))
        86400.0
    """
    if stamp.tzinfo is None or stamp.utcoffset() is None:
        raise InputError(
            out_of_range,
            argument="stamp",
            value=stamp.isoformat(sep=" "),
            allowed="a time with its zone or its offset from UTC",
        )
    return stamp.astimezone(UTC).timestamp()


def elapsed_s(first: datetime, second: datetime) -> float:
    """True seconds between two aware stamps, over a clock change as well.

    Formula: difference of the two stamps in UTC. Subtracting two local stamps of one zone gives the
    difference of the clock faces instead, an hour wrong over a change.

    Raises:
        InputError: MTH-030 for a stamp without zone.

    Example:
        >>> from zoneinfo import ZoneInfo
        >>> berlin = ZoneInfo("Europe/Berlin")
        >>> night = datetime(2026, 3, 29, 0, 30, tzinfo=berlin)
        >>> elapsed_s(night, datetime(2026, 3, 29, 3, 30, tzinfo=berlin))
        7200.0
    """
    return utc_s(second) - utc_s(first)


def day_length_s(day: date, zone: tzinfo) -> float:
    """Seconds in a local day: 86400, or an hour less or more at a clock change.

    Example:
        >>> day_length_s(date(2026, 5, 4), UTC)
        86400.0
    """
    midnight = datetime.combine(day, time(), zone)
    return elapsed_s(midnight, datetime.combine(day + timedelta(days=1), time(), zone))


def run_length_span_s(length_s: float, sample_s: float) -> tuple[float, float]:
    """The shortest and longest that a run can have been in a log of states at a fixed step.

    Formula: length minus one step (not below 0) to length plus one step.

    Raises:
        InputError: MTH-030 for a negative length or a step that is not above 0.

    Example:
        >>> run_length_span_s(10, 10)
        (0.0, 20.0)
    """
    length, step = not_negative("length_s", length_s), positive("sample_s", sample_s)
    return max(0.0, length - step), length + step


def merged(runs_s: Iterable[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """The runs in order, with overlapping and touching ones put together.

    Raises:
        InputError: MTH-030 for a run that does not end after it begins, or is not finite.

    Example:
        >>> merged([(60, 68), (0, 8), (5, 12)])
        ((0, 12), (60, 68))
    """
    together: list[tuple[float, float]] = []
    for start, stop in sorted(_checked(place, run) for place, run in enumerate(runs_s)):
        if together and start <= together[-1][1]:
            together[-1] = together[-1][0], max(stop, together[-1][1])
        else:
            together.append((start, stop))
    return tuple(together)


def clipped(runs_s: Runs, begin_s: float, end_s: float) -> tuple[tuple[float, float], ...]:
    """What of each run lies between two seconds; runs wholly outside are left out.

    Raises:
        InputError: MTH-030 for an end that is not after the begin.

    Example:
        >>> clipped([(0, 8), (60, 68)], 4, 64)
        ((4.0, 8), (60, 64.0))
    """
    begin = number("begin_s", begin_s)
    end = number("end_s", end_s, begin, above=True)
    inside = ((max(start, begin), min(stop, end)) for start, stop in runs_s)
    return tuple((start, stop) for start, stop in inside if start < stop)


def in_order(runs_s: Runs) -> list[tuple[float, float]]:
    """The runs sorted and touching ones joined, for functions that count on merged runs.

    Raises:
        InputError: MTH-030 for a run that does not end after it begins, or for overlapping runs.
    """
    ordered: list[tuple[float, float]] = []
    last = -math.inf
    for place, run in enumerate(runs_s):
        if not _is_sound(run):
            _checked(place, run)
        if run[0] <= last:
            return _sorted_and_joined(runs_s)
        ordered.append((run[0], run[1]))
        last = run[1]
    return ordered


def _sorted_and_joined(runs_s: Runs) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for start, stop in sorted(_checked(place, run) for place, run in enumerate(runs_s)):
        if joined and start < joined[-1][1]:
            raise InputError(
                out_of_range,
                argument="runs_s",
                value=f"{start:g}..{stop:g} beside {joined[-1][0]:g}..{joined[-1][1]:g}",
                allowed="runs that do not overlap; merge them first",
            )
        if joined and start == joined[-1][1]:
            joined[-1] = joined[-1][0], stop
        else:
            joined.append((start, stop))
    return joined


def _is_sound(run: object) -> bool:
    """The quick look that a year of runs can afford; whatever it doubts is looked at closely."""
    return (
        isinstance(run, (tuple, list))
        and len(run) == 2
        and type(run[0]) in {int, float}
        and type(run[1]) in {int, float}
        and -math.inf < run[0] < run[1] < math.inf
    )


def _checked(place: int, run: object) -> tuple[float, float]:
    if _is_sound(run):
        assert isinstance(run, (tuple, list))
        return run[0], run[1]
    if not isinstance(run, (tuple, list)) or len(run) != 2:
        raise InputError(
            out_of_range, argument=f"runs_s[{place}]", value=repr(run), allowed="a from and a to"
        )
    start, stop = (number(f"runs_s[{place}]", second) for second in run)
    if stop <= start:
        raise InputError(
            out_of_range,
            argument=f"runs_s[{place}]",
            value=f"{start:g}..{stop:g}",
            allowed="a run that ends after it begins",
        )
    return start, stop


def read_events(
    events: Iterable[Event], begin: datetime, end: datetime, *, on_at_begin: bool = False
) -> RunRecord:
    """Runs from single on and off events of an observation.

    Formula: each "on" with the next "off". An "on" after an "on" means that an "off" was lost: the
    run before it has no known end and is left out. A run still on at the end is cut there.

    Args:
        events: in any order; of two at one moment the "off" comes first.
        begin: begin of the observation, aware.
        end: end of the observation, aware, after the begin.
        on_at_begin: whether the motor was known to run when the observation began.

    Returns:
        The runs and the findings.

    Raises:
        InputError: MTH-030 for a stamp without zone or an observation of no length.

    Source: common practice, no source.

    Example:
        >>> noon = datetime(2026, 5, 4, 12, tzinfo=UTC)
        >>> read = read_events(
        ...     [Event(noon + timedelta(seconds=s), on) for s, on in ((5, True), (17, False))],
        ...     noon, noon + timedelta(minutes=1))
        >>> [(a - read.begin_s, b - read.begin_s) for a, b in read.runs_s], read.findings
        ([(5.0, 17.0)], ())
    """
    begin_s, end_s = _observed(begin, end)
    findings: list[RunFinding] = []
    runs: list[tuple[float, float]] = []
    since = begin_s if on_at_begin else None
    for at_s, is_on in sorted((utc_s(event.at), event.is_on) for event in events):
        if is_on:
            if since is not None:
                findings.append(RunFinding(since, "lost off", _LOST_OFF))
            since = at_s
        elif since is None:
            findings.append(RunFinding(at_s, "lost on", _LOST_ON))
        else:
            _take(since, at_s, runs, findings)
            since = None
    if since is not None and since < end_s:
        runs.append((since, end_s))
        findings.append(RunFinding(since, "still on", _STILL_ON))
    return _record(runs, begin_s, end_s, findings)


def read_runs(stamped: Iterable[Stamped], begin: datetime, end: datetime) -> RunRecord:
    """Runs from a log that keeps each run with its begin and end.

    Formula: both stamps in UTC; where a steady counter kept the length, that length holds and the
    end stamp only checks it. A missing end is cut at the end of the observation.

    Args:
        stamped: in any order.
        begin: begin of the observation, aware.
        end: end of the observation, aware, after the begin.

    Returns:
        The runs, merged and cut to the observation, and the findings.

    Raises:
        InputError: MTH-030 for a stamp without zone, an observation of no length or a counted
            length that is negative.

    Source: common practice, no source.
    """
    begin_s, end_s = _observed(begin, end)
    findings: list[RunFinding] = []
    runs: list[tuple[float, float]] = []
    for run in stamped:
        start = utc_s(run.on)
        stop = end_s if run.off is None else utc_s(run.off)
        if run.counted_s is not None:
            counted = start + not_negative("counted_s", run.counted_s)
            if run.off is not None and abs(counted - stop) > CLOCK_STEP_S:
                findings.append(RunFinding(start, "clock stepped", _STEPPED))
            stop = counted
        elif run.off is None:
            if start < end_s:
                findings.append(RunFinding(start, "still on", _STILL_ON))
                runs.append((start, end_s))
            continue
        _take(start, stop, runs, findings)
    return _record(runs, begin_s, end_s, findings)


_LOST_OFF = "Switched on twice: an off was lost, and this run has no known end. It is left out."
_LOST_ON = "Switched off without having been on: the on was lost. It is left out."
_STILL_ON = "Still on at the end of the observation: the run is cut there."
_STEPPED = "Stamps and counter disagree: the clock was set. The counted length holds."
_NO_LENGTH = "A run of no length is left out."
_BACKWARDS = "A run that ends before it begins is left out."
_CLIPPED = "The run reaches beyond the observation and is cut at its edge."
_OUTSIDE = "The run lies outside the observation and is left out."
_OVERLAP = "Two runs overlap; they are counted as one."


def _observed(begin: datetime, end: datetime) -> tuple[float, float]:
    begin_s, end_s = utc_s(begin), utc_s(end)
    if end_s <= begin_s:
        raise InputError(
            no_result, why=f"the observation ends {begin_s - end_s:g} s before or as it begins"
        )
    return begin_s, end_s


def _take(
    start: float, stop: float, runs: list[tuple[float, float]], findings: list[RunFinding]
) -> None:
    if stop > start:
        runs.append((start, stop))
    elif stop == start:
        findings.append(RunFinding(start, "no length", _NO_LENGTH))
    else:
        findings.append(RunFinding(start, "backwards", _BACKWARDS))


def _record(
    runs: list[tuple[float, float]], begin_s: float, end_s: float, findings: list[RunFinding]
) -> RunRecord:
    reached = -math.inf
    for start, stop in sorted(runs):
        if start < reached:
            findings.append(RunFinding(start, "overlap", _OVERLAP))
        reached = max(reached, stop)
        if stop <= begin_s or start >= end_s:
            findings.append(RunFinding(start, "outside", _OUTSIDE))
        elif start < begin_s or stop > end_s:
            findings.append(RunFinding(start, "clipped", _CLIPPED))
    findings.sort(key=lambda finding: finding.at_s)
    inside = clipped(merged(runs), begin_s, end_s)
    return RunRecord(inside, begin_s, end_s, tuple(findings))
