"""Machines over time: mean time between chance failures, availability.

Long-run averages of repairable machines whose failures come by chance; a part that wears out has
a life distribution instead (``life``).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from trainer.errors import InputError
from trainer.maths.ranges import (
    no_result,
    not_negative,
    number,
    one_of,
    positive,
    sequence,
    share,
    whole,
)

ENDED_BY: Final = ("time", "failure")
HOURS_PER_YEAR = 8760.0


@dataclass(frozen=True, slots=True)
class FailureTime:
    """A mean time between failures with its two-sided bounds.

    Attributes:
        mean_h: total time over failures; none without a failure.
        low_h: lower bound.
        high_h: upper bound; none without a failure.
    """

    mean_h: float | None
    low_h: float
    high_h: float | None


def _chi_square(share_below: float, freedom: int) -> float:
    from scipy.special import chdtri

    return float(chdtri(freedom, 1 - share_below))


def failure_time(
    total_h: float, failures: int, confidence: float = 0.9, ended_by: str = "time"
) -> FailureTime:
    """The mean time between chance failures, with bounds.

    Formula: total time over failures; lower bound twice the total time over the chi-square
    quantile with 2 r + 2 degrees of freedom (2 r when the test ended with a failure), upper bound
    with 2 r. Without a failure only a one-sided lower bound: total time over minus ln of (1 minus
    confidence).

    Args:
        total_h: hours of all units together, above 0.
        failures: failures seen, 0 or more.
        confidence: two-sided (one-sided without a failure), above 0 and below 1.
        ended_by: ``time`` or ``failure``.

    Returns:
        The mean and its bounds.

    Raises:
        InputError: MTH-030 for a value out of range; MTH-032 for a test that ended with a failure
            but saw none.

    Source: NIST/SEMATECH e-Handbook 8.4.5.1; failure-terminated form from memory.

    Example:
        >>> found = failure_time(800, 2)
        >>> round(found.low_h, 4), round(found.high_h, 3)
        (127.069, 2251.229)
    """
    total, r = positive("total_h", total_h), whole("failures", failures)
    rest = 1 - share("confidence", confidence)
    extra = 2 if one_of("ended_by", ended_by, ENDED_BY) == "time" else 0
    if r == 0:
        if not extra:
            raise InputError(no_result, why="a test that ended with a failure has seen one")
        return FailureTime(None, total / -math.log(rest), None)
    return FailureTime(
        mean_h=total / r,
        low_h=2 * total / _chi_square(1 - rest / 2, 2 * r + extra),
        high_h=2 * total / _chi_square(rest / 2, 2 * r),
    )


def mean_failure_time_h(total_h: float, failures: int) -> float:
    """The mean time between chance failures.

    Formula: hours of all units together over failures.

    Args:
        total_h: hours of all units together, above 0.
        failures: failures seen, 1 or more.

    Returns:
        Hours.

    Raises:
        InputError: MTH-030 without a failure: only a bound is known (``failure_time``).

    Source: NIST/SEMATECH e-Handbook 8.4.5.1.

    Example:
        >>> mean_failure_time_h(800, 2)
        400.0
    """
    return positive("total_h", total_h) / whole("failures", failures, 1)


def chance_reliability(time_h: float, mean_h: float) -> float:
    """The chance that nothing fails by chance in a time.

    Formula: e to the power of minus time over mean time between failures.

    Args:
        time_h: hours, 0 or more.
        mean_h: mean time between failures, h, above 0.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: exponential distribution; NIST/SEMATECH e-Handbook, chapter 8.

    Example:
        >>> round(chance_reliability(100, 400), 10)
        0.7788007831
    """
    return math.exp(-not_negative("time_h", time_h) / positive("mean_h", mean_h))


def time_to_reliability_h(reliability: float, mean_h: float) -> float:
    """The time after which the chance of no failure has sunk to a share.

    Formula: minus mean time between failures times the logarithm of the share.

    Args:
        reliability: share, above 0 and below 1.
        mean_h: mean time between failures, h, above 0.

    Returns:
        Hours.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: exponential distribution; NIST/SEMATECH e-Handbook, chapter 8.

    Example:
        >>> round(time_to_reliability_h(0.9, 400), 8)
        42.14420626
    """
    return -positive("mean_h", mean_h) * math.log(share("reliability", reliability))


def availability(mean_up_h: float, mean_down_h: float) -> float:
    """The share of the time that a repairable machine is fit for use.

    Formula: mean time between failures over that time plus mean down time. With active repair time
    alone it is the inherent availability; with waiting for people and parts the operational one.

    Args:
        mean_up_h: mean time between failures, h, above 0.
        mean_down_h: mean time down, h, 0 or more.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: published glossaries of inherent and operational availability.

    Example:
        >>> round(availability(2000, 4.5), 10)
        0.9977550511
    """
    up = positive("mean_up_h", mean_up_h)
    return up / (up + not_negative("mean_down_h", mean_down_h))


def down_time_h(availability: float, period_h: float = HOURS_PER_YEAR) -> float:
    """The hours down in a period.

    Formula: (1 minus availability) times the period.

    Args:
        availability: share of the time fit for use, 0 to 1.
        period_h: hours, 0 or more; a year of 365 days has 8760.

    Returns:
        Hours.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: definition.

    Example:
        >>> round(down_time_h(0.99), 6)
        87.6
    """
    fit_share = number("availability", availability, 0, 1)
    return (1 - fit_share) * not_negative("period_h", period_h)


def series_availability(shares: Sequence[float]) -> float:
    """The availability of parts that must all be fit.

    Formula: product of the availabilities.

    Args:
        shares: availability of each part, sequence of n, 0 to 1.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a share out of range.

    Source: product rule of independent parts.

    Example:
        >>> round(series_availability([0.99, 0.98, 0.995]), 6)
        0.965349
    """
    return math.prod(sequence("shares", shares, 1, 0, 1))


def parallel_availability(shares: Sequence[float]) -> float:
    """The availability of machines of which one is enough.

    Formula: 1 minus the product of (1 minus availability).

    Args:
        shares: availability of each machine, sequence of n, 0 to 1.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a share out of range.

    Source: product rule of independent parts.

    Example:
        >>> round(parallel_availability([0.95, 0.95]), 6)
        0.9975
    """
    return 1 - math.prod(1 - value for value in sequence("shares", shares, 1, 0, 1))
