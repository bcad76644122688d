"""The unit check of a formula inside a block: its problems become findings at their place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.engine import reader_errors as wrong
from trainer.engine.formula_sorts import SHAPE_WORDS, Sort
from trainer.maths.units import dimension_name

if TYPE_CHECKING:
    from trainer.engine.formula import Formula
    from trainer.engine.positions import Path
    from trainer.engine.reader_asked import Symbols
    from trainer.engine.reader_block import Block
    from trainer.maths.units import Unit


def sort_in(block: Block, path: Path, formula: Formula, symbols: Symbols) -> Sort | None:
    """What a formula measures; every problem of it is noted.

    A symbol that exists but whose own entry is broken makes the result unknown without a finding.
    """
    broken = symbols.tables.keys() - symbols.sorts.keys()
    if formula.names & broken:
        return None
    sort, problems = formula.check(symbols.sorts)
    for problem in problems:
        block.note_formula(path, problem)
    return None if problems else sort


def require_unit(
    block: Block, path: Path, formula: Formula, symbols: Symbols, *, name: str, unit: Unit
) -> bool:
    """Whether a formula gives a number that can be told in this unit."""
    before = len(block.findings)
    sort = sort_in(block, path, formula, symbols)
    if sort is None:
        return len(block.findings) == before
    return fits_unit(block, path, formula, sort, name=name, unit=unit)


def fits_unit(
    block: Block, path: Path, formula: Formula, sort: Sort, *, name: str, unit: Unit
) -> bool:
    """Whether what a formula measures can be told in this unit; if not, say so."""
    if not require_number(block, path, formula, sort):
        return False
    if sort.dimension == unit.dimension and sort.point == unit.is_point:
        return True
    cure = f"Multiply or divide until the result is {_told(unit)}, or change the unit."
    if sort.dimension == unit.dimension:
        cure = (
            "Add the difference to 0 degC: 0 degC + …."
            if unit.is_point
            else "Take 0 degC off: … - 0 degC."
        )
    block.note(
        wrong.result_unit,
        path,
        source=formula.source,
        found=sort.in_words,
        name=f"'{name}'",
        unit=unit.symbol or "a bare number",
        dimension=dimension_name(unit.dimension),
        cure=cure,
        text=formula.source,
    )
    return False


def _told(unit: Unit) -> str:
    return f"a quantity of {dimension_name(unit.dimension)}" if any(unit.dimension) else "bare"


def require_number(block: Block, path: Path, formula: Formula, sort: Sort) -> bool:
    """Whether a formula gives one number."""
    if sort.shape == "number":
        return True
    block.note(
        wrong.not_a_number,
        path,
        source=formula.source,
        shape=SHAPE_WORDS[sort.shape],
        text=formula.source,
    )
    return False
