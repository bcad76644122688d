"""Wear per kilogram from measurements, and the kilograms left until a limit, with uncertainty.

Depth grows in a straight line with throughput once a burr has run in: a consequence of Archard's
law when force and sliding way per kilogram stay the same. Coated burrs wear in two stages; a line
through the slow first stage promises too much (``two_stage_left_kg``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.errors import InputError
from trainer.maths.ranges import no_result, not_negative, number, out_of_range, positive

COVERAGE = 2.0  # about 95 % of a normal distribution; JCGM 100:2008, 6.3.3 (from memory)


def depth_after_um(start_um: float, rate_um_per_kg: float, throughput_kg: float) -> float:
    """The depth of wear after a throughput.

    Formula: depth at the start (run-in) plus wear per kilogram times kilograms.

    Args:
        start_um: depth that run-in left, um, 0 or more.
        rate_um_per_kg: wear per kilogram, um/kg, 0 or more.
        throughput_kg: kilograms ground since, 0 or more.

    Returns:
        Depth, um.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Archard 1953 (from memory), with steady force and way per kilogram.

    Example:
        >>> depth_after_um(10, 0.05, 400)
        30.0
    """
    return not_negative("start_um", start_um) + (
        not_negative("rate_um_per_kg", rate_um_per_kg)
        * not_negative("throughput_kg", throughput_kg)
    )


def left_at_rate_kg(limit_um: float, depth_um: float, rate_um_per_kg: float) -> float:
    """Kilograms left until a depth limit at a known wear per kilogram; negative past the limit.

    Formula: (limit minus depth) over wear per kilogram.

    Args:
        limit_um: depth limit, um, above 0.
        depth_um: depth now, um, 0 or more.
        rate_um_per_kg: wear per kilogram, um/kg, above 0.

    Returns:
        Kilograms left.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Archard 1953 (from memory), with steady force and way per kilogram.

    Example:
        >>> left_at_rate_kg(60, 35, 0.0625)
        400.0
    """
    remaining = positive("limit_um", limit_um) - not_negative("depth_um", depth_um)
    return remaining / positive("rate_um_per_kg", rate_um_per_kg)


def _span(first_kg: float, second_kg: float) -> float:
    first = not_negative("first_kg", first_kg)
    second = not_negative("second_kg", second_kg)
    if second <= first:
        raise InputError(
            out_of_range,
            argument="second_kg",
            value=f"{second:g}",
            allowed=f"above first_kg ({first:g}): one reading cannot give a rate",
        )
    return second - first


def wear_rate_um_per_kg(
    first_um: float, first_kg: float, second_um: float, second_kg: float
) -> float:
    """Wear per kilogram from two measurements of depth.

    Formula: difference of the depths over difference of the kilograms.

    Args:
        first_um: depth at the first measurement, um, 0 or more.
        first_kg: kilograms ground by then, 0 or more.
        second_um: depth at the second measurement, um, 0 or more.
        second_kg: kilograms ground by then, more than ``first_kg``.

    Returns:
        Wear per kilogram, um/kg.

    Raises:
        InputError: MTH-030 when the second is not later than the first.

    Source: definition of a slope.

    Example:
        >>> round(wear_rate_um_per_kg(12, 150, 31, 410), 11)
        0.07307692308
    """
    rise = not_negative("second_um", second_um) - not_negative("first_um", first_um)
    return rise / _span(first_kg, second_kg)


def wear_rate_uncertainty_um_per_kg(
    first_kg: float,
    second_kg: float,
    first_uncertainty_um: float,
    second_uncertainty_um: float,
) -> float:
    """The standard uncertainty of the wear per kilogram from two measurements.

    Formula: root of the sum of the squared uncertainties of the depths, over the difference of the
    kilograms, which are taken as exact.

    Args:
        first_kg: kilograms at the first measurement, 0 or more.
        second_kg: kilograms at the second, more than ``first_kg``.
        first_uncertainty_um: standard uncertainty of the first depth, um, 0 or more.
        second_uncertainty_um: standard uncertainty of the second depth, um, 0 or more.

    Returns:
        Standard uncertainty, um/kg.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: JCGM 100:2008 (GUM), 5.1.2 (from memory).

    Example:
        >>> round(wear_rate_uncertainty_um_per_kg(150, 410, 2, 2), 10)
        0.0108785659
    """
    both = math.hypot(
        not_negative("first_uncertainty_um", first_uncertainty_um),
        not_negative("second_uncertainty_um", second_uncertainty_um),
    )
    return both / _span(first_kg, second_kg)


@dataclass(frozen=True, slots=True)
class WearForecast:
    """Wear per kilogram and kilograms left, each with its standard uncertainty.

    Attributes:
        rate_um_per_kg: wear per kilogram.
        rate_uncertainty_um_per_kg: its standard uncertainty.
        left_kg: kilograms left at the second measurement.
        left_uncertainty_kg: its standard uncertainty.
        reached_at_kg: throughput at which the limit is reached.
        per_first_kg_per_um: change of the kilograms left per um of the first depth.
        per_second_kg_per_um: change of the kilograms left per um of the second depth.
        is_resolved: whether the two depths differ by more than twice the uncertainty of their
            difference; if not, the figures are not worth planning on.
    """

    rate_um_per_kg: float
    rate_uncertainty_um_per_kg: float
    left_kg: float
    left_uncertainty_kg: float
    reached_at_kg: float
    per_first_kg_per_um: float
    per_second_kg_per_um: float
    is_resolved: bool


def wear_forecast(
    first_um: float,
    first_kg: float,
    second_um: float,
    second_kg: float,
    limit_um: float,
    *,
    first_uncertainty_um: float = 0.0,
    second_uncertainty_um: float = 0.0,
) -> WearForecast:
    """When a depth limit is reached, from two measurements, and how sure that is.

    Formula: kilograms left are (limit minus second depth) times the kilograms between over the
    depth between; the uncertainty is the root of the sum of (sensitivity times uncertainty)
    squared for both depths.

    Args:
        first_um: depth at the first measurement, um, 0 or more.
        first_kg: kilograms ground by then, 0 or more.
        second_um: depth at the second measurement, um, more than ``first_um``.
        second_kg: kilograms ground by then, more than ``first_kg``.
        limit_um: depth limit, um, above 0.
        first_uncertainty_um: standard uncertainty of the first depth, um, 0 or more.
        second_uncertainty_um: standard uncertainty of the second depth, um, 0 or more.

    Returns:
        The forecast.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 when no wear was measured.

    Source: JCGM 100:2008 (GUM), 5.1.2 (from memory).

    Example:
        >>> round(wear_forecast(12, 150, 31, 410, 60).left_kg, 7)
        396.8421053
    """
    rate = wear_rate_um_per_kg(first_um, first_kg, second_um, second_kg)
    rate_uncertainty = wear_rate_uncertainty_um_per_kg(
        first_kg, second_kg, first_uncertainty_um, second_uncertainty_um
    )
    limit = positive("limit_um", limit_um)
    if rate <= 0:
        raise InputError(
            no_result, why="the second depth is not larger than the first: no wear was measured"
        )
    span, rise = second_kg - first_kg, second_um - first_um
    room = limit - second_um
    per_first = room * span / rise**2
    per_second = -span / rise - room * span / rise**2
    return WearForecast(
        rate_um_per_kg=rate,
        rate_uncertainty_um_per_kg=rate_uncertainty,
        left_kg=room / rate,
        left_uncertainty_kg=math.hypot(
            per_first * first_uncertainty_um, per_second * second_uncertainty_um
        ),
        reached_at_kg=second_kg + room / rate,
        per_first_kg_per_um=per_first,
        per_second_kg_per_um=per_second,
        is_resolved=rise > COVERAGE * math.hypot(first_uncertainty_um, second_uncertainty_um),
    )


def kilograms_left_kg(
    first_um: float, first_kg: float, second_um: float, second_kg: float, limit_um: float
) -> float:
    """Kilograms left until a depth limit, from two measurements.

    Formula: (limit minus second depth) over the wear per kilogram between the two.

    Args:
        first_um: depth at the first measurement, um, 0 or more.
        first_kg: kilograms ground by then, 0 or more.
        second_um: depth at the second measurement, um, more than ``first_um``.
        second_kg: kilograms ground by then, more than ``first_kg``.
        limit_um: depth limit, um, above 0.

    Returns:
        Kilograms left; negative past the limit.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 when no wear was measured.

    Source: definition of a slope.

    Example:
        >>> round(kilograms_left_kg(12, 150, 31, 410, 60), 7)
        396.8421053
    """
    return wear_forecast(first_um, first_kg, second_um, second_kg, limit_um).left_kg


def two_stage_left_kg(
    limit_um: float,
    depth_um: float,
    coating_um: float,
    coating_rate_um_per_kg: float,
    core_rate_um_per_kg: float,
) -> float:
    """Kilograms left on a coated burr: slow through the coating, faster through the core.

    Formula: coating still there over the coating's rate, plus the core down to the limit over the
    core's rate.

    Args:
        limit_um: depth limit, um, above 0.
        depth_um: depth now, um, 0 or more.
        coating_um: thickness of the hard coating, um, 0 or more.
        coating_rate_um_per_kg: wear per kilogram in the coating, um/kg, above 0.
        core_rate_um_per_kg: wear per kilogram in the core, um/kg, above 0.

    Returns:
        Kilograms left; negative past the limit.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: common practice, no source (hard shell over a softer core).

    Example:
        >>> two_stage_left_kg(60, 2, 10, 0.02, 0.1)
        900.0
    """
    limit, depth = positive("limit_um", limit_um), not_negative("depth_um", depth_um)
    coating = not_negative("coating_um", coating_um)
    slow = positive("coating_rate_um_per_kg", coating_rate_um_per_kg)
    fast = positive("core_rate_um_per_kg", core_rate_um_per_kg)

    def ground_kg(to_um: float) -> float:
        return min(to_um, coating) / slow + max(0.0, to_um - coating) / fast

    return ground_kg(number("limit_um", limit)) - ground_kg(depth)
