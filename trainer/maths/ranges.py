"""What a number may be: every function checks its arguments here, so that a refusal reads the same.

The error names the argument, the value and what is allowed. Nothing is silently clipped, and nan
or inf never pass.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal
from numbers import Real

from trainer.errors import InputError, register

out_of_range = register(
    "MTH-030",
    "{argument} is {value}; it must be {allowed}.",
    "Give a value that is {allowed}.",
    audience="trainee",
)
wrong_length = register(
    "MTH-031",
    "{argument} holds {count} values; {allowed} are needed.",
    "Give {allowed} values.",
    audience="trainee",
)
no_result = register(
    "MTH-032", "There is no answer: {why}.", "Look at what was given.", audience="trainee"
)


def allowed_words(
    low: float | None = None,
    high: float | None = None,
    *,
    above: bool = False,
    below: bool = False,
) -> str:
    """The allowed range in words; ``above`` and ``below`` leave the edge itself out.

    Example:
        >>> allowed_words(0, 1, above=True)
        'above 0 and at most 1'
    """
    parts = []
    if low is not None:
        parts.append(f"{'above' if above else 'at least'} {low:g}")
    if high is not None:
        parts.append(f"{'below' if below else 'at most'} {high:g}")
    return " and ".join(parts) or "a finite number"


def number(
    argument: str,
    value: float | Decimal,
    low: float | None = None,
    high: float | None = None,
    *,
    above: bool = False,
    below: bool = False,
) -> float:
    """The value as a float, if it is finite and in its range.

    Raises:
        InputError: MTH-030 with the argument, its value and the allowed range.
    """
    if isinstance(value, bool) or not isinstance(value, (Real, Decimal)):
        raise InputError(out_of_range, argument=argument, value=repr(value), allowed="a number")
    plain = float(value)
    if (
        not math.isfinite(plain)
        or (low is not None and (plain < low or (above and plain == low)))
        or (high is not None and (plain > high or (below and plain == high)))
    ):
        raise InputError(
            out_of_range,
            argument=argument,
            value=f"{plain:g}",
            allowed=allowed_words(low, high, above=above, below=below),
        )
    return plain


def positive(argument: str, value: float | Decimal) -> float:
    """The value as a float, if it is above zero."""
    return number(argument, value, 0, above=True)


def not_negative(argument: str, value: float | Decimal) -> float:
    """The value as a float, if it is zero or more."""
    return number(argument, value, 0)


def share(argument: str, value: float | Decimal) -> float:
    """The value as a float, if it is strictly between 0 and 1."""
    return number(argument, value, 0, 1, above=True, below=True)


def whole(argument: str, value: float | Decimal, low: int = 0, high: int | None = None) -> int:
    """The value as an int, if it is a whole number in its range."""
    plain = number(argument, value)
    if plain != int(plain) or plain < low or (high is not None and plain > high):
        raise InputError(
            out_of_range,
            argument=argument,
            value=f"{plain:g}",
            allowed=f"a whole number {allowed_words(low, high)}",
        )
    return int(plain)


def one_of(argument: str, value: str, allowed: Sequence[str]) -> str:
    """The text, if it is one of those allowed."""
    if value not in allowed:
        raise InputError(
            out_of_range,
            argument=argument,
            value=repr(value),
            allowed=f"one of {', '.join(allowed)}",
        )
    return value


def sequence(
    argument: str,
    values: Iterable[float | Decimal],
    least: int = 1,
    low: float | None = None,
    high: float | None = None,
    *,
    above: bool = False,
) -> tuple[float, ...]:
    """The values as floats, if there are enough and each is in its range.

    Raises:
        InputError: MTH-031 for too few values, MTH-030 for a value out of range.
    """
    plain = tuple(
        number(f"{argument}[{place}]", value, low, high, above=above)
        for place, value in enumerate(values)
    )
    if len(plain) < least:
        raise InputError(
            wrong_length, argument=argument, count=len(plain), allowed=f"at least {least}"
        )
    return plain


def same_length(
    first: str, first_values: Sequence[object], second: str, values: Sequence[object]
) -> None:
    """Refuse two sequences that belong together and are not equally long."""
    if len(first_values) != len(values):
        raise InputError(
            wrong_length,
            argument=second,
            count=len(values),
            allowed=f"as many as {first} holds ({len(first_values)})",
        )
