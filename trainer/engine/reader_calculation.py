"""A calculation: its finds, its method lines, its conditions and its named slips."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from trainer.engine import reader_errors as wrong
from trainer.engine.definition import Accept, Find, MethodLine, SafeSide, Slip
from trainer.engine.formula import Formula
from trainer.engine.formula_sorts import SHAPE_WORDS, Sort
from trainer.engine.reader_accept import take_accept, take_plausible
from trainer.engine.reader_given import new_symbol
from trainer.engine.reader_units import fits_unit, require_number, sort_in
from trainer.engine.spelling import meant
from trainer.maths.units import BARE, Unit, base_unit, parse_unit

if TYPE_CHECKING:
    from trainer.engine.definition import Given, Stakes
    from trainer.engine.positions import Path
    from trainer.engine.reader_asked import Symbols
    from trainer.engine.reader_block import Block

MAX_FINDS = 8
MAX_LINES = 30
MAX_SLIPS = 20
MAX_CONDITIONS = 12
_EXEMPT = ("exact", "whole down")
_FIND_KEYS = ("what", "unit", "accept", "plausible", "safe_side", "strict")


def read_finds(block: Block, stakes: Stakes) -> tuple[Find, ...]:
    """The finds with their tolerances; top-level keys stand for all that say nothing themselves."""
    finds = []
    for name in block.take_table(("find",), limit=MAX_FINDS):
        path: Path = ("find", name)
        if not isinstance(block.get(path), dict):
            block.note(
                wrong.wrong_type,
                path,
                name=name,
                wanted="a table on one line",
                example=f"{name} = {{ what = '…', unit = 's' }}",
            )
            continue
        finds.append(_find(block, path, stakes))
    return tuple(find for find in finds if find is not None)


def _find(block: Block, path: Path, stakes: Stakes) -> Find | None:
    name = str(path[-1])
    block.known_keys(path, _FIND_KEYS, f"of the find '{name}'")
    what = block.take_text((*path, "what"), example="what = 'time to set'", where=f"'{name}'")
    unit = block.take_unit((*path, "unit"))
    strict = block.take_flag(_nearest(block, path, "strict"))
    side_path = _nearest(block, path, "safe_side")
    safe_side = block.take_choice(side_path, ("higher", "lower"), "")
    if unit is None:
        return None
    accept_path = _nearest(block, path, "accept")
    accept = take_accept(block, accept_path, unit)
    if not block.has(accept_path) and "accept" not in block.misplaced:
        block.note(wrong.accept_missing, path, name=name)
    plausible_path = _nearest(block, path, "plausible")
    plausible = take_plausible(block, plausible_path, unit)
    if not block.has(plausible_path) and "plausible" not in block.misplaced:
        block.note(wrong.plausible_missing, path, severity="remark", name=name)
    if accept is not None:
        _check_safe_side(block, path, stakes, accept, safe_side)
    side: SafeSide = "higher" if safe_side == "higher" else "lower" if safe_side else ""
    return Find(
        symbol=name,
        what=what or "",
        unit=unit,
        accept=accept or Accept("exact"),
        plausible=plausible,
        safe_side=side,
        strict=strict,
    )


def _nearest(block: Block, path: Path, key: str) -> Path:
    """A find's own key, else the key of the whole exercise."""
    own = (*path, key)
    return own if block.has(own) or not block.has((key,)) else (key,)


def _check_safe_side(
    block: Block, path: Path, stakes: Stakes, accept: Accept, safe_side: str
) -> None:
    own = (*path, "safe_side")
    where = own if block.has(own) else ("safe_side",)
    if stakes == "safety" and not safe_side and accept.kind not in _EXEMPT:
        if not block.has(where):
            block.note(wrong.safe_side_missing, path, symbol=f"the find '{path[-1]}'")
    elif safe_side and stakes != "safety" and not block.has_error_at(where):
        block.note(wrong.safe_side_idle, where)


