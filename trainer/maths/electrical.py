"""Power, current, energy, torque and speed of a mains motor, and leakage currents.

These figures are worked out at the bench. Measuring mains quantities with the cover open is for a
person qualified for it under the local code; whatever can be found dead is found dead.
"""

from __future__ import annotations

import math

from trainer.errors import InputError
from trainer.maths.ranges import not_negative, number, out_of_range, positive, whole

# 1 hp in watts (from memory; the trade also rounds to 746).
HORSEPOWER_W = 745.7
# Source: two trade pages, 3 to 6 and 5 to 8: start over rated current, switched on directly.
START_RATIOS = (3.0, 8.0)


def single_phase_power_w(voltage_v: float, current_a: float, power_factor: float) -> float:
    """The power a single-phase motor takes.

    Formula: voltage times current times power factor.

    Args:
        voltage_v: voltage, V, 0 or more.
        current_a: current, A, 0 or more.
        power_factor: cos phi, 0 to 1.

    Returns:
        Watts.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(single_phase_power_w(230, 3.2, 0.92), 6)
        677.12
    """
    factor = number("power_factor", power_factor, 0, 1)
    return not_negative("voltage_v", voltage_v) * not_negative("current_a", current_a) * factor


def three_phase_power_w(voltage_v: float, current_a: float, power_factor: float) -> float:
    """The power a three-phase motor takes.

    Formula: root of 3 times voltage between lines times current times power factor.

    Args:
        voltage_v: voltage between lines, V, 0 or more.
        current_a: line current, A, 0 or more.
        power_factor: cos phi, 0 to 1.

    Returns:
        Watts.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(three_phase_power_w(400, 1.9, 0.80), 6)
        1053.086891
    """
    return math.sqrt(3) * single_phase_power_w(voltage_v, current_a, power_factor)


def apparent_power_v_a(voltage_v: float, current_a: float) -> float:
    """The apparent power of a single-phase load.

    Formula: voltage times current.

    Args:
        voltage_v: voltage, V, 0 or more.
        current_a: current, A, 0 or more.

    Returns:
        Volt-amperes.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(apparent_power_v_a(230, 3.2), 6)
        736.0
    """
    return not_negative("voltage_v", voltage_v) * not_negative("current_a", current_a)


def reactive_power_v_a(apparent_v_a: float, active_w: float) -> float:
    """The reactive power that goes with an apparent and an active power.

    Formula: root of (apparent squared minus active squared).

    Args:
        apparent_v_a: apparent power, V A, 0 or more.
        active_w: active power, W, 0 or more, at most the apparent.

    Returns:
        Volt-amperes reactive.

    Raises:
        InputError: MTH-030 for more active than apparent power.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(reactive_power_v_a(736, 677.12), 6)
        288.451912
    """
    apparent = not_negative("apparent_v_a", apparent_v_a)
    active = not_negative("active_w", active_w)
    if active > apparent:
        raise InputError(
            out_of_range, argument="active_w", value=f"{active:g}",
            allowed=f"at most the apparent power of {apparent:g} V A",
        )  # fmt: skip
    return math.sqrt((apparent - active) * (apparent + active))


def single_phase_current_a(power_w: float, voltage_v: float, power_factor: float) -> float:
    """The current a single-phase motor takes for a power.

    Formula: power over (voltage times power factor).

    Args:
        power_w: power taken, W, 0 or more.
        voltage_v: voltage, V, above 0.
        power_factor: cos phi, above 0 to 1.

    Returns:
        Amperes.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(single_phase_current_a(569.230769, 230, 0.90), 6)
        2.749907
    """
    factor = number("power_factor", power_factor, 0, 1, above=True)
    return not_negative("power_w", power_w) / (positive("voltage_v", voltage_v) * factor)


def three_phase_current_a(power_w: float, voltage_v: float, power_factor: float) -> float:
    """The line current a three-phase motor takes for a power.

    Formula: power over (root of 3 times voltage between lines times power factor).

    Args:
        power_w: power taken, W, 0 or more.
        voltage_v: voltage between lines, V, above 0.
        power_factor: cos phi, above 0 to 1.

    Returns:
        Amperes.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(three_phase_current_a(1000, 400, 0.78), 6)
        1.850482
    """
    return single_phase_current_a(power_w, voltage_v, power_factor) / math.sqrt(3)


def input_power_w(shaft_w: float, efficiency: float) -> float:
    """The power a motor takes for a power at its shaft.

    Formula: shaft power over efficiency.

    Args:
        shaft_w: power at the shaft, W, 0 or more.
        efficiency: above 0 to 1.

    Returns:
        Watts.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> input_power_w(750, 0.75)
        1000.0
    """
    return not_negative("shaft_w", shaft_w) / number("efficiency", efficiency, 0, 1, above=True)


