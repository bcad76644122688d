"""A quantity is a value with its dimension; and numbers as people read them, in and out.

Values are exact decimals in base units, worked to 28 figures in a context of this module's own, so
that the result never depends on what some other code did to the process's decimal settings.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal
from typing import Self

from trainer.errors import InputError, register
from trainer.maths.units import (
    BARE,
    CONTEXT,
    Dimension,
    Unit,
    base_unit,
    dimension_name,
    other_dimension,
    point_and_difference,
    require_same_dimension,
)

not_a_number = register(
    "MTH-010", "'{text}' is not a number.", "Write digits, such as 12.5.", audience="trainee"
)
points_refused = register(
    "MTH-011",
    "A temperature in degC cannot be {act}.",
    "Take a difference first: t - 0 degC is a number of kelvins.",
)
cannot_combine = register(
    "MTH-012",
    "{first} and {second} cannot be {act}.",
    "Both sides must measure the same thing.",
)
zero_divisor = register("MTH-013", "Something is divided by zero.", "Check the values drawn.")
power_refused = register(
    "MTH-014",
    "The power {power} of {name} is refused.",
    "A quantity with a unit takes a whole power up to 9; a bare number one up to 64.",
)

_SHOWING = Context(prec=120, rounding=ROUND_HALF_EVEN)
_PLAIN_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,3})?")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in base units with its dimension; ``point`` marks a temperature on the Celsius scale.

    Example:
        >>> from trainer.maths.units import parse_unit
        >>> flow = Quantity.of(Decimal("3.8"), parse_unit("g/s"))
        >>> time = Quantity.of(Decimal("18.0"), parse_unit("g")) / flow
        >>> format_figures(time.in_unit(parse_unit("s")))
        '4.737'
    """

    value: Decimal
    dimension: Dimension = BARE
    point: bool = False

    @classmethod
    def of(cls, value: Decimal, unit: Unit) -> Self:
        """So many of a unit. A percentage becomes its share: 5 % is 0.05."""
        return cls(unit.to_base(value), unit.dimension, unit.is_point)

    @classmethod
    def bare(cls, value: Decimal | int) -> Self:
        """A number without a unit."""
        return cls(Decimal(value))

    def in_unit(self, unit: Unit) -> Decimal:
        """The value told in a unit of the same dimension.

        Raises:
            InputError: MTH-003 for another dimension, MTH-004 for a point told as a difference.
        """
        if unit.dimension != self.dimension or unit.is_point != self.point:
            require_same_dimension(self.own_unit(), unit)
        return unit.from_base(self.value)

    def own_unit(self) -> Unit:
        """The base unit this value is kept in (degC for a point)."""
        from trainer.maths.units import parse_unit

        return parse_unit("degC") if self.point else base_unit(self.dimension)

    @property
    def is_bare(self) -> bool:
        """Whether it is a number without dimension."""
        return self.dimension == BARE

    def __add__(self, other: Quantity) -> Quantity:
        _require_same(self, other, "added")
        if self.point and other.point:
            raise InputError(points_refused, act="added to another")
        return Quantity(
            CONTEXT.add(self.value, other.value), self.dimension, self.point or other.point
        )

    def __sub__(self, other: Quantity) -> Quantity:
        _require_same(self, other, "subtracted")
        if other.point and not self.point:
            raise InputError(points_refused, act="taken from a difference")
        return Quantity(
            CONTEXT.subtract(self.value, other.value),
            self.dimension,
            self.point and not other.point,
        )

    def __mul__(self, other: Quantity) -> Quantity:
        _refuse_points("multiplied", self, other)
        return Quantity(
            CONTEXT.multiply(self.value, other.value),
            tuple(map(int.__add__, self.dimension, other.dimension)),
        )

    def __truediv__(self, other: Quantity) -> Quantity:
        _refuse_points("divided", self, other)
        if not other.value:
            raise InputError(zero_divisor)
        return Quantity(
            CONTEXT.divide(self.value, other.value),
            tuple(map(int.__sub__, self.dimension, other.dimension)),
        )

    def __pow__(self, power: int) -> Quantity:
        _refuse_points("raised to a power", self)
        if not isinstance(power, int) or abs(power) > (64 if self.is_bare else 9):
            raise InputError(power_refused, power=power, name=dimension_name(self.dimension))
        if power < 0 and not self.value:
            raise InputError(zero_divisor)
        raised = Decimal(1) if power == 0 else CONTEXT.power(self.value, power)
        return Quantity(raised, tuple(power * exponent for exponent in self.dimension))

    def __neg__(self) -> Quantity:
        _refuse_points("negated", self)
        return Quantity(self.value.copy_negate() if self.value else self.value, self.dimension)

    def __abs__(self) -> Quantity:
        _refuse_points("made positive", self)
        return Quantity(self.value.copy_abs(), self.dimension)

    def __lt__(self, other: Quantity) -> bool:
        _require_comparable(self, other)
        return self.value < other.value

    def __le__(self, other: Quantity) -> bool:
        _require_comparable(self, other)
        return self.value <= other.value

    def __gt__(self, other: Quantity) -> bool:
        _require_comparable(self, other)
        return self.value > other.value

    def __ge__(self, other: Quantity) -> bool:
        _require_comparable(self, other)
        return self.value >= other.value


