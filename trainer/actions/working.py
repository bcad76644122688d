"""What a trainee does: opens a calculation sheet, keeps, closes and marks it; reads a lesson."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions import keys
from trainer.actions.house import Actor, House
from trainer.actions.lesson_acts import acknowledge, sign_as_read
from trainer.actions.permission import refuse_other, require_worker
from trainer.actions.plain import plain_text
from trainer.actions.sheets import (
    LONGEST_NOTES,
    NO_SHEET,
    MarkedSheet,
    OpenSheet,
    SheetHead,
    VoidSheet,
    plain_answers,
    sheet_of,
)
from trainer.canonical import digest
from trainer.engine import marking_plain
from trainer.engine.marking import Asking, mark
from trainer.engine.sheet import make as make_sheet
from trainer.errors import InputError, NotFoundError, StateError, register
from trainer.records import states
from trainer.records.attempts import Attempt
from trainer.records.attempts import Marked as MarkedRow
from trainer.records.editions import InForce
from trainer.records.state_tables import StateExercise

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise
    from trainer.engine.outcome import Marking

__all__ = [
    "ExercisePage",
    "Marked",
    "MarkedSheet",
    "OpenSheet",
    "SheetHead",
    "VoidSheet",
    "acknowledge",
    "close_and_mark",
    "exercise_page",
    "keep",
    "new_numbers",
    "open_sheet",
    "sheet_of",
    "sign_as_read",
]

SHEET_CLOSED = register(
    "WRK-002",
    "This sheet was closed and marked before; what you typed now is not taken.",
    "Look at the marked sheet, or take new numbers.",
    audience="trainee",
    status=409,
)
SHEET_VOID = register(
    "WRK-003",
    "This sheet was ended without a mark; what you typed now is not taken.",
    "Its page says why. Open the exercise again when it is back in force.",
    audience="trainee",
    status=409,
)
TOKEN_WRONG = register(
    "WRK-004",
    "The form of this sheet is damaged.",
    "Load the sheet again; what was kept is still there.",
    audience="trainee",
)
EDITION_MOVED = register(
    "WRK-006",
    "Another edition of {module} came or went this moment.",
    "Load the page again.",
    audience="trainee",
    status=409,
)
_TOKEN_LENGTHS = range(20, 129)
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Marked:
    """The result of close and mark; ``again``: this is the result of an earlier call."""

    attempt_id: int
    marking: Marking
    again: bool = False


@dataclass(frozen=True, slots=True)
class ExercisePage:
    """The state of one exercise for one person, before a sheet is opened."""

    exercise: Exercise  # never hand its method, accept or slips to a template
    module: str
    module_title: str
    lesson: str
    open_attempt: int | None
    last_attempt: int | None  # last closed one
    attempts: int
    done: bool
    state: str  # a sentence


def exercise_page(house: House, actor: Actor, *, exercise: str) -> ExercisePage:
    """What stands on the page of an exercise; changes nothing.

    Raises:
        NotFoundError: HOU-004.
    """
    with house.database.reading() as session:
        pointers = house.in_force(session)
        own = (Attempt.person_id == actor.person_id, Attempt.exercise == exercise)
        open_id = session.scalar(select(Attempt.id).where(*own, Attempt.state == "open"))
        state = session.get(StateExercise, (actor.person_id, exercise))
    module = house.module_with_exercise(exercise, pointers)
    found = module.exercises[exercise]
    is_done = state is not None and house.still_counts(state.done_edition, module, exercise)
    return ExercisePage(
        found,
        module.id,
        module.title,
        module.lesson_of_exercise.get(exercise, ""),
        open_id,
        state.last_attempt_id if state else None,
        state.attempts if state else 0,
        is_done,
        _sentence(state, is_open=open_id is not None, is_done=is_done),
    )


def _sentence(state: StateExercise | None, *, is_open: bool, is_done: bool) -> str:
    if is_open:
        return "A sheet is open; its numbers wait for you."
    if state is None:
        return "Not worked yet."
    best = f"Best mark {state.best_mark} of {state.marks}."
    if is_done:
        return f"Inside on your own numbers. {best}"
    if state.done_edition:
        return f"The exercise has changed since you were inside: work it once more. {best}"
    return f"Last time: {state.last_outcome}. {best}"


def open_sheet(house: House, actor: Actor, *, exercise: str) -> int:
    """Open a calculation sheet and return its attempt id; the open one if there is one.

    The draw key is an HMAC with the server's secret over the sheet's own token, made here and known
    nowhere else, so that nobody can work out numbers that are not drawn yet.

    Raises:
        NotFoundError: HOU-004.
        RefusedError: SEP-002 for people who only look.
    """
    require_worker(actor)
    module = house.module_with_exercise(exercise)
    token, now = keys.new_token(), clock.now()
    person = str(actor.person_id).encode()
    draw_key = keys.derived(house.draw_secret, "draw", person, exercise.encode(), token.encode())

    def act(session: Session) -> int:
        found = session.scalar(
            select(Attempt.id).where(
                Attempt.person_id == actor.person_id,
                Attempt.exercise == exercise,
                Attempt.state == "open",
            )
        )
        if found is not None:
            return found
        in_force = session.scalar(select(InForce.edition_hash).where(InForce.subject == module.id))
        if in_force != module.hash:
            raise StateError(EDITION_MOVED, module=module.id)
        attempt = Attempt(
            person_id=actor.person_id,
            exercise=exercise,
            module=module.id,
            edition_hash=module.hash,
            draw_key=draw_key,
            open_token=token,
            opened_at=now,
        )
        session.add(attempt)
        session.flush()
        return attempt.id

    return house.database.write(act)


def new_numbers(house: House, actor: Actor, *, exercise: str) -> int:
    """Another draw of an exercise after its last sheet was closed; the open one if there is one."""
    return open_sheet(house, actor, exercise=exercise)


def keep(
    house: House, actor: Actor, *, attempt: int, answers: Mapping[str, str], notes: str
) -> datetime:
    """Keep what is typed without marking; returns the moment it was saved.

    Raises:
        NotFoundError: WRK-001.
        RefusedError: PEO-001 for another person's sheet.
        StateError: WRK-002, WRK-003 once it is closed.
    """
    row = _own_attempt(house, actor, attempt)
    exercise = house.module(row.edition_hash).exercises[row.exercise]
    typed, written, now = (
        plain_answers(exercise, answers),
        plain_text(notes, LONGEST_NOTES),
        clock.now(),
    )

    def act(session: Session) -> str:
        state = _state_locked(session, attempt)
        if state == "open":
            session.execute(
                update(Attempt)
                .where(Attempt.id == attempt)
                .values(saved=typed, saved_at=now, method_notes=written)
            )
        return state

    _refuse_ended(house.database.write(act), attempt)
    return now


def close_and_mark(
    house: House,
    actor: Actor,
    *,
    attempt: int,
    token: str,
    answers: Mapping[str, str],
    notes: str = "",
) -> Marked | Asking:
    """Close the sheet and mark it.

    Args:
        house: The open house.
        actor: The sheet's owner.
        attempt: The sheet.
        token: From the form; the same call again with it gives the first result.
        answers: Cell -> text as typed.
        notes: The person's own method notes, not marked.

    Returns:
        The marking; or ``Asking``, which uses nothing up, when something typed is not clear.

    Raises:
        InputError: WRK-004 for a damaged form.
        NotFoundError: WRK-001.
        RefusedError: PEO-001.
        StateError: WRK-002 for other answers after the sheet was closed, WRK-003 when it is void.
    """
    row = _own_attempt(house, actor, attempt)
    if len(token) not in _TOKEN_LENGTHS:
        raise InputError(TOKEN_WRONG)
    exercise = house.module(row.edition_hash).exercises[row.exercise]
    typed, written = plain_answers(exercise, answers), plain_text(notes, LONGEST_NOTES)
    if row.state != "open":
        return _first_result(house, attempt, typed)
    result = mark(make_sheet(exercise, row.draw_key), typed)
    if isinstance(result, Asking):
        return result
    now = clock.now()
    marked = _marked_row(row, token, typed, result, now)

    def act(session: Session) -> bool:
        if _state_locked(session, attempt) != "open":
            return False
        taken = select(MarkedRow.attempt_id).where(MarkedRow.close_token == token)
        if session.scalar(taken) is not None:
            raise InputError(TOKEN_WRONG)
        session.execute(
            update(Attempt)
            .where(Attempt.id == attempt)
            .values(state="closed", saved=typed, saved_at=now, method_notes=written)
        )
        session.add(MarkedRow(**marked))
        session.flush()
        states.fold_marked(session, attempt)
        return True

    if house.database.write(act):
        return Marked(attempt, result)
    return _first_result(house, attempt, typed)


def _own_attempt(house: House, actor: Actor, attempt: int) -> Attempt:
    with house.database.reading() as session:
        row = session.get(Attempt, attempt)
        if row is None:
            raise NotFoundError(NO_SHEET, attempt=attempt)
        refuse_other(actor, row.person_id)
        return row


def _state_locked(session: Session, attempt: int) -> str:
    state = session.scalar(select(Attempt.state).where(Attempt.id == attempt))
    assert state is not None
    return state


def _refuse_ended(state: str, attempt: int) -> None:
    if state == "open":
        return
    _log.info("late save refused: sheet %d is %s", attempt, state)
    raise StateError(SHEET_VOID if state == "void" else SHEET_CLOSED)


def _first_result(house: House, attempt: int, typed: dict[str, str]) -> Marked:
    """The stored result, if the same was typed; a person who typed something else is told."""
    with house.database.reading() as session:
        stored = session.get(MarkedRow, attempt)
    if stored is None:
        raise StateError(SHEET_VOID)
    if dict(stored.answers) != typed:
        _refuse_ended("closed", attempt)
    return Marked(attempt, marking_plain.from_plain(stored.marking), again=True)


def _marked_row(
    row: Attempt, token: str, typed: dict[str, str], result: Marking, now: datetime
) -> dict[str, Any]:

    plain = marking_plain.as_plain(result)
    slips = (find.slip for find in result.finds if find.slip)
    record: dict[str, Any] = {
        "attempt": row.id,
        "person": row.person_id,
        "exercise": row.exercise,
        "edition": row.edition_hash,
        "draw": row.draw_key.hex(),
        "answers": typed,
        "marking": plain,
        "closed": now.isoformat(),
    }
    return {
        "attempt_id": row.id,
        "close_token": token,
        "answers": typed,
        "marking": plain,
        "mark": result.mark,
        "marks": result.marks,
        "outcome": result.outcome.value,
        "slip": next(slips, ""),
        "engine_edition": result.engine_edition,
        "closed_at": now,
        "digest": digest(record),
    }
