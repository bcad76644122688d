"""How many spares are enough while an order is on its way.

Poisson chances suit random demand or a large fleet of mixed ages. A few machines with wear-out
lives and known counters need planning dates instead (``planning``); Poisson overstocks them.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from trainer.errors import InputError
from trainer.maths.ranges import no_result, not_negative, number, positive, share, whole

MOST_SPARES = 100_000
LARGEST_DEMAND = 50_000.0


def fleet_demand(
    machines: float, rate_kg_per_day: float, lead_time_day: float, life_kg: float
) -> float:
    """The burr sets a fleet is expected to need while an order is on its way.

    Formula: machines times kilograms a day times days over kilograms a burr set lasts.

    Args:
        machines: how many, 0 or more.
        rate_kg_per_day: kilograms a machine and day, 0 or more.
        lead_time_day: days an order takes, 0 or more.
        life_kg: mean life of a burr set, kg, above 0.

    Returns:
        Sets.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: common practice, no source.

    Example:
        >>> round(fleet_demand(24, 3.1, 60, 600), 6)
        7.44
    """
    used = not_negative("machines", machines) * not_negative("rate_kg_per_day", rate_kg_per_day)
    return used * not_negative("lead_time_day", lead_time_day) / positive("life_kg", life_kg)


def enough_spares(demand: float, spares: int) -> float:
    """The chance that so many spares are enough for a random demand.

    Formula: sum of the Poisson chances of 0, 1, … up to that many demands. Count the spares only,
    not the part in service: a published example is off by one in this.

    Args:
        demand: expected number of demands, 0 or more.
        spares: spares in stock, 0 or more.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Poisson distribution; MIL-HDBK-338B (from memory).

    Example:
        >>> round(enough_spares(3, 3), 7)
        0.6472319
    """
    mean, most = not_negative("demand", demand), whole("spares", spares)
    if mean == 0:
        return 1.0
    return _summed(
        most,
        mean,
        most * math.log(mean) - mean - math.lgamma(most + 1),
        lambda count: mean / (count + 1),
    )


def _summed(most: int, mean: float, log_chance: float, ratio: Callable[[int], float]) -> float:
    """Chances of 0 to ``most`` added up, from the chance of ``most`` and the ratio to the next.

    Below the mean the terms are added downwards, above it the rest is taken from 1: either way
    from the largest term on, so that nothing is lost to terms too small to hold.
    """
    term = math.exp(log_chance)
    terms = []
    if most <= mean:
        count = most
        while term > 0 and count >= 0:
            terms.append(term)
            count -= 1
            term = term / ratio(count) if count >= 0 else 0.0
        return min(1.0, math.fsum(terms))
    count = most
    while term > 0 and (not terms or term > 1e-20 * terms[0]):
        term *= ratio(count)
        terms.append(term)
        count += 1
    return 1 - math.fsum(terms)


def spares_needed(demand: float, chance: float) -> int:
    """The fewest spares that are enough with a chance, for a random demand.

    Formula: smallest number whose summed Poisson chances reach the chance asked for.

    Args:
        demand: expected number of demands, 0 to 50 000.
        chance: above 0 and below 1.

    Returns:
        Spares.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Poisson distribution; MIL-HDBK-338B (from memory).

    Example:
        >>> spares_needed(7.44, 0.95)
        12
    """
    mean, wanted = number("demand", demand, 0, LARGEST_DEMAND), share("chance", chance)
    return _fewest(lambda spares: enough_spares(mean, spares), wanted)


def enough_spares_after(failures: int, seen_h: float, ahead_h: float, spares: int) -> float:
    """The chance that so many spares are enough when the failure rate is itself uncertain.

    Formula: sum of negative binomial chances with size failures plus one half and success share
    seen over (seen plus ahead): the rate has the gamma distribution that Jeffreys' prior gives.

    Args:
        failures: failures seen so far, 0 or more.
        seen_h: hours of use they were seen in, above 0.
        ahead_h: hours of use to come, above 0.
        spares: spares in stock, 0 or more.

    Returns:
        A share between 0 and 1.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Bayes' rule with Jeffreys' prior for a Poisson rate (from memory).

    Example:
        >>> round(enough_spares_after(1, 251775, 270742, 4), 5)
        0.92394
    """
    size = whole("failures", failures) + 0.5
    seen, ahead = positive("seen_h", seen_h), positive("ahead_h", ahead_h)
    most, share_ahead = whole("spares", spares), ahead / (seen + ahead)
    log_chance = (
        math.lgamma(most + size)
        - math.lgamma(size)
        - math.lgamma(most + 1)
        - size * math.log1p(ahead / seen)
        + most * math.log(share_ahead)
    )
    return _summed(
        most,
        size * ahead / seen,
        log_chance,
        lambda count: (count + size) / (count + 1) * share_ahead,
    )


def spares_needed_after(failures: int, seen_h: float, ahead_h: float, chance: float) -> int:
    """The fewest spares that are enough with a chance when the failure rate is uncertain.

    Formula: smallest number whose chance by ``enough_spares_after`` reaches the one asked for.

    Args:
        failures: failures seen so far, 0 or more.
        seen_h: hours of use they were seen in, above 0.
        ahead_h: hours of use to come, above 0.
        chance: above 0 and below 1.

    Returns:
        Spares.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: Bayes' rule with Jeffreys' prior for a Poisson rate (from memory).

    Example:
        >>> spares_needed_after(1, 251775, 270742, 0.9)
        4
    """
    return _fewest(
        lambda spares: enough_spares_after(failures, seen_h, ahead_h, spares),
        share("chance", chance),
    )


def _fewest(chance_of: Callable[[int], float], wanted: float) -> int:
    """The smallest whole number whose chance reaches the one wanted."""
    if chance_of(0) >= wanted:
        return 0
    low, high = 0, 1
    while chance_of(high) < wanted:
        low, high = high, 2 * high
        if high > MOST_SPARES:
            raise InputError(no_result, why=f"more than {MOST_SPARES} spares would be needed")
    while high - low > 1:
        middle = (low + high) // 2
        if chance_of(middle) < wanted:
            low = middle
        else:
            high = middle
    return high
