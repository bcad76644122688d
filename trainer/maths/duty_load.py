"""The steady load that heats like a varying one: power, current or torque.

A motor's copper loss goes with the square of its current, so loads are averaged by their squares,
weighted with their times. Standstill cools less than running; the cooling share says how much. For
small single-phase motors use the current: its idle value is not far below the loaded one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from trainer.errors import InputError
from trainer.maths.ranges import (
    no_result,
    not_negative,
    number,
    same_length,
    sequence,
)


def equivalent_power_w(
    power_w: Sequence[float], run_s: Sequence[float], stop_s: float, cooling_share: float
) -> float:
    """The steady power that heats like several loads and a standstill.

    Formula: root of (sum of power squared times time) over (sum of the run times plus cooling share
    times standstill). It takes the loss to go with the square of the power.

    Args:
        power_w: loads, W, sequence of n, 0 or more.
        run_s: how long each runs, s, sequence of n, 0 or more.
        stop_s: standstill in the cycle, s, 0 or more.
        cooling_share: cooling at standstill over cooling when running, above 0 to 1: 1 with a fan
            driven by itself, about 1/3 with a fan on the shaft.

    Returns:
        Watts. Fit to run when no more than the rated continuous power; the largest torque is
        checked by itself.

    Raises:
        InputError: MTH-030 for a negative time or a share out of range, MTH-031 for unequal
            lengths, MTH-032 for no time at all.

    Source: any drives textbook (from memory); the share of 1/3 as a trade page gives it for NEMA
        MG 1 practice; cycles under about five minutes (trade article of a motor engineer).

    Example:
        >>> round(equivalent_power_w([1000, 600], [20, 40], 60, 1 / 3), 6)
        655.743852
    """
    return _equivalent("power_w", power_w, run_s, stop_s, cooling_share)


def equivalent_current_a(
    current_a: Sequence[float], run_s: Sequence[float], stop_s: float, cooling_share: float
) -> float:
    """The steady current that heats like several currents and a standstill; starts belong in it.

    Formula: root of (sum of current squared times time) over (sum of the run times plus cooling
    share times standstill).

    Args:
        current_a: currents, A, sequence of n, 0 or more.
        run_s: how long each flows, s, sequence of n, 0 or more.
        stop_s: standstill in the cycle, s, 0 or more.
        cooling_share: cooling at standstill over cooling when running, above 0 to 1.

    Returns:
        Amperes. Fit to run when no more than the rated current.

    Raises:
        InputError: MTH-030 for a negative time or a share out of range, MTH-031 for unequal
            lengths, MTH-032 for no time at all.

    Source: any drives textbook (from memory).

    Example:
        >>> round(equivalent_current_a([8, 4.5], [5, 25], 30, 1), 6)
        3.710907
    """
    return _equivalent("current_a", current_a, run_s, stop_s, cooling_share)


def equivalent_torque_n_m(
    torque_n_m: Sequence[float], run_s: Sequence[float], stop_s: float, cooling_share: float
) -> float:
    """The steady torque that heats like several torques and a standstill.

    Formula: root of (sum of torque squared times time) over (sum of the run times plus cooling
    share times standstill).

    Args:
        torque_n_m: torques, N m, sequence of n; a braking torque is negative.
        run_s: how long each acts, s, sequence of n, 0 or more.
        stop_s: standstill in the cycle, s, 0 or more.
        cooling_share: cooling at standstill over cooling when running, above 0 to 1.

    Returns:
        Newton metres.

    Raises:
        InputError: MTH-030 for a negative time or a share out of range, MTH-031 for unequal
            lengths, MTH-032 for no time at all.

    Source: any drives textbook (from memory).

    Example:
        >>> round(equivalent_torque_n_m([3, -3], [10, 10], 0, 1), 6)
        3.0
    """
    return _equivalent("torque_n_m", torque_n_m, run_s, stop_s, cooling_share, low=None)


def ramp_power_w(first_w: float, second_w: float) -> float:
    """The steady power that heats like a power rising or falling evenly between two.

    Formula: root of (first squared plus first times second plus second squared) over 3.

    Args:
        first_w: power at the begin, W, 0 or more.
        second_w: power at the end, W, 0 or more.

    Returns:
        Watts.

    Raises:
        InputError: MTH-030 for a negative power.

    Source: mean of the square of a straight line; from zero as in Soni, Gupta, Bhatnagar,
        Chakrabarti, A Textbook on Power System Engineering, 2nd ed., Ex. 1.27; between two powers
        from memory.

    Example:
        >>> round(ramp_power_w(0, 300), 6)
        173.205081
    """
    first, second = not_negative("first_w", first_w), not_negative("second_w", second_w)
    return math.sqrt((first * first + first * second + second * second) / 3)


def equivalent_load_ratio(on_share: float, cooling_share: float) -> float:
    """Equivalent load over the one load of an intermittent duty.

    Formula: root of share on over (share on plus cooling share times the rest).

    Args:
        on_share: share on, above 0 to 1.
        cooling_share: cooling at standstill over cooling when running, above 0 to 1.

    Returns:
        A ratio, up to 1. Its inverse is no permission to overload: constant losses and torque
        limits are not in it.

    Raises:
        InputError: MTH-030 for a share out of range.

    Source: any drives textbook (from memory).

    Example:
        >>> equivalent_load_ratio(0.25, 1)
        0.5
    """
    on = number("on_share", on_share, 0, 1, above=True)
    return math.sqrt(on / (on + _cooling(cooling_share) * (1 - on)))


def start_heat_share(start_a: float, start_s: float, running_a: float, running_s: float) -> float:
    """How much of the heating of one run comes from its start.

    Formula: start current squared times its time, over that plus running current squared times its
    time.

    Args:
        start_a: start current, A, 0 or more.
        start_s: how long it flows, s, 0 or more.
        running_a: running current, A, above 0.
        running_s: how long it flows, s, above 0.

    Returns:
        A share, 0 to 1.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: common practice, no source.

    Example:
        >>> round(100 * start_heat_share(19.2, 0.5, 3.2, 11.5), 6)
        61.016949
    """
    start = not_negative("start_a", start_a) ** 2 * not_negative("start_s", start_s)
    running = (
        number("running_a", running_a, 0, above=True) ** 2
        * number("running_s", running_s, 0, above=True)
    )  # fmt: skip
    return start / (start + running)


def _cooling(cooling_share: float) -> float:
    return number("cooling_share", cooling_share, 0, 1, above=True)


def _equivalent(
    name: str,
    loads: Sequence[float],
    run_s: Sequence[float],
    stop_s: float,
    cooling_share: float,
    *,
    low: float | None = 0,
) -> float:
    values = sequence(name, loads, 1, low)
    times = sequence("run_s", run_s, 1, 0)
    same_length(name, values, "run_s", times)
    divisor = math.fsum(times) + _cooling(cooling_share) * not_negative("stop_s", stop_s)
    if divisor == 0:
        raise InputError(no_result, why="no time passes in the cycle (run_s and stop_s are 0)")
    heat = math.fsum(value * value * time for value, time in zip(values, times, strict=True))
    return math.sqrt(heat / divisor)