def read_method(
    block: Block, finds: tuple[Find, ...], givens: tuple[Given, ...], symbols: Symbols
) -> tuple[MethodLine, ...]:
    """The method lines in order, unit-checked; each makes its symbol known to those after it."""
    by_name = {find.symbol: find for find in finds}
    names = block.take_table(("method",), limit=MAX_LINES)
    lines = []
    for number, name in enumerate(names):
        path: Path = ("method", name)
        fits = new_symbol(block, path, symbols)
        is_table = isinstance(block.get(path), dict)
        if is_table:
            block.known_keys(path, ("value", "unit", "what"), f"of the method line '{name}'")
        at = (*path, "value") if is_table else path
        formula = block.take_formula(at, example=f"{name} = 'm / q'")
        symbols.use(formula)
        what = block.take_text((*path, "what"), example="what = '…'") if is_table else ""
        stated = block.take_unit((*path, "unit")) if block.has((*path, "unit")) else None
        sort = _line_sort(block, at, formula, symbols, names[number + 1 :])
        unit = _line_unit(by_name.get(name), stated, sort, finds, givens)
        if (
            unit
            and sort
            and formula
            and not fits_unit(block, at, formula, sort, name=name, unit=unit)
        ):
            sort = None
        if not fits:
            continue
        if unit is None:
            symbols.tables[name] = "method"
            continue
        symbols.add(name, "method", unit)
        if formula is not None and sort is not None:
            lines.append(MethodLine(name, formula, unit, what or ""))
    for find in finds:
        if find.symbol not in names:
            if find.symbol in symbols.tables:
                new_symbol(block, ("find", find.symbol), symbols)
            else:
                block.note(wrong.find_without_line, ("find", find.symbol), name=find.symbol)
                symbols.add(find.symbol, "method", find.unit)
    return tuple(lines)


def _line_sort(
    block: Block, at: Path, formula: Formula | None, symbols: Symbols, later: list[str]
) -> Sort | None:
    if formula is None:
        return None
    ahead = sorted(formula.names & set(later) - symbols.tables.keys())
    if ahead:
        block.note(
            wrong.later_symbol,
            at,
            offset=formula.place_of(ahead[0]),
            name=ahead[0],
            why="its own line comes later",
            cure=f"Put the line of {ahead[0]} before this one.",
            text=ahead[0],
        )
        return None
    sort = sort_in(block, at, formula, symbols)
    return sort if sort is None or require_number(block, at, formula, sort) else None


def _line_unit(
    find: Find | None,
    stated: Unit | None,
    sort: Sort | None,
    finds: Iterable[Find],
    givens: Iterable[Given],
) -> Unit | None:
    """The unit a line is printed in: its own, its find's, the first that fits, the base unit."""
    if find is not None:
        return find.unit
    if stated is not None or sort is None:
        return stated
    for unit in (*(find.unit for find in finds), *(given.unit for given in givens)):
        if unit.dimension == sort.dimension and unit.is_point == sort.point:
            return unit
    if sort.point:
        return parse_unit("degC")
    return parse_unit("") if sort.dimension == BARE else base_unit(sort.dimension)


def read_conditions(block: Block, symbols: Symbols, later: Iterable[str]) -> tuple[Formula, ...]:
    """The conditions of ``only_when``: a list, or one alone. They see no method line."""
    value = block.get(("only_when",))
    paths: list[Path] = []
    if isinstance(value, str):
        paths = [("only_when",)]
    elif block.take_texts(("only_when",), example="only_when = ['a > b']", limit=MAX_CONDITIONS):
        paths = [("only_when", number) for number in range(len(value))]
    conditions = []
    ahead = set(later) - symbols.tables.keys()
    for path in paths:
        formula = block.take_formula(path, example="only_when = ['a > b']")
        if formula is None:
            continue
        method_names = sorted(formula.names & ahead)
        if method_names:
            block.note(
                wrong.later_symbol,
                path,
                offset=formula.place_of(method_names[0]),
                name=method_names[0],
                why="a condition looks only at given, hidden and derived values",
                cure="Write the formula itself, or use plausible.",
                text=method_names[0],
            )
            continue
        sort = sort_in(block, path, formula, symbols)
        if sort is None:
            continue
        if sort.shape != "truth":
            block.note(
                wrong.condition_wanted,
                path,
                source=formula.source,
                shape=SHAPE_WORDS[sort.shape],
                text=formula.source,
            )
            continue
        conditions.append(formula)
    return tuple(conditions)


