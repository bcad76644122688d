"""Reading on/off logs: clock changes, lost events, cutting, merging. Source: common practice."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import CATALOGUE, InputError
from trainer.maths import ranges
from trainer.maths.run_log import (
    Event,
    Stamped,
    clipped,
    day_length_s,
    elapsed_s,
    in_order,
    merged,
    read_events,
    read_runs,
    run_length_span_s,
    utc_s,
)

BERLIN, NEW_YORK = ZoneInfo("Europe/Berlin"), ZoneInfo("America/New_York")
NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)
HOUR = NOON + timedelta(hours=1)


def at(seconds: float) -> datetime:
    return NOON + timedelta(seconds=seconds)


def from_noon(runs: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    return [(start - utc_s(NOON), stop - utc_s(NOON)) for start, stop in runs]


@pytest.mark.parametrize(
    ("zone", "day", "true_s"),
    [
        # Source: the tz database; 00:30 to 03:30 by the clock on the wall
        (BERLIN, date(2026, 3, 29), 7200),
        (BERLIN, date(2026, 10, 25), 14400),
        (NEW_YORK, date(2026, 3, 8), 7200),
        (NEW_YORK, date(2026, 11, 1), 14400),
        (BERLIN, date(2026, 5, 4), 10800),
    ],
)
def test_a_clock_change_in_the_night(zone: ZoneInfo, day: date, true_s: float) -> None:
    first = datetime(day.year, day.month, day.day, 0, 30, tzinfo=zone)
    second = first.replace(hour=3)
    assert elapsed_s(first, second) == true_s
    # the trap: Python subtracts the clock faces of two stamps of one zone
    assert (second - first).total_seconds() == 10800
    read = read_runs([Stamped(first, second)], first, second + timedelta(hours=1))
    assert read.runs_s[0][1] - read.runs_s[0][0] == true_s


@pytest.mark.parametrize(
    ("day", "hours", "percent"),
    [
        (date(2026, 3, 29), 23, 8.695652),
        (date(2026, 5, 4), 24, 8.333333),
        (date(2026, 10, 25), 25, 8.0),
    ],
)
def test_length_of_a_day(day: date, hours: int, percent: float) -> None:
    # Source: the tz database; two hours of running on each
    assert day_length_s(day, BERLIN) == hours * 3600
    assert 100 * 7200 / day_length_s(day, BERLIN) == pytest.approx(percent, abs=1e-6)


def test_a_stamp_without_zone_is_refused() -> None:
    naive = datetime(2026, 5, 4, 12)  # noqa: DTZ001 - the point of the test
    for act in (
        lambda: utc_s(naive),
        lambda: elapsed_s(naive, NOON),
        lambda: read_events([Event(naive, is_on=True)], NOON, HOUR),
        lambda: read_events([], naive, HOUR),
        lambda: read_runs([Stamped(NOON, naive)], NOON, HOUR),
    ):
        with pytest.raises(InputError, match=r"stamp is 2026-05-04 12:00:00.*zone") as caught:
            act()
        assert caught.value.code == ranges.out_of_range


def test_offsets_from_utc_are_zones() -> None:
    assert elapsed_s(datetime(2026, 5, 4, 14, tzinfo=timezone(timedelta(hours=2))), NOON) == 0


def test_events_in_any_order_become_runs() -> None:
    events = [Event(at(s), on) for s, on in ((40, True), (58, False), (12, False), (0, True))]
    read = read_events(events, NOON, HOUR)
    assert from_noon(read.runs_s) == [(0, 12), (40, 58)]
    assert read.findings == ()
    assert read.end_s - read.begin_s == 3600


def test_a_lost_off_leaves_the_run_out() -> None:
    read = read_events(
        [Event(at(s), on) for s, on in ((0, True), (100, True), (110, False))], NOON, HOUR
    )
    assert from_noon(read.runs_s) == [(100, 110)]
    assert [finding.kind for finding in read.findings] == ["lost off"]
    assert read.findings[0].at_s == utc_s(NOON)


def test_a_lost_on_is_said() -> None:
    read = read_events([Event(at(5), is_on=False)], NOON, HOUR)
    assert read.runs_s == ()
    assert [finding.kind for finding in read.findings] == ["lost on"]
    known = read_events([Event(at(5), is_on=False)], NOON, HOUR, on_at_begin=True)
    assert from_noon(known.runs_s) == [(0, 5)]
    assert known.findings == ()


def test_still_on_at_the_end_is_cut_and_said() -> None:
    read = read_events([Event(at(3590), is_on=True)], NOON, HOUR)
    assert from_noon(read.runs_s) == [(3590, 3600)]
    assert [finding.kind for finding in read.findings] == ["still on"]
    read = read_runs([Stamped(at(3590), None)], NOON, HOUR)
    assert from_noon(read.runs_s) == [(3590, 3600)]
    assert [finding.kind for finding in read.findings] == ["still on"]
    assert read_runs([Stamped(at(3600), None)], NOON, HOUR).runs_s == ()
    assert read_events([Event(at(3600), is_on=True)], NOON, HOUR).runs_s == ()


def test_an_off_and_an_on_at_one_moment_are_two_presses_of_one_run() -> None:
    read = read_events(
        [Event(at(s), on) for s, on in ((0, True), (10, True), (10, False), (20, False))],
        NOON, HOUR,
    )  # fmt: skip
    assert from_noon(read.runs_s) == [(0, 20)]


def test_runs_that_cannot_be_are_left_out_and_said() -> None:
    read = read_runs(
        [
            Stamped(at(10), at(10)),
            Stamped(at(30), at(20)),
            Stamped(at(100), at(130)),
            Stamped(at(120), at(140)),
            Stamped(at(-50), at(-10)),
            Stamped(at(-5), at(5)),
            Stamped(at(4000), at(4010)),
        ],
        NOON, HOUR,
    )  # fmt: skip
    assert from_noon(read.runs_s) == [(0, 5), (100, 140)]
    assert [finding.kind for finding in read.findings] == [
        "outside", "clipped", "no length", "backwards", "overlap", "outside",
    ]  # fmt: skip
    assert all(finding.sentence.endswith(".") for finding in read.findings)


def test_touching_edges_are_no_findings() -> None:
    # runs that touch do not overlap; a run from edge to edge is not cut; one that ends where the
    # observation begins lies outside
    read = read_runs(
        [Stamped(NOON, at(1800)), Stamped(at(1800), HOUR), Stamped(at(-9), NOON),
         Stamped(HOUR, at(3700))],
        NOON, HOUR,
    )  # fmt: skip
    assert from_noon(read.runs_s) == [(0, 3600)]
    assert [finding.kind for finding in read.findings] == ["outside", "outside"]
    # a second of rounding between stamps and counter is no step of the clock
    assert read_runs([Stamped(at(0), at(13), 12)], NOON, HOUR).findings == ()
    stepped = read_runs([Stamped(at(0), at(14), 12.6)], NOON, HOUR).findings
    assert [finding.kind for finding in stepped] == ["clock stepped"]


def test_a_steady_counter_outranks_the_stamps() -> None:
    # the clock was set back five minutes during a run of 12 s
    read = read_runs([Stamped(at(600), at(312), counted_s=12)], NOON, HOUR)
    assert from_noon(read.runs_s) == [(600, 612)]
    assert [finding.kind for finding in read.findings] == ["clock stepped"]
    fitting = read_runs([Stamped(at(600), at(612), 12.4), Stamped(at(700), None, 5)], NOON, HOUR)
    assert fitting.findings == ()
    lengths = [stop - start for start, stop in fitting.runs_s]
    assert lengths == pytest.approx([12.4, 5])
    with pytest.raises(InputError, match="counted_s is -1"):
        read_runs([Stamped(at(0), at(5), -1)], NOON, HOUR)


def test_an_observation_needs_a_length() -> None:
    for end in (NOON, at(-1)):
        with pytest.raises(InputError) as caught:
            read_events([], NOON, end)
        assert caught.value.code == ranges.no_result
    assert CATALOGUE[ranges.no_result].cure


def test_sampled_states_are_uncertain_by_a_step() -> None:
    # a dose of 12 s seen every 10 s tells next to nothing about that dose
    assert run_length_span_s(12, 10) == (2, 22)
    assert run_length_span_s(5, 10) == (0, 15)
    with pytest.raises(InputError, match="sample_s"):
        run_length_span_s(5, 0)
    with pytest.raises(InputError, match="length_s"):
        run_length_span_s(-5, 1)


def test_merging_and_cutting() -> None:
    assert merged([(60, 68), (5, 12), (0, 8), (12, 14), (2, 3)]) == ((0, 14), (60, 68))
    assert merged([]) == ()
    assert clipped([(0, 8), (20, 30), (60, 68)], 8, 64) == ((20, 30), (60, 64))
    with pytest.raises(InputError, match="end_s"):
        clipped([(0, 8)], 5, 5)


@pytest.mark.parametrize(
    "run",
    [(5, 5), (8, 5), (0, float("nan")), (float("-inf"), 0), (1,), "ab", ("0", 5), 7, (0, True)],
)
def test_runs_that_are_none(run: object) -> None:
    for act in (merged, in_order):
        with pytest.raises(InputError, match=r"runs_s\[1\]"):
            act([(10, 20), run])  # type: ignore[list-item]


def test_decimals_are_runs_too() -> None:
    assert in_order([(Decimal("0.5"), Decimal(8))]) == [(0.5, 8)]  # type: ignore[list-item]


def test_overlapping_runs_are_refused_until_merged() -> None:
    with pytest.raises(InputError, match=r"15\.\.30 beside 10\.\.20.*merge them first"):
        in_order([(10, 20), (15, 30)])
    assert in_order([(40, 50), (10, 20), (20, 30)]) == [(10, 30), (40, 50)]
    assert in_order([(10, 20), (20, 30)]) == [(10, 30)]


seconds = st.integers(0, 300)
any_runs = st.lists(st.tuples(seconds, st.integers(1, 40)), max_size=15).map(
    lambda pairs: [(start, start + length) for start, length in pairs]
)


@given(any_runs)
def test_merged_runs_are_apart_and_cover_the_same_seconds(runs: list[tuple[float, float]]) -> None:
    result = merged(runs)
    assert all(first[1] < second[0] for first, second in pairwise(result))
    covered = {second for start, stop in runs for second in range(int(start), int(stop))}
    assert {second for start, stop in result for second in range(int(start), int(stop))} == covered
    assert merged(result) == result
    assert in_order(result[::-1]) == list(result)
