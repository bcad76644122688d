"""How much more a motor may carry when it runs for a short time or with rests.

Alpha is the constant loss (iron, friction, fan) over the copper loss at rated load. Whatever comes
out is also limited by the breakdown torque, about 1.6 to 2.5 times the rated one (from memory), and
by the plate. Source: closed forms of the one-body model, any drives textbook (from memory).
"""

from __future__ import annotations

import math

from trainer.errors import InputError
from trainer.maths.heat_cycles import Cycle
from trainer.maths.ranges import no_result, not_negative, number, positive

# From memory: what small motors give before they stall, over rated torque.
BREAKDOWN_RATIOS = (1.6, 2.5)


def short_loss_ratio(on_s: float, tau_s: float) -> float:
    """The loss over rated loss that brings just the rated rise at the end of one run from cold.

    Formula: 1 over (1 - exp(minus run over time constant)).

    Args:
        on_s: run, s, above 0; before and after it the motor is cold.
        tau_s: time constant of heating, s, above 0.

    Returns:
        A ratio, above 1.

    Raises:
        InputError: MTH-030 for a value that is not above 0.

    Source: any drives textbook (from memory).

    Example:
        >>> round(short_loss_ratio(600, 1200), 9)
        2.541494083
    """
    return -1 / math.expm1(-positive("on_s", on_s) / positive("tau_s", tau_s))


def intermittent_loss_ratio(
    on_s: float, off_s: float, heating_tau_s: float, cooling_tau_s: float
) -> float:
    """The loss over rated loss that brings just the rated rise as the steady peak of a cycle.

    Formula: (1 - q) over (1 - a), a left of a difference after the run and q after the cycle.

    Args:
        on_s: run, s, above 0.
        off_s: rest, s, 0 or more.
        heating_tau_s: time constant of heating, s, above 0.
        cooling_tau_s: time constant of cooling at standstill, s, above 0.

    Returns:
        A ratio, 1 or more.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any drives textbook (from memory).

    Example:
        >>> round(intermittent_loss_ratio(900, 1800, 6000, 9000), 6)
        2.120092
    """
    cycle = Cycle(positive("on_s", on_s), off_s, heating_tau_s, cooling_tau_s)
    return -math.expm1(cycle.log_q) / cycle.heated


def load_ratio(loss_ratio: float, constant_loss_ratio: float = 0.0) -> float:
    """The load over rated load that belongs to a loss ratio.

    Formula: root of ((1 + alpha) times loss ratio minus alpha).

    Args:
        loss_ratio: whole loss over rated loss, above 0.
        constant_loss_ratio: alpha, constant over copper loss at rated load, 0 or more.

    Returns:
        A ratio by heating alone; breakdown torque and plate limit it further.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 when the constant loss alone is more
            than what is allowed.

    Source: any drives textbook (from memory).

    Example:
        >>> round(load_ratio(2.541494083, 0.5), 6)
        1.819956
    """
    alpha = not_negative("constant_loss_ratio", constant_loss_ratio)
    square = (1 + alpha) * positive("loss_ratio", loss_ratio) - alpha
    if square < 0:
        raise InputError(no_result, why="the constant loss alone is more than loss_ratio allows")
    return math.sqrt(square)


def short_load_ratio(on_s: float, tau_s: float, constant_loss_ratio: float = 0.0) -> float:
    """The load over rated load that one run from cold may carry, by heating alone.

    Formula: ``load_ratio`` of ``short_loss_ratio``.

    Args:
        on_s: run, s, above 0; before and after it the motor is cold.
        tau_s: time constant of heating, s, above 0.
        constant_loss_ratio: alpha, constant over copper loss at rated load, 0 or more.

    Returns:
        A ratio; breakdown torque (about 1.6 to 2.5, from memory) and plate limit it further.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any drives textbook (from memory).

    Example:
        >>> round(short_load_ratio(1200, 1200), 9)
        1.257766555
    """
    return load_ratio(short_loss_ratio(on_s, tau_s), constant_loss_ratio)


def intermittent_load_ratio(
    on_s: float,
    off_s: float,
    heating_tau_s: float,
    cooling_tau_s: float,
    constant_loss_ratio: float = 0.0,
) -> float:
    """The load over rated load that each run of a steady cycle may carry, by heating alone.

    Formula: ``load_ratio`` of ``intermittent_loss_ratio``.

    Args:
        on_s: run, s, above 0.
        off_s: rest, s, 0 or more.
        heating_tau_s: time constant of heating, s, above 0.
        cooling_tau_s: time constant of cooling at standstill, s, above 0.
        constant_loss_ratio: alpha, constant over copper loss at rated load, 0 or more.

    Returns:
        A ratio; breakdown torque (about 1.6 to 2.5, from memory) and plate limit it further.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any drives textbook (from memory).

    Example:
        >>> round(intermittent_load_ratio(900, 1800, 6000, 9000, 0.4), 6)
        1.602538
    """
    ratio = intermittent_loss_ratio(on_s, off_s, heating_tau_s, cooling_tau_s)
    return load_ratio(ratio, constant_loss_ratio)


def life_factor(above_k: float) -> float:
    """What is left of the insulation's life so many kelvin above its class temperature.

    Formula: 2 to the power of minus kelvin over 10; a rule of thumb.

    Args:
        above_k: kelvin above the class temperature; negative below it; within 100 either way.

    Returns:
        A factor, 1 at the class temperature.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: a trade page on insulation classes.

    Example:
        >>> life_factor(10)
        0.5
    """
    return math.exp2(-number("above_k", above_k, -100, 100) / 10)
