"""Counter arithmetic: what was used between two readings, and what a dose is made of.

All of it is plain arithmetic; Source: common practice, no source. Whole lists of readings, in any
order and with what cannot be among them, are worked through in ``readings``; rates and dates in
``planning``.
"""

from __future__ import annotations

from trainer.errors import InputError
from trainer.maths.ranges import no_result, not_negative, number, positive, whole

G_PER_KG = 1000.0
KG_PER_DAY_PER_G_PER_S = 86.4  # 86400 s in a day over 1000 g in a kilogram


def _rise(low_name: str, low: float, high_name: str, high: float) -> float:
    first, second = not_negative(low_name, low), not_negative(high_name, high)
    if second < first:
        raise InputError(
            no_result,
            why=f"the counter fell from {first:g} ({low_name}) to {second:g} ({high_name}); ask "
            "whether it was reset, rolled over, exchanged or read wrongly",
        )
    return second - first


def used_between_kg(first_kg: float, second_kg: float) -> float:
    """Kilograms used between two readings of one counter without reset or rollover.

    Formula: second reading minus first.

    Args:
        first_kg: earlier reading, kg, scalar, 0 or more.
        second_kg: later reading, kg, scalar, 0 or more.

    Returns:
        Kilograms used.

    Raises:
        InputError: MTH-032 when the reading fell: a reset, a rollover, an exchanged board or a
            wrong entry; ask which, do not guess.

    Source: common practice, no source.

    Example:
        >>> round(used_between_kg(1480.2, 1561.8), 6)
        81.6
    """
    return _rise("first_kg", first_kg, "second_kg", second_kg)


def used_over_rollover(first_count: float, second_count: float, modulus_count: int) -> int:
    """Counts between two readings of a counter that starts again from zero after its largest value.

    Formula: (second minus first) modulo the number of values the counter has.

    Args:
        first_count: earlier reading, whole, 0 to modulus - 1.
        second_count: later reading, whole, 0 to modulus - 1.
        modulus_count: how many values the counter has: 10 to the power of its digits, 65536, …

    Returns:
        Counts used, if it went round once at most. Check it against the largest that can be
        (``largest_kg_per_day``) before believing it.

    Raises:
        InputError: MTH-030 for a reading that the counter cannot show.

    Source: common practice, no source.

    Example:
        >>> used_over_rollover(99980, 35, 100000)
        55
    """
    modulus = whole("modulus_count", modulus_count, 2)
    first = whole("first_count", first_count, 0, modulus - 1)
    second = whole("second_count", second_count, 0, modulus - 1)
    return (second - first) % modulus


def used_over_reset_kg(
    first_kg: float, before_reset_kg: float, second_kg: float, after_reset_kg: float = 0.0
) -> float:
    """Kilograms used when the counter was reset once and its last value was written down.

    Formula: (value before the reset minus first reading) plus (second reading minus value after).

    Args:
        first_kg: reading before the reset, kg.
        before_reset_kg: value written down at the reset, kg, at least ``first_kg``.
        second_kg: reading after the reset, kg, at least ``after_reset_kg``.
        after_reset_kg: value the counter started from, kg, normally 0.

    Returns:
        Kilograms used in the whole interval.

    Raises:
        InputError: MTH-032 when a piece would be negative.

    Source: common practice, no source.

    Example:
        >>> round(used_over_reset_kg(1561.8, 1668.0, 12.4), 6)
        118.6
    """
    before = _rise("first_kg", first_kg, "before_reset_kg", before_reset_kg)
    return before + _rise("after_reset_kg", after_reset_kg, "second_kg", second_kg)


def least_used_after_reset_kg(second_kg: float, after_reset_kg: float = 0.0) -> float:
    """The least that was used when nobody wrote down the value at the reset.

    Formula: second reading minus the value the counter started from. It is a bound, not an amount:
    it must not go into a rate.

    Args:
        second_kg: reading after the reset, kg.
        after_reset_kg: value the counter started from, kg, normally 0.

    Returns:
        A lower bound, kg.

    Raises:
        InputError: MTH-032 when the reading lies below the start value.

    Source: common practice, no source.

    Example:
        >>> least_used_after_reset_kg(46.5)
        46.5
    """
    return _rise("after_reset_kg", after_reset_kg, "second_kg", second_kg)


