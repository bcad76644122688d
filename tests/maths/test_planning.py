"""Rates and dates by hand. Inputs are made up; the method is common practice, no source."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.planning import (
    calendar_rate_kg_per_day,
    days_left,
    left_until_limit_kg,
    mean_rate_kg_per_day,
    planning_date,
    slope_rate_kg_per_day,
    smoothed_rate_kg_per_day,
)

near = pytest.approx
USED, DAYS = [81.6, 118.6, 98.5], [28, 42, 35]
RATE = 298.7 / 105


def test_sum_over_sum_and_not_the_mean_of_rates() -> None:
    assert mean_rate_kg_per_day(USED, DAYS) == near(2.844761905, abs=1e-9)
    mean_of_rates = sum(used / days for used, days in zip(USED, DAYS, strict=True)) / 3
    assert mean_of_rates == near(2.850793651, abs=1e-9)
    assert mean_rate_kg_per_day(USED, DAYS) != near(mean_of_rates, abs=1e-4)


def test_slope_of_the_running_total() -> None:
    assert slope_rate_kg_per_day(USED, DAYS) == near(2.841054357, abs=1e-9)


def test_slope_agrees_with_scipy() -> None:
    from scipy.stats import linregress

    fitted = linregress([0, 28, 70, 105], [0, 81.6, 200.2, 298.7])
    assert slope_rate_kg_per_day(USED, DAYS) == near(fitted.slope, rel=1e-12)


@given(st.floats(0.01, 50), st.lists(st.integers(1, 90), min_size=1, max_size=12))
def test_a_steady_machine_has_one_rate(rate: float, days: list[int]) -> None:
    used = [rate * span for span in days]
    assert mean_rate_kg_per_day(used, days) == near(rate, rel=1e-9)
    assert slope_rate_kg_per_day(used, days) == near(rate, rel=1e-9)
    assert smoothed_rate_kg_per_day([rate] * len(days), 0.3) == near(rate, rel=1e-9)


@given(st.lists(st.tuples(st.floats(0, 100), st.integers(1, 90)), min_size=1, max_size=12))
def test_the_mean_lies_between_the_extremes(rows: list[tuple[float, int]]) -> None:
    rates = [used / days for used, days in rows]
    mean = mean_rate_kg_per_day([used for used, _ in rows], [days for _, days in rows])
    assert min(rates) - 1e-9 <= mean <= max(rates) + 1e-9


@pytest.mark.parametrize("function", [mean_rate_kg_per_day, slope_rate_kg_per_day])
def test_rates_refuse_what_has_no_rate(function: object) -> None:
    assert callable(function)
    with pytest.raises(InputError, match="same day"):
        function([1, 2], [0, 0])
    with pytest.raises(InputError, match="span_day holds 1"):
        function([1, 2], [3])
    with pytest.raises(InputError, match="used_kg"):
        function([], [])
    with pytest.raises(InputError, match=r"span_day\[0\]"):
        function([1], [-1])
    # two readings of one day among others do no harm
    assert function([5, 0.5, 4.5], [5, 0, 5]) > 0


def test_smoothed_rate_step_by_step() -> None:
    assert smoothed_rate_kg_per_day([3.2], 0.3) == near(3.2)
    assert smoothed_rate_kg_per_day([3.2, 3.6], 0.3) == near(3.32, abs=1e-12)
    assert smoothed_rate_kg_per_day([3.2, 3.6, 2.9], 0.3) == near(3.194, abs=1e-12)
    assert smoothed_rate_kg_per_day([3.2, 3.6, 2.9, 4.4], 0.3) == near(3.5558, abs=1e-12)
    assert smoothed_rate_kg_per_day([3.2, 3.6, 2.9, 4.4], 1) == 4.4
    for weight in (0, 1.01):
        with pytest.raises(InputError, match="weight"):
            smoothed_rate_kg_per_day([1], weight)


def test_the_usual_weight_is_three_tenths() -> None:
    assert smoothed_rate_kg_per_day([0, 10]) == near(3)
    assert smoothed_rate_kg_per_day([0, 0.5], 0.2) == near(0.1)


def test_the_last_date_of_the_calendar() -> None:
    today = date(9999, 12, 1)
    assert planning_date(today, 30, 1) == date(9999, 12, 31)
    assert planning_date(today, 31, 1) is None


def test_calendar_and_open_days() -> None:
    rate = calendar_rate_kg_per_day(4, 6)
    assert rate == near(3.428571429, abs=1e-9)
    # 489.1 kg last 122.275 open days but 142.654… calendar days
    assert days_left(489.1, 4) == near(122.275)
    assert days_left(489.1, rate) == near(142.6541667, abs=1e-7)
    with pytest.raises(InputError, match="open_days_per_week"):
        calendar_rate_kg_per_day(4, 8)


def test_burr_change_planned() -> None:
    left = left_until_limit_kg(600, 110.9)
    assert left == near(489.1)
    assert days_left(left, RATE) == near(171.9300301, abs=1e-7)
    assert planning_date(date(2026, 4, 20), left, RATE) == date(2026, 10, 8)
    # with the last interval alone the date moves by two days
    last = 98.5 / 35
    assert last == near(2.814285714, abs=1e-9)
    assert days_left(left, last) == near(173.7918782, abs=1e-7)
    assert planning_date(date(2026, 4, 20), left, last) == date(2026, 10, 10)


def test_no_use_no_date_and_a_passed_limit_means_today() -> None:
    today = date(2026, 4, 20)
    assert planning_date(today, 100, 0) is None
    assert planning_date(today, 1e9, 1e-3) is None
    assert planning_date(today, -5, 2) == today
    assert left_until_limit_kg(600, 650) == -50
    with pytest.raises(InputError, match="rate_kg_per_day"):
        days_left(100, 0)
    with pytest.raises(InputError, match="rate_kg_per_day"):
        planning_date(today, 100, -1)


@given(st.integers(1, 3000), st.integers(1, 999))
def test_whole_days_are_not_lost_to_rounding(days: int, hundredths: int) -> None:
    rate = hundredths / 100
    left = round(rate * days, 2)
    found = planning_date(date(2026, 1, 1), left, rate)
    assert found is not None
    assert (found - date(2026, 1, 1)).days == days


@given(st.floats(0, 1000), st.floats(0.1, 50))
def test_the_date_is_never_late(left: float, rate: float) -> None:
    found = planning_date(date(2026, 1, 1), left, rate)
    assert found is not None
    assert (found - date(2026, 1, 1)).days * rate <= left * (1 + 1e-12)
