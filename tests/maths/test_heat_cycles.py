"""Cycles of running and standing, against a differential equation and a simulation step by step.

Inputs are made up; outputs were worked out from them.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from trainer.errors import InputError
from trainer.maths import ranges
from trainer.maths.heat import rise_k
from trainer.maths.heat_cycles import (
    CycleRise,
    cycle_rise,
    cycles_until_steady,
    rest_per_cycle_s,
    small_cycle_rise_k,
    steady_peak_k,
    steady_rise,
)

near = pytest.approx


def case_1(cycles: int, start_k: float = 0.0) -> CycleRise:
    return cycle_rise(
        cycles, 240, 360, 110, heating_tau_s=1200, cooling_tau_s=2400, start_k=start_k
    )


Motor = tuple[float, float, float]  # final rise, time constants of heating and of cooling


def simulated(
    cycles: int, on: float, off: float, motor: Motor, start: float = 0.0
) -> tuple[float, float]:
    """Peak and trough by going through every run and every rest."""
    final, heating, cooling = motor
    peak = trough = start
    for _ in range(cycles):
        peak = rise_k(on, final, heating, trough)
        trough = rise_k(off, 0, cooling, peak)
    return peak, trough


@pytest.mark.parametrize(
    ("on", "off", "peak", "trough"),
    [
        (24, 36, 63.328167, 62.385333),
        (240, 360, 67.520532, 58.115460),
        (480, 720, 72.037617, 53.366779),
        (1440, 2160, 87.595236, 35.613565),
    ],
)
def test_the_same_share_in_longer_cycles_is_hotter(
    on: float, off: float, peak: float, trough: float
) -> None:
    steady = steady_rise(on, off, 110, 1200, 2400)
    assert (steady.peak_k, steady.trough_k) == near((peak, trough), abs=1e-6)
    assert steady_peak_k(on, off, 110, 1200, 2400) == steady.peak_k


@pytest.mark.parametrize(
    ("cycles", "peak", "trough"),
    [
        (1, 19.939617161, 17.162187538),
        (2, 33.990827889, 29.256176689),
        (3, 43.892548734, 37.778666801),
        (5, 55.787222536, 48.016507419),
        (10, 65.481588190, 56.360525264),
        (10_000, 67.520531571, 58.115460096),
    ],
)
def test_case_1_from_cold(cycles: int, peak: float, trough: float) -> None:
    found = case_1(cycles)
    assert (found.peak_k, found.trough_k) == near((peak, trough), abs=1e-9)


@pytest.mark.parametrize(
    ("cycles", "peak", "trough"),
    [
        (1, 44.501539754, 38.302830229),
        (2, 51.299322200, 44.153735803),
        (3, 56.089638526, 48.276799275),
    ],
)
def test_case_1_from_30_k(cycles: int, peak: float, trough: float) -> None:
    found = case_1(cycles, 30)
    assert (found.peak_k, found.trough_k) == near((peak, trough), abs=1e-9)


def test_case_1_is_within_one_percent_after_14() -> None:
    assert math.log(0.01) / (math.log(0.818730753) + math.log(0.860707976)) == near(13.157629)
    assert cycles_until_steady(240, 360, 1200, 2400) == 14
    steady = steady_peak_k(240, 360, 110, 1200, 2400)
    assert case_1(13).peak_k < 0.99 * steady <= case_1(14).peak_k
    assert cycles_until_steady(24_000, 36_000, 1200, 2400) == 1


@pytest.mark.parametrize(
    ("cycles", "peak"),
    [(1, 0.457379797), (10, 4.287037981), (120, 26.102490362), (240, 30.638423046)],
)
def test_case_2_doses(cycles: int, peak: float) -> None:
    found = cycle_rise(cycles, 5, 25, 110, heating_tau_s=1200, cooling_tau_s=2400)
    assert found.peak_k == near(peak, abs=1e-9)


def test_case_2_comes_to_hover() -> None:
    assert steady_peak_k(5, 25, 110, 1200, 2400) == near(31.592431823, abs=1e-9)
    assert small_cycle_rise_k(110, 5 / 30, 1200, 2400) == near(31.428571, abs=1e-6)
    assert small_cycle_rise_k(110, 0.4, 1200, 1200) == near(44)


def test_a_companion_s_wrong_answer() -> None:
    # a companion's Ex. 5.1: 103.3 K final at 125 A, 4 min on, 8 min off, equal time constants; it
    # prints 43.606 because it multiplies by the amperes
    tau = 86.561702 * 60
    peak = steady_peak_k(240, 480, 103.305785, tau, tau)
    assert peak == near(36.038191, abs=1e-5)
    assert peak != near(43.606, abs=1)
    assert steady_peak_k(240, 480, 125, tau, tau) == near(43.606, abs=1e-2)


def test_rest_that_keeps_a_limit() -> None:
    rest = rest_per_cycle_s(60, 150, 80, 1200, 2400)
    assert rest == near(110.159197, abs=1e-6)
    assert 100 * 60 / (60 + rest) == near(35.261097, abs=1e-6)
    peak, _ = simulated(600, 60, rest, (150, 1200, 2400))
    assert peak == near(80, abs=1e-6)


def test_no_rest_needed_and_no_rest_enough() -> None:
    assert rest_per_cycle_s(60, 80, 80, 1200, 2400) == 0
    assert rest_per_cycle_s(60, 70, 80, 1200, 2400) == 0
    # 1200 ln(150/70) = 914.6 s is the longest run from cold
    with pytest.raises(InputError, match=r"on_s.*914\.6 s") as caught:
        rest_per_cycle_s(1000, 150, 80, 1200, 2400)
    assert caught.value.code == ranges.no_result
    assert rest_per_cycle_s(914, 150, 80, 1200, 2400) > 10_000


def test_guards() -> None:
    with pytest.raises(InputError, match="cycles"):
        case_1(0)
    with pytest.raises(InputError, match="on_s and off_s are 0"):
        steady_rise(0, 0, 110, 1200, 2400)
    with pytest.raises(InputError, match="heating_tau_s"):
        steady_rise(5, 5, 110, 0, 2400)
    with pytest.raises(InputError, match="cooling_tau_s"):
        steady_rise(5, 5, 110, 1200, -1)
    with pytest.raises(InputError, match="off_s is -5"):
        steady_rise(5, -5, 110, 1200, 2400)
    with pytest.raises(InputError, match="within"):
        cycles_until_steady(5, 5, 1200, 2400, 0)


times, taus = st.floats(1, 5000), st.floats(50, 5000)
motors = st.tuples(st.floats(1, 300), taus, taus)


@given(st.integers(1, 12), times, times, motors, st.floats(0, 300))
def test_against_going_through_every_run(
    cycles: int, on: float, off: float, motor: Motor, start: float
) -> None:
    final, heating, cooling = motor
    found = cycle_rise(
        cycles, on, off, final, heating_tau_s=heating, cooling_tau_s=cooling, start_k=start
    )
    peak, trough = simulated(cycles, on, off, motor, start)
    assert (found.peak_k, found.trough_k) == near((peak, trough), rel=1e-9, abs=1e-9)


@given(times, times, motors, st.floats(0.1, 10))
def test_steady_state_stays_and_scales(on: float, off: float, motor: Motor, scale: float) -> None:
    final, heating, cooling = motor
    steady = steady_rise(on, off, final, heating, cooling)
    assert rise_k(on, final, heating, steady.trough_k) == near(steady.peak_k, rel=1e-9)
    assert 0 <= steady.trough_k <= steady.peak_k <= final * (1 + 1e-12)
    scaled = steady_rise(scale * on, scale * off, 2 * final, scale * heating, scale * cooling)
    assert scaled.peak_k == near(2 * steady.peak_k, rel=1e-9)
    assert steady_peak_k(on, 2 * off, final, heating, cooling) <= steady.peak_k


@given(st.floats(1, 500), st.floats(1.05, 3), taus, taus)
def test_the_rest_brings_the_peak_to_the_limit(
    on: float, over: float, heating: float, cooling: float
) -> None:
    limit = 80.0
    try:
        rest = rest_per_cycle_s(on, over * limit, limit, heating, cooling)
    except InputError:
        assert rise_k(on, over * limit, heating) >= limit * (1 - 1e-9)
    else:
        assert steady_peak_k(on, rest, over * limit, heating, cooling) == near(limit, rel=1e-6)


def test_against_the_differential_equation() -> None:
    rise = 0.0
    for cycle in range(1, 4):
        on = solve_ivp(lambda _t, y: [(110 - y[0]) / 1200], (0, 240), [rise],
                       rtol=1e-11, atol=1e-11)  # fmt: skip
        peak = float(on.y[0][-1])
        off = solve_ivp(lambda _t, y: [-y[0] / 2400], (0, 360), [peak], rtol=1e-11, atol=1e-11)
        rise = float(off.y[0][-1])
        found = case_1(cycle)
        assert (found.peak_k, found.trough_k) == near((peak, rise), abs=1e-8)
