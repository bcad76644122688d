"""One body that heats and cools, against published examples and a differential equation.

Where nothing else stands, inputs are made up and outputs were worked out from them.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from trainer.errors import InputError
from trainer.maths.heat import (
    final_rise_k,
    longest_run_from_cold_s,
    overload_time_s,
    reached_share,
    rest_time_s,
    rise_k,
    scaled_rise_k,
    time_constant_s,
    time_to_limit_s,
    two_point_heating,
)

near = pytest.approx


@pytest.mark.parametrize(
    ("time_s", "rise"), [(300, 17.695937), (600, 31.477547), (1200, 50.569645), (3600, 76.017035)]
)
def test_heating(time_s: float, rise: float) -> None:
    assert rise_k(time_s, 80, 1200) == near(rise, abs=1e-6)


@pytest.mark.parametrize(
    ("time_s", "rise"), [(600, 62.304063), (1200, 48.522453), (2400, 29.430355), (4800, 10.826823)]
)
def test_cooling(time_s: float, rise: float) -> None:
    assert rise_k(time_s, 0, 2400, 80) == near(rise, abs=1e-6)


@pytest.mark.parametrize(
    ("times", "percent"), [(1, 63.2121), (2, 86.4665), (3, 95.0213), (5, 99.3262)]
)
def test_share_after_time_constants(times: int, percent: float) -> None:
    assert 100 * reached_share(times * 700, 700) == near(percent, abs=1e-4)


def test_published_time_to_95_percent_of_the_temperature() -> None:
    # a textbook's eq. 6-39 (problem page): tau 3 h, 120 degC final, 40 degC ambient, from cold;
    # 95 % of the temperature in degC is 2.59 tau = 7.77 h
    hours = time_to_limit_s(120 - 40, 0.95 * 120 - 40, 3 * 3600) / 3600
    assert hours == near(7.77, abs=0.005)
    assert hours == near(7.770801, abs=1e-6)
    # the trap: 95 % of the rise takes longer
    rise = time_to_limit_s(80, 0.95 * 80, 1)
    assert rise == near(2.995732, abs=1e-6)
    assert 3 * rise != near(hours, rel=0.1)


@pytest.mark.parametrize(
    ("rises", "first_min", "printed", "tau_min", "final"),
    [
        # Fundamentals of Electric Drives and Control, Ex. 4.1 p. 49 and Ex. 4.2 p. 50
        ((30, 45), 40, 57.71, 57.707802, 60.0),
        ((20, 30), 30, 43.28, 43.280851, 40.0),
        # a companion's Ex. 5.1, data: 40 K at 1 h, 60 K at 2 h
        ((40, 60), 60, 86.56, 86.561702, 80.0),
    ],
)
def test_published_two_point_heating(
    rises: tuple[float, float], first_min: float, printed: float, tau_min: float, final: float
) -> None:
    found = two_point_heating(*rises, first_min * 60)
    assert found.tau_s / 60 == near(printed, abs=0.005)
    assert found.tau_s / 60 == near(tau_min, abs=1e-6)
    assert found.final_k == near(final, abs=1e-9)


def test_a_final_rise_at_another_current() -> None:
    # a companion's Ex. 5.1, data: 80 K at 110 A
    assert scaled_rise_k(80, 125, 110) == near(103.305785, abs=1e-6)
    assert scaled_rise_k(80, 1.5, 1) == 180


def test_time_to_a_limit() -> None:
    assert time_to_limit_s(180, 105, 1200) == near(1050.562485, abs=1e-6)
    assert time_to_limit_s(180, 105, 1200, 60) == near(564.004355, abs=1e-6)
    assert longest_run_from_cold_s(180, 105, 1200) == near(1050.562485, abs=1e-6)


def test_never_and_at_once() -> None:
    assert time_to_limit_s(80, 80, 1200) == math.inf
    assert time_to_limit_s(70, 80, 1200) == math.inf
    assert longest_run_from_cold_s(70, 80, 1200) == math.inf
    assert time_to_limit_s(180, 105, 1200, 105) == 0
    assert time_to_limit_s(50, 105, 1200, 120) == 0
    assert overload_time_s(1, 1200) == math.inf
    assert overload_time_s(0.7, 1200) == math.inf
    assert rest_time_s(40, 45, 2400) == 0


def test_overload_and_rest() -> None:
    # form on a page about motor overload and thermal time constants
    assert overload_time_s(1.5, 1200) == near(705.343998, abs=1e-6)
    assert overload_time_s(1.5, 1200) == near(time_to_limit_s(2.25, 1, 1200))
    assert rest_time_s(85, 45, 2400) == near(1526.373040, abs=1e-6)


def test_loss_and_capacity() -> None:
    assert final_rise_k(120, 0.6) == near(72)
    assert time_constant_s(2000, 0.6) == near(1200)


@pytest.mark.parametrize(("first", "second"), [(30, 30), (30, 29), (30, 60), (30, 61)])
def test_two_points_that_no_heating_curve_has(first: float, second: float) -> None:
    with pytest.raises(InputError, match=r"second_k is .* above 30 and below 60"):
        two_point_heating(first, second, 60)


def test_guards() -> None:
    for tau in (0, -1, math.nan):
        with pytest.raises(InputError, match="tau_s"):
            rise_k(10, 80, tau)
        with pytest.raises(InputError, match="tau_s"):
            rest_time_s(40, 20, tau)
    with pytest.raises(InputError, match="time_s is -1"):
        rise_k(-1, 80, 1200)
    with pytest.raises(InputError, match="limit_k"):
        time_to_limit_s(80, 0, 1200)
    with pytest.raises(InputError, match="target_k"):
        rest_time_s(80, 0, 1200)
    with pytest.raises(InputError, match="reference_a"):
        scaled_rise_k(80, 1, 0)
    with pytest.raises(InputError, match="resistance_k_per_w"):
        final_rise_k(80, 0)


sizes = st.floats(1, 300)
taus = st.floats(10, 1e4)


@given(st.floats(0, 1e4), st.floats(0, 300), taus, st.floats(0, 300))
def test_the_curve_is_one_curve(time: float, final: float, tau: float, start: float) -> None:
    # stopping half way and going on comes to the same; the rise lies between its two ends
    half = rise_k(time / 2, final, tau, start)
    whole = rise_k(time, final, tau, start)
    assert rise_k(time / 2, final, tau, half) == near(whole, rel=1e-9, abs=1e-9)
    assert min(start, final) - 1e-9 <= whole <= max(start, final) + 1e-9


@given(sizes, st.floats(0.05, 0.95), st.floats(0, 0.9), taus)
def test_the_time_to_a_limit_undoes_the_rise(
    final: float, limit: float, start: float, tau: float
) -> None:
    limit_k, start_k = final * limit, final * limit * start
    time = time_to_limit_s(final, limit_k, tau, start_k)
    assert rise_k(time, final, tau, start_k) == near(limit_k, rel=1e-9)
    rest = rest_time_s(final, limit_k, tau)
    assert rise_k(rest, 0, tau, final) == near(limit_k, rel=1e-9)
    assert rise_k(time_to_limit_s(final, limit_k, tau), final, tau) == near(limit_k, rel=1e-9)


@given(sizes, taus, st.floats(0.05, 3))
def test_two_points_of_a_curve_give_it_back(final: float, tau: float, times: float) -> None:
    first = times * tau
    found = two_point_heating(rise_k(first, final, tau), rise_k(2 * first, final, tau), first)
    assert found.tau_s == near(tau, rel=1e-6)
    assert found.final_k == near(final, rel=1e-6)


def test_against_the_differential_equation() -> None:
    for loss, resistance, capacity, start in ((160, 0.5, 2400, 0), (90, 0.8, 1700, 95)):
        solved = solve_ivp(
            lambda _t, y, p=loss, r=resistance, c=capacity: [(p - y[0] / r) / c],
            (0, 3000), [start], rtol=1e-11, atol=1e-11, t_eval=[500, 1700, 3000],
        )  # fmt: skip
        final, tau = final_rise_k(loss, resistance), time_constant_s(capacity, resistance)
        closed = [rise_k(time, final, tau, start) for time in (500, 1700, 3000)]
        assert closed == near(list(solved.y[0]), abs=1e-7)
