"""Duty from a run log: time on, shares of any denominator, the exact rolling peak, starts.

A log is a row of runs, each from its first second up to its last; runs may stand in any order but
must not overlap (``run_log.merged``). The same day can be called "3 %" or "60 %": say the window
and the denominator with every figure.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from trainer.errors import InputError
from trainer.maths.ranges import no_result, number, out_of_range, positive
from trainer.maths.run_log import Runs, clipped, in_order

S_PER_H = 3600.0
Spans = list[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class PeakWindow:
    """The busiest window: its share on, seconds on, and where it lies (the earliest of equals)."""

    share: float
    busy_s: float
    begin_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Bins:
    """Shares of windows laid end to end; the last is divided by what is observed of it."""

    share: tuple[float, ...]
    begin_s: tuple[float, ...]


def busy_s(runs_s: Runs, begin_s: float | None = None, end_s: float | None = None) -> float:
    """Seconds on, of the whole log or between two seconds.

    Formula: sum over the runs of what lies inside; a run that crosses an edge is cut there.

    Args:
        runs_s: run log, s.
        begin_s: begin, s; the log's first second when not given.
        end_s: end, s, after the begin; the log's last second when not given.

    Returns:
        Seconds.

    Raises:
        InputError: MTH-030 for a run that does not end after it begins, overlapping runs, or an end
            that is not after the begin.

    Source: common practice, no source.

    Example:
        >>> busy_s([(0, 12), (40, 58)], 6, 50)
        16.0
    """
    runs = in_order(runs_s)
    if not runs and (begin_s is None or end_s is None):
        return 0.0
    begin, end = _span(runs, begin_s, end_s)
    return math.fsum(stop - start for start, stop in clipped(runs, begin, end))


def duty_share(runs_s: Runs, over_s: float) -> float:
    """Share of a named time that the motor ran: name that time with the figure.

    Formula: seconds on over the denominator (the day, the opening hours, the powered-on time).

    Args:
        runs_s: run log, s.
        over_s: the denominator, s, above 0 and no less than the time on.

    Returns:
        A share, 0 to 1.

    Raises:
        InputError: MTH-030 for a denominator shorter than the time on.

    Source: common practice, no source.

    Example:
        >>> round(duty_share([(0, 300), (400, 460)], 7200), 6)
        0.05
    """
    on = busy_s(runs_s)
    over = positive("over_s", over_s)
    if on > over:
        raise InputError(
            out_of_range, argument="over_s", value=f"{over:g}", allowed=f"at least {on:g}, the "
            "time on",
        )  # fmt: skip
    return on / over


def duty_in_spans(runs_s: Runs, spans_s: Runs) -> float:
    """Share of several spans of time, such as opening hours or powered-on hours.

    Formula: seconds on inside the spans over the length of the spans; running outside them is not
    counted.

    Args:
        runs_s: run log, s.
        spans_s: spans, s, not overlapping, at least one.

    Returns:
        A share, 0 to 1.

    Raises:
        InputError: MTH-030 for overlapping spans, MTH-032 for no span.

    Source: common practice, no source.

    Example:
        >>> duty_in_spans([(0, 60), (600, 900)], [(300, 1200)])
        0.3333333333333333
    """
    runs, spans = in_order(runs_s), in_order(spans_s)
    if not spans:
        raise InputError(no_result, why="spans_s holds no span of time to divide by")
    inside = []
    place = 0
    for start, stop in spans:
        while place < len(runs) and runs[place][1] <= start:
            place += 1
        at = place
        while at < len(runs) and runs[at][0] < stop:
            inside.append(min(stop, runs[at][1]) - max(start, runs[at][0]))
            at += 1
    return math.fsum(inside) / math.fsum(stop - start for start, stop in spans)


def longest_run_s(runs_s: Runs) -> float:
    """The longest single run; runs that touch are one.

    Formula: largest of end minus begin.

    Args:
        runs_s: run log, s, at least one run.

    Returns:
        Seconds.

    Raises:
        InputError: MTH-032 for a log without runs.

    Source: common practice, no source.

    Example:
        >>> longest_run_s([(0, 12), (40, 58)])
        18.0
    """
    return float(max(stop - start for start, stop in _some(runs_s)))


def starts_per_h(runs_s: Runs, begin_s: float | None = None, end_s: float | None = None) -> float:
    """Motor starts an hour of the observation: report it beside every duty share.

    Formula: runs that begin inside the observation over its hours.

    Args:
        runs_s: run log, s, at least one run.
        begin_s: begin of the observation, s; the first start when not given.
        end_s: end of the observation, s; the last stop when not given.

    Returns:
        Starts per hour.

    Raises:
        InputError: MTH-030 for an end that is not after the begin, MTH-032 for a log without runs.

    Source: common practice, no source.

    Example:
        >>> starts_per_h([(0, 12), (40, 58)], 0, 1800)
        4.0
    """
    runs = _some(runs_s)
    begin, end = _span(runs, begin_s, end_s)
    starts = sum(begin <= start < end for start, _ in runs)
    return starts / ((end - begin) / S_PER_H)


def most_starts(
    runs_s: Runs, window_s: float, begin_s: float | None = None, end_s: float | None = None
) -> int:
    """The most starts in any window of this length.

    Formula: largest number of starts from one start on, up to but not with the window's end.

    Args:
        runs_s: run log, s, at least one run.
        window_s: window, s, above 0, no longer than the observation.
        begin_s: begin of the observation, s; the first start when not given.
        end_s: end of the observation, s; the last stop when not given.

    Returns:
        A number of starts.

    Raises:
        InputError: MTH-030 for a window longer than the observation.

    Source: common practice, no source.

    Example:
        >>> most_starts([(0, 5), (10, 15), (58, 63)], 60)
        3
    """
    runs = _some(runs_s)
    begin, end = _span(runs, begin_s, end_s)
    window = _window(window_s, end - begin)
    starts = [start for start, _ in runs if begin <= start < end]
    most = first = 0
    for place, start in enumerate(starts):
        while start - starts[first] >= window:
            first += 1
        most = max(most, place - first + 1)
    return most


def bin_shares(
    runs_s: Runs, window_s: float, begin_s: float | None = None, end_s: float | None = None
) -> Bins:
    """Shares of windows laid end to end, such as clock hours; a peak over an edge is hidden.

    Formula: seconds on inside each window over the window; the last one over what is observed.

    Args:
        runs_s: run log, s, at least one run.
        window_s: window, s, above 0, no longer than the observation.
        begin_s: begin of the observation, s; the first start when not given.
        end_s: end of the observation, s; the last stop when not given.

    Returns:
        The shares and where each window begins.

    Raises:
        InputError: MTH-030 for a window longer than the observation.

    Source: common practice, no source.

    Example:
        >>> bin_shares([(0, 30), (90, 150)], 60, 0, 180).share
        (0.5, 0.5, 0.5)
    """
    runs = _some(runs_s)
    begin, end = _span(runs, begin_s, end_s)
    window = _window(window_s, end - begin)
    count = math.ceil((end - begin) / window)
    edges = [begin + place * window for place in range(count)]
    busy: list[list[float]] = [[] for _ in range(count)]
    for start, stop in clipped(runs, begin, end):
        first = min(count - 1, int((start - begin) / window))
        for place in range(first, min(count, int((stop - begin) / window) + 1)):
            inside = min(stop, edges[place] + window) - max(start, edges[place])
            if inside > 0:
                busy[place].append(inside)
    lengths = [min(window, end - edge) for edge in edges]
    shares = (math.fsum(on) / length for on, length in zip(busy, lengths, strict=True))
    return Bins(tuple(shares), tuple(edges))


def peak_duty(
    runs_s: Runs, window_s: float, begin_s: float | None = None, end_s: float | None = None
) -> float:
    """The largest share on in any window of this length, wherever it begins.

    Formula: seconds on in the busiest window over the window. The busiest window begins with a run
    or ends with one, so only those are tried; it is exact.

    Args:
        runs_s: run log, s, at least one run.
        window_s: window, s, above 0, no longer than the observation.
        begin_s: begin of the observation, s; the first start when not given.
        end_s: end of the observation, s; the last stop when not given.

    Returns:
        A share, 0 to 1.

    Raises:
        InputError: MTH-030 for a window longer than the observation, a run that does not end after
            it begins or overlapping runs; MTH-032 for a log without runs.

    Source: common practice, no source.

    Example:
        >>> round(peak_duty([(0, 30), (90, 150), (170, 200)], 120), 6)
        0.75
    """
    return peak_window(runs_s, window_s, begin_s, end_s).share


def peak_window(
    runs_s: Runs, window_s: float, begin_s: float | None = None, end_s: float | None = None
) -> PeakWindow:
    """The busiest window of this length: how much, and where.

    Formula: as ``peak_duty``; of equally busy windows the earliest.

    Args:
        runs_s: run log, s, at least one run.
        window_s: window, s, above 0, no longer than the observation.
        begin_s: begin of the observation, s; the first start when not given.
        end_s: end of the observation, s; the last stop when not given.

    Returns:
        Share, seconds on, begin and end.

    Raises:
        InputError: as ``peak_duty``.

    Source: common practice, no source.

    Example:
        >>> peak_window([(0, 30), (90, 150), (170, 200)], 120)
        PeakWindow(share=0.75, busy_s=90.0, begin_s=80.0, end_s=200.0)
    """
    runs = _some(runs_s)
    begin, end = _span(runs, begin_s, end_s)
    window = _window(window_s, end - begin)
    if runs[0][0] < begin or runs[-1][1] > end:
        runs = list(clipped(runs, begin, end))
    best, at = -1.0, begin
    for where, on in _candidates(runs, window, begin, end):
        if on > best or (on == best and where < at):
            best, at = on, where
    on = math.fsum(stop - start for start, stop in clipped(runs, at, at + window))
    on = min(on, window)
    return PeakWindow(on / window, on, at, at + window)


def _candidates(
    runs: Spans, window: float, begin: float, end: float
) -> Iterator[tuple[float, float]]:
    """Begin and seconds on of every window that starts or ends with a run, and of both edges.

    Both sweeps go forward only: sorted runs in, so the whole costs no more than the sorting.
    """
    before = [0.0]
    for start, stop in runs:
        before.append(before[-1] + (stop - start))
    latest, count, place = end - window, len(runs), 0
    for number_, start in enumerate([begin, *(run[0] for run in runs)]):
        if start > latest:
            break
        edge = start + window
        while place < count and runs[place][0] < edge:
            place += 1
        over = max(0.0, runs[place - 1][1] - edge) if place else 0.0
        yield start, before[place] - over - before[max(0, number_ - 1)]
    place = 0
    for number_, stop in enumerate([*(run[1] for run in runs), end], 1):
        edge = stop - window
        if edge < begin:
            continue
        while place < count and runs[place][1] <= edge:
            place += 1
        cut = max(0.0, edge - runs[place][0]) if place < count else 0.0
        yield edge, before[min(number_, count)] - before[place] - cut


def _some(runs_s: Runs) -> Spans:
    runs = in_order(runs_s)
    if not runs:
        raise InputError(no_result, why="runs_s holds no run")
    return runs


def _span(runs: Spans, begin_s: float | None, end_s: float | None) -> tuple[float, float]:
    """The observation: as given, else from the first start to the last stop."""
    begin = float(runs[0][0]) if begin_s is None else number("begin_s", begin_s)
    if end_s is None:
        end = float(runs[-1][1])
        number("begin_s", begin, high=end, below=True)
        return begin, end
    return begin, number("end_s", end_s, begin, above=True)


def _window(window_s: float, observed_s: float) -> float:
    """A window over the edge would be divided by seconds that nobody watched: refused."""
    window = positive("window_s", window_s)
    if window > observed_s:
        raise InputError(
            out_of_range,
            argument="window_s",
            value=f"{window:g}",
            allowed=f"no longer than the {observed_s:g} s observed",
        )
    return window
