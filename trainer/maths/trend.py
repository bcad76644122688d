"""A straight line through readings: its intervals, and where it reaches a limit.

Model: y = a + b x + error, errors independent and of equal variance. Readings of a running total
are not independent; their line has no honest standard error.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 4.1.4.1, 4.5.1.2 (prediction) and 4.5.2
(calibration) (section numbers from memory); F. A. Graybill and H. K. Iyer, Regression Analysis
(1994), pp. 431-434; B. M. Greenwell and C. M. Schubert Kabban, The R Journal 6(1) (2014) 90-100.

Plain numbers in any units, the same throughout; ``grind_trend`` registers the trade's use of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from trainer.errors import InputError
from trainer.maths.ranges import no_result, number, same_length, sequence, share, whole

NOT_IN_CATALOGUE = (
    "fit", "confidence_interval", "prediction_interval", "slope_interval", "crossing",
    "crossing_wald", "student_quantile",
)  # fmt: skip
LEAST_POINTS = 3
FAR = 2.0  # beyond twice the observed range a line is a guess; common practice, no source


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted line.

    Attributes:
        n: number of points.
        slope: b.
        intercept: a.
        sd: residual standard deviation, n - 2 degrees of freedom.
        mean_x: mean of x.
        mean_y: mean of y.
        sxx: sum of squared distances of x from its mean.
        low_x: smallest x.
        high_x: largest x.
        r_squared: share of the spread of y that the line explains; 1 when y does not vary.
    """

    n: int
    slope: float
    intercept: float
    sd: float
    mean_x: float
    mean_y: float
    sxx: float
    low_x: float
    high_x: float
    r_squared: float

    @property
    def slope_se(self) -> float:
        """Standard error of the slope."""
        return self.sd / math.sqrt(self.sxx)

    @property
    def intercept_se(self) -> float:
        """Standard error of the intercept."""
        return self.sd * math.sqrt(1 / self.n + self.mean_x**2 / self.sxx)

    def at(self, x: float) -> float:
        """The line's height at x."""
        return self.mean_y + self.slope * (x - self.mean_x)


@dataclass(frozen=True, slots=True)
class Interval:
    """An estimate with its lower and upper end."""

    at: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where a line reaches a limit.

    Attributes:
        at: the estimate.
        low: lower end; none when the slope is too uncertain for a finite interval.
        high: upper end; none likewise.
        g: squared relative half-width of the slope's interval; a finite interval needs g below 1.
        is_far: whether the estimate lies beyond twice the observed range of x.
    """

    at: float
    low: float | None
    high: float | None
    g: float
    is_far: bool

    @property
    def is_finite(self) -> bool:
        """Whether there is a finite interval."""
        return self.low is not None


def student_quantile(confidence: float, freedom: int) -> float:
    """The two-sided quantile of Student's t: half of the rest lies beyond it on each side.

    Example:
        >>> round(student_quantile(0.95, 5), 9)
        2.570581836
    """
    from scipy.special import stdtrit

    return float(stdtrit(freedom, (1 + share("confidence", confidence)) / 2))


def fit(x: Iterable[float], y: Iterable[float]) -> Line:
    """The least-squares line through points.

    Formula: slope is the sum of products of the distances from the means over the sum of squared
    distances of x; the line goes through both means.

    Args:
        x: sequence of n, at least 3, not all equal.
        y: sequence of n.

    Returns:
        The line with its residual standard deviation.

    Raises:
        InputError: MTH-031 for too few or unequal numbers of values, MTH-032 when all x are equal.

    Source: NIST/SEMATECH e-Handbook 4.1.4.1 (from memory).

    Example:
        >>> fit([0, 1, 2], [1, 3, 5]).slope
        2.0
    """
    xs, ys = sequence("x", x, LEAST_POINTS), sequence("y", y)
    same_length("x", xs, "y", ys)
    n = len(xs)
    mean_x, mean_y = math.fsum(xs) / n, math.fsum(ys) / n
    sxx = math.fsum((value - mean_x) ** 2 for value in xs)
    if min(xs) == max(xs) or sxx == 0:
        raise InputError(no_result, why="all readings stand at the same place, so no line")
    sxy = math.fsum((a - mean_x) * (b - mean_y) for a, b in zip(xs, ys, strict=True))
    slope = sxy / sxx
    left = math.fsum((b - mean_y - slope * (a - mean_x)) ** 2 for a, b in zip(xs, ys, strict=True))
    syy = math.fsum((value - mean_y) ** 2 for value in ys)
    return Line(
        n=n,
        slope=slope,
        intercept=mean_y - slope * mean_x,
        sd=math.sqrt(left / (n - 2)),
        mean_x=mean_x,
        mean_y=mean_y,
        sxx=sxx,
        low_x=min(xs),
        high_x=max(xs),
        r_squared=1 - left / syy if syy else 1.0,
    )


def _kappa(line: Line, readings: int | None) -> float:
    """The share of variance that is not the slope's; m readings add 1 over m."""
    return 1 / line.n + (0 if readings is None else 1 / whole("readings", readings, 1))


def _interval_at(line: Line, x: float, confidence: float, readings: int | None) -> Interval:
    middle = line.at(number("x", x))
    spread = math.sqrt(_kappa(line, readings) + (x - line.mean_x) ** 2 / line.sxx)
    half = student_quantile(confidence, line.n - 2) * line.sd * spread
    return Interval(middle, middle - half, middle + half)


