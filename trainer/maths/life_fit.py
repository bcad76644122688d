"""From observed lives to a life distribution: ranks, Weibull fits, Kaplan-Meier.

A burr taken out before it failed (planned change, machine sold) is a suspension: it enters at its
kilograms, is never dropped and never counted as a failure. Functions take two sequences: lives of
failures and lives of suspensions.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.1.5 (Kaplan-Meier), 8.2.2.1
(probability plot), 8.4.1.2 and 8.4.1.3 (maximum likelihood) (some section numbers from memory).
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from trainer.errors import InputError
from trainer.maths.ranges import no_result, not_negative, one_of, sequence, share, whole
from trainer.maths.roots import rising_root

NOT_IN_CATALOGUE = ("kaplan_meier", "normal_quantile")
INTERVALS: Final = ("log scale", "symmetric")
REGRESSIONS: Final = ("Y on X", "X on Y")


def rank_benard(order: int, count: int) -> float:
    """The median rank of a failure by Benard's approximation.

    Formula: (order minus 0.3) over (count plus 0.4).

    Args:
        order: place of the failure among all, 1 to count.
        count: how many lives there are, 1 or more.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for an order beyond the count.

    Source: as used in the NIST/SEMATECH e-Handbook, probability plotting.

    Example:
        >>> round(rank_benard(1, 5), 10)
        0.1296296296
    """
    n = whole("count", count, 1)
    return (whole("order", order, 1, n) - 0.3) / (n + 0.4)


def rank_exact(order: int, count: int) -> float:
    """The median rank of a failure, exact.

    Formula: median of the beta distribution with (order, count minus order plus 1).

    Args:
        order: place of the failure among all, 1 to count.
        count: how many lives there are, 1 or more.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for an order beyond the count.

    Source: definition of the median of an order statistic.

    Example:
        >>> round(rank_exact(1, 5), 10)
        0.1294494367
    """
    from scipy.special import betaincinv

    n = whole("count", count, 1)
    place = whole("order", order, 1, n)
    return float(betaincinv(place, n - place + 1, 0.5))


@dataclass(frozen=True, slots=True)
class WeibullFit:
    """Shape and scale with their standard errors and intervals.

    Attributes:
        shape: beta.
        scale_kg: eta.
        failures: how many failures went in.
        suspensions: how many suspensions went in.
        log_likelihood: of the fit; none for a probability plot.
        shape_error: standard error of the shape by observed information; none where there is none.
        scale_error_kg: standard error of the scale.
        correlation: between the two estimates.
        shape_low: lower end of the shape at the confidence asked for.
        shape_high: upper end.
        scale_low_kg: lower end of the scale.
        scale_high_kg: upper end.
        interval: which kind of interval it is; two programs that print different ends may both be
            right.
    """

    shape: float
    scale_kg: float
    failures: int
    suspensions: int
    log_likelihood: float | None = None
    shape_error: float | None = None
    scale_error_kg: float | None = None
    correlation: float | None = None
    shape_low: float | None = None
    shape_high: float | None = None
    scale_low_kg: float | None = None
    scale_high_kg: float | None = None
    interval: str = "log scale"

    @property
    def aic(self) -> float | None:
        """Akaike's figure: 4 minus twice the log likelihood."""
        return None if self.log_likelihood is None else 4 - 2 * self.log_likelihood


def normal_quantile(confidence: float) -> float:
    """The two-sided quantile of the normal distribution.

    Example:
        >>> round(normal_quantile(0.95), 6)
        1.959964
    """
    from statistics import NormalDist

    return NormalDist().inv_cdf((1 + share("confidence", confidence)) / 2)


