"""The grind time of one dose against kilograms ground: its trend, and when it reaches a limit.

One coffee, one dose, one setting, after run-in; a change of any of them moves the time without
wear. The statistics stand in ``trend``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from trainer.errors import InputError
from trainer.maths.ranges import no_result, not_negative, one_of, positive, sequence, share
from trainer.maths.trend import Line, crossing, fit, prediction_interval

KINDS: Final = ("mean line", "one reading")


def _line(throughput_kg: Sequence[float], time_s: Sequence[float]) -> Line:
    return fit(
        sequence("throughput_kg", throughput_kg, 3, 0), sequence("time_s", time_s, 3, 0, above=True)
    )


def grind_time_slope_s_per_kg(throughput_kg: Sequence[float], time_s: Sequence[float]) -> float:
    """How much the grind time of a dose grows with each kilogram.

    Formula: least-squares slope of grind time on kilograms.

    Args:
        throughput_kg: kilograms ground at each reading, sequence of n, at least 3, 0 or more.
        time_s: grind time of one dose at each reading, sequence of n, above 0.

    Returns:
        Seconds per kilogram.

    Raises:
        InputError: MTH-031 for too few readings, MTH-032 when all are of one throughput.

    Source: NIST/SEMATECH e-Handbook 4.1.4.1 (from memory).

    Example:
        >>> round(grind_time_slope_s_per_kg([0, 60, 120], [5.0, 5.1, 5.2]), 9)
        0.001666667
    """
    return _line(throughput_kg, time_s).slope


def grind_time_at_s(throughput_kg: Sequence[float], time_s: Sequence[float], at_kg: float) -> float:
    """The grind time that the line gives at a throughput.

    Formula: height of the least-squares line.

    Args:
        throughput_kg: kilograms ground at each reading, sequence of n, at least 3, 0 or more.
        time_s: grind time of one dose at each reading, sequence of n, above 0.
        at_kg: throughput asked for, kg, 0 or more.

    Returns:
        Seconds.

    Raises:
        InputError: MTH-031 for too few readings, MTH-032 when all are of one throughput.

    Source: NIST/SEMATECH e-Handbook 4.1.4.1 (from memory).

    Example:
        >>> round(grind_time_at_s([0, 60, 120], [5.0, 5.1, 5.2], 240), 9)
        5.4
    """
    return _line(throughput_kg, time_s).at(not_negative("at_kg", at_kg))


def grind_time_limit_kg(
    throughput_kg: Sequence[float], time_s: Sequence[float], limit_s: float
) -> float:
    """The throughput at which the line reaches a limit of the grind time.

    Formula: mean throughput plus (limit minus mean time) over the slope.

    Args:
        throughput_kg: kilograms ground at each reading, sequence of n, at least 3, 0 or more.
        time_s: grind time of one dose at each reading, sequence of n, above 0.
        limit_s: grind time at which burrs are changed, s, above 0.

    Returns:
        Kilograms.

    Raises:
        InputError: MTH-031 for too few readings, MTH-032 when the time does not grow.

    Source: Graybill and Iyer, Regression Analysis (1994), p. 431.

    Example:
        >>> round(grind_time_limit_kg([0, 60, 120], [5.0, 5.1, 5.2], 6.0), 6)
        600.0
    """
    return _rising(throughput_kg, time_s, limit_s)[1]


def _rising(
    throughput_kg: Sequence[float], time_s: Sequence[float], limit_s: float
) -> tuple[Line, float]:
    limit = positive("limit_s", limit_s)
    line = _line(throughput_kg, time_s)
    if line.slope <= 0:
        raise InputError(no_result, why="the grind time does not grow: no limit is in sight")
    return line, line.mean_x + (limit - line.mean_y) / line.slope


def earliest_limit_kg(
    throughput_kg: Sequence[float],
    time_s: Sequence[float],
    limit_s: float,
    confidence: float = 0.95,
    of: str = "one reading",
) -> float:
    """The throughput to plan on: the lower end of the interval in which the limit is reached.

    Formula: lower end of Fieller's interval (``trend.crossing``). A single reading may cross the
    limit before the mean line does, so its lower end comes first.

    Args:
        throughput_kg: kilograms ground at each reading, sequence of n, at least 3, 0 or more.
        time_s: grind time of one dose at each reading, sequence of n, above 0.
        limit_s: grind time at which burrs are changed, s, above 0.
        confidence: above 0 and below 1.
        of: ``one reading`` or ``mean line``.

    Returns:
        Kilograms.

    Raises:
        InputError: MTH-032 when the slope is too uncertain for a finite interval.

    Source: Graybill and Iyer, Regression Analysis (1994), pp. 431-434.

    Example:
        >>> kg, s = [0, 60, 120, 180, 240, 300, 360], [5.02, 5.09, 5.21, 5.27, 5.40, 5.44, 5.57]
        >>> round(earliest_limit_kg(kg, s, 6.0), 4)
        592.9807
    """
    readings = 1 if one_of("of", of, KINDS) == "one reading" else None
    level = share("confidence", confidence)
    line, _ = _rising(throughput_kg, time_s, limit_s)
    low = crossing(line, limit_s, level, readings).low
    if low is None:
        raise InputError(
            no_result, why="the slope is too uncertain for an interval: take more readings"
        )
    return low


@dataclass(frozen=True, slots=True)
class GrindForecast:
    """The trend of the grind time and when it reaches a limit.

    Attributes:
        slope_s_per_kg: growth per kilogram.
        slope_error_s_per_kg: its standard error.
        start_s: the line at 0 kg.
        scatter_s: residual standard deviation.
        r_squared: share of the spread that the line explains.
        reached_kg: where the line reaches the limit.
        mean_low_kg: lower end for the mean line; none without a finite interval.
        mean_high_kg: upper end for the mean line.
        reading_low_kg: lower end for one reading: plan on this one.
        reading_high_kg: upper end for one reading.
        g: below 1 the interval is finite, below 0.05 it is nearly symmetric.
        is_far: whether the limit lies beyond twice the observed range.
        next_low_s: lower end of one new reading at the largest throughput seen.
        next_high_s: upper end; a reading above it is not wear alone.
    """

    slope_s_per_kg: float
    slope_error_s_per_kg: float
    start_s: float
    scatter_s: float
    r_squared: float
    reached_kg: float
    mean_low_kg: float | None
    mean_high_kg: float | None
    reading_low_kg: float | None
    reading_high_kg: float | None
    g: float
    is_far: bool
    next_low_s: float
    next_high_s: float


def grind_time_forecast(
    throughput_kg: Sequence[float],
    time_s: Sequence[float],
    limit_s: float,
    confidence: float = 0.95,
) -> GrindForecast:
    """The whole trend at once: line, limit and both kinds of interval.

    Formula: as ``trend.fit`` and ``trend.crossing``.

    Args:
        throughput_kg: kilograms ground at each reading, sequence of n, at least 3, 0 or more.
        time_s: grind time of one dose at each reading, sequence of n, above 0.
        limit_s: grind time at which burrs are changed, s, above 0.
        confidence: above 0 and below 1.

    Returns:
        The forecast.

    Raises:
        InputError: MTH-031 for too few readings, MTH-032 when the time does not grow.

    Source: Graybill and Iyer, Regression Analysis (1994), pp. 431-434.

    Example:
        >>> kg, s = [0, 60, 120, 180, 240, 300, 360], [5.02, 5.09, 5.21, 5.27, 5.40, 5.44, 5.57]
        >>> round(grind_time_forecast(kg, s, 6.0).reached_kg, 4)
        652.4409
    """
    level = share("confidence", confidence)
    line, reached = _rising(throughput_kg, time_s, limit_s)
    mean = crossing(line, limit_s, level)
    reading = crossing(line, limit_s, level, 1)
    following = prediction_interval(line, line.high_x, level)
    return GrindForecast(
        slope_s_per_kg=line.slope,
        slope_error_s_per_kg=line.slope_se,
        start_s=line.intercept,
        scatter_s=line.sd,
        r_squared=line.r_squared,
        reached_kg=reached,
        mean_low_kg=mean.low,
        mean_high_kg=mean.high,
        reading_low_kg=reading.low,
        reading_high_kg=reading.high,
        g=mean.g,
        is_far=mean.is_far,
        next_low_s=following.low,
        next_high_s=following.high,
    )


def days_left_uncertainty_day(
    left_kg: float,
    left_uncertainty_kg: float,
    rate_kg_per_day: float,
    rate_uncertainty_kg_per_day: float,
) -> float:
    """The standard uncertainty of the days left, when kilograms and rate are both uncertain.

    Formula: days left times the root of the sum of the squared relative uncertainties.

    Args:
        left_kg: kilograms left, above 0.
        left_uncertainty_kg: its standard uncertainty, kg, 0 or more.
        rate_kg_per_day: calendar rate, above 0.
        rate_uncertainty_kg_per_day: its standard uncertainty, 0 or more.

    Returns:
        Days.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: JCGM 100:2008 (GUM), 5.1.6 (from memory); relative variances add to first order.

    Example:
        >>> round(days_left_uncertainty_day(400, 40, 4, 0.3), 6)
        12.5
    """
    left = positive("left_kg", left_kg)
    rate = positive("rate_kg_per_day", rate_kg_per_day)
    relative = math.hypot(
        not_negative("left_uncertainty_kg", left_uncertainty_kg) / left,
        not_negative("rate_uncertainty_kg_per_day", rate_uncertainty_kg_per_day) / rate,
    )
    return left / rate * relative