def confidence_interval(line: Line, x: float, confidence: float = 0.95) -> Interval:
    """Where the mean line lies at x.

    Formula: height plus and minus t times s times the root of (1/n + squared distance of x from
    its mean over Sxx).

    Args:
        line: a fitted line.
        x: the place.
        confidence: above 0 and below 1.

    Returns:
        The interval of the mean.

    Raises:
        InputError: MTH-030 for a confidence out of range.

    Source: NIST/SEMATECH e-Handbook 4.5.1.2 (from memory).

    Example:
        >>> interval = confidence_interval(fit([0, 1, 2, 3], [1, 2, 2, 3]), 1.5)
        >>> round(interval.at, 6), round(interval.high - interval.at, 6)
        (2.0, 0.680309)
    """
    return _interval_at(line, x, confidence, None)


def prediction_interval(
    line: Line, x: float, confidence: float = 0.95, readings: int = 1
) -> Interval:
    """Where the mean of so many new readings at x will lie.

    Formula: as for the mean line, with 1 over the number of readings added under the root.

    Args:
        line: a fitted line.
        x: the place.
        confidence: above 0 and below 1.
        readings: how many new readings are averaged, 1 or more.

    Returns:
        The interval of the new reading.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 4.5.1.2 (from memory).

    Example:
        >>> interval = prediction_interval(fit([0, 1, 2, 3], [1, 2, 2, 3]), 1.5)
        >>> round(interval.high - interval.at, 6)
        1.521217
    """
    return _interval_at(line, x, confidence, readings)


def slope_interval(line: Line, confidence: float = 0.95) -> Interval:
    """The interval of the slope.

    Formula: slope plus and minus t times its standard error.

    Args:
        line: a fitted line.
        confidence: above 0 and below 1.

    Returns:
        The interval.

    Raises:
        InputError: MTH-030 for a confidence out of range.

    Source: NIST/SEMATECH e-Handbook 4.1.4.1 (from memory).

    Example:
        >>> interval = slope_interval(fit([0, 1, 2, 3], [1, 2, 2, 3]))
        >>> interval.low < 0.6 < interval.high
        True
    """
    half = student_quantile(confidence, line.n - 2) * line.slope_se
    return Interval(line.slope, line.slope - half, line.slope + half)


def crossing(
    line: Line, limit: float, confidence: float = 0.95, readings: int | None = None
) -> Crossing:
    """Where the line reaches a limit, with Fieller's interval.

    Formula: the estimate is the mean of x plus (limit minus mean of y) over the slope. With
    g = t^2 s^2 / (b^2 Sxx) the ends are the mean of x plus [distance of the estimate from it, plus
    and minus t s / |b| times the root of (distance^2 / Sxx + (1 - g) kappa)], over (1 - g); kappa
    is 1/n for the mean line and 1/m + 1/n for the mean of m readings.

    Args:
        line: a fitted line.
        limit: the height to reach, in the unit of y.
        confidence: above 0 and below 1.
        readings: none for the mean line against a fixed limit; m when the limit was met by the
            mean of m readings.

    Returns:
        The crossing; its ends are none when g is 1 or more.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 for a level line.

    Source: Graybill and Iyer 1994, pp. 431-434; e-Handbook 4.5.2 (from memory).

    Example:
        >>> line = fit([0, 60, 120, 180], [5.0, 5.1, 5.2, 5.3])
        >>> round(crossing(line, 6.0).at, 6)
        600.0
    """
    height = number("limit", limit)
    quantile = student_quantile(confidence, line.n - 2)
    kappa = _kappa(line, readings)
    if line.slope == 0:
        raise InputError(no_result, why="the line is level: it never reaches the limit")
    distance = (height - line.mean_y) / line.slope
    at = line.mean_x + distance
    g = (quantile * line.slope_se / line.slope) ** 2
    middle = (line.low_x + line.high_x) / 2
    is_far = abs(at - middle) > (FAR - 0.5) * (line.high_x - line.low_x)
    if g >= 1:
        return Crossing(at, None, None, g, is_far)
    half = (
        quantile * line.sd / abs(line.slope) * math.sqrt(distance**2 / line.sxx + (1 - g) * kappa)
    )
    low = line.mean_x + (distance - half) / (1 - g)
    high = line.mean_x + (distance + half) / (1 - g)
    return Crossing(at, low, high, g, is_far)


def crossing_wald(
    line: Line, limit: float, confidence: float = 0.95, readings: int | None = None
) -> Interval:
    """The symmetric shortcut for the crossing; too short unless g is small (below 0.05).

    Formula: estimate plus and minus t times (s / |b|) times the root of (kappa + squared distance
    over Sxx).

    Args:
        line: a fitted line.
        limit: the height to reach.
        confidence: above 0 and below 1.
        readings: as in ``crossing``.

    Returns:
        The interval.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 for a level line.

    Source: Draper & Smith, Applied Regression Analysis, for the rule on g (from memory).

    Example:
        >>> line = fit([0, 60, 120, 180], [5.0, 5.1, 5.2, 5.35])
        >>> crossing_wald(line, 6.0).low > crossing(line, 6.0).at - 200
        True
    """
    at = crossing(line, limit, confidence, readings).at
    spread = math.sqrt(_kappa(line, readings) + (at - line.mean_x) ** 2 / line.sxx)
    half = student_quantile(confidence, line.n - 2) * line.sd / abs(line.slope) * spread
    return Interval(at, at - half, at + half)