def weibull_fit(
    failures_kg: Sequence[float],
    suspensions_kg: Sequence[float] = (),
    confidence: float = 0.95,
    interval: str = "log scale",
) -> WeibullFit:
    """The Weibull distribution that makes the lives most likely, suspensions included.

    Formula: the shape solves (sum of u^shape ln u over sum of u^shape) minus 1 over shape minus the
    mean logarithm of the failures = 0, u being all lives; the scale is the mean of u^shape over the
    number of failures, to the power of 1 over shape. Standard errors from the observed information.

    Args:
        failures_kg: lives that ended in failure, sequence of n, at least 1, above 0.
        suspensions_kg: lives that ended before failure, sequence of m, above 0.
        confidence: of the intervals, above 0 and below 1.
        interval: ``log scale`` (ends are the estimate times and over a factor, never negative) or
            ``symmetric``.

    Returns:
        The fit. With failures of one single life there are estimates but no intervals.

    Raises:
        InputError: MTH-031 without a failure, MTH-032 when no life was longer than the failures.

    Source: NIST/SEMATECH e-Handbook 8.4.1.2 (from memory).

    Example:
        >>> times = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386]
        >>> found = weibull_fit(times, [500] * 10)
        >>> round(found.shape, 9), round(found.scale_kg, 7)
        (1.720797261, 606.527558)
    """
    failures = sequence("failures_kg", failures_kg, 1, 0, above=True)
    suspensions = sequence("suspensions_kg", suspensions_kg, 0, 0, above=True)
    quantile = normal_quantile(confidence)
    one_of("interval", interval, INTERVALS)
    count, longest = len(failures), max(*failures, *suspensions, 0.0)
    if min(failures) == longest:
        raise InputError(
            no_result, why="all failures stand at the longest life: any large shape fits"
        )
    logs = [math.log(life / longest) for life in (*failures, *suspensions)]
    mean_log = math.fsum(logs[:count]) / count

    def score(shape: float) -> float:
        powers = [math.exp(shape * log) for log in logs]
        weighted = math.fsum(power * log for power, log in zip(powers, logs, strict=True))
        return weighted / math.fsum(powers) - 1 / shape - mean_log

    shape = rising_root(score, 1.0, "the lives fit no Weibull distribution")
    total = math.fsum(math.exp(shape * log) for log in logs)
    scale = longest * math.pow(total / count, 1 / shape)
    likelihood = (
        count * (math.log(shape) - shape * math.log(scale))
        + (shape - 1) * math.fsum(math.log(life) for life in failures)
        - count
    )
    bare = WeibullFit(shape, scale, count, len(suspensions), likelihood)
    if len(set(failures)) == 1:
        return bare
    return _with_intervals(bare, logs, longest, quantile, interval)


def _with_intervals(
    found: WeibullFit, logs: list[float], longest: float, quantile: float, interval: str
) -> WeibullFit:
    """Standard errors from the curvature of the likelihood at its top, and the intervals."""
    shape, scale, count = found.shape, found.scale_kg, found.failures
    shift = math.log(longest / scale)
    pairs = [(math.exp(shape * (log + shift)), log + shift) for log in logs]
    shape_shape = count / shape**2 + math.fsum(z * log * log for z, log in pairs)
    scale_scale = count * (shape / scale) ** 2
    shape_scale = -shape / scale * math.fsum(z * log for z, log in pairs)
    determinant = shape_shape * scale_scale - shape_scale**2
    shape_error = math.sqrt(scale_scale / determinant)
    scale_error = math.sqrt(shape_shape / determinant)
    if interval == "log scale":
        shape_factor = math.exp(quantile * shape_error / shape)
        scale_factor = math.exp(quantile * scale_error / scale)
        ends = (
            shape / shape_factor,
            shape * shape_factor,
            scale / scale_factor,
            scale * scale_factor,
        )
    else:
        ends = (
            shape - quantile * shape_error,
            shape + quantile * shape_error,
            scale - quantile * scale_error,
            scale + quantile * scale_error,
        )
    return WeibullFit(
        shape, scale, count, found.suspensions, found.log_likelihood, shape_error, scale_error,
        -shape_scale / math.sqrt(shape_shape * scale_scale), *ends,
        interval,
    )  # fmt: skip


