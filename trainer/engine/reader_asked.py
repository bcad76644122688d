"""What the readers of quantities share: the symbols so far, and one quantity being read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from trainer.engine import reader_errors as wrong
from trainer.engine.formula_sorts import Shape, Sort

if TYPE_CHECKING:
    from trainer.engine.formula import Formula
    from trainer.engine.positions import Path
    from trainer.engine.reader_block import Block
    from trainer.maths.units import Unit

MAX_VALUES = 10**9
MAX_PLACES = 9
MAX_SHOWN_DIGITS = 24
ZERO = Decimal(0)


@dataclass(slots=True)
class Symbols:
    """The symbols known so far: what each measures, and the table in which it stands.

    ``used`` are those that a method line, slip, derived value or sample names, even where the
    formula has another mistake; ``is_unsure`` once such a formula could not be read at all.
    """

    sorts: dict[str, Sort] = field(default_factory=dict)
    units: dict[str, Unit] = field(default_factory=dict)
    tables: dict[str, str] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)
    is_unsure: bool = False

    def use(self, formula: Formula | None) -> None:
        """Note what a formula uses."""
        if formula is None:
            self.is_unsure = True
        else:
            self.used |= formula.names

    def add(self, name: str, table: str, unit: Unit, sort: Sort | None = None) -> None:
        """Make a symbol known."""
        self.sorts[name] = sort or Sort.of(unit)
        self.units[name] = unit
        self.tables[name] = table


@dataclass(frozen=True, slots=True)
class Asked:
    """One quantity whose values are to be read."""

    block: Block
    path: Path
    unit: Unit
    symbols: Symbols

    @property
    def name(self) -> str:
        """The symbol."""
        return str(self.path[-1])

    def at(self, key: str) -> Path:
        """The path of one key of the quantity."""
        return (*self.path, key)


@dataclass(frozen=True, slots=True)
class ValueKind:
    """One way to say what values a quantity takes: its keys and its reader."""

    keys: tuple[str, ...]
    read: Callable[[Asked], dict[str, Any] | None]
    shape: Shape = "number"


def places_of(*numbers: Decimal) -> int:
    """How many places show these numbers whole."""
    return max(max(0, -_exponent(number)) for number in numbers)


def _exponent(number: Decimal) -> int:
    exponent = number.as_tuple().exponent
    assert isinstance(exponent, int), "findings have taken out inf and nan"
    return exponent


def shown_places(asked: Asked, key: str, *numbers: Decimal) -> int | None:
    """The places that show these numbers whole; ``None`` and a finding when they are too many."""
    places = places_of(*numbers)
    if places > MAX_PLACES or max(map(Decimal.adjusted, numbers)) + places > MAX_SHOWN_DIGITS:
        asked.block.note(wrong.number_beyond, asked.at(key))
        return None
    return places


def span(
    asked: Asked, low: Decimal, high: Decimal, step: Decimal, told: Callable[[Decimal], str]
) -> int | None:
    """How many steps lead from low to high; ``None`` and a finding when none or too many."""
    too_fine = step > 0 and abs(high - low) / step >= MAX_VALUES
    steps, rest = divmod(high - low, step) if step > 0 and not too_fine else (ZERO, ZERO)
    code, key = wrong.bad_step, "step"
    why, cure = "", ""
    if step <= 0:
        why, cure = "it is not above zero", "Write a step such as 0.1 or 1."
    elif high < low:
        code, key, cure = wrong.bad_span, "to", f"Write from = {told(high)}, to = {told(low)}."
    elif high == low:
        code, key, cure = wrong.bad_span, "to", f"A fixed quantity is written is = {told(low)}."
    elif too_fine:
        why, cure = f"it makes more than {MAX_VALUES} values", "Take a coarser step."
    elif rest:
        end = low + step * steps
        why = f"it does not lead from {told(low)} to {told(high)}"
        cure = f"End at {told(end)} or {told(end + step)}, or change the step."
    if not cure:
        return int(steps)
    asked.block.note(code, asked.at(key), name=asked.name, why=why, cure=cure)
    return None
