"""Heating in equal cycles of running and standing: peaks, troughs, the rest that keeps a limit.

The same share on heats more in longer cycles: 40 % as 24 minutes on and 36 off runs far hotter
than as 24 seconds on and 36 off. Source: closed forms of the one-body model, any drives textbook
(from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.errors import InputError
from trainer.maths.heat import longest_run_from_cold_s
from trainer.maths.ranges import no_result, not_negative, number, positive, share, whole


@dataclass(frozen=True, slots=True)
class CycleRise:
    """Rise at the end of a run (peak) and at the end of the rest after it (trough)."""

    peak_k: float
    trough_k: float


@dataclass(frozen=True, slots=True)
class Cycle:
    """One run and one rest, with the time constants of heating and of cooling.

    Attributes:
        on_s: run, s, 0 or more.
        off_s: rest, s, 0 or more; not both 0.
        heating_tau_s: time constant of heating, s, above 0.
        cooling_tau_s: time constant of cooling at standstill, s, above 0.
    """

    on_s: float
    off_s: float
    heating_tau_s: float
    cooling_tau_s: float

    def __post_init__(self) -> None:
        not_negative("on_s", self.on_s)
        not_negative("off_s", self.off_s)
        positive("heating_tau_s", self.heating_tau_s)
        positive("cooling_tau_s", self.cooling_tau_s)
        if self.log_q == 0:
            raise InputError(no_result, why="the cycle takes no time (on_s and off_s are 0)")

    @property
    def log_q(self) -> float:
        """Natural logarithm of what is left after one cycle of a difference to the steady state."""
        return -self.on_s / self.heating_tau_s - self.off_s / self.cooling_tau_s

    @property
    def heated(self) -> float:
        """Share of the way to the final rise in one run."""
        return -math.expm1(-self.on_s / self.heating_tau_s)

    @property
    def kept(self) -> float:
        """Share of a rise that is left after one rest."""
        return math.exp(-self.off_s / self.cooling_tau_s)

    def steady_peak_k(self, final_k: float) -> float:
        """The peak of the steady state."""
        return final_k * self.heated / -math.expm1(self.log_q)


def cycle_rise(
    cycles: int,
    on_s: float,
    off_s: float,
    final_k: float,
    *,
    heating_tau_s: float,
    cooling_tau_s: float,
    start_k: float = 0.0,
) -> CycleRise:
    """Peak and trough of a numbered cycle.

    Formula: with a, b left of a difference after run and rest and q their product: peak is start
    times a q^(k-1) plus final (1 - a)(1 - q^k)/(1 - q); trough is b times peak.

    Args:
        cycles: which cycle, whole, 1 or more.
        on_s: run, s, 0 or more.
        off_s: rest, s, 0 or more; not both 0.
        final_k: rise an endless run would end at, K, 0 or more.
        heating_tau_s: time constant of heating, s, above 0.
        cooling_tau_s: time constant of cooling at standstill, s, above 0.
        start_k: rise before the first run, K; 0 from cold.

    Returns:
        Peak and trough, K.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 for a cycle that takes no time.

    Source: closed form of the one-body model, any drives textbook (from memory).

    Example:
        >>> round(cycle_rise(2, 240, 360, 110, heating_tau_s=1200, cooling_tau_s=2400).peak_k, 6)
        33.990828
    """
    count = whole("cycles", cycles, 1)
    cycle = Cycle(on_s, off_s, heating_tau_s, cooling_tau_s)
    final, start = not_negative("final_k", final_k), not_negative("start_k", start_k)
    remembered = start * math.exp(-on_s / heating_tau_s + (count - 1) * cycle.log_q)
    peak = remembered - cycle.steady_peak_k(final) * math.expm1(count * cycle.log_q)
    return CycleRise(peak, cycle.kept * peak)


def steady_rise(
    on_s: float, off_s: float, final_k: float, heating_tau_s: float, cooling_tau_s: float
) -> CycleRise:
    """Peak and trough after very many cycles.

    Formula: peak is final (1 - a)/(1 - q), trough b times peak.

    Args:
        on_s: run, s, 0 or more.
        off_s: rest, s, 0 or more; not both 0.
        final_k: rise an endless run would end at, K, 0 or more.
        heating_tau_s: time constant of heating, s, above 0.
        cooling_tau_s: time constant of cooling at standstill, s, above 0.

    Returns:
        Peak and trough, K.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 for a cycle that takes no time.

    Source: closed form of the one-body model, any drives textbook (from memory).

    Example:
        >>> round(steady_rise(240, 360, 110, 1200, 2400).peak_k, 6)
        67.520532
    """
    cycle = Cycle(on_s, off_s, heating_tau_s, cooling_tau_s)
    peak = cycle.steady_peak_k(not_negative("final_k", final_k))
    return CycleRise(peak, cycle.kept * peak)


def steady_peak_k(
    on_s: float, off_s: float, final_k: float, heating_tau_s: float, cooling_tau_s: float
) -> float:
    """The peak after very many cycles, by itself so that a formula can use it.

    Formula: final (1 - a)/(1 - q).

    Args:
        on_s: run, s, 0 or more.
        off_s: rest, s, 0 or more; not both 0.
        final_k: rise an endless run would end at, K, 0 or more.
        heating_tau_s: time constant of heating, s, above 0.
        cooling_tau_s: time constant of cooling at standstill, s, above 0.

    Returns:
        Kelvin over the coolant.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 for a cycle that takes no time.

    Source: closed form of the one-body model, any drives textbook (from memory).

    Example:
        >>> round(steady_peak_k(5, 25, 110, 1200, 2400), 6)
        31.592432
    """
    return steady_rise(on_s, off_s, final_k, heating_tau_s, cooling_tau_s).peak_k


def cycles_until_steady(
    on_s: float, off_s: float, heating_tau_s: float, cooling_tau_s: float, within: float = 0.01
) -> int:
    """How many cycles from cold until the peak is within a share of the steady one.

    Formula: ln(share) over ln(q), rounded up.

    Args:
        on_s: run, s, 0 or more.
        off_s: rest, s, 0 or more; not both 0.
        heating_tau_s: time constant of heating, s, above 0.
        cooling_tau_s: time constant of cooling at standstill, s, above 0.
        within: the share, above 0 and below 1.

    Returns:
        A number of cycles, 1 or more.

    Raises:
        InputError: MTH-030 for a value out of range, MTH-032 for a cycle that takes no time.

    Source: closed form of the one-body model, any drives textbook (from memory).

    Example:
        >>> cycles_until_steady(240, 360, 1200, 2400)
        14
    """
    cycle = Cycle(on_s, off_s, heating_tau_s, cooling_tau_s)
    exact = math.log(share("within", within)) / cycle.log_q
    return max(1, math.ceil(exact * (1 - 1e-12)))


def small_cycle_rise_k(
    final_k: float, on_share: float, heating_tau_s: float, cooling_tau_s: float
) -> float:
    """The rise about which very short cycles, such as doses, come to hover.

    Formula: final times share on, over (share on plus the rest times heating over cooling time
    constant).

    Args:
        final_k: rise an endless run would end at, K, 0 or more.
        on_share: share on, above 0 to 1.
        heating_tau_s: time constant of heating, s, above 0.
        cooling_tau_s: time constant of cooling at standstill, s, above 0.

    Returns:
        Kelvin over the coolant.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: limit of the closed form for cycles short against both time constants.

    Example:
        >>> round(small_cycle_rise_k(110, 1 / 6, 1200, 2400), 6)
        31.428571
    """
    on = number("on_share", on_share, 0, 1, above=True)
    slower = positive("heating_tau_s", heating_tau_s) / positive("cooling_tau_s", cooling_tau_s)
    return not_negative("final_k", final_k) * on / (on + (1 - on) * slower)


def rest_per_cycle_s(
    on_s: float, final_k: float, limit_k: float, heating_tau_s: float, cooling_tau_s: float
) -> float:
    """The rest after each run that keeps the steady peak at a limit.

    Formula: b is (1 - final over limit times (1 - a)) over a; the rest is minus cooling time
    constant times ln b. None is needed when the final rise does not exceed the limit.

    Args:
        on_s: run, s, above 0.
        final_k: rise an endless run would end at, K, 0 or more.
        limit_k: limit, K, above 0.
        heating_tau_s: time constant of heating, s, above 0.
        cooling_tau_s: time constant of cooling at standstill, s, above 0.

    Returns:
        Seconds; 0 when no rest is needed.

    Raises:
        InputError: MTH-032 for a run that is too long for any rest, with the longest from cold.

    Source: closed form of the one-body model, any drives textbook (from memory).

    Example:
        >>> round(rest_per_cycle_s(60, 150, 80, 1200, 2400), 6)
        110.159197
    """
    on, final = positive("on_s", on_s), not_negative("final_k", final_k)
    limit, heating = positive("limit_k", limit_k), positive("heating_tau_s", heating_tau_s)
    cooling = positive("cooling_tau_s", cooling_tau_s)
    if final <= limit:
        return 0.0
    left = 1 + final / limit * math.expm1(-on / heating)
    if left <= 0:
        longest = longest_run_from_cold_s(final, limit, heating)
        raise InputError(
            no_result,
            why=f"a run of {on:g} s (on_s) passes the limit even from cold; the longest from cold "
            f"is {longest:.4g} s",
        )
    return -cooling * (math.log(left) + on / heating)
