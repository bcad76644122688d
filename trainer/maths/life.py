"""Lives after Weibull: reliability, hazard, means, B-lives, and what is left at an age.

Two parameters: the shape (below 1 early failures, 1 chance, above 1 wear-out) and the scale, the
life by which 63.2 % have failed. Lives are in kilograms ground on one burr set; the same functions
hold for any measure of use, if it is the same throughout.

Valid for one kind of failure with one written definition, lives counted from fitting, and units
taken out before failure entered as suspensions (``life_fit``), never dropped.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 8.1.6.2; MIL-HDBK-338B, 5.3.6.
"""

from __future__ import annotations

import math

from trainer.errors import InputError
from trainer.maths.ranges import no_result, not_negative, number, out_of_range, positive, share


def _z(life_kg: float, shape: float, scale_kg: float) -> float:
    """The cumulative hazard: (life over scale) to the power of the shape."""
    ratio = not_negative("life_kg", life_kg) / positive("scale_kg", scale_kg)
    power = positive("shape", shape)
    try:
        return math.pow(ratio, power)
    except OverflowError:
        return math.inf


def weibull_reliability(life_kg: float, shape: float, scale_kg: float) -> float:
    """The share that is still sound at a life.

    Formula: e to the power of minus (life over scale) to the shape.

    Args:
        life_kg: kilograms ground, 0 or more.
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2.

    Example:
        >>> round(weibull_reliability(500, 3, 900), 10)
        0.842427424
    """
    return math.exp(-_z(life_kg, shape, scale_kg))


def weibull_failed(life_kg: float, shape: float, scale_kg: float) -> float:
    """The share that has failed by a life.

    Formula: 1 minus the reliability.

    Args:
        life_kg: kilograms ground, 0 or more.
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2.

    Example:
        >>> round(weibull_failed(1000, 1.5, 5000), 11)
        0.08555935639
    """
    return -math.expm1(-_z(life_kg, shape, scale_kg))


def weibull_hazard_per_kg(life_kg: float, shape: float, scale_kg: float) -> float:
    """The failure rate among those still sound.

    Formula: (shape over scale) times (life over scale) to the power of shape minus 1.

    Args:
        life_kg: kilograms ground, above 0 when the shape is below 1.
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        Failures per kilogram.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2.

    Example:
        >>> print(f"{weibull_hazard_per_kg(1000, 1.5, 5000):.9e}")
        1.341640786e-04
    """
    power, scale = positive("shape", shape), positive("scale_kg", scale_kg)
    life = not_negative("life_kg", life_kg)
    if life == 0 and power < 1:
        raise InputError(
            out_of_range, argument="life_kg", value="0", allowed="above 0 when the shape is below 1"
        )
    return power / scale * math.pow(life / scale, power - 1)


def weibull_density_per_kg(life_kg: float, shape: float, scale_kg: float) -> float:
    """The share of all that fails per kilogram at a life.

    Formula: hazard times reliability.

    Args:
        life_kg: kilograms ground, above 0 when the shape is below 1.
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        Share per kilogram.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2.

    Example:
        >>> print(f"{weibull_density_per_kg(1000, 1.5, 5000):.9e}")
        1.226850864e-04
    """
    hazard = weibull_hazard_per_kg(life_kg, shape, scale_kg)
    return hazard * weibull_reliability(life_kg, shape, scale_kg)


def mean_hazard_per_kg(first_kg: float, second_kg: float, shape: float, scale_kg: float) -> float:
    """The average failure rate between two lives.

    Formula: difference of (life over scale) to the shape, over the kilograms between.

    Args:
        first_kg: earlier life, kg, 0 or more.
        second_kg: later life, kg, more than ``first_kg``.
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        Failures per kilogram.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.2.3 (from memory).

    Example:
        >>> round(mean_hazard_per_kg(0, 1000, 3, 1000), 9)
        0.001
    """
    first = not_negative("first_kg", first_kg)
    second = number("second_kg", second_kg, first, above=True)
    power, scale = positive("shape", shape), positive("scale_kg", scale_kg)
    rise = math.pow(second / scale, power) - math.pow(first / scale, power)
    return rise / (second - first)


def weibull_mean_kg(shape: float, scale_kg: float) -> float:
    """The mean life.

    Formula: scale times the gamma function of 1 plus 1 over shape.

    Args:
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        Kilograms.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2.

    Example:
        >>> round(weibull_mean_kg(3, 900), 7)
        803.6815604
    """
    return positive("scale_kg", scale_kg) * _gamma(1 + 1 / positive("shape", shape))


def _gamma(x: float) -> float:
    try:
        return math.gamma(x)
    except OverflowError as error:
        raise InputError(
            no_result, why="the shape is so small that the mean is beyond all numbers"
        ) from error


