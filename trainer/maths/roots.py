"""The place where a rising function passes zero, to the last digit that floats can tell apart."""

from __future__ import annotations

from collections.abc import Callable

from trainer.errors import InputError
from trainer.maths.ranges import no_result

_DOUBLINGS = 400


def rising_root(function: Callable[[float], float], start: float, why: str) -> float:
    """The positive x at which a rising function passes from below zero to zero or above.

    The bracket is found by doubling and halving from ``start``; bisection then ends when no float
    lies between its ends, so the answer depends on nothing but the function.

    Raises:
        InputError: MTH-032 with ``why`` when no such place is found.

    Example:
        >>> round(rising_root(lambda x: x * x - 2, 1.0, "none"), 12)
        1.414213562373
    """
    low = high = start
    for _ in range(_DOUBLINGS):
        if function(high) >= 0:
            break
        low, high = high, high * 2
    else:
        raise InputError(no_result, why=why)
    for _ in range(_DOUBLINGS):
        if function(low) < 0:
            break
        low, high = low / 2, low
    else:
        raise InputError(no_result, why=why)
    # Ends at the latest when no float lies between the ends.
    while True:
        middle = low + (high - low) / 2
        if middle in (low, high):
            return high
        if function(middle) < 0:
            low = middle
        else:
            high = middle
