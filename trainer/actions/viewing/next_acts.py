"""What comes next for a person: the few acts that bring him furthest, in order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from trainer.actions.standing import Standing
from trainer.actions.viewing.card import CompetencyLine, NextAct
from trainer.rules.progress import Missing

if TYPE_CHECKING:
    from trainer.actions.viewing.card_rows import CardRows
    from trainer.library.catalogue import Module

MOST = 6
_FROM_A_MODULE = 3
_MODULES = 2


def next_acts(
    standing: Standing, card: CardRows, lines: Sequence[CompetencyLine]
) -> tuple[NextAct, ...]:
    """First what a person asks others for, then what is missing in the modules at hand."""
    found = [
        NextAct("apply", kind.id, kind.title, "every competency of it is in date", "apply")
        for kind in standing.board.scheme.certificates.values()
        if _may_apply(standing, card, kind.id)
    ]
    found += [
        NextAct("ask", line.id, line.title, line.sentence, "ask to be observed")
        for line in lines
        if line.may_ask and line.letter in "R1DL"
    ]
    for module in _at_hand(standing):
        missing = standing.progress(module.id).missing
        acts = dict.fromkeys(_act(standing, module, one) for one in missing)
        found += [act for act in acts if act is not None][:_FROM_A_MODULE]
    return tuple(found[:MOST])


def _may_apply(standing: Standing, card: CardRows, kind: str) -> bool:
    certificate = standing.board.scheme.certificates[kind]
    known = standing.board.scheme.competencies
    if not all(one in known and standing.state(one).is_held for one in certificate.competencies):
        return False
    return not card.asks_for(kind) and not card.holds(kind, standing.board)


def _at_hand(standing: Standing) -> list[Module]:
    """The first modules that are begun and not done; else the first whose needs are done."""
    open_ones = [one for one in standing.board.modules if not standing.progress(one.id).is_done]
    begun = [one for one in open_ones if standing.progress(one.id).is_begun]
    free = [one for one in open_ones if all(standing.progress(need).is_done for need in one.needs)]
    return (begun + [one for one in free if one not in begun])[:_MODULES]


def _act(standing: Standing, module: Module, missing: Missing) -> NextAct | None:
    if missing.kind in {"read", "read again", "acknowledge"}:
        lesson = next((one for one in module.lessons if one.id == missing.target), None)
        if lesson is None:
            return None
        again = "a safety change, read it again" if missing.kind == "read again" else ""
        detail = again or f"lesson, {lesson.minutes} minutes"
        return NextAct("read", lesson.id, lesson.title, detail, "open")
    if missing.kind not in {"work", "work again"}:
        return None
    exercise, state = module.exercises[missing.target], standing.rows.exercises.get(missing.target)
    if state is None:
        return NextAct("work", exercise.id, exercise.title, "not worked yet", "open")
    slip = f": {state.last_slip}" if state.last_slip else ""
    detail = f"last time {state.last_outcome}{slip}"
    if missing.kind == "work again":
        detail = "changed since you were inside"
    is_open = exercise.id in standing.rows.opened
    return NextAct(
        "work", exercise.id, exercise.title, detail, "open" if is_open else "new numbers"
    )
