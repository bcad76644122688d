"""A person's calculation sheets, newest first, as a list prints them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from trainer.actions.house import Actor, House
from trainer.actions.permission import require_sight
from trainer.records.attempts import Attempt, Marked
from trainer.records.editions import Edition

MOST = 200


@dataclass(frozen=True, slots=True)
class AttemptLine:
    """One sheet: what it was, how it stands, and its mark once it is closed."""

    id: int
    exercise: str
    title: str
    edition_number: int
    opened_at: datetime
    state: str  # open, closed, void, lapsed
    outcome: str  # '' until it is marked
    mark: int
    marks: int


def attempts(
    house: House, actor: Actor, *, person_id: int | None = None, exercise: str = ""
) -> tuple[AttemptLine, ...]:
    """The sheets of a person (the actor's own unless another is named), newest first.

    Args:
        house: The open house.
        actor: Who looks.
        person_id: Whose sheets; another person's for those who may see them.
        exercise: Only the sheets of this exercise; empty: of all.

    Raises:
        RefusedError: PEO-001.
    """
    whose = actor.person_id if person_id is None else person_id
    query = (
        select(
            Attempt.id,
            Attempt.exercise,
            Attempt.edition_hash,
            Edition.number,
            Attempt.opened_at,
            Attempt.state,
            Marked.outcome,
            Marked.mark,
            Marked.marks,
        )
        .join(Edition, Edition.hash == Attempt.edition_hash)
        .outerjoin(Marked, Marked.attempt_id == Attempt.id)
        .where(Attempt.person_id == whose)
        .order_by(Attempt.id.desc())
        .limit(MOST)
    )
    if exercise:
        query = query.where(Attempt.exercise == exercise)
    with house.database.reading() as session:
        if whose != actor.person_id:
            require_sight(session, actor, whose)
        rows = session.execute(query).all()
    return tuple(
        AttemptLine(
            id=row.id,
            exercise=row.exercise,
            title=house.module(row.edition_hash).exercises[row.exercise].title,
            edition_number=row.number,
            opened_at=row.opened_at,
            state=row.state,
            outcome=row.outcome or "",
            mark=row.mark or 0,
            marks=row.marks or 0,
        )
        for row in rows
    )
