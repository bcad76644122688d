"""What a formula or ``trainer reckon`` may call: functions with arguments, units and source.

How to add a function (the same for every module of service mathematics):

1. Write the function in its module, say ``wear.py``. It takes plain numbers; the name of a
   parameter ends in its unit (``throughput_kg_per_day``), and every argument is checked with
   ``ranges``. It returns a plain number, or a frozen dataclass whose field names carry their units.
2. Add one ``Entry`` to ``ROWS`` in the file of the same name under ``rows/`` (``rows/wear.py``).
   Rows are plain data; ``function`` is written ``'wear:depth_um'`` and imported at its first call.
   No list elsewhere needs a change: every file in ``rows/`` is found by its name.
3. ``tests/maths/test_catalogue.py`` walks all rows: the arguments are those of the signature, each
   example runs, each value outside a stated range is refused by the function itself.

Rows that return several values say so in ``results``; a formula can call only those with one.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal
from functools import lru_cache
from typing import Any, Literal

from trainer.errors import InputError, NotFoundError, register
from trainer.maths import ranges
from trainer.maths.quantity import Quantity
from trainer.maths.units import parse_unit

unknown_function = register("MTH-020", "There is no function '{name}'.", "{cure}")
wrong_arguments = register("MTH-021", "{name}: {why}.", "It is called as {usage}.")
wrong_unit = register(
    "MTH-022",
    "{name}: {argument} must be given in {unit} or a unit of the same kind: {why}",
    "Give {argument} in {unit}.",
)
several_results = register(
    "MTH-023", "{name} gives several values at once.", "Call it with trainer reckon instead."
)

Shape = Literal["scalar", "whole", "sequence", "log", "text", "flag", "date", "dates"]
_TWELVE_FIGURES = Context(prec=12, rounding=ROUND_HALF_EVEN)


@dataclass(frozen=True, slots=True)
class Argument:
    """One argument of a function.

    Attributes:
        name: the parameter's name.
        unit: the unit of the plain number; empty for a bare number, text, flag or date.
        meaning: what it is, in a few words.
        low: smallest value allowed (of every value of a sequence).
        high: largest value allowed.
        shape: one number, a whole number, several numbers, a run log (pairs of seconds from, to),
            a word, yes or no, a date, several dates.
        above: the smallest value itself is refused.
        below: the largest value itself is refused.
        least: how many values a sequence needs.
        choices: the words allowed for a text.
        required: whether it must be given; the function's own default stands otherwise.
        exact: whether the function works in decimals and takes one.
    """

    name: str
    unit: str
    meaning: str
    low: float | None = None
    high: float | None = None
    shape: Shape = "scalar"
    above: bool = False
    below: bool = False
    least: int = 1
    choices: tuple[str, ...] = ()
    required: bool = True
    exact: bool = False

    @property
    def allowed(self) -> str:
        """The allowed range in words; empty when anything finite goes."""
        if self.choices:
            return f"one of {', '.join(self.choices)}"
        if self.low is None and self.high is None:
            return ""
        return ranges.allowed_words(self.low, self.high, above=self.above, below=self.below)


@dataclass(frozen=True, slots=True)
class Result:
    """One value of a function that returns several: the field's name, its unit and meaning."""

    name: str
    unit: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One function of the catalogue.

    Attributes:
        name: what a formula writes.
        meaning: one sentence.
        arguments: in the order a formula gives them.
        unit: the unit of the plain number returned; empty for a bare number.
        formula: the formula in words.
        source: document, edition, clause; with ``from memory`` or ``common practice, no source``
            where that is the truth.
        where: ``'module:function'`` within ``trainer.maths``.
        example: arguments as ``trainer reckon`` takes them.
        validity: when the formula holds.
        caution: what to beware of, safety first.
        results: the values of a function that returns several.
        is_text: whether it returns a word rather than a number.
    """

    name: str
    meaning: str
    arguments: tuple[Argument, ...]
    unit: str
    formula: str
    source: str
    where: str
    example: str
    validity: str = ""
    caution: str = ""
    results: tuple[Result, ...] = ()
    is_text: bool = False

    @property
    def function(self) -> Callable[..., Any]:
        """The function itself, imported at its first use."""
        return _function(self.where)

    @property
    def usage(self) -> str:
        """How it is called: name and arguments with their units."""
        inside = ", ".join(argument.name for argument in self.arguments)
        return f"{self.name}({inside})"

    def argument(self, name: str) -> Argument:
        """The argument of this name."""
        for argument in self.arguments:
            if argument.name == name:
                return argument
        raise InputError(
            wrong_arguments, name=self.name, why=f"it has no argument '{name}'", usage=self.usage
        )


class _Entries(Mapping[str, Entry]):
    """All rows by name; the files under ``rows/`` are read when somebody first asks."""

    def __getitem__(self, name: str) -> Entry:
        return _rows()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(_rows())

    def __len__(self) -> int:
        return len(_rows())


ENTRIES: Mapping[str, Entry] = _Entries()


@lru_cache(maxsize=1)
def _rows() -> dict[str, Entry]:
    import pkgutil

    package = importlib.import_module("trainer.maths.rows")
    found: dict[str, Entry] = {}
    for module in sorted(module.name for module in pkgutil.iter_modules(package.__path__)):
        for row in importlib.import_module(f"trainer.maths.rows.{module}").ROWS:
            if row.name in found:
                msg = f"the function {row.name} stands twice in the catalogue"
                raise ValueError(msg)
            found[row.name] = row
    return found


@lru_cache(maxsize=512)
def _function(where: str) -> Callable[..., Any]:
    module, _, name = where.partition(":")
    function: Callable[..., Any] = getattr(importlib.import_module(f"trainer.maths.{module}"), name)
    return function


def entry(name: str) -> Entry:
    """The row of this name.

    Raises:
        NotFoundError: MTH-020 with the nearest names.
    """
    found = _rows().get(name)
    if found is None:
        from difflib import get_close_matches

        close = get_close_matches(name, _rows(), n=3)
        cure = f"Did you mean {' or '.join(close)}?" if close else "See trainer reckon --list."
        raise NotFoundError(unknown_function, name=name, cure=cure)
    return found


def call(name: str, /, *values: object, **named: object) -> Any:  # noqa: ANN401 - as the row says
    """Call a function of the catalogue with quantities or plain numbers.

    Args:
        name: the row's name.
        values: arguments in the row's order.
        named: arguments by name. A ``Quantity`` is converted to the argument's unit; a plain number
            is taken in that unit.

    Returns:
        What the function returns: a number in ``entry(name).unit``, a word, or a frozen dataclass.

    Raises:
        NotFoundError: MTH-020, no such function.
        InputError: MTH-021 for missing or unknown arguments, MTH-022 for a unit of another kind,
            MTH-030 or MTH-031 for a value outside its range.
    """
    row = entry(name)
    return row.function(**_bound(row, values, named))


def call_quantity(name: str, /, *values: object, **named: object) -> Quantity:
    """As ``call``, for formulas: the one number returned, as a quantity of 12 significant figures.

    Raises:
        InputError: MTH-023 for a function that returns several values or a word.
    """
    row = entry(name)
    if row.results or row.is_text:
        raise InputError(several_results, name=name)
    result = row.function(**_bound(row, values, named))
    value = result if isinstance(result, Decimal) else Decimal(repr(float(result)))
    return Quantity.of(_TWELVE_FIGURES.plus(value), parse_unit(row.unit))


def _bound(
    row: Entry, values: tuple[object, ...], named: Mapping[str, object]
) -> dict[str, object]:
    if len(values) > len(row.arguments):
        why = f"{len(values)} arguments given, at most {len(row.arguments)} are known"
        raise InputError(wrong_arguments, name=row.name, why=why, usage=row.usage)
    given: dict[str, object] = {
        argument.name: value for argument, value in zip(row.arguments, values, strict=False)
    }
    for name, value in named.items():
        row.argument(name)
        if name in given:
            raise InputError(
                wrong_arguments, name=row.name, why=f"'{name}' is given twice", usage=row.usage
            )
        given[name] = value
    for argument in row.arguments:
        if argument.required and argument.name not in given:
            why = f"'{argument.name}' is missing"
            raise InputError(wrong_arguments, name=row.name, why=why, usage=row.usage)
    return {name: _plain(row, row.argument(name), value) for name, value in given.items()}


def _plain(row: Entry, argument: Argument, value: object) -> object:
    """The argument as the function takes it, checked against the row."""
    if argument.shape == "sequence":
        if isinstance(value, (str, bytes)) or not hasattr(value, "__iter__"):
            raise InputError(
                ranges.out_of_range,
                argument=argument.name,
                value=repr(value),
                allowed="several values",
            )
        items = [_number(row, argument, item) for item in value]
        ranges.sequence(
            argument.name, items, argument.least, argument.low, argument.high, above=argument.above
        )
        return items
    if argument.shape in {"scalar", "whole"}:
        plain = _number(row, argument, value)
        checked = ranges.number(
            argument.name,
            plain,
            argument.low,
            argument.high,
            above=argument.above,
            below=argument.below,
        )
        if argument.shape == "whole":
            return ranges.whole(argument.name, checked, low=-(10**12))
        return plain
    if argument.shape == "text":
        if not isinstance(value, str):
            raise InputError(
                ranges.out_of_range, argument=argument.name, value=repr(value), allowed="a word"
            )
        return ranges.one_of(argument.name, value, argument.choices) if argument.choices else value
    return value


def _number(row: Entry, argument: Argument, value: object) -> float | Decimal:
    if isinstance(value, Quantity):
        try:
            value = value.in_unit(parse_unit(argument.unit))
        except InputError as error:
            raise InputError(
                wrong_unit,
                name=row.name,
                argument=argument.name,
                unit=argument.unit or "a bare number",
                why=str(error),
            ) from error
    if isinstance(value, bool) or not isinstance(value, (int, float, Decimal)):
        raise InputError(
            ranges.out_of_range, argument=argument.name, value=repr(value), allowed="a number"
        )
    if argument.exact:
        return value if isinstance(value, Decimal) else Decimal(repr(value))
    return float(value)
