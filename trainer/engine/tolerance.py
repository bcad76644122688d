"""How near is near enough: the tolerance of a find and the band that is printed and used.

T is the stated tolerance or, when that is smaller, what honest rounding costs: the difference at
the find when every method line is rounded to three figures in its printed unit and carried on. An
exact answer has T = 0, ``strict`` keeps to what is stated, and for a safety find only its last line
is rounded, to its safe side.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Context, Decimal
from typing import TYPE_CHECKING

from trainer.engine.formula_functions import CONTEXT, snap
from trainer.engine.outcome import Band
from trainer.maths.quantity import format_decimal
from trainer.maths.rounding import inward, to_figures

if TYPE_CHECKING:
    from trainer.engine.definition import Accept, Find

CHAIN_FIGURES = 3
# A safety band begins at the answer itself. It is cut at the sixth figure, so that whoever copies
# the full figures of a calculator is inside; that is finer than any measurement behind it.
SAFE_EDGE_FIGURES = 6
LEAST_STEPS = 5  # the band is printed in steps of at most a fifth of the tolerance
ZERO = Decimal(0)
_UP = Context(prec=SAFE_EDGE_FIGURES, rounding=ROUND_CEILING)
_DOWN = Context(prec=SAFE_EDGE_FIGURES, rounding=ROUND_FLOOR)


def is_exempt(accept: Accept) -> bool:
    """Whether the answer is exact, so that no rounding is allowed for."""
    return accept.kind in {"exact", "whole down"}


def stated(accept: Accept, expected: Decimal) -> Decimal:
    """The tolerance as the author states it, in the find's unit.

    Example:
        >>> from trainer.engine.definition import Accept
        >>> stated(Accept("figures", Decimal(3)), Decimal("21.349"))
        Decimal('0.05')
    """
    match accept.kind:
        case "percent":
            return CONTEXT.divide(CONTEXT.multiply(abs(expected), accept.value), Decimal(100))
        case "absolute" | "points":
            return accept.value
        case "figures":
            # Agreeing to n figures: at most half a unit of the answer's last figure away.
            if not expected:
                return ZERO
            return Decimal(5).scaleb(expected.adjusted() - int(accept.value))
        case _:
            return ZERO


def takes_allowance(find: Find) -> bool:
    """Whether rounding every method line is allowed for."""
    return not (find.strict or find.safe_side or is_exempt(find.accept))


def tolerance(find: Find, expected: Decimal, chained: Decimal | None) -> Decimal:
    """The tolerance of a find for one draw, in its unit.

    Args:
        find: the find.
        expected: the right answer in the find's unit.
        chained: the answer when every line is rounded to three figures; ``None`` when it is not
            asked for (``takes_allowance``) or cannot be worked out.
    """
    own = stated(find.accept, expected)
    if find.strict or is_exempt(find.accept):
        return own
    if find.safe_side:
        mode = "up" if find.safe_side == "higher" else "down"
        return max(own, abs(CONTEXT.subtract(to_figures(expected, CHAIN_FIGURES, mode), expected)))
    if chained is None:
        return own
    return max(own, abs(CONTEXT.subtract(chained, expected)))


def band(find: Find, expected: Decimal, tolerance: Decimal) -> Band:
    """The accepted span in the find's unit: what is printed is what is used, rounded inward.

    A safety find accepts only its safe side: the answer itself and what lies beyond it.

    Example:
        >>> from trainer.engine.definition import Accept, Find
        >>> from trainer.maths.units import parse_unit
        >>> find = Find("t", "time", parse_unit("s"), Accept("percent", Decimal(1)))
        >>> found = band(find, Decimal("5.186842105"), Decimal("0.05186842105"))
        >>> found.low_text, found.high_text
        ('5.14', '5.23')
    """
    symbol = find.unit.symbol
    if tolerance == 0:
        exact = snap(expected)
        text = plain_text(exact)
        return Band(exact, exact, exact, text, text, symbol)
    places = band_places(expected, tolerance)
    low, high = inward(
        CONTEXT.subtract(expected, tolerance), CONTEXT.add(expected, tolerance), places
    )
    places = max(_places_needed(low), _places_needed(high), _step_places(tolerance))
    low_text, high_text = format_decimal(low, places), format_decimal(high, places)
    if find.safe_side == "higher":
        low = _DOWN.plus(expected)
        low_text = plain_text(low)
    elif find.safe_side == "lower":
        high = _UP.plus(expected)
        high_text = plain_text(high)
    return Band(low, high, expected, low_text, high_text, symbol)


def band_places(expected: Decimal, tolerance: Decimal) -> int:
    """The places to which a band is rounded, negative for tens and hundreds.

    Fine enough for the tolerance, and never coarser than the third figure of the answer: the
    rounding allowance ends on such a figure, and it must stay inside.
    """
    places = _step_places(tolerance)
    return max(places, CHAIN_FIGURES - 1 - expected.adjusted()) if expected else places


def _step_places(tolerance: Decimal) -> int:
    return -(tolerance / LEAST_STEPS).adjusted()


def _places_needed(value: Decimal) -> int:
    """The places behind the point that are not idle zeros."""
    exponent = value.normalize().as_tuple().exponent
    assert isinstance(exponent, int)
    return -exponent if value else -99


def plain_text(value: Decimal) -> str:
    """A number in plain digits, without idle zeros behind the point.

    Example:
        >>> plain_text(Decimal("3570.0000")), plain_text(Decimal("0.050"))
        ('3570', '0.05')
    """
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
