"""Mean time between failures, availability and spares: published cases and other libraries."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.fleet import (
    availability,
    chance_reliability,
    down_time_h,
    failure_time,
    mean_failure_time_h,
    parallel_availability,
    series_availability,
    time_to_reliability_h,
)
from trainer.maths.spares import (
    enough_spares,
    enough_spares_after,
    fleet_demand,
    spares_needed,
    spares_needed_after,
)

near = pytest.approx


def test_two_failures_in_800_hours() -> None:
    found = failure_time(800, 2, 0.9)
    assert found.mean_h == 400
    # published with the handbook's listing for 8.4.5.1: 127.0690 and 2251.229
    assert round(found.low_h, 4) == 127.0690
    assert found.high_h is not None
    assert round(found.high_h, 3) == 2251.229
    assert found.low_h == near(127.0689683, abs=1e-7)
    assert found.high_h == near(2251.228611, abs=1e-6)
    assert [found.low_h / 400, found.high_h / 400] == near([0.3176724207, 5.628071527], rel=1e-9)
    other = failure_time(800, 2, 0.8)
    assert [other.low_h, other.high_h] == near([150.3103814, 1504.292098], rel=1e-9)
    ended = failure_time(800, 2, 0.9, "failure")
    assert [ended.low_h, ended.high_h] == near([168.6388802, 2251.228611], rel=1e-9)
    assert mean_failure_time_h(800, 2) == 400


def test_seven_failures_in_920_hours() -> None:
    found = failure_time(920, 7, 0.8)
    assert [found.low_h, found.high_h] == near([78.15875334, 236.2143990], rel=1e-9)


def test_no_failure_gives_only_a_lower_bound() -> None:
    found = failure_time(367, 0, 0.9)
    assert (found.mean_h, found.high_h) == (None, None)
    assert found.low_h == near(159.3860749, abs=1e-7)
    # published examples pair 228 h with 367 h
    assert failure_time(367, 0, 0.8).low_h == near(228.0299210, abs=1e-7)
    with pytest.raises(InputError, match="has seen one"):
        failure_time(367, 0, 0.9, "failure")
    with pytest.raises(InputError, match="failures"):
        mean_failure_time_h(367, 0)
    with pytest.raises(InputError, match="time, failure"):
        failure_time(367, 1, 0.9, "both")


@given(st.floats(1, 1e6), st.integers(1, 50), st.floats(0.5, 0.99))
def test_bounds_by_scipy(total: float, failures: int, confidence: float) -> None:
    from scipy.stats import chi2

    rest = 1 - confidence
    found = failure_time(total, failures, confidence)
    assert found.low_h == near(2 * total / chi2.ppf(1 - rest / 2, 2 * failures + 2), rel=1e-9)
    assert found.high_h == near(2 * total / chi2.ppf(rest / 2, 2 * failures), rel=1e-9)
    assert found.mean_h is not None
    assert found.high_h is not None
    assert found.low_h < found.mean_h < found.high_h


def test_chance_failures() -> None:
    assert chance_reliability(100, 400) == near(0.7788007831, abs=1e-10)
    assert time_to_reliability_h(0.9, 400) == near(42.14420626, abs=1e-8)
    assert chance_reliability(time_to_reliability_h(0.3, 70), 70) == near(0.3)


def test_availability() -> None:
    # published inputs 50 h and 10 h
    assert availability(50, 10) == near(0.8333333333, abs=1e-10)
    assert availability(400, 8) == near(0.9803921569, abs=1e-10)
    share = availability(2000, 4.5)
    assert share == near(0.9977550511, abs=1e-10)
    assert down_time_h(share) == near(19.66575206, abs=1e-8)
    assert series_availability([0.99, 0.98, 0.995]) == near(0.965349)
    assert parallel_availability([0.95, 0.95]) == near(0.9975)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=8))
def test_series_is_below_the_worst_and_parallel_above_the_best(shares: list[float]) -> None:
    assert series_availability(shares) <= min(shares) + 1e-12
    assert parallel_availability(shares) >= max(shares) - 1e-12


def test_spares_table() -> None:
    rows = {
        3.0: ((4, 5, 6, 8), (0.049787, 0.199148, 0.423190, 0.647232)),
        1.2: ((2, 3, 3, 4), (0.301194, 0.662627, 0.879487, 0.966231)),
        0.5: ((1, 1, 2, 3), (0.606531, 0.909796, 0.985612, 0.998248)),
    }
    for demand, (needed, chances) in rows.items():
        found = [spares_needed(demand, chance) for chance in (0.80, 0.90, 0.95, 0.99)]
        assert found == list(needed)
        assert [enough_spares(demand, count) for count in range(4)] == near(list(chances), abs=1e-6)


def test_a_published_case_is_off_by_one() -> None:
    # published: 8760 h between failures, 26 280 h, three spares, "42 %". That is the chance of two
    # demands or fewer; three spares meet three demands
    demand = 26_280 / 8760
    assert demand == 3
    assert enough_spares(demand, 3) == near(0.6472319, abs=1e-7)
    assert enough_spares(demand, 2) == near(0.4231901, abs=1e-7)
    assert enough_spares(demand, 3) != near(0.42, abs=0.05)


def test_burr_sets_for_a_fleet() -> None:
    # made up: 24 grinders, 3.1 kg/day, 60 days, 600 kg
    demand = fleet_demand(24, 3.1, 60, 600)
    assert demand == near(7.44)
    assert enough_spares(demand, 11) == near(0.924221, abs=1e-6)
    assert enough_spares(demand, 12) == near(0.959489, abs=1e-6)
    assert spares_needed(demand, 0.95) == 12


def test_spares_with_an_uncertain_rate() -> None:
    # hours from a public forum case
    one = [enough_spares_after(1, 251_775, 270_742, count) for count in range(5)]
    assert one == near([0.33448, 0.59444, 0.76282, 0.86460, 0.92394], abs=1e-5)
    assert spares_needed_after(1, 251_775, 270_742, 0.9) == 4
    none = [enough_spares_after(0, 32_441, 90_247, count) for count in range(5)]
    assert none == near([0.51422, 0.70334, 0.80768, 0.87163, 0.91280], abs=1e-5)
    assert spares_needed_after(0, 32_441, 90_247, 0.9) == 4


@given(st.floats(0.001, 2000), st.integers(0, 3000))
def test_poisson_by_scipy(demand: float, spares: int) -> None:
    from scipy.stats import poisson

    assert enough_spares(demand, spares) == near(poisson.cdf(spares, demand), rel=1e-8, abs=1e-12)


@given(st.floats(0, 3000), st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99]))
def test_the_fewest_spares(demand: float, chance: float) -> None:
    needed = spares_needed(demand, chance)
    assert enough_spares(demand, needed) >= chance
    if needed:
        assert enough_spares(demand, needed - 1) < chance


@given(st.integers(0, 500), st.floats(10, 1e5), st.floats(10, 1e5), st.integers(0, 500))
def test_negative_binomial_by_scipy(failures: int, seen: float, ahead: float, spares: int) -> None:
    from scipy.stats import nbinom

    theirs = nbinom.cdf(spares, failures + 0.5, seen / (seen + ahead))
    assert enough_spares_after(failures, seen, ahead, spares) == near(theirs, rel=1e-7, abs=1e-11)


def test_an_uncertain_rate_needs_no_fewer_spares() -> None:
    # 100 failures in 1000 h, 50 h ahead: five expected either way
    assert spares_needed_after(100, 1000, 50, 0.95) >= spares_needed(5, 0.95)


def test_limits() -> None:
    assert enough_spares(0, 0) == 1
    assert spares_needed(0, 0.99) == 0
    assert enough_spares(1e6, 10) == 0
    assert enough_spares(10, 10**6) == 1
    assert spares_needed(40_000, 0.95) == near(40_000 + 1.645 * 200, abs=2)
    with pytest.raises(InputError, match="demand"):
        spares_needed(60_000, 0.9)
    with pytest.raises(InputError, match="more than 100000 spares"):
        spares_needed_after(0, 1, 1e12, 0.9)
