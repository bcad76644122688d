"""Wear per kilogram and kilograms left. Inputs are made up; GUM 5.1.2 from memory."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.wear_life import (
    depth_after_um,
    kilograms_left_kg,
    left_at_rate_kg,
    two_stage_left_kg,
    wear_forecast,
    wear_rate_um_per_kg,
    wear_rate_uncertainty_um_per_kg,
)

near = pytest.approx


def test_two_measurements() -> None:
    # 12 um at 150 kg, 31 um at 410 kg, limit 60 um, each depth to 2 um
    forecast = wear_forecast(12, 150, 31, 410, 60, first_uncertainty_um=2, second_uncertainty_um=2)
    assert forecast.rate_um_per_kg == near(0.07307692308, abs=1e-11)
    # the root of 8 over 260 is 0.0108785658644: the printed …587 is one unit off in its last digit
    assert forecast.rate_uncertainty_um_per_kg == near(0.01087856587, abs=1e-11)
    assert forecast.left_kg == near(396.8421053, abs=1e-7)
    assert forecast.reached_at_kg == near(806.8421053, abs=1e-7)
    assert forecast.left_uncertainty_kg == near(80.78048691, abs=1e-8)
    assert forecast.per_first_kg_per_um == near(20.88642659, abs=1e-8)
    assert forecast.per_second_kg_per_um == near(-34.57063712, abs=1e-8)
    assert forecast.is_resolved
    assert kilograms_left_kg(12, 150, 31, 410, 60) == forecast.left_kg
    assert left_at_rate_kg(60, 31, forecast.rate_um_per_kg) == near(forecast.left_kg)
    assert wear_rate_uncertainty_um_per_kg(150, 410, 2, 2) == near(math.sqrt(8) / 260)


def test_the_exercise_of_two_measurements() -> None:
    # 14 um at 150 kg and 34 um at 425 kg: 20 um in 275 kg
    assert wear_rate_um_per_kg(14, 150, 34, 425) == near(0.0727272727, abs=1e-10)


@given(
    st.tuples(st.floats(1, 20), st.floats(21, 60)),
    st.tuples(st.floats(50, 200), st.floats(250, 600)),
    st.floats(61, 200),
    st.tuples(st.floats(0.1, 5), st.floats(0.1, 5)),
)
def test_sensitivities_are_the_slopes_of_the_answer(
    depths: tuple[float, float],
    masses: tuple[float, float],
    limit: float,
    uncertainties: tuple[float, float],
) -> None:
    (h1, h2), (m1, m2), (u1, u2) = depths, masses, uncertainties
    forecast = wear_forecast(
        h1, m1, h2, m2, limit, first_uncertainty_um=u1, second_uncertainty_um=u2
    )
    step = 1e-5

    def left(a: float, b: float) -> float:
        return kilograms_left_kg(a, m1, b, m2, limit)

    assert forecast.per_first_kg_per_um == near(
        (left(h1 + step, h2) - left(h1 - step, h2)) / (2 * step), rel=1e-4, abs=1e-4
    )
    assert forecast.per_second_kg_per_um == near(
        (left(h1, h2 + step) - left(h1, h2 - step)) / (2 * step), rel=1e-4, abs=1e-4
    )
    expected = math.hypot(forecast.per_first_kg_per_um * u1, forecast.per_second_kg_per_um * u2)
    assert forecast.left_uncertainty_kg == near(expected)


@given(st.floats(0, 30), st.floats(0.01, 0.5), st.floats(0, 900), st.floats(50, 300))
def test_depth_and_kilograms_left_undo_each_other(
    start: float, rate: float, throughput: float, limit: float
) -> None:
    depth = depth_after_um(start, rate, throughput)
    left = left_at_rate_kg(limit, depth, rate)
    assert depth_after_um(start, rate, throughput) + rate * left == near(limit, abs=1e-9)
    assert depth_after_um(start, rate, throughput + 10) > depth


def test_one_reading_gives_no_rate() -> None:
    for first, second in ((150, 150), (150, 100)):
        with pytest.raises(InputError, match=r"second_kg .*one reading cannot give a rate"):
            wear_rate_um_per_kg(12, first, 31, second)
        with pytest.raises(InputError, match="second_kg"):
            wear_rate_uncertainty_um_per_kg(first, second, 2, 2)


def test_no_wear_gives_no_date() -> None:
    for second in (12, 11):
        with pytest.raises(InputError, match="no wear was measured"):
            wear_forecast(12, 150, second, 410, 60)
    # the rate itself may be nought
    assert wear_rate_um_per_kg(12, 150, 12, 410) == 0


def test_readings_closer_than_their_uncertainty_are_not_resolved() -> None:
    close = wear_forecast(30, 150, 33, 410, 60, first_uncertainty_um=2, second_uncertainty_um=2)
    assert not close.is_resolved
    assert close.left_uncertainty_kg > 0.5 * close.left_kg
    # exactly twice the uncertainty of the difference is not enough
    edge = wear_forecast(30, 150, 36, 410, 60, first_uncertainty_um=3, second_uncertainty_um=0)
    assert not edge.is_resolved


def test_a_little_over_twice_the_uncertainty_is_resolved() -> None:
    found = wear_forecast(30, 150, 36.1, 410, 60, first_uncertainty_um=3)
    assert found.is_resolved
    # an uncertainty that is not given is nought
    assert wear_forecast(30, 150, 36, 410, 60).left_uncertainty_kg == 0
    assert found.rate_uncertainty_um_per_kg == near(3 / 260)


def test_a_passed_limit_is_negative() -> None:
    assert kilograms_left_kg(12, 150, 64, 410, 60) == near(-20)
    assert left_at_rate_kg(60, 65, 0.5) == -10


def test_a_line_through_the_coating_promises_too_much() -> None:
    # 8 um of coating left at 0.02 um/kg, then 50 um of core at 0.1 um/kg
    both = two_stage_left_kg(60, 2, 10, 0.02, 0.1)
    assert both == near(8 / 0.02 + 50 / 0.1)
    assert left_at_rate_kg(60, 2, 0.02) == near(2900)
    assert both < left_at_rate_kg(60, 2, 0.02)
    # already through the coating
    assert two_stage_left_kg(60, 20, 10, 0.02, 0.1) == near(400)
    # the limit lies within the coating
    assert two_stage_left_kg(8, 2, 10, 0.02, 0.1) == near(300)


@given(st.floats(1, 100), st.floats(0, 120), st.floats(0, 50), st.floats(0.01, 1))
def test_one_rate_in_both_stages_is_a_straight_line(
    limit: float, depth: float, coating: float, rate: float
) -> None:
    assert two_stage_left_kg(limit, depth, coating, rate, rate) == near(
        left_at_rate_kg(limit, depth, rate), rel=1e-9, abs=1e-9
    )
