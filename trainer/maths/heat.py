"""A motor as one body that heats and cools: rises over the coolant, times to a limit, rests.

Rises are in kelvin over the coolant. A real winding also has a quick time constant of its own
(tens of seconds to minutes): with a locked rotor or a strong overload it heats faster than this
model says. A motor that stands still without a fan of its own cools more slowly than it heats.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.errors import InputError
from trainer.maths.ranges import not_negative, out_of_range, positive


@dataclass(frozen=True, slots=True)
class TwoPoint:
    """Time constant and final rise that two readings of one heating curve give."""

    tau_s: float
    final_k: float


def final_rise_k(loss_w: float, resistance_k_per_w: float) -> float:
    """The rise that a steady loss ends at.

    Formula: loss times thermal resistance.

    Args:
        loss_w: heat, W, 0 or more.
        resistance_k_per_w: thermal resistance to the coolant, K/W, above 0.

    Returns:
        Kelvin over the coolant.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any drives textbook, rating and heating of motors (from memory).

    Example:
        >>> final_rise_k(160, 0.5)
        80.0
    """
    return not_negative("loss_w", loss_w) * positive("resistance_k_per_w", resistance_k_per_w)


def time_constant_s(capacity_j_per_k: float, resistance_k_per_w: float) -> float:
    """The time constant of a body.

    Formula: heat capacity times thermal resistance.

    Args:
        capacity_j_per_k: heat capacity, J/K, above 0.
        resistance_k_per_w: thermal resistance to the coolant, K/W, above 0.

    Returns:
        Seconds.

    Raises:
        InputError: MTH-030 for a value that is not above 0.

    Source: any drives textbook, rating and heating of motors (from memory).

    Example:
        >>> time_constant_s(2400, 0.5)
        1200.0
    """
    return positive("capacity_j_per_k", capacity_j_per_k) * positive(
        "resistance_k_per_w", resistance_k_per_w
    )


def rise_k(time_s: float, final_k: float, tau_s: float, start_k: float = 0.0) -> float:
    """The rise after a time of heating or cooling towards a final rise.

    Formula: final plus (start minus final) times exp(minus time over time constant). With the motor
    off the final rise is 0 and the time constant that of cooling.

    Args:
        time_s: time, s, 0 or more.
        final_k: rise it goes towards, K, 0 or more.
        tau_s: time constant, s, above 0.
        start_k: rise at the begin, K; 0 from cold.

    Returns:
        Kelvin over the coolant.

    Raises:
        InputError: MTH-030 for a negative time or a time constant that is not above 0.

    Source: a textbook's eq. 6-39 as a problem page prints it.

    Example:
        >>> round(rise_k(1200, 80, 1200), 6)
        50.569645
    """
    final, start = not_negative("final_k", final_k), not_negative("start_k", start_k)
    passed = not_negative("time_s", time_s) / positive("tau_s", tau_s)
    return final + (start - final) * math.exp(-passed)


def reached_share(time_s: float, tau_s: float) -> float:
    """The share of the way to the final rise that is done after a time.

    Formula: 1 minus exp(minus time over time constant).

    Args:
        time_s: time, s, 0 or more.
        tau_s: time constant, s, above 0.

    Returns:
        A share, 0 to 1.

    Raises:
        InputError: MTH-030 for a negative time or a time constant that is not above 0.

    Source: any drives textbook (from memory).

    Example:
        >>> round(100 * reached_share(3600, 1200), 4)
        95.0213
    """
    return -math.expm1(-not_negative("time_s", time_s) / positive("tau_s", tau_s))


def time_to_limit_s(final_k: float, limit_k: float, tau_s: float, start_k: float = 0.0) -> float:
    """Seconds until a rise reaches a limit.

    Formula: time constant times ln((final minus start) over (final minus limit)). 0 when it is
    there already, infinite (never) when the final rise does not exceed the limit.

    Args:
        final_k: rise it goes towards, K, 0 or more.
        limit_k: limit, K, above 0.
        tau_s: time constant, s, above 0.
        start_k: rise at the begin, K; 0 from cold.

    Returns:
        Seconds; infinite means never.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any drives textbook (from memory).

    Example:
        >>> round(time_to_limit_s(180, 105, 1200), 6)
        1050.562485
    """
    final, limit = not_negative("final_k", final_k), positive("limit_k", limit_k)
    tau, start = positive("tau_s", tau_s), not_negative("start_k", start_k)
    if start >= limit:
        return 0.0
    if final <= limit:
        return math.inf
    return tau * math.log((final - start) / (final - limit))


def longest_run_from_cold_s(final_k: float, limit_k: float, tau_s: float) -> float:
    """The longest run from cold that stays within a limit.

    Formula: minus time constant times ln(1 minus limit over final).

    Args:
        final_k: rise the load would end at, K, 0 or more.
        limit_k: limit, K, above 0.
        tau_s: time constant of heating, s, above 0.

    Returns:
        Seconds; infinite when the final rise does not exceed the limit.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any drives textbook (from memory).

    Example:
        >>> round(longest_run_from_cold_s(160, 80, 1200), 6)
        831.776617
    """
    return time_to_limit_s(final_k, limit_k, tau_s)


def overload_time_s(load_ratio: float, tau_s: float) -> float:
    """Seconds from cold until a steady overload brings the rated rise.

    Formula: time constant times ln(ratio squared over (ratio squared minus 1)); never at or below
    the rated load.

    Args:
        load_ratio: current over rated current, above 0.
        tau_s: time constant of heating, s, above 0.

    Returns:
        Seconds; infinite means never.

    Raises:
        InputError: MTH-030 for a value that is not above 0.

    Source: form as an article on motor overload and thermal time constants prints it.

    Example:
        >>> round(overload_time_s(1.5, 1200), 6)
        705.343998
    """
    ratio, tau = positive("load_ratio", load_ratio), positive("tau_s", tau_s)
    return math.inf if ratio <= 1 else -tau * math.log1p(-1 / ratio**2)


def rest_time_s(hot_k: float, target_k: float, tau_s: float) -> float:
    """Seconds of standstill until a rise has fallen to a target; 0 when it is there already.

    Formula: time constant of cooling times ln(hot over target). Also how long a thermal switch
    stays open: it closes again 10 to 40 K lower (from memory), and a motor whose control still
    calls for running then starts by itself.

    Args:
        hot_k: rise at the begin, K, 0 or more.
        target_k: rise to come down to, K, above 0.
        tau_s: time constant of cooling, s, above 0.

    Returns:
        Seconds.

    Raises:
        InputError: MTH-030 for a target or a time constant that is not above 0.

    Source: any drives textbook (from memory).

    Example:
        >>> round(rest_time_s(85, 45, 2400), 6)
        1526.37304
    """
    hot, target = not_negative("hot_k", hot_k), positive("target_k", target_k)
    return positive("tau_s", tau_s) * math.log(hot / target) if hot > target else 0.0


def scaled_rise_k(rise_k: float, current_a: float, reference_a: float) -> float:
    """The final rise at another current, by copper loss alone.

    Formula: rise times (current over reference current) squared.

    Args:
        rise_k: final rise at the reference current, K, 0 or more.
        current_a: current, A, 0 or more.
        reference_a: reference current, A, above 0.

    Returns:
        Kelvin over the coolant.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: loss by the square of the current, any drives textbook (from memory).

    Example:
        >>> scaled_rise_k(80, 15, 10)
        180.0
    """
    ratio = not_negative("current_a", current_a) / positive("reference_a", reference_a)
    return not_negative("rise_k", rise_k) * ratio**2


def two_point_heating(first_k: float, second_k: float, first_s: float) -> TwoPoint:
    """Time constant and final rise from the rise at one time and at twice that time.

    Formula: time constant is minus time over ln(second over first minus 1); final rise is first
    squared over (twice first minus second).

    Args:
        first_k: rise at the first time from cold, K, above 0.
        second_k: rise at twice that time, K, above the first and below twice the first.
        first_s: the first time, s, above 0.

    Returns:
        Time constant and final rise.

    Raises:
        InputError: MTH-030 for a second rise that no heating curve could have.

    Source: Fundamentals of Electric Drives and Control, Ex. 4.1 and 4.2, pp. 49-50.

    Example:
        >>> two_point_heating(30, 45, 2400).final_k
        60.0
    """
    first, second = positive("first_k", first_k), positive("second_k", second_k)
    time = positive("first_s", first_s)
    if not first < second < 2 * first:
        raise InputError(
            out_of_range,
            argument="second_k",
            value=f"{second:g}",
            allowed=f"above {first:g} and below {2 * first:g}",
        )
    return TwoPoint(-time / math.log(second / first - 1), first**2 / (2 * first - second))