def energy_kwh(power_w: float, time_h: float) -> float:
    """The energy of a power over a time.

    Formula: power in kilowatts times hours.

    Args:
        power_w: power taken, W, 0 or more.
        time_h: time, h, 0 or more.

    Returns:
        Kilowatt-hours.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(energy_kwh(677.12, 450), 6)
        304.704
    """
    return not_negative("power_w", power_w) / 1000 * not_negative("time_h", time_h)


def torque_n_m(shaft_w: float, speed_per_min: float) -> float:
    """The torque of a shaft power at a speed.

    Formula: 60 times power over (2 pi times speed).

    Args:
        shaft_w: power at the shaft, W, 0 or more.
        speed_per_min: speed, 1/min, above 0.

    Returns:
        Newton metres.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any drives textbook (from memory); the trade's shortcut 9550 kW over speed rounds it.

    Example:
        >>> round(torque_n_m(370, 1390), 6)
        2.541899
    """
    return 60 * not_negative("shaft_w", shaft_w) / math.tau / positive(
        "speed_per_min", speed_per_min
    )  # fmt: skip


def synchronous_speed_per_min(frequency_hz: float, pole_pairs: int) -> float:
    """The speed of the field of a motor.

    Formula: 60 times frequency over pole pairs (120 times frequency over poles).

    Args:
        frequency_hz: mains frequency, Hz, above 0.
        pole_pairs: pairs of poles, whole, 1 or more; a four-pole motor has two.

    Returns:
        Turns per minute.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: 120 f over poles on a trade page.

    Example:
        >>> synchronous_speed_per_min(50, 2)
        1500.0
    """
    return 60 * positive("frequency_hz", frequency_hz) / whole("pole_pairs", pole_pairs, 1)


def slip_share(synchronous_per_min: float, speed_per_min: float) -> float:
    """How far a motor lags behind its field.

    Formula: (synchronous speed minus speed) over synchronous speed.

    Args:
        synchronous_per_min: speed of the field, 1/min, above 0.
        speed_per_min: speed, 1/min, 0 or more; above the field's it is driven as a generator.

    Returns:
        A share.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any drives textbook (from memory).

    Example:
        >>> round(slip_share(1500, 1390), 6)
        0.073333
    """
    field = positive("synchronous_per_min", synchronous_per_min)
    return (field - not_negative("speed_per_min", speed_per_min)) / field


def starting_current_a(rated_a: float, start_ratio: float) -> float:
    """The current at standstill of a motor switched on directly.

    Formula: rated current times start ratio.

    Args:
        rated_a: rated current, A, 0 or more.
        start_ratio: start over rated current, 1 to 12; 3 to 8 is usual.

    Returns:
        Amperes. It falls in 0.2 to 1 s on a free grinder (common practice, no source); if it stays,
        switch off at once: jam, dead capacitor, stuck start switch.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: two trade pages (3 to 6, and 5 to 8).

    Example:
        >>> round(starting_current_a(3.2, 6), 6)
        19.2
    """
    return not_negative("rated_a", rated_a) * number("start_ratio", start_ratio, 1, 12)


def capacitive_leakage_ma(voltage_v: float, frequency_hz: float, capacitance_nf: float) -> float:
    """The current that a capacitor to earth leaks.

    Formula: voltage times 2 pi times frequency times capacitance.

    Args:
        voltage_v: voltage, V, 0 or more.
        frequency_hz: mains frequency, Hz, 0 or more.
        capacitance_nf: capacitance to earth, nF, 0 or more, at most 1000.

    Returns:
        Milliamperes.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(capacitive_leakage_ma(230, 50, 4.7), 6)
        0.339606
    """
    capacitance = number("capacitance_nf", capacitance_nf, 0, 1000)
    pulse = math.tau * not_negative("frequency_hz", frequency_hz)
    return not_negative("voltage_v", voltage_v) * pulse * capacitance * 1e-6


def resistive_leakage_ma(voltage_v: float, insulation_megaohm: float) -> float:
    """The current that an insulation resistance leaks.

    Formula: voltage over insulation resistance.

    Args:
        voltage_v: voltage, V, 0 or more.
        insulation_megaohm: insulation resistance, Mohm, above 0.

    Returns:
        Milliamperes.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Ohm's law.

    Example:
        >>> resistive_leakage_ma(230, 1)
        0.23
    """
    insulation = positive("insulation_megaohm", insulation_megaohm)
    return not_negative("voltage_v", voltage_v) / 1000 / insulation
