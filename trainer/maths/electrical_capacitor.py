"""Charged capacitors: voltage after a time, waiting time, energy, bleed resistor, rules.

A waiting time is a hint, the measurement is the proof: a bleed resistor may be broken, and an
electrolytic can recover voltage. Treat a capacitor as charged until it is measured. Discharge it
through an insulated resistor probe, never with a screwdriver; measure, and measure again before
touching (common practice, no source). The run capacitor can carry more than the mains voltage:
take its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.maths.electrical_limits import WORDS
from trainer.maths.ranges import not_negative, number, one_of, positive

LARGEST_UF = 10_000.0  # 0.01 F: beyond it a microfarad was meant, or it is no motor's capacitor
# A laboratory's reading of 29 CFR 1910.147 for cord-and-plug work: stored energy that counts.
LOCKOUT_V = 100.0
LOCKOUT_J = 10.0
LOCKOUT_REGIMES = ("US laboratory practice",)


@dataclass(frozen=True, slots=True)
class DischargeRule:
    """To what voltage a capacitor must fall in which time, and what is exempt."""

    voltage_v: float
    time_s: float
    exempt_uf: float
    exempt_uc: float
    source: str


RULES = {
    "IEC 60335-1 cl. 22.5": DischargeRule(
        34.0, 1.0, 0.1, 0.0, "IEC 60335-1 cl. 22.5 (clause from memory) as a Japanese page reads it"
    ),
    "Japan": DischargeRule(45.0, 1.0, 0.1, 0.0, "deviation of Japan, as the same page reads it"),
    "IEC 60204-1 cl. 6.2.4 live parts": DischargeRule(
        60.0, 5.0, 0.0, 60.0, "IEC 60204-1 cl. 6.2.4 as a Japanese page reads it"
    ),
    "IEC 60204-1 cl. 6.2.4 plug pins": DischargeRule(
        60.0, 1.0, 0.0, 60.0, "IEC 60204-1 cl. 6.2.4 as a Japanese page reads it"
    ),
    "NEC 460.6": DischargeRule(50.0, 60.0, 0.0, 0.0, "NEC 460.6, up to 1000 V (from memory)"),
}
RULE_NAMES = tuple(RULES)


@dataclass(frozen=True, slots=True)
class DischargeCheck:
    """What is left after the time a rule allows, and whether that keeps to the rule."""

    voltage_v: float
    limit_v: float
    time_s: float
    is_exempt: bool
    keeps: bool
    words: str
    source: str


def peak_voltage_v(rms_v: float) -> float:
    """The worst voltage a capacitor is left with when an alternating voltage is cut.

    Formula: root of 2 times the rms voltage across the capacitor.

    Args:
        rms_v: rms voltage across the capacitor, V, 0 or more; a run capacitor's may be above mains.

    Returns:
        Volts.

    Raises:
        InputError: MTH-030 for a negative voltage.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(peak_voltage_v(230), 6)
        325.269119
    """
    return math.sqrt(2) * not_negative("rms_v", rms_v)


def voltage_after_v(
    start_v: float, time_s: float, capacitance_uf: float, resistance_ohm: float
) -> float:
    """The voltage left after a time of discharging.

    Formula: start voltage times exp(minus time over (resistance times capacitance)).

    Args:
        start_v: voltage at the begin, V, 0 or more.
        time_s: time, s, 0 or more.
        capacitance_uf: capacitance, uF, above 0 to 10000.
        resistance_ohm: resistance, ohm, above 0.

    Returns:
        Volts.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(voltage_after_v(325.269119, 1, 16, 100_000), 6)
        174.104013
    """
    tau = _tau_s(capacitance_uf, resistance_ohm)
    return not_negative("start_v", start_v) * math.exp(-not_negative("time_s", time_s) / tau)


def discharge_time_s(
    start_v: float, target_v: float, capacitance_uf: float, resistance_ohm: float
) -> float:
    """The time a capacitor needs to fall to a voltage; a hint, the measurement is the proof.

    Formula: resistance times capacitance times ln(start over target); 0 when it is there already.

    Args:
        start_v: voltage at the begin, V, 0 or more.
        target_v: voltage to fall to, V, above 0.
        capacitance_uf: capacitance, uF, above 0 to 10000.
        resistance_ohm: resistance, ohm, above 0.

    Returns:
        Seconds.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(discharge_time_s(325.269119, 60, 16, 100_000), 6)
        2.704493
    """
    start, target = not_negative("start_v", start_v), positive("target_v", target_v)
    tau = _tau_s(capacitance_uf, resistance_ohm)
    return tau * math.log(start / target) if start > target else 0.0


def stored_energy_j(capacitance_uf: float, voltage_v: float) -> float:
    """The energy in a charged capacitor.

    Formula: half of capacitance times voltage squared.

    Args:
        capacitance_uf: capacitance, uF, above 0 to 10000.
        voltage_v: voltage, V, 0 or more.

    Returns:
        Joules.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(stored_energy_j(16, 325.269119), 6)
        0.8464
    """
    return _uf(capacitance_uf) * 1e-6 * not_negative("voltage_v", voltage_v) ** 2 / 2


def stored_charge_ua_s(capacitance_uf: float, voltage_v: float) -> float:
    """The charge in a capacitor, in microampere seconds (microcoulombs).

    Formula: capacitance times voltage.

    Args:
        capacitance_uf: capacitance, uF, above 0 to 10000.
        voltage_v: voltage, V, 0 or more.

    Returns:
        Microampere seconds.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory).

    Example:
        >>> round(stored_charge_ua_s(16, 325.269119), 3)
        5204.306
    """
    return _uf(capacitance_uf) * not_negative("voltage_v", voltage_v)


def bleed_resistor_ohm(
    start_v: float,
    target_v: float,
    time_s: float,
    capacitance_uf: float,
    *,
    capacitance_tolerance: float = 0.0,
    resistance_tolerance: float = 0.0,
) -> float:
    """The largest resistor that lets a capacitor fall to a voltage in a time.

    Formula: time over (capacitance times ln(start over target)), over both tolerances.

    Args:
        start_v: voltage at the begin, V, above 0.
        target_v: voltage to fall to, V, above 0, below the start.
        time_s: time, s, above 0.
        capacitance_uf: capacitance, uF, above 0 to 10000.
        capacitance_tolerance: how much it may be larger, a share, 0 to 1.
        resistance_tolerance: how much the resistor may be larger, a share, 0 to 1.

    Returns:
        Ohms. The resistor must also stand the voltage (two in series if need be) and twice its
        continuous loss.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any electrical textbook (from memory); the margins: common practice, no source. The web
        rule "time over five times capacitance" is another rule: it leaves 0.67 %.

    Example:
        >>> round(bleed_resistor_ohm(325.269119, 60, 5, 16), 2)
        184877.51
    """
    start, time = positive("start_v", start_v), positive("time_s", time_s)
    target = number("target_v", target_v, 0, start, above=True, below=True)
    wide = (1 + number("capacitance_tolerance", capacitance_tolerance, 0, 1)) * (
        1 + number("resistance_tolerance", resistance_tolerance, 0, 1)
    )
    return time / (_uf(capacitance_uf) * 1e-6 * math.log(start / target) * wide)


def bleed_loss_w(voltage_v: float, resistance_ohm: float) -> float:
    """The loss of a resistor: continuous at an rms voltage, momentary at a voltage.

    Formula: voltage squared over resistance. Choose at least twice the continuous loss.

    Args:
        voltage_v: voltage, V, 0 or more.
        resistance_ohm: resistance, ohm, above 0.

    Returns:
        Watts.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Ohm's law; twice the loss: common practice, no source.

    Example:
        >>> round(bleed_loss_w(230, 150_000), 6)
        0.352667
    """
    return not_negative("voltage_v", voltage_v) ** 2 / positive("resistance_ohm", resistance_ohm)


def discharge_check(
    regime: str,
    start_v: float,
    capacitance_uf: float,
    resistance_ohm: float,
    *,
    capacitance_tolerance: float = 0.0,
    resistance_tolerance: float = 0.0,
) -> DischargeCheck:
    """Whether a capacitor falls as fast as a rule asks.

    Formula: ``voltage_after_v`` of the rule's time, with both tolerances, against the rule's
    voltage. Small capacitances or charges are exempt where the rule says so.

    Args:
        regime: by name; see ``RULE_NAMES``.
        start_v: worst voltage at the begin, V, 0 or more.
        capacitance_uf: capacitance, uF, above 0 to 10000.
        resistance_ohm: resistance, ohm, above 0.
        capacitance_tolerance: how much the capacitance may be larger, a share, 0 to 1.
        resistance_tolerance: how much the resistor may be larger, a share, 0 to 1.

    Returns:
        Voltage left, limit, time, whether it is exempt, whether it keeps, and the words "follow the
        local code".

    Raises:
        InputError: MTH-030 for an unknown rule or a value out of range.

    Source: named in the answer.

    Example:
        >>> discharge_check("IEC 60335-1 cl. 22.5", 325.269119, 0.47, 1_000_000).keeps
        False
    """
    rule = RULES[one_of("regime", regime, RULE_NAMES)]
    wide = _uf(capacitance_uf) * (1 + number("capacitance_tolerance", capacitance_tolerance, 0, 1))
    high = positive("resistance_ohm", resistance_ohm) * (
        1 + number("resistance_tolerance", resistance_tolerance, 0, 1)
    )
    left = not_negative("start_v", start_v) * math.exp(-rule.time_s / (high * wide * 1e-6))
    exempt = capacitance_uf <= rule.exempt_uf or 0 < capacitance_uf * start_v <= rule.exempt_uc
    keeps = exempt or left <= rule.voltage_v
    return DischargeCheck(left, rule.voltage_v, rule.time_s, exempt, keeps, WORDS, rule.source)


def stored_energy_rule(regime: str, voltage_v: float, energy_j: float) -> str:
    """Whether stored energy asks for full lockout in cord-and-plug work.

    Formula: full lockout from 100 V together with 10 J; unplugging alone is then not enough.

    Args:
        regime: ``US laboratory practice``.
        voltage_v: voltage stored, V, 0 or more.
        energy_j: energy stored, J, 0 or more.

    Returns:
        What to do, with the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown regime or a negative value.

    Source: a laboratory's safety alert on 29 CFR 1910.147(a)(2)(iii)(A).

    Example:
        >>> stored_energy_rule("US laboratory practice", 566, 2.56)
        'below the limit of full lockout, still: discharge and measure; follow the local code'
    """
    one_of("regime", regime, LOCKOUT_REGIMES)
    high = not_negative("voltage_v", voltage_v) >= LOCKOUT_V
    if not_negative("energy_j", energy_j) >= LOCKOUT_J and high:
        return f"full lockout: stored energy is left after unplugging; {WORDS}"
    return f"below the limit of full lockout, still: discharge and measure; {WORDS}"


def _uf(capacitance_uf: float) -> float:
    return number("capacitance_uf", capacitance_uf, 0, LARGEST_UF, above=True)


def _tau_s(capacitance_uf: float, resistance_ohm: float) -> float:
    return _uf(capacitance_uf) * 1e-6 * positive("resistance_ohm", resistance_ohm)