def mean_dose_g(used_kg: float, doses: float) -> float:
    """The mean dose from two counters over one interval.

    Formula: 1000 times kilograms used over doses made. Purge and cleaning doses must be in both
    counters or in neither; a dose counter may count presses of the button, and a machine that
    doses by weight may count the wanted mass instead of the measured.

    Args:
        used_kg: kilograms used, 0 or more.
        doses: doses made in the same interval, above 0.

    Returns:
        Grams per dose.

    Raises:
        InputError: MTH-030 for no doses.

    Source: common practice, no source.

    Example:
        >>> round(mean_dose_g(98.5, 5412), 8)
        18.20029564
    """
    return G_PER_KG * not_negative("used_kg", used_kg) / positive("doses", doses)


def flow_g_per_s(used_kg: float, motor_s: float) -> float:
    """The mean mass flow from kilograms and motor seconds.

    Formula: 1000 times kilograms used over motor seconds. Run-up and idle running are in the
    seconds, so the figure lies below the steady flow; a counter of whole seconds a start rounds
    down and lifts it by up to one second a start.

    Args:
        used_kg: kilograms used, 0 or more.
        motor_s: seconds the motor ran, above 0.

    Returns:
        Grams per second.

    Raises:
        InputError: MTH-030 for no seconds.

    Source: common practice, no source.

    Example:
        >>> round(flow_g_per_s(98.5, 27900), 9)
        3.53046595
    """
    return G_PER_KG * not_negative("used_kg", used_kg) / positive("motor_s", motor_s)


def motor_s_per_dose(motor_s: float, doses: float) -> float:
    """Motor seconds per dose.

    Formula: motor seconds over doses.

    Args:
        motor_s: seconds the motor ran, 0 or more.
        doses: doses made in the same interval, above 0.

    Returns:
        Seconds per dose.

    Raises:
        InputError: MTH-030 for no doses.

    Source: common practice, no source.

    Example:
        >>> round(motor_s_per_dose(27900, 5412), 9)
        5.155210643
    """
    return not_negative("motor_s", motor_s) / positive("doses", doses)


def starts_per_dose(starts: float, doses: float) -> float:
    """Motor starts per dose; well above 1 means that doses are topped up or the motor is jogged.

    Formula: starts over doses.

    Args:
        starts: motor starts, 0 or more.
        doses: doses made in the same interval, above 0.

    Returns:
        Starts per dose.

    Raises:
        InputError: MTH-030 for no doses.

    Source: common practice, no source.

    Example:
        >>> round(starts_per_dose(5640, 5412), 9)
        1.042128603
    """
    return not_negative("starts", starts) / positive("doses", doses)


def time_drift(value_s: float, reference_s: float) -> float:
    """How far the grind time has moved from its reference, as a share of the reference.

    Formula: time over reference time, minus 1. Compare at the same dose, setting and coffee, and
    take the reference after run-in (20 to 30 kg).

    Args:
        value_s: grind time now, s, above 0.
        reference_s: grind time after run-in, s, above 0.

    Returns:
        A share: 0.05 is 5 % longer than the reference.

    Raises:
        InputError: MTH-030 for a time that is not above 0.

    Source: common practice, no source.

    Example:
        >>> round(100 * time_drift(5.57, 5.02), 8)
        10.9561753
    """
    return positive("value_s", value_s) / positive("reference_s", reference_s) - 1


def flow_drift(value_g_per_s: float, reference_g_per_s: float) -> float:
    """How far the flow has moved from its reference, as a share of the reference.

    Formula: flow over reference flow, minus 1. It is not minus the drift of the time: at one dose
    the two ratios are one over the other.

    Args:
        value_g_per_s: flow now, g/s, above 0.
        reference_g_per_s: flow after run-in, g/s, above 0.

    Returns:
        A share: -0.05 is 5 % less than the reference.

    Raises:
        InputError: MTH-030 for a flow that is not above 0.

    Source: common practice, no source.

    Example:
        >>> round(100 * flow_drift(18.2 / 5.5, 18.2 / 4.9), 8)
        -10.90909091
    """
    return (
        positive("value_g_per_s", value_g_per_s) / positive("reference_g_per_s", reference_g_per_s)
        - 1
    )


def largest_kg_per_day(flow_g_per_s: float, duty_share: float = 1.0) -> float:
    """The most a grinder can use in a day; a reading that says more is wrong.

    Formula: flow times 86.4, times the share of the time it may run.

    Args:
        flow_g_per_s: flow, g/s, above 0.
        duty_share: share of the time that it may run, above 0 and at most 1.

    Returns:
        Kilograms per day.

    Raises:
        InputError: MTH-030 for a share out of range.

    Source: common practice, no source.

    Example:
        >>> round(largest_kg_per_day(3.5, 0.4), 6)
        120.96
    """
    duty = number("duty_share", duty_share, 0, 1, above=True)
    return KG_PER_DAY_PER_G_PER_S * positive("flow_g_per_s", flow_g_per_s) * duty
