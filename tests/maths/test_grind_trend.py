"""Grind time against kilograms. Readings are made up."""

from __future__ import annotations

import pytest

from trainer.errors import InputError
from trainer.maths.grind_trend import (
    days_left_uncertainty_day,
    earliest_limit_kg,
    grind_time_at_s,
    grind_time_forecast,
    grind_time_limit_kg,
    grind_time_slope_s_per_kg,
)

near = pytest.approx
KG = [0, 60, 120, 180, 240, 300, 360]
SECONDS = [5.02, 5.09, 5.21, 5.27, 5.40, 5.44, 5.57]


def test_the_parts_agree_with_the_whole() -> None:
    forecast = grind_time_forecast(KG, SECONDS, 6.0)
    assert grind_time_slope_s_per_kg(KG, SECONDS) == forecast.slope_s_per_kg
    assert forecast.slope_s_per_kg == near(0.001511904762, abs=1e-12)
    assert forecast.slope_error_s_per_kg == near(6.542205554e-5, rel=1e-9)
    assert forecast.start_s == near(5.013571429, abs=1e-9)
    assert forecast.scatter_s == near(0.02077085871, abs=1e-11)
    assert forecast.r_squared == near(0.9907248157, abs=1e-10)
    assert grind_time_limit_kg(KG, SECONDS, 6.0) == forecast.reached_kg
    assert forecast.reached_kg == near(652.4409449, abs=1e-7)
    assert forecast.mean_low_kg == near(603.4814475, abs=1e-7)
    assert forecast.mean_high_kg == near(713.2375822, abs=1e-7)
    assert forecast.reading_low_kg == near(592.9807082, abs=1e-7)
    assert forecast.reading_high_kg == near(723.7383215, abs=1e-7)
    assert forecast.g == near(0.01237263980, abs=1e-11)
    assert not forecast.is_far
    assert forecast.next_low_s < 5.57 < forecast.next_high_s


def test_plan_on_the_reading_that_may_cross_first() -> None:
    assert earliest_limit_kg(KG, SECONDS, 6.0) == near(592.9807082, abs=1e-7)
    assert earliest_limit_kg(KG, SECONDS, 6.0, of="mean line") == near(603.4814475, abs=1e-7)
    assert earliest_limit_kg(KG, SECONDS, 6.0) < grind_time_limit_kg(KG, SECONDS, 6.0)
    assert earliest_limit_kg(KG, SECONDS, 6.0, 0.99) < earliest_limit_kg(KG, SECONDS, 6.0, 0.9)


def test_at_a_throughput() -> None:
    assert grind_time_at_s(KG, SECONDS, 480) == near(5.739285714, abs=1e-9)


def test_a_time_that_does_not_grow_has_no_limit_in_sight() -> None:
    for function in (grind_time_limit_kg, earliest_limit_kg, grind_time_forecast):
        with pytest.raises(InputError, match="does not grow"):
            function(KG, SECONDS[::-1], 6.0)


def test_a_level_time_has_no_limit_in_sight() -> None:
    with pytest.raises(InputError, match="does not grow"):
        grind_time_limit_kg([0, 60, 120], [5.0, 5.0, 5.0], 6.0)


def test_three_readings_are_enough_and_two_are_not() -> None:
    assert grind_time_limit_kg([0, 60, 120], [5.0, 5.1, 5.2], 6.0) == near(600)
    with pytest.raises(InputError, match="throughput_kg holds 2"):
        grind_time_limit_kg([0, 60], [5.0, 5.1], 6.0)
    with pytest.raises(InputError, match="time_s holds 2"):
        grind_time_limit_kg([0, 60, 120], [5.0, 5.1], 6.0)


def test_an_uncertain_slope_has_no_earliest_date() -> None:
    readings = [0, 60, 120, 180], [5.0, 5.3, 4.9, 5.35]
    with pytest.raises(InputError, match="take more readings"):
        earliest_limit_kg(*readings, 6.0)
    forecast = grind_time_forecast(*readings, 6.0)
    assert forecast.mean_low_kg is None
    assert forecast.g > 1
    assert forecast.is_far


@pytest.mark.parametrize("of", ["", "line", "one"])
def test_the_kind_is_named(of: str) -> None:
    with pytest.raises(InputError, match="mean line, one reading"):
        earliest_limit_kg(KG, SECONDS, 6.0, of=of)


def test_days_with_two_uncertainties() -> None:
    # 100 days; relative 10 % and 7.5 % make 12.5 %
    assert days_left_uncertainty_day(400, 40, 4, 0.3) == near(12.5)
    assert days_left_uncertainty_day(400, 40, 4, 0) == near(10)
