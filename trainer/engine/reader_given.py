"""The quantities of a draw: ``[given]``, ``[hidden]`` and ``[derived]``.

Each kind of value has a reader of its own in ``KINDS``, found by the key that tells it; a further
kind is one more row there.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from trainer.engine import reader_errors as wrong
from trainer.engine.definition import Given, Values
from trainer.engine.formula_functions import is_reserved
from trainer.engine.formula_sorts import Shape, Sort
from trainer.engine.formula_tokens import SYMBOL_PATTERN
from trainer.engine.reader_units import require_unit

if TYPE_CHECKING:
    from trainer.engine.positions import Path
    from trainer.engine.reader_block import Block
    from trainer.maths.units import Unit

MAX_VALUES = 10**9
MAX_LIST = 200
MAX_PLACES = 9
MAX_SHOWN_DIGITS = 24
ZERO = Decimal(0)
_SYMBOL = re.compile(SYMBOL_PATTERN)
_ALWAYS = ("what", "unit", "together")


@dataclass(slots=True)
class Symbols:
    """The symbols known so far: what each measures, and the table in which it stands."""

    sorts: dict[str, Sort]
    units: dict[str, Unit]
    tables: dict[str, str]

    @classmethod
    def none(cls) -> Symbols:
        """No symbol yet."""
        return cls({}, {}, {})

    def add(self, name: str, table: str, unit: Unit, sort: Sort | None = None) -> None:
        """Make a symbol known."""
        self.sorts[name] = sort or Sort.of(unit)
        self.units[name] = unit
        self.tables[name] = table


def read_givens(block: Block, symbols: Symbols) -> tuple[Given, ...]:
    """Read the three tables, given first, then hidden, then derived, each as written."""
    found: list[Given] = []
    for table in ("given", "hidden"):
        for name in block.take_table((table,)):
            given = _drawn(block, (table, name), symbols)
            if given is not None:
                found.append(given)
    _check_ties(block, found, symbols)
    for name in block.take_table(("derived",)):
        given = _derived(block, ("derived", name), symbols)
        if given is not None:
            found.append(given)
    return tuple(found)


def new_symbol(block: Block, path: Path, symbols: Symbols) -> bool:
    """Whether the last part of a path may be a new symbol; if not, say why."""
    name = str(path[-1])
    why, cure = "", "Write one to 24 letters or digits, a letter first."
    if not _SYMBOL.fullmatch(name):
        why = "it is no plain word"
        if name.startswith("_"):
            why, cure = "it begins with an underscore", "A symbol begins with a letter."
    elif is_reserved(name):
        why, cure = "a function or word of the formulas bears this name", "Choose another name."
    if why:
        block.note(wrong.bad_symbol, path, at_key=True, name=name, why=why, cure=cure, text=name)
        return False
    if name in symbols.tables:
        block.note(
            wrong.symbol_twice, path, at_key=True, name=name, table=symbols.tables[name], text=name
        )
        return False
    return True


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


def _drawn(block: Block, path: Path, symbols: Symbols) -> Given | None:
    table, name = str(path[0]), str(path[1])
    if not isinstance(block.get(path), dict):
        block.note(
            wrong.wrong_type,
            path,
            name=name,
            wanted="a table on one line",
            example=f"{name} = {{ what = '…', from = 1, to = 9, step = 1, unit = 'g' }}",
        )
        return None
    fits = new_symbol(block, path, symbols)
    kind_key = _kind_of(block, path, name)
    kind = KINDS.get(kind_key)
    others = kind.keys if kind else tuple(key for each in KINDS.values() for key in each.keys)
    meant = block.known_keys(path, (*_ALWAYS, *others), f"of '{name}'")
    unit = block.take_unit((*path, "unit")) if "unit" not in meant else None
    what = _what(block, path, needed=table == "given")
    together = block.take_text((*path, "together"), example="together = 'readings'") or ""
    values = kind.read(Asked(block, path, unit, symbols)) if kind and unit is not None else None
    if not fits:
        return None
    if unit is None or kind is None or values is None:
        # Known all the same, so that one mistake here is not a hundred in the formulas.
        if unit is not None:
            symbols.add(name, table, unit, Sort.of(unit, kind.shape) if kind else None)
        else:
            symbols.tables[name] = table
        return None
    symbols.add(name, table, unit, Sort.of(unit, kind.shape))
    return Given(
        symbol=name,
        what=what,
        unit=unit,
        shown=table == "given",
        together=together,
        **values,
    )


def _what(block: Block, path: Path, *, needed: bool) -> str:
    example = "what = 'wanted dose'"
    where = f"'{path[-1]}'" if needed else ""
    return block.take_text((*path, "what"), example=example, where=where) or ""


def _kind_of(block: Block, path: Path, name: str) -> str:
    """The key that tells the kind of value; empty (and a finding) when none or two do."""
    here = [key for key in KINDS if block.has((*path, key))]
    if not here:
        for key in ("to", "step"):
            if block.has((*path, key)):
                block.note(
                    wrong.key_missing, path, where=f"'{name}'", name="from", example="from = 1"
                )
                return ""
        block.note(wrong.no_values, path, name=name)
    if len(here) > 1:
        block.note(
            wrong.two_value_kinds,
            (*path, here[1]),
            at_key=True,
            name=name,
            first=here[0],
            second=here[1],
            text=here[1],
        )
        return ""
    return here[0] if here else ""


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
    too_fine = step > 0 and (high - low) / step >= MAX_VALUES
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


def _grid(asked: Asked) -> dict[str, Any] | None:
    example = f"{asked.name} = {{ from = 1, to = 9, step = 1, … }}"
    low, high, step = (
        asked.block.take_number(asked.at(key), where=f"'{asked.name}'", example=example)
        for key in ("from", "to", "step")
    )
    if low is None or high is None or step is None:
        return None
    steps = span(asked, low, high, step, lambda value: f"{value:f}")
    places = shown_places(asked, "step", low, high, step)
    if steps is None or places is None:
        return None
    one = Decimal(1).scaleb(-places)
    values = Values(start=low.quantize(one), step=step.quantize(one), count=steps + 1)
    return {"values": values, "places": places}


def _list(asked: Asked) -> dict[str, Any] | None:
    block, at = asked.block, asked.at("one_of")
    value = block.get(at)
    if not isinstance(value, list) or not all(isinstance(item, Decimal) for item in value):
        block.note(
            wrong.wrong_type,
            at,
            name="one_of",
            wanted="a list of numbers",
            example="one_of = [350, 1000]",
        )
        return None
    tied_to = block.take_text(asked.at("tied_to"), example="tied_to = 'A'") or ""
    why, cure = "", ""
    if len(value) < 2:
        why, cure = "it has fewer than two values", "A fixed quantity is written is = 18.0."
    elif len(value) > MAX_LIST:
        why, cure = f"it has more than {MAX_LIST} values", "Use from, to and step."
    elif not tied_to and len(set(value)) < len(value):
        twice = next(item for item in value if value.count(item) > 1)
        why, cure = f"{twice} stands twice in it", "Write each value once."
    if why:
        block.note(wrong.one_of_short, at, name=asked.name, why=why, cure=cure)
        return None
    places = shown_places(asked, "one_of", *value)
    if places is None:
        return None
    one = Decimal(1).scaleb(-places)
    choices = tuple(item.quantize(one) for item in value)
    return {"values": Values(choices=choices), "places": places, "tied_to": tied_to}


def _fixed(asked: Asked) -> dict[str, Any] | None:
    value = asked.block.take_number(asked.at("is"), where=f"'{asked.name}'", example="is = 18.0")
    places = None if value is None else shown_places(asked, "is", value)
    if value is None or places is None:
        return None
    return {"values": Values(choices=(value,)), "places": places}


KINDS: dict[str, ValueKind] = {
    "from": ValueKind(("from", "to", "step"), _grid),
    "one_of": ValueKind(("one_of", "tied_to"), _list),
    "is": ValueKind(("is",), _fixed),
}


def _check_ties(block: Block, givens: list[Given], symbols: Symbols) -> None:
    by_name = {given.symbol: given for given in givens}
    for given in givens:
        if not given.tied_to:
            continue
        path = (symbols.tables[given.symbol], given.symbol, "tied_to")
        other = by_name.get(given.tied_to)
        why, cure = "", "Both are lists of the same length."
        if given.tied_to == given.symbol:
            why, cure = "it is the same quantity", "Name the other list."
        elif other is None:
            if given.tied_to in symbols.tables:
                continue
            why, cure = "there is no such given or hidden quantity", "Name another list."
        elif other.values is None or not other.values.choices:
            why = f"'{other.symbol}' is no list (one_of)"
        elif other.tied_to:
            why, cure = f"'{other.symbol}' is tied itself", f"Tie it to '{other.tied_to}'."
        elif given.values is not None and len(other.values) != len(given.values):
            why = f"the lists have {len(given.values)} and {len(other.values)} values"
        if why:
            block.note(
                wrong.bad_tie, path, name=given.symbol, other=given.tied_to, why=why, cure=cure
            )


def _derived(block: Block, path: Path, symbols: Symbols) -> Given | None:
    name = str(path[1])
    example = f"{name} = {{ what = '…', value = 'c1 + u', unit = 'kg', step = 0.5 }}"
    if not isinstance(block.get(path), dict):
        block.note(wrong.wrong_type, path, name=name, wanted="a table on one line",
                   example=example)  # fmt: skip
        return None
    fits = new_symbol(block, path, symbols)
    meant = block.known_keys(path, (*_ALWAYS, "value", "step"), f"of '{name}'")
    unit = block.take_unit((*path, "unit")) if "unit" not in meant else None
    what = _what(block, path, needed=True)
    together = block.take_text((*path, "together"), example="together = 'readings'") or ""
    formula = block.take_formula((*path, "value"), example="value = 'c1 + u'")
    step = block.take_number((*path, "step"), where=f"'{name}'", example="step = 0.5")
    if step is not None and step <= 0:
        block.note(wrong.bad_step, (*path, "step"), name=name, why="it is not above zero",
                   cure="Write step = 0.1.")  # fmt: skip
        step = None
    sound = formula is not None and (
        unit is None
        or require_unit(block, (*path, "value"), formula, symbols, name=name, unit=unit)
    )
    if not fits:
        return None
    if unit is None:
        symbols.tables[name] = "derived"
        return None
    symbols.add(name, "derived", unit)
    if step is None or not sound:
        return None
    return Given(
        symbol=name,
        what=what,
        unit=unit,
        places=places_of(step),
        formula=formula,
        step=step,
        together=together,
    )
