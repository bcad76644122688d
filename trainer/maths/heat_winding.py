"""Winding temperature by resistance, insulation classes, resistance at the moment of switch-off.

The material constant is always given: 234.5 or 235 for copper, 225 or 228 for aluminium, depending
on the document. Measuring needs the machine isolated and the capacitor discharged and measured.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from trainer.errors import InputError
from trainer.maths.ranges import (
    no_result,
    number,
    one_of,
    out_of_range,
    positive,
    same_length,
    sequence,
)

ABSOLUTE_ZERO_DEGC = -273.15
# What each document names for a winding, K. The documents differ: state which one is followed.
MATERIAL_CONSTANTS_K: dict[str, float] = {
    # NEMA MG 1, IEEE 112, IEC 60335-1 cl. 11.3 (document names from memory; value on a trade page)
    "copper": 234.5,
    # IEC 60034-1 cl. 8.6.2 (clause from memory; value in the appendix of a resistance meter's book)
    "copper by IEC 60034-1": 235.0,
    "aluminium": 225.0,  # as the first
    "aluminium by another page": 228.0,  # an engineering portal; it contradicts the one above
}
CLASSES = ("A", "E", "B", "F", "H")
# Source: IEC 60085, letters and numbers as a motor manual prints them.
CLASS_DEGC = dict(zip(CLASSES, (105.0, 120.0, 130.0, 155.0, 180.0), strict=True))
SIZES = ("600 W and more", "below 600 W", "appliance")
# Source: IEC 60034-1 rise table (no. 7, later no. 8), AC windings, coolant up to 40 degC: B, F, H
# of larger machines as a motor manual prints them; A, E, the column below 600 W, and the numbers of
# the table from memory. Appliances: IEC 60335-1 cl. 11 table 3 (from memory).
RISE_LIMITS_K = {
    "600 W and more": dict(zip(CLASSES, (60.0, 75.0, 80.0, 105.0, 125.0), strict=True)),
    "below 600 W": dict(zip(CLASSES, (65.0, 75.0, 85.0, 110.0, 130.0), strict=True)),
    "appliance": dict(zip(CLASSES, (75.0, 90.0, 95.0, 115.0, 140.0), strict=True)),
}
# From memory, but F: 40 + 105 + 10 = 155 as a trade page has it.
HOT_SPOT_ALLOWANCE_K = dict(zip(CLASSES, (5.0, 5.0, 10.0, 10.0, 15.0), strict=True))
FITS = ("logarithm", "straight")


def winding_degc(cold_ohm: float, hot_ohm: float, cold_degc: float, material_k: float) -> float:
    """The mean temperature of a winding from its resistance cold and hot.

    Formula: hot over cold resistance, times (constant plus cold temperature), minus constant.

    Args:
        cold_ohm: resistance cold, ohm, above 0.
        hot_ohm: resistance hot, ohm, at least the cold one.
        cold_degc: temperature of the winding when cold, degC, above minus the constant.
        material_k: constant of the material, K: 234.5 or 235 copper, 225 or 228 aluminium.

    Returns:
        Degrees Celsius. It is a mean: the hot spot is 5 to 15 K above it (from memory).

    Raises:
        InputError: MTH-030 for a hot resistance below the cold one (colder, or measured wrongly) or
            a value out of range.

    Source: resistance method, IEC 60034-1 cl. 8.6.2 and IEC 60335-1 cl. 11.3 (clauses from memory).

    Example:
        >>> winding_degc(80, 100, 20, 234.5)
        83.625
    """
    cold = positive("cold_ohm", cold_ohm)
    hot = positive("hot_ohm", hot_ohm)
    if hot < cold:
        raise InputError(
            out_of_range, argument="hot_ohm", value=f"{hot:g}",
            allowed=f"at least the cold {cold:g}: it was colder, or it was measured wrongly",
        )  # fmt: skip
    constant = positive("material_k", material_k)
    return hot / cold * _above_constant("cold_degc", cold_degc, constant) - constant


def winding_rise_k(
    cold_ohm: float, hot_ohm: float, cold_degc: float, coolant_degc: float, material_k: float
) -> float:
    """The rise of a winding over the coolant at the end of the test.

    Formula: winding temperature minus coolant temperature. The coolant may have warmed since the
    cold reading: take it at the end.

    Args:
        cold_ohm: resistance cold, ohm, above 0.
        hot_ohm: resistance hot, ohm, at least the cold one.
        cold_degc: temperature of the winding when cold, degC.
        coolant_degc: temperature of the coolant at the end of the test, degC.
        material_k: constant of the material, K: 234.5 or 235 copper, 225 or 228 aluminium.

    Returns:
        Kelvin.

    Raises:
        InputError: MTH-030 for a hot resistance below the cold one or a value out of range.

    Source: resistance method, IEC 60034-1 cl. 8.6.2 and IEC 60335-1 cl. 11.3 (clauses from memory).

    Example:
        >>> round(winding_rise_k(3.40, 4.55, 25, 27, 234.5), 6)
        85.772059
    """
    coolant = _degc("coolant_degc", coolant_degc)
    return winding_degc(cold_ohm, hot_ohm, cold_degc, material_k) - coolant


def resistance_ratio(cold_degc: float, hot_degc: float, material_k: float) -> float:
    """Hot over cold resistance between two temperatures.

    Formula: (constant plus hot) over (constant plus cold).

    Args:
        cold_degc: cold, degC, above minus the constant.
        hot_degc: hot, degC, above minus the constant.
        material_k: constant of the material, K.

    Returns:
        A ratio.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: resistance method turned round.

    Example:
        >>> round(resistance_ratio(20, 100, 234.5), 6)
        1.314342
    """
    constant = positive("material_k", material_k)
    cold = _above_constant("cold_degc", cold_degc, constant)
    return _above_constant("hot_degc", hot_degc, constant) / cold


def coefficient_per_k(at_degc: float, material_k: float) -> float:
    """The temperature coefficient of resistance referred to a temperature.

    Formula: 1 over (constant plus that temperature). Referred to 0 degC it must not be used from
    20 degC.

    Args:
        at_degc: the temperature it is referred to, degC, above minus the constant.
        material_k: constant of the material, K.

    Returns:
        Per kelvin.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: 0.00393 per kelvin for copper from 20 degC on an engineering portal.

    Example:
        >>> round(coefficient_per_k(20, 234.5), 8)
        0.00392927
    """
    return 1 / _above_constant("at_degc", at_degc, positive("material_k", material_k))


def switch_off_ohm(
    time_s: Sequence[float], resistance_ohm: Sequence[float], fit: str = "logarithm"
) -> float:
    """The resistance at the moment of switch-off from readings taken after it.

    Formula: least-squares line of ln(resistance), or of resistance, over time, at time 0.

    Args:
        time_s: seconds after switch-off, sequence of n, 2 or more, 0 or more, not all equal.
        resistance_ohm: resistances, ohm, sequence of n, above 0.
        fit: ``logarithm`` or ``straight``.

    Returns:
        Ohms.

    Raises:
        InputError: MTH-031 for unequal lengths, MTH-032 when all readings are of one moment.

    Source: extrapolation as IEC 60034-1 asks for, first reading within 30 s up to 50 kW (from
        memory).

    Example:
        >>> round(switch_off_ohm([20, 40, 60], [8.06, 7.99, 7.93]), 6)
        8.124192
    """
    times = sequence("time_s", time_s, 2, 0)
    readings = sequence("resistance_ohm", resistance_ohm, 2, 0, above=True)
    same_length("time_s", times, "resistance_ohm", readings)
    by_logarithm = one_of("fit", fit, FITS) == "logarithm"
    values = [math.log(value) for value in readings] if by_logarithm else list(readings)
    middle = math.fsum(times) / len(times)
    spread = math.fsum((time - middle) ** 2 for time in times)
    if spread == 0:
        raise InputError(no_result, why="all readings of time_s are of one moment")
    level = math.fsum(values) / len(values)
    slope = (
        math.fsum((t - middle) * (v - level) for t, v in zip(times, values, strict=True)) / spread
    )
    at_zero = level - slope * middle
    return math.exp(at_zero) if by_logarithm else at_zero


def rise_limit_k(thermal_class: str, size: str) -> float:
    """The rise by resistance that a class of insulation allows.

    Formula: looked up.

    Args:
        thermal_class: A, E, B, F or H.
        size: ``600 W and more``, ``below 600 W`` (both coolant up to 40 degC) or ``appliance``.

    Returns:
        Kelvin. Read the plate; follow the local code.

    Raises:
        InputError: MTH-030 for another class or size.

    Source: IEC 60034-1 rise table: B, F, H from 600 W as a motor manual prints them, the others
        from memory; appliances IEC 60335-1 cl. 11 table 3 (from memory).

    Example:
        >>> rise_limit_k("F", "600 W and more")
        105.0
    """
    return RISE_LIMITS_K[one_of("size", size, SIZES)][
        one_of("thermal_class", thermal_class, CLASSES)
    ]


def hot_spot_limit_degc(thermal_class: str) -> float:
    """The temperature that the hottest point of a class of insulation may have.

    Formula: looked up; 40 degC coolant plus rise limit plus hot-spot allowance comes to it.

    Args:
        thermal_class: A, E, B, F or H.

    Returns:
        Degrees Celsius.

    Raises:
        InputError: MTH-030 for another class.

    Source: IEC 60085, as a motor manual prints it.

    Example:
        >>> hot_spot_limit_degc("B")
        130.0
    """
    return CLASS_DEGC[one_of("thermal_class", thermal_class, CLASSES)]


def _degc(name: str, value: float) -> float:
    return number(name, value, ABSOLUTE_ZERO_DEGC)


def _above_constant(name: str, value: float, constant: float) -> float:
    """The temperature counted from where the straight line of resistance would reach zero."""
    return constant + number(name, _degc(name, value), -constant, above=True)