def read_slips(
    block: Block, finds: tuple[Find, ...], lines: tuple[MethodLine, ...], symbols: Symbols
) -> tuple[Slip, ...]:
    """The named slips: bare numbers, so only their names are checked, not their units."""
    slips: list[Slip] = []
    # In a slip a date is its day number, as a trainee counts.
    bare_sorts = {
        name: Sort("number" if sort.shape == "date" else sort.shape)
        for name, sort in symbols.sorts.items()
    }
    broken = symbols.tables.keys() - symbols.sorts.keys()
    methods = {line.symbol: line.formula.source for line in lines}
    for path in block.take_tables(("slips",), example="[[slips]]", limit=MAX_SLIPS):
        block.known_keys(path, ("name", "value", "remark", "find"), "of a slip")
        name = block.take_text((*path, "name"), example="name = 'lag left out'", where="The slip")
        remark = block.take_text(
            (*path, "remark"), example="remark = 'Add the lag.'", where="The slip", limit=600
        )
        formula = block.take_formula((*path, "value"), example="value = 'm / q'", bare=True)
        symbols.use(formula)
        find = _slip_find(block, path, name or "", finds)
        if formula is not None and not formula.names & broken:
            sort, problems = formula.check(bare_sorts)
            for problem in problems:
                block.note_formula((*path, "value"), problem)
            if (
                problems
                or sort is None
                or not require_number(block, (*path, "value"), formula, sort)
            ):
                formula = None
        if name is None or remark is None or formula is None or find is None:
            continue
        if any(slip.name == name and slip.find == find for slip in slips):
            block.note(wrong.slip_twice, (*path, "name"), find=find, name=name)
        if formula.source.split() == methods.get(find, "").split():
            block.note(wrong.slip_is_method, (*path, "value"), name=name)
        slips.append(Slip(name, find, formula, remark))
    return tuple(slips)


def _slip_find(block: Block, path: Path, name: str, finds: tuple[Find, ...]) -> str | None:
    symbols = [find.symbol for find in finds]
    at = (*path, "find")
    if not block.has(at):
        if len(symbols) == 1:
            return symbols[0]
        if symbols:
            block.note(wrong.slip_needs_find, path, name=name, example=symbols[-1])
        return None
    stated = block.take_text(at, example="find = 't'")
    if stated is None or stated in symbols:
        return stated
    close = meant(stated, symbols, nearness=0.4)
    cure = f"Did you mean {close}?" if close else f"Finds are: {', '.join(symbols)}."
    block.note(wrong.unknown_find, at, name=stated, cure=cure)
    return None


def check_all_used(
    block: Block,
    givens: tuple[Given, ...],
    lines: tuple[MethodLine, ...],
    finds: tuple[Find, ...],
    symbols: Symbols,
) -> None:
    """Note every quantity that serves nothing, and every method line that leads to no find.

    A list tied to a used one is used too: it says which of the values belongs to which. Nothing is
    said while a formula cannot be read: what it uses is not known.
    """
    if symbols.is_unsure:
        return
    used = set(symbols.used)
    used |= {given.tied_to for given in givens if given.tied_to and given.symbol in used}
    for given in givens:
        if given.symbol not in used and given.tied_to not in used:
            table = "derived" if given.formula else "given" if given.shown else "hidden"
            block.note(
                wrong.given_unused,
                (table, given.symbol),
                at_key=True,
                name=given.symbol,
                text=given.symbol,
            )
    if len(lines) < len(block.keys(("method",))):
        return
    wanted = {find.symbol for find in finds}
    for line in reversed(lines):
        if line.symbol in wanted:
            wanted |= line.formula.names
        else:
            block.note(
                wrong.line_unused,
                ("method", line.symbol),
                at_key=True,
                severity="remark",
                name=line.symbol,
                text=line.symbol,
            )
