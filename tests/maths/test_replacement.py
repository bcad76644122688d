"""Age replacement: published and worked rows, two independent ways to the lowest point."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.replacement import (
    best_replacement,
    mean_cycle_kg,
    repair_cost_money_per_kg,
    repair_replacement_kg,
    replacement_age_kg,
    replacement_cost_money_per_kg,
)

near = pytest.approx

# planned cost, failure cost, shape, scale; age, cost, run to failure, reliability, mean cycle.
# First row: inputs and 493.19, 0.0035 published with an open library (grid of 10 000 points);
# fourth and fifth: shape and scale published, costs made up; the rest made up. Worked with scipy.
ROWS = [
    (1, 5, 2.5, 1000, 493.0469576, 0.003462042739, 0.005635302490, 0.8430787037, 470.1516729),
    (1, 5, 3, 900, 452.3486239, 0.003368218560, 0.006221369565, 0.8807623680, 438.4960481),
    (120, 420, 3, 900, 530.7231592, 0.3477371255, 0.5225950435, 0.8146001173, 505.0365691),
    (1, 2, 3, 10, 8.103420274, 0.1969962604, 0.2239693043, 0.5873616812, 7.170889009),
    (1, 11, 3, 10, 3.691713231, 0.4088623974, 1.231831174, 0.9509313330, 3.645937311),
    (1, 5, 1.5, 1000, 675.4919921, 0.004931299192, 0.005538660837, 0.5739715094, 548.3573106),
    (1, 3, 2, 1, 0.7379138602, 2.951655441, 3.385137501, 0.5801219929, 0.6232963336),
]


@pytest.mark.parametrize("row", ROWS)
def test_rows(row: tuple[float, ...]) -> None:
    planned, failure, shape, scale, age, cost, run_out, sound, cycle = row
    found = best_replacement(planned, failure, shape, scale)
    assert found.age_kg == near(age, rel=1e-9)
    assert found.cost_money_per_kg == near(cost, rel=1e-9)
    assert found.run_to_failure_money_per_kg == near(run_out, rel=1e-9)
    assert found.reliability == near(sound, rel=1e-9)
    assert found.mean_cycle_kg == near(cycle, rel=1e-9)
    assert replacement_age_kg(planned, failure, shape, scale) == found.age_kg
    assert found.age_kg is not None
    # the cost at the age by the other formula
    assert replacement_cost_money_per_kg(found.age_kg, planned, failure, shape, scale) == near(
        cost, rel=1e-9
    )


def test_the_published_grid_answer_is_near_but_not_exact() -> None:
    age = replacement_age_kg(1, 5, 2.5, 1000)
    assert age == near(493.19, abs=0.2)
    assert age != near(493.19, abs=0.1)
    assert round(replacement_cost_money_per_kg(age, 1, 5, 2.5, 1000), 4) == 0.0035


@given(st.floats(1.3, 5), st.floats(1.5, 20))
def test_scipy_finds_the_same_lowest_point(shape: float, ratio: float) -> None:
    from scipy.integrate import quad
    from scipy.optimize import minimize_scalar

    def cost(age: float) -> float:
        area, _ = quad(lambda u: math.exp(-(u**shape)), 0, age)
        sound = math.exp(-(age**shape))
        return (sound + ratio * (1 - sound)) / float(area)

    found = best_replacement(1, ratio, shape, 1)
    assert found.age_kg is not None
    if found.age_kg < 4:
        lowest = minimize_scalar(cost, bounds=(1e-3, 5), method="bounded", options={"xatol": 1e-10})
        assert found.cost_money_per_kg == near(lowest.fun, rel=1e-9)
        assert found.age_kg == near(lowest.x, rel=1e-3)


@given(st.floats(1.3, 5), st.floats(1.5, 20), st.floats(0.1, 1000), st.floats(0.1, 100))
def test_age_over_scale_depends_on_shape_and_cost_ratio(
    shape: float, ratio: float, scale: float, money: float
) -> None:
    one, other = (
        best_replacement(1, ratio, shape, 1),
        best_replacement(money, money * ratio, shape, scale),
    )
    assert one.age_kg is not None
    assert other.age_kg == near(scale * one.age_kg, rel=1e-6)
    assert one.cost_money_per_kg <= one.run_to_failure_money_per_kg * (1 + 1e-9)


def test_the_curve_is_flat_about_its_lowest_point() -> None:
    age = replacement_age_kg(120, 420, 3, 900)
    lowest = replacement_cost_money_per_kg(age, 120, 420, 3, 900)
    for factor in (0.9, 1.1):
        beside = replacement_cost_money_per_kg(factor * age, 120, 420, 3, 900)
        assert lowest < beside < 1.015 * lowest


@pytest.mark.parametrize("shape", [0.5, 1.0])
def test_without_wear_out_run_to_failure(shape: float) -> None:
    found = best_replacement(1, 5, shape, 900)
    assert found.age_kg is None
    assert found.reliability is None
    assert found.cost_money_per_kg == found.run_to_failure_money_per_kg
    assert found.mean_cycle_kg == near(900 * math.gamma(1 + 1 / shape))
    with pytest.raises(InputError, match="running to failure"):
        replacement_age_kg(1, 5, shape, 900)


def test_a_failure_that_costs_no_more_is_refused() -> None:
    for failure in (1, 0.5):
        with pytest.raises(InputError, match=r"failure_money .*above 1"):
            best_replacement(1, failure, 3, 900)


def test_an_almost_flat_hazard_may_leave_no_age() -> None:
    assert best_replacement(1, 1.000001, 1.0001, 900).age_kg is None


def test_minimal_repair_is_another_model() -> None:
    age = repair_replacement_kg(1, 5, 2.5, 1000)
    assert age == near(446.6583884, abs=1e-7)
    assert repair_cost_money_per_kg(age, 1, 5, 2.5, 1000) == near(0.003731412439, abs=1e-12)
    # an open library prints 1618.64 for a "good as old" replacement with these inputs
    assert age != near(1618.64, rel=0.5)
    for factor in (0.99, 1.01):
        assert repair_cost_money_per_kg(factor * age, 1, 5, 2.5, 1000) > 0.003731412439
    for shape in (1, 0.5):
        with pytest.raises(InputError, match="shape"):
            repair_replacement_kg(1, 5, shape, 1000)


@given(st.floats(0.5, 5), st.floats(0.05, 3))
def test_mean_cycle_is_the_area_under_the_reliability(shape: float, part: float) -> None:
    from scipy.integrate import quad

    area, _ = quad(lambda u: math.exp(-(u**shape)), 0, part)
    assert mean_cycle_kg(part * 900, shape, 900) == near(900 * area, rel=1e-7)