def _refuse_points(act: str, *quantities: Quantity) -> None:
    if any(quantity.point for quantity in quantities):
        raise InputError(points_refused, act=act)


def _require_same(first: Quantity, second: Quantity, act: str) -> None:
    if first.dimension != second.dimension:
        raise InputError(
            cannot_combine,
            first=dimension_name(first.dimension),
            second=dimension_name(second.dimension),
            act=act,
        )


def _require_comparable(first: Quantity, second: Quantity) -> None:
    if first.dimension != second.dimension:
        raise InputError(
            other_dimension,
            first=first.own_unit().symbol or "a bare number",
            first_name=dimension_name(first.dimension),
            second=second.own_unit().symbol or "a bare number",
            second_name=dimension_name(second.dimension),
        )
    if first.point != second.point:
        raise InputError(
            point_and_difference, first=first.own_unit().symbol, second=second.own_unit().symbol
        )


def format_decimal(value: Decimal, places: int) -> str:
    """The value with so many places, plain digits, never an exponent, never a negative zero.

    Example:
        >>> format_decimal(Decimal("18"), 1), format_decimal(Decimal("-0.004"), 2)
        ('18.0', '0.00')
    """
    shown = _SHOWING.quantize(value, Decimal(1).scaleb(-places))
    return f"{shown or shown.copy_abs():f}"


def format_figures(value: Decimal, figures: int = 4) -> str:
    """The value to so many significant figures; an exponent only under 1e-6 and from 1e9 on.

    Example:
        >>> format_figures(Decimal("4.7368421")), format_figures(Decimal("2e-12"))
        ('4.737', '2.000e-12')
    """
    if not value:
        return format_decimal(value, figures - 1)
    rounded = Context(prec=figures, rounding=ROUND_HALF_EVEN).plus(value)
    power = rounded.adjusted()
    if -6 <= power < 9:
        return format_decimal(rounded, max(0, figures - 1 - power))
    mantissa = format_decimal(rounded.scaleb(-power), figures - 1)
    return f"{mantissa}e{power}"


def unit_text(unit: Unit, value: Decimal) -> str:
    """How a page writes the unit after this value: one dose, several doses.

    Example:
        >>> from trainer.maths.units import parse_unit
        >>> unit_text(parse_unit("dose"), Decimal(5)), unit_text(parse_unit("um/mark"), Decimal(25))
        ('doses', 'µm/mark')
    """
    return unit.printed if abs(value) == 1 else unit.plural


def with_unit(text: str, unit: Unit, value: Decimal) -> str:
    """A printed number and its unit: '18.0 g', '1 dose', '5 doses', '40 %', '7'."""
    word = unit_text(unit, value)
    return f"{text} {word}" if word else text


def read_number(text: str) -> Decimal:
    """The exact decimal that this plain text writes (no separators, no unit).

    Raises:
        InputError: MTH-010 for anything else, also for inf and nan.

    Example:
        >>> read_number(" 12.50 ")
        Decimal('12.50')
    """
    plain = text.strip().replace("−", "-")
    if not _PLAIN_NUMBER.fullmatch(plain):
        raise InputError(not_a_number, text=text)
    return Decimal(plain)
