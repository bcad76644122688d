"""Rounding and comparing decimals: significant figures, steps, bands, limits.

Every function works in a decimal context of its own. Modes by name: ``half even`` (ties to the even
digit), ``half away`` (ties away from zero), ``up`` (towards plus infinity), ``down`` (towards minus
infinity).
"""

from __future__ import annotations

from decimal import (
    ROUND_CEILING,
    ROUND_FLOOR,
    ROUND_HALF_EVEN,
    ROUND_HALF_UP,
    Context,
    Decimal,
)
from functools import lru_cache

from trainer.maths.ranges import one_of, positive, whole

MODES = {
    "half even": ROUND_HALF_EVEN,
    "half away": ROUND_HALF_UP,
    "up": ROUND_CEILING,
    "down": ROUND_FLOOR,
}
SNAPPED_FIGURES = 20


@lru_cache(maxsize=128)
def _context(figures: int, mode: str) -> Context:
    return Context(prec=figures, rounding=MODES[one_of("mode", mode, tuple(MODES))])


def to_figures(value: Decimal, figures: int, mode: str = "half even") -> Decimal:
    """The value to so many significant figures.

    Example:
        >>> to_figures(Decimal("4.7368"), 3), to_figures(Decimal("0.20051"), 2, "up")
        (Decimal('4.74'), Decimal('0.21'))
    """
    return _context(whole("figures", figures, 1, 60), mode).plus(value)


def to_places(value: Decimal, places: int, mode: str = "half even") -> Decimal:
    """The value with so many digits after the decimal mark.

    Example:
        >>> to_places(Decimal("2.25"), 1), to_places(Decimal("2.25"), 1, "half away")
        (Decimal('2.2'), Decimal('2.3'))
    """
    return _context(60, mode).quantize(value, Decimal(1).scaleb(-places))


def to_step(value: Decimal, step: Decimal, mode: str = "half even") -> Decimal:
    """The value at the nearest whole multiple of a step, after snapping the number of steps.

    Raises:
        InputError: MTH-030 for a step that is not above zero.

    Example:
        >>> to_step(Decimal("18.13"), Decimal("0.05"))
        Decimal('18.15')
    """
    positive("step", step)
    steps = snapped(_context(28, "half even").divide(value, step))
    wide = _context(60, mode)
    return wide.multiply(wide.quantize(steps, Decimal(1)), step)


def snapped(value: Decimal, figures: int = SNAPPED_FIGURES) -> Decimal:
    """The value to 20 figures: what two ways to the same number agree in.

    A quotient kept to 28 figures can miss the whole number it stands for by its last digit; floor,
    comparison and exact marking look at the snapped value.

    Example:
        >>> snapped(Decimal("99.99999999999999999999999998"))
        Decimal('100.00000000000000000')
    """
    return _context(figures, "half even").plus(value)


def inward(low: Decimal, high: Decimal, places: int) -> tuple[Decimal, Decimal]:
    """A band rounded inward, so that what is printed never promises more than what is accepted.

    A band narrower than one step of the last place is given as it stands.

    Example:
        >>> inward(Decimal("5.1351"), Decimal("5.2389"), 2)
        (Decimal('5.14'), Decimal('5.23'))
    """
    inner = to_places(low, places, "up"), to_places(high, places, "down")
    return inner if inner[0] <= inner[1] else (low, high)


def within(value: Decimal, low: Decimal, high: Decimal) -> bool:
    """Whether the snapped value lies in the band; both edges are inside."""
    return snapped(low) <= snapped(value) <= snapped(high)
