"""Age replacement: change at a planned age or at failure, whichever comes first, at least cost.

Valid when a change makes as good as new and takes no time, costs stay the same, the horizon is
long and a failure is noticed at once. The curve is flat about its lowest point: ten percent more
or less costs little, so round the age to the next visit. The cost of a failure must hold the lost
trade; earlier planned changes must have gone into the fit as suspensions.

Source: R. E. Barlow and F. Proschan, Mathematical Theory of Reliability (1965), chapter 4 (chapter
from memory); the same form in E. Gutierrez-Miravete, Age replacement with Weibull (course notes).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.errors import InputError
from trainer.maths.life import (
    weibull_failed,
    weibull_hazard_per_kg,
    weibull_mean_kg,
    weibull_reliability,
)
from trainer.maths.ranges import no_result, number, positive
from trainer.maths.roots import rising_root


@dataclass(frozen=True, slots=True)
class Replacement:
    """The age of least cost, or run to failure.

    Attributes:
        age_kg: planned age; none when running to failure is cheapest.
        cost_money_per_kg: cost a kilogram at that age.
        run_to_failure_money_per_kg: cost a kilogram without planned changes.
        reliability: chance to reach the planned age; none when running to failure.
        mean_cycle_kg: mean kilograms between changes.
    """

    age_kg: float | None
    cost_money_per_kg: float
    run_to_failure_money_per_kg: float
    reliability: float | None
    mean_cycle_kg: float


def mean_cycle_kg(age_kg: float, shape: float, scale_kg: float) -> float:
    """The mean kilograms between changes when burrs are changed at an age or at failure.

    Formula: area under the reliability up to the age: (scale over shape) times the gamma function
    of 1 over shape times the regularised lower incomplete gamma function.

    Args:
        age_kg: planned age, kg, above 0.
        shape: Weibull shape, above 0.
        scale_kg: Weibull scale, kg, above 0.

    Returns:
        Kilograms.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Barlow and Proschan 1965, chapter 4 (from memory).

    Example:
        >>> round(mean_cycle_kg(452.3486239, 3, 900), 6)
        438.496048
    """
    from scipy.special import gammainc

    age, mean = positive("age_kg", age_kg), weibull_mean_kg(shape, scale_kg)
    return mean * float(gammainc(1 / shape, math.pow(age / scale_kg, shape)))


def replacement_cost_money_per_kg(
    age_kg: float, planned_money: float, failure_money: float, shape: float, scale_kg: float
) -> float:
    """The cost a kilogram of changing at an age or at failure, whichever comes first.

    Formula: (planned cost times reliability plus failure cost times share failed) over the mean
    kilograms between changes.

    Args:
        age_kg: planned age, kg, above 0.
        planned_money: cost of a planned change, above 0.
        failure_money: cost of a change at failure with the lost trade, above 0.
        shape: Weibull shape, above 0.
        scale_kg: Weibull scale, kg, above 0.

    Returns:
        Money per kilogram.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Barlow and Proschan 1965, chapter 4 (from memory).

    Example:
        >>> round(replacement_cost_money_per_kg(493.0469576, 1, 5, 2.5, 1000), 12)
        0.003462042739
    """
    cycle = mean_cycle_kg(age_kg, shape, scale_kg)
    planned = positive("planned_money", planned_money)
    failure = positive("failure_money", failure_money)
    sound = weibull_reliability(age_kg, shape, scale_kg)
    return (planned * sound + failure * weibull_failed(age_kg, shape, scale_kg)) / cycle


def best_replacement(
    planned_money: float, failure_money: float, shape: float, scale_kg: float
) -> Replacement:
    """The planned age of least cost a kilogram.

    Formula: the age at which hazard times the area under the reliability minus the share failed
    equals planned cost over (failure cost minus planned cost). With a shape of 1 or less the
    hazard does not rise and running to failure is cheapest. Age over scale depends only on the
    shape and the ratio of the costs.

    Args:
        planned_money: cost of a planned change, above 0.
        failure_money: cost of a change at failure, above ``planned_money``.
        shape: Weibull shape, above 0.
        scale_kg: Weibull scale, kg, above 0.

    Returns:
        The age and what it costs; no age when running to failure is cheapest.

    Raises:
        InputError: MTH-030 for a failure that costs no more than a planned change.

    Source: Barlow and Proschan 1965, chapter 4 (from memory).

    Example:
        >>> round(best_replacement(1, 5, 2.5, 1000).age_kg, 6)
        493.046958
    """
    planned = positive("planned_money", planned_money)
    failure = number("failure_money", failure_money, planned, above=True)
    mean = weibull_mean_kg(shape, scale_kg)
    to_failure = failure / mean
    if shape <= 1:
        return Replacement(None, to_failure, to_failure, None, mean)
    ratio = planned / (failure - planned)

    def excess(age: float) -> float:
        hazard = weibull_hazard_per_kg(age, shape, scale_kg)
        cycle = mean_cycle_kg(age, shape, scale_kg)
        return hazard * cycle - weibull_failed(age, shape, scale_kg) - ratio

    try:
        age = rising_root(excess, scale_kg, "the hazard rises too slowly to plan a change")
    except InputError:
        return Replacement(None, to_failure, to_failure, None, mean)
    return Replacement(
        age_kg=age,
        cost_money_per_kg=(failure - planned) * weibull_hazard_per_kg(age, shape, scale_kg),
        run_to_failure_money_per_kg=to_failure,
        reliability=weibull_reliability(age, shape, scale_kg),
        mean_cycle_kg=mean_cycle_kg(age, shape, scale_kg),
    )


def replacement_age_kg(
    planned_money: float, failure_money: float, shape: float, scale_kg: float
) -> float:
    """The planned age of least cost a kilogram, as a number for a formula.

    Formula: as ``best_replacement``.

    Args:
        planned_money: cost of a planned change, above 0.
        failure_money: cost of a change at failure, above ``planned_money``.
        shape: Weibull shape, above 1 for there to be an age.
        scale_kg: Weibull scale, kg, above 0.

    Returns:
        Kilograms.

    Raises:
        InputError: MTH-032 when running to failure is cheapest.

    Source: Barlow and Proschan 1965, chapter 4 (from memory).

    Example:
        >>> round(replacement_age_kg(120, 420, 3, 900), 6)
        530.723159
    """
    age = best_replacement(planned_money, failure_money, shape, scale_kg).age_kg
    if age is None:
        raise InputError(no_result, why="running to failure is cheapest: the hazard does not rise")
    return age


def repair_replacement_kg(
    planned_money: float, repair_money: float, shape: float, scale_kg: float
) -> float:
    """The age of least cost when a failure is only repaired to as good as it was before.

    Formula: scale times [planned cost over (repair cost times (shape minus 1))] to the power of 1
    over shape. A different model of cost from ``best_replacement``: compare with care.

    Args:
        planned_money: cost of a planned change, above 0.
        repair_money: cost of one repair, above 0.
        shape: Weibull shape, above 1.
        scale_kg: Weibull scale, kg, above 0.

    Returns:
        Kilograms.

    Raises:
        InputError: MTH-030 for a shape that is not above 1.

    Source: minimal-repair model of the textbooks (from memory).

    Example:
        >>> round(repair_replacement_kg(1, 5, 2.5, 1000), 7)
        446.6583884
    """
    power = number("shape", shape, 1, above=True)
    ratio = positive("planned_money", planned_money) / positive("repair_money", repair_money)
    return positive("scale_kg", scale_kg) * math.pow(ratio / (power - 1), 1 / power)


def repair_cost_money_per_kg(
    age_kg: float, planned_money: float, repair_money: float, shape: float, scale_kg: float
) -> float:
    """The cost a kilogram of changing at an age and repairing each failure before it.

    Formula: (planned cost plus repair cost times (age over scale) to the shape) over the age.

    Args:
        age_kg: planned age, kg, above 0.
        planned_money: cost of a planned change, above 0.
        repair_money: cost of one repair, above 0.
        shape: Weibull shape, above 0.
        scale_kg: Weibull scale, kg, above 0.

    Returns:
        Money per kilogram.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: minimal-repair model of the textbooks (from memory).

    Example:
        >>> round(repair_cost_money_per_kg(446.6583884, 1, 5, 2.5, 1000), 12)
        0.003731412439
    """
    age = positive("age_kg", age_kg)
    ratio = age / positive("scale_kg", scale_kg)
    repairs = math.pow(ratio, positive("shape", shape))
    planned = positive("planned_money", planned_money)
    return (planned + positive("repair_money", repair_money) * repairs) / age
