"""Duty from run logs: two worked logs, a scan second by second, the ways to get it wrong.

The figures of both logs were worked out by hand and by a scan. Source: common practice, no source.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths import ranges
from trainer.maths.catalogue import call_quantity
from trainer.maths.duty import (
    bin_shares,
    busy_s,
    duty_in_spans,
    duty_share,
    longest_run_s,
    most_starts,
    peak_duty,
    peak_window,
    starts_per_h,
)
from trainer.maths.units import parse_unit

Log = list[tuple[float, float]]
near = pytest.approx

LOG_A: Log = [
    (0, 12), (40, 58), (95, 110), (118, 121), (300, 330), (575, 640), (660, 672), (1195, 1215),
]  # fmt: skip
HOUR = 3600
# a day: 120 doses of 12 s from 07:30 every minute, a bulk run of six minutes at 10:00, 80 doses of
# 12 s from 12:00 every 90 s; seconds since midnight
LOG_B: Log = [
    *((7.5 * HOUR + 60 * k, 7.5 * HOUR + 60 * k + 12) for k in range(120)),
    (10 * HOUR, 10 * HOUR + 360),
    *((12 * HOUR + 90 * k, 12 * HOUR + 90 * k + 12) for k in range(80)),
]
DAY = (0, 24 * HOUR)


def test_log_a_as_a_whole() -> None:
    assert busy_s(LOG_A) == 175
    assert len(LOG_A) == 8
    assert 100 * duty_share(LOG_A, 1800) == near(9.722222, abs=1e-6)
    assert longest_run_s(LOG_A) == 65
    assert starts_per_h(LOG_A, 0, 1800) == 16


def test_log_a_in_fixed_bins() -> None:
    bins = bin_shares(LOG_A, 600, 0, 1800)
    assert [share * 600 for share in bins.share] == near([103, 57, 15])
    assert [100 * share for share in bins.share] == near([17.166667, 9.5, 2.5], abs=1e-6)
    assert bins.begin_s == (0, 600, 1200)
    # whole runs booked to the bin of their start or of their end are wrong
    assert [100 * share for share in bins.share] != near([23.833333, 5.333333, 0], abs=0.1)
    assert [100 * share for share in bins.share] != near([13.0, 12.833333, 3.333333], abs=0.1)


def test_log_a_s_peak_straddles_a_bin_edge() -> None:
    peak = peak_window(LOG_A, 600, 0, 1800)
    assert peak.busy_s == 131
    assert 100 * peak.share == near(21.833333, abs=1e-6)
    assert (peak.begin_s, peak.end_s) == (40, 640)
    assert peak.share > max(bin_shares(LOG_A, 600, 0, 1800).share)
    assert peak_duty(LOG_A, 600) == peak.share


def test_log_b_as_a_whole() -> None:
    assert busy_s(LOG_B) == 2760
    assert len(LOG_B) == 201
    assert longest_run_s(LOG_B) == 360
    assert 100 * duty_share(LOG_B, 24 * HOUR) == near(3.194444, abs=1e-6)
    assert 100 * duty_share(LOG_B, 12 * HOUR) == near(6.388889, abs=1e-6)


@pytest.mark.parametrize(
    ("window_s", "percent", "seconds"), [(600, 60, 360), (HOUR, 20, 720), (4 * HOUR, 12.5, 1800)]
)
def test_log_b_s_peaks(window_s: float, percent: float, seconds: float) -> None:
    peak = peak_window(LOG_B, window_s, *DAY)
    assert 100 * peak.share == near(percent, abs=1e-9)
    assert peak.busy_s == near(seconds)
    assert peak_duty(LOG_B, window_s) == near(percent / 100)


def test_log_b_s_clock_hours() -> None:
    bins = bin_shares(LOG_B, HOUR, 7 * HOUR, 15 * HOUR)
    wanted = [10, 20, 10, 10, 0, 13.333333, 13.333333, 0]
    assert [100 * share for share in bins.share] == near(wanted, abs=1e-6)


def test_opening_hours_in_several_spans() -> None:
    # 07:00 to 10:03 and 12:00 to 18:00: the bulk run is cut after three minutes
    spans = [(7 * HOUR, 10.05 * HOUR), (12 * HOUR, 18 * HOUR)]
    on = 120 * 12 + 180 + 80 * 12
    assert duty_in_spans(LOG_B, spans) == near(on / (9.05 * HOUR))
    # one run over two spans counts in both
    assert duty_in_spans([(0, 100)], [(10, 20), (50, 60)]) == 1
    assert duty_in_spans([], [(10, 20)]) == 0
    with pytest.raises(InputError, match="spans_s"):
        duty_in_spans(LOG_A, [])


def test_a_run_over_an_edge_is_cut() -> None:
    assert busy_s([(-10, 10), (90, 130)], 0, 100) == 20
    assert busy_s([(-10, 10)], 20, 100) == 0
    assert busy_s([]) == 0
    assert busy_s([], 0, 10) == 0
    # begin alone, end alone
    assert busy_s([(0, 10), (20, 30)], 5) == 15
    assert busy_s([(0, 10), (20, 30)], None, 25) == 15
    assert busy_s([], 0) == busy_s([], None, 10) == 0
    assert peak_window([(-50, 30), (170, 400)], 100, 0, 200).busy_s == 30
    assert peak_window([(-50, -30)], 100, 0, 200).busy_s == 0
    assert peak_window([(300, 330)], 100, 0, 200).share == 0


def test_the_last_bin_is_divided_by_what_was_watched() -> None:
    assert bin_shares([(0, 30), (60, 75)], 60, 0, 90).share == (0.5, 0.5)


def test_a_motor_that_never_stops() -> None:
    assert peak_duty([(0, 1000)], 600) == 1
    assert peak_duty([(0, 1000)], 1000) == 1
    assert bin_shares([(0, 1000)], 300).share == (1, 1, 1, 1)


def test_of_equal_windows_the_earliest() -> None:
    assert peak_window([(0, 10), (100, 110), (200, 210)], 50, 0, 300).begin_s == 0
    assert peak_window([(100, 110), (200, 210)], 50, 0, 300).begin_s == 60
    # from 100 to 150 every window of 450 s holds 150 s: it begins with the first run
    assert peak_window([(100, 200), (500, 600)], 450, 0, 700).begin_s == 100
    assert peak_window([(100, 200), (500, 600)], 450, 120, 700).begin_s == 120


def test_starts_in_any_window() -> None:
    log: Log = [(0, 5), (10, 15), (58, 63), (60 + 10, 75)]
    assert most_starts(log, 60) == 3  # the window is half open: 10 and 70 are 60 apart
    assert most_starts(log, 61) == 3
    assert most_starts(log, 71) == 4
    assert most_starts(log, 30, 50, 100) == 2
    assert starts_per_h([(0, 12), (1800, 1812)]) == near(2 * 3600 / 1812)
    assert starts_per_h(log, 5, 65) == near(2 * 60)
    # a start at the very end belongs to what comes after
    assert starts_per_h(log, 10, 70) == near(2 * 60)
    assert most_starts(log, 60, 10, 70) == 2


def test_runs_that_touch_are_one_run() -> None:
    assert longest_run_s([(0, 10), (10, 25)]) == 25
    assert starts_per_h([(0, 10), (10, 25)], 0, 3600) == 1


def test_a_formula_asks_for_the_peak() -> None:
    share = call_quantity("peak_duty", LOG_A, 600)
    assert float(share.in_unit(parse_unit("%"))) == near(21.833333, abs=1e-6)


@pytest.mark.parametrize("window", [0, -600, math.nan, math.inf])
def test_a_window_must_have_a_length(window: float) -> None:
    for function in (peak_duty, bin_shares, most_starts):
        with pytest.raises(InputError, match="window_s"):
            function(LOG_A, window)


def test_a_window_longer_than_the_observation_is_refused() -> None:
    with pytest.raises(InputError, match="window_s is 600; it must be no longer than the 65 s"):
        peak_duty([(0, 12), (40, 65)], 600)
    for function in (peak_duty, bin_shares, most_starts):
        with pytest.raises(InputError, match="window_s is 1801"):
            function(LOG_A, 1801, 0, 1800)
    assert peak_duty(LOG_A, 1800, 0, 1800) == near(175 / 1800)
    # the observation is end less begin, wherever on the clock it lies
    late = [(start + 10_000, stop + 10_000) for start, stop in LOG_A]
    for function in (peak_duty, bin_shares, most_starts):
        with pytest.raises(InputError, match="no longer than the 1800 s"):
            function(late, 1801, 10_000, 11_800)


def test_bad_runs_are_refused_by_every_function() -> None:
    for log in ([(5, 5)], [(8, 5)], [(0, math.nan)], [(0, 20), (10, 30)]):
        for act in (
            busy_s,
            lambda log: duty_share(log, 1e6),
            lambda log: duty_in_spans(log, [(0, 100)]),
            lambda log: duty_in_spans([(0, 100)], log),
            longest_run_s,
            starts_per_h,
            lambda log: most_starts(log, 5),
            lambda log: bin_shares(log, 5),
            lambda log: peak_duty(log, 5),
        ):
            with pytest.raises(InputError, match="runs_s"):
                act(log)


def test_no_share_above_one() -> None:
    with pytest.raises(InputError, match="over_s is 170; it must be at least 175"):
        duty_share(LOG_A, 170)
    assert duty_share(LOG_A, 175) == 1


def test_a_log_without_runs_has_no_peak() -> None:
    for act in (longest_run_s, starts_per_h, lambda log: peak_duty(log, 5)):
        with pytest.raises(InputError) as caught:
            act([])
        assert caught.value.code == ranges.no_result


def test_an_observation_ends_after_it_begins() -> None:
    with pytest.raises(InputError, match="end_s"):
        busy_s(LOG_A, 100, 100)
    with pytest.raises(InputError, match="begin_s"):
        peak_duty(LOG_A, 10, 1215)
    with pytest.raises(InputError, match="end_s"):
        peak_duty(LOG_A, 10, None, 0)


gaps = st.lists(st.tuples(st.integers(1, 60), st.integers(1, 60)), min_size=1, max_size=12)


@st.composite
def logs(draw: st.DrawFn) -> Log:
    """Runs in whole seconds, apart from each other."""
    second, runs = draw(st.integers(0, 50)), []
    for pause, length in draw(gaps):
        second += pause
        runs.append((float(second), float(second + length)))
        second += length
    return runs


def scanned(log: Log, window: int, begin: int, end: int) -> int:
    """The most seconds on in a window, tried at every whole second."""
    on = [any(start <= second < stop for start, stop in log) for second in range(begin, end)]
    return max(sum(on[at : at + window]) for at in range(end - begin - window + 1))


@given(logs(), st.integers(1, 200), st.integers(0, 80), st.integers(0, 200))
def test_the_peak_against_a_scan_of_every_second(
    log: Log, window: int, begin: int, length: int
) -> None:
    end = begin + window + length
    peak = peak_window(log, window, begin, end)
    assert peak.busy_s == scanned(log, window, begin, end)
    assert begin <= peak.begin_s <= peak.end_s <= end
    assert busy_s(log, peak.begin_s, peak.end_s) == peak.busy_s


@given(logs(), st.integers(1, 100))
def test_the_peak_without_an_observation(log: Log, window: int) -> None:
    first, last = int(log[0][0]), int(log[-1][1])
    window = min(window, last - first)
    assert peak_window(log, window).busy_s == scanned(log, window, first, last)
    # nothing outside the log can be busier
    assert peak_window(log, window).busy_s == scanned(log, window, first - window, last + window)


@given(logs(), st.integers(5, 100), st.sampled_from([0.125, 0.5, 3, 60]))
def test_the_peak_scales_and_lies_between(log: Log, window: int, scale: float) -> None:
    window = min(window, int(log[-1][1] - log[0][0]))
    share = peak_duty(log, window)
    wider = [(scale * start, scale * stop) for start, stop in log]
    assert peak_duty(wider, scale * window) == near(share, rel=1e-9)
    # twice the window holds at least as much, and at most twice as much
    end = log[0][0] + 3 * window + log[-1][1]
    narrow, wide = (peak_window(log, times * window, 0, end).busy_s for times in (1, 2))
    assert narrow <= wide <= 2 * narrow
    assert share <= 1
    bins = bin_shares(log, window)
    assert max(bins.share[:-1], default=0) <= share + 1e-12


@given(logs(), st.integers(1, 100))
def test_bins_add_up_to_the_whole(log: Log, window: int) -> None:
    end = log[-1][1] + 7
    window = min(window, int(end))
    bins = bin_shares(log, window, 0, end)
    edges = [*bins.begin_s, end]
    seconds = [share * (b - a) for share, (a, b) in zip(bins.share, pairwise(edges), strict=True)]
    assert math.fsum(seconds) == near(busy_s(log))
    assert [busy_s(log, a, b) for a, b in pairwise(edges)] == near(seconds)


@given(logs(), st.integers(1, 300))
def test_the_most_starts_against_counting(log: Log, window: int) -> None:
    window = min(window, int(log[-1][1] - log[0][0]))
    counted = max(sum(a <= b < a + window for b, _ in log) for a, _ in log)
    assert most_starts(log, window) == counted


def test_fractions_of_a_second_add_up() -> None:
    log: Log = [(0.1 * k, 0.1 * k + 0.05) for k in range(1000)]
    assert peak_duty(log, 50) == near(0.5, abs=1e-9)
    assert bin_shares(log, 0.1, 0, 100).share == near([0.5] * 1000, abs=1e-9)
