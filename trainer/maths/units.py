"""Units of the trade: read a unit's text, convert between two, name a dimension.

The units are the closed list of ``unit_table``; a compound is built from them by a small grammar:
a product by space or ``·``, one ``/``, brackets after it, powers as a trailing digit (``ohm
mm2/m``, ``J/(kg K)``, ``1/min``, ``event/1000 dose``).

Three rules that a reader must know:

* **Angle is a dimension** with the turn as its base, so that 1 turn = 360 deg is exact. A rotation
  speed in ``1/min`` is a number per time, not an angle per time. Speed times time is therefore a
  bare number; an exercise that asks for it in ``turn`` multiplies by the literal ``1 turn``
  (``N = n * t / 2 * 1 turn``). A pitch in ``mm/turn`` over ``mark/turn`` needs nothing: the turns
  cancel.
* **Counting words** (dose, mark, person …) and ``%`` have no dimension: 5 % is 0.05, 3 doses
  are 3.
* **degC is a point, K a difference**: converting one into the other is refused.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from functools import lru_cache

from trainer.errors import InputError, register
from trainer.maths.dimensions import BASE, NUMBER, Dimension, dimension_name
from trainer.maths.unit_reading import BY_SYMBOL, terms_of, unreadable_unit
from trainer.maths.unit_table import USUAL, Atom

other_dimension = register(
    "MTH-003",
    "{first} ({first_name}) and {second} ({second_name}) do not measure the same thing.",
    "Use a unit of {second_name}.",
    audience="trainee",
)
point_and_difference = register(
    "MTH-004",
    "{first} and {second} do not mix: degC is a temperature, K a difference between two.",
    "Write a temperature in degC and a difference in K.",
    audience="trainee",
)

__all__ = [
    "BARE",
    "BASE",
    "CONTEXT",
    "WIDE",
    "Dimension",
    "Unit",
    "alternatives",
    "base_unit",
    "convert",
    "dimension_name",
    "parse_unit",
    "require_same_dimension",
    "same_dimension",
    "units_of_dimension",
]

CONTEXT = Context(prec=28, rounding=ROUND_HALF_EVEN)
WIDE = Context(prec=80, rounding=ROUND_HALF_EVEN)
BARE: Dimension = NUMBER
ZERO = Decimal(0)
CELSIUS_OFFSET_K = Decimal("273.15")  # Source: SI Brochure, 9th edition, 2.3.1 (from memory); exact


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its text, dimension and exact size in base units.

    Attributes:
        symbol: the plain text that authors write and records keep (``um/mark``).
        dimension: exponents over ``BASE``.
        factor: base units in one of it.
        offset: base units from zero to the scale's own zero; only ``degC`` has one: a point, not a
            difference.
        counts: the counting words in it, without dimension (``dose``).
        printed: how a page shows one of it (``µm/mark``).
        plural: how a page shows several (``doses/day``).
    """

    symbol: str
    dimension: Dimension
    factor: Fraction
    offset: Decimal = ZERO
    counts: str = ""
    printed: str = ""
    plural: str = ""
    over: Decimal = field(init=False, compare=False, repr=False)
    under: Decimal = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        set_field = object.__setattr__
        set_field(self, "over", Decimal(self.factor.numerator))
        set_field(self, "under", Decimal(self.factor.denominator))
        set_field(self, "printed", self.printed or self.symbol)
        set_field(self, "plural", self.plural or self.printed)

    def __hash__(self) -> int:
        return hash(self.symbol)

    def __str__(self) -> str:
        return self.symbol

    @property
    def is_point(self) -> bool:
        """Whether its values are points on a scale (degC)."""
        return self.offset != ZERO

    def to_base(self, value: Decimal) -> Decimal:
        """This many of the unit, in base units, to 28 figures."""
        scaled = CONTEXT.divide(WIDE.multiply(value, self.over), self.under)
        return CONTEXT.add(scaled, self.offset) if self.offset else scaled

    def from_base(self, value: Decimal) -> Decimal:
        """So many base units, in this unit, to 28 figures."""
        shifted = CONTEXT.subtract(value, self.offset) if self.offset else value
        return CONTEXT.divide(WIDE.multiply(shifted, self.under), self.over)


_SUPERSCRIPTS = str.maketrans("23", "²³")


@lru_cache(maxsize=4096)
def parse_unit(text: str) -> Unit:
    """The unit that this text means, as authors and trainees write it.

    Args:
        text: such as ``g/s``, ``µm``, ``Ω``, ``doses/day``, ``rpm``; empty for a bare number.

    Returns:
        The unit, with its own plain text as symbol.

    Raises:
        InputError: MTH-001 for a word that is not in the table (with the nearest that is), MTH-002
            for a text that
            does not follow the grammar.

    Example:
        >>> parse_unit("doses/day").symbol, parse_unit("kΩ").symbol, parse_unit("min-1").symbol
        ('dose/day', 'kohm', '1/min')
    """
    terms, scale = terms_of(text)
    return _compose(terms, scale, text) if terms else Unit("", BARE, Fraction(1))


