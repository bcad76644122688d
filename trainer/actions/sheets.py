"""What a calculation sheet looks like to a person: open, marked, or ended without a mark."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import Row, func, select

from trainer.actions import keys
from trainer.actions.permission import require_sight
from trainer.actions.plain import plain_text
from trainer.engine import marking_plain
from trainer.engine.sheet import make as make_sheet
from trainer.errors import NotFoundError, register
from trainer.records.attempts import Attempt, Marked
from trainer.records.editions import Edition, EditionEvent

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from trainer.actions.house import Actor, House
    from trainer.engine.definition import Exercise
    from trainer.engine.outcome import Marking, Shown
    from trainer.library.catalogue import Module

NO_SHEET = register(
    "WRK-001",
    "There is no calculation sheet {attempt}.",
    "Open the exercise from the lesson or the programme.",
    audience="trainee",
    status=404,
)
LONGEST_ANSWER = 200
LONGEST_NOTES = 4000


@dataclass(frozen=True, slots=True)
class SheetHead:
    """What the head of a calculation sheet prints: whose, which edition, which draw."""

    attempt_id: int
    person_id: int
    exercise: str
    title: str
    module: str
    lesson: str  # the first lesson that places the exercise, or ''
    edition_number: int
    edition_hash: str
    draw_number: int  # which draw of the exercise this is for the person, from 1
    opened_at: datetime


@dataclass(frozen=True, slots=True)
class OpenSheet:
    """An open sheet: all that may reach a browser before it closes; ``token`` is for the form."""

    head: SheetHead
    shown: Shown
    token: str
    answers: Mapping[str, str]
    notes: str
    saved_at: datetime | None
    cautions: tuple[str, ...]  # ids of cautions of the exercise's hazards, in the module's edition


@dataclass(frozen=True, slots=True)
class MarkedSheet:
    """A closed sheet with its marking, as it was asked and marked then."""

    head: SheetHead
    shown: Shown
    marking: Marking
    answers: Mapping[str, str]
    notes: str
    closed_at: datetime
    digest: str


@dataclass(frozen=True, slots=True)
class VoidSheet:
    """A sheet that was ended without a mark: its edition was withdrawn, or a technical failure."""

    head: SheetHead
    reason: str


def sheet_of(house: House, actor: Actor, *, attempt: int) -> OpenSheet | MarkedSheet | VoidSheet:
    """A sheet for its owner, and for those who may see the record; only the owner's can be closed.

    Raises:
        NotFoundError: WRK-001.
        RefusedError: PEO-001.
    """
    with house.database.reading() as session:
        row = session.execute(_ATTEMPT.where(Attempt.id == attempt)).first()
        if row is None:
            raise NotFoundError(NO_SHEET, attempt=attempt)
        require_sight(session, actor, row.person_id)
        reason = _why_void(session, row.edition_hash) if row.state == "void" else ""
    module = house.module(row.edition_hash)
    exercise = module.exercises[row.exercise]
    head = _head(house, row, module, exercise)
    if row.state == "void":
        return VoidSheet(head, reason)
    shown = make_sheet(exercise, row.draw_key).shown
    if row.marking is None:
        saved_at, answers = row.saved_at, dict(row.saved)
        token = keys.new_token() if row.person_id == actor.person_id else ""
        cautions = _cautions(exercise, module)
        return OpenSheet(head, shown, token, answers, row.method_notes, saved_at, cautions)
    marking = marking_plain.from_plain(row.marking)
    answers = dict(row.answers)
    return MarkedSheet(head, shown, marking, answers, row.method_notes, row.closed_at, row.digest)


def plain_answers(exercise: Exercise, answers: Mapping[str, str]) -> dict[str, str]:
    """Only the cells this exercise has, as plain text of bounded length; the rest is dropped."""
    cells = [*(find.symbol for find in exercise.finds), "pick", "order"]
    known = {*cells, *(f"{cell}-unit" for cell in cells), *(f"{cell}-sure" for cell in cells)}
    return {
        name: plain_text(text, LONGEST_ANSWER)
        for name, text in answers.items()
        if name in known and isinstance(text, str) and text.strip()
    }


_before = Attempt.__table__.alias("before")
_draw_number = (
    select(func.count())
    .select_from(_before)
    .where(
        _before.c.person_id == Attempt.person_id,
        _before.c.exercise == Attempt.exercise,
        _before.c.id <= Attempt.id,
    )
    .scalar_subquery()
)
_ATTEMPT = select(
    Attempt.id,
    Attempt.person_id,
    Attempt.exercise,
    Attempt.edition_hash,
    Attempt.draw_key,
    Attempt.opened_at,
    Attempt.state,
    Attempt.saved,
    Attempt.saved_at,
    Attempt.method_notes,
    Marked.answers,
    Marked.marking,
    Marked.closed_at,
    Marked.digest,
    _draw_number.label("draw_number"),
).outerjoin(Marked, Marked.attempt_id == Attempt.id)


def _head(house: House, row: Row[Any], module: Module, exercise: Exercise) -> SheetHead:
    return SheetHead(
        row.id,
        row.person_id,
        exercise.id,
        exercise.title,
        module.id,
        module.lesson_of_exercise.get(exercise.id, ""),
        house.number(row.edition_hash),
        row.edition_hash,
        row.draw_number,
        row.opened_at,
    )


def _cautions(exercise: Exercise, module: Module) -> tuple[str, ...]:
    return tuple(hazard for hazard in exercise.hazards if hazard in module.cautions)


def _why_void(session: Session, edition_hash: str) -> str:
    subject = select(Edition.subject).where(Edition.hash == edition_hash).scalar_subquery()
    event = session.execute(
        select(EditionEvent.at, EditionEvent.reason)
        .join(Edition, Edition.hash == EditionEvent.edition_hash)
        .where(Edition.subject == subject, EditionEvent.state == "withdrawn")
        .order_by(EditionEvent.id.desc())
        .limit(1)
    ).first()
    if event is None:
        return "It was ended without a mark."
    return f"The module was withdrawn on {event.at.date()}: {event.reason}"
