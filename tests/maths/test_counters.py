"""Counter arithmetic by hand. Inputs are made up; the method is common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.counters import (
    flow_drift,
    flow_g_per_s,
    largest_kg_per_day,
    least_used_after_reset_kg,
    mean_dose_g,
    motor_s_per_dose,
    starts_per_dose,
    time_drift,
    used_between_kg,
    used_over_reset_kg,
    used_over_rollover,
)

near = pytest.approx


def test_two_readings() -> None:
    assert used_between_kg(1480.2, 1561.8) == near(81.6, abs=1e-9)
    assert used_between_kg(5, 5) == 0


def test_a_fall_is_a_question() -> None:
    with pytest.raises(InputError, match=r"fell from 600 .* to 12.*ask whether"):
        used_between_kg(600, 12)


def test_rollover() -> None:
    # five digits, then sixteen bits
    assert used_over_rollover(99980, 35, 100_000) == 55
    assert used_over_rollover(65500, 412, 65_536) == 448
    # a counter that did not go round
    assert used_over_rollover(35, 99980, 100_000) == 99945
    # M03-E3 of the exercises: 98740 to 2310 on five digits
    assert used_over_rollover(98740, 2310, 100_000) == 3570


@pytest.mark.parametrize(
    ("first", "second", "modulus", "name"),
    [
        (100_000, 5, 100_000, "first_count"),
        (5, 100_000, 100_000, "second_count"),
        (0, 0, 1, "modulus_count"),
    ],
)
def test_a_counter_cannot_show_its_modulus(
    first: int, second: int, modulus: int, name: str
) -> None:
    with pytest.raises(InputError, match=name):
        used_over_rollover(first, second, modulus)


@given(st.integers(2, 10**6), st.data())
def test_a_turned_counter_counts_as_if_it_had_not(modulus: int, data: st.DataObject) -> None:
    start = data.draw(st.integers(0, 10**9))
    used = data.draw(st.integers(0, modulus - 1))
    assert used_over_rollover(start % modulus, (start + used) % modulus, modulus) == used


def test_the_smallest_counter_has_two_values() -> None:
    assert used_over_rollover(1, 0, 2) == 1


def test_reset_written_down() -> None:
    # 1668.0 less 1561.8, and then 12.4
    assert used_over_reset_kg(1561.8, 1668.0, 12.4) == near(118.6, abs=1e-9)
    assert used_over_reset_kg(100, 150, 30, 10) == near(70)


@pytest.mark.parametrize(
    ("values", "names"),
    [
        ((200, 150, 30), "first_kg.*before_reset_kg"),
        ((100, 150, 5, 10), "after_reset_kg.*second_kg"),
    ],
)
def test_reset_pieces_cannot_be_negative(values: tuple[float, ...], names: str) -> None:
    with pytest.raises(InputError, match=names):
        used_over_reset_kg(*values)


def test_reset_not_written_down_gives_only_a_bound() -> None:
    assert least_used_after_reset_kg(46.5) == 46.5
    assert least_used_after_reset_kg(46.5, 1.5) == 45


def test_dose_flow_seconds_and_starts() -> None:
    assert mean_dose_g(98.5, 5412) == near(18.20029564, abs=1e-8)
    assert flow_g_per_s(98.5, 27_900) == near(3.530465950, abs=1e-9)
    assert motor_s_per_dose(27_900, 5412) == near(5.155210643, abs=1e-9)
    assert starts_per_dose(5640, 5412) == near(1.042128603, abs=1e-9)


@pytest.mark.parametrize("function", [mean_dose_g, flow_g_per_s, motor_s_per_dose, starts_per_dose])
def test_nothing_made_is_no_divisor(function: object) -> None:
    assert callable(function)
    with pytest.raises(InputError, match="above 0"):
        function(5, 0)
    assert function(0, 5) == 0


def test_drift() -> None:
    assert 100 * time_drift(5.57, 5.02) == near(10.95617530, abs=1e-8)
    before, now = 18.2 / 4.9, 18.2 / 5.5
    assert before == near(3.714285714, abs=1e-9)
    assert now == near(3.309090909, abs=1e-9)
    assert 100 * flow_drift(now, before) == near(-10.90909091, abs=1e-8)
    assert 100 * time_drift(5.5, 4.9) == near(12.24489796, abs=1e-8)


@given(st.floats(0.5, 50), st.floats(0.5, 50))
def test_flow_and_time_drift_are_one_over_the_other(now: float, before: float) -> None:
    flow, time = flow_drift(18 / now, 18 / before), time_drift(now, before)
    assert (1 + flow) * (1 + time) == near(1, rel=1e-12)
    if abs(time) > 0.05:
        assert flow != near(-time, rel=1e-3)


def test_the_most_a_machine_can_do() -> None:
    # 3.5 g/s for 86400 s is 302.4 kg
    assert largest_kg_per_day(3.5) == near(302.4)
    assert largest_kg_per_day(3.5, 0.4) == near(120.96)
    with pytest.raises(InputError, match="duty_share"):
        largest_kg_per_day(3.5, 1.01)