def _compose(terms: list[tuple[Atom, int]], scale: int, text: str) -> Unit:
    if len(terms) > 1 or terms[0][1] != 1:
        for atom, _ in terms:
            if atom.symbol == "degC":
                raise InputError(
                    unreadable_unit,
                    text=text,
                    why="a temperature in degC cannot be part of a product",
                    cure="Write K: a difference of 1 degC is 1 K.",
                )
    dimension = BARE
    factor = Fraction(1, scale)
    for atom, power in terms:
        dimension = tuple(
            have + power * more for have, more in zip(dimension, atom.dimension, strict=True)
        )
        factor *= atom.factor**power
    over = [(atom, power) for atom, power in terms if power > 0]
    under = [(atom, -power) for atom, power in terms if power < 0]
    return Unit(
        symbol=_written(over, under, scale, "symbol"),
        dimension=dimension,
        factor=factor,
        offset=CELSIUS_OFFSET_K if terms[0][0].symbol == "degC" else ZERO,
        counts=" ".join(atom.symbol for atom, _ in terms if atom.counting),
        printed=_written(over, under, scale, "printed"),
        plural=_written(over, under, scale, "plural"),
    )


def _written(
    over: list[tuple[Atom, int]], under: list[tuple[Atom, int]], scale: int, style: str
) -> str:
    """The text of a compound: 'symbol' in plain letters, the others as a page shows it."""
    blank = " " if style == "symbol" else "·"

    def word(atom: Atom, power: int, *, many: bool) -> str:
        name = atom.symbol
        if style != "symbol":
            name = (atom.plural if many else "") or atom.printed or atom.symbol
        digit = "" if power == 1 else str(power)
        return name + (digit if style == "symbol" else digit.translate(_SUPERSCRIPTS))

    above = blank.join(word(atom, power, many=style == "plural") for atom, power in over) or "1"
    if not under:
        return above
    below = blank.join(word(atom, power, many=scale > 1) for atom, power in under)
    if scale > 1:
        below = f"{scale} {below}"
    elif len(under) > 1:
        below = f"({below})"
    return f"{above}/{below}"


def same_dimension(first: Unit, second: Unit) -> bool:
    """Whether a value in one can be told in the other: same dimension, both points or neither."""
    return first.dimension == second.dimension and first.is_point == second.is_point


def convert(value: Decimal, source: Unit, target: Unit) -> Decimal:
    """This value of the source unit, told in the target unit, to 28 figures.

    Raises:
        InputError: MTH-003 when they do not measure the same thing, MTH-004 for degC into K or
            back.

    Example:
        >>> str(convert(Decimal("3.4"), parse_unit("kg/day"), parse_unit("g/h")).normalize())
        '141.6666666666666666666666667'
    """
    require_same_dimension(source, target)
    if source.symbol == target.symbol:
        return value
    scaled = source.factor / target.factor
    return CONTEXT.divide(
        WIDE.multiply(value, Decimal(scaled.numerator)), Decimal(scaled.denominator)
    )


def require_same_dimension(first: Unit, second: Unit) -> None:
    """Refuse two units that do not measure the same thing."""
    if first.dimension != second.dimension:
        raise InputError(
            other_dimension,
            first=first.symbol or "a bare number",
            first_name=dimension_name(first.dimension),
            second=second.symbol or "a bare number",
            second_name=dimension_name(second.dimension),
        )
    if first.is_point != second.is_point:
        raise InputError(point_and_difference, first=first.symbol, second=second.symbol)


@lru_cache(maxsize=1)
def _usual() -> dict[Dimension, tuple[tuple[Unit, ...], ...]]:
    grouped: dict[Dimension, tuple[tuple[Unit, ...], ...]] = {}
    for texts in USUAL:
        row = tuple(parse_unit(text) for text in texts)
        grouped[row[0].dimension] = (*grouped.get(row[0].dimension, ()), row)
    return grouped


def units_of_dimension(dimension: Dimension) -> tuple[Unit, ...]:
    """The units people use for a dimension, most usual first; empty when the table names none."""
    return tuple(unit for row in _usual().get(dimension, ()) for unit in row)


def alternatives(unit: Unit) -> tuple[Unit, ...]:
    """What an answer cell offers: the unit itself, then the usual ones that could stand for it.

    A counting word keeps its word (doses per day may be told per hour, not in hertz); a point
    stays a point; a torque is not offered in joules.

    Example:
        >>> [other.symbol for other in alternatives(parse_unit("dose/day"))]
        ['dose/day', 'dose/min', 'dose/s', 'dose/h']
    """
    if unit.is_point or unit.dimension == BARE:
        return (unit,)
    rows = _usual().get(unit.dimension, ())
    others = next((row for row in rows if unit in row), rows[0] if rows else ())
    if unit.counts:
        others = tuple(
            parse_unit(other.symbol.replace("1/", f"{unit.counts}/", 1))
            for other in others
            if other.symbol.startswith("1/") and unit.symbol.startswith(f"{unit.counts}/")
        )
    return (unit, *(other for other in others if other.symbol != unit.symbol))


def base_unit(dimension: Dimension) -> Unit:
    """The unit of a dimension in kilograms, metres, seconds, kelvins, amperes, turns and money.

    Example:
        >>> base_unit(parse_unit("g/s").dimension).symbol
        'kg/s'
    """
    for unit in units_of_dimension(dimension):
        if unit.factor == 1:
            return unit
    terms = [
        (BY_SYMBOL[symbol], power)
        for symbol, power in zip(
            ("kg", "m", "s", "K", "A", "turn", "money"), dimension, strict=True
        )
        if power
    ]
    return _compose(terms, 1, "") if terms else parse_unit("")
