"""A sheet and a person's answers to a marked sheet.

Marking asks before it marks: when an answer cannot be read, or can be read in two ways, ``mark``
gives an ``Asking`` and nothing is used up. The marking rules of each engine edition stand in
``EDITIONS`` by number and never change once a mark was made by them, so that any mark can be worked
out again, byte for byte, from the stored text, draw key, answers and edition.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from trainer.engine import worked
from trainer.engine.definition import Kind
from trainer.engine.formula import computing
from trainer.engine.marking_choices import mark_order, mark_pick, right_order, right_pick
from trainer.engine.marking_finds import mark_finds, read_find
from trainer.engine.marking_plain import as_plain, from_plain, mark_bytes
from trainer.engine.outcome import (
    ENGINE_EDITION,
    FindMarking,
    Marking,
    Outcome,
    Reading,
    Sheet,
)
from trainer.errors import NotFoundError, register

__all__ = ["EDITIONS", "Asking", "as_plain", "from_plain", "mark", "mark_again", "mark_bytes"]

edition_unknown = register(
    "ENG-400",
    "There are no marking rules of engine edition {edition}.",
    "Use a program at least as new as the one that made the mark.",
    audience="operator",
    status=500,
)
_SEVERITY = {outcome: place for place, outcome in enumerate(Outcome)}


@dataclass(frozen=True, slots=True)
class Asking:
    """What must be asked before marking: by cell (a find's symbol, ``pick`` or ``order``)."""

    problems: dict[str, Reading] = field(default_factory=dict)


def mark(
    sheet: Sheet,
    answers: Mapping[str, str],
    *,
    in_check: bool = False,
    final: bool = False,
    edition: int = ENGINE_EDITION,
) -> Marking | Asking:
    """Mark a sheet, or say what must be asked first.

    Args:
        sheet: the sheet, made again from its exercise and draw key.
        answers: a find's symbol to the text typed; ``symbol-unit`` to the unit chosen beside the
            cell; ``symbol-sure`` to ``yes`` when the person was asked and means the value;
            ``pick`` to letters (``B D``); ``order`` to ids (``a c b``).
        in_check: never ask about a value that is not plausible.
        final: the time is over and nobody can be asked: what cannot be read is not readable.
        edition: the marking rules to use.

    Raises:
        NotFoundError: ENG-400 for an engine edition that is not here.
    """
    rules = EDITIONS.get(edition)
    if rules is None:
        raise NotFoundError(edition_unknown, edition=edition)
    result: Marking | Asking = computing(
        lambda: rules(sheet, answers, in_check=in_check, final=final)
    )
    return result


def mark_again(sheet: Sheet, answers: Mapping[str, str], *, edition: int) -> Marking:
    """The marking of stored answers by the rules of their engine edition.

    Whoever was to be asked has been asked when the mark was made, so nobody is asked now.

    Raises:
        NotFoundError: ENG-400 for an engine edition that is not here.
    """
    marking = mark(sheet, answers, final=True, edition=edition)
    assert isinstance(marking, Marking), "a final mark asks nothing"
    return marking


def _edition_1(
    sheet: Sheet, answers: Mapping[str, str], *, in_check: bool, final: bool
) -> Marking | Asking:
    exercise = sheet.exercise
    right: tuple[str, ...] = ()
    if exercise.kind is Kind.CALCULATION:
        readings = {
            find.symbol: read_find(find, answers, in_check=in_check or final)
            for find in exercise.finds
        }
        finds: tuple[FindMarking, ...] = ()
        if final or not any(reading.problem for reading in readings.values()):
            finds = tuple(mark_finds(sheet, readings, answers))
    elif exercise.kind is Kind.PICK:
        found, reading = mark_pick(sheet, answers)
        finds, readings, right = (found,), {"pick": reading}, right_pick(sheet)
    else:
        found, reading = mark_order(sheet, answers)
        finds, readings, right = (found,), {"order": reading}, right_order(exercise)
    problems = {cell: reading for cell, reading in readings.items() if reading.problem}
    if problems and not final:
        return Asking(problems)
    return Marking(
        exercise=exercise.id,
        engine_edition=1,
        mark=sum(find.mark for find in finds),
        marks=exercise.marks,
        outcome=max((find.outcome for find in finds), key=_SEVERITY.__getitem__),
        finds=finds,
        working=worked.lines(sheet),
        worked=worked.text(sheet) if exercise.worked else "",
        right_choices=right,
    )


class _Rules(Protocol):
    def __call__(
        self, sheet: Sheet, answers: Mapping[str, str], *, in_check: bool, final: bool
    ) -> Marking | Asking: ...


EDITIONS: dict[int, _Rules] = {1: _edition_1}
