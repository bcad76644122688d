"""Lists of readings: any order, resets, rollover, and what cannot be. Made-up readings."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.readings import Reading, Reset, between

near = pytest.approx
JAN, FEB, MAR, APR = date(2026, 1, 5), date(2026, 2, 2), date(2026, 3, 16), date(2026, 4, 20)
LIST = [
    Reading(JAN, 1480.2),
    Reading(FEB, 1561.8),
    Reading(MAR, 12.4, (Reset(1668.0),)),
    Reading(APR, 110.9),
]


def test_a_machine_over_a_reset() -> None:
    history = between(LIST)
    assert [segment.days for segment in history.segments] == [28, 42, 35]
    assert [round(segment.used or 0, 6) for segment in history.segments] == [81.6, 118.6, 98.5]
    assert history.used == near(298.7)
    assert history.at_least == near(298.7)
    assert history.rate_per_day == near(2.844761905, abs=1e-9)
    assert history.segments[2].rate == near(2.814285714, abs=1e-9)
    assert history.findings == ()


@given(st.permutations(LIST))
def test_any_order_gives_the_same(readings: list[Reading]) -> None:
    assert between(readings) == between(LIST)


def test_reset_not_written_down_is_at_least() -> None:
    history = between([*LIST[:2], Reading(MAR, 12.4, (Reset(None),)), LIST[3]])
    middle = history.segments[1]
    assert middle.used is None
    assert middle.at_least == near(12.4)
    assert middle.rate is None
    assert history.used is None
    assert history.at_least == near(81.6 + 12.4 + 98.5)
    # it stays out of the rate: 180.1 kg in 63 days
    assert history.rate_per_day == near(180.1 / 63)
    assert [finding.kind for finding in history.findings] == ["reset"]


def test_two_resets_are_summed() -> None:
    reading = Reading(MAR, 4, (Reset(1600), Reset(25, 5)))
    history = between([LIST[1], reading])
    # (1600 - 1561.8) + (25 - 0) + (4 - 5) cannot be; with a start of 2 it can
    assert history.segments[0].used is None
    assert history.findings[0].kind == "fell"
    reading = Reading(MAR, 4, (Reset(1600), Reset(25, 2)))
    assert between([LIST[1], reading]).segments[0].used == near(38.2 + 25 + 2)
    # one of two not written down
    reading = Reading(MAR, 4, (Reset(None), Reset(25, 2)))
    segment = between([LIST[1], reading]).segments[0]
    assert segment.used is None
    assert segment.at_least == near(27)


def test_a_reset_value_below_the_reading_before_is_found() -> None:
    history = between([Reading(JAN, 500), Reading(FEB, 20, (Reset(400),))])
    assert history.segments[0].used is None
    assert history.segments[0].at_least == 20
    assert history.findings[0].kind == "fell"


def test_a_fall_is_asked_about_not_guessed() -> None:
    history = between([Reading(JAN, 500), Reading(FEB, 20)])
    assert history.segments[0].used is None
    assert history.segments[0].at_least == 0
    assert history.rate_per_day is None
    assert history.findings[0].kind == "fell"
    assert "do not guess" in history.findings[0].sentence
    # a known size of the counter alone is not enough to believe in a rollover
    assert between([Reading(JAN, 500), Reading(FEB, 20)], modulus=1000).segments[0].used is None


def test_a_rollover_is_believed_when_it_can_be() -> None:
    readings = [Reading(JAN, 99_980), Reading(FEB, 35)]
    history = between(readings, modulus=100_000, most_per_day=400)
    assert history.segments[0].used == 55
    assert history.findings[0].kind == "rolled over"
    # 28 days at 1 a day cannot make 55
    history = between(readings, modulus=100_000, most_per_day=1)
    assert history.segments[0].used is None
    assert history.findings[0].kind == "fell"


def test_more_than_the_machine_can_do_is_unknown() -> None:
    history = between([Reading(JAN, 100), Reading(FEB, 9000)], most_per_day=120.96)
    assert history.segments[0].used is None
    assert history.segments[0].at_least == 0
    assert history.findings[0].kind == "too much"
    # exactly as much as it can do is believed
    edge = between([Reading(JAN, 0), Reading(FEB, 28 * 3)], most_per_day=3)
    assert edge.segments[0].used == 84


def test_edges_of_what_can_be() -> None:
    # two days at 3 a day make just 6: believed, also when the counter went round
    day_two = date(2026, 1, 7)
    assert between([Reading(JAN, 0), Reading(day_two, 6)], most_per_day=3).segments[0].used == 6
    assert (
        between([Reading(JAN, 0), Reading(day_two, 6.1)], most_per_day=3).segments[0].used is None
    )
    turned = [Reading(JAN, 997), Reading(day_two, 3)]
    assert between(turned, modulus=1000, most_per_day=3).segments[0].used == 6
    assert between(turned, modulus=1000, most_per_day=2.9).segments[0].used is None
    # one day counts as one day
    assert between([Reading(JAN, 0), Reading(date(2026, 1, 6), 4)], most_per_day=3).findings
    # and so do two readings of one day
    same = [Reading(JAN, 0), Reading(JAN, 4)]
    assert [f.kind for f in between(same, most_per_day=3).findings] == ["same day", "too much"]
    assert [f.kind for f in between(same, most_per_day=4).findings] == ["same day"]
    assert "4 in 0 days is more than the 3" in between(same, most_per_day=3).findings[1].sentence


def test_resets_start_from_nought_unless_said_otherwise() -> None:
    assert Reset(10).after == 0
    history = between([Reading(JAN, 500), Reading(FEB, 20, (Reset(400), Reset(30)))])
    # only what is not negative counts into the least: 30 and 20
    assert history.segments[0].at_least == 50
    assert history.used is None
    both = between([Reading(JAN, 1), Reading(FEB, 3), Reading(MAR, 6)])
    assert both.used == 5


def test_two_readings_of_one_day_give_no_rate() -> None:
    history = between([Reading(JAN, 100), Reading(JAN, 101), Reading(FEB, 130)])
    assert history.segments[0].days == 0
    assert history.segments[0].rate is None
    assert history.segments[0].used == 1
    assert [finding.kind for finding in history.findings] == ["same day"]
    assert history.rate_per_day == near(30 / 28)
    # the same reading noted twice needs no remark
    assert between([Reading(JAN, 100), Reading(JAN, 100)]).findings == ()
    assert between([Reading(JAN, 100), Reading(JAN, 100)]).rate_per_day is None


def test_what_a_counter_cannot_show_is_left_out() -> None:
    history = between(
        [Reading(JAN, 10), Reading(FEB, 100_000), Reading(MAR, -1), Reading(APR, 30)],
        modulus=100_000,
    )
    assert [segment.used for segment in history.segments] == [20]
    assert [finding.kind for finding in history.findings] == ["off the counter"] * 2
    assert [finding.day for finding in history.findings] == [FEB, MAR]


@pytest.mark.parametrize("readings", [[], [LIST[0]]])
def test_too_few_readings_give_nothing(readings: list[Reading]) -> None:
    history = between(readings)
    assert history.segments == ()
    assert history.rate_per_day is None
    assert history.used == 0


def test_bad_settings_are_errors() -> None:
    with pytest.raises(InputError, match="modulus"):
        between(LIST, modulus=0)
    with pytest.raises(InputError, match="most_per_day"):
        between(LIST, most_per_day=-1)
    with pytest.raises(InputError, match="value"):
        between([Reading(JAN, float("nan"))])
    with pytest.raises(InputError, match="after"):
        between([LIST[0], Reading(FEB, 5, (Reset(1500, -1),))])


@given(
    st.lists(st.tuples(st.integers(1, 60), st.floats(0, 100)), min_size=2, max_size=10), st.data()
)
def test_a_reset_anywhere_changes_nothing(
    steps: list[tuple[int, float]], data: st.DataObject
) -> None:
    day, total = JAN, 0.0
    plain = []
    for days, used in steps:
        day, total = day + timedelta(days=days), total + used
        plain.append(Reading(day, total))
    place = data.draw(st.integers(1, len(plain) - 1))
    before = data.draw(st.floats(plain[place - 1].value, plain[place].value))
    with_reset = plain[:place]
    for reading in plain[place:]:
        resets = (Reset(before),) if reading is plain[place] else ()
        with_reset.append(Reading(reading.day, reading.value - before, resets))
    one, other = between(plain), between(with_reset)
    assert other.findings == ()
    assert other.used == near(one.used, abs=1e-6)
    assert other.rate_per_day == near(one.rate_per_day, abs=1e-6)
