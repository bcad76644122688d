"""Duty types, cyclic shares, and the two tests of an intermittent rating."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.duty_types import (
    CYCLE_S,
    DUTY_TYPES,
    PREFERRED_RUN_MIN,
    PREFERRED_SHARES,
    counts_as_continuous,
    cyclic_share,
    duty_type_meaning,
    rated_times,
    rating_check,
    starts_of_cycle_per_h,
)

near = pytest.approx


def test_which_types_stand_still() -> None:
    # IEC 60034-1 cl. 4.2 (from memory); web tables that give S5 no standstill are wrong
    assert [name for name, row in DUTY_TYPES.items() if row.has_standstill] == [
        "S2", "S3", "S4", "S5",
    ]  # fmt: skip
    assert list(DUTY_TYPES) == [f"S{number}" for number in range(1, 11)]
    assert "until cold" in duty_type_meaning("S2")
    assert "several loads" in duty_type_meaning("S8")
    assert "braking" in duty_type_meaning("S7")
    assert "with it: share on" in duty_type_meaning("S3")
    with pytest.raises(InputError, match="duty_type is 'S11'"):
        duty_type_meaning("S11")


@pytest.mark.parametrize(
    ("share", "on_s", "off_s"),
    [(0.15, 90, 510), (0.25, 150, 450), (0.4, 240, 360), (0.6, 360, 240)],
)
def test_rated_shares_of_ten_minutes(share: float, on_s: float, off_s: float) -> None:
    # preferred shares and the cycle of ten minutes: IEC 60034-1 cl. 5.2.3 (from memory)
    assert share in PREFERRED_SHARES
    times = rated_times(share)
    assert (times.on_s, times.off_s) == near((on_s, off_s))
    assert cyclic_share("S3", on_s, standstill_s=off_s) == near(share)


def test_preferred_run_times_and_continuous_running() -> None:
    assert CYCLE_S == 600  # as a trade page gives it
    assert PREFERRED_RUN_MIN == (10, 30, 60, 90)  # IEC 60034-1 cl. 5.2.2 (from memory)
    # the European motor rule as a trade page reads it
    assert counts_as_continuous(0.8)
    assert not counts_as_continuous(0.79)


def test_cyclic_shares_of_each_type() -> None:
    # worked by hand: 2 s start, 8 s loaded, 1 s braking, 9 s standstill; 6 s loaded, 9 s idle
    assert cyclic_share("S3", 8, standstill_s=9) == near(8 / 17)
    assert cyclic_share("S4", 8, standstill_s=10, start_s=2) == near(0.5)
    assert cyclic_share("S5", 8, standstill_s=9, start_s=2, braking_s=1) == near(0.55)
    assert cyclic_share("S6", 6, idle_s=9) == near(0.4)


@pytest.mark.parametrize(
    ("duty_type", "name"),
    [
        ("S3", "start_s"), ("S3", "braking_s"), ("S3", "idle_s"),
        ("S4", "braking_s"), ("S4", "idle_s"), ("S5", "idle_s"),
        ("S6", "standstill_s"), ("S6", "start_s"), ("S6", "braking_s"),
    ],
)  # fmt: skip
def test_a_time_the_type_does_not_know_is_refused(duty_type: str, name: str) -> None:
    with pytest.raises(InputError, match=f"{name} is 1; it must be 0 for {duty_type}"):
        cyclic_share(duty_type, 5, **{name: 1.0})


def test_bad_cycles() -> None:
    with pytest.raises(InputError, match="loaded_s"):
        cyclic_share("S3", 0, standstill_s=10)
    with pytest.raises(InputError, match="duty_type"):
        cyclic_share("S1", 5)
    with pytest.raises(InputError, match="rated_share"):
        rated_times(40)  # per cent is not a share
    with pytest.raises(InputError, match="cycle_s"):
        rated_times(0.4, 0)


def test_both_tests_of_a_rating() -> None:
    # S3 40 %: 240 s in any ten minutes and 240 s at once. Worked by hand.
    short = [(float(start), float(start + 24)) for start in range(0, 3600, 60)]
    check = rating_check(short, 0.4)
    assert (check.allowed_s, check.busiest_s, check.longest_s) == near((240, 240, 24))
    assert check.keeps
    # one run of just 240 s keeps both, a second more keeps neither
    assert rating_check([(0, 240)], 0.4, begin_s=0, end_s=1200).keeps
    assert not rating_check([(0, 241)], 0.4, begin_s=0, end_s=1200).keeps
    # the same 40 % of an hour in one run keeps neither
    long = rating_check([(0, 1440)], 0.4, begin_s=0, end_s=3600)
    assert (long.window_keeps, long.run_keeps, long.keeps) == (False, False, False)
    # two runs of 200 s within ten minutes: each run keeps, the window does not
    pair = rating_check([(0, 200), (300, 500)], 0.4, begin_s=0, end_s=1200)
    assert (pair.window_keeps, pair.run_keeps, pair.keeps) == (False, True, False)
    # a cycle of two minutes in the plate: one run of 60 s is too long by itself
    plate = rating_check([(0, 60)], 0.4, 120, 0, 600)
    assert (plate.allowed_s, plate.keeps) == (48, False)
    with pytest.raises(InputError, match="window_s is 600"):
        rating_check([(0, 60)], 0.4)


def test_starts_of_a_cycle() -> None:
    assert starts_of_cycle_per_h(45) == 80
    with pytest.raises(InputError, match="cycle_s"):
        starts_of_cycle_per_h(0)


@given(st.floats(0.01, 1), st.floats(1, 1e4))
def test_rated_times_come_back_as_the_share(share: float, cycle: float) -> None:
    times = rated_times(share, cycle)
    assert times.on_s + times.off_s == near(cycle)
    assert cyclic_share("S3", times.on_s, standstill_s=max(0.0, times.off_s)) == near(share)
