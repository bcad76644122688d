"""The quantities of a draw: ``[given]``, ``[hidden]`` and ``[derived]``.

Each kind of value has a reader of its own in ``KINDS``, found by the key that tells it; a further
kind is one more row there.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TYPE_CHECKING

from trainer.engine import reader_errors as wrong
from trainer.engine.definition import Given
from trainer.engine.formula import Formula
from trainer.engine.formula_functions import is_reserved
from trainer.engine.formula_sorts import DATE, LOG, Sort
from trainer.engine.formula_tokens import SYMBOL_PATTERN
from trainer.engine.reader_asked import Asked, Symbols, ValueKind, places_of
from trainer.engine.reader_rows import check_sample, read_column, read_run_log, read_sample
from trainer.engine.reader_units import require_unit
from trainer.engine.reader_values import read_date, read_fixed, read_grid, read_list
from trainer.maths.units import Unit, parse_unit

if TYPE_CHECKING:
    from trainer.engine.positions import Path
    from trainer.engine.reader_block import Block

_SYMBOL = re.compile(SYMBOL_PATTERN)
_DAY = parse_unit("day")


def read_givens(block: Block, symbols: Symbols) -> tuple[Given, ...]:
    """Read the three tables, given first, then hidden, then derived, each as written."""
    found: list[Given] = []
    for table in ("given", "hidden"):
        for name in block.take_table((table,)):
            given = _drawn(block, (table, name), symbols)
            if given is not None:
                found.append(given)
    _check_ties(block, found, symbols)
    for given in found:
        if given.sample:
            check_sample(block, given, symbols)
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
    unit_keys = () if kind and kind.shape in {"date", "log"} else ("unit",)
    meant = block.known_keys(path, ("what", *unit_keys, "together", *others), f"of '{name}'")
    unit = block.take_unit((*path, "unit")) if "unit" not in meant else None
    what = _what(block, path, needed=table == "given")
    together = block.take_text((*path, "together"), example="together = 'readings'") or ""
    values = None
    if kind is not None and unit is not None:
        values = kind.read(Asked(block, path, unit, symbols))
    if values is not None:
        unit = values.pop("unit", unit)
    if not fits:
        return None
    unit_is_unknown = kind_key == "column" and values is None and not block.has((*path, "unit"))
    if unit is None or unit_is_unknown:
        symbols.tables[name] = table
        return None
    # Known even when broken, so that one mistake here is not a hundred in the formulas.
    symbols.add(name, table, unit, _sort(kind, unit))
    if values is None:
        return None
    return Given(name, what, unit, shown=table == "given", together=together, **values)


def _sort(kind: ValueKind | None, unit: Unit) -> Sort:
    if kind is None:
        return Sort.of(unit)
    return {"log": LOG, "date": DATE}.get(kind.shape) or Sort.of(unit, kind.shape)


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


KINDS: dict[str, ValueKind] = {
    "from": ValueKind(("from", "to", "step"), read_grid),
    "one_of": ValueKind(("one_of", "tied_to"), read_list),
    "is": ValueKind(("is",), read_fixed),
    "readings": ValueKind(("readings", "about", "spread", "step"), read_sample, "series"),
    "column": ValueKind(("column", "of"), read_column, "series"),
    "run_log": ValueKind(("run_log",), read_run_log, "log"),
    "date": ValueKind(("date",), read_date, "date"),
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
    meant = block.known_keys(path, ("what", "unit", "together", "value", "step"), f"of '{name}'")
    unit = block.take_unit((*path, "unit")) if "unit" not in meant else None
    what = _what(block, path, needed=True)
    together = block.take_text((*path, "together"), example="together = 'readings'") or ""
    formula = block.take_formula((*path, "value"), example="value = 'c1 + u'")
    symbols.use(formula)
    if formula is not None and _gives_date(formula, symbols):
        symbols.add(name, "derived", _DAY, DATE) if fits else None
        return Given(name, what, _DAY, 0, formula=formula, step=Decimal(1), together=together,
                     is_date=True)  # fmt: skip
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
    return Given(name, what, unit, places_of(step), formula=formula, step=step, together=together)


def _gives_date(formula: Formula, symbols: Symbols) -> bool:
    sort, _ = formula.check(symbols.sorts)
    return sort is not None and sort.shape == "date"