def weibull_plot_fit(
    failures_kg: Sequence[float], count: int, regress: str = "Y on X"
) -> WeibullFit:
    """The Weibull distribution by a line through the probability plot (Benard's ranks).

    Formula: line of ln(-ln(1 - rank)) over ln life. ``Y on X`` takes its slope as the shape;
    ``X on Y`` takes 1 over the slope of ln life over the other. They differ; so does maximum
    likelihood: 18 % in the shape is normal with ten failures.

    Args:
        failures_kg: lives of the first failures of a test, sequence of n, at least 2, above 0.
        count: how many units were on test, all others still sound after the last failure.
        regress: ``Y on X`` or ``X on Y``.

    Returns:
        Shape and scale, without intervals.

    Raises:
        InputError: MTH-030 for more failures than units, MTH-032 when all lives are equal.

    Source: NIST/SEMATECH e-Handbook, probability plotting (section number from memory, 8.2.2.1).

    Example:
        >>> times = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386]
        >>> round(weibull_plot_fit(times, 20).shape, 6)
        1.457519
    """
    lives = sorted(sequence("failures_kg", failures_kg, 2, 0, above=True))
    n = whole("count", count, len(lives))
    one_of("regress", regress, REGRESSIONS)
    if lives[0] == lives[-1]:
        raise InputError(no_result, why="all lives are equal, so there is no line")
    xs = [math.log(life) for life in lives]
    ys = [math.log(-math.log1p(-rank_benard(place, n))) for place in range(1, len(lives) + 1)]
    mean_x, mean_y = math.fsum(xs) / len(xs), math.fsum(ys) / len(ys)
    sxy = math.fsum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True))
    if regress == "Y on X":
        shape = sxy / math.fsum((x - mean_x) ** 2 for x in xs)
    else:
        shape = math.fsum((y - mean_y) ** 2 for y in ys) / sxy
    return WeibullFit(shape, math.exp(mean_x - mean_y / shape), len(lives), n - len(lives))


@dataclass(frozen=True, slots=True)
class SurvivalStep:
    """The share still sound after a life at which something failed.

    Attributes:
        life: the life.
        at_risk: how many were under observation just before.
        failed: how many failed then.
        reliability: share still sound.
        error: its standard error by Greenwood.
    """

    life: float
    at_risk: int
    failed: int
    reliability: float
    error: float


@dataclass(frozen=True, slots=True)
class Survival:
    """The steps of a Kaplan-Meier estimate, in order of life."""

    steps: tuple[SurvivalStep, ...]

    def at(self, life: float) -> float:
        """The share still sound at a life; 1 before the first failure."""
        reliability = 1.0
        for step in self.steps:
            if step.life > life:
                break
            reliability = step.reliability
        return reliability

    @property
    def median(self) -> float | None:
        """The first life at which fewer than half are sound; none when that never happens.

        A curve that stops at exactly one half has no median by this rule. (A rule with "half or
        fewer" would name its last step; say which rule is used.)
        """
        for step in self.steps:
            if step.reliability < 0.5 - 1e-12:
                return step.life
        return None


def kaplan_meier(failures: Iterable[float], suspensions: Iterable[float] = ()) -> Survival:
    """The share still sound by life, without any distribution.

    Formula: at each life with failures the share is multiplied by (at risk minus failed) over at
    risk. A suspension only lowers the number at risk afterwards; at a tie the failure comes first.

    Args:
        failures: lives that ended in failure, any number, above 0.
        suspensions: lives that ended before failure, any number, above 0.

    Returns:
        The steps; none without a failure.

    Raises:
        InputError: MTH-030 for a life that is not above 0.

    Source: NIST/SEMATECH e-Handbook 8.2.1.5; standard error by Greenwood.

    Example:
        >>> [round(step.reliability, 4) for step in kaplan_meier([3, 5], [4]).steps]
        [0.6667, 0.0]
    """
    ended = sequence("failures", failures, 0, 0, above=True)
    other = sequence("suspensions", suspensions, 0, 0, above=True)
    everything = sorted((*ended, *other))
    steps = []
    reliability, spread = 1.0, 0.0
    for life, failed in sorted(Counter(ended).items()):
        at_risk = len(everything) - bisect_left(everything, life)
        left = at_risk - failed
        reliability *= left / at_risk
        error = 0.0
        if left:
            spread += failed / (at_risk * left)
            error = reliability * math.sqrt(spread)
        steps.append(SurvivalStep(life, at_risk, failed, reliability, error))
    return Survival(tuple(steps))


def survival_at(
    life_kg: float, failures_kg: Sequence[float], suspensions_kg: Sequence[float] = ()
) -> float:
    """The share still sound at a life, by Kaplan-Meier.

    Formula: product over the failures up to that life of (at risk minus failed) over at risk.

    Args:
        life_kg: the life asked for, kg, 0 or more.
        failures_kg: lives that ended in failure, sequence of n, above 0.
        suspensions_kg: lives that ended before failure, sequence of m, above 0.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.2.1.5.

    Example:
        >>> round(survival_at(4.5, [3, 5], [4]), 6)
        0.666667
    """
    life = not_negative("life_kg", life_kg)
    failures = sequence("failures_kg", failures_kg, 1, 0, above=True)
    suspensions = sequence("suspensions_kg", suspensions_kg, 0, 0, above=True)
    return kaplan_meier(failures, suspensions).at(life)
