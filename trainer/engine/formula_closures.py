"""A checked tree turned once into closures; working a formula out never looks at its text again.

Two modes. Over quantities every value is a decimal in base units (kilogram, metre, second, kelvin,
ampere, turn): the unit check has already shown that units agree, so no unit is carried along. Over
bare numbers every value is the number that is shown. The modes differ in literals, in the angle of
``sin`` and ``cos`` (turns or radians) and in the units of a catalogue function's arguments.

Two-part sums and products of plain symbols are most of what authors write, so they have closures of
their own: that is what keeps a formula within a few times of the same arithmetic in plain Python.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from trainer.engine.formula_errors import FormulaError, power_refused
from trainer.engine.formula_functions import (
    CONTEXT,
    FUNCTIONS,
    MANY_NUMBERS,
    ONE_NUMBER,
    PI,
    TWO_PI,
    cosine,
    from_float,
    nearest,
    raised,
    sine,
    small,
    snap,
)
from trainer.engine.formula_nodes import (
    Bracket,
    Call,
    Chain,
    Comparison,
    Logic,
    Name,
    Negative,
    Node,
    Number,
    Power,
    Text,
    constant,
    every_part,
)
from trainer.engine.formula_tree import MAX_EXPONENT
from trainer.maths import catalogue
from trainer.maths.units import parse_unit

# A value is a decimal, a row of decimals, a run log, a truth value or a word; the unit check, not
# the type of a closure, says which.
Values = Mapping[str, Any]
Run = Callable[[Values], Any]
_NOT_NAMES: Values = {}


def closure(node: Node, *, bare: bool) -> Run:  # noqa: PLR0911 - one return a kind
    """The closure of a tree.

    Args:
        node: a tree from ``formula_tree``.
        bare: over bare numbers in shown units rather than over base units.
    """
    match node:
        case Bracket():
            return closure(node.part, bare=bare)
        case Number():
            return _same(_literal(node, sign=1))
        case Text():
            return _same(node.text)
        case Name():
            return _same(PI) if node.name == "pi" else _symbol(node.name)
        case Negative():
            return _negative(node, bare=bare)
        case Chain():
            return _chain(node, bare=bare)
        case Power():
            return _power(node, bare=bare)
        case Comparison():
            left, right = closure(node.left, bare=bare), closure(node.right, bare=bare)
            return _COMPARED[node.sign](left, right)
        case Logic():
            return _logic(node, bare=bare)
        case _:
            return _call(node, bare=bare)


def _same(value: object) -> Run:
    return lambda _: value


def _symbol(name: str) -> Run:
    return lambda values: values[name]


def _literal(node: Number, *, sign: int) -> Decimal:
    value = node.value * sign
    return node.unit.to_base(value) if node.unit else value


def _negative(node: Negative, *, bare: bool) -> Run:
    if isinstance(node.part, Number):
        return _same(CONTEXT.plus(_literal(node.part, sign=-1)))
    part = closure(node.part, bare=bare)
    return lambda values: -part(values)


def _symbol_name(node: Node) -> str:
    """The name of a part that is a plain symbol; empty for anything else."""
    while isinstance(node, Bracket):
        node = node.part
    return node.name if isinstance(node, Name) and node.name != "pi" else ""


def _chain(node: Chain, *, bare: bool) -> Run:
    """Sums and products from left to right, two parts at a time."""
    run, name = closure(node.first, bare=bare), _symbol_name(node.first)
    for sign, part in node.rest:
        second = _symbol_name(part)
        if name and second:
            run = _SYMBOL_SYMBOL[sign](name, second)
        elif second:
            run = _PART_SYMBOL[sign](run, second)
        elif name:
            run = _SYMBOL_PART[sign](name, closure(part, bare=bare))
        else:
            run = _PART_PART[sign](run, closure(part, bare=bare))
        name = ""
    return run


_SYMBOL_SYMBOL: dict[str, Callable[[str, str], Run]] = {
    "+": lambda a, b: lambda values: values[a] + values[b],
    "-": lambda a, b: lambda values: values[a] - values[b],
    "*": lambda a, b: lambda values: values[a] * values[b],
    "/": lambda a, b: lambda values: values[a] / values[b],
}
_PART_SYMBOL: dict[str, Callable[[Run, str], Run]] = {
    "+": lambda a, b: lambda values: a(values) + values[b],
    "-": lambda a, b: lambda values: a(values) - values[b],
    "*": lambda a, b: lambda values: a(values) * values[b],
    "/": lambda a, b: lambda values: a(values) / values[b],
}
_SYMBOL_PART: dict[str, Callable[[str, Run], Run]] = {
    "+": lambda a, b: lambda values: values[a] + b(values),
    "-": lambda a, b: lambda values: values[a] - b(values),
    "*": lambda a, b: lambda values: values[a] * b(values),
    "/": lambda a, b: lambda values: values[a] / b(values),
}
_PART_PART: dict[str, Callable[[Run, Run], Run]] = {
    "+": lambda a, b: lambda values: a(values) + b(values),
    "-": lambda a, b: lambda values: a(values) - b(values),
    "*": lambda a, b: lambda values: a(values) * b(values),
    "/": lambda a, b: lambda values: a(values) / b(values),
}
_COMPARED: dict[str, Callable[[Run, Run], Run]] = {
    "<": lambda a, b: lambda values: snap(a(values)) < snap(b(values)),
    "<=": lambda a, b: lambda values: snap(a(values)) <= snap(b(values)),
    ">": lambda a, b: lambda values: snap(a(values)) > snap(b(values)),
    ">=": lambda a, b: lambda values: snap(a(values)) >= snap(b(values)),
    "==": lambda a, b: lambda values: snap(a(values)) == snap(b(values)),
    "!=": lambda a, b: lambda values: snap(a(values)) != snap(b(values)),
}


def _power(node: Power, *, bare: bool) -> Run:
    base, power = closure(node.base, bare=bare), closure(node.exponent, bare=bare)
    value = constant(node.exponent)
    if value == 2:
        return lambda values: (part := base(values)) * part
    if value is not None and value < 0:
        # Zero to a negative power is infinite in decimals; the division refuses it.
        return lambda values: 1 / base(values) ** -value
    if value is not None:
        return lambda values: base(values) ** value
    if not any(isinstance(part, Name) and part.name != "pi" for part in every_part(node.exponent)):
        _require_small(node.exponent, power)
    return lambda values: raised(base(values), power(values))


def _require_small(node: Node, power: Run) -> None:
    """Refuse an exponent without symbols that is too large, while the block is being read."""
    try:
        small(power(_NOT_NAMES))
    except (ArithmeticError, ValueError) as refused:
        raise FormulaError(
            power_refused,
            text="after '^'",
            why=f"it is beyond {MAX_EXPONENT}",
            cure="Look at the formula again.",
            column=node.start + 1,
        ) from refused


def _logic(node: Logic, *, bare: bool) -> Run:
    parts = [closure(part, bare=bare) for part in node.parts]
    if node.kind == "not":
        only = parts[0]
        return lambda values: not only(values)
    if node.kind == "and":
        return lambda values: all(part(values) for part in parts)
    return lambda values: any(part(values) for part in parts)


def _call(node: Call, *, bare: bool) -> Run:
    if node.name not in FUNCTIONS:
        return _catalogued(node, bare=bare)
    parts = [closure(part, bare=bare) for part in node.arguments]
    if node.name in MANY_NUMBERS:
        many = MANY_NUMBERS[node.name]
        return lambda values: many(_flat([part(values) for part in parts]))
    if node.name == "nearest":
        value, step = parts
        return lambda values: nearest(value(values), step(values))
    if node.name == "when":
        condition, first, second = parts
        return lambda values: first(values) if condition(values) else second(values)
    (argument,) = parts
    if node.name in {"sin", "cos"} and not bare:
        wave = sine if node.name == "sin" else cosine
        return lambda values: wave(argument(values) * TWO_PI)
    one = ONE_NUMBER[node.name]
    return lambda values: one(argument(values))


def _flat(values: list[Any]) -> list[Decimal]:
    """Numbers and rows of readings as one row."""
    flat: list[Decimal] = []
    for value in values:
        if isinstance(value, tuple):
            flat.extend(value)
        else:
            flat.append(value)
    return flat


def _catalogued(node: Call, *, bare: bool) -> Run:
    """A function of the catalogue: arguments in the units it asks for, the result 12 figures."""
    row = catalogue.entry(node.name)
    function = row.function
    takes = []
    for argument, part in zip(row.arguments, node.arguments, strict=False):
        run = closure(part, bare=bare)
        unit = parse_unit(argument.unit)
        number = Decimal if argument.exact else float
        if argument.shape == "whole":
            take = _whole(run)
        elif argument.shape == "log":
            take = _log(run)
        elif argument.shape == "date":
            take = _date(run, bare=bare)
        elif argument.shape not in {"scalar", "sequence"}:
            take = run
        elif argument.shape == "sequence":
            take = _row(run, None if bare else unit.from_base, number)
        else:
            take = _plain(run, None if bare else unit.from_base, number)
        takes.append((argument.name, take))
    result_unit = parse_unit(row.unit)
    to_base = None if bare else result_unit.to_base

    def run_function(values: Values) -> Any:  # noqa: ANN401 - see Values
        result = function(**{name: take(values) for name, take in takes})
        number = result if isinstance(result, Decimal) else from_float(float(result))
        return to_base(number) if to_base else number

    return run_function


def _plain(
    run: Run, from_base: Callable[[Decimal], Decimal] | None, number: Callable[[Any], Any]
) -> Run:
    if from_base is None:
        return lambda values: number(run(values))
    return lambda values: number(from_base(run(values)))


def _row(
    run: Run, from_base: Callable[[Decimal], Decimal] | None, number: Callable[[Any], Any]
) -> Run:
    if from_base is None:
        return lambda values: [number(value) for value in run(values)]
    return lambda values: [number(from_base(value)) for value in run(values)]


def _whole(run: Run) -> Run:
    def take(values: Values) -> int:
        value = snap(run(values))
        if value != value.to_integral_value():
            msg = "a whole number is wanted"
            raise ValueError(msg)
        return int(value)

    return take


def _log(run: Run) -> Run:
    return lambda values: [(float(start), float(end)) for start, end in run(values)]


def _date(run: Run, *, bare: bool) -> Run:
    """A day number (a date's bare value; its base value counts seconds) as a date."""
    seconds = Decimal(1 if bare else 86_400)
    return lambda values: datetime.date.fromordinal(int(run(values) / seconds))
