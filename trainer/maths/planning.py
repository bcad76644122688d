"""Rates from irregular readings, and the date to plan a change for.

Source: common practice, no source, unless a function names one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from trainer.errors import InputError
from trainer.maths.ranges import (
    no_result,
    not_negative,
    number,
    positive,
    same_length,
    sequence,
)
from trainer.maths.rounding import snapped

DAYS_PER_WEEK = 7


def mean_rate_kg_per_day(used_kg: Sequence[float], span_day: Sequence[float]) -> float:
    """Kilograms a day over several intervals of unequal length.

    Formula: sum of the kilograms over sum of the days. The plain mean of the interval rates is a
    different and wrong figure: a short interval would count as much as a long one.

    Args:
        used_kg: kilograms used, sequence of n, 0 or more.
        span_day: days each took, sequence of n, 0 or more, not all 0.

    Returns:
        Kilograms per day.

    Raises:
        InputError: MTH-031 for sequences of unequal length, MTH-032 when no day has passed.

    Source: common practice, no source.

    Example:
        >>> round(mean_rate_kg_per_day([81.6, 118.6, 98.5], [28, 42, 35]), 9)
        2.844761905
    """
    used = sequence("used_kg", used_kg, 1, 0)
    days = sequence("span_day", span_day, 1, 0)
    same_length("used_kg", used, "span_day", days)
    total = math.fsum(days)
    if total == 0:
        raise InputError(no_result, why="all readings are of the same day, so there is no rate")
    return math.fsum(used) / total


def slope_rate_kg_per_day(used_kg: Sequence[float], span_day: Sequence[float]) -> float:
    """Kilograms a day as the slope of the running total over the days.

    Formula: least-squares slope through (0, 0), (d1, u1), (d1 + d2, u1 + u2), … The points of a
    running total are not independent, so its standard error would be too small; none is given.

    Args:
        used_kg: kilograms used, sequence of n, 0 or more.
        span_day: days each took, sequence of n, 0 or more, not all 0.

    Returns:
        Kilograms per day.

    Raises:
        InputError: MTH-031 for sequences of unequal length, MTH-032 when no day has passed.

    Source: common practice, no source.

    Example:
        >>> round(slope_rate_kg_per_day([81.6, 118.6, 98.5], [28, 42, 35]), 9)
        2.841054357
    """
    mean_rate_kg_per_day(used_kg, span_day)
    days, total = [0.0], [0.0]
    for used, span in zip(used_kg, span_day, strict=True):
        days.append(days[-1] + float(span))
        total.append(total[-1] + float(used))
    middle_day = math.fsum(days) / len(days)
    middle_kg = math.fsum(total) / len(total)
    return math.fsum(
        (day - middle_day) * (kg - middle_kg) for day, kg in zip(days, total, strict=True)
    ) / math.fsum((day - middle_day) ** 2 for day in days)


def smoothed_rate_kg_per_day(rate_kg_per_day: Sequence[float], weight: float = 0.3) -> float:
    """The newest smoothed rate: recent intervals count more, old ones fade.

    Formula: weight times the new rate plus (1 minus weight) times the smoothed rate before; the
    first smoothed rate is the first rate.

    Args:
        rate_kg_per_day: rates in order of time, sequence of n, 0 or more.
        weight: share of the newest rate, above 0 and at most 1; 0.2 to 0.3 is usual (from memory).

    Returns:
        Kilograms per day.

    Raises:
        InputError: MTH-030 for a weight out of range, MTH-031 for no rates.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4 (from memory).

    Example:
        >>> round(smoothed_rate_kg_per_day([3.2, 3.6, 2.9, 4.4], 0.3), 4)
        3.5558
    """
    share = number("weight", weight, 0, 1, above=True)
    rates = sequence("rate_kg_per_day", rate_kg_per_day, 1, 0)
    smoothed = rates[0]
    for rate in rates[1:]:
        smoothed = share * rate + (1 - share) * smoothed
    return smoothed


def calendar_rate_kg_per_day(open_rate_kg_per_day: float, open_days_per_week: float) -> float:
    """The rate per calendar day from the rate on an open day.

    Formula: open-day rate times open days a week over 7. A plan by date needs this one.

    Args:
        open_rate_kg_per_day: kilograms on an open day, 0 or more.
        open_days_per_week: open days a week, 0 to 7.

    Returns:
        Kilograms per calendar day.

    Raises:
        InputError: MTH-030 for more than 7 days a week.

    Source: common practice, no source.

    Example:
        >>> round(calendar_rate_kg_per_day(4, 6), 9)
        3.428571429
    """
    open_days = number("open_days_per_week", open_days_per_week, 0, DAYS_PER_WEEK)
    return not_negative("open_rate_kg_per_day", open_rate_kg_per_day) * open_days / DAYS_PER_WEEK


def left_until_limit_kg(limit_kg: float, used_kg: float) -> float:
    """Kilograms left until the limit; negative when it has been passed.

    Formula: limit minus used.

    Args:
        limit_kg: planned life of the burr set, kg, above 0.
        used_kg: kilograms used on this set, 0 or more.

    Returns:
        Kilograms left.

    Raises:
        InputError: MTH-030 for a limit that is not above 0.

    Source: common practice, no source.

    Example:
        >>> round(left_until_limit_kg(600, 110.9), 6)
        489.1
    """
    return positive("limit_kg", limit_kg) - not_negative("used_kg", used_kg)


def days_left(left_kg: float, rate_kg_per_day: float) -> float:
    """Calendar days until the limit at a calendar rate.

    Formula: kilograms left over kilograms per calendar day.

    Args:
        left_kg: kilograms left.
        rate_kg_per_day: calendar rate (``calendar_rate_kg_per_day``), above 0.

    Returns:
        Days, not rounded.

    Raises:
        InputError: MTH-030 when nothing is used a day.

    Source: common practice, no source.

    Example:
        >>> round(days_left(489.1, 2.844761905), 5)
        171.93003
    """
    return number("left_kg", left_kg) / positive("rate_kg_per_day", rate_kg_per_day)


def planning_date(today: date, left_kg: float, rate_kg_per_day: float) -> date | None:
    """The date to plan a change for: never later than the limit.

    Formula: today plus the whole days until the limit, rounded down. Today when it has passed.

    Args:
        today: the date of the last reading.
        left_kg: kilograms left.
        rate_kg_per_day: calendar rate, 0 or more.

    Returns:
        The date; none when nothing is used, or when it lies beyond the calendar.

    Raises:
        InputError: MTH-030 for a negative rate.

    Source: common practice, no source.

    Example:
        >>> planning_date(date(2026, 4, 20), 489.1, 2.844761905).isoformat()
        '2026-10-08'
    """
    rate = not_negative("rate_kg_per_day", rate_kg_per_day)
    left = number("left_kg", left_kg)
    if rate == 0:
        return None
    # Decimals, so that 346 kg at 3.46 kg a day are 100 days and not 99.
    days = math.floor(snapped(Decimal(repr(left)) / Decimal(repr(rate)), 15))
    if days > (date.max - today).days:
        return None
    return today + timedelta(days=max(0, days))
