"""A person's calculation sheets, newest first."""

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
class AttemptRow:
    """One calculation sheet in a list."""

    id: int
    exercise: str
    title: str
    edition_number: int
    state: str  # open, closed, void, lapsed
    outcome: str  # '' while it is not marked
    mark: int
    marks: int
    opened_at: datetime
    closed_at: datetime | None


def attempts(
    house: House, actor: Actor, *, exercise: str | None = None, person_id: int | None = None
) -> tuple[AttemptRow, ...]:
    """The newest sheets of the actor, or of a person whose record he may see.

    Raises:
        RefusedError: PEO-001.
    """
    person = actor.person_id if person_id is None else person_id
    query = (
        select(
            Attempt.id,
            Attempt.exercise,
            Attempt.edition_hash,
            Attempt.state,
            Attempt.opened_at,
            Edition.number,
            Marked.outcome,
            Marked.mark,
            Marked.marks,
            Marked.closed_at,
        )
        .join(Edition, Edition.hash == Attempt.edition_hash)
        .outerjoin(Marked, Marked.attempt_id == Attempt.id)
        .where(Attempt.person_id == person)
        .order_by(Attempt.id.desc())
        .limit(MOST)
    )
    if exercise is not None:
        query = query.where(Attempt.exercise == exercise)
    with house.database.reading() as session:
        if person != actor.person_id:
            require_sight(session, actor, person)
        rows = session.execute(query).all()
    return tuple(
        AttemptRow(
            row.id,
            row.exercise,
            house.module(row.edition_hash).exercises[row.exercise].title,
            row.number,
            row.state,
            row.outcome or "",
            row.mark or 0,
            row.marks or 0,
            row.opened_at,
            row.closed_at,
        )
        for row in rows
    )
