"""The functions that a formula may call: how many arguments, and what is done with the numbers.

Elementary functions work on decimals of 28 figures. ``sin`` and ``cos`` go through floats and come
back with 12 significant figures. Whatever decides by whole numbers (``round floor ceil nearest``)
first snaps its number to 20 significant figures, so that 346/3.46 is 100 and not a hair below.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import (
    ROUND_CEILING,
    ROUND_FLOOR,
    ROUND_HALF_EVEN,
    Context,
    Decimal,
    DivisionByZero,
    InvalidOperation,
    Overflow,
)
from difflib import get_close_matches
from functools import lru_cache

from trainer.maths import catalogue

FIGURES = 28
SNAP_FIGURES = 20
FLOAT_FIGURES = 12
LARGEST_POWER_OF_TEN = 300
MOST_ARGUMENTS = 40
_TRAPS = [InvalidOperation, DivisionByZero, Overflow]

CONTEXT = Context(
    prec=FIGURES, rounding=ROUND_HALF_EVEN, Emin=-999, Emax=LARGEST_POWER_OF_TEN, traps=_TRAPS
)
_SNAP = Context(
    prec=SNAP_FIGURES, rounding=ROUND_HALF_EVEN, Emin=-999, Emax=LARGEST_POWER_OF_TEN, traps=_TRAPS
)
_FLOAT = Context(
    prec=FLOAT_FIGURES, rounding=ROUND_HALF_EVEN, Emin=-999, Emax=LARGEST_POWER_OF_TEN, traps=_TRAPS
)
snap = _SNAP.plus
# Source: the decimal expansion of pi (OEIS A000796), 40 digits, from memory; cut to what is used.
PI = CONTEXT.plus(Decimal("3.141592653589793238462643383279502884197"))
TWO_PI = CONTEXT.multiply(Decimal(2), PI)


@dataclass(frozen=True, slots=True)
class Function:
    """How often and how a function takes arguments; ``kind`` tells the unit check what it does.

    Kinds: ``number`` bare in, bare out · ``same`` keeps the unit · ``root`` halves it · ``angle`` ·
    ``whole`` bare only · ``step`` two of one unit · ``series`` any row of one unit · ``count`` ·
    ``choice`` of two of one unit by a condition · ``catalogue``.
    """

    name: str
    kind: str
    least: int
    most: int
    pattern: str

    @property
    def wanted(self) -> str:
        """How many arguments, in words."""
        if self.least == self.most:
            return f"{self.least} argument" + ("" if self.least == 1 else "s")
        if self.most == MOST_ARGUMENTS:
            return f"{self.least} or more arguments"
        return f"{self.least} to {self.most} arguments"


def _one(kind: str, *names: str) -> dict[str, Function]:
    return {name: Function(name, kind, 1, 1, f"{name}(x)") for name in names}


def _series(kind: str, *names: str) -> dict[str, Function]:
    return {
        name: Function(name, kind, 1, MOST_ARGUMENTS, f"{name}(a, b, …) or {name}(readings)")
        for name in names
    }


FUNCTIONS: dict[str, Function] = {
    **_one("number", "exp", "ln", "log10"),
    **_one("root", "sqrt"),
    **_one("same", "abs"),
    **_one("angle", "sin", "cos"),
    **_one("whole", "round", "floor", "ceil"),
    **_series("series", "min", "max", "sum", "mean", "sd", "range_of", "first", "last"),
    **_series("count", "count"),
    "nearest": Function("nearest", "step", 2, 2, "nearest(x, step)"),
    "when": Function("when", "choice", 3, 3, "when(condition, a, b)"),
}
RESERVED = frozenset({*FUNCTIONS, "pi", "in", "bare", "and", "or", "not"})


@lru_cache(maxsize=1024)
def function_named(name: str) -> Function | None:
    """The function of this name, elementary or of the catalogue; ``None`` when there is none."""
    if name in FUNCTIONS:
        return FUNCTIONS[name]
    row = catalogue.ENTRIES.get(name)
    if row is None or row.results or row.is_text:
        return None
    least = sum(argument.required for argument in row.arguments)
    return Function(name, "catalogue", least, len(row.arguments), row.usage)


def is_reserved(name: str) -> bool:
    """Whether no symbol may bear this name."""
    return name in RESERVED or name in catalogue.ENTRIES


def near(name: str) -> str:
    """'Did you mean …?' for a function's name; empty when nothing is near."""
    close = get_close_matches(name, [*FUNCTIONS, *catalogue.ENTRIES], n=2)
    return f"Did you mean {' or '.join(close)}?" if close else ""


def from_float(value: float) -> Decimal:
    """A float result as a decimal of 12 significant figures."""
    if not math.isfinite(value):
        raise InvalidOperation
    return _FLOAT.plus(Decimal(repr(value)))


def sine(radians: Decimal) -> Decimal:
    """The sine by float, 12 figures."""
    return from_float(math.sin(float(radians)))


def cosine(radians: Decimal) -> Decimal:
    """The cosine by float, 12 figures."""
    return from_float(math.cos(float(radians)))


def rounded(value: Decimal) -> Decimal:
    """The nearest whole number, a half to the even one."""
    return snap(value).to_integral_value(ROUND_HALF_EVEN)


def floored(value: Decimal) -> Decimal:
    """The whole number at or below."""
    return snap(value).to_integral_value(ROUND_FLOOR)


def ceiled(value: Decimal) -> Decimal:
    """The whole number at or above."""
    return snap(value).to_integral_value(ROUND_CEILING)


def nearest(value: Decimal, step: Decimal) -> Decimal:
    """The nearest whole multiple of a step."""
    return rounded(value / step) * step


def total(values: Sequence[Decimal]) -> Decimal:
    """The sum in the order given."""
    result = Decimal(0)
    for value in values:
        result += value
    return result


def mean(values: Sequence[Decimal]) -> Decimal:
    """The arithmetic mean."""
    return total(values) / len(values)


def sd(values: Sequence[Decimal]) -> Decimal:
    """The sample standard deviation, by n - 1."""
    middle = mean(values)
    squares = total([(value - middle) * (value - middle) for value in values])
    return (squares / (len(values) - 1)).sqrt()


def range_of(values: Sequence[Decimal]) -> Decimal:
    """Largest less smallest."""
    return max(values) - min(values)


def _above_zero(value: Decimal) -> Decimal:
    """Decimals give minus infinity for the logarithm of zero; here it has no value."""
    if value <= 0:
        raise InvalidOperation
    return value


def small(exponent: Decimal) -> Decimal:
    """An exponent worked out from other values, kept within its bound."""
    if abs(exponent) > 64:
        raise Overflow
    return exponent


def raised(base: Decimal, exponent: Decimal) -> Decimal:
    """A power whose exponent is worked out."""
    if small(exponent) < 0:
        return 1 / base**-exponent
    return base**exponent


ONE_NUMBER: dict[str, Callable[[Decimal], Decimal]] = {
    "exp": Decimal.exp,
    "ln": lambda value: _above_zero(value).ln(),
    "log10": lambda value: _above_zero(value).log10(),
    "sqrt": Decimal.sqrt,
    "abs": abs,
    "round": rounded,
    "floor": floored,
    "ceil": ceiled,
    "sin": sine,
    "cos": cosine,
}
MANY_NUMBERS: dict[str, Callable[[Sequence[Decimal]], Decimal]] = {
    "min": min,
    "max": max,
    "sum": total,
    "mean": mean,
    "sd": sd,
    "range_of": range_of,
    "count": lambda values: Decimal(len(values)),
    "first": lambda values: values[0],
    "last": lambda values: values[-1],
}