def weibull_sd_kg(shape: float, scale_kg: float) -> float:
    """The standard deviation of the lives.

    Formula: scale times the root of (gamma of 1 plus 2 over shape, minus the square of gamma of 1
    plus 1 over shape).

    Args:
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        Kilograms.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2.

    Example:
        >>> round(weibull_sd_kg(1.5, 5000), 6)
        3064.678959
    """
    power, scale = positive("shape", shape), positive("scale_kg", scale_kg)
    square = _gamma(1 + 2 / power) - _gamma(1 + 1 / power) ** 2
    return scale * math.sqrt(max(0.0, square))


def weibull_life_kg(failed_percent: float, shape: float, scale_kg: float) -> float:
    """The life by which so many percent have failed: 10 gives the B10 life, 50 the median.

    Formula: scale times (minus the logarithm of the share still sound) to the power of 1 over
    shape.

    Args:
        failed_percent: percent failed, above 0 and below 100.
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        Kilograms.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2.

    Example:
        >>> round(weibull_life_kg(10, 3, 900), 7)
        425.0778467
    """
    failed = number("failed_percent", failed_percent, 0, 100, above=True, below=True) / 100
    power, scale = positive("shape", shape), positive("scale_kg", scale_kg)
    return scale * math.pow(-math.log1p(-failed), 1 / power)


def reliability_after(age_kg: float, further_kg: float, shape: float, scale_kg: float) -> float:
    """The chance that a sound burr of an age lasts so much further.

    Formula: reliability at the later life over reliability at the age.

    Args:
        age_kg: kilograms already ground, 0 or more.
        further_kg: kilograms more, 0 or more.
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2; definition of a conditional chance.

    Example:
        >>> round(reliability_after(500, 100, 3, 900), 10)
        0.8826482353
    """
    age = not_negative("age_kg", age_kg)
    further = not_negative("further_kg", further_kg)
    return math.exp(_z(age, shape, scale_kg) - _z(age + further, shape, scale_kg))


def further_life_kg(age_kg: float, risk: float, shape: float, scale_kg: float) -> float:
    """How much further a sound burr of an age may go until the chance of failing reaches a risk.

    Formula: scale times [(age over scale) to the shape minus the logarithm of (1 minus risk)] to
    the power of 1 over shape, minus the age.

    Args:
        age_kg: kilograms already ground, 0 or more.
        risk: accepted chance of failing on the way, above 0 and below 1.
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        Kilograms further.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2; definition of a conditional chance.

    Example:
        >>> round(further_life_kg(500, 0.1, 3, 900), 7)
        86.5602937
    """
    age = not_negative("age_kg", age_kg)
    z = _z(age, shape, scale_kg) - math.log1p(-share("risk", risk))
    return scale_kg * math.pow(z, 1 / shape) - age


def mean_further_life_kg(age_kg: float, shape: float, scale_kg: float) -> float:
    """The mean life left to a sound burr of an age.

    Formula: the area under the reliability from the age on, over the reliability at the age; with
    a = 1 over shape and z = (age over scale) to the shape it is scale times a times e^z times the
    upper incomplete gamma function of (a, z).

    Args:
        age_kg: kilograms already ground, 0 or more.
        shape: above 0.
        scale_kg: kilograms by which 63.2 % have failed, above 0.

    Returns:
        Kilograms.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 for an age beyond all numbers.

    Source: NIST/SEMATECH e-Handbook 8.1.6.2; definition of a mean.

    Example:
        >>> round(mean_further_life_kg(500, 3, 900), 7)
        384.7282777
    """
    z = _z(not_negative("age_kg", age_kg), shape, scale_kg)
    a = 1 / shape
    if math.isinf(z):
        raise InputError(no_result, why="the age is so large that no reliability is left")
    if z > a + 1:
        return scale_kg * a * _scaled_upper_gamma(a, z)
    from scipy.special import gammaincc

    return scale_kg * a * _gamma(a) * float(gammaincc(a, z)) * math.exp(z)


def _scaled_upper_gamma(a: float, z: float) -> float:
    """e^z times the upper incomplete gamma function, by its continued fraction for z above a + 1.

    The product stays finite where the function itself is too small to hold.
    Source: NIST Digital Library of Mathematical Functions, 8.9.2 (from memory).
    """
    tiny = 1e-300
    b = z + 1 - a
    c, d = 1 / tiny, 1 / b
    fraction, change, step = d, 0.0, 0
    while abs(change - 1) > 1e-15:
        step += 1
        numerator = -step * (step - a)
        b += 2
        d = 1 / (numerator * d + b or tiny)
        c = numerator / c + b or tiny
        change = c * d
        fraction *= change
    return math.pow(z, a) * fraction
