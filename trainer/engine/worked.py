"""The worked solution with the figures of one sheet.

Each method line with its symbols, then with figures and units, then its result; and the author's
own words with the values filled in.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from trainer.engine.outcome import Sheet, WorkedLine
from trainer.engine.sheet import fill
from trainer.maths import catalogue

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise
    from trainer.engine.formula import Formula

_MOST_KEPT = 1024
_MOST_SHAPES = 64
_MARK = re.compile("(-?)\ue000([A-Za-z0-9_]+)( ?)\ue001")


@dataclass(slots=True)
class _Line:
    """What of a working line does not change from sheet to sheet.

    ``shapes`` keeps the pieces between the figures. Where brackets stand depends on the figures
    only by their sign and by their having a unit, so the pieces are cut once for each such shape.
    """

    number: int
    symbol: str
    formula: Formula
    symbols: str
    what: str
    source: str
    is_find: bool
    shapes: dict[tuple[tuple[str, bool, bool], ...], tuple[str, ...]] = field(default_factory=dict)

    def figures(self, texts: Mapping[str, str]) -> str:
        shape = tuple(
            (name, texts[name][:1] in "-−", " " in texts[name])
            for name in self.formula.names
            if name in texts
        )
        pieces = self.shapes.get(shape)
        if pieces is None:
            pieces = self._cut(shape)
            if len(self.shapes) < _MOST_SHAPES:
                self.shapes[shape] = pieces
        filled = list(pieces)
        for place in range(1, len(filled), 2):
            filled[place] = texts[filled[place]]
        return "".join(filled)

    def _cut(self, shape: tuple[tuple[str, bool, bool], ...]) -> tuple[str, ...]:
        marks = {
            name: f"{'-' if is_negative else ''}\ue000{name}{' ' if has_unit else ''}\ue001"
            for name, is_negative, has_unit in shape
        }
        text = self.formula.figures(marks)
        pieces: list[str] = []
        end = 0
        for found in _MARK.finditer(text):
            pieces += [text[end : found.start()], found[2]]
            end = found.end()
        return (*pieces, text[end:])


def lines(sheet: Sheet) -> tuple[WorkedLine, ...]:
    """Each method line: symbols, figures with units, result.

    The result has four significant figures; that of a safety find is rounded to its safe side, and
    a whole number of things stands as it is.
    """
    worked = []
    for line in _lines_of(sheet.exercise):
        result = sheet.texts[line.symbol]
        figures = line.figures(sheet.texts)
        worked.append(
            WorkedLine(
                number=line.number,
                symbol=line.symbol,
                symbols=line.symbols,
                figures="" if figures == result else f"= {figures}",
                result=result,
                is_find=line.is_find,
                source=line.source,
                what=fill(line.what, sheet) if "=" in line.what else line.what,
            )
        )
    return tuple(worked)


def text(sheet: Sheet) -> str:
    """The author's worked text with the figures of this sheet; Markdown."""
    return fill(sheet.exercise.worked, sheet)


_LINES: dict[int, tuple[Exercise, tuple[_Line, ...]]] = {}


def _lines_of(exercise: Exercise) -> tuple[_Line, ...]:
    kept = _LINES.get(id(exercise))
    if kept is None or kept[0] is not exercise:
        if len(_LINES) >= _MOST_KEPT:
            _LINES.clear()
        kept = _LINES[id(exercise)] = (exercise, _made(exercise))
    return kept[1]


def _made(exercise: Exercise) -> tuple[_Line, ...]:
    finds = {find.symbol: find.what for find in exercise.finds}
    return tuple(
        _Line(
            number=number,
            symbol=line.symbol,
            formula=line.formula,
            symbols=f"{line.symbol} = {line.formula.symbols()}",
            what=line.what or finds.get(line.symbol, ""),
            source=_sources(line.formula),
            is_find=line.symbol in finds,
        )
        for number, line in enumerate(exercise.method, start=1)
    )


def _sources(formula: Formula) -> str:
    """Where the catalogue functions of a line come from, each said once."""
    names = sorted(formula.catalogue_functions)
    return "; ".join(dict.fromkeys(catalogue.entry(name).source for name in names))
